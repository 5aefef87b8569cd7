//! Why it must not be raised, in one sentence that a learner understands.

use planner::checks::What;
use planner::job::Step;
use planner::lift::Corner;
use planner::plan::{Check, EdgeAnswer, Remark, Unit, Verdict};
use statics::{Angle, Length};

use super::checks::Named;
use super::corners::{pads_named, pair_of};
use super::figures;
use super::reasons::{Reason, refusals};
use super::work::fails_unpushed;
use crate::{Scene, Units};

/// In which state what happens, and by how much: that it tips before that something is overloaded, and that before
/// that something does not fit. `None` where it may be raised.
#[must_use]
pub fn why_not(scene: &Scene<'_>, units: Units) -> Option<String> {
    if scene.plan.verdict != Verdict::DoNotRaise {
        return None;
    }
    let reasons = scene.plan.refusals.iter().filter_map(|r| match r {
        Remark::Fails(k) => scene.plan.checks.get(*k),
        _ => None,
    });
    let told: Vec<&Check> = reasons.filter(|c| !fails_unpushed(scene, c)).collect();
    let worst = |kind: fn(What) -> bool| {
        told.iter().copied().filter(|c| kind(c.what)).min_by(|a, b| a.reserve.total_cmp(&b.reserve))
    };
    let tips =
        worst(|w| matches!(w, What::EdgeDistance(..) | What::TipRatio)).and_then(|c| tips(scene, c, units));
    let overloaded = || {
        let whole = worst(|w| w == What::Capacity);
        let parts = || worst(|w| matches!(w, What::PadRating(_) | What::PairRating { .. }));
        whole.or_else(parts).map(|c| overloaded(scene, c, units))
    };
    tips.or_else(overloaded).or_else(|| refusals(scene).first().map(|reason| plainly(scene, reason, units)))
}

/// It tips over an edge, or comes too near to it.
fn tips(scene: &Scene<'_>, check: &Check, units: Units) -> Option<String> {
    let state = scene.plan.states.get(check.state?)?;
    let order = |a: &&EdgeAnswer, b: &&EdgeAnswer| a.assured.to_metres().total_cmp(&b.assured.to_metres());
    let edge = state.edges.iter().min_by(order)?;
    let (when, over) = (when(scene, check.state), over(edge));
    let far = |l: Length| units.length(l.abs());
    if edge.distance < Length::ZERO {
        return Some(format!(
            "{when} the vehicle tips {over}: its centre of gravity lies {} outside the line between them.",
            far(edge.distance)
        ));
    }
    if edge.assured < Length::ZERO {
        return Some(format!(
            "{when} the vehicle may tip {over}: its centre of gravity lies {} inside the line between them and may be \
             off by more, so that in the worst case it is {} outside.",
            far(edge.distance),
            far(edge.assured)
        ));
    }
    let [demand, limit, missing] = units.pair_and_gap([check.demand, check.limit], check.unit, check.sense);
    let figure = if matches!(check.what, What::TipRatio) {
        format!("a sideways jerk of {demand} already starts to tip it, and it must stand {limit}")
    } else {
        format!(
            "in the worst case its centre of gravity is only {demand} from the line between them, {missing} less than \
             the {limit} that it must be"
        )
    };
    Some(format!("{when} the vehicle comes too near to tipping {over}: {figure}."))
}

/// "backwards over the two rear pads": the way it goes over an edge of the support.
fn over(edge: &EdgeAnswer) -> &'static str {
    let both = |is: fn(Corner) -> bool| is(edge.from) && is(edge.to);
    match (both(Corner::is_front), both(Corner::is_left)) {
        (true, _) => "forwards over the two front pads",
        (_, true) => "to its left over the two left pads",
        _ if !edge.from.is_front() && !edge.to.is_front() => "backwards over the two rear pads",
        _ if !edge.from.is_left() && !edge.to.is_left() => "to its right over the two right pads",
        _ => "over two of its pads",
    }
}

fn overloaded(scene: &Scene<'_>, check: &Check, units: Units) -> String {
    let [demand, limit, more] = units.pair_and_gap([check.demand, check.limit], check.unit, check.sense);
    let when = when(scene, check.state);
    let at = match check.what {
        What::PadRating(corner) => format!("the {}", pads_named(scene, &[corner])),
        What::PairRating { front } => format!("the {}", pads_named(scene, &pair_of(front))),
        _ => {
            return format!(
                "{when} the vehicle is too heavy for this lift: it may weigh {demand}, {more} more than the {limit} that \
                 are allowed."
            );
        }
    };
    format!(
        "{when} too much weight is on {at}: up to {demand}, {more} more than the {limit} that are allowed."
    )
}

