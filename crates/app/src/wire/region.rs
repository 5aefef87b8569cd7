//! An area in the vehicle's plan.

use schemars::JsonSchema;
use serde::Deserialize;
use statics::Length;

use crate::input::Text;

/// A place on the vehicle: distance behind the front axle, distance to the left of the centre plane (right is negative).
pub(crate) type Place = [Text<Length>; 2];

/// A strip along a straight line.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Strip {
    /// Middle of one end, as [behind the front axle, left of centre].
    pub(crate) from: Place,
    /// Middle of the other end, as [behind the front axle, left of centre].
    pub(crate) to: Place,
    /// Width of the strip.
    pub(crate) width: Text<Length>,
}

/// Which side of the vehicle.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Side {
    /// Given on the left, mirrored to the right.
    Both,
    /// The vehicle's own left.
    Left,
    /// The vehicle's own right.
    Right,
}

/// Which end of the vehicle.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(rename_all = "lowercase")]
pub(crate) enum End {
    /// Front.
    Front,
    /// Rear.
    Rear,
}
