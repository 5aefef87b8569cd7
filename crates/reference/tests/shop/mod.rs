//! Vehicles and lifts of the checks, built from few numbers. Invented, of plausible size.

#![allow(
    dead_code,
    clippy::panic,
    reason = "each test uses its own part of the shop, and ends where it fails"
)]

use planner::frames::{DrivenIn, Placement};
use planner::lift::{
    Adapter, Arm, Band, BandEnd, BayLength, Columns, Corner, PadKit, PadSurface, Rise, SpottingPlate,
};
use planner::measured::Measured;
use planner::setup::PadAt;
use planner::vehicle::{BodyClass, Drive, FrameKind, LiftArea, Off, Outline, Part, Seat, Weight, Wheels};
use planner::{Lift, Plan, Region, Setup, Vehicle, VehicleFrame};
use reference::random::Random;
use statics::{Angle, Length, Mass, Place, Point, Stiffness};

pub(crate) fn m(value: f64) -> Length {
    Length::metres(value)
}

pub(crate) fn exact<Q: Copy + Default + core::ops::Mul<f64, Output = Q>>(value: Q) -> Measured<Q> {
    Measured::given(value, Q::default())
}

/// A part of exactly known mass.
pub(crate) fn part(name: &str, mass: Mass, at: Point<VehicleFrame>) -> Part {
    Part { name: name.into(), mass: exact(mass), at, off: Off::NONE, after: vec![] }
}

/// A vehicle of which only weight and centre of gravity matter.
pub(crate) fn weighing(mass: Mass, aft: Length, up: Length, wheelbase: Length) -> Vehicle {
    Vehicle {
        name: "weighing".into(),
        teaches: None,
        wheelbase: exact(wheelbase),
        outline: Outline {
            front_overhang: m(0.9),
            rear_overhang: m(0.9),
            width: m(1.8),
            roof: m(1.9),
            mirrors: None,
        },
        wheels: Wheels {
            track_front: m(1.5),
            track_rear: m(1.5),
            tyre_diameter: m(0.62),
            tyre_width: m(0.2),
        },
        weight: Weight::TotalAndShare { total: exact(mass), front_share: exact(1.0 - aft / wheelbase) },
        cg_height: Some(exact(up)),
        class: BodyClass::Sedan,
        drive: Drive::Front,
        frame: FrameKind::Unibody,
        lift_areas: vec![],
        keep_outs: vec![],
        sill_height: m(0.22),
        droop: exact(m(0.1)),
        doors: vec![],
        stand_places: vec![],
        parts: vec![],
        unmeasured: planner::quick::Unmeasured::default(),
    }
}

/// Strips along both sills: aft from and to of the front and of the rear, half the distance between their
/// middles, their width, undersides.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sills {
    pub(crate) front: [f64; 2],
    pub(crate) rear: [f64; 2],
    pub(crate) left: f64,
    pub(crate) width: f64,
    pub(crate) undersides: [f64; 2],
}

impl Sills {
    /// Where sills commonly leave room behind and ahead of the wheels.
    pub(crate) fn of(wheelbase: f64, track: f64) -> Self {
        Self {
            front: [0.45, 0.45 + 0.2 * wheelbase],
            rear: [0.65 * wheelbase, wheelbase - 0.45],
            left: track / 2.0 - 0.11,
            width: 0.08,
            undersides: [0.22, 0.22],
        }
    }

    pub(crate) fn areas(&self) -> Vec<LiftArea> {
        Corner::ALL
            .into_iter()
            .map(|corner| {
                let [from, to] = if corner.is_front() { self.front } else { self.rear };
                let left = if corner.is_left() { self.left } else { -self.left };
                let (from, to) = (Place::metres([from, left]), Place::metres([to, left]));
                let region = Region::strip(from, to, m(self.width));
                LiftArea {
                    name: format!("sill {}", corner.name()),
                    corner,
                    region: region.unwrap_or_else(|f| panic!("{f:?}")),
                    underside: m(self.undersides[usize::from(!corner.is_front())]),
                    seat: Seat::Flat,
                }
            })
            .collect()
    }
}

