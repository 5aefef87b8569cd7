//! The push that a support set withstands whatever the body weighs within its tolerances.

use crate::frame::Point;
use crate::quantity::{Force, Length, Mass};
use crate::support::{Body, Contact, Push, Resists, SupportSet};
use crate::working_force::{CONE_GAP, End, Program};

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

/// A body at rest on a support set, whatever it weighs within its tolerances, to push at.
#[derive(Clone)]
pub struct AtRest<'a> {
    contacts: usize,
    body: Body,
    /// A balance of the nominal weight, or a weight that falls without any push.
    rest: Result<Program<'a>, Body>,
}

/// Growing the push on the nominal weight to this part of itself shows which weight is likely to withstand least.
const ROUGH: f64 = 0.03;

impl AtRest<'_> {
    /// The least push over every mass and place of the centre within the body's tolerances, contacts in place
    /// and level (else: [`SupportSet::unsteady`]).
    ///
    /// The largest push is a concave function of (W, W x, W y), so it is least at a corner: an end of
    /// the mass and a corner of the centre's box. The height of the centre makes no difference.
    #[must_use]
    pub fn assured_force(&self, push: &Push) -> AssuredForce {
        self.assured_below(push, None).unwrap_or_else(|| self.answer(self.body, None))
    }

    /// The same if it is less than `most` (`None` = no end); not followed to its end where it is not.
    #[must_use]
    pub fn assured_below(&self, push: &Push, most: Option<Force>) -> Option<AssuredForce> {
        let most = most.map_or(f64::INFINITY, Force::to_newtons);
        let balance = match &self.rest {
            Ok(balance) => balance,
            Err(falls) => return (most > 0.0).then(|| self.answer(*falls, Some(Force::ZERO))),
        };
        let mut program = balance.clone();
        let ended = program.grow(push, ROUGH, most);
        // The weight that promises least first: of others only what shows that they withstand more.
        let promise = |corner: Body| (program.promise(&corner.load()), corner);
        let mut corners: Vec<(f64, Body)> = self.body.corners().map(promise).collect();
        corners.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A push without an end at one weight says nothing of another.
        if !ended {
            program.follow(balance);
        }
        let (mut at, mut own) = (program.clone(), program);
        let mut least: Option<(f64, Body, End)> = None;
        for (_, corner) in corners {
            let known = least.as_ref().map_or(most, |l| l.0);
            if at.balances(&corner.load(), known) {
                continue;
            }
            own.follow(&at);
            if !own.turn_to(&corner.load()) {
                // It stands, but rounding has lost the way to it from here.
                own.follow(balance);
                if !own.turn_to(&corner.load()) {
                    return Some(self.answer(corner, Some(Force::ZERO)));
                }
            }
            if own.grow(push, CONE_GAP, known) && own.pushed() < known {
                least = Some((own.pushed(), corner, own.end()));
                core::mem::swap(&mut at, &mut own);
            }
        }
        least.map(|(_, body, end)| AssuredForce {
            withstands: end.push.map(Force::newtons),
            body,
            forces: end.forces,
            slopes: end.slopes,
        })
    }

    /// What needs no balance.
    fn answer(&self, body: Body, withstands: Option<Force>) -> AssuredForce {
        AssuredForce {
            withstands,
            body,
            forces: vec![[0.0; 3]; self.contacts],
            slopes: vec![[0.0; 2]; self.contacts],
        }
    }
}

impl SupportSet {
    /// A body at rest on these contacts.
    #[must_use]
    pub fn at_rest(&self, body: &Body) -> AtRest<'_> {
        let mut program = Program::new(self, body);
        let falls = if program.balance() {
            let mut turned = program.clone();
            body.corners().find(|corner| !turned.turn_to(&corner.load()))
        } else {
            Some(*body)
        };
        AtRest { contacts: self.contacts.len(), body: *body, rest: falls.map_or(Ok(program), Err) }
    }

    /// The least of [`Self::working_force`] over the body's tolerances: [`AtRest::assured_force`].
    #[must_use]
    pub fn assured_force(&self, body: &Body, push: &Push) -> AssuredForce {
        self.at_rest(body).assured_force(push)
    }

    /// How far weight and push may lie from where they are meant to, each way: contacts anywhere in their discs,
    /// their plane out of level. 2 r + (|h| + what the centre's height may be off) tan(tilt), r the largest disc, h the
    /// centre above the contacts.
    ///
    /// All contacts moved by r one way is weight and push moved the other way: for a push of up to the weight no
    /// farther than the weight alone by 2 r. Where it tips the resultant is between two contacts, so that no other
    /// places in the discs take more. Derived; sampled in `reference`.
    #[must_use]
    pub fn play(&self, body: &Body) -> Length {
        let disc = self.contacts.iter().map(|c| c.place_tolerance).fold(Length::ZERO, Length::max);
        let above = body.cg.z() - self.mean_height();
        let high = above.max(-above) + body.cg_tolerance[2];
        disc * 2.0 + high * body.tilt_tolerance.to_radians().tan()
    }

    /// The body with its centre as much more in doubt as [`Self::play`].
    #[must_use]
    pub fn unsteady(&self, body: &Body) -> Body {
        let [x, y, z] = body.cg_tolerance;
        let play = self.play(body);
        Body { cg_tolerance: [x + play, y + play, z], ..*body }
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
