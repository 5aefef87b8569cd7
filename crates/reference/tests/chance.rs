//! The chance of failing against closed forms. Against plain random draws: `chance_drawn.rs`.

#![expect(clippy::unwrap_used, clippy::panic, reason = "helpers of tests stop at what they did not expect")]

use planner::checks::What;
use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::limits::{Name, Own};
use planner::measured::Measured;
use planner::vehicle::{BodyClass, Drive, Weight};
use planner::{Chance, Chances, Job, Lift, Limits, Plan, Vehicle};
use statics::{Length, Mass, Point, Stiffness};

mod shop;

const PADS: [[f64; 2]; 4] = [[0.7, 0.64], [0.7, -0.64], [1.9, 0.64], [1.9, -0.64]];
const MASS: f64 = 1300.0;
const MASS_OFF: f64 = 60.0;
const AFT: f64 = 1.2;
const UP: f64 = 0.55;

struct Shop {
    lift: Lift,
    vehicle: Vehicle,
    job: Job,
    limits: Limits,
    plan: Plan,
}

fn m(value: f64) -> Length {
    Length::metres(value)
}

/// A vehicle of which the mass and the sideways place are in doubt.
fn vehicle() -> Vehicle {
    let mut vehicle = shop::weighing(Mass::kilograms(MASS), m(AFT), m(UP), m(2.6));
    vehicle.weight = Weight::TotalAndShare {
        total: Measured::given(Mass::kilograms(MASS), Mass::kilograms(MASS_OFF)),
        front_share: Measured::given(1.0 - AFT / 2.6, 0.0),
    };
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle
}

/// A vehicle of which nothing is in doubt, its centre so far to the left.
fn weighed(left: f64) -> Vehicle {
    let mut vehicle = vehicle();
    let rear = MASS * AFT / 2.6;
    // Both axles lean alike: left = track (left - right) / 2 W, track 1.5 m.
    let wheel =
        |axle: f64, side: f64| Measured::given(Mass::kilograms(axle * (0.5 + side * left / 1.5)), Mass::ZERO);
    let loads = [(MASS - rear, 1.0), (MASS - rear, -1.0), (rear, 1.0), (rear, -1.0)];
    vehicle.weight = Weight::WheelLoads(loads.map(|(axle, side)| wheel(axle, side)));
    vehicle
}

/// Pads and tilt as narrow as limits go.
fn shop() -> Shop {
    Shop::with(vehicle(), PADS, &[Name::Placing, Name::Level].map(|n| (n, n.row().range.0)))
}

impl Shop {
    fn with(vehicle: Vehicle, pads: [[f64; 2]; 4], own: &[(Name, f64)]) -> Self {
        Self::doing(vehicle, Job::default(), pads, own)
    }

    fn doing(vehicle: Vehicle, job: Job, pads: [[f64; 2]; 4], own: &[(Name, f64)]) -> Self {
        let mut lift = shop::lifts().remove(0);
        for arm in &mut lift.arms {
            arm.stiffness_out =
                Some(Measured::given(Stiffness::newtons_per_metre(400_000.0), Stiffness::ZERO));
        }
        let mut limits = Limits::default();
        for (name, value) in own {
            assert!(limits.set(Own { name: *name, value: *value, source: None }));
        }
        let setup = shop::setup(1.2, DrivenIn::Forwards, pads);
        let plan = planner::as_placed(&lift, &vehicle, &job, &limits, &setup).unwrap();
        Self { lift, vehicle, job, limits, plan }
    }

    /// The chance that this check fails against a limit of the test's own.
    fn against(&mut self, what: What, limit: f64, samples: u64) -> Chance {
        let check = self.plan.checks.iter().position(|c| c.what == what).unwrap();
        self.plan.checks[check].limit = limit;
        let all = self.all(samples);
        *all.iter().find(|c| c.check == check).unwrap()
    }

    fn all(&self, samples: u64) -> Vec<Chance> {
        match self.told(samples) {
            Chances::Told(all) => all,
            Chances::DoesNotStand(state) => panic!("does not stand in state {state}"),
        }
    }

