//! Forces of the job's tasks on the raised vehicle: the check of each, and what a plan answers of them.

mod answer;
mod loss;

use core::cell::OnceCell;

use statics::{AssuredForce, AssuredLoads, AtRest, Body, Force, Growth, Place, Point, Push, SupportSet};

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
            self.take_push(state, &self.pushes[push], stand, at_work.get(state), out);
        }
    }

    /// The pushes of a state that a search asks about.
    pub(crate) fn pushes_asked(&self, state: usize) -> impl Iterator<Item = &PushCase> {
        let asked = |p: &PushCase| self.asks(What::WorkForce { task: p.task, force: p.force });
        self.pushes.iter().filter(move |p| p.states.contains(&state) && asked(p))
    }

    /// The states with such pushes, those left out that weigh like one before with the same pushes.
    pub(crate) fn states_pushed(&self) -> Vec<usize> {
        let like = |k: usize, other: usize| {
            self.states[k].weighs_like(&self.states[other])
                && self.pushes_asked(k).all(|push| push.states.contains(&other))
        };
        let pushed = (0..self.states.len()).filter(|k| self.pushes_asked(*k).next().is_some());
        pushed.filter(|k| !(0..*k).any(|other| like(*k, other))).collect()
    }

    /// What is withstood of some pushes in one state; nothing by pads on one line.
    pub(crate) fn measure_pushes_in<'p>(
        &self,
        state: usize,
        pushes: impl Iterator<Item = &'p PushCase>,
        stand: &Placement,
        models: &[Option<SupportSet>],
        out: &mut impl Sink,
    ) {
        let mut pushes = pushes.peekable();
        if pushes.peek().is_some() {
            let at_work = self.at_work_in(state, stand, models);
            pushes.for_each(|push| self.take_push(state, push, stand, at_work.as_ref(), out));
        }
    }

    fn take_push(
        &self,
        state: usize,
        case: &PushCase,
        stand: &Placement,
        at_work: Option<&AtWork>,
        out: &mut impl Sink,
    ) {
        let what = What::WorkForce { task: case.task, force: case.force };
        let beyond = out.beyond();
        let mut take = |withstands: f64| {
            out.take(Piece { state: Some(state), ..self.piece(what, withstands, case.needed, case.source) });
        };
        match at_work.zip(push_of(stand, case.at, case.along)) {
            Some((at_work, push)) => {
                // Pads with grip and rating end every push; were there no end, the greatest reserve is given.
                let endless = case.needed * (1.0 + RESERVE_MOST);
                let most = (beyond < RESERVE_MOST).then(|| Force::newtons(case.needed * (1.0 + beyond)));
                let by_balance =
                    at_work.rest.assured_below(&push, most).map_or(most, |found| found.withstands);
                take(by_balance.map_or(endless, Force::to_newtons));
                let by_springs = ends(&at_work.springs, at_work.set.growth(&push), End::Rating);
                by_springs.for_each(|e| take(e.map_or(f64::INFINITY, |e| e.push.to_newtons())));
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
        let body = self.body(state, stand);
        let set = models.first()?.as_ref()?;
        Some(AtWork {
            set,
            rest: set.at_rest(&set.unsteady(&body)),
            springs: Springs::of_all(models, &body)?,
        })
    }

    /// How the reserves of a state's pushes, by balance and by the springs of each pad, grow for a metre that each pad
    /// moves aft and left on the vehicle: of those below `near`, each with its place among all.
    pub(crate) fn push_slopes(
        &self,
        state: usize,
        stand: &Placement,
        pads: &[Pad; 4],
        models: &[Option<SupportSet>],
        reserves: &[f64],
        near: f64,
    ) -> Vec<(usize, [[f64; 2]; 4])> {
        // By so much the end of a push may be off, in parts of itself, and more.
        const ROUGH: f64 = 1e-3;
        let mut found = Vec::new();
        let Some(at_work) = self.at_work_in(state, stand, models) else { return found };
        let body = self.body(state, stand);
        let moved = |pad: usize, axis: usize| {
            let mut moved = *pads;
            moved[pad].at[axis] += QUOTIENT;
            Springs::of_all(&self.models(stand, &moved), &body)
        };
        let all_moved: OnceCell<[[Option<Vec<Springs>>; 2]; 4]> = OnceCell::new();
        let all_moved =
            || all_moved.get_or_init(|| core::array::from_fn(|pad| [0, 1].map(|axis| moved(pad, axis))));
        // At the most that is given it grows no more.
        let steep = |reserve: f64| reserve < near.min(RESERVE_MOST);
        let each = 1 + Corner::ALL.len() * self.ways();
        for (k, (case, own)) in self.pushes_asked(state).zip(reserves.chunks_exact(each)).enumerate() {
            let Some(push) = push_of(stand, case.at, case.along) else { continue };
            if steep(own[0]) {
                let most = Force::newtons(case.needed * (1.0 + own[0]) * (1.0 + ROUGH));
                let balance = at_work.rest.assured_below(&push, Some(most));
                let slope = |v: [f64; 2]| stand.direction_to_vehicle(v).map(|v| v / case.needed);
                let slopes = |b: AssuredForce| core::array::from_fn(|pad| slope(b.slopes[pad]));
                found.extend(balance.map(|b| (each * k, slopes(b))));
            }
            let growth = at_work.set.growth(&push);
            for (row, _) in own.iter().enumerate().skip(1).filter(|(_, reserve)| steep(**reserve)) {
                let (model, pad) = ((row - 1) / Corner::ALL.len(), (row - 1) % Corner::ALL.len());
                let end = |springs: &[Springs]| springs[model].end(pad, &growth, End::Rating);
                let Some(here) = end(&at_work.springs) else { continue };
                let grows = |moved: &Option<Vec<Springs>>| {
                    let there = moved.as_deref().and_then(end);
                    there.map_or(0.0, |there| (there - here).to_newtons() / (QUOTIENT * case.needed))
                };
                found.push((each * k + row, all_moved().each_ref().map(|pad| pad.each_ref().map(grows))));
            }
        }
        found
    }
}

/// The vehicle on its pads in one state, to push at.
pub(crate) struct AtWork<'s> {
    set: &'s SupportSet,
    rest: AtRest<'s>,
    /// In each way in which arms may bend.
    springs: Vec<Springs>,
}

