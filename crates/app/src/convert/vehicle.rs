//! A vehicle file to the planner's vehicle.

use planner::Measured;
use planner::lift::Corner;
use planner::vehicle::{
    BodyClass, Door, Drive, FrameKind, KeepOut, LiftArea, Mirrors, Outline, Seat, StandPlace, Vehicle, Wheels,
};
use statics::{Length, Place};

use super::expect::{self, Expect};
use super::part::{goes_in_a_circle, heavier_than, parts};
use super::region::{mirrored, off_centre, on_side, place, region};
use super::weight::weight;
use super::{agree, measured, name, plain, unique};
use crate::input::quantity::{Quantity, show_like};
use crate::input::{At, Problems, Text};
use crate::wire::region::{End, Side};
use crate::wire::vehicle as wire;

/// A wheelbase that is more of the overall length than this is questioned; the most among cars is near 0.75.
const MOST_OF_LENGTH: f64 = 0.80;
const HUB_TO_HUB: &str = "wheelbase is hub centre to hub centre, not the overall length: measure it again";

/// The vehicle, or `None` with the reasons in `problems`.
pub(crate) fn vehicle(file: &wire::Vehicle, problems: &mut Problems) -> Option<Vehicle> {
    let name = name(&file.name, "name", problems);
    super::example_values(file.example_values.as_ref(), problems);
    let wheelbase = wheelbase(file, problems);
    let outline = outline(&file.outline, wheelbase.as_ref(), file, problems);
    let wheels = wheels(&file.wheels, problems);
    let weight = weight(&file.weight, problems);
    let cg_height =
        file.cg_height.as_ref().map(|t| measured(t, &expect::CG_HEIGHT, &expect::OF_CG_HEIGHT, problems));
    agree::vehicle(file, problems);
    let sill_height = plain(&file.sill_height, &expect::SILL, problems);
    let droop = measured(&file.droop, &expect::DROOP, &expect::OF_DROOP, problems);
    let lift_areas = lift_areas(&file.lift_areas, problems);
    let keep_outs: Vec<Option<Vec<KeepOut>>> = file.keep_outs.iter().map(|k| keep_out(k, problems)).collect();
    let doors: Vec<Option<Vec<Door>>> = file.doors.iter().map(|d| door(d, problems)).collect();
    let parts = parts(&file.parts, &[], problems);
    let in_circle = parts.as_ref().is_some_and(|p| goes_in_a_circle(p, &file.parts, problems));
    let stand_places: Vec<_> = file.stand_places.iter().map(|p| stand_place(p, problems)).collect();
    unique(
        file.keep_outs.iter().map(|k| (k.value.name.value.as_str(), k.value.name.span.clone())),
        "keep-outs",
        problems,
    );
    let vehicle = Vehicle {
        name: name?,
        teaches: file.teaches.clone(),
        wheelbase: wheelbase?,
        outline: outline?,
        wheels: wheels?,
        weight: weight?,
        cg_height: match cg_height {
            None => None,
            Some(height) => Some(height?),
        },
        class: class(file.class),
        drive: drive(file.drive),
        frame: match file.frame {
            wire::Frame::Unibody => FrameKind::Unibody,
            wire::Frame::FrameRails => FrameKind::FrameRails,
        },
        lift_areas: lift_areas?,
        keep_outs: keep_outs.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        sill_height: sill_height?,
        droop: droop?,
        doors: doors.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        stand_places: stand_places.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        parts: parts?,
        unmeasured: planner::quick::Unmeasured::default(),
    };
    heavier_than(&vehicle, &vehicle.parts, &file.parts, problems);
    (!in_circle).then_some(vehicle)
}

pub(crate) const fn drive(drive: wire::Drive) -> Drive {
    match drive {
        wire::Drive::Front => Drive::Front,
        wire::Drive::Rear => Drive::Rear,
        wire::Drive::All => Drive::All,
        wire::Drive::Battery => Drive::Battery,
    }
}

pub(crate) const fn class(class: wire::Class) -> BodyClass {
    match class {
        wire::Class::Sedan => BodyClass::Sedan,
        wire::Class::Hatchback => BodyClass::Hatchback,
        wire::Class::Wagon => BodyClass::Wagon,
        wire::Class::Coupe => BodyClass::Coupe,
        wire::Class::Convertible => BodyClass::Convertible,
        wire::Class::Suv => BodyClass::Suv,
        wire::Class::Pickup => BodyClass::Pickup,
        wire::Class::Minivan => BodyClass::Minivan,
        wire::Class::Van => BodyClass::Van,
    }
}

