//! How doubtful the figures are: what to measure next, and the chance that a check fails.

use planner::Chance;

use super::page::Page;
use crate::{Scene, Units, units, words};

/// Which measurement would raise the least reserve most.
pub(super) fn measure_next(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let Some(gains) = scene.measure_next else { return };
    if gains.is_empty() {
        page.blank();
        page.line("What to measure next");
        page.hanging("     ", NOTHING);
        return;
    }
    let sentence = |gain: &planner::Gain| {
        format!(
            "{}: the least reserve goes from \u{201c}{}\u{201d} to \u{201c}{}\u{201d} if the present figures prove right; plan again then.",
            words::capital(&words::measurement(&gain.measure, units)),
            units::reserve(gain.before),
            units::reserve(gain.after),
        )
    };
    page.list("What to measure next", gains.iter().map(sentence));
}

/// The checks that some sample failed, likeliest first; the rest in one sentence.
pub(super) fn chances(page: &mut Page, scene: &Scene<'_>) {
    let Some(samples) = scene.chances.first().map(|c| c.samples) else { return };
    let (mut some, never): (Vec<&Chance>, Vec<&Chance>) = scene.chances.iter().partition(|c| c.failed > 0);
    some.sort_by_key(|c| core::cmp::Reverse(c.failed));
    page.blank();
    page.line("Chance that a check of loads or edges fails");
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
                    1 if scene.chances.len() == 1 => "the check".into(),
                    n if n == scene.chances.len() => format!("any of the {n} checks"),
                    1 => "the other check".into(),
                    n => format!("the other {n} checks"),
                }
            ),
        );
    }
    page.hanging("", BASIS);
}

const NOTHING: &str = "Nothing: no single measurement of weight, wheelbase, height of the centre of gravity or parts would raise \
     the least reserve.";
const BASIS: &str = "Sampled: masses even within their tolerance, centre of gravity normal with its standard \
     uncertainty, pads even in the placing tolerance, tilt even up to the level limit, assumed arm stiffness \
     between its ends. The verdict does not rest on it: it holds at the ends of the tolerances.";

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
