//! What can happen to a machine: nothing that was acknowledged is lost, and what is damaged is named.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command as Process, Stdio};
use std::time::Duration;

use common::behind::sql;
use common::place::{File, Server, shared};
use common::*;
use records::*;

const WRITER: &str = "STANDFAST_TEST_WRITER";

fn incident(words: String) -> Command {
    Command::ReportIncident { lift: None, raise: None, words }
}

/// Not a test of its own: the program that the tests below start and kill. It says every event that it was told is written.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn writer() {
    let Ok(place) = std::env::var(WRITER) else { return };
    let say = |line: String| {
        let mut out = std::io::stdout();
        // In one piece: the end may come at any moment.
        let _ = out.write_all(format!("{line}\n").as_bytes()).and_then(|()| out.flush());
    };
    let now = at(MORNING);
    let book = match Book::open(&place).await {
        Ok(book) => book,
        Err(failure) => return say(format!("\nfailed {failure:?}")),
    };
    let tech = book.check_pin(now, &person("tech"), "2580").await;
    let tech = match tech {
        Ok(tech) => tech,
        Err(failure) => return say(format!("\nfailed {failure:?}")),
    };
    say("\nready".into());
    for n in 0.. {
        let plan =
            NewPlan { answer: Document::new(format!("answer {n} of {}", std::process::id())), ..plan() };
        let command =
            if n % 5 == 0 { Command::KeepPlan(plan) } else { incident(format!("incident {n} ").repeat(40)) };
        match book.act(now, &tech, &command).await {
            Ok(events) => events.iter().for_each(|e| say(format!("written {} {}", e.seq, e.hash))),
            Err(failure) => return say(format!("failed {failure:?}")),
        }
    }
}

/// The same program again, as a writer.
fn this_program() -> Process {
    writer_by(Process::new(std::env::current_exe().expect("this program")))
}

fn writer_by(mut process: Process) -> Process {
    process.args(["--exact", "writer", "--nocapture", "--test-threads=1"]);
    process.stdout(Stdio::piped()).stderr(Stdio::null());
    process
}

fn start(mut process: Process, place: &str) -> (Child, BufReader<ChildStdout>) {
    let mut child = process.env(WRITER, place).spawn().expect("it starts");
    let out = BufReader::new(child.stdout.take().expect("its output"));
    (child, out)
}

/// Whole lines only: a line cut short by the kill acknowledges nothing.
fn said(mut out: BufReader<ChildStdout>) -> Vec<String> {
    let mut text = String::new();
    out.read_to_string(&mut text).expect("text");
    let whole = text.rfind('\n').map_or("", |end| &text[..end]);
    whole.lines().map(str::to_owned).collect()
}

fn written(lines: &[String]) -> Vec<Head> {
    let head = |line: &String| {
        let mut words = line.strip_prefix("written ")?.split(' ');
        Some(Head { seq: Seq(words.next()?.parse().ok()?), hash: words.next()?.parse().ok()? })
    };
    lines.iter().filter_map(head).collect()
}

fn failed(lines: &[String]) -> Option<&str> {
    lines.iter().find_map(|l| l.strip_prefix("failed "))
}

/// Numbers to choose moments by, said so that a failing round can be told.
struct Chance(u64);

impl Chance {
    fn new() -> Self {
        let seed = jiff::Timestamp::now().as_microsecond().unsigned_abs();
        eprintln!("seed {seed}");
        Self(seed)
    }

