//! Mass and centre of gravity of the vehicle alone, from scales, from a share, or as given.

use planner::Measured;
use planner::account::Counted;
use planner::lift::Corner;
use planner::vehicle::Weight;
use statics::{Length, Mass};

use super::demand::Task;
use super::figure::Axis;
use super::steps::{Kind, Num, Sums};
use super::weight::{Term, farther_end};
use crate::words::corner_name;

/// The loads on scales that make up the vehicle's mass, or its mass as it is given.
pub(super) fn of_vehicle(s: &mut Sums, task: &Task<'_>) -> (Vec<Num>, Num) {
    let total = |s: &mut Sums, total: &Measured<Mass>| {
        let guess = if total.is_assumed() { " (assumed)" } else { "" };
        s.mass(format!("mass of the vehicle alone{guess}"), total.value)
    };
    match &task.scene.vehicle.weight {
        Weight::WheelLoads(loads) => {
            let wheels: Vec<Num> = Corner::ALL
                .iter()
                .zip(loads)
                .map(|(c, load)| s.mass(format!("load on the {} wheel", corner_name(*c)), load.value))
                .collect();
            let sum = wheels.iter().map(|w| w.0.as_str()).collect::<Vec<_>>().join(" + ");
            let mass = s.step(Kind::Mass, "mass of the vehicle alone = sum of its wheels' loads", sum);
            (wheels, mass)
        }
        Weight::AxleLoads { front, rear } => {
            let axles = [("front", front), ("rear", rear)]
                .map(|(n, m)| s.mass(format!("load on the {n} axle"), m.value));
            let sum = format!("{} + {}", axles[0], axles[1]);
            let mass = s.step(Kind::Mass, "mass of the vehicle alone = front axle + rear axle", sum);
            (axles.to_vec(), mass)
        }
        Weight::TotalAndShare { total: all, .. } | Weight::Total(all) => (Vec::new(), total(s, all)),
    }
}

/// Where the vehicle's own centre is along an axis, from what is known of its weight.
pub(super) fn own_place(s: &mut Sums, task: &Task<'_>, counted: &Counted, axis: Axis) -> Num {
    let vehicle = task.scene.vehicle;
    let from = axis.from();
    let given = |s: &mut Sums, guess: &str| {
        s.length(format!("centre of the vehicle alone, {from}{guess}"), counted.at[axis.index()][0])
    };
    let named = format!("centre of the vehicle alone, {from}");
    match (&vehicle.weight, axis) {
        (Weight::WheelLoads(_), Axis::Aft) => {
            let (w, mass) = of_vehicle(s, task);
            let base = s.length("wheelbase", vehicle.wheelbase.value);
            s.step(
                Kind::Length,
                format!("{named} = wheelbase \u{d7} rear wheels / mass"),
                format!("{base} \u{d7} ({} + {}) / {mass}", w[2], w[3]),
            )
        }
        (Weight::WheelLoads(_), Axis::Left) => {
            let (w, mass) = of_vehicle(s, task);
            let front = s.length("front track", vehicle.wheels.track_front);
            let rear = s.length("rear track", vehicle.wheels.track_rear);
            s.step(
                Kind::Length,
                format!("{named} = (front track \u{d7} (left \u{2212} right) + rear track \u{d7} (left \u{2212} right)) / (2 \u{d7} mass)"),
                format!("({front} \u{d7} ({} \u{2212} {}) + {rear} \u{d7} ({} \u{2212} {})) / (2 \u{d7} {mass})", w[0], w[1], w[2], w[3]),
            )
        }
        (Weight::AxleLoads { .. }, Axis::Aft) => {
            let (axles, mass) = of_vehicle(s, task);
            let base = s.length("wheelbase", vehicle.wheelbase.value);
            s.step(
                Kind::Length,
                format!("{named} = wheelbase \u{d7} rear axle / mass"),
                format!("{base} \u{d7} {} / {mass}", axles[1]),
            )
        }
        (Weight::TotalAndShare { .. } | Weight::Total(_), Axis::Aft) => {
            let share = match &vehicle.weight {
                Weight::TotalAndShare { front_share, .. } => front_share.clone(),
                _ => planner::priors::front_share(vehicle.class, vehicle.drive),
            };
            let guess = if share.is_assumed() { " (assumed)" } else { "" };
            let share = s.bare(format!("share of the front axle{guess}"), share.value);
            let base = s.length("wheelbase", vehicle.wheelbase.value);
            s.step(
                Kind::Length,
                format!("{named} = wheelbase \u{d7} (1 \u{2212} share of the front axle)"),
                format!("{base} \u{d7} (1 \u{2212} {share})"),
            )
        }
        (_, Axis::Left) => given(s, " (assumed)"),
        (_, Axis::Up) => {
            let assumed = vehicle.cg_height.as_ref().is_none_or(Measured::is_assumed);
            given(s, if assumed { " (assumed)" } else { "" })
        }
    }
}

