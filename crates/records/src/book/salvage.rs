//! What can still be read of a damaged book.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;

use serde::{Deserialize, Serialize};
use sqlx::Row;
use sqlx::any::AnyRow;

use super::backup::{FORM, Line, put};
use crate::digest::Digest;
use crate::event::{Head, StoredEvent};
use crate::fact::Fact;
use crate::failure::Failure;
use crate::names::{PersonId, Seq};
use crate::store::around::{self, ByPlace, Place};
use crate::store::leaves::Leaves;
use crate::store::{BookPath, Kind, Store, kind_of, read};

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Salvaged {
    /// Events that are as they were written.
    pub events: u64,
    /// Documents that are as they were written.
    pub documents: u64,
    /// Up to here no event is missing.
    pub intact: Head,
    /// Events that cannot be read or were altered, from and to.
    pub lost: Vec<(Seq, Seq)>,
    /// Documents that an event names and that are missing, altered or cannot be read.
    pub documents_lost: Vec<(Seq, Digest)>,
    /// Documents that cannot be read, and that no event found names.
    pub others_lost: u64,
    /// Whose PIN is missing, or is not the one that was set last.
    pub pins_lost: Vec<PersonId>,
    /// Not all of the log beside the file can be read: what was written last may be missing without a trace.
    pub log_lost: bool,
}

/// What a salvage holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Held {
    /// Events.
    pub events: u64,
    /// Documents.
    pub documents: u64,
    /// Up to here no event is missing.
    pub intact: Head,
    /// The last that the damaged book had, as far as it still says so; none in a salvage of an older program.
    #[serde(default)]
    pub end: Seq,
    /// Whether what was written last may be missing without a trace.
    #[serde(default)]
    pub log_lost: bool,
}

/// Writes every event and document that is still as it was written: of a file from its pages themselves, with the log beside
/// it, from a server page by page of its tables, by no index. The book itself is not touched. The lines are those of a backup, with another end, so that
/// nobody restores them as if they were one.
///
/// # Errors
/// If the file cannot be read or the database not reached, nothing of it can be read, or `out` cannot be written.
pub async fn salvage(place: &str, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    if kind_of(place) != Some(Kind::Sqlite) {
        let store = Store::connect(place, false).await?;
        let found = from_rows(&store, out).await;
        store.close().await;
        return found;
    }
    let path = &BookPath::of(place)?.path;
    if !path.is_file() {
        return Err(Failure::no_book(place));
    }
    let on_path = |error: std::io::Error| Failure::Store(format!("{place}: {error}"));
    from_leaves(&mut Leaves::of(path).map_err(on_path)?, out)
}

fn from_leaves(leaves: &mut Leaves, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    let unread = |error: std::io::Error| Failure::Store(error.to_string());
    put(out, &Line::Salvage { form: FORM })?;
    let mut found = Found::default();
    for at in leaves.events.clone().into_values() {
        if let Some(stored) = leaves.event(at).map_err(unread)? {
            found.event(&stored);
            put(out, &Line::Event(stored.into()))?;
        }
    }
    for (digest, at) in leaves.documents.clone() {
        if let Some(content) = leaves.content(at).map_err(unread)? {
            found.documents.insert(digest);
            put(out, &Line::Document { digest, content })?;
        }
    }
    found.unreadable = std::mem::take(&mut leaves.unreadable);
    found.log_lost = leaves.lack_log();
    // Whoever's PIN cannot be read gets a new one from a lead.
    for (person, hash, [failures, locks, locked_until]) in leaves.pins.values().cloned() {
        found.pins.insert(person.clone(), Digest::of(&hash));
        put(out, &Line::Pin { person, hash, failures, locks, locked_until })?;
    }
    found.ended(Seq(leaves.said), out)
}

async fn from_rows(store: &Store, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    put(out, &Line::Salvage { form: FORM })?;
    // In no transaction: PostgreSQL reads nothing more in one in which it could not read once.
    let mut table = ByPlace::of(store).await?;
    let said = read::head(table.on()).await.ok();
    let mut stand = BTreeMap::new();
    let mut altered = 0;
    for page in table.pages("event").await? {
        for row in table.page(EVENT, page).await?.0 {
            match (around::place(&row), intact(&row)) {
                (Some(place), Some(stored)) => drop(stand.entry(stored.seq).or_insert(place)),
                _ => altered += 1,
            }
        }
    }
    let mut found = Found::default();
    let mut hash = None;
    let stand: Vec<Place> = stand.into_values().collect();
    for some in stand.chunks(1000) {
        let rows = table.at(EVENT, some).await?.0;
        let by_seq: BTreeMap<u64, StoredEvent> =
            rows.iter().filter_map(intact).map(|stored| (stored.seq, stored)).collect();
        for stored in by_seq.into_values() {
            found.event(&stored);
            hash = stored.hash.parse::<Digest>().ok();
            put(out, &Line::Event(stored.into()))?;
        }
    }
    found.documents(&mut table, out).await?;
    let pins = super::backup::pins(table.on(), out).await.unwrap_or_default();
    found.pins = pins.into_iter().map(|(person, hash)| (person, Digest::of(&hash))).collect();
    let end = match said.filter(|head| *head != Head::EMPTY) {
        // The end bears the hash of the last event: there is none behind it, whatever the number says.
        Some(head) if hash == Some(head.hash) => found.last,
        Some(head) => head.seq,
        // Nobody says how many there were: altered rows that no gap explains stood at the end.
        None => {
            let gaps: u64 = found.lost.iter().map(|(from, to)| to.0 - from.0 + 1).sum();
            Seq(found.last.0 + u64::saturating_sub(altered, gaps))
        }
    };
    found.ended(end, out)
}

