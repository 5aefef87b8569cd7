//! What a plan answers of each force of the job's tasks.

use statics::{Angle, Force, LimitedBy, Point, SupportSet};

use super::{AtWork, Held, PadEnd, during, least_withstood, push_of, source};
use crate::frames::{Placement, Vehicle as Frame};
use crate::job::WorkForce;
use crate::lift::Corner;
use crate::measure::Pad;
use crate::situation::Situation;

/// What is withstood of one force of one task.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkAnswer {
    /// Index of the task.
    pub task: usize,
    /// Index of the force within it.
    pub force: usize,
    /// The force at its greatest.
    pub needed: Force,
    /// Where that comes from.
    pub source: &'static str,
    /// Each state in which the task may be done.
    pub states: Vec<StateForce>,
    /// Index within `states` of the one that withstands least.
    pub worst: usize,
    /// In that state, where to pull instead, if that is withstood better.
    pub instead: Option<Instead>,
}

/// The same in one state, in the worst of the force's directions.
#[derive(Clone, Debug, PartialEq)]
pub struct StateForce {
    /// Index of the state.
    pub state: usize,
    /// That direction: aft, left, up.
    pub along: [f64; 3],
    /// Where the hand then is.
    pub at: Point<Frame>,
    /// The largest that is withstood for certain; `None` = no end to it.
    pub withstands: Option<Force>,
    /// What ends it.
    pub limited_by: Option<LimitedBy>,
    /// Where sliding ends it: the pads that slide.
    pub slides: Vec<Corner>,
    /// The first pad that may carry nothing under it, and from what force on, within all tolerances and however arms bend;
    /// nothing where something else ends it before.
    pub first_unloads: Option<(Corner, Force)>,
    /// Least angle of Papadopoulos and Rey with the force at its greatest; negative = it tips.
    pub force_angle: Option<Angle>,
}

/// A direction that is withstood better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Instead {
    /// Aft, left, up.
    pub along: [f64; 3],
    /// Where the hand is that counts: the worst end of a bar.
    pub at: Point<Frame>,
    /// What is withstood of it for certain; `None` = no end to it.
    pub withstands: Option<Force>,
}

/// Another direction must be withstood better by this much to be worth saying.
const BETTER: f64 = 1.1;

impl Situation<'_> {
    /// What is withstood of every force, in every state in which it may act.
    pub(crate) fn work_answers(&self, stand: &Placement, pads: &[Pad; 4]) -> Vec<WorkAnswer> {
        if self.pushes.is_empty() {
            return Vec::new();
        }
        let (set, models) = (self.support(stand, pads), self.models(stand, pads));
        let tasks = self.job.tasks.iter().enumerate();
        let forces = tasks.flat_map(|(t, task)| task.forces.iter().enumerate().map(move |(f, w)| (t, f, w)));
        let Some(set) = set else { return Vec::new() };
        let at_work = self.at_work(stand, &models);
        forces
            .filter_map(|(task, force, work)| self.work_answer(stand, &set, &at_work, task, force, work))
            .collect()
    }

    fn work_answer(
        &self,
        stand: &Placement,
        set: &SupportSet,
        at_work: &[AtWork],
        task: usize,
        force: usize,
        work: &WorkForce,
    ) -> Option<WorkAnswer> {
        let needed = work.size.greatest();
        let own = |state: usize| {
            let all = self.pushes.iter().filter(|p| (p.task, p.force) == (task, force));
            let (case, push, found) = least_withstood(&at_work[state], all, stand)?;
            let body = self.body(state, stand);
            let angles = set.force_angles(&body, Some((&push, needed)));
            let (limited_by, slides) = match &found {
                Held::Springs(_) => (Some(LimitedBy::Rating), Vec::new()),
                Held::Balance(found) => {
                    let end = set.working_force(&found.body, &push);
                    (end.limited_by, end.slides)
                }
            };
            let in_time = |at: &PadEnd| found.withstands().is_none_or(|most| at.push <= most);
            Some(StateForce {
                state,
                along: case.along,
                at: case.at,
                withstands: found.withstands(),
                limited_by,
                slides: slides.into_iter().map(|i| Corner::ALL[i]).collect(),
                first_unloads: (at_work[state].unload(&push).filter(in_time)).map(|f| (f.corner, f.push)),
                force_angle: angles
                    .into_iter()
                    .map(|a| a.2)
                    .min_by(|a, b| a.to_radians().total_cmp(&b.to_radians())),
            })
        };
        let states: Vec<StateForce> =
            during(self.job.tasks.get(task)?, &self.states).into_iter().filter_map(own).collect();
        let least = |k: &usize| beyond(states[*k].withstands);
        let worst = (0..states.len()).min_by(|a, b| least(a).total_cmp(&least(b)))?;
        let instead = instead(stand, &at_work[states[worst].state], work, &states[worst]);
        Some(WorkAnswer { task, force, needed, source: source(work), states, worst, instead })
    }
}

/// The best other direction that the task allows: a level force may be turned round level, one that is
/// level or upright any way, one that is up or down in the plane of a wheel; one upright way stays.
fn instead(stand: &Placement, at_work: &AtWork, work: &WorkForce, worst: &StateForce) -> Option<Instead> {
    let candidates: &[[f64; 3]] = match work.directions.as_slice() {
        all if all.iter().all(|d| d[2] == 0.0) => &ROUND[..LEVEL],
        all if all.iter().any(|d| d[0] != 0.0 || d[1] != 0.0) => &ROUND,
        [_] => &[],
        _ => &ALONG,
    };
    let tried = candidates.iter().filter_map(|along| {
        let by_hand = work.hands(*along).into_iter().filter_map(|at| {
            let withstands = at_work.withstood(&push_of(stand, at, *along)?).withstands();
            Some(Instead { along: *along, at, withstands })
        });
        by_hand.reduce(|a, b| if beyond(b.withstands) < beyond(a.withstands) { b } else { a })
    });
    let best = tried.reduce(|a, b| if beyond(b.withstands) > beyond(a.withstands) { b } else { a })?;
    (beyond(best.withstands) > BETTER * beyond(worst.withstands)).then_some(best)
}

const HALF: f64 = core::f64::consts::FRAC_1_SQRT_2;
/// How many of [`ROUND`] are level.
const LEVEL: usize = 8;
/// All round, level, and up and down.
const ROUND: [[f64; 3]; 10] = [
    [1.0, 0.0, 0.0],
    [-1.0, 0.0, 0.0],
    [0.0, 1.0, 0.0],
    [0.0, -1.0, 0.0],
    [HALF, HALF, 0.0],
    [HALF, -HALF, 0.0],
    [-HALF, HALF, 0.0],
    [-HALF, -HALF, 0.0],
    [0.0, 0.0, 1.0],
    [0.0, 0.0, -1.0],
];
/// In the plane of a wheel.
const ALONG: [[f64; 3]; 4] = [[1.0, 0.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, -1.0]];

/// A force without an end is beyond any other.
pub(crate) fn beyond(withstands: Option<Force>) -> f64 {
    withstands.map_or(f64::INFINITY, Force::to_newtons)
}
