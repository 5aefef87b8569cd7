//! The check before use: what is looked at.

use std::fmt;

use serde::{Deserialize, Serialize};

/// One thing to look at before a lift is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CheckItem {
    /// The controls stop when let go.
    HoldToRun,
    /// The marks for positioning are there and readable.
    PositioningMarks,
    /// The locks engage and are heard on both columns.
    Locks,
    /// The arms' restraints hold.
    ArmRestraints,
    /// Both carriages run alike.
    Synchronisation,
    /// Nothing leaks, the carriages do not sink.
    Leaks,
    /// Pads and adapters are whole.
    Pads,
    /// The room around it is clear.
    Clearance,
}

/// Every item, its words, where it comes from.
const ITEMS: [(CheckItem, &str, &str); 8] = [
    (
        CheckItem::HoldToRun,
        "controls stop when let go",
        "MIOSHA R 408.17251-53; Alberta OHS Code section 113",
    ),
    (CheckItem::PositioningMarks, "marks for positioning readable", "MIOSHA R 408.17251-53"),
    (CheckItem::Locks, "locks engage and are heard on both columns", "common practice, no source"),
    (CheckItem::ArmRestraints, "arms' restraints hold", "HSE OC 803/69, SIM 03/2010/2"),
    (
        CheckItem::Synchronisation,
        "carriages within 50 mm of each other",
        "DGUV Information 208-015 sections 5-6",
    ),
    (
        CheckItem::Leaks,
        "no leak, carriages sink no more than 100 mm",
        "DGUV Information 208-015 sections 5-6",
    ),
    (CheckItem::Pads, "pads and adapters whole", "common practice, no source"),
    (
        CheckItem::Clearance,
        "half a metre clear to fixed parts, floor clear",
        "DGUV Information 109-008 section 4.18.2",
    ),
];

impl CheckItem {
    /// All, in the order in which they are looked at.
    pub fn all() -> impl Iterator<Item = Self> {
        ITEMS.iter().map(|row| row.0)
    }

    /// Where it comes from.
    #[must_use]
    pub fn source(self) -> &'static str {
        ITEMS.iter().find(|row| row.0 == self).map_or("", |row| row.2)
    }
}

impl fmt::Display for CheckItem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(ITEMS.iter().find(|row| row.0 == *self).map_or("", |row| row.1))
    }
}
