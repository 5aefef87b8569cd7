//! No load within the tolerances lies outside the core's assured bounds: mass, CG and contacts sampled.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use reference::elastic::{self, Resultant};
use reference::random::Random;
use reference::spec::{Spec, Variety};
use statics::Mass;

const PADS: Variety = Variety { feet: (4, 4), gap: 0.0, heights: 0.02, rated: 0.0, held: 0.0, edgy: 0.0 };

/// Tolerance of the mass, kg.
const MASS: f64 = 20.0;

/// How far outside its bounds a sampled load lies at the most, in weights, and where; how near it comes inside.
fn farthest_outside(seed: u64, variety: &Variety, placing: f64) -> (f64, String) {
    let mut random = Random::new(seed);
    let mut worst = (f64::NEG_INFINITY, String::new());
    let mut sampled = 0;
    for i in 0..300 {
        let mut spec = Spec::drawn(&mut random, variety);
        for foot in &mut spec.feet {
            foot.place_tolerance = placing;
            // Arms of one lift differ in stiffness with the cube of their reach, not by decades.
            foot.stiffness = random.between(2e5, 8e5);
        }
        let (set, mut body) = spec.to_core().expect("a legal set");
        body.mass_tolerance = Mass::kilograms(MASS);
        let bounds = set.assured_loads(&body);
        let bounds: Vec<_> = (0..spec.feet.len()).map(|i| bounds.sum(&[i])).collect();
        for _ in 0..400 {
            let mut moved = spec.clone();
            let mut within = |half: f64| match random.below(3) {
                0 => half,
                1 => -half,
                _ => random.between(-half, half),
            };
            moved.mass += within(MASS);
            moved.cg[0] += within(spec.cg_tolerance[0]);
            moved.cg[1] += within(spec.cg_tolerance[1]);
            for foot in &mut moved.feet {
                let angle = random.between(0.0, std::f64::consts::TAU);
                foot.at[0] += placing * angle.cos();
                foot.at[1] += placing * angle.sin();
            }
            let Some(loads) = elastic::loads(&moved, &Resultant::weight(&moved)) else { continue };
            sampled += 1;
            for (bound, load) in bounds.iter().zip(loads) {
                let over = (load - bound.greatest.to_newtons()).max(bound.least.to_newtons() - load);
                if over / spec.weight() > worst.0 {
                    worst = (over / spec.weight(), format!("set {i}: {load} N outside {bound:?}: {moved:?}"));
                }
            }
        }
    }
    println!("{sampled} samples; farthest outside: {:.2e} of the weight", worst.0);
    assert!(sampled > 50_000);
    worst
}

#[test]
fn mass_and_centre_anywhere_stay_within_the_bounds() {
    let (over, which) = farthest_outside(31, &PADS, 0.0);
    assert!(over <= 1e-9, "{which}");
    // Not by being wide: some sample comes near the bound.
    assert!(over > -1e-3, "samples never come near the bounds");
}

#[test]
fn so_they_do_with_gaps_and_more_contacts() {
    let (over, which) = farthest_outside(32, &Variety { feet: (3, 6), gap: 0.01, ..PADS }, 0.0);
    assert!(over <= 1e-9, "{which}");
}

#[test]
fn contacts_anywhere_in_their_discs_stay_within_the_bounds() {
    let (over, which) = farthest_outside(33, &PADS, 0.010);
    assert!(over <= 1e-9, "{which}");
}
