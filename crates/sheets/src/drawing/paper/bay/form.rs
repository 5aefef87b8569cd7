//! How the lower half of the sheet is filled: sentences, beside them the side view, below both what is confirmed.

use super::{CONFIRM, Printed, columns, items, ornament, said, side};
use crate::drawing::board::Board;
use crate::drawing::labels::Key;
use crate::drawing::paper::Part;
use crate::drawing::paper::flow::{self, Said, pour, pour_in_sizes};
use crate::drawing::style::Style;
use crate::drawing::text::LEADING;
use crate::drawing::{self, Area, side_view};
use crate::{Scene, Units};

/// What is confirmed, and where it begins on the page.
pub(super) struct Strip {
    pub(super) parts: Vec<Part>,
    pub(super) top: f64,
}

/// The upper half, and the room below it.
#[derive(Clone)]
pub(super) struct Half {
    pub(super) parts: Vec<Part>,
    pub(super) key: Key,
    pub(super) room: Area,
}

/// Sizes of sentences.
pub(super) const SIZES: [f64; 7] = [3.5, 3.3, 3.1, 2.9, 2.7, 2.5, 2.3];
/// Shares of the width that the side view takes, and of the height.
pub(super) const SHARES: [f64; 5] = [0.62, 0.56, 0.5, 0.44, 0.38];
pub(super) const HEIGHTS: [f64; 5] = [1.0, 0.85, 0.7, 0.55, 0.45];

/// How many forms are tried further where one has no room for some letters only.
pub(super) const MORE: usize = 2000;

/// How the lower half is filled.
#[derive(Clone, Copy)]
pub(super) struct Form {
    /// Which of the sizes what must be met is said in.
    pub(super) size: usize,
    /// The same of all the rest.
    pub(super) rest: usize,
    pub(super) told: Told,
    pub(super) share: f64,
    pub(super) high: f64,
}

impl Form {
    /// What is given up by it; the scale is arbitrary.
    fn costs(&self) -> f64 {
        let told = match self.told {
            Told::All => 0.0,
            Told::Guessed => 1.0,
        };
        let view = (1.0 - self.high * (self.share / SHARES[0])) * 4.0;
        // Below this it is read at arm's length only.
        let small = |size: usize| (SIZES[0] - SIZES[size]) * 5.0 + (3.0 - SIZES[size]).max(0.0) * 6.0;
        // What must be met is smaller last.
        told + 0.75 * small(self.size) + 0.25 * small(self.rest) + view
    }
}

/// All of them, what gives up least first.
pub(super) fn forms() -> Vec<Form> {
    let mut all = vec![];
    for (size, rest) in (0..SIZES.len()).flat_map(|size| [0, 1, 2, 4, 6].map(|less| (size, size + less))) {
        if rest >= SIZES.len() {
            continue;
        }
        for told in Told::ALL {
            for (share, high) in SHARES.into_iter().flat_map(|share| HEIGHTS.map(|high| (share, high))) {
                all.push(Form { size, rest, told, share, high });
            }
        }
    }
    all.sort_by(|a, b| a.costs().total_cmp(&b.costs()));
    all
}

/// How much is told of what is in the working as well.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// Everything.
    All,
    /// What was guessed, without its range; the letters of the drawings in one sentence.
    Guessed,
}

impl Told {
    const ALL: [Self; 2] = [Self::All, Self::Guessed];
}

/// Where the side view is.
fn view(half: &Half, strip: &Strip, form: &Form) -> Area {
    let room = Area { y: [half.room.y[0], strip.top - 1.5], ..half.room };
    let left = room.x[1] - room.width() * form.share + 2.5;
    Area { x: [left, room.x[1]], y: [room.y[0], room.y[0] + room.height() * form.high] }
}