/// The share of the front axle, as given or assumed.
fn share(task: &Task<'_>) -> Option<Measured<f64>> {
    let vehicle = task.scene.vehicle;
    match &vehicle.weight {
        Weight::TotalAndShare { front_share, .. } => Some(front_share.clone()),
        Weight::Total(_) => Some(planner::priors::front_share(vehicle.class, vehicle.drive)),
        Weight::WheelLoads(_) | Weight::AxleLoads { .. } => None,
    }
}

/// Every load on scales with its place along an axis and what that may be off; empty where that axis was not weighed.
fn on_scales<'a>(task: &Task<'a>, axis: Axis) -> Vec<(&'a Measured<Mass>, [Length; 2])> {
    let vehicle = task.scene.vehicle;
    let aft = |front: bool| {
        if front { [Length::ZERO; 2] } else { [vehicle.wheelbase.value, vehicle.wheelbase.tolerance] }
    };
    let half = |c: Corner| {
        let track = if c.is_front() { vehicle.wheels.track_front } else { vehicle.wheels.track_rear };
        let off = vehicle.wheels.track_off[usize::from(!c.is_front())];
        [if c.is_left() { track / 2.0 } else { track / -2.0 }, off / 2.0]
    };
    match (&vehicle.weight, axis) {
        (Weight::WheelLoads(loads), Axis::Aft) => {
            Corner::ALL.iter().zip(loads).map(|(c, m)| (m, aft(c.is_front()))).collect()
        }
        (Weight::WheelLoads(loads), Axis::Left) => {
            Corner::ALL.iter().zip(loads).map(|(c, m)| (m, half(*c))).collect()
        }
        (Weight::AxleLoads { front, rear }, Axis::Aft) => vec![(front, aft(true)), (rear, aft(false))],
        _ => Vec::new(),
    }
}

fn scale_name(k: usize, of: usize) -> String {
    match (of, k) {
        (4, _) => format!("{} wheel", corner_name(Corner::ALL[k])),
        (_, 0) => "front axle".into(),
        _ => "rear axle".into(),
    }
}

