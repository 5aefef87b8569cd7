//! What each check is called, and what would change it.

use planner::checks::{What, edge_name};
use planner::lift::Corner;

use super::{corner_name as name, vehicle_corner};
use crate::Scene;

/// What a check looks at, as a noun phrase without a figure.
#[must_use]
pub fn check_title(scene: &Scene<'_>, what: What) -> String {
    let keep_out = |k: usize| scene.vehicle.keep_outs.get(k).map_or("a keep-out", |k| k.name.as_str());
    let arm = |corner: Corner| name(arm_of(scene, corner));
    let own = |corner: Corner| vehicle_corner(scene, corner);
    match what {
        What::PadInArea(c) => {
            format!("{} pad, its centre from the edge of {}", own(c), area_of(scene, c))
        }
        What::PadToKeepOut(c, k) => format!("{} pad, its rim from {}", own(c), keep_out(k)),
        What::ReachIn(c) => format!("{} arm, reach beyond its inner stop", arm(c)),
        What::ReachOut(c) => format!("{} arm, reach to spare before its outer stop", arm(c)),
        What::SwingFrom(c) => {
            format!("{} arm, swing to spare before its {} stop", arm(c), stop(scene, c, true))
        }
        What::SwingTo(c) => {
            format!("{} arm, swing to spare before its {} stop", arm(c), stop(scene, c, false))
        }
        What::Tooth(c) => format!("{} arm, swing off the nearest tooth of its restraint", arm(c)),
        What::BeamToTyre(c, w) => format!("{} arm to the {} tyre", arm(c), own(w)),
        What::BeamToKeepOut(c, k) => format!("{} arm to {}", arm(c), keep_out(k)),
        What::BeamToBeam(c) => format!("the two {} arms from each other", side(arm_of(scene, c))),
        What::BeamUnderSill(c) => format!("{} arm under the sill", arm(c)),
        What::PadEntry(c) => format!("{} pad under the vehicle while it is swung in", own(c)),
        What::Level => "vehicle out of level on its four pads".into(),
        What::PadRating(c) => format!("assured load on the {} pad", own(c)),
        What::PadCarries(c) => format!("assured least share of the weight on the {} pad", own(c)),
        What::PairRating { front } => {
            format!("assured load on the {} pair of pads", if front { "front" } else { "rear" })
        }
        What::ShareLeast => "front pads' share of the load, against the lift maker's least".into(),
        What::ShareMost => "front pads' share of the load, against the lift maker's most".into(),
        What::SplitRule => "share of the load on the heavier pair of pads".into(),
        What::EdgeDistance(a, b) => {
            format!(
                "assured distance of the centre of gravity from the {} edge of the support",
                edge_name(a, b)
            )
        }
        What::PlateSpot => match &scene.plan.mark {
            Some(mark) => format!("front wheel from the plate's mark {mark}"),
            None => "front wheel from the plate's mark".into(),
        },
        What::Door(d) => {
            format!(
                "{} opening beside the column",
                scene.vehicle.doors.get(d).map_or("door", |d| d.name.as_str())
            )
        }
        What::Between => "air on each side between the columns".into(),
        What::BayAhead => "free floor ahead of the vehicle".into(),
        What::BayBehind => "free floor behind the vehicle".into(),
        What::Capacity => "total load on the lift".into(),
        What::Ceiling => "air above the vehicle at the lowest lock".into(),
    }
}

/// What would change a check's figure, as a short sentence.
#[must_use]
pub fn cure(scene: &Scene<'_>, what: What) -> &'static str {
    match what {
        What::PadInArea(_) => "A smaller pad or an arm that reaches the middle of the area would change it.",
        What::PadToKeepOut(..) => "A smaller pad, or another of the maker's lifting points, would change it.",
        What::ReachIn(_) => "Arms that go farther in, or another spot, would change it.",
        What::ReachOut(_) => "Arms that reach farther out, or another spot, would change it.",
        What::SwingFrom(_) | What::SwingTo(_) => "Another spot, or another lifting point, would change it.",
        What::Tooth(_) => "Move the arm until its restraint drops in.",
        What::BeamToTyre(..) => "Another spot, or a narrower arm, would change it.",
        What::BeamToKeepOut(..) => "Another spot, or another lifting point, would change it.",
        What::BeamToBeam(_) => "Lifting points farther apart would change it.",
        What::BeamUnderSill(_) => {
            "Lower arms, or ramps under the wheels before the arms go in, would change it."
        }
        What::PadEntry(_) => "Lower pads, or ramps under the wheels before the arms go in, would change it.",
        What::Level => "Adapters that take up the difference of the undersides would change it.",
        What::PadRating(_) => "Weighing the axles, taking a load out, or a stronger lift would change it.",
        What::PadCarries(_) => "Another spot, or a load moved towards this pad, would change it.",
        What::PairRating { .. } => {
            "Taking a load out, turning the vehicle round, or a stronger lift would change it."
        }
        What::ShareLeast | What::ShareMost | What::SplitRule => {
            "Pads nearer the heavier end, or a load moved or taken out, would change it."
        }
        What::EdgeDistance(..) => {
            "Pads farther apart, weighing the axles, or a part left on would change it."
        }
        What::PlateSpot => "Drive the front wheel onto the mark.",
        What::Door(_) => "Another spot, or driving in the other way round, would change it.",
        What::Between if scene.vehicle.outline.mirrors.is_some() => {
            "Folding the mirrors, or a wider lift, would change it."
        }
        What::Between => "A wider lift would change it.",
        What::BayAhead | What::BayBehind => "A longer bay, or another spot, would change it.",
        What::Capacity => "Taking a load out, or a stronger lift, would change it.",
        What::Ceiling => "A higher bay, or leaving hatch and bonnet shut, would change it.",
    }
}

/// The arm that serves a corner of the vehicle.
pub(crate) fn arm_of(scene: &Scene<'_>, corner: Corner) -> Corner {
    scene.plan.pads[corner.index()].arm
}

/// The name of the lifting area that a corner's pad uses.
fn area_of(scene: &Scene<'_>, corner: Corner) -> String {
    let area = scene.plan.pads[corner.index()].area;
    scene
        .vehicle
        .lift_areas
        .get(area)
        .map_or_else(|| "its lifting area".into(), |a| format!("\"{}\"", a.name))
}

fn side(corner: Corner) -> &'static str {
    if corner.is_left() { "left" } else { "right" }
}

/// Left arms point to the right, so their lower swing stop is the rear one.
fn stop(scene: &Scene<'_>, corner: Corner, lower: bool) -> &'static str {
    if arm_of(scene, corner).is_left() == lower { "rear" } else { "forward" }
}
