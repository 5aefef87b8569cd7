//! Who may begin, lead, take over and end a raise, and on which lift.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use HoldPoint as P;
use common::*;
use records::*;

fn raise() -> RaiseNumber {
    RaiseNumber(1)
}

#[test]
fn it_begins_on_a_fit_lift_with_the_plan_of_today() {
    let mut world = World::ready();
    let facts = world.must("tech", &Command::BeginRaise(plan()));
    let Fact::RaiseBegun { raise, plan: kept } = &facts[0] else { panic!("{facts:?}") };
    assert_eq!((*raise, kept.answer), (RaiseNumber(1), plan().answer.digest()));
    assert_eq!(world.shop.raises[raise].leader, person("tech"));
}

#[test]
fn all_that_forbids_it_is_said_at_once() {
    let mut world = World::ready();
    world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "oil".into() });
    world.must("lead", &Command::WithdrawAuthorisation { person: person("tech"), words: "leave".into() });
    let mut wrong = plan();
    wrong.may_be_raised = false;
    wrong.inputs.insert("lift".into(), Document::new("an older file"));
    wrong.inputs.remove("vehicle");
    wrong.outline.stands = Some((2, 1));
    let why = world.refused("tech", &Command::BeginRaise(wrong));
    assert_eq!(
        why,
        [
            Refusal::NotAuthorised(person("tech")),
            Refusal::OutlineUnsound,
            Refusal::PlanForbids,
            Refusal::PlanOutOfDate("lift"),
            Refusal::LiftUnfit(lift("north-bay"), vec![Why::Tagged("oil".into())]),
            Refusal::PlanOutOfDate("vehicle"),
        ]
    );
    let sentences: Vec<String> = why.iter().map(ToString::to_string).collect();
    assert!(sentences.iter().all(|s| s.ends_with('.')), "{sentences:?}");
}

/// Where the shop has limits of its own, a raise goes by those and by no others.
#[test]
fn a_raise_goes_by_the_shops_limits() {
    let mut world = World::ready();
    let planned_with = |limits: &str| {
        let mut plan = plan();
        plan.inputs.insert("limits".into(), Document::new(limits));
        Command::BeginRaise(plan)
    };
    let enter = |text: &str| Command::EnterLimits { file: Document::new(text) };
    assert_eq!(
        world.refused("tech", &enter("wide")),
        [Refusal::RoleMayNot(person("tech"), Role::Technician, Act::RunShop)]
    );
    world.must("lead", &enter("narrow"));
    world.must("lead", &enter("wide"));
    assert_eq!(world.shop.limits, Some(Digest::of("wide")));
    let out_of_date = [Refusal::PlanOutOfDate("limits")];
    assert_eq!(world.refused("tech", &Command::BeginRaise(plan())), out_of_date);
    assert_eq!(world.refused("tech", &planned_with("narrow")), out_of_date);
    world.must("tech", &planned_with("wide"));
    // Changed while it is under way, it goes no higher.
    world.until("tech", P::ArmLocksEngaged);
    world.must("lead", &enter("narrow"));
    let why = world.refused("tech", &confirm(P::TestRaised, None));
    assert_eq!(why, [Refusal::FileChanged("limits")]);
}

/// Where it has none, nobody loosens them for a raise who may not loosen them for the shop; and it is known whose they are.
#[test]
fn a_raise_by_limits_that_the_shop_has_not_entered_is_the_leads() {
    let mut world = World::ready();
    let mut loose = plan();
    loose.inputs.insert("limits".into(), Document::new("loose"));
    for (by, role) in [("tech", Role::Technician), ("teach", Role::Instructor)] {
        let why = world.refused(by, &Command::BeginRaise(loose.clone()));
        assert_eq!(why, [Refusal::OtherLimits(person(by), role)]);
    }
    let by_learner = world.with("learn", Some("lead"), &Command::BeginRaise(loose.clone()));
    assert_eq!(by_learner, Err(vec![Refusal::OtherLimits(person("learn"), Role::Learner)]));
    world.must("tech", &Command::KeepPlan(loose.clone()));
    world.must("lead", &Command::BeginRaise(loose.clone()));
    let whose = &world.shop.raises[&raise()].plan.other_limits_of;
    assert_eq!(*whose, Some(person("lead")));
    // Entered, they are the shop's.
    let mut world = World::ready();
    world.must("lead", &Command::EnterLimits { file: Document::new("loose") });
    world.must("tech", &Command::BeginRaise(loose));
    assert_eq!(world.shop.raises[&raise()].plan.other_limits_of, None);
}

