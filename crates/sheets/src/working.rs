//! One check worked out: formula, numbers, result, limit, reserve, source.

mod demand;

use planner::checks::RESERVE_MOST;
use planner::plan::{Check, Sense};

use crate::report::page::Page;
use crate::{Scene, Units, units, words};

/// How a check's figure comes about.
struct Demand {
    /// In words and signs.
    formula: String,
    /// The same with the numbers put in, without the result; `None` = the result comes from a search or
    /// a worst case that no single line can show.
    numbers: Option<String>,
    /// What else went in.
    inputs: Vec<String>,
}

pub(crate) fn working(scene: &Scene<'_>, check_id: &str, units: Units) -> Option<String> {
    let check = find(scene, check_id)?;
    let [result, limit] = words::fine_figures(check, units);
    let demand = demand::demand(scene, check, units);
    let mut page = Page::new();
    let mut entry = |label: &str, text: &str| page.hanging(&format!("  {label:<10}"), text);
    entry("Check", &check.what.id());
    entry("", &words::capital(&words::title_in_state(scene, check)));
    entry("Formula", &demand.formula);
    if let Some(numbers) = &demand.numbers {
        entry("Numbers", numbers);
    }
    for (i, input) in demand.inputs.iter().enumerate() {
        entry(if i == 0 { "With" } else { "" }, input);
    }
    entry("Result", &result);
    entry("Limit", &format!("{} {limit}", units::sense(check.sense)));
    entry("Reserve", &reserve_line(check, &result, &limit));
    entry("Source", &words::source(scene, check));
    entry("Kind", kind(check));
    if let Some(name) = words::limit_of(scene, check.what) {
        if scene.limits.own(name).is_some() {
            let row = name.row();
            entry("Default", &format!("{} ({})", units.limit(row.value, row.unit), row.source));
        }
        entry("Why", &format!("{}: {}", name.row().title, name.row().reason));
    }
    Some(page.done())
}

/// The check of that id, or the one of that kind with the least reserve.
fn find<'a>(scene: &Scene<'a>, check_id: &str) -> Option<&'a Check> {
    let of_kind = |id: &str| id.split(':').next() == Some(check_id);
    let named = |check: &&Check| check.what.id() == check_id || of_kind(&check.what.id());
    scene.plan.checks.iter().filter(named).min_by(|a, b| a.reserve.total_cmp(&b.reserve))
}

fn reserve_line(check: &Check, result: &str, limit: &str) -> String {
    let shown = units::reserve(check.reserve);
    if check.reserve >= RESERVE_MOST {
        return format!("{shown} (never shown as more)");
    }
    let parts = match check.sense {
        _ if check.limit.abs() < 1e-12 || check.demand <= 0.0 => return shown,
        Sense::AtLeast => [result, limit],
        Sense::AtMost => [limit, result],
    };
    let equals = if check.reserve < 0.0 { ":" } else { " =" };
    format!("{} / {} \u{2212} 1{equals} {shown}", parts[0], parts[1])
}

fn kind(check: &Check) -> &'static str {
    match (check.binding, check.steers) {
        (true, true) => "binding; the setup can change it, so the search steers by it",
        (true, false) => "binding; no setup can change it",
        (false, _) => "not binding: failing it is a condition",
    }
}
