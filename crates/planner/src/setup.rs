//! What is set on the floor: where the vehicle stands, where each pad is.

use statics::{Length, Place};

use crate::frames::{Placement, Vehicle as Frame};
use crate::lift::Corner;

/// A setup: placement and four pads, in the order of the vehicle's own corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Where the vehicle stands.
    pub placement: Placement,
    /// The pads, in the order of [`Corner::ALL`], corners of the *vehicle*.
    pub pads: [PadAt; 4],
}

/// One pad of a setup.
#[derive(Clone, Debug, PartialEq)]
pub struct PadAt {
    /// Its centre, on the vehicle.
    pub at: Place<Frame>,
    /// Adapters under it, as found; `None` = the least stack that serves.
    pub adapters: Option<Vec<Length>>,
    /// Top of the pad above the floor, carriage down, as found; `None` = what the heights ask for.
    pub height: Option<Length>,
}

/// A corner of the vehicle and the arm that serves it.
#[must_use]
pub const fn arm_for(vehicle_corner: Corner, placement: &Placement) -> Corner {
    match placement.driven_in {
        crate::frames::DrivenIn::Forwards => vehicle_corner,
        crate::frames::DrivenIn::Backwards => vehicle_corner.turned(),
    }
}
