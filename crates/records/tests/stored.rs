//! The stored form of every fact, pinned: what is in a shop's book must be readable for ever.
//!
//! `STANDFAST_WRITE=1 cargo test -p records --test stored` adds new facts to `stored.jsonl`. A line that is there never changes.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use common::*;
use records::*;

/// One of each, and of what has several shapes each shape.
fn examples() -> Vec<Fact> {
    let bay = || lift("north-bay");
    let words = || "words".to_owned();
    let raise = RaiseNumber(3);
    let tech = || person("tech");
    let digest = Digest::of("text");
    let kept = || KeptPlan {
        other_limits_of: None,
        lift: bay(),
        vehicle: vehicle("hatchback"),
        job: "gearbox".into(),
        program: "standfast 0.1.0".into(),
        may_be_raised: true,
        inputs: BTreeMap::from([("lift".to_owned(), digest)]),
        answer: digest,
        outline: Outline {
            stands: Some((0, 1)),
            parts: vec![],
            first_lock_millimetres: None,
            backwards: None,
            ..outline()
        },
    };
    let own = OwnRules {
        source: "the insurer".into(),
        examination_months: 6,
        check_each_day: true,
        instruction_months: None,
        report_fields: vec![ReportField::Scope, ReportField::NextDue],
    };
    let opened = |rules| Fact::ShopOpened {
        book: "b0".into(),
        name: "Lindenhof".into(),
        zone: zone("Europe/Berlin"),
        rules,
    };
    let unled = |least_reserve| Judged { passes: true, record: digest, least_reserve, outline: None };
    let point = |point, judged| Fact::PointConfirmed { raise, point, judged, words: None };
    let found = BTreeMap::from([
        (CheckItem::HoldToRun, Finding::Right),
        (CheckItem::Leaks, Finding::Wrong { words: words() }),
    ]);
    let Command::Instruct(instruction) = instruction("tech", "2026-01-10") else { unreachable!() };
    let Command::Authorise(authorisation) = authorisation("tech") else { unreachable!() };
    let mut all = vec![
        opened(Rules::Germany),
        opened(Rules::UnitedKingdom),
        opened(Rules::UnitedKingdomTwelveMonths),
        opened(Rules::UnitedStates),
        opened(Rules::Australia),
        Fact::RulesChosen { rules: Rules::Own(own) },
        Fact::ClockSet { words: words() },
        Fact::ClockBehind { last: at(MORNING) },
        Fact::PersonAdmitted(admission("tech", Role::Technician)),
        Fact::RoleGiven { person: tech(), role: Role::Lead },
        Fact::RoleGiven { person: tech(), role: Role::Examiner },
        Fact::RoleGiven { person: tech(), role: Role::Instructor },
        Fact::RoleGiven { person: tech(), role: Role::Learner },
        Fact::AgeGiven { person: tech(), of_age: day("2020-01-01") },
        Fact::PersonLeft { person: tech() },
        Fact::Instructed(instruction),
        Fact::Authorised(authorisation),
        Fact::AuthorisationWithdrawn { person: tech(), words: words() },
        Fact::PinSet { person: tech(), hash: None },
        Fact::PinLocked { person: tech(), until: at(MORNING) },
        Fact::LiftEntered { sheet: sheet(), file: digest },
        Fact::LiftAltered { lift: bay(), words: words() },
        Fact::LiftChecked { lift: bay(), day: day("2026-03-02"), findings: found },
        Fact::LiftExamined {
            number: ExaminationNumber(1),
            report: older_report("2026-03-01", true),
            paper: Some(digest),
        },
        Fact::ExaminationConfirmed { number: ExaminationNumber(1) },
        Fact::DefectFound { number: DefectNumber(1), lift: bay(), words: words(), stops_use: true },
        Fact::DefectRepaired { number: DefectNumber(1), words: words(), bears_load: false },
        Fact::TaggedOut { lift: bay(), words: words() },
        Fact::ReturnedToService { lift: bay(), words: words() },
        Fact::VehicleEntered { vehicle: vehicle("hatchback"), description: words(), file: digest },
        Fact::VehicleMeasured(Measurement {
            vehicle: vehicle("hatchback"),
            what: "wheelbase".into(),
            value: "2550 mm".into(),
            how: "tape".into(),
        }),
        Fact::VehicleWhole { vehicle: vehicle("hatchback"), words: words() },
        Fact::PlanKept { plan: kept() },
        Fact::RaiseBegun { raise, plan: kept() },
        point(HoldPoint::Spotted, None),
        point(HoldPoint::StepDone(0), Some(unled(None))),
        Fact::RaiseRefused { plan: kept(), reasons: vec![words()] },
        Fact::PointRefused { raise, point: HoldPoint::Spotted, judged: None, reasons: vec![words()] },
        Fact::RaiseUpset { raise, sign: Sign::Noise, words: words() },
        Fact::RaiseUpset { raise, sign: Sign::Moved, words: words() },
        Fact::NotRight { raise, words: words() },
        Fact::LockNotHeard { raise, words: words() },
        Fact::BroughtDown { raise, words: words() },
        Fact::TakenOver { raise, from: tech() },
        Fact::RaiseAbandoned { raise, words: words() },
        Fact::IncidentReported { number: IncidentNumber(1), lift: Some(bay()), raise: None, words: words() },
        Fact::Corrected { event: Seq(7), words: words() },
        Fact::Salvaged {
            intact: Head { seq: Seq(7), hash: digest },
            others: 2,
            rest: digest,
            vehicles: BTreeSet::new(),
        },
    ];
    use HoldPoint as P;
    all.extend(
        [
            P::PadsSeated,
            P::ArmLocksEngaged,
            P::TestRaised,
            P::Shaken,
            P::PadRechecked(3),
            P::Raised,
            P::OnLocks,
            P::StandsSet,
            P::HeightReached(0),
            P::StepUndone(0),
            P::StandsAway,
            P::AreaClear,
            P::OffLocks,
            P::LocksReleased,
            P::FullyDown,
            P::ArmsClear,
            P::DrivenOff,
            P::LeftOnFloor,
        ]
        .map(|p| point(p, None)),
    );
    let later = vec![LaterLock { after: 1, lock: 9 }];
    let outline = Outline { later, ..kept().outline };
    all.push(Fact::RaiseBegun { raise, plan: KeptPlan { outline, ..kept() } });
    for thoroughness in [Thoroughness::Routine, Thoroughness::Major] {
        let report = Report { thoroughness, ..older_report("2026-03-01", false) };
        all.push(Fact::LiftExamined { number: ExaminationNumber(2), report, paper: None });
    }
    let situation = Situation {
        name: "heavy nose".into(),
        note: Some(words()),
        inputs: BTreeMap::from([("lift".to_owned(), digest)]),
        hides: BTreeSet::from(Hidden::ALL),
    };
    all.push(Fact::PracticeSet { practice: PracticeNumber(1), situation });
    let set = || Practised::Set(PracticeNumber(1));
    for (of, end) in [
        (set(), PracticeEnd::MayBeRaised),
        (set(), PracticeEnd::MustNot { reasons: 2 }),
        (Practised::Invented("heavy-nose".into()), PracticeEnd::Tips { over: "front".into() }),
    ] {
        all.push(Fact::PracticeTried { of, attempt: Attempt { setup: digest, end } });
    }
    all.push(Fact::JobEntered { job: job("rear-axle-off"), description: words(), file: digest });
    all.push(Fact::LimitsEntered { file: digest });
    all.push(Fact::PinSet { person: tech(), hash: Some(digest) });
    all.push(point(HoldPoint::StepDone(0), Some(unled(Some(-25)))));
    all.extend([Units::Metric, Units::Us].map(|units| Fact::UnitsChosen { units }));
    all.push(Fact::ZoneChosen { zone: zone("America/Denver") });
    let other_limits_of = Some(person("lead"));
    all.push(Fact::RaiseBegun { raise, plan: KeptPlan { other_limits_of, ..kept() } });
    let outline = Outline { first_lock_millimetres: Some(331), ..kept().outline };
    all.push(Fact::RaiseBegun { raise, plan: KeptPlan { outline, ..kept() } });
    let outline = Outline { backwards: Some(true), ..kept().outline };
    all.push(Fact::RaiseBegun { raise, plan: KeptPlan { outline, ..kept() } });
    let outline = Outline { parts: self::outline().parts, ..kept().outline };
    all.push(Fact::RaiseBegun { raise, plan: KeptPlan { outline, ..kept() } });
    let vehicles = BTreeSet::from([vehicle("hatchback"), vehicle("van")]);
    all.push(Fact::Salvaged {
        intact: Head { seq: Seq(7), hash: digest },
        others: 2,
        rest: digest,
        vehicles,
    });
    let outline = Some(self::outline());
    all.push(point(HoldPoint::TestRaised, Some(Judged { outline, ..unled(Some(25)) })));
    let report = report("2026-03-01", true);
    all.push(Fact::LiftExamined { number: ExaminationNumber(3), report, paper: None });
    all.push(Fact::PinGiven { person: tech(), hash: digest });
    all
}

