//! The sheet of a plan that must not be raised: it says so in the largest letters, why, and what would change it. It gives no
//! setting to raise with.

use planner::plan::Assumption;

use super::super::board::Board;
use super::super::style::Style;
use super::super::text::Anchor;
use super::super::{Area, Text};
use super::Part;

use super::bay::{CODE, LOOSER, Printed, about, cautions, fitting, items, mark, ornament, sides};
use super::flow::{Said, pour, section};
use crate::{Scene, Units, words};

/// Sizes of sentences: the largest with which all fits on one page.
const SIZES: [f64; 6] = [5.0, 4.5, 4.0, 3.5, 3.2, 2.9];

pub(super) fn parts(scene: &Scene<'_>, units: Units, printed: &Printed<'_>) -> Vec<Vec<Part>> {
    let page = sides(printed.paper);
    let mut first = vec![];
    let top = banner(&mut first, page) + 8.0;
    let coded = mark(&mut first, printed.mark, [page.x[1] - CODE, top - 3.0], CODE);
    let end = about(&mut first, scene, units, [page.x[0], page.x[1] - 30.0], top + 3.0).max(coded) + 4.0;
    first.push(ornament(|board| board.line(&[[page.x[0], end], [page.x[1], end]], Style::Frame)));
    // Read last.
    let mut last = vec![];
    let foot = cautions(&mut last, page, 3.5);
    let room = Area { x: page.x, y: [end + 4.0, foot - 3.0] };
    let said = said(scene, units);
    for size in SIZES {
        let mut parts = first.clone();
        if pour(&mut parts, &said, size, &[room]).is_empty() {
            parts.extend(last);
            return vec![parts];
        }
    }
    let rest = pour(&mut first, &said, SIZES[3], &[room]);
    first.extend(last);
    super::go_on(vec![first], rest, SIZES[3], page, Some(&super::bay::of(scene, units)))
}

fn banner(parts: &mut Vec<Part>, page: Area) -> f64 {
    const SAYS: [&str; 2] = ["MUST NOT", "BE RAISED"];
    let room = page.width() - 12.0;
    let size = SAYS.iter().map(|says| fitting(says, 60.0, room)).fold(f64::INFINITY, f64::min);
    let high = size * (2.0 * 1.0 + 0.25);
    let area = Area::sized([page.x[0], page.y[0]], [page.width(), high]);
    parts.push(ornament(|board| board.rectangle(area, Style::Banner)));
    let line = |board: &mut Board, k: f64, says: &str| {
        board.text(Text {
            at: [area.middle()[0], area.y[0] + size * (0.92 + k)],
            anchor: Anchor::Middle,
            size,
            bold: true,
            reversed: true,
            says: says.into(),
        });
    };
    parts.push(Part::Heading(
        1,
        items(|board| {
            line(board, 0.0, SAYS[0]);
            line(board, 1.0, SAYS[1]);
        }),
    ));
    area.y[1]
}

fn said(scene: &Scene<'_>, units: Units) -> Vec<Said> {
    let sentences = |all: Vec<String>| all.into_iter().map(Said::Sentence);
    let refusals = words::refusals(scene).iter().map(|r| r.sentence(scene, units)).collect();
    let change = words::smallest_change(scene, units)
        .unwrap_or_else(|| "Nothing that can be computed here would pass alone.".into());
    let would: Vec<String> = std::iter::once(change)
        .chain(words::no_stands(scene, units).map(|why| words::capital(&why)))
        .collect();
    let told = |(looser, all): (bool, &[Assumption])| {
        let all = all.iter().filter(|a| words::is_looser(a) == looser);
        sentences(all.map(|a| words::short_assumption(a, units)).collect())
    };
    let all = scene.plan.assumptions.as_slice();
    [
        section("Why", words::why_not(scene, units).map(Said::Sentence)),
        section(
            "Cannot be printed",
            sentences(
                words::not_printed(scene).iter().map(|n| format!("Signs stand as boxes in {n}.")).collect(),
            ),
        ),
        section("Refused because", sentences(refusals)),
        section("What would pass", sentences(would)),
        section(
            "No settings are printed",
            sentences(vec!["A sheet with settings is printed only from a plan that passes.".into()]),
        ),
        section(LOOSER, told((true, all))),
        section("Guessed, not measured", told((false, all))),
    ]
    .concat()
}
