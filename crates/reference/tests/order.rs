//! The order of steps against all permutations, each state asked of a job of its own.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use planner::job::{Posture, Step, Task, WorkForce};
use planner::order::{Order, best_order, state_reserves};
use planner::vehicle::{Off, Part, Weight};
use planner::{Job, Lift, Limits, Measured, Setup, Situation, Vehicle};
use reference::random::Random;
use statics::{Force, Length, Mass, Point};

mod shop;

fn lift_and_car() -> (Lift, Vehicle, Setup) {
    let m = Length::metres;
    let lift = shop::lifts().remove(0);
    let mut vehicle = shop::weighing(Mass::kilograms(1500.0), m(1.15), m(0.6), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    let plan = planner::plan(&lift, &vehicle, &Job::default(), &Limits::default()).expect("a question");
    (lift, vehicle, shop::setup_of(&plan))
}

/// What makes a drawn job hard.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind {
    /// Parts at either end, some of which must be off before others.
    Any,
    /// Light parts, and two heavy ones of which the front one must be off first: every set of the light ones leaves more
    /// than any order can.
    HeldBack,
}

fn drawn(random: &mut Random, count: usize, kind: Kind) -> Vec<Part> {
    let heavy = |k: usize| kind == Kind::HeldBack && k < 2;
    (0..count)
        .map(|k| {
            let ahead = if heavy(k) { k == 0 } else { random.chance(0.5) };
            let aft = if ahead { random.between(-0.5, 0.6) } else { random.between(2.0, 3.2) };
            let kg = match kind {
                Kind::Any => random.between(15.0, 480.0 / f64::from(u32::try_from(count).expect("few"))),
                Kind::HeldBack if heavy(k) => random.between(170.0, 210.0),
                Kind::HeldBack => random.between(4.0, 15.0),
            };
            let after = match kind {
                Kind::Any => (0..k).filter(|_| random.chance(0.12)).map(|i| format!("part {i}")).collect(),
                Kind::HeldBack if k == 1 => vec!["part 0".into()],
                Kind::HeldBack => vec![],
            };
            let left = random.between(-0.5, 0.5);
            let off = [0.0, 0.0, 0.0].map(|none: f64| none + random.between(0.0, 0.04));
            Part {
                name: format!("part {k}"),
                mass: Measured::given(Mass::kilograms(kg), Mass::kilograms(0.03 * kg)),
                at: Point::metres([aft, left, random.between(0.3, 0.9)]),
                off: Off::given(off.map(Length::metres)),
                after,
            }
        })
        .collect()
}

