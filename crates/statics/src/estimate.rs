//! Load estimate: a rigid body on one-sided linear springs with gaps.

use crate::hull::{hull, inside, left_of, norm, sides, turn};
use crate::quantity::{Force, Length, Moment};
use crate::range::span;
use crate::support::{Contact, Load, SupportSet};

/// The loads of a rigid body on one-sided linear springs.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Load of each contact, in the order of the set.
    pub loads: Vec<Force>,
    /// What is missing of the balance of force, from the original input.
    pub residual_force: Force,
    /// What is missing of the balance of moments about the load's own position.
    pub residual_moment: Moment,
    pub(crate) sink: Sink,
}

/// How the body comes to rest: shortening of a contact at plan position p is w + b . p, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Sink {
    pub(crate) w: f64,
    pub(crate) b: [f64; 2],
}

impl Sink {
    pub(crate) fn at(&self, p: [f64; 2]) -> f64 {
        self.w + self.b[0] * p[0] + self.b[1] * p[1]
    }
}

/// A load this small a part of the whole is none: rounding of the solution.
pub(crate) const NO_LOAD: f64 = 1e-10;
/// The load may be this part of the span outside the hull and still count as on it: rounding of the input.
const ON_HULL: f64 = 1e-9;

impl SupportSet {
    /// The unique loads of a rigid body on these springs (small rotations, gaps as given).
    ///
    /// Minimises the energy sum k max(0, w + b.p - gap)^2 / 2 - W (w + b.p_cg) over the body's
    /// sinking w and slopes b. `None` when the load is outside the hull: no equilibrium exists.
    #[must_use]
    pub fn load_estimate(&self, load: &Load) -> Option<Estimate> {
        estimate(&springs(&self.contacts, None), load)
    }

    /// The load estimate with one contact taken away; its own load is zero.
    #[must_use]
    pub fn without(&self, contact: usize, load: &Load) -> Option<Estimate> {
        if self.contacts.len() < 4 {
            return None;
        }
        let mut found = estimate(&springs(&self.contacts, Some(contact)), load)?;
        found.loads.insert(contact, Force::ZERO);
        Some(found)
    }

    /// The smallest additional gap at a contact at which its load estimate is zero.
    ///
    /// `None` if it never carries, or carries at every gap because the rest cannot hold the load.
    #[must_use]
    pub fn seat_gap(&self, contact: usize, load: &Load) -> Option<Length> {
        let carries = self.load_estimate(load)?.loads[contact] > load.weight * NO_LOAD;
        if !carries || self.contacts.len() < 4 {
            return None;
        }
        let springs = springs(&self.contacts, Some(contact));
        let found = estimate(&springs, load)?;
        let own = &self.contacts[contact];
        let p = own.at.plan().to_metres();
        let down = found.sink.at(p).min(least_sink(&springs, &found, load, p));
        Some(Length::metres((down - own.gap.to_metres()).max(0.0)))
    }
}

/// When only contacts on one line carry, the body may still rock about it until another touches:
/// the least sinking at `p` over all such positions. Otherwise infinite (no freedom).
fn least_sink(springs: &[Spring], found: &Estimate, load: &Load, p: [f64; 2]) -> f64 {
    let carrying: Vec<usize> =
        (0..springs.len()).filter(|&i| found.loads[i] > load.weight * NO_LOAD).collect();
    let at: Vec<[f64; 2]> = carrying.iter().map(|&i| springs[i].at).collect();
    let ends = hull(&at);
    let size = span(&springs.iter().map(|s| s.at).collect::<Vec<_>>());
    let [i, j] = match ends[..] {
        [i, j] => [i, j],
        // Corners nearly on one line are the same freedom.
        [i, j, k] if turn(at[i], at[j], at[k]).abs() < 1e-9 * size * size => [i, k],
        _ => return f64::INFINITY,
    };
    let (a, b) = (at[i], at[j]);
    let side = left_of(a, b, p);
    // Rocking by r adds r * distance from the axis; contacts on the far side of p stop it.
    let rock = springs
        .iter()
        .filter_map(|s| {
            let d = left_of(a, b, s.at);
            (d * side < 0.0 && d.abs() > 1e-9 * size)
                .then(|| (s.gap - found.sink.at(s.at)).max(0.0) / d.abs())
        })
        .fold(f64::INFINITY, f64::min);
    found.sink.at(p) - rock * side.abs()
}

