//! What to look and feel for; pads of one kind of remark in one sentence.

use planner::lift::Corner;
use planner::limits::Name;
use planner::plan::Remark;
use statics::Force;

use super::vehicle_corner;
use crate::{Scene, Units};

/// Pads that a remark of one kind names.
struct Named {
    corners: Vec<Corner>,
    /// The figure of each.
    figures: Vec<Force>,
    /// What it is held against.
    against: Force,
}

/// What to look and feel for, pass or not: one sentence for each kind.
#[must_use]
pub fn watch(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(named) = unproved(scene) {
        let least = named.figures.iter().copied().fold(named.figures[0], Force::min);
        said.push(format!(
            "A shake does not prove the {}: the body rocks only at a push of {} or more, and a person gives {} ({}). \
             Check by hand that {} tight.",
            pads(scene, &named.corners),
            units.push(least),
            units.push(named.against),
            Name::ShakePush.row().source,
            if named.corners.len() == 1 { "it is" } else { "each is" },
        ));
    }
    if let Some(named) = uneven(scene) {
        let most = named.figures.iter().copied().fold(named.figures[0], Force::max);
        said.push(format!(
            "If the pads touch unevenly, the {} could carry up to {}, above the rating of {} (load range by statics, \
             derived). Screw all four pads up to touch before raising; look again at the test raise.",
            pads(scene, &named.corners),
            units.load(most),
            units.load(named.against),
        ));
    }
    said.extend(others(scene).map(|remark| super::remark(scene, remark, units)));
    said
}

/// The same for a sheet.
pub(crate) fn short_watch(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(named) = unproved(scene) {
        said.push(format!(
            "Check the {} by hand: a shake proves nothing there.",
            pads(scene, &named.corners)
        ));
    }
    if let Some(named) = uneven(scene) {
        said.push(format!(
            "Screw all pads up to touch: uneven, the {} could be overloaded.",
            pads(scene, &named.corners)
        ));
    }
    said.extend(others(scene).map(|remark| super::short_remark(scene, remark, units)));
    said
}

fn others<'a>(scene: &Scene<'a>) -> impl Iterator<Item = &'a Remark> {
    let grouped = |r: &&Remark| matches!(r, Remark::ShakeProvesNothing { .. } | Remark::UnevenSeat { .. });
    scene.plan.watch.iter().filter(move |r| !grouped(r))
}

fn unproved(scene: &Scene<'_>) -> Option<Named> {
    named(scene, |remark| match remark {
        Remark::ShakeProvesNothing { corner, rock_push, person } => Some((*corner, *rock_push, *person)),
        _ => None,
    })
}

fn uneven(scene: &Scene<'_>) -> Option<Named> {
    named(scene, |remark| match remark {
        Remark::UnevenSeat { corner, greatest, rated } => Some((*corner, *greatest, *rated)),
        _ => None,
    })
}

fn named(scene: &Scene<'_>, pick: impl Fn(&Remark) -> Option<(Corner, Force, Force)>) -> Option<Named> {
    let found: Vec<(Corner, Force, Force)> = scene.plan.watch.iter().filter_map(pick).collect();
    let against = found.iter().map(|f| f.2).reduce(Force::min)?;
    Some(Named {
        corners: found.iter().map(|f| f.0).collect(),
        figures: found.iter().map(|f| f.1).collect(),
        against,
    })
}

/// "front left pad", "rear left and rear right pads", "four pads".
fn pads(scene: &Scene<'_>, corners: &[Corner]) -> String {
    let names: Vec<String> = corners.iter().map(|&c| vehicle_corner(scene, c)).collect();
    match names.as_slice() {
        [one] => format!("{one} pad"),
        [_, _, _, _] => "four pads".into(),
        [first @ .., last] => format!("{} and {last} pads", first.join(", ")),
        [] => "pads".into(),
    }
}
