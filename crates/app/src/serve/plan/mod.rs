//! The page of a plan: bay, vehicle and job picked, the answer in the first screenful, everything else one step away.

pub(crate) mod api;
pub(crate) mod placed;
mod told;

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::Shared;
use super::shelf::{self, Asked, Choice, Choices};
use placed::Moved;
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
    Query(address): Query<Address>,
    caller: Caller,
) -> Result<Response, Fault> {
    let choices = shelf::choices(&house).await?;
    let asked = address.asked(&choices);
    let answer = match &asked {
        Some(asked) => answer(&house, asked, &address.moved, &caller).await,
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
        (pick(&choices, asked.as_ref()))
        (answer)
    };
    let page = Page { title: "Plan", part: Some(Part::Plan), module: Some("plan.js"), body }.of(&caller);
    Ok((status, page).into_response())
}

/// Bay, vehicle, job.
fn pick(choices: &Choices, asked: Option<&Asked>) -> Markup {
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
        form.pick method="get" action="/plan" {
            (select("lift", "Bay", &choices.lifts, asked.map(|a| a.lift.as_str()), None))
            (select("vehicle", "Vehicle", &choices.vehicles, asked.map(|a| a.vehicle.as_str()), None))
            (select("job", "Job", &choices.jobs, asked.map(|a| a.job.as_str()), Some("raise and lower only")))
            button.main { "Plan" }
            @if choices.invented { p.note { "An invented workshop: nothing of this shop is in the book yet." } }
        }
    }
}

async fn answer(house: &Shared, asked: &Asked, moved: &Moved, caller: &Caller) -> Result<Markup, Fault> {
    let worked = shelf::worked(house, shelf::texts(house, asked).await?).await?;
    let found = match moved.setup(&worked.plan)? {
        None => None,
        Some(setup) => Some(worked.checked(&setup)?),
    };
    let scene = found.as_ref().map_or_else(|| worked.scene(), |plan| worked.moved(plan));
    Ok(told::whole(&scene, &worked, asked, caller.units))
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
    let found = match figure.plan.moved.setup(&worked.plan)? {
        None => None,
        Some(setup) => Some(worked.checked(&setup)?),
    };
    let scene = found.as_ref().map_or_else(|| worked.scene(), |plan| worked.moved(plan));
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
