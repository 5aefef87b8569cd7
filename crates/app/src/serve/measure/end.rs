//! The end of a measuring: what is still open, a name, the plate, into the book, and on to a plan.

use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use records::{Act, Command, Document as Kept, LiftId, LiftSheet, Shop, VehicleId};
use sheets::Units;

use super::draft::{Back, Draft};
use super::question::{Answer, Answers, Question, Said, field, said};
use super::written::{Looked, look};
use super::{END, Subject, is_said_to_be_right, person, told};
use crate::document::Document;
use crate::input::Source;
use crate::input::shape::{LONGEST, unfit};
use crate::intake::NOT_KNOWN;
use crate::measuring::legal;
use crate::serve::acting;
use crate::serve::caller::Caller;
use crate::serve::fault::Fault;
use crate::serve::frame::Page;
use crate::serve::house::Shared;
use crate::serve::plan;
use crate::serve::shelf::Asked;
use crate::serve::written::{help, of_it, sentence};

pub(super) async fn page(
    house: &Shared,
    caller: &Caller,
    subject: Subject,
    draft: &Draft,
) -> Result<Response, Fault> {
    let shop = house.book().await?.shop().await?;
    Ok(shown(&shop, caller, subject, draft, &Answer::new(), None))
}

fn shown(
    shop: &Shop,
    caller: &Caller,
    subject: Subject,
    draft: &Draft,
    filled: &Answer,
    why: Option<&Fault>,
) -> Response {
    let questions = subject.questions(&draft.answers);
    let looked = look(subject, "not named yet", &draft.answers);
    let body = html! {
        h1 { @if looked.is_whole() { "Enough to plan with" } @else { "Not yet enough to plan with" } }
        @if let Some(why) = why { (why.told()) }
        (open(subject, &draft.answers, &questions, &looked))
        div.measure {
            (told::whole(subject, &draft.answers))
            @if looked.is_whole() { (asked(shop, caller, subject, filled)) }
        }
        (more(subject, draft, &questions, &looked))
        (told::so_far(subject, &draft.answers, &questions))
    };
    super::page(subject, body, caller)
}

/// What stands between here and a plan.
fn open(subject: Subject, answers: &Answers, questions: &[Question], looked: &Looked) -> Markup {
    let to = |question: &Question| html! { a href={ (subject.address(&question.key)) "?then=" (END) } { (question.title) } };
    let find = |key: &String| questions.iter().find(|q| q.key == *key);
    let whole = looked.problems.iter().filter(|p| p.is_error);
    let odd: Vec<_> = looked
        .problems
        .iter()
        .filter(|p| !p.is_error)
        .filter_map(|p| Some((p.field.as_ref().and_then(find)?, p)))
        .filter(|(question, _)| !is_said_to_be_right(answers, &question.key))
        .collect();
    html! {
        @if !looked.open.is_empty() {
            section.told.odd { h2 { "Still to measure" }
                ul { @for question in questions.iter().filter(|q| looked.open.contains(&q.key)) { li { (to(question)) } } }
            }
        }
        @if looked.problems.iter().any(|p| p.is_error) {
            section.told.refused { h2 { "This cannot be used" }
                ul { @for problem in whole { li {
                    @if let Some(question) = problem.field.as_ref().and_then(find) { (to(question)) ": " }
                    (sentence(&of_it(problem, told::labels(questions)))) (help(problem))
                } } }
            }
        }
        @if !odd.is_empty() {
            section.told.odd { h2 { "Look again" }
                ul { @for (question, problem) in odd { li { (to(question)) ": " (sentence(&of_it(problem, told::labels(questions)))) (help(problem)) } } }
            }
        }
    }
}

/// What may be measured besides, and what stands for it meanwhile.
fn more(subject: Subject, draft: &Draft, questions: &[Question], looked: &Looked) -> Markup {
    let open: Vec<&Question> = questions
        .iter()
        .filter(|q| !looked.open.contains(&q.key) && matches!(said(&draft.answers, &q.key), Said::Nothing))
        .collect();
    let says = looked.problems.iter().filter(|p| !p.is_error && p.field.is_none());
    html! {
        @if let Some(next) = open.first() {
            section {
                h2 { "Measure more, for a plan with more in reserve" }
                p { a.button href=(subject.address(&next.key)) { "Measure on: " (next.title) } }
                @for problem in says { p.note { "Now " (problem.message) "." } }
            }
        }
    }
}

