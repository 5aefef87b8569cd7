//! Where everything goes on the pages.

use super::board::Board;
use super::flow::{Block, even_height, pour, pour_evenly, section};
use super::labels::{self, Key};
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
/// Height of the plan view, on a page with the side view and without it.
const PLAN: f64 = 130.0;
const PLANS: [f64; 6] = [131.0, 139.0, 147.0, 155.0, 163.0, 172.0];
/// Where the column of remarks may begin beside the side view.
const LEFT: [f64; 8] = [140.0, 134.0, 128.0, 122.0, 116.0, 110.0, 104.0, 98.0];
/// A side view that would be smaller, 1 to this, gets a page of its own.
const SMALLEST: f64 = 85.0;
/// Between two parts of a page.
const GAP: f64 = 2.2;

/// All of a job of one state on one page, set-up above, side view and remarks below; `None` where the side view would be
/// too small beside what must be said.
pub(super) fn together(scene: &Scene<'_>, units: Units) -> Option<Vec<Board>> {
    if scene.plan.states.len() > 1 {
        return None;
    }
    let (page, key) = first(scene, units)?;
    let mut pages = vec![page];
    other_locks(&mut pages, key, scene, units);
    Some(pages)
}

/// Whoever does not work at the lock of the first side view, each at theirs.
fn other_locks(pages: &mut Vec<Board>, mut key: Key, scene: &Scene<'_>, units: Units) {
    /// Below the views of a page, for the numbers in them.
    const NUMBERS: f64 = 16.0;
    let mut told = key.names.len();
    let mut open: Option<(Board, f64)> = None;
    let close = |pages: &mut Vec<Board>, (board, y): (Board, f64), key: &Key, told: &mut usize| {
        let said = [in_the_drawing(&[], &names(key, *told)), unmarked(key)].concat();
        *told = key.names.len();
        go_on(pages, scene, (board, y), said);
    };
    let wide = SIDES[1] - SIDES[0];
    let high = |k: usize, largest: f64| {
        let plan = side_view::shown(scene, k);
        side_view::high_at(&Scene { plan: &plan, ..*scene }, units, wide, largest)
    };
    // Two on a page, or one as large as the page lets it be.
    let largest = |k: usize| {
        let follows = k + 1 < side_view::count(scene);
        let both = || high(k, side_view::LARGEST) + GAP + high(k + 1, side_view::LARGEST);
        let shared = follows && next(scene).1 + both() <= ENDS[1] - NUMBERS;
        if shared { side_view::LARGEST } else { side_view::LARGEST_ALONE }
    };
    for k in 1..side_view::count(scene) {
        let plan = side_view::shown(scene, k);
        let shown = Scene { plan: &plan, ..*scene };
        let largest = if open.is_some() { side_view::LARGEST } else { largest(k) };
        let high = high(k, largest);
        if let Some(full) = open.take_if(|(_, y)| *y + high > ENDS[1] - NUMBERS) {
            close(pages, full, &key, &mut told);
        }
        let (mut board, y) = open.take().unwrap_or_else(|| next(scene));
        let end = (y + high).min(ENDS[1] - NUMBERS);
        side_view::draw_at(&mut board, &mut key, (&shown, largest), units, Area { x: SIDES, y: [y, end] });
        open = Some((board, end + GAP));
    }
    if let Some(last) = open {
        close(pages, last, &key, &mut told);
    }
}

