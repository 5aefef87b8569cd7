//! What the rows in Python are asked: the same inputs as bare numbers, SI, and our own answers.

use planner::checks::What;
use planner::frames::DrivenIn;
use planner::limits::Name;
use planner::plan::Sense;
use planner::situation::{ASSUMED_ARM_STIFFNESS_LEAST, ASSUMED_ARMS_DIFFER, ASSUMED_PAD_STIFFNESS};
use planner::{Chances, VehicleFrame, chance};
use reference::global::Question;
use reference::spec::Spec;
use serde_json::{Value, json};
use statics::{Length, Place};

use crate::{ALONG, AT, Asked, SAMPLES};

pub(crate) fn all(support: &Spec, one: &Asked, six: &Asked) -> Value {
    json!({
        "support": contract(support),
        "plan": plan(one),
        "chances": {
            "a million samples of chance, one state": sampled(one),
            "a million samples of chance, six states": sampled(six),
        },
    })
}

/// As `standfast solve` takes it.
fn contract(spec: &Spec) -> Value {
    let contact = |(i, foot): (usize, &reference::spec::Foot)| {
        json!({
            "name": i.to_string(), "at_m": foot.at, "place_tolerance_m": foot.place_tolerance,
            "stiffness_n_per_m": foot.stiffness, "gap_m": foot.gap, "friction": foot.friction,
            "rated_n": foot.rated, "resists": "every-direction",
        })
    };
    json!({
        "mass_kg": spec.mass, "cg_m": spec.cg, "cg_tolerance_m": spec.cg_tolerance,
        "contacts": spec.feet.iter().enumerate().map(contact).collect::<Vec<_>>(),
        "forces": [{ "name": "pull on hub", "at_m": AT, "direction": ALONG }],
    })
}

/// All that the checks of the bench's own car ask: no doors, keep-outs, teeth, plate or parts.
fn plan(asked: &Asked) -> Value {
    let Asked { lift, vehicle, job, limits, plan } = asked;
    let question = Question { lift, vehicle, job, limits, tops: None };
    let room = question.room(question.area_choices()[0], DrivenIn::Forwards);
    let arm = |i: usize| {
        let arm = &lift.arms[i];
        json!({
            "pivot": arm.pivot.to_metres(),
            "reach": [arm.reach_in.to_metres(), arm.reach_out.to_metres()],
            "swing": [arm.swing_from.to_radians(), arm.swing_to.to_radians()],
            "beam_width": arm.beam_width.to_metres(),
        })
    };
    let (wheels, outline, state) = (&vehicle.wheels, &vehicle.outline, &plan.states[0]);
    let bay = lift.bay.map(|bay| [bay.ahead.to_metres(), bay.behind.to_metres()]);
    let steering: Vec<Value> = plan
        .checks
        .iter()
        .filter(|c| c.binding && c.steers)
        .map(|c| json!({ "id": c.what.id(), "limit": c.limit, "reserve": c.reserve }))
        .collect();
    json!({
        "arms": (0..4).map(arm).collect::<Vec<_>>(),
        "bay": bay,
        "wheelbase": vehicle.wheelbase.value.to_metres(),
        "overhangs": [outline.front_overhang.to_metres(), outline.rear_overhang.to_metres()],
        "tracks": [wheels.track_front.to_metres(), wheels.track_rear.to_metres()],
        "tyre": [wheels.tyre_diameter.to_metres(), wheels.tyre_width.to_metres()],
        "underside": vehicle.lift_areas[0].underside.to_metres(),
        "mass": state.mass.value.to_kilograms(),
        "mass_tolerance": state.mass.tolerance.to_kilograms(),
        "cg": state.cg.to_metres(),
        "cg_tolerance": state.cg_tolerance.map(Length::to_metres),
        "placing": limits.get(Name::Placing),
        "level": limits.get(Name::Level),
        "arm_stiffness": ASSUMED_ARM_STIFFNESS_LEAST.to_newtons_per_metre(),
        "arms_differ": ASSUMED_ARMS_DIFFER,
        "pad_stiffness": ASSUMED_PAD_STIFFNESS.to_newtons_per_metre(),
        "least": room.least,
        "greatest": room.greatest,
        "checks": steering,
        "ours": {
            "spot": plan.placement.spot.to_metres(),
            "pads": plan.pads.each_ref().map(|pad| pad.at.to_metres()),
            "reserve": plan.worst_check().reserve,
            "check": plan.worst_check().what.id(),
        },
    })
}

/// What is drawn from, and how often each check failed, its limit moved so that some fail.
fn sampled(asked: &Asked) -> Value {
    let Asked { lift, vehicle, job, limits, plan } = asked;
    let mut plan = plan.clone();
    for check in &mut plan.checks {
        check.limit = check.demand * if check.sense == Sense::AtMost { 0.95 } else { 1.05 };
    }
    let Ok(Chances::Told(told)) = chance(lift, vehicle, job, limits, &plan, SAMPLES) else {
        return Value::Null;
    };
    let stand = &plan.placement;
    let origin = stand.to_bay(Place::metres([0.0; 2])).to_metres();
    let along = |unit: [f64; 2]| {
        let [x, y] = stand.to_bay(Place::<VehicleFrame>::metres(unit)).to_metres();
        [x - origin[0], y - origin[1]]
    };
    let states = plan.states.iter().map(|state| {
        json!({
            "mass": state.mass.value.to_kilograms(),
            "mass_off": state.mass.uncertainty.to_kilograms() * 3f64.sqrt(),
            "cg": stand.point_to_bay(state.cg).to_metres(),
            "cg_uncertainty": state.cg_uncertainty.map(Length::to_metres),
        })
    });
    let asked = told.iter().map(|found| {
        let check = &plan.checks[found.check];
        json!({
            "id": check.what.id(),
            "corners": corners(check.what),
            "state": check.state,
            "at_most": check.sense == Sense::AtMost,
            "limit": check.limit,
            "chance": found.chance,
            "error": found.error,
        })
    });
    json!({
        "axes": [along([1.0, 0.0]), along([0.0, 1.0])],
        "states": states.collect::<Vec<_>>(),
        "pads": plan.pads.each_ref().map(|pad| pad.bay.to_metres()),
        "reaches": plan.pads.each_ref().map(|pad| pad.reach.to_metres()),
        "height": vehicle.lift_areas[0].underside.to_metres(),
        "placing": limits.get(Name::Placing),
        "level": limits.get(Name::Level),
        "arm_stiffness": ASSUMED_ARM_STIFFNESS_LEAST.to_newtons_per_metre(),
        "arms_differ": ASSUMED_ARMS_DIFFER,
        "pad_stiffness": ASSUMED_PAD_STIFFNESS.to_newtons_per_metre(),
        "samples": SAMPLES,
        "checks": asked.collect::<Vec<_>>(),
    })
}

/// The pads that a check is about, by number.
fn corners(what: What) -> Vec<usize> {
    match what {
        What::PadRating(c) | What::PadCarries(c) => vec![c.index()],
        What::PairRating { front: true } => vec![0, 1],
        What::PairRating { front: false } => vec![2, 3],
        What::EdgeDistance(a, b) => vec![a.index(), b.index()],
        _ => vec![],
    }
}
