//! What carries, what is carried, and what pushes.

use crate::frame::{Ground, Heading, Place, Point};
use crate::hull::{norm, turn};
use crate::quantity::{Angle, Force, Length, Mass, Stiffness};

/// One one-sided contact: it can push the body up, never pull it down.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// Where it touches.
    pub at: Point<Ground>,
    /// Radius of the disc in plan within which it really is.
    pub place_tolerance: Length,
    /// Force per shortening.
    pub stiffness: Stiffness,
    /// How far the unloaded body stands above it.
    pub gap: Length,
    /// Coefficient of friction.
    pub friction: f64,
    /// Largest vertical load it may carry.
    pub rated: Option<Force>,
    /// Horizontal directions in which it can resist.
    pub resists: Resists,
}

/// Horizontal directions in which a contact can resist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Resists {
    /// Every direction, within friction.
    EveryDirection,
    /// Only along a line, within friction.
    OnlyAlong(Heading<Ground>),
    /// By shape along a line, within friction across it.
    Blocks(Heading<Ground>),
}

/// At least three contacts, at positions that differ in plan and are not all on one line.
#[derive(Clone, Debug, PartialEq)]
pub struct SupportSet {
    pub(crate) contacts: Vec<Contact>,
}

/// Why contacts are not a support set; contacts are named by their index.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupportFault {
    /// Fewer than three contacts.
    TooFew,
    /// A value that is not a finite number.
    NotFinite(usize),
    /// A stiffness that is not positive.
    Stiffness(usize),
    /// A negative tolerance, friction or rated load.
    Negative(usize),
    /// Two contacts at one position in plan.
    Coincide(usize, usize),
    /// All contacts on one line.
    OnOneLine,
}

/// Contacts nearer in plan than this, metres, are one contact: far below any tape, far above rounding.
const SAME_PLACE: f64 = 1e-6;

impl SupportSet {
    /// Checks the contacts.
    ///
    /// # Errors
    /// Every fault found.
    pub fn new(contacts: Vec<Contact>) -> Result<Self, Vec<SupportFault>> {
        let mut faults = Vec::new();
        if contacts.len() < 3 {
            faults.push(SupportFault::TooFew);
        }
        for (i, c) in contacts.iter().enumerate() {
            let values = [
                c.place_tolerance.to_metres(),
                c.gap.to_metres(),
                c.friction,
                c.stiffness.to_newtons_per_metre(),
            ];
            let rated = c.rated.map_or(0.0, Force::to_newtons);
            if !c.at.to_metres().iter().chain(&values).chain([&rated]).all(|v| v.is_finite()) {
                faults.push(SupportFault::NotFinite(i));
            } else if c.stiffness <= Stiffness::ZERO {
                faults.push(SupportFault::Stiffness(i));
            } else if c.place_tolerance < Length::ZERO || c.friction < 0.0 || rated < 0.0 {
                faults.push(SupportFault::Negative(i));
            }
        }
        if faults.is_empty() {
            let apart = |i: usize, j: usize| gap(place(&contacts[i]), place(&contacts[j]));
            for i in 0..contacts.len() {
                let same = (i + 1..contacts.len()).filter(|&j| apart(i, j) < SAME_PLACE);
                faults.extend(same.map(|j| SupportFault::Coincide(i, j)));
            }
            if faults.is_empty() && on_one_line(&contacts) {
                faults.push(SupportFault::OnOneLine);
            }
        }
        if faults.is_empty() { Ok(Self { contacts }) } else { Err(faults) }
    }

    /// The contacts, in the given order.
    #[must_use]
    pub fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// The same contacts with other stiffnesses.
    #[must_use]
    pub fn with_stiffness(&self, stiffness: impl Fn(usize, &Contact) -> Stiffness) -> Self {
        let contacts = self.contacts.iter().enumerate();
        Self {
            contacts: contacts.map(|(i, c)| Contact { stiffness: stiffness(i, c), ..c.clone() }).collect(),
        }
    }

