//! Body sizes of the people who work at a raised vehicle, and how they hold themselves at it.

use statics::{Angle, Length};

use crate::measured::Measured;

/// Shares of the stature. Heights above the sole: Drillis and Contini (1966), as in Winter (2009),
/// fig. 4.1; elbow and wrist of the same figure from memory.
pub mod share {
    /// Height of the ankle.
    pub const ANKLE: f64 = 0.039;
    /// Height of the knee.
    pub const KNEE: f64 = 0.285;
    /// Height of the hip.
    pub const HIP: f64 = 0.530;
    /// Height of the wrist, arm hanging.
    pub const WRIST: f64 = 0.485;
    /// Height of the elbow, arm hanging.
    pub const ELBOW: f64 = 0.630;
    /// Height of the shoulder.
    pub const SHOULDER: f64 = 0.818;
    /// Height of the chin.
    pub const CHIN: f64 = 0.870;
    /// Height of the eyes.
    pub const EYE: f64 = 0.936;
    /// Shoulder to elbow.
    pub const UPPER_ARM: f64 = 0.186;
    /// Elbow to wrist.
    pub const FOREARM: f64 = 0.146;
    /// Wrist to finger tips.
    pub const HAND: f64 = 0.108;
    /// Length of the foot.
    pub const FOOT: f64 = 0.152;
    /// Wrist to what the hand grips: half the hand. Derived.
    pub const GRIP: f64 = HAND / 2.0;
    /// Seat to elbow, arm hanging. ANSUR II (2012): 0.1396 of men, 0.1429 of women.
    pub const ELBOW_SEATED: f64 = 0.141;
}

/// What working shoes add to every height; check-value practice for barefoot tables.
pub const SHOES: Length = Length::metres(0.025);

/// Whose body sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Women of ANSUR II.
    Women,
    /// Men of ANSUR II.
    Men,
}

/// Statures at the 1st, 5th, 25th, 50th, 75th, 95th and 99th percentile, metres.
const PERCENTILES: [f64; 7] = [1.0, 5.0, 25.0, 50.0, 75.0, 95.0, 99.0];
const WOMEN: [f64; 7] = [1.4826, 1.525, 1.5863, 1.626, 1.672, 1.74, 1.7776];
const MEN: [f64; 7] = [1.6016, 1.648, 1.71, 1.755, 1.802, 1.87, 1.927];

/// Stature of a percentile between 1 and 99, by straight lines between the tabled ones.
///
/// ANSUR II (2012), 1,986 women and 4,082 men of the US Army, barefoot. `None` outside 1 to 99.
#[must_use]
pub fn stature(group: Group, percentile: f64) -> Option<Measured<Length>> {
    let table = match group {
        Group::Women => WOMEN,
        Group::Men => MEN,
    };
    let k = (1..PERCENTILES.len()).find(|k| percentile <= PERCENTILES[*k])?;
    let part = (percentile - PERCENTILES[k - 1]) / (PERCENTILES[k] - PERCENTILES[k - 1]);
    let metres = table[k - 1] + part * (table[k] - table[k - 1]);
    (part >= 0.0).then(|| {
        Measured::assumed(
            Length::metres(metres),
            Length::metres(0.005),
            "ANSUR II (2012): stature of that percentile",
        )
    })
}

/// A body seen from the side: where it is held up from and how tall it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Barefoot height.
    pub stature: Length,
    /// Thickness under the feet.
    pub shoes: Length,
    /// Height of the seat; `None` = standing.
    pub seat: Option<Length>,
}

/// How a body is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Trunk forward of upright.
    pub lean: Angle,
    /// Upper arm forward of hanging.
    pub upper_arm: Angle,
    /// Forearm above level; a quarter turn is straight up.
    pub forearm: Angle,
    /// How far the head (under a vehicle) or the shoulders (at a wheel) had to come down.
    pub stoop: Length,
    /// What the grip is short of the work with the arm stretched.
    pub short: Length,
}

/// A point of a body: ahead of its hip and above the floor, metres.
pub type Joint = [f64; 2];

/// Joints of a body in a pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joints {
    /// Above the heel.
    pub ankle: Joint,
    /// The knee.
    pub knee: Joint,
    /// The hip.
    pub hip: Joint,
    /// The shoulder.
    pub shoulder: Joint,
    /// The chin's height on the trunk's line.
    pub chin: Joint,
    /// Top of the head.
    pub crown: Joint,
    /// The elbow.
    pub elbow: Joint,
    /// The wrist.
    pub wrist: Joint,
    /// Middle of the hand.
    pub grip: Joint,
}

