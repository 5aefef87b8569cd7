//! What a PostgreSQL server can do to a book, or say of one.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

mod common;

use std::collections::BTreeSet;
use std::io::{BufReader, Seek, SeekFrom, Write};
use std::time::{Duration, Instant};

use common::place::{File, Server, shared};
use common::*;
use records::*;

/// As PostgreSQL is built: `SHOW block_size`.
const PAGE: usize = 8192;

fn incident(words: String) -> Command {
    Command::ReportIncident { lift: None, raise: None, words }
}

fn numbers(text: &str) -> BTreeSet<u64> {
    text.lines().map(|line| line.trim().parse().expect("a number")).collect()
}

fn lost(salvaged: &Salvaged) -> BTreeSet<u64> {
    salvaged.lost.iter().flat_map(|(from, to)| from.0..=to.0).collect()
}

/// A page costs what stood on it: of the events those, of an index of them nothing.
#[tokio::test(flavor = "multi_thread")]
async fn a_page_overwritten() {
    let Some(mut server) = Server::start() else { return };
    let place = server.database();
    let (book, people) = ready_book(&place).await;
    for n in 0..60 {
        let words = incident(format!("incident {n} ").repeat(20));
        book.act(at(MORNING), &people["tech"], &words).await.expect("written");
    }
    let head = book.shop().await.expect("the shop").head;
    book.close().await;
    let name = place.split(['/', '?']).nth(3).expect("a name").to_owned();
    server.psql(&name, "VACUUM").expect("vacuumed");
    server.psql(&name, "VACUUM ANALYZE").expect("vacuumed");
    let pages = server.psql(&name, "SELECT DISTINCT (ctid::text::point)[0] FROM event").expect("pages");
    let pages = numbers(&pages);
    assert!(pages.len() > 4, "{pages:?}");
    let mut spoilt = vec![];
    for (relation, page) in
        pages.iter().step_by(2).map(|page| ("event", *page)).chain([("event_pkey", 1), ("event_pkey", 0)])
    {
        let copy = format!("copy{}", spoilt.len());
        server.psql("postgres", &format!("CREATE DATABASE {copy} TEMPLATE {name}")).expect("copied");
        let stood = match relation {
            "event" => {
                let query = format!("SELECT seq FROM event WHERE (ctid::text::point)[0] = {page}");
                numbers(&server.psql(&copy, &query).expect("numbers"))
            }
            _ => BTreeSet::new(),
        };
        spoilt.push((server.file_of(&copy, relation), page, server.address(&copy, "shop"), stood));
    }
    server.psql("postgres", "CHECKPOINT").expect("written");
    server.kill();
    for (file, page, ..) in &spoilt {
        let mut file = std::fs::File::options().write(true).open(file).expect("its file");
        file.seek(SeekFrom::Start(page * PAGE as u64)).expect("a page");
        file.write_all(&[0x5a; PAGE]).expect("overwritten");
    }
    server.run();
    for (n, (file, page, place, stood)) in spoilt.into_iter().enumerate() {
        if stood.is_empty() && page == 0 {
            // Here an index begins, and the server reads nothing of its table until it is made anew.
            assert!(matches!(salvage(&place, &mut vec![]).await, Err(Failure::NothingLeft)));
            server.psql(&format!("copy{n}"), "REINDEX TABLE event").expect("made anew");
            assert_eq!(salvage(&place, &mut vec![]).await.expect("read").intact, head);
            continue;
        }
        let mut text = vec![];
        let salvaged = salvage(&place, &mut text).await.unwrap_or_else(|e| panic!("{file:?} {page}: {e}"));
        assert_eq!(lost(&salvaged), stood, "{file:?}, page {page}");
        assert_eq!(salvaged.events, head.seq.0 - stood.len() as u64);
        let found = verify(&place, Some(head)).await.expect("damage is an answer").faults;
        let unread = |fault: &Fault| if let Fault::Unreadable(seq, _) = fault { Some(seq.0) } else { None };
        assert_eq!(found.iter().filter_map(unread).collect::<BTreeSet<_>>(), stood, "{found:?}");
        assert!(!found.is_empty(), "{file:?}, page {page}");
    }
}

/// Where a page of a file has an item: of a table a row, of an index an entry.
fn item(bytes: &[u8], page: usize, n: usize) -> usize {
    let pointer = page * PAGE + 24 + 4 * (n - 1);
    let pointer: [u8; 4] = bytes[pointer..pointer + 4].try_into().expect("four bytes");
    page * PAGE + (u32::from_le_bytes(pointer) & 0x7fff) as usize
}

/// Where its first column begins.
fn columns(bytes: &[u8], row: usize) -> usize {
    row + usize::from(bytes[row + 22])
}

type Spoil = Box<dyn Fn(&mut [u8])>;

