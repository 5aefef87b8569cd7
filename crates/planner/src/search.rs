//! The setup search: the largest worst reserve, then the largest second-worst.

use std::rc::Rc;

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
const CLIMBS: usize = 10;
const CLIMBS_AT_ONE_SPOT: usize = 3;
/// Rounds of each heat, and how many go on from it.
const HEATS: [(usize, usize); 3] = [(2, 5), (4, 3), (100, 1)];
/// Free setups around which teeth are tried.
const TOPS: usize = 3;
/// Teeth nearer than this at the pad, metres, are fine.
const FINE_TEETH: f64 = 0.05;
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
    reaching(situation, spot, ways, f64::INFINITY)
}

/// As [`best`], but the first setup whose worst reserve is `enough` will do.
pub(crate) fn reaching(
    situation: &Situation,
    spot: Option<f64>,
    ways: &[DrivenIn],
    enough: f64,
) -> Option<Found> {
    let mut first: Option<Climber> = None;
    for way in ways {
        for window in windows(situation, *way, spot) {
            let to_beat = first.as_ref().map_or(f64::NEG_INFINITY, Climber::worst);
            if to_beat >= enough {
                break;
            }
            let aim = Aim { spot, to_beat, enough };
            first = match best_in(situation, *way, &window, aim) {
                Some(found) if found.worst() > to_beat => Some(found),
                _ => first,
            };
        }
    }
    let mut first = first?;
    // Teeth may serve better where the two sides differ, even where all else is alike.
    let apart = Situation { mirror: None, ..situation.clone() };
    let toothed = first.program.teeth.iter().any(Option::is_some);
    if toothed && situation.mirror.is_some() && first.worst() < enough {
        let same = Climber::new(&apart, &first.start(), spot);
        if let Some(better) = same.neighbour(spot) {
            first = better.up_the_teeth(spot);
        }
    }
    if first.worst() < enough {
        first.settle();
    }
    let worst = first.climb.values.iter().copied().fold(f64::INFINITY, f64::min);
    let chosen = crate::heights::least_that_serves(&first.heights, worst)?;
    let (placement, pads) = first.program.decode(&first.climb.x);
    Some(Found { placement, pads, heights: chosen.heights.clone() })
}

/// What a search in one window is to reach.
#[derive(Clone, Copy)]
struct Aim {
    /// Where the vehicle must stand, if that is given.
    spot: Option<f64>,
    /// What another window reached.
    to_beat: f64,
    /// A worst reserve that will do.
    enough: f64,
}

/// The best climb in one window.
fn best_in<'a>(
    situation: &'a Situation<'a>,
    way: DrivenIn,
    window: &[f64; 2],
    aim: Aim,
) -> Option<Climber<'a>> {
    let toothed = situation.lift.arms.iter().any(|a| situation.pitch(a).is_some());
    if !toothed {
        let starts = first_look(situation, way, window, None);
        return heats(situation, &starts, aim, 1).into_iter().next();
    }
    // Where the pads would best be if arms locked anywhere tells which teeth to try.
    let free = Situation { teeth_bind: false, ..situation.clone() };
    let tops = heats(&free, &first_look(&free, way, window, None), aim, TOPS);
    let ceiling = tops.first()?.worst() - SAME_WORST_MOST;
    let aim = Aim { enough: aim.enough.min(ceiling), ..aim };
    let starts = if has_fine_teeth(situation) {
        tops.iter().flat_map(|top| top.teeth_around(situation)).collect()
    } else {
        let guide = tops.first()?.program.decode(&tops.first()?.climb.x).1;
        first_look(situation, way, window, Some(&guide))
    };
    let first = heats(situation, &starts, aim, 1).into_iter().next()?;
    Some(if first.worst() < aim.enough { first.up_the_teeth(aim.spot) } else { first })
}

/// Climbs from every start, fewer after each heat; the highest `left`, highest first.
fn heats<'a>(situation: &'a Situation<'a>, starts: &[Start], aim: Aim, left: usize) -> Vec<Climber<'a>> {
    let Aim { spot, mut to_beat, enough } = aim;
    // Starts on the same areas share their choices of heights.
    let mut known: Vec<([usize; 4], Rc<Vec<Choice>>)> = Vec::new();
    let mut field: Vec<Climber> = Vec::with_capacity(starts.len());
    for start in starts {
        let areas = start.pads.map(|p| p.area);
        let heights = match known.iter().find(|(a, _)| *a == areas) {
            Some((_, heights)) => Rc::clone(heights),
            None => {
                let heights = Rc::new(situation.height_choices(areas, start.way));
                known.push((areas, Rc::clone(&heights)));
                heights
            }
        };
        field.push(Climber::with_heights(situation, start, spot, heights));
    }
    for (rounds, go_on) in HEATS {
        for climber in &mut field {
            climber.advance(rounds, to_beat);
            to_beat = to_beat.max(climber.worst());
            if to_beat >= enough {
                break;
            }
        }
        field.sort_by(|a, b| b.worst().total_cmp(&a.worst()));
        field.truncate(go_on.max(left));
    }
    field.truncate(left);
    field
}

