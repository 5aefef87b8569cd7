//! Finding events and documents again.

use jiff::civil::Date;
use sqlx::any::{AnyArguments, AnyRow};
use sqlx::{Any, Row};

use super::{Book, damaged};
use crate::digest::{Digest, Document};
use crate::event::Event;
use crate::fact::Subject;
use crate::failure::Failure;
use crate::fault::Fault;
use crate::names::{LiftId, RaiseNumber, Seq};
use crate::store::read;

/// Read, and held against its own hash.
fn intact(rows: &[AnyRow]) -> Result<Vec<Event>, Failure> {
    let event = |row: &AnyRow| {
        let (stored, _) = read::event(row)?;
        if !stored.is_intact() {
            return Err(damaged(Fault::Altered(Seq(stored.seq))));
        }
        stored.read().map_err(damaged)
    };
    rows.iter().map(event).collect()
}

type Query = sqlx::query::Query<'static, Any, AnyArguments>;

impl Book {
    async fn found(&self, query: Query) -> Result<Vec<Event>, Failure> {
        intact(&query.fetch_all(&mut *self.store.connection().await?).await?)
    }

    /// One event; `None` = there is none of that number.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn event(&self, seq: Seq) -> Result<Option<Event>, Failure> {
        let query = sqlx::query(read::events!("WHERE seq = $1"));
        Ok(self.found(query.bind(read::signed(seq))).await?.pop())
    }

    /// Events after one, in order, at most 1000 of them: ask again after the last until there are none.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn events_after(&self, seq: Seq) -> Result<Vec<Event>, Failure> {
        let query = sqlx::query(read::events!("WHERE seq > $1 ORDER BY seq LIMIT $2"));
        self.found(query.bind(read::signed(seq)).bind(read::PAGE)).await
    }

    /// Events before one, the newest first, at most 1000 of them: ask again before the last until there are none.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn events_before(&self, seq: Seq) -> Result<Vec<Event>, Failure> {
        let query = sqlx::query(read::events!("WHERE seq < $1 ORDER BY seq DESC LIMIT $2"));
        self.found(query.bind(read::signed(seq)).bind(read::PAGE)).await
    }

    /// All events of a day in the shop's zone.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn events_on(&self, day: Date) -> Result<Vec<Event>, Failure> {
        let query = sqlx::query(read::events!("WHERE day = $1 ORDER BY seq"));
        self.found(query.bind(day.to_string())).await
    }

    /// All events about a person, lift, vehicle, raise, defect, examination or other event.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn events_about(&self, subject: &Subject) -> Result<Vec<Event>, Failure> {
        let query = sqlx::query(read::events!(
            "WHERE seq IN (SELECT seq FROM subject WHERE subject = $1) ORDER BY seq"
        ));
        self.found(query.bind(subject.to_string())).await
    }

    /// Events of a lift from one on: those about it, about its raises that began since, about its defects and examinations
    /// whenever they were found or made, and what struck any of all these out.
    ///
    /// # Errors
    /// If they cannot be read.
    pub async fn record_of(&self, lift: &LiftId, since: Seq) -> Result<Vec<Event>, Failure> {
        // SQLite joins in the order that a cross join is written in: few rows first.
        let query = sqlx::query(read::events!(
            "WHERE seq IN (SELECT seq FROM subject WHERE subject = $1 AND seq >= $2 \
             UNION SELECT p.seq FROM subject l CROSS JOIN subject r CROSS JOIN subject p \
             WHERE l.subject = $1 AND l.seq >= $2 AND r.seq = l.seq AND r.subject LIKE 'raise %' AND p.subject = r.subject \
             UNION SELECT p.seq FROM subject p CROSS JOIN subject d CROSS JOIN subject l \
             WHERE p.seq >= $2 AND (p.subject LIKE 'defect %' OR p.subject LIKE 'examination %') \
             AND d.subject = p.subject AND l.seq = d.seq AND l.subject = $1) ORDER BY seq"
        ));
        let query = query.bind(Subject::Lift(lift.clone()).to_string()).bind(read::signed(since));
        let mut events = self.found(query).await?;
        let corrected = self.known().await.corrected.clone();
        for (struck, correction) in corrected.into_iter().filter(|(_, correction)| *correction >= since) {
            if self.is_of(lift, struck).await? {
                events.extend(self.event(correction).await?);
            }
        }
        events.sort_by_key(|event| event.seq);
        Ok(events)
    }

    /// Whether an event is about a lift, or about a raise, defect or examination of it.
    async fn is_of(&self, lift: &LiftId, event: Seq) -> Result<bool, Failure> {
        let query = sqlx::query(
            "SELECT 1 FROM subject s WHERE s.seq = $2 AND (s.subject = $1 \
             OR (s.subject LIKE 'raise %' OR s.subject LIKE 'defect %' OR s.subject LIKE 'examination %') \
             AND EXISTS (SELECT 1 FROM subject r CROSS JOIN subject l WHERE r.subject = s.subject AND l.seq = r.seq AND l.subject = $1))",
        );
        let query = query.bind(Subject::Lift(lift.clone()).to_string()).bind(read::signed(event));
        Ok(!query.fetch_all(&mut *self.store.connection().await?).await?.is_empty())
    }

    /// The first event that is listed on a day or later; the next to come if there is none yet.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn first_since(&self, day: Date) -> Result<Seq, Failure> {
        // With the sign it is sought among the days: without, all events from the first on are looked at for the least.
        let query = sqlx::query("SELECT MIN(+seq) AS seq FROM event WHERE day >= $1");
        let row = query.bind(day.to_string()).fetch_one(&mut *self.store.connection().await?).await?;
        let first: Option<i64> = row.try_get("seq")?;
        Ok(first.and_then(|seq| u64::try_from(seq).ok()).map_or(Seq(self.known().await.head.seq.0 + 1), Seq))
    }

    /// The event by which a raise began.
    ///
    /// # Errors
    /// If it cannot be read.
    pub async fn beginning_of(&self, raise: RaiseNumber) -> Result<Option<Event>, Failure> {
        let query =
            sqlx::query(read::events!("WHERE seq = (SELECT MIN(seq) FROM subject WHERE subject = $1)"));
        Ok(self.found(query.bind(Subject::Raise(raise).to_string())).await?.pop())
    }

    /// A document that an event refers to; `None` = not in the book.
    ///
    /// # Errors
    /// If it cannot be read, or does not say what was written.
    pub async fn document(&self, digest: Digest) -> Result<Option<Document>, Failure> {
        let query = sqlx::query("SELECT content FROM document WHERE digest = $1");
        let Some(row) =
            query.bind(digest.to_string()).fetch_optional(&mut *self.store.connection().await?).await?
        else {
            return Ok(None);
        };
        let document = Document::new(row.try_get::<String, _>("content")?);
        if document.digest() == digest {
            Ok(Some(document))
        } else {
            Err(Failure::Damaged(vec![Fault::DocumentAltered(digest)]))
        }
    }
}
