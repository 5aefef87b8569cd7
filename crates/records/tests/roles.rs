//! The table of roles, cell by cell, through the decision that uses it.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::*;
use records::*;

/// Y alone, S with a second person, - not at all.
/// Source of each row: `Act::source`; columns technician, lead, examiner, instructor, learner.
const CELLS: &str = "
    RunShop            - Y - - -
    ManagePeople       - Y - - -
    Instruct           - Y - Y -
    EnterLift          - Y Y - -
    CheckBeforeUse     Y Y Y Y S
    Examine            - - Y - -
    ConfirmExamination - Y - - -
    ReportDefect       Y Y Y Y Y
    TagOut             Y Y Y Y Y
    Repair             Y Y - - -
    ReturnToService    - Y Y - -
    EnterVehicle       Y Y - Y Y
    EnterJob           Y Y - Y Y
    Measure            Y Y - Y S
    KeepPlan           Y Y - Y Y
    Raise              Y Y - Y S
    StopRaise          Y Y Y Y Y
    AbandonRaise       - Y - - -
    ReportIncident     Y Y Y Y Y
    SetPractice        - Y - Y -
    Practise           Y Y Y Y Y
    Correct            Y Y Y Y S";

const PEOPLE: [&str; 5] = ["tech", "lead", "exam", "teach", "learn"];

/// A world and a command of that act which everything but the role allows.
fn case(act: Act) -> (World, Command) {
    let mut world = World::ready();
    let bay = lift("north-bay");
    let words = || "because".to_owned();
    let raise = RaiseNumber(1);
    let command = match act {
        Act::RunShop => Command::ChooseRules { rules: Rules::Australia },
        Act::ManagePeople => Command::AdmitPerson(admission("new", Role::Learner)),
        Act::Instruct => instruction("tech", "2026-03-01"),
        Act::EnterLift => Command::AlterLift { lift: bay, words: words() },
        Act::CheckBeforeUse => check(),
        Act::Examine => examination("2026-03-01"),
        Act::ConfirmExamination => {
            world.must("exam", &examination("2026-03-01"));
            Command::ConfirmExamination { number: ExaminationNumber(2) }
        }
        Act::ReportDefect => Command::ReportDefect { lift: bay, words: words(), stops_use: true },
        Act::TagOut => Command::TagOut { lift: bay, words: words() },
        Act::Repair => {
            world.must("tech", &Command::ReportDefect { lift: bay, words: words(), stops_use: true });
            Command::ReportRepair { number: DefectNumber(1), words: words(), bears_load: false }
        }
        Act::ReturnToService => {
            world.must("tech", &Command::TagOut { lift: bay.clone(), words: words() });
            Command::ReturnToService { lift: bay, words: words() }
        }
        Act::EnterVehicle => Command::EnterVehicle {
            vehicle: vehicle("van"),
            description: "a van".into(),
            file: Document::new("the van's file"),
        },
        Act::EnterJob => Command::EnterJob {
            job: job("brakes"),
            description: "brakes".into(),
            file: Document::new("the job's file"),
        },
        Act::Measure => Command::Measure(Measurement {
            vehicle: vehicle("hatchback"),
            what: "wheelbase".into(),
            value: "2550 mm ± 5 mm".into(),
            how: "tape".into(),
        }),
        Act::KeepPlan => Command::KeepPlan(plan()),
        Act::Raise => Command::BeginRaise(plan()),
        Act::StopRaise => {
            world.must("tech", &Command::BeginRaise(plan()));
            Command::NotRight { raise, words: words() }
        }
        Act::AbandonRaise => {
            world.must("tech", &Command::BeginRaise(plan()));
            Command::AbandonRaise { raise, words: words() }
        }
        Act::ReportIncident => Command::ReportIncident { lift: Some(bay), raise: None, words: words() },
        Act::SetPractice => Command::SetPractice(practice()),
        Act::Practise => {
            world.must("teach", &Command::SetPractice(practice()));
            attempt(Practised::Set(PracticeNumber(1)))
        }
        Act::Correct => Command::Correct { event: Seq(5), words: words() },
    };
    assert_eq!(command.act(), act);
    (world, command)
}

#[test]
fn the_table_cell_by_cell() {
    let rows: Vec<Vec<&str>> = CELLS.trim().lines().map(|l| l.split_whitespace().collect()).collect();
    let acts: Vec<Act> = Act::all().collect();
    assert_eq!(rows.len(), acts.len());
    let mut cells = 0;
    for (act, row) in acts.into_iter().zip(&rows) {
        assert_eq!(format!("{act:?}"), row[0]);
        for ((person, role), cell) in PEOPLE.iter().zip(Role::ALL).zip(&row[1..]) {
            let (mut world, command) = case(act);
            let alone = world.act(person, &command);
            match *cell {
                "Y" => assert!(alone.is_ok(), "{person} {act:?}: {alone:?}"),
                "-" => assert_eq!(
                    alone,
                    Err(vec![Refusal::RoleMayNot(common::person(person), role, act)]),
                    "{person} {act:?}"
                ),
                _ => {
                    assert_eq!(alone, Err(vec![Refusal::SecondNeeded(act)]), "{person} {act:?}");
                    let second = world.with(person, Some("tech"), &command);
                    assert!(second.is_ok(), "{person} {act:?}: {second:?}");
                }
            }
            cells += 1;
        }
    }
    assert_eq!(cells, 110);
}

