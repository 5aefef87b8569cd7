//! The states of a job, one after the other: what is off, where the centre of gravity went, what holds them.

use planner::job::Step;
use planner::plan::{Check, StateAnswer};
use statics::Length;

use super::check_title;
use crate::{Scene, Units};

/// The binding check of that state alone that leaves least.
#[must_use]
pub fn held_by<'a>(scene: &Scene<'a>, state: usize) -> Option<&'a Check> {
    let own = scene.plan.checks.iter().filter(|c| c.binding && c.state == Some(state));
    own.min_by(|a, b| a.reserve.total_cmp(&b.reserve))
}

/// Where the centre of gravity went since the state before, in the vehicle's own directions; `None` = it stays.
#[must_use]
pub fn moved(before: &StateAnswer, now: &StateAnswer, units: Units) -> Option<String> {
    let ways = [["forwards", "back"], ["right", "left"], ["down", "up"]];
    let (from, to) = (before.cg.to_metres(), now.cg.to_metres());
    let parts = (0..3).filter_map(|k| {
        let by = to[k] - from[k];
        let figure = units.length(Length::metres(by.abs()));
        (!figure.starts_with("0 ")).then(|| format!("{figure} {}", ways[k][usize::from(by > 0.0)]))
    });
    let parts: Vec<String> = parts.collect();
    (!parts.is_empty()).then(|| parts.join(", "))
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

/// Where the centre of gravity went, what is off or on, and what holds the state, as short sentences.
#[must_use]
pub fn along_the_job(scene: &Scene<'_>, state: usize, units: Units) -> String {
    let states = &scene.plan.states;
    let [off, on] = off_and_on(scene, state);
    let mut said = Vec::new();
    if let Some([before, now]) = state.checked_sub(1).and_then(|k| Some([states.get(k)?, states.get(state)?]))
    {
        said.push(match moved(before, now, units) {
            Some(way) => format!("Centre of gravity {way}."),
            None => "Centre of gravity stays.".into(),
        });
    }
    if state == 0 && !scene.job.loads.is_empty() {
        let loads: Vec<&str> = scene.job.loads.iter().map(|l| l.name.as_str()).collect();
        said.push(format!("Aboard: {}.", loads.join(", ")));
    }
    for (word, parts) in [("Off", off), ("On", on)] {
        if !parts.is_empty() {
            said.push(format!("{word}: {}.", parts.join(", ")));
        }
    }
    if let Some(check) = held_by(scene, state) {
        said.push(format!("Held by: {}.", check_title(scene, check.what)));
    }
    said.join(" ")
}
