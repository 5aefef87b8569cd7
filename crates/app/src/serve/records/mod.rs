//! The book on pages: forms to write into it, and everything that stands in it.

pub(crate) mod form;
mod pages;

use std::collections::BTreeMap;

use ::records::{Command, May, PersonId, Role, Shop, may};
use axum::Form as Body;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};

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
    let beside = caller.role(shop).is_some_and(|role| may(role, form.act) == May::WithSecond);
    let body = html! {
        h1 { (form.title) }
        @if let Some(why) = why { (why.told()) }
        form.sheet method="post" action={ "/enter/" (form.name) } {
            @for field in (form.fields)(shop) { (form::asked(&field, filled)) }
            @if beside { (second(shop, form)) }
            button.main { "Write it into the book" }
        }
    };
    Page { title: form.title, part: Some(Part::Records), module: None, body }.of(caller)
}

fn second(shop: &Shop, form: &Form) -> Markup {
    let able = |role: Role| may(role, form.act) == May::Yes;
    html! {
        label { "Beside you"
            select name="second" required {
                option value="" { "who?" }
                @for (id, person) in shop.people.iter().filter(|(_, p)| !p.left && able(p.role)) { option value=(id) { (person.name) } }
            }
        }
        label { "Their PIN" input name="second_pin" type="password" inputmode="numeric" required autocomplete="off"; }
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
        Err(fault) => {
            let shop = house.book().await?.shop().await?;
            let shown = page(form, &shop, &filled, Some(&fault), &caller);
            Ok((fault.into_response().status(), shown).into_response())
        }
    }
}

/// Where to go then: to what was written about.
async fn written(house: &Shared, caller: &Caller, form: &Form, filled: &Filled) -> Result<String, Fault> {
    let book = house.book().await?;
    let session = caller.session.as_ref().ok_or(Fault::NobodyIsHere)?;
    let command = form.read(filled).map_err(Fault::Bad)?;
    let events = match filled.get("second").filter(|second| !second.is_empty()) {
        None => book.act(Timestamp::now(), &session.signed, &command).await?,
        Some(second) => {
            let person: PersonId =
                second.parse().map_err(|_| Fault::bad("The second person is no name in the book."))?;
            let pin = filled.get("second_pin").map(|pin| pin.trim()).unwrap_or_default();
            let second = book.check_pin(Timestamp::now(), &person, pin).await?;
            book.act_with(Timestamp::now(), &session.signed, &second, &command).await?
        }
    };
    events.last().into_iter().for_each(|event| house.changes.seen(event.seq.0));
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
