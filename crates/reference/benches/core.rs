//! What the computing alone takes, on one core. `scripts/bench` runs it and sets it beside SciPy.

#![expect(clippy::expect_used, reason = "a benchmark ends where it fails")]

use divan::{Bencher, black_box};
use planner::{Job, Lift, Limits, Vehicle};
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

#[divan::bench(args = names(), sample_count = 10, max_time = 1)]
fn plan(bencher: Bencher, name: &str) {
    let (_, lift, vehicle): (String, Lift, Vehicle) =
        demo::pairs().into_iter().find(|(n, ..)| n == name).expect("a demo pair");
    let (job, limits) = (Job::default(), Limits::default());
    bencher.bench(|| planner::plan(black_box(&lift), black_box(&vehicle), &job, &limits));
}

/// Jobs of several states, and something hard done in each.
#[divan::bench(args = jobs(), sample_count = 10, max_time = 1)]
fn plan_with_tasks(bencher: Bencher, name: &str) {
    let (_, lift, vehicle, job): (String, Lift, Vehicle, Job) =
        demo::jobs().into_iter().find(|(n, ..)| n == name).expect("a demo job");
    let common = planner::forces::find("pry bar").expect("in the library");
    let force = planner::job::WorkForce {
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
