//! How a raise begins at a tablet: by the plan that was looked at.

use axum::Form;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use records::{Command, Fact, RaiseNumber};
use schemars::JsonSchema;
use serde::Deserialize;

use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::house::Shared;
use crate::serve::shelf::{self, Asked};

/// What a raise begins with: lift, vehicle and job by their names.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Beginning {
    /// The lift.
    lift: String,
    /// The vehicle.
    vehicle: String,
    /// The job; empty = raised and lowered only.
    #[serde(default)]
    job: String,
    /// What the plan that was looked at was made from, as `/api/setup` says it; with another the raise is refused. Empty = by
    /// the plan as it is now, which nobody looked at: refused from a page, taken from a program.
    #[serde(default)]
    made_from: String,
    /// Who stands beside a learner.
    #[serde(default)]
    second: String,
    /// Their PIN.
    #[serde(default)]
    second_pin: String,
}

/// Begins it; its number.
pub(crate) async fn begun(house: &Shared, caller: &Caller, begins: &Beginning) -> Result<RaiseNumber, Fault> {
    let desk = acting::desk(house, caller, &begins.second, &begins.second_pin).await?;
    let Beginning { lift, vehicle, job, .. } = begins;
    let asked = Asked { lift: lift.clone(), vehicle: vehicle.clone(), job: job.clone() };
    let new = shelf::to_keep(house, &asked, None, &begins.made_from).await?;
    let events = acting::act(house, &desk, &Command::BeginRaise(new)).await?;
    let begun = events.iter().find_map(|event| match event.fact {
        Fact::RaiseBegun { raise, .. } => Some(raise),
        _ => None,
    });
    begun.ok_or_else(|| Fault::Broken(vec!["The raise was not begun.".into()]))
}

pub(crate) async fn begin(
    State(house): State<Shared>,
    caller: Caller,
    Form(begins): Form<Beginning>,
) -> Result<Response, Fault> {
    if begins.made_from.trim().is_empty() {
        return Err(Fault::Refused(vec![
            "Nobody looked at the plan that this raise would go by. Look at it on its page, and begin there."
                .into(),
        ]));
    }
    let number = begun(&house, &caller, &begins).await?;
    Ok(Redirect::to(&format!("/raise/{number}")).into_response())
}
