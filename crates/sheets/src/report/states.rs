//! The states of the job, a row each, and under it what changed and what holds it.

use super::page::{self, Page};
use crate::units::Round;
use crate::{Scene, Units, units, words};

pub(super) fn say(page: &mut Page, scene: &Scene<'_>, units: Units) {
    page.line(&format!(
        "{:<34}{:>9}{:>11}{:>14}{:>10}{:>20}",
        "State", "Mass", "Front end", "Edge, assured", "Tips at", "Least reserve"
    ));
    let along = scene.plan.states.len() > 1;
    for (k, state) in scene.plan.states.iter().enumerate() {
        let tip = state.tip_ratio.map_or("-".into(), |g| units.tip(g));
        page.line(&format!(
            "{:<34}{:>9}{:>11}{:>14}{:>10}{:>20}",
            page::fitted(&state.name, 34),
            units.mass(state.mass.value),
            format!("{} %", units::decimals(state.front_share * 100.0, 0)),
            units.length_to(state.assured_edge, Round::Down),
            tip,
            units::reserve(state.worst_reserve)
        ));
        if along {
            page.hanging("   ", &words::along_the_job(scene, k, units));
        }
    }
}
