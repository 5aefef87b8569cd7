//! How quick a large book is: a seeded shop of 100,000 raises, decided and folded by the crate's own code, restored into a file.
//!
//! `cargo bench -p records --bench book -- FOLDER [RAISES]`; the book stays in the folder and is used again.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a bench ends where it fails, and prints"
)]

#[path = "../tests/common/mod.rs"]
mod common;

use std::io::{BufReader, BufWriter, Write};
use std::path::Path;
use std::time::{Duration, Instant};

use common::*;
use jiff::{SignedDuration, Timestamp};
use records::*;

/// A shop of four lifts with forty raises a day, five days a week: some ten years.
const RAISES: u64 = 100_000;
const A_DAY: u64 = 40;
const LIFTS: u64 = 4;
const VEHICLES: u64 = 20_000;

/// Writes a backup as it goes on.
struct Shopping<W> {
    shop: Shop,
    at: Timestamp,
    out: W,
    documents: std::collections::BTreeSet<Digest>,
}

impl<W: Write> Shopping<W> {
    fn line(&mut self, line: &serde_json::Value) {
        writeln!(self.out, "{line}").expect("written");
    }

    /// The chain's next event, as the crate stores it.
    fn event(&mut self, by: &str, fact: &Fact) -> Event {
        let head = self.shop.head;
        let (event, line) = chained(head, self.at, by, fact);
        self.line(&line);
        event
    }

    fn must(&mut self, by: &str, command: &Command) {
        let decision = decide(&self.shop, self.at, &Hand::alone(person(by)), command, None)
            .unwrap_or_else(|why| panic!("{by}: {command:?}: {why:?}"));
        for document in decision.documents {
            if self.documents.insert(document.digest()) {
                let line = serde_json::json!({ "line": "document", "digest": document.digest(), "content": document.text() });
                self.line(&line);
            }
        }
        for fact in decision.facts {
            let event = self.event(by, &fact);
            self.shop.apply(&event);
        }
        self.at += SignedDuration::from_secs(20);
    }
}

fn chained(head: Head, at: Timestamp, by: &str, fact: &Fact) -> (Event, serde_json::Value) {
    let text = serde_json::to_string(fact).expect("text");
    let (seq, before) = (head.seq.0 + 1, head.hash.to_string());
    let microseconds = at.as_microsecond();
    let parts = [
        "standfast event 1",
        &seq.to_string(),
        &microseconds.to_string(),
        "Europe/Berlin",
        by,
        "",
        &text,
        &before,
    ];
    let hash = Digest::of_parts(&parts);
    let line = serde_json::json!({
        "line": "event", "seq": seq, "at-microseconds": microseconds, "zone": "Europe/Berlin", "by": by, "with": "",
        "fact": text, "before": before, "hash": hash,
    });
    (Event { seq: Seq(seq), before: head.hash, hash, ..event(seq, at, by, fact.clone()) }, line)
}

fn bay(n: u64) -> LiftId {
    lift(&format!("bay-{}", n % LIFTS + 1))
}

fn car(n: u64) -> VehicleId {
    vehicle(&format!("vehicle-{:05}", n * 7919 % VEHICLES))
}

