//! What is written into the book by hand: one table of forms, from which the pages, their routes and their guards come.

mod table;

use std::cell::RefCell;
use std::collections::BTreeMap;

use ::records::{Act, Command, DefectNumber, LiftId, Role, Shop};
use maud::{Markup, html};
use serde::de::DeserializeOwned;

use crate::serve::fault::Fault;
use crate::serve::written::at_field;
use crate::verb::raise::usable;
use crate::written::Problem;
pub(crate) use table::{ALL, own_rules_filled};

/// One form.
pub(crate) struct Form {
    /// Last part of its address.
    pub(crate) name: &'static str,
    pub(crate) title: &'static str,
    /// The row of the role table that it falls under.
    pub(crate) act: Act,
    pub(crate) fields: fn(&Shop) -> Vec<Field>,
    command: fn(&Said<'_>) -> Option<Command>,
}

/// One field.
pub(crate) struct Field {
    pub(crate) name: String,
    pub(crate) label: String,
    pub(crate) kind: Kind,
    pub(crate) needed: bool,
}

/// How it is filled in.
pub(crate) enum Kind {
    Text,
    Words,
    Day,
    Number,
    /// Value and what a person reads.
    OneOf(Vec<(String, String)>),
    /// Yes if ticked.
    Tick,
    /// Anything, the values offered first.
    Offered(Vec<String>),
}

/// What was filled in, and what is wrong with it.
struct Said<'a> {
    form: &'a BTreeMap<String, String>,
    wrong: RefCell<Vec<Problem>>,
}

impl Said<'_> {
    /// Told at the field.
    fn wrong(&self, field: &str, message: String) {
        let (field, help) = (Some(field.to_owned()), String::new());
        self.wrong.borrow_mut().push(Problem { field, cell: None, is_error: true, message, help });
    }

    fn text(&self, name: &str) -> String {
        self.form.get(name).map(|text| text.trim().to_owned()).unwrap_or_default()
    }

    fn given(&self, name: &str) -> Option<String> {
        Some(self.text(name)).filter(|text| !text.is_empty())
    }

    fn parsed<T: std::str::FromStr<Err: std::fmt::Display>>(&self, name: &str) -> Option<T> {
        let text = self.text(name);
        let wrong = |fault: &T::Err| self.wrong(name, format!("“{text}”: {fault}"));
        text.parse().inspect_err(wrong).ok()
    }

    /// Left out, or parsed; a fault counts as a fault.
    fn perhaps<T: std::str::FromStr<Err: std::fmt::Display>>(&self, name: &str) -> Option<Option<T>> {
        match self.given(name) {
            None => Some(None),
            Some(_) => self.parsed(name).map(Some),
        }
    }

    /// A measurement that a plan can use.
    fn usable(&self, what: &str, value: &str) -> Option<()> {
        let wrong = |ended| Fault::from(ended).reasons().into_iter().for_each(|why| self.wrong("value", why));
        usable(what, value).map_err(wrong).ok()
    }

    /// A word of the book's own.
    fn word<T: DeserializeOwned>(&self, name: &str) -> Option<T> {
        let read = serde_json::from_value(self.text(name).into());
        read.inspect_err(|_| self.wrong(name, "choose one".into())).ok()
    }

    fn yes(&self, name: &str) -> Option<bool> {
        match self.text(name).as_str() {
            "yes" => Some(true),
            "no" => Some(false),
            _ => {
                self.wrong(name, "say yes or no".into());
                None
            }
        }
    }
}

impl Form {
    /// The command that was filled in, or everything that is wrong.
    pub(crate) fn read(&self, form: &BTreeMap<String, String>) -> Result<Command, Vec<Problem>> {
        let said = Said { form, wrong: RefCell::default() };
        let command = (self.command)(&said);
        let wrong = said.wrong.into_inner();
        match command {
            Some(command) if wrong.is_empty() => Ok(command),
            _ => Err(wrong),
        }
    }
}

fn field(name: &str, label: &str, kind: Kind) -> Field {
    Field { name: name.into(), label: label.into(), kind, needed: true }
}

fn may_be_left_out(field: Field) -> Field {
    Field { needed: false, ..field }
}

fn yes_or_no(name: &str, label: &str) -> Field {
    field(name, label, Kind::OneOf(vec![("yes".into(), "yes".into()), ("no".into(), "no".into())]))
}

fn words(label: &str) -> Field {
    field("words", label, Kind::Words)
}

