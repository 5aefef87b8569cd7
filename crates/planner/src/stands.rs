//! Supporting stands: where, and what each must carry at the least and may carry at the most.
//!
//! A stand presses up with a force: the pads then carry the weight less that force, with its centre
//! moved. It is set on the raised vehicle and taken away before it comes down, so the first and the
//! last state must pass without it. Nobody goes under the vehicle in a state that passes only with one.

mod passing;
mod sets;

use statics::{Force, Length};

use crate::answer::fixed_setup;
use crate::frames::Placement;
use crate::gauge::Gauge;
use crate::height::{Held, clears_roof, working_height};
use crate::heights::Heights;
use crate::job::{Posture, StandKit, Task};
use crate::limits::Name;
use crate::measure::Pad;
use crate::order::fails_in_a_state;
use crate::plan::{NoStands, OrderAnswer, Plan, Remark, Standing, StandsAnswer, Whole};
use crate::situation::Situation;
use crate::state::Ledger;
pub use passing::{Passing, passing};
use sets::sets;

/// After stands are found, setup and stands are planned in turn so often.
const TURNS: usize = 3;

/// A plan with the fewest stands that make it pass, or with the reason why none do.
///
/// `planned` gives the best setup for states. Of so few stands those with the largest worst reserve; all
/// carry alike.
pub(crate) fn on_stands(
    situation: &Situation,
    refused: Plan,
    planned: impl Fn(&Situation, &Plan) -> Plan,
) -> Plan {
    let Some(kit) = situation.job.stands.filter(|_| fails_in_a_state(&refused)) else { return refused };
    match with_kit(situation, &refused, &kit, &planned) {
        Ok(plan) => plan,
        Err(why) => Plan { stands: Some(StandsAnswer::NoneServe(why)), ..refused },
    }
}

/// The same with stands of any kit.
pub(crate) fn with_kit(
    situation: &Situation,
    refused: &Plan,
    kit: &StandKit,
    planned: &impl Fn(&Situation, &Plan) -> Plan,
) -> Result<Plan, NoStands> {
    if situation.vehicle.stand_places.is_empty() {
        return Err(NoStands::NoPlace);
    }
    let Some(last) = situation.states.len().checked_sub(1) else { return Err(NoStands::NoneHelps) };
    // The setup that comes nearest, and the one that is best for the states in which no stand stands.
    let ends = situation.with_states([0, last].map(|k| situation.states[k].clone()).to_vec());
    let alone = fixed_setup(situation, &planned(&ends, refused));
    let mut why = NoStands::NoneHelps;
    let mut benches: Vec<Bench> = Vec::new();
    for plan in [refused, &alone] {
        match Bench::new(situation, plan, kit) {
            Ok(bench) => benches.push(bench),
            Err(NoStands::NoneHelps) => {}
            Err(reason) => why = reason,
        }
    }
    for count in 1..=kit.count {
        let of_so_few = sets(&situation.vehicle.stand_places, usize::from(count));
        let mut best: Option<(Standing, f64, &Bench)> = None;
        for bench in &benches {
            for places in &of_so_few {
                match bench.standing(places) {
                    Ok((standing, reserve)) if best.as_ref().is_none_or(|b| reserve > b.1) => {
                        best = Some((standing, reserve, bench));
                    }
                    Ok(_) => {}
                    Err(reason @ NoStands::Height(_)) => why = reason,
                    Err(_) => {}
                }
            }
        }
        if let Some((standing, reserve, bench)) = best {
            return Ok(in_turn(bench, standing, reserve, planned));
        }
    }
    Err(why)
}

/// Setup and load in turn while that gains.
fn in_turn(
    bench: &Bench<'_, '_>,
    mut standing: Standing,
    mut reserve: f64,
    planned: &impl Fn(&Situation, &Plan) -> Plan,
) -> Plan {
    let situation = bench.situation;
    let mut plan = bench.plan_with(&standing);
    for _ in 0..TURNS {
        let anew =
            fixed_setup(situation, &planned(&situation.relieved(&standing, plan.order.as_ref()), &plan));
        let Ok(other) = Bench::new(situation, &anew, bench.kit) else { break };
        match other.standing(&standing.places) {
            Ok((better, more)) if more > reserve + 1e-6 => {
                plan = other.plan_with(&better);
                (standing, reserve) = (better, more);
            }
            _ => break,
        }
    }
    plan
}