/// Whatever was mended on it meanwhile was tried by nobody.
#[test]
fn a_lift_that_was_returned_in_the_middle_of_a_raise_goes_up_once_it_is_checked() {
    for goes_up in [P::TestRaised, P::Raised] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        while world.progress().next() != Some(goes_up) {
            world.next("tech");
        }
        world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "a drip".into() });
        world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "wiped".into() });
        for (now, day) in [(MORNING, day("2026-03-02")), ("2026-03-03T08:00:00Z", day("2026-03-03"))] {
            world.at = at(now);
            let unchecked = vec![Why::NotCheckedSinceReturned(day)];
            let held = [Refusal::LiftUnfit(lift("north-bay"), unchecked)];
            assert_eq!(world.refused("tech", &confirm(goes_up, None)), held, "{goes_up}");
        }
        let mut comes_down = World { shop: world.shop.clone(), at: world.at, events: world.events.clone() };
        comes_down.must("tech", &Command::BringDown { raise: raise(), words: "let us look".into() });
        comes_down.until("tech", P::DrivenOff);
        world.must("tech", &check());
        world.must("tech", &confirm(goes_up, None));
    }
}

/// A plan is made with what was measured; what was measured since, or struck out, was not looked at.
#[test]
fn what_was_measured_since_the_plan_holds_up_the_beginning() {
    let mut world = World::ready();
    let measure = |what: &str| {
        Command::Measure(Measurement {
            vehicle: vehicle("hatchback"),
            what: what.into(),
            value: "2.6 m".into(),
            how: "tape".into(),
        })
    };
    let with = |measured: &[Seq]| {
        Command::BeginRaise(NewPlan { measured: measured.iter().copied().collect(), ..plan() })
    };
    let since = [Refusal::MeasuredSince(vehicle("hatchback"))];
    let measured = |world: &mut World, what: &str| {
        world.must("tech", &measure(what));
        world.last("vehicle-measured")
    };
    let base = measured(&mut world, "wheelbase");
    assert_eq!(world.refused("tech", &with(&[])), since);
    let roof = measured(&mut world, "outline.roof");
    assert_eq!(world.refused("tech", &with(&[base])), since);
    // The newest of each value counts.
    let again = measured(&mut world, "wheelbase");
    assert_eq!(world.refused("tech", &with(&[base, roof])), since);
    let mut begun = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    begun.must("tech", &with(&[roof, again]));
    // Struck out, the one before counts again.
    world.must("tech", &Command::Correct { event: again, words: "misread".into() });
    assert_eq!(world.refused("tech", &with(&[roof, again])), since);
    let mut begun = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    begun.must("tech", &with(&[base, roof]));
    // Another file says it all anew; the same file again changes nothing.
    let enter = |text: &str| Command::EnterVehicle {
        vehicle: vehicle("hatchback"),
        description: "light hatchback".into(),
        file: Document::new(text),
    };
    world.must("tech", &enter("the vehicle's file"));
    assert_eq!(world.refused("tech", &with(&[])), since);
    world.must("tech", &enter("another file"));
    world.must("tech", &enter("the vehicle's file"));
    world.must("tech", &with(&[]));
}

#[test]
fn unknown_lifts_and_vehicles_are_named() {
    let mut world = World::ready();
    let wrong = NewPlan { lift: lift("south-bay"), vehicle: vehicle("van"), ..plan() };
    let why = world.refused("tech", &Command::BeginRaise(wrong));
    assert_eq!(why, [Refusal::UnknownLift(lift("south-bay")), Refusal::UnknownVehicle(vehicle("van"))]);
}

#[test]
fn one_raise_a_lift_and_one_a_vehicle() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    let why = world.refused("tech-two", &Command::BeginRaise(plan()));
    assert_eq!(
        why,
        [Refusal::LiftBusy(lift("north-bay"), raise()), Refusal::VehicleBusy(vehicle("hatchback"), raise())]
    );
    world.until("tech", P::DrivenOff);
    world.must("tech-two", &Command::BeginRaise(plan()));
    assert_eq!(world.shop.raises.keys().copied().collect::<Vec<_>>(), [RaiseNumber(2)]);
}

#[test]
fn only_its_leader_confirms_until_somebody_takes_it_over() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.next("tech");
    let next = confirm(P::PadsSeated, None);
    assert_eq!(world.refused("tech-two", &next), [Refusal::NotLeader(raise(), person("tech"))]);
    // Who may not lead one is not told to take it over.
    let why = world.refused("exam", &next);
    assert_eq!(why[1..], [Refusal::LedByAnother(raise(), person("tech"))]);
    assert!(!why[1].to_string().contains("take it over first"));
    let over = Command::TakeOver { raise: raise() };
    assert_eq!(world.refused("tech", &over), [Refusal::LeadsAlready(raise())]);
    let facts = world.must("tech-two", &over);
    assert_eq!(facts, [Fact::TakenOver { raise: raise(), from: person("tech") }]);
    assert_eq!(world.refused("tech", &next), [Refusal::NotLeader(raise(), person("tech-two"))]);
    world.must("tech-two", &next);
}

#[test]
fn taking_over_asks_for_instruction_and_authorisation() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.must("lead", &Command::AdmitPerson(admission("new", Role::Technician)));
    let why = world.refused("new", &Command::TakeOver { raise: raise() });
    assert_eq!(why, [Refusal::NotInstructed(person("new")), Refusal::NotAuthorised(person("new"))]);
}

