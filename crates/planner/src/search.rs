//! The setup search: the largest worst reserve, then the largest second-worst.

use statics::hull::norm;
use statics::{Length, Place};

use crate::ascent::{Climb, Functions, Ground};
use crate::checks::Piece;
use crate::frames::{DrivenIn, Placement};
use crate::heights::{Choice, Heights};
use crate::lift::Corner;
use crate::measure::{Pad, wrapped};
use crate::region::Region;
use crate::situation::Situation;

/// What the search found.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    pub(crate) placement: Placement,
    pub(crate) pads: [Pad; 4],
    pub(crate) heights: Heights,
}

/// Worst reserves this near, relatively, are one: the second-worst then decides.
const SAME_WORST: f64 = 0.001;
/// But never farther apart than this, so that the worst stays within its promise.
const SAME_WORST_MOST: f64 = 0.0003;
/// How many further reserves are raised once the worst is secured.
const FURTHER: usize = 3;
/// Starts that are climbed from in each window.
const CLIMBS: usize = 20;
const CLIMBS_AT_ONE_SPOT: usize = 3;
/// Rounds of each heat, and how many go on from it.
const HEATS: [(usize, usize); 3] = [(2, 8), (4, 4), (40, 1)];
/// A climb that promises less than this ends: a hundredth of what is promised of the optimum.
const ENOUGH: f64 = 1e-5;
/// The same for the reserves after the worst, of which nothing is promised.
const ENOUGH_FURTHER: f64 = 1e-3;
/// Spots at which pads are looked at together, in each window.
const LOOKS: usize = 10;
const LOOKS_TEETH: usize = 30;
/// Steps of the first look along the bay, and along a lifting area.
const SPOT_STEP: f64 = 0.06;
const SPOT_STEP_TEETH: f64 = 0.02;
const AREA_STEP: f64 = 0.12;
/// Step of the look for windows.
const WINDOW_STEP: f64 = 0.01;
/// A reserve must fall and rise again by this much to part two windows.
const DIP: f64 = 0.02;

/// The best setup over every spot (or the one given), way round, lifting areas, teeth and pad places.
///
/// The spots fall into windows, between the dips that doors and columns make. In each, starts
/// from the best of a coarse look climb in heats, of which the highest go on.
pub(crate) fn best(situation: &Situation, spot: Option<f64>, ways: &[DrivenIn]) -> Option<Found> {
    let mut first: Option<Climber> = None;
    for way in ways {
        for window in windows(situation, *way, spot) {
            let to_beat = first.as_ref().map_or(f64::NEG_INFINITY, Climber::worst);
            if let Some(found) = best_in(situation, *way, &window, spot, to_beat) {
                if found.worst() > to_beat {
                    first = Some(found);
                }
            }
        }
    }
    let mut first = first?;
    while let Some(better) = first.neighbour(spot) {
        first = better;
    }
    first.settle();
    let worst = first.climb.values.iter().copied().fold(f64::INFINITY, f64::min);
    let enough = first.heights.iter().find(|c| c.reserve >= worst - 1e-12);
    let chosen = enough.or_else(|| first.heights.iter().max_by(|a, b| a.reserve.total_cmp(&b.reserve)))?;
    let (placement, pads) = first.program.decode(&first.climb.x);
    Some(Found { placement, pads, heights: chosen.heights.clone() })
}

/// The best climb in one window.
fn best_in<'a>(
    situation: &'a Situation<'a>,
    way: DrivenIn,
    window: &[f64; 2],
    spot: Option<f64>,
    mut to_beat: f64,
) -> Option<Climber<'a>> {
    let toothed = situation.lift.arms.iter().any(|a| situation.pitch(a).is_some());
    // Where the pads would best be if arms locked anywhere tells which teeth to try.
    let free = Situation { teeth_bind: false, ..situation.clone() };
    let guide = if toothed {
        let free = best_in(&free, way, window, spot, to_beat)?;
        Some(free.program.decode(&free.climb.x).1)
    } else {
        None
    };
    let starts = first_look(situation, way, window, guide.as_ref());
    let mut field: Vec<Climber> = starts.iter().map(|s| Climber::new(situation, s, spot)).collect();
    for (rounds, left) in HEATS {
        for climber in &mut field {
            climber.advance(rounds, to_beat);
            to_beat = to_beat.max(climber.worst());
        }
        field.sort_by(|a, b| b.worst().total_cmp(&a.worst()));
        field.truncate(left);
    }
    field.into_iter().next()
}

