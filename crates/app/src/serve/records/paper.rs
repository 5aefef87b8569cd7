//! Papers of the book, to be taken along as PDF.

use ::records::{Book, Shop};
use axum::extract::{Path, Query, State};
use axum::response::Response;
use maud::{Markup, html};
use serde::Deserialize;

use crate::paper::record::{NoPaper, Which, outlined, printed, record};
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::attachment;
use crate::serve::house::Shared;
use crate::serve::plan::printed::{On, boxes};

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
    let record = record(&*house.book().await?, which, caller.units).await.map_err(not_made)?;
    let bytes = printed(&record, paper.paper(caller.units)).map_err(not_made)?;
    Ok(attachment(name, "application/pdf", bytes))
}

fn not_made(why: NoPaper) -> Fault {
    match why {
        NoPaper::Nothing(said) => Fault::NotFound(said),
        NoPaper::Book(failure) => failure.into(),
        NoPaper::Fault(fault) => Fault::Broken(vec![fault.to_string()]),
    }
}

/// A paper to be taken along, and what it cannot show; nothing where there is none.
pub(crate) async fn offered(book: &Book, shop: &Shop, which: Which, says: &str) -> Result<Markup, Fault> {
    let address = match which {
        Which::Examination(number) => format!("/examination/{number}/report"),
        Which::Raise(number) => format!("/raise/{number}/record"),
    };
    let record = match outlined(book, shop, which).await {
        Err(NoPaper::Nothing(_)) => return Ok(html! {}),
        made => made.map_err(not_made)?,
    };
    let small = matches!(which, Which::Examination(_));
    Ok(html! {
        p { a.button.small[small] href=(address) download { (says) } }
        (boxes(&record.not_printed()))
    })
}
