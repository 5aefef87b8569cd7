//! Convex hull and signed distances in plan, metres.

/// Indices of the corners of the convex hull, anticlockwise from the least X (then least Y).
/// Points on a side are no corners; points all on one line give the two ends.
#[must_use]
pub fn hull(at: &[[f64; 2]]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..at.len()).collect();
    order.sort_by(|&i, &j| at[i][0].total_cmp(&at[j][0]).then(at[i][1].total_cmp(&at[j][1])));
    let mut corners: Vec<usize> = Vec::with_capacity(at.len() + 1);
    let mut grow = |order: &mut dyn Iterator<Item = usize>| {
        let start = corners.len();
        for i in order {
            while corners.len() >= start + 2
                && turn(at[corners[corners.len() - 2]], at[corners[corners.len() - 1]], at[i]) <= 0.0
            {
                corners.pop();
            }
            corners.push(i);
        }
        corners.pop();
    };
    grow(&mut order.iter().copied());
    grow(&mut order.iter().rev().copied());
    corners
}

/// Length of a vector. Lengths here are metres, far from where squares overflow.
#[must_use]
pub fn norm(v: [f64; 2]) -> f64 {
    (v[0] * v[0] + v[1] * v[1]).sqrt()
}

/// Twice the signed area of the triangle a, b, c; positive anticlockwise.
#[must_use]
pub fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Signed distance of `p` from the line a to b, positive on its left.
#[must_use]
pub fn left_of(a: [f64; 2], b: [f64; 2], p: [f64; 2]) -> f64 {
    turn(a, b, p) / norm([b[0] - a[0], b[1] - a[1]])
}

/// How far `p` is inside the hull of `at`: least signed distance to a side; for points on one
/// line, minus the distance to their segment.
pub(crate) fn inside(at: &[[f64; 2]], corners: &[usize], p: [f64; 2]) -> f64 {
    match corners {
        [] => f64::NEG_INFINITY,
        [i] => -(p[0] - at[*i][0]).hypot(p[1] - at[*i][1]),
        [i, j] => {
            let (a, b) = (at[*i], at[*j]);
            let d = [b[0] - a[0], b[1] - a[1]];
            let t = ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
            let t = t.clamp(0.0, 1.0);
            -(p[0] - a[0] - t * d[0]).hypot(p[1] - a[1] - t * d[1])
        }
        _ => sides(corners).map(|(i, j)| left_of(at[i], at[j], p)).fold(f64::INFINITY, f64::min),
    }
}

/// The sides of a hull as pairs of neighbouring corners, each once.
pub(crate) fn sides(corners: &[usize]) -> impl Iterator<Item = (usize, usize)> + '_ {
    let n = if corners.len() == 2 { 1 } else { corners.len() };
    (0..n).map(move |k| (corners[k], corners[(k + 1) % corners.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_anticlockwise() {
        let at = [[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0], [0.5, 0.5], [0.5, 0.0]];
        assert_eq!(hull(&at), [0, 2, 1, 3]);
        assert_eq!(hull(&[[0.0, 0.0], [2.0, 0.0], [1.0, 0.0]]), [0, 1]);
        assert!((inside(&at, &hull(&at), [0.5, 0.25]) - 0.25).abs() < 1e-15);
    }
}
