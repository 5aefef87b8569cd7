//! The setup search: the largest worst reserve, then the largest second-worst.

mod look;
mod plane;
mod program;
mod teeth;
#[cfg(test)]
mod tests;

use std::rc::Rc;

use statics::{Force, Length};

use crate::ascent::{Climb, Ground};
use crate::checks::{Least, What, at_least};
use crate::frames::{DrivenIn, Placement};
use crate::heights::{Choice, Heights};
use crate::lift::Corner;
use crate::measure::Pad;
use crate::situation::Situation;
use crate::work::{PushCase, push_of};
use look::{Start, first_look, steps, within_reach};
pub(crate) use program::QUOTIENT;
use program::{Program, Scope};
use teeth::{Teeth, known};

/// What the search found.
#[derive(Clone, Debug)]
pub(crate) struct Found {
    pub(crate) placement: Placement,
    pub(crate) pads: [Pad; 4],
    pub(crate) heights: Heights,
    /// Its worst reserve.
    worst: f64,
    /// The least of the reserves that were raised last.
    settled: f64,
}

/// Worst reserves this near, relatively, are one: the second-worst then decides.
const SAME_WORST: f64 = 0.001;
/// But never farther apart than this, so that the worst stays within its promise.
const SAME_WORST_MOST: f64 = 0.0003;
/// How many further reserves are raised once the worst is secured.
const FURTHER: usize = 3;
/// Starts that are climbed from in each window.
const CLIMBS: usize = 12;
const CLIMBS_AT_ONE_SPOT: usize = 3;
/// Rounds of each heat, and how many go on from it.
const HEATS: [(usize, usize); 4] = [(1, 6), (1, 5), (4, 3), (100, 1)];
/// Climbs whose variables are all nearer than this, metres, are on one hill.
const ONE_HILL: f64 = 0.02;
/// A spot may be so far from that of a higher climb, metres, to be on the way there.
const ON_THE_WAY: f64 = 0.12;
/// Setups from which teeth are tried.
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
const WINDOW_STEP: f64 = 0.02;
/// A reserve must fall and rise again by this much to part two windows.
const DIP: f64 = 0.02;

/// The best setup over every spot (or the one given), way round, lifting areas, teeth and pad places.
///
/// The spots fall into windows, between the dips that doors and columns make. In each, starts
/// from the best of a coarse look climb in heats, of which the highest go on.
pub(crate) fn best(situation: &Situation, spot: Option<f64>, ways: &[DrivenIn]) -> Option<Found> {
    reaching(situation, spot, ways, f64::INFINITY)
}

/// As [`best`], but the first setup whose worst reserve is `enough` will do; none if none has.
///
/// Pushes cost a program each and seldom decide: the best without them is the best with them wherever it
/// withstands them as well; only where it does not, they join.
pub(crate) fn reaching(
    situation: &Situation,
    spot: Option<f64>,
    ways: &[DrivenIn],
    enough: f64,
) -> Option<Found> {
    let found = or_the_best(situation, spot, ways, enough)?;
    let secured = found.settled.min(enough);
    let pushes = pushes_below(situation, &found, secured);
    if pushes >= secured {
        return Some(found);
    }
    let bound = situation.with_pushes();
    if pushes >= found.worst {
        return Some(settled_with_pushes(&bound, &found, spot).unwrap_or(found));
    }
    let anew = or_the_best(&bound, spot, ways, enough);
    // Of springs the pad that is first at its rating changes: where that parts the hills, the old setup may be on the best.
    let climbed = settled_with_pushes(&bound, &found, spot);
    let as_it_is = Found { worst: pushes, ..found };
    let old = climbed.into_iter().chain([as_it_is]).filter(|old| old.worst >= enough || enough.is_infinite());
    anew.into_iter().chain(old).reduce(|a, b| if b.worst > a.worst { b } else { a })
}