impl Body {
    /// Standing in working shoes.
    #[must_use]
    pub const fn standing(stature: Length) -> Self {
        Self { stature, shoes: SHOES, seat: None }
    }
    /// Standing barefoot, as tables of body sizes are.
    #[must_use]
    pub const fn barefoot(stature: Length) -> Self {
        Self { stature, shoes: Length::ZERO, seat: None }
    }
    /// On a stool.
    #[must_use]
    pub const fn seated(stature: Length, seat: Length) -> Self {
        Self { stature, shoes: SHOES, seat: Some(seat) }
    }

    /// Height of a standing body's point, by its share of the stature.
    #[must_use]
    pub fn height(&self, share: f64) -> Length {
        self.stature * share + self.shoes
    }
    /// Height of the elbow, arm hanging.
    #[must_use]
    pub fn elbow(&self) -> Length {
        match self.seat {
            None => self.height(share::ELBOW),
            Some(seat) => seat + self.stature * share::ELBOW_SEATED,
        }
    }
    /// Top of the head of somebody upright.
    #[must_use]
    pub fn crown(&self) -> Length {
        self.hip() + self.stature * (1.0 - share::HIP)
    }
    /// Height of the shoulder of somebody upright.
    #[must_use]
    pub fn shoulder(&self) -> Length {
        self.hip() + self.stature * (share::SHOULDER - share::HIP)
    }
    fn hip(&self) -> Length {
        match self.seat {
            None => self.height(share::HIP),
            // Elbow and shoulder of a seated body say where its hip is.
            Some(seat) => {
                let above = share::ELBOW_SEATED + share::UPPER_ARM - (share::SHOULDER - share::HIP);
                seat + self.stature * above
            }
        }
    }
    /// Height of the wrist with the upper arm raised and the forearm straight up.
    ///
    /// shoulder - upper arm cos(raised) + forearm; derived.
    #[must_use]
    pub fn wrist_overhead(&self, raised: Angle) -> Length {
        let arm = share::FOREARM - share::UPPER_ARM * raised.to_radians().cos();
        self.shoulder() + self.stature * arm
    }

    /// Head just under the underside, stooping if need be, grip at it, forearm straight up.
    ///
    /// grip = shoulder - upper arm cos(raised) + forearm + half the hand. A stoop leans the trunk from the
    /// hip until the head is under. Derived.
    #[must_use]
    pub fn under(&self, underside: Length) -> Pose {
        let (h, work) = (self.stature.to_metres(), underside.to_metres());
        let stoop = (self.crown().to_metres() - work).max(0.0);
        let lean = (1.0 - stoop / (h * (1.0 - share::HIP))).clamp(0.0, 1.0);
        let shoulder = self.hip().to_metres() + h * (share::SHOULDER - share::HIP) * lean;
        let (upper, fore) = (h * share::UPPER_ARM, h * (share::FOREARM + share::GRIP));
        let raised = (shoulder + fore - work) / upper;
        // With the arm hanging and the forearm up the hand would be too high: the forearm comes down.
        let forearm =
            if raised > 1.0 { ((work - shoulder + upper) / fore).clamp(-1.0, 1.0).asin() } else { QUARTER };
        Pose {
            lean: Angle::radians(lean.acos()),
            upper_arm: Angle::radians(raised.clamp(-1.0, 1.0).acos()),
            forearm: Angle::radians(forearm),
            stoop: Length::metres(stoop),
            short: Length::metres((-1.0 - raised).max(0.0) * upper),
        }
    }

    /// Grip at a hub: forearm level and the upper arm raised as far as that takes; below the hanging
    /// elbow the forearm points down, and what that does not reach is stooped for.
    ///
    /// cos(raised) = (shoulder - hub) / upper arm; derived.
    #[must_use]
    pub fn at_wheel(&self, hub: Length) -> Pose {
        let (h, work) = (self.stature.to_metres(), hub.to_metres());
        let (upper, fore) = (h * share::UPPER_ARM, h * (share::FOREARM + share::GRIP));
        let trunk = h * (share::SHOULDER - share::HIP);
        let shoulder = self.shoulder().to_metres();
        let stoop = (shoulder - upper - fore - work).max(0.0);
        let raised = (shoulder - stoop - work) / upper;
        let elbow = shoulder - stoop - upper * raised.clamp(-1.0, 1.0);
        let up = (work - elbow) / fore;
        Pose {
            lean: Angle::radians((1.0 - stoop / trunk).clamp(0.0, 1.0).acos()),
            upper_arm: Angle::radians(raised.clamp(-1.0, 1.0).acos()),
            forearm: Angle::radians(up.clamp(-1.0, 1.0).asin()),
            stoop: Length::metres(stoop),
            short: Length::metres((up - 1.0).max(0.0) * fore),
        }
    }

