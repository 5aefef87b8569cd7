//! Forces of the job's tasks on the raised vehicle: the check of each, and what a plan answers of them.

mod answer;
mod loss;

use statics::{AssuredForce, AtRest, Force, Place, Point, Push, SupportSet};

use crate::checks::{Piece, RESERVE_MOST, Sink, What};
use crate::frames::{Placement, Vehicle as Frame};
use crate::job::{Job, Task, WorkForce};
use crate::measure::Pad;
use crate::measured::Basis;
use crate::situation::{InputFault, Situation};
use crate::state::State;

use answer::beyond;
pub use answer::{Instead, StateForce, WorkAnswer};
pub use loss::{ForceLeft, LockLoss, Losses, PadLoss, Without};

/// One direction of one force of one task.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PushCase {
    pub(crate) task: usize,
    pub(crate) force: usize,
    pub(crate) at: Point<Frame>,
    /// Aft, left, up.
    pub(crate) along: [f64; 3],
    /// Its greatest size, newtons.
    pub(crate) needed: f64,
    pub(crate) source: &'static str,
    /// The states in which the task may be done.
    pub(crate) states: Vec<usize>,
}

const OF_THE_JOB: &str = "the job's file: size of the force, at its greatest";

/// The pushes of a job's tasks; what makes no sense is a fault.
pub(crate) fn pushes(job: &Job, states: &[State], faults: &mut Vec<InputFault>) -> Vec<PushCase> {
    let mut found = Vec::new();
    for (t, task) in job.tasks.iter().enumerate() {
        for name in task.during.iter().filter(|n| !states.iter().any(|s| s.name == **n)) {
            // Where states are at fault themselves, they have no names to look for.
            if !states.is_empty() {
                faults.push(InputFault::NoSuchState { task: task.name.clone(), state: name.clone() });
            }
        }
        for (f, force) in task.forces.iter().enumerate() {
            let legal = |d: &[f64; 3]| d.iter().all(|v| v.is_finite()) && d.iter().any(|v| *v != 0.0);
            if force.directions.is_empty() || !force.directions.iter().all(legal) {
                let (task, force) = (task.name.clone(), force.name.clone());
                faults.push(InputFault::NoDirection { task, force });
                continue;
            }
            found.extend(force.directions.iter().map(|along| PushCase {
                task: t,
                force: f,
                at: force.at,
                along: *along,
                needed: force.size.greatest().to_newtons(),
                source: source(force),
                states: during(task, states),
            }));
        }
    }
    found
}

/// Where the size that must be withstood comes from.
fn source(force: &WorkForce) -> &'static str {
    match force.size.basis {
        Basis::Assumed(source) => source,
        Basis::Given | Basis::ToleranceAssumed(_) => OF_THE_JOB,
    }
}

/// The states in which a task may be done: all, where it names none.
fn during(task: &Task, states: &[State]) -> Vec<usize> {
    states.iter().enumerate().filter(|(_, s)| task.is_done_in(&s.name)).map(|(k, _)| k).collect()
}

/// A force on the vehicle as it stands in the bay.
pub(crate) fn push_of(stand: &Placement, at: Point<Frame>, along: [f64; 3]) -> Option<Push> {
    Push::new(stand.point_to_bay(at), stand.direction_to_bay(along))
}

