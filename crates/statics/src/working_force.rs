//! The largest force of a person or tool that a support set withstands.

use crate::hull::{hull, inside, norm};
use crate::quantity::{Force, Moment};
use crate::range::span;
use crate::simplex::{Basis, Column, Ended, fours};
use crate::support::{Body, Contact, Load, Push, Resists, SupportSet};

/// What ends a growing push.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitedBy {
    /// The body turns over an edge.
    Tipping,
    /// A carrying contact slides, or swings where it is free to.
    Sliding,
    /// A contact reaches its rated load.
    Rating,
}

/// The largest push that a support set withstands.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkingForce {
    /// Its size; `None` when there is no end to it.
    pub withstands: Option<Force>,
    /// What ends it; `None` when nothing does.
    pub limited_by: Option<LimitedBy>,
    /// Where it slides: the contacts that do, those that carry and move sideways in the motion that begins.
    pub slides: Vec<usize>,
    /// What is missing of the balance of force at that push, from the original input.
    pub residual_force: Force,
    /// The same of moments, about the centre of gravity.
    pub residual_moment: Moment,
}

/// Where the circular cone is cut finer, the answer grows by less than this part of itself.
pub(crate) const CONE_GAP: f64 = 2e-5;
/// Artificial force left over, relative to the weight, below which a balance exists.
const BALANCED: f64 = 1e-7;
/// Size of the perturbation that keeps the simplex from going round in circles.
const NUDGE: f64 = 1e-10;
/// A push beyond this many times the weight has no end: rounding of an open cone.
const NO_END: f64 = 1e8;
/// Friction beyond any surface's, to ask whether grip would help.
const GRIP: f64 = 10.0;
/// A push below this many weights is rounding of none.
const NO_PUSH: f64 = 1e-9;
/// Marks of columns that belong to no contact.
const PUSH: usize = usize::MAX;
const SPARE: usize = usize::MAX - 1;
const SLACK: usize = usize::MAX - 2;
/// Force that nothing gives, while a balance is looked for.
const LACKING: Column = Column { gain: -1.0, tag: SPARE };

impl SupportSet {
    /// The largest f >= 0 such that contact forces F exist with Fz >= 0, |Fxy| <= friction Fz (or
    /// as the contact resists), Fz <= rated, in balance with weight and f along the push in space.
    ///
    /// The cones are approached from inside by rays added where they gain most, so the answer is
    /// never above the true optimum and within 0.1 % of it.
    #[must_use]
    pub fn working_force(&self, body: &Body, push: &Push) -> WorkingForce {
        let mut program = Program::new(self, body);
        if !program.balance() {
            return WorkingForce {
                withstands: Some(Force::ZERO),
                limited_by: Some(self.without_balance(body)),
                slides: Vec::new(),
                residual_force: Force::ZERO,
                residual_moment: Moment::ZERO,
            };
        }
        let ended = program.grow(push, CONE_GAP, f64::INFINITY);
        let mut found = program.reached(ended);
        // Where nothing resists sideways the motion at the end is not unique: it tips all the same
        // if perfect grip would withstand no more.
        if let (Some(LimitedBy::Sliding), Some(withstands)) = (found.limited_by, found.withstands)
            && !self.grip_helps(body, push, withstands)
        {
            found.limited_by = Some(LimitedBy::Tipping);
            found.slides.clear();
        }
        found
    }

    /// Why not even the weight alone is in balance.
    pub(crate) fn without_balance(&self, body: &Body) -> LimitedBy {
        let held = inside(&self.places(), &hull(&self.places()), body.cg.plan().to_metres()) >= 0.0;
        if held { LimitedBy::Rating } else { LimitedBy::Tipping }
    }

    /// Whether contacts with more grip than any real one withstand more of a push, by more than the program's gap.
    fn grip_helps(&self, body: &Body, push: &Push, withstands: Force) -> bool {
        let contacts = self.contacts.iter().map(|c| Contact {
            friction: GRIP,
            resists: Resists::EveryDirection,
            ..c.clone()
        });
        let gripping = Self { contacts: contacts.collect() };
        let mut program = Program::new(&gripping, body);
        let more = withstands.to_newtons() / 0.999;
        program.balance() && (!program.grow(push, CONE_GAP, more) || program.pushed() > more)
    }
}

