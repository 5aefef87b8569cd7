//! A two-post lift as a technician measures it.

use statics::{Angle, Force, Length, Mass, Place, Stiffness};

use crate::frames::Bay;
use crate::measured::Measured;

/// Where an arm stands in the bay; front is +X, left is +Y.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Corner {
    /// Ahead, left.
    FrontLeft,
    /// Ahead, right.
    FrontRight,
    /// Behind, left.
    RearLeft,
    /// Behind, right.
    RearRight,
}

impl Corner {
    /// All four, in the order in which everything is listed.
    pub const ALL: [Self; 4] = [Self::FrontLeft, Self::FrontRight, Self::RearLeft, Self::RearRight];

    /// Its place in [`Corner::ALL`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }
    /// Whether it is one of the front two.
    #[must_use]
    pub const fn is_front(self) -> bool {
        matches!(self, Self::FrontLeft | Self::FrontRight)
    }
    /// Whether it is one of the left two.
    #[must_use]
    pub const fn is_left(self) -> bool {
        matches!(self, Self::FrontLeft | Self::RearLeft)
    }
    /// The corner seen by a vehicle that stands the other way round.
    #[must_use]
    pub const fn turned(self) -> Self {
        match self {
            Self::FrontLeft => Self::RearRight,
            Self::FrontRight => Self::RearLeft,
            Self::RearLeft => Self::FrontRight,
            Self::RearRight => Self::FrontLeft,
        }
    }
    /// "front left" and so on.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::FrontLeft => "front-left",
            Self::FrontRight => "front-right",
            Self::RearLeft => "rear-left",
            Self::RearRight => "rear-right",
        }
    }
}

/// A two-post frame-engaging lift.
#[derive(Clone, Debug, PartialEq)]
pub struct Lift {
    /// What the shop calls it.
    pub name: String,
    /// What it shows a learner, if it is demonstration data.
    pub teaches: Option<String>,
    /// The load on its plate.
    pub rated: Mass,
    /// Column faces.
    pub columns: Columns,
    /// The four arms, in the order of [`Corner::ALL`].
    pub arms: [Arm; 4],
    /// The four pads are alike: what they and the adapters can do.
    pub pads: PadKit,
    /// How the carriages go up.
    pub rise: Rise,
    /// Lowest thing above the vehicle (ceiling, crossbar), above the floor; `None` = open sky.
    pub headroom: Option<Length>,
    /// The spotting rule on its plate, if it has one.
    pub plate: Option<SpottingPlate>,
    /// The maker's permitted split of the load, front share least and greatest, if the plate gives one.
    pub permitted_front_share: Option<(f64, f64)>,
    /// Whether the shop has chosen the 2:3 / 1:3 split rule as binding.
    pub split_rule_binds: bool,
    /// Ways a vehicle may be driven in.
    pub backwards_allowed: bool,
    /// Length of the bay from its front wall or line to its rear end, and how far ahead of the columns it begins.
    pub bay: Option<BayLength>,
}

/// Column faces, symmetric about the bay's centre line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Columns {
    /// Clear width between the inner faces of the two columns.
    pub inside: Length,
    /// X of the columns' front face.
    pub front_face: Length,
    /// X of the columns' rear face (negative = behind the column line).
    pub rear_face: Length,
}

/// Room ahead of and behind the column line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BayLength {
    /// Free floor ahead of the column line.
    pub ahead: Length,
    /// Free floor behind the column line.
    pub behind: Length,
}

/// One swing arm.
#[derive(Clone, Debug, PartialEq)]
pub struct Arm {
    /// Its pivot in plan.
    pub pivot: Place<Bay>,
    /// Pivot to pad centre, fully in.
    pub reach_in: Length,
    /// Pivot to pad centre, fully out.
    pub reach_out: Length,
    /// Number of telescoping stages: two or three.
    pub stages: u8,
    /// Swing stops, direction from pivot to pad in bay axes, anticlockwise from X ahead; `swing_from < swing_to`.
    pub swing_from: Angle,
    /// The other stop.
    pub swing_to: Angle,
    /// Angle between the teeth of its restraint, counted from `swing_from`; `None` = locks anywhere.
    pub tooth_pitch: Option<Angle>,
    /// Widest part of the beam.
    pub beam_width: Length,
    /// Top of the beam above the floor, carriage fully down.
    pub beam_top: Length,
    /// Rated load of this arm; `None` = a quarter of the lift's.
    pub rated: Option<Force>,
    /// Stiffness at the pad, at `reach_out`, each arm off by itself; `None` = assumed.
    pub stiffness_out: Option<Measured<Stiffness>>,
}

/// What the pads and their adapters can do.
#[derive(Clone, Debug, PartialEq)]
pub struct PadKit {
    /// Radius of the pad's disc.
    pub radius: Length,
    /// Top of the pad above the floor: carriage down, pad screwed down, no adapter.
    pub lowest: Length,
    /// How much the pad's own screw or pin raises it, continuously.
    pub travel: Length,
    /// Adapter heights in the kit and how many of each.
    pub adapters: Vec<Adapter>,
    /// The most adapters that may be stacked on one pad.
    pub stack_most: u8,
    /// Friction between pad and vehicle.
    pub surface: PadSurface,
}

/// A kind of adapter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Adapter {
    /// How much it raises the pad.
    pub height: Length,
    /// How many the kit holds.
    pub count: u8,
}

/// What the pads are faced with, which decides the friction that is counted on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PadSurface {
    /// Rubber in good order.
    Rubber,
    /// Rough metal.
    RoughMetal,
    /// Smooth or painted metal.
    SmoothMetal,
    /// Anything oily.
    Oily,
}

/// How the carriages go up.
#[derive(Clone, Debug, PartialEq)]
pub struct Rise {
    /// Rise of the carriages from fully down at each lock, ascending.
    pub locks: Vec<Length>,
    /// Rise at the top.
    pub most: Length,
}

/// The spotting rule on the lift's plate: which wheelbase puts the front wheel where.
#[derive(Clone, Debug, PartialEq)]
pub struct SpottingPlate {
    /// Bands that cover the wheelbases the lift takes, ascending.
    pub bands: Vec<Band>,
    /// How far the wheel may be from the mark.
    pub tolerance: Length,
}

/// One wheelbase band of the plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Name of the mark, as on the floor.
    pub mark: String,
    /// Lower end; `None` = no lower end.
    pub from: Option<BandEnd>,
    /// Upper end; `None` = no upper end.
    pub to: Option<BandEnd>,
    /// X of the front axle on that mark.
    pub front_wheel: Length,
}

/// An end of a band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandEnd {
    /// Wheelbase at the end.
    pub wheelbase: Length,
    /// Whether the end itself belongs to the band.
    pub included: bool,
}

impl Band {
    /// Whether the wheelbase is in this band.
    #[must_use]
    pub fn holds(&self, wheelbase: Length) -> bool {
        let above =
            self.from.is_none_or(|e| wheelbase > e.wheelbase || e.included && wheelbase >= e.wheelbase);
        let below = self.to.is_none_or(|e| wheelbase < e.wheelbase || e.included && wheelbase <= e.wheelbase);
        above && below
    }
}
