//! A raise that has ended: what was done, by whom, how it went, and the ways on.

use jiff::{SignedDuration, Timestamp};
use maud::{Markup, html};
use records::{Event, Fact, PersonId, Raise, RaiseNumber, Shop};
use sheets::Units;

use super::caller::Caller;
use super::{missing, replay};
use crate::told::ended::{Ending, ending, work};
use crate::told::{self, Beside};

/// What was done, and where one goes from here.
pub(super) fn shown(
    shop: &Shop,
    number: RaiseNumber,
    events: &[Event],
    beside: &Beside,
    caller: &Caller,
) -> Markup {
    let (Some((_, mut raise)), Some(first), Some((last, how))) =
        (events.first().and_then(Raise::begun), events.first(), ending(events))
    else {
        return html! { h1 { "Raise " (number) " has ended" } };
    };
    let mut leaders = vec![raise.leader.clone()];
    for event in &events[1..] {
        raise.follow(event);
        if leaders.last() != Some(&raise.leader) {
            leaders.push(raise.leader.clone());
        }
    }
    let plan = &raise.plan;
    let row = |label: &str, says: Markup| html! { div { dt { (label) } dd { (says) } } };
    html! {
        h1 { "Raise " (number) " has ended" }
        p.where { strong { (plan.vehicle) } " on " strong { (plan.lift) } @if !plan.job.is_empty() { ", " (plan.job) } "." }
        (verdict(&how, last, &raise))
        dl.facts {
            (row("Begun", html! { (told::time(first.at, &first.zone)) " by " (named(shop, &first.by)) }))
            (row("Ended", html! { (told::time(last.at, &last.zone)) " by " (named(shop, &last.by)) }))
            (row("Took", html! { (took(last.at.duration_since(first.at))) }))
            (row("Led by", html! { (leaders.iter().map(|person| named(shop, person)).collect::<Vec<_>>().join(", then ")) }))
            (row("Work", html! { (told::plain(&work(&how, &raise, events))) }))
            @if let Ending::OutOfItsCourse(_) = how { (row("The vehicle, as last confirmed", html! { (told::raise::where_it_is(&raise.progress)) })) }
            (row("Hold points confirmed", html! { (raise.progress.done.len()) }))
            (row("Plan", html! { "mark " (told::mark(plan.answer)) }))
        }
        (went_wrong(number, events, beside, caller.units))
        (ways_on(shop, number, &raise, caller))
    }
}

fn verdict(how: &Ending<'_>, last: &Event, raise: &Raise) -> Markup {
    let unfinished = raise.progress.unfinished();
    match how {
        Ending::DrivenOff => html! {
            section.told.done { p { strong { (how.words()) "." } } }
        },
        Ending::LeftOnFloor => html! {
            section.told.odd {
                p { strong { (how.words()) "." } @if let Some(state) = unfinished { " The work was not ended: " (state) "." } }
                p { "The lift is out of service until a lead or an examiner says that it is clear." }
            }
        },
        Ending::CalledOff(words) => html! {
            section.told.odd { p { strong { (how.words()) "." } " " (told::plain(words)) } }
        },
        Ending::OutOfItsCourse(words) => html! {
            section.told.refused { p { strong { (how.words()) " by " (last.by) "." } " " (told::plain(words)) }
                @if let Some(state) = unfinished { p { "The work was not ended: " strong { (state) } "." } }
                @if raise.progress.is_up() {
                    p { strong { "It was not lowered: as last confirmed the vehicle is " (told::raise::where_it_is(&raise.progress)) "." } " Nobody goes under it or near it before a lead has looked." }
                }
            }
        },
    }
}

/// By their name, where the book has one.
fn named(shop: &Shop, person: &PersonId) -> String {
    shop.people.get(person).map_or_else(|| person.to_string(), |found| found.name.clone())
}

/// To the minute; nobody reads seconds of a raise.
fn took(time: SignedDuration) -> String {
    let minutes = time.as_mins();
    match (minutes / 60, minutes % 60) {
        (0, 0) => "less than a minute".into(),
        (0, minutes) => format!("{minutes} min"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// What was not right on the way, each with the step before which it came.
fn went_wrong(number: RaiseNumber, events: &[Event], beside: &Beside, units: Units) -> Markup {
    let trouble: Vec<&Event> = events.iter().filter(|event| replay::is_trouble(event)).collect();
    let is_confirmed = |event: &&Event| matches!(event.fact, Fact::PointConfirmed { .. });
    let step = |seq| 1 + events.iter().filter(is_confirmed).filter(|event| event.seq < seq).count();
    html! {
        @if trouble.is_empty() {
            p { "Nothing was refused and nothing was said not to be right on the way." }
        } @else {
            h2 { "Not all was right on the way" }
            ol.events { @for event in &trouble { li {
                span.note { (told::time(event.at, &event.zone)) " · " (event.by) }
                " " (told::sentence(event, beside, units)) " " a href=(replay::address(number, step(event.seq))) { "See it in its place" }
            } } }
        }
    }
}

fn ways_on(shop: &Shop, number: RaiseNumber, raise: &Raise, caller: &Caller) -> Markup {
    let lift = &raise.plan.lift;
    let why = told::board::why_unfit(shop, lift, Timestamp::now());
    let left = missing::left_on(shop, lift);
    let is_free = why.is_empty() && left.is_empty();
    html! {
        (super::records::not_whole(shop, &raise.plan.vehicle, caller))
        @if !left.is_empty() {
            section.told.odd { p { strong { (lift) " is taken." } } (missing::told(&left, shop, caller)) }
        }
        @if !why.is_empty() {
            section.told.refused {
                p { strong { (lift) " must not be used now." } }
                ul { @for reason in &why { li { (sheets::words::capital(reason)) "." } } }
                p { a.button href={ "/lift/" (lift) } { "Its record, and what is to be entered" } }
            }
        }
        div.ways-on {
            @if is_free { a.button.main href={ "/plan?lift=" (lift) } { "Plan the next vehicle here" } }
            a.button.main[!is_free] href="/today" { "To the board" }
            a.button href=(replay::address(number, 1)) { "Walk through it step by step" }
        }
    }
}
