//! Tables, by numbered steps that only go forward.

use sqlx::{Executor, Row};

use super::{Kind, Store};
use crate::failure::Failure;

/// Step by step; a released step is never changed. `KEY` is the type of a number that is a table's key.
const STEPS: &[&[&str]] = &[&[
    "CREATE TABLE event (seq KEY PRIMARY KEY, at_microseconds BIGINT NOT NULL, zone TEXT NOT NULL, by_person TEXT NOT NULL, \
     with_person TEXT NOT NULL, fact TEXT NOT NULL, before_hash TEXT NOT NULL, hash TEXT NOT NULL, day TEXT NOT NULL)",
    "CREATE INDEX event_day ON event (day)",
    "CREATE TABLE subject (subject TEXT NOT NULL, seq BIGINT NOT NULL, PRIMARY KEY (subject, seq))",
    "CREATE INDEX subject_seq ON subject (seq)",
    "CREATE TABLE document (digest TEXT PRIMARY KEY, content TEXT NOT NULL)",
    "CREATE TABLE head (only_row KEY PRIMARY KEY, seq BIGINT NOT NULL, hash TEXT NOT NULL)",
    "CREATE TABLE fold (only_row KEY PRIMARY KEY, version BIGINT NOT NULL, seq BIGINT NOT NULL, hash TEXT NOT NULL, shop TEXT NOT NULL)",
    "CREATE TABLE pin (person TEXT PRIMARY KEY, hash TEXT NOT NULL, failures BIGINT NOT NULL, locks BIGINT NOT NULL, \
     locked_until BIGINT NOT NULL)",
]];

/// The newest version that this program knows.
pub(crate) fn newest() -> i64 {
    i64::try_from(STEPS.len()).unwrap_or(i64::MAX)
}

impl Store {
    /// Version of the tables; 0 = there are none. Refuses what a newer program has written.
    pub(crate) async fn version(&self) -> Result<i64, Failure> {
        let there = match self.kind {
            Kind::Sqlite => {
                "SELECT COUNT(*) AS n FROM sqlite_master WHERE type = 'table' AND name = 'book_version'"
            }
            Kind::Postgres => {
                "SELECT COUNT(*) AS n FROM information_schema.tables WHERE table_schema = current_schema() AND table_name = 'book_version'"
            }
        };
        let there: i64 = sqlx::query(there).fetch_one(&self.pool).await?.try_get("n")?;
        if there == 0 {
            return Ok(0);
        }
        let row = sqlx::query("SELECT COALESCE(MAX(version), 0) AS version FROM book_version")
            .fetch_one(&self.pool)
            .await?;
        let book: i64 = row.try_get("version")?;
        if book > newest() {
            return Err(Failure::NewerBook { book, program: newest() });
        }
        Ok(book)
    }

    /// Makes the tables, or brings them forward.
    pub(crate) async fn bring_forward(&self) -> Result<(), Failure> {
        if self.version().await? == newest() {
            return Ok(());
        }
        let mut tx = self.begin_writing().await?;
        tx.execute("CREATE TABLE IF NOT EXISTS book_version (version BIGINT NOT NULL)").await?;
        let row = sqlx::query("SELECT COALESCE(MAX(version), 0) AS version FROM book_version")
            .fetch_one(&mut *tx)
            .await?;
        let from: i64 = row.try_get("version")?;
        for (number, step) in (1_i64..).zip(STEPS).filter(|(number, _)| *number > from) {
            for statement in *step {
                // A key of this type is the row's own place in SQLite, so that a row needs no second tree to be found.
                let key = if self.kind == Kind::Sqlite { "INTEGER" } else { "BIGINT" };
                tx.execute(sqlx::AssertSqlSafe(statement.replace("KEY PRIMARY", &format!("{key} PRIMARY"))))
                    .await?;
            }
            sqlx::query("INSERT INTO book_version (version) VALUES ($1)")
                .bind(number)
                .execute(&mut *tx)
                .await?;
        }
        tx.commit().await?;
        Ok(())
    }
}
