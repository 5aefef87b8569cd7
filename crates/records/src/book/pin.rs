//! Who somebody is: PINs, kept as Argon2 hashes outside the chain.

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use jiff::{SignedDuration, Timestamp};
use sqlx::{AnyConnection, Row};

use super::{Book, to_microsecond};
use crate::command::Hand;
use crate::decide::{Decision, permission};
use crate::digest::Digest;
use crate::fact::Fact;
use crate::failure::{Failure, PinFailure};
use crate::fault::Fault;
use crate::names::{PersonId, Seq};
use crate::refusal::Refusal;
use crate::role::Act;

/// Wrong PINs in a row until nobody may try. Own convention.
pub const WRONG_PINS: i64 = 5;
/// How long nobody may try at first; it doubles each time until a PIN was right. Own convention.
pub const FIRST_LOCK: SignedDuration = SignedDuration::from_mins(5);
/// It doubles so often at the most: about a week and a half.
const MOST_DOUBLINGS: u32 = 11;

/// A person whose PIN was right. Only a book makes one, and only that book takes it.
#[derive(Clone, Debug)]
pub struct Signed {
    person: PersonId,
    book: Digest,
}

impl Signed {
    /// Who.
    #[must_use]
    pub const fn person(&self) -> &PersonId {
        &self.person
    }
}

/// Whether what is kept of a PIN is what its event says; an older program's event says nothing.
pub(super) fn is_as_set(set: Option<(Seq, Option<Digest>)>, hash: &str) -> bool {
    set.and_then(|(_, digest)| digest).is_none_or(|digest| digest == Digest::of(hash))
}

/// 4 to 12 digits, not all the same (own convention), hashed by Argon2id with a fresh salt.
pub(super) async fn hash(pin: String) -> Result<String, Failure> {
    let digits = pin.len() >= 4 && pin.len() <= 12 && pin.bytes().all(|b| b.is_ascii_digit());
    if !digits || pin.bytes().all(|b| Some(b) == pin.bytes().next()) {
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

struct Attempt {
    hash: String,
    locks_until: Option<Timestamp>,
}

impl Book {
    /// Proves who somebody is. Each attempt is counted before it is looked at, so that many at once count as many.
    ///
    /// # Errors
    /// Wrong, none, or locked.
    pub async fn check_pin(&self, at: Timestamp, person: &PersonId, pin: &str) -> Result<Signed, Failure> {
        let at = to_microsecond(at);
        let attempt = self.count_attempt(at, person).await?;
        if !is_right(pin.to_owned(), attempt.hash.clone()).await? {
            if let Some(until) = attempt.locks_until {
                let fact = Fact::PinLocked { person: person.clone(), until };
                let mut writing = self.write().await?;
                let decision = Decision { facts: vec![fact], documents: vec![] };
                writing.put(at, &Hand::alone(person.clone()), decision).await?;
                writing.commit().await?;
            }
            return Err(Failure::Pin(PinFailure::Wrong(person.clone())));
        }
        sqlx::query(
            "UPDATE pin SET failures = 0, locks = 0, locked_until = 0 WHERE person = $1 AND hash = $2",
        )
        .bind(person.as_str())
        .bind(attempt.hash)
        .execute(&self.store.pool)
        .await?;
        Ok(Signed { person: person.clone(), book: self.id })
    }

    /// One attempt is used up; the last one locks until it proves right.
    async fn count_attempt(&self, at: Timestamp, person: &PersonId) -> Result<Attempt, Failure> {
        let mut writing = self.write().await?;
        let now = writing.shop.now(at);
        let row = sqlx::query("SELECT hash, failures, locks, locked_until FROM pin WHERE person = $1")
            .bind(person.as_str())
            .fetch_optional(&mut *writing.tx)
            .await?;
        let left = writing.shop.people.get(person).is_none_or(|p| p.left);
        let Some(row) = row.filter(|_| !left) else {
            return Err(Failure::Pin(PinFailure::NoPin(person.clone())));
        };
        let hash: String = row.try_get("hash")?;
        let set = writing.shop.people.get(person).and_then(|p| p.pin);
        if !is_as_set(set, &hash) {
            return Err(Failure::Damaged(vec![Fault::PinAltered(person.clone())]));
        }
        let (failures, locks): (i64, i64) = (row.try_get("failures")?, row.try_get("locks")?);
        let until: i64 = row.try_get("locked_until")?;
        if now.as_microsecond() < until {
            let until = Timestamp::from_microsecond(until).unwrap_or(Timestamp::MAX);
            return Err(Failure::Pin(PinFailure::Locked(person.clone(), until)));
        }
        let last = failures + 1 >= WRONG_PINS;
        let doublings = u32::try_from(locks).unwrap_or(u32::MAX).min(MOST_DOUBLINGS);
        let locks_until =
            last.then(|| now.saturating_add(FIRST_LOCK * (1 << doublings)).unwrap_or(Timestamp::MAX));
        sqlx::query("UPDATE pin SET failures = $2, locks = $3, locked_until = $4 WHERE person = $1")
            .bind(person.as_str())
            .bind(if last { 0 } else { failures + 1 })
            .bind(locks + i64::from(last))
            .bind(locks_until.map_or(0, Timestamp::as_microsecond))
            .execute(&mut *writing.tx)
            .await?;
        writing.commit().await?;
        Ok(Attempt { hash, locks_until: locks_until.map(to_microsecond) })
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
        let hand = Hand::alone(self.proved(by)?);
        let mut writing = self.write().await?;
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

    pub(super) fn proved(&self, signed: &Signed) -> Result<PersonId, Failure> {
        if signed.book == self.id {
            Ok(signed.person.clone())
        } else {
            Err(Failure::Pin(PinFailure::OtherBook(signed.person.clone())))
        }
    }
}
