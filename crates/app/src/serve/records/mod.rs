//! The book on pages: forms to write into it, and everything that stands in it.

mod find;
pub(crate) mod form;
mod pages;
pub(crate) mod paper;

use std::collections::BTreeMap;

use ::records::{Command, Measurement, Shop};
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
use crate::verb::raise::in_question;
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
    look_again: Option<LookAgain>,
}

/// What is written only if whoever filled it in looked again and says that it is right.
struct LookAgain {
    why: Vec<String>,
    /// What is right then: another figure, or of another vehicle, is asked about anew.
    right: String,
}

fn page(form: &Form, shop: &Shop, filled: &Filled, why: &Refused, caller: &Caller) -> Response {
    let body = html! {
        h1 { (form.title) }
        @if let Some(why) = &why.whole { (why.told()) }
        @if !why.at_fields.is_empty() { section.told.refused role="alert" { h2 { "This cannot be used" } p { "What is wrong stands at each field; nothing was written." } } }
        @if let Some(again) = &why.look_again {
            section.told.odd role="alert" { h2 { "Look again" } p { "Nothing was written yet." } ul { @for why in &again.why { li { (why) } } } }
        }
        (fields_again(form, shop, filled, &why.at_fields, caller, why.look_again.as_ref()))
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
    fields_again(form, shop, filled, problems, caller, None)
}

fn fields_again(
    form: &Form,
    shop: &Shop,
    filled: &Filled,
    problems: &[Problem],
    caller: &Caller,
    again: Option<&LookAgain>,
) -> Markup {
    html! {
        form.sheet method="post" action={ "/enter/" (form.name) } {
            @for field in (form.fields)(shop) { (form::asked(&field, filled, problems)) }
            @if acting::needs_second(shop, caller, form.act) { (acting::second(shop, form.act)) }
            button.main { "Write it into the book" }
            @if let Some(again) = again { button name="right" value=(again.right) { "It is right, write it so" } }
        }
    }
}

pub(crate) async fn entered(
    State(house): State<Shared>,
    caller: Caller,
    Body(said): Body<Vec<(String, String)>>,
    form: &'static Form,
) -> Result<Response, Fault> {
    let (mut filled, mut twice) = (Filled::new(), vec![]);
    for (name, text) in said {
        if filled.insert(name.clone(), text).is_some() {
            let message = format!("“{name}” is given twice");
            let help = "Give it once.".to_owned();
            twice.push(Problem { field: Some(name), cell: None, is_error: true, message, help });
        }
    }
    let done = match twice.is_empty() {
        true => written(&house, &caller, form, &filled).await,
        false => Err(Refused { at_fields: twice, ..Refused::default() }),
    };
    match done {
        Ok(to) => Ok(Redirect::to(&to).into_response()),
        Err(why) => {
            let shop = house.book().await?.shop().await?;
            let status = why.whole.as_ref().map_or(StatusCode::UNPROCESSABLE_ENTITY, Fault::status);
            Ok((status, page(form, &shop, &filled, &why, &caller)).into_response())
        }
    }
}

/// Whether a plan would find the vehicle odd, or could not be made of it.
async fn look_again(house: &Shared, measurement: &Measurement) -> Result<Option<LookAgain>, Fault> {
    let [unusable, odd] = in_question(&*house.book().await?, measurement).await?;
    let unusable = unusable.into_iter().map(|why| format!("No plan can be made of it so: {why}"));
    let why: Vec<String> = unusable.chain(odd).collect();
    let Measurement { vehicle, what, value, .. } = measurement;
    let right = format!("{vehicle}: {what} {value}; {}", why.join(" "));
    Ok((!why.is_empty()).then_some(LookAgain { why, right }))
}

/// Where to go then: to what was written about.
async fn written(house: &Shared, caller: &Caller, form: &Form, filled: &Filled) -> Result<String, Refused> {
    let command = form.read(filled).map_err(|at_fields| Refused { at_fields, ..Refused::default() })?;
    let whole = |fault| Refused { whole: Some(fault), ..Refused::default() };
    let said = |name: &str| filled.get(name).map_or("", String::as_str);
    if let Command::Measure(measurement) = &command {
        let again = look_again(house, measurement).await.map_err(whole)?;
        if let Some(again) = again.filter(|again| again.right != said("right")) {
            return Err(Refused { look_again: Some(again), ..Refused::default() });
        }
    }
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
