//! From metres to paper.

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{SMALL, width};
use crate::Units;

/// A scale of 1 to some multiple of five, and where the origin lies on the page.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    /// Paper mm for a metre.
    pub(super) per_metre: f64,
    /// 1 to this.
    pub(super) one_to: f64,
}

impl Scale {
    /// The largest at which that many metres fit an area of the page.
    pub(super) fn fitting(metres: [f64; 2], area: &Area) -> Self {
        let needed = (metres[0] / area.width()).max(metres[1] / area.height()) * 1000.0;
        let one_to = ((needed / 5.0).ceil() * 5.0).max(5.0);
        Self::of(one_to)
    }

    pub(super) fn of(one_to: f64) -> Self {
        Self { per_metre: 1000.0 / one_to, one_to }
    }

    /// No larger than 1 to this.
    pub(super) fn at_most(self, one_to: f64) -> Self {
        Self::of(self.one_to.max(one_to))
    }

    /// A bar of one metre or three feet, with its scale beside it; gives where that ends.
    pub(super) fn bar(&self, board: &mut Board, [x, y]: [f64; 2], units: Units) -> f64 {
        let (long, parts, says) = match units {
            Units::Metric => (1.0, 2, format!("1000 mm, scale 1 : {:.0}", self.one_to)),
            Units::Us => (0.9144, 3, format!("36 in, scale 1 : {:.0}", self.one_to)),
        };
        let step = long * self.per_metre / f64::from(parts);
        for part in 0..parts {
            let area = Area::sized([x + step * f64::from(part), y - 1.4], [step, 1.4]);
            board.rectangle(area, if part % 2 == 0 { Style::ScaleDark } else { Style::Paper });
        }
        board.rectangle(Area::sized([x, y - 1.4], [long * self.per_metre, 1.4]), Style::Lock);
        let beside = x + long * self.per_metre + 1.5;
        board.say([beside, y], SMALL, false, &says);
        beside + width(&says, SMALL, false)
    }
}
