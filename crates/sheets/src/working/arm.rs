//! Reach, swing and teeth of an arm.

use std::f64::consts::TAU;

use planner::lift::Corner;

use super::demand::Task;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

const AXES: [&str; 2] = ["ahead of the column line", "left of the centre line"];

/// Pad and pivot in the bay.
fn ends(s: &mut Sums, task: &Task<'_>, c: Corner) -> [[Num; 2]; 2] {
    let pad = s.place(&format!("{} pad in the bay", corner_name(c)), AXES, task.pad(c).bay.to_metres());
    let name = format!("pivot of the {} arm", corner_name(task.pad(c).arm));
    [pad, s.place(&name, AXES, task.arm(c).pivot.to_metres())]
}

/// Pivot to pad.
pub(super) fn reach(s: &mut Sums, task: &Task<'_>, c: Corner) -> Num {
    let [[x, y], [px, py]] = ends(s, task, c);
    s.step(
        Kind::Length,
        format!(
            "{}: reach = \u{221a}((pad ahead \u{2212} pivot ahead)\u{b2} + (pad left \u{2212} pivot left)\u{b2})",
            corner_name(c)
        ),
        format!("\u{221a}(({x} \u{2212} {px})\u{b2} + ({y} \u{2212} {py})\u{b2})"),
    )
}

pub(super) fn reach_in(s: &mut Sums, task: &Task<'_>, c: Corner) {
    let least = s.length("shortest reach of the arm", task.arm(c).reach_in);
    let reach = reach(s, task, c);
    s.step(Kind::Length, "to spare = reach \u{2212} shortest reach", format!("{reach} \u{2212} {least}"));
}

pub(super) fn reach_out(s: &mut Sums, task: &Task<'_>, c: Corner) {
    let most = s.length("longest reach of the arm", task.arm(c).reach_out);
    let reach = reach(s, task, c);
    s.step(Kind::Length, "to spare = longest reach \u{2212} reach", format!("{most} \u{2212} {reach}"));
}

/// Direction from pivot to pad, in the turn in which the arm's stops are given.
pub(super) fn direction(s: &mut Sums, task: &Task<'_>, c: Corner) -> Num {
    let arm = task.arm(c);
    let (from, to) = (task.pad(c).bay.to_metres(), arm.pivot.to_metres());
    let ([[x, y], [px, py]], d) = (ends(s, task, c), [from[0] - to[0], from[1] - to[1]]);
    let dx = s.step(Kind::Length, "ahead = pad \u{2212} pivot", format!("{x} \u{2212} {px}"));
    let dy = s.step(Kind::Length, "left = pad \u{2212} pivot", format!("{y} \u{2212} {py}"));
    let middle = (arm.swing_from + arm.swing_to) / 2.0;
    let turns = ((middle.to_radians() - d[1].atan2(d[0])) / TAU).round() * 360.0;
    let (formula, numbers) = atan2(d, [&dx, &dy], ["ahead", "left"]);
    let (mut formula, mut numbers) = (format!("direction = {formula}"), numbers);
    if turns.abs() > 1.0 {
        let sign = if turns > 0.0 { "+" } else { "\u{2212}" };
        formula += &format!(" {sign} a full turn");
        numbers += &format!(" {sign} {}", turns.abs());
    }
    s.note("Directions run anticlockwise from straight ahead, seen from above.");
    s.step(Kind::Angle, formula, numbers)
}

/// The angle from the first axis to a place, by the quotient that is at most 1.
pub(super) fn atan2(at: [f64; 2], [x, y]: [&Num; 2], [ahead, left]: [&str; 2]) -> (String, String) {
    let quarter = if at[1] < 0.0 { "\u{2212}90" } else { "90" };
    if at[0].abs() < at[1].abs() {
        return (
            format!("{quarter}\u{b0} \u{2212} atan({ahead} / {left})"),
            format!("{quarter} \u{2212} atan({x} / {y})"),
        );
    }
    let (formula, numbers) = (format!("atan({left} / {ahead})"), format!("atan({y} / {x})"));
    match (at[0] < 0.0, at[1] < 0.0) {
        (false, _) => (formula, numbers),
        (true, false) => (format!("180\u{b0} + {formula}"), format!("180 + {numbers}")),
        (true, true) => (format!("{formula} \u{2212} 180\u{b0}"), format!("{numbers} \u{2212} 180")),
    }
}

pub(super) fn swing(s: &mut Sums, task: &Task<'_>, c: Corner, first: bool) {
    let arm = task.arm(c);
    let direction = direction(s, task, c);
    if first {
        let stop = s.angle("direction at the first stop", arm.swing_from);
        s.step(
            Kind::Angle,
            "to spare = direction \u{2212} first stop",
            format!("{direction} \u{2212} {stop}"),
        );
    } else {
        let stop = s.angle("direction at the second stop", arm.swing_to);
        s.step(
            Kind::Angle,
            "to spare = second stop \u{2212} direction",
            format!("{stop} \u{2212} {direction}"),
        );
    }
}

pub(super) fn tooth(s: &mut Sums, task: &Task<'_>, c: Corner) {
    let arm = task.arm(c);
    let pitch = s.angle("angle from tooth to tooth", arm.tooth_pitch.unwrap_or_default());
    let stop = s.angle("direction at the first stop, where tooth 1 is", arm.swing_from);
    let direction = direction(s, task, c);
    let turn =
        s.step(Kind::Angle, "turn = direction \u{2212} first stop", format!("{direction} \u{2212} {stop}"));
    let whole =
        s.step(Kind::Bare, "whole pitches = turn / pitch, rounded", format!("round({turn} / {pitch})"));
    s.note("The first stop is tooth 1, so the number of the tooth is one more than the whole pitches.");
    s.step(Kind::Bare, "tooth = whole pitches + 1", format!("{whole} + 1"));
    s.step(
        Kind::Angle,
        "off the tooth = |turn \u{2212} whole pitches \u{d7} pitch|",
        format!("|{turn} \u{2212} {whole} \u{d7} {pitch}|"),
    );
}

/// A reach that stiffness is computed with: never less than the planner takes it to be.
pub(super) fn reach_for_stiffness(s: &mut Sums, task: &Task<'_>, c: Corner) -> Num {
    let plain = reach(s, task, c);
    if task.pad(c).reach >= planner::account::LEAST_REACH {
        return plain;
    }
    let least = s.length("an arm is never taken to be shorter than", planner::account::LEAST_REACH);
    s.step(Kind::Length, "reach counted = the greater", format!("greatest({plain}; {least})"))
}
