//! A file made of answers, and whose answer stands where in it: the one parser says what is wrong with it.

use std::collections::BTreeSet;
use std::ops::Range;

use super::question::{Answers, Kind, Question, Said, Write, figure, list, said};
use super::{Subject, lift, vehicle};
use crate::document::Document;
use crate::input::Source;

/// Whose answer it is, and which cell of it, where it has rows: the row, from 0, and the column's key.
#[derive(Clone, Debug)]
struct Place {
    question: String,
    cell: Option<(usize, String)>,
}

/// The text so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    pub(crate) text: String,
    places: Vec<(Range<usize>, Place)>,
    open: BTreeSet<String>,
}

impl Written {
    /// As it stands.
    pub(crate) fn put(&mut self, text: &str) {
        self.text += text;
    }

    /// A value that answers a question.
    pub(crate) fn value(&mut self, question: &str, value: &str) {
        self.at(Place { question: question.to_owned(), cell: None }, value);
    }

    /// The same in a row, from 0, of its answer, under a column's key.
    pub(crate) fn cell(&mut self, (question, row): (&str, usize), column: &str, value: &str) {
        self.at(Place { question: question.to_owned(), cell: Some((row, column.to_owned())) }, value);
    }

    fn at(&mut self, place: Place, value: &str) {
        let start = self.text.len();
        self.text += value;
        self.places.push((start..self.text.len(), place));
    }

    /// In place of an answer that is still to come: nothing that can be read, so that no rule says anything of it.
    pub(crate) fn open(&mut self, question: &str) {
        self.open.insert(question.to_owned());
        self.value(question, "\"\"");
    }

    /// The same where nothing can stand in its place.
    pub(crate) fn missing(&mut self, question: &str) {
        self.open.insert(question.to_owned());
    }

    /// A figure, or that it is still to come.
    pub(crate) fn figure(&mut self, answers: &Answers, question: &str) {
        match said(answers, question) {
            Said::Answer(answer) => self.value(question, &quoted(&figure(answer))),
            _ => self.open(question),
        }
    }

    /// What was answered to a question, under a key: nothing if it was left out.
    pub(crate) fn line(&mut self, question: &Question, key: &str, answers: &Answers) {
        let (name, write) = (question.key.as_str(), |written: &mut Self, key: &str| {
            written.put(&format!("# {}\n{key} = ", question.title));
        });
        match (said(answers, name), question.kind, question.out) {
            (Said::Nothing, _, Some(out)) if out.writes.is_none() => return,
            (Said::Out, _, Some(out)) => match out.writes {
                None => return,
                Some(text) => {
                    write(self, key);
                    self.value(name, text);
                }
            },
            (Said::Answer(answer), kind, _) => match kind {
                Kind::Sided { ways, .. } => {
                    let way = answer.get("way").map_or(ways[0].1, String::as_str);
                    write(self, &format!("{key}_{way}"));
                    self.value(name, &quoted(&figure(answer)));
                }
                Kind::List(_) => {
                    write(self, key);
                    self.put("[");
                    for item in list(answer) {
                        self.value(name, &quoted(&item));
                        self.put(", ");
                    }
                    self.put("]");
                }
                _ => {
                    write(self, key);
                    let text = figure(answer);
                    let bare = is_truth(&text) || matches!(kind, Kind::Count) && text.parse::<i64>().is_ok();
                    self.value(name, &if bare { text } else { quoted(&text) });
                }
            },
            (_, kind, _) => {
                let key = if let Kind::Sided { ways, .. } = kind {
                    format!("{key}_{}", ways[0].1)
                } else {
                    key.into()
                };
                write(self, &key);
                match kind {
                    // What counts may not be text: the most that is legal contradicts the least.
                    Kind::Count => {
                        self.open.insert(name.to_owned());
                        self.value(name, "4");
                    }
                    Kind::OneOf(words) => {
                        self.open.insert(name.to_owned());
                        let word = words.first().map_or("", |w| w.0);
                        self.value(name, &if is_truth(word) { word.to_owned() } else { quoted(word) });
                    }
                    Kind::List(_) => {
                        self.put("[");
                        self.open(name);
                        self.put("]");
                    }
                    _ => self.open(name),
                }
            }
        }
        self.put("\n");
    }

