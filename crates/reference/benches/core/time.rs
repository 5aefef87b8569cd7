//! Times of some work, and the table that they go into.

use std::fs::File;
use std::io::Write as _;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use std::hint::black_box;

/// Of many samples, seconds.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Times {
    pub(crate) least: f64,
    pub(crate) median: f64,
}

/// What is short is done many times a sample.
const SAMPLE: Duration = Duration::from_micros(200);
const SAMPLES: (usize, usize) = (3, 200);
const LONGEST: Duration = Duration::from_secs(1);

/// Times of the same work, again and again.
pub(crate) fn timed<T>(mut work: impl FnMut() -> T) -> Times {
    let began = Instant::now();
    black_box(work());
    let times = (SAMPLE.as_nanos() / began.elapsed().as_nanos().max(1)).clamp(1, 10_000);
    let times = u32::try_from(times).unwrap_or(1);
    sampled(|| {
        let began = Instant::now();
        for _ in 0..times {
            black_box(work());
        }
        began.elapsed().as_secs_f64() / f64::from(times)
    })
}

/// Times of work on something that is made anew for each sample, its making left out.
pub(crate) fn timed_on<S, T>(mut make: impl FnMut() -> S, mut work: impl FnMut(&mut S) -> T) -> Times {
    sampled(|| {
        let mut on = make();
        let began = Instant::now();
        black_box(work(&mut on));
        began.elapsed().as_secs_f64()
    })
}

fn sampled(mut sample: impl FnMut() -> f64) -> Times {
    let began = Instant::now();
    let mut found = Vec::new();
    while found.len() < SAMPLES.0 || found.len() < SAMPLES.1 && began.elapsed() < LONGEST {
        found.push(sample());
    }
    found.sort_by(f64::total_cmp);
    Times { least: found[0], median: found[found.len() / 2] }
}

/// What another way to the same answer took.
pub(crate) struct Other<'a> {
    pub(crate) name: &'a str,
    pub(crate) times: Times,
}

/// Printed row by row; kept for `scripts/bench` where a folder is given.
pub(crate) struct Table {
    part: String,
    folder: Option<PathBuf>,
    rows: Vec<Value>,
}

impl Table {
    /// `[PART] [--write FOLDER]`: rows with PART in their name; rows and inputs for other programs.
    pub(crate) fn of_arguments() -> Self {
        let (mut part, mut folder) = (String::new(), None);
        let mut arguments = std::env::args().skip(1);
        while let Some(argument) = arguments.next() {
            match argument.as_str() {
                "--bench" => {}
                "--write" => folder = arguments.next().map(PathBuf::from),
                _ => part = argument,
            }
        }
        println!(
            "| what | ours: least, median | against | theirs: least, median | ratio of the least | answers |"
        );
        println!("|---|---|---|---|---|---|");
        Self { part, folder, rows: Vec::new() }
    }

    pub(crate) fn wants(&self, what: &str) -> bool {
        what.contains(&self.part)
    }

    pub(crate) fn alone(&mut self, what: &str, ours: Times) {
        self.add(what, ours, None, "");
    }

    /// `answers`: how the two answers compare.
    pub(crate) fn add(&mut self, what: &str, ours: Times, other: Option<Other>, answers: &str) {
        let (name, theirs, ratio) = other.as_ref().map_or_else(Default::default, |o| {
            let ratio = o.times.least / ours.least;
            let ratio = format!("{ratio:.0$}", usize::from(ratio < 10.0));
            (o.name, o.times.told(), ratio)
        });
        println!("| {what} | {} | {name} | {theirs} | {ratio} | {answers} |", ours.told());
        self.rows.push(json!({
            "what": what,
            "ours": [ours.least, ours.median],
            "against": name,
            "theirs": other.map(|o| [o.times.least, o.times.median]),
            "answers": answers,
        }));
    }

    /// Ends the table. The inputs are what other programs are asked the same with.
    pub(crate) fn end(self, inputs: impl FnOnce() -> Value) {
        let Some(folder) = self.folder else { return };
        let write = |name: &str, value: &Value| {
            File::create(folder.join(name)).and_then(|mut file| write!(file, "{value}"))
        };
        for (name, value) in [("bench-rows.json", &Value::Array(self.rows)), ("bench-inputs.json", &inputs())]
        {
            if let Err(error) = write(name, value) {
                eprintln!("{}: {error}", folder.join(name).display());
                std::process::exit(2);
            }
        }
    }
}

impl Times {
    fn told(self) -> String {
        format!("{}, {}", told(self.least), told(self.median))
    }
}

/// Seconds with three digits.
fn told(seconds: f64) -> String {
    let (size, unit) = match seconds {
        s if s < 1e-3 => (s * 1e6, "us"),
        s if s < 1.0 => (s * 1e3, "ms"),
        s => (s, "s"),
    };
    let digits = if size < 10.0 { 2 } else { usize::from(size < 100.0) };
    format!("{size:.digits$} {unit}")
}
