//! A vehicle file, `vehicle/1`.

use clap::ValueEnum;
use schemars::JsonSchema;
use serde::Deserialize;
use statics::{Angle, Length, Mass};

use super::region::{End, Place, Side, Strip};
use crate::input::quantity::Share;
use crate::input::{At, OrNone, Text};

/// A road vehicle as a technician measures it with a tape.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Vehicle {
    /// What this file is and its version: "vehicle/1".
    #[expect(dead_code, reason = "read before the rest, to know what the file is")]
    pub(crate) standfast: String,
    /// True while the file still holds the values that `standfast new` wrote: no plan is made from them.
    pub(crate) example_values: Option<At<bool>>,
    /// What the shop calls the vehicle.
    pub(crate) name: At<String>,
    /// What it shows a learner, if it is demonstration data.
    #[schemars(length(max = 300))]
    pub(crate) teaches: Option<String>,
    /// Class of body, for what is not measured.
    pub(crate) class: Class,
    /// Driven wheels, for what is not measured.
    pub(crate) drive: Drive,
    /// How the body is built; by its class if left out.
    pub(crate) frame: Option<Frame>,
    /// Front hub centre to rear hub centre. Or give `wheelbase_left` and `wheelbase_right`.
    pub(crate) wheelbase: Option<Text<Length>>,
    /// The same measured on the left side.
    pub(crate) wheelbase_left: Option<Text<Length>>,
    /// The same measured on the right side.
    pub(crate) wheelbase_right: Option<Text<Length>>,
    /// Height of the centre of gravity above the ground, if known; estimated from the class if left out.
    pub(crate) cg_height: Option<Text<Length>>,
    /// Lowest underside between the wheels, where the arms pass under, above the ground; from its class if left out.
    pub(crate) sill_height: Option<Text<Length>>,
    /// How far the wheels drop when the body is lifted; from its class if left out.
    pub(crate) droop: Option<Text<Length>>,
    /// What nobody looked at, as older files say it: leaving it out says the same.
    #[serde(default, rename = "unknown")]
    pub(crate) _unknown: Vec<Unknown>,
    /// Outer dimensions; whatever is left out is taken from its class, at the end that serves a plan worst.
    #[serde(default)]
    pub(crate) outline: Outline,
    /// Wheels and tyres, likewise.
    #[serde(default)]
    pub(crate) wheels: Wheels,
    /// What is known of the weight: four wheels, two axles, total and front share, or total.
    pub(crate) weight: At<Weight>,
    /// Where the vehicle maker allows a pad.
    pub(crate) lift_areas: At<Vec<At<LiftArea>>>,
    /// Where neither pad nor arm may press; "none" if somebody looked and nothing is there. Left out, nobody looked.
    pub(crate) keep_outs: Option<OrNone<Vec<At<KeepOut>>>>,
    /// Doors that matter beside a column; "none" if none can matter. Left out, nobody looked.
    pub(crate) doors: Option<OrNone<Vec<At<Door>>>>,
    /// Places where the vehicle maker lets a supporting stand press.
    #[serde(default)]
    pub(crate) stand_places: Vec<At<StandPlace>>,
    /// Parts that a job may take off.
    #[serde(default)]
    pub(crate) parts: Vec<At<Part>>,
}

/// What nobody looked at.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Unknown {
    /// Lines, tanks, plastic, a battery case.
    KeepOuts,
    /// Doors beside a column.
    Doors,
    /// How far the mirrors stick out.
    Mirrors,
}

/// Outer dimensions.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Outline {
    /// Overall length, foremost to rearmost point.
    pub(crate) length: Option<Text<Length>>,
    /// Front hub centre to the foremost point.
    pub(crate) front_overhang: Option<Text<Length>>,
    /// Width of the body without mirrors.
    pub(crate) width: Option<Text<Length>>,
    /// Top of the roof above the ground.
    pub(crate) roof: Option<Text<Length>>,
    /// Width over both mirrors, as they are when driving in; "none" if none sticks out.
    pub(crate) mirror_width: Option<OrNone<Text<Length>>>,
    /// Front hub centre back to the mirrors.
    pub(crate) mirror_aft: Option<Text<Length>>,
}

/// Wheels and tyres.
#[derive(Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Wheels {
    /// Between the middles of the front tyres.
    pub(crate) track_front: Option<Text<Length>>,
    /// Between the middles of the rear tyres.
    pub(crate) track_rear: Option<Text<Length>>,
    /// Outer diameter of the tyres.
    pub(crate) tyre_diameter: Option<Text<Length>>,
    /// Width of the tyres.
    pub(crate) tyre_width: Option<Text<Length>>,
}

