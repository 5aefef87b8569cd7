//! Inputs, notes and steps, each once: what is like another is told in short.

use planner::lift::Corner;

use super::super::super::flow::{Said, table};
use super::super::Edition;
use super::super::brief::{self, Like, all_numbers};
use super::Book;
use crate::working::{Line, Step};

impl Book<'_, '_> {
    /// What goes in and was not named before.
    pub(super) fn with<'w>(&mut self, inputs: impl IntoIterator<Item = &'w (String, String)>) -> Vec<Said> {
        let mut new: Vec<(String, String)> = vec![];
        for input in inputs {
            if !self.inputs.contains(input) {
                self.inputs.push(input.clone());
                new.push(self.without_answer(input));
            }
        }
        let (of_pads, others) = brief::by_pad(&new);
        let of_pads = self.of_pads(&of_pads);
        let with = (!others.is_empty()).then(|| {
            let inputs = brief::inputs(&brief::with_tolerances(&others));
            Said::Sentence(format!("With {}.", brief::in_short(&inputs)))
        });
        with.into_iter().chain(of_pads).collect()
    }

    /// Where the class has found a figure itself, the step that gives it.
    pub(super) fn without_answer(&self, input: &(String, String)) -> (String, String) {
        let (name, figure) = input;
        let is_of_state = name.contains("centre of gravity")
            || ["along the vehicle by", "across the vehicle by", "in height by"]
                .iter()
                .any(|off| name.ends_with(off))
            || ["mass", "tolerance of the mass"].contains(&name.as_str())
            || name.starts_with("mass ") && !name.starts_with("mass of ");
        let found = self.weights.get(figure).filter(|_| is_of_state && self.edition == Edition::Blanks);
        (name.clone(), found.map_or_else(|| figure.clone(), |number| format!("({number})")))
    }

    /// A note, without what the class has found by these steps.
    pub(super) fn note(&self, note: &str, steps: &[&Step]) -> String {
        let mut said = note.to_owned();
        for step in steps.iter().filter(|_| self.edition == Edition::Blanks) {
            if let Some(number) = self.known.get(&key(step)) {
                said = in_place_of(&said, &step.result, &format!("({number})"));
            }
        }
        said
    }

    /// One after the other, each once; `whole` is told as a whole even where it is like another.
    pub(super) fn steps<'w>(
        &mut self,
        lines: impl IntoIterator<Item = &'w Line>,
        whole: Option<&Step>,
    ) -> Vec<Said> {
        let mut said = vec![];
        let mut again: Vec<usize> = vec![];
        let mut like: Vec<(usize, &Step)> = vec![];
        let mut seen: Vec<&Step> = vec![];
        for line in lines {
            let step = match line {
                Line::Step(step) => step,
                Line::Note(note) => {
                    let way = WAYS.into_iter().find(|way| note.starts_with(&format!("{way}, ")));
                    let known = self.notes.contains(note);
                    if !known || way.is_some() {
                        said.extend(self.flushed(&mut like, &mut again));
                    }
                    if known {
                        self.way = way.or(self.way);
                    } else {
                        self.notes.push(note.clone());
                        said.push(Said::Sentence(brief::in_short(&self.note(note, &seen))));
                    }
                    continue;
                }
            };
            seen.push(step);
            if let Some(number) = self.known.get(&key(step)) {
                again.push(*number);
                continue;
            }
            let same = self.results.get(&step.result).filter(|_| is_the_same(step));
            if let Some(number) = same.copied() {
                self.known.insert(key(step), number);
                self.of_formula.entry(step.formula.clone()).or_insert(number);
                again.push(number);
                continue;
            }
            let formula = brief::of_any(&step.formula);
            let first = self.alike.get(&formula).copied().filter(|_| whole != Some(step));
            if let Some(first) = first {
                if like.iter().all(|(_, other)| *other != step) {
                    like.push((first, step));
                }
                continue;
            }
            let of = brief::pad_of_step(&step.formula);
            let before = std::mem::take(&mut again);
            // What is of one pad needs nothing of the others.
            if of.is_none() {
                said.extend(self.flushed(&mut like, &mut vec![]));
            }
            said.extend(self.way.take().map(|way| Said::Sentence(format!("{way}:"))));
            let number = self.number([step]);
            self.alike.entry(formula).or_insert(number);
            self.firsts.extend(of.map(|corner| (number, corner)));
            let from = if before.is_empty() || whole.is_none() {
                String::new()
            } else {
                format!(", from {}", all_numbers(&before))
            };
            said.push(Said::Entry(format!("({number})"), format!("{}{from}", self.step(number, step))));
        }
        if whole.is_none() && !said.is_empty() {
            again.clear();
        }
        said.extend(self.flushed(&mut like, &mut again));
        said
    }

    /// The next number, which these steps have from now on.
    pub(super) fn number<'w>(&mut self, steps: impl IntoIterator<Item = &'w Step>) -> usize {
        self.rows += 1;
        self.also(self.rows, steps);
        self.rows
    }

    /// A number that these steps have as well.
    pub(super) fn also<'w>(&mut self, number: usize, steps: impl IntoIterator<Item = &'w Step>) {
        for step in steps {
            self.known.entry(key(step)).or_insert(number);
            self.of_formula.entry(step.formula.clone()).or_insert(number);
            self.results.entry(step.result.clone()).or_insert(number);
        }
    }

    /// What was gathered of steps that are like others, or are done: those of the pads in tables, the others in a row.
    pub(super) fn flushed(&mut self, like: &mut Vec<(usize, &Step)>, again: &mut Vec<usize>) -> Vec<Said> {
        let mut again = std::mem::take(again);
        let mut said = vec![];
        // Of the step just above nobody need be told.
        if again.iter().all(|number| *number == self.rows && *number > self.begun) {
            again.clear();
        }
        if !again.is_empty() {
            let way = self.way.take().map_or_else(|| "As".to_owned(), |way| format!("{way}: as"));
            said.push(Said::Sentence(format!("{way} in {}.", all_numbers(&again))));
        }
        let (rows, others) = brief::rows(std::mem::take(like));
        let others: Vec<Like> = others
            .into_iter()
            .map(|(first, step)| {
                let number = self.number([step]);
                let apart = brief::apart(&step.formula);
                let told = self.cell(number, apart, &step.result);
                let says = format!("{apart} {told}").trim_start().to_owned();
                Like { number, says, first }
            })
            .collect();
        if !others.is_empty() {
            let way = self.way.take().map_or_else(String::new, |way| format!("{way}: "));
            said.push(Said::Sentence(format!("{way}{}", brief::like(&others))));
        }
        let mut table = vec![];
        for row in rows {
            let number = self.number(row.steps.iter().flatten().copied());
            let first = self.firsts.get(&row.first).copied().filter(|_| row.first > self.begun);
            let stands_in_it = first.is_some_and(|corner| row.steps[corner.index()].is_none());
            let cells = Corner::ALL.map(|corner| match row.steps[corner.index()] {
                Some(step) => self.cell(number, brief::short(corner), &step.result),
                None if first == Some(corner) => format!("({})", row.first),
                None => "\u{b7}".into(),
            });
            let like = if stands_in_it { String::new() } else { format!(" as ({})", row.first) };
            table.push((format!("({number}) {}{like}", row.name), cells.to_vec()));
        }
        said.extend(
            self.way.take().filter(|_| !table.is_empty()).map(|way| Said::Sentence(format!("{way}:"))),
        );
        said.extend(self.of_pads(&table));
        said
    }

    /// Rows of the four pads; which column is whose is said once in a check.
    pub(super) fn of_pads(&mut self, rows: &[(String, Vec<String>)]) -> Vec<Said> {
        if rows.is_empty() {
            return vec![];
        }
        let heads = std::iter::once("").chain(Corner::ALL.map(brief::short));
        let heads: Vec<String> = heads.map(str::to_owned).collect();
        let headed = std::mem::replace(&mut self.headed, true);
        table(if headed { &[] } else { &heads }, rows)
    }

    pub(super) fn step(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => brief::in_short(&chain(step)),
            // What only names a figure that went in asks for nothing.
            Edition::Blanks if is_the_same(step) => {
                brief::in_short(&format!("{} = {}", step.formula, step.result))
            }
            Edition::Blanks => {
                let formula = brief::in_short(&step.formula);
                format!("{formula} = {BLANK}{BLANK} = {}", self.result(number, step))
            }
        }
    }

    /// A result, or the room for it.
    pub(super) fn result(&mut self, number: usize, step: &Step) -> String {
        match self.edition {
            Edition::Worked => step.result.clone(),
            Edition::Blanks => {
                self.found.push(format!("({number}) {}", step.result));
                format!("{BLANK}{}", &step.result[brief::end_of_number(&step.result)..])
            }
        }
    }

    /// A result in a table, without its unit, or the room for it.
    pub(super) fn cell(&mut self, number: usize, whose: &str, result: &str) -> String {
        match self.edition {
            Edition::Worked => result[..brief::end_of_number(result)].to_owned(),
            Edition::Blanks => {
                self.found
                    .push(format!("({number}) {whose}{}{result}", if whose.is_empty() { "" } else { " " }));
                BLANK[..8].to_owned()
            }
        }
    }
}

/// A text with another in the place of a figure, where that stands by itself.
fn in_place_of(text: &str, figure: &str, by: &str) -> String {
    let number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '\u{2212}');
    let (mut said, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(figure) {
        let (before, after) = (&rest[..at], &rest[at + figure.len()..]);
        let alone = !before.ends_with(number) && !after.starts_with(char::is_alphanumeric);
        said += before;
        said += if alone { by } else { figure };
        rest = after;
    }
    said + rest
}

pub(super) fn key(step: &Step) -> [String; 3] {
    [step.formula.clone(), step.numbers.clone(), step.result.clone()]
}

/// The ways in which arms may bend.
const WAYS: [&str; 4] = ["First", "Second", "Third", "Last"];

/// Whether a step only says that a figure is another one.
fn is_the_same(step: &Step) -> bool {
    let number = &step.result[..brief::end_of_number(&step.result)];
    step.numbers.strip_prefix("1 \u{d7} ") == Some(number)
}

pub(super) const BLANK: &str = "___________";

/// Formula, numbers, result.
pub(super) fn chain(step: &Step) -> String {
    if step.numbers == step.result {
        format!("{} = {}", step.formula, step.result)
    } else {
        format!("{} = {} = {}", step.formula, step.numbers, step.result)
    }
}