    fn below(&mut self, n: u64) -> u64 {
        // Marsaglia, Xorshift RNGs, 2003.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

/// Everything acknowledged is in the book with its hash, and the whole chain verifies.
async fn nothing_is_lost(place: &str, acknowledged: &[Head]) {
    let book = Book::open(place).await.expect("it opens");
    assert_eq!(book.verify(None).await.expect("read").faults, []);
    let mut hashes = BTreeMap::new();
    let mut seq = Seq(0);
    loop {
        let page = book.events_after(seq).await.expect("read");
        let Some(last) = page.last() else { break };
        seq = last.seq;
        hashes.extend(page.iter().map(|e| (e.seq, e.hash)));
    }
    for head in acknowledged {
        assert_eq!(hashes.get(&head.seq), Some(&head.hash), "event {} was acknowledged", head.seq);
    }
    book.close().await;
}

/// Rounds of: two programs write on one book, both are killed at a random moment.
async fn kill_rounds(rounds: u64, new_place: impl Fn() -> (Option<File>, String)) {
    const ROUNDS_A_BOOK: u64 = 10;
    let mut chance = Chance::new();
    let mut all = 0;
    let (mut file, mut place) = (None, String::new());
    let mut acknowledged = vec![];
    for round in 0..rounds {
        if round % ROUNDS_A_BOOK == 0 {
            (file, place) = new_place();
            acknowledged.clear();
            ready_book(&place).await.0.close().await;
        }
        let mut writers: Vec<_> = (0..2).map(|_| start(this_program(), &place)).collect();
        for (_, out) in &mut writers {
            let mut line = String::new();
            while line != "ready\n" {
                line.clear();
                assert_ne!(out.read_line(&mut line).expect("text"), 0, "round {round}: a writer ended");
                assert!(!line.starts_with("failed"), "round {round}: {line}");
            }
        }
        std::thread::sleep(Duration::from_micros(chance.below(150_000)));
        for (child, _) in &mut writers {
            child.kill().expect("kill -9");
        }
        for (mut child, out) in writers {
            child.wait().expect("it has ended");
            let lines = said(out);
            assert_eq!(failed(&lines), None, "round {round}");
            let new = written(&lines);
            all += new.len();
            acknowledged.extend(new);
        }
        nothing_is_lost(&place, &acknowledged).await;
    }
    drop(file);
    eprintln!("{rounds} rounds, {all} events acknowledged");
    assert!(all as u64 > rounds, "the writers wrote: {all} events in {rounds} rounds");
}

fn rounds(usual: u64, nightly: u64) -> u64 {
    if std::env::var("STANDFAST_NIGHTLY").is_ok_and(|v| v == "1") { nightly } else { usual }
}

#[tokio::test(flavor = "multi_thread")]
async fn killed_while_writing_a_file() {
    let new = || {
        let file = File::new();
        let place = file.place();
        (Some(file), place)
    };
    kill_rounds(rounds(30, 500), new).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn killed_while_writing_to_postgresql() {
    let Some(server) = shared() else { return };
    kill_rounds(rounds(5, 100), || (None, server.database())).await;
}

/// The writer writes until the disk is full; then everything acknowledged is there.
async fn until_full(process: Process, place: &str) {
    let (mut child, out) = start(process, place);
    let lines = said(out);
    child.wait().expect("it has ended");
    let failure = failed(&lines).expect("it fails at some time");
    assert!(failure.starts_with("DiskFull"), "{failure}");
    let acknowledged = written(&lines);
    assert!(acknowledged.len() > 5, "{lines:?}");
    nothing_is_lost(place, &acknowledged).await;
}

/// A limit of the size of files stands for a full disk where nothing may be mounted.
#[tokio::test(flavor = "multi_thread")]
async fn the_file_may_not_grow() {
    let file = File::new();
    ready_book(&file.place()).await.0.close().await;
    let mut shell = Process::new("sh");
    shell
        .args(["-c", "trap '' XFSZ; ulimit -f 800; exec \"$0\" \"$@\""])
        .arg(std::env::current_exe().expect("us"));
    until_full(writer_by(shell), &file.place()).await;
}

/// Where not even the files beside it have room, it is read without them, unless something stands in its log alone: that is
/// not told as damage, nor as a book without events.
#[tokio::test(flavor = "multi_thread")]
async fn no_room_to_open_it_is_no_damage() {
    let (file, head) = long_book().await;
    let without_room = |place: &str| {
        let mut shell = Process::new("sh");
        shell.args(["-c", "trap '' XFSZ; ulimit -f 8; exec \"$0\" \"$@\""]);
        shell.arg(std::env::current_exe().expect("us"));
        shell.args(["--exact", "opener", "--nocapture", "--test-threads=1"]).env(READER, place);
        let out = shell.stderr(Stdio::null()).output().expect("it runs");
        String::from_utf8_lossy(&out.stdout).into_owned()
    };
    let said = without_room(&file.place());
    let read = format!("opened: Ok({}), true", head.seq);
    for words in [&read, "verified: Ok([])", "written: Err(DiskFull"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    nothing_is_lost(&file.place(), &[head]).await;
    // As whoever was killed leaves it: in the file alone stands less than was confirmed.
    let (open, killed) = (File::new(), File::new());
    let (book, people) = ready_book(&open.place()).await;
    let events = book.act(at(MORNING), &people["tech"], &incident("the last".into())).await.expect("written");
    for end in ["", "-wal"] {
        let part = |of: &File| format!("{}{end}", of.place());
        std::fs::copy(part(&open), part(&killed)).expect("copied");
    }
    book.close().await;
    let said = without_room(&killed.place());
    for words in ["opened: Err(DiskFull", "verified: Err(DiskFull"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let mut text = vec![];
    assert_eq!(salvage(&killed.place(), &mut text).await.expect("it is read").intact, events[0].head());
    nothing_is_lost(&killed.place(), &[events[0].head()]).await;
}

/// Not a test of its own: the program that the one above starts.
#[tokio::test(flavor = "multi_thread")]
async fn opener() {
    let Ok(place) = std::env::var(READER) else { return };
    match Book::open(&place).await {
        Err(failure) => println!("\nopened: Err({failure:?})"),
        Ok(book) => {
            let read = book.shop().await.map(|shop| shop.head.seq.0);
            println!("\nopened: {read:?}, {}", book.is_on_full_disk());
            println!("written: {:?}", book.check_pin(at(MORNING), &person("tech"), "000000").await);
        }
    }
    println!("verified: {:?}", verify(&place, None).await.map(|found| found.faults));
}

/// A small disk of its own; unmounted at the end.
struct Disk(tempfile::TempDir);

impl Disk {
    fn mount(size: &str) -> Option<Self> {
        let folder = tempfile::TempDir::new().expect("a folder");
        let mount = Process::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}"), "tmpfs"])
            .arg(folder.path())
            .stderr(Stdio::null())
            .status();
        mount.is_ok_and(|s| s.success()).then_some(Self(folder))
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Process::new("umount").arg("-l").arg(self.0.path()).status();
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_disk_is_full_and_then_not() {
    let Some(disk) = Disk::mount("3M") else {
        eprintln!("no file system may be mounted here: the_file_may_not_grow stands for this");
        return;
    };
    let place = disk.0.path().join("shop.book").display().to_string();
    let (book, people) = ready_book(&place).await;
    let filler = disk.0.path().join("filler");
    let mut kept = vec![];
    for round in 0..2 {
        let mut fill = std::fs::File::create(&filler).expect("a filler");
        while fill.write_all(&[0; 4096]).is_ok() {}
        drop(fill);
        let failure = loop {
            match book.act(at(MORNING), &people["tech"], &incident("oil ".repeat(500))).await {
                Ok(events) => kept.extend(events.iter().map(Event::head)),
                Err(failure) => break failure,
            }
        };
        assert!(matches!(failure, Failure::DiskFull(_)), "round {round}: {failure:?}");
        std::fs::remove_file(&filler).expect("removed");
        let events = book.act(at(MORNING), &people["tech"], &incident("room again".into())).await;
        kept.extend(events.expect("the same program goes on").iter().map(Event::head));
    }
    nothing_is_lost(&place, &kept).await;
    // A new one that does not fit is told as that, whatever it was that did not fit, and leaves nothing.
    for room in [0, 4, 20, 40] {
        let new = disk.0.path().join("new.book");
        let mut fill = std::fs::File::create(&filler).expect("a filler");
        while fill.write_all(&[0; 1024]).is_ok() {}
        let filled = fill.metadata().expect("its size").len();
        fill.set_len(filled.saturating_sub(room * 1024)).expect("some room");
        let failure =
            Book::create(&new.display().to_string(), at(MORNING), opening()).await.expect_err("no room");
        assert!(matches!(failure, Failure::DiskFull(_)), "{room} kB: {failure:?}");
        assert!(
            !["", "-wal", "-shm"].iter().any(|end| disk.0.path().join(format!("new.book{end}")).exists())
        );
    }
}

/// Even root is held to the file's mode without the capability to pass over it.
fn held_to_modes() -> Process {
    let us = std::env::current_exe().expect("us");
    if Process::new("id").arg("-u").output().is_ok_and(|o| o.stdout == b"0\n") {
        let mut process = Process::new("setpriv");
        process.args(["--bounding-set=-dac_override,-dac_read_search", "--inh-caps=-all"]).arg(us);
        return process;
    }
    Process::new(us)
}

fn mode(path: &Path, mode: &str) {
    assert!(Process::new("chmod").arg(mode).arg(path).status().expect("chmod").success());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_that_can_only_be_read() {
    for (folder_too, of_an_older_program) in [(false, false), (true, false), (false, true), (true, true)] {
        let file = File::new();
        let (book, _) = ready_book(&file.place()).await;
        book.close().await;
        if of_an_older_program {
            sql(&file.place(), "DROP TABLE fleet; DELETE FROM book_version WHERE version = 3").await;
        }
        mode(&file.path(), "0444");
        if folder_too {
            mode(file.folder.path(), "0555");
        }
        let (mut child, out) = start(writer_by(held_to_modes()), &file.place());
        let lines = said(out);
        child.wait().expect("it has ended");
        mode(file.folder.path(), "0755");
        let failure = failed(&lines).unwrap_or_else(|| panic!("it says so: {lines:?}"));
        let expected = if of_an_older_program { "OlderBook" } else { "ReadOnly" };
        assert!(failure.starts_with(expected), "{failure}");
        mode(&file.path(), "0644");
        nothing_is_lost(&file.place(), &[]).await;
    }
}

/// A closed book of some hundred events, and its file.
async fn long_book() -> (File, Head) {
    let file = File::new();
    let (book, people) = ready_book(&file.place()).await;
    for n in 0..200 {
        book.act(at(MORNING), &people["tech"], &incident(format!("incident {n} ").repeat(20)))
            .await
            .expect("written");
    }
    let head = book.shop().await.expect("the shop").head;
    book.close().await;
    (file, head)
}

/// What is damaged is noticed by name; what can be read of it is what was written.
async fn damaged(file: &File, head: Head, good: &BTreeMap<Seq, Digest>) -> Option<Salvaged> {
    let verification = verify(&file.place(), Some(head)).await.expect("damage is an answer");
    assert!(!verification.faults.is_empty(), "it is noticed");
    let before = std::fs::read(file.path()).expect("the file");
    let mut text = vec![];
    let salvaged = salvage(&file.place(), &mut text).await;
    assert_eq!(std::fs::read(file.path()).expect("the file"), before, "the file itself is not touched");
    let salvaged = match salvaged {
        Ok(salvaged) => salvaged,
        Err(Failure::NothingLeft) => return None,
        Err(other) => panic!("{other:?}"),
    };
    let mut events = 0;
    for line in text.split(|b| *b == b'\n').filter(|l| !l.is_empty()) {
        let line: serde_json::Value = serde_json::from_slice(line).expect("a line");
        if line["line"] == "event" {
            events += 1;
            let seq = Seq(line["seq"].as_u64().expect("a number"));
            assert_eq!(line["hash"].as_str(), Some(good[&seq].to_string().as_str()), "as it was written");
        }
    }
    assert_eq!(events, salvaged.events);
    let lost: u64 = salvaged.lost.iter().map(|(from, to)| to.0 - from.0 + 1).sum();
    assert!(salvaged.events + lost <= head.seq.0);
    // It is no backup, and is not taken for one.
    let other = File::new();
    let restored = Book::restore(&other.place(), &mut BufReader::new(&text[..])).await;
    assert!(matches!(restored, Err(Failure::Salvage)), "{restored:?}");
    a_book_of_what_is_whole(&text, &salvaged).await;
    Some(salvaged)
}

/// Of what was salvaged a book can be made, which says so, and in which no lift may be used.
async fn a_book_of_what_is_whole(text: &[u8], salvaged: &Salvaged) {
    let other = File::new();
    let make = async |by: &str, pin: &str| {
        let file = File::new();
        let (place, by, mut lines) = (file.place(), person(by), BufReader::new(text));
        let made = Book::restore_salvaged(&place, at(MORNING), &mut lines, &by, pin);
        made.await.map(drop).map_err(|f| f.to_string())
    };
    let pins = text.windows(13).filter(|w| w == b"\"line\":\"pin\",").count();
    let mut lines = BufReader::new(text);
    let made = Book::restore_salvaged(&other.place(), at(MORNING), &mut lines, &person("lead"), "4711").await;
    let book = match made {
        Ok(restored) => restored.book,
        Err(Failure::BeginningLost) => return assert_eq!(salvaged.intact, Head::EMPTY),
        // Too little is left for there to be a lead.
        Err(Failure::Refused(_)) => return assert!(salvaged.intact.seq < Seq(3)),
        Err(failure) => panic!("{failure:?}"),
    };
    let shop = book.shop().await.expect("the shop");
    let marks = shop.head.seq.0 - salvaged.intact.seq.0;
    assert_eq!(marks, 1 + shop.lifts.len() as u64 + u64::from(pins == 0));
    let events = book.events_after(salvaged.intact.seq).await.expect("read");
    let Fact::Salvaged { intact, others, rest, .. } = events[0].fact else { panic!("{events:?}") };
    for id in shop.fleet.vehicles.keys() {
        assert_eq!(shop.found_not_whole(id).len(), 1, "{id} may have been left with parts off");
    }
    assert_eq!((intact, intact.seq.0 + others), (salvaged.intact, salvaged.events));
    let rest = book.document(rest).await.expect("read").expect("kept");
    assert_eq!(rest.text().lines().count() as u64, others);
    for id in shop.lifts.keys() {
        let Fitness::Unfit(why) = fitness(&shop, id, at(MORNING)) else { panic!("{id} may be used") };
        assert!(why.iter().any(|w| matches!(w, Why::Tagged(words) if words.contains("salvaged"))), "{why:?}");
    }
    book.check_pin(at(MORNING), &person("lead"), "4711").await.expect("the lead goes on");
    if pins > 0 {
        assert!(make("lead", "4712").await.is_err_and(|why| why.contains("not the PIN")), "nobody else does");
    }
    assert!(make("nobody", "4711").await.is_err());
}

async fn hashes(file: &File) -> BTreeMap<Seq, Digest> {
    let book = Book::open(&file.place()).await.expect("opened");
    let all = book.events_after(Seq(0)).await.expect("read").into_iter().map(|e| (e.seq, e.hash)).collect();
    book.close().await;
    all
}

fn page_size(bytes: &[u8]) -> usize {
    usize::from(u16::from_be_bytes([bytes[16], bytes[17]]))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_file_cut_short() {
    let (file, head) = long_book().await;
    let good = hashes(&file).await;
    let whole = std::fs::read(file.path()).expect("the file");
    let mut read = 0;
    for eighths in 1..8 {
        std::fs::write(file.path(), &whole[..whole.len() * eighths / 8]).expect("cut");
        if let Some(salvaged) = damaged(&file, head, &good).await {
            assert!(salvaged.events < head.seq.0 || salvaged.lost.is_empty());
            read += salvaged.events;
        }
    }
    assert!(read > head.seq.0, "something of it is readable: {read}");
    std::fs::write(file.path(), b"").expect("cut");
    assert!(matches!(Book::open(&file.place()).await, Err(Failure::Empty(_))));
    std::fs::write(file.path(), b"no book at all, only some words in a file of that name").expect("other");
    assert!(matches!(Book::open(&file.place()).await, Err(Failure::Damaged(_))));
}

/// The first page says where everything is: that of a new book says the same.
#[tokio::test(flavor = "multi_thread")]
async fn the_first_page_overwritten() {
    let (file, head) = long_book().await;
    let good = hashes(&file).await;
    let whole = std::fs::read(file.path()).expect("the file");
    let size = page_size(&whole);
    // Its first words alone, a number of pages that no disk holds, and all of it.
    for (from, to, by) in [(0, 16, 0x5a), (16, 32, 0xff), (0, size, 0x5a), (0, size, 0)] {
        let mut spoilt = whole.clone();
        spoilt[from..to].fill(by);
        std::fs::write(file.path(), &spoilt).expect("spoilt");
        let salvaged = damaged(&file, head, &good).await.expect("it can be read");
        assert_eq!((salvaged.events, salvaged.intact, salvaged.lost), (head.seq.0, head, vec![]));
        assert!(salvaged.documents_lost.is_empty());
    }
}

/// What may only be read is read, and whoever may not write may salvage; beside it nothing is left that keeps out who may.
#[tokio::test(flavor = "multi_thread")]
async fn a_book_that_may_only_be_read_is_read() {
    let (file, head) = long_book().await;
    mode(&file.path(), "0444");
    for folder in ["0555", "0755"] {
        mode(file.folder.path(), folder);
        let mut process = held_to_modes();
        process.args(["--exact", "reader", "--nocapture", "--test-threads=1"]).env(READER, file.place());
        let out = process.stderr(Stdio::null()).output().expect("it runs");
        mode(file.folder.path(), "0755");
        let said = String::from_utf8_lossy(&out.stdout);
        for words in ["opened", "verified []", "backed up", "salvaged []"] {
            assert!(said.contains(&format!("{words} {}", head.seq)), "{folder}: {words}: {said}");
        }
        let names: Vec<_> = std::fs::read_dir(file.folder.path()).expect("the folder").flatten().collect();
        assert_eq!(names.len(), 1, "{folder}: {names:?}");
    }
}

/// What somebody else left beside it and may not be written is named.
#[tokio::test(flavor = "multi_thread")]
async fn what_keeps_out_who_may_write_is_named() {
    let (file, _) = long_book().await;
    let left = PathBuf::from(format!("{}-shm", file.place()));
    // SQLite gives an empty file of its own user another mode.
    std::fs::write(&left, [0; 32768]).expect("left");
    mode(&left, "0444");
    let (mut child, out) = start(writer_by(held_to_modes()), &file.place());
    let lines = said(out);
    child.wait().expect("it has ended");
    let failure = failed(&lines).unwrap_or_else(|| panic!("it says so: {lines:?}"));
    let named = format!("{} may not be written", left.display());
    assert!(failure.starts_with("ReadOnly") && failure.contains(&named), "{failure}");
}

const READER: &str = "STANDFAST_TEST_READER";

/// Not a test of its own: the program that the first one above starts.
#[tokio::test(flavor = "multi_thread")]
async fn reader() {
    let Ok(place) = std::env::var(READER) else { return };
    let book = Book::open(&place).await.expect("opened");
    println!("\nopened {}", book.shop().await.expect("the shop").head.seq);
    println!("backed up {}", book.backup(&mut vec![]).await.expect("written").seq);
    let found = verify(&place, None).await.expect("read");
    println!("verified {:?} {}", found.faults, found.head.seq);
    let found = salvage(&place, &mut vec![]).await.expect("read");
    println!("salvaged {:?} {}", found.lost, found.intact.seq);
}

/// It holds hashes of PINs.
#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn a_book_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt;
    let file = File::new();
    let (book, people) = new_book(&file.place()).await;
    book.act(at(MORNING), &people["tech"], &incident("oil".into())).await.expect("written");
    let mut all = vec![];
    for entry in std::fs::read_dir(file.folder.path()).expect("the folder").flatten() {
        let mode = entry.metadata().expect("its mode").permissions().mode() & 0o777;
        all.push((entry.file_name().to_string_lossy().into_owned(), mode));
    }
    assert!(all.iter().any(|(name, _)| name.ends_with("-wal")), "{all:?}");
    assert!(all.iter().all(|(_, mode)| *mode == 0o600), "{all:?}");
}

/// Every page of the file in turn, the first pages of the tables too: it costs what stood on it, and nothing else. So each
/// event, and each document that fits on a page, is lost by just one of them.
#[tokio::test(flavor = "multi_thread")]
async fn a_page_overwritten() {
    let (file, head) = long_book().await;
    let good = hashes(&file).await;
    let whole = std::fs::read(file.path()).expect("the file");
    let size = page_size(&whole);
    let (mut events, mut documents) = (BTreeMap::<Seq, u32>::new(), BTreeMap::<Digest, u32>::new());
    for page in 0..whole.len() / size {
        let mut spoilt = whole.clone();
        spoilt[page * size..(page + 1) * size].fill(0x5a);
        std::fs::write(file.path(), &spoilt).expect("spoilt");
        let mut text = vec![];
        let salvaged = salvage(&file.place(), &mut text).await.unwrap_or_else(|e| panic!("page {page}: {e}"));
        for (from, to) in salvaged.lost {
            (from.0..=to.0).for_each(|seq| *events.entry(Seq(seq)).or_default() += 1);
        }
        salvaged.documents_lost.iter().for_each(|(_, digest)| *documents.entry(*digest).or_default() += 1);
        // Some in full: noticed, as it was written, no backup, and a book can be made of it.
        if page % 8 == 0 {
            damaged(&file, head, &good).await.expect("something of it");
        }
    }
    let once: BTreeMap<Seq, u32> = (1..=head.seq.0).map(|seq| (Seq(seq), 1)).collect();
    // The last event is known by the next to come, or by where the book says that it ends: both are never lost at once.
    assert_eq!(events, once);
    assert!(!documents.is_empty() && documents.values().all(|times| *times == 1), "{documents:?}");
}

/// What was committed and stands in the log alone is read from there, even where a page of the log is lost.
#[tokio::test(flavor = "multi_thread")]
async fn what_stands_in_the_log_is_salvaged() {
    let file = File::new();
    let (book, people) = ready_book(&file.place()).await;
    for n in 0..20 {
        book.act(at(MORNING), &people["tech"], &incident(format!("incident {n}"))).await.expect("written");
    }
    let head = book.shop().await.expect("the shop").head;
    // As a machine that stops leaves it: nothing was brought from the log into the file.
    let stopped = File::new();
    for end in ["", "-wal"] {
        let beside = |file: &File| format!("{}{end}", file.place());
        std::fs::copy(beside(&file), beside(&stopped)).expect("copied");
    }
    book.close().await;
    let log = format!("{}-wal", stopped.place());
    let whole = std::fs::read(&log).expect("the log");
    assert!(whole.len() > 20 * 4096, "{}", whole.len());
    let salvaged = salvage(&stopped.place(), &mut vec![]).await.expect("read");
    assert_eq!((salvaged.intact, salvaged.lost.len(), salvaged.documents_lost.len()), (head, 0, 0));
    // A transaction that was not finished is none.
    let frame = 24 + 4096;
    std::fs::write(&log, &whole[..whole.len() - frame]).expect("cut");
    let salvaged = salvage(&stopped.place(), &mut vec![]).await.expect("read");
    assert_eq!((salvaged.intact.seq.0, salvaged.lost), (head.seq.0 - 1, vec![]));
    // A spoilt page of it costs no more than it held.
    let mut spoilt = whole.clone();
    let middle = 32 + (whole.len() - 32) / frame / 2 * frame + 24;
    spoilt[middle..middle + 4096].fill(0x5a);
    std::fs::write(&log, &spoilt).expect("spoilt");
    let salvaged = salvage(&stopped.place(), &mut vec![]).await.expect("read");
    assert_eq!((salvaged.intact, salvaged.lost.len()), (head, 0), "later frames hold the same pages");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_set_back_is_said_and_the_order_stays() {
    let file = File::new();
    let (book, people) = ready_book(&file.place()).await;
    let back = at("2026-01-01T00:00:00Z");
    let events = book.act(back, &people["tech"], &incident("oil".into())).await.expect("written");
    assert_eq!(events.len(), 2);
    assert_eq!(events[0].fact, Fact::ClockBehind { last: at(MORNING) });
    assert_eq!(events[1].at, back, "the clock's reading");
    assert_eq!(book.shop().await.expect("the shop").now(back), at(MORNING));
    nothing_is_lost(&file.place(), &[events[1].head()]).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn postgresql_stopped_in_the_middle_of_a_raise() {
    let Some(mut server) = Server::start() else { return };
    let place = server.database();
    let (book, people) = ready_book(&place).await;
    let tech = &people["tech"];
    let now = at(MORNING);
    let mut kept = vec![];
    let mut keep = |events: Vec<Event>| kept.extend(events.iter().map(Event::head));
    keep(book.act(now, tech, &Command::BeginRaise(plan())).await.expect("begun"));
    for point in [HoldPoint::Spotted, HoldPoint::PadsSeated, HoldPoint::ArmLocksEngaged] {
        keep(book.act(now, tech, &confirm(point, None)).await.expect("confirmed"));
    }
    server.kill();
    match book.act(now, tech, &confirm(HoldPoint::TestRaised, None)).await {
        Err(Failure::Unreachable(_)) => {}
        other => panic!("{other:?}"),
    }
    server.run();
    let shop = book.shop().await.expect("the same program goes on");
    assert_eq!(shop.raises[&RaiseNumber(1)].progress.next(), Some(HoldPoint::TestRaised));
    keep(book.act(now, tech, &confirm(HoldPoint::TestRaised, None)).await.expect("confirmed"));
    book.close().await;
    nothing_is_lost(&place, &kept).await;
}

/// Where a path holds what an address would take for its own, or leads through a link: the file is where the system says that
/// it is, nothing else is made, and everything that looks after it looks there.
#[cfg(unix)]
#[tokio::test(flavor = "multi_thread")]
async fn any_path_will_do() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let file = File::new();
    let root = file.folder.path();
    std::fs::create_dir_all(root.join("elsewhere/inner")).expect("made");
    std::fs::create_dir(root.join("sub")).expect("made");
    symlink("elsewhere/inner", root.join("link")).expect("linked");
    for name in [
        "with space",
        "what?mode=memory",
        "50%20",
        "a#b",
        "Büro",
        "a&b=c",
        "tab\there",
        "line\nbreak",
        "[x].book",
        "a|b.book",
        ":memory:",
        "sub/../x.book",
        "link/../x.book",
        "sub/./y.book",
    ] {
        let path: PathBuf = root.join(name);
        let place = path.display().to_string();
        ready_book(&place).await.0.close().await;
        assert!(path.is_file(), "{name}");
        let data = std::fs::metadata(&path).expect("it is there");
        assert_eq!(data.permissions().mode() & 0o777, 0o600, "{name}");
        assert!(verify(&place, None).await.expect("read").faults.is_empty());
        assert!(salvage(&place, &mut vec![]).await.expect("read").lost.is_empty());
        assert!(matches!(Book::restore(&place, &mut &b""[..]).await, Err(Failure::BookExists(_))));
        let second = root.join("second name");
        std::fs::hard_link(&path, &second).expect("a second name");
        assert!(matches!(Book::open(&place).await, Err(Failure::SecondName(_))), "{name}");
        std::fs::remove_file(&second).expect("removed");
        std::fs::remove_file(&path).expect("removed");
        let left: Vec<_> = files_below(root);
        assert!(left.is_empty(), "{name}: {left:?}");
    }
    // One that comes to nothing leaves nothing, there or elsewhere.
    let place = root.join("link/../x.book").display().to_string();
    assert!(Book::restore(&place, &mut &b"no backup"[..]).await.is_err());
    assert!(files_below(root).is_empty());
    for name in ["sub/", "sub/.", "sub/..", "sub//", "\u{fffd}.book"] {
        let place = format!("{}/{name}", root.display());
        for refused in [Book::open(&place).await, Book::create(&place, at(MORNING), opening()).await] {
            assert!(matches!(refused, Err(Failure::NoFileName(..))), "{name}: {refused:?}");
        }
        assert!(matches!(salvage(&place, &mut vec![]).await, Err(Failure::NoFileName(..))), "{name}");
    }
    assert!(matches!(Book::open("").await, Err(Failure::NoFileName(..))));
    let long = |bytes: usize| "x".repeat(bytes);
    for (name, fits) in [(long(247), true), (long(248), false), (long(256), false)] {
        let place = root.join(name).display().to_string();
        match Book::create(&place, at(MORNING), opening()).await {
            Ok(book) if fits => book.close().await,
            Err(Failure::NoFileName(..)) if !fits => {}
            other => panic!("{place}: {other:?}"),
        }
        let _ = std::fs::remove_file(&place);
    }
    // A path of exactly so many bytes, folders of it included.
    let deep = |bytes: usize| {
        let folders = root.canonicalize().expect("there").join(long(200)).join(long(150));
        std::fs::create_dir_all(&folders).expect("folders");
        let rest = bytes - folders.as_os_str().len() - 1;
        folders.join(long(rest)).display().to_string()
    };
    Book::create(&deep(504), at(MORNING), opening()).await.expect("SQLite opens it").close().await;
    std::fs::remove_file(deep(504)).expect("removed");
    let refused = Book::create(&deep(505), at(MORNING), opening()).await;
    assert!(matches!(refused, Err(Failure::NoFileName(..))), "{refused:?}");
    std::fs::remove_dir_all(root.join(long(200))).expect("removed");
    // Where no file can be made it is said why.
    let link = |name: &str, to: &str| symlink(root.join(to), root.join(name)).expect("linked");
    link("round", "about");
    link("about", "round");
    link("astray", "nowhere/x.book");
    std::fs::write(root.join("file"), "").expect("written");
    for (name, why) in [
        ("nowhere/x.book", "there is no such folder"),
        ("astray", "there is no such folder"),
        ("file/x.book", "what would be its folder is none"),
        ("round", "symbolic links"),
    ] {
        let place = root.join(name).display().to_string();
        let made = Book::create(&place, at(MORNING), opening()).await.map(|_| ());
        for refused in [made, Book::restore(&place, &mut &b""[..]).await.map(|_| ())] {
            let told = refused.expect_err("no file").to_string();
            assert!(
                told.starts_with(&format!("No book can be made at {place}: ")) && told.contains(why),
                "{told}"
            );
        }
        assert!(matches!(Book::open(&place).await, Err(Failure::NoBook(shown)) if shown == place));
    }
    std::fs::remove_file(root.join("file")).expect("removed");
    assert!(files_below(root).is_empty());
}

fn files_below(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("listed").flatten();
    let below = |entry: std::fs::DirEntry| match entry.file_type().expect("known") {
        kind if kind.is_dir() => files_below(&entry.path()),
        kind if kind.is_symlink() => vec![],
        _ => vec![entry.path()],
    };
    entries.flat_map(below).collect()
}
