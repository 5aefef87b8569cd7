//! The moments of a raise at which the conditions of its plan are met, and what is said there.

use planner::lift::Corner;
use planner::plan::Remark;
use planner::quick::Unknown;
use statics::Force;

use super::reasons::conditions;
use super::{Reason, work};
use crate::{Scene, Units};

/// A moment of a raise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moment {
    /// The vehicle stands where it goes up.
    Spotted,
    /// The pads are set under it.
    Pads,
    /// It is just clear of the floor.
    TestRaise,
    /// It rests on its locks in the state of this index, and the step that leads to the next is ahead.
    Step(usize),
    /// All steps are done, and it is to come down.
    Last,
}

/// The conditions of the plan that are met at a moment, each with what to do.
#[must_use]
pub fn conditions_at(scene: &Scene<'_>, moment: Moment, units: Units) -> Vec<String> {
    let told = conditions(scene).into_iter().filter(|reason| is_met_at(reason, moment));
    let told = told.map(|reason| reason.short(scene, units));
    let last = scene.plan.states.len().saturating_sub(1);
    let states = match moment {
        // What is done before the step, and what comes right after it.
        Moment::Step(state) => state..=(state + 1).min(last),
        Moment::Last => last..=last,
        Moment::Spotted | Moment::Pads | Moment::TestRaise => return told.collect(),
    };
    let freed = scene.plan.conditions.iter().filter_map(|remark| match remark {
        Remark::Unloads { of, needed, .. } => Some((*of, *needed)),
        _ => None,
    });
    told.chain(freed.filter_map(|(of, needed)| {
        let (state, corner, at) = unloads_in(scene, of, needed, states.clone())?;
        Some(work::unloads_short(scene, of, state, corner, [at, needed], units))
    }))
    .collect()
}

/// Of some states the one in which the least of a force lifts a pad empty.
fn unloads_in(
    scene: &Scene<'_>,
    (task, force): (usize, usize),
    needed: Force,
    states: std::ops::RangeInclusive<usize>,
) -> Option<(usize, Corner, Force)> {
    let answer = scene.plan.work.iter().find(|answer| (answer.task, answer.force) == (task, force))?;
    let here = answer.states.iter().filter(|s| states.contains(&s.state));
    let each = here.filter_map(|s| s.first_unloads.map(|(corner, at)| (s.state, corner, at)));
    each.filter(|(.., at)| *at <= needed).min_by(|a, b| a.2.to_newtons().total_cmp(&b.2.to_newtons()))
}

/// Whether a condition is met at a moment, whichever state it is of.
const fn is_met_at(reason: &Reason<'_>, moment: Moment) -> bool {
    match reason {
        Reason::NotMeasured(Unknown::Doors) => matches!(moment, Moment::Spotted),
        Reason::NotMeasured(Unknown::Undersides) | Reason::UnevenSeat(..) => {
            matches!(moment, Moment::Pads | Moment::TestRaise)
        }
        Reason::NotMeasured(Unknown::KeepOuts | Unknown::LiftPoints)
        | Reason::OddAreas(_)
        | Reason::Fails(_) => matches!(moment, Moment::Pads),
        Reason::EndsWithout(_) => matches!(moment, Moment::Last),
        _ => false,
    }
}
