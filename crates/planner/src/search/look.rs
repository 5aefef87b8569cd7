//! The coarse look: where climbs start.

use statics::hull::norm;
use statics::{Length, Place};

use super::program::{Program, Scope};
use super::{AREA_STEP, CLIMBS, CLIMBS_AT_ONE_SPOT, LOOKS, LOOKS_TEETH, SPOT_STEP, SPOT_STEP_TEETH};
use crate::checks::Least;
use crate::frames::{DrivenIn, Placement};
use crate::lift::Corner;
use crate::measure::{LEAST_REACH, Pad, wrapped};
use crate::region::Region;
use crate::situation::Situation;

/// A place to climb from.
#[derive(Clone, Debug)]
pub(super) struct Start {
    pub(super) way: DrivenIn,
    pub(super) spot: f64,
    pub(super) pads: [Pad; 4],
    /// Swing of each toothed arm.
    pub(super) teeth: [Option<f64>; 4],
    pub(super) score: f64,
}

impl Start {
    pub(super) const fn stand(&self) -> Placement {
        Placement::square(Length::metres(self.spot), self.way)
    }

    /// Its pads moved straight onto teeth, at its spot.
    pub(super) fn on_teeth(&self, situation: &Situation, teeth: [Option<f64>; 4]) -> Self {
        let stand = self.stand();
        let mut start = Self { teeth, ..self.clone() };
        for (i, pad) in start.pads.iter_mut().enumerate() {
            let Some((sin, cos)) = teeth[i].map(f64::sin_cos) else { continue };
            let pivot = situation.arm(i, &stand).pivot.to_metres();
            let at = stand.to_bay(Place::metres(pad.at)).to_metres();
            let reach = ((at[0] - pivot[0]) * cos + (at[1] - pivot[1]) * sin).max(LEAST_REACH);
            let bay = Place::metres([pivot[0] + reach * cos, pivot[1] + reach * sin]);
            pad.at = stand.to_vehicle(bay).to_metres();
        }
        start
    }

    pub(super) fn program<'a>(
        &self,
        situation: &'a Situation<'a>,
        spot: Option<f64>,
        scope: Scope,
    ) -> (Program<'a>, Vec<f64>) {
        let areas = self.pads.map(|p| p.area);
        let program = Program::new(situation, self.way, areas, self.teeth, spot, scope);
        let stand = self.stand();
        let mut x = Vec::new();
        if spot.is_none() {
            x.push(self.spot);
        }
        for (i, pad) in self.pads.iter().enumerate() {
            if !program.moves(i) {
                continue;
            }
            match self.teeth[i] {
                Some(_) => x.push(situation.arm_setting(i, &stand, pad.at).reach),
                None => x.extend(pad.at),
            }
        }
        (program, x)
    }
}

/// The best starts that differ in spot, areas, places or teeth.
#[derive(Default)]
pub(super) struct Starts {
    /// Highest score first.
    pub(super) list: Vec<Start>,
}

impl Starts {
    /// A start that scores no more than this would not be kept.
    pub(super) fn least(&self) -> f64 {
        if self.list.len() < CLIMBS { f64::NEG_INFINITY } else { self.list[CLIMBS - 1].score }
    }

    pub(super) fn add(&mut self, start: Start) {
        if let Some(known) = self.list.iter().position(|k| near(k, &start)) {
            if self.list[known].score >= start.score {
                return;
            }
            self.list.remove(known);
        }
        // One spot must not crowd out the others with choices that it makes alike.
        let mut here = self.list.iter().enumerate().filter(|(_, k)| same(k.spot, start.spot));
        if let Some((last, _)) = here.nth(CLIMBS_AT_ONE_SPOT - 1) {
            if self.list[last].score >= start.score {
                return;
            }
            self.list.remove(last);
        }
        let place = self.list.partition_point(|k| k.score >= start.score);
        self.list.insert(place, start);
        self.list.truncate(CLIMBS);
    }
}

pub(super) fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

pub(super) fn near(a: &Start, b: &Start) -> bool {
    a.way == b.way
        && (a.spot - b.spot).abs() < 0.5 * SPOT_STEP
        && a.pads.iter().zip(&b.pads).all(|(a, b)| a.area == b.area && near_places(a.at, b.at))
        && a.teeth.iter().zip(&b.teeth).all(|(a, b)| same_tooth(*a, *b))
}

pub(super) fn near_places(a: [f64; 2], b: [f64; 2]) -> bool {
    norm([a[0] - b[0], a[1] - b[1]]) < AREA_STEP
}

