//! What a form of a page writes is written once, however often it is sent: whoever sends it again is led where it led first,
//! as long as nothing else was written since. After that it may have been undone, and sending it again says it again.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use ::records::Digest;
use axum::extract::Request;
use axum::http::header::LOCATION;
use axum::http::{HeaderValue, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::changes::Now;
use super::house::Shared;

/// So long it is known where a form led. Project default.
const KEPT: Duration = Duration::from_secs(15 * 60);

/// Who sent what, from which page: what is filled in otherwise, or on a page that is newer, is something else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Mark(Digest);

impl Mark {
    /// Of a form's address and all that it sends, with who sends it and what its page was made from.
    pub(crate) fn of(address: &str, person: &str, sent: &[u8]) -> Self {
        Self(Digest::of(&format!("{person} {address} {}", String::from_utf8_lossy(sent))))
    }
}

/// Where something led, once it is written, and what was in the book then.
type Led = Arc<tokio::sync::Mutex<Option<(HeaderValue, Now)>>>;

/// What was sent a while ago or is being written.
#[derive(Default)]
pub(crate) struct Sent(Mutex<BTreeMap<Mark, (Instant, Led)>>);

impl Sent {
    fn led(&self, mark: Mark) -> Led {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.retain(|_, (at, _)| at.elapsed() < KEPT);
        Arc::clone(&all.entry(mark).or_insert_with(|| (Instant::now(), Led::default())).1)
    }
}

/// Goes on with a request; what bears a mark is written once. What wrote nothing, as it was refused, is tried anew.
pub(crate) async fn written(house: &Shared, mut request: Request, next: Next) -> Response {
    let Some(mark) = request.extensions_mut().remove::<Mark>() else { return next.run(request).await };
    let mut led = house.sent.led(mark).lock_owned().await;
    if let Some((to, then)) = &*led {
        house.look().await;
        if house.known().await == *then {
            return (StatusCode::SEE_OTHER, [(LOCATION, to.clone())]).into_response();
        }
    }
    let house = Arc::clone(house);
    // A browser that sends it again lets go of what it sent before: that is brought to its end all the same.
    let work = tokio::spawn(async move {
        let before = house.known().await;
        let answer = next.run(request).await;
        let after = house.known().await;
        if answer.status().is_redirection() && after != before {
            *led = answer.headers().get(LOCATION).map(|to| (to.clone(), after));
        }
        answer
    });
    work.await.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}
