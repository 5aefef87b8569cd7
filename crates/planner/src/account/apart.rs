//! Where two things come nearest, in metres of the vehicle's plan.

use statics::hull::{left_of, norm};

use super::Accounts;
use crate::beam::Rectangle;
use crate::lift::Corner;
use crate::region::{Region, place_to_side};

/// Between which points a distance is measured, and which way it counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Apart {
    /// A pivot, a pad, a corner, or a place on a side of a tyre.
    pub from: [f64; 2],
    /// Another such, or the foot of `from` on `line`.
    pub to: [f64; 2],
    /// The line on which `to` is the foot of the perpendicular from `from`, if it is one.
    pub line: Option<[[f64; 2]; 2]>,
    /// 1 where the distance counts as it is, -1 where things overlap (or, of a pad and its area, are apart).
    pub sign: f64,
}

/// How an arm comes near a keep-out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeepOutApart {
    /// The points.
    pub apart: Apart,
    /// Where the arm runs into it: `from` is this many eighths of the way from pivot to pad.
    pub eighths: Option<u8>,
}

impl Accounts<'_> {
    /// From a pad's centre to the side of its lifting area that holds it; -1 = it is outside.
    #[must_use]
    pub fn pad_in_area(&self, corner: Corner) -> Apart {
        let pad = &self.pads[corner.index()];
        let region = &self.situation.vehicle.lift_areas[pad.area].region;
        if !self.situation.convex[pad.area] {
            let apart = to_sides(pad.at, region);
            return Apart { sign: if region.holds(pad.at) { 1.0 } else { -1.0 }, ..apart };
        }
        let nearest = region.sides().zip(region.depths_to_sides(pad.at)).min_by(|a, b| a.1.total_cmp(&b.1));
        nearest.map_or_else(
            || Apart::none(pad.at),
            |(side, depth)| Apart { sign: if depth < 0.0 { -1.0 } else { 1.0 }, ..to_line(pad.at, side) },
        )
    }

    /// From a pad's centre to the rim of a keep-out; -1 = it is inside.
    #[must_use]
    pub fn pad_to_keep_out(&self, corner: Corner, keep_out: usize) -> Option<Apart> {
        let (at, region) =
            (self.pads[corner.index()].at, &self.situation.vehicle.keep_outs.get(keep_out)?.region);
        Some(Apart { sign: if region.holds(at) { -1.0 } else { 1.0 }, ..to_sides(at, region) })
    }

    /// From an arm's centre line to a tyre.
    #[must_use]
    pub fn arm_to_tyre(&self, corner: Corner, wheel: Corner) -> Apart {
        line_to_rectangle(self.line(corner), &self.situation.tyres[wheel.index()])
    }

    /// From an arm's centre line to a keep-out.
    #[must_use]
    pub fn arm_to_keep_out(&self, corner: Corner, keep_out: usize) -> Option<KeepOutApart> {
        let region = &self.situation.vehicle.keep_outs.get(keep_out)?.region;
        let line = self.line(corner);
        let apart = region.sides().map(|s| between(line, s)).reduce(nearer)?;
        let crosses = region.sides().any(|s| crate::region::side_to_side(line, s) <= 0.0);
        if !crosses && !region.holds(line[1]) {
            return Some(KeepOutApart { apart, eighths: None });
        }
        let at = |k: u8| [0, 1].map(|i| line[0][i] + f64::from(k) / 8.0 * (line[1][i] - line[0][i]));
        let deepest = (0..=8u8).rev().max_by(|a, b| region.depth(at(*a)).total_cmp(&region.depth(at(*b))))?;
        let apart = if region.depth(at(deepest)) > 0.0 {
            Apart { sign: -1.0, ..to_sides(at(deepest), region) }
        } else {
            Apart::none(at(deepest))
        };
        Some(KeepOutApart { apart, eighths: Some(deepest) })
    }

    /// Between the centre lines of the two arms of one side.
    #[must_use]
    pub fn arm_to_arm(&self, front: Corner, rear: Corner) -> Apart {
        let (a, b) = (self.line(front), self.line(rear));
        if crate::region::side_to_side(a, b) > 0.0 {
            return between(a, b);
        }
        Apart { sign: -1.0, ..nearer(to_side(a[1], b), to_side(b[1], a)) }
    }

    /// An arm's centre line, from pivot to pad.
    #[must_use]
    pub fn line(&self, corner: Corner) -> [[f64; 2]; 2] {
        let pivot = self.situation.arm(corner.index(), &self.stand).pivot;
        [self.stand.to_vehicle(pivot).to_metres(), self.pads[corner.index()].at]
    }

    /// A tyre in plan: least and greatest along, then across.
    #[must_use]
    pub fn tyre(&self, wheel: Corner) -> [[f64; 2]; 2] {
        let Rectangle { least, greatest } = self.situation.tyres[wheel.index()];
        [0, 1].map(|k| [least[k], greatest[k]])
    }
}

