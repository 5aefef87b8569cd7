//! A point that is named without having been shown since others wrote in its raise.

use records::{Book, Event, Fact, Raise, RaiseNumber, Seq, Subject};
use sheets::Units;

use super::{now, open_raise};
use crate::cli::{FINE, REFUSED};
use crate::desk::{Desk, Ended};
use crate::told;
use crate::write;

/// The last event by which its leader confirms without `--seen`. Refused where others wrote since, in the raise or of its lift or vehicle, with that and where it stands now.
pub(super) async fn seen(desk: &Desk, number: RaiseNumber, json: bool, units: Units) -> Result<Seq, Ended> {
    let (book, shop) = (&desk.book, desk.book.shop().await?);
    let raise = open_raise(&shop, number)?;
    let seen = raise.seen();
    // Who does not lead is refused for that.
    if raise.leader != *desk.by.person() {
        return Ok(seen);
    }
    let wrote = wrote_since(book, number, raise, units).await?;
    if wrote.is_empty() {
        return Ok(seen);
    }
    let now = now(book, &shop, number, raise, units).await?;
    if json {
        write::json(&now, FINE);
    } else {
        write::out(&told::raise::shown(&shop, &now), FINE);
    }
    let look = format!("Look where it stands now; `--seen {seen}` confirms by that.");
    let all = wrote.into_iter().chain([look]).map(|why| format!("refused: {why}\n"));
    Err(Ended::Said(all.collect(), REFUSED))
}

/// What others wrote since a point of it was confirmed last, a sentence each.
pub(crate) async fn wrote_since(
    book: &Book,
    number: RaiseNumber,
    raise: &Raise,
    units: Units,
) -> Result<Vec<String>, Ended> {
    let mut events = book.events_about(&Subject::Raise(number)).await?;
    // Whoever confirms was told until then; who says what is wrong, or takes over, was not.
    let told = |event: &Event| matches!(event.fact, Fact::RaiseBegun { .. } | Fact::PointConfirmed { .. });
    let confirmed = events.iter().rposition(told);
    let last = confirmed.and_then(|at| events.get(at)).map(|event| event.seq);
    events.drain(..confirmed.map_or(0, |at| at + 1));
    let (lift, vehicle) = (raise.plan.lift.clone(), raise.plan.vehicle.clone());
    for about in [Subject::Lift(lift), Subject::Vehicle(vehicle)] {
        let written = book.events_about(&about).await?;
        let is_told = |event: &Event| Some(event.seq) > last && raise.is_told(&event.fact);
        events.extend(written.into_iter().filter(is_told));
    }
    if let Some(doubt) = raise.progress.doubt.filter(|doubt| Some(*doubt) > last) {
        events.extend(book.event(doubt).await?);
    }
    events.retain(|event| event.by != raise.leader);
    events.sort_by_key(|event| event.seq);
    events.dedup_by_key(|event| event.seq);
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