/// The linear program: rows Fx, Fy, Fz, Mx, My, Mz about the centre of gravity, then one a rated
/// contact; force in weights, length in spans of the set.
#[derive(Clone)]
pub(crate) struct Program<'a> {
    contacts: &'a [Contact],
    at: Vec<[f64; 3]>,
    /// Row of a contact's rating.
    rating: Vec<Option<usize>>,
    b: Vec<f64>,
    cg: [f64; 3],
    weight: f64,
    size: f64,
    basis: Basis,
}

impl<'a> Program<'a> {
    pub(crate) fn new(set: &'a SupportSet, body: &Body) -> Self {
        let contacts = &set.contacts;
        let (cg, size, weight) = (body.cg.to_metres(), span(&set.places()), body.mass.weight().to_newtons());
        let local = |p: [f64; 3]| [0, 1, 2].map(|k| (p[k] - cg[k]) / size);
        let mut b = vec![0.0, 0.0, 1.0, 0.0, 0.0, 0.0];
        let rating = contacts.iter().map(|c| {
            c.rated.map(|r| {
                b.push(r.to_newtons() / weight);
                b.len() - 1
            })
        });
        let rating: Vec<Option<usize>> = rating.collect();
        let rows = b.len();
        b.resize(fours(rows), 0.0);
        let spare = (0..rows).map(|row| if row < 6 { LACKING } else { Column { gain: 0.0, tag: SLACK } });
        let basis = Basis::diagonal(spare.collect(), nudged(&b[..rows]));
        let at = contacts.iter().map(|c| local(c.at.to_metres())).collect();
        Self { contacts, at, rating, b, cg, weight, size, basis }
    }

    /// Takes on the weight and the balance of another program of the same contacts and body.
    pub(crate) fn follow(&mut self, other: &Self) {
        self.b.clone_from(&other.b);
        self.basis.clone_from(&other.basis);
    }

    fn steps(&self) -> usize {
        400 + 60 * self.contacts.len()
    }

    /// Finds contact forces that balance the weight alone.
    pub(crate) fn balance(&mut self) -> bool {
        self.basis.regain(|c| if c.tag == SPARE { LACKING.gain } else { 0.0 });
        let rays = Rays { contacts: self.contacts, at: &self.at, rating: &self.rating };
        self.basis.maximise(self.steps(), |price, left, entries| {
            if left > -BALANCED * 0.1 { None } else { rays.best(price, 1e-12, entries) }
        });
        self.is_balanced()
    }

    fn is_balanced(&self) -> bool {
        self.basis.taken().filter(|(c, ..)| c.tag == SPARE).map(|(.., x)| x).sum::<f64>() <= BALANCED
    }

    /// Balances another weight, from where it is; whether that can be balanced.
    pub(crate) fn turn_to(&mut self, load: &Load) -> bool {
        let balancing = self.balancing(load);
        self.b[..6].copy_from_slice(&balancing);
        self.basis.turn_to(&nudged(&self.b), LACKING);
        self.is_balanced() || self.balance()
    }

    /// From a balance, takes rays in until the push, newtons, is more than `enough`, or grows by no more than a `gap`,
    /// a part of itself; whether it came to an end.
    pub(crate) fn grow(&mut self, push: &Push, gap: f64, enough: f64) -> bool {
        // What is left of the artificial force must not come back.
        self.basis.regain(|c| match c.tag {
            SPARE => -1e4,
            PUSH => 1.0,
            _ => 0.0,
        });
        let rays = Rays { contacts: self.contacts, at: &self.at, rating: &self.rating };
        // Contact forces balance weight and push: their sum is minus both.
        let mut pushing = [0.0; 6];
        let at = push.at().to_metres();
        wrench([0, 1, 2].map(|k| (at[k] - self.cg[k]) / self.size), push.direction(), &mut pushing);
        let ended = self.basis.maximise(self.steps(), |price, f, entries| {
            if f * self.weight > enough {
                return None;
            }
            let gains = 1.0 - price.iter().zip(&pushing).map(|(p, v)| p * v).sum::<f64>();
            let taken_all = 1.0 + f.max(0.0);
            let enough = (gap * f / taken_all).max(1e-11);
            if gains > enough.max(1e-9) {
                entries[..6].copy_from_slice(&pushing);
                return Some(Column { gain: 1.0, tag: PUSH });
            }
            rays.best(price, enough, entries)
        });
        ended != Ended::Unbounded
    }

    /// No less than the push, newtons, that another weight withstands.
    pub(crate) fn promise(&mut self, load: &Load) -> f64 {
        let balancing = self.balancing(load);
        let prices = self.basis.prices();
        let own: f64 = prices.iter().zip(balancing).map(|(p, v)| p * v).sum();
        let rest: f64 = prices[6..].iter().zip(&self.b[6..]).map(|(p, v)| p * v).sum();
        (own + rest) * self.weight
    }