impl<'a> Situation<'a> {
    /// The same as a plan has it: its order of the steps, and what stands leave to the pads.
    pub(crate) fn as_planned(&self, plan: &Plan) -> Self {
        let order = plan.order.as_ref().filter(|o| o.adopted);
        let ordered = order.and_then(|o| self.reordered(&o.steps)).unwrap_or_else(|| self.clone());
        match &plan.stands {
            Some(StandsAnswer::Serve(standing)) => ordered.relieved(standing, plan.order.as_ref()),
            _ => ordered,
        }
    }

    /// The same with stands in the states that do not pass without.
    pub(crate) fn relieved(&self, standing: &Standing, order: Option<&OrderAnswer>) -> Self {
        let mut states = self.states.clone();
        for (k, ledger) in self.ledgers(order).into_iter().enumerate().filter(|(k, _)| standing.relieves(*k))
        {
            states[k] = self.on(ledger, &standing.places, standing.load).state(states[k].name.clone());
        }
        // A stand may stand on one side only.
        Self { mirror: None, ..self.with_states(states) }
    }

    /// The masses of every state, in the order that a plan adopted.
    pub(crate) fn ledgers(&self, order: Option<&OrderAnswer>) -> Vec<Ledger> {
        let given = (0..self.job.steps.len()).collect();
        let order = order.filter(|o| o.adopted).map_or(given, |o| o.steps.clone());
        let mut ledgers = vec![Ledger::raised(self.vehicle, self.job)];
        for step in order {
            let mut next = ledgers[ledgers.len() - 1].clone();
            next.take(&self.job.steps[step]);
            ledgers.push(next);
        }
        ledgers
    }

    pub(crate) fn on(&self, mut ledger: Ledger, places: &[usize], load: Force) -> Ledger {
        for k in places {
            let place = &self.vehicle.stand_places[*k];
            let tolerance = Length::metres(self.limits.get(Name::Placing));
            ledger.relieve(place.at.at_height(place.underside), tolerance, load);
        }
        ledger
    }
}

/// A task that is done standing under and names one of these states, and that state.
fn someone_under(situation: &Situation, states: core::ops::RangeInclusive<usize>) -> Option<NoStands> {
    let tasks = situation.job.tasks.iter().enumerate();
    let mut under =
        tasks.filter(|(_, task)| task.posture == Posture::StandingUnder && !task.during.is_empty());
    under.find_map(|(task, named)| {
        let state = states.clone().find(|k| named.is_done_in(&situation.states[*k].name))?;
        Some(NoStands::Under { task, state })
    })
}

/// A setup that fails in some states, to try stands under.
struct Bench<'s, 'a> {
    situation: &'s Situation<'a>,
    plan: Plan,
    kit: &'s StandKit,
    stand: Placement,
    pads: [Pad; 4],
    heights: Heights,
    ledgers: Vec<Ledger>,
    from: usize,
    to: usize,
}

impl<'s, 'a> Bench<'s, 'a> {
    fn new(situation: &'s Situation<'a>, plan: &Plan, kit: &'s StandKit) -> Result<Self, NoStands> {
        let fails: Vec<usize> =
            (0..plan.states.len()).filter(|k| plan.states[*k].worst_reserve < 0.0).collect();
        let last = plan.states.len() - 1;
        if let Some(alone) = fails.iter().find(|k| **k == 0 || **k == last) {
            return Err(NoStands::Alone(*alone));
        }
        // Stands change what is carried, and at which lock people work; nothing else.
        let loads = |r: &Remark| match r {
            Remark::Fails(k) => plan.checks[*k].state.is_some(),
            Remark::Posture { .. } => true,
            _ => false,
        };
        if !plan.refusals.iter().all(loads) {
            return Err(NoStands::NoneHelps);
        }
        let (Some(first), Some(end)) = (fails.first(), fails.last()) else {
            return Err(NoStands::NoneHelps);
        };
        if let Some(under) = someone_under(situation, *first..=*end) {
            return Err(under);
        }
        let pads = plan.pad_places();
        Ok(Self {
            situation,
            plan: plan.clone(),
            kit,
            stand: plan.placement,
            pads,
            heights: Heights::of(plan, situation.vehicle),
            ledgers: situation.ledgers(plan.order.as_ref()),
            from: first - 1,
            to: end + 1,
        })
    }

