//! The hold points of a raise: what may come when, and what goes wrong.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::collections::BTreeSet;

use HoldPoint as P;
use common::*;
use records::*;

/// Own convention: the order of a raise on two posts, with two parts and two pads to recheck.
fn whole() -> Vec<P> {
    vec![
        P::Spotted,
        P::PadsSeated,
        P::ArmLocksEngaged,
        P::TestRaised,
        P::Shaken,
        P::PadRechecked(0),
        P::PadRechecked(3),
        P::Raised,
        P::OnLocks,
        P::StepDone(0),
        P::StepDone(1),
        P::AreaClear,
        P::OffLocks,
        P::LocksReleased,
        P::FullyDown,
        P::ArmsClear,
        P::DrivenOff,
    ]
}

const DOWN: [P; 4] = [P::AreaClear, P::OffLocks, P::LocksReleased, P::FullyDown];

fn begun(outline: Outline) -> World {
    let mut world = World::ready();
    world.must("tech", &Command::BeginRaise(NewPlan { outline, ..plan() }));
    world
}

fn upset(world: &mut World) {
    let noise = Command::Upset { raise: RaiseNumber(1), sign: Sign::Noise, words: "a crack".into() };
    world.must("tech", &noise);
}

#[test]
fn every_point_needs_its_predecessor() {
    let mut world = begun(outline());
    let all = whole();
    assert_eq!(world.progress().ahead, all);
    for (next, point) in all.iter().enumerate() {
        for other in &all {
            if other != point {
                let why = world.refused("tech", &confirm(*other, Some(judgement(true))));
                assert!(
                    why.contains(&Refusal::NotNext { asked: *other, next: all[next] }),
                    "{other} before {point}: {why:?}"
                );
            }
        }
        world.next("tech");
    }
    assert!(world.shop.raises.is_empty(), "driven off, it has ended");
    let why = world.refused("tech", &confirm(P::DrivenOff, None));
    assert_eq!(why, [Refusal::NoSuchRaise(RaiseNumber(1))]);
}

#[test]
fn a_lift_without_locks_has_none_to_rest_on() {
    let world = begun(Outline { lock: None, ..outline() });
    let none =
        world.progress().ahead.iter().all(|p| !matches!(p, P::OnLocks | P::OffLocks | P::LocksReleased));
    assert!(none, "{:?}", world.progress().ahead);
}

/// A lock that engaged on one column only while the other goes down tips the vehicle: where the test raise reaches one, it is
/// raised off it on the way down from there too.
#[test]
fn from_a_test_raise_past_a_lock_it_comes_down_off_the_lock() {
    let with = [P::AreaClear, P::OffLocks, P::LocksReleased, P::FullyDown];
    let without = [P::AreaClear, P::FullyDown];
    // The test raise is 280 mm, and a carriage may be 50 mm ahead of the other. An older program wrote none down.
    for (first, way) in
        [(Some(100), &with[..]), (Some(280), &with), (Some(330), &with), (Some(331), &without), (None, &with)]
    {
        for until in [P::ArmLocksEngaged, P::TestRaised, P::Shaken] {
            let outline = Outline { first_lock_millimetres: first, ..outline() };
            assert_eq!(outline.test_raise_reaches_a_lock(), way == with);
            for brings_down in [
                Command::BringDown { raise: RaiseNumber(1), words: "oil".into() },
                Command::Upset { raise: RaiseNumber(1), sign: Sign::Noise, words: "a creak".into() },
            ] {
                let mut world = begun(outline.clone());
                world.until("tech", until);
                world.must("tech", &brings_down);
                assert_eq!(world.progress().ahead[..way.len()], *way, "{first:?} {until} {brings_down:?}");
                world.until("tech", P::FullyDown);
                assert_eq!(world.progress().position, Position::Floor);
            }
        }
    }
    let none = Outline { lock: None, first_lock_millimetres: None, ..outline() };
    assert!(!none.test_raise_reaches_a_lock());
}

fn later(locks: &[(u16, u16)]) -> Vec<LaterLock> {
    locks.iter().map(|(after, lock)| LaterLock { after: *after, lock: *lock }).collect()
}

/// Own convention: nobody under it while it moves; down only with the locks released, up with each heard; then at rest.
#[test]
fn each_lock_of_a_task_is_led_to_with_the_stands_away() {
    let stands = Some((0, 1));
    let world = begun(Outline { stands, later: later(&[(0, 9), (1, 4), (2, 6)]), ..outline() });
    let up = |n| [P::AreaClear, P::OffLocks, P::HeightReached(n), P::OnLocks];
    let down = |n| [P::AreaClear, P::OffLocks, P::LocksReleased, P::HeightReached(n), P::OnLocks];
    let work = [
        &up(0)[..],
        &[P::StandsSet, P::StepDone(0), P::StandsAway],
        &down(1)[..],
        &[P::StepDone(1)],
        &up(2)[..],
    ]
    .concat();
    let ahead = &world.progress().ahead;
    let first = ahead.iter().position(|p| *p == P::OnLocks).expect("it rests") + 1;
    assert_eq!(ahead[first..first + work.len()], work);
    let sentence = |n| P::HeightReached(n).sentence(&world.progress().outline, |mm| format!("{mm} mm"));
    assert_eq!(sentence(0), "It is at lock 9; on the way up every lock was heard on both columns.");
    assert_eq!(sentence(1), "It is at lock 4; it was lowered to it, both carriages alike.");
    // Up from lock 4, or, seated again, down from lock 7.
    assert_eq!(sentence(2), "It is at lock 6; where it went up to it, every lock was heard on both columns.");
}

