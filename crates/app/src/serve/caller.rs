//! Who asks, and in which units.

use std::convert::Infallible;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::Method;
use axum::http::header::{COOKIE, REFERER};
use axum::http::request::Parts;
use jiff::Timestamp;
use records::{Act, May, PersonId, Role, Shop, may};
use sheets::Units;
use url::{Position, Url};

use super::changes::Now;
use super::house::Shared;
use super::reach;
use super::session::{self, Session};

/// Cookie of the units that somebody chose at this tablet.
pub(crate) const UNITS: &str = "units";

/// Header of what a page asks for by itself, with nobody at it.
const BY_ITSELF: &str = "standfast-by-itself";

/// Whoever sent the request.
#[derive(Clone, Debug)]
pub(crate) struct Caller {
    pub(crate) session: Option<Arc<Session>>,
    pub(crate) units: Units,
    /// The page where they are, to come back to after signing in.
    pub(crate) at: String,
    /// The page that led here, if it is one of these.
    pub(crate) before: Option<String>,
    /// Where they are on the network.
    pub(crate) from: Option<IpAddr>,
    /// What is made for them now is made from at least this.
    pub(crate) now: Now,
}

impl Caller {
    pub(crate) fn person(&self) -> Option<&PersonId> {
        self.session.as_deref().map(Session::person)
    }

    /// What a page for them is made from: the book, the day, and who is named on it.
    pub(crate) fn made_from(&self) -> String {
        self.person().map_or_else(|| self.now.to_string(), |person| format!("{} {person}", self.now))
    }

    /// Whether they sit where the program runs.
    pub(crate) fn is_at_this_machine(&self) -> bool {
        self.from.is_some_and(|from| from.to_canonical().is_loopback())
    }

    /// Whether too many wrong PINs of theirs were tried when they signed in, and that is not over.
    pub(crate) fn is_locked(&self) -> bool {
        self.session.as_deref().is_some_and(|s| s.signed.locked_until(Timestamp::now()).is_some())
    }

    /// What they are in the shop now; `None` if nobody is signed in, or they left meanwhile.
    pub(crate) fn role(&self, shop: &Shop) -> Option<Role> {
        shop.people.get(self.person()?).filter(|person| !person.left).map(|person| person.role)
    }

    /// Whether what falls under this row of the role table is offered: to who may, alone or not, and to nobody yet, who is led
    /// to sign in.
    pub(crate) fn is_offered(&self, shop: &Shop, act: Act) -> bool {
        self.role(shop).is_none_or(|role| may(role, act) != May::No)
    }
}

/// A cookie of the request.
pub(crate) fn cookie<'a>(parts: &'a Parts, name: &str) -> Option<&'a str> {
    let all = parts.headers.get_all(COOKIE).into_iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|text| text.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(key, value)| (key == name).then_some(value))
}

/// Whether it is an address of these pages, and nothing more.
pub(crate) fn is_ours(address: &str) -> bool {
    let plain = address.bytes().all(|b| b.is_ascii_graphic() && b != b'\\');
    plain && address.starts_with('/') && !address.starts_with("//")
}

/// The page that a browser says it comes from, if it was asked for under the same name.
fn before(parts: &Parts) -> Option<String> {
    let said = Url::parse(parts.headers.get(REFERER)?.to_str().ok()?).ok()?;
    let ours = reach::hosts(parts).next()? == &said[Position::BeforeHost..Position::AfterPort];
    let page = &said[Position::BeforePath..Position::AfterQuery];
    (ours && is_ours(page)).then(|| page.to_owned())
}

impl FromRequestParts<Shared> for Caller {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, house: &Shared) -> Result<Self, Infallible> {
        // The guard has seen them already.
        if let Some(seen) = parts.extensions.get::<Self>() {
            return Ok(seen.clone());
        }
        let secret = cookie(parts, session::COOKIE);
        // First, as another book in the place of the open one ends all sessions.
        let shop = house.shop().await.ok().flatten();
        // A stream of events is opened again without anybody, and can carry no header.
        let by_itself = parts.headers.contains_key(BY_ITSELF) || parts.uri.path() == "/changes";
        let mut session = secret.and_then(|secret| house.sessions.find(secret, !by_itself));
        // Who has left the shop is nobody here, at no tablet; whose PIN was set anew, nobody until they give it.
        if let Some(here) = &session
            && let Some(shop) = shop
            && !here.signed.is_by_the_pin_of(&shop)
        {
            secret.into_iter().for_each(|secret| house.sessions.end(secret));
            session = None;
        }
        let units = match cookie(parts, UNITS) {
            Some("us") => Units::Us,
            Some("metric") => Units::Metric,
            _ => house.units().await,
        };
        let before = before(parts);
        let shows = parts.method == Method::GET || parts.method == Method::HEAD;
        let here = parts.uri.path_and_query().filter(|_| shows).map(ToString::to_string);
        let at = here.or_else(|| before.clone()).unwrap_or_else(|| "/".to_owned());
        let from = ConnectInfo::<SocketAddr>::from_request_parts(parts, house).await.ok();
        let now = house.known().await;
        Ok(Self { session, units, at, before, from: from.map(|from| from.0.ip()), now })
    }
}
