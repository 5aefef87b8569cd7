//! Invented vehicles that are known by their papers, as many as a test wants.

#![allow(
    clippy::unwrap_used,
    dead_code,
    reason = "helpers of several tests, which end where something fails"
)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub(crate) const HEAD: &str = "id,wheelbase (mm),mass (kg),length (mm),width (mm),height (mm),class,drive\n";

/// One row; each differs from the others.
pub(crate) fn row(k: u32) -> String {
    let classes = ["sedan", "hatchback", "suv", "minivan", "pickup", "wagon", "coupe"];
    let drives = ["front", "rear", "all"];
    let class = classes[(k % 7) as usize];
    let (base, mass) = (2400 + (k * 37) % 900, 900 + (k * 53) % 1700);
    format!(
        "v{k:05},{base},{mass},{},{},{},{class},{}\n",
        base + 1750,
        1700 + (k * 7) % 200,
        if matches!(class, "suv" | "minivan" | "pickup") { 1800 } else { 1450 },
        drives[(k % 3) as usize],
    )
}

pub(crate) fn table(count: u32) -> String {
    let mut text = HEAD.to_owned();
    for k in 0..count {
        let _ = write!(text, "{}", row(k));
    }
    text
}

pub(crate) fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(path)
}

/// The program's survey of a table in a folder on the demonstration's lifts.
pub(crate) fn survey(folder: &Path, vehicles: &str, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_standfast"));
    command.env_remove("STANDFAST_BOOK");
    command.current_dir(folder).arg("survey").arg("--lifts").arg(demo("lifts"));
    command.args(["--vehicles", vehicles]).args(more);
    command
}

pub(crate) fn ran(mut command: Command) -> (i32, String, String) {
    let Output { status, stdout, stderr } = command.output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (status.code().unwrap_or(-1), text(stdout), text(stderr))
}
