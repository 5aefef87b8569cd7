//! Who was shown as signed in when a form was made: by another's name, signed in at another tab since, nothing is written.

use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Multipart, Request};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Response};
use maud::{Markup, PreEscaped, html};
use records::PersonId;

use super::caller::Caller;
use super::fault::Fault;
use super::net::MOST_BYTES;
use super::once::Mark;
use super::unwritten::Unwritten;

/// Field of every form that sends something.
pub(crate) const FIELD: &str = "shown_as";
/// What the page was made from, in a form whose own address says what is written: by it what is sent twice is told from what
/// is written again. A step of measuring writes nothing, and a raise has its own.
pub(crate) const PAGE: &str = "page_of";
/// The same of a program, which may leave it out.
pub(crate) const HEADER: &str = "standfast-shown-as";

/// With that field in every form that sends something; all pages pass here.
pub(crate) fn carried(page: Markup, caller: &Caller) -> Markup {
    const FORM: &str = "<form ";
    let person = caller.person().map_or("", PersonId::as_str);
    let field =
        |name: &str, value: &str| html! { input type="hidden" name=(name) value=(value); }.into_string();
    let (shown_as, page_of) = (field(FIELD, person), field(PAGE, &caller.now.to_string()));
    let writes = |tag: &str| {
        let step = tag.contains("action=\"/measure/") && !tag.contains("/end\"");
        !step
            && !["data-once", "multipart/", "\"/sign-out\"", "\"/sign-in\"", "\"/units\""]
                .iter()
                .any(|of| tag.contains(of))
    };
    let text = page.into_string();
    let mut parts = text.split(FORM);
    let mut whole = parts.next().unwrap_or_default().to_owned();
    for form in parts {
        whole += FORM;
        match form.split_once('>') {
            Some((tag, rest)) if tag.contains("method=\"post\"") => {
                whole.extend([tag, ">", &shown_as, if writes(tag) { &page_of } else { "" }, rest]);
            }
            _ => whole += form,
        }
    }
    PreEscaped(whole)
}

/// What was sent, without those fields, and with its mark if it is to be written once; or why it is not taken.
pub(crate) async fn own(parts: Parts, body: Body, caller: &Caller) -> Result<Request, Response> {
    let kind = parts.headers.get(CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    let (is_form, is_files) =
        (kind.starts_with("application/x-www-form-urlencoded"), kind.starts_with("multipart/form-data"));
    if !is_form && !is_files {
        let said = parts.headers.get(HEADER).and_then(|said| said.to_str().ok().map(str::to_owned));
        is_own(said, caller).map_err(Fault::into_response)?;
        return Ok(Request::from_parts(parts, body));
    }
    let too_large = |_| StatusCode::PAYLOAD_TOO_LARGE.into_response();
    let bytes = axum::body::to_bytes(body, MOST_BYTES).await.map_err(too_large)?;
    if is_files {
        is_own(beside_files(&parts, &bytes).await, caller).map_err(Fault::into_response)?;
        return Ok(Request::from_parts(parts, bytes.into()));
    }
    let pairs = || url::form_urlencoded::parse(&bytes);
    let said = pairs().find(|(name, _)| name == FIELD).map(|(_, person)| person.into_owned());
    if said.is_none() {
        return Ok(Request::from_parts(parts, bytes.into()));
    }
    is_own(said, caller).map_err(|fault| with(fault, &bytes))?;
    let others = pairs().filter(|(name, _)| name != FIELD && name != PAGE);
    let text = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(others).finish();
    let person = caller.person().map_or("", PersonId::as_str);
    let mark = pairs().any(|(name, _)| name == PAGE).then(|| Mark::of(parts.uri.path(), person, &bytes));
    let mut request = Request::from_parts(parts, text.into());
    if let Some(mark) = mark {
        request.extensions_mut().insert(mark);
    }
    request.headers_mut().remove(CONTENT_LENGTH);
    Ok(request)
}

/// With what was filled in, which is not written.
fn with(fault: Fault, sent: &Bytes) -> Response {
    let mut answer = fault.into_response();
    answer.extensions_mut().insert(Unwritten::of(sent));
    answer
}

/// Nobody is signed in: what a form sent is not lost.
pub(crate) async fn by_nobody(parts: &Parts, body: Body) -> Response {
    let kind = parts.headers.get(CONTENT_TYPE).map(|kind| kind.as_bytes());
    let is_form = kind.is_some_and(|kind| kind.starts_with(b"application/x-www-form-urlencoded"));
    match axum::body::to_bytes(body, MOST_BYTES).await {
        Ok(bytes) if is_form => with(Fault::NobodyIsHere, &bytes),
        _ => Fault::NobodyIsHere.into_response(),
    }
}

/// In a form with files it comes before them.
async fn beside_files(parts: &Parts, bytes: &Bytes) -> Option<String> {
    let copy = Request::from_parts(parts.clone(), bytes.clone().into());
    let mut form = Multipart::from_request(copy, &()).await.ok()?;
    let first = form.next_field().await.ok()??;
    if first.name() == Some(FIELD) { first.text().await.ok() } else { None }
}

fn is_own(said: Option<String>, caller: &Caller) -> Result<(), Fault> {
    let here = caller.person().map_or("", PersonId::as_str);
    match said {
        Some(shown) if shown != here => Err(Fault::AnotherIsHere { shown, here: here.to_owned() }),
        _ => Ok(()),
    }
}
