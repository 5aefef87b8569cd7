//! One way in which contacts can balance any weight and push: what it withstands is withstood.

use crate::estimate::Factor;
use crate::support::{Body, Push, Resists, SupportSet};

/// Contacts that share what is upright as springs all alike, and what is level as much as each carries of the nominal
/// weight. Forces are linear in weight and push, so few products show whether all stay within grip and ratings.
#[derive(Clone)]
pub(crate) struct Sharing {
    feet: Vec<Foot>,
    /// Middle of the contacts.
    origin: [f64; 2],
    /// Middle of what they grip with, and the sum of that, and of that times squares of the distances from there.
    middle: [f64; 2],
    grip: f64,
    turning: f64,
}

#[derive(Clone)]
struct Foot {
    /// From the middle of the contacts.
    at: [f64; 2],
    height: f64,
    /// Its part of vertical force and moments about the middle of the contacts.
    part: [f64; 3],
    /// Its part of what is level; none where it does not resist every way.
    grips: f64,
    /// Its load, newtons, at the least and at the most over all weights within the tolerances.
    least: f64,
    most: f64,
    rated: f64,
    friction: f64,
}

impl Sharing {
    /// `None` where contacts leave the body free to turn.
    pub(crate) fn of(set: &SupportSet, body: &Body) -> Option<Self> {
        let places = set.places();
        let origin = [0, 1].map(|k| crate::support::mean(places.iter().map(|p| p[k])));
        let at: Vec<[f64; 2]> = places.iter().map(|p| [p[0] - origin[0], p[1] - origin[1]]).collect();
        let mut h = [[0.0; 3]; 3];
        for [x, y] in &at {
            let row = [1.0, *x, *y];
            for (line, a) in h.iter_mut().zip(row) {
                line.iter_mut().zip(row).for_each(|(v, b)| *v += a * b);
            }
        }
        let factor = Factor::of(&h)?;
        let weight = |body: &Body| {
            let (w, [x, y, _]) = (body.mass.weight().to_newtons(), body.cg.to_metres());
            [w, w * (x - origin[0]), w * (y - origin[1])]
        };
        let (nominal, corners) = (weight(body), body.corners().map(|b| weight(&b)).collect::<Vec<_>>());
        let feet = set.contacts.iter().zip(at).map(|(contact, at)| {
            let part = factor.solve([1.0, at[0], at[1]]);
            let loads = || corners.iter().map(|corner| dot(&part, corner));
            let grips = contact.resists == Resists::EveryDirection;
            Foot {
                at,
                height: contact.at.to_metres()[2],
                part,
                grips: if grips { contact.friction * dot(&part, &nominal).max(0.0) } else { 0.0 },
                least: loads().fold(f64::INFINITY, f64::min),
                most: loads().fold(f64::NEG_INFINITY, f64::max),
                rated: contact.rated.map_or(f64::INFINITY, |r| r.to_newtons()),
                friction: contact.friction,
            }
        });
        let feet: Vec<Foot> = feet.collect();
        let grip: f64 = feet.iter().map(|f| f.grips).sum();
        let middle = [0, 1].map(|k| feet.iter().map(|f| f.grips * f.at[k]).sum::<f64>() / grip);
        let square = |f: &Foot| (f.at[0] - middle[0]).powi(2) + (f.at[1] - middle[1]).powi(2);
        let turning: f64 = feet.iter().map(|f| f.grips * square(f)).sum();
        (turning > 0.0).then_some(Self { feet, origin, middle, grip, turning })
    }

    /// Whether it balances a push of so many newtons on every weight within the tolerances.
    pub(crate) fn balances(&self, push: &Push, newtons: f64) -> bool {
        let ([dx, dy, dz], [qx, qy, qz]) = (push.direction(), push.at().to_metres());
        let [qx, qy] = [qx - self.origin[0], qy - self.origin[1]];
        // Level: what is contrary to the push, spread as contacts grip, and turned about the middle of that.
        let along = [-dx / self.grip, -dy / self.grip];
        let turn = -((qx - self.middle[0]) * dy - (qy - self.middle[1]) * dx) / self.turning;
        let level = |f: &Foot| {
            let [x, y] = [f.at[0] - self.middle[0], f.at[1] - self.middle[1]];
            [f.grips * (along[0] - turn * y), f.grips * (along[1] + turn * x)]
        };
        let mut upright = [-dz, qz * dx - qx * dz, qz * dy - qy * dz];
        for foot in &self.feet {
            let [x, y] = level(foot);
            upright[1] += foot.height * x;
            upright[2] += foot.height * y;
        }
        self.feet.iter().all(|foot| {
            let [x, y] = level(foot);
            let grows = newtons * dot(&foot.part, &upright);
            let slides = newtons * (x * x + y * y).sqrt();
            foot.least + grows >= 0.0
                && foot.most + grows <= foot.rated
                && slides <= foot.friction * (foot.least + grows)
        })
    }
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Heading, Point};
    use crate::quantity::{Angle, Force, Length, Mass, Stiffness};
    use crate::support::Contact;

    /// All round a car on four pads, one of which may resist along a line only: what this way of sharing balances is
    /// withstood, and it is often not far from all that is.
    #[test]
    fn what_it_balances_is_withstood() {
        let contact = |x: f64, y: f64, z: f64, resists: Resists| Contact {
            at: Point::metres([x, y, z]),
            place_tolerance: Length::metres(0.01),
            stiffness: Stiffness::newtons_per_metre(1e5),
            gap: Length::ZERO,
            friction: 0.4,
            rated: Some(Force::newtons(9000.0)),
            resists,
        };
        let body = Body {
            mass: Mass::kilograms(1500.0),
            mass_tolerance: Mass::kilograms(60.0),
            cg: Point::metres([0.1, 0.02, 0.6]),
            cg_tolerance: [0.05, 0.02, 0.05].map(Length::metres),
            tilt_tolerance: Angle::ZERO,
        };
        let along = Heading::along([0.6, 0.8]).map(Resists::OnlyAlong).unwrap();
        let (mut near, mut all) = (0, 0);
        for resists in [Resists::EveryDirection, along] {
            let set = SupportSet::new(vec![
                contact(0.9, 0.7, 0.2, resists),
                contact(0.8, -0.7, 0.3, Resists::EveryDirection),
                contact(-0.8, 0.75, 0.2, Resists::EveryDirection),
                contact(-0.9, -0.7, 0.25, Resists::EveryDirection),
            ])
            .unwrap();
            let (sharing, rest) = (Sharing::of(&set, &body).unwrap(), set.at_rest(&body));
            for turn in 0..8 {
                let (sin, cos) = (f64::from(turn) * 0.8).sin_cos();
                for (at, up) in [([1.5, 0.5, 0.4], -0.5), ([0.0, -0.9, 1.5], 0.0), ([-2.0, 0.2, 0.3], 0.7)] {
                    let push = Push::new(Point::metres(at), [cos, sin, up]).unwrap();
                    let withstands = rest.assured_force(&push).withstands.unwrap().to_newtons();
                    let balanced = (1..400).map(|k| 50.0 * f64::from(k));
                    let most = balanced.take_while(|f| sharing.balances(&push, *f)).last().unwrap_or(0.0);
                    assert!(most <= withstands * 1.0001, "{most} of {withstands}: {push:?}");
                    near += i32::from(most > 0.6 * withstands);
                    all += 1;
                }
            }
        }
        assert!(near > all / 3, "{near} of {all}");
    }
}
