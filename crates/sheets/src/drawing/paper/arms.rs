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
/// Size of the digits that are set at the arms: 8 mm high, fourteen minutes of arc from two metres. All else on the page
/// takes the room that they leave.
pub(super) const SET: f64 = 11.7;
/// Words beside digits.
const BESIDE: f64 = 6.0;
/// From one line to the next.
const ROW: f64 = 0.85 * SET;
/// Between words.
const GAP: f64 = 1.6;
/// Several words are so much smaller than digits.
const WORDS: f64 = 0.7;
/// That no adapter is set needs no figure.
const NO_ADAPTER: f64 = 6.5;
const NO_ADAPTER_ROW: f64 = 6.2;
/// What is only told.
const TOLD: f64 = 3.5;
const TOLD_ROW: f64 = 4.4;
const TITLE: f64 = 6.2;
const INSET: f64 = 1.8;
/// Between the cards of a side.
const BETWEEN: f64 = 1.5;

struct Card {
    title: String,
    whose: Option<String>,
    set: [(&'static str, String); 4],
    load: String,
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
                ("Height", words::pad_height(scene, pad, units)),
                (ADAPTERS, words::adapters_on(scene, pad, units)),
            ],
            load: format!(
                "{guess}{}; at most {} of {}",
                units.load(pad.load_estimate),
                number(&units.load_to(pad.load_assured, Round::Up)),
                units.rating(pad.rated.as_mass())
            ),
        }
    }

    fn height(&self) -> f64 {
        let whose = if self.whose.is_some() { TOLD_ROW } else { 0.0 };
        let set = self.set.iter().map(|(label, value)| high(label, value)).sum::<f64>();
        TITLE + whose + set + TOLD_ROW + 1.6
    }

    fn draw(&self, parts: &mut Vec<Part>, area: Area) {
        let [left, right] = [area.x[0] + INSET, area.x[1] - INSET];
        parts.push(ornament(|board| {
            board.rectangle(area, Style::Frame);
            board.line(&[[area.x[0], area.y[0] + TITLE], [area.x[1], area.y[0] + TITLE]], Style::Frame);
        }));
        parts.push(Part::Heading(
            2,
            items(|board| board.say([left, area.y[0] + 4.8], 5.0, true, &self.title)),
        ));
        let mut y = area.y[0] + TITLE;
        if let Some(whose) = &self.whose {
            y += TOLD_ROW;
            let size = fitting(whose, TOLD, right - left);
            parts.push(Part::Paragraph(items(|board| board.say([left, y - 0.8], size, true, whose))));
        }
        let mut rows = vec![];
        for (label, value) in &self.set {
            rows.push(if is_in_words(label, value) {
                row(label, value, [left, right], y + 0.8 * NO_ADAPTER, (NO_ADAPTER, true))
            } else {
                set_row(label, &lines(label, value), [left, right], y + 0.77 * SET)
            });
            y += high(label, value);
        }
        y += 0.6 + TOLD_ROW;
        let room = right - left - width("Load", TOLD, false) - GAP;
        let size = fitting(&self.load, TOLD, room);
        rows.push(row("Load", &self.load, [left, right], y - 1.0, (size, false)));
        parts.push(Part::Table(rows));
    }
}

const ADAPTERS: &str = "Adapters";

/// Whether no adapter is told to be set.
fn is_in_words(label: &str, value: &str) -> bool {
    label == ADAPTERS && !value.contains(|c: char| c.is_ascii_digit())
}

/// What a setting takes.
fn high(label: &str, value: &str) -> f64 {
    if is_in_words(label, value) {
        NO_ADAPTER_ROW
    } else {
        lines(label, value).iter().fold(0.0, |high, _| high + ROW)
    }
}

/// A figure without its unit, which stands behind the next.
fn number(figure: &str) -> &str {
    figure.rsplit_once(' ').map_or(figure, |(number, _)| number)
}

