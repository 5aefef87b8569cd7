//! The order of steps against all permutations, each state asked of a job of its own.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use planner::job::Step;
use planner::order::{best_order, state_reserves};
use planner::vehicle::Part;
use planner::{Job, Lift, Limits, Measured, Setup, Situation, Vehicle};
use reference::random::Random;
use statics::{Length, Mass, Point};

mod shop;

fn lift_and_car() -> (Lift, Vehicle, Setup) {
    let m = Length::metres;
    let lift = shop::lifts().remove(0);
    let mut vehicle = shop::weighing(Mass::kilograms(1500.0), m(1.15), m(0.6), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    let plan = planner::plan(&lift, &vehicle, &Job::default(), &Limits::default()).expect("a question");
    (lift, vehicle, shop::setup_of(&plan))
}

/// Parts at either end, some of which must be off before others.
fn drawn(random: &mut Random, count: usize) -> Vec<Part> {
    (0..count)
        .map(|k| {
            let aft = if random.chance(0.5) { random.between(-0.5, 0.6) } else { random.between(2.0, 3.2) };
            let kg = random.between(15.0, 480.0 / f64::from(u32::try_from(count).expect("few")));
            let after = (0..k).filter(|_| random.chance(0.12)).map(|i| format!("part {i}")).collect();
            let left = random.between(-0.5, 0.5);
            Part {
                name: format!("part {k}"),
                mass: Measured::given(Mass::kilograms(kg), Mass::kilograms(0.03 * kg)),
                at: Point::metres([aft, left, random.between(0.3, 0.9)]),
                after,
            }
        })
        .collect()
}

/// Every order of 0..count.
fn permutations(count: usize) -> Vec<Vec<usize>> {
    let mut all = vec![vec![]];
    for k in 0..count {
        all = all
            .into_iter()
            .flat_map(|p: Vec<usize>| {
                (0..=p.len()).map(move |at| {
                    let mut with = p.clone();
                    with.insert(at, k);
                    with
                })
            })
            .collect();
    }
    all
}

/// Least reserve over the states of an order, from a table of what each set of steps done leaves.
fn along(order: &[usize], table: &[f64]) -> f64 {
    let mut set = 0;
    let reserves = order.iter().map(|k| {
        set |= 1 << k;
        table[set]
    });
    reserves.fold(f64::INFINITY, f64::min)
}

/// Whether parts come off only after those they want off first.
fn may_be(order: &[usize], parts: &[Part]) -> bool {
    let place = |name: &str| order.iter().position(|k| parts[*k].name == name);
    order.iter().enumerate().all(|(at, k)| parts[*k].after.iter().all(|n| place(n).is_some_and(|p| p < at)))
}

#[test]
fn no_permutation_leaves_more_than_the_best_order() {
    let (lift, vehicle, setup) = lift_and_car();
    let limits = Limits::default();
    let mut random = Random::new(1616);
    let (mut cases, mut gained, mut held_back) = (0, 0, 0);
    for count in [2, 3, 4, 5, 6, 7, 8, 8, 8, 8] {
        for _ in 0..3 {
            let parts = drawn(&mut random, count);
            let off: Vec<Step> = parts.iter().cloned().map(Step::Off).collect();
            let on: Vec<Step> = parts.iter().rev().cloned().map(Step::On).collect();
            // What each set of parts off leaves: asked of a job that takes just these off, none wanting another.
            let free = |k: usize| Step::Off(Part { after: vec![], ..parts[k].clone() });
            let table: Vec<f64> = (0..1usize << count)
                .map(|set| {
                    let steps = (0..count).filter(|k| set >> k & 1 == 1).map(free).collect();
                    let job = Job { steps, ..Job::default() };
                    let situation =
                        Situation::new(&lift, &vehicle, &job, &limits).expect("states that can be");
                    *state_reserves(&situation, &setup).last().expect("a state")
                })
                .collect();
            // On again, from all off: a set put on is the rest still off.
            let all = (1usize << count) - 1;
            let back: Vec<f64> = (0..=all).map(|on| table[all & !on]).collect();
            let legal: Vec<Vec<usize>> =
                permutations(count).into_iter().filter(|p| may_be(p, &parts)).collect();
            let best_off = legal.iter().map(|p| along(p, &table)).fold(f64::NEG_INFINITY, f64::max);
            let reversed = |p: &Vec<usize>| along(&p.iter().rev().copied().collect::<Vec<_>>(), &back);
            let best_on = legal.iter().map(reversed).fold(f64::NEG_INFINITY, f64::max);
            let best = best_off.min(best_on).min(table[0]);

            let job = Job { steps: [off, on].concat(), ..Job::default() };
            let situation = Situation::new(&lift, &vehicle, &job, &limits).expect("a legal job");
            let found = best_order(&situation, &setup);
            assert!(
                (found.reserve - best).abs() < 1e-9,
                "{count} parts: {} found, {best} best",
                found.reserve
            );
            assert!((found.bound - found.reserve).abs() < 1e-15, "exact");

            // The order that is named leaves what is said, and every part may move when it does.
            let steps = found.steps.iter().map(|k| job.steps[*k].clone()).collect();
            let other = Job { steps, ..Job::default() };
            let again = Situation::new(&lift, &vehicle, &other, &limits).expect("an order that may be");
            let least = |s: &Situation| state_reserves(s, &setup).into_iter().fold(f64::INFINITY, f64::min);
            assert!((least(&again) - found.reserve).abs() < 1e-9);
            cases += 1;
            gained += usize::from(found.reserve > least(&situation) + 1e-6);
            held_back += usize::from(found.reserve < table[0].min(table[all]) - 1e-6);
        }
    }
    println!("{cases} cases, {gained} better than as given, {held_back} held back by a state in between");
    assert!(gained >= 10 && held_back >= 3, "cases that ask something");
}

/// Where parts that come off one after the other can only come off so, nothing is said of orders.
#[test]
fn the_only_order_is_not_called_the_best() {
    let (lift, vehicle, _) = lift_and_car();
    let part = |name: &str, aft: f64, kg: f64, after: &[&str]| Part {
        name: name.into(),
        mass: Measured::given(Mass::kilograms(kg), Mass::ZERO),
        at: Point::metres([aft, 0.0, 0.5]),
        after: after.iter().map(|n| (*n).into()).collect(),
    };
    let refused = |after: &[&str]| {
        let off = [part("front panel", -0.5, 60.0, &[]), part("engine", -0.2, 620.0, after)].map(Step::Off);
        let job = Job { steps: off.to_vec(), ..Job::default() };
        let plan = planner::plan(&lift, &vehicle, &job, &Limits::default()).expect("a legal job");
        assert!(!plan.refusals.is_empty(), "it must fail to ask for another order");
        plan.order
    };
    assert!(refused(&[]).is_some_and(|order| !order.adopted));
    assert_eq!(refused(&["front panel"]), None);
}
