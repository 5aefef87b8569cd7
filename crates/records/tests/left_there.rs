//! What a raise leaves behind: on a lift, on a vehicle, and on another's screen.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use HoldPoint as P;
use common::left::*;
use common::*;
use records::*;

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
    let state = Refusal::NotWhole(vehicle("hatchback"), Some(raise()), words.into());
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

#[test]
fn abandoned_before_a_part_comes_off_it_may_be_off() {
    let mut world = begun();
    world.until("tech", P::OnLocks);
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: "the gearbox is off".into() });
    back_to_service(&mut world);
    assert_eq!(states(&mut world, other("hatchback", &[])), ["“gearbox off” done or half done"]);
    // Before the rest on the locks nobody was at it.
    let mut world = begun();
    world.until("tech", P::Raised);
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: "oil".into() });
    back_to_service(&mut world);
    assert_eq!(states(&mut world, other("hatchback", &[])), [""; 0]);
}

#[test]
fn whole_that_is_struck_out_holds_a_raise_under_way() {
    for last in [P::Spotted, P::ArmLocksEngaged, P::Shaken, P::Raised, P::OnLocks] {
        let mut world = left_without_gearbox();
        world.must("tech", &say_whole());
        let said = world.last("vehicle-whole");
        world.must("tech", &Command::BeginRaise(other("hatchback", &["wheel off", "wheel on"])));
        lead_on(&mut world, 2, last);
        world.must("tech", &Command::Correct { event: said, words: "still off".into() });
        let raise = RaiseNumber(2);
        let mut held = None;
        for _ in 0..9 {
            let point = world.shop.raises[&raise].progress.next().expect("a point");
            let judgement = Some(judged(&world.shop.raises[&raise].progress, true));
            let confirmed = Command::Confirm { raise, point, judgement, words: None, seen: None };
            if let Err(why) = world.act("tech", &confirmed) {
                held = Some((point, why));
                break;
            }
        }
        let (point, why) = held.expect("it is held up");
        let waits = world.shop.raises[&raise].progress.waits_for_service();
        assert!(waits && matches!(why[..], [Refusal::NotWhole(..)]), "{point}: {why:?}");
        let command = Command::Confirm { raise, point, judgement: None, words: None, seen: None };
        let written = refused(&world.shop, world.at, &Hand::alone(person("tech")), &command, &why);
        assert!(written.is_some(), "it stands in the book");
        // Said again it goes on, and down it goes anyhow: not driven off without its gearbox.
        let mut on = World { shop: world.shop.clone(), at: world.at, events: vec![] };
        on.must("tech", &say_whole());
        lead_on(&mut on, 2, P::DrivenOff);
        world.must("tech", &bring_down(2));
        lead_on(&mut world, 2, P::LeftOnFloor);
        assert!(!world.unfit().is_empty() && !states(&mut world, other("hatchback", &[])).is_empty());
    }
}

/// Also once the raise that went by it has ended.
#[test]
fn whole_that_is_struck_out_later_counts_no_more() {
    let mut world = left_without_gearbox();
    world.must("tech", &say_whole());
    let said = world.last("vehicle-whole");
    world.must("tech", &Command::BeginRaise(other("hatchback", &[])));
    lead_on(&mut world, 2, P::DrivenOff);
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    let state = "gearbox off; “gearbox on” done or half done";
    assert_eq!(states(&mut world, other("hatchback", &[])), [state]);
    // A job that had it off and on again is past that.
    let mut world = left_without_gearbox();
    world.must("tech", &say_whole());
    let said = world.last("vehicle-whole");
    world.must("tech", &Command::BeginRaise(plan()));
    lead_on(&mut world, 2, P::DrivenOff);
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    assert_eq!(states(&mut world, other("hatchback", &[])), [""; 0]);
}

/// Of what may be so and what is so besides, no plan has what both come to.
#[test]
fn two_states_are_in_no_plan() {
    let mut world = left_without_gearbox();
    world.must("tech", &say_whole());
    let said = world.last("vehicle-whole");
    let steps = ["wheel off", "tank off"];
    world.must("tech", &Command::BeginRaise(other("hatchback", &steps)));
    lead_on(&mut world, 2, P::StepDone(0));
    world.must("tech", &bring_down(2));
    lead_on(&mut world, 2, P::LeftOnFloor);
    back_to_service(&mut world);
    assert_eq!(states(&mut world, other("hatchback", &steps)), [""; 0]);
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    let all = ["gearbox off", "gearbox on", "wheel off", "tank off"];
    assert_eq!(states(&mut world, other("hatchback", &all)).len(), 2);
    world.must("tech", &say_whole());
    assert_eq!(states(&mut world, other("hatchback", &all)), [""; 0]);
}

