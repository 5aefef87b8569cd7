//! Backups, what is made of them, and what is left of a damaged book.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use jiff::Timestamp;
use records::{Book, Failure, Held, PersonId};

use super::verify::told;
use crate::cli::{FINE, REFUSED};
use crate::desk::{Done, Ended, PIN, Place, ask_pin, on_the_desk};
use crate::told::plain;
use crate::write::{self, Growing, Readers};

/// A new file, in which nobody else may read: written whole or not at all.
fn fresh(place: &Place, path: &Path) -> Result<Growing, Ended> {
    if place.is_file() && is_beside(&place.path(), path) {
        return Err(Ended::bad(
            &format!("{}: this is one of the files of the book, and is not overwritten", path.display()),
            "give another name",
        ));
    }
    #[cfg(unix)]
    crate::signals::tidy_up_first().map_err(|fault| failed(path, &fault))?;
    Growing::begin_new(path, Readers::Owner).map_err(|fault| failed(path, &fault))
}

/// Whether it is the book's file, or has a name that the database gives to what it keeps beside that.
fn is_beside(book: &Path, path: &Path) -> bool {
    let (book, path) = (write::written_at(book), write::written_at(path));
    ["", "-wal", "-shm", "-journal"].iter().any(|end| {
        let mut part = book.as_os_str().to_owned();
        part.push(end);
        path.as_os_str() == part
    })
}

fn failed(path: &Path, fault: &std::io::Error) -> Ended {
    let shown = path.display();
    if fault.kind() == std::io::ErrorKind::AlreadyExists {
        let words = format!("{shown}: there is a file already, and it is not overwritten");
        return Ended::bad(&words, "give another name");
    }
    Ended::bad(&format!("{shown}: {fault}"), "check the folder, its room, and who may use it")
}

pub(super) async fn backup(place: &Place, path: &Path) -> Done {
    let book = place.open().await?;
    let mut fresh = fresh(place, path)?;
    let head = book.backup(&mut fresh).await?;
    fresh.finish().map_err(|fault| failed(path, &fault))?;
    let shown = path.display();
    let text = format!(
        "{shown}: {} events. Note this end of the book, apart from it: it proves the book later.\n  {}\n",
        head.seq,
        told(head)
    );
    Ok(write::out(&text, FINE))
}

/// Where a backup is read from, unless it shows at once that it is something else.
fn lines_of(path: &Path) -> Result<BufReader<File>, Ended> {
    let file = File::open(path).map_err(|fault| failed(path, &fault))?;
    let is = |what: &str, help: &str| Ended::bad(&format!("{}: this is {what}", path.display()), help);
    if file.metadata().is_ok_and(|data| data.is_dir()) {
        return Err(is("a folder, and no backup of a book", WRITTEN));
    }
    let mut lines = BufReader::new(file);
    let begins = lines.fill_buf().map_err(|fault| failed(path, &fault))?;
    if begins.starts_with(b"SQLite format 3\0") {
        let help = "open it with --book, or copy it with `standfast book backup`";
        return Err(is("the file of a database, as a book itself is, and no backup of one", help));
    }
    // RFC 1952, section 2.3.1.
    if begins.starts_with(&[0x1f, 0x8b]) {
        return Err(is("packed (gzip)", "unpack it, and name the file that comes of it"));
    }
    Ok(lines)
}

const WRITTEN: &str = "name a file that `standfast book backup` or `salvage` wrote";

/// With the name of the file, where it is the file that is wrong.
fn of_file(path: &Path, failure: Failure) -> Ended {
    match failure {
        Failure::NotABackup(why) => Ended::bad(
            &format!("{}: this is no whole backup of a book: {}", path.display(), plain(&why)),
            WRITTEN,
        ),
        other => other.into(),
    }
}

pub(super) async fn restore(place: &Place, path: &Path) -> Done {
    let mut lines = lines_of(path)?;
    let restored = Book::restore(&place.text(), &mut lines).await.map_err(|why| of_file(path, why))?;
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

const LOG_LOST: &str = "LOST: not all of the log beside it can be read: what was confirmed last may be missing, and nothing tells of it.\n";

fn lost_pins(people: &[PersonId]) -> String {
    if people.is_empty() {
        return String::new();
    }
    let people: Vec<&str> = people.iter().map(PersonId::as_str).collect();
    format!("LOST: the PINs of: {}. A lead gives new ones with `enter pin`.\n", people.join(", "))
}

/// A book of what was whole.
pub(super) async fn restore_salvaged(place: &Place, path: &Path, lead: &PersonId) -> Done {
    let mut lines = lines_of(path)?;
    let pin = ask_pin(&format!("PIN of {lead}, a new one if theirs was lost: "), PIN)?;
    let made = Book::restore_salvaged(&place.text(), Timestamp::now(), &mut lines, lead, &pin).await;
    let restored = made.map_err(|why| of_file(path, why))?;
    let (said, held, apart) = (restored.said, restored.held, restored.apart());
    let found = restored.verification;
    on_the_desk(restored.book);
    let mut missing: String = found.faults.iter().map(|f| format!("LOST: {f}.\n")).collect();
    if said != held {
        let counts = |held: Held| {
            format!(
                "{} events and {} documents, no event missing up to {}",
                held.events,
                held.documents,
                told(held.intact)
            )
        };
        missing += &format!(
            "LOST: {} was cut or altered: it says that it holds {}; it holds {}.\n",
            path.display(),
            counts(said),
            counts(held)
        );
    }
    let (intact, end) = (held.intact.seq, said.end);
    if apart > 0 || end > intact {
        let until = if end > intact { format!(", up to event {end}") } else { String::new() };
        let kept = match apart {
            0 => String::new(),
            _ => format!("; {apart} later events are kept apart, as a document"),
        };
        missing += &format!("LOST: what stood after event {intact}{until}{kept}.\n");
    }
    if said.log_lost {
        missing += LOG_LOST;
    }
    missing += &lost_pins(&restored.pins_lost);
    if restored.lead_unproved {
        missing += &format!(
            "LOST: the PIN of {lead}. The new one was given to whoever typed it: nobody proved to be {lead}.\n"
        );
    }
    let text = format!(
        "{missing}{}: {} events, the last of which say that it was salvaged, and that every lift is out of service until somebody has looked. It ends with {}.\n",
        place.shown(),
        found.events,
        told(found.head)
    );
    Ok(write::out(&text, if missing.is_empty() { FINE } else { REFUSED }))
}

pub(super) async fn salvage(place: &Place, path: &Path) -> Done {
    let mut fresh = fresh(place, path)?;
    let found = records::salvage(&place.text(), &mut fresh).await?;
    fresh.finish().map_err(|fault| failed(path, &fault))?;
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
    let log = if found.log_lost { LOG_LOST } else { "" };
    let pins = lost_pins(&found.pins_lost);
    let whole = lost.is_empty() && others.is_empty() && pins.is_empty() && !found.log_lost;
    let intact = match (whole, found.intact.seq.0) {
        (true, _) => format!("nothing is missing up to {}", told(found.intact)),
        (false, 0) => "its beginning is lost".to_owned(),
        (false, _) => format!("no event is missing up to {}", told(found.intact)),
    };
    let (events, documents) = (found.events, found.documents);
    let text = format!(
        "{lost}{others}{pins}{log}{}: {events} events and {documents} documents; {intact}.\n",
        path.display()
    );
    Ok(write::out(&text, if whole { FINE } else { REFUSED }))
}
