//! The chance of failing against closed forms, and against plain random draws through the load estimate.

#![expect(clippy::unwrap_used, reason = "helpers of tests stop at what they did not expect")]

use planner::checks::What;
use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::limits::{Name, Own};
use planner::measured::Measured;
use planner::vehicle::Weight;
use planner::{Chance, Job, Lift, Limits, Plan, Vehicle};
use reference::random::Random;
use statics::{Contact, Length, Load, Mass, Place, Point, Resists, Stiffness, SupportSet};

mod shop;

const PADS: [[f64; 2]; 4] = [[0.7, 0.64], [0.7, -0.64], [1.9, 0.64], [1.9, -0.64]];
const MASS: f64 = 1300.0;
const MASS_OFF: f64 = 60.0;
const AFT: f64 = 1.2;
const UP: f64 = 0.55;

struct Shop {
    lift: Lift,
    vehicle: Vehicle,
    limits: Limits,
    plan: Plan,
}

/// A vehicle of which the mass and the sideways place are in doubt; pads and tilt as narrow as limits go.
fn shop() -> Shop {
    let mut lift = shop::lifts().remove(0);
    for arm in &mut lift.arms {
        arm.stiffness_out = Some(Stiffness::newtons_per_metre(400_000.0));
    }
    let m = Length::metres;
    let mut vehicle = shop::weighing(Mass::kilograms(MASS), m(AFT), m(UP), m(2.6));
    vehicle.weight = Weight::TotalAndShare {
        total: Measured::given(Mass::kilograms(MASS), Mass::kilograms(MASS_OFF)),
        front_share: Measured::given(1.0 - AFT / 2.6, 0.0),
    };
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    let mut limits = Limits::default();
    for name in [Name::Placing, Name::Level] {
        assert!(limits.set(Own { name, value: name.row().range.0, source: None }));
    }
    let setup = shop::setup(1.2, DrivenIn::Forwards, PADS);
    let plan = planner::as_placed(&lift, &vehicle, &Job::default(), &limits, &setup).unwrap();
    Shop { lift, vehicle, limits, plan }
}

impl Shop {
    /// The chance that this check fails against a limit of the test's own.
    fn against(&mut self, what: What, limit: f64, samples: u64) -> Chance {
        let check = self.plan.checks.iter().position(|c| c.what == what).unwrap();
        self.plan.checks[check].limit = limit;
        let all = self.all(samples);
        *all.iter().find(|c| c.check == check).unwrap()
    }

    fn all(&self, samples: u64) -> Vec<Chance> {
        planner::chance(&self.lift, &self.vehicle, &Job::default(), &self.limits, &self.plan, samples)
            .unwrap()
    }
}

/// Derived: front share s by levers, load s W, W uniform: the part of W's range above limit / s.
#[test]
fn a_uniform_mass_against_a_rating_is_a_linear_fraction() {
    let mut shop = shop();
    let share = (PADS[2][0] - AFT) / (PADS[2][0] - PADS[0][0]);
    for want in [0.02, 0.2, 0.5, 0.85] {
        let limit = share * Mass::kilograms(MASS + MASS_OFF * (1.0 - 2.0 * want)).weight().to_newtons();
        let found = shop.against(What::PairRating { front: true }, limit, 200_000);
        // Pads within 2 mm and a tilt of 0.1 degree move the share by 0.1 %, evenly both ways.
        assert!((found.chance - want).abs() < 5e-4 + 4.0 * found.error, "{want}: {found:?}");
        assert!(found.error < 1e-3, "{found:?}");
    }
}

