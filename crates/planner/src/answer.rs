//! Puts a plan together from a situation and a setup.

use statics::{Angle, Body, Force, Length, Load, Place, SupportSet};

use crate::assumed::assumptions;
use crate::checks::{Piece, What, fold};
use crate::frames::{DrivenIn, Placement, Vehicle as Frame};
use crate::height::working_height;
use crate::heights::Heights;
use crate::job::{Job, Step};
use crate::lift::{Corner, Lift};
use crate::limits::{Limits, Name};
use crate::measure::{Pad, wrapped};
use crate::mend::Placed;
use crate::order::in_best_order;
use crate::plan::{
    Alternative, Besides, Change, Check, EdgeAnswer, PadSetting, Plan, Remark, StateAnswer, Verdict,
};
use crate::quick::Unmeasured;
use crate::search::{best, reaching};
use crate::setup::{Setup, arm_for};
use crate::situation::{InputFault, Situation};
use crate::stands::{ToldStands, on_stands, on_told_stands};
use crate::vehicle::Vehicle;
use crate::work::{Losses, PadLoss};

/// The best setup for a vehicle on a lift, checked in every state of the job.
///
/// The front wheel stands where the lift's plate says, if it has one; otherwise where the worst
/// reserve is largest. When nothing passes, the plan is the setup that comes nearest.
///
/// # Errors
/// Every reason why lift, vehicle and job make no question.
pub fn plan(lift: &Lift, vehicle: &Vehicle, job: &Job, limits: &Limits) -> Result<Plan, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let mut plan = whole_job(&situation);
    let planned = situation.as_planned(&plan);
    work_and_losses(&planned, &mut plan);
    if !plan.refusals.is_empty() {
        crate::obstacle::explain(&planned, &mut plan);
        plan.change = crate::change::smallest(&situation, &plan);
    }
    Ok(plan)
}

/// The best setup with the given order of the steps, else with the best order, else with stands.
pub(crate) fn whole_job(situation: &Situation) -> Plan {
    whole_job_set(situation, at_its_place)
}

/// The same with each setup found so.
pub(crate) fn whole_job_set(situation: &Situation, set: fn(&Situation) -> Plan) -> Plan {
    let ordered = in_best_order(situation, set(situation), |s, _| set(s));
    on_stands(situation, ordered, |s, _| set(s))
}

/// How the best setup would end, without looking for what would change a refusal.
///
/// # Errors
/// As [`plan`].
pub fn verdict(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
) -> Result<Verdict, Vec<InputFault>> {
    Ok(whole_job(&Situation::new(lift, vehicle, job, limits)?).verdict)
}

/// A setup as a person placed it, checked by the same code as one that the search proposes: the checks
/// alone, without [`Plan::work`] and [`Plan::losses`].
///
/// # Errors
/// As [`plan`].
pub fn as_placed(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    setup: &Setup,
) -> Result<Plan, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let placed = placed(&situation, setup);
    Ok(put_together(&situation, placed.stand, &placed.pads, &placed.heights))
}

/// As [`as_placed`], with working forces and losses, and for what fails another order of the steps or stands, else
/// the smallest move or change that would mend it.
///
/// # Errors
/// As [`plan`].
pub fn as_placed_with_cures(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    setup: &Setup,
) -> Result<Plan, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let plan = ordered(&situation, setup);
    let plan = on_stands(&situation, plan, fixed_setup);
    Ok(cured(&situation, setup, plan))
}

/// The same in a raise that goes by an earlier plan: what stands are set to is told already, and no others serve.
///
/// # Errors
/// As [`plan`].
pub fn as_led(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    (setup, stands): (&Setup, Option<&ToldStands>),
) -> Result<Plan, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let plan = on_told_stands(&situation, ordered(&situation, setup), stands);
    Ok(cured(&situation, setup, plan))
}

