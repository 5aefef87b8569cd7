//! A plan to the form that other programs read.

mod height;
mod steps;

use planner::Placement;
use planner::frames::DrivenIn;
use planner::plan::{Check, Sense, StateAnswer, Unit, Verdict, Why};
use sheets::words::{self, Reason};
use sheets::{Origin, OtherBay, Scene, Units};
use statics::{Force, Length};

use crate::wire::plan as wire;

/// The answer of `plan --json`; figures SI, sentences in the reader's units.
pub(crate) fn answer(scene: &Scene<'_>, units: Units) -> wire::Answer {
    let plan = scene.plan;
    let text = |list: Vec<Reason<'_>>| list.iter().map(|r| r.sentence(scene, units)).collect();
    wire::Answer {
        contract: wire::CONTRACT,
        verdict: verdict(plan.verdict),
        why_not: words::why_not(scene, units),
        origin: match scene.origin {
            Origin::Planned => wire::Origin::Planned,
            Origin::AsPlaced => wire::Origin::AsPlaced,
        },
        lift: scene.lift.name.clone(),
        vehicle: scene.vehicle.name.clone(),
        job: Some(scene.job.name.clone()).filter(|n| !n.is_empty()),
        spot_m: plan.placement.spot.to_metres(),
        offset_m: plan.placement.offset.to_metres(),
        yaw_rad: plan.placement.yaw.to_radians(),
        driven_in: driven_in(&plan.placement),
        mark: plan.mark.clone(),
        mark_spot_m: plan.mark_spot.map(Length::to_metres),
        pads: plan.pads.iter().map(|p| pad(scene, p)).collect(),
        states: plan.states.iter().map(state).collect(),
        checks: plan.checks.iter().map(|c| check(scene, c)).collect(),
        conditions: text(words::conditions(scene)),
        refusals: text(words::refusals(scene)),
        watch: text(words::watch(scene)),
        assumptions: plan
            .assumptions
            .iter()
            .map(|a| wire::Assumption {
                what: words::assumed(a, units),
                value: a.value,
                unit: symbol(a.unit),
                least: a.least,
                greatest: a.greatest,
                source: a.source.to_string(),
            })
            .collect(),
        working_forces: super::plan_work::forces(scene),
        losses: super::plan_work::losses(scene),
        limits: scene.limits.all_own().iter().map(limit).collect(),
        height: height::answer(scene),
        test_raise_pad_rise_m: plan.test_raise.to_metres(),
        worst_reserve: plan.worst_check().reserve,
        worst_check: plan.worst_check().what.id(),
        without_plate: plan.without_plate.as_ref().map(|other| wire::WithoutPlate {
            spot_m: other.placement.spot.to_metres(),
            driven_in: driven_in(&other.placement),
            worst_reserve: other.worst_reserve,
            worst_check: other.worst.what.id(),
        }),
        change: words::smallest_change(scene, units),
        other_bays: scene.other_bays.map(|bays| {
            let bay = |b: &OtherBay| wire::OtherBay { lift: b.lift.clone(), verdict: verdict(b.verdict) };
            bays.iter().map(bay).collect()
        }),
        chance: super::doubt::chances(scene),
        no_chance: super::doubt::no_chance(scene),
        measure_next: super::doubt::measure_next(scene, units),
        order: plan.order.as_ref().map(|o| steps::order(scene, o)),
        stands: plan.stands.as_ref().map(|s| steps::stands(scene, s, units)),
    }
}

fn limit(own: &planner::limits::Own) -> wire::Limit {
    let row = own.name.row();
    wire::Limit {
        name: own.name.key(),
        what: row.title,
        value: own.value,
        default: row.value,
        unit: symbol(row.unit),
        looser: own.is_looser(),
        source: own.source.clone(),
    }
}

pub(crate) const fn verdict(verdict: Verdict) -> wire::Verdict {
    match verdict {
        Verdict::Raise => wire::Verdict::Raise,
        Verdict::RaiseWithConditions => wire::Verdict::RaiseWithConditions,
        Verdict::DoNotRaise => wire::Verdict::DoNotRaise,
    }
}

