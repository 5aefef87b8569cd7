//! The book on pages: forms to write into it, and everything that stands in it.

mod find;
pub(crate) mod form;
mod pages;
pub(crate) mod paper;

use std::collections::BTreeMap;

use ::records::{Command, Shop};
use axum::Form as Body;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use form::Form;
pub(crate) use pages::{Events, backup, day, day_asked, events, lift, person, records, vehicle};

type Filled = BTreeMap<String, String>;

/// A form to fill in; what the address says is filled in already.
pub(crate) async fn asked(
    State(house): State<Shared>,
    Query(filled): Query<Filled>,
    caller: Caller,
    form: &'static Form,
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(page(form, &shop, &filled, None, &caller))
}

fn page(form: &Form, shop: &Shop, filled: &Filled, why: Option<&Fault>, caller: &Caller) -> Response {
    let body = html! {
        h1 { (form.title) }
        @if let Some(why) = why { (why.told()) }
        form.sheet method="post" action={ "/enter/" (form.name) } {
            @for field in (form.fields)(shop) { (form::asked(&field, filled)) }
            @if acting::needs_second(shop, caller, form.act) { (acting::second(shop, form.act)) }
            button.main { "Write it into the book" }
        }
    };
    Page { title: form.title, part: Some(Part::Records), module: None, body }.of(caller)
}

pub(crate) async fn entered(
    State(house): State<Shared>,
    caller: Caller,
    Body(filled): Body<Filled>,
    form: &'static Form,
) -> Result<Response, Fault> {
    match written(&house, &caller, form, &filled).await {
        Ok(to) => Ok(Redirect::to(&to).into_response()),
        Err(fault) => {
            let shop = house.book().await?.shop().await?;
            let shown = page(form, &shop, &filled, Some(&fault), &caller);
            Ok((fault.into_response().status(), shown).into_response())
        }
    }
}

/// Where to go then: to what was written about.
async fn written(house: &Shared, caller: &Caller, form: &Form, filled: &Filled) -> Result<String, Fault> {
    let command = form.read(filled).map_err(Fault::Bad)?;
    let said = |name: &str| filled.get(name).map_or("", String::as_str);
    let desk = acting::desk(house, caller, said("second"), said("second_pin")).await?;
    acting::act(house, &desk, &command).await?;
    Ok(match &command {
        Command::AdmitPerson(admission) => format!("/person/{}", admission.person),
        _ => match (filled.get("lift"), filled.get("person"), filled.get("vehicle")) {
            (Some(lift), ..) if !lift.is_empty() => format!("/lift/{lift}"),
            (_, Some(person), _) => format!("/person/{person}"),
            (.., Some(vehicle)) => format!("/vehicle/{vehicle}"),
            _ => "/records".into(),
        },
    })
}
