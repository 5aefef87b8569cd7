//! The answer: a checked setup, every figure with its limit and source.

use std::borrow::Cow;

use statics::{Angle, Force, Length, Mass, Place, Point};

use crate::frames::{Bay, Placement, Vehicle as Frame};
use crate::height::Height;
use crate::heights::Heights;
use crate::lift::Corner;
use crate::limits::Name;
use crate::measure::Pad;
use crate::measured::Measured;
use crate::person::Strain;
use crate::quick::Unknown;

/// How a plan ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It may be raised.
    Raise,
    /// It may be raised under the conditions listed.
    RaiseWithConditions,
    /// It must not be raised.
    DoNotRaise,
}

impl Verdict {
    /// What reasons and conditions make of it.
    pub(crate) const fn of(refusals: &[Remark], conditions: &[Remark]) -> Self {
        match (refusals.is_empty(), conditions.is_empty()) {
            (false, _) => Self::DoNotRaise,
            (true, false) => Self::RaiseWithConditions,
            (true, true) => Self::Raise,
        }
    }
}

/// A checked setup for one raise.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// May it be raised.
    pub verdict: Verdict,
    /// Where the vehicle stands.
    pub placement: Placement,
    /// The plate's mark for this wheelbase, if the lift has a plate.
    pub mark: Option<String>,
    /// Where the plate's mark puts the front wheel, if a mark is named.
    pub mark_spot: Option<Length>,
    /// Four arm settings, in the order of the vehicle's corners.
    pub pads: [PadSetting; 4],
    /// The states of the job, the first as it is raised.
    pub states: Vec<StateAnswer>,
    /// Every check that was made.
    pub checks: Vec<Check>,
    /// Conditions under which it may be raised.
    pub conditions: Vec<Remark>,
    /// Reasons why it must not be raised.
    pub refusals: Vec<Remark>,
    /// What was not known, and what was assumed for it.
    pub assumptions: Vec<Assumption>,
    /// The locks to work at.
    pub height: Height,
    /// What to look and feel for, pass or not.
    pub watch: Vec<Remark>,
    /// Pad rise from fully down at which every tyre is clear of the floor: gap under the vehicle,
    /// droop of the wheels, clearance.
    pub test_raise: Length,
    /// Index into `checks` of the least reserve among the binding checks that the setup can change.
    pub worst: usize,
    /// What is withstood of each force of the job's tasks.
    pub work: Vec<crate::work::WorkAnswer>,
    /// What is left when one pad or one arm's lock fails.
    pub losses: crate::work::Losses,
    /// When the plate decides where the wheel stands: the best that geometry alone would allow.
    pub without_plate: Option<Alternative>,
    /// When it is refused: the smallest single change that would pass.
    pub change: Option<Change>,
    /// When the given order of the steps fails: the best one.
    pub order: Option<OrderAnswer>,
    /// When no order passes and stands are at hand: where they would stand, and what they would carry.
    pub stands: Option<StandsAnswer>,
}

impl Plan {
    /// The verdict anew, after reasons or conditions came or went.
    pub(crate) const fn judge(&mut self) {
        self.verdict = Verdict::of(self.refusals.as_slice(), self.conditions.as_slice());
    }

    /// The least reserve among the binding checks that the setup can change.
    #[must_use]
    pub fn worst_check(&self) -> &Check {
        &self.checks[self.worst]
    }

    /// Of a refused plan: of the checks that forbid it the one that fails most. None where something else than a check
    /// forbids it. What the nearest setup only gives way on forbids nothing.
    #[must_use]
    pub fn forbidden_by(&self) -> Option<&Check> {
        let fails = self.refusals.iter().filter_map(|remark| match remark {
            Remark::Fails(index) => self.checks.get(*index),
            _ => None,
        });
        fails.min_by(|a, b| a.reserve.total_cmp(&b.reserve))
    }

    /// Whether stands carry a part of the vehicle in that state: then nobody goes under it.
    #[must_use]
    pub fn nobody_under(&self, state: usize) -> bool {
        matches!(&self.stands, Some(StandsAnswer::Serve(standing)) if standing.relieves(state))
    }

    pub(crate) fn pad_places(&self) -> [Pad; 4] {
        self.pads.each_ref().map(|p| Pad { area: p.area, at: p.at.to_metres() })
    }
}

/// The best order of a job's steps, beside the given one.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderAnswer {
    /// Indices into the job's steps.
    pub steps: Vec<usize>,
    /// Least reserve over the states of the given order, at the best setup for it.
    pub given_reserve: f64,
    /// The same of this order, at the best setup for this one.
    pub best_reserve: f64,
    /// What each state of the given order leaves.
    pub given_states: Vec<StateLeft>,
    /// What each state of this order leaves.
    pub best_states: Vec<StateLeft>,
    /// Where this order is adopted: what each state of the given one leaves at the plan's setup, which is this one's.
    pub given_here: Vec<StateLeft>,
    /// Where the search was cut short: no order at the best setup for this one leaves more. `None` = this one is the best.
    pub bound: Option<f64>,
    /// Whether its states pass, and the plan's states and setup are those of this order.
    pub adopted: bool,
}

