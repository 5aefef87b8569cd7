//! The figures of a plan that are no check's: their names, and which working each has.

use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::lift::Corner;
use planner::plan::{OrderAnswer, Remark};
use planner::work::{PadLoss, StateForce, Without, WorkAnswer};
use planner::{Chance, Chances};
use statics::{Force, Length};

use super::demand::Task;
use super::steps::{Earlier, Sums, Working};
use super::{arm, doubt, estimate, force, height, loss, order, post, stand, weight};
use crate::words::{self, corner_name};
use crate::{Scene, Units};

/// At which setup an order is rated.
const BEST_FOR_IT: &str = "the best setup for this order";

/// A direction of the vehicle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Behind the front axle.
    Aft,
    /// Left of the centre plane.
    Left,
    /// Above the ground.
    Up,
}

impl Axis {
    pub(crate) const ALL: [Self; 3] = [Self::Aft, Self::Left, Self::Up];

    const fn name(self) -> &'static str {
        match self {
            Self::Aft => "aft",
            Self::Left => "left",
            Self::Up => "up",
        }
    }

    pub(super) const fn index(self) -> usize {
        match self {
            Self::Aft => 0,
            Self::Left => 1,
            Self::Up => 2,
        }
    }

    pub(super) const fn from(self) -> &'static str {
        match self {
            Self::Aft => "behind the front axle",
            Self::Left => "left of the centre plane",
            Self::Up => "above the ground",
        }
    }

    /// The way of less, and of more.
    pub(super) const fn ways(self) -> [&'static str; 2] {
        match self {
            Self::Aft => ["forward", "back"],
            Self::Left => ["right", "left"],
            Self::Up => ["down", "up"],
        }
    }
}

/// A figure of a plan, other than that of a check, that can be worked out. States, tasks, people and what else
/// is numbered are counted from 0 here, from 1 in names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// Mass in a state.
    Mass(usize),
    /// How far it may be off.
    MassOff(usize),
    /// Centre of gravity in a state.
    Centre(Axis, usize),
    /// How far it may be off.
    CentreOff(Axis, usize),
    /// Its standard uncertainty.
    CentreUncertainty(Axis, usize),
    /// Load estimate of a pad in a state.
    Load(Corner, usize),
    /// Share of the front pads in a state.
    FrontShare(usize),
    /// Least load of a pad that statics allow, as raised.
    LoadLeast(Corner),
    /// The greatest.
    LoadGreatest(Corner),
    /// Reach of the arm that serves a corner.
    Reach(Corner),
    /// Its direction, from straight ahead.
    Swing(Corner),
    /// Rise of the test raise.
    TestRaise,
    /// Why the lock of a task: its largest miss.
    Lock(usize),
    /// The same for one person alone.
    LockAlone(usize, usize),
    /// Height of a task's work.
    WorkHeight(usize),
    /// Height of the pads at its lock.
    PadsAtLock(usize),
    /// Room above the vehicle there.
    RoofRoom(usize),
    /// Head room of a person at a task; less than nothing is the stoop.
    HeadRoom(usize, usize),
    /// Hub from the elbow of a person.
    FromElbow(usize, usize),
    /// How far a person's shoulders come down at a wheel.
    Stoop(usize, usize),
    /// What a person's arm is short.
    OutOfReach(usize, usize),
    /// How far the upper arm is raised.
    UpperArm(usize, usize),
    /// Without a pad, in a state: distance from the side that faces it.
    PadLost(Corner, usize),
    /// The least assured distance from a side of the other three.
    PadLostAssured(Corner, usize),
    /// What the pad then carries that is nearest to its rating.
    PadLostLoad(Corner, usize),
    /// Push that rocks the body onto a pad that does not touch.
    RockPush(Corner),
    /// What is left of a force without an arm's lock; which one of those told.
    LockLost(Corner, usize),
    /// Force of a task at which the first pad carries nothing: which force, which of its states.
    FirstUnloads(usize, usize),
    /// Force-angle measure, likewise.
    ForceAngle(usize, usize),
    /// What is withstood in the direction told instead.
    PullInstead(usize),
    /// Height of a stand.
    StandHeight(usize),
    /// Least load of each.
    StandLeast,
    /// The most.
    StandMost,
    /// The load to aim at.
    StandLoad,
    /// By how much the load on one changes of itself at the most: to more, else to less.
    StandChange(bool),
    /// What a pad may carry where the pads touch unevenly and weight may be off.
    UnevenSeat(Corner),
    /// What is withstood of a person's push at the height of the shake.
    ShakeHeld,
    /// What geometry alone would leave, without the plate.
    WithoutPlate,
    /// What the given order of the steps leaves.
    OrderGiven,
    /// The same at the plan's setup.
    OrderGivenHere,
    /// What the best leaves.
    OrderBest,
    /// Chance that a check fails.
    Chance(usize),
    /// Its numerical error.
    ChanceError(usize),
    /// What a measurement gains.
    Gain(usize),
}