impl Apart {
    const fn none(at: [f64; 2]) -> Self {
        Self { from: at, to: at, line: None, sign: 1.0 }
    }

    const fn points(from: [f64; 2], to: [f64; 2]) -> Self {
        Self { from, to, line: None, sign: 1.0 }
    }

    fn long(&self) -> f64 {
        norm([self.from[0] - self.to[0], self.from[1] - self.to[1]])
    }
}

/// The first of equals.
fn nearer(a: Apart, b: Apart) -> Apart {
    if b.long() < a.long() { b } else { a }
}

fn to_sides(p: [f64; 2], region: &Region) -> Apart {
    region.sides().map(|s| to_side(p, s)).reduce(nearer).unwrap_or_else(|| Apart::none(p))
}

/// To the line through a side, however far beyond its ends.
fn to_line(p: [f64; 2], line: [[f64; 2]; 2]) -> Apart {
    let d = [line[1][0] - line[0][0], line[1][1] - line[0][1]];
    let t = ((p[0] - line[0][0]) * d[0] + (p[1] - line[0][1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]);
    let to = [line[0][0] + t * d[0], line[0][1] + t * d[1]];
    Apart { from: p, to, line: Some(line), sign: 1.0 }
}

/// To a side: its end, where the foot is beyond it.
fn to_side(p: [f64; 2], side: [[f64; 2]; 2]) -> Apart {
    let ends = nearer(Apart::points(p, side[0]), Apart::points(p, side[1]));
    let within = place_to_side(p, side) < ends.long() * (1.0 - 1e-12);
    if within { to_line(p, side) } else { ends }
}

fn between(s: [[f64; 2]; 2], t: [[f64; 2]; 2]) -> Apart {
    [to_side(s[0], t), to_side(s[1], t), to_side(t[0], s)].into_iter().fold(to_side(t[1], s), nearer)
}

/// The points of `beam::line_to_rectangle`.
fn line_to_rectangle(line: [[f64; 2]; 2], r: &Rectangle) -> Apart {
    let corners = [r.least, [r.greatest[0], r.least[1]], r.greatest, [r.least[0], r.greatest[1]]];
    let side = corners.map(|c| left_of(line[0], line[1], c));
    // Least shifts that part them: along an axis, or across the line.
    let mut parted: Vec<(f64, Apart)> = Vec::new();
    for axis in 0..2 {
        let [low, high] = if line[0][axis] < line[1][axis] { line } else { [line[1], line[0]] };
        let across = |from: [f64; 2], edge: f64| {
            let mut to = from;
            to[axis] = edge;
            Apart { sign: -1.0, ..Apart::points(from, to) }
        };
        parted.push((r.least[axis] - high[axis], across(high, r.least[axis])));
        parted.push((low[axis] - r.greatest[axis], across(low, r.greatest[axis])));
    }
    if norm([line[1][0] - line[0][0], line[1][1] - line[0][1]]) > 0.0 {
        for sense in [1.0, -1.0] {
            let nearest = (0..4).min_by(|a, b| (sense * side[*a]).total_cmp(&(sense * side[*b])));
            parted.extend(
                nearest.map(|k| (sense * side[k], Apart { sign: -1.0, ..to_line(corners[k], line) })),
            );
        }
    }
    let most = parted.into_iter().reduce(|a, b| if b.0 > a.0 { b } else { a });
    if let Some((_, apart)) = most.filter(|m| m.0 <= 0.0) {
        return apart;
    }
    let to_corners = corners.map(|c| to_side(c, line)).into_iter();
    let of_ends = line.map(|end| {
        let to = [0, 1].map(|k: usize| end[k].clamp(r.least[k], r.greatest[k]));
        Apart::points(end, to)
    });
    to_corners.chain(of_ends).reduce(nearer).unwrap_or_else(|| Apart::none(line[0]))
}
