//! JSON text to the tree.

use jsonc_parser::ast::{self, ObjectPropName};
use jsonc_parser::common::Ranged;
use jsonc_parser::{CollectOptions, CommentCollectionStrategy, ParseOptions, parse_to_ast};

use super::tree::{Entry, Node, Value};
use super::{Problems, Source};

pub(super) fn read(source: &Source, problems: &mut Problems) -> Option<Node> {
    // The reader with ranges is lenient in corners, so a strict one (RFC 8259) has the first word.
    if let Err(fault) = serde_json::from_str::<serde::de::IgnoredAny>(&source.text) {
        let line_start: usize =
            source.text.split_inclusive('\n').take(fault.line().saturating_sub(1)).map(str::len).sum();
        let at = floor(&source.text, line_start + fault.column().saturating_sub(1));
        problems.error(
            at..at,
            format!("this is not JSON: {fault}"),
            "JSON as RFC 8259 has it: no comments, no trailing commas, no NaN",
        );
        return None;
    }
    let collect = CollectOptions { comments: CommentCollectionStrategy::Off, tokens: false };
    let strict = ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    };
    match parse_to_ast(&source.text, &collect, &strict) {
        Ok(parsed) => parsed.value.map(|value| from_value(value, problems)),
        Err(fault) => {
            let range = fault.range();
            problems.error(
                range.start..range.end,
                format!("this is not JSON: {}", fault.kind()),
                "JSON as RFC 8259 has it",
            );
            None
        }
    }
}

fn floor(text: &str, byte: usize) -> usize {
    (0..=byte.min(text.len())).rev().find(|&i| text.is_char_boundary(i)).unwrap_or(0)
}

fn from_value(value: ast::Value<'_>, problems: &mut Problems) -> Node {
    let range = value.range();
    let span = range.start..range.end;
    let value = match value {
        ast::Value::StringLit(text) => Value::Text(text.value.into_owned()),
        ast::Value::NumberLit(number) => match number.value.parse::<f64>() {
            Ok(real) if real.is_finite() => Value::Number(real),
            _ => {
                problems.error(
                    span.clone(),
                    format!("{} is too large to be a number here", number.value),
                    "write a finite number",
                );
                Value::Null
            }
        },
        ast::Value::BooleanLit(flag) => Value::Bool(flag.value),
        ast::Value::NullKeyword(_) => Value::Null,
        ast::Value::Array(list) => {
            Value::List(list.elements.into_iter().map(|e| from_value(e, problems)).collect())
        }
        ast::Value::Object(object) => {
            let mut entries: Vec<Entry> = Vec::new();
            for property in object.properties {
                let name = match &property.name {
                    ObjectPropName::String(text) => text.range(),
                    ObjectPropName::Word(word) => word.range(),
                };
                let key_span = name.start..name.end;
                let key = property.name.into_string();
                if entries.iter().any(|e| e.key == key) {
                    problems.error(
                        key_span.clone(),
                        format!("`{key}` is there twice"),
                        "keep one of the two",
                    );
                }
                entries.push(Entry { key, key_span, node: from_value(property.value, problems) });
            }
            Value::Table(entries)
        }
    };
    Node { span, value }
}