    /// Whether it balances, just as it is, another weight and a push of more than so many newtons.
    pub(crate) fn balances(&self, load: &Load, push: f64) -> bool {
        let mut b = self.b.clone();
        b[..6].copy_from_slice(&self.balancing(load));
        let mut pushed = 0.0;
        for (column, _, x) in self.basis.taken_for(&nudged(&b)) {
            if x < 0.0 || column.tag == SPARE && x > BALANCED {
                return false;
            }
            pushed += column.gain * x;
        }
        pushed * self.weight > push
    }

    /// The push that it has come to, newtons.
    pub(crate) fn pushed(&self) -> f64 {
        self.basis.objective() * self.weight
    }

    fn reached(&mut self, ended: bool) -> WorkingForce {
        let pushes = self.basis.taken_for(&self.b).filter(|(c, ..)| c.tag == PUSH);
        let f = pushes.map(|(.., x)| x).sum::<f64>().max(0.0);
        let f = if f < NO_PUSH { 0.0 } else { f };
        if !ended || f > NO_END {
            return WorkingForce {
                withstands: None,
                limited_by: None,
                slides: Vec::new(),
                residual_force: Force::ZERO,
                residual_moment: Moment::ZERO,
            };
        }
        let mut missing = self.b.clone();
        for (column, entries, x) in self.basis.taken_for(&self.b) {
            if column.tag != SPARE {
                missing.iter_mut().zip(entries).for_each(|(m, v)| *m -= x * v);
            }
        }
        let norm = |v: &[f64]| v.iter().map(|v| v * v).sum::<f64>().sqrt();
        let (limited_by, slides) = self.why(f);
        WorkingForce {
            withstands: Some(Force::newtons(f * self.weight)),
            limited_by: Some(limited_by),
            slides,
            residual_force: Force::newtons(norm(&missing[..3]) * self.weight),
            residual_moment: Moment::newton_metres(norm(&missing[3..6]) * self.weight * self.size),
        }
    }

    /// By the prices at the end: would a higher rating help; does a carrying contact move sideways
    /// in the motion that then begins, and which do; else it turns over.
    fn why(&mut self, f: f64) -> (LimitedBy, Vec<usize>) {
        let price = self.basis.prices().to_vec();
        let worth: f64 = self.rating.iter().flatten().map(|row| price[*row] * self.b[*row]).sum();
        if worth > 1e-3 * f.max(1e-6) {
            return (LimitedBy::Rating, Vec::new());
        }
        let mut sideways = vec![0.0; self.contacts.len()];
        for (column, entries, x) in self.basis.taken_for(&self.b) {
            if let Some(at) = self.at.get(column.tag) {
                let v = velocity(&price, *at);
                sideways[column.tag] += x.max(0.0) * entries[2] * norm([v[0], v[1]]);
            }
        }
        let all: f64 = sideways.iter().sum();
        if all <= 0.01 * f.max(1e-3) {
            return (LimitedBy::Tipping, Vec::new());
        }
        // A hundredth of the whole is rounding of the cones.
        let slides = (0..sideways.len()).filter(|i| sideways[*i] > 0.01 * all);
        (LimitedBy::Sliding, slides.collect())
    }
}

/// The end of a growing push, for one weight among those that a body may have.
#[derive(Clone, Debug)]
pub(crate) struct End {
    /// The push, newtons; `None` when there is no end to it.
    pub(crate) push: Option<f64>,
    /// Force of each contact on the body, newtons.
    pub(crate) forces: Vec<[f64; 3]>,
    /// Newtons that the push grows for a metre that a contact moves, ahead and left.
    pub(crate) slopes: Vec<[f64; 2]>,
}