#[test]
fn a_learner_leads_with_a_second_person_at_every_point() {
    let mut world = World::ready();
    world.with("learn", Some("tech"), &Command::BeginRaise(plan())).expect("with a second person");
    while let Some(point) = world.shop.raises.get(&raise()).and_then(|r| r.progress.next()) {
        let judged = world.progress().asks_for_judgement().then(|| judged(world.progress(), true));
        let command = confirm(point, judged);
        if world.progress().is_left_to_whoever_leads() {
            world.must("learn", &command);
            continue;
        }
        assert_eq!(world.refused("learn", &command), [Refusal::SecondNeeded(Act::Raise)]);
        world.with("learn", Some("teach"), &command).expect("with a second person");
    }
}

/// Once it rests on its locks people go to it, also where nothing is left of the job but the way down.
#[test]
fn a_learner_alone_releases_nothing_for_work() {
    let mut world = World::ready();
    let plan = NewPlan { outline: led(&[]), ..plan() };
    world.with("learn", Some("tech"), &Command::BeginRaise(plan)).expect("with a second person");
    while world.progress().next() != Some(P::OnLocks) {
        let point = world.progress().next().expect("a point");
        world.with("learn", Some("tech"), &confirm(point, None)).expect("confirmed");
    }
    let rests = confirm(P::OnLocks, None);
    assert_eq!(world.refused("learn", &rests), [Refusal::SecondNeeded(Act::Raise)]);
    world.with("learn", Some("tech"), &rests).expect("confirmed");
    world.until("learn", P::DrivenOff);
}

/// Whoever stood beside is gone: up it does not go, down it does.
#[test]
fn a_learner_left_alone_comes_down() {
    for last in [P::TestRaised, P::Raised, P::OnLocks, P::StepDone(0)] {
        let mut world = World::ready();
        world.with("learn", Some("tech"), &Command::BeginRaise(plan())).expect("with a second person");
        loop {
            let point = world.progress().next().expect("a point");
            let judged = world.progress().asks_for_judgement().then(|| judged(world.progress(), true));
            world.with("learn", Some("tech"), &confirm(point, judged)).expect("confirmed");
            if point == last {
                break;
            }
        }
        world.must("learn", &Command::BringDown { raise: raise(), words: "alone".into() });
        let end = if world.progress().unfinished().is_some() { P::LeftOnFloor } else { P::DrivenOff };
        world.until("learn", end);
    }
}

#[test]
fn somebody_who_stops_being_authorised_goes_no_higher_but_comes_down() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::PadRechecked(3));
    world.must("lead", &Command::WithdrawAuthorisation { person: person("tech"), words: "leave".into() });
    assert_eq!(world.refused("tech", &confirm(P::Raised, None)), [Refusal::NotAuthorised(person("tech"))]);
    world.must("tech", &Command::BringDown { raise: raise(), words: "told to".into() });
    world.until("tech", P::DrivenOff);
}

/// What goes up, or takes a part off, is held; the way down is not.
#[test]
fn a_part_comes_off_only_while_lift_and_leader_are_right() {
    let bay = || lift("north-bay");
    let wrongs: [(&str, Command); 3] = [
        ("learn", Command::ReportDefect { lift: bay(), words: "oil".into(), stops_use: true }),
        ("learn", Command::TagOut { lift: bay(), words: "oil".into() }),
        ("lead", Command::WithdrawAuthorisation { person: person("tech"), words: "leave".into() }),
    ];
    for (by, wrong) in wrongs {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", P::OnLocks);
        world.must(by, &wrong);
        let why = world.refused("tech", &confirm(P::StepDone(0), Some(judgement(true))));
        assert!(matches!(&why[..], [Refusal::LiftUnfit(..) | Refusal::NotAuthorised(_)]), "{why:?}");
        // That it is off already is no work: whoever leads it says so, whatever the check says.
        let already = |passes| Command::Confirm {
            raise: raise(),
            point: P::StepDone(0),
            judgement: Some(judgement(passes)),
            words: Some("off before it leaked".into()),
            seen: None,
        };
        let mut off = World { shop: world.shop.clone(), at: world.at, events: vec![] };
        if matches!(&why[..], [Refusal::LiftUnfit(..)]) {
            off.must("tech", &already(false));
            assert_eq!(off.progress().steps_done, 1);
        } else {
            off.refused("tech", &already(true));
        }
        world.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
        world.until("tech", P::LeftOnFloor);
    }
    // In service, what fails is refused with words as well.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::OnLocks);
    let words = Some("off".to_owned());
    let judgement = Some(judgement(false));
    let said = Command::Confirm { raise: raise(), point: P::StepDone(0), judgement, words, seen: None };
    assert_eq!(world.refused("tech", &said), [Refusal::JudgementFails(P::StepDone(0))]);
    // To another height it does not leave its locks either.
    let later = vec![LaterLock { after: 0, lock: 9 }];
    let mut world = World::ready();
    let outline = Outline { later, ..outline() };
    world.must("tech", &Command::BeginRaise(NewPlan { outline, ..plan() }));
    world.until("tech", P::OnLocks);
    world.next("tech");
    world.must("learn", &Command::TagOut { lift: bay(), words: "oil".into() });
    let why = world.refused("tech", &confirm(P::OffLocks, None));
    assert!(matches!(&why[..], [Refusal::LiftUnfit(..)]), "{why:?}");
    // Stands that hold it: the part that must be on again before it comes down goes on.
    let outline = Outline { stands: Some((1, 3)), ..led(&["axle off", "tank off", "axle on"]) };
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(NewPlan { outline, ..plan() }));
    world.until("tech", P::StepDone(1));
    world.must("learn", &Command::TagOut { lift: bay(), words: "oil".into() });
    world.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
    world.until("tech", P::DrivenOff);
}