#[test]
fn on_the_way_to_another_lock_what_goes_wrong_leads_down() {
    let mut world = begun(Outline { later: later(&[(1, 9)]), ..outline() });
    world.until("tech", P::StepDone(0));
    world.until("tech", P::OffLocks);
    assert!(!world.progress().going_down, "it goes on");
    // A lock that is not heard there stops it as on the first way up.
    let words = "silent on the right".to_owned();
    world.must("tech", &Command::LockNotHeard { raise: RaiseNumber(1), words });
    assert_eq!(world.progress().next(), Some(P::AreaClear));
    assert!(world.progress().going_down);
    let why = world.refused("tech", &confirm(P::HeightReached(0), None));
    assert!(matches!(why[..], [Refusal::NotNext { .. }]), "{why:?}");
    world.until("tech", P::LeftOnFloor);
}

#[test]
fn seated_again_it_goes_back_to_the_lock_of_the_work() {
    let mut world = begun(Outline { later: later(&[(1, 9)]), ..outline() });
    world.until("tech", P::HeightReached(0));
    world.until("tech", P::OnLocks);
    upset(&mut world);
    world.until("tech", P::OnLocks);
    let back = [P::AreaClear, P::OffLocks, P::HeightReached(0), P::OnLocks, P::StepDone(1)];
    assert_eq!(world.progress().ahead[..5], back);
    world.until("tech", P::DrivenOff);
}

#[test]
fn another_lock_while_stands_stand_is_no_outline() {
    let two = || Outline { stands: Some((0, 2)), ..outline() };
    for (outline, sound) in [
        (Outline { later: later(&[(0, 9), (2, 3)]), ..two() }, true),
        (Outline { later: later(&[(1, 9)]), ..two() }, false),
        (Outline { later: later(&[(2, 9), (1, 3)]), ..outline() }, false),
        (Outline { later: later(&[(3, 9)]), ..outline() }, false),
        (Outline { later: later(&[(1, 0)]), ..outline() }, false),
        (Outline { later: later(&[(1, 9)]), lock: None, ..outline() }, false),
    ] {
        assert_eq!(outline.is_sound(), sound, "{outline:?}");
    }
}

#[test]
fn words_of_hold_points_are_read_again() {
    let more = [P::StandsSet, P::StandsAway, P::StepDone(41), P::HeightReached(3)];
    for point in whole().into_iter().chain(more) {
        assert_eq!(point.to_string().parse(), Ok(point));
        assert!(point.sentence(&outline(), |mm| format!("{mm} mm")).ends_with('.'));
    }
    for wrong in [
        "",
        "pad-0-rechecked",
        "pad-5-rechecked",
        "step-0-done",
        "step--done",
        "height-1-reached",
        "raised ",
        "Raised",
    ] {
        assert!(wrong.parse::<P>().is_err(), "{wrong}");
    }
}

#[test]
fn each_part_needs_a_check_that_passes() {
    let mut world = begun(outline());
    world.until("tech", P::OnLocks);
    for step in [P::StepDone(0), P::StepDone(1)] {
        assert_eq!(world.refused("tech", &confirm(step, None)), [Refusal::JudgementMissing(step)]);
        let fails = world.refused("tech", &confirm(step, Some(judgement(false))));
        assert_eq!(fails, [Refusal::JudgementFails(step)]);
        world.must("tech", &confirm(step, Some(judgement(true))));
    }
}

#[test]
fn a_measured_spot_that_fails_is_not_confirmed() {
    let mut world = begun(outline());
    let fails = world.refused("tech", &confirm(P::Spotted, Some(judgement(false))));
    assert_eq!(fails, [Refusal::JudgementFails(P::Spotted)]);
    let facts = world.must("tech", &confirm(P::Spotted, Some(judgement(true))));
    assert_eq!(facts[0].documents(), [judgement(true).record.digest()]);
}

/// What failed as it was measured passes only as it is measured again, or with words; the check as it was planned says
/// nothing of where it stands.
#[test]
fn what_was_measured_and_refused_needs_another_measuring_or_words() {
    let refuse = |world: &mut World, point, passes| {
        let judged =
            Some(Judged { passes, record: Digest::of("as measured"), least_reserve: None, outline: None });
        let reasons = vec!["as measured".into()];
        world.put("tech", Fact::PointRefused { raise: RaiseNumber(1), point, judged, reasons });
    };
    let confirm = |point, judgement, words: Option<&str>| {
        let words = words.map(str::to_owned);
        Command::Confirm { raise: RaiseNumber(1), point, judgement, words, seen: None }
    };
    let as_planned = || Some(Judgement { as_found: false, ..judgement(true) });
    let mut world = begun(outline());
    // Held up by something else, its check passed.
    refuse(&mut world, P::Spotted, true);
    assert!(!world.progress().asks_what_was_changed());
    refuse(&mut world, P::Spotted, false);
    for words in [None, Some(" ")] {
        let why = world.refused("tech", &confirm(P::Spotted, None, words));
        assert_eq!(why, [Refusal::StandsWrong(P::Spotted)]);
    }
    world.must("tech", &confirm(P::Spotted, None, Some("driven on anew")));
    assert!(!world.progress().asks_what_was_changed());
    // With a part off the pads are checked as they were planned in any case.
    world.until("tech", P::StepDone(0));
    upset(&mut world);
    world.until("tech", P::FullyDown);
    refuse(&mut world, P::PadsSeated, false);
    let why = world.refused("tech", &confirm(P::PadsSeated, as_planned(), None));
    assert_eq!(why, [Refusal::StandsWrong(P::PadsSeated)]);
    world.must("tech", &confirm(P::PadsSeated, Some(judgement(true)), None));
    // The way down is held up by nothing.
    let mut world = begun(outline());
    world.until("tech", P::Spotted);
    refuse(&mut world, P::PadsSeated, false);
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "enough".into() });
    world.until("tech", P::DrivenOff);
}

