//! A job file, `job/1`.

use schemars::JsonSchema;
use serde::Deserialize;
use statics::{Angle, Length};

use super::vehicle::Part;
use crate::input::{At, Text};

/// What is to be done to a vehicle on the lift.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Job {
    /// What this file is and its version: "job/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// What the shop calls the job.
    pub(crate) name: At<String>,
    /// What it shows a learner, if it is demonstration data.
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
