//! Text and how much room it takes.

use super::Area;
use crate::font;

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
    /// The room that it takes.
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

/// Width of a line of text, mm. Writers hold the text to it, whichever type a reader has.
#[must_use]
pub fn width(says: &str, size: f64, bold: bool) -> f64 {
    let sizes: f64 = says.chars().map(|c| advance(c, bold).unwrap_or(1.0)).sum();
    sizes * size
}

/// Whether the width of every character is known.
#[must_use]
pub fn is_known(says: &str) -> bool {
    says.chars().all(|c| advance(c, false).is_some())
}

/// Advance of a character in sizes. `None` counts as a full size.
fn advance(character: char, bold: bool) -> Option<f64> {
    font::glyph(character, bold).map(|glyph| f64::from(glyph.advance))
}

/// The words in lines that each fit a width; a word that is longer goes on in the next line. Nothing is cut.
#[must_use]
pub fn wrapped(says: &str, size: f64, bold: bool, room: f64) -> Vec<String> {
    let fits = |text: &str| width(text, size, bold) <= room;
    let mut lines: Vec<String> = Vec::new();
    for word in crate::units::words_of(says) {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        match (joined, lines.last_mut()) {
            (Some(joined), Some(line)) if fits(&joined) => *line = joined,
            _ if fits(&word) => lines.push(word),
            _ => lines.extend(broken(&word, fits)),
        }
    }
    lines
}

/// A word in pieces that fit, each of one letter at least.
fn broken(word: &str, fits: impl Fn(&str) -> bool) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for letter in word.chars() {
        match pieces.last_mut() {
            Some(piece) if fits(&format!("{piece}{letter}")) => piece.push(letter),
            _ => pieces.push(letter.to_string()),
        }
    }
    pieces.iter().map(|piece| piece.trim().to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_lost_in_wrapping() {
        let long = "a fewveryverylongwordswithoutanyplace to break 1234 mm and 5 more";
        for room in [4.0, 9.0, 20.0, 35.0, 200.0] {
            let lines = wrapped(long, SMALL, false, room);
            let bare = |text: &str| text.replace(' ', "");
            assert_eq!(bare(&lines.concat()), bare(long), "{room}");
            assert!(lines.iter().all(|l| width(l, SMALL, false) <= room), "{room}: {lines:?}");
        }
    }
}
