//! Today's board: bays, what is on them, what is due, what is out of service and why.

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};
use records::{Act, Shop};
use serde::Deserialize;

use super::bays::{self, Bay, Question};
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use super::missing;
use super::shelf::{self, Choice, Choices};
use crate::told;
use crate::wire::board::{Board, BoardLift, Raise};

/// The first page: the board where there is a book, else how to begin one.
pub(crate) async fn first(State(house): State<Shared>) -> Response {
    let to = if house.book().await.is_ok() { "/today" } else { "/begin" };
    Redirect::to(to).into_response()
}

/// What the address of the board says.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Address {
    /// What was typed of a vehicle's mark.
    #[serde(default)]
    find: String,
    /// The vehicle, by its name in the book.
    #[serde(default)]
    vehicle: String,
    #[serde(default)]
    job: String,
    /// The lift on which it was dropped.
    #[serde(default)]
    on: String,
}

pub(crate) async fn page(
    State(house): State<Shared>,
    Query(address): Query<Address>,
    caller: Caller,
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let board = told::board::board(&shop, Timestamp::now());
    let choices = shelf::choices(&house).await?;
    let found = choices.found(&address.find);
    let vehicle = match found.as_slice() {
        [one] => one.id.clone(),
        _ => address.vehicle.clone(),
    };
    let question = Question { vehicle, job: address.job.clone(), on: address.on.clone() };
    let answers = if question.vehicle.is_empty() {
        Ok(vec![])
    } else {
        bays::all(&house, &question, caller.units).await
    };
    let told = match &answers {
        Ok(bays) if bays.is_empty() => html! {},
        Ok(bays) => bays::told(bays, &question),
        Err(fault) => fault.told(),
    };
    let body = html! {
        div #head data-live { (head(&board)) }
        div.shop.board {
            @if !board.lifts.is_empty() { (tray(&shop, &choices, &found, &address, &caller)) }
            section #fits aria-live="polite" data-live { (told) }
            div #board data-live { (all(&shop, &board, (&question, answers.as_deref().unwrap_or_default()), &caller)) }
        }
    };
    Ok(Page { title: "Today", part: Some(Part::Today), module: Some("shop.js"), body }.of(&caller))
}

fn head(board: &Board) -> Markup {
    html! {
        h1 { (board.shop) }
        p.note { (board.day) ". Rules: " (board.rules) "." }
        @if board.clock_behind {
            section.told.refused role="alert" { h2 { "Caution" } p { "The clock of this machine stands before the last event of the book." } }
        }
    }
}

/// The shop's vehicles, to be dropped on a bay; whoever drags nothing picks one.
fn tray(shop: &Shop, choices: &Choices, found: &[&Choice], address: &Address, caller: &Caller) -> Markup {
    html! {
        section.tray {
            h2 { "Which bay takes it?" }
            @if shop.fleet.vehicles.is_empty() {
                p { "No vehicle is in the book yet. " @if caller.is_offered(shop, Act::EnterVehicle) { a.button href="/measure/vehicle" { "Measure the first vehicle" } } }
            } @else {
                form.pick method="get" action="/today" data-tray {
                    label { "Vehicle, by its mark" input type="search" name="find" autocomplete="off" value=(address.find) placeholder="number, plate, VIN"; }
                    label { "Job" select name="job" {
                        option value="" { "raise and lower only" }
                        @for job in &choices.jobs { option value=(job.id) selected[job.id == address.job] { (job.name) } }
                    } }
                    button.main { "Ask every bay" }
                }
                div #tray { (chips(choices, found, address)) }
            }
        }
    }
}

