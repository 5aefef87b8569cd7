//! Which vehicles each of several lifts takes: share by wheelbase and mass, and why the rest fail.

use super::text::{Anchor, LEADING, SMALL, Text, width, wrapped};
use super::{Drawing, Item, PAGE, Style};

/// What a survey of many vehicles came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Coverage {
    /// What was asked.
    pub title: String,
    /// What must be said with it.
    pub notes: Vec<String>,
    /// Where one class of wheelbases ends and the next begins, metres, ascending.
    pub wheelbases: Vec<f64>,
    /// The same of masses, kilograms.
    pub masses: Vec<f64>,
    /// Each lift.
    pub lifts: Vec<LiftCoverage>,
}

/// What one lift takes.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftCoverage {
    /// What it is called.
    pub name: String,
    /// Vehicles that may be raised without conditions.
    pub raised: u64,
    /// Vehicles that may be raised under conditions.
    pub under_conditions: u64,
    /// Vehicles that must not be raised.
    pub refused: u64,
    /// By classes of mass, then of wheelbase: how many of how many it takes.
    pub cells: Vec<Vec<[u64; 2]>>,
    /// Why vehicles are refused, and how many.
    pub reasons: Vec<(String, u64)>,
}

const MARGIN: f64 = 15.0;
const CELL: [f64; 2] = [11.0, 6.2];
/// Left of the cells: classes of mass.
const LABELS: f64 = 22.0;
const LINE: f64 = SMALL * LEADING;
const HEADING: f64 = 5.0;
/// Between panels.
const GAP: f64 = 8.0;
/// The least room for cells.
const LEAST: f64 = 30.0;
/// Between cells and words.
const ASIDE: f64 = 6.0;

/// A share in whole per cent, never rounded to all or nothing.
fn share([part, whole]: [u64; 2]) -> String {
    let percent = (part * 100 + whole / 2) / whole.max(1);
    match (part, percent) {
        (0, _) => "0".into(),
        (_, 0) => "<1".into(),
        (part, 100..) if part < whole => ">99".into(),
        (_, percent) => percent.to_string(),
    }
}

struct Sheet {
    items: Vec<Item>,
}

impl Sheet {
    fn text(&mut self, at: [f64; 2], anchor: Anchor, size: f64, bold: bool, says: &str) {
        self.items.push(Item::Text(Text { at, anchor, size, bold, reversed: false, says: says.into() }));
    }

    fn box_of(&mut self, [left, top]: [f64; 2], [wide, high]: [f64; 2], style: Style) {
        let (right, bottom) = (left + wide, top + high);
        let points = vec![[left, top], [right, top], [right, bottom], [left, bottom]];
        self.items.push(Item::Path { points, closed: true, style });
    }

    /// Words below each other; where the next line would stand.
    fn words(&mut self, [left, mut top]: [f64; 2], room: f64, bold: bool, says: &str) -> f64 {
        for line in wrapped(says, SMALL, bold, room) {
            self.text([left, top], Anchor::Start, SMALL, bold, &line);
            top += LINE;
        }
        top
    }
}

/// Which classes hold any vehicle: from the first to the last.
fn used(counts: impl Iterator<Item = u64>) -> std::ops::Range<usize> {
    let filled: Vec<usize> = counts.enumerate().filter(|(_, n)| *n > 0).map(|(k, _)| k).collect();
    filled.first().map_or(0..0, |first| *first..filled.last().unwrap_or(first) + 1)
}

/// The classes that are drawn, the same for every lift: of masses, of wheelbases.
struct Grid {
    masses: std::ops::Range<usize>,
    wheelbases: std::ops::Range<usize>,
}

/// What a class of masses is called.
fn mass_class(edges: &[f64], k: usize) -> String {
    match (k.checked_sub(1).and_then(|k| edges.get(k)), edges.get(k)) {
        (None, Some(to)) => format!("under {to:.0}"),
        (Some(from), Some(to)) => format!("{from:.0}\u{2013}{to:.0}"),
        (Some(from), None) => format!("from {from:.0}"),
        (None, None) => "all".into(),
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a few classes, and counts that are drawn to a hundredth of a millimetre"
)]
impl Coverage {
    fn grid(&self) -> Grid {
        let cells = || self.lifts.iter().map(|lift| &lift.cells);
        let of = |row: usize, column: usize| cells().map(|c| c[row][column][1]).sum::<u64>();
        let (rows, columns) = (self.masses.len() + 1, self.wheelbases.len() + 1);
        Grid {
            masses: used((0..rows).map(|row| (0..columns).map(|column| of(row, column)).sum())),
            wheelbases: used((0..columns).map(|column| (0..rows).map(|row| of(row, column)).sum())),
        }
    }

    fn panel_height(grid: &Grid) -> f64 {
        let cells = grid.masses.len() as f64 * CELL[1];
        // Name above; figures and name of the axis below.
        (LINE + 2.0 + cells + 2.0 * LINE + 1.0).max(14.0 * LINE)
    }

