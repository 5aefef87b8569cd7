//! The sheet that hangs on the column: one page that says whether the vehicle goes up, where its wheel stands, what the arms
//! are set to, and what is confirmed along the way.

mod form;

use std::collections::BTreeMap;

use planner::plan::Verdict;

use super::super::board::Board;
use super::super::labels::{self, Key};
use super::super::style::Style;
use super::super::text::{Anchor, LEADING, width, wrapped};
use super::super::{Area, Item, Text, plan_view, side_view};
use super::flow::{Said, going_on, pour, section};
use super::{Cell, Document, Heads, Page, Paper, Part, arms, code};
use crate::units::Round;
use crate::words::Reason;
use crate::{Scene, Units, words};
use form::{Form, HEIGHTS, Half, MORE, SHARES, SIZES, Strip, Told, confirmed, forms, grown, raised};

/// What a sheet says besides the plan itself.
#[derive(Clone, Copy, Debug)]
pub struct Printed<'a> {
    /// What it is printed on.
    pub paper: Paper,
    /// By which the book finds the plan again.
    pub mark: &'a str,
    /// What is confirmed during the raise, in order.
    pub points: &'a [String],
}

/// White on every side.
pub(super) const MARGIN: f64 = 9.0;
/// Side of the code at the right of the head.
pub(super) const CODE: f64 = 24.0;
const GAP: f64 = 2.5;

/// The sheet of a plan.
pub(crate) fn sheet(scene: &Scene<'_>, units: Units, printed: &Printed<'_>) -> Document {
    let verdict = words::verdict(scene);
    let parts = match scene.plan.verdict {
        Verdict::DoNotRaise => super::refused::parts(scene, units, printed),
        Verdict::Raise | Verdict::RaiseWithConditions => allowed(scene, units, printed),
    };
    let pages = super::numbered(parts, sides(printed.paper), &super::foot_of(printed.mark));
    let title = format!("{} on {}: {verdict}", scene.vehicle.name, scene.lift.name);
    Document {
        title,
        paper: printed.paper,
        pages: pages.into_iter().map(|parts| Page { name: verdict.clone(), parts }).collect(),
    }
}

/// What is printed on, without its margin.
pub(super) fn sides(paper: Paper) -> Area {
    let [wide, high] = paper.size();
    Area { x: [MARGIN, wide - MARGIN], y: [MARGIN, high - MARGIN] }
}

fn allowed(scene: &Scene<'_>, units: Units, printed: &Printed<'_>) -> Vec<Vec<Part>> {
    let page = sides(printed.paper);
    let mut upper = vec![];
    let top = head(&mut upper, scene, units, printed, page) + GAP;
    // Read last.
    let mut last = vec![];
    let foot = cautions(&mut last, page, 3.1) - 1.0;
    let (mut parts, mut key) = (upper, Key::default());
    let end = set_up(&mut parts, &mut key, scene, units, (page.x, top)) + 1.5;
    parts.push(ornament(|board| board.line(&[[page.x[0], end], [page.x[1], end]], Style::Rule)));
    let half = Half { parts, key, room: Area { x: page.x, y: [end + 2.0, foot] } };
    let mut strips: BTreeMap<usize, Option<Strip>> = BTreeMap::new();
    let page_of = |lower: Vec<Part>| [half.parts.clone(), lower, last.clone()].concat();
    let mut without_letters: Option<(usize, Vec<Part>)> = None;
    let mut more = MORE;
    for form in forms() {
        if without_letters.is_some() {
            more -= 1;
        }
        if more == 0 {
            break;
        }
        let strip =
            strips.entry(form.rest).or_insert_with(|| confirmed(printed, SIZES[form.rest], half.room));
        let Some(strip) = strip else { continue };
        let Some((lower, left, key)) = raised(scene, units, &half, strip, &form, false) else {
            continue;
        };
        let unmarked = key.unmarked.len();
        if !left.is_empty() || without_letters.as_ref().is_some_and(|(least, _)| *least <= unmarked) {
            continue;
        }
        if unmarked == 0 {
            return vec![page_of(grown(scene, units, &half, strip, &form).unwrap_or(lower))];
        }
        without_letters = Some((unmarked, page_of(lower)));
    }
    if let Some((_, page)) = without_letters {
        return vec![page];
    }
    let of = of(scene, units);
    let InPart { first, behind, left } = in_part(scene, units, printed, &half, &of);
    let pages = std::iter::once(page_of(first)).chain(behind).collect();
    super::go_on(pages, &left, 3.5, page, Some(&of))
}