#[test]
fn another_file_holds_a_raise_where_it_goes_on() {
    let new_lift = || Command::EnterLift { sheet: sheet(), file: Document::new("rated 4500 kg") };
    let new_vehicle = || Command::EnterVehicle {
        vehicle: vehicle("hatchback"),
        description: "with a trailer coupling".into(),
        file: Document::new("another file"),
    };
    for (what, by, command) in [("lift", "lead", new_lift()), ("vehicle", "tech", new_vehicle())] {
        for last in [P::ArmLocksEngaged, P::PadRechecked(3)] {
            let mut world = World::ready();
            world.must("tech", &Command::BeginRaise(plan()));
            world.until("tech", last);
            world.must(by, &command);
            let next = world.progress().next().expect("a point");
            let why = world.refused("tech", &confirm(next, None));
            assert!(why.contains(&Refusal::FileChanged(what)), "{why:?}");
            world.must("tech", &Command::BringDown { raise: raise(), words: "plan again".into() });
            world.until("tech", P::DrivenOff);
        }
    }
    // No part comes off by it; that one is off already is written down.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::OnLocks);
    world.must("tech", &new_vehicle());
    let (point, judgement) = (P::StepDone(0), Some(judged(world.progress(), true)));
    let step =
        |words| Command::Confirm { raise: raise(), point, judgement: judgement.clone(), words, seen: None };
    assert_eq!(world.refused("tech", &step(None)), [Refusal::FileChanged("vehicle")]);
    world.must("tech", &step(Some("it is off".into())));
    // The same file once more changes nothing.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::ArmLocksEngaged);
    world.must("lead", &Command::EnterLift { sheet: sheet(), file: Document::new("the lift's file") });
    world.until("tech", P::DrivenOff);
}

#[test]
fn measured_anew_it_is_checked_before_it_goes_up() {
    for (last, next) in [
        (P::ArmLocksEngaged, P::TestRaised),
        (P::TestRaised, P::Shaken),
        (P::PadRechecked(0), P::PadRechecked(3)),
        (P::PadRechecked(3), P::Raised),
    ] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", last);
        world.must("tech", &weighed("hatchback"));
        assert_eq!(world.refused("tech", &confirm(next, None)), [Refusal::JudgementMissing(next)]);
        let fails = judged(world.progress(), false);
        let fails = world.refused("tech", &confirm(next, Some(fails)));
        assert_eq!(fails, [Refusal::JudgementFails(next)]);
        let measured = world.last("vehicle-measured");
        let passes = judged(world.progress(), true);
        world.must("tech", &confirm(next, Some(passes)));
        assert!(!world.progress().asks_for_judgement(), "once checked it goes on");
        // Struck out, it is checked again: by what counts then.
        world.must("tech", &Command::Correct { event: measured, words: "another vehicle".into() });
        assert!(world.progress().in_doubt());
        world.until("tech", P::DrivenOff);
    }
    let mut world = World::ready();
    let van = Document::new("the van's file");
    world.must(
        "tech",
        &Command::EnterVehicle { vehicle: vehicle("van"), description: "a van".into(), file: van },
    );
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::ArmLocksEngaged);
    world.must("tech", &weighed("van"));
    world.must("tech", &confirm(P::TestRaised, None));
}

/// A check says nothing of what was measured, or struck out, while it was computed: not where it was asked for, nor where
/// somebody measured how the vehicle stands.
#[test]
fn a_check_knows_nothing_of_what_was_measured_since() {
    let measure = || {
        Command::Measure(Measurement {
            vehicle: vehicle("hatchback"),
            what: "weight.total".into(),
            value: "3400 kg".into(),
            how: "scale".into(),
        })
    };
    for next in [P::Spotted, P::PadsSeated, P::TestRaised, P::Raised, P::StepDone(0)] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        while world.progress().next() != Some(next) {
            world.next("tech");
        }
        let before = judged(world.progress(), true);
        let shown = world.shop.raises[&raise()].seen();
        world.must("lead", &measure());
        let since = [Refusal::CheckedBefore(vehicle("hatchback"))];
        assert_eq!(world.refused("tech", &confirm(next, Some(before))), since, "{next}");
        assert!(world.progress().in_doubt());
        // Nor does what was shown before.
        let mut old = confirm(next, Some(judged(world.progress(), true)));
        if let Command::Confirm { seen, .. } = &mut old {
            *seen = Some(shown);
        }
        assert_eq!(world.refused("tech", &old), [Refusal::WentOn(raise())], "{next}");
        // Nor is it the vehicle that fails: that is not written down.
        let fails = confirm(next, Some(judgement(false)));
        let why = world.refused("tech", &fails);
        assert_eq!(refused(&world.shop, world.at, &Hand::alone(person("tech")), &fails, &why), None);
        let before = judged(world.progress(), true);
        let measured = world.last("vehicle-measured");
        world.must("lead", &Command::Correct { event: measured, words: "another vehicle".into() });
        assert_eq!(world.refused("tech", &confirm(next, Some(before))), since, "{next}");
        let now = judged(world.progress(), true);
        world.must("tech", &confirm(next, Some(now)));
        assert!(!world.progress().in_doubt());
    }
}

