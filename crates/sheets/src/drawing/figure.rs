//! A plain figure of a person from the side, made of segments as long as the body's; our own shape.

use planner::person::{Body, Joint, Pose, share};
use statics::Length;

/// Outlines in metres, ahead of the hip and above the floor, from back to front.
pub(super) struct Figure {
    /// The stool, where there is one.
    pub(super) stool: Vec<Vec<Joint>>,
    /// Limbs, trunk and head.
    pub(super) parts: Vec<Vec<Joint>>,
    /// The grip.
    pub(super) grip: Joint,
}

/// Half widths as shares of the stature, at the upper and the lower end. How thick a body is no
/// table of ours says: drawn by eye.
const THIGH: [f64; 2] = [0.046, 0.032];
const SHANK: [f64; 2] = [0.030, 0.020];
const TRUNK: [f64; 2] = [0.056, 0.050];
const NECK: f64 = 0.026;
const UPPER_ARM: [f64; 2] = [0.030, 0.023];
const FOREARM: [f64; 2] = [0.022, 0.017];
const HAND: [f64; 2] = [0.019, 0.016];
/// Half of a head's depth.
const HEAD: f64 = 0.056;

pub(super) fn figure(body: &Body, pose: &Pose) -> Figure {
    let h = body.stature.to_metres();
    let joints = body.joints(pose);
    let wide = |[a, b]: [f64; 2]| [a * h, b * h];
    let sole = body.shoes.to_metres();
    let ankle = joints.ankle;
    // Heel behind the ankle, toes ahead of it.
    let foot = vec![
        [ankle[0] - 0.25 * share::FOOT * h, 0.0],
        [ankle[0] + 0.75 * share::FOOT * h, 0.0],
        [ankle[0] + 0.73 * share::FOOT * h, sole + 0.012 * h],
        [ankle[0] + 0.022 * h, ankle[1] + 0.012 * h],
        [ankle[0] - 0.022 * h, ankle[1] + 0.012 * h],
        [ankle[0] - 0.25 * share::FOOT * h, sole],
    ];
    // Trunk from the hip to a shoulder's thickness below the shoulder joint's line, neck up to the chin.
    let head = {
        let middle = between(joints.chin, joints.crown, 0.5);
        let lean = (joints.crown[0] - joints.hip[0]).atan2(joints.crown[1] - joints.hip[1]);
        ellipse(middle, [HEAD * h, (1.0 - share::CHIN) * 0.5 * h], lean)
    };
    let chest = between(joints.hip, joints.shoulder, 0.86);
    let parts = vec![
        foot,
        limb(joints.knee, ankle, wide(SHANK)),
        limb(joints.hip, joints.knee, wide(THIGH)),
        limb(joints.shoulder, between(joints.chin, joints.crown, 0.3), [NECK * h; 2]),
        limb(chest, joints.hip, wide(TRUNK)),
        head,
        limb(joints.wrist, joints.grip, wide(HAND)),
        limb(joints.elbow, joints.wrist, wide(FOREARM)),
        limb(joints.shoulder, joints.elbow, wide(UPPER_ARM)),
    ];
    let stool = body.seat.map_or_else(Vec::new, |seat| stool(seat, joints.hip[0]));
    Figure { stool, parts, grip: joints.grip }
}

/// Seat, post and a base on castors.
fn stool(seat: Length, x: f64) -> Vec<Vec<Joint>> {
    let top = seat.to_metres();
    let bar = |left: f64, right: f64, low: f64, high: f64| {
        vec![[x + left, low], [x + right, low], [x + right, high], [x + left, high]]
    };
    vec![
        bar(-0.022, 0.022, 0.06, top - 0.05),
        bar(-0.20, 0.20, 0.05, 0.09),
        ellipse([x - 0.17, 0.03], [0.03, 0.03], 0.0),
        ellipse([x + 0.17, 0.03], [0.03, 0.03], 0.0),
        bar(-0.18, 0.18, top - 0.06, top),
    ]
}

const fn between(a: Joint, b: Joint, part: f64) -> Joint {
    [a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part]
}

/// A limb with rounded ends.
fn limb(a: Joint, b: Joint, [at_a, at_b]: [f64; 2]) -> Vec<Joint> {
    let along = (b[1] - a[1]).atan2(b[0] - a[0]);
    let arc = |middle: Joint, radius: f64, from: f64| {
        (0..=8).map(move |step| {
            let (sin, cos) = (from + f64::from(step) * core::f64::consts::PI / 8.0).sin_cos();
            [middle[0] + radius * cos, middle[1] + radius * sin]
        })
    };
    let quarter = core::f64::consts::FRAC_PI_2;
    arc(a, at_a, along + quarter).chain(arc(b, at_b, along - quarter)).collect()
}

fn ellipse(middle: Joint, [across, up]: [f64; 2], lean: f64) -> Vec<Joint> {
    let (tilt, upright) = lean.sin_cos();
    (0..24)
        .map(|step| {
            let (sin, cos) = (f64::from(step) * core::f64::consts::PI / 12.0).sin_cos();
            let (x, z) = (across * cos, up * sin);
            [middle[0] + x * upright + z * tilt, middle[1] - x * tilt + z * upright]
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Drawn to size: from the sole to the crown as tall as shoes and stature.
    #[test]
    fn a_figure_is_as_tall_as_its_person() {
        for stature in [1.525, 1.755, 1.95] {
            let body = Body::standing(Length::metres(stature));
            let made = figure(&body, &body.at_wheel(body.elbow()));
            let heights = || made.parts.iter().flatten().map(|p| p[1]);
            let (low, high) = (heights().fold(f64::INFINITY, f64::min), heights().fold(0.0, f64::max));
            assert!(low.abs() < 1e-12, "{low}");
            assert!((high - stature - 0.025).abs() < 1e-9, "{high}");
        }
    }
}
