//! Every parser on every seed of its fuzz target, on the demonstration data, and on some thousand spoilt
//! copies of both: read without a panic, whatever is left of them. `cargo fuzz` goes on where this ends.

#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests stop at what they did not expect")]

use std::path::{Path, PathBuf};

use app::Parser;

/// Spoilt copies for each parser.
const COPIES: usize = 3000;

/// What spoils a text.
const PIECES: &[&str] = &[
    "",
    "\"",
    "nan",
    "-1e999",
    "[",
    "]]",
    "{",
    "}",
    ",",
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
    " by guess",
    "+- 1 m",
    "true",
    "null",
    "[1, 2]",
    "both",
    "under 0 in",
    "inf",
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The files of a folder, in order; none if there is no such folder.
fn texts(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let mut files: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    files.sort();
    files.iter().map(|f| std::fs::read_to_string(f).unwrap()).collect()
}

/// Knuth's linear congruential generator (MMIX): the same every time.
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % end.max(1)
    }

    /// The text with one to five places cut out, replaced, doubled or taken from another text.
    fn spoil(&mut self, text: &str, other: &str) -> String {
        let mut letters: Vec<char> = text.chars().collect();
        let strange: Vec<char> = other.chars().collect();
        for _ in 0..=self.below(5) {
            let start = self.below(letters.len() + 1);
            let end = (start + self.below(12)).min(letters.len());
            let new: Vec<char> = match self.below(4) {
                0 => letters[start..end].repeat(2),
                1 => {
                    let from = self.below(strange.len());
                    strange[from..].iter().take(self.below(40)).copied().collect()
                }
                _ => PIECES[self.below(PIECES.len())].chars().collect(),
            };
            letters.splice(start..end, new);
        }
        letters.into_iter().collect()
    }
}

fn check(parser: Parser, name: &str) {
    let seeds = texts(&root().join("fuzz/seeds").join(name));
    assert!(seeds.len() >= 2, "{name} has no seeds");
    let demo = match parser {
        Parser::Lift => "lifts",
        Parser::Vehicle => "vehicles",
        Parser::Job => "jobs",
        Parser::AsPlaced => "as-placed",
        Parser::Solve => "solve",
        Parser::Limits | Parser::Weigh | Parser::Quantity => "none",
    };
    let all = [seeds, texts(&root().join("demo").join(demo))].concat();
    let run = |text: &str| {
        if std::panic::catch_unwind(|| app::fuzz(parser, text)).is_err() {
            panic!("{name} does not stand:\n{text}");
        }
    };
    all.iter().for_each(|text| run(text));
    let mut random = Random(17);
    for _ in 0..COPIES {
        let (one, other) = (random.below(all.len()), random.below(all.len()));
        run(&random.spoil(&all[one], &all[other]));
    }
}

#[test]
fn the_targets_are_the_parsers() {
    let manifest = std::fs::read_to_string(root().join("fuzz/Cargo.toml")).unwrap();
    let mut targets: Vec<&str> =
        manifest.split("[[bin]]").skip(1).map(|bin| bin.split('"').nth(1).unwrap()).collect();
    let mut parsers = Parser::ALL.map(|(_, name)| name).to_vec();
    targets.sort_unstable();
    parsers.sort_unstable();
    assert_eq!(targets, parsers);
}

macro_rules! parsers {
    ($($test:ident $parser:ident;)*) => {
        $(#[test]
        fn $test() {
            let (parser, name) = Parser::ALL.into_iter().find(|(p, _)| *p == Parser::$parser).unwrap();
            check(parser, name);
        })*
        /// No parser is left out above.
        #[test]
        fn every_parser_is_tested() {
            assert_eq!(Parser::ALL.map(|(p, _)| p).to_vec(), [$(Parser::$parser),*]);
        }
    };
}

parsers! {
    lifts Lift;
    vehicles Vehicle;
    jobs Job;
    setups_as_placed AsPlaced;
    limits Limits;
    weighings Weigh;
    questions_of_solve Solve;
    quantities Quantity;
}
