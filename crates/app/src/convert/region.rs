//! Areas on the vehicle.

use std::ops::Range;

use planner::Region;
use planner::region::RegionFault;
use statics::{Length, Place};

use super::expect::{self, Expect, Sign};
use super::plain;
use crate::input::quantity::show;
use crate::input::{At, Problems};
use crate::wire::region::{self as wire, Side};

const WIDTH: Expect = Expect {
    what: "width (strip)",
    sign: Sign::Positive,
    plausible: (0.0, 1.0),
    possible: expect::ANY,
    source: "common practice, no source",
};

/// A place as [behind the front axle, left of centre].
pub(crate) fn place(place: &wire::Place, problems: &mut Problems) -> Option<[f64; 2]> {
    let aft = plain(&place[0], &expect::AFT, problems);
    let left = plain(&place[1], &expect::LEFT, problems);
    Some([aft?.to_metres(), left?.to_metres()])
}

/// The corners of an area given as corners or as a strip.
pub(crate) fn region(
    corners: Option<&At<Vec<wire::Place>>>,
    strip: Option<&At<wire::Strip>>,
    whole: &Range<usize>,
    problems: &mut Problems,
) -> Option<(Region, Range<usize>)> {
    let (span, built) = match (corners, strip) {
        (Some(corners), None) => {
            let places: Vec<Option<[f64; 2]>> = corners.value.iter().map(|c| place(c, problems)).collect();
            let places: Vec<[f64; 2]> = places.into_iter().collect::<Option<_>>()?;
            (corners.span.clone(), Region::new(places.into_iter().map(Place::metres).collect()))
        }
        (None, Some(strip)) => {
            let (from, to) = (place(&strip.value.from, problems), place(&strip.value.to, problems));
            let width = plain(&strip.value.width, &WIDTH, problems);
            (strip.span.clone(), Region::strip(Place::metres(from?), Place::metres(to?), width?))
        }
        (given, _) => {
            let how_many = if given.is_some() { "both are given" } else { "neither is given" };
            problems.error(
                whole.clone(),
                format!("the area is either `corners` or a `strip`, and {how_many}"),
                "write corners = [[\"0.50 m\", \"0.68 m\"], ...] in order, or strip = { from = [..], to = [..], width = \"80 mm\" }",
            );
            return None;
        }
    };
    match built {
        Ok(region) => Some((region, span)),
        Err(faults) => {
            for fault in faults {
                let (message, help) = words(fault, strip.is_some());
                problems.error(span.clone(), message, help);
            }
            None
        }
    }
}

/// The region on the right as the mirror image of one on the left.
pub(crate) fn mirrored(region: &Region) -> Option<Region> {
    let corners =
        region.corners().iter().map(|c| c.to_metres()).map(|[aft, left]| Place::metres([aft, -left]));
    Region::new(corners.collect()).ok()
}

/// Says so if the area is not on the side that it is said to be on.
pub(crate) fn on_side(region: &Region, side: Side, span: &Range<usize>, problems: &mut Problems) -> bool {
    let wrong = |left: f64| if side == Side::Right { left > 0.0 } else { left < 0.0 };
    let bad = region.corners().iter().map(|c| c.to_metres()[1]).find(|&left| wrong(left));
    if let Some(left) = bad {
        let (word, sign) = if side == Side::Right { ("right", "negative") } else { ("left", "positive") };
        problems.error(
            span.clone(),
            format!("a corner lies {}, and the area is on the {word}", off_centre(left)),
            format!("left of centre is {sign} on the {word}; side = \"both\" is given on the left"),
        );
    }
    bad.is_none()
}

/// "0.675 m right of centre".
pub(crate) fn off_centre(left: f64) -> String {
    let side = if left < 0.0 { "right" } else { "left" };
    format!("{} {side} of centre", show(Length::metres(left.abs())))
}

fn words(fault: RegionFault, is_strip: bool) -> (String, &'static str) {
    const IN_ORDER: &str = "go round the area in one direction and write each corner once";
    match fault {
        RegionFault::TooFew(n) => (format!("an area has at least 3 corners, not {n}"), IN_ORDER),
        RegionFault::NotFinite(i) if is_strip => {
            (format!("corner {} of the strip is nowhere", i + 1), "`from` and `to` must differ")
        }
        RegionFault::NotFinite(i) => (format!("corner {} is not a finite number", i + 1), "write a length"),
        RegionFault::Repeated(i, j) => {
            (format!("corners {} and {} are at one place", i + 1, j + 1), IN_ORDER)
        }
        RegionFault::Crossed(i, j) => {
            (format!("the side after corner {} crosses the side after corner {}", i + 1, j + 1), IN_ORDER)
        }
        RegionFault::NoArea => ("all corners lie on one line".into(), IN_ORDER),
    }
}