/// What is known of the weight; one of the four ways.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Weight {
    /// Front left wheel on a scale.
    pub(crate) front_left: Option<Text<Mass>>,
    /// Front right wheel on a scale.
    pub(crate) front_right: Option<Text<Mass>>,
    /// Rear left wheel on a scale.
    pub(crate) rear_left: Option<Text<Mass>>,
    /// Rear right wheel on a scale.
    pub(crate) rear_right: Option<Text<Mass>>,
    /// Front axle on a scale.
    pub(crate) front_axle: Option<Text<Mass>>,
    /// Rear axle on a scale.
    pub(crate) rear_axle: Option<Text<Mass>>,
    /// The whole vehicle.
    pub(crate) total: Option<Text<Mass>>,
    /// The front axle's share of the total.
    pub(crate) front_share: Option<Text<Share>>,
}

/// Class of body.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, ValueEnum)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Class {
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

/// Driven wheels.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, ValueEnum)]
#[serde(rename_all = "lowercase")]
pub(crate) enum Drive {
    /// Front wheels.
    Front,
    /// Rear wheels.
    Rear,
    /// All wheels.
    All,
    /// Battery vehicle, whichever wheels.
    Battery,
}

/// How the body is built.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
pub(crate) enum Frame {
    /// Self-supporting body.
    #[serde(rename = "unibody")]
    Unibody,
    /// Body on a ladder frame.
    #[serde(rename = "frame rails")]
    FrameRails,
}

/// One place where the vehicle maker allows a pad: where the middle of the pad may be.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LiftArea {
    /// What it is called.
    pub(crate) name: At<String>,
    /// Which end of the vehicle it serves.
    pub(crate) end: End,
    /// Which side; "both" is given on the left and mirrored.
    pub(crate) side: Side,
    /// Its corners in order, each as [behind the front axle, left of centre]. Or give `strip` or `at`.
    pub(crate) corners: Option<At<Vec<Place>>>,
    /// A strip along a straight line.
    pub(crate) strip: Option<At<Strip>>,
    /// A point: the middle of the pad may be in a small square about it.
    pub(crate) at: Option<At<Place>>,
    /// Its underside above the ground at ride height; from the vehicle's class if left out.
    pub(crate) underside: Option<Text<Length>>,
    /// How the pad sits; flat if left out.
    pub(crate) seat: Option<Seat>,
}

/// How the pad sits.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
pub(crate) enum Seat {
    /// Flat against flat.
    #[serde(rename = "flat")]
    Flat,
    /// A seam that runs fore and aft in a slotted pad.
    #[serde(rename = "seam in slot")]
    SeamInSlot,
}

/// Where neither pad nor arm may press.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeepOut {
    /// What is there.
    pub(crate) name: At<String>,
    /// Left out if it is given where it is; "both" is given on the left and mirrored.
    pub(crate) side: Option<Side>,
    /// Its corners in order, each as [behind the front axle, left of centre]. Or give `strip`.
    pub(crate) corners: Option<At<Vec<Place>>>,
    /// A strip along a straight line.
    pub(crate) strip: Option<At<Strip>>,
}

/// A hinged door.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Door {
    /// What it is called; with side "both" the two are called "NAME left" and "NAME right".
    pub(crate) name: At<String>,
    /// Which side; "both" is given on the left and mirrored.
    pub(crate) side: Side,
    /// Its hinge, as [behind the front axle, left of centre].
    pub(crate) hinge: Place,
    /// Hinge to the free edge.
    pub(crate) length: Text<Length>,
    /// How wide it opens when nothing is in the way.
    pub(crate) opens: Text<Angle>,
}

/// A part that a job may take off, or a load.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Part {
    /// What it is called.
    pub(crate) name: At<String>,
    /// Its mass.
    pub(crate) mass: Text<Mass>,
    /// Its centre of gravity, as [behind the front axle, left of centre, above the ground]; each may say how far it may be off
    /// ("1.38 m +- 20 mm"), else 30 mm along and across, and a tenth of its height, are assumed.
    pub(crate) at: [Text<Length>; 3],
    /// Names of parts that must be off before it.
    #[serde(default)]
    pub(crate) after: Vec<At<String>>,
}

/// A place where a supporting stand may press.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StandPlace {
    /// What it is called; with side "both" the two are called "NAME left" and "NAME right".
    pub(crate) name: At<String>,
    /// Left out if it is given where it is; "both" is given on the left and mirrored.
    pub(crate) side: Option<Side>,
    /// Where, as [behind the front axle, left of centre].
    pub(crate) at: Place,
    /// Its underside above the ground at ride height.
    pub(crate) underside: Text<Length>,
}