/// A setup as it was found, in the best order of the steps there.
fn ordered(situation: &Situation, setup: &Setup) -> Plan {
    let as_found = placed(situation, setup);
    let given = put_together(situation, as_found.stand, &as_found.pads, &as_found.heights);
    in_best_order(situation, given, fixed_setup)
}

fn cured(situation: &Situation, setup: &Setup, mut plan: Plan) -> Plan {
    let as_found = placed(situation, setup);
    let planned = situation.as_planned(&plan);
    let placed = Placed { situation: &planned, ..as_found };
    placed.mend(&mut plan.checks);
    work_and_losses(&planned, &mut plan);
    if !plan.refusals.is_empty() {
        let anew = whole_job(situation);
        plan.change = if anew.refusals.is_empty() {
            Some(Change::SetAnew(anew.placement, Besides::of(&anew, situation.job)))
        } else {
            crate::change::smallest(situation, &anew)
        };
    }
    plan
}

/// The pads of a setup, each on the area of its corner that it lies in, or deepest in.
pub(crate) fn pads_of(situation: &Situation, setup: &Setup) -> [Pad; 4] {
    core::array::from_fn(|i| {
        let at = setup.pads[i].at.to_metres();
        let areas = situation.vehicle.lift_areas.iter().enumerate();
        let own = areas.filter(|(_, a)| a.corner == Corner::ALL[i]);
        let deepest = own.max_by(|a, b| a.1.region.depth(at).total_cmp(&b.1.region.depth(at)));
        Pad { area: deepest.map_or(0, |(k, _)| k), at }
    })
}

/// What is withstood of each force, and what one failure leaves: only of a plan that is shown.
fn work_and_losses(situation: &Situation, plan: &mut Plan) {
    plan.losses = situation.losses(&plan.placement, &plan.pad_places());
    work(situation, plan);
}

/// What is withstood of each force, with the conditions that follow.
pub(crate) fn work(situation: &Situation, plan: &mut Plan) {
    plan.work = situation.work_answers(&plan.placement, &plan.pad_places());
    let unloads = plan.work.iter().filter_map(|answer| {
        let each = answer.states.iter().filter_map(|s| Some((s.state, s.first_unloads?)));
        let (state, (corner, at)) = each.min_by(|a, b| a.1.1.to_newtons().total_cmp(&b.1.1.to_newtons()))?;
        let of = (answer.task, answer.force);
        (at <= answer.needed).then_some(Remark::Unloads { of, state, corner, at, needed: answer.needed })
    });
    plan.conditions.extend(unloads);
    plan.judge();
}

/// The setup as the checks want it: each pad on the area that it is deepest in, heights that a person
/// left out as the search would choose them.
fn placed<'a>(situation: &'a Situation<'a>, setup: &Setup) -> Placed<'a> {
    let vehicle = situation.vehicle;
    let pads = pads_of(situation, setup);
    let usual = usual_heights(situation, &setup.placement, &pads);
    let mut heights = usual.clone();
    for (i, pad) in setup.pads.iter().enumerate() {
        let top = match (pad.height, &pad.adapters) {
            (Some(top), _) => top,
            // As near to the usual height as a pad with those adapters comes.
            (None, Some(adapters)) => {
                let least = adapters.iter().fold(situation.lift.pads.lowest, |sum, a| sum + *a);
                usual.tops[i].max(least).min(least + situation.lift.pads.travel)
            }
            (None, None) => usual.tops[i],
        };
        heights.touch[i] = vehicle.lift_areas[pads[i].area].underside - top;
        heights.tops[i] = top;
        let reaching = || crate::heights::least_stack(&situation.lift.pads, top);
        let adapters = pad.adapters.clone().or_else(|| pad.height.and_then(|_| reaching()));
        heights.adapters[i] = adapters.unwrap_or_else(|| usual.adapters[i].clone());
    }
    Placed { situation, stand: setup.placement, pads, heights, usual }
}

