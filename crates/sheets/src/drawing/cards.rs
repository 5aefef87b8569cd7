//! The settings of the four arms, each at its own corner of the plan view, and between them what the
//! signs mean and how sure the plan is.

use planner::plan::PadSetting;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{SMALL, clipped, width, wrapped};
use crate::{Scene, Units, units, words};

const ROW: f64 = 4.7;
const INSET: f64 = 1.6;

/// Draws the cards in the two columns beside the plan view; gives for each pad where its card is joined.
pub(super) fn draw(board: &mut Board, scene: &Scene<'_>, units: Units, columns: [Area; 2]) -> [[f64; 2]; 4] {
    let mut joins = [[0.0; 2]; 4];
    let mut between = columns;
    for (join, pad) in joins.iter_mut().zip(&scene.plan.pads) {
        let side = usize::from(!pad.arm.is_left());
        let column = columns[side];
        let rows = rows(scene, pad, units);
        let high = height(&rows, column.width()) + if pad.arm == pad.corner { 0.0 } else { ROW };
        let top = if pad.arm.is_front() { column.y[0] } else { column.y[1] - high };
        let area = Area::sized([column.x[0], top], [column.width(), high]);
        card(board, area, pad, &rows);
        let inner = if pad.arm.is_left() { area.x[1] } else { area.x[0] };
        *join = [inner, if pad.arm.is_front() { area.y[1] - 6.0 } else { area.y[0] + 6.0 }];
        let free = &mut between[side].y;
        if pad.arm.is_front() { free[0] = area.y[1] + 2.0 } else { free[1] = area.y[0] - 2.0 }
    }
    signs(board, between[0]);
    sureness(board, scene, units, between[1]);
    joins
}

struct Row {
    label: &'static str,
    value: String,
    bold: bool,
}

fn rows(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> Vec<Row> {
    let row = |label, value, bold| Row { label, value, bold };
    let guess = if words::share_is_assumed(scene) { "about " } else { "" };
    vec![
        row("Reach", units.length(pad.reach), true),
        row("Swing", words::swing(pad, units), true),
        row("Pad height", units.length(pad.height), true),
        row("Adapters", words::adapters(&pad.adapters, units), true),
        row("Load", format!("{guess}{}", units.load(pad.load_estimate)), false),
        row("Assured", units.load(pad.load_assured), false),
        row("Rating", units.load(pad.rated), false),
    ]
}

fn fits_beside(row: &Row, room: f64) -> bool {
    width(row.label, SMALL, false) + width(&row.value, SMALL, row.bold) + 1.0 <= room
}

fn height(rows: &[Row], wide: f64) -> f64 {
    let lines =
        rows.iter().fold(0.0, |n, row| n + if fits_beside(row, wide - 2.0 * INSET) { 1.0 } else { 2.0 });
    7.0 + lines * ROW
}

fn card(board: &mut Board, area: Area, pad: &PadSetting, rows: &[Row]) {
    board.rectangle(area, Style::Frame);
    let [left, right] = [area.x[0] + INSET, area.x[1] - INSET];
    let room = right - left;
    board.say([left, area.y[0] + 4.8], 4.0, true, &words::corner_name(pad.arm).to_uppercase());
    let mut y = area.y[0] + 6.3;
    if pad.arm != pad.corner {
        let says = format!("vehicle's {}", words::corner_name(pad.corner));
        board.say([left, y + 2.9], SMALL, false, &says);
        y += ROW;
    }
    board.line(&[[area.x[0], y], [area.x[1], y]], Style::Rule);
    y += ROW - 0.9;
    for row in rows {
        board.say([left, y], SMALL, false, row.label);
        if !fits_beside(row, room) {
            y += ROW;
        }
        board.say_up_to([right, y], SMALL, row.bold, &clipped(&row.value, SMALL, row.bold, room));
        y += ROW;
    }
}

/// What the signs of the plan view mean.
fn signs(board: &mut Board, area: Area) {
    const SIGNS: [(Style, &str); 5] = [
        (Style::LiftArea, "lifting area"),
        (Style::KeepOut, "keep out"),
        (Style::Support, "span of the pads"),
        (Style::Edge, "CG to edge,"),
        (Style::Door, "door opening"),
    ];
    let mut y = area.y[0] + 4.0;
    for (style, says) in SIGNS {
        let swatch = Area::sized([area.x[0], y - 2.6], [7.0, 3.0]);
        let middle = swatch.middle()[1];
        let ends = [[swatch.x[0], middle], [swatch.x[1], middle]];
        match style {
            Style::LiftArea | Style::KeepOut => board.rectangle(swatch, style),
            Style::Edge => board.dimension(ends, style),
            _ => board.line(&ends, style),
        }
        board.say([area.x[0] + 8.5, y], SMALL, false, says);
        y += 5.0;
        if style == Style::Edge {
            board.say([area.x[0] + 8.5, y - 0.6], SMALL, false, "at its worst");
            y += 4.6;
        }
    }
    board.centre_of_gravity([area.x[0] + 3.5, y - 1.2], 1.5);
    board.say([area.x[0] + 8.5, y], SMALL, false, "centre of gravity");
    board.say([area.x[0] + 8.5, y + 4.4], SMALL, false, "and its tolerance");
}

/// The least reserve and how sure the centre of gravity is.
fn sureness(board: &mut Board, scene: &Scene<'_>, units: Units, area: Area) {
    let Some(check) = scene.plan.checks.get(scene.plan.worst) else { return };
    let room = area.width();
    let mut y = area.y[0] + 4.0;
    board.say([area.x[0], y], SMALL, false, "Least reserve");
    y += 5.8;
    let figure = units::reserve(check.reserve);
    let size = if figure.starts_with("fails") { SMALL } else { 5.4 };
    board.say([area.x[0], y], size, true, &clipped(&figure, size, true, room));
    y += 5.0;
    let mut lines = wrapped(&words::check_title(scene, check.what), SMALL, false, room);
    let most = 4;
    if lines.len() > most {
        lines.truncate(most);
        if let Some(last) = lines.last_mut() {
            *last = clipped(&format!("{last} and so on................"), SMALL, false, room);
        }
    }
    y = board.say_lines([area.x[0], y], SMALL, false, &lines);
    let Some(state) = scene.plan.states.first() else { return };
    let about = if words::share_is_assumed(scene) { "about " } else { "" };
    let says = format!(
        "CG {about}{} behind front axle, \u{b1} {}",
        units.length(state.cg.plan().x()),
        units.length(state.cg_tolerance[0])
    );
    let lines = wrapped(&says, SMALL, false, room);
    if y + 1.6 + 4.5 * 3.0 <= area.y[1] + 1.0 {
        board.say_lines([area.x[0], y + 1.6], SMALL, false, &lines);
    }
}
