//! Forces that common work puts on a raised vehicle.

use statics::{Force, Length};

use crate::job::{Bar, Lies};
use crate::measured::Measured;

/// A force of common work: how large, in which directions, on what basis.
#[derive(Clone, Debug, PartialEq)]
pub struct CommonForce {
    /// Its name in a job file.
    pub name: &'static str,
    /// What it is.
    pub title: &'static str,
    /// How large.
    pub newtons: f64,
    /// How far it may be off, either way.
    pub newtons_tolerance: f64,
    /// Directions in which it may act, each (aft, left, up).
    pub directions: &'static [[f64; 3]],
    /// The bar that the hand pulls.
    pub bar: Option<Bar>,
    /// Where size, directions and bar come from.
    pub basis: &'static str,
}

const ALL_ROUND: &[[f64; 3]] = &[[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]];
const UP_AND_DOWN: &[[f64; 3]] = &[[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]];
const ALL_ROUND_AND_DOWN: &[[f64; 3]] =
    &[[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]];

/// The library of common forces.
pub const LIBRARY: &[CommonForce] = &[
    CommonForce {
        name: "wheel nut",
        title: "breaking a wheel nut loose with a bar of half a metre",
        newtons: 400.0,
        newtons_tolerance: 200.0,
        directions: UP_AND_DOWN,
        bar: Some(Bar { length: Length::metres(0.5), lies: Lies::InTheWheelPlane }),
        // 120 N m on half a metre, once to two and a half times.
        basis: "derived: once to two and a half times the tightening torque of a car's wheel nut, over the length of a common bar; both common practice, no source",
    },
    CommonForce {
        name: "pry bar",
        title: "a pry bar on a bush or a ball joint",
        newtons: 500.0,
        newtons_tolerance: 200.0,
        directions: ALL_ROUND_AND_DOWN,
        bar: Some(Bar { length: Length::metres(0.6), lies: Lies::AnyWay }),
        basis: "common practice, no source: a hard pull with good footing to nearly a body's weight hung on the bar; bars as long as such are; what the bar's own lever makes of the pull stays within the vehicle, the pull itself acts at the hand",
    },
    CommonForce {
        name: "press up",
        title: "pressing a gearbox or an axle up with a jack",
        newtons: 1000.0,
        newtons_tolerance: 500.0,
        directions: &[[0.0, 0.0, 1.0]],
        bar: None,
        // 50 to 150 kg.
        basis: "derived: a jack driven on until as much as a gearbox or an axle weighs presses against the vehicle; what they weigh is common practice, no source",
    },
    CommonForce {
        name: "pull of one person",
        title: "one person pulling or pushing sideways",
        newtons: 200.0,
        newtons_tolerance: 0.0,
        directions: ALL_ROUND,
        bar: None,
        basis: "HSE L23 / INDG143: guideline for starting a push, men",
    },
    CommonForce {
        name: "pull of two people",
        title: "two people pulling or pushing sideways",
        newtons: 400.0,
        newtons_tolerance: 0.0,
        directions: ALL_ROUND,
        bar: None,
        basis: "from memory: EN 280, manual force of two or more persons; twice the HSE L23 / INDG143 guideline of one",
    },
];

/// The force of that name.
#[must_use]
pub fn find(name: &str) -> Option<&'static CommonForce> {
    LIBRARY.iter().find(|f| f.name == name)
}

impl CommonForce {
    /// Its size, as an assumption.
    #[must_use]
    pub fn size(&self) -> Measured<Force> {
        Measured::assumed(Force::newtons(self.newtons), Force::newtons(self.newtons_tolerance), self.basis)
    }
}