/// Heights as the search chooses them: the least stack that leaves no less than the rest does.
fn usual_heights(situation: &Situation, stand: &Placement, pads: &[Pad; 4]) -> Heights {
    let choices = situation.height_choices(pads.map(|p| p.area), stand.driven_in);
    let lowest = Heights {
        tops: [situation.lift.pads.lowest; 4],
        adapters: Default::default(),
        touch: pads.map(|p| situation.vehicle.lift_areas[p.area].underside - situation.lift.pads.lowest),
    };
    let rest = situation.measure(stand, pads, &lowest);
    let rest = rest.iter().filter(|p| p.steers() && !p.what.is_of_heights()).map(|p| p.reserve);
    let worst = rest.fold(f64::INFINITY, f64::min);
    crate::heights::least_that_serves(&choices, worst).map_or(lowest, |c| c.heights.clone())
}

/// Spot that the plate asks for, and ways in which the vehicle may be driven in.
pub(crate) fn bounds(situation: &Situation) -> (Option<f64>, &'static [DrivenIn]) {
    const BOTH: &[DrivenIn] = &[DrivenIn::Forwards, DrivenIn::Backwards];
    let either = situation.lift.backwards_allowed && situation.lift.plate.is_none();
    (situation.band().map(|b| b.front_wheel.to_metres()), if either { BOTH } else { &BOTH[..1] })
}

/// Whether some setup passes, at the plate's place or anywhere if there is no plate.
pub(crate) fn some_setup_passes(situation: &Situation) -> bool {
    let mut whatever = Vec::new();
    situation.measure_capacity(&mut whatever);
    if whatever.iter().any(|p: &Piece| p.binding && p.reserve < 0.0) {
        return false;
    }
    let (spot, ways) = bounds(situation);
    let found = reaching(situation, spot, ways, 0.0);
    found.is_some_and(|f| put_together(situation, f.placement, &f.pads, &f.heights).refusals.is_empty())
}

/// No setup at the plate's place, or anywhere if there is no plate, leaves more than this, whatever the vehicle weighs.
pub(crate) fn most_at_its_place(situation: &Situation) -> f64 {
    let (spot, ways) = bounds(situation);
    crate::search::ceiling(situation, spot, ways)
}

/// The best setup at the plate's place, or anywhere if there is no plate; none where nothing is within reach.
pub(crate) fn set_at_its_place(situation: &Situation) -> Option<Plan> {
    let (spot, ways) = bounds(situation);
    best(situation, spot, ways).map(|f| put_together(situation, f.placement, &f.pads, &f.heights))
}

/// What one climb from a plan's setup reaches in this situation, its arms on the same teeth: no more than the best.
pub(crate) fn climbed_from(situation: &Situation, plan: &Plan) -> Option<Plan> {
    let (spot, _) = bounds(situation);
    let found = crate::search::climbed(situation, &plan.placement, &plan.pad_places(), spot)?;
    Some(put_together(situation, found.placement, &found.pads, &found.heights))
}

/// The best setup at the plate's place, or anywhere if there is no plate; where nothing is within reach, one that shows why.
pub(crate) fn nearest_at_its_place(situation: &Situation) -> Plan {
    set_at_its_place(situation).unwrap_or_else(|| {
        let (spot, _) = bounds(situation);
        let stand = Placement::square(Length::metres(spot.unwrap_or(0.0)), DrivenIn::Forwards);
        let pads = Corner::ALL.map(|corner| middle_of_first_area(situation.vehicle, corner));
        let heights = usual_heights(situation, &stand, &pads);
        put_together(situation, stand, &pads, &heights)
    })
}

/// The same, and what geometry alone would allow.
pub(crate) fn at_its_place(situation: &Situation) -> Plan {
    let (spot, ways) = bounds(situation);
    let mut plan = nearest_at_its_place(situation);
    if spot.is_some() {
        let free_to_stand = Situation { plate_binds: false, ..situation.clone() };
        plan.without_plate = best(&free_to_stand, None, ways).map(|free| {
            let other = put_together(&free_to_stand, free.placement, &free.pads, &free.heights);
            Alternative {
                placement: free.placement,
                worst_reserve: other.worst_check().reserve,
                worst: other.worst_check().clone(),
            }
        });
    }
    plan
}

