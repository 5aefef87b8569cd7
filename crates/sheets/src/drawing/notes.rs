//! Sentences on the page: refusals, conditions, cautions.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{LEADING, SMALL, wrapped};
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

/// What fails, the smallest change, the conditions; what finds no room is pointed to.
pub(super) fn remarks(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    let plan = scene.plan;
    let refused = plan.verdict == Verdict::DoNotRaise;
    let (heading, list) =
        if refused { ("Refused because", &plan.refusals) } else { ("Conditions", &plan.conditions) };
    let heading = if list.is_empty() { "Watch" } else { heading };
    board.say([area.x[0], area.y[0] + 4.0], 4.2, true, heading);
    let mut y = area.y[0] + 10.0;
    let change = plan.change.as_ref().filter(|_| refused).map(|c| words::change(c, units));
    let change = change.map(|c| wrapped(&c, SMALL, true, area.width())).unwrap_or_default();
    let line = SMALL * LEADING;
    let kept = change.iter().fold(2.0 * line, |room, _| room + line);
    let mut sentences: Vec<String> = list.iter().map(|r| words::short_remark(scene, r, units)).collect();
    sentences.extend(words::short_watch(scene, units));
    let mut left = sentences.len();
    for sentence in &sentences {
        let lines = wrapped(sentence, SMALL, false, area.width());
        let high = lines.iter().fold(0.0, |high, _| high + line);
        if y + high - line > area.y[1] - kept {
            break;
        }
        y = board.say_lines([area.x[0], y], SMALL, false, &lines) + 1.2;
        left -= 1;
    }
    if left > 0 {
        let more = format!("and {left} more in the report");
        board.say([area.x[0], y], SMALL, true, &more);
        y += line + 1.2;
    }
    y = board.say_lines([area.x[0], y], SMALL, true, &change);
    assumed(board, scene, units, Area { x: area.x, y: [y + 2.0, area.y[1]] });
}

/// What was not known, as far as there is room; what finds none is counted.
fn assumed(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    let line = SMALL * LEADING;
    let mut y = area.y[0] + 4.0;
    let mut left = scene.plan.assumptions.len();
    if left == 0 || y + 2.0 * line > area.y[1] {
        return;
    }
    board.say([area.x[0], y], 4.2, true, "Assumed");
    y += 5.6;
    for assumption in &scene.plan.assumptions {
        let figure = |v| units.figure(v, assumption.unit);
        let says = format!(
            "{}: about {} ({} to {}).",
            words::capital(&assumption.what),
            figure(assumption.value),
            figure(assumption.least),
            figure(assumption.greatest)
        );
        let lines = wrapped(&says, SMALL, false, area.width());
        let high = lines.iter().fold(if left > 1 { line } else { 0.0 }, |high, _| high + line);
        if y + high - line > area.y[1] {
            break;
        }
        y = board.say_lines([area.x[0], y], SMALL, false, &lines) + 0.8;
        left -= 1;
    }
    if left > 0 {
        board.say([area.x[0], y], SMALL, true, &format!("and {left} more in the report"));
    }
}
