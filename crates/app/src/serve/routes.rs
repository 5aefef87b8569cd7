//! Every address of the pages, and who may ask there: one table.

use std::borrow::Cow;

use ::records::{Act, may};
use axum::Router;
use axum::extract::{FromRequestParts, Request, State};
use axum::http::Method;
use axum::http::header::{HOST, ORIGIN};
use axum::http::request::Parts;
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{MethodRouter, get, post};

use super::caller::Caller;
use super::fault::{ApiFault, Fault};
use super::house::Shared;
use super::measure::Subject;
use super::raise::Saying;
use super::records::form::Form;
use super::{
    api, assets, begin, changes, hand, health, invented, measure, people, plan, practice, raise, records,
    settings, sign_in, today,
};

/// Who may ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Need {
    /// Anybody who reaches this machine.
    Nothing,
    /// Somebody who gave their PIN.
    SignedIn,
    /// Somebody whose role may do this, alone or with a second person.
    May(Act),
}

/// One address.
pub(crate) struct Route {
    pub(crate) method: Method,
    pub(crate) path: Cow<'static, str>,
    pub(crate) need: Need,
    /// What is there.
    pub(crate) what: &'static str,
    handler: MethodRouter<Shared>,
}

macro_rules! routes {
    ($($method:ident $path:literal $need:expr, $what:literal, $handler:expr;)*) => {
        vec![$(Route {
            method: routes!(@method $method),
            path: Cow::Borrowed($path),
            need: $need,
            what: $what,
            handler: $method($handler),
        }),*]
    };
    (@method get) => { Method::GET };
    (@method post) => { Method::POST };
}

/// The table.
pub(crate) fn all() -> Vec<Route> {
    use Need::{May, Nothing, SignedIn};
    let mut all = routes! {
        get "/" Nothing, "the board, or how to begin a book", today::first;
        get "/health" Nothing, "whether the pages and the book are there", health::health;
        get "/assets/{name}" Nothing, "what pages are made of", assets::asset;
        get "/changes" Nothing, "a server-sent event for every change of the book", changes::events;
        get "/sign-in" Nothing, "sign in: who", sign_in::page;
        post "/sign-in" Nothing, "sign in: name and PIN", sign_in::sign_in;
        post "/sign-out" Nothing, "leave this tablet", sign_in::sign_out;
        post "/units" Nothing, "choose the units of this tablet", sign_in::units;
        get "/begin" Nothing, "begin the shop's book", begin::page;
        post "/begin" Nothing, "begin the shop's book: only where there is none", begin::begin;
        get "/first-steps" SignedIn, "what to do next in a new book", begin::steps;
        post "/invented" May(Act::EnterLift), "take the invented workshop's lifts and vehicles into the book", invented::take;
        get "/today" Nothing, "today's board", today::page;
        get "/raises" Nothing, "raises under way", raise::all;
        post "/raise" May(Act::Raise), "begin a raise by its plan", raise::begin;
        get "/raise/{number}" SignedIn, "a raise: its next hold point, or what became of it", raise::page;
        get "/plan" Nothing, "a plan: bay, vehicle, job", plan::page;
        get "/plan/working" Nothing, "one figure of a plan worked out", plan::working;
        post "/api/setup" Nothing, "a setup checked while it is moved", plan::api::setup;
        get "/practice" Nothing, "situations to practise on", practice::all;
        get "/practice/set" May(Act::SetPractice), "set a situation to practise on", practice::set::page;
        post "/practice/set" May(Act::SetPractice), "set a situation to practise on", practice::set::set;
        get "/practice/{number}" SignedIn, "a situation of the book, and what was made of it", practice::of_the_book;
        post "/practice/{number}/raise" May(Act::Practise), "raise it: the attempt is kept", practice::raise_of_the_book;
        get "/practice/{number}/tried/{event}" SignedIn, "an attempt: one's own, or anybody's for who may set situations", practice::tried_of_the_book;
        get "/practice/invented/{name}" Nothing, "a situation of the invented workshop", practice::invented;
        get "/practice/invented/{name}/raise" Nothing, "raise it: what would have happened; nothing is kept", practice::look_at_invented;
        post "/practice/invented/{name}/raise" May(Act::Practise), "raise it: the attempt is kept", practice::raise_invented;
        get "/practice/invented/{name}/tried/{event}" SignedIn, "an attempt at it", practice::tried_invented;
        post "/api/practice/{number}" SignedIn, "a setup while it is moved, as far as the learner may see it", practice::api::of_the_book;
        post "/api/practice/invented/{name}" Nothing, "the same of the invented workshop", practice::api::invented;
        get "/records" SignedIn, "what is in the book, and what can be written into it", records::records;
        get "/lift/{id}" SignedIn, "a lift's record", records::lift;
        get "/vehicle/{id}" SignedIn, "a vehicle's record", records::vehicle;
        get "/lift/{id}/file" SignedIn, "a lift's file, to hand to another shop", hand::lift;
        get "/vehicle/{id}/file" SignedIn, "a vehicle's file, to hand to another shop", hand::vehicle;
        get "/take-in" SignedIn, "lifts and vehicles from another shop's files: which", hand::page;
        post "/take-in" SignedIn, "take lifts and vehicles in from files", hand::take_in;
        get "/person/{id}" SignedIn, "a person's record", records::person;
        post "/person/{id}/pin" SignedIn, "a new PIN: one's own, or by who manages people", people::set_pin;
        get "/day" SignedIn, "a day's page, by a form", records::day_asked;
        get "/day/{day}" SignedIn, "a day's page", records::day;
        get "/api/openapi.json" Nothing, "this description", api::described;
        post "/api/plan" Nothing, "a plan of what is here, by names", api::plan;
        get "/api/board" Nothing, "today's board", api::board;
        post "/api/raise" May(Act::Raise), "begin a raise by its plan", api::begin;
        get "/api/raise/{number}" SignedIn, "where a raise stands", api::raise;
        get "/api/events" SignedIn, "events after one, in words", records::events;
        get "/backup" May(Act::RunShop), "the whole book as one file", records::backup;
        get "/settings" SignedIn, "what the shop goes by", settings::page;
    };
    all.extend(
        [(Subject::Lift, Act::EnterLift), (Subject::Vehicle, Act::EnterVehicle)]
            .into_iter()
            .flat_map(measuring),
    );
    all.extend(sayings());
    all.extend(records::form::ALL.iter().flat_map(forms));
    all
}