    fn panel(&self, sheet: &mut Sheet, top: f64, lift: &LiftCoverage, grid: &Grid) {
        let left = MARGIN + LABELS;
        sheet.text([MARGIN, top + SMALL], Anchor::Start, HEADING, true, &lift.name);
        let first = top + LINE + 2.0;
        let rows = grid.masses.len() as f64;
        let columns = grid.wheelbases.len() as f64;
        // The heaviest on top.
        for (line, row) in grid.masses.clone().rev().enumerate() {
            let y = first + line as f64 * CELL[1];
            let base = y + CELL[1] - 1.9;
            sheet.text([left - 2.0, base], Anchor::End, SMALL, false, &mass_class(&self.masses, row));
            for (k, column) in grid.wheelbases.clone().enumerate() {
                let x = left + k as f64 * CELL[0];
                sheet.box_of([x, y], CELL, Style::Rule);
                let [part, whole] = lift.cells[row][column];
                if whole == 0 {
                    continue;
                }
                let [bar, whole_bar] = [x + 0.8, CELL[1] - 1.4];
                let high = whole_bar * part as f64 / whole as f64;
                sheet.box_of([bar, y + 0.7], [2.0, whole_bar], Style::Rule);
                if part > 0 {
                    sheet.box_of([bar, y + 0.7 + whole_bar - high], [2.0, high], Style::Banner);
                }
                sheet.text([x + CELL[0] - 0.9, base], Anchor::End, SMALL, false, &share([part, whole]));
            }
        }
        sheet.box_of([left, first], [columns * CELL[0], rows * CELL[1]], Style::Frame);
        let below = first + rows * CELL[1] + SMALL + 0.6;
        // Every border of a class, the outer ones too; beyond the first and the last of all there is none.
        for k in grid.wheelbases.start..=grid.wheelbases.end {
            if let Some(edge) = k.checked_sub(1).and_then(|k| self.wheelbases.get(k)) {
                let x = left + (k - grid.wheelbases.start) as f64 * CELL[0];
                sheet.text([x, below], Anchor::Middle, SMALL, false, &format!("{edge:.2}"));
            }
        }
        sheet.text([left, below + LINE], Anchor::Start, SMALL, false, "wheelbase, m");
        sheet.text([left - 2.0, below + LINE], Anchor::End, SMALL, false, "mass, kg");
        // Never so narrow that the name of the axis reaches the words.
        let aside = left + (columns * CELL[0]).max(LEAST) + ASIDE;
        Self::aside(sheet, [aside, first + SMALL - 0.5], top + Self::panel_height(grid), lift);
    }

    /// What the lift comes to in words, no lower than so far.
    fn aside(sheet: &mut Sheet, at: [f64; 2], bottom: f64, lift: &LiftCoverage) {
        let room = PAGE[0] - MARGIN - at[0];
        let all = lift.raised + lift.under_conditions + lift.refused;
        let takes = lift.raised + lift.under_conditions;
        let says = format!("Takes {takes} of {all} ({} %)", share([takes, all]));
        let mut y = sheet.words(at, room, true, &says);
        let counts = format!("{} may be raised, {} under conditions", lift.raised, lift.under_conditions);
        y = sheet.words([at[0], y], room, false, &counts);
        if lift.refused == 0 {
            return;
        }
        y = sheet.words([at[0], y + 0.3 * LINE], room, true, &format!("Refuses {}:", lift.refused));
        let figure = lift.reasons.first().map_or(0.0, |(_, n)| width(&n.to_string(), SMALL, false));
        let (words, narrow) = (at[0] + figure + 1.5, room - figure - 1.5);
        for (told, (reason, count)) in lift.reasons.iter().enumerate() {
            let lines = wrapped(reason, SMALL, false, narrow).len() as f64;
            let left = lift.reasons.len() - told;
            // Room for the line that says how many are left, too.
            let needed = if left > 1 { lines + 1.0 } else { lines };
            if y + (needed - 1.0) * LINE > bottom {
                sheet.words(
                    [at[0], y],
                    room,
                    false,
                    &format!("and {left} more {}", if left == 1 { "reason" } else { "reasons" }),
                );
                return;
            }
            sheet.text([at[0] + figure, y], Anchor::End, SMALL, false, &count.to_string());
            y = sheet.words([words, y], narrow, false, reason);
        }
    }
}

/// What a reader must know to read the cells.
const KEY: &str = "Each cell: per cent of the vehicles of that wheelbase and mass that the lift takes, under conditions or without; the bar is filled to that share. No figure: no such vehicle was asked. Reasons: vehicles that each is a reason for; a vehicle may have several.";

