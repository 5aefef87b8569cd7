//! Who is at a tablet, and for how long.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use records::{PersonId, Signed};

/// Name of the cookie.
pub(crate) const COOKIE: &str = "standfast";
/// PINs that may be tried from one address in a minute: a shop's tablets share none; project default.
const TRIES: NonZeroU32 = NonZeroU32::MIN.saturating_add(19);

/// Somebody whose PIN was right, at one tablet.
#[derive(Debug)]
pub(crate) struct Session {
    pub(crate) signed: Signed,
}

impl Session {
    pub(crate) fn person(&self) -> &PersonId {
        self.signed.person()
    }
}

/// All of them. They live as long as this program: after a restart everybody gives their PIN again.
pub(crate) struct Sessions {
    idle: Duration,
    open: Mutex<BTreeMap<String, (Instant, Arc<Session>)>>,
}

impl Sessions {
    pub(crate) const fn new(idle: Duration) -> Self {
        Self { idle, open: Mutex::new(BTreeMap::new()) }
    }

    fn open(&self) -> MutexGuard<'_, BTreeMap<String, (Instant, Arc<Session>)>> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.retain(|_, (seen, _)| seen.elapsed() < self.idle);
        open
    }

    /// Begins one; gives the secret that the cookie carries.
    pub(crate) fn begin(&self, signed: Signed) -> Result<String, getrandom::Error> {
        let mut bytes = [0_u8; 32];
        getrandom::fill(&mut bytes)?;
        let secret: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
        self.open().insert(secret.clone(), (Instant::now(), Arc::new(Session { signed })));
        Ok(secret)
    }

    /// Whose it is, if it has not run out; it is seen now.
    pub(crate) fn find(&self, secret: &str) -> Option<Arc<Session>> {
        let mut open = self.open();
        let (seen, session) = open.get_mut(secret)?;
        *seen = Instant::now();
        Some(Arc::clone(session))
    }

    pub(crate) fn end(&self, secret: &str) {
        self.open().remove(secret);
    }
}

/// How often PINs are tried from each address.
pub(crate) struct Attempts(DefaultKeyedRateLimiter<IpAddr>);

impl Attempts {
    pub(crate) fn new() -> Self {
        Self(RateLimiter::keyed(Quota::per_minute(TRIES)))
    }

    /// Whether one more may be tried now.
    pub(crate) fn may_try(&self, from: IpAddr) -> bool {
        self.0.retain_recent();
        self.0.check_key(&from).is_ok()
    }
}
