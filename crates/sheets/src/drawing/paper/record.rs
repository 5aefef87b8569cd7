//! What stands in a book, on paper: rows of labels and texts under their headings, and lines to sign on.

use super::super::Area;
use super::super::board::Board;
use super::super::style::Style;
use super::super::text::{LEADING, wrapped};
use super::bay::{fitting, items, ornament, sides};
use super::{Cell, Document, Heads, Page, Paper, Part};
use crate::font;

/// What is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// What it is.
    pub title: String,
    /// What is said first, each under its heading.
    pub sections: Vec<Section>,
    /// Who signs; one line each.
    pub signed: Vec<String>,
    /// What it says at the foot of each page.
    pub foot: String,
}

/// Rows under a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// The heading.
    pub heading: String,
    /// Labels and texts.
    pub rows: Vec<(String, String)>,
}

impl Record {
    /// Where signs stand that the type lacks, and which.
    #[must_use]
    pub fn not_printed(&self) -> Vec<String> {
        let in_text = |of: String, text: &str| font::lacks(text).map(|signs| format!("{of} ({signs})"));
        let in_section = |section: &Section| {
            let heading = in_text("a heading".into(), &section.heading);
            let rows = section.rows.iter().filter_map(|(label, text)| {
                in_text(format!("\u{201c}{label}\u{201d}"), &format!("{label}\n{text}"))
            });
            heading.into_iter().chain(rows).collect::<Vec<_>>()
        };
        let sections = self.sections.iter().flat_map(in_section);
        let ends = [in_text("the title".into(), &self.title), in_text("the foot".into(), &self.foot)];
        let [title, foot] = ends;
        title.into_iter().chain(sections).chain(foot).collect()
    }
}

/// Sizes of type: smaller only where that saves a page for what is signed.
const SIZES: [f64; 3] = [3.5, 3.3, 3.1];
/// The title: in several lines where it would be smaller than that.
const TITLE: [f64; 2] = [7.5, 5.0];
const HEADING: f64 = 4.4;
const LABEL: f64 = 48.0;
const AFTER: f64 = 1.2;
/// A line to sign on.
const SIGNED: f64 = 17.0;

/// Pages while they are written.
struct Pages {
    size: f64,
    /// Whether a page was turned only for what is signed.
    is_turned_to_sign: bool,
    done: Vec<Vec<Part>>,
    parts: Vec<Part>,
    page: Area,
    y: f64,
}

impl Pages {
    fn has_room(&self, high: f64) -> bool {
        self.y + high <= self.page.y[1] - super::FOOT
    }

    /// Turns the page where there is no room for so much.
    fn room_for(&mut self, high: f64) {
        if !self.has_room(high) && self.y > self.page.y[0] + 1.0 {
            self.done.push(std::mem::take(&mut self.parts));
            self.y = self.page.y[0] + 2.0;
        }
    }

    fn heading(&mut self, says: &str) {
        self.room_for(HEADING * 2.0 + self.size * LEADING * 2.0);
        self.y += HEADING * 1.3;
        let [left, right] = self.page.x;
        let lines = wrapped(says, HEADING, true, right - left);
        let mut y = self.y;
        self.parts
            .push(Part::Heading(2, items(|board| y = board.say_lines([left, y], HEADING, true, &lines))));
        let line = y - HEADING * 0.95;
        self.parts.push(ornament(|board| board.line(&[[left, line], [right, line]], Style::Rule)));
        self.y = line + 1.6;
    }

    /// Rows; below the last of them there is room for so much that is signed.
    fn rows(&mut self, rows: &[(String, String)], signed: f64) {
        let [left, right] = self.page.x;
        let size = self.size;
        let mut table = vec![];
        for (k, (label, text)) in rows.iter().enumerate() {
            let mut labels = wrapped(label, size, false, LABEL - 3.0);
            let mut lines: Vec<String> =
                text.lines().flat_map(|line| wrapped(line, size, true, right - left - LABEL)).collect();
            // A text that is longer than a page goes on on the next.
            while !labels.is_empty() || !lines.is_empty() {
                let count = lines.len().max(labels.len());
                let lines_high = |count: usize| (0..count).fold(0.0, |high, _| high + size * LEADING);
                let (high, is_last) = (lines_high(count.min(8)) + AFTER, k + 1 == rows.len());
                let before = self.done.len();
                let whole = lines_high(count);
                let is_held = self.has_room(whole) && !self.has_room(whole + AFTER + signed);
                self.is_turned_to_sign |= is_last && is_held;
                self.room_for(if is_last && count <= 8 { high + signed } else { high });
                if self.done.len() > before && !table.is_empty() {
                    let whole = std::mem::take(&mut table);
                    if let Some(page) = self.done.last_mut() {
                        page.push(Part::Table(whole));
                    }
                }
                // Of a longer text some lines go along with what is signed.
                let most = if is_last && is_held && count > 8 { count - 2 } else { count };
                let fit = self.lines_left().clamp(1, most);
                let now: Vec<String> = lines.drain(..fit.min(lines.len())).collect();
                let heads: Vec<String> = std::mem::take(&mut labels);
                table.push(self.row(left, &heads, &now));
            }
        }
        if !table.is_empty() {
            self.parts.push(Part::Table(table));
        }
    }