/// To measure a lift or a vehicle.
fn measuring((subject, act): (Subject, Act)) -> Vec<Route> {
    let word = subject.word();
    let route = |method, path: String, what, handler| Route {
        method,
        path: path.into(),
        need: Need::May(act),
        what,
        handler,
    };
    let all = format!("/measure/{word}");
    let (one, done, live) =
        (format!("{all}/{{step}}"), format!("/measured/{word}/{{id}}"), format!("/api/measure/{word}"));
    vec![
        route(
            Method::GET,
            all.clone(),
            "go on measuring",
            get(move |state, caller| measure::start(state, caller, subject)),
        ),
        route(
            Method::POST,
            all,
            "measure anew",
            post(move |state, caller, form| measure::anew(state, caller, form, subject)),
        ),
        route(
            Method::GET,
            one.clone(),
            "one dimension, and where the tape goes",
            get(move |state, path, query, caller| measure::page_of(state, path, query, caller, subject)),
        ),
        route(
            Method::POST,
            one,
            "a dimension as it was measured; at the end, into the book",
            post(move |state, path, caller, form| measure::answered(state, path, caller, form, subject)),
        ),
        route(
            Method::GET,
            done,
            "it is in the book: plan with it",
            get(move |path, caller| measure::entered(path, caller, subject)),
        ),
        route(
            Method::POST,
            live,
            "the drawing of a dimension while it is typed",
            post(move |state, caller, json| measure::api::typed(state, caller, json, subject)),
        ),
    ]
}

