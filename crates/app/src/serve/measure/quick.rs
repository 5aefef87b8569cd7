//! A vehicle by the few figures that somebody knows at the plan page: named by them, made into a file as a measured one.

use std::collections::BTreeMap;

use maud::{Markup, html};
use sheets::Units;
use sheets::words::capital;

use super::Subject;
use super::question::{Answer, Answers, Kind, Said, field, said};
use super::written::{Looked, look};
use crate::serve::written::{help, of_it, sentence};

/// What begins the name of such a vehicle; no name of the book does.
const MARK: &str = "quick?";
/// Field of the address, question, label.
const FIELDS: [(&str, &str, &str); 6] = [
    ("wheelbase", "wheelbase", "Wheelbase, hub to hub"),
    ("mass", "weight.total", "Mass, unladen"),
    ("front", "front.aft", "Front lifting points behind the front hub"),
    ("rear", "rear.aft", "Rear lifting points behind the front hub"),
    ("left", "front.left", "Left of the middle, front"),
    ("left_rear", "rear.left", "Left of the middle, rear"),
];
const WORDS: [(&str, &str); 2] = [("body", "class"), ("drive", "drive")];

/// Question and label of each.
fn labels() -> impl Iterator<Item = (&'static str, &'static str)> {
    FIELDS.into_iter().map(|(_, question, label)| (question, label))
}

/// Of a figure that was typed without one.
fn unit(key: &str, is_us: bool) -> &'static str {
    match (key == "weight.total", is_us) {
        (true, true) => "lb",
        (true, false) => "kg",
        (false, true) => "in",
        (false, false) => "mm",
    }
}

/// The answers that these fields give; `None` if none of them is there. Of figures without a unit it is the one that
/// the form says.
pub(crate) fn answers(fields: &BTreeMap<String, String>) -> Option<Answers> {
    let mut answers = Answers::new();
    let is_us = field(fields, "units") == Some("us");
    for (name, key, _) in FIELDS {
        if let Some(text) = field(fields, name) {
            let papers = key == "weight.total"
                && !text.contains("+-")
                && !text.contains('±')
                && !text.contains(" by ");
            let pairs =
                [("value", text), ("unit", unit(key, is_us)), ("doubt", if papers { "papers" } else { "" })];
            answers.insert(key.into(), pairs.map(|(k, v)| (k.to_owned(), v.to_owned())).into());
        }
    }
    for (name, key) in WORDS {
        if let Some(word) = field(fields, name) {
            answers.insert(key.into(), Answer::from([("value".to_owned(), word.to_owned())]));
        }
    }
    if answers.is_empty() {
        return None;
    }
    // One figure for both pairs, as the four are usually in line.
    if let (Said::Nothing, Some(left)) = (said(&answers, "rear.left"), answers.get("front.left").cloned()) {
        answers.insert("rear.left".into(), left);
    }
    answers.insert("weight.way".into(), Answer::from([("value".to_owned(), "total".to_owned())]));
    Some(answers)
}

/// Its name: the figures themselves.
pub(crate) fn name(fields: &BTreeMap<String, String>) -> Option<String> {
    answers(fields)?;
    let known = FIELDS.iter().map(|f| f.0).chain(WORDS.iter().map(|w| w.0)).chain(["units"]);
    let pairs = known.filter_map(|name| Some((name, field(fields, name)?)));
    Some(MARK.to_owned() + &url::form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish())
}

/// The figures that a name is made of; `None` if it is the name of something in the book.
pub(crate) fn fields(name: &str) -> Option<BTreeMap<String, String>> {
    let pairs = name.strip_prefix(MARK)?;
    Some(url::form_urlencoded::parse(pairs.as_bytes()).into_owned().collect())
}

fn looked(fields: &BTreeMap<String, String>) -> Looked {
    let answers = answers(fields).unwrap_or_default();
    let word = |name: &str| field(fields, name).unwrap_or("?").to_owned();
    look(Subject::Vehicle, &format!("{}, {} drive, quick entry", word("body"), word("drive")), &answers)
}

