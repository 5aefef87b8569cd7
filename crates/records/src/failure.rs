//! How it can fail to do what was asked.

use std::fmt;

use jiff::ZonedDateTime;

use crate::fault::Fault;
use crate::names::PersonId;
use crate::refusal::Refusal;
use crate::store::shown;

/// Why it was not done. Nothing is half done: either all events of a command are in the book, or none.
#[derive(Debug)]
pub enum Failure {
    /// The shop's rules forbid it, for all these reasons.
    Refused(Vec<Refusal>),
    /// Nobody has proved to be who they say.
    Pin(PinFailure),
    /// There is no book at that place, as it may be shown.
    NoBook(String),
    /// The file there is a backup or a salvage, and no book.
    NotABook(String),
    /// The file there holds no event, or nothing at all.
    Empty(String),
    /// The file there is empty, but the log beside it is not.
    Emptied(String),
    /// No file is there, but this, which belongs to one that was.
    LeftBeside(String),
    /// Its file has more than one name.
    SecondName(String),
    /// Its file was mounted by itself, and so has another name elsewhere.
    Mounted(String),
    /// There is one already.
    BookExists(String),
    /// An address of something that holds no book.
    NoSuchKind(String),
    /// The server does not encrypt, or is not the one that it should be.
    NotEncrypted(String),
    /// The database keeps texts in this encoding, which lacks signs that a book may hold.
    Encoding(String),
    /// No book's file can have that name, and why.
    NoFileName(String, &'static str),
    /// No file can be made at that place, as it may be shown, and why.
    NotMade(String, String),
    /// A file of the book cannot be opened.
    NotOpened(String),
    /// It was written by a newer program.
    NewerBook {
        /// The book's version.
        book: i64,
        /// The newest that this program knows.
        program: i64,
    },
    /// It was written by an older program, and may only be read, so that it is not brought forward.
    OlderBook {
        /// The book's version.
        book: i64,
        /// The version that this program works with.
        program: i64,
    },
    /// Neither the machine nor the program knows the zone.
    UnknownZone(String),
    /// The book is damaged.
    Damaged(Vec<Fault>),
    /// What is to be restored is no whole backup.
    NotABackup(String),
    /// No event of a damaged book can be read.
    NothingLeft,
    /// What is to be restored was salvaged: a book is made of it only knowingly.
    Salvage,
    /// What was salvaged lacks the first event, without which no other can be told to be the book's.
    BeginningLost,
    /// The disk is full, or a limit of the file's size is reached.
    DiskFull(String),
    /// The disk did not say that it has what was written. What was under way may be in the book or not: look before asking again.
    Unflushed(String),
    /// The disk or its file system fails otherwise, which is no damage of the book by itself.
    Disk(String),
    /// Its file was moved, removed or replaced while this program had it open.
    Moved(String),
    /// The book can only be read.
    ReadOnly(String),
    /// The database does not let this user do it.
    NotAllowed(String),
    /// Another program held it for too long.
    Busy(String),
    /// The database is not reached, or breaks off. What was under way may be in the book or not: look before asking again.
    Unreachable(String),
    /// Anything else that the database or the file system says.
    Store(String),
}

/// Why a PIN proves nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PinFailure {
    /// It is not theirs.
    Wrong(PersonId),
    /// They have none, or are not in the book.
    NoPin(PersonId),
    /// Too many wrong ones, until that time in the shop's zone; if they lead a raise, with who else may lead it.
    Locked(PersonId, ZonedDateTime, Vec<PersonId>),
    /// None was given: that is no try.
    Blank(PersonId),
    /// Not 4 to 12 digits, or all the same, or running on.
    TooPlain,
    /// It is the present one: whoever gave that still knows it.
    AsBefore(PersonId),
    /// They have another PIN since.
    SetSince(PersonId),
    /// Proved to another book.
    OtherBook(PersonId),
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines = |f: &mut fmt::Formatter<'_>, all: &[String]| f.write_str(&all.join("\n"));
        match self {
            Self::Refused(all) => lines(f, &all.iter().map(ToString::to_string).collect::<Vec<_>>()),
            Self::Pin(pin) => pin.fmt(f),
            Self::NoBook(place) => write!(f, "There is no book at {place}."),
            Self::NotABook(place) => {
                write!(f, "{place} is a backup or a salvage of a book, and no book itself.")
            }
            Self::Empty(place) => write!(
                f,
                "The file {place} is there, but no event of a book is in it: its making broke off, or what was in it is gone."
            ),
            Self::Emptied(place) => write!(
                f,
                "The file {place} was emptied: what is left of the book is in the log beside it, {place}-wal. Nothing was opened or changed."
            ),
            Self::LeftBeside(part) => write!(
                f,
                "{part} belongs to a book whose file was moved or removed, and may hold what was confirmed last. Nothing was made or changed."
            ),
            Self::SecondName(place) => write!(
                f,
                "The file {place} has a second name (a hard link). SQLite keeps a log beside each, and what is confirmed by one name would be \
                 lost by the other. Nothing was read or written."
            ),
            Self::Mounted(place) => write!(
                f,
                "The file {place} is mounted by itself, and so has a second name elsewhere. SQLite keeps a log beside each, and what is \
                 confirmed by one name would be lost by the other. Nothing was read or written."
            ),
            Self::BookExists(place) => write!(f, "There is a book, or another file, at {place} already."),
            Self::NoSuchKind(place) => {
                write!(
                    f,
                    "{place} is no place of a book: a file, or an address that begins with postgres://."
                )
            }
            Self::NoFileName(place, why) => write!(f, "“{place}” is no name of a book's file: {why}."),
            Self::NotMade(place, why) => write!(f, "No book can be made at {place}: {why}."),
            Self::NotOpened(words) => {
                write!(f, "The book's file, or what belongs beside it, cannot be opened ({words}).")
            }
            Self::NotEncrypted(words) => {
                write!(f, "The server is not reached over an encrypted connection ({words}).")
            }
            Self::Encoding(encoding) => write!(
                f,
                "The database keeps texts as {encoding}, and not every sign of a book is one there: a book needs UTF8."
            ),
            Self::NewerBook { book, program } => {
                write!(
                    f,
                    "The book has version {book}; this program knows versions up to {program}. Use a newer program."
                )
            }
            Self::OlderBook { book, program } => write!(
                f,
                "The book is of an older program (version {book}; this program works with {program}) and may only be read here: \
                 somebody who may write it brings it forward by opening it with this program."
            ),
            Self::UnknownZone(zone) => {
                write!(f, "The time zone “{zone}” is not known here: no day can be told by it.")
            }
            Self::Damaged(faults) => {
                writeln!(f, "The book is damaged:")?;
                lines(f, &faults.iter().map(ToString::to_string).collect::<Vec<_>>())
            }
            Self::NotABackup(why) => write!(f, "This is no whole backup of a book: {why}."),
            Self::NothingLeft => write!(f, "It is no book, or no event of it can be read any more."),
            Self::Salvage => write!(f, "This was salvaged from a damaged book, and may lack events."),
            Self::BeginningLost => {
                write!(
                    f,
                    "The beginning of the book that this was salvaged from is lost: no book can be made of it."
                )
            }
            Self::DiskFull(words) => {
                write!(f, "The disk is full, or takes nothing more; nothing was written ({words}).")
            }
            Self::Unflushed(words) => {
                write!(
                    f,
                    "The disk does not say that it has what was written; it may be in the book or not ({words})."
                )
            }
            Self::Disk(words) => {
                write!(f, "The disk or its file system fails; the book need not be damaged ({words}).")
            }
            Self::Moved(place) => write!(
                f,
                "The book at {place} was moved, removed or replaced while it was open here; nothing was written. Open the book again."
            ),
            Self::ReadOnly(words) => write!(f, "The book can only be read ({words})."),
            Self::NotAllowed(words) => write!(f, "The database does not allow it ({words})."),
            Self::Busy(words) => write!(f, "Another program held the book for too long ({words})."),
            Self::Unreachable(words) => write!(f, "The database is not reached ({words})."),
            Self::Store(words) => write!(f, "The database says: {words}."),
        }
    }
}

