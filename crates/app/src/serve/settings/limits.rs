//! The shop's own limits: all in one form, each beside its default, its range and where it comes from.

use std::collections::BTreeMap;

use ::records::{Book, Command, Document as Kept};
use axum::Form;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use planner::Limits;
use planner::limits::{Limit, TABLE};
use sheets::Units;
use sheets::words::capital;

use crate::document::{Document, Kind};
use crate::input::{self, Problems, Source};
use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::{Page, Part};
use crate::serve::house::Shared;
use crate::serve::written::{at_field, of_the_whole};
use crate::verb::raise::{AS_IN_FORCE, is_in_force, limits_of};
use crate::written::{Problem, Written, quoted};

/// What is filled in: a limit's value under its key, where it comes from under that and this.
type Filled = BTreeMap<String, String>;
const SOURCE: &str = "-source";

/// The limits that plans of the shop go by.
pub(crate) async fn in_force(book: &Book) -> Result<Limits, Fault> {
    let Some(text) = limits_of(book).await? else { return Ok(Limits::default()) };
    let mut document = Document::of(Source::new("limits", text));
    let limits = document.limits();
    limits.ok_or_else(|| Fault::Broken(document.report().lines().map(str::to_owned).collect()))
}

/// Every limit with its value and its source; the shop's own is said to be that.
pub(super) fn table(limits: &Limits, units: Units) -> Markup {
    html! {
        table.stack {
            thead { tr { th { "Limit" } th { "Value" } th { "Source" } } }
            tbody { @for row in TABLE {
                @let own = limits.own(row.name);
                tr {
                    td data-of="Limit" { (capital(row.title)) }
                    td data-of="Value" { (units.limit(limits.get(row.name), row.unit)) @if own.is_some_and(planner::limits::Own::is_looser) { " " strong { "looser than the default" } } }
                    td.note data-of="Source" { @match own {
                        Some(own) => { "the shop's own: " (own.source.as_deref().unwrap_or("no source is named")) "; default " (units.limit(row.value, row.unit)) },
                        None => { (row.source) },
                    } }
                }
            } }
        }
    }
}

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let text = limits_of(&*house.book().await?).await?;
    Ok(shown(&text.map(|text| filled(&text)).unwrap_or_default(), &[], None, &caller))
}

/// What a file of limits says, as it is written there.
fn filled(text: &str) -> Filled {
    let mut problems = Problems::default();
    let root = input::tree(&Source::new("limits", text), &mut problems);
    let mut filled = Filled::new();
    for key in TABLE.iter().map(|row| row.name.key()) {
        let limit = root.as_ref().and_then(|root| root.get(&key));
        let text = |name: &str| Some(limit?.get(name)?.text()?.to_owned());
        filled.extend(text("value").map(|value| (key.clone(), value)));
        filled.extend(text("source").map(|source| (format!("{key}{SOURCE}"), source)));
    }
    filled
}

fn field<'a>(filled: &'a Filled, name: &str) -> &'a str {
    filled.get(name).map_or("", |text| text.trim())
}

fn shown(filled: &Filled, problems: &[Problem], said: Option<&str>, caller: &Caller) -> Response {
    let body = html! {
        h1 { "The shop's own limits" }
        p { "What is left empty keeps its default. A raise under way goes no higher once the limits are others." }
        @if let Some(said) = said { section.told.done role="status" { p { (said) } } }
        @if !problems.is_empty() { section.told.refused role="alert" { h2 { "This cannot be used" } p { "What is wrong stands at each limit; nothing was changed." } (of_the_whole(problems)) } }
        form method="post" action="/settings/limits" {
            @for row in TABLE { (asked(row, filled, problems, caller.units)) }
            button.main { "Go by these limits" }
        }
        p { a href="/settings" { "Back to the settings" } }
    };
    Page { title: "Limits", part: Some(Part::Records), module: None, body }.of(caller)
}

fn asked(row: &Limit, filled: &Filled, problems: &[Problem], units: Units) -> Markup {
    let key = row.name.key();
    let source = format!("{key}{SOURCE}");
    let [least, most] = [row.range.0, row.range.1].map(|value| units.limit(value, row.unit));
    html! {
        fieldset.row {
            legend { (capital(row.title)) }
            label { "Value" input name=(key) value=(field(filled, &key)) placeholder=(units.limit(row.value, row.unit)) autocomplete="off"; }
            label { "Where it comes from" input name=(source) value=(field(filled, &source)) placeholder="house rule, letter, manual" autocomplete="off"; }
            div {
                (at_field(problems, &key))
                (at_field(problems, &source))
                p.note { "Default " (units.limit(row.value, row.unit)) ", may be " (least) " to " (most) ". " (capital(row.source)) ": " (row.reason) "." }
            }
        }
    }
}

/// As a file, and what is wrong with it.
fn made(filled: &Filled) -> (String, Vec<Problem>) {
    let mut written = Written::default();
    written.put(&format!("standfast = {}\n", quoted(Kind::Limits.mark())));
    let mut problems = vec![];
    for row in TABLE {
        let key = row.name.key();
        let source_key = format!("{key}{SOURCE}");
        let (value, source) = (field(filled, &key), field(filled, &source_key));
        let missing = match (value.is_empty(), source.is_empty()) {
            (true, true) => continue,
            (true, false) => {
                Some((key.clone(), "a source without a value", "write the value, or leave both empty"))
            }
            (false, true) => Some((
                source_key.clone(),
                "it is not said where this comes from",
                "name the house rule, the letter or the manual",
            )),
            (false, false) => None,
        };
        problems.extend(missing.map(|(field, message, help)| Problem {
            field: Some(field),
            cell: None,
            is_error: true,
            message: message.into(),
            help: help.into(),
        }));
        if value.is_empty() {
            continue;
        }
        written.put(&format!("\n# {}\n[{key}]\nvalue = ", row.title));
        written.text(&key, value);
        if !source.is_empty() {
            written.put("\nsource = ");
            written.text(&source_key, source);
        }
        written.put("\n");
    }
    let mut document = Document::of(Source::new("limits", written.text.as_str()));
    document.limits();
    problems.extend(written.problems(&document));
    (written.text, problems)
}

pub(crate) async fn enter(
    State(house): State<Shared>,
    caller: Caller,
    Form(filled): Form<Filled>,
) -> Result<Response, Fault> {
    let (text, problems) = made(&filled);
    if !problems.is_empty() {
        return Ok(
            (StatusCode::UNPROCESSABLE_ENTITY, shown(&filled, &problems, None, &caller)).into_response()
        );
    }
    if is_in_force(&*house.book().await?, &text).await? {
        return Ok(shown(&filled, &[], Some(AS_IN_FORCE), &caller));
    }
    let desk = acting::alone(&house, &caller).await?;
    acting::act(&house, &desk, &Command::EnterLimits { file: Kept::new(text) }).await?;
    Ok(Redirect::to("/settings").into_response())
}
