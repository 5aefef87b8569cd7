//! No load within the tolerances lies outside the core's assured bounds: mass, CG and contacts sampled.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use reference::elastic::{self, Resultant};
use reference::random::Random;
use reference::spec::{Spec, Variety};
use statics::{Account, Bound, Mass};

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

#[test]
fn small_gaps_and_discs_together_stay_within_the_bounds() {
    let (over, which) = farthest_outside(36, &Variety { gap: 0.002, ..PADS }, 0.010);
    assert!(over <= 1e-9, "{which}");
    assert!(over > -0.02, "samples never come near the bounds");
}

/// What a newton of a push adds bounds every load under it while all contacts carry: mass, centre, contacts and push
/// sampled, gaps among them.
#[test]
fn a_push_adds_no_more_and_no_less_than_its_bounds() {
    let mut random = Random::new(37);
    let (mut sampled, mut nearest) = (0, f64::INFINITY);
    for i in 0..300 {
        let placing = if i % 2 == 0 { 0.01 } else { 0.0 };
        let mut spec =
            Spec::drawn(&mut random, &Variety { gap: if i % 3 == 0 { 0.001 } else { 0.0 }, ..PADS });
        for foot in &mut spec.feet {
            foot.place_tolerance = placing;
            foot.stiffness = random.between(2e5, 8e5);
        }
        let (set, mut body) = spec.to_core().expect("a legal set");
        body.mass_tolerance = Mass::kilograms(MASS);
        let bounds = set.assured_loads(&body);
        let at = [random.between(-2.0, 2.0), random.between(-1.0, 1.0), random.between(0.0, 1.0)];
        let along: [f64; 3] = core::array::from_fn(|_| random.between(-1.0, 1.0));
        let push = statics::Push::new(statics::Point::metres(at), along).expect("it has a direction");
        let growth = set.growth(&push);
        for _ in 0..200 {
            let mut moved = spec.clone();
            let mut within = |half: f64| random.between(-half, half).signum() * half;
            moved.mass += within(MASS);
            moved.cg[0] += within(spec.cg_tolerance[0]);
            moved.cg[1] += within(spec.cg_tolerance[1]);
            for foot in &mut moved.feet {
                let angle = random.between(0.0, std::f64::consts::TAU);
                foot.at[0] += placing * angle.cos();
                foot.at[1] += placing * angle.sin();
            }
            let size = random.between(0.0, 0.3) * spec.weight();
            let force = push.direction().map(|v| v * size);
            let Some(loads) = elastic::loads(&moved, &Resultant::pushed(&moved, at, force)) else { continue };
            let idle = elastic::loads(&moved, &Resultant::weight(&moved));
            let all = |loads: &[f64]| loads.iter().all(|n| *n > 1e-6);
            if !all(&loads) || !idle.is_some_and(|idle| all(&idle)) {
                continue;
            }
            for (contact, load) in loads.into_iter().enumerate() {
                let rest = bounds.sum(&[contact]);
                let (least, most) = bounds.added(contact, &growth).expect("contacts that hold");
                let short = (rest.greatest.to_newtons() + size * most - load)
                    .min(load - rest.least.to_newtons() - size * least);
                sampled += 1;
                nearest = nearest.min(short / spec.weight());
                assert!(
                    short > -1e-9 * spec.weight(),
                    "set {i}, contact {contact}: {load} N is {short} beyond: {moved:?}"
                );
            }
        }
    }
    println!("{sampled} samples; nearest to a bound {nearest:.2e} of the weight");
    assert!(sampled > 20_000 && nearest < 0.01, "{sampled} {nearest}");
}

