//! What is printed: pages of placed items, and what each of them is to somebody who hears the page read.

mod arms;
mod bay;
mod code;
mod flow;
mod record;
mod refused;
mod working;

use super::{Area, Item, text};
pub use bay::Printed;
pub(crate) use bay::sheet as bay_sheet;
use flow::Said;
pub(crate) use record::sheets as record_sheets;
pub use record::{Record, Section};
pub use working::Edition;
pub(crate) use working::sheets as working_sheets;

/// A sheet of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm.
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

impl Paper {
    /// Width and height, upright, mm.
    #[must_use]
    pub const fn size(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0, 297.0],
            Self::Letter => [215.9, 279.4],
        }
    }
}

/// What is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// What it is.
    pub title: String,
    /// What it is printed on.
    pub paper: Paper,
    /// Its pages; never empty.
    pub pages: Vec<Page>,
}

/// One side of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// By which a reader finds it.
    pub name: String,
    /// In the order in which they are read; those that are drawn later cover those before.
    pub parts: Vec<Part>,
}

/// Items that belong together.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// Lines, surfaces and page numbers, which are not read.
    Ornament(Vec<Item>),
    /// A heading: 1 is the title.
    Heading(u8, Vec<Item>),
    /// Lines of text.
    Paragraph(Vec<Item>),
    /// Entries of a list.
    List(Vec<Vec<Item>>),
    /// A picture, and what it shows.
    Figure(String, Vec<Item>),
    /// Rows of cells.
    Table(Vec<Vec<Cell>>),
}

/// A cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// What it is a heading of.
    pub heads: Heads,
    /// What is in it.
    pub items: Vec<Item>,
}

/// What a cell is a heading of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heads {
    /// Nothing.
    Nothing,
    /// Its row.
    Row,
    /// Its column.
    Column,
}

impl Part {
    /// Everything in it.
    pub fn items(&self) -> impl Iterator<Item = &Item> {
        let lists: Vec<&Vec<Item>> = match self {
            Self::Ornament(items)
            | Self::Heading(_, items)
            | Self::Paragraph(items)
            | Self::Figure(_, items) => vec![items],
            Self::List(entries) => entries.iter().collect(),
            Self::Table(rows) => rows.iter().flatten().map(|cell| &cell.items).collect(),
        };
        lists.into_iter().flatten()
    }
}

/// At the foot of every page, for its number and the mark.
const FOOT: f64 = 5.5;

/// A line at the top of a page that says of what it is; gives the room below it.
fn headed(parts: &mut Vec<Part>, page: Area, of: &str) -> Area {
    const SIZE: f64 = 4.2;
    let lines = text::wrapped(of, SIZE, true, page.width());
    let mut end = page.y[0];
    let items = bay::items(|board| end = board.say_lines([page.x[0], page.y[0] + SIZE], SIZE, true, &lines));
    parts.push(Part::Heading(2, items));
    Area { y: [end - SIZE + 2.0, page.y[1]], ..page }
}

/// Pages and, behind them, as many as it takes to say the rest, each with what it is of at its top; a section that goes on says so.
fn go_on(
    mut pages: Vec<Vec<Part>>,
    said: &[Said],
    size: f64,
    page: Area,
    of: Option<&str>,
) -> Vec<Vec<Part>> {
    let mut rest = said;
    while !rest.is_empty() {
        let mut head = vec![];
        let room = of.map_or(page, |of| headed(&mut head, page, of));
        let room = Area { y: [room.y[0], room.y[1] - FOOT], ..room };
        let all = if of.is_some() { flow::going_on(said, rest) } else { rest.to_vec() };
        let count = all.len() - rest.len();
        let mut parts = head.clone();
        let mut left = flow::pour(&mut parts, &all, size, &bay::columns(room, 2)).len();
        // What is longer than a column has a page to itself, in letters as large as fit.
        for size in [size, 2.9, 2.3] {
            if left + count < all.len() {
                break;
            }
            parts.clone_from(&head);
            left = flow::pour(&mut parts, &all, size, &[room]).len();
        }
        if left + count >= all.len() {
            break;
        }
        pages.push(parts);
        rest = &rest[rest.len() - left..];
    }
    pages
}

/// What a sheet of a plan says at its foot.
fn foot_of(mark: &str) -> String {
    format!(
        "Computed by Standfast; plan {mark}. Kept in the book, or a raise begun with it, the book finds it by this mark."
    )
}

/// Pages with something at the foot, and their number.
fn numbered(pages: Vec<Vec<Part>>, page: Area, foot: &str) -> Vec<Vec<Part>> {
    let of = pages.len();
    let number = |(k, mut parts): (usize, Vec<Part>)| {
        let y = page.y[1] - 0.8;
        let size = bay::fitting(foot, 2.9, page.width() - 25.0);
        let foot = bay::items(|board| board.say([page.x[0], y], size, false, foot));
        // Read once, and on the pages after that it is there to be seen.
        parts.push(if k == 0 { Part::Paragraph(foot) } else { Part::Ornament(foot) });
        let number = format!("page {} of {of}", k + 1);
        parts.push(bay::ornament(|board| board.say_up_to([page.x[1], y], 2.9, false, &number)));
        parts
    };
    pages.into_iter().enumerate().map(number).collect()
}

#[cfg(test)]
mod tests;
