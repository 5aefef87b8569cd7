//! A weighing, `weigh/1`, and its answer.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use statics::{Angle, Length, Mass};

use super::vehicle::Weight;
use crate::input::{At, Text};

/// Readings from four wheel scales or two axle scales, level, and with an axle lifted.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Weighing {
    /// What this file is and its version: "weigh/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// Front hub centre to rear hub centre.
    pub(crate) wheelbase: Text<Length>,
    /// Between the middles of the front tyres; needed with four wheels.
    pub(crate) track_front: Option<Text<Length>>,
    /// Between the middles of the rear tyres; needed with four wheels.
    pub(crate) track_rear: Option<Text<Length>>,
    /// Ground to hub centre, loaded; needed for the height.
    pub(crate) wheel_radius: Option<Text<Length>>,
    /// The scales, vehicle level: four wheels or two axles.
    pub(crate) scales: At<Weight>,
    /// Readings with one axle lifted, suspension blocked.
    #[serde(default)]
    pub(crate) lifted: Vec<At<Lifted>>,
}

/// One reading with an axle lifted.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lifted {
    /// The axle that is lifted.
    pub(crate) axle: super::region::End,
    /// Angle of the vehicle out of level.
    pub(crate) angle: Text<Angle>,
    /// Load then on the axle that stays down.
    pub(crate) load: Text<Mass>,
}

/// What the scales say, SI.
#[derive(Debug, JsonSchema, Serialize)]
pub(crate) struct WeighAnswer {
    /// "standfast/weigh/1".
    pub(crate) contract: &'static str,
    /// Total mass.
    pub(crate) mass_kg: f64,
    /// How far it may be off, worst case.
    pub(crate) mass_tolerance_kg: f64,
    /// Front axle's share.
    pub(crate) front_share: f64,
    /// Centre of gravity behind the front axle.
    pub(crate) aft: Figure,
    /// Left of the centre plane; null from axles alone.
    pub(crate) left: Option<Figure>,
    /// Above the ground; null without a lifted axle.
    pub(crate) up: Option<Figure>,
    /// What was not stated and was assumed.
    pub(crate) assumptions: Vec<String>,
}

/// One figure, metres.
#[derive(Clone, Copy, Debug, JsonSchema, Serialize)]
pub(crate) struct Figure {
    /// Best estimate.
    pub(crate) value_m: f64,
    /// Worst case within all tolerances, either way.
    pub(crate) tolerance_m: f64,
    /// Standard uncertainty (JCGM 100, tolerances read as uniform).
    pub(crate) uncertainty_m: f64,
}
