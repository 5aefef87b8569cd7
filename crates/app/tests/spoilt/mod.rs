//! A folder of demonstration files to be spoilt, and the program run in it.

#![allow(dead_code, reason = "each test uses its own part of it")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A folder with `lift.toml`, `vehicle.toml`, `job.toml` and `placed.toml` of the demonstration.
pub(crate) fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (from, to) in [
        ("lifts/north-bay", "lift"),
        ("vehicles/hatchback", "vehicle"),
        ("jobs/brakes", "job"),
        ("as-placed/hatchback-in-north-bay", "placed"),
    ] {
        let text = std::fs::read(root().join(format!("demo/{from}.toml"))).unwrap();
        std::fs::write(folder.path().join(format!("{to}.toml")), text).unwrap();
    }
    folder
}

pub(crate) fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_standfast")).current_dir(folder).args(arguments).output().unwrap()
}

pub(crate) const PLAN: [&str; 13] = [
    "plan",
    "--lift",
    "lift.toml",
    "--vehicle",
    "vehicle.toml",
    "--job",
    "job.toml",
    "--as-placed",
    "placed.toml",
    "--svg",
    "plan.svg",
    "--units",
    "metric",
];

/// A plan that says nothing of a drawing.
pub(crate) const SHORT: [&str; 5] = ["plan", "--lift", "lift.toml", "--vehicle", "vehicle.toml"];
