//! How a request that did not end well is told: as a page under the menu, as JSON to a program.

use axum::Json;
use axum::body::{Body, to_bytes};
use axum::extract::{FromRequestParts, Request, State};
use axum::http::header::{ALLOW, CONTENT_TYPE};
use axum::http::response::Parts;
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};
use schemars::JsonSchema;
use serde::Serialize;

use super::caller::Caller;
use super::fault::Fault;
use super::frame::{self, Page};
use super::house::Shared;
use super::net::MOST_BYTES;
use super::sign_in;
use super::unwritten::Unwritten;

/// Longest text of a library that is looked at.
const LONGEST_TEXT: usize = 4096;

/// Why a request was not answered.
#[derive(Debug, Serialize, JsonSchema)]
pub(crate) struct Refusal {
    /// What kind of ending it is, in words.
    title: &'static str,
    /// Every reason.
    reasons: Vec<String>,
}

/// What was asked for.
struct Asked {
    by: Caller,
    method: Method,
    path: String,
}

impl Asked {
    fn is_program(&self) -> bool {
        self.path.starts_with("/api/")
    }
}

/// Every answer passes here: those that hold a fault, and those with which a library ended a request in words of its own.
pub(crate) async fn told(State(house): State<Shared>, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let Ok(by) = Caller::from_request_parts(&mut parts, &house).await;
    let asked = Asked { by, method: parts.method.clone(), path: parts.uri.path().to_owned() };
    let (mut parts, body) = next.run(Request::from_parts(parts, body)).await.into_parts();
    let fault = match parts.extensions.remove::<Fault>() {
        Some(fault) => fault,
        None if is_of_a_library(&parts) => unread(parts.status, body, &asked).await,
        None => return Response::from_parts(parts, body),
    };
    let unwritten = parts.extensions.remove::<Unwritten>().unwrap_or_default();
    let mut answer = if asked.is_program() { refusal(&fault) } else { page(&fault, &asked, &unwritten) };
    if let Some(allowed) = parts.headers.remove(ALLOW) {
        answer.headers_mut().insert(ALLOW, allowed);
    }
    answer
}

/// Ours end in a page, in JSON, or in a fault.
fn is_of_a_library(parts: &Parts) -> bool {
    let failed = parts.status.is_client_error() || parts.status == StatusCode::INTERNAL_SERVER_ERROR;
    let kind = parts.headers.get(CONTENT_TYPE).map(|kind| kind.as_bytes());
    failed && kind.is_none_or(|kind| kind.starts_with(b"text/plain"))
}

/// The same in our words. To a program it is said in detail what its JSON lacks.
async fn unread(status: StatusCode, body: Body, asked: &Asked) -> Fault {
    let text = to_bytes(body, LONGEST_TEXT).await.unwrap_or_default();
    let text = String::from_utf8_lossy(&text);
    if text.starts_with("Invalid URL") {
        return Fault::NotFound("There is no such page.".into());
    }
    let why = match status {
        StatusCode::BAD_REQUEST => {
            "The address, or what was sent with it, is not written as it must be.".into()
        }
        StatusCode::METHOD_NOT_ALLOWED if asked.method == Method::GET => {
            "Nothing is shown at this address: something is sent to it.".into()
        }
        StatusCode::METHOD_NOT_ALLOWED => "Nothing can be sent to this address.".into(),
        StatusCode::REQUEST_TIMEOUT => {
            "It took too long. Look whether it was done before sending it again.".into()
        }
        StatusCode::PAYLOAD_TOO_LARGE => {
            format!("It is too large: at most {} MB are taken at once.", MOST_BYTES / 1024 / 1024)
        }
        StatusCode::UNSUPPORTED_MEDIA_TYPE if asked.is_program() => {
            "It must be sent as application/json.".into()
        }
        StatusCode::UNSUPPORTED_MEDIA_TYPE => "It was not sent as a form of these pages.".into(),
        StatusCode::UNPROCESSABLE_ENTITY => {
            "Something is missing in what was sent, or is not of its kind.".into()
        }
        StatusCode::INTERNAL_SERVER_ERROR => {
            return Fault::Broken(vec!["The answer could not be made.".into()]);
        }
        _ => "It cannot be answered.".into(),
    };
    let mut reasons: Vec<String> = vec![why];
    let is_detailed = matches!(status, StatusCode::BAD_REQUEST | StatusCode::UNPROCESSABLE_ENTITY);
    if let Some((_, detail)) = text.split_once(": ").filter(|_| asked.is_program() && is_detailed) {
        reasons.push(format!("In detail: {detail}"));
    }
    Fault::Unread(status, reasons)
}

fn refusal(fault: &Fault) -> Response {
    (fault.status(), Json(Refusal { title: fault.title(), reasons: fault.reasons() })).into_response()
}

fn page(fault: &Fault, asked: &Asked, unwritten: &Unwritten) -> Response {
    let page = match fault {
        Fault::NoBook => return Redirect::to("/begin").into_response(),
        Fault::NotOurName(_) => frame::bare(fault.title(), &ending(fault, &[])),
        _ => {
            let body = html! { (ending(fault, &ways_on(fault, asked, unwritten))) (unwritten.told()) };
            Page { title: fault.title(), part: None, module: None, body }.of(&asked.by)
        }
    };
    (fault.status(), page).into_response()
}

/// What ended, why, and the ways on: the first is the one that helps most.
fn ending(fault: &Fault, ways: &[(String, &'static str)]) -> Markup {
    html! {
        section.ending role="alert" {
            h1 { (fault.title()) }
            @match fault.reasons().as_slice() {
                [one] => { p.look { (one) } },
                several => { ul.look { @for reason in several { li { (reason) } } } },
            }
            div.ways-on {
                @for (k, (address, words)) in ways.iter().enumerate() { a.button.main[k == 0] href=(address) { (words) } }
            }
        }
    }
}

/// What helps, where it is known; back, and the first page.
fn ways_on(fault: &Fault, asked: &Asked, unwritten: &Unwritten) -> Vec<(String, &'static str)> {
    let helps = match fault {
        Fault::NobodyIsHere => Some((unwritten.sign_in(&asked.path, &asked.by.at), "Sign in")),
        Fault::AnotherIsHere { .. } => {
            Some((unwritten.sign_in(&asked.path, &asked.by.at), "Sign in as somebody else"))
        }
        Fault::MayNot(_) => Some((sign_in::address(&asked.by.at), "Sign in as somebody else")),
        Fault::FromElsewhere => Some((asked.path.clone(), "Open this shop's own page")),
        Fault::Unread(StatusCode::METHOD_NOT_ALLOWED, _) => {
            let above = asked.path.rsplit_once('/').map_or("", |(above, _)| above);
            (!above.is_empty()).then(|| (above.to_owned(), "To the page it belongs to"))
        }
        _ => None,
    };
    let back = asked.by.before.clone().map(|page| (page, "Back"));
    helps.into_iter().chain(back).chain([("/".to_owned(), "To the first page")]).collect()
}
