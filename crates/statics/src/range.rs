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
        let at = self.places();
        let (cg, weight) = (load.at.to_metres(), load.weight);
        let span = span(&at);
        if inside(&at, &hull(&at), cg) < -ROUNDING * span {
            return None;
        }
        let mut rest: Vec<[f64; 2]> = Vec::with_capacity(at.len());
        let ranges = (0..at.len()).map(|i| {
            let (mut least, mut greatest) = (f64::INFINITY, 0.0f64);
            let spared = levers(&at, i, cg, span, &mut rest, |share, _| {
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

    /// The two contacts with which one carries its greatest load; `None` if it never carries.
    pub(crate) fn lever(&self, contact: usize, load: &Load) -> Option<[usize; 2]> {
        let at = self.places();
        let mut best: (f64, Option<[usize; 2]>) = (0.0, None);
        levers(&at, contact, load.at.to_metres(), span(&at), &mut Vec::new(), |share, with| {
            if share.min(1.0) > best.0 {
                best = (share.min(1.0), Some(with));
            }
        });
        best.1
    }
}

/// Every lever of contact `i`: its share, and the other two. Returns whether the rest hold the load.
fn levers(
    at: &[[f64; 2]],
    i: usize,
    cg: [f64; 2],
    span: f64,
    rest: &mut Vec<[f64; 2]>,
    mut offer: impl FnMut(f64, [usize; 2]),
) -> bool {
    rest.clear();
    rest.extend(at.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, p)| *p));
    let corners = hull(rest);
    for (j, k) in sides(&corners) {
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
    inside(rest, &corners, cg) >= -ROUNDING * span
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
