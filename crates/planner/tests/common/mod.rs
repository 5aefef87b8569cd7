//! An invented lift and vehicle for the tests.
#![allow(
    missing_docs,
    unreachable_pub,
    clippy::unwrap_used,
    reason = "test support, used by several test binaries"
)]

use planner::lift::{
    Adapter, Arm, Band, BandEnd, BayLength, Columns, Corner, Lift, PadKit, PadSurface, Rise, SpottingPlate,
};
use planner::vehicle::{
    BodyClass, Door, Drive, FrameKind, LiftArea, Mirrors, Outline, Seat, Vehicle, Weight, Wheels,
};
use planner::{Measured, Region};
use statics::{Angle, Length, Mass, Place};

pub fn m(v: f64) -> Length {
    Length::metres(v)
}

pub fn lift() -> Lift {
    let arm = |front: bool, left: bool| {
        let side = if left { 1.0 } else { -1.0 };
        let x = if front { 0.12 } else { -0.12 };
        let (from, to) = match (front, left) {
            (true, true) => (-80.0, -5.0),
            (true, false) => (5.0, 80.0),
            (false, true) => (-175.0, -100.0),
            (false, false) => (100.0, 175.0),
        };
        Arm {
            pivot: Place::metres([x, side * 1.32]),
            reach_in: m(0.60),
            reach_out: m(1.15),
            stages: 2,
            swing_from: Angle::degrees(from),
            swing_to: Angle::degrees(to),
            tooth_pitch: None,
            beam_width: m(0.11),
            beam_top: m(0.10),
            rated: None,
            stiffness_out: None,
        }
    };
    let end = |inches: f64, included| Some(BandEnd { wheelbase: Length::inches(inches), included });
    Lift {
        name: "test bay".into(),
        teaches: None,
        rated: Mass::kilograms(3200.0),
        columns: Columns { inside: m(2.75), front_face: m(0.14), rear_face: m(-0.14) },
        arms: [arm(true, true), arm(true, false), arm(false, true), arm(false, false)],
        pads: PadKit {
            radius: m(0.06),
            lowest: m(0.098),
            travel: m(0.055),
            adapters: vec![Adapter { height: m(0.045), count: 4 }, Adapter { height: m(0.09), count: 4 }],
            stack_most: 1,
            surface: PadSurface::Rubber,
        },
        rise: Rise { locks: (4..18).map(|k| m(0.1 * f64::from(k))).collect(), most: m(1.8) },
        headroom: Some(m(3.6)),
        plate: Some(SpottingPlate {
            bands: vec![
                Band { mark: "A".into(), from: None, to: end(105.0, false), front_wheel: m(1.12) },
                Band { mark: "B".into(), from: end(105.0, true), to: end(127.0, true), front_wheel: m(1.25) },
                Band { mark: "C".into(), from: end(127.0, false), to: None, front_wheel: m(1.5) },
            ],
            tolerance: m(0.025),
        }),
        permitted_front_share: None,
        split_rule_binds: false,
        backwards_allowed: false,
        bay: Some(BayLength { ahead: m(3.0), behind: m(4.0) }),
    }
}

pub fn hatchback() -> Vehicle {
    let area = |corner: Corner, aft: [f64; 2]| {
        let (a, b) = if corner.is_left() { (0.66, 0.74) } else { (-0.74, -0.66) };
        LiftArea {
            name: format!("seam {}", corner.name()),
            corner,
            region: Region::new(
                [[aft[0], a], [aft[1], a], [aft[1], b], [aft[0], b]].map(Place::metres).to_vec(),
            )
            .unwrap(),
            underside: m(0.19),
            seat: Seat::SeamInSlot,
        }
    };
    Vehicle {
        name: "hatchback".into(),
        teaches: None,
        wheelbase: Measured::given(m(2.55), m(0.005)),
        outline: Outline {
            front_overhang: m(0.8),
            rear_overhang: m(0.65),
            width: m(1.72),
            roof: m(1.48),
            mirrors: Some(Mirrors { width: m(1.96), aft: m(0.55) }),
        },
        wheels: Wheels {
            track_front: m(1.50),
            track_rear: m(1.49),
            track_off: [Length::ZERO; 2],
            tyre_diameter: m(0.61),
            tyre_width: m(0.19),
        },
        weight: Weight::AxleLoads {
            front: Measured::given(Mass::kilograms(700.0), Mass::kilograms(5.0)),
            rear: Measured::given(Mass::kilograms(440.0), Mass::kilograms(5.0)),
        },
        cg_height: None,
        class: BodyClass::Hatchback,
        drive: Drive::Front,
        frame: FrameKind::Unibody,
        lift_areas: vec![
            area(Corner::FrontLeft, [0.48, 0.66]),
            area(Corner::FrontRight, [0.48, 0.66]),
            area(Corner::RearLeft, [1.90, 2.06]),
            area(Corner::RearRight, [1.90, 2.06]),
        ],
        keep_outs: vec![],
        sill_height: m(0.17),
        droop: Measured::given(m(0.08), m(0.02)),
        doors: vec![Door {
            name: "driver".into(),
            hinge: Place::metres([0.45, 0.82]),
            length: m(1.1),
            opens: Angle::degrees(68.0),
        }],
        stand_places: vec![],
        parts: vec![],
        unmeasured: planner::quick::Unmeasured::default(),
    }
}
