//! Papers of the book.

use std::path::PathBuf;

use clap::Args;
use records::{Book, Fact, KeptPlan, Seq};
use sheets::Units;

use crate::cli::{FINE, REFUSED, UNREADABLE};
use crate::desk::{Done, Ended, Place};
use crate::paper::record::{NoPaper, Which, printed, record};
use crate::paper::{self, Edition};
use crate::verb::outputs::{Sheet, holds_no_pdf};
use crate::verb::plan::System;
use crate::verb::raise::{Planned, cautions, texts};
use crate::{told, write};

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
    /// The sheet of the plan that has this mark, kept or raised by.
    #[arg(long, value_name = "MARK")]
    plan: Option<String>,
}

/// Onto what, in which units.
#[derive(Args, Debug)]
pub(crate) struct How {
    /// The file to write, PDF.
    #[arg(long, value_name = "FILE")]
    pdf: PathBuf,
    /// Units; left out = metric for a plan's sheet, the shop's own for a record.
    #[arg(long, value_enum)]
    units: Option<System>,
    /// What it is printed on; left out = letter with US units, else a4.
    #[arg(long, value_enum)]
    paper: Option<Sheet>,
    /// A plan's working instead of its sheet, every check to be followed on paper: also where nothing may be raised by it now.
    #[arg(long, requires = "plan")]
    working: bool,
}

pub(super) async fn print(place: &Place, what: &What, how: &How) -> Done {
    let file = &how.pdf;
    if holds_no_pdf(file) {
        let said =
            format!("{}: this file is there already and is no PDF; it is not overwritten", file.display());
        return Err(Ended::bad(&said, "give another name"));
    }
    let (book, asked) = (place.open().await?, how.units.map(System::units));
    let which = what.examination.map(Which::Examination).or(what.raise.map(Which::Raise));
    let units = match (asked, which) {
        (Some(asked), _) => asked,
        (None, Some(_)) => told::units(&*book.shop().await?),
        (None, None) => Units::Metric,
    };
    let paper = Sheet::or_usual(how.paper, units);
    let bytes = match (which, &what.plan) {
        (Some(which), _) => {
            let record = record(&book, which, units).await.map_err(not_made)?;
            write::err(&paper::boxes(&record.not_printed()));
            printed(&record, paper).map_err(not_made)?
        }
        (None, Some(mark)) => {
            let (planned, plan) = marked(&book, mark).await?;
            let cautions = cautions(&book, &plan, &planned.scene()).await?;
            if !cautions.is_empty() && !how.working {
                let help = "  help: no sheet hangs on a column by which nothing may be raised now: once that is mended print it again, or plan \
                            anew; --working prints how it was reckoned\n";
                return Err(Ended::Said(cautions + help, REFUSED));
            }
            write::err(&cautions);
            let edition = if how.working { Edition::Working } else { Edition::Bay };
            write::err(&paper::boxes(&sheets::words::not_printed(&planned.scene())));
            paper::plan(&planned.scene(), units, paper, edition)
                .map_err(|fault| Ended::bad(&fault.to_string(), "report it"))?
        }
        (None, None) => return Err(Ended::bad("nothing is named that could be printed", "give its number")),
    };
    write::whole(file, bytes).map_err(|fault| {
        let why = write::why_not(&fault);
        Ended::Said(format!("error: {}: the PDF cannot be written: {why}", file.display()), UNREADABLE)
    })?;
    Ok(FINE)
}

fn not_made(why: NoPaper) -> Ended {
    match why {
        NoPaper::Nothing(said) => Ended::bad(&said, "`standfast book record LIFT` tells the numbers"),
        NoPaper::Book(failure) => Ended::Book(failure),
        NoPaper::Fault(fault) => Ended::bad(&fault.to_string(), "report it"),
    }
}

/// The plan of a mark, planned again from its exact inputs.
async fn marked(book: &Book, mark: &str) -> Result<(Planned, KeptPlan), Ended> {
    let sought = mark.to_lowercase();
    let mut at = Seq(0);
    loop {
        let events = book.events_after(at).await?;
        let Some(last) = events.last() else {
            let said = format!("no plan in the book has the mark {mark}");
            return Err(Ended::bad(&said, "a mark is the 12 signs below the code of a sheet"));
        };
        at = last.seq;
        let plans = events.iter().filter_map(|event| match &event.fact {
            Fact::PlanKept { plan } | Fact::RaiseBegun { plan, .. } | Fact::RaiseRefused { plan, .. } => {
                Some(plan)
            }
            _ => None,
        });
        let found = plans.into_iter().find(|plan| told::mark(plan.answer) == sought);
        let Some(plan) = found else { continue };
        let mut said = String::new();
        let planned = Planned::of(&texts(book, plan).await?, &mut said);
        return planned.map(|planned| (planned, plan.clone())).ok_or(Ended::Said(said, UNREADABLE));
    }
}
