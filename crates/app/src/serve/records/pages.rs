//! Everything that stands in the book: found, shown, taken along.

use ::records::{
    Act, Book, Event, Fact, LiftId, May, PersonId, Refusal, Seq, Shop, Subject, VehicleId, due_days, may,
};
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::response::{Redirect, Response};
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan};
use maud::{Markup, html};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheets::Units;
use sheets::words::capital;
use tokio::runtime::Handle;

use super::find::Sought;
use super::form;
use super::paper::offered;
use crate::paper::record::Which;
use crate::serve::caller::Caller;
use crate::serve::fault::{ApiFault, Fault};
use crate::serve::frame::{Page, Part, attachment};
use crate::serve::house::Shared;
use crate::serve::replay;
use crate::serve::{measure, missing};
use crate::told;
use crate::verb::raise::known;

fn page(title: &str, body: Markup, caller: &Caller) -> Response {
    Page { title, part: Some(Part::Records), module: None, body }.of(caller)
}

/// Lifts, vehicles, people, days, and every form; with words, the events that say them.
pub(crate) async fn records(
    State(house): State<Shared>,
    Query(sought): Query<Sought>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let found = sought.found(&book, &shop, caller.units).await?;
    let may = |act| caller.is_offered(&shop, act);
    let today = shop.today(Timestamp::now());
    let body = html! {
        h1 { "Records" }
        form.pick method="get" action="/records" {
            label { "Find" input type="search" name="words" value=(sought.words) placeholder="a name, a fleet number, a word of a defect"; }
            button.main { "Find" }
        }
        @if let Some(found) = found { section { h2 { "Found" } (found) } }
        div.bays {
            section.bay { h2 { "Lifts" } ul { @for (id, lift) in &shop.lifts { li { a href={ "/lift/" (id) } { (lift.sheet.bay) } } } } @if may(Act::EnterLift) { p { a.button href="/measure/lift" { "Measure a lift" } } } }
            section.bay { h2 { "Vehicles" } ul { @for id in shop.fleet.vehicles.keys() { li { a href={ "/vehicle/" (id) } { (id) } } } } @if may(Act::EnterVehicle) { p { a.button href="/measure/vehicle" { "Measure a vehicle" } } } p { a.button href="/take-in" { "Take lifts and vehicles in from files" } } }
            section.bay { h2 { "Jobs" } ul { @for id in shop.jobs.keys() { li { a href={ "/job/" (id) } { (id) } } } } @if may(Act::EnterJob) { p { a.button href="/make/job" { "Make a job" } } } }
            section.bay { h2 { "People" } ul { @for (id, person) in shop.people.iter().filter(|(_, p)| !p.left) { li { a href={ "/person/" (id) } { (person.name) } ", " (person.role) } } } }
            section.bay {
                h2 { "Days" }
                p { a href={ "/day/" (today) } { "Today, " (today) } }
                form method="get" action="/day" { label { "Another day" input type="date" name="day" max=(today) required; } button { "Show" } }
                @if may(Act::RunShop) { p { a href="/backup" download { "A backup of the whole book" } } }
                p { a href="/settings" { "Settings" } }
            }
        }
        section {
            h2 { "Write into the book" }
            ul.forms {
                @for form in form::ALL.iter().filter(|f| !form::SETTINGS.contains(&f.name) && may(f.act)) {
                    li { a.button href={ "/enter/" (form.name) } { (form.title) } }
                }
            }
        }
    };
    Ok(page("Records", body, &caller))
}

pub(super) fn row(shop: &Shop, event: &Event, says: &str, more: &Markup) -> Markup {
    html! {
        li.struck[shop.corrected.contains_key(&event.seq)] {
            span.note { (told::time(event.at, &event.zone)) " · event " (event.seq) " · " (event.by) @if let Some(with) = &event.with { " with " (with) } }
            " " (says)
            @if let Fact::PlanKept { .. } = event.fact { " " a href={ "/plan/kept/" (event.seq) } { "Look at it" } }
            @if let Fact::RaiseBegun { raise, .. } = event.fact { " " a href=(replay::address(raise, 1)) { "Step by step" } }
            (more)
        }
    }
}

