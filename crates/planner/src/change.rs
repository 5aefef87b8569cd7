//! When nothing passes: the smallest single change that would.

use statics::{Length, Mass};

use crate::answer::{at_its_place, some_setup_passes};
use crate::checks::What;
use crate::job::{StandKit, Step};
use crate::lift::{Adapter, Lift};
use crate::plan::{Change, Plan, StandsAnswer};
use crate::situation::Situation;
use crate::stands::with_kit;

/// Tries one change at a time, the least trouble first, and gives the first that passes.
///
/// Only changes that can mend what fails are tried: adapters where heights fail, arms where reach,
/// swing or clearance fails, a stronger lift where loads fail.
pub(crate) fn smallest(situation: &Situation, refused: &Plan) -> Option<Change> {
    let fails =
        |kind: fn(What) -> bool| refused.checks.iter().any(|c| c.binding && c.reserve < 0.0 && kind(c.what));
    let loads = fails(|w| {
        matches!(
            w,
            What::Capacity
                | What::PadRating(_)
                | What::PadCarries(_)
                | What::PairRating { .. }
                | What::ShareLeast
                | What::ShareMost
                | What::SplitRule
                | What::EdgeDistance(..)
                | What::TipRatio
                | What::WorkForce { .. }
        )
    });
    let heights = fails(|w| matches!(w, What::Level | What::BeamUnderSill(_) | What::PadEntry(_)));
    let arms = fails(|w| {
        matches!(
            w,
            What::ReachIn(_)
                | What::ReachOut(_)
                | What::SwingFrom(_)
                | What::SwingTo(_)
                | What::PadInArea(_)
                | What::BeamToTyre(..)
                | What::BeamToBeam(_)
                | What::Door(_)
                | What::PadCarries(_)
        )
    });
    let when = |mends: bool, change: &dyn Fn() -> Option<Change>| if mends { change() } else { None };
    when(loads, &|| loads_out(situation))
        .or_else(|| when(loads, &|| stands(situation, refused)))
        .or_else(|| when(loads, &|| leave_on(situation)))
        .or_else(|| when(heights, &|| adapters(situation)))
        .or_else(|| another_spot(refused))
        .or_else(|| when(arms, &|| other_arms(situation)))
        .or_else(|| when(loads, &|| stronger(situation, refused)))
}

fn passes(situation: &Situation, lift: &Lift) -> bool {
    Situation::new(lift, situation.vehicle, situation.job, situation.limits)
        .is_ok_and(|s| some_setup_passes(&s))
}

fn loads_out(situation: &Situation) -> Option<Change> {
    let lightest_first = {
        let mut order: Vec<usize> = (0..situation.job.loads.len()).collect();
        let mass = |k: &usize| situation.job.loads[*k].mass.value.to_kilograms();
        order.sort_by(|a, b| mass(a).total_cmp(&mass(b)));
        order
    };
    lightest_first.into_iter().find_map(|k| {
        let mut job = situation.job.clone();
        let out = job.loads.remove(k);
        let other = Situation::new(situation.lift, situation.vehicle, &job, situation.limits).ok()?;
        some_setup_passes(&other).then_some(Change::LoadOut(out.name))
    })
}

/// Two stands, where none are at hand, of any height and strong enough to carry half the vehicle.
fn stands(situation: &Situation, refused: &Plan) -> Option<Change> {
    if situation.job.stands.is_some() {
        return None;
    }
    let heaviest = situation.states.iter().map(|s| s.mass.value).fold(Mass::ZERO, Mass::max);
    let kit = StandKit {
        count: 2,
        rated: heaviest.weight() / 2.0,
        lowest: Length::ZERO,
        highest: Length::metres(f64::INFINITY),
    };
    let plan = with_kit(situation, refused, &kit, &|s, _| at_its_place(s)).ok()?;
    match plan.stands {
        Some(StandsAnswer::Serve(standing)) if plan.refusals.is_empty() => Some(Change::Stands(*standing)),
        _ => None,
    }
}

fn leave_on(situation: &Situation) -> Option<Change> {
    (0..situation.job.steps.len()).find_map(|k| {
        let mut job = situation.job.clone();
        let Step::Off(part) = job.steps.remove(k) else { return None };
        let other = Situation::new(situation.lift, situation.vehicle, &job, situation.limits).ok()?;
        some_setup_passes(&other).then_some(Change::LeaveOn(part.name))
    })
}

fn adapters(situation: &Situation) -> Option<Change> {
    (1..=8u8).map(|k| Length::millimetres(f64::from(k) * 25.0)).find_map(|height| {
        let mut lift = situation.lift.clone();
        lift.pads.adapters.push(Adapter { height, count: 4 });
        lift.pads.stack_most = lift.pads.stack_most.max(1);
        passes(situation, &lift).then_some(Change::Adapter(height))
    })
}

fn another_spot(refused: &Plan) -> Option<Change> {
    let other = refused.without_plate.as_ref()?;
    let only_setup = refused.refusals.iter().all(|r| match r {
        crate::plan::Remark::Fails(k) => refused.checks[*k].steers,
        _ => true,
    });
    (only_setup && other.worst_reserve >= 0.0).then_some(Change::AnotherSpot(other.placement.spot))
}

fn other_arms(situation: &Situation) -> Option<Change> {
    (1..=4u8).map(|k| Length::millimetres(f64::from(k) * 100.0)).find_map(|by| {
        let mut longer = situation.lift.clone();
        longer.arms.iter_mut().for_each(|a| a.reach_out += by);
        if passes(situation, &longer) {
            return Some(Change::LongerArms(by));
        }
        let mut shorter = situation.lift.clone();
        shorter.arms.iter_mut().for_each(|a| a.reach_in = (a.reach_in - by).max(Length::millimetres(100.0)));
        passes(situation, &shorter).then_some(Change::ShorterArms(by))
    })
}

/// A lift rated for what the failing load checks ask, if that alone would do.
fn stronger(situation: &Situation, refused: &Plan) -> Option<Change> {
    let load_checks = refused.checks.iter().filter(|c| {
        matches!(c.what, What::Capacity | What::PadRating(_) | What::PairRating { .. }) && c.reserve < 0.0
    });
    let short = load_checks.map(|c| c.demand / c.limit).fold(1.0, f64::max);
    if short <= 1.0 {
        return None;
    }
    // Plates come in steps of about 250 kg; a little over so that rounding does not decide.
    let needed = situation.lift.rated.to_kilograms() * short;
    (0..4u8).map(|k| ((needed / 250.0).ceil() + f64::from(k)) * 250.0).find_map(|kg| {
        let mut lift = situation.lift.clone();
        let more = kg / lift.rated.to_kilograms();
        lift.rated = Mass::kilograms(kg);
        lift.arms.iter_mut().for_each(|a| a.rated = a.rated.map(|r| r * more));
        passes(situation, &lift).then_some(Change::StrongerLift(Mass::kilograms(kg)))
    })
}
