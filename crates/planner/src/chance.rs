//! The chance that a check of loads or edges fails when every input lies somewhere in its tolerance.

mod points;
mod sample;

use std::ops::Range;
use std::thread;

use crate::checks::What;
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
}

/// Independent random shifts of the one sequence: their spread is the numerical error.
const SHIFTS: u64 = 16;

/// The chance that each check of loads, shares and edges fails, for the plan's own setup, by
/// quasi-random sampling of mass, centre of gravity, pad places, tilt and the stiffness that was assumed.
///
/// The verdict does not rest on it. `samples` is rounded up to a multiple of 16. Same input, same
/// answer. Distributions: docs/method.md.
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
) -> Result<Vec<Chance>, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let sampler = Sampler::new(&situation, plan);
    let questions = questions(plan);
    let each = samples.div_ceil(SHIFTS).max(1);
    Ok(summary(&questions, &on_two_threads(&sampler, &questions, each), each))
}

/// A check that sampling can ask.
struct Question {
    check: usize,
    state: usize,
    what: What,
    sense: Sense,
    limit: f64,
}

impl Question {
    /// Whether a sample fails the check; `None` for checks that no sampled input moves.
    fn fails(&self, found: &Found) -> Option<bool> {
        let loads = &found.shares;
        let weight = found.weight;
        let demand = match self.what {
            What::PadRating(c) => loads[c.index()] * weight,
            What::PadCarries(c) => loads[c.index()],
            What::PairRating { front: true } => (loads[0] + loads[1]) * weight,
            What::PairRating { front: false } => (loads[2] + loads[3]) * weight,
            What::ShareLeast | What::ShareMost => loads[0] + loads[1],
            What::SplitRule => (loads[0] + loads[1]).max(loads[2] + loads[3]),
            What::EdgeDistance(a, b) => found.edge(a.index(), b.index()),
            _ => return None,
        };
        Some(match self.sense {
            Sense::AtLeast => demand < self.limit,
            Sense::AtMost => demand > self.limit,
        })
    }
}

fn questions(plan: &Plan) -> Vec<Question> {
    let ask = |(check, c): (usize, &Check)| {
        let state = c.state.filter(|s| *s < plan.states.len())?;
        let question = Question { check, state, what: c.what, sense: c.sense, limit: c.limit };
        question.fails(&Found::default()).map(|_| question)
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
                *count += u64::from(question.fails(&found[question.state]) == Some(true));
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
        let (sampler, questions) = (Sampler::new(&situation, &plan), questions(&plan));
        let two = on_two_threads(&sampler, &questions, 500);
        assert_eq!(failures(&sampler, &questions, 0..SHIFTS, 500), two);
        assert!(two.iter().flatten().any(|n| (1..500).contains(n)));
    }
}
