//! The two databases. Nothing else in the workspace names one.

mod address;
pub(crate) mod read;
mod schema;
pub(crate) mod write;

use std::path::Path;
use std::time::Duration;

use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::{Any, AnyConnection, AnyPool, Connection, Executor, Transaction};

pub use address::shown;

use crate::failure::Failure;

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
    pub(crate) pool: AnyPool,
    pub(crate) kind: Kind,
    /// As it may be shown.
    pub(crate) place: String,
}

pub(crate) type Tx = Transaction<'static, Any>;

impl Store {
    /// At a path, or at an address that begins with `postgres://`. Without `create` a file must be there.
    pub(crate) async fn connect(place: &str, create: bool) -> Result<Self, Failure> {
        sqlx::any::install_default_drivers();
        let Some(kind) = address::kind(place) else { return Err(Failure::NoSuchKind(shown(place))) };
        let url = match kind {
            Kind::Postgres => address::encrypted(place, std::env::var_os("PGSSLMODE").is_some()),
            Kind::Sqlite => {
                if !create && !Path::new(place).is_file() {
                    return Err(Failure::no_book(place));
                }
                format!("sqlite://{}?mode={}", escaped(place), if create { "rwc" } else { "rw" })
            }
        };
        let options: AnyConnectOptions = url.parse().map_err(|e| at_place(e, place))?;
        // Once by itself: a pool tries again until its patience ends, and does not say what was wrong.
        let mut first = AnyConnection::connect_with(&options).await.map_err(|e| at_place(e, place))?;
        let prepared = prepare(&mut first, kind).await;
        let _ = first.close().await;
        prepared.map_err(|e| at_place(e, place))?;
        let pool = AnyPoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(PATIENCE)
            .after_release(|connection, _| Box::pin(is_usable(connection)))
            .after_connect(move |connection, _| Box::pin(prepare(connection, kind)))
            .connect_with(options)
            .await
            .map_err(|e| at_place(e, place))?;
        Ok(Self { pool, kind, place: shown(place) })
    }

    /// For writing: nobody else writes until it ends.
    pub(crate) async fn begin_writing(&self) -> Result<Tx, Failure> {
        match self.kind {
            Kind::Sqlite => Ok(self.pool.begin_with("BEGIN IMMEDIATE").await?),
            Kind::Postgres => {
                let mut tx = self.pool.begin_with("BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE").await?;
                sqlx::query("SELECT 1 FROM pg_advisory_xact_lock($1)")
                    .bind(POSTGRES_LOCK)
                    .fetch_one(&mut *tx)
                    .await?;
                Ok(tx)
            }
        }
    }

    /// For reading: the book as it is at one moment, however long it takes.
    pub(crate) async fn begin_reading(&self) -> Result<Tx, Failure> {
        Ok(self
            .pool
            .begin_with(match self.kind {
                Kind::Sqlite => "BEGIN DEFERRED",
                Kind::Postgres => "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
            })
            .await?)
    }

    pub(crate) async fn close(&self) {
        self.pool.close().await;
    }
}

/// A connection whose transaction the database itself has ended, on a full disk for one, counts it as open for ever.
async fn is_usable(connection: &mut AnyConnection) -> Result<bool, sqlx::Error> {
    connection.ping().await?;
    Ok(!connection.is_in_transaction())
}

/// A file that is there and cannot be opened for writing is no missing book. No word of it repeats a password.
fn at_place(error: sqlx::Error, place: &str) -> Failure {
    let failure = match Failure::from(error) {
        Failure::NoBook(words) if Path::new(place).is_file() => Failure::ReadOnly(words),
        other => other,
    };
    failure.with_words(|words| address::without_secrets(words, place))
}

async fn prepare(connection: &mut AnyConnection, kind: Kind) -> Result<(), sqlx::Error> {
    // NORMAL might lose the last commits when power fails: the book needs FULL.
    let statements: &[&'static str] = match kind {
        Kind::Sqlite => {
            &["PRAGMA busy_timeout = 10000", "PRAGMA journal_mode = WAL", "PRAGMA synchronous = FULL"]
        }
        Kind::Postgres => {
            &["SET synchronous_commit = on", "SET lock_timeout = 10000", "SET client_min_messages = warning"]
        }
    };
    for statement in statements {
        connection.execute(*statement).await?;
    }
    Ok(())
}

/// A path inside an address.
pub(crate) fn escaped(path: &str) -> String {
    let mut text = String::with_capacity(path.len());
    for c in path.chars() {
        match c {
            '%' => text.push_str("%25"),
            '?' => text.push_str("%3f"),
            '#' => text.push_str("%23"),
            c => text.push(c),
        }
    }
    text
}
