//! Every address of the pages, and who may ask there: one table.

use std::borrow::Cow;
use std::collections::BTreeMap;

use ::records::{Act, Role, may};
use axum::Router;
use axum::extract::{FromRequestParts, Request, State};
use axum::handler::Handler;
use axum::http::Method;
use axum::http::header::ORIGIN;
use axum::http::request::Parts;
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{MethodRouter, get, post};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::Value;

use super::caller::Caller;
use super::fault::Fault;
use super::house::Shared;
use super::measure::Subject;
use super::raise::Saying;
use super::reach::hosts;
use super::records::form::Form as Entry;
use super::{
    api, assets, bays, begin, changes, hand, health, invented, job, measure, once, people, plan, practice,
    raise, records, replay, settings, shelf, shown_as, sign_in, today,
};
use crate::wire;

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
    pub(crate) asks: Option<Form>,
    pub(crate) gives: Option<Form>,
    /// A number that may follow the address as a query.
    pub(crate) query: Option<&'static str>,
    handler: MethodRouter<Shared>,
}

/// Writes the schema of a type that goes over the interface.
type Form = fn(&mut SchemaGenerator) -> Schema;

impl Route {
    fn get<H, T>(path: impl Into<Cow<'static, str>>, need: Need, what: &'static str, handler: H) -> Self
    where
        H: Handler<T, Shared>,
        T: 'static,
    {
        Self {
            method: Method::GET,
            path: path.into(),
            need,
            what,
            asks: None,
            gives: None,
            query: None,
            handler: get(handler),
        }
    }

    fn post<H, T>(path: impl Into<Cow<'static, str>>, need: Need, what: &'static str, handler: H) -> Self
    where
        H: Handler<T, Shared>,
        T: 'static,
    {
        Self { method: Method::POST, handler: post(handler), ..Self::get(path, need, what, nowhere) }
    }

    /// What goes in, as JSON.
    fn asks<T: JsonSchema>(self) -> Self {
        Self { asks: Some(SchemaGenerator::subschema_for::<T>), ..self }
    }

    /// A number that may be asked with.
    fn query(self, name: &'static str) -> Self {
        Self { query: Some(name), ..self }
    }

    /// What comes out, as JSON.
    fn gives<T: JsonSchema>(self) -> Self {
        Self { gives: Some(SchemaGenerator::subschema_for::<T>), ..self }
    }
}

