//! The plan worked out on paper: what went in, the states, and every kind of check with its formula, numbers, limit, reserve
//! and source. For a class the same with blanks, and the answers at the end.

pub(super) mod book;
mod brief;

use planner::plan::Verdict;

use super::super::Area;
use super::super::style::Style;
use super::bay::{self, Printed, cautions, columns, fitting, items, mark, ornament, sides};
use super::flow::{Said, paragraph, pour, section};
use super::{Document, Page, Paper, Part};
use crate::{Scene, Units, words};
use book::{Book, SOURCE_ABOVE};

/// What is printed of a working.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edition {
    /// All of it.
    Worked,
    /// Formulas and inputs, with blanks for numbers and results; the answers on pages of their own at the end.
    Blanks,
}

const HOW_TO_READ: &str = "FL, FR, RL, RR: front left, front right, rear left, rear right; so the four columns of tables. Aft, left, up: \
    behind the front axle, left of the vehicle's centre plane, above the ground. Ahead, and left beside it: of the column line, of the \
    bay's centre line. CG: centre of gravity. Of each kind of check the one with the least reserve is worked out. A step done before \
    is named by its number; one whose formula was used before gives its result, in the same unit, and which step it is like; where \
    a figure could stand a number in brackets is that step. Every number is what a pocket calculator gives for those before it; angles are in \
    degrees. Likewise: what all share comes first, \u{2026} stands for what sets each apart, the last figure is its reserve, never \
    shown as more than 900 %. [1] is a source.";

const RESERVES_ASKED: &str = "A reserve is what is left of a limit: result / limit \u{2212} 1 where the result must be at least so \
    much, limit / result \u{2212} 1 where it may be at most so much, times 100 in per cent; below nothing the check fails. It is never \
    told as more than 900 %.";

/// On every page for a class, whatever the verdict, which is for the class to find: settings stand there without it.
const EXERCISE: &str = "Exercise. Set no lift by this paper.";

/// Sizes of the sentences: the largest with which it is no longer than `ENOUGH` pages, each step on lines of its own or, where that
/// is too long, one after the other, at last with headings run in; where even that is longer, the largest with as many pages.
const SIZES: [f64; 3] = [3.2, 3.0, LEAST];
/// 8 points.
const LEAST: f64 = 2.823;
const ENOUGH: usize = 4;

pub(crate) fn sheets(scene: &Scene<'_>, units: Units, printed: &Printed<'_>, edition: Edition) -> Document {
    let verdict = words::verdict(scene);
    let title = match edition {
        Edition::Worked => format!("Worked out: {verdict}"),
        Edition::Blanks => "To be worked out".to_owned(),
    };
    let mut book = Book::new(scene, units, edition);
    let weights = book.weights();
    let checks = book.checks();
    let stands = book.stands();
    let refused = (edition == Edition::Worked && scene.plan.verdict == Verdict::DoNotRaise)
        .then(|| Said::Sentence(words::COMES_NEAREST_WORKED.into()));
    let how = match edition {
        Edition::Worked => vec![HOW_TO_READ],
        Edition::Blanks => vec![HOW_TO_READ, RESERVES_ASKED],
    };
    let how = section("How to read it", how.into_iter().map(|says| Said::Sentence(says.into())));
    // What was told of what was guessed is not told again.
    let told: Vec<String> = scene.plan.assumptions.iter().map(|a| words::assumption(a, units)).collect();
    let told_above = |source: &str| source.len() > 60 && told.iter().any(|says| says.contains(source));
    let sources = book.sources.iter().enumerate().map(|(k, source)| {
        let says = if told_above(source) { SOURCE_ABOVE } else { source };
        format!("[{}] {says}", k + 1)
    });
    let sources =
        section("Sources of the limits", [Said::Sentence(sources.collect::<Vec<_>>().join("; ") + ".")]);
    let looser = words::looser_limits(scene, units).into_iter().map(Said::Sentence);
    let looser = section(bay::LOOSER, looser);
    let beginning =
        [refused.into_iter().collect(), looser, book.about(), book.states(), how, sources].concat();
    let worked = [weights, checks, stands].concat();
    let cautions = match edition {
        Edition::Worked => section("Cautions", [Said::Sentence(words::cautions().join(" "))]),
        Edition::Blanks => vec![],
    };
    let said = [beginning, worked, cautions].concat();
    let (first, room) = first(scene, units, printed, &title, edition);
    let set = |(size, close): (f64, Close)| {
        let mut parts = first.clone();
        let said = match close {
            Close::Lines => said.clone(),
            Close::Steps | Close::Headings => run_in(&said, close, size, columns(room, 2)[0].width()),
        };
        let rest = pour(&mut parts, &said, size, &columns(room, 2));
        super::go_on(vec![parts], rest, size, self::room(printed.paper), None)
    };
    let layouts: Vec<(f64, Close)> = match edition {
        Edition::Worked => {
            let all = [Close::Lines, Close::Steps].into_iter();
            let all = all.flat_map(|close| SIZES.map(|size| (size, close)));
            all.chain([(LEAST, Close::Headings)]).collect()
        }
        // Blanks are written in by hand.
        Edition::Blanks => vec![(SIZES[1], Close::Lines)],
    };
    // The last is the closest: what it does not hold in so many pages, none does.
    let least = layouts.last().map_or(ENOUGH, |layout| set(*layout).len()).max(ENOUGH);
    let found = layouts.iter().map(|layout| set(*layout)).find(|pages| pages.len() <= least);
    let mut pages = found.unwrap_or_default();
    if edition == Edition::Blanks {
        pages.extend(answers(&book.answers, &verdict, printed));
    }
    let foot = match edition {
        Edition::Worked => format!(
            "Computed by Standfast; plan {}. No lift is set by this paper, but by the sheet for the column.",
            printed.mark
        ),
        Edition::Blanks => format!("{EXERCISE} Computed by Standfast from plan {}.", printed.mark),
    };
    let pages = super::numbered(pages, self::room(printed.paper), &foot);
    let name = |k: usize| if k == 0 { title.clone() } else { format!("Page {}", k + 1) };
    Document {
        title: format!("{} on {}. {title}", scene.vehicle.name, scene.lift.name),
        paper: printed.paper,
        pages: pages.into_iter().enumerate().map(|(k, parts)| Page { name: name(k), parts }).collect(),
    }
}

