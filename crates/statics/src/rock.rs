//! The push that rocks a body onto a contact that does not touch.

use crate::hull::{hull, left_of, norm, sides};
use crate::quantity::{Force, Length};
use crate::stability::Normal;
use crate::support::{Body, SupportSet};

/// How a body rocks onto a contact that does not touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rock {
    /// The push, level, towards the contact and square to the side that it turns about: the most that it may take
    /// within all tolerances. Zero = the body leans on the contact without any.
    pub push: Force,
    /// The contacts at the ends of that side.
    pub over: [usize; 2],
    /// How the most that the centre may lie inside that side is found: the assured distance from the side turned
    /// round, from its second contact to its first, is that with its sign changed.
    pub normal: Normal,
    /// The most that the centre may lie inside that side.
    pub inside: Length,
    /// Height of the push above the mean height of the contacts that touch.
    pub lever: Length,
    /// Cosine of the most that the side may be turned when its contacts move in their discs.
    pub square: f64,
}

impl SupportSet {
    /// The level push at a height that rocks the body onto a contact supposed not to touch, at its greatest.
    ///
    /// The body stands on the others; to lean onto the contact it must turn about a side of their hull that faces it:
    /// push = W d / (height - z0), d = distance of the centre inside that side. Centre in its box, contacts in their
    /// discs, mass and tilt within their tolerances. A push at an angle to the square of the side takes more, by the
    /// cosine; the discs may turn the side by so much. `None` if nothing can be said: the height is not above the
    /// contacts, the contact is inside the hull of the others, or the discs of a side meet.
    #[must_use]
    pub fn rock(&self, body: &Body, contact: usize, height: Length) -> Option<Rock> {
        let rest = self.less(contact)?;
        let lever = height - rest.mean_height();
        if lever <= Length::ZERO {
            return None;
        }
        let (at, lost) = (rest.places(), self.contacts.get(contact)?.at.plan().to_metres());
        let name = |k: usize| if k < contact { k } else { k + 1 };
        let weight = (body.mass + body.mass_tolerance).weight();
        let corners = hull(&at);
        let facing = sides(&corners).filter(|&(i, j)| left_of(at[i], at[j], lost) < 0.0);
        let each = facing.filter_map(|(i, j)| {
            let discs = [i, j].map(|k| rest.contacts[k].place_tolerance.to_metres());
            let sine = (discs[0] + discs[1]) / norm([at[j][0] - at[i][0], at[j][1] - at[i][1]]);
            if sine >= 1.0 {
                return None;
            }
            let (turned_round, normal) = rest.assured_edge(body, j, i);
            let (inside, square) = (-turned_round, (1.0 - sine * sine).sqrt());
            let push = weight * ((inside / lever).max(0.0) / square);
            Some(Rock { push, over: [name(i), name(j)], normal, inside, lever, square })
        });
        each.min_by(|a, b| a.push.to_newtons().total_cmp(&b.push.to_newtons()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Point;
    use crate::quantity::{Angle, Mass, Stiffness};
    use crate::support::{Contact, Resists};

    /// Pads at the corners of a square of 2 m, so that every diagonal is at 45 degrees.
    fn square(disc: f64) -> SupportSet {
        let contact = |x: f64, y: f64| Contact {
            at: Point::metres([x, y, 0.2]),
            place_tolerance: Length::metres(disc),
            stiffness: Stiffness::newtons_per_metre(1.0),
            gap: Length::ZERO,
            friction: 0.6,
            rated: None,
            resists: Resists::EveryDirection,
        };
        let at = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
        SupportSet::new(at.map(|(x, y)| contact(x, y)).to_vec()).unwrap()
    }

    fn body(off: [f64; 3], degrees: f64) -> Body {
        Body {
            mass: Mass::kilograms(1000.0),
            mass_tolerance: Mass::kilograms(10.0),
            cg: Point::metres([-0.05, -0.05, 0.7]),
            cg_tolerance: off.map(Length::metres),
            tilt_tolerance: Angle::degrees(degrees),
        }
    }

    #[test]
    fn every_tolerance_adds_to_the_push() {
        let weight = Mass::kilograms(1010.0).weight().to_newtons();
        let diagonal = 0.1 * core::f64::consts::FRAC_1_SQRT_2;
        let asked = |disc: f64, off: [f64; 3], tilt: f64| {
            square(disc).rock(&body(off, tilt), 0, Length::metres(1.2)).unwrap()
        };
        let near = |found: Rock, inside: f64, square: f64| {
            let expected = weight * inside / square;
            assert!((found.push.to_newtons() - expected).abs() < 1e-6 * expected, "{found:?} {expected}");
            assert_eq!(found.over, [3, 1], "anticlockwise");
        };
        near(asked(0.0, [0.0; 3], 0.0), diagonal, 1.0);
        // The box adds its half sides across the diagonal, the discs their radius, the tilt the height times its tangent.
        let boxed = 0.03 * core::f64::consts::FRAC_1_SQRT_2;
        near(asked(0.0, [0.02, 0.01, 0.0], 0.0), diagonal + boxed, 1.0);
        let turn = (1.0_f64 - (0.02 / 8f64.sqrt()).powi(2)).sqrt();
        near(asked(0.01, [0.0; 3], 0.0), diagonal + 0.01, turn);
        let tilt = (0.5 + 0.1) * 1f64.to_radians().tan();
        near(asked(0.0, [0.0, 0.0, 0.1], 1.0), diagonal + tilt, 1.0);
    }

    /// Pushes within all tolerances, drawn one by one: none takes more than what is told.
    #[test]
    fn no_drawn_push_takes_more() {
        let (set, about) = (square(0.03), body([0.02, 0.03, 0.05], 0.5));
        let told = set.rock(&about, 0, Length::metres(1.2)).unwrap();
        let mut seed = 7u64;
        let mut draw = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "a draw")]
            let even = (seed >> 11) as f64 / (1u64 << 53) as f64;
            2.0 * even - 1.0
        };
        let mut most = 0f64;
        for _ in 0..20_000 {
            let moved: Vec<[f64; 2]> = [3, 1]
                .iter()
                .map(|k| {
                    let ([x, y], angle) = (set.places()[*k], draw() * core::f64::consts::PI);
                    [x + 0.03 * angle.cos(), y + 0.03 * angle.sin()]
                })
                .collect();
            let height = 0.7 + 0.05 * draw() - 0.2;
            let (sway, way) = (height * 0.5f64.to_radians().tan(), draw() * core::f64::consts::PI);
            let at = [-0.05 + 0.02 * draw() + sway * way.cos(), -0.05 + 0.03 * draw() + sway * way.sin()];
            let inside = left_of(moved[0], moved[1], at);
            // Square to the side as it was set, not as it really runs.
            let along = [moved[1][0] - moved[0][0], moved[1][1] - moved[0][1]];
            let cosine = (along[1] - along[0]) / (norm(along) * 2f64.sqrt());
            let weight = Mass::kilograms(1000.0 + 10.0 * draw()).weight().to_newtons();
            most = most.max(weight * inside / cosine.abs());
        }
        assert!(most <= told.push.to_newtons() && most > 0.93 * told.push.to_newtons(), "{most} {told:?}");
    }

    #[test]
    fn where_nothing_can_be_said_nothing_is() {
        let exact = body([0.0; 3], 0.0);
        assert_eq!(square(0.0).rock(&exact, 0, Length::metres(0.2)), None, "no lever");
        assert_eq!(square(1.5).rock(&exact, 0, Length::metres(1.2)), None, "discs that meet");
        // On the side of the contact whatever the tolerances do: it leans without a push.
        let leans = square(0.0).rock(&exact, 2, Length::metres(1.2)).unwrap();
        assert_eq!(leans.push, Force::ZERO);
    }
}
