//! What to measure next: the doubt that holds the least reserve is named, and what is gained is what it costs.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use planner::frames::DrivenIn;
use planner::gain::Measurement;
use planner::measured::Measured;
use planner::vehicle::{Part, Weight};
use planner::{Gain, Job, Limits, Setup, Vehicle};
use statics::{Force, Length, Mass, Point};

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
    let mut lift = shop::lifts().remove(0);
    lift.arms.iter_mut().for_each(|arm| arm.rated = rated.or(arm.rated));
    let limits = Limits::default();
    let plan = planner::as_placed(&lift, vehicle, job, &limits, &setup()).unwrap();
    let gains = planner::measure_next(&lift, vehicle, job, &limits, &plan, Some(&setup()));
    for gain in &gains {
        assert!((gain.before - plan.worst_check().reserve).abs() < 1e-12, "{gain:?}");
    }
    gains
}

fn loaded(name: &str, mass: Measured<Mass>, at: [f64; 3]) -> Job {
    let load = Part { name: name.into(), mass, at: Point::metres(at), after: vec![] };
    Job { loads: vec![load], ..Job::default() }
}

const WEAK: Option<Force> = Some(Force::newtons(4_500.0));

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
