//! Forces that common work puts on a raised vehicle.

use statics::Force;

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
    /// Where size and directions come from.
    pub basis: &'static str,
}

const ALL_ROUND: &[[f64; 3]] = &[[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, -1.0, 0.0]];
const UP_AND_DOWN: &[[f64; 3]] = &[[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]];

/// The library of common forces.
pub const LIBRARY: &[CommonForce] = &[
    CommonForce {
        name: "wheel nut",
        title: "breaking a wheel nut loose with a bar of half a metre",
        newtons: 400.0,
        newtons_tolerance: 200.0,
        directions: UP_AND_DOWN,
        basis: "derived: 120 Nm tightened, up to 2.5 times to break loose, 0.5 m bar; common practice, no source",
    },
    CommonForce {
        name: "pry bar",
        title: "a pry bar on a bush or a ball joint",
        newtons: 500.0,
        newtons_tolerance: 200.0,
        directions: ALL_ROUND,
        basis: "common practice, no source: body weight on a one metre bar held in part",
    },
    CommonForce {
        name: "press up",
        title: "pressing a gearbox or an axle up with a jack",
        newtons: 1000.0,
        newtons_tolerance: 500.0,
        directions: &[[0.0, 0.0, 1.0]],
        basis: "common practice, no source: a jack driven a little past the weight of the part",
    },
    CommonForce {
        name: "pull of one person",
        title: "one person pulling or pushing sideways",
        newtons: 200.0,
        newtons_tolerance: 0.0,
        directions: ALL_ROUND,
        basis: "HSE L23 / INDG143: guideline for starting a push, men",
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
    pub const fn size(&self) -> Measured<Force> {
        Measured::assumed(Force::newtons(self.newtons), Force::newtons(self.newtons_tolerance), self.basis)
    }
}
