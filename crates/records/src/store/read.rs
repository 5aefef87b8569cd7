//! Reading rows.

use serde::de::DeserializeOwned;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

use crate::digest::Digest;
use crate::event::{Head, StoredEvent};
use crate::fact::Fact;
use crate::failure::Failure;
use crate::fault::Fault;
use crate::fleet::Fleet;
use crate::hall::{FOLD, Hall};
use crate::names::Seq;

/// Rows at a time.
pub(crate) const PAGE: i64 = 1000;

/// The columns of an event, and what follows them in the query.
macro_rules! events {
    ($rest:literal) => {
        concat!("SELECT seq, at_microseconds, zone, by_person, with_person, fact, before_hash, hash, day FROM event ", $rest)
    };
}
pub(crate) use events;

/// An event and the day that it is listed under.
pub(crate) fn event(row: &AnyRow) -> Result<(StoredEvent, String), sqlx::Error> {
    let stored = StoredEvent {
        seq: u64::try_from(row.try_get::<i64, _>("seq")?).unwrap_or(0),
        at: row.try_get("at_microseconds")?,
        zone: row.try_get("zone")?,
        by: row.try_get("by_person")?,
        with: row.try_get("with_person")?,
        fact: row.try_get("fact")?,
        before: row.try_get("before_hash")?,
        hash: row.try_get("hash")?,
    };
    Ok((stored, row.try_get("day")?))
}

pub(crate) fn signed(seq: Seq) -> i64 {
    i64::try_from(seq.0).unwrap_or(i64::MAX)
}

/// The next page of events after one.
pub(crate) async fn page(on: &mut AnyConnection, after: Seq) -> Result<Vec<(StoredEvent, String)>, Failure> {
    let rows = sqlx::query(events!("WHERE seq > $1 ORDER BY seq LIMIT $2"))
        .bind(signed(after))
        .bind(PAGE)
        .fetch_all(on)
        .await?;
    Ok(rows.iter().map(event).collect::<Result<_, _>>()?)
}

/// One event. All rows are asked for, here and below: what fails behind the first would be told of the next statement.
pub(crate) async fn at(on: &mut AnyConnection, seq: Seq) -> Result<Option<(StoredEvent, String)>, Failure> {
    let rows = sqlx::query(events!("WHERE seq = $1")).bind(signed(seq)).fetch_all(on).await?;
    Ok(rows.first().map(event).transpose()?)
}

/// What an event says, if there is one at that place and it can be read.
pub(crate) async fn fact(on: &mut AnyConnection, seq: Seq) -> Result<Option<Fact>, Failure> {
    let stored = at(on, seq).await?;
    Ok(stored.and_then(|(stored, _)| stored.read().ok()).map(|event| event.fact))
}

/// Where the book says that it ends.
pub(crate) async fn head(on: &mut AnyConnection) -> Result<Head, Failure> {
    let rows = sqlx::query("SELECT seq, hash FROM head WHERE only_row = 1").fetch_all(on).await?;
    let Some(row) = rows.first() else { return Ok(Head::EMPTY) };
    let hash: String = row.try_get("hash")?;
    Ok(Head {
        seq: Seq(u64::try_from(row.try_get::<i64, _>("seq")?).unwrap_or(0)),
        hash: hash
            .parse()
            .map_err(|_| Failure::Damaged(vec![Fault::Store(format!("the head's hash is {hash}"))]))?,
    })
}

/// A fold that was kept aside.
pub(crate) enum Kept<T> {
    /// None of this program's version.
    None,
    /// One that does not bear its own sum, or cannot be read: the events say what is so.
    NotBelieved(Seq),
    /// Where the book ended then, and what it came to.
    Fold(Head, T),
}

/// The sum of a kept text, which stands before it: of the text, and of the event that it stands at.
pub(crate) fn sum_of(at: &str, text: &str) -> Digest {
    Digest::of_parts(&["fold", at, text])
}

/// The kept hall.
pub(crate) async fn hall(on: &mut AnyConnection) -> Result<Kept<Hall>, Failure> {
    let kept: Kept<Hall> =
        kept(on, "SELECT seq, hash, shop FROM fold WHERE only_row = 1 AND version = $1").await?;
    Ok(match kept {
        Kept::Fold(head, hall) if hall.head != head => Kept::NotBelieved(head.seq),
        kept => kept,
    })
}

/// The kept fleet likewise.
pub(crate) async fn fleet(on: &mut AnyConnection) -> Result<Kept<Fleet>, Failure> {
    kept(on, "SELECT seq, hash, fleet FROM fleet WHERE only_row = 1 AND version = $1").await
}

async fn kept<T: DeserializeOwned>(on: &mut AnyConnection, query: &'static str) -> Result<Kept<T>, Failure> {
    let rows = sqlx::query(query).bind(FOLD).fetch_all(on).await?;
    let Some(row) = rows.first() else { return Ok(Kept::None) };
    let seq = Seq(u64::try_from(row.try_get::<i64, _>(0)?).unwrap_or(0));
    let (hash, text): (String, String) = (row.try_get(1)?, row.try_get(2)?);
    let believed = text.split_once(' ').filter(|(sum, text)| sum_of(&hash, text).to_string() == *sum);
    let read = believed.and_then(|(_, text)| Some((hash.parse().ok()?, serde_json::from_str(text).ok()?)));
    Ok(match read {
        Some((hash, fold)) => Kept::Fold(Head { seq, hash }, fold),
        None => Kept::NotBelieved(seq),
    })
}

/// The hash that stands at an event.
pub(crate) async fn hash_at(on: &mut AnyConnection, seq: Seq) -> Result<Option<Digest>, Failure> {
    let row =
        sqlx::query("SELECT hash FROM event WHERE seq = $1").bind(signed(seq)).fetch_optional(on).await?;
    let Some(row) = row else { return Ok(None) };
    Ok(row.try_get::<String, _>("hash")?.parse().ok())
}

/// Checks that an event follows on the head, and reads it.
pub(crate) fn chained(head: Head, stored: &StoredEvent) -> Result<crate::event::Event, Fault> {
    follows(head, stored)?;
    stored.read()
}

/// Checks that alone.
pub(crate) fn follows(head: Head, stored: &StoredEvent) -> Result<(), Fault> {
    if stored.seq <= head.seq.0 {
        return Err(Fault::Strange(format!("second row of event {}", stored.seq)));
    }
    if stored.seq != head.seq.0 + 1 {
        return Err(Fault::Missing(Seq(head.seq.0 + 1), Seq(stored.seq.saturating_sub(1))));
    }
    if !stored.is_intact() {
        return Err(Fault::Altered(Seq(stored.seq)));
    }
    if stored.before != head.hash.to_string() {
        return Err(Fault::NotChained(Seq(stored.seq)));
    }
    Ok(())
}
