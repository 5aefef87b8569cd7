//! Whether a lift may be used: every reason, every rule set, at its dates.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::*;
use records::*;

/// Own convention (calendar months, the last day where one is missing): row E40 of the project's table of check values.
#[test]
fn calendar_months() {
    for (from, months, to) in [
        ("2025-03-15", 6, "2025-09-15"),
        ("2025-03-15", 12, "2026-03-15"),
        ("2025-08-31", 6, "2026-02-28"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2025-12-31", 3, "2026-03-31"),
    ] {
        assert_eq!(months_after(day(from), months), day(to), "{from} + {months} months");
    }
}

#[test]
fn fit_when_examined_confirmed_and_checked() {
    assert_eq!(World::ready().unfit(), []);
}

#[test]
fn a_new_lift_lacks_everything() {
    let mut world = World::empty(Rules::Germany);
    assert_eq!(world.unfit(), [Why::Unknown]);
    world.must("lead", &Command::EnterLift { sheet: sheet(), file: Document::new("file") });
    assert_eq!(
        world.unfit(),
        [Why::NeverExamined(Thoroughness::Regular), Why::NotChecked(day("2026-03-02"))]
    );
}

/// Days around each interval. Germany: DGUV Regel 100-500 chapter 2.10 section 2.9.1. United Kingdom: LOLER regulation
/// 9(3), HSE OC 803/69. United States: ANSI/ALI ALOIM, secondary outline. Australia: AS 2550.9 by Queensland's material.
#[test]
fn intervals_of_the_rule_sets() {
    let own = Rules::Own(OwnRules {
        source: "the insurer".into(),
        examination_months: 4,
        check_each_day: false,
        instruction_months: Some(24),
        report_fields: vec![],
    });
    for (rules, kind, last_good) in [
        (Rules::Germany, Thoroughness::Regular, "2026-08-31"),
        (Rules::UnitedKingdom, Thoroughness::Regular, "2026-02-28"),
        (Rules::UnitedKingdomTwelveMonths, Thoroughness::Regular, "2026-08-31"),
        (Rules::UnitedStates, Thoroughness::Regular, "2026-08-31"),
        (Rules::Australia, Thoroughness::Routine, "2025-11-30"),
        (own, Thoroughness::Regular, "2025-12-31"),
    ] {
        let mut world = World::empty(rules.clone());
        world.at = at("2025-08-31T08:00:00Z");
        std::sync::Arc::make_mut(&mut world.shop.hall).latest = world.at;
        for (by, command) in making_ready() {
            if !matches!(
                command,
                Command::ReportExamination { .. }
                    | Command::ConfirmExamination { .. }
                    | Command::Authorise(_)
            ) {
                let _ = world.act(by, &command);
            }
        }
        let report = Report { next_due: Some(day("2029-01-01")), ..report("2025-08-31", true) };
        world.must("exam", &Command::ReportExamination { report, paper: None });
        world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(1) });
        let overdue = |world: &World| {
            world.unfit().into_iter().filter(|w| matches!(w, Why::Overdue(..))).collect::<Vec<_>>()
        };
        world.at = format!("{last_good}T12:00:00Z").parse().expect("a time");
        assert_eq!(overdue(&world), [], "{rules:?} on {last_good}");
        world.at = world.at.saturating_add(jiff::SignedDuration::from_hours(24)).expect("a day later");
        assert_eq!(overdue(&world), [Why::Overdue(kind, day(last_good))], "{rules:?} a day later");
    }
}

#[test]
fn the_more_thorough_counts_for_the_less() {
    let mut world = World::ready();
    world.must("lead", &Command::ChooseRules { rules: Rules::Australia });
    let due = due_days(&world.shop, &lift("north-bay"), world.at);
    assert_eq!(
        due,
        [
            (Thoroughness::Routine, Some(day("2026-05-01"))),
            (Thoroughness::Regular, Some(day("2027-02-01"))),
            (Thoroughness::Major, Some(day("2029-05-01"))),
        ]
    );
    let routine = Report { thoroughness: Thoroughness::Routine, ..report("2026-03-01", true) };
    world.must("exam", &Command::ReportExamination { report: routine, paper: None });
    let due = due_days(&world.shop, &lift("north-bay"), world.at);
    assert_eq!(due[0].1, Some(day("2026-06-01")));
    assert_eq!(due[1].1, Some(day("2027-02-01")), "a routine inspection is no examination");
}

