//! What a state's mass and centre of gravity are made of.

use statics::{Length, Mass};

use super::Accounts;
use crate::job::Step;
use crate::moment::{Item, extreme};
use crate::plan::{Plan, Standing, StandsAnswer};
use crate::state::Ledger;
use crate::vehicle::Weight;
use crate::weigh::{axle_items, wheel_items};

/// Whose mass it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Whose {
    /// The bare vehicle's.
    Vehicle,
    /// A load's, by its name.
    Load(String),
    /// A part's that came off.
    Off(String),
    /// A part's that went on.
    On(String),
    /// What the stand at that place of the vehicle carries.
    Stand(usize),
}

/// A mass at a place, counted on or off.
#[derive(Clone, Debug)]
pub struct Counted {
    /// Whose it is.
    pub whose: Whose,
    /// 1 = on, -1 = off.
    pub sign: f64,
    /// The mass, how far it may be off, its standard uncertainty.
    pub mass: [Mass; 3],
    /// Its place along aft, left, up; each how far it may be off, and its standard uncertainty.
    pub at: [[Length; 3]; 3],
}

/// Which end of every mass and place puts the centre farthest along an axis: 1 = its greatest, -1 = its least.
#[derive(Clone, Debug)]
pub struct Farthest {
    /// Of each mass.
    pub masses: Vec<f64>,
    /// Of each place.
    pub places: Vec<f64>,
}

impl Farthest {
    fn of(items: &[Item], axis: usize, sense: f64) -> Self {
        let level = extreme(items, axis, sense);
        let helps = |i: &Item| {
            let x = i.at[axis] + sense * i.sign * i.at_tolerance[axis];
            sense * i.sign * (x - level) > 0.0
        };
        Self {
            masses: items.iter().map(|i| if helps(i) { 1.0 } else { -1.0 }).collect(),
            places: items.iter().map(|i| sense * i.sign).collect(),
        }
    }
}

impl Accounts<'_> {
    /// Every mass of a plan's state, as it is counted.
    #[must_use]
    pub fn counted(&self, plan: &Plan, state: usize) -> Vec<Counted> {
        let (ledger, names) = self.ledger(plan, state);
        ledger.items().iter().zip(names).map(|(item, whose)| counted(item, whose)).collect()
    }

    /// The ends at which the centre of a plan's state is farthest forward, right or down (`sense` = -1) or
    /// the other way (1) along the axis aft, left, up of that index.
    #[must_use]
    pub fn farthest(&self, plan: &Plan, state: usize, axis: usize, sense: f64) -> Farthest {
        Farthest::of(self.ledger(plan, state).0.items(), axis, sense)
    }

    /// The same of the vehicle alone, as its wheels or axles were weighed; `None` where they were not.
    #[must_use]
    pub fn farthest_on_scales(&self, axis: usize, sense: f64) -> Option<Farthest> {
        let vehicle = self.situation.vehicle;
        let (base, wheels) = (&vehicle.wheelbase, &vehicle.wheels);
        let items = match &vehicle.weight {
            Weight::WheelLoads(loads) => {
                wheel_items(loads, base, [wheels.track_front, wheels.track_rear], wheels.track_off)
            }
            Weight::AxleLoads { front, rear } => axle_items([front, rear], base).to_vec(),
            Weight::TotalAndShare { .. } | Weight::Total(_) => return None,
        };
        Some(Farthest::of(&items, axis, sense))
    }

    fn ledger(&self, plan: &Plan, state: usize) -> (Ledger, Vec<Whose>) {
        let job = self.situation.job;
        let given = (0..job.steps.len()).collect();
        let order = plan.order.as_ref().filter(|o| o.adopted).map_or(given, |o| o.steps.clone());
        let mut names = vec![Whose::Vehicle];
        names.extend(job.loads.iter().map(|l| Whose::Load(l.name.clone())));
        let mut ledger = Ledger::raised(self.situation.vehicle, job);
        for step in order.into_iter().take(state).filter_map(|k| job.steps.get(k)) {
            match (ledger.take(step), step) {
                (Some(undone), _) => {
                    names.remove(undone);
                }
                (None, Step::Off(part)) => names.push(Whose::Off(part.name.clone())),
                (None, Step::On(part)) => names.push(Whose::On(part.name.clone())),
            }
        }
        if let Some(standing) = self.standing_in(plan, state) {
            ledger = self.situation.on(ledger, &standing.places, standing.checked(state));
            names.extend(standing.places.iter().map(|k| Whose::Stand(*k)));
        }
        (ledger, names)
    }

    /// The stands that carry in a plan's state.
    fn standing_in<'p>(&self, plan: &'p Plan, state: usize) -> Option<&'p Standing> {
        let StandsAnswer::Serve(standing) = plan.stands.as_ref()? else { return None };
        let carry =
            standing.relieves(state) || self.all_relieved && (standing.from..=standing.to).contains(&state);
        carry.then_some(standing)
    }
}

fn counted(item: &Item, whose: Whose) -> Counted {
    let at = |k: usize| [item.at[k], item.at_tolerance[k], item.at_uncertainty[k]].map(Length::metres);
    Counted {
        whose,
        sign: item.sign,
        mass: [item.mass, item.mass_tolerance, item.mass_uncertainty].map(Mass::kilograms),
        at: [at(0), at(1), at(2)],
    }
}