/// What can be said of a raise, by a page and by a program.
fn sayings() -> Vec<Route> {
    let all = [
        ("confirm", Act::Raise, Saying::Confirm, "confirm its next hold point"),
        ("measured", Act::Raise, Saying::Measured, "confirm the spotting as it was measured"),
        ("not-right", Act::StopRaise, Saying::NotRight, "say that something is not right, or bring it down"),
        ("abandon", Act::AbandonRaise, Saying::Abandon, "end it out of its course"),
        ("take-over", Act::Raise, Saying::TakeOver, "lead it from here on"),
    ];
    let routes = |(name, act, saying, what): (&str, Act, Saying, &'static str)| {
        let route = |path: String, handler| Route {
            method: Method::POST,
            path: path.into(),
            need: Need::May(act),
            what,
            handler,
        };
        let page = post(move |state, path, caller, form| raise::said(state, path, caller, form, saying));
        let program = post(move |state, path, caller, json| api::said(state, path, caller, json, saying));
        [
            route(format!("/raise/{{number}}/{name}"), page),
            route(format!("/api/raise/{{number}}/{name}"), program),
        ]
    };
    all.into_iter().flat_map(routes).collect()
}

/// To fill a form in, and to send it.
fn forms(form: &'static Form) -> [Route; 2] {
    let path: Cow<'static, str> = format!("/enter/{}", form.name).into();
    let route = |method, handler| Route {
        method,
        path: path.clone(),
        need: Need::May(form.act),
        what: form.title,
        handler,
    };
    [
        route(Method::GET, get(move |state, filled, caller| records::asked(state, filled, caller, form))),
        route(Method::POST, post(move |state, caller, body| records::entered(state, caller, body, form))),
    ]
}

/// All of them, each behind its guard.
pub(crate) fn router(house: &Shared) -> Router {
    let guarded = all().into_iter().fold(Router::new(), |router, route| {
        let state = (house.clone(), route.need);
        router.route(&route.path, route.handler.layer(middleware::from_fn_with_state(state, guard)))
    });
    guarded.fallback(nowhere).with_state(house.clone())
}

async fn nowhere() -> Fault {
    Fault::NotFound("There is no such page.".into())
}

/// Lets a request through, or says why not; where signing in would help, it leads there.
async fn guard(State((house, need)): State<(Shared, Need)>, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let is_api = parts.uri.path().starts_with("/api/");
    let Ok(caller) = Caller::from_request_parts(&mut parts, &house).await;
    let verdict = match changes_something(&parts) && from_elsewhere(&parts) {
        true => Err(Fault::FromElsewhere),
        false => admitted(&house, &caller, need).await,
    };
    match verdict {
        Ok(()) => next.run(Request::from_parts(parts, body)).await,
        Err(fault) if is_api => ApiFault(fault).into_response(),
        Err(Fault::NobodyIsHere) if parts.method == Method::GET => {
            Redirect::to(&sign_in::address(&caller.at)).into_response()
        }
        Err(fault) => fault.into_response(),
    }
}

async fn admitted(house: &Shared, caller: &Caller, need: Need) -> Result<(), Fault> {
    if need == Need::Nothing {
        return Ok(());
    }
    let shop = house.book().await?.shop().await?;
    let Some(role) = caller.role(&shop) else { return Err(Fault::NobodyIsHere) };
    match need {
        Need::May(act) if may(role, act) == ::records::May::No => {
            Err(Fault::MayNot(format!("A {role} may not {act} here; ask somebody who may.")))
        }
        // Too many wrong PINs: who gave the right one may look, stop a raise and bring it down.
        Need::May(act) if !matches!(act, Act::Raise | Act::StopRaise) && caller.is_locked() => {
            Err(Fault::MayNot(
                "After too many wrong PINs you may only stop a raise or bring it down here.".into(),
            ))
        }
        _ => Ok(()),
    }
}

fn changes_something(parts: &Parts) -> bool {
    parts.method != Method::GET && parts.method != Method::HEAD
}

/// Whether a browser says that another site's page sent it (Fetch Metadata, W3C; else Origin, RFC 6454). What sends
/// neither is no browser, and carries no cookie that it was not given.
fn from_elsewhere(parts: &Parts) -> bool {
    let header = |name: &str| parts.headers.get(name).and_then(|value| value.to_str().ok());
    if let Some(site) = header("sec-fetch-site") {
        return site != "same-origin" && site != "none";
    }
    let Some(origin) = header(ORIGIN.as_str()) else { return false };
    let ours = parts.uri.authority().map(ToString::to_string).or(header(HOST.as_str()).map(Into::into));
    origin.split_once("://").map(|(_, host)| host) != ours.as_deref()
}
