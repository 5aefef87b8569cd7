//! A raise walked through as it was: one hold point at a time, its picture, who confirmed it, and what came between.

use ::records::{Book, Event, Fact, HoldPoint, Raise, RaiseNumber, Shop, Subject};
use axum::extract::{Path, Query, State};
use axum::response::Response;
use maud::{Markup, html};
use planner::Plan;
use serde::Deserialize;
use sheets::{Units, units, words};

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::{House, Shared};
use super::plan::placed;
use super::raise::pictures;
use super::shelf;
use crate::told;
use crate::verb::raise as led;

/// Where a step is, counted from 1.
pub(crate) fn address(raise: RaiseNumber, step: usize) -> String {
    format!("/raise/{raise}/replay?step={step}")
}

/// What the address says.
#[derive(Debug, Deserialize)]
pub(crate) struct Address {
    #[serde(default)]
    step: usize,
}

/// A step of the way: a hold point that was confirmed, or what came after the last.
struct Moment<'a> {
    /// The raise as it stood before, led by the check with which the point was confirmed.
    raise: Raise,
    /// Its events until then, the confirmation among them.
    until: &'a [Event],
    /// What happened since the hold point before.
    between: &'a [Event],
    /// The point, and the event that confirmed it.
    confirmed: Option<(HoldPoint, &'a Event)>,
}

/// In order. Nothing if these are no events of a raise.
fn moments(events: &[Event]) -> Vec<Moment<'_>> {
    let Some((_, mut raise)) = events.first().and_then(Raise::begun) else { return vec![] };
    let (mut all, mut since) = (vec![], 0);
    for (k, event) in events.iter().enumerate().skip(1) {
        if let Fact::PointConfirmed { point, .. } = event.fact {
            let (until, between) = (&events[..=k], &events[since..k]);
            raise.check(event);
            all.push(Moment { raise: raise.clone(), until, between, confirmed: Some((point, event)) });
            since = k + 1;
        }
        raise.follow(event);
    }
    let between = &events[since..];
    if !between.is_empty() || raise.progress.next().is_some() {
        all.push(Moment { raise, until: events, between, confirmed: None });
    }
    all
}

/// The events of a raise, and that the book was salvaged while it was under way.
async fn events(book: &Book, shop: &Shop, number: RaiseNumber) -> Result<Vec<Event>, Fault> {
    let mut events = book.events_about(&Subject::Raise(number)).await?;
    let salvaged = shop.salvaged.filter(|seq| {
        let begun = events.first().is_some_and(|first| first.seq < *seq);
        let goes_on = shop.raises.contains_key(&number) || events.last().is_some_and(|last| last.seq > *seq);
        begun && goes_on
    });
    if let Some(seq) = salvaged {
        events.extend(book.event(seq).await?);
        events.sort_by_key(|event| event.seq);
    }
    Ok(events)
}

