//! How far a value may be off by the way it was measured: tapes, scales, guesses.

use super::quantity::Quantity;
use super::quantity::{Fault, Kind, Tolerance, compound, fault};
use statics::Mass;

/// What finding a hub centre or an edge by eye adds to the tape's own error, metres; project default.
const READING: f64 = 0.003;
/// A guess is off by up to this share; project default.
const GUESS: f64 = 0.10;

/// Class, and `a + b L` in millimetres with L in metres rounded up (Directive 2014/32/EU Annex X).
const TAPES: &[(&str, f64, f64)] = &[("I", 0.1, 0.1), ("II", 0.3, 0.2), ("III", 0.6, 0.4)];

/// Class, and the most scale steps for an error of 0.5, 1 and 1.5 steps when the scale is verified
/// (OIML R76-1 table 6); in service it may be off by twice as much.
const SCALES: &[(&str, [f64; 3])] = &[("III", [500.0, 2000.0, 10_000.0]), ("IIII", [50.0, 200.0, 1000.0])];

/// The tolerance of what stands after "by".
pub(super) fn by(kind: &Kind, value: f64, way: &str, whole: &str) -> Result<Tolerance<f64>, Fault> {
    let words: Vec<&str> = way.split_whitespace().collect();
    match (kind.name, words.as_slice()) {
        ("length", ["tape", class]) => tape(value, class, whole),
        ("mass", ["scale", class, step @ ..]) if !step.is_empty() => {
            scale(value, class, &step.join(" "), whole)
        }
        (_, ["guess"]) if value.abs() > 0.0 => Ok(Tolerance::Guessed(value.abs() * GUESS)),
        (_, ["guess"]) => {
            fault(format!("{whole:?}: a guess of nothing has no size"), "write +- how far it may be off")
        }
        _ => fault(
            format!("{whole:?}: {:?} is not a way of measuring {}", way.trim(), kind.one()),
            "ways that are known: a length by tape I, II or III; a mass by scale III e=0.5 kg; anything by guess",
        ),
    }
}

fn tape(value: f64, class: &str, whole: &str) -> Result<Tolerance<f64>, Fault> {
    match TAPES.iter().find(|t| t.0 == class) {
        Some(&(_, a, b)) => Ok(Tolerance::Stated((a + b * value.abs().ceil()) / 1000.0 + READING)),
        None => {
            fault(format!("{whole:?}: no tape class {class:?}"), "the class stands on the tape: I, II or III")
        }
    }
}

fn scale(value: f64, class: &str, step: &str, whole: &str) -> Result<Tolerance<f64>, Fault> {
    let Some(&(_, most)) = SCALES.iter().find(|s| s.0 == class) else {
        return fault(
            format!("{whole:?}: no scale class {class:?} here"),
            "the class stands on the scale's plate: III or IIII",
        );
    };
    let Some(text) = step.strip_prefix("e=").or_else(|| step.strip_prefix("e =")) else {
        return fault(
            format!("{whole:?}: the scale's step e is missing"),
            "write it as on the scale's plate: by scale III e=0.5 kg",
        );
    };
    let e = compound(Mass::KIND, text, whole)?;
    if e <= 0.0 {
        return fault(
            format!("{whole:?}: the scale's step e must be more than nothing"),
            "write it as on the scale's plate: e=0.5 kg",
        );
    }
    let steps = value.abs() / e;
    match most.iter().zip([0.5, 1.0, 1.5]).find(|(most, _)| steps <= **most) {
        Some((_, errors)) => Ok(Tolerance::Stated(2.0 * errors * e)),
        None => fault(
            format!("{whole:?}: {steps:.0} steps is more than a scale of class {class} has"),
            format!("it has at most {} steps: check e", most[2]),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::quantity::{Tolerance, parse};
    use super::*;
    use statics::Length;

    fn off<Q: Quantity>(text: &str) -> f64 {
        match parse::<Q>(text).unwrap().tolerance {
            Tolerance::Stated(t) | Tolerance::Guessed(t) => t.to_si(),
            Tolerance::NotStated => panic!("{text}"),
        }
    }

    // H5: EU MID tapes, less the reading allowance.
    #[test]
    fn tapes() {
        for (text, mm) in [
            ("2.7 m by tape I", 0.4),
            ("3 m by tape II", 0.9),
            ("2.7 m by tape III", 1.8),
            ("5 m by tape I", 0.6),
            ("5 m by tape II", 1.3),
            ("5 m by tape III", 2.6),
        ] {
            assert!(((off::<Length>(text) - READING) * 1000.0 - mm).abs() < 1e-9, "{text}");
        }
    }

    // H1 and H2: OIML R76-1 table 6, in service.
    #[test]
    fn scales() {
        for (text, kg) in [
            ("400 kg by scale III e=0.5 kg", 1.0),
            ("400 kg by scale III e=1 kg", 1.0),
            ("1500 kg by scale III e=1 kg", 2.0),
            ("1200 kg by scale III e=0.5 kg", 1.5),
            ("250 kg by scale III e=0.5 kg", 0.5),
            ("50 kg by scale IIII e=1 kg", 1.0),
            ("51 kg by scale IIII e=1 kg", 2.0),
            ("201 kg by scale IIII e=1 kg", 3.0),
        ] {
            assert!((off::<Mass>(text) - kg).abs() < 1e-12, "{text}: {}", off::<Mass>(text));
        }
        assert!(parse::<Mass>("6000 kg by scale III e=0.5 kg").is_err());
        assert!(parse::<Mass>("600 kg by scale III").is_err());
        assert!(parse::<Mass>("600 kg by scale III e=0 kg").is_err());
    }

    #[test]
    fn guesses() {
        assert!((off::<Mass>("1420 kg by guess") - 142.0).abs() < 1e-9);
        assert!(parse::<Length>("0 m by guess").is_err());
    }
}