/// What a page says that lies by itself.
pub(super) fn of(scene: &Scene<'_>, units: Units) -> String {
    let [vehicle, lift, job, _] = subjects(scene, units).map(|(_, says)| says);
    format!("{vehicle}, {lift}, {job}: {}", words::verdict(scene))
}

/// A sheet that goes on.
struct InPart {
    /// The lower half of the first page.
    first: Vec<Part>,
    /// Pages behind it that are whole: the side view, and what is ticked where that has no room on the first.
    behind: Vec<Vec<Part>>,
    /// What is left to be said.
    left: Vec<Said>,
}

/// The lower half where not all has room in it, and what is left for the next page: nothing is cut, whatever there is to say. Of
/// all that, what must be met and what is ticked come first.
fn in_part(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, half: &Half, of: &str) -> InPart {
    const GOES_ON: &str = "GOES ON ON PAGE 2: keep all pages of this sheet together.";
    const TICKED_THERE: &str =
        "GOES ON ON PAGE 2, where the points to confirm are: keep all pages of this sheet together.";
    let foot = half.room.y[1];
    let half = &Half { room: Area { y: [half.room.y[0], foot - 6.0], ..half.room }, ..half.clone() };
    let here =
        ticked_beside(scene, units, printed, half).or_else(|| ticked_alone(scene, units, printed, half, of));
    let (mut found, says) = match here {
        Some(found) => (found, GOES_ON),
        None => (ticked_next(scene, units, printed, half, of), TICKED_THERE),
    };
    let line = items(|board| board.say([half.room.x[0], foot - 1.6], 3.5, true, says));
    found.first.push(Part::Paragraph(line));
    found
}

/// What is ticked on the first page, in small type rather than on the second, beside a side view.
fn ticked_beside(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, half: &Half) -> Option<InPart> {
    (2..SIZES.len()).find_map(|size| {
        let strip = confirmed(printed, SIZES[size], half.room)?;
        [HEIGHTS[0], HEIGHTS[2]].into_iter().find_map(|high| {
            let form = Form { size, rest: size, told: Told::All, share: SHARES[1], high };
            let (first, left, _) = raised(scene, units, half, &strip, &form, true)?;
            let is_ticked_here = !left.iter().any(|said| matches!(said, Said::Point(_)));
            is_ticked_here.then_some(InPart { first, behind: vec![], left })
        })
    })
}

/// What is ticked on the first page, and the side view on the second.
fn ticked_alone(
    scene: &Scene<'_>,
    units: Units,
    printed: &Printed<'_>,
    half: &Half,
    of: &str,
) -> Option<InPart> {
    let (said, count) = said(scene, units, &half.key, Told::All);
    SIZES.into_iter().find_map(|size| {
        let strip = confirmed(printed, size, half.room)?;
        let above = Area { y: [half.room.y[0], strip.top - 1.5], ..half.room };
        // What must be met is as large as it can be.
        let (mut first, left) = met(&said[..count], above);
        first.extend(strip.parts);
        left.is_empty().then(|| InPart { first, ..with_view(scene, units, printed, half, of, count, None) })
    })
}

