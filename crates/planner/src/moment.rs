//! Moments of masses at places: mean place, its exact extremes, its standard uncertainty.

use statics::Mass;

use crate::measured::Measured;

/// A mass at a place, both with tolerances, counted +1 or -1.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub(crate) sign: f64,
    pub(crate) mass: f64,
    pub(crate) mass_tolerance: f64,
    pub(crate) at: [f64; 3],
    pub(crate) at_tolerance: [f64; 3],
    /// Standard uncertainty of the mass and of the place (JCGM 100).
    pub(crate) mass_uncertainty: f64,
    pub(crate) at_uncertainty: [f64; 3],
}

impl Item {
    /// At a place that is anywhere within its tolerance with the same chance: u = tolerance / sqrt 3.
    pub(crate) fn new(sign: f64, mass: &Measured<Mass>, at: [f64; 3], at_tolerance: [f64; 3]) -> Self {
        Self {
            sign,
            mass: mass.value.to_kilograms(),
            mass_tolerance: mass.tolerance.to_kilograms(),
            at,
            at_tolerance,
            mass_uncertainty: mass.uncertainty.to_kilograms(),
            at_uncertainty: at_tolerance.map(|tolerance| tolerance / 3f64.sqrt()),
        }
    }

    /// Moment and mass at the ends of its ranges that move the mean most in a sense, seen from a level.
    pub(crate) fn end(&self, axis: usize, sense: f64, level: f64) -> [f64; 2] {
        let x = self.at[axis] + sense * self.sign * self.at_tolerance[axis];
        let helps = sense * self.sign * (x - level) > 0.0;
        let off = if helps { self.mass_tolerance } else { -self.mass_tolerance };
        let mass = self.sign * (self.mass + off).max(0.0);
        [mass * x, mass]
    }
}

/// Plain average.
pub(crate) fn average(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a small count")]
    let n = values.len() as f64;
    values.sum::<f64>() / n
}

/// Mean place along an axis: sum(s m x) / sum(s m).
pub(crate) fn mean(items: &[Item], axis: usize) -> f64 {
    let mass: f64 = items.iter().map(|i| i.sign * i.mass).sum();
    items.iter().map(|i| i.sign * i.mass * i.at[axis]).sum::<f64>() / mass
}

/// Standard uncertainty of the whole mass (JCGM 100, inputs independent).
pub(crate) fn mass_spread(items: &[Item]) -> f64 {
    items.iter().map(|i| i.mass_uncertainty * i.mass_uncertainty).sum::<f64>().sqrt()
}

/// Standard uncertainty of the mean place (JCGM 100, inputs independent): derivative (x - mean) / mass by a mass, share of the mass by a place.
pub(crate) fn spread(items: &[Item], axis: usize) -> f64 {
    let mass: f64 = items.iter().map(|i| i.sign * i.mass).sum();
    let mean = mean(items, axis);
    let squares = items.iter().map(|i| {
        let by_mass = (i.at[axis] - mean) / mass * i.mass_uncertainty;
        let by_place = i.mass / mass * i.at_uncertainty[axis];
        by_mass * by_mass + by_place * by_place
    });
    squares.sum::<f64>().sqrt()
}

/// Greatest (sense = 1) or least (sense = -1) value of sum(s m x) / sum(s m) over all tolerances.
///
/// It is the level at which the best of sum(s m (x - level)) is zero, each item at the end of its
/// range that helps (Dinkelbach 1967); each round raises the level, a few reach it.
pub(crate) fn extreme(items: &[Item], axis: usize, sense: f64) -> f64 {
    let mut level = mean(items, axis);
    for _ in 0..60 {
        let (mut moment, mut mass) = (0.0, 0.0);
        for i in items {
            let [own_moment, own_mass] = i.end(axis, sense, level);
            moment += own_moment;
            mass += own_mass;
        }
        if mass <= 0.0 {
            return sense * f64::INFINITY;
        }
        let next = moment / mass;
        if sense * (next - level) <= 1e-15 {
            break;
        }
        level = next;
    }
    level
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(sign: f64, mass: f64, dm: f64, x: f64, dx: f64) -> Item {
        let mass = Measured::given(Mass::kilograms(mass), Mass::kilograms(dm));
        Item::new(sign, &mass, [x, 0.0, 0.0], [dx, 0.0, 0.0])
    }

    #[test]
    fn extremes_are_those_of_all_corners() {
        let items = [
            item(1.0, 1500.0, 20.0, 1.15, 0.02),
            item(1.0, 300.0, 30.0, 2.6, 0.0),
            item(-1.0, 150.0, 10.0, -0.05, 0.0),
        ];
        let mut corners = Vec::new();
        for bits in 0..64u32 {
            let end = |bit: u32| if bits >> bit & 1 == 1 { 1.0 } else { -1.0 };
            let (mut moment, mut mass) = (0.0, 0.0);
            for (k, i) in (0u32..).zip(&items) {
                let m = i.sign * (i.mass + end(2 * k) * i.mass_tolerance);
                moment += m * (i.at[0] + end(2 * k + 1) * i.at_tolerance[0]);
                mass += m;
            }
            corners.push(moment / mass);
        }
        let most = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let least = corners.iter().copied().fold(f64::INFINITY, f64::min);
        assert!((extreme(&items, 0, 1.0) - most).abs() < 1e-12);
        assert!((extreme(&items, 0, -1.0) - least).abs() < 1e-12);
    }
}