/// The lower half of the page: sentences, beside them the side view, below both what is confirmed; and what is left over.
/// `None` where it does not pay to look.
pub(super) fn raised(
    scene: &Scene<'_>,
    units: Units,
    half: &Half,
    strip: &Strip,
    form: &Form,
    overflows: bool,
) -> Option<(Vec<Part>, Vec<Said>, Key)> {
    const LEAST: f64 = 34.0;
    let told = form.told;
    let view = view(half, strip, form);
    if view.height() < LEAST {
        return None;
    }
    let room = Area { y: [half.room.y[0], strip.top - 1.5], ..half.room };
    let beside = Area { x: [room.x[0], view.x[0] - 5.0], y: room.y };
    let below = drawing::flow::halves(Area { y: [view.y[1] + 2.0, room.y[1]], ..view });
    let columns = [beside, below[0], below[1]];
    // Before the view is drawn, which takes longer: without the names that it leaves over.
    let size = |first: usize| move |k: usize| SIZES[if k < first { form.size } else { form.rest }];
    let (before, first) = said(scene, units, &half.key, told);
    if !overflows && !pour_in_sizes(&mut vec![], &before, size(first), &columns).is_empty() {
        return None;
    }
    let (mut board, mut key) = (Board::new(), half.key.clone());
    side_view::draw(&mut board, &mut key, scene, units, view);
    let mut parts = vec![Part::Figure(side(scene, units), board.items)];
    let (all, first) = said(scene, units, &key, told);
    let left = flow::going_on(&all, pour_in_sizes(&mut parts, &all, size(first), &columns));
    parts.extend(strip.parts.clone());
    Some((parts, left, key))
}

/// The same with the side view as much wider, then higher, as what is said still leaves room for; nothing where it leaves none.
pub(super) fn grown(
    scene: &Scene<'_>,
    units: Units,
    half: &Half,
    strip: &Strip,
    form: &Form,
) -> Option<Vec<Part>> {
    const STEPS: [f64; 4] = [0.8, 0.6, 0.4, 0.2];
    let whole = |form: &Form| {
        let (lower, left, key) = raised(scene, units, half, strip, form, false)?;
        (left.is_empty() && key.unmarked.is_empty()).then_some(lower)
    };
    let towards = |sizes: &[f64], now: f64| {
        let next = sizes.iter().copied().filter(|size| *size > now).fold(f64::INFINITY, f64::min);
        STEPS.map(|part| now + part * (next - now)).into_iter().filter(|size| size.is_finite())
    };
    let wider = towards(&SHARES, form.share)
        .map(|share| Form { share, ..*form })
        .find_map(|form| Some((form, whole(&form)?)));
    let (form, found) = wider.map_or((*form, None), |(form, lower)| (form, Some(lower)));
    towards(&HEIGHTS, form.high).find_map(|high| whole(&Form { high, ..form })).or(found)
}

/// Below this size what is confirmed stands in rows.
const SMALL: f64 = 2.6;

/// What is confirmed, in columns at the foot of the room; `None` where there is no room for it.
pub(super) fn confirmed(printed: &Printed<'_>, size: f64, room: Area) -> Option<Strip> {
    let said: Vec<Said> = printed.points.iter().cloned().map(Said::Point).collect();
    if said.is_empty() {
        return Some(Strip { parts: vec![], top: room.y[1] });
    }
    let title = size * 1.2 * LEADING + 1.0;
    let set = |count: usize, high: f64| {
        let columns = columns(Area { y: [room.y[1] - high, room.y[1]], ..room }, count);
        let mut parts = vec![];
        pour(&mut parts, &said, size, &columns).is_empty().then_some((parts, high))
    };
    let heights = (6_u16..).map(f64::from).take_while(|high| *high < room.height() - title);
    let mut tries = heights.flat_map(|high| [4, 3, 5].map(|count| (count, high)));
    let in_columns = tries.find_map(|(count, high)| set(count, high));
    // Where there is much to confirm rows take less room than columns.
    let in_rows = || {
        let mut parts = vec![];
        let high = flow::in_rows(&mut parts, &said, size, &room)?;
        let down = Area { y: [room.y[1] - high, room.y[1]], ..room };
        parts.clear();
        flow::in_rows(&mut parts, &said, size, &down).map(|high| (parts, high))
    };
    let (list, high) = if size < SMALL { in_rows().or(in_columns) } else { in_columns }?;
    if high + title > room.height() {
        return None;
    }
    let top = room.y[1] - high - title;
    let mut parts =
        vec![ornament(|board| board.line(&[[room.x[0], top - 0.6], [room.x[1], top - 0.6]], Style::Rule))];
    let heading = items(|board| board.say([room.x[0], top + size * 1.15], size * 1.2, true, CONFIRM));
    parts.push(Part::Heading(2, heading));
    parts.extend(list);
    Some(Strip { parts, top: top - 0.6 })
}