/// What stands on lines of its own.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Close {
    /// Every step.
    Lines,
    /// Headings; steps run in one after the other.
    Steps,
    /// Every check; its heading runs in too.
    Headings,
}

/// Steps and sentences one after the other in paragraphs, the number of each step bold.
fn run_in(said: &[Said], close: Close, size: f64, wide: f64) -> Vec<Said> {
    let mut set = vec![];
    let mut pieces: Vec<(bool, String)> = vec![];
    for one in said {
        match one {
            Said::Entry(label, says) => {
                pieces.push((true, label.clone()));
                pieces.push((false, brief::ended(says)));
            }
            Said::Sentence(says) => pieces.push((false, brief::ended(says))),
            Said::Heading(says) if close == Close::Headings => {
                set.extend(paragraph(&std::mem::take(&mut pieces), size, wide));
                pieces.push((true, brief::ended(says)));
            }
            other => {
                set.extend(paragraph(&std::mem::take(&mut pieces), size, wide));
                set.push(other.clone());
            }
        }
    }
    set.extend(paragraph(&pieces, size, wide));
    set
}

/// What is printed on: there is much to say.
fn room(paper: Paper) -> Area {
    sides(paper).grown(1.2)
}

fn first(
    scene: &Scene<'_>,
    units: Units,
    printed: &Printed<'_>,
    title: &str,
    edition: Edition,
) -> (Vec<Part>, Area) {
    const CODE: f64 = 16.0;
    let page = room(printed.paper);
    let mut parts = vec![];
    let beside = match edition {
        Edition::Worked => Area { x: [page.x[0], page.x[1] - 30.0], ..page },
        Edition::Blanks => page,
    };
    let size = fitting(title, 6.6, beside.width());
    parts.push(Part::Heading(1, items(|board| board.say([page.x[0], page.y[0] + 5.0], size, true, title))));
    let (coded, top) = match edition {
        Edition::Worked => {
            let at = [page.x[1] - CODE - 4.0, page.y[0] - 0.5];
            (mark(&mut parts, printed.mark, at, CODE), page.y[0] + 12.0)
        }
        // No code, by which a raise could be begun with it.
        Edition::Blanks => {
            let warned = items(|board| board.say([page.x[0], page.y[0] + 11.5], 4.8, true, EXERCISE));
            parts.push(Part::Paragraph(warned));
            (page.y[0], page.y[0] + 18.5)
        }
    };
    let rows = bay::subjects(scene, units).map(|row| (row, 3.5, false));
    // The mass is to be found by who fills in the blanks.
    let told = match edition {
        Edition::Worked => &rows[..],
        Edition::Blanks => &rows[..3],
    };
    let ends = told
        .chunks(2)
        .zip(columns(beside, 2))
        .map(|(rows, column)| bay::labelled(&mut parts, rows, column.x, top));
    let end = ends.fold(coded, f64::max) + 1.0;
    parts.push(ornament(|board| board.line(&[[page.x[0], end], [page.x[1], end]], Style::Frame)));
    (parts, Area { x: page.x, y: [end + 2.0, page.y[1] - super::FOOT + 0.7] })
}

/// The answers, on a page of their own.
fn answers(all: &[String], verdict: &str, printed: &Printed<'_>) -> Vec<Vec<Part>> {
    let page = room(printed.paper);
    let title = format!("Answers: {verdict}");
    let size = fitting(&title, 6.0, page.width());
    let heading = items(|board| board.say([page.x[0], page.y[0] + 5.5], size, true, &title));
    let mut last = vec![];
    let foot = cautions(&mut last, page, 3.0);
    let room = Area { x: page.x, y: [page.y[0] + 10.0, foot - 2.0] };
    let said: Vec<Said> = all.iter().map(|answer| Said::Sentence(answer.clone())).collect();
    let set = |size: f64| {
        let mut parts = vec![Part::Heading(1, heading.clone())];
        let rest = pour(&mut parts, &said, size, &columns(room, 2));
        parts.extend(last.clone());
        super::go_on(vec![parts], rest, size, self::room(printed.paper), None)
    };
    let one = SIZES.into_iter().map(set).find(|pages| pages.len() == 1);
    one.unwrap_or_else(|| set(SIZES[SIZES.len() - 1]))
}