#[test]
fn a_day_of_first_use_that_nobody_knows_is_no_pass() {
    let mut world = World::ready();
    let sheet = LiftSheet { first_used: None, ..sheet() };
    world.must("lead", &Command::EnterLift { sheet, file: Document::new("the lift's file") });
    world.must("lead", &Command::ChooseRules { rules: Rules::Australia });
    assert_eq!(world.unfit(), [Why::FirstUseUnknown(Thoroughness::Major)]);
}

#[test]
fn an_examiner_may_ask_sooner_not_later() {
    for (asked, due) in [("2026-08-01", "2026-08-01"), ("2028-01-01", "2027-03-01")] {
        let mut world = World::ready();
        let report = Report { next_due: Some(day(asked)), ..report("2026-03-01", true) };
        world.must("exam", &Command::ReportExamination { report, paper: None });
        world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
        assert_eq!(
            due_days(&world.shop, &lift("north-bay"), world.at),
            [(Thoroughness::Regular, Some(day(due)))]
        );
    }
}

/// Whatever kind it was of, until one as thorough comes.
#[test]
fn a_sooner_day_of_an_examiner_holds_for_a_kind_that_the_rules_do_not_ask_for() {
    let mut world = World::ready();
    let mut number = 1;
    let mut examined = |world: &mut World, kind, on: &str, due: Option<&str>| {
        number += 1;
        let report = Report { thoroughness: kind, next_due: due.map(day), ..report(on, true) };
        world.must("exam", &Command::ReportExamination { report, paper: None });
        world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(number) });
    };
    use Thoroughness::{Major, Regular, Routine};
    examined(&mut world, Major, "2026-03-01", Some("2026-03-20"));
    examined(&mut world, Routine, "2026-03-02", Some("2026-03-10"));
    let due = [(Regular, day("2027-03-01")), (Major, day("2026-03-20")), (Routine, day("2026-03-10"))];
    assert_eq!(due_days(&world.shop, &lift("north-bay"), world.at), due.map(|(kind, by)| (kind, Some(by))));
    world.at = at("2026-03-20T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), [Why::Overdue(Routine, day("2026-03-10"))]);
    world.at = at("2026-03-21T08:00:00Z");
    world.must("tech", &check());
    let both = [Why::Overdue(Major, day("2026-03-20")), Why::Overdue(Routine, day("2026-03-10"))];
    assert_eq!(world.unfit(), both);
    // A regular examination takes the place of the routine one, and of no major one.
    examined(&mut world, Regular, "2026-03-21", None);
    assert_eq!(world.unfit(), [Why::Overdue(Major, day("2026-03-20"))]);
    // The clock set back gives nothing back.
    world.at = at("2026-03-19T08:00:00Z");
    world.must("lead", &Command::SetClock { words: "it ran ahead".into() });
    world.must("tech", &check());
    assert_eq!(world.unfit(), [Why::Lapsed(Major)]);
    examined(&mut world, Major, "2026-03-19", None);
    assert_eq!(world.unfit(), []);
}

#[test]
fn the_next_is_not_due_before_this_one() {
    let mut world = World::ready();
    for (due, refused) in [("2026-02-28", true), ("2026-03-01", false)] {
        let report = Report { next_due: Some(day(due)), ..report("2026-03-01", true) };
        let examine = Command::ReportExamination { report, paper: None };
        match refused {
            true => {
                let why = world.refused("exam", &examine);
                assert_eq!(why.len(), 1, "{why:?}");
                assert!(why[0].to_string().contains("2026-02-28"), "{why:?}");
            }
            false => drop(world.must("exam", &examine)),
        }
    }
}

#[test]
fn an_examination_counts_when_the_employer_confirmed_it() {
    let mut world = World::ready();
    world.must("exam", &examination("2026-03-01"));
    assert_eq!(world.unfit(), [Why::NotConfirmed(ExaminationNumber(2))]);
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    assert_eq!(world.unfit(), []);
    let again = Command::ConfirmExamination { number: ExaminationNumber(2) };
    assert_eq!(world.refused("lead", &again), [Refusal::ExaminationConfirmed(ExaminationNumber(2))]);
    let other = Command::ConfirmExamination { number: ExaminationNumber(9) };
    assert_eq!(world.refused("lead", &other), [Refusal::UnknownExamination(ExaminationNumber(9))]);
}

