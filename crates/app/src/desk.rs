//! The book on the desk: which one, who stands before it, and how it ends.

use std::cell::RefCell;
use std::future::Future;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::SystemTime;

use clap::Args;
use jiff::Timestamp;
use records::{
    Book, Command, Digest, Document as Kept, Event, Failure, Hand, PersonId, PinFailure, Signed, decide,
};

use crate::cli::{REFUSED, UNREADABLE};
use crate::told::plain;
use crate::{secret, write};

/// Where the book is if nobody says.
const USUAL_PLACE: &str = "standfast.book";
/// Names of the environment that stand for options, for scripts.
const PLACE: &str = "STANDFAST_BOOK";
pub(crate) const PIN: &str = "STANDFAST_PIN";
pub(crate) const SECOND_PIN: &str = "STANDFAST_SECOND_PIN";
pub(crate) const NEW_PIN: &str = "STANDFAST_NEW_PIN";

/// Which book.
#[derive(Args, Clone, Debug)]
pub(crate) struct Place {
    /// The book: a file, or postgres://user@server/database. Left out = STANDFAST_BOOK, else standfast.book in this folder.
    #[arg(long, value_name = "PLACE")]
    book: Option<String>,
}

/// Who acts. PINs are asked for, or read from STANDFAST_PIN and STANDFAST_SECOND_PIN; they are never arguments.
#[derive(Args, Clone, Debug)]
pub(crate) struct Who {
    /// Who does this, by their name in the book.
    #[arg(long = "as", value_name = "PERSON")]
    by: PersonId,
    /// Who stands beside a learner.
    #[arg(long, value_name = "PERSON")]
    second: Option<PersonId>,
}

/// Somebody before a book.
#[derive(Args, Clone, Debug)]
pub(crate) struct Before {
    #[command(flatten)]
    place: Place,
    #[command(flatten)]
    who: Who,
}

impl Before {
    /// Opens it once the PIN is right.
    pub(crate) async fn open(&self) -> Result<Desk, Ended> {
        self.open_for(false).await
    }

    /// The same where a raise may be stopped, or a lift taken out of service: too many wrong PINs keep nobody from that.
    pub(crate) async fn open_to_stop(&self) -> Result<Desk, Ended> {
        self.open_for(true).await
    }

    async fn open_for(&self, to_stop: bool) -> Result<Desk, Ended> {
        let book = self.place.open().await?;
        let by = sign(&book, &self.who.by, PIN, to_stop).await?;
        let second = match &self.who.second {
            None => None,
            Some(second) => Some(sign(&book, second, SECOND_PIN, to_stop).await?),
        };
        Ok(Desk { book, by, second })
    }
}

impl Place {
    /// The place as it is given to the book.
    pub(crate) fn text(&self) -> String {
        self.named().unwrap_or_else(|| USUAL_PLACE.to_owned())
    }

    pub(crate) fn of(text: &str) -> Self {
        Self { book: Some(text.to_owned()) }
    }

    /// Whether somebody said where it is: then it must be there.
    pub(crate) fn is_named(&self) -> bool {
        self.named().is_some()
    }

    fn named(&self) -> Option<String> {
        let told = || std::env::var_os(PLACE).map(|place| place.to_string_lossy().into_owned());
        self.book.clone().or_else(|| told().filter(|place| !place.is_empty()))
    }

    pub(crate) fn is_file(&self) -> bool {
        !self.text().contains("://")
    }

    /// As it may be shown: the password of a database is not.
    pub(crate) fn shown(&self) -> String {
        records::shown_place(&self.text())
    }

    /// The file that it is.
    pub(crate) fn path(&self) -> PathBuf {
        PathBuf::from(self.text())
    }

    pub(crate) async fn open(&self) -> Result<Arc<Book>, Ended> {
        let book = Book::open(&self.text()).await?;
        caution(&book);
        Ok(on_the_desk(book))
    }
}

/// Said beside what is read of it all the same.
pub(crate) fn caution(book: &Book) {
    if book.is_on_full_disk() {
        write::err(
            "CAUTION: the disk is full, or takes nothing more: the book is read as it is, and nothing can be entered until there is room.\n",
        );
    }
}

/// A book with somebody before it whose PIN was right.
pub(crate) struct Desk {
    pub(crate) book: Arc<Book>,
    pub(crate) by: Signed,
    pub(crate) second: Option<Signed>,
}

impl Desk {
    /// Every reason why it would be refused, before anybody is asked for more.
    pub(crate) async fn would(&self, command: &Command) -> Result<(), Failure> {
        let shop = self.book.shop().await?;
        let hand = Hand {
            by: self.by.person().clone(),
            with: self.second.as_ref().map(|second| second.person().clone()),
        };
        decide(&shop, Timestamp::now(), &hand, command, None).map(drop).map_err(Failure::Refused)
    }