/// What an examination's report says, field by field.
async fn report(book: &Book, shop: &Shop, event: &Event, caller: &Caller) -> Result<Markup, Fault> {
    let Fact::LiftExamined { number, report, .. } = &event.fact else { return Ok(html! {}) };
    let paper = told::paper(book, event.seq).await?;
    let examined = shop.lifts.get(&report.lift).and_then(|lift| lift.examinations.get(&event.seq));
    let is_open = examined.is_some_and(|examined| examined.confirmed.is_none());
    let confirms = caller.role(shop).is_some_and(|role| may(role, Act::ConfirmExamination) == May::Yes);
    let offered = offered(book, shop, Which::Examination(number.0), "As PDF").await?;
    Ok(html! {
        details id={ "examination-" (number) } open[is_open && confirms] {
            summary { "Its report" }
            dl.facts { @for (field, says) in told::report(report) { div { dt { (field) } dd { (says) } } } }
            @if let Some(paper) = paper { pre.working { (paper.text()) } }
            (offered)
            @if is_open && confirms {
                form method="post" action="/enter/confirmation" {
                    input type="hidden" name="examination" value=(number);
                    input type="hidden" name="lift" value=(report.lift);
                    button.main { "Confirm examination " (number) }
                }
            }
        }
    })
}

pub(crate) async fn rows(
    book: &Book,
    shop: &Shop,
    events: &[Event],
    caller: &Caller,
) -> Result<Markup, Fault> {
    let beside = told::Beside::of(book, shop, events).await?;
    let mut all = vec![];
    for event in events {
        let more = report(book, shop, event, caller).await?;
        all.push(row(shop, event, &told::sentence(event, &beside, caller.units), &more));
    }
    Ok(html! {
        @if events.is_empty() { p { "Nothing is in the book of it." } }
        ol.events { @for event in &all { (event) } }
    })
}

/// A lift's record: its plate, whether it may be used, what is due, everything that happened to it.
pub(crate) async fn lift(
    State(house): State<Shared>,
    Path(id): Path<String>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let none = || Fault::NotFound(format!("There is no lift “{id}” in the book."));
    let id: LiftId = id.parse().map_err(|_| none())?;
    let lift = shop.lifts.get(&id).ok_or_else(none)?;
    let year = shop.today(Timestamp::now()).checked_sub(1.year()).unwrap_or(Date::MIN);
    let events = book.record_of(&id, book.first_since(year).await?).await?;
    let sheet = &lift.sheet;
    let made = if sheet.year == 0 { "not known".to_owned() } else { sheet.year.to_string() };
    let body = html! {
        h1 { (sheet.bay) }
        div #standing data-live { (standing(&shop, &id, &caller)) }
        dl #facts .facts data-live {
            @for (what, says) in [
                ("Name in the book", id.to_string()), ("Maker", sheet.maker.clone()), ("Type", sheet.model.clone()),
                ("Serial number", sheet.serial.clone()), ("Year of make", made), ("May carry", told::capacity(&sheet.capacity, caller.units)),
            ] { div { dt { (what) } dd { (says) } } }
            @for (what, day) in due_days(&shop, &id, Timestamp::now()) { div { dt { "Due: " (what) } dd { (day.map_or("no day is known".into(), |d| d.to_string())) } } }
        }
        @if let Some(why) = told::board::due_sooner(&shop, &id) { p.note { (why) } }
        ul.forms {
            @for name in ["check", "defect", "tag", "repair", "return", "examination", "alteration"] {
                @if let Some(form) = form::named(name).filter(|form| caller.is_offered(&shop, form.act)) { li { a.button href={ "/enter/" (name) "?lift=" (id) } { (form.title) } } }
            }
        }
        p { a.button href={ "/lift/" (id) "/file" } download { "Its file, to hand to another shop" } }
        h2 { "What happened since " (year) }
        div #happened data-live { (rows(&book, &shop, &events, &caller).await?) }
    };
    Ok(page(&sheet.bay, body, &caller))
}