impl Situation<'_> {
    /// The same with other states; tasks belong to them by their names.
    pub(crate) fn with_states(&self, states: Vec<State>) -> Self {
        let own = |push: &PushCase| during(&self.job.tasks[push.task], &states);
        let pushes = self.pushes.iter().map(|p| PushCase { states: own(p), ..p.clone() }).collect();
        Self { states, pushes, ..self.clone() }
    }

    /// The same, a search steering by the tasks' forces.
    pub(crate) fn with_pushes(&self) -> Self {
        let mirrors = |a: &PushCase, b: &PushCase| {
            let ([x, y, z], [u, v, w]) = (a.at.to_metres(), b.at.to_metres());
            let off = [x - u, y + v, z - w, a.along[0] - b.along[0], a.along[1] + b.along[1]];
            let off = off.into_iter().chain([a.along[2] - b.along[2], a.needed - b.needed]);
            off.into_iter().all(|d| d.abs() < 1e-9) && a.states == b.states
        };
        let alike = self.pushes.iter().all(|a| self.pushes.iter().any(|b| mirrors(a, b)));
        let mirror = self.mirror.clone().filter(|_| alike);
        Self { pushes_bind: true, mirror, ..self.clone() }
    }

    /// Every push in every state in which it may act: indices of state and push.
    pub(crate) fn push_states(&self) -> impl Iterator<Item = (usize, usize)> {
        let of = |(k, push): (usize, &PushCase)| push.states.iter().map(move |s| (*s, k)).collect::<Vec<_>>();
        self.pushes.iter().enumerate().flat_map(of)
    }

    /// What is withstood of every push in every state.
    pub(crate) fn measure_pushes(&self, stand: &Placement, pads: &[Pad; 4], out: &mut impl Sink) {
        if self.pushes.is_empty() {
            return;
        }
        let set = self.support(stand, pads);
        let rests = set.as_ref().map(|set| self.at_rest(stand, set));
        for (state, push) in self.push_states() {
            self.take_push(state, push, stand, rests.as_ref().map(|r| &r[state]), out);
        }
    }

    /// What is withstood of one push in one state; nothing by pads on one line.
    pub(crate) fn measure_push(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        set: Option<&SupportSet>,
        out: &mut impl Sink,
    ) {
        let rest = set.map(|s| s.at_rest(&self.body(state, stand)));
        self.take_push(state, push, stand, rest.as_ref(), out);
    }

    fn take_push(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        rest: Option<&AtRest>,
        out: &mut impl Sink,
    ) {
        let case = &self.pushes[push];
        let withstands = rest.and_then(|rest| withstood(rest, case, stand)).map_or(0.0, |found| {
            // Pads with grip and rating end every push; were there no end, the greatest reserve is given.
            found.withstands.map_or(case.needed * (1.0 + RESERVE_MOST), Force::to_newtons)
        });
        let what = What::WorkForce { task: case.task, force: case.force };
        out.take(Piece { state: Some(state), ..self.piece(what, withstands, case.needed, case.source) });
    }

    /// The vehicle at rest on its pads in every state.
    pub(crate) fn at_rest<'s>(&self, stand: &Placement, set: &'s SupportSet) -> Vec<AtRest<'s>> {
        (0..self.states.len()).map(|state| set.at_rest(&self.body(state, stand))).collect()
    }

    /// How the reserve of a push grows for a metre that each pad moves aft and left on the vehicle.
    pub(crate) fn push_slopes(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        set: Option<&SupportSet>,
    ) -> [[f64; 2]; 4] {
        let case = &self.pushes[push];
        let found = set.and_then(|set| withstood(&set.at_rest(&self.body(state, stand)), case, stand));
        let flat = found.as_ref().is_none_or(|f| {
            f.withstands.is_none_or(|f| f.to_newtons() >= case.needed * (1.0 + RESERVE_MOST))
        });
        match found.filter(|_| !flat) {
            Some(found) => {
                core::array::from_fn(|i| stand.direction_to_vehicle(found.slopes[i]).map(|v| v / case.needed))
            }
            None => [[0.0; 2]; 4],
        }
    }
}

/// The assured working force of a push.
pub(crate) fn withstood(rest: &AtRest, case: &PushCase, stand: &Placement) -> Option<AssuredForce> {
    Some(rest.assured_force(&push_of(stand, case.at, case.along)?))
}

/// Of some pushes the one of which least is withstood: to the last digit the one that holds their check.
pub(crate) fn least_withstood<'c>(
    rest: &AtRest,
    cases: impl Iterator<Item = &'c PushCase>,
    stand: &Placement,
) -> Option<(&'c PushCase, Push, AssuredForce)> {
    let each = cases.filter_map(|case| {
        let push = push_of(stand, case.at, case.along)?;
        Some((case, push, rest.assured_force(&push)))
    });
    each.reduce(|a, b| if beyond(b.2.withstands) < beyond(a.2.withstands) { b } else { a })
}

/// A point above a place of the vehicle.
fn above(place: Place<Frame>, up: statics::Length) -> Point<Frame> {
    place.at_height(up)
}
