//! A row of a table as answers: a column for each key of the file.

use super::more::More;
use super::question::{Answers, Cell, Column, Kind, Question, Write, chosen, is_bare, said, with_unit};
use super::written::{Problem, look_with};
use super::{Subject, lift, question::Said, vehicle};

type Words = &'static [(&'static str, &'static str)];

/// A column, and where its cells go.
#[derive(Clone, Debug)]
pub(crate) struct Heading {
    pub(crate) name: String,
    /// What is measured, and where the tape goes.
    title: String,
    how: &'static str,
    /// Whether no plan can be made without it.
    pub(crate) is_needed: bool,
    words: Words,
    first: bool,
    question: String,
    field: String,
    /// Another field of the same answer that this column says too.
    says: Option<(String, &'static str)>,
    /// Whether a page would give its cells a unit.
    must_have_unit: bool,
}

/// A row's file, and what is said of it.
pub(crate) struct Row {
    pub(crate) text: String,
    pub(crate) told: Vec<Told>,
}

/// What is wrong with a cell, or odd.
pub(crate) struct Told {
    pub(crate) is_error: bool,
    pub(crate) message: String,
    pub(crate) help: String,
}

/// Every column, what a plan needs first.
pub(crate) fn headings(subject: Subject) -> Vec<Heading> {
    let ways = match subject {
        Subject::Lift => lift::ways(),
        Subject::Vehicle => vehicle::ways(),
    };
    let always = subject.questions(&Answers::new());
    let mut all: Vec<Heading> = vec![];
    for question in ways.iter().flat_map(|answers| subject.questions(answers)) {
        if question.write != Write::Nowhere && !all.iter().any(|h| h.question == question.key) {
            all.extend(of(&question, subject, always.iter().any(|q| q.key == question.key)));
        }
    }
    all.sort_by_key(|heading| !heading.first);
    all
}

fn of(question: &Question, subject: Subject, always: bool) -> Vec<Heading> {
    let key = &question.key;
    let stays_open = question.out.is_none_or(|out| out.writes.is_some());
    let plain = Heading {
        name: key.clone(),
        title: if question.part.ends_with("arms") || question.part.ends_with("arm") {
            format!("{}: {}", question.part, question.title)
        } else {
            question.title.to_owned()
        },
        how: question.how,
        is_needed: always && question.first && stays_open,
        first: question.first,
        question: key.clone(),
        field: "value".to_owned(),
        says: None,
        words: &[],
        must_have_unit: false,
    };
    match question.kind {
        Kind::OneOf(words) => vec![Heading { words, ..plain }],
        Kind::Sided { ways, .. } => ways
            .iter()
            .map(|(words, way)| Heading {
                name: format!("{key}_{way}"),
                title: format!("{}, {words}", plain.title),
                says: Some(("way".to_owned(), way)),
                ..plain.clone()
            })
            .collect(),
        Kind::Rows(count, columns) => {
            let cells = (0..count).flat_map(|row| {
                (0..columns.len())
                    .flat_map(move |k| in_row(columns, row, k).into_iter().map(move |cell| (row, k, cell)))
            });
            let cells = cells.map(|(row, k, (name, label, says))| Heading {
                name: if count == 1 { format!("{key}.{name}") } else { format!("{key}.{}.{name}", row + 1) },
                title: format!("{}: {label}", question.title),
                how: "",
                field: format!("r{row}c{k}"),
                says,
                words: if let Cell::OneOf(words) = columns[k].cell { words } else { &[] },
                must_have_unit: matches!(columns[k].cell, Cell::Figure(_)),
                ..plain.clone()
            });
            // That somebody looked and nothing is there.
            let none = (subject == Subject::Vehicle).then(|| Heading {
                title: format!("{}: \"none\" if somebody looked and none is there", question.title),
                ..plain.clone()
            });
            none.into_iter().chain(cells).collect()
        }
        Kind::Figure { .. } | Kind::Count | Kind::List(_) => vec![plain],
    }
}

type InRow = (String, &'static str, Option<(String, &'static str)>);

/// The columns that a column of rows makes: two, where the next one says which way it goes.
fn in_row(columns: &'static [Column], row: usize, k: usize) -> Vec<InRow> {
    let Column { key, label, .. } = columns[k];
    match columns.get(k + 1) {
        _ if key.is_empty() => vec![],
        Some(Column { key: "", cell: Cell::OneOf(ways), .. }) => ways
            .iter()
            .map(|(way, _)| (format!("{key}_{way}"), label, Some((format!("r{row}c{}", k + 1), *way))))
            .collect(),
        _ => vec![(key.to_owned(), label, None)],
    }
}

