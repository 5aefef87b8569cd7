//! Centre of gravity from scales: from wheels, from axles, from a share, and its height from a lifted axle.

use statics::{Angle, Length, Mass};

use crate::measured::{Basis, Measured};
use crate::moment::{Item, extreme, mass_spread, mean};

/// Mass and centre of gravity in plan, with exact worst case and standard uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// Total mass.
    pub mass: Measured<Mass>,
    /// Behind the front axle.
    pub aft: Measured<Length>,
    /// Left of the centre plane; zero with zero tolerance from axles alone.
    pub left: Measured<Length>,
}

/// From the four wheel loads, in the order front left, front right, rear left, rear right.
///
/// aft = L (RL + RR) / W; left = [tf (FL - FR) + tr (RL - RR)] / 2 W, each wheel off sideways by half of what its track may be
/// off. Tracks front, rear, and how far each may be off.
#[must_use]
pub fn from_wheels(
    loads: &[Measured<Mass>; 4],
    wheelbase: &Measured<Length>,
    tracks: [Length; 2],
    off: [Length; 2],
) -> Weighed {
    let items = wheel_items(loads, wheelbase, tracks, off);
    weighed(&items, wheelbase, Basis::least_sure(loads.iter().map(|m| &m.basis)))
}

/// From the two axle loads: aft = L rear / (front + rear).
#[must_use]
pub fn from_axles(front: &Measured<Mass>, rear: &Measured<Mass>, wheelbase: &Measured<Length>) -> Weighed {
    let items = axle_items([front, rear], wheelbase);
    weighed(&items, wheelbase, Basis::least_sure([&front.basis, &rear.basis]))
}

/// The loads of the wheels at their places.
pub(crate) fn wheel_items(
    loads: &[Measured<Mass>; 4],
    wheelbase: &Measured<Length>,
    tracks: [Length; 2],
    off: [Length; 2],
) -> Vec<Item> {
    let base = (wheelbase.value.to_metres(), wheelbase.tolerance.to_metres());
    let [half, off] = [tracks, off].map(|both| both.map(|t| t.to_metres() / 2.0));
    let wheel = |(k, m): (usize, &Measured<Mass>)| {
        let (axle, side) = (k / 2, if k % 2 == 0 { 1.0 } else { -1.0 });
        let (aft, aft_off) = if axle == 0 { (0.0, 0.0) } else { base };
        Item::new(1.0, m, [aft, side * half[axle], 0.0], [aft_off, off[axle], 0.0])
    };
    loads.iter().enumerate().map(wheel).collect()
}

/// The loads of the axles at theirs.
pub(crate) fn axle_items([front, rear]: [&Measured<Mass>; 2], wheelbase: &Measured<Length>) -> [Item; 2] {
    let base = (wheelbase.value.to_metres(), wheelbase.tolerance.to_metres());
    [Item::new(1.0, front, [0.0; 3], [0.0; 3]), Item::new(1.0, rear, [base.0, 0.0, 0.0], [base.1, 0.0, 0.0])]
}

/// From the front axle's share: aft = L (1 - share).
#[must_use]
pub fn from_share(front_share: &Measured<f64>, wheelbase: &Measured<Length>) -> Measured<Length> {
    let (base, rear) = (wheelbase.value.to_metres(), 1.0 - front_share.value);
    let most = wheelbase.greatest().to_metres() * (rear + front_share.tolerance);
    let least = wheelbase.least().to_metres() * (rear - front_share.tolerance);
    let by_share = base * front_share.uncertainty;
    let by_base = wheelbase.uncertainty.to_metres() * rear;
    Measured {
        value: Length::metres(base * rear),
        tolerance: Length::metres((most - base * rear).max(base * rear - least)),
        uncertainty: Length::metres(by_share.hypot(by_base)),
        basis: front_share.basis.clone(),
    }
}

/// One reading with an axle lifted: the loads on the axle that stays down, level and lifted.
#[derive(Clone, Debug, PartialEq)]
pub struct LiftedAxle {
    /// Angle of the vehicle out of level.
    pub angle: Measured<Angle>,
    /// Load then on the axle that stays down.
    pub low_lifted: Measured<Mass>,
}