/// What must be met has the first page to itself, what is ticked is the first on the second: above the side view or, where that
/// would not be large enough, alone.
fn ticked_next(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, half: &Half, of: &str) -> InPart {
    let (said, count) = said(scene, units, &half.key, Told::All);
    let (first, left) = met(&said[..count], half.room);
    let without = count - left.len();
    let mut head = vec![];
    let page = super::headed(&mut head, sides(printed.paper), of);
    let above = Area { y: [page.y[0], page.y[0] + 0.45 * page.height()], ..page };
    if let Some(ticked) = at_the_top(printed, above) {
        return InPart { first, ..with_view(scene, units, printed, half, of, without, Some(ticked)) };
    }
    let InPart { mut behind, left, .. } = with_view(scene, units, printed, half, of, without, None);
    let whole = Area { y: [page.y[0], page.y[1] - super::FOOT], ..page };
    let Some((parts, _)) = at_the_top(printed, whole) else {
        let points = section(CONFIRM, printed.points.iter().cloned().map(Said::Point));
        return InPart { first, behind, left: [points, left].concat() };
    };
    behind.insert(0, [head, parts].concat());
    InPart { first, behind, left }
}

/// What must be met, in two columns and as large as has room; what has none.
fn met(said: &[Said], room: Area) -> (Vec<Part>, &[Said]) {
    let set = |size: f64| {
        let mut parts = vec![];
        let left = pour(&mut parts, said, size, &columns(room, 2));
        (parts, left)
    };
    let whole = SIZES.into_iter().map(set).find(|(_, left)| left.is_empty());
    whole.unwrap_or_else(|| set(SIZES[SIZES.len() - 1]))
}

/// Nothing on the first page; on the second the side view, below what is given with where it ends, and what is said but for the
/// first so much.
fn with_view(
    scene: &Scene<'_>,
    units: Units,
    printed: &Printed<'_>,
    half: &Half,
    of: &str,
    without: usize,
    above: Option<(Vec<Part>, f64)>,
) -> InPart {
    let mut second = vec![];
    let page = super::headed(&mut second, sides(printed.paper), of);
    let (above, top) = above.map_or((vec![], page.y[0]), |(parts, end)| (parts, end + 3.0));
    second.extend(above);
    let room = Area { y: [top, page.y[1] - super::FOOT], ..page };
    let view = Area { y: [top, top + 0.4 * page.height()], ..room };
    let (mut board, mut key) = (Board::new(), half.key.clone());
    side_view::draw(&mut board, &mut key, scene, units, view);
    second.push(Part::Figure(side(scene, units), board.items));
    let (all, _) = said(scene, units, &key, Told::All);
    let all = going_on(&all, &all[without..]);
    let below = super::super::flow::halves(Area { y: [view.y[1] + 4.0, room.y[1]], ..room });
    let left = going_on(&all, pour(&mut second, &all, 3.5, &below));
    InPart { first: vec![], behind: vec![second], left }
}

/// What is confirmed, from the top of the room, and where it ends; `None` where it has no room.
fn at_the_top(printed: &Printed<'_>, room: Area) -> Option<(Vec<Part>, f64)> {
    SIZES.into_iter().find_map(|size| {
        let high = room.y[1] - confirmed(printed, size, room)?.top;
        let end = room.y[0] + high + 0.5;
        Some((confirmed(printed, size, Area { y: [room.y[0], end], ..room })?.parts, end))
    })
}

const CONFIRM: &str = "Confirm in this order";

/// An area in columns of one width.
pub(super) fn columns(area: Area, count: usize) -> Vec<Area> {
    const BETWEEN: f64 = 4.0;
    let of = (0..count).fold(0.0, |n, _| n + 1.0);
    let wide = (area.width() + BETWEEN) / of;
    let left = (0..count).scan(area.x[0], |x, _| {
        let at = *x;
        *x += wide;
        Some(at)
    });
    left.map(|x| Area { x: [x, x + wide - BETWEEN], ..area }).collect()
}

