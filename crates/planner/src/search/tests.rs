//! The search against random climbs.

use super::look::{pad_options, samples};
use super::*;
use crate::checks::Sink;
use crate::job::{Posture, Task, WorkForce};
use crate::lift::Lift;
use crate::vehicle::Vehicle;
use crate::{Job, Limits, Region};

use crate::common;
use statics::{Angle, Place};

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
        arm.tooth_pitch = teeth.then(|| Angle::degrees(5.0));
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
        area.region = Region::strip(Place::metres([from, s * y]), Place::metres([to, s * y]), m(w)).unwrap();
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
        let pieces = alike.measure(&found.placement, &found.pads, &found.heights);
        let answer = Least::of(|out| pieces.into_iter().for_each(|p| out.take(p)));
        let stand = Least::of(|out| alike.measure_stand(&found.placement, out));
        let apart = Situation { mirror: None, ..alike.clone() };
        let areas = found.pads.map(|p| p.area);
        let highest =
            (0..100).map(|_| random_climb(&apart, areas, spot, &mut dice)).fold(f64::NEG_INFINITY, f64::max);
        let highest = if spot.is_some() { highest.min(stand) } else { highest };
        // Where all fail, the nearest is told for what it is: a fiftieth nearer teaches nothing else.
        let near = if highest < 0.0 { 0.02 * answer.abs() } else { 0.001 };
        assert!(highest <= answer + near, "case {case}: {highest} beats {answer}");
    }
}

/// A job whose forces hold the setup back: they join the search, and the setup moves towards them.
#[test]
fn a_big_push_moves_the_pads_and_no_random_climb_goes_higher() {
    let limits = Limits::default();
    let mut dice = Dice(1_234_567);
    let (mut moved, mut gained, mut decided) = (0, 0.0_f64, 0);
    for case in 0..24 {
        let (lift, vehicle) = vary(&mut dice, case % 3 == 1, case % 3 == 2);
        let plain = Job::default();
        let alone = Situation::new(&lift, &vehicle, &plain, &limits).unwrap();
        let spot = alone.band().map(|b| b.front_wheel.to_metres());
        let without = best(&alone, spot, &[DrivenIn::Forwards]).unwrap();
        let job = pushing(&mut dice);
        let alike = Situation::new(&lift, &vehicle, &job, &limits).unwrap();
        let worst = |found: &Found| {
            let pieces = alike.measure(&found.placement, &found.pads, &found.heights);
            Least::of(|out| pieces.into_iter().for_each(|p| out.take(p)))
        };
        let found = best(&alike, spot, &[DrivenIn::Forwards]).unwrap();
        let (answer, before) = (worst(&found), worst(&without));
        // What is secured may give way by so much, so that more comes after it.
        assert!(answer >= before - SAME_WORST_MOST - 1e-6, "case {case}: {answer}, {before} without the job");
        moved += i32::from(found.pads != without.pads);
        gained = gained.max(answer - before);
        let pushes = Least::of(|out| alike.measure_pushes(&found.placement, &found.pads, out));
        decided += i32::from((pushes - answer).abs() < 1e-4);
        let apart = Situation { mirror: None, ..alike.with_pushes() };
        let stand = Least::of(|out| alike.measure_stand(&found.placement, out));
        let areas = found.pads.map(|p| p.area);
        let highest =
            (0..12).map(|_| random_climb(&apart, areas, spot, &mut dice)).fold(f64::NEG_INFINITY, f64::max);
        let highest = if spot.is_some() { highest.min(stand) } else { highest };
        assert!(highest <= answer + 0.001, "case {case}: {highest} beats {answer}");
    }
    assert!(moved >= 8 && decided >= 5 && gained > 0.05, "{moved} {decided} {gained}");
}

/// Something hard to do: up, down or sideways, ahead of the pads or behind them.
fn pushing(dice: &mut Dice) -> Job {
    let at = [dice.between(-0.6, 3.2), dice.between(-0.8, 0.8), dice.between(0.2, 0.9)];
    let up = if dice.roll() < 0.5 { 1.0 } else { -1.0 };
    let force = WorkForce {
        bar: None,
        name: "hard".into(),
        at: statics::Point::metres(at),
        off: [Length::ZERO; 3],
        directions: vec![[0.0, 0.0, up], [dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), 0.1]],
        size: crate::Measured::given(Force::newtons(dice.between(1500.0, 4000.0)), Force::newtons(100.0)),
    };
    let task =
        Task { name: "task".into(), posture: Posture::StandingUnder, during: vec![], forces: vec![force] };
    Job { tasks: vec![task], ..Job::default() }
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
    let heights = situation.height_choices(areas, DrivenIn::Forwards);
    let mut climber = Climber::with_heights(situation, &start, spot, Rc::new(heights));
    climber.advance(60, f64::NEG_INFINITY);
    climber.worst()
}
