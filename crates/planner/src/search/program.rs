//! The checks as functions of a setup's variables, with their derivatives.

use core::cell::OnceCell;

use statics::{Length, Place, SupportSet};

use crate::ascent::Functions;
use crate::checks::{Least, Piece, Sink};
use crate::frames::{DrivenIn, Placement};
use crate::measure::Pad;
use crate::situation::Situation;

/// The checks as functions of spot, and of place or reach of each pad.
pub(super) struct Program<'a> {
    pub(super) situation: &'a Situation<'a>,
    pub(super) way: DrivenIn,
    pub(super) areas: [usize; 4],
    pub(super) teeth: [Option<f64>; 4],
    /// Along each toothed arm, away from its pivot.
    ways: [Option<[f64; 2]>; 4],
    pub(super) spot: Option<f64>,
    pub(super) scope: Scope,
    /// States that say something of their own of loads, and of pushes.
    weights: Vec<usize>,
    pushed: Vec<usize>,
    /// The parts of the functions, each with its first row, as last evaluated.
    rows: Vec<(Part, usize)>,
}

/// Which checks are among the functions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scope {
    All,
    /// A climb that loads do not hold back goes without.
    WithoutLoads,
}

impl<'a> Program<'a> {
    pub(super) fn new(
        situation: &'a Situation<'a>,
        way: DrivenIn,
        areas: [usize; 4],
        teeth: [Option<f64>; 4],
        spot: Option<f64>,
        scope: Scope,
    ) -> Self {
        let ways = teeth.map(|tooth| tooth.map(|swing| [swing.cos(), swing.sin()]));
        let (weights, pushed) = (situation.weights(), situation.states_pushed());
        Self { situation, way, areas, teeth, ways, spot, scope, weights, pushed, rows: Vec::new() }
    }

