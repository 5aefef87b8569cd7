//! One parser for every quantity that a person writes: number, unit, and how far it may be off.

mod kind;
mod number;

use super::tape;
pub(crate) use kind::{
    KINDS, Kind, Quantity, Round, Share, examples, format_of, right, show, show_like, show_rounded,
};
pub(super) use number::compound;
use number::{not_a_number, number, within_reason};

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

impl<Q> Tolerance<Q> {
    /// So much, if it was written.
    pub(crate) fn off(self) -> Option<Q> {
        match self {
            Self::NotStated => None,
            Self::Stated(off) | Self::Guessed(off) => Some(off),
        }
    }
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
    within_reason(size, whole)
}

pub(super) fn fault<T>(message: String, help: impl Into<String>) -> Result<T, Fault> {
    Err(Fault { message, help: help.into() })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use statics::{Angle, Force, Length, Mass, Stiffness};

    use super::*;

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

    /// A figure in a message is in the unit of who reads it, and no longer than a person would write it.
    #[test]
    fn shown_as_a_person_would_write_it() {
        for (kind, si, written, shown) in [
            (Angle::KIND, 80.0 * core::f64::consts::PI / 180.0, "85 deg", "80 deg"),
            (Angle::KIND, 0.3, "0.2 rad", "0.3 rad"),
            (Angle::KIND, 0.3, "", "17.2 deg"),
            (Length::KIND, 3.228_339_999_999_999_8, "127.1 in", "127.1 in"),
            (Length::KIND, 3.228_339_999_999_999_8, "", "3.228 m"),
            (Length::KIND, 2.27, "8 ft 9 in", "89.37 in"),
            (Length::KIND, 2.27, "9 ft", "89.37 in"),
            (Length::KIND, 0.05, "3 mm +- 1 in", "50 mm"),
            (Length::KIND, -0.0, "3 m by tape II", "0 m"),
            (Length::KIND, -1e-17, "", "0 m"),
            (Mass::KIND, 0.5, "5.8 t", "0.0005 t"),
            (Length::KIND, 12_345.0, "3 m", "12345 m"),
            (Length::KIND, -0.035_000_000_000_000_03, "", "-0.035 m"),
            (Mass::KIND, 2000.0, "70000 lb", "4409.2 lb"),
            (Share::KIND, 0.2, "70", "0.2"),
            (Share::KIND, 0.2, "70 %", "20 %"),
            (Stiffness::KIND, 50e3, "", "50 N/mm"),
        ] {
            assert_eq!(show_like(kind, si, written), shown, "{written}");
        }
    }

    #[test]
    fn one_of_a_kind_has_its_article() {
        assert_eq!([Length::KIND, Angle::KIND].map(Kind::one), ["a length", "an angle"]);
    }

    proptest! {
        /// A bound that is shown is legal itself.
        #[test]
        fn a_bound_that_is_shown_lies_within(value in -1e3..1e3f64) {
            for written in ["", "1 in", "2 mm", "3 cm"] {
                let read = |to| parse_kind(Length::KIND, &show_rounded(Length::KIND, value, written, to)).unwrap().value;
                let [least, most] = [read(Round::Up), read(Round::Down)];
                prop_assert!(least >= value - 1e-9 && most <= value + 1e-9, "{least} {value} {most}");
                prop_assert!(least - most <= 2.0 * 0.001, "{least} {value} {most}");
            }
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
