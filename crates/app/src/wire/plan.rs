//! `plan --json`, contract `standfast/plan/1`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::plan_work::{Losses, WorkingForce};

/// The contract's name and version.
pub(crate) const CONTRACT: &str = "standfast/plan/1";

/// A checked setup for one raise, SI. null = does not apply.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Answer {
    /// "standfast/plan/1".
    pub(crate) contract: &'static str,
    /// May it be raised.
    pub(crate) verdict: Verdict,
    /// When it must not be raised: why, in one sentence for a learner: in which state what happens, and by how much; else
    /// null. All reasons are in `refusals`.
    pub(crate) why_not: Option<String>,
    /// Whether the setup was searched for or measured on the floor.
    pub(crate) origin: Origin,
    /// Name of the lift.
    pub(crate) lift: String,
    /// Name of the vehicle.
    pub(crate) vehicle: String,
    /// Name of the job; null if it is only raised and lowered.
    pub(crate) job: Option<String>,
    /// Front axle ahead of the column line.
    pub(crate) spot_m: f64,
    /// Centre plane left of the bay's centre line, at the front axle.
    pub(crate) offset_m: f64,
    /// Turn out of square, anticlockwise seen from above.
    pub(crate) yaw_rad: f64,
    /// Which way round it stands.
    pub(crate) driven_in: DrivenIn,
    /// Name of the plate's mark for this wheelbase; null without a plate.
    pub(crate) mark: Option<String>,
    /// Where that mark puts the front axle, ahead of the column line; null without a plate.
    pub(crate) mark_spot_m: Option<f64>,
    /// The four pads, by the vehicle's corners.
    pub(crate) pads: Vec<Pad>,
    /// The states of the job, the first as it is raised.
    pub(crate) states: Vec<State>,
    /// Every check that was made.
    pub(crate) checks: Vec<Check>,
    /// Conditions under which it may be raised.
    pub(crate) conditions: Vec<String>,
    /// Reasons why it must not be raised.
    pub(crate) refusals: Vec<String>,
    /// What to look and feel for, pass or not.
    pub(crate) watch: Vec<String>,
    /// What was not known, and what was assumed for it.
    pub(crate) assumptions: Vec<Assumption>,
    /// What is withstood of each force of the job's tasks; empty without tasks.
    pub(crate) working_forces: Vec<WorkingForce>,
    /// What is left when one pad or one arm's lock fails.
    pub(crate) losses: Losses,
    /// The limits that the shop set itself; empty without a file of limits.
    pub(crate) limits: Vec<Limit>,
    /// The height to work at.
    pub(crate) height: Height,
    /// Pad rise from fully down at which every tyre is clear of the floor.
    pub(crate) test_raise_pad_rise_m: f64,
    /// Least reserve of the binding checks that the setup can change.
    pub(crate) worst_reserve: f64,
    /// The check that holds it.
    pub(crate) worst_check: String,
    /// When the plate decides where the wheel stands: the best that geometry alone would allow; else null.
    pub(crate) without_plate: Option<WithoutPlate>,
    /// When it must not be raised: the smallest single change that would pass; null if none is known or
    /// needed.
    pub(crate) change: Option<String>,
    /// When it must not be raised: the other lift files beside the lift's on which it may be; null if none
    /// was asked.
    pub(crate) other_bays: Option<Vec<OtherBay>>,
    /// The chance that each check of weight, loads or edges fails; null unless `--chance` asked for it and it can
    /// be told.
    pub(crate) chance: Option<Vec<Chance>>,
    /// Why no chance is told although `--chance` asked for it: the setup does not stand; else null.
    pub(crate) no_chance: Option<String>,
    /// The measurements that would raise the least reserve most, greatest gain first; none whose gain does not show in
    /// whole per cent of it (tenths below 10 %).
    pub(crate) measure_next: Vec<MeasureNext>,
    /// When the given order of the steps fails: the best one beside it; else null.
    pub(crate) order: Option<Order>,
    /// When no order passes and stands are at hand: what they can do; else null.
    pub(crate) stands: Option<Stands>,
}

