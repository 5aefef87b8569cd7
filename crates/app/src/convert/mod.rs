//! From what was written to the planner's own types: every value looked at, every problem said.

mod agree;
pub(crate) mod as_placed;
pub(crate) mod band;
mod doubt;
pub(crate) mod expect;
pub(crate) mod job;
pub(crate) mod lift;
pub(crate) mod limits;
mod part;
pub(crate) mod plan;
mod plan_work;
pub(crate) mod quick;
pub(crate) mod region;
pub(crate) mod solve;
pub(crate) mod vehicle;
pub(crate) mod weigh;
mod weight;
mod work;

use std::ops::Range;

use planner::Measured;
use statics::Length;

use crate::input::quantity::{self, Kind, Quantity, Tolerance, Written};
use crate::input::tree::Value;
use crate::input::{At, Node, Problems, Text};
use expect::{Default, Expect, Sign};

/// Reads a value that has no tolerance of its own; one that is stated all the same is told, in the plan as well.
pub(crate) fn plain<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) -> Option<Q> {
    let (value, off) = with_off(text, expect, problems)?;
    if let Some(off) = off {
        problems.warn(
            text.span.clone(),
            format!("{}: how far {:?} may be off is not used, the value alone is", expect.what, text.text),
            "write the value alone, on the safe side of what it may be",
        );
        problems.does_not_count(expect.what, value, off);
    }
    Some(value)
}

/// The most that a value may be, of one where more is worse.
pub(crate) fn at_most<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) -> Option<Q> {
    let (value, off) = with_off(text, expect, problems)?;
    Some(off.map_or(value, |off| Q::from_si(value.to_si() + off.to_si())))
}

/// The least that a value may be, of one where less is worse.
pub(crate) fn at_least<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) -> Option<Q> {
    let (value, off) = with_off(text, expect, problems)?;
    Some(off.map_or(value, |off| Q::from_si(value.to_si() - off.to_si())))
}

/// A value, and how far it is said to be off.
fn with_off<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) -> Option<(Q, Option<Q>)> {
    let written = written(text, expect, problems)?;
    match written.tolerance {
        Tolerance::NotStated => Some((written.value, None)),
        Tolerance::Stated(off) | Tolerance::Guessed(off) if swallows(written.value, off, expect) => {
            could_be_nothing(text, expect, problems);
            None
        }
        Tolerance::Stated(off) | Tolerance::Guessed(off) => Some((written.value, Some(off))),
    }
}

/// Questions a file that declares its values to be examples.
fn example_values(declared: Option<&At<bool>>, problems: &mut Problems) {
    if let Some(at) = declared.filter(|d| d.value) {
        problems.warn(
            at.span.clone(),
            crate::input::EXAMPLE_VALUES,
            "measure each value, write it down, then delete the line `example_values`",
        );
    }
}

/// Reads a value and how far it may be off; where the file does not say, the default is an assumption.
pub(crate) fn measured<Q: Quantity>(
    text: &Text<Q>,
    expect: &Expect,
    default: &Default,
    problems: &mut Problems,
) -> Option<Measured<Q>> {
    let written = written(text, expect, problems)?;
    let usual = || Q::from_si(default.share * written.value.to_si().abs() + default.fixed);
    let found = match written.tolerance {
        Tolerance::Stated(tolerance) => Measured::given(written.value, tolerance),
        // Who guesses knows no more than who says nothing.
        Tolerance::Guessed(tolerance) => {
            let least = usual();
            let tolerance = if tolerance < least { least } else { tolerance };
            Measured::assumed(written.value, tolerance, expect::GUESS)
        }
        Tolerance::NotStated => Measured::with_assumed_tolerance(written.value, usual(), default.source),
    };
    if swallows(found.value, found.tolerance, expect) {
        could_be_nothing(text, expect, problems);
        return None;
    }
    let stated = matches!(written.tolerance, Tolerance::Stated(_));
    if stated && expect.sign == Sign::NotNegative && found.tolerance > found.value {
        let half = f64::midpoint(found.value.to_si(), found.tolerance.to_si());
        let half = quantity::show_like(Q::KIND, half, &text.text);
        problems.error(
            text.span.clone(),
            format!(
                "{} is {:?}: it may be off by more than it is, and cannot be less than nothing",
                expect.what, text.text
            ),
            format!("check both figures; for anything from nothing up to so much write {half} +- {half}"),
        );
        return None;
    }
    Some(found)
}

