//! The job from left to right: a small plan a state, with its centre of gravity, span of the pads and reserve.

use planner::Placement;
use planner::plan::StateAnswer;
use statics::{Length, Place};

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{LEADING, SMALL, clipped, wrapped};
use crate::{Scene, Units, units, words};

/// States in a row, and rows.
const IN_A_ROW: usize = 6;
const MOST: usize = 12;
/// Heading of the strip.
const HEAD: f64 = 8.0;
const PLAN: f64 = 27.0;
const LINE: f64 = SMALL * LEADING;
const INSET: f64 = 1.5;
const NAME_LINES: usize = 2;
const SAID_LINES: usize = 9;

/// How much of the page it takes; nothing where the job has one state.
pub(super) fn height(scene: &Scene<'_>) -> f64 {
    if scene.plan.states.len() < 2 {
        return 0.0;
    }
    let rows = if shown(scene).len() > IN_A_ROW { 2.0 } else { 1.0 };
    HEAD + rows * row_height() + 2.0
}

fn row_height() -> f64 {
    let lines = [(); NAME_LINES + SAID_LINES].iter().fold(0.0, |h, ()| h + LINE);
    lines + PLAN + 8.5
}

/// The states that are drawn: all, or the first, the last, and those that leave least.
fn shown(scene: &Scene<'_>) -> Vec<usize> {
    let states = &scene.plan.states;
    let last = states.len().saturating_sub(1);
    let mut order: Vec<usize> = (0..states.len()).collect();
    let ends = |k: usize| k == 0 || k == last;
    order.sort_by(|&a, &b| {
        ends(b)
            .cmp(&ends(a))
            .then(states[a].worst_reserve.total_cmp(&states[b].worst_reserve))
            .then(a.cmp(&b))
    });
    order.truncate(MOST);
    order.sort_unstable();
    order
}

/// Draws it in an area of the page as high as [`height`].
pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    if scene.plan.states.len() < 2 {
        return;
    }
    let shown = shown(scene);
    board.line(&[[area.x[0], area.y[0]], [area.x[1], area.y[0]]], Style::Rule);
    board.say([area.x[0], area.y[0] + 5.4], 4.2, true, "The job, state by state");
    let left = scene.plan.states.len() - shown.len();
    let beside = if left > 0 {
        format!("{left} states that leave more are in the report")
    } else {
        "arrow: front; cross: centre of gravity in the state before".into()
    };
    board.say_up_to([area.x[1], area.y[0] + 5.4], SMALL, false, &beside);
    let columns = shown.len().min(IN_A_ROW);
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let wide = area.width() / columns as f64;
    let window = Window::around(scene, &shown, [wide - 2.0 * INSET, PLAN]);
    let (mut x, mut y) = (area.x[0], area.y[0] + HEAD);
    for (n, &state) in shown.iter().enumerate() {
        if n == IN_A_ROW {
            (x, y) = (area.x[0], y + row_height());
        }
        let cell = Area::sized([x, y], [wide, row_height() - 2.0]);
        one(board, scene, units, state, cell, &window);
        x += wide;
    }
}

/// Part of the bay that is drawn, ahead at the top as in the plan view: the pads and every centre of gravity.
struct Window<'a> {
    stand: &'a Placement,
    per_metre: f64,
    middle: [f64; 2],
}

impl<'a> Window<'a> {
    fn around(scene: &Scene<'a>, shown: &[usize], room: [f64; 2]) -> Self {
        let stand = &scene.plan.placement;
        let pads = scene.plan.pads.iter().map(|p| p.bay.to_metres());
        let states = shown.iter().filter_map(|&k| scene.plan.states.get(k));
        let corners = states.flat_map(|s| corners(s).map(|c| stand.to_bay(Place::metres(c)).to_metres()));
        let (mut least, mut greatest) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for at in pads.chain(corners) {
            for k in 0..2 {
                least[k] = least[k].min(at[k]);
                greatest[k] = greatest[k].max(at[k]);
            }
        }
        let span: [f64; 2] = [0, 1].map(|k| (greatest[k] - least[k] + 0.16).max(0.1));
        let per_metre = (room[0] / span[1]).min(room[1] / span[0]);
        Self { stand, per_metre, middle: [0, 1].map(|k| f64::midpoint(least[k], greatest[k])) }
    }

    /// A place of the vehicle.
    fn on_page(&self, place: [f64; 2], centre: [f64; 2]) -> [f64; 2] {
        let [x, y] = self.stand.to_bay(Place::metres(place)).to_metres();
        [centre[0] - (y - self.middle[1]) * self.per_metre, centre[1] - (x - self.middle[0]) * self.per_metre]
    }
}

/// Corners of the box in which the centre of gravity is.
fn corners(state: &StateAnswer) -> [[f64; 2]; 4] {
    let [aft, left, _] = state.cg.to_metres();
    let [along, across, _] = state.cg_tolerance.map(Length::to_metres);
    [[-along, -across], [along, -across], [along, across], [-along, across]].map(|[a, l]| [aft + a, left + l])
}

