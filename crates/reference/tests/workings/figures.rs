//! The figures that are no check's: what the plan holds of each, and whether its working gives that.

use std::collections::BTreeMap;

use planner::height::TaskHeight;
use planner::lift::Corner;
use planner::plan::{Remark, Standing, StandsAnswer, Unit};
use planner::{Chance, Chances};
use sheets::{Axis, Figure, Scene, Units};
use statics::{Force, Length};

use super::{BOTH, end_fault, in_units, steps_fault};

/// Every kind of figure, by the first word of its name.
pub(crate) const KINDS: [&str; 44] = [
    "mass",
    "mass-off",
    "centre",
    "centre-off",
    "centre-uncertainty",
    "load",
    "front-share",
    "load-least",
    "load-greatest",
    "reach",
    "swing",
    "test-raise",
    "lock",
    "lock-alone",
    "work-height",
    "pads-at-lock",
    "roof-room",
    "head-room",
    "hub-from-elbow",
    "stoop",
    "out-of-reach",
    "upper-arm",
    "pad-lost",
    "pad-lost-assured",
    "pad-lost-load",
    "rock-push",
    "lock-lost",
    "first-unloads",
    "force-angle",
    "pull-instead",
    "stand-height",
    "stand-least",
    "stand-most",
    "order-given",
    "order-given-here",
    "order-best",
    "chance",
    "chance-error",
    "gain",
    "stand-load",
    "stand-change",
    "uneven-seat",
    "shake-held",
    "without-plate",
];

/// Works every figure out in both systems; counts them by kind and collects what is wrong.
pub(crate) fn work_out(
    name: &str,
    scene: &Scene<'_>,
    counts: &mut BTreeMap<String, usize>,
    faults: &mut Vec<String>,
) {
    for figure in sheets::figures(scene) {
        let own = figure.name(scene);
        *counts.entry(own.split(':').next().unwrap_or_default().to_owned()).or_default() += 1;
        for units in BOTH {
            let fault = fault(scene, figure, units);
            let state = figure.state(scene);
            faults.extend(fault.map(|f| format!("{name}, {own}, state {state:?}, {units:?}: {f}")));
        }
    }
}

/// What is wrong with the working of a figure, if anything.
pub(crate) fn fault(scene: &Scene<'_>, figure: Figure, units: Units) -> Option<String> {
    let Some(working) = sheets::figure_worked(scene, figure, units) else { return Some("no working".into()) };
    let Some((planned, unit)) = held(scene, figure) else {
        return Some("the plan holds no such figure".into());
    };
    let (planned, near) = in_units(planned, unit, units);
    // Half the last place in which the figure is told: tenths of a push, and of a reserve that is a quotient.
    let near = match figure {
        Figure::OrderGiven
        | Figure::OrderGivenHere
        | Figure::OrderBest
        | Figure::Gain(_)
        | Figure::WithoutPlate => 0.05,
        // A push may be large beside what lever it has: told in whole newtons, or pounds-force.
        _ if unit == Unit::Push => (0.05 + 1e-4 * planned.abs()).min(0.45),
        // Where one pad hangs free the others may make a thin triangle, whose area loses digits of the printed places.
        Figure::Load(_, k) if hangs(scene, k) => 0.05 + 3e-4 * planned.abs(),
        Figure::FrontShare(k) if hangs(scene, k) => 0.03,
        Figure::LoadLeast(_) | Figure::LoadGreatest(_) | Figure::PadLostLoad(..) | Figure::UnevenSeat(_) => {
            0.05 + 3e-4 * planned.abs()
        }
        _ => near,
    };
    steps_fault(&working, planned == 0.0).or_else(|| end_fault(&working, (planned, near)))
}

/// Whether a pad carries nothing by the load estimate.
fn hangs(scene: &Scene<'_>, state: usize) -> bool {
    scene.plan.states.get(state).is_some_and(|s| s.loads.iter().any(|l| l.to_newtons() <= 1e-6))
}

const fn index(axis: Axis) -> usize {
    match axis {
        Axis::Aft => 0,
        Axis::Left => 1,
        Axis::Up => 2,
    }
}

fn standing<'a>(scene: &Scene<'a>) -> Option<&'a Standing> {
    match scene.plan.stands.as_ref()? {
        StandsAnswer::Serve(standing) => Some(standing),
        StandsAnswer::NoneServe(_) => None,
    }
}

fn chance<'a>(scene: &Scene<'a>, k: usize) -> Option<&'a Chance> {
    match scene.chances? {
        Chances::Told(all) => all.get(k),
        Chances::DoesNotStand(_) => None,
    }
}

/// Height of a task's work at another lock.
fn work_at(scene: &Scene<'_>, task: &TaskHeight, lock: Option<usize>) -> f64 {
    let rise = &scene.lift.rise;
    let touch =
        scene.plan.pads.iter().map(|p| (scene.vehicle.lift_areas[p.area].underside - p.height).to_metres());
    let touch = touch.fold(f64::NEG_INFINITY, f64::max);
    let up = |lock: Option<usize>| (lock.map_or(rise.most, |l| rise.locks[l]).to_metres() - touch).max(0.0);
    task.work.to_metres() - up(task.lock) + up(lock)
}

/// The largest miss of anybody's best height.
fn miss<'p>(work: f64, people: impl IntoIterator<Item = &'p planner::height::AtWork>) -> f64 {
    people.into_iter().map(|p| (work - p.ideal.to_metres()).abs()).fold(0.0, f64::max)
}

