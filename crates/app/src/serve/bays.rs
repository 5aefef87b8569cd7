//! Which bay takes a vehicle: every bay's answer, the best first.

use std::cmp::Ordering;
use std::num::NonZeroUsize;

use axum::Json;
use axum::extract::State;
use futures_util::stream::{self, StreamExt, TryStreamExt};
use jiff::Timestamp;
use maud::{Markup, html};
use planner::plan::Verdict;
use records::Hall;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheets::{Scene, Units, units, words};

use super::caller::Caller;
use super::fault::{ApiFault, Fault};
use super::house::{House, Shared};
use super::plan;
use super::shelf::{self, Asked};
use crate::convert;
use crate::told;
use crate::wire::{self, board::BoardLift};

/// Name and version of the answer.
const CONTRACT: &str = "standfast/bays/1";

/// What is to be raised.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Question {
    /// The vehicle, by its name in the book.
    pub(crate) vehicle: String,
    /// The job; empty = raised and lowered only.
    #[serde(default)]
    pub(crate) job: String,
    /// The lift that was pointed at: it is told first.
    #[serde(default)]
    pub(crate) on: String,
}

/// What every bay says to it.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Answer {
    /// Name and version of this form.
    contract: &'static str,
    /// Every lift of the shop, the best first.
    bays: Vec<Bay>,
    /// The vehicle and the job that were asked for, in words.
    asked: String,
    /// The same as the page shows it.
    told: String,
}

/// What one bay says.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Bay {
    /// The lift, by its name in the book.
    pub(crate) lift: String,
    /// Where it stands.
    bay: String,
    /// Whether it is the best of those that are free.
    best: bool,
    /// Whether the lift may be used now; if not, no plan is offered, and `why` says whether the vehicle would fit.
    pub(crate) may_be_used: bool,
    /// The raise that is on it.
    taken_by: Option<u64>,
    /// Why nothing is raised there by that plan now: raises of the vehicle elsewhere, and what raises left behind.
    in_the_way: Vec<String>,
    /// May it be raised there; nothing = there is no plan.
    verdict: Option<wire::plan::Verdict>,
    /// Least reserve.
    reserve: Option<f64>,
    /// The check that holds it, or that forbids it.
    check: Option<String>,
    /// Where that plan is among the pages.
    pub(crate) plan: Option<String>,
    /// In a few words.
    pub(crate) short: String,
    /// Least reserve and its check, or the first reason; before it every reason why the lift may not be used.
    why: Vec<String>,
}

/// How a bay stands to a vehicle, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Raise,
    UnderConditions,
    Taken,
    Refused,
    Out,
}

pub(crate) async fn asked(
    State(house): State<Shared>,
    caller: Caller,
    Json(question): Json<Question>,
) -> Result<Json<Answer>, ApiFault> {
    let bays = all(&house, &question, caller.units).await?;
    let told = told(&bays, &question).into_string();
    Ok(Json(Answer { contract: CONTRACT, bays, asked: question.in_words(), told }))
}

/// Every bay's answer, the best first.
pub(crate) async fn all(house: &House, question: &Question, units: Units) -> Result<Vec<Bay>, Fault> {
    let shop = house.book().await?.shop().await?;
    let board = told::board::board(&shop, Timestamp::now());
    // Planning keeps a core busy: no more at once than there are.
    let cores = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let answers: Vec<_> = board.lifts.iter().map(|lift| of(house, &shop, question, lift, units)).collect();
    let mut ranked: Vec<Ranked> = stream::iter(answers).buffered(cores).try_collect().await?;
    ranked.sort_by(Ranked::first_the_better);
    if let Some(first) = ranked.first_mut() {
        first.bay.best = first.rank <= Rank::UnderConditions;
    }
    Ok(ranked.into_iter().map(|ranked| ranked.bay).collect())
}

/// A bay's answer with its place among the others.
struct Ranked {
    rank: Rank,
    reserve: f64,
    bay: Bay,
}

