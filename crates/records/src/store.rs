//! The two databases. Nothing else in the workspace names one.

mod address;
pub(crate) mod around;
mod files;
pub(crate) mod leaves;
pub(crate) mod log;
mod pages;
pub(crate) mod parts;
mod path;
pub(crate) mod read;
pub(crate) mod schema;
pub(crate) mod write;

use std::fs;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::pool::PoolConnection;
use sqlx::{Any, AnyConnection, AnyPool, Connection, Executor, Row, Transaction};

pub(crate) use address::kind as kind_of;
pub use address::shown;
pub(crate) use files::beside;
use files::{
    OpenFiles, has_one_name, has_room, held_back, is_closed, is_only_read, left_beside, make_private, remove,
};
pub(crate) use path::BookPath;

use crate::failure::Failure;
use crate::fault::Fault;

/// Waiting for another program, own convention: longer than any commit, short enough to be told.
const PATIENCE: Duration = Duration::from_secs(10);
/// One writer and some who read.
const CONNECTIONS: u32 = 4;
/// Any constant that two programs of ours agree on.
const POSTGRES_LOCK: i64 = 0x7374_616e_6466;

/// Which database.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Sqlite,
    Postgres,
}

#[derive(Clone, Debug)]
pub(crate) struct Store {
    pool: AnyPool,
    pub(crate) kind: Kind,
    /// As it may be shown.
    pub(crate) place: String,
    /// Its files; a server sees to its own.
    file: Option<OpenFiles>,
    /// Whether they were made for it.
    is_made: bool,
    /// Why it was opened only to be read, where that is a disk without room.
    full: Option<String>,
    /// Whether a server was not there, or let nobody in, when it was asked last.
    is_gone: Arc<AtomicBool>,
}

pub(crate) type Tx = Transaction<'static, Any>;

impl Store {
    /// At a path, or at an address that begins with `postgres://`. Without `create` a file must be there.
    pub(crate) async fn connect(place: &str, create: bool) -> Result<Self, Failure> {
        sqlx::any::install_default_drivers();
        match address::kind(place) {
            None => Err(Failure::NoSuchKind(shown(place))),
            Some(Kind::Postgres) => {
                let url = address::encrypted(place, std::env::var_os("PGSSLMODE").is_some());
                Self::reach(place, &url, None).await
            }
            Some(Kind::Sqlite) => Self::file(place, &BookPath::of(place)?, create).await,
        }
    }

    async fn file(place: &str, at: &BookPath, create: bool) -> Result<Self, Failure> {
        let path = &at.path;
        let reach = async |how: &str, way| Self::reach(place, &at.address(how), Some((at, way))).await;
        if create {
            // What was confirmed last may stand in the log alone, and SQLite deletes one that is not of the new file.
            if !path.exists()
                && let Some(left) = left_beside(path)
            {
                return Err(Failure::LeftBeside(left.display().to_string()));
            }
            // Who makes the file fills it, and nobody else does meanwhile.
            make_private(path, place)?;
            let store = reach("mode=rwc", &SQLITE).await;
            if store.is_err() {
                remove(path);
            }
            return store.map(|store| Self { is_made: true, ..store });
        }
        if !path.is_file() {
            return Err(Failure::no_book(place));
        }
        if is_empty(path) {
            // SQLite takes the log of an empty file for another's, and deletes it.
            let kind = if is_closed(path) { Failure::Empty } else { Failure::Emptied };
            return Err(kind(place.to_owned()));
        }
        has_one_name(path, place)?;
        if log::is_damaged(path) {
            return Err(Failure::Damaged(vec![Fault::Log]));
        }
        let to_read = async || reach("mode=ro&immutable=true", &SQLITE_TO_READ).await;
        let reached = if is_only_read(path) {
            to_read().await
        } else {
            match reach("mode=rw", &SQLITE).await {
                // Where nothing can be made beside it, and nobody has it open for writing, it can still be read.
                Err(Failure::ReadOnly(_)) if is_closed(path) => to_read().await,
                Err(Failure::DiskFull(words)) if is_closed(path) => {
                    to_read().await.map(|store| Self { full: Some(words), ..store })
                }
                other => other,
            }
        };
        // Not before: whoever closes a file takes away what SQLite has locked of it elsewhere in this program.
        match reached {
            Err(Failure::Damaged(_)) if is_copy(path) => Err(Failure::NotABook(place.to_owned())),
            other => other,
        }
    }

