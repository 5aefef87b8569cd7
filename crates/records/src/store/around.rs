//! Reading around what cannot be read: a page at a time, and where that fails, row by row. A server comes to each by its
//! index or along the whole table, whichever can be read.

use std::collections::BTreeSet;

use sqlx::{AnyConnection, Executor, Row};

use super::Kind;
use super::read::{self, PAGE};
use crate::digest::Digest;
use crate::event::StoredEvent;
use crate::failure::Failure;
use crate::names::Seq;

/// Rows that may be missing in a row where nothing says how many there were. Own convention.
const GIVE_UP_AFTER: u64 = 10_000;

impl Failure {
    /// The database is not there, or its disk fails, so that nothing more can be read; anything else is damage.
    pub(crate) const fn is_silence(&self) -> bool {
        matches!(
            self,
            Self::Unreachable(_)
                | Self::Busy(_)
                | Self::NotEncrypted(_)
                | Self::DiskFull(_)
                | Self::Unflushed(_)
                | Self::Disk(_)
        )
    }
}

/// How PostgreSQL comes to a row: by its index, so that a page of the table costs what stands on it alone, or along the table,
/// should it be the index that cannot be read. A plan that was made for the other way is not kept.
const WAYS: [&str; 2] = [
    "SELECT set_config('enable_indexscan', 'on', false), set_config('enable_seqscan', 'off', false), \
     set_config('enable_bitmapscan', 'off', false), set_config('plan_cache_mode', 'force_custom_plan', false)",
    "SELECT set_config('enable_indexscan', 'off', false), set_config('enable_seqscan', 'on', false)",
];

/// Whichever way it can be read; why not, by the last. Changes the connection.
async fn either_way<T>(
    on: &mut AnyConnection,
    kind: Kind,
    read: impl AsyncFn(&mut AnyConnection) -> Result<T, Failure>,
) -> Result<T, Failure> {
    if kind == Kind::Postgres {
        on.execute(WAYS[0]).await?;
        match read(&mut *on).await {
            Err(failure) if !failure.is_silence() => {
                on.execute(WAYS[1]).await?;
            }
            done => return done,
        }
    }
    read(on).await
}

/// What was read, or why it could not be.
pub(crate) type Read<T> = Result<T, String>;

/// Events, each with the day that it is listed under.
pub(crate) type Rows = Vec<(Seq, Read<(StoredEvent, String)>)>;

/// A walk along all events.
pub(crate) struct Events {
    after: u64,
    /// There are events at least up to here, as far as anybody says.
    said: u64,
    /// The last that could be read.
    last: u64,
}

impl Events {
    pub(crate) const fn until(said: Seq) -> Self {
        Self { after: 0, said: said.0, last: 0 }
    }

    /// The next of them, each with the day that it is listed under; `None` = that was all.
    pub(crate) async fn next(&mut self, on: &mut AnyConnection, kind: Kind) -> Result<Option<Rows>, Failure> {
        let after = Seq(self.after);
        let rows: Rows = match either_way(on, kind, async |on| read::page(on, after).await).await {
            Ok(page) if page.is_empty() => return Ok(None),
            Ok(page) => page.into_iter().map(|row| (Seq(row.0.seq), Ok(row))).collect(),
            Err(failure) if failure.is_silence() => return Err(failure),
            Err(_) => return self.one_by_one(on, kind).await,
        };
        self.after = rows.last().map_or(self.after, |(seq, _)| seq.0);
        self.last = self.after;
        Ok(Some(rows))
    }

    async fn one_by_one(&mut self, on: &mut AnyConnection, kind: Kind) -> Result<Option<Rows>, Failure> {
        let until = if self.said == 0 { self.last + GIVE_UP_AFTER } else { self.said };
        if self.after >= until {
            return Ok(None);
        }
        let to = until.min(self.after + PAGE.unsigned_abs());
        let mut rows = vec![];
        for seq in self.after + 1..=to {
            match either_way(on, kind, async |on| read::at(on, Seq(seq)).await).await {
                Ok(None) => {}
                Ok(Some(row)) => {
                    self.last = seq;
                    rows.push((Seq(seq), Ok(row)));
                }
                Err(failure) if failure.is_silence() => return Err(failure),
                // Where nobody says how many there were, an event that cannot be read may be none.
                Err(failure) if seq <= self.said => rows.push((Seq(seq), Err(failure.to_string()))),
                Err(_) => {}
            }
        }
        self.after = to;
        Ok(Some(rows))
    }
}

