//! No load within the tolerances lies outside the core's assured bounds: mass, CG and contacts sampled.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use reference::elastic::{self, Resultant};
use reference::random::Random;
use reference::spec::{Spec, Variety};
use statics::Mass;

#[test]
fn no_sampled_load_is_outside_the_assured_bounds() {
    let pads = Variety { feet: (4, 4), gap: 0.0, heights: 0.02, rated: 0.0, held: 0.0, edgy: 0.0 };
    let mut random = Random::new(31);
    let mut worst = (0.0_f64, String::new());
    let mut sampled = 0;
    for i in 0..300 {
        let mut spec = Spec::drawn(&mut random, &pads);
        for foot in &mut spec.feet {
            foot.place_tolerance = 0.01;
            // Arms of one lift differ in stiffness with the cube of their reach, not by decades.
            foot.stiffness = random.between(2e5, 8e5);
        }
        let (set, mut body) = spec.to_core().expect("a legal set");
        body.mass_tolerance = Mass::kilograms(20.0);
        let bounds = set.assured_loads(&body);
        for _ in 0..400 {
            let mut moved = spec.clone();
            moved.mass += random.between(-20.0, 20.0);
            for axis in 0..2 {
                moved.cg[axis] += spec.cg_tolerance[axis] * if random.chance(0.5) { 1.0 } else { -1.0 };
            }
            for foot in &mut moved.feet {
                let angle = random.between(0.0, std::f64::consts::TAU);
                foot.at[0] += foot.place_tolerance * angle.cos();
                foot.at[1] += foot.place_tolerance * angle.sin();
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
    assert!(worst.0 <= 1e-9, "{}", worst.1);
}
