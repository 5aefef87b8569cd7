//! The structural pass: walks a wire type's own JSON Schema over the tree and reports every unknown
//! key, missing key, wrong type, wrong word and unreadable quantity.

use records::is_hidden;
use schemars::{JsonSchema, generate::SchemaSettings};
use serde_json::{Map, Value as Json};

use super::Problems;
use super::quantity::{self, KINDS};
use super::tree::{Node, Value};

/// Reports every fault of shape; returns the tree without what the type does not know.
pub(crate) fn check<T: JsonSchema>(root: &Node, whole: &str, problems: &mut Problems) -> Node {
    let schema = schema_of::<T>();
    let mut walk = Walk { schema: &schema, problems };
    let mut pruned = root.clone();
    walk.node(&mut pruned, &schema, whole);
    pruned
}

/// The JSON Schema of a wire type as it is read.
pub(crate) fn schema_of<T: JsonSchema>() -> Json {
    let mut schema = SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>().to_value();
    bound_names(&mut schema);
    schema
}

/// Longest name and any other text that a type does not bound itself, in signs. Own convention: two lines of a sheet.
pub(crate) const LONGEST: usize = 60;

/// Bounds every free text that has no bound of its own, so that the schema says what is checked.
fn bound_names(schema: &mut Json) {
    let free = type_of(schema).contains(&"string")
        && ["format", "const", "enum", "maxLength"].iter().all(|key| schema.get(key).is_none());
    match schema {
        Json::Object(map) => {
            if free {
                map.insert("maxLength".into(), LONGEST.into());
            }
            // An example is a value, not a schema.
            map.iter_mut().filter(|(key, _)| *key != "examples").for_each(|(_, inner)| bound_names(inner));
        }
        Json::Array(items) => items.iter_mut().for_each(bound_names),
        _ => {}
    }
}

/// What is wrong with a text that is to be printed as it is, with the cure: signs that are not seen, or too many.
pub(crate) fn unfit(text: &str, most: usize) -> Option<[String; 2]> {
    if let Some(hidden) = text.chars().find(|c| is_hidden(*c)) {
        return Some([
            format!(
                "holds the sign U+{:04X}, which is not seen and may change how the rest is read",
                u32::from(hidden)
            ),
            "write it again without that sign".into(),
        ]);
    }
    let long = text.chars().count();
    (long > most).then(|| {
        [
            format!("is {long} signs long, and at most {most} fit: {:?}", brief(text)),
            "write it shorter: sheets and reports repeat it".into(),
        ]
    })
}

struct Walk<'a> {
    schema: &'a Json,
    problems: &'a mut Problems,
}

impl<'a> Walk<'a> {
    fn node(&mut self, node: &mut Node, schema: &'a Json, what: &str) {
        if let Some([fault, help]) = node.text().and_then(|text| unfit(text, usize::MAX)) {
            return self.problems.error(node.span.clone(), format!("{what} {fault}"), help);
        }
        let options = self.options(schema);
        // A word of its own is itself; any other text belongs to what takes texts.
        let is_word =
            |o: &&Json| o.get("const").is_some() && o.get("const").and_then(Json::as_str) == node.text();
        let fitting = || options.iter().copied().filter(|o| fits(node, o));
        let free = || fitting().find(|o| o.get("const").is_none());
        let Some(chosen) = fitting().find(is_word).or_else(free).or_else(|| fitting().next()) else {
            return self.wrong_type(node, &options, what);
        };
        if let Some(words) = words(&options)
            && let Some(text) = node.text()
        {
            if !words.contains(&text) {
                self.wrong_word(node, text, &words, &options, what);
            }
            return;
        }
        match &mut node.value {
            Value::Text(text) => {
                if let Some(kind) = kind_of(chosen)
                    && let Err(fault) = quantity::parse_kind(kind, text)
                {
                    self.problems.error(node.span.clone(), format!("{what}: {}", fault.message), fault.help);
                } else if let Some(most) = count(chosen, "maxLength")
                    && let Some([fault, help]) = unfit(text, most)
                {
                    self.problems.error(node.span.clone(), format!("{what} {fault}"), help);
                }
            }
            Value::Number(n) => self.number(*n, node.span.clone(), chosen, what),
            Value::List(items) => self.list(items, node.span.clone(), chosen, what),
            Value::Table(_) => self.table(node, chosen, what),
            Value::Null | Value::Bool(_) => {}
        }
    }