impl fmt::Display for PinFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Wrong(person) => write!(f, "That is not the PIN of {person}."),
            Self::NoPin(person) => write!(f, "The book has no PIN of {person}."),
            Self::Locked(person, until, others) => {
                let until = until.strftime("%Y-%m-%d %H:%M:%S");
                write!(f, "Too many wrong PINs of {person}: locked until {until}.")?;
                let others: Vec<&str> = others.iter().map(PersonId::as_str).collect();
                match others.as_slice() {
                    [] => Ok(()),
                    some => write!(
                        f,
                        " Until then the right one stops the raise and brings it down; after three more wrong ones, one a \
                         minute is looked at. These may take it over with `raise take-over`: {}.",
                        some.join(", ")
                    ),
                }
            }
            Self::Blank(person) => write!(f, "No PIN of {person} was given."),
            Self::AsBefore(person) => {
                write!(
                    f,
                    "This is the PIN that {person} has already, and that whoever set it may know. Choose another."
                )
            }
            Self::TooPlain => write!(
                f,
                "A PIN has 4 to 12 digits, not all the same and not running on like 1234 or 4321: those are tried first."
            ),
            Self::SetSince(person) => {
                write!(
                    f,
                    "{person} has another PIN since they gave theirs here; nothing was written. Give the new one."
                )
            }
            Self::OtherBook(person) => write!(f, "{person} gave their PIN to another book."),
        }
    }
}