/// Every figure of a scene that has a working.
pub(crate) fn all(scene: &Scene<'_>) -> Vec<Figure> {
    let plan = scene.plan;
    let states = 0..plan.states.len();
    let mut found: Vec<Figure> = Vec::new();
    found.extend(states.clone().map(Figure::Mass));
    found.extend(states.clone().map(Figure::MassOff));
    for axis in Axis::ALL {
        found.extend(states.clone().map(|k| Figure::Centre(axis, k)));
        found.extend(states.clone().map(|k| Figure::CentreOff(axis, k)));
        found.extend(states.clone().map(|k| Figure::CentreUncertainty(axis, k)));
    }
    for c in Corner::ALL {
        found.extend(states.clone().map(|k| Figure::Load(c, k)));
    }
    found.extend(states.map(Figure::FrontShare));
    for of in [Figure::LoadLeast, Figure::LoadGreatest, Figure::Reach, Figure::Swing] {
        found.extend(Corner::ALL.map(of));
    }
    found.push(Figure::TestRaise);
    found.extend(heights(scene));
    found.extend(losses(scene));
    found.extend(forces(scene));
    if let Some(standing) = words::standing(scene) {
        found.extend((0..standing.places.len()).map(Figure::StandHeight));
        let accounts = Task::of(scene).map(|task| task.accounts);
        let changes = |more: &bool| accounts.as_ref().is_some_and(|a| a.stand_change(plan, *more).is_some());
        found.extend([false, true].into_iter().filter(changes).map(Figure::StandChange));
        found.extend([Figure::StandLeast, Figure::StandMost, Figure::StandLoad]);
    }
    found.extend(plan.conditions.iter().filter_map(|c| match c {
        Remark::UnevenSeat { corner, .. } => Some(Figure::UnevenSeat(*corner)),
        _ => None,
    }));
    found.extend(shake(scene).map(|_| Figure::ShakeHeld));
    found.extend(plan.without_plate.as_ref().map(|_| Figure::WithoutPlate));
    if plan.order.is_some() {
        let here = plan.order.as_ref().and_then(OrderAnswer::given_reserve_here);
        found.push(Figure::OrderGiven);
        found.extend(here.map(|_| Figure::OrderGivenHere));
        found.push(Figure::OrderBest);
    }
    let mut likeliest: Vec<(usize, &Chance)> = chances(scene).iter().enumerate().collect();
    likeliest.sort_by_key(|(_, chance)| core::cmp::Reverse(chance.failed));
    found.extend(likeliest.iter().map(|(k, _)| Figure::Chance(*k)));
    found.extend(likeliest.iter().map(|(k, _)| Figure::ChanceError(*k)));
    found.extend((0..scene.measure_next.map_or(0, <[_]>::len)).map(Figure::Gain));
    found
}