/// What can be taken up: as many as fit beside the bays.
fn chips(choices: &Choices, found: &[&Choice], address: &Address) -> Markup {
    const MOST: usize = 8;
    let sought = address.find.trim();
    let all: Vec<&Choice> =
        if sought.is_empty() { choices.vehicles.iter().collect() } else { found.to_vec() };
    let to = |vehicle: &str| {
        let pairs = [("vehicle", vehicle), ("job", address.job.as_str())];
        format!(
            "/today?{}",
            url::form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish()
        )
    };
    html! {
        @if all.is_empty() { p.note { "No vehicle here has “" (sought) "” in its mark." } }
        p.note.live { "Drag one onto a bay, or touch it: every bay answers." }
        ul.chips {
            @for choice in all.iter().take(MOST) {
                li { a.button.chip href=(to(&choice.id)) data-vehicle=(choice.id) draggable="false" aria-current=[(choice.id == address.vehicle).then_some("true")] { (choice.name) } }
            }
        }
        @if all.len() > MOST { p.note { (all.len() - MOST) " more: type a part of the mark." } }
    }
}

fn all(shop: &Shop, board: &Board, (question, answers): (&Question, &[Bay]), caller: &Caller) -> Markup {
    html! {
        @if board.lifts.is_empty() {
            p { "No lift is in the book yet. " @if caller.is_offered(shop, Act::EnterLift) { a.button href="/measure/lift" { "Measure the first lift" } } }
        }
        @if !board.lifts.is_empty() && missing::is_before_the_first_raise(shop) {
            p { a href="/first-steps#first-raise" { "What is still missing before the first raise" } }
        }
        div.bays {
            @for lift in &board.lifts {
                (bay(shop, lift, board.raises.iter().find(|r| Some(r.raise) == lift.raise), (question, answers.iter().find(|a| a.lift == lift.lift)), caller))
            }
        }
    }
}

/// Where the check before use is entered, if today's is missing.
fn check_of_today(shop: &Shop, lift: &BoardLift, caller: &Caller) -> Option<Markup> {
    missing::check_of_today(shop, &lift.lift.parse().ok()?, caller, Timestamp::now())
}

fn bay(
    shop: &Shop,
    lift: &BoardLift,
    raise: Option<&Raise>,
    (question, answer): (&Question, Option<&Bay>),
    caller: &Caller,
) -> Markup {
    let (kind, sign, says) = match (lift.fit, raise) {
        (_, Some(_)) => ("taken", "■", "Taken"),
        (true, None) if lift.left_there.is_some() => ("taken", "■", "Taken"),
        (true, None) => ("free", "✓", "Free"),
        (false, None) => ("out", "✕", "Must not be used"),
    };
    html! {
        section.bay.(kind) data-lift=(lift.lift) {
            h2 { a href={ "/lift/" (lift.lift) } { (lift.bay) } }
            p.note { (lift.lift) ", " (told::capacity(&lift.capacity, caller.units)) }
            p.state { span.sign aria-hidden="true" { (sign) } " " (says) }
            @if !lift.why_not.is_empty() {
                ul.why { @for why in &lift.why_not { li { (sheets::words::capital(why)) "." } } }
                @if let Some(check) = check_of_today(shop, lift, caller) { (check) }
            }
            p.fit { @if let Some(answer) = answer.filter(|answer| answer.may_be_used) { (question.in_words()) ": " (answer.short) } }
            @let plan = answer.and_then(|answer| answer.plan.clone()).unwrap_or_else(|| format!("/plan?lift={}", lift.lift));
            @if let Some(raise) = raise {
                p.why { (told::raise::one_line(raise)) }
                p { a.button.main href={ "/raise/" (raise.raise) } { "Raise " (raise.raise) ": " (raise.vehicle) } }
            } @else if let Some(left) = &lift.left_there {
                p.why { strong { "On it: " (left) "." } }
            } @else if lift.fit {
                p { a.button href=(plan) data-plan { "Plan on it" } }
            }
            @if !lift.defects.is_empty() {
                h3 { "Defects" }
                ul { @for defect in &lift.defects { li { (defect.defect) ": " (defect.words) @if defect.repaired { " (repaired, not yet returned to service)" } } } }
            }
            @if !lift.due.is_empty() {
                dl.due { @for due in &lift.due { div { dt { "Due: " (due.what) } dd { @if let Some(by) = &due.by { (by) } @else { "no day is known" } } } } }
                @if let Some(why) = &lift.due_sooner_because { p.note { (why) } }
            }
        }
    }
}
