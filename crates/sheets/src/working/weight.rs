//! Mass and centre of gravity of a state: moments of what is counted, its farthest ends, its uncertainty.

use planner::account::{Counted, Whose};
use planner::vehicle::Weight;
use statics::Mass;

use super::demand::Task;
use super::figure::Axis;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

const fn index(axis: Axis) -> usize {
    match axis {
        Axis::Aft => 0,
        Axis::Left => 1,
        Axis::Up => 2,
    }
}

/// "mass of the seat, off".
fn name(task: &Task<'_>, counted: &Counted) -> String {
    match &counted.whose {
        Whose::Vehicle => "the vehicle alone".into(),
        Whose::Load(load) => format!("{load}, aboard"),
        Whose::Off(part) => format!("{part}, off"),
        Whose::On(part) => format!("{part}, on"),
        Whose::Stand(place) => {
            let place = task.scene.vehicle.stand_places.get(*place).map_or("", |p| p.name.as_str());
            format!("carried by the stand under \"{place}\"")
        }
    }
}

const fn sign(counted: &Counted) -> &'static str {
    if counted.sign < 0.0 { "\u{2212}" } else { "+" }
}

/// Terms with their signs, the first without a plus.
fn summed(terms: impl Iterator<Item = (&'static str, String)>) -> String {
    let all: Vec<String> = terms.map(|(sign, term)| format!("{sign} {term}")).collect();
    all.join(" ").trim_start_matches("+ ").to_owned()
}

/// The loads on scales that make up the vehicle's mass, or its mass as it is given.
fn of_vehicle(s: &mut Sums, task: &Task<'_>) -> (Vec<Num>, Num) {
    let total = |s: &mut Sums, total: &planner::Measured<Mass>| {
        let guess = if total.is_assumed() { " (assumed)" } else { "" };
        s.mass(format!("mass of the vehicle alone{guess}"), total.value)
    };
    match &task.scene.vehicle.weight {
        Weight::WheelLoads(loads) => {
            let wheels: Vec<Num> = planner::lift::Corner::ALL
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

/// Every mass that is counted, the vehicle's first.
fn masses(s: &mut Sums, task: &Task<'_>, all: &[Counted]) -> Vec<Num> {
    let mut found = vec![of_vehicle(s, task).1];
    let rest = all.iter().skip(1).map(|c| s.mass(format!("mass of {}", name(task, c)), c.mass[0]));
    found.extend(rest);
    found
}

fn total(s: &mut Sums, all: &[Counted], masses: &[Num]) -> Num {
    let [only] = masses else {
        let terms = all.iter().zip(masses).map(|(c, m)| (sign(c), m.0.clone()));
        return s.step(
            Kind::Mass,
            "mass = the vehicle, what is on or aboard, less what is off",
            summed(terms),
        );
    };
    s.step(Kind::Mass, "mass = the vehicle alone", format!("1 \u{d7} {only}"))
}

pub(super) fn mass(s: &mut Sums, task: &Task<'_>, state: usize) -> Num {
    let all = task.accounts.counted(task.scene.plan, state);
    let masses = masses(s, task, &all);
    total(s, &all, &masses)
}

pub(super) fn mass_off(s: &mut Sums, task: &Task<'_>, state: usize) {
    let all = task.accounts.counted(task.scene.plan, state);
    let each: Vec<String> =
        all.iter().map(|c| s.mass(format!("mass of {} may be off by", name(task, c)), c.mass[1]).0).collect();
    s.step(
        Kind::Mass,
        "mass may be off by = sum of what each may be off",
        format!("0 + {}", each.join(" + ")),
    );
}

/// Where the vehicle's own centre is along an axis, from what is known of its weight.
fn own_place(s: &mut Sums, task: &Task<'_>, counted: &Counted, axis: Axis) -> Num {
    let vehicle = task.scene.vehicle;
    let from = axis.from();
    let given = |s: &mut Sums, guess: &str| {
        s.length(format!("centre of the vehicle alone, {from}{guess}"), counted.at[index(axis)][0])
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
            let assumed = vehicle.cg_height.as_ref().is_none_or(planner::Measured::is_assumed);
            given(s, if assumed { " (assumed)" } else { "" })
        }
    }
}

/// Every place that is counted along an axis, the vehicle's first.
fn places(s: &mut Sums, task: &Task<'_>, all: &[Counted], axis: Axis) -> Vec<Num> {
    let mut found: Vec<Num> = all.first().map(|own| own_place(s, task, own, axis)).into_iter().collect();
    let rest = all
        .iter()
        .skip(1)
        .map(|c| s.length(format!("{}, {}", name(task, c), axis.from()), c.at[index(axis)][0]));
    found.extend(rest);
    found
}

pub(super) fn centre(s: &mut Sums, task: &Task<'_>, state: usize, axis: Axis) -> Num {
    let all = task.accounts.counted(task.scene.plan, state);
    let places = places(s, task, &all, axis);
    if let [only] = &places[..] {
        return s.step(
            Kind::Length,
            "centre of gravity = that of the vehicle alone",
            format!("1 \u{d7} {only}"),
        );
    }
    let masses = masses(s, task, &all);
    let mass = total(s, &all, &masses);
    let terms = all.iter().zip(masses.iter().zip(&places));
    let terms = terms.map(|(c, (m, x))| (sign(c), format!("{m} \u{d7} {x}")));
    s.step(
        Kind::Length,
        "centre of gravity = sum of mass \u{d7} place, less what is off, / mass",
        format!("({}) / {mass}", summed(terms)),
    )
}

/// How far the centre may be off: the farther of its two ends.
pub(super) fn centre_off(s: &mut Sums, task: &Task<'_>, state: usize, axis: Axis) {
    let all = task.accounts.counted(task.scene.plan, state);
    let centre = centre(s, task, state, axis);
    let (masses, places) = (masses(s, task, &all), places(s, task, &all, axis));
    s.note("Every mass and place may be off, each by its own; here each at the end that puts the centre farthest.");
    let offs: Vec<[Num; 2]> = all
        .iter()
        .map(|c| {
            let name = name(task, c);
            let mass = s.mass(format!("mass of {name} may be off by"), c.mass[1]);
            [mass, s.length(format!("centre of {name} may be off by"), c.at[index(axis)][1])]
        })
        .collect();
    let ends = [(1.0, axis.ways()[1]), (-1.0, axis.ways()[0])].map(|(sense, way)| {
        let ends = task.accounts.farthest(task.scene.plan, state, axis_index(axis), sense);
        let plus = |end: f64| if end < 0.0 { "\u{2212}" } else { "+" };
        let mass = |k: usize| {
            let sum = format!("{} {} {}", masses[k], plus(ends.masses[k]), offs[k][0]);
            // What may be off by more than itself is nothing at the least.
            let none = ends.masses[k] < 0.0 && all[k].mass[1] > all[k].mass[0];
            if none { format!("greatest({sum}; 0)") } else { format!("({sum})") }
        };
        let moments = (0..all.len()).map(|k| {
            (
                sign(&all[k]),
                format!("{} \u{d7} ({} {} {})", mass(k), places[k], plus(ends.places[k]), offs[k][1]),
            )
        });
        let weights = (0..all.len()).map(|k| (sign(&all[k]), mass(k)));
        s.step(
            Kind::Length,
            format!("farthest {way} = sum of mass \u{d7} place / sum of mass, each at that end"),
            format!("({}) / ({})", summed(moments), summed(weights)),
        )
    });
    s.step(
        Kind::Length,
        "may be off by = the greater of the two distances from the centre",
        format!("greatest({} \u{2212} {centre}; {centre} \u{2212} {})", ends[0], ends[1]),
    );
}

const fn axis_index(axis: Axis) -> usize {
    index(axis)
}

/// Standard uncertainty of the centre, inputs independent.
pub(super) fn centre_uncertainty(s: &mut Sums, task: &Task<'_>, state: usize, axis: Axis) {
    let all = task.accounts.counted(task.scene.plan, state);
    let centre = centre(s, task, state, axis);
    let (masses, places) = (masses(s, task, &all), places(s, task, &all, axis));
    let mass = total(s, &all, &masses);
    s.note(
        "Each mass moves the centre by its distance from it, each place by its share of the mass (JCGM 100).",
    );
    let mut squares = Vec::new();
    for (k, c) in all.iter().enumerate() {
        let name = name(task, c);
        let by_mass = s.mass(format!("standard uncertainty of the mass of {name}"), c.mass[2]);
        let by_place =
            s.length(format!("standard uncertainty of the centre of {name}"), c.at[index(axis)][2]);
        squares.push(format!("(({} \u{2212} {centre}) / {mass} \u{d7} {by_mass})\u{b2}", places[k]));
        squares.push(format!("({} / {mass} \u{d7} {by_place})\u{b2}", masses[k]));
    }
    s.step(
        Kind::Length,
        "standard uncertainty = \u{221a}(sum of ((place \u{2212} centre) / mass \u{d7} uncertainty of a mass)\u{b2} and (a mass / mass \u{d7} uncertainty of its place)\u{b2})",
        format!("\u{221a}({})", squares.join(" + ")),
    );
}