pub(crate) async fn page(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(Address { step }): Query<Address>,
    caller: Caller,
) -> Result<Response, Fault> {
    let number = RaiseNumber(number);
    let book = house.book().await?;
    let shop = book.shop().await?;
    let events = events(&book, &shop, number).await?;
    let mut all = moments(&events);
    // As it stands now, what is known of the vehicle besides counts.
    if let (Some(now), Some(last)) = (shop.raises.get(&number), all.last_mut())
        && last.confirmed.is_none()
    {
        last.raise = now.clone();
    }
    let step = step.clamp(1, all.len().max(1));
    let Some(moment) = all.get(step - 1) else {
        return Err(Fault::NotFound(format!("There is no raise {number} in the book.")));
    };
    let beside = told::Beside::of(&book, &shop, &events).await?;
    let units = caller.units;
    let lines = |events: &[Event]| {
        html! { ol.events { @for event in events { li { span.note { (when(event)) } " " (told::sentence(event, &beside, units)) } } } }
    };
    let plan = &moment.raise.plan;
    let body = html! {
        p.where { "Raise " (number) ": " strong { (plan.vehicle) } " on " strong { (plan.lift) } @if !plan.job.is_empty() { ", " (plan.job) } ", as it was." }
        (ways(number, step, all.len()))
        section.point.replay {
            div {
                (said(moment, &shop, number, units))
                @if let Some((_, event)) = moment.confirmed { (found(&house, &book, moment, event, units).await?) }
                @if !moment.between.is_empty() {
                    h2 { @if moment.confirmed.is_some() { "Before that" } @else { "After that" } }
                    (lines(moment.between))
                }
            }
            (picture(&house, &book, moment, units).await?)
        }
        details {
            summary { "All " (all.len()) " steps" }
            ol { @for (k, other) in all.iter().enumerate() { li {
                a href=(address(number, k + 1)) aria-current=[(k + 1 == step).then_some("step")] { (title(other, &shop, number, units)) }
                @if other.between.iter().any(is_trouble) { " " strong { "Not all was right before it." } }
            } } }
        }
        p { a href={ "/raise/" (number) } { "To the raise" } }
    };
    let title = format!("Raise {number}, step {step}");
    Ok(Page { title: &title, part: Some(Part::Records), module: Some("replay.js"), body }.of(&caller))
}

/// To the hold point before and to the one after.
fn ways(number: RaiseNumber, step: usize, count: usize) -> Markup {
    html! {
        nav.ways-on aria-label="Steps" {
            @if step > 1 { a.button rel="prev" href=(address(number, step - 1)) { "Step before" } }
            span { "Step " (step) " of " (count) }
            @if step < count { a.button rel="next" href=(address(number, step + 1)) { "Next step" } }
        }
        p.note.live { "The arrow keys lead on, too." }
        progress max=(count) value=(step) aria-label="Steps walked through" {}
    }
}

fn when(event: &Event) -> String {
    let with = event.with.as_ref().map(|with| format!(" with {with}")).unwrap_or_default();
    format!("{} · {}{with}", told::time(event.at, &event.zone), event.by)
}

/// Something that was refused, or said not to be right.
pub(crate) const fn is_trouble(event: &Event) -> bool {
    matches!(
        event.fact,
        Fact::PointRefused { .. }
            | Fact::RaiseUpset { .. }
            | Fact::NotRight { .. }
            | Fact::LockNotHeard { .. }
            | Fact::BroughtDown { .. }
            | Fact::RaiseAbandoned { .. }
            | Fact::IncidentReported { .. }
            | Fact::Salvaged { .. }
    )
}

fn title(moment: &Moment<'_>, shop: &Shop, number: RaiseNumber, units: Units) -> String {
    match moment.confirmed {
        Some((point, _)) => told::raise::sentence(point, &moment.raise.progress.outline, units),
        None if shop.raises.contains_key(&number) => "It is under way.".to_owned(),
        None => "It ended.".to_owned(),
    }
}

/// What was confirmed, by whom and when, and what was to be looked and listened for.
fn said(moment: &Moment<'_>, shop: &Shop, number: RaiseNumber, units: Units) -> Markup {
    let progress = &moment.raise.progress;
    html! {
        h1 { (title(moment, shop, number, units)) }
        @if let Some((point, event)) = moment.confirmed {
            p { "Confirmed by " strong { (event.by) } @if let Some(with) = &event.with { " with " strong { (with) } } ", " (told::time(event.at, &event.zone)) ", event " (event.seq) "." }
            @if let Fact::PointConfirmed { words: Some(words), .. } = &event.fact { p { (told::plain(words)) } }
            ul.look { @for look in told::raise::look_for(point, &progress.outline, told::raise::left_undone(progress).as_deref(), told::raise::gone_to(progress)) { li { (look) } } }
        } @else if shop.raises.contains_key(&number) {
            p { "Next: " @if let Some(next) = progress.next() { (told::raise::sentence(next, &progress.outline, units)) } }
            p { a.button href={ "/raise/" (number) } { "To its next hold point" } }
        }
    }
}

