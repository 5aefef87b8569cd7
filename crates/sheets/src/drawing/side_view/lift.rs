//! Columns, arms and pads from the side.

use planner::plan::PadSetting;

use super::View;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels, NAME};
use crate::drawing::style::Style;

/// Thickness of an arm as drawn, metres.
const THICK: f64 = 0.09;

/// A column up to the top of its rise and the carriage's own height, or the ceiling.
pub(super) fn columns(board: &mut Board, view: &View<'_, '_>) {
    let lift = view.scene.lift;
    let (front, rear) = (lift.columns.front_face.to_metres(), lift.columns.rear_face.to_metres());
    let top = top(view);
    let corners = [[front, 0.0], [front, top], [rear, top], [rear, 0.0]];
    board.polygon(&corners.map(|p| view.at(p)), Style::ColumnBehind);
}

fn top(view: &View<'_, '_>) -> f64 {
    let lift = view.scene.lift;
    let top = lift.rise.most.to_metres() + 0.8;
    lift.headroom.map_or(top, |h| top.min(h.to_metres()))
}

/// The four arms, the near ones in front, each with its pad up to the vehicle's underside.
pub(super) fn arms(board: &mut Board, view: &View<'_, '_>) {
    for near in [false, true] {
        view.scene.plan.pads.iter().filter(|p| p.arm.is_left() == near).for_each(|p| arm(board, view, p));
    }
}

fn arm(board: &mut Board, view: &View<'_, '_>, pad: &PadSetting) {
    let (lift, up) = (view.scene.lift, view.rise());
    let arm = &lift.arms[pad.arm.index()];
    let (pivot, x) = (arm.pivot.to_metres()[0], pad.bay.to_metres()[0]);
    let (beam, top) = (arm.beam_top.to_metres() + up, pad.height.to_metres() + up);
    let radius = lift.pads.radius.to_metres();
    let bar = |from: f64, to: f64, low: f64, high: f64| {
        [[from, low], [from, high], [to, high], [to, low]].map(|p| view.at(p))
    };
    let end = if x > pivot { x + radius } else { x - radius };
    board.polygon(&bar(pivot, end, beam - THICK, beam), Style::Arm);
    board.polygon(&bar(x - radius * 0.5, x + radius * 0.5, beam, top), Style::Arm);
    board.polygon(&bar(x - radius, x + radius, top - 0.03, top), Style::PadTop);
}

pub(super) fn name(board: &mut Board, labels: &mut Labels, view: &View<'_, '_>) {
    let columns = &view.scene.lift.columns;
    let (front, rear) = (columns.front_face.to_metres(), columns.rear_face.to_metres());
    let below = view.pad_down() + view.rise() - 0.2;
    let heights = [0.1, 0.3, 0.5, 0.7, 0.9].into_iter().map(|part| below * part);
    let at: Vec<[f64; 2]> = heights.flat_map(|z| [front, rear].map(|x| view.at([x, z]))).collect();
    labels.place_if_room(board, &Label::plain(&at, &["column"], NAME));
}
