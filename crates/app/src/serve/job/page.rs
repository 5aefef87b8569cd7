//! The form of a job.

use ::records::{Act, Shop};
use maud::{Markup, html};
use planner::Vehicle;
use sheets::Units;
use sheets::words::capital;

use super::fields::{
    Cell, Column, Filled, Group, LISTS, List, Of, common, field, own_parts, rows, states, way,
};
use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::written::{at_field, help, of_it, of_the_whole, sentence};
use crate::written::Problem;

/// What is on the page.
pub(super) struct Shown<'a> {
    pub(super) shop: &'a Shop,
    pub(super) caller: &'a Caller,
    pub(super) filled: &'a Filled,
    pub(super) units: Units,
    pub(super) vehicle: Option<&'a Vehicle>,
    /// What the vehicle is called in the book.
    pub(super) of: &'a str,
    pub(super) problems: &'a [Problem],
    pub(super) why: Option<Markup>,
    /// Whether a job of that name is in the book already.
    pub(super) is_known: bool,
}

impl Shown<'_> {
    pub(super) fn page(&self) -> Markup {
        let errors = self.problems.iter().any(|problem| problem.is_error);
        html! {
            h1 { "Make a job" }
            (self.pick())
            @if let Some(why) = &self.why { (why) }
            @if errors {
                section.told.refused role="alert" { h2 { "This cannot be used yet" } p { "What is wrong stands where it is filled in." } (of_the_whole(self.problems)) }
            }
            form method="post" action="/make/job" {
                input type="hidden" name="vehicle" value=(self.of);
                input type="hidden" name="units" value=(match self.units { Units::Metric => "metric", Units::Us => "us" });
                @if let Some(teaches) = field(self.filled, "teaches") { input type="hidden" name="teaches" value=(teaches); }
                (self.head())
                @for group in Group::ALL { section.sheet.group { h2 { (group.title()) } @for list in LISTS.iter().filter(|list| list.group == group) { (self.folded(list)) } } }
                @if self.is_known {
                    label.choice { input type="checkbox" name="again" value="yes"; "Take this in place of what the book has of it" }
                    @if acting::needs_second(self.shop, self.caller, Act::Replace) { (acting::second(self.shop, Act::Replace)) }
                }
                div.on {
                    button name="do" value="look" formnovalidate { "Look at it, with more rows" }
                    button.main name="do" value="enter" { "Enter it into the book" }
                }
            }
        }
    }

    /// Whose parts and doors are offered.
    fn pick(&self) -> Markup {
        html! {
            form.pick method="get" action="/make/job" {
                label { "For which vehicle" select name="vehicle" {
                    option value="" { "any: parts are typed by name" }
                    @for id in self.shop.fleet.vehicles.keys() { option value=(id) selected[id.as_str() == self.of] { (id) } }
                } }
                label { "From a job of the shop" select name="job" {
                    option value="" { "a new one" }
                    @for id in self.shop.jobs.keys() { option value=(id) { (id) } }
                } }
                button { "Begin with these" }
            }
            p.note { "Another vehicle's plan looks its own parts up by the same names." }
        }
    }

    fn head(&self) -> Markup {
        html! {
            div.sheet {
                label { "What the shop calls it" input name="name" value=(self.said("name")) required autocomplete="off"; }
                (at_field(self.problems, "name"))
                (self.figure("opened_height", "Highest point with what the job opens, if above the roof", Of::Length))
            }
        }
    }

    fn said(&self, name: &str) -> &str {
        field(self.filled, name).unwrap_or_default()
    }

    /// A list under its title, open where something stands in it or is wrong with it, or where nearly every job has one.
    fn folded(&self, list: &List) -> Markup {
        let filled = rows(self.filled, list.key);
        let is_of = |field: &String| field.split('.').next() == Some(list.key);
        let wrong = self.problems.iter().any(|problem| problem.field.as_ref().is_some_and(is_of));
        html! {
            details open[filled > 0 || wrong || list.is_usual] {
                summary { (list.title) @if filled == 0 && !list.is_usual { span.note { " none" } } }
                p.note { (list.how) }
                (self.list(list, list.key))
            }
        }
    }

    /// Those that are filled in, and some empty ones.
    fn list(&self, list: &List, at: &str) -> Markup {
        let filled = rows(self.filled, at);
        let shown = if list.is_one { 1 } else { filled + list.offers };
        html! {
            div.rows {
                @for k in 0..shown {
                    @let row = format!("{at}.{k}");
                    fieldset {
                        legend { @if list.is_one { (list.title) } @else { (k + 1) } }
                        (at_field(self.problems, &row))
                        div.row { @for column in list.columns { (self.column(&format!("{row}.{}", column.key), column, k)) } }
                        @for column in list.columns {
                            @if let Cell::Rows(below) = column.cell {
                                details open[rows(self.filled, &format!("{row}.{}", column.key)) > 0] {
                                    summary { (below.title) }
                                    p.note { (below.how) }
                                    (self.list(below, &format!("{row}.{}", column.key)))
                                }
                            }
                        }
                    }
                }
            }
        }
    }

    fn column(&self, name: &str, column: &Column, row: usize) -> Markup {
        html! {
            @match column.cell {
                Cell::Rows(_) => {},
                Cell::Words => { (self.typed(name, column.label, "")) },
                Cell::Names => { (self.typed(name, column.label, "names, with commas between")) },
                Cell::Number => { (self.typed(name, column.label, "")) },
                Cell::Figure(of) => { (self.figure(name, column.label, of)) },
                Cell::Place => {
                    fieldset.place {
                        legend { (column.label) ", " (Of::Length.unit(self.units)) }
                        div.row { @for (k, from) in ["Behind the front axle", "Left of centre", "Above the ground"].iter().enumerate() {
                            (self.typed(&format!("{name}.{k}"), from, ""))
                        } }
                    }
                },
                Cell::Direction => {
                    fieldset.place {
                        legend { (column.label) }
                        div.row { @for (k, way) in ["Aft", "Left", "Up"].iter().enumerate() { (self.typed(&format!("{name}.{k}"), way, "")) } }
                    }
                },
                Cell::OneOf(all) => { (self.chosen(name, column.label, all.iter().map(|(word, says)| ((*word).to_owned(), (*says).to_owned())))) },
                Cell::Common => { (self.chosen(name, column.label, common().map(|(word, says)| (word.to_owned(), format!("{word}: {says}"))))) },
                Cell::Step => { (self.step(name, column.label, row)) },
                Cell::Door => {
                    @match self.vehicle {
                        Some(vehicle) => { (self.chosen(name, column.label, doors(vehicle).into_iter().map(|door| (door.clone(), door)))) },
                        None => { (self.typed(name, column.label, "front door")) },
                    }
                },
                Cell::States => { (self.states(name, column.label)) },
            }
        }
    }

    fn typed(&self, name: &str, label: &str, hint: &str) -> Markup {
        html! {
            div {
                label { (label) input name=(name) value=(self.said(name)) placeholder=(hint) autocomplete="off"; }
                (at_field(self.problems, name))
            }
        }
    }

    fn figure(&self, name: &str, label: &str, of: Of) -> Markup {
        self.typed(name, &format!("{label}, {}", of.unit(self.units)), "")
    }

    fn chosen(&self, name: &str, label: &str, all: impl Iterator<Item = (String, String)>) -> Markup {
        let now = self.said(name);
        let all: Vec<(String, String)> = all.collect();
        html! {
            div {
                label { (label) select name=(name) {
                    option value="" { "choose" }
                    @for (word, says) in &all { option value=(word) selected[word == now] { (says) } }
                    // What is no choice any more stays, so that it can be seen and told.
                    @if !now.is_empty() && !all.iter().any(|(word, _)| word == now) { option value=(now) selected { (now) } }
                } }
                (at_field(self.problems, name))
            }
        }
    }

    fn step(&self, name: &str, label: &str, row: usize) -> Markup {
        let now = way(self.filled, row);
        let own = own_parts(self.filled);
        html! {
            label { "Off or on" select name=(format!("steps.{row}.way")) {
                @for (word, says) in [("off", "off"), ("on", "on")] { option value=(word) selected[word == now] { (says) } }
            } }
            @match self.vehicle {
                Some(vehicle) => {
                    @let all = vehicle.parts.iter().map(|part| part.name.clone()).chain(own);
                    (self.chosen(name, label, all.map(|part| (part.clone(), part))))
                },
                None => { (self.typed(name, label, "its name in the vehicle's file, or above")) },
            }
        }
    }

    /// A box for each state that the steps so far make, and for what was ticked and is none any more.
    fn states(&self, name: &str, label: &str) -> Markup {
        let from = format!("{name}.");
        let ticked: Vec<&String> = self
            .filled
            .iter()
            .filter(|(field, _)| field.starts_with(&from))
            .map(|(_, state)| state)
            .collect();
        let mut all = states(self.filled);
        all.extend(
            ticked
                .iter()
                .filter(|state| !all.contains(state) && !state.is_empty())
                .map(|s| (*s).clone())
                .collect::<Vec<_>>(),
        );
        let problems =
            self.problems.iter().filter(|p| p.field.as_ref().is_some_and(|f| f.starts_with(&from)));
        html! {
            fieldset.ways { legend { (label) }
                @for (k, state) in all.iter().enumerate() {
                    label.choice { input type="checkbox" name=(format!("{name}.{k}")) value=(state) checked[ticked.contains(&state)]; (state) }
                }
                @for problem in problems { p.wrong { (sentence(&capital(&of_it(problem, [])))) (help(problem)) } }
            }
        }
    }
}

/// Each by its name; where there is a left and a right one, both together too.
fn doors(vehicle: &Vehicle) -> Vec<String> {
    let mut all: Vec<String> = vec![];
    for door in &vehicle.doors {
        let both = door.name.strip_suffix(" left").or_else(|| door.name.strip_suffix(" right"));
        for name in both.into_iter().chain([door.name.as_str()]) {
            if !all.iter().any(|known| known == name) {
                all.push(name.to_owned());
            }
        }
    }
    all
}
