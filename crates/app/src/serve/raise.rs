//! A raise at the tablet: one hold point at a time, what to look and listen for, one big confirm, one as big "not right".

mod beginning;
mod pictured;
mod said;

use axum::Form;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use maud::{Markup, html};
use planner::Plan;
use records::{Act, Event, Fact, HoldPoint, PersonId, Progress, Raise, RaiseNumber, Seq, Shop, Subject};
use serde::Deserialize;
use sheets::{Units, words};

pub(crate) use self::beginning::{Beginning, begin, begun};
pub(crate) use self::pictured::pictures;
pub(crate) use self::said::{Said, Saying, say, seen_now};
use super::acting;
use super::caller::Caller;
use super::ended;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use super::plan::placed;
use super::records::paper::offered;
use super::replay;
use super::shelf;
use crate::paper::record::Which;
use crate::told;
use crate::verb::raise::{self as led, NotRight, Now, SaidAt};
use crate::wire::board as wire;

pub(crate) async fn all(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let body = html! {
        div #board data-live {
            h1 { "Raises under way" }
            @if shop.raises.is_empty() { section.sheet { p.look { "No vehicle is on a lift." } p { a.button.main href="/plan" { "Plan a raise" } } } }
            div.bays {
                @for (number, raise) in &shop.raises {
                    section.bay.taken {
                        h2 { a href={ "/raise/" (number) } { "Raise " (number) } }
                        p { (told::raise::one_line(&told::raise::state(&shop, Timestamp::now(), *number, raise, caller.units, None))) }
                    }
                }
            }
        }
    };
    Ok(Page { title: "Raises", part: Some(Part::Raise), module: None, body }.of(&caller))
}

/// The raise of an address, or what became of it.
pub(crate) async fn page(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(Draft { what, words }): Query<Draft>,
    caller: Caller,
) -> Result<Response, Fault> {
    let said = Said { what, words, ..Said::default() };
    let back = said.is_of_something().then_some(Back { why: None, said: Some(said) });
    answered(&house, RaiseNumber(number), &caller, back).await
}

/// What is not right and not written yet, as somebody had to sign in first.
#[derive(Deserialize)]
#[serde(default)]
#[derive(Default)]
pub(crate) struct Draft {
    what: String,
    words: String,
}

impl Draft {
    /// Where it is filled in, to be written.
    fn address(number: RaiseNumber, said: &Said) -> String {
        let fields = [("what", &said.what), ("words", &said.words)];
        let fields = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
        format!("/raise/{number}?{fields}")
    }
}

/// What was not written: why, if it was just refused, and what was said is not right, which is not lost.
struct Back {
    why: Option<Fault>,
    said: Option<Said>,
}

/// The page as it is now, with what was just refused.
async fn answered(
    house: &Shared,
    number: RaiseNumber,
    caller: &Caller,
    back: Option<Back>,
) -> Result<Response, Fault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let events = book.events_about(&Subject::Raise(number)).await?;
    if events.is_empty() {
        return Err(Fault::NotFound(format!("There is no raise {number} in the book.")));
    }
    let beside = told::Beside::of(&book, &shop, &events).await?;
    let why = back.as_ref().and_then(|back| back.why.as_ref());
    let (told, status) = (why.map(Fault::told), why.map_or(axum::http::StatusCode::OK, Fault::status));
    let said = back.and_then(|back| back.said).unwrap_or_default();
    let is_draft = told.is_none() && said.is_of_something();
    let at = if is_draft { Draft::address(number, &said) } else { format!("/raise/{number}") };
    let (body, module) = match shop.raises.get(&number) {
        Some(raise) => (
            shown(house, &shop, (number, raise), &events, caller, (&said, is_draft)).await?,
            Some("raise.js"),
        ),
        None => (ended::shown(&shop, number, &events, &beside, caller), None),
    };
    let own = shop.raises.get(&number).and_then(|raise| said_of_late(&shop, &events, &raise.leader));
    let own = own.map(|event| told::sentence(event, &beside, caller.units));
    let body = html! {
        div #raise data-at=(at) {
            @if let Some(told) = told { (told) }
            @if let Some(own) = own { p.moved role="status" { "Written down: “" (own) "”." } }
            @if is_draft { @if let Some(raise) = shop.raises.get(&number) { (not_written(number, raise, &said)) } }
            @if said.is_of_something() && !shop.raises.contains_key(&number) {
                section.told.refused { p { "What was said, and is not in the book: " (told_again(&said, false)) } p { a.button href="/enter/defect" { "Report it as a defect of the lift" } } }
            }
            (body)
            @if shop.raises.contains_key(&number) {
                p { a href=(replay::address(number, 1)) { "What was done so far, step by step" } }
            }
            (offered(&book, &shop, Which::Raise(number.0), "As it was done, as PDF").await?)
            (history(&shop, &events, &beside, caller.units))
        }
    };
    let title = format!("Raise {number}");
    Ok((status, Page { title: &title, part: Some(Part::Raise), module, body }.of(caller)).into_response())
}

