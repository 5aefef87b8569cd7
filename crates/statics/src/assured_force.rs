//! The push that a support set withstands whatever the body weighs within its tolerances.

use crate::frame::Point;
use crate::quantity::{Force, Length, Mass};
use crate::support::{Body, Contact, Push, Resists, SupportSet};
use crate::working_force::{End, Program};

/// The least push that is withstood, with the balance of forces at that push.
#[derive(Clone, Debug, PartialEq)]
pub struct AssuredForce {
    /// Its size; `None` when there is no end to it.
    pub withstands: Option<Force>,
    /// The weight at which it is least: an end of the mass, a corner of the centre's box.
    pub body: Body,
    /// Force of each contact on the body at that push, newtons.
    pub forces: Vec<[f64; 3]>,
    /// Newtons that the push grows for a metre that a contact moves, ahead and left.
    pub slopes: Vec<[f64; 2]>,
}

impl SupportSet {
    /// The least of [`Self::working_force`] over every mass and place of the centre within the body's
    /// tolerances, contacts in place and level.
    ///
    /// The largest push is a concave function of (W, W x, W y), so it is least at a corner: an end of
    /// the mass and a corner of the centre's box. The height of the centre makes no difference.
    #[must_use]
    pub fn assured_force(&self, body: &Body, push: &Push) -> AssuredForce {
        let mut program = Program::new(self, body, push);
        let balance = program.balance();
        // A weight that stands only while it is pushed withstands nothing.
        let stands: Vec<bool> =
            body.corners().map(|corner| balance && program.end_for(&corner.load()).is_some()).collect();
        let ended = balance && program.grow();
        let mut least: Option<(End, Body)> = None;
        for (corner, stands) in body.corners().zip(stands) {
            // A push without an end at one weight says nothing of another.
            let known = if ended && stands { program.end_for(&corner.load()) } else { None };
            let end = known.unwrap_or_else(|| self.end_of(&corner, push));
            let lower = |known: &End| match (end.push, known.push) {
                (Some(new), Some(old)) => new < old,
                (new, _) => new.is_some(),
            };
            if least.as_ref().is_none_or(|(known, _)| lower(known)) {
                least = Some((end, corner));
            }
        }
        let (end, body) = least.unwrap_or_else(|| (self.end_of(body, push), *body));
        AssuredForce {
            withstands: end.push.map(Force::newtons),
            body,
            forces: end.forces,
            slopes: end.slopes,
        }
    }

    /// The end of a push on one weight; none is withstood where the weight alone is not in balance.
    fn end_of(&self, body: &Body, push: &Push) -> End {
        let n = self.contacts.len();
        let none = || End { push: Some(0.0), forces: vec![[0.0; 3]; n], slopes: vec![[0.0; 2]; n] };
        let mut program = Program::new(self, body, push);
        if !program.balance() {
            return none();
        }
        if !program.grow() {
            return End { push: None, ..none() };
        }
        program.end_for(&body.load()).unwrap_or_else(none)
    }

    /// The same contacts, one of them resisting in another way.
    #[must_use]
    pub fn with_resistance(&self, contact: usize, resists: Resists) -> Self {
        let contacts = self.contacts.iter().enumerate();
        let other = |(i, c): (usize, &Contact)| Contact {
            resists: if i == contact { resists } else { c.resists },
            ..c.clone()
        };
        Self { contacts: contacts.map(other).collect() }
    }

    /// The contacts without one of them; `None` with fewer than three left or all on one line.
    #[must_use]
    pub fn less(&self, contact: usize) -> Option<Self> {
        let rest = self.contacts.iter().enumerate().filter(|(i, _)| *i != contact);
        Self::new(rest.map(|(_, c)| c.clone()).collect()).ok()
    }
}

impl Body {
    /// Every end of its mass with every corner of its centre's box in plan, each once.
    pub fn corners(&self) -> impl Iterator<Item = Self> {
        const SIGNS: [f64; 2] = [-1.0, 1.0];
        let signs = |tolerance: f64| if tolerance > 0.0 { &SIGNS[..] } else { &SIGNS[..1] };
        let (body, [hx, hy, _]) = (*self, self.cg_tolerance.map(Length::to_metres));
        let (at, off) = (self.cg.to_metres(), self.mass_tolerance.to_kilograms());
        signs(off).iter().flat_map(move |m| {
            signs(hx).iter().flat_map(move |x| {
                signs(hy).iter().map(move |y| Self {
                    mass: Mass::kilograms((body.mass.to_kilograms() + m * off).max(LEAST_MASS)),
                    mass_tolerance: Mass::ZERO,
                    cg: Point::metres([at[0] + x * hx, at[1] + y * hy, at[2]]),
                    cg_tolerance: [Length::ZERO, Length::ZERO, body.cg_tolerance[2]],
                    ..body
                })
            })
        })
    }
}

/// A body always has some mass, kilograms.
const LEAST_MASS: f64 = 1e-3;
