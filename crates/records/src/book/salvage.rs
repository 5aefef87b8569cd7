//! What can still be read of a damaged book.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;

use sqlx::AnyConnection;

use super::backup::{FORM, Line, put, salvaged_end};
use crate::digest::Digest;
use crate::event::Head;
use crate::failure::Failure;
use crate::names::Seq;
use crate::store::around::{Documents, Events};
use crate::store::leaves::Leaves;
use crate::store::{Kind, Store, followed, kind_of, read};

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
    /// Not all of the log beside the file can be read: what was written last may be missing without a trace.
    pub log_lost: bool,
}

/// Writes every event and document that is still as it was written: of a file from its pages themselves, with the log beside
/// it, from a server row by row. The book itself is not touched. The lines are those of a backup, with another end, so that
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
    let path = &followed(place);
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
        put(out, &Line::Pin { person, hash, failures, locks, locked_until })?;
    }
    found.ended(Seq(leaves.said), out)
}

async fn from_rows(store: &Store, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    put(out, &Line::Salvage { form: FORM })?;
    // In no transaction: PostgreSQL reads nothing more in one in which it could not read once.
    let mut on = store.connection().await?;
    let said = read::head(&mut on).await.map_or(Seq(0), |head| head.seq);
    let mut found = Found::default();
    let mut events = Events::until(said);
    while let Some(rows) = events.next(&mut on, store.kind).await? {
        for (seq, row) in rows {
            let intact = row.ok().map(|(stored, _)| stored);
            match intact.filter(|s| s.expected_hash().to_string() == s.hash) {
                None => found.lose(seq, seq),
                Some(stored) => {
                    found.event(&stored);
                    put(out, &Line::Event(stored.into()))?;
                }
            }
        }
    }
    found.documents(&mut on, store.kind, out).await?;
    let _ = super::backup::pins(&mut on, out).await;
    found.ended(said, out)
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

    fn event(&mut self, stored: &crate::event::StoredEvent) {
        if stored.seq > self.last.0 + 1 {
            self.lose(Seq(self.last.0 + 1), Seq(stored.seq - 1));
        }
        self.last = Seq(stored.seq);
        self.events += 1;
        if let Ok(event) = read::chained(self.intact.unwrap_or(Head::EMPTY), stored) {
            self.intact = Some(event.head());
        }
        if let Ok(event) = stored.read() {
            self.named.extend(event.fact.documents().into_iter().map(|digest| (digest, event.seq)));
        }
    }

    async fn documents(
        &mut self,
        on: &mut AnyConnection,
        kind: Kind,
        out: &mut (dyn Write + Send),
    ) -> Result<(), Failure> {
        let named: BTreeSet<Digest> = self.named.keys().copied().collect();
        let mut walk = Documents::all();
        while let Some(page) = walk.next(&mut *on, kind, &named).await? {
            for (name, content) in page {
                let digest = name.parse::<Digest>().ok();
                match (digest, content) {
                    (Some(digest), Ok(content)) if Digest::of(&content) == digest => {
                        if self.documents.insert(digest) {
                            put(out, &Line::Document { digest, content })?;
                        }
                    }
                    (Some(digest), _) => drop(self.unreadable.insert(digest)),
                    // Nothing says what it was; an event that names it says that it is lost.
                    (None, _) => {}
                }
            }
        }
        Ok(())
    }

    /// Up to the end that the book says it has; written as the end of the lines.
    fn ended(mut self, said: Seq, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
        if self.last < said {
            self.lose(Seq(self.last.0 + 1), said);
        }
        let salvaged = self.salvaged();
        put(
            out,
            &salvaged_end(salvaged.events, salvaged.documents, salvaged.intact.seq, salvaged.intact.hash),
        )?;
        out.flush().map_err(|e| Failure::Store(e.to_string()))?;
        if salvaged.events == 0 { Err(Failure::NothingLeft) } else { Ok(salvaged) }
    }

    fn salvaged(self) -> Salvaged {
        let is_lost = |digest: &&Digest| !self.documents.contains(digest);
        let lost = self.named.iter().filter(|(digest, _)| is_lost(digest));
        let unnamed = self.unreadable.iter().filter(|d| is_lost(d) && !self.named.contains_key(d));
        Salvaged {
            events: self.events,
            documents: self.documents.len() as u64,
            intact: self.intact.unwrap_or(Head::EMPTY),
            documents_lost: lost.map(|(digest, seq)| (*seq, *digest)).collect(),
            others_lost: unnamed.count() as u64,
            log_lost: self.log_lost,
            lost: self.lost,
        }
    }
}