    fn table(&mut self, node: &mut Node, schema: &'a Json, what: &str) {
        let none = Map::new();
        let properties = schema.get("properties").and_then(Json::as_object);
        let known: Vec<&str> = properties.unwrap_or(&none).keys().map(String::as_str).collect();
        let Value::Table(entries) = &mut node.value else { return };
        // The whole file has no place of its own: its first key stands for it.
        let first = entries.first().map_or(0..0, |e| e.key_span.clone());
        let span = if node.span.start == 0 { first } else { node.span.clone() };
        let closed = schema.get("additionalProperties") == Some(&Json::Bool(false));
        entries.retain_mut(|entry| {
            if let Some(inner) = properties.and_then(|p| p.get(&entry.key)) {
                self.node(&mut entry.node, inner, &entry.key);
                return true;
            }
            if closed {
                let help = match nearest(&entry.key, &known) {
                    Some(near) => format!("did you mean `{near}`? known here: {}", known.join(", ")),
                    None => format!("known here: {}", known.join(", ")),
                };
                self.problems.error(
                    entry.key_span.clone(),
                    format!("`{}` is not known in {what}", brief(&entry.key)),
                    help,
                );
            }
            !closed
        });
        for key in
            schema.get("required").and_then(Json::as_array).into_iter().flatten().filter_map(Json::as_str)
        {
            if entries.iter().any(|e| e.key == key) {
                continue;
            }
            let inner = properties.and_then(|p| p.get(key)).unwrap_or(&Json::Null);
            self.problems.error(
                span.clone(),
                format!("`{key}` is missing in {what}"),
                self.how_to(key, inner),
            );
        }
    }

    fn list(&mut self, items: &mut [Node], span: std::ops::Range<usize>, schema: &'a Json, what: &str) {
        let (least, most) =
            (count(schema, "minItems").unwrap_or(0), count(schema, "maxItems").unwrap_or(usize::MAX));
        if !(least..=most).contains(&items.len()) {
            let wanted = if least == most { format!("{least}") } else { format!("at least {least}") };
            self.problems.error(
                span,
                format!("{what} is a list of {}, not of {}", wanted, items.len()),
                format!("write {wanted} of them"),
            );
        }
        if let Some(inner) = schema.get("items") {
            for item in items {
                self.node(item, inner, what);
            }
        }
    }

    fn number(&mut self, n: f64, span: std::ops::Range<usize>, schema: &Json, what: &str) {
        let least = schema.get("minimum").and_then(Json::as_f64).unwrap_or(f64::NEG_INFINITY);
        let most = schema.get("maximum").and_then(Json::as_f64).unwrap_or(f64::INFINITY);
        let whole = type_of(schema).contains(&"integer");
        if (whole && n.fract() != 0.0) || !(least..=most).contains(&n) {
            let kind = if whole { "a whole number" } else { "a number" };
            let range = if most.is_finite() {
                format!("{kind} from {least} to {most}")
            } else {
                format!("{kind}, at least {least}")
            };
            self.problems.error(span, format!("{what} is {}", bare(n)), format!("write {range}"));
        }
    }