/// What who leads it said is not right since a point was confirmed last; what others said is told with the point.
fn said_of_late<'a>(shop: &Shop, events: &'a [Event], leader: &PersonId) -> Option<&'a Event> {
    let is_said = |fact: &Fact| matches!(fact, Fact::RaiseUpset { .. } | Fact::NotRight { .. });
    let late = events.iter().rev().take_while(|event| !matches!(event.fact, Fact::PointConfirmed { .. }));
    let mut own = late.filter(|event| event.by == *leader && is_said(&event.fact));
    own.find(|event| !shop.corrected.contains_key(&event.seq))
}

async fn shown(
    house: &Shared,
    shop: &Shop,
    (number, raise): (RaiseNumber, &Raise),
    events: &[Event],
    caller: &Caller,
    (said, is_draft): (&Said, bool),
) -> Result<Markup, Fault> {
    let checked = Now::of(&*house.book().await?, number, raise, caller.units).await?;
    let (raise, seen) = (&checked.raise, raise.seen());
    let state = told::raise::state(shop, Timestamp::now(), number, raise, caller.units, Some(&checked.fails));
    let is_held_up = !state.held_up.is_empty();
    // What is held up is not drawn as it would be, with people under it.
    let is_next = !state.waits;
    let Some(next) = raise.progress.next() else { return Ok(html! {}) };
    let worked = shelf::worked(house, led::texts(&*house.book().await?, &raise.plan).await?).await?;
    let measured_place = match led::as_measured(&*house.book().await?, number).await? {
        Some(text) => Some(worked.checked(&placed::kept(&text)?)?),
        None => None,
    };
    let scene = checked.scene().unwrap_or_else(|| worked.shown(measured_place.as_ref()));
    let wrote = led::wrote_since(&*house.book().await?, number, raise, caller.units).await?;
    let done = raise.progress.done.len();
    let ahead = raise.progress.ahead.len();
    Ok(html! {
        div.now {
            p.where { strong { (raise.plan.vehicle) } " on " strong { (raise.plan.lift) } ", led by " (raise.leader) ". It is " (state.it_is) "." }
            @if let Some(said) = told::raise::other_limits(&state) { p.moved { "Caution: " (said) "." } }
            @if raise.progress.going_down {
                @match why_down(shop, events) {
                    Some(why) => { p.work-now { (why) } },
                    None => { p.moved { "Only the way down is left." } },
                }
            }
            @if let Some((held, others)) = told::raise::held(&state) {
                p.moved { strong { (held) } " " (told::raise::held_means(&state)) ". " @if !others.is_empty() { a href="#held-by" { "All that holds it up" } ". " } a href={ "/lift/" (raise.plan.lift) } { "What is to be mended, and entered then" } @if state.may_be_done_already { " " (told::raise::ALREADY) "." } }
            }
            @for wrote in &wrote { p.moved { (wrote) } }
            @for lost in told::raise::lost(&raise.progress) { p.moved { (lost) } }
            @for found in told::raise::found_as(raise) { p.moved { (found) } }
            progress max=(done + ahead) value=(done) aria-label="Hold points confirmed" {}
            @if let Some(asked) = told::raise::refused_before(&raise.progress, is_held_up) { p.moved { (asked) } }
            @for caution in told::raise::cautions(shop, Timestamp::now(), raise, &checked.fails) { p.moved { (caution) } }
            @for now in told::raise::work_now(&raise.progress, is_held_up) { p.work-now { (now) } }
            section.point.held[state.waits] {
                div {
                    p.label { "Hold point " (done + 1) " of " (done + ahead) }
                    // Where the focus goes when the point is shown.
                    @let sentence = told::raise::sentence(next, &raise.progress.outline, caller.units);
                    @if state.waits {
                        h1 tabindex="-1" { (Held::of(&state).heading) }
                        p.look { "Held up: “" (sentence) "”" }
                    } @else {
                        h1 tabindex="-1" { (sentence) }
                    }
                    @if next == HoldPoint::Spotted && is_next {
                        p.wheel { span.label { "Front wheel" } strong { (words::spot(&scene, caller.units)) } span.stance { (words::capital(&words::stance(&scene, caller.units))) "." } }
                    }
                    @if next == HoldPoint::StandsSet && is_next { p.wheel { (words::stands_placed(&scene, caller.units)) " " strong { (words::stands_ticked(&scene, caller.units)) "." } } }
                    @if is_next { @if let Some(said) = told::raise::stands_left_alone(&scene, &raise.progress, caller.units) { p.moved { (said) } } }
                    @if is_next { @for said in told::raise::conditions_at(&scene, next, caller.units) { p.moved { (said) } } }
                    ul.look { @for look in told::raise::looks(&raise.progress, state.waits) { li { (look) } } }
                }
                @if is_next { (pictures(&scene, &worked.window, next, &raise.progress, caller.units)) }
                div.acts {
                    @if !is_draft { (asks(shop, caller, raise, &state, next, seen)) }
                    a.button.big.not-right href="#not-right" { "Not right" }
                }
            }
        }
        @if state.held_up.len() > 1 {
            section #held-by {
                h2 { "All that holds it up" }
                ul { @for why in &state.held_up { li { (words::capital(why)) "." } } }
            }
        }
        @let leads = caller.person() == Some(&raise.leader);
        @if is_next && leads && caller.is_offered(shop, Act::Raise) && (next == HoldPoint::Spotted || raise.progress.asks_what_was_changed()) { (measured(shop, caller, number, seen, worked.plan())) }
        section #not-right {
            h2 { "Not right" }
            (not_right(number, seen, &raise.progress, said))
        }
        @if caller.is_offered(shop, Act::AbandonRaise) {
            details {
                summary { "End it out of its course" }
                form.sheet method="post" action={ "/raise/" (number) "/abandon" } data-once {
                    input type="hidden" name="seen" value=(seen);
                    label { "Why, and how the vehicle and the lift are now" textarea name="words" required rows="2" {} }
                    (beside(shop, caller, Act::AbandonRaise))
                    button { "End it" }
                }
            }
        }
        details {
            summary { "What comes after: " (ahead.saturating_sub(1)) }
            ol { @for point in state.ahead.iter().skip(1) { li { (point.sentence) } } }
        }
    })
}

