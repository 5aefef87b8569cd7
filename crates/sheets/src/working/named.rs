//! Names of workings as a person types them: `pad-rating:front-left`, `load:rear-left@2`, `mass`.

use std::collections::BTreeMap;

use planner::plan::Check;

use super::figure::{Figure, all};
use crate::report::page::Page;
use crate::{Scene, words};

/// What a name means.
pub(super) enum Found<'a> {
    Check(&'a Check),
    Figure(Figure),
}

/// What a name means; `@2` behind it asks for the second state. Without a state a check is the one with the least
/// reserve, a figure the first; a kind alone means the same among all of its kind.
pub(super) fn find<'a>(scene: &Scene<'a>, name: &str) -> Option<Found<'a>> {
    let (name, state) = match name.split_once('@') {
        Some((name, number)) => (name, Some(number.parse::<usize>().ok()?.checked_sub(1)?)),
        None => (name, None),
    };
    let fits = |own: &str| own == name || own.split(':').next() == Some(name);
    let there = |own: Option<usize>| state.is_none() || own == state;
    let checks = scene.plan.checks.iter().filter(|c| fits(&c.what.id()) && there(c.state));
    let check = checks.min_by(|a, b| a.reserve.total_cmp(&b.reserve)).map(Found::Check);
    let figure = || all(scene).into_iter().find(|f| fits(&f.name(scene)) && there(f.state(scene)));
    check.or_else(|| figure().map(Found::Figure))
}

/// The name of a figure with its state.
pub(super) fn of(scene: &Scene<'_>, figure: Figure) -> String {
    match figure.state(scene) {
        Some(state) => format!("{}@{}", figure.name(scene), state + 1),
        None => figure.name(scene),
    }
}

/// What a figure is, its state named.
pub(super) fn title(scene: &Scene<'_>, figure: Figure) -> String {
    let title = figure.title(scene);
    match figure.state(scene).and_then(|k| scene.plan.states.get(k)) {
        Some(state) => format!("{title}, in state \"{}\"", state.name),
        None => title,
    }
}

/// Everything that can be worked out: name, what it is, and its states by their numbers.
pub(crate) fn listed(scene: &Scene<'_>) -> String {
    let mut named: Vec<(String, String)> = Vec::new();
    let mut states: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    let mut take = |name: String, title: String, state: Option<usize>| {
        states.entry(name.clone()).or_default().extend(state);
        if !named.iter().any(|(own, _)| *own == name) {
            named.push((name, title));
        }
    };
    for check in &scene.plan.checks {
        take(check.what.id(), words::check_title(scene, check.what), check.state);
    }
    for figure in all(scene) {
        take(figure.name(scene), figure.title(scene), figure.state(scene));
    }
    let mut page = Page::new();
    page.line("What can be worked out with --show-working NAME:");
    page.blank();
    let wide = named.iter().map(|(name, _)| name.chars().count()).max().unwrap_or(0).min(WIDE);
    for (name, title) in &named {
        let count = states.get(name).map_or(0, Vec::len);
        let several = if count > 1 { ", state by state" } else { "" };
        page.hanging(&format!("  {name:<wide$}  "), &format!("{title}{several}"));
    }
    page.blank();
    page.line("NAME@2 = in state 2. Without: the worst, or the first. A kind alone (pad-rating): likewise.");
    for (k, state) in scene.plan.states.iter().enumerate() {
        page.line(&format!("  @{}  {}", k + 1, state.name));
    }
    page.done()
}

/// Names wider than this push their own line only.
const WIDE: usize = 36;