/// Numbers and entries that lead nowhere, in the table and in its index: whatever stands whole is found, and the rest named.
#[tokio::test(flavor = "multi_thread")]
async fn a_number_or_an_entry_altered() {
    let Some(mut server) = Server::start() else { return };
    let place = server.database();
    let (book, people) = ready_book(&place).await;
    let mut head = book.shop().await.expect("the shop").head;
    while head.seq.0 < 1050 {
        let words = incident(format!("incident after {}", head.seq.0));
        book.act(at(MORNING), &people["tech"], &words).await.expect("written");
        head = book.shop().await.expect("the shop").head;
    }
    book.close().await;
    let name = place.split(['/', '?']).nth(3).expect("a name").to_owned();
    server.psql(&name, "VACUUM").expect("vacuumed");
    server.psql(&name, "VACUUM ANALYZE").expect("vacuumed");
    let stands = |seq: u64| {
        let place =
            server.psql(&name, &format!("SELECT ctid FROM event WHERE seq = {seq}")).expect("a place");
        let (page, n) = place.trim().trim_matches(['(', ')']).split_once(',').expect("two numbers");
        (page.parse::<usize>().expect("a page"), n.parse::<usize>().expect("a number"))
    };
    let numbered = |seq: u64, with: i64| -> Spoil {
        let (page, n) = stands(seq);
        Box::new(move |bytes| {
            let at = columns(bytes, item(bytes, page, n));
            assert_eq!(bytes[at..at + 8], seq.to_le_bytes());
            bytes[at..at + 8].copy_from_slice(&with.to_le_bytes());
        })
    };
    // The last ten, which a walk by them meets once more behind the end.
    let keys: Spoil = Box::new(|bytes| {
        let last = bytes.len() / PAGE - 1;
        let lower = &bytes[last * PAGE + 12..][..2];
        let items = (usize::from(u16::from_le_bytes(lower.try_into().expect("two bytes"))) - 24) / 4;
        for n in items - 9..=items {
            let key = item(bytes, last, n) + 8;
            bytes[key..key + 8].copy_from_slice(&1_000_000_000_i64.to_le_bytes());
        }
        assert_eq!(items, 1050 - 2 * 366, "the last leaf");
    });
    let pointers: Spoil = Box::new(|bytes| bytes[PAGE + 24 + 4 * 20..][..40].fill(0));
    let fewer: Spoil = Box::new(|bytes| bytes[PAGE + 12..][..2].copy_from_slice(&104_u16.to_le_bytes()));
    let leaf: Spoil = Box::new(|bytes| bytes[PAGE..2 * PAGE].fill(0x5a));
    // A text so long that whoever looks for the column behind it leaves the server's memory: the process ends.
    let (page, n) = stands(31);
    let deadly: Spoil = Box::new(move |bytes| {
        let zone = columns(bytes, item(bytes, page, n)) + 16;
        bytes[zone..zone + 4].copy_from_slice(&0x8000_0000_u32.to_le_bytes());
    });
    let spoilt: Vec<(&str, Spoil, Option<u64>)> = vec![
        ("event_pkey", keys, None),
        ("event_pkey", pointers, None),
        ("event_pkey", fewer, None),
        ("event", numbered(1000, 1_000_000_000_000), Some(1000)),
        ("event", numbered(31, -7), Some(31)),
        ("event", numbered(31, 1_000_000_000_000_000), Some(31)),
        ("document_pkey", leaf, None),
        ("event", deadly, Some(31)),
    ];
    let mut copies = vec![];
    for (n, (relation, spoil, spoilt)) in spoilt.into_iter().enumerate() {
        let copy = format!("copy{n}");
        server.psql("postgres", &format!("CREATE DATABASE {copy} TEMPLATE {name}")).expect("copied");
        let file = server.file_of(&copy, relation);
        copies.push((format!("{n}, {relation}"), file, spoil, server.address(&copy, "shop"), spoilt));
    }
    let whole = salvage(&place, &mut vec![]).await.expect("read");
    assert!(whole.documents > 0);
    server.psql("postgres", "CHECKPOINT").expect("written");
    server.kill();
    for (_, file, spoil, ..) in &copies {
        let mut bytes = std::fs::read(file).expect("its file");
        spoil(&mut bytes);
        std::fs::write(file, bytes).expect("overwritten");
    }
    server.run();
    for (what, _, _, place, spoilt) in copies {
        let mut text = vec![];
        let salvaged = tokio::time::timeout(Duration::from_secs(60), salvage(&place, &mut text)).await;
        let salvaged = salvaged.unwrap_or_else(|_| panic!("{what}: does not end")).expect("read");
        assert_eq!(lost(&salvaged), spoilt.into_iter().collect(), "{what}");
        assert_eq!(salvaged.events, 1050 - u64::from(spoilt.is_some()), "{what}");
        assert_eq!(salvaged.documents, whole.documents, "{what}");
        let verified = tokio::time::timeout(Duration::from_secs(60), verify(&place, Some(head))).await;
        let found = verified.unwrap_or_else(|_| panic!("{what}: does not end")).expect("an answer").faults;
        assert!(!found.is_empty(), "{what}");
        if let Some(spoilt) = spoilt {
            let is_it = |fault: &Fault| matches!(fault, Fault::Unreadable(seq, _) if seq.0 == spoilt);
            assert!(found.iter().any(is_it), "{what}: {found:?}");
            let is_more =
                |fault: &Fault| matches!(fault, Fault::Missing(..) | Fault::Altered(_) | Fault::Strange(_));
            assert!(!found.iter().any(is_more), "{what}: {found:?}");
        }
        assert!(!found.iter().any(|fault| matches!(fault, Fault::DocumentMissing(..))), "{what}: {found:?}");
    }
}

