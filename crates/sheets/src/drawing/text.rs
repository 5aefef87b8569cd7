//! Text and how much room it takes.

use super::Area;

/// Smallest size used; its capitals are 2.5 mm tall.
pub const SMALL: f64 = 3.5;
/// From line to line, in sizes.
pub const LEADING: f64 = 1.28;

/// Which end of the text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// One line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// Where its base line begins, is in the middle, or ends, mm.
    pub at: [f64; 2],
    /// Which of the three.
    pub anchor: Anchor,
    /// Size of the type, mm.
    pub size: f64,
    /// Whether it is bold.
    pub bold: bool,
    /// Whether it is white on black.
    pub reversed: bool,
    /// What it says.
    pub says: String,
}

impl Text {
    /// The room that it takes, on the safe side for the common sans-serif types.
    #[must_use]
    pub fn area(&self) -> Area {
        let width = width(&self.says, self.size, self.bold);
        let left = match self.anchor {
            Anchor::Start => self.at[0],
            Anchor::Middle => self.at[0] - width / 2.0,
            Anchor::End => self.at[0] - width,
        };
        Area { x: [left, left + width], y: [self.at[1] - 0.76 * self.size, self.at[1] + 0.22 * self.size] }
    }
}

/// Width of a line of text, mm: at least what any common sans-serif type needs.
#[must_use]
pub fn width(says: &str, size: f64, bold: bool) -> f64 {
    let sizes: f64 = says.chars().map(advance).sum();
    sizes * size * if bold { 1.12 } else { 1.0 }
}

/// Advance of a character in sizes, rounded up over Helvetica-like and wider types.
const fn advance(character: char) -> f64 {
    match character {
        'i' | 'j' | 'l' | '\'' | '.' | ',' | ':' | ';' | '|' | '!' => 0.33,
        'I' | 'J' | ' ' | 'f' | 't' | '(' | ')' | '/' | '-' | '[' | ']' => 0.40,
        'r' | '"' => 0.46,
        's' | 'c' | 'z' | '°' => 0.56,
        'm' | 'W' | '%' | 'M' | '@' => 1.0,
        'w' | '+' | '=' | '~' | '±' | '\u{2212}' | '<' | '>' => 0.84,
        'C' | 'D' | 'G' | 'H' | 'N' | 'O' | 'Q' | 'U' => 0.79,
        'A'..='Z' => 0.70,
        'a'..='z' | '0'..='9' => 0.64,
        _ => 1.0,
    }
}

/// The words in lines that each fit a width.
#[must_use]
pub fn wrapped(says: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in says.split_whitespace() {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        match (joined, lines.last_mut()) {
            (Some(joined), Some(line)) if width(&joined, size, bold) <= room => *line = joined,
            _ => lines.push(clipped(word, size, bold, room)),
        }
    }
    lines
}

/// The text, cut with a sign that it was cut if it does not fit a width.
#[must_use]
pub fn clipped(says: &str, size: f64, bold: bool, room: f64) -> String {
    if width(says, size, bold) <= room {
        return says.to_owned();
    }
    let mut head: Vec<char> = says.chars().collect();
    while head.pop().is_some() {
        let cut: String = head.iter().collect::<String>().trim_end().to_owned() + "...";
        if width(&cut, size, bold) <= room {
            return cut;
        }
    }
    String::new()
}