fn wheelbase(file: &wire::Vehicle, problems: &mut Problems) -> Option<Measured<Length>> {
    let mut read = |text: &Text<Length>, what| {
        measured(text, &Expect { what, ..expect::WHEELBASE }, &expect::BY_TAPE, problems)
    };
    match (&file.wheelbase, &file.wheelbase_left, &file.wheelbase_right) {
        (Some(one), None, None) => read(one, "wheelbase"),
        (None, Some(left), Some(right)) => {
            let (l, r) = (read(left, "wheelbase_left"), read(right, "wheelbase_right"));
            both_sides(&l?, &r?, right, problems)
        }
        _ => {
            let span =
                file.wheelbase_left.as_ref().or(file.wheelbase_right.as_ref()).or(file.wheelbase.as_ref());
            problems.error(
                span.map_or(file.name.span.clone(), |t| t.span.clone()),
                "the wheelbase is either `wheelbase`, or `wheelbase_left` and `wheelbase_right`",
                "measure hub centre to hub centre, wheels straight: once, or on both sides",
            );
            None
        }
    }
}

/// Two measurements that the tapes cannot explain are asked about; else what both allow.
fn both_sides(
    l: &Measured<Length>,
    r: &Measured<Length>,
    right: &Text<Length>,
    problems: &mut Problems,
) -> Option<Measured<Length>> {
    let (apart, allowed) = ((l.value - r.value).abs(), l.tolerance + r.tolerance);
    if apart > allowed {
        let shown = |length: Length| show_like(Length::KIND, length.to_metres(), &right.text);
        let small = |length: Length| {
            let inches = right.text.contains("in") || right.text.contains('"');
            show_like(Length::KIND, length.to_metres(), if inches { "in" } else { "mm" })
        };
        problems.error(
            right.span.clone(),
            format!(
                "the wheelbase is {} on the left and {} on the right: {} apart, and the tapes explain {}. Which is it?",
                shown(l.value), shown(r.value), small(apart), small(allowed)
            ),
            "measure both sides again with the wheels straight; if they do differ, something is bent: find that first. If the tape was rough, write how far off it may be",
        );
        return None;
    }
    let (least, most) = (l.least().min(r.least()), l.greatest().max(r.greatest()));
    let value = (l.value + r.value) / 2.0;
    let tolerance = (most - value).max(value - least);
    Some(Measured::even(value, tolerance, planner::Basis::least_sure([&l.basis, &r.basis])))
}

fn outline(
    file: &wire::Outline,
    wheelbase: Option<&Measured<Length>>,
    whole: &wire::Vehicle,
    problems: &mut Problems,
) -> Option<Outline> {
    let length = plain(&file.length, &expect::OVERALL, problems);
    let front = plain(&file.front_overhang, &expect::OVERHANG, problems);
    let width = plain(&file.width, &expect::WIDTH, problems);
    let roof = plain(&file.roof, &expect::ROOF, problems);
    let mirrors = match (&file.mirror_width, &file.mirror_aft) {
        (None, None) => Some(None),
        (Some(w), Some(a)) => {
            let (w, a) = (plain(w, &expect::MIRROR_WIDTH, problems), plain(a, &expect::MIRROR_AFT, problems));
            w.zip(a).map(|(width, aft)| Some(Mirrors { width, aft }))
        }
        (one, two) => {
            let span = one.as_ref().or(two.as_ref()).map_or(0..0, |t| t.span.clone());
            problems.error(
                span,
                "`mirror_width` and `mirror_aft` belong together",
                "give both, or neither if no mirror sticks out",
            );
            None
        }
    };
    let (length, front, wheelbase) = (length?, front?, wheelbase?.value);
    let at = whole.wheelbase.as_ref().or(whole.wheelbase_right.as_ref()).map_or(0..0, |t| t.span.clone());
    let rear = length - front - wheelbase;
    if wheelbase >= length || rear < Length::ZERO {
        problems.error(
            at,
            format!(
                "wheelbase {} and front_overhang {:?} do not fit into length {:?}",
                show_like(Length::KIND, wheelbase.to_metres(), &file.length.text),
                file.front_overhang.text,
                file.length.text
            ),
            HUB_TO_HUB,
        );
        return None;
    }
    if wheelbase > length * MOST_OF_LENGTH {
        problems.warn(
            at,
            format!("the wheelbase is {:.0} % of the overall length", 100.0 * (wheelbase / length)),
            HUB_TO_HUB,
        );
    }
    Some(Outline {
        front_overhang: front,
        rear_overhang: rear,
        width: width?,
        roof: roof?,
        mirrors: mirrors?,
    })
}

fn wheels(file: &wire::Wheels, problems: &mut Problems) -> Option<Wheels> {
    let front = plain(&file.track_front, &Expect { what: "track_front", ..expect::TRACK }, problems);
    let rear = plain(&file.track_rear, &Expect { what: "track_rear", ..expect::TRACK }, problems);
    let diameter = plain(&file.tyre_diameter, &expect::TYRE_DIAMETER, problems);
    let width = plain(&file.tyre_width, &expect::TYRE_WIDTH, problems);
    Some(Wheels { track_front: front?, track_rear: rear?, tyre_diameter: diameter?, tyre_width: width? })
}

