//! What is asked, one dimension at a time, and how an answer is written into a file.

use std::collections::BTreeMap;

use sheets::Units;

use crate::input::quantity::Kind as Quantity;

/// Fields of a form, as they were filled in.
pub(crate) type Answer = BTreeMap<String, String>;
/// Answers by the key of their question.
pub(crate) type Answers = BTreeMap<String, Answer>;

/// Field of an answer that says that nobody knows, or that there is none.
pub(crate) const OUT: &str = "out";
/// Field of an answer that was odd, and is said to be right: the text that was meant.
pub(crate) const RIGHT: &str = "right";
/// Field of an answer that says how it was measured, and the word that says that it was not.
pub(crate) const HOW: &str = "how";
pub(crate) const GUESS: &str = "guess";

/// One dimension.
#[derive(Clone, Debug)]
pub(crate) struct Question {
    /// Its key in the file, which is its address too.
    pub(crate) key: String,
    /// The part that it belongs to.
    pub(crate) part: &'static str,
    /// What is measured.
    pub(crate) title: &'static str,
    /// Where the tape goes.
    pub(crate) how: &'static str,
    pub(crate) kind: Kind,
    /// Whether it may be left out, and what then.
    pub(crate) out: Option<Out>,
    pub(crate) write: Write,
    /// Whether a plan needs it.
    pub(crate) first: bool,
    /// Whether it is asked how it was measured, where the file takes each figure as it stands.
    pub(crate) asks_how: bool,
}

/// Leaving a question out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Out {
    /// What the button says.
    pub(crate) says: &'static str,
    /// What follows from it.
    pub(crate) then: &'static str,
    /// What is written all the same.
    pub(crate) writes: Option<&'static str>,
}

/// How it is answered.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Kind {
    /// Number, unit; whether the file takes how far it may be off.
    Figure {
        of: &'static Quantity,
        doubt: bool,
    },
    /// The same to one side or the other: label and end of the key.
    Sided {
        of: &'static Quantity,
        ways: [(&'static str, &'static str); 2],
    },
    Count,
    /// Word of the file, and what a person reads.
    OneOf(&'static [(&'static str, &'static str)]),
    /// One figure after another.
    List(&'static Quantity),
    /// So many rows, each of these columns.
    Rows(usize, &'static [Column]),
}

/// A column of rows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Column {
    /// Its key in the file; a place is `.aft` and `.left` of it. Empty = it says which way the one before it goes.
    pub(crate) key: &'static str,
    pub(crate) label: &'static str,
    pub(crate) cell: Cell,
}

#[derive(Clone, Copy, Debug)]
pub(crate) enum Cell {
    Figure(&'static Quantity),
    Count,
    Words,
    OneOf(&'static [(&'static str, &'static str)]),
}

/// Where an answer goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Write {
    /// Under its key.
    Key,
    /// Nowhere: it steers what else is asked.
    Nowhere,
    /// Where the subject puts it.
    Elsewhere,
}

impl Question {
    pub(crate) fn new(key: &str, title: &'static str, how: &'static str, kind: Kind) -> Self {
        Self {
            key: key.to_owned(),
            part: "",
            title,
            how,
            kind,
            out: None,
            write: Write::Key,
            first: true,
            asks_how: false,
        }
    }

    pub(crate) fn or(self, says: &'static str, then: &'static str) -> Self {
        Self { out: Some(Out { says, then, writes: None }), ..self }
    }

    pub(crate) fn or_writes(self, says: &'static str, then: &'static str, writes: &'static str) -> Self {
        Self { out: Some(Out { says, then, writes: Some(writes) }), ..self }
    }

    pub(crate) fn goes(self, write: Write) -> Self {
        Self { write, ..self }
    }

    /// One that a plan does not need.
    pub(crate) fn later(self) -> Self {
        Self { first: false, ..self }
    }
}

/// What was said to a question.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Said<'a> {
    Nothing,
    Out,
    Answer(&'a Answer),
}

/// The answer under a key.
pub(crate) fn said<'a>(answers: &'a Answers, key: &str) -> Said<'a> {
    match answers.get(key) {
        None => Said::Nothing,
        Some(answer) if answer.get(OUT).is_some_and(|out| out == "yes") => Said::Out,
        Some(answer) if is_empty(answer) => Said::Nothing,
        Some(answer) => Said::Answer(answer),
    }
}

