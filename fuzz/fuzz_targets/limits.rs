//! Files of the shop's own limits.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz(app::Parser::Limits, text));