#[test]
fn every_row_has_a_source() {
    assert!(Act::all().all(|act| !act.source().is_empty()));
}

#[test]
fn the_second_person_is_somebody_else_who_may_alone() {
    let begin = Command::BeginRaise(plan());
    let refusals = |second: &str| World::ready().with("learn", Some(second), &begin).expect_err("refused");
    assert_eq!(refusals("learn"), [Refusal::SecondIsTheSame]);
    assert_eq!(refusals("nobody"), [Refusal::UnknownPerson(person("nobody"))]);
    assert_eq!(refusals("exam"), [Refusal::SecondMayNot(person("exam"), Role::Examiner, Act::Raise)]);
    let mut world = World::ready();
    world.must("lead", &Command::AdmitPerson(admission("learn-two", Role::Learner)));
    let why = world.with("learn", Some("learn-two"), &begin).expect_err("refused");
    assert_eq!(why, [Refusal::SecondMayNot(person("learn-two"), Role::Learner, Act::Raise)]);
    // A second person whose authorisation was withdrawn is none.
    let mut world = World::ready();
    world.must("lead", &Command::WithdrawAuthorisation { person: person("tech"), words: "leave".into() });
    let why = world.with("learn", Some("tech"), &begin).expect_err("refused");
    assert_eq!(why, [Refusal::NotAuthorised(person("tech"))]);
}

#[test]
fn a_second_person_helps_nobody_whose_role_forbids_it() {
    let mut world = World::ready();
    let why = world.with("exam", Some("tech"), &Command::BeginRaise(plan())).expect_err("refused");
    assert_eq!(why, [Refusal::RoleMayNot(person("exam"), Role::Examiner, Act::Raise)]);
}

#[test]
fn who_has_left_does_nothing() {
    let mut world = World::ready();
    world.must("lead", &Command::PersonLeaves { person: person("tech") });
    let defect = Command::ReportDefect { lift: lift("north-bay"), words: "oil".into(), stops_use: false };
    assert_eq!(world.refused("tech", &defect), [Refusal::HasLeft(person("tech"))]);
    world.must("lead", &Command::AdmitPerson(admission("tech", Role::Technician)));
    world.must("tech", &defect);
    // Back again, but neither instructed nor authorised anew.
    let why = world.refused("tech", &check());
    assert_eq!(why, [Refusal::NotInstructed(person("tech")), Refusal::NotAuthorised(person("tech"))]);
}

#[test]
fn the_shop_keeps_a_lead() {
    let mut world = World::ready();
    let leaves = Command::PersonLeaves { person: person("lead") };
    let step_down = Command::GiveRole { person: person("lead"), role: Role::Technician };
    assert_eq!(world.refused("lead", &leaves), [Refusal::LastLead(person("lead"))]);
    assert_eq!(world.refused("lead", &step_down), [Refusal::LastLead(person("lead"))]);
    world.must("lead", &Command::GiveRole { person: person("teach"), role: Role::Lead });
    world.must("lead", &leaves);
}

/// DGUV Information 208-015 section 9: 18 years, instructed at least once a year, authorised in writing.
#[test]
fn who_operates_is_of_age_instructed_and_authorised() {
    let tech = || person("tech");
    let mut world = World::ready();
    let new = |of_age| Command::AdmitPerson(Admission { of_age, ..admission("new", Role::Technician) });
    world.must("lead", &new(None));
    let why = world.refused("new", &check());
    assert_eq!(
        why,
        [
            Refusal::AgeUnknown(person("new")),
            Refusal::NotInstructed(person("new")),
            Refusal::NotAuthorised(person("new"))
        ]
    );
    world.must("lead", &Command::PersonLeaves { person: person("new") });
    world.must("lead", &new(Some(day("2026-03-03"))));
    world.must("lead", &instruction("new", "2026-03-02"));
    world.must("lead", &authorisation("new"));
    assert_eq!(world.refused("new", &check()), [Refusal::TooYoung(person("new"), day("2026-03-03"))]);
    world.at = at("2026-03-02T22:59:00Z");
    assert!(world.act("new", &check()).is_err(), "one minute before midnight in Berlin");
    world.at = at("2026-03-02T23:00:00Z");
    world.must("new", &check());
    // Instructed on 2026-01-10: counts to the end of 2027-01-10 in the shop's zone.
    world.at = at("2027-01-10T22:59:00Z");
    world.must("tech", &check());
    world.at = at("2027-01-10T23:00:00Z");
    assert_eq!(world.refused("tech", &check()), [Refusal::InstructionLapsed(tech(), day("2027-01-10"))]);
    world.must("teach", &instruction("tech", "2027-01-11"));
    world.must("tech", &check());
    assert_eq!(
        world.refused("lead", &instruction("tech", "2027-01-12")),
        [Refusal::NotYet(day("2027-01-12"))]
    );
}

#[test]
fn where_no_interval_is_known_one_instruction_must_have_been() {
    let mut world = World::ready();
    world.must("lead", &Command::ChooseRules { rules: Rules::UnitedStates });
    world.at = at("2030-01-01T12:00:00Z");
    world.must("tech", &check());
    world.must("lead", &Command::AdmitPerson(admission("new", Role::Technician)));
    world.must("lead", &authorisation("new"));
    assert_eq!(world.refused("new", &check()), [Refusal::NotInstructed(person("new"))]);
}