/// A one-sided spring in plan, SI.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spring {
    pub(crate) at: [f64; 2],
    pub(crate) k: f64,
    pub(crate) gap: f64,
}

pub(crate) fn springs(contacts: &[Contact], leave_out: Option<usize>) -> Vec<Spring> {
    let kept = contacts.iter().enumerate().filter(|(i, _)| Some(*i) != leave_out);
    kept.map(|(_, c)| Spring {
        at: c.at.plan().to_metres(),
        k: c.stiffness.to_newtons_per_metre(),
        gap: c.gap.to_metres(),
    })
    .collect()
}

/// As [`SupportSet::load_estimate`], on bare springs.
pub(crate) fn estimate(springs: &[Spring], load: &Load) -> Option<Estimate> {
    all_carry(springs, load).or_else(|| some_carry(springs, load))
}

/// The linear answer, if it presses every contact.
fn all_carry(springs: &[Spring], load: &Load) -> Option<Estimate> {
    let origin = load.at.to_metres();
    let weight = load.weight.to_newtons();
    let row = |s: &Spring| [1.0, s.at[0] - origin[0], s.at[1] - origin[1]];
    let (mut h, mut r) = ([[0.0; 3]; 3], [weight, 0.0, 0.0]);
    for s in springs {
        let row = row(s);
        for a in 0..3 {
            r[a] += s.k * s.gap * row[a];
            for c in 0..3 {
                h[a][c] += s.k * row[a] * row[c];
            }
        }
    }
    let u = solve_symmetric(h, r)?;
    let sink = Sink { w: u[0] - u[1] * origin[0] - u[2] * origin[1], b: [u[1], u[2]] };
    let mut loads = Vec::with_capacity(springs.len());
    let mut missing = [weight, 0.0, 0.0];
    for s in springs {
        let row = row(s);
        let n = s.k * (dot(&row, &u) - s.gap);
        if n <= 1e-6 * weight {
            return None;
        }
        loads.push(Force::newtons(n));
        missing.iter_mut().zip(row).for_each(|(m, x)| *m -= n * x);
    }
    // Contacts nearly on one line make the linear system lose digits; the other way is slower and surer.
    let reach = springs.iter().map(|s| norm([s.at[0] - origin[0], s.at[1] - origin[1]])).fold(0.0, f64::max);
    let balanced = missing[0].abs().max(norm([missing[1], missing[2]]) / reach) < 1e-11 * weight;
    balanced.then(|| Estimate {
        loads,
        residual_force: Force::newtons(missing[0].abs()),
        residual_moment: Moment::newton_metres(norm([missing[1], missing[2]])),
        sink,
    })
}

fn some_carry(springs: &[Spring], load: &Load) -> Option<Estimate> {
    let at: Vec<[f64; 2]> = springs.iter().map(|s| s.at).collect();
    let corners = hull(&at);
    let size = span(&at);
    let mut cg = load.at.to_metres();
    let depth = inside(&at, &corners, cg);
    if depth < -ON_HULL * size {
        return None;
    }
    if depth < 0.0 {
        cg = onto(&at, &corners, cg);
    }
    let weight = load.weight.to_newtons();
    let frame = Scaled::new(springs, weight, size);
    let u = frame.settle(frame.scaled(cg))?;
    let loads: Vec<f64> = (0..springs.len()).map(|i| frame.load(i, &u).max(0.0) * weight).collect();
    let sink = frame.sink(&u, weight);
    let [x0, y0] = load.at.to_metres();
    let sum = |f: &dyn Fn(usize) -> f64| (0..loads.len()).map(|i| loads[i] * f(i)).sum::<f64>();
    Some(Estimate {
        residual_force: Force::newtons((sum(&|_| 1.0) - weight).abs()),
        residual_moment: Moment::newton_metres(sum(&|i| at[i][0] - x0).hypot(sum(&|i| at[i][1] - y0))),
        loads: loads.into_iter().map(Force::newtons).collect(),
        sink,
    })
}

