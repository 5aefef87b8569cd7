//! What contacts carry at the most and at the least when mass and centre move within their tolerances.

use crate::estimate::Factor;
use crate::frame::Place;
use crate::hull::norm;
use crate::quantity::{Force, Mass};
use crate::range::LoadRange;
use crate::support::{Body, Load, SupportSet};

/// Bounds of load estimates when mass, centre and contacts move within their tolerances.
///
/// While every contact carries, a load is linear in the centre's place, and its change with the
/// contacts' places is convex in it, so the corners of the centre's box bound both; the contacts'
/// discs enter by their first derivatives, each disc its worst way, plus an allowance for the
/// second. Where some corner lifts a contact, the load range there bounds the loads instead, and
/// where some corner has no equilibrium, zero and the whole weight.
#[derive(Clone, Debug)]
pub struct AssuredLoads {
    heaviest: Force,
    lightest: Force,
    /// Shares as if contacts could pull; none where the contacts leave the body free to turn.
    linear: Option<Shares>,
    /// Least and greatest share of each contact by itself, likewise.
    each: Vec<(f64, f64)>,
    kind: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    /// Every contact carries wherever the tolerances go.
    Linear,
    /// Load ranges at the corners of the box.
    Ranges(Vec<Vec<LoadRange>>),
    /// Some position of the centre has no equilibrium.
    Falls,
}

/// Loads as shares of the weight at each corner of the centre's box, as if contacts could pull.
#[derive(Clone, Debug)]
struct Shares {
    feet: Vec<Foot>,
    /// Sinking and slopes under a weight of one at each corner of the box.
    sinks: [[f64; 3]; 4],
    /// What second derivatives may add.
    allowance: f64,
}

/// One contact about the nominal centre.
#[derive(Clone, Debug)]
struct Foot {
    /// (1, x, y).
    row: [f64; 3],
    stiffness: f64,
    disc: f64,
    /// Its stiffness times the sinking and slopes under a weight of one on it.
    soft: [f64; 3],
    /// Its share at each corner of the box.
    shares: [f64; 4],
}

impl Shares {
    /// Least and greatest share of some contacts together.
    ///
    /// d share_i / d place_j = -k_i a_i . H^-1 (d share_j + k_j a_j b . d) + [i = j] k_j b . d, summed
    /// over the contacts i, each disc j its worst way.
    fn sum(&self, contacts: &[usize]) -> (f64, f64) {
        let mut soft = [0.0; 3];
        for &i in contacts {
            for (s, own) in soft.iter_mut().zip(self.feet[i].soft) {
                *s += own;
            }
        }
        let mut share = [0.0; 4];
        let mut moved = [self.allowance; 4];
        for (j, foot) in self.feet.iter().enumerate() {
            let is_one = contacts.contains(&j);
            let own = foot.stiffness * (f64::from(u8::from(is_one)) - dot(&soft, &foot.row));
            for (corner, u) in self.sinks.iter().enumerate() {
                let part = foot.shares[corner];
                if is_one {
                    share[corner] += part;
                }
                moved[corner] += foot.disc * norm([own * u[1] - soft[1] * part, own * u[2] - soft[2] * part]);
            }
        }
        let each = || share.iter().zip(moved);
        let least = each().map(|(s, m)| s - m).fold(f64::INFINITY, f64::min);
        (least, each().map(|(s, m)| s + m).fold(f64::NEG_INFINITY, f64::max))
    }
}

/// Second-order part of the discs' effect, in squares of (largest disc / spread of the contacts).
const SECOND_ORDER: f64 = 2.0;

