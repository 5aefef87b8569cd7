//! A support set as bare numbers: what the second ways read, and what the core is given.

use statics::{
    Angle, Body, Contact, Force, Heading, Length, Mass, Point, Resists, Stiffness, SupportFault, SupportSet,
};

use crate::random::Random;

/// How a contact resists a horizontal force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hold {
    /// In every direction, within friction.
    Everywhere,
    /// Only along this line, within friction.
    Along([f64; 2]),
    /// Along this line by shape, across it within friction.
    Blocks([f64; 2]),
}

/// One contact, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foot {
    /// Position.
    pub at: [f64; 3],
    /// Radius of the disc in which it may be.
    pub place_tolerance: f64,
    /// Stiffness.
    pub stiffness: f64,
    /// Gap before it carries.
    pub gap: f64,
    /// Coefficient of friction.
    pub friction: f64,
    /// Rated load.
    pub rated: Option<f64>,
    /// Horizontal resistance.
    pub hold: Hold,
}

/// A body on contacts, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Spec {
    /// Mass.
    pub mass: f64,
    /// Centre of gravity.
    pub cg: [f64; 3],
    /// How far it may be off.
    pub cg_tolerance: [f64; 3],
    /// Tilt that the contact plane may have.
    pub tilt_tolerance: f64,
    /// Contacts.
    pub feet: Vec<Foot>,
}

/// What a generated support set may have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variety {
    /// Contacts, least and most.
    pub feet: (usize, usize),
    /// Largest gap, m.
    pub gap: f64,
    /// Greatest difference of contact heights, m.
    pub heights: f64,
    /// Share of contacts with a rating.
    pub rated: f64,
    /// Share of contacts that are not [`Hold::Everywhere`].
    pub held: f64,
    /// Share of sets whose CG stands near an edge or outside.
    pub edgy: f64,
}

impl Spec {
    /// Weight, N, under standard gravity (CGPM 1901).
    #[must_use]
    pub fn weight(&self) -> f64 {
        self.mass * 9.806_65
    }

    /// The same, as the core reads it.
    ///
    /// # Errors
    /// What the core finds wrong with the contacts.
    pub fn to_core(&self) -> Result<(SupportSet, Body), Vec<SupportFault>> {
        let contacts = self.feet.iter().map(|f| Contact {
            at: Point::metres(f.at),
            place_tolerance: Length::metres(f.place_tolerance),
            stiffness: Stiffness::newtons_per_metre(f.stiffness),
            gap: Length::metres(f.gap),
            friction: f.friction,
            rated: f.rated.map(Force::newtons),
            resists: match f.hold {
                Hold::Everywhere => Resists::EveryDirection,
                Hold::Along(u) => Heading::along(u).map_or(Resists::EveryDirection, Resists::OnlyAlong),
                Hold::Blocks(u) => Heading::along(u).map_or(Resists::EveryDirection, Resists::Blocks),
            },
        });
        let body = Body {
            mass: Mass::kilograms(self.mass),
            mass_tolerance: Mass::ZERO,
            cg: Point::metres(self.cg),
            cg_tolerance: self.cg_tolerance.map(Length::metres),
            tilt_tolerance: Angle::radians(self.tilt_tolerance),
        };
        Ok((SupportSet::new(contacts.collect())?, body))
    }

    /// Mean height of the contacts.
    #[must_use]
    pub fn mean_height(&self) -> f64 {
        let n = f64::from(u32::try_from(self.feet.len()).unwrap_or(u32::MAX));
        self.feet.iter().map(|f| f.at[2]).sum::<f64>() / n
    }

    /// A body of one to four tonnes on contacts scattered round an oval, drawn from the stream.
    #[must_use]
    pub fn drawn(random: &mut Random, variety: &Variety) -> Self {
        let (least, most) = variety.feet;
        let n = least + random.below(most - least + 1);
        let turn = std::f64::consts::TAU / f64::from(u32::try_from(n).unwrap_or(1));
        let start = random.between(0.0, std::f64::consts::TAU);
        let base = random.between(0.1, 1.8);
        let feet: Vec<Foot> = (0..n)
            .map(|i| {
                let angle =
                    start + turn * (f64::from(u32::try_from(i).unwrap_or(0)) + random.between(-0.3, 0.3));
                let size = random.between(0.7, 1.3);
                let direction = random.between(0.0, std::f64::consts::TAU);
                let unit = [direction.cos(), direction.sin()];
                Foot {
                    at: [
                        1.3 * size * angle.cos(),
                        0.7 * size * angle.sin(),
                        base + random.between(0.0, variety.heights),
                    ],
                    place_tolerance: random.between(0.0, 0.03),
                    stiffness: 10_f64.powf(random.between(5.0, 6.5)),
                    gap: if random.chance(0.5) { random.between(0.0, variety.gap) } else { 0.0 },
                    friction: random.between(0.05, 0.8),
                    rated: random.chance(variety.rated).then(|| random.between(4e3, 3e4)),
                    hold: if random.chance(variety.held) {
                        if random.chance(0.5) { Hold::Along(unit) } else { Hold::Blocks(unit) }
                    } else {
                        Hold::Everywhere
                    },
                }
            })
            .collect();
        // A mixture of the contacts is inside their hull; pushing it away from their mean brings it to the edge.
        let shares: Vec<f64> = (0..n).map(|_| -random.between(1e-6, 1.0).ln()).collect();
        let sum: f64 = shares.iter().sum();
        let mix = |axis: usize| feet.iter().zip(&shares).map(|(f, s)| f.at[axis] * s / sum).sum::<f64>();
        let (x, y) = (mix(0), mix(1));
        let push = if random.chance(variety.edgy) { random.between(1.2, 3.0) } else { 1.0 };
        Self {
            mass: random.between(1000.0, 4000.0),
            cg: [x * push, y * push, base + random.between(0.2, 0.8)],
            cg_tolerance: [random.between(0.0, 0.05), random.between(0.0, 0.03), random.between(0.0, 0.05)],
            tilt_tolerance: random.between(0.0, 0.02),
            feet,
        }
    }
}
