//! Places on a vehicle that contradict its outline or each other.

use std::ops::Range;

use super::lifting::{question, same_side};
use super::outline::{Area, Outline};
use super::{Figure, TAPE, metres, si};
use crate::convert::expect;
use crate::convert::region::off_centre;
use crate::convert::unique;
use crate::input::{At, OrNone, Problems, Text};
use crate::wire::region::{End, Side};
use crate::wire::vehicle as wire;
use statics::{Angle, Length};

/// A door swings about an upright hinge from shut, flat along the body, to flat along the body the other way.
const OPENS_MOST: f64 = core::f64::consts::PI;

const PLACE_HELP: &str =
    "places are [behind the front axle, left of centre], right negative: measure it again, and the outline";

/// What is wrong or odd with them; names of lifting areas that are odd go to `questioned`.
pub(super) fn places(
    file: &wire::Vehicle,
    outline: &Outline<'_>,
    questioned: &mut Vec<String>,
    problems: &mut Problems,
) {
    let areas = lift_areas(file, outline, problems);
    ends_swapped(&areas, problems);
    question(file, &areas, outline.wheelbase.as_ref(), questioned, problems);
    for keep_out in OrNone::listed(file.keep_outs.as_ref()) {
        let k = &keep_out.value;
        let area = Area::of(k.corners.as_ref(), k.strip.as_ref(), &keep_out.span);
        if let Some(area) = area {
            wholly_outside(&area, &k.name.value, outline, problems);
        }
    }
    let doors = OrNone::listed(file.doors.as_ref());
    doors.iter().for_each(|d| door(&d.value, outline, problems));
    file.stand_places.iter().for_each(|p| stand_place(&p.value, outline, problems));
    file.parts.iter().for_each(|p| part(&p.value, outline, problems));
    let named = |name: &At<String>, side: Option<Side>| both_names(name, side);
    let doors: Vec<_> = doors.iter().flat_map(|d| named(&d.value.name, Some(d.value.side))).collect();
    let stands: Vec<_> = file.stand_places.iter().flat_map(|p| named(&p.value.name, p.value.side)).collect();
    for (names, what) in [(&doors, "doors"), (&stands, "places for a stand")] {
        unique(names.iter().map(|(name, span)| (name.as_str(), span.clone())), what, problems);
    }
}

/// The names that a thing given once or on both sides gets.
fn both_names(name: &At<String>, side: Option<Side>) -> Vec<(String, Range<usize>)> {
    let called = name.value.trim();
    let names = match side {
        Some(Side::Both) => vec![format!("{called} left"), format!("{called} right")],
        _ => vec![called.to_owned()],
    };
    names.into_iter().map(|n| (n, name.span.clone())).collect()
}

/// A lifting area as it was written.
pub(super) struct Lifting<'a> {
    pub(super) file: &'a wire::LiftArea,
    pub(super) area: Area,
}

impl Lifting<'_> {
    /// From where to where it reaches along an axis of the vehicle.
    pub(super) fn span_of(&self, axis: usize) -> [f64; 2] {
        let at = || self.area.corners.iter().map(|c| c[axis]);
        [at().fold(f64::INFINITY, f64::min), at().fold(f64::NEG_INFINITY, f64::max)]
    }

    /// From how near to how far from the centre plane it reaches.
    pub(super) fn off_centre(&self) -> [f64; 2] {
        let off = || self.area.corners.iter().map(|c| c[1].abs());
        [off().fold(f64::INFINITY, f64::min), off().fold(0.0, f64::max)]
    }

    /// Angle between a strip and the vehicle's own direction, degrees.
    pub(super) fn slant(&self) -> Option<f64> {
        let strip = &self.file.strip.as_ref()?.value;
        let run = |k: usize| Some((si(&strip.to[k])? - si(&strip.from[k])?).abs());
        Some(run(1)?.atan2(run(0)?).to_degrees())
    }
}

/// From where to where a lifting area reaches, as far as it can be read, and where that stands in the file.
pub(super) struct Reach {
    /// Behind the front axle.
    pub(super) along: Option<([f64; 2], Range<usize>)>,
    pub(super) off_centre: Option<([f64; 2], Range<usize>)>,
}

impl Reach {
    pub(super) fn of(item: &At<wire::LiftArea>) -> Self {
        if let Some(at) = &item.value.at {
            let [aft, left] = at.value.each_ref();
            return Self {
                along: si(aft).map(|aft| ([aft; 2], at.value[0].span.clone())),
                off_centre: si(left).map(|left| ([left.abs(); 2], at.value[1].span.clone())),
            };
        }
        let lifting = Area::of_lifting(item).map(|area| Lifting { file: &item.value, area });
        let of = |reach: fn(&Lifting<'_>) -> [f64; 2]| {
            lifting.as_ref().map(|lifting| (reach(lifting), lifting.area.span.clone()))
        };
        Self { along: of(|lifting| lifting.span_of(0)), off_centre: of(|lifting| lifting.off_centre()) }
    }
}

