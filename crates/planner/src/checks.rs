//! The checks of a setup: what each demands, its limit, and how far inside it is.

use crate::lift::Corner;
use crate::limits::Name;
use crate::plan::{Check, Sense, Unit};

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
    /// Assured distance from the edge of the support polygon between these two pads.
    EdgeDistance(Corner, Corner),
    /// Assured tip ratio.
    TipRatio,
    /// What is withstood of a task's force, in the worst of its directions, against its size.
    WorkForce {
        /// Index of the task.
        task: usize,
        /// Index of the force within it.
        force: usize,
    },
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
            Self::EdgeDistance(a, b) => format!("edge-distance:{}", edge_name(a, b)),
            Self::TipRatio => "tip-ratio".into(),
            Self::WorkForce { task, force } => format!("working-force:{}:{}", task + 1, force + 1),
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

/// A check carries at most this reserve; more says nothing.
pub const RESERVE_MOST: f64 = 9.0;

/// Reserve of something that must be at least so much: available / required - 1.
#[must_use]
pub fn at_least(available: f64, required: f64) -> f64 {
    if required > 0.0 {
        (available / required - 1.0).min(RESERVE_MOST)
    } else if available >= required {
        RESERVE_MOST
    } else {
        -1.0 + available - required
    }
}

/// Reserve of something that may be at most so much: limit / demand - 1.
#[must_use]
pub fn at_most(demand: f64, limit: f64) -> f64 {
    if demand > 0.0 { (limit / demand - 1.0).min(RESERVE_MOST) } else { RESERVE_MOST }
}

/// A reserve in the steps in which it is told, in per cent: never rounded up, so that what fails is never told to fail by less;
/// tenths below ten, else whole; minus infinity where it fails by more than all of its limit.
#[must_use]
pub fn told(reserve: f64) -> f64 {
    let size = reserve.abs() * 100.0;
    let steps = if size < 10.0 { 10.0 } else { 1.0 };
    let down = (size * steps + 1e-6).floor() / steps;
    let up = (size * steps - 1e-6).ceil() / steps;
    match reserve {
        r if r >= RESERVE_MOST => 100.0 * RESERVE_MOST,
        r if r < -1.0 => f64::NEG_INFINITY,
        // What fails by hardly anything fails.
        r if r < 0.0 => -up.max(0.1),
        _ => down,
    }
}

/// "front", "left", ... for neighbouring pads; "diagonal" where a pad lies inside the others.
#[must_use]
pub const fn edge_name(a: Corner, b: Corner) -> &'static str {
    match (a.is_front(), b.is_front(), a.is_left(), b.is_left()) {
        (true, true, _, _) => "front",
        (false, false, _, _) => "rear",
        (_, _, true, true) => "left",
        (_, _, false, false) => "right",
        _ => "diagonal",
    }
}

impl What {
    /// Which way its limit lies.
    #[must_use]
    pub const fn sense(self) -> Sense {
        match self {
            Self::Level
            | Self::Tooth(_)
            | Self::PadRating(_)
            | Self::PairRating { .. }
            | Self::ShareMost
            | Self::SplitRule
            | Self::PlateSpot
            | Self::Capacity => Sense::AtMost,
            Self::PadInArea(_)
            | Self::PadToKeepOut(..)
            | Self::ReachIn(_)
            | Self::ReachOut(_)
            | Self::SwingFrom(_)
            | Self::SwingTo(_)
            | Self::BeamToTyre(..)
            | Self::BeamToKeepOut(..)
            | Self::BeamToBeam(_)
            | Self::BeamUnderSill(_)
            | Self::PadEntry(_)
            | Self::PadCarries(_)
            | Self::ShareLeast
            | Self::EdgeDistance(..)
            | Self::TipRatio
            | Self::WorkForce { .. }
            | Self::Door(_)
            | Self::Between
            | Self::BayAhead
            | Self::BayBehind
            | Self::Ceiling => Sense::AtLeast,
        }
    }

