//! What is alike is said once: inputs of one thing, checks of one kind, steps of one formula.

use std::ops::RangeInclusive;

use planner::lift::Corner;

use super::super::super::text::width;
use super::super::flow::{Said, table};
use crate::words::{corner_name, listed};
use crate::working::Step;

/// A pad's name in short.
pub(super) const fn short(corner: Corner) -> &'static str {
    match corner {
        Corner::FrontLeft => "FL",
        Corner::FrontRight => "FR",
        Corner::RearLeft => "RL",
        Corner::RearRight => "RR",
    }
}

/// A text in the short words that the sheet explains.
pub(super) fn in_short(text: &str) -> String {
    const WORDS: [(&str, &str); 6] = [
        ("ahead of the column line", "ahead"),
        ("left of the centre line", "left"),
        ("behind the front axle", "aft"),
        ("left of the centre plane", "left"),
        ("above the ground", "up"),
        ("centre of gravity", "CG"),
    ];
    let pads = Corner::ALL.map(|c| (corner_name(c), short(c)));
    pads.iter().chain(&WORDS).fold(text.to_owned(), |text, (long, short)| text.replace(long, short))
}

/// A text without the names of pads.
pub(super) fn of_any_pad(text: &str) -> String {
    let bare = Corner::ALL.iter().fold(text.to_owned(), |text, c| text.replace(corner_name(*c), "*"));
    bare.replace("* and *", "*")
}

/// Axes of the vehicle: as a formula names them, in short, their two ends.
const AXES: [[&str; 4]; 3] = [
    ["behind the front axle", "aft", "back", "forward"],
    ["left of the centre plane", "left", "left", "right"],
    ["above the ground", "up", "up", "down"],
];

/// A formula without the names of pads and axes: what is alike in it is worked out alike.
pub(super) fn of_any(formula: &str) -> String {
    let mut text = of_any_pad(formula);
    for [axis, _, more, less] in AXES {
        for (ends, sign) in [(more, "+"), (less, "\u{2212}")] {
            text = text.replace(&format!("{axis}, farthest {ends}"), &format!("@, farthest {sign}"));
        }
        text = text.replace(axis, "@");
    }
    text
}

/// Whose pad a step is of, if its formula begins with one.
pub(super) fn pad_of_step(formula: &str) -> Option<Corner> {
    Corner::ALL
        .into_iter()
        .find(|c| formula.strip_prefix(corner_name(*c)).is_some_and(|rest| rest.starts_with(": ")))
}

/// Whose pad an input is of, if it names one.
pub(super) fn pad_of(text: &str) -> Option<Corner> {
    let mut named = Corner::ALL.into_iter().filter(|c| text.contains(corner_name(*c)));
    named.next().filter(|_| named.next().is_none())
}

/// What tells a step from the one that it is like: its pad, its axis or its sign, if it has one.
pub(super) fn apart(formula: &str) -> &str {
    let name = formula.split_once(" = ").map_or(formula, |(name, _)| name);
    if let Some(corner) = pad_of(name) {
        return short(corner);
    }
    let axis = AXES.iter().find(|[axis, ..]| name.contains(axis)).map(|[_, short, ..]| *short);
    let sign = name.strip_suffix(')').and_then(|name| Some(name.rsplit_once('(')?.1));
    axis.or(sign).unwrap_or(if name.len() <= 3 { name } else { "" })
}

/// Where the digits of a figure end and its unit begins.
pub(super) fn end_of_number(result: &str) -> usize {
    result.rfind(|c: char| c.is_ascii_digit()).map_or(0, |k| k + 1)
}

/// Without the pad that it is of.
fn of_each(name: &str) -> String {
    of_any_pad(name).replace("*: ", "").replace("* ", "")
}

/// Like steps of the pads: what they give, the step that they are like.
pub(super) struct PadRow<'w> {
    pub(super) first: usize,
    pub(super) name: String,
    pub(super) steps: [Option<&'w Step>; 4],
}

/// Like steps of several pads as rows; and those that are of none, or of one alone.
pub(super) fn rows<'w>(like: Vec<(usize, &'w Step)>) -> (Vec<PadRow<'w>>, Vec<(usize, &'w Step)>) {
    let mut rows: Vec<PadRow<'w>> = vec![];
    let mut others = vec![];
    for (first, step) in like {
        let Some(corner) = pad_of_step(&step.formula) else {
            others.push((first, step));
            continue;
        };
        let name = of_each(step.formula.split_once(" = ").map_or(&*step.formula, |(name, _)| name));
        let open = |row: &&mut PadRow<'w>| {
            row.first == first && row.name == name && row.steps[corner.index()].is_none()
        };
        match rows.iter_mut().find(open) {
            Some(row) => row.steps[corner.index()] = Some(step),
            None => {
                let mut row = PadRow { first, name, steps: [None; 4] };
                row.steps[corner.index()] = Some(step);
                rows.push(row);
            }
        }
    }
    let (rows, alone): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|row| row.steps.iter().flatten().count() > 1);
    others.extend(alone.iter().flat_map(|row| row.steps.iter().flatten().map(|step| (row.first, *step))));
    (rows, others)
}