fn one(board: &mut Board, scene: &Scene<'_>, units: Units, k: usize, cell: Area, window: &Window<'_>) {
    let Some(state) = scene.plan.states.get(k) else { return };
    let room = cell.width() - 2.0 * INSET;
    let worst = scene.plan.states.iter().map(|s| s.worst_reserve).fold(f64::INFINITY, f64::min);
    let is_worst = state.worst_reserve <= worst;
    board.rectangle(
        Area { x: [cell.x[0] + 0.5, cell.x[1] - 0.5], y: cell.y },
        if is_worst { Style::Frame } else { Style::Rule },
    );
    let left = cell.x[0] + INSET;
    let mut y = cell.y[0] + LINE;
    let name = fitted(&format!("{}. {}", k + 1, state.name), true, room, NAME_LINES);
    board.say_lines([left, y], SMALL, true, &name);
    y += LINE;
    let centre = [cell.middle()[0], y + 2.5 + PLAN / 2.0];
    small_plan(board, scene, k, window, centre);
    y += PLAN + 4.5 + LINE;
    y = board.say_lines([left, y], SMALL, true, &fitted(&reserve(state), true, room, 1));
    let before = k.checked_sub(1).and_then(|k| scene.plan.states.get(k));
    let moved = before.and_then(|b| words::moved(b, state, units));
    let mut said = vec![
        (format!("front pads {} %", units::decimals(state.front_share * 100.0, 0)), 1),
        (format!("edge {}", units.length(state.assured_edge)), 1),
        (format!("tips at {}", tips(state)), 1),
    ];
    said.extend(moved.map(|way| (format!("CG {way}"), 3)));
    if let Some(check) = words::held_by(scene, k) {
        said.push((format!("held by {}", words::check_title(scene, check.what)), 3));
    }
    let mut free = SAID_LINES - 1;
    for (text, most) in said {
        let lines = fitted(&text, false, room, most.min(free));
        free -= lines.len();
        y = board.say_lines([left, y], SMALL, false, &lines);
    }
}

fn reserve(state: &StateAnswer) -> String {
    let figure = units::reserve(state.worst_reserve);
    if state.worst_reserve < 0.0 { figure } else { format!("reserve {figure}") }
}

fn tips(state: &StateAnswer) -> String {
    state.tip_ratio.map_or_else(|| "-".into(), |g| format!("{g:.2} g"))
}

/// The text in at most so many lines, cut with a sign that it was cut.
fn fitted(text: &str, bold: bool, room: f64, most: usize) -> Vec<String> {
    let mut lines = wrapped(text, SMALL, bold, room);
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = clipped(&format!("{last}...{}", ".".repeat(60)), SMALL, bold, room);
        }
    }
    lines
}

fn small_plan(board: &mut Board, scene: &Scene<'_>, k: usize, window: &Window<'_>, centre: [f64; 2]) {
    let states = &scene.plan.states;
    let Some(state) = states.get(k) else { return };
    let at = |place: [f64; 2]| window.on_page(place, centre);
    let pads = scene.plan.pads.each_ref().map(|p| at(p.at.to_metres()));
    let span: Vec<[f64; 2]> = state.edges.iter().map(|e| pads[e.from.index()]).collect();
    board.polygon(&span, Style::Support);
    front(board, scene, window, centre);
    for pad in pads {
        board.circle(pad, 1.0, Style::Pad);
    }
    let cg = at(state.cg.plan().to_metres());
    if let Some(edge) =
        state.edges.iter().min_by(|a, b| a.assured.to_metres().total_cmp(&b.assured.to_metres()))
    {
        let (a, b) = (pads[edge.from.index()], pads[edge.to.index()]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let t = ((cg[0] - a[0]) * dx + (cg[1] - a[1]) * dy) / (dx * dx + dy * dy).max(1e-12);
        board.line(&[cg, [a[0] + dx * t, a[1] + dy * t]], Style::LeastEdge);
    }
    if let Some(before) = k.checked_sub(1).and_then(|k| states.get(k)) {
        let from = at(before.cg.plan().to_metres());
        board.line(&[from, cg], Style::Leader);
        board.line(&[[from[0] - 1.2, from[1]], [from[0] + 1.2, from[1]]], Style::Dimension);
        board.line(&[[from[0], from[1] - 1.2], [from[0], from[1] + 1.2]], Style::Dimension);
    }
    board.polygon(&corners(state).map(at), Style::Tolerance);
    board.centre_of_gravity(cg, 1.3);
}

/// A small arrow head beyond the middle of the front pads.
fn front(board: &mut Board, scene: &Scene<'_>, window: &Window<'_>, centre: [f64; 2]) {
    let [a, b] = [0, 1].map(|k| scene.plan.pads[k].at.to_metres());
    let middle = [0, 1].map(|k| f64::midpoint(a[k], b[k]));
    let [foot, ahead] = [middle, [middle[0] - 1.0, middle[1]]].map(|at| window.on_page(at, centre));
    let long = (ahead[0] - foot[0]).hypot(ahead[1] - foot[1]).max(1e-9);
    let (ux, uy) = ((ahead[0] - foot[0]) / long, (ahead[1] - foot[1]) / long);
    let at =
        |along: f64, across: f64| [foot[0] + ux * along - uy * across, foot[1] + uy * along + ux * across];
    board.polygon(&[at(3.4, 0.0), at(1.2, 1.2), at(1.2, -1.2)], Style::Front);
}