/// What the scene holds of a figure, SI.
fn held(scene: &Scene<'_>, figure: Figure) -> Option<(f64, Unit)> {
    let plan = scene.plan;
    let length = |l: Length| Some((l.to_metres(), Unit::Metre));
    let load = |f: Force| Some((f.to_newtons(), Unit::Newton));
    let push = |f: Force| Some((f.to_newtons(), Unit::Push));
    let lost = |c: Corner| plan.losses.pads.iter().find(|l| l.corner == c);
    let left = |c: Corner, k: usize| [&lost(c)?.raised, &lost(c)?.worst].into_iter().find(|l| l.state == k);
    let task = |k: usize| plan.height.tasks.get(k);
    let person = |k: usize, p: usize| task(k)?.people.get(p);
    match figure {
        Figure::Mass(k) => Some((plan.states.get(k)?.mass.value.to_kilograms(), Unit::Kilogram)),
        Figure::MassOff(k) => Some((plan.states.get(k)?.mass.tolerance.to_kilograms(), Unit::Kilogram)),
        Figure::Centre(axis, k) => Some((plan.states.get(k)?.cg.to_metres()[index(axis)], Unit::Metre)),
        Figure::CentreOff(axis, k) => length(plan.states.get(k)?.cg_tolerance[index(axis)]),
        Figure::CentreUncertainty(axis, k) => length(plan.states.get(k)?.cg_uncertainty[index(axis)]),
        Figure::Load(c, k) => load(plan.states.get(k)?.loads[c.index()]),
        Figure::FrontShare(k) => Some((plan.states.get(k)?.front_share, Unit::Ratio)),
        Figure::LoadLeast(c) => load(plan.pads[c.index()].load_least),
        Figure::LoadGreatest(c) => load(plan.pads[c.index()].load_greatest),
        Figure::Reach(c) => length(plan.pads[c.index()].reach),
        Figure::Swing(c) => Some((plan.pads[c.index()].swing.to_radians(), Unit::Radian)),
        Figure::TestRaise => length(plan.test_raise),
        Figure::Lock(k) => Some((miss(task(k)?.work.to_metres(), &task(k)?.people), Unit::Metre)),
        Figure::LockAlone(k, p) => {
            let alone = person(k, p)?;
            Some((miss(work_at(scene, task(k)?, alone.alone), [alone]), Unit::Metre))
        }
        Figure::WorkHeight(k) => length(task(k)?.work),
        Figure::PadsAtLock(k) => length(task(k)?.pad_height),
        Figure::RoofRoom(k) => length(task(k)?.roof_room?),
        Figure::HeadRoom(k, p) => length(person(k, p)?.head_room?),
        Figure::FromElbow(k, p) => length(task(k)?.work - person(k, p)?.ideal),
        Figure::Stoop(k, p) => length(person(k, p)?.pose.stoop),
        Figure::OutOfReach(k, p) => length(person(k, p)?.pose.short),
        Figure::UpperArm(k, p) => Some((person(k, p)?.pose.upper_arm.to_radians(), Unit::Radian)),
        Figure::PadLost(c, k) => length(left(c, k)?.from_diagonal),
        Figure::PadLostAssured(c, k) => length(left(c, k)?.assured),
        Figure::PadLostLoad(c, k) => load(left(c, k)?.hardest?.1),
        Figure::RockPush(c) => push(lost(c)?.rock_push?),
        Figure::LockLost(c, k) => {
            push(plan.losses.locks.iter().find(|l| l.corner == c)?.left.get(k)?.withstands?)
        }
        Figure::FirstUnloads(k, n) => push(plan.work.get(k)?.states.get(n)?.first_unloads?.1),
        Figure::ForceAngle(k, n) => {
            Some((plan.work.get(k)?.states.get(n)?.force_angle?.to_radians(), Unit::Radian))
        }
        Figure::PullInstead(k) => push(plan.work.get(k)?.instead?.withstands?),
        Figure::StandHeight(k) => length(*standing(scene)?.heights.get(k)?),
        Figure::StandLeast => load(standing(scene)?.least),
        Figure::StandMost => load(standing(scene)?.most),
        Figure::StandLoad => load(standing(scene)?.load),
        Figure::StandChange(more) => load(standing(scene)?.drift_most()[usize::from(more)]),
        Figure::UnevenSeat(c) => plan.conditions.iter().find_map(|r| match r {
            Remark::UnevenSeat { corner, greatest, .. } if *corner == c => load(*greatest),
            _ => None,
        }),
        Figure::ShakeHeld => push(plan.losses.locks.first()?.left.first()?.engaged?),
        Figure::WithoutPlate => Some((plan.without_plate.as_ref()?.worst_reserve, Unit::Ratio)),
        Figure::OrderGiven => Some((plan.order.as_ref()?.given_reserve, Unit::Ratio)),
        Figure::OrderGivenHere => Some((plan.order.as_ref()?.given_reserve_here()?, Unit::Ratio)),
        Figure::OrderBest => Some((plan.order.as_ref()?.best_reserve, Unit::Ratio)),
        Figure::Chance(k) => Some((chance(scene, k)?.chance, Unit::Gravity)),
        Figure::ChanceError(k) => Some((chance(scene, k)?.error, Unit::Gravity)),
        Figure::Gain(k) => scene.measure_next?.get(k).map(|g| (g.after - g.before, Unit::Ratio)),
    }
}
