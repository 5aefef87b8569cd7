//! `solve`: any support set in, loads and stability out. Contract `standfast/solve/1`.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::At;

/// The contract's name and version.
pub(crate) const CONTRACT: &str = "standfast/solve/1";

/// A body on one-sided contacts, SI. Axes: X ahead, Y left, Z up; weight acts along -Z.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Question {
    /// "standfast/solve/1".
    pub(crate) contract: At<String>,
    /// Mass of the body.
    pub(crate) mass_kg: At<f64>,
    /// How far the mass may be off, either way.
    pub(crate) mass_tolerance_kg: Option<At<f64>>,
    /// Centre of gravity.
    pub(crate) cg_m: At<[f64; 3]>,
    /// How far the centre of gravity may be off along X, Y, Z.
    pub(crate) cg_tolerance_m: Option<At<[f64; 3]>>,
    /// How far the plane of the contacts may be out of level, in any direction.
    pub(crate) tilt_tolerance_rad: Option<At<f64>>,
    /// At least three contacts.
    pub(crate) contacts: At<Vec<At<Contact>>>,
    /// Forces of people and tools, each looked at alone.
    #[serde(default)]
    pub(crate) forces: Vec<At<Force>>,
}

/// A contact that pushes the body up and never pulls it down.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Contact {
    /// Its name; no two alike.
    pub(crate) name: At<String>,
    /// Where it touches.
    pub(crate) at_m: At<[f64; 3]>,
    /// Radius of the disc in plan within which it really is; 0 if left out.
    pub(crate) place_tolerance_m: Option<At<f64>>,
    /// Force per shortening; more than 0.
    pub(crate) stiffness_n_per_m: At<f64>,
    /// How far the unloaded body stands above it; 0 if left out.
    pub(crate) gap_m: Option<At<f64>>,
    /// Coefficient of friction.
    pub(crate) friction: At<f64>,
    /// The most that it may carry; null if nothing limits it.
    pub(crate) rated_n: Option<At<f64>>,
    /// Horizontal directions in which it resists; every direction if left out.
    pub(crate) resists: Option<At<Resists>>,
}

/// Horizontal directions in which a contact resists.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Resists {
    /// Every direction, within friction.
    EveryDirection,
    /// Only along this line, within friction: an arm free to swing.
    OnlyAlong([f64; 2]),
    /// By shape along this line, within friction across it: a positive seat.
    Blocks([f64; 2]),
}

/// A force at a point.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Force {
    /// Its name.
    pub(crate) name: At<String>,
    /// Where it acts.
    pub(crate) at_m: At<[f64; 3]>,
    /// Along which it acts; any length but zero.
    pub(crate) direction: At<[f64; 3]>,
}

/// The answer. null = does not apply.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Answer {
    /// "standfast/solve/1".
    pub(crate) contract: &'static str,
    /// Stable: inside every edge within all tolerances. Tips: outside an edge as given. Undecided: between.
    pub(crate) outcome: Outcome,
    /// The contacts, in the given order.
    pub(crate) contacts: Vec<ContactAnswer>,
    /// Edges of the convex hull of the contacts, anticlockwise seen from above.
    pub(crate) edges: Vec<Edge>,
    /// Least assured edge distance.
    pub(crate) assured_edge_distance_m: f64,
    /// Horizontal acceleration in g that starts to tip it; null if its centre is not above the contacts.
    pub(crate) tip_ratio: Option<f64>,
    /// The forces, in the given order.
    pub(crate) forces: Vec<ForceAnswer>,
    /// Largest missing force of any balance in this answer, from the original input.
    pub(crate) residual_n: f64,
    /// Largest missing moment of any balance in this answer, from the original input.
    pub(crate) residual_nm: f64,
}

/// How a body stands.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Outcome {
    /// Inside every edge, whatever the tolerances do.
    Stable,
    /// Outside an edge even as given.
    Tips,
    /// Between the two.
    Undecided,
}

/// What one contact carries. All loads are null when no equilibrium exists.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct ContactAnswer {
    /// Its name.
    pub(crate) name: String,
    /// Least load that statics allow.
    pub(crate) load_least_n: Option<f64>,
    /// Greatest load that statics allow.
    pub(crate) load_greatest_n: Option<f64>,
    /// Load of a rigid body on one-sided springs, gaps as given.
    pub(crate) load_estimate_n: Option<f64>,
    /// Smallest additional gap at which it carries nothing; null if it never carries, or always does.
    pub(crate) seat_gap_m: Option<f64>,
    /// The body with this contact taken away.
    pub(crate) without_it: WithoutIt,
}

/// The body with one contact taken away.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct WithoutIt {
    /// Whether the rest holds it.
    pub(crate) outcome: Without,
    /// What the others carry then, by name; null if it tips.
    pub(crate) loads_n: Option<BTreeMap<String, f64>>,
}

/// Whether the rest holds the body.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Without {
    /// It does.
    Stable,
    /// It does not.
    Tips,
}

/// One edge of the support polygon.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct Edge {
    /// Contact at its beginning.
    pub(crate) from: String,
    /// Contact at its end.
    pub(crate) to: String,
    /// Signed distance of the centre of gravity in plan, positive inside.
    pub(crate) distance_m: f64,
    /// Its least value within all tolerances.
    pub(crate) assured_distance_m: f64,
}

/// What one force does.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct ForceAnswer {
    /// Its name.
    pub(crate) name: String,
    /// Smallest size at which a contact that carried carries nothing; null if none does.
    pub(crate) first_unloads_n: Option<f64>,
    /// That contact.
    pub(crate) unloads: Option<String>,
    /// Largest size that the contacts withstand; null if there is no end to it.
    pub(crate) withstands_n: Option<f64>,
    /// What ends it; null if nothing does.
    pub(crate) limited_by: Option<LimitedBy>,
    /// Where sliding ends it: the contacts that slide, by name; else empty.
    pub(crate) slides: Vec<String>,
}

/// What ends a growing force.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum LimitedBy {
    /// The body tips.
    Tipping,
    /// The body slides.
    Sliding,
    /// A contact reaches what it may carry.
    Rating,
}