/// The least reserve of the pushes at a setup, where that is less than so much: no push is followed farther.
fn pushes_below(situation: &Situation, found: &Found, most: f64) -> f64 {
    let asked = |push: &PushCase| situation.asks(What::WorkForce { task: push.task, force: push.force });
    if !situation.pushes.iter().any(asked) {
        return most;
    }
    let models = situation.models(&found.placement, &found.pads);
    let at_work = situation.at_work(&found.placement, &models);
    if at_work.is_empty() {
        return -1.0;
    }
    situation.push_states().fold(most, |least, (state, push)| {
        let case = &situation.pushes[push];
        let enough = Force::newtons(case.needed * (1.0 + least));
        let push = push_of(&found.placement, case.at, case.along);
        let less = push.map(|push| at_work[state].withstood_below(&push, Some(enough)));
        match less {
            None => -1.0,
            Some(None) => least,
            Some(Some(less)) => {
                less.withstands().map_or(least, |f| at_least(f.to_newtons(), case.needed).min(least))
            }
        }
    })
}

/// The best by what binds in this situation, or the first that is enough. What no setup leaves is not searched for.
fn or_the_best(situation: &Situation, spot: Option<f64>, ways: &[DrivenIn], enough: f64) -> Option<Found> {
    let heights_most = ways.iter().map(|w| heights_most(situation, *w)).fold(f64::NEG_INFINITY, f64::max);
    let out_of_reach = || {
        situation.most_by_weight() < enough
            || heights_most < enough
            || ceiling(situation, spot, ways) < enough
    };
    if enough.is_finite() && out_of_reach() {
        return None;
    }
    let needed = if enough.is_finite() { enough - 2.0 * ENOUGH } else { f64::NEG_INFINITY };
    let mut first: Option<Climber> = None;
    let mut all: Vec<(DrivenIn, Window)> =
        ways.iter().flat_map(|way| windows(situation, *way, spot).into_iter().map(|w| (*way, w))).collect();
    all.sort_by(|a, b| b.1.peak.total_cmp(&a.1.peak));
    let enough_in = |window: &Window| enough.min(heights_most).min(window.peak - ENOUGH);
    let mut most = enough;
    for (way, window) in all {
        let to_beat = first.as_ref().map_or(f64::NEG_INFINITY, Climber::worst);
        let aim = Aim { spot, to_beat, enough: enough_in(&window), needed };
        if to_beat >= aim.enough {
            break;
        }
        if let Some(found) = best_in(situation, way, &[window.from, window.to], aim)
            && found.worst() > to_beat
        {
            (first, most) = (Some(found), aim.enough);
        }
    }
    let mut first = first?;
    // Teeth may serve better where the two sides differ, even where all else is alike.
    let apart = Situation { mirror: None, ..situation.clone() };
    let toothed = first.program.teeth.iter().any(Option::is_some);
    if toothed && situation.mirror.is_some() && first.worst() < most {
        let aim = Aim { spot, to_beat: first.worst() + ENOUGH, enough: most, needed };
        let mut seen = vec![first.program.teeth];
        if let Some(better) = first.better_teeth(&apart, aim, &mut seen) {
            first = better.up_the_teeth(&apart, aim, &mut seen);
        }
    }
    if enough.is_infinite() {
        first.settle();
    }
    first.found().filter(|found| found.worst > needed)
}

/// The reserves after the worst raised once more, with pushes among them.
fn settled_with_pushes(situation: &Situation, found: &Found, spot: Option<f64>) -> Option<Found> {
    let mut climber = Climber::from_setup(situation, &found.placement, &found.pads, spot);
    climber.take_loads_in();
    climber.advance(40, f64::NEG_INFINITY);
    climber.settle();
    climber.found()
}

/// The highest that one climb reaches from a setup, its arms on the teeth that they are on: no more than the best.
pub(crate) fn climbed(
    situation: &Situation,
    stand: &Placement,
    pads: &[Pad; 4],
    spot: Option<f64>,
) -> Option<Found> {
    let bound = situation.with_pushes();
    let mut climber = Climber::from_setup(&bound, stand, pads, spot);
    climber.advance(40, f64::NEG_INFINITY);
    climber.found()
}

