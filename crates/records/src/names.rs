//! Names that people give, and numbers that the book gives.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// Longest name, in characters. Own convention: fits a line of a sheet.
const LONGEST: usize = 40;

/// Why a text is no name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAName(String);

impl fmt::Display for NotAName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” is no name: 1 to {LONGEST} small letters, digits and hyphens, a letter first", self.0)
    }
}

impl std::error::Error for NotAName {}

fn named(text: &str) -> Result<String, NotAName> {
    let legal = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    let good = text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.len() <= LONGEST
        && text.chars().all(legal)
        && !text.ends_with('-');
    if good { Ok(text.to_owned()) } else { Err(NotAName(text.to_owned())) }
}

macro_rules! name {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(String);

        impl $name {
            /// The name as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl FromStr for $name {
            type Err = NotAName;
            fn from_str(text: &str) -> Result<Self, NotAName> {
                named(text).map(Self)
            }
        }

        impl TryFrom<String> for $name {
            type Error = NotAName;
            fn try_from(text: String) -> Result<Self, NotAName> {
                named(&text).map(Self)
            }
        }

        impl From<$name> for String {
            fn from(name: $name) -> Self {
                name.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

name!(
    /// A person of the shop, for example `r-holt`.
    PersonId
);
name!(
    /// A lift, for example `north-bay`.
    LiftId
);
name!(
    /// A vehicle, for example `hatchback-17`.
    VehicleId
);
name!(
    /// A job, for example `rear-axle-off`.
    JobId
);

macro_rules! number {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub u64);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    };
}

number!(
    /// Place of an event in the book, from 1.
    Seq
);
number!(
    /// A raise, from 1.
    RaiseNumber
);
number!(
    /// A defect, from 1.
    DefectNumber
);
number!(
    /// An examination, from 1.
    ExaminationNumber
);
number!(
    /// An incident, from 1.
    IncidentNumber
);
number!(
    /// A situation to practise on, from 1.
    PracticeNumber
);
