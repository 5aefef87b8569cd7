//! Columns, arms and pads from above.

use planner::plan::PadSetting;

use super::{COLUMN_DEPTH, View};
use crate::drawing::board::Board;
use crate::drawing::style::Style;

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    let columns = &view.scene.lift.columns;
    let (inner, front, rear) =
        (columns.inside.to_metres() / 2.0, columns.front_face.to_metres(), columns.rear_face.to_metres());
    for side in [1.0, -1.0] {
        let corners =
            [[front, inner], [front, inner + COLUMN_DEPTH], [rear, inner + COLUMN_DEPTH], [rear, inner]];
        board.polygon(&corners.map(|[x, y]| view.bay([x, side * y])), Style::Column);
    }
    for pad in &view.scene.plan.pads {
        arm(board, view, pad);
    }
}

/// Stages that slide into each other, the widest at the pivot, and the pad at the end.
fn arm(board: &mut Board, view: &View<'_, '_>, pad: &PadSetting) {
    let arm = &view.scene.lift.arms[pad.arm.index()];
    let (pivot, end) = (view.bay(arm.pivot.to_metres()), view.bay(pad.bay.to_metres()));
    let reach = view.paper(pad.reach);
    if reach < 1e-6 {
        return;
    }
    let along = [(end[0] - pivot[0]) / reach, (end[1] - pivot[1]) / reach];
    let wide = view.paper(arm.beam_width);
    let stages = f64::from(arm.stages.max(1));
    let sleeve = (view.paper(arm.reach_in) * 0.72).min(reach * 0.9);
    let step = (reach - sleeve) / (stages - 1.0).max(1.0);
    for stage in (0..arm.stages.max(1)).rev() {
        let n = f64::from(stage);
        let half = wide * (1.0 - 0.17 * n) / 2.0;
        let stop = if n + 1.0 >= stages { reach } else { sleeve + step * n };
        let corner = |t: f64, side: f64| {
            [
                pivot[0] + along[0] * t - along[1] * side * half,
                pivot[1] + along[1] * t + along[0] * side * half,
            ]
        };
        board.polygon(
            &[corner(0.0, 1.0), corner(stop, 1.0), corner(stop, -1.0), corner(0.0, -1.0)],
            Style::Arm,
        );
    }
    board.circle(pivot, wide * 0.62, Style::Arm);
    board.circle(pivot, wide * 0.2, Style::CgDark);
    let radius = view.paper(view.scene.lift.pads.radius);
    board.circle(end, radius, Style::Pad);
    board.circle(end, radius * 0.25, Style::CgDark);
}
