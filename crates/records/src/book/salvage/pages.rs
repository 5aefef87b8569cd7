//! The pages of a file of SQLite, without SQLite: it reads nothing of a table whose first page is damaged. By the open
//! description "Database File Format", sections 1.3 and 4.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use crate::store::beside;

/// Every file begins with it.
const MARK: &[u8; 16] = b"SQLite format 3\0";
/// The size of a page that SQLite chooses.
const USUAL_SIZE: usize = 4096;
const LOG_HEAD: usize = 32;
const FRAME_HEAD: usize = 24;

pub(super) fn number(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// A file with the log beside it.
pub(super) struct Pages {
    file: File,
    log: Option<File>,
    /// Where in the log the newest of each page stands.
    in_log: BTreeMap<u32, u64>,
    pub(super) size: usize,
    pub(super) count: u32,
}

impl Pages {
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        let mut file = File::open(path)?;
        let size = size_of(&mut file)?;
        let length = file.metadata()?.len();
        let mut log = File::open(beside(path, "-wal")).ok();
        let in_log = log.as_mut().map(|log| committed(log, size)).transpose()?.unwrap_or_default();
        let in_file = u32::try_from(length.div_ceil(size as u64)).unwrap_or(u32::MAX);
        let last = in_log.keys().next_back().copied().unwrap_or_default();
        Ok(Self { file, log, in_log, size, count: in_file.max(last) })
    }

    /// A page, from 1; what is missing of it where the file was cut short is zero.
    pub(super) fn page(&mut self, number: u32) -> io::Result<Vec<u8>> {
        let (from, at) = match (&mut self.log, self.in_log.get(&number)) {
            (Some(log), Some(at)) => (log, *at),
            _ => (&mut self.file, u64::from(number.saturating_sub(1)) * self.size as u64),
        };
        from.seek(SeekFrom::Start(at))?;
        let mut page = Vec::with_capacity(self.size);
        from.take(self.size as u64).read_to_end(&mut page)?;
        page.resize(self.size, 0);
        Ok(page)
    }
}

/// As its first page says, if that can be read.
fn size_of(file: &mut File) -> io::Result<usize> {
    let mut head = vec![];
    file.take(18).read_to_end(&mut head)?;
    let said = match head.get(16..18) {
        Some([0, 1]) => 65536,
        Some([high, low]) => usize::from(u16::from_be_bytes([*high, *low])),
        _ => 0,
    };
    let is_size = head.starts_with(MARK) && said.is_power_of_two() && said >= 512;
    Ok(if is_size { said } else { USUAL_SIZE })
}

/// The sum that the log keeps of everything up to a frame.
fn sum(from: [u32; 2], bytes: &[u8], big: bool) -> [u32; 2] {
    let word = |b: &[u8]| b.try_into().map(if big { u32::from_be_bytes } else { u32::from_le_bytes });
    bytes.chunks_exact(8).fold(from, |[a, b], pair| {
        let (x, y) = (word(&pair[..4]).unwrap_or_default(), word(&pair[4..]).unwrap_or_default());
        let a = a.wrapping_add(x).wrapping_add(b);
        [a, b.wrapping_add(y).wrapping_add(a)]
    })
}

/// What of the log was committed. Each frame is held against the sum written in the one before, so that a damaged one costs
/// itself and the next, and not all that follow.
fn committed(log: &mut File, size: usize) -> io::Result<BTreeMap<u32, u64>> {
    let mut head = vec![];
    log.take(LOG_HEAD as u64).read_to_end(&mut head)?;
    let (mut all, mut pending) = (BTreeMap::new(), BTreeMap::new());
    let Some(salts) = head.get(16..24).map(<[u8]>::to_vec) else { return Ok(all) };
    let big = number(&head, 0).is_some_and(|magic| magic & 1 == 1);
    let written = |bytes: &[u8], at| Some([number(bytes, at)?, number(bytes, at + 4)?]);
    let mut before = written(&head, 24).unwrap_or_default();
    let mut at = LOG_HEAD as u64;
    loop {
        let mut frame = vec![];
        log.take((FRAME_HEAD + size) as u64).read_to_end(&mut frame)?;
        if frame.len() < FRAME_HEAD + size {
            return Ok(all);
        }
        let after = written(&frame, 16).unwrap_or_default();
        let intact =
            frame[8..16] == salts && sum(sum(before, &frame[..8], big), &frame[FRAME_HEAD..], big) == after;
        if let (true, Some(page), Some(pages)) = (intact, number(&frame, 0), number(&frame, 4)) {
            pending.insert(page, at + FRAME_HEAD as u64);
            // Only the last of a transaction says how many pages there are.
            if pages > 0 {
                all.append(&mut pending);
            }
        }
        before = after;
        at += (FRAME_HEAD + size) as u64;
    }
}