/// What was said when nothing but the way down was left; nothing where its course came to that.
fn why_down(shop: &Shop, events: &[Event]) -> Option<String> {
    let counts = events.iter().rev().filter(|event| !shop.corrected.contains_key(&event.seq));
    counts
        .filter_map(|event| {
            let (what, words, then) = match &event.fact {
                Fact::LockNotHeard { words, .. } => {
                    ("A lock was not heard", words, "Nobody goes under it: only the way down is left.")
                }
                Fact::BroughtDown { words, .. } => {
                    ("It is brought down before its time", words, "Only the way down is left.")
                }
                _ => return None,
            };
            let words = words.trim();
            let stop = if words.ends_with(['.', '!', '?']) { "" } else { "." };
            Some(format!("{what}, {} says: “{words}”{stop} {then}", event.by))
        })
        .next()
}

/// The confirm button, or why whoever is here cannot press it.
fn asks(
    shop: &Shop,
    caller: &Caller,
    raise: &Raise,
    state: &wire::Raise,
    next: HoldPoint,
    seen: Seq,
) -> Markup {
    let number = state.raise;
    let Some(person) = caller.person() else {
        return html! { p { a.button.main.big href=(super::sign_in::address(&caller.at)) { "Sign in to confirm" } } };
    };
    let leads = *person == raise.leader;
    let waits = state.waits;
    // Above the buttons, so that these stay alike.
    let second = html! { @if told::raise::needs_second(shop, raise, person) { (acting::second_of(shop, Act::Raise, Some(CONFIRM))) } };
    if !leads || waits {
        return html! {
            @if waits { (end_held(state, seen)) }
            @if waits && leads && state.may_be_done_already {
                (second)
                (confirming(number, next, seen, Some("It is off or on already: how it is now")))
            }
            @if !leads {
                p { span.name { (raise.leader) } " leads this raise." }
                @if caller.is_offered(shop, Act::Raise) {
                    (second)
                    form.confirm #(CONFIRM) method="post" action={ "/raise/" (number) "/take-over" } data-once {
                        input type="hidden" name="seen" value=(seen);
                        button.big.main[!waits] { span { "Take it over as " span.name { (person) } } }
                    }
                }
            }
        };
    }
    let asked = raise.progress.asks_what_was_changed();
    let asked = asked.then_some("What was changed since it was measured and refused");
    html! { (second) (confirming(state.raise, next, seen, asked)) }
}