#[test]
fn found_unfit_it_is_out_of_service_until_examined_and_returned() {
    let mut world = World::ready();
    let unfit = Command::ReportExamination { report: report("2026-03-01", false), paper: None };
    let seq = world.shop.head.seq.0 + 1;
    world.must("exam", &unfit);
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    let tagged = || Why::Tagged("examination 2 found it unfit for use".into());
    assert_eq!(world.unfit(), [Why::FoundUnfit(ExaminationNumber(2)), tagged()]);
    // Nobody but an examiner strikes the finding out, and nobody returns the lift while it stands.
    let strike = |event| Command::Correct { event, words: "too strict".into() };
    for (by, role) in [("tech", Role::Technician), ("lead", Role::Lead)] {
        let may_not = Refusal::RoleMayNot(person(by), role, Act::Examine);
        assert_eq!(world.refused(by, &strike(Seq(seq))), [may_not]);
    }
    let back = Command::ReturnToService { lift: lift("north-bay"), words: "it looks right".into() };
    let stands = [Refusal::FoundUnfit(lift("north-bay"), ExaminationNumber(2))];
    assert_eq!(world.refused("lead", &back), stands);
    let told = stands[0].to_string();
    assert!(
        ["repair", "`enter examination`", "`enter correction`"].iter().all(|way| told.contains(way)),
        "{told}"
    );
    // Striking the report out does not take the tag off.
    world.must("exam", &Command::Correct { event: Seq(seq), words: "wrong lift".into() });
    assert_eq!(world.unfit(), [tagged()]);
    let bay = &world.shop.lifts[&lift("north-bay")];
    assert!(bay.struck_out.contains_key(&Seq(seq)) && bay.all_examinations().len() == 2, "it is still shown");
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "looked at".into() });
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
}

/// What found a lift unfit, or waits for the lead, is not outdone by a look that is less thorough, and gives no next day.
#[test]
fn a_lighter_inspection_clears_nothing() {
    let routine = |on| Report { thoroughness: Thoroughness::Routine, ..report(on, true) };
    let mut world = World::ready();
    let next_due = Some(day("2026-12-01"));
    let unfit = Report { next_due, ..report("2026-03-01", false) };
    world.must("exam", &Command::ReportExamination { report: unfit, paper: None });
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    let due = || vec![(Thoroughness::Regular, Some(day("2027-02-01")))];
    assert_eq!(due_days(&world.shop, &lift("north-bay"), world.at), due(), "by the one before");
    world.must("exam", &Command::ReportExamination { report: routine("2026-03-02"), paper: None });
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(3) });
    let back = Command::ReturnToService { lift: lift("north-bay"), words: "looked at".into() };
    let stands = [Refusal::FoundUnfit(lift("north-bay"), ExaminationNumber(2))];
    assert_eq!(world.refused("lead", &back), stands);
    // One as thorough does, once confirmed.
    world.must("exam", &examination("2026-03-02"));
    world.must("lead", &back);
    world.must("tech", &check());
    assert_eq!(world.unfit(), [Why::NotConfirmed(ExaminationNumber(4))]);
    assert_eq!(
        due_days(&world.shop, &lift("north-bay"), world.at),
        due(),
        "not confirmed, it gives no next day"
    );
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(4) });
    assert_eq!(world.unfit(), []);
    assert_eq!(due_days(&world.shop, &lift("north-bay"), world.at)[0].1, Some(day("2027-03-02")));

    let mut world = World::ready();
    world.must("exam", &examination("2026-03-01"));
    world.must("exam", &Command::ReportExamination { report: routine("2026-03-02"), paper: None });
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(3) });
    assert_eq!(world.unfit(), [Why::NotConfirmed(ExaminationNumber(2))]);

    // After an alteration only one counts that found it fit.
    let mut world = World::ready();
    world.must("lead", &Command::AlterLift { lift: lift("north-bay"), words: "longer arms".into() });
    let unfit = Command::ReportExamination { report: report("2026-03-02", false), paper: None };
    world.must("exam", &unfit);
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    assert!(world.unfit().contains(&Why::AlteredSince(day("2026-03-02"))));
}

#[test]
fn another_file_of_a_lift_is_an_alteration() {
    let mut world = World::ready();
    let enter = |text: &str| Command::EnterLift { sheet: sheet(), file: Document::new(text) };
    assert_eq!(world.must("lead", &enter("the lift's file")).len(), 1);
    assert_eq!(world.unfit(), [], "the same to the byte");
    let facts = world.must("lead", &enter("rated 4500 kg"));
    assert!(matches!(facts[..], [Fact::LiftEntered { .. }, Fact::LiftAltered { .. }]), "{facts:?}");
    assert_eq!(world.unfit(), [Why::AlteredSince(day("2026-03-02"))]);
    world.must("exam", &examination("2026-03-02"));
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    assert_eq!(world.unfit(), []);
}

