//! Every cure that a plan tells as passing is applied to its files and planned again: it passes.

#![expect(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

use planner::job::{StandKit, Step};
use planner::lift::Adapter;
use planner::plan::{Change, Remark, Verdict};
use planner::vehicle::Off;
use planner::{Job, Lift, Limits, Plan, Vehicle, plan};
use statics::{Force, Length, Mass, Point};

#[path = "shop/demo.rs"]
mod demo;

fn planned(lift: &Lift, vehicle: &Vehicle, job: &Job) -> Plan {
    plan(lift, vehicle, job, &Limits::default()).expect("a legal question")
}

/// The cure as a person would read it, put into lift and job.
fn apply(change: &Change, lift: &mut Lift, job: &mut Job) {
    match change {
        Change::Shut(_) => job.opened_height = None,
        Change::LoadOut(name) => job.loads.retain(|load| load.name != *name),
        Change::LeaveOn { part, not_done, .. } => {
            let away = |s: &Step| s.part().name == *part;
            let gone: Vec<String> = job.steps.iter().filter(|s| away(s)).map(Step::state_name).collect();
            job.steps.retain(|s| !away(s));
            job.tasks.retain(|task| !not_done.contains(&task.name));
            job.tasks.iter_mut().for_each(|task| task.during.retain(|state| !gone.contains(state)));
        }
        Change::Adapter(height) => {
            lift.pads.adapters.push(Adapter { height: *height, count: 4 });
            lift.pads.stack_most = lift.pads.stack_most.max(1);
        }
        Change::LongerArms(by) => lift.arms.iter_mut().for_each(|arm| arm.reach_out += *by),
        Change::ShorterArms(by) => {
            let least = Length::millimetres(100.0);
            lift.arms.iter_mut().for_each(|arm| arm.reach_in = (arm.reach_in - *by).max(least));
        }
        Change::AnotherSpot(_) => lift.plate = None,
        Change::StrongerLift { rated, arms } => {
            lift.rated = *rated;
            lift.arms.iter_mut().zip(arms).for_each(|(arm, rated)| arm.rated = *rated);
        }
        Change::Stands(standing) => {
            let count = u8::try_from(standing.places.len()).expect("a few");
            let ends = standing
                .heights
                .iter()
                .fold([Length::metres(9.0), Length::ZERO], |[a, b], h| [a.min(*h), b.max(*h)]);
            let [lowest, highest] = ends;
            // Stands that are rated for no more than what they are told to come to.
            job.stands = Some(StandKit { count, rated: standing.reaches(), lowest, highest });
        }
        Change::SetAnew(..) => panic!("of a setup as placed alone"),
    }
}

/// Kinds of cures that were seen.
fn hold(questions: impl Iterator<Item = (String, Lift, Vehicle, Job)>) -> Vec<&'static str> {
    let mut seen = Vec::new();
    for (name, lift, vehicle, job) in questions {
        let Ok(refused) = plan(&lift, &vehicle, &job, &Limits::default()) else { continue };
        let Some(change) = &refused.change else { continue };
        let (mut lift, mut job) = (lift, job);
        apply(change, &mut lift, &mut job);
        let cured = planned(&lift, &vehicle, &job);
        assert_ne!(cured.verdict, Verdict::DoNotRaise, "{name}: {change:?}: {:?}", cured.refusals);
        println!("{name}: {change:?}");
        seen.push(match change {
            Change::StrongerLift { .. } => "stronger",
            Change::Stands(_) => "stands",
            Change::LeaveOn { .. } => "left on",
            _ => "other",
        });
    }
    seen
}

#[test]
fn every_cure_of_the_demo_pairs_passes() {
    let pairs = demo::pairs().into_iter().map(|(name, lift, vehicle)| (name, lift, vehicle, Job::default()));
    let seen = hold(pairs);
    assert!(seen.contains(&"stronger"), "{seen:?}");
}

#[test]
fn every_cure_of_the_demo_jobs_passes() {
    let seen = hold(demo::jobs().into_iter());
    assert!(seen.contains(&"stands"), "{seen:?}");
}

/// The job whose front comes off, with stands that may carry little or reach too low, and where no stand may stand.
fn front_end_off(change: impl Fn(&mut Vehicle, &mut Job)) -> (String, Lift, Vehicle, Job) {
    let found = demo::jobs()
        .into_iter()
        .find(|(name, ..)| name == "front-end-off-on-stands of sports-coupe on north-bay");
    let (name, lift, mut vehicle, mut job) = found.expect("a demo job");
    change(&mut vehicle, &mut job);
    (name, lift, vehicle, job)
}