/// What is said of a raise whose next point waits, by where the vehicle is.
struct Held {
    heading: &'static str,
    why: &'static str,
    act: &'static str,
}

impl Held {
    fn of(state: &wire::Raise) -> Self {
        let ends = |heading| Self { heading, why: "Why the raise is ended", act: "End the raise" };
        match state.position {
            "away" => ends("Nothing is driven on."),
            "floor" => ends("It stays on the floor."),
            _ => Self { heading: "Bring it down.", why: "Why it is brought down", act: "Bring it down" },
        }
    }
}

/// The one thing that is done with what is held up, by whoever stands there.
fn end_held(state: &wire::Raise, seen: Seq) -> Markup {
    let Held { why, act, .. } = Held::of(state);
    html! {
        form method="post" action={ "/raise/" (state.raise) "/not-right" } data-once {
            input type="hidden" name="seen" value=(seen);
            input type="hidden" name="what" value="down";
            label { (why) textarea name="words" rows="2" { (state.held_up.first().map_or("", String::as_str)) } }
            button.main.big { (act) }
        }
    }
}

/// The fields of whoever stands beside, where somebody does not do it alone.
fn beside(shop: &Shop, caller: &Caller, act: Act) -> Markup {
    html! { @if acting::needs_second(shop, caller, act) { (acting::second(shop, act)) } }
}

/// The form that confirms, or takes over.
const CONFIRM: &str = "confirm";

/// The button, with the words that are asked with it.
fn confirming(number: u64, next: HoldPoint, seen: Seq, asked: Option<&str>) -> Markup {
    html! {
        form.confirm #(CONFIRM) method="post" action={ "/raise/" (number) "/confirm" } data-once {
            input type="hidden" name="point" value=(next);
            input type="hidden" name="seen" value=(seen);
            @if let Some(asked) = asked {
                label { (asked) textarea name="words" required rows="2" {} }
            } @else if next == HoldPoint::StandsSet {
                label { "The load that was read on the scale, of each stand, " (led::WRITTEN) input name="words" required; }
            }
            button.main.big { "Confirm" }
        }
    }
}

