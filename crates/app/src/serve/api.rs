//! The same for programs: JSON in and out, described by an OpenAPI document that is made from these types.

use axum::Json;
use axum::extract::{Path, State};
use axum::response::IntoResponse;
use jiff::Timestamp;
use records::{Book, Event, Fact, RaiseNumber, Subject};
use schemars::{JsonSchema, Schema, generate::SchemaSettings};
use serde::Serialize;
use serde_json::{Value, json};
use sheets::Units;

use super::caller::Caller;
use super::ending::Refusal;
use super::fault::{ApiFault, Fault};
use super::house::Shared;
use super::raise::{self, Beginning, Said, Saying};
use super::routes::{self, Need, Route};
use super::shelf::{self, Asked};
use super::shown_as;
use crate::convert;
use crate::told;
use crate::verb::raise::{self as led, SaidAt};
use crate::wire;

/// A raise, and the last event that was known of it.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct RaiseNow {
    /// Where it stands; nothing = it has ended.
    raise: Option<wire::board::Raise>,
    /// How it ended, in words; nothing = it has not.
    ended: Option<String>,
    /// The number of its last event, to be sent back with what is said next.
    seen: u64,
}

pub(crate) async fn board(State(house): State<Shared>) -> Result<Json<wire::board::Board>, ApiFault> {
    let shop = house.book().await?.shop().await?;
    Ok(Json(told::board::board(&shop, Timestamp::now())))
}

pub(crate) async fn plan(
    State(house): State<Shared>,
    caller: Caller,
    Json(asked): Json<Asked>,
) -> Result<Json<wire::plan::Answer>, ApiFault> {
    let worked = shelf::worked(&house, shelf::texts(&house, &asked).await?).await?;
    Ok(Json(convert::plan::answer(&worked.scene(), caller.units)))
}

async fn now(house: &Shared, number: RaiseNumber) -> Result<Json<RaiseNow>, ApiFault> {
    let book = house.book().await?;
    let shop = book.shop().await?;
    let events = book.events_about(&Subject::Raise(number)).await?;
    let none = || Fault::NotFound(format!("There is no raise {number} in the book."));
    let seen = raise::seen_now(&shop, number, &events).ok_or_else(none)?.0;
    let raise = match shop.raises.get(&number) {
        Some(raise) => Some(led::now(&book, &shop, number, raise, Units::Metric).await?),
        None => None,
    };
    let ended = match raise {
        Some(_) => None,
        None => Some(ending(&book, &events).await?),
    };
    Ok(Json(RaiseNow { raise, ended, seen }))
}

/// What ended a raise of these events: its last hold point, or that it was abandoned.
async fn ending(book: &Book, events: &[Event]) -> Result<String, Fault> {
    let ends =
        |event: &&Event| matches!(event.fact, Fact::PointConfirmed { .. } | Fact::RaiseAbandoned { .. });
    let last = events.iter().rfind(ends).or(events.last());
    let beside = told::Beside::of(book, &*book.known().await, events).await?;
    Ok(last.map(|event| told::sentence(event, &beside, Units::Metric)).unwrap_or_default())
}

pub(crate) async fn raise(
    State(house): State<Shared>,
    Path(number): Path<u64>,
) -> Result<Json<RaiseNow>, ApiFault> {
    now(&house, RaiseNumber(number)).await
}

pub(crate) async fn begin(
    State(house): State<Shared>,
    caller: Caller,
    Json(begins): Json<Beginning>,
) -> Result<Json<RaiseNow>, ApiFault> {
    let number = raise::begun(&house, &caller, &begins).await?;
    now(&house, number).await
}

pub(crate) async fn said(
    State(house): State<Shared>,
    Path(number): Path<u64>,
    caller: Caller,
    Json(said): Json<Said>,
    saying: Saying,
) -> Result<Json<RaiseNow>, ApiFault> {
    let number = RaiseNumber(number);
    raise::say(&house, number, &caller, (saying, SaidAt::Program), &said).await?;
    now(&house, number).await
}

/// OpenAPI 3.1 of every address that begins with `/api/`.
pub(crate) fn description() -> Value {
    let mut make = SchemaSettings::draft2020_12()
        .with(|settings| settings.definitions_path = "/components/schemas".into())
        .into_generator();
    let refusal = make.subschema_for::<Refusal>();
    let mut paths = serde_json::Map::new();
    for route in routes::all().iter().filter(|route| route.path.starts_with("/api/")) {
        let question = route.asks.map(|form| form(&mut make));
        let answer = route.gives.map_or_else(Schema::default, |form| form(&mut make));
        let body = |schema: &Schema| json!({ "application/json": { "schema": schema } });
        let mut operation = json!({
            "summary": route.what,
            "description": needed(route.need),
            "responses": {
                "200": { "description": "Answered.", "content": body(&answer) },
                "default": { "description": "Not answered, with every reason.", "content": body(&refusal) },
            },
        });
        if let Some(question) = question {
            operation["requestBody"] = json!({ "required": true, "content": body(&question) });
        }
        let parameters: Vec<Value> = parameters(route).collect();
        if !parameters.is_empty() {
            operation["parameters"] = parameters.into();
        }
        let methods = paths.entry(route.path.to_string()).or_insert_with(|| json!({}));
        methods[route.method.as_str().to_lowercase()] = operation;
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Standfast",
            "version": env!("CARGO_PKG_VERSION"),
            "description": format!(
                "Figures in SI, the unit in the key's name. Signed in by the cookie that /sign-in sets. What is sent may say in the header {} who is \
                 taken to be signed in: if somebody else is, nothing is written.",
                shown_as::HEADER
            ),
        },
        "paths": paths,
        "components": { "schemas": make.take_definitions(true) },
    })
}

/// Those of the address, and the query.
fn parameters(route: &Route) -> impl Iterator<Item = Value> {
    let parts = route.path.split('/').filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'));
    let parts = parts.map(|name| {
        let schema = match name {
            "number" => json!({ "type": "integer", "minimum": 1 }),
            _ => json!({ "type": "string" }),
        };
        json!({ "name": name, "in": "path", "required": true, "schema": schema })
    });
    let query = route.query.map(|name| {
        let schema = json!({ "type": "integer", "minimum": 0 });
        json!({ "name": name, "in": "query", "required": false, "schema": schema })
    });
    parts.chain(query)
}

fn needed(need: Need) -> String {
    match need {
        Need::Nothing => "Anybody may ask.".into(),
        Need::SignedIn => "Somebody must be signed in.".into(),
        Need::May(act) => format!("Whoever is signed in must be allowed to {act}."),
    }
}

pub(crate) async fn described() -> impl IntoResponse {
    Json(description())
}