/// In doubt, so that the next point asks for a check.
fn measured(world: &mut World) {
    let (what, value, how) = ("weight.total".into(), "3400 kg".into(), "scale".into());
    let measurement = Measurement { vehicle: vehicle("hatchback"), what, value, how };
    world.must("tech", &Command::Measure(measurement));
}

fn by(world: &World, outline: Outline) -> Option<Judgement> {
    Some(Judgement { outline: Some(outline), ..judged(world.progress(), true) })
}

/// Until it is raised for the test, all is led as the check has it: pads, test raise, lock and later locks.
#[test]
fn before_the_test_raise_a_check_leads_anew() {
    for last in [None, Some(P::Spotted), Some(P::ArmLocksEngaged)] {
        let mut world = begun(Outline { later: later(&[(1, 9)]), ..outline() });
        if let Some(last) = last {
            world.until("tech", last);
        }
        measured(&mut world);
        let point = world.progress().next().expect("a point");
        let checked = Outline {
            recheck: vec![1, 2],
            lock: Some(5),
            later: later(&[(0, 6), (1, 8)]),
            test_raise_millimetres: 432,
            ..outline()
        };
        let judgement = by(&world, checked.clone());
        world.must("tech", &confirm(point, judgement));
        assert_eq!(world.progress().outline, checked);
        let mut expected = Progress::new(checked).ahead;
        expected.drain(..=expected.iter().position(|p| *p == point).expect("it is led"));
        assert_eq!(world.progress().ahead, expected, "after {last:?}");
        world.until("tech", P::DrivenOff);
    }
}

/// Once it hangs at the test raise, pads that are newly named come before it is raised, and none that was to come is left out.
#[test]
fn at_the_test_raise_a_pad_that_is_newly_named_is_rechecked_first() {
    let named = |recheck: &[u8]| Outline { recheck: recheck.to_vec(), ..outline() };
    let pads = |world: &World| -> Vec<P> {
        world.progress().ahead.iter().copied().take_while(|p| *p != P::Raised).collect()
    };
    let [first, second, last] = [0, 2, 3].map(P::PadRechecked);
    for (until, next, expected) in [
        (P::TestRaised, P::Shaken, vec![first, second, last]),
        (P::Shaken, first, vec![second, last]),
        (first, second, vec![last]),
        (last, second, vec![]),
    ] {
        let mut world = begun(outline());
        world.until("tech", until);
        measured(&mut world);
        let judgement = by(&world, named(&[0, 2]));
        let was_next = world.progress().next().expect("a point");
        if was_next != next {
            let why = world.refused("tech", &confirm(was_next, judgement.clone()));
            assert_eq!(why, [Refusal::NotNext { asked: was_next, next }]);
        }
        world.must("tech", &confirm(next, judgement));
        assert_eq!(pads(&world), expected, "after {until}");
        assert!(!world.progress().in_doubt());
        world.until("tech", P::DrivenOff);
    }
    // On its way up it may be past another lock.
    for (until, followed) in [(P::TestRaised, true), (last, false)] {
        let mut world = begun(outline());
        world.until("tech", until);
        measured(&mut world);
        let point = world.progress().next().expect("a point");
        let judgement = by(&world, Outline { lock: Some(5), ..outline() });
        if followed {
            world.must("tech", &confirm(point, judgement));
            assert_eq!(world.progress().outline.lock, Some(5));
        } else {
            assert_eq!(world.refused("tech", &confirm(point, judgement)), [Refusal::OtherLocks]);
        }
    }
}

/// Above that, what can be led no more is refused, with what is to be done.
#[test]
fn what_a_check_asks_for_too_late_is_refused() {
    let turned = || Outline { backwards: Some(true), ..outline() };
    let other = |recheck: &[u8], locks: &[(u16, u16)]| Outline {
        recheck: recheck.to_vec(),
        later: later(locks),
        ..outline()
    };
    let pad = Refusal::PadNotRechecked("front right pad".into());
    for (checked, why) in [
        (other(&[1, 3], &[]), vec![pad]),
        (other(&[], &[(1, 9)]), vec![Refusal::OtherLocks]),
        (Outline { lock: Some(6), ..outline() }, vec![Refusal::OtherLocks]),
        (turned(), vec![Refusal::DrivenInOtherwise(false)]),
        (other(&[3], &[]), vec![]),
    ] {
        let mut world = begun(outline());
        world.until("tech", P::OnLocks);
        measured(&mut world);
        let command = confirm(P::StepDone(0), by(&world, checked));
        if why.is_empty() {
            world.must("tech", &command);
            assert!(!world.progress().in_doubt());
        } else {
            let refusals = world.refused("tech", &command);
            assert_eq!(refusals, why);
            // It stands in the book, and in doubt.
            let written = refused(&world.shop, world.at, &Hand::alone(person("tech")), &command, &refusals);
            written.expect("written").facts.into_iter().for_each(|fact| world.put("tech", fact));
            let refused = world.last("point-refused");
            assert_eq!(world.progress().doubt, Some(refused));
            world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "begin anew".into() });
        }
        world.end("tech");
    }
    let mut world = begun(outline());
    let why = world.refused("tech", &confirm(P::Spotted, by(&world, turned())));
    assert_eq!(why, [Refusal::DrivenInOtherwise(false)]);
    // Seated again with a part off, it cannot have been at another lock before.
    let mut world = begun(Outline { later: later(&[(0, 9)]), ..outline() });
    world.until("tech", P::StepDone(0));
    upset(&mut world);
    world.until("tech", P::FullyDown);
    let why = world.refused("tech", &confirm(P::PadsSeated, by(&world, other(&[0], &[(0, 8)]))));
    assert_eq!(why, [Refusal::OtherLocks]);
    let checked = other(&[2], &[(0, 9), (2, 8)]);
    world.must("tech", &confirm(P::PadsSeated, by(&world, checked)));
    let pads = world.progress().ahead.iter().filter(|p| matches!(p, P::PadRechecked(_)));
    let every = [0, 1, 2, 3].map(P::PadRechecked);
    assert_eq!(pads.copied().collect::<Vec<_>>(), every, "with a part off");
    world.until("tech", P::HeightReached(0));
    world.until("tech", P::HeightReached(1));
    world.until("tech", P::DrivenOff);
}

