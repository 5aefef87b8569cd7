//! `schema`: the JSON Schema of each form, printed from the wire types themselves.

use clap::ValueEnum;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;

use crate::cli::FINE;
use crate::input::shape::schema_of;
use crate::{wire, write};

/// The forms.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum Name {
    /// A lift file.
    Lift,
    /// A vehicle file.
    Vehicle,
    /// A job file.
    Job,
    /// A setup as measured on the floor.
    AsPlaced,
    /// The shop's own limits.
    Limits,
    /// A weighing.
    Weigh,
    /// The question of `solve`.
    Solve,
    /// The answer of `solve`.
    SolveAnswer,
    /// The answer of `plan --json`.
    PlanAnswer,
    /// The answer of `weigh --json`.
    WeighAnswer,
    /// A line of `survey --jsonl`.
    SurveyRow,
    /// The answer of `book show --json`.
    Board,
    /// The answer of `raise show --json`.
    Raise,
}

/// Prints one schema, or the names of all.
pub(crate) fn run(name: Option<Name>) -> u8 {
    match name {
        Some(name) => write::json(&schema(name), FINE),
        None => {
            let lines = Name::value_variants().iter().filter_map(ValueEnum::to_possible_value).map(|v| {
                let help = v.get_help().map(ToString::to_string).unwrap_or_default();
                format!("{:14} {help}\n", v.get_name())
            });
            write::out(&lines.collect::<String>(), FINE)
        }
    }
}

fn schema(name: Name) -> serde_json::Value {
    match name {
        Name::Lift => schema_of::<wire::lift::Lift>(),
        Name::Vehicle => schema_of::<wire::vehicle::Vehicle>(),
        Name::Job => schema_of::<wire::job::Job>(),
        Name::AsPlaced => schema_of::<wire::as_placed::AsPlaced>(),
        Name::Limits => schema_of::<wire::limits::Limits>(),
        Name::Weigh => schema_of::<wire::weigh::Weighing>(),
        Name::Solve => schema_of::<wire::solve::Question>(),
        Name::SolveAnswer => written::<wire::solve::Answer>(),
        Name::PlanAnswer => written::<wire::plan::Answer>(),
        Name::WeighAnswer => written::<wire::weigh::WeighAnswer>(),
        Name::SurveyRow => written::<crate::survey::row::Row>(),
        Name::Board => written::<wire::board::Board>(),
        Name::Raise => written::<wire::board::Raise>(),
    }
}

fn written<T: JsonSchema>() -> serde_json::Value {
    SchemaSettings::draft2020_12().for_serialize().into_generator().into_root_schema_for::<T>().to_value()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn undocumented(value: &serde_json::Value, path: &str, found: &mut Vec<String>) {
        if let Some(properties) = value.get("properties").and_then(|p| p.as_object()) {
            for (key, inner) in properties {
                // The one key of a tagged variant is documented beside it.
                let tagged = properties.len() == 1 && value.get("description").is_some();
                if inner.get("description").is_none() && !tagged {
                    found.push(format!("{path}.{key}"));
                }
            }
        }
        match value {
            serde_json::Value::Object(map) => {
                map.iter().for_each(|(k, v)| undocumented(v, &format!("{path}.{k}"), found))
            }
            serde_json::Value::Array(list) => list.iter().for_each(|v| undocumented(v, path, found)),
            _ => {}
        }
    }

    #[test]
    fn every_key_is_documented() {
        for name in Name::value_variants() {
            let mut found = Vec::new();
            undocumented(&schema(*name), "", &mut found);
            assert_eq!(found, Vec::<String>::new(), "{name:?}");
        }
    }
}