/// An input: its name, and what it is.
type Input = (String, String);
/// What a row of a table tells: its name, and its cells.
pub(super) type Cells = (String, Vec<String>);

/// Inputs that several pads have, in a table; and the others.
pub(super) fn by_pad(all: &[Input]) -> (Vec<Cells>, Vec<Input>) {
    let mut rows: Vec<(String, [Option<&Input>; 4])> = vec![];
    let mut others = vec![];
    for input in all {
        let Some(corner) = pad_of(&input.0) else {
            others.push(input.clone());
            continue;
        };
        let unit = &input.1[end_of_number(&input.1)..];
        let name = format!("{}{}{}", of_each(&input.0), if unit.is_empty() { "" } else { "," }, unit);
        match rows.iter_mut().find(|(own, figures)| *own == name && figures[corner.index()].is_none()) {
            Some((_, figures)) => figures[corner.index()] = Some(input),
            None => {
                let mut figures = [None; 4];
                figures[corner.index()] = Some(input);
                rows.push((name, figures));
            }
        }
    }
    let (rows, alone): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|(_, figures)| figures.iter().flatten().count() > 2);
    others
        .extend(alone.iter().flat_map(|(_, figures)| figures.iter().flatten().map(|input| (*input).clone())));
    let cell = |input: &Option<&(String, String)>| match input {
        Some((_, figure)) => figure[..end_of_number(figure)].to_owned(),
        None => "\u{b7}".into(),
    };
    (
        rows.iter().map(|(name, figures)| (in_short(name), figures.iter().map(cell).collect())).collect(),
        others,
    )
}

/// With a full stop, unless something else ends it.
pub(super) fn ended(says: &str) -> String {
    if says.is_empty() || says.ends_with(['.', ':', ',', ';']) { says.to_owned() } else { format!("{says}.") }
}

/// Inputs with what each may be off, where one follows the other by name.
pub(super) fn with_tolerances(all: &[(String, String)]) -> Vec<(String, String)> {
    let mut said: Vec<(String, String)> = vec![];
    for (name, figure) in all {
        let of = name.strip_suffix(" may be off by");
        match said.iter_mut().find(|(own, told)| Some(own.as_str()) == of && !told.contains('\u{b1}')) {
            Some((_, told)) => *told = format!("{told} \u{b1} {figure}"),
            None => said.push((name.clone(), figure.clone())),
        }
    }
    said
}

/// A table that is wider than a column, in parts below each other; above each column the step that it is like.
pub(super) fn in_parts(firsts: &[usize], rows: &[(String, Vec<String>)]) -> Vec<Said> {
    const MOST: f64 = 29.2;
    let heads: Vec<String> = firsts.iter().map(|first| format!("({first})")).collect();
    let wide = |k: usize| {
        let cells = rows.iter().filter_map(|(_, cells)| cells.get(k)).chain(heads.get(k));
        cells.map(|says| width(says, 1.0, false)).fold(0.0, f64::max) + 0.7
    };
    let mut parts = vec![];
    let mut from = 0;
    while from < firsts.len() {
        let mut all = 0.0;
        let fit = (from..firsts.len()).take_while(|k| {
            all += wide(*k);
            all <= MOST
        });
        let to = (from + fit.count()).max(from + 1);
        let head: Vec<String> =
            std::iter::once("like".to_owned()).chain(heads[from..to].iter().cloned()).collect();
        let rows: Vec<_> =
            rows.iter().map(|(label, cells)| (label.clone(), cells[from..to].to_vec())).collect();
        parts.extend(table(&head, &rows));
        from = to;
    }
    parts
}

/// A step that is like one before: its number, what it gives, and the number of that one.
pub(super) struct Like {
    pub(super) number: usize,
    pub(super) says: String,
    pub(super) first: usize,
}

/// Another check of a kind.
pub(super) struct Other {
    pub(super) title: String,
    /// What it comes to.
    pub(super) demand: String,
    /// "at least 10 mm".
    pub(super) limit: String,
    pub(super) reserve: String,
}