fn heights(scene: &Scene<'_>) -> Vec<Figure> {
    let mut found = Vec::new();
    for (k, task) in scene.plan.height.tasks.iter().enumerate() {
        found.extend([Figure::Lock(k), Figure::WorkHeight(k), Figure::PadsAtLock(k)]);
        found.extend(task.roof_room.map(|_| Figure::RoofRoom(k)));
        for (p, at) in task.people.iter().enumerate() {
            found.push(Figure::LockAlone(k, p));
            if at.head_room.is_some() {
                found.push(Figure::HeadRoom(k, p));
            } else {
                found.extend([Figure::FromElbow(k, p), Figure::Stoop(k, p)]);
            }
            found.push(Figure::UpperArm(k, p));
            if at.pose.short > Length::ZERO {
                found.push(Figure::OutOfReach(k, p));
            }
        }
    }
    found
}

fn losses(scene: &Scene<'_>) -> Vec<Figure> {
    let mut found = Vec::new();
    let losses = &scene.plan.losses;
    for lost in &losses.pads {
        let mut told = vec![&lost.worst];
        told.extend((lost.raised.state != lost.worst.state).then_some(&lost.raised));
        let c = lost.corner;
        for left in told {
            found.extend([Figure::PadLost(c, left.state), Figure::PadLostAssured(c, left.state)]);
            found.extend(left.hardest.map(|_| Figure::PadLostLoad(c, left.state)));
        }
        found.extend(lost.rock_push.map(|_| Figure::RockPush(lost.corner)));
    }
    for lost in &losses.locks {
        let ended = lost.left.iter().enumerate().filter(|(_, left)| left.withstands.is_some());
        found.extend(ended.map(|(k, _)| Figure::LockLost(lost.corner, k)));
    }
    found
}

/// Of every force, the state that withstands least first.
fn forces(scene: &Scene<'_>) -> Vec<Figure> {
    let mut found = Vec::new();
    for (k, of) in scene.plan.work.iter().enumerate() {
        let others = (0..of.states.len()).filter(|s| *s != of.worst);
        let states: Vec<usize> = core::iter::once(of.worst).chain(others).collect();
        let carry = |s: &usize| unloads(scene, of, &of.states[*s]);
        found.extend(states.iter().copied().filter(carry).map(|s| Figure::FirstUnloads(k, s)));
        let angle = |s: &usize| of.states[*s].force_angle.is_some();
        found.extend(states.iter().copied().filter(angle).map(|s| Figure::ForceAngle(k, s)));
        let ended = of.instead.as_ref().is_some_and(|i| i.withstands.is_some());
        found.extend(ended.then_some(Figure::PullInstead(k)));
    }
    found
}

/// Whether a pad is told to be the first to unload, and all four carried: only then a short sum gives the force.
fn unloads(scene: &Scene<'_>, of: &WorkAnswer, at: &StateForce) -> bool {
    let all = |loads: &[Force; 4]| loads.iter().all(|l| *l > Force::ZERO);
    at.first_unloads.is_some_and(|(_, push)| push <= of.needed * words::work::MANY)
        && scene.plan.states.get(at.state).is_some_and(|s| all(&s.loads))
}

/// What must be withstood of a person's push, where what is withstood is told and has an end.
fn shake(scene: &Scene<'_>) -> Option<Force> {
    let left = scene.plan.losses.locks.first()?.left.iter().find(|l| l.of.is_none())?;
    left.engaged.map(|_| left.needed)
}

fn chances<'a>(scene: &Scene<'a>) -> &'a [Chance] {
    match scene.chances {
        Some(Chances::Told(all)) => all,
        _ => &[],
    }
}

