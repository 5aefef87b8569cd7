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

    /// The normal at which the assured distance of an edge is least, and how it is found.
    #[must_use]
    pub fn worst_normal(&self, body: &Body, from: usize, to: usize) -> Normal {
        self.assured_edge(body, from, to).1
    }
}

/// A normal of an edge, to the left of from-to, as it may lie when contacts move in their discs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Normal {
    /// The discs meet: any.
    Any,
    /// That of the middles, turned clockwise by an angle whose sine is (a ra + b rb) / (distance of the middles).
    Turned {
        /// Sign of the first radius.
        a: f64,
        /// Sign of the second radius.
        b: f64,
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
/// sinusoid is stationary: finitely many normals.
fn worst_normal(a: &Contact, b: &Contact, body: &Body, sway: f64) -> (f64, Normal) {
    let (pa, pb) = (plan(a.at), plan(b.at));
    let (ra, rb) = (a.place_tolerance.to_metres(), b.place_tolerance.to_metres());
    let c = plan(body.cg);
    let half = [body.cg_tolerance[0].to_metres(), body.cg_tolerance[1].to_metres()];
    let along = [pb[0] - pa[0], pb[1] - pa[1]];
    let long = norm(along);
    if ra + rb >= long {
        // The discs meet: the edge may point anywhere, so nothing is assured of it.
        let near = norm([c[0] - pa[0], c[1] - pa[1]]) - ra;
        let near_b = norm([c[0] - pb[0], c[1] - pb[1]]) - rb;
        return (-(near.max(near_b) + norm(half) + sway), Normal::Any);
    }
    let t = [along[0] / long, along[1] / long];
    let left = [-t[1], t[0]];
    let mut least = (f64::INFINITY, Normal::Any);
    let mut offer = |n: [f64; 2], normal: Normal| {
        let from_a = n[0] * (c[0] - pa[0]) + n[1] * (c[1] - pa[1]) - ra;
        let from_b = n[0] * (c[0] - pb[0]) + n[1] * (c[1] - pb[1]) - rb;
        let d = from_a.max(from_b) - half[0] * n[0].abs() - half[1] * n[1].abs() - sway;
        if d < least.0 {
            least = (d, normal);
        }
    };
    // Both ends of the arc, and the line that touches both discs from one side.
    for (sa, sb) in [(1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0)] {
        let s = (sa * ra + sb * rb) / long;
        let k = (1.0 - s * s).sqrt();
        offer([left[0] * k - t[0] * s, left[1] * k - t[1] * s], Normal::Turned { a: sa, b: sb });
    }
    // Normals in the arc among the axes, and opposite a corner of the box seen from a contact.
    let corners = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]];
    let seen = [(pa, false), (pb, true)].into_iter().flat_map(|(p, second)| {
        corners.map(|corner| {
            let v = [p[0] - c[0] + corner[0] * half[0], p[1] - c[1] + corner[1] * half[1]];
            (v, Normal::Seen { second, corner })
        })
    });
    let axes = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]].map(|v| (v, Normal::Axis(v)));
    let most = (ra + rb) / long;
    for (v, normal) in axes.into_iter().chain(seen) {
        let across = v[0] * left[0] + v[1] * left[1];
        let size = norm(v);
        if across > 0.0 && (v[0] * t[0] + v[1] * t[1]).abs() <= most * size {
            offer([v[0] / size, v[1] / size], normal);
        }
    }
    least
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

    #[test]
    fn tolerances_add_up_on_a_square() {
        let contact = |x: f64, y: f64| Contact {
            at: Point::metres([x, y, 0.2]),
            place_tolerance: Length::metres(0.01),
            stiffness: Stiffness::newtons_per_metre(1.0),
            gap: Length::ZERO,
            friction: 0.2,
            rated: None,
            resists: Resists::EveryDirection,
        };
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
