//! One suite, run on SQLite and on PostgreSQL.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::collections::BTreeSet;
use std::sync::Arc;

use common::behind::sql;
use common::place::{File, shared};
use common::*;
use jiff::SignedDuration;
use records::*;

/// Every function of the suite as a test on both.
macro_rules! on_both {
    ($($name:ident),* $(,)?) => {
        mod sqlite {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                let file = super::File::new();
                super::$name(file.place()).await;
            })*
        }
        mod postgres {
            $(#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
            async fn $name() {
                let Some(server) = super::shared() else { return };
                super::$name(server.database()).await;
            })*
        }
    };
}

on_both!(
    a_whole_raise_is_led_and_found_again,
    two_at_once_confirm_the_same_step,
    two_programs_write_side_by_side,
    all_or_nothing,
    what_is_refused_is_written_down,
    a_learner_acts_with_a_second_person,
    a_pin_proves_one_person_to_one_book,
    a_new_pin_ends_what_the_one_before_proved,
    wrong_pins_lock_and_locks_double,
    a_lock_lasts_its_length_where_the_clock_stands_behind,
    a_lock_lasts_its_length_once_the_clock_is_right,
    many_wrong_pins_at_once_count_as_many,
    right_pins_and_none_are_no_wrong_tries,
    too_many_wrong_pins_leave_no_vehicle_up,
    a_name_and_a_pin_are_one_persons_for_good,
    events_are_found_by_day_and_subject,
    what_strikes_out_is_in_the_record_of_its_lift,
    a_second_program_leads_on_after_the_first_is_gone,
    a_newer_book_is_refused,
    there_is_one_book_in_one_place,
);

fn minutes(n: i64) -> jiff::Timestamp {
    at(MORNING).saturating_add(SignedDuration::from_mins(n)).expect("a time")
}

fn refusals(failure: Failure) -> Vec<Refusal> {
    match failure {
        Failure::Refused(why) => why,
        other => panic!("{other}"),
    }
}

fn pin_failure<T: std::fmt::Debug>(answer: Result<T, Failure>) -> PinFailure {
    match answer {
        Err(Failure::Pin(why)) => why,
        other => panic!("{other:?}"),
    }
}

async fn sound(book: &Book) -> Verification {
    let verification = book.verify(None).await.expect("it can be read");
    assert_eq!(verification.faults, []);
    verification
}

/// Confirms whatever comes next.
async fn next(book: &Book, by: &Signed, n: i64) -> Result<Vec<Event>, Failure> {
    let progress = book.shop().await?.raises[&RaiseNumber(1)].progress.clone();
    let judged = progress.asks_for_judgement().then(|| judged(&progress, true));
    book.act(minutes(n), by, &confirm(progress.next().expect("a point"), judged)).await
}