/// No setup at all leaves more: what the heights, and the stand alone at its best spot, leave.
pub(crate) fn ceiling(situation: &Situation, spot: Option<f64>, ways: &[DrivenIn]) -> f64 {
    let of = |way: &DrivenIn| {
        let at = |s: f64| {
            let stand = Placement::square(Length::metres(s), *way);
            Least::of(|out| situation.measure_stand(&stand, out)).min(situation.reach_most(&stand))
        };
        let peaks =
            || windows(situation, *way, None).iter().map(|w| w.peak).fold(f64::NEG_INFINITY, f64::max);
        spot.map_or_else(peaks, at).min(heights_most(situation, *way))
    };
    ways.iter().map(of).fold(f64::NEG_INFINITY, f64::max)
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
    /// What reaches no more is of no use.
    needed: f64,
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
    if tops.first()?.worst() <= aim.needed {
        return None;
    }
    let aim = Aim { enough: aim.enough.min(ceiling), ..aim };
    if !has_fine_teeth(situation) {
        let guide = tops.first()?.program.decode(&tops.first()?.climb.x).1;
        let starts = first_look(situation, way, window, Some(&guide));
        let feet = heats(situation, &starts, aim, TOPS);
        let mut seen: Vec<Teeth> = feet.iter().map(|foot| foot.program.teeth).collect();
        let tops = feet.into_iter().map(|foot| foot.up_the_teeth(situation, aim, &mut seen));
        return tops.reduce(|best, top| if top.worst() > best.worst() { top } else { best });
    }
    let mut seen = Vec::new();
    let mut best: Option<Climber> = None;
    for top in &tops {
        let to_beat = best.as_ref().map_or(aim.to_beat, Climber::worst);
        if top.climb.most <= to_beat {
            continue;
        }
        best = top.better_teeth(situation, Aim { to_beat, ..aim }, &mut seen).or(best);
    }
    Some(best?.up_the_teeth(situation, aim, &mut seen))
}

/// Climbs from every start, fewer after each heat; the highest `left`, highest first.
fn heats<'a>(situation: &'a Situation<'a>, starts: &[Start], aim: Aim, left: usize) -> Vec<Climber<'a>> {
    let Aim { spot, mut to_beat, enough, .. } = aim;
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
    for (heat, (rounds, go_on)) in HEATS.into_iter().enumerate() {
        // The leader alone goes all the way: the others are only to say where else to look.
        let on = if heat + 1 < HEATS.len() { field.len() } else { 1 };
        for climber in field.iter_mut().take(on) {
            climber.advance(rounds, to_beat);
            to_beat = to_beat.max(climber.worst());
            if to_beat >= enough {
                break;
            }
        }
        field.sort_by(|a, b| b.worst().total_cmp(&a.worst()));
        keep_apart(&mut field, left);
        field.truncate(go_on.max(left));
    }
    field.truncate(left);
    field
}

/// Of climbs that have come together on one hill keeps the first; where no more than one is asked for, of those as well
/// that are on their way there.
fn keep_apart(field: &mut Vec<Climber>, left: usize) {
    let mut kept = 0;
    for k in 0..field.len() {
        let on_one_hill =
            |other: &Climber| other.is_near(&field[k], 0) || left == 1 && other.draws(&field[k]);
        if !field[..kept].iter().any(on_one_hill) {
            field.swap(kept, k);
            kept += 1;
        }
    }
    field.truncate(kept);
}

/// The largest reserve that heights allow, whichever lifting areas are used.
pub(crate) fn heights_most(situation: &Situation, way: DrivenIn) -> f64 {
    let areas = &situation.vehicle.lift_areas;
    let own = |corner| areas.iter().enumerate().filter(move |(_, a)| a.corner == corner).map(|(k, _)| k);
    let undersides = |all: &[usize; 4]| all.map(|k| areas[k].underside.to_metres().to_bits());
    let mut known: Vec<[u64; 4]> = Vec::new();
    let mut most = f64::NEG_INFINITY;
    for fl in own(Corner::FrontLeft) {
        for fr in own(Corner::FrontRight) {
            for rl in own(Corner::RearLeft) {
                for rr in own(Corner::RearRight) {
                    let all = [fl, fr, rl, rr];
                    if !known.contains(&undersides(&all)) {
                        known.push(undersides(&all));
                        let choices = situation.height_choices(all, way);
                        most = choices.iter().map(|c| c.reserve).fold(most, f64::max);
                    }
                }
            }
        }
    }
    most
}

/// Whether neighbouring teeth are so near that the best ones lie beside where a free arm would go.
fn has_fine_teeth(situation: &Situation) -> bool {
    situation
        .lift
        .arms
        .iter()
        .all(|a| situation.pitch(a).is_none_or(|p| p.to_radians() * a.reach_out.to_metres() < FINE_TEETH))
}