/// Spots fall into windows between dips of what the stand alone allows: a door that meets a column
/// now with its face, now with its edge. A climb does not cross a dip.
fn windows(situation: &Situation, way: DrivenIn, spot: Option<f64>) -> Vec<[f64; 2]> {
    if let Some(spot) = spot {
        return vec![[spot, spot]];
    }
    let [from, to] = within_reach(situation, way);
    let mut pieces = Vec::new();
    let all: Vec<(f64, f64)> = steps(from, to, WINDOW_STEP)
        .map(|s| {
            pieces.clear();
            situation.measure_stand(&Placement::square(Length::metres(s), way), &mut pieces);
            (s, least(&pieces))
        })
        .collect();
    let mut found = Vec::new();
    let mut start = from;
    let (mut peak, mut low) = (f64::NEG_INFINITY, (from, f64::INFINITY));
    for (s, value) in all {
        if value >= peak {
            (peak, low) = (value, (s, value));
        } else if value <= low.1 {
            low = (s, value);
        }
        if value > low.1 + DIP && peak > low.1 + DIP {
            found.push([start, low.0]);
            start = low.0;
            (peak, low) = (value, (s, value));
        }
    }
    found.push([start, to]);
    found
}

/// A climb from one start.
struct Climber<'a> {
    program: Program<'a>,
    climb: Climb,
    scale: Vec<f64>,
    heights: Vec<Choice>,
    /// Largest reserve of the heights: no setup on these areas has a larger worst.
    heights_most: f64,
}

impl<'a> Climber<'a> {
    fn new(situation: &'a Situation<'a>, start: &Start, spot: Option<f64>) -> Self {
        let (mut program, x) = start.program(situation, spot);
        let heights = situation.height_choices(program.areas, program.way);
        Self {
            climb: Climb::new(&mut program, x, &[]),
            scale: program.scale(),
            heights_most: heights.iter().map(|c| c.reserve).fold(f64::NEG_INFINITY, f64::max),
            heights,
            program,
        }
    }

    fn worst(&self) -> f64 {
        self.climb.least.min(self.heights_most)
    }

    fn advance(&mut self, rounds: usize, to_beat: f64) {
        let floors = vec![None; self.climb.values.len()];
        let ground = Ground { scale: &self.scale, floors: &floors, enough: ENOUGH };
        self.climb.advance(&mut self.program, ground, rounds, to_beat.min(self.heights_most));
    }

    /// A climb that ends higher with one arm, or both of an axle, a tooth or two away.
    fn neighbour(&self, spot: Option<f64>) -> Option<Self> {
        const ARMS: [&[usize]; 6] = [&[0, 1], &[2, 3], &[0], &[1], &[2], &[3]];
        let situation = self.program.situation;
        let (stand, pads) = self.program.decode(&self.climb.x);
        ARMS.into_iter().flat_map(|arms| [-1.0, 1.0, -2.0, 2.0].map(|by| (arms, by))).find_map(
            |(arms, by)| {
                let mut start = Start {
                    way: self.program.way,
                    spot: stand.spot.to_metres(),
                    pads,
                    teeth: self.program.teeth,
                    score: f64::NEG_INFINITY,
                };
                for &i in arms {
                    let arm = situation.arm(i, &stand);
                    let pitch = situation.pitch(arm)?.to_radians();
                    // Teeth of the two sides run in opposite senses.
                    let turn = if i % 2 == 0 { by * pitch } else { -by * pitch };
                    let swing = start.teeth[i]? + turn;
                    let off = wrapped(swing - arm.swing_from.to_radians());
                    if off < -1e-9 || off > (arm.swing_to - arm.swing_from).to_radians() + 1e-9 {
                        return None;
                    }
                    start.teeth[i] = Some(wrapped(swing));
                }
                let mut other = Self::new(situation, &start, spot);
                for rounds in [3, 40] {
                    other.advance(rounds, self.worst());
                }
                (other.worst() > self.worst() + ENOUGH).then_some(other)
            },
        )
    }

