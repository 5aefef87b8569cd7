//! Floor, ceiling, heights, test raise and centre of gravity from the side.

use statics::Length;

use super::View;
use crate::drawing::Area;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::SMALL;

/// Floor and ceiling across the view.
pub(super) fn room(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let across = view.area.x;
    let floor = view.origin[1];
    board.line(&[[across[0], floor], [across[1], floor]], Style::Ground);
    board.rectangle(Area::sized([across[0], floor], [across[1] - across[0], 1.6]), Style::Beyond);
    labels.avoid_line(&[[across[0], floor], [across[1], floor]]);
    if let Some(headroom) = view.scene.lift.headroom {
        let y = view.at([0.0, headroom.to_metres()])[1];
        board.line(&[[across[0], y], [across[1], y]], Style::Ground);
        board.rectangle(Area::sized([across[0], y - 1.6], [across[1] - across[0], 1.6]), Style::Beyond);
        labels.avoid_line(&[[across[0], y], [across[1], y]]);
    }
}

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    head_room(board, view, labels);
    pad_height(board, view, labels);
    test_raise(board, view, labels);
    centre(board, view, labels);
}

/// From the highest point of the vehicle to the lowest thing above it.
fn head_room(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let vehicle = view.scene.vehicle;
    let roof = vehicle.outline.roof;
    let middle = vehicle.wheelbase.value.to_metres() * 0.55;
    let opened = view.scene.job.opened_height.filter(|&h| h > roof);
    if let Some(height) = opened {
        let ends =
            [-0.2, 1.2].map(|t| view.on_body([vehicle.wheelbase.value.to_metres() * t, height.to_metres()]));
        board.line(&ends, Style::Opened);
        labels.avoid_line(&ends);
        let says = format!("opened {}", view.units.length(height));
        labels.place(
            board,
            &Label { at: &[ends[0]], lines: &[&says], bold: false, size: SMALL, pointed: true },
        );
    }
    let top = view.on_body([middle, opened.unwrap_or(roof).to_metres()]);
    match (view.scene.lift.headroom, view.scene.plan.height.roof_room) {
        (Some(headroom), Some(room)) => {
            let ceiling = [top[0], view.at([0.0, headroom.to_metres()])[1]];
            board.dimension([top, ceiling], Style::Dimension);
            labels.avoid_line(&[top, ceiling]);
            let says = format!("{} free", view.units.length(room));
            let at = [top[0], f64::midpoint(top[1], ceiling[1])];
            labels
                .place(board, &Label { at: &[at], lines: &[&says], bold: true, size: SMALL, pointed: true });
        }
        _ => labels.place(
            board,
            &Label {
                at: &[top],
                lines: &["no height above on file"],
                bold: false,
                size: SMALL,
                pointed: false,
            },
        ),
    }
}

/// From the floor to the pads.
fn pad_height(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let Some(pad) = view.scene.plan.pads.iter().find(|p| p.arm.is_left() && p.arm.is_front()) else { return };
    let height = view.scene.plan.height.pad_height;
    let x = view.at([pad.bay.to_metres()[0], 0.0])[0];
    let ends = [[x, view.origin[1]], [x, view.at([0.0, height.to_metres()])[1] + 2.0]];
    board.dimension(ends, Style::Dimension);
    labels.avoid_line(&ends);
    let says = view.units.length(height);
    let at = [x, f64::midpoint(ends[0][1], ends[1][1])];
    labels.place(board, &Label { at: &[at], lines: &[&says], bold: true, size: SMALL, pointed: true });
}

/// Where to stop first, beside the ladder.
fn test_raise(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let z = view.scene.plan.test_raise.to_metres() + view.pad_down();
    let at = [view.ladder, view.at([0.0, z])[1]];
    board.polygon(&[at, [at[0] + 2.4, at[1] - 1.2], [at[0] + 2.4, at[1] + 1.2]], Style::Front);
    labels.keep_clear(Area { x: [at[0] - 2.0, at[0] + 2.4], y: [at[1] - 1.2, at[1] + 1.2] });
    let says = format!("+ {}", view.units.length(view.scene.plan.test_raise));
    let lines = ["test raise", says.as_str()];
    labels.place(
        board,
        &Label { at: &[[at[0] + 2.4, at[1]]], lines: &lines, bold: false, size: SMALL, pointed: true },
    );
}

fn centre(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let Some(state) = view.scene.plan.states.first() else { return };
    let [aft, _, up] = state.cg.to_metres();
    let [along, _, high] = state.cg_tolerance.map(Length::to_metres);
    let corners = [[-along, -high], [along, -high], [along, high], [-along, high]];
    let at = view.on_body([aft, up]);
    board.centre_of_gravity(at, 1.5);
    board.polygon(&corners.map(|[a, u]| view.on_body([aft + a, up + u])), Style::Tolerance);
    labels.avoid(Area { x: [at[0] - 1.8, at[0] + 1.8], y: [at[1] - 1.8, at[1] + 1.8] });
}
