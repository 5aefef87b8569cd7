//! A raise as a course of hold points.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use planner::course::{InState, course};
use planner::frames::DrivenIn;
use planner::job::Step;
use planner::lift::Corner;
use planner::plan::{Remark, StandsAnswer};
use planner::{Job, Lift, Plan};
use serde::{Deserialize, Serialize};

use crate::left::{Part, Parts};

/// So far a carriage may be ahead of the other before a lift stops itself: DGUV Information 208-015 sections 5 and 6.
const CARRIAGES_DIFFER_MILLIMETRES: u16 = 50;

/// What of a checked plan leads the raise. The stored form.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Outline {
    /// Pads to recheck by hand, as indices into front left, front right, rear left, rear right.
    pub recheck: Vec<u8>,
    /// Number of the lock to work at, from 1 at the lowest; `None` = the lift has none.
    pub lock: Option<u16>,
    /// Names of the states after each part off or on, in the planned order.
    pub steps: Vec<String>,
    /// How heavy what each of them takes off or puts on is, and where; an older program did not write it down.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<String>,
    /// Stands: set after so many steps, taken away after so many.
    pub stands: Option<(u16, u16)>,
    /// Rise of the test raise, whole millimetres.
    pub test_raise_millimetres: u16,
    /// Rise of the lowest lock, whole millimetres; an older program did not write it down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_lock_millimetres: Option<u16>,
    /// Locks of later tasks, in the order in which they are gone to.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub later: Vec<LaterLock>,
    /// Whether the vehicle is driven in backwards; an older program did not write it down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backwards: Option<bool>,
}

/// Another lock to work at, once some of the steps are done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct LaterLock {
    /// After how many steps.
    pub after: u16,
    /// Its number, from 1 at the lowest.
    pub lock: u16,
}

impl Outline {
    /// Of a checked plan. A plan that a pad's seat or a silent shake makes doubtful asks for a hand on that pad.
    #[must_use]
    pub fn of(plan: &Plan, job: &Job, lift: &Lift) -> Self {
        let in_doubt = |remark: &Remark| match remark {
            Remark::UnevenSeat { corner, .. } | Remark::ShakeProvesNothing { corner, .. } => Some(*corner),
            _ => None,
        };
        let doubts: Vec<Corner> = plan.watch.iter().chain(&plan.conditions).filter_map(in_doubt).collect();
        let order: Vec<usize> = match &plan.order {
            Some(order) if order.adopted => order.steps.clone(),
            _ => (0..job.steps.len()).collect(),
        };
        let stands = match &plan.stands {
            Some(StandsAnswer::Serve(standing)) => Some((small(standing.from), small(standing.to))),
            _ => None,
        };
        let steps: Vec<&Step> = order.iter().filter_map(|i| job.steps.get(*i)).collect();
        Self {
            recheck: (0_u8..).zip(Corner::ALL).filter(|(_, c)| doubts.contains(c)).map(|(i, _)| i).collect(),
            lock: plan.height.lock.map(|lock| small(lock).saturating_add(1)),
            steps: steps.iter().map(|step| step.state_name()).collect(),
            parts: steps.iter().map(|step| how_heavy_and_where(step.part())).collect(),
            stands,
            later: later_locks(plan, job),
            test_raise_millimetres: whole_millimetres(plan.test_raise.to_metres()),
            first_lock_millimetres: lift.rise.locks.first().map(|lock| millimetres_below(lock.to_metres())),
            backwards: Some(plan.placement.driven_in == DrivenIn::Backwards),
        }
    }

    /// A pad as whoever stands at the lift finds it (index as in `recheck`): the arm's name alone only where it is the
    /// vehicle's corner as well.
    #[must_use]
    pub fn pad_name(&self, pad: u8) -> String {
        let Some(corner) = Corner::ALL.get(usize::from(pad)) else { return "unknown pad".into() };
        let name = |corner: Corner| corner.name().replace('-', " ");
        match self.backwards {
            Some(false) => format!("{} pad", name(*corner)),
            Some(true) => {
                format!("{} arm's pad (under the vehicle's {})", name(corner.turned()), name(*corner))
            }
            None => format!("pad under the vehicle's {}", name(*corner)),
        }
    }

    /// Whether at the test raise a carriage may have passed a lock already: it lies no higher than the higher of the two may
    /// stand then. Where nobody wrote down how high it lies, it may.
    #[must_use]
    pub fn test_raise_reaches_a_lock(&self) -> bool {
        let highest = self.test_raise_millimetres.saturating_add(CARRIAGES_DIFFER_MILLIMETRES);
        self.lock.is_some() && self.first_lock_millimetres.is_none_or(|lock| lock <= highest)
    }

