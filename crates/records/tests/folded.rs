//! The shop that a book comes to, from its kept fold or from its events, on SQLite and on PostgreSQL.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::behind::sql;
use common::place::places;
use common::*;
use jiff::SignedDuration;
use records::*;

fn minutes(n: i64) -> jiff::Timestamp {
    at(MORNING).saturating_add(SignedDuration::from_mins(n)).expect("a time")
}

async fn sound(book: &Book) {
    assert_eq!(book.verify(None).await.expect("it can be read").faults, []);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_kept_is_what_the_events_come_to() {
    for (_file, place) in places().await {
        a_kept_fold_opens_the_same_shop(place).await;
    }
}

async fn a_kept_fold_opens_the_same_shop(place: String) {
    let (book, people) = ready_book(&place).await;
    for n in 0..1000 {
        let command = Command::ReportIncident { lift: None, raise: None, words: format!("incident {n}") };
        book.act(minutes(1), &people["tech"], &command).await.expect("written");
    }
    let shop = book.shop().await.expect("the shop");
    assert!(shop.head.seq.0 > 1000);
    sound(&book).await;
    book.close().await;
    let book = Book::open(&place).await.expect("opened from the kept fold");
    assert_eq!(book.shop().await.expect("the shop"), shop);
    // A kept fold that says something else is found, and one that cannot be read is computed again.
    sql(&place, "UPDATE fold SET shop = REPLACE(shop, '\"incidents\":', '\"incidents\":1')").await;
    let faults = book.verify(None).await.expect("read").faults;
    assert_eq!(faults, [Fault::FoldNotBelieved(Seq(1000))]);
    // It is not believed: what is opened is what the events come to, and that is kept.
    for altered in
        ["UPDATE fold SET hash = (SELECT hash FROM event WHERE seq = 1)", "UPDATE fold SET shop = '{'"]
    {
        let again = Book::open(&place).await.expect("opened from the events");
        assert_eq!(*again.hall().await.expect("the hall"), *shop.hall, "{altered}");
        sound(&again).await;
        again.close().await;
        sql(&place, altered).await;
        let faults = verify(&place, None).await.expect("read").faults;
        assert!(matches!(faults.as_slice(), [Fault::FoldNotBelieved(_)]), "{altered}: {faults:?}");
    }
    let again = Book::open(&place).await.expect("opened from the events");
    assert_eq!(again.shop().await.expect("the shop"), shop);
    // Then it is kept anew.
    sound(&again).await;
    again.close().await;
    let again = Book::open(&place).await.expect("opened from the kept fold");
    assert_eq!(*again.hall().await.expect("the hall"), *shop.hall, "no vehicle is read for it");
    assert_eq!(again.shop().await.expect("the shop"), shop);
    // Who has read no vehicle yet reads them as they are when they are asked for.
    let late = Book::open(&place).await.expect("opened");
    let file = |text: &str| Document::new(text);
    let enter = |name: &str, text| Command::EnterVehicle {
        vehicle: vehicle(name),
        description: name.into(),
        file: file(text),
    };
    let measure = |name: &str, what: &str| {
        Command::Measure(Measurement {
            vehicle: vehicle(name),
            what: what.into(),
            value: "2550 mm".into(),
            how: "tape".into(),
        })
    };
    let mut measured = vec![];
    for command in [
        measure("hatchback", "wheelbase_left"),
        enter("hatchback", "another file"),
        measure("hatchback", "wheelbase_left"),
        enter("hatchback", "another file"),
        enter("van", "the van's file"),
        measure("hatchback", "outline.roof"),
        measure("van", "outline.roof"),
    ] {
        let events = again.act(minutes(2), &people["tech"], &command).await.expect("written");
        measured.extend(events.iter().filter(|e| e.fact.kind() == "vehicle-measured").map(|e| e.seq));
    }
    let strike = Command::Correct { event: measured[2], words: "misread".into() };
    again.act(minutes(2), &people["tech"], &strike).await.expect("struck out");
    let now = again.shop().await.expect("the shop");
    assert_eq!(now.fleet.measurements(&vehicle("hatchback")), [measured[1]].into());
    assert_eq!(now.fleet.measurements(&vehicle("van")), [measured[3]].into());
    assert_eq!(*late.hall().await.expect("the hall"), *now.hall);
    assert_eq!(late.shop().await.expect("the shop"), now);
    late.close().await;
    again.close().await;
    for altered in ["fleet = REPLACE(fleet, 'hatchback', 'fastback')", "seq = seq + 1", "fleet = '{'"] {
        sql(&place, &format!("UPDATE fleet SET {altered}")).await;
        let faults = verify(&place, None).await.expect("read").faults;
        let found = matches!(faults.as_slice(), [Fault::FoldNotBelieved(_) | Fault::FoldDiffers(_)]);
        assert!(found, "{altered}: {faults:?}");
        let again = Book::open(&place).await.expect("opened from the events");
        assert_eq!(again.shop().await.expect("the shop"), now, "{altered}");
        sound(&again).await;
        again.close().await;
    }
    {
        let altered = "DELETE FROM fleet";
        sql(&place, altered).await;
        let again = Book::open(&place).await.expect("opened from the events");
        assert_eq!(again.shop().await.expect("the shop"), now, "{altered}");
        again.close().await;
    }
}

/// Rules that ask no age, then some that do: the lead gives the day, and nobody is entered anew.
#[tokio::test(flavor = "multi_thread")]
async fn an_age_given_afterwards_is_in_the_book() {
    for (_file, place) in places().await {
        let (book, people) = ready_book(&place).await;
        let new = || person("new");
        let lead = &people["lead"];
        let admit = Command::AdmitPerson(Admission { of_age: None, ..admission("new", Role::Technician) });
        for command in [
            Command::ChooseRules { rules: Rules::UnitedKingdom },
            admit,
            instruction("new", "2026-03-02"),
            authorisation("new"),
        ] {
            book.act(minutes(1), lead, &command).await.expect("written");
        }
        book.set_pin(minutes(1), lead, &new(), "8642").await.expect("set");
        let signed = book.check_pin(minutes(1), &new(), "8642").await.expect("right");
        book.act(minutes(1), &signed, &check()).await.expect("no age is asked for");
        let german = Command::ChooseRules { rules: Rules::Germany };
        book.act(minutes(2), lead, &german).await.expect("chosen");
        match book.act(minutes(2), &signed, &check()).await {
            Err(Failure::Refused(why)) => assert_eq!(why, [Refusal::AgeUnknown(new())]),
            other => panic!("{other:?}"),
        }
        let give = Command::GiveAge { person: new(), of_age: day("2001-05-06") };
        let given = book.act(minutes(3), lead, &give).await.expect("given");
        book.act(minutes(3), &signed, &check()).await.expect("of age");
        assert!(book.events_about(&Subject::Person(new())).await.expect("read").contains(&given[0]));
        sound(&book).await;
        let again = Book::open(&place).await.expect("opened");
        assert_eq!(again.shop().await.expect("the shop"), book.shop().await.expect("the shop"));
    }
}

/// As a program left it that knew of no fleet.
async fn made_older(place: &str) {
    sql(place, "DROP TABLE fleet; DELETE FROM book_version WHERE version = 3; UPDATE fold SET version = 11")
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_older_programs_book_is_brought_forward_to_be_verified() {
    for (_file, place) in places().await {
        let (book, _) = ready_book(&place).await;
        book.close().await;
        made_older(&place).await;
        if place.contains("://") {
            // Whoever may only read cannot: no word of damage, and it stays as it is.
            sql(
                &place,
                "DROP ROLE IF EXISTS reader; CREATE ROLE reader LOGIN; GRANT USAGE ON SCHEMA public TO reader; \
                 GRANT SELECT ON ALL TABLES IN SCHEMA public TO reader",
            )
            .await;
            let reading = place.replace("user=shop", "user=reader");
            assert_ne!(reading, place, "another user");
            for said in [verify(&reading, None).await.err(), Book::open(&reading).await.err()] {
                assert!(matches!(said, Some(Failure::OlderBook { book: 2, .. })), "{said:?}");
            }
        }
        assert_eq!(verify(&place, None).await.expect("read").faults, []);
        let again = Book::open(&place).await.expect("opened");
        sound(&again).await;
        again.close().await;
    }
}
