//! A clock that ran ahead, or stands behind: what counts for some time lasts no longer by that.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::*;
use jiff::SignedDuration;
use records::*;

const REGULAR: Thoroughness = Thoroughness::Regular;

fn right() -> Command {
    Command::SetClock { words: "it had run ahead".into() }
}

fn due(world: &World) -> Option<jiff::civil::Date> {
    due_days(&world.shop, &lift("north-bay"), world.at)[0].1
}

/// Examined, confirmed, instructed and checked on the day that the clock says.
fn given(world: &mut World, number: u64) {
    let today = world.shop.today(world.at).to_string();
    world.must("exam", &examination(&today));
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(number) });
    world.must("teach", &instruction("tech", &today));
    world.must("tech", &check());
}

/// 730 days ahead, on what truly was 2026-11-29; then it is right again, on 2026-11-30.
fn ran_ahead() -> World {
    let mut world = World::ready();
    world.at = at("2028-11-28T08:00:00Z");
    given(&mut world, 2);
    world.at = at("2026-11-30T08:00:00Z");
    world
}

#[test]
fn what_was_reported_while_the_clock_ran_ahead_counts_no_longer_than_its_interval() {
    let mut world = ran_ahead();
    world.must("lead", &right());
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    assert_eq!(due(&world), Some(day("2027-11-30")));
    assert_eq!(why_due_sooner(&world.shop, &lift("north-bay")), Some(WentBack::Clock));
    world.at = at("2027-11-30T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.at = at("2027-12-01T08:00:00Z");
    let lapsed = Refusal::InstructionLapsed(person("tech"), day("2027-11-30"));
    assert_eq!(world.refused("tech", &check()), [lapsed]);
    assert!(world.unfit().contains(&Why::Overdue(REGULAR, day("2027-11-30"))), "{:?}", world.unfit());
    given(&mut world, 3);
    assert_eq!((world.unfit(), due(&world)), (vec![], Some(day("2028-12-01"))));
    assert_eq!(why_due_sooner(&world.shop, &lift("north-bay")), None);
}

/// What passed by the clock that ran ahead has passed, and what it was set back by is not given on top.
#[test]
fn the_time_that_is_left_is_the_time_that_was_left() {
    let mut world = World::ready();
    world.at = at("2027-01-30T08:00:00Z");
    world.must("teach", &instruction("tech", "2027-01-30"));
    assert_eq!(due(&world), Some(day("2027-02-01")));
    world.must("tech", &check());
    world.at = at("2026-06-01T08:00:00Z");
    world.must("lead", &right());
    assert_eq!(due(&world), Some(day("2026-06-03")));
    world.at = at("2026-06-03T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.at = at("2026-06-04T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), [Why::Overdue(REGULAR, day("2026-06-03"))]);
    // An examiner's own day likewise.
    let report = Report { next_due: Some(day("2026-07-04")), ..report("2026-06-04", true) };
    world.must("exam", &Command::ReportExamination { report, paper: None });
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(2) });
    world.at = at("2026-07-01T08:00:00Z");
    world.must("tech", &check());
    world.at = at("2026-06-05T08:00:00Z");
    world.must("lead", &right());
    assert_eq!(due(&world), Some(day("2026-06-08")));
}

/// Nobody says that it is right: time goes on by the clock, and what caught up is not fit once more.
#[test]
fn while_the_clock_stands_behind_its_own_days_count() {
    let mut world = ran_ahead();
    assert_eq!(due(&world), Some(day("2027-11-30")), "though nothing in the book says so");
    world.must("tech", &check());
    assert_eq!((world.unfit(), due(&world)), (vec![], Some(day("2027-11-30"))));
    world.at = at("2027-11-30T08:00:00Z");
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    for later in ["2027-12-01T08:00:00Z", "2028-11-29T08:00:00Z", "2028-11-30T08:00:00Z"] {
        world.at = at(later);
        let why = world.unfit();
        assert!(why.iter().any(|w| matches!(w, Why::Overdue(REGULAR, _))), "{later}: {why:?}");
        let why = world.refused("tech", &check());
        assert!(matches!(why[..], [Refusal::InstructionLapsed(..)]), "{later}: {why:?}");
        world.must("lead", &Command::TagOut { lift: lift("north-bay"), words: "overdue".into() });
    }
    assert_eq!(world.shop.behind, None, "it caught up");
}