/// DGUV Regel 100-500 chapter 2.10 section 2.9.4, LOLER schedule 1.
#[test]
fn a_report_says_all_that_the_rules_ask_for() {
    use ReportField as F;
    for (rules, asked) in [
        (
            Rules::Germany,
            vec![F::Scope, F::Defects, F::Retest, F::Examiner, F::ExaminerAddress, F::Signature],
        ),
        (
            Rules::UnitedKingdom,
            vec![
                F::Owner,
                F::Location,
                F::Identity,
                F::LastExamination,
                F::WorkingLoad,
                F::Reason,
                F::Defects,
                F::Repair,
                F::NextDue,
                F::Test,
                F::Examiner,
                F::ExaminerAddress,
                F::Qualifications,
                F::ExaminerEmployer,
                F::SignedFor,
                F::ReportDate,
            ],
        ),
    ] {
        let mut world = World::ready();
        world.must("lead", &Command::ChooseRules { rules });
        let bare = Report { fields: [(F::Scope, "  ".to_owned())].into(), ..report("2026-03-01", true) };
        let why = world.refused("exam", &Command::ReportExamination { report: bare, paper: None });
        assert_eq!(why, [Refusal::ReportIncomplete(asked.clone())]);
        for field in asked {
            let mut report = Report { next_due: Some(day("2026-09-01")), ..report("2026-03-01", true) };
            report.fields.remove(&field);
            if field == F::NextDue {
                report.next_due = None;
            }
            let why = world.refused("exam", &Command::ReportExamination { report, paper: None });
            assert_eq!(why, [Refusal::ReportIncomplete(vec![field])]);
        }
    }
}

#[test]
fn an_alteration_asks_for_an_examination_since() {
    let mut world = World::ready();
    world.must("lead", &Command::AlterLift { lift: lift("north-bay"), words: "longer arms".into() });
    assert_eq!(world.unfit(), [Why::AlteredSince(day("2026-03-02"))]);
    let examined = |world: &mut World, on, thoroughness, number| {
        let report = Report { thoroughness, ..report(on, true) };
        world.must("exam", &Command::ReportExamination { report, paper: None });
        world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(number) });
    };
    examined(&mut world, "2026-03-01", Thoroughness::Regular, 2);
    assert_eq!(world.unfit(), [Why::AlteredSince(day("2026-03-02"))], "examined the day before");
    examined(&mut world, "2026-03-02", Thoroughness::Routine, 3);
    assert_eq!(world.unfit(), [Why::AlteredSince(day("2026-03-02"))], "a routine inspection");
    examined(&mut world, "2026-03-02", Thoroughness::Regular, 4);
    assert_eq!(world.unfit(), []);
}

#[test]
fn a_defect_stops_use_until_repaired_and_returned() {
    let mut world = World::ready();
    let bay = || lift("north-bay");
    world.must("learn", &Command::ReportDefect { lift: bay(), words: "scratch".into(), stops_use: false });
    assert_eq!(world.unfit(), []);
    world.must("learn", &Command::ReportDefect { lift: bay(), words: "rope frayed".into(), stops_use: true });
    let open = || [Why::Defect(DefectNumber(2), "rope frayed".into())];
    assert_eq!(world.unfit(), open());
    let back = || Command::ReturnToService { lift: bay(), words: "tried".into() };
    assert_eq!(world.refused("lead", &back()), [Refusal::NotRepaired(vec![DefectNumber(2)])]);
    let repair = |number| Command::ReportRepair {
        number: DefectNumber(number),
        words: "new rope".into(),
        bears_load: true,
    };
    world.must("tech", &repair(2));
    assert_eq!(world.refused("tech", &repair(2)), [Refusal::AlreadyRepaired(DefectNumber(2))]);
    assert_eq!(world.refused("tech", &repair(3)), [Refusal::UnknownDefect(DefectNumber(3))]);
    assert_eq!(world.unfit().len(), 2, "repaired in what bears load, not returned: {:?}", world.unfit());
    world.must("lead", &back());
    world.must("tech", &check());
    assert_eq!(world.unfit(), [Why::AlteredSince(day("2026-03-02"))]);
    let left: Vec<_> = world.shop.defects.keys().copied().collect();
    assert_eq!(left, [DefectNumber(1)], "the scratch is still open");
}

