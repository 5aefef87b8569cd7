//! Verdict, what it is about, and where the front wheel stands.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{Anchor, LEADING, SMALL, Text, clipped, wrapped};
use crate::{Scene, Units, words};

/// Draws it from the top of an area; gives where it ends.
pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) -> f64 {
    let [left, right] = area.x;
    let top = area.y[0];
    let banner = Area::sized([left, top], [area.width(), 10.0]);
    let refused = scene.plan.verdict == Verdict::DoNotRaise;
    board.rectangle(banner, if refused { Style::Banner } else { Style::Frame });
    if scene.plan.verdict == Verdict::Raise {
        board.rectangle(banner.grown(-0.9), Style::Frame);
    }
    board.text(Text {
        at: [left + 3.0, top + 7.2],
        anchor: Anchor::Start,
        size: 6.2,
        bold: true,
        reversed: refused,
        says: words::verdict(scene).to_uppercase(),
    });
    let middle = left + area.width() * 0.54;
    let ends = [
        about(board, scene, units, [left, middle - 3.0], top + 15.5),
        spot(board, scene, units, [middle, right], top + 15.5),
    ];
    let end = ends[0].max(ends[1]) - 2.2;
    board.line(&[[left, end], [right, end]], Style::Frame);
    end
}

fn about(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) -> f64 {
    let job = if scene.job.name.is_empty() { "raise and lower only" } else { &scene.job.name };
    let state = scene.plan.states.first();
    let mass = state.map_or_else(String::new, |s| {
        words::guessed(units.mass(s.mass.value), s.mass.is_assumed())
            + " \u{b1} "
            + &units.mass(s.mass.tolerance)
    });
    let rows = [
        ("Lift", format!("{}, rated {}", scene.lift.name, units.mass(scene.lift.rated)), false),
        ("Vehicle", scene.vehicle.name.clone(), true),
        ("Mass", mass, false),
        ("Job", job.to_owned(), false),
    ];
    let (size, room) = (3.8, right - left - 16.0);
    let mut y = top;
    for (label, says, bold) in rows {
        let mut lines = wrapped(&says, size, bold, room);
        if lines.len() > 2 {
            let rest = lines.split_off(1).join(" ");
            lines.push(clipped(&rest, size, bold, room));
        }
        board.say([left, y], SMALL, false, label);
        y = board.say_lines([left + 16.0, y], size, bold, &lines) + 0.3;
    }
    y
}

fn spot(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) -> f64 {
    let warning =
        if scene.plan.verdict == Verdict::DoNotRaise { " (do not raise on this setup)" } else { "" };
    let label = format!("Front wheel, {}{warning}", words::origin(scene));
    board.say([left, top], SMALL, false, &clipped(&label, SMALL, false, right - left));
    let (figure, rest) = words::spot_in_two(scene, units);
    board.say([left, top + 6.8], 6.0, true, &clipped(&figure, 6.0, true, right - left));
    let mut y = top + 12.4;
    for line in wrapped(&rest, 3.8, true, right - left) {
        board.say([left, y], 3.8, true, &line);
        y += 3.8 * LEADING;
    }
    let stance = words::stance(scene, units);
    board.say_lines([left, y], SMALL, false, &wrapped(&stance, SMALL, false, right - left))
}