fn middle_of_first_area(vehicle: &Vehicle, corner: Corner) -> Pad {
    let area = vehicle.lift_areas.iter().position(|a| a.corner == corner).unwrap_or(0);
    let corners = vehicle.lift_areas[area].region.corners();
    let mean = |k: usize| crate::moment::average(corners.iter().map(|c| c.to_metres()[k]));
    Pad { area, at: [mean(0), mean(1)] }
}

/// The setup of a plan, measured in this situation.
pub(crate) fn fixed_setup(situation: &Situation, plan: &Plan) -> Plan {
    let heights = Heights::of(plan, situation.vehicle);
    let measured = put_together(situation, plan.placement, &plan.pad_places(), &heights);
    Plan { without_plate: plan.without_plate.clone(), order: plan.order.clone(), ..measured }
}

/// Measures a setup and says what follows.
fn put_together(situation: &Situation, stand: Placement, pads: &[Pad; 4], heights: &Heights) -> Plan {
    let situation = &situation.touching(heights);
    let checks = fold(&situation.measure(&stand, pads, heights));
    let (mut refusals, mut conditions) = (Vec::new(), Vec::new());
    if situation.lift.plate.is_some() && situation.band().is_none() {
        refusals.push(Remark::NoBand);
    }
    if stand.driven_in == DrivenIn::Backwards && !situation.lift.backwards_allowed {
        refusals.push(Remark::Backwards);
    }
    let Unmeasured { unknown, questioned, .. } = &situation.vehicle.unmeasured;
    conditions.extend(unknown.iter().map(|u| Remark::NotMeasured(*u)));
    if !questioned.is_empty() {
        conditions.push(Remark::OddAreas(questioned.clone()));
    }
    conditions.extend(situation.other_band().map(|b| Remark::NearBandEnd { other: b.mark.clone() }));
    for (k, check) in checks.iter().enumerate().filter(|(_, c)| c.reserve < 0.0) {
        if check.binding { &mut refusals } else { &mut conditions }.push(Remark::Fails(k));
    }
    let steering = checks.iter().enumerate().filter(|(_, c)| c.binding && c.steers);
    let worst = steering.min_by(|a, b| a.1.reserve.total_cmp(&b.1.reserve)).map_or(0, |(k, _)| k);
    let support = situation.support(&stand, pads);
    let support = support.as_ref();
    let settings = settings(situation, &stand, pads, heights, support, &checks);
    // Pads that statics would let carry too much if they touch unevenly must be screwed up to touch.
    let all = 0..situation.states.len();
    let each = support.map(|set| all.map(|state| greatest_within(set, &situation.body(state, &stand))));
    let most = each.and_then(|mut each| {
        let first = each.next()?;
        Some(each.fold(first, |most, of| core::array::from_fn(|i| most[i].max(of[i]))))
    });
    for (setting, greatest) in settings.iter().zip(most.iter().flatten()) {
        if *greatest > setting.rated && setting.load_assured <= setting.rated {
            let (corner, rated) = (setting.corner, setting.rated);
            conditions.push(Remark::UnevenSeat { corner, greatest: *greatest, rated });
        }
    }
    // Where the vehicle may fall without a pad that no shake proves, the hand on that pad is no mere advice.
    let (must, may): (Vec<_>, Vec<_>) = unproved(situation, &stand, support)
        .into_iter()
        .partition(|r| matches!(r, Remark::ShakeProvesNothing { may_fall: true, .. }));
    conditions.extend(must);
    conditions.extend(ends_without(situation.job));
    let droop = situation.vehicle.droop.greatest();
    let clearance = Length::metres(situation.limits.get(Name::TestRaise));
    let gap = heights.all_touch().max(Length::ZERO) + situation.vehicle.unmeasured.undersides;
    let test_raise = gap + droop + clearance;
    if situation.lift.rise.locks.iter().all(|lock| *lock < test_raise) {
        refusals.push(Remark::NoLockClears);
    }
    let states =
        (0..situation.states.len()).map(|k| state_answer(situation, &stand, support, k, &checks)).collect();
    let height = working_height(situation, heights, test_raise, None);
    for (refuses, remark) in height.strains(situation.job) {
        if refuses { &mut refusals } else { &mut conditions }.push(remark);
    }
    Plan {
        verdict: Verdict::of(&refusals, &conditions),
        placement: stand,
        mark: situation.band().map(|b| b.mark.clone()),
        mark_spot: situation.band().map(|b| b.front_wheel),
        watch: may.into_iter().chain(watch(&settings)).collect(),
        pads: settings,
        states,
        conditions,
        refusals,
        assumptions: assumptions(situation, &height, heights),
        height,
        test_raise,
        worst,
        checks,
        work: Vec::new(),
        losses: Losses::default(),
        without_plate: None,
        change: None,
        order: None,
        stands: None,
    }
}

