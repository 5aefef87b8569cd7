//! What weighs, as the files say it, each with how far it may be off.

use planner::Measured;
use planner::job::Step;
use planner::lift::Corner;
use planner::vehicle::{Part, Weight};
use statics::{Length, Mass};

use super::{corner_name, guessed};
use crate::units::{self, Round};
use crate::{Scene, Units};

/// Weight of the vehicle, height of its centre, wheelbase, loads and parts: a sentence each.
#[must_use]
pub fn weights(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let vehicle = scene.vehicle;
    let mass = |name: &str, m: &Measured<Mass>| format!("{name} {}", mass_within(m, units));
    let weight = match &vehicle.weight {
        Weight::WheelLoads(loads) => {
            let wheels = Corner::ALL.iter().zip(loads);
            let each: Vec<String> = wheels.map(|(c, load)| mass(corner_name(*c), load)).collect();
            format!("Wheels weighed: {}.", each.join("; "))
        }
        Weight::AxleLoads { front, rear } => {
            format!("Axles weighed: {}; {}.", mass("front", front), mass("rear", rear))
        }
        Weight::TotalAndShare { total, front_share } => {
            let percent = |part: f64| format!("{} %", units::decimals(part * 100.0, 1));
            let share = guessed(percent(front_share.value), front_share.is_assumed());
            let within = percent(front_share.tolerance);
            format!("{}; {share} \u{b1} {within} of it on the front axle.", mass("Vehicle", total))
        }
        Weight::Total(total) => format!("{}.", mass("Vehicle", total)),
    };
    let base = format!("Wheelbase {}.", length_within(&vehicle.wheelbase, units));
    let height = vehicle.cg_height.as_ref();
    let height = height.map(|h| format!("Centre of gravity {} above the ground.", length_within(h, units)));
    let parts = named(scene).into_iter().map(|(of, does)| part(of, &does.join(" and "), units));
    [weight, base].into_iter().chain(height).chain(parts).collect()
}

/// Every load and part, and all that becomes of it.
fn named<'a>(scene: &Scene<'a>) -> Vec<(&'a Part, Vec<&'static str>)> {
    let loads = scene.job.loads.iter().map(|load| (load, "aboard"));
    let steps = scene.job.steps.iter().map(|step| match step {
        Step::Off(part) => (part, "comes off"),
        Step::On(part) => (part, "goes on"),
    });
    let mut all: Vec<(&Part, Vec<&str>)> = vec![];
    for (part, does) in loads.chain(steps) {
        match all.iter_mut().find(|(own, _)| *own == part) {
            Some((_, does_all)) => does_all.push(does),
            None => all.push((part, vec![does])),
        }
    }
    all
}

fn part(part: &Part, word: &str, units: Units) -> String {
    let [aft, left, up] = part.at.to_metres().map(Length::metres);
    let [by_aft, by_left, by_up] = part.off.by.map(|off| units.length_to(off, Round::Up));
    format!(
        "{}, {word}: {}; its centre {} \u{b1} {by_aft} behind the front axle, {} \u{b1} {by_left} left of the centre plane, \
         {} \u{b1} {by_up} above the ground.",
        super::capital(&part.name),
        mass_within(&part.mass, units),
        units.length(aft),
        units.length(left),
        units.length(up),
    )
}

fn mass_within(mass: &Measured<Mass>, units: Units) -> String {
    let value = guessed(units.mass(mass.value), mass.is_assumed());
    format!("{value} \u{b1} {}", units.mass_to(mass.tolerance, Round::Up))
}

fn length_within(length: &Measured<Length>, units: Units) -> String {
    let value = guessed(units.length(length.value), length.is_assumed());
    format!("{value} \u{b1} {}", units.length_to(length.tolerance, Round::Up))
}