fn lift(shop: &Shop) -> Field {
    let all = shop.lifts.iter().map(|(id, lift)| (id.to_string(), format!("{} ({id})", lift.sheet.bay)));
    field("lift", "Lift", Kind::OneOf(all.collect()))
}

fn vehicle(shop: &Shop) -> Field {
    field(
        "vehicle",
        "Vehicle",
        Kind::OneOf(shop.fleet.vehicles.keys().map(|id| (id.to_string(), id.to_string())).collect()),
    )
}

fn person(shop: &Shop) -> Field {
    let here = shop.people.iter().filter(|(_, person)| !person.left);
    let all = here.map(|(id, person)| (id.to_string(), format!("{} ({id})", person.name)));
    field("person", "Person", Kind::OneOf(all.collect()))
}

fn defect(shop: &Shop) -> Field {
    let of = |number: &DefectNumber, lift: &LiftId| {
        let words = shop.lifts.get(lift).and_then(|l| l.defects.get(number)).map_or("", |d| d.words.as_str());
        (number.to_string(), format!("{number} on {lift}: {words}"))
    };
    field(
        "defect",
        "Defect",
        Kind::OneOf(shop.defects.iter().map(|(number, lift)| of(number, lift)).collect()),
    )
}

/// Examinations that the employer has not confirmed.
fn unconfirmed(shop: &Shop) -> Field {
    let all = shop.lifts.iter().flat_map(|(id, lift)| lift.examinations.values().map(move |e| (id, e)));
    let open = all.filter(|(_, e)| e.confirmed.is_none());
    let told = open.map(|(id, e)| {
        let fit = if e.report.fit { "fit for use" } else { "NOT fit for use" };
        (
            e.number.to_string(),
            format!("{} of {id}, {}, {}: {fit}", e.number, e.report.on, e.report.thoroughness),
        )
    });
    field("examination", "Examination", Kind::OneOf(told.collect()))
}

fn role() -> Field {
    field("role", "Role", Kind::OneOf(Role::ALL.iter().map(|r| (r.to_string(), r.to_string())).collect()))
}

/// As stored.
fn stored<T: serde::Serialize>(value: T) -> String {
    serde_json::to_value(value).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// What the shop goes by: offered on the page of settings.
pub(crate) const SETTINGS: [&str; 5] = ["units", "zone", "rules", "own-rules", "clock"];

/// The form with these names.
pub(crate) fn named(name: &str) -> Option<&'static Form> {
    ALL.iter().find(|form| form.name == name)
}

/// So many answers are shown to be touched; more are a list to open.
const MOST_BUTTONS: usize = 4;

/// A field to fill in.
pub(crate) fn asked(field: &Field, filled: &BTreeMap<String, String>, problems: &[Problem]) -> Markup {
    let value = filled.get(&field.name).map_or("", String::as_str);
    let asked = match &field.kind {
        Kind::OneOf(all) if field.needed && (1..=MOST_BUTTONS).contains(&all.len()) => {
            buttons(field, all, value)
        }
        _ => typed(field, value),
    };
    // Above its field: what follows a field may depend on it.
    html! { (at_field(problems, &field.name)) (asked) }
}

fn buttons(field: &Field, all: &[(String, String)], value: &str) -> Markup {
    html! {
        fieldset.ways.either { legend { (field.label) }
            @for (id, says) in all {
                label.choice { input type="radio" name=(field.name) value=(id) required checked[id == value]; span { (sheets::words::capital(says)) } }
            }
        }
    }
}

fn typed(field: &Field, value: &str) -> Markup {
    html! {
        label.choice[matches!(field.kind, Kind::Tick)] { (field.label)
            @match &field.kind {
                Kind::Text => { input name=(field.name) value=(value) placeholder=" " required[field.needed]; },
                Kind::Words => { textarea name=(field.name) rows="3" required[field.needed] { (value) } },
                Kind::Day => { input name=(field.name) type="date" value=(value) required[field.needed]; },
                Kind::Number => { input name=(field.name) type="number" min="1" value=(value) required[field.needed]; },
                Kind::OneOf(all) => {
                    select name=(field.name) required[field.needed] {
                        option value="" { @if field.needed { "choose" } @else { "none" } }
                        @for (id, says) in all { option value=(id) selected[id == value] { (says) } }
                    }
                },
                Kind::Tick => { input type="checkbox" name=(field.name) value="yes" checked[value == "yes"]; },
                Kind::Offered(all) => {
                    input name=(field.name) value=(value) list={ "offered-" (field.name) } required[field.needed];
                    datalist id={ "offered-" (field.name) } { @for offered in all { option value=(offered) {} } }
                },
            }
        }
    }
}