impl Figure {
    /// Its name on the command line, without the state.
    #[must_use]
    pub fn name(self, scene: &Scene<'_>) -> String {
        let of = |kind: &str, c: Corner| format!("{kind}:{}", c.name());
        let at = |kind: &str, k: usize| format!("{kind}:{}", k + 1);
        let both = |kind: &str, k: usize, p: usize| format!("{kind}:{}:{}", k + 1, p + 1);
        let force = |kind: &str, k: usize| {
            let of = &scene.plan.work[k];
            both(kind, of.task, of.force)
        };
        let check = |kind: &str, k: usize| {
            let id = chances(scene).get(k).and_then(|c| scene.plan.checks.get(c.check)).map(|c| c.what.id());
            format!("{kind}:{}", id.unwrap_or_default())
        };
        match self {
            Self::Mass(_) => "mass".into(),
            Self::MassOff(_) => "mass-off".into(),
            Self::Centre(axis, _) => format!("centre:{}", axis.name()),
            Self::CentreOff(axis, _) => format!("centre-off:{}", axis.name()),
            Self::CentreUncertainty(axis, _) => format!("centre-uncertainty:{}", axis.name()),
            Self::Load(c, _) => of("load", c),
            Self::FrontShare(_) => "front-share".into(),
            Self::LoadLeast(c) => of("load-least", c),
            Self::LoadGreatest(c) => of("load-greatest", c),
            Self::Reach(c) => of("reach", c),
            Self::Swing(c) => of("swing", c),
            Self::TestRaise => "test-raise".into(),
            Self::Lock(k) => at("lock", k),
            Self::LockAlone(k, p) => both("lock-alone", k, p),
            Self::WorkHeight(k) => at("work-height", k),
            Self::PadsAtLock(k) => at("pads-at-lock", k),
            Self::RoofRoom(k) => at("roof-room", k),
            Self::HeadRoom(k, p) => both("head-room", k, p),
            Self::FromElbow(k, p) => both("hub-from-elbow", k, p),
            Self::Stoop(k, p) => both("stoop", k, p),
            Self::OutOfReach(k, p) => both("out-of-reach", k, p),
            Self::UpperArm(k, p) => both("upper-arm", k, p),
            Self::PadLost(c, _) => of("pad-lost", c),
            Self::PadLostAssured(c, _) => of("pad-lost-assured", c),
            Self::PadLostLoad(c, _) => of("pad-lost-load", c),
            Self::RockPush(c) => of("rock-push", c),
            Self::LockLost(c, k) => {
                let left = scene.plan.losses.locks.iter().find(|l| l.corner == c).and_then(|l| l.left.get(k));
                let of = left.and_then(|l| l.of);
                let name = of.map_or("shake".into(), |(t, f)| format!("{}:{}", t + 1, f + 1));
                format!("lock-lost:{}:{name}", c.name())
            }
            Self::FirstUnloads(k, _) => force("first-unloads", k),
            Self::ForceAngle(k, _) => force("force-angle", k),
            Self::PullInstead(k) => force("pull-instead", k),
            Self::StandHeight(k) => at("stand-height", k),
            Self::StandLeast => "stand-least".into(),
            Self::StandMost => "stand-most".into(),
            Self::StandLoad => "stand-load".into(),
            Self::StandChange(more) => format!("stand-change:{}", if more { "more" } else { "less" }),
            Self::UnevenSeat(c) => of("uneven-seat", c),
            Self::ShakeHeld => "shake-held".into(),
            Self::WithoutPlate => "without-plate".into(),
            Self::OrderGiven => "order-given".into(),
            Self::OrderGivenHere => "order-given-here".into(),
            Self::OrderBest => "order-best".into(),
            Self::Chance(k) => check("chance", k),
            Self::ChanceError(k) => check("chance-error", k),
            Self::Gain(k) => at("gain", k),
        }
    }

