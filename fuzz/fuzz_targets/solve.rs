//! The question of `solve`, answered where it can be read.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz(app::Parser::Solve, text));
