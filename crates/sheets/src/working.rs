//! One check or other figure worked out: what went in, every step with its numbers, limit, reserve, source.

mod apart;
mod arm;
mod calculator;
mod demand;
mod door;
mod doubt;
mod edge;
mod estimate;
mod figure;
mod force;
mod height;
mod loads;
mod loss;
mod named;
mod order;
mod post;
mod push;
mod scales;
mod springs;
mod stand;
mod steps;
mod weight;

use demand::Task;
use planner::checks::RESERVE_MOST;
use planner::plan::{Check, Sense};

pub use figure::{Axis, Figure};
pub(crate) use figure::{all as figures, worked as figure_worked, worked_after as figure_worked_after};
use named::Found;
pub(crate) use named::listed;
pub(crate) use steps::Earlier;
pub use steps::{Line, Step, Working};

use crate::report::page::Page;
use crate::units::Round;
use crate::{Scene, Units, units, words};

/// A check worked out as data.
pub(crate) fn worked(scene: &Scene<'_>, check: &Check, units: Units) -> Option<Working> {
    worked_after(scene, check, units, &Earlier::none())
}

/// The same where figures were worked out before.
pub(crate) fn worked_after(
    scene: &Scene<'_>,
    check: &Check,
    units: Units,
    earlier: &Earlier,
) -> Option<Working> {
    let task = Task::of(scene)?;
    let mut sums = demand::steps(&task, check, units, earlier);
    demand::limit(&mut sums, &task, check);
    Some(sums.done())
}

pub(crate) fn working(scene: &Scene<'_>, name: &str, units: Units) -> Option<String> {
    match named::find(scene, name)? {
        Found::Check(check) => of_check(scene, check, units),
        Found::Figure(figure) => of_figure(scene, figure, units),
    }
}

fn entry(page: &mut Page, label: &str, text: &str) {
    page.hanging(&format!("  {label:<10}"), text);
}

/// What went in, and every step.
fn body(page: &mut Page, working: &Working) {
    for (i, (name, figure)) in working.inputs.iter().enumerate() {
        entry(page, if i == 0 { "With" } else { "" }, &format!("{name}: {figure}"));
    }
    let mut first = true;
    for line in &working.lines {
        match line {
            Line::Note(text) => {
                page.blank();
                page.hanging("  ", text);
            }
            Line::Step(step) => {
                entry(page, if first { "Formula" } else { "" }, &step.formula);
                show(page, step);
                first = false;
            }
        }
    }
    page.blank();
}

fn of_figure(scene: &Scene<'_>, figure: Figure, units: Units) -> Option<String> {
    let working = figure_worked(scene, figure, units)?;
    let mut page = Page::new();
    entry(&mut page, "Figure", &named::of(scene, figure));
    entry(&mut page, "", &words::capital(&named::title(scene, figure)));
    body(&mut page, &working);
    entry(&mut page, "Result", &working.steps().next_back().map_or(String::new(), |s| told(&s.result)));
    entry(&mut page, "Source", figure.source());
    Some(page.done())
}

/// A result as a result line tells it; a plain number keeps its digits.
fn told(result: &str) -> String {
    if result.ends_with(|c: char| c.is_ascii_digit()) {
        result.into()
    } else {
        rounded(result, Round::Nearest)
    }
}

/// How a working ends: the figure of a check, its limit, its reserve, and where the limit comes from.
pub(crate) struct End {
    pub(crate) result: String,
    pub(crate) limit: String,
    pub(crate) reserve: String,
    pub(crate) source: String,
}

pub(crate) fn end(scene: &Scene<'_>, check: &Check, working: &Working, units: Units) -> End {
    let [fine, limit] = words::fine_figures(check, units);
    let side = words::demand_side(check);
    End {
        result: printed(working.steps().next_back(), &fine).map_or(fine.clone(), |of| rounded(of, side)),
        limit: format!("{} {limit}", units::sense(check.sense)),
        reserve: reserve_line(check, working, units),
        source: words::source(scene, check).into_owned(),
    }
}

