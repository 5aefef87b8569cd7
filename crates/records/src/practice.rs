//! Practice: a situation that somebody sets, and what others make of it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::digest::Digest;
use crate::names::PracticeNumber;

/// A situation to practise on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Situation {
    /// What it is called.
    pub name: String,
    /// A word to the learner.
    pub note: Option<String>,
    /// The exact inputs, by what they are: `lift`, `vehicle`, and what else there is.
    pub inputs: BTreeMap<String, Digest>,
    /// What the learner is not shown.
    pub hides: BTreeSet<Hidden>,
}

/// What a learner may not be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hidden {
    /// Where the centre of gravity is.
    CentreOfGravity,
    /// What each pad would carry, and the load on the axles.
    Loads,
    /// The plate's mark.
    Mark,
    /// Where the vehicle maker allows a pad.
    LiftAreas,
}

impl Hidden {
    /// All.
    pub const ALL: [Self; 4] = [Self::CentreOfGravity, Self::Loads, Self::Mark, Self::LiftAreas];
}

impl fmt::Display for Hidden {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::CentreOfGravity => "centre of gravity",
            Self::Loads => "loads",
            Self::Mark => "mark of the plate",
            Self::LiftAreas => "lifting areas",
        })
    }
}

/// What was practised on.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Practised {
    /// A situation of the book.
    Set(PracticeNumber),
    /// One that the program carries, by its name.
    Invented(String),
}

impl fmt::Display for Practised {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Set(number) => number.fmt(f),
            Self::Invented(name) => f.write_str(name),
        }
    }
}

/// An attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Attempt {
    /// Where vehicle and pads were, as an as-placed file.
    pub setup: Digest,
    /// What would have happened.
    pub end: PracticeEnd,
}

/// What would have happened, as the program computed it that day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", rename_all_fields = "kebab-case")]
pub enum PracticeEnd {
    /// It may be raised like this, under conditions or none.
    MayBeRaised,
    /// It must not: so many checks fail.
    MustNot {
        /// Reasons, checks of one kind counted once.
        reasons: u64,
    },
    /// It tips.
    Tips {
        /// Over which edge of the figure that the pads span: "front", "left", "diagonal".
        over: String,
    },
}