impl std::error::Error for Failure {}

impl Failure {
    /// There is none at a place.
    pub(crate) fn no_book(place: &str) -> Self {
        Self::NoBook(shown(place))
    }

    /// There is one at a place.
    pub(crate) fn book_exists(place: &str) -> Self {
        Self::BookExists(shown(place))
    }

    /// What a database said, said otherwise.
    pub(crate) fn with_words(self, change: impl Fn(&str) -> String) -> Self {
        match self {
            Self::NotOpened(words) => Self::NotOpened(change(&words)),
            Self::NotEncrypted(words) => Self::NotEncrypted(change(&words)),
            Self::DiskFull(words) => Self::DiskFull(change(&words)),
            Self::Unflushed(words) => Self::Unflushed(change(&words)),
            Self::Disk(words) => Self::Disk(change(&words)),
            Self::ReadOnly(words) => Self::ReadOnly(change(&words)),
            Self::NotAllowed(words) => Self::NotAllowed(change(&words)),
            Self::Busy(words) => Self::Busy(change(&words)),
            Self::Unreachable(words) => Self::Unreachable(change(&words)),
            Self::Store(words) => Self::Store(change(&words)),
            other => other,
        }
    }
}

/// Result codes of SQLite, lowest byte. Source: the SQLite documentation, "Result and Error Codes".
mod sqlite {
    pub(super) const BUSY: u32 = 5;
    pub(super) const READONLY: u32 = 8;
    pub(super) const IOERR: u32 = 10;
    pub(super) const CORRUPT: u32 = 11;
    pub(super) const FULL: u32 = 13;
    pub(super) const CANTOPEN: u32 = 14;
    pub(super) const NOTADB: u32 = 26;
    /// Extended: a write did not succeed, as when a file reaches the size that it may have; nor did the file beside grow that
    /// those who have the book open share.
    pub(super) const NO_ROOM: [u32; 2] = [778, 4874];
    /// Extended: a flush of a file or of its folder did not succeed, after all was written.
    pub(super) const UNFLUSHED: [u32; 2] = [1034, 1290];
    /// Extended: what is on the disk cannot be read, is shorter than it must be, or does not fit its checksum; the file system
    /// is damaged.
    pub(super) const DAMAGE: [u32; 4] = [266, 522, 8202, 8458];
}

