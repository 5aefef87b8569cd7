//! Conditions, refusals and what to watch: what is of one kind is one sentence, with the worst figure.

use planner::lift::Corner;
use planner::limits::Name;
use planner::person::Strain;
use planner::plan::{Check, Remark, Why};
use planner::quick::Unknown;
use statics::Force;

use super::checks::{kind, title};
use super::corners::{listed, pads_named};
use super::cures::cure;
use super::unmeasured;
use super::{capital, figures, heights, limit_source, source, steps, work};
use crate::units::Round;
use crate::{Scene, Units, units};

/// Remarks of one kind.
#[derive(Clone, Debug)]
pub enum Reason<'a> {
    /// Checks of one kind that fail against one limit, the worst first.
    Fails(Vec<&'a Check>),
    /// Pads that uneven seats could overload: each with what it might carry; their rating.
    UnevenSeat(Vec<(Corner, Force)>, Force),
    /// Pads that a shake does not prove: each with its rock push, if one is known; what a person gives; whether the vehicle
    /// may fall without one.
    ShakeProvesNothing(Vec<(Corner, Option<Force>)>, Force, bool),
    /// The heavier end stands on the longer arms.
    HeavyEndOnLongArms,
    /// Within its tolerance the wheelbase belongs to this other mark as well.
    NearBandEnd(&'a str),
    /// Something that no one measured and that no guess can stand for.
    NotMeasured(Unknown),
    /// Lifting areas that are written as no usual vehicle has them.
    OddAreas(&'a [String]),
    /// No plate band holds this wheelbase.
    NoBand,
    /// It stands backwards, and the lift takes vehicles forwards only.
    Backwards,
    /// The tyres are not clear of the floor at the highest lock.
    NoLockClears,
    /// Parts that the job leaves off.
    EndsWithout(&'a [String]),
    /// The steps must be done in another order than the given one.
    InThisOrder,
    /// Stands must be set.
    Stands,
    /// A stand replaces no pad.
    StandSteadies,
    /// People who cannot work, or should not, as a task asks: the task of the plan's heights, each with what is wrong.
    Posture(usize, Vec<(usize, Strain)>),
    /// A force that may lift a pad empty: task and force, state, pad, at what force, the force at its greatest.
    Unloads((usize, usize), usize, Corner, [Force; 2]),
}

/// Reasons why it must not be raised: first what no setup can change, then how it stands, then what does not fit, each
/// the worst first; last the forces of which nothing is withstood because something else fails before anybody pushes.
#[must_use]
pub fn refusals<'a>(scene: &Scene<'a>) -> Vec<Reason<'a>> {
    let mut found = reasons(scene, &scene.plan.refusals);
    let key = |reason: &Reason<'_>| match reason {
        Reason::Fails(checks) => checks.first().map_or((0, 0.0), |c| {
            let rank = match (work::fails_unpushed(scene, c), c.steers, c.state) {
                (true, ..) => 3,
                (_, false, _) => 0,
                (.., Some(_)) => 1,
                (.., None) => 2,
            };
            (rank, c.reserve)
        }),
        Reason::Posture(..) => (2, f64::NEG_INFINITY),
        _ => (0, f64::NEG_INFINITY),
    };
    found.sort_by(|a, b| {
        let ((a_rank, a_reserve), (b_rank, b_reserve)) = (key(a), key(b));
        a_rank.cmp(&b_rank).then(a_reserve.total_cmp(&b_reserve))
    });
    found
}

/// Checks that other setups meet, on which the nearest gives way to come nearer in what none meets.
#[must_use]
pub fn gives_way(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let fails = scene.plan.checks.iter().filter(|c| c.why == Some(Why::GivesWay));
    let found = joined(scene, fails.map(|check| Reason::Fails(vec![check])));
    found.iter().map(|reason| reason.short(scene, units)).collect()
}

/// Conditions under which it may be raised.
#[must_use]
pub fn conditions<'a>(scene: &Scene<'a>) -> Vec<Reason<'a>> {
    reasons(scene, &scene.plan.conditions)
}

/// What to look and feel for, pass or not.
#[must_use]
pub fn watch<'a>(scene: &Scene<'a>) -> Vec<Reason<'a>> {
    reasons(scene, &scene.plan.watch)
}

