//! The setup search: the largest worst reserve, then the largest second-worst.

mod look;
mod program;
#[cfg(test)]
mod tests;

use std::rc::Rc;

use statics::Length;

use crate::ascent::{Climb, Ground};
use crate::frames::{DrivenIn, Placement};
use crate::heights::{Choice, Heights};
use crate::measure::{Pad, wrapped};
use crate::situation::Situation;
use look::{Stance, Start, first_look, least, pad_options, same_tooth, samples, steps, within_reach};
use program::Program;

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
