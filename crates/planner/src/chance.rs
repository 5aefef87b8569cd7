//! The chance that a check of weight, loads or edges fails when every input lies somewhere in its doubt.

mod points;
mod sample;

use std::ops::Range;
use std::thread;

use statics::{Load, Mass, SupportSet};

use crate::checks::What;
use crate::heights::Heights;
use crate::job::Job;
use crate::lift::Lift;
use crate::limits::Limits;
use crate::plan::{Check, Plan, Sense};
use crate::situation::{InputFault, Situation};
use crate::vehicle::Vehicle;
use sample::{Found, Sampler};

/// How often one check failed among the samples.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chance {
    /// Index into the plan's `checks`.
    pub check: usize,
    /// The chance of failing.
    pub chance: f64,
    /// Standard error of `chance`, from the spread of the independent shifts; zero where none or all failed.
    pub error: f64,
    /// How many samples failed.
    pub failed: u64,
    /// Of so many.
    pub samples: u64,
    /// How many failed under each of the shifts, all of as many samples.
    pub by_shift: [u64; 16],
}

/// What is told of chances.
#[derive(Clone, Debug, PartialEq)]
pub enum Chances {
    /// How often each check failed.
    Told(Vec<Chance>),
    /// Nothing: with every figure as supposed the vehicle does not stand on its pads in the state of that
    /// index, and loads that do not hold it have no chance.
    DoesNotStand(usize),
}

/// Independent random shifts of the one sequence: their spread is the numerical error.
const SHIFTS: u64 = 16;

/// The chance that each check of weight, loads, shares, edges and tip ratio fails, for the plan's own setup, by
/// quasi-random sampling of mass, centre of gravity, pad places, tilt and the stiffness that was assumed.
///
/// A sample in which the vehicle tips fails them all but the lift's rated load. The verdict does not rest on it.
/// `samples` is rounded up to a multiple of 16. Same input, same answer. Distributions: docs/method.md.
///
/// # Errors
/// As [`crate::plan()`].
pub fn chance(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    plan: &Plan,
    samples: u64,
) -> Result<Chances, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?.touching(&Heights::of(plan, vehicle));
    let Some(set) = situation.support(&plan.placement, &plan.pad_places()) else {
        return Ok(Chances::DoesNotStand(0));
    };
    if let Some(state) = falls_in(plan, &set) {
        return Ok(Chances::DoesNotStand(state));
    }
    let (sampler, questions) = (Sampler::new(&situation, plan, &set), questions(plan));
    let each = samples.div_ceil(SHIFTS).max(1);
    Ok(Chances::Told(summary(&questions, &on_two_threads(&sampler, &questions, each), each)))
}

/// The first state in which no loads hold the vehicle.
fn falls_in(plan: &Plan, set: &SupportSet) -> Option<usize> {
    plan.states.iter().position(|state| {
        let at = plan.placement.point_to_bay(state.cg).plan();
        set.load_estimate(&Load { weight: state.mass.value.weight(), at }).is_none()
    })
}

/// A check that sampling can ask.
struct Question {
    check: usize,
    /// The states in which it fails if it fails in any.
    states: Range<usize>,
    what: What,
    sense: Sense,
    limit: f64,
}

impl Question {
    fn fails(&self, found: &[Found]) -> bool {
        found[self.states.clone()].iter().any(|found| {
            if found.tips() && self.what != What::Capacity {
                return true;
            }
            let demand = demand(self.what, found).unwrap_or(f64::NAN);
            match self.sense {
                Sense::AtLeast => demand < self.limit,
                Sense::AtMost => demand > self.limit,
            }
        })
    }
}

