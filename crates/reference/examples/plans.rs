//! Makes plans for counting and comparing: `plans NAME` one by its name, `plans` all. Each is printed with its worst
//! reserve, all digits. `scripts/count` counts what one takes.

#![expect(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a tool of the workshop: it prints, and ends where it fails"
)]

use planner::{Job, Lift, Limits, Plan, Vehicle};
use reference::random::Random;
use statics::Angle;

#[path = "../tests/shop/demo.rs"]
mod demo;
#[path = "../tests/shop/mod.rs"]
mod shop;

type Question = (String, Lift, Vehicle, Job);

fn main() {
    let asked = std::env::args().nth(1);
    for (name, lift, vehicle, job) in questions(|name| asked.as_ref().is_none_or(|asked| asked == name)) {
        let plan = counted(&lift, &vehicle, &job);
        println!("{name}: {:.12}", plan.worst_check().reserve);
    }
}

/// All that is counted.
#[inline(never)]
fn counted(lift: &Lift, vehicle: &Vehicle, job: &Job) -> Plan {
    planner::plan(lift, vehicle, job, &Limits::default()).expect("a legal question")
}

/// What a pry bar adds to the name of a job.
const PRIED: &str = ", a pry bar in each state";

/// Those of wanted names.
fn questions(wanted: impl Fn(&str) -> bool) -> Vec<Question> {
    let pairs = demo::pairs_named(&wanted);
    let pairs = pairs.into_iter().map(|(name, lift, vehicle)| (name, lift, vehicle, Job::default()));
    let pried = |name: &str| name.starts_with("rear-axle-off of pickup") && wanted(&format!("{name}{PRIED}"));
    let pried = demo::jobs_named(pried).into_iter().map(with_pry_bar);
    let drawn = drawn().filter(|q| wanted(&q.0));
    pairs.chain(demo::jobs_named(&wanted)).chain(pried).chain(drawn).collect()
}

/// With a pry bar at the rear axle in every state.
fn with_pry_bar((name, lift, vehicle, job): Question) -> Question {
    let job = demo::with_a_pry_bar(job, &vehicle);
    (format!("{name}{PRIED}"), lift, vehicle, job)
}

/// Lifts and vehicles drawn from seeds: arms that lock anywhere, on fine teeth, and on coarse ones.
fn drawn() -> impl Iterator<Item = Question> {
    let free = (0..240).map(|k| {
        let (lift, vehicle) = shop::drawn(&mut Random::new(4100 + k));
        (format!("seeded {k}"), lift, vehicle)
    });
    let roomy = (0..30).map(|k| {
        let (lift, vehicle) = shop::drawn_roomy(&mut Random::new(4300 + k));
        (format!("strong lift {k}"), lift, vehicle)
    });
    let fine = (0..120).map(|k| toothed(format!("fine teeth {k}"), 5000 + k, [0.8, 1.8]));
    let coarse = (0..100).map(|k| toothed(format!("coarse teeth {k}"), 4700 + k, [3.0, 9.0]));
    let tested = (0..100).map(|k| toothed(format!("teeth {k}"), 4700 + k, [4.0, 7.0]));
    let all = free.chain(roomy).chain(fine).chain(coarse).chain(tested);
    all.map(|(name, lift, vehicle)| (name, lift, vehicle, Job::default()))
}

/// As drawn, with teeth of a pitch between two, degrees.
fn toothed(name: String, seed: u64, [least, most]: [f64; 2]) -> (String, Lift, Vehicle) {
    let mut random = Random::new(seed);
    let (mut lift, vehicle) = shop::drawn(&mut random);
    let pitch = Angle::degrees(random.between(least, most));
    lift.arms.iter_mut().for_each(|a| a.tooth_pitch = Some(pitch));
    (name, lift, vehicle)
}
