//! Lift files.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz(app::Parser::Lift, text));
