//! Lifting areas that are legal but odd: the pads go where they say, so each of them is a condition of the plan too.

use std::ops::Range;

use super::places::{Lifting, Reach};
use super::{Figure, TAPE, metres};
use crate::convert::{self, expect};
use crate::input::Problems;
use crate::wire::region::{End, Side};
use crate::wire::vehicle as wire;

/// What an area measures along the vehicle at the most, metres.
const ALONG: f64 = 1.20;
/// The same across it.
const ACROSS: f64 = 0.30;
/// How far a strip turns from the vehicle's own direction at the most, degrees.
const SLANT: f64 = 10.0;
/// How far the areas of the two sides differ at the most, metres.
const SIDES_APART: f64 = 0.10;

/// How far a front area lies nearer to the centre plane than a rear one, or farther from it, at the most, metres.
const ENDS_APART: f64 = 0.30;

const UNITS: &str = "check the figures and the unit of each";

/// In which way something lies oddly, and what is usual.
pub(in crate::convert) struct Odd {
    pub(in crate::convert) is: String,
    pub(in crate::convert) usual: String,
}

/// Questions what is odd; adds the names of those areas to `questioned`.
pub(super) fn question(
    file: &wire::Vehicle,
    areas: &[Lifting<'_>],
    wheelbase: Option<&Figure<'_>>,
    questioned: &mut Vec<String>,
    problems: &mut Problems,
) {
    let body = planner::priors::body(convert::vehicle::class(file.class));
    let mut odd = |area: &wire::LiftArea, span: &Range<usize>, Odd { is, usual }: Odd| {
        let name = &area.name.value;
        let help = format!("usual is {usual} ({}): {UNITS}; leave it if it is right", expect::PRACTICE);
        problems.warn(span.clone(), format!("the lifting area {name:?} {is}, which is legal but odd"), help);
        if !questioned.contains(name) {
            questioned.push(name.clone());
        }
    };
    for area in areas {
        size(area, &mut |is, usual| odd(area.file, &area.area.span, Odd { is, usual }));
    }
    // Each figure of a point is looked at by itself: the other may still be to come.
    let reaches: Vec<_> = file.lift_areas.value.iter().map(|item| (&item.value, Reach::of(item))).collect();
    let most = expect::POINT_LEFT.plausible.1.min(body.width.greatest.to_metres() / 2.0);
    let tyre = Figure::if_given("tyre_diameter", file.wheels.tyre_diameter.as_ref(), &expect::TYRE_DIAMETER);
    let tyre = tyre.map_or(body.tyre_diameter.least.to_metres(), |tyre| tyre.si);
    // Of a wheelbase that cannot be, or leaves no room between the tyres, nothing follows.
    let wheelbase = wheelbase.filter(|base| expect::WHEELBASE.may_be(base.si) && base.si > 2.0 * tyre);
    for (area, reach) in &reaches {
        if let (Some((along, span)), Some(base)) = (&reach.along, wheelbase) {
            let is_front = area.end == End::Front;
            for found in odd_along(is_front, *along, (base.si, tyre), metres) {
                odd(area, span, found);
            }
        }
        if let Some((off, span)) = &reach.off_centre {
            odd_across(*off, most).into_iter().for_each(|found| odd(area, span, found));
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
                let usual = "that the rear areas lie wholly behind the front ones".into();
                odd(front.file, &front.area.span, Odd { is, usual });
            }
        }
    }
    for (front, ahead) in reaches.iter().filter(|(area, _)| area.end == End::Front) {
        for (rear, behind) in reaches.iter().filter(|(area, _)| area.end == End::Rear) {
            if let (Some((ahead, _)), Some((off, span))) = (&ahead.off_centre, &behind.off_centre)
                && same_side(front.side, rear.side)
            {
                let found = odd_ends(&front.name.value, *ahead, *off, metres);
                found.into_iter().for_each(|found| odd(rear, span, found));
            }
        }
    }
    for end in [End::Front, End::Rear] {
        sides_differ(&of(end).collect::<Vec<_>>(), &mut |area, is, usual| {
            odd(area.file, &area.area.span, Odd { is, usual });
        });
    }
}

fn size(area: &Lifting<'_>, odd: &mut impl FnMut(String, String)) {
    let extent = |axis| {
        let [least, most] = area.span_of(axis);
        most - least
    };
    if extent(0) > ALONG {
        odd(format!("is {} long", metres(extent(0))), format!("{} at most", metres(ALONG)));
    }
    if let Some(slant) = area.slant().filter(|slant| *slant > SLANT) {
        odd(
            format!("runs {slant:.0} deg across the vehicle's own direction"),
            format!("{SLANT} deg at most"),
        );
    } else if extent(1) > ACROSS {
        odd(
            format!("is {} wide across the vehicle", metres(extent(1))),
            format!("{} at most", metres(ACROSS)),
        );
    }
}

/// Of where an area of an end begins and ends behind the front axle: clear of the tyres, in its own half of the wheelbase.
pub(in crate::convert) fn odd_along(
    is_front: bool,
    [begins, ends]: [f64; 2],
    (base, tyre): (f64, f64),
    shown: impl Fn(f64) -> String,
) -> Vec<Odd> {
    let behind = |at: f64| {
        if at < 0.0 { format!("{} ahead of", shown(-at)) } else { format!("{} behind", shown(at)) }
    };
    let (end, half) = if is_front { ("front", "front half") } else { ("rear", "rear half") };
    let is = if ends - begins < TAPE {
        format!("is a {end} one and lies {} the front axle", behind(begins))
    } else {
        let from = if begins < 0.0 { behind(begins) } else { shown(begins) };
        format!("is a {end} one and reaches from {from} to {} the front axle", behind(ends))
    };
    let (first, last) = (tyre / 2.0, base - tyre / 2.0);
    let mut found = vec![];
    if begins < first - TAPE || ends > last + TAPE {
        let usual = format!("between the tyres, {} to {} behind the front axle", shown(first), shown(last));
        found.push(Odd { is: is.clone(), usual });
    }
    if if is_front { ends > base / 2.0 } else { begins < base / 2.0 } {
        let usual = format!("in the {half} of the wheelbase, whose middle is at {}", shown(base / 2.0));
        found.push(Odd { is, usual });
    }
    found
}

/// Of how far from the centre plane an area begins and ends.
fn odd_across([inner, outer]: [f64; 2], most: f64) -> Option<Odd> {
    let least = expect::POINT_LEFT.plausible.0;
    (inner < least || outer > most).then(|| Odd {
        is: format!("lies {} to {} from the centre plane", metres(inner), metres(outer)),
        usual: format!("{} to {}", metres(least), metres(most)),
    })
}

/// Of how far from the centre plane a front and a rear area begin and end.
pub(in crate::convert) fn odd_ends(
    front: &str,
    [ahead_inner, ahead_outer]: [f64; 2],
    [inner, outer]: [f64; 2],
    shown: impl Fn(f64) -> String,
) -> Option<Odd> {
    let (ahead, behind) = (f64::midpoint(ahead_inner, ahead_outer), f64::midpoint(inner, outer));
    ((ahead - behind).abs() > ENDS_APART).then(|| Odd {
        is: format!(
            "lies {} from the centre plane, and the front one {front:?} {}",
            shown(behind),
            shown(ahead)
        ),
        usual: format!("that they differ by {} at most", shown(ENDS_APART)),
    })
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
