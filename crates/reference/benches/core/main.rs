//! What the computing alone takes, each beside other ways to the same answer, as one table.
//!
//! `cargo bench -p reference --bench core -- [PART]`: rows with PART in their name. `scripts/bench` adds the rows in
//! Python, and says where all this runs on one core.

#![expect(clippy::expect_used, reason = "a benchmark ends where it fails")]

use std::hint::black_box;

use planner::job::Step;
use planner::order::best_order;
use planner::vehicle::Part;
use planner::{Job, Lift, Limits, Plan, Situation, Vehicle};
use reference::random::Random;
use reference::spec::{Foot, Hold, Spec};
use statics::{Length, Mass, Point, Push};

use cones::{Found, UP, cone_program, load_program, plain, solved};
use time::{Other, Table, Times, timed, timed_on};

#[path = "../../tests/cones/mod.rs"]
mod cones;
#[path = "../../tests/shop/demo.rs"]
mod demo;
mod inputs;
mod plainly;
#[path = "../../tests/shop/mod.rs"]
mod shop;
mod time;

/// Of the pull on a hub.
const AT: [f64; 3] = [0.0, 0.8, 0.33];
const ALONG: [f64; 3] = [0.0, 1.0, 0.0];
const SAMPLES: u64 = 1_000_000;

fn main() {
    let mut table = Table::of_arguments();
    statics(&mut table);
    let one = Asked::of(Job::default());
    plans(&mut table, &one);
    chances(&mut table, "a million samples of chance, one state", &one);
    let six = Asked::of(five_parts_off());
    assert_eq!(six.plan.states.len(), 6);
    chances(&mut table, "a million samples of chance, six states", &six);
    orders(&mut table, &one);
    demo_plans(&mut table);
    table.end(|| inputs::all(&four_pads(), &one, &six));
}

/// A job of the bench's own car on the bench's own symmetric lift, and its plan.
pub(crate) struct Asked {
    pub(crate) lift: Lift,
    pub(crate) vehicle: Vehicle,
    pub(crate) job: Job,
    pub(crate) limits: Limits,
    pub(crate) plan: Plan,
}

impl Asked {
    fn of(job: Job) -> Self {
        let (lift, vehicle, limits) = (shop::lifts().remove(0), car(), Limits::default());
        let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
        Self { lift, vehicle, job, limits, plan }
    }
}

/// A car that the bench's own lifts serve: no doors and no keep-outs, arms without teeth.
fn car() -> Vehicle {
    let m = Length::metres;
    let mut vehicle = shop::weighing(Mass::kilograms(1300.0), m(1.05), m(0.55), m(2.6));
    vehicle.lift_areas = shop::Sills::of(2.6, 1.5).areas();
    vehicle
}

/// From the front to the rear, 20 kg each: six states.
fn five_parts_off() -> Job {
    let off = |k: i32| {
        let at = Point::metres([-0.4 + 0.6 * f64::from(k), 0.1, 0.5]);
        Step::Off(shop::part(&format!("part {k}"), Mass::kilograms(20.0), at))
    };
    Job { steps: (0..5).map(off).collect(), ..Job::default() }
}

/// Four pads under a car, and a pull sideways on a hub: the example of the contract.
fn four_pads() -> Spec {
    let foot = |x: f64, y: f64| Foot {
        at: [x, y, 0.2],
        place_tolerance: 0.015,
        stiffness: 350_000.0,
        gap: 0.0,
        friction: 0.2,
        rated: Some(8_000.0),
        hold: Hold::Everywhere,
    };
    Spec {
        mass: 1360.0,
        cg: [-1.03, 0.01, 0.54],
        cg_tolerance: [0.02, 0.01, 0.02],
        tilt_tolerance: 0.017,
        feet: vec![foot(-0.5, 0.72), foot(-0.5, -0.72), foot(-1.9, 0.72), foot(-1.9, -0.72)],
    }
}

fn least(found: Found) -> (f64, Vec<f64>) {
    match found {
        Found::Least(cost, at) => (cost, at),
        _ => (f64::NAN, vec![]),
    }
}

