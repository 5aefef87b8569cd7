//! Who asks, and in which units.

use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::FromRequestParts;
use axum::http::header::COOKIE;
use axum::http::request::Parts;
use jiff::Timestamp;
use records::{PersonId, Role, Shop};
use sheets::Units;

use super::house::Shared;
use super::session::{self, Session};

/// Cookie of the units that somebody chose at this tablet.
pub(crate) const UNITS: &str = "units";

/// Whoever sent the request.
#[derive(Clone, Debug)]
pub(crate) struct Caller {
    pub(crate) session: Option<Arc<Session>>,
    pub(crate) units: Units,
    /// Where they are, to come back to after signing in.
    pub(crate) at: String,
}

impl Caller {
    pub(crate) fn person(&self) -> Option<&PersonId> {
        self.session.as_deref().map(Session::person)
    }

    /// Whether too many wrong PINs of theirs were tried when they signed in, and that is not over.
    pub(crate) fn is_locked(&self) -> bool {
        self.session.as_deref().is_some_and(|s| s.signed.locked_until(Timestamp::now()).is_some())
    }

    /// What they are in the shop now; `None` if nobody is signed in, or they left meanwhile.
    pub(crate) fn role(&self, shop: &Shop) -> Option<Role> {
        shop.people.get(self.person()?).map(|person| person.role)
    }
}

/// A cookie of the request.
pub(crate) fn cookie<'a>(parts: &'a Parts, name: &str) -> Option<&'a str> {
    let all = parts.headers.get_all(COOKIE).into_iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|text| text.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(key, value)| (key == name).then_some(value))
}

impl FromRequestParts<Shared> for Caller {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, house: &Shared) -> Result<Self, Infallible> {
        let session = cookie(parts, session::COOKIE).and_then(|secret| house.sessions.find(secret));
        let units = if cookie(parts, UNITS) == Some("us") { Units::Us } else { Units::Metric };
        let at = parts.uri.path_and_query().map(ToString::to_string).unwrap_or_default();
        Ok(Self { session, units, at })
    }
}
