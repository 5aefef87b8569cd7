//! Ways to the same answers that any would write first: every setup of a grid, every order, every set.

use planner::frames::DrivenIn;
use planner::job::Step;
use planner::order::state_reserves;
use planner::vehicle::Part;
use planner::{Job, Setup, Situation};
use reference::global::Question;

use crate::Asked;
use crate::time::{Times, timed};

/// How many setups of a coarse grid there are, the best least reserve, and how long looking at all takes.
///
/// Spots 10 cm apart; the left-hand pads 10 cm apart along and 2 cm across, the right-hand ones as their mirror: the car
/// and the lift are alike on both sides.
pub(crate) fn grid(asked: &Asked) -> (usize, f64, Times) {
    let Asked { lift, vehicle, job, limits, .. } = asked;
    let question = Question { lift, vehicle, job, limits, tops: None };
    let room = question.room(question.area_choices()[0], DrivenIn::Forwards);
    let steps = |k: usize, step: f64| {
        let (from, to) = (room.least[k], room.greatest[k]);
        let first = ((to - from) / step).fract() * step / 2.0;
        core::iter::successors(Some(from + first), move |at| Some(at + step)).take_while(move |at| *at <= to)
    };
    let places = |pad: usize| {
        let (aft, left) = (1 + 2 * pad, 2 + 2 * pad);
        let places = steps(aft, 0.1).flat_map(move |a| steps(left, 0.02).map(move |l| [a, l]));
        places.collect::<Vec<_>>()
    };
    let (front, rear) = (places(0), places(2));
    let count = steps(0, 0.1).count() * front.len() * rear.len();
    let look = || {
        let mut best = f64::NEG_INFINITY;
        for spot in steps(0, 0.1) {
            for &[fa, fl] in &front {
                for &[ra, rl] in &rear {
                    let setup = [spot, fa, fl, fa, -fl, ra, rl, ra, -rl];
                    best = best.max(question.worth(&setup, DrivenIn::Forwards));
                }
            }
        }
        best
    };
    (count, look(), timed(look))
}

/// What the state leaves in which each set of the parts is off, by the bits of the set.
///
/// One job walks through all sets, one part off or back on at a time (Gray's code).
fn sets(asked: &Asked, setup: &Setup, parts: &[Part]) -> Vec<f64> {
    let free = |k: usize| Part { after: vec![], ..parts[k].clone() };
    let (mut set, mut walk, mut steps) = (0_usize, vec![0], vec![]);
    for turn in 1..1_usize << parts.len() {
        let k = turn.trailing_zeros() as usize;
        set ^= 1 << k;
        steps.push(if set >> k & 1 == 1 { Step::Off(free(k)) } else { Step::On(free(k)) });
        walk.push(set);
    }
    let job = Job { steps, ..Job::default() };
    let situation =
        Situation::new(&asked.lift, &asked.vehicle, &job, &asked.limits).expect("states that can be");
    let mut left = vec![f64::NAN; walk.len()];
    for (set, reserve) in walk.into_iter().zip(state_reserves(&situation, setup)) {
        left[set] = reserve;
    }
    left
}

/// The parts that must be off before each, as bits.
fn needs(parts: &[Part]) -> Vec<usize> {
    let bit = |name: &String| parts.iter().position(|p| p.name == *name).map_or(0, |k| 1 << k);
    parts.iter().map(|part| part.after.iter().map(bit).sum()).collect()
}

/// The best least reserve of all permutations, each set looked at once.
pub(crate) fn best_of_permutations(asked: &Asked, setup: &Setup, parts: &[Part]) -> f64 {
    let (left, needs) = (sets(asked, setup, parts), needs(parts));
    let mut order: Vec<usize> = (0..parts.len()).collect();
    let mut best = f64::NEG_INFINITY;
    loop {
        let (mut set, mut worst) = (0, left[0]);
        let legal = order.iter().all(|&k| {
            let legal = needs[k] & !set == 0;
            set |= 1 << k;
            worst = worst.min(left[set]);
            legal
        });
        if legal {
            best = best.max(worst);
        }
        if !next_permutation(&mut order) {
            return best;
        }
    }
}

/// The one that follows in the order of a dictionary.
fn next_permutation(order: &mut [usize]) -> bool {
    let Some(turn) = order.windows(2).rposition(|w| w[0] < w[1]) else { return false };
    let with = order.iter().rposition(|k| *k > order[turn]).unwrap_or(turn);
    order.swap(turn, with);
    order[turn + 1..].reverse();
    true
}

/// The same by the best way to each set.
pub(crate) fn best_of_sets(asked: &Asked, setup: &Setup, parts: &[Part]) -> f64 {
    let (left, needs) = (sets(asked, setup, parts), needs(parts));
    let mut best = vec![f64::NEG_INFINITY; left.len()];
    best[0] = left[0];
    for set in 1..left.len() {
        let ways = (0..parts.len()).filter(|k| set >> k & 1 == 1 && needs[*k] & !set == 0);
        let way = ways.map(|k| best[set ^ 1 << k]).fold(f64::NEG_INFINITY, f64::max);
        best[set] = way.min(left[set]);
    }
    best[left.len() - 1]
}
