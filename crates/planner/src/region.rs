//! Simple polygons in the vehicle's plan: lifting areas and keep-outs.

use statics::Place;

use crate::frames::Vehicle as Frame;

/// A simple polygon with a positive area; corners in order, either way round.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    corners: Vec<Place<Frame>>,
    /// 1 when the corners run anticlockwise in (first, second) axes, else -1.
    sense: f64,
    /// Of each side: normal of length one, inward, and its part of the depth: n . p + offset.
    depths: Vec<([f64; 2], f64)>,
}

/// Why a list of corners is not a region.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RegionFault {
    /// Fewer than three corners.
    TooFew(usize),
    /// A coordinate is not a finite number.
    NotFinite(usize),
    /// Two corners at one place.
    Repeated(usize, usize),
    /// Two sides cross or touch (each named by its first corner).
    Crossed(usize, usize),
    /// All corners on one line.
    NoArea,
}

impl Region {
    /// Checks that the corners make a simple polygon.
    ///
    /// # Errors
    /// Every fault found, in the order of the corners.
    pub fn new(corners: Vec<Place<Frame>>) -> Result<Self, Vec<RegionFault>> {
        let mut faults = Vec::new();
        let n = corners.len();
        if n < 3 {
            return Err(vec![RegionFault::TooFew(n)]);
        }
        let at: Vec<[f64; 2]> = corners.iter().map(|c| c.to_metres()).collect();
        faults.extend((0..n).filter(|&i| !at[i].iter().all(|v| v.is_finite())).map(RegionFault::NotFinite));
        if !faults.is_empty() {
            return Err(faults);
        }
        for i in 0..n {
            faults.extend(
                (i + 1..n).filter(|&j| gap(at[i], at[j]) < 1e-9).map(|j| RegionFault::Repeated(i, j)),
            );
        }
        if faults.is_empty() {
            for i in 0..n {
                for j in i + 2..n {
                    let neighbours = i == 0 && j == n - 1;
                    if !neighbours && sides_meet([at[i], at[i + 1]], [at[j], at[(j + 1) % n]]) {
                        faults.push(RegionFault::Crossed(i, j));
                    }
                }
            }
        }
        if faults.is_empty() && twice_area(&at).abs() < 1e-8 {
            faults.push(RegionFault::NoArea);
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let sense = twice_area(&at).signum();
        let depth = |i: usize| {
            let (a, b) = (at[i], at[(i + 1) % n]);
            let part = sense / gap(a, b);
            let normal = [-(b[1] - a[1]) * part, (b[0] - a[0]) * part];
            (normal, -normal[0] * a[0] - normal[1] * a[1])
        };
        Ok(Self { sense, depths: (0..n).map(depth).collect(), corners })
    }

    /// A strip of some width along a straight line, square at both ends.
    ///
    /// # Errors
    /// As [`Region::new`], for ends that coincide or a width that is not positive.
    pub fn strip(
        from: Place<Frame>,
        to: Place<Frame>,
        width: statics::Length,
    ) -> Result<Self, Vec<RegionFault>> {
        let (a, b, w) = (from.to_metres(), to.to_metres(), width.to_metres());
        let long = gap(a, b);
        let (ux, uy) = ((b[0] - a[0]) / long, (b[1] - a[1]) / long);
        let (nx, ny) = (-uy * w / 2.0, ux * w / 2.0);
        Self::new(
            [[a[0] + nx, a[1] + ny], [a[0] - nx, a[1] - ny], [b[0] - nx, b[1] - ny], [b[0] + nx, b[1] + ny]]
                .map(Place::metres)
                .to_vec(),
        )
    }

    /// The corners, in the given order.
    #[must_use]
    pub fn corners(&self) -> &[Place<Frame>] {
        &self.corners
    }

    /// The sides, each from a corner to the next.
    pub fn sides(&self) -> impl Iterator<Item = [[f64; 2]; 2]> {
        let n = self.corners.len();
        (0..n).map(move |i| [self.corners[i].to_metres(), self.corners[(i + 1) % n].to_metres()])
    }

    /// Whether a place is inside.
    #[must_use]
    pub fn holds(&self, place: [f64; 2]) -> bool {
        let mut inside = false;
        for [a, b] in self.sides() {
            if (a[1] > place[1]) != (b[1] > place[1]) {
                let x = a[0] + (place[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                if place[0] < x {
                    inside = !inside;
                }
            }
        }
        inside
    }

    /// Whether every line between two of its places stays inside.
    #[must_use]
    pub fn is_convex(&self) -> bool {
        let at: Vec<[f64; 2]> = self.corners.iter().map(|c| c.to_metres()).collect();
        let n = at.len();
        (0..n).all(|i| statics::hull::turn(at[i], at[(i + 1) % n], at[(i + 2) % n]) * self.sense >= -1e-12)
    }

    /// Distance of a straight line from the boundary; none where they meet.
    pub(crate) fn apart_from(&self, line: [[f64; 2]; 2]) -> Option<f64> {
        let turn = |p: [f64; 2]| statics::hull::turn(line[0], line[1], p);
        let mut square = f64::INFINITY;
        for side in self.sides() {
            // Only a side with its corners on both sides of the line can meet it.
            if turn(side[0]) * turn(side[1]) <= 0.0 && sides_meet(line, side) {
                return None;
            }
            square = square.min(square_to_side(side[0], line));
            square = square.min(square_to_side(line[0], side)).min(square_to_side(line[1], side));
        }
        (square > 0.0).then(|| square.sqrt())
    }

    /// For a convex region: signed distances from the lines of its sides, positive inside.
    pub(crate) fn depths_to_sides(&self, place: [f64; 2]) -> impl Iterator<Item = f64> {
        self.depths.iter().map(move |(n, offset)| n[0] * place[0] + n[1] * place[1] + offset)
    }

    /// Whether it is the other mirrored in the vehicle's centre plane, corner by corner in any order.
    pub(crate) fn mirrors(&self, other: &Self) -> bool {
        self.corners.len() == other.corners.len()
            && self.corners.iter().all(|c| {
                let [aft, left] = c.to_metres();
                other.corners.iter().any(|o| gap(o.to_metres(), [aft, -left]) < 1e-9)
            })
    }

    /// Distance from a place to the boundary, metres; positive inside, negative outside.
    #[must_use]
    pub fn depth(&self, place: [f64; 2]) -> f64 {
        let d = self.sides().map(|s| square_to_side(place, s)).fold(f64::INFINITY, f64::min).sqrt();
        if self.holds(place) { d } else { -d }
    }
}

fn gap(a: [f64; 2], b: [f64; 2]) -> f64 {
    statics::hull::norm([a[0] - b[0], a[1] - b[1]])
}

fn twice_area(at: &[[f64; 2]]) -> f64 {
    let n = at.len();
    (0..n).map(|i| at[i][0] * at[(i + 1) % n][1] - at[(i + 1) % n][0] * at[i][1]).sum()
}

/// Distance from a place to a straight side, metres.
#[must_use]
pub fn place_to_side(p: [f64; 2], side: [[f64; 2]; 2]) -> f64 {
    square_to_side(p, side).sqrt()
}

/// Square of [`place_to_side`].
fn square_to_side(p: [f64; 2], [a, b]: [[f64; 2]; 2]) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let long = dx * dx + dy * dy;
    let t = if long > 0.0 { (((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / long).clamp(0.0, 1.0) } else { 0.0 };
    let (ex, ey) = (p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
    ex * ex + ey * ey
}

/// Distance between two straight sides, metres; 0 where they cross.
#[must_use]
pub fn side_to_side(s: [[f64; 2]; 2], t: [[f64; 2]; 2]) -> f64 {
    if sides_meet(s, t) {
        return 0.0;
    }
    let ends =
        [square_to_side(s[0], t), square_to_side(s[1], t), square_to_side(t[0], s), square_to_side(t[1], s)];
    ends.into_iter().fold(f64::INFINITY, f64::min).sqrt()
}

fn sides_meet([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    let turn =
        |p: [f64; 2], q: [f64; 2], r: [f64; 2]| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    let within = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
        r[0] >= p[0].min(q[0]) && r[0] <= p[0].max(q[0]) && r[1] >= p[1].min(q[1]) && r[1] <= p[1].max(q[1])
    };
    let (t1, t2, t3, t4) = (turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b));
    if t1 * t2 < 0.0 && t3 * t4 < 0.0 {
        return true;
    }
    (t1 == 0.0 && within(a, b, c))
        || (t2 == 0.0 && within(a, b, d))
        || (t3 == 0.0 && within(c, d, a))
        || (t4 == 0.0 && within(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn region(corners: &[[f64; 2]]) -> Result<Region, Vec<RegionFault>> {
        Region::new(corners.iter().copied().map(Place::metres).collect())
    }

    #[test]
    fn faults_are_named() {
        assert_eq!(region(&[[0.0, 0.0], [1.0, 0.0]]), Err(vec![RegionFault::TooFew(2)]));
        assert_eq!(
            region(&[[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]]),
            Err(vec![RegionFault::Crossed(0, 2)])
        );
        assert_eq!(region(&[[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]]), Err(vec![RegionFault::NoArea]));
        assert_eq!(region(&[[0.0, 0.0], [1.0, 0.0], [f64::NAN, 0.0]]), Err(vec![RegionFault::NotFinite(2)]));
        assert_eq!(
            region(&[[0.0, 0.0], [1.0, 0.0], [1.0, 0.0], [0.0, 1.0]]),
            Err(vec![RegionFault::Repeated(1, 2)])
        );
    }

    #[test]
    fn depth_is_signed() {
        let square = region(&[[0.0, 0.0], [0.0, 2.0], [2.0, 2.0], [2.0, 0.0]]).unwrap();
        assert!((square.depth([0.5, 1.0]) - 0.5).abs() < 1e-12);
        assert!((square.depth([-0.25, 1.0]) + 0.25).abs() < 1e-12);
    }
}
