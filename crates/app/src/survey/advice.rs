//! Which one change of a lift would gain most: what it then takes of the vehicles that it refuses.

use std::cmp::Reverse;
use std::fmt::Write as _;

use planner::lift::Adapter;
use planner::{Job, Lift, Vehicle, takes};
use statics::{Length, Mass};

use super::engine::{Ask, ask_all};
use super::fleet::{Entry, Fleet};
use super::read;
use super::tally::{many, percent};
use crate::desk::Ended;

/// The most vehicles that are asked; of more, every so-manieth.
const MOST: u64 = 1000;
/// Changes that are told.
const TOLD: usize = 3;

/// A single change of a lift; the sizes that are tried are a project default.
#[derive(Clone, Copy, Debug)]
enum Change {
    /// Four adapters so high, millimetres.
    Adapters(f64),
    /// Arms that reach so much farther, millimetres.
    Longer(f64),
    /// Arms that are drawn in so much farther, millimetres.
    Shorter(f64),
    /// A lift otherwise like it that is rated for so much more, kilograms; its arms in proportion.
    Stronger(f64),
}

const CHANGES: [Change; 8] = [
    Change::Adapters(50.0),
    Change::Adapters(100.0),
    Change::Adapters(150.0),
    Change::Longer(100.0),
    Change::Longer(200.0),
    Change::Shorter(100.0),
    Change::Stronger(500.0),
    Change::Stronger(1000.0),
];

impl Change {
    fn of(self, lift: &Lift) -> Lift {
        let mut lift = lift.clone();
        match self {
            Self::Adapters(mm) => {
                lift.pads.adapters.push(Adapter { height: Length::millimetres(mm), count: 4 });
                lift.pads.stack_most = lift.pads.stack_most.max(1);
            }
            Self::Longer(mm) => lift.arms.iter_mut().for_each(|arm| arm.reach_out += Length::millimetres(mm)),
            Self::Shorter(mm) => {
                let least = Length::millimetres(100.0);
                lift.arms
                    .iter_mut()
                    .for_each(|arm| arm.reach_in = (arm.reach_in - Length::millimetres(mm)).max(least));
            }
            Self::Stronger(kg) => {
                let rated = lift.rated + Mass::kilograms(kg);
                let grown = rated / lift.rated;
                lift.arms.iter_mut().for_each(|arm| arm.rated = arm.rated.map(|rated| rated * grown));
                lift.rated = rated;
            }
        }
        lift
    }

    fn words(self, lift: &str) -> String {
        match self {
            Self::Adapters(mm) => format!("four adapters of {mm} mm for {lift}"),
            Self::Longer(mm) => format!("arms of {lift} that reach {mm} mm farther out"),
            Self::Shorter(mm) => format!("arms of {lift} that are drawn in {mm} mm farther"),
            Self::Stronger(kg) => {
                format!("instead of {lift} one rated {kg} kg higher, its arms in proportion")
            }
        }
    }
}

/// Whether each lift takes a vehicle, and with each change; `None` = it cannot be read.
type Taken = Option<Vec<(bool, [bool; CHANGES.len()])>>;

/// What a change gains.
#[derive(Clone, Copy, Debug, Default)]
struct Gain {
    /// Vehicles that no lift took.
    shop: u64,
    /// Vehicles that this lift did not take.
    lift: u64,
}

fn asked(ask: &Ask<'_>, changed: &[[Lift; CHANGES.len()]], entry: &Entry) -> Taken {
    let vehicles = read::vehicles(entry, ask.limits).ok()?.said;
    let jobs: Option<Vec<(&Vehicle, Job)>> = vehicles.iter().map(|v| Some((v, ask.job_of(v)?))).collect();
    let Some(jobs) = jobs else {
        // No lift and no change makes the job go with it; it is one of those asked all the same.
        return Some(vec![(false, [false; CHANGES.len()]); ask.lifts.len()]);
    };
    let of = |lift: &Lift| jobs.iter().all(|(vehicle, job)| takes(lift, vehicle, job, ask.limits));
    let each = ask.lifts.iter().zip(changed).map(|(named, changed)| {
        let now = of(&named.lift);
        // What it takes already it takes with more as well.
        (now, if now { [true; CHANGES.len()] } else { changed.each_ref().map(of) })
    });
    Some(each.collect())
}

/// The changes that gain most, in words; of a fleet with more vehicles that can be asked than a thousand, by every so-manieth.
pub(crate) fn advice(ask: &Ask<'_>, fleet: &Fleet, usable: u64, threads: usize) -> Result<String, Ended> {
    let step = usable.div_ceil(MOST).max(1);
    let changed: Vec<[Lift; CHANGES.len()]> =
        ask.lifts.iter().map(|named| CHANGES.map(|change| change.of(&named.lift))).collect();
    let mut gains = vec![[Gain::default(); CHANGES.len()]; ask.lifts.len()];
    let (mut vehicles, mut taken) = (0, 0);
    let mut some = fleet.entries().filter(|entry| entry.number % step == 0);
    ask_all(threads, &|entry: &Entry| asked(ask, &changed, entry), &mut some, &mut |found| {
        let Some(each) = found else { return Ok(()) };
        let by_any = each.iter().any(|(now, _)| *now);
        vehicles += 1;
        taken += u64::from(by_any);
        for (gains, (now, then)) in gains.iter_mut().zip(each) {
            for (gain, then) in gains.iter_mut().zip(then) {
                gain.lift += u64::from(then && !now);
                gain.shop += u64::from(then && !by_any);
            }
        }
        Ok(())
    })?;
    Ok(told(ask, &gains, [vehicles, taken, step]))
}

fn told(ask: &Ask<'_>, gains: &[[Gain; CHANGES.len()]], [vehicles, taken, step]: [u64; 3]) -> String {
    let mut out = "\nWhich one change would gain most".to_owned();
    if step > 1 {
        let _ = write!(out, ", by every {step}th vehicle, {vehicles} in all");
    }
    out += ":\n";
    let mut all: Vec<(Gain, usize, Change)> = gains
        .iter()
        .enumerate()
        .flat_map(|(lift, gains)| gains.iter().zip(CHANGES).map(move |(gain, change)| (*gain, lift, change)))
        .filter(|(gain, ..)| gain.shop + gain.lift > 0)
        .collect();
    // The first of those that gain alike is the one of least trouble.
    all.sort_by_key(|(gain, ..)| Reverse((gain.shop, gain.lift)));
    out += match all.first() {
        None => {
            "  none: no set of adapters, no longer or shorter arm, no stronger lift that was tried takes one more.\n"
        }
        Some((gain, ..)) if gain.shop == 0 => {
            "  none gives a lift to a vehicle that has none; with these one lift takes what others take already:\n"
        }
        Some(_) => "",
    };
    for (gain, lift, change) in all.into_iter().take(TOLD) {
        let words = change.words(&ask.lifts[lift].id);
        let then = taken + gain.shop;
        let _ = writeln!(
            out,
            "  {words}:\n      {} more, then {then} of {vehicles} ({}) have a lift; that lift itself takes {} more.",
            many(gain.shop, "vehicle"),
            percent(then, vehicles),
            gain.lift
        );
    }
    out
}
