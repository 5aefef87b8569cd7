//! Where lifts and vehicles come from, one by one: files, folders of files, tables, the book.

use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, BufRead as _, BufReader};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use planner::Limits;
use sha2::{Digest as _, Sha256};

use super::cells::{Head, Line, Lines, Unread, With, csv_file, wrong};
use super::parquet::{self, parquet_file};
use super::read;
use super::tally::Lost;
use crate::desk::Ended;
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::measuring::{MORE, Subject};

use crate::told::plain;

/// One of a fleet, as it stands there.
#[derive(Debug)]
pub(crate) struct Entry {
    /// Its place among all that came, bad ones included, from 0: its key.
    pub(crate) number: u64,
    /// "fleet.csv: row 7".
    pub(crate) place: String,
    pub(crate) id: String,
    pub(crate) raw: Raw,
    /// What goes with it if it cannot be used.
    pub(crate) lost: Lost,
}

/// What is not read yet.
#[derive(Debug)]
pub(crate) enum Raw {
    /// A file.
    Text(Box<Source>),
    /// A row.
    Cells(Arc<Head>, Vec<String>),
    /// What is wrong instead, and the digest of what stands there: what is wrong may name where it stands on this machine.
    Broken(String, Sum),
}

/// SHA-256.
type Sum = [u8; 32];

/// Of texts, one by one.
fn sum_of<'a>(parts: impl IntoIterator<Item = &'a [u8]>) -> Sum {
    let mut digest = Sha256::new();
    for part in parts {
        digest.update((part.len() as u64).to_le_bytes());
        digest.update(part);
    }
    digest.finalize().into()
}

/// Of a file as it lies there; of one that cannot be read, of nothing.
fn sum_of_file(path: &Path) -> Sum {
    let read = || {
        let mut digest = Sha256::new();
        let mut file = BufReader::with_capacity(1 << 16, File::open(path)?);
        loop {
            let some = file.fill_buf()?;
            if some.is_empty() {
                return Ok::<Sum, io::Error>(digest.finalize().into());
            }
            digest.update(some);
            let read = some.len();
            file.consume(read);
        }
    };
    // What is no file may have no end.
    if path.is_file() { read().unwrap_or_default() } else { Sum::default() }
}

impl Raw {
    /// Of what stands there, wherever that is.
    fn sum(&self) -> Sum {
        match self {
            Self::Text(source) => sum_of([source.text.as_bytes()]),
            Self::Cells(head, cells) => {
                let columns = head.columns.iter().zip(cells);
                let own = columns
                    .flat_map(|((name, unit), cell)| [name, unit.as_deref().unwrap_or_default(), cell]);
                // What the files say that a row names.
                let files = FILES.iter().filter_map(|column| head.cell(cells, column));
                let files: Vec<Sum> = files.map(|(file, _)| sum_of_file(&head.folder.join(file))).collect();
                sum_of(own.map(str::as_bytes).chain(files.iter().map(<[u8; 32]>::as_slice)))
            }
            Self::Broken(_, sum) => *sum,
        }
    }
}

/// Somewhere that lifts or vehicles come from.
#[derive(Clone, Debug)]
enum Origin {
    File(PathBuf),
    /// Of the book, under a name.
    Kept(String, Box<Source>),
}

/// Lifts or vehicles.
#[derive(Clone, Debug)]
pub(crate) struct Fleet {
    subject: Subject,
    origins: Vec<Origin>,
    /// Names that came more than once when it was counted.
    twice: BTreeSet<Key>,
    /// By which it is read.
    limits: Limits,
}

/// Columns that name a file.
const FILES: [&str; 2] = ["file", MORE];
const TABLES: [&str; 3] = ["csv", "tsv", "parquet"];

fn ending(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_ascii_lowercase()).unwrap_or_default()
}

impl Fleet {
    /// Of files, and of the TOML files and tables in folders, by name.
    pub(crate) fn of_paths(subject: Subject, paths: &[PathBuf]) -> Result<Self, Ended> {
        let (mut origins, mut said) = (vec![], String::new());
        for path in paths {
            if !path.is_dir() {
                if path.exists() {
                    origins.push(Origin::File(path.clone()));
                } else {
                    said += &wrong(
                        &format!("{}: there is no such file or folder", path.display()),
                        "check its name",
                    );
                }
                continue;
            }
            let listed =
                std::fs::read_dir(path).map(|all| all.flatten().map(|e| e.path()).collect::<Vec<_>>());
            let mut files = match listed {
                Ok(files) => files,
                Err(fault) => {
                    said +=
                        &wrong(&format!("{}: {fault}", path.display()), "check that the folder may be read");
                    continue;
                }
            };
            files.retain(|f| f.is_file() && (ending(f) == "toml" || TABLES.contains(&ending(f).as_str())));
            files.sort();
            if files.is_empty() {
                let what = format!("{}: no TOML file and no table lies in this folder", path.display());
                said += &wrong(&what, &format!("name a folder with {}s", subject.word()));
            }
            origins.extend(files.into_iter().map(Origin::File));
        }
        if said.is_empty() {
            Ok(Self::new(subject, origins))
        } else {
            Err(Ended::Said(said, crate::cli::UNREADABLE))
        }
    }

