//! Distances in plan: pads, arms, tyres, lifting areas and keep-outs, on the vehicle.

use planner::account::Apart;
use planner::frames::DrivenIn;
use planner::lift::Corner;
use statics::{Angle, Length, Place};

use super::demand::Task;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

pub(super) const AXES: [&str; 2] = ["behind the front axle", "left of the centre plane"];

/// A place with its name and coordinates as printed.
struct Known {
    name: String,
    at: [f64; 2],
    nums: [Num; 2],
}

/// Pad centre on the vehicle.
pub(super) fn pad(s: &mut Sums, task: &Task<'_>, c: Corner) -> [Num; 2] {
    s.place(&format!("{} pad", corner_name(c)), AXES, task.pad(c).at.to_metres())
}

fn known_pad(s: &mut Sums, task: &Task<'_>, c: Corner) -> Known {
    let nums = pad(s, task, c);
    Known { name: format!("{} pad", corner_name(c)), at: task.pad(c).at.to_metres(), nums }
}

/// A place of the bay on the vehicle: aft, left.
pub(super) fn on_vehicle(s: &mut Sums, task: &Task<'_>, name: &str, at: [f64; 2]) -> [Num; 2] {
    let stand = &task.scene.plan.placement;
    let [x, y] = s.place(name, ["ahead of the column line", "left of the centre line"], at);
    let spot = s.length("front axle ahead of the column line", stand.spot);
    let off = s.length("front axle left of the centre line", stand.offset);
    // Driven in backwards, both directions are turned round.
    let [ahead, left] = match stand.driven_in {
        DrivenIn::Forwards => [format!("({spot} \u{2212} {x})"), format!("({y} \u{2212} {off})")],
        DrivenIn::Backwards => [format!("({x} \u{2212} {spot})"), format!("({off} \u{2212} {y})")],
    };
    let [ahead_words, left_words] = match stand.driven_in {
        DrivenIn::Forwards => ["(front axle \u{2212} ahead)", "(left \u{2212} front axle)"],
        DrivenIn::Backwards => ["(ahead \u{2212} front axle)", "(front axle \u{2212} left)"],
    };
    if stand.yaw == Angle::ZERO {
        return [
            s.step(
                Kind::Length,
                format!("{name}: aft on the vehicle = {}", plain(ahead_words)),
                plain(&ahead),
            ),
            s.step(
                Kind::Length,
                format!("{name}: left on the vehicle = {}", plain(left_words)),
                plain(&left),
            ),
        ];
    }
    let yaw = s.angle("turned in the bay, anticlockwise, by", stand.yaw);
    [
        s.step(
            Kind::Length,
            format!(
                "{name}: aft on the vehicle = {ahead_words} \u{d7} cos(turn) \u{2212} {left_words} \u{d7} sin(turn)"
            ),
            format!("{ahead} \u{d7} cos({yaw}) \u{2212} {left} \u{d7} sin({yaw})"),
        ),
        s.step(
            Kind::Length,
            format!(
                "{name}: left on the vehicle = {ahead_words} \u{d7} sin(turn) + {left_words} \u{d7} cos(turn)"
            ),
            format!("{ahead} \u{d7} sin({yaw}) + {left} \u{d7} cos({yaw})"),
        ),
    ]
}

/// Without its brackets.
fn plain(text: &str) -> &str {
    text.trim_start_matches('(').trim_end_matches(')')
}

fn known_pivot(s: &mut Sums, task: &Task<'_>, c: Corner) -> Known {
    let name = format!("pivot of the {} arm", corner_name(task.pad(c).arm));
    let nums = on_vehicle(s, task, &name, task.arm(c).pivot.to_metres());
    Known { name, at: task.accounts.line(c)[0], nums }
}

/// Corners of a polygon of the file.
fn known_corners(
    s: &mut Sums,
    name: &str,
    corners: &[Place<planner::VehicleFrame>],
    used: &Apart,
) -> Vec<Known> {
    let all = corners.iter().enumerate();
    let named = all.map(|(i, c)| (format!("corner {} of {name}", i + 1), c.to_metres()));
    let used = |at: &[f64; 2]| {
        let line = used.line.into_iter().flatten();
        line.chain([used.from, used.to]).any(|p| same(p, *at))
    };
    let named: Vec<_> = named.filter(|(_, at)| used(at)).collect();
    named.into_iter().map(|(name, at)| Known { nums: s.place(&name, AXES, at), name, at }).collect()
}

fn same(p: [f64; 2], q: [f64; 2]) -> bool {
    (p[0] - q[0]).abs() < 1e-9 && (p[1] - q[1]).abs() < 1e-9
}

/// The known place there; else one that is named as it is.
fn find(s: &mut Sums, known: &[Known], at: [f64; 2]) -> (String, [Num; 2]) {
    known.iter().find(|k| same(k.at, at)).map_or_else(
        || ("that place".into(), s.place("place between", AXES, at)),
        |k| (k.name.clone(), k.nums.clone()),
    )
}

