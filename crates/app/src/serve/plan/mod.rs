//! The page of a plan: bay, vehicle and job picked, the answer in the first screenful, everything else one step away.

pub(crate) mod api;
pub(crate) mod kept;
pub(crate) mod placed;
pub(crate) mod printed;
mod states;
mod told;

use std::collections::BTreeMap;

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use records::Act;
use serde::{Deserialize, Serialize};

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use super::measure::quick;
use super::shelf::{self, Asked, Choice, Choices};
use placed::Moved;
use told::View;
pub(crate) use told::{arm, by_arm};

/// What the address of a plan says.
#[derive(Clone, Debug, Default, Deserialize, Serialize)]
pub(crate) struct Address {
    #[serde(default)]
    pub(crate) lift: String,
    #[serde(default)]
    pub(crate) vehicle: String,
    #[serde(default)]
    pub(crate) job: String,
    /// Which state of the job is shown, counted from 0.
    #[serde(default)]
    pub(crate) state: String,
    /// Where somebody put vehicle and pads, if not as planned.
    #[serde(flatten)]
    pub(crate) moved: Moved,
}

impl Address {
    /// Nothing picked yet = the first of each.
    fn asked(&self, choices: &Choices) -> Option<Asked> {
        let or_first = |said: &str, all: &[Choice]| {
            if said.is_empty() { all.first().map(|c| c.id.clone()) } else { Some(said.to_owned()) }
        };
        Some(Asked {
            lift: or_first(&self.lift, &choices.lifts)?,
            vehicle: or_first(&self.vehicle, &choices.vehicles)?,
            job: self.job.clone(),
        })
    }
}

pub(crate) async fn page(
    State(house): State<Shared>,
    Query(mut address): Query<Address>,
    Query(fields): Query<BTreeMap<String, String>>,
    caller: Caller,
) -> Result<Response, Fault> {
    let choices = shelf::choices(&house).await?;
    if let Some(named) = quick::name(&fields) {
        address.vehicle = named;
    }
    let sought = fields.get("find").map(|find| find.trim()).filter(|find| !find.is_empty());
    let found = sought.map(|sought| choices.found(sought));
    if let Some([one]) = found.as_deref() {
        address.vehicle.clone_from(&one.id);
    }
    let shop = house.shop().await?;
    let keeps = shop.as_ref().is_none_or(|shop| caller.is_offered(shop, Act::EnterVehicle));
    let unclear = found.as_ref().is_some_and(|found| found.len() != 1);
    let asked = address.asked(&choices);
    let answer = match &asked {
        Some(_) if unclear => Ok(html! {}),
        Some(asked) => answer(&house, asked, &address, &caller).await,
        None => Ok(html! {}),
    };
    let (status, answer) = match answer {
        Ok(answer) => (axum::http::StatusCode::OK, answer),
        Err(fault) => {
            let told = fault.told();
            (fault.into_response().status(), told)
        }
    };
    let body = html! {
        div.picks {
            (pick(&choices, asked.as_ref(), (sought, found.as_deref().unwrap_or_default()), address.vehicle.is_empty() || unclear))
            a.button href="#by-figures" { "By its figures" }
        }
        @if let (Some(found), Some(sought)) = (&found, sought) { (finds(found, sought, &address, keeps)) }
        @if !unclear { (answer) }
        (by_figures(&address, asked.as_ref(), &caller, keeps))
    };
    let page = Page { title: "Plan", part: Some(Part::Plan), module: Some("plan.js"), body }.of(&caller);
    Ok((status, page).into_response())
}

/// What was found, where it is not one vehicle.
fn finds(found: &[&Choice], sought: &str, address: &Address, keeps: bool) -> Markup {
    let to = |choice: &Choice| {
        let asked =
            Asked { lift: address.lift.clone(), vehicle: choice.id.clone(), job: address.job.clone() };
        told::address(&asked, &Moved::default())
    };
    html! {
        @match found {
            [] => {
                section.told.odd {
                    p { "No vehicle here has “" (sought) "” in its mark." }
                    p { @if keeps { a.button href="/measure/vehicle" { "Measure it" } " or enter the few figures below." } @else { "Enter the few figures below." } }
                }
            },
            [_] => {},
            several => {
                section { h2 { "Which of these?" } ul.forms { @for choice in several { li { a.button href=(to(choice)) { (choice.name) } } } } }
            },
        }
    }
}

/// A vehicle that nobody entered: the few figures that are enough.
fn by_figures(address: &Address, asked: Option<&Asked>, caller: &Caller, keeps: bool) -> Markup {
    let lift = asked.map_or(address.lift.as_str(), |asked| asked.lift.as_str());
    quick::form(lift, &address.job, &quick::fields(&address.vehicle).unwrap_or_default(), caller.units, keeps)
}

/// Vehicles that are offered to be picked; of more, those that were found by their mark.
const OFFERED: usize = 30;

