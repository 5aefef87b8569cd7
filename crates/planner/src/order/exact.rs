//! The best of all orders, looking at as few states as that takes.

use std::collections::BTreeMap;

use super::path::{Path, Run};

/// What is known of the states with some steps done.
#[derive(Clone, Copy)]
struct Known {
    /// None of them leaves more.
    most: f64,
    /// How often that was looked at more closely.
    looks: usize,
    /// `most` is what they leave.
    exact: bool,
    /// No way leads on from them through states that promise more than the floor, and so none ever will: floors only
    /// rise, promises only fall.
    dead: bool,
}

/// About how much too much a promise may be after the first look, the second, and so on. What promises more than that
/// above the floor is taken at its word until a way leads through it; what promises less is looked at more closely.
const DOUBTS: [f64; 3] = [0.7, 0.2, 0.05];

/// What may be asked of the states of a run; steps done as bits.
pub(super) trait States {
    /// What a state leaves, by the steps done and the last of them.
    fn reserve(&mut self, done: usize, last: usize) -> f64;
    /// What none with these steps done leaves more than, closer with each look; `None` = closer by `reserve` only.
    fn most(&mut self, done: usize, look: usize) -> Option<f64>;
}

struct Search<'r, S> {
    run: &'r Run,
    needs: Vec<usize>,
    sets: Vec<Known>,
    /// Of sets whose last step matters, by that step.
    by_last: BTreeMap<(usize, usize), f64>,
    states: S,
}

/// The widest path from nothing done to all done.
///
/// An order is known, the greedy one at first. Is there another of which every state leaves more? A way is looked for
/// through the states that promise more; those on it are then looked at. Either they do leave more, and it is the
/// order that is known, or one is out of the way for good. Where no way is left, the known order is the best.
pub(super) fn best_of_all(run: &Run, states: impl States) -> Path {
    let bits = |steps: &Vec<usize>| steps.iter().fold(0, |bits, k| bits | 1 << k);
    let all = (1 << run.needs.len()) - 1;
    let unknown = Known { most: f64::INFINITY, looks: 0, exact: false, dead: false };
    let mut search = Search {
        run,
        needs: run.needs.iter().map(bits).collect(),
        sets: vec![unknown; all + 1],
        by_last: BTreeMap::new(),
        states,
    };
    let needed = search.needs.iter().fold(0, |bits, n| bits | n);
    let lasts = (0..run.needs.len()).filter(|k| needed >> k & 1 == 0);
    let ceiling = lasts.map(|k| search.look(all, k)).fold(f64::NEG_INFINITY, f64::max);
    let (mut steps, mut least) = search.greedily(ceiling);
    while least < ceiling {
        let Some(way) = search.way_above(least) else { break };
        let found = search.along(&way);
        if found > least {
            (steps, least) = (way, found);
        }
    }
    Path { steps, reserve: least, bound: least }
}

impl<S: States> Search<'_, S> {
    /// What a state leaves.
    fn look(&mut self, set: usize, last: usize) -> f64 {
        if self.run.named[last] {
            let states = &mut self.states;
            return *self.by_last.entry((set, last)).or_insert_with(|| states.reserve(set, last));
        }
        let known = &mut self.sets[set];
        if !known.exact {
            *known = Known { most: self.states.reserve(set, last), exact: true, ..*known };
        }
        known.most
    }

    /// What a state may leave, as closely as it takes to see whether that is above a floor.
    fn promise(&mut self, set: usize, last: usize, floor: f64) -> f64 {
        if let Some(found) = self.run.named[last].then(|| self.by_last.get(&(set, last))).flatten() {
            return *found;
        }
        let known = &mut self.sets[set];
        let doubtful = |known: &Known| {
            let doubt = known.looks.checked_sub(1).map_or(f64::INFINITY, |k| DOUBTS[k.min(DOUBTS.len() - 1)]);
            known.most > floor && known.most <= floor + doubt
        };
        while !known.exact && doubtful(known) {
            let Some(most) = self.states.most(set, known.looks) else { return self.look(set, last) };
            known.most = known.most.min(most);
            known.looks += 1;
        }
        known.most
    }

    fn may_follow(&self, set: usize, step: usize) -> bool {
        set >> step & 1 == 0 && self.needs[step] & !set == 0
    }

    /// Always on to the state that leaves most; one that leaves as much as any order can will do.
    fn greedily(&mut self, ceiling: f64) -> (Vec<usize>, f64) {
        let (mut set, mut steps, mut least) = (0, Vec::new(), f64::INFINITY);
        while steps.len() < self.needs.len() {
            let mut best: Option<(f64, usize)> = None;
            for step in 0..self.needs.len() {
                if !self.may_follow(set, step) {
                    continue;
                }
                let found = self.look(set | 1 << step, step);
                if best.is_none_or(|b| found > b.0) {
                    best = Some((found, step));
                }
                if found >= ceiling {
                    break;
                }
            }
            // Needs in a circle: nothing may follow.
            let Some((found, step)) = best else { return (steps, f64::NEG_INFINITY) };
            set |= 1 << step;
            steps.push(step);
            least = least.min(found);
        }
        (steps, least)
    }

    /// A way to all done through states that promise more than the floor. What earlier ways have shown to lead nowhere
    /// is not entered again.
    fn way_above(&mut self, floor: f64) -> Option<Vec<usize>> {
        let (mut set, mut way) = (0, Vec::new());
        while set != self.sets.len() - 1 {
            if let Some(step) = self.step_above(set, floor) {
                set |= 1 << step;
                way.push(step);
            } else {
                self.sets[set].dead = true;
                set &= !(1 << way.pop()?);
            }
        }
        Some(way)
    }

    /// The step that leads on to what promises most above the floor.
    fn step_above(&mut self, set: usize, floor: f64) -> Option<usize> {
        let (mut most, mut best) = (floor, None);
        for step in 0..self.needs.len() {
            let next = set | 1 << step;
            if self.may_follow(set, step) && !self.sets[next].dead {
                let promise = self.promise(next, step, floor);
                if promise > most {
                    (most, best) = (promise, Some(step));
                }
            }
        }
        best
    }

    /// Least reserve along an order.
    fn along(&mut self, order: &[usize]) -> f64 {
        let (mut set, mut least) = (0, f64::INFINITY);
        for step in order {
            set |= 1 << step;
            least = least.min(self.look(set, *step));
        }
        least
    }
}
