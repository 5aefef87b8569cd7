//! Mass and centre of gravity of a state: moments of what is counted, its farthest ends, its uncertainty.

use planner::account::{Counted, Farthest, Whose};

use super::demand::Task;
use super::figure::Axis;
use super::scales;
use super::steps::{Kind, Num, Sums};

/// "mass of the seat, off".
fn name(task: &Task<'_>, counted: &Counted) -> String {
    match &counted.whose {
        Whose::Vehicle => "the vehicle alone".into(),
        Whose::Load(load) => format!("{load}, aboard"),
        Whose::Off(part) => format!("{part}, off"),
        Whose::On(part) => format!("{part}, on"),
        Whose::Stand(place) => {
            let place = task.scene.vehicle.stand_places.get(*place).map_or("", |p| p.name.as_str());
            format!("what the stand under \"{place}\" carries")
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

/// Every mass that is counted, the vehicle's first.
fn masses(s: &mut Sums, task: &Task<'_>, all: &[Counted]) -> Vec<Num> {
    let mut found = vec![scales::of_vehicle(s, task).1];
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

/// Every place that is counted along an axis, the vehicle's first.
fn places(s: &mut Sums, task: &Task<'_>, all: &[Counted], axis: Axis) -> Vec<Num> {
    let mut found: Vec<Num> =
        all.first().map(|own| scales::own_place(s, task, own, axis)).into_iter().collect();
    let rest = all
        .iter()
        .skip(1)
        .map(|c| s.length(format!("{}, {}", name(task, c), axis.from()), c.at[axis.index()][0]));
    found.extend(rest);
    found
}

pub(super) fn centre(s: &mut Sums, task: &Task<'_>, state: usize, axis: Axis) -> Num {
    let all = task.accounts.counted(task.scene.plan, state);
    let places = places(s, task, &all, axis);
    if let [only] = &places[..] {
        return s.step(
            Kind::Length,
            format!("centre of gravity, {} = that of the vehicle alone", axis.from()),
            format!("1 \u{d7} {only}"),
        );
    }
    let masses = masses(s, task, &all);
    let mass = total(s, &all, &masses);
    let terms = all.iter().zip(masses.iter().zip(&places));
    let terms = terms.map(|(c, (m, x))| (sign(c), format!("{m} \u{d7} {x}")));
    s.step(
        Kind::Length,
        format!("centre of gravity, {} = sum of mass \u{d7} place, less what is off, / mass", axis.from()),
        format!("({}) / {mass}", summed(terms)),
    )
}

/// A mass at a place as printed, each with what it may be off.
pub(super) struct Term {
    pub(super) sign: &'static str,
    pub(super) mass: [Num; 2],
    pub(super) place: [Num; 2],
    /// Whether it may be nothing at the least: it may be off by more than itself.
    pub(super) vanishes: bool,
}

/// How far a centre may be off: the farther of its two ends, `farthest` telling the ends of every term.
pub(super) fn farther_end(
    s: &mut Sums,
    terms: &[Term],
    centre: &Num,
    (name, axis): (&str, Axis),
    farthest: impl Fn(f64) -> Option<Farthest>,
) -> Num {
    let plus = |end: f64| if end < 0.0 { "\u{2212}" } else { "+" };
    let ends = [(1.0, axis.ways()[1]), (-1.0, axis.ways()[0])].map(|(sense, way)| {
        let Some(ends) = farthest(sense) else { return centre.clone() };
        let mass = |k: usize| {
            let sum = format!("{} {} {}", terms[k].mass[0], plus(ends.masses[k]), terms[k].mass[1]);
            let none = ends.masses[k] < 0.0 && terms[k].vanishes;
            if none { format!("greatest({sum}; 0)") } else { format!("({sum})") }
        };
        let moment = |k: usize| {
            let [place, off] = &terms[k].place;
            format!("{} \u{d7} ({place} {} {off})", mass(k), plus(ends.places[k]))
        };
        let moments = (0..terms.len()).map(|k| (terms[k].sign, moment(k)));
        let weights = (0..terms.len()).map(|k| (terms[k].sign, mass(k)));
        s.step(
            Kind::Length,
            format!("{name}, farthest {way} = sum of mass \u{d7} place / sum of mass, each at that end"),
            format!("({}) / ({})", summed(moments), summed(weights)),
        )
    });
    s.step(
        Kind::Length,
        format!("{name} may be off by = the greater of the two distances from it"),
        format!("greatest({} \u{2212} {centre}; {centre} \u{2212} {})", ends[0], ends[1]),
    )
}

const FARTHEST: &str = "Every mass and place may be off, each by its own; here each at the end that puts the centre farthest: a \
    place that way, its mass at its most if it is then beyond the result, else at its least; of what is off, the other way round.";

/// How far the centre may be off.
pub(super) fn centre_off(s: &mut Sums, task: &Task<'_>, state: usize, axis: Axis) {
    let all = task.accounts.counted(task.scene.plan, state);
    let Some(first) = all.first() else { return };
    s.note(FARTHEST);
    let own = scales::own_off(s, task, first, axis);
    if all.len() == 1 {
        let name = format!("centre of gravity, {} may be off by = as that of the vehicle alone", axis.from());
        s.step(Kind::Length, name, format!("1 \u{d7} {own}"));
        return;
    }
    let centre = centre(s, task, state, axis);
    let (masses, places) = (masses(s, task, &all), places(s, task, &all, axis));
    let term = |(k, c): (usize, &Counted)| {
        let name = name(task, c);
        let off = s.mass(format!("mass of {name} may be off by"), c.mass[1]);
        let away = match c.whose {
            Whose::Vehicle => own.clone(),
            _ => s.length(format!("{name}, {} may be off by", axis.from()), c.at[axis.index()][1]),
        };
        Term {
            sign: sign(c),
            mass: [masses[k].clone(), off],
            place: [places[k].clone(), away],
            vanishes: c.mass[1] > c.mass[0],
        }
    };
    let terms: Vec<Term> = all.iter().enumerate().map(term).collect();
    let farthest = |sense: f64| Some(task.accounts.farthest(task.scene.plan, state, axis.index(), sense));
    let name = format!("centre of gravity, {}", axis.from());
    farther_end(s, &terms, &centre, (&name, axis), farthest);
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
        let by_place = match c.whose {
            Whose::Vehicle => scales::own_uncertainty(s, task, c, axis),
            _ => s.length(format!("standard uncertainty of the centre of {name}"), c.at[axis.index()][2]),
        };
        squares.push(format!("(({} \u{2212} {centre}) / {mass} \u{d7} {by_mass})\u{b2}", places[k]));
        squares.push(format!("({} / {mass} \u{d7} {by_place})\u{b2}", masses[k]));
    }
    s.step(
        Kind::Length,
        "standard uncertainty = \u{221a}(sum of ((place \u{2212} centre) / mass \u{d7} uncertainty of a mass)\u{b2} and (a mass / mass \u{d7} uncertainty of its place)\u{b2})",
        format!("\u{221a}({})", squares.join(" + ")),
    );
}