    /// The alternatives of a schema, references followed.
    fn options(&self, schema: &'a Json) -> Vec<&'a Json> {
        let mut found = Vec::new();
        let mut open = vec![schema];
        while let Some(next) = open.pop() {
            if let Some(name) = next.get("$ref").and_then(Json::as_str) {
                open.extend(self.schema.pointer(name.trim_start_matches('#')));
            } else if let Some(list) =
                next.get("anyOf").or_else(|| next.get("oneOf")).and_then(Json::as_array)
            {
                open.extend(list.iter().rev());
            } else {
                found.push(next);
            }
        }
        found
    }

    fn wrong_type(&mut self, node: &Node, options: &[&'a Json], what: &str) {
        if let (Value::Number(n), Some(kind)) = (&node.value, options.iter().find_map(|o| kind_of(o))) {
            let help = format!("{} needs its unit: write {} in quotes", kind.one(), quantity::examples(kind));
            return self.problems.error(
                node.span.clone(),
                format!("{what} is the bare number {}", bare(*n)),
                help,
            );
        }
        let wanted: Vec<String> = options.iter().filter(|o| !is_null(o)).map(|o| describe(o)).collect();
        self.problems.error(
            node.span.clone(),
            format!("{what} is {}, and that does not fit here", node.is_a()),
            format!("write {}", wanted.join(" or ")),
        );
    }

    fn wrong_word(&mut self, node: &Node, text: &str, words: &[&str], options: &[&'a Json], what: &str) {
        let tables = options.iter().filter(|o| !is_null(o) && !type_of(o).contains(&"string"));
        let list = words.iter().map(|w| format!("{w:?}")).chain(tables.map(|o| describe(o)));
        let list = list.collect::<Vec<_>>().join(", ");
        let help = match nearest(text, words) {
            Some(near) => format!("did you mean {near:?}? known here: {list}"),
            None => format!("known here: {list}"),
        };
        self.problems.error(
            node.span.clone(),
            format!("{what}: {:?} is not a word that is known here", brief(text)),
            help,
        );
    }

    fn how_to(&self, key: &str, schema: &'a Json) -> String {
        let options = self.options(schema);
        let example = options
            .iter()
            .find_map(|o| kind_of(o))
            .map(|k| format!(", written as {}", quantity::examples(k)));
        let says = schema.get("description").and_then(Json::as_str).unwrap_or_default();
        let says = says.split("\n\n").next().unwrap_or_default().replace('\n', " ");
        let words = words(&options).map(|w| {
            format!(", one of {}", w.iter().map(|w| format!("{w:?}")).collect::<Vec<_>>().join(", "))
        });
        let says = says.trim_end_matches('.');
        format!("add `{key}`: {says}{}{}", example.unwrap_or_default(), words.unwrap_or_default())
    }
}

/// A whole number of a schema.
fn count(schema: &Json, key: &str) -> Option<usize> {
    schema.get(key).and_then(Json::as_u64).and_then(|n| usize::try_from(n).ok())
}

/// A number as it is read: with an exponent where its digits would fill lines.
fn bare(n: f64) -> String {
    if n == 0.0 || (1e-6..1e9).contains(&n.abs()) { n.to_string() } else { format!("{n:e}") }
}

fn type_of(schema: &Json) -> Vec<&str> {
    match schema.get("type") {
        Some(Json::String(one)) => vec![one.as_str()],
        Some(Json::Array(many)) => many.iter().filter_map(Json::as_str).collect(),
        _ if schema.get("const").or_else(|| schema.get("enum")).is_some() => vec!["string"],
        _ => Vec::new(),
    }
}

fn is_null(schema: &Json) -> bool {
    type_of(schema) == ["null"]
}

fn fits(node: &Node, schema: &Json) -> bool {
    let types = type_of(schema);
    let fits = types.is_empty()
        || match node.value {
            Value::Null => types.contains(&"null"),
            Value::Bool(_) => types.contains(&"boolean"),
            Value::Number(_) => types.contains(&"number") || types.contains(&"integer"),
            Value::Text(_) => types.contains(&"string"),
            Value::List(_) => types.contains(&"array"),
            Value::Table(_) => types.contains(&"object"),
        };
    // Of several kinds of table the one whose only key is there: `{ only-along = .. }`.
    fits && match (&node.value, single_key(schema)) {
        (Value::Table(entries), Some(key)) => entries.iter().any(|e| e.key == key),
        _ => true,
    }
}

fn single_key(schema: &Json) -> Option<&str> {
    let properties = schema.get("properties")?.as_object()?;
    let closed = schema.get("additionalProperties") == Some(&Json::Bool(false));
    let required = schema.get("required")?.as_array()?;
    (closed && properties.len() == 1 && required.len() == 1).then(|| required[0].as_str())?
}

fn kind_of(schema: &Json) -> Option<&'static quantity::Kind> {
    let format = schema.get("format")?.as_str()?;
    KINDS.iter().copied().find(|k| quantity::format_of(k) == format)
}

/// The words of an enumeration, if the texts that fit are all words of one.
fn words<'a>(options: &[&'a Json]) -> Option<Vec<&'a str>> {
    let mut words = Vec::new();
    for option in options.iter().filter(|o| type_of(o).contains(&"string")) {
        match (option.get("const"), option.get("enum").and_then(Json::as_array)) {
            (Some(word), _) => words.extend(word.as_str()),
            (None, Some(list)) => words.extend(list.iter().filter_map(Json::as_str)),
            (None, None) => return None,
        }
    }
    (!words.is_empty()).then_some(words)
}

