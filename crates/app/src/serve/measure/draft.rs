//! What somebody has measured so far: kept by the house, so that nothing is lost by going back, to another page or
//! another tablet, or by being signed out meanwhile. It lives as long as this program.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use records::PersonId;
use serde::Deserialize;

use super::Subject;
use super::question::{Answer, Answers};

/// The answers so far, and how this person measures.
#[derive(Clone, Debug, Default)]
pub(crate) struct Draft {
    pub(super) answers: Answers,
    /// Unit and way of measuring that were used last, by kind of quantity.
    pub(super) habits: BTreeMap<&'static str, Answer>,
    /// The plan that it was begun from.
    pub(super) back: Back,
}

/// Where a plan waits for what is measured: with which lift, for which job.
#[derive(Clone, Debug, Default, Deserialize)]
pub(crate) struct Back {
    #[serde(default)]
    pub(super) lift: String,
    #[serde(default)]
    pub(super) job: String,
}

/// One for each person and each kind of thing; how somebody measures goes along from one to the next.
#[derive(Default)]
pub(crate) struct Drafts(Mutex<Kept>);

#[derive(Default)]
struct Kept {
    drafts: BTreeMap<(PersonId, Subject), Draft>,
    habits: BTreeMap<PersonId, BTreeMap<&'static str, Answer>>,
}

impl Drafts {
    pub(super) fn of(&self, person: &PersonId, subject: Subject) -> Draft {
        self.with(person, subject, |draft| draft.clone())
    }

    /// Looks at it, or changes it.
    pub(super) fn with<T>(
        &self,
        person: &PersonId,
        subject: Subject,
        see: impl FnOnce(&mut Draft) -> T,
    ) -> T {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let Kept { drafts, habits } = &mut *kept;
        let draft = drafts.entry((person.clone(), subject)).or_default();
        let habits = habits.entry(person.clone()).or_default();
        draft.habits.clone_from(habits);
        let seen = see(draft);
        habits.clone_from(&draft.habits);
        seen
    }
}