/// What was measured before it was confirmed, beside what the plan says.
async fn found(
    house: &House,
    book: &Book,
    moment: &Moment<'_>,
    event: &Event,
    units: Units,
) -> Result<Markup, Fault> {
    let Fact::PointConfirmed { judged: Some(judged), .. } = &event.fact else { return Ok(html! {}) };
    let record = led::Record::of(book, judged).await?;
    let stood = match (led::measured_there(event), drawn(house, book, moment).await) {
        (Some(_), Ok(drawn)) => drawn.moved.map(|moved| (drawn.worked.plan().placement, moved.placement)),
        _ => None,
    };
    let measured = record.measured();
    Ok(html! {
        h2 { "Checked as it stood" }
        @if !judged.passes { p.moved { (told::FAILED) } }
        @if let Some(least) = judged.least_reserve { p { (words::capital(&units::least_reserve(told::of_thousandths(least)))) "." } }
        @if let Some((plan, stood)) = stood {
            table {
                thead { tr { th { "Measured" } th { "It stood" } th { "Planned" } } }
                tbody {
                    tr { td { "Front wheel ahead of the column line" } td { (units.fine_length(stood.spot)) } td { (units.fine_length(plan.spot)) } }
                    tr { td { "To the left of the middle" } td { (units.fine_length(stood.offset)) } td { (units.fine_length(plan.offset)) } }
                    tr { td { "Turned to the left" } td { (units.angle(stood.yaw)) } td { (units.angle(plan.yaw)) } }
                }
            }
        }
        @if !measured.is_empty() {
            p { "What was measured of the vehicle stood in the place of its file:" }
            ul { @for line in &measured { li { (line) } } }
        }
    })
}

/// The plan of a moment, and the setup in which the vehicle stood then, if that is another.
struct Drawn {
    worked: std::sync::Arc<shelf::Worked>,
    moved: Option<Plan>,
    /// Whether this program plans it as it was planned then.
    is_as_kept: bool,
}

async fn drawn(house: &House, book: &Book, moment: &Moment<'_>) -> Result<Drawn, Fault> {
    let plan = &moment.raise.plan;
    let worked = shelf::worked(house, led::texts(book, plan).await?).await?;
    let is_as_kept = worked.is(plan)?;
    let setup = match led::as_measured_by(book, moment.until).await? {
        Some(text) => Some(text),
        None if is_as_kept => None,
        None => Some(led::setup_of(book, plan).await?),
    };
    let moved = setup.map(|text| worked.checked(&placed::kept(&text)?)).transpose()?;
    Ok(Drawn { worked, moved, is_as_kept })
}

/// As it stood; a kept plan that this program cannot read any more has none.
async fn picture(house: &House, book: &Book, moment: &Moment<'_>, units: Units) -> Result<Markup, Fault> {
    let Some((point, _)) = moment.confirmed else { return Ok(html! {}) };
    let Drawn { worked, moved, is_as_kept } = match drawn(house, book, moment).await {
        Ok(drawn) => drawn,
        Err(fault @ Fault::Broken(_)) => return Err(fault),
        Err(fault) => {
            return Ok(
                html! { section.told.odd { h2 { "No picture" } p { "What this raise was planned from cannot be planned with any more:" } ul { @for why in fault.reasons() { li { (why) } } } } },
            );
        }
    };
    let scene = worked.shown(moved.as_ref());
    Ok(html! {
        div {
            @if point == HoldPoint::StandsSet && is_as_kept { @let scene = worked.scene(); p { (words::stands_placed(&scene, units)) " " (words::stands_ticked(&scene, units)) "." } }
            @for said in told::raise::conditions_at(&scene, point, units) { p { (said) } }
            @if point == HoldPoint::Spotted { p.wheel { span.label { "Front wheel" } strong { (words::spot(&scene, units)) } } }
            (pictures(&scene, &worked.window, point, &moment.raise.progress, units))
            @if !is_as_kept { p.note { "Another program made this plan. Drawn is its setup, by this one." } }
        }
    })
}
