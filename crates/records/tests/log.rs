//! The log beside a book: what was confirmed last may stand in it alone, and SQLite forgets without a word what it finds
//! behind a damaged place.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use common::behind::sql;
use common::place::File;
use common::*;
use records::*;

/// Parts of a log, by the open description "Database File Format", section 4.
const HEAD: usize = 32;
const FRAME: usize = 24 + 4096;

fn incident(words: &str) -> Command {
    Command::ReportIncident { lift: None, raise: None, words: words.into() }
}

fn log_of(file: &File) -> String {
    format!("{}-wal", file.place())
}

/// A book that is open, whose last events stand in its log alone.
struct Written {
    file: File,
    book: Book,
    tech: Signed,
}

impl Written {
    async fn new() -> Self {
        let file = File::new();
        let (book, people) = ready_book(&file.place()).await;
        book.close().await;
        let book = Book::open(&file.place()).await.expect("opened");
        let mut written = Self { file, book, tech: people["tech"].clone() };
        for n in 0..4 {
            written.act(&incident(&format!("incident {n} ").repeat(100))).await;
        }
        written
    }

    async fn act(&mut self, command: &Command) -> Head {
        let events = self.book.act(at(MORNING), &self.tech, command).await.expect("written");
        events.last().expect("an event").head()
    }

    fn log(&self) -> Vec<u8> {
        std::fs::read(log_of(&self.file)).expect("a log")
    }

    /// As a machine that stops leaves it, with this log.
    fn stopped(&self, log: &[u8]) -> File {
        let stopped = File::new();
        std::fs::copy(self.file.path(), stopped.path()).expect("copied");
        std::fs::write(log_of(&stopped), log).expect("written");
        stopped
    }

    async fn head(&self) -> Head {
        self.book.shop().await.expect("read").head
    }
}

/// Refused before anything is touched, and named.
async fn is_refused(file: &File, what: &str) {
    let both = || [file.place(), log_of(file)].map(|path| std::fs::read(path).expect("it is there"));
    let before = both();
    let opened = Book::open(&file.place()).await;
    assert!(matches!(&opened, Err(Failure::Damaged(f)) if f[..] == [Fault::Log]), "{what}: {opened:?}");
    assert_eq!(verify(&file.place(), None).await.expect("an answer").faults, [Fault::Log], "{what}");
    assert!(both() == before, "{what}: touched");
    let salvaged = salvage(&file.place(), &mut vec![]).await;
    assert!(salvaged.is_ok_and(|found| found.log_lost), "{what}");
    assert!(both() == before, "{what}: touched by salvage");
}

/// Opened as usual, it ends there.
async fn ends_with(file: &File, head: Head, what: &str) {
    assert!(!salvage(&file.place(), &mut vec![]).await.expect("read").log_lost, "{what}");
    let book = Book::open(&file.place()).await.unwrap_or_else(|why| panic!("{what}: {why:?}"));
    let found = book.verify(None).await.expect("read");
    assert_eq!((found.head, found.faults), (head, vec![]), "{what}");
    book.close().await;
}

/// A lift that was tagged gets no yes because a bit of the log was spoilt.
#[tokio::test(flavor = "multi_thread")]
async fn a_spoilt_log_is_refused_and_left_alone() {
    let mut written = Written::new().await;
    let head = written.act(&Command::TagOut { lift: lift("north-bay"), words: "leaks".into() }).await;
    let whole = written.log();
    ends_with(&written.stopped(&whole), head, "whole").await;
    let frames = (whole.len() - HEAD) / FRAME;
    assert!(frames > 8 && whole.len() == HEAD + frames * FRAME, "{}", whole.len());
    // Of the head each number but what SQLite reads nowhere; of each frame page, numbers, sum, and its page at three places.
    let heads = (0..HEAD).step_by(4).collect::<Vec<_>>();
    let of_frames = (0..frames).flat_map(|n| {
        let at = HEAD + n * FRAME;
        let all = [0, 8, 12, 16, 23, 24, 2000, FRAME - 1];
        let some = (0..2).map(move |k| all[(2 * n + k) % all.len()]);
        some.chain((n + 1 == frames).then_some(all).into_iter().flatten()).map(move |k| at + k)
    });
    for place in heads.into_iter().chain(of_frames) {
        let mut spoilt = whole.clone();
        spoilt[place] ^= 0x10;
        is_refused(&written.stopped(&spoilt), &format!("byte {place}")).await;
    }
}

