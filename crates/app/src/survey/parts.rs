//! A survey in parts, each a range of entries: done once, wherever, and put together to the same bytes.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::fs::{File, TryLockError};
use std::io;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use records::{AtWork, Book, Taken};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use super::cells::wrong;
use super::engine::Answer;
use super::out::{line, unwritten};
use super::read::Read;
use super::row::Row;
use super::tally::Lost;
use crate::cli::UNREADABLE;
use crate::desk::{Ended, Place};
use crate::write;

/// Pairs of a part, about: half a second to some seconds of one core.
const PAIRS: u64 = 1024;
const FORM: &str = "standfast/survey-parts/4";
const MANIFEST: &str = "survey.json";
/// Whoever is at work in a folder shares a lock of this file; it stays, as others may wait for it.
const LOCK: &str = "survey.lock";

/// What a survey asks, and into which parts it falls.
#[derive(Clone, Debug, Deserialize, PartialEq, Serialize)]
pub(crate) struct Manifest {
    standfast: String,
    program: String,
    /// SHA-256 of everything that is asked, as it stands there.
    inputs: String,
    lifts: Vec<String>,
    /// Vehicles, those included that will be skipped.
    entries: u64,
    /// Entries of a part.
    each: u64,
    parts: u64,
}

/// Entries of a part.
pub(crate) fn each(lifts: usize) -> u64 {
    (PAIRS / (lifts as u64).max(1)).max(1)
}

impl Manifest {
    pub(crate) fn new(lifts: Vec<String>, entries: u64, asked: &[&[u8]]) -> Self {
        let program = concat!("standfast ", env!("CARGO_PKG_VERSION")).to_owned();
        let mut digest = Sha256::new();
        for part in [FORM.as_bytes(), program.as_bytes()].iter().chain(asked) {
            digest.update((part.len() as u64).to_le_bytes());
            digest.update(part);
        }
        let inputs = hex(&digest.finalize());
        let each = each(lifts.len());
        Self {
            standfast: FORM.to_owned(),
            program,
            inputs,
            lifts,
            entries,
            each,
            parts: entries.div_ceil(each),
        }
    }

    pub(crate) const fn parts(&self) -> u64 {
        self.parts
    }

    /// How many of them are of a share.
    pub(crate) fn parts_of(&self, share: Option<Share>) -> u64 {
        share.map_or(self.parts, |share| (0..self.parts).map(|part| u64::from(share.holds(part))).sum())
    }

    /// The pairs of so many parts; the last of all is counted as if it were as long as the others.
    pub(crate) fn pairs(&self, parts: u64) -> u64 {
        (parts * self.each).min(self.entries) * self.lifts.len() as u64
    }

    /// The entries of a part.
    pub(crate) fn range(&self, part: u64) -> Range<u64> {
        part * self.each..((part + 1) * self.each).min(self.entries)
    }
}

/// The share of the parts that one machine does: every so-manieth, from one of them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Share {
    of: u64,
    all: u64,
}

impl std::str::FromStr for Share {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const WRONG: &str = "write it like 2/4: the second of four shares";
        let (of, all) = text.split_once('/').ok_or(WRONG)?;
        let (of, all) = (of.trim().parse().map_err(|_| WRONG)?, all.trim().parse().map_err(|_| WRONG)?);
        if (1..=all).contains(&of) { Ok(Self { of, all }) } else { Err(WRONG) }
    }
}

impl Share {
    const fn holds(self, part: u64) -> bool {
        part % self.all == self.of - 1
    }
}

/// Where parts are kept.
pub(crate) enum Kept {
    Folder(PathBuf, AtFolder),
    /// A book that several machines reach.
    Book(Arc<Book>, AtWork),
}

/// Says to others that somebody is at work in a folder, as long as it is held.
pub(crate) struct AtFolder {
    /// `None` = files cannot be locked there.
    lock: Option<File>,
}