#[test]
fn an_abandoned_raise_leaves_a_lift_that_held_it_out_of_service() {
    for (last, tagged) in
        [(P::PadsSeated, false), (P::ArmLocksEngaged, true), (P::TestRaised, true), (P::OnLocks, true)]
    {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", last);
        world.must("lead", &Command::AbandonRaise { raise: raise(), words: "it slipped".into() });
        assert!(world.shop.raises.is_empty());
        assert_eq!(!world.unfit().is_empty(), tagged, "after {last}");
        let left = |world: &World| world.shop.lifts[&lift("north-bay")].left.clone();
        let there = Left { raise: raise(), vehicle: vehicle("hatchback"), on_stands: false };
        assert_eq!(left(&world), Some(there));
        world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "clear".into() });
        assert_eq!(left(&world), None);
    }
    // On the floor as well, where it lacks a part.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::StepDone(0));
    world.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
    world.until("tech", P::FullyDown);
    let facts =
        world.must("lead", &Command::AbandonRaise { raise: raise(), words: "the shop is closed".into() });
    let state = "gearbox off; “gearbox on” may be done or half done";
    let words = format!("raise 1 was abandoned, hatchback left {state}: the shop is closed");
    assert_eq!(facts[1], Fact::TaggedOut { lift: lift("north-bay"), words });
}

#[test]
fn an_incident_is_about_what_exists() {
    let mut world = World::ready();
    let incident = |lift, raise| Command::ReportIncident { lift, raise, words: "a scratch".into() };
    let why = world.refused("learn", &incident(Some(lift("south-bay")), Some(raise())));
    assert_eq!(why, [Refusal::UnknownLift(lift("south-bay")), Refusal::NoSuchRaise(raise())]);
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::DrivenOff);
    let facts = world.must("learn", &incident(None, Some(raise())));
    assert!(matches!(facts[0], Fact::IncidentReported { number: IncidentNumber(1), .. }));
}

#[test]
fn a_correction_takes_away_what_the_event_gave_and_nothing_else() {
    let mut world = World::ready();
    let next = |world: &World| Seq(world.shop.head.seq.0 + 1);
    let strike = |event| Command::Correct { event, words: "wrong".into() };

    let checked = next(&world);
    world.at = at("2026-03-03T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.must("tech", &strike(checked));
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-03"))]);
    assert_eq!(world.refused("tech", &strike(checked)), [Refusal::AlreadyCorrected(checked)]);
    let beyond = next(&world);
    assert_eq!(world.refused("tech", &strike(beyond)), [Refusal::NoSuchEvent(beyond)]);
    assert_eq!(world.refused("tech", &strike(Seq(0))), [Refusal::NoSuchEvent(Seq(0))]);

    world.must("tech", &check());
    let examined = next(&world);
    world.must("exam", &examination("2026-03-01"));
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    assert_eq!(due_days(&world.shop, &lift("north-bay"), world.at)[0].1, Some(day("2027-03-01")));
    world.must("exam", &strike(examined));
    assert_eq!(
        due_days(&world.shop, &lift("north-bay"), world.at)[0].1,
        Some(day("2027-02-01")),
        "the one before counts"
    );

    // One that is fit may be the one by which the lift may not be used much longer.
    let sooner = next(&world);
    let report = Report { next_due: Some(day("2026-03-02")), ..report("2026-03-01", true) };
    world.must("exam", &Command::ReportExamination { report, paper: None });
    for (by, role) in [("tech", Role::Technician), ("lead", Role::Lead)] {
        let may_not = Refusal::RoleMayNot(person(by), role, Act::Examine);
        assert_eq!(world.refused(by, &strike(sooner)), [may_not]);
    }
    let second = world.with("learn", Some("tech"), &strike(sooner));
    assert!(
        second.is_err_and(|why| why == [Refusal::RoleMayNot(person("learn"), Role::Learner, Act::Examine)])
    );
    world.must("exam", &strike(sooner));

    let instructed = next(&world);
    world.must("lead", &Command::AdmitPerson(admission("new", Role::Technician)));
    world.must("lead", &instruction("new", "2026-03-02"));
    world.must("lead", &authorisation("new"));
    world.must("lead", &strike(Seq(instructed.0 + 1)));
    world.must("lead", &strike(Seq(instructed.0 + 2)));
    let why = world.refused("new", &check());
    assert_eq!(why, [Refusal::NotInstructed(person("new")), Refusal::NotAuthorised(person("new"))]);
}

#[test]
fn words_are_never_blank() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    let blank = || " \n".to_owned();
    let bay = || lift("north-bay");
    for command in [
        Command::AlterLift { lift: bay(), words: blank() },
        Command::ReportDefect { lift: bay(), words: blank(), stops_use: true },
        Command::TagOut { lift: bay(), words: blank() },
        Command::Upset { raise: raise(), sign: Sign::Moved, words: blank() },
        Command::AbandonRaise { raise: raise(), words: blank() },
        Command::BringDown { raise: raise(), words: blank() },
        Command::ReportIncident { lift: None, raise: None, words: blank() },
        Command::Correct { event: Seq(9), words: blank() },
        Command::AdmitPerson(Admission { name: blank(), ..admission("new", Role::Learner) }),
        Command::WithdrawAuthorisation { person: person("tech"), words: blank() },
        Command::EnterLift { sheet: LiftSheet { serial: blank(), ..sheet() }, file: Document::new("file") },
    ] {
        let why = if command.act() == Act::StopRaise {
            world.refused("tech", &command)
        } else {
            let by = if command.act() == Act::Raise { "tech" } else { "lead" };
            world.refused(by, &command)
        };
        assert!(matches!(&why[..], [Refusal::Blank(_), ..]), "{command:?}: {why:?}");
    }
    let zero = Command::EnterLift { sheet: sheet(), file: Document::new("a\0b") };
    assert_eq!(world.refused("lead", &zero), [Refusal::NotText]);
}