    /// The setup.
    pub(super) fn decode(&self, x: &[f64]) -> (Placement, [Pad; 4]) {
        let (spot, mut rest) = match self.spot {
            Some(s) => (s, x),
            None => (x[0], &x[1..]),
        };
        let stand = Placement::square(Length::metres(spot), self.way);
        let mut pads: [Pad; 4] = core::array::from_fn(|i| {
            if !self.moves(i) {
                return Pad { area: self.areas[i], at: [0.0; 2] };
            }
            let at = match self.ways[i] {
                Some([cos, sin]) => {
                    let pivot = self.situation.arm(i, &stand).pivot.to_metres();
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

    /// Whether a pad has variables of its own. A right-hand one follows the left-hand one where both
    /// sides are alike.
    pub(super) fn moves(&self, i: usize) -> bool {
        i.is_multiple_of(2) || self.situation.mirror.is_none()
    }

    /// The groups of checks that say something of their own. Where the spot is given no setup
    /// changes what the stand alone allows: leaving it out raises what comes after it as well.
    fn parts(&self) -> impl Iterator<Item = Part> {
        let stand = self.spot.is_none().then_some(Part::Stand);
        let pads = (0..4).filter(|i| self.moves(*i));
        let all = self.scope == Scope::All;
        let weights: &[usize] = if all { &self.weights } else { &[] };
        let models = self.situation.ways();
        let loads = weights.iter().flat_map(move |&state| {
            let shares = (0..models).map(move |model| Part::Shares { state, model });
            shares.chain([Part::Edges { state }])
        });
        let pushed: &[usize] = if all && self.situation.pushes_bind { &self.pushed } else { &[] };
        let loads = loads.chain(pushed.iter().map(|&state| Part::Pushes { state }));
        stand.into_iter().chain(pads.map(Part::Pad)).chain([Part::Arms]).chain(loads)
    }

    /// Variables of pad i within x.
    pub(super) fn variables(&self, i: usize) -> core::ops::Range<usize> {
        let own = |i: usize| match self.teeth[i] {
            _ if !self.moves(i) => 0,
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

    /// Least reserve of the checks of loads, where that is less than so much.
    pub(super) fn least_of_loads(&self, x: &[f64], most: f64) -> f64 {
        let (stand, pads) = self.decode(x);
        let (situation, mut least) = (self.situation, Least(most));
        let models = situation.models(&stand, &pads);
        for &state in &self.weights {
            situation.measure_state(state, &stand, &pads, &models, situation.sides(), &mut least);
        }
        for &state in self.pushed.iter().filter(|_| situation.pushes_bind) {
            let asked = situation.pushes_asked(state);
            situation.measure_pushes_in(state, asked, &stand, &models, &mut least);
        }
        least.0
    }

    /// Reserves of a part's checks at a setup.
    fn append(&self, part: Part, at: &Setting, out: &mut impl Sink) {
        let Setting { stand, pads, models } = at;
        let sides = self.situation.sides();
        let models = || models.get_or_init(|| self.situation.models(stand, pads));
        match part {
            Part::Stand => self.situation.measure_stand(stand, out),
            Part::Pad(i) => self.situation.measure_pad(i, stand, pads[i], self.teeth[i], out),
            Part::Arms => self.situation.measure_arms(stand, pads, sides, out),
            Part::Shares { state, model } => {
                self.situation.measure_shares(state, stand, models()[model].as_ref(), sides, out);
            }
            Part::Edges { state } => {
                self.situation.measure_edges(state, stand, pads, models()[0].as_ref(), sides, out);
            }
            Part::Pushes { state } => {
                let asked = self.situation.pushes_asked(state);
                self.situation.measure_pushes_in(state, asked, stand, models(), out);
            }
        }
    }

    fn setting(&self, x: &[f64]) -> Setting {
        let (stand, pads) = self.decode(x);
        Setting { stand, pads, models: OnceCell::new() }
    }
}

/// A setup, and the support sets that its pads make once somebody asks.
struct Setting {
    stand: Placement,
    pads: [Pad; 4],
    models: OnceCell<Vec<Option<SupportSet>>>,
}

/// Groups of checks by what they depend on.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Part {
    Stand,
    Pad(usize),
    Arms,
    Shares { state: usize, model: usize },
    Edges { state: usize },
    Pushes { state: usize },
}

/// Takes reserves, exact as long as they are near the least of those without a floor.
struct Near<'v, F> {
    values: &'v mut Vec<f64>,
    floors: &'v [Option<f64>],
    least: f64,
    beyond: F,
}

impl<F: Fn(f64) -> f64> Sink for Near<'_, F> {
    fn take(&mut self, piece: Piece) {
        if piece.steers() {
            if self.floors.get(self.values.len()).is_none_or(Option::is_none) {
                self.least = self.least.min(piece.reserve);
            }
            self.values.push(piece.reserve);
        }
    }

    fn beyond(&self) -> f64 {
        (self.beyond)(self.least)
    }
}

/// Takes some reserves; of the others anything will do.
struct Wanted<'v, F> {
    values: &'v mut Vec<f64>,
    wanted: F,
}

impl<F: Fn(usize) -> bool> Sink for Wanted<'_, F> {
    fn take(&mut self, piece: Piece) {
        self.values.take(piece);
    }

    fn beyond(&self) -> f64 {
        if (self.wanted)(self.values.len()) { f64::INFINITY } else { f64::NEG_INFINITY }
    }
}

/// Step of the difference quotients, metres: curvatures of about 1/m make an error of as much.
pub(crate) const QUOTIENT: f64 = 1e-7;

/// Room for the checks of a usual setup.
const ROWS: usize = 96;

impl Functions for Program<'_> {
    fn values(&mut self, x: &[f64], floors: &[Option<f64>], beyond: impl Fn(f64) -> f64, out: &mut Vec<f64>) {
        let at = self.setting(x);
        out.clear();
        out.reserve(ROWS);
        let mut out = Near { values: out, floors, least: f64::INFINITY, beyond };
        let mut rows = core::mem::take(&mut self.rows);
        rows.clear();
        for part in self.parts() {
            rows.push((part, out.values.len()));
            self.append(part, &at, &mut out);
        }
        self.rows = rows;
    }

    fn derivatives(&mut self, x: &[f64], values: &[f64], near: f64, out: &mut Vec<f64>) {
        let n = x.len();
        out.clear();
        out.resize(values.len() * n, 0.0);
        // Parts that slope gently, far above where it matters, are left out.
        let ends = self.rows.iter().skip(1).map(|r| r.1).chain([values.len()]);
        let steep: Vec<(Part, usize)> = (self.rows.iter().zip(ends))
            .filter(|((part, first), end)| {
                let gentle = matches!(part, Part::Shares { .. } | Part::Edges { .. } | Part::Pushes { .. });
                !gentle || values[*first..*end].iter().any(|v| *v < near)
            })
            .map(|(row, _)| *row)
            .collect();
        let here = self.setting(x);
        let by_pads = self.slopes_by_pads(&here, &steep, values, near);
        let mut shifted = x.to_vec();
        let mut own = Vec::with_capacity(ROWS);
        for j in 0..n {
            shifted[j] = x[j] + QUOTIENT;
            let at = self.setting(&shifted);
            let pad = (0..4).find(|i| self.variables(*i).contains(&j));
            for (part, first) in &steep {
                let depends = match (part, pad) {
                    (Part::Pushes { .. } | Part::Edges { .. }, _) => false,
                    (_, None) => true,
                    (Part::Pad(i), Some(p)) => *i == p,
                    (Part::Stand, Some(_)) => false,
                    (Part::Arms | Part::Shares { .. }, Some(_)) => true,
                };
                if depends {
                    own.clear();
                    self.append(*part, &at, &mut own);
                    for (row, v) in (*first..).zip(&own) {
                        out[row * n + j] = (v - values[row]) / QUOTIENT;
                    }
                }
            }
            for (row, slopes) in &by_pads {
                out[row * n + j] = along(slopes, &here.pads, &at.pads) / QUOTIENT;
            }
            shifted[j] = x[j];
        }
    }
}

impl Program<'_> {
    /// The rows of a part, as last evaluated, of so many in all; none where it is not among the functions.
    pub(super) fn rows_of(&self, asked: Part, all: usize) -> core::ops::Range<usize> {
        let ends = self.rows.iter().skip(1).map(|r| r.1).chain([all]);
        let own = self.rows.iter().zip(ends).find(|((part, _), _)| *part == asked);
        own.map_or(0..0, |((_, first), end)| *first..end)
    }

