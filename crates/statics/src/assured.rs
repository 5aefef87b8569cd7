//! What contacts carry at the most and at the least when mass and centre move within their tolerances.

use crate::estimate::solve_symmetric;
use crate::frame::Place;
use crate::quantity::{Force, Mass};
use crate::range::LoadRange;
use crate::support::{Body, Load, SupportSet};

/// Bounds of load estimates within the tolerances of mass and centre.
///
/// Placing tolerances widen the centre's box by the largest of them: contacts that all miss the
/// same way move the load most. While every contact carries, loads are linear in the centre's
/// position, so the bounds are exact; where some corner of the box lifts a contact, the load range
/// there bounds them instead, and where some corner has no equilibrium, zero and the whole weight.
#[derive(Clone, Debug)]
pub struct AssuredLoads {
    heaviest: Force,
    lightest: Force,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    /// Share of the weight at the centre's best estimate, and its change along X and Y to the box's sides.
    Linear(Vec<[f64; 3]>),
    /// Load ranges, in shares of the weight, at the corners of the box.
    Corners(Vec<Vec<LoadRange>>),
    /// Some position of the centre has no equilibrium.
    Falls,
}

impl SupportSet {
    /// Bounds of the loads for mass and centre anywhere in their tolerances.
    #[must_use]
    pub fn assured_loads(&self, body: &Body) -> AssuredLoads {
        let miss = self.contacts.iter().map(|c| c.place_tolerance.to_metres()).fold(0.0, f64::max);
        let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres() + miss);
        let heaviest = (body.mass + body.mass_tolerance).weight();
        let lightest = (body.mass - body.mass_tolerance).max(Mass::ZERO).weight();
        let kind = self
            .linear(body, half, lightest)
            .map_or_else(|| self.corners(body, half, heaviest), Kind::Linear);
        AssuredLoads { heaviest, lightest, kind }
    }

    /// Shares while every contact carries everywhere in the box, lightest body included.
    fn linear(&self, body: &Body, half: [f64; 2], lightest: Force) -> Option<Vec<[f64; 3]>> {
        let origin = body.cg.plan().to_metres();
        let weight = body.mass.weight().to_newtons();
        let row = |at: [f64; 3]| [1.0, at[0] - origin[0], at[1] - origin[1]];
        if self.contacts.iter().any(|c| c.gap.to_metres() != 0.0) {
            return None;
        }
        let mut h = [[0.0; 3]; 3];
        for c in &self.contacts {
            let (row, k) = (row(c.at.to_metres()), c.stiffness.to_newtons_per_metre());
            for a in 0..3 {
                for b in 0..3 {
                    h[a][b] += k * row[a] * row[b];
                }
            }
        }
        let answers = [
            solve_symmetric(h, [1.0, 0.0, 0.0])?,
            solve_symmetric(h, [0.0, 1.0, 0.0])?,
            solve_symmetric(h, [0.0, 0.0, 1.0])?,
        ];
        let mut shares = Vec::with_capacity(self.contacts.len());
        for c in &self.contacts {
            let (row, k) = (row(c.at.to_metres()), c.stiffness.to_newtons_per_metre());
            let [n, x, y] = answers.map(|u| k * (u[0] * row[0] + u[1] * row[1] + u[2] * row[2]));
            let share = [n, x * half[0], y * half[1]];
            if (share[0] - share[1].abs() - share[2].abs()) * lightest.to_newtons() <= 1e-9 * weight {
                return None;
            }
            shares.push(share);
        }
        Some(shares)
    }

    fn corners(&self, body: &Body, half: [f64; 2], weight: Force) -> Kind {
        let cg = body.cg.plan().to_metres();
        let at = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)]
            .map(|(sx, sy)| Load { weight, at: Place::metres([cg[0] + sx * half[0], cg[1] + sy * half[1]]) });
        at.iter()
            .map(|load| self.load_range(load))
            .collect::<Option<Vec<_>>>()
            .map_or(Kind::Falls, Kind::Corners)
    }
}

impl AssuredLoads {
    /// Bounds of the sum of some contacts' loads.
    #[must_use]
    pub fn sum(&self, contacts: &[usize]) -> LoadRange {
        match &self.kind {
            Kind::Linear(shares) => {
                let add = |k: usize| contacts.iter().map(|&i| shares[i][k]).sum::<f64>();
                let sway = add(1).abs() + add(2).abs();
                LoadRange {
                    least: self.lightest * (add(0) - sway),
                    greatest: self.heaviest * (add(0) + sway),
                }
            }
            Kind::Corners(corners) => {
                let add = |f: fn(&LoadRange) -> Force, c: &Vec<LoadRange>| {
                    contacts.iter().map(|&i| f(&c[i])).sum::<Force>()
                };
                let least = corners.iter().map(|c| add(|r| r.least, c)).fold(self.heaviest, Force::min);
                let greatest = corners.iter().map(|c| add(|r| r.greatest, c)).fold(Force::ZERO, Force::max);
                LoadRange {
                    least: least * (self.lightest / self.heaviest),
                    greatest: greatest.min(self.heaviest),
                }
            }
            Kind::Falls => LoadRange { least: Force::ZERO, greatest: self.heaviest },
        }
    }

    /// The greatest mean weight within the tolerance, for shares of it.
    #[must_use]
    pub const fn heaviest(&self) -> Force {
        self.heaviest
    }

    /// The least weight within the tolerance.
    #[must_use]
    pub const fn lightest(&self) -> Force {
        self.lightest
    }
}
