//! Holds a value against a JSON Schema (draft 2020-12), as far as the program's own schemas go. A keyword
//! that it does not know is a fault, so that nothing passes unlooked-at.

use serde_json::{Map, Value};

/// Every place where the value is not as the schema says.
pub(crate) fn faults(schema: &Value, value: &Value) -> Vec<String> {
    let mut walk = Walk { root: schema, faults: Vec::new() };
    walk.hold(schema, value, "$");
    walk.faults
}

struct Walk<'a> {
    root: &'a Value,
    faults: Vec<String>,
}

impl Walk<'_> {
    fn hold(&mut self, schema: &Value, value: &Value, at: &str) {
        let Some(schema) = schema.as_object() else {
            if schema != &Value::Bool(true) {
                self.fault(at, "nothing is allowed here");
            }
            return;
        };
        for (keyword, wanted) in schema {
            self.keyword(schema, keyword, wanted, value, at);
        }
    }

    fn keyword(
        &mut self,
        schema: &Map<String, Value>,
        keyword: &str,
        wanted: &Value,
        value: &Value,
        at: &str,
    ) {
        match keyword {
            "$schema" | "$defs" | "title" | "description" | "format" => {}
            "$ref" => {
                let pointer = wanted.as_str().and_then(|r| r.strip_prefix('#')).unwrap_or("/missing");
                match self.root.pointer(pointer).cloned() {
                    Some(target) => self.hold(&target, value, at),
                    None => self.fault(at, "a reference to nothing"),
                }
            }
            "type" => {
                let types = wanted.as_array().map_or(std::slice::from_ref(wanted), Vec::as_slice);
                if !types.iter().any(|t| is_a(value, t.as_str().unwrap_or_default())) {
                    self.fault(at, &format!("not {wanted}"));
                }
            }
            "const" if value != wanted => self.fault(at, &format!("not {wanted}")),
            "enum" if !wanted.as_array().is_some_and(|all| all.contains(value)) => {
                self.fault(at, &format!("not one of {wanted}"));
            }
            "const" | "enum" => {}
            "minimum" => {
                if value.as_f64().is_some_and(|v| wanted.as_f64().is_none_or(|least| v < least)) {
                    self.fault(at, &format!("less than {wanted}"));
                }
            }
            "minItems" | "maxItems" => {
                let (count, most) = (value.as_array().map(Vec::len), wanted.as_u64());
                let held = count.zip(most.and_then(|m| usize::try_from(m).ok()));
                if held.is_some_and(|(n, m)| if keyword == "minItems" { n < m } else { n > m }) {
                    self.fault(at, &format!("{keyword} {wanted}"));
                }
            }
            "items" => {
                for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                    self.hold(wanted, item, &format!("{at}[{i}]"));
                }
            }
            "properties" => {
                for (key, inner) in wanted.as_object().into_iter().flatten() {
                    if let Some(item) = value.get(key) {
                        self.hold(inner, item, &format!("{at}.{key}"));
                    }
                }
                // A key that the schema does not describe is one that nobody can rely on.
                for key in value.as_object().into_iter().flat_map(Map::keys) {
                    if wanted.get(key).is_none() {
                        self.fault(at, &format!("{key} is not described"));
                    }
                }
            }
            "required" => {
                for key in wanted.as_array().into_iter().flatten().filter_map(Value::as_str) {
                    if value.is_object() && value.get(key).is_none() {
                        self.fault(at, &format!("{key} is missing"));
                    }
                }
            }
            "anyOf" | "oneOf" => {
                let branches = wanted.as_array().map_or(&[][..], Vec::as_slice);
                let fitting = branches.iter().filter(|branch| {
                    let mut walk = Walk { root: self.root, faults: Vec::new() };
                    walk.hold(branch, value, at);
                    walk.faults.is_empty()
                });
                let count = fitting.count();
                if count == 0 || keyword == "oneOf" && count > 1 {
                    self.fault(at, &format!("fits {count} of {}", Value::Object(schema.clone())));
                }
            }
            other => self.fault(at, &format!("the schema uses {other}, which is not looked at here")),
        }
    }

    fn fault(&mut self, at: &str, what: &str) {
        self.faults.push(format!("{at}: {what}"));
    }
}

fn is_a(value: &Value, kind: &str) -> bool {
    match kind {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|v| v.fract().abs() < f64::EPSILON),
        _ => false,
    }
}
