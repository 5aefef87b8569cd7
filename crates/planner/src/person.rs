//! Body sizes of the people who work at a raised vehicle.

use statics::Length;

use crate::measured::Measured;

/// Whose body sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Women of ANSUR II.
    Women,
    /// Men of ANSUR II.
    Men,
}

/// Statures at the 1st, 5th, 25th, 50th, 75th, 95th and 99th percentile, metres.
const PERCENTILES: [f64; 7] = [1.0, 5.0, 25.0, 50.0, 75.0, 95.0, 99.0];
const WOMEN: [f64; 7] = [1.4826, 1.525, 1.5863, 1.626, 1.672, 1.74, 1.7776];
const MEN: [f64; 7] = [1.6016, 1.648, 1.71, 1.755, 1.802, 1.87, 1.927];

/// Stature of a percentile between 1 and 99, by straight lines between the tabled ones.
///
/// ANSUR II (2012), 1,986 women and 4,082 men of the US Army, barefoot. `None` outside 1 to 99.
#[must_use]
pub fn stature(group: Group, percentile: f64) -> Option<Measured<Length>> {
    let table = match group {
        Group::Women => WOMEN,
        Group::Men => MEN,
    };
    let k = (1..PERCENTILES.len()).find(|k| percentile <= PERCENTILES[*k])?;
    let part = (percentile - PERCENTILES[k - 1]) / (PERCENTILES[k] - PERCENTILES[k - 1]);
    let metres = table[k - 1] + part * (table[k] - table[k - 1]);
    (part >= 0.0).then(|| {
        Measured::assumed(
            Length::metres(metres),
            Length::metres(0.005),
            "ANSUR II (2012): stature of that percentile",
        )
    })
}