/// How often one check failed among samples of everything that is not exactly known.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Chance {
    /// The check's id.
    pub(crate) check: String,
    /// Name of the state.
    pub(crate) state: Option<String>,
    /// The chance of failing; 0 where no sample failed, which means less than about 1 / `samples`.
    pub(crate) chance: f64,
    /// Standard error of `chance`, over 16 independent shifts of the samples; 0 says nothing where none or all failed.
    pub(crate) numerical_error: f64,
    /// How many samples failed.
    pub(crate) failed: u64,
    /// Of so many.
    pub(crate) samples: u64,
}

/// A measurement and what it would win, if it confirms the present value.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct MeasureNext {
    /// What to measure, with what.
    pub(crate) what: String,
    /// `reserve_after` less `reserve_before`.
    pub(crate) gain: f64,
    /// Least reserve now.
    pub(crate) reserve_before: f64,
    /// At least so much is left once it is measured: a setup that was planned is set anew from nearby only.
    pub(crate) reserve_after: f64,
}

/// The best order of the steps. They change places only within runs of parts off and runs of parts on.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Order {
    /// The states in the order that the job gives.
    pub(crate) given: Vec<String>,
    /// The states in the best order at the setup.
    pub(crate) best: Vec<String>,
    /// Least reserve over the states of the given order, at the best setup for it; where `adopted`, that is not the setup of this
    /// answer.
    pub(crate) given_reserve: f64,
    /// Where `adopted`: the same of the given order at the setup of this answer, beside `best_reserve`; else null.
    pub(crate) given_reserve_here: Option<f64>,
    /// The same of the best order, at the best setup for that; where not `adopted`, that is not the setup of this answer unless the
    /// two orders are the same.
    pub(crate) best_reserve: f64,
    /// Above 16 steps in a run: no order at the best setup for `best` leaves more; null if `best` is the best of all there.
    pub(crate) reserve_bound: Option<f64>,
    /// Whether every state passes in the best order, and the plan is made for it.
    pub(crate) adopted: bool,
}

/// What supporting stands can do.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Stands {
    /// Whether they make it pass.
    pub(crate) serve: bool,
    /// Why they do not; null if they do.
    pub(crate) why_not: Option<String>,
    /// Number of the lock at which they stand, from the lowest; null if they do not serve.
    pub(crate) lock: Option<usize>,
    /// Where each stands; empty if they do not serve.
    pub(crate) places: Vec<StandAt>,
    /// What each is set to at the least, so that every state keeps half of what `load_n` leaves, whatever its load has
    /// changed to of itself.
    pub(crate) load_least_n: Option<f64>,
    /// The same at the most.
    pub(crate) load_greatest_n: Option<f64>,
    /// The most that one may come to carry later, set to the most and changed of itself.
    pub(crate) load_reaches_n: Option<f64>,
    /// The load to aim at.
    pub(crate) load_n: Option<f64>,
    /// What each may carry by its plate.
    pub(crate) rated_n: Option<f64>,
    /// State in which they are set.
    pub(crate) set_in: Option<String>,
    /// State in which they are taken away.
    pub(crate) taken_away_in: Option<String>,
    /// What each must and may carry in every state from the one to the other.
    pub(crate) by_state: Vec<StandLoad>,
    /// States in which they carry: nobody goes under the vehicle, and the lift is not moved.
    pub(crate) nobody_under_in: Vec<String>,
    /// Whether without them the vehicle could tip; null if they do not serve.
    pub(crate) tips_without: Option<bool>,
}

/// One stand.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct StandAt {
    /// Name of its place on the vehicle.
    pub(crate) name: String,
    /// Behind the front axle.
    pub(crate) aft_m: f64,
    /// Left of the centre plane.
    pub(crate) left_m: f64,
    /// Floor to head, at the lock to work at.
    pub(crate) height_m: f64,
}

