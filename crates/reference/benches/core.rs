//! What the computing alone takes, on one core. `scripts/bench` runs it and sets it beside SciPy.

#![expect(clippy::expect_used, reason = "a benchmark ends where it fails")]

use divan::{Bencher, black_box};
use planner::job::Step;
use planner::order::{best_order, state_reserves};
use planner::vehicle::Part;
use planner::{Job, Lift, Limits, Situation, Vehicle};
use reference::random::Random;
use reference::spec::{Foot, Hold, Spec};
use statics::{Length, Mass, Point, Push};

#[path = "../tests/shop/demo.rs"]
mod demo;
#[path = "../tests/shop/mod.rs"]
mod shop;

fn main() {
    divan::main();
}

/// Four pads under a car, and a pull sideways on a hub: the example of the contract.
fn four_pads() -> Spec {
    let foot = |x: f64, y: f64| Foot {
        at: [x, y, 0.2],
        place_tolerance: 0.015,
        stiffness: 350_000.0,
        gap: 0.0,
        friction: 0.2,
        rated: Some(8_000.0),
        hold: Hold::Everywhere,
    };
    Spec {
        mass: 1360.0,
        cg: [-1.03, 0.01, 0.54],
        cg_tolerance: [0.02, 0.01, 0.02],
        tilt_tolerance: 0.017,
        feet: vec![foot(-0.5, 0.72), foot(-0.5, -0.72), foot(-1.9, 0.72), foot(-1.9, -0.72)],
    }
}

#[divan::bench]
fn working_force(bencher: Bencher) {
    let (set, body) = four_pads().to_core().expect("a legal set");
    let push = Push::new(Point::metres([0.0, 0.8, 0.33]), [0.0, 1.0, 0.0]).expect("a direction");
    bencher.bench(|| black_box(&set).working_force(black_box(&body), black_box(&push)));
}

#[divan::bench]
fn load_estimate(bencher: Bencher) {
    let (set, body) = four_pads().to_core().expect("a legal set");
    bencher.bench(|| black_box(&set).load_estimate(&black_box(&body).load()));
}

#[divan::bench]
fn load_range(bencher: Bencher) {
    let (set, body) = four_pads().to_core().expect("a legal set");
    bencher.bench(|| black_box(&set).load_range(&black_box(&body).load()));
}

#[divan::bench]
fn stability(bencher: Bencher) {
    let (set, body) = four_pads().to_core().expect("a legal set");
    bencher.bench(|| black_box(&set).stability(black_box(&body)));
}

/// A car that the bench's own lifts serve.
fn car() -> Vehicle {
    let m = Length::metres;
    let mut vehicle = shop::weighing(Mass::kilograms(1300.0), m(1.05), m(0.55), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle
}

#[divan::bench]
fn as_placed(bencher: Bencher) {
    let (lift, vehicle, job, limits) = (shop::lifts().remove(0), car(), Job::default(), Limits::default());
    let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
    let setup = shop::setup_of(&plan);
    bencher.bench(|| planner::as_placed(black_box(&lift), &vehicle, &job, &limits, black_box(&setup)));
}

/// A million samples.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn chance(bencher: Bencher) {
    let (lift, vehicle, job, limits) = (shop::lifts().remove(0), car(), Job::default(), Limits::default());
    let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
    bencher.bench(|| planner::chance(black_box(&lift), &vehicle, &job, &limits, &plan, 1_000_000));
}

/// The same of a job of six states.
#[divan::bench(sample_count = 5, sample_size = 1)]
fn chance_of_6_states(bencher: Bencher) {
    let (lift, vehicle, limits) = (shop::lifts().remove(0), car(), Limits::default());
    let off = |k: i32| {
        let at = Point::metres([-0.4 + 0.6 * f64::from(k), 0.1, 0.5]);
        Step::Off(shop::part(&format!("part {k}"), Mass::kilograms(20.0), at))
    };
    let job = Job { steps: (0..5).map(off).collect(), ..Job::default() };
    let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
    assert_eq!(plan.states.len(), 6);
    bencher.bench(|| planner::chance(black_box(&lift), &vehicle, &job, &limits, &plan, 1_000_000));
}

