//! What a survey says of a pair is what its plan says, and a vehicle that is guessed is never told as measured.

use planner::limits::Limits;
use planner::papers::Papers;
use planner::plan::{Check, Remark, Verdict};
use planner::priors;
use planner::quick::Unknown;
use planner::state::bare;
use planner::survey::Reason;
use planner::vehicle::{BodyClass, Drive};
use planner::{Job, Lift, Measured, Vehicle, plan, surveyed, takes};
use statics::{Length, Mass};

#[path = "shop/demo.rs"]
mod demo;

fn agrees(name: &str, lift: &Lift, vehicle: &Vehicle, job: &Job) -> Verdict {
    let limits = Limits::default();
    let (whole, short) = (plan(lift, vehicle, job, &limits), surveyed(lift, vehicle, job, &limits));
    let (whole, short) = match (whole, short) {
        (Ok(whole), Ok(short)) => (whole, short),
        (whole, short) => {
            assert_eq!(whole.err(), short.err(), "{name}");
            return Verdict::DoNotRaise;
        }
    };
    assert_eq!(short.verdict, whole.verdict, "{name}");
    assert_eq!(short.placement, whole.placement, "{name}");
    assert_eq!(short.pads, whole.pads, "{name}");
    assert_eq!(short.mark, whole.mark, "{name}");
    // Reserve, check, demand and limit; not why it fails.
    let held = whole.forbidden_by().unwrap_or(whole.worst_check());
    assert_eq!(short.held_by, Check { why: None, ..held.clone() }, "{name}");
    let fails = whole.refusals.iter().filter_map(|r| match r {
        Remark::Fails(k) => Some(Reason::Check(whole.checks[*k].what)),
        _ => None,
    });
    let told: Vec<Reason> = short.reasons.iter().copied().filter(|r| matches!(r, Reason::Check(_))).collect();
    assert_eq!(told, fails.collect::<Vec<_>>(), "{name}");
    assert_eq!(short.reasons.is_empty(), whole.refusals.is_empty(), "{name}");
    assert_eq!(takes(lift, vehicle, job, &limits), whole.verdict != Verdict::DoNotRaise, "{name}");
    whole.verdict
}

#[test]
fn a_pair_is_surveyed_as_it_is_planned() {
    let verdicts: Vec<Verdict> = demo::pairs()
        .iter()
        .map(|(name, lift, vehicle)| agrees(name, lift, vehicle, &Job::default()))
        .collect();
    assert!(verdicts.contains(&Verdict::DoNotRaise) && verdicts.contains(&Verdict::Raise));
}

#[test]
fn a_pair_with_a_job_is_surveyed_as_it_is_planned() {
    let wanted = |name: &str| {
        name.starts_with("brakes")
            || name.starts_with("rear-axle-off")
            || name.starts_with("front-end-off-on-stands")
    };
    let all = demo::jobs_named(wanted);
    assert!(all.len() >= 6, "{}", all.len());
    for (name, lift, vehicle, job) in &all {
        agrees(name, lift, vehicle, job);
    }
}

fn papers() -> Papers {
    Papers {
        name: "known by its papers".into(),
        wheelbase: Measured::given(Length::metres(2.65), Length::metres(0.005)),
        mass: Measured::given(Mass::kilograms(1350.0), Mass::kilograms(67.0)),
        length: Some(Length::metres(4.40)),
        width: Some(Length::metres(1.78)),
        height: Some(Length::metres(1.46)),
        class: None,
        drive: None,
        front_share: None,
    }
}

/// Of several the first: they differ in their lifting points.
fn one(papers: &Papers) -> Option<Vehicle> {
    papers.vehicles(&Limits::default())?.into_iter().next()
}

