//! What a quick entry leaves open, as conditions: what to look at before raising, or to measure.

use planner::limits::Name;
use planner::quick::Unknown;

use crate::units::Round;
use crate::{Scene, Units};

/// The whole sentence.
pub(super) fn sentence(scene: &Scene<'_>, what: Unknown, units: Units) -> String {
    match what {
        Unknown::KeepOuts => "Where the right-hand lifting points are, and which lines, tanks, plastic or battery \
             case lie near any of the four, is not known (the right ones are taken to mirror the left; nothing near \
             them was measured): find the maker's mark, look along every arm and around every pad before it touches, \
             or write a vehicle file."
            .into(),
        Unknown::Undersides => {
            let height = scene.vehicle.unmeasured.guesses.iter().find(|g| g.what.starts_with("underside"));
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
             into a vehicle file."
            .into(),
    }
}

/// The same for a sheet.
pub(super) const fn short(what: Unknown) -> &'static str {
    match what {
        Unknown::KeepOuts => {
            "Not measured: right-hand lifting points, lines, tanks, plastic. Look along every arm and pad."
        }
        Unknown::Undersides => "Not measured: undersides. Screw all pads up to touch, stop unless level.",
        Unknown::Doors => "Not measured: doors. Open them before raising.",
    }
}
