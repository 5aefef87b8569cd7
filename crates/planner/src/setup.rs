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
    /// The same with every pad where its arm can bring it: within the stops of reach and swing, and on the tooth of its
    /// restraint that is nearest, as it locks.
    #[must_use]
    pub fn in_reach(&self, lift: &Lift) -> Self {
        let mut set = self.clone();
        for (corner, pad) in Corner::ALL.into_iter().zip(&mut set.pads) {
            let arm = &lift.arms[arm_for(corner, &self.placement).index()];
            let ([x, y], [px, py]) = (self.placement.to_bay(pad.at).to_metres(), arm.pivot.to_metres());
            let reach = (x - px).hypot(y - py).clamp(arm.reach_in.to_metres(), arm.reach_out.to_metres());
            let (from, most) = (arm.swing_from.to_radians(), (arm.swing_to - arm.swing_from).to_radians());
            let turn = between_stops(wrapped((y - py).atan2(x - px) - from), most);
            let turn = arm.tooth_pitch.map(Angle::to_radians).map_or(turn, |pitch| {
                let last = (most / pitch + 1e-9).floor();
                (turn / pitch).round().min(last) * pitch
            });
            let (sin, cos) = (from + turn).sin_cos();
            pad.at = self.placement.to_vehicle(Place::metres([px + reach * cos, py + reach * sin]));
        }
        set
    }
}

/// A turn from the first stop, at the nearer stop if it is not between them.
fn between_stops(turn: f64, most: f64) -> f64 {
    let beyond = |stop: f64| wrapped(turn - stop).abs();
    match turn.rem_euclid(core::f64::consts::TAU) {
        turn if turn <= most => turn,
        _ if beyond(0.0) <= beyond(most) => 0.0,
        _ => most,
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