fn asked(shop: &Shop, caller: &Caller, subject: Subject, filled: &Answer) -> Markup {
    let value = |name: &str| filled.get(name).map_or("", String::as_str);
    let text = |name: &str, label: &str, hint: &str, needed: bool| {
        html! { label { (label) @if !hint.is_empty() { span.note { (hint) } } input name=(name) value=(value(name)) required[needed] autocomplete="off"; } }
    };
    let known: Vec<String> = match subject {
        Subject::Lift => shop.lifts.keys().map(ToString::to_string).collect(),
        Subject::Vehicle => shop.fleet.vehicles.keys().map(ToString::to_string).collect(),
    };
    html! {
        form.sheet method="post" action=(subject.address(END)) {
            @match subject {
                Subject::Lift => {
                    (text("mark", "What the shop calls it", "its bay, as on the door: North bay", true))
                    (text("maker", "Maker", "from its plate; empty = not known", false))
                    (text("model", "Type", "", false))
                    (text("serial", "Serial number", "", false))
                    label { "Year of make" input name="year" inputmode="numeric" value=(value("year")) autocomplete="off"; }
                    label { "First used on" span.note { "empty = not known" } input name="first_used" type="date" value=(value("first_used")); }
                },
                Subject::Vehicle => {
                    (text("mark", "Its mark", "fleet number, plate or VIN, as the shop likes: it is found again by it", true))
                    (text("description", "What it is", "tells it from others; empty = its class", false))
                },
            }
            @if filled.contains_key("mark") && known.contains(&legal(value("mark")).unwrap_or_default()) {
                label.choice { input type="checkbox" name="again" value="yes"; "Take this in place of what the book has of it" }
                @if subject == Subject::Vehicle && acting::needs_second(shop, caller, Act::Replace) { (acting::second(shop, Act::Replace)) }
            }
            button.main { "Enter it into the book" }
        }
    }
}

pub(super) async fn sent(
    house: &Shared,
    caller: &Caller,
    subject: Subject,
    filled: &Answer,
) -> Result<Response, Fault> {
    let draft = house.drafts.of(&person(caller)?, subject);
    match enter(house, caller, subject, &draft, filled).await {
        Ok(id) => {
            let back = house.drafts.with(&person(caller)?, subject, |draft| {
                draft.answers.clear();
                std::mem::take(&mut draft.back)
            });
            let mut to = format!("/measured/{}/{id}", subject.word());
            if !back.lift.is_empty() {
                let pairs = [("lift", back.lift), ("job", back.job)];
                to += "?";
                let from = to.len();
                to = url::form_urlencoded::Serializer::for_suffix(to, from).extend_pairs(pairs).finish();
            }
            Ok(Redirect::to(&to).into_response())
        }
        Err(fault) => {
            let shop = house.book().await?.shop().await?;
            let page = shown(&shop, caller, subject, &draft, filled, Some(&fault));
            Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
        }
    }
}

