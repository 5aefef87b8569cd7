//! A lift or a vehicle measured one dimension at a time; what was measured becomes a file as any other.

pub(crate) mod api;
mod draft;
mod drawing;
mod end;
pub(crate) mod quick;
pub(crate) mod shown;
#[cfg(test)]
mod tests;
mod told;

use std::collections::BTreeMap;

use axum::Form;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use records::PersonId;
use serde::Deserialize;
use statics::Length;

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{Page, Part};
use super::house::{House, Shared};
use crate::input::quantity::Quantity;
pub(crate) use crate::measuring::Subject;
pub(crate) use crate::measuring::legal;
use crate::measuring::{question, written};
pub(crate) use draft::Drafts;
use draft::{Back, Draft};
pub(crate) use end::entered;
pub(crate) use question::with_unit;
use question::{Answer, Answers, GUESS, HOW, Kind, OUT, Question, RIGHT, Said, field, said};
use told::Shown;
use written::Looked;

impl Subject {
    fn address(self, step: &str) -> String {
        format!("/measure/{}/{step}", self.word())
    }
}

/// Last step: the name, the plate, into the book.
const END: &str = "end";

fn person(caller: &Caller) -> Result<PersonId, Fault> {
    caller.person().cloned().ok_or(Fault::NobodyIsHere)
}

/// Where to go on; with nothing measured yet, the first question.
pub(crate) async fn start(
    State(house): State<Shared>,
    caller: Caller,
    subject: Subject,
) -> Result<Response, Fault> {
    let draft = house.drafts.of(&person(&caller)?, subject);
    let questions = subject.questions(&draft.answers);
    let next = questions.iter().find(|q| matches!(said(&draft.answers, &q.key), Said::Nothing));
    let next = subject.address(next.map_or(END, |q| q.key.as_str()));
    if draft.answers.is_empty() {
        return Ok(Redirect::to(&next).into_response());
    }
    let body = told::going_on(subject, &draft.answers, &questions, &next);
    Ok(page(subject, body, &caller))
}

/// Begins anew: with the figures that came along, if any did.
pub(crate) async fn anew(
    State(house): State<Shared>,
    caller: Caller,
    Form(figures): Form<BTreeMap<String, String>>,
    subject: Subject,
) -> Result<Response, Fault> {
    let answers = quick::answers(&figures).filter(|_| subject == Subject::Vehicle);
    let to = if answers.is_some() { END } else { "" };
    let said = |name: &str| figures.get(name).cloned().unwrap_or_default();
    let back = Back { lift: said("lift"), job: said("job") };
    house.drafts.with(&person(&caller)?, subject, |draft| {
        (draft.answers, draft.back) = (answers.unwrap_or_default(), back);
    });
    Ok(Redirect::to(subject.address(to).trim_end_matches('/')).into_response())
}

/// What the address of a question says.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Then {
    /// Where to go when it is answered.
    #[serde(default)]
    then: String,
}

pub(crate) async fn page_of(
    State(house): State<Shared>,
    Path(step): Path<String>,
    Query(then): Query<Then>,
    caller: Caller,
    subject: Subject,
) -> Result<Response, Fault> {
    let draft = house.drafts.of(&person(&caller)?, subject);
    if step == END {
        return end::page(&house, &caller, subject, &draft).await;
    }
    let questions = subject.questions(&draft.answers);
    let at = position(&questions, &step)?;
    Ok(asked(subject, &draft, &questions, at, &then.then, None, &caller))
}

fn position(questions: &[Question], step: &str) -> Result<usize, Fault> {
    let at = questions.iter().position(|q| q.key == step);
    at.ok_or_else(|| {
        Fault::NotFound(format!("Nothing is asked under “{step}”, or not with the answers so far."))
    })
}

/// The page of one question, with what is wrong with its answer once it was sent.
fn asked(
    subject: Subject,
    draft: &Draft,
    questions: &[Question],
    at: usize,
    then: &str,
    looked: Option<&Looked>,
    caller: &Caller,
) -> Response {
    let looked_at;
    let looked = if let Some(looked) = looked {
        looked
    } else {
        looked_at = written::look(subject, "not named yet", &draft.answers);
        &looked_at
    };
    let shown = Shown { subject, questions, at, draft, looked, then, units: caller.units };
    page(subject, told::question(&shown), caller)
}

