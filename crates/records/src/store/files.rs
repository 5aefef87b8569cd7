//! A book's file and what SQLite keeps beside it: by what they are, and not only by what they are called.

use std::fs::{self, Metadata, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use sqlx::AnyConnection;
use tokio::sync::Mutex;

use super::path::BookPath;
use crate::failure::Failure;

/// A book's file, its log, and what those who have it open share; the last two only while it is open.
const PARTS: [&str; 3] = ["", "-wal", "-shm"];

type Inode = (u64, u64);

/// The files of an open book.
#[derive(Clone, Debug)]
pub(super) struct OpenFiles {
    pub(super) at: BookPath,
    are: [Option<Inode>; 3],
    /// Does nothing: while it is open, SQLite makes no other log.
    pub(super) anchor: Arc<Mutex<Option<AnyConnection>>>,
}

impl OpenFiles {
    /// Of a path as it is now, wherever this program or its folder goes.
    pub(super) fn of(at: BookPath, anchor: AnyConnection) -> Self {
        Self { are: inodes(&at.path), at, anchor: Arc::new(Mutex::new(Some(anchor))) }
    }

    /// What is written into files that were moved away, or whose place others took, is not in the book that others open.
    pub(super) fn are_still_there(&self, place: &str) -> Result<(), Failure> {
        if self.are[0] != inode(&self.at.called) || self.are != inodes(&self.at.path) {
            return Err(Failure::Moved(place.to_owned()));
        }
        has_one_name(&self.at.called, place)
    }

    /// Whether another file stands in its place, or somebody writes to one that was opened only to be read.
    pub(super) fn were_replaced(&self) -> bool {
        let [is, log, _] = self.are;
        let is_another = inode(&self.at.called).is_some_and(|stands| Some(stands) != is);
        is_another || (log.is_none() && inode(&beside(&self.at.path, PARTS[1])).is_some())
    }
}

/// Beside each of its names SQLite would keep another log, and lose what stands in the other; a file that is mounted by
/// itself has the name under which it was mounted besides its own.
pub(super) fn has_one_name(path: &Path, place: &str) -> Result<(), Failure> {
    let names = fs::metadata(path).map_or(1, |data| names(&data));
    if names > 1 {
        Err(Failure::SecondName(place.to_owned()))
    } else if is_mounted(path) {
        Err(Failure::Mounted(place.to_owned()))
    } else {
        Ok(())
    }
}

/// Whether the file itself, and not a folder that it is in, was mounted there. Kernels before 5.8 do not say it of a file.
#[cfg(target_os = "linux")]
fn is_mounted(path: &Path) -> bool {
    use rustix::fs::{AtFlags, CWD, StatxAttributes, StatxFlags, statx};
    let told = statx(CWD, path, AtFlags::empty(), StatxFlags::empty()).ok();
    match told.filter(|told| told.stx_attributes_mask.contains(StatxAttributes::MOUNT_ROOT)) {
        Some(told) => told.stx_attributes.contains(StatxAttributes::MOUNT_ROOT),
        None => fs::canonicalize(path)
            .and_then(|path| Ok(is_listed(&fs::read("/proc/self/mountinfo")?, &path)))
            .unwrap_or(false),
    }
}

#[cfg(not(target_os = "linux"))]
const fn is_mounted(_: &Path) -> bool {
    false
}

/// Whether something is mounted at a path, by the system's list. Source: `proc_pid_mountinfo(5)`, the fifth field of a
/// line; a sign that would part fields or lines is written as a backslash and three octal digits.
#[cfg(target_os = "linux")]
fn is_listed(mounts: &[u8], path: &Path) -> bool {
    let path = std::os::unix::ffi::OsStrExt::as_bytes(path.as_os_str());
    let meant = |written: &[u8]| {
        let (mut rest, mut meant) = (written, vec![]);
        while let Some((&first, after)) = rest.split_first() {
            let octal = after
                .get(..3)
                .filter(|_| first == b'\\')
                .and_then(|digits| u8::from_str_radix(std::str::from_utf8(digits).ok()?, 8).ok());
            meant.push(octal.unwrap_or(first));
            rest = if octal.is_some() { &after[3..] } else { after };
        }
        meant
    };
    let mut lines = mounts.split(|byte| *byte == b'\n');
    lines.any(|line| line.split(|byte| *byte == b' ').nth(4).is_some_and(|point| meant(point) == path))
}

/// The file and what SQLite keeps beside it.
pub(super) fn remove(path: &Path) {
    for end in PARTS {
        let _ = fs::remove_file(beside(path, end));
    }
}

fn inodes(path: &Path) -> [Option<Inode>; 3] {
    PARTS.map(|end| inode(&beside(path, end)))
}

/// What it is; only on Unix can a file be moved away while it is open.
#[cfg(unix)]
fn inode(path: &Path) -> Option<Inode> {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(path).ok().map(|data| (data.dev(), data.ino()))
}

#[cfg(not(unix))]
const fn inode(_: &Path) -> Option<Inode> {
    None
}

/// How many names it has; elsewhere than on Unix that is not asked.
#[cfg(unix)]
fn names(data: &Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::nlink(data)
}

#[cfg(not(unix))]
const fn names(_: &Metadata) -> u64 {
    1
}

/// Asked of the system, and not by opening it: closed again, it would take away what SQLite has locked there.
#[cfg(unix)]
fn may_be_written(path: &Path) -> bool {
    rustix::fs::access(path, rustix::fs::Access::WRITE_OK).is_ok()
}

#[cfg(not(unix))]
fn may_be_written(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|data| !data.permissions().readonly())
}

