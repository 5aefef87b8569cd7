//! Verdict, what it is about, and where the front wheel stands.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{Anchor, LEADING, SMALL, Text, width, wrapped};
use crate::units::Round;
use crate::{Scene, Units, words};

/// Size of the banner's type, on the first sheet and on those that follow.
const LARGE: f64 = 6.2;
const SMALLER: f64 = 4.2;

/// Draws it from the top of an area; gives where it ends.
pub(super) fn first(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) -> f64 {
    let [left, right] = area.x;
    let end = banner(board, scene, area, LARGE);
    let middle = left + area.width() * 0.54;
    let ends = [
        about(board, scene, units, [left, middle - 3.0], end + 5.5),
        spot(board, scene, units, [middle, right], end + 5.5),
    ];
    let end = ends[0].max(ends[1]) - 2.8;
    board.line(&[[left, end], [right, end]], Style::Frame);
    end
}

/// The same in short for the sheets that follow.
pub(super) fn again(board: &mut Board, scene: &Scene<'_>, area: Area) -> f64 {
    let end = banner(board, scene, area, SMALLER);
    let says = format!("{} on {}, {}", scene.vehicle.name, scene.lift.name, job(scene));
    let lines = wrapped(&says, SMALL, false, area.width());
    board.say_lines([area.x[0], end + 4.6], SMALL, false, &lines) - 2.6
}

/// Which sheet it is of how many, at the right of the banner.
pub(super) fn number(board: &mut Board, scene: &Scene<'_>, right: f64, top: f64, [sheet, of]: [usize; 2]) {
    let size = if sheet == 1 { LARGE } else { SMALLER };
    board.text(Text {
        at: [right, top + size * 1.1],
        anchor: Anchor::End,
        size: SMALL,
        bold: true,
        reversed: is_refused(scene),
        says: format!("sheet {sheet} of {of}"),
    });
}

fn is_refused(scene: &Scene<'_>) -> bool {
    scene.plan.verdict == Verdict::DoNotRaise
}

fn banner(board: &mut Board, scene: &Scene<'_>, area: Area, size: f64) -> f64 {
    let banner = Area::sized([area.x[0], area.y[0]], [area.width(), size * 1.62]);
    board.rectangle(banner, if is_refused(scene) { Style::Banner } else { Style::Frame });
    if scene.plan.verdict == Verdict::Raise {
        board.rectangle(banner.grown(-0.9), Style::Frame);
    }
    let says = words::verdict(scene).to_uppercase();
    board.text(Text {
        at: [area.x[0] + 3.0, area.y[0] + size * 1.17],
        anchor: Anchor::Start,
        size: size.min((area.width() - 6.0) / width(&says, 1.0, true).max(1e-6)),
        bold: true,
        reversed: is_refused(scene),
        says,
    });
    banner.y[1]
}

fn job<'a>(scene: &Scene<'a>) -> &'a str {
    if scene.job.name.is_empty() { "raise and lower only" } else { &scene.job.name }
}

fn about(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) -> f64 {
    let state = scene.plan.states.first();
    let mass = state.map_or_else(String::new, |s| {
        words::guessed(units.mass(s.mass.value), s.mass.is_assumed())
            + " \u{b1} "
            + &units.mass_to(s.mass.tolerance, Round::Up)
    });
    let rows = [
        ("Lift", format!("{}, rated {}", scene.lift.name, units.rating(scene.lift.rated)), false),
        ("Vehicle", scene.vehicle.name.clone(), true),
        ("Mass", mass, false),
        ("Job", job(scene).to_owned(), false),
    ];
    let (size, room) = (3.8, right - left - 16.0);
    let mut y = top;
    for (label, says, bold) in rows {
        board.say([left, y], SMALL, false, label);
        y = board.say_lines([left + 16.0, y], size, bold, &wrapped(&says, size, bold, room)) + 0.3;
    }
    y
}

fn spot(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) -> f64 {
    let room = right - left;
    let warning = if is_refused(scene) { " (do not raise on this setup)" } else { "" };
    let label = format!("Front wheel, {}{warning}", words::origin(scene));
    let (figure, rest) = words::spot_in_two(scene, units);
    let mut y = board.say_lines([left, top], SMALL, false, &wrapped(&label, SMALL, false, room)) + 2.4;
    for (says, size, bold) in
        [(figure, 6.0, true), (rest, 3.8, true), (words::stance(scene, units), SMALL, false)]
    {
        y = board.say_lines([left, y], size, bold, &wrapped(&says, size, bold, room));
        y -= (size - SMALL) * LEADING * 0.75;
    }
    y
}
