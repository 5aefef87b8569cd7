//! The shop's own limits, `limits/1`. What is left out keeps its default.

use schemars::JsonSchema;
use serde::Deserialize;
use statics::{Angle, Force, Length};

use crate::input::Text;
use crate::input::quantity::{Quantity, Share};

/// Limits that the shop sets itself, each by the name of its row in the table of limits.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Limits {
    /// What this file is and its version: "limits/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// How far a pad centre may land from where it was meant.
    pub(crate) placing: Option<Own<Length>>,
    /// Air between the pad's rim and a keep-out.
    pub(crate) pad_clearance: Option<Own<Length>>,
    /// Margin of reach against the arm's stops.
    pub(crate) reach_setting: Option<Own<Length>>,
    /// Margin of swing against the arm's stops.
    pub(crate) swing_setting: Option<Own<Angle>>,
    /// Air between an arm's beam and a tyre.
    pub(crate) beam_to_tyre: Option<Own<Length>>,
    /// Air between an arm's beam and a keep-out.
    pub(crate) beam_to_keep_out: Option<Own<Length>>,
    /// Air between two arms.
    pub(crate) beam_to_beam: Option<Own<Length>>,
    /// Air between an arm's top and the sill that it passes under.
    pub(crate) beam_to_sill: Option<Own<Length>>,
    /// Air between a pad and the underside while the arm is swung in.
    pub(crate) pad_entry: Option<Own<Length>>,
    /// How far the contact plane may be out of level.
    pub(crate) level: Option<Own<Angle>>,
    /// Least assured edge distance.
    pub(crate) edge_distance: Option<Own<Length>>,
    /// Least share of the weight on any pad.
    pub(crate) pad_share: Option<Own<Share>>,
    /// Greatest share of the rated load on one pair of pads, lifts to 3500 kg.
    pub(crate) pair_share_small: Option<Own<Share>>,
    /// Greatest share of the rated load on one pair of pads, lifts above 3500 kg.
    pub(crate) pair_share_large: Option<Own<Share>>,
    /// Opening that a driver needs to get out.
    pub(crate) door_way: Option<Own<Angle>>,
    /// Air on each side of the mirrors or body between the columns.
    pub(crate) column_air: Option<Own<Length>>,
    /// Air above the roof.
    pub(crate) roof_air: Option<Own<Length>>,
    /// Air under each tyre at the test raise.
    pub(crate) test_raise: Option<Own<Length>>,
    /// Push that a person gives in a shake.
    pub(crate) shake_push: Option<Own<Force>>,
    /// Height at which a person shakes the vehicle.
    pub(crate) shake_height: Option<Own<Length>>,
    /// Least assured tip ratio, as a share of gravity.
    pub(crate) tip_ratio: Option<Own<Share>>,
    /// Vehicle to wall or line along the bay.
    pub(crate) bay_air: Option<Own<Length>>,
    /// Underside above the head of who stands under it.
    pub(crate) head_air: Option<Own<Length>>,
    /// Seat of the stool on which wheels are worked at.
    pub(crate) stool_height: Option<Own<Length>>,
}

/// One limit.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, bound(deserialize = ""))]
#[schemars(bound = "Q: Quantity")]
pub(crate) struct Own<Q> {
    /// Its value, within the range that the table gives.
    pub(crate) value: Text<Q>,
    /// Where it comes from: the house rule, the insurer's letter, the lift maker's manual.
    #[schemars(length(max = 200))]
    pub(crate) source: Option<String>,
}