/// A document under its name as stored, or why it cannot be read.
pub(crate) type Kept = (String, Read<String>);

/// A walk along all documents.
pub(crate) enum Documents {
    ByName(String),
    /// Rows of SQLite: the next, and how many in a row were not there.
    ByRow(i64, u64),
    /// Those that events name and that were not met yet.
    Named(Vec<Digest>),
}

impl Documents {
    pub(crate) const fn all() -> Self {
        Self::ByName(String::new())
    }

    /// The next of them; `None` = that was all. What was met before may come again.
    pub(crate) async fn next(
        &mut self,
        on: &mut AnyConnection,
        kind: Kind,
        named: &BTreeSet<Digest>,
    ) -> Result<Option<Vec<Kept>>, Failure> {
        match self {
            Self::ByName(after) => match either_way(on, kind, async |on| by_name(on, after).await).await {
                Ok(page) => {
                    let Some((last, _)) = page.last() else { return Ok(None) };
                    after.clone_from(last);
                    Ok(Some(page))
                }
                Err(failure) if failure.is_silence() => Err(failure),
                Err(_) => {
                    *self = match kind {
                        Kind::Sqlite => Self::ByRow(1, 0),
                        Kind::Postgres => Self::Named(named.iter().copied().collect()),
                    };
                    Ok(Some(vec![]))
                }
            },
            Self::ByRow(row, nothing) => {
                if *nothing > GIVE_UP_AFTER {
                    return Ok(None);
                }
                let found = one(on, kind, &format!("rowid = {row}")).await?;
                // Beyond a damaged page nothing says whether there is a row.
                *nothing =
                    if found.as_ref().is_some_and(|(name, _)| !name.is_empty()) { 0 } else { *nothing + 1 };
                *row += 1;
                Ok(Some(found.into_iter().collect()))
            }
            Self::Named(left) => {
                let Some(digest) = left.pop() else { return Ok(None) };
                Ok(Some(one(on, kind, &format!("digest = '{digest}'")).await?.into_iter().collect()))
            }
        }
    }
}

async fn by_name(on: &mut AnyConnection, after: &str) -> Result<Vec<Kept>, Failure> {
    let query =
        sqlx::query("SELECT digest, content FROM document WHERE digest > $1 ORDER BY digest LIMIT 100");
    let rows = query.bind(after).fetch_all(on).await?;
    rows.iter().map(|row| Ok((row.try_get("digest")?, Ok(row.try_get("content")?)))).collect()
}

/// The name first: what cannot be read is named, if that can be. `which` is a number or a digest, so that nothing of it
/// needs to be bound.
async fn one(on: &mut AnyConnection, kind: Kind, which: &str) -> Result<Option<Kept>, Failure> {
    let text = async |on: &mut AnyConnection, what: &str| {
        let query = sqlx::AssertSqlSafe(format!("SELECT {what} FROM document WHERE {which}"));
        // All rows, though there is one: what fails behind it would be told of the next statement.
        let rows = sqlx::query(query).fetch_all(on).await?;
        Ok(rows.first().map(|row| row.try_get::<String, _>(0)).transpose()?)
    };
    let name = match either_way(&mut *on, kind, async |on| text(on, "digest").await).await {
        Ok(None) => return Ok(None),
        Ok(Some(name)) => name,
        Err(failure) if failure.is_silence() => return Err(failure),
        Err(_) => String::new(),
    };
    match either_way(on, kind, async |on| text(on, "content").await).await {
        Ok(None) => Ok(None),
        Ok(Some(content)) => Ok(Some((name, Ok(content)))),
        Err(failure) if failure.is_silence() => Err(failure),
        Err(failure) => Ok(Some((name, Err(failure.to_string())))),
    }
}