    /// Which of four contacts stand on one diagonal, so that all four may carry more or less with nothing else
    /// changed: those on it more, the others less. `None` of any other number.
    ///
    /// The loads that balance without a weight are the areas of the triangles of the other three, signs by turns.
    /// While all four carry, what those on the diagonal carry rises with each of their own stiffnesses and falls with
    /// those of the others: so loads are extreme where one diagonal is at its stiffest and the other at its softest.
    #[must_use]
    pub fn diagonal(&self) -> Option<[bool; 4]> {
        let [a, b, c, d] = self.places().try_into().ok()?;
        let turns = [turn(b, c, d), -turn(a, c, d), turn(a, b, d), -turn(a, b, c)];
        Some(turns.map(|t| (t > 0.0) == (turns[0] > 0.0)))
    }

    /// Mean height of the contacts.
    #[must_use]
    pub fn mean_height(&self) -> Length {
        Length::metres(mean(self.contacts.iter().map(|c| c.at.to_metres()[2])))
    }

    pub(crate) fn places(&self) -> Vec<[f64; 2]> {
        self.contacts.iter().map(place).collect()
    }
}

pub(crate) fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count of contacts")]
    let n = values.len() as f64;
    values.sum::<f64>() / n
}

fn place(contact: &Contact) -> [f64; 2] {
    contact.at.plan().to_metres()
}

fn gap(a: [f64; 2], b: [f64; 2]) -> f64 {
    norm([a[0] - b[0], a[1] - b[1]])
}

fn on_one_line(contacts: &[Contact]) -> bool {
    let at = || contacts.iter().map(place);
    let far = |from: [f64; 2]| at().max_by(|p, q| gap(*p, from).total_cmp(&gap(*q, from)));
    let ends = at().next().and_then(far).and_then(|a| far(a).map(|b| (a, b)));
    ends.is_none_or(|(a, b)| at().all(|p| turn(a, b, p).abs() <= SAME_PLACE * gap(a, b)))
}

/// A rigid body with its weight, and how far both may be off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Its mass; positive.
    pub mass: Mass,
    /// How far the mass may be off.
    pub mass_tolerance: Mass,
    /// Its centre of gravity.
    pub cg: Point<Ground>,
    /// How far the centre may be off along X, Y, Z.
    pub cg_tolerance: [Length; 3],
    /// How far the plane of the contacts may be out of level, in any direction.
    pub tilt_tolerance: Angle,
}

impl Body {
    /// Its weight at its centre.
    #[must_use]
    pub const fn load(&self) -> Load {
        Load { weight: self.mass.weight(), at: self.cg.plan() }
    }
}

/// A downward force at a position in plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Its size; positive.
    pub weight: Force,
    /// Where its line of action passes.
    pub at: Place<Ground>,
}

impl Load {
    /// Force and its moments about the axes: W, W x, W y.
    pub(crate) fn resultant(&self) -> [f64; 3] {
        let ([x, y], w) = (self.at.to_metres(), self.weight.to_newtons());
        [w, w * x, w * y]
    }
}

/// A force of growing size at a point, in a direction of length one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Push {
    at: Point<Ground>,
    direction: [f64; 3],
}

impl Push {
    /// At a point, along a vector, which is normalised. `None` if it has no direction or is not finite.
    #[must_use]
    pub fn new(at: Point<Ground>, along: [f64; 3]) -> Option<Self> {
        let size = along[0].hypot(along[1]).hypot(along[2]);
        let finite = size.is_finite() && at.to_metres().iter().all(|v| v.is_finite());
        (finite && size > 0.0).then(|| Self { at, direction: along.map(|v| v / size) })
    }
    /// Where it acts.
    #[must_use]
    pub const fn at(&self) -> Point<Ground> {
        self.at
    }
    /// Its unit vector.
    #[must_use]
    pub const fn direction(&self) -> [f64; 3] {
        self.direction
    }
}