/// The columns of an event.
const EVENT: &str =
    "seq, at_microseconds, zone, by_person, with_person, fact, before_hash, hash, day FROM event";

/// The event of a row, if it is as it was written.
fn intact(row: &AnyRow) -> Option<StoredEvent> {
    read::event(row).ok().map(|(stored, _)| stored).filter(|stored| stored.seq > 0 && stored.is_intact())
}

#[derive(Default)]
struct Found {
    events: u64,
    documents: BTreeSet<Digest>,
    intact: Option<Head>,
    /// The last that was read or is known to be lost.
    last: Seq,
    lost: Vec<(Seq, Seq)>,
    named: BTreeMap<Digest, Seq>,
    unreadable: BTreeSet<Digest>,
    /// What is kept of each PIN, and what is said to be.
    pins: BTreeMap<String, Digest>,
    pins_set: BTreeMap<PersonId, Option<Digest>>,
    log_lost: bool,
}

impl Found {
    fn lose(&mut self, from: Seq, to: Seq) {
        match self.lost.last_mut() {
            Some((_, last)) if last.0 + 1 == from.0 => *last = to,
            _ => self.lost.push((from, to)),
        }
        self.last = to;
    }

    fn event(&mut self, stored: &StoredEvent) {
        if stored.seq > self.last.0 + 1 {
            self.lose(Seq(self.last.0 + 1), Seq(stored.seq - 1));
        }
        self.last = Seq(stored.seq);
        self.events += 1;
        let follows = read::follows(self.intact.unwrap_or(Head::EMPTY), stored).is_ok();
        if let (true, Ok(hash)) = (follows, stored.hash.parse()) {
            self.intact = Some(Head { seq: self.last, hash });
        }
        if let Ok(event) = stored.read() {
            self.named.extend(event.fact.documents().into_iter().map(|digest| (digest, event.seq)));
            self.pin(event.fact);
        }
    }

    fn pin(&mut self, fact: Fact) {
        match fact {
            Fact::PinSet { person, hash } => drop(self.pins_set.insert(person, hash)),
            Fact::PinGiven { person, hash } => drop(self.pins_set.insert(person, Some(hash))),
            Fact::PersonLeft { person } => drop(self.pins_set.remove(&person)),
            // One that was set before may be among what was lost then.
            Fact::Salvaged { .. } => self.pins_set.clear(),
            _ => {}
        }
    }

    fn is_kept(&self, person: &PersonId, set: Option<Digest>) -> bool {
        self.pins.get(person.as_str()).is_some_and(|kept| set.is_none_or(|set| set == *kept))
    }

    async fn documents(
        &mut self,
        table: &mut ByPlace<'_>,
        out: &mut (dyn Write + Send),
    ) -> Result<(), Failure> {
        let name = |row: &AnyRow| row.try_get::<String, _>("digest").ok()?.parse::<Digest>().ok();
        for page in table.pages("document").await? {
            let (rows, unread) = table.page("digest, content FROM document", page).await?;
            for row in rows {
                // Nothing says what one without a name was; an event that names it says that it is lost.
                let Some(digest) = name(&row) else { continue };
                match row.try_get::<String, _>("content") {
                    Ok(content) if Digest::of(&content) == digest => {
                        if self.documents.insert(digest) {
                            put(out, &Line::Document { digest, content })?;
                        }
                    }
                    _ => drop(self.unreadable.insert(digest)),
                }
            }
            if !unread.is_empty() {
                let named = table.at("digest FROM document", &unread).await?.0;
                self.unreadable.extend(named.iter().filter_map(name));
            }
        }
        Ok(())
    }

    /// Up to the end that the book says it has; written as the end of the lines.
    fn ended(mut self, said: Seq, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
        if self.last < said {
            self.lose(Seq(self.last.0 + 1), said);
        }
        let end = self.last;
        let salvaged = self.salvaged();
        let Salvaged { events, documents, intact, log_lost, .. } = salvaged;
        put(out, &Line::SalvageEnd(Held { events, documents, intact, end, log_lost }))?;
        out.flush().map_err(|e| Failure::Store(e.to_string()))?;
        if salvaged.events == 0 { Err(Failure::NothingLeft) } else { Ok(salvaged) }
    }

    fn salvaged(self) -> Salvaged {
        let is_lost = |digest: &&Digest| !self.documents.contains(digest);
        let lost = self.named.iter().filter(|(digest, _)| is_lost(digest));
        let pins_lost = self.pins_set.iter().filter(|(person, set)| !self.is_kept(person, **set));
        let unnamed = self.unreadable.iter().filter(|d| is_lost(d) && !self.named.contains_key(d));
        Salvaged {
            events: self.events,
            documents: self.documents.len() as u64,
            intact: self.intact.unwrap_or(Head::EMPTY),
            documents_lost: lost.map(|(digest, seq)| (*seq, *digest)).collect(),
            others_lost: unnamed.count() as u64,
            pins_lost: pins_lost.map(|(person, _)| person.clone()).collect(),
            log_lost: self.log_lost,
            lost: self.lost,
        }
    }
}
