//! Weight and centre of gravity of the vehicle in every state of a job.

use statics::{Force, Length, Mass, Point};

use crate::frames::Vehicle as Frame;
use crate::job::{Job, Step};
use crate::measured::{Basis, Measured};
use crate::moment::{Item, extreme, mass_spread, mean, spread};
use crate::priors;
use crate::vehicle::{Part, Vehicle, Weight};
use crate::weigh;

/// The vehicle's weight in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// What it is called.
    pub name: String,
    /// Its mass.
    pub mass: Measured<Mass>,
    /// Its centre of gravity.
    pub cg: Point<Frame>,
    /// Exact worst case, along aft, left, up.
    pub cg_tolerance: [Length; 3],
    /// Standard uncertainty (JCGM 100), along aft, left, up.
    pub cg_uncertainty: [Length; 3],
}

/// Why a state cannot be.
#[derive(Clone, Debug, PartialEq)]
pub enum StateFault {
    /// Nothing is left to lift.
    NoMass {
        /// Name of the state.
        state: String,
        /// The part that came off or went on last; `None` as it is raised.
        part: Option<String>,
    },
    /// The centre of gravity of what is left lies outside the vehicle.
    CgLeaves {
        /// Name of the state.
        state: String,
        /// Which way it leaves, and how far beyond the outline.
        way: Leaves,
        /// The part that came off or went on last; `None` as it is raised.
        part: Option<String>,
    },
    /// As it is driven in, the centre of gravity lies not between the wheels: ahead, behind, or to one side.
    OffItsWheels(Tips),
    /// The part is off already.
    TakenTwice(String),
    /// The part is on already.
    PutTwice(String),
    /// The first part wants the second off before it.
    TooEarly(String, String),
    /// The first part goes on only while the second is off, and that is on.
    PutTooLate(String, String),
}

/// On which side of the vehicle's outline a centre of gravity lies, and how far beyond it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Leaves {
    /// In front of it.
    Ahead(Length),
    /// Behind it.
    Behind(Length),
    /// Left or right of it.
    Sideways(Length),
    /// At the ground or below it.
    Below(Length),
    /// At the roof or above it.
    Above(Length),
}

/// Over which wheels a vehicle would tip before any lift touches it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tips {
    /// The front wheels carry nothing.
    Back,
    /// The rear wheels carry nothing.
    Forwards,
    /// The wheels of one side carry nothing.
    Sideways,
}

/// The bare vehicle's weight and centre of gravity, from the best that is known of it.
#[must_use]
pub fn bare(vehicle: &Vehicle) -> Bare {
    let base = &vehicle.wheelbase;
    let (mass, aft, left) = match &vehicle.weight {
        Weight::WheelLoads(loads) => {
            let found =
                weigh::from_wheels(loads, base, vehicle.wheels.track_front, vehicle.wheels.track_rear);
            (found.mass, found.aft, found.left)
        }
        Weight::AxleLoads { front, rear } => {
            let found = weigh::from_axles(front, rear, base);
            (found.mass, found.aft, priors::cg_sideways())
        }
        Weight::TotalAndShare { total, front_share } => {
            (total.clone(), weigh::from_share(front_share, base), priors::cg_sideways())
        }
        Weight::Total(total) => {
            let share = priors::front_share(vehicle.class, vehicle.drive);
            (total.clone(), weigh::from_share(&share, base), priors::cg_sideways())
        }
    };
    let up = vehicle
        .cg_height
        .clone()
        .unwrap_or_else(|| priors::cg_height(vehicle.class, vehicle.drive, vehicle.outline.roof));
    Bare { mass, aft, left, up }
}

/// Weight and centre of gravity of the bare vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Bare {
    /// Its mass.
    pub mass: Measured<Mass>,
    /// Behind the front axle.
    pub aft: Measured<Length>,
    /// Left of the centre plane.
    pub left: Measured<Length>,
    /// Above the ground.
    pub up: Measured<Length>,
}