impl From<sqlx::Error> for Failure {
    fn from(error: sqlx::Error) -> Self {
        let words = error.to_string();
        let sqlx::Error::Database(database) = &error else {
            return match error {
                // A certificate that is not taken comes as a failed reading.
                sqlx::Error::Io(_) if words.contains("certificate") => Self::NotEncrypted(words),
                sqlx::Error::Io(_)
                | sqlx::Error::PoolTimedOut
                | sqlx::Error::Protocol(_)
                | sqlx::Error::WorkerCrashed => Self::Unreachable(words),
                sqlx::Error::Tls(_) => Self::NotEncrypted(words),
                _ => Self::Store(words),
            };
        };
        let code = database.code().unwrap_or_default().to_string();
        // PostgreSQL, "Error Codes": five characters, the first two are the class.
        if code.len() == 5 {
            // Without the line of the server's own source.
            let words = database.message().to_owned();
            return match &code[..2] {
                "42" if code == "42501" => Self::NotAllowed(words),
                "53" if code == "53100" => Self::DiskFull(words),
                // Too many connections, no memory: it answers nobody now.
                "08" | "53" | "57" => Self::Unreachable(words),
                "25" => Self::ReadOnly(words),
                "55" => Self::Busy(words),
                _ => Self::Store(words),
            };
        }
        of_sqlite(code.parse().unwrap_or_default(), words)
    }
}

/// Of what fails on the disk only what it holds is damage: else whoever has no room is told to restore a backup.
fn of_sqlite(code: u32, words: String) -> Failure {
    match code & 0xff {
        sqlite::FULL => Failure::DiskFull(words),
        sqlite::IOERR if sqlite::NO_ROOM.contains(&code) => Failure::DiskFull(words),
        sqlite::IOERR if sqlite::UNFLUSHED.contains(&code) => Failure::Unflushed(words),
        sqlite::IOERR if !sqlite::DAMAGE.contains(&code) => Failure::Disk(words),
        sqlite::CORRUPT | sqlite::NOTADB | sqlite::IOERR => Failure::Damaged(vec![Fault::Store(words)]),
        sqlite::BUSY => Failure::Busy(words),
        sqlite::READONLY => Failure::ReadOnly(words),
        sqlite::CANTOPEN => Failure::NotOpened(words),
        _ => Failure::Store(words),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Extended codes as the SQLite documentation, "Result and Error Codes", numbers them.
    #[test]
    fn only_what_the_disk_holds_is_damage() {
        let kind = |code| match of_sqlite(code, String::new()) {
            Failure::Damaged(_) => "damage",
            Failure::DiskFull(_) => "no room",
            Failure::Unflushed(_) => "in it or not",
            Failure::Disk(_) => "the disk",
            other => panic!("{code}: {other:?}"),
        };
        for (kinds, codes) in [
            ("damage", &[11, 26, 267, 523, 266, 522, 8202, 8458][..]),
            ("no room", &[13, 778, 4874]),
            ("in it or not", &[1034, 1290]),
            ("the disk", &[10, 1546, 1802, 2570, 3338, 3850, 4618, 5386, 6410, 7178]),
        ] {
            assert_eq!(codes.iter().map(|c| kind(*c)).collect::<Vec<_>>(), vec![kinds; codes.len()]);
        }
        // Only where it is so.
        for code in [13, 778, 1034, 1290, 4874] {
            let told = of_sqlite(code, String::new()).to_string();
            assert_eq!(told.contains("nothing was written"), ![1034, 1290].contains(&code), "{told}");
        }
    }
}
