//! The copy of a damaged file that is read in its place.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::digest::Digest;
use crate::failure::Failure;
use crate::store::{Store, beside};

/// SQLite, "Database File Format": every file begins with it.
const MARK: &[u8; 16] = b"SQLite format 3\0";
/// The size of a page in every book: the one that SQLite chooses.
const PAGE: u64 = 4096;

fn on_file(path: &Path) -> impl Fn(io::Error) -> Failure {
    move |error| Failure::Store(format!("{}: {error}", path.display()))
}

/// A new folder for the copy, in the folder for temporary files. Nobody else may look into it.
pub(super) fn folder_for(path: &Path) -> Result<PathBuf, Failure> {
    let name = Digest::of(&format!("{} {}", path.display(), std::process::id())).to_string();
    let folder = std::env::temp_dir().join(format!("standfast-salvage-{}", &name[..16]));
    let mut builder = fs::DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(&folder).map_err(on_file(&folder))?;
    Ok(folder)
}

/// The file and its write-ahead log, to be written to whatever the mode of the file.
pub(super) fn of(path: &Path, folder: &Path) -> Result<PathBuf, Failure> {
    let to = folder.join("book");
    let copy = |from: &Path, to: &Path| {
        let mut file = File::create(to).map_err(on_file(to))?;
        io::copy(&mut File::open(from).map_err(on_file(from))?, &mut file).map_err(on_file(from))
    };
    copy(path, &to)?;
    let log = beside(path, "-wal");
    if log.is_file() {
        copy(&log, &beside(&to, "-wal"))?;
    }
    fill_up(&to).map_err(on_file(&to))?;
    Ok(to)
}

/// A file cut short is filled up to the length that its head says: what is missing reads as damaged pages then, and not as
/// a damaged file. A head that says what no disk holds is not followed.
fn fill_up(path: &Path) -> io::Result<()> {
    let mut file = OpenOptions::new().read(true).write(true).open(path)?;
    let mut head = [0; 32];
    if file.read_exact(&mut head).is_err() || !head.starts_with(MARK) {
        return Ok(());
    }
    // Page size at byte 16, pages at byte 28, big endian.
    let page = u64::from(u16::from_be_bytes([head[16], head[17]]));
    let pages = u64::from(u32::from_be_bytes([head[28], head[29], head[30], head[31]]));
    if page == PAGE && file.metadata()?.len() < page * pages {
        let _ = file.set_len(page * pages);
    }
    Ok(())
}

/// Whether its tables can be found.
pub(super) async fn opens(copy: &Path) -> bool {
    let Ok(store) = Store::connect(&copy.display().to_string(), false).await else { return false };
    let version = store.version().await;
    store.close().await;
    !matches!(version, Ok(0) | Err(Failure::Damaged(_) | Failure::Store(_)))
}

/// The first page says where the tables are. A new book's tables are at the same places: they are made in the same order.
pub(super) async fn make_head_anew(copy: &Path, folder: &Path) -> Result<(), Failure> {
    let new = folder.join("new");
    let store = Store::connect(&new.display().to_string(), true).await?;
    store.bring_forward().await?;
    store.close().await;
    let mut page = vec![0; 4096];
    File::open(&new).and_then(|mut file| file.read_exact(&mut page)).map_err(on_file(&new))?;
    let mut put = || {
        let mut file = OpenOptions::new().write(true).open(copy)?;
        let pages = file.metadata()?.len().div_ceil(PAGE).max(1);
        page[28..32].copy_from_slice(&u32::try_from(pages).unwrap_or(u32::MAX).to_be_bytes());
        file.set_len(pages * PAGE)?;
        file.seek(SeekFrom::Start(0))?;
        file.write_all(&page)
    };
    put().map_err(on_file(copy))
}
