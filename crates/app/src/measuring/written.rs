//! A file made of answers: the one parser says what is wrong with it.

use std::collections::BTreeSet;

use super::more::More;
use super::question::{Answers, Kind, Question, Said, Write, figure, list, said};
use super::{Subject, lift, vehicle};
use crate::document::Document;
use crate::input::Source;
use crate::written;
pub(crate) use crate::written::{Problem, quoted};

/// The text so far.
#[derive(Clone, Debug, Default)]
pub(crate) struct Written {
    made: written::Written,
    open: BTreeSet<String>,
}

impl Written {
    /// As it stands.
    pub(crate) fn put(&mut self, text: &str) {
        self.made.put(text);
    }

    /// A value that answers a question.
    pub(crate) fn value(&mut self, question: &str, value: &str) {
        self.made.value(question, value);
    }

    /// The same in a row, from 0, of its answer, under a column's key.
    pub(crate) fn cell(&mut self, place: (&str, usize), column: &str, value: &str) {
        self.made.cell(place, column, value);
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
            written.put(&format!("{}{key} = ", heading(question, answers)));
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
}

/// What is said above a figure: what it is and how it was measured.
pub(super) fn heading(question: &Question, answers: &Answers) -> String {
    let how = question.how_measured(answers).map(|how| format!(", {how}")).unwrap_or_default();
    format!("# {}{how}\n", question.title)
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

impl Problem {
    fn of_guess(question: &Question) -> Self {
        Self {
            field: Some(question.key.clone()),
            cell: None,
            is_error: true,
            message: "a guess is not enough here".into(),
            help: "every plan takes a lift's figure as it stands, and nothing makes up for what a guess is off: measure it on the lift".into(),
        }
    }
}

fn is_truth(word: &str) -> bool {
    matches!(word, "true" | "false")
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
        self.problems.iter().filter(move |p| p.field.as_deref() == Some(key))
    }
}

/// Makes the file and reads it, as any file is read.
pub(crate) fn look(subject: Subject, name: &str, answers: &Answers) -> Looked {
    look_with(subject, name, answers, None)
}

/// The same, with what a file beside a table says more.
pub(super) fn look_with(subject: Subject, name: &str, answers: &Answers, more: Option<&More>) -> Looked {
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
    let own = written.made.text.len();
    more.iter().for_each(|more| written.put(more.text()));
    let mut document = Document::of(Source::new(subject.word(), written.made.text.as_str()));
    match subject {
        Subject::Lift => drop(document.lift()),
        Subject::Vehicle => drop(document.vehicle()),
    }
    let guessed = |question: &&Question| question.is_guessed(answers);
    let mut problems: Vec<Problem> = questions.iter().filter(guessed).map(Problem::of_guess).collect();
    for problem in document.problems.all() {
        if let Some((more, at)) = more.zip(problem.span.start.checked_sub(own)) {
            problems.push(more.problem(problem, at));
            continue;
        }
        let mut whose = written.made.whose(&problem.span).peekable();
        let first = whose.peek().copied();
        // Of what is still to come nothing is said, nor of the whole as long as something is.
        let still_to_come = first.is_none() && !written.open.is_empty()
            || whose.any(|place| written.open.contains(&place.field));
        if !still_to_come {
            let problem = Problem::new(problem, first);
            // A figure may stand in the file twice: what is wrong with it is said once.
            if !problems.contains(&problem) {
                problems.push(problem);
            }
        }
    }
    Looked { text: written.made.text, open: written.open, problems }
}
