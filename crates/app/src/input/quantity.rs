//! One parser for every quantity that a person writes: number, unit, and how far it may be off.

use statics::quantity::{INCH, POUND, POUND_FORCE, STANDARD_GRAVITY};
use statics::{Angle, Force, Length, Mass, Stiffness};

use super::tape;

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
        [["%"] => 0.01, [""] => 1.0],
        ["61 %", "0.61", "61 % +- 2 %"];
}

/// Marks a text of this kind in a JSON Schema.
pub(crate) fn format_of(kind: &Kind) -> String {
    format!("standfast-{}", kind.name)
}

/// A quantity as it was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Written<Q> {
    pub(crate) value: Q,
    pub(crate) tolerance: Tolerance<Q>,
}

/// How far a written value may be off, and who says so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tolerance<Q> {
    /// Nothing was written.
    NotStated,
    /// Written as "+- so much", or by the class of the tape or scale.
    Stated(Q),
    /// The value is said to be a guess.
    Guessed(Q),
}

/// What is wrong with the text, and what would be right.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fault {
    pub(crate) message: String,
    pub(crate) help: String,
}

/// Parses a quantity with its tolerance.
///
/// `2.67 m`, `9' 2 1/2"`, `1420 kg +- 10 kg`, `61 % ± 2 %`, `2.670 m by tape II`,
/// `612 kg by scale III e=0.5 kg`, `1420 kg by guess`.
pub(crate) fn parse<Q: Quantity>(text: &str) -> Result<Written<Q>, Fault> {
    let raw = parse_kind(Q::KIND, text)?;
    let tolerance = match raw.tolerance {
        Tolerance::NotStated => Tolerance::NotStated,
        Tolerance::Stated(t) => Tolerance::Stated(Q::from_si(t)),
        Tolerance::Guessed(t) => Tolerance::Guessed(Q::from_si(t)),
    };
    Ok(Written { value: Q::from_si(raw.value), tolerance })
}

