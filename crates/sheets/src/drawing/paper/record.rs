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

const SIZE: f64 = 3.5;
const HEADING: f64 = 4.4;
const LABEL: f64 = 48.0;
const AFTER: f64 = 1.2;

/// Pages while they are written.
struct Pages {
    done: Vec<Vec<Part>>,
    parts: Vec<Part>,
    page: Area,
    y: f64,
}

impl Pages {
    /// Turns the page where there is no room for so much.
    fn room_for(&mut self, high: f64) {
        if self.y + high > self.page.y[1] - super::FOOT && self.y > self.page.y[0] + 1.0 {
            self.done.push(std::mem::take(&mut self.parts));
            self.y = self.page.y[0] + 2.0;
        }
    }

    fn heading(&mut self, says: &str) {
        self.room_for(HEADING * 2.0 + SIZE * LEADING * 2.0);
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

    fn rows(&mut self, rows: &[(String, String)]) {
        let [left, right] = self.page.x;
        let mut table = vec![];
        for (label, text) in rows {
            let labels = wrapped(label, SIZE, false, LABEL - 3.0);
            let mut lines: Vec<String> =
                text.lines().flat_map(|line| wrapped(line, SIZE, true, right - left - LABEL)).collect();
            let mut labels = labels;
            // A text that is longer than a page goes on on the next.
            while !labels.is_empty() || !lines.is_empty() {
                let count = lines.len().max(labels.len());
                let high = (0..count.min(8)).fold(AFTER, |high, _| high + SIZE * LEADING);
                let before = self.done.len();
                self.room_for(high);
                if self.done.len() > before && !table.is_empty() {
                    let whole = std::mem::take(&mut table);
                    if let Some(page) = self.done.last_mut() {
                        page.push(Part::Table(whole));
                    }
                }
                let fit = self.lines_left().max(1);
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
            .take_while(|n| (0..*n).fold(0.0, |high, _| high + SIZE * LEADING) <= room)
            .last()
            .unwrap_or(0)
    }

    fn row(&mut self, left: f64, labels: &[String], lines: &[String]) -> Vec<Cell> {
        let y = self.y + SIZE * 0.86;
        let say = |board: &mut Board, x: f64, bold: bool, lines: &[String]| {
            board.say_lines([x, y], SIZE, bold, lines);
        };
        let cells = vec![
            Cell { heads: Heads::Row, items: items(|board| say(board, left, false, labels)) },
            Cell { heads: Heads::Nothing, items: items(|board| say(board, left + LABEL, true, lines)) },
        ];
        self.y += (0..labels.len().max(lines.len())).fold(AFTER, |high, _| high + SIZE * LEADING);
        cells
    }

    fn signed(&mut self, who: &str) {
        const HIGH: f64 = 17.0;
        self.room_for(HIGH);
        self.y += HIGH;
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
    let page = sides(paper);
    let size = fitting(&record.title, 7.5, page.width());
    let title = items(|board| board.say([page.x[0], page.y[0] + 7.0], size, true, &record.title));
    let line = page.y[0] + 10.5;
    let first = vec![
        Part::Heading(1, title),
        ornament(|board| board.line(&[[page.x[0], line], [page.x[1], line]], Style::Frame)),
    ];
    let mut pages = Pages { done: vec![], parts: first, page, y: line + 0.5 };
    let boxes = record.not_printed();
    let boxes = Section {
        heading: "Cannot be printed".into(),
        rows: if boxes.is_empty() {
            vec![]
        } else {
            vec![("Signs stand as boxes in".into(), boxes.join("\n"))]
        },
    };
    for section in std::iter::once(&boxes).chain(&record.sections).filter(|section| !section.rows.is_empty())
    {
        pages.heading(&section.heading);
        pages.rows(&section.rows);
    }
    record.signed.iter().for_each(|who| pages.signed(who));
    pages.done.push(pages.parts);
    let numbered = super::numbered(pages.done, page, &record.foot);
    let name = |k: usize| if k == 0 { record.title.clone() } else { format!("Page {}", k + 1) };
    Document {
        title: record.title.clone(),
        paper,
        pages: numbered.into_iter().enumerate().map(|(k, parts)| Page { name: name(k), parts }).collect(),
    }
}
