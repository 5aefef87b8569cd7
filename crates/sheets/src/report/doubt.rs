//! How doubtful the figures are: what to measure next, and the chance that a check fails.

use planner::{Chance, Chances};

use super::page::Page;
use crate::{Origin, Scene, Units, units, words};

/// Which measurement would raise the least reserve most.
pub(super) fn measure_next(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let Some(gains) = scene.measure_next else { return };
    if gains.is_empty() {
        page.blank();
        page.line("What to measure next");
        page.hanging("     ", NOTHING);
        return;
    }
    // A planned setup was set anew from nearby only: a search of its own may end elsewhere.
    let (more, then) = match scene.origin {
        Origin::Planned => (" or so", "plan again"),
        Origin::AsPlaced => ("", "check again"),
    };
    let sentence = |gain: &planner::Gain| {
        format!(
            "{}: the least reserve goes from \u{201c}{}\u{201d} to \u{201c}{}\u{201d}{more} if the present figures prove right; {then} then.",
            words::capital(&words::measurement(&gain.measure, units)),
            units::reserve(gain.before),
            units::reserve(gain.after),
        )
    };
    page.list("What to measure next", gains.iter().map(sentence));
}

/// The checks that some sample failed, likeliest first; the rest in one sentence.
pub(super) fn chances(page: &mut Page, scene: &Scene<'_>) {
    let Some(chances) = scene.chances else { return };
    page.blank();
    page.line("Chance that a check of weight, loads or edges fails");
    match chances {
        Chances::Told(all) => told(page, scene, all),
        Chances::DoesNotStand(state) => page.hanging("     ", &words::no_chance(scene, *state)),
    }
}

fn told(page: &mut Page, scene: &Scene<'_>, all: &[Chance]) {
    let Some(samples) = all.first().map(|c| c.samples) else { return };
    let (mut some, never): (Vec<&Chance>, Vec<&Chance>) = all.iter().partition(|c| c.failed > 0);
    some.sort_by_key(|c| core::cmp::Reverse(c.failed));
    if !some.is_empty() {
        page.line(&format!("{:>10}{:>18}   Check", "Chance", "Numerical error"));
    }
    for chance in some {
        let Some(check) = scene.plan.checks.get(chance.check) else { continue };
        let advised = if check.binding { "" } else { " (advised only)" };
        let title = format!("{}{advised}", words::capital(&words::title_in_state(scene, check)));
        let error = if chance.failed == samples { "all failed".into() } else { percent(chance.error) };
        page.hanging(&format!("{:>10}{error:>18}   ", percent(chance.chance)), &title);
    }
    if !never.is_empty() {
        page.hanging(
            "",
            &format!(
                "None of {samples} samples failed {}: fewer than 1 in {samples} each, as far as sampling shows.",
                match never.len() {
                    1 if all.len() == 1 => "the check".into(),
                    n if n == all.len() => format!("any of the {n} checks"),
                    1 => "the other check".into(),
                    n => format!("the other {n} checks"),
                }
            ),
        );
    }
    page.hanging("", BASIS);
}

const NOTHING: &str = "Nothing: no measurement of weight, wheelbase, height of the centre of gravity, parts, arms or lengths that were \
     assumed is known that would let a refused vehicle be raised, or raise the least reserve by 2 % or more.";
const BASIS: &str = "Sampled: mass even and centre of gravity normal with its standard uncertainty, so that it may lie \
     beyond its tolerance; pads even in the disc in which they may be; tilt even up to the level limit; assumed arm \
     stiffness between its ends. A sample that tips fails all but the lift's rated load. Working forces are not sampled. The \
     verdict does not rest on it: it holds at the ends of the tolerances.";

/// Three significant figures, as a percentage.
fn percent(value: f64) -> String {
    let percent = value * 100.0;
    let places = match percent {
        p if p >= 10.0 => 1,
        p if p >= 1.0 => 2,
        p if p >= 0.1 => 3,
        p if p >= 0.01 => 4,
        _ => 6,
    };
    format!("{} %", units::decimals(percent, places))
}