fn page(subject: Subject, body: maud::Markup, caller: &Caller) -> Response {
    let title = if subject == Subject::Lift { "Measure a lift" } else { "Measure a vehicle" };
    Page { title, part: Some(Part::Records), module: Some("measure.js"), body }.of(caller)
}

/// Keeps what was filled in, whatever it is; goes on if nothing is wrong with it.
pub(crate) async fn answered(
    State(house): State<Shared>,
    Path(step): Path<String>,
    caller: Caller,
    Form(mut filled): Form<Answer>,
    subject: Subject,
) -> Result<Response, Fault> {
    let who = person(&caller)?;
    if step == END {
        return end::sent(&house, &caller, subject, &filled).await;
    }
    let act = filled.remove("do").unwrap_or_default();
    let then = filled.remove("then").unwrap_or_default();
    let before = house.drafts.of(&who, subject);
    let at = position(&subject.questions(&before.answers), &step)?;
    let draft = keep(&house, &who, subject, &step, filled, &act)?;
    let questions = subject.questions(&draft.answers);
    let to = |step: &str| Ok(Redirect::to(&subject.address(step)).into_response());
    if act == "back" {
        return to(at.checked_sub(1).and_then(|before| questions.get(before)).map_or("", |q| q.key.as_str()));
    }
    let looked = written::look(subject, "not named yet", &draft.answers);
    let own = |problem: &written::Problem| problem.is_error || !is_said_to_be_right(&draft.answers, &step);
    let nothing = matches!(said(&draft.answers, &step), Said::Nothing);
    if nothing || looked.about(&step).any(own) {
        let page = asked(subject, &draft, &questions, at, &then, Some(&looked), &caller);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    }
    if then == END {
        return to(END);
    }
    // After the last that a plan needs, a plan can be made.
    let next = questions.get(at + 1).filter(|next| next.first || !questions[at].first);
    to(next.map_or(END, |next| next.key.as_str()))
}

/// Whether somebody looked again and says that the odd figure is right, as it stands now.
fn is_said_to_be_right(answers: &Answers, key: &str) -> bool {
    let Said::Answer(answer) = said(answers, key) else { return false };
    field(answer, RIGHT).is_some_and(|right| right == fingerprint(answer))
}

/// All that was filled in, as one text.
fn fingerprint(answer: &Answer) -> String {
    answer
        .iter()
        .filter(|(name, _)| *name != RIGHT)
        .map(|(name, text)| format!("{name}={} ", text.trim()))
        .collect::<String>()
        .trim()
        .to_owned()
}

fn keep(
    house: &House,
    who: &PersonId,
    subject: Subject,
    step: &str,
    filled: Answer,
    act: &str,
) -> Result<Draft, Fault> {
    const LONGEST: usize = 4000;
    if filled.values().any(|text| text.len() > LONGEST) || filled.len() > 80 {
        return Err(Fault::bad("That is far more than one dimension."));
    }
    Ok(house.drafts.with(who, subject, |draft| {
        let questions = subject.questions(&draft.answers);
        let kind = questions.iter().find(|q| q.key == step).map(|q| q.kind);
        let mut answer = filled;
        match act {
            "out" => drop(answer.insert(OUT.into(), "yes".into())),
            "right" => {
                let right = fingerprint(&answer);
                answer.insert(RIGHT.into(), right);
            }
            _ => {}
        }
        let of = match kind {
            Some(Kind::Figure { of, .. } | Kind::Sided { of, .. } | Kind::List(of)) => Some(of.name),
            Some(Kind::Rows(..)) => Some(Length::KIND.name),
            _ => None,
        };
        if let Some(of) = of {
            // What was not asked stays as it was chosen before.
            let is_habit = |name: &str, text: &str| match name {
                "unit" | "doubt" | "off" => true,
                // A guess is said of one figure, never of those after it.
                HOW => text != GUESS,
                _ => false,
            };
            let habit = answer.iter().filter(|(name, text)| is_habit(name, text));
            let habit = habit.map(|(name, text)| (name.clone(), text.clone()));
            draft.habits.entry(of).or_default().extend(habit);
        }
        // A choice is sent by its own button: going on or back without one leaves what was chosen.
        let no_choice = matches!(kind, Some(Kind::OneOf(_))) && !answer.contains_key("value") && act != "out";
        let looked_only = no_choice || act == "back" && question::is_empty(&answer);
        if !looked_only {
            draft.answers.insert(step.to_owned(), answer);
        }
        draft.clone()
    }))
}
