//! How an assured load or share comes about.

use statics::{Account, Body, Bound, Force, Stiffness, SupportSet};

use crate::checks::What;
use crate::frames::Placement;
use crate::lift::Corner;
use crate::measure::{Bend, Pad};
use crate::situation::{
    ASSUMED_ARM_STIFFNESS, ASSUMED_ARM_STIFFNESS_LEAST, ASSUMED_ARMS_DIFFER, ASSUMED_PAD_STIFFNESS, Situation,
};

/// What an assured load or share is made of.
#[derive(Clone, Debug)]
pub struct Loads {
    /// The pads whose loads are summed.
    pub pads: Vec<Corner>,
    /// Which bound of them.
    pub bound: Bound,
    /// The vehicle's weight, in the bay.
    pub body: Body,
    /// The ways in which arms may bend; the worse counts.
    pub models: Vec<Model>,
}

/// The figure under one way in which arms may bend.
#[derive(Clone, Debug)]
pub struct Model {
    /// How arms bend, those that nobody measured by [`Model::SOFTEST_ARM`].
    pub bend: Bend,
    /// The pads.
    pub set: SupportSet,
    /// What the bound is made of.
    pub account: Account,
    /// The least share, or the greatest load as a share of the greatest weight.
    pub share: f64,
    /// The greatest load.
    pub load: Force,
}

pub(super) fn loads(
    situation: &Situation<'_>,
    stand: &Placement,
    pads: &[Pad; 4],
    what: What,
    state: usize,
) -> Option<Loads> {
    use Corner::{FrontLeft, FrontRight, RearLeft, RearRight};
    let (front, rear) = (vec![FrontLeft, FrontRight], vec![RearLeft, RearRight]);
    let of = |pads_of: Vec<Corner>, bound| of_pads(situation, stand, pads, pads_of, bound, state);
    match what {
        What::PadRating(c) => of(vec![c], Bound::GreatestLoad),
        What::PadCarries(c) => of(vec![c], Bound::LeastShare),
        What::PairRating { front: true } => of(front, Bound::GreatestLoad),
        What::PairRating { front: false } => of(rear, Bound::GreatestLoad),
        What::ShareLeast => of(front, Bound::LeastShare),
        What::ShareMost => of(rear, Bound::LeastShare),
        What::SplitRule => {
            let (front, rear) = (of(front, Bound::LeastShare)?, of(rear, Bound::LeastShare)?);
            Some(if rear.least_share() < front.least_share() { rear } else { front })
        }
        _ => None,
    }
}

impl Loads {
    /// The least share over the models.
    #[must_use]
    pub fn least_share(&self) -> f64 {
        self.models.iter().map(|m| m.share).fold(f64::INFINITY, f64::min)
    }
}

fn of_pads(
    situation: &Situation<'_>,
    stand: &Placement,
    pads: &[Pad; 4],
    of: Vec<Corner>,
    bound: Bound,
    state: usize,
) -> Option<Loads> {
    let body = situation.body(state, stand);
    let chosen: Vec<usize> = of.iter().map(|c| c.index()).collect();
    let sets = situation.models(stand, pads);
    let models = sets.into_iter().zip(situation.bends(stand, pads)).map(|(set, bend)| {
        let set = set?;
        let (least, load) = set.assured_loads(&body).least_share_and_greatest(&chosen);
        let account = set.account(&body, &chosen, bound);
        let heaviest = (body.mass + body.mass_tolerance).weight();
        let share = if bound == Bound::LeastShare { least } else { load / heaviest };
        Some(Model { bend, set, account, share, load })
    });
    let models = models.collect::<Option<Vec<_>>>()?;
    Some(Loads { pads: of, bound, body, models })
}

impl Model {
    /// Stiffness of the pads alone, where no arm bends.
    pub const PADS_ALONE: Stiffness = ASSUMED_PAD_STIFFNESS;
    /// The least stiffness of an arm 1 m out for assured loads, where the lift's file gives none.
    pub const SOFTEST_ARM: Stiffness = ASSUMED_ARM_STIFFNESS_LEAST;
    /// By what part of that each may be stiffer or softer by itself.
    pub const ARMS_DIFFER: f64 = ASSUMED_ARMS_DIFFER;
    /// Stiffness of an arm 1 m out for the load estimate, where the lift's file gives none.
    pub const USUAL_ARM: Stiffness = ASSUMED_ARM_STIFFNESS;
}