    /// Of texts that the book keeps, by their names.
    pub(crate) fn of_book(subject: Subject, kept: Vec<(String, Source)>) -> Self {
        let origins = kept.into_iter().map(|(id, source)| Origin::Kept(id, Box::new(source))).collect();
        Self::new(subject, origins)
    }

    fn new(subject: Subject, origins: Vec<Origin>) -> Self {
        Self { subject, origins, twice: BTreeSet::new(), limits: Limits::default() }
    }

    pub(crate) fn and(mut self, other: Self) -> Self {
        self.origins.extend(other.origins);
        self
    }

    /// The files among them.
    pub(crate) fn files(&self) -> impl Iterator<Item = &Path> {
        self.origins
            .iter()
            .filter_map(|o| if let Origin::File(path) = o { Some(path.as_path()) } else { None })
    }

    /// All of them, from the first.
    pub(crate) fn entries(&self) -> Entries<'_> {
        Entries { fleet: self, origin: 0, open: None, number: 0, first: BTreeMap::new() }
    }

    /// The same by their numbers.
    pub(crate) fn cursor(&self) -> Cursor<'_> {
        Cursor { fleet: self, entries: self.entries() }
    }

    /// How many there are, and what they say, in ranges of so many. From then on one is known that has the name of another
    /// before it.
    pub(crate) fn count(&mut self, each: u64, limits: &Limits) -> Reading {
        let (mut reading, mut names, mut twice) = (Reading::new(each), BTreeSet::new(), BTreeSet::new());
        for entry in self.entries() {
            reading.add(&entry);
            let key = key(&entry.id);
            if !names.insert(key) {
                twice.insert(key);
            }
        }
        (self.twice, self.limits) = (twice, limits.clone());
        reading.end()
    }
}

/// What was read of a fleet, a digest a range: whoever reads it again sees whether it still says the same.
#[derive(Clone, Debug)]
pub(crate) struct Reading {
    each: u64,
    count: u64,
    digest: Sha256,
    ranges: Vec<[u8; 32]>,
}

impl Reading {
    pub(crate) fn new(each: u64) -> Self {
        Self { each, count: 0, digest: Sha256::new(), ranges: vec![] }
    }

    pub(crate) fn add(&mut self, entry: &Entry) {
        self.digest.update(sum_of([entry.id.as_bytes(), &entry.raw.sum()]));
        self.count += 1;
        if self.count.is_multiple_of(self.each) {
            self.ranges.push(self.digest.finalize_reset().into());
        }
    }

    /// With the last range, which may be shorter.
    pub(crate) fn end(mut self) -> Self {
        if !self.count.is_multiple_of(self.each) {
            self.ranges.push(self.digest.finalize_reset().into());
        }
        self
    }

    pub(crate) const fn count(&self) -> u64 {
        self.count
    }

    pub(crate) fn ranges(&self) -> &[[u8; 32]] {
        &self.ranges
    }

    /// Of all of them.
    pub(crate) fn whole(&self) -> [u8; 32] {
        Sha256::digest(self.ranges.as_flattened()).into()
    }
}

/// Rows of a table that is open.
enum Rows {
    Csv(Box<Lines>),
    Parquet(parquet::Lines),
}

struct Open {
    head: Arc<Head>,
    rows: Rows,
}

/// A name's digest.
type Key = [u8; 16];

fn key(id: &str) -> Key {
    let whole: [u8; 32] = Sha256::digest(id).into();
    let mut key = [0; 16];
    key.copy_from_slice(&whole[..16]);
    key
}

/// The entries of a fleet by their numbers, read on from where it stands.
pub(crate) struct Cursor<'a> {
    fleet: &'a Fleet,
    entries: Entries<'a>,
}

impl<'a> Cursor<'a> {
    /// Those whose numbers are in the range; one that lies behind is read again from the first.
    pub(crate) fn range(&mut self, range: Range<u64>) -> impl Iterator<Item = Entry> + Send + use<'_, 'a> {
        if self.entries.number > range.start {
            self.entries = self.fleet.entries();
        }
        let left = range.end.saturating_sub(range.start);
        let entries = self.entries.by_ref().skip_while(move |entry| entry.number < range.start);
        entries.take(usize::try_from(left).unwrap_or(usize::MAX))
    }
}

/// The entries of a fleet in order; only what is read is held.
pub(crate) struct Entries<'a> {
    fleet: &'a Fleet,
    origin: usize,
    open: Option<Open>,
    number: u64,
    /// Where those stand that can be used, of names that come more than once.
    first: BTreeMap<Key, (usize, u64)>,
}

fn place(shown: &str, row: u64) -> String {
    if row == 0 { shown.to_owned() } else { format!("{shown}: row {row}") }
}

