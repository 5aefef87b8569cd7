//! Floor, ceiling, heights and centre of gravity from the side.

use planner::plan::PadSetting;
use statics::Length;

use super::View;
use crate::drawing::Area;
use crate::drawing::area::{At, between};
use crate::drawing::board::Board;
use crate::drawing::labels::{Key, Label, Labels, NAME, SHORT};
use crate::drawing::style::Style;
use crate::units::Round;
use crate::words;

/// Depth to which floor and ceiling are drawn, mm.
const DEEP: f64 = 1.6;

/// Floor and ceiling across the view.
pub(super) fn room(board: &mut Board, view: &View<'_, '_>) {
    let [left, right] = view.area.x;
    let floor = view.origin[1];
    board.line(&[[left, floor], [right, floor]], Style::Ground);
    board.rectangle(Area { x: [left, right], y: [floor, floor + DEEP] }, Style::Beyond);
    if let Some(y) = ceiling(view) {
        board.line(&[[left, y], [right, y]], Style::Ground);
        board.rectangle(Area { x: [left, right], y: [y - DEEP, y] }, Style::Beyond);
    }
}

fn ceiling(view: &View<'_, '_>) -> Option<f64> {
    view.scene.lift.headroom.map(|h| view.at([0.0, h.to_metres()])[1])
}

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    if let Some(outline) = opened(view) {
        board.line(&outline, Style::Opened);
    }
    if let Some(y) = ceiling(view) {
        let top = highest(view);
        board.dimension_within([top, [top[0], y]], Style::Dimension);
    }
    if let Some((ends, rim)) = pad_height(view) {
        board.line(&[rim, [ends[1][0] - (rim[0] - ends[1][0]).signum() * 0.8, rim[1]]], Style::Extension);
        board.dimension_within(ends, Style::Dimension);
    }
    let Some(state) = view.scene.plan.states.first() else { return };
    let [aft, _, up] = state.cg.to_metres();
    let [along, _, high] = state.cg_tolerance.map(Length::to_metres);
    let corners = [[-along, -high], [along, -high], [along, high], [-along, high]];
    board.centre_of_gravity(view.on_body([aft, up]), 2.0);
    board.polygon(&corners.map(|[a, u]| view.on_body([aft + a, up + u])), Style::Tolerance);
}

/// What the job opens, above the vehicle: no file says where along it.
fn opened(view: &View<'_, '_>) -> Option<[At; 4]> {
    let vehicle = view.scene.vehicle;
    let height = view.scene.job.opened_height.filter(|&h| h > vehicle.outline.roof)?.to_metres();
    let nose = -vehicle.outline.front_overhang.to_metres();
    let tail = (vehicle.wheelbase.value + vehicle.outline.rear_overhang).to_metres();
    let shoulder = vehicle.outline.roof.to_metres() * 0.66;
    Some([[nose, shoulder], [nose, height], [tail, height], [tail, shoulder]].map(|p| view.on_body(p)))
}

/// The highest point of the vehicle with what is opened.
fn highest(view: &View<'_, '_>) -> At {
    let vehicle = view.scene.vehicle;
    let roof = vehicle.outline.roof;
    let top = view.scene.job.opened_height.map_or(roof, |h| h.max(roof));
    view.on_body([vehicle.wheelbase.value.to_metres() * 0.55, top.to_metres()])
}

/// From the floor to the top of the lowest pad, beside it, and the pad's rim.
fn pad_height(view: &View<'_, '_>) -> Option<([At; 2], At)> {
    let order = |a: &&PadSetting, b: &&PadSetting| {
        a.height.to_metres().total_cmp(&b.height.to_metres()).then(b.arm.is_left().cmp(&a.arm.is_left()))
    };
    let pad = view.scene.plan.pads.iter().min_by(order)?;
    let pivot = view.scene.lift.arms[pad.arm.index()].pivot.to_metres()[0];
    let (x, radius) = (pad.bay.to_metres()[0], view.scene.lift.pads.radius.to_metres());
    let out = if x > pivot { 1.0 } else { -1.0 };
    let top = view.scene.plan.height.pad_height.to_metres();
    let rim = view.at([x + out * radius, top]);
    // The arm ends at the rim: ahead is to the left of the page.
    let beside = rim[0] - out * 2.4;
    Some(([[beside, view.origin[1]], [beside, rim[1]]], rim))
}

/// Names and figures of what was drawn.
pub(super) fn name(
    board: &mut Board,
    key: &mut Key,
    labels: &mut Labels,
    view: &View<'_, '_>,
    [left, right]: [f64; 2],
) {
    let scene = view.scene;
    if let Some((ends, _)) = pad_height(view) {
        let says = words::pads_raised(scene, scene.plan.height.pad_height, view.units);
        labels.place(board, key, &Label::bold(&along(ends), &[&says], SHORT));
    }
    let top = highest(view);
    if let (Some(y), Some(room)) = (ceiling(view), scene.plan.height.roof_room) {
        let says = if room < Length::ZERO {
            format!("{} too high", view.units.length_to(room.abs(), Round::Up))
        } else {
            format!("{} free above", view.units.length_to(room, Round::Down))
        };
        labels.place(board, key, &Label::bold(&along([top, [top[0], y]]), &[&says], NAME));
    }
    if let (Some(y), Some(headroom)) = (ceiling(view), scene.lift.headroom) {
        let at = [0.03, 0.1, 0.2, 0.8, 0.9, 0.97].map(|t| [left + (right - left) * t, y]);
        let says = format!("ceiling {}", view.units.length(headroom));
        labels.place(board, key, &Label::plain(&at, &[&says], NAME));
    } else {
        labels.place(board, key, &Label::plain(&[top], &["no height above on file"], NAME));
    }
    if let Some([_, from, to, _]) = opened(view) {
        let at = [0.0, 0.1, 0.25, 0.75, 0.9, 1.0].map(|part| between(from, to, part));
        labels.place(board, key, &Label::plain(&at, &["top of what the job opens"], NAME));
    }
    if let Some(state) = scene.plan.states.first() {
        let [aft, _, up] = state.cg.to_metres();
        let [x, y] = view.on_body([aft, up]);
        let at = [[x - 2.0, y], [x + 2.0, y], [x, y - 2.0], [x, y + 2.0]];
        labels.place(board, key, &Label::plain(&at, &["CG"], SHORT));
    }
}

fn along([a, b]: [At; 2]) -> [At; 7] {
    [0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8].map(|part| between(a, b, part))
}