/// What is said beside the drawings, and how much of it must be met: that comes first.
fn said(scene: &Scene<'_>, units: Units, key: &Key, told: Told) -> (Vec<Said>, usize) {
    let short = |all: Vec<Reason<'_>>| -> Vec<Said> {
        all.iter().map(|reason| Said::Sentence(reason.short(scene, units))).collect()
    };
    let conditions =
        words::conditions(scene).iter().map(|r| Said::Point(r.short(scene, units))).collect::<Vec<_>>();
    let letters: Vec<String> = key.unmarked.iter().map(|n| labels::letter(*n)).collect();
    let without = (!letters.is_empty())
        .then(|| Said::Sentence(format!("No room in the drawing for the letters: {}.", letters.join(", "))));
    let looser = words::looser_limits(scene, units).into_iter().map(Said::Sentence);
    let boxes = words::not_printed(scene).into_iter();
    let boxes = boxes.map(|name| Said::Sentence(format!("Signs stand as boxes in {name}.")));
    let first = [section(LOOSER, looser), section("Conditions", conditions)].concat();
    let rest = [
        section("Cannot be printed", boxes),
        section("Watch", short(words::watch(scene))),
        section("In the drawing", names(key, told).into_iter().chain(without)),
        section("Guessed, not measured", guessed(scene, units, told).map(Said::Sentence)),
    ]
    .concat();
    let count = first.len();
    ([first, rest].concat(), count)
}

pub(super) const LOOSER: &str = "By own limits, looser than the default: may pass what that would refuse";

/// What the letters in the drawing stand for.
fn names(key: &Key, told: Told) -> Vec<Said> {
    let all = key.names.iter().enumerate();
    match told {
        _ if key.names.is_empty() => vec![],
        Told::All => all.map(|(k, name)| Said::Named(k + 1, name.clone())).collect(),
        Told::Guessed => {
            let each: Vec<String> =
                all.map(|(k, name)| format!("{}: {name}", labels::letter(k + 1))).collect();
            vec![Said::Sentence(format!("{}.", each.join("; ")))]
        }
    }
}

/// How the planner names what it took of parts whose places have no tolerance.
const PLACES: &str = "tolerance of the place of ";
const HEIGHTS_OF: &str = "tolerance of the height of the centre of ";

fn guessed(scene: &Scene<'_>, units: Units, told: Told) -> impl Iterator<Item = String> {
    let all = scene.plan.assumptions.iter().filter(|a| !words::is_looser(a));
    let said: Vec<String> = match told {
        Told::All => all.map(|a| words::short_assumption(a, units)).collect(),
        Told::Guessed => {
            let mut named: Vec<String> = all.map(|a| words::assumed(a, units)).collect();
            // Of parts that were not measured both are, and said once.
            let of = |text: &str, what: &str| text.strip_prefix(what).map(str::to_owned);
            let places: Vec<String> = named.iter().filter_map(|t| of(t, PLACES)).collect();
            named.retain(|text| of(text, HEIGHTS_OF).is_none_or(|parts| !places.contains(&parts)));
            for text in &mut named {
                if let Some(parts) = of(text, PLACES) {
                    *text = format!("tolerances of place and height of {parts}");
                }
            }
            let named = (!named.is_empty()).then(|| words::capital(&format!("{}.", named.join("; "))));
            named.into_iter().collect()
        }
    };
    said.into_iter()
}

fn side(scene: &Scene<'_>, units: Units) -> String {
    let tasks = scene.plan.height.tasks.iter().map(|task| words::task_height(scene, task, units));
    let said: Vec<String> = tasks.collect();
    format!(
        "The raised vehicle from the left, at the lock to work at, with whoever works there. {}",
        said.join(" ")
    )
}

/// Items that mean nothing to who hears the page.
pub(super) fn ornament(draw: impl FnOnce(&mut Board)) -> Part {
    Part::Ornament(items(draw))
}

pub(super) fn items(draw: impl FnOnce(&mut Board)) -> Vec<Item> {
    let mut board = Board::new();
    draw(&mut board);
    board.items
}

/// The largest size up to `most` at which a line fits.
pub(super) fn fitting(says: &str, most: f64, room: f64) -> f64 {
    most.min(room / width(says, 1.0, true).max(1e-6))
}

