//! One line of the book, chained to the one before.

use jiff::Timestamp;

use crate::digest::Digest;
use crate::fact::Fact;
use crate::fault::Fault;
use crate::names::{PersonId, Seq};
use crate::zone::{UnknownZone, Zone};

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
        zone: &Zone,
        by: &PersonId,
        with: Option<&PersonId>,
        fact: &Fact,
    ) -> Self {
        let mut event = Self {
            seq: head.seq.0 + 1,
            at: at.as_microsecond(),
            zone: zone.name().to_owned(),
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
    pub(crate) fn read(&self) -> Result<Event, Fault> {
        let seq = Seq(self.seq);
        let unknown = |UnknownZone(name)| Fault::UnknownZone(seq, name);
        let text = |e: &dyn std::fmt::Display| Fault::Unreadable(seq, e.to_string());
        let fact = serde_json::from_str(&self.fact);
        if let (Err(_), Ok(Chosen { zone })) = (&fact, serde_json::from_str(&self.fact)) {
            zone.parse::<Zone>().map_err(unknown)?;
        }
        Ok(Event {
            seq,
            at: Timestamp::from_microsecond(self.at).map_err(|e| text(&e))?,
            zone: self.zone.parse().map_err(unknown)?,
            by: self.by.parse().map_err(|e| text(&e))?,
            with: match self.with.as_str() {
                "" => None,
                with => Some(with.parse().map_err(|e| text(&e))?),
            },
            fact: fact.map_err(|e| text(&e))?,
            before: self.before.parse().map_err(|e| text(&e))?,
            hash: self.hash.parse().map_err(|e| text(&e))?,
        })
    }
}

/// What an event says of a zone.
#[derive(serde::Deserialize)]
struct Chosen {
    zone: String,
}

/// An event as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Its place, from 1.
    pub seq: Seq,
    /// The clock's reading, UTC, to the microsecond.
    pub at: Timestamp,
    /// The shop's zone.
    pub zone: Zone,
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
