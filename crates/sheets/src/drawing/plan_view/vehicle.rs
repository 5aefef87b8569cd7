//! The vehicle from above.

use planner::checks::What;
use planner::vehicle::Door;

use super::View;
use crate::drawing::Area;
use crate::drawing::board::Board;
use crate::drawing::labels::{Label, Labels};
use crate::drawing::style::Style;
use crate::drawing::text::{Anchor, SMALL, Text, clipped, wrapped};

/// Names on the drawing are at most this wide, mm.
const NAME: f64 = 34.0;
/// The same where there is little room.
const NARROW: f64 = 18.0;

pub(super) fn draw(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    body(board, view, labels);
    tyres(board, view, labels);
    for keep_out in &view.scene.vehicle.keep_outs {
        region(board, view, labels, keep_out.region.corners(), Style::KeepOut);
    }
    for area in &view.scene.vehicle.lift_areas {
        region(board, view, labels, area.region.corners(), Style::LiftArea);
    }
    for (index, door) in view.scene.vehicle.doors.iter().enumerate() {
        swing(board, view, labels, index, door);
    }
}

fn region(
    board: &mut Board,
    view: &View<'_, '_>,
    labels: &mut Labels,
    corners: &[statics::Place<planner::VehicleFrame>],
    style: Style,
) {
    let points: Vec<[f64; 2]> = corners.iter().map(|&c| view.place(c)).collect();
    labels.avoid_line(&points);
    labels.avoid_somewhat(around(&points));
    board.polygon(&points, style);
}