/// Somebody pulls hard on a hub and pushes up from below, the first in any state, the second in one only.
fn tasks(random: &mut Random, during: String) -> Vec<Task> {
    let task =
        |name: &str, during: Vec<String>, at: [f64; 3], directions: Vec<[f64; 3]>, newtons: f64| Task {
            name: name.into(),
            posture: Posture::StandingUnder,
            during,
            forces: vec![WorkForce {
                bar: None,
                name: name.into(),
                at: Point::metres(at),
                off: [Length::ZERO; 3],
                directions,
                size: Measured::given(Force::newtons(newtons), Force::newtons(20.0)),
            }],
        };
    let pull = random.between(500.0, 1600.0);
    let both = vec![[0.0, 1.0, 0.0], [-1.0, 0.0, 0.2]];
    let lift = random.between(900.0, 3000.0);
    vec![
        task("pull", vec![], [0.0, 0.8, 0.3], both, pull),
        task("press up", vec![during], [0.1, 0.2, 0.3], vec![[0.0, 0.0, 1.0]], lift),
    ]
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

/// What each state leaves, by the steps done and the last of them: asked of a job that takes just these off, none
/// wanting another.
struct Table {
    count: usize,
    left: Vec<f64>,
}

impl Table {
    fn of((lift, vehicle, setup): &(Lift, Vehicle, Setup), parts: &[Part], tasks: &[Task]) -> Self {
        let (limits, count) = (Limits::default(), parts.len());
        let named: Vec<&String> = tasks.iter().flat_map(|t| &t.during).collect();
        let asked = |set: usize, last: Option<usize>| {
            let free = |k: usize| Step::Off(Part { after: vec![], ..parts[k].clone() });
            let others = (0..count).filter(|k| set >> k & 1 == 1 && Some(*k) != last);
            let steps: Vec<Step> = others.chain(last).map(free).collect();
            let name = steps.last().map_or("as raised".into(), Step::state_name);
            // A task that is done in another state only is no task of this one.
            let done = |t: &&Task| t.is_done_in(&name);
            let tasks = tasks.iter().filter(done).cloned().collect();
            let job = Job { steps, tasks, ..Job::default() };
            let situation = Situation::new(lift, vehicle, &job, &limits).expect("states that can be");
            *state_reserves(&situation, setup).last().expect("a state")
        };
        let mut left = vec![f64::NAN; count << count];
        for set in 0..1usize << count {
            let matters = |k: &usize| set >> k & 1 == 1 && named.contains(&&format!("part {k} off"));
            let alike = asked(set, (0..count).find(|k| set >> k & 1 == 1 && !matters(k)));
            for last in 0..count {
                left[set * count + last] = if matters(&last) { asked(set, Some(last)) } else { alike };
            }
        }
        Self { count, left }
    }

    fn at(&self, set: usize, last: usize) -> f64 {
        self.left[set * self.count + last]
    }

    /// Least reserve over the states of an order.
    fn along(&self, order: &[usize]) -> f64 {
        let mut set = 0;
        let reserves = order.iter().map(|k| {
            set |= 1 << k;
            self.at(set, *k)
        });
        reserves.fold(f64::INFINITY, f64::min)
    }

    /// The best over all orders, set by set: what leads to a set is the best of what leads to those with a step less.
    fn widest(&self, parts: &[Part]) -> f64 {
        let mut best = vec![f64::NEG_INFINITY; 1 << self.count];
        best[0] = f64::INFINITY;
        for set in 1usize..1 << self.count {
            let may = |last: &usize| {
                let off =
                    |name: &String| (0..self.count).any(|k| set >> k & 1 == 1 && parts[k].name == *name);
                set >> last & 1 == 1 && parts[*last].after.iter().all(off)
            };
            let by = |last: usize| best[set & !(1 << last)].min(self.at(set, last));
            best[set] = (0..self.count).filter(may).map(by).fold(f64::NEG_INFINITY, f64::max);
        }
        best[(1 << self.count) - 1]
    }
}

/// Whether parts come off only after those they want off first.
fn may_be(order: &[usize], parts: &[Part]) -> bool {
    let place = |name: &str| order.iter().position(|k| parts[*k].name == name);
    order.iter().enumerate().all(|(at, k)| parts[*k].after.iter().all(|n| place(n).is_some_and(|p| p < at)))
}

/// The order that is named leaves what is said, and every part may move when it does.
fn holds_what_it_says(at: &(Lift, Vehicle, Setup), job: &Job, found: &Order) {
    let limits = Limits::default();
    let steps = found.steps.iter().map(|k| job.steps[*k].clone()).collect();
    let other = Job { steps, ..job.clone() };
    let again = Situation::new(&at.0, &at.1, &other, &limits).expect("an order that may be");
    let least = state_reserves(&again, &at.2).into_iter().fold(f64::INFINITY, f64::min);
    assert!((least - found.reserve).abs() < 1e-9, "{least} left, {} said", found.reserve);
}

#[test]
fn no_permutation_leaves_more_than_the_best_order() {
    let at = lift_and_car();
    let limits = Limits::default();
    let mut random = Random::new(1616);
    let (mut cases, mut gained, mut held_back) = (0, 0, 0);
    for count in [2, 3, 4, 5, 6, 7, 8, 8, 8, 8] {
        for kind in [Kind::Any, Kind::Any, Kind::HeldBack] {
            let parts = drawn(&mut random, count, kind);
            let off: Vec<Step> = parts.iter().cloned().map(Step::Off).collect();
            let on: Vec<Step> = parts.iter().rev().cloned().map(Step::On).collect();
            let table = Table::of(&at, &parts, &[]);
            // On again, from all off: a set put on is the rest still off.
            let all = (1usize << count) - 1;
            let back = |order: &Vec<usize>| {
                let mut off = all;
                let reserves = order.iter().rev().map(|k| {
                    off &= !(1 << k);
                    table.at(off, 0)
                });
                reserves.fold(f64::INFINITY, f64::min)
            };
            let legal: Vec<Vec<usize>> =
                permutations(count).into_iter().filter(|p| may_be(p, &parts)).collect();
            let best_off = legal.iter().map(|p| table.along(p)).fold(f64::NEG_INFINITY, f64::max);
            assert!((best_off - table.widest(&parts)).abs() < 1e-12, "the two slow ways say the same");
            let best_on = legal.iter().map(back).fold(f64::NEG_INFINITY, f64::max);
            let best = best_off.min(best_on).min(table.at(0, 0));

            let job = Job { steps: [off, on].concat(), ..Job::default() };
            let situation = Situation::new(&at.0, &at.1, &job, &limits).expect("a legal job");
            let found = best_order(&situation, &at.2);
            assert!(
                (found.reserve - best).abs() < 1e-9,
                "{count} parts: {} found, {best} best",
                found.reserve
            );
            assert!((found.bound - found.reserve).abs() < 1e-15, "exact");
            holds_what_it_says(&at, &job, &found);
            let given = state_reserves(&situation, &at.2).into_iter().fold(f64::INFINITY, f64::min);
            cases += 1;
            gained += usize::from(found.reserve > given + 1e-6);
            held_back += usize::from(found.reserve < table.at(0, 0).min(table.at(all, 0)) - 1e-6);
        }
    }
    println!("{cases} cases, {gained} better than as given, {held_back} held back by a state in between");
    assert!(gained >= 10 && held_back >= 10, "cases that ask something");
}

/// The same with weights that may be off, with forces that some states withstand, and with more parts.
#[test]
fn no_order_leaves_more_whatever_holds_it_back() {
    let (lift, exact, setup) = lift_and_car();
    let limits = Limits::default();
    let mut random = Random::new(3216);
    let (mut held_back, mut by_force) = (0, 0);
    for (count, pushed, in_doubt) in [
        (5, true, false),
        (5, true, true),
        (6, true, true),
        (6, true, true),
        (6, true, false),
        (6, true, true),
        (6, true, false),
        (7, true, true),
        (7, true, false),
        (7, true, true),
        (8, false, true),
        (10, false, false),
        (10, false, true),
        (11, false, true),
    ] {
        let mut vehicle = exact.clone();
        if in_doubt {
            vehicle.weight = Weight::TotalAndShare {
                total: Measured::given(Mass::kilograms(1500.0), Mass::kilograms(random.between(5.0, 60.0))),
                front_share: Measured::given(0.55, random.between(0.002, 0.02)),
            };
        }
        let at = (lift.clone(), vehicle, setup.clone());
        let parts = drawn(&mut random, count, Kind::HeldBack);
        let one = format!("part {} off", count / 2);
        let tasks = if pushed { tasks(&mut random, one) } else { vec![] };
        let table = Table::of(&at, &parts, &tasks);
        let best = table.widest(&parts).min(table.at(0, 0));
        let steps: Vec<Step> = parts.iter().cloned().map(Step::Off).collect();
        let job = Job { steps, tasks, ..Job::default() };
        let situation = Situation::new(&at.0, &at.1, &job, &limits).expect("a legal job");
        let found = best_order(&situation, &at.2);
        assert!((found.reserve - best).abs() < 1e-9, "{count}: {} found, {best} best", found.reserve);
        assert!((found.bound - found.reserve).abs() < 1e-15, "exact");
        holds_what_it_says(&at, &job, &found);
        let all = (1usize << count) - 1;
        let ends = (0..count).map(|k| table.at(all, k)).fold(table.at(0, 0), f64::min);
        held_back += usize::from(best < ends - 1e-6);
        let free = Table::of(&at, &parts, &[]).widest(&parts);
        by_force += usize::from(best < free - 1e-6);
    }
    println!("{held_back} held back, {by_force} of them by a force");
    assert!(held_back >= 6 && by_force >= 2, "cases that ask something");
}

/// Two heavy parts of which one must be off first, and light ones of two sorts, each all alike: so many orders that the
/// search is cut short. What it says that none exceeds is held against the best, which the counts of each sort decide.
#[test]
fn above_sixteen_steps_what_none_exceeds_is_told() {
    let at = lift_and_car();
    let limits = Limits::default();
    let part = |name: String, aft: f64, kg: f64| Part {
        name,
        mass: Measured::given(Mass::kilograms(kg), Mass::ZERO),
        at: Point::metres([aft, 0.1, 0.5]),
        off: Off::NONE,
        after: vec![],
    };
    let heavy = [part("axle".into(), 0.0, 190.0), part("tank".into(), 2.7, 190.0)];
    let sorts = [(-0.4, 7.0), (2.9, 6.0)];
    let light = |sort: usize, k: usize| part(format!("panel {sort}{k}"), sorts[sort].0, sorts[sort].1);
    let left = |ahead: usize, behind: usize, heavies: usize| {
        let off = (0..ahead).map(|k| light(0, k)).chain((0..behind).map(|k| light(1, k)));
        let steps = off.chain(heavy[..heavies].iter().cloned()).map(Step::Off).collect();
        let job = Job { steps, ..Job::default() };
        let situation = Situation::new(&at.0, &at.1, &job, &limits).expect("states that can be");
        *state_reserves(&situation, &at.2).last().expect("a state")
    };
    let mut best = [[[f64::NEG_INFINITY; 3]; 9]; 9];
    for ahead in 0..9 {
        for behind in 0..9 {
            for heavies in 0..3 {
                let first = if ahead + behind + heavies == 0 { f64::INFINITY } else { f64::NEG_INFINITY };
                let mut way = first;
                way = if ahead > 0 { way.max(best[ahead - 1][behind][heavies]) } else { way };
                way = if behind > 0 { way.max(best[ahead][behind - 1][heavies]) } else { way };
                way = if heavies > 0 { way.max(best[ahead][behind][heavies - 1]) } else { way };
                best[ahead][behind][heavies] = way.min(left(ahead, behind, heavies));
            }
        }
    }
    let exact = best[8][8][2];

    let [axle, tank] = heavy.clone();
    let tank = Part { after: vec!["axle".into()], ..tank };
    let panels = (0..8).flat_map(|k| [light(0, k), light(1, k)]);
    let steps: Vec<Step> = [axle, tank].into_iter().chain(panels).map(Step::Off).collect();
    let job = Job { steps, ..Job::default() };
    let situation = Situation::new(&at.0, &at.1, &job, &limits).expect("a legal job");
    let found = best_order(&situation, &at.2);
    println!("{} found, {exact} best, none above {}", found.reserve, found.bound);
    assert!(found.bound > found.reserve + 1e-6, "a search that was cut short says so");
    assert!(found.reserve <= exact + 1e-9 && exact <= found.bound + 1e-9);
    holds_what_it_says(&at, &job, &found);
}

/// The worst kind that was found: how many states are looked at is what the speed of it rests on.
#[test]
fn few_of_the_sets_that_leave_more_are_looked_at() {
    let at = lift_and_car();
    let limits = Limits::default();
    let parts = drawn(&mut Random::new(162), 16, Kind::HeldBack);
    let job = Job { steps: parts.into_iter().map(Step::Off).collect(), ..Job::default() };
    let situation = Situation::new(&at.0, &at.1, &job, &limits).expect("a legal job");
    let found = best_order(&situation, &at.2);
    println!("{} states and regions of 65536", found.states);
    assert!((found.bound - found.reserve).abs() < 1e-15, "exact");
    assert!(found.states < 3000, "{}", found.states);
    holds_what_it_says(&at, &job, &found);
}

/// Where parts that come off one after the other can only come off so, nothing is said of orders.
#[test]
fn the_only_order_is_not_called_the_best() {
    let (lift, vehicle, _) = lift_and_car();
    let part = |name: &str, aft: f64, kg: f64, after: &[&str]| Part {
        name: name.into(),
        mass: Measured::given(Mass::kilograms(kg), Mass::ZERO),
        at: Point::metres([aft, 0.0, 0.5]),
        off: Off::NONE,
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