/// What each stand must and may carry in one state.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct StandLoad {
    /// Name of the state.
    pub(crate) state: String,
    /// At the least.
    pub(crate) load_least_n: f64,
    /// At the most.
    pub(crate) load_greatest_n: f64,
    /// How the load on each place's stand has changed of itself since it was set: at the least.
    pub(crate) change_least_n: Vec<f64>,
    /// The same at the most.
    pub(crate) change_greatest_n: Vec<f64>,
    /// The loads that leave least of those that they may then have, one a place: with them the states between setting and
    /// taking away are computed.
    pub(crate) checked_n: Vec<f64>,
}

/// Where a setup comes from.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Origin {
    /// Searched for.
    Planned,
    /// Measured on the floor and only checked.
    AsPlaced,
}

/// What geometry alone would allow.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct WithoutPlate {
    /// Front axle ahead of the column line.
    pub(crate) spot_m: f64,
    /// Which way round it would stand.
    pub(crate) driven_in: DrivenIn,
    /// Least reserve of the binding checks that the setup can change.
    pub(crate) worst_reserve: f64,
    /// The check that would hold it.
    pub(crate) worst_check: String,
}

/// Another lift on which it may be raised.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct OtherBay {
    /// Name of the lift; with its file where another lift has the same name.
    pub(crate) lift: String,
    /// May it be raised there, or only under conditions.
    pub(crate) verdict: Verdict,
}

/// May it be raised.
#[derive(Clone, Copy, Debug, Deserialize, Eq, JsonSchema, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Verdict {
    /// Yes.
    Raise,
    /// Under the conditions listed.
    RaiseWithConditions,
    /// No.
    DoNotRaise,
}

impl Verdict {
    /// As it is written.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Raise => "raise",
            Self::RaiseWithConditions => "raise-with-conditions",
            Self::DoNotRaise => "do-not-raise",
        }
    }
}

/// Which way round.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum DrivenIn {
    /// Its front the way the bay faces.
    Forwards,
    /// Its front the other way.
    Backwards,
}

impl DrivenIn {
    /// As it is written.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Forwards => "forwards",
            Self::Backwards => "backwards",
        }
    }
}

/// One pad.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Pad {
    /// The vehicle's corner: "front-left" and so on.
    pub(crate) corner: &'static str,
    /// The arm that serves it, by the bay's corners.
    pub(crate) arm: &'static str,
    /// Name of the lifting area.
    pub(crate) area: Option<String>,
    /// Pad centre behind the front axle.
    pub(crate) aft_m: f64,
    /// Pad centre left of the vehicle's centre plane.
    pub(crate) left_m: f64,
    /// Pad centre ahead of the column line.
    pub(crate) bay_x_m: f64,
    /// Pad centre left of the bay's centre line.
    pub(crate) bay_y_m: f64,
    /// Pivot to pad centre.
    pub(crate) reach_m: f64,
    /// Direction from pivot to pad, bay axes, anticlockwise from X ahead, in (-pi, pi].
    pub(crate) swing_rad: f64,
    /// Number of the restraint's tooth; null without teeth.
    pub(crate) tooth: Option<u32>,
    /// Top of the pad above the floor, lift fully down.
    pub(crate) pad_height_m: f64,
    /// Adapters under it, lowest first.
    pub(crate) adapters_m: Vec<f64>,
    /// Least load that statics allow.
    pub(crate) load_least_n: f64,
    /// Greatest load that statics allow.
    pub(crate) load_greatest_n: f64,
    /// Load estimate, first state.
    pub(crate) load_estimate_n: f64,
    /// Greatest load estimate within all tolerances, over all states.
    pub(crate) load_assured_n: f64,
    /// What it may carry.
    pub(crate) rated_n: f64,
}