#[divan::bench(args = names(), sample_count = 10, max_time = 1)]
fn plan(bencher: Bencher, name: &str) {
    let (_, lift, vehicle): (String, Lift, Vehicle) =
        demo::pairs().into_iter().find(|(n, ..)| n == name).expect("a demo pair");
    let (job, limits) = (Job::default(), Limits::default());
    bencher.bench(|| planner::plan(black_box(&lift), black_box(&vehicle), &job, &limits));
}

/// What to measure next, after a plan.
#[divan::bench(args = names(), sample_count = 5, max_time = 1)]
fn measure_next(bencher: Bencher, name: &str) {
    let (_, lift, vehicle): (String, Lift, Vehicle) =
        demo::pairs().into_iter().find(|(n, ..)| n == name).expect("a demo pair");
    let (job, limits) = (Job::default(), Limits::default());
    let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
    bencher.bench(|| planner::measure_next(black_box(&lift), &vehicle, &job, &limits, &plan, None));
}

/// Sixteen parts off, the front ones named first, some before others.
#[divan::bench(max_time = 2)]
fn order_of_16(bencher: Bencher) {
    ordered(bencher, false);
}

/// The same with two heavy parts, of which the front one must be off first: a state in between holds every
/// order back, and all sets of the others that leave more are looked at.
#[divan::bench(max_time = 2)]
fn order_of_16_held_back(bencher: Bencher) {
    ordered(bencher, true);
}

fn ordered(bencher: Bencher, heavy: bool) {
    let (lift, vehicle, limits) = (shop::lifts().remove(0), car(), Limits::default());
    let plan = planner::plan(&lift, &vehicle, &Job::default(), &limits).expect("a legal question");
    let setup = shop::setup_of(&plan);
    let mut random = Random::new(162);
    let steps = (0..16)
        .map(|k| {
            let aft = if k < 8 { random.between(-0.5, 0.6) } else { random.between(2.0, 3.2) };
            let at = Point::metres([aft, random.between(-0.3, 0.3), random.between(0.3, 0.9)]);
            let kg =
                if heavy && k % 8 == 0 { 190.0 } else { random.between(5.0, if heavy { 9.0 } else { 35.0 }) };
            let part = shop::part(&format!("part {k}"), Mass::kilograms(kg), at);
            let after = match k {
                8 if heavy => vec!["part 0".into()],
                3 | 7 | 11 | 15 if !heavy => vec![format!("part {}", k - 1)],
                _ => vec![],
            };
            Step::Off(Part { after, ..part })
        })
        .collect();
    let job = Job { steps, ..Job::default() };
    let situation = Situation::new(&lift, &vehicle, &job, &limits).expect("a legal job");
    let found = best_order(&situation, &setup);
    let given = state_reserves(&situation, &setup).into_iter().fold(f64::INFINITY, f64::min);
    println!("given {given:.3}, best {:.3}, {} states looked at", found.reserve, found.states);
    bencher.bench(|| best_order(black_box(&situation), black_box(&setup)));
}

/// Jobs of several states, and something hard done in each.
#[divan::bench(args = jobs(), sample_count = 10, max_time = 1)]
fn plan_with_tasks(bencher: Bencher, name: &str) {
    let (_, lift, vehicle, job): (String, Lift, Vehicle, Job) =
        demo::jobs().into_iter().find(|(n, ..)| n == name).expect("a demo job");
    let common = planner::forces::find("pry bar").expect("in the library");
    let force = planner::job::WorkForce {
        bar: common.bar,
        name: common.name.into(),
        at: Point::metres([vehicle.wheelbase.value.to_metres(), 0.5, 0.5]),
        directions: common.directions.to_vec(),
        size: common.size(),
    };
    let task = planner::job::Task {
        name: "bushes".into(),
        posture: planner::job::Posture::StandingUnder,
        during: vec![],
        forces: vec![force],
    };
    let job = Job { tasks: vec![task], ..job };
    let limits = Limits::default();
    bencher.bench(|| planner::plan(black_box(&lift), black_box(&vehicle), black_box(&job), &limits));
}

fn jobs() -> Vec<String> {
    demo::jobs().into_iter().map(|(name, ..)| name).filter(|n| n.starts_with("rear-axle-off")).collect()
}

fn names() -> Vec<String> {
    demo::pairs().into_iter().map(|(name, ..)| name).collect()
}