    async fn reach(place: &str, url: &str, file: Option<(&BookPath, &'static Way)>) -> Result<Self, Failure> {
        let way = file.map_or(&POSTGRES, |(_, way)| way);
        let told = |error| at_place(error, place, file.map(|(at, _)| at.path.as_path()));
        let options: AnyConnectOptions = url.parse().map_err(told)?;
        // By itself: a pool tries again until its patience ends, and does not say what was wrong.
        let by_itself = async || {
            let mut first = AnyConnection::connect_with(&options).await?;
            prepare(&mut first, way).await?;
            Ok(first)
        };
        let first = by_itself().await.map_err(told)?;
        let pool = AnyPoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(PATIENCE)
            .after_release(|connection, _| Box::pin(is_usable(connection)))
            .after_connect(move |connection, _| Box::pin(prepare(connection, way)))
            .connect_with(options.clone())
            .await;
        let pool = match pool {
            Ok(pool) => pool,
            Err(in_pool) => return Err(told(by_itself().await.err().unwrap_or(in_pool))),
        };
        let file = match file {
            Some((at, _)) => Some(OpenFiles::of(at.clone(), first)),
            None => {
                let _ = first.close().await;
                None
            }
        };
        Ok(Self {
            pool,
            kind: way.kind,
            place: shown(place),
            file,
            is_made: false,
            full: None,
            is_gone: Arc::default(),
        })
    }

    /// A connection of the pool.
    pub(crate) async fn connection(&self) -> Result<PoolConnection<Any>, Failure> {
        Ok(self.reaching(self.pool.acquire()).await?)
    }

    /// Another one, once a server that a damaged row has ended serves again.
    pub(crate) async fn connection_again(&self) -> Result<PoolConnection<Any>, Failure> {
        let began = Instant::now();
        loop {
            // Not at once: until it knows of that end it lets others in, only to throw them out.
            tokio::time::sleep(PATIENCE / 50).await;
            match self.connection().await {
                Err(Failure::Unreachable(_)) if began.elapsed() < PATIENCE => {}
                other => return other,
            }
        }
    }

    /// Whoever asks a server that is gone waits once, as it may be starting again; after that it is told at once as long as
    /// nobody is there to connect to.
    async fn reaching<T>(
        &self,
        asked: impl Future<Output = Result<T, sqlx::Error>>,
    ) -> Result<T, sqlx::Error> {
        if self.kind == Kind::Sqlite {
            return asked.await;
        }
        if self.is_gone.load(Ordering::Relaxed)
            && let Err(error) = self.is_there().await
            && !self.has_one().await
        {
            return Err(error);
        }
        let answer = asked.await;
        if matches!(answer, Err(sqlx::Error::PoolTimedOut)) {
            self.is_there().await?;
        }
        answer
    }

    /// Whatever keeps one from connecting is told; a server that does not answer in time may be busy.
    async fn is_there(&self) -> Result<(), sqlx::Error> {
        let options = self.pool.connect_options();
        let connected = tokio::time::timeout(PATIENCE, AnyConnection::connect_with(&options)).await;
        self.is_gone.store(matches!(connected, Ok(Err(_))), Ordering::Relaxed);
        match connected {
            Ok(connected) => connected?.close().await,
            Err(_) => Ok(()),
        }
    }

    /// Whether it is still served by a connection that it has: a server that has no room for more serves whom it let in.
    async fn has_one(&self) -> bool {
        while let Some(mut connection) = self.pool.try_acquire() {
            if connection.ping().await.is_ok() {
                return true;
            }
            let _ = connection.close().await;
        }
        false
    }

    /// What was filled into it is kept; if that came to nothing, no file is left where there was none.
    pub(crate) async fn or_nothing<T>(self, filled: Result<T, Failure>) -> Result<(Self, T), Failure> {
        match filled {
            Ok(with) => Ok((self, with)),
            Err(failure) => {
                self.discard().await;
                Err(failure)
            }
        }
    }

    /// Removes the file that was made for it, and closes it.
    pub(crate) async fn discard(&self) {
        if let Some(OpenFiles { at, .. }) = self.file.as_ref().filter(|_| self.is_made) {
            remove(&at.path);
        }
        self.close().await;
    }

    /// A file does; a database of a server in its encoding.
    pub(crate) async fn holds_every_sign(&self) -> Result<(), Failure> {
        if self.kind == Kind::Sqlite {
            return Ok(());
        }
        let query = sqlx::query("SELECT current_setting('server_encoding')");
        let encoding: String = query.fetch_one(&mut *self.connection().await?).await?.try_get(0)?;
        if encoding == "UTF8" { Ok(()) } else { Err(Failure::Encoding(encoding)) }
    }

    /// For writing: nobody else writes until it ends.
    pub(crate) async fn begin_writing(&self) -> Result<Tx, Failure> {
        if let Some(words) = &self.full {
            return Err(Failure::DiskFull(words.clone()));
        }
        match self.kind {
            Kind::Sqlite => {
                let begun = self.pool.begin_with("BEGIN IMMEDIATE").await;
                let file = self.file.as_ref().map(|files| files.at.path.as_path());
                let mut tx = begun.map_err(|error| at_place(error, &self.place, file))?;
                self.is_still_there()?;
                tx.execute(FORGET).await?;
                Ok(tx)
            }
            Kind::Postgres => {
                let mut tx = self.begin_to_write().await?;
                sqlx::query("SELECT 1 FROM pg_advisory_xact_lock($1)")
                    .bind(POSTGRES_LOCK)
                    .fetch_one(&mut *tx)
                    .await?;
                Ok(tx)
            }
        }
    }

    /// On a server, for writing: nobody else is kept from it.
    pub(crate) async fn begin_to_write(&self) -> Result<Tx, Failure> {
        let begun = self.pool.begin_with("BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE");
        Ok(self.reaching(begun).await?)
    }

    /// Whether it must be opened again, as another file stands in its place, or its disk was full and has room again.
    pub(crate) fn was_replaced(&self) -> bool {
        let has_room = |files: &OpenFiles| self.is_full() && has_room(&files.at.path);
        self.file.as_ref().is_some_and(|files| files.were_replaced() || has_room(files))
    }

    /// Whether it was opened only to be read, as its disk has no room.
    pub(crate) fn is_full(&self) -> bool {
        self.full.is_some()
    }

    /// What is read without its log must have none.
    fn is_still_there(&self) -> Result<(), Failure> {
        let Some(files) = &self.file else { return Ok(()) };
        if self.is_full() && !is_closed(&files.at.path) {
            return Err(Failure::Moved(self.place.clone()));
        }
        files.are_still_there(&self.place)
    }

    /// What is there holds none. In a database one can still be begun, and so nowhere in a file: that is what is left of a
    /// book, unless others keep something else in it.
    pub(crate) async fn no_book(&self) -> Failure {
        let query = "SELECT COUNT(*) AS there, COALESCE(SUM(name = 'event'), 0) AS ours FROM sqlite_master";
        let row = match self.kind {
            Kind::Sqlite => sqlx::query(query).fetch_one(&self.pool).await.ok(),
            Kind::Postgres => None,
        };
        let count = |name| row.as_ref().and_then(|row| row.try_get::<i64, _>(name).ok());
        match (count("there"), count("ours")) {
            (Some(0), _) | (_, Some(1..)) => Failure::Empty(self.place.clone()),
            _ => Failure::NoBook(self.place.clone()),
        }
    }

    /// For reading: the book as it is at one moment, however long it takes.
    pub(crate) async fn begin_reading(&self) -> Result<Tx, Failure> {
        self.is_still_there()?;
        match self.kind {
            Kind::Sqlite => {
                let mut tx = self.pool.begin_with("BEGIN DEFERRED").await?;
                tx.execute(FORGET).await?;
                Ok(tx)
            }
            Kind::Postgres => {
                let begun = self.pool.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
                Ok(self.reaching(begun).await?)
            }
        }
    }

    pub(crate) async fn close(&self) {
        self.pool.close().await;
        if let Some(OpenFiles { anchor, .. }) = &self.file
            && let Some(anchor) = anchor.lock().await.take()
        {
            let _ = anchor.close().await;
        }
    }
}

/// A connection whose transaction the database itself has ended, on a full disk for one, counts it as open for ever.
async fn is_usable(connection: &mut AnyConnection) -> Result<bool, sqlx::Error> {
    connection.ping().await?;
    Ok(!connection.is_in_transaction())
}

/// A file that is there and cannot be opened for writing is no missing book: what of it may not be written is named. No word
/// of it repeats a password.
fn at_place(error: sqlx::Error, place: &str, file: Option<&Path>) -> Failure {
    let words = match Failure::from(error) {
        Failure::NotOpened(words) if file.is_some_and(Path::is_file) => words,
        Failure::NotOpened(_) if file.is_some() => return Failure::no_book(place),
        Failure::ReadOnly(words) => words,
        other => return other.with_words(|words| address::without_secrets(words, place)),
    };
    let words = address::without_secrets(&words, place);
    Failure::ReadOnly(match file.and_then(held_back) {
        Some(part) => format!("{words}; {} may not be written", part.display()),
        None => words,
    })
}

fn is_empty(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|data| data.len() == 0)
}