    /// The state that it belongs to, where it has one a state.
    #[must_use]
    pub fn state(self, scene: &Scene<'_>) -> Option<usize> {
        match self {
            Self::Mass(k)
            | Self::MassOff(k)
            | Self::Centre(_, k)
            | Self::CentreOff(_, k)
            | Self::CentreUncertainty(_, k)
            | Self::Load(_, k)
            | Self::FrontShare(k)
            | Self::PadLost(_, k)
            | Self::PadLostAssured(_, k)
            | Self::PadLostLoad(_, k) => Some(k),
            Self::FirstUnloads(k, s) | Self::ForceAngle(k, s) => {
                Some(scene.plan.work.get(k)?.states.get(s)?.state)
            }
            Self::Chance(k) | Self::ChanceError(k) => {
                scene.plan.checks.get(chances(scene).get(k)?.check)?.state
            }
            _ => None,
        }
    }

    /// What it is, as a noun phrase.
    pub(super) fn title(self, scene: &Scene<'_>) -> String {
        let pad = |c: Corner| format!("the {} pad", corner_name(c));
        let task = |k: usize| match scene.plan.height.tasks.get(k).and_then(|t| scene.job.tasks.get(t.task?))
        {
            Some(task) => format!("task \"{}\"", task.name),
            None => "standing under it (assumed)".into(),
        };
        let person = |k: usize, p: usize| {
            let at = scene.plan.height.tasks.get(k).and_then(|t| t.people.get(p));
            format!("{}, {}", at.map_or("", |a| a.name.as_str()), task(k))
        };
        let force = |k: usize| {
            let of = scene.plan.work.get(k).map(|w| (w.task, w.force));
            words::work::force_of(scene, of)
        };
        let check = |k: usize| {
            let check = chances(scene).get(k).and_then(|c| scene.plan.checks.get(c.check));
            check.map_or_else(String::new, |c| words::check_title(scene, c.what))
        };
        match self {
            Self::Mass(_) => "mass".into(),
            Self::MassOff(_) => "how far the mass may be off".into(),
            Self::Centre(axis, _) => format!("centre of gravity, {}", axis.from()),
            Self::CentreOff(axis, _) => format!("how far the centre of gravity may be off, {}", axis.from()),
            Self::CentreUncertainty(axis, _) => {
                format!("standard uncertainty of the centre of gravity, {}", axis.from())
            }
            Self::Load(c, _) => format!("load on {}, estimate", pad(c)),
            Self::FrontShare(_) => "share of the front pads, estimate".into(),
            Self::LoadLeast(c) => {
                format!("least load of {}, however unevenly the pads touch, as raised", pad(c))
            }
            Self::LoadGreatest(c) => {
                format!("greatest load of {}, however unevenly the pads touch, as raised", pad(c))
            }
            Self::Reach(c) => format!("reach of the arm under {}", pad(c)),
            Self::Swing(c) => format!("direction of the arm under {}, from straight ahead", pad(c)),
            Self::TestRaise => "rise of the test raise".into(),
            Self::Lock(k) => {
                let of = scene.plan.height.tasks.get(k);
                format!(
                    "why {}: the largest miss of anyone's best height there, {}",
                    at_lock(of.and_then(|t| t.lock)),
                    task(k)
                )
            }
            Self::LockAlone(k, p) => {
                let alone = scene.plan.height.tasks.get(k).and_then(|t| t.people.get(p)?.alone);
                format!("why {} alone: the miss of the best height there, {}", at_lock(alone), person(k, p))
            }
            Self::WorkHeight(k) => format!("height of underside or hubs at the lock, {}", task(k)),
            Self::PadsAtLock(k) => format!("height of the pads at the lock, {}", task(k)),
            Self::RoofRoom(k) => format!("room above the vehicle at the lock, {}", task(k)),
            Self::HeadRoom(k, p) => format!("head room of {}", person(k, p)),
            Self::FromElbow(k, p) => format!("hub above the elbow of {}", person(k, p)),
            Self::Stoop(k, p) => format!("stoop of {}", person(k, p)),
            Self::OutOfReach(k, p) => format!("what the arm is short of {}", person(k, p)),
            Self::UpperArm(k, p) => format!("angle of the upper arm of {}", person(k, p)),
            Self::PadLost(c, _) => {
                format!("centre of gravity inside the side that faces {}, if that does not carry", pad(c))
            }
            Self::PadLostAssured(c, _) => format!(
                "assured distance from the nearest side of the other three, if {} does not carry",
                pad(c)
            ),
            Self::PadLostLoad(c, _) => {
                format!("load of the hardest loaded of the other three, if {} does not carry", pad(c))
            }
            Self::RockPush(c) => format!("push that rocks the body onto {}, if that does not touch", pad(c)),
            Self::LockLost(c, k) => {
                let left = scene.plan.losses.locks.iter().find(|l| l.corner == c).and_then(|l| l.left.get(k));
                let force = words::work::force_of(scene, left.and_then(|l| l.of));
                format!("what is left of {force}, if the arm under {} is not locked", pad(c))
            }
            Self::FirstUnloads(k, _) => format!("{} from which the first pad may carry nothing", force(k)),
            Self::ForceAngle(k, _) => format!("force-angle measure under {}", force(k)),
            Self::PullInstead(k) => {
                format!("what is withstood of {} in the direction told instead", force(k))
            }
            Self::StandHeight(k) => format!("height of stand {}", k + 1),
            Self::StandLeast => "least load to which each stand may be set".into(),
            Self::StandMost => "greatest load to which each stand may be set".into(),
            Self::StandLoad => "load to aim at when each stand is set".into(),
            Self::StandChange(more) => {
                format!(
                    "by how much the load on a stand changes of itself to {}",
                    if more { "more" } else { "less" }
                )
            }
            Self::UnevenSeat(c) => {
                format!("most that {} may carry if the pads touch unevenly, weight at its worst", pad(c))
            }
            Self::ShakeHeld => "what is withstood of a person's push at the height of the shake".into(),
            Self::WithoutPlate => "least reserve that geometry alone would leave, without the plate".into(),
            Self::OrderGiven => "least that a state of the given order leaves".into(),
            Self::OrderGivenHere => "least that a state of the given order leaves at the plan's setup".into(),
            Self::OrderBest => "least that a state of the best order leaves".into(),
            Self::Chance(k) => format!("chance that it fails: {}", check(k)),
            Self::ChanceError(k) => format!("numerical error of the chance that it fails: {}", check(k)),
            Self::Gain(k) => format!("gain of measurement {}, in per cent of the limit", k + 1),
        }
    }