async fn a_whole_raise_is_led_and_found_again(place: String) {
    let (book, people) = new_book(&place).await;
    book.act(minutes(1), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
    let points = outline().steps.len() + 15;
    for n in 0..points {
        next(&book, &people["tech"], 2 + i64::try_from(n).expect("few")).await.expect("confirmed");
    }
    let shop = book.shop().await.expect("the shop");
    assert!(shop.raises.is_empty());
    let verification = sound(&book).await;
    assert_eq!(verification.head, shop.head);
    let document = book.document(plan().answer.digest()).await.expect("read").expect("kept");
    assert_eq!(document.text(), "the plan");
    assert_eq!(book.document(Digest::of("other")).await.expect("read"), None);
    book.close().await;
    let again = Book::open(&place).await.expect("opened");
    assert_eq!(again.shop().await.expect("the shop"), shop);
}

async fn two_at_once_confirm_the_same_step(place: String) {
    let (one, people) = ready_book(&place).await;
    let two = Arc::new(Book::open(&place).await.expect("opened a second time"));
    one.act(minutes(1), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
    let one = Arc::new(one);
    let signed =
        two.check_pin(minutes(1), &person("tech"), "2580").await.expect("signed in at the other tablet");
    for round in 0..17 {
        let progress = one.shop().await.expect("the shop").raises[&RaiseNumber(1)].progress.clone();
        let point = progress.next().expect("a point");
        let command = confirm(point, progress.asks_for_judgement().then(|| judged(&progress, true)));
        let tasks: Vec<_> =
            [(&one, &people["tech"]), (&two, &signed), (&one, &people["tech"]), (&two, &signed)]
                .into_iter()
                .map(|(book, by)| {
                    let (book, by, command) = (Arc::clone(book), by.clone(), command.clone());
                    tokio::spawn(async move { book.act(minutes(2 + round), &by, &command).await })
                })
                .collect();
        let mut done = 0;
        for task in tasks {
            match task.await.expect("no panic") {
                Ok(_) => done += 1,
                Err(failure) => match &refusals(failure)[..] {
                    [Refusal::NotNext { asked, .. }] => assert_eq!(*asked, point),
                    [Refusal::NoSuchRaise(_)] => assert_eq!(point, HoldPoint::DrivenOff),
                    // The next step asks for a check of its own; the one that was asked for is over all the same.
                    other => panic!("{other:?}"),
                },
            }
        }
        assert_eq!(done, 1, "{point}");
    }
    assert!(one.shop().await.expect("the shop").raises.is_empty());
    sound(&one).await;
}

async fn two_programs_write_side_by_side(place: String) {
    const EACH: usize = 25;
    let (one, people) = ready_book(&place).await;
    let before = one.shop().await.expect("the shop").head.seq.0;
    let mut tasks = vec![];
    for n in 0..4 {
        let book = Book::open(&place).await.expect("opened");
        let tech = people["tech"].clone();
        tasks.push(tokio::spawn(async move {
            let mut mine = vec![];
            for m in 0..EACH {
                let words = format!("program {n}, incident {m}");
                let command = Command::ReportIncident { lift: None, raise: None, words };
                let events = book.act(minutes(1), &tech, &command).await.expect("written");
                mine.push(events[0].seq);
            }
            mine
        }));
    }
    let mut all = BTreeSet::new();
    for task in tasks {
        all.extend(task.await.expect("no panic"));
    }
    let expected: BTreeSet<Seq> = (before + 1..=before + 4 * EACH as u64).map(Seq).collect();
    assert_eq!(all, expected);
    let shop = one.shop().await.expect("the shop");
    assert_eq!(shop.counts.incidents, 4 * EACH as u64, "every number once");
    sound(&one).await;
}

async fn all_or_nothing(place: String) {
    let (book, people) = ready_book(&place).await;
    let before = book.verify(None).await.expect("read");
    let unknown = NewPlan { vehicle: vehicle("nobodys"), answer: Document::new("never kept"), ..plan() };
    let why = refusals(
        book.act(minutes(1), &people["tech"], &Command::KeepPlan(unknown)).await.expect_err("refused"),
    );
    assert_eq!(why, [Refusal::UnknownVehicle(vehicle("nobodys"))]);
    assert_eq!(book.verify(None).await.expect("read"), before);
    // Two facts of one command have the same time and follow on one another.
    let report = Command::ReportExamination { report: report("2026-03-01", false), paper: None };
    let events = book.act(minutes(1), &people["exam"], &report).await.expect("written");
    assert_eq!(events.len(), 2);
    assert_eq!(events[1].before, events[0].hash);
    sound(&book).await;
}

/// A raise that was asked for and refused, and a point that a check held up, stand in the book; a slip does not.
async fn what_is_refused_is_written_down(place: String) {
    let (book, people) = ready_book(&place).await;
    let raise = RaiseNumber(1);
    let forbidden = NewPlan { may_be_raised: false, answer: Document::new("it tips"), ..plan() };
    refusals(
        book.act(minutes(1), &people["tech"], &Command::BeginRaise(forbidden)).await.expect_err("refused"),
    );
    let written = |events: Vec<Event>| events.into_iter().next_back().expect("an event").fact;
    let Fact::RaiseRefused { plan: refused, reasons } =
        written(book.events_about(&Subject::Lift(lift("north-bay"))).await.expect("read"))
    else {
        panic!("the refused raise is no event of the lift")
    };
    assert_eq!(reasons, [Refusal::PlanForbids.to_string()]);
    assert!(book.document(refused.answer).await.expect("read").is_some(), "with what forbade it");
    assert!(book.shop().await.expect("the shop").raises.is_empty());

    book.act(minutes(2), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
    let head = book.shop().await.expect("the shop").head;
    for (who, point) in [("tech", HoldPoint::Raised), ("tech-two", HoldPoint::Spotted)] {
        let fails = confirm(point, Some(judgement(false)));
        refusals(book.act(minutes(3), &people[who], &fails).await.expect_err("refused"));
    }
    assert_eq!(book.shop().await.expect("the shop").head, head, "a slip is not written down");
    let fails = confirm(HoldPoint::Spotted, Some(judgement(false)));
    let why = refusals(book.act(minutes(3), &people["tech"], &fails).await.expect_err("refused"));
    assert_eq!(why, [Refusal::JudgementFails(HoldPoint::Spotted)]);
    let fact = written(book.events_about(&Subject::Raise(raise)).await.expect("read"));
    let Fact::PointRefused { point: HoldPoint::Spotted, judged: Some(judged), .. } = fact else {
        panic!("{fact:?}")
    };
    assert!(!judged.passes && book.document(judged.record).await.expect("read").is_some());
    // It stands where it failed until it is measured again, or somebody says what was changed.
    let spotted = |words: Option<&str>| {
        let words = words.map(str::to_owned);
        Command::Confirm { raise, point: HoldPoint::Spotted, judgement: None, words, seen: None }
    };
    let why = refusals(book.act(minutes(4), &people["tech"], &spotted(None)).await.expect_err("refused"));
    assert_eq!(why, [Refusal::StandsWrong(HoldPoint::Spotted)]);
    book.act(minutes(4), &people["tech"], &spotted(Some("driven on anew"))).await.expect("confirmed");
    // On a lift that was tagged out meanwhile it does not go up: that is written down as well.
    let mut seq = book.shop().await.expect("the shop");
    while seq.raises[&raise].progress.next() != Some(HoldPoint::TestRaised) {
        let point = seq.raises[&raise].progress.next().expect("a point");
        book.act(minutes(4), &people["tech"], &confirm(point, None)).await.expect("confirmed");
        seq = book.shop().await.expect("the shop");
    }
    let tag = Command::TagOut { lift: lift("north-bay"), words: "oil".into() };
    book.act(minutes(5), &people["learn"], &tag).await.expect("whoever sees it");
    let up = confirm(HoldPoint::TestRaised, None);
    refusals(book.act(minutes(6), &people["tech"], &up).await.expect_err("refused"));
    let fact = written(book.events_about(&Subject::Raise(raise)).await.expect("read"));
    assert!(
        matches!(fact, Fact::PointRefused { point: HoldPoint::TestRaised, judged: None, .. }),
        "{fact:?}"
    );
    sound(&book).await;
}

async fn a_learner_acts_with_a_second_person(place: String) {
    let (book, people) = ready_book(&place).await;
    let begin = Command::BeginRaise(plan());
    let alone = refusals(book.act(minutes(1), &people["learn"], &begin).await.expect_err("refused"));
    assert_eq!(alone, [Refusal::SecondNeeded(Act::Raise)]);
    let twice = book.act_with(minutes(1), &people["learn"], &people["learn"], &begin).await;
    assert_eq!(refusals(twice.expect_err("refused")), [Refusal::SecondIsTheSame]);
    let events = book.act_with(minutes(1), &people["learn"], &people["teach"], &begin).await.expect("begun");
    assert_eq!((&events[0].by, &events[0].with), (&person("learn"), &Some(person("teach"))));
    assert_eq!(book.events_about(&Subject::Raise(RaiseNumber(1))).await.expect("read"), events);
    sound(&book).await;
}

async fn a_pin_proves_one_person_to_one_book(place: String) {
    let (book, people) = ready_book(&place).await;
    let now = minutes(1);
    let tech = person("tech");
    assert_eq!(pin_failure(book.check_pin(now, &tech, "2581").await), PinFailure::Wrong(tech.clone()));
    let nobody = person("nobody");
    assert_eq!(pin_failure(book.check_pin(now, &nobody, "2580").await), PinFailure::NoPin(nobody));
    for plain in ["", "123", "1111", "1234", "8901", "4321", "2109", "12a4", "1234567890123", "１２３４"]
    {
        assert_eq!(pin_failure(book.set_pin(now, &people["tech"], &tech, plain).await), PinFailure::TooPlain);
    }
    // One's own, or by a lead.
    let why =
        refusals(book.set_pin(now, &people["tech"], &person("exam"), "9999000").await.expect_err("refused"));
    assert_eq!(why, [Refusal::RoleMayNot(tech.clone(), Role::Technician, Act::ManagePeople)]);
    let same = book.set_pin(now, &people["tech"], &tech, "2580").await;
    assert_eq!(pin_failure(same), PinFailure::AsBefore(tech.clone()));
    book.set_pin(now, &people["tech"], &tech, "606060").await.expect("one's own");
    assert_eq!(pin_failure(book.check_pin(now, &tech, "2580").await), PinFailure::Wrong(tech.clone()));
    book.check_pin(now, &tech, "606060").await.expect("the new one");
    // Another book's word counts for nothing.
    let other = File::new();
    let (_, strangers) = new_book(&other.place()).await;
    let stranger = book.act(now, &strangers["lead"], &check()).await;
    assert_eq!(pin_failure(stranger), PinFailure::OtherBook(person("lead")));
    // Who has left has no PIN.
    book.act(now, &people["lead"], &Command::PersonLeaves { person: tech.clone() }).await.expect("left");
    assert_eq!(pin_failure(book.check_pin(now, &tech, "606060").await), PinFailure::NoPin(tech.clone()));
    // Nothing of any PIN or hash in the chain.
    let mut seq = Seq(0);
    loop {
        let page = book.events_after(seq).await.expect("read");
        let Some(last) = page.last() else { break };
        seq = last.seq;
        for event in page {
            let text = serde_json::to_string(&event.fact).expect("text");
            assert!(!text.contains("argon2") && !text.contains("606060"), "{text}");
        }
    }
}

/// At whichever program it was set; whose PIN it is, and nobody else.
async fn a_new_pin_ends_what_the_one_before_proved(place: String) {
    let (book, people) = ready_book(&place).await;
    let now = minutes(1);
    let tech = person("tech");
    let elsewhere = Book::open(&place).await.expect("opened a second time");
    let before = elsewhere.check_pin(now, &tech, "2580").await.expect("signed in there");
    book.set_pin(now, &people["lead"], &tech, "7531").await.expect("set");
    assert!(!before.is_by_the_pin_of(&elsewhere.hall().await.expect("read")));
    let since = || PinFailure::SetSince(tech.clone());
    assert_eq!(pin_failure(elsewhere.act(now, &before, &check()).await), since());
    let beside = book.act_with(now, &people["learn"], &before, &Command::BeginRaise(plan())).await;
    assert_eq!(pin_failure(beside), since());
    assert_eq!(pin_failure(elsewhere.set_pin(now, &before, &tech, "606060").await), since());
    let anew = elsewhere.check_pin(now, &tech, "7531").await.expect("the new one");
    elsewhere.act(now, &anew, &check()).await.expect("written");
    book.act(now, &people["lead"], &check()).await.expect("another's is what it was");
}

async fn wrong_pins_lock_and_locks_double(place: String) {
    let (book, people) = ready_book(&place).await;
    let tech = person("tech");
    let mut now = minutes(1);
    // Four wrong ones and a right one: counted from the start again.
    for _ in 0..2 {
        for _ in 0..4 {
            assert_eq!(
                pin_failure(book.check_pin(now, &tech, "0001").await),
                PinFailure::Wrong(tech.clone())
            );
        }
        book.check_pin(now, &tech, "2580").await.expect("the fifth is right");
    }
    for lock in [5, 10, 20] {
        for _ in 0..5 {
            assert_eq!(
                pin_failure(book.check_pin(now, &tech, "0001").await),
                PinFailure::Wrong(tech.clone())
            );
        }
        let until = now.saturating_add(SignedDuration::from_mins(lock)).expect("a time");
        let just_before = until.saturating_sub(SignedDuration::from_secs(1)).expect("a time");
        for moment in [now, just_before] {
            let locked = pin_failure(book.check_pin(moment, &tech, "2580").await);
            let told = until.in_tz("Europe/Berlin").expect("the shop's zone");
            assert!(locked.to_string().contains(&told.strftime("%H:%M:%S").to_string()), "{locked}");
            assert_eq!(locked, PinFailure::Locked(tech.clone(), told, vec![]), "the right one, at {moment}");
        }
        let about = book.events_about(&Subject::Person(tech.clone())).await.expect("read");
        assert_eq!(about.last().map(|e| &e.fact), Some(&Fact::PinLocked { person: tech.clone(), until }));
        now = until;
    }
    book.check_pin(now, &tech, "2580").await.expect("the lock is over");
    // A lead's new PIN ends a lock.
    for _ in 0..5 {
        let _ = book.check_pin(now, &tech, "0001").await;
    }
    book.set_pin(now, &people["lead"], &tech, "7531").await.expect("set");
    book.check_pin(now, &tech, "7531").await.expect("right");
    sound(&book).await;
}

/// A lock lasts its length by the clock, wherever that was set to; no setting of it makes one shorter.
async fn a_lock_lasts_its_length_where_the_clock_stands_behind(place: String) {
    let (book, people) = ready_book(&place).await;
    let lead = person("lead");
    let wrong = async |at, times| {
        for _ in 0..times {
            let failure = pin_failure(book.check_pin(at, &lead, "0001").await);
            assert_eq!(failure, PinFailure::Wrong(lead.clone()), "{at}");
        }
    };
    let after =
        |at: jiff::Timestamp, seconds| at.saturating_add(SignedDuration::from_secs(seconds)).expect("a time");
    let is_locked = async |moment: jiff::Timestamp, until: jiff::Timestamp| match book
        .check_pin(moment, &lead, "4711")
        .await
    {
        Err(Failure::Pin(PinFailure::Locked(_, told, _))) => {
            assert_eq!(told.timestamp(), until, "at {moment}");
        }
        other => panic!("{moment}: {other:?}"),
    };
    // Two years ahead they are tried; then the clock is put right.
    let ahead = at("2028-03-01T08:00:00Z");
    book.act(ahead, &people["tech"], &Command::TagOut { lift: lift("north-bay"), words: "odd".into() })
        .await
        .expect("written");
    wrong(ahead, 5).await;
    let back = minutes(30);
    for seconds in [0, 100, 299] {
        is_locked(after(back, seconds), after(back, 300)).await;
    }
    // Back and forth: by the later time it lasts as well, and farther back it begins anew.
    is_locked(after(ahead, 299), after(ahead, 300)).await;
    let before = minutes(2);
    is_locked(before, after(before, 300)).await;
    is_locked(after(before, 299), after(before, 300)).await;
    let signed = book.check_pin(after(before, 300), &lead, "4711").await.expect("five minutes there");
    book.act(after(before, 300), &signed, &Command::SetClock { words: "it ran ahead".into() })
        .await
        .expect("the clock is right");
    // And where they are tried while it stands behind.
    book.act(ahead, &people["tech"], &Command::TagOut { lift: lift("north-bay"), words: "odd".into() })
        .await
        .expect("written");
    let back = minutes(20);
    wrong(back, 5).await;
    is_locked(after(back, 299), after(back, 300)).await;
    is_locked(ahead, after(ahead, 300)).await;
    let back = after(back, 300);
    wrong(back, 5).await;
    is_locked(after(back, 599), after(back, 600)).await;
    book.check_pin(after(back, 600), &lead, "4711").await.expect("ten minutes");
    sound(&book).await;
}

/// One that began while the clock ran ahead is none of months once somebody says which time is right.
async fn a_lock_lasts_its_length_once_the_clock_is_right(place: String) {
    let (book, people) = ready_book(&place).await;
    let ahead = at("2026-09-18T08:00:00Z");
    for (id, pin, back, set) in [("tech", "2580", 10, 12), ("tech-two", "1357", 40, 40)] {
        let id = person(id);
        for _ in 0..5 {
            let failure = pin_failure(book.check_pin(ahead, &id, "0001").await);
            assert_eq!(failure, PinFailure::Wrong(id.clone()));
        }
        let until = minutes(back + 5);
        let is_locked = async |moment: jiff::Timestamp| {
            let failure = pin_failure(book.check_pin(moment, &id, pin).await);
            assert!(
                matches!(&failure, PinFailure::Locked(_, told, _) if told.timestamp() == until),
                "{moment}: {failure}"
            );
        };
        if back < set {
            is_locked(minutes(back)).await;
        }
        let right = Command::SetClock { words: "it ran ahead".into() };
        book.act(minutes(set), &people["lead"], &right).await.expect("the clock is right");
        is_locked(minutes(back + 4)).await;
        book.check_pin(until, &id, pin).await.expect("five minutes are over");
    }
    sound(&book).await;
}

async fn many_wrong_pins_at_once_count_as_many(place: String) {
    let (book, _) = ready_book(&place).await;
    let book = Arc::new(book);
    let tasks: Vec<_> = (0..12)
        .map(|n| {
            let book = Arc::clone(&book);
            tokio::spawn(
                async move { book.check_pin(minutes(1), &person("tech"), &format!("10{n:02}")).await },
            )
        })
        .collect();
    let (mut wrong, mut locked) = (0, 0);
    for task in tasks {
        match pin_failure(task.await.expect("no panic")) {
            PinFailure::Wrong(_) => wrong += 1,
            PinFailure::Locked(..) => locked += 1,
            other => panic!("{other:?}"),
        }
    }
    assert_eq!((wrong, locked), (5, 7));
}

/// Right ones at once, as of several tablets, lock nobody out, nor does a PIN that was not given.
async fn right_pins_and_none_are_no_wrong_tries(place: String) {
    let (book, _) = ready_book(&place).await;
    let (book, tech) = (Arc::new(book), person("tech"));
    for _ in 0..4 {
        pin_failure(book.check_pin(minutes(1), &tech, "0001").await);
    }
    let right = (0..12).map(|_| {
        let (book, tech) = (Arc::clone(&book), tech.clone());
        tokio::spawn(async move { book.check_pin(minutes(1), &tech, "2580").await })
    });
    for task in right.collect::<Vec<_>>() {
        task.await.expect("no panic").expect("right");
    }
    for blank in ["", " ", ""] {
        for _ in 0..4 {
            let none = pin_failure(book.check_pin(minutes(1), &tech, blank).await);
            assert_eq!(none, PinFailure::Blank(tech.clone()));
        }
    }
    // One that is broken off is no try.
    for _ in 0..8 {
        let hurry = std::time::Duration::from_millis(1);
        let broken_off = tokio::time::timeout(hurry, book.check_pin(minutes(1), &tech, "2580")).await;
        assert!(broken_off.is_err(), "hashing takes longer than that");
    }
    book.check_pin(minutes(1), &tech, "2580").await.expect("not locked");
}

/// Whoever tries wrong PINs of a leader keeps nobody from bringing the vehicle down.
async fn too_many_wrong_pins_leave_no_vehicle_up(place: String) {
    let (book, people) = ready_book(&place).await;
    let (raise, tech) = (RaiseNumber(1), person("tech"));
    book.act(minutes(1), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
    while book.shop().await.expect("the shop").raises[&raise].progress.next() != Some(HoldPoint::Raised) {
        next(&book, &people["tech"], 2).await.expect("confirmed");
    }
    for _ in 0..5 {
        pin_failure(book.check_pin(minutes(3), &tech, "0001").await);
    }
    let locked = |failure: PinFailure| matches!(failure, PinFailure::Locked(..));
    assert!(locked(pin_failure(book.check_pin(minutes(3), &tech, "2580").await)));
    let down = book.check_pin_to_stop(minutes(3), &tech, "2580").await.expect("the right one, to stop");
    // Up it does not go with that, nor anything else.
    let up = next(&book, &down, 3).await;
    let failure = pin_failure(up);
    let others = ["lead", "teach", "tech-two"].map(person).to_vec();
    assert!(matches!(&failure, PinFailure::Locked(_, _, all) if *all == others), "{failure:?}");
    assert!(failure.to_string().contains("`raise take-over`: lead, teach, tech-two."), "{failure}");
    assert!(locked(pin_failure(book.set_pin(minutes(3), &down, &tech, "7777888").await)));
    assert!(locked(pin_failure(book.act(minutes(3), &down, &check()).await)));
    let words = "a pad looks worn".to_owned();
    book.act(minutes(3), &down, &Command::NotRight { raise, words }).await.expect("said");
    let words = "left column silent".to_owned();
    book.act(minutes(3), &down, &Command::LockNotHeard { raise, words }).await.expect("said");
    while !book.shop().await.expect("the shop").raises.is_empty() {
        next(&book, &down, 3).await.expect("it comes down");
    }
    // Guessing stays slow: three wrong ones, and one more a minute; right ones do not count.
    for wrong in 0..3 {
        book.check_pin_to_stop(minutes(3), &tech, "2580").await.expect("right");
        let failure = pin_failure(book.check_pin_to_stop(minutes(3), &tech, "0002").await);
        assert_eq!(failure, PinFailure::Wrong(tech.clone()), "{wrong}");
    }
    for pin in ["0002", "2580"] {
        assert!(locked(pin_failure(book.check_pin_to_stop(minutes(3), &tech, pin).await)), "{pin}");
    }
    let later = minutes(3).saturating_add(SignedDuration::from_secs(61)).expect("a time");
    book.check_pin_to_stop(later, &tech, "2580").await.expect("the right one a minute later");
    // In a longer lock.
    let mut now = minutes(3);
    for lock in [5, 10, 20, 40, 80] {
        now = now.saturating_add(SignedDuration::from_mins(lock)).expect("a time");
        for _ in 0..5 {
            pin_failure(book.check_pin(now, &tech, "0001").await);
        }
    }
    for _ in 0..3 {
        pin_failure(book.check_pin_to_stop(now, &tech, "0002").await);
    }
    assert!(locked(pin_failure(book.check_pin_to_stop(now, &tech, "2580").await)));
    now = now.saturating_add(SignedDuration::from_secs(61)).expect("a time");
    book.check_pin_to_stop(now, &tech, "2580").await.expect("one more after a minute");
    sound(&book).await;
}

async fn a_name_and_a_pin_are_one_persons_for_good(place: String) {
    let (book, people) = ready_book(&place).await;
    let learn = person("learn");
    let leaves = Command::PersonLeaves { person: learn.clone() };
    book.act(minutes(1), &people["lead"], &leaves).await.expect("left");
    let again = Command::AdmitPerson(admission("learn", Role::Lead));
    let why = refusals(book.act(minutes(1), &people["lead"], &again).await.expect_err("refused"));
    assert_eq!(why, [Refusal::NameOfAnother(learn.clone())]);
    assert_eq!(pin_failure(book.check_pin(minutes(1), &learn, "1470").await), PinFailure::NoPin(learn));
    let mut text = vec![];
    book.backup(&mut text).await.expect("written");
    let text = String::from_utf8(text).expect("text");
    let pins = text.lines().filter(|line| line.contains("argon2")).count();
    assert_eq!(pins, PINS.len() - 1, "nothing of theirs is kept");
}

async fn events_are_found_by_day_and_subject(place: String) {
    let (book, people) = ready_book(&place).await;
    let late = at("2026-03-02T23:30:00Z");
    let words = "after midnight in the shop".to_owned();
    let tag = Command::TagOut { lift: lift("north-bay"), words };
    let tagged = book.act(late, &people["tech"], &tag).await.expect("written");
    assert_eq!(book.events_on(day("2026-03-03")).await.expect("read"), tagged);
    let first = book.events_on(day("2026-03-02")).await.expect("read");
    assert_eq!(first.len() as u64, tagged[0].seq.0 - 1);
    let about = book.events_about(&Subject::Lift(lift("north-bay"))).await.expect("read");
    let kinds: Vec<String> = about.iter().map(|e| e.fact.kind()).collect();
    assert_eq!(kinds, ["lift-entered", "lift-examined", "lift-checked", "tagged-out"]);
    assert_eq!(book.events_about(&Subject::Lift(lift("south-bay"))).await.expect("read"), []);
    assert_eq!(book.events_after(Seq(tagged[0].seq.0 - 1)).await.expect("read"), tagged);
    let mut all = book.events_after(Seq(0)).await.expect("read");
    let end = Seq(tagged[0].seq.0 + 1);
    all.reverse();
    assert_eq!(book.events_before(end).await.expect("read"), all);
    assert_eq!(book.events_before(tagged[0].seq).await.expect("read"), all[1..]);
    assert_eq!(book.events_before(Seq(1)).await.expect("read"), []);
    assert_eq!(book.event(tagged[0].seq).await.expect("read").as_ref(), tagged.first());
    assert_eq!(book.event(end).await.expect("read"), None);
}

/// A correction is about an event; in a lift's record it stands where that event is the lift's, or its raise's.
async fn what_strikes_out_is_in_the_record_of_its_lift(place: String) {
    let (book, people) = ready_book(&place).await;
    let tech = &people["tech"];
    let since = book.act(minutes(1), tech, &Command::BeginRaise(plan())).await.expect("begun")[0].seq;
    let not_right = Command::NotRight { raise: RaiseNumber(1), words: "a worn pad".into() };
    let of_raise = book.act(minutes(2), tech, &not_right).await.expect("said")[0].seq;
    let of_lift = book.act(minutes(2), tech, &check()).await.expect("checked")[0].seq;
    let measured = Measurement {
        vehicle: vehicle("hatchback"),
        what: "droop".into(),
        value: "60 mm".into(),
        how: "tape".into(),
    };
    let of_vehicle = book.act(minutes(2), tech, &Command::Measure(measured)).await.expect("measured")[0].seq;
    for event in [of_raise, of_lift, of_vehicle] {
        let strike = Command::Correct { event, words: "a slip".into() };
        book.act(minutes(3), tech, &strike).await.expect("struck out");
    }
    let record = book.record_of(&lift("north-bay"), since).await.expect("read");
    let struck = record.iter().filter_map(|e| match e.fact {
        Fact::Corrected { event, .. } => Some(event),
        _ => None,
    });
    assert_eq!(struck.collect::<Vec<_>>(), [of_raise, of_lift], "not that of the vehicle");
    assert!(record.is_sorted_by_key(|e| e.seq));
    let corrected = &book.shop().await.expect("the shop").corrected;
    assert!(record.iter().any(|e| Some(&e.seq) == corrected.get(&of_lift)), "by its event: {corrected:?}");
    sound(&book).await;
}

async fn a_second_program_leads_on_after_the_first_is_gone(place: String) {
    let (one, people) = ready_book(&place).await;
    one.act(minutes(1), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
    for n in 2..7 {
        next(&one, &people["tech"], n).await.expect("confirmed");
    }
    let before = one.shop().await.expect("the shop");
    // Not closed: as after a crash.
    std::mem::forget(one);
    let two = Book::open(&place).await.expect("opened");
    assert_eq!(two.shop().await.expect("the shop"), before, "it is simply there");
    let other = two.check_pin(minutes(8), &person("tech-two"), "1357").await.expect("right");
    let why = refusals(next(&two, &other, 8).await.expect_err("not the leader"));
    assert_eq!(why, [Refusal::NotLeader(RaiseNumber(1), person("tech"))]);
    two.act(minutes(8), &other, &Command::TakeOver { raise: RaiseNumber(1) }).await.expect("taken over");
    while !two.shop().await.expect("the shop").raises.is_empty() {
        next(&two, &other, 9).await.expect("confirmed");
    }
    sound(&two).await;
}

async fn a_newer_book_is_refused(place: String) {
    let (book, _) = ready_book(&place).await;
    book.close().await;
    sql(&place, "INSERT INTO book_version (version) VALUES (7)").await;
    match Book::open(&place).await {
        Err(Failure::NewerBook { book: 7, program }) => assert!(program < 7),
        other => panic!("{other:?}"),
    }
    assert!(matches!(verify(&place, None).await, Err(Failure::NewerBook { .. })));
}

async fn there_is_one_book_in_one_place(place: String) {
    assert!(matches!(Book::open(&place).await, Err(Failure::NoBook(_))));
    let zone = Opening { zone: "Europe/Nowhere".into(), ..opening() };
    assert!(matches!(Book::create(&place, minutes(0), zone).await, Err(Failure::UnknownZone(_))));
    let never = OwnRules {
        source: "the insurer".into(),
        examination_months: 0,
        check_each_day: true,
        instruction_months: None,
        report_fields: vec![],
    };
    let nameless = Opening { shop: " ".into(), rules: Rules::Own(never), ..opening() };
    let why = refusals(Book::create(&place, minutes(0), nameless).await.expect_err("refused"));
    assert_eq!(
        why,
        [
            Refusal::Blank("shop's name"),
            Refusal::SenselessRules("there are 1 to 120 months between examinations")
        ]
    );
    let plain = Opening { pin: "0000".into(), ..opening() };
    assert_eq!(pin_failure(Book::create(&place, minutes(0), plain).await), PinFailure::TooPlain);
    Book::create(&place, minutes(0), opening()).await.expect("created");
    assert!(matches!(Book::create(&place, minutes(0), opening()).await, Err(Failure::BookExists(_))));
}