/// Remarks put together by kind.
fn reasons<'a>(scene: &Scene<'a>, remarks: &'a [Remark]) -> Vec<Reason<'a>> {
    let each = remarks.iter().filter_map(|remark| {
        Some(match remark {
            Remark::Fails(index) => Reason::Fails(vec![scene.plan.checks.get(*index)?]),
            Remark::UnevenSeat { corner, greatest, rated } => {
                Reason::UnevenSeat(vec![(*corner, *greatest)], *rated)
            }
            Remark::ShakeProvesNothing { corner, rock_push, person, may_fall } => {
                Reason::ShakeProvesNothing(vec![(*corner, *rock_push)], *person, *may_fall)
            }
            Remark::HeavyEndOnLongArms => Reason::HeavyEndOnLongArms,
            Remark::NearBandEnd { other } => Reason::NearBandEnd(other),
            Remark::NotMeasured(what) => Reason::NotMeasured(*what),
            Remark::OddAreas(names) => Reason::OddAreas(names),
            Remark::NoBand => Reason::NoBand,
            Remark::Backwards => Reason::Backwards,
            Remark::NoLockClears => Reason::NoLockClears,
            Remark::EndsWithout(parts) => Reason::EndsWithout(parts),
            Remark::InThisOrder => Reason::InThisOrder,
            Remark::Stands => Reason::Stands,
            Remark::StandSteadies => Reason::StandSteadies,
            Remark::Posture { task, person, strain } => Reason::Posture(*task, vec![(*person, *strain)]),
            Remark::Unloads { of, state, corner, at, needed } => {
                Reason::Unloads(*of, *state, *corner, [*at, *needed])
            }
        })
    });
    joined(scene, each)
}

/// Each kind once, in the order in which it first appears.
fn joined<'a>(scene: &Scene<'a>, each: impl Iterator<Item = Reason<'a>>) -> Vec<Reason<'a>> {
    let mut found: Vec<Reason<'a>> = Vec::new();
    for alone in each {
        let mut new = Some(alone);
        for known in &mut found {
            new = new.and_then(|new| known.join(scene, new));
        }
        found.extend(new);
    }
    for reason in &mut found {
        if let Reason::Fails(checks) = reason {
            checks.sort_by(|a, b| a.reserve.total_cmp(&b.reserve));
        }
    }
    found
}

impl<'a> Reason<'a> {
    /// Takes the other in if it is of the same kind; otherwise gives it back.
    fn join(&mut self, scene: &Scene<'_>, other: Self) -> Option<Self> {
        match (self, other) {
            (Self::Fails(known), Self::Fails(new)) if alike(scene, &known[..], &new) => known.extend(new),
            (Self::UnevenSeat(known, rated), Self::UnevenSeat(new, same)) if *rated == same => {
                known.extend(new);
            }
            (Self::ShakeProvesNothing(known, person, fall), Self::ShakeProvesNothing(new, same, too))
                if (*person, *fall) == (same, too) =>
            {
                known.extend(new);
            }
            (Self::Posture(task, known), Self::Posture(same, new)) if *task == same => known.extend(new),
            (_, other) => return Some(other),
        }
        None
    }