    /// Where the joints are in a pose.
    #[must_use]
    pub fn joints(&self, pose: &Pose) -> Joints {
        let h = self.stature.to_metres();
        let from =
            |[x, z]: Joint, long: f64, forward: f64, up: f64| [x + h * long * forward, z + h * long * up];
        let hip = [0.0, self.hip().to_metres()];
        let knee_height = self.height(share::KNEE).to_metres();
        let knee = match self.seat {
            None => [0.0, knee_height],
            Some(_) => {
                let thigh = h * (share::HIP - share::KNEE);
                [(thigh.powi(2) - (knee_height - hip[1]).powi(2)).max(0.0).sqrt(), knee_height]
            }
        };
        let (lean, lean_up) = pose.lean.to_radians().sin_cos();
        let (raised, down) = pose.upper_arm.to_radians().sin_cos();
        let (up, ahead) = pose.forearm.to_radians().sin_cos();
        let shoulder = from(hip, share::SHOULDER - share::HIP, lean, lean_up);
        let elbow = from(shoulder, share::UPPER_ARM, raised, -down);
        let wrist = from(elbow, share::FOREARM, ahead, up);
        Joints {
            ankle: [knee[0], self.height(share::ANKLE).to_metres()],
            knee,
            hip,
            shoulder,
            chin: from(hip, share::CHIN - share::HIP, lean, lean_up),
            crown: from(hip, 1.0 - share::HIP, lean, lean_up),
            elbow,
            wrist,
            grip: from(wrist, share::GRIP, ahead, up),
        }
    }
}

const QUARTER: f64 = core::f64::consts::FRAC_PI_2;

/// How far an upper arm may be raised (EN 1005-4, read in secondary sources).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ArmBand {
    /// To 20 degrees.
    Good,
    /// Above 20, to 60 degrees.
    Conditional,
    /// Above 60 degrees.
    Not,
}

impl ArmBand {
    /// The source of the bands.
    pub const SOURCE: &'static str = "EN 1005-4, as secondary sources give it";

    /// The band of an angle; its end belongs to it.
    #[must_use]
    pub fn of(raised: Angle) -> Self {
        // An angle that was worked out may miss the end by its rounding.
        match raised.to_degrees() - 1e-9 {
            ..=20.0 => Self::Good,
            ..=60.0 => Self::Conditional,
            _ => Self::Not,
        }
    }
}

/// How far a trunk may be bent forwards (EN 1005-4, from memory).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TrunkBand {
    /// To 20 degrees.
    Good,
    /// Above 20, to 60 degrees.
    Conditional,
    /// Above 60 degrees.
    Not,
}

impl TrunkBand {
    /// The source of the bands.
    pub const SOURCE: &'static str = "EN 1005-4, from memory";

    /// The band of an angle; its end belongs to it.
    #[must_use]
    pub fn of(lean: Angle) -> Self {
        match ArmBand::of(lean) {
            ArmBand::Good => Self::Good,
            ArmBand::Conditional => Self::Conditional,
            ArmBand::Not => Self::Not,
        }
    }
}

/// Why nobody should work like that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strain {
    /// Under a vehicle so low that even bent double the head is not below it.
    NoRoomToStand,
    /// The trunk is bent beyond its bands.
    Bent,
    /// At a wheel the upper arm is raised beyond its bands.
    ArmsUp,
    /// The hand does not come to the work.
    OutOfReach,
}