/// Each is struck out with its effect, or refused with the way that there is instead.
#[test]
fn what_is_struck_out_goes_back_to_what_it_was() {
    let bay = || lift("north-bay");
    let strike = |event| Command::Correct { event, words: "wrong".into() };
    let strike_last = |world: &mut World, kind: &str| {
        let event = world.last(kind);
        world.must("lead", &strike(event));
    };

    let mut world = World::ready();
    strike_last(&mut world, "examination-confirmed");
    assert!(world.unfit().contains(&Why::NotConfirmed(ExaminationNumber(1))), "{:?}", world.unfit());

    let mut world = World::ready();
    let defect = || Command::ReportDefect { lift: bay(), words: "oil".into(), stops_use: true };
    let repair =
        || Command::ReportRepair { number: DefectNumber(1), words: "seal".into(), bears_load: false };
    let back = || Command::ReturnToService { lift: bay(), words: "tried".into() };
    world.must("tech", &defect());
    world.must("tech", &repair());
    strike_last(&mut world, "defect-repaired");
    assert_eq!(world.refused("lead", &back()), [Refusal::NotRepaired(vec![DefectNumber(1)])]);
    world.must("tech", &repair());
    world.must("lead", &back());
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    let repaired = world.last("defect-repaired");
    let why = world.refused("tech", &strike(repaired));
    assert!(matches!(why[..], [Refusal::NotStruckOut(_, way)] if way.contains("enter defect")), "{why:?}");
    strike_last(&mut world, "returned-to-service");
    assert!(matches!(
        &world.unfit()[..],
        [Why::Tagged(_), Why::NotCheckedSinceReturned(_)] | [Why::Tagged(_)]
    ));

    let mut world = World::ready();
    world.must("lead", &Command::GiveRole { person: person("tech"), role: Role::Lead });
    strike_last(&mut world, "role-given");
    assert_eq!(world.shop.people[&person("tech")].role, Role::Technician);
    // Who is a lead no more does not become one again by striking that out.
    world.must("lead", &Command::GiveRole { person: person("tech"), role: Role::Lead });
    world.must("lead", &Command::GiveRole { person: person("tech"), role: Role::Technician });
    let given = world.last("role-given");
    let may_not = Refusal::RoleMayNot(person("tech"), Role::Technician, Act::ManagePeople);
    assert_eq!(world.refused("tech", &strike(given)), [may_not]);
    // An earlier one than the last changes nothing, and the last lead stays.
    let why = world.refused("lead", &strike(Seq(given.0 - 1)));
    assert!(matches!(why[..], [Refusal::NotStruckOut(_, way)] if way.contains("enter role")), "{why:?}");
    world.must("lead", &Command::GiveRole { person: person("teach"), role: Role::Lead });
    let made_lead = world.last("role-given");
    world.put("teach", Fact::PinSet { person: person("teach"), hash: None });
    world.must("teach", &Command::AdmitPerson(admission("new", Role::Lead)));
    world.must("teach", &Command::PersonLeaves { person: person("lead") });
    let last = Refusal::LastLead(person("teach"), vec![person("new")]);
    assert_eq!(world.refused("teach", &strike(made_lead)), [last]);

    let mut world = World::ready();
    let own = OwnRules {
        source: "ours".into(),
        examination_months: 120,
        check_each_day: false,
        instruction_months: None,
        report_fields: vec![],
    };
    world.must("lead", &Command::ChooseRules { rules: Rules::Own(own) });
    let chosen = world.last("rules-chosen");
    let may_not = Refusal::RoleMayNot(person("tech"), Role::Technician, Act::RunShop);
    assert_eq!(world.refused("tech", &strike(chosen)), [may_not]);
    world.must("lead", &strike(chosen));
    assert_eq!(world.shop.rules, Rules::Germany);
}