/// The picture, on as many A4 pages as it needs.
#[must_use]
pub fn coverage(coverage: &Coverage) -> Drawing {
    let grid = coverage.grid();
    let high = Coverage::panel_height(&grid);
    let room = PAGE[0] - 2.0 * MARGIN;
    let mut pages = vec![];
    let mut sheet = Sheet { items: vec![] };
    let mut y = MARGIN + 5.0;
    for line in wrapped(&coverage.title, HEADING, true, room) {
        sheet.text([MARGIN, y], Anchor::Start, HEADING, true, &line);
        y += HEADING * LEADING;
    }
    for note in coverage.notes.iter().map(String::as_str).chain([KEY]) {
        y = sheet.words([MARGIN, y], room, false, note) + 1.0;
    }
    y += 2.0;
    for lift in &coverage.lifts {
        if y + high > PAGE[1] - MARGIN {
            pages.push(std::mem::take(&mut sheet.items));
            y = MARGIN;
        }
        coverage.panel(&mut sheet, y, lift, &grid);
        y += high + GAP;
    }
    pages.push(sheet.items);
    let all = pages.len();
    if all > 1 {
        for (k, items) in pages.iter_mut().enumerate() {
            let at = [PAGE[0] - MARGIN, PAGE[1] - 6.0];
            let says = format!("Page {} of {all}", k + 1);
            let text = Text { at, anchor: Anchor::End, size: SMALL, bold: false, reversed: false, says };
            items.push(Item::Text(text));
        }
    }
    let told: Vec<String> = coverage
        .lifts
        .iter()
        .map(|lift| {
            let takes = lift.raised + lift.under_conditions;
            format!("{} takes {takes} of {}", lift.name, takes + lift.refused)
        })
        .collect();
    Drawing { title: coverage.title.clone(), description: told.join("; ") + ".", pages }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Full, sparse and empty grids, with long names, many reasons and many lifts.
    fn examples() -> Vec<Coverage> {
        let lift = |seed: u64, rows: usize, columns: usize, sparse: bool| LiftCoverage {
            name: if seed.is_multiple_of(2) { "north-bay".into() } else { "the long bay by the gate".into() },
            raised: seed * 1000,
            under_conditions: 99_999,
            refused: 12_345,
            cells: (0..rows as u64)
                .map(|r| {
                    (0..columns as u64)
                        .map(|c| match (r * 7 + c * 3 + seed) % 5 {
                            0 if sparse => [0, 0],
                            k => [k * 25, 100],
                        })
                        .collect()
                })
                .collect(),
            reasons: (0..14)
                .map(|k| (format!("centre of gravity from an edge of the support {k}"), 12_345 - k))
                .collect(),
        };
        let of = |lifts: u64, sparse: bool| Coverage {
            title: "100000 vehicles on 20 lifts, for a job with a long name".into(),
            notes: vec!["Of 99999 vehicles only the papers are known.".into(); 2],
            wheelbases: vec![2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 3.75, 4.0],
            masses: vec![1000., 1250., 1500., 1750., 2000., 2500., 3000., 3500.],
            lifts: (0..lifts).map(|seed| lift(seed, 9, 9, sparse)).collect(),
        };
        let mut narrow = of(2, false);
        for lift in &mut narrow.lifts {
            lift.cells.iter_mut().flatten().for_each(|cell| *cell = [0, 0]);
            lift.cells[3][4] = [1, 200];
        }
        vec![of(1, true), of(3, false), of(20, true), narrow]
    }

    #[test]
    fn no_text_stands_on_another_or_leaves_the_page() {
        for example in examples() {
            for page in coverage(&example).pages {
                let texts: Vec<&Text> = page
                    .iter()
                    .filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
                    .collect();
                for (k, text) in texts.iter().enumerate() {
                    let a = text.area();
                    assert!(
                        a.x[0] >= 5.0 && a.x[1] <= PAGE[0] - 5.0 && a.y[0] >= 5.0 && a.y[1] <= PAGE[1] - 3.0,
                        "{text:?}"
                    );
                    for other in &texts[..k] {
                        let b = other.area();
                        let apart =
                            a.x[1] <= b.x[0] || b.x[1] <= a.x[0] || a.y[1] <= b.y[0] || b.y[1] <= a.y[0];
                        assert!(apart, "{text:?}\n{other:?}");
                    }
                }
            }
        }
    }

    /// The borders below the cells, from the left.
    fn borders(of: &Coverage) -> Vec<String> {
        let pages = coverage(of).pages;
        let texts = pages.iter().flatten().filter_map(|item| match item {
            Item::Text(text) => Some(text.says.clone()),
            _ => None,
        });
        texts.filter(|says| says.len() == 4 && says.as_bytes()[1] == b'.').collect()
    }

    #[test]
    fn every_class_that_is_drawn_has_its_borders() {
        let mut one = examples().remove(0);
        let mut only = |row: usize, column: usize| {
            one.lifts[0].cells.iter_mut().flatten().for_each(|cell| *cell = [0, 0]);
            one.lifts[0].cells[row][column] = [1, 2];
            borders(&one)
        };
        assert_eq!(only(3, 4), ["3.00", "3.25"]);
        // What lies below the first border or above the last is open to that side.
        assert_eq!(only(0, 0), ["2.25"]);
        assert_eq!(only(8, 8), ["4.00"]);
    }

    #[test]
    fn a_share_is_never_rounded_to_all_or_nothing() {
        let told = [[0, 7], [1, 1000], [1, 3], [999, 1000], [7, 7]].map(share);
        assert_eq!(told, ["0", "<1", "33", ">99", "100"]);
    }
}
