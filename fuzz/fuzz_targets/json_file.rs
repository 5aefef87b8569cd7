//! The question of `solve`, and the other files as JSON.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz_document(text, true));
