//! Looking through a whole book for anything altered, missing or out of its place.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::Row;

use super::Book;
use crate::digest::Digest;
use crate::event::{Head, StoredEvent};
use crate::failure::Failure;
use crate::fault::Fault;
use crate::names::Seq;
use crate::shop::{Shop, day_in};
use crate::store::{Kind, Store, Tx, read};

/// What was looked at, and what is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verification {
    /// Events read.
    pub events: u64,
    /// Documents read.
    pub documents: u64,
    /// The last event.
    pub head: Head,
    /// Everything that is wrong; empty = the book is as it was written.
    pub faults: Vec<Fault>,
}

/// Verifies a book that may be too damaged to be opened.
///
/// Finds any event or document altered, missing or out of place, whatever else is wrong. Whoever can write the file and
/// knows this format could write a new chain; against that, give the head of a backup or one noted on paper as `known`.
///
/// # Errors
/// Only if there is no book, or the database is not reached; damage is the answer, not an error.
pub async fn verify(place: &str, known: Option<Head>) -> Result<Verification, Failure> {
    let store = match Store::connect(place, false).await {
        Ok(store) => store,
        Err(Failure::Damaged(faults)) => return Ok(unreadable(faults)),
        Err(other) => return Err(other),
    };
    let verification = match store.version().await {
        Ok(0) => Err(Failure::no_book(place)),
        Ok(_) => verify_store(&store, known).await,
        Err(Failure::Damaged(faults)) => Ok(unreadable(faults)),
        Err(other) => Err(other),
    };
    store.close().await;
    verification
}

fn unreadable(faults: Vec<Fault>) -> Verification {
    Verification { events: 0, documents: 0, head: Head::EMPTY, faults }
}

impl Book {
    /// Verifies it, as it is at this moment.
    ///
    /// # Errors
    /// If the database is not reached.
    pub async fn verify(&self, known: Option<Head>) -> Result<Verification, Failure> {
        verify_store(&self.store, known).await
    }
}

async fn verify_store(store: &Store, known: Option<Head>) -> Result<Verification, Failure> {
    let mut tx = store.begin_reading().await?;
    let mut look = Look { known, ..Look::default() };
    let read = look.everything(&mut tx, store.kind).await;
    let _ = tx.rollback().await;
    match read {
        Ok(()) => {}
        Err(Failure::Damaged(faults)) => look.faults.extend(faults),
        Err(other) => return Err(other),
    }
    Ok(look.finish())
}

/// Walks along the events.
#[derive(Default)]
struct Look {
    known: Option<Head>,
    events: u64,
    documents: u64,
    head: Option<Head>,
    shop: Option<Shop>,
    kept: Option<Shop>,
    referred: BTreeMap<Digest, Seq>,
    suspects: Vec<StoredEvent>,
    faults: Vec<Fault>,
}

impl Look {
    async fn everything(&mut self, tx: &mut Tx, kind: Kind) -> Result<(), Failure> {
        if kind == Kind::Sqlite {
            let rows = sqlx::query("PRAGMA quick_check").fetch_all(&mut **tx).await?;
            let words = rows.iter().filter_map(|r| r.try_get::<String, _>(0).ok());
            self.faults.extend(words.filter(|w| w != "ok").map(Fault::Store));
        }
        self.kept = read::fold(&mut *tx).await?;
        loop {
            let page = read::page(&mut *tx, self.head().seq).await?;
            if page.is_empty() {
                break;
            }
            let subjects = listed(tx, self.head().seq, page.last().map_or(0, |(e, _)| e.seq)).await?;
            for (stored, day) in page {
                self.event(&stored, &day, subjects.get(&stored.seq));
            }
        }
        let said = read::head(&mut *tx).await?;
        if said != self.head() {
            self.faults.push(Fault::EndsElsewhere { said, found: self.head() });
        }
        self.documents(tx).await
    }

    fn head(&self) -> Head {
        self.head.unwrap_or(Head::EMPTY)
    }

