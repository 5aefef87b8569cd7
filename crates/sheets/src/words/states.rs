//! The states of a job, one after the other: what is off, where the centre of gravity went, what holds them.

use planner::job::Step;
use planner::plan::{Check, StateAnswer};
use statics::Length;

use super::check_title;
use crate::units::Round;
use crate::{Scene, Units};

/// The binding check of that state alone that leaves least.
#[must_use]
pub fn held_by<'a>(scene: &Scene<'a>, state: usize) -> Option<&'a Check> {
    let own = scene.plan.checks.iter().filter(|c| c.binding && c.state == Some(state));
    own.min_by(|a, b| a.reserve.total_cmp(&b.reserve))
}

/// Where the vehicle's own centre of gravity went since the state before, in its own directions; `None` = it stays.
#[must_use]
pub fn moved(before: &StateAnswer, now: &StateAnswer, units: Units) -> Option<String> {
    let own = |state: &StateAnswer| state.whole.map_or(state.cg, |whole| whole.cg).to_metres();
    let ways = [["forwards", "back"], ["right", "left"], ["down", "up"]];
    let parts = apart(own(before), own(now), &ways, units);
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// How far the centre of gravity may be off, in plan.
#[must_use]
pub fn sure(state: &StateAnswer, units: Units) -> String {
    let [along, across, _] = state.cg_tolerance.map(|off| units.length_to(off, Round::Up));
    let whose = if state.whole.is_some() { "what the pads carry" } else { "CG" };
    format!("{whose} \u{b1} {along} along, \u{b1} {across} across")
}

/// How far along each axis from one place to another, and which way.
fn apart(from: [f64; 3], to: [f64; 3], ways: &[[&str; 2]], units: Units) -> Vec<String> {
    let part = |(k, way): (usize, &[&str; 2])| {
        let by = to[k] - from[k];
        let figure = units.length(Length::metres(by.abs()));
        (!figure.starts_with("0 ")).then(|| format!("{figure} {}", way[usize::from(by > 0.0)]))
    };
    ways.iter().enumerate().filter_map(part).collect()
}

/// Of a state on stands: what they leave to the pads, and where that is.
fn left_to_the_pads(scene: &Scene<'_>, state: &StateAnswer, units: Units) -> Option<String> {
    let whole = state.whole?;
    let stands = match super::standing(scene)?.places.len() {
        1 => "the stand",
        _ => "the stands",
    };
    let ways = [["ahead", "behind"], ["to the right", "to the left"]];
    let parts = apart(whole.cg.to_metres(), state.cg.to_metres(), &ways, units);
    let place = if parts.is_empty() {
        "with its centre below the vehicle's own".into()
    } else {
        format!("with its centre {} of the vehicle's own", parts.join(" and "))
    };
    Some(format!(
        "Of its {} {stands} leave{} {} to the pads, {place}.",
        units.mass(whole.mass),
        if stands == "the stand" { "s" } else { "" },
        units.mass(state.mass.value),
    ))
}

/// What is off and what was put on, in the order of the states; loads stay aboard.
fn off_and_on<'a>(scene: &Scene<'a>, state: usize) -> [Vec<&'a str>; 2] {
    let (mut off, mut on): (Vec<&str>, Vec<&str>) = (Vec::new(), Vec::new());
    // By the states' names: a plan may have put the steps in another order.
    for name in scene.plan.states.iter().take(state + 1).map(|s| s.name.as_str()) {
        let step = scene.job.steps.iter().find(|step| match step {
            Step::Off(part) => name.strip_suffix(" off") == Some(part.name.as_str()),
            Step::On(part) => name.strip_suffix(" on") == Some(part.name.as_str()),
        });
        let (part, goes, comes) = match step {
            Some(Step::Off(part)) => (part, &mut on, &mut off),
            Some(Step::On(part)) => (part, &mut off, &mut on),
            None => continue,
        };
        let known = goes.len();
        goes.retain(|p| *p != part.name);
        // What goes back to where it was is neither off nor new.
        if goes.len() == known {
            comes.push(&part.name);
        }
    }
    [off, on]
}

