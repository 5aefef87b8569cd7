//! From an entry of a fleet, and the files that go with all of them, to the planner's own types.

use std::path::Path;

use planner::{Lift, Limits, Vehicle};

use super::cells::{Form, Head, wrong};
use super::fleet::Raw;
use super::papers;
use crate::desk::Ended;
use crate::document::Document;
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::input::shape::{LONGEST, unfit};
use crate::intake::LONGEST_LIST;
use crate::measuring::{self, Heading, MORE, More, Subject};
use crate::verb::book::named;

/// The file that a row names, or that its columns make.
fn file(
    subject: Subject,
    head: &Head,
    headings: &[Heading],
    cells: &[String],
    id: &str,
) -> Result<Document, String> {
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
        (Some((file, _)), None) => opened("file", file),
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
            let said: String =
                told.iter().filter(|t| t.is_error).map(|t| wrong(&t.message, &t.help)).collect();
            if said.is_empty() { Ok(Document::of(Source::new(subject.word(), text))) } else { Err(said) }
        }
    }
}

fn document(subject: Subject, raw: &Raw, id: &str) -> Result<Document, String> {
    match raw {
        Raw::Text(source) => Ok(Document::of((**source).clone())),
        Raw::Cells(head, cells) => match &head.form {
            Form::Measured(headings) => file(subject, head, headings, cells, id),
            Form::Papers => Err(wrong("a lift is not known by its papers", "measure it")),
        },
        Raw::Broken(why, _) => Err(why.clone()),
    }
}

/// A thing that a document says, or why it says none.
fn said<T>(mut document: Document, read: fn(&mut Document) -> Option<T>) -> Result<T, String> {
    let found = read(&mut document).filter(|_| !document.holds_examples());
    found.ok_or_else(|| {
        let mut text = document.errors();
        if document.holds_examples() {
            text += &wrong(
                "no answer is made from example values",
                "measure each value, then delete the line `example_values`",
            );
        }
        text
    })
}

/// The vehicle of an entry, or everything that is wrong with it.
pub(crate) fn vehicle(raw: &Raw, id: &str, limits: &Limits) -> Result<Vehicle, String> {
    if let Raw::Cells(head, cells) = raw
        && matches!(head.form, Form::Papers)
    {
        return papers::vehicle(head, cells, limits);
    }
    said(document(Subject::Vehicle, raw, id)?, Document::vehicle)
}

/// The lift of an entry, or everything that is wrong with it.
pub(crate) fn lift(raw: &Raw, id: &str) -> Result<Lift, String> {
    said(document(Subject::Lift, raw, id)?, Document::lift)
}

/// A job that can be read by itself; whether it goes with a vehicle is asked of each.
pub(crate) fn job(path: &Path) -> Result<Source, String> {
    let source = Source::read(path).map_err(|fault| render_unreadable(&fault))?;
    said(Document::of(source.clone()), |file| file.job(None))?;
    Ok(source)
}

/// The shop's own limits.
pub(crate) fn limits(source: Source) -> Result<Limits, String> {
    said(Document::of(source), Document::limits)
}
