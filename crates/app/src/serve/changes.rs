//! Every open page hears within a second that the book has changed.

use std::convert::Infallible;
use std::sync::Weak;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, KeepAlive, Sse};
use futures_util::stream::{self, Stream};
use tokio::sync::watch;

use super::house::{House, Shared};

/// Others write into the same book: so often is looked whether they did.
const LOOK_EVERY: Duration = Duration::from_millis(400);

/// The number of the book's last event, as it grows; nothing more is sent when the program stops.
pub(crate) struct Changes {
    last: watch::Sender<Option<u64>>,
}

impl Default for Changes {
    fn default() -> Self {
        Self { last: watch::Sender::new(Some(0)) }
    }
}

impl Changes {
    /// The last event now.
    pub(crate) fn seen(&self, seq: u64) {
        self.last.send_if_modified(|last| last.is_some_and(|l| l != seq) && last.replace(seq).is_some());
    }

    /// Ends every stream.
    pub(crate) fn stop(&self) {
        self.last.send_replace(None);
    }
}

/// Looks as long as the house stands.
pub(crate) async fn look(house: Weak<House>) {
    loop {
        tokio::time::sleep(LOOK_EVERY).await;
        let Some(house) = house.upgrade() else { return };
        if house.changes.last.receiver_count() == 0 {
            continue;
        }
        if let Ok(book) = house.book().await
            && let Ok(shop) = book.shop().await
        {
            house.changes.seen(shop.head.seq.0);
        }
    }
}

/// A stream of server-sent events, one a change; the first comes at once.
pub(crate) async fn events(
    State(house): State<Shared>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let mut heard = house.changes.last.subscribe();
    heard.mark_changed();
    let stream = stream::unfold(heard, |mut heard| async {
        heard.changed().await.ok()?;
        let seq = (*heard.borrow_and_update())?;
        Some((Ok(Event::default().event("changed").id(seq.to_string()).data(seq.to_string())), heard))
    });
    Sse::new(stream).keep_alive(KeepAlive::default())
}
