//! What must hold for every support set, whatever the numbers.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use proptest::prelude::*;
use reference::random::Random;
use reference::spec::{Foot, Hold, Spec, Variety};
use statics::{Force, Point, Push, SupportFault};

const ANY: Variety = Variety { feet: (3, 7), gap: 0.005, heights: 0.2, rated: 0.4, held: 0.4, edgy: 0.3 };

fn any_spec() -> impl Strategy<Value = Spec> {
    any::<u64>().prop_map(|seed| Spec::drawn(&mut Random::new(seed), &ANY))
}

fn any_push() -> impl Strategy<Value = ([f64; 3], [f64; 3])> {
    let one = |half: f64| -half..half;
    ([one(1.0), one(1.0), one(0.8)], [one(1.0), one(1.0), one(0.5)])
        .prop_filter("it has a direction", |(_, along)| along.iter().any(|v| v.abs() > 0.05))
}

/// All that the core says of a set, as numbers: loads, ranges, edges by their contacts, force and first unloading.
#[derive(Debug)]
struct Said {
    loads: Option<Vec<f64>>,
    ranges: Option<Vec<[f64; 2]>>,
    edges: Vec<(usize, usize, f64, f64)>,
    outcome: statics::Outcome,
    tip_ratio: Option<f64>,
    withstands: Option<f64>,
    unloads: Option<f64>,
}

fn say(spec: &Spec, at: [f64; 3], along: [f64; 3]) -> Said {
    let (set, body) = spec.to_core().expect("a legal set");
    let push = Push::new(Point::metres(at), along).expect("a direction");
    let stability = set.stability(&body);
    let newtons = |loads: Vec<Force>| loads.into_iter().map(Force::to_newtons).collect();
    let mut edges: Vec<_> = stability
        .edges
        .iter()
        .map(|e| (e.from, e.to, e.distance.to_metres(), e.assured.to_metres()))
        .collect();
    edges.sort_by_key(|e| (e.0, e.1));
    Said {
        loads: set.load_estimate(&body.load()).map(|e| newtons(e.loads)),
        ranges: set
            .load_range(&body.load())
            .map(|r| r.iter().map(|r| [r.least.to_newtons(), r.greatest.to_newtons()]).collect()),
        edges,
        outcome: stability.outcome,
        tip_ratio: stability.tip_ratio,
        withstands: set.working_force(&body, &push).withstands.map(Force::to_newtons),
        unloads: set.first_unloading(&body, &push).map(|u| u.push.to_newtons()),
    }
}

/// The CG is not so near an edge that rounding decides.
fn clear_of_edges(said: &Said) -> bool {
    said.edges.iter().all(|e| e.2.abs() > 1e-6 && e.3.abs() > 1e-6)
}

/// The same, but for forces by `force` and lengths by `length`; contacts of `b` are `order[i]` of `a`.
fn alike(
    a: &Said,
    b: &Said,
    order: &[usize],
    force: f64,
    length: f64,
    weight: f64,
) -> Result<(), TestCaseError> {
    let close = |x: f64, y: f64, scale: f64, tolerance: f64| {
        (x * scale - y).abs() <= tolerance * scale * weight.max(x.abs())
    };
    prop_assert_eq!(a.outcome, b.outcome);
    prop_assert_eq!(a.loads.is_some(), b.loads.is_some());
    if let (Some(x), Some(y)) = (&a.loads, &b.loads) {
        for (i, y) in y.iter().enumerate() {
            prop_assert!(close(x[order[i]], *y, force, 1e-7), "loads {:?} {:?}", a, b);
        }
    }
    if let (Some(x), Some(y)) = (&a.ranges, &b.ranges) {
        for (i, y) in y.iter().enumerate() {
            prop_assert!((0..2).all(|k| close(x[order[i]][k], y[k], force, 1e-7)), "ranges {:?} {:?}", a, b);
        }
    }
    prop_assert_eq!(a.edges.len(), b.edges.len());
    let tip = |s: &Said| s.tip_ratio.unwrap_or(f64::NAN);
    prop_assert!((tip(a) - tip(b)).abs() < 1e-7 || tip(a).is_nan() && tip(b).is_nan());
    for edge in &b.edges {
        let ends = [order[edge.0], order[edge.1]];
        let other = a.edges.iter().find(|e| ends == [e.0, e.1] || ends == [e.1, e.0]);
        let other = other.expect("the same edge");
        prop_assert!((other.2 * length - edge.2).abs() < 1e-8 * length);
        prop_assert!((other.3 * length - edge.3).abs() < 1e-8 * length);
    }
    // The cone optimum is only promised to a thousandth.
    match (a.withstands, b.withstands) {
        (Some(x), Some(y)) => {
            prop_assert!(close(x, y, force, 1e-3), "withstands {} {}", x * force, y);
        }
        (x, y) => prop_assert_eq!(x.is_some(), y.is_some()),
    }
    match (a.unloads, b.unloads) {
        (Some(x), Some(y)) => {
            prop_assert!(close(x, y, force, 1e-6), "unloads {} {}", x * force, y);
        }
        (x, y) => prop_assert_eq!(x.is_some(), y.is_some()),
    }
    Ok(())
}