#[test]
fn noise_sends_it_back_to_the_seating_lowered_first_if_raised() {
    let all = whole();
    for (last, first) in [
        (P::PadsSeated, vec![P::PadsSeated]),
        (P::ArmLocksEngaged, vec![P::AreaClear, P::FullyDown, P::PadsSeated]),
        (P::TestRaised, vec![P::AreaClear, P::FullyDown, P::PadsSeated]),
        (P::Shaken, vec![P::AreaClear, P::FullyDown, P::PadsSeated]),
        (P::PadRechecked(3), [&DOWN[..], &[P::PadsSeated]].concat()),
        (P::Raised, [&DOWN[..], &[P::PadsSeated]].concat()),
        (P::OnLocks, [&DOWN[..], &[P::PadsSeated]].concat()),
    ] {
        let mut world = begun(outline());
        world.until("tech", last);
        upset(&mut world);
        let mut expected = [&first[..], &all[2..]].concat();
        if last == P::OnLocks {
            // The part may be off: every pad is rechecked.
            let pad = expected.iter().position(|p| *p == P::PadRechecked(3)).unwrap();
            expected.splice(pad..pad, [1, 2].map(P::PadRechecked));
        }
        assert_eq!(world.progress().ahead, expected, "after {last}");
        world.until("tech", P::DrivenOff);
    }
}

#[test]
fn noise_before_the_pads_are_seated_changes_no_course_and_on_the_way_down_the_area_is_looked_at_again() {
    let mut world = begun(outline());
    upset(&mut world);
    assert_eq!(world.progress().ahead, whole());
    world.until("tech", P::Raised);
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "enough".into() });
    let mut done = begun(outline());
    done.until("tech", P::AreaClear);
    for mut world in [world, done] {
        let before = world.progress().ahead.clone();
        upset(&mut world);
        let rest = before.strip_prefix(&[P::AreaClear]).unwrap_or(&before);
        assert_eq!(world.progress().ahead, [&[P::AreaClear], rest].concat());
        world.until("tech", P::DrivenOff);
    }
}

#[test]
fn raised_again_with_a_part_off_it_is_checked_as_it_is() {
    let mut world = begun(outline());
    world.until("tech", P::StepDone(0));
    upset(&mut world);
    world.until("tech", P::FullyDown);
    assert_eq!(
        world.refused("tech", &confirm(P::PadsSeated, None)),
        [Refusal::JudgementMissing(P::PadsSeated)]
    );
    world.until("tech", P::OnLocks);
    assert_eq!(world.progress().next(), Some(P::StepDone(1)), "the part that is off stays off");
    world.until("tech", P::DrivenOff);
}

#[test]
fn a_lock_not_heard_leaves_only_the_way_down_and_takes_the_lift_out_of_service() {
    for last in [P::ArmLocksEngaged, P::TestRaised, P::PadRechecked(3), P::Raised] {
        let mut world = begun(outline());
        world.until("tech", last);
        let silent = Command::LockNotHeard { raise: RaiseNumber(1), words: "right column, third".into() };
        world.must("learn", &silent);
        let tag = Why::Tagged("raise 1, a lock was not heard: right column, third".into());
        assert_eq!(world.unfit(), [tag]);
        // The lock was passed: it is somewhere between the test height and the next lock, whatever was confirmed.
        assert_eq!(
            world.progress().ahead,
            [&DOWN[..], &[P::ArmsClear, P::DrivenOff]].concat(),
            "after {last}"
        );
        let between = if last == P::Raised { Position::Raised } else { Position::Raising };
        assert_eq!(world.progress().position, between, "after {last}");
        assert_eq!(world.refused("tech", &silent), [Refusal::NotGoingUp(RaiseNumber(1))]);
        world.until("tech", P::DrivenOff);
        let why = world.refused("tech", &Command::BeginRaise(plan()));
        assert!(matches!(&why[..], [Refusal::LiftUnfit(..)]), "{why:?}");
    }
}

#[test]
fn a_lock_can_only_be_missed_on_the_way_up() {
    let silent = Command::LockNotHeard { raise: RaiseNumber(1), words: "left".into() };
    for last in [P::Spotted, P::PadsSeated, P::OnLocks, P::AreaClear] {
        let mut world = begun(outline());
        world.until("tech", last);
        assert_eq!(world.refused("tech", &silent), [Refusal::NotGoingUp(RaiseNumber(1))], "after {last}");
    }
}

#[test]
fn what_is_not_right_is_written_down_and_changes_no_course() {
    let mut world = begun(outline());
    world.until("tech", P::Shaken);
    let before = world.progress().clone();
    world.must("learn", &Command::NotRight { raise: RaiseNumber(1), words: "the door is ajar".into() });
    assert_eq!(world.progress(), &before);
    let blank = Command::NotRight { raise: RaiseNumber(1), words: " ".into() };
    assert_eq!(world.refused("learn", &blank), [Refusal::Blank("what is not right")]);
}

