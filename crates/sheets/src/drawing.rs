//! The drawing, decided once: items with places in paper millimetres. Writers turn it into a format.

mod area;
mod board;
mod cards;
mod compose;
pub mod coverage;
mod figure;
mod flow;
mod ground;
mod header;
mod labels;
mod notes;
pub mod paper;
mod plan_view;
mod scale;
pub mod screen;
mod side_view;
pub mod silhouette;
mod strip;
pub mod style;
pub mod text;

use crate::{Scene, Units, words};
pub use area::Area;
pub use style::Style;
pub use text::Text;

/// A4, upright: width and height of every page, mm.
pub const PAGE: [f64; 2] = [210.0, 297.0];

/// Pages of placed items.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it is, for readers who cannot see it.
    pub title: String,
    /// What it shows, in a few sentences.
    pub description: String,
    /// What is on each page, drawn in that order; never empty.
    pub pages: Vec<Vec<Item>>,
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

/// The plan on A4 pages: all on one where it is large enough there, else the vehicle as it is set up on the first, and as
/// it is raised and worked on on those that follow.
#[must_use]
pub fn sheets(scene: &Scene<'_>, units: Units) -> Drawing {
    let pages = compose::together(scene, units).unwrap_or_else(|| compose::several(scene, units));
    Drawing {
        title: format!("{} on {}: {}", scene.vehicle.name, scene.lift.name, words::verdict(scene)),
        description: format!(
            "{}. Setup {}. Front wheel {}. Plan view, side view at the lock to work at, and the settings of the \
             four arms.",
            words::verdict(scene),
            words::origin(scene),
            words::spot(scene, units)
        ),
        pages: compose::numbered(pages, scene).into_iter().map(|board| board.items).collect(),
    }
}

#[cfg(test)]
mod tests;