impl Program<'_> {
    /// What another weight makes of the right-hand side's first six rows.
    fn balancing(&self, load: &Load) -> [f64; 6] {
        let (w, [x, y]) = (load.weight.to_newtons() / self.weight, load.at.to_metres());
        let (dx, dy) = ((x - self.cg[0]) / self.size, (y - self.cg[1]) / self.size);
        [0.0, 0.0, w, dy * w, -dx * w, 0.0]
    }

    /// The end of the push that it has come to.
    pub(crate) fn end(&mut self) -> End {
        let n = self.contacts.len();
        let price = self.basis.prices().to_vec();
        let mut push = 0.0;
        let mut forces = vec![[0.0; 3]; n];
        for (column, entries, x) in self.basis.taken_for(&self.b) {
            let x = x.max(0.0) * self.weight;
            if column.tag == PUSH {
                push += x;
            } else if let Some(force) = forces.get_mut(column.tag) {
                force.iter_mut().zip(entries).for_each(|(f, ray)| *f += x * ray);
            }
        }
        // As a contact moves by d its force F has another moment d x F, worth its price.
        let slopes = forces.iter().map(|f| {
            let [mx, my, mz] = [price[3], price[4], price[5]];
            [-(f[1] * mz - f[2] * my) / self.size, -(f[2] * mx - f[0] * mz) / self.size]
        });
        let no_end = push > NO_END * self.weight;
        End { slopes: slopes.collect(), push: (!no_end).then_some(push), forces }
    }
}

/// A right-hand side with a trace on every row, different for each.
fn nudged(b: &[f64]) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "a count of rows")]
    b.iter().enumerate().map(|(i, v)| v + NUDGE * (1.0 + i as f64)).collect()
}

/// Writes force and moment of a unit force `d` at `p` into the first six rows.
fn wrench(p: [f64; 3], d: [f64; 3], rows: &mut [f64]) {
    rows[0] = d[0];
    rows[1] = d[1];
    rows[2] = d[2];
    rows[3] = p[1] * d[2] - p[2] * d[1];
    rows[4] = p[2] * d[0] - p[0] * d[2];
    rows[5] = p[0] * d[1] - p[1] * d[0];
}

/// What the prices make of a unit force at `p` along each axis: the motion in which it works.
fn velocity(price: &[f64], p: [f64; 3]) -> [f64; 3] {
    [
        price[0] + price[4] * p[2] - price[5] * p[1],
        price[1] - price[3] * p[2] + price[5] * p[0],
        price[2] + price[3] * p[1] - price[4] * p[0],
    ]
}

/// The contacts' cones, as rays.
struct Rays<'a> {
    contacts: &'a [Contact],
    at: &'a [[f64; 3]],
    rating: &'a [Option<usize>],
}

impl Rays<'_> {
    /// The ray, over all contacts and all directions of their cones, that gains most; none if
    /// that is not more than `enough`. Its entries are written where they are zero so far.
    fn best(&self, price: &[f64], enough: f64, entries: &mut [f64]) -> Option<Column> {
        let mut best = (enough, 0, [0.0; 3]);
        // A rating that bound for a while and binds no more: its slack must be able to come back.
        let mut slack = (enough, None);
        for row in self.rating.iter().flatten() {
            if -price[*row] > slack.0 {
                slack = (-price[*row], Some(*row));
            }
        }
        if let Some(row) = slack.1 {
            entries[row] = 1.0;
            return Some(Column { gain: 0.0, tag: SLACK });
        }
        for (i, contact) in self.contacts.iter().enumerate() {
            let v = velocity(price, self.at[i]);
            let rate = self.rating[i].map_or(0.0, |row| price[row]);
            let mu = contact.friction;
            let mut offer = |gain: f64, ray: [f64; 3]| {
                if gain > best.0 {
                    best = (gain, i, ray);
                }
            };
            match contact.resists {
                Resists::EveryDirection => {
                    let size = norm([v[0], v[1]]);
                    let d = if size > 0.0 { [-v[0] / size, -v[1] / size] } else { [1.0, 0.0] };
                    offer(mu * size - v[2] - rate, [mu * d[0], mu * d[1], 1.0]);
                }
                Resists::OnlyAlong(line) => {
                    let u = line.unit();
                    let along = v[0] * u[0] + v[1] * u[1];
                    let s = -mu * along.signum();
                    offer(mu * along.abs() - v[2] - rate, [s * u[0], s * u[1], 1.0]);
                }
                Resists::Blocks(line) => {
                    let u = line.unit();
                    let along = v[0] * u[0] + v[1] * u[1];
                    let s = -along.signum();
                    offer(along.abs(), [s * u[0], s * u[1], 0.0]);
                    let across = -v[0] * u[1] + v[1] * u[0];
                    let s = -mu * across.signum();
                    offer(mu * across.abs() - v[2] - rate, [-s * u[1], s * u[0], 1.0]);
                }
            }
        }
        let (gain, i, ray) = best;
        if gain <= enough {
            return None;
        }
        wrench(self.at[i], ray, entries);
        if let Some(row) = self.rating[i] {
            entries[row] = ray[2];
        }
        Some(Column { gain: 0.0, tag: i })
    }
}
