//! A book's file is made by one program at a time, and what is written goes into the file that others open.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::path::Path;

use common::behind::sql;
use common::place::File;
use common::*;
use records::*;

fn incident() -> Command {
    Command::ReportIncident { lift: Some(lift("north-bay")), raise: None, words: "oil".into() }
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_is_written_into_a_file_that_was_moved_away() {
    let file = File::new();
    let (book, people) = ready_book(&file.place()).await;
    book.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
    let aside = file.folder.path().join("aside.book");
    let beside = |path: &Path, end: &str| format!("{}{end}", path.display());
    for end in ["", "-wal", "-shm"] {
        std::fs::rename(beside(&file.path(), end), beside(&aside, end)).expect("moved");
    }
    let head = |shop: Shop| shop.head;
    for _ in 0..2 {
        let refused = book.act(at(MORNING), &people["tech"], &incident()).await;
        assert!(matches!(refused, Err(Failure::Moved(_))), "{refused:?}");
        assert!(matches!(book.shop().await, Err(Failure::Moved(_))));
        // Another in its place is not it either.
        if !file.path().exists() {
            ready_book(&file.place()).await.0.close().await;
        }
    }
    book.close().await;
    let moved = Book::open(&aside.display().to_string()).await.expect("opened");
    let events = moved.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
    assert_eq!(head(moved.shop().await.expect("read")), events[0].head());
}

/// What SQLite keeps beside the file belongs to it as well: others that make it anew do not see what goes into the old.
#[tokio::test(flavor = "multi_thread")]
async fn nothing_is_written_beside_what_others_see() {
    for spoil in ["rm -wal", "rm -shm", "rm -wal -shm", "replace -wal"] {
        let file = File::new();
        let (book, people) = ready_book(&file.place()).await;
        book.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
        let beside = |end: &str| format!("{}{end}", file.place());
        match spoil.split_once(' ').expect("what, and of what") {
            ("rm", ends) => {
                ends.split(' ').for_each(|end| std::fs::remove_file(beside(end)).expect("removed"))
            }
            (_, end) => {
                std::fs::copy(beside(end), beside(".copy")).expect("copied");
                std::fs::rename(beside(".copy"), beside(end)).expect("in its place");
            }
        }
        let refused = book.act(at(MORNING), &people["tech"], &incident()).await;
        // Which of its connections meets it first decides what it says; it acknowledges nothing.
        assert!(refused.is_err(), "{spoil}: {refused:?}");
    }
}

/// Between two who have it open, and with every connection given back for a while, they stay the same.
#[tokio::test(flavor = "multi_thread")]
async fn two_programs_go_on_beside_each_other() {
    let file = File::new();
    let (book, people) = ready_book(&file.place()).await;
    for _ in 0..3 {
        let other = Book::open(&file.place()).await.expect("opened");
        other.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
        other.close().await;
        book.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
    }
    assert!(verify(&file.place(), None).await.expect("read").faults.is_empty());
}

/// Of several that begin a book at one place at once just one does, and what it began stays.
#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn one_of_several_begins_it() {
    for round in 0..8 {
        let file = File::new();
        let begin = |place: String| async move { Book::create(&place, at(MORNING), opening()).await };
        let all: Vec<_> = (0..4).map(|_| tokio::spawn(begin(file.place()))).collect();
        let mut begun = 0;
        for one in all {
            match one.await.expect("ended") {
                Ok(book) => {
                    begun += 1;
                    book.close().await;
                }
                Err(Failure::BookExists(_)) => {}
                Err(other) => panic!("round {round}: {other:?}"),
            }
        }
        assert_eq!(begun, 1, "round {round}");
        assert!(verify(&file.place(), None).await.expect("it is there").faults.is_empty());
    }
}

/// A book as it is found after its program was killed: its file, and a log that holds what was confirmed last.
async fn as_killed() -> (File, Vec<u8>, Head) {
    let (file, killed) = (File::new(), File::new());
    let (book, people) = ready_book(&file.place()).await;
    let events = book.act(at(MORNING), &people["tech"], &incident()).await.expect("written");
    for end in ["", "-wal"] {
        std::fs::copy(format!("{}{end}", file.place()), format!("{}{end}", killed.place())).expect("copied");
    }
    book.close().await;
    let log = std::fs::read(log_of(&killed.path())).expect("a log");
    assert!(!log.is_empty());
    (killed, log, events[0].head())
}

fn log_of(path: &Path) -> std::path::PathBuf {
    format!("{}-wal", path.display()).into()
}

