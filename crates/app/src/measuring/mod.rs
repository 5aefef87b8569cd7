//! What is measured of a lift or a vehicle, dimension by dimension: asked for on the pages one at a time, or given in the
//! columns of a table. The answers become the text of a file as any other.

mod lift;
mod more;
pub(crate) mod question;
mod row;
pub(crate) mod vehicle;
pub(crate) mod written;

pub(crate) use more::{MORE, More};
use question::{Answers, Question};
pub(crate) use row::{Heading, Row, headings};

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Subject {
    Lift,
    Vehicle,
}

impl Subject {
    /// As addresses and people have it.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Lift => "lift",
            Self::Vehicle => "vehicle",
        }
    }

    /// As its file says it.
    const fn mark(self) -> &'static str {
        match self {
            Self::Lift => crate::document::Kind::Lift.mark(),
            Self::Vehicle => crate::document::Kind::Vehicle.mark(),
        }
    }

    pub(crate) fn questions(self, answers: &Answers) -> Vec<Question> {
        match self {
            Self::Lift => lift::questions(answers),
            Self::Vehicle => vehicle::questions(answers),
        }
    }
}

/// The most signs of a name of the book.
const LONGEST: usize = 40;

/// A name of the book from a mark, cut where it is too long; `None` if nothing is left of it.
pub(crate) fn legal(mark: &str) -> Option<String> {
    let cut: String = whole_name(mark).chars().take(LONGEST).collect();
    Some(cut.trim_end_matches('-').to_owned()).filter(|name| !name.is_empty())
}

/// Small letters, digits and hyphens, a letter first.
pub(crate) fn whole_name(mark: &str) -> String {
    let plain: String =
        mark.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { ' ' }).collect();
    let joined = plain.split_whitespace().collect::<Vec<_>>().join("-");
    if joined.starts_with(|c: char| c.is_ascii_digit()) { format!("no-{joined}") } else { joined }
}

#[cfg(test)]
mod tests {
    use super::legal;

    #[test]
    fn any_mark_becomes_a_name_of_the_book() {
        for (mark, name) in [
            ("AB-12 CD", Some("ab-12-cd")),
            ("17", Some("no-17")),
            ("  X/Y_z  ", Some("x-y-z")),
            (
                "WVZZZ000000000000000000000000000000000000000000",
                Some("wvzzz00000000000000000000000000000000000"),
            ),
            ("Größe 9", Some("gr-e-9")),
            ("---", None),
            ("", None),
        ] {
            assert_eq!(legal(mark).as_deref(), name, "{mark}");
            let id = name.map(|n| n.parse::<::records::VehicleId>());
            assert!(id.is_none_or(|id| id.is_ok()), "{mark}");
        }
    }
}
