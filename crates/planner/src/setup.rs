//! What is set on the floor: where the vehicle stands, where each pad is.

use statics::{Angle, Length, Place};

use crate::frames::{Placement, Vehicle as Frame};
use crate::lift::{Corner, Lift};
use crate::measure::wrapped;

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

impl Setup {
    /// The same with every arm turned to the tooth of its restraint that is nearest, as it locks; reaches stay.
    #[must_use]
    pub fn on_teeth(&self, lift: &Lift) -> Self {
        let mut on_teeth = self.clone();
        for (corner, pad) in Corner::ALL.into_iter().zip(&mut on_teeth.pads) {
            let arm = &lift.arms[arm_for(corner, &self.placement).index()];
            let Some(pitch) = arm.tooth_pitch.map(Angle::to_radians) else { continue };
            let ([x, y], [px, py]) = (self.placement.to_bay(pad.at).to_metres(), arm.pivot.to_metres());
            let (reach, from) = ((x - px).hypot(y - py), arm.swing_from.to_radians());
            let turn = wrapped((y - py).atan2(x - px) - from);
            let (sin, cos) = (from + (turn / pitch).round() * pitch).sin_cos();
            pad.at = self.placement.to_vehicle(Place::metres([px + reach * cos, py + reach * sin]));
        }
        on_teeth
    }
}

/// A corner of the vehicle and the arm that serves it.
#[must_use]
pub const fn arm_for(vehicle_corner: Corner, placement: &Placement) -> Corner {
    match placement.driven_in {
        crate::frames::DrivenIn::Forwards => vehicle_corner,
        crate::frames::DrivenIn::Backwards => vehicle_corner.turned(),
    }
}
