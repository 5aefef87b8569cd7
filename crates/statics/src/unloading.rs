//! The push at which the first contact that carried lets go.

use crate::estimate::{NO_LOAD, Spring, estimate, solve_symmetric, springs};
use crate::hull::{hull, inside};
use crate::quantity::Force;
use crate::range::span;
use crate::support::{Body, Load, Push, SupportSet};

/// The first contact to unload under a growing push.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstUnloading {
    /// The push at that moment.
    pub push: Force,
    /// The contact.
    pub contact: usize,
}

/// Vertical load, load times place ahead and left, that a newton of a push adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Growth(pub(crate) [f64; 3]);

impl SupportSet {
    /// The smallest push at which the load estimate of some contact that carried is zero.
    ///
    /// Horizontal reactions are taken at the contacts' mean height z0, so the loads balance
    /// W - f dz, W x - f dz qx + f dx (qz - z0), W y - f dz qy + f dy (qz - z0): a straight line in
    /// f, along which they change piece by piece as contacts touch and let go.
    #[must_use]
    pub fn first_unloading(&self, body: &Body, push: &Push) -> Option<FirstUnloading> {
        let load = body.load();
        let springs = springs(&self.contacts, None);
        let found = estimate(&springs, &load)?;
        let carried: Vec<bool> = found.loads.iter().map(|n| *n > load.weight * NO_LOAD).collect();
        let mut walk = Walk::new(&springs, carried.clone(), &load, self.growth(push).0)?;
        for _ in 0..16 * (springs.len() + 1) {
            match walk.next_event()? {
                Event::LetsGo(contact) if carried[contact] => {
                    // Up to there the contacts must hold it: on the hull's edge no push may be left.
                    let [v, x, y] = walk.load(walk.push * (1.0 - 1e-6));
                    let at = self.places();
                    let place = [x / v + walk.origin[0], y / v + walk.origin[1]];
                    if v <= 0.0 || inside(&at, &hull(&at), place) < -1e-9 * span(&at) {
                        return None;
                    }
                    return Some(FirstUnloading { push: Force::newtons(walk.push), contact });
                }
                Event::LetsGo(contact) => walk.carrying[contact] = false,
                Event::Touches(contact) => walk.carrying[contact] = true,
            }
        }
        None
    }

    /// What a newton of a push adds to the vertical load and its moments, horizontal reactions at the mean height.
    #[must_use]
    pub fn growth(&self, push: &Push) -> Growth {
        let ([dx, dy, dz], [qx, qy, qz]) = (push.direction(), push.at().to_metres());
        let lever = qz - self.mean_height().to_metres();
        Growth([-dz, -dz * qx + dx * lever, -dz * qy + dy * lever])
    }
}

enum Event {
    LetsGo(usize),
    Touches(usize),
}

/// A walk along the straight line of loads b0 + f b1, with the set of carrying contacts.
struct Walk<'a> {
    springs: &'a [Spring],
    carrying: Vec<bool>,
    start: [f64; 3],
    grows: [f64; 3],
    push: f64,
    origin: [f64; 2],
}

impl<'a> Walk<'a> {
    fn new(springs: &'a [Spring], carrying: Vec<bool>, load: &Load, grows: [f64; 3]) -> Option<Self> {
        let origin = load.at.to_metres();
        let about = |b: [f64; 3]| [b[0], b[1] - b[0] * origin[0], b[2] - b[0] * origin[1]];
        let this = Self {
            springs,
            carrying,
            start: about(load.resultant()),
            grows: about(grows),
            push: 0.0,
            origin,
        };
        this.sink([1.0, 0.0, 0.0]).map(|_| this)
    }

    /// Vertical force and its moments at a push.
    fn load(&self, push: f64) -> [f64; 3] {
        [0, 1, 2].map(|k| self.start[k] + push * self.grows[k])
    }

    fn row(&self, s: &Spring) -> [f64; 3] {
        [1.0, s.at[0] - self.origin[0], s.at[1] - self.origin[1]]
    }

    /// Sinking of the carrying contacts under a load, springs without gaps.
    fn sink(&self, load: [f64; 3]) -> Option<[f64; 3]> {
        let mut h = [[0.0; 3]; 3];
        for s in self.springs.iter().zip(&self.carrying).filter(|(_, c)| **c).map(|(s, _)| s) {
            let row = self.row(s);
            for (a, line) in h.iter_mut().enumerate() {
                for (c, v) in line.iter_mut().enumerate() {
                    *v += s.k * row[a] * row[c];
                }
            }
        }
        let trace = h[0][0] + h[1][1] + h[2][2];
        for (a, line) in h.iter_mut().enumerate() {
            line[a] += 1e-13 * trace;
        }
        solve_symmetric(h, load)
    }

    /// Moves `push` to where the next contact touches or lets go; `None` if none ever does.
    fn next_event(&mut self) -> Option<Event> {
        let mut now = self.load(self.push);
        for (s, _) in self.springs.iter().zip(&self.carrying).filter(|(_, c)| **c) {
            for (n, x) in now.iter_mut().zip(self.row(s)) {
                *n += s.k * s.gap * x;
            }
        }
        let (u, du) = (self.sink(now)?, self.sink(self.grows)?);
        let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        let scale = self.springs.iter().map(|s| s.k).fold(0.0, f64::max);
        let mut first: Option<(f64, Event)> = None;
        for (i, s) in self.springs.iter().enumerate() {
            let row = self.row(s);
            let (pressed, rate) = (dot(row, u) - s.gap, dot(row, du));
            // A rate this small is rounding: nothing of a newton per newton.
            if (rate * scale).abs() < 1e-11 || self.carrying[i] != (rate < 0.0) {
                continue;
            }
            let after = (-pressed / rate).max(0.0);
            if first.as_ref().is_none_or(|(t, _)| after < *t) {
                let event = if self.carrying[i] { Event::LetsGo(i) } else { Event::Touches(i) };
                first = Some((after, event));
            }
        }
        let (after, event) = first?;
        self.push += after;
        Some(event)
    }
}
