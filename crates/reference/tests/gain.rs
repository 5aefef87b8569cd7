//! What to measure next: the doubt that holds the least reserve is named, and what is gained is what it costs.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use planner::checks::told;
use planner::frames::DrivenIn;
use planner::gain::Measurement;
use planner::lift::Arm;
use planner::measured::Measured;
use planner::vehicle::{Off, Part, Weight};
use planner::{Gain, Job, Lift, Limits, Setup, Vehicle};
use statics::{Force, Length, Mass, Point, Stiffness};

#[path = "shop/demo.rs"]
mod demo;
mod shop;

fn vehicle() -> Vehicle {
    let m = Length::metres;
    let mut vehicle = shop::weighing(Mass::kilograms(1300.0), m(1.2), m(0.55), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle
}

fn setup() -> Setup {
    shop::setup(1.2, DrivenIn::Forwards, [[0.7, 0.64], [0.7, -0.64], [1.9, 0.64], [1.9, -0.64]])
}

/// The gains with arms of this rating; none = the lift's own.
fn gains(vehicle: &Vehicle, job: &Job, rated: Option<Force>) -> Vec<Gain> {
    gains_on(&lift(rated), vehicle, job, &setup())
}

fn lift(rated: Option<Force>) -> Lift {
    let mut lift = shop::lifts().remove(0);
    for arm in &mut lift.arms {
        arm.rated = rated.or(arm.rated);
        arm.stiffness_out = Some(Measured::given(Stiffness::newtons_per_metre(400_000.0), Stiffness::ZERO));
    }
    lift
}

fn gains_on(lift: &Lift, vehicle: &Vehicle, job: &Job, setup: &Setup) -> Vec<Gain> {
    let limits = Limits::default();
    let plan = planner::as_placed(lift, vehicle, job, &limits, setup).unwrap();
    let gains = planner::measure_next(lift, vehicle, job, &limits, &plan, Some(setup));
    for gain in &gains {
        assert!((gain.before - plan.worst_check().reserve).abs() < 1e-12, "{gain:?}");
        let worth = told(gain.after) >= told(gain.before) + planner::gain::WORTH;
        assert!(worth || gain.before < 0.0 && gain.after >= 0.0, "{gain:?}");
    }
    gains
}

fn loaded(name: &str, mass: Measured<Mass>, at: [f64; 3]) -> Job {
    let load = Part { name: name.into(), mass, at: Point::metres(at), off: Off::NONE, after: vec![] };
    Job { loads: vec![load], ..Job::default() }
}

const WEAK: Option<Force> = Some(Force::newtons(5_600.0));

#[test]
fn a_doubtful_load_is_to_be_weighed_first() {
    let mass = Measured::given(Mass::kilograms(200.0), Mass::kilograms(100.0));
    let job = loaded("crate", mass, [1.2, 0.0, 0.6]);
    let found = gains(&vehicle(), &job, WEAK);
    assert_eq!(found[0].measure, Measurement::Part("crate".into()), "{found:?}");
    // Derived: at the vehicle's own centre the heaviest load falls from 1600 kg to 1502 kg, and each pad's
    // assured load in about that measure.
    let ratio = (1.0 + found[0].after) / (1.0 + found[0].before);
    assert!((ratio - 1600.0 / 1502.0).abs() < 0.01, "{ratio}");
}

/// A load that may lie half a metre to either side is worth balancing, and where that is known it is not told again.
#[test]
fn a_load_that_lies_anywhere_is_to_be_balanced() {
    let mass = Measured::given(Mass::kilograms(400.0), Mass::kilograms(1.0));
    let mut job = loaded("crate", mass, [1.2, 0.0, 0.6]);
    job.loads[0].off = Off::given([0.3, 0.5, 0.1].map(Length::metres));
    let found = gains(&vehicle(), &job, WEAK);
    assert_eq!(found[0].measure, Measurement::PartPlace("crate".into()), "{found:?}");
    job.loads[0].off = Off::given([planner::gain::BALANCED; 3]);
    let known = planner::as_placed(&lift(WEAK), &vehicle(), &job, &Limits::default(), &setup()).unwrap();
    assert!((found[0].after - known.worst_check().reserve).abs() < 1e-9, "{found:?}");
    let again = gains(&vehicle(), &job, WEAK);
    assert!(again.iter().all(|g| g.measure != Measurement::PartPlace("crate".into())), "{again:?}");
}

#[test]
fn a_share_taken_from_the_prior_is_to_be_weighed_on_scales() {
    let mut vehicle = vehicle();
    vehicle.weight = Weight::Total(Measured::given(Mass::kilograms(1300.0), Mass::kilograms(5.0)));
    let found = gains(&vehicle, &Job::default(), WEAK);
    assert!(matches!(found[0].measure, Measurement::Axles | Measurement::Wheels), "{found:?}");
    assert!(found.windows(2).all(|w| w[0].after >= w[1].after) && found.len() <= 3);
}

#[test]
fn nothing_is_gained_where_all_is_known_better_than_tools_tell() {
    let mut vehicle = vehicle();
    let wheel = |kg: f64| Measured::given(Mass::kilograms(kg), Mass::kilograms(0.5));
    vehicle.weight = Weight::WheelLoads([350.0, 350.0, 300.0, 300.0].map(wheel));
    assert_eq!(gains(&vehicle, &Job::default(), WEAK), []);
}

#[test]
fn nothing_is_gained_where_a_place_holds_the_reserve() {
    let mut vehicle = vehicle();
    vehicle.sill_height = Length::millimetres(95.0);
    vehicle.weight = Weight::Total(Measured::given(Mass::kilograms(1300.0), Mass::kilograms(5.0)));
    assert_eq!(gains(&vehicle, &Job::default(), None), []);
}

/// 400 N/mm at 1 m, by the cube of the reach, within what a gauge leaves.
fn gauged(arm: &mut Arm) {
    let out = Stiffness::newtons_per_metre(400_000.0 / arm.reach_out.to_metres().powi(3));
    arm.stiffness_out = Some(Measured::given(out, out * planner::gain::GAUGED));
}

/// Where it is assumed how arms bend, a pad's assured load is the worse of two ways; measured, it is one of its own.
#[test]
fn how_far_arms_give_is_to_be_measured_where_it_is_assumed() {
    let mut lift = shop::lifts().remove(0);
    lift.arms.iter_mut().for_each(|arm| arm.rated = WEAK);
    // On one diagonal the arms are long, on the other short: bending, they share otherwise.
    let setup =
        shop::setup(1.2, DrivenIn::Forwards, [[0.55, 0.64], [0.8, -0.64], [1.75, 0.64], [2.05, -0.64]]);
    let found = gains_on(&lift, &vehicle(), &Job::default(), &setup);
    assert_eq!(found[0].measure, Measurement::ArmStiffness, "{found:?}");
    lift.arms.iter_mut().for_each(gauged);
    let then = planner::as_placed(&lift, &vehicle(), &Job::default(), &Limits::default(), &setup).unwrap();
    assert!((found[0].after - then.worst_check().reserve).abs() < 1e-9, "{found:?}");
    let again = gains_on(&lift, &vehicle(), &Job::default(), &setup);
    assert!(again.iter().all(|g| g.measure != Measurement::ArmStiffness), "{again:?}");
}

/// From a gain of nothing on, the crate's doubt grows: as long as what it would win is not worth the work, it is not
/// named.
#[test]
fn a_gain_that_does_not_show_is_not_told() {
    let named = |kilograms: i32| {
        let doubt = Mass::kilograms(2.0 + f64::from(kilograms));
        let job = loaded("crate", Measured::given(Mass::kilograms(200.0), doubt), [1.2, 0.0, 0.6]);
        // `gains` holds each against the steps in which it is told.
        gains(&vehicle(), &job, WEAK).iter().any(|g| matches!(g.measure, Measurement::Part(_)))
    };
    let all: Vec<bool> = (1..60).map(named).collect();
    assert!(!all[0] && all[58], "{all:?}");
}

/// Every demonstration question planned: what is promised is reached by a plan with that measured, and what such a plan
/// wins most is found.
#[test]
fn no_more_is_promised_than_planning_anew_wins() {
    let limits = Limits::default();
    let mut told_of = 0;
    for (name, lift, vehicle) in demo::pairs() {
        let job = Job::default();
        let plan = planner::plan(&lift, &vehicle, &job, &limits).unwrap();
        for gain in planner::measure_next(&lift, &vehicle, &job, &limits, &plan, None) {
            let (mut lift, mut vehicle) = (lift.clone(), vehicle.clone());
            match gain.measure {
                Measurement::ArmStiffness => {
                    lift.arms.iter_mut().for_each(gauged);
                }
                Measurement::Wheels => vehicle.weight = Weight::WheelLoads(wheels(&vehicle)),
                _ => continue,
            }
            let anew = planner::plan(&lift, &vehicle, &job, &limits).unwrap().worst_check().reserve;
            assert!(gain.after <= anew + 0.001, "{name}: {gain:?}, anew {anew}");
            assert!(
                gain.after - gain.before > 0.5 * (anew - gain.before) - 0.002,
                "{name}: {gain:?}, anew {anew}"
            );
            told_of += 1;
        }
    }
    assert!(told_of >= 5, "{told_of}");
}

/// Each wheel as supposed, on scales good to 1 %.
fn wheels(vehicle: &Vehicle) -> [Measured<Mass>; 4] {
    let of = |axle: f64| Measured::given(Mass::kilograms(axle / 2.0), Mass::kilograms(axle / 200.0));
    let kg = |m: &Measured<Mass>| m.value.to_kilograms();
    let (front, rear) = match &vehicle.weight {
        Weight::AxleLoads { front, rear } => (kg(front), kg(rear)),
        Weight::TotalAndShare { total, front_share } => {
            (kg(total) * front_share.value, kg(total) * (1.0 - front_share.value))
        }
        Weight::Total(total) => {
            let share = planner::priors::front_share(vehicle.class, vehicle.drive).value;
            (kg(total) * share, kg(total) * (1.0 - share))
        }
        Weight::WheelLoads(loads) => return loads.clone(),
    };
    [of(front), of(front), of(rear), of(rear)]
}

/// A quick entry whose reserve hangs on lengths that were taken from its class: measuring those is named, and wins what
/// planning anew with them measured wins.
#[test]
fn lengths_that_were_guessed_are_to_be_measured() {
    let (m, kg) = (|v: f64| Measured::given(Length::metres(v), Length::millimetres(5.0)), Mass::kilograms);
    let entry = planner::quick::Entry {
        name: "quick".into(),
        wheelbase: m(2.65),
        mass: Measured::given(kg(1420.0), kg(71.0)),
        class: planner::vehicle::BodyClass::Hatchback,
        drive: planner::vehicle::Drive::Front,
        lift_points: [[m(0.47), m(0.71)], [m(2.19), m(0.71)]],
        questioned: vec![],
    };
    let limits = Limits::default();
    let vehicle = planner::quick::vehicle(&entry, &limits).unwrap();
    let mut lifts = demo::pairs();
    let lift = lifts.iter().position(|(name, ..)| name.contains("mill-bay")).unwrap();
    let (_, lift, _) = lifts.remove(lift);
    let plan = planner::plan(&lift, &vehicle, &Job::default(), &limits).unwrap();
    let gains = planner::measure_next(&lift, &vehicle, &Job::default(), &limits, &plan, None);
    let Some(Measurement::Lengths(named)) = gains.first().map(|g| &g.measure) else { panic!("{gains:?}") };
    assert!(!named.is_empty());
    // Second way: those lengths written down, half-way in their range, and planned anew.
    let mut known = vehicle.clone();
    for guess in &vehicle.unmeasured.guesses {
        use planner::quick::Taped;
        let middle = guess.range.middle();
        match guess.what {
            Taped::Sill if named.contains(&Taped::Sill) => known.sill_height = middle,
            Taped::Undersides if named.contains(&Taped::Undersides) => {
                known.lift_areas.iter_mut().for_each(|a| a.underside = middle);
                known.unmeasured.undersides = Length::ZERO;
            }
            Taped::Mirrors if named.contains(&Taped::Mirrors) => {
                known.outline.mirrors.as_mut().unwrap().width = middle;
            }
            other => assert!(
                !named.contains(&other) || matches!(other, Taped::Sill | Taped::Undersides | Taped::Mirrors),
                "{other:?}"
            ),
        }
    }
    let anew = planner::plan(&lift, &known, &Job::default(), &limits).unwrap().worst_check().reserve;
    assert!(gains[0].after <= anew + 0.001 && gains[0].after > gains[0].before + 0.1, "{gains:?} {anew}");
    // Half of what planning anew wins, as in the last test above.
    assert!(gains[0].after - gains[0].before > 0.5 * (anew - gains[0].before), "{gains:?} {anew}");
}
