//! What is alike is said once: inputs of one thing, checks of one kind, steps of one formula.

use std::ops::RangeInclusive;

use crate::words::listed;

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

/// "(4)", "(4), (5)", "(4) to (6)".
pub(super) fn numbers(run: RangeInclusive<usize>) -> String {
    let (from, to) = (run.start(), run.end());
    match to.saturating_sub(*from) {
        0 => format!("({from})"),
        1 => format!("({from}), ({to})"),
        _ => format!("({from}) to ({to})"),
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
            "(7) to (9) like (3): s7 = 1; s8 = 1; s9 = 1. (10), (11) like (4), (5): s10 = 1; s11 = 1. (14) like (6): s14 = 1."
        );
        assert_eq!(all_numbers(&[9, 2, 3, 4, 9, 7]), "(2) to (4), (7), (9)");
    }
}
