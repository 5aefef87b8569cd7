//! Arms each off by itself, within the tolerance of a stated stiffness or as assumed: what a plan assures of the pads, against
//! every corner of those tolerances and of the weight's, with pads anywhere in their discs.

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

/// Stiffness of each arm as stated, off by so many of its tolerances, by the cube of its reach.
fn as_stated(lift: &Lift, plan: &Plan, off: [f64; 4]) -> [f64; 4] {
    std::array::from_fn(|i| {
        let (pad, arm) = (&plan.pads[i], &lift.arms[plan.pads[i].arm.index()]);
        let stated = arm.stiffness_out.as_ref().expect("stated");
        let out = stated.value.to_newtons_per_metre() + off[i] * stated.tolerance.to_newtons_per_metre();
        out * (arm.reach_out.to_metres() / pad.reach.to_metres()).powi(3)
    })
}

/// The vehicle as supposed on its pads as planned, each on an arm of that stiffness.
fn springs(plan: &Plan, arms: [f64; 4]) -> Spec {
    let state = &plan.states[0];
    let [aft, left, up] = state.cg.to_metres();
    let feet = (0..4).map(|i| {
        let (pad, own) = (&plan.pads[i], arms[i]);
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

/// Of each pad the greatest load, newtons, and the least share of the weight that some draw has.
struct Seen {
    seen: [[f64; 2]; 4],
    /// Whether no draw lifts a pad off.
    all_carry: bool,
}

/// Every corner of the doubts, and something between; pads as they may lie. `arms` gives stiffnesses for each arm off by
/// so many of its tolerances.
fn seen_of(plan: &Plan, random: &mut Random, arms: impl Fn([f64; 4], &mut Random) -> [f64; 4]) -> Seen {
    let state = &plan.states[0];
    let tolerance = state.mass.tolerance.to_kilograms();
    let mut seen = [[0.0_f64, f64::INFINITY]; 4];
    let mut all_carry = true;
    for corner in 0..16 * 8 {
        let end = |bit: usize| if corner >> bit & 1 == 1 { 1.0 } else { -1.0 };
        for between in [false, true] {
            let part = |end: f64, random: &mut Random| if between { random.between(-1.0, 1.0) } else { end };
            let off = [0, 1, 2, 3].map(|bit| part(end(bit), random));
            for _ in 0..6 {
                let mut spec = springs(plan, arms(off, random));
                spec.mass += part(end(4), random) * tolerance;
                spec.cg[0] += part(end(5), random) * spec.cg_tolerance[0];
                spec.cg[1] += part(end(6), random) * spec.cg_tolerance[1];
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
    Seen { seen, all_carry }
}

/// Nothing seen is beyond what was assured.
fn within(seen: &[[f64; 2]; 4], told: &[[f64; 2]; 4], case: usize) {
    for (i, ([most, least], [greatest, share])) in seen.iter().zip(told).enumerate() {
        assert!(*most <= greatest * (1.0 + 1e-9), "case {case}, pad {i}: {most} N, {greatest} assured");
        // Where a pad lets go, what it would have to pull is no load.
        assert!(*least >= share - 1e-9, "case {case}, pad {i}: share {least}, {share} assured");
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

        let drawn = seen_of(&plan, &mut random, |off, _| as_stated(&lift, &plan, off));
        let Seen { seen, all_carry } = drawn;
        within(&seen, &told, case);
        for i in 0..4 {
            let [most, _] = seen[i];
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

/// Arms that nobody measured: anything from not bending to 200 N/mm at 1 m, each by itself a tenth stiffer or softer; and
/// never told better than the same stated, with a tenth for its tolerance.
#[test]
fn what_nobody_measured_is_no_better_than_what_was() {
    let limits = Limits::default();
    let mut random = Random::new(2207);
    let (mut pads, mut near) = (0, 0);
    for case in 0..40 {
        let (mut lift, vehicle) = drawn(&mut random);
        lift.arms.iter_mut().for_each(|arm| arm.stiffness_out = None);
        let plan = planner::plan(&lift, &vehicle, &Job::default(), &limits).expect("a legal question");
        let told = assured(&plan);

        let mut stated = lift.clone();
        for arm in &mut stated.arms {
            let out = Stiffness::newtons_per_metre(4e5 / arm.reach_out.to_metres().powi(3));
            arm.stiffness_out = Some(Measured::given(out, out * 0.1));
        }
        let setup = shop::setup_of(&plan);
        let known = planner::as_placed(&stated, &vehicle, &Job::default(), &limits, &setup).expect("legal");
        for (told, known) in told.iter().zip(assured(&known)) {
            assert!(
                told[0] >= known[0] - 1e-6 && told[1] <= known[1] + 1e-9,
                "case {case}: {told:?}, {known:?}"
            );
        }

        let Seen { seen, all_carry } = seen_of(&plan, &mut random, |off, random| {
            let softer = random.unit().min(0.5) * 2.0;
            std::array::from_fn(|i| {
                let reach = plan.pads[i].reach.to_metres();
                2e5 / reach.powi(3) * (1.0 + 0.1 * off[i]) / softer.max(1e-6)
            })
        });
        within(&seen, &told, case);
        if all_carry {
            pads += 4;
            near += seen.iter().zip(&told).filter(|(seen, told)| seen[0] > told[0] * 0.97).count();
        }
    }
    println!("{pads} pads that carry throughout; {near} nearly reach what is told");
    assert!(pads > 60 && near * 2 > pads, "{pads} {near}");
}