/// Spot, offset and yaw as found with a tape.
fn measured(shop: &Shop, caller: &Caller, number: RaiseNumber, seen: Seq, plan: &Plan) -> Markup {
    let units = caller.units;
    let placement = &plan.placement;
    html! {
        details {
            summary { "It stands elsewhere: check the plan as it stands" }
            form method="post" action={ "/raise/" (number) "/measured" } data-once {
                input type="hidden" name="seen" value=(seen);
                label { "Front wheel ahead of the column line" input name="spot" required value=(units.fine_length(placement.spot)); }
                label { "To the left of the middle" input name="offset" required value=(units.fine_length(placement.offset)); }
                label { "Turned to the left" input name="yaw" required value="0 deg"; }
                (beside(shop, caller, Act::Raise))
                button.main { "Check, and confirm if it holds" }
            }
        }
    }
}

/// What was said and not written, above the point.
fn not_written(number: RaiseNumber, raise: &Raise, said: &Said) -> Markup {
    let again =
        said.not_right().filter(|what| NotRight::offered(&raise.progress).any(|(one, _)| one == *what));
    html! {
        section.told.refused role="alert" {
            h2 { "Not written yet" }
            p { "What you said is not right was not written, as nobody was signed in: " (told_again(said, raise.progress.is_up())) " Nothing is confirmed before it is written down or dropped." }
            p {
                @match again {
                    Some(what) => { button.main.big form=(NOT_RIGHT) name="what" value=(what.name()) formnovalidate[!what.needs_words()] { "Write it down" } },
                    None => { a.button.main href="#not-right" { "To “Not right”" } },
                }
            }
            p { a.button href={ "/raise/" (number) } { "Drop it" } }
        }
    }
}

/// What was chosen and what was written, as sentences.
fn told_again(said: &Said, is_up: bool) -> Markup {
    html! {
        @if let Some(what) = said.not_right() { (words::capital(what.title(is_up))) ". " }
        @if !said.words.trim().is_empty() { "“" (said.words) "”. " }
    }
}

/// The form of what is not right.
const NOT_RIGHT: &str = "said-not-right";

/// Each choice acts at once, with or without words, but the one that says nothing by itself.
fn not_right(number: RaiseNumber, seen: Seq, progress: &Progress, said: &Said) -> Markup {
    html! {
        form.sheet #(NOT_RIGHT) method="post" action={ "/raise/" (number) "/not-right" } data-once data-back[!said.words.is_empty()] {
            input type="hidden" name="seen" value=(seen);
            label { "What was heard, seen or decided, if there is time for words" textarea name="words" required rows="2" { (said.words) } }
            div.signs {
                @for (what, then) in NotRight::offered(progress) {
                    button.big name="what" value=(what.name()) formnovalidate[!what.needs_words()] {
                        strong { (words::capital(what.title(progress.is_up()))) @if what.needs_words() { ", in words" } "." } " " span { (words::capital(then)) "." }
                    }
                }
            }
        }
    }
}

fn history(shop: &Shop, events: &[Event], beside: &told::Beside, units: Units) -> Markup {
    html! {
        details {
            summary { "What happened: " (events.len()) }
            ol.events {
                @for event in events {
                    li.struck[shop.corrected.contains_key(&event.seq)] {
                        span.note { (told::time(event.at, &event.zone)) " · " (event.by) @if let Some(with) = &event.with { " with " (with) } }
                        " " (told::sentence(event, beside, units))
                    }
                }
            }
        }
    }
}

/// The same from a page, which is shown again as it is then.
pub(crate) async fn said(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    caller: Caller,
    Form(said): Form<Said>,
    saying: Saying,
) -> Result<Response, Fault> {
    let number = RaiseNumber(number);
    match say(&house, number, &caller, (saying, SaidAt::Page), &said).await {
        Ok(()) => Ok(Redirect::to(&format!("/raise/{number}")).into_response()),
        Err(why) => {
            let said = Some(said).filter(|_| matches!(saying, Saying::NotRight));
            answered(&house, number, &caller, Some(Back { why: Some(why), said })).await
        }
    }
}