/// Verdict, what it is about, where the front wheel stands, the mark; gives where it ends.
fn head(parts: &mut Vec<Part>, scene: &Scene<'_>, units: Units, printed: &Printed<'_>, page: Area) -> f64 {
    let [left, right] = page.x;
    let banner = Area { x: [left, right - CODE - 3.0], y: [page.y[0], page.y[0] + 12.5] };
    let says = words::verdict(scene).to_uppercase();
    let size = fitting(&says, 8.6, banner.width() - 7.0);
    parts.push(ornament(|board| {
        board.rectangle(banner, Style::Frame);
        if scene.plan.verdict == Verdict::Raise {
            board.rectangle(banner.grown(-0.9), Style::Frame);
        }
    }));
    let base = banner.middle()[1] + size * 0.36;
    parts.push(Part::Heading(1, items(|board| board.say([left + 3.5, base], size, true, &says))));
    let coded = mark(parts, printed.mark, [right - CODE, page.y[0]], CODE);
    let middle = left + banner.width() * 0.45;
    let about = about(parts, scene, units, [left, middle - 3.0], banner.y[1] + 6.0);
    let wheel = wheel(parts, scene, units, [middle, banner.x[1]], banner.y[1] + 5.0);
    let end = about.max(wheel).max(coded) + 1.0;
    parts.push(ornament(|board| board.line(&[[left, end], [right, end]], Style::Frame)));
    end
}

/// The code and, below it, the mark; gives where it ends.
pub(super) fn mark(parts: &mut Vec<Part>, mark: &str, [left, top]: [f64; 2], side: f64) -> f64 {
    let says = format!("The mark of this plan, {mark}, as a code.");
    parts.push(Part::Figure(says, items(|board| code::draw(board, mark, [left, top], side))));
    let text = |at: [f64; 2], size: f64, bold, says: &str| Text {
        at,
        anchor: Anchor::Middle,
        size,
        bold,
        reversed: false,
        says: says.into(),
    };
    let x = left + side / 2.0;
    parts.push(Part::Paragraph(items(|board| {
        board.text(text([x, top + side + 1.5], 3.2, false, "Mark of this plan"));
        board.text(text([x, top + side + 5.6], 3.4, true, mark));
    })));
    top + side + 6.6
}

/// Lift, vehicle, mass and job; gives where it ends.
pub(super) fn about(
    parts: &mut Vec<Part>,
    scene: &Scene<'_>,
    units: Units,
    sides: [f64; 2],
    top: f64,
) -> f64 {
    let [vehicle, lift, job, mass] = subjects(scene, units);
    let rows = [(vehicle, 4.8, true), (lift, 4.0, false), (job, 4.0, false), (mass, 3.5, false)];
    labelled(parts, &rows, sides, top)
}

/// Vehicle, lift, job and mass.
pub(super) fn subjects(scene: &Scene<'_>, units: Units) -> [(&'static str, String); 4] {
    let mass = scene.plan.states.first().map_or_else(String::new, |s| {
        let mass = words::guessed(units.mass(s.mass.value), s.mass.is_assumed());
        format!("{mass} \u{b1} {}", units.mass_to(s.mass.tolerance, Round::Up))
    });
    let job = if scene.job.name.is_empty() { "raise and lower only" } else { &scene.job.name };
    [
        ("Vehicle", scene.vehicle.name.clone()),
        ("Lift", format!("{}, rated {}", scene.lift.name, units.rating(scene.lift.rated))),
        ("Job", job.to_owned()),
        ("Mass", mass),
    ]
}

/// Labels and, beside each, what it says, in a size up to one; gives where they end.
pub(super) fn labelled(
    parts: &mut Vec<Part>,
    rows: &[((&str, String), f64, bool)],
    [left, right]: [f64; 2],
    top: f64,
) -> f64 {
    const LABEL: f64 = 15.0;
    let room = right - left - LABEL;
    let mut y = top;
    let mut table = vec![];
    for ((label, says), most, bold) in rows.iter().filter(|((_, says), ..)| !says.is_empty()) {
        let sizes = [*most, 4.0, 3.5, 3.0].into_iter().filter(|size| size <= most);
        let set = |size: f64| (size, wrapped(says, size, *bold, room));
        let two = sizes.clone().map(set).find(|(_, lines)| lines.len() <= 2);
        let (size, lines) = two.unwrap_or_else(|| set(3.0));
        let head = items(|board| board.say([left, y], 3.2, false, label));
        let mut end = y;
        let value = items(|board| end = board.say_lines([left + LABEL, y], size, *bold, &lines));
        table.push(vec![
            Cell { heads: Heads::Row, items: head },
            Cell { heads: Heads::Nothing, items: value },
        ]);
        y = end + 0.4;
    }
    parts.push(Part::Table(table));
    y - 3.6
}

