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
    let mut fresh = Fresh::new(path)?;
    let found = match records::salvage(&place.text(), &mut fresh.file).await {
        Ok(found) => found,
        Err(failure) => return Err(fresh.give_up(failure)),
    };
    fresh.finish()?;
    let lost: String = found
        .lost
        .iter()
        .map(|(from, to)| match from == to {
            true => format!("LOST: event {from} cannot be read or was altered.\n"),
            false => format!("LOST: events {from} to {to} cannot be read or were altered.\n"),
        })
        .chain(found.documents_lost.iter().map(|(seq, digest)| {
            format!("LOST: document {digest} of event {seq} is missing, was altered or cannot be read.\n")
        }))
        .collect();
    let others = match found.others_lost {
        0 => String::new(),
        n => format!("LOST: {n} documents that no event found names.\n"),
    };
    let log = match found.log_lost {
        true => {
            "LOST: not all of the log beside it can be read: what was confirmed last may be missing, and nothing tells of it.\n"
        }
        false => "",
    };
    let whole = lost.is_empty() && others.is_empty() && !found.log_lost;
    let intact = match (whole, found.intact.seq.0) {
        (true, _) => format!("nothing is missing up to {}", told(found.intact)),
        (false, 0) => "its beginning is lost".to_owned(),
        (false, _) => format!("no event is missing up to {}", told(found.intact)),
    };
    let (events, documents) = (found.events, found.documents);
    let text = format!(
        "{lost}{others}{log}{}: {events} events and {documents} documents; {intact}.\n",
        path.display()
    );
    Ok(write::out(&text, if whole { FINE } else { REFUSED }))
}