/// Height of the centre of gravity from one lifted-axle reading, above the ground.
///
/// h = r + L (Wlow(angle) - Wlow(0)) / (W tan angle), r = wheel radius under load, suspension
/// blocked (ISO 10392 and SAE J874 describe the method; Jazar 2008 eq. 2.30-2.32). Gives the exact
/// worst case over independent tolerances and the standard uncertainty.
#[must_use]
pub fn height(
    reading: &LiftedAxle,
    low_level: &Measured<Mass>,
    total: &Measured<Mass>,
    wheelbase: &Measured<Length>,
    wheel_radius: &Measured<Length>,
) -> Measured<Length> {
    let formula = |gain: f64, total: f64, base: f64, angle: f64, radius: f64| {
        radius + base * gain / (total * angle.tan())
    };
    let gain = (reading.low_lifted.value - low_level.value).to_kilograms();
    let gain_tolerance = (reading.low_lifted.tolerance + low_level.tolerance).to_kilograms();
    let (w, dw) = (total.value.to_kilograms(), total.tolerance.to_kilograms());
    let (l, dl) = (wheelbase.value.to_metres(), wheelbase.tolerance.to_metres());
    let (a, da) = (reading.angle.value.to_radians(), reading.angle.tolerance.to_radians());
    let (r, dr) = (wheel_radius.value.to_metres(), wheel_radius.tolerance.to_metres());
    let best = formula(gain, w, l, a, r);
    // Monotone in each input once the sign of the gain is settled, so the corners hold the extremes.
    let mut far = 0.0f64;
    for bits in 0..32u32 {
        let end = |k: u32| if bits >> k & 1 == 1 { 1.0 } else { -1.0 };
        let h = formula(
            gain + end(0) * gain_tolerance,
            w + end(1) * dw,
            l + end(2) * dl,
            a + end(3) * da,
            r + end(4) * dr,
        );
        far = far.max((h - best).abs());
    }
    let arm = best - r;
    let by = [
        l / (w * a.tan()) * reading.low_lifted.uncertainty.to_kilograms(),
        l / (w * a.tan()) * low_level.uncertainty.to_kilograms(),
        arm / w * total.uncertainty.to_kilograms(),
        arm / l * wheelbase.uncertainty.to_metres(),
        arm / (a.sin() * a.cos()) * reading.angle.uncertainty.to_radians(),
        wheel_radius.uncertainty.to_metres(),
    ];
    let uncertainty = Length::metres(by.iter().map(|u| u * u).sum::<f64>().sqrt());
    Measured { uncertainty, ..Measured::given(Length::metres(best), Length::metres(far)) }
}

/// What the axle that stays down would carry at a height of the centre of gravity: [`height`] the other way
/// round, W_low(angle) = W_low(0) + W tan(angle) (h - r) / L, nominal values.
#[must_use]
pub fn low_lifted_at(
    height: Length,
    angle: Angle,
    low_level: Mass,
    total: Mass,
    wheelbase: Length,
    wheel_radius: Length,
) -> Mass {
    low_level + total * (angle.to_radians().tan() * ((height - wheel_radius) / wheelbase))
}

/// One height from several lifted-axle readings, each with its angle and its [`height`].
///
/// Weights tan^2(angle), as scale errors grow with 1 / tan; tolerance and uncertainty are the
/// weighted sums, which bound the truth because the readings share level loads and wheelbase.
#[must_use]
pub fn combined_height(readings: &[(Angle, Measured<Length>)]) -> Measured<Length> {
    let weight = |angle: &Angle| angle.to_radians().tan().powi(2);
    let whole: f64 = readings.iter().map(|(a, _)| weight(a)).sum();
    let (mut value, mut tolerance, mut uncertainty) = (Length::ZERO, Length::ZERO, Length::ZERO);
    for (angle, height) in readings {
        let part = weight(angle) / whole;
        value += height.value * part;
        tolerance += height.tolerance * part;
        uncertainty += height.uncertainty * part;
    }
    let basis = Basis::least_sure(readings.iter().map(|(_, h)| &h.basis));
    Measured { value, tolerance, uncertainty, basis }
}

