//! The drawing of a dimension while it is typed.

use axum::Json;
use axum::extract::State;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::question::Answer;
use super::{Subject, drawing, person, position};
use crate::serve::caller::Caller;
use crate::serve::fault::ApiFault;
use crate::serve::house::Shared;

/// Name and version of the answer.
const CONTRACT: &str = "standfast/measuring/1";

/// What is typed. Nothing of it is kept.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Typed {
    /// The question, by its key in the file.
    step: String,
    /// The fields as they stand.
    answer: Answer,
}

/// How that looks.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Drawn {
    /// Name and version of this form.
    contract: &'static str,
    /// Width and height of the drawing.
    size: [f64; 2],
    /// Its content, as that of an SVG.
    picture: String,
}

/// Answers with the drawing of everything measured so far and of what is typed.
pub(crate) async fn typed(
    State(house): State<Shared>,
    caller: Caller,
    Json(typed): Json<Typed>,
    subject: Subject,
) -> Result<Json<Drawn>, ApiFault> {
    let mut answers = house.drafts.of(&person(&caller)?, subject).answers;
    position(&subject.questions(&answers), &typed.step)?;
    answers.insert(typed.step.clone(), typed.answer);
    let drawn = drawing::picture(subject, &answers, &typed.step);
    Ok(Json(Drawn { contract: CONTRACT, size: drawn.size, picture: sheets::svg_items(&drawn.items) }))
}