/// Distance between the nearest points.
fn distance(s: &mut Sums, apart: &Apart, known: &[Known]) -> Num {
    let (from_name, [px, py]) = find(s, known, apart.from);
    let (to_name, [qx, qy]) = match apart.line {
        None => find(s, known, apart.to),
        Some(line) => {
            let (a_name, [ax, ay]) = find(s, known, line[0]);
            let (b_name, [bx, by]) = find(s, known, line[1]);
            s.note(format!(
                "The nearest points are the {from_name} (p) and its foot (q) on the line from the {a_name} (a) to the {b_name} (b)."
            ));
            let t = s.step(
                Kind::Bare,
                "t = ((p \u{2212} a) \u{d7} (b \u{2212} a), aft and left summed) / (length of a to b)\u{b2}",
                format!(
                    "(({px} \u{2212} {ax}) \u{d7} ({bx} \u{2212} {ax}) + ({py} \u{2212} {ay}) \u{d7} ({by} \u{2212} {ay})) / (({bx} \u{2212} {ax})\u{b2} + ({by} \u{2212} {ay})\u{b2})"
                ),
            );
            let q = [("aft", ax, bx), ("left", ay, by)].map(|(axis, a, b)| {
                s.step(
                    Kind::Length,
                    format!("q {axis} = a + t \u{d7} (b \u{2212} a)"),
                    format!("{a} + {t} \u{d7} ({b} \u{2212} {a})"),
                )
            });
            ("foot".into(), q)
        }
    };
    if apart.line.is_none() {
        s.note(format!("The nearest points are the {from_name} (p) and the {to_name} (q)."));
    }
    let sign = if apart.sign < 0.0 { "\u{2212}" } else { "" };
    if apart.sign < 0.0 {
        s.note("It counts as negative: on the wrong side by that much.");
    }
    s.step(
        Kind::Length,
        format!("distance = {sign}\u{221a}((p aft \u{2212} q aft)\u{b2} + (p left \u{2212} q left)\u{b2})"),
        format!("{sign}\u{221a}(({px} \u{2212} {qx})\u{b2} + ({py} \u{2212} {qy})\u{b2})"),
    )
}

pub(super) fn pad_in_area(s: &mut Sums, task: &Task<'_>, c: Corner) {
    let apart = task.accounts.pad_in_area(c);
    let mut known = vec![known_pad(s, task, c)];
    if let Some(area) = task.scene.vehicle.lift_areas.get(task.pad(c).area) {
        known.extend(known_corners(s, &area.name, area.region.corners(), &apart));
    }
    distance(s, &apart, &known);
}

pub(super) fn pad_to_keep_out(s: &mut Sums, task: &Task<'_>, c: Corner, k: usize) {
    let (Some(apart), Some(keep_out)) =
        (task.accounts.pad_to_keep_out(c, k), task.scene.vehicle.keep_outs.get(k))
    else {
        return;
    };
    let mut known = vec![known_pad(s, task, c)];
    known.extend(known_corners(s, &keep_out.name, keep_out.region.corners(), &apart));
    let radius = s.length("radius of the pad", task.scene.lift.pads.radius);
    let far = distance(s, &apart, &known);
    s.step(Kind::Length, "air = distance \u{2212} radius of the pad", format!("{far} \u{2212} {radius}"));
}

pub(super) fn arm_to_tyre(s: &mut Sums, task: &Task<'_>, c: Corner, wheel: Corner) {
    let apart = task.accounts.arm_to_tyre(c, wheel);
    let mut known = vec![known_pivot(s, task, c), known_pad(s, task, c)];
    known.extend(tyre(s, task, wheel));
    let [along, across] = task.accounts.tyre(wheel);
    // A place on a side of the tyre has one coordinate of the tyre and one of the arm's end.
    for at in [apart.from, apart.to] {
        if known.iter().any(|k| same(k.at, at)) || apart.line.is_some() {
            continue;
        }
        let of = |axis: usize| {
            let fits = |k: &&Known| (k.at[axis] - at[axis]).abs() < 1e-9;
            known.iter().find(fits).map(|k| k.nums[axis].clone())
        };
        if let (Some(x), Some(y)) = (of(0), of(1)) {
            let name = format!("place beside it on the side of the {} tyre", corner_name(wheel));
            known.push(Known { name, at, nums: [x, y] });
        }
    }
    // As its corners were found, to the last digit.
    let end = |axis: usize, at: f64| {
        let found = known.iter().find(|k| (k.at[axis] - at).abs() < 1e-9).map(|k| &k.nums[axis]);
        s.told_length(found, Length::metres(at))
    };
    let says = format!(
        "The tyre lies {} to {} aft and {} to {} left.",
        end(0, along[0]),
        end(0, along[1]),
        end(1, across[0]),
        end(1, across[1]),
    );
    s.note(says);
    less_half(s, task, &apart, &known, &[c]);
}