/// Who is let in no more is told that, and not that the disk is full; no word is of the server's own source.
#[tokio::test(flavor = "multi_thread")]
async fn too_many_connections_are_no_full_disk() {
    let Some(server) = shared() else { return };
    let place = server.database();
    ready_book(&place).await.0.close().await;
    let name = place.split(['/', '?']).nth(3).expect("a name").to_owned();
    server.psql(&name, "CREATE ROLE clerk LOGIN CONNECTION LIMIT 0").expect("a role");
    let failure = Book::open(&server.address(&name, "clerk")).await.expect_err("nobody is let in");
    let told = failure.to_string();
    assert!(matches!(failure, Failure::Unreachable(_)), "{failure:?}");
    assert!(told.contains("too many connections") && !told.contains("at line"), "{told}");
}

/// A server that is gone is told late once, as it may be starting again; who asks next is told at once, and who asks once it
/// is back is answered.
#[tokio::test(flavor = "multi_thread")]
async fn a_server_that_is_gone_is_told_at_once() {
    let Some(mut server) = Server::start() else { return };
    let place = server.database();
    let (book, people) = ready_book(&place).await;
    let tech = &people["tech"];
    server.kill();
    let refused = |answer: Result<(), Failure>| matches!(answer, Err(Failure::Unreachable(_)));
    assert!(refused(book.hall().await.map(drop)));
    let began = Instant::now();
    assert!(refused(book.hall().await.map(drop)));
    assert!(refused(book.events_after(Seq(0)).await.map(drop)));
    assert!(refused(book.document(Document::new("none").digest()).await.map(drop)));
    assert!(refused(book.act(at(MORNING), tech, &incident("oil".into())).await.map(drop)));
    assert!(began.elapsed() < Duration::from_secs(2), "{:?}", began.elapsed());
    server.run();
    book.act(at(MORNING), tech, &incident("oil".into())).await.expect("the same program goes on");
}

/// A server that lets nobody in any more likewise, with its own words.
#[tokio::test(flavor = "multi_thread")]
async fn a_server_that_is_full_is_told_at_once() {
    let Some(server) = shared() else { return };
    let place = server.database();
    ready_book(&place).await.0.close().await;
    let name = place.split(['/', '?']).nth(3).expect("a name").to_owned();
    let say = |statement: &str| drop(server.psql(&name, statement).expect(statement));
    say("CREATE ROLE porter LOGIN");
    say("GRANT ALL ON ALL TABLES IN SCHEMA public TO porter");
    let book = Book::open(&server.address(&name, "porter")).await.expect("opened");
    say("ALTER ROLE porter CONNECTION LIMIT 0");
    say("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'porter'");
    let told = |answer: Result<(), Failure>| answer.expect_err("nobody is let in").to_string();
    let first = told(book.events_after(Seq(0)).await.map(drop));
    assert!(first.contains("too many connections"), "{first}");
    let began = Instant::now();
    assert_eq!(told(book.events_after(Seq(0)).await.map(drop)), first);
    assert_eq!(told(book.document(Document::new("none").digest()).await.map(drop)), first);
    assert!(began.elapsed() < Duration::from_secs(2), "{:?}", began.elapsed());
    say("ALTER ROLE porter CONNECTION LIMIT -1");
    book.events_after(Seq(0)).await.expect("the same program goes on");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_database_of_another_encoding_is_refused() {
    let Some(server) = shared() else { return };
    let name = "latin";
    server
        .psql("postgres", &format!("CREATE DATABASE {name} ENCODING 'LATIN1' TEMPLATE template0"))
        .expect("a database");
    let place = server.address(name, "shop");
    let from = File::new();
    let (book, _) = ready_book(&from.place()).await;
    let mut text = vec![];
    book.backup(&mut text).await.expect("written");
    let begun = Book::create(&place, at(MORNING), opening()).await.map(drop);
    let restored = Book::restore(&place, &mut BufReader::new(&text[..])).await.map(drop);
    for done in [begun, restored] {
        let told = done.expect_err("refused").to_string();
        assert!(told.contains("LATIN1") && told.contains("UTF8"), "{told}");
    }
    let tables = server.psql(name, "SELECT COUNT(*) FROM pg_tables WHERE schemaname = 'public'");
    assert_eq!(tables.expect("a number").trim(), "0", "nothing is made there");
}