/// With its battery empty a machine begins anew on some day long past: put right, nothing is lost.
#[test]
fn a_clock_that_stood_behind_and_is_put_right_takes_nothing_away() {
    let mut world = World::ready();
    let due_before = due(&world);
    world.at = at("1970-01-01T00:30:00Z");
    // Nobody is authorised yet, nor of age: it could be the book that ran ahead.
    let why = [Refusal::TooYoung(person("tech"), day("2020-01-01")), Refusal::NotAuthorised(person("tech"))];
    assert_eq!(world.refused("tech", &check()), why);
    let entered = Document::new("the vehicle's file");
    world.must(
        "tech",
        &Command::EnterVehicle { vehicle: vehicle("van"), description: "van".into(), file: entered },
    );
    // By such a clock nothing of the true day can be reported.
    assert_eq!(world.refused("exam", &examination("2026-03-02")), [Refusal::NotYet(day("2026-03-02"))]);
    world.at = at("2026-03-03T08:00:00Z");
    world.must("tech", &check());
    assert_eq!((world.unfit(), due(&world)), (vec![], due_before));
    assert!(world.shop.set_back.iter().all(|back| (back.days, back.right) == (0, None)));
}

/// Days that it ran behind have passed all the same.
#[test]
fn the_days_that_a_clock_ran_behind_have_passed() {
    let mut world = World::ready();
    for n in 0..10 {
        world.at =
            at("2026-01-11T08:00:00Z").saturating_add(SignedDuration::from_hours(24 * n)).expect("a time");
        world.must("tech", &check());
    }
    world.at = at("2026-03-13T08:00:00Z");
    world.must("tech", &check());
    assert_eq!((world.unfit(), due(&world)), (vec![], Some(day("2027-01-23"))));
}

/// What finds it unfit by the right clock is not outdone by what is dated later by the wrong one.
#[test]
fn a_day_to_come_does_not_outdo_what_was_found_since() {
    for set in [false, true] {
        let mut world = ran_ahead();
        world.must("tech", &check());
        world.at = at("2026-12-01T08:00:00Z");
        world.must("exam", &Command::ReportExamination { report: report("2026-12-01", false), paper: None });
        world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(3) });
        if set {
            world.at = at("2026-12-05T08:00:00Z");
            world.must("lead", &right());
        }
        let unfit = Why::FoundUnfit(ExaminationNumber(3));
        assert!(world.unfit().contains(&unfit), "{set}: {:?}", world.unfit());
        let back = Command::ReturnToService { lift: lift("north-bay"), words: "it looks right".into() };
        assert!(matches!(world.refused("lead", &back)[..], [Refusal::FoundUnfit(..)]));
    }
}

fn reported(world: &mut World, number: u64, on: &str, fit: bool) {
    world.must("exam", &Command::ReportExamination { report: report(on, fit), paper: None });
    world.must("lead", &Command::ConfirmExamination { number: ExaminationNumber(number) });
}

fn is_found_unfit(world: &mut World, number: u64, case: &str) {
    let unfit = Why::FoundUnfit(ExaminationNumber(number));
    assert!(world.unfit().contains(&unfit), "{case}: {:?}", world.unfit());
    let back = Command::ReturnToService { lift: lift("north-bay"), words: "it looks right".into() };
    assert!(matches!(world.refused("lead", &back)[..], [Refusal::FoundUnfit(..)]), "{case}");
    let raised = world.refused("tech", &Command::BeginRaise(plan()));
    assert!(
        raised.iter().any(|r| matches!(r, Refusal::LiftUnfit(_, why) if why.contains(&unfit))),
        "{case}: {raised:?}"
    );
}

/// Thirty days ahead it is found fit; by the right clock, first looked at two days on, unfit on the day before that.
#[test]
fn what_found_it_unfit_after_the_clock_went_back_is_not_outdone_by_a_day_that_ran_ahead() {
    for set in [false, true] {
        let mut world = World::ready();
        world.at = at("2026-12-30T08:00:00Z");
        reported(&mut world, 2, "2026-12-30", true);
        world.at = at("2026-12-02T08:00:00Z");
        if set {
            world.must("lead", &right());
        }
        reported(&mut world, 3, "2026-12-01", false);
        is_found_unfit(&mut world, 3, if set { "said" } else { "unsaid" });
        // Nor once time caught up.
        world.at = at("2026-12-31T08:00:00Z");
        is_found_unfit(&mut world, 3, "caught up");
        reported(&mut world, 4, "2026-12-31", true);
        let (kept, number) = (world.unfit(), ExaminationNumber(3));
        assert!(!kept.contains(&Why::FoundUnfit(number)), "a later one finds it fit: {kept:?}");
    }
}

