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
    /// The set that was asked for last, which mostly is the next as well, and its middle.
    last: (usize, Option<Middle>),
    /// What the setup leaves in each cell that was asked for, by look.
    cells: [BTreeMap<u128, f64>; CELLS.len()],
}

/// Where the weight of a state is: its centre, how far that may be off at the least in plan, its height, its least and
/// greatest mass.
#[derive(Clone, Copy)]
struct Middle {
    cg: [f64; 3],
    half: [f64; 2],
    mass: [f64; 2],
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
        same.then(|| Self {
            halves: [table(base, first), table([0.0; 13], rest)],
            last: (usize::MAX, None),
            cells: Default::default(),
        })
    }

    /// No state with these steps done leaves more; closer with each look, as long as there are any.
    pub(super) fn most(&mut self, set: usize, look: usize, gauge: &mut Gauge<'_>) -> Option<f64> {
        let (side, kilograms) = *CELLS.get(look)?;
        if self.last.0 != set {
            let [first, rest] = &self.halves;
            let (low, high) = (set & (first.len() - 1), set >> first.len().trailing_zeros());
            self.last = (set, Middle::of(&add(first[low], &rest[high])));
        }
        let Some(cell) = self.last.1.and_then(|middle| middle.cell(side, kilograms)) else {
            return Some(f64::INFINITY);
        };
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

impl Middle {
    /// `None` of a weight that is none.
    fn of(sums: &Sums) -> Option<Self> {
        let [least, greatest, x, y, z, ahead, by, behind, of, left, on, right, at] = *sums;
        let mass = f64::midpoint(least, greatest);
        if [mass, by, of, on, at].iter().any(|m| *m <= 0.0) {
            return None;
        }
        let cg = [x, y, z].map(|moment| moment / mass);
        let half_x = (ahead / by - cg[0]).max(cg[0] - behind / of).max(0.0);
        let half_y = (left / on - cg[1]).max(cg[1] - right / at).max(0.0);
        Some(Self { cg, half: [half_x, half_y], mass: [least, greatest] })
    }

    /// Its cell; none beyond all measure.
    fn cell(&self, side: f64, kilograms: f64) -> Option<[i16; 7]> {
        let half = side / 2.0;
        let cell = [
            floor(self.cg[0] / side),
            floor(self.cg[1] / side),
            floor(self.half[0] / half),
            floor(self.half[1] / half),
            floor(self.cg[2] / (HIGH * side)),
            floor(-self.mass[0] / kilograms).saturating_neg(),
            floor(self.mass[1] / kilograms),
        ];
        let measured = cell.iter().all(|own| own.unsigned_abs() < i16::MAX.unsigned_abs().into());
        #[expect(clippy::cast_possible_truncation, reason = "looked at")]
        measured.then(|| cell.map(|own| own as i16))
    }
}

/// The next whole number below; the standard one is a call where the processor is not known.
fn floor(value: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "what is too large is no cell")]
    let towards_zero = value as i32;
    towards_zero.saturating_sub(i32::from(f64::from(towards_zero) > value))
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
