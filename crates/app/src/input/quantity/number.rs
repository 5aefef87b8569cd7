//! Numbers with their units, as people write them.

use super::kind::{KINDS, Kind, examples, right, unit_list};
use super::{Fault, fault};

/// Numbers with units one after another: `8 ft 9 in`. All but the first must be smaller units.
pub(crate) fn compound(kind: &Kind, text: &str, whole: &str) -> Result<f64, Fault> {
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
        let exponent = after.strip_prefix(['+', '-']).unwrap_or(after);
        if ["e", "E"].contains(&unit) && exponent.starts_with(|c: char| c.is_ascii_digit()) {
            return fault(
                format!("{whole:?}: an exponent is not read in a number"),
                "write the number out: 1500, not 1.5e3",
            );
        }
        let factor = factor_of(kind, unit, whole)?;
        if factor >= last_factor || (last_factor.is_finite() && kind.name != "length") {
            return fault(format!("{whole:?}: {unit:?} cannot follow"), right(kind));
        }
        sum += value * factor;
        last_factor = factor;
        rest = after.trim_start();
    }
    within_reason(if negative { -sum } else { sum }, whole)
}

/// A decimal, a fraction or a whole number and a fraction; and what follows it.
pub(super) fn number(text: &str) -> Option<(f64, &str)> {
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
            format!("{whole:?}: {unit:?} is a unit of {}, and this is {}", other.name, kind.one()),
            format!("write it as {}; {}", examples(kind), known()),
        );
    }
    fault(format!("{whole:?}: {unit:?} is not a unit of {}", kind.name), known())
}

pub(super) fn not_a_number(kind: &Kind, part: &str, whole: &str) -> Fault {
    let word = part.trim().to_lowercase();
    let message = if ["nan", "inf", "infinity"].iter().any(|w| word.starts_with(w)) {
        format!("{whole:?}: NaN and infinity are not values")
    } else {
        format!("{whole:?} cannot be read at {:?}", part.trim())
    };
    Fault { message, help: right(kind) }
}

/// Nothing of a workshop comes near it in any unit of SI; a rate of 1 kN/mm is a thousandth of it.
const MOST: f64 = 1e9;

pub(super) fn within_reason(value: f64, whole: &str) -> Result<f64, Fault> {
    if value.abs() <= MOST {
        return Ok(value);
    }
    let cut: String = whole.chars().take(40).collect();
    let on = if cut.len() < whole.len() { " and so on" } else { "" };
    fault(format!("{cut:?}{on} is larger than anything in a workshop"), "check the figure and its unit")
}
