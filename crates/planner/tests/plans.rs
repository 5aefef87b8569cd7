//! Plans of an invented vehicle on an invented lift.

#![expect(clippy::unwrap_used, reason = "a test ends where it fails")]

mod common;

use common::{hatchback, lift, m};
use planner::checks::What;
use planner::frames::DrivenIn;
use planner::lift::Rise;
use planner::plan::{Change, Move, Plan, Remark, Verdict};
use planner::setup::{PadAt, Setup};
use planner::state::{StateFault, Tips};
use planner::{InputFault, Job, Lift, Limits, Placement, Vehicle, as_placed, as_placed_with_cures, plan};
use statics::{Angle, Length, Mass, Place};

fn planned(lift: &Lift, vehicle: &Vehicle) -> Plan {
    plan(lift, vehicle, &Job::default(), &Limits::default()).unwrap()
}

#[test]
fn the_plate_decides_where_the_wheel_stands_and_the_plan_says_what_it_costs() {
    let found = planned(&lift(), &hatchback());
    assert_eq!(found.mark.as_deref(), Some("A"));
    assert_eq!(found.placement.spot, m(1.12));
    let free = found.without_plate.as_ref().unwrap();
    assert!(free.worst_reserve > found.worst_check().reserve);
    // A front-driven car on its sill points stands near 2:1: a condition that the shop may make binding.
    assert_eq!(found.verdict, Verdict::RaiseWithConditions);
    let mut strict = lift();
    strict.split_rule_binds = true;
    assert_eq!(planned(&strict, &hatchback()).verdict, Verdict::DoNotRaise);
}

#[test]
fn a_setup_as_placed_is_checked_by_the_same_code() {
    let found = planned(&lift(), &hatchback());
    let pads = found.pads.clone().map(|p| PadAt { at: p.at, adapters: None, height: None });
    let setup = Setup { placement: found.placement, pads };
    let again = as_placed(&lift(), &hatchback(), &Job::default(), &Limits::default(), &setup).unwrap();
    assert_eq!(again.checks, found.checks);

    let crooked = Placement { offset: m(0.03), yaw: Angle::degrees(2.0), ..found.placement };
    let pads = found.pads.map(|p| PadAt { at: p.at, adapters: None, height: None });
    let moved = as_placed(
        &lift(),
        &hatchback(),
        &Job::default(),
        &Limits::default(),
        &Setup { placement: crooked, pads },
    )
    .unwrap();
    assert_ne!(moved.checks, again.checks);
}

#[test]
fn four_contacts_each_carry_and_the_loads_balance() {
    let found = planned(&lift(), &hatchback());
    let sum: f64 = found.pads.iter().map(|p| p.load_estimate.to_newtons()).sum();
    assert!((sum - Mass::kilograms(1140.0).weight().to_newtons()).abs() < 1e-6);
    for p in &found.pads {
        assert!(p.load_estimate.to_newtons() > 0.0);
        assert!(p.load_least <= p.load_estimate && p.load_estimate <= p.load_assured);
    }
}

#[test]
fn a_vehicle_beyond_the_plate_is_refused_and_the_next_lift_named() {
    let mut small = lift();
    small.rated = Mass::pounds(2000.0);
    let found = planned(&small, &hatchback());
    assert_eq!(found.verdict, Verdict::DoNotRaise);
    assert!(
        found
            .refusals
            .iter()
            .any(|r| matches!(r, Remark::Fails(k) if found.checks[*k].what == What::Capacity))
    );
    assert!(matches!(found.change, Some(Change::StrongerLift { .. })), "{:?}", found.change);
}

#[test]
fn teeth_are_met_and_a_vehicle_may_stand_the_other_way_round() {
    let mut toothed = lift();
    toothed.plate = None;
    for arm in &mut toothed.arms {
        arm.tooth_pitch = Some(Angle::degrees(5.0));
    }
    let found = planned(&toothed, &hatchback());
    for check in found.checks.iter().filter(|c| matches!(c.what, What::Tooth(_))) {
        assert!(check.demand < 1e-9, "{check:?}");
    }
    assert!(found.pads.iter().all(|p| p.tooth.is_some()));

    let mut either = lift();
    either.plate = None;
    let forwards = planned(&either, &hatchback());
    either.backwards_allowed = true;
    let both = planned(&either, &hatchback());
    assert!(both.worst_check().reserve >= forwards.worst_check().reserve - 0.001);
    assert!(matches!(both.placement.driven_in, DrivenIn::Forwards | DrivenIn::Backwards));
}

#[test]
fn the_first_raise_is_a_few_inches() {
    let rise = planned(&lift(), &hatchback()).test_raise;
    assert!(rise > Length::inches(2.0) && rise < Length::inches(12.0), "{rise:?}");
}

/// Derived: what hangs lower than the highest lock raises it never stands clear.
#[test]
fn a_lift_that_does_not_clear_the_tyres_is_refused() {
    let rise = planned(&lift(), &hatchback()).test_raise;
    for (highest, refused) in
        [(rise - Length::millimetres(1.0), true), (rise + Length::millimetres(1.0), false)]
    {
        let mut low = lift();
        low.rise = Rise { locks: vec![m(0.05), highest], most: highest };
        let found = planned(&low, &hatchback());
        assert_eq!(found.refusals.contains(&Remark::NoLockClears), refused, "{highest:?}");
        assert_eq!(found.verdict == Verdict::DoNotRaise, refused);
        assert_eq!(found.change, None, "no other spot makes it higher");
    }
}

