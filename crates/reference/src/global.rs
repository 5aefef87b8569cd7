//! Other ways to the best setup, which only ask the planner what a given setup is worth.
//!
//! [`search`] climbs by evolution from many random setups: what it finds must not beat the planner. [`rules_out`]
//! is a branch and bound over the checks of single pads: it shows that no setup whatever is worth so much.

use planner::checks::What;
use planner::frames::{DrivenIn, Placement};
use planner::lift::Corner;
use planner::plan::Check;
use planner::setup::PadAt;
use planner::{Job, Lift, Limits, Setup, Vehicle};
use statics::{Length, Place};

use crate::random::Random;

/// One question to the planner.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// The lift.
    pub lift: &'a Lift,
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The job.
    pub job: &'a Job,
    /// The limits.
    pub limits: &'a Limits,
    /// Tops of the pads; `None` = what the planner makes of a setup that leaves them out.
    pub tops: Option<[Length; 4]>,
}

/// Spot and four pads as one row of numbers.
pub type Point = [f64; 9];

/// Coordinates of a setup and the box that they may lie in.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Least of each.
    pub least: Point,
    /// Greatest of each.
    pub greatest: Point,
}

impl Question<'_> {
    /// All spots from which an arm could reach, and the boxes round the chosen lifting areas.
    #[must_use]
    pub fn room(&self, areas: [usize; 4], way: DrivenIn) -> Room {
        let (mut least, mut greatest) = ([0.0; 9], [0.0; 9]);
        let reach = self.lift.arms.iter().map(|a| a.reach_out.to_metres() + a.pivot.x().to_metres().abs());
        let reach = reach.fold(0.0, f64::max);
        let (mut from, mut to) = (f64::INFINITY, f64::NEG_INFINITY);
        for (i, area) in areas.iter().enumerate() {
            for axis in 0..2 {
                let corners = self.vehicle.lift_areas[*area].region.corners();
                let values = corners.iter().map(|c| c.to_metres()[axis]);
                let (lo, hi) =
                    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
                (least[1 + 2 * i + axis], greatest[1 + 2 * i + axis]) = (lo, hi);
                if axis == 0 {
                    (from, to) = (from.min(lo), to.max(hi));
                }
            }
        }
        // Driven in forwards a pad at `aft` stands at spot - aft, backwards at spot + aft.
        (least[0], greatest[0]) =
            if way == DrivenIn::Forwards { (from - reach, to + reach) } else { (-to - reach, reach - from) };
        if let Some(spot) = self.plate_spot() {
            (least[0], greatest[0]) = (spot, spot);
        }
        Room { least, greatest }
    }

    /// Where the plate puts the front wheel.
    #[must_use]
    pub fn plate_spot(&self) -> Option<f64> {
        let bands = &self.lift.plate.as_ref()?.bands;
        bands.iter().find(|b| b.holds(self.vehicle.wheelbase.value)).map(|b| b.front_wheel.to_metres())
    }

    /// Every choice of one lifting area a corner.
    #[must_use]
    pub fn area_choices(&self) -> Vec<[usize; 4]> {
        let mut choices = vec![[0; 4]];
        for (i, corner) in Corner::ALL.into_iter().enumerate() {
            let of_corner: Vec<usize> = (0..self.vehicle.lift_areas.len())
                .filter(|k| self.vehicle.lift_areas[*k].corner == corner)
                .collect();
            choices = choices
                .into_iter()
                .flat_map(|c| {
                    of_corner.iter().map(move |k| {
                        let mut c = c;
                        c[i] = *k;
                        c
                    })
                })
                .collect();
        }
        choices
    }

    /// Ways to drive in.
    #[must_use]
    pub fn ways(&self) -> Vec<DrivenIn> {
        let both = self.lift.backwards_allowed && self.lift.plate.is_none();
        if both { vec![DrivenIn::Forwards, DrivenIn::Backwards] } else { vec![DrivenIn::Forwards] }
    }

    /// The checks of a setup that steer, as the planner measures them; none when it cannot be measured.
    #[must_use]
    pub fn checks(&self, x: &Point, way: DrivenIn) -> Vec<Check> {
        let pad = |i: usize| PadAt {
            at: Place::metres([x[1 + 2 * i], x[2 + 2 * i]]),
            adapters: None,
            height: self.tops.map(|t| t[i]),
        };
        let setup = Setup {
            placement: Placement::square(Length::metres(x[0]), way),
            pads: [pad(0), pad(1), pad(2), pad(3)],
        };
        let found = planner::as_placed(self.lift, self.vehicle, self.job, self.limits, &setup);
        found.map_or_else(
            |_| Vec::new(),
            |plan| plan.checks.into_iter().filter(|c| c.binding && c.steers).collect(),
        )
    }

    /// The setup with every arm that has teeth turned to the nearest one, its reach kept.
    #[must_use]
    pub fn on_teeth(&self, x: &Point, way: DrivenIn) -> Point {
        let mut set = *x;
        let stand = Placement::square(Length::metres(x[0]), way);
        for (i, corner) in Corner::ALL.into_iter().enumerate() {
            let arm = &self.lift.arms[planner::setup::arm_for(corner, &stand).index()];
            let Some(pitch) = arm.tooth_pitch.map(|p| p.to_radians()) else { continue };
            let pivot = arm.pivot.to_metres();
            let pad = stand.to_bay(Place::metres([x[1 + 2 * i], x[2 + 2 * i]])).to_metres();
            let (dx, dy) = (pad[0] - pivot[0], pad[1] - pivot[1]);
            let from = arm.swing_from.to_radians();
            let last = ((arm.swing_to.to_radians() - from) / pitch + 1e-9).floor();
            // The swing counted from the stop, whichever way round the circle it was given.
            let turn = (dy.atan2(dx) - from).rem_euclid(core::f64::consts::TAU);
            let tooth = (turn / pitch).round();
            let tooth = if tooth <= last {
                tooth
            } else if turn > 4.0 {
                0.0
            } else {
                last
            };
            let (sin, cos) = (from + tooth * pitch).sin_cos();
            let reach = dx.hypot(dy);
            let at = stand.to_vehicle(Place::metres([pivot[0] + reach * cos, pivot[1] + reach * sin]));
            [set[1 + 2 * i], set[2 + 2 * i]] = at.to_metres();
        }
        set
    }

    /// Worst reserve of a setup, arms on their teeth.
    #[must_use]
    pub fn worth(&self, x: &Point, way: DrivenIn) -> f64 {
        let checks = self.checks(&self.on_teeth(x, way), way);
        let worst = checks.iter().map(|c| c.reserve).fold(f64::INFINITY, f64::min);
        if worst.is_finite() { worst } else { f64::NEG_INFINITY }
    }

    /// The same where it is at least `floor`; else anything below: forces, which take longest, are asked last.
    fn worth_from(&self, x: &Point, way: DrivenIn, floor: f64, idle: Option<&Job>) -> f64 {
        let at_rest = idle.map_or(f64::INFINITY, |job| Question { job, ..*self }.worth(x, way));
        if at_rest < floor { at_rest } else { self.worth(x, way) }
    }
}