    /// Where the way of computing it comes from.
    pub(super) const fn source(self) -> &'static str {
        match self {
            Self::Mass(_) | Self::Centre(..) => "moment sums (FAA AC 43.13-1B ch. 10); derived",
            Self::MassOff(_) | Self::CentreOff(..) => {
                "exact worst case of the moment sums (Dinkelbach 1967); derived"
            }
            Self::CentreUncertainty(..) => "JCGM 100 (GUM), inputs independent",
            Self::Load(..) | Self::FrontShare(_) => "rigid body on one-sided linear springs; derived",
            Self::LoadLeast(_) | Self::LoadGreatest(_) | Self::UnevenSeat(_) => {
                "statics alone; four pads are one too many (ASME DETC99 19753); derived"
            }
            Self::Reach(_)
            | Self::Swing(_)
            | Self::WorkHeight(_)
            | Self::PadsAtLock(_)
            | Self::RoofRoom(_)
            | Self::StandHeight(_) => "geometry; derived",
            Self::TestRaise => "BGI 689 (former): shake just off the floor; sum derived",
            Self::Lock(_) | Self::LockAlone(..) => {
                "shares of the stature: Drillis and Contini 1966, seated ANSUR II (2012); choice: project default"
            }
            Self::HeadRoom(..) => "stature and working shoes; derived",
            Self::FromElbow(..) | Self::Stoop(..) | Self::OutOfReach(..) => {
                "shares of the stature: Drillis and Contini 1966, seated ANSUR II (2012); derived"
            }
            Self::UpperArm(..) => {
                "shares of the stature: Drillis and Contini 1966; bands: EN 1005-4, as secondary sources give it; derived"
            }
            Self::PadLost(..) | Self::PadLostLoad(..) => "statics of three supports; derived",
            Self::PadLostAssured(..) => "as the assured edge distance; derived",
            Self::RockPush(_) => "moment about the side that faces the pad; derived",
            Self::LockLost(..) => {
                "a free arm resists along itself alone (Barnett and Glauber, IMECE2009-10053); balance derived"
            }
            Self::FirstUnloads(..) => "assured loads, straight lines in the force; derived",
            Self::ForceAngle(..) => "Papadopoulos and Rey, ICRA 1996",
            Self::WithoutPlate => "the best setup with the wheel anywhere; derived",
            Self::PullInstead(_) | Self::ShakeHeld => {
                "balance of forces within friction and ratings; derived"
            }
            Self::StandLeast | Self::StandMost | Self::StandLoad | Self::StandChange(_) => {
                "moment sums with the stands' loads taken off, every check anew; derived"
            }
            Self::OrderGiven | Self::OrderGivenHere | Self::OrderBest => {
                "moment sums of every state; derived"
            }
            Self::Chance(_) => "quasi-random samples (Richtmyer 1951); closed form of the even distribution",
            Self::ChanceError(_) => "spread of random shifts (Cranley and Patterson 1976)",
            Self::Gain(_) => "checked anew with what the tool leaves; derived",
        }
    }
}