/// Set-up above, side view and remarks below.
fn first(scene: &Scene<'_>, units: Units) -> Option<(Board, Key)> {
    let (mut board, mut key) = (Board::new(), Key::default());
    let (top, foot) = ends_of_first(&mut board, scene, units);
    let (left, end) = set_up(&mut board, &mut key, scene, units, [top, top + PLAN]);
    let told = key.names.len();
    board.line(&[[SIDES[0], end], [SIDES[1], end]], Style::Rule);
    let room = Area { x: SIDES, y: [end + GAP, foot - 1.0] };
    LEFT.iter().find_map(|&column| {
        let (mut board, mut key) = (board.clone(), key.clone());
        let view = Area { x: [SIDES[0], column - 5.0], y: room.y };
        if side_view::one_to(scene, units, view) > SMALLEST {
            return None;
        }
        side_view::draw(&mut board, &mut key, scene, units, view);
        let said = [
            notes::remarks(scene, units),
            in_the_drawing(&left, &names(&key, told)),
            unmarked(&key),
            notes::assumed(scene, units),
        ];
        let said = said.concat();
        let (rest, _) = pour(&mut board, &said, &[Area { x: [column, SIDES[1]], y: room.y }]);
        rest.is_empty().then_some((board, key))
    })
}

/// Sentences below what is on the last page, and on as many more as they need.
fn go_on(pages: &mut Vec<Board>, scene: &Scene<'_>, (mut board, mut y): (Board, f64), said: Vec<Block>) {
    let mut rest = said;
    loop {
        let left = pour_evenly(&mut board, &rest, Area { x: SIDES, y: [y, ENDS[1]] });
        pages.push(std::mem::replace(&mut board, Board::new()));
        // A block that is higher than a page would never be placed.
        if left.is_empty() || left.len() == rest.len() && y < 40.0 {
            return;
        }
        rest = left;
        (board, y) = next(scene);
    }
}

/// Counts the pages on themselves, where there are several.
pub(super) fn numbered(mut pages: Vec<Board>, scene: &Scene<'_>) -> Vec<Board> {
    let of = pages.len();
    for (k, page) in pages.iter_mut().enumerate().filter(|_| of > 1) {
        header::number(page, scene, SIDES[1] - 3.0, ENDS[0], [k + 1, of]);
    }
    pages
}

/// The vehicle as it is set up, then as it is raised, then state by state.
pub(super) fn several(scene: &Scene<'_>, units: Units) -> Vec<Board> {
    let (first, mut key, rest) = first_of_several(scene, units);
    let told = key.names.len();
    let mut pages = vec![first];
    let (mut board, top) = next(scene);
    let across = SIDES[1] - SIDES[0];
    let strip = Strip::of(scene, units, across);
    let said = [notes::steps(scene), rest].concat();
    let room = [top, ENDS[1] - GAP - height_of(&said)];
    let below = strip.as_ref().map_or(0.0, Strip::high);
    let (view, apart) = side_view_area(scene, units, room, below);
    side_view::draw(&mut board, &mut key, scene, units, view);
    let y = view.y[1] + GAP;
    let named = in_the_drawing(&[], &names(&key, told));
    let rest = [named, said].concat();
    match strip {
        Some(strip) if apart => {
            go_on(&mut pages, scene, (board, y), rest);
            let begin = next(scene);
            let on_a_page = Strip::on_a_page(scene, units, [across, ENDS[1] - begin.1]);
            states(&mut pages, scene, begin, &on_a_page.unwrap_or(strip));
        }
        Some(strip) => {
            let end = states(&mut pages, scene, (board, y), &strip);
            let board = pages.pop().unwrap_or_else(Board::new);
            go_on(&mut pages, scene, (board, end + GAP), rest);
        }
        None => go_on(&mut pages, scene, (board, y), rest),
    }
    other_locks(&mut pages, key, scene, units);
    pages
}

/// Where a side view is without a plan view above it: no higher than its scale needs. States that would leave
/// too little for it get pages of their own: whether they do.
fn side_view_area(scene: &Scene<'_>, units: Units, [top, bottom]: [f64; 2], states: f64) -> (Area, bool) {
    const LEAST: f64 = 66.0;
    const STEP: f64 = 4.0;
    let area = |high: f64| Area { x: SIDES, y: [top, top + high] };
    let one_to = |high: &f64| side_view::one_to(scene, units, area(*high));
    let heights = (0_u16..56).map(|k| LEAST + STEP * f64::from(k));
    let least = heights.clone().find(|high| one_to(high) <= SMALLEST).unwrap_or(LEAST);
    let room = bottom - top;
    let apart = room - states < least;
    let most = (room - if apart { 0.0 } else { states }).max(least);
    let enough = heights.take_while(|high| *high < most).find(|high| one_to(high) <= one_to(&most));
    (area(enough.unwrap_or(most)), apart)
}

