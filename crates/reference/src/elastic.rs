//! The loads of a rigid body on one-sided springs, by trying every set of carrying contacts.
//!
//! The body sinks by `w + p*x + q*y`; a contact carries `k * (sink - gap)` where that is positive. The
//! potential is convex, so the one set that carries and is nowhere pulled gives the loads.

use crate::dense;
use crate::spec::Spec;

/// What the supports must carry together: force and its moments, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resultant {
    /// Sum of the loads.
    pub force: f64,
    /// Sum of load times x.
    pub force_x: f64,
    /// Sum of load times y.
    pub force_y: f64,
}

impl Resultant {
    /// Of the weight alone.
    #[must_use]
    pub fn weight(spec: &Spec) -> Self {
        let w = spec.weight();
        Self { force: w, force_x: w * spec.cg[0], force_y: w * spec.cg[1] }
    }

    /// Of the weight and a force at a point, horizontal reactions at the contacts' mean height.
    #[must_use]
    pub fn pushed(spec: &Spec, at: [f64; 3], force: [f64; 3]) -> Self {
        let rest = Self::weight(spec);
        let arm = at[2] - spec.mean_height();
        Self {
            force: rest.force - force[2],
            force_x: rest.force_x + arm * force[0] - at[0] * force[2],
            force_y: rest.force_y + arm * force[1] - at[1] * force[2],
        }
    }
}

/// Loads of the contacts, in their order; `None` when no set of them balances the resultant.
#[must_use]
pub fn loads(spec: &Spec, resultant: &Resultant) -> Option<Vec<f64>> {
    let n = spec.feet.len();
    let scale = resultant.force.abs().max(1.0);
    let mut best: Option<(f64, Vec<f64>)> = None;
    for set in 1_u32..(1 << n) {
        if set.count_ones() < 3 {
            continue;
        }
        let Some((fault, loads)) = attempt(spec, resultant, set) else { continue };
        if best.as_ref().is_none_or(|(least, _)| fault < *least) {
            best = Some((fault, loads));
        }
    }
    best.filter(|(fault, _)| *fault <= 1e-9 * scale).map(|(_, loads)| loads)
}

/// Loads if exactly that set carried, and the largest pull or missed contact among all, N.
fn attempt(spec: &Spec, resultant: &Resultant, set: u32) -> Option<(f64, Vec<f64>)> {
    let carries = |i: usize| set & (1 << i) != 0;
    let mut matrix = [[0.0; 3]; 3];
    let mut right = [resultant.force, resultant.force_x, resultant.force_y];
    for (_, foot) in spec.feet.iter().enumerate().filter(|(i, _)| carries(*i)) {
        let row = [1.0, foot.at[0], foot.at[1]];
        for a in 0..3 {
            for b in 0..3 {
                matrix[a][b] += foot.stiffness * row[a] * row[b];
            }
            right[a] += foot.stiffness * foot.gap * row[a];
        }
    }
    let pose = dense::solve(matrix, right)?;
    let mut fault = 0.0_f64;
    let loads = spec
        .feet
        .iter()
        .enumerate()
        .map(|(i, foot)| {
            let press = foot.stiffness * (pose[0] + pose[1] * foot.at[0] + pose[2] * foot.at[1] - foot.gap);
            fault = fault.max(if carries(i) { -press } else { press });
            if carries(i) { press.max(0.0) } else { 0.0 }
        })
        .collect();
    Some((fault, loads))
}

/// The set without one contact.
#[must_use]
pub fn without(spec: &Spec, index: usize) -> Spec {
    let mut rest = spec.clone();
    rest.feet.remove(index);
    rest
}
