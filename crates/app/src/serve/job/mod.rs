//! The shop's own jobs, made on a page: the same file as one that is written by hand, read by the same parser.

mod fields;
mod file;
mod page;
#[cfg(test)]
mod tests;

use ::records::{Act, Command, Document as Kept, JobId, Shop, Subject};
use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use planner::Vehicle;
use serde::Deserialize;
use sheets::Units;

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part, attachment};
use super::house::{House, Shared};
use super::measure::legal;
use super::plan;
use super::records::rows;
use super::shelf::{self, Asked};
use crate::document::Document;
use crate::input::{self, Problems, Source};
use crate::written::Problem;
use fields::{Filled, field};
use file::made;
use page::Shown;

/// What the address says.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Address {
    #[serde(default)]
    vehicle: String,
    /// A job to begin with.
    #[serde(default)]
    job: String,
}

pub(crate) async fn asked(
    State(house): State<Shared>,
    Query(address): Query<Address>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let filled = match shelf::own_text(&book, "job", &address.job).await? {
        Some(text) => {
            let root = input::tree(&Source::new("job", text), &mut Problems::default());
            root.map(|root| fields::of_file(&root)).unwrap_or_default()
        }
        None => Filled::new(),
    };
    shown(&house, &caller, &filled, &address.vehicle, caller.units, (&[], None)).await
}

/// The vehicle of that name, if the book holds it.
async fn vehicle(house: &House, id: &str) -> Result<Option<Vehicle>, Fault> {
    let text = shelf::own_text(&*house.book().await?, "vehicle", id).await?;
    Ok(text.and_then(|text| Document::of(Source::new("vehicle", text)).vehicle()))
}

async fn shown(
    house: &House,
    caller: &Caller,
    filled: &Filled,
    of: &str,
    units: Units,
    (problems, why): (&[Problem], Option<Markup>),
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let vehicle = vehicle(house, of).await?;
    let of = if vehicle.is_some() { of } else { "" };
    let is_known = id(filled).is_some_and(|id| shop.jobs.contains_key(&id));
    let shown =
        Shown { shop: &shop, caller, filled, units, vehicle: vehicle.as_ref(), of, problems, why, is_known };
    Ok(Page { title: "Make a job", part: Some(Part::Records), module: None, body: shown.page() }.of(caller))
}

/// Its name in the book.
fn id(filled: &Filled) -> Option<JobId> {
    legal(field(filled, "name")?)?.parse().ok()
}

/// Looked at, or entered into the book.
pub(crate) async fn sent(
    State(house): State<Shared>,
    caller: Caller,
    Form(mut filled): Form<Filled>,
) -> Result<Response, Fault> {
    let mut take = |name: &str| filled.remove(name).unwrap_or_default();
    let (act, of, again) = (take("do"), take("vehicle"), take("again"));
    let units = if take("units") == "us" { Units::Us } else { Units::Metric };
    let (second, pin) = (take("second"), take("second_pin"));
    let vehicle = vehicle(&house, &of).await?;
    let made = made(&filled, units, vehicle.as_ref());
    let desk = acting::desk(&house, &caller, &second, &pin).await?;
    let why = if act == "look" {
        None
    } else {
        match command(&desk.book.shop().await?, &filled, &made, again == "yes") {
            Ok((job, command)) => match acting::act(&house, &desk, &command).await {
                Ok(_) => {
                    let to = Asked { lift: String::new(), vehicle: of, job: job.to_string() };
                    return Ok(Redirect::to(&address(&job, &to.vehicle)).into_response());
                }
                Err(fault) => Some(fault),
            },
            Err(fault) => Some(fault),
        }
    };
    // What is only looked at may be as unfinished as it is.
    let status = why.as_ref().map_or(StatusCode::OK, |why| why.status());
    let told = why.map(|why| why.told());
    let page = shown(&house, &caller, &filled, &of, units, (&made.problems, told)).await?;
    Ok((status, page).into_response())
}

fn command(shop: &Shop, filled: &Filled, made: &file::Made, again: bool) -> Result<(JobId, Command), Fault> {
    let name = field(filled, "name").ok_or_else(|| Fault::bad("It needs a name to be found again by."))?;
    let job = id(filled).ok_or_else(|| Fault::bad("The name holds no letter and no digit."))?;
    if made.job.is_none() {
        return Err(Fault::bad("Something is missing or cannot be used: it is told where it is filled in."));
    }
    if shop.jobs.contains_key(&job) && !again {
        return Err(Fault::Bad(vec![format!(
            "“{job}” is in the book already. Give another name, or say that this takes its place."
        )]));
    }
    let command =
        Command::EnterJob { job: job.clone(), description: name.to_owned(), file: Kept::new(&made.text) };
    Ok((job, command))
}

/// A job's record, with the vehicle that it was made for.
fn address(job: &JobId, vehicle: &str) -> String {
    if vehicle.is_empty() { format!("/job/{job}") } else { format!("/job/{job}?vehicle={vehicle}") }
}

/// A job's record: what is in its file, and what happened.
pub(crate) async fn record(
    State(house): State<Shared>,
    Path(id): Path<String>,
    Query(said): Query<Address>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let none = || Fault::NotFound(format!("There is no job “{id}” in the book."));
    let text = shelf::own_text(&book, "job", &id).await?.ok_or_else(none)?;
    let job: JobId = id.parse().map_err(|_| none())?;
    let events = book.events_about(&Subject::Job(job.clone())).await?;
    let plan = Asked { lift: String::new(), vehicle: said.vehicle.clone(), job: id.clone() };
    let change = Asked { lift: String::new(), ..plan.clone() };
    let body = html! {
        h1 { (id) }
        p { a.button.main href=(plan::address(&plan)) { "Plan with it" } }
        ul.forms {
            @if caller.is_offered(&shop, Act::EnterJob) { li { a.button href=(format!("/make/job?job={id}&vehicle={}", change.vehicle)) { "Change it" } } }
            li { a.button href={ "/job/" (id) "/file" } download { "Its file, to hand to another shop" } }
        }
        details { summary { "What is in its file" } pre.working { (text) } }
        h2 { "What happened" }
        (rows(&book, &shop, &events, &caller).await?)
    };
    Ok(Page { title: &id, part: Some(Part::Records), module: None, body }.of(&caller))
}

/// Its file, to the byte as it was entered.
pub(crate) async fn file(State(house): State<Shared>, Path(id): Path<String>) -> Result<Response, Fault> {
    let text = shelf::own_text(&*house.book().await?, "job", &id).await?;
    let text = text.ok_or_else(|| Fault::NotFound(format!("There is no job “{id}” in the book.")))?;
    Ok(attachment(&format!("{id}.toml"), "application/toml; charset=utf-8", text))
}
