//! An as-placed file, `as-placed/1`: a setup as it was measured on the floor.

use schemars::JsonSchema;
use serde::Deserialize;
use statics::{Angle, Length};

use super::region::Place;
use crate::input::{At, Text};

/// Where the vehicle stands and where the four pads are, as measured.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct AsPlaced {
    /// What this file is and its version: "as-placed/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// True while the file still holds the values that `standfast new` wrote: nothing is judged by them.
    pub(crate) example_values: Option<At<bool>>,
    /// Column line to the front hub centres, ahead (negative: behind).
    pub(crate) spot: Text<Length>,
    /// Middle of the bay to the vehicle's centre plane at the front axle, to the left as the bay faces.
    pub(crate) offset: Text<Length>,
    /// Turn of the vehicle out of square, anticlockwise seen from above.
    pub(crate) yaw: Text<Angle>,
    /// Which way round it stands.
    pub(crate) driven_in: DrivenIn,
    /// The four pads, by the vehicle's own corners.
    pub(crate) pads: Pads,
}

/// Which way round.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub(crate) enum DrivenIn {
    /// Its front the way the bay faces.
    Forwards,
    /// Its front the other way.
    Backwards,
}

/// The four pads.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pads {
    /// Pad at the vehicle's front left.
    pub(crate) front_left: Pad,
    /// Pad at the vehicle's front right.
    pub(crate) front_right: Pad,
    /// Pad at the vehicle's rear left.
    pub(crate) rear_left: Pad,
    /// Pad at the vehicle's rear right.
    pub(crate) rear_right: Pad,
}

/// One pad as placed.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pad {
    /// Its centre on the vehicle, as [behind the front axle, left of centre].
    pub(crate) at: Place,
    /// Adapters under it, lowest first; left out = the least stack that serves.
    pub(crate) adapters: Option<Vec<Text<Length>>>,
    /// Floor to the top of the pad, carriage down; left out = what the heights ask for.
    pub(crate) height: Option<Text<Length>>,
}
