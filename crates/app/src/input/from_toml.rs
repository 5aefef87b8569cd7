//! TOML text to the tree.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::tree::{Entry, Node, Value};
use super::{Problems, Source};

/// Syntax errors after the first few are mostly echoes of those.
const MOST_SYNTAX: usize = 10;

pub(super) fn read(source: &Source, problems: &mut Problems) -> Option<Node> {
    let (table, faults) = DeTable::parse_recoverable(&source.text);
    // One slip deep inside is met again at every bracket around it: said once, with how often.
    let mut told: Vec<(&str, usize)> = Vec::new();
    for fault in &faults {
        match told.iter_mut().find(|(message, _)| *message == fault.message()) {
            Some((_, more)) => *more += 1,
            None => told.push((fault.message(), 0)),
        }
    }
    for (message, more) in told.into_iter().take(MOST_SYNTAX) {
        let span = faults.iter().find(|f| f.message() == message).and_then(|f| f.span()).unwrap_or(0..0);
        let line = source.line(span.start);
        let more = if more == 0 { String::new() } else { format!(" (and {more} more of the kind)") };
        problems.error(span, format!("this is not TOML: {message}{more}"), cure(message, line));
    }
    if !faults.is_empty() {
        return None;
    }
    let before = problems.count(true);
    let span = table.span();
    let value = from_table(table.get_ref(), problems);
    (problems.count(true) == before).then_some(Node { span, value })
}

fn from_table(table: &DeTable<'_>, problems: &mut Problems) -> Value {
    let mut entries: Vec<Entry> = table
        .iter()
        .map(|(key, value)| Entry {
            key: key.get_ref().to_string(),
            key_span: key.span(),
            node: from_value(value, problems),
        })
        .collect();
    entries.sort_by_key(|e| e.key_span.start);
    Value::Table(entries)
}

fn from_value(value: &Spanned<DeValue<'_>>, problems: &mut Problems) -> Node {
    let span = value.span();
    let value = match value.get_ref() {
        DeValue::String(text) => Value::Text(text.to_string()),
        DeValue::Integer(n) => match i64::from_str_radix(n.as_str(), n.radix()) {
            #[expect(
                clippy::cast_precision_loss,
                reason = "counts in these files are small; a length is a text"
            )]
            Ok(whole) => Value::Number(whole as f64),
            Err(_) => {
                problems.error(
                    span.clone(),
                    "this whole number is too large",
                    "no count in these files is that large",
                );
                Value::Null
            }
        },
        DeValue::Float(n) => match n.as_str().parse::<f64>() {
            Ok(real) if real.is_finite() => Value::Number(real),
            _ => {
                problems.error(span.clone(), "NaN and infinity are not values", "write a finite number");
                Value::Null
            }
        },
        DeValue::Boolean(flag) => Value::Bool(*flag),
        DeValue::Datetime(date) => Value::Text(date.to_string()),
        DeValue::Array(items) => Value::List(items.iter().map(|item| from_value(item, problems)).collect()),
        DeValue::Table(table) => from_table(table, problems),
    };
    Node { span, value }
}

fn cure(message: &str, line: &str) -> &'static str {
    if message.contains("duplicate") {
        "keep one of the two"
    } else if message.contains("string") || line.matches('"').count() > 2 {
        "a text stands between two \" on one line; an inch mark inside it is written \\\", or write 9 ft 2 in"
    } else {
        "a line is `key = \"text\"`, `[table]`, `[[list of tables]]` or a comment after #"
    }
}
