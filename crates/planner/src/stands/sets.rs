//! Which places stands may be set at together.

use crate::vehicle::StandPlace;

/// More sets of places than this are not tried.
const SETS_MOST: usize = 200;

/// Sets of so many places; of two, those opposite each other alone where there are any.
pub(super) fn sets(places: &[StandPlace], count: usize) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..count {
        found = (found.iter())
            .flat_map(|set| {
                let first = set.last().map_or(0, |k| k + 1);
                (first..places.len()).map(move |k| set.iter().copied().chain([k]).collect())
            })
            .take(SETS_MOST)
            .collect();
    }
    let opposite = |set: &Vec<usize>| {
        let [[aft, left], [other, right]] = [set[0], set[1]].map(|k| places[k].at.to_metres());
        (aft - other).abs() < 0.01 && (left + right).abs() < 0.01
    };
    if count == 2 && found.iter().any(opposite) {
        found.retain(opposite);
    }
    found
}