/// The same in SI, for a kind that is known only by name.
pub(crate) fn parse_kind(kind: &Kind, text: &str) -> Result<Written<f64>, Fault> {
    if text.len() > 200 {
        return fault(
            format!("{:?} and so on is far too long", text.chars().take(40).collect::<String>()),
            right(kind),
        );
    }
    let plain = text.replace("+/-", "+-").replace('±', "+-");
    let (value_text, rest) = match (plain.split_once("+-"), plain.split_once(" by ")) {
        (Some(_), Some(_)) => {
            return fault(
                format!("{text:?} says twice how far it may be off"),
                "write either +- or by, not both",
            );
        }
        (Some((value, off)), None) => (value, Rest::Off(off)),
        (None, Some((value, way))) => (value, Rest::Way(way)),
        (None, None) => (plain.as_str(), Rest::Nothing),
    };
    let value = compound(kind, value_text, text)?;
    let tolerance = match rest {
        Rest::Nothing => Tolerance::NotStated,
        Rest::Off(off) => Tolerance::Stated(off_by(kind, value, off, text)?),
        Rest::Way(way) => tape::by(kind, value, way, text)?,
    };
    Ok(Written { value, tolerance })
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

enum Rest<'a> {
    Nothing,
    Off(&'a str),
    Way(&'a str),
}

fn off_by(kind: &Kind, value: f64, off: &str, whole: &str) -> Result<f64, Fault> {
    let off = off.trim();
    let size = match off.strip_suffix('%') {
        Some(percent) if kind.name != "share" => {
            let (number, rest) = number(percent.trim()).ok_or_else(|| not_a_number(kind, percent, whole))?;
            if !rest.trim().is_empty() {
                return Err(not_a_number(kind, percent, whole));
            }
            value.abs() * number / 100.0
        }
        _ => compound(kind, off, whole)?,
    };
    if size < 0.0 {
        return fault(
            format!("{whole:?}: the part after +- is negative"),
            "write it without a sign: it holds either way",
        );
    }
    finite(size, whole)
}

/// Numbers with units one after another: `8 ft 9 in`. All but the first must be smaller units.
pub(super) fn compound(kind: &Kind, text: &str, whole: &str) -> Result<f64, Fault> {
    let mut rest = text.trim();
    let negative = rest.starts_with('-') || rest.starts_with('−');
    rest = rest.trim_start_matches(['-', '−', '+']).trim_start();
    if text.trim().chars().take_while(|c| "-−+".contains(*c)).count() > 1 {
        return Err(not_a_number(kind, text, whole));
    }
    if rest.is_empty() {
        return fault(format!("{whole:?} has no number"), right(kind));
    }
    let (mut sum, mut last_factor) = (0.0, f64::INFINITY);
    while !rest.is_empty() {
        let (value, after) = number(rest).ok_or_else(|| not_a_number(kind, rest, whole))?;
        let after = after.trim_start();
        if after.starts_with(',') {
            return fault(
                format!("{whole:?}: a comma is not read in a number"),
                "write 2.67 with a point, and 7000 without a comma",
            );
        }
        let unit_end = after
            .find(|c: char| c.is_whitespace() || c.is_ascii_digit() || "+-,.".contains(c))
            .unwrap_or(after.len());
        let (unit, after) = after.split_at(unit_end);
        let factor = factor_of(kind, unit, whole)?;
        if factor >= last_factor || (last_factor.is_finite() && kind.name != "length") {
            return fault(format!("{whole:?}: {unit:?} cannot follow"), right(kind));
        }
        sum += value * factor;
        last_factor = factor;
        rest = after.trim_start();
    }
    finite(if negative { -sum } else { sum }, whole)
}

/// A decimal, a fraction or a whole number and a fraction; and what follows it.
fn number(text: &str) -> Option<(f64, &str)> {
    let (whole, rest) = decimal(text)?;
    if let Some(under) = rest.strip_prefix('/') {
        let (below, rest) = decimal(under)?;
        return (below > 0.0).then_some((whole / below, rest));
    }
    let spaced = rest.trim_start();
    if spaced.len() < rest.len()
        && let Some((above, after)) = decimal(spaced)
        && let Some((below, after)) = after.strip_prefix('/').and_then(decimal)
    {
        return (below > 0.0).then_some((whole + above / below, after));
    }
    Some((whole, rest))
}

fn decimal(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    // "1." and ".5" are typed often enough; "." and "1.2.3" are refused by the parse.
    digits.parse::<f64>().ok().map(|value| (value, rest))
}

fn factor_of(kind: &Kind, unit: &str, whole: &str) -> Result<f64, Fault> {
    if let Some((_, factor)) = kind.units.iter().find(|(names, _)| names.contains(&unit)) {
        return Ok(*factor);
    }
    let known = || format!("units of {} that are known: {}", kind.name, unit_list(kind));
    if unit.is_empty() {
        return fault(
            format!("{whole:?} has no unit"),
            format!("write it as {}; {}", examples(kind), known()),
        );
    }
    if let Some(other) = KINDS.iter().find(|k| k.units.iter().any(|(names, _)| names.contains(&unit))) {
        return fault(
            format!("{whole:?}: {unit:?} is a unit of {}, and this is a {}", other.name, kind.name),
            format!("write it as {}; {}", examples(kind), known()),
        );
    }
    fault(format!("{whole:?}: {unit:?} is not a unit of {}", kind.name), known())
}

fn not_a_number(kind: &Kind, part: &str, whole: &str) -> Fault {
    let word = part.trim().to_lowercase();
    let message = if ["nan", "inf", "infinity"].iter().any(|w| word.starts_with(w)) {
        format!("{whole:?}: NaN and infinity are not values")
    } else {
        format!("{whole:?} cannot be read at {:?}", part.trim())
    };
    Fault { message, help: right(kind) }
}

fn finite(value: f64, whole: &str) -> Result<f64, Fault> {
    if value.is_finite() {
        Ok(value)
    } else {
        fault(format!("{whole:?} is too large to be a number here"), "write a finite number")
    }
}

/// What a right one looks like.
pub(crate) fn right(kind: &Kind) -> String {
    format!("a {} is written as {}", kind.name, examples(kind))
}

/// Two examples.
pub(crate) fn examples(kind: &Kind) -> String {
    kind.examples.iter().take(2).map(|e| format!("{e:?}")).collect::<Vec<_>>().join(" or ")
}

fn unit_list(kind: &Kind) -> String {
    kind.units.iter().map(|(names, _)| names[0]).filter(|n| !n.is_empty()).collect::<Vec<_>>().join(", ")
}

pub(super) fn fault<T>(message: String, help: impl Into<String>) -> Result<T, Fault> {
    Err(Fault { message, help: help.into() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn check<Q: Quantity>(text: &str, si: f64) {
        let read = parse::<Q>(text).unwrap_or_else(|f| panic!("{text}: {}", f.message));
        assert!(
            (read.value.to_si() - si).abs() <= 1e-12 * si.abs().max(1.0),
            "{text}: {}",
            read.value.to_si()
        );
    }

    // Factors: NIST SP 811, exact.
    #[test]
    fn values() {
        check::<Length>("105 in", 2.667);
        check::<Length>("2.67 m", 2.67);
        check::<Length>("9' 2 1/2\"", 110.5 * 0.0254);
        check::<Length>("8 ft 9 in", 105.0 * 0.0254);
        check::<Length>("1/2 in", 0.0127);
        check::<Length>("2670mm", 2.67);
        check::<Length>("-0.3 m", -0.3);
        check::<Mass>("7000 lb", 3175.14659);
        check::<Mass>("12 kg", 12.0);
        check::<Mass>("1.5 t", 1500.0);
        check::<Stiffness>("350 N/mm", 350_000.0);
        check::<Angle>("5 deg", 0.087_266_462_599_716_47);
        check::<Angle>("0.2 rad", 0.2);
        check::<Force>("1.5 kN", 1500.0);
        check::<Share>("61 %", 0.61);
        check::<Share>("0.61", 0.61);
    }

    #[test]
    fn stated_tolerances() {
        let off =
            |text: &str| match parse_kind(if text.contains("kg") { Mass::KIND } else { Length::KIND }, text)
                .unwrap()
                .tolerance
            {
                Tolerance::Stated(t) => t,
                other => panic!("{other:?}"),
            };
        assert!((off("1420 kg +- 10 kg") - 10.0).abs() < 1e-12);
        assert!((off("2.67 m ± 5 mm") - 0.005).abs() < 1e-12);
        assert!((off("2000 kg +/- 1 %") - 20.0).abs() < 1e-12);
    }

    #[test]
    fn refused() {
        for (text, why) in [
            ("2.67", "no unit"),
            ("", "no number"),
            ("nan m", "NaN"),
            ("inf m", "NaN and infinity"),
            ("-inf m", "NaN and infinity"),
            ("NaN", "NaN"),
            ("2,67 m", "comma"),
            ("7 kg", "unit of mass"),
            ("2.67 furlongs", "not a unit"),
            ("1/0 m", "cannot be read"),
            ("1.2.3 m", "cannot be read"),
            ("--1 m", "cannot be read"),
            ("2 m 3 m", "cannot follow"),
            ("9 in 2 ft", "cannot follow"),
            ("2.67 m +- -5 mm", "negative"),
            ("2.67 m +- 5 mm by tape II", "twice"),
            ("2.67 m +- nan mm", "NaN"),
        ] {
            let found = parse::<Length>(text).map(|w| w.value).unwrap_err();
            assert!(found.message.contains(why), "{text}: {}", found.message);
        }
        assert!(parse::<Length>(&format!("{} m", "9".repeat(400))).is_err());
    }

    proptest! {
        #[test]
        fn what_is_shown_is_read_back(value in -1e6..1e6f64) {
            let bits = |read: f64| read.to_bits();
            let length = parse::<Length>(&show(Length::metres(value))).unwrap().value;
            let stiffness = parse::<Stiffness>(&show(Stiffness::newtons_per_metre(value))).unwrap().value;
            let share = parse::<Share>(&show(Share(value))).unwrap().value;
            prop_assert_eq!(bits(length.to_si()), bits(value));
            prop_assert_eq!(bits(stiffness.to_si()), bits(value));
            prop_assert_eq!(bits(share.to_si()), bits(value));
        }

        #[test]
        fn whatever_is_read_is_finite(text in "(-|\\+-)?[0-9./' \"naif]{0,12} ?(m|kg|%|in|ft|\\+-|by tape II|by guess|nan|inf|e){0,3}[0-9]{0,400}") {
            for kind in KINDS {
                if let Ok(read) = parse_kind(kind, &text) {
                    prop_assert!(read.value.is_finite());
                    match read.tolerance {
                        Tolerance::NotStated => {}
                        Tolerance::Stated(t) | Tolerance::Guessed(t) => prop_assert!(t.is_finite() && t >= 0.0),
                    }
                }
            }
        }
    }
}
