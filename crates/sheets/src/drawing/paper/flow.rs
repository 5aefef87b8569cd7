//! Headings, sentences, and points with a box to tick, run through columns.

use super::super::board::Board;
use super::super::labels;
use super::super::style::Style;
use super::super::text::{LEADING, width, wrapped};
use super::super::{Area, Item};
use super::{Cell, Heads, Part};

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
    /// A row of a table.
    Row(Row),
    /// A line of a paragraph: what is bold in it, and what is not.
    Line(Vec<(bool, String)>),
}

/// The lines of a paragraph in a column so wide.
pub(super) fn paragraph(said: &[(bool, String)], size: f64, wide: f64) -> Vec<Said> {
    let gap = width(" ", size, false);
    let (mut lines, mut end) = (vec![vec![]], 0.0);
    let words = said.iter().flat_map(|(bold, says)| {
        let words = crate::units::words_of(says).into_iter();
        words
            .flat_map(|word| match width(&word, size, *bold) > wide {
                true => wrapped(&word, size, *bold, wide),
                false => vec![word],
            })
            .map(|word| (*bold, word))
    });
    for (bold, word) in words {
        let own = width(&word, size, bold);
        if end > 0.0 && end + gap + own > wide {
            lines.push(vec![]);
            end = 0.0;
        }
        end += own + if end > 0.0 { gap } else { 0.0 };
        if let Some(line) = lines.last_mut() {
            match line.last_mut() {
                Some((own, says)) if *own == bold => *says = format!("{says} {word}"),
                _ => line.push((bold, word)),
            }
        }
    }
    lines.into_iter().filter(|line| !line.is_empty()).map(Said::Line).collect()
}

/// A row of a table: what it is of, and its cells.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    /// Whether its cells head their columns; it stays with what follows.
    heads: bool,
    label: String,
    cells: Vec<String>,
    /// How wide each cell is, in sizes.
    wide: Vec<f64>,
}

/// The rows of a table, below the heads of its columns if it has any; columns are as wide as they need be.
pub(super) fn table(heads: &[String], rows: &[(String, Vec<String>)]) -> Vec<Said> {
    const BETWEEN: f64 = 0.7;
    let count = rows.iter().map(|(_, cells)| cells.len()).max().unwrap_or_default();
    let of_column = |k: usize| rows.iter().filter_map(move |(_, cells)| cells.get(k)).chain(heads.get(k + 1));
    let wide = |k: usize| of_column(k).map(|says| width(says, 1.0, false)).fold(0.0, f64::max) + BETWEEN;
    let wide: Vec<f64> = (0..count).map(wide).collect();
    let row = |heads: bool, label: &str, cells: &[String]| {
        Said::Row(Row { heads, label: label.to_owned(), cells: cells.to_vec(), wide: wide.clone() })
    };
    let head = heads.split_first().map(|(label, cells)| row(true, label, cells));
    head.into_iter().chain(rows.iter().map(|(label, cells)| row(false, label, cells))).collect()
}

impl Row {
    /// Lines of its label, and whether the cells stand below them; `None` where no line holds the cells.
    fn set(&self, size: f64, wide: f64) -> Option<(Vec<String>, bool)> {
        let cells = self.wide.iter().sum::<f64>() * size;
        let beside = wide - cells;
        let narrow = beside < 9.0 * size && width(&self.label, size, false) > beside;
        let room = if narrow { wide } else { beside };
        (beside >= 0.0).then(|| (wrapped(&self.label, size, false, room), narrow))
    }

    fn as_text(&self) -> String {
        format!("{}: {}", self.label, self.cells.join("; "))
    }

    fn lines(&self, size: f64, wide: f64) -> usize {
        match self.set(size, wide) {
            Some((lines, below)) => lines.len().max(1) + usize::from(below),
            None => wrapped(&self.as_text(), size, false, wide).len(),
        }
    }