fn lift_areas<'a>(
    file: &'a wire::Vehicle,
    outline: &Outline<'_>,
    problems: &mut Problems,
) -> Vec<Lifting<'a>> {
    let sill = Figure::if_given("sill_height", file.sill_height.as_ref(), &expect::SILL);
    let base = outline.wheelbase.as_ref().map(|w| w.si);
    let mut found = Vec::new();
    for item in &file.lift_areas.value {
        let own = &item.value;
        let Some(area) = Area::of_lifting(item) else { continue };
        let what = format!("a corner of the lifting area {:?}", own.name.value);
        let along = area.corners.iter().find_map(|c| outline.beyond_the_ends(c[0]));
        let across = area.corners.iter().find_map(|c| outline.beside(c[1]));
        for outside in [along, across].into_iter().flatten() {
            Outline::say(&outside, &what, &area.span, PLACE_HELP, problems);
        }
        let between = base.is_some_and(|base| area.corners.iter().all(|c| (0.0..=base).contains(&c[0])));
        if let (Some(sill), Some(underside)) = (&sill, &own.underside)
            && let Some(up) = si(underside)
            && between
            && up < sill.si - TAPE
        {
            problems.error(
                underside.span.clone(),
                format!(
                    "underside of {:?} is {:?}, lower than sill_height {:?}, the lowest underside between the wheels",
                    own.name.value, underside.text, sill.text
                ),
                "measure both again; `sill_height` is the lowest of all that the arms pass under",
            );
        }
        found.push(Lifting { file: own, area });
    }
    found
}

/// A front area must lie ahead of every rear area of its side.
fn ends_swapped(areas: &[Lifting<'_>], problems: &mut Problems) {
    let of = |end: End| areas.iter().filter(move |a| a.file.end == end);
    for front in of(End::Front) {
        let ahead_of_it = |rear: &&Lifting<'_>| {
            same_side(front.file.side, rear.file.side) && rear.area.middle() <= front.area.middle()
        };
        if let Some(rear) = of(End::Rear).find(ahead_of_it) {
            problems.error(
                front.area.span.clone(),
                format!(
                    "the front lifting area {:?} lies {} behind the front axle, and the rear one {:?} of the same side {}",
                    front.file.name.value,
                    metres(front.area.middle()),
                    rear.file.name.value,
                    metres(rear.area.middle())
                ),
                "`end` may be swapped; places are measured back from the front hub centre, ahead of it negative",
            );
        }
    }
}

/// A keep-out may stick out of the body; one that lies beside it keeps nothing free.
fn wholly_outside(area: &Area, name: &str, outline: &Outline<'_>, problems: &mut Problems) {
    let first = area.corners.first();
    let along = area.corners.iter().all(|c| outline.beyond_the_ends(c[0]).is_some());
    let across = area.corners.iter().all(|c| outline.beside(c[1]).is_some());
    let outside = match first {
        Some(c) if along => outline.beyond_the_ends(c[0]),
        Some(c) if across => outline.beside(c[1]),
        _ => None,
    };
    if let Some(outside) = outside {
        Outline::say(&outside, &format!("the whole keep-out {name:?}"), &area.span, PLACE_HELP, problems);
    }
}

fn door(door: &wire::Door, outline: &Outline<'_>, problems: &mut Problems) {
    let name = &door.name.value;
    outline.holds(&format!("the hinge of {name:?}"), [&door.hinge[0], &door.hinge[1]], PLACE_HELP, problems);
    opens_at_most(&door.opens, problems);
    let free_edge = si(&door.hinge[0]).zip(si(&door.length)).map(|(aft, length)| aft + length);
    if let Some(edge) = free_edge
        && si(&door.hinge[0]).is_some_and(|aft| outline.beyond_the_ends(aft).is_none())
        && let Some(outside) = outline.beyond_the_ends(edge)
    {
        Outline::say(
            &outside,
            &format!("the free edge of {name:?}, shut,"),
            &door.length.span,
            "`length` is from the hinge back to the free edge",
            problems,
        );
    }
}

/// An error if a door would open through the body.
pub(super) fn opens_at_most(opens: &Text<Angle>, problems: &mut Problems) {
    if si(opens).is_some_and(|angle| angle > OPENS_MOST + 1e-9) {
        problems.error(
            opens.span.clone(),
            format!(
                "opens is {:?}, and a hinged door opens 180 deg at the most: it then lies along the body",
                opens.text
            ),
            "measure between the door shut and the door open to its stop; usual is 60 deg to 80 deg",
        );
    }
}

fn stand_place(place: &wire::StandPlace, outline: &Outline<'_>, problems: &mut Problems) {
    let name = &place.name.value;
    outline.holds(
        &format!("the place for a stand {name:?}"),
        [&place.at[0], &place.at[1]],
        PLACE_HELP,
        problems,
    );
    let wrong = |left: f64| match place.side {
        None => false,
        Some(Side::Right) => left > 0.0,
        Some(Side::Left | Side::Both) => left < 0.0,
    };
    if let Some(left) = si(&place.at[1]).filter(|left| wrong(*left)) {
        problems.error(
            place.at[1].span.clone(),
            format!("the place for a stand {name:?} lies {}, and that is not its side", off_centre(left)),
            "left of centre is positive on the left and negative on the right; side = \"both\" is given on the left",
        );
    }
}

/// A part belongs to the vehicle, so the middle of its weight lies within the outline.
pub(super) fn part(part: &wire::Part, outline: &Outline<'_>, problems: &mut Problems) {
    const HELP: &str = "a part's place is the middle of its weight, [behind the front axle, left of centre, above the ground]";
    let name = &part.name.value;
    let [aft, left, up] = &part.at;
    outline.holds(&format!("the part {name:?}"), [aft, left], HELP, problems);
    under_the_roof(up, &format!("the part {name:?}"), outline, HELP, problems);
}

fn under_the_roof(up: &Text<Length>, what: &str, outline: &Outline<'_>, help: &str, problems: &mut Problems) {
    let Some(roof) = outline.roof.as_ref() else { return };
    if si(up).is_some_and(|up| up > roof.si + TAPE) {
        problems.error(
            roof.span_if_odd().unwrap_or(&up.span).clone(),
            format!("{what} lies {:?} above the ground, and the roof is at {:?}", up.text, roof.text),
            help,
        );
    }
}
