//! A file that a page makes of what was filled in: the one parser reads it, and each problem goes to the field that it is of.

use std::ops::Range;

use maud::{Markup, html};

use crate::document::Document;

/// The text so far, and whose value stands where in it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    pub(crate) text: String,
    places: Vec<(Range<usize>, String)>,
}

/// Something that the parser says of a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    /// The field that the value was filled in at; `None` = of the whole.
    pub(crate) field: Option<String>,
    /// Cannot be used; else it is only odd.
    pub(crate) is_error: bool,
    pub(crate) message: String,
    pub(crate) help: String,
}

impl Written {
    /// As it stands.
    pub(crate) fn put(&mut self, text: &str) {
        self.text += text;
    }

    /// A value that stands in a field.
    pub(crate) fn value(&mut self, field: &str, value: &str) {
        let start = self.text.len();
        self.text += value;
        self.places.push((start..self.text.len(), field.to_owned()));
    }

    /// A text that stands in a field.
    pub(crate) fn text(&mut self, field: &str, text: &str) {
        self.value(field, &quoted(text));
    }

    /// Whose values stand at a place of the text, in order.
    pub(crate) fn whose(&self, span: &Range<usize>) -> impl Iterator<Item = &str> {
        let meets = move |place: &Range<usize>| place.start < span.end && span.start < place.end;
        self.places.iter().filter(move |(place, _)| meets(place)).map(|(_, field)| field.as_str())
    }

    /// What was found when it was read; of several values the first is blamed.
    pub(crate) fn problems(&self, read: &Document) -> Vec<Problem> {
        let problem = |problem: &crate::input::problem::Problem| Problem {
            field: self.whose(&problem.span).next().map(str::to_owned),
            is_error: problem.is_error,
            message: in_words(&problem.message),
            help: in_words(&problem.help),
        };
        let mut all: Vec<Problem> = read.problems.all().iter().map(problem).collect();
        all.dedup();
        all
    }
}

/// A text as TOML has it.
pub(crate) fn quoted(text: &str) -> String {
    toml::Value::String(text.replace(char::is_control, " ")).to_string()
}

/// Keys of the file as words, for whoever never saw it.
pub(crate) fn in_words(text: &str) -> String {
    let word = |word: &str| match word.contains('_') && !word.contains('"') {
        true => word.replace('_', " "),
        false => word.to_owned(),
    };
    text.replace('`', "").split(' ').map(word).collect::<Vec<_>>().join(" ")
}

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
