//! What is said where many vehicles on many lifts are told together: a few words a kind of check, and whose limits hold.

use planner::Limits;
use planner::limits::Own;

use crate::Units;

/// The shop's own limits that differ from the defaults: a sentence for those that are looser, one for the others.
#[must_use]
pub fn limits_that_differ(limits: &Limits, units: Units) -> Vec<String> {
    let differs = |own: &&Own| (own.value - own.name.row().value).abs() > 0.0;
    let (looser, others): (Vec<&Own>, Vec<&Own>) =
        limits.all_own().iter().filter(differs).partition(|own| own.is_looser());
    let told = |own: &&Own| {
        let row = own.name.row();
        let [value, default] = [own.value, row.value].map(|value| units.limit(value, row.unit));
        format!("{} {value} (default {default})", row.title)
    };
    let sentence = |begins: &str, all: &[&Own]| {
        let told: Vec<String> = all.iter().map(told).collect();
        (!told.is_empty()).then(|| format!("{begins}: {}.", told.join(", ")))
    };
    let begins = "BY LOOSER OWN LIMITS, which may pass what the defaults would refuse";
    [sentence(begins, &looser), sentence("Other own limits", &others)].into_iter().flatten().collect()
}

/// What it is about, by the name of the check's kind or of what else refuses; a name that is not known says itself.
#[must_use]
pub fn survey(kind: &str) -> &str {
    let known = WORDS.iter().find(|(name, _)| *name == kind);
    known.map_or(kind, |(_, words)| words)
}

const WORDS: &[(&str, &str)] = &[
    ("pad-in-area", "pad within its lifting area"),
    ("pad-to-keep-out", "pad to a keep-out"),
    ("reach-in", "reach of an arm, inner stop"),
    ("reach-out", "reach of an arm, outer stop"),
    ("swing-from", "swing of an arm, first stop"),
    ("swing-to", "swing of an arm, second stop"),
    ("tooth", "tooth of an arm's restraint"),
    ("arm-to-tyre", "arm to a tyre"),
    ("arm-to-keep-out", "arm to a keep-out"),
    ("arm-to-arm", "arms of a side from each other"),
    ("arm-under-sill", "arm under the sill"),
    ("pad-entry", "pad swung in under the vehicle"),
    ("level", "vehicle out of level on its pads"),
    ("pad-rating", "load on a pad or its arm"),
    ("pad-carries", "least that a pad carries"),
    ("pair-rating", "load on a pair of pads"),
    ("share-least", "front share, the maker's least"),
    ("share-most", "front share, the maker's most"),
    ("split-rule", "split of the load front to rear"),
    ("edge-distance", "centre of gravity to an edge"),
    ("tip-ratio", "tip ratio"),
    ("working-force", "a force of the job"),
    ("plate-spot", "front wheel on the plate's mark"),
    ("door", "door opening beside the column"),
    ("between-columns", "air between the columns"),
    ("bay-ahead", "free floor ahead"),
    ("bay-behind", "free floor behind"),
    ("capacity", "total load on the lift"),
    ("ceiling", "air above the vehicle"),
    ("no-band", "wheelbase in no band"),
    ("no-lock-clears", "tyres clear at no lock"),
    ("posture", "a person cannot work as asked"),
    ("backwards", "would have to stand backwards"),
    ("longer-than-bay", "longer than the bay"),
    ("no-lifting-area", "no lifting area at a corner"),
    ("job-does-not-fit", "job does not go with the vehicle"),
];

#[cfg(test)]
mod tests {
    use planner::checks::What;
    use planner::lift::Corner::FrontLeft as C;

    use super::survey;

    /// One of each kind of check; a kind whose name says itself would be no words.
    #[test]
    fn every_check_has_words() {
        let all = [
            What::PadInArea(C),
            What::PadToKeepOut(C, 0),
            What::ReachIn(C),
            What::ReachOut(C),
            What::SwingFrom(C),
            What::SwingTo(C),
            What::Tooth(C),
            What::BeamToTyre(C, C),
            What::BeamToKeepOut(C, 0),
            What::BeamToBeam(C),
            What::BeamUnderSill(C),
            What::PadEntry(C),
            What::Level,
            What::PadRating(C),
            What::PadCarries(C),
            What::PairRating { front: true },
            What::ShareLeast,
            What::ShareMost,
            What::SplitRule,
            What::EdgeDistance(C, C),
            What::TipRatio,
            What::WorkForce { task: 0, force: 0 },
            What::PlateSpot,
            What::Door(0),
            What::Between,
            What::BayAhead,
            What::BayBehind,
            What::Capacity,
            What::Ceiling,
        ];
        for what in all {
            let id = what.id();
            let kind = id.split(':').next().unwrap_or_default();
            assert_ne!(survey(kind), kind);
        }
    }
}