/// Whether a value that must be more than nothing could, within its tolerance, be nothing.
fn swallows<Q: Quantity>(value: Q, tolerance: Q, expect: &Expect) -> bool {
    expect.sign == Sign::Positive && tolerance >= value
}

fn could_be_nothing<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) {
    problems.error(
        text.span.clone(),
        format!(
            "{} is {:?}: within what it may be off it could be nothing, and it must be more",
            expect.what, text.text
        ),
        "write after +- how far it may really be off: less than the value itself",
    );
}

fn written<Q: Quantity>(text: &Text<Q>, expect: &Expect, problems: &mut Problems) -> Option<Written<Q>> {
    let read = match quantity::parse::<Q>(&text.text) {
        Ok(read) => read,
        Err(fault) => {
            problems.error(text.span.clone(), format!("{}: {}", expect.what, fault.message), fault.help);
            return None;
        }
    };
    let si = read.value.to_si();
    if wrong_sign(si, Q::KIND, &text.text, text.span.clone(), expect, problems) {
        return None;
    }
    let (least, most) = expect.plausible;
    let [low, high] = [least, most].map(|end| quantity::show_like(Q::KIND, end, &text.text));
    if expect.cannot_be(si) {
        problems.error(
            text.span.clone(),
            format!("{} is {:?}, which cannot be", expect.what, text.text),
            format!("usual is {low} to {high} ({}): check the figure and its unit", expect.source),
        );
        return None;
    }
    if !(least..=most).contains(&si) {
        problems.warn(
            text.span.clone(),
            format!("{} is {:?}, which is legal but odd", expect.what, text.text),
            format!("usual is {low} to {high} ({}); leave it if it is right", expect.source),
        );
    }
    Some(read)
}

fn wrong_sign(
    si: f64,
    kind: &Kind,
    text: &str,
    span: Range<usize>,
    expect: &Expect,
    problems: &mut Problems,
) -> bool {
    if !expect.sign.forbids(si) {
        return false;
    }
    let must = if expect.sign == Sign::Positive { "more than nothing" } else { "nothing or more" };
    let message = format!("{} is {text:?}, and must be {must}", expect.what);
    problems.error(span, message, format!("write it like {}", quantity::examples(kind)));
    true
}

/// Where the shape of a file is so wrong that it cannot be converted, its signs are still looked at.
pub(crate) fn signs(node: &Node, problems: &mut Problems) {
    match &node.value {
        Value::List(items) => items.iter().for_each(|item| signs(item, problems)),
        Value::Table(entries) => {
            for entry in entries {
                signs(&entry.node, problems);
                let (Some(text), Some(expect)) = (entry.node.text(), expect::of_key(&entry.key)) else {
                    continue;
                };
                let read =
                    quantity::KINDS.iter().find_map(|k| Some((k, quantity::parse_kind(k, text).ok()?)));
                if let Some((kind, read)) = read {
                    wrong_sign(read.value, kind, text, entry.node.span.clone(), expect, problems);
                }
            }
        }
        _ => {}
    }
}

/// Not given, given but wrong, given: wrong is what ends it.
fn transpose<T>(given: Option<Option<T>>) -> Option<Option<T>> {
    match given {
        None => Some(None),
        Some(value) => value.map(Some),
    }
}

/// A name that is not empty.
pub(crate) fn name(text: &At<String>, what: &str, problems: &mut Problems) -> Option<String> {
    let name = text.value.trim();
    if name.is_empty() {
        problems.error(text.span.clone(), format!("{what} is empty"), "write what the shop calls it");
        return None;
    }
    Some(name.to_owned())
}

