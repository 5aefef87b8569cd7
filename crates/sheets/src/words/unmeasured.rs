//! What a quick entry or a file leaves open, as conditions: what to look at before raising, or to measure.

use planner::limits::Name;
use planner::quick::{Taped, Unknown, beside};
use statics::Length;

use crate::units::Round;
use crate::{Scene, Units};

/// The whole sentence.
pub(super) fn sentence(scene: &Scene<'_>, what: Unknown, units: Units) -> String {
    match what {
        Unknown::KeepOuts => {
            // Of areas that a file draws nobody took a point.
            let of_points = scene.vehicle.unmeasured.lift_points > Length::ZERO;
            let square = if of_points {
                let beside = units.length_to(beside(scene.limits), Round::Up);
                format!(" (the middle of a pad may be planned up to {beside} beside it, along and across; project default)")
            } else {
                String::new()
            };
            format!(
                "Which lines, tanks, plastic or battery case lie near the lifting points is not known (nothing near them \
                 was measured), nor whether the right-hand points mirror the left where only those were measured: find \
                 the maker's mark at each{square}, look along every arm and around every pad before it touches; or write \
                 a vehicle file with what lies there."
            )
        }
        Unknown::Undersides => {
            let height = scene.vehicle.unmeasured.guesses.iter().find(|g| g.what == Taped::Undersides);
            let between = height.map_or_else(String::new, |g| {
                format!(", taken from {} to {}", units.length_to(g.range.least, Round::Down), units.length_to(g.range.greatest, Round::Up))
            });
            let level = units.limit(scene.limits.get(Name::Level), Name::Level.row().unit);
            format!(
                "Pad heights, adapters and level are not known (undersides of the lifting points were not \
                 measured{between}): screw all four pads up to touch before raising, and stop at the test raise unless the \
                 vehicle stands level within {level}; or measure the undersides and plan again.",
            )
        }
        Unknown::Doors => "Whether a door opens beside a column is not known (no door was measured): open the \
             doors that the job needs before raising, and drive out again if a person cannot get out; or write them \
             into the vehicle's file."
            .into(),
        Unknown::LiftPoints => {
            let off = units.length_to(scene.vehicle.unmeasured.lift_points, Round::Up);
            format!(
                "Where the lifting points are is not known: they were taken from class and wheelbase (common practice, no \
                 source) and may be {off} off, or more: find the maker's mark at every corner, measure it and plan again \
                 before anything is raised."
            )
        }
    }
}

/// Lifting areas that the pads go by, and that are odd.
pub(super) fn odd_areas(names: &[String]) -> String {
    let names: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    format!(
        "Where {} should be is odd (the warnings of `standfast check` say how), and the pads go there: find the vehicle \
         maker's mark at every pad before it touches, or measure again.",
        names.join(", ")
    )
}

/// The same for a sheet.
pub(super) const fn short(what: Unknown) -> &'static str {
    match what {
        Unknown::KeepOuts => {
            "Not measured: lines, tanks, plastic, right-hand points. Look along every arm and pad."
        }
        Unknown::Undersides => "Not measured: undersides. Screw all pads up to touch, stop unless level.",
        Unknown::Doors => "Not measured: doors. Open them before raising.",
        Unknown::LiftPoints => {
            "Lifting points guessed: measure the maker's marks and plan again before raising."
        }
    }
}
