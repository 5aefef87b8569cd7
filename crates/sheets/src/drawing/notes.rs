//! Sentences on the page: refusals, conditions, cautions.

use planner::plan::Verdict;

use super::Area;
use super::board::Board;
use super::style::Style;
use super::text::{LEADING, SMALL, wrapped};
use crate::words::Reason;
use crate::{Scene, Units, words};

/// Cautions at the foot; gives where they begin.
pub(super) fn cautions(board: &mut Board, area: Area) -> f64 {
    let lines: Vec<Vec<String>> =
        words::cautions().iter().map(|c| wrapped(c, SMALL, false, area.width() - 4.0)).collect();
    let rows = lines.iter().flatten().fold(0.0, |n, _| n + 1.0);
    let top = area.y[1] - rows * SMALL * LEADING;
    board.line(&[[area.x[0], top - 1.4], [area.x[1], top - 1.4]], Style::Frame);
    let mut y = top + SMALL * 0.9;
    for caution in &lines {
        board.rectangle(Area::sized([area.x[0], y - 1.9], [1.5, 1.5]), Style::Banner);
        y = board.say_lines([area.x[0] + 4.0, y], SMALL, false, caution);
    }
    top - 1.4
}

/// Where the column of remarks may begin: the narrowest in which all is said.
const LEFT: [f64; 6] = [137.0, 128.0, 119.0, 110.0, 101.0, 92.0];
/// Farther left assumptions are rather counted.
const FOR_ASSUMED: usize = 3;

/// What is remarked on: headings and their sentences.
pub(super) struct Remarks {
    sections: Vec<(&'static str, Vec<String>)>,
}

impl Remarks {
    /// What fails and the smallest change, or conditions and what to watch; then what was assumed.
    pub(super) fn of(scene: &Scene<'_>, units: Units) -> Self {
        let short =
            |list: Vec<Reason<'_>>| -> Vec<String> { list.iter().map(|r| r.short(scene, units)).collect() };
        let mut sections = if scene.plan.verdict == Verdict::DoNotRaise {
            let change = words::smallest_change(scene, units).into_iter();
            vec![
                ("Refused because", short(words::refusals(scene))),
                ("What would pass", change.chain(words::other_bays(scene)).collect()),
            ]
        } else {
            vec![("Conditions", short(words::conditions(scene))), ("Watch", short(words::watch(scene)))]
        };
        sections.push((ASSUMED, assumed(scene, units)));
        sections.retain(|(_, sentences)| !sentences.is_empty());
        Self { sections }
    }

    /// The column that they need, up to the right and between top and bottom of the area.
    pub(super) fn column(&self, area: Area) -> Area {
        let from = |left: f64| Area { x: [left, area.x[1]], y: area.y };
        let needed: Vec<_> = self.sections.iter().filter(|s| s.0 != ASSUMED).cloned().collect();
        let hold =
            |some: &[(&str, Vec<String>)], left: &f64| write(&mut Board::new(), some, from(*left)) == 0;
        let all = LEFT[..FOR_ASSUMED].iter().find(|left| hold(&self.sections, left));
        let left = all.or_else(|| LEFT.iter().find(|left| hold(&needed, left)));
        from(left.copied().unwrap_or(LEFT[LEFT.len() - 1]))
    }

    pub(super) fn draw(&self, board: &mut Board, column: Area) {
        write(board, &self.sections, column);
    }
}

const ASSUMED: &str = "Assumed";

/// Headings and sentences as far as there is room; the rest of a section is counted. Gives how many were
/// not said.
fn write(board: &mut Board, sections: &[(&str, Vec<String>)], area: Area) -> usize {
    let line = SMALL * LEADING;
    let rows = |text: &String| wrapped(text, SMALL, false, area.width());
    let high = |text: &String| rows(text).iter().fold(0.7, |h, _| h + line);
    let (mut top, mut unsaid) = (area.y[0], 0);
    for (k, (heading, sentences)) in sections.iter().enumerate() {
        // The next section keeps its heading and first sentence, unless it is only what was assumed.
        let next = sections.get(k + 1).filter(|n| n.0 != ASSUMED);
        let keep = next.and_then(|n| n.1.first()).map_or(0.0, |first| 8.0 + high(first));
        let mut y = top + 9.2;
        if y - line + sentences.first().map_or(0.0, high) > area.y[1] {
            unsaid += sentences.len();
            continue;
        }
        board.say([area.x[0], top + 3.8], 4.2, true, heading);
        let mut left = sentences.len();
        for sentence in sentences {
            let count = if left > 1 { line } else { 0.0 };
            if y - line + high(sentence) + count > area.y[1] - keep {
                break;
            }
            y = board.say_lines([area.x[0], y], SMALL, false, &rows(sentence)) + 0.7;
            left -= 1;
        }
        if left > 0 {
            board.say([area.x[0], y], SMALL, true, &format!("{left} more in the report"));
            y += line;
        }
        unsaid += left;
        top = y - 1.2;
    }
    unsaid
}

/// What was not known, without its sources.
fn assumed(scene: &Scene<'_>, units: Units) -> Vec<String> {
    scene.plan.assumptions.iter().map(|a| words::short_assumption(a, units)).collect()
}
