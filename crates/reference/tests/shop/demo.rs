//! The demonstration files of the invented workshop, read as the program reads them.

#![allow(dead_code, clippy::panic, reason = "each test uses its own part of it, and ends where it fails")]

use std::path::{Path, PathBuf};

use planner::job::{Posture, Task, WorkForce};
use planner::{Job, Lift, Vehicle};
use statics::{Length, Point};

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

fn files(name: &str) -> Vec<PathBuf> {
    let found = std::fs::read_dir(folder(name)).unwrap_or_else(|e| panic!("demo/{name}: {e}"));
    let mut files: Vec<PathBuf> =
        found.flatten().map(|e| e.path()).filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    files.sort();
    files
}

fn stem(path: &Path) -> String {
    path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default()
}

/// Every demo vehicle on every demo lift, only raised and lowered.
pub(crate) fn pairs() -> Vec<(String, Lift, Vehicle)> {
    pairs_named(|_| true)
}

/// Those of wanted names; no file of the others is read.
pub(crate) fn pairs_named(wanted: impl Fn(&str) -> bool) -> Vec<(String, Lift, Vehicle)> {
    let mut pairs = Vec::new();
    for lift in files("lifts") {
        for vehicle in files("vehicles") {
            let name = format!("{} on {}", stem(&vehicle), stem(&lift));
            if wanted(&name) {
                let (l, v, _): (Lift, Vehicle, Job) =
                    app::read_files(&lift, &vehicle, None).unwrap_or_else(|e| panic!("{}", e.join("\n")));
                pairs.push((name, l, v));
            }
        }
    }
    pairs
}

/// Every demo lift.
pub(crate) fn lifts() -> Vec<Lift> {
    let vehicle = &files("vehicles")[0];
    files("lifts")
        .iter()
        .map(|l| app::read_files(l, vehicle, None).unwrap_or_else(|e| panic!("{}", e.join("\n"))).0)
        .collect()
}

/// Every demo job that fits, with the vehicle whose parts it names, on every lift.
pub(crate) fn jobs() -> Vec<(String, Lift, Vehicle, Job)> {
    jobs_named(|_| true)
}

/// Those of wanted names; no file of the others is read.
pub(crate) fn jobs_named(wanted: impl Fn(&str) -> bool) -> Vec<(String, Lift, Vehicle, Job)> {
    let mut found = Vec::new();
    for job in files("jobs") {
        for vehicle in files("vehicles") {
            for lift in files("lifts") {
                let name = format!("{} of {} on {}", stem(&job), stem(&vehicle), stem(&lift));
                if !wanted(&name) {
                    continue;
                }
                if let Ok((l, v, j)) = app::read_files(&lift, &vehicle, Some(&job)) {
                    found.push((name, l, v, j));
                }
            }
        }
    }
    found
}

/// A job with a pry bar at the rear axle in every state, and no other task.
pub(crate) fn with_a_pry_bar(job: Job, vehicle: &Vehicle) -> Job {
    let common = planner::forces::find("pry bar").unwrap_or_else(|| panic!("in the library"));
    let force = WorkForce {
        bar: common.bar,
        name: common.name.into(),
        at: Point::metres([vehicle.wheelbase.value.to_metres(), 0.5, 0.5]),
        off: [Length::ZERO; 3],
        directions: common.directions.to_vec(),
        size: common.size(),
    };
    let (name, posture) = ("bushes".into(), Posture::StandingUnder);
    Job { tasks: vec![Task { name, posture, during: vec![], forces: vec![force] }], ..job }
}
