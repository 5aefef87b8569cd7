//! What contacts carry at the most and at the least when mass and centre move within their tolerances.

use crate::estimate::solve_symmetric;
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
    contacts: usize,
    /// For each corner: share of each contact, then for each pair (i, j) how share i changes along X
    /// and along Y when contact j moves as far as its disc lets it.
    figures: Vec<f64>,
    /// What second derivatives may add.
    allowance: f64,
}

impl Shares {
    /// Least and greatest share of some contacts together.
    fn sum(&self, contacts: &[usize]) -> (f64, f64) {
        let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
        for corner in 0..BOX.len() {
            let share = self.share(corner, contacts);
            let moved = (0..self.contacts).map(|j| self.moved(corner, contacts, j)).sum::<f64>();
            least = least.min(share - (moved + self.allowance));
            greatest = greatest.max(share + (moved + self.allowance));
        }
        (least, greatest)
    }

    /// Shares at a corner of the box, then their changes.
    fn at(&self, corner: usize) -> (&[f64], &[f64]) {
        let size = self.contacts + 2 * self.contacts * self.contacts;
        self.figures[corner * size..(corner + 1) * size].split_at(self.contacts)
    }

    /// Share of some contacts together at a corner of the box, every contact in the middle of its disc.
    fn share(&self, corner: usize, contacts: &[usize]) -> f64 {
        let (shares, _) = self.at(corner);
        contacts.iter().map(|&i| shares[i]).sum()
    }

    /// How far contact `j` may change that share from within its disc.
    fn moved(&self, corner: usize, contacts: &[usize], j: usize) -> f64 {
        let (_, moves) = self.at(corner);
        let (mut x, mut y) = (0.0, 0.0);
        for &i in contacts {
            let at = 2 * (i * self.contacts + j);
            x += moves[at];
            y += moves[at + 1];
        }
        norm([x, y])
    }
}

/// Second-order part of the discs' effect, in squares of (largest disc / spread of the contacts).
/// Derived for the order of size; that 2 suffices was sampled, not proved.
pub const SECOND_ORDER: f64 = 2.0;

/// Which bound of assured loads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Least share of the weight, as if contacts could pull.
    LeastShare,
    /// Greatest load.
    GreatestLoad,
}

/// What a bound of [`AssuredLoads`] is made of.
#[derive(Clone, Debug, PartialEq)]
pub enum Account {
    /// share of the contacts at a corner of the centre's box +- (sum of `moved` + `allowance`), a
    /// load by the greatest weight.
    Linear {
        /// Which corner, in halves of the box's sides.
        corner: [f64; 2],
        /// Share of every contact there.
        shares: Vec<f64>,
        /// What each contact's disc adds.
        moved: Vec<f64>,
        /// What second derivatives may add.
        allowance: f64,
    },
    /// Sum of the contacts' greatest loads by levers, at a corner of the box widened by the largest
    /// disc; at most the greatest weight.
    Levers {
        /// Which corner, in halves of the widened box's sides.
        corner: [f64; 2],
        /// For each of the contacts asked for, the two it balances with; none = it carries nothing.
        with: Vec<Option<[usize; 2]>>,
    },
    /// No equilibrium at some corner: no share, or the whole weight.
    Falls,
}

