//! When nothing passes: the smallest single change that would.

use statics::{Force, Length, Mass};

use crate::answer::{at_its_place, some_setup_passes, whole_job};
use crate::checks::What;
use crate::job::{Job, StandKit, Step};
use crate::lift::{Adapter, Lift};
use crate::limits::Name;
use crate::plan::{Besides, Change, Check, OrderAnswer, Plan, Remark, StandsAnswer, Why};
use crate::situation::Situation;
use crate::stands::with_kit;

impl Besides {
    /// What a plan that passes, made for this job, has beside the job's own order on its pads alone.
    #[must_use]
    pub fn of(plan: &Plan, job: &Job) -> Self {
        let adopted = plan.order.as_ref().filter(|order| order.adopted);
        let names = |order: &OrderAnswer| {
            order.steps.iter().filter_map(|k| job.steps.get(*k)).map(Step::state_name).collect()
        };
        Self { order: adopted.map(names), stands: matches!(plan.stands, Some(StandsAnswer::Serve(_))) }
    }
}

/// Tries one change at a time, the least trouble first, and gives the first that passes.
///
/// Only changes that can mend what fails are tried: adapters where heights fail, arms where reach,
/// swing or clearance fails, a stronger lift where loads fail.
pub(crate) fn smallest(situation: &Situation, refused: &Plan) -> Option<Change> {
    let in_the_way = |c: &Check| c.binding && c.reserve < 0.0 && c.why != Some(Why::GivesWay);
    let fails = |kind: fn(What) -> bool| refused.checks.iter().any(|c| in_the_way(c) && kind(c.what));
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
    let heights = fails(What::is_of_heights);
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
    shut(situation)
        .or_else(|| when(loads, &|| loads_out(situation)))
        .or_else(|| when(loads, &|| stands(situation, refused)))
        .or_else(|| when(loads, &|| leave_on(situation)))
        .or_else(|| when(heights, &|| adapters(situation)))
        .or_else(|| another_spot(refused))
        .or_else(|| when(arms, &|| other_arms(situation)))
        .or_else(|| when(loads, &|| stronger(situation, refused)))
}

/// Step of the rated loads that are tried.
const PLATE_STEP: Mass = Mass::kilograms(50.0);
/// The same of an arm's own rating.
const ARM_STEP: Mass = Mass::kilograms(5.0);

fn passes(situation: &Situation, lift: &Lift) -> bool {
    Situation::new(lift, situation.vehicle, situation.job, situation.limits)
        .is_ok_and(|s| some_setup_passes(&s))
}