fn statics(table: &mut Table) {
    let spec = four_pads();
    let (set, body) = spec.to_core().expect("a legal set");
    let push = Push::new(Point::metres(AT), ALONG).expect("a direction");
    let what = "working force, four rated contacts, true cones";
    if table.wants(what) {
        let answer = set.working_force(&body, &push).withstands.expect("an end").to_newtons();
        let ours = timed(|| black_box(&set).working_force(black_box(&body), black_box(&push)));
        let program = || cone_program(black_box(&spec), AT, ALONG, UP, true);
        let best = -least(program().solve(1e-10)).0 * spec.weight();
        let answers = format!("{answer:.3} N, {best:.3} N");
        let whole = timed(|| solved(&mut program().solver(plain())));
        table.add(what, ours, Some(Other { name: "Clarabel, built and solved", times: whole }), &answers);
        let alone = timed_on(|| program().solver(plain()), solved);
        table.add(what, ours, Some(Other { name: "Clarabel, solved", times: alone }), &answers);
    }
    let what = "load estimate, four contacts";
    if table.wants(what) {
        let answer = set.load_estimate(&body.load()).expect("it stands").loads[0].to_newtons();
        let ours = timed(|| black_box(&set).load_estimate(&black_box(&body).load()));
        let program = || load_program(black_box(&spec));
        let best = least(program().solve(1e-10)).1[0] * spec.weight();
        let answers = format!("{answer:.3} N, {best:.3} N on the first");
        let whole = timed(|| solved(&mut program().solver(plain())));
        let name = "Clarabel, quadratic program, built and solved";
        table.add(what, ours, Some(Other { name, times: whole }), &answers);
        let alone = timed_on(|| program().solver(plain()), solved);
        table.add(what, ours, Some(Other { name: "the same, solved", times: alone }), &answers);
    }
    let what = "load range, four contacts";
    if table.wants(what) {
        table.alone(what, timed(|| black_box(&set).load_range(&black_box(&body).load())));
    }
    let what = "stability: edges, assured";
    if table.wants(what) {
        table.alone(what, timed(|| black_box(&set).stability(black_box(&body))));
    }
}

fn plans(table: &mut Table, asked: &Asked) {
    let Asked { lift, vehicle, job, limits, plan } = asked;
    let setup = shop::setup_of(plan);
    let what = "plan of a simple vehicle";
    if table.wants(what) {
        let ours = timed(|| planner::plan(black_box(lift), black_box(vehicle), job, limits));
        let (looks, found, times) = plainly::grid(asked);
        let name = format!(
            "every place of a grid, {looks} setups (spots 10 cm apart, pads 10 cm along and 2 cm across)"
        );
        let answers = format!("least reserve {:.4}, {found:.4}", plan.worst_check().reserve);
        table.add(what, ours, Some(Other { name: &name, times }), &answers);
    }
    let what = "a setup as placed: one look at all checks, told";
    if table.wants(what) {
        table.alone(
            what,
            timed(|| planner::as_placed(black_box(lift), vehicle, job, limits, black_box(&setup))),
        );
    }
    let what = "pair of a survey, simple vehicle";
    if table.wants(what) {
        table.alone(what, timed(|| planner::surveyed(black_box(lift), black_box(vehicle), job, limits)));
    }
}

fn chances(table: &mut Table, what: &str, asked: &Asked) {
    if table.wants(what) {
        let Asked { lift, vehicle, job, limits, plan } = asked;
        table.alone(what, timed(|| planner::chance(black_box(lift), vehicle, job, limits, plan, SAMPLES)));
    }
}

/// Parts off, the front ones named first, some before others. Held back: with two heavy parts, of which the front one
/// must be off first: a state in between holds every order back, and all sets of the others that leave more are looked at.
fn parts(count: usize, held_back: bool) -> Vec<Part> {
    let mut random = Random::new(162);
    (0..count)
        .map(|k| {
            let aft = if k < count / 2 { random.between(-0.5, 0.6) } else { random.between(2.0, 3.2) };
            let at = Point::metres([aft, random.between(-0.3, 0.3), random.between(0.3, 0.9)]);
            let heavy = held_back && k % (count / 2) == 0;
            let most = if held_back { 9.0 } else { 35.0 };
            let kg = if heavy { 190.0 } else { random.between(5.0, most) };
            let after = match k {
                _ if held_back && heavy && k > 0 => vec!["part 0".into()],
                3 | 7 | 11 | 15 if !held_back => vec![format!("part {}", k - 1)],
                _ => vec![],
            };
            Part { after, ..shop::part(&format!("part {k}"), Mass::kilograms(kg), at) }
        })
        .collect()
}