impl AtFolder {
    /// Waits while somebody takes the parts away.
    fn join(folder: &Path) -> Result<Self, Ended> {
        let path = folder.join(LOCK);
        let opened = File::options().create(true).append(true).open(&path);
        let file = opened.map_err(|fault| unwritten(&path, &fault))?;
        match file.lock_shared() {
            Ok(()) => Ok(Self { lock: Some(file) }),
            Err(fault) if fault.kind() == io::ErrorKind::Unsupported => Ok(Self { lock: None }),
            Err(fault) => Err(unwritten(&path, &fault)),
        }
    }

    /// Alone, or `None` where others are at work.
    fn alone(self, folder: &Path) -> Result<Option<File>, Ended> {
        let file = self.lock.ok_or_else(|| {
            Ended::bad(
                &format!("{}: files cannot be locked there: nobody knows who is at work", folder.display()),
                "take the folder away once nobody is",
            )
        })?;
        // A lock that is held already may not become another.
        let alone = file.unlock().map_err(TryLockError::Error).and_then(|()| file.try_lock());
        match alone {
            Ok(()) => Ok(Some(file)),
            Err(TryLockError::WouldBlock) => Ok(None),
            Err(TryLockError::Error(fault)) => Err(unwritten(&folder.join(LOCK), &fault)),
        }
    }
}

/// A part that is to be done now.
pub(crate) struct Part {
    pub(crate) number: u64,
    taken: Option<Taken>,
}

#[derive(Deserialize, Serialize)]
#[serde(untagged)]
enum Line {
    Begin {
        /// The manifest's inputs.
        survey: String,
        part: u64,
    },
    Row(Box<Row>),
    /// Of the vehicle whose rows come next.
    Odd {
        odd: String,
    },
    Skipped {
        skipped: String,
        lost: Lost,
    },
    End {
        /// SHA-256 of all lines before.
        end: String,
    },
}

/// A part's answers as they are kept.
pub(crate) struct Text {
    text: String,
}

fn sum(text: &str) -> String {
    hex(&Sha256::digest(text))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Text {
    pub(crate) fn begin(manifest: &Manifest, part: u64) -> Result<Self, Ended> {
        let mut text = Self { text: String::new() };
        text.line(&Line::Begin { survey: manifest.inputs.clone(), part })?;
        Ok(text)
    }

    fn line(&mut self, value: &impl Serialize) -> Result<(), Ended> {
        let line = line(value).map_err(|e| Ended::bad(&e.to_string(), "try again"))?;
        self.text += &line;
        Ok(())
    }

    pub(crate) fn add(&mut self, answer: &Answer) -> Result<(), Ended> {
        match answer {
            Answer::Rows(Read { said: rows, odd }) => {
                odd.iter().try_for_each(|odd| self.line(&Line::Odd { odd: odd.clone() }))?;
                rows.iter().try_for_each(|row| self.line(row))
            }
            Answer::Skipped(why, lost) => {
                self.line(&Line::Skipped { skipped: why.clone(), lost: lost.clone() })
            }
        }
    }

    fn whole(mut self) -> Result<String, Ended> {
        let end = sum(&self.text);
        self.line(&Line::End { end })?;
        Ok(self.text)
    }
}

/// Why a kept part is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Unusable {
    /// Cut, or altered since it was written.
    NotWhole,
    /// Of other inputs, or of another range.
    Another,
}

/// The answers of a part's text.
fn answers(text: &str, manifest: &Manifest, part: u64) -> Result<Vec<Answer>, Unusable> {
    let read = |line: &str| serde_json::from_str(line).map_err(|_| Unusable::NotWhole);
    let (before, last) = text.trim_end().rsplit_once('\n').ok_or(Unusable::NotWhole)?;
    match read(last)? {
        Line::End { end } if end == sum(&text[..=before.len()]) => {}
        _ => return Err(Unusable::NotWhole),
    }
    let mut lines = before.lines();
    match read(lines.next().unwrap_or_default())? {
        Line::Begin { survey, part: is } if survey == manifest.inputs && is == part => {}
        _ => return Err(Unusable::Another),
    }
    let (mut found, mut rows, mut about) = (vec![], vec![], None);
    for line in lines {
        match read(line)? {
            Line::Row(row) => rows.push(*row),
            Line::Odd { odd } => about = Some(odd),
            Line::Skipped { skipped, lost } => found.push(Answer::Skipped(skipped, lost)),
            Line::Begin { .. } | Line::End { .. } => return Err(Unusable::NotWhole),
        }
        if rows.len() == manifest.lifts.len() {
            found.push(Answer::Rows(Read { said: std::mem::take(&mut rows), odd: about.take() }));
        }
    }
    let range = manifest.range(part);
    let is_all = rows.is_empty() && found.len() as u64 == range.end - range.start;
    if is_all { Ok(found) } else { Err(Unusable::NotWhole) }
}