    fn draw(&self, [x, y]: [f64; 2], size: f64, wide: f64) -> Vec<Cell> {
        let from_line_to_line = size * leading(size);
        let base = y + 0.86 * size;
        let of = |heads: Heads, draw: &dyn Fn(&mut Board)| {
            let mut board = Board::new();
            draw(&mut board);
            Cell { heads, items: board.items }
        };
        let lines_at = |board: &mut Board, lines: &[String]| {
            let mut y = base;
            for line in lines {
                board.say([x, y], size, false, line);
                y += from_line_to_line;
            }
        };
        let Some((lines, below)) = self.set(size, wide) else {
            let lines = wrapped(&self.as_text(), size, false, wide);
            return vec![of(Heads::Nothing, &|board| lines_at(board, &lines))];
        };
        let last = (1..lines.len() + usize::from(below)).fold(base, |y, _| y + from_line_to_line);
        let (label, cell) =
            if self.heads { (Heads::Column, Heads::Column) } else { (Heads::Row, Heads::Nothing) };
        let mut cells = vec![of(label, &|board| lines_at(board, &lines))];
        let mut right = x + wide - self.wide.iter().sum::<f64>() * size;
        for (says, wide) in self.cells.iter().zip(&self.wide) {
            right += wide * size;
            cells.push(of(cell, &|board| board.say_up_to([right, last], size, false, says)));
        }
        cells
    }
}

/// A heading and its sentences; nothing where there are none.
pub(super) fn section(heading: &str, said: impl IntoIterator<Item = Said>) -> Vec<Said> {
    let said: Vec<Said> = said.into_iter().collect();
    if said.is_empty() { said } else { std::iter::once(Said::Heading(heading.into())).chain(said).collect() }
}

/// What is left of it, under the heading of the section that it goes on with.
pub(super) fn going_on(all: &[Said], left: &[Said]) -> Vec<Said> {
    let mut before = all[..all.len() - left.len()].iter().rev();
    let heading = before.find_map(|said| if let Said::Heading(says) = said { Some(says) } else { None });
    let begins_within = left.first().is_some_and(|said| !matches!(said, Said::Heading(_)));
    let again = heading
        .filter(|_| begins_within)
        .map(|says| Said::Heading(format!("{}{GOING_ON}", says.strip_suffix(GOING_ON).unwrap_or(says))));
    again.into_iter().chain(left.iter().cloned()).collect()
}

const GOING_ON: &str = ", going on";

impl Said {
    fn says(&self) -> String {
        match self {
            Self::Heading(says) | Self::Sentence(says) | Self::Point(says) | Self::Named(_, says) => {
                says.clone()
            }
            Self::Entry(label, says) => format!("{label} {says}"),
            Self::Row(row) => row.as_text(),
            Self::Line(said) => said.iter().map(|(_, says)| says.as_str()).collect::<Vec<_>>().join(" "),
        }
    }

    fn size(&self, size: f64) -> f64 {
        if matches!(self, Self::Heading(_)) && size >= SMALL { size * 1.2 } else { size }
    }

    /// Room left of the text.
    fn indent(&self, size: f64) -> f64 {
        match self {
            Self::Heading(_) | Self::Sentence(_) | Self::Row(_) | Self::Line(_) => 0.0,
            Self::Point(_) => size * 1.5,
            // Its first line stands out to the left.
            Self::Entry(..) => size,
            Self::Named(..) => 6.5,
        }
    }

    fn lines(&self, size: f64, wide: f64) -> Vec<String> {
        let bold = matches!(self, Self::Heading(_));
        wrapped(&self.says(), self.size(size), bold, wide - self.indent(size))
    }

    fn height(&self, size: f64, wide: f64) -> f64 {
        let lines = match self {
            Self::Row(row) => row.lines(size, wide),
            Self::Line(_) => 1,
            _ => self.lines(size, wide).len(),
        };
        let lines = (0..lines).fold(0.0, |n, _| n + 1.0);
        let high = self.size(size) * leading(size) * lines;
        let after = match self {
            Self::Point(_) => 0.28,
            Self::Row(_) | Self::Line(_) => 0.0,
            Self::Entry(..) | Self::Sentence(_) if size < SMALL => 0.0,
            _ => 0.12,
        } * size;
        match self {
            Self::Named(number, _) => (high + lower(*number, size)).max(2.0 * labels::rim(*number)) + after,
            _ => high + after,
        }
    }

    /// Above it, where it is not the first of its column.
    fn before(&self, size: f64) -> f64 {
        if matches!(self, Self::Heading(_)) { size * if size < SMALL { 0.25 } else { 0.45 } } else { 0.0 }
    }