pub(super) fn same_tooth(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => same(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// What the pads at one spot could do, each on its own.
pub(super) struct Look {
    pub(super) spot: f64,
    pub(super) stand: f64,
    pub(super) options: [Vec<Stance>; 4],
    /// Least of the stand's checks and of each corner's best option.
    pub(super) apart: f64,
}

/// A place for one pad, what the checks of that pad alone make of it, and the swing of a toothed arm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stance {
    pub(super) score: f64,
    pub(super) pad: Pad,
    pub(super) tooth: Option<f64>,
}

impl Stance {
    pub(super) fn mirrored(&self, twin: &[usize]) -> Self {
        Self { score: self.score, pad: self.pad.mirrored(twin), tooth: self.tooth.map(|t| -t) }
    }
}

/// Looks coarsely over spots, areas and teeth: pads apart first, together only where that is promising.
pub(super) fn first_look(
    situation: &Situation,
    way: DrivenIn,
    window: &[f64; 2],
    guide: Option<&[Pad; 4]>,
) -> Vec<Start> {
    let areas = &situation.vehicle.lift_areas;
    let toothed = guide.is_some();
    let step = if toothed { SPOT_STEP_TEETH } else { SPOT_STEP };
    let spots = steps(window[0], window[1], step);
    let mut starts = Starts::default();
    let samples: Vec<Vec<[f64; 2]>> = areas.iter().map(|a| samples(&a.region)).collect();
    let eye = Eye { situation, way, samples: &samples, guide };
    let mut stands: Vec<(f64, f64)> = spots
        .map(|spot| {
            let at = Placement::square(Length::metres(spot), way);
            let stand = Least::of(|out| situation.measure_stand(&at, out));
            (spot, stand.min(situation.reach_most(&at)))
        })
        .collect();
    stands.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut looks: Vec<Look> = Vec::new();
    for (spot, stand) in stands {
        let full = looks.len() == if toothed { LOOKS_TEETH } else { LOOKS };
        let least = looks.last().filter(|_| full).map_or(f64::NEG_INFINITY, |l| l.apart);
        if full && stand <= least {
            break;
        }
        if let Some(look) = eye.look(spot, stand, least) {
            looks.truncate(looks.len() - usize::from(full));
            looks.insert(looks.partition_point(|l| l.apart >= look.apart), look);
        }
    }
    for look in &looks {
        together(situation, way, look, &mut starts);
    }
    starts.list
}

/// What looks at the pads of one spot after the other.
struct Eye<'e> {
    situation: &'e Situation<'e>,
    way: DrivenIn,
    samples: &'e [Vec<[f64; 2]>],
    guide: Option<&'e [Pad; 4]>,
}

impl Eye<'_> {
    /// The pads by themselves; none where one of them leaves no more than `least`.
    fn look(&self, spot: f64, stand: f64, least: f64) -> Option<Look> {
        let at = Placement::square(Length::metres(spot), self.way);
        let mut apart = stand;
        let mut own = |i: usize| -> Option<Vec<Stance>> {
            let areas = self.situation.vehicle.lift_areas.iter().enumerate();
            let own = areas.filter(|(_, a)| a.corner == Corner::ALL[i]);
            let all = own.flat_map(|(k, _)| pad_options(self.situation, i, &at, k, &self.samples[k]));
            let mut options = worth_trying(all.collect(), self.guide.map(|g| g[i].at));
            for option in options.iter_mut().filter(|o| o.tooth.is_none()) {
                option.score = pad_score(self.situation, i, &at, option.pad);
            }
            apart = options.first().map_or(f64::NEG_INFINITY, |o| o.score).min(apart);
            (apart > least || least == f64::NEG_INFINITY).then_some(options)
        };
        let options = match &self.situation.mirror {
            Some(twin) => {
                let (front, rear) = (own(0)?, own(2)?);
                let other = |o: &Vec<Stance>| o.iter().map(|s| s.mirrored(twin)).collect();
                let (right_front, right_rear) = (other(&front), other(&rear));
                [front, right_front, rear, right_rear]
            }
            None => [own(0)?, own(1)?, own(2)?, own(3)?],
        };
        Some(Look { spot, stand, options, apart })
    }
}

