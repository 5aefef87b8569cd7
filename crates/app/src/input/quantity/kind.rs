//! Kinds of quantities: their units, and how a right one is written.

use planner::plan::Unit;
use statics::quantity::{INCH, POUND, POUND_FORCE, STANDARD_GRAVITY};
use statics::{Angle, Force, Length, Mass, Stiffness};

/// A kind of quantity: its units with exact factors to SI, longest list first shown.
#[derive(Debug)]
pub(crate) struct Kind {
    /// "length".
    pub(crate) name: &'static str,
    /// Spellings and factor of each unit.
    pub(crate) units: &'static [(&'static [&'static str], f64)],
    /// What a right one looks like.
    pub(crate) examples: &'static [&'static str],
}

/// A quantity that can be read from text.
pub(crate) trait Quantity: Copy + std::ops::Mul<f64, Output = Self> + PartialOrd + Default {
    /// Its units and words.
    const KIND: &'static Kind;
    /// From SI.
    fn from_si(value: f64) -> Self;
    /// To SI.
    fn to_si(self) -> f64;
}

/// A share of a whole: "61 %" or "0.61".
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub(crate) struct Share(pub(crate) f64);

impl std::ops::Mul<f64> for Share {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self(self.0 * k)
    }
}

const FOOT: f64 = 12.0 * INCH;

macro_rules! kinds {
    ($($type:ty, $from:path, $to:path, $name:literal, [$($spellings:expr => $factor:expr),*], $examples:expr;)*) => {
        $(impl Quantity for $type {
            const KIND: &'static Kind =
                &Kind { name: $name, units: &[$((&$spellings, $factor)),*], examples: &$examples };
            fn from_si(value: f64) -> Self { $from(value) }
            fn to_si(self) -> f64 { $to(self) }
        })*
        /// Every kind, for the shape pass that meets them by name.
        pub(crate) const KINDS: &[&Kind] = &[$(<$type as Quantity>::KIND),*];
    };
}

fn share_to_si(share: Share) -> f64 {
    share.0
}

kinds! {
    Length, Self::metres, Self::to_metres, "length",
        [["m"] => 1.0, ["mm"] => 1e-3, ["cm"] => 1e-2, ["in", "inch", "inches", "\"", "″"] => INCH,
         ["ft", "foot", "feet", "'", "′"] => FOOT],
        ["2.67 m", "105 in", "8 ft 9 in", "9' 2 1/2\"", "2.67 m +- 5 mm", "2.670 m by tape II"];
    Mass, Self::kilograms, Self::to_kilograms, "mass",
        [["kg"] => 1.0, ["t"] => 1000.0, ["lb", "lbs"] => POUND],
        ["1420 kg", "7000 lb", "1420 kg +- 10 kg", "612 kg by scale III e=0.5 kg", "1420 kg by guess"];
    Force, Self::newtons, Self::to_newtons, "force",
        [["N"] => 1.0, ["kN"] => 1000.0, ["lbf"] => POUND_FORCE, ["kgf"] => STANDARD_GRAVITY],
        ["200 N", "1.5 kN", "45 lbf"];
    Stiffness, Self::newtons_per_metre, Self::to_newtons_per_metre, "stiffness",
        [["N/mm"] => 1000.0, ["N/m"] => 1.0, ["kN/m"] => 1000.0, ["lbf/in"] => POUND_FORCE / INCH],
        ["350 N/mm", "2000 lbf/in"];
    Angle, Self::radians, Self::to_radians, "angle",
        [["deg", "°", "degrees"] => std::f64::consts::PI / 180.0, ["rad"] => 1.0],
        ["5 deg", "0.2 rad"];
    Share, Share, share_to_si, "share",
        [["%"] => 0.01, ["", "g"] => 1.0],
        ["61 %", "0.61", "61 % +- 2 %"];
}

/// Marks a text of this kind in a JSON Schema.
pub(crate) fn format_of(kind: &Kind) -> String {
    format!("standfast-{}", kind.name)
}

/// To which side a figure in a message is rounded.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Round {
    Nearest,
    /// The least that is allowed.
    Up,
    /// The most that is allowed.
    Down,
}

/// The value as a person would write it, in the unit of what was written before, or in the usual one.
pub(crate) fn show_like(kind: &Kind, value: f64, written: &str) -> String {
    show_rounded(kind, value, written, Round::Nearest)
}