/// The states of a job: as raised, then after each step.
///
/// # Errors
/// Every state that cannot be, and every step out of place.
pub fn states(vehicle: &Vehicle, job: &Job) -> Result<Vec<State>, Vec<StateFault>> {
    let mut ledger = Ledger::raised(vehicle, job);
    let mut found = vec![ledger.state("as raised".into())];
    for step in &job.steps {
        ledger.take(step);
        found.push(ledger.state(step.state_name()));
    }
    let mut faults: Vec<StateFault> =
        out_of_place(vehicle, &job.steps).into_iter().map(|(_, fault)| fault).collect();
    // What follows from the first state that cannot be is no fault of its own.
    let first = found.iter().enumerate().find_map(|(k, state)| {
        let part = k.checked_sub(1).map(|step| job.steps[step].part().name.clone());
        state.fault(vehicle, part)
    });
    faults.extend(first);
    let raised = found.first().filter(|raised| raised.fault(vehicle, None).is_none());
    faults.extend(raised.and_then(|raised| tips(raised, vehicle)).map(StateFault::OffItsWheels));
    if faults.is_empty() { Ok(found) } else { Err(faults) }
}

/// The steps out of place, each by its index: off or on twice, or against what must be off first.
#[must_use]
pub fn out_of_place(vehicle: &Vehicle, steps: &[Step]) -> Vec<(usize, StateFault)> {
    let mut off: Vec<&str> = Vec::new();
    let mut on: Vec<&str> = vehicle.parts.iter().map(|p| p.name.as_str()).collect();
    let mut faults = Vec::new();
    for (k, step) in steps.iter().enumerate() {
        let part = step.part();
        let name = part.name.as_str();
        // What is only put on later is not there yet.
        let later = |need: &str| steps[k..].iter().find(|s| s.part().name == need);
        let away = |need: &str| {
            off.contains(&need) || !on.contains(&need) && matches!(later(need), Some(Step::On(_)))
        };
        let early = part.after.iter().filter(|need| !away(need));
        match step {
            Step::Off(_) => {
                if off.contains(&name) {
                    faults.push((k, StateFault::TakenTwice(name.into())));
                }
                faults.extend(early.map(|need| (k, StateFault::TooEarly(name.into(), need.clone()))));
                off.push(name);
                on.retain(|p| *p != name);
            }
            Step::On(_) => {
                if on.contains(&name) {
                    faults.push((k, StateFault::PutTwice(name.into())));
                }
                faults.extend(early.map(|need| (k, StateFault::PutTooLate(name.into(), need.clone()))));
                on.push(name);
                off.retain(|p| *p != name);
            }
        }
    }
    faults
}

/// A vehicle is driven in on its wheels, so its centre of gravity lies between them.
fn tips(raised: &State, vehicle: &Vehicle) -> Option<Tips> {
    let [aft, left] = raised.cg.plan().to_metres();
    let half = vehicle.wheels.track_front.max(vehicle.wheels.track_rear).to_metres() / 2.0;
    if aft >= vehicle.wheelbase.value.to_metres() {
        Some(Tips::Back)
    } else if aft <= 0.0 {
        Some(Tips::Forwards)
    } else {
        (left.abs() >= half).then_some(Tips::Sideways)
    }
}

impl State {
    /// Why it cannot be: nothing left to lift, or a centre of gravity outside the vehicle; `part` = what came off or
    /// went on last.
    pub(crate) fn fault(&self, vehicle: &Vehicle, part: Option<String>) -> Option<StateFault> {
        if self.mass.least() <= Mass::ZERO {
            return Some(StateFault::NoMass { state: self.name.clone(), part });
        }
        let way = self.leaves(vehicle)?;
        Some(StateFault::CgLeaves { state: self.name.clone(), way, part })
    }

    /// Whether another state is the same but for rounding and its name.
    pub(crate) fn weighs_like(&self, other: &Self) -> bool {
        let figures = |s: &Self| {
            let mass = [s.mass.value, s.mass.tolerance].map(Mass::to_kilograms);
            let ([x, y, z], [a, b, c]) = (s.cg.to_metres(), s.cg_tolerance.map(Length::to_metres));
            [mass[0], mass[1], x, y, z, a, b, c]
        };
        figures(self).iter().zip(figures(other)).all(|(a, b)| (a - b).abs() < 1e-9)
    }

    /// Where the centre of gravity lies outside the vehicle's outline: no weight of what is left is there.
    fn leaves(&self, vehicle: &Vehicle) -> Option<Leaves> {
        let (outline, [aft, left, up]) = (&vehicle.outline, self.cg.to_metres().map(Length::metres));
        let ends = [-outline.front_overhang, vehicle.wheelbase.value + outline.rear_overhang];
        let beyond = [
            Leaves::Ahead(ends[0] - aft),
            Leaves::Behind(aft - ends[1]),
            Leaves::Sideways(left.abs() - outline.width / 2.0),
        ];
        let heights = [Leaves::Below(-up), Leaves::Above(up - outline.roof)];
        let out = beyond.into_iter().filter(|way| way.far() > Length::ZERO);
        out.chain(heights.into_iter().filter(|way| way.far() >= Length::ZERO))
            .max_by(|a, b| a.far().to_metres().total_cmp(&b.far().to_metres()))
    }
}

