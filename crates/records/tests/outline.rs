//! What leads a raise, taken from plans that the planner made.

#![allow(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

#[path = "../../planner/tests/common/mod.rs"]
mod common;

use common::{hatchback, lift, m};
use planner::job::Step;
use planner::plan::{OrderAnswer, Remark};
use planner::vehicle::{Off, Part};
use planner::{Job, Limits, Measured, Plan, plan};
use records::Outline;
use statics::{Mass, Point};

fn planned(job: &Job) -> Plan {
    plan(&lift(), &hatchback(), job, &Limits::default()).expect("the inputs are legal")
}

fn two_parts() -> Job {
    let part = |name: &str| Part {
        name: name.to_owned(),
        mass: Measured::given(Mass::kilograms(10.0), Mass::kilograms(0.5)),
        at: Point::metres([1.0, 0.0, 0.4]),
        off: Off::NONE,
        after: vec![],
    };
    Job { steps: vec![Step::Off(part("tank")), Step::Off(part("silencer"))], ..Job::default() }
}

#[test]
fn lock_test_raise_and_doubtful_pads_are_the_plans() {
    let job = two_parts();
    let found = planned(&job);
    let outline = Outline::of(&found, &job, &lift());
    assert!(outline.is_sound());
    let doubtful: Vec<u8> = (0..4)
        .filter(|pad| {
            found.watch.iter().chain(&found.conditions).any(|remark| match remark {
                Remark::UnevenSeat { corner, .. } | Remark::ShakeProvesNothing { corner, .. } => {
                    corner.index() == usize::from(*pad)
                }
                _ => false,
            })
        })
        .collect();
    assert!(!doubtful.is_empty());
    assert_eq!(outline.recheck, doubtful);
    assert_eq!(outline.lock.map(|lock| usize::from(lock) - 1), found.height.lock);
    let rise = m(f64::from(outline.test_raise_millimetres) / 1000.0);
    assert!(rise >= found.test_raise && rise.to_metres() < found.test_raise.to_metres() + 0.001 + 1e-9);
    let first = m(f64::from(outline.first_lock_millimetres.expect("it has locks")) / 1000.0);
    let lowest = lift().rise.locks[0].to_metres();
    assert!(first.to_metres() <= lowest + 1e-9 && first.to_metres() > lowest - 0.001);
    assert_eq!(outline.steps, ["tank off", "silencer off"]);
    assert_eq!(outline.stands, None);
    let part = "10.000 +- 0.500 kg, 1.000 +- 0.000 m aft, 0.000 +- 0.000 m left, 0.400 +- 0.000 m up";
    assert_eq!(outline.parts, [part; 2]);
}

#[test]
fn the_order_that_the_plan_adopted_is_the_one_that_is_led() {
    let job = two_parts();
    let mut found = planned(&job);
    let order = |adopted| {
        Some(OrderAnswer {
            steps: vec![1, 0],
            given_reserve: -0.1,
            best_reserve: 0.1,
            given_states: vec![],
            best_states: vec![],
            given_here: vec![],
            bound: None,
            adopted,
        })
    };
    found.order = order(true);
    assert_eq!(Outline::of(&found, &job, &lift()).steps, ["silencer off", "tank off"]);
    found.order = order(false);
    assert_eq!(Outline::of(&found, &job, &lift()).steps, ["tank off", "silencer off"]);
}