/// Every contact off in stiffness by itself: the two ends of one diagonal against the other bound all sixteen corners
/// of the box of stiffnesses, and what lies between; where all four carry, exactly.
#[test]
fn two_diagonals_bound_every_stiffness() {
    let mut random = Random::new(35);
    let (mut exact, mut sampled) = (0, 0);
    for i in 0..400 {
        let mut spec = Spec::drawn(&mut random, &PADS);
        let alone = i % 2 == 0;
        for foot in &mut spec.feet {
            foot.place_tolerance = if alone { 0.0 } else { 0.01 };
            foot.stiffness = random.between(2e5, 8e5);
        }
        if alone {
            spec.cg_tolerance = [0.0; 3];
        }
        let off: Vec<f64> = spec.feet.iter().map(|f| f.stiffness * random.between(0.0, 0.9)).collect();
        let (set, body) = spec.to_core().expect("a legal set");
        let diagonal = set.diagonal().expect("four contacts");
        let ends = [1.0, -1.0].map(|sign| {
            let moved = set.with_stiffness(|k, c| {
                let on = if diagonal[k] { sign } else { -sign };
                c.stiffness + statics::Stiffness::newtons_per_metre(on * off[k])
            });
            moved.assured_loads(&body)
        });
        for contacts in [&[0][..], &[1], &[2], &[3], &[0, 1], &[2, 3]] {
            let least = ends.iter().map(|e| e.sum(contacts).least.to_newtons()).fold(f64::INFINITY, f64::min);
            let most = ends.iter().map(|e| e.sum(contacts).greatest.to_newtons()).fold(0.0, f64::max);
            let mut found: Vec<(f64, bool)> = Vec::new();
            for corner in 0..32_usize {
                let mut moved = spec.clone();
                for (k, foot) in moved.feet.iter_mut().enumerate() {
                    let sign = if (corner >> k) & 1 == 1 { 1.0 } else { -1.0 };
                    // The last sixteen lie anywhere between.
                    foot.stiffness += off[k] * if corner < 16 { sign } else { random.between(-1.0, 1.0) };
                    if !alone {
                        let angle = random.between(0.0, std::f64::consts::TAU);
                        foot.at[0] += 0.01 * angle.cos();
                        foot.at[1] += 0.01 * angle.sin();
                    }
                }
                if !alone {
                    moved.cg[0] += random.between(-1.0, 1.0) * spec.cg_tolerance[0];
                    moved.cg[1] += random.between(-1.0, 1.0) * spec.cg_tolerance[1];
                }
                let Some(loads) = elastic::loads(&moved, &Resultant::weight(&moved)) else { continue };
                let all = loads.iter().all(|n| *n > 1.0);
                found.push((contacts.iter().map(|&c| loads[c]).sum(), all));
            }
            let rounding = 1e-9 * spec.weight();
            for (load, _) in &found {
                sampled += 1;
                assert!(
                    (least - rounding..=most + rounding).contains(load),
                    "set {i}, {contacts:?}: {load} N outside {least} to {most}: {spec:?}, off {off:?}"
                );
            }
            if alone && found.len() == 32 && found.iter().all(|(_, all)| *all) {
                exact += 1;
                let highest = found[..16].iter().map(|f| f.0).fold(0.0, f64::max);
                let lowest = found[..16].iter().map(|f| f.0).fold(f64::INFINITY, f64::min);
                let near = |a: f64, b: f64| (a - b).abs() < 1e-6 * spec.weight();
                assert!(
                    near(highest, most) && near(lowest, least),
                    "set {i}, {contacts:?}: corners {lowest} to {highest}, told {least} to {most}: {spec:?}"
                );
            }
        }
    }
    println!("{sampled} samples; exact in {exact}");
    assert!(exact > 300 && sampled > 30_000, "{exact} {sampled}");
}

/// What an account names adds up to the figure itself, whichever way the figure came about.
#[test]
fn an_account_adds_up_to_its_figure() {
    let mut random = Random::new(34);
    let mut met = [0; 3];
    for i in 0..600 {
        let mut spec = Spec::drawn(&mut random, &PADS);
        for foot in &mut spec.feet {
            foot.place_tolerance = 0.01;
            foot.stiffness = random.between(2e5, 8e5);
        }
        let (set, mut body) = spec.to_core().expect("a legal set");
        body.mass_tolerance = Mass::kilograms(MASS);
        let bounds = set.assured_loads(&body);
        let heaviest = (body.mass + body.mass_tolerance).weight();
        for contacts in [&[i % 4][..], &[0, 1], &[2, 3]] {
            let (least, greatest) = bounds.least_share_and_greatest(contacts);
            for (bound, sign, figure) in
                [(Bound::LeastShare, -1.0, least), (Bound::GreatestLoad, 1.0, greatest / heaviest)]
            {
                let told = match set.account(&body, contacts, bound) {
                    Account::Linear { shares, moved, allowance, .. } => {
                        met[0] += 1;
                        let share: f64 = contacts.iter().map(|&c| shares[c]).sum();
                        share + sign * (moved.iter().sum::<f64>() + allowance)
                    }
                    Account::Levers { corner, with } => {
                        met[1] += 1;
                        let at = |k: usize| [spec.feet[k].at[0], spec.feet[k].at[1]];
                        let load = [0, 1].map(|k| spec.cg[k] + corner[k] * (spec.cg_tolerance[k] + 0.01));
                        let turn = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
                            (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
                        };
                        let share = |(c, with): (&usize, &Option<[usize; 2]>)| {
                            with.map_or(0.0, |[j, k]| turn(load, at(j), at(k)) / turn(at(*c), at(j), at(k)))
                        };
                        contacts.iter().zip(&with).map(share).sum::<f64>().min(1.0)
                    }
                    Account::Falls => {
                        met[2] += 1;
                        if bound == Bound::LeastShare { 0.0 } else { 1.0 }
                    }
                };
                assert!(
                    (told - figure).abs() < 1e-9,
                    "{told}, not {figure}: {bound:?} of {contacts:?}, {spec:?}"
                );
            }
        }
    }
    println!("linear, levers, falls: {met:?}");
    assert!(met.iter().all(|n| *n > 20), "{met:?}");
}