/// What is off then besides what the state is named by.
pub(crate) fn off(scene: &Scene<'_>, state: usize) -> Option<String> {
    let [off, _] = off_and_on(scene, state);
    let name = scene.plan.states.get(state)?.name.as_str();
    let others: Vec<&str> = off.into_iter().filter(|part| name.strip_suffix(" off") != Some(part)).collect();
    (!others.is_empty()).then(|| format!("off too: {}", others.join(", ")))
}

/// Where the centre of gravity went, what is off or on, and what holds the state, as short sentences.
#[must_use]
pub fn along_the_job(scene: &Scene<'_>, state: usize, units: Units) -> String {
    let mut said = went(scene, state, units);
    if state == 0 && !scene.job.loads.is_empty() {
        let loads: Vec<&str> = scene.job.loads.iter().map(|l| l.name.as_str()).collect();
        said.push(format!("Aboard: {}.", loads.join(", ")));
    }
    let [off, on] = off_and_on(scene, state);
    for (word, parts) in [("Off", off), ("On", on)] {
        if !parts.is_empty() {
            said.push(format!("{word}: {}.", parts.join(", ")));
        }
    }
    said.extend(held(scene, state));
    said.join(" ")
}

fn held(scene: &Scene<'_>, state: usize) -> Option<String> {
    held_by(scene, state).map(|check| format!("Held by: {}.", check_title(scene, check.what)))
}

/// Where the centre of gravity went, what stands leave, how sure that is.
#[must_use]
pub fn went(scene: &Scene<'_>, state: usize, units: Units) -> Vec<String> {
    let states = &scene.plan.states;
    let mut said = Vec::new();
    if let Some([before, now]) = state.checked_sub(1).and_then(|k| Some([states.get(k)?, states.get(state)?]))
    {
        let whose =
            if now.whole.is_some() { "The vehicle's own centre of gravity" } else { "Centre of gravity" };
        said.push(match moved(before, now, units) {
            Some(way) => format!("{whose} {way}."),
            None => format!("{whose} stays."),
        });
    }
    said.extend(states.get(state).and_then(|s| left_to_the_pads(scene, s, units)));
    said.extend(states.get(state).map(|s| format!("{}.", super::capital(&sure(s, units)))));
    said
}

/// Why no chance is told of a setup that does not stand in that state.
#[must_use]
pub fn no_chance(scene: &Scene<'_>, state: usize) -> String {
    let state = scene.plan.states.get(state).map_or("as raised", |s| s.name.as_str());
    format!(
        "None is told: on these pads the vehicle does not stand in state \"{state}\", even with every figure as it is \
         supposed. Its centre of gravity is not between them, and no loads hold it."
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;
    use planner::plan::{Standing, StandsAnswer, Whole};
    use statics::{Force, Mass, Point};

    /// Where a stand took a part of the load, the vehicle's own centre did not go where the pads' part of it is.
    #[test]
    fn a_state_on_stands_tells_where_the_vehicle_is_and_what_the_pads_carry() {
        let made = fixtures::all().iter().find(|m| m.plan.states.len() > 1).unwrap();
        let mut plan = made.plan.clone();
        let at = |by: [f64; 2]| {
            let [aft, left, up] = plan.states[0].cg.to_metres();
            Point::metres([aft + by[0], left + by[1], up])
        };
        let (own, pads) = (at([0.1, 0.0]), at([-0.3, -0.2]));
        let state = &mut plan.states[1];
        state.cg = pads;
        state.mass.value = Mass::kilograms(600.0);
        state.whole = Some(Whole { mass: Mass::kilograms(962.0), cg: own });
        plan.stands = Some(StandsAnswer::Serve(Box::new(Standing {
            places: vec![0],
            lock: 0,
            heights: vec![],
            least: Force::ZERO,
            most: Force::ZERO,
            load: Mass::kilograms(362.0).weight(),
            rated: Force::ZERO,
            from: 0,
            to: 2,
            by_state: vec![],
            drift: vec![],
            checked: vec![],
            tips_without: false,
        })));
        let scene = Scene { plan: &plan, ..made.scene() };
        let said = along_the_job(&scene, 1, Units::Metric);
        for part in [
            "The vehicle's own centre of gravity 100 mm back.",
            "Of its 962 kg the stand leaves 600 kg to the pads, with its centre 400 mm ahead and 200 mm to the right of \
             the vehicle's own.",
        ] {
            assert!(said.contains(part), "{said}");
        }
    }
}
