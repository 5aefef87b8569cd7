//! What a raise leaves behind: on a lift, on a vehicle, and on another's screen.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use HoldPoint as P;
use common::*;
use records::*;

fn raise() -> RaiseNumber {
    RaiseNumber(1)
}

fn begun() -> World {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world
}

/// A plan for another vehicle, or another job, than the one of `plan`.
fn other(vehicle_id: &str, steps: &[&str]) -> NewPlan {
    let mut new = plan();
    new.vehicle = vehicle(vehicle_id);
    new.outline.steps = steps.iter().map(|step| (*step).to_owned()).collect();
    new
}

fn enter(id: &str) -> Command {
    let file = Document::new("the vehicle's file");
    Command::EnterVehicle { vehicle: vehicle(id), description: "red".into(), file }
}

/// Who confirms what was on the screen before the raise was seated again confirms nothing of the second time.
#[test]
fn a_screen_of_before_confirms_nothing() {
    let mut world = begun();
    world.until("tech", P::TestRaised);
    let seen = world.shop.raises[&raise()].last;
    let shaken =
        |seen| Command::Confirm { raise: raise(), point: P::Shaken, judgement: None, words: None, seen };
    world.must("tech-two", &Command::TakeOver { raise: raise() });
    world.must("tech-two", &Command::Upset { raise: raise(), sign: Sign::Noise, words: "bang".into() });
    world.until("tech-two", P::TestRaised);
    world.must("tech", &Command::TakeOver { raise: raise() });
    assert_eq!(world.refused("tech", &shaken(Some(seen))), [Refusal::WentOn(raise())]);
    let seen = world.shop.raises[&raise()].last;
    assert_eq!(seen, world.shop.head.seq);
    world.must("tech", &shaken(Some(seen)));
}

/// That nobody is under it is looked at again once something was not right, or another leads, before it moves.
#[test]
fn the_area_is_looked_at_again() {
    let not_right = Command::NotRight { raise: raise(), words: "a bench stands under it".into() };
    for (last, again) in [
        (P::LocksReleased, vec![("tech", not_right.clone())]),
        (P::AreaClear, vec![("tech", not_right.clone()), ("tech", not_right)]),
        (P::OffLocks, vec![("tech-two", Command::TakeOver { raise: raise() })]),
    ] {
        let mut world = begun();
        world.until("tech", last);
        for (by, command) in &again {
            world.must(by, command);
        }
        let by = again[0].0;
        let left = world.progress().ahead.clone();
        assert_eq!(
            (left[0], left.iter().filter(|p| **p == P::AreaClear).count()),
            (P::AreaClear, 1),
            "{left:?}"
        );
        assert!(matches!(world.refused(by, &confirm(P::FullyDown, None))[..], [Refusal::NotNext { .. }]));
        world.until(by, P::DrivenOff);
        assert!(world.shop.raises.is_empty());
    }
}

/// A raise that was begun, and whose vehicle is not up yet, asks for a lift that may be used that day.
#[test]
fn what_was_begun_goes_up_on_a_fit_lift_alone() {
    let mut world = begun();
    world.until("tech", P::ArmLocksEngaged);
    world.at = at("2026-03-03T08:00:00Z");
    let unchecked = Refusal::LiftUnfit(lift("north-bay"), vec![Why::NotChecked(day("2026-03-03"))]);
    assert_eq!(world.refused("tech", &confirm(P::TestRaised, None)), [unchecked]);
    world.must("tech", &check());
    world.until("tech", P::OnLocks);
    // Once it is up, the day alone holds nothing.
    world.at = at("2026-03-04T08:00:00Z");
    world.next("tech");
}

/// The clock is put right: what counts is still the later day, and the lift is checked on each day by the clock.
#[test]
fn while_the_clock_stands_behind_each_day_has_its_check() {
    let mut world = World::ready();
    world.at = at("2026-04-02T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.at = at("2026-03-05T08:00:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-05"))]);
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.at = at("2026-03-06T08:00:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-06"))]);
}

