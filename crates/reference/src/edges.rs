//! Edges of the support polygon and their assured distance, by search over the edge's direction.
//!
//! Hull: every pair of contacts is tried. Assured distance: of all lines of one direction that pass through
//! both discs the one nearest the CG is known in closed form, so one angle is left to search.

use crate::spec::Spec;

/// One edge: contacts at its ends, anticlockwise.
pub type Edge = (usize, usize);

/// Edges of the hull: pairs with every other contact to the left or, between the ends, on the line.
#[must_use]
pub fn hull(spec: &Spec) -> Vec<Edge> {
    let n = spec.feet.len();
    let at = |i: usize| [spec.feet[i].at[0], spec.feet[i].at[1]];
    let mut edges = Vec::new();
    for a in 0..n {
        for b in 0..n {
            let outer = a != b
                && (0..n).filter(|&c| c != a && c != b).all(|c| {
                    let d = distance(at(a), at(b), at(c));
                    d > 1e-12 || (d > -1e-12 && between(at(a), at(b), at(c)))
                });
            if outer {
                edges.push((a, b));
            }
        }
    }
    edges
}

fn between(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> bool {
    (c[0] - a[0]) * (b[0] - c[0]) + (c[1] - a[1]) * (b[1] - c[1]) > 0.0
}

/// Distance of a place to the left of the line from `a` to `b`.
#[must_use]
pub fn distance(a: [f64; 2], b: [f64; 2], place: [f64; 2]) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    (dx * (place[1] - a[1]) - dy * (place[0] - a[0])) / dx.hypot(dy)
}

/// How far the plane's tilt moves the CG's plan position.
#[must_use]
pub fn tilt_shift(spec: &Spec) -> f64 {
    (spec.cg[2] + spec.cg_tolerance[2] - spec.mean_height()).max(0.0) * spec.tilt_tolerance.tan()
}

/// Least distance of an edge when CG and contacts move within their tolerances and the plane tilts.
#[must_use]
pub fn assured(spec: &Spec, (from, to): Edge) -> f64 {
    let (a, b) = (&spec.feet[from], &spec.feet[to]);
    let (dx, dy) = (b.at[0] - a.at[0], b.at[1] - a.at[1]);
    let middle = dy.atan2(dx);
    // Discs that meet let the line point anywhere.
    let sine = (a.place_tolerance + b.place_tolerance) / dx.hypot(dy);
    let reach = if sine < 1.0 { sine.asin() } else { std::f64::consts::PI };
    let shift = tilt_shift(spec);
    let at = |angle: f64| {
        let normal = [-angle.sin(), angle.cos()];
        let along = |p: [f64; 3]| normal[0] * p[0] + normal[1] * p[1];
        let line = (along(a.at) + a.place_tolerance).min(along(b.at) + b.place_tolerance);
        let body = along(spec.cg)
            - normal[0].abs() * spec.cg_tolerance[0]
            - normal[1].abs() * spec.cg_tolerance[1]
            - shift;
        body - line
    };
    let steps = 2000;
    let angle = |k: i32| middle - reach + 2.0 * reach * f64::from(k) / f64::from(steps);
    let best = (0..=steps).min_by(|&j, &k| at(angle(j)).total_cmp(&at(angle(k)))).unwrap_or(0);
    let (mut low, mut high) = (angle((best - 1).max(0)), angle((best + 1).min(steps)));
    for _ in 0..100 {
        let (one, two) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if at(one) < at(two) { high = two } else { low = one }
    }
    at(f64::midpoint(low, high)).min(at(angle(best)))
}