/// Its file, or everything that is wrong with the figures.
pub(crate) fn file(name: &str) -> Option<Result<String, Vec<String>>> {
    let fields = fields(name)?;
    let looked = looked(&fields);
    if looked.is_whole() {
        return Some(Ok(looked.text));
    }
    let title = |key: &str| {
        FIELDS
            .iter()
            .find(|f| f.1 == key)
            .map(|f| f.2)
            .or_else(|| (key == "class").then_some("Body"))
            .unwrap_or("Drive")
    };
    let open = looked.open.iter().map(|key| format!("{} is missing.", title(key)));
    let wrong = looked.problems.iter().filter(|p| p.is_error).map(|p| {
        let help =
            if p.help.is_empty() { String::new() } else { format!(" {}", sentence(&capital(&p.help))) };
        format!(
            "{}: {}{help}",
            p.field.as_deref().map_or("The figures", title),
            sentence(&of_it(p, labels()))
        )
    });
    Some(Err(open.chain(wrong).collect()))
}

/// The form, with what was said before, each fault at its figure; whether it is offered to keep it.
pub(crate) fn form(
    lift: &str,
    job: &str,
    filled: &BTreeMap<String, String>,
    units: Units,
    keeps: bool,
) -> Markup {
    let looked = answers(filled).map(|_| looked(filled));
    let wrong = |key: &str| {
        let all = looked
            .iter()
            .flat_map(move |l| l.problems.iter().filter(move |p| p.field.as_deref() == Some(key)));
        let missing = looked.as_ref().is_some_and(|l| l.open.contains(key));
        html! {
            @if missing { span.wrong { "is missing" } }
            @for problem in all { span.wrong { (sentence(&capital(&of_it(problem, labels())))) (help(problem)) } }
        }
    };
    let hint = match units {
        Units::Metric => {
            "Figures without a unit are mm and kg. Others as you think of them: 8 ft 9 in, 2600 lb. A mass is taken as from the papers (5 %); from a scale write 1420 kg +- 5 kg."
        }
        Units::Us => {
            "Figures without a unit are in and lb. Others as you think of them: 8 ft 9 in, 2650 mm. A mass is taken as from the papers (5 %); from a scale write 3130 lb +- 10 lb."
        }
    };
    let now = |name: &str| filled.get(name).map_or("", String::as_str);
    // What was typed without a unit is of the system in which it was typed, whatever is shown now.
    let was_us = field(filled, "units") == Some("us");
    let figure = |name: &str, key: &str| {
        let text = now(name);
        let is_bare = !text.is_empty() && !text.chars().any(|c| c.is_alphabetic() || "'\"′″".contains(c));
        if is_bare && was_us != (units == Units::Us) {
            format!("{text} {}", unit(key, was_us))
        } else {
            text.to_owned()
        }
    };
    let questions = Subject::Vehicle.questions(&Answers::new());
    html! {
        details.sheet open[looked.is_some()] {
            summary { "A vehicle that is not in the book: wheelbase, mass, body, four lifting points" }
            p.note #by-figures { (hint) " Lifting points: from the vehicle maker's manual." }
            form.quick method="get" action="/plan" {
                input type="hidden" name="lift" value=(lift);
                input type="hidden" name="job" value=(job);
                input type="hidden" name="units" value=(if units == Units::Us { "us" } else { "metric" });
                @for (name, key, label) in FIELDS {
                    label { (label) ", " (unit(key, units == Units::Us)) @if key == "rear.left" { span.note { "empty = as in front" } }
                        input name=(name) value=(figure(name, key)) autocomplete="off" required[key != "rear.left"];
                        (wrong(key))
                    }
                }
                @for (name, key) in WORDS {
                    @if let Some(question) = questions.iter().find(|q| q.key == key) && let Kind::OneOf(words) = question.kind {
                        label { (question.title)
                            select name=(name) required { option value="" { "choose" }
                                @for (word, says) in words { option value=(word) selected[*word == now(name)] { (says) } }
                            }
                            (wrong(key))
                        }
                    }
                }
                button.main { "Plan with these" }
            }
            @if keeps && looked.as_ref().is_some_and(Looked::is_whole) {
                form method="post" action="/measure/vehicle" {
                    @for (name, value) in filled { input type="hidden" name=(name) value=(value); }
                    input type="hidden" name="lift" value=(lift);
                    input type="hidden" name="job" value=(job);
                    button { "Keep it: name it, measure on" }
                }
            }
        }
    }
}
