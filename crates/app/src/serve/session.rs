//! Who is at a tablet, and for how long.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use records::{PersonId, Signed};

/// Name of the cookie.
pub(crate) const COOKIE: &str = "standfast";

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

    /// Whose it is, if it has not run out; what somebody does keeps it open.
    pub(crate) fn find(&self, secret: &str, by_somebody: bool) -> Option<Arc<Session>> {
        let mut open = self.open();
        let (seen, session) = open.get_mut(secret)?;
        if by_somebody {
            *seen = Instant::now();
        }
        Some(Arc::clone(session))
    }

    /// Whether it has neither ended nor run out.
    pub(crate) fn is_open(&self, session: &Arc<Session>) -> bool {
        self.open().values().any(|(_, open)| Arc::ptr_eq(open, session))
    }

    pub(crate) fn end(&self, secret: &str) {
        self.open().remove(secret);
    }

    /// Everybody gives their PIN again.
    pub(crate) fn end_all(&self) {
        self.open().clear();
    }
}

/// How often something may be done: so many times at once, and then once each so long.
#[derive(Clone, Copy)]
struct Pace {
    at_once: u32,
    every: Duration,
}

/// PINs from one address: a shop's tablets share none. Project default.
const FROM_ONE: Pace = Pace { at_once: 20, every: Duration::from_secs(3) };
/// Wrong PINs of one person from one address: fewer than those at which the book locks. Project default.
const OF_ONE: Pace = Pace { at_once: 4, every: Duration::from_secs(60) };

/// An address, and a person or all.
type Tried = (Option<IpAddr>, Option<PersonId>);

/// How often PINs are tried from each address: until when the tries of each are used up.
#[derive(Default)]
pub(crate) struct Attempts(Mutex<BTreeMap<Tried, Instant>>);

impl Attempts {
    /// Whether one more may be tried now. It counts before it is known whether it is right, so that many at once count
    /// as many.
    pub(crate) fn may_try(&self, from: Option<IpAddr>, person: &PersonId, now: Instant) -> bool {
        let mut tried = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        tried.retain(|_, until| *until > now);
        let mut may = |key: Tried, pace: Pace| {
            let until = tried.get(&key).copied().unwrap_or(now) + pace.every;
            let may = until <= now + pace.every * pace.at_once;
            if may {
                tried.insert(key, until);
            }
            may
        };
        may((from, Some(person.clone())), OF_ONE) && may((from, None), FROM_ONE)
    }

    /// Who was right begins anew.
    pub(crate) fn was_right(&self, from: Option<IpAddr>, person: &PersonId) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).remove(&(from, Some(person.clone())));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn after_a_few_wrong_pins_one_a_minute_and_only_for_that_person_from_there() {
        let attempts = Attempts::default();
        let (here, there) = (Some(IpAddr::from([192, 168, 7, 5])), Some(IpAddr::from([192, 168, 7, 6])));
        let (ann, bob): (PersonId, PersonId) = ("ann".parse().unwrap(), "bob".parse().unwrap());
        let now = Instant::now();
        let after = |seconds: u64| now + Duration::from_secs(seconds);
        let tries =
            |from, person: &PersonId, at| (0..30).filter(|_| attempts.may_try(from, person, at)).count();
        assert_eq!(tries(here, &ann, now), 4);
        assert_eq!(tries(here, &ann, after(59)), 0);
        assert_eq!(tries(here, &ann, after(60)), 1);
        assert_eq!(tries(here, &bob, after(60)), 4);
        assert_eq!(tries(there, &ann, after(60)), 4);
        attempts.was_right(here, &ann);
        assert_eq!(tries(here, &ann, after(61)), 4);
        assert_eq!(tries(here, &ann, after(3600)), 4);
    }

    #[test]
    fn one_address_does_not_try_everybody() {
        let attempts = Attempts::default();
        let now = Instant::now();
        let people: Vec<PersonId> = (0..40).map(|n| format!("p-{n}").parse().unwrap()).collect();
        let tried = people.iter().filter(|person| attempts.may_try(None, person, now)).count();
        assert_eq!(tried, 20);
    }
}