    fn told(&self, samples: u64) -> Chances {
        planner::chance(&self.lift, &self.vehicle, &self.job, &self.limits, &self.plan, samples).unwrap()
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

fn near(found: Chance, want: f64, off: f64) {
    assert!((found.chance - want).abs() < off + 4.0 * found.error, "{want}: {found:?}");
}

/// Along one axis, a point that is even in a disc of radius r: below x is
/// 1/2 + (x sqrt(r^2 - x^2) + r^2 asin(x / r)) / (pi r^2), derived.
fn in_disc_below(x: f64, r: f64) -> f64 {
    let x = x.clamp(-r, r);
    0.5 + (x * (r * r - x * x).sqrt() / (r * r) + (x / r).asin()) / core::f64::consts::PI
}

/// Parts of a normal distribution below its median -2.326, -1.645, 0, 1.645, 2.326 standard deviations.
const CENTRAL: [(f64, f64); 5] = [(-2.326, 0.01), (-1.645, 0.05), (0.0, 0.5), (1.645, 0.95), (2.326, 0.99)];

/// The medians and standard deviations of front-share-prior.csv: where the share is not known, the centre is drawn
/// with the published median and the published central 90 and 98 %.
#[test]
fn a_share_from_the_prior_is_drawn_as_it_was_published() {
    for (class, drive, median, sd) in [
        (BodyClass::Hatchback, Drive::Front, 0.6160, 0.0296),
        (BodyClass::Pickup, Drive::Rear, 0.5853, 0.0160),
        (BodyClass::Suv, Drive::All, 0.5452, 0.0217),
        (BodyClass::Van, Drive::Front, 0.5799, 0.0257),
        (BodyClass::Sedan, Drive::Battery, 0.5830, 0.0372),
    ] {
        let mut vehicle = vehicle();
        (vehicle.class, vehicle.drive) = (class, drive);
        vehicle.weight = Weight::Total(Measured::given(Mass::kilograms(MASS), Mass::ZERO));
        // Long enough apart that no sample tips.
        let pads = PADS.map(|[aft, left]| if aft < AFT { [0.4, left] } else { [2.2, left] });
        let mut shop = Shop::with(vehicle, pads, &[Name::Placing, Name::Level].map(|n| (n, n.row().range.0)));
        for (z, want) in CENTRAL {
            // A smaller share stands nearer to the rear pads: the centre is 2.6 m (1 - share) back.
            let limit = 2.6 * (1.0 - median + z * sd) - 0.4;
            let what = What::EdgeDistance(Corner::FrontLeft, Corner::FrontRight);
            near(shop.against(what, limit, 200_000), want, 5e-4);
        }
    }
}

/// The medians and standard deviations of cg-height-prior.csv, roof measured and not: the tip ratio, with the edge
/// ahead known and the nearest, fails where the centre is higher than edge / limit.
#[test]
fn a_height_from_the_prior_is_drawn_as_it_was_published() {
    let roof = 1.9;
    for (class, median, sd, by_class) in [
        (BodyClass::Sedan, 0.5453, 0.0212, true),
        (BodyClass::Minivan, 0.6589, 0.0479, true),
        (BodyClass::Van, 0.8026, 0.0824, true),
        (BodyClass::Sedan, 0.3792 * roof, 0.0123 * roof, false),
        (BodyClass::Suv, 0.3889 * roof, 0.0127 * roof, false),
    ] {
        let mut vehicle = weighed(0.0);
        vehicle.class = class;
        vehicle.cg_height = by_class.then(|| planner::priors::cg_height_of_class(class, Drive::Front));
        let pads = PADS.map(|[aft, left]| if aft < AFT { [0.9, left] } else { [aft, left] });
        let mut shop = Shop::with(vehicle, pads, &[Name::Placing, Name::Level].map(|n| (n, n.row().range.0)));
        for (z, want) in CENTRAL {
            let limit = 0.3 / (median - z * sd - 0.22);
            near(shop.against(What::TipRatio, limit, 200_000), want, 2e-3);
        }
    }
}

/// Where lifting points were measured roughly (quick entry), a pad is anywhere in the disc of both tolerances.
/// Half-way between two pads the edge moves by half of either: the convolution by Simpson's rule, derived.
#[test]
fn pads_are_drawn_in_the_disc_in_which_the_checks_let_them_be() {
    let mut vehicle = weighed(0.0);
    vehicle.unmeasured.lift_points = Length::millimetres(20.0);
    // Near the left edge, where a turn of it moves the centre's distance least.
    let pads = PADS.map(|[aft, left]| {
        [if aft < AFT { AFT - 0.6 } else { AFT + 0.6 }, if left > 0.0 { 0.1 } else { left }]
    });
    let mut shop =
        Shop::with(vehicle, pads, &[(Name::Placing, 0.010), (Name::Level, Name::Level.row().range.0)]);
    let (radius, n) = (0.030f64, 2000);
    for inwards in [-0.020, -0.012, 0.0, 0.005, 0.015] {
        let h = 2.0 * radius / f64::from(n);
        let at = |i: i32| h.mul_add(f64::from(i), -radius);
        let density = |y: f64| {
            2.0 * (radius * radius - y * y).max(0.0).sqrt() / (core::f64::consts::PI * radius * radius)
        };
        let weighted = |i: i32| if i == 0 || i == n { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
        let sum = |i: i32| weighted(i) * density(at(i)) * in_disc_below(2.0 * inwards - at(i), radius);
        let want = (0..=n).map(sum).sum::<f64>() * h / 3.0;
        let what = What::EdgeDistance(Corner::RearLeft, Corner::FrontLeft);
        near(shop.against(what, 0.1 + inwards, 200_000), want, 1e-3);
    }
}

/// Derived: a plane out of level by up to t any way moves the centre, h above the pads, by up to h tan t; along the
/// vehicle that is a point in a disc, and the front share follows by levers.
#[test]
fn what_is_out_of_level_moves_the_loads() {
    let level = 0.05;
    let mut shop = Shop::with(weighed(0.0), PADS, &[(Name::Placing, 0.002), (Name::Level, level)]);
    let radius = (UP - 0.22) * level.tan();
    for back in [-0.012, -0.006, 0.0, 0.004, 0.010] {
        let share = (PADS[2][0] - AFT - back) / (PADS[2][0] - PADS[0][0]);
        let limit = share * Mass::kilograms(MASS).weight().to_newtons();
        // The front pads carry more than that where the centre is ahead of `back`.
        let found = shop.against(What::PairRating { front: true }, limit, 200_000);
        near(found, in_disc_below(back, radius), 3e-3);
    }
}

/// Derived: a centre that leans far to one corner of a rectangle of pads, 1.2 m by 1.28 m, would want the pad across to
/// pull; the three others then carry by levers: beside it 0.14 / 1.28, behind it 0.15 / 1.2, itself the rest.
#[test]
fn a_pad_that_would_have_to_pull_carries_nothing() {
    let pads = PADS.map(|[aft, left]| [if aft < AFT { AFT - 0.15 } else { AFT + 1.05 }, left]);
    let exact = [Name::Placing, Name::Level].map(|n| (n, n.row().range.0));
    let mut shop = Shop::with(weighed(0.5), pads, &exact);
    let weight = Mass::kilograms(MASS).weight().to_newtons();
    let (beside, behind) = (0.14 / 1.28, 0.15 / 1.2);
    for (corner, share) in
        [(Corner::FrontLeft, 1.0 - beside - behind), (Corner::FrontRight, beside), (Corner::RearLeft, behind)]
    {
        for (off, fails) in [(-0.006, true), (0.006, false)] {
            let found = shop.against(What::PadRating(corner), (share + off) * weight, 10_000);
            assert_eq!(found.failed, if fails { found.samples } else { 0 }, "{corner:?}");
        }
    }
}

/// Derived: the centre, normal sideways, is outside pads whose left edge is 20 mm from it; whatever rating, limit or
/// share is asked, a vehicle that tips fails it; only the lift carries no more for that.
#[test]
fn a_sample_that_tips_fails_all_but_the_capacity() {
    let pads = PADS.map(|[aft, left]| [aft, if left > 0.0 { 0.020 } else { left }]);
    let mut shop = Shop::with(vehicle(), pads, &[Name::Placing, Name::Level].map(|n| (n, n.row().range.0)));
    let part = (AFT - PADS[0][0]) / (PADS[2][0] - PADS[0][0]);
    let moved = 0.002f64.powi(2) / 4.0 * (part * part + (1.0 - part).powi(2))
        + ((UP - 0.22) * shop.limits.get(Name::Level).tan()).powi(2) / 4.0;
    let spread = (0.03f64.powi(2) / 3.0 + moved).sqrt();
    let want = 1.0 - below(0.020 / spread);
    assert!((0.1..0.2).contains(&want));
    for (what, lax) in [
        (What::PadRating(Corner::RearRight), 1e9),
        (What::PadCarries(Corner::RearLeft), -9.0),
        (What::PairRating { front: true }, 1e9),
        (What::TipRatio, -9.0),
    ] {
        near(shop.against(what, lax, 200_000), want, 1e-3);
    }
    assert_eq!(shop.against(What::Capacity, 1e9, 10_000).failed, 0);
}

/// Derived: an even mass against what the lift may carry; of a job, in the heaviest of its states.
#[test]
fn the_lift_is_overloaded_as_often_as_the_heaviest_state_weighs_more() {
    let on = shop::part("crate", Mass::kilograms(200.0), Point::metres([AFT, 0.0, UP]));
    let steps = vec![planner::job::Step::On(on)];
    for (job, more) in [(Job::default(), 0.0), (Job { steps, ..Job::default() }, 200.0)] {
        let exact = [Name::Placing, Name::Level].map(|n| (n, n.row().range.0));
        let mut shop = Shop::doing(vehicle(), job, PADS, &exact);
        for want in [0.1, 0.6, 1.0] {
            let limit = MASS + more + MASS_OFF * (1.0 - 2.0 * want);
            near(shop.against(What::Capacity, limit, 100_000), want, 1e-4);
        }
    }
}

/// Where no loads hold the vehicle as supposed, none has a chance: pads all to one side, pads on one line, a part
/// off that held it.
#[test]
fn of_a_setup_that_does_not_stand_no_chance_is_told() {
    let aside = PADS.map(|[aft, left]| [aft, left.abs() + left / 4.0]);
    let in_line = PADS.map(|[aft, left]| [aft, aft + left * 1e-12]);
    for pads in [aside, in_line] {
        assert_eq!(Shop::with(vehicle(), pads, &[]).told(1000), Chances::DoesNotStand(0));
    }
    let off = shop::part("engine", Mass::kilograms(700.0), Point::metres([0.0, 0.0, UP]));
    let job = Job { steps: vec![planner::job::Step::Off(off)], ..Job::default() };
    assert_eq!(Shop::doing(vehicle(), job, PADS, &[]).told(1000), Chances::DoesNotStand(1));
}
