//! A point that is named without having been shown since others wrote in its raise.

use records::{Book, Event, Raise, RaiseNumber, Seq, Subject};
use sheets::Units;

use super::{now, open_raise};
use crate::cli::{FINE, REFUSED};
use crate::desk::{Desk, Ended};
use crate::told;
use crate::write;

/// The last event by which its leader confirms without `--seen`: whatever this person did there told where it stood then. Refused
/// where others wrote since, in the raise or of what the vehicle weighs, with that and where it stands now.
pub(super) async fn seen(desk: &Desk, number: RaiseNumber, json: bool, units: Units) -> Result<Seq, Ended> {
    let (book, shop) = (&desk.book, desk.book.shop().await?);
    let raise = open_raise(&shop, number)?;
    let seen = raise.seen();
    let by = book.event(seen).await?.map(|event| event.by);
    let is_shown = by.is_none_or(|by| by == *desk.by.person());
    // Who does not lead is refused for that.
    if is_shown || raise.leader != *desk.by.person() {
        return Ok(seen);
    }
    let now = now(book, &shop, number, raise, units).await?;
    if json {
        write::json(&now, FINE);
    } else {
        write::out(&told::raise::shown(&now), FINE);
    }
    let wrote = since(book, number, raise, units).await?;
    let look = format!("Look where it stands now; `--seen {seen}` confirms by that.");
    let all = wrote.into_iter().chain([look]).map(|why| format!("refused: {why}\n"));
    Err(Ended::Said(all.collect(), REFUSED))
}

/// What others wrote since its leader did anything in it, a sentence each.
async fn since(book: &Book, number: RaiseNumber, raise: &Raise, units: Units) -> Result<Vec<String>, Ended> {
    let mut events = book.events_about(&Subject::Raise(number)).await?;
    let own = events.iter().rposition(|event| event.by == raise.leader).map_or(0, |last| last + 1);
    events.drain(..own);
    if let Some(doubt) = raise.progress.doubt.filter(|doubt| *doubt == raise.seen()) {
        events.extend(book.event(doubt).await?);
    }
    let beside = told::Beside::of(book, &*book.shop().await?, &events).await?;
    let wrote = |event: &Event| {
        format!(
            "{} wrote since (event {}): “{}”.",
            event.by,
            event.seq,
            told::sentence(event, &beside, units)
        )
    };
    Ok(events.iter().map(wrote).collect())
}