/// The same job with nobody pushing; `None` if nobody does.
fn idle(job: &Job) -> Option<Job> {
    let pushes = job.tasks.iter().any(|task| !task.forces.is_empty());
    pushes.then(|| Job { tasks: vec![], ..job.clone() })
}

/// The best setup that evolution finds from `starts` random setups and from those given, with its worth.
///
/// One parent, one child, the covariance of its steps learnt from what succeeded (Igel, Suttorp, Hansen 2006).
#[must_use]
pub fn search(
    question: &Question,
    way: DrivenIn,
    room: &Room,
    random: &mut Random,
    starts: usize,
    given: &[Point],
) -> (f64, Point) {
    let mut best = (f64::NEG_INFINITY, room.least);
    for k in 0..starts + given.len() {
        let start = given.get(k).copied().unwrap_or_else(|| {
            // Several throws, the best of them to begin with: most random setups are hopeless.
            let idle = idle(question.job);
            let mut best = (f64::NEG_INFINITY, room.least);
            for _ in 0..60 {
                let mut x = room.least;
                for (j, v) in x.iter_mut().enumerate() {
                    *v = random.between(room.least[j], room.greatest[j]);
                }
                let value = question.worth_from(&x, way, best.0, idle.as_ref());
                if value >= best.0 {
                    best = (value, x);
                }
            }
            best.1
        });
        let found = evolve(question, way, room, random, start, if k < given.len() { 0.01 } else { 0.05 });
        if found.0 > best.0 {
            best = found;
        }
    }
    best
}

