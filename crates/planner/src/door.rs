//! How far a door opens beside a column.

use crate::vehicle::Door;

/// A door that misses a column by a millimetre counts as opening one degree more than where it
/// would have touched, two by two, and so on: a near miss is not a wide opening (project default).
pub const NEAR_MISS: f64 = 17.453_292_519_943_295;

/// What ends a door's opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DoorStop {
    /// Its own stop.
    Own,
    /// The column's corner of that index, on its face or just beyond its free edge.
    Corner(usize),
    /// Its free edge on the column's face from that corner to the next: a + t (b - a), t with this sign
    /// before the root.
    Face {
        /// Corner at which the face begins.
        from: usize,
        /// Sign before the root.
        root: f64,
    },
}

/// Opening, radians, at which the door first touches the column, at most `door.opens`.
///
/// The door turns about its hinge from the vehicle's side outward; it first touches with its face
/// at a column corner within its length, or with its free edge on a column face.
pub(crate) fn opening(door: &Door, column: &[[f64; 2]; 4]) -> f64 {
    let mut first = door.opens.to_radians();
    // Of the places that it touches, all outward of the hinge, the one that a smaller turn reaches.
    let mut touched: Option<[f64; 2]> = None;
    meetings(door, column, |at, missed, _| {
        if missed > 0.0 {
            first = first.min(turn_to(at) + missed);
        } else if touched.is_none_or(|t| at[1] * t[0] < t[1] * at[0]) {
            touched = Some(at);
        }
    });
    touched.map_or(first, |at| first.min(turn_to(at)))
}

/// What ends the opening of [`opening`].
pub(crate) fn stopped_by(door: &Door, column: &[[f64; 2]; 4]) -> DoorStop {
    let mut first = (door.opens.to_radians(), DoorStop::Own);
    meetings(door, column, |at, missed, stop| {
        let angle = turn_to(at) + missed;
        if angle < first.0 {
            first = (angle, stop);
        }
    });
    first.1
}

fn turn_to(at: [f64; 2]) -> f64 {
    at[1].atan2(at[0])
}

/// Every place, along the door and outward from its hinge, at which the door meets the column, with how much more its
/// opening counts for a near miss.
fn meetings(door: &Door, column: &[[f64; 2]; 4], mut offer: impl FnMut([f64; 2], f64, DoorStop)) {
    let hinge = door.hinge.to_metres();
    let length = door.length.to_metres();
    let out = hinge[1].signum();
    // Local axes: along the closed door, and outward.
    let local = column.map(|c| [c[0] - hinge[0], (c[1] - hinge[1]) * out]);
    // What is missed by so much ends no opening.
    let reach = length + door.opens.to_radians() / NEAR_MISS;
    let clear = |axis: usize| {
        let (lo, hi) = local
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p[axis]), h.max(p[axis])));
        lo.max(-hi) > reach
    };
    if clear(0) || clear(1) {
        return;
    }
    let mut meets = |p: [f64; 2], stop: DoorStop| {
        let missed = NEAR_MISS * (statics::hull::norm(p) - length).max(0.0);
        if missed >= door.opens.to_radians() {
            return;
        }
        if p[1] >= 0.0 {
            offer(p, missed, stop);
        }
    };
    for k in 0..4 {
        let (a, b) = (local[k], local[(k + 1) % 4]);
        meets(a, DoorStop::Corner(k));
        // Where the circle of the free edge crosses this face.
        let d = [b[0] - a[0], b[1] - a[1]];
        let (qa, qb) = (d[0] * d[0] + d[1] * d[1], a[0] * d[0] + a[1] * d[1]);
        let square = qb * qb - qa * (a[0] * a[0] + a[1] * a[1] - length * length);
        if square >= 0.0 && qa > 0.0 {
            for root in [-1.0, 1.0] {
                let t = (-qb + root * square.sqrt()) / qa;
                if (0.0..=1.0).contains(&t) {
                    meets([a[0] + t * d[0], a[1] + t * d[1]], DoorStop::Face { from: k, root });
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use statics::{Angle, Length, Place};

    #[test]
    fn free_edge_on_the_face_and_face_on_the_corner() {
        let door = Door {
            name: "driver".into(),
            hinge: Place::metres([0.3, 0.8]),
            length: Length::metres(1.0),
            opens: Angle::degrees(70.0),
        };
        // Face 0.5 m outward, everywhere: sine of the opening is a half.
        let wide = [[-5.0, 1.3], [5.0, 1.3], [5.0, 1.6], [-5.0, 1.6]];
        assert!((opening(&door, &wide).to_degrees() - 30.0).abs() < 1e-9);
        // A corner at 45 degrees from the hinge, 0.5 m out.
        let corner = [[-5.0, 1.3], [0.8, 1.3], [0.8, 1.6], [-5.0, 1.6]];
        assert!((opening(&door, &corner).to_degrees() - 45.0).abs() < 1e-9);
        // Nothing in reach.
        let far = [[5.0, 1.3], [6.0, 1.3], [6.0, 1.6], [5.0, 1.6]];
        assert!((opening(&door, &far).to_degrees() - 70.0).abs() < 1e-9);
    }
}