/// Limits and jobs that were entered wrongly go back to what they were before.
#[test]
fn limits_and_jobs_that_are_struck_out_give_way_to_those_before() {
    let mut world = World::ready();
    let limits = |text: &str| Command::EnterLimits { file: Document::new(text) };
    let strike = |event| Command::Correct { event, words: "a slip".into() };
    // Limits that came by mistake in the middle of a raise, struck out, hold it up no more.
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::ArmLocksEngaged);
    world.must("lead", &limits("narrow"));
    assert_eq!(world.refused("tech", &confirm(P::TestRaised, None)), [Refusal::FileChanged("limits")]);
    let narrow = world.last("limits-entered");
    let may_not = Refusal::RoleMayNot(person("tech"), Role::Technician, Act::RunShop);
    assert_eq!(world.refused("tech", &strike(narrow)), [may_not]);
    world.must("lead", &strike(narrow));
    assert_eq!(world.shop.limits, None);
    let passes = judged(world.progress(), true);
    world.must("tech", &confirm(P::TestRaised, Some(passes)));
    // Of several the last counts, and to strike out an earlier one changes nothing.
    world.must("lead", &limits("wide"));
    let wide = world.last("limits-entered");
    world.must("lead", &limits("wider"));
    let why = world.refused("lead", &strike(wide));
    assert!(matches!(why[..], [Refusal::NotStruckOut(_, way)] if way.contains("enter limits")), "{why:?}");
    let wider = world.last("limits-entered");
    world.must("lead", &strike(wider));
    assert_eq!(world.shop.limits, Some(Digest::of("wide")));
    world.must("lead", &strike(wide));
    assert_eq!(world.shop.limits, None);

    let job = |text: &str| {
        let (job, file) = ("brakes".parse().unwrap(), Document::new(text));
        Command::EnterJob { job, description: "brakes".into(), file }
    };
    let known = |world: &World| world.shop.jobs.values().copied().collect::<Vec<_>>();
    world.must("tech", &job("right"));
    let right = world.last("job-entered");
    world.must("tech", &job("wrong"));
    let why = world.refused("tech", &strike(right));
    assert!(matches!(why[..], [Refusal::NotStruckOut(_, way)] if way.contains("enter job")), "{why:?}");
    let wrong = world.last("job-entered");
    let may_not = Refusal::RoleMayNot(person("exam"), Role::Examiner, Act::EnterJob);
    assert_eq!(world.refused("exam", &strike(wrong)), [may_not]);
    world.must("tech", &strike(wrong));
    assert_eq!(known(&world), [Digest::of("right")]);
    world.must("tech", &strike(right));
    assert_eq!(known(&world), []);
    assert_eq!(world.refused("tech", &strike(right)), [Refusal::AlreadyCorrected(right)]);
}

#[test]
fn what_is_not_struck_out_names_the_way_that_there_is() {
    let bay = || lift("north-bay");
    let mut world = World::ready();
    let words = || "x".to_owned();
    for (by, command) in [
        ("tech", Command::TagOut { lift: bay(), words: words() }),
        ("tech", Command::ReportDefect { lift: bay(), words: words(), stops_use: false }),
        ("lead", Command::ReturnToService { lift: bay(), words: words() }),
        ("tech", check()),
        ("tech", Command::BeginRaise(plan())),
    ] {
        world.must(by, &command);
    }
    world.until("tech", P::OnLocks);
    world.must("tech", &Command::Upset { raise: raise(), sign: Sign::Noise, words: words() });
    world.must("tech-two", &Command::TakeOver { raise: raise() });
    world.must("lead", &Command::AbandonRaise { raise: raise(), words: words() });
    world.must("lead", &Command::AlterLift { lift: bay(), words: words() });
    world.must("lead", &Command::WithdrawAuthorisation { person: person("tech"), words: words() });
    world.must("lead", &Command::PersonLeaves { person: person("tech") });
    for (kind, way) in [
        ("shop-opened", "begins with it"),
        ("person-admitted", "enter leaving"),
        ("person-left", "another name"),
        ("authorisation-withdrawn", "enter authorisation"),
        ("lift-entered", "enter lift"),
        ("vehicle-entered", "enter vehicle"),
        ("lift-altered", "enter examination"),
        ("tagged-out", "enter return"),
        ("defect-found", "enter repair"),
        ("raise-begun", "raise abandon"),
        ("point-confirmed", "raise not-right"),
        ("raise-upset", "down it goes"),
        ("taken-over", "raise take-over"),
        ("raise-abandoned", "begin another"),
    ] {
        let event = world.last(kind);
        let why = world.refused("lead", &Command::Correct { event, words: words() });
        assert!(
            matches!(why[..], [Refusal::NotStruckOut(of, says)] if of == event && says.contains(way)),
            "{kind}: {why:?}"
        );
    }
}

#[test]
fn what_is_left_blank_is_named_in_a_sentence() {
    assert_eq!(Refusal::Blank("what is wrong").to_string(), "What is wrong must not be blank.");
    assert_eq!(Refusal::Blank("reason").to_string(), "The reason must not be blank.");
}

