//! Who somebody is: PINs, kept as Argon2 hashes outside the chain.

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use jiff::{SignedDuration, Timestamp};
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};

use super::{Book, to_microsecond};
use crate::command::Hand;
use crate::decide::{Decision, may_lead, permission};
use crate::digest::Digest;
use crate::fact::Fact;
use crate::failure::{Failure, PinFailure};
use crate::fault::Fault;
use crate::hall::Hall;
use crate::names::{PersonId, Seq};
use crate::refusal::Refusal;
use crate::role::Act;
use crate::shop::Shop;

/// Wrong PINs in a row until nobody may try. Own convention.
pub const WRONG_PINS: i64 = 5;
/// How long nobody may try at first; it doubles each time until a PIN was right. Own convention.
pub const FIRST_LOCK: SignedDuration = SignedDuration::from_mins(5);
/// It doubles so often at the most: about a week and a half.
const MOST_DOUBLINGS: u32 = 11;
/// While nobody may try, so many wrong PINs do not hold up a right one that stops a raise or brings it down. Own convention.
const WRONG_WHILE_LOCKED: i64 = 3;
/// One more after each such time, so that whoever leads a raise waits no longer with the right one. Own convention.
const MORE_WHILE_LOCKED: SignedDuration = SignedDuration::from_mins(1);

/// A person whose PIN was right. Only a book makes one, and only that book takes it, while they have that PIN.
#[derive(Clone, Debug)]
pub struct Signed {
    person: PersonId,
    book: Digest,
    /// The event that set that PIN.
    set: Option<Seq>,
    /// Somebody tried too many wrong PINs: until then they only stop raises and bring them down.
    locked_until: Option<Timestamp>,
}

impl Signed {
    /// Who.
    #[must_use]
    pub const fn person(&self) -> &PersonId {
        &self.person
    }

    /// Whether it is by the PIN that they have now: one that was set since, or that they left since, ends it.
    #[must_use]
    pub fn is_by_the_pin_of(&self, shop: &Hall) -> bool {
        shop.people.get(&self.person).is_some_and(|person| !person.left)
            && set_by(shop, &self.person) == self.set
    }

    /// Until when they only stop raises and bring them down, as there were too many wrong PINs.
    #[must_use]
    pub fn locked_until(&self, at: Timestamp) -> Option<Timestamp> {
        self.locked_until.filter(|until| at < *until)
    }
}

/// The event that set the PIN that somebody has, if they have one and an older program did not leave it out.
fn set_by(shop: &Hall, person: &PersonId) -> Option<Seq> {
    shop.people.get(person).and_then(|person| person.pin).map(|(seq, _)| seq)
}

/// Whether what is kept of a PIN is what its event says; an older program's event says nothing.
pub(super) fn is_as_set(set: Option<(Seq, Option<Digest>)>, hash: &str) -> bool {
    set.and_then(|(_, digest)| digest).is_none_or(|digest| digest == Digest::of(hash))
}

/// Whether every digit is the one before, or the next of it, or every one the last before it: 4444, 1234, 8901, 4321.
fn runs_on(pin: &str) -> bool {
    let steps: Vec<u8> = pin.as_bytes().windows(2).map(|two| (two[1] + 10 - two[0]) % 10).collect();
    [0, 1, 9].iter().any(|step| steps.iter().all(|s| s == step))
}

/// 4 to 12 digits, not all the same and not running on (own convention), hashed by Argon2id with a fresh salt.
pub(super) async fn hash(pin: String) -> Result<String, Failure> {
    let digits = pin.len() >= 4 && pin.len() <= 12 && pin.bytes().all(|b| b.is_ascii_digit());
    if !digits || runs_on(&pin) {
        return Err(Failure::Pin(PinFailure::TooPlain));
    }
    let hashed =
        apart(move || Argon2::default().hash_password(pin.as_bytes()).map(|h| h.to_string())).await?;
    hashed.map_err(|e| Failure::Store(e.to_string()))
}