/// Entered after the clock was set back, of a day before: the later by its event, not by its day.
#[test]
fn an_older_examination_that_is_entered_late_does_not_outdo_what_found_it_unfit() {
    for (ahead, back) in [
        ("2026-11-30T08:00:05Z", "2026-11-30T08:00:00Z"),
        ("2026-11-30T18:00:00Z", "2026-11-30T08:00:00Z"),
        ("2026-12-30T08:00:00Z", "2026-11-30T09:00:00Z"),
        ("2027-11-30T08:00:00Z", "2026-12-02T09:00:00Z"),
    ] {
        let mut world = World::ready();
        world.at = at("2026-11-30T07:00:00Z");
        reported(&mut world, 2, "2026-11-30", false);
        world.at = at(ahead);
        world.must("lead", &Command::TagOut { lift: lift("north-bay"), words: "unfit".into() });
        world.at = at(back);
        world.must("lead", &right());
        reported(&mut world, 3, "2026-11-20", true);
        is_found_unfit(&mut world, 2, ahead);
        let today = world.shop.today(world.at).to_string();
        reported(&mut world, 4, &today, true);
        assert!(!world.unfit().contains(&Why::FoundUnfit(ExaminationNumber(2))), "{ahead}");
    }
}

/// What was found by a clock that had run ahead is overtaken by what was found since, and stays so once that is said.
#[test]
fn what_found_it_unfit_while_the_clock_ran_ahead_is_overtaken_by_a_later_one() {
    let mut world = World::ready();
    world.at = at("2026-12-30T08:00:00Z");
    reported(&mut world, 2, "2026-12-30", false);
    world.at = at("2026-12-01T08:00:00Z");
    is_found_unfit(&mut world, 2, "the clock went back");
    reported(&mut world, 3, "2026-12-01", true);
    let is_unfit = |world: &World| world.unfit().contains(&Why::FoundUnfit(ExaminationNumber(2)));
    assert!(!is_unfit(&world));
    world.at = at("2026-12-10T08:00:00Z");
    world.must("lead", &right());
    assert!(!is_unfit(&world));
}

/// One event with the clock ahead makes nobody of age, nor authorised, before their day.
#[test]
fn what_begins_on_a_day_does_not_begin_by_a_clock_that_ran_ahead() {
    let mut world = World::ready();
    world.must(
        "lead",
        &Command::AdmitPerson(Admission {
            of_age: Some(day("2026-06-01")),
            ..admission("young", Role::Technician)
        }),
    );
    world.must("lead", &instruction("young", "2026-03-01"));
    let paper = Authorisation { person: person("young"), on: day("2026-06-15"), paper: "folder 4".into() };
    world.must("lead", &Command::Authorise(paper));
    world.at = at("2026-07-01T08:00:00Z");
    world.must("tech", &check());
    world.at = at("2026-03-02T09:00:00Z");
    let young = || Refusal::TooYoung(person("young"), day("2026-06-01"));
    let unauthorised = || Refusal::NotAuthorised(person("young"));
    assert_eq!(world.refused("young", &check()), [young(), unauthorised()]);
    world.must("tech", &check());
    assert_eq!(world.refused("young", &Command::BeginRaise(plan())), [young(), unauthorised()]);
    world.at = at("2026-06-01T08:00:00Z");
    assert_eq!(world.refused("young", &check()), [unauthorised()]);
    world.at = at("2026-06-15T08:00:00Z");
    world.must("young", &check());
}

/// Two machines in turn, the second late by some minutes: for ten nights it passes midnight behind the first.
fn nights(world: &mut World, late: i64) {
    let late = 60 * late;
    for night in 0..10 {
        let midnight = at("2026-03-02T23:00:00Z").saturating_add(SignedDuration::from_hours(24 * night));
        let midnight = midnight.expect("a time");
        let in_turn = [(late - 60, false), (late - 30, true), (late + 15, true), (late + 60, false)];
        for (seconds, is_late) in in_turn {
            let read = seconds - if is_late { late } else { 0 };
            world.at = midnight.saturating_add(SignedDuration::from_secs(read)).expect("a time");
            world.must(
                "tech",
                &Command::EnterVehicle {
                    vehicle: vehicle("van"),
                    description: format!("van {night}"),
                    file: Document::new(format!("{night} {seconds}")),
                },
            );
        }
    }
}

