//! What measured vehicles say of one that was not measured: median and central 98 % range.

use statics::Length;

use crate::measured::Measured;
use crate::vehicle::{BodyClass, Drive};

/// Half-width of the central 98 % of a normal distribution, in standard deviations.
const CENTRAL_98: f64 = 2.326;

/// Standard deviation below which a front share is not believed: no measured split of modern
/// battery vehicles exists in the data.
const SHARE_SD_BATTERY: f64 = 0.03;

/// Front axle's share of the weight, unladen.
///
/// Medians and standard deviations of measured vehicles by class and driven axle; range =
/// median +- 2.326 sd.
#[must_use]
pub fn front_share(class: BodyClass, drive: Drive) -> Measured<f64> {
    let (median, sd, source) = match (class, drive) {
        (_, Drive::Battery) => (
            0.5830,
            f64::max(0.0372, SHARE_SD_BATTERY),
            "prior: NHTSA, 163 measured vehicles of all classes, none a modern battery vehicle",
        ),
        (BodyClass::Pickup, _) => (0.5853, 0.0160, "prior: NHTSA, 20 measured pickups"),
        (BodyClass::Suv, _) => (0.5452, 0.0217, "prior: NHTSA, 53 measured SUVs"),
        (BodyClass::Minivan | BodyClass::Van, _) => (0.5799, 0.0257, "prior: NHTSA, 22 measured vans"),
        (_, Drive::Rear) => (0.5333, 0.0256, "prior: NHTSA NCAP 2004, 10 measured rear-driven vehicles"),
        _ => (0.6160, 0.0296, "prior: NHTSA, 68 measured cars"),
    };
    Measured::assumed(median, CENTRAL_98 * sd, source)
}

/// Height of the centre of gravity of an unladen vehicle: 0.003 m + 0.381 roof, 0.068 m less for a
/// battery vehicle; residual sd 20 mm over 934 vehicles (NHTSA, 2001 on).
#[must_use]
pub fn cg_height(roof: Length, drive: Drive) -> Measured<Length> {
    let pack = if drive == Drive::Battery { 0.068 } else { 0.0 };
    Measured::assumed(
        Length::metres(0.003 + 0.381 * roof.to_metres() - pack),
        Length::metres(CENTRAL_98 * 0.020),
        "prior: NHTSA, regression on roof height over 934 vehicles of 2001 on",
    )
}

/// How far the centre of gravity may be off the centre plane when the wheels of the two sides were
/// not weighed apart.
#[must_use]
pub const fn cg_sideways() -> Measured<Length> {
    Measured::assumed(
        Length::ZERO,
        Length::metres(0.03),
        "project default: about the mean of 26 vehicles that NHTSA measured with a driver aboard",
    )
}
