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
    Replace            Y Y - Y S
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
        Act::Replace => Command::EnterVehicle {
            vehicle: vehicle("hatchback"),
            description: "the same".into(),
            file: Document::new("another file"),
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
        Act::Correct => {
            world.must("tech", &Command::ReportIncident { lift: None, raise: None, words: words() });
            Command::Correct { event: world.last("incident-reported"), words: words() }
        }
    };
    // It replaces by what the book has already.
    let of_itself = if act == Act::Replace { Act::EnterVehicle } else { act };
    assert_eq!(command.act(), of_itself);
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
    assert_eq!(cells, 115);
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
    // The name stays theirs: nobody else gets it, nor do they themselves with what they had.
    let again = Command::AdmitPerson(admission("tech", Role::Lead));
    assert_eq!(world.refused("lead", &again), [Refusal::NameOfAnother(person("tech"))]);
    world.must("lead", &Command::AdmitPerson(admission("tech-again", Role::Technician)));
    world.must("tech-again", &defect);
    let why = world.refused("tech-again", &check());
    let who = || person("tech-again");
    assert_eq!(why, [Refusal::NotInstructed(who()), Refusal::NotAuthorised(who())]);
}

/// A shop of a country that asks for no age may come to rules that do.
#[test]
fn an_age_is_given_afterwards_and_set_right() {
    let mut world = World::ready();
    let of_age = |world: &World| world.shop.people[&person("new")].of_age;
    world.must(
        "lead",
        &Command::AdmitPerson(Admission { of_age: None, ..admission("new", Role::Technician) }),
    );
    world.must("lead", &instruction("new", "2026-03-02"));
    world.must("lead", &authorisation("new"));
    let give = |on: &str| Command::GiveAge { person: person("new"), of_age: day(on) };
    let own = Refusal::RoleMayNot(person("new"), Role::Technician, Act::ManagePeople);
    assert_eq!(
        world.refused("new", &give("2020-01-01")),
        [own],
        "nobody says of themselves how old they are"
    );
    assert_eq!(world.refused("new", &check()), [Refusal::AgeUnknown(person("new"))]);
    world.must("lead", &give("2020-01-01"));
    let right = world.last("age-given");
    world.must("new", &check());
    // Given wrongly, it is given again, or struck out: then the one before counts.
    world.must("lead", &give("2099-01-01"));
    let wrong = world.last("age-given");
    assert_eq!(world.refused("new", &check()), [Refusal::TooYoung(person("new"), day("2099-01-01"))]);
    let strike = |event| Command::Correct { event, words: "of another".into() };
    let own = Refusal::RoleMayNot(person("new"), Role::Technician, Act::ManagePeople);
    assert_eq!(world.refused("new", &strike(wrong)), [own], "striking it out gives an age too");
    world.must("lead", &strike(wrong));
    assert_eq!(of_age(&world), Some(day("2020-01-01")));
    world.must("lead", &strike(right));
    assert_eq!(of_age(&world), None);
    assert_eq!(world.refused("new", &check()), [Refusal::AgeUnknown(person("new"))]);
    let nobody = Command::GiveAge { person: person("nobody"), of_age: day("2020-01-01") };
    assert_eq!(world.refused("lead", &nobody), [Refusal::UnknownPerson(person("nobody"))]);
}

#[test]
fn two_who_belong_to_the_shop_have_two_names() {
    let mut world = World::ready();
    let named = |id: &str, name: &str| {
        Command::AdmitPerson(Admission { name: name.into(), ..admission(id, Role::Technician) })
    };
    world.must("lead", &named("k-one", "K. Ólafs  Tarn"));
    let twice = |name: &str| [Refusal::NameTwice(name.into(), person("k-one"))];
    for name in ["K. Ólafs Tarn", "k. ólafs tarn", "K.  ÓLAFS TARN"] {
        assert_eq!(world.refused("lead", &named("k-two", name)), twice(name));
    }
    world.must("lead", &named("k-two", "K. Ólafs Tarn, junior"));
    // Whoever is back has another name in the book, and their own on paper.
    world.must("lead", &Command::PersonLeaves { person: person("k-one") });
    world.must("lead", &named("k-again", "K. Ólafs Tarn"));
}

