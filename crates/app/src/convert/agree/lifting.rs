//! Lifting areas that are legal but odd: the pads go where they say, so each of them is a condition of the plan too.

use super::places::Lifting;
use super::{Figure, metres};
use crate::convert::expect;
use crate::input::Problems;
use crate::wire::region::{End, Side};

/// What an area measures along the vehicle at the most, metres.
const ALONG: f64 = 1.20;
/// The same across it.
const ACROSS: f64 = 0.30;
/// How far a strip turns from the vehicle's own direction at the most, degrees.
const SLANT: f64 = 10.0;
/// How far from the centre plane an area begins and ends, metres.
const FROM_CENTRE: (f64, f64) = expect::POINT_LEFT.plausible;
/// How far the areas of the two sides differ at the most, metres.
const SIDES_APART: f64 = 0.10;

const UNITS: &str = "check the figures and the unit of each";

/// Questions what is odd; adds the names of those areas to `questioned`.
pub(super) fn question(
    areas: &[Lifting<'_>],
    wheelbase: Option<&Figure<'_>>,
    questioned: &mut Vec<String>,
    problems: &mut Problems,
) {
    let mut odd = |area: &Lifting<'_>, is: String, usual: String| {
        let name = &area.file.name.value;
        let help = format!("usual is {usual} ({}): {UNITS}; leave it if it is right", expect::PRACTICE);
        problems.warn(
            area.area.span.clone(),
            format!("the lifting area {name:?} {is}, which is legal but odd"),
            help,
        );
        if !questioned.contains(name) {
            questioned.push(name.clone());
        }
    };
    for area in areas {
        size(area, &mut odd);
        if let Some(base) = wheelbase {
            beyond_the_middle(area, base.si, &mut odd);
        }
    }
    let of = |end: End| areas.iter().filter(move |a| a.file.end == end);
    for front in of(End::Front) {
        for rear in of(End::Rear).filter(|rear| same_side(front.file.side, rear.file.side)) {
            let ([_, ends], [begins, _]) = (front.span_of(0), rear.span_of(0));
            // One behind the other is an error already.
            if ends >= begins && front.area.middle() < rear.area.middle() {
                let is = format!(
                    "ends {} behind the front axle, and the rear one {:?} begins at {}",
                    metres(ends),
                    rear.file.name.value,
                    metres(begins)
                );
                odd(front, is, "that the rear areas lie wholly behind the front ones".into());
            }
        }
    }
    for end in [End::Front, End::Rear] {
        sides_differ(&of(end).collect::<Vec<_>>(), &mut odd);
    }
}

fn size(area: &Lifting<'_>, odd: &mut impl FnMut(&Lifting<'_>, String, String)) {
    let extent = |axis| {
        let [least, most] = area.span_of(axis);
        most - least
    };
    if extent(0) > ALONG {
        odd(area, format!("is {} long", metres(extent(0))), format!("{} at most", metres(ALONG)));
    }
    if let Some(slant) = area.slant().filter(|slant| *slant > SLANT) {
        odd(
            area,
            format!("runs {slant:.0} deg across the vehicle's own direction"),
            format!("{SLANT} deg at most"),
        );
    } else if extent(1) > ACROSS {
        odd(
            area,
            format!("is {} wide across the vehicle", metres(extent(1))),
            format!("{} at most", metres(ACROSS)),
        );
    }
    let (least, most) = FROM_CENTRE;
    let [inner, outer] = area.off_centre();
    if inner < least || outer > most {
        odd(
            area,
            format!("lies {} to {} from the centre plane", metres(inner), metres(outer)),
            format!("{} to {}", metres(least), metres(most)),
        );
    }
}

fn beyond_the_middle(area: &Lifting<'_>, base: f64, odd: &mut impl FnMut(&Lifting<'_>, String, String)) {
    let [begins, ends] = area.span_of(0);
    let (end, half, beyond) = match area.file.end {
        End::Front => ("front", "front half", ends > base / 2.0),
        End::Rear => ("rear", "rear half", begins < base / 2.0),
    };
    if beyond {
        odd(
            area,
            format!(
                "is a {end} one and reaches from {} to {} behind the front axle",
                metres(begins),
                metres(ends)
            ),
            format!("in the {half} of the wheelbase, whose middle is at {}", metres(base / 2.0)),
        );
    }
}

/// Areas given side by side of which one has none like it on the other side.
fn sides_differ(areas: &[&Lifting<'_>], odd: &mut impl FnMut(&Lifting<'_>, String, String)) {
    let place =
        |area: &Lifting<'_>| [area.area.middle(), f64::midpoint(area.off_centre()[0], area.off_centre()[1])];
    let apart = |a: &Lifting<'_>, b: &Lifting<'_>| {
        let ([a, l], [b, m]) = (place(a), place(b));
        (a - b).hypot(l - m)
    };
    for area in areas.iter().filter(|a| a.file.side != Side::Both) {
        let others = areas.iter().filter(|other| other.file.side != area.file.side);
        let nearest = others.map(|other| apart(area, other)).fold(f64::INFINITY, f64::min);
        if nearest.is_finite() && nearest > SIDES_APART {
            odd(
                area,
                format!(
                    "lies {} from where the nearest of the other side would be, mirrored",
                    metres(nearest)
                ),
                format!("{} at most", metres(SIDES_APART)),
            );
        }
    }
}

/// Whether both serve the same side of the vehicle.
pub(super) fn same_side(a: Side, b: Side) -> bool {
    a == b || a == Side::Both || b == Side::Both
}
