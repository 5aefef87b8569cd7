//! Axes, spot, support figure, centre of gravity and its distances from the edges.

use planner::lift::Corner;
use planner::plan::{EdgeAnswer, StateAnswer};
use statics::Length;

use super::{BESIDE, COLUMN_DEPTH, View};
use crate::drawing::Area;
use crate::drawing::area::{At, apart, between};
use crate::drawing::board::Board;
use crate::drawing::flow::{self, OTHER};
use crate::drawing::labels::{Key, Label, Labels, SHORT};
use crate::drawing::style::Style;
use crate::units::Round;

/// States whose centres of gravity are no farther apart on paper share a mark, mm.
const SAME_PLACE: f64 = 2.7;
/// Widths of what may stand in a narrow place, mm.
const NARROW: &[f64] = &[46.0, 24.0, 18.0, 14.0, 11.0];
/// Radius of the sign of the centre of gravity, mm.
const CENTRE: f64 = 1.8;

/// The column line beside the vehicle and the bay's centre line ahead of it and behind it.
pub(super) fn axes(board: &mut Board, view: &View<'_, '_>, [low, high]: [f64; 2]) {
    let outline = &view.scene.vehicle.outline;
    let half = outline.width.to_metres() / 2.0;
    let nose = -outline.front_overhang.to_metres();
    let tail = (view.scene.vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    let body = Area::around(
        &[[nose, half], [nose, -half], [tail, half], [tail, -half]].map(|at| view.on_vehicle(at)),
    );
    let [x, y] = view.origin;
    let [left, right] = view.area.x;
    for ends in [[left, body.x[0]], [body.x[1], right]] {
        board.line(&ends.map(|x| [x, y]), Style::Axis);
    }
    for ends in [[view.bay([high, 0.0])[1], body.y[0]], [body.y[1], view.bay([low, 0.0])[1]]] {
        board.line(&ends.map(|y| [x, y]), Style::Axis);
    }
}

/// The figure that the pads span.
pub(super) fn support(board: &mut Board, view: &View<'_, '_>) {
    let Some(state) = tightest(view) else { return };
    let points: Vec<At> =
        state.edges.iter().map(|e| view.place(view.scene.plan.pads[e.from.index()].at)).collect();
    board.polygon(&points, Style::Support);
}

/// The state whose assured edge distance is least.
fn tightest<'a>(view: &View<'_, 'a>) -> Option<&'a StateAnswer> {
    view.scene
        .plan
        .states
        .iter()
        .min_by(|a, b| a.assured_edge.to_metres().total_cmp(&b.assured_edge.to_metres()))
}

/// What was drawn and is still to be named.
pub(super) struct Marks {
    spot: [At; 2],
    edges: Vec<Edge>,
    /// Marks of the centre of gravity and the states that share each.
    pub(super) centres: Vec<(At, Vec<usize>)>,
    /// Whether the tolerance box sticks out of the sign of the centre of gravity.
    pub(super) box_shows: bool,
}

struct Edge {
    ends: [At; 2],
    assured: Length,
    is_least: bool,
}

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) -> Marks {
    let spot = spot(board, view);
    let Some(state) = tightest(view) else {
        return Marks { spot, edges: vec![], centres: vec![], box_shows: false };
    };
    let edges = edges(board, view, state);
    let box_shows = state.cg_tolerance[..2].iter().any(|by| view.paper(*by) > CENTRE);
    let centres = centres(board, view, state);
    if box_shows {
        tolerance(board, view, state);
    }
    Marks { spot, edges, centres, box_shows }
}

/// From the centre of gravity square to each edge; the least is drawn heavy and comes first.
fn edges(board: &mut Board, view: &View<'_, '_>, state: &StateAnswer) -> Vec<Edge> {
    let from = view.place(state.cg.plan());
    let least = state.edges.iter().map(|e| e.assured.to_metres()).fold(f64::INFINITY, f64::min);
    let mut drawn: Vec<Edge> = Vec::new();
    for edge in &state.edges {
        let ends = [from, foot(view, from, edge)];
        let is_least = edge.assured.to_metres() <= least && !drawn.iter().any(|e| e.is_least);
        board.dimension(ends, if is_least { Style::LeastEdge } else { Style::Edge });
        drawn.push(Edge { ends, assured: least_of(view, edge), is_least });
    }
    drawn.sort_by_key(|e| !e.is_least);
    drawn
}