fn of_check(scene: &Scene<'_>, check: &Check, units: Units) -> Option<String> {
    let working = worked(scene, check, units)?;
    let end = end(scene, check, &working, units);
    let mut page = Page::new();
    entry(&mut page, "Check", &check.what.id());
    entry(&mut page, "", &words::capital(&words::title_in_state(scene, check)));
    body(&mut page, &working);
    entry(&mut page, "Result", &end.result);
    entry(&mut page, "Limit", &end.limit);
    if let Some(step) = &working.limit {
        entry(&mut page, "", &step.formula);
        show(&mut page, step);
    }
    entry(&mut page, "Reserve", &end.reserve);
    entry(&mut page, "Source", &end.source);
    entry(&mut page, "Kind", kind(check));
    if let Some(name) = words::limit_of(scene, check.what) {
        if scene.limits.own(name).is_some() {
            let row = name.row();
            entry(&mut page, "Default", &format!("{} ({})", units.limit(row.value, row.unit), row.source));
        }
        entry(&mut page, "Why", &format!("{}: {}", name.row().title, name.row().reason));
    }
    Some(page.done())
}

/// The numbers put in, and what they give.
fn show(page: &mut Page, step: &Step) {
    page.hanging("              = ", &step.numbers);
    if step.result != step.numbers {
        page.hanging("              = ", &step.result);
    }
}

/// The result of a step, if it is in the unit of that figure: what was printed is what is gone on with.
fn printed<'a>(step: Option<&'a Step>, figure: &str) -> Option<&'a str> {
    let unit =
        |text: &str| text.trim_start_matches(|c: char| !c.is_alphabetic() && !"°%".contains(c)).to_owned();
    step.map(|s| s.result.as_str()).filter(|result| unit(result) == unit(figure))
}

/// A printed result with the decimals of a result line: hundredths of an inch or a degree, else tenths; a bound to its safe side.
fn rounded(result: &str, side: Round) -> String {
    let end = result.rfind(|c: char| c.is_ascii_digit()).map_or(0, |k| k + 1);
    let (number, unit) = result.split_at(end);
    let places = if matches!(unit.trim(), "in" | "°") { 2 } else { 1 };
    calculator::value(number)
        .map_or_else(|| result.to_owned(), |v| format!("{}{unit}", side.decimals(v, places)))
}

/// So much of a figure may be lost by computing from printed digits; less than is printed of a reserve.
const DIGITS_LOST: f64 = 1e-4;

fn reserve_line(check: &Check, working: &Working, units: Units) -> String {
    let shown = units::reserve(check.reserve);
    if check.reserve >= RESERVE_MOST {
        return format!("{shown} (never shown as more)");
    }
    let finest = words::finest_figures(check, units);
    let [result, limit] = &finest;
    let steps = [printed(working.steps().next_back(), result), printed(working.limit.as_ref(), limit)];
    let steps = [0, 1].map(|k| steps[k].map_or_else(|| finest[k].clone(), Into::into));
    if check.limit.abs() < 1e-12 || check.demand <= 0.0 {
        return shown;
    }
    // The last step goes on into the reserve; where a coarse step has lost digits, the plan's own figure does.
    let quotient = |[result, limit]: &[String; 2]| match check.sense {
        Sense::AtLeast => format!("{result} / {limit}"),
        Sense::AtMost => format!("{limit} / {result}"),
    };
    let near = |parts: &[String; 2]| {
        let numbers = quotient(parts).replace(|c: char| c.is_alphabetic() || "°%".contains(c), "");
        calculator::value(&numbers).is_some_and(|v| (v - 1.0 - check.reserve).abs() <= DIGITS_LOST * v.abs())
    };
    let parts = if near(&steps) { steps } else { finest };
    let equals = if check.reserve < 0.0 { ":" } else { " =" };
    format!("{} \u{2212} 1{equals} {shown}", quotient(&parts))
}

fn kind(check: &Check) -> &'static str {
    match (check.binding, check.steers) {
        (true, true) => "binding; the setup can change it, so the search steers by it",
        (true, false) => "binding; no setup can change it",
        (false, _) => "not binding: failing it is a condition",
    }
}
