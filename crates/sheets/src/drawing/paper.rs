//! What is printed: pages of placed items, and what each of them is to somebody who hears the page read.

mod arms;
mod bay;
mod code;
mod flow;
mod record;
mod refused;
mod working;

use super::{Area, Item};
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

/// A page and, behind it, as many as it takes to say the rest.
fn go_on(first: Vec<Part>, said: &[Said], size: f64, page: Area) -> Vec<Vec<Part>> {
    let room = Area { y: [page.y[0], page.y[1] - FOOT], ..page };
    let mut pages = vec![first];
    let mut rest = said;
    while !rest.is_empty() {
        let mut parts = vec![];
        let mut left = flow::pour(&mut parts, rest, size, &bay::columns(room, 2));
        // What is longer than a column has a page to itself, in letters as large as fit.
        for size in [size, 2.9, 2.3] {
            if left.len() < rest.len() {
                break;
            }
            left = flow::pour(&mut parts, rest, size, &[room]);
        }
        if left.len() == rest.len() {
            break;
        }
        pages.push(parts);
        rest = left;
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
