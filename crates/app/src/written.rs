//! A file made of what was filled in, at a page or in a row of a table: the one parser reads it, and each problem goes to the field that it is of.

use std::ops::Range;

use crate::document::Document;

/// The field that a value was filled in at, and which cell of it, where it has rows: the row, from 0, and the column's key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) field: String,
    pub(crate) cell: Option<(usize, String)>,
}

/// The text so far, and whose value stands where in it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    pub(crate) text: String,
    places: Vec<(Range<usize>, Place)>,
}

/// Something that the parser says of a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    /// The field that the value was filled in at; `None` = of the whole.
    pub(crate) field: Option<String>,
    /// Where that has rows, the row, from 0, and the column's key.
    pub(crate) cell: Option<(usize, String)>,
    /// Cannot be used; else it is only odd.
    pub(crate) is_error: bool,
    pub(crate) message: String,
    pub(crate) help: String,
}

impl Problem {
    /// In words for whoever never saw the file.
    pub(crate) fn new(of: &crate::input::problem::Problem, place: Option<&Place>) -> Self {
        Self {
            field: place.map(|place| place.field.clone()),
            cell: place.and_then(|place| place.cell.clone()),
            is_error: of.is_error,
            message: in_words(&of.message),
            help: in_words(&of.help),
        }
    }
}

impl Written {
    /// As it stands.
    pub(crate) fn put(&mut self, text: &str) {
        self.text += text;
    }

    /// A value that stands in a field.
    pub(crate) fn value(&mut self, field: &str, value: &str) {
        self.at(Place { field: field.to_owned(), cell: None }, value);
    }

    /// The same in a row, from 0, of the field, under a column's key.
    pub(crate) fn cell(&mut self, (field, row): (&str, usize), column: &str, value: &str) {
        self.at(Place { field: field.to_owned(), cell: Some((row, column.to_owned())) }, value);
    }

    fn at(&mut self, place: Place, value: &str) {
        let start = self.text.len();
        self.text += value;
        self.places.push((start..self.text.len(), place));
    }

    /// A text that stands in a field.
    pub(crate) fn text(&mut self, field: &str, text: &str) {
        self.value(field, &quoted(text));
    }

    /// Whose values stand at a place of the text, in order.
    pub(crate) fn whose(&self, span: &Range<usize>) -> impl Iterator<Item = &Place> {
        let meets = move |at: &Range<usize>| at.start < span.end && span.start < at.end;
        self.places.iter().filter(move |(at, _)| meets(at)).map(|(_, place)| place)
    }

    /// What was found when it was read; of several values the first is blamed.
    pub(crate) fn problems(&self, read: &Document) -> Vec<Problem> {
        let problem = |problem: &crate::input::problem::Problem| {
            Problem::new(problem, self.whose(&problem.span).next())
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
fn in_words(text: &str) -> String {
    let word = |word: &str| match word.contains('_') && !word.contains('"') {
        true => word.replace('_', " "),
        false => word.to_owned(),
    };
    text.replace('`', "").split(' ').map(word).collect::<Vec<_>>().join(" ")
}
