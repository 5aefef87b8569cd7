//! Edge distances of the support polygon, assured and nominal, and the tip ratio.

use crate::frame::Ground;
use crate::hull::{hull, left_of, norm, sides};
use crate::quantity::Length;
use crate::support::{Body, Contact, SupportSet};

/// How a body stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Inside every edge whatever the tolerances do.
    Stable,
    /// Outside an edge even as given.
    Tips,
    /// Inside as given, but not whatever the tolerances do.
    Undecided,
}

/// One edge of the support polygon, anticlockwise seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// Contact at its beginning.
    pub from: usize,
    /// Contact at its end.
    pub to: usize,
    /// Signed distance of the centre of gravity in plan, positive inside.
    pub distance: Length,
    /// Its least value within all tolerances.
    pub assured: Length,
}

/// How a body stands on its support set.
#[derive(Clone, Debug, PartialEq)]
pub struct Stability {
    /// How it stands.
    pub outcome: Outcome,
    /// The edges, anticlockwise.
    pub edges: Vec<Edge>,
    /// Least assured edge distance.
    pub assured: Length,
    /// Horizontal acceleration, in g, that starts to tip it; `None` when its centre is not above the contacts.
    pub tip_ratio: Option<f64>,
}

impl SupportSet {
    /// Edge distances, their least values within all tolerances, and the tip ratio.
    ///
    /// Assured = centre anywhere in its box, each contact anywhere in its disc, the plane tilted by
    /// up to the tilt tolerance, which moves the centre in plan by h tan(tilt); all at once, exactly.
    /// h = height of the centre above the contacts' mean height, at the top of its tolerance.
    #[must_use]
    pub fn stability(&self, body: &Body) -> Stability {
        let (height, sway) = self.sway(body);
        let at = self.places();
        let edges: Vec<Edge> = sides(&hull(&at))
            .map(|(i, j)| Edge {
                from: i,
                to: j,
                distance: Length::metres(left_of(at[i], at[j], body.cg.plan().to_metres())),
                assured: Length::metres(worst_normal(&self.contacts[i], &self.contacts[j], body, sway).0),
            })
            .collect();
        let least =
            |f: fn(&Edge) -> Length| edges.iter().map(f).fold(Length::metres(f64::INFINITY), Length::min);
        let (nominal, assured) = (least(|e| e.distance), least(|e| e.assured));
        let outcome = if assured > Length::ZERO {
            Outcome::Stable
        } else if nominal < Length::ZERO {
            Outcome::Tips
        } else {
            Outcome::Undecided
        };
        let tip_ratio = (height > Length::ZERO).then(|| assured / height);
        Stability { outcome, edges, assured, tip_ratio }
    }

    /// Height of the centre above the contacts, at the top of its tolerance, and how far the tilt moves it.
    fn sway(&self, body: &Body) -> (Length, f64) {
        let height = body.cg.z() + body.cg_tolerance[2] - self.mean_height();
        (height, height.abs().to_metres() * body.tilt_tolerance.to_radians().tan())
    }

    /// The assured distance of the centre from the line of two contacts, positive to its left, and its normal.
    pub(crate) fn assured_edge(&self, body: &Body, from: usize, to: usize) -> (Length, Normal) {
        let (far, normal) = worst_normal(&self.contacts[from], &self.contacts[to], body, self.sway(body).1);
        (Length::metres(far), normal)
    }

    /// How the assured distance of an edge grows for a metre that its first and its second contact move, ahead and
    /// left.
    #[must_use]
    pub fn edge_slopes(&self, body: &Body, from: usize, to: usize) -> [[f64; 2]; 2] {
        slopes(&self.contacts[from], &self.contacts[to], body, self.worst_normal(body, from, to))
    }

    /// The normal at which the assured distance of an edge is least, and how it is found.
    #[must_use]
    pub fn worst_normal(&self, body: &Body, from: usize, to: usize) -> Normal {
        self.assured_edge(body, from, to).1
    }
}

/// A normal of an edge, to the left of from-to, as it may lie when contacts move in their discs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Normal {
    /// That of the middles, turned clockwise by an angle whose sine is (a ra + b rb) / (distance of the middles).
    Turned {
        /// Sign of the first radius.
        a: f64,
        /// Sign of the second radius.
        b: f64,
        /// Its cosine is negative: turned past a right angle, as only discs that meet allow.
        round: bool,
    },
    /// Along an axis.
    Axis([f64; 2]),
    /// Along (contact - centre + (sx hx, sy hy)): opposite a corner of the centre's box seen from a contact.
    Seen {
        /// Whether the contact is the edge's second.
        second: bool,
        /// Which corner: sx, sy.
        corner: [f64; 2],
    },
}

