//! Rows of a damaged file, from the leaves of its tables themselves: whatever page of a tree is lost, the others hold their
//! rows. By the open description "Database File Format", sections 1.6 and 2. What a row is of, its shape says.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::Path;

use super::log::number;
use super::pages::{Pages, Version};
use crate::digest::Digest;
use crate::event::StoredEvent;

const LEAF: u8 = 0x0d;
/// On the first page the leaf begins behind the head of the file.
const HEAD: usize = 100;

/// A value of a row.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Value {
    Nothing,
    Number(i64),
    Text(String),
    /// Lost with a page that went on, or of a kind that no table of a book has.
    Other,
}

use Value::{Nothing, Number, Text};

/// A PIN as kept: person, hash, failures, locks, until when it is locked.
pub(crate) type Pin = (String, String, [i64; 3]);

/// Where a row stands: page as it is or was, and place on it.
pub(crate) type At = (Version, usize);

/// Every row that is as it was written.
pub(crate) struct Leaves {
    pages: Pages,
    /// Events, by number.
    pub(crate) events: BTreeMap<u64, At>,
    /// Documents, by digest.
    pub(crate) documents: BTreeMap<Digest, At>,
    /// Documents of which only the name can be read.
    pub(crate) unreadable: BTreeSet<Digest>,
    /// PINs, one a person.
    pub(crate) pins: BTreeMap<String, Pin>,
    /// The last event, as far as the book says.
    pub(crate) said: u64,
    /// The same of what SQLite reads.
    seen: u64,
    /// The last event of which anything tells to which SQLite does not come.
    behind: u64,
}

impl Leaves {
    pub(crate) fn of(path: &Path) -> io::Result<Self> {
        let pages = Pages::of(path)?;
        let mut all = Self {
            pages,
            events: BTreeMap::new(),
            documents: BTreeMap::new(),
            unreadable: BTreeSet::new(),
            pins: BTreeMap::new(),
            said: 0,
            seen: 0,
            behind: 0,
        };
        for version in all.pages.versions() {
            let bytes = all.pages.read(version)?;
            for (place, at) in cells(&bytes, version.page).into_iter().enumerate() {
                if let Some((row, values)) = all.row(&bytes, at)? {
                    all.keep((version, place), row, values);
                }
            }
        }
        Ok(all)
    }

    /// By its shape. A copy that a split of a page left behind says the same; of what is replaced in time only the newest counts.
    fn keep(&mut self, at: At, row: u64, values: Vec<Value>) {
        if let Some(event) = event(row, &values) {
            if event.is_intact() {
                // Two are written of one number where a program was killed before the other saw it.
                if at.0.is_behind {
                    self.behind = self.behind.max(row);
                    self.events.entry(row).or_insert(at);
                } else {
                    self.events.insert(row, at);
                }
            }
            return;
        }
        match <[Value; 2]>::try_from(values) {
            Ok([Text(name), content]) => {
                let Ok(digest) = name.parse::<Digest>() else { return };
                match content {
                    Text(content) if Digest::of(&content) == digest => {
                        self.documents.insert(digest, at);
                    }
                    Text(_) | Value::Other => {
                        self.unreadable.insert(digest);
                    }
                    Nothing | Number(_) => {}
                }
            }
            Ok(_) => {}
            Err(values) => match values.as_slice() {
                [Nothing, Number(seq), Text(hash)] if row == 1 && hash.parse::<Digest>().is_ok() => {
                    let seq = u64::try_from(*seq).unwrap_or_default();
                    if at.0.is_behind {
                        self.behind = self.behind.max(seq);
                    }
                    if self.pages.is_seen(at.0) {
                        self.seen = self.seen.max(seq);
                    }
                    if self.pages.is_newest(at.0) {
                        self.said = self.said.max(seq);
                    }
                }
                [Text(person), Text(hash), Number(failures), Number(locks), Number(until)]
                    if self.pages.is_newest(at.0) =>
                {
                    let pin = (person.clone(), hash.clone(), [*failures, *locks, *until]);
                    self.pins.insert(person.clone(), pin);
                }
                _ => {}
            },
        }
    }

    /// An event that was found.
    pub(crate) fn event(&mut self, at: At) -> io::Result<Option<StoredEvent>> {
        Ok(self.at(at)?.and_then(|(row, values)| event(row, &values)))
    }

    /// The content of a document that was found.
    pub(crate) fn content(&mut self, at: At) -> io::Result<Option<String>> {
        Ok(self.at(at)?.and_then(|(_, values)| match values.into_iter().nth(1) {
            Some(Text(content)) => Some(content),
            _ => None,
        }))
    }

    /// Whether something that was committed is lost of the log: it has no head, or SQLite would end the book sooner than what
    /// stands behind in it tells.
    pub(crate) const fn lack_log(&self) -> bool {
        self.pages.lost_head() || self.behind > self.seen
    }

    fn at(&mut self, (version, place): At) -> io::Result<Option<(u64, Vec<Value>)>> {
        let bytes = self.pages.read(version)?;
        match cells(&bytes, version.page).get(place) {
            Some(at) => self.row(&bytes, *at),
            None => Ok(None),
        }
    }

