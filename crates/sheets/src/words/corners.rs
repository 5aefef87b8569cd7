//! Corners as a person names them, one or several at once.

use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::plan::PadSetting;

use crate::Scene;

/// "front left" and so on.
#[must_use]
pub const fn corner_name(corner: Corner) -> &'static str {
    match corner {
        Corner::FrontLeft => "front left",
        Corner::FrontRight => "front right",
        Corner::RearLeft => "rear left",
        Corner::RearRight => "rear right",
    }
}

/// "front left"; where it stands backwards "rear right, under the vehicle's front left".
#[must_use]
pub fn arm_name(pad: &PadSetting) -> String {
    let arm = corner_name(pad.arm);
    if pad.arm == pad.corner {
        arm.into()
    } else {
        format!("{arm}, under the vehicle's {}", corner_name(pad.corner))
    }
}

/// "front left arm", "two rear arms", "four arms": arms by the bay's corners.
pub(super) fn arms(corners: &[Corner]) -> String {
    several("", corners, "arm")
}

/// The same of pads, by the vehicle's corners; where it stands backwards, each by its arm, with the corner beside it: whoever
/// stands at the lift must not take one for the other.
#[must_use]
pub fn pads_named(scene: &Scene<'_>, corners: &[Corner]) -> String {
    pads_as_driven(scene.plan.placement.driven_in, corners)
}

/// The same where only the way in is known.
#[must_use]
pub fn pads_as_driven(driven_in: DrivenIn, corners: &[Corner]) -> String {
    match driven_in {
        DrivenIn::Forwards => several("", corners, "pad"),
        DrivenIn::Backwards => {
            let arms: Vec<Corner> = corners.iter().map(|corner| corner.turned()).collect();
            match several("", corners, "corner") {
                all if all.starts_with("four") => several("", corners, "pad"),
                under => format!("{} (under the vehicle's {under})", several("", &arms, "arm pad")),
            }
        }
    }
}

/// Said where formulas name pads by the vehicle's corners and the bay's are others.
pub(crate) const VEHICLES_CORNERS: &str = "In formulas a pad is named by the VEHICLE's corner above it, an arm by the bay's: the \
    vehicle stands backwards, so that the front left pad is on the rear right arm, the front right pad on the rear left arm, the \
    rear left pad on the front right arm, the rear right pad on the front left arm.";

/// The two corners of an end.
pub(super) const fn pair_of(front: bool) -> [Corner; 2] {
    if front { [Corner::FrontLeft, Corner::FrontRight] } else { [Corner::RearLeft, Corner::RearRight] }
}

/// The same of tyres, said to be the vehicle's own where the bay's corners are others.
pub(super) fn tyres(scene: &Scene<'_>, corners: &[Corner]) -> String {
    let whose = match scene.plan.placement.driven_in {
        DrivenIn::Forwards => "",
        DrivenIn::Backwards => "vehicle's ",
    };
    several(whose, corners, "tyre")
}

fn several(whose: &str, corners: &[Corner], noun: &str) -> String {
    let mut corners = corners.to_vec();
    corners.sort_unstable();
    corners.dedup();
    let both = match corners.as_slice() {
        [one] => return format!("{whose}{} {noun}", corner_name(*one)),
        [_, _, _, _] => return format!("four {noun}s"),
        [a, b] if a.is_front() == b.is_front() => Some(if a.is_front() { "front" } else { "rear" }),
        [a, b] if a.is_left() == b.is_left() => Some(if a.is_left() { "left" } else { "right" }),
        _ => None,
    };
    both.map_or_else(
        || format!("{whose}{} {noun}s", listed(&corners.iter().map(|c| corner_name(*c)).collect::<Vec<_>>())),
        |both| format!("{whose}two {both} {noun}s"),
    )
}

/// "a", "a and b", "a, b and c".
pub(crate) fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn several_corners_have_one_name() {
        use Corner::{FrontLeft, FrontRight, RearLeft, RearRight};
        for (corners, text) in [
            (&[RearLeft][..], "rear left arm"),
            (&[FrontRight, FrontLeft], "two front arms"),
            (&[RearLeft, FrontLeft, RearLeft], "two left arms"),
            (&[FrontLeft, RearRight], "front left and rear right arms"),
            (&[RearRight, FrontLeft, RearLeft], "front left, rear left and rear right arms"),
            (&Corner::ALL, "four arms"),
        ] {
            assert_eq!(arms(corners), text);
        }
    }
}
