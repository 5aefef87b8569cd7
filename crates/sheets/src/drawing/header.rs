//! Verdict, what it is about, and where the front wheel stands.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{Anchor, SMALL, Text, clipped, wrapped};
use crate::{Scene, Units, words};

pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
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
    let middle = left + area.width() * 0.5;
    about(board, scene, units, [left, middle - 3.0], top + 16.0);
    spot(board, scene, units, [middle, right], top + 16.0);
    board.line(&[[left, area.y[1]], [right, area.y[1]]], Style::Frame);
}

fn about(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) {
    let job = if scene.job.name.is_empty() { "raise and lower only" } else { &scene.job.name };
    let state = scene.plan.states.first();
    let mass = state.map_or_else(String::new, |s| {
        words::guessed(units.mass(s.mass.value), s.mass.is_assumed())
            + " \u{b1} "
            + &units.mass(s.mass.tolerance)
    });
    let rows = [
        ("Lift", format!("{}, {}", units.mass(scene.lift.rated), scene.lift.name), false),
        ("Vehicle", scene.vehicle.name.clone(), true),
        ("Mass", mass, false),
        ("Job", job.to_owned(), false),
    ];
    for (i, (label, says, bold)) in (0_i32..).zip(rows) {
        let y = top + 5.6 * f64::from(i);
        board.say([left, y], SMALL, false, label);
        let size = 4.0;
        board.say([left + 16.0, y], size, bold, &clipped(&says, size, bold, right - left - 16.0));
    }
}

fn spot(board: &mut Board, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) {
    let label = if scene.plan.verdict == Verdict::DoNotRaise {
        "Front wheel, nearest setup (do not raise on it)"
    } else {
        "Front wheel"
    };
    board.say([left, top], SMALL, false, &clipped(label, SMALL, false, right - left));
    let says = words::spot(scene, units);
    let (first, rest) = says.split_once(", ").map_or((says.as_str(), None), |(a, b)| (a, Some(b)));
    let size = 4.9;
    board.say([left, top + 6.0], size, true, &clipped(first, size, true, right - left));
    let mut y = top + 11.6;
    if let Some(mark) = rest {
        board.say([left, y], 4.0, true, &clipped(mark, 4.0, true, right - left));
        y += 5.0;
    }
    let stance = words::stance(scene, units);
    for line in wrapped(&stance, SMALL, false, right - left).into_iter().take(2) {
        board.say([left, y], SMALL, false, &line);
        y += 4.4;
    }
}
