//! Today's board: bays, what is on them, what is due, what is out of service and why.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use crate::told;
use crate::wire::board::{Board, BoardLift, Raise};

/// The first page: the board where there is a book, else how to begin one.
pub(crate) async fn first(State(house): State<Shared>) -> Response {
    let to = if house.book().await.is_ok() { "/today" } else { "/begin" };
    Redirect::to(to).into_response()
}

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let board = told::board::board(&shop, Timestamp::now());
    let body = html! {
        div #board data-live { (bays(&board)) }
    };
    Ok(Page { title: "Today", part: Some(Part::Today), module: Some("live.js"), body }.of(&caller))
}

fn bays(board: &Board) -> Markup {
    html! {
        h1 { (board.shop) }
        p.note { (board.day) ". Rules: " (board.rules) "." }
        @if board.clock_behind {
            section.told.refused role="alert" { h2 { "Caution" } p { "The clock of this machine stands before the last event of the book." } }
        }
        @if board.lifts.is_empty() {
            p { "No lift is in the book yet. " a.button href="/measure/lift" { "Measure the first lift" } }
        }
        div.bays { @for lift in &board.lifts { (bay(lift, board.raises.iter().find(|r| Some(r.raise) == lift.raise))) } }
    }
}

fn bay(lift: &BoardLift, raise: Option<&Raise>) -> Markup {
    let (kind, says) = match (lift.fit, raise) {
        (_, Some(_)) => ("taken", "Taken"),
        (true, None) if lift.left_there.is_some() => ("taken", "Taken"),
        (true, None) => ("free", "Free"),
        (false, None) => ("out", "Must not be used"),
    };
    html! {
        section.bay.(kind) {
            h2 { a href={ "/lift/" (lift.lift) } { (lift.bay) } }
            p.state { (says) }
            p.note { (lift.lift) ", " (lift.capacity) }
            @if let Some(raise) = raise {
                p { a.button href={ "/raise/" (raise.raise) } { "Raise " (raise.raise) ": " (raise.vehicle) } }
                p { (told::raise::one_line(raise)) }
            } @else if let Some(left) = &lift.left_there {
                p { strong { (left) "." } }
            } @else if lift.fit {
                p { a.button href={ "/plan?lift=" (lift.lift) } { "Plan on it" } }
            }
            @if !lift.why_not.is_empty() {
                h3 { "Why not" }
                ul { @for why in &lift.why_not { li { (why) "." } } }
            }
            @if !lift.defects.is_empty() {
                h3 { "Defects" }
                ul { @for defect in &lift.defects { li { (defect.defect) ": " (defect.words) @if defect.repaired { " (repaired, not yet returned to service)" } } } }
            }
            @if !lift.due.is_empty() {
                h3 { "Due" }
                ul { @for due in &lift.due { li { (due.what) ": " @if let Some(by) = &due.by { "by " (by) } @else { "no day is known" } } } }
            }
        }
    }
}
