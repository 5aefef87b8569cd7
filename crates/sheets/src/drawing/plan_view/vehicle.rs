//! The vehicle from above.

use planner::checks::What;
use planner::vehicle::Door;
use statics::Angle;

use super::View;
use crate::Scene;
use crate::drawing::area::{At, between};
use crate::drawing::board::Board;
use crate::drawing::labels::{Key, Label, Labels, NAME, SHORT};
use crate::drawing::style::Style;

/// Thickness of a door as drawn, metres.
const DOOR: f64 = 0.07;

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>) {
    body(board, view);
    tyres(board, view);
    for keep_out in &view.scene.vehicle.keep_outs {
        board.polygon(&corners(view, &keep_out.region), Style::KeepOut);
    }
    for area in &view.scene.vehicle.lift_areas {
        board.polygon(&corners(view, &area.region), Style::LiftArea);
    }
}

fn corners(view: &View<'_, '_>, region: &planner::Region) -> Vec<At> {
    region.corners().iter().map(|&c| view.place(c)).collect()
}

/// A body with a rounded nose and tail, glass, and a filled arrow ahead of its nose.
fn body(board: &mut Board, view: &View<'_, '_>) {
    let outline = &view.scene.vehicle.outline;
    let nose = -outline.front_overhang.to_metres();
    let tail = (view.scene.vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    let half = outline.width.to_metres() / 2.0;
    let corner = |end: f64, deep: f64, wide: f64, turn: f64| {
        (0..=16).map(move |i| {
            let (sin, cos) = (f64::from(i) / 16.0 * std::f64::consts::FRAC_PI_2).sin_cos();
            [end + turn * deep * (1.0 - cos), half - wide * (1.0 - sin)]
        })
    };
    let mut right: Vec<[f64; 2]> = corner(nose, 0.42, 0.45, 1.0).collect();
    right.extend(corner(tail, 0.2, 0.25, -1.0).collect::<Vec<_>>().into_iter().rev());
    let mut points: Vec<At> = right.iter().map(|&[a, l]| view.on_vehicle([a, l])).collect();
    points.extend(right.iter().rev().map(|&[a, l]| view.on_vehicle([a, -l])));
    board.polygon(&points, Style::Body);
    let long = tail - nose;
    for (at, bow, wide) in [(0.26, -0.07, 0.80), (0.90, 0.04, 0.74)] {
        let line: Vec<At> = (-6..=6)
            .map(|i| {
                let side = f64::from(i) / 6.0;
                view.on_vehicle([nose + at * long + bow * (1.0 - side * side) * 2.0, side * half * wide])
            })
            .collect();
        board.line(&line, Style::Glass);
    }
    board.polygon(&arrow(view), Style::Front);
}

/// Ahead of the nose; where that is not in the view, at its edge within the vehicle.
fn arrow(view: &View<'_, '_>) -> [At; 3] {
    const IN_BY: f64 = 1.0;
    let tip = -view.scene.vehicle.outline.front_overhang.to_metres() - 0.22;
    let [upper, lower] = view.area.y;
    let y = view.on_vehicle([tip, 0.0])[1];
    let outside = (upper - y).max(y - lower);
    let back = if outside > 0.0 { (outside + IN_BY) / view.scale.per_metre } else { 0.0 };
    [[0.0, 0.0], [0.16, 0.14], [0.16, -0.14]].map(|[a, l]| view.on_vehicle([tip + back + a, l]))
}

/// As they are when driving in: with the doors shut.
pub(super) fn mirrors(board: &mut Board, view: &View<'_, '_>) {
    for side in [1.0, -1.0] {
        let shape = mirror(view, side);
        if !shape.is_empty() {
            board.polygon(&shape, Style::Door);
        }
    }
}

/// Outline of a mirror; nothing where they do not stick out.
fn mirror(view: &View<'_, '_>, side: f64) -> Vec<At> {
    let outline = &view.scene.vehicle.outline;
    let Some(mirrors) = outline.mirrors else { return vec![] };
    let half = outline.width.to_metres() / 2.0;
    let (wide, aft) = (mirrors.width.to_metres() / 2.0, mirrors.aft.to_metres());
    let shape = [[aft, half], [aft + 0.06, wide], [aft + 0.17, wide], [aft + 0.13, half]];
    shape.map(|[a, l]| view.on_vehicle([a, side * l])).to_vec()
}

fn tyres(board: &mut Board, view: &View<'_, '_>) {
    let (vehicle, wheels) = (view.scene.vehicle, &view.scene.vehicle.wheels);
    let (long, wide) = (wheels.tyre_diameter.to_metres() / 2.0, wheels.tyre_width.to_metres() / 2.0);
    for (aft, track) in [(0.0, wheels.track_front), (vehicle.wheelbase.value.to_metres(), wheels.track_rear)]
    {
        for side in [1.0, -1.0] {
            let left = side * track.to_metres() / 2.0;
            let corners = [[-long, -wide], [long, -wide], [long, wide], [-long, wide]];
            board.polygon(&corners.map(|[a, l]| view.on_vehicle([aft + a, left + l])), Style::Tyre);
        }
    }
}

/// Where on the vehicle a door is at an angle from closed, at a share of its length.
pub(super) fn on_door(door: &Door, angle: f64, share: f64) -> [f64; 2] {
    let [aft, left] = door.hinge.to_metres();
    let side = if left < 0.0 { -1.0 } else { 1.0 };
    let (sin, cos) = angle.sin_cos();
    let long = door.length.to_metres() * share;
    [aft + long * cos, left + side * long.abs() * sin]
}

/// Every door as far as its check says that it opens, or its own stop, and the way of its edge.
pub(super) fn doors(board: &mut Board, view: &View<'_, '_>) {
    for (index, door) in view.scene.vehicle.doors.iter().enumerate() {
        let open = opens(view.scene, index, door);
        let at = |angle: f64, share: f64| view.on_vehicle(on_door(door, angle, share));
        let way: Vec<At> = (0..=24).map(|i| at(open * f64::from(i) / 24.0, 1.0)).collect();
        board.line(&way, Style::Swing);
        let (hinge, edge) = (at(open, 0.0), at(open, 1.0));
        // Its thickness lies within the line that the check is about: towards where it comes from.
        let before = at(open - 0.5, 1.0);
        let square = [hinge[1] - edge[1], edge[0] - hinge[0]];
        let turned = (before[0] - hinge[0]) * square[0] + (before[1] - hinge[1]) * square[1];
        let thick = DOOR * view.scale.per_metre * turned.signum() / square[0].hypot(square[1]).max(1e-9);
        let inner = [hinge, edge].map(|p| [p[0] + square[0] * thick, p[1] + square[1] * thick]);
        board.polygon(&[hinge, edge, inner[1], inner[0]], Style::Door);
    }
}

pub(super) fn opens(scene: &Scene<'_>, index: usize, door: &Door) -> f64 {
    let check = scene.plan.checks.iter().find(|c| c.what == What::Door(index));
    check.map_or(door.opens.to_radians(), |c| c.demand.clamp(0.0, door.opens.to_radians()))
}

/// Which end is the front, keep-outs, mirrors, and how far doors open.
pub(super) fn names(board: &mut Board, key: &mut Key, labels: &mut Labels, view: &View<'_, '_>) {
    let vehicle = view.scene.vehicle;
    labels.place(board, key, &Label::bold(&arrow(view), &["FRONT"], SHORT));
    for (index, door) in vehicle.doors.iter().enumerate() {
        let open = opens(view.scene, index, door);
        let at = |angle: f64, share: f64| view.on_vehicle(on_door(door, angle, share));
        let says = format!("opens {}", view.units.whole_angle_at_least(Angle::radians(open)));
        let way = [0.2, 0.35, 0.5, 0.65, 0.8, 0.95].map(|part| at(open * part, 1.0));
        let panel = [0.6, 0.8, 1.0].map(|share| at(open, share));
        let at = [&way[..], &panel[..]].concat();
        labels.place(board, key, &Label::plain(&at, &[&door.name, &says], NAME));
    }
    for keep_out in &vehicle.keep_outs {
        let corners = corners(view, &keep_out.region);
        let next = corners.iter().cycle().skip(1);
        let sides = corners.iter().zip(next);
        let at: Vec<At> =
            sides.flat_map(|(a, b)| [0.25, 0.5, 0.75].map(|part| between(*a, *b, part))).collect();
        labels.place(board, key, &Label::plain(&at, &[&keep_out.name], NAME));
    }
    if let Some(mirrors) = vehicle.outline.mirrors {
        let at: Vec<At> =
            [1.0, -1.0].iter().flat_map(|side| mirror(view, *side).into_iter().skip(1).take(2)).collect();
        let says = format!("mirrors, {} across", view.units.length(mirrors.width));
        labels.place(board, key, &Label::plain(&at, &[&says], NAME));
    }
}