/// Any other reason, as the list has it, without its source.
fn plainly(scene: &Scene<'_>, reason: &Reason<'_>, units: Units) -> String {
    let short = reason.short(scene, units);
    match reason {
        Reason::Posture(task, people) => super::heights::no_room(scene, *task, people, units),
        Reason::Fails(checks) if checks.first().is_some_and(|c| c.what == What::Ceiling) => {
            let [air, limit] = checks.first().map_or_else(Default::default, |c| figures(c, units));
            match checks.first() {
                Some(c) if c.demand < 0.0 => format!(
                    "It is too high for this bay: even at the lowest lock it would be {} higher than what is above it.",
                    units.length(Length::metres(c.demand.abs()))
                ),
                _ => format!(
                    "It is too high for this bay: even at the lowest lock only {air} is left above it, and {limit} must be."
                ),
            }
        }
        Reason::Fails(checks) => {
            let Some(worst) = checks.first() else { return short };
            match (worst.what, worst.state) {
                (What::WorkForce { task, force }, state) => {
                    too_much(scene, worst, (task, force), state, units)
                }
                (_, None) => {
                    unfit(scene, checks, units).unwrap_or_else(|| format!("It does not fit: {short}"))
                }
                (_, state) => format!("{} it does not stand as it must: {short}", when(scene, state)),
            }
        }
        _ => short,
    }
}

/// A push that is more than the pads hold.
fn too_much(
    scene: &Scene<'_>,
    check: &Check,
    of: (usize, usize),
    state: Option<usize>,
    units: Units,
) -> String {
    let [held, needed] = figures(check, units);
    let held = if check.demand > 0.0 { format!("only {held}") } else { "nothing".into() };
    format!(
        "{} {} is more than the pads hold: it may come to {needed}, and {held} is withstood for certain.",
        when(scene, state),
        super::work::force_of(scene, Some(of)),
    )
}

/// What runs into what, or does not reach; `None` where it is a matter of a few millimetres of air.
fn unfit(scene: &Scene<'_>, checks: &[&Check], units: Units) -> Option<String> {
    let worst = checks.first().filter(|c| c.demand < 0.0)?;
    let whats: Vec<What> = checks.iter().map(|c| c.what).collect();
    let named = Named::of(scene, &whats);
    let [arms, pads] = [named.arms(), named.pads()].map(|who| format!("The {who}"));
    let up_to = if checks.len() > 1 { "up to " } else { "" };
    let far = match worst.unit {
        Unit::Radian => units.angle(Angle::radians(worst.demand.abs())),
        _ => units.length(Length::metres(worst.demand.abs())),
    };
    let far = format!("{up_to}{far}");
    Some(match worst.what {
        What::BeamToTyre(..) => format!("{arms} would run {far} into the {}.", named.things),
        What::BeamToKeepOut(..) => format!("{arms} would run {far} into {}.", named.things),
        What::PadToKeepOut(..) => format!("{pads} would press on {}, {far} inside it.", named.things),
        What::BeamToBeam(_) => format!("The two arms of a side would run {far} into each other."),
        What::ReachOut(_) => format!("{arms} would have to reach {far} beyond the outer stop."),
        What::ReachIn(_) => {
            format!("{arms} would have to go in {far} farther than the inner stop lets them.")
        }
        What::SwingFrom(_) | What::SwingTo(_) => format!("{arms} would have to swing {far} beyond a stop."),
        What::PadInArea(_) => format!("{pads} would stand {far} outside the lifting area."),
        What::BeamUnderSill(_) => format!("{arms} would not go in under the sill, by {far}."),
        What::PadEntry(_) => format!("{pads} would not go in under the vehicle, by {far}."),
        What::Between => format!("The vehicle is too wide for these columns, by {far} on each side."),
        _ => return None,
    })
}

/// "With \"front axle\" off": a state as something that was done.
fn when(scene: &Scene<'_>, state: Option<usize>) -> String {
    let name = state.and_then(|k| scene.plan.states.get(k)).map(|s| s.name.as_str());
    let step = name.and_then(|name| scene.job.steps.iter().find(|s| s.state_name() == name));
    match step {
        Some(Step::Off(part)) => format!("With \"{}\" off", part.name),
        Some(Step::On(part)) => format!("With \"{}\" on", part.name),
        None if scene.job.loads.is_empty() => "As it is raised".into(),
        None => "As it is raised, with its load,".into(),
    }
}
