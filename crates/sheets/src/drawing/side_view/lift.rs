//! Columns, arms, pads and the ladder of locks from the side.

use statics::Length;

use super::{View, rise};
use crate::drawing::Area;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::SMALL;

/// A column up to the top of its rise and the carriage's own height, or the ceiling.
pub(super) fn columns(board: &mut Board, view: &View<'_, '_>) {
    let lift = view.scene.lift;
    let top = lift.rise.most.to_metres() + 0.8;
    let top = lift.headroom.map_or(top, |h| top.min(h.to_metres()));
    let (front, rear) = (lift.columns.front_face.to_metres(), lift.columns.rear_face.to_metres());
    let corners = [[front, 0.0], [front, top], [rear, top], [rear, 0.0]];
    board.polygon(&corners.map(|p| view.at(p)), Style::ColumnBehind);
}

/// The two arms of the near side, each with its pad up to the vehicle's underside.
pub(super) fn arms(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let (lift, up) = (view.scene.lift, rise(view.scene));
    for pad in view.scene.plan.pads.iter().filter(|p| p.arm.is_left()) {
        let arm = &lift.arms[pad.arm.index()];
        let (pivot, x) = (arm.pivot.to_metres()[0], pad.bay.to_metres()[0]);
        let (beam, top) = (arm.beam_top.to_metres() + up, pad.height.to_metres() + up);
        let thick = 0.09_f64;
        let radius = lift.pads.radius.to_metres();
        let post = [
            [x + radius * 0.5, beam],
            [x + radius * 0.5, top],
            [x - radius * 0.5, top],
            [x - radius * 0.5, beam],
        ];
        board.polygon(&post.map(|p| view.at(p)), Style::Arm);
        let disc = [[x + radius, top - 0.03], [x + radius, top], [x - radius, top], [x - radius, top - 0.03]];
        board.polygon(&disc.map(|p| view.at(p)), Style::Banner);
        let end = if x > pivot { x + radius } else { x - radius };
        let points =
            [[pivot, beam], [end, beam], [end, beam - thick], [pivot, beam - thick]].map(|p| view.at(p));
        board.polygon(&points, Style::Arm);
        labels.avoid_line(&[points[0], points[1]]);
    }
}

/// Every lock as a rung at its pad height; the chosen one is named.
pub(super) fn locks(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let locks = &view.scene.lift.rise.locks;
    let height = |rise: Length| view.at([0.0, rise.to_metres() + view.pad_down()])[1];
    let x = view.ladder;
    let Some(&last) = locks.last() else { return };
    board.line(&[[x, view.origin[1]], [x, height(last)]], Style::Lock);
    labels.avoid_line(&[[x, view.origin[1]], [x, height(last)]]);
    let chosen = view.scene.plan.height.lock;
    for (index, &lock) in locks.iter().enumerate() {
        let y = height(lock);
        if chosen == Some(index) {
            board.line(&[[x - 2.6, y], [x + 2.6, y]], Style::LockChosen);
        } else {
            board.line(&[[x - 1.3, y], [x + 1.3, y]], Style::Lock);
        }
    }
    if let Some(index) = chosen {
        let y = height(locks[index]);
        let says = [
            format!("lock {} of {}", index + 1, locks.len()),
            format!("pads {}", view.units.length(view.scene.plan.height.pad_height)),
        ];
        labels.avoid(Area { x: [x - 2.6, x + 2.6], y: [y - 1.0, y + 1.0] });
        let lines = [says[0].as_str(), says[1].as_str()];
        labels.place(
            board,
            &Label { at: &[[x + 2.6, y]], lines: &lines, bold: true, size: SMALL, pointed: false },
        );
    }
}
