//! A situation is set: lift, vehicle, job, what is not shown, a word to the learner.

use axum::Form;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use records::{Command, Document as Kept, Fact, Hidden, NewPractice, Shop};

use super::fields::Filled;
use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::{Page, Part};
use crate::serve::house::{House, Shared};
use crate::serve::shelf::{self, demo};

/// Before the name of something of the invented workshop.
const INVENTED: &str = "invented:";

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(shown(&shop, &Filled::new(), None, &caller))
}

fn shown(shop: &Shop, filled: &Filled, why: Option<&Fault>, caller: &Caller) -> Response {
    let said = |name: &str| filled.get(name).map_or("", String::as_str);
    let lifts: Vec<String> = shop.lifts.keys().map(ToString::to_string).collect();
    let vehicles: Vec<String> = shop.fleet.vehicles.keys().map(ToString::to_string).collect();
    let jobs: Vec<String> = shop.jobs.keys().map(ToString::to_string).collect();
    let body = html! {
        h1 { "Set a situation" }
        @if let Some(why) = why { (why.told()) }
        form.sheet method="post" action="/practice/set" {
            label { "Name" input name="name" required maxlength="60" value=(said("name")); }
            (pick("lift", "Lift", &lifts, said("lift"), None))
            (pick("vehicle", "Vehicle", &vehicles, said("vehicle"), None))
            (pick("job", "Job", &jobs, said("job"), Some("raise and lower only")))
            fieldset {
                legend { "Not shown to the learner" }
                @for what in Hidden::ALL {
                    label.choice { input type="checkbox" name=(key(what)) value="yes" checked[filled.contains_key(&key(what))]; span { (sheets::words::capital(&what.to_string())) } }
                }
            }
            label { "A word to the learner" textarea name="note" rows="3" { (said("note")) } }
            button.main { "Set it" }
        }
    };
    Page { title: "Set a situation", part: Some(Part::Practice), module: None, body }.of(caller)
}

fn key(what: Hidden) -> String {
    format!("hides-{}", what.to_string().replace(' ', "-"))
}

fn pick(kind: &str, label: &str, own: &[String], picked: &str, none: Option<&str>) -> Markup {
    html! {
        label { (label)
            select name=(kind) {
                @if let Some(none) = none { option value="" { (none) } }
                @if !own.is_empty() {
                    optgroup label="Of this shop" { @for id in own { option value=(id) selected[picked == id] { (id) } } }
                }
                optgroup label="Invented workshop" {
                    @for (_, id, text) in demo::ALL.iter().filter(|d| d.0 == kind) {
                        @let value = format!("{INVENTED}{id}");
                        option value=(value) selected[picked == value] { (demo::choice(id, text).name) }
                    }
                }
            }
        }
    }
}

pub(crate) async fn set(
    State(house): State<Shared>,
    caller: Caller,
    Form(filled): Form<Filled>,
) -> Result<Response, Fault> {
    match written(&house, &caller, &filled).await {
        Ok(to) => Ok(Redirect::to(&to).into_response()),
        Err(fault) => {
            let shop = house.book().await?.shop().await?;
            let shown = shown(&shop, &filled, Some(&fault), &caller);
            Ok((fault.into_response().status(), shown).into_response())
        }
    }
}

/// Only what can be planned is set.
async fn written(house: &House, caller: &Caller, filled: &Filled) -> Result<String, Fault> {
    let desk = acting::alone(house, caller).await?;
    let mut texts = shelf::Texts::new();
    for kind in ["lift", "vehicle", "job"] {
        if let Some(id) = filled.get(kind).filter(|id| !id.is_empty()) {
            texts.insert(kind.to_owned(), text(house, kind, id).await?);
        }
    }
    shelf::worked(house, texts.clone()).await?;
    let said = |name: &str| filled.get(name).cloned().unwrap_or_default();
    let new = NewPractice {
        name: said("name"),
        note: said("note"),
        inputs: texts.into_iter().map(|(kind, text)| (kind, Kept::new(text))).collect(),
        hides: Hidden::ALL.into_iter().filter(|what| filled.contains_key(&key(*what))).collect(),
    };
    let events = acting::act(house, &desk, &Command::SetPractice(new)).await?;
    let number = events.iter().find_map(|event| match event.fact {
        Fact::PracticeSet { practice, .. } => Some(practice),
        _ => None,
    });
    let number = number.ok_or_else(|| Fault::Broken(vec!["The situation was not set.".into()]))?;
    Ok(format!("/practice/{number}"))
}

async fn text(house: &House, kind: &str, id: &str) -> Result<String, Fault> {
    let found = match id.strip_prefix(INVENTED) {
        Some(id) => demo::text(kind, id).map(str::to_owned),
        None => shelf::own_text(&*house.book().await?, kind, id).await?,
    };
    found.ok_or_else(|| Fault::NotFound(format!("There is no {kind} “{id}” here.")))
}
