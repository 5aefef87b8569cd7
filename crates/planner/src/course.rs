//! What is done in each state of a job, in which order, and the locks that the lift goes to for it.

use crate::height::TaskHeight;
use crate::job::{Job, Posture};
use crate::plan::{Plan, StandsAnswer};

/// The work in one state of the job.
#[derive(Clone, Debug, PartialEq)]
pub struct InState<'a> {
    /// Index of the state.
    pub state: usize,
    /// Index of the lock where the vehicle rests when the state begins.
    pub from: Option<usize>,
    /// Whether stands carry a part of the vehicle, so that nobody goes under.
    pub nobody_under: bool,
    /// What is done, in the order in which it is done, each at its lock.
    pub tasks: Vec<&'a TaskHeight>,
    /// The lock at which stands are set when all that is done.
    pub stands_set: Option<usize>,
}

impl InState<'_> {
    /// The locks that the lift goes to, one after the other, each another than the one before.
    #[must_use]
    pub fn locks(&self) -> Vec<usize> {
        let mut now = self.from;
        let all = self.tasks.iter().filter_map(|task| task.lock).chain(self.stands_set);
        all.filter(|lock| now.replace(*lock) != Some(*lock)).collect()
    }
}

/// Every state of the plan with what is done in it. A task that may be done in several states is done in each of them; one
/// that goes on through most takes off or puts on what comes next, and so comes last, but for the last state.
#[must_use]
pub fn course<'a>(plan: &'a Plan, job: &Job) -> Vec<InState<'a>> {
    let standing = match &plan.stands {
        Some(StandsAnswer::Serve(standing)) => Some(standing.as_ref()),
        _ => None,
    };
    let mut from = plan.height.lock;
    let mut all = Vec::with_capacity(plan.states.len());
    for (state, answer) in plan.states.iter().enumerate() {
        let done_in = |task: &TaskHeight, name: &str| {
            task.task.and_then(|k| job.tasks.get(k)).is_none_or(|named| named.is_done_in(name))
        };
        let nobody_under = plan.nobody_under(state);
        let kept_off = |task: &TaskHeight| nobody_under && task.posture == Posture::StandingUnder;
        let done = |task: &&TaskHeight| done_in(task, &answer.name) && !kept_off(task);
        let mut tasks: Vec<&TaskHeight> = plan.height.tasks.iter().filter(done).collect();
        let is_last = state + 1 == plan.states.len();
        let spans = |task: &TaskHeight| plan.states.iter().filter(|s| done_in(task, &s.name)).count();
        tasks.sort_by_key(|task| (if is_last { 0 } else { spans(task) }, task.lock != from));
        let stands_set = standing.filter(|s| s.from == state).map(|s| s.lock);
        let here = InState { state, from, nobody_under, tasks, stands_set };
        from = here.locks().last().copied().or(from);
        all.push(here);
    }
    all
}
