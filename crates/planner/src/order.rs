//! The order of a job's steps: when the given one fails, the one with the largest worst reserve.
//!
//! Steps change places only within a run of steps of one kind: to put a part back at once would not do
//! the job. A part moves only while those that it comes `after` are off.

mod exact;
mod path;
mod weights;

use crate::answer::pads_of;
use crate::checks::{RESERVE_MOST, fold};
use crate::frames::Placement;
use crate::gauge::Gauge;
use crate::job::Step;
use crate::measure::{Pad, Sides};
use crate::plan::{Check, OrderAnswer, Plan, Remark, StateAnswer, StateLeft};
use crate::setup::Setup;
use crate::situation::Situation;
use crate::state::{Ledger, State, states};
use exact::{States, best_of_all};
use path::{Run, best_path};
use weights::Weights;

/// Runs longer than this are searched up to a number of states only, and a bound is told.
const EXACT: usize = 16;
/// That number.
const STATES_MOST: usize = 4000;
/// Setup and order are planned in turn at most so often.
const TURNS: usize = 5;

/// An order and what it leaves at one setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Indices into the job's steps.
    pub steps: Vec<usize>,
    /// Least reserve over all its states.
    pub reserve: f64,
    /// No order at this setup leaves more; the same as `reserve` where the order is the best.
    pub bound: f64,
    /// How many states were looked at.
    pub states: usize,
}

/// The best order of the job's steps at a setup, exact to 16 steps a run: the largest least reserve (of loads,
/// edges and working forces) over all states.
#[must_use]
pub fn best_order(situation: &Situation, setup: &Setup) -> Order {
    best_at(situation, &setup.placement, &pads_of(situation, setup))
}

/// Least reserve of every state of the job in its given order, at a setup.
#[must_use]
pub fn state_reserves(situation: &Situation, setup: &Setup) -> Vec<f64> {
    let mut gauge = Gauge::new(situation, &setup.placement, &pads_of(situation, setup));
    situation.states.iter().map(|state| gauge.reserve(state.clone())).collect()
}

/// Every run begins and ends with the same parts off whatever its order, so each is searched by itself.
fn best_at(situation: &Situation, stand: &Placement, pads: &[Pad; 4]) -> Order {
    let steps = &situation.job.steps;
    let mut gauge = Gauge::new(situation, stand, pads);
    let mut ledger = Ledger::raised(situation.vehicle, situation.job);
    let raised = gauge.reserve(ledger.state("as raised".into()));
    let mut found =
        Order { steps: Vec::with_capacity(steps.len()), reserve: raised, bound: raised, states: 0 };
    let by_name = told_apart(situation);
    let mut first = 0;
    while first < steps.len() {
        let count = steps[first..].iter().take_while(|s| s.is_like(&steps[first])).count();
        let run = &steps[first..first + count];
        let before = ledger.clone();
        let named = run.iter().map(|s| by_name.contains(&s.state_name())).collect();
        let question = Run { needs: needs(run), named, most: STATES_MOST };
        let weights = (count <= EXACT).then(|| Weights::new(&before, run)).flatten();
        let mut states = StatesOf { before: &before, run, gauge: &mut gauge, weights };
        let path = if count <= EXACT {
            best_of_all(&question, states)
        } else {
            best_path(&question, |done, last| states.reserve_of(|k| done[k], last))
        };
        found.reserve = found.reserve.min(path.reserve);
        found.bound = found.bound.min(path.bound);
        found.steps.extend(path.steps.into_iter().map(|k| first + k));
        for step in run {
            ledger.take(step);
        }
        first += count;
    }
    found.bound = found.bound.max(found.reserve);
    found.states = gauge.held;
    found
}

/// The states of a run at a setup.
struct StatesOf<'a, 's> {
    before: &'a Ledger,
    run: &'a [Step],
    gauge: &'a mut Gauge<'s>,
    weights: Option<Weights>,
}

impl StatesOf<'_, '_> {
    fn reserve_of(&mut self, done: impl Fn(usize) -> bool, last: usize) -> f64 {
        let mut then = self.before.clone();
        self.run.iter().enumerate().filter(|(k, _)| done(*k)).for_each(|(_, step)| {
            then.take(step);
        });
        self.gauge.reserve(then.state(self.run[last].state_name()))
    }
}

impl States for StatesOf<'_, '_> {
    fn reserve(&mut self, done: usize, last: usize) -> f64 {
        self.reserve_of(|k| done >> k & 1 == 1, last)
    }

    fn most(&mut self, done: usize, look: usize) -> Option<f64> {
        self.weights.as_mut()?.most(done, look, self.gauge)
    }
}

/// For each step of a run the steps of the run that come before it.
fn needs(run: &[Step]) -> Vec<Vec<usize>> {
    let wants = |a: &Step, b: &Step| a.part().after.contains(&b.part().name);
    let before = |k: usize, i: usize| match run[k] {
        Step::Off(_) => wants(&run[k], &run[i]),
        // What must be off before it goes on again after it.
        Step::On(_) => wants(&run[i], &run[k]),
    };
    (0..run.len()).map(|k| (0..run.len()).filter(|i| *i != k && before(k, *i)).collect()).collect()
}