/// Who works at a survey holds its parts, unless the server let go of them.
fn taken_out() -> Ended {
    Ended::bad(
        "the parts of this survey were taken out of the book while it was asked",
        "start it again; --forget belongs to the last run alone",
    )
}

fn name(part: u64) -> String {
    format!("part-{part:06}.jsonl")
}

fn file(folder: &Path, part: u64) -> PathBuf {
    folder.join(name(part))
}

/// Whether parts are kept in a book there, and not in a folder.
pub(crate) fn is_book(place: &str) -> bool {
    place.contains("://")
}

impl Kept {
    /// At a folder or a PostgreSQL book, begun or found again.
    pub(crate) async fn open(place: &str, manifest: &Manifest) -> Result<Self, Ended> {
        if is_book(place) {
            let book = Place::of(place).open().await?;
            let at_work = book.join_survey(&manifest.inputs, manifest.parts).await?;
            return Ok(Self::Book(book, at_work));
        }
        let folder = PathBuf::from(place);
        std::fs::create_dir_all(&folder).map_err(|fault| unwritten(&folder, &fault))?;
        let at_work = AtFolder::join(&folder)?;
        let path = folder.join(MANIFEST);
        let new = serde_json::to_string_pretty(manifest)
            .map_err(|e| Ended::bad(&e.to_string(), "try again"))?
            + "\n";
        match std::fs::read_to_string(&path) {
            Ok(old) if old == new => {}
            Ok(old) if serde_json::from_str::<Manifest>(&old).is_ok() => {
                return Err(Ended::bad(
                    &format!(
                        "{place}: these are parts of another survey: other lifts, vehicles, job, limits or program"
                    ),
                    "give the same files again, or another folder",
                ));
            }
            Ok(_) => {
                return Err(Ended::bad(
                    &format!("{}: this is no survey's list of parts, and is not overwritten", path.display()),
                    "give another folder",
                ));
            }
            Err(fault) if fault.kind() == io::ErrorKind::NotFound => {
                write::whole(&path, new).map_err(|fault| unwritten(&path, &fault))?;
            }
            Err(fault) => {
                return Err(Ended::Said(
                    wrong(&format!("{}: {fault}", path.display()), "check the folder"),
                    UNREADABLE,
                ));
            }
        }
        Ok(Self::Folder(folder, at_work))
    }

    /// The next part to do: in a folder the first from there on that is of the share and not done, in a book one that nobody
    /// works at.
    pub(crate) async fn next(
        &self,
        manifest: &Manifest,
        from: u64,
        share: Option<Share>,
    ) -> Result<Option<Part>, Ended> {
        match self {
            Self::Folder(folder, _) => {
                let open = |part: &u64| {
                    share.is_none_or(|share| share.holds(*part)) && !file(folder, *part).exists()
                };
                let number = (from..manifest.parts).find(open);
                Ok(number.map(|number| Part { number, taken: None }))
            }
            Self::Book(book, _) => {
                let taken = book.take_part(&manifest.inputs).await?;
                Ok(taken.map(|taken| Part { number: taken.number(), taken: Some(taken) }))
            }
        }
    }

