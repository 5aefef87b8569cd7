//! What a body's figures may be when none is exactly known: plain random draws, one body on its contacts each.

use crate::elastic::{self, Resultant};
use crate::random::Random;
use crate::{edges, spec::Spec};

/// A body on its contacts, and how each figure is spread about what it is supposed to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// As supposed; its `place_tolerance`s and `tilt_tolerance` are radii of discs that are evenly filled.
    pub middle: Spec,
    /// Half the width within which the mass is even.
    pub mass_off: f64,
    /// Standard deviation of the centre along each axis, normal.
    pub cg_spread: [f64; 3],
    /// Stiffness of each contact at either end, stiffest first; between them they go together, even in what they give.
    pub stiffness: Vec<[f64; 2]>,
    /// By what part each is stiffer or softer than that by itself, in what it gives beyond its stiffest.
    pub differs: f64,
}

impl Doubt {
    /// How it may really be; the tilt is in the centre's place.
    pub fn draw(&self, random: &mut Random) -> Spec {
        let mut found = self.middle.clone();
        found.mass += random.between(-self.mass_off, self.mass_off);
        for (at, spread) in found.cg.iter_mut().zip(self.cg_spread) {
            *at += spread * normal(random);
        }
        let soft = random.unit();
        for (foot, [one, other]) in found.feet.iter_mut().zip(&self.stiffness) {
            let [x, y] = disc(random, foot.place_tolerance);
            foot.at = [foot.at[0] + x, foot.at[1] + y, foot.at[2]];
            let bends = soft / (1.0 + random.between(-self.differs, self.differs));
            foot.stiffness = 1.0 / (1.0 / one + bends * (1.0 / other - 1.0 / one));
        }
        let above = found.cg[2] - found.mean_height();
        let [x, y] = disc(random, above * self.middle.tilt_tolerance.tan());
        found.cg = [found.cg[0] + x, found.cg[1] + y, found.cg[2]];
        found
    }
}

/// Loads of the contacts, N; none where it tips.
#[must_use]
pub fn loads(drawn: &Spec) -> Option<Vec<f64>> {
    (nearest_edge(drawn) >= 0.0).then(|| elastic::loads(drawn, &Resultant::weight(drawn)))?
}

/// Distance of the centre from an edge of the hull, inside positive.
#[must_use]
pub fn edge(drawn: &Spec, (from, to): edges::Edge) -> f64 {
    let at = |i: usize| [drawn.feet[i].at[0], drawn.feet[i].at[1]];
    edges::distance(at(from), at(to), [drawn.cg[0], drawn.cg[1]])
}

/// The least distance from any edge.
#[must_use]
pub fn nearest_edge(drawn: &Spec) -> f64 {
    edges::hull(drawn).into_iter().map(|e| edge(drawn, e)).fold(f64::INFINITY, f64::min)
}

/// Standard normal (Box and Muller 1958).
pub fn normal(random: &mut Random) -> f64 {
    (-2.0 * (1.0 - random.unit()).ln()).sqrt() * (core::f64::consts::TAU * random.unit()).cos()
}

/// Even in a disc, by throwing away what falls outside.
pub fn disc(random: &mut Random, radius: f64) -> [f64; 2] {
    loop {
        let at = [random.between(-1.0, 1.0), random.between(-1.0, 1.0)];
        if at[0] * at[0] + at[1] * at[1] < 1.0 {
            return at.map(|x| x * radius);
        }
    }
}