/// Each event is found by what it says itself, wherever else the log is spoilt; and that something may be missing is said.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_left_of_a_spoilt_log_is_salvaged() {
    let written = Written::new().await;
    let (whole, head) = (written.log(), written.head().await);
    for (from, to) in
        [(0, HEAD), (0, 4096), (HEAD, HEAD + FRAME), (whole.len() - FRAME, whole.len() - FRAME + 24)]
    {
        let mut spoilt = whole.clone();
        spoilt[from..to].fill(0);
        let stopped = written.stopped(&spoilt);
        let found = salvage(&stopped.place(), &mut vec![]).await.expect("read");
        let last_is_there = from < whole.len() / 2;
        assert!(found.log_lost == last_is_there, "{from} to {to}: its last mark of an end is all that tells");
        assert_eq!(found.intact == head, last_is_there, "{from} to {to}: {found:?}");
        assert_eq!(found.lost, [], "{from} to {to}");
    }
    // Nothing of it can be read.
    for spoilt in [vec![0x5a; whole.len()], vec![0; whole.len()], vec![0x5a; 100], whole[..20].to_vec()] {
        let stopped = written.stopped(&spoilt);
        is_refused(&stopped, "nothing of it").await;
        let found = salvage(&stopped.place(), &mut vec![]).await.expect("read");
        assert!(found.intact.seq < head.seq && found.lost.is_empty(), "{found:?}");
    }
}

/// What the old log held follows on the new one in its file.
#[tokio::test(flavor = "multi_thread")]
async fn a_log_begun_anew_is_whole_and_may_break_off_anywhere() {
    let mut written = Written::new().await;
    let old = written.log();
    sql(&written.file.place(), "PRAGMA wal_checkpoint(RESTART)").await;
    let before = written.head().await;
    let head = written.act(&incident("first of the new log")).await;
    let new = written.log();
    assert!(new.len() == old.len() && new[..HEAD] != old[..HEAD], "begun anew in its place");
    ends_with(&written.stopped(&new), head, "whole").await;
    let frames = (0..).take_while(|n| new[HEAD + n * FRAME..][8..16] == new[16..24]).count();
    assert!(frames > 2, "{frames}");
    for n in 0..frames {
        // Written one by one, the head of each before its page.
        for within in [0, 24].into_iter().take(if n + 1 < frames { 2 } else { 1 }) {
            let upto = HEAD + n * FRAME + within;
            let torn = [&new[..upto], &old[upto..]].concat();
            ends_with(&written.stopped(&torn), before, &format!("{within} bytes of frame {n}")).await;
        }
    }
}

/// As by a kill: nothing of it was acknowledged. What is left of it follows on what another program wrote then.
#[tokio::test(flavor = "multi_thread")]
async fn a_commit_that_broke_off_is_none() {
    let mut written = Written::new().await;
    let (before, upto) = (written.head().await, written.log().len());
    written.act(&incident(&"long ".repeat(700))).await;
    let whole = written.log();
    for end in [upto + 1, upto + 24, upto + 25, upto + FRAME, whole.len() - FRAME, whole.len() - 1] {
        ends_with(&written.stopped(&whole[..end]), before, &format!("{end} of {}", whole.len())).await;
    }
    let stopped = written.stopped(&whole[..whole.len() - FRAME]);
    let book = Book::open(&stopped.place()).await.expect("opened");
    let events = book.act(at(MORNING), &written.tech, &incident("short")).await.expect("written");
    let log = std::fs::read(log_of(&stopped)).expect("a log");
    ends_with(&written.stopped(&log), events[0].head(), "after another").await;
    book.close().await;
}

/// A program that is killed while its commit goes to the disk has shown it to nobody: others write over it, and what is left
/// behind is as whole as what is lost by damage.
#[tokio::test(flavor = "multi_thread")]
async fn what_nobody_saw_is_not_lost() {
    let mut written = Written::new().await;
    let upto = written.log();
    let (short, long) = (written.stopped(&upto), written.stopped(&upto));
    let mut logs = vec![];
    for (file, words) in [(&short, "short".to_owned()), (&long, "長".repeat(3500))] {
        let book = Book::open(&file.place()).await.expect("opened");
        let events = book.act(at(MORNING), &written.tech, &incident(&words)).await.expect("written");
        logs.push((std::fs::read(log_of(file)).expect("a log"), events[0].head()));
        book.close().await;
    }
    let [(short, head), (long, _)] = &logs[..] else { panic!("two") };
    assert!(long.len() > short.len() && short.len() > upto.len() && long[..upto.len()] == upto[..]);
    let over = [&short[..], &long[short.len()..]].concat();
    ends_with(&written.stopped(&over), *head, "written over").await;
    // Where the book went on, it is damage.
    written.act(&incident("one")).await;
    written.act(&incident("another")).await;
    let mut spoilt = written.log();
    spoilt[upto.len() + 30] ^= 1;
    is_refused(&written.stopped(&spoilt), "the first page after a commit").await;
}

/// Whoever opens it while others write sees no damage where there is none.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_being_written_is_not_damaged() {
    let mut written = Written::new().await;
    let place = written.file.place();
    let opens = tokio::spawn(async move {
        for _ in 0..60 {
            Book::open(&place).await.expect("opened").close().await;
        }
    });
    while !opens.is_finished() {
        written.act(&incident(&"oil ".repeat(200))).await;
    }
    opens.await.expect("each was opened");
}
