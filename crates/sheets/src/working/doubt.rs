//! The chance that a check fails, its numerical error, and what a measurement gains.

use planner::checks::What;
use planner::{Chance, Gain};

use super::demand::Task;
use super::order::left;
use super::steps::{Kind, Num, Sums};
use crate::words;

/// Failed samples of all.
pub(super) fn chance(s: &mut Sums, task: &Task<'_>, chance: &Chance) -> Num {
    closed_form(s, task, chance);
    let failed = s.count("samples that failed", chance.failed);
    let all = s.count("samples", chance.samples);
    s.step(Kind::Bare, "chance (1 = certain) = failed / samples", format!("{failed} / {all}"))
}

/// The mass alone decides the lift's rated load, and is even between two ends: so much of it lies above.
fn closed_form(s: &mut Sums, task: &Task<'_>, chance: &Chance) {
    let plan = task.scene.plan;
    let capacity = plan.checks.get(chance.check).is_some_and(|c| c.what == What::Capacity);
    let end = |m: &planner::Measured<statics::Mass>| {
        m.value.to_kilograms() + 3f64.sqrt() * m.uncertainty.to_kilograms()
    };
    let heaviest = plan.states.iter().max_by(|a, b| end(&a.mass).total_cmp(&end(&b.mass)));
    let Some(state) = heaviest.filter(|_| capacity) else { return };
    let mass = s.mass(format!("mass {}", state.name), state.mass.value);
    let spread = s.mass("its standard uncertainty", state.mass.uncertainty);
    let rated = s.mass("rated load of the lift", task.scene.lift.rated);
    let off = s.step(
        Kind::Mass,
        "the mass is even within = \u{221a}3 \u{d7} its standard uncertainty",
        format!("\u{221a}(3) \u{d7} {spread}"),
    );
    if state.mass.uncertainty > statics::Mass::ZERO {
        s.step(
            Kind::Bare,
            "chance in closed form, to compare = (mass + off \u{2212} rated) / (2 \u{d7} off), from 0 to 1",
            format!("least(greatest(({mass} + {off} \u{2212} {rated}) / (2 \u{d7} {off}); 0); 1)"),
        );
    }
}

/// Standard error of the mean of the shifts.
pub(super) fn error(s: &mut Sums, of: &Chance) {
    let shifts = of.by_shift.len();
    s.note(format!(
        "The samples are {shifts} sets of as many, each shifted at random. How far their chances scatter tells how far the mean may be off."
    ));
    let failed = s.count("samples that failed", of.failed);
    let all = s.count("samples", of.samples);
    let mean = s.step(Kind::Bare, "chance = failed / samples", format!("{failed} / {all}"));
    let n = s.count("number of sets", shifts as u64);
    let each = s.step(Kind::Bare, "samples of a set = samples / number of sets", format!("{all} / {n}"));
    let squares: Vec<String> = of
        .by_shift
        .iter()
        .enumerate()
        .map(|(k, failed)| {
            let failed = s.count(format!("failed in set {}", k + 1), *failed);
            format!("({failed} / {each} \u{2212} {mean})\u{b2}")
        })
        .collect();
    s.step(
        Kind::Bare,
        "numerical error = \u{221a}(sum of (failed of a set / samples of a set \u{2212} chance)\u{b2} / (number of sets \u{2212} 1) / number of sets)",
        format!("\u{221a}(({}) / ({n} \u{2212} 1) / {n})", squares.join(" + ")),
    );
}

/// What a measurement gains: what the least check leaves now, and then.
pub(super) fn gain(s: &mut Sums, task: &Task<'_>, gain: &Gain) {
    let scene = task.scene;
    s.note(format!(
        "Measured: {}. What is supposed now proves right, with what the tool leaves in doubt.",
        words::measurement(&gain.measure, s.units())
    ));
    let now = left(s, scene, scene.plan.worst_check(), "now");
    let (check, state) = &gain.held_by;
    let then = state.as_ref().map_or("then".to_owned(), |state| format!("then, in \"{state}\""));
    let then = left(s, scene, check, &then);
    s.step(Kind::Percent, "gain = left then \u{2212} left now", format!("{then} \u{2212} ({now})"));
}
