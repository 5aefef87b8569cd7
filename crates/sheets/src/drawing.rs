//! The drawing, decided once: items with places in paper millimetres. Writers turn it into a format.

mod board;
mod cards;
mod figure;
mod header;
mod labels;
mod notes;
mod plan_view;
mod scale;
mod side_view;
mod silhouette;
mod strip;
pub mod style;
pub mod text;

use crate::{Scene, Units, words};
use board::Board;
pub use style::Style;
pub use text::Text;

/// A page of placed items, drawn in their order.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it is, for readers who cannot see it.
    pub title: String,
    /// What it shows, in a few sentences.
    pub description: String,
    /// Width and height of the page, mm.
    pub size: [f64; 2],
    /// What is on it.
    pub items: Vec<Item>,
    /// Labels for which there was no room.
    pub left_out: Vec<String>,
}

/// One placed item; millimetres right of and below the page's upper left corner.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Straight lines from point to point.
    Path {
        /// The points.
        points: Vec<[f64; 2]>,
        /// Whether the last point joins the first.
        closed: bool,
        /// What it means.
        style: Style,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: [f64; 2],
        /// Its radius.
        radius: f64,
        /// What it means.
        style: Style,
    },
    /// One line of text.
    Text(Text),
}

/// An upright rectangle on the page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left, right.
    pub x: [f64; 2],
    /// Top, bottom.
    pub y: [f64; 2],
}

impl Area {
    /// From left, top, width and height.
    #[must_use]
    pub fn sized([left, top]: [f64; 2], [width, height]: [f64; 2]) -> Self {
        Self { x: [left, left + width], y: [top, top + height] }
    }
    /// Width.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.x[1] - self.x[0]
    }
    /// Height.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.y[1] - self.y[0]
    }
    /// Its middle.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        [(self.x[0] + self.x[1]) / 2.0, (self.y[0] + self.y[1]) / 2.0]
    }
    /// Larger by that much on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { x: [self.x[0] - by, self.x[1] + by], y: [self.y[0] - by, self.y[1] + by] }
    }
    /// Whether the two share any ground.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x[0] < other.x[1] && other.x[0] < self.x[1] && self.y[0] < other.y[1] && other.y[0] < self.y[1]
    }
    /// Whether the other lies wholly inside.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.x[0] <= other.x[0]
            && other.x[1] <= self.x[1]
            && self.y[0] <= other.y[0]
            && other.y[1] <= self.y[1]
    }
}

/// A4, upright.
pub(crate) const PAGE: [f64; 2] = [210.0, 297.0];
/// Left and right of everything.
const SIDES: [f64; 2] = [9.0, 201.0];
/// Width of the columns of cards beside the plan view.
const CARD: f64 = 42.0;

/// The plan as one A4 page, longer by the strip of its states where the job has several.
#[must_use]
pub fn sheet(scene: &Scene<'_>, units: Units) -> Drawing {
    let mut board = Board::new();
    let top = header::draw(&mut board, scene, units, Area { x: SIDES, y: [9.0, 60.0] });
    let more = strip::height(scene);
    let foot = notes::cautions(&mut board, Area { x: SIDES, y: [265.0 + more, 288.0 + more] });
    let bottom = foot - more;
    let plan = Area { x: [SIDES[0] + CARD + 2.0, SIDES[1] - CARD - 2.0], y: [top + 2.5, 192.0] };
    let cards = [[SIDES[0], SIDES[0] + CARD], [SIDES[1] - CARD, SIDES[1]]];
    let edges = cards::draw(&mut board, scene, units, cards.map(|x| Area { x, y: plan.y }));
    plan_view::draw(&mut board, scene, units, plan, &edges);
    board.line(&[[SIDES[0], 193.5], [SIDES[1], 193.5]], Style::Rule);
    let remarks = notes::Remarks::of(scene, units);
    let column = remarks.column(Area { x: SIDES, y: [195.5, bottom - 2.0] });
    side_view::draw(&mut board, scene, units, Area { x: [SIDES[0], column.x[0] - 3.0], y: column.y });
    remarks.draw(&mut board, column);
    strip::draw(&mut board, scene, units, Area { x: SIDES, y: [bottom, foot] });
    if !board.left_out.is_empty() {
        let says = format!("{} of the names found no room on this sheet", board.left_out.len());
        board.say([SIDES[0], 292.0 + more], text::SMALL, true, &says);
    }
    Drawing {
        title: format!("{} on {}: {}", scene.vehicle.name, scene.lift.name, words::verdict(scene)),
        description: format!(
            "{}. Setup {}. Front wheel {}. Plan view, side view at the working lock, and the settings of the four arms.",
            words::verdict(scene),
            words::origin(scene),
            words::spot(scene, units)
        ),
        size: [PAGE[0], PAGE[1] + more],
        items: board.items,
        left_out: board.left_out,
    }
}

#[cfg(test)]
mod tests;
