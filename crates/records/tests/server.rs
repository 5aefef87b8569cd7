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