impl OrderAnswer {
    /// Least reserve over the states of the given order at the plan's setup, where that is another than the best for it.
    #[must_use]
    pub fn given_reserve_here(&self) -> Option<f64> {
        self.given_here.iter().map(|state| state.reserve).reduce(f64::min)
    }
}

/// What one state of an order leaves.
#[derive(Clone, Debug, PartialEq)]
pub struct StateLeft {
    /// Name of the state.
    pub name: String,
    /// Least reserve of its binding checks.
    pub reserve: f64,
    /// The check that leaves so little; `None` = nothing is checked in it.
    pub held_by: Option<Check>,
}

/// What stands can do.
#[derive(Clone, Debug, PartialEq)]
pub enum StandsAnswer {
    /// They make it pass.
    Serve(Box<Standing>),
    /// They do not.
    NoneServe(NoStands),
}

/// Why stands do not make a job pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoStands {
    /// The vehicle's file names no place for a stand.
    NoPlace,
    /// The vehicle must stand on its pads alone when it goes up and when it comes down, and does not in the
    /// state of that index.
    Alone(usize),
    /// The job has people standing under (index of the task) in a state that passes only with stands (index of the state).
    Under {
        /// Index among the job's tasks.
        task: usize,
        /// Index of the state.
        state: usize,
    },
    /// At no lock do they reach from floor to place: height of the lowest place at the lock to work at.
    Height(Length),
    /// None helps.
    NoneHelps,
    /// Set as the plan told them that is gone by, they do not.
    NotAsTold,
}

/// Stands that make a job pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Indices into the vehicle's places for stands, one stand each, all alike loaded.
    pub places: Vec<usize>,
    /// The lock at which they stand.
    pub lock: usize,
    /// Floor to head of each, at that lock.
    pub heights: Vec<Length>,
    /// What each is set to at the least: every state from setting to taking away keeps half of what `load` leaves,
    /// whatever the load has changed to of itself.
    pub least: Force,
    /// The same at the most.
    pub most: Force,
    /// The load to aim at when they are set: the one with the largest worst reserve.
    pub load: Force,
    /// What each may carry.
    pub rated: Force,
    /// Index of the state in which they are set.
    pub from: usize,
    /// Index of the state in which they are taken away.
    pub to: usize,
    /// What each must and may carry in every state from the first to the last, all carrying alike.
    pub by_state: Vec<[Force; 2]>,
    /// In the same states: how the load on each has changed of itself since it was set, at the least and at the most.
    pub drift: Vec<Vec<[Force; 2]>>,
    /// In the same states: of the loads that each may then have, those that leave least; with them the relieved states
    /// are checked.
    pub checked: Vec<Vec<Force>>,
    /// Whether without them a relieved state would tip when every input is off by its tolerance.
    pub tips_without: bool,
}

impl Standing {
    /// Whether the state does not pass without them.
    #[must_use]
    pub const fn relieves(&self, state: usize) -> bool {
        self.from < state && state < self.to
    }

    /// The most that one may come to carry in any state, set to the most and changed of itself.
    #[must_use]
    pub fn reaches(&self) -> Force {
        self.most + self.drift_most()[1].max(Force::ZERO)
    }

    /// The load on each with which a state is checked; none before they are set and after they are away.
    #[must_use]
    pub fn checked(&self, state: usize) -> &[Force] {
        state.checked_sub(self.from).and_then(|k| self.checked.get(k)).map_or(&[], Vec::as_slice)
    }

    /// The most that the load on one of them changes by itself, less and more, over all states.
    #[must_use]
    pub fn drift_most(&self) -> [Force; 2] {
        let each = self.drift.iter().flatten();
        each.fold([Force::ZERO; 2], |[less, more], [a, b]| [less.min(*a), more.max(*b)])
    }
}

