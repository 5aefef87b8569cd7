//! What was found in a file that was filled in at a page, told at its fields.

use maud::{Markup, html};

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

fn told<'a>(problems: impl Iterator<Item = &'a Problem>) -> Markup {
    html! {
        @for problem in problems {
            p.wrong[problem.is_error] role="alert" { (sentence(&problem.message)) @if !problem.help.is_empty() { " " span.note { (sentence(&problem.help)) } } }
        }
    }
}
