//! Supporting stands: where, and what each must carry at the least and may carry at the most.
//!
//! A stand presses up with a force: the pads then carry the weight less that force, with its centre
//! moved. It is set on the raised vehicle and taken away before it comes down, so the first and the
//! last state must pass without it. Nobody goes under the vehicle in a state that passes only with one.
//! Once set it is a post: its load changes of itself as parts come off and go on (`drift`).

mod drift;
mod passing;
mod sets;

use statics::{Force, Length, Place};

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
pub(crate) use drift::{Change, Posts};
pub use passing::{Passing, passing};
use sets::sets;

/// After stands are found, setup and stands are planned in turn so often.
const TURNS: usize = 3;
/// Of more stands it is not computed how the load on one changes of itself.
const STANDS_MOST: u8 = 4;
/// Of what the load to aim at leaves, so much is kept at the least and the most that a stand may be set to: project default.
const KEPT: f64 = 0.5;
/// Rounds in which the band is narrowed.
const ROUNDS: usize = 6;

/// Of each state from setting to taking away, of each stand: least and greatest change of its load since it was set.
pub type Drifts = Vec<Vec<[Force; 2]>>;

/// Stands as a plan told them that is gone by already: where, and what each is set to.
#[derive(Clone, Debug, PartialEq)]
pub struct ToldStands {
    /// Indices into the vehicle's places for stands.
    pub places: Vec<usize>,
    /// At the least.
    pub least: Force,
    /// The load to aim at.
    pub load: Force,
    /// At the most.
    pub most: Force,
}

/// A plan with the fewest stands that make it pass, or with the reason why none do.
///
/// `planned` gives the best setup for states. Of so few stands those with the largest worst reserve; all
/// carry alike.
pub(crate) fn on_stands(
    situation: &Situation,
    refused: Plan,
    planned: impl Fn(&Situation, &Plan) -> Plan,
) -> Plan {
    stood(situation, refused, |refused, kit| with_kit(situation, refused, kit, &planned))
}

/// The same with stands as they were told, whatever others would be better; with none told, none serve.
pub(crate) fn on_told_stands(situation: &Situation, refused: Plan, told: Option<&ToldStands>) -> Plan {
    stood(situation, refused, |refused, kit| {
        let told = told.ok_or(NoStands::NotAsTold)?;
        let bench = Bench::new(situation, refused, kit)?;
        let standing = bench.as_told(told)?;
        Ok(bench.plan_with(&standing))
    })
}

