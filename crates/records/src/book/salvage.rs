//! What can still be read of a damaged book.

mod copy;

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::path::Path;

use sqlx::AnyConnection;

use super::backup::{FORM, Line, put, salvaged_end};
use crate::digest::Digest;
use crate::event::Head;
use crate::failure::Failure;
use crate::names::Seq;
use crate::store::around::{Documents, Events};
use crate::store::{Kind, Store, kind_of, read};

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
    /// Whether its first page could not be read, and that of a new book was read in its place.
    pub head_made_anew: bool,
}

/// Writes every event and document that is still as it was written, from a copy of a file, or row by row from a database:
/// the book itself is not touched. The lines are those of a backup, with another end, so that nobody restores them as if
/// they were one.
///
/// # Errors
/// If the file cannot be copied or the database not reached, nothing of it can be read, or `out` cannot be written.
pub async fn salvage(place: &str, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    if kind_of(place) != Some(Kind::Sqlite) {
        let store = Store::connect(place, false).await?;
        return closed(store, out).await;
    }
    let path = Path::new(place);
    if !path.is_file() {
        return Err(Failure::no_book(place));
    }
    let folder = copy::folder_for(path)?;
    let found = salvage_copy(path, &folder, out).await;
    let _ = std::fs::remove_dir_all(&folder);
    found
}

async fn salvage_copy(path: &Path, folder: &Path, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    let copy = copy::of(path, folder)?;
    let head_made_anew = !copy::opens(&copy).await;
    if head_made_anew {
        copy::make_head_anew(&copy, folder).await?;
    }
    let store = Store::connect(&copy.display().to_string(), false).await?;
    Ok(Salvaged { head_made_anew, ..closed(store, out).await? })
}

async fn closed(store: Store, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    let found = read_all(&store, out).await;
    store.close().await;
    found
}

async fn read_all(store: &Store, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    put(out, &Line::Salvage { form: FORM })?;
    // In no transaction: PostgreSQL reads nothing more in one in which it could not read once.
    let mut on = store.pool.acquire().await?;
    let said = read::head(&mut on).await.map_or(Seq(0), |head| head.seq);
    let mut found = Found::default();
    let mut events = Events::until(said);
    while let Some(rows) = events.next(&mut on).await? {
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
    if found.last < said {
        found.lose(Seq(found.last.0 + 1), said);
    }
    found.documents(&mut on, store.kind, out).await?;
    // Whoever's PIN cannot be read gets a new one from a lead.
    let _ = super::backup::pins(&mut on, out).await;
    let salvaged = found.salvaged();
    put(out, &salvaged_end(salvaged.events, salvaged.documents, salvaged.intact.seq, salvaged.intact.hash))?;
    out.flush().map_err(|e| Failure::Store(e.to_string()))?;
    if salvaged.events == 0 {
        Err(Failure::NotABackup("no event of it can be read".to_owned()))
    } else {
        Ok(salvaged)
    }
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
            lost: self.lost,
            head_made_anew: false,
        }
    }
}
