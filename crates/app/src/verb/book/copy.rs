//! Backups, what is made of them, and what is left of a damaged book.

use std::fs::{File, OpenOptions};
use std::io::{BufReader, BufWriter};
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use records::{Book, Failure, PersonId};

use super::verify::told;
use crate::cli::{FINE, REFUSED};
use crate::desk::{Done, Ended, PIN, Place, ask_pin, on_the_desk};
use crate::write;

/// A file that is written whole or not at all: it gets its name at the end. Nobody else may read it.
struct Fresh {
    file: BufWriter<File>,
    part: PathBuf,
    path: PathBuf,
}

impl Fresh {
    fn new(path: &Path) -> Result<Self, Ended> {
        if path.symlink_metadata().is_ok() {
            return Err(Ended::bad(
                &format!("{}: there is a file already, and it is not overwritten", path.display()),
                "give another name",
            ));
        }
        let mut part = path.as_os_str().to_owned();
        part.push(".part");
        let part = PathBuf::from(part);
        let mut options = OpenOptions::new();
        options.write(true).create(true).truncate(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let file = options.open(&part).map_err(|fault| failed(path, &fault))?;
        Ok(Self { file: BufWriter::new(file), part, path: path.to_owned() })
    }

    fn finish(self) -> Result<(), Ended> {
        let Self { file, part, path } = self;
        let written = file.into_inner().map_err(std::io::IntoInnerError::into_error);
        written
            .and_then(|f| f.sync_all())
            .and_then(|()| std::fs::rename(&part, &path))
            .map_err(|fault| failed(&path, &fault))
    }

    fn give_up(self, failure: Failure) -> Ended {
        let _ = std::fs::remove_file(&self.part);
        failure.into()
    }
}

fn failed(path: &Path, fault: &std::io::Error) -> Ended {
    Ended::bad(&format!("{}: {fault}", path.display()), "check the folder, its room, and who may use it")
}

pub(super) async fn backup(place: &Place, path: &Path) -> Done {
    let book = place.open().await?;
    let mut fresh = Fresh::new(path)?;
    let head = match book.backup(&mut fresh.file).await {
        Ok(head) => head,
        Err(failure) => return Err(fresh.give_up(failure)),
    };
    fresh.finish()?;
    let shown = path.display();
    let text = format!(
        "{shown}: {} events. Note this end of the book, apart from it: it proves the book later.\n  {}\n",
        head.seq,
        told(head)
    );
    Ok(write::out(&text, FINE))
}

pub(super) async fn restore(place: &Place, path: &Path) -> Done {
    let file = File::open(path).map_err(|fault| failed(path, &fault))?;
    let restored = Book::restore(&place.text(), &mut BufReader::new(file)).await?;
    let found = restored.verification;
    on_the_desk(restored.book);
    let text = format!(
        "{}: {} events and {} documents restored and verified; it ends with {}.\n",
        place.shown(),
        found.events,
        found.documents,
        told(found.head)
    );
    Ok(write::out(&text, FINE))
}

/// A book of what was whole.
pub(super) async fn restore_salvaged(place: &Place, path: &Path, lead: &PersonId) -> Done {
    let file = File::open(path).map_err(|fault| failed(path, &fault))?;
    let pin = ask_pin(&format!("PIN of {lead}, a new one if theirs was lost: "), PIN)?;
    let mut lines = BufReader::new(file);
    let restored = Book::restore_salvaged(&place.text(), Timestamp::now(), &mut lines, lead, &pin).await?;
    let found = restored.verification;
    on_the_desk(restored.book);
    let missing: String = found.faults.iter().map(|f| format!("LOST: {f}.\n")).collect();
    let text = format!(
        "{missing}{}: {} events, the last of which say that it was salvaged, and that every lift is out of service until somebody has looked. It ends with {}.\n",
        place.shown(),
        found.events,
        told(found.head)
    );
    Ok(write::out(&text, if missing.is_empty() { FINE } else { REFUSED }))
}

pub(super) async fn salvage(place: &Place, path: &Path) -> Done {
    if !place.is_file() {
        return Err(Ended::bad(
            "only a book that is a file can be salvaged",
            "restore a backup, or see the database's own manual",
        ));
    }
    let mut fresh = Fresh::new(path)?;
    let found = match records::salvage(&place.path(), &mut fresh.file).await {
        Ok(found) => found,
        Err(failure) => return Err(fresh.give_up(failure)),
    };
    fresh.finish()?;
    let lost: String = found
        .lost
        .iter()
        .map(|(from, to)| format!("LOST: events {from} to {to} cannot be read or were altered.\n"))
        .collect();
    let documents = match found.documents_lost {
        0 => String::new(),
        n => format!("LOST: {n} documents.\n"),
    };
    let whole = lost.is_empty() && documents.is_empty();
    let text = format!(
        "{lost}{documents}{}: {} events and {} documents; nothing is missing up to {}.\n",
        path.display(),
        found.events,
        found.documents,
        told(found.intact)
    );
    Ok(write::out(&text, if whole { FINE } else { REFUSED }))
}
