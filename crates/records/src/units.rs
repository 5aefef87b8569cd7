//! In which units a shop reads its pages and papers.

use std::fmt;

use serde::{Deserialize, Serialize};

/// The system that a shop reads in, until somebody chooses the other at their tablet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Millimetres and kilograms.
    #[default]
    Metric,
    /// Inches and pounds.
    Us,
}

impl fmt::Display for Units {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Metric => "millimetres and kilograms",
            Self::Us => "inches and pounds",
        })
    }
}