impl Ranked {
    fn first_the_better(&self, other: &Self) -> Ordering {
        self.rank.cmp(&other.rank).then(other.reserve.total_cmp(&self.reserve))
    }
}

async fn of(
    house: &House,
    shop: &Hall,
    question: &Question,
    lift: &BoardLift,
    units: Units,
) -> Result<Ranked, Fault> {
    let bay = Bay {
        lift: lift.lift.clone(),
        bay: lift.bay.clone(),
        best: false,
        may_be_used: lift.fit,
        taken_by: lift.raise,
        in_the_way: vec![],
        verdict: None,
        reserve: None,
        check: None,
        plan: None,
        short: "Must not be used".into(),
        why: lift.why_not.iter().map(|why| format!("{}.", words::capital(why))).collect(),
    };
    let asked = question.at(&lift.lift);
    let worked = shelf::worked(house, shelf::texts(house, &asked).await?).await;
    Ok(match worked {
        worked if !lift.fit => {
            let would = match worked {
                Ok(worked) => would(&worked.scene(), units),
                Err(fault) => format!("No plan can be made: {}", fault.reasons().join(" ")),
            };
            let why = bay.why.iter().cloned().chain([would]).collect();
            Ranked { rank: Rank::Out, reserve: 0.0, bay: Bay { why, ..bay } }
        }
        Ok(worked) => {
            let in_the_way = shelf::in_the_way(shop, &asked, &worked.scene());
            let bay = Bay { plan: Some(plan::address(&asked)), in_the_way, ..bay };
            planned(&worked.scene(), bay, units)
        }
        Err(fault) => {
            let bay = Bay { short: "No plan can be made".into(), why: fault.reasons(), ..bay };
            Ranked { rank: Rank::Refused, reserve: f64::NEG_INFINITY, bay }
        }
    })
}

/// The check that decides, or the first reason against it.
fn because(scene: &Scene<'_>, units: Units) -> String {
    let (what, check) = words::deciding(scene);
    let (reserve, title) = (units::reserve(check.reserve), words::title_in_state(scene, check));
    let [demand, limit] = words::figures(check, units);
    let first = words::refusals(scene).first().map(|reason| reason.sentence(scene, units));
    first.filter(|_| scene.plan.verdict == Verdict::DoNotRaise).unwrap_or_else(|| {
        format!("{what} {reserve}: {title}, {demand}, {} {limit}.", units::sense(check.sense))
    })
}

fn conditions(scene: &Scene<'_>) -> String {
    let many = words::conditions(scene).len();
    if many == 1 { "1 condition".into() } else { format!("{many} conditions") }
}

/// What a lift would say to it that must not be used now.
fn would(scene: &Scene<'_>, units: Units) -> String {
    let fits = match scene.plan.verdict {
        Verdict::Raise => "It would fit".into(),
        Verdict::RaiseWithConditions => format!("It would fit under {}", conditions(scene)),
        Verdict::DoNotRaise => "It would not fit".into(),
    };
    format!("{fits}: {}", because(scene, units))
}

fn planned(scene: &Scene<'_>, bay: Bay, units: Units) -> Ranked {
    let (_, check) = words::deciding(scene);
    let (reserve, why) = (units::reserve(check.reserve), because(scene, units));
    let (rank, short) = match scene.plan.verdict {
        Verdict::Raise => (Rank::Raise, format!("Takes it, {reserve} in reserve")),
        Verdict::RaiseWithConditions => {
            let conditions = conditions(scene);
            (Rank::UnderConditions, format!("Takes it under {conditions}, {reserve} in reserve"))
        }
        Verdict::DoNotRaise => (Rank::Refused, "Does not take it".into()),
    };
    let (rank, short, why) = match bay.taken_by {
        Some(raise) if rank < Rank::Taken => {
            let once_free = format!("Once it is free: {short}.");
            (Rank::Taken, format!("Taken by raise {raise}"), vec![once_free, why])
        }
        None if rank < Rank::Taken && !bay.in_the_way.is_empty() => {
            (Rank::Taken, "Not now".into(), bay.in_the_way.iter().cloned().chain([why]).collect())
        }
        _ => (rank, short, vec![why]),
    };
    let bay = Bay {
        verdict: Some(convert::plan::verdict(scene.plan.verdict)),
        reserve: Some(check.reserve),
        check: Some(check.what.id()),
        short,
        why,
        ..bay
    };
    Ranked { rank, reserve: check.reserve, bay }
}