/// One arm's setting.
#[derive(Clone, Debug, PartialEq)]
pub struct PadSetting {
    /// The vehicle's corner.
    pub corner: Corner,
    /// The arm that serves it (the other way round when driven in backwards).
    pub arm: Corner,
    /// Index of the lifting area of the vehicle that it uses.
    pub area: usize,
    /// Pad centre on the vehicle.
    pub at: Place<Frame>,
    /// Pad centre in the bay.
    pub bay: Place<Bay>,
    /// Pivot to pad centre.
    pub reach: Length,
    /// Direction from pivot to pad, bay axes, in (-pi, pi].
    pub swing: Angle,
    /// Number of the restraint's tooth, counted from the `swing_from` stop, if it has teeth.
    pub tooth: Option<u32>,
    /// Top of the pad above the floor when the lift is fully down.
    pub height: Length,
    /// Adapters under the pad, lowest first.
    pub adapters: Vec<Length>,
    /// Least load that statics allow, however unevenly the pads touch.
    pub load_least: Force,
    /// Greatest load that statics allow.
    pub load_greatest: Force,
    /// Load estimate, first state.
    pub load_estimate: Force,
    /// Greatest load estimate when every input moves within its tolerance, over all states.
    pub load_assured: Force,
    /// What this pad may carry.
    pub rated: Force,
}

/// One state of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct StateAnswer {
    /// What it is called.
    pub name: String,
    /// Mass then; on stands, what they leave to the pads.
    pub mass: Measured<Mass>,
    /// Its centre of gravity then.
    pub cg: Point<Frame>,
    /// On stands: the vehicle itself.
    pub whole: Option<Whole>,
    /// How far it may be off, along aft, left, up.
    pub cg_tolerance: [Length; 3],
    /// Standard uncertainty of the same (GUM), along aft, left, up.
    pub cg_uncertainty: [Length; 3],
    /// Least assured edge distance.
    pub assured_edge: Length,
    /// The four edges of the support polygon.
    pub edges: Vec<EdgeAnswer>,
    /// Horizontal acceleration in g that starts to tip it.
    pub tip_ratio: Option<f64>,
    /// Share of the front pads.
    pub front_share: f64,
    /// Load estimates, in the order of the vehicle's corners.
    pub loads: [Force; 4],
    /// Least reserve of the state's own binding checks.
    pub worst_reserve: f64,
}

/// The whole vehicle, where stands carry a part of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole {
    /// Its mass.
    pub mass: Mass,
    /// Its centre of gravity.
    pub cg: Point<Frame>,
}

/// One edge of the support polygon.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeAnswer {
    /// Pad at its beginning.
    pub from: Corner,
    /// Pad at its end.
    pub to: Corner,
    /// Signed distance of the CG, positive inside.
    pub distance: Length,
    /// Its least value within all tolerances.
    pub assured: Length,
}

/// What a figure is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Length, in metres.
    Metre,
    /// Angle, in radians.
    Radian,
    /// Force, in newtons.
    Newton,
    /// Mass, in kilograms.
    Kilogram,
    /// A ratio.
    Ratio,
    /// A push or pull, in newtons.
    Push,
    /// Acceleration, in those of gravity.
    Gravity,
    /// Force per shortening, in newtons per metre.
    NewtonPerMetre,
}

/// Which way the limit lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// The demand must be at least the limit.
    AtLeast,
    /// The demand may be at most the limit.
    AtMost,
}

/// One check of the setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// Which check, of what.
    pub what: crate::checks::What,
    /// Index of the state, `None` = the same in all.
    pub state: Option<usize>,
    /// What is.
    pub demand: f64,
    /// What must or may be.
    pub limit: f64,
    /// SI unit of both.
    pub unit: Unit,
    /// Which way the limit lies.
    pub sense: Sense,
    /// How far inside: 0 = just meets it, negative = fails; at most 9.
    pub reserve: f64,
    /// Whether failing it refuses the raise; otherwise it is a condition.
    pub binding: bool,
    /// Whether the setup can change it, so that the search steers by it.
    pub steers: bool,
    /// Where the limit comes from.
    pub source: &'static str,
    /// Of a setup as placed, where it fails: what a person at the vehicle could move to mend it.
    pub mend: Option<Move>,
    /// Of a refused plan, where a check fails that the setup can change: why.
    pub why: Option<Why>,
}

/// Why the setup that comes nearest fails a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// No setup meets checks of this kind, whatever else it fails.
    NoSetup {
        /// One would with the wheel at another place than the plate's.
        elsewhere: bool,
    },
    /// Some setup meets it, but none meets it together with the others.
    Together,
    /// Some setup meets it; this one gives way on it to come nearer in what no setup meets.
    GivesWay,
}

/// A move of what stands on the floor, in the vehicle's own directions.
#[derive(Clone, Debug, PartialEq)]
pub enum Move {
    /// One pad.
    Pad {
        /// Which.
        corner: Corner,
        /// Towards the rear.
        aft: Length,
        /// Towards the left.
        left: Length,
    },
    /// Both pads of one end.
    Pair {
        /// The front pads, else the rear.
        front: bool,
        /// Towards the rear.
        aft: Length,
    },
    /// The vehicle, the pads staying at their places on it.
    Vehicle {
        /// The way its front points.
        forwards: Length,
    },
    /// The vehicle centred and square, at its spot.
    Square,
    /// Pad heights and adapters.
    Heights(Heights),
}

