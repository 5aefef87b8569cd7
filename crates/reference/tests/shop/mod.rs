//! Vehicles and lifts of the checks, built from few numbers.

#![allow(dead_code, reason = "each test file uses its own part of the shop")]

use planner::Vehicle;
use planner::measured::Measured;
use planner::vehicle::{BodyClass, Drive, FrameKind, Outline, Part, Weight, Wheels};
use statics::{Length, Mass, Point};

fn exact<Q: Default>(value: Q) -> Measured<Q> {
    Measured::given(value, Q::default())
}

/// A vehicle of which only weight and centre of gravity matter.
pub(crate) fn weighing(mass: Mass, aft: Length, up: Length, wheelbase: Length) -> Vehicle {
    Vehicle {
        name: "weighing".into(),
        teaches: None,
        wheelbase: exact(wheelbase),
        outline: Outline {
            front_overhang: Length::metres(0.9),
            rear_overhang: Length::metres(0.9),
            width: Length::metres(1.8),
            roof: Length::metres(1.9),
            mirrors: None,
        },
        wheels: Wheels {
            track_front: Length::metres(1.5),
            track_rear: Length::metres(1.5),
            tyre_diameter: Length::metres(0.62),
            tyre_width: Length::metres(0.2),
        },
        weight: Weight::TotalAndShare { total: exact(mass), front_share: exact(1.0 - aft / wheelbase) },
        cg_height: Some(exact(up)),
        class: BodyClass::Sedan,
        drive: Drive::Front,
        frame: FrameKind::Unibody,
        lift_areas: vec![],
        keep_outs: vec![],
        sill_height: Length::metres(0.2),
        droop: exact(Length::metres(0.1)),
        doors: vec![],
        parts: vec![],
    }
}

/// A part of exactly known mass.
pub(crate) fn part(name: &str, mass: Mass, at: Point<planner::VehicleFrame>) -> Part {
    Part { name: name.into(), mass: exact(mass), at, after: vec![] }
}