/// What pads that share by their springs carry in one state, and may still come to.
#[derive(Clone)]
struct Springs {
    loads: AssuredLoads,
    /// What each is short of its rating, if it has one, at the least.
    short: [Option<Force>; 4],
    /// What each carries, at the least.
    carried: [Force; 4],
}

impl Springs {
    /// In each way in which arms may bend; none by pads on one line.
    fn of_all(models: &[Option<SupportSet>], body: &Body) -> Option<Vec<Self>> {
        let of = |set: &SupportSet| {
            let loads = set.assured_loads(body);
            let ranges: [_; 4] = core::array::from_fn(|i| loads.sum(&[i]));
            let short = |i: usize| Some((set.contacts()[i].rated? - ranges[i].greatest).max(Force::ZERO));
            Self {
                short: core::array::from_fn(short),
                carried: ranges.each_ref().map(|range| range.least.max(Force::ZERO)),
                loads,
            }
        };
        models.iter().map(|set| set.as_ref().map(of)).collect()
    }

    /// The push at which a pad's load comes to an end: what is left to go, at the least, over what a newton adds or takes
    /// away, at the most; none where it does not go there. Where a pad has let go before, the three others share in one
    /// way alone, as in any balance.
    fn end(&self, pad: usize, growth: &Growth, end: End) -> Option<Force> {
        let (least, most) = self.loads.added(pad, growth)?;
        let (left, goes) = match end {
            End::Rating => (self.short[pad]?, most),
            End::Nothing => (self.carried[pad], -least),
        };
        (goes > 0.0).then(|| left / goes)
    }
}

/// What ends the growth of a pad's load.
#[derive(Clone, Copy)]
enum End {
    /// It may carry as much as it is rated for.
    Rating,
    /// It may carry nothing.
    Nothing,
}

/// How much is withstood of a push, and what ends it.
#[derive(Clone, Debug, PartialEq)]
pub enum Held {
    /// No larger push is in balance within grip and ratings, however the pads share.
    Balance(AssuredForce),
    /// The pads share by their springs, and one comes to its rating.
    Springs(PadEnd),
}

/// The push at which a pad's load may first come to an end: to its rating, or to nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PadEnd {
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
            Self::Springs(end) => Some(end.push),
        }
    }
}

impl<'s> AtWork<'s> {
    /// The same vehicle, pads resisting sideways as those of another set do.
    pub(crate) fn resting<'t>(&self, rest: AtRest<'t>) -> AtWork<'t>
    where
        's: 't,
    {
        AtWork { set: self.set, rest, springs: self.springs.clone() }
    }

    /// The least of a push that is withstood within all tolerances.
    pub(crate) fn withstood(&self, push: &Push) -> Held {
        self.withstood_below(push, None).unwrap_or_else(|| Held::Balance(self.rest.assured_force(push)))
    }

    /// The same if it is less than `most` (`None` = no end).
    pub(crate) fn withstood_below(&self, push: &Push, most: Option<Force>) -> Option<Held> {
        let overload = self.first(push, End::Rating).filter(|o| most.is_none_or(|most| o.push < most));
        let found = self.rest.assured_below(push, overload.map_or(most, |o| Some(o.push)));
        found.map(Held::Balance).or(overload.map(Held::Springs))
    }

    /// The push at which a pad may first carry nothing.
    pub(crate) fn unload(&self, push: &Push) -> Option<PadEnd> {
        self.first(push, End::Nothing)
    }

    fn first(&self, push: &Push, end: End) -> Option<PadEnd> {
        let ends = ends(&self.springs, self.set.growth(push), end);
        ends.flatten().reduce(|a, b| if b.push < a.push { b } else { a })
    }
}

/// The push at which springs bring the load of each pad to an end, for every way in which arms may bend.
fn ends(springs: &[Springs], growth: Growth, end: End) -> impl Iterator<Item = Option<PadEnd>> {
    let of_pad = move |model: usize, springs: &Springs, corner: Corner| {
        let push = springs.end(corner.index(), &growth, end)?;
        Some(PadEnd { push, corner, model })
    };
    let of_model = move |(model, springs): (usize, &Springs)| Corner::ALL.map(|c| of_pad(model, springs, c));
    springs.iter().enumerate().flat_map(of_model)
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