/// The most that statics let each pad carry when mass and centre of gravity lie anywhere within their tolerances.
///
/// It is concave in the centre's place and largest on a side of its box, which is looked at in small steps.
fn greatest_within(set: &SupportSet, body: &Body) -> [Force; 4] {
    let hulls = set.hulls();
    round_the_box(body).fold([Force::ZERO; 4], |most, load| {
        let range = hulls.load_range(&load);
        core::array::from_fn(|i| range.as_ref().map_or(load.weight, |r| r[i].greatest).max(most[i]))
    })
}

/// The weight at its greatest, at small steps round the box of its centre.
pub(crate) fn round_the_box(body: &Body) -> impl Iterator<Item = Load> {
    const STEPS: u8 = 8;
    let weight = (body.mass + body.mass_tolerance).weight();
    let ([x, y], [dx, dy]) = (body.cg.plan().to_metres(), [0, 1].map(|k| body.cg_tolerance[k].to_metres()));
    let along = (0..=STEPS).map(|k| 2.0 * f64::from(k) / f64::from(STEPS) - 1.0);
    let sides = along.flat_map(|t| [[t, -1.0], [t, 1.0], [-1.0, t], [1.0, t]]);
    sides.map(move |[u, v]| Load { weight, at: Place::metres([x + u * dx, y + v * dy]) })
}

fn settings(
    situation: &Situation,
    stand: &Placement,
    pads: &[Pad; 4],
    heights: &Heights,
    support: Option<&SupportSet>,
    checks: &[Check],
) -> [PadSetting; 4] {
    let load = situation.body(0, stand).load();
    let ranges = support.and_then(|s| s.load_range(&load));
    let estimates = support.and_then(|s| s.load_estimate(&load)).map(|e| e.loads);
    core::array::from_fn(|i| {
        let arm = situation.arm(i, stand);
        let set = situation.arm_setting(i, stand, pads[i].at);
        let range = ranges.as_ref().map(|r| r[i]);
        let estimate = estimates.as_ref().map(|loads| loads[i]);
        let corner = Corner::ALL[i];
        let assured =
            checks.iter().filter(|c| c.what == What::PadRating(corner)).map(|c| c.demand).fold(0.0, f64::max);
        let place = Place::<Frame>::metres(pads[i].at);
        PadSetting {
            corner,
            arm: arm_for(corner, stand),
            area: pads[i].area,
            at: place,
            bay: stand.to_bay(place),
            reach: Length::metres(set.reach),
            swing: Angle::radians(set.swing),
            tooth: arm.tooth_pitch.map(|pitch| {
                let turn = wrapped(set.swing - arm.swing_from.to_radians()).max(0.0);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "a small count of teeth"
                )]
                let n = (turn / pitch.to_radians()).round() as u32;
                n + 1
            }),
            height: heights.tops[i],
            adapters: heights.adapters[i].clone(),
            load_least: range.map_or(Force::ZERO, |r| r.least),
            load_greatest: range.map_or(load.weight, |r| r.greatest),
            load_estimate: estimate.unwrap_or(Force::ZERO),
            load_assured: Force::newtons(assured),
            rated: Force::newtons(situation.arm_rated(arm)),
        }
    })
}

