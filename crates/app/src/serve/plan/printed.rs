//! A plan's sheets as PDF, of what is asked for now or of what the book keeps.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::Response;
use maud::{Markup, html};
use serde::Deserialize;
use sheets::{Paper, Units, words};

use super::Address;
use super::kept::{self, of_event};
use super::placed::Placed;
use super::told::View;
use crate::paper::{self, Edition};
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::attachment;
use crate::serve::house::Shared;
use crate::serve::shelf::{self, Worked};
use crate::verb::outputs::Sheet;
use crate::verb::raise as led;

/// Which sheets, on what.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(default, rename_all = "lowercase")]
pub(crate) struct Asked {
    edition: Sheets,
    paper: On,
}

#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Sheets {
    #[default]
    Bay,
    Working,
    Class,
}

/// What it is printed on; nothing said = what is usual with the reader's units.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum On {
    #[default]
    Usual,
    A4,
    Letter,
}

impl On {
    pub(crate) fn paper(self, units: Units) -> Paper {
        let said = match self {
            Self::Usual => None,
            Self::A4 => Some(Sheet::A4),
            Self::Letter => Some(Sheet::Letter),
        };
        Sheet::or_usual(said, units)
    }
}

/// Of what is asked for, as planned or as moved.
pub(crate) async fn asked(
    State(house): State<Shared>,
    Query(address): Query<Address>,
    Query(sheets): Query<Asked>,
    caller: Caller,
) -> Result<Response, Fault> {
    let choices = shelf::choices(&house).await?;
    let asked = address.asked(&choices).ok_or_else(|| Fault::bad("No lift and no vehicle is named."))?;
    let mut texts = shelf::texts(&house, &asked).await?;
    let mut worked = shelf::worked(&house, texts.clone()).await?;
    // Moved, it is planned as the book would keep it, so that it gets the same mark.
    if let Some(plan) = address.moved.checked(&worked)? {
        texts.insert("as-placed".into(), Placed::of(&plan).file().to_string());
        worked = shelf::worked(&house, texts).await?;
    }
    let shop = house.shop().await?;
    hung(&View::new(worked.scene(), Some(&asked), &caller, shop.as_ref()), sheets)?;
    printed(worked.clone(), sheets, &caller).await
}

/// A sheet outlives the screen: none is made that gives settings where nothing may be raised now.
fn hung(view: &View<'_>, sheets: Asked) -> Result<(), Fault> {
    let why = view.not_hung();
    match sheets.edition {
        Sheets::Bay if !why.is_empty() => {
            let said = "No sheet for the column is made while nothing may be raised by it.".to_owned();
            Err(Fault::Refused(std::iter::once(said).chain(why).collect()))
        }
        _ => Ok(()),
    }
}

/// Of a plan that the book keeps.
pub(crate) async fn of_kept(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    Query(sheets): Query<Asked>,
    caller: Caller,
) -> Result<Response, Fault> {
    let (_, plan, worked) = of_event(&house, number).await?;
    let (asked, shop) = (kept::of(&plan), house.book().await?.shop().await?);
    let changed = led::changed_since(&*house.book().await?, &plan).await?;
    hung(&View::kept(worked.scene(), &asked, &caller, &shop, changed), sheets)?;
    printed(worked, sheets, &caller).await
}

async fn printed(worked: Arc<Worked>, sheets: Asked, caller: &Caller) -> Result<Response, Fault> {
    let (units, paper) = (caller.units, sheets.paper.paper(caller.units));
    let (edition, name) = match sheets.edition {
        Sheets::Bay => (Edition::Bay, "sheet"),
        Sheets::Working => (Edition::Working, "working"),
        Sheets::Class => (Edition::Class, "class"),
    };
    let made = tokio::task::spawn_blocking(move || {
        let scene = worked.scene();
        Ok::<_, paper::NotPrinted>((paper::mark(&scene)?, paper::plan(&scene, units, paper, edition)?))
    });
    let broken = |why: String| Fault::Broken(vec![why]);
    let made = made.await.map_err(|_| broken("The sheet could not be made.".into()))?;
    let (mark, bytes) = made.map_err(|why| broken(why.to_string()))?;
    Ok(attachment(&format!("{name}-{mark}.pdf"), "application/pdf", bytes))
}

/// Signs that paper cannot show, told beside it; nothing where it shows all.
pub(crate) fn boxes(not_printed: &[String]) -> Markup {
    html! {
        @if !not_printed.is_empty() {
            p.note { "Signs that paper cannot show are printed as boxes in " (not_printed.join("; ")) "." }
        }
    }
}

/// The sheets that there are, to be taken along.
pub(super) fn offered(address: &str, view: &View<'_>) -> Markup {
    let and = if address.contains('?') { '&' } else { '?' };
    html! {
        section.paper {
            h2 { "On paper" }
            div.ways-on {
                @if view.not_hung().is_empty() { a.button href=(address) download { "The sheet for the column" } }
                a.button href={ (address) (and) "edition=working" } download { "The working" }
                a.button href={ (address) (and) "edition=class" } download { "For a class, with blanks" }
            }
            @if !view.not_hung().is_empty() { p.note { "No sheet for the column is made while nothing may be raised by it." } }
            p.note { "PDF, A4; Letter where inches and pounds are shown." }
            (boxes(&words::not_printed(&view.scene)))
        }
    }
}
