//! What contacts carry at the most and at the least when mass and centre move within their tolerances.

use crate::estimate::Factor;
use crate::frame::Place;
use crate::quantity::{Force, Length, Mass};
use crate::range::LoadRange;
use crate::support::{Body, Load, SupportSet};
use crate::unloading::Growth;

/// Bounds of load estimates when mass, centre and contacts move within their tolerances.
///
/// While every contact carries, a load is linear in the centre's place, and its change with the
/// contacts' places is convex in it, so the corners of the centre's box bound both; the contacts'
/// discs enter by their first derivatives, each disc its worst way, plus an allowance for the
/// second. Gaps add loads that balance each other, whatever the weight. Where some corner lifts a contact, the load range there bounds the loads instead, and
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
    origin: [f64; 2],
    factor: Factor,
    /// Sinking and slopes that gaps alone make; none where every contact touches at once.
    uneven: Option<[f64; 3]>,
    /// Spread of the contacts, metres.
    spread: f64,
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
    /// What gaps alone make it carry, newtons: of all contacts together nothing.
    uneven: f64,
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

    /// What discs at their worst move of what a load makes `contacts` carry together: as [`Self::moves`], of a load
    /// that sinks the body so and of which each contact carries so much.
    fn moved(&self, contacts: &[usize], sink: &[f64; 3], carried: impl Fn(&Foot) -> f64) -> f64 {
        let mut soft = [0.0; 3];
        for &i in contacts {
            soft.iter_mut().zip(self.feet[i].soft).for_each(|(sum, own)| *sum += own);
        }
        let of_foot = |(j, foot): (usize, &Foot)| {
            let one = if contacts.contains(&j) { 1.0 } else { 0.0 };
            let own = foot.stiffness * (one - dot(&soft, &foot.row));
            let along = |axis: usize| own * sink[axis] - soft[axis] * carried(foot);
            let (x, y) = (along(1), along(2));
            foot.disc * (x * x + y * y).sqrt()
        };
        self.feet.iter().enumerate().map(of_foot).sum()
    }

    /// What gaps make some contacts carry together, newtons, and how far discs may move it.
    fn uneven(&self, contacts: &[usize]) -> (f64, f64) {
        let Some(sink) = &self.uneven else { return (0.0, 0.0) };
        let load = contacts.iter().map(|i| self.feet[*i].uneven).sum();
        let most = self.feet.iter().map(|foot| foot.uneven.abs()).fold(0.0, f64::max);
        (load, self.moved(contacts, sink, |foot| foot.uneven) + self.allowance * most)
    }

    /// What a newton of a push adds to the load of a contact, as if contacts could pull: at the least and at the most.
    fn added(&self, contact: usize, push: &Growth) -> (f64, f64) {
        let [down, x, y] = push.0;
        let about = [down, x - down * self.origin[0], y - down * self.origin[1]];
        let sink = self.factor.solve(about);
        let own = dot(&self.feet[contact].soft, &about);
        let size = down.abs() + about[1].hypot(about[2]) / self.spread;
        let carried = |foot: &Foot| dot(&foot.soft, &about);
        let moved = self.moved(&[contact], &sink, carried) + self.allowance * size;
        (own - moved, own + moved)
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
            uneven: self.uneven.is_some().then(|| self.uneven(contacts)),
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
        /// Where contacts do not touch at once: newtons that gaps make the contacts carry, and how far those may be off.
        uneven: Option<(f64, f64)>,
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
        let carries = |l: &Shares, i: usize| {
            let (uneven, off) = l.uneven(&[i]);
            let least = |weight: f64| l.feet[i].alone.0 * weight + uneven - off > 1e-9 * weight;
            least(lightest.to_newtons()) && least(heaviest.to_newtons())
        };
        let carry = |l: &Shares| (0..l.feet.len()).all(|i| carries(l, i));
        let kind =
            if linear.as_ref().is_some_and(carry) { Kind::Linear } else { self.ranges(body, half, heaviest) };
        AssuredLoads { heaviest, lightest, linear, kind }
    }

    /// Shares and their changes at the corners of the box, as if contacts could pull.
    fn linear(&self, body: &Body, half: [f64; 2]) -> Option<Shares> {
        let origin = body.cg.plan().to_metres();
        let mut feet = Vec::with_capacity(self.contacts.len());
        let mut h = [[0.0; 3]; 3];
        let mut lifted = [0.0; 3];
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
            for (sum, a) in lifted.iter_mut().zip(row) {
                *sum += stiffness * c.gap.to_metres() * a;
            }
            let (soft, shares, alone) = ([0.0; 3], [0.0; 4], (0.0, 0.0));
            feet.push(Foot { row, stiffness, disc, soft, shares, uneven: 0.0, alone });
        }
        let factor = Factor::of(&h)?;
        let spread = ((h[1][1] + h[2][2]) / h[0][0]).sqrt();
        let sinks = BOX.map(|(sx, sy)| factor.solve([1.0, sx * half[0], sy * half[1]]));
        for foot in &mut feet {
            foot.soft = factor.solve(foot.row).map(|v| v * foot.stiffness);
            foot.shares = sinks.map(|u| foot.stiffness * dot(&foot.row, &u));
        }
        let uneven = self.contacts.iter().any(|c| c.gap != Length::ZERO).then(|| factor.solve(lifted));
        if let Some(sink) = &uneven {
            for (foot, c) in feet.iter_mut().zip(&self.contacts) {
                foot.uneven = foot.stiffness * (dot(&foot.row, sink) - c.gap.to_metres());
            }
        }
        let sinks = [0, 1, 2].map(|axis| sinks.map(|u| u[axis]));
        let allowance = SECOND_ORDER * (largest / spread).powi(2);
        let mut shares = Shares { feet, origin, factor, uneven, spread, sinks, allowance };
        for i in 0..shares.feet.len() {
            shares.feet[i].alone = shares.sum(&[i]);
        }
        Some(shares)
    }

    /// Load ranges at the corners of the box, widened by the largest disc.
    fn ranges(&self, body: &Body, half: [f64; 2], weight: Force) -> Kind {
        let hulls = self.hulls();
        let ranges = self.widened(body, half, weight).map(|load| hulls.load_range(&load));
        ranges.into_iter().collect::<Option<_>>().map_or(Kind::Falls, Kind::Ranges)
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
        self.range(contacts, self.shares(contacts), self.uneven(contacts))
    }

    /// The same by their shares, and by what gaps make them carry and how far off that may be.
    fn range(
        &self,
        contacts: &[usize],
        (least, greatest): (f64, f64),
        (uneven, off): (f64, f64),
    ) -> LoadRange {
        match &self.kind {
            Kind::Linear => LoadRange {
                least: (self.lightest * least).min(self.heaviest * least) + Force::newtons(uneven - off),
                greatest: (self.heaviest * greatest).max(self.lightest * greatest)
                    + Force::newtons(uneven + off),
            },
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
        let (shares, (uneven, off)) = (self.shares(contacts), self.uneven(contacts));
        let greatest = self.range(contacts, shares, (uneven, off)).greatest;
        if self.linear.is_none() {
            return (0.0, greatest);
        }
        // Of the lighter weight it is the greater part.
        let weight = if uneven < off { self.lightest } else { self.heaviest };
        (shares.0 + Force::newtons(uneven - off) / weight, greatest)
    }

    /// What a newton of a push adds to a contact's load, at the least and at the most, while all contacts carry.
    #[must_use]
    pub fn added(&self, contact: usize, push: &Growth) -> Option<(f64, f64)> {
        self.linear.as_ref().map(|linear| linear.added(contact, push))
    }

    fn uneven(&self, contacts: &[usize]) -> (f64, f64) {
        self.linear.as_ref().map_or((0.0, 0.0), |linear| linear.uneven(contacts))
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
