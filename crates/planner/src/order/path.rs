//! The path over sets of steps whose least reserve is largest.

use std::cmp::Ordering;
use std::collections::{BTreeMap, BinaryHeap};

/// Steps that may change places.
pub(super) struct Run {
    /// For each step those that come before it.
    pub(super) needs: Vec<Vec<usize>>,
    /// Steps whose state differs from others with the same steps done.
    pub(super) named: Vec<bool>,
    /// How many states may be looked at.
    pub(super) most: usize,
}

/// An order, its least reserve, and what no order exceeds.
pub(super) struct Path {
    pub(super) steps: Vec<usize>,
    pub(super) reserve: f64,
    pub(super) bound: f64,
}

/// Steps done.
type Set = Vec<bool>;

/// A set reached by a last step, and the most that a path through it may leave.
struct Node {
    most: f64,
    done: usize,
    /// First come first served among equals.
    turn: usize,
    set: Set,
    last: usize,
    /// Whether `most` holds its own reserve already.
    looked_at: bool,
}

impl Ord for Node {
    fn cmp(&self, other: &Self) -> Ordering {
        let most = self.most.total_cmp(&other.most);
        most.then(self.done.cmp(&other.done)).then(other.turn.cmp(&self.turn))
    }
}
impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Node {}

/// The reserve of each state, asked once.
struct Known<'r, F> {
    run: &'r Run,
    ask: F,
    /// By steps done, and by the last step where that matters.
    known: BTreeMap<(Set, Option<usize>), f64>,
}

impl<F: FnMut(&[bool], usize) -> f64> Known<'_, F> {
    fn of(&mut self, set: &Set, last: usize) -> f64 {
        let key = (set.clone(), self.run.named[last].then_some(last));
        let ask = &mut self.ask;
        *self.known.entry(key).or_insert_with(|| ask(set, last))
    }

    fn may_follow(&self, set: &Set, step: usize) -> bool {
        !set[step] && self.run.needs[step].iter().all(|k| set[*k])
    }

    /// On from a set, always to the state that leaves most.
    fn greedily(&mut self, mut set: Set) -> (Vec<usize>, f64) {
        let (mut steps, mut least) = (Vec::new(), f64::INFINITY);
        while set.contains(&false) {
            let next: Vec<usize> = (0..set.len()).filter(|k| self.may_follow(&set, *k)).collect();
            let after =
                |k: usize, set: &Set| -> Set { set.iter().enumerate().map(|(i, d)| *d || i == k).collect() };
            let rated: Vec<(f64, usize)> = next.iter().map(|k| (self.of(&after(*k, &set), *k), *k)).collect();
            let Some((reserve, step)) = rated.into_iter().reduce(|a, b| if b.0 > a.0 { b } else { a }) else {
                // Needs in a circle: nothing may follow.
                return (steps, f64::NEG_INFINITY);
            };
            set[step] = true;
            steps.push(step);
            least = least.min(reserve);
        }
        (steps, least)
    }
}