#[test]
fn stands_that_do_not_do_leave_stands_a_cure() {
    let weak = front_end_off(|_, job| {
        job.stands.as_mut().expect("a kit").rated = Mass::kilograms(100.0).weight();
    });
    let low = front_end_off(|_, job| {
        let kit = job.stands.as_mut().expect("a kit");
        (kit.lowest, kit.highest) = (Length::metres(0.2), Length::metres(0.3));
    });
    assert_eq!(hold([weak, low].into_iter()), ["stands", "stands"]);
}

/// A part that goes back on may stay on: both its steps go, and what is done meanwhile.
#[test]
fn a_part_that_goes_back_on_may_be_left_on() {
    let none = front_end_off(|vehicle, job| {
        vehicle.stand_places.clear();
        job.stands = None;
    });
    let refused = planned(&none.1, &none.2, &none.3);
    let Some(Change::LeaveOn { part, not_done, .. }) = &refused.change else {
        panic!("{:?}", refused.change)
    };
    assert!(none.3.steps.iter().filter(|s| s.part().name == *part).count() == 2);
    println!("{part}, without {not_done:?}");
    assert_eq!(hold(core::iter::once(none)), ["left on"]);
}

/// Parts of the coupe, half of them before the front pads and half behind the rear ones, all off and then all on.
fn many_parts(each: u8) -> (Lift, Vehicle, Job) {
    let found =
        demo::jobs().into_iter().find(|(name, ..)| name == "strip-the-shell of sports-coupe on north-bay");
    let (_, lift, vehicle, _) = found.expect("a demo job");
    let half = f64::from(each);
    let part = |name: String, mass: f64, aft: f64| planner::vehicle::Part {
        name,
        mass: planner::Measured::given(Mass::kilograms(mass), Mass::kilograms(2.0)),
        at: Point::metres([aft, 0.0, 0.45]),
        off: Off::given([0.03, 0.03, 0.045].map(Length::metres)),
        after: vec![],
    };
    let front = (0..each).map(|i| part(format!("f{i}"), 460.0 / half, -0.4 + 0.8 * f64::from(i) / half));
    let rear = (0..each).map(|i| part(format!("r{i}"), 240.0 / half, 2.3 + 0.8 * f64::from(i) / half));
    let parts: Vec<_> = front.chain(rear).collect();
    let steps = parts.iter().cloned().map(Step::Off).chain(parts.iter().cloned().map(Step::On)).collect();
    (lift, vehicle, Job { name: "many".into(), steps, ..Job::default() })
}

/// Where a part left on helps in another order alone, that order is told; in the given one it would not pass.
#[test]
fn a_cure_that_needs_another_order_tells_it() {
    let (lift, vehicle, job) = many_parts(9);
    let refused = planned(&lift, &vehicle, &job);
    let Some(change) = &refused.change else { panic!("{:?}", refused.refusals) };
    let Change::LeaveOn { besides, .. } = change else { panic!("{change:?}") };
    let told = besides.order.as_ref().expect("another order");
    let mut left = job;
    apply(change, &mut lift.clone(), &mut left);
    let order = |job: &Job| job.steps.iter().map(Step::state_name).collect::<Vec<_>>();
    let cured = planned(&lift, &vehicle, &left);
    assert!(cured.conditions.contains(&Remark::InThisOrder), "{:?}", cured.conditions);
    assert_ne!(*told, order(&left), "the given order does not pass");
    // Given in the order that is told, it passes as it is.
    left.steps.sort_by_key(|step| told.iter().position(|name| *name == step.state_name()));
    assert_eq!(order(&left), *told);
    let as_told = planned(&lift, &vehicle, &left);
    assert!(as_told.refusals.is_empty() && as_told.order.is_none(), "{:?}", as_told.refusals);
}

/// A lift whose arms have ratings of their own: what is told of them is needed, too.
#[test]
fn arms_with_ratings_of_their_own_are_told() {
    let pairs = demo::pairs();
    let found = pairs.into_iter().find(|(name, ..)| name == "recovery-truck on mill-bay");
    let (name, lift, vehicle) = found.expect("a demo pair");
    let refused = planned(&lift, &vehicle, &Job::default());
    let Some(Change::StrongerLift { rated, arms }) = refused.change else {
        panic!("{name}: {:?}", refused.change)
    };
    assert!(arms.iter().all(|arm| arm.is_some_and(|a| a > Force::ZERO)), "{arms:?}");
    let plate_alone = Lift { rated, ..lift.clone() };
    assert_eq!(planned(&plate_alone, &vehicle, &Job::default()).verdict, Verdict::DoNotRaise);
}