impl Pose {
    /// What is wrong with it, the worst alone; `under` = standing under the vehicle, where the hands are above the head
    /// at every height that the head clears, so that raised arms are nothing of this height's.
    #[must_use]
    pub fn strain(&self, under: bool) -> Option<Strain> {
        // Bent forwards by a quarter turn, the head comes down no farther.
        let bent_double = self.lean.to_degrees() > 90.0 - 1e-6;
        if under && bent_double {
            Some(Strain::NoRoomToStand)
        } else if TrunkBand::of(self.lean) == TrunkBand::Not {
            Some(Strain::Bent)
        } else if self.short > Length::ZERO {
            Some(Strain::OutOfReach)
        } else {
            (!under && ArmBand::of(self.upper_arm) == ArmBand::Not).then_some(Strain::ArmsUp)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const POSES: [f64; 9] = [0.2, 0.5, 0.9, 1.1, 1.4, 1.6, 1.8, 2.0, 2.3];

    fn apart(a: Joint, b: Joint) -> f64 {
        (a[0] - b[0]).hypot(a[1] - b[1])
    }

    /// Whatever the pose, the segments keep their lengths, and the hand is at the work unless it is short.
    #[test]
    fn segments_keep_their_lengths_and_the_grip_is_at_the_work() {
        for stature in [1.45, 1.626, 1.755, 2.0] {
            let long = Length::metres(stature);
            for work in POSES.map(Length::metres) {
                let (standing, seated) = (Body::standing(long), Body::seated(long, Length::metres(0.4)));
                for (body, pose) in [
                    (standing, standing.under(work)),
                    (standing, standing.at_wheel(work)),
                    (seated, seated.at_wheel(work)),
                ] {
                    let j = body.joints(&pose);
                    for (a, b, share) in [
                        (j.hip, j.knee, share::HIP - share::KNEE),
                        (j.knee, j.ankle, share::KNEE - share::ANKLE),
                        (j.hip, j.shoulder, share::SHOULDER - share::HIP),
                        (j.hip, j.crown, 1.0 - share::HIP),
                        (j.shoulder, j.elbow, share::UPPER_ARM),
                        (j.elbow, j.wrist, share::FOREARM),
                        (j.wrist, j.grip, share::GRIP),
                    ] {
                        assert!((apart(a, b) / stature - share).abs() < 1e-9, "{stature} at {work:?}: {j:?}");
                    }
                    let missing = work.to_metres() - j.grip[1];
                    let bent_double = pose.lean.to_degrees() > 89.9;
                    assert!(
                        bent_double || (missing - pose.short.to_metres()).abs() < 1e-9,
                        "{pose:?} {work:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_head_is_under_what_it_stoops_for() {
        let body = Body::standing(Length::metres(1.905));
        let underside = Length::metres(1.8288);
        let pose = body.under(underside);
        assert!((pose.stoop.to_millimetres() - (1905.0 + 25.0 - 1828.8)).abs() < 1e-6);
        assert!((body.joints(&pose).crown[1] - underside.to_metres()).abs() < 1e-9);
        assert!(pose.lean.to_degrees() > 0.0);
    }

    #[test]
    fn ends_belong_to_their_band() {
        let of = |degrees| ArmBand::of(Angle::degrees(degrees));
        assert_eq!([of(0.0), of(20.0), of(20.1)], [ArmBand::Good, ArmBand::Good, ArmBand::Conditional]);
        assert_eq!([of(60.0), of(60.1), of(180.0)], [ArmBand::Conditional, ArmBand::Not, ArmBand::Not]);
    }

    #[test]
    fn nobody_works_bent_double() {
        let tall = Body::standing(Length::metres(1.76));
        let under = |underside: f64| tall.under(Length::metres(underside)).strain(true);
        assert_eq!([under(1.8), under(1.5)], [None, None]);
        // A trunk of 0.47 of the stature bent by 60 degrees brings the head down by half of it: 1.785 - 0.414 m.
        assert_eq!([under(1.373), under(1.370)], [None, Some(Strain::Bent)]);
        assert_eq!([under(0.97), under(0.60)], [Some(Strain::Bent), Some(Strain::NoRoomToStand)]);
        assert_eq!(under(2.6), Some(Strain::OutOfReach));
        let at = |hub: f64| tall.at_wheel(Length::metres(hub)).strain(false);
        assert_eq!([at(1.1), at(0.3), at(1.45)], [None, Some(Strain::Bent), Some(Strain::ArmsUp)]);
    }

    #[test]
    fn arms_hang_when_the_hub_is_at_the_elbow() {
        for body in
            [Body::standing(Length::metres(1.7)), Body::seated(Length::metres(1.7), Length::metres(0.4))]
        {
            let pose = body.at_wheel(body.elbow());
            assert!(pose.upper_arm.to_degrees() < 1.0 && pose.forearm.to_degrees().abs() < 2.0, "{pose:?}");
            assert!(pose.stoop == Length::ZERO && pose.short == Length::ZERO);
        }
    }
}
