//! Where everything goes on the pages.

use super::board::Board;
use super::flow::{Block, halves, pour, section};
use super::labels::Key;
use super::strip::{HEAD, Strip};
use super::style::Style;
use super::{Area, cards, header, notes, plan_view, side_view};
use crate::{Scene, Units};

/// Left and right of everything, and its top and bottom.
const SIDES: [f64; 2] = [9.0, 201.0];
const ENDS: [f64; 2] = [9.0, 288.0];
/// Width of the columns of cards beside the plan view, and from them to the view.
const CARD: f64 = 41.0;
const GUTTER: f64 = 1.5;
/// Height of the plan view: on a page of its own as much as there is room for.
const PLAN: f64 = 137.0;
const PLANS: [f64; 5] = [176.0, 164.0, 152.0, 141.0, 130.0];
/// Where the column of remarks may begin beside the side view.
const LEFT: [f64; 6] = [140.0, 134.0, 128.0, 122.0, 116.0, 110.0];
/// A side view that would be smaller, 1 to this, gets a page of its own.
const SMALLEST: f64 = 85.0;
/// Between two parts of a page.
const GAP: f64 = 2.5;

/// Everything on one page; `None` where it would be too small, not all said, or has several states.
pub(super) fn one(scene: &Scene<'_>, units: Units) -> Option<Board> {
    if scene.plan.states.len() > 1 {
        return None;
    }
    let (mut board, mut key) = (Board::new(), Key::default());
    let (top, foot) = ends_of_first(&mut board, scene, units);
    let (left, end) = set_up(&mut board, &mut key, scene, units, [top, top + PLAN]);
    let told = key.names.len();
    board.line(&[[SIDES[0], end], [SIDES[1], end]], Style::Rule);
    let room = Area { x: SIDES, y: [end + GAP, foot - 1.5] };
    LEFT.iter().find_map(|&column| {
        let (mut board, mut key) = (board.clone(), key.clone());
        let view = Area { x: [SIDES[0], column - 5.0], y: room.y };
        if side_view::one_to(scene, units, view) > SMALLEST {
            return None;
        }
        side_view::draw(&mut board, &mut key, scene, units, view);
        let left = in_the_drawing(&left, &names(&key, told));
        let said = all_said(scene, units, &left, &key);
        let (rest, _) = pour(&mut board, &said, &[Area { x: [column, SIDES[1]], y: room.y }]);
        rest.is_empty().then_some(board)
    })
}

/// The vehicle as it is set up, then as it is raised, then state by state.
pub(super) fn several(scene: &Scene<'_>, units: Units) -> Vec<Board> {
    let (first, mut key, rest) = first_of_several(scene, units);
    let told = key.names.len();
    let mut pages = vec![first];
    let (mut board, top) = next(scene);
    let strip = Strip::of(scene, units, SIDES[1] - SIDES[0]);
    let rows = strip.as_ref().map_or_else(Vec::new, Strip::rows);
    let view = side_view_area(scene, units, [top, ENDS[1]], &rows);
    side_view::draw(&mut board, &mut key, scene, units, view);
    let mut y = view.y[1] + GAP;
    let mut rest = [rest, in_the_drawing(&[], &names(&key, told))].concat();
    if let Some(strip) = &strip {
        for (row, high) in rows.iter().enumerate() {
            let head = if row == 0 { HEAD } else { 0.0 };
            if y + head + high > ENDS[1] + 0.1 {
                pages.push(std::mem::replace(&mut board, Board::new()));
                (board, y) = next(scene);
                strip.heading(&mut board, SIDES, y, row > 0);
                y += HEAD;
            } else if row == 0 {
                strip.heading(&mut board, SIDES, y, false);
                y += HEAD;
            }
            strip.draw(&mut board, row, [SIDES[0], y]);
            y += high;
        }
    }
    while !rest.is_empty() {
        let (left, _) = pour(&mut board, &rest, &halves(Area { x: SIDES, y: [y + GAP, ENDS[1]] }));
        let left = left.to_vec();
        if left.len() == rest.len() && y <= top {
            break;
        }
        rest = left;
        if !rest.is_empty() {
            pages.push(std::mem::replace(&mut board, Board::new()));
            (board, y) = next(scene);
        }
    }
    pages.push(board);
    let of = pages.len();
    for (k, page) in pages.iter_mut().enumerate() {
        header::number(page, scene, SIDES[1] - 3.0, ENDS[0], [k + 1, of]);
    }
    pages
}

