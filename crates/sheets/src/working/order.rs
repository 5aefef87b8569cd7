//! What an order of the steps leaves, state by state.

use planner::checks::RESERVE_MOST;
use planner::plan::{Check, Sense, StateLeft};

use super::steps::{Kind, Num, Sums};
use crate::{Scene, words};

/// The least that any state of an order leaves, at a setup.
pub(super) fn leaves(s: &mut Sums, scene: &Scene<'_>, states: &[StateLeft], setup: &str) {
    s.note(format!("Each state by the check that leaves least in it, at {setup}."));
    let each: Vec<Num> = states
        .iter()
        .map(|state| match &state.held_by {
            Some(check) => left(s, scene, check, &format!("\"{}\"", state.name)),
            None => s.bare(
                format!("left in \"{}\", where nothing is checked, per cent", state.name),
                100.0 * RESERVE_MOST,
            ),
        })
        .collect();
    let all = each.iter().map(|e| e.0.as_str()).collect::<Vec<_>>().join("; ");
    s.step(Kind::Percent, "least that a state leaves = the least of them", format!("least({all})"));
}

/// What a check leaves, in per cent of its limit.
pub(super) fn left(s: &mut Sums, scene: &Scene<'_>, check: &Check, whose: &str) -> Num {
    let title = words::check_title(scene, check.what);
    let found = s.figure(format!("{whose}: {title}"), check.demand, check.unit);
    let limit = s.figure(format!("{whose}: limit of that"), check.limit, check.unit);
    // Never given as more than that; nothing to divide by is as good.
    let most = 100.0 * RESERVE_MOST;
    if check.reserve >= RESERVE_MOST {
        s.note(format!("{}: {title} leaves more than is ever given.", words::capital(whose)));
        return s.step(Kind::Percent, format!("{whose}: left, at most"), format!("{most}"));
    }
    let (formula, quotient) = match check.sense {
        Sense::AtLeast => ("found / limit", format!("{found} / {limit}")),
        Sense::AtMost => ("limit / found", format!("{limit} / {found}")),
    };
    s.step(
        Kind::Percent,
        format!("{whose}: left = ({formula} \u{2212} 1) \u{d7} 100"),
        format!("({quotient} \u{2212} 1) \u{d7} 100"),
    )
}