    /// How many are done, by whomever; in a folder, of a share.
    pub(crate) async fn done(&self, manifest: &Manifest, share: Option<Share>) -> Result<u64, Ended> {
        Ok(match self {
            Self::Folder(folder, _) => {
                let unread = |fault: io::Error| {
                    Ended::bad(&format!("{}: {fault}", folder.display()), "check the folder")
                };
                let all = std::fs::read_dir(folder).map_err(unread)?;
                let there: BTreeSet<_> = all.flatten().map(|file| file.file_name()).collect();
                let is_done = |part: &u64| {
                    share.is_none_or(|share| share.holds(*part)) && there.contains(OsStr::new(&name(*part)))
                };
                (0..manifest.parts).filter(is_done).map(|_| 1).sum()
            }
            Self::Book(book, _) => {
                let done = book.parts_done(&manifest.inputs).await?;
                if done.of < manifest.parts {
                    return Err(taken_out());
                }
                done.parts
            }
        })
    }

    /// Keeps the answers of a part, whole or not at all.
    pub(crate) async fn keep(&self, part: Part, text: Text) -> Result<(), Ended> {
        let text = text.whole()?;
        match (self, part.taken) {
            (Self::Folder(folder, _), _) => {
                let path = file(folder, part.number);
                write::whole(&path, text).map_err(|fault| unwritten(&path, &fault))
            }
            (Self::Book(..), Some(taken)) => {
                Ok(taken.done(&format!("process {}", std::process::id()), &text).await?)
            }
            (Self::Book(..), None) => Err(Ended::bad("a part was not taken", "try again")),
        }
    }

    /// The answers of a part that is done.
    pub(crate) async fn answers(&self, manifest: &Manifest, part: u64) -> Result<Vec<Answer>, Ended> {
        let (place, text) = match self {
            Self::Folder(folder, _) => {
                let path = file(folder, part);
                let text = std::fs::read_to_string(&path).map_err(|fault| {
                    Ended::bad(&format!("{}: {fault}", path.display()), "check the folder")
                })?;
                (path.display().to_string(), text)
            }
            Self::Book(book, _) => {
                let text = book.part(&manifest.inputs, part).await?.ok_or_else(taken_out)?;
                (format!("part {part} in the book"), text)
            }
        };
        answers(&text, manifest, part).map_err(|why| {
            let why = match why {
                Unusable::NotWhole => "this part is not as it was written",
                Unusable::Another => {
                    "this part is of another survey: other lifts, vehicles, job, limits or program"
                }
            };
            Ended::bad(&format!("{place}: {why}"), "take it away: it is done again")
        })
    }

    /// Takes the parts away, unless others are still at work at them; whether it did.
    pub(crate) async fn forget(self, manifest: &Manifest) -> Result<bool, Ended> {
        match self {
            Self::Folder(folder, at_work) => {
                let Some(_alone) = at_work.alone(&folder)? else { return Ok(false) };
                // The list last: until it is gone they are parts of this survey.
                let parts = (0..manifest.parts).map(|part| file(&folder, part));
                for path in parts.chain([folder.join(MANIFEST)]) {
                    match std::fs::remove_file(&path) {
                        Err(fault) if fault.kind() != io::ErrorKind::NotFound => {
                            return Err(unwritten(&path, &fault));
                        }
                        _ => {}
                    }
                }
                Ok(true)
            }
            Self::Book(book, at_work) => Ok(book.forget_survey(at_work).await?),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What others did counts, and of a share only what is its own.
    #[tokio::test]
    async fn what_is_done_is_counted_whoever_did_it() {
        let folder = tempfile::tempdir().unwrap();
        let lifts = ["a", "b"].map(str::to_owned).to_vec();
        // Four parts of 512 vehicles, and one of 52.
        let manifest = Manifest::new(lifts, 2100, &[]);
        let kept = Kept::open(folder.path().to_str().unwrap(), &manifest).await.unwrap();
        let share = |text: &str| Some(text.parse::<Share>().unwrap());
        let done = async |share| manifest.pairs(kept.done(&manifest, share).await.unwrap());
        assert_eq!(done(None).await, 0);
        for part in [0, 3, 99] {
            std::fs::write(file(folder.path(), part), "").unwrap();
        }
        assert_eq!(
            [done(None).await, done(share("1/2")).await, done(share("2/2")).await],
            [2048, 1024, 1024]
        );
        assert_eq!([None, share("1/2"), share("2/2")].map(|share| manifest.parts_of(share)), [5, 3, 2]);
        assert_eq!(manifest.pairs(5), 4200);
    }
}
