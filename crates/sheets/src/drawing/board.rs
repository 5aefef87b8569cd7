//! What the views draw on.

use super::style::Style;
use super::text::{Anchor, LEADING, Text};
use super::{Area, Item};

/// Items so far.
pub(super) struct Board {
    pub(super) items: Vec<Item>,
    pub(super) left_out: Vec<String>,
}

impl Board {
    pub(super) const fn new() -> Self {
        Self { items: Vec::new(), left_out: Vec::new() }
    }

    pub(super) fn line(&mut self, points: &[[f64; 2]], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: false, style });
    }

    pub(super) fn polygon(&mut self, points: &[[f64; 2]], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: true, style });
    }

    pub(super) fn rectangle(&mut self, area: Area, style: Style) {
        let Area { x: [l, r], y: [t, b] } = area;
        self.polygon(&[[l, t], [r, t], [r, b], [l, b]], style);
    }

    pub(super) fn circle(&mut self, centre: [f64; 2], radius: f64, style: Style) {
        self.items.push(Item::Circle { centre, radius, style });
    }

    pub(super) fn text(&mut self, text: Text) {
        if !text.says.is_empty() {
            self.items.push(Item::Text(text));
        }
    }

    /// Plain text from its left end.
    pub(super) fn say(&mut self, at: [f64; 2], size: f64, bold: bool, says: &str) {
        self.text(Text { at, anchor: Anchor::Start, size, bold, reversed: false, says: says.to_owned() });
    }

    /// The same, up to its right end.
    pub(super) fn say_up_to(&mut self, at: [f64; 2], size: f64, bold: bool, says: &str) {
        self.text(Text { at, anchor: Anchor::End, size, bold, reversed: false, says: says.to_owned() });
    }

    /// Lines one under the other; gives the base line after the last.
    pub(super) fn say_lines(&mut self, [x, mut y]: [f64; 2], size: f64, bold: bool, lines: &[String]) -> f64 {
        for line in lines {
            self.say([x, y], size, bold, line);
            y += size * LEADING;
        }
        y
    }

    /// A line with an arrow head at both ends.
    pub(super) fn dimension(&mut self, ends: [[f64; 2]; 2], style: Style) {
        self.line(&ends, style);
        let [a, b] = ends;
        let long = (b[0] - a[0]).hypot(b[1] - a[1]);
        if long < 3.0 {
            return;
        }
        let (ux, uy) = ((b[0] - a[0]) / long, (b[1] - a[1]) / long);
        for (tip, sign) in [(a, 1.0), (b, -1.0)] {
            let back = [tip[0] + sign * ux * 2.2, tip[1] + sign * uy * 2.2];
            let wing = [-uy * 0.6, ux * 0.6];
            self.polygon(
                &[tip, [back[0] + wing[0], back[1] + wing[1]], [back[0] - wing[0], back[1] - wing[1]]],
                Style::Arrow,
            );
        }
    }

    /// The sign of the centre of gravity: a circle in quarters.
    pub(super) fn centre_of_gravity(&mut self, at: [f64; 2], radius: f64) {
        self.circle(at, radius, Style::CgLight);
        for start in [0.0_f64, 180.0] {
            let mut quarter = vec![at];
            for step in 0..=8 {
                let angle = (start + 90.0 * f64::from(step) / 8.0).to_radians();
                quarter.push([at[0] + radius * angle.cos(), at[1] + radius * angle.sin()]);
            }
            self.polygon(&quarter, Style::CgDark);
        }
    }
}