/// All of it as a backup.
fn write_backup(path: &Path, raises: u64, pin: &str) {
    let mut out = BufWriter::new(std::fs::File::create(path).expect("a file"));
    writeln!(out, "{}", serde_json::json!({ "line": "book", "form": 1, "shop": "Lindenhof" }))
        .expect("written");
    let mut at = at("2016-01-04T07:00:00Z");
    let opened = Fact::ShopOpened {
        book: "b0".into(),
        name: "Lindenhof".into(),
        zone: zone("Europe/Berlin"),
        rules: Rules::Germany,
    };
    let (first, line) = chained(Head::EMPTY, at, "lead", &opened);
    writeln!(out, "{line}").expect("written");
    let mut all =
        Shopping { shop: Shop::open(&first).expect("a beginning"), at, out, documents: Default::default() };
    let lead =
        Fact::PersonAdmitted(Admission { of_age: Some(day("2010-01-01")), ..admission("lead", Role::Lead) });
    let event = all.event("lead", &lead);
    all.shop.apply(&event);
    for (id, role) in [("tech", Role::Technician), ("exam", Role::Examiner)] {
        all.must(
            "lead",
            &Command::AdmitPerson(Admission { of_age: Some(day("2010-01-01")), ..admission(id, role) }),
        );
    }
    // The event that set the PIN, as `pin` holds it: without one nobody has set it.
    let kept: serde_json::Value = serde_json::from_str(pin).expect("a line of a PIN");
    let hash = kept["hash"].as_str().map(Digest::of);
    let set = all.event("lead", &Fact::PinSet { person: person("tech"), hash });
    all.shop.apply(&set);
    for n in 0..LIFTS {
        let sheet = LiftSheet { lift: bay(n), first_used: Some(day("2015-05-01")), ..sheet() };
        all.must("lead", &Command::EnterLift { sheet, file: Document::new("the lift's file") });
    }
    for id in ["lead", "tech"] {
        let on = Authorisation { person: person(id), on: day("2016-01-01"), paper: "folder 3".into() };
        all.must("lead", &Command::Authorise(on));
    }
    for n in 0..VEHICLES {
        let file = Document::new("the vehicle's file");
        all.must(
            "tech",
            &Command::EnterVehicle { vehicle: car(n), description: format!("vehicle {n}"), file },
        );
        all.at = at;
    }
    let mut examinations = 0;
    for n in 0..raises {
        if n % A_DAY == 0 {
            at += SignedDuration::from_hours(if n / A_DAY % 5 == 4 { 72 } else { 24 });
            all.at = at;
            let today = all.shop.today(at).to_string();
            if (n / A_DAY).is_multiple_of(240) {
                for id in ["lead", "tech"] {
                    all.must("lead", &instruction(id, &today));
                }
                for bay in (0..LIFTS).map(bay) {
                    let report = Report { lift: bay, ..report(&today, true) };
                    all.must("exam", &Command::ReportExamination { report, paper: None });
                    examinations += 1;
                    all.must(
                        "lead",
                        &Command::ConfirmExamination { number: ExaminationNumber(examinations) },
                    );
                }
            }
            for bay in (0..LIFTS).map(bay) {
                all.must("tech", &Command::CheckLift { lift: bay, findings: findings() });
            }
        }
        let raise = RaiseNumber(n + 1);
        let answer = Document::new(format!("the plan, one of {}", n % 5000));
        all.must("tech", &Command::BeginRaise(NewPlan { lift: bay(n), vehicle: car(n), answer, ..plan() }));
        while let Some(point) = all.shop.raises.get(&raise).and_then(|r| r.progress.next()) {
            let judgement = all.shop.raises[&raise].progress.asks_for_judgement().then(|| judgement(true));
            all.must("tech", &Command::Confirm { raise, point, judgement, words: None, seen: None });
        }
    }
    let (head, documents) = (all.shop.head, all.documents.len());
    let end = serde_json::json!({ "line": "end", "events": head.seq, "documents": documents, "pins": 1, "head": head });
    writeln!(all.out, "{pin}").expect("written");
    all.line(&end);
    all.out.flush().expect("written");
}

/// Median of so many runs.
async fn median<T, F: Future<Output = T>>(runs: usize, what: impl Fn() -> F) -> Duration {
    let mut times = vec![];
    for _ in 0..runs {
        let began = Instant::now();
        what().await;
        times.push(began.elapsed());
    }
    times.sort_unstable();
    times[runs / 2]
}