    /// Does it now.
    pub(crate) async fn act(&self, command: &Command) -> Result<Vec<Event>, Failure> {
        match &self.second {
            None => self.book.act(Timestamp::now(), &self.by, command).await,
            Some(second) => self.book.act_with(Timestamp::now(), &self.by, second, command).await,
        }
    }
}

thread_local! {
    static OPENED: RefCell<Vec<Arc<Book>>> = const { RefCell::new(vec![]) };
}

/// Remembers to close it: a file that was closed holds all of the book, and nothing of it is left in a file beside.
pub(crate) fn on_the_desk(book: Book) -> Arc<Book> {
    let book = Arc::new(book);
    OPENED.with_borrow_mut(|all| all.push(Arc::clone(&book)));
    book
}

async fn close_all() {
    for book in OPENED.take() {
        if let Some(book) = Arc::into_inner(book) {
            book.close().await;
        }
    }
}

async fn sign(book: &Book, person: &PersonId, variable: &str, to_stop: bool) -> Result<Signed, Ended> {
    let pin = ask_pin(&format!("PIN of {person}: "), variable)?;
    let now = Timestamp::now();
    Ok(match to_stop {
        true => book.check_pin_to_stop(now, person, &pin).await?,
        false => book.check_pin(now, person, &pin).await?,
    })
}

/// A PIN from the environment, or typed without being shown.
pub(crate) fn ask_pin(prompt: &str, variable: &str) -> Result<String, Ended> {
    if let Ok(pin) = std::env::var(variable) {
        return Ok(pin);
    }
    secret::ask(prompt).map(|pin| pin.trim().to_owned()).map_err(|fault| match fault.kind() {
        std::io::ErrorKind::Interrupted => Ended::bad("no PIN was given", "start it again"),
        _ => Ended::bad(
            &format!("no PIN was given: there is no terminal to ask at, and {variable} is not set"),
            &format!("start it at a terminal, or set {variable} for this one command"),
        ),
    })
}

/// A new PIN, typed twice where it is typed.
pub(crate) fn new_pin(person: &PersonId, variable: &str) -> Result<String, Ended> {
    let first = ask_pin(&format!("New PIN of {person} (4 to 12 digits): "), variable)?;
    if std::env::var_os(variable).is_none() && ask_pin("The same again: ", variable)? != first {
        return Err(Ended::bad("the two PINs differ; nothing was changed", "type the same digits twice"));
    }
    Ok(first)
}

/// A document that the book must hold.
pub(crate) async fn kept(book: &Book, digest: Digest) -> Result<Kept, Ended> {
    book.document(digest).await?.ok_or_else(|| {
        Ended::bad(
            &format!("document {digest} is not in the book"),
            "standfast book verify tells what else is",
        )
    })
}

/// An end before its time.
#[derive(Debug)]
pub(crate) enum Ended {
    Book(Failure),
    /// What is still to be said on standard error, and the exit status.
    Said(String, u8),
}

impl Ended {
    pub(crate) fn bad(what: &str, help: &str) -> Self {
        Self::Said(format!("error: {what}\n  help: {help}\n"), UNREADABLE)
    }

    pub(crate) fn is_refusal(&self) -> bool {
        match self {
            Self::Book(failure) => status(failure) == REFUSED,
            Self::Said(_, code) => *code == REFUSED,
        }
    }

    pub(crate) fn refused(what: &str) -> Self {
        Self::Said(format!("refused: {what}\n"), REFUSED)
    }
}

impl From<Failure> for Ended {
    fn from(failure: Failure) -> Self {
        Self::Book(failure)
    }
}

/// How a verb of the book ends.
pub(crate) type Done = Result<u8, Ended>;

/// What a clock says, if the book can write it down.
pub(crate) fn time_of(clock: SystemTime) -> Result<Timestamp, Ended> {
    Timestamp::try_from(clock).map_err(|_| {
        Ended::bad(
            "the clock of this machine stands beyond the year 9999, or before any that can be written down",
            "set the clock, and ask again",
        )
    })
}

/// Runs it to its end; the exit status.
pub(crate) fn run(work: impl Future<Output = Done>) -> u8 {
    let ended = match tokio::runtime::Builder::new_current_thread().enable_all().build() {
        Ok(runtime) => runtime.block_on(async {
            let ended = match time_of(SystemTime::now()) {
                Ok(_) => work.await,
                Err(ended) => Err(ended),
            };
            close_all().await;
            ended
        }),
        Err(fault) => Err(Ended::bad(&format!("the program cannot start its work: {fault}"), "try again")),
    };
    match ended {
        Ok(code) => code,
        Err(ended) => tell(&ended),
    }
}