/// Whether it may be used now, and what is on it, in the words of the board.
fn standing(shop: &Shop, lift: &LiftId, caller: &Caller) -> Markup {
    let at = Timestamp::now();
    let why = missing::of_lift(shop, lift, caller, at);
    let raise = shop.raises.iter().find(|(_, raise)| raise.plan.lift == *lift);
    let left = missing::left_on(shop, lift);
    html! {
        @if !why.is_empty() {
            section.told.refused { h2 { "Must not be used" } (missing::told(&why, shop, caller)) }
        }
        @if let Some((number, raise)) = raise {
            section.told.odd {
                h2 { "Taken" }
                p { (capital(&told::raise::one_line(&told::raise::state(shop, at, *number, raise, caller.units, None)))) }
                p { a.button href={ "/raise/" (number) } { "Raise " (number) ": " (raise.plan.vehicle) } }
            }
        }
        @if !left.is_empty() {
            section.told.odd { h2 { "Taken" } (missing::told(&left, shop, caller)) }
        }
        @if why.is_empty() && raise.is_none() && left.is_empty() {
            section.told.done { p { "May be used." } }
        }
    }
}

pub(crate) async fn vehicle(
    State(house): State<Shared>,
    Path(id): Path<String>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let none = || Fault::NotFound(format!("There is no vehicle “{id}” in the book."));
    let id: VehicleId = id.parse().map_err(|_| none())?;
    let file = shop.fleet.vehicles.get(&id).copied().ok_or_else(none)?;
    let text = crate::desk::kept(&book, file).await?;
    let known = known(&book, &id).await?.ok_or_else(none)?;
    let events = book.events_about(&Subject::Vehicle(id.clone())).await?;
    let body = html! {
        h1 { (id) }
        (not_whole(&shop, &id, &caller))
        @if !known.unusable.is_empty() {
            section.told.odd role="alert" { h2 { "No plan can be made of it" } ul { @for why in &known.unusable { li { (why) } } } }
        }
        @if let Some(vehicle) = &known.vehicle { (measure::shown::vehicle(vehicle, caller.units)) }
        @if !known.measured.is_empty() {
            h2 { "Measured since its file" }
            p { "In the place of what the file says:" }
            ul { @for measured in &known.measured { li { (capital(measured)) "." } } }
        }
        div.ways-on {
            a.button.main href={ "/plan?vehicle=" (id) } { "Plan with it" }
            @if caller.is_offered(&shop, Act::Measure) { a.button href={ "/enter/measurement?vehicle=" (id) } { "Record a measurement" } }
            a.button href={ "/vehicle/" (id) "/file" } download { "Its file, to hand to another shop" }
        }
        details { summary { "What is in its file" } pre.working { (text.text()) } }
        h2 { "What happened" }
        (rows(&book, &shop, &events, &caller).await?)
    };
    Ok(page(id.as_str(), body, &caller))
}

/// As what raises left a vehicle, as far as that counts now.
pub(crate) fn not_whole(shop: &Shop, vehicle: &VehicleId, caller: &Caller) -> Markup {
    let form = form::named("whole").filter(|form| caller.is_offered(shop, form.act));
    let found = shop.found_not_whole(vehicle);
    html! {
        @if !found.is_empty() {
            section.told.odd role="alert" {
                h2 { (vehicle) " is not as its file says, or may not be" }
                @for found in found {
                    p { (Refusal::NotWhole(vehicle.clone(), found.raise, found.to_string()).to_string()) }
                }
                @if let Some(form) = form { p { a.button href={ "/enter/" (form.name) "?vehicle=" (vehicle) } { "It is whole again" } } }
            }
        }
    }
}