/// Confirmed events a second, one after the other, on a new book; and bare flushes of a file of the same folder, by turns, as
/// others use the disk too.
async fn flushed(folder: &Path) {
    const ROUNDS: u32 = 30;
    const EACH: u32 = 50;
    let folder = tempfile::TempDir::new_in(folder).expect("a folder");
    let place = folder.path().join("new.book").display().to_string();
    let (book, people) = new_book(&place).await;
    let mut file = std::fs::File::create(folder.path().join("bare")).expect("a file");
    let (mut bare, mut events) = (Duration::ZERO, Duration::ZERO);
    for _ in 0..ROUNDS {
        let began = Instant::now();
        for _ in 0..EACH {
            file.write_all(&[7; 4096]).and_then(|()| file.sync_data()).expect("flushed");
        }
        bare += began.elapsed();
        let began = Instant::now();
        for _ in 0..EACH {
            note(&book, &people["tech"]).await;
        }
        events += began.elapsed();
    }
    let a_second = |time: Duration| f64::from(ROUNDS * EACH) / time.as_secs_f64();
    println!("confirmed events           {:.0} a second", a_second(events));
    println!("bare flushes of 4 kB       {:.0} a second", a_second(bare));
    println!("events to flushes          {:.2}", a_second(events) / a_second(bare));
}

async fn note(book: &Book, tech: &Signed) {
    let words = "a wrench fell".into();
    book.act(at(MORNING), tech, &Command::ReportIncident { lift: None, raise: None, words })
        .await
        .expect("written");
}

/// The line of a PIN, as a small book's backup has it.
async fn pin_line() -> String {
    let small = place::File::new();
    let mut text = vec![];
    new_book(&small.place()).await.0.backup(&mut text).await.expect("a backup");
    let text = String::from_utf8(text).expect("text");
    let line = text.lines().find(|l| l.contains("\"line\":\"pin\"") && l.contains("\"tech\""));
    line.expect("a PIN").to_owned()
}

/// As many events as there may be before the hall is kept anew: the most that opening reads.
async fn backlog(place: &str) {
    const KEPT_EVERY: u64 = 100;
    let book = Book::open(place).await.expect("opened");
    let tech = book.check_pin(at(MORNING), &person("tech"), "2580").await.expect("the PIN");
    while book.shop().await.expect("the shop").head.seq.0 % KEPT_EVERY != KEPT_EVERY - 1 {
        note(&book, &tech).await;
    }
    book.close().await;
}

fn main() {
    let said: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let Some(folder) = said.first().map(Path::new) else {
        return println!("cargo bench -p records --bench book -- FOLDER [RAISES]");
    };
    let raises = said.get(1).map_or(RAISES, |n| n.parse().expect("a number of raises"));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .expect("it starts");
    runtime.block_on(async {
        let path = folder.join(format!("{raises}-raises.book"));
        let place = path.display().to_string();
        if !path.exists() {
            let backup = folder.join("bench.backup");
            let began = Instant::now();
            write_backup(&backup, raises, &pin_line().await);
            println!("written as a backup in     {:.0} s", began.elapsed().as_secs_f64());
            let began = Instant::now();
            let lines = std::fs::File::open(&backup).expect("the backup");
            let restored = Book::restore(&place, &mut BufReader::new(lines)).await.expect("restored");
            restored.book.close().await;
            std::fs::remove_file(&backup).expect("removed");
            println!("restored and verified in   {:.0} s", began.elapsed().as_secs_f64());
            backlog(&place).await;
        }
        let book = Book::open(&place).await.expect("opened");
        let shop = book.shop().await.expect("the shop");
        let megabytes = std::fs::metadata(&path).expect("the file").len() / 1_000_000;
        println!("{raises} raises, {} events, {megabytes} MB", shop.head.seq);
        // The clock of what was added stands later: the last full day of raises is asked for by its last raise.
        let last = book.beginning_of(RaiseNumber(raises)).await.expect("read").expect("it is there").at;
        let last = last.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
        let fortnight = last.checked_sub(jiff::Span::new().days(14)).expect("a day");
        let open = median(15, async || Book::open(&place).await.expect("opened").close().await).await;
        let page = median(15, async || book.events_on(last).await.expect("read")).await;
        let record = median(15, async || {
            let since = book.first_since(fortnight).await.expect("read");
            book.record_of(&bay(0), since).await.expect("read")
        })
        .await;
        for (what, time) in [("open", open), ("a day's events", page), ("14 days of a lift", record)] {
            println!("{what:26} {:.1} ms", time.as_secs_f64() * 1e3);
        }
        println!("last day                   {last}");
        book.close().await;
        flushed(folder).await;
    });
}