/// Says it on standard error; the exit status.
pub(crate) fn tell(ended: &Ended) -> u8 {
    match ended {
        Ended::Said(text, code) => {
            write::err(text);
            *code
        }
        Ended::Book(failure) => {
            write::err(&explained(failure));
            status(failure)
        }
    }
}

/// Refused: by the shop's rules, or because nobody proved who they are.
pub(crate) fn status(failure: &Failure) -> u8 {
    match failure {
        Failure::Refused(_)
        | Failure::Pin(
            PinFailure::Wrong(_) | PinFailure::NoPin(_) | PinFailure::SetSince(_) | PinFailure::Locked(..),
        ) => REFUSED,
        _ => UNREADABLE,
    }
}

/// One line a reason.
pub(crate) fn explained(failure: &Failure) -> String {
    let label = if status(failure) == REFUSED { "refused" } else { "error" };
    // One line a reason, whatever stands in it.
    let lines: Vec<String> = match failure {
        Failure::Refused(all) => all.iter().map(|reason| plain(&reason.to_string())).collect(),
        other => other.to_string().lines().map(plain).collect(),
    };
    let help = match failure {
        Failure::NotABook(_) => {
            "make a book of it where there is none yet: `standfast book restore FILE --book PLACE`"
        }
        Failure::Emptied(_) => {
            "copy both files away, read what is left with `standfast book salvage`, then restore that or a backup"
        }
        Failure::LeftBeside(_) => {
            "stop whatever has that book open, move this file to where the book's own file is now, and try again"
        }
        Failure::SecondName(_) => {
            "remove all of its names but one: the one beside which there is a log (-wal), if there is any; copy a book with `standfast book backup`"
        }
        Failure::Mounted(_) => {
            "mount the folder that the book is in, with its log (-wal), and not the file by itself"
        }
        Failure::Empty(_) => {
            "if no book was ever kept there, delete it and what is left beside it (-journal, -wal, -shm), and begin or restore again; else keep all of it, and restore a backup at another place"
        }
        Failure::NoBook(_) => "begin one with `standfast book new`, or name it with --book",
        Failure::Damaged(_) => {
            "standfast book verify names all of it; restore a backup, or read what is left with `standfast book salvage`"
        }
        Failure::BookExists(_) | Failure::NoSuchKind(_) | Failure::NoFileName(..) | Failure::NotMade(..) => {
            "give another place with --book"
        }
        Failure::NotEncrypted(_) => {
            "let the server encrypt, name its certificate with sslrootcert=FILE, or write sslmode=disable to send the book and its password in clear text"
        }
        Failure::Unreachable(_) | Failure::Busy(_) => {
            "look with `standfast book show` whether it was done before asking again"
        }
        Failure::Unflushed(_) => {
            "look with `standfast book show` whether it was done before asking again, and at the disk and its messages"
        }
        Failure::NothingLeft => {
            "of a PostgreSQL database, look at what the server logs: an index that cannot be read is made anew with REINDEX"
        }
        Failure::Salvage => {
            "--salvaged-by LEAD makes a book of what is whole of it, with every lift out of service"
        }
        Failure::BeginningLost => {
            "begin a new book with `standfast book new`, and have every lift examined and entered anew; what the salvaged lines still tell is to be read from the file"
        }
        Failure::Pin(PinFailure::Blank(_)) => {
            "type it, or set STANDFAST_PIN for this one command; it was no try"
        }
        Failure::DiskFull(_) => {
            "make room, or read what is in the book onto another disk with `standfast book salvage`; what was confirmed before is in it"
        }
        Failure::Disk(_) => {
            "look at the disk and its messages, copy the book to another one, and verify it there"
        }
        Failure::Encoding(_) => "make one with CREATE DATABASE NAME ENCODING 'UTF8' TEMPLATE template0",
        Failure::UnknownZone(_) => {
            "write it like Europe/Berlin; a book that goes by a newer zone is opened by a newer program"
        }
        _ => "",
    };
    let mut text: String = lines.iter().map(|line| format!("{label}: {line}\n")).collect();
    if !help.is_empty() {
        text += &format!("  help: {help}\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn a_clock_that_no_book_can_write_down_is_told() {
        let year = Duration::from_secs(365 * 86400);
        assert!(time_of(SystemTime::UNIX_EPOCH + 50 * year).is_ok());
        match time_of(SystemTime::UNIX_EPOCH + 8100 * year) {
            Err(Ended::Said(told, UNREADABLE)) => {
                assert!(told.contains("the clock of this machine"), "{told}")
            }
            other => panic!("{other:?}"),
        }
    }
}