pub(crate) async fn person(
    State(house): State<Shared>,
    Path(id): Path<String>,
    caller: Caller,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let none = || Fault::NotFound(format!("There is no person “{id}” in the book."));
    let id: PersonId = id.parse().map_err(|_| none())?;
    let person = shop.people.get(&id).ok_or_else(none)?;
    let events = book.events_about(&Subject::Person(id.clone())).await?;
    let manages = caller.role(&shop).is_some_and(|role| may(role, Act::ManagePeople) == May::Yes);
    let own = caller.person() == Some(&id);
    let day = |day: Option<Date>| day.map_or("no".to_owned(), |d| d.to_string());
    let body = html! {
        h1 { (person.name) }
        dl.facts {
            div { dt { "Name in the book" } dd { (id) } }
            div { dt { "Role" } dd { (person.role) @if person.left { ", left the shop" } } }
            div { dt { "Instructed" } dd { (day(shop.instructed(person))) } }
            div { dt { "Authorised in writing from" } dd { (day(person.authorised(shop.sooner_today(Timestamp::now())).map(|a| a.on))) } }
        }
        @if manages {
            ul.forms {
                @for name in ["instruction", "authorisation", "withdrawal", "role", "age", "leaving"] {
                    @if let Some(form) = form::named(name) { li { a.button href={ "/enter/" (name) "?person=" (id) } { (form.title) } } }
                }
            }
        }
        @if manages || own { (crate::serve::people::new_pin(&id, &caller)) }
        h2 { "What happened" }
        (rows(&book, &shop, &events, &caller).await?)
    };
    Ok(page(&person.name, body, &caller))
}

/// A day that is asked for in a form.
#[derive(Debug, Deserialize)]
pub(crate) struct OnDay {
    day: String,
}

pub(crate) async fn day_asked(Query(OnDay { day }): Query<OnDay>) -> Result<Redirect, Fault> {
    Ok(Redirect::to(&format!("/day/{}", date(&day)?)))
}

fn date(text: &str) -> Result<Date, Fault> {
    text.parse().map_err(|_| Fault::bad("Write a day as YYYY-MM-DD."))
}

/// A day's page.
pub(crate) async fn day(
    State(house): State<Shared>,
    Path(day): Path<String>,
    caller: Caller,
) -> Result<Response, Fault> {
    let day = date(&day)?;
    let book = house.book().await?;
    let shop = book.shop().await?;
    let events = book.events_on(day).await?;
    let body = html! {
        h1 { (day) }
        p {
            @if let Ok(before) = day.yesterday() { a.button href={ "/day/" (before) } { "The day before" } }
            " "
            @if let Ok(after) = day.tomorrow() { a.button href={ "/day/" (after) } { "The day after" } }
        }
        (rows(&book, &shop, &events, &caller).await?)
    };
    Ok(page(&day.to_string(), body, &caller))
}

/// Which events.
#[derive(Debug, Deserialize)]
pub(crate) struct After {
    #[serde(default)]
    after: u64,
}

/// Events in words.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Events {
    /// Name and version of this form.
    contract: &'static str,
    /// In order; at most a thousand.
    events: Vec<EventTold>,
}

/// An event in words.
#[derive(Debug, Serialize, JsonSchema)]
struct EventTold {
    /// Its number.
    event: u64,
    /// When, UTC.
    at: String,
    /// Who.
    by: String,
    /// Who stood beside.
    with: Option<String>,
    /// What happened.
    sentence: String,
}

pub(crate) async fn events(
    State(house): State<Shared>,
    Query(After { after }): Query<After>,
) -> Result<Json<Events>, ApiFault> {
    let book = house.book().await?;
    let events = book.events_after(Seq(after)).await?;
    let beside = told::Beside::of(&book, &*book.shop().await?, &events).await?;
    let told = events.iter().map(|event| EventTold {
        event: event.seq.0,
        at: event.at.to_string(),
        by: event.by.to_string(),
        with: event.with.as_ref().map(ToString::to_string),
        sentence: told::sentence(event, &beside, Units::Metric),
    });
    Ok(Json(Events { contract: "standfast/events/1", events: told.collect() }))
}

/// The whole book as one file, while it is in use.
pub(crate) async fn backup(State(house): State<Shared>) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    // The book is verified, which takes its time: not of those who answer others.
    let made = tokio::task::spawn_blocking(move || {
        let mut bytes = vec![];
        Handle::current().block_on(book.backup(&mut bytes)).map(|_| bytes)
    });
    let bytes = made.await.map_err(|_| Fault::Broken(vec!["The backup could not be made.".into()]))??;
    Ok(attachment(&format!("{}.backup", shop.today(Timestamp::now())), "application/jsonl", bytes))
}