/// Where the front wheel stands; gives where it ends.
fn wheel(parts: &mut Vec<Part>, scene: &Scene<'_>, units: Units, [left, right]: [f64; 2], top: f64) -> f64 {
    let room = right - left;
    let (figure, rest) = words::spot_in_two(scene, units);
    let label = format!("Front wheel, {}", words::origin(scene));
    parts.push(Part::Heading(2, items(|board| board.say([left, top + 0.5], 3.5, false, &label))));
    let mut y = top + 10.5;
    let figure_size = fitting(&figure, 11.0, room);
    let written = items(|board| {
        board.say([left, y], figure_size, true, &figure);
        y += 5.6;
        let stance = words::stance(scene, units);
        // On one line, if it need not be much smaller for that.
        let small = (room / width(&stance, 1.0, false)).min(3.5);
        let small = if small < 2.9 { 3.3 } else { small };
        for (says, size, bold) in [(rest, 4.2, true), (stance, small, false)] {
            y = board.say_lines([left, y], size, bold, &wrapped(&says, size, bold, room));
        }
    });
    parts.push(Part::Paragraph(written));
    y - 3.6
}

/// Plan view between the four arms; gives where it ends.
fn set_up(
    parts: &mut Vec<Part>,
    key: &mut Key,
    scene: &Scene<'_>,
    units: Units,
    ([left, right], top): ([f64; 2], f64),
) -> f64 {
    let columns = [[left, left + arms::WIDE], [right - arms::WIDE, right]];
    let end = arms::draw(parts, scene, units, (columns, top));
    let mut board = Board::new();
    let view = Area { x: [columns[0][1] + 1.5, columns[1][0] - 1.5], y: [top, end] };
    plan_view::draw(&mut board, key, scene, units, view);
    let says = format!("The vehicle on the lift from above. Front wheel {}.", words::spot(scene, units));
    parts.push(Part::Figure(says, board.items));
    let says = format!(
        "{} {}",
        words::SWING_AND_HEIGHT,
        if scene.plan.states.len() > 1 { LOADS } else { LOADS_ONCE }
    );
    let size = fitting(&says, 3.0, right - left);
    parts.push(Part::Paragraph(items(|board| board.say([left, end + 3.6], size, false, &says))));
    end + 4.0
}

/// What is told of loads.
const LOADS: &str = "Load: as raised. At most: in any state of the job, every input off by its tolerance.";
const LOADS_ONCE: &str = "Load: as raised. At most: every input off by its tolerance.";

/// Cautions at the foot; gives where they begin.
pub(super) fn cautions(parts: &mut Vec<Part>, page: Area, size: f64) -> f64 {
    let bottom = page.y[1] - super::FOOT;
    let lines: Vec<Vec<String>> =
        words::cautions().iter().map(|c| wrapped(c, size, true, page.width() - 4.0)).collect();
    let rows = lines.iter().flatten().fold(0.0, |n, _| n + 1.0);
    let top = bottom - rows * size * LEADING;
    parts.push(ornament(|board| board.line(&[[page.x[0], top - 1.4], [page.x[1], top - 1.4]], Style::Frame)));
    let mut y = top + size * 0.9;
    let entries = lines.iter().map(|caution| {
        items(|board| {
            board.rectangle(Area::sized([page.x[0], y - 1.9], [1.6, 1.6]), Style::Banner);
            y = board.say_lines([page.x[0] + 4.0, y], size, true, caution);
        })
    });
    parts.push(Part::List(entries.collect()));
    top - 1.4
}
