//! Papers of the book.

use std::path::Path;

use clap::Args;
use sheets::Units;

use crate::cli::FINE;
use crate::desk::{Done, Ended, Place};
use crate::paper::record::{NoPaper, Which, printed};
use crate::verb::outputs::{Sheet, holds_no_pdf};
use crate::write;

/// What is printed.
#[derive(Args, Debug)]
#[group(required = true, multiple = false)]
pub(crate) struct What {
    /// The report of this examination, by its number.
    #[arg(long, value_name = "NUMBER")]
    examination: Option<u64>,
    /// This raise, by its number.
    #[arg(long, value_name = "NUMBER")]
    raise: Option<u64>,
}

pub(super) async fn print(place: &Place, what: &What, file: &Path, paper: Sheet) -> Done {
    if holds_no_pdf(file) {
        let said =
            format!("{}: this file is there already and is no PDF; it is not overwritten", file.display());
        return Err(Ended::bad(&said, "give another name"));
    }
    let examination = what.examination.map(Which::Examination);
    let Some(which) = examination.or(what.raise.map(Which::Raise)) else {
        return Err(Ended::bad("nothing is named that could be printed", "give --examination or --raise"));
    };
    let book = place.open().await?;
    let paper = Sheet::or_usual(Some(paper), Units::Metric);
    let bytes = printed(&book, which, paper).await.map_err(|why| match why {
        NoPaper::Nothing(said) => Ended::bad(&said, "`standfast book record LIFT` tells the numbers"),
        NoPaper::Book(failure) => Ended::Book(failure),
        NoPaper::Fault(fault) => Ended::bad(&fault.to_string(), "report it"),
    })?;
    write::whole(file, bytes).map_err(|fault| {
        let why = write::why_not(&fault);
        Ended::Said(
            format!("error: {}: the PDF cannot be written: {why}", file.display()),
            crate::cli::UNREADABLE,
        )
    })?;
    Ok(FINE)
}
