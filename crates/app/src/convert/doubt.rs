//! Chances and measurements to the form that other programs read.

use planner::Chances;
use sheets::{Scene, Units, words};

use crate::wire::plan as wire;

pub(super) fn chances(scene: &Scene<'_>) -> Option<Vec<wire::Chance>> {
    let Some(Chances::Told(all)) = scene.chances else { return None };
    let wired = |c: &planner::Chance| {
        let check = scene.plan.checks.get(c.check)?;
        let state = check.state.and_then(|s| scene.plan.states.get(s));
        Some(wire::Chance {
            check: check.what.id(),
            state: state.map(|s| s.name.clone()),
            chance: c.chance,
            numerical_error: c.error,
            failed: c.failed,
            samples: c.samples,
        })
    };
    Some(all.iter().filter_map(wired).collect())
}

/// Why none is told although it was asked.
pub(super) fn no_chance(scene: &Scene<'_>) -> Option<String> {
    let Some(Chances::DoesNotStand(state)) = scene.chances else { return None };
    Some(words::no_chance(scene, *state))
}

pub(super) fn measure_next(scene: &Scene<'_>, units: Units) -> Vec<wire::MeasureNext> {
    let wired = |g: &planner::Gain| wire::MeasureNext {
        what: words::measurement(&g.measure, units),
        gain: g.after - g.before,
        reserve_before: g.before,
        reserve_after: g.after,
    };
    scene.measure_next.unwrap_or_default().iter().map(wired).collect()
}
