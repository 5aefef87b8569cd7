//! Surveys that several machines work at: their parts lie beside the chain, and are no part of the shop.

use super::Book;
use crate::failure::Failure;
use crate::store::parts::{AtWork, PartsDone, Taken};

impl Book {
    /// Joins those who work at a survey, known by what it asks, and writes down so many parts of it, unless somebody did. Only
    /// in PostgreSQL.
    ///
    /// # Errors
    /// If the database cannot.
    pub async fn join_survey(&self, survey: &str, parts: u64) -> Result<AtWork, Failure> {
        self.store.join_survey(survey, parts).await
    }

    /// A part that is not done and that nobody works at, if there is one.
    ///
    /// # Errors
    /// If the database cannot.
    pub async fn take_part(&self, survey: &str) -> Result<Option<Taken>, Failure> {
        self.store.take_part(survey).await
    }

    /// How many parts of a survey are done, of those that are there.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub async fn parts_done(&self, survey: &str) -> Result<PartsDone, Failure> {
        self.store.parts_done(survey).await
    }

    /// The answer of a part, from 0, once it is done.
    ///
    /// # Errors
    /// If the database cannot be read.
    pub async fn part(&self, survey: &str, part: u64) -> Result<Option<String>, Failure> {
        self.store.part(survey, part).await
    }

    /// Takes a survey's parts out, unless somebody else is still at work at it; whether it did.
    ///
    /// # Errors
    /// If the database cannot.
    pub async fn forget_survey(&self, at_work: AtWork) -> Result<bool, Failure> {
        self.store.forget_survey(at_work).await
    }
}