/// SQLite deletes a log that is not of the file it opens: what was confirmed last would be in no file at all.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_left_of_a_book_is_in_the_way_of_another() {
    let (file, log, head) = as_killed().await;
    let aside = file.folder.path().join("aside");
    let mut kept = Vec::new();
    let other = File::new();
    ready_book(&other.place()).await.0.backup(&mut kept).await.expect("kept");
    std::fs::rename(file.path(), &aside).expect("moved");
    let begun = Book::create(&file.place(), at(MORNING), opening()).await;
    assert!(matches!(begun, Err(Failure::LeftBeside(_))), "{begun:?}");
    let restored = Book::restore(&file.place(), &mut kept.as_slice()).await;
    assert!(matches!(restored, Err(Failure::LeftBeside(_))), "{:?}", restored.err());
    assert!(!file.path().exists());
    assert_eq!(std::fs::read(log_of(&file.path())).expect("it is there"), log);
    std::fs::rename(&aside, file.path()).expect("back");
    let book = Book::open(&file.place()).await.expect("opened");
    assert_eq!(book.shop().await.expect("read").head, head);
}

/// By another name of it as well: SQLite keeps the log beside the file that a link leads to.
#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_link_is_followed_to_what_is_left() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let (file, log, _) = as_killed().await;
    let link = file.folder.path().join("link.book");
    symlink("shop.book", &link).expect("linked");
    let place = link.display().to_string();
    std::fs::write(file.path(), b"").expect("emptied");
    let opened = Book::open(&place).await;
    assert!(matches!(opened, Err(Failure::Emptied(_))), "{opened:?}");
    assert!(salvage(&place, &mut Vec::new()).await.expect("something is left").events > 0);
    std::fs::remove_file(file.path()).expect("gone");
    let begun = Book::create(&place, at(MORNING), opening()).await;
    assert!(matches!(begun, Err(Failure::LeftBeside(_))), "{begun:?}");
    assert_eq!(std::fs::read(log_of(&file.path())).expect("it is there"), log);
    std::fs::remove_file(log_of(&file.path())).expect("gone");
    symlink("nowhere", log_of(&file.path())).expect("linked");
    let begun = Book::create(&place, at(MORNING), opening()).await;
    assert!(matches!(begun, Err(Failure::LeftBeside(_))), "{begun:?}");
    std::fs::remove_file(log_of(&file.path())).expect("gone");
    Book::create(&place, at(MORNING), opening()).await.expect("begun").close().await;
    let mode = std::fs::metadata(file.path()).expect("it is there").permissions().mode();
    assert_eq!(mode & 0o777, 0o600);
}

#[tokio::test(flavor = "multi_thread")]
async fn an_emptied_file_keeps_its_log() {
    let (file, log, _) = as_killed().await;
    std::fs::write(file.path(), b"").expect("emptied");
    let opened = Book::open(&file.place()).await;
    assert!(matches!(opened, Err(Failure::Emptied(_))), "{opened:?}");
    let verified = verify(&file.place(), None).await;
    assert!(matches!(verified, Err(Failure::Emptied(_))), "{:?}", verified.err());
    assert_eq!(std::fs::read(file.path()).expect("it is there").len(), 0);
    assert_eq!(std::fs::read(log_of(&file.path())).expect("it is there"), log);
    let salvaged = salvage(&file.place(), &mut Vec::new()).await.expect("something is left");
    assert!(salvaged.events > 0, "{salvaged:?}");
}

/// A file in which no book came to be is told as that, and not as no book: none can be begun there before it is gone.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_left_of_a_making_that_broke_off_is_told() {
    let file = File::new();
    ready_book(&file.place()).await.0.close().await;
    let whole = std::fs::read(file.path()).expect("read");
    let of_others = "CREATE TABLE wages (person TEXT)";
    let all = "DELETE FROM event; DELETE FROM head; DELETE FROM fold; DELETE FROM fleet; DELETE FROM subject";
    for (bytes, done) in [(&[][..], ""), (&whole[..1], ""), (&[], of_others), (&whole, all)] {
        let left = File::new();
        std::fs::write(left.path(), bytes).expect("written");
        if !done.is_empty() {
            sql(&left.place(), done).await;
        }
        let opened = Book::open(&left.place()).await;
        let is_told = match done == of_others {
            true => matches!(opened, Err(Failure::NoBook(_))),
            false => matches!(opened, Err(Failure::Empty(_))),
        };
        assert!(is_told, "{} bytes, {done}: {opened:?}", bytes.len());
        let begun = Book::create(&left.place(), at(MORNING), opening()).await;
        assert!(matches!(begun, Err(Failure::BookExists(_))), "{begun:?}");
    }
}