/// What an edge keeps in the state that leaves it least.
fn least_of(view: &View<'_, '_>, edge: &EdgeAnswer) -> Length {
    let all = view.scene.plan.states.iter().flat_map(|state| &state.edges);
    let same = all.filter(|e| [e.from, e.to] == [edge.from, edge.to]);
    same.map(|e| e.assured).fold(edge.assured, |least, e| if e < least { e } else { least })
}

fn foot(view: &View<'_, '_>, from: At, edge: &EdgeAnswer) -> At {
    let pads = &view.scene.plan.pads;
    let (a, b) = (view.place(pads[edge.from.index()].at), view.place(pads[edge.to.index()].at));
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let t = ((from[0] - a[0]) * dx + (from[1] - a[1]) * dy) / (dx * dx + dy * dy).max(1e-12);
    [a[0] + dx * t, a[1] + dy * t]
}

/// The edge over which it tips, and an arrow the way it goes; gives points of the arrow.
pub(super) fn tipping(board: &mut Board, view: &View<'_, '_>, edge: [Corner; 2]) -> [At; 3] {
    const SHAFT: f64 = 11.0;
    const HEAD: [f64; 2] = [5.0, 2.6];
    let pads = &view.scene.plan.pads;
    let [a, b] = edge.map(|corner| view.place(pads[corner.index()].at));
    let centre = pads
        .iter()
        .map(|p| view.place(p.at))
        .fold([0.0; 2], |sum, p| [sum[0] + p[0] / 4.0, sum[1] + p[1] / 4.0]);
    let middle = between(a, b, 0.5);
    let square = [b[1] - a[1], a[0] - b[0]];
    let outwards = (middle[0] - centre[0]) * square[0] + (middle[1] - centre[1]) * square[1];
    let long = square[0].hypot(square[1]).max(1e-9) * if outwards < 0.0 { -1.0 } else { 1.0 };
    let [ux, uy] = square.map(|part| part / long);
    let on = |along: f64, across: f64| {
        [middle[0] + ux * along - uy * across, middle[1] + uy * along + ux * across]
    };
    board.line(&[a, b], Style::LeastEdge);
    board.line(&[middle, on(SHAFT, 0.0)], Style::LeastEdge);
    board.polygon(&[on(SHAFT + HEAD[0], 0.0), on(SHAFT, HEAD[1]), on(SHAFT, -HEAD[1])], Style::Arrow);
    [on(SHAFT + HEAD[0], 0.0), on(SHAFT, HEAD[1]), on(SHAFT, -HEAD[1])]
}

/// The sign of the centre of gravity; other states as small rings.
fn centres(board: &mut Board, view: &View<'_, '_>, state: &StateAnswer) -> Vec<(At, Vec<usize>)> {
    let states = &view.scene.plan.states;
    let main = view.place(state.cg.plan());
    let mut groups: Vec<(At, Vec<usize>)> = vec![(main, vec![])];
    for (k, other) in states.iter().enumerate() {
        let at = view.place(other.cg.plan());
        match groups.iter_mut().find(|(known, _)| apart(*known, at) < SAME_PLACE) {
            Some((_, sharing)) => sharing.push(k + 1),
            None => groups.push((at, vec![k + 1])),
        }
    }
    for (at, _) in groups.iter().skip(1) {
        flow::other_centre(board, *at);
    }
    board.centre_of_gravity(main, CENTRE);
    if states.len() > 1 { groups } else { vec![] }
}

/// Where the centre of gravity may be.
fn tolerance(board: &mut Board, view: &View<'_, '_>, state: &StateAnswer) {
    let [aft, left, _] = state.cg.to_metres();
    let [along, across, _] = state.cg_tolerance.map(Length::to_metres);
    let corners = [[-along, -across], [along, -across], [along, across], [-along, across]];
    board.polygon(&corners.map(|[a, l]| view.on_vehicle([aft + a, left + l])), Style::Tolerance);
}

/// From the column line to the front axle.
fn spot(board: &mut Board, view: &View<'_, '_>) -> [At; 2] {
    let half = view.scene.vehicle.outline.width.to_metres() / 2.0;
    let ends = [-half, half].map(|l| view.on_vehicle([0.0, l]));
    board.line(&ends, Style::Axis);
    let column = view.scene.lift.columns.inside.to_metres() / 2.0 + COLUMN_DEPTH;
    let x = view.bay([0.0, column])[0] - BESIDE + 1.2;
    let axle = if ends[0][0] < ends[1][0] { ends[0] } else { ends[1] };
    board.line(&[axle, [x - 1.5, axle[1]]], Style::Extension);
    let spot = [[x, view.origin[1]], [x, axle[1]]];
    board.dimension(spot, Style::Dimension);
    spot
}