/// Whether neighbouring teeth are so near that the best ones lie beside where a free arm would go.
fn has_fine_teeth(situation: &Situation) -> bool {
    situation
        .lift
        .arms
        .iter()
        .all(|a| situation.pitch(a).is_none_or(|p| p.to_radians() * a.reach_out.to_metres() < FINE_TEETH))
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
    heights: Rc<Vec<Choice>>,
    /// Largest reserve of the heights: no setup on these areas has a larger worst.
    heights_most: f64,
}

impl<'a> Climber<'a> {
    fn new(situation: &'a Situation<'a>, start: &Start, spot: Option<f64>) -> Self {
        let heights = situation.height_choices(start.pads.map(|p| p.area), start.way);
        Self::with_heights(situation, start, spot, Rc::new(heights))
    }

    fn with_heights(
        situation: &'a Situation<'a>,
        start: &Start,
        spot: Option<f64>,
        heights: Rc<Vec<Choice>>,
    ) -> Self {
        let (mut program, x) = start.program(situation, spot);
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

    /// Starts with each arm on one of the two teeth beside its swing.
    fn teeth_around(&self, situation: &Situation) -> Vec<Start> {
        let now = self.start();
        let (stand, pads) = self.program.decode(&self.climb.x);
        let alike = situation.mirror.is_some();
        let choices: u32 = if alike { 4 } else { 16 };
        let beside = |i: usize, up: bool| {
            let arm = situation.arm(i, &stand);
            let pitch = situation.pitch(arm)?.to_radians();
            let (from, to) = (arm.swing_from.to_radians(), arm.swing_to.to_radians());
            let off = wrapped(situation.arm_setting(i, &stand, pads[i].at).swing - f64::midpoint(from, to))
                + (to - from) / 2.0;
            let last = ((to - from) / pitch + 1e-9).floor();
            let n = (off / pitch).floor() + if up { 1.0 } else { 0.0 };
            Some(wrapped(from + n.clamp(0.0, last) * pitch))
        };
        (0..choices)
            .map(|choice| {
                let up = |i: usize| {
                    let bit = if alike { i / 2 } else { i };
                    // Swing runs the other way on the right.
                    (choice >> bit & 1 == 1) == (i.is_multiple_of(2) || !alike)
                };
                let teeth = core::array::from_fn(|i| beside(i, up(i)));
                Start { teeth, ..now.clone() }
            })
            .collect()
    }

    /// From tooth to tooth while that gains.
    fn up_the_teeth(mut self, spot: Option<f64>) -> Self {
        while let Some(better) = self.neighbour(spot) {
            self = better;
        }
        self
    }

    /// A start from where it is.
    fn start(&self) -> Start {
        let (stand, pads) = self.program.decode(&self.climb.x);
        Start {
            way: self.program.way,
            spot: stand.spot.to_metres(),
            pads,
            teeth: self.program.teeth,
            score: f64::NEG_INFINITY,
        }
    }

    /// A climb that ends higher with some arms a tooth away (two, where both sides move alike).
    fn neighbour(&self, spot: Option<f64>) -> Option<Self> {
        let situation = self.program.situation;
        let now = self.start();
        let stand = self.program.decode(&self.climb.x).0;
        let places: [Vec<[f64; 2]>; 4] =
            now.pads.map(|p| samples(&situation.vehicle.lift_areas[p.area].region));
        let options: [Vec<Stance>; 4] =
            core::array::from_fn(|i| pad_options(situation, i, &stand, now.pads[i].area, &places[i]));
        let alike = situation.mirror.is_some();
        let choices: i32 = if alike { 25 } else { 81 };
        (0..choices).find_map(|choice| {
            let mut start = now.clone();
            for i in 0..4usize {
                let by = match (alike, i) {
                    (true, 0 | 1) => choice % 5 - 2,
                    (true, _) => choice / 5 - 2,
                    (false, _) => choice / [1, 3, 9, 27][i] % 3 - 1,
                };
                if by != 0 {
                    let pitch = situation.pitch(situation.arm(i, &stand))?.to_radians();
                    // Teeth of the two sides run in opposite senses.
                    let turn = if i % 2 == 0 { f64::from(by) * pitch } else { -f64::from(by) * pitch };
                    let tooth = wrapped(now.teeth[i]? + turn);
                    // The best place that this tooth reaches from here; none if it misses the area.
                    let stance = options[i].iter().find(|o| same_tooth(o.tooth, Some(tooth)))?;
                    start.teeth[i] = stance.tooth;
                    start.pads[i] = stance.pad;
                }
            }
            if start.teeth.iter().zip(&now.teeth).all(|(a, b)| same_tooth(*a, *b)) {
                return None;
            }
            let mut other = Self::with_heights(situation, &start, spot, Rc::clone(&self.heights));
            for rounds in [2, 40] {
                other.advance(rounds, self.worst());
            }
            (other.worst() > self.worst() + ENOUGH).then_some(other)
        })
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
            if program.follows(i) {
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

impl Stance {
    fn mirrored(&self, twin: &[usize]) -> Self {
        Self { score: self.score, pad: self.pad.mirrored(twin), tooth: self.tooth.map(|t| -t) }
    }
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
            let own = |i: usize| {
                let own = areas.iter().enumerate().filter(|(_, a)| a.corner == Corner::ALL[i]);
                let all = own.flat_map(|(k, _)| pad_options(situation, i, &at, k, &samples[k])).collect();
                worth_trying(all, guide.map(|g| g[i].at))
            };
            let options = match &situation.mirror {
                Some(twin) => {
                    let (front, rear) = (own(0), own(2));
                    let other = |o: &Vec<Stance>| o.iter().map(|s| s.mirrored(twin)).collect();
                    [front.clone(), other(&front), rear.clone(), other(&rear)]
                }
                None => core::array::from_fn(own),
            };
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
    fn follows(&self, i: usize) -> bool {
        i % 2 == 1 && self.situation.mirror.is_some()
    }

    /// The groups of checks that say something of their own. Where the spot is given no setup
    /// changes what the stand alone allows: leaving it out raises what comes after it as well.
    fn parts(&self) -> impl Iterator<Item = (usize, Part)> + use<> {
        let (alike, given) = (self.situation.mirror.is_some(), self.spot.is_some());
        PARTS.into_iter().enumerate().filter(move |(_, p)| match p {
            Part::Pad(1 | 3) => !alike,
            Part::Stand => !given,
            _ => true,
        })
    }

    /// Variables of pad i within x.
    fn variables(&self, i: usize) -> core::ops::Range<usize> {
        let own = |i: usize| match self.teeth[i] {
            _ if self.follows(i) => 0,
            Some(_) => 1,
            None => 2,
        };
        let start = usize::from(self.spot.is_none()) + (0..i).map(own).sum::<usize>();
        start..start + own(i)
    }

    fn scale(&self) -> Vec<f64> {
        let spot = self.spot.is_none().then_some(0.1);
        spot.into_iter().chain((0..4).flat_map(|i| self.variables(i).map(|_| 0.05))).collect()
    }

    fn append(&mut self, part: Part, stand: &Placement, pads: &[Pad; 4], out: &mut Vec<f64>) {
        self.pieces.clear();
        {
            match part {
                Part::Stand => self.situation.measure_stand(stand, &mut self.pieces),
                Part::Pad(i) => self.situation.measure_pad(i, stand, pads[i], &mut self.pieces),
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
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a small count"
        )]
        fn below(&mut self, n: usize) -> usize {
            ((self.roll() * n as f64) as usize).min(n - 1)
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

    /// Climbs from many random starts find nothing better than the promise allows.
    #[test]
    fn no_random_climb_goes_higher() {
        let (job, limits) = (Job::default(), Limits::default());
        let mut dice = Dice(88_172_645_463_325_252);
        for case in 0..60 {
            let (lift, vehicle) = vary(&mut dice, case % 3 == 1, case % 3 == 2);
            let alike = Situation::new(&lift, &vehicle, &job, &limits).unwrap();
            let spot = alike.band().map(|b| b.front_wheel.to_metres());
            let found = best(&alike, spot, &[DrivenIn::Forwards]).unwrap();
            let answer = least(&alike.measure(&found.placement, &found.pads, &found.heights));
            let stand = {
                let mut pieces = Vec::new();
                alike.measure_stand(&found.placement, &mut pieces);
                least(&pieces)
            };
            let apart = Situation { mirror: None, ..alike.clone() };
            let areas = found.pads.map(|p| p.area);
            let highest = (0..100)
                .map(|_| random_climb(&apart, areas, spot, &mut dice))
                .fold(f64::NEG_INFINITY, f64::max);
            let highest = if spot.is_some() { highest.min(stand) } else { highest };
            assert!(highest <= answer + 0.001, "case {case}: {highest} beats {answer}");
        }
    }

    fn random_climb(situation: &Situation, areas: [usize; 4], spot: Option<f64>, dice: &mut Dice) -> f64 {
        let [from, to] = within_reach(situation, DrivenIn::Forwards);
        let s = spot.unwrap_or_else(|| dice.between(from, to));
        let stand = Placement::square(Length::metres(s), DrivenIn::Forwards);
        let mut teeth = [None; 4];
        let pads = core::array::from_fn(|i| {
            let all = samples(&situation.vehicle.lift_areas[areas[i]].region);
            let options = pad_options(situation, i, &stand, areas[i], &all);
            let stance = options[dice.below(options.len())];
            teeth[i] = stance.tooth;
            stance.pad
        });
        let start = Start { way: DrivenIn::Forwards, spot: s, pads, teeth, score: 0.0 };
        let mut climber = Climber::new(situation, &start, spot);
        climber.advance(60, f64::NEG_INFINITY);
        climber.worst()
    }
}
