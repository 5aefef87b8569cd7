//! What no state of a set of steps done can leave more than, from sums that are additive in the steps.

use std::collections::BTreeMap;

use crate::gauge::{Gauge, Whereabouts};
use crate::job::Step;
use crate::moment::{Item, mean};
use crate::state::Ledger;

/// Least and greatest mass, three moments, then moment and mass of the ends of both axes in plan.
type Sums = [f64; 13];

/// Sides of the cells that states are sorted into, coarse first: of their centres' places in plan, and of their masses.
const CELLS: [(f64, f64); 3] = [(0.064, 128.0), (0.016, 32.0), (0.004, 4.0)];

/// Cells are so many times as high as wide: how high a centre is matters little.
const HIGH: f64 = 20.0;

/// The weights of all sets of some steps.
pub(super) struct Weights {
    /// For the first eight steps and for the rest, what every set of them adds to; the first holds what is there
    /// before any step.
    halves: [Vec<Sums>; 2],
    /// What the setup leaves in each cell that was asked for, by look.
    cells: [BTreeMap<u128, f64>; CELLS.len()],
}

/// Steps of the first table.
const HALF: usize = 8;

impl Weights {
    /// `None` where the steps' sums do not add up: two of them undo the same.
    pub(super) fn new(before: &Ledger, run: &[Step]) -> Option<Self> {
        let level = [0, 1].map(|axis| mean(before.items(), axis));
        let sums = |steps: &[Step]| {
            let mut then = before.clone();
            for step in steps {
                then.take(step);
            }
            sums(then.items(), level)
        };
        let base = sums(&[]);
        let adds = |step: &Step| {
            let with = sums(core::slice::from_ref(step));
            core::array::from_fn(|k| with[k] - base[k])
        };
        let adds: Vec<Sums> = run.iter().map(adds).collect();
        let all = adds.iter().fold(base, add);
        let same = all.iter().zip(sums(run)).all(|(a, b)| (a - b).abs() <= 1e-9 * (1.0 + b.abs()));
        let (first, rest) = adds.split_at(HALF.min(adds.len()));
        same.then(|| Self { halves: [table(base, first), table([0.0; 13], rest)], cells: Default::default() })
    }

    /// No state with these steps done leaves more; closer with each look, as long as there are any.
    pub(super) fn most(&mut self, set: usize, look: usize, gauge: &mut Gauge<'_>) -> Option<f64> {
        let (side, kilograms) = *CELLS.get(look)?;
        let [first, rest] = &self.halves;
        let sums = add(first[set % first.len()], &rest[set / first.len()]);
        let Some(cell) = cell(&sums, side, kilograms) else { return Some(f64::INFINITY) };
        let at = || gauge.most(&whereabouts(cell, side, kilograms));
        // One number is found faster than seven.
        let key = cell.iter().fold(0, |key, own| key << 16 | u128::from(own.cast_unsigned()));
        Some(*self.cells[look].entry(key).or_insert_with(at))
    }
}

fn sums(items: &[Item], level: [f64; 2]) -> Sums {
    let of = |item: &Item| {
        let mass = item.sign * item.mass;
        let [x, y, z] = item.at.map(|at| mass * at);
        let [a, b, c, d] = [(0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0)]
            .map(|(axis, sense)| item.end(axis, sense, level[axis]));
        let off = item.mass_tolerance;
        [mass - off, mass + off, x, y, z, a[0], a[1], b[0], b[1], c[0], c[1], d[0], d[1]]
    };
    items.iter().map(of).fold([0.0; 13], |sum, own| add(sum, &own))
}

fn add(a: Sums, b: &Sums) -> Sums {
    core::array::from_fn(|k| a[k] + b[k])
}

/// What every set of some steps adds up to.
fn table(base: Sums, adds: &[Sums]) -> Vec<Sums> {
    let mut found = vec![base];
    for own in adds {
        let with: Vec<Sums> = found.iter().map(|sum| add(*sum, own)).collect();
        found.extend(with);
    }
    found
}

/// The cell of a weight: where its centre is, how far it may be off at the least, its height, its mass; none of one beyond
/// all measure.
fn cell(sums: &Sums, side: f64, kilograms: f64) -> Option<[i16; 7]> {
    let [least, greatest, x, y, z, ahead, by, behind, of, left, on, right, at] = *sums;
    let mass = f64::midpoint(least, greatest);
    if [mass, by, of, on, at].iter().any(|m| *m <= 0.0) {
        return None;
    }
    let [x, y, z] = [x / mass, y / mass, z / mass];
    let half_x = (ahead / by - x).max(x - behind / of).max(0.0);
    let half_y = (left / on - y).max(y - right / at).max(0.0);
    let half = side / 2.0;
    let cell = [
        (x / side).floor(),
        (y / side).floor(),
        (half_x / half).floor(),
        (half_y / half).floor(),
        (z / (HIGH * side)).floor(),
        (least / kilograms).ceil(),
        (greatest / kilograms).floor(),
    ];
    let measured = cell.iter().all(|own| own.abs() < f64::from(i16::MAX));
    #[expect(clippy::cast_possible_truncation, reason = "looked at")]
    measured.then(|| cell.map(|own| own as i16))
}

fn whereabouts(
    [x, y, half_x, half_y, z, least, greatest]: [i16; 7],
    side: f64,
    kilograms: f64,
) -> Whereabouts {
    let half = side / 2.0;
    let middle = |k: i16| (f64::from(k) + 0.5) * side;
    Whereabouts {
        mass: [least, greatest].map(|m| f64::from(m) * kilograms),
        cg: [middle(x), middle(y), f64::from(z) * HIGH * side],
        around: half,
        half: [half_x, half_y].map(|k| f64::from(k) * half),
    }
}
