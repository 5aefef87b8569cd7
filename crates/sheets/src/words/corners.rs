//! Corners as a person names them, one or several at once.

use planner::frames::DrivenIn;
use planner::lift::Corner;

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

/// A corner of the vehicle, said to be the vehicle's own where the bay's corners are others.
#[must_use]
pub fn vehicle_corner(scene: &Scene<'_>, corner: Corner) -> String {
    format!("{}{}", whose(scene), corner_name(corner))
}

/// "front left arm", "two rear arms", "four arms": arms by the bay's corners.
pub(super) fn arms(corners: &[Corner]) -> String {
    several("", corners, "arm")
}

/// The same of pads or tyres, by the vehicle's own corners.
pub(super) fn of_vehicle(scene: &Scene<'_>, corners: &[Corner], noun: &str) -> String {
    several(whose(scene), corners, noun)
}

fn whose(scene: &Scene<'_>) -> &'static str {
    match scene.plan.placement.driven_in {
        DrivenIn::Forwards => "",
        DrivenIn::Backwards => "vehicle's ",
    }
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
pub(super) fn listed(names: &[&str]) -> String {
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