/// Nothing is told any more out of what this program remembers of the other.
#[tokio::test(flavor = "multi_thread")]
async fn an_older_copy_put_over_an_open_book_is_noticed() {
    let file = File::new();
    ready_book(&file.place()).await.0.close().await;
    let older = std::fs::read(file.path()).expect("read");
    let book = Book::open(&file.place()).await.expect("opened");
    let tech = book.check_pin(at(MORNING), &person("tech"), "2580").await.expect("signed in");
    book.act(at(MORNING), &tech, &incident()).await.expect("written");
    sql(&file.place(), "PRAGMA wal_checkpoint(TRUNCATE)").await;
    // Every connection has read it since, and remembers pages.
    for _ in 0..8 {
        book.shop().await.expect("read");
    }
    std::fs::write(file.path(), &older).expect("put over it");
    for _ in 0..2 {
        let (hall, refused) = (book.hall().await, book.act(at(MORNING), &tech, &incident()).await);
        assert!(matches!(hall, Err(Failure::Moved(_))), "{hall:?}");
        assert!(matches!(refused, Err(Failure::Moved(_))), "{refused:?}");
    }
    let again = Book::open(&file.place()).await.expect("opened");
    assert!(again.verify(None).await.expect("read").faults.is_empty());
}

/// Beside each name SQLite keeps another log, and deletes what it does not know.
#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_file_with_two_names_is_refused() {
    let file = File::new();
    let other = file.folder.path().join("other.book");
    let (book, people) = ready_book(&file.place()).await;
    let act = async || book.act(at(MORNING), &people["tech"], &incident()).await;
    let head = act().await.expect("written")[0].head();
    let log = std::fs::read(log_of(&file.path())).expect("a log");
    std::fs::hard_link(file.path(), &other).expect("a second name");
    for place in [file.place(), other.display().to_string()] {
        let opened = Book::open(&place).await;
        assert!(matches!(opened, Err(Failure::SecondName(_))), "{opened:?}");
        let verified = verify(&place, None).await;
        assert!(matches!(verified, Err(Failure::SecondName(_))), "{verified:?}");
    }
    // Open as it is, what it says is not what whoever opened it by the other name said.
    let refused = act().await;
    assert!(matches!(refused, Err(Failure::SecondName(_))), "{refused:?}");
    assert!(matches!(book.shop().await, Err(Failure::SecondName(_))));
    assert!(std::fs::read(log_of(&file.path())).expect("a log") == log && !log_of(&other).exists());
    std::fs::remove_file(&other).expect("one name again");
    assert_eq!(book.shop().await.expect("read").head, head);
    act().await.expect("it goes on");
}

/// A link that leads elsewhere since is a book that was replaced, and is told so.
#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_link_that_leads_elsewhere_is_noticed() {
    use std::os::unix::fs::symlink;
    let (file, second) = (File::new(), File::new());
    let folder = file.folder.path().join("now");
    for by_folder in [false, true] {
        let (book, people) = ready_book(&file.place()).await;
        book.close().await;
        let link = if by_folder { folder.clone() } else { file.folder.path().join("link.book") };
        let leads = |to: &File| {
            let to = if by_folder { to.folder.path().to_owned() } else { to.path() };
            let _ = std::fs::remove_file(&link);
            symlink(to, &link).expect("linked");
        };
        leads(&file);
        let place = if by_folder { folder.join("shop.book") } else { link.clone() };
        let book = Book::open(&place.display().to_string()).await.expect("opened");
        let act = async || book.act(at(MORNING), &people["tech"], &incident()).await;
        act().await.expect("written");
        if !by_folder {
            ready_book(&second.place()).await.0.close().await;
        }
        leads(&second);
        assert!(book.was_replaced());
        let refused = act().await;
        assert!(matches!(refused, Err(Failure::Moved(_))), "{refused:?}");
        assert!(matches!(book.shop().await, Err(Failure::Moved(_))));
        leads(&file);
        assert!(!book.was_replaced());
        act().await.expect("it is the same again");
        book.close().await;
        std::fs::remove_file(file.path()).expect("for the next");
    }
}

/// fcntl(2): whoever closes a file takes away what its own program has locked of it, and SQLite of another program would
/// take the log for nobody's.
#[cfg(target_os = "linux")]
#[tokio::test(flavor = "multi_thread")]
async fn who_opens_a_book_twice_keeps_what_is_locked() {
    use std::os::unix::fs::MetadataExt;
    let file = File::new();
    ready_book(&file.place()).await.0.close().await;
    let inode = format!(":{} ", std::fs::metadata(file.path()).expect("it is there").ino());
    let locks = || {
        let all = std::fs::read_to_string("/proc/locks").expect("listed");
        all.lines().filter(|line| line.contains(&inode)).count()
    };
    let book = Book::open(&file.place()).await.expect("opened");
    let held = locks();
    assert!(held > 0, "the file is locked while it is open");
    let second = Book::open(&file.place()).await.expect("opened");
    assert!(locks() >= held, "{} of {held} while both are open", locks());
    second.close().await;
    assert!(locks() >= held, "{} of {held} afterwards", locks());
    book.close().await;
}
