//! Maximises the least of many smooth functions by a sequence of linear programs in a trust region.

use statics::simplex::{Basis, Column, Ended};

/// Functions of a few variables, with their derivatives.
pub(crate) trait Functions {
    /// Values at `x`, always as many and in the same order.
    fn values(&mut self, x: &[f64], out: &mut Vec<f64>);
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
    /// Functions that hold the least up, by their multipliers in the last program.
    pub(crate) held_by: Vec<usize>,
    /// Side of the trust region, in parts of the variables' scale.
    radius: f64,
    slopes: Vec<f64>,
    /// Whether `slopes` are those at `x`.
    fresh: bool,
    /// Whether it has come to its end.
    pub(crate) ended: bool,
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
const FAR: f64 = 4.0;
/// Gently sloping functions this far above the least, in a full trust region, do not meet it there.
const GENTLE: f64 = 1.0;
/// A trust region smaller than this part of the variables' scale ends a climb.
const SMALLEST: f64 = 1e-6;

impl Climb {
    /// At its foot.
    pub(crate) fn new(f: &mut impl Functions, x: Vec<f64>, floors: &[Option<f64>]) -> Self {
        let mut values = Vec::new();
        f.values(&x, &mut values);
        let least = if floors.is_empty() {
            min(values.iter().copied())
        } else {
            min(free(&values, floors).map(|f| f.1))
        };
        Self {
            x,
            values,
            least,
            held_by: Vec::new(),
            radius: 1.0,
            slopes: Vec::new(),
            fresh: false,
            ended: false,
        }
    }

