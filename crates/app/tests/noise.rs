//! Every demonstration file, spoilt at random: read without a panic, whatever is left of it.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use std::path::Path;

use proptest::prelude::*;

fn texts() -> Vec<String> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo");
    let mut found = Vec::new();
    for kind in ["lifts", "vehicles", "jobs", "as-placed"] {
        for entry in std::fs::read_dir(demo.join(kind)).unwrap() {
            found.push(std::fs::read_to_string(entry.unwrap().path()).unwrap());
        }
    }
    found.sort();
    found
}

const PIECES: &[&str] = &[
    "",
    "\"",
    "nan",
    "-1e999",
    "[",
    "]]",
    "{",
    "\n",
    "0 m",
    "-1 kg",
    "1e308 m",
    "9",
    "[[x]]",
    "= 3",
    "'",
    "#",
    "é",
    "\u{0}",
    "by guess",
    "+- 1 m",
    "true",
    "[1, 2]",
    "both",
    "under 0 in",
    "inf",
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn spoilt_files_are_read(
        file in 0..100usize,
        cuts in prop::collection::vec((0.0..1.0f64, 0..12usize, 0..PIECES.len()), 1..6),
    ) {
        let texts = texts();
        let mut text: Vec<char> = texts[file % texts.len()].chars().collect();
        for (at, length, piece) in cuts {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss, reason = "a place in a short text")]
            let start = (at * text.len() as f64) as usize;
            let end = (start + length).min(text.len());
            text.splice(start..end, PIECES[piece].chars());
        }
        app::fuzz_document(&text.iter().collect::<String>(), false);
    }

    #[test]
    fn any_text_is_read(text in "\\PC{0,60}") {
        app::fuzz_document(&text, false);
        app::fuzz_document(&text, true);
        app::fuzz_quantity(&text);
    }
}
