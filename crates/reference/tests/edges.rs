//! Edges of the support polygon and their assured distances, against a search over directions and against samples.

use std::collections::BTreeSet;

use reference::edges::{assured, distance, hull, tilt_shift};
use reference::random::Random;
use reference::spec::{Spec, Variety};
use statics::Outcome;

const SCATTERED: Variety = Variety { feet: (3, 8), gap: 0.0, heights: 0.1, rated: 0.0, held: 0.0, edgy: 0.3 };

/// Whether the discs of some edge meet.
fn some_meet(spec: &Spec) -> bool {
    hull(spec).iter().any(|&(from, to)| {
        let (a, b) = (&spec.feet[from], &spec.feet[to]);
        (a.at[0] - b.at[0]).hypot(a.at[1] - b.at[1]) <= a.place_tolerance + b.place_tolerance
    })
}

#[test]
fn edges_and_assured_distances_are_those_of_the_search() {
    let mut random = Random::new(11);
    let mut outcomes = [0; 3];
    let mut worst = 0.0_f64;
    let mut met = 0;
    for i in 0..3000 {
        let mut spec = Spec::drawn(&mut random, &SCATTERED);
        if i % 3 == 0 {
            // Two contacts so near each other that their discs often meet, one within the other now and then.
            let [x, y, z] = spec.feet[0].at;
            spec.feet[1].at = [x + random.between(-0.08, 0.08), y + random.between(0.01, 0.08), z];
            spec.feet[0].place_tolerance = random.between(0.0, 0.09);
            spec.feet[1].place_tolerance = random.between(0.0, 0.05);
        }
        met += usize::from(some_meet(&spec));
        let (set, body) = spec.to_core().expect("a legal set");
        let found = set.stability(&body);
        let edges: BTreeSet<(usize, usize)> = found.edges.iter().map(|e| (e.from, e.to)).collect();
        assert_eq!(edges, hull(&spec).into_iter().collect(), "set {i}: {spec:?}");
        let at = |i: usize| [spec.feet[i].at[0], spec.feet[i].at[1]];
        let (mut nominal, mut least) = (f64::INFINITY, f64::INFINITY);
        for edge in &found.edges {
            let other = distance(at(edge.from), at(edge.to), [spec.cg[0], spec.cg[1]]);
            assert!((edge.distance.to_metres() - other).abs() < 1e-12, "set {i}: {spec:?}");
            nominal = nominal.min(other);
            let other = assured(&spec, (edge.from, edge.to));
            let apart = (edge.assured.to_metres() - other).abs();
            worst = worst.max(apart);
            assert!(apart < 1e-9, "set {i}, edge {edge:?}: search finds {other}: {spec:?}");
            least = least.min(other);
        }
        let outcome = if least > 0.0 {
            Outcome::Stable
        } else if nominal < 0.0 {
            Outcome::Tips
        } else {
            Outcome::Undecided
        };
        assert_eq!(found.outcome, outcome, "set {i}: {spec:?}");
        outcomes[outcome as usize] += 1;
        let height = spec.cg[2] + spec.cg_tolerance[2] - spec.mean_height();
        assert!(
            (found.tip_ratio.expect("the CG is above") - least / height).abs() < 1e-8,
            "set {i}: {spec:?}"
        );
    }
    println!("stable, tips, undecided: {outcomes:?}; discs meet in {met}; worst {worst:.1e} m");
    assert!(met > 100);
    assert!(outcomes.iter().all(|n| *n > 100));
}

#[test]
fn no_sample_is_worse_than_the_assured_distance_and_some_come_near() {
    let mut random = Random::new(12);
    let mut slack = 0.0_f64;
    for i in 0..150 {
        let mut spec = Spec::drawn(&mut random, &SCATTERED);
        if i % 5 == 0 {
            let [x, y, z] = spec.feet[0].at;
            spec.feet[1].at = [x + 0.04, y + 0.03, z];
            spec.feet[0].place_tolerance = 0.03;
            spec.feet[1].place_tolerance = 0.03;
        }
        let (set, body) = spec.to_core().expect("a legal set");
        let shift = tilt_shift(&spec);
        for edge in set.stability(&body).edges {
            let (a, b) = (&spec.feet[edge.from], &spec.feet[edge.to]);
            let mut least = f64::INFINITY;
            for _ in 0..4000 {
                let mut rim = |centre: [f64; 2], radius: f64| {
                    let angle = random.between(0.0, std::f64::consts::TAU);
                    let r = radius * if random.chance(0.9) { 1.0 } else { random.unit().sqrt() };
                    [centre[0] + r * angle.cos(), centre[1] + r * angle.sin()]
                };
                let from = rim([a.at[0], a.at[1]], a.place_tolerance);
                let to = rim([b.at[0], b.at[1]], b.place_tolerance);
                let mut side = |half: f64| if random.chance(0.5) { half } else { -half };
                let centre =
                    [spec.cg[0] + side(spec.cg_tolerance[0]), spec.cg[1] + side(spec.cg_tolerance[1])];
                // The tilt's worst direction is square to the edge; samples need not find it.
                least = least.min(distance(from, to, centre) - shift);
            }
            let exact = edge.assured.to_metres();
            assert!(least >= exact - 1e-12, "set {i}: a sample at {least}, assured {exact}: {spec:?}");
            // Where two discs meet the worst line may lie any way, and few samples come near it.
            if i % 5 != 0 {
                slack = slack.max(least - exact);
            }
        }
    }
    println!("samples come within {:.2} mm", slack * 1000.0);
    assert!(slack < 0.006);
}