/// Left on the floor with a part off, it is planned as whole by nobody, and its lift is not offered to another.
#[test]
fn a_vehicle_that_is_not_whole_is_not_raised_as_whole() {
    let mut world = begun();
    world.must("lead", &enter("van"));
    world.until("tech", P::StepDone(0));
    world.must("tech", &Command::BringDown { raise: raise(), words: "closing time".into() });
    world.until("tech", P::LeftOnFloor);
    let whole = || Command::BeginRaise(other("hatchback", &[]));
    let words = "gearbox off; “gearbox on” done or half done";
    let state = Refusal::NotWhole(vehicle("hatchback"), raise(), words.into());
    assert!(world.refused("tech", &whole()).contains(&state));
    let holds = Refusal::LiftHolds(lift("north-bay"), vehicle("hatchback"), raise());
    assert!(world.refused("tech", &Command::BeginRaise(other("van", &[]))).contains(&holds));
    let back = Command::ReturnToService { lift: lift("north-bay"), words: "pushed off".into() };
    world.must("lead", &back);
    world.must("tech", &check());
    assert_eq!(world.refused("tech", &whole()), std::slice::from_ref(&state));
    // A job among whose states is the one that it is in may go on; broken off before that, nothing is known anew.
    world.must("tech", &Command::BeginRaise(plan()));
    world.must("lead", &Command::AbandonRaise { raise: RaiseNumber(2), words: "not today".into() });
    assert_eq!(world.refused("tech", &whole()), [state]);
    // Its file entered again says nothing of it; a person does, and it can be taken back.
    world.must("lead", &enter("hatchback"));
    assert!(world.refused("tech", &whole()).iter().any(|r| matches!(r, Refusal::NotWhole(..))));
    let say = Command::SayWhole { vehicle: vehicle("hatchback"), words: "gearbox fitted".into() };
    world.must("tech", &say);
    assert_eq!(world.refused("tech", &say), [Refusal::IsWhole(vehicle("hatchback"))]);
    let said = world.last("vehicle-whole");
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    assert!(world.refused("tech", &whole()).iter().any(|r| matches!(r, Refusal::NotWhole(..))));
    world.must("tech", &say);
    world.must("tech", &whole());
}

/// With a part that may be half off, with stands under it, or with events lost, it is not in any state that was planned.
#[test]
fn a_state_that_nobody_planned_is_no_beginning() {
    let refused = |world: &mut World, new: NewPlan| match world.act("tech", &Command::BeginRaise(new)) {
        Ok(_) => vec![],
        Err(why) => why.into_iter().filter(|r| matches!(r, Refusal::NotWhole(..))).collect(),
    };
    let left = |new: NewPlan, last: P| {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(new));
        world.until("tech", last);
        world.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
        while !world.shop.raises.is_empty() {
            world.next("tech");
        }
        let _ =
            world.act("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "clear".into() });
        world.must("tech", &check());
        world
    };
    // Half off: neither as whole, nor by a job that has it off or on alone.
    let mut world = left(plan(), P::OnLocks);
    for steps in [&[][..], &["wheel off", "wheel on"], &["wheel off", "gearbox off"]] {
        assert_eq!(refused(&mut world, other("hatchback", steps)).len(), 1, "{steps:?}");
    }
    assert_eq!(refused(&mut world, plan()), []);
    // On stands only: not raised without them.
    let on_stands = || NewPlan { outline: Outline { stands: Some((0, 2)), ..outline() }, ..plan() };
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(on_stands()));
    world.until("tech", P::StepDone(0));
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: "the road".into() });
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "clear".into() });
    world.must("tech", &check());
    assert_eq!(refused(&mut world, on_stands()).len(), 1);
    assert_eq!(refused(&mut world, plan()), []);
}

/// The vehicle of an abandoned raise still stands on the lift, and nowhere else.
#[test]
fn where_one_was_left_no_other_is_raised() {
    let mut world = begun();
    world.must("lead", &enter("van"));
    world.until("tech", P::PadsSeated);
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: "not today".into() });
    let holds = Refusal::LiftHolds(lift("north-bay"), vehicle("hatchback"), raise());
    assert_eq!(world.refused("tech", &Command::BeginRaise(other("van", &[]))), std::slice::from_ref(&holds));
    // Begun again, and given up before it was spotted, it stands there still.
    world.must("tech", &Command::BeginRaise(plan()));
    world.must("lead", &Command::AbandonRaise { raise: RaiseNumber(2), words: "nor then".into() });
    assert_eq!(world.refused("tech", &Command::BeginRaise(other("van", &[]))), [holds]);
}
