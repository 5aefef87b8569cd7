//! The checks of a setup: what each demands, its limit, and how far inside it is.

use crate::lift::Corner;

/// Which check, of what. Corners are the vehicle's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Pad centre inside its lifting area.
    PadInArea(Corner),
    /// Pad's rim clear of the keep-out of that index.
    PadToKeepOut(Corner, usize),
    /// Reach beyond the inner stop.
    ReachIn(Corner),
    /// Reach within the outer stop.
    ReachOut(Corner),
    /// Swing inside the `swing_from` stop.
    SwingFrom(Corner),
    /// Swing inside the `swing_to` stop.
    SwingTo(Corner),
    /// Swing on a tooth of the restraint (only a setup as placed can miss it).
    Tooth(Corner),
    /// Beam clear of the wheel at that corner of the vehicle.
    BeamToTyre(Corner, Corner),
    /// Beam clear of the keep-out of that index.
    BeamToKeepOut(Corner, usize),
    /// The two arms of one side clear of each other (the front one is named).
    BeamToBeam(Corner),
    /// Beam passes under the sill.
    BeamUnderSill(Corner),
    /// Pad passes under the vehicle while it is swung in.
    PadEntry(Corner),
    /// Pad heights and adapters take up the undersides.
    Level,
    /// Pad's assured load against its rating.
    PadRating(Corner),
    /// Pad carries its least share.
    PadCarries(Corner),
    /// Load of the pair of pads (front pair when true) against the lift's.
    PairRating {
        /// The front pair, else the rear.
        front: bool,
    },
    /// Front share against the maker's permitted split, its lower end.
    ShareLeast,
    /// The same, its upper end.
    ShareMost,
    /// Front to rear ratio against the rule of 2:3 or 1:3; condition or binding as the shop chose.
    SplitRule,
    /// Least assured edge distance.
    EdgeDistance,
    /// Front wheel on the plate's mark.
    PlateSpot,
    /// The door of that index opens wide enough beside the column.
    Door(usize),
    /// Mirrors or body pass between the columns.
    Between,
    /// The vehicle stays inside the bay, ahead.
    BayAhead,
    /// The same, behind.
    BayBehind,
    /// Total load against the plate.
    Capacity,
    /// Roof clear of the ceiling at the lowest lock.
    Ceiling,
}

impl What {
    /// Stable name of the check, as in the JSON answer: kind, then the thing after a colon.
    #[must_use]
    pub fn id(self) -> String {
        match self {
            Self::PadInArea(c) => format!("pad-in-area:{}", c.name()),
            Self::PadToKeepOut(c, k) => format!("pad-to-keep-out:{}:{}", c.name(), k + 1),
            Self::ReachIn(c) => format!("reach-in:{}", c.name()),
            Self::ReachOut(c) => format!("reach-out:{}", c.name()),
            Self::SwingFrom(c) => format!("swing-from:{}", c.name()),
            Self::SwingTo(c) => format!("swing-to:{}", c.name()),
            Self::Tooth(c) => format!("tooth:{}", c.name()),
            Self::BeamToTyre(c, w) => format!("arm-to-tyre:{}:{}", c.name(), w.name()),
            Self::BeamToKeepOut(c, k) => format!("arm-to-keep-out:{}:{}", c.name(), k + 1),
            Self::BeamToBeam(c) => format!("arm-to-arm:{}", if c.is_left() { "left" } else { "right" }),
            Self::BeamUnderSill(c) => format!("arm-under-sill:{}", c.name()),
            Self::PadEntry(c) => format!("pad-entry:{}", c.name()),
            Self::Level => "level".into(),
            Self::PadRating(c) => format!("pad-rating:{}", c.name()),
            Self::PadCarries(c) => format!("pad-carries:{}", c.name()),
            Self::PairRating { front } => format!("pair-rating:{}", if front { "front" } else { "rear" }),
            Self::ShareLeast => "share-least".into(),
            Self::ShareMost => "share-most".into(),
            Self::SplitRule => "split-rule".into(),
            Self::EdgeDistance => "edge-distance".into(),
            Self::PlateSpot => "plate-spot".into(),
            Self::Door(d) => format!("door:{}", d + 1),
            Self::Between => "between-columns".into(),
            Self::BayAhead => "bay-ahead".into(),
            Self::BayBehind => "bay-behind".into(),
            Self::Capacity => "capacity".into(),
            Self::Ceiling => "ceiling".into(),
        }
    }
}