/// A sentence to say, as data; the words are put elsewhere, in the reader's units.
#[derive(Clone, Debug, PartialEq)]
pub enum Remark {
    /// A check that fails (index into `checks`).
    Fails(usize),
    /// A pad that statics allow to carry more than its rating if the pads touch unevenly.
    UnevenSeat {
        /// The pad.
        corner: Corner,
        /// What it might carry.
        greatest: Force,
        /// What it may carry.
        rated: Force,
    },
    /// A pad that a shake does not prove: it may carry nothing and the body will not rock.
    ShakeProvesNothing {
        /// The pad.
        corner: Corner,
        /// Push at which the body would rock onto it, at its greatest; `None` = none is known to rock it.
        rock_push: Option<Force>,
        /// What a person gives.
        person: Force,
        /// Whether the vehicle may fall without it, in some state of the job: then the check by hand is a condition.
        may_fall: bool,
    },
    /// The heavier end stands on the longer arms.
    HeavyEndOnLongArms,
    /// Within its tolerance the wheelbase belongs to another band of the plate as well.
    NearBandEnd {
        /// That band's mark.
        other: String,
    },
    /// Something that no one measured and that no guess can stand for.
    NotMeasured(Unknown),
    /// Lifting areas (their names) that are written as no usual vehicle has them.
    OddAreas(Vec<String>),
    /// No plate band holds this wheelbase.
    NoBand,
    /// It stands backwards, and the lift takes vehicles forwards only.
    Backwards,
    /// The tyres are not clear of the floor at the highest lock.
    NoLockClears,
    /// The steps must be done in the order that the plan names.
    InThisOrder,
    /// The job ends with these parts off: it comes down without them.
    EndsWithout(Vec<String>),
    /// Stands must be set as the plan says.
    Stands,
    /// A stand steadies, it replaces no pad.
    StandSteadies,
    /// Somebody who cannot work, or should not, as a task asks.
    Posture {
        /// Index among the tasks of `Plan::height`.
        task: usize,
        /// Index among the people of that task.
        person: usize,
        /// What is wrong.
        strain: Strain,
    },
    /// A force of a task, withstood though it is, may lift a pad empty (load estimate).
    Unloads {
        /// Indices of task and force.
        of: (usize, usize),
        /// Index of the state.
        state: usize,
        /// The pad.
        corner: Corner,
        /// The force at which it carries nothing.
        at: Force,
        /// The force at its greatest.
        needed: Force,
    },
}

/// Something that was not known.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumption {
    /// What.
    pub what: String,
    /// Of what kind.
    pub kind: Kind,
    /// The value used.
    pub value: f64,
    /// SI unit.
    pub unit: Unit,
    /// Least that it may be.
    pub least: f64,
    /// Greatest that it may be.
    pub greatest: f64,
    /// Where the value and range come from.
    pub source: Cow<'static, str>,
}

/// Kinds of assumptions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// A value.
    Value,
    /// How far a stated value may be off, at most.
    Tolerance,
    /// A stated value of which nothing counts how far it is said to be off.
    NotCounted,
    /// A value that holds at this reach of an arm.
    AtReach(Length),
    /// A limit that the shop made looser than its default.
    LooserLimit(Name),
}

/// What another spot would give.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// Where the vehicle would stand.
    pub placement: Placement,
    /// Its least reserve.
    pub worst_reserve: f64,
    /// The check that holds it.
    pub worst: Check,
}

/// What a change passes with alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Besides {
    /// Names of the states that the steps make in another order than the given one.
    pub order: Option<Vec<String>>,
    /// Whether the stands at hand are set.
    pub stands: bool,
}

/// A single change that would pass.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Set it anew, standing there; of a setup as placed.
    SetAnew(Placement, Besides),
    /// Shut what the job opens above the roof.
    Shut(Besides),
    /// Take a load out (its name).
    LoadOut(String),
    /// Leave a part on.
    LeaveOn {
        /// Its name.
        part: String,
        /// Names of the tasks that are done only while it is off, or just on again: they are not done then.
        not_done: Vec<String>,
        /// What it passes with alone.
        besides: Besides,
    },
    /// Another adapter in the kit, of this height.
    Adapter(Length),
    /// Arms that reach farther out, by this much.
    LongerArms(Length),
    /// Arms that go farther in, by this much.
    ShorterArms(Length),
    /// The maker's word on another mark: this spot would pass.
    AnotherSpot(Length),
    /// A lift otherwise like this one.
    StrongerLift {
        /// Its rated load, at the least.
        rated: Mass,
        /// What each of its arms is then rated for, in the order of the corners; `None` = its file gives none.
        arms: [Option<Force>; 4],
    },
    /// Supporting stands, as none is at hand, or none that would do.
    Stands(Standing),
}