    /// What stands at these places must and may carry, with the worst reserve at the best load.
    fn standing(&self, places: &[usize]) -> Result<(Standing, f64), NoStands> {
        let (lock, heights) = self.lock(places)?;
        let mut gauge = Gauge::new(self.situation, &self.stand, &self.pads);
        let rated = self.kit.rated.to_newtons();
        let mut reserve = |state: usize, load: f64| {
            let on = self.situation.on(self.ledgers[state].clone(), places, Force::newtons(load));
            gauge.reserve(on.state(self.situation.states[state].name.clone()))
        };
        let states = self.from..=self.to;
        let all =
            passing(rated, |load| states.clone().map(|k| reserve(k, load)).fold(f64::INFINITY, f64::min));
        let all = all.ok_or(NoStands::NoneHelps)?;
        let ends = |p: Passing| [p.least, p.most].map(Force::newtons);
        let by_state = states.map(|k| passing(rated, |load| reserve(k, load)).map_or([Force::ZERO; 2], ends));
        let standing = Standing {
            places: places.to_vec(),
            lock,
            heights,
            least: Force::newtons(all.least),
            most: Force::newtons(all.most),
            load: Force::newtons(all.best),
            rated: self.kit.rated,
            from: self.from,
            to: self.to,
            by_state: by_state.collect(),
            tips_without: self.plan.states.iter().any(|s| s.assured_edge < Length::ZERO),
        };
        Ok((standing, all.reserve))
    }

    /// Names of the states in which they stand, between being set and being taken away.
    fn relieved(&self) -> Vec<String> {
        let between = self.from + 1..self.to;
        between.map(|k| self.situation.states[k].name.clone()).collect()
    }

    /// The lock to work at while they stand: the first task's that may be done then, else the first task's.
    fn wanted_lock(&self) -> Option<usize> {
        let relieved = self.relieved();
        let tasks = &self.situation.job.tasks;
        let done_then = |task: &Task| {
            task.posture != Posture::StandingUnder && relieved.iter().any(|state| task.is_done_in(state))
        };
        let then = self.plan.height.tasks.iter().find(|t| t.task.is_none_or(|k| done_then(&tasks[k])));
        then.map_or(self.plan.height.lock, |task| task.lock)
    }

    /// The lock nearest to the one to work at where stands reach all places, and how high they are then.
    fn lock(&self, places: &[usize]) -> Result<(usize, Vec<Length>), NoStands> {
        let locks = &self.situation.lift.rise.locks;
        let up = |lock: usize| -> Vec<Length> {
            let risen = (locks[lock] - self.heights.all_touch()).max(Length::ZERO);
            places.iter().map(|k| self.situation.vehicle.stand_places[*k].underside + risen).collect()
        };
        let Some(work) = self.wanted_lock() else { return Err(NoStands::NoneHelps) };
        let reach = |lock: &usize| up(*lock).iter().all(|h| (self.kit.lowest..=self.kit.highest).contains(h));
        let mut fit: Vec<usize> = (0..locks.len()).filter(reach).collect();
        fit.retain(|lock| clears_roof(self.situation, &self.heights, locks[*lock]));
        fit.sort_by_key(|lock| lock.abs_diff(work));
        match fit.first() {
            Some(lock) => Ok((*lock, up(*lock))),
            None => Err(NoStands::Height(up(work).into_iter().reduce(Length::min).unwrap_or(Length::ZERO))),
        }
    }

    /// The plan with the stands in place.
    fn plan_with(&self, standing: &Standing) -> Plan {
        let order = self.plan.order.clone();
        let relieved = self.situation.relieved(standing, order.as_ref());
        let mut plan = fixed_setup(&relieved, &self.plan);
        for (k, state) in plan.states.iter_mut().enumerate().filter(|(k, _)| standing.relieves(*k)) {
            let whole = self.ledgers[k].state(String::new());
            state.whole = Some(Whole { mass: whole.mass.value, cg: whole.cg });
        }
        plan.conditions.insert(0, Remark::Stands);
        plan.watch.push(Remark::StandSteadies);
        // Stands are of one height: what is done while they stand is done at their lock.
        if let Ok((lock, _)) = self.lock(&standing.places) {
            let held = Held { lock, states: self.relieved() };
            plan.height = working_height(self.situation, &self.heights, plan.test_raise, Some(&held));
            let posture = |r: &Remark| matches!(r, Remark::Posture { .. });
            plan.conditions.retain(|r| !posture(r));
            plan.refusals.retain(|r| !posture(r));
            for (refuses, remark) in plan.height.strains() {
                if refuses { &mut plan.refusals } else { &mut plan.conditions }.push(remark);
            }
        }
        plan.judge();
        plan.order = order;
        plan.stands = Some(StandsAnswer::Serve(Box::new(standing.clone())));
        plan
    }
}