    /// Some of the checks as last evaluated, each with its part, as the same checks on teeth have them elsewhere.
    pub(super) fn together(&self, held: &[(usize, f64)], on_teeth: &Program, x: &[f64]) -> f64 {
        let at = on_teeth.setting(x);
        let ends = self.rows.iter().skip(1).map(|r| r.1).chain([usize::MAX]);
        let mut own = Vec::with_capacity(ROWS);
        let of_part = |((part, first), end): (&(Part, usize), usize)| {
            let mut held = held.iter().filter(|(row, _)| (*first..end).contains(row)).peekable();
            own.clear();
            if held.peek().is_some() {
                let wanted = |k: usize| held.clone().any(|(row, _)| row - first == k);
                on_teeth.append(*part, &at, &mut Wanted { values: &mut own, wanted });
            }
            held.map(|(row, times)| times * own[row - first]).sum::<f64>()
        };
        self.rows.iter().zip(ends).map(of_part).sum()
    }

    /// How far along the vehicle something goes that stays where it is while the vehicle drives on by one.
    pub(super) fn aft_by_spot(&self) -> f64 {
        Placement::square(Length::ZERO, self.way).direction_to_vehicle([-1.0, 0.0])[0]
    }

    /// Rows of edges and pushes, and how each reserve grows as each pad moves aft and left: of pushes by the prices of
    /// their programs, as their values are too rough for a quotient.
    fn slopes_by_pads(
        &self,
        at: &Setting,
        steep: &[(Part, usize)],
        values: &[f64],
        near: f64,
    ) -> Vec<(usize, [[f64; 2]; 4])> {
        let Setting { stand, pads, models } = at;
        let models = || models.get_or_init(|| self.situation.models(stand, pads));
        let mut found = Vec::new();
        for (part, row) in steep {
            match *part {
                Part::Pushes { state } => {
                    let slopes =
                        self.situation.push_slopes(state, stand, pads, models(), &values[*row..], near);
                    found.extend(slopes.into_iter().map(|(k, slopes)| (row + k, slopes)));
                }
                Part::Edges { state } => {
                    let sides = self.situation.sides();
                    found.extend((*row..).zip(self.situation.edge_slopes(
                        state,
                        stand,
                        pads,
                        models()[0].as_ref(),
                        sides,
                    )));
                }
                Part::Stand | Part::Pad(_) | Part::Arms | Part::Shares { .. } => {}
            }
        }
        found
    }
}

/// What slopes make of pads that moved.
fn along(slopes: &[[f64; 2]; 4], from: &[Pad; 4], to: &[Pad; 4]) -> f64 {
    let moved = slopes.iter().zip(from.iter().zip(to));
    moved.map(|(s, (a, b))| s[0] * (b.at[0] - a.at[0]) + s[1] * (b.at[1] - a.at[1])).sum()
}