/// The wheelbase is common to all rear wheels, so its doubt enters once.
fn weighed(items: &[Item], wheelbase: &Measured<Length>, basis: Basis) -> Weighed {
    let total: f64 = items.iter().map(|i| i.mass).sum();
    let rear: f64 = items.iter().filter(|i| i.at[0] > 0.0).map(|i| i.mass).sum();
    let measured = |axis: usize, common: f64| {
        let best = mean(items, axis);
        let far = (extreme(items, axis, 1.0) - best).max(best - extreme(items, axis, -1.0));
        let by = items.iter().map(|i| (i.at[axis] - best) / total * i.mass_uncertainty).chain([common]);
        Measured {
            value: Length::metres(best),
            tolerance: Length::metres(far),
            uncertainty: Length::metres(by.map(|u| u * u).sum::<f64>().sqrt()),
            basis: basis.clone(),
        }
    };
    let sideways = items.iter().map(|i| (i.mass / total * i.at_uncertainty[1]).powi(2)).sum::<f64>();
    Weighed {
        mass: Measured {
            value: Mass::kilograms(total),
            tolerance: Mass::kilograms(items.iter().map(|i| i.mass_tolerance).sum()),
            uncertainty: Mass::kilograms(mass_spread(items)),
            basis: basis.clone(),
        },
        aft: measured(0, rear / total * wheelbase.uncertainty.to_metres()),
        left: measured(1, sideways.sqrt()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kg(value: f64, tolerance: f64) -> Measured<Mass> {
        Measured::given(Mass::kilograms(value), Mass::kilograms(tolerance))
    }
    fn m(value: f64, tolerance: f64) -> Measured<Length> {
        Measured::given(Length::metres(value), Length::metres(tolerance))
    }

    /// Derived (moment sums; the corner-weight row of the outside checks).
    #[test]
    fn corner_weights() {
        let loads = [kg(430.0, 0.0), kg(410.0, 0.0), kg(340.0, 0.0), kg(320.0, 0.0)];
        let found = from_wheels(&loads, &m(2.6, 0.0), [1.54, 1.52].map(Length::metres), [Length::ZERO; 2]);
        assert!((found.aft.value.to_metres() - 1.144).abs() < 1e-9);
        assert!((found.left.value.to_metres() - 0.0204).abs() < 1e-4);
        assert!(found.left.tolerance == Length::ZERO);
    }

    /// Derived: whatever side is the heavier, wheels that may each be 10 mm off put the centre as far off.
    #[test]
    fn a_track_that_may_be_off_puts_the_centre_off_sideways() {
        let loads = [kg(430.0, 0.0), kg(410.0, 0.0), kg(340.0, 0.0), kg(320.0, 0.0)];
        let off = [Length::millimetres(20.0); 2];
        let found = from_wheels(&loads, &m(2.6, 0.0), [1.54, 1.52].map(Length::metres), off);
        assert!((found.left.tolerance.to_millimetres() - 10.0).abs() < 1e-9, "{:?}", found.left);
        assert!(found.left.uncertainty > Length::ZERO && found.aft.tolerance == Length::ZERO);
    }

    /// GUM propagation, derived: two axles, scales +-1 kg and +-10 kg.
    #[test]
    fn axle_uncertainty() {
        for (kg_off, m_off, want) in [(1.0, 0.0009, 0.748), (10.0, 0.005, 7.24)] {
            let found = from_axles(&kg(840.0, kg_off), &kg(660.0, kg_off), &m(2.6, m_off));
            let u = found.aft.uncertainty.to_millimetres();
            assert!((u - want).abs() < 0.01, "{u}");
        }
    }

    /// Axle-lift round trip, derived with Jazar's formula.
    #[test]
    fn lifted_axle() {
        for (degrees, gain) in [(5.0, 12.11), (10.0, 24.41), (15.0, 37.10), (20.0, 50.40)] {
            let reading = LiftedAxle {
                angle: Measured::given(Angle::degrees(degrees), Angle::ZERO),
                low_lifted: kg(865.384_615 + gain, 0.0),
            };
            let h = height(&reading, &kg(865.384_615, 0.0), &kg(1500.0, 0.0), &m(2.6, 0.0), &m(0.31, 0.0));
            assert!((h.value.to_metres() - 0.55).abs() < 2e-4, "{h:?}");
            // And back again.
            let m = Length::metres;
            let (level, whole) = (Mass::kilograms(865.384_615), Mass::kilograms(1500.0));
            let load = low_lifted_at(h.value, Angle::degrees(degrees), level, whole, m(2.6), m(0.31));
            assert!((load - reading.low_lifted.value).to_kilograms().abs() < 1e-9);
        }
    }
}