    /// The whole sentence: figure, limit, source, and what would change it.
    #[must_use]
    pub fn sentence(&self, scene: &Scene<'_>, units: Units) -> String {
        match self {
            Self::Fails(checks) => fails(scene, checks, units).map_or_else(String::new, |[what, but]| {
                let [worst, ..] = checks.as_slice() else { return String::new() };
                format!("{what}, but {but} ({}). {}", source(scene, worst), cure(scene, checks, units))
            }),
            Self::UnevenSeat(pads, rated) => format!(
                "If the pads touch unevenly, {}the {} could carry up to {}, above the rating of {} (load range by \
                 statics, derived). Screw all four pads up to touch before raising; look again at the test raise.",
                if pads.len() == 1 { "" } else { "each of " },
                named(scene, pads),
                units.load_to(pads.iter().fold(Force::ZERO, |most, p| most.max(p.1)), Round::Up),
                units.rating(rated.as_mass()),
            ),
            Self::ShakeProvesNothing(pads, person, may_fall) => {
                unproved(scene, pads, *person, *may_fall, units)
            }
            Self::HeavyEndOnLongArms => {
                // Only where another way in is open does it help to name it.
                let cure = if scene.lift.plate.is_none() && scene.lift.backwards_allowed {
                    "a vehicle driven in the other way round has it on the shorter ones."
                } else {
                    "mind the test raise."
                };
                format!("The heavier end stands on the longer arms (common practice, no source): {cure}")
            }
            Self::NearBandEnd(other) => format!(
                "The wheelbase of {}, give or take {}, may as well belong to mark {other} (the lift's spotting \
                 plate). Measuring it again on both sides would settle it.",
                units.length(scene.vehicle.wheelbase.value),
                units.length_to(scene.vehicle.wheelbase.tolerance, Round::Up),
            ),
            Self::NotMeasured(what) => unmeasured::sentence(scene, *what, units),
            Self::OddAreas(names) => unmeasured::odd_areas(names),
            Self::NoBand => format!(
                "The lift's plate has no place for a wheelbase of {} (the lift's spotting plate): only the lift \
                 maker can say where this vehicle stands, or whether it may.",
                units.length(scene.vehicle.wheelbase.value),
            ),
            Self::Backwards => {
                "The vehicle stands backwards, and vehicles are driven in forwards only (`backwards` in the \
                 lift's file). Drive it out and in again forwards, and set all four pads anew."
                    .into()
            }
            Self::NoLockClears => format!(
                "The tyres are clear of the floor only once the pads have risen {}, and the highest lock is at {} \
                 (derived): it could not rest on a lock with its wheels in the air. Measure locks, droop and \
                 undersides again, or take it to another lift.",
                units.length_to(scene.plan.test_raise, Round::Up),
                units.length(scene.lift.rise.locks.last().copied().unwrap_or_default()),
            ),
            Self::EndsWithout(parts) => format!(
                "The job ends with {} part{} off, {}, and the vehicle comes down without: before it does, see what it will \
                 stand and roll on. Without a wheel or an axle it must not be lowered onto the floor (common practice, no \
                 source).",
                parts.len(),
                if parts.len() == 1 { "" } else { "s" },
                off(parts)
            ),
            Self::InThisOrder => steps::in_this_order(scene),
            Self::Stands => steps::set_stands(scene, units),
            Self::StandSteadies => steps::stand_steadies(scene),
            Self::Posture(task, people) => heights::strained(scene, *task, people, units),
            Self::Unloads(of, state, corner, [at, needed]) => {
                let told = [units.push_to(*at, Round::Down), units.push_to(*needed, Round::Up)];
                work::unloads(scene, *of, *state, *corner, told)
            }
        }
    }

    /// The same for a sheet: what to look at, without source and cure.
    pub(crate) fn short(&self, scene: &Scene<'_>, units: Units) -> String {
        match self {
            Self::Fails(checks) => fails(scene, checks, units)
                .map_or_else(String::new, |[what, but]| format!("{what}; {but}{}.", to_do(checks))),
            Self::UnevenSeat(pads, _) => {
                format!("Screw all pads up to touch: uneven, the {} could be overloaded.", named(scene, pads))
            }
            Self::ShakeProvesNothing(pads, _, may_fall) => {
                let fall = if *may_fall { ", and it may fall without" } else { "" };
                format!("Check {} by hand: a shake proves nothing there{fall}.", the(scene, pads))
            }
            Self::HeavyEndOnLongArms => "The heavier end stands on the longer arms.".into(),
            Self::NearBandEnd(other) => {
                format!("Measure the wheelbase again: mark {other} may be the right one.")
            }
            Self::NotMeasured(what) => unmeasured::short(scene, *what, units),
            Self::OddAreas(_) => {
                "Odd lifting areas: find the maker's marks at every pad before it touches.".into()
            }
            Self::NoBand => "The plate has no place for this wheelbase.".into(),
            Self::Backwards => "It stands backwards: this lift takes vehicles forwards only.".into(),
            Self::NoLockClears => "No lock is high enough to clear the tyres.".into(),
            Self::EndsWithout(parts) => {
                format!("It comes down without {}: see first what it will stand on.", off(parts))
            }
            Self::InThisOrder => steps::in_this_order_short(scene),
            Self::Stands => steps::set_stands_short(scene, units),
            Self::StandSteadies => "A stand steadies, it replaces no pad.".into(),
            Self::Posture(task, people) => heights::strained_short(scene, *task, people),
            Self::Unloads(of, state, corner, forces) => {
                work::unloads_short(scene, *of, *state, *corner, *forces, units)
            }
        }
    }
}

