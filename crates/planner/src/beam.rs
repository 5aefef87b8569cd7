//! Clearance of an arm's beam in plan, metres; negative where it presses in.

use statics::hull::norm;

use crate::region::{Region, place_to_side, side_to_side};

/// An axis-aligned rectangle in the vehicle's plan: least and greatest along both axes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rectangle {
    pub(crate) least: [f64; 2],
    pub(crate) greatest: [f64; 2],
}

/// Signed separation of a straight line from pivot to pad and a rectangle.
///
/// Apart: their distance. Overlapping: minus the least shift that parts them, over the normals of
/// both (separating axes of two convex shapes), so it falls steadily as the line goes deeper.
pub(crate) fn line_to_rectangle(line: [[f64; 2]; 2], r: &Rectangle) -> f64 {
    let corners = [r.least, [r.greatest[0], r.least[1]], r.greatest, [r.least[0], r.greatest[1]]];
    let mut parted = f64::NEG_INFINITY;
    for (axis, (least, greatest)) in r.least.iter().zip(r.greatest).enumerate() {
        let (lo, hi) = (line[0][axis].min(line[1][axis]), line[0][axis].max(line[1][axis]));
        parted = parted.max(least - hi).max(lo - greatest);
    }
    let d = [line[1][0] - line[0][0], line[1][1] - line[0][1]];
    let long = norm(d);
    if long > 0.0 {
        let n = [-d[1] / long, d[0] / long];
        let side = corners.map(|c| n[0] * (c[0] - line[0][0]) + n[1] * (c[1] - line[0][1]));
        let (lo, hi) =
            side.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
        parted = parted.max(lo).max(-hi);
    }
    if parted <= 0.0 {
        return parted;
    }
    // Apart, the distance is held by a corner of one or an end of the other.
    let to_line = corners.iter().map(|c| place_to_side(*c, line)).fold(f64::INFINITY, f64::min);
    line.iter().map(|end| place_to_rectangle(*end, r)).fold(to_line, f64::min)
}

fn place_to_rectangle(p: [f64; 2], r: &Rectangle) -> f64 {
    norm([0, 1].map(|k| (r.least[k] - p[k]).max(p[k] - r.greatest[k]).max(0.0)))
}

/// Signed separation of a line from pivot to pad and a keep-out; inside, minus the depth of its
/// deepest of nine points.
pub(crate) fn line_to_region(line: [[f64; 2]; 2], region: &Region) -> f64 {
    if let Some(apart) = region.apart_from(line).filter(|_| !region.holds(line[1])) {
        return apart;
    }
    let deepest = (0..=8u8)
        .map(|k| f64::from(k) / 8.0)
        .map(|t| [line[0][0] + t * (line[1][0] - line[0][0]), line[0][1] + t * (line[1][1] - line[0][1])])
        .map(|p| region.depth(p))
        .fold(0.0, f64::max);
    -deepest
}

/// Separation of two lines from pivot to pad; where they cross, minus how far the nearer end sticks through.
pub(crate) fn line_to_line(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> f64 {
    let apart = side_to_side(a, b);
    if apart > 0.0 {
        return apart;
    }
    -place_to_side(a[1], b).min(place_to_side(b[1], a))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn separation_falls_steadily_through_contact() {
        let r = Rectangle { least: [0.0, 0.0], greatest: [1.0, 1.0] };
        let at = |x: f64| line_to_rectangle([[x, -1.0], [x, 2.0]], &r);
        assert!((at(-0.3) - 0.3).abs() < 1e-12);
        assert!(at(0.0).abs() < 1e-12);
        assert!((at(0.2) + 0.2).abs() < 1e-12);
        assert!((line_to_rectangle([[-1.0, -1.0], [-0.3, -0.4]], &r) - 0.5).abs() < 1e-12);
    }
}
