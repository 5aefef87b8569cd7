//! The order of the steps and the stands of a plan.

use planner::job::Step;
use planner::plan::{OrderAnswer, Standing, StandsAnswer};
use sheets::{Scene, Units, words};

use crate::wire::plan as wire;

pub(super) fn order(scene: &Scene<'_>, order: &OrderAnswer) -> wire::Order {
    let steps = &scene.job.steps;
    wire::Order {
        given: steps.iter().map(Step::state_name).collect(),
        best: order.steps.iter().filter_map(|k| steps.get(*k)).map(Step::state_name).collect(),
        given_reserve: order.given_reserve,
        given_reserve_here: order.given_reserve_here(),
        best_reserve: order.best_reserve,
        reserve_bound: order.bound,
        adopted: order.adopted,
    }
}

pub(super) fn stands(scene: &Scene<'_>, answer: &StandsAnswer, units: Units) -> wire::Stands {
    let standing = match answer {
        StandsAnswer::Serve(standing) => Some(standing),
        StandsAnswer::NoneServe(_) => None,
    };
    let tips_without = standing.map(|s| s.tips_without);
    let state = |k: usize| scene.plan.states.get(k).map_or_else(String::new, |s| s.name.clone());
    wire::Stands {
        serve: standing.is_some(),
        why_not: words::no_stands(scene, units).map(|why| words::capital(&why)),
        lock: standing.map(|s| s.lock + 1),
        places: standing.map_or_else(Vec::new, |s| places(scene, s)),
        load_least_n: standing.map(|s| s.least.to_newtons()),
        load_greatest_n: standing.map(|s| s.most.to_newtons()),
        load_reaches_n: standing.map(|s| s.reaches().to_newtons()),
        load_n: standing.map(|s| s.load.to_newtons()),
        rated_n: standing.map(|s| s.rated.to_newtons()),
        set_in: standing.map(|s| state(s.from)),
        taken_away_in: standing.map(|s| state(s.to)),
        by_state: standing.map_or_else(Vec::new, |s| {
            let loads = (s.from..).zip(&s.by_state).map(|(k, [least, most])| wire::StandLoad {
                state: state(k),
                load_least_n: least.to_newtons(),
                load_greatest_n: most.to_newtons(),
                change_least_n: changes(s, k, 0),
                change_greatest_n: changes(s, k, 1),
                checked_n: s.checked(k).iter().map(|load| load.to_newtons()).collect(),
            });
            loads.collect()
        }),
        nobody_under_in: standing.map_or_else(Vec::new, |s| {
            (0..scene.plan.states.len()).filter(|k| s.relieves(*k)).map(state).collect()
        }),
        tips_without,
    }
}

/// How the load on each stand has changed of itself in a state, at one end.
fn changes(standing: &Standing, state: usize, end: usize) -> Vec<f64> {
    let own = state.checked_sub(standing.from).and_then(|k| standing.drift.get(k));
    own.into_iter().flatten().map(|ends| ends[end].to_newtons()).collect()
}

fn places(scene: &Scene<'_>, standing: &Standing) -> Vec<wire::StandAt> {
    let named = standing.places.iter().zip(&standing.heights);
    let at = named.filter_map(|(k, height)| {
        let place = scene.vehicle.stand_places.get(*k)?;
        let [aft_m, left_m] = place.at.to_metres();
        Some(wire::StandAt { name: place.name.clone(), aft_m, left_m, height_m: height.to_metres() })
    });
    at.collect()
}