impl Question {
    /// The vehicle, and the job if there is one.
    pub(crate) fn in_words(&self) -> String {
        let Self { vehicle, job, .. } = self;
        if job.is_empty() { vehicle.clone() } else { format!("{vehicle}, {job}") }
    }

    fn at(&self, lift: &str) -> Asked {
        Asked { lift: lift.to_owned(), vehicle: self.vehicle.clone(), job: self.job.clone() }
    }
}

impl Bay {
    /// How it is marked: its colour and, for whoever sees none, its sign.
    pub(crate) const fn marked(&self) -> (&'static str, &'static str) {
        match self.verdict {
            Some(_) if self.is_held() => ("conditions", "■"),
            Some(_) if !self.in_the_way.is_empty() => ("refused", "✕"),
            Some(wire::plan::Verdict::Raise) => ("raise", "✓"),
            Some(wire::plan::Verdict::RaiseWithConditions) => ("conditions", "!"),
            Some(wire::plan::Verdict::DoNotRaise) | None => ("refused", "✕"),
        }
    }
}

impl Bay {
    /// Whether it would take the vehicle, if another were not on it.
    const fn is_held(&self) -> bool {
        self.taken_by.is_some()
            && matches!(
                self.verdict,
                Some(wire::plan::Verdict::Raise | wire::plan::Verdict::RaiseWithConditions)
            )
    }

    /// In a few words, with the way to the raise that is on it.
    fn said(&self) -> Markup {
        html! {
            @match self.taken_by {
                Some(raise) if self.is_held() => { "Taken by " a href={ "/raise/" (raise) } { "raise " (raise) } },
                _ => { (self.short) },
            }
        }
    }
}

/// The answer: the bay that was pointed at, the best, then all of them.
pub(crate) fn told(bays: &[Bay], question: &Question) -> Markup {
    let on = bays.iter().find(|bay| bay.lift == question.on);
    let best = bays.iter().find(|bay| bay.best);
    html! {
        h2 { "Which bay takes " (question.vehicle) @if !question.job.is_empty() { " for " (question.job) } "?" }
        @if let Some(on) = on { (headline(on)) }
        @match best {
            None => { p.moved { "No bay that is free and may be used takes it." } }
            Some(best) if on.is_none_or(|on| on.lift != best.lift) => {
                p { "The best bay is " strong { (best.bay) } "." }
            }
            Some(_) => { @if on.is_some() { p.note { "It is the best bay." } } }
        }
        ol.fits { @for bay in bays { (card(bay)) } }
    }
}

fn headline(bay: &Bay) -> Markup {
    let (kind, sign) = bay.marked();
    html! {
        section.verdict.(kind) { span.sign aria-hidden="true" { (sign) } p { strong { (bay.bay) ": " (bay.said()) } } }
    }
}

fn card(bay: &Bay) -> Markup {
    let (kind, sign) = bay.marked();
    html! {
        li.(kind) {
            h3 { (bay.bay) @if bay.best { span.best { "The best bay" } } }
            p.state { span aria-hidden="true" { (sign) } " " (bay.said()) }
            @if let (Some(raise), false) = (bay.taken_by, bay.is_held()) { p { "Taken now by " a href={ "/raise/" (raise) } { "raise " (raise) } "." } }
            @for why in &bay.why { p.note { (why) } }
            @if let Some(plan) = &bay.plan { a.button.main[bay.best] href=(plan) { "Plan in " (bay.bay) } }
        }
    }
}