/// 32 random hexadecimal digits.
pub(super) fn random() -> Result<String, Failure> {
    let bytes = argon2::password_hash::try_generate_salt().map_err(|e| Failure::Store(e.to_string()))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

pub(super) async fn is_right(pin: String, hash: String) -> Result<bool, Failure> {
    apart(move || {
        PasswordHash::new(&hash)
            .is_ok_and(|hash| Argon2::default().verify_password(pin.as_bytes(), &hash).is_ok())
    })
    .await
}

/// Hashing takes tens of milliseconds on purpose: not where others wait.
async fn apart<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Failure> {
    tokio::task::spawn_blocking(work).await.map_err(|e| Failure::Store(e.to_string()))
}

pub(super) async fn keep(on: &mut AnyConnection, person: &PersonId, hash: &str) -> Result<(), Failure> {
    sqlx::query(
        "INSERT INTO pin (person, hash, failures, locks, locked_until) VALUES ($1, $2, 0, 0, 0) ON CONFLICT (person) DO UPDATE SET \
         hash = excluded.hash, failures = 0, locks = 0, locked_until = 0",
    )
    .bind(person.as_str())
    .bind(hash)
    .execute(on)
    .await?;
    Ok(())
}

/// Nobody proves who they are by a PIN that was theirs before.
pub(super) async fn forget(on: &mut AnyConnection, person: &PersonId) -> Result<(), Failure> {
    sqlx::query("DELETE FROM pin WHERE person = $1").bind(person.as_str()).execute(on).await?;
    Ok(())
}

/// The PIN that somebody has, and what was tried.
struct Kept {
    hash: String,
    /// Wrong ones in a row; while locked, those since.
    failures: i64,
    locks: i64,
    /// Microseconds since 1970.
    locked_until: i64,
}

impl Kept {
    async fn of(on: &mut AnyConnection, person: &PersonId) -> Result<Option<Self>, Failure> {
        let row = sqlx::query("SELECT hash, failures, locks, locked_until FROM pin WHERE person = $1")
            .bind(person.as_str())
            .fetch_optional(on)
            .await?;
        let kept = |row: AnyRow| {
            // Less than none would keep locks from coming.
            let none_or_more = |column| row.try_get::<i64, _>(column).map(|count| count.max(0));
            Ok::<_, sqlx::Error>(Self {
                hash: row.try_get("hash")?,
                failures: none_or_more("failures")?,
                locks: none_or_more("locks")?,
                locked_until: none_or_more("locked_until")?,
            })
        };
        Ok(row.map(kept).transpose()?)
    }

    async fn keep(&self, on: &mut AnyConnection, person: &PersonId) -> Result<(), Failure> {
        sqlx::query("UPDATE pin SET failures = $2, locks = $3, locked_until = $4 WHERE person = $1")
            .bind(person.as_str())
            .bind(self.failures)
            .bind(self.locks)
            .bind(self.locked_until)
            .execute(on)
            .await?;
        Ok(())
    }

    /// Until when by the clock. Its end is by the later of clock and book; where the clock stands behind, its length by the
    /// clock alone will do, from when it went back or, if that was later, from when it locked, also once it was said to be right.
    fn locked(&self, shop: &Hall, at: Timestamp, person: &PersonId) -> Option<Timestamp> {
        if shop.now(at).as_microsecond() >= self.locked_until {
            return None;
        }
        let end = Timestamp::from_microsecond(self.locked_until).unwrap_or(Timestamp::MAX);
        let after =
            |from: Timestamp| from.saturating_add(Self::lock(self.locks - 1)).unwrap_or(Timestamp::MAX);
        let locked = shop.people.get(person).and_then(|p| p.locked);
        let was_set = |began: &(Seq, Timestamp)| shop.set_back.iter().any(|back| back.until == began.0);
        let until = match shop.behind.filter(|_| at < shop.latest) {
            _ if shop.went_back(at) => after(at),
            Some(behind) => after(locked.map_or(behind.back.1, |began| behind.since_when(began))),
            None => locked.filter(was_set).map_or(end, |(_, from)| end.min(after(from))),
        };
        (at < until).then_some(until)
    }

    /// How long a lock is after so many before it.
    fn lock(before: i64) -> SignedDuration {
        FIRST_LOCK * (1 << u32::try_from(before).unwrap_or(0).min(MOST_DOUBLINGS))
    }

    /// Whether while locked a PIN is looked at all the same.
    fn looks_while_locked(&self, at: Timestamp, until: Timestamp) -> bool {
        let since = Self::lock(self.locks - 1) - at.duration_until(until);
        self.failures < WRONG_WHILE_LOCKED + since.as_secs().max(0) / MORE_WHILE_LOCKED.as_secs()
    }

    /// One more wrong one, while locked or not; how long it locks from now on, if it does.
    fn wrong(&mut self, now: Timestamp, locked: bool) -> Option<SignedDuration> {
        if !locked && self.locked_until != 0 {
            // Those while it was locked.
            (self.failures, self.locked_until) = (0, 0);
        }
        self.failures += 1;
        if locked || self.failures < WRONG_PINS {
            return None;
        }
        let lock = Self::lock(self.locks);
        let until = to_microsecond(now.saturating_add(lock).unwrap_or(Timestamp::MAX));
        (self.failures, self.locks, self.locked_until) = (0, self.locks + 1, until.as_microsecond());
        Some(lock)
    }
}

impl Book {
    /// Proves who somebody is.
    ///
    /// # Errors
    /// Wrong, none, or locked.
    pub async fn check_pin(&self, at: Timestamp, person: &PersonId, pin: &str) -> Result<Signed, Failure> {
        self.check_pin_though_locked(at, person, pin, false).await
    }

    /// The same for what stops a raise, brings it down or takes a lift out of service, and nothing else if too many wrong PINs
    /// were tried: that must not leave a vehicle up, nor a lift in use.
    ///
    /// # Errors
    /// Wrong, none, or too many wrong ones even so.
    pub async fn check_pin_to_stop(
        &self,
        at: Timestamp,
        person: &PersonId,
        pin: &str,
    ) -> Result<Signed, Failure> {
        self.check_pin_though_locked(at, person, pin, true).await
    }

    /// Looked at first and counted then, under the writers' lock, where a lock that began meanwhile holds: many at once gain
    /// nothing, and no right one counts as wrong.
    async fn check_pin_though_locked(
        &self,
        at: Timestamp,
        person: &PersonId,
        pin: &str,
        to_stop: bool,
    ) -> Result<Signed, Failure> {
        if pin.trim().is_empty() {
            return Err(Failure::Pin(PinFailure::Blank(person.clone())));
        }
        let at = to_microsecond(at);
        let shop = self.shop().await?;
        let mut reading = self.store.begin_reading().await?;
        let kept = Kept::of(&mut reading, person).await?;
        reading.rollback().await?;
        let hash = match looked_at(&shop, at, person, kept, to_stop) {
            Ok(kept) => kept.hash,
            Err(locked @ PinFailure::Locked(..)) => {
                self.say_that_the_clock_went_back(at, person).await?;
                return Err(Failure::Pin(locked));
            }
            Err(other) => return Err(Failure::Pin(other)),
        };
        let right = is_right(pin.to_owned(), hash.clone()).await?;

        let mut writing = self.write().await?;
        let kept = Kept::of(&mut writing.tx, person).await?;
        let mut kept = looked_at(&writing.shop, at, person, kept, to_stop).map_err(Failure::Pin)?;
        if !is_as_set(writing.shop.people.get(person).and_then(|p| p.pin), &kept.hash) {
            return Err(Failure::Damaged(vec![Fault::PinAltered(person.clone())]));
        }
        let right = right && kept.hash == hash;
        let locked_until = kept.locked(&writing.shop, at, person);
        let set = set_by(&writing.shop, person);
        if !right {
            let locks = kept.wrong(writing.shop.now(at), locked_until.is_some());
            kept.keep(&mut writing.tx, person).await?;
            if let Some(lock) = locks {
                let until = to_microsecond(at.saturating_add(lock).unwrap_or(Timestamp::MAX));
                let locked = Fact::PinLocked { person: person.clone(), until };
                let facts = clock_went_back(&writing.shop, at).into_iter().chain([locked]).collect();
                let decision = Decision { facts, documents: vec![] };
                writing.put(at, &Hand::alone(person.clone()), decision).await?;
            }
        } else if locked_until.is_none() && (kept.failures, kept.locks) != (0, 0) {
            Kept { failures: 0, locks: 0, locked_until: 0, ..kept }.keep(&mut writing.tx, person).await?;
        }
        writing.commit().await?;
        match right {
            true => Ok(Signed { person: person.clone(), book: self.id, set, locked_until }),
            false => Err(Failure::Pin(PinFailure::Wrong(person.clone()))),
        }
    }

    /// Once it stands in the book, a lock lasts its length from there.
    async fn say_that_the_clock_went_back(&self, at: Timestamp, by: &PersonId) -> Result<(), Failure> {
        let mut writing = self.write().await?;
        if let Some(fact) = clock_went_back(&writing.shop, at) {
            let decision = Decision { facts: vec![fact], documents: vec![] };
            writing.put(at, &Hand::alone(by.clone()), decision).await?;
        }
        writing.commit().await?;
        Ok(())
    }

    /// Sets a PIN: one's own, or by a lead somebody's. Ends a lock.
    ///
    /// # Errors
    /// Too plain, or not allowed.
    pub async fn set_pin(
        &self,
        at: Timestamp,
        by: &Signed,
        person: &PersonId,
        pin: &str,
    ) -> Result<(), Failure> {
        let at = to_microsecond(at);
        let hash = hash(pin.to_owned()).await?;
        if by.person() == person {
            let mut reading = self.store.begin_reading().await?;
            let kept = Kept::of(&mut reading, person).await?;
            reading.rollback().await?;
            if let Some(kept) = kept
                && is_right(pin.to_owned(), kept.hash).await?
            {
                return Err(Failure::Pin(PinFailure::AsBefore(person.clone())));
            }
        }
        let mut writing = self.write().await?;
        let hand = Hand::alone(self.proved(&writing.shop, by)?);
        if let Some(until) = by.locked_until(at) {
            return Err(Failure::Pin(locked(&writing.shop, at, &hand.by, until)));
        }
        let own = hand.by == *person;
        let mut refusals = permission(&writing.shop, at, &hand, Act::ManagePeople);
        refusals.retain(|r| !own || !matches!(r, Refusal::RoleMayNot(..)));
        if writing.shop.people.get(person).is_none_or(|p| p.left) {
            refusals.push(Refusal::UnknownPerson(person.clone()));
        }
        if !refusals.is_empty() {
            return Err(Failure::Refused(refusals));
        }
        keep(&mut writing.tx, person, &hash).await?;
        let fact = Fact::PinSet { person: person.clone(), hash: Some(Digest::of(&hash)) };
        let decision = Decision { facts: vec![fact], documents: vec![] };
        writing.put(at, &hand, decision).await?;
        writing.commit().await?;
        Ok(())
    }

    /// By the shop as it is while this is written: another program may have set a PIN since.
    pub(super) fn proved(&self, shop: &Shop, signed: &Signed) -> Result<PersonId, Failure> {
        let person = signed.person.clone();
        let left = shop.people.get(&person).is_some_and(|p| p.left);
        if signed.book != self.id {
            Err(Failure::Pin(PinFailure::OtherBook(person)))
        } else if !left && !signed.is_by_the_pin_of(shop) {
            Err(Failure::Pin(PinFailure::SetSince(person)))
        } else {
            Ok(person)
        }
    }
}

fn clock_went_back(shop: &Hall, at: Timestamp) -> Option<Fact> {
    shop.went_back(at).then_some(Fact::ClockBehind { last: shop.latest })
}

/// The PIN to hold one against, if one may be tried now.
fn looked_at(
    shop: &Shop,
    at: Timestamp,
    person: &PersonId,
    kept: Option<Kept>,
    to_stop: bool,
) -> Result<Kept, PinFailure> {
    let left = shop.people.get(person).is_none_or(|p| p.left);
    let kept = kept.filter(|_| !left).ok_or_else(|| PinFailure::NoPin(person.clone()))?;
    match kept.locked(shop, at, person) {
        Some(until) if !(to_stop && kept.looks_while_locked(at, until)) => {
            Err(locked(shop, at, person, until))
        }
        _ => Ok(kept),
    }
}

/// Told in the shop's zone; of who leads a raise, with who may take it over.
pub(super) fn locked(shop: &Shop, at: Timestamp, person: &PersonId, until: Timestamp) -> PinFailure {
    let leads = shop.raises.values().any(|raise| raise.leader == *person);
    let others = if leads { may_lead(shop, at, person) } else { vec![] };
    PinFailure::Locked(person.clone(), shop.zone.at(until), others)
}