    /// Climbs for some rounds, or until it ends; gives up when it promises no more than `to_beat`.
    pub(crate) fn advance(&mut self, f: &mut impl Functions, ground: Ground, rounds: usize, to_beat: f64) {
        let floors = ground.floors;
        let kept = |v: &[f64]| v.iter().zip(floors).all(|(v, floor)| floor.is_none_or(|f| *v >= f - 1e-9));
        let mut tried = Vec::new();
        for _ in 0..rounds {
            if self.ended {
                return;
            }
            if !self.fresh {
                let near = self.least + GENTLE * (1.0 + self.least.abs()) * self.radius.clamp(0.05, 1.0);
                crate::tick(); f.derivatives(&self.x, &self.values, near, &mut self.slopes);
                self.fresh = true;
            }
            let Some(step) = best_step(&self.values, &self.slopes, ground.scale, self.radius, floors) else {
                self.ended = true;
                return;
            };
            self.held_by = step.held_by;
            let promise = step.least - self.least;
            let full = promise / self.radius.min(1.0);
            if full < ground.enough || self.least + FAR * full < to_beat {
                self.ended = true;
                return;
            }
            let next: Vec<f64> = self.x.iter().zip(&step.delta).map(|(x, d)| x + d).collect();
            f.values(&next, &mut tried);
            let gained = min(free(&tried, floors).map(|f| f.1)) - self.least;
            if gained > 0.1 * promise && kept(&tried) {
                if gained > 0.7 * promise {
                    self.radius *= 2.5;
                }
                self.least += gained;
                self.x = next;
                core::mem::swap(&mut self.values, &mut tried);
                self.fresh = false;
            } else {
                self.radius *= 0.3;
                self.ended = self.radius < SMALLEST;
            }
        }
    }
}

fn min(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(f64::INFINITY, f64::min)
}

fn free<'a>(values: &'a [f64], floors: &'a [Option<f64>]) -> impl Iterator<Item = (usize, f64)> + 'a {
    values.iter().zip(floors).enumerate().filter(|(_, (_, f))| f.is_none()).map(|(k, (v, _))| (k, *v))
}

struct Step {
    delta: Vec<f64>,
    least: f64,
    held_by: Vec<usize>,
}

/// A function that may hold the step back: head . t <= room + slope . delta.
struct Face {
    function: usize,
    /// 1 for a free function, 0 for one that keeps a floor.
    head: f64,
    room: f64,
}

/// The functions that may hold a step of at most `bounds` back; the others are out of its reach.
fn faces(values: &[f64], slopes: &[f64], bounds: &[f64], floors: &[Option<f64>]) -> Vec<Face> {
    let n = bounds.len();
    let swings: Vec<f64> = (slopes.chunks_exact(n))
        .map(|slope| slope.iter().zip(bounds).map(|(s, b)| s.abs() * b).sum())
        .collect();
    // No step lifts the least above this.
    let ceiling = min(free(values, floors).map(|(k, v)| v + swings[k]));
    let reached = |k: usize| match floors[k] {
        None => values[k] - swings[k] <= ceiling,
        Some(floor) => values[k] - swings[k] <= floor,
    };
    let face = |k: usize| match floors[k] {
        None => Face { function: k, head: 1.0, room: values[k] },
        Some(floor) => Face { function: k, head: 0.0, room: values[k] - floor },
    };
    (0..values.len()).filter(|k| reached(*k)).map(face).collect()
}

/// Maximises t with t <= value + slope . delta for free functions, floor <= value + slope . delta
/// for the others, |delta_j| <= radius scale_j, through the dual: one row for t, one a variable.
fn best_step(
    values: &[f64],
    slopes: &[f64],
    scale: &[f64],
    radius: f64,
    floors: &[Option<f64>],
) -> Option<Step> {
    let n = scale.len();
    let bounds: Vec<f64> = scale.iter().map(|s| radius * s).collect();
    let slope = |k: usize| &slopes[k * n..(k + 1) * n];
    let faces = faces(values, slopes, &bounds, floors);
    // Column of a face: (head, -slope); of a bound of variable j: (0, +-1 at j).
    let column = |face: &Face| {
        let mut entries = Vec::with_capacity(n + 1);
        entries.push(face.head);
        entries.extend(slope(face.function).iter().map(|s| -s));
        Column { entries, gain: -face.room, tag: face.function }
    };
    let wall = |j: usize, sign: f64| {
        let mut entries = vec![0.0; n + 1];
        entries[j + 1] = sign;
        Column { entries, gain: -bounds[j], tag: usize::MAX }
    };
    let lowest = faces.iter().filter(|f| f.head > 0.0).min_by(|a, b| a.room.total_cmp(&b.room))?;
    let start = slope(lowest.function);
    let sign = |j: usize| if start[j] >= 0.0 { 1.0 } else { -1.0 };
    let mut inverse = vec![0.0; (n + 1) * (n + 1)];
    inverse[0] = 1.0;
    for j in 0..n {
        inverse[(j + 1) * (n + 1)] = start[j] * sign(j);
        inverse[(j + 1) * (n + 1) + j + 1] = sign(j);
    }
    let columns = core::iter::once(column(lowest)).chain((0..n).map(|j| wall(j, sign(j)))).collect();
    // A trace on every variable keeps the program from going round in circles.
    #[expect(clippy::cast_precision_loss, reason = "a count of variables")]
    let taken =
        core::iter::once(1.0).chain((0..n).map(|j| start[j].abs() + 1e-10 * (1.0 + j as f64))).collect();
    let mut basis = Basis::inverted(columns, inverse, taken);
    let ended = basis.maximise(40 * (n + 2), |price, _| {
        let (mut most, mut best) = (1e-11, None);
        for face in &faces {
            let mut gain = -face.room - face.head * price[0];
            for (s, p) in slope(face.function).iter().zip(&price[1..]) {
                gain += s * p;
            }
            if gain > most {
                (most, best) = (gain, Some(Ok(face)));
            }
        }
        for (j, bound) in bounds.iter().enumerate() {
            let gain = price[j + 1].abs() - bound;
            if gain > most {
                (most, best) = (gain, Some(Err(j)));
            }
        }
        best.map(|b| b.map_or_else(|j| wall(j, -price[j + 1].signum()), column))
    });
    if ended != Ended::Optimal {
        return None;
    }
    let price = basis.prices().to_vec();
    let held_by =
        basis.taken().filter(|(c, x)| c.tag != usize::MAX && *x > 1e-6).map(|(c, _)| c.tag).collect();
    Some(Step { delta: price[1..].iter().map(|p| -p).collect(), least: -price[0], held_by })
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Hills;
    impl Functions for Hills {
        fn values(&mut self, x: &[f64], out: &mut Vec<f64>) {
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
