//! Plans that the book keeps: kept from the page, and looked at again.

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use records::{Command, Event, Fact, KeptPlan, Seq};

use super::Address;
use super::placed::Placed;
use super::printed;
use super::told::{self, View};
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::{Page, Part};
use crate::serve::house::{House, Shared};
use crate::serve::shelf::{self, Asked, Worked};
use crate::serve::{acting, plan};
use crate::told as book;
use crate::verb::raise as led;

/// Keeps it as planned, or as somebody moved it.
pub(crate) async fn keep(
    State(house): State<Shared>,
    caller: Caller,
    Form(address): Form<Address>,
) -> Result<Response, Fault> {
    let desk = acting::alone(&house, &caller).await?;
    let Address { lift, vehicle, job, moved, .. } = address;
    let asked = Asked { lift, vehicle, job };
    let worked = shelf::worked(&house, shelf::texts(&house, &asked).await?).await?;
    let as_placed = moved.checked(&worked)?.map(|plan| Placed::of(&plan).file().to_string());
    let new = shelf::to_keep(&house, &asked, as_placed, "").await?;
    let events = acting::act(&house, &desk, &Command::KeepPlan(new)).await?;
    let event = events.last().ok_or_else(|| Fault::Broken(vec!["The plan was not kept.".into()]))?;
    Ok(Redirect::to(&format!("/plan/kept/{}", event.seq)).into_response())
}

/// One of the book, planned again from its exact inputs.
pub(crate) async fn page(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    caller: Caller,
) -> Result<Response, Fault> {
    let (event, plan, worked) = of_event(&house, number).await?;
    let again = of(&plan);
    let shop = house.book().await?.shop().await?;
    let changed = led::changed_since(&*house.book().await?, &plan).await?;
    let view = View::kept(worked.scene(), &again, &caller, &shop, changed);
    let body = html! {
        p.where { strong { (plan.vehicle) } " on " strong { (plan.lift) } @if !plan.job.is_empty() { ", " (plan.job) } ". Mark " strong { (book::mark(plan.answer)) } "." }
        p.note { "Kept by " (event.by) ", " (book::time(event.at, &event.zone)) ", event " (event.seq) " of the book. A search of the records finds it by its mark." }
        (told::kept(&view, &worked))
        (printed::offered(&format!("/plan/kept/{number}/sheet"), &view))
        p { a.button href=(plan::address(&again)) { "Plan it again, with what the book holds now" } }
    };
    Ok(Page { title: "Kept plan", part: Some(Part::Plan), module: None, body }.of(&caller))
}

/// What it was asked for.
pub(super) fn of(plan: &KeptPlan) -> Asked {
    Asked { lift: plan.lift.to_string(), vehicle: plan.vehicle.to_string(), job: String::new() }
}

/// The plan that an event keeps, planned again from its exact inputs.
pub(super) async fn of_event(house: &House, number: u64) -> Result<(Event, KeptPlan, Arc<Worked>), Fault> {
    let book = house.book().await?;
    let none = || Fault::NotFound(format!("Event {number} keeps no plan."));
    let event = book.event(Seq(number)).await?.ok_or_else(none)?;
    let Fact::PlanKept { plan } = event.fact.clone() else { return Err(none()) };
    let worked = shelf::worked(house, led::texts(&book, &plan).await?).await?;
    Ok((event, plan, worked))
}