/// The same, rounded to one side.
pub(crate) fn show_rounded(kind: &Kind, value: f64, written: &str, to: Round) -> String {
    let (unit, factor) = unit_of(kind, written).unwrap_or_else(|| usual_unit(kind));
    let number = if value.abs() < 1e-9 { 0.0 } else { value / factor };
    let places = places_of(unit).max(first_digit(number));
    let scale = 10f64.powi(places);
    // A bound that is exact but for the last bits stays what it is.
    let scaled = number * scale;
    let whole = match to {
        Round::Nearest => scaled.round(),
        Round::Up => (scaled - 1e-6).ceil(),
        Round::Down => (scaled + 1e-6).floor(),
    };
    let text = format!("{:.*}", usize::try_from(places).unwrap_or(0), whole / scale);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    let text = if text == "-0" { "0" } else { text };
    if unit.is_empty() { text.to_owned() } else { format!("{text} {unit}") }
}

/// The value as a person would write it, in the usual unit.
pub(crate) fn show<Q: Quantity>(quantity: Q) -> String {
    show_like(Q::KIND, quantity.to_si(), "")
}

/// The decimal in which the first digit stands that is not zero, so that little is never shown as nothing.
fn first_digit(number: f64) -> i32 {
    (1..9).find(|places| (number * 10f64.powi(*places)).abs() >= 0.95).filter(|_| number != 0.0).unwrap_or(0)
}

/// Decimals that a person would write: a tape to the millimetre, a scale to 100 g, a gauge to 0.1 degree.
fn places_of(unit: &str) -> i32 {
    match unit {
        "m" | "t" | "kN" | "rad" | "" | "ft" => 3,
        "in" | "cm" => 2,
        "N/m" => 0,
        _ => 1,
    }
}

/// The smallest unit that stands in the text; inches for feet, as whole feet say little.
fn unit_of(kind: &Kind, written: &str) -> Option<(&'static str, f64)> {
    let value = written.split("+-").next().unwrap_or_default().split(" by ").next().unwrap_or_default();
    let words = value.split(|c: char| c.is_whitespace() || c.is_ascii_digit() || "+-,./−".contains(c));
    let known = words.filter(|w| !w.is_empty()).filter_map(|word| {
        kind.units.iter().find(|(names, _)| names.contains(&word)).map(|(names, factor)| (names[0], *factor))
    });
    let least = known.min_by(|a, b| a.1.total_cmp(&b.1));
    let bare =
        || kind.units.iter().find(|(names, _)| names[0].is_empty()).filter(|_| !value.trim().is_empty());
    match least {
        Some(("ft", _)) => kind.units.iter().find(|(names, _)| names[0] == "in").map(|(n, f)| (n[0], *f)),
        Some(unit) => Some(unit),
        None => bare().map(|(names, factor)| (names[0], *factor)),
    }
}

/// The first of the list: metres, kilograms, newtons, newtons per millimetre, degrees, per cent.
fn usual_unit(kind: &Kind) -> (&'static str, f64) {
    kind.units.first().map_or(("", 1.0), |(names, factor)| (names[0], *factor))
}

impl Kind {
    /// "a length", "an angle".
    pub(crate) fn one(&self) -> String {
        let article = if self.name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
        format!("{article} {}", self.name)
    }

    /// The unit of a plan's figure of this kind.
    pub(crate) fn unit(&self) -> Unit {
        match self.name {
            "length" => Unit::Metre,
            "mass" => Unit::Kilogram,
            "force" => Unit::Push,
            "stiffness" => Unit::NewtonPerMetre,
            "angle" => Unit::Radian,
            _ => Unit::Ratio,
        }
    }
}

/// What a right one looks like.
pub(crate) fn right(kind: &Kind) -> String {
    format!("{} is written as {}", kind.one(), examples(kind))
}

/// Two examples.
pub(crate) fn examples(kind: &Kind) -> String {
    kind.examples.iter().take(2).map(|e| format!("{e:?}")).collect::<Vec<_>>().join(" or ")
}

pub(super) fn unit_list(kind: &Kind) -> String {
    kind.units.iter().map(|(names, _)| names[0]).filter(|n| !n.is_empty()).collect::<Vec<_>>().join(", ")
}