/// An arm of the front left; the other three mirror it. Pivot ahead and beside, swing stops in degrees.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ArmShape {
    pub(crate) pivot: [f64; 2],
    pub(crate) reach: [f64; 2],
    pub(crate) swing: [f64; 2],
    pub(crate) teeth: Option<f64>,
}

impl ArmShape {
    pub(crate) fn at(&self, corner: Corner) -> Arm {
        let (ahead, beside) = (self.pivot[0], self.pivot[1]);
        // Swing of the front left arm runs from its inner stop (across) to straight ahead.
        let [from, to] = match corner {
            Corner::FrontLeft => self.swing,
            Corner::FrontRight => [-self.swing[1], -self.swing[0]],
            Corner::RearLeft => [-180.0 - self.swing[1], -180.0 - self.swing[0]],
            Corner::RearRight => [180.0 + self.swing[0], 180.0 + self.swing[1]],
        };
        Arm {
            pivot: Place::metres([
                if corner.is_front() { ahead } else { -ahead },
                if corner.is_left() { beside } else { -beside },
            ]),
            reach_in: m(self.reach[0]),
            reach_out: m(self.reach[1]),
            stages: 3,
            swing_from: Angle::degrees(from),
            swing_to: Angle::degrees(to),
            tooth_pitch: self.teeth.map(Angle::degrees),
            beam_width: m(0.11),
            beam_top: m(0.10),
            rated: None,
            stiffness_out: None,
        }
    }
}

/// A lift with front and rear arms of given shapes and no plate.
pub(crate) fn lift(rated: Mass, front: ArmShape, rear: ArmShape) -> Lift {
    Lift {
        name: "bay".into(),
        teaches: None,
        rated,
        columns: Columns { inside: m(2.7), front_face: m(0.15), rear_face: m(-0.15) },
        arms: Corner::ALL.map(|c| if c.is_front() { front.at(c) } else { rear.at(c) }),
        pads: PadKit {
            radius: m(0.06),
            lowest: m(0.10),
            travel: m(0.06),
            adapters: vec![Adapter { height: m(0.075), count: 4 }],
            stack_most: 1,
            surface: PadSurface::Rubber,
        },
        rise: Rise { locks: vec![m(0.3), m(0.8), m(1.3), m(1.7)], most: m(1.8) },
        headroom: None,
        plate: None,
        permitted_front_share: None,
        split_rule_binds: false,
        backwards_allowed: false,
        bay: Some(BayLength { ahead: m(4.0), behind: m(5.0) }),
    }
}

/// An arm whose stiffness is known exactly: 400 N/mm at 1 m, by the cube of its reach.
pub(crate) fn gauged(arm: &mut Arm) {
    let out = 400_000.0 / arm.reach_out.to_metres().powi(3);
    arm.stiffness_out = Some(Measured::given(Stiffness::newtons_per_metre(out), Stiffness::ZERO));
}

/// Symmetric arms that serve cars.
pub(crate) const CAR_ARM: ArmShape =
    ArmShape { pivot: [0.12, 1.22], reach: [0.60, 1.25], swing: [-85.0, -5.0], teeth: None };

/// Three lifts that differ in what they teach: symmetric and light, short front arms and heavy, with a plate.
pub(crate) fn lifts() -> Vec<Lift> {
    let mut symmetric = lift(Mass::kilograms(3500.0), CAR_ARM, CAR_ARM);
    symmetric.name = "symmetric, 3.5 t".into();
    let mut asymmetric = lift(
        Mass::kilograms(5000.0),
        ArmShape { reach: [0.55, 1.05], ..CAR_ARM },
        ArmShape { reach: [0.75, 1.55], ..CAR_ARM },
    );
    asymmetric.name = "short arms ahead, 5 t".into();
    asymmetric.backwards_allowed = true;
    let mut plated = lift(Mass::pounds(10_000.0), CAR_ARM, ArmShape { reach: [0.6, 1.45], ..CAR_ARM });
    plated.name = "with a plate, 10,000 lb".into();
    plated.plate = Some(plate([1.05, 1.25, 1.45]));
    vec![symmetric, asymmetric, plated]
}