/// Words of a line, each with whether it is digits.
type Runs = Vec<(bool, String)>;

/// How large the words of a line are: those that stand alone are all that there is to read.
fn size_of(runs: &[(bool, String)], is_digits: bool) -> f64 {
    if is_digits || runs.iter().all(|(digits, _)| !digits) { SET } else { BESIDE }
}

fn long(runs: &[(bool, String)]) -> f64 {
    let gaps = runs.iter().skip(1).fold(0.0, |sum, _| sum + GAP);
    gaps + runs.iter().map(|(digits, says)| width(says, size_of(runs, *digits), true)).sum::<f64>()
}

/// Room for a line of a setting: the first stands beside the label.
fn room(label: &str, line: usize) -> f64 {
    let beside = if line == 0 { width(label, TOLD, false) + GAP } else { 0.0 };
    WIDE - 2.0 * INSET - beside
}

/// A setting in one line, or in two.
fn lines(label: &str, value: &str) -> Vec<Runs> {
    // Words alone are smaller rather than torn apart.
    if !value.contains(|c: char| c.is_ascii_digit()) {
        return vec![runs(value)];
    }
    let mut lines: Vec<String> = vec![];
    for word in crate::units::words_of(value) {
        let joined = lines.last().map(|line| format!("{line} {word}"));
        // A third line would leave no room for what is below: a longer stack is smaller.
        let (full, at) = (lines.len() == 2, lines.len().saturating_sub(1));
        match (joined.filter(|line| full || long(&runs(line)) <= room(label, at)), lines.last_mut()) {
            (Some(joined), Some(line)) => *line = joined,
            _ => lines.push(word),
        }
    }
    lines.iter().map(|line| runs(line)).collect()
}

/// A setting: digits large, what stands beside them in smaller letters.
fn set_row(label: &str, lines: &[Runs], [left, right]: [f64; 2], first: f64) -> Vec<Cell> {
    // Small letters end lower than digits, and begin lower.
    let several = |runs: &Runs| runs.iter().all(|(digits, says)| !digits && says.contains(' '));
    let base = |runs: &Runs, y: f64| match runs.iter().any(|(digits, _)| *digits) {
        true => y,
        false => y - if several(runs) { 0.06 } else { 0.12 } * SET,
    };
    let value = items(|board| {
        let mut y = first;
        for (k, runs) in lines.iter().enumerate() {
            // A figure that no arm has is smaller rather than cut.
            let fits = (room(label, k) / long(runs)).min(if several(runs) { WORDS } else { 1.0 });
            let mut x = right - long(runs) * fits;
            let base = base(runs, y);
            for (is_digits, says) in runs {
                let size = size_of(runs, *is_digits) * fits;
                board.say([x, base], size, true, says);
                x += width(says, size, true) + GAP * fits;
            }
            y += ROW;
        }
    });
    let beside = lines.first().map_or(first, |runs| base(runs, first));
    let head = items(|board: &mut Board| board.say([left, beside], TOLD, false, label));
    vec![Cell { heads: Heads::Row, items: head }, Cell { heads: Heads::Nothing, items: value }]
}

/// Digits with their fractions and signs, and words.
fn runs(value: &str) -> Runs {
    let mut runs: Runs = vec![];
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
) -> f64 {
    let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
    pads.sort_by_key(|pad| pad.arm);
    let cards: Vec<(&PadSetting, Card)> =
        pads.into_iter().map(|pad| (pad, Card::of(scene, pad, units))).collect();
    let high = cards.iter().map(|(_, card)| card.height()).fold(0.0, f64::max);
    for (pad, card) in &cards {
        let x = columns[usize::from(!pad.arm.is_left())];
        let y = if pad.arm.is_front() { top } else { top + high + BETWEEN };
        card.draw(parts, Area { x, y: [y, y + high] });
    }
    top + 2.0 * high + BETWEEN
}
