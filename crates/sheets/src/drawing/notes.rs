//! Sentences on the page: refusals, conditions, cautions.

use planner::course::InState;
use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::flow::{Block, section};
use super::style::Style;
use super::text::{LEADING, SMALL, wrapped};
use crate::words::Reason;
use crate::{Scene, Units, words};

/// Cautions at the foot; gives where they begin.
pub(super) fn cautions(board: &mut Board, area: Area) -> f64 {
    let lines: Vec<Vec<String>> =
        words::cautions().iter().map(|c| wrapped(c, SMALL, false, area.width() - 4.0)).collect();
    let rows = lines.iter().flatten().fold(0.0, |n, _| n + 1.0);
    let top = area.y[1] - rows * SMALL * LEADING;
    board.line(&[[area.x[0], top - 1.4], [area.x[1], top - 1.4]], Style::Frame);
    let mut y = top + SMALL * 0.9;
    for caution in &lines {
        board.rectangle(Area::sized([area.x[0], y - 1.9], [1.5, 1.5]), Style::Banner);
        y = board.say_lines([area.x[0] + 4.0, y], SMALL, false, caution);
    }
    top - 1.4
}

/// What fails and the smallest change, or conditions and what to watch.
pub(super) fn remarks(scene: &Scene<'_>, units: Units) -> Vec<Block> {
    let short =
        |list: Vec<Reason<'_>>| -> Vec<String> { list.iter().map(|r| r.short(scene, units)).collect() };
    if scene.plan.verdict == Verdict::DoNotRaise {
        let change = words::smallest_change(scene, units).into_iter();
        [
            section("Why", words::why_not(scene, units)),
            section("Refused because", short(words::refusals(scene))),
            section("What would pass", change.chain(words::other_bays(scene))),
        ]
        .concat()
    } else {
        [section("Conditions", short(words::conditions(scene))), section("Watch", short(words::watch(scene)))]
            .concat()
    }
}

/// What was not known; where each value comes from is told in the report.
pub(super) fn assumed(scene: &Scene<'_>, units: Units) -> Vec<Block> {
    section("Assumed", scene.plan.assumptions.iter().map(|a| words::short_assumption(a, units)))
}

/// Every state by its number, as the marks of the centre of gravity have it: a list, or one sentence.
pub(super) fn states(scene: &Scene<'_>) -> [Vec<Block>; 2] {
    let states = &scene.plan.states;
    if states.len() < 2 {
        return [vec![], vec![]];
    }
    let named: Vec<String> =
        states.iter().enumerate().map(|(k, s)| format!("{} {}", k + 1, s.name)).collect();
    let sentence = named.join("; ") + ".";
    [section(STATES, named), section(STATES, [sentence])]
}

const STATES: &str = "States at the CG marks";

/// Where the vehicle rests along the job, and who is there.
pub(super) fn steps(scene: &Scene<'_>) -> Vec<Block> {
    let steps = words::step_heights(scene);
    let say = |step: &InState<'_>| {
        let name = scene.plan.states.get(step.state).map_or("", |s| s.name.as_str());
        format!("{}: {}", words::capital(name), words::at_step(scene, step))
    };
    let said: Vec<String> = steps.iter().map(say).collect();
    if said.len() > 1 { section("Height, step by step", said) } else { vec![] }
}