#[test]
fn a_tag_stops_use_until_returned() {
    let mut world = World::ready();
    let bay = || lift("north-bay");
    let back = || Command::ReturnToService { lift: bay(), words: "tried".into() };
    assert_eq!(world.refused("lead", &back()), [Refusal::InService(bay())]);
    world.must("learn", &Command::TagOut { lift: bay(), words: "a strange noise".into() });
    assert_eq!(world.unfit(), [Why::Tagged("a strange noise".into())]);
    world.must("exam", &back());
    // Whatever was checked before counts no more, on the next day neither.
    assert_eq!(world.unfit(), [Why::NotCheckedSinceReturned(day("2026-03-02"))]);
    world.at = at("2026-03-03T08:00:00Z");
    assert_eq!(world.unfit(), [Why::NotCheckedSinceReturned(day("2026-03-03"))]);
    world.at = at(MORNING);
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
}

#[test]
fn the_check_before_use_is_of_today_in_the_shops_zone() {
    let mut world = World::ready();
    world.at = at("2026-03-02T22:59:59Z");
    assert_eq!(world.unfit(), []);
    world.at = at("2026-03-02T23:00:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-03"))]);
    let mut some = findings();
    some.remove(&CheckItem::Locks);
    some.remove(&CheckItem::Pads);
    let why = world.refused("tech", &Command::CheckLift { lift: lift("north-bay"), findings: some });
    assert_eq!(why, [Refusal::CheckIncomplete(vec![CheckItem::Locks, CheckItem::Pads])]);
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    assert!(CheckItem::all().all(|item| !item.source().is_empty()));
}

/// Whoever may choose the zone makes nothing fit by it: where it is the day before again, what was given by the later day
/// counts by that one.
#[test]
fn a_zone_farther_west_gives_nothing_back() {
    let mut world = World::ready();
    world.at = at("2026-03-02T23:30:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-03"))]);
    let zone = |zone: &str| Command::ChooseZone { zone: zone.into() };
    world.must("lead", &zone("America/Denver"));
    assert_eq!(world.shop.today(world.at), day("2026-03-02"));
    assert_eq!(
        world.unfit(),
        [Why::NotChecked(day("2026-03-02"))],
        "the check of yesterday is that of no today"
    );
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    // There and back makes no second day of one check.
    world.must("lead", &zone("Australia/Perth"));
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-03"))]);
    world.must("lead", &zone("America/Denver"));
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-02"))]);
}

/// An examination that had lapsed in the zone before is not of force again in another.
#[test]
fn what_lapsed_in_one_zone_has_lapsed_in_every_other() {
    let mut world = World::ready();
    let overdue = Why::Overdue(Thoroughness::Regular, day("2027-02-01"));
    // The due day has ended in the shop's zone, not in Denver's.
    world.at = at("2027-02-01T23:30:00Z");
    assert!(world.unfit().contains(&overdue));
    world.must("lead", &Command::ChooseZone { zone: "America/Denver".into() });
    assert_eq!(world.shop.today(world.at), day("2027-02-01"));
    assert!(world.unfit().contains(&Why::Lapsed(Thoroughness::Regular)), "{:?}", world.unfit());
}

#[test]
fn a_zone_must_be_known_and_units_are_the_leads_to_choose() {
    let mut world = World::ready();
    let nowhere = Command::ChooseZone { zone: "Europe/Nowhere".into() };
    assert_eq!(world.refused("lead", &nowhere), [Refusal::UnknownZone("Europe/Nowhere".into())]);
    assert_eq!(world.shop.units, Units::Metric);
    let us = Command::ChooseUnits { units: Units::Us };
    assert_eq!(
        world.refused("tech", &us),
        [Refusal::RoleMayNot(person("tech"), Role::Technician, Act::RunShop)]
    );
    world.must("lead", &us);
    assert_eq!(world.shop.units, Units::Us);
}

#[test]
fn what_is_wrong_at_the_check_becomes_a_defect_that_another_check_does_not_undo() {
    let mut world = World::ready();
    let mut found = findings();
    found.insert(CheckItem::Locks, Finding::Wrong { words: "right column silent".into() });
    found.insert(CheckItem::Leaks, Finding::Wrong { words: "oil".into() });
    world.must("tech", &Command::CheckLift { lift: lift("north-bay"), findings: found });
    let why = world.unfit();
    assert_eq!(why.len(), 2, "{why:?}");
    world.must("tech", &check());
    assert_eq!(world.unfit(), why);
}