/// Inputs by name and figure; those of one thing stand together behind its name.
pub(super) fn inputs(all: &[(String, String)]) -> String {
    let halves = |name: &str| {
        let at = [name.find(", "), name.find(": ")].into_iter().flatten().min()?;
        let (thing, rest) = (&name[..at], &name[at + 2..]);
        // "the seat, off, behind the front axle": that it is off belongs to what it is.
        let whose = ["off", "on", "aboard"].into_iter().find(|whose| rest.starts_with(&format!("{whose}, ")));
        match whose {
            Some(whose) => Some((format!("{thing}, {whose}"), rest[whose.len() + 2..].to_owned())),
            None if ["off", "on", "aboard"].contains(&rest.split(' ').next().unwrap_or_default()) => None,
            None => Some((thing.to_owned(), rest.to_owned())),
        }
    };
    let mut groups: Vec<(Option<String>, Vec<String>)> = vec![];
    for (name, figure) in all {
        let Some((thing, rest)) = halves(name) else {
            groups.push((None, vec![format!("{name} {figure}")]));
            continue;
        };
        let said = format!("{rest} {figure}");
        match groups.iter_mut().find(|(own, _)| own.as_ref() == Some(&thing)) {
            Some((_, parts)) => parts.push(said),
            None => groups.push((Some(thing), vec![said])),
        }
    }
    let said = groups.iter().map(|(thing, parts)| match (thing, parts.as_slice()) {
        (None, parts) => parts.join(", "),
        (Some(thing), [one]) => format!("{thing}, {one}"),
        (Some(thing), parts) => format!("{thing}: {}", parts.join(", ")),
    });
    said.collect::<Vec<_>>().join("; ")
}

/// What the others of a kind come to: what their titles begin and end with is said once.
pub(super) fn likewise(others: &[Other]) -> String {
    let titles: Vec<Vec<&str>> = others.iter().map(|o| words(&o.title)).collect();
    let (from, to) = alike(&titles);
    let first = titles.first().map_or(&[][..], Vec::as_slice);
    let (begin, end) = (first[..from].join(" "), first[first.len() - to..].join(" "));
    let one_limit = others.iter().all(|o| o.limit == others[0].limit);
    let own = |k: usize, title: &[&str]| {
        let named = title[from..title.len() - to].join(" ");
        let Other { demand, limit, reserve, .. } = &others[k];
        if one_limit {
            (named, format!("{demand}, {reserve}"))
        } else {
            (named, format!("{demand}, {limit}, {reserve}"))
        }
    };
    // Those of one figure stand together.
    let mut groups: Vec<(Vec<String>, String)> = vec![];
    for (k, title) in titles.iter().enumerate() {
        let (named, figures) = own(k, title);
        match groups.last_mut() {
            Some((names, before)) if *before == figures => names.push(named),
            _ => groups.push((vec![named], figures)),
        }
    }
    let said = groups.iter().map(|(names, figures)| {
        format!("{} {figures}", listed(&names.iter().map(String::as_str).collect::<Vec<_>>()))
    });
    let said = said.collect::<Vec<_>>().join("; ");
    let limit = if one_limit {
        others.first().map(|o| format!(", {}", o.limit)).unwrap_or_default()
    } else {
        String::new()
    };
    match others {
        [one] => format!("Likewise {} {}{limit}, {}.", one.title, one.demand, one.reserve),
        _ if from + to == 0 => format!("Likewise{limit}: {said}."),
        _ => {
            let [begin, end] = [begin, end].map(|part| part.trim_end_matches(',').to_owned());
            let whole = [begin.as_str(), "\u{2026}", end.as_str()];
            let whole = whole.iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>().join(" ");
            format!("Likewise {whole}{limit}: {said}.")
        }
    }
}

/// Words; a name in quotes is one.
fn words(title: &str) -> Vec<&str> {
    let mut in_name = false;
    let ends = title.split(|c: char| {
        in_name ^= c == '"';
        c == ' ' && !in_name
    });
    ends.collect()
}

/// How many words all begin with, and how many all end with; of each some are left between.
fn alike(titles: &[Vec<&str>]) -> (usize, usize) {
    let [first, rest @ ..] = titles else { return (0, 0) };
    let shortest = titles.iter().map(Vec::len).min().unwrap_or(0).saturating_sub(1);
    let all = |same: &dyn Fn(&[&str]) -> bool| rest.iter().all(|title| same(title));
    let from = (0..shortest).take_while(|k| all(&|title| title[*k] == first[*k])).count();
    let back = |title: &[&str], k: usize| title[title.len() - 1 - k].to_owned();
    let to = (0..shortest - from.min(shortest))
        .take_while(|k| all(&|title| back(title, *k) == back(first, *k)))
        .count();
    (from, to)
}

