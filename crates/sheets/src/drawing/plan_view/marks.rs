//! Axes, spot, support figure, centre of gravity and its distances from the edges.

use planner::plan::{EdgeAnswer, StateAnswer};
use statics::Length;

use super::View;
use crate::drawing::Area;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::{SMALL, wrapped};

/// States whose centres of gravity are no farther apart on paper share a sign, mm.
const SAME_PLACE: f64 = 2.0;

/// The column line and the bay's centre line.
pub(super) fn axes(board: &mut Board, view: &View<'_, '_>, [low, high]: [f64; 2]) {
    let across = view.area.x;
    board.line(&[[across[0], view.origin[1]], [across[1], view.origin[1]]], Style::Axis);
    board.line(&[view.bay([low, 0.0]), view.bay([high, 0.0])], Style::Axis);
}

/// The figure that the pads span.
pub(super) fn support(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let Some(state) = tightest(view) else { return };
    let mut points: Vec<[f64; 2]> =
        state.edges.iter().map(|e| view.place(view.scene.plan.pads[e.from.index()].at)).collect();
    board.polygon(&points, Style::Support);
    points.extend(points.first().copied());
    labels.avoid_line(&points);
}

/// The state whose assured edge distance is least.
fn tightest<'a>(view: &View<'_, 'a>) -> Option<&'a StateAnswer> {
    view.scene
        .plan
        .states
        .iter()
        .min_by(|a, b| a.assured_edge.to_metres().total_cmp(&b.assured_edge.to_metres()))
}

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    if let Some(state) = tightest(view) {
        let said = edges(board, view, labels, state);
        centre(board, view, labels, state);
        for (ends, assured, is_least) in said {
            let figure = view.units.length(assured);
            let says = if is_least { format!("least {figure}") } else { figure };
            let at = along(ends);
            let label = Label { at: &at, lines: &[&says], bold: is_least, size: SMALL, pointed: false };
            labels.place(board, &label);
        }
    }
    spot(board, view, labels);
}

/// A few points of a line for a label to point at.
fn along([a, b]: [[f64; 2]; 2]) -> [[f64; 2]; 3] {
    [0.35, 0.55, 0.75].map(|t| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t])
}

type Said = ([[f64; 2]; 2], Length, bool);

/// From the centre of gravity square to each edge; the least is drawn heavy and comes first.
fn edges(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels, state: &StateAnswer) -> Vec<Said> {
    let from = view.place(state.cg.plan());
    let least = state.edges.iter().map(|e| e.assured.to_metres()).fold(f64::INFINITY, f64::min);
    let mut said: Vec<Said> = Vec::new();
    for edge in &state.edges {
        let to = foot(view, from, edge);
        let is_least = edge.assured.to_metres() <= least && !said.iter().any(|&(.., marked)| marked);
        board.dimension([from, to], if is_least { Style::LeastEdge } else { Style::Edge });
        labels.avoid_line(&[from, to]);
        said.push(([from, to], edge.assured, is_least));
    }
    said.sort_by_key(|&(.., is_least)| !is_least);
    said
}

fn foot(view: &View<'_, '_>, from: [f64; 2], edge: &EdgeAnswer) -> [f64; 2] {
    let pads = &view.scene.plan.pads;
    let (a, b) = (view.place(pads[edge.from.index()].at), view.place(pads[edge.to.index()].at));
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let t = ((from[0] - a[0]) * dx + (from[1] - a[1]) * dy) / (dx * dx + dy * dy).max(1e-12);
    [a[0] + dx * t, a[1] + dy * t]
}

/// The sign of the centre of gravity in its tolerance box; other states as small crosses.
fn centre(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels, state: &StateAnswer) {
    let [aft, left, _] = state.cg.to_metres();
    let [along, across, _] = state.cg_tolerance.map(Length::to_metres);
    let corners = [[-along, -across], [along, -across], [along, across], [-along, across]];
    let points = corners.map(|[a, l]| view.on_vehicle([aft + a, left + l]));
    let at = view.on_vehicle([aft, left]);
    board.centre_of_gravity(at, 1.5);
    board.polygon(&points, Style::Tolerance);
    let reach = 1.8_f64.max(along * view.scale.per_metre);
    labels.avoid(Area { x: [at[0] - 1.8, at[0] + 1.8], y: [at[1] - reach, at[1] + reach] });
    let several = view.scene.plan.states.len() > 1;
    let mut named: Vec<[f64; 2]> = Vec::new();
    for other in view.scene.plan.states.iter().filter(|_| several) {
        let at = view.place(other.cg.plan());
        if named.iter().any(|n| (n[0] - at[0]).hypot(n[1] - at[1]) < SAME_PLACE) {
            continue;
        }
        named.push(at);
        if other != state {
            board.line(&[[at[0] - 1.6, at[1]], [at[0] + 1.6, at[1]]], Style::Frame);
            board.line(&[[at[0], at[1] - 1.6], [at[0], at[1] + 1.6]], Style::Frame);
        }
        let lines = wrapped(&other.name, SMALL, false, 34.0);
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        labels.place(board, &Label { at: &[at], lines: &lines, bold: false, size: SMALL, pointed: true });
    }
}

/// From the column line to the front axle.
fn spot(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let plan = view.scene.plan;
    let half = view.scene.vehicle.outline.width.to_metres() / 2.0;
    let ends = [-half, half].map(|l| view.on_vehicle([0.0, l]));
    board.line(&ends, Style::Axis);
    let x = view.area.x[0] + 4.0;
    let axle = if ends[0][0] < ends[1][0] { ends[0] } else { ends[1] };
    board.line(&[axle, [x - 1.5, axle[1]]], Style::Extension);
    board.dimension([[x, view.origin[1]], [x, axle[1]]], Style::Dimension);
    labels.avoid_line(&[axle, [x, axle[1]], [x, view.origin[1]]]);
    let figure = view.units.length(plan.placement.spot.abs());
    let mark = plan.mark.as_ref().map(|m| format!("mark {m}"));
    let mut lines = vec![figure.as_str()];
    lines.extend(mark.as_deref());
    let column = Label {
        at: &[[x, view.origin[1]]],
        lines: &["column", "line"],
        bold: false,
        size: SMALL,
        pointed: false,
    };
    labels.place(board, &column);
    let at = along([[x, view.origin[1]], [x, axle[1]]]);
    labels.place(board, &Label { at: &at, lines: &lines, bold: true, size: 4.0, pointed: true });
}
