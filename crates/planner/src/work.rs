//! Forces of the job's tasks on the raised vehicle: the check of each, and what a plan answers of them.

mod answer;
mod loss;

use statics::{AssuredForce, AssuredLoads, AtRest, Force, Place, Point, Push, SupportSet};

use crate::checks::{Piece, RESERVE_MOST, Sink, What};
use crate::frames::{Placement, Vehicle as Frame};
use crate::job::{Job, Task, WorkForce};
use crate::lift::Corner;
use crate::measure::Pad;
use crate::measured::Basis;
use crate::search::QUOTIENT;
use crate::situation::{InputFault, Situation};
use crate::state::State;

use answer::beyond;
pub use answer::{Instead, StateForce, WorkAnswer};
pub use loss::{ForceLeft, LockLoss, Losses, PadLoss, Without};

/// One direction of one force of one task, the hand at one place.
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
            let case = |at: Point<Frame>, along: [f64; 3]| PushCase {
                task: t,
                force: f,
                at,
                along,
                needed: force.size.greatest().to_newtons(),
                source: source(force),
                states: during(task, states),
            };
            for along in &force.directions {
                found.extend(force.hands(*along).into_iter().map(|at| case(at, *along)));
            }
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
        let models = self.models(stand, pads);
        let at_work = self.at_work(stand, &models);
        for (state, push) in self.push_states() {
            self.take_push(state, push, stand, at_work.get(state), out);
        }
    }

    /// What is withstood of one push in one state; nothing by pads on one line.
    pub(crate) fn measure_push(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        models: &[Option<SupportSet>],
        out: &mut impl Sink,
    ) {
        self.take_push(state, push, stand, self.at_work_in(state, stand, models).as_ref(), out);
    }

    fn take_push(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        at_work: Option<&AtWork>,
        out: &mut impl Sink,
    ) {
        let case = &self.pushes[push];
        let what = What::WorkForce { task: case.task, force: case.force };
        let mut take = |withstands: f64| {
            out.take(Piece { state: Some(state), ..self.piece(what, withstands, case.needed, case.source) });
        };
        match at_work.zip(push_of(stand, case.at, case.along)) {
            Some((at_work, push)) => {
                // Pads with grip and rating end every push; were there no end, the greatest reserve is given.
                let by_balance = at_work.rest.assured_force(&push).withstands;
                take(by_balance.map_or(case.needed * (1.0 + RESERVE_MOST), Force::to_newtons));
                let by_springs = at_work.overloads(&push);
                by_springs.for_each(|o| take(o.map_or(f64::INFINITY, |o| o.push.to_newtons())));
            }
            None => (0..=4 * self.ways()).for_each(|_| take(0.0)),
        }
    }

    /// The vehicle on its pads in every state; empty where they are on one line.
    pub(crate) fn at_work<'s>(&self, stand: &Placement, models: &'s [Option<SupportSet>]) -> Vec<AtWork<'s>> {
        (0..self.states.len()).map_while(|state| self.at_work_in(state, stand, models)).collect()
    }

    /// The vehicle on its pads in one state.
    pub(crate) fn at_work_in<'s>(
        &self,
        state: usize,
        stand: &Placement,
        models: &'s [Option<SupportSet>],
    ) -> Option<AtWork<'s>> {
        let set = models.first()?.as_ref()?;
        let rest = set.at_rest(&set.unsteady(&self.body(state, stand)));
        Some(AtWork { rest, springs: self.springs(state, stand, models)? })
    }

    /// Its pads and their loads in each way in which arms may bend.
    fn springs<'s>(
        &self,
        state: usize,
        stand: &Placement,
        models: &'s [Option<SupportSet>],
    ) -> Option<Vec<(&'s SupportSet, AssuredLoads)>> {
        let body = self.body(state, stand);
        models.iter().map(|set| set.as_ref().map(|set| (set, set.assured_loads(&body)))).collect()
    }

    /// How the reserves of a push, by balance and by the springs of each pad, grow for a metre that each pad moves aft and
    /// left on the vehicle.
    pub(crate) fn push_slopes(
        &self,
        state: usize,
        push: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        models: &[Option<SupportSet>],
    ) -> Vec<[[f64; 2]; 4]> {
        const FLAT: [[f64; 2]; 4] = [[0.0; 2]; 4];
        let case = &self.pushes[push];
        let push = push_of(stand, case.at, case.along);
        let Some((at_work, push)) = self.at_work_in(state, stand, models).zip(push) else {
            return Vec::new();
        };
        // At the most that is given it grows no more.
        let grows = |force: &Force| force.to_newtons() < case.needed * (1.0 + RESERVE_MOST);
        let balance = at_work.rest.assured_force(&push);
        let by_balance = balance.withstands.filter(grows).map(|_| {
            core::array::from_fn(|i| stand.direction_to_vehicle(balance.slopes[i]).map(|v| v / case.needed))
        });
        let here: Vec<Option<Force>> =
            at_work.overloads(&push).map(|o| o.map(|o| o.push).filter(grows)).collect();
        let mut found = vec![FLAT; 1 + here.len()];
        found[0] = by_balance.unwrap_or(FLAT);
        for (pad, axis) in (0..4).flat_map(|pad| [0, 1].map(|axis| (pad, axis))) {
            if here.iter().all(Option::is_none) {
                break;
            }
            let mut moved = *pads;
            moved[pad].at[axis] += QUOTIENT;
            let models = self.models(stand, &moved);
            let Some(there) = self.springs(state, stand, &models) else { continue };
            for ((slopes, here), there) in found[1..].iter_mut().zip(&here).zip(overloads(&there, &push)) {
                if let (Some(here), Some(there)) = (here, there) {
                    slopes[pad][axis] = (there.push - *here).to_newtons() / (QUOTIENT * case.needed);
                }
            }
        }
        found
    }
}