/// Stands are set after the first of three parts and taken away after the third.
fn on_stands() -> Outline {
    Outline { stands: Some((1, 3)), ..led(&["axle off", "tank off", "axle on"]) }
}

#[test]
fn stands_are_set_and_taken_away_where_the_plan_says() {
    let mut world = begun(on_stands());
    world.until("tech", P::OnLocks);
    let work = [P::StepDone(0), P::StandsSet, P::StepDone(1), P::StepDone(2), P::StandsAway];
    assert_eq!(world.progress().ahead[..5], work);
    world.until("tech", P::DrivenOff);
}

#[test]
fn stands_that_hold_it_stay_until_it_stands_without_them() {
    let mut world = begun(on_stands());
    world.until("tech", P::StandsSet);
    assert!(!world.progress().stands_hold_it());
    let mut early = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    upset(&mut early);
    assert_eq!(early.progress().ahead[..3], [P::StepUndone(1), P::StandsAway, P::AreaClear]);
    early.until("tech", P::OnLocks);
    assert_eq!(early.progress().next(), Some(P::StandsSet), "set again after it was seated again");
    early.until("tech", P::DrivenOff);

    world.until("tech", P::StepDone(1));
    assert!(world.progress().stands_hold_it());
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "fire drill".into() });
    let down = [P::StepDone(2), P::StandsAway, P::AreaClear, P::OffLocks, P::LocksReleased, P::FullyDown];
    assert_eq!(world.progress().ahead[..6], down);
    world.until("tech", P::DrivenOff);
}

/// The part for which they stand may be off already: before they go away somebody says that it is on.
#[test]
fn stands_stay_while_the_part_that_they_stand_in_for_may_be_off() {
    for bring_down in [true, false] {
        let mut world = begun(Outline { stands: Some((0, 2)), ..led(&["axle off", "axle on"]) });
        world.until("tech", P::StandsSet);
        assert_eq!(world.progress().next(), Some(P::StepDone(0)));
        if bring_down {
            world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "it creaked".into() });
        } else {
            upset(&mut world);
        }
        assert!(world.progress().stands_hold_it());
        assert_eq!(world.progress().ahead[..3], [P::StepUndone(0), P::StandsAway, P::AreaClear]);
        assert!(world.progress().asks_for_judgement());
        let why = world.refused("tech", &confirm(P::StandsAway, None));
        assert_eq!(why, [Refusal::NotNext { asked: P::StandsAway, next: P::StepUndone(0) }]);
        world.until("tech", P::StepUndone(0));
        assert_eq!((world.progress().steps_done, world.progress().step_may_be_begun), (0, false));
        world.until("tech", P::FullyDown);
        let next = if bring_down { P::ArmsClear } else { P::PadsSeated };
        assert_eq!(world.progress().next(), Some(next));
        assert_eq!(world.progress().unfinished(), None, "it is as it came, and may be driven off");
        world.until("tech", P::DrivenOff);
    }
}

/// Once something is wrong no part more comes off on the way down: what is off goes on again, the shorter way.
#[test]
fn nothing_more_comes_off_before_the_stands_go_away() {
    let steps = ["axle off", "rack off", "rack on", "tank off", "tank on", "axle on"];
    let down = |confirmed: u16| {
        let mut world = begun(Outline { stands: Some((0, 6)), ..led(&steps) });
        world.until("tech", P::StandsSet);
        (0..confirmed).for_each(|step| world.until("tech", P::StepDone(step)));
        upset(&mut world);
        let ahead = world.progress().ahead.iter();
        let way: Vec<P> = ahead.copied().take_while(|p| *p != P::StandsAway).collect();
        // What is half put back when it goes wrong again is put back all the same.
        let mut again = World { shop: world.shop.clone(), at: world.at, events: vec![] };
        again.until("tech", way[0]);
        upset(&mut again);
        assert!(again.progress().ahead.starts_with(&way[1..]), "{confirmed}: {:?}", again.progress().ahead);
        world.until("tech", P::OnLocks);
        world.until("tech", P::DrivenOff);
        way
    };
    assert_eq!(down(0), [P::StepUndone(0)]);
    assert_eq!(down(1), [P::StepUndone(1), P::StepUndone(0)]);
    assert_eq!(down(2), [P::StepDone(2), P::StepUndone(0)], "the rack may be half on");
    assert_eq!(down(3), [P::StepUndone(3), P::StepUndone(0)], "as it was before the rack came off");
    assert_eq!(down(5), [P::StepDone(5)]);
}

#[test]
fn brought_down_before_its_time_from_anywhere() {
    for (last, ahead) in [
        (P::Spotted, vec![]),
        (P::PadsSeated, vec![]),
        (P::ArmLocksEngaged, vec![P::AreaClear, P::FullyDown]),
        (P::TestRaised, vec![P::AreaClear, P::FullyDown]),
        (P::PadRechecked(3), DOWN.to_vec()),
        (P::Raised, DOWN.to_vec()),
    ] {
        let mut world = begun(outline());
        world.until("tech", last);
        let down = Command::BringDown { raise: RaiseNumber(1), words: "shop closes".into() };
        world.must("tech", &down);
        assert_eq!(
            world.progress().ahead,
            [&ahead[..], &[P::ArmsClear, P::DrivenOff]].concat(),
            "after {last}"
        );
        assert_eq!(world.refused("tech", &down), [Refusal::ComesDown(RaiseNumber(1))]);
        world.until("tech", P::DrivenOff);
    }
    let mut world = begun(outline());
    world.until("tech", P::OffLocks);
    let down = Command::BringDown { raise: RaiseNumber(1), words: "shop closes".into() };
    assert_eq!(world.refused("tech", &down), [Refusal::ComesDown(RaiseNumber(1))]);
    let mut world = begun(outline());
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "wrong vehicle".into() });
    assert!(world.shop.raises.is_empty(), "nothing stands on it: it has ended");
}

