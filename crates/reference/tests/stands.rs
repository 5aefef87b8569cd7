//! Supporting stands: what a plan names is tried, and what it says of loads is tried from both sides.

#![expect(clippy::expect_used, clippy::panic, reason = "a test ends where it fails")]

use planner::job::{Posture, StandKit, Step, Task};
use planner::order::state_reserves;
use planner::plan::{Change, NoStands, Standing, StandsAnswer, Verdict};
use planner::vehicle::{Off, Part, StandPlace};
use planner::{Job, Lift, Limits, Measured, Plan, Situation, Vehicle, plan};
use statics::{Force, Length, Mass, Place, Point};

mod shop;

const OFF: usize = 1;

/// A car with its weight far back that loses its engine, and stands of any height.
fn engine_out() -> (Lift, Vehicle, Job) {
    let m = Length::metres;
    let mut lift = shop::lifts().remove(0);
    lift.arms.iter_mut().for_each(shop::gauged);
    let mut vehicle = shop::weighing(Mass::kilograms(1300.0), m(1.74), m(0.55), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle.stand_places = vec![place("tail left", 2.9, 0.4), place("tail right", 2.9, -0.4)];
    let engine = shop::part("engine", Mass::kilograms(160.0), Point::metres([-0.2, 0.0, 0.6]));
    let job = Job {
        steps: vec![Step::Off(engine.clone()), Step::On(engine)],
        stands: Some(StandKit {
            count: 2,
            rated: Mass::kilograms(1500.0).weight(),
            lowest: m(0.5),
            highest: m(2.5),
        }),
        ..Job::default()
    };
    (lift, vehicle, job)
}

fn place(name: &str, aft: f64, left: f64) -> StandPlace {
    StandPlace { name: name.into(), at: Place::metres([aft, left]), underside: Length::metres(0.2) }
}

fn planned((lift, vehicle, job): &(Lift, Vehicle, Job)) -> Plan {
    plan(lift, vehicle, job, &Limits::default()).expect("a legal question")
}

fn serving(plan: &Plan) -> &Standing {
    match &plan.stands {
        Some(StandsAnswer::Serve(standing)) => standing,
        other => panic!("{other:?}, {:?}", plan.refusals),
    }
}

/// Least reserve while the engine is off, each stand carrying so much: the stands as parts taken off, of
/// their weight at their places.
fn with_stands(question: &(Lift, Vehicle, Job), plan: &Plan, load: Force) -> f64 {
    let (lift, vehicle, job) = question;
    let lifted = serving(plan).places.iter().map(|k| {
        let at = vehicle.stand_places[*k].at.at_height(vehicle.stand_places[*k].underside);
        Step::Off(Part {
            name: format!("what stand {k} carries"),
            mass: Measured::given(load.as_mass(), Mass::ZERO),
            at,
            off: Off::NONE,
            after: vec![],
        })
    });
    let steps = job.steps[..OFF].iter().cloned().chain(lifted).collect();
    let job = Job { steps, ..Job::default() };
    let limits = Limits::default();
    let situation = Situation::new(lift, vehicle, &job, &limits).expect("states that can be");
    *state_reserves(&situation, &shop::setup_of(plan)).last().expect("a state")
}

#[test]
fn loads_are_kept_between_what_fails_below_and_above() {
    let question = engine_out();
    let plan = planned(&question);
    let standing = serving(&plan);
    assert_eq!(plan.verdict, Verdict::RaiseWithConditions);
    assert_eq!((standing.from, standing.to), (0, 2));
    assert!(Force::ZERO < standing.least && standing.least < standing.load && standing.load < standing.most);
    // The state while the engine is off; a place that is off by its tolerance takes a little off what is told.
    let [least, most] = standing.by_state[OFF];
    let at = |kg: f64, load: Force| with_stands(&question, &plan, load + Mass::kilograms(kg).weight());
    assert!(at(0.0, least) >= 0.0 && at(-12.0, least) < 0.0, "{} {}", at(0.0, least), at(-12.0, least));
    assert!(at(0.0, standing.load) >= plan.states[OFF].worst_reserve - 1e-9);
    assert!(at(0.0, most) >= 0.0);
    // A post: what it may be set to holds with what its load changes by of itself, and the plan tells the least of it.
    let changes = &standing.drift[OFF - standing.from];
    let [less, more] = changes.iter().fold([Force::ZERO; 2], |[a, b], [c, d]| [a.min(*c), b.max(*d)]);
    assert!(more - less > Mass::kilograms(20.0).weight(), "{changes:?}");
    let ends = [standing.least + less, standing.most + more].map(|load| at(0.0, load));
    assert!(ends.iter().all(|left| *left >= plan.states[OFF].worst_reserve - 1e-9), "{ends:?}");
    assert!(plan.states[OFF].worst_reserve >= 0.0 && standing.most + more <= standing.rated * 1.000_001);
    // Kept in every state, so no wider than in this one.
    assert!(standing.least >= least && standing.most <= most);
    assert!(standing.by_state.iter().all(|[a, b]| *a <= standing.least && standing.most <= *b));
}

#[test]
fn fewest_stands_first() {
    let mut question = engine_out();
    question.1.stand_places.push(place("tail", 2.9, 0.0));
    assert_eq!(serving(&planned(&question)).places.len(), 1);
    // One that may carry little does not do, nor do two: either may be the stiffer and take up what both should.
    let alone = serving(&planned(&question)).least;
    question.2.stands.as_mut().expect("a kit").rated = alone * 0.75;
    assert!(matches!(planned(&question).stands, Some(StandsAnswer::NoneServe(NoStands::NoneHelps))));
}

/// The file may list the places in any order: what is set where is the same.
#[test]
fn the_order_of_the_places_in_the_file_changes_nothing() {
    let places = [
        place("tail left", 2.9, 0.4),
        place("tail right", 2.9, -0.4),
        place("sill left", 2.3, 0.6),
        place("sill right", 2.3, -0.6),
        place("nose", -0.5, 0.0),
        place("tail", 2.9, 0.0),
    ];
    let told = |order: &[usize], rated: f64| {
        let mut question = engine_out();
        question.1.stand_places = order.iter().map(|k| places[*k].clone()).collect();
        question.2.stands.as_mut().expect("a kit").rated = Mass::kilograms(rated).weight();
        let plan = planned(&question);
        let standing = serving(&plan).clone();
        let named: Vec<String> =
            standing.places.iter().map(|k| question.1.stand_places[*k].name.clone()).collect();
        (named, Standing { places: vec![], ..standing }, plan.worst_check().reserve)
    };
    let mut orders = vec![vec![0, 1, 2, 3, 4, 5]];
    for k in [3, 1, 4, 2] {
        let mut next = orders[orders.len() - 1].clone();
        next.rotate_left(k);
        next.swap(0, 5 - k % 3);
        orders.push(next);
    }
    let first = told(&orders[0], 750.0);
    for order in &orders[1..] {
        assert_eq!(told(order, 750.0), first, "{order:?}");
    }
    assert_eq!(first.0.len(), 1);
}

/// Only what is done while stands stand is done at their lock.
#[test]
fn stands_hold_the_lock_only_while_they_stand() {
    let (lift, vehicle, mut job) = engine_out();
    let task = |name: &str, during: &str| Task {
        name: name.into(),
        posture: Posture::StandingAtWheel,
        during: vec![during.into()],
        forces: vec![],
    };
    job.tasks = vec![task("wheels", "as raised"), task("mounts", "engine off")];
    job.stands.as_mut().expect("a kit").lowest = Length::metres(1.8);
    let plan = planned(&(lift, vehicle, job));
    serving(&plan);
    let [before, then] = [&plan.height.tasks[0], &plan.height.tasks[1]];
    assert!(!before.held_by_stands && then.held_by_stands);
    assert!(before.lock < then.lock, "{before:?} {then:?}");
    assert_eq!(then.forbidden, before.lock, "the lock that would suit without stands");
}

#[test]
fn why_stands_do_not_help_is_told() {
    let stands = |change: &dyn Fn(&mut Vehicle, &mut Job)| {
        let mut question = engine_out();
        change(&mut question.1, &mut question.2);
        let plan = planned(&question);
        assert_eq!(plan.verdict, Verdict::DoNotRaise);
        plan.stands.map(|answer| match answer {
            StandsAnswer::NoneServe(why) => why,
            StandsAnswer::Serve(standing) => panic!("{standing:?}"),
        })
    };
    assert_eq!(stands(&|vehicle, _| vehicle.stand_places.clear()), Some(NoStands::NoPlace));
    assert_eq!(stands(&|_, job| job.stands = None), None, "not at hand, not asked");
    assert_eq!(stands(&|_, job| drop(job.steps.pop())), Some(NoStands::Alone(OFF)), "it must come down");
    let low = |_: &mut Vehicle, job: &mut Job| {
        let kit = job.stands.as_mut();
        kit.into_iter().for_each(|k| (k.lowest, k.highest) = (Length::metres(0.1), Length::metres(0.3)));
    };
    assert!(matches!(stands(&low), Some(NoStands::Height(h)) if h > Length::metres(1.0)));
    let ahead = |vehicle: &mut Vehicle, _: &mut Job| {
        vehicle.stand_places = vec![place("nose", -0.4, 0.0)];
    };
    assert_eq!(stands(&ahead), Some(NoStands::NoneHelps), "a light nose is not held up");
    let under = |_: &mut Vehicle, job: &mut Job| {
        let during = vec!["as raised".into(), "engine off".into()];
        job.tasks =
            vec![Task { name: "mounts".into(), posture: Posture::StandingUnder, during, forces: vec![] }];
    };
    let nobody = NoStands::Under { task: 0, state: OFF };
    assert_eq!(stands(&under), Some(nobody), "nobody goes under because of a stand");
}

#[test]
fn where_none_are_at_hand_stands_are_the_change() {
    let (lift, vehicle, mut job) = engine_out();
    job.stands = None;
    let refused = planned(&(lift, vehicle, job));
    match refused.change {
        Some(Change::Stands(standing)) => assert!(standing.least < standing.most),
        other => panic!("{other:?}"),
    }
}

/// Derived: what the pads carry and what the stands carry are the whole vehicle, mass and moments; and the whole is the
/// vehicle less its engine.
#[test]
fn a_state_on_stands_tells_the_whole_vehicle_too() {
    let question = engine_out();
    let plan = planned(&question);
    let standing = serving(&plan);
    let wholes: Vec<bool> = plan.states.iter().map(|s| s.whole.is_some()).collect();
    assert_eq!(wholes, [false, true, false]);
    let (state, whole) = (&plan.states[OFF], plan.states[OFF].whole.expect("on stands"));
    assert!((whole.mass.to_kilograms() - 1140.0).abs() < 1e-9);
    let aft = (1300.0 * 1.74 + 160.0 * 0.2) / 1140.0;
    assert!((whole.cg.to_metres()[0] - aft).abs() < 1e-9 && whole.cg.to_metres()[1].abs() < 1e-9);
    let loads = standing.checked(OFF).iter().map(|load| load.as_mass().to_kilograms());
    let at = standing.places.iter().map(|k| question.1.stand_places[*k].at.to_metres());
    let places: Vec<([f64; 2], f64)> = at.zip(loads).collect();
    assert_eq!(places.len(), standing.places.len());
    let pads = state.mass.value.to_kilograms();
    let all = places.iter().fold(pads, |sum, (_, each)| sum + each);
    assert!((all - 1140.0).abs() < 1e-6, "{all}");
    for axis in [0, 1] {
        let of_stands = places.iter().map(|(p, each)| each * p[axis]).sum::<f64>();
        let moment = pads * state.cg.to_metres()[axis] + of_stands;
        assert!((moment - 1140.0 * whole.cg.to_metres()[axis]).abs() < 1e-6);
    }
}