/// The options to try. With a guide, the best and the three nearest to it; without, the best and
/// those farthest ahead and behind, from where a climb may reach another top.
pub(super) fn worth_trying(mut options: Vec<Stance>, guide: Option<[f64; 2]>) -> Vec<Stance> {
    options.sort_by(|a, b| b.score.total_cmp(&a.score));
    let Some(best) = options.first().copied() else { return options };
    if let Some(g) = guide {
        let far = |s: &Stance| norm([s.pad.at[0] - g[0], s.pad.at[1] - g[1]]);
        // Far below the best, nearness does not help.
        let near = |s: &Stance| if s.score < best.score - 1.0 { f64::INFINITY } else { far(s) };
        options[1..].sort_by(|a, b| near(a).total_cmp(&near(b)));
        options.truncate(4);
        return options;
    }
    let aft = |s: &&Stance| s.pad.at[0];
    let ahead = options.iter().min_by(|a, b| aft(a).total_cmp(&aft(b))).copied();
    let behind = options.iter().max_by(|a, b| aft(a).total_cmp(&aft(b))).copied();
    let apart = |s: &Stance| !near_places(s.pad.at, best.pad.at) || s.pad.area != best.pad.area;
    core::iter::once(best).chain([ahead, behind].into_iter().flatten().filter(apart)).collect()
}

/// Every choice of the pads' options at one spot, with loads.
pub(super) fn together(situation: &Situation, way: DrivenIn, look: &Look, starts: &mut Starts) {
    if look.options.iter().any(Vec::is_empty) {
        return;
    }
    let stand = Placement::square(Length::metres(look.spot), way);
    let weights = situation.weights();
    let mut pick = [0usize; 4];
    loop {
        let chosen: [Stance; 4] = core::array::from_fn(|i| look.options[i][pick[i]]);
        let pads = chosen.map(|c| c.pad);
        let apart = chosen.iter().map(|c| c.score).fold(look.stand, f64::min);
        // What comes later is looked at only where all before it would be kept.
        let floor = starts.least();
        let score =
            if apart > floor { with_loads(situation, &weights, &stand, &pads, apart, floor) } else { apart };
        if score > floor {
            starts.add(Start { way, spot: look.spot, pads, teeth: chosen.map(|c| c.tooth), score });
        }
        let Some(next) = next_pick(pick, &look.options) else { return };
        pick = next;
    }
}

/// The least of what is known of a setup, and of its arms and loads; looked at no further once it is not above a floor.
fn with_loads(
    situation: &Situation,
    weights: &[usize],
    stand: &Placement,
    pads: &[Pad; 4],
    known: f64,
    floor: f64,
) -> f64 {
    let mut least = Least(known);
    let sides = situation.sides();
    situation.measure_arms(stand, pads, sides, &mut least);
    if least.0 <= floor {
        return least.0;
    }
    let models = situation.models(stand, pads);
    for &state in weights {
        for model in &models {
            situation.measure_shares(state, stand, model.as_ref(), sides, &mut least);
            if least.0 <= floor {
                return least.0;
            }
        }
        situation.measure_edges(state, stand, pads, models[0].as_ref(), sides, &mut least);
    }
    least.0
}

/// The next choice of options. Left and right start alike, as most vehicles and lifts are: free
/// arms can move on from there, and of teeth the neighbours are tried later.
pub(super) fn next_pick(mut pick: [usize; 4], options: &[Vec<Stance>; 4]) -> Option<[usize; 4]> {
    for wheel in [[0, 1], [2, 3]] {
        if wheel.iter().any(|i| pick[*i] + 1 < options[*i].len()) {
            wheel.iter().for_each(|i| pick[*i] = (pick[*i] + 1).min(options[*i].len() - 1));
            return Some(pick);
        }
        wheel.iter().for_each(|i| pick[*i] = 0);
    }
    None
}

/// What the checks of one pad alone leave.
fn pad_score(situation: &Situation, i: usize, stand: &Placement, pad: Pad) -> f64 {
    Least::of(|out| situation.measure_pad(i, stand, pad, None, out))
}