#[test]
fn machines_whose_clocks_differ_cost_no_day_at_midnight() {
    for late in [2, 14, 60] {
        let mut world = World::ready();
        let due_before = due(&world);
        nights(&mut world, late);
        world.at = at("2026-03-12T08:00:00Z");
        world.must("tech", &check());
        assert_eq!((world.unfit(), due(&world)), (vec![], due_before), "{late}");
        assert!(world.shop.set_back.len() <= 1, "{late}: {:?}", world.shop.set_back);
        assert_eq!(world.events.iter().any(|e| e.fact.kind() == "clock-behind"), late > 15, "{late}");
    }
}

/// A check holds on both, made on either after midnight.
#[test]
fn a_check_holds_on_machines_whose_clocks_differ() {
    let midnight = at("2026-03-02T23:00:00Z");
    let read = |minutes: i64| midnight.saturating_add(SignedDuration::from_mins(minutes)).expect("a time");
    for (made, other) in [(1, -1), (1, 3), (-1, 1)] {
        let mut world = World::ready();
        world.at = read(1);
        world.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "odd".into() });
        world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "looked at".into() });
        world.at = read(made);
        world.must("tech", &check());
        world.at = read(other);
        assert_eq!(world.unfit(), [], "{made} {other}");
        assert!(!world.shop.stands_behind(world.at));
    }
}

/// Nor does it cost anything to say that the clock is right, where that took no day: checks, and which instruction is the last.
#[test]
fn a_clock_set_back_by_little_costs_nothing() {
    for (ahead, back) in [
        ("2026-03-03T08:00:05Z", "2026-03-03T08:00:00Z"),
        ("2026-03-02T23:05:00Z", "2026-03-02T22:55:00Z"),
        ("2026-03-03T10:00:00Z", "2026-03-03T08:00:00Z"),
    ] {
        let mut world = World::ready();
        let due_before = due(&world);
        world.at = at(ahead);
        world.must("teach", &instruction("tech", "2026-03-02"));
        world.must("tech", &check());
        world.at = at(back);
        world.must("lead", &right());
        world.must("teach", &instruction("tech", "2025-02-01"));
        assert_eq!((world.unfit(), due(&world)), (vec![], due_before), "{ahead}");
        world.must("tech", &check());
        assert_eq!(world.shop.instructed(&world.shop.people[&person("tech")]), Some(day("2026-03-02")));
    }
}

/// Farther west it is the day before again: the zone was changed, no clock was set back.
#[test]
fn a_zone_farther_west_is_told_as_one() {
    let mut world = World::ready();
    world.at = at("2026-03-02T23:30:00Z");
    world.must("lead", &Command::ChooseZone { zone: "America/New_York".into() });
    let why = || why_due_sooner(&world.shop, &lift("north-bay"));
    assert_eq!((due(&world), why()), (Some(day("2027-01-31")), Some(WentBack::Zone)));
}

/// The plate's day of first use as well, until the lift is entered again.
#[test]
fn a_first_use_to_come_counts_from_the_right_day() {
    let mut world = World::ready();
    world.must("lead", &Command::ChooseRules { rules: Rules::Australia });
    let major = |world: &World| due_days(&world.shop, &lift("north-bay"), world.at)[2].1;
    let enter = |on: &str| Command::EnterLift {
        sheet: LiftSheet { first_used: Some(day(on)), ..sheet() },
        file: Document::new("the lift's file"),
    };
    world.at = at("2028-11-28T08:00:00Z");
    world.must("lead", &enter("2028-11-28"));
    assert_eq!(major(&world), Some(day("2038-11-28")));
    world.at = at("2026-11-30T08:00:00Z");
    world.must("lead", &right());
    assert_eq!(major(&world), Some(day("2036-11-30")));
    world.must("lead", &enter("2019-05-01"));
    assert_eq!(major(&world), Some(day("2029-05-01")));
}

/// A clock that is late and is said to be right makes no older report later, of an examination or after an alteration.
#[test]
fn a_clock_that_is_late_makes_no_older_report_later() {
    let late = |world: &mut World| {
        world.at = at("2026-11-20T08:00:00Z");
        world.must("lead", &right());
        world.at = at("2026-11-30T09:00:00Z");
    };
    let mut world = World::ready();
    world.at = at("2026-11-30T08:00:00Z");
    reported(&mut world, 2, "2026-11-30", false);
    late(&mut world);
    reported(&mut world, 3, "2026-11-25", true);
    is_found_unfit(&mut world, 2, "entered late");
    reported(&mut world, 4, "2026-11-30", true);
    assert!(!world.unfit().contains(&Why::FoundUnfit(ExaminationNumber(2))), "{:?}", world.unfit());

    let mut world = World::ready();
    world.at = at("2026-11-30T08:00:00Z");
    world.must("lead", &Command::AlterLift { lift: lift("north-bay"), words: "new cable".into() });
    late(&mut world);
    reported(&mut world, 2, "2026-11-25", true);
    let is_altered = |world: &World| world.unfit().iter().any(|why| matches!(why, Why::AlteredSince(_)));
    assert!(is_altered(&world), "{:?}", world.unfit());
    reported(&mut world, 3, "2026-11-30", true);
    assert!(!is_altered(&world), "{:?}", world.unfit());
}

