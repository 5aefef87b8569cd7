//! What is left when a pad carries nothing or an arm's lock is not engaged, and where a push goes.

use statics::{Body, Force, Length, Load, Normal, Point, Push, Rock, SupportSet};

use super::{Accounts, Balance};
use crate::answer::{fixed_setup, round_the_box};
use crate::frames::Vehicle as Frame;
use crate::gauge::Gauge;
use crate::heights::Heights;
use crate::lift::Corner;
use crate::plan::{Plan, Standing, StandsAnswer};
use crate::stands::OnStands;
use crate::work::{Overload, PushCase, least_withstood, push_of};

impl<'a> Accounts<'a> {
    /// The pads as the load estimate has them carry: those that carry something; `None` if nothing holds it.
    #[must_use]
    pub fn carrying(&self, state: usize) -> Option<Vec<Corner>> {
        let (set, body) = self.standing(state)?;
        let found = set.load_estimate(&body.load())?;
        let some = |i: &usize| found.loads[*i].to_newtons() > 1e-9 * body.mass.weight().to_newtons();
        Some((0..4).filter(some).map(|i| Corner::ALL[i]).collect())
    }

    /// The two pads with which a pad carries its greatest (else its least) load by statics, as raised; `None` if
    /// that is nothing.
    #[must_use]
    pub fn lever(&self, corner: Corner, greatest: bool) -> Option<[Corner; 2]> {
        let (set, body) = self.standing(0)?;
        lever(&set, corner.index(), &body.load(), greatest)
    }

    /// In which state, and where in its box, the centre is when a pad carries most by statics, and the two pads with it;
    /// without two the whole weight counts.
    #[must_use]
    pub fn uneven(&self, corner: Corner) -> Option<(usize, [f64; 2], Option<[Corner; 2]>)> {
        let set = self.standing(0)?.0;
        let i = corner.index();
        let most = |load: &Load| set.load_range(load).map_or(load.weight, |r| r[i].greatest).to_newtons();
        let states = 0..self.situation.states.len();
        let all = states.flat_map(|state| {
            let loads: Vec<Load> = round_the_box(&self.situation.body(state, &self.stand)).collect();
            loads.into_iter().map(move |load| (state, load))
        });
        let (state, load) = all.reduce(|a, b| if most(&b.1) > most(&a.1) { b } else { a })?;
        let with = set.load_range(&load).and_then(|_| lever(&set, i, &load, true));
        Some((state, load.at.to_metres(), with))
    }

    /// The worst normal of an edge of the three pads that are left without one.
    #[must_use]
    pub fn edge_without(&self, state: usize, lost: Corner, ends: [Corner; 2]) -> Option<Normal> {
        let (set, body) = self.standing(state)?;
        let rest = set.less(lost.index())?;
        let [from, to] = ends.map(|c| if c.index() < lost.index() { c.index() } else { c.index() - 1 });
        Some(rest.worst_normal(&body, from, to))
    }

    /// The pads and the weight in a state, without one pad: what `sway` and discs are taken from.
    #[must_use]
    pub fn standing_without(&self, state: usize, lost: Corner) -> Option<(SupportSet, Body)> {
        let (set, body) = self.standing(state)?;
        Some((set.less(lost.index())?, body))
    }

    /// How the body rocks onto a pad that does not touch, as raised, and the two pads about which it turns.
    #[must_use]
    pub fn rock(&self, corner: Corner) -> Option<(Rock, [Corner; 2])> {
        let set = self.standing(0)?.0;
        let rock = self.situation.rock(&self.stand, &set, corner)?;
        Some((rock, rock.over.map(|k| Corner::ALL[k])))
    }

    /// Height above the ground at which a person shakes it.
    #[must_use]
    pub fn shake_height(&self) -> Length {
        self.situation.shake_height()
    }

    /// A force at a place and in a direction of the vehicle, in the bay.
    #[must_use]
    pub fn push(&self, at: Point<Frame>, along: [f64; 3]) -> Option<Push> {
        push_of(&self.stand, at, along)
    }

    /// The push at which a pad may first carry nothing.
    #[must_use]
    pub fn unload(&self, state: usize, push: &Push) -> Option<Overload> {
        let models = self.situation.models(&self.stand, &self.pads);
        self.situation.at_work_in(state, &self.stand, &models)?.unload(push)
    }

    /// The balance at the largest push in one direction that is withstood.
    #[must_use]
    pub fn balance_along(&self, state: usize, push: Push) -> Option<Balance> {
        let models = self.situation.models(&self.stand, &self.pads);
        let held = self.situation.at_work_in(state, &self.stand, &models)?.withstood(&push);
        Some(Balance { set: self.standing(state)?.0, push, held })
    }

