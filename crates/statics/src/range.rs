//! Load range: what a contact may carry however unevenly the contacts touch.

use crate::hull::{hull, inside, norm, sides, turn};
use crate::quantity::Force;
use crate::support::{Load, SupportSet};

/// Least and greatest load of one contact over all loads that satisfy statics.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadRange {
    /// The least.
    pub least: Force,
    /// The greatest.
    pub greatest: Force,
}

/// Shares that differ by less are one share: rounding of a 3x3 system.
const ROUNDING: f64 = 1e-12;

impl SupportSet {
    /// Load range of every contact; `None` when the load is outside the hull.
    ///
    /// The extremes lie at loads on at most three contacts, and the other two are then
    /// neighbours on the hull of the rest: a lever through the contact and the load.
    #[must_use]
    pub fn load_range(&self, load: &Load) -> Option<Vec<LoadRange>> {
        self.hulls().load_range(load)
    }

    /// What load ranges are found by, whatever the load.
    #[must_use]
    pub fn hulls(&self) -> Hulls {
        let at = self.places();
        let rest = (0..at.len()).map(|i| {
            let others = at.iter().enumerate().filter(|(j, _)| *j != i);
            let rest: Vec<[f64; 2]> = others.map(|(_, p)| *p).collect();
            let corners = hull(&rest);
            (rest, corners)
        });
        Hulls { span: span(&at), corners: hull(&at), rest: rest.collect(), at }
    }

    /// The two contacts with which one carries its greatest load; `None` if it never carries.
    pub(crate) fn lever(&self, contact: usize, load: &Load) -> Option<[usize; 2]> {
        let mut best: (f64, Option<[usize; 2]>) = (0.0, None);
        self.hulls().levers(contact, load.at.to_metres(), |share, with| {
            if share.min(1.0) > best.0 {
                best = (share.min(1.0), Some(with));
            }
        });
        best.1
    }
}

/// Contacts in plan: the hull of all, and that of all but each.
#[derive(Clone, Debug)]
pub struct Hulls {
    at: Vec<[f64; 2]>,
    span: f64,
    corners: Vec<usize>,
    rest: Vec<(Vec<[f64; 2]>, Vec<usize>)>,
}

impl Hulls {
    /// As [`SupportSet::load_range`].
    #[must_use]
    pub fn load_range(&self, load: &Load) -> Option<Vec<LoadRange>> {
        let (cg, weight) = (load.at.to_metres(), load.weight);
        if inside(&self.at, &self.corners, cg) < -ROUNDING * self.span {
            return None;
        }
        let ranges = (0..self.at.len()).map(|i| {
            let (mut least, mut greatest) = (f64::INFINITY, 0.0f64);
            let spared = self.levers(i, cg, |share, _| {
                least = f64::min(least, share.max(0.0));
                greatest = f64::max(greatest, share.min(1.0));
            });
            if spared {
                least = 0.0;
            }
            if least > greatest {
                least = greatest;
            }
            LoadRange { least: weight * least, greatest: weight * greatest }
        });
        Some(ranges.collect())
    }

    /// Every lever of contact `i`: its share, and the other two. Returns whether the rest hold the load.
    fn levers(&self, i: usize, cg: [f64; 2], mut offer: impl FnMut(f64, [usize; 2])) -> bool {
        let (at, span, (rest, corners)) = (&self.at, self.span, &self.rest[i]);
        for (j, k) in sides(corners) {
            let whole = turn(at[i], rest[j], rest[k]);
            if whole.abs() <= ROUNDING * span * span {
                continue;
            }
            let shares = [turn(cg, rest[j], rest[k]), turn(at[i], cg, rest[k]), turn(at[i], rest[j], cg)]
                .map(|t| t / whole);
            if shares.iter().all(|s| *s >= -ROUNDING) {
                offer(shares[0], [j, k].map(|n| n + usize::from(n >= i)));
            }
        }
        inside(rest, corners, cg) >= -ROUNDING * span
    }
}

/// Size of the set in plan.
pub(crate) fn span(at: &[[f64; 2]]) -> f64 {
    let far = |axis: usize| {
        let (lo, hi) = at
            .iter()
            .map(|p| p[axis])
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)));
        hi - lo
    };
    norm([far(0), far(1)])
}
