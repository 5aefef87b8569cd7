//! Noise: any text at all is read by every parser, and spoilt demonstration files go through `check` and `plan`,
//! without a panic and to an exit status that is promised.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

mod spoilt;

use std::ffi::OsString;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use app::Parser;
use proptest::prelude::*;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_is_read(text in "\\PC{0,60}") {
        for (parser, _) in Parser::ALL {
            app::fuzz(parser, &text);
        }
    }
}

/// Spoilt files, each checked; of every so many one is planned with as well, of those of every so many by a search.
const FILES: usize = 450;
const PLANNED_OF: usize = 6;
const SEARCHED_OF: usize = 9;

/// What stands where a number did.
const NUMBERS: [&str; 12] =
    ["nan", "inf", "-1", "1e308", "0", "", "1e-300", "-0.0", "9999999", "0.001", "2", "180"];

/// Knuth's linear congruential generator (MMIX): the same every time.
struct Random(u64);

impl Random {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % end.max(1)
    }

    /// The bytes of a file with one thing done to them.
    fn spoil(&mut self, text: &str) -> Vec<u8> {
        let mut lines: Vec<String> = text.lines().map(Into::into).collect();
        let (a, b) = (self.below(lines.len()), self.below(lines.len()));
        match self.below(10) {
            0 => {
                let mut bytes = text.as_bytes().to_vec();
                let at = self.below(bytes.len());
                bytes[at] ^= 1 << self.below(8);
                return bytes;
            }
            1 => lines.swap(a, b),
            2 => drop(lines.remove(a)),
            3 => lines.insert(b, lines[a].clone()),
            4 => {
                // A list ten thousand times as long.
                let Some((start, rest)) = lines[a].split_once('[') else { return text.into() };
                let inner = rest.trim_end_matches(['[', ']', ' ']).to_owned();
                lines[a] = format!("{start}[{}]", vec![inner; 10_000].join(", "));
            }
            5 | 6 => {
                // One digit is another one: mostly legal, seldom sensible.
                let digits: Vec<usize> =
                    text.match_indices(|c: char| c.is_ascii_digit()).map(|d| d.0).collect();
                let at = digits[self.below(digits.len())];
                return format!("{}{}{}", &text[..at], self.below(10), &text[at + 1..]).into();
            }
            _ => {
                let numbers = numbers(text);
                let (from, to) = numbers[self.below(numbers.len())];
                let new = NUMBERS[self.below(NUMBERS.len())];
                return format!("{}{new}{}", &text[..from], &text[to..]).into();
            }
        }
        lines.join("\n").into()
    }
}

/// Where numbers stand in a text.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let part = |c: char| c.is_ascii_digit() || c == '.' || c == '-';
    let mut found: Vec<(usize, usize)> = Vec::new();
    for (at, _) in text.match_indices(part) {
        match found.last_mut() {
            Some(last) if last.1 == at => last.1 += 1,
            _ => found.push((at, at + 1)),
        }
    }
    found
}

fn arguments(folder: &Path, words: &[&str]) -> Vec<OsString> {
    let named = |word: &&str| match word.ends_with(".toml") || word.ends_with(".svg") {
        true => folder.join(word).into_os_string(),
        false => word.into(),
    };
    std::iter::once("standfast".into()).chain(words.iter().map(named)).collect()
}

#[test]
fn spoilt_files_end_as_is_promised() {
    const LIMITS: &str =
        "standfast = \"limits/1\"\nplacing = { value = \"12 mm\" }\ndoor_way = { value = \"25 deg\" }\n";
    let folder = spoilt::folder();
    std::fs::write(folder.path().join("limits.toml"), LIMITS).unwrap();
    let files = ["lift.toml", "vehicle.toml", "job.toml", "placed.toml", "limits.toml"];
    let good = files.map(|file| std::fs::read_to_string(folder.path().join(file)).unwrap());
    let plan = [
        "plan",
        "--lift",
        "lift.toml",
        "--vehicle",
        "vehicle.toml",
        "--job",
        "job.toml",
        "--limits",
        "limits.toml",
    ];
    let (mut random, mut met) = (Random(29), [0usize; 3]);
    for round in 0..FILES {
        let k = random.below(files.len());
        let bytes = random.spoil(&good[k]);
        let path = folder.path().join(files[k]);
        std::fs::write(&path, &bytes).unwrap();
        let mut ways = vec![vec!["check", files[k]]];
        if round % (PLANNED_OF * SEARCHED_OF) == 0 {
            ways.push([&plan[..], &["--svg", "plan.svg"]].concat());
        } else if round % PLANNED_OF == 0 {
            ways.push([&plan[..], &["--as-placed", "placed.toml", "--json"]].concat());
        }
        for words in ways {
            let asked = arguments(folder.path(), &words).into_iter();
            let status = catch_unwind(AssertUnwindSafe(|| app::status(asked)));
            match status {
                Ok(Some(code)) if code <= 2 => met[usize::from(code)] += 1,
                other => panic!("{words:?} ends with {other:?}:\n{}", String::from_utf8_lossy(&bytes)),
            }
        }
        std::fs::write(&path, &good[k]).unwrap();
    }
    // Neither is all of it legal nor none of it, or this would try nothing.
    assert!(met[0] > 50 && met[1] > 1 && met[2] > 50, "{met:?}");
}
