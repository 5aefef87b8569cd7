//! What was found in a file that was filled in at a page, told at its fields.

use maud::{Markup, html};
use sheets::words::capital;

use crate::written::Problem;

/// At a field, what is wrong with it or odd.
pub(crate) fn at_field(problems: &[Problem], field: &str) -> Markup {
    told(problems.iter().filter(|problem| problem.field.as_deref() == Some(field)))
}

/// Above all fields, what is of none of them.
pub(crate) fn of_the_whole(problems: &[Problem]) -> Markup {
    told(problems.iter().filter(|problem| problem.field.is_none()))
}

/// With one full stop.
pub(crate) fn sentence(text: &str) -> String {
    format!("{}.", text.trim_end_matches('.'))
}

/// What helps, as a sentence of its own after what is wrong.
pub(crate) fn help(problem: &Problem) -> Markup {
    html! { @if !problem.help.is_empty() { " " span.note { (sentence(&capital(&problem.help))) } } }
}

/// What follows the name of a field, where a message begins with it.
const FOLLOWS: [&str; 7] = [": ", " is ", " lies ", " has ", " holds ", " needs ", " must "];

/// What is said of a field, beside its label: the field is "it", others go by their own labels, none by a key of the file.
/// Each label stands with the field's key; keys are told with spaces between their words.
pub(crate) fn of_it<'l>(problem: &Problem, labels: impl IntoIterator<Item = (&'l str, &'l str)>) -> String {
    let last = |key: &str| key.rsplit('.').next().unwrap_or(key).replace('_', " ");
    let own = problem.cell.as_ref().map(|(_, column)| column).or(problem.field.as_ref()).map(|key| last(key));
    let said = own.as_ref().and_then(|own| {
        let rest = problem.message.strip_prefix(own.as_str())?;
        // One figure may be of either of two keys, told by the way that it points.
        let mut rests = ["", " ahead", " behind"].into_iter().filter_map(|way| rest.strip_prefix(way));
        rests.find(|rest| FOLLOWS.iter().any(|word| rest.starts_with(word)))
    });
    let mut said = match said.map(|rest| rest.strip_prefix(": ").ok_or(rest)) {
        Some(Ok(fault)) => fault.to_owned(),
        Some(Err(rest)) => format!("it{rest}"),
        None => problem.message.clone(),
    };
    for (key, label) in labels {
        // Where a value follows, it is a field that is meant, and no word of the language.
        said = said.replace(&format!(" {} \"", last(key)), &format!(" “{}” \"", label.trim_end_matches('?')));
    }
    said
}

fn told<'a>(problems: impl Iterator<Item = &'a Problem>) -> Markup {
    html! {
        @for problem in problems {
            p.wrong[problem.is_error] role="alert" { (sentence(&capital(&of_it(problem, [])))) (help(problem)) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_message_beside_a_field_begins_with_a_key() {
        let problem = |field: &str, cell: Option<&str>, message: &str| Problem {
            field: Some(field.into()),
            cell: cell.map(|column| (0, column.to_owned())),
            is_error: true,
            message: message.into(),
            help: String::new(),
        };
        let labels = [
            ("columns.inside", "Clear width between the columns"),
            ("arms.front.reach_in", "Reach, pushed fully in"),
        ];
        for (field, cell, message, says) in [
            (
                "columns.inside",
                None,
                "inside is \"1900 mm\", which is legal but odd",
                "it is \"1900 mm\", which is legal but odd",
            ),
            (
                "arms.front.pivot",
                None,
                "pivot ahead is \"9 m\", which cannot be",
                "it is \"9 m\", which cannot be",
            ),
            ("loads.0.mass", None, "mass: \"thirty\" has no number", "\"thirty\" has no number"),
            (
                "pads.adapters",
                Some("height"),
                "height is \"2 m\", which cannot be",
                "it is \"2 m\", which cannot be",
            ),
            (
                "arms.front.pivot_out",
                None,
                "pivot out is \"2 m\", and with inside \"2800 mm\" a column stands inside",
                "it is \"2 m\", and with “Clear width between the columns” \"2800 mm\" a column stands inside",
            ),
            ("arms.front.reach", None, "reach in is \"2 m\"", "reach in is \"2 m\""),
        ] {
            assert_eq!(of_it(&problem(field, cell, message), labels), says);
        }
    }
}