/// A lift whose file forbids to drive in backwards refuses what was placed so.
#[test]
fn backwards_is_refused_where_it_is_forbidden() {
    let (mut lift, vehicle, job, limits) = (lift(), hatchback(), Job::default(), Limits::default());
    lift.plate = None;
    let pads = planned(&lift, &vehicle).pads.map(|p| PadAt { at: p.at, adapters: None, height: None });
    let setup = Setup { placement: Placement::square(m(-1.12), DrivenIn::Backwards), pads };
    for allowed in [false, true] {
        lift.backwards_allowed = allowed;
        let found = as_placed(&lift, &vehicle, &job, &limits, &setup).unwrap();
        assert_eq!(found.refusals.contains(&Remark::Backwards), !allowed);
    }
}

/// A vehicle is driven in on its wheels, so what is in it cannot tip it off them.
#[test]
fn loads_that_would_tip_it_off_its_wheels_make_no_question() {
    let (lift, vehicle, limits) = (lift(), hatchback(), Limits::default());
    let load = |kg: f64, aft: f64, left: f64| planner::vehicle::Part {
        name: "lead".into(),
        mass: planner::Measured::given(Mass::kilograms(kg), Mass::ZERO),
        at: statics::Point::metres([aft, left, 0.6]),
        off: planner::vehicle::Off::NONE,
        after: vec![],
    };
    for (kg, aft, left, tips) in [
        (100.0, 3.0, 0.0, None),
        (5000.0, 3.2, 0.0, Some(Tips::Back)),
        (5000.0, -0.7, 0.0, Some(Tips::Forwards)),
        (50_000.0, 1.0, -0.85, Some(Tips::Sideways)),
    ] {
        let job = Job { loads: vec![load(kg, aft, left)], ..Job::default() };
        let faults = plan(&lift, &vehicle, &job, &limits).err().unwrap_or_default();
        let expected = tips.map(|t| InputFault::State(StateFault::OffItsWheels(t)));
        assert_eq!(faults.first().cloned(), expected, "{kg} kg at {aft}, {left}");
    }
}

#[test]
fn pads_that_could_carry_too_much_when_they_touch_unevenly_are_a_condition() {
    let mut small = lift();
    small.split_rule_binds = false;
    small.rated = Mass::kilograms(2000.0);
    let found = planned(&small, &hatchback());
    let greatest = |c: &Remark| matches!(c, Remark::UnevenSeat { greatest, rated, .. } if greatest > rated);
    assert!(found.pads.iter().any(|p| p.load_greatest > p.rated && p.load_assured <= p.rated));
    assert!(found.conditions.iter().any(greatest), "{:?}", found.conditions);
    assert_eq!(found.verdict, Verdict::RaiseWithConditions);
}

/// What a person is told to move mends the check that it is told of.
#[test]
fn a_move_mends_what_it_is_said_to_mend() {
    let (lift, vehicle, limits) = (lift(), hatchback(), Limits::default());
    let found = planned(&lift, &vehicle);
    let pads = found.pads.clone().map(|p| PadAt { at: p.at, adapters: None, height: None });
    let good = Setup { placement: found.placement, pads };
    let ask = |setup: &Setup| as_placed_with_cures(&lift, &vehicle, &Job::default(), &limits, setup).unwrap();
    assert!(ask(&good).checks.iter().all(|c| c.reserve >= 0.0 || !c.binding));
    let mut mended = 0;
    for (pad, by) in [(0, [-0.15, 0.0]), (1, [0.0, 0.08]), (2, [0.25, 0.0]), (3, [0.12, -0.05])] {
        let mut off = good.clone();
        let [aft, left] = off.pads[pad].at.to_metres();
        off.pads[pad].at = Place::metres([aft + by[0], left + by[1]]);
        let answer = ask(&off);
        let fails: Vec<_> = answer.checks.iter().filter(|c| c.reserve < 0.0 && c.binding).collect();
        assert!(!fails.is_empty(), "pad {pad} was moved too little");
        assert!(matches!(answer.change, Some(Change::SetAnew(stand, _)) if stand == found.placement));
        for check in fails {
            let Some(Move::Pad { corner, aft, left }) = &check.mend else { continue };
            let mut set = off.clone();
            let at = &mut set.pads[corner.index()].at;
            *at =
                Place::metres([at.x().to_metres() + aft.to_metres(), at.y().to_metres() + left.to_metres()]);
            let after = ask(&set);
            let again = after.checks.iter().find(|c| c.what == check.what && c.state == check.state).unwrap();
            assert!(again.reserve >= 0.0, "{:?} by {:?}", check.what, check.mend);
            mended += 1;
        }
    }
    assert!(mended >= 4, "only {mended}");
}

#[test]
fn nothing_is_mended_that_passes_and_a_plan_tells_no_moves() {
    let found = planned(&lift(), &hatchback());
    assert!(found.checks.iter().all(|c| c.mend.is_none()));
}
