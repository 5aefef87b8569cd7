//! What no column of a table says of a vehicle: lines of a vehicle's file, kept beside the table.

use super::written::Problem;
use crate::input::Source;
use crate::input::problem;

/// The column that names such a file.
pub(crate) const MORE: &str = "more";
const AREAS: &str = "lift_areas";
/// What may stand in it.
const KEYS: [&str; 3] = [AREAS, "parts", "stand_places"];

/// The lines of such a file.
#[derive(Debug)]
pub(crate) struct More {
    name: String,
    text: String,
    /// Whether all lifting areas are told there.
    pub(super) has_areas: bool,
}

impl More {
    /// As the table names it; the error is what is wrong with it, and what would be right.
    pub(crate) fn of(name: &str, source: Source) -> Result<Self, [String; 2]> {
        let (name, text) = (name.to_owned(), source.text);
        let table = toml::from_str::<toml::Table>(&text).map_err(|fault| {
            let line = fault.span().map_or(1, |span| line_of(&text, span.start));
            [
                format!("{name}, line {line}: {}", fault.message()),
                "write it as in a vehicle's file".to_owned(),
            ]
        })?;
        if let Some(other) = table.keys().find(|key| !KEYS.contains(&key.as_str())) {
            return Err([
                format!("{name} says `{other}`, and only {} are told there", told()),
                "give it in its column, or name a whole vehicle's file in `file`".to_owned(),
            ]);
        }
        if table.is_empty() {
            return Err([format!("{name} says nothing"), format!("it may say {}", told())]);
        }
        Ok(Self { has_areas: table.contains_key(AREAS), name, text })
    }

    /// After lines that have no table of their own.
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// A problem in it, at a place from its beginning.
    pub(super) fn problem(&self, of: &problem::Problem, at: usize) -> Problem {
        Problem {
            field: Some(MORE.to_owned()),
            cell: None,
            is_error: of.is_error,
            message: format!("{}, line {}: {}", self.name, line_of(&self.text, at), of.message),
            help: of.help.clone(),
        }
    }
}

fn line_of(text: &str, at: usize) -> usize {
    text.bytes().take(at).filter(|byte| *byte == b'\n').count() + 1
}

fn told() -> String {
    KEYS.map(|key| format!("`{key}`")).join(", ")
}