    /// The number of one of the later locks.
    pub(crate) fn lock_of(&self, later: u16) -> Option<u16> {
        self.later.get(usize::from(later)).map(|l| l.lock)
    }

    /// The lock that it leaves for that one, as planned.
    pub(crate) fn lock_before(&self, later: u16) -> Option<u16> {
        later.checked_sub(1).and_then(|before| self.lock_of(before)).or(self.lock)
    }

    /// Whether it goes up or down to that one. Seated again, it comes from the first lock in the place of the one before: `None`
    /// where that is the other way.
    #[must_use]
    pub fn way_to(&self, later: u16) -> Option<Ordering> {
        let lock = self.lock_of(later);
        let way = lock.cmp(&self.lock_before(later));
        (lock == self.lock || way == lock.cmp(&self.lock)).then_some(way)
    }

    /// Whether after so many steps the work has begun and not ended: parts are off or on that the job did not mean to end with.
    pub(crate) fn is_unfinished(&self, steps: u16) -> bool {
        (1..small(self.steps.len())).contains(&steps)
    }

    /// The state that a step leads to, and the part that it takes off or puts on, counted from 0.
    pub(crate) fn step(&self, step: u16) -> Option<(&str, Part)> {
        let step = usize::from(step);
        let state = self.steps.get(step)?;
        let name = state.strip_suffix(" off").or_else(|| state.strip_suffix(" on")).unwrap_or(state);
        Some((state, Part { name: name.to_owned(), is: self.parts.get(step).cloned() }))
    }

    /// The parts that are not as the vehicle's file says after so many steps.
    pub(crate) fn parts_after(&self, steps: u16) -> Parts {
        let mut parts = Parts::default();
        for (state, part) in (0..steps).map_while(|step| self.step(step)) {
            parts.go_on(state, part);
        }
        parts
    }

    /// After how many steps the vehicle is once a part is off or on, or back; `None` = the point is of none.
    pub(crate) fn steps_after(&self, point: HoldPoint) -> Option<u16> {
        match point {
            HoldPoint::StepDone(step) => Some(step.saturating_add(1)),
            HoldPoint::StepUndone(step) => Some(self.first_as(step)),
            _ => None,
        }
    }

    /// After how few steps it is as after so many: with the same parts off and on, and while the same stands stand.
    pub(crate) fn first_as(&self, steps: u16) -> u16 {
        let (with, from) = (self.parts_after(steps), self.stands.map_or(0, |(from, _)| from.min(steps)));
        (from..steps).find(|fewer| self.parts_after(*fewer) == with).unwrap_or(steps)
    }

    /// Whether a part more is off by it.
    pub(crate) fn takes_off(&self, point: HoldPoint) -> bool {
        let goes_on = |step| self.step(step).is_some_and(|(state, _)| state.ends_with(" on"));
        match point {
            HoldPoint::StepDone(step) => !goes_on(step),
            HoldPoint::StepUndone(step) => goes_on(step),
            _ => false,
        }
    }

    /// What it is as again once a step is undone, in words.
    fn undone(&self, step: u16) -> String {
        let Some((state, part)) = self.step(step) else { return "unknown step".into() };
        let how = if self.takes_off(HoldPoint::StepUndone(step)) { "off" } else { "on" };
        format!("as before “{state}”: {} {how}", part.name)
    }

    /// Whether after so many steps it might tip without its stands: with the parts that it has before they are set it does not.
    pub(crate) fn stands_hold(&self, steps: u16) -> bool {
        self.stands_stand(steps) && self.stands.is_some_and(|(from, _)| from < self.first_as(steps))
    }

    /// Whether by the plan its stands stand after so many steps, and longer.
    fn stands_stand(&self, steps: u16) -> bool {
        self.stands.is_some_and(|(from, to)| from < steps && steps < to)
    }

    /// Whether it makes sense: pads that exist, a part for each step, stands that stand while a part is off or on, other locks in the order of
    /// the steps and never while stands stand.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let steps = small(self.steps.len());
        self.recheck.iter().all(|pad| *pad < 4)
            && self.parts.len() == self.steps.len()
            && self.stands.is_none_or(|(from, to)| from < to && to <= steps)
            && (self.later.is_empty() || self.lock.is_some())
            && self.later.iter().all(|l| l.lock > 0 && l.after <= steps && !self.stands_stand(l.after))
            && self.later.is_sorted_by_key(|l| l.after)
    }
}

