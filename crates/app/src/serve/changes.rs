//! Every open page hears within a second that the book has changed, or that the shop's day has.

use std::convert::Infallible;
use std::fmt;
use std::sync::Weak;
use std::time::Duration;

use axum::extract::State;
use axum::response::sse::{Event, Sse};
use futures_util::stream::{self, Stream};
use jiff::Timestamp;
use jiff::civil::Date;
use records::Hall;
use tokio::sync::watch;

use super::caller::Caller;
use super::house::{House, Shared};

/// Others write into the same book: so often is looked whether they did.
const LOOK_EVERY: Duration = Duration::from_millis(400);
/// So often something is said though nothing changed: a page that hears nothing for longer says that it is cut off.
const SAY_EVERY: Duration = Duration::from_secs(5);

/// What a page is made from: the book up to an event, on a day of the shop.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Now {
    seq: u64,
    day: Date,
}

impl Now {
    pub(crate) fn of(hall: &Hall) -> Self {
        Self { seq: hall.head.seq.0, day: hall.today(Timestamp::now()) }
    }
}

impl fmt::Display for Now {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.seq, self.day)
    }
}

/// What pages would be made from now; nothing more is sent when the program stops.
pub(crate) struct Changes {
    last: watch::Sender<Option<Now>>,
}

impl Default for Changes {
    fn default() -> Self {
        Self { last: watch::Sender::new(Some(Now::default())) }
    }
}

impl Changes {
    fn seen(&self, now: Now) {
        self.last.send_if_modified(|last| last.is_some_and(|l| l != now) && last.replace(now).is_some());
    }

    /// Ends every stream.
    pub(crate) fn stop(&self) {
        self.last.send_replace(None);
    }
}

impl House {
    /// Every open page hears of what is in the book by now.
    pub(crate) async fn look(&self) {
        if let Ok(book) = self.book().await
            && let Ok(hall) = book.hall().await
        {
            self.changes.seen(Now::of(&hall));
        }
    }

    /// Whether the session of whoever asked is still open, and by the PIN that they have.
    async fn is_here(&self, caller: &Caller) -> bool {
        let Some(session) = &caller.session else { return false };
        let Ok(book) = self.book().await else { return false };
        let hall = book.known().await;
        self.sessions.is_open(session) && session.signed.is_by_the_pin_of(&hall)
    }

    /// What a page that is asked for now is made from at least.
    pub(crate) async fn known(&self) -> Now {
        match self.book().await {
            Ok(book) => Now::of(&*book.known().await),
            Err(_) => Now::default(),
        }
    }
}

/// Looks as long as the house stands.
pub(crate) async fn look(house: Weak<House>) {
    loop {
        tokio::time::sleep(LOOK_EVERY).await;
        let Some(house) = house.upgrade() else { return };
        if house.changes.last.receiver_count() > 0 {
            house.look().await;
        }
    }
}

/// A stream of server-sent events: what pages would be made from, at once and then at each change; and as often as something
/// is said anyway, whether whoever is named on the page is still signed in.
pub(crate) async fn events(
    State(house): State<Shared>,
    caller: Caller,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    house.look().await;
    let mut heard = house.changes.last.subscribe();
    heard.mark_changed();
    let stream = stream::unfold((heard, house, caller, String::new()), |all| async {
        let (mut heard, house, mut caller, said) = all;
        // Nothing in time = what was said last holds.
        let ended = tokio::time::timeout(SAY_EVERY, heard.changed()).await.is_ok_and(|heard| heard.is_err());
        caller.now = (*heard.borrow_and_update()).filter(|_| !ended)?;
        if !house.is_here(&caller).await {
            caller.session = None;
        }
        let now = caller.made_from();
        let event = match now == said {
            true => Event::default().event("alive").data("nothing changed"),
            false => Event::default().event("changed").id(caller.now.seq.to_string()).data(&now),
        };
        Some((Ok(event), (heard, house, caller, now)))
    });
    Sse::new(stream)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn a_new_day_is_told_though_the_book_is_as_it_was() {
        let changes = Changes::default();
        let mut heard = changes.last.subscribe();
        let evening = Now { seq: 7, day: jiff::civil::date(2026, 11, 29) };
        changes.seen(evening);
        assert!(heard.has_changed().unwrap());
        heard.mark_unchanged();
        changes.seen(evening);
        assert!(!heard.has_changed().unwrap());
        changes.seen(Now { day: jiff::civil::date(2026, 11, 30), ..evening });
        assert!(heard.has_changed().unwrap());
        assert_eq!(heard.borrow().unwrap().to_string(), "7 2026-11-30");
    }
}
