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
    let down = Command::BringDown { raise: raise(), words: "enough".into() };
    assert_eq!(world.refused("tech-two", &down), [Refusal::NotLeader(raise(), person("tech"))]);
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
        let judged = world.progress().asks_for_judgement().then(|| judgement(true));
        let command = confirm(point, judged);
        assert_eq!(world.refused("learn", &command), [Refusal::SecondNeeded(Act::Raise)]);
        world.with("learn", Some("teach"), &command).expect("with a second person");
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

#[test]
fn an_abandoned_raise_leaves_a_lift_that_held_it_out_of_service() {
    for (last, tagged) in [(P::ArmLocksEngaged, false), (P::TestRaised, true), (P::OnLocks, true)] {
        let mut world = World::ready();
        world.must("tech", &Command::BeginRaise(plan()));
        world.until("tech", last);
        world.must("lead", &Command::AbandonRaise { raise: raise(), words: "it slipped".into() });
        assert!(world.shop.raises.is_empty());
        assert_eq!(!world.unfit().is_empty(), tagged, "after {last}");
    }
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
    assert_eq!(due_days(&world.shop, &lift("north-bay"))[0].1, Some(day("2027-03-01")));
    world.must("exam", &strike(examined));
    assert_eq!(
        due_days(&world.shop, &lift("north-bay"))[0].1,
        Some(day("2027-02-01")),
        "the one before counts"
    );

    let tagged = next(&world);
    world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "oil".into() });
    world.must("tech", &strike(tagged));
    assert_eq!(world.unfit(), [Why::Tagged("oil".into())], "what took something away stays");

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
        Command::Correct { event: Seq(3), words: blank() },
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
        assert!(matches!(&why[..], [Refusal::Blank(_)]), "{command:?}: {why:?}");
    }
    let zero = Command::EnterLift { sheet: sheet(), file: Document::new("a\0b") };
    assert_eq!(world.refused("lead", &zero), [Refusal::NotText]);
}
