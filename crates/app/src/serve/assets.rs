//! Styles, scripts and the sign of the pages, carried in the program.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, HeaderValue};
use axum::response::{IntoResponse, Response};
use records::Digest;

use super::fault::Fault;

macro_rules! assets {
    ($($name:literal $kind:literal),* $(,)?) => {
        [$(($name, $kind, include_str!(concat!("assets/", $name)))),*]
    };
}

/// Name, media type, text.
pub(crate) const ALL: [(&str, &str, &str); 10] = assets![
    "changes.js" "text/javascript; charset=utf-8",
    "mark.svg" "image/svg+xml",
    "measure.js" "text/javascript; charset=utf-8",
    "page.js" "text/javascript; charset=utf-8",
    "plan.js" "text/javascript; charset=utf-8",
    "raise.js" "text/javascript; charset=utf-8",
    "replay.js" "text/javascript; charset=utf-8",
    "shop.js" "text/javascript; charset=utf-8",
    "sign-in.js" "text/javascript; charset=utf-8",
    "style.css" "text/css; charset=utf-8",
];

/// The module that others take from. It takes from none.
const SHARED: &str = "changes.js";

/// As they are sent, by name: a module names the other that it takes from by where that is.
static SENT: LazyLock<Vec<(&str, String)>> = LazyLock::new(|| {
    let shared = ALL.iter().find(|asset| asset.0 == SHARED).map_or("", |asset| asset.2);
    let (from, to) = (format!("\"./{SHARED}\""), format!("\"{}\"", at(SHARED, shared)));
    ALL.iter().map(|(name, _, text)| (*name, text.replace(&from, &to))).collect()
});

fn sent(name: &str) -> Option<&'static str> {
    SENT.iter().find(|asset| asset.0 == name).map(|asset| asset.1.as_str())
}

fn at(name: &str, text: &str) -> String {
    let digest = Digest::of(text).to_string();
    let short: String = digest.chars().filter(char::is_ascii_hexdigit).take(12).collect();
    format!("/assets/{name}?{short}")
}

/// Where it is; another text has another address, so that tablets may keep it for good.
pub(crate) fn address(name: &str) -> String {
    at(name, sent(name).unwrap_or_default())
}

/// One of them.
pub(crate) async fn asset(Path(name): Path<String>) -> Result<Response, Fault> {
    let found = ALL.iter().find(|asset| asset.0 == name).zip(sent(&name));
    let ((_, kind, _), text) = found.ok_or_else(|| Fault::NotFound(format!("There is no {name} here.")))?;
    let headers = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (CACHE_CONTROL, HeaderValue::from_static("public, max-age=31536000, immutable")),
    ];
    Ok((headers, text).into_response())
}
