//! One line of the book, chained to the one before.

use jiff::Timestamp;

use crate::digest::Digest;
use crate::fact::Fact;
use crate::names::{PersonId, Seq};

/// Where the book ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Head {
    /// Of the last event; 0 = none.
    pub seq: Seq,
    /// Its hash.
    pub hash: Digest,
}

impl Head {
    /// Of an empty book.
    pub const EMPTY: Self = Self { seq: Seq(0), hash: Digest::NONE };
}

/// An event as stored: nothing interpreted, so that its hash can be computed whatever it says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct StoredEvent {
    pub(crate) seq: u64,
    /// Microseconds since 1970, UTC.
    pub(crate) at: i64,
    pub(crate) zone: String,
    pub(crate) by: String,
    pub(crate) with: String,
    pub(crate) fact: String,
    pub(crate) before: String,
    pub(crate) hash: String,
}

impl StoredEvent {
    /// SHA-256 over every part with its length, and what kind of record it is.
    pub(crate) fn expected_hash(&self) -> Digest {
        self.hash_at(self.seq)
    }

    /// Whether it is as it was written.
    pub(crate) fn is_intact(&self) -> bool {
        self.expected_hash().to_string() == self.hash
    }

    /// The hash that it would have at another place.
    pub(crate) fn hash_at(&self, seq: u64) -> Digest {
        Digest::of_parts(&[
            "standfast event 1",
            &seq.to_string(),
            &self.at.to_string(),
            &self.zone,
            &self.by,
            &self.with,
            &self.fact,
            &self.before,
        ])
    }

    /// Next after `head`.
    pub(crate) fn next(
        head: Head,
        at: Timestamp,
        zone: &str,
        by: &PersonId,
        with: Option<&PersonId>,
        fact: &Fact,
    ) -> Self {
        let mut event = Self {
            seq: head.seq.0 + 1,
            at: at.as_microsecond(),
            zone: zone.to_owned(),
            by: by.to_string(),
            with: with.map(ToString::to_string).unwrap_or_default(),
            fact: serde_json::to_string(fact).unwrap_or_default(),
            before: head.hash.to_string(),
            hash: String::new(),
        };
        event.hash = event.expected_hash().to_string();
        event
    }

    /// What it says, if it can be read. Does not look at the hash.
    pub(crate) fn read(&self) -> Result<Event, String> {
        let text = |e: &dyn std::fmt::Display| e.to_string();
        Ok(Event {
            seq: Seq(self.seq),
            at: Timestamp::from_microsecond(self.at).map_err(|e| text(&e))?,
            zone: self.zone.clone(),
            by: self.by.parse().map_err(|e| text(&e))?,
            with: match self.with.as_str() {
                "" => None,
                with => Some(with.parse().map_err(|e| text(&e))?),
            },
            fact: serde_json::from_str(&self.fact).map_err(|e| text(&e))?,
            before: self.before.parse().map_err(|e| text(&e))?,
            hash: self.hash.parse().map_err(|e| text(&e))?,
        })
    }
}

/// An event as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Its place, from 1.
    pub seq: Seq,
    /// The clock's reading, UTC, to the microsecond.
    pub at: Timestamp,
    /// IANA name of the shop's zone.
    pub zone: String,
    /// Who.
    pub by: PersonId,
    /// The second person, where one was needed.
    pub with: Option<PersonId>,
    /// What.
    pub fact: Fact,
    /// Hash of the event before.
    pub before: Digest,
    /// Its hash.
    pub hash: Digest,
}

impl Event {
    /// Where the book ends if this is the last.
    #[must_use]
    pub const fn head(&self) -> Head {
        Head { seq: self.seq, hash: self.hash }
    }
}
