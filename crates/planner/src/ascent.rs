//! Maximises the least of many smooth functions by a sequence of linear programs in a trust region.

mod step;

use step::Step;

/// Functions of a few variables, with their derivatives.
pub(crate) trait Functions {
    /// Values at `x`, always as many and in the same order. `beyond`, told the least so far of those without a floor, says
    /// from where on any value between it and the true one will do.
    fn values(&mut self, x: &[f64], floors: &[Option<f64>], beyond: impl Fn(f64) -> f64, out: &mut Vec<f64>);
    /// Derivatives at `x`: `out[k * x.len() + j]` = d value k / d x_j; zero will do for gently
    /// sloping functions whose value is above `near`.
    fn derivatives(&mut self, x: &[f64], values: &[f64], near: f64, out: &mut Vec<f64>);
}

/// A climb under way: where it is and what it has learnt of the ground.
#[derive(Clone, Debug)]
pub(crate) struct Climb {
    pub(crate) x: Vec<f64>,
    pub(crate) values: Vec<f64>,
    /// Least of the free functions.
    pub(crate) least: f64,
    /// No place hereabouts is expected to be higher.
    pub(crate) most: f64,
    /// Functions that hold the least up, by their multipliers in the last program.
    pub(crate) held_by: Vec<usize>,
    /// Side of the trust region, in parts of the variables' scale.
    radius: f64,
    slopes: Vec<f64>,
    step: Step,
    /// Where `slopes` are from.
    known: Known,
    /// Whether it has come to its end.
    pub(crate) ended: bool,
}

/// Where slopes are from.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Known {
    /// Not from here.
    Nowhere,
    /// From another climb near by, which may be so far off in what they promise: good enough to give up by, or for a
    /// first step.
    Nearby(f64),
    /// From here.
    Here,
}

/// What a climb moves in and what it must keep.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ground<'a> {
    /// Step that each variable may take at first.
    pub(crate) scale: &'a [f64],
    /// Values that functions must keep, in place of being maximised.
    pub(crate) floors: &'a [Option<f64>],
    /// A climb that promises less than this ends.
    pub(crate) enough: f64,
}

/// A climb may come this many times farther than its next full step promises.
const FAR: f64 = 2.0;
/// The same where the trust region does not hold the step back.
const CLOSE: f64 = 1.2;
/// Gently sloping functions this far above the least, in a full trust region, do not meet it there.
const GENTLE: f64 = 1.0;
/// Looking ahead, the first trust region this many times.
const WIDE: f64 = 3.0;
/// A trust region grows so many times where the functions keep what they promise.
const WIDER: f64 = 2.5;
/// A trust region smaller than this part of the variables' scale ends a climb.
const SMALLEST: f64 = 1e-6;

impl Climb {
    /// At its foot.
    pub(crate) fn new(f: &mut impl Functions, x: Vec<f64>, floors: &[Option<f64>]) -> Self {
        let mut values = Vec::new();
        f.values(&x, floors, |least| steep_below(least, 1.0), &mut values);
        let least = if floors.is_empty() {
            min(values.iter().copied())
        } else {
            min(free(&values, floors).map(|f| f.1))
        };
        Self {
            x,
            values,
            least,
            most: f64::INFINITY,
            held_by: Vec::new(),
            radius: 1.0,
            slopes: Vec::new(),
            step: Step::default(),
            known: Known::Nowhere,
            ended: false,
        }
    }

    /// As [`Self::new`], with slopes from near by that may be so far off in what they promise.
    pub(crate) fn with_slopes(f: &mut impl Functions, x: Vec<f64>, slopes: Vec<f64>, doubt: f64) -> Self {
        Self { slopes, known: Known::Nearby(doubt), ..Self::new(f, x, &[]) }
    }

    /// Whether its last step brings a variable nearer to a value.
    pub(crate) fn steps_towards(&self, variable: usize, value: f64) -> bool {
        self.step.delta.get(variable).is_some_and(|d| d * (value - self.x[variable]) > 0.0)
    }