impl SupportSet {
    /// Bounds of the loads for mass, centre and contacts anywhere in their tolerances.
    #[must_use]
    pub fn assured_loads(&self, body: &Body) -> AssuredLoads {
        let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres());
        let heaviest = (body.mass + body.mass_tolerance).weight();
        let lightest = (body.mass - body.mass_tolerance).max(Mass::ZERO).weight();
        let linear = self.linear(body, half);
        let each: Vec<(f64, f64)> =
            linear.iter().flat_map(|l| (0..l.contacts).map(|i| l.sum(&[i]))).collect();
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
        let n = self.contacts.len();
        let rows: Vec<([f64; 3], f64, f64)> = self
            .contacts
            .iter()
            .map(|c| {
                let [x, y] = c.at.plan().to_metres();
                let row = [1.0, x - origin[0], y - origin[1]];
                (row, c.stiffness.to_newtons_per_metre(), c.place_tolerance.to_metres())
            })
            .collect();
        let mut h = [[0.0; 3]; 3];
        for (row, k, _) in &rows {
            for a in 0..3 {
                for b in 0..3 {
                    h[a][b] += k * row[a] * row[b];
                }
            }
        }
        // The inverse is symmetric: its columns are its rows.
        let inverse = [
            solve_symmetric(h, [1.0, 0.0, 0.0])?,
            solve_symmetric(h, [0.0, 1.0, 0.0])?,
            solve_symmetric(h, [0.0, 0.0, 1.0])?,
        ];
        let spread = ((h[1][1] + h[2][2]) / h[0][0]).sqrt();
        let largest = rows.iter().map(|r| r.2).fold(0.0, f64::max);
        let allowance = SECOND_ORDER * (largest / spread).powi(2);
        let softened: Vec<[f64; 3]> =
            rows.iter().map(|(row, k, _)| times(&inverse, row).map(|v| v * k)).collect();
        let mut figures = Vec::with_capacity(BOX.len() * (n + 2 * n * n));
        for (sx, sy) in BOX {
            let u = times(&inverse, &[1.0, sx * half[0], sy * half[1]]);
            let start = figures.len();
            figures.extend(rows.iter().map(|(row, k, _)| k * dot(row, &u)));
            for (i, soft) in softened.iter().enumerate() {
                for (j, (row, k, disc)) in rows.iter().enumerate() {
                    // d load_i / d place_j: -k_i a_i . H^-1 (d load_j + k_j a_j b . d) + [i = j] k_j b . d
                    let own = if i == j { *k } else { 0.0 } - k * dot(soft, row);
                    let share = figures[start + j];
                    figures.push(disc * (own * u[1] - soft[1] * share));
                    figures.push(disc * (own * u[2] - soft[2] * share));
                }
            }
        }
        Some(Shares { contacts: n, figures, allowance })
    }

    /// Load ranges at the corners of the box, widened by the largest disc.
    fn ranges(&self, body: &Body, half: [f64; 2], weight: Force) -> Kind {
        self.widened(body, half, weight)
            .iter()
            .map(|load| self.load_range(load))
            .collect::<Option<Vec<_>>>()
            .map_or(Kind::Falls, Kind::Ranges)
    }

    /// The weight at the corners of the box, widened by the largest disc.
    fn widened(&self, body: &Body, half: [f64; 2], weight: Force) -> [Load; 4] {
        let cg = body.cg.plan().to_metres();
        let disc = self.contacts.iter().map(|c| c.place_tolerance.to_metres()).fold(0.0, f64::max);
        let half = half.map(|h| h + disc);
        BOX.map(|(sx, sy)| Load { weight, at: Place::metres([cg[0] + sx * half[0], cg[1] + sy * half[1]]) })
    }

    /// What [`AssuredLoads::least_share_and_greatest`] of some contacts is made of.
    #[must_use]
    pub fn account(&self, body: &Body, contacts: &[usize], bound: Bound) -> Account {
        let assured = self.assured_loads(body);
        let sign = if bound == Bound::LeastShare { -1.0 } else { 1.0 };
        let worst = |f: &dyn Fn(usize) -> f64| {
            (0..BOX.len()).max_by(|a, b| f(*a).total_cmp(&f(*b))).map_or((0, [0.0; 2]), |k| {
                let (x, y) = BOX[k];
                (k, [x, y])
            })
        };
        match (&assured.kind, &assured.linear, bound) {
            (Kind::Linear, Some(linear), _) | (_, Some(linear), Bound::LeastShare) => {
                let all = |k: usize| (0..linear.contacts).map(move |j| linear.moved(k, contacts, j));
                let (k, corner) = worst(&|k| sign * linear.share(k, contacts) + all(k).sum::<f64>());
                Account::Linear {
                    corner,
                    shares: linear.at(k).0.to_vec(),
                    moved: all(k).collect(),
                    allowance: linear.allowance,
                }
            }
            (Kind::Ranges(corners), _, Bound::GreatestLoad) => {
                let (k, corner) =
                    worst(&|k| contacts.iter().map(|&i| corners[k][i].greatest.to_newtons()).sum());
                let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres());
                let load = &self.widened(body, half, assured.heaviest)[k];
                Account::Levers { corner, with: contacts.iter().map(|&i| self.lever(i, load)).collect() }
            }
            _ => Account::Falls,
        }
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

fn times(m: &[[f64; 3]; 3], v: &[f64; 3]) -> [f64; 3] {
    [dot(&m[0], v), dot(&m[1], v), dot(&m[2], v)]
}
