//! The pages of a file of SQLite, without SQLite: it reads nothing of a table whose first page is damaged. By the open
//! description "Database File Format", section 1.3.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::mem::ManuallyDrop;
use std::path::Path;

use super::beside;
use super::log::Log;

/// Every file begins with it.
const MARK: &[u8; 16] = b"SQLite format 3\0";
/// The size of a page that SQLite chooses.
const USUAL_SIZE: usize = 4096;

/// A page as it is, or as it was once.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Version {
    pub(super) page: u32,
    /// `None` = in the file itself.
    in_log: Option<u64>,
    /// SQLite does not come so far.
    pub(super) is_behind: bool,
}

/// A file with the log beside it.
pub(super) struct Pages {
    /// Never closed: that would take away what SQLite has locked of it elsewhere in this program.
    file: ManuallyDrop<File>,
    log: Option<File>,
    frames: Log,
    /// Where in the log the newest of each page stands that is whole.
    newest: BTreeMap<u32, u64>,
    /// The newest that SQLite comes to.
    seen: BTreeMap<u32, u64>,
    pub(super) size: usize,
    in_file: u32,
    pub(super) count: u32,
}

impl Pages {
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        let mut file = ManuallyDrop::new(File::open(path)?);
        let size = size_of(&mut file)?;
        let length = file.metadata()?.len();
        let mut log = File::open(beside(path, "-wal")).ok();
        let frames = log.as_mut().map(|log| Log::of(log, size)).transpose()?.unwrap_or_default();
        let whole = frames.frames.iter().filter(|f| f.is_whole);
        let newest: BTreeMap<u32, u64> = whole.clone().map(|f| (f.page, f.at)).collect();
        let seen = whole.filter(|f| !f.is_behind).map(|f| (f.page, f.at)).collect();
        let in_file = u32::try_from(length.div_ceil(size as u64)).unwrap_or(u32::MAX);
        let last = newest.keys().next_back().copied().unwrap_or_default();
        Ok(Self { file, log, frames, newest, seen, size, in_file, count: in_file.max(last) })
    }

    /// There is a log, and no head of one.
    pub(super) const fn lost_head(&self) -> bool {
        self.frames.lost_head
    }

    /// All that there are, older ones first: what is only ever added stands on several, and not all of them may be damaged.
    pub(super) fn versions(&self) -> Vec<Version> {
        let in_file = (1..=self.in_file).map(|page| Version { page, in_log: None, is_behind: false });
        let frames = self.frames.frames.iter();
        let in_log = frames.map(|f| Version { page: f.page, in_log: Some(f.at), is_behind: f.is_behind });
        in_file.chain(in_log).collect()
    }

    pub(super) fn is_newest(&self, version: Version) -> bool {
        self.newest.get(&version.page).copied() == version.in_log
    }

    /// Whether it is the one that SQLite reads.
    pub(super) fn is_seen(&self, version: Version) -> bool {
        self.seen.get(&version.page).copied() == version.in_log
    }

    /// A page as it is, from 1; what is missing of it where the file was cut short is zero.
    pub(super) fn page(&mut self, page: u32) -> io::Result<Vec<u8>> {
        self.read(Version { page, in_log: self.newest.get(&page).copied(), is_behind: false })
    }

    pub(super) fn read(&mut self, version: Version) -> io::Result<Vec<u8>> {
        let (from, at) = match (&mut self.log, version.in_log) {
            (Some(log), Some(at)) => (log, at),
            _ => (&mut *self.file, u64::from(version.page.saturating_sub(1)) * self.size as u64),
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