/// Places for one pad on one area, and the tooth of a toothed arm. The scores of free arms are no less than they
/// should be, that of the best is.
pub(super) fn pad_options(
    situation: &Situation,
    i: usize,
    stand: &Placement,
    area: usize,
    samples: &[[f64; 2]],
) -> Vec<Stance> {
    let score = |at: [f64; 2]| pad_score(situation, i, stand, Pad { area, at });
    let arm = situation.arm(i, stand);
    let Some(pitch) = situation.pitch(arm) else {
        // What reach leaves is no less than the score: clearances of the best alone are looked at.
        let mut best = f64::NEG_INFINITY;
        let stance = |at: &[f64; 2]| {
            let pad = Pad { area, at: *at };
            let mut least = Least(f64::INFINITY);
            situation.measure_reach(i, stand, pad, None, &mut least);
            if least.0 > best {
                situation.measure_clearance(i, stand, pad, &mut least);
                best = best.max(least.0);
            }
            Stance { score: least.0, pad, tooth: None }
        };
        return samples.iter().map(stance).collect();
    };
    let (from, to, pitch) = (arm.swing_from.to_radians(), arm.swing_to.to_radians(), pitch.to_radians());
    let pivot = arm.pivot.to_metres();
    let region = &situation.vehicle.lift_areas[area].region;
    let mut found = Vec::new();
    let mut tooth = 0.0;
    while from + tooth * pitch <= to + 1e-9 {
        let swing = from + tooth * pitch;
        tooth += 1.0;
        let (sin, cos) = swing.sin_cos();
        let far =
            |r: f64| stand.to_vehicle(Place::metres([pivot[0] + r * cos, pivot[1] + r * sin])).to_metres();
        let (near, away) = (far(0.0), far(2.0 * arm.reach_out.to_metres()));
        // Where this tooth's line enters and leaves the area, as parts of the line.
        let mut cuts: Vec<f64> = region.sides().filter_map(|side| crossing([near, away], side)).collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let along = |part: f64| {
                let t = pair[0] + part * (pair[1] - pair[0]);
                let at = [near[0] + t * (away[0] - near[0]), near[1] + t * (away[1] - near[1])];
                Stance { score: score(at), pad: Pad { area, at }, tooth: Some(wrapped(swing)) }
            };
            found.extend([0.15, 0.5, 0.85].map(along).into_iter().max_by(|a, b| a.score.total_cmp(&b.score)));
        }
    }
    if found.is_empty() {
        // No tooth meets the area from here: the tooth nearest to its middle, so that an answer exists.
        let middle = samples[0];
        let swing = situation.arm_setting(i, stand, middle).swing;
        let n = (wrapped(swing - f64::midpoint(from, to)) + (to - from) / 2.0) / pitch;
        let nearest = from + n.round().clamp(0.0, ((to - from) / pitch).floor()) * pitch;
        found.push(Stance {
            score: score(middle),
            pad: Pad { area, at: middle },
            tooth: Some(wrapped(nearest)),
        });
    }
    found
}

/// Part of the first line at which it crosses the second.
pub(super) fn crossing([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> Option<f64> {
    let (r, s) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let whole = r[0] * s[1] - r[1] * s[0];
    let t = ((c[0] - a[0]) * s[1] - (c[1] - a[1]) * s[0]) / whole;
    let u = ((c[0] - a[0]) * r[1] - (c[1] - a[1]) * r[0]) / whole;
    ((0.0..=1.0).contains(&t) && (0.0..1.0).contains(&u)).then_some(t)
}

/// Spots from which every corner's areas are within reach of its arm.
pub(super) fn within_reach(situation: &Situation, way: DrivenIn) -> [f64; 2] {
    let sign = if way == DrivenIn::Forwards { 1.0 } else { -1.0 };
    let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
    for (i, corner) in Corner::ALL.into_iter().enumerate() {
        let arm = situation.arm(i, &Placement::square(Length::ZERO, way));
        let (x, reach) = (arm.pivot.to_metres()[0], arm.reach_out.to_metres());
        let areas = situation.vehicle.lift_areas.iter().filter(|a| a.corner == corner);
        let aft = areas.flat_map(|a| a.region.corners().iter().map(|c| sign * c.to_metres()[0]));
        let (lo, hi) = aft.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
        from = from.max(x - reach + lo);
        to = to.min(x + reach + hi);
    }
    if from > to { [f64::midpoint(from, to); 2] } else { [from, to] }
}

/// Equal steps from one spot to another, both ends included; one where they are the same.
pub(super) fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let n = (((to - from) / step).ceil() as u32).min(1000);
    (0..=n).map(move |k| if n == 0 { from } else { from + (to - from) * f64::from(k) / f64::from(n) })
}

/// A few places in a region: its middle first, then a grid.
pub(super) fn samples(region: &Region) -> Vec<[f64; 2]> {
    let at: Vec<[f64; 2]> = region.corners().iter().map(|c| c.to_metres()).collect();
    let range = |k: usize| {
        at.iter().map(|p| p[k]).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)))
    };
    let ((x0, x1), (y0, y1)) = (range(0), range(1));
    let mut found = vec![[f64::midpoint(x0, x1), f64::midpoint(y0, y1)]];
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let count = |a: f64, b: f64| (((b - a) / AREA_STEP).ceil() as u32).clamp(1, 24);
    let (nx, ny) = (count(x0, x1), count(y0, y1));
    for i in 0..nx {
        for j in 0..ny {
            let part = |k: u32, n: u32| (f64::from(k) + 0.5) / f64::from(n);
            found.push([x0 + (x1 - x0) * part(i, nx), y0 + (y1 - y0) * part(j, ny)]);
        }
    }
    let inside: Vec<[f64; 2]> = found.iter().copied().filter(|p| region.holds(*p)).collect();
    if !inside.is_empty() {
        found = inside;
    }
    found
}