/// The vehicle on its pads in one state, to push at.
pub(crate) struct AtWork<'s> {
    rest: AtRest<'s>,
    /// Its pads and their loads in each way in which arms may bend.
    springs: Vec<(&'s SupportSet, AssuredLoads)>,
}

/// How much is withstood of a push, and what ends it.
#[derive(Clone, Debug, PartialEq)]
pub enum Held {
    /// No larger push is in balance within grip and ratings, however the pads share.
    Balance(AssuredForce),
    /// The pads share by their springs, and one comes to its rating.
    Springs(Overload),
}

/// The push at which a pad may first carry as much as it is rated for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overload {
    /// The push.
    pub push: Force,
    /// The pad.
    pub corner: Corner,
    /// In which of the ways that arms may bend.
    pub model: usize,
}

impl Held {
    /// Its size; `None` where there is no end to it.
    #[must_use]
    pub const fn withstands(&self) -> Option<Force> {
        match self {
            Self::Balance(found) => found.withstands,
            Self::Springs(overload) => Some(overload.push),
        }
    }
}

impl<'s> AtWork<'s> {
    /// The same vehicle, pads resisting sideways as those of another set do.
    pub(crate) fn resting<'t>(&self, rest: AtRest<'t>) -> AtWork<'t>
    where
        's: 't,
    {
        AtWork { rest, springs: self.springs.clone() }
    }

    /// The least of a push that is withstood within all tolerances.
    pub(crate) fn withstood(&self, push: &Push) -> Held {
        let overload = self.overload(push);
        match (overload, self.rest.assured_below(push, overload.map(|o| o.push))) {
            (Some(overload), None) => Held::Springs(overload),
            (_, Some(found)) => Held::Balance(found),
            (None, None) => Held::Balance(self.rest.assured_force(push)),
        }
    }

    /// The same if it is less than `most` (`None` = no end).
    pub(crate) fn withstood_below(&self, push: &Push, most: Option<Force>) -> Option<Held> {
        let overload = self.overload(push).filter(|o| most.is_none_or(|most| o.push < most));
        let found = self.rest.assured_below(push, overload.map_or(most, |o| Some(o.push)));
        found.map(Held::Balance).or(overload.map(Held::Springs))
    }

    /// The least of [`Self::overloads`].
    pub(crate) fn overload(&self, push: &Push) -> Option<Overload> {
        self.overloads(push).flatten().reduce(sooner)
    }

    /// The push at which springs load each pad to its rating, for every way in which arms may bend: what it is short of
    /// that, at the least, over what a newton adds at the most; none where it adds nothing. Where a pad has let go
    /// before, the three others share in one way alone, as in any balance.
    pub(crate) fn overloads(&self, push: &Push) -> impl Iterator<Item = Option<Overload>> {
        overloads(&self.springs, push)
    }

    /// The push at which a pad may first carry nothing: the least that it carries over what a newton takes away.
    pub(crate) fn unload(&self, push: &Push) -> Option<Overload> {
        let of_model = |(model, (set, loads)): (usize, &(&SupportSet, AssuredLoads))| {
            let growth = set.growth(push);
            let of_pad = |corner: Corner| {
                let (least, _) = loads.added(corner.index(), &growth)?;
                let carried = loads.sum(&[corner.index()]).least.max(Force::ZERO);
                (least < 0.0).then(|| Overload { push: carried / -least, corner, model })
            };
            Corner::ALL.into_iter().filter_map(of_pad).reduce(sooner)
        };
        self.springs.iter().enumerate().filter_map(of_model).reduce(sooner)
    }
}

fn overloads(springs: &[(&SupportSet, AssuredLoads)], push: &Push) -> impl Iterator<Item = Option<Overload>> {
    let of_model = move |(model, (set, loads)): (usize, &(&SupportSet, AssuredLoads))| {
        let growth = set.growth(push);
        Corner::ALL.map(|corner| {
            let rated = set.contacts()[corner.index()].rated?;
            let (_, most) = loads.added(corner.index(), &growth)?;
            let short = rated - loads.least_share_and_greatest(&[corner.index()]).1;
            (most > 0.0).then(|| Overload { push: short.max(Force::ZERO) / most, corner, model })
        })
    };
    springs.iter().enumerate().flat_map(of_model)
}

/// The first of equals.
fn sooner(a: Overload, b: Overload) -> Overload {
    if b.push < a.push { b } else { a }
}

/// Of some pushes the one of which least is withstood: to the last digit the one that holds their check.
pub(crate) fn least_withstood<'c>(
    at_work: &AtWork,
    cases: impl Iterator<Item = &'c PushCase>,
    stand: &Placement,
) -> Option<(&'c PushCase, Push, Held)> {
    let each = cases.filter_map(|case| {
        let push = push_of(stand, case.at, case.along)?;
        Some((case, push, at_work.withstood(&push)))
    });
    each.reduce(|a, b| if beyond(b.2.withstands()) < beyond(a.2.withstands()) { b } else { a })
}

/// A point above a place of the vehicle.
fn above(place: Place<Frame>, up: statics::Length) -> Point<Frame> {
    place.at_height(up)
}