#[test]
fn a_lift_tagged_meanwhile_goes_no_higher() {
    for last in [P::ArmLocksEngaged, P::PadRechecked(3)] {
        let mut world = begun(outline());
        world.until("tech", last);
        world.must("learn", &Command::TagOut { lift: lift("north-bay"), words: "oil".into() });
        let next = world.progress().next().expect("a point");
        let why = world.refused("tech", &confirm(next, None));
        assert_eq!(why, [Refusal::LiftUnfit(lift("north-bay"), vec![Why::Tagged("oil".into())])]);
        world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "oil".into() });
        world.until("tech", P::DrivenOff);
    }
}

#[test]
fn midnight_and_a_lapsed_instruction_stop_nobody_from_coming_down() {
    let mut world = begun(outline());
    world.until("tech", P::OnLocks);
    world.at = at("2026-03-03T08:00:00Z");
    world.until("tech", P::StepDone(1));
    world.at = at("2027-06-01T08:00:00Z");
    world.until("tech", P::DrivenOff);
}

/// What hung on its arms over midnight goes no higher on a lift that nobody looked at that day.
#[test]
fn midnight_holds_what_has_not_come_to_its_height() {
    for last in [P::TestRaised, P::PadRechecked(3)] {
        let mut world = begun(outline());
        world.until("tech", last);
        world.at = at("2026-03-03T08:00:00Z");
        let next = world.progress().next().expect("a point");
        let why = world.refused("tech", &confirm(next, None));
        assert_eq!(why, [Refusal::LiftUnfit(lift("north-bay"), vec![Why::NotChecked(day("2026-03-03"))])]);
        world.must("tech", &check());
        world.until("tech", P::OnLocks);
    }
}

#[test]
fn where_it_may_be_is_told_until_the_point_is_confirmed() {
    let mut world = begun(outline());
    for (last, position) in [
        (P::PadsSeated, Position::Floor),
        (P::ArmLocksEngaged, Position::TestRaising),
        (P::TestRaised, Position::TestHeight),
        (P::PadRechecked(3), Position::Raising),
        (P::Raised, Position::Raised),
        (P::OnLocks, Position::OnLocks),
        (P::FullyDown, Position::Floor),
    ] {
        world.until("tech", last);
        assert_eq!(world.progress().position, position, "after {last}");
    }
}

#[test]
fn brought_down_with_a_part_off_it_is_not_driven_off() {
    let mut world = begun(outline());
    world.until("tech", P::StepDone(0));
    assert_eq!(world.progress().unfinished().as_deref(), Some("gearbox off"));
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "shop closes".into() });
    assert_eq!(world.progress().ahead, [&DOWN[..], &[P::LeftOnFloor]].concat());
    world.until("tech", P::FullyDown);
    let facts = world.must("tech", &confirm(P::LeftOnFloor, None));
    let state = "not ended: gearbox off; “gearbox on” may be done or half done";
    let words = format!("raise 1 has left hatchback on its floor, {state}");
    assert_eq!(facts[1], Fact::TaggedOut { lift: lift("north-bay"), words });
    assert!(world.shop.raises.is_empty());
    let left = Left { raise: RaiseNumber(1), vehicle: vehicle("hatchback"), on_stands: false };
    let left = Some(left);
    assert_eq!(world.shop.lifts[&lift("north-bay")].left, left);
    let why = world.refused("tech", &Command::BeginRaise(plan()));
    assert!(matches!(&why[..], [Refusal::LiftUnfit(..)]), "{why:?}");
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "rolled away".into() });
    assert_eq!(world.shop.lifts[&lift("north-bay")].left, None);

    // Seated again after a noise and then brought down from the floor: the same.
    let mut world = begun(outline());
    world.until("tech", P::StepDone(0));
    upset(&mut world);
    world.until("tech", P::FullyDown);
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "for good".into() });
    assert_eq!(world.progress().ahead, [P::LeftOnFloor]);
    // With every part of the job done it is driven off as planned.
    let mut world = begun(outline());
    world.until("tech", P::StepDone(1));
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "done early".into() });
    world.until("tech", P::DrivenOff);
}

/// A book goes on as it is: what an earlier program's course left out is passed over, and its end is an end.
#[test]
fn a_raise_that_an_earlier_course_led_ends_as_it_ended() {
    let by = |point| Fact::PointConfirmed { raise: RaiseNumber(1), point, judged: None, words: None };
    let mut world = begun(outline());
    world.until("tech", P::PadRechecked(3));
    let words = "right".to_owned();
    world.put("tech", Fact::LockNotHeard { raise: RaiseNumber(1), words });
    for point in [P::AreaClear, P::FullyDown] {
        world.put("tech", by(point));
    }
    assert_eq!((world.progress().position, world.progress().next()), (Position::Floor, Some(P::ArmsClear)));
    for point in [P::ArmsClear, P::DrivenOff] {
        world.put("tech", by(point));
    }
    assert!(world.shop.raises.is_empty());
    // Noise during the test raise led straight to the pads, and a vehicle with a part off was driven off.
    let mut world = begun(outline());
    world.until("tech", P::ArmLocksEngaged);
    upset(&mut world);
    world.put("tech", by(P::PadsSeated));
    assert_eq!(
        (world.progress().position, world.progress().next()),
        (Position::Floor, Some(P::ArmLocksEngaged))
    );
    world.until("tech", P::StepDone(0));
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "enough".into() });
    world.until("tech", P::FullyDown);
    for point in [P::ArmsClear, P::DrivenOff] {
        world.put("tech", by(point));
    }
    assert!(world.shop.raises.is_empty());
    assert_eq!(world.shop.lifts[&lift("north-bay")].left, None);
}