/// How far the centre of the vehicle alone may be off.
pub(super) fn own_off(s: &mut Sums, task: &Task<'_>, counted: &Counted, axis: Axis) -> Num {
    let scales = on_scales(task, axis);
    let name = format!("centre of the vehicle alone, {}", axis.from());
    if !scales.is_empty() {
        let centre = own_place(s, task, counted, axis);
        let mut terms = Vec::new();
        for (k, (mass, [at, off])) in scales.iter().enumerate() {
            let of = scale_name(k, scales.len());
            terms.push(Term {
                sign: "+",
                mass: [
                    s.mass(format!("load on the {of}"), mass.value),
                    s.mass(format!("load on the {of} may be off by"), mass.tolerance),
                ],
                place: [
                    s.length(format!("{of}, {}", axis.from()), *at),
                    s.length(format!("{of}, {} may be off by", axis.from()), *off),
                ],
                vanishes: mass.tolerance > mass.value,
            });
        }
        let farthest = |sense: f64| task.accounts.farthest_on_scales(axis.index(), sense);
        return farther_end(s, &terms, &centre, (&name, axis), farthest);
    }
    let Some(share) = share(task).filter(|_| axis == Axis::Aft) else {
        return s.length(format!("{name} may be off by"), counted.at[axis.index()][1]);
    };
    let centre = own_place(s, task, counted, axis);
    let base = s.length("wheelbase", task.scene.vehicle.wheelbase.value);
    let off = s.length("the wheelbase may be off by", task.scene.vehicle.wheelbase.tolerance);
    let guess = if share.is_assumed() { " (assumed)" } else { "" };
    let part = s.bare(format!("share of the front axle{guess}"), share.value);
    let by = s.bare("the share may be off by", share.tolerance);
    let ends = [("back", "+", "\u{2212}"), ("forward", "\u{2212}", "+")].map(|(way, longer, less)| {
        s.step(
            Kind::Length,
            format!(
                "{name}, farthest {way} = (wheelbase {longer} off) \u{d7} (1 \u{2212} (share {less} off))"
            ),
            format!("({base} {longer} {off}) \u{d7} (1 \u{2212} ({part} {less} {by}))"),
        )
    });
    s.step(
        Kind::Length,
        format!("{name} may be off by = the greater of the two distances from it"),
        format!("greatest({} \u{2212} {centre}; {centre} \u{2212} {})", ends[0], ends[1]),
    )
}

/// Standard uncertainty of the centre of the vehicle alone.
pub(super) fn own_uncertainty(s: &mut Sums, task: &Task<'_>, counted: &Counted, axis: Axis) -> Num {
    let scales = on_scales(task, axis);
    let name = format!("standard uncertainty of the centre of the vehicle alone, {}", axis.from());
    let base_off = task.scene.vehicle.wheelbase.uncertainty;
    if !scales.is_empty() {
        let centre = own_place(s, task, counted, axis);
        let mass = of_vehicle(s, task).1;
        let mut squares = Vec::new();
        for (k, (load, [at, off])) in scales.iter().enumerate() {
            let of = scale_name(k, scales.len());
            let at = s.length(format!("{of}, {}", axis.from()), *at);
            let by = s.mass(format!("standard uncertainty of the load on the {of}"), load.uncertainty);
            squares.push(format!("(({at} \u{2212} {centre}) / {mass} \u{d7} {by})\u{b2}"));
            if axis == Axis::Left && *off > Length::ZERO {
                let load = s.mass(format!("load on the {of}"), load.value);
                let by = s.length(format!("{of}, standard uncertainty of its place"), *off / 3f64.sqrt());
                squares.push(format!("({load} / {mass} \u{d7} {by})\u{b2}"));
            }
        }
        if axis == Axis::Aft {
            let base = s.length("wheelbase", task.scene.vehicle.wheelbase.value);
            let by = s.length("standard uncertainty of the wheelbase", base_off);
            squares.push(format!("({centre} / {base} \u{d7} {by})\u{b2}"));
        }
        return s.step(
            Kind::Length,
            format!("{name} = \u{221a}(sum of ((place \u{2212} centre) / mass \u{d7} that of a load)\u{b2}, and of a load / mass \u{d7} that of its place)"),
            format!("\u{221a}({})", squares.join(" + ")),
        );
    }
    let Some(share) = share(task).filter(|_| axis == Axis::Aft) else {
        return s.length(name, counted.at[axis.index()][2]);
    };
    let base = s.length("wheelbase", task.scene.vehicle.wheelbase.value);
    let by_base = s.length("standard uncertainty of the wheelbase", base_off);
    let guess = if share.is_assumed() { " (assumed)" } else { "" };
    let part = s.bare(format!("share of the front axle{guess}"), share.value);
    let by_share = s.bare("standard uncertainty of the share", share.uncertainty);
    s.step(
        Kind::Length,
        format!("{name} = \u{221a}((wheelbase \u{d7} that of the share)\u{b2} + ((1 \u{2212} share) \u{d7} that of the wheelbase)\u{b2})"),
        format!("\u{221a}(({base} \u{d7} {by_share})\u{b2} + ((1 \u{2212} {part}) \u{d7} {by_base})\u{b2})"),
    )
}
