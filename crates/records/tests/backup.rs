//! Out of one database and into the other.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::io::BufReader;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use common::behind::sql;
use common::place::{self, File, places, shared};
use common::*;
use records::*;

async fn backed_up(book: &Book) -> (Head, Vec<u8>) {
    let mut text = vec![];
    let head = book.backup(&mut text).await.expect("written");
    (head, text)
}

async fn restored(place: &str, text: &[u8]) -> Result<Restored, Failure> {
    Book::restore(place, &mut BufReader::new(text)).await
}

#[tokio::test(flavor = "multi_thread")]
async fn from_either_database_into_either() {
    let Some(server) = shared() else { return };
    let (from_file, to_file) = (File::new(), File::new());
    for (from, to) in [(from_file.place(), server.database()), (server.database(), to_file.place())] {
        let (book, people) = ready_book(&from).await;
        book.act(at(MORNING), &people["tech"], &Command::BeginRaise(plan())).await.expect("begun");
        let (head, text) = backed_up(&book).await;
        let Restored { book: copy, verification } = restored(&to, &text).await.expect("restored");
        assert_eq!((verification.head, verification.faults), (head, vec![]));
        assert_eq!(copy.shop().await.expect("the shop"), book.shop().await.expect("the shop"));
        assert_eq!(backed_up(&copy).await.1, text, "the same to the byte");
        // It is the same book: who signed in there acts here, and new PINs hold.
        copy.check_pin(at(MORNING), &person("tech"), "2580").await.expect("the PIN came along");
        let spotted = confirm(HoldPoint::Spotted, None);
        copy.act(at(MORNING), &people["tech"], &spotted).await.expect("the raise goes on");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_backup_while_others_write_is_of_one_moment() {
    let mut places = vec![];
    let file = File::new();
    places.push(file.place());
    places.extend(shared().map(place::Server::database));
    for place in places {
        let (book, people) = ready_book(&place).await;
        let writer = Arc::new(Book::open(&place).await.expect("opened"));
        let tech = people["tech"].clone();
        // However quick either is: it writes until enough backups were made, and 60 times at the least.
        let enough = Arc::new(AtomicBool::new(false));
        let told = Arc::clone(&enough);
        let writing = tokio::spawn(async move {
            let mut n = 0;
            while n < 60 || !told.load(Ordering::Relaxed) {
                n += 1;
                let command =
                    Command::ReportIncident { lift: None, raise: None, words: format!("incident {n}") };
                writer.act(at(MORNING), &tech, &command).await.expect("written");
            }
        });
        let mut heads = vec![];
        while !writing.is_finished() {
            let (head, text) = backed_up(&book).await;
            let to = File::new();
            let copy = restored(&to.place(), &text).await.expect("whole");
            assert_eq!(copy.verification.head, head);
            let as_known = book.verify(Some(head)).await.expect("read").faults;
            assert_eq!(as_known, [], "the book still has what the backup has");
            heads.push(head.seq);
            enough.store(heads.len() > 1, Ordering::Relaxed);
        }
        writing.await.expect("no panic");
        assert!(heads.windows(2).all(|w| w[0] <= w[1]) && heads.len() > 1, "{heads:?}");
    }
}

/// Lets somebody else write in the middle of a backup, and goes on when that is done.
struct Interrupted {
    text: Vec<u8>,
    write: Option<std::sync::mpsc::Sender<()>>,
    written: std::sync::mpsc::Receiver<()>,
}

impl std::io::Write for Interrupted {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.text.extend(bytes);
        if self.text.windows(10).any(|w| w == b"\"document\"")
            && let Some(write) = self.write.take()
        {
            write.send(()).expect("the other one listens");
            self.written.recv().expect("the other one has written");
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn what_is_written_meanwhile_is_not_in_a_backup() {
    let file = File::new();
    let mut places = vec![file.place()];
    places.extend(shared().map(place::Server::database));
    for place in places {
        let (book, people) = ready_book(&place).await;
        let before = book.shop().await.expect("the shop").head;
        let other = Book::open(&place).await.expect("opened");
        let ((write, told), (done, written)) = (std::sync::mpsc::channel(), std::sync::mpsc::channel());
        let tech = people["tech"].clone();
        let handle = tokio::runtime::Handle::current();
        let meddler = std::thread::spawn(move || {
            told.recv().expect("told");
            let plan = NewPlan { answer: Document::new("a later answer"), ..plan() };
            handle.block_on(other.act(at(MORNING), &tech, &Command::KeepPlan(plan))).expect("written");
            done.send(()).expect("the backup waits");
        });
        let mut out = Interrupted { text: vec![], write: Some(write), written };
        let head = book.backup(&mut out).await.expect("written");
        meddler.join().expect("no panic");
        assert_eq!(head, before, "{place}");
        assert!(book.shop().await.expect("the shop").head.seq > before.seq);
        let to = File::new();
        assert_eq!(restored(&to.place(), &out.text).await.expect("whole").verification.head, before);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_whole_is_refused_and_nothing_is_written() {
    let from = File::new();
    let (book, _) = ready_book(&from.place()).await;
    let (_, text) = backed_up(&book).await;
    let text = String::from_utf8(text).expect("text");
    let lines: Vec<&str> = text.lines().collect();
    let event = lines.iter().position(|l| l.contains("\"line\":\"event\"")).expect("an event");
    let joined = |lines: &[&str]| lines.join("\n") + "\n";
    let without = |at: usize| joined(&[&lines[..at], &lines[at + 1..]].concat());
    let mut spoilt = vec![
        ("no lines", String::new()),
        ("no head", joined(&lines[1..])),
        ("cut in a line", text[..text.len() / 2].to_owned()),
        ("no event", without(event)),
        ("no document", without(1)),
        ("no PIN", without(lines.len() - 2)),
        ("altered document", text.replacen("the lift's file", "the lift's fine", 1)),
        ("altered event", text.replacen("two-post lifts", "four-post lifts", 1)),
        ("fewer than no wrong PINs", text.replacen("\"failures\":0", "\"failures\":-9", 1)),
        ("fewer than no locks", text.replacen("\"locks\":0", "\"locks\":-9", 1)),
        ("more after its end", format!("{text}{}\n", lines[0])),
        ("another form", text.replacen("\"form\":1", "\"form\":9", 1)),
        ("swapped events", {
            let mut lines = lines.clone();
            lines.swap(event, event + 1);
            joined(&lines)
        }),
    ];
    spoilt.extend((1..lines.len()).step_by(7).map(|n| ("broken off", joined(&lines[..n]))));
    let to = File::new();
    for (how, spoilt) in spoilt {
        assert_ne!(spoilt, text, "{how}");
        match restored(&to.place(), spoilt.as_bytes()).await {
            Err(Failure::NotABackup(_)) => {}
            other => panic!("{how}: {other:?}"),
        }
        assert!(matches!(Book::open(&to.place()).await, Err(Failure::NoBook(_))), "{how}");
    }
    restored(&to.place(), text.as_bytes()).await.expect("the whole one, in the same place");
    assert!(matches!(restored(&to.place(), text.as_bytes()).await, Err(Failure::BookExists(_))));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_damaged_book_is_not_backed_up_as_if_it_were_whole() {
    let from = File::new();
    let (book, _) = ready_book(&from.place()).await;
    sql(&from.place(), "UPDATE event SET by_person = 'exam' WHERE seq = 9").await;
    match book.backup(&mut vec![]).await {
        Err(Failure::Damaged(faults)) => assert_eq!(faults, [Fault::Altered(Seq(9))]),
        other => panic!("{other:?}"),
    }
}

/// A backup that could not be restored is none: of documents and PINs as of events.
#[tokio::test(flavor = "multi_thread")]
async fn no_backup_is_made_that_could_not_be_restored() {
    for damage in [
        "UPDATE document SET content = content || ' ' WHERE digest = (SELECT MIN(digest) FROM document)",
        "DELETE FROM document WHERE digest = (SELECT MIN(digest) FROM document)",
        "DELETE FROM pin WHERE person = 'tech'",
    ] {
        for (_file, place) in places().await {
            let (book, _) = ready_book(&place).await;
            sql(&place, damage).await;
            let made = book.backup(&mut vec![]).await;
            assert!(matches!(&made, Err(Failure::Damaged(all)) if all.len() == 1), "{damage}: {made:?}");
            // What is made anew with a book costs no backup.
            book.close().await;
        }
    }
    let from = File::new();
    let (book, _) = ready_book(&from.place()).await;
    sql(&from.place(), "DELETE FROM subject WHERE seq = 9").await;
    let (_, text) = backed_up(&book).await;
    restored(&File::new().place(), text.as_slice()).await.expect("whole");
}

/// What comes to nothing leaves nothing behind.
#[tokio::test(flavor = "multi_thread")]
async fn no_file_is_left_of_a_book_that_could_not_be_made() {
    let file = File::new();
    let (book, _) = ready_book(&file.place()).await;
    let (_, text) = backed_up(&book).await;
    let text = String::from_utf8(text).expect("text");
    let cut = text.lines().count() - 3;
    let cut: String = text.lines().take(cut).map(|line| format!("{line}\n")).collect();
    let pin = text.lines().find(|line| line.contains("\"person\":\"tech\",\"hash\"")).expect("a PIN");
    let other = text.replace(pin, &pin.replace("argon2id", "argon2i"));
    for (text, why) in [(cut.as_str(), "breaks off"), ("no backup", "line 1"), (&other, "the PIN of tech")] {
        let to = File::new();
        let failure = restored(&to.place(), text.as_bytes()).await.expect_err("it is none").to_string();
        assert!(failure.contains(why), "{failure}");
        assert_eq!(std::fs::read_dir(to.folder.path()).expect("the folder").count(), 0);
    }
    // What was there stays there.
    assert!(matches!(restored(&file.place(), text.as_bytes()).await, Err(Failure::BookExists(_))));
    book.verify(None).await.expect("it is still there");
    let to = File::new();
    let opening = Opening { pin: "4444".into(), ..opening() };
    Book::create(&to.place(), at(MORNING), opening).await.expect_err("too plain");
    assert_eq!(std::fs::read_dir(to.folder.path()).expect("the folder").count(), 0);
}

/// What is found faulty once it is all read is not kept either, in either database, and the place is free for a whole one.
#[tokio::test(flavor = "multi_thread")]
async fn no_faulty_book_is_left_in_use() {
    let from = File::new();
    let (book, _) = ready_book(&from.place()).await;
    let (head, text) = backed_up(&book).await;
    let words = String::from_utf8(text.clone()).expect("text");
    let pin = words.lines().find(|line| line.contains("\"person\":\"tech\",\"hash\"")).expect("a PIN");
    let faulty = words.replace(pin, &pin.replace("argon2id", "argon2i"));
    for (_file, place) in places().await {
        match restored(&place, faulty.as_bytes()).await {
            Err(Failure::Damaged(faults)) => assert_eq!(faults, [Fault::PinAltered(person("tech"))]),
            other => panic!("{other:?}"),
        }
        let opened = Book::open(&place).await;
        assert!(matches!(opened, Err(Failure::NoBook(_))), "{place}: {opened:?}");
        let whole = restored(&place, &text).await.expect("the whole one, in the same place");
        assert_eq!(whole.verification.head, head);
    }
}

/// Whose PIN a salvage lacks is told by it and by the book made of it, where nobody proved to be the lead.
#[tokio::test(flavor = "multi_thread")]
async fn pins_that_are_lost_are_told() {
    let all = ["exam", "lead", "learn", "teach", "tech", "tech-two"].map(person);
    let as_tech = "UPDATE pin SET hash = (SELECT hash FROM pin WHERE person = 'tech') WHERE person = 'exam'";
    for (spoil, lost) in
        [("DELETE FROM pin", &all[..]), (as_tech, &all[..1]), ("UPDATE pin SET failures = 1", &[])]
    {
        for (_file, place) in places().await {
            let (book, _) = ready_book(&place).await;
            sql(&place, spoil).await;
            let mut text = vec![];
            let found = salvage(&place, &mut text).await.expect("read");
            assert_eq!((found.lost, &found.pins_lost[..]), (vec![], lost), "{spoil}");
            let other = File::new();
            let place = other.place();
            let by = person("lead");
            let made =
                Book::restore_salvaged(&place, at(MORNING), &mut &text[..], &by, "4711").await.expect("made");
            let others: Vec<PersonId> = lost.iter().filter(|id| **id != by).cloned().collect();
            assert_eq!((made.pins_lost, made.lead_unproved), (others, lost.contains(&by)), "{spoil}");
            let given = made.book.events_about(&Subject::Person(by)).await.expect("read");
            let is_given = given.iter().any(|e| matches!(e.fact, Fact::PinGiven { .. }));
            assert_eq!(is_given, made.lead_unproved);
            made.book.check_pin(at(MORNING), &person("lead"), "4711").await.expect("the lead's");
            assert_eq!(made.book.verify(None).await.expect("read").faults, []);
            book.close().await;
        }
    }
}

/// What the damaged book said of its end stands in the salvage, and is told again by the book made of it.
#[tokio::test(flavor = "multi_thread")]
async fn a_lost_end_is_told_again() {
    for (_file, place) in places().await {
        let (book, _) = ready_book(&place).await;
        let end = book.shop().await.expect("read").head.seq;
        // Its log would still hold what is taken out.
        book.close().await;
        for gone in [false, true] {
            if gone {
                sql(&place, &format!("DELETE FROM event WHERE seq = {end}")).await;
            }
            let mut text = vec![];
            let found = salvage(&place, &mut text).await.expect("read");
            let intact = if gone { Seq(end.0 - 1) } else { end };
            let lost = if gone { vec![(end, end)] } else { vec![] };
            assert_eq!((found.intact.seq, found.lost), (intact, lost));
            let other = File::new();
            let (place, by) = (other.place(), person("lead"));
            let made =
                Book::restore_salvaged(&place, at(MORNING), &mut &text[..], &by, "4711").await.expect("made");
            assert_eq!((made.held.intact.seq, made.said.end, made.apart()), (intact, end, 0));
        }
    }
}
