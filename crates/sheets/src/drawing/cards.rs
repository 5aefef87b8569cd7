//! The settings of the four arms, each at its own corner of the plan view, and between them what the
//! signs mean and how sure the plan is.

use planner::plan::PadSetting;

use super::Area;
use super::board::Board;
use super::flow::{Block, Sign};
use super::plan_view::Centres;
use super::style::Style;
use super::text::{SMALL, width, wrapped};
use crate::units::Round;
use crate::{Scene, Units, units, words};

const ROW: f64 = 4.7;
const INSET: f64 = 1.6;
/// Size of what is set at the arm.
const SET: f64 = 3.9;

/// Draws the cards in the two columns beside the plan view; gives what is free between those of each.
pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, columns: [Area; 2]) -> [Area; 2] {
    let mut between = columns;
    for pad in &scene.plan.pads {
        let side = usize::from(!pad.arm.is_left());
        let column = columns[side];
        let card = Card::of(scene, pad, units, column.width() - 2.0 * INSET);
        let high = card.height();
        let top = if pad.arm.is_front() { column.y[0] } else { column.y[1] - high };
        let area = Area::sized([column.x[0], top], [column.width(), high]);
        card.draw(board, area);
        let free = &mut between[side].y;
        if pad.arm.is_front() { free[0] = area.y[1] + 2.5 } else { free[1] = area.y[0] - 2.0 }
    }
    between
}

struct Card {
    title: String,
    whose: Option<String>,
    rows: Vec<Row>,
}

struct Row {
    label: &'static str,
    /// One line beside the label, or lines below it.
    value: Vec<String>,
    below: bool,
    set: bool,
}

impl Row {
    const fn size(&self) -> f64 {
        if self.set { SET } else { SMALL }
    }
    fn lines(&self) -> f64 {
        let below = if self.below { 1.0 } else { 0.0 };
        self.value.iter().fold(below, |n, _| n + 1.0)
    }
}

impl Card {
    fn of(scene: &Scene<'_>, pad: &PadSetting, units: Units, room: f64) -> Self {
        let row = |label: &'static str, value: String, set: bool| {
            let size = if set { SET } else { SMALL };
            let below = width(label, SMALL, false) + width(&value, size, set) + 1.0 > room;
            let value = if below { wrapped(&value, size, set, room) } else { vec![value] };
            Row { label, value, below, set }
        };
        let guess = if words::share_is_assumed(scene) { "about " } else { "" };
        Self {
            title: words::corner_name(pad.arm).to_uppercase(),
            whose: (pad.arm != pad.corner).then(|| format!("vehicle's {}", words::corner_name(pad.corner))),
            rows: vec![
                row("Reach", units.length(pad.reach), true),
                row("Swing", words::swing(pad, units), true),
                row("Pad height", words::pad_height(scene, pad, units), true),
                row("Adapters", words::adapters_on(scene, pad, units), true),
                row("Load", format!("{guess}{}", units.load(pad.load_estimate)), false),
                row("Assured", units.load_to(pad.load_assured, Round::Up), false),
                row("Rating", units.rating(pad.rated.as_mass()), false),
            ],
        }
    }

    fn height(&self) -> f64 {
        let whose = if self.whose.is_some() { ROW } else { 0.0 };
        7.0 + whose + self.rows.iter().fold(0.0, |n, row| n + row.lines()) * ROW
    }

    fn draw(&self, board: &mut Board, area: Area) {
        board.rectangle(area, Style::Frame);
        let [left, right] = [area.x[0] + INSET, area.x[1] - INSET];
        board.say([left, area.y[0] + 4.8], 4.0, true, &self.title);
        let mut y = area.y[0] + 6.3;
        if let Some(whose) = &self.whose {
            board.say([left, y + 2.9], SMALL, false, whose);
            y += ROW;
        }
        board.line(&[[area.x[0], y], [area.x[1], y]], Style::Rule);
        y += ROW - 0.9;
        for row in &self.rows {
            board.say([left, y], SMALL, false, row.label);
            if row.below {
                y += ROW;
            }
            for line in &row.value {
                board.say_up_to([right, y], row.size(), row.set, line);
                y += ROW;
            }
        }
    }
}

/// What the signs of the plan view mean, those that it has.
pub(super) fn signs(scene: &Scene<'_>, centres: Centres) -> Vec<Block> {
    let vehicle = scene.vehicle;
    let of = |sign, says: &str| Block::Sign(sign, says.into());
    let mut signs = vec![of(Sign::Of(Style::LiftArea), "lifting area")];
    if !vehicle.keep_outs.is_empty() {
        signs.push(of(Sign::Of(Style::KeepOut), "keep out"));
    }
    signs.push(of(Sign::Of(Style::Support), "span of the pads"));
    if !vehicle.doors.is_empty() {
        signs.push(of(Sign::Of(Style::Swing), "way of a door"));
    }
    if words::standing(scene).is_some() {
        signs.push(of(Sign::Stand, "stand"));
    }
    signs.push(if centres.box_shows {
        of(Sign::CentreInBox, "centre of gravity (CG) in its tolerance")
    } else {
        of(Sign::Centre, "centre of gravity (CG); its tolerance lies within the sign")
    });
    if centres.several {
        signs.push(of(Sign::OtherCentre, "CG in other states"));
    }
    signs.push(of(Sign::Arrow, "CG to edge, at its worst"));
    signs
}

/// The least reserve and how sure the centre of gravity is.
pub(super) fn sureness(scene: &Scene<'_>, units: Units) -> Vec<Block> {
    let (called, check) = words::deciding(scene);
    let mut said = vec![
        Block::Sentence(called.into()),
        Block::Figure(units::reserve(check.reserve)),
        Block::Sentence(words::check_title(scene, check.what)),
    ];
    if let Some(state) = scene.plan.states.first() {
        let about = if words::share_is_assumed(scene) { "about " } else { "" };
        said.push(Block::Sentence(format!(
            "CG {about}{} behind front axle, \u{b1} {}; \u{b1} {} across",
            units.length(state.cg.plan().x()),
            units.length_to(state.cg_tolerance[0], Round::Up),
            units.length_to(state.cg_tolerance[1], Round::Up)
        )));
    }
    said
}