/// The table.
pub(crate) fn all() -> Vec<Route> {
    use Need::{May, Nothing, SignedIn};
    let mut all = vec![
        Route::get("/", Nothing, "the board, or how to begin a book", today::first),
        Route::get("/health", Nothing, "whether the pages and the book are there", health::health),
        Route::get("/assets/{name}", Nothing, "what pages are made of", assets::asset),
        Route::get("/changes", Nothing, "a server-sent event for every change of the book", changes::events),
        Route::get("/sign-in", Nothing, "sign in: who", sign_in::page),
        Route::post("/sign-in", Nothing, "sign in: name and PIN", sign_in::sign_in),
        Route::post("/sign-out", Nothing, "leave this tablet", sign_in::sign_out),
        Route::post("/units", Nothing, "choose the units of this tablet", sign_in::units),
        Route::get("/begin", Nothing, "begin the shop's book", begin::page),
        Route::post("/begin", Nothing, "begin the shop's book: only where there is none", begin::begin),
        Route::get("/first-steps", SignedIn, "what to do next in a new book", begin::steps),
        Route::post(
            "/invented",
            May(Act::EnterLift),
            "take the invented workshop's lifts, vehicles and jobs into the book",
            invented::take,
        ),
        Route::get("/today", Nothing, "today's board", today::page),
        Route::get("/raises", Nothing, "raises under way", raise::all),
        Route::post("/raise", May(Act::Raise), "begin a raise by its plan", raise::begin),
        Route::get(
            "/raise/{number}",
            SignedIn,
            "a raise: its next hold point, or what became of it",
            raise::page,
        ),
        Route::get(
            "/raise/{number}/replay",
            SignedIn,
            "a raise walked through as it was, one hold point at a time",
            replay::page,
        ),
        Route::post("/api/bays", Nothing, "which bay takes a vehicle: every bay's answer", bays::asked)
            .asks::<bays::Question>()
            .gives::<bays::Answer>(),
        Route::get("/plan", Nothing, "a plan: bay, vehicle, job", plan::page),
        Route::get("/plan/working", Nothing, "one figure of a plan worked out", plan::working),
        Route::post(
            "/plan/keep",
            May(Act::KeepPlan),
            "keep a plan in the book, as planned or as moved",
            plan::kept::keep,
        ),
        Route::get("/plan/kept/{number}", SignedIn, "a plan that the book keeps", plan::kept::page),
        Route::get("/plan/sheet", Nothing, "a plan's sheet as PDF", plan::printed::asked),
        Route::get(
            "/plan/kept/{number}/sheet",
            SignedIn,
            "the sheet of a plan that the book keeps, as PDF",
            plan::printed::of_kept,
        ),
        Route::get(
            "/raise/{number}/record",
            SignedIn,
            "a raise as it was done, as PDF",
            records::paper::raise,
        ),
        Route::get(
            "/examination/{number}/report",
            SignedIn,
            "the report of an examination, as PDF",
            records::paper::examination,
        ),
        Route::post("/api/setup", Nothing, "a setup checked while it is moved", plan::api::setup)
            .asks::<plan::api::Question>()
            .gives::<plan::api::Checked>(),
        Route::get("/practice", Nothing, "situations to practise on", practice::all),
        Route::get(
            "/practice/set",
            May(Act::SetPractice),
            "set a situation to practise on",
            practice::set::page,
        ),
        Route::post(
            "/practice/set",
            May(Act::SetPractice),
            "set a situation to practise on",
            practice::set::set,
        ),
        Route::get(
            "/practice/{number}",
            SignedIn,
            "a situation of the book, and what was made of it",
            practice::of_the_book,
        ),
        Route::post(
            "/practice/{number}/raise",
            May(Act::Practise),
            "raise it: the attempt is kept",
            practice::raise_of_the_book,
        ),
        Route::get(
            "/practice/{number}/tried/{event}",
            SignedIn,
            "an attempt: one's own, or anybody's for who may set situations",
            practice::tried_of_the_book,
        ),
        Route::get(
            "/practice/invented/{name}",
            Nothing,
            "a situation of the invented workshop",
            practice::invented,
        ),
        Route::get(
            "/practice/invented/{name}/raise",
            Nothing,
            "raise it: what would have happened; nothing is kept",
            practice::look_at_invented,
        ),
        Route::post(
            "/practice/invented/{name}/raise",
            May(Act::Practise),
            "raise it: the attempt is kept",
            practice::raise_invented,
        ),
        Route::get(
            "/practice/invented/{name}/tried/{event}",
            SignedIn,
            "an attempt at it",
            practice::tried_invented,
        ),
        Route::post(
            "/api/practice/{number}",
            SignedIn,
            "a setup while it is moved, as far as the learner may see it",
            practice::api::of_the_book,
        )
        .asks::<practice::api::Question>()
        .gives::<practice::api::Seen>(),
        Route::post(
            "/api/practice/invented/{name}",
            Nothing,
            "the same of the invented workshop",
            practice::api::invented,
        )
        .asks::<practice::api::Question>()
        .gives::<practice::api::Seen>(),
        Route::get(
            "/records",
            SignedIn,
            "what is in the book, and what can be written into it",
            records::records,
        ),
        Route::get("/lift/{id}", SignedIn, "a lift's record", records::lift),
        Route::get("/vehicle/{id}", SignedIn, "a vehicle's record", records::vehicle),
        Route::get("/lift/{id}/file", SignedIn, "a lift's file, to hand to another shop", hand::lift),
        Route::get(
            "/vehicle/{id}/file",
            SignedIn,
            "a vehicle's file, to hand to another shop",
            hand::vehicle,
        ),
        Route::get("/make/job", May(Act::EnterJob), "make a job, or change one", job::asked),
        Route::post("/make/job", May(Act::EnterJob), "a job as it is filled in; into the book", job::sent),
        Route::get("/job/{id}", SignedIn, "a job's record", job::record),
        Route::get("/job/{id}/file", SignedIn, "a job's file, to hand to another shop", job::file),
        Route::get("/take-in", SignedIn, "lifts and vehicles from another shop's files: which", hand::page),
        Route::post(
            "/take-in",
            SignedIn,
            "take lifts and vehicles in from files; what is in the book stays",
            |state, caller, form| hand::take_in(state, caller, form, false),
        ),
        Route::post(
            "/take-in/replacing",
            May(Act::Replace),
            "the same, in the place of what the book has",
            |state, caller, form| hand::take_in(state, caller, form, true),
        ),
        Route::get("/person/{id}", SignedIn, "a person's record", records::person),
        Route::post(
            "/person/{id}/pin",
            SignedIn,
            "a new PIN: one's own, or by who manages people",
            people::set_pin,
        ),
        Route::get("/day", SignedIn, "a day's page, by a form", records::day_asked),
        Route::get("/day/{day}", SignedIn, "a day's page", records::day),
        Route::get("/api/openapi.json", Nothing, "this description", api::described)
            .gives::<BTreeMap<String, Value>>(),
        Route::post("/api/plan", Nothing, "a plan of what is here, by names", api::plan)
            .asks::<shelf::Asked>()
            .gives::<wire::plan::Answer>(),
        Route::get("/api/board", Nothing, "today's board", api::board).gives::<wire::board::Board>(),
        Route::post("/api/raise", May(Act::Raise), "begin a raise by its plan", api::begin)
            .asks::<raise::Beginning>()
            .gives::<api::RaiseNow>(),
        Route::get("/api/raise/{number}", SignedIn, "where a raise stands", api::raise)
            .gives::<api::RaiseNow>(),
        Route::get("/api/events", SignedIn, "events after one, in words", records::events)
            .query("after")
            .gives::<records::Events>(),
        Route::get("/backup", May(Act::RunShop), "the whole book as one file", records::backup),
        Route::get("/settings", SignedIn, "what the shop goes by", settings::page),
        Route::get("/settings/limits", May(Act::RunShop), "the shop's own limits", settings::limits::page),
        Route::post(
            "/settings/limits",
            May(Act::RunShop),
            "the shop's own limits, in the place of those before",
            settings::limits::enter,
        ),
    ];
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
fn measuring((subject, act): (Subject, Act)) -> [Route; 6] {
    let (word, need) = (subject.word(), Need::May(act));
    let all = format!("/measure/{word}");
    let one = format!("{all}/{{step}}");
    let done = format!("/measured/{word}/{{id}}");
    let live = format!("/api/measure/{word}");
    [
        Route::get(all.clone(), need, "go on measuring", move |state, caller| {
            measure::start(state, caller, subject)
        }),
        Route::post(all, need, "measure anew", move |state, caller, form| {
            measure::anew(state, caller, form, subject)
        }),
        Route::get(
            one.clone(),
            need,
            "one dimension, and where the tape goes",
            move |state, path, query, caller| measure::page_of(state, path, query, caller, subject),
        ),
        Route::post(
            one,
            need,
            "a dimension as it was measured; at the end, into the book",
            move |state, path, caller, form| measure::answered(state, path, caller, form, subject),
        ),
        Route::get(done, need, "it is in the book: plan with it", move |path, query, caller| {
            measure::entered(path, query, caller, subject)
        }),
        Route::post(
            live,
            need,
            "the drawing of a dimension while it is typed",
            move |state, caller, json| measure::api::typed(state, caller, json, subject),
        )
        .asks::<measure::api::Typed>()
        .gives::<measure::api::Drawn>(),
    ]
}

/// What can be said of a raise, by a page and by a program.
fn sayings() -> impl Iterator<Item = Route> {
    let all = [
        ("confirm", Act::Raise, Saying::Confirm, "confirm its next hold point"),
        ("measured", Act::Raise, Saying::Measured, "confirm the spotting as it was measured"),
        ("not-right", Act::StopRaise, Saying::NotRight, "say that something is not right, or bring it down"),
        ("abandon", Act::AbandonRaise, Saying::Abandon, "end it out of its course"),
        ("take-over", Act::Raise, Saying::TakeOver, "lead it from here on"),
    ];
    all.into_iter().flat_map(|(name, act, saying, what)| {
        let need = Need::May(act);
        let page = move |state, path, caller, form| raise::said(state, path, caller, form, saying);
        let program = move |state, path, caller, json| api::said(state, path, caller, json, saying);
        [
            Route::post(format!("/raise/{{number}}/{name}"), need, what, page),
            Route::post(format!("/api/raise/{{number}}/{name}"), need, what, program)
                .asks::<raise::Said>()
                .gives::<api::RaiseNow>(),
        ]
    })
}

/// To fill a form in, and to send it.
fn forms(form: &'static Entry) -> [Route; 2] {
    let (path, need) = (format!("/enter/{}", form.name), Need::May(form.act));
    [
        Route::get(path.clone(), need, form.title, move |state, filled, caller| {
            records::asked(state, filled, caller, form)
        }),
        Route::post(path, need, form.title, move |state, caller, body| {
            records::entered(state, caller, body, form)
        }),
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
        Ok(()) => {
            parts.extensions.insert(caller.clone());
            let writes = changes_something(&parts) && need != Need::Nothing;
            let request = match writes {
                true => shown_as::own(parts, body, &caller).await,
                false => Ok(Request::from_parts(parts, body)),
            };
            match request {
                Ok(request) => once::written(&house, request, next).await,
                Err(refused) => refused,
            }
        }
        Err(Fault::NobodyIsHere) if parts.method == Method::GET && !is_api => {
            Redirect::to(&sign_in::address(&caller.at)).into_response()
        }
        Err(Fault::NobodyIsHere) => shown_as::by_nobody(&parts, body).await,
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
            Err(Fault::MayNot(format!("{} may not {act} here; ask somebody who may.", any(role))))
        }
        // Too many wrong PINs: who gave the right one may look, and do what anybody may to keep others from harm.
        Need::May(act) if !matches!(act, Act::Raise | Act::StopRaise | Act::TagOut) && caller.is_locked() => {
            Err(Fault::MayNot(
                "After too many wrong PINs you may only stop a raise, bring it down, or take a lift out of service here.".into(),
            ))
        }
        _ => Ok(()),
    }
}

/// With its article.
fn any(role: Role) -> String {
    let role = role.to_string();
    let article = if role.starts_with(['a', 'e', 'i', 'o', 'u']) { "An" } else { "A" };
    format!("{article} {role}")
}

/// Lets through what asks for these pages under a name of theirs. What names none is no browser.
pub(crate) async fn under_our_name(State(house): State<Shared>, request: Request, next: Next) -> Response {
    let (parts, body) = request.into_parts();
    let other = hosts(&parts).find(|host| !house.reach.is(host)).map(str::to_owned);
    match other {
        Some(host) => Fault::NotOurName(host).into_response(),
        None => next.run(Request::from_parts(parts, body)).await,
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
    origin.split_once("://").map(|(_, host)| host) != hosts(parts).next()
}