/// One state of the job.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct State {
    /// What it is called.
    pub(crate) name: String,
    /// Mass then; on stands, what they leave to the pads.
    pub(crate) mass_kg: f64,
    /// How far it may be off.
    pub(crate) mass_tolerance_kg: f64,
    /// Centre of gravity of that mass behind the front axle.
    pub(crate) cg_aft_m: f64,
    /// Left of the centre plane.
    pub(crate) cg_left_m: f64,
    /// Above the ground at ride height.
    pub(crate) cg_up_m: f64,
    /// On stands: the vehicle itself; else null.
    pub(crate) whole: Option<Whole>,
    /// How far it may be off along aft, left, up.
    pub(crate) cg_tolerance_m: [f64; 3],
    /// Standard uncertainty of the same (JCGM 100): tolerances read as uniform, priors with their published standard
    /// deviation.
    pub(crate) cg_uncertainty_m: [f64; 3],
    /// Least assured edge distance.
    pub(crate) assured_edge_distance_m: f64,
    /// Horizontal acceleration in g that starts to tip it.
    pub(crate) tip_ratio: Option<f64>,
    /// Share of the front pads.
    pub(crate) front_share: f64,
    /// Load estimates, by the vehicle's corners in the order of `pads`.
    pub(crate) loads_n: Vec<f64>,
    /// Least reserve of the state's own binding checks.
    pub(crate) worst_reserve: f64,
}

/// The whole vehicle, where stands carry a part of it.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Whole {
    /// Its mass.
    pub(crate) mass_kg: f64,
    /// Its centre of gravity behind the front axle.
    pub(crate) cg_aft_m: f64,
    /// Left of the centre plane.
    pub(crate) cg_left_m: f64,
    /// Above the ground at ride height.
    pub(crate) cg_up_m: f64,
}

/// One check.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Check {
    /// Stable name: kind, then the thing after a colon.
    pub(crate) id: String,
    /// Name of the state; null if the same in all.
    pub(crate) state: Option<String>,
    /// What is checked, in words.
    pub(crate) what: String,
    /// What is.
    pub(crate) demand: f64,
    /// What must or may be.
    pub(crate) limit: f64,
    /// SI unit of both.
    pub(crate) unit: &'static str,
    /// Whether `demand` must be at least or may be at most `limit`.
    pub(crate) sense: Sense,
    /// How far inside: 0 just meets it, negative fails, at most 9.
    pub(crate) reserve: f64,
    /// Whether failing it refuses the raise.
    pub(crate) binding: bool,
    /// Whether the setup can change it.
    pub(crate) steers: bool,
    /// Where the limit comes from.
    pub(crate) source: String,
    /// Of a refused plan, where a check fails that the setup can change: why; else null.
    pub(crate) why: Option<Why>,
}

/// Why the setup that comes nearest fails a check.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Why {
    /// No setup meets checks of this kind, whatever else it fails.
    NoSetup,
    /// As no-setup, but one would with the wheel at another place than the plate's.
    NotAtThePlate,
    /// Some setup meets it, but none meets it together with the others.
    Together,
    /// Some setup meets it; this one gives way on it to come nearer in what no setup meets. No reason to refuse.
    GivesWay,
}

/// Which way a limit lies.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Sense {
    /// At least the limit.
    AtLeast,
    /// At most the limit.
    AtMost,
}

/// Something that was not known.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Assumption {
    /// What.
    pub(crate) what: String,
    /// The value used.
    pub(crate) value: f64,
    /// SI unit.
    pub(crate) unit: &'static str,
    /// Least that it may be.
    pub(crate) least: f64,
    /// Greatest that it may be.
    pub(crate) greatest: f64,
    /// Where the value and range come from.
    pub(crate) source: String,
}

/// A limit that the shop set itself.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Limit {
    /// Its key in the file of limits.
    pub(crate) name: String,
    /// What it limits.
    pub(crate) what: &'static str,
    /// The shop's value.
    pub(crate) value: f64,
    /// The value without the shop's file.
    pub(crate) default: f64,
    /// SI unit of both.
    pub(crate) unit: &'static str,
    /// Whether a setup may pass that the default would refuse; then it is among the assumptions too.
    pub(crate) looser: bool,
    /// Where the shop says that it comes from; null if it does not say.
    pub(crate) source: Option<String>,
}