fn off(parts: &[String]) -> String {
    let named: Vec<String> = parts.iter().map(|part| format!("\"{part}\"")).collect();
    listed(&named.iter().map(String::as_str).collect::<Vec<_>>())
}

fn alike(scene: &Scene<'_>, known: &[&Check], new: &[&Check]) -> bool {
    let ([a, ..], [b, ..]) = (known, new) else { return false };
    let same = (a.limit - b.limit).abs() <= 1e-9 * a.limit.abs();
    same && a.source == b.source && kind(scene, a.what) == kind(scene, b.what)
}

/// What is and what must be: "Four arms under the sill: down to 7 mm", "at least 10 mm is required".
fn fails(scene: &Scene<'_>, checks: &[&Check], units: Units) -> Option<[String; 2]> {
    let worst = checks.first()?;
    let [demand, limit] = figures(worst, units);
    let differ = checks.iter().any(|c| figures(c, units)[0] != demand);
    let upto = if differ { units::farthest(worst.sense) } else { "" };
    let what = capital(&titled(scene, checks));
    let but =
        format!("{} {limit} {}", units::sense(worst.sense), units::demanded(worst.sense, worst.binding));
    Some([format!("{what}: {upto}{demand}"), but])
}

/// What is done or known before the raise where only advice is missed, which is of the split alone: a box to be ticked.
fn to_do(checks: &[&Check]) -> &'static str {
    if checks.iter().any(|check| check.binding) {
        return "";
    }
    ". Look for lifting points nearer the heavier end; else know that it tips over that end sooner"
}

/// The title of checks of one kind, with their states where the job has more than one.
pub(super) fn titled(scene: &Scene<'_>, checks: &[&Check]) -> String {
    let whats: Vec<_> = checks.iter().map(|c| c.what).collect();
    let title = title(scene, &whats);
    let mut states: Vec<usize> = checks.iter().filter_map(|c| c.state).collect();
    let Some(worst) = states.first().and_then(|s| scene.plan.states.get(*s)) else { return title };
    states.sort_unstable();
    states.dedup();
    match (states.len(), scene.plan.states.len()) {
        (_, 1) => title,
        (1, _) => format!("{title}, in state \"{}\"", worst.name),
        (n, all) => format!("{title}, in {n} of {all} states, worst in \"{}\"", worst.name),
    }
}

fn named<T>(scene: &Scene<'_>, pads: &[(Corner, T)]) -> String {
    pads_named(scene, &pads.iter().map(|p| p.0).collect::<Vec<_>>())
}

/// Pads that no shake proves: an order where the vehicle may fall without one, else advice.
fn unproved(
    scene: &Scene<'_>,
    pads: &[(Corner, Option<Force>)],
    person: Force,
    may_fall: bool,
    units: Units,
) -> String {
    let most = pads.iter().map(|p| p.1).reduce(|a, b| Some(a?.max(b?))).flatten();
    let still = most.map_or_else(
        || "no push is known to rock the body onto it".into(),
        |push| format!("the body may stay still up to a push of {}", units.push_to(push, Round::Up)),
    );
    let still = format!(
        "{still}, and a person gives {} ({})",
        units.push(person),
        limit_source(scene, Name::ShakePush)
    );
    let named = the(scene, pads);
    let (it, is, each) =
        if pads.len() == 1 { ("it", "it is", "") } else { ("one of them", "each is", "each of ") };
    if !may_fall {
        return format!("A shake does not prove {named}: {still}. Check by hand that {is} tight.");
    }
    format!(
        "Check by hand at the test raise that {each}{named} is tight: without {it} the vehicle may fall, and no shake proves \
         it, as {still}."
    )
}

fn the<T>(scene: &Scene<'_>, pads: &[(Corner, T)]) -> String {
    format!("the {}", named(scene, pads))
}
