//! The job from state to state: a small plan of each, with its centre of gravity, span of the pads and reserve.

use planner::Placement;
use planner::plan::StateAnswer;
use statics::{Length, Place};

use super::Area;
use super::area::At;
use super::board::Board;
use super::flow;
use super::style::Style;
use super::text::{LEADING, SMALL, wrapped};
use crate::units::Round;
use crate::{Scene, Units, units, words};

/// States in a row at the most: below a side view, and where they have a page of their own.
const MOST: usize = 6;
const MOSTS: [usize; 4] = [6, 5, 4, 3];
/// A cell is no wider, mm.
const WIDEST: f64 = 48.6;
/// Heading of the strip.
pub(super) const HEAD: f64 = 8.0;
/// Height of a small plan, likewise.
const PLAN: f64 = 22.0;
const PLANS: [f64; 4] = [PLAN, 28.0, 34.0, 40.0];
/// Above and below the small plan, for the arrow head that tells the front.
const ARROW: f64 = 3.2;
const LINE: f64 = SMALL * LEADING;
const INSET: f64 = 1.5;
/// Half the sign of a stand, mm.
const STAND: f64 = 1.1;
/// Between two cells, mm.
const APART: f64 = 1.4;

/// The cells of a job of several states, in rows.
pub(super) struct Strip<'s, 'a> {
    scene: &'s Scene<'a>,
    rows: Vec<Row>,
    wide: f64,
    plan: f64,
    window: Window<'a>,
}

/// The small plans of a row stand side by side, whatever the names above them take.
struct Row {
    cells: Vec<Cell>,
    names: f64,
    high: f64,
}

struct Cell {
    state: usize,
    is_worst: bool,
    name: Vec<String>,
    reserve: Vec<String>,
    said: Vec<String>,
}

impl<'s, 'a> Strip<'s, 'a> {
    /// `None` where the job has one state.
    pub(super) fn of(scene: &'s Scene<'a>, units: Units, across: f64) -> Option<Self> {
        Self::with(scene, units, across, (MOST, PLAN))
    }

    /// The one with the largest small plans that fits a page in one piece; of as large ones the lowest.
    pub(super) fn on_a_page(scene: &'s Scene<'a>, units: Units, [across, high]: [f64; 2]) -> Option<Self> {
        let forms = MOSTS.into_iter().flat_map(|most| PLANS.map(|plan| (most, plan)));
        let all = forms.filter_map(|form| Self::with(scene, units, across, form));
        let size = |strip: &Self| strip.window.per_metre;
        all.filter(|strip| strip.high() <= high).reduce(|a, b| {
            let larger = size(&b) > size(&a) + 1e-9;
            let lower = (size(&b) - size(&a)).abs() <= 1e-9 && b.high() < a.high();
            if larger || lower { b } else { a }
        })
    }

    /// With so many states in a row at the most, and small plans so high.
    fn with(scene: &'s Scene<'a>, units: Units, across: f64, (most, plan): (usize, f64)) -> Option<Self> {
        let states = &scene.plan.states;
        if states.len() < 2 {
            return None;
        }
        let columns = states.len().div_ceil(states.len().div_ceil(most));
        #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
        let wide = ((across + APART) / columns as f64).min(WIDEST);
        let room = wide - 2.0 * INSET - APART;
        let mut rest: Vec<Cell> = (0..states.len()).map(|k| Cell::of(scene, units, k, room)).collect();
        let mut rows: Vec<Row> = Vec::new();
        while !rest.is_empty() {
            let later = rest.split_off(columns.min(rest.len()));
            rows.push(Row::of(std::mem::replace(&mut rest, later), plan));
        }
        Some(Self { scene, rows, wide, plan, window: Window::around(scene, [room, plan]) })
    }

    /// Heights of its rows.
    pub(super) fn rows(&self) -> Vec<f64> {
        self.rows.iter().map(|row| row.high + APART).collect()
    }

    /// All of it in one piece.
    pub(super) fn high(&self) -> f64 {
        HEAD + self.rows().iter().sum::<f64>()
    }

