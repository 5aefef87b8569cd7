//! The zone by whose days a shop goes.

use std::fmt;
use std::str::FromStr;

use jiff::civil::Date;
use jiff::tz::{TimeZone, TimeZoneDatabase, db};
use jiff::{Timestamp, ZonedDateTime};
use serde::{Deserialize, Serialize};

/// In every database, and no zone of a place.
const OF_NO_PLACE: [&str; 2] = ["Factory", "Etc/Unknown"];

/// A time zone that is known here: by the database that the program brings, so that a book has the same days on every
/// machine, and by the machine's only where that one lacks the name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Zone {
    name: String,
    rules: TimeZone,
}

/// Why a text is no zone: nothing here knows one of that name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownZone(pub String);

impl fmt::Display for UnknownZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the time zone “{}” is not known here", self.0)
    }
}

impl std::error::Error for UnknownZone {}

impl Zone {
    /// One that a shop may choose: the program brings it, so that it means the same on every machine.
    ///
    /// # Errors
    /// If it is another, as `localtime` is.
    pub fn chosen(name: &str) -> Result<Self, UnknownZone> {
        let is_of_a_place = OF_NO_PLACE.iter().all(|none| !none.eq_ignore_ascii_case(name));
        if is_of_a_place && TimeZoneDatabase::bundled().get(name).is_ok() {
            name.parse()
        } else {
            Err(UnknownZone(name.to_owned()))
        }
    }

    /// Its IANA name, as it was written.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The clock's reading there.
    #[must_use]
    pub fn at(&self, at: Timestamp) -> ZonedDateTime {
        at.to_zoned_datetime(self.rules.clone())
    }

    /// The day there.
    #[must_use]
    pub fn day(&self, at: Timestamp) -> Date {
        self.at(at).date()
    }
}

impl FromStr for Zone {
    type Err = UnknownZone;

    fn from_str(name: &str) -> Result<Self, UnknownZone> {
        let found = TimeZoneDatabase::bundled().get(name).or_else(|_| db().get(name));
        let rules = found.map_err(|_| UnknownZone(name.to_owned()))?;
        Ok(Self { name: name.to_owned(), rules })
    }
}

impl TryFrom<String> for Zone {
    type Error = UnknownZone;

    fn try_from(name: String) -> Result<Self, UnknownZone> {
        name.parse()
    }
}

impl From<Zone> for String {
    fn from(zone: Zone) -> Self {
        zone.name
    }
}

impl fmt::Display for Zone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Everything that the program brings, and nothing that a machine says by itself.
    #[test]
    fn a_zone_that_is_chosen_is_known_everywhere() {
        for name in ["Europe/Berlin", "europe/berlin", "America/Denver", "Etc/GMT-3", "UTC"] {
            assert_eq!(Zone::chosen(name).expect("known").name(), name);
        }
        for name in [
            "localtime",
            "posixrules",
            "Factory",
            "factory",
            "Etc/Unknown",
            "posix/Europe/Berlin",
            "",
            "Nowhere",
        ] {
            assert_eq!(Zone::chosen(name), Err(UnknownZone(name.to_owned())));
        }
    }
}
