//! The load estimate, the loss of a contact, the seat gap and the first unloading, each against a second
//! way that shares no code: every carrying set tried, and a general-purpose quadratic program.

use cones::{Found, load_program};
use reference::elastic::{self, Resultant};
use reference::random::Random;
use reference::spec::{Spec, Variety};
use statics::{Force, Point, Push};

mod cones;

const ROUND_THE_EDGE: Variety =
    Variety { feet: (3, 8), gap: 0.01, heights: 0.1, rated: 0.0, held: 0.0, edgy: 0.4 };

fn sets(seed: u64, count: usize) -> impl Iterator<Item = (usize, Spec)> {
    let mut random = Random::new(seed);
    (0..count).map(move |i| (i, Spec::drawn(&mut random, &ROUND_THE_EDGE)))
}

fn newtons(loads: &[Force]) -> Vec<f64> {
    loads.iter().map(|n| n.to_newtons()).collect()
}

fn farthest(a: &[f64], b: &[f64]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

/// Distance of the CG from the hull's boundary, positive inside.
fn depth(spec: &Spec) -> f64 {
    let at = |i: usize| [spec.feet[i].at[0], spec.feet[i].at[1]];
    reference::edges::hull(spec)
        .into_iter()
        .map(|(a, b)| reference::edges::distance(at(a), at(b), [spec.cg[0], spec.cg[1]]))
        .fold(f64::INFINITY, f64::min)
}

#[test]
fn loads_are_those_of_every_carrying_set_tried() {
    let (mut stood, mut fell, mut lifted, mut worst) = (0, 0, 0, 0.0_f64);
    for (i, spec) in sets(1, 6000) {
        let (set, body) = spec.to_core().expect("a legal set");
        let found = set.load_estimate(&body.load());
        if depth(&spec).abs() < 1e-6 {
            continue;
        }
        assert_eq!(found.is_some(), depth(&spec) > 0.0, "set {i}: {spec:?}");
        let Some(found) = found else {
            fell += 1;
            continue;
        };
        let other = elastic::loads(&spec, &Resultant::weight(&spec))
            .unwrap_or_else(|| panic!("set {i}: the second way found none: {spec:?}"));
        let apart = farthest(&newtons(&found.loads), &other) / spec.weight();
        worst = worst.max(apart);
        assert!(apart < 1e-7, "set {i}: {:?} against {other:?}: {spec:?}", found.loads);
        stood += 1;
        lifted += usize::from(other.iter().any(|n| *n <= 0.0));
    }
    println!(
        "{stood} stand, {lifted} of them with a contact that carries nothing; {fell} fall; worst {worst:.1e}"
    );
    assert!(stood > 4000 && lifted > 1000 && fell > 500);
}

#[test]
fn loads_are_those_of_a_quadratic_program() {
    let mut compared = 0;
    for (i, spec) in sets(2, 1500) {
        if depth(&spec) < 1e-3 {
            continue;
        }
        let (set, body) = spec.to_core().expect("a legal set");
        let found = set.load_estimate(&body.load()).expect("the CG is inside");
        let Found::Least(_, shares) = load_program(&spec).solve(1e-11) else { continue };
        let other: Vec<f64> = shares.iter().map(|share| share * spec.weight()).collect();
        let apart = farthest(&newtons(&found.loads), &other) / spec.weight();
        assert!(apart < 1e-5, "set {i}: {:?} against {other:?}: {spec:?}", found.loads);
        compared += 1;
    }
    println!("{compared} compared");
    assert!(compared > 1000);
}

#[test]
fn without_a_contact_the_rest_carry_as_their_own_set() {
    let (mut stood, mut fell) = (0, 0);
    for (i, spec) in sets(3, 800) {
        let (set, body) = spec.to_core().expect("a legal set");
        for contact in 0..spec.feet.len() {
            let found = set.without(contact, &body.load());
            if spec.feet.len() == 3 {
                assert!(found.is_none(), "set {i}: two contacts hold nothing");
                continue;
            }
            let rest = elastic::without(&spec, contact);
            if depth(&rest).abs() < 1e-6 {
                continue;
            }
            assert_eq!(found.is_some(), depth(&rest) > 0.0, "set {i} without {contact}: {spec:?}");
            let Some(found) = found else {
                fell += 1;
                continue;
            };
            let mut other = elastic::loads(&rest, &Resultant::weight(&rest)).expect("the CG is inside");
            other.insert(contact, 0.0);
            assert!(
                farthest(&newtons(&found.loads), &other) < 1e-7 * spec.weight(),
                "set {i} without {contact}: {:?} against {other:?}: {spec:?}",
                found.loads
            );
            stood += 1;
        }
    }
    println!("{stood} stand, {fell} fall");
    assert!(stood > 1000 && fell > 500);
}

#[test]
fn the_seat_gap_is_where_the_load_just_ends() {
    let (mut some, mut never) = (0, 0);
    for (i, spec) in sets(4, 800) {
        if depth(&spec) < 1e-6 {
            continue;
        }
        let (set, body) = spec.to_core().expect("a legal set");
        let load_at = |contact: usize, more: f64| {
            let mut changed = spec.clone();
            changed.feet[contact].gap += more;
            elastic::loads(&changed, &Resultant::weight(&changed)).map(|n| n[contact])
        };
        for contact in 0..spec.feet.len() {
            let now = load_at(contact, 0.0).expect("the CG is inside");
            let spared = spec.feet.len() > 3 && depth(&elastic::without(&spec, contact)) > 1e-9;
            match set.seat_gap(contact, &body.load()) {
                Some(gap) => {
                    let gap = gap.to_metres();
                    let before = load_at(contact, gap * (1.0 - 1e-6) - 1e-12);
                    let after = load_at(contact, gap * (1.0 + 1e-6) + 1e-12).expect("the rest hold it");
                    assert!(
                        after < 1e-8 * spec.weight(),
                        "set {i}, contact {contact}: {after} N left: {spec:?}"
                    );
                    assert!(before.is_none_or(|n| n > 0.0), "set {i}, contact {contact}: too late: {spec:?}");
                    some += 1;
                }
                None => {
                    assert!(now <= 1e-9 * spec.weight() || !spared, "set {i}, contact {contact}: {spec:?}");
                    never += 1;
                }
            }
        }
    }
    println!("{some} gaps, {never} without");
    assert!(some > 1000 && never > 300);
}

#[test]
fn the_first_unloading_is_neither_early_nor_late() {
    let mut random = Random::new(55);
    let (mut some, mut none) = (0, 0);
    for (i, spec) in sets(5, 1500) {
        if depth(&spec) < 1e-6 {
            continue;
        }
        let at = [spec.cg[0], spec.cg[1], spec.cg[2]].map(|v| v + random.between(-0.6, 0.6));
        let along = [random.between(-1.0, 1.0), random.between(-1.0, 1.0), random.between(-0.3, 0.3)];
        let push = Push::new(Point::metres(at), along).expect("it has a direction");
        let (set, body) = spec.to_core().expect("a legal set");
        let loads =
            |f: f64| elastic::loads(&spec, &Resultant::pushed(&spec, at, push.direction().map(|d| d * f)));
        let carried: Vec<usize> = loads(0.0)
            .expect("the CG is inside")
            .iter()
            .enumerate()
            .filter(|(_, n)| **n > 1e-9 * spec.weight())
            .map(|(i, _)| i)
            .collect();
        let least =
            |f: f64| loads(f).map_or(0.0, |n| carried.iter().map(|&i| n[i]).fold(f64::INFINITY, f64::min));
        match set.first_unloading(&body, &push) {
            Some(found) => {
                let f = found.push.to_newtons();
                for k in 1..50 {
                    let part = f64::from(k) / 50.0 * f;
                    assert!(
                        least(part) > 0.0,
                        "set {i}: unloads at {part} N already, not at {f}: {spec:?} {push:?}"
                    );
                }
                assert!(least(f * (1.0 - 1e-7)) > 0.0, "set {i}: late: {spec:?} {push:?}");
                assert!(
                    least(f * (1.0 + 1e-6) + 1e-6) < 1e-6 * spec.weight(),
                    "set {i}: early: {spec:?} {push:?}"
                );
                some += 1;
            }
            None => {
                let far = 300.0 * spec.weight();
                assert!(
                    least(far) > 0.0 && least(0.1 * far) > 0.0,
                    "set {i}: unloads after all: {spec:?} {push:?}"
                );
                none += 1;
            }
        }
    }
    println!("{some} unload, {none} never");
    assert!(some > 1000);
}