/// A backup or a salvage begins as its first line does.
fn is_copy(path: &Path) -> bool {
    let mut begins = vec![];
    let read = fs::File::open(path).and_then(|file| file.take(8).read_to_end(&mut begins));
    read.is_ok() && begins == b"{\"line\":"
}

/// Nothing is told out of pages that are remembered: another file may have been written over this one meanwhile.
const FORGET: &str = "PRAGMA shrink_memory";

/// How a connection is made ready.
struct Way {
    kind: Kind,
    statements: &'static [&'static str],
}

// NORMAL might lose the last commits when power fails: the book needs FULL. Only whoever has read holds the log.
const SQLITE: Way = Way {
    kind: Kind::Sqlite,
    statements: &[
        "PRAGMA busy_timeout = 10000",
        "PRAGMA journal_mode = WAL",
        "PRAGMA synchronous = FULL",
        "PRAGMA schema_version",
    ],
};
const SQLITE_TO_READ: Way = Way { kind: Kind::Sqlite, statements: &["PRAGMA schema_version"] };
const POSTGRES: Way = Way {
    kind: Kind::Postgres,
    statements: &[
        "SET synchronous_commit = on",
        "SET lock_timeout = 10000",
        "SET client_min_messages = warning",
    ],
};

async fn prepare(connection: &mut AnyConnection, way: &Way) -> Result<(), sqlx::Error> {
    for statement in way.statements {
        connection.execute(*statement).await?;
    }
    Ok(())
}
