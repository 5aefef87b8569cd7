//! Lift, vehicle, job, as-placed and weighing files; seed the corpus with the files of `demo`.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| app::fuzz_document(text, false));