/// The later of two things of one name is an error.
pub(crate) fn unique<'a>(
    names: impl Iterator<Item = (&'a str, Range<usize>)>,
    what: &str,
    problems: &mut Problems,
) {
    let mut seen: Vec<&str> = Vec::new();
    for (name, span) in names {
        if seen.contains(&name) {
            problems.error(span, format!("two {what} are called {name:?}"), "give each a name of its own");
        }
        seen.push(name);
    }
}

/// A position given as ahead of or behind the column line, exactly one of the two.
pub(crate) fn ahead_or_behind(
    ahead: Option<&Text<Length>>,
    behind: Option<&Text<Length>>,
    expect: &Expect,
    whole: &Range<usize>,
    problems: &mut Problems,
) -> Option<Length> {
    match (ahead, behind) {
        (Some(ahead), None) => plain(ahead, expect, problems),
        (None, Some(behind)) => plain(behind, expect, problems).map(|b| -b),
        (given, _) => {
            let how_many = if given.is_some() { "both are given" } else { "neither is given" };
            let name = expect.what;
            problems.error(
                whole.clone(),
                format!("{name}: either `{name}_ahead` or `{name}_behind` of the column line, and {how_many}"),
                format!("measure from the column line: `{name}_ahead = \"0.28 m\"`, or `{name}_behind` if it is behind the line"),
            );
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use statics::{Force, Mass, Stiffness};

    use super::*;
    use crate::input::quantity::Share;

    const WHATEVER: Expect = Expect {
        what: "it",
        sign: Sign::Any,
        plausible: expect::ANY,
        possible: expect::ANY,
        source: expect::PRACTICE,
    };

    fn off<Q: Quantity>(text: &str, default: &Default) -> f64 {
        let found = measured(&Text::<Q>::new(0..0, text), &WHATEVER, default, &mut Problems::default());
        found.unwrap().tolerance.to_si()
    }

    fn looser<Q: Quantity>(values: &[&str], defaults: &[&Default]) {
        for (value, default) in values.iter().flat_map(|v| defaults.iter().map(move |d| (v, d))) {
            let [bare, guess] = ["", " by guess"].map(|how| off::<Q>(&format!("{value}{how}"), default));
            let share = quantity::parse::<Q>(value).unwrap().value.to_si().abs() / 10.0;
            assert!((guess - share.max(bare)).abs() < 1e-12, "{value}, {default:?}: {guess}, bare {bare}");
            let stated = off::<Q>(&format!("{value} +- {value}"), default);
            assert!(
                (stated - 10.0 * share).abs() < 1e-9,
                "what is stated counts as it is: {value}, {stated}"
            );
        }
    }

    /// A guess is never closer than a bare value, whatever the field.
    #[test]
    fn a_guess_is_no_closer_than_nothing_stated() {
        use expect as e;
        looser::<Length>(
            &["0.02 m", "0.14 m", "0.55 m", "2.6 m"],
            &[&e::BY_TAPE, &e::OF_CG_HEIGHT, &e::OF_DROOP, &e::OF_PLACE, &e::OF_PLACE_UP, &e::OF_STATURE],
        );
        looser::<Mass>(&["3 kg", "1420 kg"], &[&e::BY_SCALE, &e::BY_PAPERS, &e::OF_PART]);
        looser::<Force>(&["50 N", "4000 N"], &[&e::OF_FORCE]);
        looser::<Stiffness>(&["350 N/mm"], &[&e::OF_STIFFNESS]);
        looser::<Share>(&["0.12", "0.61"], &[&e::OF_SHARE]);
    }

    #[test]
    fn a_stated_tolerance_counts_on_the_side_that_is_worse_or_is_told() {
        let text = Text::<Length>::new(0..0, "4.10 m +- 50 mm");
        let mut problems = Problems::default();
        assert!((at_least(&text, &WHATEVER, &mut problems).unwrap().to_metres() - 4.05).abs() < 1e-12);
        assert!((at_most(&text, &WHATEVER, &mut problems).unwrap().to_metres() - 4.15).abs() < 1e-12);
        assert!(problems.not_counted().is_empty() && problems.all().is_empty());
        assert!((plain(&text, &WHATEVER, &mut problems).unwrap().to_metres() - 4.10).abs() < 1e-12);
        assert_eq!(problems.not_counted().len(), 1);
    }
}
