//! A setup checked while a finger moves it.

use axum::Json;
use axum::extract::State;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheets::drawing::screen;

use super::placed::{Moved, Placed};
use super::told::{self, View};
use crate::convert;
use crate::serve::caller::Caller;
use crate::serve::fault::ApiFault;
use crate::serve::house::Shared;
use crate::serve::picture::Redrawn;
use crate::serve::shelf::{self, Asked};
use crate::serve::shown_as;
use crate::wire::plan::Answer;

/// Name and version of the answer.
const CONTRACT: &str = "standfast/setup/1";

/// What is checked.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Question {
    /// The lift, by its name in the book.
    lift: String,
    /// The vehicle.
    vehicle: String,
    /// The job; empty = raised and lowered only.
    #[serde(default)]
    job: String,
    /// Where vehicle and pads are.
    setup: Placed,
    /// Whether names are drawn too: not while something moves.
    #[serde(default)]
    named: bool,
}

/// What it does.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Checked {
    /// Name and version of this form.
    contract: &'static str,
    /// The setup as it was understood, pads on the vehicle.
    setup: Placed,
    /// As `plan --as-placed --json` answers.
    answer: Answer,
    /// What is drawn of it.
    #[serde(flatten)]
    drawn: Redrawn,
    /// The answer as the page shows it.
    told: String,
    /// That the lift is taken or must not be used, as the page shows it; empty = neither.
    standing: String,
    /// What it was made from: lift, vehicle, job and limits, each by its text.
    made_from: String,
    /// As of when it is: the book's last event, and the shop's day.
    now: String,
    /// Address of the page of this setup.
    page: String,
}

/// Answers with loads, edges, reserve, every failing check and the picture.
pub(crate) async fn setup(
    State(house): State<Shared>,
    caller: Caller,
    Json(question): Json<Question>,
) -> Result<Json<Checked>, ApiFault> {
    let Question { lift, vehicle, job, setup, named } = question;
    let asked = Asked { lift, vehicle, job };
    let texts = shelf::texts(&house, &asked).await?;
    let made_from = shelf::made_from(&texts);
    let worked = shelf::worked(&house, texts).await?;
    let plan = worked.answered(&setup.setup()?)?;
    // Back at the best it is the plan again, to be raised.
    let is_best = Moved::of(&plan).pairs().eq(Moved::of(worked.plan()).pairs());
    let scene = if is_best { worked.scene() } else { worked.moved(&plan) };
    let shop = house.shop().await?;
    // What can be done with it is offered once the finger is gone.
    let view =
        View::new(scene, Some(&asked), &caller, shop.as_ref()).offering(named).made_from(made_from.clone());
    Ok(Json(Checked {
        contract: CONTRACT,
        setup: Placed::of(&plan),
        answer: convert::plan::answer(&worked.moved(&plan), caller.units),
        drawn: Redrawn::of(
            &screen::from_above(&view.scene, caller.units, &worked.window, named),
            told::from_above(&view.scene, caller.units),
        ),
        told: shown_as::carried(told::answer(&view), &caller).into_string(),
        standing: told::standing(&view).into_string(),
        made_from,
        now: caller.now.to_string(),
        page: told::address(&asked, &told::moved(&view.scene)),
    }))
}
