//! Practice: a situation with figures hidden, a vehicle to spot and four pads to set, and then what would have happened.

pub(crate) mod api;
mod ended;
mod fields;
mod learners;
mod page;
pub(crate) mod set;
mod task;
#[cfg(test)]
mod tests;
mod veil;

use std::sync::Arc;

use axum::Form;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;
use planner::plan::Verdict;
use planner::{Plan, Setup};
use records::{Act, Command, Document as Kept, Event, Fact, May, PracticeEnd, Shop, Subject, may};
use sheets::words::practice::tip;

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::{House, Shared};
use super::plan::placed::{self, Placed};
use fields::Filled;
use task::Task;

/// All situations.
pub(crate) async fn all(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.shop().await?;
    let tries = match &shop {
        Some(shop) if sees_all(shop, &caller) => Some(learners::gathered(&*house.book().await?, shop).await?),
        _ => None,
    };
    let body = html! {
        (page::all(shop.as_ref(), &caller))
        @if let (Some(shop), Some(tries)) = (&shop, &tries) { (learners::table(shop, tries)) }
    };
    Ok(Page { title: "Practice", part: Some(Part::Practice), module: None, body }.of(&caller))
}

pub(crate) async fn of_the_book(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(filled): Query<Filled>,
    caller: Caller,
) -> Result<Response, Fault> {
    to_try(&house, &task::of_the_book(&house, number).await?, &filled, &caller).await
}

pub(crate) async fn invented(
    State(house): State<Shared>,
    Path(name): Path<String>,
    Query(filled): Query<Filled>,
    caller: Caller,
) -> Result<Response, Fault> {
    to_try(&house, &task::invented(&house, &name).await?, &filled, &caller).await
}

/// A situation to try, from the start or from where an attempt ended.
async fn to_try(house: &House, task: &Task, filled: &Filled, caller: &Caller) -> Result<Response, Fault> {
    let setup = if filled.is_empty() {
        veil::start(&task.worked, planner::frames::DrivenIn::Forwards)
    } else {
        settled(task, filled)?
    };
    let plan = task.worked.checked(&setup)?;
    let tried = attempts(house, task, caller).await?;
    let body = html! {
        (page::to_try(task, &plan, caller)?)
        (page::attempts(&task.of, &tried))
    };
    Ok(Page { title: &task.name, part: Some(Part::Practice), module: Some("plan.js"), body }.of(caller))
}

/// As it was filled in, every pad where its arm can bring it.
fn settled(task: &Task, filled: &Filled) -> Result<Setup, Fault> {
    Ok(fields::read(filled)?.setup()?.in_reach(&task.worked.inputs().lift))
}

/// Whether they may see what everybody made of it.
fn sees_all(shop: &Shop, caller: &Caller) -> bool {
    caller.role(shop).is_some_and(|role| may(role, Act::SetPractice) == May::Yes)
}

/// The attempts that somebody may see: their own, or everybody's.
async fn attempts(house: &House, task: &Task, caller: &Caller) -> Result<Vec<Event>, Fault> {
    let Some(person) = caller.person() else { return Ok(vec![]) };
    let book = house.book().await?;
    let shop = book.shop().await?;
    let mut events = book.events_about(&Subject::Practice(task.of.clone())).await?;
    events.retain(|e| {
        matches!(e.fact, Fact::PracticeTried { .. }) && (sees_all(&shop, caller) || e.by == *person)
    });
    events.retain(|e| !shop.corrected.contains_key(&e.seq));
    Ok(events)
}

/// What would have happened: it is planned anew, away from where requests are answered.
async fn judged(task: &Task, setup: Setup) -> Result<Plan, Fault> {
    let worked = Arc::clone(&task.worked);
    let judged = tokio::task::spawn_blocking(move || worked.judged(&setup)).await;
    judged.map_err(|_| Fault::Broken(vec!["It could not be computed.".into()]))?
}

/// The same as the book keeps it.
fn end(task: &Task, plan: &Plan) -> PracticeEnd {
    let scene = task.worked.moved(plan);
    match tip(&scene).filter(|tip| tip.surely) {
        Some(tip) => PracticeEnd::Tips { over: tip.over().to_owned() },
        None if plan.verdict == Verdict::DoNotRaise => {
            PracticeEnd::MustNot { reasons: sheets::words::refusals(&scene).len() as u64 }
        }
        None => PracticeEnd::MayBeRaised,
    }
}

pub(crate) async fn raise_of_the_book(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    caller: Caller,
    Form(filled): Form<Filled>,
) -> Result<Response, Fault> {
    raised(&house, &task::of_the_book(&house, number).await?, &filled, &caller).await
}

pub(crate) async fn raise_invented(
    State(house): State<Shared>,
    Path(name): Path<String>,
    caller: Caller,
    Form(filled): Form<Filled>,
) -> Result<Response, Fault> {
    raised(&house, &task::invented(&house, &name).await?, &filled, &caller).await
}

/// Writes the attempt into the book and leads to what would have happened.
async fn raised(house: &House, task: &Task, filled: &Filled, caller: &Caller) -> Result<Response, Fault> {
    let desk = acting::alone(house, caller).await?;
    let plan = judged(task, settled(task, filled)?).await?;
    let setup = Kept::new(Placed::of(&plan).file().to_string());
    let command = Command::TryPractice { of: task.of.clone(), setup, end: end(task, &plan) };
    let events = acting::act(house, &desk, &command).await?;
    let event = events.last().ok_or_else(|| Fault::Broken(vec!["The attempt was not kept.".into()]))?;
    Ok(Redirect::to(&format!("/{}/tried/{}", task::below(&task.of), event.seq)).into_response())
}

/// For whoever is not signed in: told, and not kept.
pub(crate) async fn look_at_invented(
    State(house): State<Shared>,
    Path(name): Path<String>,
    Query(filled): Query<Filled>,
    caller: Caller,
) -> Result<Response, Fault> {
    let task = task::invented(&house, &name).await?;
    let plan = judged(&task, settled(&task, &filled)?).await?;
    Ok(told(&task, &plan, None, &caller))
}

pub(crate) async fn tried_of_the_book(
    State(house): State<Shared>,
    Path((number, event)): Path<(u64, u64)>,
    caller: Caller,
) -> Result<Response, Fault> {
    tried(&house, &task::of_the_book(&house, number).await?, event, &caller).await
}

pub(crate) async fn tried_invented(
    State(house): State<Shared>,
    Path((name, event)): Path<(String, u64)>,
    caller: Caller,
) -> Result<Response, Fault> {
    tried(&house, &task::invented(&house, &name).await?, event, &caller).await
}

/// An attempt of the book.
async fn tried(house: &House, task: &Task, seq: u64, caller: &Caller) -> Result<Response, Fault> {
    let seen = attempts(house, task, caller).await?;
    let none = || Fault::NotFound(format!("There is no attempt {seq} of yours here."));
    let event = seen.iter().find(|event| event.seq.0 == seq).ok_or_else(none)?;
    let Fact::PracticeTried { attempt, .. } = &event.fact else { return Err(none()) };
    let kept = crate::desk::kept(&*house.book().await?, attempt.setup).await?;
    let plan = judged(task, placed::kept(kept.text())?).await?;
    Ok(told(task, &plan, Some(event), caller))
}

fn told(task: &Task, plan: &Plan, event: Option<&Event>, caller: &Caller) -> Response {
    let body = ended::page(task, plan, event, caller);
    Page { title: "What would have happened", part: Some(Part::Practice), module: None, body }.of(caller)
}