/// What of it is there and may not be written, as somebody else's that only was to be looked at.
pub(super) fn held_back(path: &Path) -> Option<PathBuf> {
    PARTS.iter().map(|end| beside(path, end)).find(|part| part.exists() && !may_be_written(part))
}

/// Whether it is only read, without leaving beside it what would keep out those who may write: nobody has it open.
pub(super) fn is_only_read(path: &Path) -> bool {
    !may_be_written(path) && is_closed(path) && !beside(path, PARTS[2]).exists()
}

/// Whether what SQLite keeps beside a file has room on its disk. Source: its "WAL-mode File Format", the index of a log grows
/// by 32 KiB; the log has as much.
#[cfg(unix)]
pub(super) fn has_room(path: &Path) -> bool {
    rustix::fs::statvfs(path).is_ok_and(|disk| disk.f_bavail.saturating_mul(disk.f_frsize) >= 64 * 1024)
}

#[cfg(not(unix))]
pub(super) const fn has_room(_: &Path) -> bool {
    true
}

/// A file beside another, named after it.
pub(crate) fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// An empty file that only its owner may read, as it will hold hashes of PINs; SQLite gives what it writes beside it the
/// same mode.
///
/// # Errors
/// If something is there already, or no file can be made.
pub(super) fn make_private(path: &Path, place: &str) -> Result<(), Failure> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let Err(error) = options.open(path) else { return Ok(()) };
    // Links that lead to one another are there too, and lead to no file: of them what follows them tells.
    let error = match fs::metadata(path) {
        Ok(_) => return Err(Failure::BookExists(place.to_owned())),
        Err(followed) if error.kind() == ErrorKind::AlreadyExists => followed,
        Err(_) => error,
    };
    let why = match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            return Err(Failure::DiskFull(error.to_string()));
        }
        ErrorKind::NotFound => "there is no such folder".to_owned(),
        ErrorKind::NotADirectory => "what would be its folder is none".to_owned(),
        ErrorKind::PermissionDenied => "nothing may be made in that folder".to_owned(),
        _ => error.to_string(),
    };
    Err(Failure::NotMade(place.to_owned(), why))
}

/// What is left of a book whose file is no longer there.
pub(super) fn left_beside(path: &Path) -> Option<PathBuf> {
    let ends = PARTS[1..].iter().chain(&["-journal"]);
    ends.map(|end| beside(path, end)).find(|part| fs::symlink_metadata(part).is_ok())
}

/// Nothing of it stands in a log beside it.
pub(super) fn is_closed(path: &Path) -> bool {
    fs::metadata(beside(path, "-wal")).map_or(true, |log| log.len() == 0)
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    #[test]
    fn what_the_system_lists_as_mounted_is_found() {
        let mounts = b"21 1 8:1 / / rw - ext4 /dev/a rw\n\
            36 21 8:1 /shop/a.book /data/b\\040c\\134d.book rw shared:1 - ext4 /dev/a rw\n";
        for (path, is) in [
            ("/data/b c\\d.book", true),
            ("/", true),
            ("/shop/a.book", false),
            ("/data", false),
            ("/data/b", false),
        ] {
            assert_eq!(is_listed(mounts, Path::new(path)), is, "{path}");
        }
        assert!(!is_mounted(Path::new("/proc/self/mountinfo")) && is_mounted(Path::new("/proc")));
    }
}