/// The normal distribution by Simpson's rule on its density, (1 + erf(x / sqrt 2)) / 2.
fn below(x: f64) -> f64 {
    let density = |t: f64| (-t * t / 2.0).exp() / core::f64::consts::TAU.sqrt();
    let h = x / 2000.0;
    let weighted = |i: i32| if i == 0 || i == 2000 { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
    0.5 + (0..=2000).map(|i| weighted(i) * density(h * f64::from(i))).sum::<f64>() * h / 3.0
}

/// Derived: distance to the left edge = 640 mm less a sideways place that is normal; what pads and tilt
/// add is small, so it only widens the normal: variance r^2/4 a disc.
#[test]
fn a_normal_centre_against_an_edge_is_the_error_function() {
    let mut shop = shop();
    let sideways = shop.plan.states[0].cg_uncertainty[1].to_metres();
    assert!((sideways - 0.03 / 3f64.sqrt()).abs() < 1e-12);
    let part = (AFT - PADS[0][0]) / (PADS[2][0] - PADS[0][0]);
    let pads = 0.002f64.powi(2) / 4.0 * (part * part + (1.0 - part).powi(2));
    let tilt = ((UP - 0.22) * shop.limits.get(Name::Level).tan()).powi(2) / 4.0;
    let spread = (sideways * sideways + pads + tilt).sqrt();
    for off in [-2.5, -1.5, -0.5, 0.0, 1.0] {
        let what = What::EdgeDistance(Corner::RearLeft, Corner::FrontLeft);
        let found = shop.against(what, 0.64 + off * spread, 400_000);
        let want = below(off);
        assert!((found.chance - want).abs() < 1e-4 + 4.0 * found.error, "{off}: {want} {found:?}");
    }
}

/// A second way: independent random draws, normal by Box and Muller, loads by the load estimate.
#[test]
fn plain_random_draws_agree() {
    let mut shop = shop();
    let placing = Name::Placing.row().value;
    assert!(shop.limits.set(Own { name: Name::Placing, value: placing, source: None }));
    assert!(shop.limits.set(Own { name: Name::Level, value: Name::Level.row().value, source: None }));
    let setup = shop::setup(1.2, DrivenIn::Forwards, PADS);
    let (job, limits) = (Job::default(), shop.limits.clone());
    shop.plan = planner::as_placed(&shop.lift, &shop.vehicle, &job, &limits, &setup).unwrap();
    let rating = shop.plan.pads[0].load_estimate.to_newtons() * 1.03;
    let found = shop.against(What::PadRating(Corner::FrontLeft), rating, 200_000);
    let k: Vec<f64> = shop
        .plan
        .pads
        .iter()
        .zip(&shop.lift.arms)
        .map(|(pad, arm)| {
            let own = 400_000.0 * (arm.reach_out / pad.reach).powi(3);
            1.0 / (1.0 / own + 1.0 / 2_000_000.0)
        })
        .collect();
    let mut random = Random::new(11);
    let disc = |random: &mut Random, radius: f64| loop {
        let p = [random.between(-1.0, 1.0), random.between(-1.0, 1.0)];
        if p[0] * p[0] + p[1] * p[1] < 1.0 {
            break p.map(|x| x * radius);
        }
    };
    let (draws, mut failed) = (40_000, 0);
    for _ in 0..draws {
        let contacts = (0..4).map(|i| {
            let ([x, y], off) = (shop.plan.pads[i].bay.to_metres(), disc(&mut random, placing));
            Contact {
                at: Point::metres([x + off[0], y + off[1], 0.22]),
                place_tolerance: Length::ZERO,
                stiffness: Stiffness::newtons_per_metre(k[i]),
                gap: Length::ZERO,
                friction: 0.2,
                rated: None,
                resists: Resists::EveryDirection,
            }
        });
        let set = SupportSet::new(contacts.collect()).unwrap();
        let tilt = disc(&mut random, limits.get(Name::Level).tan() * (UP - 0.22));
        let normal =
            (-2.0 * (1.0 - random.unit()).ln()).sqrt() * (core::f64::consts::TAU * random.unit()).cos();
        let [x, y] =
            shop.plan.placement.to_bay(Place::metres([AFT, normal * 0.03 / 3f64.sqrt()])).to_metres();
        let mass = Mass::kilograms(MASS + random.between(-MASS_OFF, MASS_OFF));
        let load = Load { at: Place::metres([x + tilt[0], y + tilt[1]]), weight: mass.weight() };
        let loads = set.load_estimate(&load).unwrap().loads;
        failed += i32::from(loads[0].to_newtons() > rating);
    }
    let other = f64::from(failed) / f64::from(draws);
    let doubt = (other * (1.0 - other) / f64::from(draws)).sqrt();
    assert!((0.1..0.9).contains(&other), "{other}");
    assert!((found.chance - other).abs() < 4.0 * doubt + 4.0 * found.error, "{other} +- {doubt}: {found:?}");
}

#[test]
fn the_same_question_has_the_same_answer() {
    let mut shop = shop();
    let limit = shop.plan.pads[2].load_estimate.to_newtons();
    let _ = shop.against(What::PadRating(Corner::RearLeft), limit, 1000);
    assert_eq!(format!("{:?}", shop.all(10_000)), format!("{:?}", shop.all(10_000)));
}

/// Independent draws would make the error a tenth with a hundred times the samples.
#[test]
fn the_error_shrinks_as_samples_grow() {
    let mut shop = shop();
    let limit = shop.plan.pads[0].load_estimate.to_newtons() * 1.01;
    let what = What::PadRating(Corner::FrontLeft);
    let [few, many] = [4_000, 400_000].map(|n| shop.against(what, limit, n));
    assert!(few.error > 0.0 && many.error < few.error / 10.0, "{few:?} {many:?}");
    assert!((few.chance - many.chance).abs() < 5.0 * few.error, "{few:?} {many:?}");
    assert_eq!((few.samples, many.samples), (4_000, 400_000));
}