fn state_answer(
    situation: &Situation,
    stand: &Placement,
    support: Option<&SupportSet>,
    k: usize,
    checks: &[Check],
) -> StateAnswer {
    let state = &situation.states[k];
    let body = situation.body(k, stand);
    let stability = support.map(|s| s.stability(&body));
    let loads = support.and_then(|s| s.load_estimate(&body.load())).map(|e| e.loads);
    let loads: [Force; 4] = core::array::from_fn(|i| loads.as_ref().map_or(Force::ZERO, |l| l[i]));
    let edges = stability.iter().flat_map(|s| &s.edges).map(|e| EdgeAnswer {
        from: Corner::ALL[e.from],
        to: Corner::ALL[e.to],
        distance: e.distance,
        assured: e.assured,
    });
    let own = checks.iter().filter(|c| c.binding && c.state == Some(k)).map(|c| c.reserve);
    StateAnswer {
        name: state.name.clone(),
        mass: state.mass.clone(),
        cg: state.cg,
        whole: None,
        cg_tolerance: state.cg_tolerance,
        cg_uncertainty: state.cg_uncertainty,
        edges: edges.collect(),
        assured_edge: stability.as_ref().map_or(Length::ZERO, |s| s.assured),
        tip_ratio: stability.as_ref().and_then(|s| s.tip_ratio),
        front_share: (loads[0] + loads[1]) / body.mass.weight(),
        loads,
        worst_reserve: own.fold(crate::checks::RESERVE_MOST, f64::min),
    }
}

/// Pads that silence does not prove, each with whether the vehicle may fall without it.
fn unproved(situation: &Situation, stand: &Placement, support: Option<&SupportSet>) -> Vec<Remark> {
    let lost = |set| Corner::ALL.into_iter().filter_map(move |c| situation.pad_loss(stand, set, c));
    let silent = support.into_iter().flat_map(lost).filter(PadLoss::is_silent);
    let remark = |lost: PadLoss| Remark::ShakeProvesNothing {
        corner: lost.corner,
        rock_push: lost.rock_push,
        person: lost.person,
        may_fall: lost.may_fall(),
    };
    silent.map(remark).collect()
}

/// The parts that a job leaves off: whether one of them is a wheel, only a person sees.
fn ends_without(job: &Job) -> Option<Remark> {
    let mut off: Vec<String> = Vec::new();
    for step in &job.steps {
        match step {
            Step::Off(part) => off.push(part.name.clone()),
            Step::On(part) => off.retain(|name| *name != part.name),
        }
    }
    (!off.is_empty()).then_some(Remark::EndsWithout(off))
}

/// What else to look and feel for: the heavier end on the longer arms.
fn watch(settings: &[PadSetting; 4]) -> Vec<Remark> {
    let mut found = Vec::new();
    let pair = |a: usize, b: usize, f: &dyn Fn(&PadSetting) -> f64| f(&settings[a]) + f(&settings[b]);
    let load = |s: &PadSetting| s.load_estimate.to_newtons();
    let reach = |s: &PadSetting| s.reach.to_metres();
    let front_heavier = pair(0, 1, &load) > pair(2, 3, &load);
    let (heavy, light) = if front_heavier { ((0, 1), (2, 3)) } else { ((2, 3), (0, 1)) };
    // A tenth longer is longer; less is the same arm.
    if pair(heavy.0, heavy.1, &reach) > 1.1 * pair(light.0, light.1, &reach) {
        found.push(Remark::HeavyEndOnLongArms);
    }
    found
}