/// Whoever sees a danger brings it down; the leader leads it there, or who takes it over.
#[test]
fn anybody_may_bring_a_raise_down() {
    for by in ["tech-two", "learn", "exam", "teach", "lead"] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", P::Raised);
        let down = Command::BringDown { raise: raise(), words: "it leans".into() };
        world.must(by, &down);
        assert!(world.progress().going_down);
        assert_eq!(world.refused(by, &down), [Refusal::ComesDown(raise())]);
        world.refused(by, &confirm(P::AreaClear, None));
        world.until("tech", P::DrivenOff);
    }
}

/// On the floor nothing is readied for a lift out of service, before the raise and after a noise. It ends, or goes on in service.
#[test]
fn out_of_service_nobody_readies_what_stands_on_the_floor() {
    let tag = || Command::TagOut { lift: lift("north-bay"), words: "oil".into() };
    let noise = || Command::Upset { raise: raise(), sign: Sign::Noise, words: "knock".into() };
    for again in [false, true] {
        for readies in [P::Spotted, P::PadsSeated, P::ArmLocksEngaged] {
            let mut world = World::ready();
            world.must("tech", &Command::BeginRaise(plan()));
            if again && readies != P::Spotted {
                world.until("tech", P::Raised);
                world.must("tech", &noise());
                world.until("tech", P::FullyDown);
            }
            while world.progress().next() != Some(readies) {
                world.next("tech");
            }
            world.must("learn", &tag());
            let why = world.refused("tech", &confirm(readies, None));
            assert!(matches!(&why[..], [Refusal::LiftUnfit(..)]), "{readies}: {why:?}");
            let mut ends = World { shop: world.shop.clone(), at: world.at, events: vec![] };
            ends.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
            while ends.shop.raises.contains_key(&raise()) {
                assert!(!ends.progress().is_up(), "{:?}", ends.progress());
                ends.next("tech");
            }
            world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "dry".into() });
            world.must("tech", &check());
            world.until("tech", P::DrivenOff);
        }
    }
}

/// Nobody is sent to a vehicle that hangs on its arms over a lift out of service; what lowers it is not held.
#[test]
fn out_of_service_nobody_goes_to_what_hangs_on_its_arms() {
    let tag = || Command::TagOut { lift: lift("north-bay"), words: "oil".into() };
    for at_the_arms in [P::Shaken, P::PadRechecked(3)] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        while world.progress().next() != Some(at_the_arms) {
            world.next("tech");
        }
        world.must("learn", &tag());
        let why = world.refused("tech", &confirm(at_the_arms, None));
        assert!(matches!(&why[..], [Refusal::LiftUnfit(..)]), "{at_the_arms}: {why:?}");
        world.must("tech", &Command::BringDown { raise: raise(), words: "oil".into() });
        world.until("tech", P::DrivenOff);
    }
    // Up already, it is lowered onto its locks.
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(plan()));
    world.until("tech", P::Raised);
    world.must("learn", &tag());
    world.must("tech", &confirm(P::OnLocks, None));
}

/// With the vehicle at its height, that a day has passed stops nothing; that a check or an examination never was does.
#[test]
fn what_its_lift_was_fit_by_is_struck_out_while_it_is_up() {
    for kind in ["lift-checked", "lift-examined", "examination-confirmed"] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", P::OnLocks);
        let mut later = World { shop: world.shop.clone(), at: at("2026-03-03T08:00:00Z"), events: vec![] };
        later.next("tech");
        later.next("tech");
        world.must("exam", &Command::Correct { event: world.last(kind), words: "it never was".into() });
        world.at = at("2026-03-03T08:00:00Z");
        let next = world.progress().next().unwrap();
        let why = world.refused("tech", &confirm(next, None));
        assert!(why.iter().any(|why| matches!(why, Refusal::LiftUnfit(..))), "{kind}: {why:?}");
        world.must("tech", &Command::BringDown { raise: raise(), words: "the check never was".into() });
        world.end("tech");
    }
}

/// What a vehicle weighs is that of it whole: with parts off in a raise nobody writes down what it weighs so.
#[test]
fn with_parts_off_in_its_raise_it_is_not_weighed() {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(NewPlan { outline: led(&["tank off", "tank on"]), ..plan() }));
    world.until("tech", P::OnLocks);
    world.must("tech", &weighed("hatchback"));
    world.until("tech", P::StepDone(0));
    let state = |state: &str| Refusal::WeighedInRaise(vehicle("hatchback"), raise(), state.into());
    assert_eq!(world.refused("tech", &weighed("hatchback")), [state("tank off")]);
    world.must("tech", &Command::Upset { raise: raise(), sign: Sign::Noise, words: "knock".into() });
    let either = state("tank off; “tank on” may be done or half done");
    assert_eq!(world.refused("tech", &weighed("hatchback")), [either]);
    world.until("tech", P::StepDone(1));
    world.must("tech", &weighed("hatchback"));
    world.until("tech", P::DrivenOff);
}

fn weighed(of: &str) -> Command {
    Command::Measure(Measurement {
        vehicle: vehicle(of),
        what: "weight.total".into(),
        value: "3400 kg".into(),
        how: "scale".into(),
    })
}
