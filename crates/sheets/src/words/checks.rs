//! What each check is called, and what would change it.

use planner::checks::{What, edge_name};
use planner::lift::Corner;
use planner::limits::Name;

use super::corners::{arms, listed, pads_named};
use crate::Scene;

/// What a check looks at, as a noun phrase without a figure.
#[must_use]
pub fn check_title(scene: &Scene<'_>, what: What) -> String {
    title(scene, &[what])
}

/// Checks of one kind are said in one sentence.
pub(super) fn kind(scene: &Scene<'_>, what: What) -> String {
    match what {
        // The forward stop is the one for left arms and the other for right arms.
        What::SwingFrom(c) => format!("swing-{}", stop(scene, c, true)),
        What::SwingTo(c) => format!("swing-{}", stop(scene, c, false)),
        // Each force is one of its own.
        What::WorkForce { .. } => what.id(),
        _ => what.id().split(':').next().unwrap_or_default().to_owned(),
    }
}

/// The same for checks of one kind at several corners.
pub(super) fn title(scene: &Scene<'_>, whats: &[What]) -> String {
    let Some(first) = whats.first() else { return String::new() };
    let named = Named::of(scene, whats);
    let (arms, pads, one) = (named.arms(), named.pads(), named.corners.len() == 1);
    let each = if one { format!("the {pads}") } else { format!("each of the {pads}") };
    let lead = |noun: &str| if one { noun.to_owned() } else { format!("the {noun}") };
    match *first {
        What::PadInArea(c) if one => {
            format!("{pads}, its centre from the edge of {}", area_of(scene, c))
        }
        What::PadInArea(_) => format!("{}, each centre from the edge of its lifting area", lead(&pads)),
        What::PadToKeepOut(..) => {
            let whose = if one { "its" } else { "each" };
            format!("{}, {whose} rim from {}", lead(&pads), named.things)
        }
        What::ReachIn(_) => format!("{}, reach beyond the inner stop", lead(&arms)),
        What::ReachOut(_) => format!("{}, reach to spare before the outer stop", lead(&arms)),
        What::SwingFrom(c) => {
            format!("{}, swing to spare before the {} stop", lead(&arms), stop(scene, c, true))
        }
        What::SwingTo(c) => {
            format!("{}, swing to spare before the {} stop", lead(&arms), stop(scene, c, false))
        }
        What::Tooth(_) => format!("{}, swing off the nearest tooth of the restraint", lead(&arms)),
        What::BeamToTyre(..) => format!("{} to the {}", lead(&arms), named.things),
        What::BeamToKeepOut(..) => format!("{} to {}", lead(&arms), named.things),
        What::BeamToBeam(c) if one => {
            format!("the two {} arms from each other", side(arm_of(scene, c)))
        }
        What::BeamToBeam(_) => "the two arms of either side from each other".into(),
        What::BeamUnderSill(_) => format!("{} under the sill", lead(&arms)),
        What::PadEntry(_) => {
            let they = if one { "it is" } else { "they are" };
            format!("{} under the vehicle while {they} swung in", lead(&pads))
        }
        What::Level => "vehicle out of level on its four pads".into(),
        What::PadRating(_) => format!("assured load on {each}"),
        What::PadCarries(_) => format!("assured least share of the weight on {each}"),
        What::PairRating { .. } => format!("assured load on the {} pair of pads", named.things),
        What::ShareLeast => "front pads' share of the load, against the lift maker's least".into(),
        What::ShareMost => "front pads' share of the load, against the lift maker's most".into(),
        What::SplitRule => "share of the load on the heavier pair of pads".into(),
        What::EdgeDistance(..) => {
            format!("assured distance of the centre of gravity from the {} edge of the support", named.things)
        }
        What::TipRatio => "assured tip ratio: the sideways acceleration that starts to tip it".into(),
        What::WorkForce { task, force } => {
            format!("what is withstood for certain of {}", super::work::force_of(scene, Some((task, force))))
        }
        What::PlateSpot => match &scene.plan.mark {
            Some(mark) => format!("front wheel from the plate's mark {mark}"),
            None => "front wheel from the plate's mark".into(),
        },
        What::Door(_) => format!("{} opening beside the column", named.things),
        What::Between => "air on each side between the columns".into(),
        What::BayAhead => "free floor ahead of the vehicle".into(),
        What::BayBehind => "free floor behind the vehicle".into(),
        What::Capacity => "total load on the lift".into(),
        What::Ceiling => "air above the vehicle at the lowest lock".into(),
    }
}

/// What checks of one kind name.
pub(super) struct Named<'a> {
    scene: &'a Scene<'a>,
    /// The vehicle's corners, each once.
    corners: Vec<Corner>,
    /// Keep-outs, tyres, doors, edges or pairs.
    pub(super) things: String,
}

impl<'a> Named<'a> {
    pub(super) fn of(scene: &'a Scene<'a>, whats: &[What]) -> Self {
        let mut corners: Vec<Corner> = Vec::new();
        let mut tyres: Vec<Corner> = Vec::new();
        let mut things: Vec<&str> = Vec::new();
        for what in whats {
            match *what {
                What::PadInArea(c)
                | What::ReachIn(c)
                | What::ReachOut(c)
                | What::SwingFrom(c)
                | What::SwingTo(c)
                | What::Tooth(c)
                | What::BeamToBeam(c)
                | What::BeamUnderSill(c)
                | What::PadEntry(c)
                | What::PadRating(c)
                | What::PadCarries(c) => corners.push(c),
                What::PadToKeepOut(c, k) | What::BeamToKeepOut(c, k) => {
                    corners.push(c);
                    things.push(scene.vehicle.keep_outs.get(k).map_or("a keep-out", |k| k.name.as_str()));
                }
                What::BeamToTyre(c, tyre) => {
                    corners.push(c);
                    tyres.push(tyre);
                }
                What::PairRating { front } => things.push(if front { "front" } else { "rear" }),
                What::EdgeDistance(a, b) => things.push(edge_name(a, b)),
                What::Door(d) => things.push(scene.vehicle.doors.get(d).map_or("door", |d| d.name.as_str())),
                _ => {}
            }
        }
        corners.sort_unstable();
        corners.dedup();
        things.sort_unstable();
        things.dedup();
        let things = if tyres.is_empty() { listed(&things) } else { super::corners::tyres(scene, &tyres) };
        Self { scene, corners, things }
    }

    pub(super) fn arms(&self) -> String {
        arms(&self.corners.iter().map(|c| arm_of(self.scene, *c)).collect::<Vec<_>>())
    }

    pub(super) fn pads(&self) -> String {
        pads_named(self.scene, &self.corners)
    }
}

/// The row of the table of limits behind a check, where there is one.
pub(crate) fn limit_of(scene: &Scene<'_>, what: What) -> Option<Name> {
    match what {
        What::PairRating { .. } | What::SplitRule if scene.lift.rated.to_kilograms() <= 3500.0 => {
            Some(Name::PairShareSmall)
        }
        What::PairRating { .. } | What::SplitRule => Some(Name::PairShareLarge),
        What::Tooth(_) => None,
        other => other.limit(),
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