/// The four corners of a tyre.
fn tyre(s: &mut Sums, task: &Task<'_>, wheel: Corner) -> Vec<Known> {
    let wheels = &task.scene.vehicle.wheels;
    let name = corner_name(wheel);
    let across = s.length("diameter of the tyres", wheels.tyre_diameter);
    let wide = s.length("width of the tyres", wheels.tyre_width);
    let (axle, track) = if wheel.is_front() {
        ("0".to_owned(), wheels.track_front)
    } else {
        (s.length("wheelbase", task.scene.vehicle.wheelbase.value).0, wheels.track_rear)
    };
    let track = s.length(if wheel.is_front() { "front track" } else { "rear track" }, track);
    let side = if wheel.is_left() { "" } else { "\u{2212}" };
    let ends = [("front", "\u{2212}"), ("rear", "+")].map(|(end, sign)| {
        s.step(
            Kind::Length,
            format!("{end} of the {name} tyre, aft = axle {sign} diameter / 2"),
            format!("{axle} {sign} {across} / 2"),
        )
    });
    let sides = [("right", "\u{2212}"), ("left", "+")].map(|(edge, sign)| {
        s.step(
            Kind::Length,
            format!("{edge} side of the {name} tyre, left = {side}track / 2 {sign} width / 2"),
            format!("{side}{track} / 2 {sign} {wide} / 2"),
        )
    });
    let [along, apart] = task.accounts.tyre(wheel);
    let corner = |i: usize, j: usize| Known {
        name: format!("{} {} corner of the {name} tyre", ["front", "rear"][i], ["right", "left"][j]),
        at: [along[i], apart[j]],
        nums: [ends[i].clone(), sides[j].clone()],
    };
    vec![corner(0, 0), corner(0, 1), corner(1, 0), corner(1, 1)]
}

pub(super) fn arm_to_keep_out(s: &mut Sums, task: &Task<'_>, c: Corner, k: usize) {
    let (Some(found), Some(keep_out)) =
        (task.accounts.arm_to_keep_out(c, k), task.scene.vehicle.keep_outs.get(k))
    else {
        return;
    };
    let mut known = vec![known_pivot(s, task, c), known_pad(s, task, c)];
    if let Some(eighths) = found.eighths {
        s.note("The arm's centre line runs into the keep-out: its depth there is taken at the deepest of nine places from pivot to pad.");
        let nums = ["aft", "left"].into_iter().enumerate().map(|(i, axis)| {
            let (a, b) = (known[0].nums[i].clone(), known[1].nums[i].clone());
            s.step(
                Kind::Length,
                format!("place on the arm, {axis} = pivot + {eighths} / 8 \u{d7} (pad \u{2212} pivot)"),
                format!("{a} + {eighths} / 8 \u{d7} ({b} \u{2212} {a})"),
            )
        });
        if let [x, y] = &nums.collect::<Vec<_>>()[..] {
            let nums = [x.clone(), y.clone()];
            known.insert(0, Known { name: "place on the arm".into(), at: found.apart.from, nums });
        }
    }
    known.extend(known_corners(s, &keep_out.name, keep_out.region.corners(), &found.apart));
    less_half(s, task, &found.apart, &known, &[c]);
}

pub(super) fn arm_to_arm(s: &mut Sums, task: &Task<'_>, front: Corner) {
    let rear = Corner::ALL.into_iter().find(|o| *o != front && o.is_left() == front.is_left());
    let Some(rear) = rear else { return };
    let apart = task.accounts.arm_to_arm(front, rear);
    let known: Vec<Known> =
        [front, rear].into_iter().flat_map(|c| [known_pivot(s, task, c), known_pad(s, task, c)]).collect();
    less_half(s, task, &apart, &known, &[front, rear]);
}

/// Air beside the beams, whose centre lines are that far apart.
fn less_half(s: &mut Sums, task: &Task<'_>, apart: &Apart, known: &[Known], arms: &[Corner]) {
    let widths: Vec<Num> = arms
        .iter()
        .map(|c| {
            let name = format!("width of the {} arm's beam", corner_name(task.pad(*c).arm));
            s.length(name, task.arm(*c).beam_width)
        })
        .collect();
    let far = distance(s, apart, known);
    let halves: Vec<String> = widths.iter().map(|w| format!(" \u{2212} {w} / 2")).collect();
    let formula = if arms.len() > 1 {
        "air = distance \u{2212} half of each beam's width"
    } else {
        "air = distance \u{2212} half of the beam's width"
    };
    s.step(Kind::Length, formula, format!("{far}{}", halves.concat()));
}
