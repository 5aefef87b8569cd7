//! The book on pages: forms to write into it, and everything that stands in it.

mod find;
pub(crate) mod form;
mod pages;
pub(crate) mod paper;

use std::collections::BTreeMap;

use ::records::{Command, Shop};
use axum::Form as Body;
use axum::extract::{Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use crate::written::Problem;
use form::Form;
pub(crate) use pages::{
    Events, backup, day, day_asked, events, lift, not_whole, person, records, rows, vehicle,
};

type Filled = BTreeMap<String, String>;

/// A form to fill in; what the address says is filled in already.
pub(crate) async fn asked(
    State(house): State<Shared>,
    Query(filled): Query<Filled>,
    caller: Caller,
    form: &'static Form,
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(page(form, &shop, &filled, &Refused::default(), &caller))
}

/// Why it was not written: told at its fields, or of the whole.
#[derive(Default)]
struct Refused {
    at_fields: Vec<Problem>,
    whole: Option<Fault>,
}

fn page(form: &Form, shop: &Shop, filled: &Filled, why: &Refused, caller: &Caller) -> Response {
    let body = html! {
        h1 { (form.title) }
        @if let Some(why) = &why.whole { (why.told()) }
        @if !why.at_fields.is_empty() { section.told.refused role="alert" { h2 { "This cannot be used" } p { "What is wrong stands at each field; nothing was written." } } }
        (fields(form, shop, filled, &why.at_fields, caller))
    };
    Page { title: form.title, part: Some(Part::Records), module: None, body }.of(caller)
}

/// The fields of a form, wherever it stands.
pub(crate) fn fields(
    form: &Form,
    shop: &Shop,
    filled: &Filled,
    problems: &[Problem],
    caller: &Caller,
) -> Markup {
    html! {
        form.sheet method="post" action={ "/enter/" (form.name) } {
            @for field in (form.fields)(shop) { (form::asked(&field, filled, problems)) }
            @if acting::needs_second(shop, caller, form.act) { (acting::second(shop, form.act)) }
            button.main { "Write it into the book" }
        }
    }
}

pub(crate) async fn entered(
    State(house): State<Shared>,
    caller: Caller,
    Body(filled): Body<Filled>,
    form: &'static Form,
) -> Result<Response, Fault> {
    match written(&house, &caller, form, &filled).await {
        Ok(to) => Ok(Redirect::to(&to).into_response()),
        Err(why) => {
            let shop = house.book().await?.shop().await?;
            let status = why.whole.as_ref().map_or(StatusCode::UNPROCESSABLE_ENTITY, Fault::status);
            Ok((status, page(form, &shop, &filled, &why, &caller)).into_response())
        }
    }
}

/// Where to go then: to what was written about.
async fn written(house: &Shared, caller: &Caller, form: &Form, filled: &Filled) -> Result<String, Refused> {
    let command = form.read(filled).map_err(|at_fields| Refused { at_fields, whole: None })?;
    let whole = |fault| Refused { at_fields: vec![], whole: Some(fault) };
    let said = |name: &str| filled.get(name).map_or("", String::as_str);
    let desk = acting::desk(house, caller, said("second"), said("second_pin")).await.map_err(whole)?;
    acting::act(house, &desk, &command).await.map_err(whole)?;
    Ok(match &command {
        Command::ChooseUnits { .. }
        | Command::ChooseZone { .. }
        | Command::ChooseRules { .. }
        | Command::SetClock { .. } => "/settings".into(),
        Command::AdmitPerson(admission) => format!("/person/{}", admission.person),
        _ => match (filled.get("lift"), filled.get("person"), filled.get("vehicle")) {
            (Some(lift), ..) if !lift.is_empty() => format!("/lift/{lift}"),
            (_, Some(person), _) => format!("/person/{person}"),
            (.., Some(vehicle)) => format!("/vehicle/{vehicle}"),
            _ => "/records".into(),
        },
    })
}