#[test]
fn a_clock_set_back_makes_nothing_fit_again() {
    let mut world = World::ready();
    world.at = at("2027-02-02T08:00:00Z");
    world.must("teach", &instruction("tech", "2027-02-01"));
    world.must("tech", &check());
    let overdue = || Why::Overdue(Thoroughness::Regular, day("2027-02-01"));
    assert_eq!(world.unfit(), [overdue()]);
    world.at = at("2026-12-01T08:00:00Z");
    assert_eq!(world.unfit(), [overdue(), Why::NotChecked(day("2026-12-01"))]);
    let tag = || Command::TagOut { lift: lift("north-bay"), words: "overdue".into() };
    let facts = world.must("tech", &tag());
    assert_eq!(facts[0], Fact::ClockBehind { last: at("2027-02-02T08:00:00Z") });
    let facts = world.must("tech", &tag());
    assert_eq!(facts.len(), 1, "said once: {facts:?}");
    // Seconds apart, as two tablets' clocks are, is no clock set back.
    world.at = at("2027-02-02T08:00:00Z");
    world.must("tech", &tag());
    world.at = at("2027-02-02T07:59:30Z");
    assert_eq!(world.must("tech", &tag()).len(), 1);
}

#[test]
fn a_lead_can_say_that_a_clock_had_run_ahead() {
    let mut world = World::ready();
    let right = Command::SetClock { words: "the tablet's battery was empty".into() };
    assert_eq!(world.refused("lead", &right), [Refusal::ClockNotBehind]);
    world.at = at("2031-01-01T08:00:00Z");
    world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "odd".into() });
    world.at = at("2026-03-02T09:00:00Z");
    assert!(world.unfit().contains(&Why::Overdue(Thoroughness::Regular, day("2027-02-01"))));
    world.must("lead", &right);
    assert_eq!(world.shop.behind, None);
    assert_eq!(world.shop.today(world.at), day("2026-03-02"));
}

/// Whoever may set the clock makes nothing fit by it: what had lapsed by the time that counted must be given anew.
#[test]
fn the_clock_set_back_gives_nothing_back() {
    let mut world = World::ready();
    let morning = world.at;
    assert_eq!(world.unfit(), []);
    world.at = at("2031-01-01T08:00:00Z");
    world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "odd".into() });
    // Back to a day on which it was examined, instructed and checked.
    world.at = morning;
    world.must("lead", &Command::SetClock { words: "the tablet's battery was empty".into() });
    let kind = Thoroughness::Regular;
    let not_checked = Why::NotChecked(day("2026-03-02"));
    let tagged = Why::Tagged("odd".into());
    assert_eq!(world.unfit(), [Why::Lapsed(kind), tagged, not_checked]);
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "looked at".into() });
    // Other rules bring nothing back either.
    world.must("lead", &Command::ChooseRules { rules: Rules::UnitedStates });
    world.must("lead", &Command::ChooseRules { rules: Rules::Germany });
    let not_checked = Why::NotCheckedSinceReturned(day("2026-03-02"));
    assert_eq!(world.unfit(), [Why::Lapsed(kind), not_checked]);
    let why = world.refused("tech", &check());
    assert_eq!(why, [Refusal::InstructedBeforeClock(person("tech"))]);
    assert!(why[0].to_string().contains("before the clock was set back"), "{}", why[0]);
    // Given anew, all is well.
    world.must("lead", &instruction("tech", "2026-03-01"));
    world.must("tech", &check());
    world.must("exam", &examination("2026-03-01"));
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    assert_eq!(world.unfit(), []);
    world.at = at("2027-03-02T08:00:00Z");
    assert!(world.unfit().contains(&Why::Overdue(kind, day("2027-03-01"))));
}

#[test]
fn own_rules_are_held_to_months_that_make_sense() {
    for (examination, instruction, faults) in
        [(1, Some(1), 0), (120, Some(120), 0), (121, None, 1), (0, Some(0), 2), (65535, Some(65535), 2)]
    {
        let own = OwnRules {
            source: "the insurer".into(),
            examination_months: examination,
            check_each_day: true,
            instruction_months: instruction,
            report_fields: vec![],
        };
        let mut world = World::ready();
        let chosen = world.act("lead", &Command::ChooseRules { rules: Rules::Own(own) });
        let why = chosen.err().unwrap_or_default();
        assert_eq!(why.len(), faults, "{examination} {instruction:?}: {why:?}");
        assert!(why.iter().all(|r| matches!(r, Refusal::SenselessRules(_))));
    }
}