fn stood(
    situation: &Situation,
    refused: Plan,
    stands: impl FnOnce(&Plan, &StandKit) -> Result<Plan, NoStands>,
) -> Plan {
    let Some(kit) = situation.job.stands.filter(|_| fails_in_a_state(&refused)) else { return refused };
    match stands(&refused, &kit) {
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
    for count in 1..=kit.count.min(STANDS_MOST) {
        let of_so_few = sets(&situation.vehicle.stand_places, usize::from(count));
        let mut best: Option<(&[usize], Passing, Drifts, &Bench)> = None;
        for bench in &benches {
            for places in &of_so_few {
                match bench.best(places) {
                    Ok((load, drifts)) if best.as_ref().is_none_or(|b| load.reserve > b.1.reserve) => {
                        best = Some((places, load, drifts, bench));
                    }
                    Ok(_) => {}
                    Err(reason @ NoStands::Height(_)) => why = reason,
                    Err(_) => {}
                }
            }
        }
        if let Some((places, load, drifts, bench)) = best {
            let (standing, reserve) = bench.standing(places, load, drifts)?;
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
        let Ok((load, drifts)) = other.best(&standing.places) else { break };
        if load.reserve <= reserve + 1e-6 {
            break;
        }
        let Ok((better, more)) = other.standing(&standing.places, load, drifts) else { break };
        plan = other.plan_with(&better);
        (standing, reserve) = (better, more);
    }
    plan
}

impl<'a> Situation<'a> {
    /// The same as a plan has it: its order of the steps, and what stands leave to the pads.
    pub(crate) fn as_planned(&self, plan: &Plan) -> Self {
        let order = plan.order.as_ref().filter(|o| o.adopted);
        let ordered = order.and_then(|o| self.reordered(&o.steps)).unwrap_or_else(|| self.clone());
        let standing = match &plan.stands {
            Some(StandsAnswer::Serve(standing)) => ordered.relieved(standing, plan.order.as_ref()),
            _ => ordered,
        };
        standing.touching(&Heights::of(plan, self.vehicle))
    }

    /// The same with stands in the states that do not pass without.
    pub(crate) fn relieved(&self, standing: &Standing, order: Option<&OrderAnswer>) -> Self {
        let mut states = self.states.clone();
        for (k, ledger) in self.ledgers(order).into_iter().enumerate().filter(|(k, _)| standing.relieves(*k))
        {
            states[k] = self.on(ledger, &standing.places, standing.checked(k)).state(states[k].name.clone());
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

    /// With so much on each of the stands at these places.
    pub(crate) fn on(&self, mut ledger: Ledger, places: &[usize], loads: &[Force]) -> Ledger {
        for (k, load) in places.iter().zip(loads) {
            let place = &self.vehicle.stand_places[*k];
            let tolerance = Length::metres(self.limits.get(Name::Placing));
            ledger.relieve(place.at.at_height(place.underside), tolerance, *load);
        }
        ledger
    }
}

/// What comes and goes from one state to another, in the bay.
pub(crate) fn changes(stand: &Placement, before: &Ledger, after: &Ledger) -> Vec<Change> {
    let (sin, cos) = stand.yaw.to_radians().sin_cos();
    let place = |at: [f64; 2]| stand.to_bay(Place::metres(at)).to_metres();
    let off =
        |[aft, left]: [f64; 2]| [aft * cos.abs() + left * sin.abs(), aft * sin.abs() + left * cos.abs()];
    drift::changes(before.items(), after.items(), place, off)
}

impl Situation<'_> {
    /// Pads and stands as what gives way; `None` where the pads are on one line.
    pub(crate) fn posts(&self, stand: &Placement, pads: &[Pad; 4], places: &[usize]) -> Option<Posts> {
        let models: Option<Vec<_>> = self.models(stand, pads).into_iter().collect();
        let at = |k: &usize| stand.to_bay(self.vehicle.stand_places[*k].at).to_metres();
        Posts::new(&models?, places.iter().map(at).collect(), self.limits.get(Name::Placing))
    }
}

/// Stands at places, and how the load on each has changed of itself since it was set.
pub(crate) struct OnStands<'s> {
    pub(crate) places: &'s [usize],
    pub(crate) drift: &'s [[Force; 2]],
    pub(crate) rated: Force,
}

impl OnStands<'_> {
    /// The least reserve of a state where each was set to a load, newtons, over all that it may have changed to, and
    /// those loads.
    pub(crate) fn least(
        &self,
        situation: &Situation,
        gauge: &mut Gauge,
        state: (&Ledger, &str),
        set: f64,
    ) -> (f64, Vec<Force>) {
        let still = self.drift.iter().flatten().all(|f| *f == Force::ZERO);
        // Each reserve has one peak over the loads, so it is least at a corner of what they may be.
        let corners = if still { 1 } else { 1u32 << self.drift.len() };
        let loads = |bits: u32| -> Vec<f64> {
            let change = |(s, d): (usize, &[Force; 2])| d[usize::from(bits >> s & 1 == 1)].to_newtons();
            self.drift.iter().enumerate().map(|own| set + change(own)).collect()
        };
        let each = (0..corners).map(loads).map(|loads| (self.with(situation, gauge, state, &loads), loads));
        let least = each.min_by(|a, b| a.0.total_cmp(&b.0));
        let (reserve, loads) = least.unwrap_or((f64::NEG_INFINITY, Vec::new()));
        (reserve, loads.into_iter().map(Force::newtons).collect())
    }

    /// What a state leaves with so much on each; one that would hang, or is loaded beyond its rating, fails by its part.
    fn with(
        &self,
        situation: &Situation,
        gauge: &mut Gauge,
        (ledger, name): (&Ledger, &str),
        loads: &[f64],
    ) -> f64 {
        let rated = self.rated.to_newtons();
        let spare = loads.iter().map(|f| f.min(rated - f) / rated).fold(f64::INFINITY, f64::min);
        if spare < -1e-9 {
            return spare;
        }
        let loads: Vec<Force> = loads.iter().map(|f| Force::newtons(f.clamp(0.0, rated))).collect();
        gauge.reserve(situation.on(ledger.clone(), self.places, &loads).state(name.to_owned()))
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
        // Stands change what is carried, and at which lock people work; nothing else. What this setup only gives way on
        // is no refusal, but it fails all the same.
        let of_loads = plan.checks.iter().all(|c| !c.binding || c.reserve >= 0.0 || c.state.is_some());
        let other = |r: &Remark| !matches!(r, Remark::Fails(_) | Remark::Posture { .. });
        if !of_loads || plan.refusals.iter().any(other) {
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

    /// The load to aim at and the worst reserve there, if stands at these places make every state pass.
    fn best(&self, places: &[usize]) -> Result<(Passing, Drifts), NoStands> {
        self.lock(places)?;
        let drifts = self.drifts(places).ok_or(NoStands::NoneHelps)?;
        let mut gauge = Gauge::new(self.situation, &self.stand, &self.pads);
        let states = self.from..=self.to;
        let all = passing(self.kit.rated.to_newtons(), |set| {
            let each = states.clone().map(|k| self.least(&mut gauge, places, &drifts, k, set).0);
            each.fold(f64::INFINITY, f64::min)
        });
        Ok((all.ok_or(NoStands::NoneHelps)?, drifts))
    }

    /// What stands at these places must and may carry when they are set, so that every state keeps half of what the load to
    /// aim at leaves, their loads changing of themselves.
    fn standing(&self, places: &[usize], best: Passing, drifts: Drifts) -> Result<(Standing, f64), NoStands> {
        let (lock, heights) = self.lock(places)?;
        let mut gauge = Gauge::new(self.situation, &self.stand, &self.pads);
        let rated = self.kit.rated.to_newtons();
        let relieved = |k: &usize| self.from < *k && *k < self.to;
        let alone = self.plan.states.iter().enumerate().filter(|(k, _)| !relieved(k));
        let alone = alone.map(|(_, s)| s.worst_reserve).fold(f64::INFINITY, f64::min);
        let floor = KEPT * best.reserve;
        // With the stands, the states in which they are set and taken away keep no less than the plan tells of all.
        let mut at_ends = floor;
        let mut band = best;
        for _ in 0..ROUNDS {
            let narrowed = passing(rated, |set| {
                let own = |k: usize| if relieved(&k) { floor } else { at_ends };
                let each =
                    (self.from..=self.to).map(|k| self.least(&mut gauge, places, &drifts, k, set).0 - own(k));
                each.fold(f64::INFINITY, f64::min)
            });
            let Some(narrowed) = narrowed else { break };
            band = narrowed;
            let ends = [band.least, band.most];
            let told = (self.from..=self.to).filter(relieved).flat_map(|k| ends.map(|set| (k, set)));
            let told: Vec<f64> =
                told.map(|(k, set)| self.least(&mut gauge, places, &drifts, k, set).0).collect();
            let least = told.into_iter().fold(alone, f64::min).min(best.reserve);
            if least <= at_ends + 1e-9 {
                break;
            }
            at_ends = least;
        }
        let told = ToldStands {
            places: places.to_vec(),
            least: Force::newtons(band.least),
            load: Force::newtons(best.best),
            most: Force::newtons(band.most),
        };
        Ok((self.set_to(&told, drifts, (lock, heights)), best.reserve))
    }

    /// Stands as they were told, if they make every state pass at either end of what they are set to. Each reserve has one
    /// peak over the loads, so they do between.
    fn as_told(&self, told: &ToldStands) -> Result<Standing, NoStands> {
        let at = self.lock(&told.places)?;
        let drifts = self.drifts(&told.places).ok_or(NoStands::NoneHelps)?;
        let mut gauge = Gauge::new(self.situation, &self.stand, &self.pads);
        let ends = [told.least, told.most].map(Force::to_newtons);
        let mut each = (self.from..=self.to).flat_map(|k| ends.map(|set| (k, set)));
        if each.any(|(k, set)| self.least(&mut gauge, &told.places, &drifts, k, set).0 < 0.0) {
            return Err(NoStands::NotAsTold);
        }
        Ok(self.set_to(told, drifts, at))
    }

    /// What comes of setting them so, at that lock and so high.
    fn set_to(&self, told: &ToldStands, drifts: Drifts, (lock, heights): (usize, Vec<Length>)) -> Standing {
        let ToldStands { places, least, load, most } = told;
        let mut gauge = Gauge::new(self.situation, &self.stand, &self.pads);
        let rated = self.kit.rated.to_newtons();
        let ends = [least, most].map(|end| end.to_newtons());
        let mut checked = Vec::new();
        let mut by_state = Vec::new();
        for k in self.from..=self.to {
            let now = OnStands { places, drift: &[], rated: self.kit.rated };
            let state = (&self.ledgers[k], self.situation.states[k].name.as_str());
            let own =
                passing(rated, |load| now.with(self.situation, &mut gauge, state, &vec![load; places.len()]));
            by_state.push(own.map_or([Force::ZERO; 2], |p| [p.least, p.most].map(Force::newtons)));
            let [a, b] = ends.map(|set| self.least(&mut gauge, places, &drifts, k, set));
            let worst = if b.0 < a.0 { b } else { a };
            checked.push(worst.1);
        }
        Standing {
            places: places.clone(),
            lock,
            heights,
            least: *least,
            most: *most,
            load: *load,
            rated: self.kit.rated,
            from: self.from,
            to: self.to,
            by_state,
            drift: drifts,
            checked,
            tips_without: self.plan.states.iter().any(|s| s.assured_edge < Length::ZERO),
        }
    }

    /// Of each state from the setting on, how the load on each stand changes of itself.
    fn drifts(&self, places: &[usize]) -> Option<Drifts> {
        let posts = self.situation.posts(&self.stand, &self.pads, places)?;
        let set = &self.ledgers[self.from];
        let each = self.ledgers[self.from..=self.to].iter();
        Some(each.map(|then| posts.drift(&changes(&self.stand, set, then))).collect())
    }

    /// The least reserve of a state where each stand was set to a load.
    fn least(
        &self,
        gauge: &mut Gauge,
        places: &[usize],
        drifts: &Drifts,
        state: usize,
        set: f64,
    ) -> (f64, Vec<Force>) {
        let on = OnStands { places, drift: &drifts[state - self.from], rated: self.kit.rated };
        let name = &self.situation.states[state].name;
        on.least(self.situation, gauge, (&self.ledgers[state], name), set)
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
        let [soonest, latest] = [self.situation.touch_at_soonest(&self.heights), self.heights.all_touch()];
        let up_from = |lock: usize, touch: Length| -> Vec<Length> {
            let risen = (locks[lock] - touch).max(Length::ZERO);
            places.iter().map(|k| self.situation.vehicle.stand_places[*k].underside + risen).collect()
        };
        let up = |lock: usize| up_from(lock, soonest);
        let Some(work) = self.wanted_lock() else { return Err(NoStands::NoneHelps) };
        let within = |h: &Length| (self.kit.lowest..=self.kit.highest).contains(h);
        // Where the undersides were guessed they reach, whenever the pads touch.
        let reach =
            |lock: &usize| [soonest, latest].iter().all(|touch| up_from(*lock, *touch).iter().all(within));
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
            for (refuses, remark) in plan.height.strains(self.situation.job) {
                if refuses { &mut plan.refusals } else { &mut plan.conditions }.push(remark);
            }
        }
        plan.judge();
        plan.order = order;
        plan.stands = Some(StandsAnswer::Serve(Box::new(standing.clone())));
        plan
    }
}