/// A body with a rounded nose and tail, glass, and a filled arrow ahead of its nose.
fn body(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let vehicle = view.scene.vehicle;
    let outline = &vehicle.outline;
    let nose = -outline.front_overhang.to_metres();
    let tail = (vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    let half = outline.width.to_metres() / 2.0;
    let corner = |end: f64, deep: f64, wide: f64, turn: f64| {
        (0..=8).map(move |i| {
            let (sin, cos) = (f64::from(i) / 8.0 * std::f64::consts::FRAC_PI_2).sin_cos();
            [end + turn * deep * (1.0 - cos), half - wide * (1.0 - sin)]
        })
    };
    let mut right: Vec<[f64; 2]> = corner(nose, 0.42, 0.45, 1.0).collect();
    right.extend(corner(tail, 0.2, 0.25, -1.0).collect::<Vec<_>>().into_iter().rev());
    let mut points: Vec<[f64; 2]> = right.iter().map(|&[a, l]| view.on_vehicle([a, l])).collect();
    points.extend(right.iter().rev().map(|&[a, l]| view.on_vehicle([a, -l])));
    board.polygon(&points, Style::Body);
    labels.avoid_line(&points);
    let long = tail - nose;
    for (at, bow, wide) in [(0.26, -0.07, 0.80), (0.90, 0.04, 0.74)] {
        let line: Vec<[f64; 2]> = (-6..=6)
            .map(|i| {
                let side = f64::from(i) / 6.0;
                view.on_vehicle([nose + at * long + bow * (1.0 - side * side) * 2.0, side * half * wide])
            })
            .collect();
        board.line(&line, Style::Glass);
        labels.avoid_line(&[line[0], line[6], line[12]]);
    }
    let arrow = [[nose - 0.20, 0.0], [nose - 0.05, 0.13], [nose - 0.05, -0.13]];
    board.polygon(&arrow.map(|p| view.on_vehicle(p)), Style::Front);
    if let Some(mirrors) = outline.mirrors {
        let (wide, aft) = (mirrors.width.to_metres() / 2.0, mirrors.aft.to_metres());
        for side in [1.0, -1.0] {
            let corners =
                [[aft, half - 0.03], [aft + 0.06, wide], [aft + 0.17, wide], [aft + 0.13, half - 0.03]];
            board.polygon(&corners.map(|[a, l]| view.on_vehicle([a, side * l])), Style::Body);
        }
    }
}

fn tyres(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let (vehicle, wheels) = (view.scene.vehicle, &view.scene.vehicle.wheels);
    let (long, wide) = (wheels.tyre_diameter.to_metres() / 2.0, wheels.tyre_width.to_metres() / 2.0);
    for (aft, track) in [(0.0, wheels.track_front), (vehicle.wheelbase.value.to_metres(), wheels.track_rear)]
    {
        for side in [1.0, -1.0] {
            let left = side * track.to_metres() / 2.0;
            let corners = [[-long, -wide], [long, -wide], [long, wide], [-long, wide]];
            let points = corners.map(|[a, l]| view.on_vehicle([aft + a, left + l]));
            board.polygon(&points, Style::Tyre);
            labels.avoid(around(&points));
        }
    }
}

/// A door as far as its check says that it opens, or its own stop.
fn swing(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels, index: usize, door: &Door) {
    let open = opens(view, index, door);
    let [aft, left] = door.hinge.to_metres();
    let side = if left < 0.0 { -1.0 } else { 1.0 };
    let edge = |angle: f64| {
        let (sin, cos) = angle.sin_cos();
        view.on_vehicle([
            aft + door.length.to_metres() * cos,
            left + side * door.length.to_metres().abs() * sin,
        ])
    };
    let arc: Vec<[f64; 2]> = (0..=16).map(|i| edge(open * f64::from(i) / 16.0)).collect();
    board.line(&arc, Style::Door);
    board.line(&[view.place(door.hinge), edge(open)], Style::Opened);
    labels.avoid_line(&arc);
    labels.avoid_line(&[view.place(door.hinge), edge(open)]);
}

fn opens(view: &View<'_, '_>, index: usize, door: &Door) -> f64 {
    let check = view.scene.plan.checks.iter().find(|c| c.what == What::Door(index));
    check.map_or(door.opens.to_radians(), |c| c.demand.clamp(0.0, door.opens.to_radians()))
}

/// Which end is the front, inside its nose.
pub(super) fn front(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let [x, y] = view.on_vehicle([0.26 - view.scene.vehicle.outline.front_overhang.to_metres(), 0.0]);
    let at = [x, y + 0.36 * SMALL];
    labels.fix(
        board,
        Text { at, anchor: Anchor::Middle, size: SMALL, bold: true, reversed: false, says: "FRONT".into() },
    );
}

/// Names of keep-outs, and how far doors open.
pub(super) fn names(board: &mut Board, view: &View<'_, '_>, labels: &mut Labels) {
    let vehicle = view.scene.vehicle;
    for (index, door) in vehicle.doors.iter().enumerate() {
        let angle = view.units.whole_angle(statics::Angle::radians(opens(view, index, door)));
        let mut lines = name_lines(&door.name);
        lines.push(format!("opens {angle}"));
        let [aft, left] = door.hinge.to_metres();
        let side = if left < 0.0 { -1.0 } else { 1.0 };
        let at = [0.5, 0.75, 0.95].map(|part| {
            let (sin, cos) = (opens(view, index, door) * part).sin_cos();
            let length = door.length.to_metres();
            view.on_vehicle([aft + length * cos, left + side * length.abs() * sin])
        });
        let wide: Vec<&str> = lines.iter().map(String::as_str).collect();
        let narrow = wrapped(&door.name, SMALL, false, NARROW);
        let narrow: Vec<&str> = narrow.iter().map(String::as_str).chain(wide.last().copied()).collect();
        let form = |lines| Label { at: &at, lines, bold: false, size: SMALL, pointed: true };
        let forms = [form(&wide[..]), form(&narrow[..])];
        // A long name in a narrow column would be a tower.
        let forms = if narrow.len() <= 4 { &forms[..] } else { &forms[..1] };
        labels.place_off(board, forms, body_area(view));
    }
    for keep_out in &vehicle.keep_outs {
        let corners: Vec<[f64; 2]> = keep_out.region.corners().iter().map(|&c| view.place(c)).collect();
        let next = corners.iter().cycle().skip(1);
        let sides =
            corners.iter().zip(next).map(|(a, b)| [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])]);
        let at: Vec<[f64; 2]> = sides.collect();
        name(board, labels, &at, &name_lines(&keep_out.name));
    }
}

/// The body, without mirrors.
fn body_area(view: &View<'_, '_>) -> Area {
    let (vehicle, outline) = (view.scene.vehicle, &view.scene.vehicle.outline);
    let half = outline.width.to_metres() / 2.0;
    let nose = -outline.front_overhang.to_metres();
    let tail = (vehicle.wheelbase.value + outline.rear_overhang).to_metres();
    around(&[[nose, half], [nose, -half], [tail, half], [tail, -half]].map(|p| view.on_vehicle(p)))
}

/// At most two lines.
fn name_lines(name: &str) -> Vec<String> {
    let mut lines = wrapped(name, SMALL, false, NAME);
    if lines.len() > 2 {
        let rest = lines.split_off(1).join(" ");
        lines.push(clipped(&rest, SMALL, false, NAME));
    }
    lines
}

fn name(board: &mut Board, labels: &mut Labels, at: &[[f64; 2]], lines: &[String]) {
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    labels.place(board, &Label { at, lines: &lines, bold: false, size: SMALL, pointed: true });
}

/// The upright rectangle around some points.
fn around(points: &[[f64; 2]]) -> Area {
    let mut area = Area { x: [f64::MAX, f64::MIN], y: [f64::MAX, f64::MIN] };
    for &[x, y] in points {
        area.x = [area.x[0].min(x), area.x[1].max(x)];
        area.y = [area.y[0].min(y), area.y[1].max(y)];
    }
    area
}
