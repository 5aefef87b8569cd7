//! The two frames of the trade and the transform between them.

use statics::{Angle, Frame, Length, Place, Point};

/// The bay: origin on the floor midway between the columns, X ahead, Y left, Z up (ISO 8855 directions).
pub type Bay = statics::Ground;

/// The vehicle: origin on the ground under the front axle centre; behind, to its own left, up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vehicle {}
impl Frame for Vehicle {}

/// Which way round the vehicle stands in the bay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrivenIn {
    /// Its front towards +X.
    Forwards,
    /// Its front towards -X.
    Backwards,
}

/// Where the vehicle stands: `spot` = X of the front axle, `offset` = Y of the front axle centre,
/// `yaw` about Z, anticlockwise seen from above, beyond the way it was driven in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// X of the front axle, ahead of the column line.
    pub spot: Length,
    /// Y of the front axle centre, left of the bay's centre line.
    pub offset: Length,
    /// Turn about Z from the bay's centre line.
    pub yaw: Angle,
    /// Which way round.
    pub driven_in: DrivenIn,
}

impl Placement {
    /// On the bay's centre line, square to the columns.
    #[must_use]
    pub const fn square(spot: Length, driven_in: DrivenIn) -> Self {
        Self { spot, offset: Length::ZERO, yaw: Angle::ZERO, driven_in }
    }

    /// Cosine and sine of the vehicle's heading in the bay.
    fn heading(&self) -> [f64; 2] {
        let (s, c) = if self.yaw == Angle::ZERO { (0.0, 1.0) } else { self.yaw.to_radians().sin_cos() };
        match self.driven_in {
            DrivenIn::Forwards => [c, s],
            DrivenIn::Backwards => [-c, -s],
        }
    }

    /// Where a place of the vehicle stands in the bay.
    #[must_use]
    pub fn to_bay(&self, place: Place<Vehicle>) -> Place<Bay> {
        let [c, s] = self.heading();
        let [aft, left] = place.to_metres();
        Place::metres([
            self.spot.to_metres() - aft * c - left * s,
            self.offset.to_metres() - aft * s + left * c,
        ])
    }

    /// Which place of the vehicle stands at a place of the bay.
    #[must_use]
    pub fn to_vehicle(&self, place: Place<Bay>) -> Place<Vehicle> {
        let [c, s] = self.heading();
        let [x, y] = place.to_metres();
        let (dx, dy) = (x - self.spot.to_metres(), y - self.offset.to_metres());
        Place::metres([-(dx * c + dy * s), -dx * s + dy * c])
    }

    /// A direction of the vehicle (aft, left, up), in the bay (ahead, left, up).
    #[must_use]
    pub fn direction_to_bay(&self, [aft, left, up]: [f64; 3]) -> [f64; 3] {
        let [c, s] = self.heading();
        [-aft * c - left * s, -aft * s + left * c, up]
    }

    /// A direction in the plan of the bay, on the vehicle (aft, left).
    #[must_use]
    pub fn direction_to_vehicle(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [c, s] = self.heading();
        [-(x * c + y * s), -x * s + y * c]
    }

    /// A point of the vehicle at ride height, in the bay.
    #[must_use]
    pub fn point_to_bay(&self, point: Point<Vehicle>) -> Point<Bay> {
        self.to_bay(point.plan()).at_height(point.z())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        for driven_in in [DrivenIn::Forwards, DrivenIn::Backwards] {
            let stand = Placement {
                spot: Length::metres(0.7),
                offset: Length::metres(-0.02),
                yaw: Angle::degrees(1.5),
                driven_in,
            };
            let place = Place::metres([1.3, 0.6]);
            let [a, l] = stand.to_vehicle(stand.to_bay(place)).to_metres();
            assert!((a - 1.3).abs() < 1e-12 && (l - 0.6).abs() < 1e-12);
        }
    }

    #[test]
    fn square_is_spot_minus_aft() {
        let stand = Placement::square(Length::metres(1.0), DrivenIn::Forwards);
        let place = Place::metres([0.4, 0.6]);
        assert_eq!(stand.to_bay(place), Place::metres([0.6, 0.6]));
        let stand = Placement::square(Length::metres(-1.0), DrivenIn::Backwards);
        assert_eq!(stand.to_bay(place), Place::metres([-0.6, -0.6]));
    }
}