    fn draw(&self, [x, y]: [f64; 2], size: f64, wide: f64) -> Vec<Item> {
        let mut board = Board::new();
        let own = self.size(size);
        let base =
            y + 0.86 * own + if let Self::Named(number, _) = self { lower(*number, size) } else { 0.0 };
        if let Self::Line(said) = self {
            let mut x = x;
            for (bold, says) in said {
                board.say([x, base], size, *bold, says);
                x += width(says, size, *bold) + width(" ", size, false);
            }
            return board.items;
        }
        match self {
            Self::Point(_) => {
                let side = size * 0.95;
                board.rectangle(Area::sized([x, base - side * 0.88], [side, side]), Style::Lock);
            }
            Self::Named(number, _) => labels::sign(&mut board, [x + 2.9, base - 0.36 * size], *number),
            Self::Heading(_) | Self::Sentence(_) | Self::Entry(..) | Self::Row(_) | Self::Line(_) => {}
        }
        let bold = matches!(self, Self::Heading(_));
        let mut y = base;
        for (k, line) in self.lines(size, wide).iter().enumerate() {
            let stands_out = k == 0 && matches!(self, Self::Entry(..));
            board.say([if stands_out { x } else { x + self.indent(size) }, y], own, bold, line);
            y += own * leading(size);
        }
        board.items
    }
}

/// How much lower a name stands than a sentence would: no sign reaches above its place.
fn lower(number: usize, size: f64) -> f64 {
    (labels::rim(number) - 0.5 * size).max(0.0)
}

/// Below this size lines stand closer.
const SMALL: f64 = 2.9;

/// From line to line, in sizes: closer where type is small because there is much to say.
const fn leading(size: f64) -> f64 {
    if size < SMALL { 1.03 } else { LEADING }
}

/// Runs all through columns, one after the other; gives what is left.
pub(super) fn pour<'s>(parts: &mut Vec<Part>, said: &'s [Said], size: f64, columns: &[Area]) -> &'s [Said] {
    pour_in_sizes(parts, said, |_| size, columns)
}

/// The same, each in a size of its own, by its place.
pub(super) fn pour_in_sizes<'s>(
    parts: &mut Vec<Part>,
    said: &'s [Said],
    size: impl Fn(usize) -> f64,
    columns: &[Area],
) -> &'s [Said] {
    let mut rest = said;
    for column in columns {
        let (wide, mut y) = (column.width(), column.y[0]);
        while let [one, after @ ..] = rest {
            let size = size(said.len() - rest.len());
            let gap = if y > column.y[0] { one.before(size) } else { 0.0 };
            let high = one.height(size, wide);
            let kept = match (one, after.first()) {
                (Said::Heading(_) | Said::Row(Row { heads: true, .. }), Some(next)) => {
                    next.height(size, wide)
                }
                _ => 0.0,
            };
            if y + gap + high + kept > column.y[1] + 0.3 * size {
                break;
            }
            put(parts, one, [column.x[0], y + gap], size, wide);
            y += gap + high;
            rest = after;
        }
    }
    rest
}

/// Runs all through rows, as many of them in each as it holds, left to right; each begins at one of so many places of a row.
/// Gives how high the rows are; `None` where one is longer than a row.
pub(super) fn in_rows(parts: &mut Vec<Part>, said: &[Said], size: f64, room: &Area) -> Option<f64> {
    const PLACES: f64 = 24.0;
    let wide = room.width() / PLACES;
    let (mut at, mut y) = (0.0, room.y[0]);
    let high = size * (leading(size) + 0.15);
    for one in said {
        let long = one.indent(size) + width(&one.says(), size, false);
        if long > room.width() {
            return None;
        }
        let takes = ((long + 1.5 * size) / wide).ceil();
        // The last of a row needs no room after it.
        if at * wide + long > room.width() {
            (at, y) = (0.0, y + high);
        }
        put(parts, one, [room.x[0] + at * wide, y], size, room.width() - at * wide);
        at += takes;
    }
    Some(y + high - room.y[0])
}

/// Points one after the other are one list, rows one table.
fn put(parts: &mut Vec<Part>, said: &Said, at: [f64; 2], size: f64, wide: f64) {
    if let Said::Row(row) = said {
        let cells = row.draw(at, size, wide);
        match parts.last_mut() {
            Some(Part::Table(rows)) if !row.heads => rows.push(cells),
            _ => parts.push(Part::Table(vec![cells])),
        }
        return;
    }
    let items = said.draw(at, size, wide);
    match (said, parts.last_mut()) {
        (Said::Heading(_), _) => parts.push(Part::Heading(2, items)),
        (Said::Point(_) | Said::Entry(..) | Said::Named(..), Some(Part::List(entries))) => {
            entries.push(items);
        }
        (Said::Point(_) | Said::Entry(..) | Said::Named(..), _) => parts.push(Part::List(vec![items])),
        (Said::Line(_), Some(Part::Paragraph(lines))) => lines.extend(items),
        (Said::Sentence(_) | Said::Row(_) | Said::Line(_), _) => parts.push(Part::Paragraph(items)),
    }
}
