//! Settings of an arm as a person at the column sees them.

use planner::plan::PadSetting;
use planner::quick::Unknown;
use statics::{Angle, Length};

use crate::{Scene, Units};

/// Degrees from square across the bay, the way a person at the column sees the arm.
#[must_use]
pub fn swing(pad: &PadSetting, units: Units) -> String {
    let across = if pad.arm.is_left() { -90.0_f64 } else { 90.0 };
    let turned = pad.swing.to_degrees() - across;
    let turned = (turned + 540.0).rem_euclid(360.0) - 180.0;
    let ahead = if pad.arm.is_left() { turned } else { -turned };
    let figure = units.whole_angle(Angle::degrees(ahead.abs()));
    match figure.as_str() {
        "0°" => "square".into(),
        _ if ahead > 0.0 => format!("{figure} ahead"),
        _ => format!("{figure} back"),
    }
}

/// Adapter heights from the lowest, the unit said once.
#[must_use]
pub(crate) fn adapters(stack: &[Length], units: Units) -> String {
    if stack.is_empty() {
        return "none".into();
    }
    let texts: Vec<String> = stack.iter().map(|&a| units.length(a)).collect();
    let unit = texts[0].rsplit(' ').next().unwrap_or_default();
    let numbers: Vec<&str> = texts.iter().map(|t| t.trim_end_matches(unit).trim_end()).collect();
    format!("{} {unit}", numbers.join(" + "))
}

/// Whether what the pads touch was measured: where it was not, no figure of a height may pass for one to be set.
pub(crate) fn heights_are_known(scene: &Scene<'_>) -> bool {
    !scene.vehicle.unmeasured.unknown.contains(&Unknown::Undersides)
}

/// How high a pad is set.
#[must_use]
pub fn pad_height(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> String {
    if heights_are_known(scene) { units.length(pad.height) } else { "to touch".into() }
}

/// What is put on a pad.
#[must_use]
pub fn adapters_on(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> String {
    if heights_are_known(scene) { adapters(&pad.adapters, units) } else { "as needed".into() }
}

/// How high the pads stand, raised: by heights that nobody measured only about so.
pub(crate) fn pads_raised(scene: &Scene<'_>, height: Length, units: Units) -> String {
    let about = if heights_are_known(scene) { "" } else { "about " };
    format!("{about}{}", units.length(height))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;

    #[test]
    fn swing_is_told_from_square() {
        let made = fixtures::one(0, 0);
        for (arm, degrees, text) in [
            (0, -90.0, "square"),
            (0, -50.0, "40° ahead"),
            (1, 50.0, "40° ahead"),
            (2, -135.0, "45° back"),
            (3, 170.0, "80° back"),
            (3, -179.0, "91° back"),
        ] {
            let pad = PadSetting { swing: Angle::degrees(degrees), ..made.plan.pads[arm].clone() };
            assert_eq!(swing(&pad, Units::Metric), text);
        }
    }
}
