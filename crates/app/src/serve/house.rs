//! What every request is answered from.

use std::sync::Arc;

use records::{Book, Shop};
use tokio::sync::RwLock;

use super::changes::Changes;
use super::fault::Fault;
use super::measure::Drafts;
use super::session::Sessions;
use super::shelf::Shelf;
use super::{Options, session};
use crate::desk::{Ended, Place};

/// The shop behind the pages.
pub(crate) struct House {
    pub(crate) place: Place,
    book: RwLock<Option<Arc<Book>>>,
    pub(crate) sessions: Sessions,
    pub(crate) attempts: session::Attempts,
    pub(crate) shelf: Shelf,
    pub(crate) changes: Changes,
    pub(crate) drafts: Drafts,
    /// Whether cookies go over TLS only.
    pub(crate) secure: bool,
    pub(crate) quiet: bool,
}

/// As handlers hold it.
pub(crate) type Shared = Arc<House>;

impl House {
    /// With the book, if one has been begun.
    pub(crate) async fn open(options: &Options, secure: bool) -> Result<Shared, Ended> {
        let book = match Book::open(&options.place.text()).await {
            Ok(book) => Some(book),
            Err(records::Failure::NoBook(_)) => None,
            Err(failure) => return Err(failure.into()),
        };
        let sessions = Sessions::new(options.idle());
        Ok(Self::with(options.place.clone(), book, sessions, secure, options.quiet))
    }

    /// With a book that is open.
    pub(crate) fn with(
        place: Place,
        book: Option<Book>,
        sessions: Sessions,
        secure: bool,
        quiet: bool,
    ) -> Shared {
        Arc::new(Self {
            place,
            book: RwLock::new(book.map(Arc::new)),
            sessions,
            attempts: session::Attempts::new(),
            shelf: Shelf::default(),
            changes: Changes::default(),
            drafts: Drafts::default(),
            secure,
            quiet,
        })
    }

    /// The book; without one there is only the first page of all.
    pub(crate) async fn book(&self) -> Result<Arc<Book>, Fault> {
        self.book.read().await.clone().ok_or(Fault::NoBook)
    }

    /// The shop as it is now, if its book has been begun.
    pub(crate) async fn shop(&self) -> Result<Option<Arc<Shop>>, Fault> {
        match self.book().await {
            Ok(book) => Ok(Some(book.shop().await?)),
            Err(Fault::NoBook) => Ok(None),
            Err(fault) => Err(fault),
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