/// At midnight one machine is a day ahead of the other by minutes.
#[test]
fn a_day_that_another_machine_is_ahead_by_does_not_outdo_what_was_found_since() {
    let mut world = World::ready();
    world.at = at("2026-11-30T23:01:00Z");
    reported(&mut world, 2, "2026-12-01", true);
    world.at = at("2026-11-30T22:50:00Z");
    reported(&mut world, 3, "2026-11-30", false);
    is_found_unfit(&mut world, 3, "by the machine that is behind");
}

/// Later the same day, by the day after: a check of a clock that ran ahead is none of the day that it told.
#[test]
fn a_check_by_a_clock_that_ran_ahead_is_none_of_the_day_that_it_told() {
    let tag = |world: &mut World, time: &str| {
        world.at = at(time);
        world.must("lead", &Command::TagOut { lift: lift("south-bay"), words: "odd".into() });
    };
    let not_checked = |on: &str| vec![Why::NotChecked(day(on))];
    for ended in ["said", "caught up", "open"] {
        let mut world = World::ready();
        world.must("lead", &other_lift());
        if ended == "open" {
            // Some other time ran farther ahead, and that has not been said.
            tag(&mut world, "2026-03-20T08:00:00Z");
        }
        world.at = at("2026-03-06T08:00:00Z");
        world.must("tech", &check());
        assert_eq!(world.unfit(), [], "{ended}");
        tag(&mut world, "2026-03-03T08:00:00Z");
        if ended == "said" {
            world.must("lead", &right());
        }
        assert_eq!(world.unfit(), not_checked("2026-03-03"), "{ended}");
        for morning in ["2026-03-04T08:00:00Z", "2026-03-05T08:00:00Z"] {
            tag(&mut world, morning);
        }
        for time in ["2026-03-06T06:00:00Z", "2026-03-06T08:30:00Z"] {
            world.at = at(time);
            assert_eq!(world.unfit(), not_checked("2026-03-06"), "{ended}");
            let raised = world.refused("tech", &Command::BeginRaise(plan()));
            let why = not_checked("2026-03-06");
            assert_eq!(raised, [Refusal::LiftUnfit(lift("north-bay"), why)], "{ended} {time}");
        }
        tag(&mut world, "2026-03-06T09:00:00Z");
        assert_eq!(world.unfit(), not_checked("2026-03-06"), "{ended}");
        assert_eq!(world.shop.behind.is_some(), ended == "open");
        world.must("tech", &check());
        assert_eq!(world.unfit(), [], "{ended}");
    }
}

/// Two machines in turn, one a day ahead.
#[test]
fn a_check_by_a_machine_that_is_a_day_ahead_holds_on_no_day_of_the_other() {
    let mut world = World::ready();
    world.at = at("2026-03-04T08:00:00Z");
    world.must("tech", &check());
    world.at = at("2026-03-03T08:05:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-03"))]);
    world.must("tech", &check());
    assert_eq!(world.unfit(), []);
    world.at = at("2026-03-04T08:10:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-04"))], "that of the other is none of this day");
    world.must("tech", &check());
    world.at = at("2026-03-03T08:15:00Z");
    world.must("lead", &other_lift());
    world.at = at("2026-03-04T07:00:00Z");
    assert_eq!(world.unfit(), [Why::NotChecked(day("2026-03-04"))]);
    world.must("tech", &check());
    // Where it went back within the day, it holds.
    world.at = at("2026-03-04T06:00:00Z");
    world.must("lead", &other_lift());
    world.at = at("2026-03-04T08:20:00Z");
    assert_eq!(world.unfit(), []);
}

fn other_lift() -> Command {
    let sheet = LiftSheet { lift: lift("south-bay"), ..sheet() };
    Command::EnterLift { sheet, file: Document::new("another lift's file") }
}
