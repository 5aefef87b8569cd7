//! What the views draw on.

use super::area::{At, apart};
use super::style::Style;
use super::text::{Anchor, LEADING, Text};
use super::{Area, Item};

/// Items so far.
#[derive(Clone)]
pub(super) struct Board {
    pub(super) items: Vec<Item>,
}

/// Length and half the width of an arrow head.
const HEAD: [f64; 2] = [2.2, 0.6];

impl Board {
    pub(super) const fn new() -> Self {
        Self { items: Vec::new() }
    }

    pub(super) fn line(&mut self, points: &[At], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: false, style });
    }

    pub(super) fn polygon(&mut self, points: &[At], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: true, style });
    }

    pub(super) fn rectangle(&mut self, area: Area, style: Style) {
        self.polygon(&area.corners(), style);
    }

    pub(super) fn circle(&mut self, centre: At, radius: f64, style: Style) {
        self.items.push(Item::Circle { centre, radius, style });
    }

    pub(super) fn text(&mut self, text: Text) {
        if !text.says.is_empty() {
            self.items.push(Item::Text(text));
        }
    }

    /// Plain text from its left end.
    pub(super) fn say(&mut self, at: At, size: f64, bold: bool, says: &str) {
        self.text(Text { at, anchor: Anchor::Start, size, bold, reversed: false, says: says.to_owned() });
    }

    /// The same, up to its right end.
    pub(super) fn say_up_to(&mut self, at: At, size: f64, bold: bool, says: &str) {
        self.text(Text { at, anchor: Anchor::End, size, bold, reversed: false, says: says.to_owned() });
    }

    /// Lines one under the other; gives the base line after the last.
    pub(super) fn say_lines(&mut self, [x, mut y]: At, size: f64, bold: bool, lines: &[String]) -> f64 {
        for line in lines {
            self.say([x, y], size, bold, line);
            y += size * LEADING;
        }
        y
    }

    /// A line with an arrow head at both ends; from outside where there is no room between them.
    pub(super) fn dimension(&mut self, ends: [At; 2], style: Style) {
        self.arrows(ends, style, HEAD, apart(ends[0], ends[1]) > 2.0 * HEAD[0] + 0.6);
    }

    /// The same where it must not reach beyond its ends: heads as short as the room between them makes them.
    pub(super) fn dimension_within(&mut self, [a, b]: [At; 2], style: Style) {
        let room = 0.44 * apart(a, b) / HEAD[0];
        self.arrows([a, b], style, HEAD.map(|size| size * room.min(1.0)), true);
    }

    fn arrows(&mut self, [a, b]: [At; 2], style: Style, [head, wing]: [f64; 2], inside: bool) {
        let long = apart(a, b);
        if long < 1e-6 {
            return;
        }
        let (ux, uy) = ((b[0] - a[0]) / long, (b[1] - a[1]) / long);
        let tail = if inside { 0.0 } else { head + 1.6 };
        self.line(&[[a[0] - ux * tail, a[1] - uy * tail], [b[0] + ux * tail, b[1] + uy * tail]], style);
        for (tip, towards) in [(a, 1.0), (b, -1.0)] {
            let way = if inside { towards } else { -towards } * head;
            let back = [tip[0] + ux * way, tip[1] + uy * way];
            self.polygon(
                &[
                    tip,
                    [back[0] - uy * wing, back[1] + ux * wing],
                    [back[0] + uy * wing, back[1] - ux * wing],
                ],
                Style::Arrow,
            );
        }
    }

    /// The sign of the centre of gravity: a circle in quarters.
    pub(super) fn centre_of_gravity(&mut self, at: At, radius: f64) {
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
