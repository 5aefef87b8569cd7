//! Reading around what cannot be read: a page at a time, and where that fails, row by row. A server comes to each by its
//! index or along the whole table, whichever can be read; for a salvage by where the rows stand.

use std::collections::BTreeSet;
use std::ops::Range;

use sqlx::any::AnyRow;
use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, Executor, Row};

use super::read::{self, PAGE};
use super::{Kind, Store};
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

/// How many may be missing where something says that there were more: it may have been altered. Own convention.
const DOUBT_AFTER: u64 = 100 * GIVE_UP_AFTER;

/// How PostgreSQL comes to a row: by its index, so that a page of the table costs what stands on it alone, or along the table,
/// should it be the index that cannot be read; or by neither, where it is asked for by its place. A plan that was made for
/// another way is not kept.
const WAYS: [&str; 3] = [
    "SELECT set_config('enable_indexscan', 'on', false), set_config('enable_seqscan', 'off', false), \
     set_config('enable_bitmapscan', 'off', false), set_config('plan_cache_mode', 'force_custom_plan', false)",
    "SELECT set_config('enable_indexscan', 'off', false), set_config('enable_seqscan', 'on', false)",
    "SELECT set_config('enable_indexscan', 'off', false), set_config('enable_indexonlyscan', 'off', false), \
     set_config('enable_seqscan', 'off', false), set_config('enable_bitmapscan', 'off', false)",
];

/// What is read around.
#[derive(Clone, Copy)]
pub(crate) struct Source<'s> {
    pub(crate) kind: Kind,
    /// Connects again where a row ends the process of the server that reads it.
    pub(crate) again: Option<&'s Store>,
}

impl Source<'_> {
    /// What was read; what ended the process that read it is damage, once there is another.
    pub(crate) async fn served_again<T>(
        self,
        on: &mut AnyConnection,
        read: Result<T, Failure>,
    ) -> Result<T, Failure> {
        match (read, self.again) {
            (Err(Failure::Unreachable(words)), Some(store)) => {
                *on = store.connection_again().await?.detach();
                Err(Failure::Store(format!("whoever reads it is thrown out: {words}")))
            }
            (read, _) => read,
        }
    }
}

/// Whichever way it can be read; why not, by the last. Changes the connection.
async fn either_way<T>(
    on: &mut AnyConnection,
    source: Source<'_>,
    read: impl AsyncFn(&mut AnyConnection) -> Result<T, Failure>,
) -> Result<T, Failure> {
    if source.kind == Kind::Sqlite {
        return read(on).await;
    }
    on.execute(WAYS[0]).await?;
    let mut done = read(&mut *on).await;
    if source.again.is_some() && matches!(done, Err(Failure::Unreachable(_))) {
        // Once more: it may have been thrown out for what another row did.
        let _ = source.served_again(on, done).await;
        on.execute(WAYS[0]).await?;
        done = read(&mut *on).await;
        return source.served_again(on, done).await;
    }
    match done {
        Err(failure) if !failure.is_silence() => {
            on.execute(WAYS[1]).await?;
            let done = read(&mut *on).await;
            source.served_again(on, done).await
        }
        done => done,
    }
}

/// What was read, or why it could not be.
pub(crate) type Read<T> = Result<T, String>;

/// Events, each with the day that it is listed under.
pub(crate) type Rows = Vec<(Seq, Read<(StoredEvent, String)>)>;

/// A walk along all events. It ends whatever the numbers of altered rows say.
pub(crate) struct Events {
    after: u64,
    /// There are events at least up to here, as far as anybody says.
    said: u64,
    /// The last that is as it was written.
    last: u64,
}

impl Events {
    pub(crate) const fn until(said: Seq) -> Self {
        Self { after: 0, said: said.0, last: 0 }
    }

    /// The next of them, each with the day that it is listed under; `None` = that was all.
    pub(crate) async fn next(
        &mut self,
        on: &mut AnyConnection,
        source: Source<'_>,
    ) -> Result<Option<Rows>, Failure> {
        let after = Seq(self.after);
        match either_way(on, source, async |on| read::page(on, after).await).await {
            Ok(page) if page.is_empty() => Ok(None),
            Ok(page) if self.stand_there(on, source, &page).await? => {
                self.after = page.last().map_or(self.after, |(stored, _)| stored.seq);
                let intact = page.iter().rev().find(|(stored, _)| stored.is_intact());
                self.last = intact.map_or(self.last, |(stored, _)| stored.seq);
                Ok(Some(page.into_iter().map(|row| (Seq(row.0.seq), Ok(row))).collect()))
            }
            Err(failure) if failure.is_silence() => Err(failure),
            _ => self.one_by_one(on, source).await,
        }
    }