fn evolve(
    question: &Question,
    way: DrivenIn,
    room: &Room,
    random: &mut Random,
    start: Point,
    step: f64,
) -> (f64, Point) {
    const N: usize = 9;
    let (mut x, mut sigma) = (start, step);
    let mut worth = question.worth(&x, way);
    let idle = idle(question.job);
    // Factor of the steps' covariance; learns the directions in which the worst checks can rise together.
    let mut factor = [[0.0; N]; N];
    for (i, row) in factor.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    let (success_aim, damping, learning): (f64, f64, f64) = (2.0 / 11.0, 1.0 + 9.0 / 2.0, 2.0 / (81.0 + 6.0));
    let mut success = success_aim;
    for _ in 0..1500 {
        let mut z = [0.0; N];
        z.iter_mut().for_each(|v| *v = normal(random));
        let direction: [f64; N] =
            core::array::from_fn(|i| factor[i].iter().zip(&z).map(|(f, z)| f * z).sum());
        let child: Point =
            core::array::from_fn(|i| (x[i] + sigma * direction[i]).clamp(room.least[i], room.greatest[i]));
        let value = question.worth_from(&child, way, worth, idle.as_ref());
        let better = value >= worth;
        success = 0.92 * success + 0.08 * f64::from(u8::from(better));
        sigma *= ((success - success_aim) / (1.0 - success_aim) / damping).exp();
        if better {
            (x, worth) = (child, value);
            let size: f64 = z.iter().map(|v| v * v).sum();
            let keep = (1.0 - learning).sqrt();
            let add = keep / size * ((1.0 + learning * size / (1.0 - learning)).sqrt() - 1.0);
            for (row, d) in factor.iter_mut().zip(&direction) {
                for (f, z) in row.iter_mut().zip(&z) {
                    *f = keep * *f + add * d * z;
                }
            }
        }
        if sigma < 1e-7 {
            break;
        }
    }
    (worth, x)
}

/// Standard normal number (Box and Muller 1958).
fn normal(random: &mut Random) -> f64 {
    let radius = (-2.0 * random.between(1e-12, 1.0).ln()).sqrt();
    radius * random.between(0.0, core::f64::consts::TAU).cos()
}

/// Whether no setup of these areas can be worth `level` or more, by the checks of single pads alone.
///
/// Halves the range of spots until, in each part, some pad has no place worth the level; places are halved in
/// turn. A check's reserve over a box is at most its value in the middle plus what it can gain on the way: its
/// demand changes by at most a metre a metre of pad and, where the pivot is concerned, of spot; a swing by that
/// over the arm's length. `false` = not shown: what binds involves all pads together, or it takes too long.
#[must_use]
pub fn rules_out(question: &Question, way: DrivenIn, room: &Room, level: f64) -> bool {
    let mut open = vec![[room.least[0], room.greatest[0]]];
    let mut left = 250_000_usize;
    while let Some([from, to]) = open.pop() {
        let (spot, half) = (f64::midpoint(from, to), (to - from) / 2.0);
        let ruled_out = Corner::ALL
            .into_iter()
            .any(|corner| !pad_has_place(question, way, room, corner, [spot, half], level, &mut left));
        if left == 0 || !ruled_out && half < 2e-6 {
            return false;
        }
        if !ruled_out {
            open.extend([[from, spot], [spot, to]]);
        }
    }
    true
}

/// Whether some place of one pad may be worth the level for some of these spots (middle and half-width).
fn pad_has_place(
    q: &Question,
    way: DrivenIn,
    room: &Room,
    corner: Corner,
    spots: [f64; 2],
    level: f64,
    left: &mut usize,
) -> bool {
    let at = [1 + 2 * corner.index(), 2 + 2 * corner.index()];
    let mut open = vec![(
        at.map(|k| f64::midpoint(room.least[k], room.greatest[k])),
        at.map(|k| (room.greatest[k] - room.least[k]) / 2.0),
    )];
    while let Some((middle, half)) = open.pop() {
        if *left == 0 {
            return true;
        }
        *left -= 1;
        let mut x: Point = core::array::from_fn(|j| f64::midpoint(room.least[j], room.greatest[j]));
        (x[0], x[at[0]], x[at[1]]) = (spots[0], middle[0], middle[1]);
        let (value, most, wide) = look(q, way, &x, corner, half, spots[1]);
        if most < level {
            continue;
        }
        // The middle itself is worth it, or the box is as small as the range of spots: halve that first.
        let small = (spots[1] / 2.0).max(1e-7);
        let wide = if half[wide] < small { 1 - wide } else { wide };
        if value >= level || half[wide] < small {
            return true;
        }
        for side in [-0.5, 0.5] {
            let (mut middle, mut small) = (middle, half);
            small[wide] /= 2.0;
            middle[wide] += side * half[wide];
            open.push((middle, small));
        }
    }
    false
}

