//! What somebody with a database tool can do to a book is found and named, on both databases.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::behind::sql;
use common::place::{File, places, shared};
use common::*;
use records::*;

/// A book whose tenth and later events are 20 incidents; closed.
async fn written(place: &str) -> (Head, u64) {
    let (book, people) = ready_book(place).await;
    for n in 0..20 {
        let command =
            Command::ReportIncident { lift: Some(lift("north-bay")), raise: None, words: format!("oil {n}") };
        book.act(at(MORNING), &people["tech"], &command).await.expect("written");
    }
    let verification = book.verify(None).await.expect("read");
    assert_eq!(verification.faults, []);
    book.close().await;
    (verification.head, verification.head.seq.0 - 10)
}

/// Does it, and compares what is found.
async fn check(done: impl Fn(u64) -> String, found: impl Fn(u64, Head) -> Vec<Fault>) {
    for (_file, place) in places().await {
        let (head, n) = written(&place).await;
        sql(&place, &done(n)).await;
        let verification = verify(&place, None).await.expect("read");
        assert_eq!(verification.faults, found(n, head), "{place}");
        let opened = Book::open(&place).await;
        if let Err(Failure::Damaged(faults)) = &opened {
            assert_eq!(faults.len(), 1);
        }
        assert!(!verification.faults.is_empty());
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_altered_event() {
    for column in [
        "fact = REPLACE(fact, 'oil', 'air')",
        "by_person = 'lead'",
        "with_person = 'lead'",
        "at_microseconds = at_microseconds + 1",
        "zone = 'UTC'",
        "fact = 'nothing that can be read'",
    ] {
        check(|n| format!("UPDATE event SET {column} WHERE seq = {n}"), |n, _| vec![Fault::Altered(Seq(n))])
            .await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn an_altered_hash() {
    let other = Digest::of("other");
    check(
        |n| format!("UPDATE event SET hash = '{other}' WHERE seq = {n}"),
        |n, _| vec![Fault::NotChained(Seq(n + 1)), Fault::Altered(Seq(n))],
    )
    .await;
    check(
        |n| format!("UPDATE event SET before_hash = '{other}' WHERE seq = {n}"),
        |n, _| vec![Fault::Altered(Seq(n))],
    )
    .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn missing_events() {
    check(|n| format!("DELETE FROM event WHERE seq = {n}"), |n, _| vec![Fault::Missing(Seq(n), Seq(n))])
        .await;
    check(
        |n| format!("DELETE FROM event WHERE seq BETWEEN {n} AND {}", n + 3),
        |n, _| vec![Fault::Missing(Seq(n), Seq(n + 3))],
    )
    .await;
    check(|_| "DELETE FROM event WHERE seq = 1".to_owned(), |_, _| vec![Fault::Missing(Seq(1), Seq(1))])
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_last_event_missing() {
    for (_file, place) in places().await {
        let (head, _) = written(&place).await;
        sql(&place, &format!("DELETE FROM event WHERE seq = {}", head.seq)).await;
        let verification = verify(&place, None).await.expect("read");
        assert_eq!(verification.faults, [Fault::EndsElsewhere { said: head, found: verification.head }]);
        assert!(matches!(Book::open(&place).await, Err(Failure::Damaged(_))));
        // Whoever also changes what the book says of its end is found out by a head noted elsewhere.
        sql(
            &place,
            &format!(
                "UPDATE head SET seq = {0}, hash = '{1}'; DELETE FROM subject WHERE seq > {0}",
                verification.head.seq, verification.head.hash
            ),
        )
        .await;
        assert_eq!(verify(&place, None).await.expect("read").faults, []);
        let shorter = Fault::EndsBefore { known: head, last: verification.head.seq };
        assert_eq!(verify(&place, Some(head)).await.expect("read").faults, [shorter]);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn reordered_events() {
    check(
        |n| {
            format!(
                "UPDATE event SET seq = 1000000 WHERE seq = {n}; UPDATE event SET seq = {n} WHERE seq = {m}; \
                 UPDATE event SET seq = {m} WHERE seq = 1000000",
                m = n + 2
            )
        },
        |n, _| {
            let (a, b) = (Seq(n), Seq(n + 2));
            // What follows a moved event names the one that was there.
            vec![
                Fault::NotChained(Seq(n + 1)),
                Fault::NotChained(Seq(n + 3)),
                Fault::Moved { stands: a, written: b },
                Fault::Moved { stands: b, written: a },
            ]
        },
    )
    .await;
    check(
        |n| format!("DELETE FROM event WHERE seq = {n}; UPDATE event SET seq = {n} WHERE seq = {}", n + 1),
        |n, _| {
            vec![Fault::Missing(Seq(n + 1), Seq(n + 1)), Fault::Moved { stands: Seq(n), written: Seq(n + 1) }]
        },
    )
    .await;
}

/// The hash as anybody can compute it who knows the format: SHA-256 over each part with its length, eight bytes.
fn forged(event: &Event, fact: &str) -> Digest {
    let with = event.with.as_ref().map(ToString::to_string).unwrap_or_default();
    let (seq, at) = (event.seq.to_string(), event.at.as_microsecond().to_string());
    let (by, before) = (event.by.to_string(), event.before.to_string());
    Digest::of_parts(&["standfast event 1", &seq, &at, event.zone.name(), &by, &with, fact, &before])
}

/// A zone that nothing here knows, as a newer program may choose one: no day of it is told by another.
#[tokio::test(flavor = "multi_thread")]
async fn a_zone_that_is_not_known_is_no_other() {
    for (_file, place) in places().await {
        let (book, people) = ready_book(&place).await;
        let choose = Command::ChooseZone { zone: "America/Denver".into() };
        let event = book.act(at(MORNING), &people["lead"], &choose).await.expect("done").remove(0);
        book.close().await;
        let fact = serde_json::to_string(&event.fact).expect("text").replace("America/Denver", "Moon/Base");
        let hash = forged(&event, &fact);
        let seq = event.seq;
        sql(
            &place,
            &format!(
                "UPDATE event SET fact = '{fact}', hash = '{hash}' WHERE seq = {seq}; UPDATE head SET hash = '{hash}'"
            ),
        )
        .await;
        let is_told = |failure| matches!(failure, Failure::UnknownZone(zone) if zone == "Moon/Base");
        assert!(is_told(Book::open(&place).await.expect_err("refused")));
        assert!(is_told(verify(&place, None).await.expect_err("refused")));
        let mut lines = vec![];
        let salvaged = salvage(&place, &mut lines).await.expect("read");
        assert_eq!((salvaged.intact, salvaged.lost), (Head { seq, hash }, vec![]));
        let other = File::new();
        let (place, lead) = (other.place(), person("lead"));
        let made = Book::restore_salvaged(&place, at(MORNING), &mut &lines[..], &lead, "4711").await;
        assert!(is_told(made.expect_err("refused")));
        let backup = String::from_utf8(lines).expect("text");
        let backup = backup.replacen(
            "{\"line\":\"salvage\",\"form\":1}",
            "{\"line\":\"book\",\"form\":1,\"shop\":\"x\"}",
            1,
        );
        assert!(is_told(Book::restore(&other.place(), &mut backup.as_bytes()).await.expect_err("refused")));
        assert!(!other.path().exists());
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_forged_event_does_not_fit_into_the_chain() {
    for (_file, place) in places().await {
        let (head, n) = written(&place).await;
        let book = Book::open(&place).await.expect("opened");
        let event = book.events_after(Seq(n - 1)).await.expect("read").remove(0);
        book.close().await;
        let fact = serde_json::to_string(&event.fact).expect("text");
        assert_eq!(forged(&event, &fact), event.hash, "the format is the one written down here");
        let other = fact.replace("oil", "air");
        assert_ne!(other, fact);
        let hash = forged(&event, &other);
        sql(&place, &format!("UPDATE event SET fact = '{other}', hash = '{hash}' WHERE seq = {n}")).await;
        let found = verify(&place, Some(head)).await.expect("read").faults;
        assert_eq!(found, [Fault::NotChained(Seq(n + 1))]);
        // As the last event it fits; a head noted elsewhere says that it is another.
        let book_end = format!(
            "DELETE FROM event WHERE seq > {n}; DELETE FROM subject WHERE seq > {n}; UPDATE head SET seq = {n}, hash = '{hash}'"
        );
        sql(&place, &book_end).await;
        assert_eq!(verify(&place, None).await.expect("read").faults, []);
        let known = Head { seq: Seq(n), hash: event.hash };
        assert_eq!(verify(&place, Some(known)).await.expect("read").faults, [Fault::NotAsKnown(known)]);
    }
}

/// Where nothing keeps an event's number from coming twice, a second one is named, whichever of the two is read first; so is
/// whatever lets it in, or loses all of a table when the server ends.
#[tokio::test(flavor = "multi_thread")]
async fn a_second_event_of_a_number() {
    let Some(server) = shared() else { return };
    let columns = "seq, at_microseconds, zone, by_person, with_person, fact, before_hash, hash, day";
    for (let_in, into, by) in [
        ("ALTER TABLE event DROP CONSTRAINT event_pkey", "event", Fault::Lacks("key event.seq".into())),
        ("CREATE TABLE other () INHERITS (event)", "other", Fault::Strange("child event.other".into())),
    ] {
        for is_first in [true, false] {
            let place = server.database();
            let (head, n) = written(&place).await;
            let book = Book::open(&place).await.expect("opened");
            let event = book.events_after(Seq(n - 1)).await.expect("read").remove(0);
            book.close().await;
            let fact = serde_json::to_string(&event.fact).expect("text");
            let (other, true_hash) = (fact.replace("oil", "air"), event.hash);
            let hash = forged(&event, &other);
            let (first, second) = if is_first {
                ((&other, hash), (&fact, true_hash))
            } else {
                ((&fact, true_hash), (&other, hash))
            };
            // Within a table as within a table and its child, what was put in first is read first.
            let statements = format!(
                "{let_in}; INSERT INTO {into} SELECT {columns} FROM event WHERE seq = {n}; \
                 UPDATE {into} SET fact = '{}', hash = '{}' WHERE seq = {n}; \
                 UPDATE ONLY event SET fact = '{}', hash = '{}' WHERE ctid = (SELECT MIN(ctid) FROM ONLY event WHERE seq = {n})",
                second.0, second.1, first.0, first.1
            );
            sql(&place, &statements).await;
            let found = verify(&place, Some(head)).await.expect("read").faults;
            for fault in [&by, &Fault::Strange(format!("second row of event {n}"))] {
                assert!(found.contains(fault), "{let_in}, {is_first}: {fault:?}: {found:?}");
            }
            let opened = Book::open(&place).await;
            assert!(matches!(opened, Err(Failure::Damaged(_))), "{let_in}, {is_first}: {opened:?}");
        }
    }
    for (done, fault) in [
        ("ALTER TABLE event DROP CONSTRAINT event_pkey", Fault::Lacks("key event.seq".into())),
        (
            "ALTER TABLE event DROP CONSTRAINT event_pkey; ALTER TABLE event ADD PRIMARY KEY (seq, day)",
            Fault::Strange("key event.day".into()),
        ),
        ("ALTER TABLE subject DROP CONSTRAINT subject_pkey", Fault::Lacks("key subject.seq".into())),
        ("CREATE TABLE other () INHERITS (event)", Fault::Strange("child event.other".into())),
        ("ALTER TABLE event SET UNLOGGED", Fault::Strange("persistence event.unlogged".into())),
    ] {
        let place = server.database();
        written(&place).await;
        sql(&place, done).await;
        let found = verify(&place, None).await.expect("read").faults;
        assert!(found.contains(&fault), "{done}: {found:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn documents() {
    let digest = Document::new("the lift's file").digest();
    check(
        |_| format!("UPDATE document SET content = 'another' WHERE digest = '{digest}'"),
        |_, _| vec![Fault::DocumentAltered(digest)],
    )
    .await;
    for (_file, place) in places().await {
        written(&place).await;
        sql(&place, &format!("DELETE FROM document WHERE digest = '{digest}'")).await;
        let faults = verify(&place, None).await.expect("read").faults;
        assert!(matches!(&faults[..], [Fault::DocumentMissing(_, d)] if *d == digest), "{faults:?}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn wrong_lists() {
    let wrong = |n: u64, _: Head| vec![Fault::WronglyListed(Seq(n))];
    check(|n| format!("UPDATE event SET day = '2020-01-01' WHERE seq = {n}"), wrong).await;
    check(|n| format!("DELETE FROM subject WHERE seq = {n}"), wrong).await;
    check(|n| format!("INSERT INTO subject (subject, seq) VALUES ('lift south-bay', {n})"), wrong).await;
    let under_none = |_: u64, head: Head| vec![Fault::ListedUnderNone(Seq(head.seq.0 + 7))];
    check(
        |n| format!("INSERT INTO subject (subject, seq) SELECT 'lift south-bay', MAX(seq) + 7 + 0 * {n} FROM event"),
        under_none,
    )
    .await;
}

/// PINs stand outside the chain; what is kept of them is named in it.
#[tokio::test(flavor = "multi_thread")]
async fn pins() {
    let lead = || person("lead");
    let as_tech = "UPDATE pin SET hash = (SELECT hash FROM pin WHERE person = 'tech') WHERE person = 'lead'";
    check(|_| as_tech.to_owned(), |_, _| vec![Fault::PinAltered(lead())]).await;
    check(|_| "DELETE FROM pin WHERE person = 'lead'".to_owned(), |_, _| vec![Fault::PinMissing(lead())])
        .await;
    let planted = "INSERT INTO pin SELECT 'nobody', hash, 0, 0, 0 FROM pin WHERE person = 'tech'";
    check(|_| planted.to_owned(), |_, _| vec![Fault::PinPlanted("nobody".into())]).await;
    for (_file, place) in places().await {
        let (book, _) = ready_book(&place).await;
        sql(&place, as_tech).await;
        // With the other's PIN nobody comes in under that name.
        match book.check_pin(at(MORNING), &lead(), "2580").await {
            Err(Failure::Damaged(faults)) => assert_eq!(faults, [Fault::PinAltered(lead())]),
            other => panic!("{other:?}"),
        }
    }
}

/// As where a restore was killed: tables, and nothing in them.
#[tokio::test(flavor = "multi_thread")]
async fn a_book_without_events_is_not_whole() {
    for (_file, place) in places().await {
        ready_book(&place).await.0.close().await;
        for table in ["subject", "event", "document", "pin", "fold", "head"] {
            sql(&place, &format!("DELETE FROM {table}")).await;
        }
        let found = verify(&place, None).await.expect("read");
        assert_eq!((found.events, found.faults), (0, vec![Fault::NoEvent]));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_no_program_of_ours_makes() {
    for (_file, place) in places().await {
        let on_postgres = place.contains("://");
        let planted = if on_postgres {
            "CREATE FUNCTION other() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NULL; END'; \
             CREATE TRIGGER other BEFORE INSERT ON event FOR EACH ROW EXECUTE FUNCTION other()"
        } else {
            "CREATE TRIGGER other AFTER INSERT ON event BEGIN DELETE FROM document; END"
        };
        let (head, _) = written(&place).await;
        sql(&place, planted).await;
        let found = verify(&place, Some(head)).await.expect("read").faults;
        let mut all = vec![Fault::Strange("trigger other".into())];
        if on_postgres {
            all.insert(0, Fault::Strange("function other".into()));
        }
        assert_eq!(found, all);
    }
    check(|_| "DROP INDEX event_day".to_owned(), |_, _| vec![Fault::Lacks("index event_day".into())]).await;
}

/// What is of the wrong kind is named, and the rest is looked at all the same.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_text() {
    let digest = Document::new("the lift's file").digest();
    let other = Document::new("the vehicle's file").digest();
    let also = format!("UPDATE document SET content = 'another' WHERE digest = '{other}'");
    for (statement, event) in [
        (format!("UPDATE document SET content = CAST(x'ff41' AS TEXT) WHERE digest = '{digest}'"), None),
        (format!("UPDATE document SET content = x'00ff' WHERE digest = '{digest}'"), None),
        ("UPDATE event SET fact = CAST(x'ff41' AS TEXT) WHERE seq = 9".to_owned(), Some(Seq(9))),
        ("UPDATE event SET at_microseconds = 'abc' WHERE seq = 9".to_owned(), Some(Seq(9))),
    ] {
        let file = File::new();
        let (head, _) = written(&file.place()).await;
        sql(&file.place(), &format!("{statement}; {also}")).await;
        let found = verify(&file.place(), Some(head)).await.expect("read");
        assert_eq!(found.head, head, "{statement}");
        let named = |fault: &Fault| match fault {
            Fault::Unreadable(seq, _) => Some(*seq) == event,
            Fault::DocumentUnreadable(d, _) => *d == digest && event.is_none(),
            _ => false,
        };
        let (unreadable, rest): (Vec<_>, Vec<_>) = found.faults.into_iter().partition(named);
        assert_eq!((unreadable.len(), rest), (1, vec![Fault::DocumentAltered(other)]), "{statement}");
        let salvaged = salvage(&file.place(), &mut vec![]).await.expect("read");
        assert_eq!(salvaged.lost, event.map(|seq| (seq, seq)).into_iter().collect::<Vec<_>>());
        let lost: Vec<Digest> = salvaged.documents_lost.iter().map(|(_, digest)| *digest).collect();
        assert!(lost.contains(&other) && lost.contains(&digest) == event.is_none(), "{statement}: {lost:?}");
    }
    for table in ["document", "subject", "pin", "head", "fold", "fleet", "book_version"] {
        let file = File::new();
        let (head, _) = written(&file.place()).await;
        sql(&file.place(), &format!("DROP TABLE {table}")).await;
        let found = verify(&file.place(), None).await.expect("read");
        assert_eq!(found.head, head, "{table}: the events are read all the same");
        assert!(found.faults.contains(&Fault::Lacks(format!("table {table}"))), "{:?}", found.faults);
        let again = (1..found.faults.len()).find(|n| found.faults[..*n].contains(&found.faults[*n]));
        assert_eq!(again, None, "{} faults, and one of them twice", found.faults.len());
    }
}

/// An altered row costs nothing but itself, in either database.
#[tokio::test(flavor = "multi_thread")]
async fn the_rest_is_salvaged() {
    for (_file, place) in places().await {
        let (head, n) = written(&place).await;
        let digest = Document::new("the lift's file").digest();
        let document = format!("DELETE FROM document WHERE digest = '{digest}'");
        sql(&place, &format!("UPDATE event SET zone = 'UTC' WHERE seq = {n}; {document}")).await;
        let mut text = vec![];
        let found = salvage(&place, &mut text).await.expect("read");
        assert_eq!((found.events, found.intact.seq), (head.seq.0 - 1, Seq(n - 1)));
        assert_eq!(found.lost, [(Seq(n), Seq(n))]);
        let lost: Vec<Digest> = found.documents_lost.iter().map(|(_, digest)| *digest).collect();
        assert_eq!(lost, [digest], "a document that an event names is missed");
        assert_eq!(
            text.iter().filter(|b| **b == b'\n').count() as u64,
            found.events + found.documents + 2 + 6
        );
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_is_written_after_an_event_that_was_altered_meanwhile() {
    for (_file, place) in places().await {
        let (one, people) = ready_book(&place).await;
        let two = Book::open(&place).await.expect("opened");
        let tag = Command::TagOut { lift: lift("north-bay"), words: "oil".into() };
        let seq = one.act(at(MORNING), &people["tech"], &tag).await.expect("written")[0].seq;
        sql(&place, &format!("UPDATE event SET fact = REPLACE(fact, 'oil', 'air') WHERE seq = {seq}")).await;
        match two.act(at(MORNING), &people["tech"], &tag).await {
            Err(Failure::Damaged(faults)) => assert_eq!(faults, [Fault::Altered(seq)]),
            other => panic!("{other:?}"),
        }
    }
}

/// Rows and objects where no program of ours puts any; the book is still read as it was written.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_planted_is_named() {
    let strange = |what: &'static str| move |_, _| vec![Fault::Strange(what.into())];
    let event = |seq: i64| {
        format!(
            "INSERT INTO event SELECT {seq}, at_microseconds, zone, by_person, with_person, fact, before_hash, hash, '2001-01-01' \
             FROM event WHERE seq = 2"
        )
    };
    check(|_| event(0), strange("event 0")).await;
    check(|_| event(-1), strange("event -1")).await;
    check(|_| "INSERT INTO head SELECT 0, 7, hash FROM head".to_owned(), strange("head, row 0")).await;
    check(|_| "INSERT INTO fleet SELECT 2, 9, 1, '', '{}' FROM head".to_owned(), strange("fleet, row 2"))
        .await;
    check(|_| "INSERT INTO fold SELECT 2, 9, 1, '', '{}' FROM head".to_owned(), strange("fold, row 2")).await;
    for (_file, place) in places().await {
        let (head, _) = written(&place).await;
        sql(&place, "INSERT INTO head SELECT 0, 7, hash FROM head").await;
        assert_eq!(Book::open(&place).await.expect("opened").shop().await.expect("read").head, head);
    }
    let Some(server) = shared() else { return };
    for (done, what) in [
        ("ALTER TABLE event ADD COLUMN note TEXT", "column event.note"),
        ("ALTER TABLE event ALTER COLUMN zone SET DEFAULT 'UTC'", "default event.zone"),
        ("ALTER TABLE event ADD CONSTRAINT early CHECK (seq < 1000)", "constraint event.early"),
        ("CREATE FUNCTION other() RETURNS INT AS 'SELECT 1' LANGUAGE sql", "function other"),
        ("CREATE POLICY hidden ON event USING (seq < 5)", "policy event.hidden"),
    ] {
        let place = server.database();
        written(&place).await;
        sql(&place, done).await;
        assert_eq!(verify(&place, None).await.expect("read").faults, [Fault::Strange(what.into())]);
    }
    // Others' tables are none of the book's, whatever they have; a column that is gone is missed.
    let place = server.database();
    written(&place).await;
    sql(&place, "CREATE TABLE wages (person TEXT DEFAULT 'nobody' CHECK (person <> ''))").await;
    assert_eq!(verify(&place, None).await.expect("read").faults, []);
    sql(&place, "ALTER TABLE subject DROP COLUMN seq").await;
    let found = verify(&place, None).await.expect("read").faults;
    assert!(found.contains(&Fault::Lacks("column subject.seq".into())), "{found:?}");
}

/// A book that nothing opens is not called whole.
#[tokio::test(flavor = "multi_thread")]
async fn versions_that_no_program_writes() {
    let lacks = |what: &'static str| Fault::Lacks(format!("row {what} of table book_version"));
    let strange = |what: &'static str| Fault::Strange(format!("row {what} of table book_version"));
    for (done, expected) in [
        ("DELETE FROM book_version", vec![lacks("1")]),
        ("DELETE FROM book_version WHERE version = 1", vec![lacks("1")]),
        ("UPDATE book_version SET version = -1 WHERE version = 2", vec![lacks("2"), strange("-1")]),
        ("UPDATE book_version SET version = 0", vec![lacks("1"), strange("0")]),
    ] {
        for (_file, place) in places().await {
            written(&place).await;
            sql(&place, done).await;
            assert_eq!(verify(&place, None).await.expect("read").faults, expected, "{place}: {done}");
            let opened = Book::open(&place).await;
            assert!(matches!(&opened, Err(Failure::Damaged(f)) if *f == expected), "{done}: {opened:?}");
        }
    }
    // As that of an older program, but for a table that is there already.
    for (_file, place) in places().await {
        let (head, _) = written(&place).await;
        sql(&place, "DELETE FROM book_version WHERE version = 3").await;
        let found = verify(&place, None).await.expect("read");
        assert_eq!(found.head, head);
        assert!(matches!(&found.faults[..], [Fault::Store(words)] if words.contains("exists")), "{found:?}");
        let opened = Book::open(&place).await;
        assert!(matches!(&opened, Err(Failure::Damaged(f)) if *f == found.faults), "{opened:?}");
    }
}

/// Less than none would keep locks from coming.
#[tokio::test(flavor = "multi_thread")]
async fn wrong_pins_are_not_counted_from_below_none() {
    for column in ["failures", "locks", "locked_until"] {
        let altered = format!("UPDATE pin SET {column} = -1000000 WHERE person = 'tech'");
        check(|_| altered.clone(), |_, _| vec![Fault::PinCount("tech".into())]).await;
    }
    for (_file, place) in places().await {
        written(&place).await;
        sql(&place, "UPDATE pin SET failures = -1000000, locks = -7").await;
        let book = Book::open(&place).await.expect("opened");
        for n in 1..=WRONG_PINS {
            let wrong = book.check_pin(at(MORNING), &person("tech"), "9753").await;
            assert!(wrong.is_err(), "{n}");
        }
        let locked = book.check_pin(at(MORNING), &person("tech"), "2580").await;
        assert!(matches!(locked, Err(Failure::Pin(PinFailure::Locked(..)))), "{locked:?}");
    }
}