/// Spots between two dips of what the stand alone allows.
#[derive(Clone, Copy, Debug)]
struct Window {
    from: f64,
    to: f64,
    /// The most that the stand alone allows in it.
    peak: f64,
}

/// Spots fall into windows between dips of what the stand alone allows: a door that meets a column
/// now with its face, now with its edge. A climb does not cross a dip.
fn windows(situation: &Situation, way: DrivenIn, spot: Option<f64>) -> Vec<Window> {
    if let Some(spot) = spot {
        return vec![Window { from: spot, to: spot, peak: f64::INFINITY }];
    }
    let [from, to] = within_reach(situation, way);
    let at = |s: f64| Placement::square(Length::metres(s), way);
    let stand = |s: f64| Least::of(|out| situation.measure_stand(&at(s), out));
    let all: Vec<(f64, f64)> = steps(from, to, WINDOW_STEP).map(|s| (s, stand(s))).collect();
    // Indices of the dips, both ends among them.
    let mut dips = vec![0];
    let (mut peak, mut low) = (f64::NEG_INFINITY, (0, f64::INFINITY));
    for (k, (_, value)) in all.iter().enumerate() {
        if *value >= peak {
            (peak, low) = (*value, (k, *value));
        } else if *value <= low.1 {
            low = (k, *value);
        }
        if *value > low.1 + DIP && peak > low.1 + DIP {
            dips.push(low.0);
            (peak, low) = (*value, (k, *value));
        }
    }
    dips.push(all.len() - 1);
    // Where no arm reaches, it does not matter what the stand allows.
    let reach = |s: f64| situation.reach_most(&at(s)) + situation.reach_gained(WINDOW_STEP);
    let window = |ends: &[usize]| {
        let mut spots = all[ends[0]..=ends[1]].to_vec();
        let [from, to] = [spots[0].0, spots[spots.len() - 1].0];
        spots.sort_by(|a, b| b.1.total_cmp(&a.1));
        let mut peak = (f64::NEG_INFINITY, from);
        for (s, left) in spots {
            if left <= peak.0 {
                break;
            }
            let left = left.min(reach(s));
            if left > peak.0 {
                peak = (left, s);
            }
        }
        let beside = [(peak.1 - WINDOW_STEP).max(from), (peak.1 + WINDOW_STEP).min(to)];
        Window { from, to, peak: highest(stand, beside).min(reach(peak.1)) }
    };
    dips.windows(2).map(window).collect()
}

/// The most of a function of one peak between two places, by golden sections to a ten-thousandth.
fn highest(f: impl Fn(f64) -> f64, [mut a, mut b]: [f64; 2]) -> f64 {
    let part = (5f64.sqrt() - 1.0) / 2.0;
    let (mut c, mut d) = (b - part * (b - a), a + part * (b - a));
    let (mut at_c, mut at_d) = (f(c), f(d));
    let ends = [f(a), f(b)];
    let mut most = ends[0].max(ends[1]).max(at_c).max(at_d);
    let flat = [ends[1], at_c, at_d].iter().all(|v| (v - ends[0]).abs() < 1e-9);
    while b - a > 1e-6 && !flat {
        if at_c > at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - part * (b - a);
            at_c = f(c);
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + part * (b - a);
            at_d = f(d);
        }
        most = most.max(at_c).max(at_d);
    }
    most
}

/// A climb from one start.
struct Climber<'a> {
    program: Program<'a>,
    climb: Climb,
    scale: Vec<f64>,
    heights: Rc<Vec<Choice>>,
    /// Least reserve of the loads where they are not among the functions.
    loads: f64,
    /// Largest reserve of the heights: no setup on these areas has a larger worst.
    heights_most: f64,
}

impl<'a> Climber<'a> {
    fn with_heights(
        situation: &'a Situation<'a>,
        start: &Start,
        spot: Option<f64>,
        heights: Rc<Vec<Choice>>,
    ) -> Self {
        let (program, x) = start.program(situation, spot, Scope::WithoutLoads);
        Self::from_foot(program, x, heights, None)
    }