/// What the rows of states leave that can stay on the page, but no more than its scale needs.
fn side_view_area(scene: &Scene<'_>, units: Units, [top, bottom]: [f64; 2], rows: &[f64]) -> Area {
    const STEP: f64 = 4.0;
    const LEAST: f64 = 88.0;
    let area = |high: f64| Area { x: SIDES, y: [top, top + high] };
    let left = |rows: &[f64]| {
        let head = if rows.is_empty() { 0.0 } else { HEAD };
        bottom - top - GAP - head - rows.iter().sum::<f64>()
    };
    let kept = (0..=rows.len()).rev().map(|n| left(&rows[..n])).find(|high| *high >= LEAST);
    let most = kept.unwrap_or(LEAST);
    let best = side_view::one_to(scene, units, area(most));
    let mut high = most;
    while high > LEAST && side_view::one_to(scene, units, area(high - STEP)) <= best {
        high -= STEP;
    }
    area(high)
}

/// The first page of several: the highest plan view that leaves room for all sentences; what is left over.
fn first_of_several(scene: &Scene<'_>, units: Units) -> (Board, Key, Vec<Block>) {
    let (mut empty, mut last) = (Board::new(), None);
    let (top, foot) = ends_of_first(&mut empty, scene, units);
    for high in PLANS {
        let (mut board, mut key) = (empty.clone(), Key::default());
        let (left, end) = set_up(&mut board, &mut key, scene, units, [top, top + high]);
        board.line(&[[SIDES[0], end], [SIDES[1], end]], Style::Rule);
        let said = all_said(scene, units, &in_the_drawing(&left, &[]), &Key::default());
        let columns = halves(Area { x: SIDES, y: [end + GAP, foot - 1.5] });
        let (rest, _) = pour(&mut board, &said, &columns);
        let rest = rest.to_vec();
        let done = rest.is_empty();
        last = Some((board, key, rest));
        if done {
            break;
        }
    }
    last.unwrap_or((empty, Key::default(), vec![]))
}

/// Header and cautions of the first page; gives what is between them.
fn ends_of_first(board: &mut Board, scene: &Scene<'_>, units: Units) -> (f64, f64) {
    let top = header::first(board, scene, units, Area { x: SIDES, y: [ENDS[0], ENDS[1]] });
    let foot = notes::cautions(board, Area { x: SIDES, y: ENDS });
    (top + GAP, foot)
}

fn next(scene: &Scene<'_>) -> (Board, f64) {
    let mut board = Board::new();
    let top = header::again(&mut board, scene, Area { x: SIDES, y: ENDS });
    (board, top + GAP)
}

/// Plan view and cards, with signs and names between the cards; gives what found no room there, and where
/// it all ends.
fn set_up(
    board: &mut Board,
    key: &mut Key,
    scene: &Scene<'_>,
    units: Units,
    y: [f64; 2],
) -> (Vec<Block>, f64) {
    let columns = [[SIDES[0], SIDES[0] + CARD], [SIDES[1] - CARD, SIDES[1]]].map(|x| Area { x, y });
    let cards = cards::draw(board, scene, units, columns);
    let view = Area { x: [columns[0].x[1] + GUTTER, columns[1].x[0] - GUTTER], y };
    let from = key.names.len();
    plan_view::draw(board, key, scene, units, view, &cards.joins);
    let [left, right] = cards.between;
    let sureness = cards::sureness(scene, units);
    let (unsure, end) = pour(board, &sureness, &[right]);
    let signs = [cards::signs(scene), names(key, from)].concat();
    let right = Area { y: [end + 2.0, right.y[1]], ..right };
    let (rest, _) = pour(board, &signs, &[left, right]);
    ([unsure, rest].concat(), y[1] + 1.5)
}

/// What was left over beside the plan view, and the numbers of the side view.
fn in_the_drawing(left: &[Block], names: &[Block]) -> Vec<Block> {
    let some = [left, names].concat();
    if some.is_empty() { some } else { [vec![Block::Heading("In the drawing".into())], some].concat() }
}

/// The numbers of the key from one on.
fn names(key: &Key, from: usize) -> Vec<Block> {
    let named = key.names.iter().enumerate().skip(from);
    named.map(|(k, name)| Block::Name(k + 1, name.clone())).collect()
}

fn all_said(scene: &Scene<'_>, units: Units, left: &[Block], key: &Key) -> Vec<Block> {
    let unmarked = key.unmarked.iter().map(|n| format!("No room for number {n} in the drawing."));
    [
        notes::remarks(scene, units),
        left.to_vec(),
        notes::states(scene),
        notes::tasks(scene, units),
        section("Not shown", unmarked),
        notes::assumed(scene, units),
    ]
    .concat()
}
