//! The two databases. Nothing else in the workspace names one.

mod address;
pub(crate) mod around;
pub(crate) mod log;
pub(crate) mod parts;
pub(crate) mod read;
pub(crate) mod schema;
pub(crate) mod write;

use std::fs::{self, OpenOptions};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use sqlx::any::{AnyConnectOptions, AnyPoolOptions};
use sqlx::{Any, AnyConnection, AnyPool, Connection, Executor, Transaction};
use tokio::sync::Mutex;

pub(crate) use address::kind as kind_of;
pub use address::shown;

use crate::failure::Failure;
use crate::fault::Fault;

/// Waiting for another program, own convention: longer than any commit, short enough to be told.
const PATIENCE: Duration = Duration::from_secs(10);
/// One writer and some who read.
const CONNECTIONS: u32 = 4;
/// Links that are followed one after the other, as systems do.
const MOST_LINKS: usize = 40;
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
    /// Its files; a server sees to its own.
    file: Option<OpenFiles>,
    /// Whether they were made for it.
    is_made: bool,
}

/// The files of an open book by what they are, not by their names.
#[derive(Clone, Debug)]
struct OpenFiles {
    path: PathBuf,
    are: [Option<Inode>; 3],
    /// Does nothing: while it is open, SQLite makes no other log.
    anchor: Arc<Mutex<Option<AnyConnection>>>,
}

impl OpenFiles {
    /// Of a path as it is now, wherever this program or its folder goes.
    fn of(place: &str, anchor: AnyConnection) -> Self {
        let path = fs::canonicalize(place).unwrap_or_else(|_| PathBuf::from(place));
        Self { are: inodes(&path), path, anchor: Arc::new(Mutex::new(Some(anchor))) }
    }
}

type Inode = (u64, u64);

/// A book's file, its log, and what those who have it open share; the last two only while it is open.
const PARTS: [&str; 3] = ["", "-wal", "-shm"];

pub(crate) type Tx = Transaction<'static, Any>;

impl Store {
    /// At a path, or at an address that begins with `postgres://`. Without `create` a file must be there.
    pub(crate) async fn connect(place: &str, create: bool) -> Result<Self, Failure> {
        sqlx::any::install_default_drivers();
        match address::kind(place) {
            None => Err(Failure::NoSuchKind(shown(place))),
            Some(Kind::Postgres) => {
                let url = address::encrypted(place, std::env::var_os("PGSSLMODE").is_some());
                Self::reach(place, &url, &POSTGRES).await
            }
            Some(Kind::Sqlite) => Self::file(place, create).await,
        }
    }

    async fn file(place: &str, create: bool) -> Result<Self, Failure> {
        let path = &followed(place);
        let url = format!("sqlite://{}", escaped(&path.to_string_lossy()));
        if create {
            // What was confirmed last may stand in the log alone, and SQLite deletes one that is not of the new file.
            if !path.exists()
                && let Some(left) = left_beside(path)
            {
                return Err(Failure::LeftBeside(left.display().to_string()));
            }
            // Who makes the file fills it, and nobody else does meanwhile.
            let is_made = make_private(path);
            if !is_made && path.exists() {
                return Err(Failure::book_exists(place));
            }
            let store = Self::reach(place, &format!("{url}?mode=rwc"), &SQLITE).await;
            if is_made && store.is_err() {
                remove(path);
            }
            return store.map(|store| Self { is_made, ..store });
        }
        if !path.is_file() {
            return Err(Failure::no_book(place));
        }
        what_else(path).map_or(Ok(()), |kind| Err(kind(place.to_owned())))?;
        if log::is_damaged(path) {
            return Err(Failure::Damaged(vec![Fault::Log]));
        }
        match Self::reach(place, &format!("{url}?mode=rw"), &SQLITE).await {
            // Where nothing can be made beside it, and nobody has it open for writing, it can still be read.
            Err(Failure::ReadOnly(_)) if is_closed(path) => {
                Self::reach(place, &format!("{url}?mode=ro&immutable=true"), &SQLITE_TO_READ).await
            }
            other => other,
        }
    }