/// Whether nothing was filled in that could be read.
pub(crate) fn is_empty(answer: &Answer) -> bool {
    let steers = |name: &str| {
        ["unit", "doubt", "off", HOW, "way", RIGHT, OUT].contains(&name) || name.ends_with("unit")
    };
    !answer.iter().any(|(name, text)| !steers(name) && !text.trim().is_empty())
}

/// The word that was chosen.
pub(crate) fn chosen<'a>(answers: &'a Answers, key: &str) -> Option<&'a str> {
    match said(answers, key) {
        Said::Answer(answer) => field(answer, "value"),
        _ => None,
    }
}

/// The answer that is one word.
pub(crate) fn one_word(word: &str) -> Answer {
    Answer::from([("value".to_owned(), word.to_owned())])
}

/// A field that is not empty.
pub(crate) fn field<'a>(answer: &'a Answer, name: &str) -> Option<&'a str> {
    answer.get(name).map(|text| text.trim()).filter(|text| !text.is_empty())
}

/// Whether it is a number without a unit.
pub(crate) fn is_bare(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || " .,/-+−".contains(c))
}

/// With its unit, if it was typed without.
pub(crate) fn with_unit(text: &str, unit: Option<&str>) -> String {
    match unit.filter(|unit| is_bare(text) && !unit.is_empty()) {
        Some(unit) => format!("{text} {unit}"),
        None => text.to_owned(),
    }
}

/// Number, unit and doubt as a file has them.
pub(crate) fn figure(answer: &Answer) -> String {
    let unit = field(answer, "unit");
    let value = with_unit(field(answer, "value").unwrap_or_default(), unit);
    let off = || with_unit(field(answer, "off").unwrap_or_default(), unit);
    match field(answer, "doubt").unwrap_or_default() {
        "off" => format!("{value} +- {}", off()),
        "papers" => format!("{value} +- 5 %"),
        way if way.starts_with("scale") => format!("{value} by {way} e={}", off()),
        "" => value,
        way => format!("{value} by {way}"),
    }
}

/// Figures one after another, each with the unit: a line each, or commas, or only numbers with spaces between.
pub(crate) fn list(answer: &Answer) -> Vec<String> {
    let text = field(answer, "value").unwrap_or_default();
    let parts = text.split(['\n', ';', ',']).map(str::trim).filter(|part| !part.is_empty());
    let unit = field(answer, "unit");
    parts
        .flat_map(|part| {
            let numbers = part.split_whitespace().all(|w| w.chars().all(|c| c.is_ascii_digit() || c == '.'));
            let pieces: Vec<&str> = if numbers { part.split_whitespace().collect() } else { vec![part] };
            pieces.into_iter().map(|piece| with_unit(piece, unit)).collect::<Vec<_>>()
        })
        .collect()
}

/// A row in which something was filled in: which one, from 0, and its cells.
pub(crate) type Filled = (usize, Vec<String>);

