//! Parts of a vehicle and loads of a job.

use planner::vehicle::Part;
use statics::Point;

use super::expect;
use super::{measured, name, plain, unique};
use crate::input::{At, Problems};
use crate::wire::vehicle as wire;

/// Parts or loads; `others` are names of parts that may be required first and are listed elsewhere.
pub(crate) fn parts(
    list: &[At<wire::Part>],
    others: &[String],
    problems: &mut Problems,
) -> Option<Vec<Part>> {
    unique(list.iter().map(|p| (p.value.name.value.as_str(), p.value.name.span.clone())), "parts", problems);
    let known: Vec<&str> =
        list.iter().map(|p| p.value.name.value.as_str()).chain(others.iter().map(String::as_str)).collect();
    let found: Vec<Option<Part>> = list.iter().map(|p| part(&p.value, &known, problems)).collect();
    found.into_iter().collect()
}

fn part(file: &wire::Part, known: &[&str], problems: &mut Problems) -> Option<Part> {
    let called = name(&file.name, "name (part)", problems);
    let mass = measured(&file.mass, &expect::PART_MASS, &expect::OF_PART, problems);
    let aft = plain(&file.at[0], &expect::AFT, problems);
    let left = plain(&file.at[1], &expect::LEFT, problems);
    let up = plain(&file.at[2], &expect::PART_UP, problems);
    let mut fine = true;
    for first in &file.after {
        if !known.contains(&first.value.as_str()) || first.value == file.name.value {
            fine = false;
            problems.error(
                first.span.clone(),
                format!("{:?} is not another part of this file", first.value),
                format!("parts that are known: {}", known.join(", ")),
            );
        }
    }
    fine.then_some(())?;
    Some(Part {
        name: called?,
        mass: mass?,
        at: Point::metres([aft?.to_metres(), left?.to_metres(), up?.to_metres()]),
        after: file.after.iter().map(|a| a.value.clone()).collect(),
    })
}
