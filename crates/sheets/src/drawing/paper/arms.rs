//! The settings of the four arms, to be read from two metres.

use planner::plan::PadSetting;

use super::super::Area;
use super::super::board::Board;
use super::super::style::Style;
use super::super::text::width;
use super::bay::{fitting, items, ornament};
use super::{Cell, Heads, Part};
use crate::units::Round;
use crate::{Scene, Units, words};

/// Width of a card.
pub(super) const WIDE: f64 = 55.0;
/// Words beside digits; the digits of what is longer than a card is wide are no smaller.
const BESIDE: f64 = 6.0;
/// From one to the next, in their size.
const ROW: f64 = 1.0;
/// What is only told.
const TOLD: f64 = 3.5;
const TOLD_ROW: f64 = 4.6;
const TITLE: f64 = 7.4;
const INSET: f64 = 1.8;
/// Between the cards of a side.
const BETWEEN: f64 = 2.5;

struct Card {
    title: String,
    whose: Option<String>,
    set: [(&'static str, String); 4],
    told: [(&'static str, String); 2],
}

impl Card {
    fn of(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> Self {
        let guess = if words::share_is_assumed(scene) { "about " } else { "" };
        Self {
            title: words::corner_name(pad.arm).to_uppercase(),
            whose: (pad.arm != pad.corner)
                .then(|| format!("arm, under the vehicle's {}", words::corner_name(pad.corner))),
            set: [
                ("Reach", units.length(pad.reach)),
                ("Swing", words::swing(pad, units)),
                ("Height", units.length(pad.height)),
                ("Adapters", words::adapters(&pad.adapters, units)),
            ],
            told: [
                ("Load", format!("{guess}{}", units.load(pad.load_estimate))),
                (
                    "At most",
                    format!(
                        "{} of {}",
                        units.load_to(pad.load_assured, Round::Up),
                        units.rating(pad.rated.as_mass())
                    ),
                ),
            ],
        }
    }

    fn height(&self, set: f64) -> f64 {
        let whose = if self.whose.is_some() { TOLD_ROW } else { 0.0 };
        TITLE + whose + 4.0 * ROW * set + 2.0 * TOLD_ROW + 1.6
    }

    fn draw(&self, parts: &mut Vec<Part>, area: Area, set: f64) {
        let [left, right] = [area.x[0] + INSET, area.x[1] - INSET];
        parts.push(ornament(|board| {
            board.rectangle(area, Style::Frame);
            board.line(&[[area.x[0], area.y[0] + TITLE], [area.x[1], area.y[0] + TITLE]], Style::Frame);
        }));
        parts.push(Part::Heading(
            2,
            items(|board| board.say([left, area.y[0] + 5.7], 5.2, true, &self.title)),
        ));
        let mut y = area.y[0] + TITLE;
        if let Some(whose) = &self.whose {
            y += TOLD_ROW;
            let size = fitting(whose, TOLD, right - left);
            parts.push(Part::Paragraph(items(|board| board.say([left, y - 0.8], size, true, whose))));
        }
        let mut rows = vec![];
        for (label, value) in &self.set {
            y += ROW * set;
            rows.push(set_row(label, value, [left, right], y - 0.12 * set, set));
        }
        y += 0.6;
        for (label, value) in &self.told {
            y += TOLD_ROW;
            let room = right - left - width(label, TOLD, false) - 1.5;
            rows.push(row(label, value, [left, right], y - 1.0, (fitting(value, TOLD, room), false)));
        }
        parts.push(Part::Table(rows));
    }
}

/// A setting: digits large, what stands beside them in smaller letters.
fn set_row(label: &str, value: &str, [left, right]: [f64; 2], y: f64, set: f64) -> Vec<Cell> {
    const GAP: f64 = 1.6;
    let room = right - left - width(label, TOLD, false) - GAP;
    let runs = runs(value);
    let wide = |digits: bool| {
        let own = runs.iter().filter(|(own, _)| *own == digits);
        own.map(|(_, says)| width(says, 1.0, true)).sum::<f64>()
    };
    let gaps = runs.iter().skip(1).fold(0.0, |sum, _| sum + GAP);
    let digits = set.min((room - gaps - wide(false) * BESIDE) / wide(true).max(1e-6)).max(BESIDE);
    // Words alone are all that there is to read.
    let words = if wide(true) > 0.0 { BESIDE } else { fitting(value, 0.75 * set, room) };
    let size = |is_digits: bool| if is_digits { digits } else { words };
    let value = items(|board| {
        let mut x = right;
        for (is_digits, says) in runs.iter().rev() {
            board.say_up_to([x, y], size(*is_digits), true, says);
            x -= width(says, size(*is_digits), true) + GAP;
        }
        // They are read from the left.
        board.items.reverse();
    });
    let head = items(|board: &mut Board| board.say([left, y], TOLD, false, label));
    vec![Cell { heads: Heads::Row, items: head }, Cell { heads: Heads::Nothing, items: value }]
}

/// Digits with their fractions and signs, and words.
fn runs(value: &str) -> Vec<(bool, String)> {
    let mut runs: Vec<(bool, String)> = vec![];
    for word in value.split(' ') {
        let digits = !word.contains(char::is_alphabetic);
        match runs.last_mut() {
            Some((own, says)) if *own == digits => *says = format!("{says} {word}"),
            _ => runs.push((digits, word.to_owned())),
        }
    }
    runs
}

fn row(label: &str, value: &str, [left, right]: [f64; 2], y: f64, (size, bold): (f64, bool)) -> Vec<Cell> {
    let head = items(|board: &mut Board| board.say([left, y], TOLD, false, label));
    let value = items(|board| board.say_up_to([right, y], size, bold, value));
    vec![Cell { heads: Heads::Row, items: head }, Cell { heads: Heads::Nothing, items: value }]
}

/// Draws the four in the two columns, each at its own corner; gives where they end.
pub(super) fn draw(
    parts: &mut Vec<Part>,
    scene: &Scene<'_>,
    units: Units,
    (columns, top): ([[f64; 2]; 2], f64),
    set: f64,
) -> f64 {
    let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
    pads.sort_by_key(|pad| pad.arm);
    let cards: Vec<(&PadSetting, Card)> =
        pads.into_iter().map(|pad| (pad, Card::of(scene, pad, units))).collect();
    let high = cards.iter().map(|(_, card)| card.height(set)).fold(0.0, f64::max);
    for (pad, card) in &cards {
        let x = columns[usize::from(!pad.arm.is_left())];
        let y = if pad.arm.is_front() { top } else { top + high + BETWEEN };
        card.draw(parts, Area { x, y: [y, y + high] }, set);
    }
    top + 2.0 * high + BETWEEN
}
