//! A job file, `job/1`.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use statics::{Angle, Force, Length, Mass};

use super::vehicle::Part;
use crate::input::{At, Text};

/// What is to be done to a vehicle on the lift.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Job {
    /// What this file is and its version: "job/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// True while the file still holds the values that `standfast new` wrote: no plan is made from them.
    pub(crate) example_values: Option<At<bool>>,
    /// What the shop calls the job.
    pub(crate) name: At<String>,
    /// What it shows a learner, if it is demonstration data.
    #[schemars(length(max = 300))]
    pub(crate) teaches: Option<String>,
    /// Highest point above the ground with what the job opens (hatch, bonnet), if above the roof.
    pub(crate) opened_height: Option<Text<Length>>,
    /// Loads in the vehicle through the whole job.
    #[serde(default)]
    pub(crate) loads: Vec<At<Part>>,
    /// Parts that the job handles and the vehicle file does not list.
    #[serde(default)]
    pub(crate) parts: Vec<At<Part>>,
    /// Parts off and on, in order.
    #[serde(default)]
    pub(crate) steps: Vec<At<Step>>,
    /// Doors that must open beside the columns.
    #[serde(default)]
    pub(crate) doors: Vec<At<DoorWish>>,
    /// What is done to the raised vehicle.
    #[serde(default)]
    pub(crate) tasks: Vec<At<Task>>,
    /// Who works at it.
    #[serde(default)]
    pub(crate) people: Vec<At<Person>>,
    /// Supporting stands that are at hand, all alike.
    pub(crate) stands: Option<At<Stands>>,
}

/// One step: either `off` or `on`, with the name of a part of the vehicle or of this job.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Step {
    /// Name of the part that comes off.
    pub(crate) off: Option<At<String>>,
    /// Name of the part that goes on.
    pub(crate) on: Option<At<String>>,
}

/// A door that must open.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct DoorWish {
    /// The vehicle's name of the door; without left or right it means both.
    pub(crate) door: At<String>,
    /// How wide it must open.
    pub(crate) opens: Text<Angle>,
}

/// Something done to the raised vehicle.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Task {
    /// What it is called.
    pub(crate) name: At<String>,
    /// How the person stands or sits to it.
    pub(crate) posture: Posture,
    /// The states in which it is done: "as raised", or a step as in "rear axle off"; left out = at any time.
    #[serde(default)]
    #[schemars(inner(length(max = 64)))]
    pub(crate) during: Vec<At<String>>,
    /// The forces that it needs.
    #[serde(default)]
    pub(crate) forces: Vec<At<WorkForce>>,
}

/// How a person works.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, Serialize)]
pub(crate) enum Posture {
    /// Standing under the vehicle, hands overhead.
    #[serde(rename = "standing under")]
    StandingUnder,
    /// Standing at a wheel.
    #[serde(rename = "standing at a wheel")]
    StandingAtWheel,
    /// Seated at a wheel.
    #[serde(rename = "seated at a wheel")]
    SeatedAtWheel,
}

/// A force on the vehicle: a common one by its name, or one of its own with size and direction.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct WorkForce {
    /// What it is called; left out, the name of the common force.
    pub(crate) name: Option<At<String>>,
    /// A common force: "wheel nut", "pry bar", "press up", "pull of one person" or "pull of two people".
    pub(crate) common: Option<At<String>>,
    /// Where it bears on the vehicle, as [behind the front axle, left of centre, above the ground], at ride height;
    /// what it may be off by counts at its worst.
    pub(crate) at: [Text<Length>; 3],
    /// The bar from there to the hand, which may lie any way square to the pull, a wheel nut's in the plane of the wheel;
    /// left out, that of the common force; "0 m" = the hand is there.
    pub(crate) bar: Option<Text<Length>>,
    /// How large it is; left out, that of the common force.
    pub(crate) size: Option<Text<Force>>,
    /// Its direction, as parts [aft, left, up]; left out, those of the common force.
    pub(crate) direction: Option<At<[f64; 3]>>,
}

/// Somebody who works at the vehicle: a stature, or a percentile of women or men.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Person {
    /// What they are called on the sheet.
    pub(crate) name: At<String>,
    /// Height of the body, barefoot; what it may be off by counts at its worst.
    pub(crate) stature: Option<Text<Length>>,
    /// In place of the stature: how many in a hundred are no taller, 1 to 99.
    pub(crate) percentile: Option<At<f64>>,
    /// Of whom.
    pub(crate) of: Option<Group>,
}

/// Whose body sizes.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Group {
    /// Women.
    Women,
    /// Men.
    Men,
}

/// Supporting stands, all alike.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Stands {
    /// How many.
    #[schemars(range(min = 1, max = 100))]
    pub(crate) count: At<u8>,
    /// What one may carry.
    pub(crate) rated: Text<Mass>,
    /// Floor to head, screwed in.
    pub(crate) lowest: Text<Length>,
    /// Floor to head, screwed out.
    pub(crate) highest: Text<Length>,
}
