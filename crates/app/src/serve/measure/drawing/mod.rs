//! Where the tape goes: what is measured so far to scale, and the dimension that is asked for heavy with arrows.

mod lift;
mod vehicle;

use sheets::drawing::text::{self, Anchor};
use sheets::drawing::{Item, Style, Text};

use super::Subject;
use super::question::{Answers, Said, figure, said};
use crate::input::quantity::{self, Kind};

/// Placed items, millimetres; on a screen of 360 points a millimetre is about two and a half of them, and type 11 or more.
pub(crate) struct Picture {
    pub(crate) size: [f64; 2],
    pub(crate) items: Vec<Item>,
}

/// What a question shows.
pub(super) fn picture(subject: Subject, answers: &Answers, key: &str) -> Picture {
    match subject {
        Subject::Lift => lift::picture(answers, key),
        Subject::Vehicle => vehicle::picture(answers, key),
    }
}

type At = [f64; 2];

/// Width of every picture, and how high it is at most: the question stands below it on a small screen.
const WIDE: f64 = 96.0;
const HIGH: f64 = 88.0;
/// Room to the right of what is drawn, for upright dimensions and their figures.
const RIGHT: f64 = 29.0;
const LEFT: f64 = 5.0;
/// Room above, and below for level dimensions and their figures.
const TOP: f64 = 7.0;
const BELOW: f64 = 11.5;
const SIZE: f64 = 4.6;

/// A length as it was measured, or about what it usually is.
#[derive(Clone, Copy, Debug)]
struct Length {
    metres: f64,
    known: bool,
}

impl Length {
    const fn style(self, known: Style) -> Style {
        if self.known { known } else { Style::NotMeasured }
    }
}

/// What was answered, in SI.
fn si(answers: &Answers, key: &str, kind: &Kind) -> Option<f64> {
    let Said::Answer(answer) = said(answers, key) else { return None };
    quantity::parse_kind(kind, &figure(answer)).ok().map(|read| read.value)
}

/// The length under a key, or a usual one; what no bay could hold is drawn at what it could.
fn length(answers: &Answers, key: &str, usual: f64) -> Length {
    let kind = <statics::Length as quantity::Quantity>::KIND;
    match si(answers, key, kind).filter(|metres| metres.is_finite()) {
        Some(metres) if usual > 0.0 => Length { metres: metres.clamp(usual * 0.2, usual * 3.0), known: true },
        Some(metres) => Length { metres: metres.clamp(-3.0, 3.0), known: true },
        None => Length { metres: usual, known: false },
    }
}

/// The figure that was typed, as it stands beside its arrow.
fn shown(answers: &Answers, key: &str) -> String {
    let Said::Answer(answer) = said(answers, key) else { return "?".into() };
    let figure = figure(answer);
    let value = figure.split(" +-").next().unwrap_or_default().split(" by ").next().unwrap_or_default();
    value.chars().filter(|c| !c.is_control()).collect()
}

#[derive(Default)]
struct Canvas {
    items: Vec<Item>,
}

impl Canvas {
    fn line(&mut self, points: &[At], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: false, style });
    }

    fn area(&mut self, points: &[At], style: Style) {
        self.items.push(Item::Path { points: points.to_vec(), closed: true, style });
    }

    fn rectangle(&mut self, [x0, y0]: At, [x1, y1]: At, style: Style) {
        self.area(&[[x0, y0], [x1, y0], [x1, y1], [x0, y1]], style);
    }

    fn circle(&mut self, centre: At, radius: f64, style: Style) {
        self.items.push(Item::Circle { centre, radius, style });
    }

    fn say(&mut self, at: At, anchor: Anchor, bold: bool, says: &str) {
        self.items.push(Item::Text(Text {
            at,
            anchor,
            size: SIZE,
            bold,
            reversed: false,
            says: says.to_owned(),
        }));
    }

    /// The heavy line between two places, with a head at each end.
    fn asked(&mut self, from: At, to: At) {
        let apart = (to[0] - from[0]).hypot(to[1] - from[1]);
        if apart < 0.3 {
            return self.circle(from, 0.9, Style::Arrow);
        }
        let unit = [(to[0] - from[0]) / apart, (to[1] - from[1]) / apart];
        // Where both heads find no room between, they stand outside.
        let (long, outside) = (3.0, apart < 8.0);
        if !outside {
            self.line(&[along(from, unit, long * 0.7), along(to, unit, -long * 0.7)], Style::Asked);
        }
        for (tip, way) in [(from, 1.0), (to, -1.0)] {
            let way = if outside { -way } else { way };
            let back = along(tip, unit, way * long);
            let wing = long * 0.36;
            if outside {
                self.line(&[back, along(tip, unit, way * 1.7 * long)], Style::Asked);
            }
            let side = |k: f64| [back[0] - unit[1] * wing * k, back[1] + unit[0] * wing * k];
            self.area(&[tip, side(1.0), side(-1.0)], Style::Arrow);
        }
    }

    /// A level dimension on a line of its own below everything, its figure under it.
    fn level(&mut self, from: At, to: At, y: f64, says: &str) {
        for end in [from, to] {
            self.line(&[end, [end[0], y + 1.2]], Style::Extension);
        }
        self.asked([from[0], y], [to[0], y]);
        let half = text::width(says, SIZE, true) / 2.0;
        let middle = f64::midpoint(from[0], to[0]).clamp(half + 1.0, WIDE - half - 1.0);
        self.say([middle, y + 1.4 * SIZE], Anchor::Middle, true, says);
    }

    /// An upright dimension to the right of everything, its figure beside it.
    fn upright(&mut self, from: At, to: At, x: f64, says: &str) {
        for end in [from, to] {
            self.line(&[end, [x + 1.2, end[1]]], Style::Extension);
        }
        self.asked([x, from[1]], [x, to[1]]);
        if x + 2.4 + text::width(says, SIZE, true) <= WIDE {
            self.say([x + 2.4, f64::midpoint(from[1], to[1]) + 0.36 * SIZE], Anchor::Start, true, says);
        }
    }

    fn into_picture(self, high: f64) -> Picture {
        Picture { size: [WIDE, high], items: self.items }
    }
}

fn along([x, y]: At, [ux, uy]: At, far: f64) -> At {
    [x + ux * far, y + uy * far]
}
