//! A simple side of a vehicle from its outer dimensions and class; our own shapes.

use planner::Vehicle;
use planner::vehicle::{BodyClass, Outline};
use statics::Length;

use super::area::{apart, between};

/// Fractions: along the vehicle from its front, up to its roof.
type Line = &'static [[f64; 2]];

/// Upper line of the body and its side window.
const fn shape(class: BodyClass) -> (Line, Line) {
    match class {
        BodyClass::Hatchback => (
            &[
                [0.0, 0.36],
                [0.01, 0.46],
                [0.05, 0.53],
                [0.23, 0.63],
                [0.36, 0.92],
                [0.44, 0.99],
                [0.54, 1.0],
                [0.78, 0.97],
                [0.88, 0.90],
                [0.97, 0.64],
                [1.0, 0.55],
                [1.0, 0.32],
            ],
            &[[0.30, 0.66], [0.385, 0.90], [0.46, 0.945], [0.76, 0.92], [0.86, 0.68]],
        ),
        BodyClass::Sedan => (
            &[
                [0.0, 0.36],
                [0.01, 0.46],
                [0.05, 0.53],
                [0.26, 0.63],
                [0.39, 0.94],
                [0.48, 1.0],
                [0.64, 0.98],
                [0.80, 0.70],
                [0.96, 0.65],
                [1.0, 0.58],
                [1.0, 0.34],
            ],
            &[[0.33, 0.66], [0.41, 0.90], [0.48, 0.945], [0.63, 0.93], [0.74, 0.69]],
        ),
        BodyClass::Wagon | BodyClass::Suv | BodyClass::Minivan => (
            &[
                [0.0, 0.38],
                [0.01, 0.52],
                [0.05, 0.58],
                [0.22, 0.65],
                [0.34, 0.93],
                [0.42, 1.0],
                [0.86, 0.98],
                [0.93, 0.93],
                [0.98, 0.64],
                [1.0, 0.55],
                [1.0, 0.32],
            ],
            &[[0.30, 0.68], [0.37, 0.91], [0.43, 0.95], [0.86, 0.93], [0.92, 0.70]],
        ),
        BodyClass::Coupe | BodyClass::Convertible => (
            &[
                [0.0, 0.34],
                [0.01, 0.42],
                [0.06, 0.50],
                [0.32, 0.64],
                [0.46, 0.96],
                [0.54, 1.0],
                [0.66, 0.96],
                [0.86, 0.74],
                [0.98, 0.68],
                [1.0, 0.60],
                [1.0, 0.36],
            ],
            &[[0.40, 0.68], [0.48, 0.91], [0.54, 0.945], [0.65, 0.91], [0.76, 0.72]],
        ),
        BodyClass::Pickup => (
            &[
                [0.0, 0.36],
                [0.01, 0.52],
                [0.04, 0.59],
                [0.23, 0.64],
                [0.32, 0.94],
                [0.38, 1.0],
                [0.52, 0.99],
                [0.57, 0.90],
                [0.585, 0.62],
                [0.985, 0.62],
                [1.0, 0.58],
                [1.0, 0.36],
            ],
            &[[0.28, 0.67], [0.345, 0.90], [0.39, 0.94], [0.51, 0.93], [0.545, 0.67]],
        ),
        BodyClass::Van => (
            &[
                [0.0, 0.20],
                [0.0, 0.34],
                [0.03, 0.42],
                [0.13, 0.50],
                [0.23, 0.86],
                [0.29, 0.96],
                [0.36, 1.0],
                [0.97, 1.0],
                [0.99, 0.97],
                [1.0, 0.85],
                [1.0, 0.18],
            ],
            &[[0.17, 0.52], [0.25, 0.81], [0.36, 0.82], [0.36, 0.52]],
        ),
    }
}

/// Wheel arches are so much larger than the tyres.
const ARCH: f64 = 1.12;

/// Body outline and side window at ride height: distance behind the front axle and height, metres.
pub(super) fn silhouette(vehicle: &Vehicle) -> [Vec<[f64; 2]>; 2] {
    let Vehicle { class, wheelbase, outline, wheels, sill_height, .. } = vehicle;
    side(*class, wheelbase.value, outline, wheels.tyre_diameter, *sill_height)
}

/// The same of a vehicle of which no more is known.
#[must_use]
pub fn side(
    class: BodyClass,
    wheelbase: Length,
    outline: &Outline,
    tyre_diameter: Length,
    sill_height: Length,
) -> [Vec<[f64; 2]>; 2] {
    let front = -outline.front_overhang.to_metres();
    let axle = wheelbase.to_metres();
    let rear = axle + outline.rear_overhang.to_metres();
    let (roof, sill) = (outline.roof.to_metres(), sill_height.to_metres());
    let place = |&[along, up]: &[f64; 2]| [front + along * (rear - front), (up * roof).max(sill + 0.05)];
    let (upper, window) = shape(class);
    let upper = rounded(upper);
    // Rounding takes a little off the roof: what is drawn is as high as the vehicle.
    let top = upper.iter().map(|p| p[1]).fold(0.0, f64::max);
    let mut body: Vec<[f64; 2]> = upper.iter().map(|&[along, up]| place(&[along, up / top])).collect();
    let radius = tyre_diameter.to_metres() / 2.0;
    body.push([rear - 0.1, sill + 0.03]);
    body.extend(arch(axle, radius, sill));
    body.extend(arch(0.0, radius, sill));
    body.push([front + 0.12, sill + 0.03]);
    [body, rounded(window).iter().map(place).collect()]
}

/// Over a wheel from its rear to its front, as far as it is above the sill.
fn arch(aft: f64, radius: f64, sill: f64) -> Vec<[f64; 2]> {
    let wide = radius * ARCH;
    let low = ((sill - radius) / wide).clamp(-1.0, 1.0).asin();
    let turn = core::f64::consts::PI - 2.0 * low;
    (0..=24)
        .map(|step| {
            let (sin, cos) = (low + turn * f64::from(step) / 24.0).sin_cos();
            [aft + wide * cos, radius + wide * sin]
        })
        .collect()
}

/// Corners rounded over a little of their sides, the ends kept.
fn rounded(line: Line) -> Vec<[f64; 2]> {
    const MOST: f64 = 0.045;
    let mut round: Vec<[f64; 2]> = line.first().copied().into_iter().collect();
    for corner in line.windows(3) {
        let [before, at, after] = [corner[0], corner[1], corner[2]];
        let towards = |end| between(at, end, (MOST / apart(at, end).max(MOST)).min(0.45));
        let (from, to) = (towards(before), towards(after));
        round.extend(
            [0.0, 0.25, 0.5, 0.75, 1.0].map(|t| between(between(from, at, t), between(at, to, t), t)),
        );
    }
    round.extend(line.last().copied());
    round
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;

    #[test]
    fn a_vehicle_is_drawn_as_long_and_as_high_as_it_is() {
        for made in fixtures::all() {
            let outline = &made.vehicle.outline;
            let [body, _] = silhouette(&made.vehicle);
            let ends = |k: usize| {
                let of = || body.iter().map(move |p| p[k]);
                [of().fold(f64::INFINITY, f64::min), of().fold(f64::NEG_INFINITY, f64::max)]
            };
            let tail = (made.vehicle.wheelbase.value + outline.rear_overhang).to_metres();
            let ([from, to], [_, top]) = (ends(0), ends(1));
            assert!((from + outline.front_overhang.to_metres()).abs() < 1e-9, "{from}");
            assert!((to - tail).abs() < 1e-9, "{to}");
            assert!((top - outline.roof.to_metres()).abs() < 1e-9, "{top}");
        }
    }
}
