//! Parts of a vehicle and loads of a job.

use planner::vehicle::{Off, Part};
use planner::{Measured, Vehicle};
use statics::{Length, Point};

use super::expect;
use super::{measured, name, unique};
use crate::input::quantity::show;
use crate::input::shape::nearest;
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
    let aft = measured(&file.at[0], &expect::AFT, &expect::OF_PLACE, problems);
    let left = measured(&file.at[1], &expect::LEFT, &expect::OF_PLACE, problems);
    let up = measured(&file.at[2], &expect::PART_UP, &expect::OF_PLACE_UP, problems);
    let mut fine = true;
    for first in &file.after {
        if first.value == file.name.value {
            fine = false;
            problems.error(
                first.span.clone(),
                format!("{:?} cannot be off before itself", first.value),
                "take it out of `after`, or name the part that must be off first",
            );
        } else if !known.contains(&first.value.as_str()) {
            fine = false;
            let others: Vec<&str> = known.iter().copied().filter(|k| *k != file.name.value).collect();
            let near = nearest(&first.value, &others).map(|n| format!("did you mean {n:?}? "));
            problems.error(
                first.span.clone(),
                format!("{:?} is no other part that is known here", first.value),
                format!("{}other parts: {}", near.unwrap_or_default(), others.join(", ")),
            );
        }
    }
    fine.then_some(())?;
    let place: [Measured<Length>; 3] = [aft?, left?, up?];
    Some(Part {
        name: called?,
        mass: mass?,
        at: Point::metres(place.each_ref().map(|m| m.value.to_metres())),
        off: Off { by: place.each_ref().map(|m| m.tolerance), basis: place.map(|m| m.basis) },
        after: file.after.iter().map(|a| a.value.clone()).collect(),
    })
}

/// Says so where parts want each other off first, and names the circle.
pub(crate) fn goes_in_a_circle(own: &[Part], list: &[At<wire::Part>], problems: &mut Problems) -> bool {
    let find = |name: &str| own.iter().find(|p| p.name == name);
    let mut told: Vec<&str> = Vec::new();
    for (part, file) in own.iter().zip(list) {
        let Some(circle) = circle_from(part, &find) else { continue };
        if circle.iter().any(|name| told.contains(name)) {
            continue;
        }
        told.extend(&circle);
        let named: Vec<String> = circle.iter().chain(circle.first()).map(|n| format!("{n:?}")).collect();
        let at = file.value.after.first().map_or(&file.value.name.span, |a| &a.span);
        problems.error(
            at.clone(),
            format!("these parts want each other off first, in a circle: {}", named.join(" after ")),
            "take out of `after` what need not be off first",
        );
    }
    !told.is_empty()
}

/// The parts from this one back to it, each wanting the next off first.
fn circle_from<'a>(start: &'a Part, find: &impl Fn(&str) -> Option<&'a Part>) -> Option<Vec<&'a str>> {
    let mut ways: Vec<Vec<&'a str>> = vec![vec![&start.name]];
    let mut seen: Vec<&str> = Vec::new();
    while let Some(way) = ways.pop() {
        let Some(part) = way.last().and_then(|name| find(name)) else { continue };
        for next in &part.after {
            if *next == start.name {
                return Some(way);
            }
            if !seen.contains(&next.as_str()) {
                seen.push(next);
                ways.push(way.iter().copied().chain([next.as_str()]).collect());
            }
        }
    }
    None
}

/// Two places of one part may be so far apart and still be the same; project default.
const SAME_PLACE: f64 = 0.05;

/// Says so where a part of the job has the name of a part of the vehicle: an error unless they agree on mass and place.
pub(crate) fn also_of_the_vehicle(
    vehicle: &Vehicle,
    own: &[Part],
    list: &[At<wire::Part>],
    problems: &mut Problems,
) {
    for (part, file) in own.iter().zip(list) {
        let Some(other) = vehicle.parts.iter().find(|p| p.name == part.name) else { continue };
        let agree = {
            let [a, b] = [part, other].map(|p| p.at.to_metres());
            let apart = (0..3).map(|k| (a[k] - b[k]).powi(2)).sum::<f64>().sqrt();
            (part.mass.value - other.mass.value).abs() <= part.mass.tolerance + other.mass.tolerance
                && apart <= SAME_PLACE
        };
        let both = format!(
            "the vehicle {:?} has a part {:?} of its own: {}; here it is {}",
            vehicle.name,
            part.name,
            weighs(other),
            weighs(part)
        );
        let span = file.value.name.span.clone();
        if agree {
            problems.warn(
                span,
                format!("{both}; they agree, and the job's is used"),
                "take it out of the job: a step finds the vehicle's part by its name",
            );
        } else {
            problems.error(
                span,
                both,
                "if it is the same part, take it out of the job or correct the one that is wrong; if it is another, give it another name",
            );
        }
    }
}

/// Mass and place of a part, as a person would write them.
fn weighs(part: &Part) -> String {
    let at = part.at.to_metres().map(|m| show(Length::metres(m)));
    format!("{} +- {} at [{}]", show(part.mass.value), show(part.mass.tolerance), at.join(", "))
}

/// Says so where a part alone weighs as much as the vehicle that it belongs to.
pub(crate) fn heavier_than(
    vehicle: &Vehicle,
    own: &[Part],
    list: &[At<wire::Part>],
    problems: &mut Problems,
) {
    let whole = planner::state::bare(vehicle).mass;
    for (part, file) in own.iter().zip(list).filter(|(p, _)| p.mass.value >= whole.value) {
        problems.error(
            file.value.mass.span.clone(),
            format!(
                "{:?} weighs {}, and the whole vehicle {:?} only {:.0} kg ({:.0} lb)",
                part.name,
                file.value.mass.text,
                vehicle.name,
                whole.value.to_kilograms(),
                whole.value.to_pounds()
            ),
            "check both masses",
        );
    }
}