/// What sentences take in two columns, with room for a number or two of the side view.
fn height_of(said: &[Block]) -> f64 {
    const NUMBERS: f64 = 12.0;
    if said.is_empty() {
        return 0.0;
    }
    GAP + NUMBERS + even_height(said, Area { x: SIDES, y: ENDS })
}

/// Every state, on as many pages as they need; gives where they end.
fn states(pages: &mut Vec<Board>, scene: &Scene<'_>, begin: (Board, f64), strip: &Strip<'_, '_>) -> f64 {
    let (mut board, mut y) = begin;
    strip.heading(&mut board, SIDES, y, false);
    y += HEAD;
    for (row, high) in strip.rows().into_iter().enumerate() {
        if row > 0 && y + high > ENDS[1] + 0.1 {
            pages.push(board);
            (board, y) = next(scene);
            strip.heading(&mut board, SIDES, y, true);
            y += HEAD;
        }
        strip.draw(&mut board, row, [SIDES[0], y]);
        y += high;
    }
    pages.push(board);
    y
}

/// The first page of several: the plan view as large as the sentences below it let it be; what is left over.
fn first_of_several(scene: &Scene<'_>, units: Units) -> (Board, Key, Vec<Block>) {
    let mut empty = Board::new();
    let (top, foot) = ends_of_first(&mut empty, scene, units);
    let mut heights = PLANS.map(|high| (plan_view::one_to(scene, &view(top, high)), high));
    heights.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let page = |high: f64, more: &[Vec<Block>]| {
        let (mut board, mut key) = (empty.clone(), Key::default());
        let (left, end) = set_up(&mut board, &mut key, scene, units, [top, top + high]);
        board.line(&[[SIDES[0], end], [SIDES[1], end]], Style::Rule);
        let said = [notes::remarks(scene, units), in_the_drawing(&left, &[]), unmarked(&key)].concat();
        let said = [said, more.concat()].concat();
        let rest = pour_evenly(&mut board, &said, Area { x: SIDES, y: [end + GAP, foot - 1.0] });
        (board, key, rest)
    };
    // Assumptions follow where the job goes on, if there is no room for them here.
    let assumed = notes::assumed(scene, units);
    let [list, sentence] = notes::states(scene);
    let forms = [
        (vec![list.clone(), assumed.clone()], vec![]),
        (vec![sentence.clone(), assumed.clone()], vec![]),
        (vec![list], assumed.clone()),
        (vec![sentence.clone()], assumed.clone()),
    ];
    for (_, high) in heights {
        for (more, later) in &forms {
            let (board, key, rest) = page(high, more);
            if rest.is_empty() {
                return (board, key, later.clone());
            }
        }
    }
    let (board, key, rest) = page(PLANS[0], &[sentence]);
    (board, key, [rest, assumed].concat())
}

/// Where the plan view is, between its cards.
fn view(top: f64, high: f64) -> Area {
    let x = [SIDES[0] + CARD + GUTTER, SIDES[1] - CARD - GUTTER];
    Area { x, y: [top, top + high] }
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
    let [left, right] = cards::draw(board, scene, units, columns);
    let from = key.names.len();
    let centres = plan_view::draw(board, key, scene, units, view(y[0], y[1] - y[0]));
    let sureness = cards::sureness(scene, units);
    let (unsure, end) = pour(board, &sureness, &[right]);
    let signs = [cards::signs(scene, centres), names(key, from)].concat();
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

fn unmarked(key: &Key) -> Vec<Block> {
    let without = |n: &usize| format!("No room in the drawing for the letter {}.", labels::letter(*n));
    section("Not shown", key.unmarked.iter().map(without))
}
