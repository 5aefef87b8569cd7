//! Out and in: JSON lines, one for each document, event and PIN, and at the end the head.

use std::io::{BufRead, Write};

use serde::{Deserialize, Serialize};
use sqlx::Row;

use super::salvage::Held;
use super::verify::verified;
use super::{Book, Verification};
use crate::digest::{Digest, Document};
use crate::event::{Head, StoredEvent};
use crate::failure::Failure;
use crate::fault::Fault;
use crate::shop::Shop;
use crate::store::{Store, Tx, read, write};

/// Form of the lines: a changed form gets another number.
pub(super) const FORM: u32 = 1;

/// A line of a backup.
#[derive(Serialize, Deserialize)]
#[serde(tag = "line", rename_all = "kebab-case", deny_unknown_fields)]
pub(super) enum Line {
    Book {
        form: u32,
        shop: String,
    },
    /// In its place: what follows was salvaged, with gaps.
    Salvage {
        form: u32,
    },
    Document {
        digest: Digest,
        content: String,
    },
    Event(EventLine),
    Pin {
        person: String,
        hash: String,
        failures: i64,
        locks: i64,
        locked_until: i64,
    },
    End {
        events: u64,
        documents: u64,
        pins: u64,
        head: Head,
    },
    SalvageEnd(Held),
}

/// An event, its fact as the stored text, so that its hash can be computed again.
#[derive(Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) struct EventLine {
    seq: u64,
    at_microseconds: i64,
    zone: String,
    by: String,
    with: String,
    fact: String,
    before: String,
    hash: String,
}

impl From<StoredEvent> for EventLine {
    fn from(e: StoredEvent) -> Self {
        let StoredEvent { seq, at, zone, by, with, fact, before, hash } = e;
        Self { seq, at_microseconds: at, zone, by, with, fact, before, hash }
    }
}

impl From<EventLine> for StoredEvent {
    fn from(e: EventLine) -> Self {
        let EventLine { seq, at_microseconds: at, zone, by, with, fact, before, hash } = e;
        Self { seq, at, zone, by, with, fact, before, hash }
    }
}

pub(super) fn put(out: &mut (dyn Write + Send), line: &Line) -> Result<(), Failure> {
    let text = serde_json::to_string(line).map_err(|e| Failure::Store(e.to_string()))?;
    writeln!(out, "{text}").map_err(on_file)
}

pub(super) fn on_file(error: std::io::Error) -> Failure {
    match error.kind() {
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::FileTooLarge => {
            Failure::DiskFull(error.to_string())
        }
        _ => Failure::Store(error.to_string()),
    }
}

/// Whether there is another line, and what it says.
pub(super) fn next_line(
    lines: &mut (dyn BufRead + Send),
    number: u64,
    text: &mut String,
) -> Result<bool, Failure> {
    text.clear();
    lines.read_line(text).map(|read| read > 0).map_err(|error| {
        Failure::NotABackup(match error.kind() {
            std::io::ErrorKind::InvalidData => format!("line {number} is no text"),
            _ => format!("line {number} cannot be read: {error}"),
        })
    })
}

/// What a restored book holds.
#[derive(Debug)]
pub struct Restored {
    /// The book, opened.
    pub book: Book,
    /// How it was found before it was kept.
    pub verification: Verification,
}

impl Book {
    /// Verifies the book and writes all of it as it is at this moment, while others go on writing, and answers its head: note
    /// it, it proves the book later. Holds the hashes of PINs: keep it as safe as the book.
    ///
    /// # Errors
    /// If the book cannot be read, is damaged, or `out` cannot be written.
    pub async fn backup(&self, out: &mut (dyn Write + Send)) -> Result<Head, Failure> {
        let mut tx = self.store.begin_reading().await?;
        let known = read::head(&mut tx).await?;
        verified(&mut tx, self.store.kind, known, costs_no_backup).await?;
        let shop = self.known().await.name.clone();
        put(out, &Line::Book { form: FORM, shop })?;
        let documents = documents(&mut tx, out).await?;
        let mut head = Head::EMPTY;
        loop {
            let page = read::page(&mut tx, head.seq).await?;
            if page.is_empty() {
                break;
            }
            for (stored, _) in page {
                head = read::chained(head, &stored).map_err(super::damaged)?.head();
                put(out, &Line::Event(stored.into()))?;
            }
        }
        let pins = pins(&mut tx, out).await?;
        tx.rollback().await?;
        let pins = pins.len() as u64;
        put(out, &Line::End { events: head.seq.0, documents, pins, head })?;
        out.flush().map_err(on_file)?;
        Ok(head)
    }

    /// Makes a book of a backup, in an empty file or database of either kind, and verifies it.
    ///
    /// # Errors
    /// If there is a book already, or the backup is not whole; then nothing is written.
    pub async fn restore(place: &str, backup: &mut (dyn BufRead + Send)) -> Result<Restored, Failure> {
        let store = Self::empty_store(place).await?;
        let filled = fill(&store, place, backup).await;
        let (store, verification) = store.or_nothing(filled).await?;
        Ok(Restored { book: Self::load(store).await?, verification })
    }
}

async fn fill(
    store: &Store,
    place: &str,
    backup: &mut (dyn BufRead + Send),
) -> Result<Verification, Failure> {
    let mut tx = store.begin_writing().await?;
    if read::head(&mut tx).await? != Head::EMPTY {
        return Err(Failure::book_exists(place));
    }
    let shop = take_in(&mut tx, backup).await?;
    write::head(&mut tx, shop.head).await?;
    write::fold(&mut tx, &shop).await?;
    let verification = verified(&mut tx, store.kind, shop.head, is_lost).await?;
    tx.commit().await?;
    Ok(verification)
}