/// Bay, vehicle, job: in a line once they are picked, to be opened.
fn pick(
    choices: &Choices,
    asked: Option<&Asked>,
    (sought, found): (Option<&str>, &[&Choice]),
    open: bool,
) -> Markup {
    let picked = asked.map(|asked| asked.vehicle.as_str());
    let few = choices.vehicles.len() <= OFFERED;
    let narrowed = |choice: &&Choice| {
        few || picked == Some(choice.id.as_str()) || found.iter().any(|one| one.id == choice.id)
    };
    let mut vehicles: Vec<Choice> = choices.vehicles.iter().filter(narrowed).cloned().collect();
    if !few && found.is_empty() {
        let others = choices.vehicles.iter().filter(|choice| picked != Some(choice.id.as_str()));
        vehicles.extend(others.take(OFFERED).cloned());
    }
    let left = choices.vehicles.len() - vehicles.len();
    // What was asked for by its name stays picked, though it is not among those that are offered.
    let mut jobs = choices.jobs.clone();
    if let Some(asked) = asked.filter(|asked| !asked.job.is_empty())
        && !jobs.iter().any(|job| job.id == asked.job)
    {
        jobs.push(Choice { id: asked.job.clone(), name: asked.job.clone() });
    }
    let named = |all: &[Choice], id: &str, none: &str| {
        let name = all.iter().find(|choice| choice.id == id).map(|choice| choice.name.clone());
        name.unwrap_or_else(|| if id.is_empty() { none.to_owned() } else { id.to_owned() })
    };
    let select = |name: &str, label: &str, all: &[Choice], picked: Option<&str>, none: Option<&str>| {
        html! {
            label { (label)
                select name=(name) {
                    @if let Some(none) = none { option value="" { (none) } }
                    @for choice in all {
                        option value=(choice.id) selected[picked == Some(choice.id.as_str())] { (choice.name) }
                    }
                }
            }
        }
    };
    html! {
        details.picked open[open] {
        summary {
            @if let Some(asked) = asked {
                span.what { strong { (if asked.is_quick() { "By its figures".into() } else { named(&choices.vehicles, &asked.vehicle, "") }) }
                " in " strong { (named(&choices.lifts, &asked.lift, "")) } ", "
                (named(&choices.jobs, &asked.job, "raise and lower only")) }
            }
            span.change { "Change" }
        }
        form.pick method="get" action="/plan" {
            (select("lift", "Bay", &choices.lifts, asked.map(|a| a.lift.as_str()), None))
            (select("vehicle", "Vehicle", &vehicles, picked, asked.is_some_and(Asked::is_quick).then_some("by its figures, below")))
            label { "Or find it by its mark" input type="search" name="find" list="marks" autocomplete="off" value=[sought] placeholder="fleet number, plate, VIN"; }
            datalist id="marks" { @for choice in &vehicles { option value=(choice.name) {} } }
            (select("job", "Job", &jobs, asked.map(|a| a.job.as_str()), Some("raise and lower only")))
            button.main { "Plan" }
            p.note { a href="#by-figures" { "A vehicle that is not in the book: by its figures" } }
            @if left > 0 { p.note { (left) " more vehicles: type a part of the mark, and those that have it are offered." } }
            @if !choices.invented.is_empty() {
                p.note { "The book holds no " (choices.invented.join(" and no ")) " yet: those here are an invented workshop's." }
            }
        }
        }
    }
}

async fn answer(house: &Shared, asked: &Asked, address: &Address, caller: &Caller) -> Result<Markup, Fault> {
    let texts = shelf::texts(house, asked).await?;
    let made_from = shelf::made_from(&texts);
    let worked = shelf::worked(house, texts).await?;
    let found = address.moved.checked(&worked)?;
    let shop = house.shop().await?;
    let scene = worked.shown(found.as_ref());
    let view = View::new(scene, Some(asked), caller, shop.as_ref()).made_from(made_from);
    Ok(told::whole(&view, &worked, asked, address.state.parse().unwrap_or(0)))
}

/// Where the plan of these is.
pub(crate) fn address(asked: &Asked) -> String {
    told::address(asked, &Moved::default())
}

/// Which figure of which plan.
#[derive(Debug, Deserialize)]
pub(crate) struct Figure {
    check: String,
    #[serde(flatten)]
    plan: Address,
}

pub(crate) async fn working(
    State(house): State<Shared>,
    Query(figure): Query<Figure>,
    caller: Caller,
) -> Result<Response, Fault> {
    let choices = shelf::choices(&house).await?;
    let asked = figure.plan.asked(&choices).ok_or_else(|| Fault::bad("No lift and no vehicle is named."))?;
    let worked = shelf::worked(&house, shelf::texts(&house, &asked).await?).await?;
    let found = figure.plan.moved.checked(&worked)?;
    let scene = worked.shown(found.as_ref());
    let text = sheets::working(&scene, &figure.check, caller.units)
        .ok_or_else(|| Fault::NotFound(format!("This plan holds no check “{}”.", figure.check)))?;
    let back = told::address(&asked, &figure.plan.moved);
    let body = html! {
        h1 { "Worked out" }
        pre.working { (text) }
        p { a.button href=(back) { "Back to the plan" } }
    };
    Ok(Page { title: "Worked out", part: Some(Part::Plan), module: None, body }.of(&caller))
}