/// The nearest point of the hull.
fn onto(at: &[[f64; 2]], corners: &[usize], p: [f64; 2]) -> [f64; 2] {
    let nearest = sides(corners).map(|(i, j)| {
        let (a, d) = (at[i], [at[j][0] - at[i][0], at[j][1] - at[i][1]]);
        let t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
        let t = t.clamp(0.0, 1.0);
        [a[0] + t * d[0], a[1] + t * d[1]]
    });
    let far = |q: &[f64; 2]| norm([p[0] - q[0], p[1] - q[1]]);
    nearest.min_by(|q, r| far(q).total_cmp(&far(r))).unwrap_or(p)
}

type Vec3 = [f64; 3];

fn dot(a: &Vec3, b: &Vec3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The problem without units: weight 1, lengths by the span about the mean place, stiffness by the greatest.
struct Scaled {
    origin: [f64; 2],
    size: f64,
    k_most: f64,
    /// (1, x, y), relative stiffness, gap as shortening per weight and greatest stiffness.
    rows: Vec<(Vec3, f64, f64)>,
}

impl Scaled {
    fn new(springs: &[Spring], weight: f64, size: f64) -> Self {
        let origin = [0, 1].map(|k| crate::support::mean(springs.iter().map(|s| s.at[k])));
        let k_most = springs.iter().map(|s| s.k).fold(0.0, f64::max);
        let rows = springs.iter().map(|s| {
            let row = [1.0, (s.at[0] - origin[0]) / size, (s.at[1] - origin[1]) / size];
            (row, s.k / k_most, s.gap * k_most / weight)
        });
        Self { origin, size, k_most, rows: rows.collect() }
    }

    fn scaled(&self, p: [f64; 2]) -> Vec3 {
        [1.0, (p[0] - self.origin[0]) / self.size, (p[1] - self.origin[1]) / self.size]
    }

    fn sink(&self, u: &Vec3, weight: f64) -> Sink {
        let m = weight / self.k_most;
        let b = [u[1] * m / self.size, u[2] * m / self.size];
        Sink { w: u[0] * m - b[0] * self.origin[0] - b[1] * self.origin[1], b }
    }

    fn load(&self, i: usize, u: &Vec3) -> f64 {
        let (row, k, gap) = &self.rows[i];
        k * (dot(row, u) - gap)
    }

    /// Load that is missing: b - sum of the positive loads times (1, x, y).
    fn missing(&self, b: &Vec3, u: &Vec3) -> Vec3 {
        let mut r = *b;
        for (i, (row, ..)) in self.rows.iter().enumerate() {
            let n = self.load(i, u).max(0.0);
            for (r, x) in r.iter_mut().zip(row) {
                *r -= n * x;
            }
        }
        r
    }

    /// Newton's method on the energy, which is convex and made of quadratic pieces, with the exact
    /// best step along each direction; ends after finitely many pieces.
    fn settle(&self, b: Vec3) -> Option<Vec3> {
        let lowest = self.rows.iter().map(|r| r.2).fold(f64::NEG_INFINITY, f64::max);
        let mut u = [lowest + 1.0, 0.0, 0.0];
        let mut best = (f64::INFINITY, u);
        let mut stalled = 0;
        for _ in 0..200 {
            let missing = self.missing(&b, &u);
            let size = dot(&missing, &missing).sqrt();
            if size < best.0 {
                best = (size, u);
                stalled = 0;
            } else if size < 1e-9 {
                stalled += 1;
            }
            if size < 1e-14 || stalled > 2 {
                break;
            }
            let Some(step) = self.direction(&u, &missing) else { break };
            let t = self.best_step(&b, &u, &step);
            let next = [u[0] + t * step[0], u[1] + t * step[1], u[2] + t * step[2]];
            if (0..3).all(|k| next[k].to_bits() == u[k].to_bits()) {
                break;
            }
            u = next;
        }
        (best.0 < 1e-7).then_some(best.1)
    }

    /// Newton direction; a trace of stiffness in every direction keeps it defined where the
    /// carrying contacts leave the body free to rock.
    fn direction(&self, u: &Vec3, missing: &Vec3) -> Option<Vec3> {
        let mut h = [[0.0; 3]; 3];
        for (i, (row, k, _)) in self.rows.iter().enumerate() {
            if self.load(i, u) > 0.0 {
                for a in 0..3 {
                    for c in 0..3 {
                        h[a][c] += k * row[a] * row[c];
                    }
                }
            }
        }
        let trace = (h[0][0] + h[1][1] + h[2][2]).max(1e-3);
        for (a, row) in h.iter_mut().enumerate() {
            row[a] += 1e-13 * trace;
        }
        solve_symmetric(h, *missing)
    }

    /// Zero of the energy's slope along a direction: piecewise linear, rising.
    fn best_step(&self, b: &Vec3, u: &Vec3, step: &Vec3) -> f64 {
        let slope = |t: f64| {
            let at = [u[0] + t * step[0], u[1] + t * step[1], u[2] + t * step[2]];
            -dot(&self.missing(b, &at), step)
        };
        let mut kinks: Vec<f64> = self
            .rows
            .iter()
            .filter_map(|(row, _, gap)| {
                let t = (gap - dot(row, u)) / dot(row, step);
                (t.is_finite() && t > 0.0).then_some(t)
            })
            .collect();
        kinks.sort_by(f64::total_cmp);
        let (mut t0, mut s0) = (0.0, slope(0.0));
        let end = kinks.last().map_or(1.0, |t| 2.0 * t + 1.0);
        for t1 in kinks.into_iter().chain([end]) {
            let s1 = slope(t1);
            if s1 >= 0.0 || t1 >= end {
                return if s1 > s0 { t0 - s0 * (t1 - t0) / (s1 - s0) } else { t1 };
            }
            (t0, s0) = (t1, s1);
        }
        t0
    }
}

/// Solves h x = r for a symmetric positive definite h.
pub(crate) fn solve_symmetric(h: [[f64; 3]; 3], r: Vec3) -> Option<Vec3> {
    Factor::of(&h).map(|f| f.solve(r))
}

/// Cholesky factor of a symmetric positive definite 3x3 matrix, with the inverse of its diagonal.
#[derive(Clone, Debug)]
pub(crate) struct Factor {
    below: [f64; 3],
    inverse: Vec3,
}

impl Factor {
    /// `None` if the matrix is not positive definite.
    pub(crate) fn of(h: &[[f64; 3]; 3]) -> Option<Self> {
        let root = |s: f64| (s > 0.0).then(|| 1.0 / s.sqrt());
        let i0 = root(h[0][0])?;
        let (l10, l20) = (h[1][0] * i0, h[2][0] * i0);
        let i1 = root(h[1][1] - l10 * l10)?;
        let l21 = (h[2][1] - l20 * l10) * i1;
        let i2 = root(h[2][2] - l20 * l20 - l21 * l21)?;
        Some(Self { below: [l10, l20, l21], inverse: [i0, i1, i2] })
    }

    pub(crate) fn solve(&self, r: Vec3) -> Vec3 {
        let ([l10, l20, l21], [i0, i1, i2]) = (self.below, self.inverse);
        let y0 = r[0] * i0;
        let y1 = (r[1] - l10 * y0) * i1;
        let y2 = (r[2] - l20 * y0 - l21 * y1) * i2;
        let x2 = y2 * i2;
        let x1 = (y1 - l21 * x2) * i1;
        [(y0 - l10 * x1 - l20 * x2) * i0, x1, x2]
    }
}
