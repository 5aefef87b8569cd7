//! A road vehicle as a technician measures it.

use statics::{Angle, Length, Mass, Place, Point};

use crate::frames::Vehicle as Frame;
use crate::lift::Corner;
use crate::measured::{Basis, Measured};
use crate::quick::Unmeasured;
use crate::region::Region;

/// A road vehicle with two axles.
#[derive(Clone, Debug, PartialEq)]
pub struct Vehicle {
    /// What the shop calls it.
    pub name: String,
    /// What it shows a learner, if it is demonstration data.
    pub teaches: Option<String>,
    /// Hub centre to hub centre.
    pub wheelbase: Measured<Length>,
    /// Outer dimensions.
    pub outline: Outline,
    /// Wheels and tyres.
    pub wheels: Wheels,
    /// What is known of its weight, unladen of the job's loads.
    pub weight: Weight,
    /// Height of its centre of gravity above the ground at ride height; `None` = from the prior of its class.
    pub cg_height: Option<Measured<Length>>,
    /// Its class, for priors.
    pub class: BodyClass,
    /// Driven axle, for priors.
    pub drive: Drive,
    /// How the body is built.
    pub frame: FrameKind,
    /// Where it may be lifted.
    pub lift_areas: Vec<LiftArea>,
    /// Where nothing may press.
    pub keep_outs: Vec<KeepOut>,
    /// Lowest underside between the wheels, where the arms pass under.
    pub sill_height: Length,
    /// How far the wheels drop when the body is lifted.
    pub droop: Measured<Length>,
    /// Doors that matter beside a column.
    pub doors: Vec<Door>,
    /// Places where a supporting stand may press.
    pub stand_places: Vec<StandPlace>,
    /// Parts that a job may take off.
    pub parts: Vec<Part>,
    /// What nobody measured.
    pub unmeasured: Unmeasured,
}

/// Outer dimensions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outline {
    /// Front axle to the foremost point.
    pub front_overhang: Length,
    /// Rear axle to the rearmost point.
    pub rear_overhang: Length,
    /// Width of the body without mirrors.
    pub width: Length,
    /// Top of the roof above the ground.
    pub roof: Length,
    /// Mirrors, if they stick out.
    pub mirrors: Option<Mirrors>,
}

/// Mirrors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mirrors {
    /// Width over both mirrors, as they are when driving in.
    pub width: Length,
    /// Distance behind the front axle.
    pub aft: Length,
}

/// Wheels and tyres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wheels {
    /// Distance between the front wheels' centre planes.
    pub track_front: Length,
    /// Distance between the rear wheels' centre planes.
    pub track_rear: Length,
    /// How far each of these may be off, front and rear.
    pub track_off: [Length; 2],
    /// Outer diameter of the tyres.
    pub tyre_diameter: Length,
    /// Width of the tyres.
    pub tyre_width: Length,
}

/// What is known of the weight, best first.
#[derive(Clone, Debug, PartialEq)]
pub enum Weight {
    /// Each wheel weighed, in the order of [`Corner::ALL`].
    WheelLoads([Measured<Mass>; 4]),
    /// Each axle weighed.
    AxleLoads {
        /// Front axle.
        front: Measured<Mass>,
        /// Rear axle.
        rear: Measured<Mass>,
    },
    /// Total, and the share on the front axle.
    TotalAndShare {
        /// Whole vehicle.
        total: Measured<Mass>,
        /// Front axle's share of it.
        front_share: Measured<f64>,
    },
    /// Total alone; the share then comes from the prior of its class.
    Total(Measured<Mass>),
}

/// Class of body, as the priors have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyClass {
    /// Two or four doors and a boot.
    Sedan,
    /// Short tail with a large rear door.
    Hatchback,
    /// Long roof.
    Wagon,
    /// Two doors, low.
    Coupe,
    /// Folding roof.
    Convertible,
    /// Tall estate on a car's or a frame's floor.
    Suv,
    /// Open load bed.
    Pickup,
    /// Family van.
    Minivan,
    /// Goods van.
    Van,
}

impl BodyClass {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Sedan,
        Self::Hatchback,
        Self::Wagon,
        Self::Coupe,
        Self::Convertible,
        Self::Suv,
        Self::Pickup,
        Self::Minivan,
        Self::Van,
    ];
}

/// Driven axle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    /// Front wheels.
    Front,
    /// Rear wheels.
    Rear,
    /// All wheels.
    All,
    /// Battery vehicle, whichever wheels.
    Battery,
}

impl Drive {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Front, Self::Rear, Self::All, Self::Battery];
}

/// How the body is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrameKind {
    /// Self-supporting body, lifted at its sill seams or at reinforced places.
    Unibody,
    /// Body on a ladder frame, lifted at the rails.
    FrameRails,
}

/// One place where the vehicle maker allows a pad.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftArea {
    /// What it is called.
    pub name: String,
    /// The vehicle's corner that it serves.
    pub corner: Corner,
    /// The area in plan.
    pub region: Region,
    /// Its underside above the ground at ride height.
    pub underside: Length,
    /// How the pad sits.
    pub seat: Seat,
}

/// How a pad sits against the vehicle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seat {
    /// Flat against flat: friction alone.
    Flat,
    /// A seam that runs fore and aft in a slotted pad: it blocks sideways motion by shape, but as nothing says
    /// how much it holds, friction alone is counted here too.
    SeamInSlot,
}

/// Where neither pad nor arm may press.
#[derive(Clone, Debug, PartialEq)]
pub struct KeepOut {
    /// What is there.
    pub name: String,
    /// The area in plan.
    pub region: Region,
}

/// A hinged door.
#[derive(Clone, Debug, PartialEq)]
pub struct Door {
    /// What it is called.
    pub name: String,
    /// Its hinge in plan.
    pub hinge: Place<Frame>,
    /// Hinge to free edge; it opens towards the front when the hinge is ahead of the free edge.
    pub length: Length,
    /// How wide it opens when nothing is in the way.
    pub opens: Angle,
}

/// A part that a job may take off or put on.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// Its mass.
    pub mass: Measured<Mass>,
    /// Its centre of gravity, vehicle at ride height.
    pub at: Point<Frame>,
    /// How far that may be off.
    pub off: Off,
    /// Names of parts that must be off before it.
    pub after: Vec<String>,
}

/// How far a place may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct Off {
    /// Along aft, left, up, either way.
    pub by: [Length; 3],
    /// Where each of them comes from.
    pub basis: [Basis; 3],
}

impl Off {
    /// A place that is exactly known.
    pub const NONE: Self = Self::given([Length::ZERO; 3]);

    /// Stated in the input.
    #[must_use]
    pub const fn given(by: [Length; 3]) -> Self {
        Self { by, basis: [Basis::Given, Basis::Given, Basis::Given] }
    }
}

/// A place where the vehicle maker lets a supporting stand press.
#[derive(Clone, Debug, PartialEq)]
pub struct StandPlace {
    /// What it is called.
    pub name: String,
    /// Where.
    pub at: Place<Frame>,
    /// Its underside above the ground at ride height.
    pub underside: Length,
}
