//! Work that is not told is held to no less than work that is: people, tasks, parts that stay off.

#![expect(clippy::unwrap_used, reason = "a test ends where it fails")]

mod common;

use common::{hatchback, lift, m};
use planner::job::{Person, Posture, Step, Task};
use planner::person::Strain;
use planner::plan::{Plan, Remark, Verdict};
use planner::vehicle::{Off, Part};
use planner::{Job, Lift, Limits, Measured, plan};
use statics::{Length, Mass, Point};

fn low_bay() -> Lift {
    Lift { headroom: Some(m(2.2)), ..lift() }
}

fn planned(lift: &Lift, job: &Job) -> Plan {
    plan(lift, &hatchback(), job, &Limits::default()).unwrap()
}

fn pipe() -> Part {
    let mass = Measured::given(Mass::kilograms(11.0), Mass::kilograms(1.0));
    Part { name: "pipe".into(), mass, at: Point::metres([0.45, 0.0, 0.24]), off: Off::NONE, after: vec![] }
}

fn somebody(stature: f64, off: f64) -> Person {
    Person { name: "somebody".into(), stature: Measured::given(m(stature), m(off)) }
}

fn task(posture: Posture) -> Task {
    Task { name: "work".into(), posture, during: vec![], forces: vec![] }
}

/// Whoever leaves out the task, or the people, is told no better than who states them.
#[test]
fn a_task_that_is_assumed_refuses_what_a_stated_one_refuses() {
    let steps = vec![Step::Off(pipe()), Step::On(pipe())];
    let people = vec![somebody(1.9, 0.0)];
    let tasks = vec![task(Posture::StandingUnder)];
    let stated = Job { steps: steps.clone(), people: people.clone(), tasks, ..Job::default() };
    let without_task = Job { tasks: vec![], ..stated.clone() };
    let parts_alone = Job { steps, ..Job::default() };
    let people_alone = Job { people, ..Job::default() };
    for job in [stated, without_task, parts_alone, people_alone] {
        let found = planned(&low_bay(), &job);
        assert_eq!(found.verdict, Verdict::DoNotRaise, "{job:?}");
        let no_room = |r: &Remark| matches!(r, Remark::Posture { strain: Strain::NoRoomToStand, .. });
        assert!(found.refusals.iter().any(no_room), "{:?}", found.refusals);
    }
    let raised_and_lowered = planned(&low_bay(), &Job::default());
    assert!(raised_and_lowered.refusals.is_empty(), "{:?}", raised_and_lowered.refusals);
}

/// A stature that may be off costs head room at its greatest, and who may not reach the hubs is told.
#[test]
fn what_a_stature_may_be_off_by_counts() {
    let job = |off: f64, posture| Job {
        people: vec![somebody(1.76, off)],
        tasks: vec![task(posture)],
        ..Job::default()
    };
    let under = |off: f64| planned(&lift(), &job(off, Posture::StandingUnder)).height.tasks[0].clone();
    let (exact, doubtful) = (under(0.0), under(0.1));
    assert_eq!(exact.lock, doubtful.lock);
    let lost: Length = exact.head_room().unwrap() - doubtful.head_room().unwrap();
    assert!((lost.to_metres() - 0.1).abs() < 1e-9, "{lost:?}");
    // Under a roof that lets it up to 1.35 m or so a head of 1.76 m comes under, bent; one of 2.06 m is bent too far.
    let low = Lift { headroom: Some(m(2.96)), ..lift() };
    let strained = |off: f64| {
        let found = planned(&low, &job(off, Posture::StandingUnder));
        found.conditions.iter().any(|r| matches!(r, Remark::Posture { strain: Strain::Bent, .. }))
    };
    assert_eq!([strained(0.0), strained(0.3)], [false, true]);
}

/// Whether what stays off is a wheel only a person sees: it may come down under that condition alone.
#[test]
fn what_stays_off_is_a_condition() {
    let ends = |steps| planned(&lift(), &Job { steps, ..Job::default() });
    let told = |plan: &Plan| plan.conditions.contains(&Remark::EndsWithout(vec!["pipe".into()]));
    let without = ends(vec![Step::Off(pipe())]);
    assert!(told(&without) && without.verdict == Verdict::RaiseWithConditions, "{:?}", without.conditions);
    assert!(!told(&ends(vec![Step::Off(pipe()), Step::On(pipe())])));
}