impl SupportSet {
    /// Bounds of the loads for mass, centre and contacts anywhere in their tolerances.
    #[must_use]
    pub fn assured_loads(&self, body: &Body) -> AssuredLoads {
        let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres());
        let heaviest = (body.mass + body.mass_tolerance).weight();
        let lightest = (body.mass - body.mass_tolerance).max(Mass::ZERO).weight();
        let linear = self.linear(body, half);
        let each: Vec<(f64, f64)> =
            linear.iter().flat_map(|l| (0..l.feet.len()).map(|i| l.sum(&[i]))).collect();
        let kind = if !each.is_empty() && each.iter().all(|e| e.0 > 1e-9) {
            Kind::Linear
        } else {
            self.ranges(body, half, heaviest)
        };
        AssuredLoads { heaviest, lightest, linear, each, kind }
    }

    /// Shares and their changes at the corners of the box, as if contacts could pull.
    fn linear(&self, body: &Body, half: [f64; 2]) -> Option<Shares> {
        if self.contacts.iter().any(|c| c.gap.to_metres() != 0.0) {
            return None;
        }
        let origin = body.cg.plan().to_metres();
        let mut feet = Vec::with_capacity(self.contacts.len());
        let mut h = [[0.0; 3]; 3];
        let mut largest = 0.0f64;
        for c in &self.contacts {
            let [x, y] = c.at.plan().to_metres();
            let row = [1.0, x - origin[0], y - origin[1]];
            let (stiffness, disc) = (c.stiffness.to_newtons_per_metre(), c.place_tolerance.to_metres());
            largest = largest.max(disc);
            for (line, a) in h.iter_mut().zip(row) {
                for (v, b) in line.iter_mut().zip(row) {
                    *v += stiffness * a * b;
                }
            }
            feet.push(Foot { row, stiffness, disc, soft: [0.0; 3], shares: [0.0; 4] });
        }
        let factor = Factor::of(&h)?;
        let spread = ((h[1][1] + h[2][2]) / h[0][0]).sqrt();
        let sinks = BOX.map(|(sx, sy)| factor.solve([1.0, sx * half[0], sy * half[1]]));
        for foot in &mut feet {
            foot.soft = factor.solve(foot.row).map(|v| v * foot.stiffness);
            foot.shares = sinks.map(|u| foot.stiffness * dot(&foot.row, &u));
        }
        Some(Shares { feet, sinks, allowance: SECOND_ORDER * (largest / spread).powi(2) })
    }

    /// Load ranges at the corners of the box, widened by the largest disc.
    fn ranges(&self, body: &Body, half: [f64; 2], weight: Force) -> Kind {
        let cg = body.cg.plan().to_metres();
        let disc = self.contacts.iter().map(|c| c.place_tolerance.to_metres()).fold(0.0, f64::max);
        let half = half.map(|h| h + disc);
        let at = BOX
            .map(|(sx, sy)| Load { weight, at: Place::metres([cg[0] + sx * half[0], cg[1] + sy * half[1]]) });
        at.iter()
            .map(|load| self.load_range(load))
            .collect::<Option<Vec<_>>>()
            .map_or(Kind::Falls, Kind::Ranges)
    }
}

impl AssuredLoads {
    /// Bounds of the sum of some contacts' loads.
    #[must_use]
    pub fn sum(&self, contacts: &[usize]) -> LoadRange {
        match &self.kind {
            Kind::Linear => {
                let (least, greatest) = self.shares(contacts);
                LoadRange { least: self.lightest * least, greatest: self.heaviest * greatest }
            }
            Kind::Ranges(corners) => {
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

    /// Least share of the weight of some contacts together, as if contacts could pull: negative
    /// where one would have to. Falls steadily past the point where a contact lets go. With it, the
    /// greatest load of [`Self::sum`].
    #[must_use]
    pub fn least_share_and_greatest(&self, contacts: &[usize]) -> (f64, Force) {
        match self.kind {
            Kind::Linear => {
                let (least, greatest) = self.shares(contacts);
                (least, self.heaviest * greatest)
            }
            _ if self.linear.is_some() => (self.shares(contacts).0, self.sum(contacts).greatest),
            _ => (0.0, self.sum(contacts).greatest),
        }
    }

    fn shares(&self, contacts: &[usize]) -> (f64, f64) {
        match contacts {
            [i] => self.each[*i],
            _ => self.linear.as_ref().map_or((0.0, 1.0), |l| l.sum(contacts)),
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

/// Corners of a box, in halves of its sides.
const BOX: [(f64, f64); 4] = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