    fn event(&mut self, stored: &StoredEvent, day: &str, subjects: Option<&BTreeSet<String>>) {
        let (seq, before) = (Seq(stored.seq), self.head());
        self.events += 1;
        if seq.0 > before.seq.0 + 1 {
            self.faults.push(Fault::Missing(Seq(before.seq.0 + 1), Seq(seq.0 - 1)));
        }
        let intact = stored.expected_hash().to_string() == stored.hash;
        if !intact {
            self.suspects.push(stored.clone());
        }
        // An altered event keeps the hash that the next one names; only one whose hash was computed anew breaks the chain.
        if seq.0 == before.seq.0 + 1 && stored.before != before.hash.to_string() && intact {
            self.faults.push(Fault::NotChained(seq));
        }
        let hash = stored.hash.parse().unwrap_or(Digest::NONE);
        self.head = Some(Head { seq, hash });
        if self.known.is_some_and(|known| known.seq == seq && known.hash != hash) {
            self.faults.extend(self.known.map(Fault::NotAsKnown));
        }
        match stored.read() {
            Err(why) if intact => self.faults.push(Fault::Unreadable(seq, why)),
            Err(_) => {}
            Ok(event) => {
                self.referred.extend(event.fact.documents().into_iter().map(|d| (d, seq)));
                let own: BTreeSet<String> = event.fact.subjects().iter().map(ToString::to_string).collect();
                let listed = subjects.cloned().unwrap_or_default();
                if intact && (day != day_in(&event.zone, event.at).to_string() || own != listed) {
                    self.faults.push(Fault::WronglyListed(seq));
                }
                match &mut self.shop {
                    None => self.begin(&event),
                    Some(shop) => shop.apply(&event),
                }
                self.compare_fold();
            }
        }
    }

    fn begin(&mut self, first: &crate::event::Event) {
        match Shop::open(first) {
            Ok(shop) => self.shop = Some(shop),
            Err(_) if first.seq == Seq(1) => self.faults.push(Fault::NoBeginning),
            Err(_) => {}
        }
    }

    /// What is left at the end was never reached, or is not what the events came to.
    fn compare_fold(&mut self) {
        if let (Some(shop), Some(kept)) = (&self.shop, &self.kept)
            && shop == kept
        {
            self.kept = None;
        }
    }

    /// Every document against its digest; then those that are referred to and not there.
    async fn documents(&mut self, tx: &mut Tx) -> Result<(), Failure> {
        let mut after = String::new();
        let mut there = BTreeSet::new();
        loop {
            let query = sqlx::query(
                "SELECT digest, content FROM document WHERE digest > $1 ORDER BY digest LIMIT 100",
            );
            let rows = query.bind(&after).fetch_all(&mut **tx).await?;
            if rows.is_empty() {
                break;
            }
            for row in rows {
                after = row.try_get("digest")?;
                let content: String = row.try_get("content")?;
                self.documents += 1;
                let Ok(digest) = after.parse::<Digest>() else {
                    self.faults.push(Fault::Store(format!("a document is kept under “{after}”")));
                    continue;
                };
                there.insert(digest);
                if Digest::of(&content) != digest {
                    self.faults.push(Fault::DocumentAltered(digest));
                }
            }
        }
        let missing = self.referred.iter().filter(|(digest, _)| !there.contains(digest));
        self.faults.extend(missing.map(|(digest, seq)| Fault::DocumentMissing(*seq, *digest)));
        Ok(())
    }

    fn finish(mut self) -> Verification {
        let places: Vec<u64> = self.suspects.iter().map(|s| s.seq).collect();
        for suspect in &self.suspects {
            // An event that was moved is right at another suspect's place, or at one that is missing.
            let gaps = self
                .faults
                .iter()
                .filter_map(|f| if let Fault::Missing(a, b) = f { Some(a.0..=b.0) } else { None });
            let written =
                places.iter().copied().chain(gaps.flatten().take(1000)).find(|place| {
                    *place != suspect.seq && suspect.hash_at(*place).to_string() == suspect.hash
                });
            self.faults.push(match written {
                Some(written) => Fault::Moved { stands: Seq(suspect.seq), written: Seq(written) },
                None => Fault::Altered(Seq(suspect.seq)),
            });
        }
        // Of events that are damaged another fold is a matter of course.
        if let (Some(kept), true) = (&self.kept, self.faults.is_empty()) {
            self.faults.push(Fault::FoldDiffers(kept.head.seq));
        }
        if let Some(known) = self.known
            && known.seq > self.head().seq
        {
            self.faults.push(Fault::NotAsKnown(known));
        }
        Verification {
            events: self.events,
            documents: self.documents,
            head: self.head(),
            faults: self.faults,
        }
    }
}

/// What the events of a page are listed under.
async fn listed(tx: &mut Tx, after: Seq, to: u64) -> Result<BTreeMap<u64, BTreeSet<String>>, Failure> {
    let query = sqlx::query("SELECT seq, subject FROM subject WHERE seq > $1 AND seq <= $2");
    let rows = query.bind(read::signed(after)).bind(read::signed(Seq(to))).fetch_all(&mut **tx).await?;
    let mut all: BTreeMap<u64, BTreeSet<String>> = BTreeMap::new();
    for row in rows {
        let seq = u64::try_from(row.try_get::<i64, _>("seq")?).unwrap_or(0);
        all.entry(seq).or_default().insert(row.try_get("subject")?);
    }
    Ok(all)
}
