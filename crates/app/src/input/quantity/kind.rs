//! Kinds of quantities: their units, and how a right one is written.

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
        [["N/m"] => 1.0, ["N/mm"] => 1000.0, ["kN/m"] => 1000.0, ["lbf/in"] => POUND_FORCE / INCH],
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

/// The value in its SI unit as text that parses back to the same value.
pub(crate) fn show<Q: Quantity>(quantity: Q) -> String {
    show_si(Q::KIND, quantity.to_si())
}

/// The same for a kind that is known only by name.
pub(crate) fn show_si(kind: &Kind, value: f64) -> String {
    let unit =
        kind.units.iter().find(|(_, factor)| (factor - 1.0).abs() < 1e-15).map_or("", |(names, _)| names[0]);
    format!("{value} {unit}").trim_end().to_owned()
}

/// What a right one looks like.
pub(crate) fn right(kind: &Kind) -> String {
    format!("a {} is written as {}", kind.name, examples(kind))
}

/// Two examples.
pub(crate) fn examples(kind: &Kind) -> String {
    kind.examples.iter().take(2).map(|e| format!("{e:?}")).collect::<Vec<_>>().join(" or ")
}

pub(super) fn unit_list(kind: &Kind) -> String {
    kind.units.iter().map(|(names, _)| names[0]).filter(|n| !n.is_empty()).collect::<Vec<_>>().join(", ")
}
