//! What every request is answered from.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Instant;

use jiff::Timestamp;
use records::{Book, Failure, PersonId, Shop, Signed};
use sheets::Units;
use tokio::sync::{Mutex, RwLock};

use super::certificate::Certificate;
use super::changes::Changes;
use super::fault::Fault;
use super::measure::Drafts;
use super::once::Sent;
use super::reach::Reach;
use super::session::Sessions;
use super::shelf::Shelf;
use super::{Options, session};
use crate::desk::{Ended, Place, caution};
use crate::told;

/// The shop behind the pages.
pub(crate) struct House {
    pub(crate) place: Place,
    book: RwLock<Option<Arc<Book>>>,
    pub(crate) sessions: Sessions,
    pub(crate) attempts: session::Attempts,
    pub(crate) shelf: Shelf,
    pub(crate) changes: Changes,
    /// Held while something is said of a raise.
    pub(crate) saying: Mutex<()>,
    pub(crate) drafts: Drafts,
    pub(crate) sent: Sent,
    /// Typed by whoever begins the book from another machine than this.
    pub(crate) code: String,
    pub(crate) reach: Reach,
    pub(crate) quiet: bool,
}

/// As handlers hold it.
pub(crate) type Shared = Arc<House>;

impl House {
    /// With the book, if one has been begun.
    pub(crate) async fn open(options: &Options) -> Result<Shared, Ended> {
        let book = match Book::open(&options.place.text()).await {
            Ok(book) => {
                caution(&book);
                Some(book)
            }
            Err(Failure::NoBook(_)) => None,
            Err(failure) => return Err(failure.into()),
        };
        let name = match &book {
            Some(book) => book.shop().await?.name.clone(),
            None => "Standfast".to_owned(),
        };
        let certificate = Certificate::of(options, &name)?;
        let reach = Reach::new(options.listen.ip(), options.names.clone(), certificate);
        Ok(Self::with(options.place.clone(), book, Sessions::new(options.idle()), reach, options.quiet))
    }

    /// With a book that is open.
    pub(crate) fn with(
        place: Place,
        book: Option<Book>,
        sessions: Sessions,
        reach: Reach,
        quiet: bool,
    ) -> Shared {
        Arc::new(Self {
            place,
            book: RwLock::new(book.map(Arc::new)),
            sessions,
            attempts: session::Attempts::default(),
            shelf: Shelf::default(),
            changes: Changes::default(),
            saying: Mutex::default(),
            drafts: Drafts::default(),
            sent: Sent::default(),
            code: code(),
            reach,
            quiet,
        })
    }

    /// The book; without one there is only the first page of all.
    pub(crate) async fn book(&self) -> Result<Arc<Book>, Fault> {
        let book = self.book.read().await.clone().ok_or(Fault::NoBook)?;
        if book.was_replaced() {
            self.open_anew().await;
            return self.book.read().await.clone().ok_or(Fault::NoBook);
        }
        Ok(book)
    }

    /// Another book was put in the place of the open one, as after a restore. Nobody has given it a PIN yet. While it cannot be
    /// opened, the one before stays, and says that it was moved.
    async fn open_anew(&self) {
        let mut held = self.book.write().await;
        if held.as_ref().is_some_and(|book| book.was_replaced())
            && let Ok(book) = Book::open(&self.place.text()).await
        {
            self.sessions.end_all();
            *held = Some(Arc::new(book));
        }
    }

    /// Proves who somebody is by their PIN, no oftener than an address may try.
    pub(crate) async fn prove(
        &self,
        from: Option<IpAddr>,
        person: &PersonId,
        pin: &str,
    ) -> Result<Signed, Fault> {
        let book = self.book().await?;
        if !self.attempts.may_try(from, person, Instant::now()) {
            return Err(Fault::TooMany);
        }
        // Locked out, one may still stop a raise or bring it down: the book holds what else is done.
        let signed = book.check_pin_to_stop(Timestamp::now(), person, pin.trim()).await?;
        self.attempts.was_right(from, person);
        Ok(signed)
    }

    /// The shop as it is now, if its book has been begun.
    pub(crate) async fn shop(&self) -> Result<Option<Shop>, Fault> {
        match self.book().await {
            Ok(book) => Ok(Some(book.shop().await?)),
            Err(Fault::NoBook) => Ok(None),
            Err(fault) => Err(fault),
        }
    }

    /// The units that the shop reads in, as far as this program has read its book.
    pub(crate) async fn units(&self) -> Units {
        match self.book().await {
            Ok(book) => told::units(&*book.known().await),
            Err(_) => Units::Metric,
        }
    }

    /// From here on there is a book.
    pub(crate) async fn began(&self, book: Book) {
        *self.book.write().await = Some(Arc::new(book));
    }

    /// Closes the book: a file that was closed holds all of it.
    pub(crate) async fn close(&self) {
        if let Some(book) = self.book.write().await.take().and_then(Arc::into_inner) {
            book.close().await;
        }
    }
}

/// Eight digits that nobody guesses, as this machine tells them to whoever started the program.
fn code() -> String {
    getrandom::u64().map_or_else(|_| String::new(), |number| format!("{:08}", number % 100_000_000))
}