/// With the fields that there were at first.
fn older_report(on: &str, fit: bool) -> Report {
    use ReportField as F;
    let mut report = report(on, fit);
    for later in [F::Qualifications, F::ExaminerEmployer, F::SignedFor, F::ReportDate, F::Test] {
        report.fields.remove(&later);
    }
    report
}

/// A new fact does not compile until it has a number here, and fails until it has an example.
const fn number(fact: &Fact) -> usize {
    match fact {
        Fact::ShopOpened { .. } => 0,
        Fact::RulesChosen { .. } => 1,
        Fact::ClockSet { .. } => 2,
        Fact::ClockBehind { .. } => 3,
        Fact::PersonAdmitted(_) => 4,
        Fact::RoleGiven { .. } => 5,
        Fact::PersonLeft { .. } => 6,
        Fact::Instructed(_) => 7,
        Fact::Authorised(_) => 8,
        Fact::AuthorisationWithdrawn { .. } => 9,
        Fact::PinSet { .. } => 10,
        Fact::PinLocked { .. } => 11,
        Fact::LiftEntered { .. } => 12,
        Fact::LiftAltered { .. } => 13,
        Fact::LiftChecked { .. } => 14,
        Fact::LiftExamined { .. } => 15,
        Fact::ExaminationConfirmed { .. } => 16,
        Fact::DefectFound { .. } => 17,
        Fact::DefectRepaired { .. } => 18,
        Fact::TaggedOut { .. } => 19,
        Fact::ReturnedToService { .. } => 20,
        Fact::VehicleEntered { .. } => 21,
        Fact::VehicleMeasured(_) => 22,
        Fact::PlanKept { .. } => 23,
        Fact::RaiseBegun { .. } => 24,
        Fact::PointConfirmed { .. } => 25,
        Fact::RaiseUpset { .. } => 26,
        Fact::NotRight { .. } => 27,
        Fact::LockNotHeard { .. } => 28,
        Fact::BroughtDown { .. } => 29,
        Fact::TakenOver { .. } => 30,
        Fact::RaiseAbandoned { .. } => 31,
        Fact::IncidentReported { .. } => 32,
        Fact::Corrected { .. } => 33,
        Fact::RaiseRefused { .. } => 34,
        Fact::PointRefused { .. } => 35,
        Fact::Salvaged { .. } => 36,
        Fact::PracticeSet { .. } => 37,
        Fact::PracticeTried { .. } => 38,
        Fact::JobEntered { .. } => 39,
        Fact::LimitsEntered { .. } => 40,
        Fact::UnitsChosen { .. } => 41,
        Fact::ZoneChosen { .. } => 42,
        Fact::AgeGiven { .. } => 43,
        Fact::VehicleWhole { .. } => 44,
        Fact::PinGiven { .. } => 45,
    }
}

