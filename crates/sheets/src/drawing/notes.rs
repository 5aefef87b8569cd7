//! Sentences on the page: refusals, conditions, cautions.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
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

/// What fails and the smallest change, or conditions and what to watch; then what was assumed.
pub(super) fn remarks(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    let plan = scene.plan;
    let short =
        |list: Vec<Reason<'_>>| -> Vec<String> { list.iter().map(|r| r.short(scene, units)).collect() };
    let rest = |y: f64| Area { x: area.x, y: [y, area.y[1]] };
    let mut y = area.y[0];
    if plan.verdict == Verdict::DoNotRaise {
        let change = words::smallest_change(scene, units).into_iter();
        let change: Vec<String> = change.chain(words::other_bays(scene)).collect();
        let lines = change.iter().flat_map(|c| wrapped(c, SMALL, false, area.width()));
        let keep = lines.fold(if change.is_empty() { 0.0 } else { 9.2 }, |high, _| high + SMALL * LEADING);
        y = section(board, rest(y), "Refused because", &short(words::refusals(scene)), keep);
        y = section(board, rest(y), "What would pass", &change, 0.0);
    } else {
        y = section(board, rest(y), "Conditions", &short(words::conditions(scene)), 8.0);
        y = section(board, rest(y), "Watch", &short(words::watch(scene)), 8.0);
    }
    section(board, rest(y), "Assumed", &assumed(scene, units), 0.0);
}

/// A heading and sentences as far as there is room above what is kept free; the rest is counted. Gives
/// where the next may begin.
fn section(board: &mut Board, area: Area, heading: &str, sentences: &[String], keep: f64) -> f64 {
    let line = SMALL * LEADING;
    let bottom = area.y[1] - keep;
    let mut y = area.y[0] + 3.8;
    let first = sentences
        .first()
        .map_or(0.0, |s| wrapped(s, SMALL, false, area.width()).iter().fold(0.0, |h, _| h + line));
    if sentences.is_empty() || y + 5.4 + first > area.y[1] {
        return area.y[0];
    }
    board.say([area.x[0], y], 4.2, true, heading);
    y += 5.4;
    let mut left = sentences.len();
    for sentence in sentences {
        let lines = wrapped(sentence, SMALL, false, area.width());
        let after = if left > 1 { line } else { 0.0 };
        let high = lines.iter().fold(after - line, |high, _| high + line);
        if y + high > bottom {
            break;
        }
        y = board.say_lines([area.x[0], y], SMALL, false, &lines) + 0.7;
        left -= 1;
    }
    if left > 0 {
        board.say([area.x[0], y], SMALL, true, &format!("{left} more in the report"));
        y += line;
    }
    y - 1.2
}

/// What was not known, without its sources.
fn assumed(scene: &Scene<'_>, units: Units) -> Vec<String> {
    scene.plan.assumptions.iter().map(|a| words::short_assumption(a, units)).collect()
}
