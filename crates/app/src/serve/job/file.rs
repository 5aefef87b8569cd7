//! A job's file made of what was filled in, and what the one parser says of it, field by field.

use planner::{Job, Vehicle};
use sheets::Units;

use super::fields::{Cell, Column, Filled, LISTS, List, Of, field, is_blank, rows, way};
use crate::document::{Document, Kind};
use crate::input::Source;
use crate::serve::measure::with_unit;
use crate::written::{Problem, Written, quoted};

/// What came of it.
pub(super) struct Made {
    pub(super) text: String,
    pub(super) job: Option<Job>,
    pub(super) problems: Vec<Problem>,
}

/// Makes the file and reads it, as any file is read; with a vehicle its parts and doors are looked up.
pub(super) fn made(filled: &Filled, units: Units, vehicle: Option<&Vehicle>) -> Made {
    let mut file = File { filled, units, written: Written::default() };
    file.head();
    for list in &LISTS {
        file.list(list, list.key, list.key);
    }
    let mut document = Document::of(Source::new("job", file.written.text.as_str()));
    let job = document.job(vehicle);
    let problems = file.written.problems(&document);
    Made { text: file.written.text, job, problems }
}

struct File<'a> {
    filled: &'a Filled,
    units: Units,
    written: Written,
}

impl File<'_> {
    fn head(&mut self) {
        self.written.put(&format!("standfast = {}\nname = ", quoted(Kind::Job.mark())));
        self.written.text("name", field(self.filled, "name").unwrap_or_default());
        self.written.put("\n");
        for (key, cell) in [("teaches", Cell::Words), ("opened_height", Cell::Figure(Of::Length))] {
            self.column(key, &Column { key, label: "", cell });
        }
    }

    /// Rows in which something is filled in, one table each.
    fn list(&mut self, list: &List, at: &str, header: &str) {
        for k in 0..rows(self.filled, at) {
            let row = format!("{at}.{k}");
            if is_blank(self.filled, &row) {
                continue;
            }
            let table = if list.is_one { format!("[{header}]") } else { format!("[[{header}]]") };
            self.written.put("\n");
            self.written.value(&row, &table);
            self.written.put("\n");
            for column in list.columns {
                match column.cell {
                    Cell::Rows(below) => {
                        let key = column.key;
                        self.list(below, &format!("{row}.{key}"), &format!("{header}.{key}"));
                    }
                    _ => self.column(&format!("{row}.{}", column.key), column),
                }
            }
        }
    }

    fn column(&mut self, name: &str, column: &Column) {
        let said = field(self.filled, name);
        let key = column.key;
        match (column.cell, said) {
            (Cell::Place | Cell::Direction, _) => self.triple(name, column),
            (Cell::States, _) => {
                let all = self.each(name);
                self.all(key, &all);
            }
            (_, None) => {}
            (Cell::Figure(of), Some(text)) => {
                self.put(key, name, &quoted(&in_units(text, of.unit(self.units))));
            }
            (Cell::Number, Some(text)) => self.put(key, name, &number(text)),
            (Cell::Names, Some(text)) => {
                let names = text.split(',').map(str::trim).filter(|n| !n.is_empty());
                let names: Vec<(String, String)> = names.map(|n| (name.to_owned(), n.to_owned())).collect();
                self.all(key, &names);
            }
            (Cell::Step, Some(part)) => {
                let step = name.split('.').nth(1).and_then(|k| k.parse().ok()).unwrap_or(0);
                self.put(way(self.filled, step), name, &quoted(part));
            }
            (Cell::Words | Cell::OneOf(_) | Cell::Common | Cell::Door | Cell::Rows(_), Some(text)) => {
                self.put(key, name, &quoted(text));
            }
        }
    }

    fn put(&mut self, key: &str, name: &str, value: &str) {
        self.written.put(&format!("{key} = "));
        self.written.value(name, value);
        self.written.put("\n");
    }

    /// Three numbers, of which one may be missing: the parser says so.
    fn triple(&mut self, name: &str, column: &Column) {
        let names = [0, 1, 2].map(|k| format!("{name}.{k}"));
        if names.iter().all(|name| field(self.filled, name).is_none()) {
            return;
        }
        self.written.put(&format!("{} = [", column.key));
        for name in &names {
            let text = field(self.filled, name).unwrap_or_default();
            let value = match column.cell {
                Cell::Direction => number(text),
                _ => quoted(&in_units(text, Of::Length.unit(self.units))),
            };
            self.written.value(name, &value);
            self.written.put(", ");
        }
        self.written.put("]\n");
    }

    /// Every field below a name, in order.
    fn each(&self, name: &str) -> Vec<(String, String)> {
        let from = format!("{name}.");
        let below = self.filled.iter().filter(|(field, text)| field.starts_with(&from) && !text.is_empty());
        let mut all: Vec<(usize, (String, String))> = below
            .filter_map(|(f, text)| Some((f[from.len()..].parse().ok()?, (f.clone(), text.clone()))))
            .collect();
        all.sort();
        all.into_iter().map(|(_, one)| one).collect()
    }

    fn all(&mut self, key: &str, all: &[(String, String)]) {
        if all.is_empty() {
            return;
        }
        self.written.put(&format!("{key} = ["));
        for (name, text) in all {
            self.written.text(name, text);
            self.written.put(", ");
        }
        self.written.put("]\n");
    }
}

/// Bare numbers, of a figure and of how far it may be off, with the unit.
fn in_units(text: &str, unit: &str) -> String {
    let both = text.split_once("+-").or_else(|| text.split_once('±'));
    let one = |text: &str| with_unit(text.trim(), Some(unit));
    match both {
        Some((value, off)) => format!("{} +- {}", one(value), one(off)),
        None => one(text),
    }
}

/// As it is, if it is one; else a text, of which the parser says that it is none.
fn number(text: &str) -> String {
    match text.parse::<f64>() {
        Ok(number) if number.is_finite() => number.to_string(),
        _ => quoted(text),
    }
}
