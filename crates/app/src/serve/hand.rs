//! Lifts and vehicles handed from shop to shop as files.

use std::collections::BTreeMap;

use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use records::{Act, Command, Digest, LiftId, May, Shop, VehicleId, may};

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part, attachment};
use super::house::Shared;
use crate::desk::{Ended, kept};
use crate::intake::{self, Made, Names, Placed};
use crate::measuring::Subject;

pub(crate) async fn lift(State(house): State<Shared>, Path(id): Path<String>) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let found = id.parse::<LiftId>().ok().and_then(|lift| shop.lifts.get(&lift).map(|lift| lift.file));
    file(&house, &id, found).await
}

pub(crate) async fn vehicle(State(house): State<Shared>, Path(id): Path<String>) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    let found = id.parse::<VehicleId>().ok().and_then(|vehicle| shop.fleet.vehicles.get(&vehicle).copied());
    file(&house, &id, found).await
}

/// To the byte as it was entered, under its name in the book.
async fn file(house: &Shared, id: &str, found: Option<Digest>) -> Result<Response, Fault> {
    let digest = found.ok_or_else(|| Fault::NotFound(format!("There is no “{id}” in the book.")))?;
    let text = kept(&*house.book().await?, digest).await?.text().to_owned();
    Ok(attachment(&format!("{id}.toml"), "application/toml; charset=utf-8", text))
}

pub(crate) async fn page(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(shown(&shop, &caller, &html! {}))
}

fn shown(shop: &Shop, caller: &Caller, told: &Markup) -> Response {
    let replaces = caller.role(shop).is_some_and(|role| may(role, Act::Replace) == May::Yes);
    let body = html! {
        h1 { "Take lifts and vehicles in from files" }
        p { "A file that another shop handed on, named as the book shall name it: " code { "fleet-17.toml" } ". Or a table (CSV) with a row for each: its columns say what was measured, or its column " code { "file" } " names files that are chosen together with it." }
        (told)
        form.sheet method="post" action="/take-in" enctype="multipart/form-data" {
            label { "Files" input type="file" name="files" multiple required accept=".toml,.json,.csv"; }
            button.main { "Take them in" }
            @if replaces { button formaction="/take-in/replacing" { "Take them in, in the place of what the book has" } }
        }
        @for (subject, title) in [(Subject::Vehicle, "Columns of a table of vehicles"), (Subject::Lift, "Columns of a table of lifts")] {
            details { summary { (title) }
                p { "Row 1 holds the names of the columns: first " code { (subject.word()) } ", its mark, then of these what was measured. A unit may follow a name: " code { "wheelbase (mm)" } ". Those in heavy type a plan needs." }
                dl.facts { @for heading in intake::usual(subject) { div {
                    dt { @if heading.is_needed { strong { (heading.name) } } @else { (heading.name) } }
                    dd { (heading.told()) }
                } } }
            }
        }
        p.note { "What is in the book under the same name stays, unless it is said that it is replaced; the book keeps both. A lift whose file changes must be examined before it is used again." }
    };
    Page { title: "Take in", part: Some(Part::Records), module: None, body }.of(caller)
}

/// What became of each file and each row.
struct Told {
    place: String,
    /// What is in the book now, and what counts no more by that.
    ended: Result<(String, Option<String>), Vec<String>>,
}

/// Takes in what can be; what cannot is told by file and line, or by row, and the others go on.
pub(crate) async fn take_in(
    State(house): State<Shared>,
    caller: Caller,
    mut form: Multipart,
    replaces: bool,
) -> Result<Response, Fault> {
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let unreadable = |_| Fault::bad("The files did not come in whole; send them again.");
    while let Some(field) = form.next_field().await.map_err(unreadable)? {
        let name =
            field.file_name().unwrap_or_default().rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
        let bytes = field.bytes().await.map_err(unreadable)?;
        if !name.is_empty() {
            files.insert(name, bytes.to_vec());
        }
    }
    if files.is_empty() {
        return Err(Fault::bad("No file was chosen."));
    }
    let told = entered(&house, &caller, &files, replaces).await?;
    let status =
        if told.iter().all(|t| t.ended.is_ok()) { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let list = html! {
        section.told {
            h2 { (told.iter().filter(|t| t.ended.is_ok()).count()) " taken in, " (told.iter().filter(|t| t.ended.is_err()).count()) " not" }
            ul { @for Told { place, ended } in &told { li {
                @match ended {
                    Ok((what, outdated)) => {
                        (place) ": " a href={ "/" (what.replace(' ', "/")) } { (what) } " is in the book."
                        @if let Some(outdated) = outdated { " " strong { (outdated) } }
                    },
                    Err(why) => { strong { (place) ": not taken in." } ul { @for line in why { li { (line) } } } },
                }
            } } }
        }
    };
    let shop = house.book().await?.shop().await?;
    Ok((status, shown(&shop, &caller, &list)).into_response())
}

async fn entered(
    house: &Shared,
    caller: &Caller,
    files: &BTreeMap<String, Vec<u8>>,
    replaces: bool,
) -> Result<Vec<Told>, Fault> {
    let is_table = |name: &str| name.to_lowercase().ends_with(".csv");
    let open = |name: &str| {
        let bytes = files.get(name).ok_or_else(|| {
            Ended::bad(
                &format!("{name} did not come along"),
                "choose the table and the files that it names together",
            )
        })?;
        intake::document(name, bytes.clone())
    };
    let desk = acting::alone(house, caller).await?;
    let mut all: Vec<Placed> = vec![];
    for (name, bytes) in files.iter().filter(|(name, _)| is_table(name)) {
        match intake::table(name, bytes, &open) {
            Ok(rows) => all.extend(rows),
            Err(ended) => all.push((name.clone(), Err(ended))),
        }
    }
    // Beside a table its files are the table's.
    if !files.keys().any(|name| is_table(name)) {
        let shop = desk.book.shop().await?;
        for name in files.keys() {
            let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
            all.push((name.clone(), open(name).and_then(|file| intake::whole_file(file, stem, &shop))));
        }
    }
    let (mut told, mut names) = (vec![], Names::default());
    for (place, made) in all {
        let ended = match names.once(&place, made) {
            Ok(Made { what, command, .. }) if !replaces && is_known(&desk.book.shop().await?, &command) => {
                Err(Fault::Bad(vec![format!("“{what}” is in the book already, and stays as it is.")]))
            }
            Ok(Made { what, command, .. }) => {
                let outdated = intake::outdated(&desk.book.shop().await?, &command);
                acting::act(house, &desk, &command).await.map(|_| (what, outdated))
            }
            Err(ended) => Err(Fault::from(ended)),
        };
        told.push(Told { place, ended: ended.map_err(|fault| fault.reasons()) });
    }
    Ok(told)
}

/// Whether the book has something under that name.
fn is_known(shop: &Shop, command: &Command) -> bool {
    match command {
        Command::EnterLift { sheet, .. } => shop.lifts.contains_key(&sheet.lift),
        Command::EnterVehicle { vehicle, .. } => shop.fleet.vehicles.contains_key(vehicle),
        Command::EnterJob { job, .. } => shop.jobs.contains_key(job),
        _ => false,
    }
}
