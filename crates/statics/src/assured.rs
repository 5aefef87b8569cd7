//! What a contact carries at the most and at the least when mass and centre move within their tolerances.

use crate::frame::Place;
use crate::quantity::Force;
use crate::support::{Body, Load, SupportSet};

/// Bounds of one contact's load estimate within the tolerances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AssuredLoad {
    /// The least; zero when some position of the centre has no equilibrium.
    pub least: Force,
    /// The greatest; the whole weight when some position of the centre has no equilibrium.
    pub greatest: Force,
}

impl SupportSet {
    /// Bounds of every contact's load estimate: mass and centre anywhere in their tolerances.
    ///
    /// Placing tolerances widen the centre's box by the largest of them: contacts that all miss
    /// the same way move the load most. While every contact carries, the loads are linear in the
    /// centre's position, so the corners of the box bound them exactly; where some corner lifts a
    /// contact the load range at that corner bounds them instead.
    #[must_use]
    pub fn assured_loads(&self, body: &Body) -> Vec<AssuredLoad> {
        let miss = self.contacts.iter().map(|c| c.place_tolerance.to_metres()).fold(0.0, f64::max);
        let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres() + miss);
        let cg = body.cg.plan().to_metres();
        let heaviest = (body.mass + body.mass_tolerance).weight();
        let lightest = (body.mass - body.mass_tolerance).max(crate::quantity::Mass::ZERO) / body.mass;
        let mut bounds = vec![
            AssuredLoad { least: Force::newtons(f64::INFINITY), greatest: Force::ZERO };
            self.contacts.len()
        ];
        for (sx, sy) in [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)] {
            let at = Place::metres([cg[0] + sx * half[0], cg[1] + sy * half[1]]);
            let load = Load { weight: heaviest, at };
            let lighter = lightest * (body.mass.weight() / heaviest);
            match self.load_estimate(&load) {
                Some(found) if found.loads.iter().all(|n| *n > Force::ZERO) => {
                    for (bound, n) in bounds.iter_mut().zip(&found.loads) {
                        bound.greatest = bound.greatest.max(*n);
                        bound.least = bound.least.min(*n * lighter);
                    }
                }
                Some(_) => {
                    for (bound, n) in bounds.iter_mut().zip(self.load_range(&load).unwrap_or_default()) {
                        bound.greatest = bound.greatest.max(n.greatest);
                        bound.least = bound.least.min(n.least * lighter);
                    }
                }
                None => {
                    bounds.fill(AssuredLoad { least: Force::ZERO, greatest: heaviest });
                    return bounds;
                }
            }
        }
        bounds
    }
}
