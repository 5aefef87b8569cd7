//! What can still be read of a damaged file.

use std::fs::{self, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use sqlx::Row;

use super::backup::{FORM, Line, put, salvaged_end};
use crate::digest::Digest;
use crate::event::Head;
use crate::failure::Failure;
use crate::names::Seq;
use crate::store::{Store, read};

/// Events that may be missing in a row where the file does not say how many there were. Own convention.
const GIVE_UP_AFTER: u64 = 10_000;

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Salvaged {
    /// Events that are as they were written.
    pub events: u64,
    /// Documents that are as they were written.
    pub documents: u64,
    /// Up to here nothing is missing.
    pub intact: Head,
    /// Events that cannot be read or were altered, from and to.
    pub lost: Vec<(Seq, Seq)>,
    /// Documents that were found, and are not as they were written or cannot be read.
    pub documents_lost: u64,
}

/// Writes every event and document that is still as it was written, one by one, from a copy: the file itself is not
/// touched. The lines are those of a backup, with another end, so that nobody restores them as if they were one.
///
/// # Errors
/// If the file cannot be copied, nothing of it can be read, or `out` cannot be written.
pub async fn salvage(path: &Path, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    let folder = beside(path)?;
    let found = salvage_copy(path, &folder, out).await;
    let _ = fs::remove_dir_all(&folder);
    found
}

fn on_file(path: &Path, error: &std::io::Error) -> Failure {
    Failure::Store(format!("{}: {error}", path.display()))
}

/// A new folder for the copy, in the folder for temporary files.
fn beside(path: &Path) -> Result<PathBuf, Failure> {
    let name = Digest::of(&format!("{} {}", path.display(), std::process::id())).to_string();
    let folder = std::env::temp_dir().join(format!("standfast-salvage-{}", &name[..16]));
    fs::create_dir(&folder).map_err(|e| on_file(&folder, &e))?;
    Ok(folder)
}

/// The file and its write-ahead log. A file cut short is filled up to the length that its head says: what is missing
/// reads as damaged pages then, and not as a damaged file.
fn copy(path: &Path, folder: &Path) -> Result<PathBuf, Failure> {
    let to = folder.join("book");
    fs::copy(path, &to).map_err(|e| on_file(path, &e))?;
    let log = PathBuf::from(format!("{}-wal", path.display()));
    if log.is_file() {
        fs::copy(&log, folder.join("book-wal")).map_err(|e| on_file(&log, &e))?;
    }
    let failed = |e: std::io::Error| on_file(&to, &e);
    let mut file = OpenOptions::new().read(true).write(true).open(&to).map_err(failed)?;
    // SQLite, "Database File Format": page size at byte 16 (1 = 65536), pages at byte 28, big endian.
    let mut head = [0; 32];
    file.seek(SeekFrom::Start(0)).map_err(failed)?;
    if file.read_exact(&mut head).is_ok() {
        let page = match u64::from(u16::from_be_bytes([head[16], head[17]])) {
            1 => 65_536,
            size => size,
        };
        let pages = u64::from(u32::from_be_bytes([head[28], head[29], head[30], head[31]]));
        if file.metadata().map_err(failed)?.len() < page * pages {
            file.set_len(page * pages).map_err(failed)?;
        }
    }
    Ok(to)
}

async fn salvage_copy(path: &Path, folder: &Path, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    let to = copy(path, folder)?;
    let store = Store::connect(&to.display().to_string(), false).await?;
    let found = read_all(&store, out).await;
    store.close().await;
    found
}

async fn read_all(store: &Store, out: &mut (dyn Write + Send)) -> Result<Salvaged, Failure> {
    put(out, &Line::Salvage { form: FORM })?;
    let mut on = store.pool.acquire().await?;
    let said = read::head(&mut on).await.map_or(0, |head| head.seq.0);
    let mut found =
        Salvaged { events: 0, documents: 0, intact: Head::EMPTY, lost: vec![], documents_lost: 0 };
    let (mut seq, mut gap) = (1, 0);
    while seq <= said || (said == 0 && gap < GIVE_UP_AFTER) {
        let query = sqlx::query(read::events!("WHERE seq = $1")).bind(read::signed(Seq(seq)));
        let stored = match query.fetch_optional(&mut *on).await {
            Ok(Some(row)) => read::event(&row).ok().map(|(stored, _)| stored),
            _ => None,
        };
        match stored.filter(|s| s.expected_hash().to_string() == s.hash) {
            Some(stored) => {
                if let Ok(event) = read::chained(found.intact, &stored) {
                    found.intact = event.head();
                }
                gap = 0;
                found.events += 1;
                put(out, &Line::Event(stored.into()))?;
            }
            None => {
                gap += 1;
                lose(&mut found.lost, seq);
            }
        }
        seq += 1;
    }
    // Without a head nobody knows whether there was anything after the last event found.
    if said == 0 && gap > 0 {
        found.lost.pop();
    }
    documents(&mut on, &mut found, out).await?;
    // Whoever's PIN cannot be read gets a new one from a lead.
    let _ = super::backup::pins(&mut on, out).await;
    put(out, &salvaged_end(found.events, found.documents, found.intact.seq, found.intact.hash))?;
    out.flush().map_err(|e| Failure::Store(e.to_string()))?;
    if found.events == 0 {
        Err(Failure::NotABackup("no event of it can be read".to_owned()))
    } else {
        Ok(found)
    }
}

fn lose(lost: &mut Vec<(Seq, Seq)>, seq: u64) {
    match lost.last_mut() {
        Some((_, to)) if to.0 + 1 == seq => *to = Seq(seq),
        _ => lost.push((Seq(seq), Seq(seq))),
    }
}

/// By the table's own order, one at a time; a damaged one is passed over.
async fn documents(
    on: &mut sqlx::AnyConnection,
    found: &mut Salvaged,
    out: &mut (dyn Write + Send),
) -> Result<(), Failure> {
    let last = sqlx::query("SELECT MAX(rowid) AS last FROM document").fetch_one(&mut *on).await;
    let last: i64 = last.and_then(|row| row.try_get("last")).unwrap_or(0);
    for place in 1..=last {
        let query = sqlx::query("SELECT digest, content FROM document WHERE rowid = $1").bind(place);
        let read = match query.fetch_optional(&mut *on).await {
            Ok(None) => continue,
            Ok(Some(row)) => {
                row.try_get::<String, _>("digest").ok().zip(row.try_get::<String, _>("content").ok())
            }
            Err(_) => None,
        };
        let intact = read.and_then(|(digest, content)| {
            digest.parse::<Digest>().ok().filter(|d| *d == Digest::of(&content)).map(|d| (d, content))
        });
        match intact {
            Some((digest, content)) => {
                found.documents += 1;
                put(out, &Line::Document { digest, content })?;
            }
            None => found.documents_lost += 1,
        }
    }
    Ok(())
}