#[test]
fn what_was_put_on_is_remembered() {
    let mut world = World::ready();
    let crates = || other("hatchback", &["crate on", "second crate on"]);
    world.must("tech", &Command::BeginRaise(crates()));
    world.until("tech", P::StepDone(0));
    let mut whole = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    whole.until("tech", P::DrivenOff);
    assert_eq!(states(&mut whole, other("hatchback", &[])), ["crate, second crate on"]);
    // With it among its states, and once it is off again or in the file.
    let off = ["crate on", "second crate on", "crate off", "second crate off"];
    assert_eq!(states(&mut whole, other("hatchback", &off)), [""; 0]);
    let mut off_again = World { shop: whole.shop.clone(), at: whole.at, events: vec![] };
    off_again.must("tech", &Command::BeginRaise(other("hatchback", &off)));
    lead_on(&mut off_again, 2, P::DrivenOff);
    assert_eq!(states(&mut off_again, other("hatchback", &[])), [""; 0]);
    whole.must("tech", &say_whole());
    assert_eq!(states(&mut whole, other("hatchback", &[])), [""; 0]);
    // Left midway.
    world.must("tech", &bring_down(1));
    world.until("tech", P::LeftOnFloor);
    back_to_service(&mut world);
    let state = "crate on; “second crate on” done or half done";
    assert_eq!(states(&mut world, other("hatchback", &[])), [state]);
    assert_eq!(states(&mut world, crates()), [""; 0]);
}

/// A part of the same name that is heavier, or elsewhere, is another one.
#[test]
fn a_part_is_known_by_its_mass_and_place() {
    let mut world = left_without_gearbox();
    let mut heavier = plan();
    heavier.outline.parts = vec!["150 kg".into(); 2];
    let state = "gearbox off; “gearbox on” done or half done";
    assert_eq!(states(&mut world, heavier.clone()), [state]);
    assert_eq!(states(&mut world, plan()), [""; 0]);
    // What comes off heavier than what goes on leaves it otherwise than before.
    let mut world = World::ready();
    heavier.outline.parts[1] = "10 kg".into();
    world.must("tech", &Command::BeginRaise(heavier));
    world.until("tech", P::DrivenOff);
    assert_eq!(states(&mut world, other("hatchback", &[])), ["gearbox off; gearbox on"]);
    // A plan says it of every step.
    let mut unsaid = plan();
    unsaid.outline.parts.clear();
    assert!(world.refused("tech", &Command::BeginRaise(unsaid)).contains(&Refusal::OutlineUnsound));
}

#[test]
fn found_without_a_part_and_brought_down_it_is_not_driven_off() {
    for (last, down) in [(P::PadsSeated, 1), (P::Shaken, 3), (P::OnLocks, 5), (P::StepDone(0), 5)] {
        let mut world = left_without_gearbox();
        world.must("tech", &Command::BeginRaise(plan()));
        lead_on(&mut world, 2, last);
        let progress = |world: &World| world.shop.raises[&RaiseNumber(2)].progress.clone();
        let mut ended = World { shop: world.shop.clone(), at: world.at, events: vec![] };
        lead_on(&mut ended, 2, P::DrivenOff);
        assert!(ended.unfit().is_empty() && states(&mut ended, other("hatchback", &[])).is_empty());
        world.must("tech", &bring_down(2));
        let told = progress(&world).unfinished().expect("it is told");
        assert_eq!(told, "gearbox off; “gearbox on” done or half done");
        assert_eq!(
            (progress(&world).ahead.last(), progress(&world).ahead.len()),
            (Some(&P::LeftOnFloor), down)
        );
        lead_on(&mut world, 2, P::LeftOnFloor);
        assert!(matches!(&world.unfit()[..], [Why::Tagged(words)] if words.contains("gearbox off")));
        assert_eq!(states(&mut world, other("hatchback", &[])).len(), 1);
    }
}

#[test]
fn a_return_that_is_struck_out_leaves_there_what_was_there() {
    let mut world = begun();
    world.must("lead", &enter("van"));
    world.until("tech", P::Spotted);
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: "not today".into() });
    let returned = back_to_service(&mut world);
    let (bay, long) = (lift("north-bay"), lift("long-bay"));
    let sheet = LiftSheet { lift: long.clone(), ..sheet() };
    world.must("lead", &Command::EnterLift { sheet, file: Document::new("the lift's file") });
    let elsewhere = || NewPlan { lift: lift("long-bay"), ..plan() };
    let strike = |event| Command::Correct { event, words: "it stands there still".into() };
    let mut struck = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    struck.must("lead", &strike(returned));
    let stands = Refusal::StandsElsewhere(vehicle("hatchback"), bay.clone(), raise());
    assert!(struck.refused("tech", &Command::BeginRaise(elsewhere())).contains(&stands));
    let holds = Refusal::LiftHolds(bay, vehicle("hatchback"), raise());
    assert!(struck.refused("tech", &Command::BeginRaise(other("van", &[]))).contains(&holds));
    // Where another was spotted since, it is gone.
    world.must("tech", &Command::BeginRaise(other("van", &[])));
    lead_on(&mut world, 2, P::Spotted);
    world.must("lead", &strike(returned));
    assert_eq!(world.shop.lifts[&lift("north-bay")].left, None);
    assert!(!world.refused("tech", &Command::BeginRaise(elsewhere())).contains(&stands));
    let readied = Command::Confirm {
        raise: RaiseNumber(2),
        point: P::PadsSeated,
        judgement: None,
        words: None,
        seen: None,
    };
    assert!(world.refused("tech", &readied).iter().any(|why| matches!(why, Refusal::LiftUnfit(..))));
}