fn orders(table: &mut Table, asked: &Asked) {
    let setup = shop::setup_of(&asked.plan);
    let sixteen = "every set of 65,536 looked at, in order of size";
    for (what, count, held_back, name) in [
        ("best order of 8 parts", 8, false, "every order of 40,320, each set looked at once"),
        ("best order of 8 parts, held back", 8, true, "every order of 40,320, each set looked at once"),
        ("best order of 16 parts", 16, false, sixteen),
        ("best order of 16 parts, held back", 16, true, sixteen),
    ] {
        if !table.wants(what) {
            continue;
        }
        let parts = parts(count, held_back);
        let job = Job { steps: parts.iter().cloned().map(Step::Off).collect(), ..Job::default() };
        let situation =
            Situation::new(&asked.lift, &asked.vehicle, &job, &asked.limits).expect("a legal job");
        let found = best_order(&situation, &setup);
        let ours = timed(|| best_order(black_box(&situation), black_box(&setup)));
        let plainly = |parts| match count {
            8 => plainly::best_of_permutations(asked, &setup, parts),
            _ => plainly::best_of_sets(asked, &setup, parts),
        };
        let other = plainly(&parts);
        let times = timed(|| plainly(black_box(&parts)));
        let answers = format!("{:.6}, {other:.6}; ours looked at {}", found.reserve, found.states);
        table.add(what, ours, Some(Other { name, times }), &answers);
    }
}

/// Plans that nothing is set beside: of six states, of all demo pairs, of demo jobs with something hard done in each state.
fn demo_plans(table: &mut Table) {
    let (job, limits) = (five_parts_off(), Limits::default());
    for lift in shop::lifts() {
        let what = format!("plan of six states, {}", lift.name);
        if table.wants(&what) {
            table.alone(&what, timed(|| planner::plan(black_box(&lift), &car(), &job, &limits)));
        }
    }
    let job = Job::default();
    let (mut all, mut most): (Vec<Times>, Option<Times>) = (vec![], None);
    for (name, lift, vehicle) in demo::pairs() {
        let what = format!("plan, {name}");
        if table.wants(&what) {
            let times = timed(|| planner::plan(black_box(&lift), black_box(&vehicle), &job, &limits));
            table.alone(&what, times);
            all.push(times);
        }
        if table.wants("what to measure next, most of the demo pairs") {
            let plan = planner::plan(&lift, &vehicle, &job, &limits).expect("a legal question");
            let times = timed(|| planner::measure_next(&lift, &vehicle, &job, &limits, &plan, None));
            most = most.into_iter().chain([times]).max_by(|a, b| a.median.total_cmp(&b.median));
        }
    }
    if let Some(most) = most {
        table.alone("what to measure next, most of the demo pairs", most);
    }
    if all.len() > 1 {
        let median = |figure: fn(&Times) -> f64| {
            let mut all: Vec<f64> = all.iter().map(figure).collect();
            all.sort_by(f64::total_cmp);
            all[all.len() / 2]
        };
        let times = Times { least: median(|t| t.least), median: median(|t| t.median) };
        table.alone(&format!("plan, median of {} demo pairs", all.len()), times);
    }
    for (name, lift, vehicle, job) in demo::jobs_named(|name| name.starts_with("rear-axle-off")) {
        let what = format!("plan, {name}, a pry bar in each state");
        if table.wants(&what) {
            let job = demo::with_a_pry_bar(job, &vehicle);
            table.alone(&what, timed(|| planner::plan(black_box(&lift), black_box(&vehicle), &job, &limits)));
        }
    }
}
