//! From an entry of a fleet, and the files that go with all of them, to the planner's own types.

use std::path::Path;

use planner::{Lift, Limits, Vehicle};

use super::cells::{Form, Head, odd, wrong};
use super::fleet::{Entry, Raw};
use super::papers;
use super::told::Told;
use crate::desk::Ended;
use crate::document::Document;
use crate::input::Source;
use crate::input::problem::{LEFT_OUT, render_unreadable};
use crate::input::shape::{LONGEST, unfit};
use crate::intake::LONGEST_LIST;
use crate::measuring::{self, Heading, MORE, More, Subject};
use crate::verb::book::named;

/// The file that a row names, or that its columns make, and what is odd in them.
fn file(
    subject: Subject,
    head: &Head,
    headings: &[Heading],
    cells: &[String],
    id: &str,
) -> Result<(Document, String), String> {
    let mut said = String::new();
    for ((column, _), cell) in head.columns.iter().zip(cells) {
        let is_measured = headings.iter().any(|heading| heading.name == *column);
        if let Some([fault, help]) = unfit(cell, if is_measured { LONGEST_LIST } else { LONGEST }) {
            said += &wrong(&format!("`{column}` {fault}"), &help);
        }
    }
    if !said.is_empty() {
        return Err(said);
    }
    let given =
        |heading: &'_ Heading| head.cell(cells, &heading.name).map(|(text, unit)| (text.to_owned(), unit));
    let measured: Vec<(&Heading, String, Option<&str>)> =
        headings.iter().filter_map(|h| given(h).map(|(text, unit)| (h, text, unit))).collect();
    let opened = |column: &str, name: &str| {
        named(&head.folder, name).map_err(|ended| match ended {
            Ended::Said(text, _) => text.replacen("error: ", &format!("error: `{column}`: "), 1),
            Ended::Book(failure) => failure.to_string(),
        })
    };
    let more = match head.cell(cells, MORE) {
        None => None,
        Some((name, _)) => {
            let more = More::of(name, opened(MORE, name)?.source);
            Some(more.map_err(|[what, help]| wrong(&format!("`{MORE}`: {what}"), &help))?)
        }
    };
    match (head.cell(cells, "file"), measured.first()) {
        (Some(_), None) if more.is_some() => Err(wrong(
            &format!("`file` names a whole file, and `{MORE}` what goes with columns"),
            "leave one of the two empty",
        )),
        (Some((file, _)), None) => opened("file", file).map(|file| (file, String::new())),
        (Some(_), Some((heading, ..))) => Err(wrong(
            &format!("`file` names a file, and `{}` says what stands in one", heading.name),
            "give the file, or the columns that make one",
        )),
        (None, None) => Err(wrong(
            "`file` is empty, and so is every column that could make a file",
            "docs/book.md tells the columns; `standfast new` writes a table with all of them",
        )),
        (None, Some(_)) => {
            let called = head.cell(cells, "description").map_or(id, |(text, _)| text);
            let measuring::Row { text, told } = measuring::Row::of(subject, called, &measured, more.as_ref());
            let errors = told.iter().filter(|t| t.is_error);
            let said: String = errors.map(|t| wrong(&t.message, &t.help)).collect();
            if !said.is_empty() {
                return Err(said);
            }
            let odd_ones = told.iter().filter(|t| !t.message.starts_with(LEFT_OUT));
            let said = odd_ones.map(|t| odd(&t.message, &t.help)).collect();
            Ok((Document::of(Source::new(subject.word(), text)), said))
        }
    }
}

/// What was read, and what in it is legal but odd, with its place.
#[derive(Debug)]
pub(crate) struct Read<T> {
    pub(crate) said: T,
    pub(crate) odd: Option<String>,
}

impl<T> Read<T> {
    /// At a place; an empty text is nothing odd.
    fn new(said: T, place: &str, odd: &str) -> Self {
        Self { said, odd: (!odd.is_empty()).then(|| format!("{place}: legal but odd.\n{odd}")) }
    }

    /// The thing itself, once what is odd is told.
    pub(crate) fn told(self, told: &mut Told) -> T {
        self.odd.iter().for_each(|odd| told.odd(odd));
        self.said
    }
}

/// What an entry says, and what is odd in its cells.
fn document(subject: Subject, entry: &Entry) -> Result<(Document, String), String> {
    match &entry.raw {
        Raw::Text(source) => Ok((Document::of((**source).clone()), String::new())),
        Raw::Cells(head, cells) => match &head.form {
            Form::Measured(headings) => file(subject, head, headings, cells, &entry.id),
            Form::Papers => Err(wrong("a lift is not known by its papers", "measure it")),
        },
        Raw::Broken(why, _) => Err(why.clone()),
    }
}

/// A thing that a document says, or why it says none.
fn said<T>(
    (mut document, odd): (Document, String),
    place: &str,
    read: fn(&mut Document) -> Option<T>,
) -> Result<Read<T>, String> {
    match read(&mut document) {
        Some(found) if !document.holds_examples() => {
            // Of a row's cells it is told by their columns.
            let odd = if odd.is_empty() {
                document.problems.only_odd().render(&document.source, false)
            } else {
                odd
            };
            Ok(Read::new(found, place, &odd))
        }
        _ => {
            let mut text = document.errors();
            if document.holds_examples() {
                text += &wrong(
                    "no answer is made from example values",
                    "measure each value, then delete the line `example_values`",
                );
            }
            Err(text)
        }
    }
}

/// As what the vehicle of an entry may stand on a lift: one, or several where its papers tell too little. Or everything that
/// is wrong with it.
pub(crate) fn vehicles(entry: &Entry, limits: &Limits) -> Result<Read<Vec<Vehicle>>, String> {
    if let Raw::Cells(head, cells) = &entry.raw
        && matches!(head.form, Form::Papers)
    {
        let (vehicles, odd) = papers::vehicles(head, cells, limits)?;
        return Ok(Read::new(vehicles, &entry.place, &odd));
    }
    said(document(Subject::Vehicle, entry)?, &entry.place, |file| Some(vec![file.vehicle()?]))
}

/// The lift of an entry, or everything that is wrong with it.
pub(crate) fn lift(entry: &Entry) -> Result<Read<Lift>, String> {
    said(document(Subject::Lift, entry)?, &entry.place, Document::lift)
}

/// A job that can be read by itself; whether it goes with a vehicle is asked of each.
pub(crate) fn job(path: &Path) -> Result<Read<Source>, String> {
    let source = Source::read(path).map_err(|fault| render_unreadable(&fault))?;
    let file = (Document::of(source.clone()), String::new());
    let Read { odd, .. } = said(file, &path.display().to_string(), |file| file.job(None))?;
    Ok(Read { said: source, odd })
}

/// The shop's own limits.
pub(crate) fn limits(source: Source) -> Result<Read<Limits>, String> {
    let place = source.name.clone();
    said((Document::of(source), String::new()), &place, Document::limits)
}