#[test]
fn a_salvaged_book_knows_no_vehicle_whole() {
    let mut world = World::ready();
    world.must("lead", &enter("van"));
    let (intact, rest) = (world.shop.head, Digest::of(""));
    let vehicles = [vehicle("hatchback"), vehicle("lost-one")].into();
    world.put("lead", Fact::Salvaged { intact, others: 0, rest, vehicles });
    back_to_service_after_salvage(&mut world);
    let state = "parts off or on that the book may not know of";
    assert_eq!(states(&mut world, plan()), [state]);
    assert_eq!(states(&mut world, other("van", &[])), [""; 0], "it came later");
    world.must("tech", &say_whole());
    let said = world.last("vehicle-whole");
    assert_eq!(states(&mut world, plan()), [""; 0]);
    world.must("tech", &Command::BeginRaise(plan()));
    lead_on(&mut world, 1, P::DrivenOff);
    world.must("tech", &Command::Correct { event: said, words: "another one".into() });
    assert_eq!(states(&mut world, plan()), [state]);
}

/// As the making of such a book tags every lift.
fn back_to_service_after_salvage(world: &mut World) {
    world.must("lead", &Command::TagOut { lift: lift("north-bay"), words: "salvaged".into() });
    back_to_service(world);
}

/// Onto its locks it moves down as well.
#[test]
fn nobody_is_under_it_when_it_goes_onto_its_locks() {
    let later = vec![LaterLock { after: 0, lock: 3 }];
    let outline = Outline { later, ..outline() };
    let not_right = Command::NotRight { raise: raise(), words: "a bench stands under it".into() };
    let over = Command::TakeOver { raise: raise() };
    for (by, command) in [("tech", not_right), ("tech-two", over)] {
        for last in [P::Raised, P::HeightReached(0)] {
            let mut world = World::ready();
            world.must("tech", &Command::BeginRaise(NewPlan { outline: outline.clone(), ..plan() }));
            world.until("tech", last);
            world.must(by, &command);
            assert_eq!(world.progress().ahead[..2], [P::AreaClear, P::OnLocks]);
            assert!(world.progress().is_going_up(), "a lock may have been missed");
            world.next(by);
            assert!(!world.progress().going_down, "the work is not done");
            world.until(by, P::DrivenOff);
        }
    }
    // Nor where no part comes off: it may be worked at on its locks, and seated again.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(other("hatchback", &[])));
    world.until("tech", P::Raised);
    world.must("tech-two", &Command::TakeOver { raise: raise() });
    world.next("tech-two");
    world.must("tech-two", &Command::Upset { raise: raise(), sign: Sign::Noise, words: "bang".into() });
    assert!(world.progress().is_to_be_seated_again());
}

/// A program that wrote no masses down compared names: what it ended is ended, and what it left is in no newer plan.
#[test]
fn what_an_older_program_left_is_in_no_new_plan() {
    let mut world = World::ready();
    let raise_by_older = |world: &mut World, number: u64, points: &[P]| {
        let new = NewPlan { outline: Outline { parts: vec![], ..outline() }, ..plan() };
        let inputs = new.inputs.into_iter().map(|(what, text)| (what, text.digest())).collect();
        let NewPlan { lift, vehicle, job, program, may_be_raised, outline, answer, .. } = new;
        let (answer, other_limits_of) = (answer.digest(), None);
        let plan =
            KeptPlan { lift, vehicle, job, program, may_be_raised, inputs, answer, outline, other_limits_of };
        let raise = RaiseNumber(number);
        world.put("tech", Fact::RaiseBegun { raise, plan });
        for point in points {
            world.put("tech", Fact::PointConfirmed { raise, point: *point, judged: None, words: None });
        }
    };
    raise_by_older(&mut world, 1, &[P::Spotted, P::StepDone(0), P::LeftOnFloor]);
    assert_eq!(states(&mut world, plan()), ["gearbox off"]);
    raise_by_older(&mut world, 2, &[P::Spotted, P::StepDone(0), P::StepDone(1), P::DrivenOff]);
    assert_eq!(states(&mut world, plan()), [""; 0]);
    raise_by_older(&mut world, 3, &[P::Spotted, P::StepDone(0), P::LeftOnFloor]);
    world.must("tech", &say_whole());
    assert_eq!(states(&mut world, plan()), [""; 0]);
}
