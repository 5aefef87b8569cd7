//! Parts of a survey that several programs on several machines work at.
//!
//! A part is taken by locking its row for as long as it is worked at: whoever dies lets go of it with the connection, and
//! another takes it. Nobody waits for a row that somebody else has, and no clock decides. In the same way everybody who works
//! at a survey shares a lock of it, and its parts are taken out only by whoever has that lock alone.

use sqlx::{AnyConnection, Connection as _, Row};

use super::{Kind, Store, Tx};
use crate::failure::Failure;

/// A part that nobody else works at as long as this is held.
#[derive(Debug)]
pub struct Taken {
    tx: Tx,
    survey: String,
    part: i64,
}

impl Taken {
    /// Which part, from 0.
    #[must_use]
    pub fn number(&self) -> u64 {
        u64::try_from(self.part).unwrap_or(0)
    }

    /// Keeps its answer, with who found it.
    ///
    /// # Errors
    /// If the database cannot keep it; then another takes the part.
    pub async fn done(mut self, by: &str, answer: &str) -> Result<(), Failure> {
        sqlx::query("UPDATE survey_part SET done_by = $1, answer = $2 WHERE survey = $3 AND part = $4 AND answer IS NULL")
            .bind(by)
            .bind(answer)
            .bind(&self.survey)
            .bind(self.part)
            .execute(&mut *self.tx)
            .await?;
        self.tx.commit().await?;
        Ok(())
    }
}

/// Somebody at work at a survey: as long as this is held, nobody else takes its parts out.
#[derive(Debug)]
pub struct AtWork {
    connection: AnyConnection,
    survey: String,
}

/// How many parts of a survey are done, of how many that are there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartsDone {
    /// With their answers.
    pub parts: u64,
    /// All.
    pub of: u64,
}

impl Store {
    /// Joins those who work at a survey, and writes down so many parts of it, unless somebody did. Only in PostgreSQL.
    pub(crate) async fn join_survey(&self, survey: &str, parts: u64) -> Result<AtWork, Failure> {
        if self.kind == Kind::Sqlite {
            return Err(Failure::NoSuchKind(self.place.clone()));
        }
        let mut connection = self.connection().await?.detach();
        lock(&mut connection, "SELECT 1 FROM pg_advisory_lock_shared(hashtextextended($1, 0))", survey)
            .await?;
        self.begin_survey(survey, parts).await?;
        Ok(AtWork { connection, survey: survey.to_owned() })
    }

    async fn begin_survey(&self, survey: &str, parts: u64) -> Result<(), Failure> {
        let mut tx = self.begin_writing().await?;
        for part in 0..i64::try_from(parts).unwrap_or(i64::MAX) {
            sqlx::query("INSERT INTO survey_part (survey, part) VALUES ($1, $2) ON CONFLICT (survey, part) DO NOTHING")
                .bind(survey)
                .bind(part)
                .execute(&mut *tx)
                .await?;
        }
        tx.commit().await?;
        Ok(())
    }

    /// The first part that is not done and that nobody works at.
    pub(crate) async fn take_part(&self, survey: &str) -> Result<Option<Taken>, Failure> {
        let mut tx = self.begin_to_write().await?;
        let row = sqlx::query(
            "SELECT part FROM survey_part WHERE survey = $1 AND answer IS NULL ORDER BY part LIMIT 1 FOR UPDATE SKIP LOCKED",
        )
        .bind(survey)
        .fetch_optional(&mut *tx)
        .await?;
        match row {
            Some(row) => Ok(Some(Taken { tx, survey: survey.to_owned(), part: row.try_get("part")? })),
            None => {
                tx.rollback().await?;
                Ok(None)
            }
        }
    }

    /// How many parts are done, of those that are there.
    pub(crate) async fn parts_done(&self, survey: &str) -> Result<PartsDone, Failure> {
        let row = sqlx::query(
            "SELECT COUNT(*) AS all_parts, COUNT(answer) AS done FROM survey_part WHERE survey = $1",
        )
        .bind(survey)
        .fetch_one(&mut *self.connection().await?)
        .await?;
        let count = |name| row.try_get::<i64, _>(name).map(|n| u64::try_from(n).unwrap_or(0));
        Ok(PartsDone { parts: count("done")?, of: count("all_parts")? })
    }

    /// The answer of a part, once it is done.
    pub(crate) async fn part(&self, survey: &str, part: u64) -> Result<Option<String>, Failure> {
        let row = sqlx::query(
            "SELECT answer FROM survey_part WHERE survey = $1 AND part = $2 AND answer IS NOT NULL",
        )
        .bind(survey)
        .bind(i64::try_from(part).unwrap_or(i64::MAX))
        .fetch_optional(&mut *self.connection().await?)
        .await?;
        Ok(row.map(|row| row.try_get("answer")).transpose()?)
    }

    /// Takes a survey's parts out, unless somebody else is still at work at it; whether it did.
    pub(crate) async fn forget_survey(&self, at_work: AtWork) -> Result<bool, Failure> {
        let AtWork { mut connection, survey } = at_work;
        lock(&mut connection, "SELECT 1 WHERE pg_advisory_unlock_shared(hashtextextended($1, 0))", &survey)
            .await?;
        let alone = "SELECT 1 WHERE pg_try_advisory_lock(hashtextextended($1, 0))";
        let is_alone = lock(&mut connection, alone, &survey).await?;
        if is_alone {
            let mut tx = self.begin_writing().await?;
            sqlx::query("DELETE FROM survey_part WHERE survey = $1").bind(&survey).execute(&mut *tx).await?;
            tx.commit().await?;
        }
        connection.close().await?;
        Ok(is_alone)
    }
}

/// Whether a statement about a survey's lock found what it asks for.
async fn lock(
    connection: &mut AnyConnection,
    statement: &'static str,
    survey: &str,
) -> Result<bool, Failure> {
    Ok(sqlx::query(statement).bind(survey).fetch_optional(connection).await?.is_some())
}