/// Least signed distance of any possible centre from any line that meets both contacts' discs.
///
/// A line with unit normal n (to the left of a to b) that meets both discs encroaches at most to
/// min(n.a + ra, n.b + rb); so the distance is, over the normals for which a line meets both discs,
/// the least of max(n.(c-a) - ra, n.(c-b) - rb) - hx |nx| - hy |ny| - sway. It is made of
/// sinusoids, so the minimum is at an end of the arc, where the two are equal, or where one
/// sinusoid is stationary: finitely many normals. Where the discs meet, the edge may point anywhere, and the arc
/// is the whole circle.
fn worst_normal(a: &Contact, b: &Contact, body: &Body, sway: f64) -> (f64, Normal) {
    let (pa, pb) = (plan(a.at), plan(b.at));
    let (ra, rb) = (a.place_tolerance.to_metres(), b.place_tolerance.to_metres());
    let c = plan(body.cg);
    let half = [body.cg_tolerance[0].to_metres(), body.cg_tolerance[1].to_metres()];
    let along = [pb[0] - pa[0], pb[1] - pa[1]];
    let long = norm(along);
    let meet = ra + rb >= long;
    let t = [along[0] / long, along[1] / long];
    let left = [-t[1], t[0]];
    let mut least = (f64::INFINITY, Normal::Axis(left));
    let mut offer = |n: [f64; 2], normal: Normal| {
        let from_a = n[0] * (c[0] - pa[0]) + n[1] * (c[1] - pa[1]) - ra;
        let from_b = n[0] * (c[0] - pb[0]) + n[1] * (c[1] - pb[1]) - rb;
        let d = from_a.max(from_b) - half[0] * n[0].abs() - half[1] * n[1].abs() - sway;
        if d < least.0 {
            least = (d, normal);
        }
    };
    // Both ends of the arc, and the line that touches both discs from one side.
    let ends = [(1.0, 1.0, false), (-1.0, -1.0, false), (-1.0, 1.0, false)];
    let touching = [(-1.0, 1.0, false), (-1.0, 1.0, true)];
    for &(sa, sb, round) in if meet { &touching[..] } else { &ends[..] } {
        let s = (sa * ra + sb * rb) / long;
        // A disc within the other touches no line that the other touches.
        if s.abs() <= 1.0 {
            let k = (1.0 - s * s).sqrt() * if round { -1.0 } else { 1.0 };
            let normal = Normal::Turned { a: sa, b: sb, round };
            offer([left[0] * k - t[0] * s, left[1] * k - t[1] * s], normal);
        }
    }
    // Normals in the arc among the axes, and opposite a corner of the box seen from a contact.
    let most = (ra + rb) / long;
    let mut offer_in_arc = |v: [f64; 2], normal: Normal| {
        let ahead = v[0] * left[0] + v[1] * left[1] > 0.0;
        if !(ahead || meet) {
            return;
        }
        let size = norm(v);
        let in_arc = ahead && (v[0] * t[0] + v[1] * t[1]).abs() <= most * size;
        if in_arc || meet && size > 0.0 {
            offer([v[0] / size, v[1] / size], normal);
        }
    };
    for axis in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
        offer_in_arc(axis, Normal::Axis(axis));
    }
    for (p, second) in [(pa, false), (pb, true)] {
        for corner in [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]] {
            let v = [p[0] - c[0] + corner[0] * half[0], p[1] - c[1] + corner[1] * half[1]];
            offer_in_arc(v, Normal::Seen { second, corner });
        }
    }
    least
}

/// How the distance of [`worst_normal`] grows as each contact moves: along the normal as it is, and as the normal turns.
fn slopes(a: &Contact, b: &Contact, body: &Body, normal: Normal) -> [[f64; 2]; 2] {
    let (at, c) = ([plan(a.at), plan(b.at)], plan(body.cg));
    let radii = [a, b].map(|contact| contact.place_tolerance.to_metres());
    let half = [0, 1].map(|k| body.cg_tolerance[k].to_metres());
    let along = [at[1][0] - at[0][0], at[1][1] - at[0][1]];
    let long = norm(along);
    let t = along.map(|v| v / long);
    let left = [-t[1], t[0]];
    // The normal, and how it turns, anticlockwise, for a metre that each contact moves.
    let (n, turns) = match normal {
        Normal::Axis(n) => (n, [[0.0; 2]; 2]),
        Normal::Seen { second, corner } => {
            let p = at[usize::from(second)];
            let v = [0, 1].map(|k| p[k] - c[k] + corner[k] * half[k]);
            let size = norm(v);
            let n = v.map(|v| v / size);
            let own = [-n[1] / size, n[0] / size];
            (n, if second { [[0.0; 2], own] } else { [own, [0.0; 2]] })
        }
        Normal::Turned { a, b, round } => {
            let s = (a * radii[0] + b * radii[1]) / long;
            let k = (1.0 - s * s).sqrt() * if round { -1.0 } else { 1.0 };
            let own = [0, 1].map(|i| (left[i] - t[i] * s / k) / long);
            ([0, 1].map(|i| left[i] * k - t[i] * s), [own.map(|v: f64| -v), own])
        }
    };
    let from = |k: usize| [c[0] - at[k][0], c[1] - at[k][1]];
    let distance = |k: usize| n[0] * from(k)[0] + n[1] * from(k)[1] - radii[k];
    let held = usize::from(distance(1) > distance(0));
    let across = [-n[1], n[0]];
    let by_turn: f64 = (0..2).map(|i| across[i] * (from(held)[i] - half[i] * n[i].signum())).sum();
    let mut slopes = turns.map(|turn| turn.map(|v| v * by_turn));
    slopes[held].iter_mut().zip(n).for_each(|(slope, n)| *slope -= n);
    slopes
}

