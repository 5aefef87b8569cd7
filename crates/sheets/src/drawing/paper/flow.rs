//! Headings, sentences, and points with a box to tick, run through columns.

use super::super::board::Board;
use super::super::labels;
use super::super::style::Style;
use super::super::text::{LEADING, wrapped};
use super::super::{Area, Item};
use super::Part;

/// What runs through columns.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Said {
    /// A heading; it stays with what follows.
    Heading(String),
    /// A sentence.
    Sentence(String),
    /// Something to be confirmed, with a box to tick.
    Point(String),
    /// A label, and a text beside it.
    Entry(String, String),
    /// A name that found no place in a drawing: its number there.
    Named(usize, String),
}

/// A heading and its sentences; nothing where there are none.
pub(super) fn section(heading: &str, said: impl IntoIterator<Item = Said>) -> Vec<Said> {
    let said: Vec<Said> = said.into_iter().collect();
    if said.is_empty() { said } else { std::iter::once(Said::Heading(heading.into())).chain(said).collect() }
}

impl Said {
    fn says(&self) -> &str {
        let (Self::Heading(says)
        | Self::Sentence(says)
        | Self::Point(says)
        | Self::Entry(_, says)
        | Self::Named(_, says)) = self;
        says
    }

    fn size(&self, size: f64) -> f64 {
        if matches!(self, Self::Heading(_)) { size * 1.2 } else { size }
    }

    /// Room left of the text.
    fn indent(&self, size: f64) -> f64 {
        match self {
            Self::Heading(_) | Self::Sentence(_) => 0.0,
            Self::Point(_) => size * 1.5,
            Self::Entry(..) => size * 2.6,
            Self::Named(..) => 6.5,
        }
    }

    fn lines(&self, size: f64, wide: f64) -> Vec<String> {
        let bold = matches!(self, Self::Heading(_));
        wrapped(self.says(), self.size(size), bold, wide - self.indent(size))
    }

    fn height(&self, size: f64, wide: f64) -> f64 {
        let lines = self.lines(size, wide).iter().fold(0.0, |n, _| n + 1.0);
        let high = self.size(size) * leading(size) * lines;
        let after = size * if matches!(self, Self::Point(_)) { 0.28 } else { 0.12 };
        match self {
            Self::Named(number, _) => high.max(2.0 * labels::rim(*number)) + after,
            _ => high + after,
        }
    }

    /// Above it, where it is not the first of its column.
    fn before(&self, size: f64) -> f64 {
        if matches!(self, Self::Heading(_)) { size * 0.45 } else { 0.0 }
    }

    fn draw(&self, [x, y]: [f64; 2], size: f64, wide: f64) -> Vec<Item> {
        let mut board = Board::new();
        let own = self.size(size);
        let base = y + 0.86 * own;
        match self {
            Self::Point(_) => {
                let side = size * 0.95;
                board.rectangle(Area::sized([x, base - side * 0.88], [side, side]), Style::Lock);
            }
            Self::Entry(label, _) => board.say([x, base], own, false, label),
            Self::Named(number, _) => labels::sign(&mut board, [x + 2.9, base - 1.25], *number),
            Self::Heading(_) | Self::Sentence(_) => {}
        }
        let bold = matches!(self, Self::Heading(_));
        let mut y = base;
        for line in self.lines(size, wide) {
            board.say([x + self.indent(size), y], own, bold, &line);
            y += own * leading(size);
        }
        board.items
    }
}

/// From line to line, in sizes: closer where type is small because there is much to say.
const fn leading(size: f64) -> f64 {
    if size < 2.7 { 1.18 } else { LEADING }
}

/// Runs all through columns, one after the other; gives what is left.
pub(super) fn pour<'s>(parts: &mut Vec<Part>, said: &'s [Said], size: f64, columns: &[Area]) -> &'s [Said] {
    let mut rest = said;
    for column in columns {
        let (wide, mut y) = (column.width(), column.y[0]);
        while let [one, after @ ..] = rest {
            let gap = if y > column.y[0] { one.before(size) } else { 0.0 };
            let high = one.height(size, wide);
            let kept = match (one, after.first()) {
                (Said::Heading(_), Some(next)) => next.height(size, wide),
                _ => 0.0,
            };
            if y + gap + high + kept > column.y[1] + 0.3 * size {
                break;
            }
            put(parts, one, one.draw([column.x[0], y + gap], size, wide));
            y += gap + high;
            rest = after;
        }
    }
    rest
}

/// Points one after the other are one list.
fn put(parts: &mut Vec<Part>, said: &Said, items: Vec<Item>) {
    match (said, parts.last_mut()) {
        (Said::Heading(_), _) => parts.push(Part::Heading(2, items)),
        (Said::Point(_) | Said::Entry(..) | Said::Named(..), Some(Part::List(entries))) => {
            entries.push(items)
        }
        (Said::Point(_) | Said::Entry(..) | Said::Named(..), _) => parts.push(Part::List(vec![items])),
        (Said::Sentence(_), _) => parts.push(Part::Paragraph(items)),
    }
}