fn in_order(n: usize) -> Vec<usize> {
    (0..n).collect()
}

/// Every contact, CG and push moved by a map of the plane; lines along which contacts resist turn with it.
fn mapped(spec: &Spec, point: impl Fn([f64; 3]) -> [f64; 3], line: impl Fn([f64; 2]) -> [f64; 2]) -> Spec {
    let mut moved = spec.clone();
    moved.cg = point(spec.cg);
    for foot in &mut moved.feet {
        foot.at = point(foot.at);
        foot.hold = match foot.hold {
            Hold::Everywhere => Hold::Everywhere,
            Hold::Along(u) => Hold::Along(line(u)),
            Hold::Blocks(u) => Hold::Blocks(line(u)),
        };
    }
    moved
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(7), ..ProptestConfig::default() })]

    #[test]
    fn loads_balance_the_weight(spec in any_spec()) {
        let (set, body) = spec.to_core().expect("a legal set");
        if let Some(found) = set.load_estimate(&body.load()) {
            let sum = |f: fn(&Foot) -> f64| -> f64 {
                spec.feet.iter().zip(&found.loads).map(|(foot, n)| n.to_newtons() * f(foot)).sum()
            };
            let w = spec.weight();
            prop_assert!(found.loads.iter().all(|n| *n >= Force::ZERO));
            prop_assert!((sum(|_| 1.0) - w).abs() < 1e-8 * w);
            prop_assert!((sum(|f| f.at[0]) - w * spec.cg[0]).abs() < 1e-8 * w);
            prop_assert!((sum(|f| f.at[1]) - w * spec.cg[1]).abs() < 1e-8 * w);
            prop_assert!(found.residual_force.to_newtons() < 1e-8 * w);
            prop_assert!(found.residual_moment.to_newton_metres() < 1e-8 * w);
        }
    }

    #[test]
    fn the_estimate_lies_in_the_range(spec in any_spec()) {
        let (set, body) = spec.to_core().expect("a legal set");
        let (found, ranges) = (set.load_estimate(&body.load()), set.load_range(&body.load()));
        prop_assert_eq!(found.is_some(), ranges.is_some());
        if let (Some(found), Some(ranges)) = (found, ranges) {
            let rounding = Force::newtons(1e-8 * spec.weight());
            for (n, range) in found.loads.iter().zip(&ranges) {
                prop_assert!(*n >= range.least - rounding && *n <= range.greatest + rounding, "{n:?} {range:?}");
            }
        }
    }

    #[test]
    fn heavier_on_stiffer_is_the_same(spec in any_spec(), (at, along) in any_push(), by in 0.1..10.0) {
        let mut scaled = spec.clone();
        scaled.mass *= by;
        for foot in &mut scaled.feet {
            foot.stiffness *= by;
            foot.rated = foot.rated.map(|r| r * by);
        }
        let (one, two) = (say(&spec, at, along), say(&scaled, at, along));
        prop_assume!(clear_of_edges(&one));
        alike(&one, &two, &in_order(spec.feet.len()), by, 1.0, spec.weight())?;
    }

    #[test]
    fn larger_is_the_same(spec in any_spec(), (at, along) in any_push(), by in 0.2..5.0) {
        let mut scaled = mapped(&spec, |p| p.map(|v| v * by), |u| u);
        scaled.cg_tolerance = spec.cg_tolerance.map(|t| t * by);
        for foot in &mut scaled.feet {
            foot.gap *= by;
            foot.stiffness /= by;
            foot.place_tolerance *= by;
        }
        let (one, two) = (say(&spec, at, along), say(&scaled, at.map(|v| v * by), along));
        prop_assume!(clear_of_edges(&one));
        alike(&one, &two, &in_order(spec.feet.len()), 1.0, by, spec.weight())?;
    }

    #[test]
    fn mirrored_is_the_same(spec in any_spec(), (at, along) in any_push()) {
        let flip = |p: [f64; 3]| [p[0], -p[1], p[2]];
        let mirrored = mapped(&spec, flip, |u| [u[0], -u[1]]);
        let (one, two) = (say(&spec, at, along), say(&mirrored, flip(at), flip(along)));
        prop_assume!(clear_of_edges(&one));
        alike(&one, &two, &in_order(spec.feet.len()), 1.0, 1.0, spec.weight())?;
    }

    #[test]
    fn moved_and_turned_is_the_same(
        spec in any_spec(), (at, along) in any_push(), quarters in 0..4, dx in -3.0..3.0, dy in -3.0..3.0, dz in -1.0..1.0,
    ) {
        // A box of tolerances stays a box when it turns by quarters.
        let (s, c) = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)][usize::try_from(quarters).expect("small")];
        let turn = |p: [f64; 3]| [c * p[0] - s * p[1], s * p[0] + c * p[1], p[2]];
        let moves = |p: [f64; 3]| { let q = turn(p); [q[0] + dx, q[1] + dy, q[2] + dz] };
        let mut moved = mapped(&spec, moves, |u| [c * u[0] - s * u[1], s * u[0] + c * u[1]]);
        if quarters % 2 == 1 {
            moved.cg_tolerance.swap(0, 1);
        }
        let (one, two) = (say(&spec, at, along), say(&moved, moves(at), turn(along)));
        prop_assume!(clear_of_edges(&one));
        alike(&one, &two, &in_order(spec.feet.len()), 1.0, 1.0, spec.weight())?;
    }

    #[test]
    fn renumbered_is_the_same(spec in any_spec(), (at, along) in any_push(), seed in any::<u64>()) {
        let mut random = Random::new(seed);
        let mut order = in_order(spec.feet.len());
        for i in (1..order.len()).rev() {
            order.swap(i, random.below(i + 1));
        }
        let mut renumbered = spec.clone();
        renumbered.feet = order.iter().map(|&i| spec.feet[i]).collect();
        let (one, two) = (say(&spec, at, along), say(&renumbered, at, along));
        prop_assume!(clear_of_edges(&one));
        alike(&one, &two, &order, 1.0, 1.0, spec.weight())?;
    }

    #[test]
    fn one_more_support_never_shrinks_the_hull(spec in any_spec(), x in -2.0..2.0_f64, y in -2.0..2.0_f64) {
        prop_assume!(spec.feet.iter().all(|f| (f.at[0] - x).hypot(f.at[1] - y) > 0.05));
        let mut more = spec.clone();
        let new = Foot { at: [x, y, spec.feet[0].at[2]], place_tolerance: 0.0, ..spec.feet[0] };
        more.feet.push(new);
        let inside = |s: &Spec| {
            let (set, body) = s.to_core().expect("a legal set");
            set.stability(&body).edges.iter().map(|e| e.distance.to_metres()).fold(f64::INFINITY, f64::min)
        };
        let (before, after) = (inside(&spec), inside(&more));
        if before > 0.0 {
            prop_assert!(after >= before - 1e-9, "{before} then {after}");
        }
        let loads = |s: &Spec| { let (set, body) = s.to_core().expect("legal"); set.load_estimate(&body.load()) };
        prop_assert!(loads(&spec).is_none() || loads(&more).is_some());
    }

    #[test]
    fn what_is_not_a_number_never_gets_in(spec in any_spec(), which in 0..7_usize, contact in any::<usize>(), bad in prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(f64::NEG_INFINITY)]) {
        let mut broken = spec.clone();
        let contact = contact % broken.feet.len();
        let foot = &mut broken.feet[contact];
        match which {
            0..=2 => foot.at[which] = bad,
            3 => foot.stiffness = bad,
            4 => foot.gap = bad,
            5 => foot.friction = bad,
            _ => foot.rated = Some(bad),
        }
        let faults = broken.to_core().expect_err("it must be refused");
        prop_assert!(faults.contains(&SupportFault::NotFinite(contact)), "{faults:?}");
        prop_assert!(Push::new(Point::metres([bad, 0.0, 0.0]), [1.0, 0.0, 0.0]).is_none());
        prop_assert!(Push::new(Point::metres([0.0; 3]), [bad, 0.0, 0.0]).is_none());
    }
}