/// The locks that the plan's course goes to after the first one, in its order; while stands stand it goes to none.
fn later_locks(plan: &Plan, job: &Job) -> Vec<LaterLock> {
    let at = |here: InState<'_>| {
        let after = small(here.state);
        here.locks().into_iter().map(move |lock| LaterLock { after, lock: small(lock).saturating_add(1) })
    };
    course(plan, job).into_iter().flat_map(at).collect()
}

/// To the gram and the millimetre, with how far each may be off.
fn how_heavy_and_where(part: &planner::vehicle::Part) -> String {
    let (mass, off) = (part.mass.value.to_kilograms(), part.mass.tolerance.to_kilograms());
    let places = ["aft", "left", "up"].iter().zip(part.at.to_metres()).zip(part.off.by);
    let places = places.map(|((way, at), off)| format!(", {at:.3} +- {:.3} m {way}", off.to_metres()));
    format!("{mass:.3} +- {off:.3} kg{}", places.collect::<String>())
}

fn small(n: usize) -> u16 {
    u16::try_from(n).unwrap_or(u16::MAX)
}

/// Upwards: a lower test raise would leave tyres on the floor.
fn whole_millimetres(metres: f64) -> u16 {
    (0..u16::MAX).find(|mm| f64::from(*mm) >= metres * 1000.0 - 1e-6).unwrap_or(u16::MAX)
}

/// Downwards: a lock that lies lower than written down would be met unheard.
fn millimetres_below(metres: f64) -> u16 {
    (0..u16::MAX).rev().find(|mm| f64::from(*mm) <= metres * 1000.0 + 1e-6).unwrap_or(0)
}

/// Something that a person confirms before the raise goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum HoldPoint {
    /// Driven on and spotted.
    Spotted,
    /// Pads seated.
    PadsSeated,
    /// Arms' locks engaged.
    ArmLocksEngaged,
    /// Raised until the tyres are clear.
    TestRaised,
    /// Shaken: it stands.
    Shaken,
    /// A pad rechecked by hand (index as in `Outline::recheck`).
    PadRechecked(u8),
    /// Raised to working height, each lock heard on both columns.
    Raised,
    /// Lowered onto the locks, rests on both.
    OnLocks,
    /// A part off or on (index into `Outline::steps`).
    StepDone(u16),
    /// A part back on, or off again, as it was before that step (index into `Outline::steps`): only the way down has it.
    StepUndone(u16),
    /// Up or down at another lock's height (index into `Outline::later`), to rest on it.
    HeightReached(u16),
    /// Stands set.
    StandsSet,
    /// Stands away.
    StandsAway,
    /// Nobody and nothing under or around it.
    AreaClear,
    /// Raised off the locks.
    OffLocks,
    /// Locks released by hand and held, not tied back.
    LocksReleased,
    /// Fully down.
    FullyDown,
    /// Arms swung clear.
    ArmsClear,
    /// Driven off.
    DrivenOff,
    /// Left where it was lowered, with work unfinished.
    LeftOnFloor,
}

use HoldPoint as P;

/// Hold points without data, and their stored words.
const WORDS: [(HoldPoint, &str); 16] = [
    (P::Spotted, "spotted"),
    (P::PadsSeated, "pads-seated"),
    (P::ArmLocksEngaged, "arm-locks-engaged"),
    (P::TestRaised, "test-raised"),
    (P::Shaken, "shaken"),
    (P::Raised, "raised"),
    (P::OnLocks, "on-locks"),
    (P::StandsSet, "stands-set"),
    (P::StandsAway, "stands-away"),
    (P::AreaClear, "area-clear"),
    (P::OffLocks, "off-locks"),
    (P::LocksReleased, "locks-released"),
    (P::FullyDown, "fully-down"),
    (P::ArmsClear, "arms-clear"),
    (P::DrivenOff, "driven-off"),
    (P::LeftOnFloor, "left-on-floor"),
];

impl fmt::Display for HoldPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::PadRechecked(pad) => write!(f, "pad-{}-rechecked", pad + 1),
            Self::StepDone(step) => write!(f, "step-{}-done", step + 1),
            Self::StepUndone(step) => write!(f, "step-{}-undone", step + 1),
            // The first is that of `raised`.
            Self::HeightReached(later) => write!(f, "height-{}-reached", later + 2),
            plain => f.write_str(WORDS.iter().find(|w| w.0 == *plain).map_or("", |w| w.1)),
        }
    }
}

/// A text that names no hold point.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAHoldPoint(String);

