//! One small form for TOML and JSON: values that know where they were written.

use std::ops::Range;

/// A value and its bytes in the source.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    pub(crate) span: Range<usize>,
    pub(crate) value: Value,
}

/// What a value is.
#[derive(Clone, Debug)]
pub(crate) enum Value {
    Null,
    Bool(bool),
    /// Finite, as both readers refuse anything else.
    Number(f64),
    Text(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key of a table and its value.
#[derive(Clone, Debug)]
pub(crate) struct Entry {
    pub(crate) key: String,
    pub(crate) key_span: Range<usize>,
    pub(crate) node: Node,
}

impl Node {
    /// The value under a key, if this is a table that has it.
    pub(crate) fn get(&self, key: &str) -> Option<&Node> {
        match &self.value {
            Value::Table(entries) => entries.iter().find(|e| e.key == key).map(|e| &e.node),
            _ => None,
        }
    }

    /// The text, if it is one.
    pub(crate) fn text(&self) -> Option<&str> {
        if let Value::Text(text) = &self.value { Some(text) } else { None }
    }

    /// Without where anything was written.
    pub(crate) fn to_json(&self) -> serde_json::Value {
        match &self.value {
            Value::Null => serde_json::Value::Null,
            Value::Bool(value) => (*value).into(),
            Value::Number(value) => (*value).into(),
            Value::Text(text) => text.as_str().into(),
            Value::List(all) => all.iter().map(Self::to_json).collect(),
            Value::Table(all) => all.iter().map(|e| (e.key.clone(), e.node.to_json())).collect(),
        }
    }

    /// What it is, for a person.
    pub(crate) fn is_a(&self) -> &'static str {
        match self.value {
            Value::Null => "nothing (null)",
            Value::Bool(_) => "true or false",
            Value::Number(_) => "a bare number",
            Value::Text(_) => "a text",
            Value::List(_) => "a list",
            Value::Table(_) => "a table",
        }
    }
}