    pub(super) fn heading(&self, board: &mut Board, [left, right]: [f64; 2], top: f64, goes_on: bool) {
        let says = if goes_on { "The job, state by state, goes on" } else { "The job, state by state" };
        board.say([left, top + 5.0], 4.2, true, says);
        let on_stands = self.scene.plan.states.iter().any(|state| state.whole.is_some());
        let beside = if on_stands {
            "arrow: front; rings: CG before and now; on stands, mark: what the pads carry"
        } else {
            "arrow head: front; ring: centre of gravity in the state before"
        };
        board.say_up_to([right, top + 5.0], SMALL, false, beside);
    }

    /// One row from its upper left corner.
    pub(super) fn draw(&self, board: &mut Board, row: usize, [left, top]: At) {
        let Some(row) = self.rows.get(row) else { return };
        let mut x = left;
        for cell in &row.cells {
            cell.draw(board, self, Area::sized([x, top], [self.wide - APART, row.high]), row.names);
            x += self.wide;
        }
    }
}

impl Row {
    fn of(cells: Vec<Cell>, plan: f64) -> Self {
        let most = |lines: fn(&Cell) -> usize| {
            let most = cells.iter().map(lines).max().unwrap_or(0);
            (0..most).fold(0.0, |high, _| high + LINE)
        };
        let names = most(|c| c.name.len());
        let high = names + plan + most(|c| c.reserve.len() + c.said.len()) + 2.0 * ARROW + 3.0;
        Self { names, high, cells }
    }
}

impl Cell {
    fn of(scene: &Scene<'_>, units: Units, k: usize, room: f64) -> Self {
        let states = &scene.plan.states;
        let state = &states[k];
        let worst = states.iter().map(|s| s.worst_reserve).fold(f64::INFINITY, f64::min);
        // Where all are alike, none is.
        let is_worst = state.worst_reserve <= worst && states.iter().any(|s| s.worst_reserve > worst);
        let figure = units::reserve(state.worst_reserve);
        let fails = state.worst_reserve < 0.0;
        let reserve = if fails { figure } else { format!("reserve {figure}") };
        let least = match (is_worst, fails) {
            (false, _) => "",
            (true, false) => ", the least",
            (true, true) => ", the worst",
        };
        let before = k.checked_sub(1).and_then(|k| states.get(k));
        let on_stands = state.whole.is_some();
        let left = on_stands.then(|| format!("{} left to the pads", units.mass(state.mass.value)));
        let mut said: Vec<String> = words::off(scene, k).into_iter().chain(left).collect();
        said.extend([
            format!("front end {} %", units::decimals(state.front_share * 100.0, 0)),
            format!("edge {}", units.length_to(state.assured_edge, Round::Down)),
            format!("tips at {}", tips(state, units)),
            words::sure(state, units),
        ]);
        let whose = if on_stands { "vehicle's own CG" } else { "CG" };
        said.extend(before.and_then(|b| words::moved(b, state, units)).map(|way| format!("{whose} {way}")));
        said.extend(
            words::held_by(scene, k).map(|c| format!("held by {}", words::check_title(scene, c.what))),
        );
        Self {
            state: k,
            is_worst,
            name: wrapped(&format!("{}. {}", k + 1, state.name), SMALL, true, room),
            reserve: wrapped(&format!("{reserve}{least}"), SMALL, true, room),
            said: said.iter().flat_map(|says| wrapped(says, SMALL, false, room)).collect(),
        }
    }

    fn draw(&self, board: &mut Board, strip: &Strip<'_, '_>, area: Area, names: f64) {
        board.rectangle(area, if self.is_worst { Style::Frame } else { Style::Rule });
        let left = area.x[0] + INSET;
        board.say_lines([left, area.y[0] + LINE], SMALL, true, &self.name);
        let top = area.y[0] + names;
        let middle = [area.middle()[0], top + 1.5 + ARROW + strip.plan / 2.0];
        small_plan(board, (strip.scene, &strip.window), self.state, middle, 1.0);
        let y =
            board.say_lines([left, top + strip.plan + 2.0 * ARROW + 1.0 + SMALL], SMALL, true, &self.reserve);
        board.say_lines([left, y], SMALL, false, &self.said);
    }
}

fn tips(state: &StateAnswer, units: Units) -> String {
    state.tip_ratio.map_or_else(|| "-".into(), |g| units.tip(g))
}

/// Part of the bay that is drawn, ahead at the top as in the plan view: the pads and every centre of gravity.
struct Window<'a> {
    stand: &'a Placement,
    per_metre: f64,
    middle: [f64; 2],
}

