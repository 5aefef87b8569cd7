//! What contacts carry at the most and at the least when mass and centre move within their tolerances.

use crate::estimate::Factor;
use crate::frame::Place;
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
    /// Sinking, and slope along each axis, under a weight of one at each corner of the box.
    sinks: [[f64; 4]; 3],
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
    /// Least and greatest share of it by itself.
    alone: (f64, f64),
}

impl Shares {
    /// Least and greatest share of some contacts together.
    fn sum(&self, contacts: &[usize]) -> (f64, f64) {
        let mut share = [0.0; 4];
        for &i in contacts {
            share.iter_mut().zip(&self.feet[i].shares).for_each(|(sum, own)| *sum += own);
        }
        let mut moved = [self.allowance; 4];
        self.moves(contacts, |_, moves| moved.iter_mut().zip(moves).for_each(|(sum, own)| *sum += own));
        let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
        for (s, m) in share.iter().zip(moved) {
            least = least.min(s - m);
            greatest = greatest.max(s + m);
        }
        (least, greatest)
    }

    /// Tells of each contact, for every corner of the box, what its disc, at its worst, moves of the share of
    /// `contacts` together.
    ///
    /// d share_i / d place_j = -k_i a_i . H^-1 (d share_j + k_j a_j b . d) + [i = j] k_j b . d, summed
    /// over the contacts i.
    #[inline(always)]
    fn moves(&self, contacts: &[usize], mut tell: impl FnMut(usize, [f64; 4])) {
        let mut soft = [0.0; 3];
        for &i in contacts {
            soft.iter_mut().zip(self.feet[i].soft).for_each(|(sum, own)| *sum += own);
        }
        let [_, slopes_x, slopes_y] = &self.sinks;
        for (j, foot) in self.feet.iter().enumerate() {
            let one = if contacts.contains(&j) { 1.0 } else { 0.0 };
            let own = foot.stiffness * (one - dot(&soft, &foot.row));
            let square: [f64; 4] = core::array::from_fn(|k| {
                let x = own * slopes_x[k] - soft[1] * foot.shares[k];
                let y = own * slopes_y[k] - soft[2] * foot.shares[k];
                x * x + y * y
            });
            tell(j, square.map(|s| foot.disc * s.sqrt()));
        }
    }

    /// What a bound is made of.
    fn account(&self, contacts: &[usize], bound: Bound) -> Account {
        let sign = if bound == Bound::LeastShare { -1.0 } else { 1.0 };
        let mut at = [0.0; 4];
        for &i in contacts {
            at.iter_mut().zip(self.feet[i].shares).for_each(|(at, share)| *at += sign * share);
        }
        let mut moved = vec![[0.0; 4]; self.feet.len()];
        self.moves(contacts, |j, moves| {
            at.iter_mut().zip(moves).for_each(|(at, own)| *at += own);
            moved[j] = moves;
        });
        let worst = worst_of(|k| at[k]);
        Account::Linear {
            corner: BOX[worst].into(),
            shares: self.feet.iter().map(|foot| foot.shares[worst]).collect(),
            moved: moved.iter().map(|m| m[worst]).collect(),
            allowance: self.allowance,
        }
    }
}

/// Index of the corner of the box where a figure is greatest.
fn worst_of(figure: impl Fn(usize) -> f64) -> usize {
    (0..BOX.len()).max_by(|a, b| figure(*a).total_cmp(&figure(*b))).unwrap_or(0)
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
        let carry = |l: &Shares| l.feet.iter().all(|foot| foot.alone.0 > 1e-9);
        let kind =
            if linear.as_ref().is_some_and(carry) { Kind::Linear } else { self.ranges(body, half, heaviest) };
        AssuredLoads { heaviest, lightest, linear, kind }
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
            feet.push(Foot { row, stiffness, disc, soft: [0.0; 3], shares: [0.0; 4], alone: (0.0, 0.0) });
        }
        let factor = Factor::of(&h)?;
        let spread = ((h[1][1] + h[2][2]) / h[0][0]).sqrt();
        let sinks = BOX.map(|(sx, sy)| factor.solve([1.0, sx * half[0], sy * half[1]]));
        for foot in &mut feet {
            foot.soft = factor.solve(foot.row).map(|v| v * foot.stiffness);
            foot.shares = sinks.map(|u| foot.stiffness * dot(&foot.row, &u));
        }
        let sinks = [0, 1, 2].map(|axis| sinks.map(|u| u[axis]));
        let mut shares = Shares { feet, sinks, allowance: SECOND_ORDER * (largest / spread).powi(2) };
        for i in 0..shares.feet.len() {
            shares.feet[i].alone = shares.sum(&[i]);
        }
        Some(shares)
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
        match (&assured.kind, &assured.linear, bound) {
            (Kind::Linear, Some(linear), _) | (_, Some(linear), Bound::LeastShare) => {
                linear.account(contacts, bound)
            }
            (Kind::Ranges(corners), _, Bound::GreatestLoad) => {
                let sum = |k: usize| contacts.iter().map(|&i| corners[k][i].greatest.to_newtons()).sum();
                let worst = worst_of(sum);
                let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres());
                let load = &self.widened(body, half, assured.heaviest)[worst];
                let with = contacts.iter().map(|&i| self.lever(i, load)).collect();
                Account::Levers { corner: BOX[worst].into(), with }
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
        match (&self.linear, contacts) {
            (None, _) => (0.0, 1.0),
            (Some(linear), [i]) => linear.feet[*i].alone,
            (Some(linear), _) => linear.sum(contacts),
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
