//! A setup while a learner moves it: drawn and told as far as they may see it.

use axum::Json;
use axum::extract::{Path, State};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheets::drawing::screen;

use super::fields::{self, Filled};
use super::task::{self, Task};
use super::veil::{self, Veiled};
use super::{page, settled};
use crate::serve::caller::Caller;
use crate::serve::fault::{ApiFault, Fault};
use crate::serve::house::Shared;
use crate::serve::picture::Redrawn;
use crate::serve::plan::placed::Placed;

/// Name and version of the answer.
const CONTRACT: &str = "standfast/practice/1";

/// What is asked for: one of both.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Question {
    /// Where vehicle and pads were dragged.
    #[serde(default)]
    setup: Option<Placed>,
    /// The same as the page's form says it.
    #[serde(default)]
    fields: Option<Filled>,
    /// Whether names are drawn too: not while something moves.
    #[serde(default)]
    named: bool,
}

/// What it looks like.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Seen {
    /// Name and version of this form.
    contract: &'static str,
    /// The setup, every arm on a tooth, pads in the bay.
    setup: Placed,
    /// The same as the page's form says it.
    fields: Filled,
    /// What is drawn of it.
    #[serde(flatten)]
    drawn: Redrawn,
    /// What the page says of it.
    told: String,
}

pub(crate) async fn of_the_book(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    caller: Caller,
    Json(question): Json<Question>,
) -> Result<Json<Seen>, ApiFault> {
    seen(&task::of_the_book(&house, number).await?, question, &caller)
}

pub(crate) async fn invented(
    State(house): State<Shared>,
    Path(name): Path<String>,
    caller: Caller,
    Json(question): Json<Question>,
) -> Result<Json<Seen>, ApiFault> {
    seen(&task::invented(&house, &name).await?, question, &caller)
}

fn seen(task: &Task, question: Question, caller: &Caller) -> Result<Json<Seen>, ApiFault> {
    let setup = match (question.setup, question.fields) {
        (Some(placed), None) => placed.setup()?.in_reach(&task.worked.inputs().lift),
        (None, Some(filled)) => settled(task, &filled)?,
        _ => return Err(Fault::bad("Say either `setup` or `fields`.")),
    };
    let plan = task.worked.checked(&setup)?;
    let veiled = Veiled::of(task, &plan);
    let scene = veiled.scene(&task.worked);
    Ok(Json(Seen {
        contract: CONTRACT,
        setup: Placed::in_bay(&plan),
        fields: fields::values(&plan, caller.units),
        drawn: Redrawn::of(
            &screen::from_above(&scene, caller.units, &veil::window(task)?, question.named),
            page::FROM_ABOVE.to_owned(),
        ),
        told: page::seen(task, &scene, caller.units).into_string(),
    }))
}