    /// From a setup, on the teeth that it is on.
    fn from_setup(
        situation: &'a Situation<'a>,
        stand: &Placement,
        pads: &[Pad; 4],
        spot: Option<f64>,
    ) -> Self {
        let teeth = core::array::from_fn(|i| {
            let swing = situation.arm_setting(i, stand, pads[i].at).swing;
            situation.pitch(situation.arm(i, stand)).map(|_| swing)
        });
        let start = Start {
            way: stand.driven_in,
            spot: stand.spot.to_metres(),
            pads: *pads,
            teeth,
            score: f64::NEG_INFINITY,
        };
        let heights = Rc::new(situation.height_choices(pads.map(|p| p.area), stand.driven_in));
        Self::with_heights(situation, &start, spot, heights)
    }

    /// At its foot; loads are looked at where they are not among the functions from the beginning. `slopes` are those of
    /// a setup near by, with their doubt.
    fn from_foot(
        mut program: Program<'a>,
        x: Vec<f64>,
        heights: Rc<Vec<Choice>>,
        slopes: Option<(Vec<f64>, f64)>,
    ) -> Self {
        let scope = program.scope;
        let mut climber = Self {
            climb: match slopes {
                Some((slopes, doubt)) => Climb::with_slopes(&mut program, x, slopes, doubt),
                None => Climb::new(&mut program, x, &[]),
            },
            scale: program.scale(),
            heights_most: heights.iter().map(|c| c.reserve).fold(f64::NEG_INFINITY, f64::max),
            heights,
            loads: f64::INFINITY,
            program,
        };
        if scope != Scope::All {
            climber.look_at_loads();
        }
        climber
    }

    /// Where it is, with the heights that serve there.
    fn found(&self) -> Option<Found> {
        let worst = self.climb.values.iter().copied().fold(f64::INFINITY, f64::min);
        let chosen = crate::heights::least_that_serves(&self.heights, worst)?;
        let (placement, pads) = self.program.decode(&self.climb.x);
        Some(Found {
            placement,
            pads,
            heights: chosen.heights.clone(),
            worst: worst.min(self.heights_most),
            settled: self.climb.least,
        })
    }

    fn worst(&self) -> f64 {
        self.climb.least.min(self.loads).min(self.heights_most)
    }

    /// Whether a lower climb comes up the same hill: of free arms its spot may be farther off, as long as its last step
    /// brought it nearer.
    fn draws(&self, other: &Self) -> bool {
        let free = self.program.spot.is_none() && self.program.teeth.iter().all(Option::is_none);
        let [own, its] = [self.climb.x[0], other.climb.x[0]];
        free && (own - its).abs() < ON_THE_WAY && self.is_near(other, 1) && other.climb.steps_towards(0, own)
    }

    /// Whether another climb is on the same hill: same areas and teeth, and none of the variables from one on far from
    /// its own.
    fn is_near(&self, other: &Self, from: usize) -> bool {
        let near = |(a, b): (&f64, &f64)| (a - b).abs() < ONE_HILL;
        self.program.areas == other.program.areas
            && known(&[self.program.teeth], &other.program.teeth)
            && self.climb.x.iter().zip(&other.climb.x).skip(from).all(near)
    }

    fn advance(&mut self, rounds: usize, to_beat: f64) {
        loop {
            let floors = vec![None; self.climb.values.len()];
            let ground = Ground { scale: &self.scale, floors: &floors, enough: ENOUGH };
            self.climb.advance(&mut self.program, ground, rounds, to_beat.min(self.heights_most));
            if self.program.scope == Scope::All || !self.look_at_loads() {
                return;
            }
        }
    }

    /// Takes the loads in among the functions, for good, where they hold the climb back; whether it did.
    fn look_at_loads(&mut self) -> bool {
        self.loads = self.program.least_of_loads(&self.climb.x, self.climb.least);
        let hold = self.loads < self.climb.least;
        if hold {
            self.take_loads_in();
        }
        hold
    }

    fn take_loads_in(&mut self) {
        self.program.scope = Scope::All;
        self.loads = f64::INFINITY;
        self.climb = Climb::new(&mut self.program, self.climb.x.clone(), &[]);
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

    /// With the worst reserve secured, raises the second-worst, and so on while there is freedom.
    fn settle(&mut self) {
        self.climb.ended = false;
        self.advance(40, f64::NEG_INFINITY);
        if self.program.scope != Scope::All {
            let held_by = core::mem::take(&mut self.climb.held_by);
            self.take_loads_in();
            self.climb.held_by = held_by;
        }
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