fn costs_no_backup(fault: &Fault, shop: Option<&Shop>) -> bool {
    !fault.is_of_what_is_kept() || is_lost(fault, shop)
}

/// A document that was lost stays a fault of a book that was salvaged, and of it alone.
pub(super) fn is_lost(fault: &Fault, shop: Option<&Shop>) -> bool {
    matches!(fault, Fault::DocumentMissing(..)) && shop.is_some_and(|shop| shop.salvaged.is_some())
}

async fn documents(tx: &mut Tx, out: &mut (dyn Write + Send)) -> Result<u64, Failure> {
    let mut count = 0;
    let mut after = String::new();
    loop {
        let query =
            sqlx::query("SELECT digest, content FROM document WHERE digest > $1 ORDER BY digest LIMIT 100");
        let rows = query.bind(&after).fetch_all(&mut **tx).await?;
        if rows.is_empty() {
            return Ok(count);
        }
        for row in rows {
            after = row.try_get("digest")?;
            let digest = after.parse().map_err(|e| Failure::Store(format!("{e}")))?;
            put(out, &Line::Document { digest, content: row.try_get("content")? })?;
            count += 1;
        }
    }
}

/// Each with its hash.
pub(super) async fn pins(
    tx: &mut sqlx::AnyConnection,
    out: &mut (dyn Write + Send),
) -> Result<Vec<(String, String)>, Failure> {
    let rows = sqlx::query("SELECT person, hash, failures, locks, locked_until FROM pin ORDER BY person")
        .fetch_all(tx)
        .await?;
    let mut kept = vec![];
    for row in &rows {
        let (person, hash): (String, String) = (row.try_get("person")?, row.try_get("hash")?);
        kept.push((person.clone(), hash.clone()));
        let (failures, locks) = (row.try_get("failures")?, row.try_get("locks")?);
        put(out, &Line::Pin { person, hash, failures, locks, locked_until: row.try_get("locked_until")? })?;
    }
    Ok(kept)
}

pub(super) async fn take_pin(
    on: &mut sqlx::AnyConnection,
    person: &str,
    hash: &str,
    [failures, locks, locked_until]: [i64; 3],
) -> Result<(), Failure> {
    sqlx::query("INSERT INTO pin (person, hash, failures, locks, locked_until) VALUES ($1, $2, $3, $4, $5)")
        .bind(person)
        .bind(hash)
        .bind(failures)
        .bind(locks)
        .bind(locked_until)
        .execute(on)
        .await?;
    Ok(())
}

/// Inserts all lines; the end must say what was read.
async fn take_in(tx: &mut Tx, backup: &mut (dyn BufRead + Send)) -> Result<Shop, Failure> {
    let not = |why: String| Failure::NotABackup(why);
    let (mut documents, mut pins, mut shop, mut end) = (0, 0, None::<Shop>, None);
    let mut text = String::new();
    for number in 1_u64.. {
        if !next_line(backup, number, &mut text)? {
            break;
        }
        if end.is_some() {
            return Err(not(format!("line {number} comes after its end")));
        }
        let line: Line = serde_json::from_str(&text).map_err(|e| not(format!("line {number}: {e}")))?;
        match line {
            Line::Book { form, .. } if number == 1 && form == FORM => {}
            Line::Salvage { .. } if number == 1 => return Err(Failure::Salvage),
            Line::Book { form, .. } => return Err(not(format!("line {number}: a book of form {form}"))),
            _ if number == 1 => return Err(not("it does not begin with a book".to_owned())),
            Line::Document { digest, content } => {
                let document = Document::new(content);
                if document.digest() != digest {
                    return Err(not(format!("line {number}: document {digest} was altered")));
                }
                write::document(tx, &document).await?;
                documents += 1;
            }
            Line::Event(line) => {
                let stored = StoredEvent::from(line);
                let head = shop.as_ref().map_or(Head::EMPTY, |s| s.head);
                let event = read::chained(head, &stored).map_err(|fault| match fault {
                    Fault::UnknownZone(_, zone) => Failure::UnknownZone(zone),
                    fault => not(format!("line {number}: {fault}")),
                })?;
                write::event(tx, &stored, &event).await?;
                match &mut shop {
                    Some(shop) => shop.apply(&event),
                    None => {
                        shop = Some(
                            Shop::open(&event)
                                .map_err(|_| not("its first event opens no shop".to_owned()))?,
                        )
                    }
                }
            }
            Line::Pin { person, hash, failures, locks, locked_until } => {
                let counts = [failures, locks, locked_until];
                if counts.iter().any(|count| *count < 0) {
                    return Err(not(format!("line {number}: {}", Fault::PinCount(person))));
                }
                take_pin(tx, &person, &hash, counts).await?;
                pins += 1;
            }
            Line::End { events, documents, pins, head } => end = Some((events, documents, pins, head)),
            Line::Salvage { .. } | Line::SalvageEnd(_) => {
                return Err(not(format!("line {number} is out of place")));
            }
        }
    }
    let shop = shop.ok_or_else(|| not("it holds no event".to_owned()))?;
    let Some(said) = end else { return Err(not("it breaks off before its end".to_owned())) };
    let found = (shop.head.seq.0, documents, pins, shop.head);
    if said == found { Ok(shop) } else { Err(not(format!("it ends with {said:?}, and holds {found:?}"))) }
}