/// Rows in which something was filled in, cell by cell.
pub(crate) fn rows(answer: &Answer, count: usize, columns: &[Column]) -> Vec<Filled> {
    let unit = field(answer, "unit");
    let cell = |row: usize, k: usize, column: &Column| {
        let text = field(answer, &format!("r{row}c{k}")).unwrap_or_default();
        match column.cell {
            Cell::Figure(of) if of.name == "length" => with_unit(text, unit),
            Cell::Figure(of) => {
                with_unit(text, of.units.first().and_then(|(names, _)| names.first().copied()))
            }
            _ => text.to_owned(),
        }
    };
    let typed = |(_, row): &Filled| {
        let is_typed =
            |(text, column): (&String, &Column)| !text.is_empty() && !matches!(column.cell, Cell::OneOf(_));
        row.iter().zip(columns).any(is_typed)
    };
    let all = (0..count).map(|row| (row, columns.iter().enumerate().map(|(k, c)| cell(row, k, c)).collect()));
    all.filter(typed).collect()
}

/// Units to choose from, the one that this tablet shows first.
pub(crate) fn units(of: &Quantity, shown: Units) -> Vec<&'static str> {
    match (of.name, shown) {
        ("length", Units::Metric) => vec!["mm", "cm", "m", "in", "ft"],
        ("length", Units::Us) => vec!["in", "ft", "mm", "cm", "m"],
        ("mass", Units::Metric) => vec!["kg", "t", "lb"],
        ("mass", Units::Us) => vec!["lb", "kg", "t"],
        _ => of
            .units
            .iter()
            .filter_map(|(names, _)| names.first().copied())
            .filter(|name| !name.is_empty())
            .collect(),
    }
}

/// How somebody can say how far a figure may be off: word, and what a person reads.
pub(crate) fn doubts(of: &Quantity) -> &'static [(&'static str, &'static str)] {
    match of.name {
        "length" => &[
            ("", "not said: usual is assumed"),
            ("tape II", "by tape, class II on it"),
            ("tape I", "by tape, class I on it"),
            ("tape III", "by tape, class III on it"),
            ("off", "may be off by ±"),
            ("guess", "a guess: 10 % is assumed"),
        ],
        "mass" => &[
            ("papers", "from its papers: 5 % is assumed"),
            ("scale III", "on a scale, class III: its step e ="),
            ("scale IIII", "on a scale, class IIII: its step e ="),
            ("off", "may be off by ±"),
            ("guess", "a guess: 10 % is assumed"),
            ("", "not said: usual is assumed"),
        ],
        _ => &[("", "not said"), ("off", "may be off by ±"), ("guess", "a guess: 10 % is assumed")],
    }
}

/// How a figure can have been measured that the file takes as it stands: word, what a person reads.
pub(crate) fn ways_to_measure(of: &Quantity) -> &'static [(&'static str, &'static str)] {
    match of.name {
        "angle" => &[
            ("", "not said"),
            ("gauge", "with an angle gauge"),
            ("marks", "from marks on the floor"),
            ("drawing", "from the manual or a drawing"),
            (GUESS, "a guess"),
        ],
        _ => &[
            ("", "not said"),
            ("tape", "with a tape"),
            ("drawing", "from the manual or a drawing"),
            (GUESS, "a guess"),
        ],
    }
}

impl Question {
    /// How it was said to be measured, as a person reads it.
    pub(crate) fn how_measured(&self, answers: &Answers) -> Option<&'static str> {
        let (Kind::Figure { of, .. } | Kind::Sided { of, .. } | Kind::List(of)) = self.kind else {
            return None;
        };
        let Said::Answer(answer) = said(answers, &self.key) else { return None };
        let word = field(answer, HOW).filter(|_| self.asks_how)?;
        ways_to_measure(of).iter().find(|(own, _)| *own == word).map(|(_, says)| *says)
    }

    /// Whether it is a guess that nothing in a plan stands for.
    pub(crate) fn is_guessed(&self, answers: &Answers) -> bool {
        let answer = answers.get(&self.key).and_then(|answer| field(answer, HOW));
        self.asks_how && self.how_measured(answers).is_some() && answer == Some(GUESS)
    }
}

/// Whether the way of measuring needs a second figure.
pub(crate) fn needs_off(doubt: &str) -> bool {
    doubt == "off" || doubt.starts_with("scale")
}