#[test]
fn stored_forms_never_change() {
    let all = examples();
    let numbers: BTreeSet<usize> = all.iter().map(number).collect();
    assert_eq!(numbers, (0..46).collect(), "every fact has an example");
    let written: Vec<String> = all.iter().map(|fact| serde_json::to_string(fact).expect("text")).collect();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/stored.jsonl");
    if std::env::var("STANDFAST_WRITE").is_ok_and(|v| v == "1") {
        std::fs::write(&path, written.join("\n") + "\n").expect("written");
    }
    let kept = std::fs::read_to_string(&path).expect("stored.jsonl");
    assert_eq!(kept.lines().collect::<Vec<_>>(), written);
    for (line, fact) in kept.lines().zip(&all) {
        assert_eq!(&serde_json::from_str::<Fact>(line).expect(line), fact);
    }
}

/// The chain's hash, pinned: an event written by any version verifies in every later one.
#[test]
fn the_hash_of_an_event_never_changes() {
    let parts = [
        "standfast event 1",
        "1",
        "1772438400000000",
        "Europe/Berlin",
        "lead",
        "",
        "{}",
        &Digest::NONE.to_string(),
    ];
    assert_eq!(
        Digest::of_parts(&parts).to_string(),
        pinned(&parts),
        "each part after its length in eight bytes, big endian"
    );
    // FIPS 180-2, appendix B.1: SHA-256 of "abc".
    assert_eq!(
        Digest::of("abc").to_string(),
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    );
    assert_ne!(Digest::of_parts(&["ab", "c"]), Digest::of_parts(&["a", "bc"]));
}

/// The same bytes put together by hand.
fn pinned(parts: &[&str]) -> String {
    let mut text = String::new();
    for part in parts {
        // All parts here are shorter than 128 bytes, so that the length is one character of the text.
        text.push_str("\0\0\0\0\0\0\0");
        text.push(char::from(u8::try_from(part.len()).expect("short")));
        text.push_str(part);
    }
    Digest::of(&text).to_string()
}