pub(super) fn at_lock(lock: Option<usize>) -> String {
    lock.map_or("full rise".into(), |l| format!("lock {}", l + 1))
}

fn person<'a>(scene: &Scene<'a>, k: usize, p: usize) -> Option<(&'a TaskHeight, &'a AtWork)> {
    let task = scene.plan.height.tasks.get(k)?;
    Some((task, task.people.get(p)?))
}

/// What a lost pad leaves in a state, where that is told.
fn left_in(lost: &PadLoss, state: usize) -> Option<&Without> {
    [&lost.raised, &lost.worst].into_iter().find(|left| left.state == state)
}

/// The steps of a figure; `None` where the scene does not hold it.
pub(crate) fn worked(scene: &Scene<'_>, figure: Figure, units: Units) -> Option<Working> {
    worked_after(scene, figure, units, &Earlier::none())
}

/// The same where figures were worked out before.
pub(crate) fn worked_after(
    scene: &Scene<'_>,
    figure: Figure,
    units: Units,
    earlier: &Earlier,
) -> Option<Working> {
    let task = &Task::of(scene)?;
    let mut sums = Sums::after(units, earlier);
    let s = &mut sums;
    let plan = scene.plan;
    let lost = |c: Corner| plan.losses.pads.iter().find(|l| l.corner == c);
    let of_force = |k: usize, n: usize| -> Option<(&WorkAnswer, &StateForce)> {
        let of = plan.work.get(k)?;
        Some((of, of.states.get(n)?))
    };
    match figure {
        Figure::Mass(k) => {
            weight::mass(s, task, k);
        }
        Figure::MassOff(k) => weight::mass_off(s, task, k),
        Figure::Centre(axis, k) => {
            weight::centre(s, task, k, axis);
        }
        Figure::CentreOff(axis, k) => weight::centre_off(s, task, k, axis),
        Figure::CentreUncertainty(axis, k) => weight::centre_uncertainty(s, task, k, axis),
        Figure::Load(c, k) => estimate::load(s, task, c, k),
        Figure::FrontShare(k) => estimate::front_share(s, task, k),
        Figure::LoadLeast(c) => estimate::range(s, task, c, false),
        Figure::LoadGreatest(c) => estimate::range(s, task, c, true),
        Figure::Reach(c) => {
            arm::reach(s, task, c);
        }
        Figure::Swing(c) => {
            arm::direction(s, task, c);
        }
        Figure::TestRaise => height::test_raise(s, task),
        Figure::Lock(k) => {
            let of = plan.height.tasks.get(k)?;
            height::lock(s, task, of, &of.people, of.lock);
        }
        Figure::LockAlone(k, p) => {
            let (of, at) = person(scene, k, p)?;
            height::lock(s, task, of, core::slice::from_ref(at), at.alone);
        }
        Figure::WorkHeight(k) => {
            height::work_height(s, task, plan.height.tasks.get(k)?);
        }
        Figure::PadsAtLock(k) => height::pads_at_lock(s, task, plan.height.tasks.get(k)?),
        Figure::RoofRoom(k) => {
            height::roof_room(s, task, plan.height.tasks.get(k)?.lock);
        }
        Figure::HeadRoom(k, p) => {
            let (of, at) = person(scene, k, p)?;
            height::head_room(s, task, of, at);
        }
        Figure::FromElbow(k, p) => {
            let (of, at) = person(scene, k, p)?;
            height::from_elbow(s, task, of, at);
        }
        Figure::Stoop(k, p) => {
            let (of, at) = person(scene, k, p).filter(|(of, _)| of.posture != Posture::StandingUnder)?;
            height::stoop_at_wheel(s, task, of, at);
        }
        Figure::OutOfReach(k, p) => {
            let (of, at) = person(scene, k, p)?;
            height::short(s, task, of, at);
        }
        Figure::UpperArm(k, p) => {
            let (of, at) = person(scene, k, p)?;
            height::upper_arm(s, task, of, at);
        }
        Figure::PadLost(c, k) => loss::from_diagonal(s, task, c, left_in(lost(c)?, k)?),
        Figure::PadLostAssured(c, k) => loss::assured(s, task, c, left_in(lost(c)?, k)?),
        Figure::PadLostLoad(c, k) => loss::hardest(s, task, c, left_in(lost(c)?, k)?),
        Figure::RockPush(c) => loss::rock_push(s, task, lost(c)?),
        Figure::LockLost(c, k) => loss::lock(s, task, plan.losses.locks.iter().find(|l| l.corner == c)?, k),
        Figure::FirstUnloads(k, n) => {
            let (_, at) = of_force(k, n)?;
            force::first_unloads(s, task, at);
        }
        Figure::ForceAngle(k, n) => {
            let (of, at) = of_force(k, n)?;
            force::force_angle(s, task, of, at);
        }
        Figure::PullInstead(k) => force::instead(s, task, plan.work.get(k)?),
        Figure::StandHeight(k) => stand::height(s, task, words::standing(scene)?, k),
        Figure::StandLeast => stand::bound(s, task, words::standing(scene)?, false),
        Figure::StandMost => stand::bound(s, task, words::standing(scene)?, true),
        Figure::StandLoad => stand::best(s, task, words::standing(scene)?),
        Figure::StandChange(more) => post::change(s, task, words::standing(scene)?, more),
        Figure::UnevenSeat(c) => estimate::uneven(s, task, c),
        Figure::ShakeHeld => loss::shake(s, task, shake(scene)?),
        Figure::WithoutPlate => {
            order::left(s, scene, &plan.without_plate.as_ref()?.worst, "without the plate");
        }
        Figure::OrderGiven => order::leaves(s, scene, &plan.order.as_ref()?.given_states, BEST_FOR_IT),
        Figure::OrderGivenHere => {
            order::leaves(s, scene, &plan.order.as_ref()?.given_here, "the setup of the plan")
        }
        Figure::OrderBest => order::leaves(s, scene, &plan.order.as_ref()?.best_states, BEST_FOR_IT),
        Figure::Chance(k) => {
            doubt::chance(s, task, chances(scene).get(k)?);
        }
        Figure::ChanceError(k) => doubt::error(s, chances(scene).get(k)?),
        Figure::Gain(k) => doubt::gain(s, task, scene.measure_next?.get(k)?),
    }
    let working = sums.done();
    let any = working.steps().next().is_some();
    any.then_some(working)
}