/// What a check asks of a sample; `None` for checks that no sampled input moves, and of working forces.
fn demand(what: What, found: &Found) -> Option<f64> {
    let shares = &found.shares;
    let load = |share: f64| Mass::kilograms(share * found.mass).weight().to_newtons();
    Some(match what {
        What::PadRating(c) => load(shares[c.index()]),
        What::PadCarries(c) => shares[c.index()],
        What::PairRating { front: true } => load(shares[0] + shares[1]),
        What::PairRating { front: false } => load(shares[2] + shares[3]),
        What::ShareLeast | What::ShareMost => shares[0] + shares[1],
        What::SplitRule => (shares[0] + shares[1]).max(shares[2] + shares[3]),
        What::EdgeDistance(a, b) => found.edge(a.index(), b.index()),
        // A centre that is not above the pads hangs: nothing tips it.
        What::TipRatio if found.above > 0.0 => found.nearest / found.above,
        What::TipRatio => f64::INFINITY,
        What::Capacity => found.mass,
        _ => return None,
    })
}

fn questions(plan: &Plan) -> Vec<Question> {
    let ask = |(check, c): (usize, &Check)| {
        demand(c.what, &Found::default())?;
        let states = c.state.map_or(0..plan.states.len(), |s| s..s + 1);
        Some(Question { check, states, what: c.what, sense: c.sense, limit: c.limit })
    };
    plan.checks.iter().enumerate().filter_map(ask).collect()
}

/// Failures of every question under every shift of the range.
fn failures(sampler: &Sampler, questions: &[Question], shifts: Range<u64>, each: u64) -> Vec<Vec<u64>> {
    let one = |shift: u64| {
        let mut failed = vec![0; questions.len()];
        let mut points = points::Points::shifted(shift);
        let mut found = vec![Found::default(); sampler.states()];
        for _ in 0..each {
            sampler.draw(points.next(), &mut found);
            for (count, question) in failed.iter_mut().zip(questions) {
                *count += u64::from(question.fails(&found));
            }
        }
        failed
    };
    shifts.map(one).collect()
}

/// Half of the shifts on a second thread, if there is one; the counts do not depend on it.
fn on_two_threads(sampler: &Sampler, questions: &[Question], each: u64) -> Vec<Vec<u64>> {
    let half = |shifts| failures(sampler, questions, shifts, each);
    thread::scope(|scope| {
        let other = thread::Builder::new().spawn_scoped(scope, || half(SHIFTS / 2..SHIFTS));
        let mut counts = half(0..SHIFTS / 2);
        let other = other.ok().and_then(|thread| thread.join().ok());
        counts.extend(other.unwrap_or_else(|| half(SHIFTS / 2..SHIFTS)));
        counts
    })
}

/// Mean over the shifts and the standard error of that mean.
#[expect(clippy::cast_precision_loss, reason = "counts of samples, far below 2^53")]
fn summary(questions: &[Question], counts: &[Vec<u64>], each: u64) -> Vec<Chance> {
    let n = SHIFTS as f64;
    let of = |(k, question): (usize, &Question)| {
        let failed: u64 = counts.iter().map(|shift| shift[k]).sum();
        let chance = failed as f64 / (n * each as f64);
        let squares =
            counts.iter().map(|shift| (shift[k] as f64 / each as f64 - chance).powi(2)).sum::<f64>();
        Chance {
            check: question.check,
            chance,
            error: (squares / (n - 1.0) / n).sqrt(),
            failed,
            samples: SHIFTS * each,
            by_shift: core::array::from_fn(|shift| counts[shift][k]),
        }
    };
    questions.iter().enumerate().map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_thread_counts_as_two_do() {
        let (lift, vehicle) = (crate::common::lift(), crate::common::hatchback());
        let (job, limits) = (Job::default(), Limits::default());
        let mut plan = crate::plan(&lift, &vehicle, &job, &limits).unwrap();
        // Limits that about half of the samples fail.
        for check in &mut plan.checks {
            check.limit = check.demand * if check.sense == Sense::AtMost { 0.9 } else { 1.1 };
        }
        let situation = Situation::new(&lift, &vehicle, &job, &limits).unwrap();
        let set = situation.support(&plan.placement, &plan.pad_places()).unwrap();
        let (sampler, questions) = (Sampler::new(&situation, &plan, &set), questions(&plan));
        let two = on_two_threads(&sampler, &questions, 500);
        assert_eq!(failures(&sampler, &questions, 0..SHIFTS, 500), two);
        assert!(two.iter().flatten().any(|n| (1..500).contains(n)));
    }
}