fn describe(schema: &Json) -> String {
    if let Some(kind) = kind_of(schema) {
        return format!("{} as {}", kind.one(), quantity::examples(kind));
    }
    if let Some(words) = words(&[schema]) {
        return words.iter().map(|w| format!("{w:?}")).collect::<Vec<_>>().join(" or ");
    }
    if let Some(key) = single_key(schema) {
        return format!("a table with the key `{key}`");
    }
    match type_of(schema).first().copied() {
        Some("string") => "a text in quotes",
        Some("boolean") => "true or false",
        Some("integer") => "a whole number",
        Some("number") => "a number",
        Some("array") => "a list in [ ]",
        Some("object") => "a table (in JSON: an object)",
        _ => "something else",
    }
    .into()
}

/// Words of the trade for what a file calls otherwise.
const OTHER_WORDS: &[(&str, &str)] = &[
    ("capacity", "rated"),
    ("rating", "rated"),
    ("safe_working_load", "rated"),
    ("swl", "rated"),
    ("ceiling", "headroom"),
    ("tire", "tyre"),
    ("cog", "cg"),
    ("mass", "weight"),
    ("weight", "mass"),
    ("jacking", "lift_areas"),
    ("lifting", "lift_areas"),
];

/// The known word nearest to what was written, if any is near enough to have been meant: by spelling, by
/// the words that both hold, or by another word of the trade.
pub(crate) fn nearest<'a>(text: &str, known: &[&'a str]) -> Option<&'a str> {
    if text.len() > 60 {
        return None;
    }
    let plain = |name: &str| name.to_lowercase().replace(['-', ' '], "_");
    let text = plain(text);
    let known: Vec<(&'a str, String)> = known.iter().map(|k| (*k, plain(k))).collect();
    let near = |fits: &dyn Fn(&str) -> bool| {
        let fitting = known.iter().filter(|(_, k)| fits(k));
        fitting.min_by_key(|(_, k)| strsim::damerau_levenshtein(&text, k)).map(|(name, _)| *name)
    };
    near(&|k| strsim::damerau_levenshtein(&text, k) <= 1 + k.len() / 4)
        .or_else(|| near(&|k| text.len() > 2 && k.contains(&text) || holds(&text, k) || holds(k, &text)))
        .or_else(|| near(&|k| OTHER_WORDS.iter().any(|(said, key)| holds(&text, said) && holds(k, key))))
}

/// Whether the words of `part` are among those of `whole`: `rated_load` holds `rated`.
fn holds(whole: &str, part: &str) -> bool {
    !part.is_empty() && format!("_{whole}_").contains(&format!("_{part}_"))
}

fn brief(text: &str) -> String {
    if text.chars().count() > 60 {
        text.chars().take(60).chain("...".chars()).collect()
    } else {
        text.to_owned()
    }
}
