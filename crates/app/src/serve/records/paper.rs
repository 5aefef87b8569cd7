//! Papers of the book, to be taken along as PDF.

use axum::extract::{Path, Query, State};
use axum::response::Response;
use serde::Deserialize;

use crate::paper::record::{NoPaper, Which, printed};
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::attachment;
use crate::serve::house::Shared;
use crate::serve::plan::printed::On;

/// What it is printed on.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    paper: On,
}

pub(crate) async fn raise(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(Asked { paper }): Query<Asked>,
    caller: Caller,
) -> Result<Response, Fault> {
    made(&house, Which::Raise(number), &format!("raise-{number}.pdf"), paper, &caller).await
}

pub(crate) async fn examination(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(Asked { paper }): Query<Asked>,
    caller: Caller,
) -> Result<Response, Fault> {
    made(&house, Which::Examination(number), &format!("examination-{number}.pdf"), paper, &caller).await
}

async fn made(
    house: &Shared,
    which: Which,
    name: &str,
    paper: On,
    caller: &Caller,
) -> Result<Response, Fault> {
    let bytes = printed(&*house.book().await?, which, paper.paper(caller.units)).await;
    let bytes = bytes.map_err(|why| match why {
        NoPaper::Nothing(said) => Fault::NotFound(said),
        NoPaper::Book(failure) => failure.into(),
        NoPaper::Fault(fault) => Fault::Broken(vec![fault.to_string()]),
    })?;
    Ok(attachment(name, "application/pdf", bytes))
}