#[test]
fn an_authorisation_counts_from_its_day_beside_those_before() {
    let authorise = |on: &str| {
        Command::Authorise(Authorisation { person: person("tech"), on: day(on), paper: "folder".into() })
    };
    let mut world = World::ready();
    world.must("lead", &authorise("2099-01-01"));
    world.must("tech", &check());
    let of = |world: &World, on| world.shop.people[&person("tech")].authorised(day(on)).map(|a| a.on);
    assert_eq!(of(&world, "2026-01-09"), None);
    assert_eq!(of(&world, "2098-12-31"), Some(day("2026-01-10")));
    assert_eq!(of(&world, "2099-01-01"), Some(day("2099-01-01")));
    // Withdrawn, none is left.
    world.must("lead", &Command::WithdrawAuthorisation { person: person("tech"), words: "leave".into() });
    assert_eq!(of(&world, "2099-01-01"), None);
    world.must("lead", &authorise("2099-01-01"));
    assert_eq!(world.refused("tech", &check()), [Refusal::NotAuthorised(person("tech"))]);
}

/// One who can sign: without a PIN nobody sets one.
#[test]
fn the_shop_keeps_a_lead() {
    let mut world = World::ready();
    let ways = [
        Command::PersonLeaves { person: person("lead") },
        Command::GiveRole { person: person("lead"), role: Role::Technician },
    ];
    let refused = |world: &mut World, others: &[&str]| {
        for way in &ways {
            let others = others.iter().map(|id| person(id)).collect();
            assert_eq!(world.refused("lead", way), [Refusal::LastLead(person("lead"), others)]);
        }
    };
    refused(&mut world, &[]);
    world.must("lead", &Command::GiveRole { person: person("teach"), role: Role::Lead });
    world.must("lead", &Command::AdmitPerson(admission("new", Role::Lead)));
    refused(&mut world, &["new", "teach"]);
    let told = world.refused("lead", &ways[0])[0].to_string();
    assert!(told.contains("no PIN of: new, teach. Set it first with `enter pin`"), "{told}");
    // Who has none goes while somebody stays who has one.
    world.must("lead", &Command::PersonLeaves { person: person("new") });
    world.put("lead", Fact::PinSet { person: person("teach"), hash: None });
    world.must("lead", &ways[0]);
}

/// DGUV Information 208-015 section 9: 18 years, instructed at least once a year, authorised in writing.
#[test]
fn who_operates_is_of_age_instructed_and_authorised() {
    let tech = || person("tech");
    let mut world = World::ready();
    let new = Admission { of_age: None, ..admission("new", Role::Technician) };
    world.must("lead", &Command::AdmitPerson(new));
    let why = world.refused("new", &check());
    assert_eq!(
        why,
        [
            Refusal::AgeUnknown(person("new")),
            Refusal::NotInstructed(person("new")),
            Refusal::NotAuthorised(person("new"))
        ]
    );
    let young = || person("young");
    let of_age = Some(day("2026-03-03"));
    let young_one = Admission { of_age, ..admission("young", Role::Technician) };
    world.must("lead", &Command::AdmitPerson(young_one));
    world.must("lead", &instruction("young", "2026-03-02"));
    world.must("lead", &authorisation("young"));
    assert_eq!(world.refused("young", &check()), [Refusal::TooYoung(young(), day("2026-03-03"))]);
    world.at = at("2026-03-02T22:59:00Z");
    assert!(world.act("young", &check()).is_err(), "one minute before midnight in Berlin");
    world.at = at("2026-03-02T23:00:00Z");
    world.must("young", &check());
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