pub(crate) const fn driven_in(placement: &Placement) -> wire::DrivenIn {
    match placement.driven_in {
        DrivenIn::Forwards => wire::DrivenIn::Forwards,
        DrivenIn::Backwards => wire::DrivenIn::Backwards,
    }
}

fn pad(scene: &Scene<'_>, p: &planner::plan::PadSetting) -> wire::Pad {
    let ([aft_m, left_m], [bay_x_m, bay_y_m]) = (p.at.to_metres(), p.bay.to_metres());
    wire::Pad {
        corner: p.corner.name(),
        arm: p.arm.name(),
        area: scene.vehicle.lift_areas.get(p.area).map(|a| a.name.clone()),
        aft_m,
        left_m,
        bay_x_m,
        bay_y_m,
        reach_m: p.reach.to_metres(),
        swing_rad: p.swing.to_radians(),
        tooth: p.tooth,
        pad_height_m: p.height.to_metres(),
        adapters_m: p.adapters.iter().map(|a| a.to_metres()).collect(),
        load_least_n: p.load_least.to_newtons(),
        load_greatest_n: p.load_greatest.to_newtons(),
        load_estimate_n: p.load_estimate.to_newtons(),
        load_assured_n: p.load_assured.to_newtons(),
        rated_n: p.rated.to_newtons(),
    }
}

fn state(s: &StateAnswer) -> wire::State {
    let [cg_aft_m, cg_left_m, cg_up_m] = s.cg.to_metres();
    wire::State {
        name: s.name.clone(),
        mass_kg: s.mass.value.to_kilograms(),
        mass_tolerance_kg: s.mass.tolerance.to_kilograms(),
        cg_aft_m,
        cg_left_m,
        cg_up_m,
        whole: s.whole.map(|whole| {
            let [cg_aft_m, cg_left_m, cg_up_m] = whole.cg.to_metres();
            wire::Whole { mass_kg: whole.mass.to_kilograms(), cg_aft_m, cg_left_m, cg_up_m }
        }),
        cg_tolerance_m: s.cg_tolerance.map(Length::to_metres),
        cg_uncertainty_m: s.cg_uncertainty.map(Length::to_metres),
        assured_edge_distance_m: s.assured_edge.to_metres(),
        tip_ratio: s.tip_ratio,
        front_share: s.front_share,
        loads_n: s.loads.map(Force::to_newtons).to_vec(),
        worst_reserve: s.worst_reserve,
    }
}

fn check(scene: &Scene<'_>, c: &Check) -> wire::Check {
    wire::Check {
        id: c.what.id(),
        state: c.state.and_then(|k| scene.plan.states.get(k)).map(|s| s.name.clone()),
        what: words::check_title(scene, c.what),
        demand: c.demand,
        limit: c.limit,
        unit: symbol(c.unit),
        sense: match c.sense {
            Sense::AtLeast => wire::Sense::AtLeast,
            Sense::AtMost => wire::Sense::AtMost,
        },
        reserve: c.reserve,
        binding: c.binding,
        steers: c.steers,
        source: words::source(scene, c).into_owned(),
        why: c.why.map(|why| match why {
            Why::NoSetup { elsewhere: false } => wire::Why::NoSetup,
            Why::NoSetup { elsewhere: true } => wire::Why::NotAtThePlate,
            Why::Together => wire::Why::Together,
            Why::GivesWay => wire::Why::GivesWay,
        }),
    }
}

const fn symbol(unit: Unit) -> &'static str {
    match unit {
        Unit::Metre => "m",
        Unit::Radian => "rad",
        Unit::Newton => "N",
        Unit::Kilogram => "kg",
        Unit::Push => "N",
        Unit::Ratio | Unit::Gravity => "1",
        Unit::NewtonPerMetre => "N/m",
    }
}