    fn lines_left(&self) -> usize {
        let room = self.page.y[1] - super::FOOT - self.y;
        (1..200_usize)
            .take_while(|n| (0..*n).fold(0.0, |high, _| high + self.size * LEADING) <= room)
            .last()
            .unwrap_or(0)
    }

    fn row(&mut self, left: f64, labels: &[String], lines: &[String]) -> Vec<Cell> {
        let (size, y) = (self.size, self.y + self.size * 0.86);
        let say = |board: &mut Board, x: f64, bold: bool, lines: &[String]| {
            board.say_lines([x, y], size, bold, lines);
        };
        let cells = vec![
            Cell { heads: Heads::Row, items: items(|board| say(board, left, false, labels)) },
            Cell { heads: Heads::Nothing, items: items(|board| say(board, left + LABEL, true, lines)) },
        ];
        self.y += (0..labels.len().max(lines.len())).fold(AFTER, |high, _| high + self.size * LEADING);
        cells
    }

    fn signed(&mut self, who: &str) {
        self.room_for(SIGNED);
        self.y += SIGNED;
        let (left, y) = (self.page.x[0], self.y - 4.5);
        let ends = [[left, left + 45.0], [left + 52.0, left + 150.0]];
        self.parts.push(ornament(|board| {
            ends.iter().for_each(|x| board.line(&[[x[0], y], [x[1], y]], Style::Lock))
        }));
        self.parts.push(Part::Paragraph(items(|board| {
            board.say([ends[0][0], y + 4.0], 3.0, false, "Day");
            board.say([ends[1][0], y + 4.0], 3.0, false, who);
        })));
    }
}

pub(crate) fn sheets(record: &Record, paper: Paper) -> Document {
    let usual = set(record, paper, SIZES[0]);
    let pages = if usual.is_turned_to_sign {
        let fewer = |pages: &Pages| pages.done.len() < usual.done.len();
        SIZES[1..].iter().map(|size| set(record, paper, *size)).find(fewer).unwrap_or(usual)
    } else {
        usual
    };
    let numbered = super::numbered(pages.done, pages.page, &record.foot);
    let name = |k: usize| if k == 0 { record.title.clone() } else { format!("Page {}", k + 1) };
    Document {
        title: record.title.clone(),
        paper,
        pages: numbered.into_iter().enumerate().map(|(k, parts)| Page { name: name(k), parts }).collect(),
    }
}

/// All of it in one size, its pages done.
fn set(record: &Record, paper: Paper, size: f64) -> Pages {
    let page = sides(paper);
    let [most, least] = TITLE;
    let one_line = fitting(&record.title, most, page.width());
    let title_size = if one_line < least { least } else { one_line };
    let lines = wrapped(&record.title, title_size, true, page.width());
    let mut end = page.y[0] + 7.0;
    let title = items(|board| end = board.say_lines([page.x[0], end], title_size, true, &lines));
    let line = end - title_size * LEADING + 3.5;
    let first = vec![
        Part::Heading(1, title),
        ornament(|board| board.line(&[[page.x[0], line], [page.x[1], line]], Style::Frame)),
    ];
    let mut pages = Pages { size, is_turned_to_sign: false, done: vec![], parts: first, page, y: line + 0.5 };
    let boxes = record.not_printed();
    let boxes = Section {
        heading: "Cannot be printed".into(),
        rows: if boxes.is_empty() {
            vec![]
        } else {
            vec![("Signs stand as boxes in".into(), boxes.join("\n"))]
        },
    };
    let sections = std::iter::once(&boxes).chain(&record.sections);
    let sections: Vec<&Section> = sections.filter(|section| !section.rows.is_empty()).collect();
    for (k, section) in sections.iter().enumerate() {
        let signed = record.signed.iter().filter(|_| k + 1 == sections.len()).map(|_| SIGNED).sum();
        pages.heading(&section.heading);
        pages.rows(&section.rows, signed);
    }
    record.signed.iter().for_each(|who| pages.signed(who));
    let last = std::mem::take(&mut pages.parts);
    pages.done.push(last);
    pages
}