impl Leaves {
    /// How far beyond the outline.
    #[must_use]
    pub const fn far(self) -> Length {
        match self {
            Self::Ahead(far)
            | Self::Behind(far)
            | Self::Sideways(far)
            | Self::Below(far)
            | Self::Above(far) => far,
        }
    }
}

/// The masses aboard and the masses away, as a job goes on: states by exact moment arithmetic.
#[derive(Clone, Debug)]
pub struct Ledger {
    items: Vec<Item>,
    basis: Basis,
}

impl Ledger {
    /// The vehicle as it is raised, with the job's loads.
    #[must_use]
    pub fn raised(vehicle: &Vehicle, job: &Job) -> Self {
        let bare = bare(vehicle);
        let lengths =
            |f: fn(&Measured<Length>) -> Length| [&bare.aft, &bare.left, &bare.up].map(|m| f(m).to_metres());
        let mut items = vec![Item {
            at_uncertainty: lengths(|m| m.uncertainty),
            ..Item::new(1.0, &bare.mass, lengths(|m| m.value), lengths(|m| m.tolerance))
        }];
        items.extend(job.loads.iter().map(|load| item(load, 1.0)));
        Self { items, basis: bare.mass.basis }
    }

    /// One part off or on. Tells which of its masses that undid, if any: it is counted no more.
    pub fn take(&mut self, step: &Step) -> Option<usize> {
        let sign = match step {
            Step::Off(_) => -1.0,
            Step::On(_) => 1.0,
        };
        change(&mut self.items, step.part(), sign)
    }

    /// Everything that is counted: the bare vehicle, the loads, then parts and stands as they came.
    pub(crate) fn items(&self) -> &[Item] {
        &self.items
    }

    /// A part of the weight carried by something else than the pads, at a point that may be off in plan by
    /// the tolerance: what is left is what the pads carry.
    pub fn relieve(&mut self, at: Point<Frame>, tolerance: Length, load: Force) {
        let (mass, t) = (Measured::given(load.as_mass(), Mass::ZERO), tolerance.to_metres());
        self.items.push(Item::new(-1.0, &mass, at.to_metres(), [t, t, 0.0]));
    }

    /// Weight and centre of gravity as it stands.
    #[must_use]
    pub fn state(&self, name: String) -> State {
        named(name, &self.items, &self.basis)
    }
}

fn item(part: &Part, sign: f64) -> Item {
    Item::new(sign, &part.mass, part.at.to_metres(), part.off.by.map(Length::to_metres))
}

/// A part that goes back on undoes its coming off, and the other way round: its own doubt goes with it.
fn change(items: &mut Vec<Item>, part: &Part, sign: f64) -> Option<usize> {
    let change = item(part, sign);
    let undone = items.iter().skip(1).position(|i| {
        let same = |a: f64, b: f64| (a - b).abs() <= f64::EPSILON * a.abs();
        i.sign * sign < 0.0 && same(i.mass, change.mass) && (0..3).all(|k| same(i.at[k], change.at[k]))
    });
    match undone {
        Some(k) => {
            items.remove(k + 1);
        }
        None => items.push(change),
    }
    undone.map(|k| k + 1)
}

fn named(name: String, items: &[Item], basis: &Basis) -> State {
    let sum = |f: &dyn Fn(&Item) -> f64| items.iter().map(f).sum::<f64>();
    let cg = [0, 1, 2].map(|k| mean(items, k));
    let tolerance = [0, 1, 2]
        .map(|k| Length::metres((extreme(items, k, 1.0) - cg[k]).max(cg[k] - extreme(items, k, -1.0))));
    State {
        name,
        mass: Measured {
            value: Mass::kilograms(sum(&|i| i.sign * i.mass)),
            tolerance: Mass::kilograms(sum(&|i| i.mass_tolerance)),
            uncertainty: Mass::kilograms(mass_spread(items)),
            basis: basis.clone(),
        },
        cg: Point::metres(cg),
        cg_tolerance: tolerance,
        cg_uncertainty: [0, 1, 2].map(|k| Length::metres(spread(items, k))),
    }
}