impl Marks {
    pub(super) fn name(&self, board: &mut Board, key: &mut Key, labels: &mut Labels, view: &View<'_, '_>) {
        let plan = view.scene.plan;
        let figure = view.units.length(plan.placement.spot.abs());
        let mark = plan.mark.as_ref().map(|m| format!("mark {m}"));
        let says: Vec<&str> = [figure.as_str()].into_iter().chain(mark.as_deref()).collect();
        labels.place(board, key, &Label::bold(&along(self.spot), &says, SHORT).large(4.0));
        for edge in &self.edges {
            let figure = view.units.length_to(edge.assured, Round::Down);
            let named = format!("CG to edge, at its worst: {figure}");
            let at = along(edge.ends);
            if edge.is_least {
                let named = format!("least of all, {named}");
                let says = format!("least {figure}");
                labels.place(board, key, &Label::bold(&at, &[&says], SHORT).in_key(&named));
            } else {
                labels.place(board, key, &Label::plain(&at, &[&figure], SHORT).in_key(&named));
            }
        }
        for (k, (at, sharing)) in self.centres.iter().enumerate() {
            let [says, named] = in_states(sharing);
            let rim = ring(*at, if k == 0 { CENTRE } else { OTHER });
            labels.place(board, key, &Label::bold(&rim, &[&says], NARROW).in_key(&named));
        }
        let [left, right] = view.area.x;
        let inside = view.paper(view.scene.lift.columns.inside) / 2.0;
        let gap = [1.0, 4.0, 8.0].map(|in_by| view.origin[0] - inside + in_by);
        let ends = [0.5, 3.0].map(|in_by| left + in_by).into_iter().chain(gap);
        let at: Vec<At> = ends.flat_map(|x| [x, left + right - x]).map(|x| [x, view.origin[1]]).collect();
        labels.place(board, key, &Label::plain(&at, &["column line"], NARROW));
    }
}

/// Points of a line for a label to point at.
fn along([a, b]: [At; 2]) -> [At; 7] {
    [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8].map(|part| between(a, b, part))
}

fn ring([x, y]: At, radius: f64) -> Vec<At> {
    let way = |step: u8| (f64::from(step) * 45.0).to_radians().sin_cos();
    (0..8).map(way).map(|(sin, cos)| [x + radius * cos, y + radius * sin]).collect()
}

/// The centre of gravity in some states, in brief and in the key; the first is as raised, the others are numbered where they are
/// confirmed.
fn in_states(numbers: &[usize]) -> [String; 2] {
    let states = |of: &[usize]| format!("{} {}", if of.len() == 1 { "state" } else { "states" }, listed(of));
    match numbers {
        [1] => ["CG as raised".into(), "CG as raised".into()],
        [1, others @ ..] => {
            [format!("CG {}", listed(numbers)), format!("CG as raised, and in {}", states(others))]
        }
        _ => [format!("CG {}", listed(numbers)), format!("CG in {}", states(numbers))],
    }
}

/// Numbers, those that follow each other as a range: "1 to 3, 5".
fn listed(numbers: &[usize]) -> String {
    let mut runs: Vec<[usize; 2]> = Vec::new();
    for &number in numbers {
        match runs.last_mut() {
            Some([_, last]) if *last + 1 == number => *last = number,
            _ => runs.push([number, number]),
        }
    }
    let told = runs.iter().map(|&[first, last]| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    });
    told.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    #[test]
    fn numbers_in_a_row_are_a_range() {
        assert_eq!(super::listed(&[1, 2, 3, 5, 7, 8]), "1 to 3, 5, 7, 8");
        assert_eq!(super::listed(&[4]), "4");
    }

    #[test]
    fn states_are_named_by_what_is_known_at_the_column() {
        let told = |numbers: &[usize]| super::in_states(numbers);
        assert_eq!(told(&[1])[1], "CG as raised");
        assert_eq!(told(&[1, 2, 3]), ["CG 1 to 3", "CG as raised, and in states 2, 3"]);
        assert_eq!(told(&[5]), ["CG 5", "CG in state 5"]);
    }
}
