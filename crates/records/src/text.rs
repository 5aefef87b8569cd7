//! Texts that people type: what may stand in them before they go into the book.

use serde_json::Value;

use crate::fact::Fact;
use crate::refusal::Refusal;

/// Longest text of one line, in signs. Own convention.
const LINE: usize = 200;
/// Longest text of several lines, in signs. Own convention: a page.
const PAGE: usize = 4000;
/// Fields that may have several lines, what happened, what is wrong, what a report says; and states named by many parts.
const PAGES: [&str; 4] = ["words", "note", "fields", "steps"];
/// Written by the program, of texts that are in the book already.
const ITS_OWN: &str = "reasons";

/// A sign that is not seen, or that changes how others are read: control signs, directions, tags.
#[must_use]
pub fn is_hidden(sign: char) -> bool {
    sign.is_control()
        || matches!(
            sign,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'
                ..='\u{202e}'
                    | '\u{2060}'..='\u{2069}'
                    | '\u{feff}'
                    | '\u{fff9}'..='\u{fffb}'
                    | '\u{e0000}'..='\u{e007f}'
        )
}

/// Every text of a fact that must not go into the book: one that could pass for another line of it, or is endless.
pub(crate) fn unfit(fact: &Fact) -> Vec<Refusal> {
    let mut found = vec![];
    if let Ok(Value::Object(fields)) = serde_json::to_value(fact) {
        fields.iter().for_each(|(key, value)| walk(value, key, LINE, &mut found));
    }
    found
}

fn walk(value: &Value, key: &str, most: usize, found: &mut Vec<Refusal>) {
    let most = if PAGES.contains(&key) { PAGE } else { most };
    match value {
        _ if key == ITS_OWN => {}
        Value::String(text) => found.extend(refusal(text, key, most)),
        Value::Array(all) => all.iter().for_each(|value| walk(value, key, most, found)),
        Value::Object(fields) => fields.iter().for_each(|(key, value)| walk(value, key, most, found)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

fn refusal(text: &str, key: &str, most: usize) -> Option<Refusal> {
    // A browser ends lines with both signs.
    let text = text.replace("\r\n", "\n");
    let ends_a_line = |sign: char| most == PAGE && matches!(sign, '\n' | '\t');
    let what = || key.replace('-', " ");
    if let Some(sign) = text.chars().find(|sign| is_hidden(*sign) && !ends_a_line(*sign)) {
        return Some(Refusal::HiddenSign(what(), sign));
    }
    let long = text.chars().count();
    (long > most).then(|| Refusal::TooLong(what(), long, most))
}