/// What is not said of its width, or whether it has a frame, takes no refusal away that it meets with what is said.
#[test]
fn what_is_not_said_is_no_reason_to_raise_it() {
    let raised = |lift: &Lift, papers: &Papers| {
        let all = papers.vehicles(&Limits::default()).expect("vehicles");
        all.iter().all(|vehicle| takes(lift, vehicle, &Job::default(), &Limits::default()))
    };
    let suv = Papers {
        wheelbase: Measured::given(Length::metres(2.669), Length::metres(0.005)),
        mass: Measured::given(Mass::kilograms(1931.0), Mass::kilograms(97.0)),
        length: Some(Length::metres(4.583)),
        width: None,
        height: Some(Length::metres(1.65)),
        class: Some(BodyClass::Suv),
        drive: Some(Drive::All),
        ..papers()
    };
    let body = priors::body(BodyClass::Suv).width;
    let (mut taken, mut refused) = (0, 0);
    for lift in demo::lifts() {
        let told = (0..=8).map(|k| body.least + (body.greatest - body.least) * (f64::from(k) / 8.0));
        let by_each = told.map(|width| raised(&lift, &Papers { width: Some(width), ..suv.clone() }));
        let by_each: Vec<bool> = by_each.collect();
        taken += by_each.iter().filter(|taken| **taken).count();
        refused += by_each.iter().filter(|taken| !**taken).count();
        assert!(!raised(&lift, &suv) || by_each.iter().all(|taken| *taken), "{}: {by_each:?}", lift.name);
    }
    assert!(taken > 0 && refused > 0, "so that the test looks at some of each: {taken} {refused}");
    let pickup = Papers {
        wheelbase: Measured::given(Length::metres(3.063), Length::metres(0.005)),
        mass: Measured::given(Mass::kilograms(2622.0), Mass::kilograms(131.0)),
        length: None,
        width: Some(Length::metres(1.8)),
        height: Some(Length::metres(1.757)),
        drive: Some(Drive::Rear),
        ..papers()
    };
    assert!(pickup.classes().contains(&BodyClass::Pickup) && pickup.classes().len() > 1);
    for lift in demo::lifts() {
        let known = Papers { class: Some(BodyClass::Pickup), ..pickup.clone() };
        assert!(raised(&lift, &known) || !raised(&lift, &pickup), "{}", lift.name);
    }
}

/// Guessed lifting points are a condition at every lift, whatever the reserve.
#[test]
fn a_guessed_vehicle_is_never_raised_without_conditions() {
    let known = Papers { class: Some(BodyClass::Sedan), drive: Some(Drive::Rear), ..papers() };
    let vehicle = one(&known).expect("a vehicle");
    assert!(vehicle.unmeasured.unknown.contains(&Unknown::LiftPoints));
    let mut taken = 0;
    for lift in demo::lifts() {
        let found = surveyed(&lift, &vehicle, &Job::default(), &Limits::default()).expect("a question");
        assert_ne!(found.verdict, Verdict::Raise, "{}", lift.name);
        taken += usize::from(found.verdict == Verdict::RaiseWithConditions);
    }
    assert!(taken > 0, "so that the test looks at one that is taken");
}

/// What is not said widens: no class or driven axle that it may be of puts its centre of gravity outside.
#[test]
fn what_is_not_said_covers_all_that_it_may_be() {
    let papers = papers();
    let wide = bare(&one(&papers).expect("a vehicle"));
    let classes = papers.classes();
    assert!(classes.len() > 2 && !classes.contains(&BodyClass::Van), "{classes:?}");
    for class in classes {
        for drive in Drive::ALL {
            let known = Papers { class: Some(class), drive: Some(drive), ..papers.clone() };
            let narrow = bare(&one(&known).expect("a vehicle"));
            let inside = |wide: &Measured<Length>, narrow: &Measured<Length>| {
                let slack = Length::metres(1e-9);
                wide.least() - slack <= narrow.least() && narrow.greatest() <= wide.greatest() + slack
            };
            assert!(inside(&wide.aft, &narrow.aft), "{class:?} {drive:?}: {:?} {:?}", wide.aft, narrow.aft);
            assert!(inside(&wide.up, &narrow.up), "{class:?} {drive:?}: {:?} {:?}", wide.up, narrow.up);
        }
    }
    // One of which everything is said is what a quick entry makes of it.
    let known = Papers { class: Some(BodyClass::Suv), drive: Some(Drive::All), ..papers };
    let share = one(&known).expect("a vehicle");
    let own = priors::front_share(BodyClass::Suv, Drive::All);
    assert_eq!(bare(&share).aft.value, share.wheelbase.value * (1.0 - own.value),);
}
