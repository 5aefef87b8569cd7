//! What a refused plan says of why nothing passes, held against many setups that it did not look at.

#![expect(clippy::unwrap_used, reason = "a test ends where it fails")]

mod common;

use core::mem::discriminant;

use common::{hatchback, lift, m};
use planner::checks::What;
use planner::lift::Corner;
use planner::plan::{Change, Check, Plan, Remark, Verdict, Why};
use planner::setup::{PadAt, Setup};
use planner::vehicle::KeepOut;
use planner::{Job, Lift, Limits, Placement, Vehicle, as_placed, plan};
use statics::{Angle, Mass, Place};

fn planned(lift: &Lift, vehicle: &Vehicle) -> Plan {
    plan(lift, vehicle, &Job::default(), &Limits::default()).unwrap()
}

/// A lift and a vehicle that do not go together, each in its own way.
fn misfits() -> Vec<(&'static str, Lift, Vehicle)> {
    let changed = |name, on_lift: &dyn Fn(&mut Lift), on_vehicle: &dyn Fn(&mut Vehicle)| {
        let (mut lift, mut vehicle) = (lift(), hatchback());
        on_lift(&mut lift);
        on_vehicle(&mut vehicle);
        (name, lift, vehicle)
    };
    vec![
        changed("too weak", &|l| l.rated = Mass::kilograms(900.0), &|_| {}),
        changed("doors", &|_| {}, &|v| v.doors[0].hinge = Place::metres([0.27, 0.87])),
        changed("points too near", &|_| {}, &|v| {
            for area in v.lift_areas.iter_mut().filter(|a| !a.corner.is_front()) {
                let s = if area.corner.is_left() { 1.0 } else { -1.0 };
                let corners = [[1.00, 0.66], [1.16, 0.66], [1.16, 0.74], [1.00, 0.74]];
                let corners = corners.map(|[a, l]| Place::metres([a, s * l]));
                area.region = planner::Region::new(corners.to_vec()).unwrap();
            }
        }),
        changed(
            "a line where the front pads would have to go",
            &|l| l.permitted_front_share = Some((0.3, 0.73)),
            &|v| {
                for side in [1.0, -1.0] {
                    let corners = [[0.45, 0.66], [0.57, 0.66], [0.57, 0.74], [0.45, 0.74]];
                    let corners = corners.map(|[a, l]| Place::metres([a, side * l]));
                    let region = planner::Region::new(corners.to_vec()).unwrap();
                    v.keep_outs.push(KeepOut { name: "brake line".into(), region });
                }
            },
        ),
        changed("short arms", &|l| l.arms.iter_mut().for_each(|a| a.reach_out = m(0.80)), &|_| {}),
        changed(
            "narrow swing",
            &|l| {
                for (arm, corner) in l.arms.iter_mut().zip(Corner::ALL) {
                    if !corner.is_front() && corner.is_left() {
                        arm.swing_from = Angle::degrees(-110.0);
                    }
                    if !corner.is_front() && !corner.is_left() {
                        arm.swing_to = Angle::degrees(110.0);
                    }
                }
            },
            &|_| {},
        ),
    ]
}

/// Numbers that look random, from a seed.
struct Dice(u64);

impl Dice {
    fn between(&mut self, from: f64, to: f64) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        from + (to - from) * f64::from((self.0 >> 40) as u32) / f64::from(1u32 << 24)
    }
}

const SETUPS: usize = 4000;

/// Setups anywhere on the areas, at the plate's place.
fn setups(lift: &Lift, vehicle: &Vehicle, at: Placement) -> Vec<Vec<Check>> {
    let mut dice = Dice(0x2545_F491_4F6C_DD1D);
    let (job, limits) = (Job::default(), Limits::default());
    let one = |_| {
        let pads = Corner::ALL.map(|corner| {
            let area = vehicle.lift_areas.iter().find(|a| a.corner == corner).unwrap();
            let corners = area.region.corners().iter().map(|c| c.to_metres());
            let far = |k: usize| {
                let each = corners.clone().map(|c| c[k]);
                each.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
            };
            let ((a, b), (l, r)) = (far(0), far(1));
            let at = Place::metres([dice.between(a, b), dice.between(l, r)]);
            PadAt { at, adapters: None, height: None }
        });
        as_placed(lift, vehicle, &job, &limits, &Setup { placement: at, pads }).unwrap().checks
    };
    (0..SETUPS).map(one).collect()
}

fn is_basic(what: What) -> bool {
    use What::{PadInArea, ReachIn, ReachOut, SwingFrom, SwingTo};
    matches!(what, PadInArea(_) | ReachIn(_) | ReachOut(_) | SwingFrom(_) | SwingTo(_))
}

#[test]
fn what_no_setup_meets_none_of_many_setups_meets_and_what_some_meet_some_does() {
    let mut seen = [0; 3];
    for (name, lift, vehicle) in misfits() {
        let found = planned(&lift, &vehicle);
        assert_eq!(found.verdict, Verdict::DoNotRaise, "{name}");
        assert!(!found.refusals.is_empty(), "{name}");
        let others = setups(&lift, &vehicle, found.placement);
        for check in found.checks.iter().filter(|c| c.binding && c.steers && c.reserve < 0.0) {
            let kind = discriminant(&check.what);
            let asked = |c: &&Check| discriminant(&c.what) == kind || is_basic(c.what);
            let meets = |checks: &Vec<Check>| checks.iter().filter(asked).all(|c| c.reserve >= 0.0);
            let met = others.iter().filter(|c| meets(c)).count();
            match check.why.unwrap() {
                Why::NoSetup { .. } => {
                    seen[0] += 1;
                    assert_eq!(met, 0, "{name}: {:?}", check.what);
                }
                // What is basic in itself is asked of every setup, its own kind alone may be met outside.
                why => {
                    seen[if why == Why::Together { 1 } else { 2 }] += 1;
                    assert!(met > 0, "{name}: {:?} is met by no setup", check.what);
                }
            }
            let told =
                found.refusals.iter().any(|r| matches!(r, Remark::Fails(k) if found.checks[*k] == *check));
            assert_eq!(told, check.why != Some(Why::GivesWay), "{name}: {:?}", check.what);
        }
    }
    assert!(seen.iter().all(|n| *n > 0), "{seen:?}");
}

#[test]
fn a_stronger_lift_is_the_least_that_passes() {
    let (_, weak, vehicle) = misfits().remove(0);
    let found = planned(&weak, &vehicle);
    let Some(Change::StrongerLift { rated: enough, .. }) = found.change else { panic!("{:?}", found.change) };
    let rated = |rated: Mass| planned(&Lift { rated, ..weak.clone() }, &vehicle).verdict;
    assert_ne!(rated(enough), Verdict::DoNotRaise);
    assert_eq!(rated(enough - Mass::kilograms(50.0)), Verdict::DoNotRaise);
}
