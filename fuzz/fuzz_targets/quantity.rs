//! Quantity text of every kind.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz(app::Parser::Quantity, text));