    /// The row of a cell: its number, and its values.
    fn row(&mut self, page: &[u8], at: usize) -> io::Result<Option<(u64, Vec<Value>)>> {
        let mut cell = page.get(at..).unwrap_or_default();
        let (Some(length), Some(row)) = (varint(&mut cell), varint(&mut cell)) else { return Ok(None) };
        let Some(length) =
            usize::try_from(length).ok().filter(|l| *l / self.pages.size <= self.pages.count as usize)
        else {
            return Ok(None);
        };
        let here = on_the_leaf(length, self.pages.size);
        let Some(mut payload) = cell.get(..here).map(<[u8]>::to_vec) else { return Ok(None) };
        let mut next = if here < length { number(cell, here).unwrap_or_default() } else { 0 };
        while payload.len() < length && (1..=self.pages.count).contains(&next) {
            let more = self.pages.page(next)?;
            next = number(&more, 0).unwrap_or_default();
            let rest = (length - payload.len()).min(self.pages.size - 4);
            payload.extend_from_slice(&more[4..4 + rest]);
        }
        Ok(values(&payload).map(|values| (row, values)))
    }
}

/// Where the cells of a leaf begin; of any other page none.
fn cells(page: &[u8], page_number: u32) -> Vec<usize> {
    let head = if page_number == 1 { HEAD } else { 0 };
    let short = |at: usize| Some(usize::from(u16::from_be_bytes([*page.get(at)?, *page.get(at + 1)?])));
    match (page.get(head), short(head + 3)) {
        (Some(&LEAF), Some(count)) => (0..count).filter_map(|k| short(head + 8 + 2 * k)).collect(),
        _ => vec![],
    }
}

/// How much of a row stands on its leaf; the rest on pages of its own.
fn on_the_leaf(length: usize, page: usize) -> usize {
    let most = page - 35;
    if length <= most {
        return length;
    }
    let least = (page - 12) * 32 / 255 - 23;
    let fitting = least + (length - least) % (page - 4);
    if fitting <= most { fitting } else { least }
}

/// Seven bits a byte, the ninth byte whole.
fn varint(bytes: &mut &[u8]) -> Option<u64> {
    let mut value = 0;
    for k in 0..9 {
        let (byte, rest) = bytes.split_first()?;
        *bytes = rest;
        if k == 8 {
            return Some(value << 8 | u64::from(*byte));
        }
        value = value << 7 | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return Some(value);
        }
    }
    None
}

/// The values of a record: the length of its head, the kinds, then the values.
fn values(payload: &[u8]) -> Option<Vec<Value>> {
    let mut kinds = payload;
    let head = usize::try_from(varint(&mut kinds)?).ok()?;
    let mut body = payload.get(head..)?;
    let mut kinds = payload.get(payload.len() - kinds.len()..head)?;
    let mut all = vec![];
    while !kinds.is_empty() {
        let kind = varint(&mut kinds)?;
        let length = match kind {
            0 | 8 | 9 => 0,
            1..=4 => kind,
            5 => 6,
            6 | 7 => 8,
            _ => kind.saturating_sub(12) / 2,
        };
        let length = usize::try_from(length).ok()?;
        let Some((bytes, rest)) = body.split_at_checked(length) else {
            body = &[];
            all.push(Value::Other);
            continue;
        };
        body = rest;
        all.push(match kind {
            0 => Nothing,
            8 => Number(0),
            9 => Number(1),
            1..=6 => Number(signed(bytes)),
            _ if kind >= 13 && kind % 2 == 1 => {
                std::str::from_utf8(bytes).map_or(Value::Other, |text| Text(text.to_owned()))
            }
            _ => Value::Other,
        });
    }
    Some(all)
}

/// Big endian, in as many bytes as there are.
fn signed(bytes: &[u8]) -> i64 {
    let negative = bytes.first().is_some_and(|b| b & 0x80 != 0);
    bytes.iter().fold(if negative { -1 } else { 0 }, |value, byte| value << 8 | i64::from(*byte))
}

/// The columns of an event; its number is that of the row.
fn event(seq: u64, values: &[Value]) -> Option<StoredEvent> {
    let [
        Nothing,
        Number(at),
        Text(zone),
        Text(by),
        Text(with),
        Text(fact),
        Text(before),
        Text(hash),
        Text(_),
    ] = values
    else {
        return None;
    };
    let text = Clone::clone;
    let [zone, by, with, fact, before, hash] = [zone, by, with, fact, before, hash].map(text);
    Some(StoredEvent { seq, at: *at, zone, by, with, fact, before, hash })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values as the description has them in its sections 1.6 and 2.1.
    #[test]
    fn numbers_and_records_are_read() {
        for (bytes, value) in [
            (&[0x07][..], 7),
            (&[0x81, 0x00], 128),
            (&[0xff; 9], u64::MAX),
            (&[0x82, 0x80, 0x01], 2 << 14 | 1),
        ] {
            let mut rest = bytes;
            assert_eq!((varint(&mut rest), rest), (Some(value), &[][..]));
        }
        assert_eq!(varint(&mut &[0x81][..]), None);
        assert_eq!([signed(&[0xff]), signed(&[0x01, 0x00]), signed(&[0x80, 0, 0])], [-1, 256, -8_388_608]);
        // Nothing, 1, -2, “ab”; the last text goes on where nothing is left.
        let record = [6, 0, 9, 1, 17, 19, 0xfe, b'a', b'b', b'c'];
        let all = [Nothing, Number(1), Number(-2), Text("ab".into()), Value::Other];
        assert_eq!(values(&record), Some(all.to_vec()));
        assert_eq!(values(&[9, 1]), None);
    }

    #[test]
    fn a_long_row_goes_on_elsewhere() {
        assert_eq!(on_the_leaf(4061, 4096), 4061);
        assert_eq!(on_the_leaf(4062, 4096), 489);
        assert_eq!(on_the_leaf(489 + 4092, 4096), 489);
        assert_eq!(on_the_leaf(489 + 4092 + 100, 4096), 589);
    }
}