impl Entries<'_> {
    fn shown(&self, origin: usize) -> String {
        match &self.fleet.origins[origin] {
            Origin::File(path) => path.display().to_string(),
            Origin::Kept(id, _) => format!("{} {id} of the book", self.fleet.subject.word()),
        }
    }

    /// Of the file that is open.
    fn sum_of_origin(&self) -> Sum {
        match &self.fleet.origins[self.origin] {
            Origin::File(path) => sum_of_file(path),
            Origin::Kept(_, source) => sum_of([source.text.as_bytes()]),
        }
    }

    /// Where the name stands already, with something that can be used. Only names that come more than once are looked at, as
    /// whether one can be used is known once it is read whole.
    fn again(&mut self, entry: &Entry, at: (usize, u64)) -> Option<(usize, u64)> {
        let (Fleet { subject, twice, limits, .. }, key) = (self.fleet, key(&entry.id));
        if !twice.contains(&key) {
            return None;
        }
        let first = self.first.get(&key).copied();
        let is_good = || match subject {
            Subject::Lift => read::lift(entry).is_ok(),
            Subject::Vehicle => read::vehicles(entry, limits).is_ok(),
        };
        if first.is_none() && is_good() {
            self.first.insert(key, at);
        }
        first
    }

    /// An entry at that row of an origin, 0 = it is the whole origin.
    fn entry(&mut self, origin: usize, row: u64, id: String, raw: Raw, with: With) -> Entry {
        let shown = self.shown(origin);
        let lost = Lost::new(with, &shown, row);
        let mut entry = Entry { number: self.number, place: place(&shown, row), id, raw, lost };
        self.number += 1;
        let wrong = if matches!(entry.raw, Raw::Broken(..)) {
            None
        } else if entry.id.is_empty() {
            Some(wrong("it has no name", "write one into the first column"))
        } else {
            self.again(&entry, (origin, row)).map(|(first, at)| {
                let first = place(&self.shown(first), at);
                let (kind, id) = (self.fleet.subject.word(), plain(&entry.id));
                let what = format!("{kind} {id} stands in {first} already");
                wrong(&what, "give each its own name, or leave one of the two out")
            })
        };
        if let Some(wrong) = wrong {
            entry.raw = Raw::Broken(wrong, entry.raw.sum());
        }
        entry
    }

    /// The next row of the open table.
    fn row(&mut self) -> Option<Entry> {
        let open = self.open.as_mut()?;
        let line = match &mut open.rows {
            Rows::Csv(lines) => lines.next(),
            Rows::Parquet(lines) => lines.next(),
        };
        let Some(Line { row, cells, with }) = line else {
            self.open = None;
            self.origin += 1;
            return None;
        };
        let head = Arc::clone(&open.head);
        let (id, raw) = match cells {
            Ok(cells) => (head.id(&cells).unwrap_or_default(), Raw::Cells(head, cells)),
            Err(Unread { why, stands }) => {
                let sum = match stands {
                    Some(stands) => sum_of([stands.as_slice()]),
                    None => self.sum_of_origin(),
                };
                (String::new(), Raw::Broken(why, sum))
            }
        };
        Some(self.entry(self.origin, row, id, raw, with))
    }

    /// Opens a table; what is wrong with it is its only entry.
    fn open(&self, path: &Path) -> Result<Open, String> {
        let subject = self.fleet.subject;
        let (names, rows) = if ending(path) == "parquet" {
            parquet_file(path).map(|(names, lines)| (names, Rows::Parquet(lines)))?
        } else {
            csv_file(path).map(|(names, lines)| (names, Rows::Csv(Box::new(lines))))?
        };
        Ok(Open { head: Head::of(subject, &names, path)?, rows })
    }
}

impl Iterator for Entries<'_> {
    type Item = Entry;

    fn next(&mut self) -> Option<Entry> {
        loop {
            if self.open.is_some() {
                match self.row() {
                    Some(entry) => return Some(entry),
                    None => continue,
                }
            }
            let at = self.origin;
            let (id, raw, with) = match self.fleet.origins.get(at)? {
                Origin::Kept(id, source) => (id.clone(), Raw::Text(source.clone()), With::Nothing),
                Origin::File(path) if TABLES.contains(&ending(path).as_str()) => match self.open(path) {
                    Ok(open) => {
                        self.open = Some(open);
                        continue;
                    }
                    Err(why) => (String::new(), Raw::Broken(why, sum_of_file(path)), With::Rest),
                },
                Origin::File(path) => {
                    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
                    let raw = match Source::read(path) {
                        Ok(source) => Raw::Text(Box::new(source)),
                        Err(fault) => Raw::Broken(render_unreadable(&fault), sum_of_file(path)),
                    };
                    (stem, raw, With::Nothing)
                }
            };
            self.origin += 1;
            return Some(self.entry(at, 0, id, raw, with));
        }
    }
}