/// As an older program wrote it.
fn salvaged(world: &World) -> Fact {
    let intact = world.shop.head;
    Fact::Salvaged { intact, others: 0, rest: Digest::of(""), vehicles: BTreeSet::new() }
}

fn say_whole() -> Command {
    Command::SayWhole { vehicle: vehicle("hatchback"), words: "all parts are on".into() }
}

/// Of a salvaged book: nothing says how high it is, and only the way down is left.
#[test]
fn after_a_salvage_where_it_is_is_not_known() {
    for (outline, first) in
        [(outline(), None), (Outline { stands: Some((0, 1)), ..outline() }, Some(P::StandsAway))]
    {
        let mut world = begun(outline);
        while world.progress().next() != Some(P::Shaken) {
            world.next("tech");
        }
        world.put("lead", salvaged(&world));
        let progress = world.progress();
        assert!(progress.position == Position::Unknown && progress.is_up() && progress.going_down);
        // The gearbox may be off.
        let off = [P::AreaClear, P::OffLocks, P::LocksReleased, P::FullyDown, P::LeftOnFloor];
        let down: Vec<P> = first.into_iter().chain(off).collect();
        assert_eq!(progress.ahead, down);
        let raise = RaiseNumber(1);
        let words = || "it was looked at".to_owned();
        world.refused("tech", &confirm(P::Shaken, None));
        world.refused("tech", &Command::LockNotHeard { raise, words: words() });
        // A noise leads nowhere but down.
        world.must("tech", &Command::Upset { raise, sign: Sign::Noise, words: words() });
        assert_eq!(world.progress().ahead, down);
        let mut abandoned = World { shop: world.shop.clone(), at: world.at, events: vec![] };
        abandoned.must("lead", &Command::AbandonRaise { raise, words: words() });
        assert!(abandoned.unfit().iter().any(|why| matches!(why, Why::Tagged(_))));
        for point in &down {
            // Nothing of it is known before it is down.
            let is_down = *point == P::LeftOnFloor;
            assert_eq!(world.progress().position == Position::Unknown, !is_down, "{point}");
            assert_eq!(world.next("tech"), *point);
        }
        assert!(world.shop.raises.is_empty());
    }
    // A lift without locks has none to come off.
    let mut world = begun(Outline { lock: None, ..led(&[]) });
    world.put("lead", salvaged(&world));
    assert_eq!(
        world.progress().ahead,
        [P::AreaClear, P::FullyDown, P::LeftOnFloor],
        "others' parts may be off"
    );
    world.must("tech", &say_whole());
    assert_eq!(world.progress().ahead, [P::AreaClear, P::FullyDown, P::ArmsClear, P::DrivenOff]);
}

/// A part that was to come off next may be off, or half off.
#[test]
fn work_that_is_broken_off_may_be_done() {
    let state = Some("“gearbox off” may be done or half done");
    let mut world = begun(outline());
    world.until("tech", P::OnLocks);
    assert_eq!(world.progress().unfinished(), None);
    let mut down = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    down.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "shop closes".into() });
    assert_eq!(down.progress().ahead, [&DOWN[..], &[P::LeftOnFloor]].concat());
    assert_eq!(down.progress().unfinished().as_deref(), state);
    down.until("tech", P::LeftOnFloor);
    // Seated again it is checked as it is; brought down meanwhile it is not driven off.
    upset(&mut world);
    world.until("tech", P::FullyDown);
    assert_eq!(world.progress().unfinished().as_deref(), state);
    let mut again = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    assert_eq!(
        again.refused("tech", &confirm(P::PadsSeated, None)),
        [Refusal::JudgementMissing(P::PadsSeated)]
    );
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "for good".into() });
    assert_eq!(world.progress().ahead, [P::LeftOnFloor]);
    again.until("tech", P::OnLocks);
    assert_eq!(again.progress().next(), Some(P::StepDone(0)), "the step comes again");
    again.until("tech", P::StepDone(0));
    assert_eq!(again.progress().unfinished().as_deref(), Some("gearbox off"));
    again.until("tech", P::DrivenOff);
}

/// Brought down or abandoned where they are to be set, some may stand: they are looked for before it moves.
#[test]
fn stands_that_may_stand_are_taken_away() {
    let mut world = begun(on_stands());
    world.until("tech", P::OnLocks);
    while world.progress().next() != Some(P::StandsSet) {
        world.next("tech");
    }
    assert!(world.progress().asks_for_judgement(), "the load that the plan gives is checked before");
    assert_eq!(
        world.refused("tech", &confirm(P::StandsSet, Some(judgement(false)))),
        [Refusal::JudgementFails(P::StandsSet)]
    );
    let abandon = Command::AbandonRaise { raise: RaiseNumber(1), words: "fire".into() };
    let mut left = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    let facts = left.must("lead", &abandon);
    assert!(matches!(&facts[1], Fact::TaggedOut { words, .. } if words.contains("on stands")), "{facts:?}");
    assert!(left.shop.lifts[&lift("north-bay")].left.as_ref().is_some_and(|left| left.on_stands));
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "oil".into() });
    assert_eq!(world.progress().next(), Some(P::StandsAway));
}