/// Steps that are like others, in runs: those of one formula, and those that are one by one like a run before.
pub(super) fn like(all: &[Like]) -> String {
    let mut runs: Vec<&[Like]> = vec![];
    let mut rest = all;
    while !rest.is_empty() {
        let long = |by: usize| {
            rest.windows(2)
                .take_while(|pair| {
                    pair[1].number == pair[0].number + 1 && pair[1].first == pair[0].first + by
                })
                .count()
                + 1
        };
        let (run, after) = rest.split_at(long(0).max(long(1)));
        runs.push(run);
        rest = after;
    }
    let said = runs.iter().map(|run| {
        let (first, last) = (&run[0], &run[run.len() - 1]);
        let says: Vec<&str> = run.iter().map(|step| step.says.as_str()).collect();
        let [own, other] = [first.number..=last.number, first.first..=last.first].map(numbers);
        format!("{own} like {other}: {}.", says.join("; "))
    });
    said.collect::<Vec<_>>().join(" ")
}

/// "(4)", "(4), (5)", "(4)\u{2013}(6)".
pub(super) fn numbers(run: RangeInclusive<usize>) -> String {
    let (from, to) = (run.start(), run.end());
    match to.saturating_sub(*from) {
        0 => format!("({from})"),
        1 => format!("({from}), ({to})"),
        _ => format!("({from})\u{2013}({to})"),
    }
}

/// Numbers of steps, in runs.
pub(super) fn all_numbers(all: &[usize]) -> String {
    let mut all = all.to_vec();
    all.sort_unstable();
    all.dedup();
    let runs = all.chunk_by(|a, b| *b == a + 1).filter_map(|run| Some(numbers(*run.first()?..=*run.last()?)));
    runs.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn other(title: &str, demand: &str, reserve: &str) -> Other {
        Other {
            title: title.into(),
            demand: demand.into(),
            limit: "at least 10 mm".into(),
            reserve: reserve.into(),
        }
    }

    #[test]
    fn what_titles_share_is_said_once() {
        let sills = [
            other("front right arm under the sill", "12 mm", "20 %"),
            other("rear left arm under the sill", "12 mm", "20 %"),
            other("rear right arm under the sill", "9 mm", "fails by 10 %"),
        ];
        assert_eq!(
            likewise(&sills),
            "Likewise \u{2026} arm under the sill, at least 10 mm: front right and rear left 12 mm, 20 %; \
             rear right 9 mm, fails by 10 %."
        );
        let states = [
            other("load on the lift, in state \"hood off\"", "1 kg", "20 %"),
            other("load on the lift, in state \"seats off\"", "2 kg", "30 %"),
        ];
        assert_eq!(
            likewise(&states),
            "Likewise load on the lift, in state \u{2026}, at least 10 mm: \"hood off\" 1 kg, 20 %; \"seats off\" 2 kg, 30 %."
        );
        assert_eq!(
            likewise(&sills[..1]),
            "Likewise front right arm under the sill 12 mm, at least 10 mm, 20 %."
        );
        let apart = [other("one", "1 mm", "1 %"), other("two words", "2 mm", "2 %")];
        assert_eq!(likewise(&apart), "Likewise, at least 10 mm: one 1 mm, 1 %; two words 2 mm, 2 %.");
    }

    #[test]
    fn inputs_of_one_thing_stand_together() {
        let named = [("pad, ahead", "1 mm"), ("width", "3 mm"), ("pad, left", "2 mm"), ("hinge: up", "4 mm")];
        let named = named.map(|(name, figure)| (name.to_owned(), figure.to_owned()));
        assert_eq!(inputs(&named), "pad: ahead 1 mm, left 2 mm; width 3 mm; hinge, up 4 mm");
        let named = [("mass of a seat, off", "9 kg"), ("mass of a seat, off may be off by", "1 kg")];
        let named = [named, [("a seat, off, ahead", "1 mm"), ("a seat, off, left", "2 mm")]].concat();
        let named: Vec<_> =
            named.into_iter().map(|(name, figure)| (name.to_owned(), figure.to_owned())).collect();
        let says = "mass of a seat, off 9 kg; mass of a seat, off may be off by 1 kg; a seat, off: ahead 1 mm, left 2 mm";
        assert_eq!(inputs(&named), says);
    }

    #[test]
    fn runs_of_like_steps_are_named_by_their_ends() {
        let step = |number, first| Like { number, says: format!("s{number} = 1"), first };
        let steps = [step(7, 3), step(8, 3), step(9, 3), step(10, 4), step(11, 5), step(14, 6)];
        assert_eq!(
            like(&steps),
            "(7)\u{2013}(9) like (3): s7 = 1; s8 = 1; s9 = 1. (10), (11) like (4), (5): s10 = 1; s11 = 1. (14) like (6): s14 = 1."
        );
        assert_eq!(all_numbers(&[9, 2, 3, 4, 9, 7]), "(2)\u{2013}(4), (7), (9)");
    }
}