    /// SI unit of demand and limit.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::SwingFrom(_) | Self::SwingTo(_) | Self::Tooth(_) | Self::Level | Self::Door(_) => {
                Unit::Radian
            }
            Self::PadRating(_) | Self::PairRating { .. } => Unit::Newton,
            Self::WorkForce { .. } => Unit::Push,
            Self::TipRatio => Unit::Gravity,
            Self::PadCarries(_) | Self::ShareLeast | Self::ShareMost | Self::SplitRule => Unit::Ratio,
            Self::Capacity => Unit::Kilogram,
            Self::PadInArea(_)
            | Self::PadToKeepOut(..)
            | Self::ReachIn(_)
            | Self::ReachOut(_)
            | Self::BeamToTyre(..)
            | Self::BeamToKeepOut(..)
            | Self::BeamToBeam(_)
            | Self::BeamUnderSill(_)
            | Self::PadEntry(_)
            | Self::EdgeDistance(..)
            | Self::PlateSpot
            | Self::Between
            | Self::BayAhead
            | Self::BayBehind
            | Self::Ceiling => Unit::Metre,
        }
    }

    /// The row of the limits' table that it is held against, if it is one.
    #[must_use]
    pub const fn limit(self) -> Option<Name> {
        Some(match self {
            Self::PadInArea(_) => Name::Placing,
            Self::PadToKeepOut(..) => Name::PadClearance,
            Self::ReachIn(_) | Self::ReachOut(_) => Name::ReachSetting,
            Self::SwingFrom(_) | Self::SwingTo(_) | Self::Tooth(_) => Name::SwingSetting,
            Self::BeamToTyre(..) => Name::BeamToTyre,
            Self::BeamToKeepOut(..) => Name::BeamToKeepOut,
            Self::BeamToBeam(_) => Name::BeamToBeam,
            Self::BeamUnderSill(_) => Name::BeamToSill,
            Self::PadEntry(_) => Name::PadEntry,
            Self::Level => Name::Level,
            Self::PadCarries(_) => Name::PadShare,
            Self::EdgeDistance(..) => Name::EdgeDistance,
            Self::TipRatio => Name::TipRatio,
            Self::Door(_) => Name::DoorWay,
            Self::Between => Name::ColumnAir,
            Self::BayAhead | Self::BayBehind => Name::BayAir,
            Self::Ceiling => Name::RoofAir,
            Self::PadRating(_)
            | Self::PairRating { .. }
            | Self::ShareLeast
            | Self::ShareMost
            | Self::SplitRule
            | Self::WorkForce { .. }
            | Self::PlateSpot
            | Self::Capacity => return None,
        })
    }

    /// Whether pad heights and adapters decide it.
    pub(crate) const fn is_of_heights(self) -> bool {
        matches!(self, Self::Level | Self::BeamUnderSill(_) | Self::PadEntry(_))
    }

    /// Whether a setup that fails it is none: its pads are not on their areas, or its arms beyond their stops.
    pub(crate) const fn makes_a_setup(self) -> bool {
        matches!(
            self,
            Self::PadInArea(_) | Self::ReachIn(_) | Self::ReachOut(_) | Self::SwingFrom(_) | Self::SwingTo(_)
        )
    }

    /// Whether the setup can change it, so that the search steers by it. The plate's mark is aimed at:
    /// its tolerance is the driver's, and no room for the search.
    #[must_use]
    pub const fn steers(self) -> bool {
        !matches!(self, Self::Capacity | Self::Ceiling | Self::Between | Self::PlateSpot)
    }
}

/// One smooth piece of a check: a check's reserve is the least of its pieces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Piece {
    pub(crate) what: What,
    pub(crate) state: Option<usize>,
    pub(crate) demand: f64,
    pub(crate) limit: f64,
    pub(crate) reserve: f64,
    pub(crate) binding: bool,
    pub(crate) source: &'static str,
}

impl Piece {
    pub(crate) fn new(what: What, demand: f64, limit: f64, source: &'static str) -> Self {
        let reserve = match what.sense() {
            Sense::AtLeast => at_least(demand, limit),
            Sense::AtMost => at_most(demand, limit),
        };
        Self { what, state: None, demand, limit, reserve, binding: true, source }
    }

    pub(crate) fn steers(&self) -> bool {
        self.binding && self.what.steers()
    }

    /// The same with another demand.
    pub(crate) fn demanding(&self, demand: f64) -> Self {
        Self {
            state: self.state,
            binding: self.binding,
            ..Self::new(self.what, demand, self.limit, self.source)
        }
    }
}

/// Where measures go: all of them, or only what a search asks.
pub(crate) trait Sink {
    fn take(&mut self, piece: Piece);

    /// Of a reserve above this, any between it and the true one will do.
    fn beyond(&self) -> f64 {
        f64::INFINITY
    }
}

impl Sink for Vec<Piece> {
    fn take(&mut self, piece: Piece) {
        self.push(piece);
    }
}

/// The reserves of the pieces that steer.
impl Sink for Vec<f64> {
    fn take(&mut self, piece: Piece) {
        if piece.steers() {
            self.push(piece.reserve);
        }
    }
}

/// The least reserve of the pieces that steer.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Least(pub(crate) f64);

impl Least {
    /// Of what `measure` measures.
    pub(crate) fn of(measure: impl FnOnce(&mut Self)) -> f64 {
        let mut least = Self(f64::INFINITY);
        measure(&mut least);
        least.0
    }
}

impl Sink for Least {
    fn take(&mut self, piece: Piece) {
        if piece.steers() {
            self.0 = self.0.min(piece.reserve);
        }
    }

    fn beyond(&self) -> f64 {
        self.0
    }
}

/// Whether one piece of a check holds it more than another; where reserves end, demands still differ.
fn worse(check: &Check, known: &Check) -> bool {
    let demand = match check.sense {
        Sense::AtLeast => check.demand < known.demand,
        Sense::AtMost => check.demand > known.demand,
    };
    let both_most = known.reserve >= RESERVE_MOST && check.reserve >= RESERVE_MOST;
    check.reserve < known.reserve || both_most && demand
}

/// Folds pieces into checks, each with its worst piece, in the order of first appearance.
pub(crate) fn fold(pieces: &[Piece]) -> Vec<Check> {
    let mut checks: Vec<Check> = Vec::new();
    for p in pieces {
        let check = Check {
            what: p.what,
            state: p.state,
            demand: p.demand,
            limit: p.limit,
            unit: p.what.unit(),
            sense: p.what.sense(),
            reserve: p.reserve,
            binding: p.binding,
            steers: p.what.steers(),
            source: p.source,
            mend: None,
            why: None,
        };
        match checks.iter_mut().find(|c| c.what == p.what && c.state == p.state) {
            Some(known) if worse(&check, known) => *known = check,
            Some(_) => {}
            None => checks.push(check),
        }
    }
    checks
}
