//! The loads at which something passes.

/// Loads at which a reserve is not negative, newtons.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passing {
    /// The least of them.
    pub least: f64,
    /// The greatest of them.
    pub most: f64,
    /// The one with the largest reserve.
    pub best: f64,
    /// That reserve.
    pub reserve: f64,
}

/// Steps of the scan.
const STEPS: u32 = 48;

/// The loads around the best one, up to `most`, at which `reserve` is not negative; none if it always is.
///
/// A scan finds the highest step, golden sections the best load beside it, bisection the ends of what
/// passes around it.
pub fn passing(most: f64, mut reserve: impl FnMut(f64) -> f64) -> Option<Passing> {
    let at = |k: u32| most * f64::from(k) / f64::from(STEPS);
    let scan: Vec<f64> = (0..=STEPS).map(|k| reserve(at(k))).collect();
    let top = (0u32..)
        .zip(&scan)
        .fold((0, f64::NEG_INFINITY), |top, (k, r)| if *r > top.1 { (k, *r) } else { top });
    let beside = [at(top.0.saturating_sub(1)), at((top.0 + 1).min(STEPS))];
    let (best, value) = highest(&mut reserve, beside, (at(top.0), top.1));
    if value < 0.0 {
        return None;
    }
    let mut end = |ks: &mut dyn Iterator<Item = u32>, farthest: f64| {
        let mut inside = best;
        for k in ks {
            if scan[k as usize] < 0.0 {
                return edge(&mut reserve, inside, at(k));
            }
            inside = at(k);
        }
        farthest
    };
    let below = (best / most * f64::from(STEPS)).floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most the number of steps"
    )]
    let below = below as u32;
    let on_step = (at(below) - best).abs() <= 0.0;
    let least = end(&mut (0..=below).rev(), 0.0);
    let most = end(&mut (below + u32::from(!on_step && below < STEPS)..=STEPS), most);
    Some(Passing { least, most, best, reserve: value })
}

/// The most of a function of one peak between two places, if that is more than what is known.
fn highest(f: &mut impl FnMut(f64) -> f64, [mut a, mut b]: [f64; 2], known: (f64, f64)) -> (f64, f64) {
    let part = (5f64.sqrt() - 1.0) / 2.0;
    let mut top = known;
    for _ in 0..24 {
        let [c, d] = [b - part * (b - a), a + part * (b - a)];
        let (at_c, at_d) = (f(c), f(d));
        if at_c > top.1 {
            top = (c, at_c);
        }
        if at_d > top.1 {
            top = (d, at_d);
        }
        if at_c > at_d { b = d } else { a = c }
    }
    top
}

/// The last load that passes on the way from one that does to one that does not.
fn edge(f: &mut impl FnMut(f64) -> f64, mut passes: f64, mut fails: f64) -> f64 {
    for _ in 0..50 {
        let middle = f64::midpoint(passes, fails);
        if f(middle) < 0.0 { fails = middle } else { passes = middle }
    }
    passes
}

#[cfg(test)]
mod tests {
    use super::passing;

    #[test]
    fn ends_and_best_are_those_of_a_tent() {
        for (low, peak, high) in
            [(10.0, 30.0, 80.0), (99.9, 99.95, 100.2), (-5.0, 1.0, 40.0), (0.05, 0.06, 0.1)]
        {
            let tent = |x: f64| if x < peak { (x - low) / (peak - low) } else { (high - x) / (high - peak) };
            let found = passing(100.0, tent).map(|p| [p.least, p.most, p.best]);
            let (least, most): (f64, f64) = (f64::max(low, 0.0), f64::min(high, 100.0));
            if (most - least) < 100.0 / 48.0 {
                // Narrower than a step: found where the slopes beside it lead there.
                assert!(found.is_none_or(|f| (f[0] - least).abs() < 1e-6), "{found:?}");
                continue;
            }
            let near = found.is_some_and(|f| (f[0] - least).abs() < 1e-9 && (f[1] - most).abs() < 1e-9);
            assert!(near && found.is_some_and(|f| (f[2] - peak).abs() < 0.01), "{found:?}");
        }
        assert_eq!(passing(100.0, |x| -1.0 - x), None);
    }
}