/// Measured anew they are taken away only where a check passes; a lift out of service alone holds none, nor anything the way down.
#[test]
fn stands_stay_where_a_check_fails_without_them() {
    let outline = || Outline { stands: Some((1, 3)), ..led(&["axle off", "tank off", "tank on", "axle on"]) };
    let mut world = begun(outline());
    while world.progress().next() != Some(P::StandsAway) {
        world.next("tech");
    }
    assert!(!world.progress().asks_for_judgement());
    let mut tagged = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    tagged.must("tech", &Command::TagOut { lift: lift("north-bay"), words: "a cable frays".into() });
    tagged.must("tech", &confirm(P::StandsAway, None));
    let (what, value, how) = ("parts.axle.mass".into(), "90 kg".into(), "scale".into());
    world.must("tech", &Command::Measure(Measurement { vehicle: vehicle("hatchback"), what, value, how }));
    assert!(world.progress().is_to_be_checked_again());
    let missing = [Refusal::JudgementMissing(P::StandsAway)];
    assert_eq!(world.refused("tech", &confirm(P::StandsAway, None)), missing);
    let mut down = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    let command = confirm(P::StandsAway, Some(judged(world.progress(), false)));
    let why = world.refused("tech", &command);
    assert_eq!(why, [Refusal::JudgementFails(P::StandsAway)]);
    let written = refused(&world.shop, world.at, &Hand::alone(person("tech")), &command, &why);
    written.expect("it is written").facts.into_iter().for_each(|fact| world.put("tech", fact));
    let passes = judged(world.progress(), true);
    world.must("tech", &confirm(P::StandsAway, Some(passes)));
    assert!(!world.progress().in_doubt());
    down.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "oil".into() });
    down.must("tech", &confirm(P::StandsAway, None));
}

/// What stands hold is put on again whatever the check of it says; it stands in the book.
#[test]
fn a_check_that_fails_holds_no_way_down() {
    let mut world = begun(on_stands());
    while !world.progress().stands_hold_it() {
        world.next("tech");
    }
    world.must("tech", &Command::BringDown { raise: RaiseNumber(1), words: "oil".into() });
    let Some(point @ P::StepDone(_)) = world.progress().next() else { panic!("{:?}", world.progress()) };
    let facts = world.must("tech", &confirm(point, Some(judgement(false))));
    assert!(matches!(facts[0], Fact::PointConfirmed { judged: Some(Judged { passes: false, .. }), .. }));
}

/// A check that fails is remembered at every point, until one passes.
#[test]
fn what_failed_is_in_doubt_until_a_check_passes() {
    let mut world = begun(outline());
    world.until("tech", P::OnLocks);
    assert!(!world.progress().is_to_be_checked_again());
    let point = P::StepDone(0);
    let command = confirm(point, Some(judgement(false)));
    let why = world.refused("tech", &command);
    let written = refused(&world.shop, world.at, &Hand::alone(person("tech")), &command, &why);
    written.expect("it is written").facts.into_iter().for_each(|fact| world.put("tech", fact));
    assert!(world.progress().is_to_be_checked_again() && !world.progress().stands_wrong);
    let passes = judged(world.progress(), true);
    world.must("tech", &confirm(point, Some(passes)));
    assert!(!world.progress().is_to_be_checked_again());
}

/// What a shake proves is reckoned of the vehicle as it came: with parts off every pad is rechecked by hand.
#[test]
fn with_parts_off_every_pad_is_rechecked() {
    let all = [0, 1, 2, 3].map(P::PadRechecked);
    let rechecks = |world: &World| {
        let ahead = world.progress().ahead.iter().copied();
        ahead.take_while(|p| *p != P::Raised).filter(|p| matches!(p, P::PadRechecked(_))).collect::<Vec<P>>()
    };
    let outline = || Outline { recheck: vec![1], ..led(&["axle off", "axle on"]) };
    let mut world = begun(outline());
    assert_eq!(rechecks(&world), [P::PadRechecked(1)]);
    world.until("tech", P::OnLocks);
    let mut begun_step = World { shop: world.shop.clone(), at: world.at, events: vec![] };
    upset(&mut begun_step);
    assert_eq!(rechecks(&begun_step), all, "the axle may be off");
    world.until("tech", P::StepDone(0));
    upset(&mut world);
    world.until("tech", P::PadsSeated);
    assert_eq!(rechecks(&world), all);
    // A check that names others, or none, takes none of them away.
    world.until("tech", P::ArmLocksEngaged);
    let named = Judgement { outline: Some(outline()), ..judged(world.progress(), true) };
    world.must("tech", &confirm(P::TestRaised, Some(named)));
    assert_eq!(rechecks(&world), all);
    world.until("tech", P::PadRechecked(3));
    assert_eq!(world.progress().next(), Some(P::Raised));

    // Left so, the next raise has them too.
    world.must("lead", &Command::AbandonRaise { raise: RaiseNumber(1), words: "fire".into() });
    world.must("lead", &Command::ReturnToService { lift: lift("north-bay"), words: "looked".into() });
    world.must("tech", &check());
    world.must("tech", &Command::BeginRaise(NewPlan { outline: outline(), ..plan() }));
    let second = &world.shop.raises[&RaiseNumber(2)].progress;
    let ahead = second.ahead.iter().copied().filter(|p| matches!(p, P::PadRechecked(_)));
    assert_eq!(ahead.collect::<Vec<P>>(), all);
    let so = Command::SayWhole { vehicle: vehicle("hatchback"), words: "looked at".into() };
    world.must("tech", &so);
}