/// Whether two steps could change places. The given order is legal, so it is the only one where each step of a
/// run needs the one before it.
fn has_another_order(steps: &[Step]) -> bool {
    steps.windows(2).any(|pair| pair[0].is_like(&pair[1]) && needs(pair)[1].is_empty())
}

/// Names of the states that are not like others with the same parts off, because tasks belong to them.
fn told_apart(situation: &Situation) -> Vec<String> {
    situation.job.tasks.iter().flat_map(|t| t.during.iter().cloned()).collect()
}

impl Situation<'_> {
    /// The same with the job's steps in another order.
    pub(crate) fn reordered(&self, order: &[usize]) -> Option<Self> {
        let steps = order.iter().map(|k| self.job.steps[*k].clone()).collect();
        let states = states(self.vehicle, &crate::Job { steps, ..self.job.clone() }).ok()?;
        Some(self.with_states(states))
    }
}

/// A plan with the given order, as it is if that passes; else with the best order, if that does better.
///
/// `planned` gives the best setup for states. Setup and order follow from each other, so they are planned
/// in turn until neither gains: the order is the best for the setup that is shown, the pair need not be.
pub(crate) fn in_best_order(
    situation: &Situation,
    given: Plan,
    planned: impl Fn(&Situation, &Plan) -> Plan,
) -> Plan {
    if !fails_in_a_state(&given) || !has_another_order(&situation.job.steps) {
        return given;
    }
    let mut best: Option<(Plan, Order)> = None;
    let mut reached = least_of_states(&given);
    let mut bound = RESERVE_MOST;
    for _ in 0..TURNS {
        let at = best.as_ref().map_or(&given, |b| &b.0);
        let found = best_at(situation, &at.placement, &at.pad_places());
        if best.is_none() {
            bound = found.bound;
        }
        if found.reserve <= reached + 1e-9 {
            break;
        }
        let Some(other) = situation.reordered(&found.steps) else { break };
        let plan = planned(&other, at);
        if plan.worst_check().reserve <= at.worst_check().reserve {
            break;
        }
        reached = least_of_states(&plan);
        bound = found.bound;
        best = Some((plan, found));
    }
    let given_reserve = least_of_states(&given);
    let exact = |order: &Order| order.bound <= order.reserve;
    let Some((mut plan, order)) = best else {
        let steps = (0..situation.job.steps.len()).collect();
        let bound = (bound > given_reserve + 1e-9).then_some(bound);
        let answer = OrderAnswer {
            steps,
            given_reserve,
            best_reserve: given_reserve,
            given_states: states_left(&given),
            best_states: states_left(&given),
            given_here: vec![],
            bound,
            adopted: false,
        };
        return Plan { order: Some(answer), ..given };
    };
    let adopted = !fails_in_a_state(&plan);
    let answer = OrderAnswer {
        given_reserve,
        best_reserve: reached,
        given_states: states_left(&given),
        best_states: states_left(&plan),
        given_here: if adopted { left_at(situation, &plan) } else { vec![] },
        bound: (!exact(&order)).then_some(order.bound),
        adopted,
        steps: order.steps,
    };
    if !answer.adopted {
        return Plan { order: Some(answer), ..given };
    }
    plan.conditions.insert(0, Remark::InThisOrder);
    plan.judge();
    Plan { order: Some(answer), ..plan }
}

/// Whether a binding check of some state fails.
pub(crate) fn fails_in_a_state(plan: &Plan) -> bool {
    plan.checks.iter().any(|c| c.binding && c.state.is_some() && c.reserve < 0.0)
}

fn least_of_states(plan: &Plan) -> f64 {
    plan.states.iter().map(|s| s.worst_reserve).fold(RESERVE_MOST, f64::min)
}

/// What every state leaves, and the check that holds it.
fn states_left(plan: &Plan) -> Vec<StateLeft> {
    let left = |(k, state): (usize, &StateAnswer)| StateLeft {
        name: state.name.clone(),
        reserve: state.worst_reserve,
        held_by: holds(&plan.checks, k),
    };
    plan.states.iter().enumerate().map(left).collect()
}

/// The same of the situation's own states at the setup of a plan that has them in another order.
fn left_at(situation: &Situation, plan: &Plan) -> Vec<StateLeft> {
    let (stand, pads) = (&plan.placement, plan.pad_places());
    let mut pieces = Vec::new();
    situation.measure_loads(stand, &pads, Sides::Both, &mut pieces);
    situation.measure_pushes(stand, &pads, &mut pieces);
    let checks = fold(&pieces);
    let left = |(k, state): (usize, &State)| {
        let held_by = holds(&checks, k);
        let reserve = held_by.as_ref().map_or(RESERVE_MOST, |c| c.reserve);
        StateLeft { name: state.name.clone(), reserve, held_by }
    };
    situation.states.iter().enumerate().map(left).collect()
}

/// The binding check of a state that leaves least.
fn holds(checks: &[Check], state: usize) -> Option<Check> {
    let own = checks.iter().filter(|c| c.binding && c.state == Some(state));
    own.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).cloned()
}
