//! `new`: a commented file to start from.

use std::path::Path;

use crate::cli::{FINE, UNREADABLE, What};
use crate::intake::columns;
use crate::measuring::Subject;
use crate::template::limits;
use crate::write;

const LIFT: &str = include_str!("../template/lift.toml");
const VEHICLE: &str = include_str!("../template/vehicle.toml");
const JOB: &str = include_str!("../template/job.toml");
const AS_PLACED: &str = include_str!("../template/as-placed.toml");

/// The row of column names.
fn table(subject: Subject) -> String {
    columns(subject).join(",") + "\n"
}

/// Writes the file, unless there is one already.
pub(crate) fn run(what: What, path: &Path) -> u8 {
    let text = match what {
        What::Lift => LIFT,
        What::Vehicle => VEHICLE,
        What::Job => JOB,
        What::AsPlaced => AS_PLACED,
        What::Limits => &limits(),
        What::Lifts => &table(Subject::Lift),
        What::Vehicles => &table(Subject::Vehicle),
    };
    let shown = path.display();
    match write::fresh(path, text) {
        Ok(()) => {
            let next = match what {
                What::Limits => "Take the # away from what the shop decides itself, then: standfast check",
                What::Lifts | What::Vehicles => {
                    "Fill in a row for each; a column that is not known may go. Then: standfast book import"
                }
                What::Lift | What::Vehicle | What::Job | What::AsPlaced => {
                    "Replace every value by what you measure, then: standfast check"
                }
            };
            write::out(&format!("{shown}: written. {next} {shown}\n"), FINE)
        }
        Err(fault) if fault.kind() == std::io::ErrorKind::AlreadyExists => {
            write::err(&format!(
                "error: {shown}: there is a file already, and it is not overwritten\n  help: give another name, or move that file away\n"
            ));
            UNREADABLE
        }
        Err(fault) => {
            write::err(&format!("error: {shown}: it cannot be written: {}", write::why_not(&fault)));
            UNREADABLE
        }
    }
}