fn plan(p: crate::frame::Point<Ground>) -> [f64; 2] {
    p.plan().to_metres()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Point;
    use crate::quantity::{Angle, Mass, Stiffness};
    use crate::support::Resists;

    fn contact(x: f64, y: f64) -> Contact {
        Contact {
            at: Point::metres([x, y, 0.2]),
            place_tolerance: Length::metres(0.01),
            stiffness: Stiffness::newtons_per_metre(1.0),
            gap: Length::ZERO,
            friction: 0.2,
            rated: None,
            resists: Resists::EveryDirection,
        }
    }

    /// Against difference quotients, wherever the centre is, so that every kind of normal decides.
    #[test]
    fn slopes_are_those_of_small_moves() {
        const MOVE: f64 = 1e-7;
        let corners = [[0.9, 0.7], [-0.8, 0.75], [-1.0, -0.6], [0.7, -0.8]];
        // Discs so wide that an edge may turn far.
        let wide = |[x, y]: [f64; 2]| Contact { place_tolerance: Length::metres(0.2), ..contact(x, y) };
        let set = |at: [[f64; 2]; 4]| SupportSet::new(at.map(wide).into()).unwrap();
        let mut kinds = [0; 3];
        for place in 0..225 {
            let cg = [0.2 * f64::from(place % 15) - 1.4 + 0.003, 0.2 * f64::from(place / 15) - 1.4 + 0.007];
            let body = Body {
                mass: Mass::kilograms(1000.0),
                mass_tolerance: Mass::ZERO,
                cg: Point::metres([cg[0], cg[1], 0.7]),
                cg_tolerance: [0.05, 0.02, 0.1].map(Length::metres),
                tilt_tolerance: Angle::degrees(1.0),
            };
            for (from, to) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
                let (here, normal) = set(corners).assured_edge(&body, from, to);
                kinds[match normal {
                    Normal::Turned { .. } => 0,
                    Normal::Axis(_) => 1,
                    Normal::Seen { .. } => 2,
                }] += 1;
                let slopes = set(corners).edge_slopes(&body, from, to);
                for (contact, slope) in [from, to].into_iter().zip(slopes) {
                    for axis in 0..2 {
                        let mut moved = corners;
                        moved[contact][axis] += MOVE;
                        let there = set(moved).assured_edge(&body, from, to).0;
                        let quotient = (there - here).to_metres() / MOVE;
                        assert!((quotient - slope[axis]).abs() < 1e-4, "{normal:?}: {quotient}, {slope:?}");
                    }
                }
            }
        }
        assert!(kinds[0] > 0 && kinds[2] > 0, "{kinds:?}");
    }

    #[test]
    fn tolerances_add_up_on_a_square() {
        let set = SupportSet::new(vec![
            contact(1.0, 1.0),
            contact(-1.0, 1.0),
            contact(-1.0, -1.0),
            contact(1.0, -1.0),
        ])
        .unwrap();
        let body = Body {
            mass: Mass::kilograms(1000.0),
            mass_tolerance: Mass::ZERO,
            cg: Point::metres([0.2, 0.0, 0.7]),
            cg_tolerance: [Length::metres(0.02), Length::metres(0.01), Length::metres(0.1)],
            tilt_tolerance: Angle::degrees(1.0),
        };
        let found = set.stability(&body);
        // Derived: 1 - 0.2 - 0.02 (box) - 0.01 (both contacts the same way) - 0.6 tan 1 degree.
        assert!((found.assured.to_metres() - (0.77 - 0.6 * 1f64.to_radians().tan())).abs() < 1e-4);
        assert_eq!(found.outcome, Outcome::Stable);
        assert!((found.tip_ratio.unwrap() - found.assured.to_metres() / 0.6).abs() < 1e-12);
    }
}