    async fn reach(place: &str, url: &str, way: &'static Way) -> Result<Self, Failure> {
        let options: AnyConnectOptions = url.parse().map_err(|e| at_place(e, place))?;
        // By itself: a pool tries again until its patience ends, and does not say what was wrong.
        let by_itself = async || {
            let mut first = AnyConnection::connect_with(&options).await?;
            prepare(&mut first, way).await?;
            Ok(first)
        };
        let first = by_itself().await.map_err(|e| at_place(e, place))?;
        let pool = AnyPoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(PATIENCE)
            .after_release(|connection, _| Box::pin(is_usable(connection)))
            .after_connect(move |connection, _| Box::pin(prepare(connection, way)))
            .connect_with(options.clone())
            .await;
        let pool = match pool {
            Ok(pool) => pool,
            Err(in_pool) => return Err(at_place(by_itself().await.err().unwrap_or(in_pool), place)),
        };
        let file = match way.kind {
            Kind::Sqlite => Some(OpenFiles::of(place, first)),
            Kind::Postgres => {
                let _ = first.close().await;
                None
            }
        };
        Ok(Self { pool, kind: way.kind, place: shown(place), file, is_made: false })
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
        if let Some(OpenFiles { path, .. }) = self.file.as_ref().filter(|_| self.is_made) {
            remove(path);
        }
        self.close().await;
    }

    /// For writing: nobody else writes until it ends.
    pub(crate) async fn begin_writing(&self) -> Result<Tx, Failure> {
        match self.kind {
            Kind::Sqlite => {
                let mut tx = self.pool.begin_with("BEGIN IMMEDIATE").await?;
                self.is_still_there()?;
                tx.execute(FORGET).await?;
                Ok(tx)
            }
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

    /// Whether another file stands in the place of the one that is open here.
    pub(crate) fn was_replaced(&self) -> bool {
        let Some(OpenFiles { path, are: [is, ..], .. }) = &self.file else { return false };
        inode(path).is_some_and(|stands| Some(stands) != *is)
    }

    /// What is written into files that were moved away, or whose place others took, is not in the book that others open.
    fn is_still_there(&self) -> Result<(), Failure> {
        let Some(OpenFiles { path, are, .. }) = &self.file else { return Ok(()) };
        if inodes(path) == *are { Ok(()) } else { Err(Failure::Moved(self.place.clone())) }
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
                Ok(self.pool.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY").await?)
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

/// A file that is there and cannot be opened for writing is no missing book. No word of it repeats a password.
fn at_place(error: sqlx::Error, place: &str) -> Failure {
    let failure = match Failure::from(error) {
        Failure::NoBook(words) if Path::new(place).is_file() => Failure::ReadOnly(words),
        other => other,
    };
    failure.with_words(|words| address::without_secrets(words, place))
}

/// The file and what SQLite keeps beside it.
fn remove(path: &Path) {
    for end in PARTS {
        let _ = fs::remove_file(beside(path, end));
    }
}

fn inodes(path: &Path) -> [Option<Inode>; 3] {
    PARTS.map(|end| inode(&beside(path, end)))
}

/// What it is; only on Unix can a file be moved away while it is open.
#[cfg(unix)]
fn inode(path: &Path) -> Option<Inode> {
    use std::os::unix::fs::MetadataExt;
    fs::metadata(path).ok().map(|data| (data.dev(), data.ino()))
}

#[cfg(not(unix))]
const fn inode(_: &Path) -> Option<Inode> {
    None
}

/// A file beside another, named after it.
pub(crate) fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// An empty file that only its owner may read, as it will hold hashes of PINs; SQLite gives what it writes beside it the
/// same mode. `false` = there is a file already, or SQLite is to say why there can be none.
fn make_private(path: &Path) -> bool {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path).is_ok()
}

/// What a file is that is no book: a backup begins as its first line does.
fn what_else(path: &Path) -> Option<fn(String) -> Failure> {
    let mut begins = vec![];
    fs::File::open(path).ok()?.take(8).read_to_end(&mut begins).ok()?;
    match begins.as_slice() {
        [] if is_closed(path) => Some(Failure::Empty),
        // SQLite takes the log of an empty file for another's, and deletes it.
        [] => Some(Failure::Emptied),
        b"{\"line\":" => Some(Failure::NotABook),
        _ => None,
    }
}

/// The file that a name stands for, whether it is there or not: beside it SQLite keeps its log.
pub(crate) fn followed(place: &str) -> PathBuf {
    let mut path = PathBuf::from(place);
    for _ in 0..MOST_LINKS {
        let Ok(to) = fs::read_link(&path) else { break };
        path = path.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    path
}

/// What is left of a book whose file is no longer there.
fn left_beside(path: &Path) -> Option<PathBuf> {
    let ends = PARTS[1..].iter().chain(&["-journal"]);
    ends.map(|end| beside(path, end)).find(|part| fs::symlink_metadata(part).is_ok())
}

/// Nothing of it stands in a log beside it.
fn is_closed(path: &Path) -> bool {
    fs::metadata(beside(path, "-wal")).map_or(true, |log| log.len() == 0)
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
const SQLITE_TO_READ: Way = Way { kind: Kind::Sqlite, statements: &[] };
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
