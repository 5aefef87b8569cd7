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
            let square = square(scene, units).map_or_else(String::new, |beside| {
                format!(" (the middle of a pad may be planned up to {beside} beside it, along and across; project default)")
            });
            format!(
                "Which lines, tanks, plastic or battery case lie near the lifting points is not known (nothing near them \
                 was measured), nor whether the right-hand points mirror the left where only those were measured: find \
                 the maker's mark at each{square}, look along every arm and around every pad before it touches; or write \
                 a vehicle file with what lies there."
            )
        }
        Unknown::Undersides => {
            let between = undersides(scene, units)
                .map_or_else(String::new, |[least, most]| format!(", taken from {least} to {most}"));
            let level = level(scene, units);
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

/// The same for a sheet: nothing of what is to be done is left out.
pub(super) fn short(scene: &Scene<'_>, what: Unknown, units: Units) -> String {
    match what {
        Unknown::KeepOuts => {
            let square = square(scene, units).map_or_else(String::new, |beside| {
                format!(" (a pad's middle may be planned up to {beside} beside it)")
            });
            format!(
                "Not measured: lines, tanks, plastic, battery case, right-hand points. Find the maker's mark at each{square}; \
                 look along every arm and around every pad before it touches."
            )
        }
        Unknown::Undersides => {
            let between = undersides(scene, units).map_or_else(String::new, |[least, most]| {
                format!(" (taken from {least} to {most})")
            });
            format!(
                "Not measured: undersides{between}. Screw all four pads up to touch before raising; stop at the test raise unless \
                 level within {}.",
                level(scene, units)
            )
        }
        Unknown::Doors => {
            "Not measured: doors. Open those needed before raising; drive out again if a person cannot get out.".into()
        }
        Unknown::LiftPoints => format!(
            "Lifting points guessed, {} off or more: find and measure the maker's marks and plan again before raising.",
            units.length_to(scene.vehicle.unmeasured.lift_points, Round::Up)
        ),
    }
}

/// How far beside a lifting point that somebody took a pad may be planned; of areas that a file draws nobody took a point.
fn square(scene: &Scene<'_>, units: Units) -> Option<String> {
    let of_points = scene.vehicle.unmeasured.lift_points > Length::ZERO;
    of_points.then(|| units.length_to(beside(scene.limits), Round::Up))
}

/// Between what the undersides were taken to be.
fn undersides(scene: &Scene<'_>, units: Units) -> Option<[String; 2]> {
    let guess = scene.vehicle.unmeasured.guesses.iter().find(|g| g.what == Taped::Undersides)?;
    Some([units.length_to(guess.range.least, Round::Down), units.length_to(guess.range.greatest, Round::Up)])
}

fn level(scene: &Scene<'_>, units: Units) -> String {
    units.limit(scene.limits.get(Name::Level), Name::Level.row().unit)
}