/// The widest path from nothing done to all done, `reserve` telling what a state leaves.
///
/// Highest first, deepest among equals: a set is looked at only when nothing known promises more, so the
/// first path that arrives is the best. No path leaves more than the last state does. Where `most` states
/// do not suffice, the best that greedy steps make of what is known; what the highest of the rest promises
/// is then the bound.
pub(super) fn best_path(run: &Run, reserve: impl FnMut(&[bool], usize) -> f64) -> Path {
    let count = run.needs.len();
    let mut states = Known { run, ask: reserve, known: BTreeMap::new() };
    let all = vec![true; count];
    let lasts = (0..count).filter(|k| !run.needs.iter().any(|n| n.contains(k)));
    let ceiling = lasts.map(|k| states.of(&all, k)).fold(f64::NEG_INFINITY, f64::max);
    let mut from: BTreeMap<Set, usize> = BTreeMap::new();
    let mut open = BinaryHeap::new();
    let mut turn = 0;
    let mut expand = |set: &Set, most: f64, open: &mut BinaryHeap<Node>, states: &Known<'_, _>| {
        let done = set.iter().filter(|d| **d).count() + 1;
        for last in (0..count).filter(|k| states.may_follow(set, *k)) {
            let mut set = set.clone();
            set[last] = true;
            turn += 1;
            open.push(Node { most, done, turn, set, last, looked_at: false });
        }
    };
    let nothing = vec![false; count];
    expand(&nothing, ceiling, &mut open, &states);
    let mut bound = f64::NEG_INFINITY;
    while let Some(node) = open.pop() {
        if from.contains_key(&node.set) {
            continue;
        }
        if states.known.len() >= run.most {
            bound = node.most;
            break;
        }
        if !node.looked_at {
            let most = node.most.min(states.of(&node.set, node.last));
            if most < node.most {
                open.push(Node { most, looked_at: true, ..node });
                continue;
            }
        }
        from.insert(node.set.clone(), node.last);
        if node.done == count {
            let steps = back(&from, node.set);
            return Path { steps, reserve: node.most, bound: node.most };
        }
        expand(&node.set, node.most, &mut open, &states);
    }
    let deepest = from.keys().max_by_key(|set| set.iter().filter(|d| **d).count());
    let begun = deepest.cloned().unwrap_or_else(|| nothing.clone());
    let path = [begun, nothing].map(|set| {
        let mut steps = back(&from, set.clone());
        let mut least = f64::INFINITY;
        let mut done = vec![false; count];
        for step in &steps {
            done[*step] = true;
            least = least.min(states.of(&done, *step));
        }
        let (rest, least_of_rest) = states.greedily(set);
        steps.extend(rest);
        (steps, least.min(least_of_rest))
    });
    let [a, b] = path;
    let (steps, reserve) = if b.1 > a.1 { b } else { a };
    Path { steps, reserve, bound: bound.max(reserve) }
}

/// The steps by which a set was reached.
fn back(from: &BTreeMap<Set, usize>, mut set: Set) -> Vec<usize> {
    let mut steps = Vec::new();
    while let Some(last) = from.get(&set) {
        steps.push(*last);
        set[*last] = false;
    }
    steps.reverse();
    steps
}

#[cfg(test)]
mod tests {
    use super::{Run, best_path};

    /// Worth of a set: a number that its bits decide.
    fn worth(done: &[bool]) -> f64 {
        let bits = done.iter().rev().fold(0u64, |b, d| b << 1 | u64::from(*d));
        let mixed = (bits + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66;
        f64::from(u32::try_from(mixed.wrapping_mul(0xBF58_476D_1CE4_E5B9) >> 40).unwrap_or(0)) / 16_777_216.0
    }

    fn run(count: usize, most: usize) -> Run {
        let needs = (0..count).map(|k| if k % 3 == 2 { vec![k - 1] } else { vec![] }).collect();
        Run { needs, named: vec![false; count], most }
    }

    #[test]
    fn a_search_cut_short_tells_a_bound_that_holds() {
        let exact = best_path(&run(10, usize::MAX), |done, _| worth(done));
        assert!((exact.bound - exact.reserve).abs() < 1e-15);
        for most in [5, 20, 60, 120, 200] {
            let cut = best_path(&run(10, most), |done, _| worth(done));
            assert!(cut.reserve <= exact.reserve && exact.reserve <= cut.bound, "{most}");
            let mut steps = cut.steps.clone();
            steps.sort_unstable();
            assert_eq!(steps, (0..10).collect::<Vec<_>>());
            let mut done = vec![false; 10];
            let along = cut.steps.iter().map(|k| {
                assert!(k % 3 != 2 || done[k - 1], "what is needed first comes first");
                done[*k] = true;
                worth(&done)
            });
            assert!((along.fold(f64::INFINITY, f64::min) - cut.reserve).abs() < 1e-15);
        }
    }

    #[test]
    fn a_state_that_its_last_step_decides_is_told_apart() {
        // Set {0, 1} is worth 1 reached by step 0 last, else 0.
        let all = |done: &[bool]| done.iter().all(|d| *d);
        let of = |done: &[bool], last: usize| if !all(done) || last == 0 { 1.0 } else { 0.0 };
        let run = Run { needs: vec![vec![], vec![]], named: vec![true, true], most: usize::MAX };
        let found = best_path(&run, of);
        assert_eq!((found.steps, found.reserve), (vec![1, 0], 1.0));
    }
}
