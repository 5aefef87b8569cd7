//! The checks as functions of a setup's variables, with their derivatives.

use statics::{Length, Place};

use crate::ascent::Functions;
use crate::checks::Piece;
use crate::frames::{DrivenIn, Placement};
use crate::measure::Pad;
use crate::situation::Situation;

/// The checks as functions of spot, and of place or reach of each pad.
pub(super) struct Program<'a> {
    pub(super) situation: &'a Situation<'a>,
    pub(super) way: DrivenIn,
    pub(super) areas: [usize; 4],
    pub(super) teeth: [Option<f64>; 4],
    pub(super) spot: Option<f64>,
    pub(super) pieces: Vec<Piece>,
}

impl Program<'_> {
    pub(super) fn decode(&self, x: &[f64]) -> (Placement, [Pad; 4]) {
        let (spot, mut rest) = match self.spot {
            Some(s) => (s, x),
            None => (x[0], &x[1..]),
        };
        let stand = Placement::square(Length::metres(spot), self.way);
        let mut pads: [Pad; 4] = core::array::from_fn(|i| {
            if self.follows(i) {
                return Pad { area: self.areas[i], at: [0.0; 2] };
            }
            let at = match self.teeth[i] {
                Some(swing) => {
                    let pivot = self.situation.arm(i, &stand).pivot.to_metres();
                    let (sin, cos) = swing.sin_cos();
                    let bay = Place::metres([pivot[0] + rest[0] * cos, pivot[1] + rest[0] * sin]);
                    rest = &rest[1..];
                    stand.to_vehicle(bay).to_metres()
                }
                None => {
                    let at = [rest[0], rest[1]];
                    rest = &rest[2..];
                    at
                }
            };
            Pad { area: self.areas[i], at }
        });
        if let Some(twin) = &self.situation.mirror {
            pads[1] = pads[0].mirrored(twin);
            pads[3] = pads[2].mirrored(twin);
        }
        (stand, pads)
    }

    /// Whether a right-hand pad follows the left-hand one, both sides being alike.
    pub(super) fn follows(&self, i: usize) -> bool {
        i % 2 == 1 && self.situation.mirror.is_some()
    }

    /// The groups of checks that say something of their own. Where the spot is given no setup
    /// changes what the stand alone allows: leaving it out raises what comes after it as well.
    pub(super) fn parts(&self) -> impl Iterator<Item = (usize, Part)> + use<> {
        let (alike, given) = (self.situation.mirror.is_some(), self.spot.is_some());
        PARTS.into_iter().enumerate().filter(move |(_, p)| match p {
            Part::Pad(1 | 3) => !alike,
            Part::Stand => !given,
            _ => true,
        })
    }

    /// Variables of pad i within x.
    pub(super) fn variables(&self, i: usize) -> core::ops::Range<usize> {
        let own = |i: usize| match self.teeth[i] {
            _ if self.follows(i) => 0,
            Some(_) => 1,
            None => 2,
        };
        let start = usize::from(self.spot.is_none()) + (0..i).map(own).sum::<usize>();
        start..start + own(i)
    }

    pub(super) fn scale(&self) -> Vec<f64> {
        let spot = self.spot.is_none().then_some(0.1);
        spot.into_iter().chain((0..4).flat_map(|i| self.variables(i).map(|_| 0.05))).collect()
    }

    pub(super) fn append(&mut self, part: Part, stand: &Placement, pads: &[Pad; 4], out: &mut Vec<f64>) {
        self.pieces.clear();
        match part {
            Part::Stand => self.situation.measure_stand(stand, &mut self.pieces),
            Part::Pad(i) => self.situation.measure_pad(i, stand, pads[i], &mut self.pieces),
            Part::Arms => self.situation.measure_arms(stand, pads, &mut self.pieces),
            Part::Loads => self.situation.measure_loads(stand, pads, &mut self.pieces),
        }
        out.extend(self.pieces.iter().filter(|p| p.steers()).map(|p| p.reserve));
    }
}

/// Groups of checks by what they depend on.
#[derive(Clone, Copy)]
pub(super) enum Part {
    Stand,
    Pad(usize),
    Arms,
    Loads,
}

pub(super) const PARTS: [Part; 7] =
    [Part::Stand, Part::Pad(0), Part::Pad(1), Part::Pad(2), Part::Pad(3), Part::Arms, Part::Loads];

/// Step of the difference quotients, metres: curvatures of about 1/m make an error of as much.
pub(super) const QUOTIENT: f64 = 1e-7;

impl Functions for Program<'_> {
    fn values(&mut self, x: &[f64], out: &mut Vec<f64>) {
        let (stand, pads) = self.decode(x);
        out.clear();
        for (_, part) in self.parts() {
            self.append(part, &stand, &pads, out);
        }
    }

    fn derivatives(&mut self, x: &[f64], values: &[f64], near: f64, out: &mut Vec<f64>) {
        let n = x.len();
        out.clear();
        out.resize(values.len() * n, 0.0);
        let (stand, pads) = self.decode(x);
        let mut starts = [0usize; PARTS.len() + 1];
        let mut moved = Vec::new();
        let mut rows = 0;
        for (k, part) in self.parts() {
            moved.clear();
            self.append(part, &stand, &pads, &mut moved);
            starts[k] = rows;
            rows += moved.len();
        }
        let loads_matter = values[starts[PARTS.len() - 1]..].iter().any(|v| *v < near);
        let mut shifted = x.to_vec();
        for j in 0..n {
            shifted[j] = x[j] + QUOTIENT;
            let (stand, pads) = self.decode(&shifted);
            let pad = (0..4).find(|i| self.variables(*i).contains(&j));
            for (k, part) in self.parts() {
                let depends = match (part, pad) {
                    (Part::Loads, _) if !loads_matter => false,
                    (_, None) | (Part::Arms | Part::Loads, _) => true,
                    (Part::Pad(i), Some(p)) => i == p,
                    (Part::Stand, Some(_)) => false,
                };
                if depends {
                    moved.clear();
                    self.append(part, &stand, &pads, &mut moved);
                    for (row, v) in (starts[k]..).zip(&moved) {
                        out[row * n + j] = (v - values[row]) / QUOTIENT;
                    }
                }
            }
            shifted[j] = x[j];
        }
    }
}
