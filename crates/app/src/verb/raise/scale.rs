//! The load of stands as somebody read it, held against what the plan gives.

use sheets::Units;
use statics::{Force, Mass};

use crate::input::quantity::{Quantity, parse};

/// How a load is written; a figure that is no load might be one that nobody can read.
pub(crate) const WRITTEN: &str = "with its unit, as “253 kg” or “2480 N”";

/// A load as it was written, and what it may be at the least and at the most.
#[derive(Clone, Debug, PartialEq)]
struct Read {
    text: String,
    least: Force,
    most: Force,
}

/// Why stands are not confirmed as set with these words: no load, a figure that is none, or a load that is less or more than
/// the plan gives; `None` = with every load that was read they are set right.
pub(super) fn refusal(words: Option<&str>, [least, most]: [Force; 2], units: Units) -> Option<String> {
    let loads = match loads(words.unwrap_or_default()) {
        Ok(loads) if loads.is_empty() => {
            return Some(format!("Say the load that was read on the scale, of each stand, {WRITTEN}."));
        }
        Ok(loads) => loads,
        Err(text) => {
            return Some(format!(
                "“{text}” is no load that can be read. Write the load of each stand {WRITTEN}, a decimal with a point and \
                 thousands without a sign or a blank, and no other figure."
            ));
        }
    };
    let Read { text, least: low, most: high } =
        loads.into_iter().find(|read| read.least < least || read.most > most)?;
    let [least, most] = units.load_kept([least, most]);
    let [low, high] = [low, high].map(|load| units.load(load));
    let is = if low == high { low } else { format!("{low} to {high}") };
    let is = if is == text { String::new() } else { format!(" ({is})") };
    Some(format!(
        "“{text}”{is} was read, and the plan gives {least} to {most} for each stand: no less, no more. Set it anew, and read it \
         again; where that cannot be, bring it down."
    ))
}

/// Every figure in words as the load that it is with what follows it; the first that is none.
fn loads(words: &str) -> Result<Vec<Read>, String> {
    let mut found = vec![];
    let mut rest = words;
    while let Some(at) = rest.find(char::is_numeric) {
        let before = rest[..at].trim_end_matches(['-', '−', '+', '.']).len();
        let from = &rest[before..];
        let read = ends(from).find_map(|end| load(&from[..end])).ok_or_else(|| unread(from))?;
        rest = &from[read.text.len()..];
        found.push(read);
    }
    Ok(found)
}

/// Where words end, the last first; no quantity is longer than a parser takes.
fn ends(text: &str) -> impl Iterator<Item = usize> {
    const LONGEST: usize = 200;
    let in_a_word = |at: usize| text[at..].starts_with(char::is_alphanumeric);
    let all = text.char_indices().map(|(at, sign)| at + sign.len_utf8());
    let ends: Vec<usize> = all.take_while(|end| *end <= LONGEST).filter(|end| !in_a_word(*end)).collect();
    ends.into_iter().rev()
}

fn load(text: &str) -> Option<Read> {
    let as_weight = |mass: Mass| mass.weight();
    let [least, most] = range(text, as_weight).or_else(|| range(text, |force: Force| force))?;
    Some(Read { text: text.to_owned(), least, most })
}

fn range<Q: Quantity>(text: &str, load: impl Fn(Q) -> Force) -> Option<[Force; 2]> {
    let written = parse::<Q>(text).ok()?;
    let off = written.tolerance.off().map_or(0.0, Quantity::to_si);
    let value = written.value.to_si();
    Some([value - off, value + off].map(|si| load(Q::from_si(si))))
}

/// A figure with the word that follows it.
fn unread(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().take(2).collect();
    let shown: String = words.join(" ").chars().take(40).collect();
    shown.trim_end_matches(['.', ',', ';', ':', ')']).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn loads_are_found_in_words() {
        for (words, kilograms) in [
            ("253 kg", &[253.0][..]),
            ("left: 253.5kg, right 251 kg.", &[253.5, 251.0]),
            ("253 kg/251 kg", &[253.0, 251.0]),
            ("(560 lb each)", &[254.0]),
            ("2480 N; 2.48 kN", &[252.9, 252.9]),
            ("255 kgf on each, by the cell", &[255.0]),
            (".25 t", &[250.0]),
            ("read: -253 kg", &[-253.0]),
            ("1.253 kg", &[1.3]),
            ("", &[]),
            ("as the plan says", &[]),
        ] {
            let round = |load: Force| (load.as_mass().to_kilograms() * 10.0).round() / 10.0;
            let read = loads(words).unwrap_or_else(|text| panic!("{words}: {text}"));
            assert_eq!(read.iter().map(|read| round(read.most)).collect::<Vec<_>>(), kilograms, "{words}");
        }
        for (words, unread) in [
            ("read 900", "900"),
            ("900 kilograms", "900 kilograms"),
            ("253,5 kg", "253,5 kg"),
            ("1,253 kg", "1,253 kg"),
            ("1 250 kg", "1 250"),
            ("1'250 kg", "1'250 kg"),
            ("253 kg and 900", "900"),
            ("2 stands, 253 kg each", "2 stands"),
            ("2.53e2 kg", "2.53e2 kg"),
            ("253 mm", "253 mm"),
            ("٢٥٣ kg", "٢٥٣ kg"),
            ("253 kg²", "253 kg²"),
        ] {
            assert_eq!(loads(words), Err(unread.to_owned()), "{words}");
        }
    }

    /// All of what it may be is held against the plan.
    #[test]
    fn a_load_is_held_against_the_plan() {
        let plan = [219.0, 268.0].map(|load| Mass::kilograms(load).weight());
        let refusal = |words| refusal(words, plan, Units::Metric);
        for right in
            ["219 kg", "268 kg", "253 kg +- 10 kg", "left 2480 N, right 253 kg", "250 kg by scale III e=1 kg"]
        {
            assert_eq!(refusal(Some(right)), None, "{right}");
        }
        for (wrong, told) in [
            ("218 kg", "“218 kg” was read, and the plan gives 219 kg to 268 kg for each stand"),
            ("8829 N", "“8829 N” (900 kg) was read"),
            ("9 kN", "“9 kN” (918 kg) was read"),
            ("left 253 kg, right 300 kg", "“300 kg” was read"),
            ("260 kg +- 10 kg", "“260 kg +- 10 kg” (250 kg to 270 kg) was read"),
            ("253 kg by guess", "was read"),
            ("1,253 kg", "“1,253 kg” is no load that can be read"),
            ("as planned", "Say the load that was read"),
        ] {
            let said = refusal(Some(wrong)).unwrap_or_default();
            assert!(said.starts_with(told) || said.contains(told), "{wrong}: {said}");
        }
        assert!(refusal(None).is_some_and(|said| said.contains("“253 kg” or “2480 N”")));
    }
}