impl<'a> Window<'a> {
    fn around(scene: &Scene<'a>, room: [f64; 2]) -> Self {
        let stand = &scene.plan.placement;
        let pads = scene.plan.pads.iter().map(|p| p.bay.to_metres());
        let corners = scene.plan.states.iter().flat_map(corners);
        let corners = corners.map(|c| stand.to_bay(Place::metres(c)).to_metres());
        let stands = words::stand_places(scene).into_iter().map(|at| stand.to_bay(at).to_metres());
        let places: Vec<[f64; 2]> = pads.chain(corners).chain(stands).collect();
        let around = Area::around(&places);
        let per_metre = (room[1] / (around.width() + 0.16)).min(room[0] / (around.height() + 0.16));
        Self { stand, per_metre, middle: around.middle() }
    }

    /// A place of the vehicle.
    fn on_page(&self, place: [f64; 2], centre: At) -> At {
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

/// One state in a size of its own, with what each pad carries then.
pub(super) fn alone(board: &mut Board, scene: &Scene<'_>, units: Units, k: usize, [wide, high]: [f64; 2]) {
    const BESIDE: f64 = 19.0;
    let window = Window::around(scene, [wide - 2.0 * BESIDE, high - 2.0 * ARROW - 6.0]);
    let Some(state) = scene.plan.states.get(k) else { return };
    let middle = [wide / 2.0, high / 2.0];
    small_plan(board, (scene, &window), k, middle, 1.6);
    for (pad, load) in scene.plan.pads.iter().zip(state.loads) {
        let [x, y] = window.on_page(pad.at.to_metres(), middle);
        let (says, base) = (units.load(load), y + 0.36 * SMALL);
        if x < middle[0] {
            board.say_up_to([x - 3.2, base], SMALL, true, &says);
        } else {
            board.say([x + 3.2, base], SMALL, true, &says);
        }
    }
}

/// Signs in this many times their size.
fn small_plan(
    board: &mut Board,
    (scene, window): (&Scene<'_>, &Window<'_>),
    k: usize,
    centre: At,
    larger: f64,
) {
    let states = &scene.plan.states;
    let Some(state) = states.get(k) else { return };
    let at = |place: [f64; 2]| window.on_page(place, centre);
    let pads = scene.plan.pads.each_ref().map(|p| at(p.at.to_metres()));
    let span: Vec<At> = state.edges.iter().map(|e| pads[e.from.index()]).collect();
    board.polygon(&span, Style::Support);
    front(board, scene, window, centre);
    for pad in pads {
        board.circle(pad, larger, Style::Pad);
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
        let from = at(own(before));
        board.line(&[from, at(own(state))], Style::Dimension);
        flow::other_centre(board, from);
    }
    if state.whole.is_some() {
        for place in words::stand_places(scene) {
            flow::stand(board, at(place.to_metres()), STAND * larger);
        }
        flow::other_centre(board, at(own(state)));
    }
    board.polygon(&corners(state).map(at), Style::Tolerance);
    board.centre_of_gravity(cg, 1.5 * larger);
}

/// The vehicle's own centre of gravity: on stands, not that of what is left to the pads.
fn own(state: &StateAnswer) -> [f64; 2] {
    state.whole.map_or(state.cg, |whole| whole.cg).plan().to_metres()
}

/// A small arrow head beyond the middle of the front pads.
fn front(board: &mut Board, scene: &Scene<'_>, window: &Window<'_>, centre: At) {
    let [a, b] = [0, 1].map(|k| scene.plan.pads[k].at.to_metres());
    let middle = [0, 1].map(|k| f64::midpoint(a[k], b[k]));
    let [foot, ahead] = [middle, [middle[0] - 1.0, middle[1]]].map(|at| window.on_page(at, centre));
    let long = (ahead[0] - foot[0]).hypot(ahead[1] - foot[1]).max(1e-9);
    let (ux, uy) = ((ahead[0] - foot[0]) / long, (ahead[1] - foot[1]) / long);
    let at =
        |along: f64, across: f64| [foot[0] + ux * along - uy * across, foot[1] + uy * along + ux * across];
    board.polygon(&[at(ARROW, 0.0), at(1.2, 1.2), at(1.2, -1.2)], Style::Front);
}