impl Row {
    /// The file that the cells make under this name, with what a file beside the table says more; each cell with the unit
    /// that stands at the head of its column.
    pub(crate) fn of(
        subject: Subject,
        name: &str,
        cells: &[(&Heading, String, Option<&str>)],
        more: Option<&More>,
    ) -> Self {
        let (mut answers, mut told) = (Answers::new(), vec![]);
        let mut wrong = |heading: &Heading, what: &str, help: &str| {
            let message = format!("`{}`: {what}", heading.name);
            told.push(Told { is_error: true, message, help: help.to_owned() });
        };
        for (heading, cell, unit) in cells {
            // An answer takes its unit itself, a list for each of its figures.
            let of_answer = heading.field == "value";
            let text = heading.meant(&with_unit(cell, unit.filter(|_| !of_answer)));
            if heading.must_have_unit && is_bare(&text) {
                let help =
                    "write it into the cell, or after the column's name in row 1, as in `wheelbase (mm)`";
                wrong(heading, &format!("“{text}” has no unit"), help);
            }
            let answer = answers.entry(heading.question.clone()).or_default();
            if answer.insert(heading.field.clone(), text).is_some() {
                wrong(heading, "is said in another column too", "leave one of the two empty");
            }
            if let Some(unit) = unit.filter(|_| of_answer) {
                answer.insert("unit".to_owned(), unit.to_owned());
            }
            if let Some((field, word)) = &heading.says {
                answer.insert(field.clone(), (*word).to_owned());
            }
        }
        if more.is_some_and(|more| more.has_areas) {
            vehicle::told_elsewhere(&mut answers);
        }
        match subject {
            Subject::Lift => lift::steer(&mut answers),
            Subject::Vehicle => vehicle::steer(&mut answers),
        }
        let questions = subject.questions(&answers);
        for (heading, cell, _) in cells {
            let steers = |q: &&Question| q.key == heading.question && q.write != Write::Nowhere;
            match questions.iter().find(steers).map(|q| q.kind) {
                Some(Kind::Rows(..)) if heading.field == "value" => wrong(
                    heading,
                    &format!("“{cell}”, and only \"none\" is said here"),
                    "leave it empty, and give each in the numbered columns",
                ),
                // That none is there was said, and is no answer to the question any more.
                None if chosen_none(&answers, heading, cell) => {}
                None => wrong(
                    heading,
                    "does not go with what else the row gives",
                    "leave it empty, or what says the same in another way",
                ),
                Some(_) => {}
            }
        }
        let looked = look_with(subject, name, &answers, more);
        for question in questions.iter().filter(|q| looked.open.contains(&q.key)) {
            let names = names(question);
            let help = if question.how.is_empty() { question.title } else { question.how };
            told.push(Told { is_error: true, message: format!("{names} is needed"), help: help.to_owned() });
        }
        // Of a row that cannot be read as a whole nothing is said of the whole.
        let broken = told.iter().any(|t| t.is_error);
        let said = looked.problems.iter().filter(|p| p.field.is_some() || !broken);
        told.extend(said.map(|problem| Told {
            is_error: problem.is_error,
            message: match column_of(problem, cells) {
                Some(column) => at_column(&column, &problem.message),
                None => problem.message.clone(),
            },
            help: problem.help.clone(),
        }));
        Self { text: looked.text, told }
    }
}

impl Heading {
    /// What goes into it.
    pub(crate) fn told(&self) -> String {
        let words: Vec<String> = self.words.iter().map(|(word, _)| format!("`{word}`")).collect();
        let one_of = if words.is_empty() { String::new() } else { format!(": {}", words.join(", ")) };
        let how = if self.how.is_empty() { String::new() } else { format!(" {}", self.how) };
        format!("{}{one_of}.{how}", self.title.trim_end_matches('?'))
    }

    /// A word of a choice, however it is typed: as the file has it, or as a page shows it.
    fn meant(&self, text: &str) -> String {
        let is_it = |(word, shown): &&(&str, &str)| {
            text.eq_ignore_ascii_case(word) || text.eq_ignore_ascii_case(shown)
        };
        self.words.iter().find(is_it).map_or_else(|| text.to_owned(), |(word, _)| (*word).to_owned())
    }
}

/// Whether it was said of these that none is there.
fn chosen_none(answers: &Answers, heading: &Heading, cell: &str) -> bool {
    cell.eq_ignore_ascii_case("none")
        && matches!(said(answers, &heading.question), Said::Nothing)
        && vehicle::looked(&heading.question).is_some_and(|looked| chosen(answers, looked) == Some("none"))
}

/// The columns in which a question is answered.
fn names(question: &Question) -> String {
    let key = &question.key;
    match question.kind {
        Kind::Sided { ways, .. } => format!("`{key}_{}` or `{key}_{}`", ways[0].1, ways[1].1),
        Kind::Rows(..) => format!("at least one row of `{key}`"),
        _ => format!("`{key}`"),
    }
}

/// The column is named once.
fn at_column(column: &str, message: &str) -> String {
    let words = column.rsplit('.').next().unwrap_or(column).replace('_', " ");
    format!("`{column}`: {}", message.strip_prefix(&format!("{words}: ")).unwrap_or(message))
}

fn column_of(problem: &Problem, cells: &[(&Heading, String, Option<&str>)]) -> Option<String> {
    let question = problem.field.as_ref()?;
    if let Some((row, column)) = &problem.cell {
        let numbered = format!("{question}.{}.{column}", row + 1);
        let is_numbered = cells.iter().any(|(heading, ..)| heading.name == numbered);
        return Some(if is_numbered { numbered } else { format!("{question}.{column}") });
    }
    let given = cells.iter().find(|(heading, ..)| heading.question == *question);
    Some(given.map_or_else(|| question.clone(), |(heading, ..)| heading.name.clone()))
}