/// The height to work at: the first task's, then every task's.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Height {
    /// Lock, counted from 1 at the lowest; null if the lift has none.
    pub(crate) lock: Option<usize>,
    /// Pad height there.
    pub(crate) pad_height_m: f64,
    /// The person it is chosen for, or all of them where it is a compromise; null if none was named.
    pub(crate) person: Option<String>,
    /// The task it is chosen for; null if none was named.
    pub(crate) task: Option<String>,
    /// Underside above the head of the tallest; negative = they stoop by so much; null if nobody stands under.
    pub(crate) head_room_m: Option<f64>,
    /// Room between roof and the lowest thing above it at that lock; null under open sky.
    pub(crate) roof_room_m: Option<f64>,
    /// Every task, in the job's order; one that is assumed where the job names none.
    pub(crate) tasks: Vec<TaskHeight>,
    /// Every state with its locks and who is there; empty where the job names no task.
    pub(crate) steps: Vec<StepHeight>,
}

/// Where the vehicle rests in one state of the job, and who works there.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct StepHeight {
    /// Name of the state.
    pub(crate) state: String,
    /// Whether stands carry a part of it: nobody goes under, and the lift is not moved.
    pub(crate) nobody_under: bool,
    /// What is done there, in the job's order; each at its lock.
    pub(crate) tasks: Vec<StepTask>,
}

/// One task in one state.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct StepTask {
    /// Name of the task.
    pub(crate) task: String,
    /// Lock, counted from 1 at the lowest; null if the lift has none.
    pub(crate) lock: Option<usize>,
    /// Who works at it.
    pub(crate) people: Vec<String>,
}

/// The height of one task.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct TaskHeight {
    /// Name of the task; null if the job names none and it is assumed.
    pub(crate) task: Option<String>,
    /// How people work at it.
    pub(crate) posture: super::job::Posture,
    /// Lock, counted from 1 at the lowest; null if the lift has none.
    pub(crate) lock: Option<usize>,
    /// The lock that would suit best, where roof, floor or stands forbid it; else null.
    pub(crate) forbidden_lock: Option<usize>,
    /// Pad height there.
    pub(crate) pad_height_m: f64,
    /// Room between roof and the lowest thing above it there; null under open sky.
    pub(crate) roof_room_m: Option<f64>,
    /// The work above the floor there: lowest underside between the wheels, or a hub as it hangs.
    pub(crate) work_height_m: f64,
    /// Whether somebody would have another lock, were they alone.
    pub(crate) compromise: bool,
    /// Whether the people are assumed, as the job names none.
    pub(crate) people_assumed: bool,
    /// How each works there.
    pub(crate) people: Vec<AtWork>,
}

/// How a person works at a height.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct AtWork {
    /// Their name.
    pub(crate) person: String,
    /// Barefoot height of the body as it was stated; how they work is told of the worst that it may be off.
    pub(crate) stature_m: f64,
    /// Height of the work that suits them best.
    pub(crate) ideal_m: f64,
    /// The lock they would have alone.
    pub(crate) alone_lock: Option<usize>,
    /// Underside above the head; negative = they stoop by so much; null at a wheel.
    pub(crate) head_room_m: Option<f64>,
    /// How far the head (standing under) or the shoulders (at a wheel) must come down.
    pub(crate) stoop_m: f64,
    /// What the hand is short of the work with the arm stretched.
    pub(crate) out_of_reach_m: f64,
    /// Upper arm forward of hanging.
    pub(crate) upper_arm_rad: f64,
    /// What that means for the arm.
    pub(crate) upper_arm_band: ArmBand,
    /// Where the bands come from.
    pub(crate) upper_arm_source: &'static str,
    /// Trunk forward of upright.
    pub(crate) trunk_rad: f64,
    /// What that means for the back: to 20 degrees good, to 60 conditional, above not.
    pub(crate) trunk_band: ArmBand,
    /// Where those bands come from.
    pub(crate) trunk_source: &'static str,
}

/// How far an upper arm is raised, or a trunk bent.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum ArmBand {
    /// To 20 degrees.
    Good,
    /// Above 20, to 60 degrees.
    Conditional,
    /// Above 60 degrees.
    Not,
}
