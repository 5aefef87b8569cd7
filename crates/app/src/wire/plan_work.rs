//! Working forces and losses within `plan --json`.

use schemars::JsonSchema;
use serde::Serialize;

/// What is withstood of one force of one task.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct WorkingForce {
    /// Id of its check.
    pub(crate) check: String,
    /// Name of the task.
    pub(crate) task: String,
    /// Name of the force.
    pub(crate) force: String,
    /// The force at its greatest.
    pub(crate) needed_n: f64,
    /// Where that comes from.
    pub(crate) source: &'static str,
    /// The state that withstands least.
    pub(crate) state: String,
    /// Each state in which the task may be done.
    pub(crate) states: Vec<StateForce>,
    /// In the state that withstands least, where to pull instead; null if nothing is much better or the force cannot be turned.
    pub(crate) instead: Option<Instead>,
}

/// What is withstood in one state, in the worst of the force's directions.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct StateForce {
    /// Name of the state.
    pub(crate) state: String,
    /// That direction: aft, left, up.
    pub(crate) direction: [f64; 3],
    /// Where it acts, the hand at the worst end of a bar: aft, left, up.
    pub(crate) at_m: [f64; 3],
    /// The largest that is withstood within the tolerances of mass and centre of gravity; null = no end to it.
    pub(crate) withstands_n: Option<f64>,
    /// What ends it.
    pub(crate) limited_by: Option<LimitedBy>,
    /// Where sliding ends it: the pads that slide; else empty.
    pub(crate) slides: Vec<&'static str>,
    /// The first pad that may carry nothing under it; null = none does before something else ends it.
    pub(crate) unloads: Option<&'static str>,
    /// The force at that moment.
    pub(crate) first_unloads_n: Option<f64>,
    /// Least force-angle measure with the force at its greatest; negative = it tips.
    pub(crate) force_angle_rad: Option<f64>,
}

/// A direction that is withstood better.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Instead {
    /// Aft, left, up.
    pub(crate) direction: [f64; 3],
    /// What is withstood of it; null = no end to it.
    pub(crate) withstands_n: Option<f64>,
}

/// What ends a growing force.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum LimitedBy {
    /// The vehicle turns over an edge.
    Tipping,
    /// A pad slides, or an arm swings.
    Sliding,
    /// A pad reaches its rating.
    Rating,
}

/// What is left when one thing fails.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Losses {
    /// One pad that carries nothing; empty if the pads are on one line.
    pub(crate) pads: Vec<PadLoss>,
    /// The lock of one arm that is not engaged.
    pub(crate) locks: Vec<LockLoss>,
}

/// One pad that carries nothing, in the state in which that is worst.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct PadLoss {
    /// The vehicle's corner.
    pub(crate) corner: &'static str,
    /// Whether the vehicle stays on the other three within all tolerances.
    pub(crate) outcome: Outcome,
    /// That state.
    pub(crate) state: Option<String>,
    /// Centre of gravity from the diagonal of the two pads beside it, positive away from this one.
    pub(crate) from_diagonal_m: f64,
    /// The other pad that is then nearest to its rating; null if three do not carry it.
    pub(crate) hardest: Option<&'static str>,
    /// What that one carries.
    pub(crate) hardest_load_n: Option<f64>,
    /// What it may carry.
    pub(crate) hardest_rated_n: Option<f64>,
    /// As raised: push at the height of the shake, towards this pad and square to the line between the two beside it, that
    /// rocks the vehicle onto it, the most that it may take within all tolerances; 0 = it leans on it anyway; null = no push
    /// is known to.
    pub(crate) rock_push_n: Option<f64>,
    /// Whether a shake cannot show that it carries nothing: it must be checked by hand.
    pub(crate) silent: bool,
    /// Without it as raised: what the test raise would show.
    pub(crate) as_raised: AsRaised,
}

/// One pad that carries nothing, as raised.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct AsRaised {
    /// Whether the vehicle stays on the other three within all tolerances.
    pub(crate) outcome: Outcome,
    /// Centre of gravity from the diagonal of the two pads beside it, positive away from this one.
    pub(crate) from_diagonal_m: f64,
}

/// How it stands on the other three.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Outcome {
    /// It stays.
    Stable,
    /// It falls towards the lost pad.
    Tips,
    /// That depends on what is within the tolerances.
    Undecided,
}

/// One arm that may swing.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct LockLoss {
    /// The vehicle's corner that the arm serves.
    pub(crate) corner: &'static str,
    /// What is left of each force.
    pub(crate) left: Vec<ForceLeft>,
}

/// What is left of a force, in its worst state and direction.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct ForceLeft {
    /// Name of the task; null = a person's push at the height of the shake.
    pub(crate) task: Option<String>,
    /// Name of the force; null as above.
    pub(crate) force: Option<String>,
    /// What must be withstood.
    pub(crate) needed_n: f64,
    /// What is withstood with every lock engaged; null = no end to it.
    pub(crate) engaged_n: Option<f64>,
    /// What is withstood without this one; null = no end to it.
    pub(crate) withstands_n: Option<f64>,
    /// What then ends it; null where what is needed is withstood.
    pub(crate) limited_by: Option<LimitedBy>,
    /// The state.
    pub(crate) state: Option<String>,
}