fn lift_areas(list: &At<Vec<At<wire::LiftArea>>>, problems: &mut Problems) -> Option<Vec<LiftArea>> {
    let mut areas = Vec::new();
    let mut whole = true;
    for item in &list.value {
        let file = &item.value;
        let called = name(&file.name, "name (lift area)", problems);
        let found = region(file.corners.as_ref(), file.strip.as_ref(), &item.span, problems);
        let underside = plain(&file.underside, &expect::UNDERSIDE, problems);
        let seat = match file.seat {
            wire::Seat::Flat => Seat::Flat,
            wire::Seat::SeamInSlot => Seat::SeamInSlot,
        };
        let (Some(called), Some((region, span)), Some(underside)) = (called, found, underside) else {
            whole = false;
            continue;
        };
        whole &= on_side(&region, file.side, &span, problems);
        let mut add = |region, left| {
            let corner = match (file.end, left) {
                (End::Front, true) => Corner::FrontLeft,
                (End::Front, false) => Corner::FrontRight,
                (End::Rear, true) => Corner::RearLeft,
                (End::Rear, false) => Corner::RearRight,
            };
            areas.push(LiftArea { name: called.clone(), corner, region, underside, seat });
        };
        match file.side {
            Side::Left => add(region, true),
            Side::Right => add(region, false),
            Side::Both => {
                let mirror = mirrored(&region);
                add(region, true);
                if let Some(mirror) = mirror {
                    add(mirror, false);
                }
            }
        }
    }
    if !whole {
        return None;
    }
    for corner in Corner::ALL.into_iter().filter(|&c| !areas.iter().any(|a| a.corner == c)) {
        whole = false;
        problems.error(
            list.span.clone(),
            format!("no lift area for the {} corner", corner.name().replace('-', " ")),
            "four pads need at least one area each: add a [[lift_areas]] for it, from the vehicle maker's manual",
        );
    }
    whole.then_some(areas)
}

fn keep_out(item: &At<wire::KeepOut>, problems: &mut Problems) -> Option<Vec<KeepOut>> {
    let file = &item.value;
    let called = name(&file.name, "name (keep-out)", problems);
    let (region, span) = region(file.corners.as_ref(), file.strip.as_ref(), &item.span, problems)?;
    let called = called?;
    if let Some(side) = file.side
        && !on_side(&region, side, &span, problems)
    {
        return None;
    }
    if file.side != Some(Side::Both) {
        return Some(vec![KeepOut { name: called, region }]);
    }
    let mirror = mirrored(&region)?;
    Some(vec![
        KeepOut { name: format!("{called} left"), region },
        KeepOut { name: format!("{called} right"), region: mirror },
    ])
}

fn door(item: &At<wire::Door>, problems: &mut Problems) -> Option<Vec<Door>> {
    let file = &item.value;
    let called = name(&file.name, "name (door)", problems);
    let hinge = place(&file.hinge, problems);
    let length = plain(&file.length, &expect::DOOR_LENGTH, problems);
    let opens = plain(&file.opens, &expect::DOOR_OPENS, problems);
    let (called, [aft, left], length, opens) = (called?, hinge?, length?, opens?);
    let on_its_side = if file.side == Side::Right { left < 0.0 } else { left > 0.0 };
    if !on_its_side {
        problems.error(file.hinge[1].span.clone(), format!("the hinge lies {}, and the door is not on that side", off_centre(left)), "left of centre is positive on the left and negative on the right; side = \"both\" is given on the left");
        return None;
    }
    let one = |name: String, left: f64| Door { name, hinge: Place::metres([aft, left]), length, opens };
    Some(match file.side {
        Side::Both => vec![one(format!("{called} left"), left), one(format!("{called} right"), -left)],
        Side::Left | Side::Right => vec![one(called, left)],
    })
}

fn stand_place(item: &At<wire::StandPlace>, problems: &mut Problems) -> Option<Vec<StandPlace>> {
    let file = &item.value;
    let called = name(&file.name, "name (place for a stand)", problems);
    let at = place(&file.at, problems);
    let underside = plain(&file.underside, &expect::UNDERSIDE, problems);
    let (called, [aft, left], underside) = (called?, at?, underside?);
    let one = |name: String, left: f64| StandPlace { name, at: Place::metres([aft, left]), underside };
    Some(match file.side {
        Some(Side::Both) => vec![one(format!("{called} left"), left), one(format!("{called} right"), -left)],
        _ => vec![one(called, left)],
    })
}