/// A plate with three bands divided at 105 and 127 in, both ends in the middle band.
pub(crate) fn plate(front_wheel: [f64; 3]) -> SpottingPlate {
    let end = |inches: f64, included: bool| Some(BandEnd { wheelbase: Length::inches(inches), included });
    let band = |mark: &str, from, to, x: f64| Band { mark: mark.into(), from, to, front_wheel: m(x) };
    SpottingPlate {
        bands: vec![
            band("A", None, end(105.0, false), front_wheel[0]),
            band("B", end(105.0, true), end(127.0, true), front_wheel[1]),
            band("C", end(127.0, false), None, front_wheel[2]),
        ],
        tolerance: m(0.03),
    }
}

/// A lift and a vehicle drawn from a seed: arms, areas, weight and centre of gravity all vary.
pub(crate) fn drawn(random: &mut Random) -> (Lift, Vehicle) {
    let mut shape = |least: f64, most: f64| ArmShape {
        pivot: [random.between(0.05, 0.25), random.between(1.15, 1.3)],
        reach: [random.between(0.5, 0.65), random.between(least, most)],
        swing: [random.between(-90.0, -70.0), random.between(-15.0, 0.0)],
        teeth: None,
    };
    let (front, rear) = (shape(0.95, 1.3), shape(1.0, 1.6));
    let mut lift = lift(Mass::kilograms(random.between(3000.0, 5500.0)), front, rear);
    lift.split_rule_binds = random.chance(0.3);
    let wheelbase = random.between(2.4, 3.1);
    let mass = Mass::kilograms(random.between(1000.0, 2400.0));
    let aft = m(wheelbase * random.between(0.37, 0.52));
    let mut vehicle = weighing(mass, aft, m(random.between(0.45, 0.7)), m(wheelbase));
    let mut sills = Sills::of(wheelbase, random.between(1.4, 1.6));
    sills.width = random.between(0.05, 0.14);
    sills.front[1] = sills.front[0] + random.between(0.08, 0.45);
    sills.rear[0] = sills.rear[1] - random.between(0.08, 0.45);
    vehicle.lift_areas = sills.areas();
    (lift, vehicle)
}

/// A strong lift and a light car with narrow sills: loads never bind.
pub(crate) fn drawn_roomy(random: &mut Random) -> (Lift, Vehicle) {
    let (mut lift, mut vehicle) = drawn(random);
    lift.rated = Mass::kilograms(8000.0);
    lift.split_rule_binds = false;
    vehicle.weight = Weight::TotalAndShare {
        total: exact(Mass::kilograms(random.between(800.0, 1100.0))),
        front_share: exact(random.between(0.5, 0.56)),
    };
    let wheelbase = vehicle.wheelbase.value.to_metres();
    let mut sills = Sills::of(wheelbase, random.between(1.4, 1.6));
    sills.width = random.between(0.03, 0.08);
    sills.front[1] = sills.front[0] + random.between(0.06, 0.2);
    sills.rear[0] = sills.rear[1] - random.between(0.06, 0.2);
    vehicle.lift_areas = sills.areas();
    // Arms that just reach, so that the spot matters too.
    let apart = sills.rear[0] - sills.front[1];
    for arm in &mut lift.arms {
        let across = arm.pivot.y().to_metres().abs() - sills.left;
        let along = apart / 2.0 - arm.pivot.x().to_metres().abs() + random.between(0.02, 0.08);
        arm.reach_out = m(across.hypot(along));
    }
    (lift, vehicle)
}

/// The setup of a plan.
pub(crate) fn setup_of(plan: &Plan) -> Setup {
    Setup {
        placement: plan.placement,
        pads: [0, 1, 2, 3].map(|i: usize| PadAt { at: plan.pads[i].at, adapters: None, height: None }),
    }
}

/// A setup on the bay's centre line.
pub(crate) fn setup(spot: f64, driven_in: DrivenIn, pads: [[f64; 2]; 4]) -> Setup {
    Setup {
        placement: Placement::square(m(spot), driven_in),
        pads: pads.map(|at| PadAt { at: Place::metres(at), adapters: None, height: None }),
    }
}