    /// The same of a task's force, or of a person's push where none is named; with one arm free to swing, if named.
    #[must_use]
    pub fn balance_unlocked(
        &self,
        state: usize,
        lost: Option<Corner>,
        of: Option<(usize, usize)>,
    ) -> Option<Balance> {
        let (mut set, body) = self.standing(state)?;
        if let Some(lost) = lost {
            let line = self.situation.arm_free(&self.stand, &self.pads, lost.index())?;
            set = set.with_resistance(lost.index(), line);
        }
        let shakes = self.situation.shakes();
        let own = |p: &&PushCase| of.is_none_or(|of| (p.task, p.force) == of);
        let cases = if of.is_some() { &self.situation.pushes } else { &shakes };
        let models = self.situation.models(&self.stand, &self.pads);
        let at_work = self.situation.at_work_in(state, &self.stand, &models)?;
        let at_work = at_work.resting(set.at_rest(&set.unsteady(&body)));
        let (_, push, held) = least_withstood(&at_work, cases.iter().filter(own), &self.stand)?;
        drop(at_work);
        Some(Balance { set, push, held })
    }

    /// The edge over which a push of that size comes nearest to tipping it, by the force-angle measure.
    #[must_use]
    pub fn force_angle_edge(&self, state: usize, push: &Push, size: Force) -> Option<[Corner; 2]> {
        let (set, body) = self.standing(state)?;
        let angles = set.force_angles(&body, Some((push, size)));
        let least = angles.into_iter().min_by(|a, b| a.2.to_radians().total_cmp(&b.2.to_radians()))?;
        Some([least.0, least.1].map(|i| Corner::ALL[i]))
    }

    /// The locks of a plan at which the vehicle may rest.
    #[must_use]
    pub fn allowed_locks(&self, plan: &Plan) -> Vec<usize> {
        let heights = Heights::of(plan, self.situation.vehicle);
        crate::height::allowed_locks(&self.situation, &heights, plan.test_raise)
    }

    /// The same plan with its stands set to another load, in every state from setting to taking away; their loads changed
    /// of themselves as leaves least.
    #[must_use]
    pub fn at_stand_load(&self, plan: &Plan, load: Force) -> Option<(Self, Plan)> {
        let StandsAnswer::Serve(standing) = plan.stands.as_ref()? else { return None };
        let ledgers = self.situation.ledgers(plan.order.as_ref());
        let mut states = self.situation.states.clone();
        let mut checked = Vec::new();
        let mut gauge = Gauge::new(&self.situation, &self.stand, &self.pads);
        for (k, drift) in (standing.from..=standing.to).zip(&standing.drift) {
            let on = OnStands { places: &standing.places, drift, rated: standing.rated };
            let name = states.get(k)?.name.clone();
            let of = (ledgers.get(k)?, name.as_str());
            let (_, loads) = on.least(&self.situation, &mut gauge, of, load.to_newtons());
            *states.get_mut(k)? =
                self.situation.on(of.0.clone(), &standing.places, &loads).state(name.clone());
            checked.push(loads);
        }
        let situation = self.situation.with_states(states);
        let mut other = fixed_setup(&situation, plan);
        let changed = Standing { load, checked, ..(**standing).clone() };
        other.stands = Some(StandsAnswer::Serve(Box::new(changed)));
        Some((Self { situation, all_relieved: true, ..self.clone() }, other))
    }
}

/// The two contacts with which one carries its greatest (else its least) load; `None` if that is nothing.
fn lever(set: &SupportSet, i: usize, load: &Load, greatest: bool) -> Option<[Corner; 2]> {
    let others: Vec<usize> = (0..4).filter(|k| *k != i).collect();
    if !greatest && set.less(i)?.load_range(load).is_some() {
        return None;
    }
    let pairs = [[0, 1], [0, 2], [1, 2]].map(|[a, b]| [others[a], others[b]]);
    let shares = pairs.into_iter().filter_map(|[j, k]| Some(([j, k], triple(set, [i, j, k], load)?)));
    let sense = if greatest { 1.0 } else { -1.0 };
    let best = shares.max_by(|a, b| (sense * a.1).total_cmp(&(sense * b.1)))?;
    Some(best.0.map(|k| Corner::ALL[k]))
}

/// Share of the first of three contacts that carry a load alone; `None` if they are on one line or one would pull.
fn triple(set: &SupportSet, [i, j, k]: [usize; 3], load: &Load) -> Option<f64> {
    use statics::hull::turn;
    let at = [i, j, k].map(|n| set.contacts()[n].at.plan().to_metres());
    let (g, whole) = (load.at.to_metres(), turn(at[0], at[1], at[2]));
    let shares = [turn(g, at[1], at[2]), turn(at[0], g, at[2]), turn(at[0], at[1], g)].map(|v| v / whole);
    shares.iter().all(|s| *s >= -1e-9).then_some(shares[0])
}