impl fmt::Display for NotAHoldPoint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is no hold point", self.0)
    }
}

impl std::error::Error for NotAHoldPoint {}

impl FromStr for HoldPoint {
    type Err = NotAHoldPoint;
    fn from_str(text: &str) -> Result<Self, NotAHoldPoint> {
        let number = |prefix: &str, suffix: &str| -> Option<u16> {
            let digits = text.strip_prefix(prefix)?.strip_suffix(suffix)?;
            digits.parse::<u16>().ok()?.checked_sub(1)
        };
        let pad = || number("pad-", "-rechecked").and_then(|n| u8::try_from(n).ok()).filter(|n| *n < 4);
        WORDS
            .iter()
            .find(|w| w.1 == text)
            .map(|w| w.0)
            .or_else(|| pad().map(Self::PadRechecked))
            .or_else(|| number("step-", "-done").map(Self::StepDone))
            .or_else(|| number("step-", "-undone").map(Self::StepUndone))
            .or_else(|| number("height-", "-reached")?.checked_sub(1).map(Self::HeightReached))
            .ok_or_else(|| NotAHoldPoint(text.to_owned()))
    }
}

impl TryFrom<String> for HoldPoint {
    type Error = NotAHoldPoint;
    fn try_from(text: String) -> Result<Self, NotAHoldPoint> {
        text.parse()
    }
}

impl From<HoldPoint> for String {
    fn from(point: HoldPoint) -> Self {
        point.to_string()
    }
}

impl HoldPoint {
    /// Whether the vehicle goes up, or up farther, by it; another lock counts as that, so that a lift that may not be used
    /// only comes down.
    #[must_use]
    pub const fn goes_up(self) -> bool {
        matches!(self, Self::TestRaised | Self::Raised | Self::HeightReached(_))
    }

    /// Whether it may be confirmed with a measuring of how the vehicle stands.
    #[must_use]
    pub const fn is_measured(self) -> bool {
        matches!(self, Self::Spotted | Self::PadsSeated)
    }

    /// Whether a raise ends with it.
    #[must_use]
    pub const fn ends(self) -> bool {
        matches!(self, Self::DrivenOff | Self::LeftOnFloor)
    }

    /// What is confirmed, as a sentence; `length` words whole millimetres.
    #[must_use]
    pub fn sentence(self, outline: &Outline, length: impl Fn(u16) -> String) -> String {
        match self {
            Self::Spotted => "The vehicle is driven on and spotted.".into(),
            Self::PadsSeated => "All four pads are seated where the plan puts them.".into(),
            Self::ArmLocksEngaged => "All four arms are locked.".into(),
            Self::TestRaised => {
                format!(
                    "It is raised {}: every tyre is clear of the floor.",
                    length(outline.test_raise_millimetres)
                )
            }
            Self::Shaken => "It was shaken and stands still and silent.".into(),
            Self::PadRechecked(pad) => {
                format!("The {} was rechecked by hand.", outline.pad_name(pad))
            }
            Self::Raised => match outline.lock {
                Some(lock) => format!("It is raised past lock {lock}; every lock was heard on both columns."),
                None => "It is raised to working height.".into(),
            },
            Self::OnLocks => "It rests on the locks of both columns.".into(),
            Self::StepDone(step) => {
                format!(
                    "Done: {}.",
                    outline.steps.get(usize::from(step)).map_or("unknown step", String::as_str)
                )
            }
            Self::StepUndone(step) => format!("It is {}.", outline.undone(step)),
            Self::HeightReached(later) => match outline.later.get(usize::from(later)) {
                Some(LaterLock { lock, .. }) => {
                    let way = match outline.way_to(later) {
                        Some(Ordering::Greater) => "on the way up every lock was heard on both columns",
                        Some(_) => "it was lowered to it, both carriages alike",
                        None => "where it went up to it, every lock was heard on both columns",
                    };
                    format!("It is at lock {lock}; {way}.")
                }
                None => "It is at another height.".into(),
            },
            Self::StandsSet => "The stands are set as the plan says.".into(),
            Self::StandsAway => "The stands are away.".into(),
            Self::AreaClear => "Nobody and nothing is under or around it.".into(),
            Self::OffLocks => "It is off the locks.".into(),
            Self::LocksReleased => "The locks are released by hand, and not tied back.".into(),
            Self::FullyDown => "It is fully down.".into(),
            Self::ArmsClear => "The arms are swung clear.".into(),
            Self::DrivenOff => "It is driven off.".into(),
            Self::LeftOnFloor => "It is left on the lift's floor, not driven off.".into(),
        }
    }
}