    /// Climbs for some rounds, or until it ends; gives up when it promises no more than `to_beat`.
    pub(crate) fn advance(&mut self, f: &mut impl Functions, ground: Ground, rounds: usize, to_beat: f64) {
        let floors = ground.floors;
        let kept = |v: &[f64]| v.iter().zip(floors).all(|(v, floor)| floor.is_none_or(|f| *v >= f - 1e-9));
        let (mut next, mut tried) = (Vec::with_capacity(self.x.len()), Vec::with_capacity(self.values.len()));
        for _ in 0..rounds {
            if self.ended {
                return;
            }
            if self.known == Known::Nowhere {
                let near = steep_below(self.least, self.radius);
                f.derivatives(&self.x, &self.values, near, &mut self.slopes);
                self.known = Known::Here;
            }
            let step = &mut self.step;
            if !step.find(&self.values, &self.slopes, ground.scale, self.radius, floors) {
                self.ended = true;
                return;
            }
            self.held_by.clone_from(&step.held_by);
            let promise = step.least - self.least;
            let (full, far) =
                if step.walled { (promise / self.radius.min(1.0), FAR) } else { (promise, CLOSE) };
            // What no variable changes holds as firmly beyond the step. Of what slopes gently no slope is known.
            let near = steep_below(self.least, self.radius);
            let flat = |k: usize| {
                self.values[k] < near && self.slopes.chunks_exact(self.x.len()).nth(k).is_some_and(level)
            };
            let firm = if self.known == Known::Here { step.carried(flat) } else { 0.0 };
            self.most = self.least + full * (far + (1.0 - far) * firm);
            let nearby = match self.known {
                Known::Nearby(doubt) => Some(doubt),
                Known::Here | Known::Nowhere => None,
            };
            self.ended = self.most + nearby.unwrap_or(0.0) < to_beat + ground.enough
                || nearby.is_none() && full < ground.enough;
            if self.ended {
                return;
            }
            if full < ground.enough {
                self.known = Known::Nowhere;
                continue;
            }
            next.clear();
            next.extend(self.x.iter().zip(&step.delta).map(|(x, d)| x + d));
            // As far as slopes may be asked for, should the step be taken.
            let (reaches, radius) = (step.least, WIDER * self.radius);
            f.values(&next, floors, |least| steep_below(least.min(reaches), radius), &mut tried);
            let gained = min(free(&tried, floors).map(|f| f.1)) - self.least;
            if gained > 0.1 * promise && kept(&tried) {
                if gained > 0.7 * promise {
                    self.radius *= WIDER;
                }
                self.least += gained;
                core::mem::swap(&mut self.x, &mut next);
                core::mem::swap(&mut self.values, &mut tried);
                self.known = Known::Nowhere;
            } else if nearby.is_some() {
                self.known = Known::Nowhere;
            } else {
                self.radius *= 0.3;
                self.ended = self.radius < SMALLEST;
            }
        }
    }
}

/// Looks ahead by linear functions.
#[derive(Default)]
pub(crate) struct Outlook {
    step: Step,
    none: Vec<Option<f64>>,
}

/// What linear functions promise of a climb.
pub(crate) struct Ahead<'a> {
    /// The first step.
    pub(crate) step: &'a [f64],
    /// What they reach by it.
    pub(crate) least: f64,
    /// What the climb may reach, were they right.
    pub(crate) most: f64,
    held: &'a Step,
}

impl Ahead<'_> {
    /// The part that some functions have in holding it: between none and one.
    pub(crate) fn held_by(&self, function: impl Fn(usize) -> bool) -> f64 {
        self.held.carried(function)
    }

    /// The functions that hold it, each with its part; none where it may go on rising. With these slopes, no place
    /// reaches more than the parts make of their values anywhere.
    pub(crate) fn holders(&self) -> Option<Vec<(usize, f64)>> {
        (!self.held.walled).then(|| self.held.holders().collect())
    }
}

impl Outlook {
    /// From a foot, as far as linear functions tell where to go.
    pub(crate) fn of(&mut self, values: &[f64], slopes: &[f64], scale: &[f64]) -> Option<Ahead<'_>> {
        self.none.resize(values.len(), None);
        let step = &mut self.step;
        if !step.find(values, slopes, scale, WIDE, &self.none) {
            return None;
        }
        let foot = min(values.iter().copied());
        let most = if step.walled { foot + FAR * (step.least - foot) } else { step.least };
        Some(Ahead { step: &step.delta, least: step.least, most, held: step })
    }
}

/// Gently sloping functions above this do not meet the least within a trust region.
pub(crate) fn steep_below(least: f64, radius: f64) -> f64 {
    least + GENTLE * (1.0 + least.abs()) * radius.clamp(0.05, 1.0)
}

fn level(slope: &[f64]) -> bool {
    slope.iter().all(|s| s.abs() < 1e-6)
}

fn min(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(f64::INFINITY, f64::min)
}

fn free<'a>(values: &'a [f64], floors: &'a [Option<f64>]) -> impl Iterator<Item = (usize, f64)> + 'a {
    values.iter().zip(floors).enumerate().filter(|(_, (_, f))| f.is_none()).map(|(k, (v, _))| (k, *v))
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Hills;
    impl Functions for Hills {
        fn values(&mut self, x: &[f64], _: &[Option<f64>], _: impl Fn(f64) -> f64, out: &mut Vec<f64>) {
            out.clear();
            out.extend([1.0 - x[0] * x[0], 2.0 - (x[0] - 1.0).powi(2) - x[1].abs(), 0.8 + x[0]]);
        }
        fn derivatives(&mut self, x: &[f64], _: &[f64], _: f64, out: &mut Vec<f64>) {
            out.clear();
            out.extend([-2.0 * x[0], 0.0, -2.0 * (x[0] - 1.0), -x[1].signum(), 1.0, 0.0]);
        }
    }

    #[test]
    fn least_of_curves_is_highest_where_two_meet() {
        let floors = [None; 3];
        let mut found = Climb::new(&mut Hills, vec![0.9, 0.3], &floors);
        found.advance(
            &mut Hills,
            Ground { scale: &[0.1, 0.1], floors: &floors, enough: 1e-6 },
            60,
            f64::NEG_INFINITY,
        );
        // 1 - x^2 = 0.8 + x at x = (sqrt 1.8 - 1) / 2.
        let x = (1.8f64.sqrt() - 1.0) / 2.0;
        assert!((found.least - (0.8 + x)).abs() < 1e-5, "{found:?}");
    }
}