/// Without what the job opens above the roof: it may leave too little air, or keep the lock too low.
fn shut(situation: &Situation) -> Option<Change> {
    situation.job.opened_height.filter(|opened| *opened > situation.vehicle.outline.roof)?;
    let job = Job { opened_height: None, ..situation.job.clone() };
    let other = Situation::new(situation.lift, situation.vehicle, &job, situation.limits).ok()?;
    let plan = whole_job(&other);
    plan.refusals.is_empty().then(|| Change::Shut(Besides::of(&plan, &job)))
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

/// Two stands of any height and strong enough to carry half the vehicle; where some are at hand, they do not do.
fn stands(situation: &Situation, refused: &Plan) -> Option<Change> {
    let heaviest = situation.states.iter().map(|s| s.mass.value).fold(Mass::ZERO, Mass::max);
    let kit = StandKit {
        count: situation.job.stands.map_or(2, |at_hand| at_hand.count.max(2)),
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

/// Without a part's coming off and going on, and what is done while it is off.
fn leave_on(situation: &Situation) -> Option<Change> {
    let passes = |with: fn(&Situation) -> Option<Besides>| {
        situation.job.steps.iter().find_map(|step| {
            let Step::Off(part) = step else { return None };
            let (job, not_done) = with_left_on(situation.job, &part.name);
            let other = Situation::new(situation.lift, situation.vehicle, &job, situation.limits).ok()?;
            with(&other).map(|besides| Change::LeaveOn { part: part.name.clone(), not_done, besides })
        })
    };
    // Any part in the given order, on the pads alone, before one that needs another order or stands.
    passes(|other| some_setup_passes(other).then(Besides::default)).or_else(|| {
        passes(|other| {
            let plan = whole_job(other);
            plan.refusals.is_empty().then(|| Besides::of(&plan, other.job))
        })
    })
}

/// A job in which a part stays on, and the names of the tasks that are then not done at all.
fn with_left_on(job: &Job, part: &str) -> (Job, Vec<String>) {
    let mut job = job.clone();
    let (away, kept): (Vec<Step>, Vec<Step>) = job.steps.drain(..).partition(|s| s.part().name == part);
    let gone: Vec<String> = away.iter().map(Step::state_name).collect();
    job.steps = kept;
    let mut not_done = Vec::new();
    job.tasks.retain_mut(|task| {
        // One that names no state may be done in any.
        let named = !task.during.is_empty();
        task.during.retain(|state| !gone.contains(state));
        let done = !named || !task.during.is_empty();
        not_done.extend((!done).then(|| task.name.clone()));
        done
    });
    (job, not_done)
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
    let only_setup = refused.checks.iter().all(|c| c.steers || !c.binding || c.reserve >= 0.0)
        && !refused.refusals.iter().any(|r| matches!(r, Remark::NoLockClears | Remark::Posture { .. }));
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

/// The least rated load of a lift otherwise like this one that would do, to a step of [`PLATE_STEP`].
fn stronger(situation: &Situation, refused: &Plan) -> Option<Change> {
    let load_checks = refused.checks.iter().filter(|c| {
        matches!(c.what, What::Capacity | What::PadRating(_) | What::PairRating { .. }) && c.reserve < 0.0
    });
    let short = load_checks.map(|c| c.demand / c.limit).fold(1.0, f64::max);
    let rated = situation.lift.rated;
    let serves = |step: u32| passes(situation, &rated_for(situation.lift, PLATE_STEP * f64::from(step)));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let steps = |load: Mass| (load / PLATE_STEP).ceil() as u32;
    // What the nearest setup asks is enough, unless it gives way elsewhere to ask so little.
    let (mut too_little, mut enough) = (steps(rated), steps(rated * short));
    if short <= 1.0 {
        return None;
    }
    // From the least that may be enough in steps that double, as that is near the truth.
    let (mut next, mut by) = (enough, 1);
    if let Some(growth) = least_growth(situation, refused) {
        if growth.is_infinite() {
            return None;
        }
        next = steps(rated * growth).max(too_little + 1);
        too_little = next.min(enough) - 1;
    }
    while next < enough && !serves(next) {
        (too_little, next, by) = (next, next + by, 2 * by);
    }
    if next < enough {
        enough = next;
    } else if !serves(enough) {
        (too_little, enough) = (enough, enough + enough.div_ceil(4));
        if !serves(enough) {
            return None;
        }
    }
    while too_little + 1 < enough {
        let half = too_little.midpoint(enough);
        if serves(half) { enough = half } else { too_little = half }
    }
    let lift = rated_for(situation.lift, PLATE_STEP * f64::from(enough));
    Some(Change::StrongerLift { rated: lift.rated, arms: lift.arms.map(|a| a.rated) })
}

/// A lift otherwise like this one and rated for so much; arms that have a rating of their own are rated for as many
/// times more, in whole steps.
fn rated_for(lift: &Lift, rated: Mass) -> Lift {
    let more = rated / lift.rated;
    let mut lift = Lift { rated, ..lift.clone() };
    for arm in &mut lift.arms {
        let grown = |own: Force| ARM_STEP.weight() * (own * more / ARM_STEP.weight() - 1e-9).ceil();
        arm.rated = arm.rated.map(grown);
    }
    lift
}

/// The growth of all ratings below which nothing passes, where that can be said.
///
/// A reserve r follows from limit / demand = 1 + r, so where ratings grow f times, 1 + r of the best setup grows
/// f times at the most. A large lift may also put a greater share of its load on one pair. What is withstood of a
/// push may grow by more.
fn least_growth(situation: &Situation, refused: &Plan) -> Option<f64> {
    // The search leaves so much of the best undone, told generously.
    const UNDONE: f64 = 0.002;
    let stands = matches!(refused.stands, Some(StandsAnswer::Serve(_)));
    if stands || !situation.pushes.is_empty() {
        return None;
    }
    let best = (1.0 + refused.worst_check().reserve + UNDONE).max(0.0);
    let small = situation.limits.get(Name::PairShareSmall);
    let by_share = (situation.limits.get(Name::PairShareLarge) / small).max(1.0);
    let by_share = if situation.is_small_lift() { by_share } else { 1.0 };
    Some((1.0 / (best * by_share)).max(1.0))
}