    /// Whether the rows of a page come in order, and none that was altered leads the walk to where none stands.
    async fn stand_there(
        &self,
        on: &mut AnyConnection,
        source: Source<'_>,
        page: &[(StoredEvent, String)],
    ) -> Result<bool, Failure> {
        if page.first().is_some_and(|(first, _)| first.seq <= self.after) {
            return Ok(false);
        }
        let mut before = self.after;
        for (stored, _) in page {
            if stored.seq < before {
                return Ok(false);
            }
            if stored.seq > before + 1 && !stored.is_intact() {
                match either_way(on, source, async |on| read::at(on, Seq(stored.seq)).await).await {
                    Ok(Some((there, _))) if there.seq == stored.seq => {}
                    Err(failure) if failure.is_silence() => return Err(failure),
                    _ => return Ok(false),
                }
            }
            before = stored.seq;
        }
        Ok(true)
    }

    async fn one_by_one(
        &mut self,
        on: &mut AnyConnection,
        source: Source<'_>,
    ) -> Result<Option<Rows>, Failure> {
        let until = match self.said {
            0 => self.last + GIVE_UP_AFTER,
            said => said.min(self.last + DOUBT_AFTER),
        };
        if self.after >= until {
            return Ok(None);
        }
        let to = until.min(self.after + PAGE.unsigned_abs());
        let mut rows = vec![];
        for seq in self.after + 1..=to {
            match either_way(on, source, async |on| read::at(on, Seq(seq)).await).await {
                Ok(None) => {}
                Ok(Some((stored, _))) if stored.seq != seq => {
                    rows.push((Seq(seq), Err("its row bears another number".to_owned())));
                }
                Ok(Some(row)) => {
                    if row.0.is_intact() {
                        self.last = seq;
                    }
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

/// Where a row of a server stands: its page, and its place on it.
pub(crate) type Place = (u64, u64);

/// Reads the tables of a server by where their rows stand: no index is asked, and no row says which comes next.
pub(crate) struct ByPlace<'s> {
    store: &'s Store,
    on: PoolConnection<Any>,
    /// The rows that a page has room for.
    room: u64,
}

impl<'s> ByPlace<'s> {
    pub(crate) async fn of(store: &'s Store) -> Result<Self, Failure> {
        let mut on = store.connection().await?;
        on.execute(WAYS[2]).await?;
        // A row takes at least its header and what points to it.
        let query = "SELECT current_setting('block_size')::bigint / 28";
        let room: i64 = sqlx::query(query).fetch_one(&mut *on).await?.try_get(0)?;
        Ok(Self { store, on, room: room.unsigned_abs() })
    }

    pub(crate) fn on(&mut self) -> &mut AnyConnection {
        &mut self.on
    }

    /// The pages of a table; none where the server reads nothing of it.
    pub(crate) async fn pages(&mut self, table: &'static str) -> Result<Range<u64>, Failure> {
        let query = format!(
            "SELECT pg_relation_size('{table}') / current_setting('block_size')::bigint \
             FROM (SELECT COUNT(*) FROM {table} WHERE ctid = '(4294967294,1)') AS read"
        );
        let rows = self.rows(query).await?.unwrap_or_default();
        let pages = rows.first().map(|row| row.try_get::<i64, _>(0)).transpose()?.unwrap_or(0);
        Ok(0..pages.unsigned_abs())
    }

    /// What stands on a page, and where something stands that cannot be read.
    pub(crate) async fn page(&mut self, what: &str, page: u64) -> Result<(Vec<AnyRow>, Vec<Place>), Failure> {
        let places: Vec<Place> = (1..=self.room).map(|n| (page, n)).collect();
        self.at(what, &places).await
    }

    /// All at once, and where that fails, one by one.
    pub(crate) async fn at(
        &mut self,
        what: &str,
        places: &[Place],
    ) -> Result<(Vec<AnyRow>, Vec<Place>), Failure> {
        if let Some(rows) = self.rows(standing_at(what, places)).await? {
            return Ok((rows, vec![]));
        }
        let (mut all, mut unread) = (vec![], vec![]);
        for place in places {
            let one = standing_at(what, &[*place]);
            let rows = match self.rows(one.clone()).await? {
                // Once more: it may have been thrown out for what another row did.
                None => self.rows(one).await?,
                rows => rows,
            };
            match rows {
                Some(rows) => all.extend(rows),
                None => unread.push(*place),
            }
        }
        Ok((all, unread))
    }

    /// `None` = it cannot be read.
    async fn rows(&mut self, query: String) -> Result<Option<Vec<AnyRow>>, Failure> {
        let query = sqlx::query(sqlx::AssertSqlSafe(query)).persistent(false);
        match query.fetch_all(&mut *self.on).await.map_err(Failure::from) {
            Ok(rows) => Ok(Some(rows)),
            // A row can end the process that reads it, and with that the server begins again.
            Err(Failure::Unreachable(_)) => {
                self.on = self.store.connection_again().await?;
                self.on.execute(WAYS[2]).await?;
                Ok(None)
            }
            Err(failure) if failure.is_silence() => Err(failure),
            Err(_) => Ok(None),
        }
    }
}

fn standing_at(what: &str, places: &[Place]) -> String {
    let places: Vec<String> = places.iter().map(|(page, n)| format!("\"({page},{n})\"")).collect();
    format!("SELECT ctid::text AS place, {what} WHERE ctid = ANY('{{{}}}'::tid[])", places.join(","))
}

/// Where a row that was read stands.
pub(crate) fn place(row: &AnyRow) -> Option<Place> {
    let text: String = row.try_get("place").ok()?;
    let (page, n) = text.trim_matches(['(', ')']).split_once(',')?;
    Some((page.parse().ok()?, n.parse().ok()?))
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

    /// Whether some could not be read by their names in order.
    pub(crate) const fn has_stumbled(&self) -> bool {
        !matches!(self, Self::ByName(_))
    }

    /// The next of them; `None` = that was all. What was met before may come again.
    pub(crate) async fn next(
        &mut self,
        on: &mut AnyConnection,
        source: Source<'_>,
        named: &BTreeSet<Digest>,
    ) -> Result<Option<Vec<Kept>>, Failure> {
        match self {
            Self::ByName(after) => match either_way(on, source, async |on| by_name(on, after).await).await {
                Ok(page) => {
                    let Some((last, _)) = page.last() else { return Ok(None) };
                    after.clone_from(last);
                    Ok(Some(page))
                }
                Err(failure) if failure.is_silence() => Err(failure),
                Err(_) => {
                    *self = match source.kind {
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
                let found = one(on, source, &format!("rowid = {row}")).await?;
                // Beyond a damaged page nothing says whether there is a row.
                *nothing =
                    if found.as_ref().is_some_and(|(name, _)| !name.is_empty()) { 0 } else { *nothing + 1 };
                *row += 1;
                Ok(Some(found.into_iter().collect()))
            }
            Self::Named(left) => {
                let Some(digest) = left.pop() else { return Ok(None) };
                Ok(Some(one(on, source, &format!("digest = '{digest}'")).await?.into_iter().collect()))
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
async fn one(on: &mut AnyConnection, source: Source<'_>, which: &str) -> Result<Option<Kept>, Failure> {
    let text = async |on: &mut AnyConnection, what: &str| {
        let query = sqlx::AssertSqlSafe(format!("SELECT {what} FROM document WHERE {which}"));
        // Of a statement that is kept and has nothing bound to it the server keeps the way too.
        let query = sqlx::query(query).persistent(false);
        // All rows, though there is one: what fails behind it would be told of the next statement.
        let rows = query.fetch_all(on).await?;
        Ok(rows.first().map(|row| row.try_get::<String, _>(0)).transpose()?)
    };
    let name = match either_way(&mut *on, source, async |on| text(on, "digest").await).await {
        Ok(None) => return Ok(None),
        Ok(Some(name)) => name,
        Err(failure) if failure.is_silence() => return Err(failure),
        Err(_) => String::new(),
    };
    match either_way(on, source, async |on| text(on, "content").await).await {
        Ok(None) => Ok(None),
        Ok(Some(content)) => Ok(Some((name, Ok(content)))),
        Err(failure) if failure.is_silence() => Err(failure),
        Err(failure) => Ok(Some((name, Err(failure.to_string())))),
    }
}
