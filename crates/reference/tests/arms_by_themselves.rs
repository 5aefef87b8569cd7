//! Arms whose stiffness is stated, each off by itself within its tolerance: what a plan assures of the pads, against every
//! corner of those tolerances and of the weight's, with pads anywhere in their discs.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use planner::checks::What;
use planner::lift::Corner;
use planner::vehicle::Weight;
use planner::{Job, Lift, Limits, Measured, Plan, Vehicle};
use reference::elastic::{self, Resultant};
use reference::random::Random;
use reference::spec::{Foot, Hold, Spec};
use statics::{Mass, Stiffness};

mod shop;

/// The project's default of how far a pad may be off its place, m.
const PLACING: f64 = 0.010;

/// A lift whose arms are each of a stiffness of their own, and a vehicle whose weight may be off.
fn drawn(random: &mut Random) -> (Lift, Vehicle) {
    let (mut lift, mut vehicle) = shop::drawn(random);
    for arm in &mut lift.arms {
        let k = random.between(1e5, 5e5);
        let off = k * random.between(0.05, 0.5);
        let newtons = Stiffness::newtons_per_metre;
        arm.stiffness_out = Some(Measured::given(newtons(k), newtons(off)));
    }
    let share = random.between(0.47, 0.6);
    vehicle.weight = Weight::TotalAndShare {
        total: Measured::given(Mass::kilograms(random.between(1000.0, 2200.0)), Mass::kilograms(15.0)),
        front_share: Measured::given(share, random.between(0.001, 0.01)),
    };
    (lift, vehicle)
}

/// Of each pad: greatest load in newtons and least share of the weight that are assured as raised.
fn assured(plan: &Plan) -> [[f64; 2]; 4] {
    let of = |what: What| {
        let check = plan.checks.iter().find(|c| c.what == what && c.state == Some(0));
        check.expect("a check of every pad").demand
    };
    Corner::ALL.map(|c| [of(What::PadRating(c)), of(What::PadCarries(c))])
}

/// The vehicle as supposed on its pads as planned, each spring by the cube of its arm's reach.
fn springs(lift: &Lift, plan: &Plan, off: [f64; 4]) -> Spec {
    let state = &plan.states[0];
    let [aft, left, up] = state.cg.to_metres();
    let feet = (0..4).map(|i| {
        let (pad, arm) = (&plan.pads[i], &lift.arms[plan.pads[i].arm.index()]);
        let stated = arm.stiffness_out.as_ref().expect("stated");
        let out = stated.value.to_newtons_per_metre() + off[i] * stated.tolerance.to_newtons_per_metre();
        let own = out * (arm.reach_out.to_metres() / pad.reach.to_metres()).powi(3);
        let [x, y] = pad.bay.to_metres();
        Foot {
            at: [x, y, 0.2],
            place_tolerance: PLACING,
            stiffness: 1.0
                / (1.0 / own + 1.0 / planner::situation::ASSUMED_PAD_STIFFNESS.to_newtons_per_metre()),
            gap: 0.0,
            friction: 0.2,
            rated: None,
            hold: Hold::Everywhere,
        }
    });
    Spec {
        mass: state.mass.value.to_kilograms(),
        cg: [plan.placement.spot.to_metres() - aft, left, up],
        cg_tolerance: state.cg_tolerance.map(|t| t.to_metres()),
        tilt_tolerance: 0.0,
        feet: feet.collect(),
    }
}

#[test]
fn each_arm_by_itself_within_its_tolerance_is_covered() {
    let limits = Limits::default();
    let mut random = Random::new(6141);
    let (mut carried, mut wider, mut near) = (0, 0, 0);
    for case in 0..60 {
        let (lift, vehicle) = drawn(&mut random);
        let plan = planner::plan(&lift, &vehicle, &Job::default(), &limits).expect("a legal question");
        let told = assured(&plan);

        // Without the doubt of the arms the same setup is assured of less, or as much.
        let mut known = lift.clone();
        for arm in &mut known.arms {
            let value = arm.stiffness_out.as_ref().expect("stated").value;
            arm.stiffness_out = Some(Measured::given(value, Stiffness::ZERO));
        }
        let setup = shop::setup_of(&plan);
        let as_known = planner::as_placed(&known, &vehicle, &Job::default(), &limits, &setup).expect("legal");
        let narrower = assured(&as_known);
        for i in 0..4 {
            assert!(
                told[i][0] >= narrower[i][0] - 1e-6 && told[i][1] <= narrower[i][1] + 1e-9,
                "case {case}"
            );
        }

        let middle = springs(&lift, &plan, [0.0; 4]);
        let tolerance = plan.states[0].mass.tolerance.to_kilograms();
        let mut seen = [[0.0_f64, f64::INFINITY]; 4];
        let mut all_carry = true;
        for corner in 0..16 * 8 {
            let end = |bit: usize| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
            let ends = [0, 1, 2, 3].map(end);
            // Both the corner itself and something between, pads as they may lie.
            for between in [false, true] {
                let part =
                    |end: f64, random: &mut Random| if between { random.between(-1.0, 1.0) } else { end };
                let off = ends.map(|e| part(e, &mut random));
                for _ in 0..6 {
                    let mut spec = Spec { feet: springs(&lift, &plan, off).feet, ..middle.clone() };
                    spec.mass += part(end(4), &mut random) * tolerance;
                    spec.cg[0] += part(end(5), &mut random) * spec.cg_tolerance[0];
                    spec.cg[1] += part(end(6), &mut random) * spec.cg_tolerance[1];
                    for foot in &mut spec.feet {
                        let angle = random.between(0.0, std::f64::consts::TAU);
                        foot.at[0] += PLACING * angle.cos();
                        foot.at[1] += PLACING * angle.sin();
                    }
                    let weight = spec.weight();
                    let Some(loads) = elastic::loads(&spec, &Resultant::weight(&spec)) else { continue };
                    all_carry &= loads.iter().all(|n| *n > 0.0);
                    for (seen, load) in seen.iter_mut().zip(loads) {
                        *seen = [seen[0].max(load), seen[1].min(load / weight)];
                    }
                }
            }
        }
        for i in 0..4 {
            let [most, least] = seen[i];
            assert!(
                most <= told[i][0] * (1.0 + 1e-9),
                "case {case}, pad {i}: {most} N, {} assured",
                told[i][0]
            );
            // Where a pad lets go, what it would have to pull is no load.
            assert!(
                least >= told[i][1] - 1e-9,
                "case {case}, pad {i}: share {least}, {} assured",
                told[i][1]
            );
            if all_carry {
                carried += 1;
                wider += usize::from(told[i][0] > narrower[i][0] * 1.02);
                near += usize::from(most > told[i][0] * 0.97);
            }
        }
    }
    println!(
        "{carried} pads that carry throughout; {wider} widened by the arms by 2 %, {near} nearly reach what is told"
    );
    assert!(carried > 60 && wider * 2 > carried && near * 2 > carried, "{carried} {wider} {near}");
}