    /// With the worst reserve secured, raises the second-worst, and so on while there is freedom.
    fn settle(&mut self) {
        let mut floors: Vec<Option<f64>> = vec![None; self.climb.values.len()];
        for _ in 0..FURTHER {
            let level = self.climb.least;
            let slack = (SAME_WORST * level.abs()).min(SAME_WORST_MOST);
            for k in &self.climb.held_by {
                floors[*k] = floors[*k].or(Some(level - slack));
            }
            if self.climb.held_by.is_empty() || floors.iter().all(Option::is_some) {
                return;
            }
            self.climb = Climb::new(&mut self.program, self.climb.x.clone(), &floors);
            let ground = Ground { scale: &self.scale, floors: &floors, enough: ENOUGH_FURTHER };
            self.climb.advance(&mut self.program, ground, 12, f64::NEG_INFINITY);
        }
    }
}

/// A place to climb from.
#[derive(Clone, Debug)]
struct Start {
    way: DrivenIn,
    spot: f64,
    pads: [Pad; 4],
    /// Swing of each toothed arm.
    teeth: [Option<f64>; 4],
    score: f64,
}

impl Start {
    fn program<'a>(&self, situation: &'a Situation<'a>, spot: Option<f64>) -> (Program<'a>, Vec<f64>) {
        let program = Program {
            situation,
            way: self.way,
            areas: self.pads.map(|p| p.area),
            teeth: self.teeth,
            spot,
            pieces: Vec::new(),
        };
        let stand = Placement::square(Length::metres(self.spot), self.way);
        let mut x = Vec::new();
        if spot.is_none() {
            x.push(self.spot);
        }
        for (i, pad) in self.pads.iter().enumerate() {
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
struct Starts {
    /// Highest score first.
    list: Vec<Start>,
}

impl Starts {
    /// A start that scores no more than this would not be kept.
    fn least(&self) -> f64 {
        if self.list.len() < CLIMBS { f64::NEG_INFINITY } else { self.list[CLIMBS - 1].score }
    }

    fn add(&mut self, start: Start) {
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

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

fn near(a: &Start, b: &Start) -> bool {
    a.way == b.way
        && (a.spot - b.spot).abs() < 0.5 * SPOT_STEP
        && a.pads.iter().zip(&b.pads).all(|(a, b)| a.area == b.area && near_places(a.at, b.at))
        && a.teeth.iter().zip(&b.teeth).all(|(a, b)| same_tooth(*a, *b))
}

fn near_places(a: [f64; 2], b: [f64; 2]) -> bool {
    norm([a[0] - b[0], a[1] - b[1]]) < AREA_STEP
}

fn same_tooth(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => same(a, b),
        (None, None) => true,
        _ => false,
    }
}

/// What the pads at one spot could do, each on its own.
struct Look {
    spot: f64,
    stand: f64,
    options: [Vec<Stance>; 4],
    /// Least of the stand's checks and of each corner's best option.
    apart: f64,
}

/// A place for one pad, what the checks of that pad alone make of it, and the swing of a toothed arm.
#[derive(Clone, Copy, Debug)]
struct Stance {
    score: f64,
    pad: Pad,
    tooth: Option<f64>,
}

/// Looks coarsely over spots, areas and teeth: pads apart first, together only where that is promising.
fn first_look(
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
    let mut pieces = Vec::new();
    let mut looks: Vec<Look> = spots
        .map(|spot| {
            let at = Placement::square(Length::metres(spot), way);
            pieces.clear();
            situation.measure_stand(&at, &mut pieces);
            let stand = least(&pieces);
            let options: [Vec<Stance>; 4] = core::array::from_fn(|i| {
                let own = areas.iter().enumerate().filter(|(_, a)| a.corner == Corner::ALL[i]);
                let all = own.flat_map(|(k, _)| pad_options(situation, i, &at, k, &samples[k])).collect();
                worth_trying(all, guide.map(|g| g[i].at))
            });
            let best = |o: &Vec<Stance>| o.first().map_or(f64::NEG_INFINITY, |o| o.score);
            let apart = options.iter().map(best).fold(stand, f64::min);
            Look { spot, stand, options, apart }
        })
        .collect();
    looks.sort_by(|a, b| b.apart.total_cmp(&a.apart));
    looks.truncate(if toothed { LOOKS_TEETH } else { LOOKS });
    for look in &looks {
        together(situation, way, look, &mut starts);
    }
    starts.list
}

/// The options to try. With a guide, the best and the three nearest to it; without, the best and
/// those farthest ahead and behind, from where a climb may reach another top.
fn worth_trying(mut options: Vec<Stance>, guide: Option<[f64; 2]>) -> Vec<Stance> {
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
fn together(situation: &Situation, way: DrivenIn, look: &Look, starts: &mut Starts) {
    if look.options.iter().any(Vec::is_empty) {
        return;
    }
    let stand = Placement::square(Length::metres(look.spot), way);
    let mut pieces = Vec::new();
    let mut pick = [0usize; 4];
    loop {
        let chosen: [Stance; 4] = core::array::from_fn(|i| look.options[i][pick[i]]);
        let pads = chosen.map(|c| c.pad);
        let apart = chosen.iter().map(|c| c.score).fold(look.stand, f64::min);
        // Loads are looked at only where the pads themselves would be kept.
        if apart > starts.least() {
            pieces.clear();
            situation.measure_arms(&stand, &pads, &mut pieces);
            situation.measure_loads(&stand, &pads, &mut pieces);
            let score = apart.min(least(&pieces));
            starts.add(Start { way, spot: look.spot, pads, teeth: chosen.map(|c| c.tooth), score });
        }
        let Some(next) = next_pick(pick, &look.options) else { return };
        pick = next;
    }
}

/// The next choice of options. Left and right start alike, as most vehicles and lifts are: free
/// arms can move on from there, and of teeth the neighbours are tried later.
fn next_pick(mut pick: [usize; 4], options: &[Vec<Stance>; 4]) -> Option<[usize; 4]> {
    for wheel in [[0, 1], [2, 3]] {
        if wheel.iter().any(|i| pick[*i] + 1 < options[*i].len()) {
            wheel.iter().for_each(|i| pick[*i] = (pick[*i] + 1).min(options[*i].len() - 1));
            return Some(pick);
        }
        wheel.iter().for_each(|i| pick[*i] = 0);
    }
    None
}

/// Places for one pad on one area, and the tooth of a toothed arm.
fn pad_options(
    situation: &Situation,
    i: usize,
    stand: &Placement,
    area: usize,
    samples: &[[f64; 2]],
) -> Vec<Stance> {
    let mut pieces = Vec::new();
    let mut score = |at: [f64; 2]| {
        pieces.clear();
        situation.measure_pad(i, stand, Pad { area, at }, &mut pieces);
        least(&pieces)
    };
    let arm = situation.arm(i, stand);
    let Some(pitch) = situation.pitch(arm) else {
        return samples
            .iter()
            .map(|at| Stance { score: score(*at), pad: Pad { area, at: *at }, tooth: None })
            .collect();
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
fn crossing([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> Option<f64> {
    let (r, s) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let whole = r[0] * s[1] - r[1] * s[0];
    let t = ((c[0] - a[0]) * s[1] - (c[1] - a[1]) * s[0]) / whole;
    let u = ((c[0] - a[0]) * r[1] - (c[1] - a[1]) * r[0]) / whole;
    ((0.0..=1.0).contains(&t) && (0.0..1.0).contains(&u)).then_some(t)
}

fn least(pieces: &[Piece]) -> f64 {
    pieces.iter().filter(|p| p.steers()).map(|p| p.reserve).fold(f64::INFINITY, f64::min)
}

/// Spots from which every corner's areas are within reach of its arm.
fn within_reach(situation: &Situation, way: DrivenIn) -> [f64; 2] {
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
fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let n = (((to - from) / step).ceil() as u32).min(1000);
    (0..=n).map(move |k| if n == 0 { from } else { from + (to - from) * f64::from(k) / f64::from(n) })
}

/// A few places in a region: its middle first, then a grid.
fn samples(region: &Region) -> Vec<[f64; 2]> {
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

/// The checks as functions of spot, and of place or reach of each pad.
struct Program<'a> {
    situation: &'a Situation<'a>,
    way: DrivenIn,
    areas: [usize; 4],
    teeth: [Option<f64>; 4],
    spot: Option<f64>,
    pieces: Vec<Piece>,
}

impl Program<'_> {
    fn decode(&self, x: &[f64]) -> (Placement, [Pad; 4]) {
        let (spot, mut rest) = match self.spot {
            Some(s) => (s, x),
            None => (x[0], &x[1..]),
        };
        let stand = Placement::square(Length::metres(spot), self.way);
        let pads = core::array::from_fn(|i| {
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
        (stand, pads)
    }

    /// Variables of pad i within x.
    fn variables(&self, i: usize) -> core::ops::Range<usize> {
        let before =
            |n: usize| self.teeth[..n].iter().map(|t| if t.is_some() { 1 } else { 2 }).sum::<usize>();
        let start = usize::from(self.spot.is_none());
        start + before(i)..start + before(i + 1)
    }

    fn scale(&self) -> Vec<f64> {
        let spot = self.spot.is_none().then_some(0.1);
        spot.into_iter().chain((0..4).flat_map(|i| self.variables(i).map(|_| 0.05))).collect()
    }

    fn append(&mut self, parts: &[Part], stand: &Placement, pads: &[Pad; 4], out: &mut Vec<f64>) {
        self.pieces.clear();
        for part in parts {
            match part {
                Part::Stand => self.situation.measure_stand(stand, &mut self.pieces),
                Part::Pad(i) => self.situation.measure_pad(*i, stand, pads[*i], &mut self.pieces),
                Part::Arms => self.situation.measure_arms(stand, pads, &mut self.pieces),
                Part::Loads => self.situation.measure_loads(stand, pads, &mut self.pieces),
            }
        }
        out.extend(self.pieces.iter().filter(|p| p.steers()).map(|p| p.reserve));
    }
}

/// Groups of checks by what they depend on.
#[derive(Clone, Copy)]
enum Part {
    Stand,
    Pad(usize),
    Arms,
    Loads,
}

const PARTS: [Part; 7] =
    [Part::Stand, Part::Pad(0), Part::Pad(1), Part::Pad(2), Part::Pad(3), Part::Arms, Part::Loads];

/// Step of the difference quotients, metres: curvatures of about 1/m make an error of as much.
const QUOTIENT: f64 = 1e-7;

impl Functions for Program<'_> {
    fn values(&mut self, x: &[f64], out: &mut Vec<f64>) {
        let (stand, pads) = self.decode(x);
        out.clear();
        self.append(&PARTS, &stand, &pads, out);
    }

    fn derivatives(&mut self, x: &[f64], values: &[f64], near: f64, out: &mut Vec<f64>) {
        let n = x.len();
        out.clear();
        out.resize(values.len() * n, 0.0);
        let (stand, pads) = self.decode(x);
        let mut starts = [0usize; 8];
        let mut moved = Vec::new();
        for (k, part) in PARTS.iter().enumerate() {
            moved.clear();
            self.append(&[*part], &stand, &pads, &mut moved);
            starts[k + 1] = starts[k] + moved.len();
        }
        let loads_matter = values[starts[6]..].iter().any(|v| *v < near);
        let mut shifted = x.to_vec();
        for j in 0..n {
            shifted[j] = x[j] + QUOTIENT;
            let (stand, pads) = self.decode(&shifted);
            let pad = (0..4).find(|i| self.variables(*i).contains(&j));
            for (k, part) in PARTS.iter().enumerate() {
                let depends = match (part, pad) {
                    (Part::Loads, _) if !loads_matter => false,
                    (_, None) | (Part::Arms | Part::Loads, _) => true,
                    (Part::Pad(i), Some(p)) => *i == p,
                    (Part::Stand, Some(_)) => false,
                };
                if depends {
                    moved.clear();
                    self.append(&[*part], &stand, &pads, &mut moved);
                    for (row, v) in (starts[k]..starts[k + 1]).zip(&moved) {
                        out[row * n + j] = (v - values[row]) / QUOTIENT;
                    }
                }
            }
            shifted[j] = x[j];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lift::Lift;
    use crate::vehicle::Vehicle;
    use crate::{Job, Limits};

    use crate::common;

    /// Numbers in [0, 1) from a seed (Marsaglia xorshift).
    struct Dice(u64);
    impl Dice {
        fn roll(&mut self) -> f64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            #[expect(clippy::cast_precision_loss, reason = "53 bits are wanted")]
            let part = (self.0 >> 11) as f64 / (1u64 << 53) as f64;
            part
        }
        fn between(&mut self, a: f64, b: f64) -> f64 {
            a + (b - a) * self.roll()
        }
    }

    fn vary(dice: &mut Dice, teeth: bool, plate: bool) -> (Lift, Vehicle) {
        let (mut lift, mut vehicle) = (common::lift(), common::hatchback());
        let m = Length::metres;
        lift.rated = statics::Mass::kilograms(dice.between(1800.0, 5000.0));
        if !plate {
            lift.plate = None;
        }
        let (rin, rout) = (dice.between(0.5, 0.7), dice.between(0.95, 1.3));
        let back = dice.between(0.0, 0.3);
        for (k, arm) in lift.arms.iter_mut().enumerate() {
            arm.reach_in = m(rin);
            arm.reach_out = m(rout + if k >= 2 { back } else { 0.0 });
            arm.tooth_pitch = teeth.then(|| statics::Angle::degrees(5.0));
        }
        vehicle.weight = crate::vehicle::Weight::AxleLoads {
            front: crate::Measured::given(
                statics::Mass::kilograms(dice.between(500.0, 1400.0)),
                statics::Mass::kilograms(10.0),
            ),
            rear: crate::Measured::given(
                statics::Mass::kilograms(dice.between(400.0, 1200.0)),
                statics::Mass::kilograms(10.0),
            ),
        };
        let (f, r) = (dice.between(0.45, 0.9), dice.between(1.7, 2.2));
        let (lf, lr) = (dice.between(0.05, 0.7), dice.between(0.05, 0.5));
        let (y, w) = (dice.between(0.45, 0.75), dice.between(0.03, 0.12));
        for area in &mut vehicle.lift_areas {
            let (from, to) = if area.corner.is_front() { (f, f + lf) } else { (r - lr, r) };
            let s = if area.corner.is_left() { 1.0 } else { -1.0 };
            area.region =
                Region::strip(Place::metres([from, s * y]), Place::metres([to, s * y]), m(w)).unwrap();
        }
        vehicle.doors[0].hinge = Place::metres([dice.between(0.3, 0.7), 0.8]);
        (lift, vehicle)
    }

    #[test]
    fn stress() {
        let (job, limits) = (Job::default(), Limits::default());
        let mut dice = Dice(5_555_555_555);
        let (mut worst_gap, mut total) = (0.0f64, 0);
        let mut times = Vec::new();
        for case in 0..120 {
            let (lift, vehicle) = vary(&mut dice, case % 3 == 1, case % 3 == 2);
            let situation = Situation::new(&lift, &vehicle, &job, &limits).unwrap();
            let spot = situation.band().map(|b| b.front_wheel.to_metres());
            let t = std::time::Instant::now();
            let found = best(&situation, spot, &[DrivenIn::Forwards]).unwrap();
            times.push(t.elapsed().as_secs_f64() * 1e3);
            let least_of =
                |p: &Placement, pads: &[Pad; 4], h: &Heights| least(&situation.measure(p, pads, h));
            let answer = least_of(&found.placement, &found.pads, &found.heights);
            let mut other = f64::NEG_INFINITY;
            let mut whom = None;
            let areas = found.pads.map(|p| p.area);
            let all = within_reach(&situation, DrivenIn::Forwards);
            for _ in 0..150 {
                let s = spot.unwrap_or_else(|| dice.between(all[0], all[1]));
                let stand = Placement::square(Length::metres(s), DrivenIn::Forwards);
                let mut teeth = [None; 4];
                let pads: [Pad; 4] = core::array::from_fn(|i| {
                    let options = samples(&vehicle.lift_areas[areas[i]].region);
                    let k = ((dice.roll() * options.len() as f64) as usize).min(options.len() - 1);
                    let mut at = options[k];
                    if lift.arms[i].tooth_pitch.is_some() {
                        let o = pad_options(&situation, i, &stand, areas[i], &options);
                        let k = ((dice.roll() * o.len() as f64) as usize).min(o.len() - 1);
                        at = o[k].pad.at;
                        teeth[i] = o[k].tooth;
                    }
                    Pad { area: areas[i], at }
                });
                let start = Start { way: DrivenIn::Forwards, spot: s, pads, teeth, score: 0.0 };
                let mut climber = Climber::new(&situation, &start, spot);
                climber.advance(60, f64::NEG_INFINITY);
                let top = &climber.climb;
                if top.least > other {
                    other = top.least;
                    whom = Some((climber.program.decode(&top.x), teeth));
                }
            }
            let height = situation
                .height_choices(areas, DrivenIn::Forwards)
                .iter()
                .map(|c| c.reserve)
                .fold(f64::NEG_INFINITY, f64::max);
            let gap = other.min(height) - answer;
            if gap > 0.001 {
                total += 1;
                if [0, 15, 68, 72, 42].contains(&case) {
                    let show = |p: &Placement, pads: &[Pad; 4]| {
                        let pieces = situation.measure(p, pads, &found.heights);
                        let mut v: Vec<_> = pieces.iter().filter(|p| p.steers()).collect();
                        v.sort_by(|a, b| a.reserve.total_cmp(&b.reserve));
                        eprintln!("  pads {:?}", pads.map(|p| p.at));
                        for p in v.iter().take(7) {
                            eprintln!("    {} {:.4}", p.what.id(), p.reserve);
                        }
                    };
                    show(&found.placement, &found.pads);
                    if let Some((w, _)) = &whom {
                        show(&w.0, &w.1);
                    }
                }
                eprintln!(
                    "case {case} ours {answer:.4} other {other:.4} spot {:.3} vs {:?}",
                    found.placement.spot.to_metres(),
                    whom.map(|w| (w.0.0.spot, w.1))
                );
            }
            worst_gap = worst_gap.max(gap);
        }
        times.sort_by(f64::total_cmp);
        eprintln!(
            "worst gap {worst_gap:.5} cases over {total}; ms median {:.3} max {:.3}",
            times[60], times[119]
        );
    }
}
