//! Force-angle stability measure (Papadopoulos and Rey, ICRA 1996).

use crate::hull::{hull, sides};
use crate::quantity::Angle;
use crate::support::{Body, Push, SupportSet};

type Vec3 = [f64; 3];

impl SupportSet {
    /// For each edge of the hull, the angle between the net force and the edge's normal through
    /// the centre of gravity; positive while the body stays, least = the edge it tips over.
    ///
    /// Net force = weight plus the push of `size` newtons, its moment about the centre taken as a
    /// couple at the edge. Pairs are (from, to) contacts, anticlockwise as in [`SupportSet::stability`].
    #[must_use]
    pub fn force_angles(
        &self,
        body: &Body,
        push: Option<(&Push, crate::quantity::Force)>,
    ) -> Vec<(usize, usize, Angle)> {
        let cg = body.cg.to_metres();
        let mut force = [0.0, 0.0, -body.mass.weight().to_newtons()];
        let mut moment = [0.0; 3];
        if let Some((push, size)) = push {
            let f = push.direction().map(|d| d * size.to_newtons());
            moment = cross(sub(push.at().to_metres(), cg), f);
            force = [force[0] + f[0], force[1] + f[1], force[2] + f[2]];
        }
        let at: Vec<Vec3> = self.contacts.iter().map(|c| c.at.to_metres()).collect();
        sides(&hull(&self.places())).map(|(i, j)| (i, j, angle(at[i], at[j], cg, force, moment))).collect()
    }
}

fn angle(from: Vec3, to: Vec3, cg: Vec3, force: Vec3, moment: Vec3) -> Angle {
    // The axis runs clockwise seen from above, as in the paper, so that tipping outward is positive about it.
    let axis = unit(sub(from, to));
    let across = |v: Vec3| sub(v, scale(axis, dot(v, axis)));
    let l = across(sub(to, cg));
    let couple = scale(axis, dot(moment, axis));
    let long = dot(l, l).sqrt();
    let f = across(force);
    let turned = scale(cross(unit(l), couple), 1.0 / long);
    let f = [f[0] + turned[0], f[1] + turned[1], f[2] + turned[2]];
    let (fu, lu) = (unit(f), unit(l));
    let sign = if dot(cross(lu, fu), axis) < 0.0 { 1.0 } else { -1.0 };
    Angle::radians(sign * dot(fu, lu).clamp(-1.0, 1.0).acos())
}

fn sub(a: Vec3, b: Vec3) -> Vec3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
fn scale(a: Vec3, k: f64) -> Vec3 {
    a.map(|v| v * k)
}
fn dot(a: Vec3, b: Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn cross(a: Vec3, b: Vec3) -> Vec3 {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}
fn unit(a: Vec3) -> Vec3 {
    scale(a, 1.0 / dot(a, a).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Point;
    use crate::quantity::{Force, Length, Mass, Stiffness};
    use crate::support::{Contact, Resists};

    /// C5 and C6 of the published-figure list (derived; measure: Papadopoulos and Rey 1996).
    #[test]
    fn rectangle_with_and_without_a_side_push() {
        let contact = |x: f64, y: f64| Contact {
            at: Point::metres([x, y, 0.0]),
            place_tolerance: Length::ZERO,
            stiffness: Stiffness::newtons_per_metre(1.0),
            gap: Length::ZERO,
            friction: 0.2,
            rated: None,
            resists: Resists::EveryDirection,
        };
        let set = SupportSet::new(vec![
            contact(-1.3, -0.55),
            contact(1.3, -0.55),
            contact(1.3, 0.55),
            contact(-1.3, 0.55),
        ])
        .unwrap();
        let body = Body {
            mass: Force::newtons(15000.0).as_mass(),
            mass_tolerance: Mass::ZERO,
            cg: Point::metres([0.2, 0.0, 0.5]),
            cg_tolerance: [Length::ZERO; 3],
            tilt_tolerance: Angle::ZERO,
        };
        let degrees =
            |v: Vec<(usize, usize, Angle)>| v.into_iter().map(|t| t.2.to_degrees()).collect::<Vec<_>>();
        let near = |found: Vec<f64>, want: [f64; 4]| {
            assert!(found.iter().zip(want).all(|(f, w)| (f - w).abs() < 0.01), "{found:?} {want:?}");
        };
        near(degrees(set.force_angles(&body, None)), [47.73, 65.56, 47.73, 71.57]);
        let push = Push::new(body.cg, [0.0, 1.0, 0.0]).unwrap();
        near(
            degrees(set.force_angles(&body, Some((&push, Force::newtons(1000.0))))),
            [51.54, 65.56, 43.91, 71.57],
        );
    }
}