/// Worst reserve of one pad's checks at a setup; the most it can be when the pad moves within a box and the spot by
/// up to `spot`; and the side of the box that matters most to that.
fn look(
    q: &Question,
    way: DrivenIn,
    x: &Point,
    corner: Corner,
    half: [f64; 2],
    spot: f64,
) -> (f64, f64, usize) {
    let both = half[0].hypot(half[1]) + spot;
    let shortest = q.lift.arms.iter().map(|a| a.reach_in.to_metres()).fold(f64::INFINITY, f64::min);
    let wider = usize::from(half[1] > half[0]);
    let (mut value, mut most) = (f64::INFINITY, (f64::INFINITY, wider));
    for check in q.checks(x, way) {
        let limit = check.what.limit().map_or(check.limit, |n| q.limits.get(n));
        let (change, wide) = match check.what {
            What::PadInArea(c) if c == corner => in_area(q, x, corner, half, check.demand),
            What::PadToKeepOut(c, _) if c == corner => (half[0].hypot(half[1]), wider),
            What::ReachOut(c) if c == corner => reach_out(q, way, x, corner, half, spot),
            What::ReachIn(c) | What::BeamToTyre(c, _) if c == corner => (both, wider),
            // An arm shorter than its inner stop fails there already; a longer one turns by less.
            What::SwingFrom(c) | What::SwingTo(c) if c == corner => {
                ((both / (shortest - both).max(1e-3)).min(core::f64::consts::PI), wider)
            }
            _ => continue,
        };
        value = value.min(check.reserve);
        if check.reserve + change / limit < most.0 {
            most = (check.reserve + change / limit, wide);
        }
    }
    (value, most.0, most.1)
}

/// How much shorter the reach can be within a box: the reach is convex, so no shorter than its tangent says.
fn reach_out(
    q: &Question,
    way: DrivenIn,
    x: &Point,
    corner: Corner,
    half: [f64; 2],
    spot: f64,
) -> (f64, usize) {
    let stand = Placement::square(Length::metres(x[0]), way);
    let arm = &q.lift.arms[planner::setup::arm_for(corner, &stand).index()];
    let pad = stand.to_bay(Place::metres([x[1 + 2 * corner.index()], x[2 + 2 * corner.index()]])).to_metres();
    let pivot = arm.pivot.to_metres();
    let (dx, dy) = (pad[0] - pivot[0], pad[1] - pivot[1]);
    let long = dx.hypot(dy);
    let parts = [dx.abs() / long * half[0], dy.abs() / long * half[1]];
    (parts[0] + parts[1] + dx.abs() / long * spot, usize::from(parts[1] > parts[0]))
}

/// How much deeper than `depth` a pad can be in its area within a box. The depth in a convex area is the least of
/// the distances to its sides, each of which grows by a known part of the box's two halves.
fn in_area(q: &Question, x: &Point, corner: Corner, half: [f64; 2], depth: f64) -> (f64, usize) {
    let at = [x[1 + 2 * corner.index()], x[2 + 2 * corner.index()]];
    let wider = usize::from(half[1] > half[0]);
    let isotropic = (half[0].hypot(half[1]), wider);
    let own = q.vehicle.lift_areas.iter().filter(|a| a.corner == corner);
    own.map(|area| {
        let sides: Vec<[[f64; 2]; 2]> = area.region.sides().collect();
        let turn = |[a, b]: [[f64; 2]; 2], p: [f64; 2]| {
            (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
        };
        let corners: Vec<[f64; 2]> = sides.iter().map(|s| s[0]).collect();
        let round = corners
            .iter()
            .map(|p| turn(sides[0], *p))
            .fold(0.0_f64, |m, v| if v.abs() > m.abs() { v } else { m });
        let convex = sides.iter().all(|s| corners.iter().all(|p| turn(*s, *p) * round.signum() > -1e-12));
        if !convex {
            return isotropic;
        }
        let side = |s: &[[f64; 2]; 2]| {
            let (dx, dy) = (s[1][0] - s[0][0], s[1][1] - s[0][1]);
            let long = dx.hypot(dy);
            let parts = [dy.abs() / long * half[0], dx.abs() / long * half[1]];
            let distance = turn(*s, at) * round.signum() / long;
            (distance + parts[0] + parts[1] - depth, usize::from(parts[1] > parts[0]))
        };
        sides.iter().map(side).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or(isotropic)
    })
    .max_by(|a, b| a.0.total_cmp(&b.0))
    .unwrap_or(isotropic)
}