    /// Whose answers stand at a place of the text; of a list the first is blamed.
    fn whose(&self, span: &Range<usize>) -> impl Iterator<Item = &Place> {
        let meets = move |place: &Range<usize>| place.start < span.end && span.start < place.end;
        self.places.iter().filter(move |(at, _)| meets(at)).map(|(_, place)| place)
    }
}

/// What stands in a cell of a table of the file.
pub(crate) enum Value<'a> {
    Text(&'a str),
    Count(&'a str),
    Place([&'a str; 2]),
}

/// One row as a table of the file.
pub(crate) fn row(written: &mut Written, place: (&str, usize), cells: &[(&str, Value<'_>)]) {
    let mut between = "  { ";
    for (key, value) in cells {
        written.put(&format!("{between}{key} = "));
        between = ", ";
        match value {
            Value::Count(text) if text.parse::<i64>().is_ok() => written.cell(place, key, text),
            Value::Text(text) | Value::Count(text) => written.cell(place, key, &quoted(text)),
            Value::Place(both) => {
                written.put("[");
                for (text, way) in both.iter().zip(["aft", "left"]) {
                    written.cell(place, &format!("{key}.{way}"), &quoted(text));
                    written.put(", ");
                }
                written.put("]");
            }
        }
    }
    written.put(" },\n");
}

fn is_truth(word: &str) -> bool {
    matches!(word, "true" | "false")
}

/// A text as TOML has it.
pub(crate) fn quoted(text: &str) -> String {
    toml::Value::String(text.replace(char::is_control, " ")).to_string()
}

/// Something that the parser says of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Problem {
    /// The question; `None` = of the whole.
    pub(crate) key: Option<String>,
    /// Of an answer in rows the row, from 0, and the column's key.
    pub(crate) cell: Option<(usize, String)>,
    /// Cannot be used; else it is only odd.
    pub(crate) is_error: bool,
    pub(crate) message: String,
    pub(crate) help: String,
}

/// The answers so far, as a file and as what was found in it.
#[derive(Clone, Debug)]
pub(crate) struct Looked {
    pub(crate) text: String,
    /// Needed, and not answered yet.
    pub(crate) open: BTreeSet<String>,
    pub(crate) problems: Vec<Problem>,
}

impl Looked {
    /// Nothing is missing, nothing is wrong.
    pub(crate) fn is_whole(&self) -> bool {
        self.open.is_empty() && !self.problems.iter().any(|p| p.is_error)
    }

    /// What is said of one answer.
    pub(crate) fn about<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a Problem> {
        self.problems.iter().filter(move |p| p.key.as_deref() == Some(key))
    }
}

/// Makes the file and reads it, as any file is read.
pub(crate) fn look(subject: Subject, name: &str, answers: &Answers) -> Looked {
    let questions = subject.questions(answers);
    let mut written = Written::default();
    written.put(&format!("standfast = {}\nname = {}\n", quoted(subject.mark()), quoted(name)));
    for question in questions.iter().filter(|q| q.write == Write::Key) {
        written.line(question, &question.key, answers);
    }
    match subject {
        Subject::Lift => lift::rest(&mut written, &questions, answers),
        Subject::Vehicle => vehicle::rest(&mut written, &questions, answers),
    }
    let mut document = Document::of(Source::new(subject.word(), written.text.as_str()));
    match subject {
        Subject::Lift => drop(document.lift()),
        Subject::Vehicle => drop(document.vehicle()),
    }
    let mut problems: Vec<Problem> = vec![];
    for problem in document.problems.all() {
        let mut whose = written.whose(&problem.span).peekable();
        let first = whose.peek().map(|place| (*place).clone());
        let (key, cell) = first.map_or((None, None), |place| (Some(place.question), place.cell));
        // Of what is still to come nothing is said, nor of the whole as long as something is.
        let still_to_come = key.is_none() && !written.open.is_empty()
            || whose.any(|place| written.open.contains(&place.question));
        if !still_to_come {
            let (message, help) = (in_words(&problem.message), in_words(&problem.help));
            problems.push(Problem { key, cell, is_error: problem.is_error, message, help });
        }
    }
    problems.dedup();
    Looked { text: written.text, open: written.open, problems }
}

/// Keys of the file as words, for whoever never saw it.
fn in_words(text: &str) -> String {
    let word = |word: &str| match word.contains('_') && !word.contains("\"") {
        true => word.replace('_', " "),
        false => word.to_owned(),
    };
    text.replace('`', "").split(' ').map(word).collect::<Vec<_>>().join(" ")
}