async fn enter(
    house: &Shared,
    caller: &Caller,
    subject: Subject,
    draft: &Draft,
    filled: &Answer,
) -> Result<String, Fault> {
    let beside = |name: &str| field(filled, name).unwrap_or_default();
    let desk = acting::desk(house, caller, beside("second"), beside("second_pin")).await?;
    let mark = field(filled, "mark").ok_or_else(|| Fault::bad("It needs a name to be found again by."))?;
    let id = legal(mark).ok_or_else(|| Fault::bad("The name holds no letter and no digit."))?;
    let shop = desk.book.shop().await?;
    let known = match subject {
        Subject::Lift => id.parse().is_ok_and(|id: LiftId| shop.lifts.contains_key(&id)),
        Subject::Vehicle => id.parse().is_ok_and(|id: VehicleId| shop.fleet.vehicles.contains_key(&id)),
    };
    if known && field(filled, "again") != Some("yes") {
        return Err(Fault::Bad(vec![format!(
            "“{id}” is in the book already. Give another name, or say that this takes its place."
        )]));
    }
    let description = match field(filled, "description") {
        Some(words) => format!("{mark}, {words}"),
        None => mark.to_owned(),
    };
    let texts = [
        ("Its mark", mark),
        ("Mark and what it is, together,", description.as_str()),
        ("Maker", field(filled, "maker").unwrap_or_default()),
        ("Type", field(filled, "model").unwrap_or_default()),
        ("Serial number", field(filled, "serial").unwrap_or_default()),
    ];
    let unfit: Vec<String> = texts
        .iter()
        .filter_map(|(what, text)| {
            unfit(text, LONGEST).map(|[fault, help]| format!("{what} {fault}: {help}."))
        })
        .collect();
    if !unfit.is_empty() {
        return Err(Fault::Bad(unfit));
    }
    let looked = look(subject, &description, &draft.answers);
    if !looked.is_whole() {
        return Err(Fault::bad("Something is still to measure, or cannot be used."));
    }
    let command = match subject {
        Subject::Vehicle => {
            let vehicle = id.parse().map_err(|fault| Fault::Bad(vec![format!("{fault}.")]))?;
            Command::EnterVehicle { vehicle, description, file: Kept::new(looked.text) }
        }
        Subject::Lift => {
            Command::EnterLift { sheet: sheet(&id, mark, filled, &looked)?, file: Kept::new(looked.text) }
        }
    };
    acting::act(house, &desk, &command).await?;
    Ok(id)
}

/// What the plate says; what nobody read is not known.
fn sheet(id: &str, bay: &str, filled: &Answer, looked: &Looked) -> Result<LiftSheet, Fault> {
    let mut wrong = vec![];
    let text = |name: &str| field(filled, name).unwrap_or(NOT_KNOWN).to_owned();
    let year = match field(filled, "year") {
        None => 0,
        Some(text) => text.parse().unwrap_or_else(|_| {
            wrong.push(format!("Year of make: “{text}” is no year; write it like 2021."));
            0
        }),
    };
    let first_used = match field(filled, "first_used") {
        None => None,
        Some(day) => {
            day.parse().map_err(|_| wrong.push("First used on: write it as YYYY-MM-DD.".into())).ok()
        }
    };
    let lift = id.parse().map_err(|fault| Fault::Bad(vec![format!("{fault}.")]))?;
    let read = Document::of(Source::new("lift", looked.text.as_str())).lift();
    let capacity = read
        .map(|lift| Units::Metric.plate(lift.rated))
        .ok_or_else(|| Fault::bad("The lift cannot be read."))?;
    if !wrong.is_empty() {
        return Err(Fault::Bad(wrong));
    }
    Ok(LiftSheet {
        lift,
        bay: bay.to_owned(),
        maker: text("maker"),
        model: text("model"),
        serial: text("serial"),
        year,
        capacity,
        load_split: None,
        first_used,
    })
}

/// It is in the book: plan with it.
pub(crate) async fn entered(
    Path(id): Path<String>,
    Query(back): Query<Back>,
    caller: Caller,
    subject: Subject,
) -> Response {
    let word = subject.word();
    let waits = !back.lift.is_empty();
    let plan = match subject {
        Subject::Lift => Asked { lift: id.clone(), vehicle: String::new(), job: back.job },
        Subject::Vehicle => Asked { lift: back.lift, vehicle: id.clone(), job: back.job },
    };
    let body = html! {
        section.told.done { h1 { "In the book as " (id) } }
        p { a.button.main href=(plan::address(&plan)) { @if waits { "Back to the plan" } @else { "Plan with it" } } }
        p { a.button href={ "/" (word) "/" (id) "/file" } download { "Its file, to hand to another shop" } " " a.button href={ "/" (word) "/" (id) } { "Its record" } }
        p { a.button href={ "/measure/" (word) } { "Measure another" } }
    };
    Page { title: "Entered", part: Some(super::Part::Records), module: None, body }.of(&caller)
}
