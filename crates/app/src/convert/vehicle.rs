//! A vehicle file to the planner's vehicle.

use planner::lift::Corner;
use planner::priors;
use planner::quick::{Guess, Shape, Tape, Unknown, Unmeasured};
use planner::vehicle::{
    BodyClass, Door, Drive, FrameKind, KeepOut, LiftArea, Mirrors, Seat, StandPlace, Vehicle,
};
use planner::{Limits, Measured};
use statics::{Length, Place};

use super::expect::{self, Expect};
use super::part::{goes_in_a_circle, heavier_than, parts};
use super::region::{mirrored, off_centre, on_side, place, region};
use super::weight::weight;
use super::{agree, measured, name, plain, transpose, unique};
use crate::input::problem::LEFT_OUT;
use crate::input::quantity::{self, Quantity, show_like};
use crate::input::{At, OrNone, Problems, Text};
use crate::wire::region::{self as wire_region, End, Side};
use crate::wire::vehicle as wire;

/// A wheelbase that is more of the overall length than this is questioned; the most among cars is near 0.75.
const MOST_OF_LENGTH: f64 = 0.80;
const HUB_TO_HUB: &str = "wheelbase is hub centre to hub centre, not the overall length: measure it again";

/// The vehicle, or `None` with the reasons in `problems`.
pub(crate) fn vehicle(file: &wire::Vehicle, problems: &mut Problems) -> Option<Vehicle> {
    let name = name(&file.name, "name", problems);
    super::example_values(file.example_values.as_ref(), problems);
    let wheelbase = wheelbase(file, problems);
    let tape = tape(file, wheelbase.as_ref(), problems);
    let weight = weight(&file.weight, problems);
    let height = |t| measured(t, &expect::CG_HEIGHT, &expect::OF_CG_HEIGHT, problems);
    let cg_height = transpose(file.cg_height.as_ref().map(height));
    let mut questioned = Vec::new();
    let lift_areas = lift_areas(file, &mut questioned, problems);
    agree::vehicle(file, &mut questioned, problems);
    let listed = OrNone::listed(file.keep_outs.as_ref());
    let keep_outs: Vec<Option<Vec<KeepOut>>> = listed.iter().map(|k| keep_out(k, problems)).collect();
    let doors = OrNone::listed(file.doors.as_ref());
    let doors: Vec<Option<Vec<Door>>> = doors.iter().map(|d| door(d, problems)).collect();
    let parts = parts(&file.parts, &[], problems);
    let in_circle = parts.as_ref().is_some_and(|p| goes_in_a_circle(p, &file.parts, problems));
    let stand_places: Vec<_> = file.stand_places.iter().map(|p| stand_place(p, problems)).collect();
    unique(
        listed.iter().map(|k| (k.value.name.value.as_str(), k.value.name.span.clone())),
        "keep-outs",
        problems,
    );
    let (class, drive, wheelbase) = (class(file.class), drive(file.drive), wheelbase?);
    let of_class = || priors::cg_height_of_class(class, drive);
    let cg_height = cg_height?.or_else(|| file.outline.roof.is_none().then(of_class));
    let Shape { outline, wheels, sill_height, droop, guesses } = tape?.filled(class, wheelbase.value);
    let (lift_areas, lift_points) = lift_areas?;
    let unmeasured = Unmeasured { questioned, ..unmeasured(file, guesses, lift_points, problems) };
    let vehicle = Vehicle {
        name: name?,
        teaches: file.teaches.clone(),
        wheelbase,
        outline,
        wheels,
        weight: weight?,
        cg_height,
        class,
        drive,
        frame: match file.frame {
            None => planner::quick::frame(class),
            Some(wire::Frame::Unibody) => FrameKind::Unibody,
            Some(wire::Frame::FrameRails) => FrameKind::FrameRails,
        },
        lift_areas,
        keep_outs: keep_outs.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        sill_height,
        droop,
        doors: doors.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        stand_places: stand_places.into_iter().collect::<Option<Vec<_>>>()?.concat(),
        parts: parts?,
        unmeasured,
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

/// What was measured of the outline, the wheels and the heights; what is left out is no fault.
fn tape(file: &wire::Vehicle, wheelbase: Option<&Measured<Length>>, problems: &mut Problems) -> Option<Tape> {
    let (o, w) = (&file.outline, &file.wheels);
    let mut read = |text: &Option<Text<Length>>, expect: &Expect| {
        transpose(text.as_ref().map(|text| plain(text, expect, problems)))
    };
    let length = read(&o.length, &expect::OVERALL);
    let front_overhang = read(&o.front_overhang, &expect::OVERHANG);
    let width = read(&o.width, &expect::WIDTH);
    let roof = read(&o.roof, &expect::ROOF);
    let tyre_diameter = read(&w.tyre_diameter, &expect::TYRE_DIAMETER);
    let tyre_width = read(&w.tyre_width, &expect::TYRE_WIDTH);
    let sill_height = read(&file.sill_height, &expect::SILL);
    let mut track = |text: &Option<Text<Length>>, what| {
        let expect = Expect { what, ..expect::TRACK };
        transpose(text.as_ref().map(|text| measured(text, &expect, &expect::BY_TAPE, problems)))
    };
    let (track_front, track_rear) =
        (track(&w.track_front, "track_front"), track(&w.track_rear, "track_rear"));
    let droop = file.droop.as_ref().map(|t| measured(t, &expect::DROOP, &expect::OF_DROOP, problems));
    let mirrors = mirrors(file, problems);
    let tape = Tape {
        length: length?,
        front_overhang: front_overhang?,
        width: width?,
        roof: roof?,
        mirrors: mirrors?,
        track_front: track_front?,
        track_rear: track_rear?,
        tyre_diameter: tyre_diameter?,
        tyre_width: tyre_width?,
        sill_height: sill_height?,
        droop: transpose(droop)?,
    };
    fits_into_its_length(&tape, wheelbase?.value, file, problems).then_some(tape)
}

/// The mirrors, or that none stick out; `None` inside = nobody looked.
fn mirrors(file: &wire::Vehicle, problems: &mut Problems) -> Option<Option<Option<Mirrors>>> {
    let o = &file.outline;
    match (&o.mirror_width, &o.mirror_aft) {
        (None, None) => Some(None),
        (Some(OrNone::None), None) => Some(Some(None)),
        (Some(OrNone::Is(w)), Some(a)) => {
            let (w, a) = (plain(w, &expect::MIRROR_WIDTH, problems), plain(a, &expect::MIRROR_AFT, problems));
            w.zip(a).map(|(width, aft)| Some(Some(Mirrors { width, aft })))
        }
        (width, aft) => {
            let width = match width {
                Some(OrNone::Is(text)) => Some(text),
                Some(OrNone::None) | None => None,
            };
            problems.error(
                width.or(aft.as_ref()).map_or(0..0, |t| t.span.clone()),
                "`mirror_width` and `mirror_aft` belong together",
                "give both; if no mirror sticks out, mirror_width = \"none\" alone",
            );
            None
        }
    }
}

/// Says so where wheelbase and overhang are longer than the vehicle, or look like it.
fn fits_into_its_length(
    tape: &Tape,
    wheelbase: Length,
    file: &wire::Vehicle,
    problems: &mut Problems,
) -> bool {
    let (Some(length), Some(text)) = (tape.length, &file.outline.length) else { return true };
    let front = tape.front_overhang.unwrap_or(Length::ZERO);
    let at = file.wheelbase.as_ref().or(file.wheelbase_right.as_ref()).map_or(0..0, |t| t.span.clone());
    if wheelbase >= length || length - front - wheelbase < Length::ZERO {
        let overhang =
            file.outline.front_overhang.as_ref().map(|t| format!(" and front_overhang {:?}", t.text));
        problems.error(
            at,
            format!(
                "wheelbase {}{} {} not fit into length {:?}",
                show_like(Length::KIND, wheelbase.to_metres(), &text.text),
                overhang.as_deref().unwrap_or_default(),
                if overhang.is_some() { "do" } else { "does" },
                text.text
            ),
            HUB_TO_HUB,
        );
        return false;
    }
    if wheelbase > length * MOST_OF_LENGTH {
        problems.warn(
            at,
            format!("the wheelbase is {:.0} % of the overall length", 100.0 * (wheelbase / length)),
            HUB_TO_HUB,
        );
    }
    true
}

/// What nobody measured; a file that leaves figures out is told so, as a line may have been forgotten.
fn unmeasured(
    file: &wire::Vehicle,
    mut guesses: Vec<Guess>,
    lift_points: Length,
    problems: &mut Problems,
) -> Unmeasured {
    let nobody_looked = [
        ("keep_outs", Unknown::KeepOuts, file.keep_outs.is_none()),
        ("doors", Unknown::Doors, file.doors.is_none()),
    ];
    let nobody_looked: Vec<_> = nobody_looked.into_iter().filter(|(.., nobody)| *nobody).collect();
    let mut unknown: Vec<Unknown> = nobody_looked.iter().map(|(_, what, _)| *what).collect();
    if !nobody_looked.is_empty() {
        let keys: Vec<&str> = nobody_looked.iter().map(|(key, ..)| *key).collect();
        problems.warn(
            0..0,
            format!("{LEFT_OUT}, so the plan asks for a look before the raise: {}", keys.join(", ")),
            "look, and write down what is there; if nothing is, say so above the first [table]: keep_outs = \"none\", doors = \"none\"",
        );
    }
    let mut undersides = Length::ZERO;
    if file.lift_areas.value.iter().any(|area| area.value.underside.is_none()) {
        let guess = planner::quick::underside(class(file.class));
        unknown.push(Unknown::Undersides);
        undersides = guess.range.greatest - guess.range.least;
        guesses.push(guess);
    }
    let mut left_out: Vec<&str> = guesses.iter().map(|guess| guess.what.name()).collect();
    left_out.extend(file.droop.is_none().then_some("droop"));
    if !left_out.is_empty() {
        problems.warn(
            0..0,
            format!("{LEFT_OUT}, and taken from the class of body at its worst: {}", left_out.join(", ")),
            "measure it and write it down, for a plan with more in reserve",
        );
    }
    Unmeasured { guesses, unknown, questioned: Vec::new(), lift_points, undersides }
}

/// The areas, and how far the points among them may be off; names of those with an odd figure go to `questioned`.
fn lift_areas(
    vehicle: &wire::Vehicle,
    questioned: &mut Vec<String>,
    problems: &mut Problems,
) -> Option<(Vec<LiftArea>, Length)> {
    let list = &vehicle.lift_areas;
    let (mut areas, mut off) = (Vec::new(), Length::ZERO);
    let mut whole = true;
    for item in &list.value {
        let file = &item.value;
        let odd_before = problems.count(false);
        let called = name(&file.name, "name (lift area)", problems);
        let found = match &file.at {
            Some(at) if file.corners.is_none() && file.strip.is_none() => lift_point(at, vehicle, problems)
                .map(|(region, tolerance)| {
                    off = off.max(tolerance);
                    (region, at.span.clone())
                }),
            Some(at) => {
                problems.error(
                    at.span.clone(),
                    "the area is a point, `corners` or a `strip`, and more than one is given",
                    "give `at` alone for a point: the middle of the pad may be in a small square about it",
                );
                None
            }
            None => region(file.corners.as_ref(), file.strip.as_ref(), &item.span, problems),
        };
        let low = || Some(planner::quick::underside(class(vehicle.class)).used);
        let underside = match &file.underside {
            Some(text) => plain(text, &expect::UNDERSIDE, problems),
            None => low(),
        };
        if problems.count(false) > odd_before {
            questioned.push(file.name.value.clone());
        }
        let seat = match file.seat {
            None | Some(wire::Seat::Flat) => Seat::Flat,
            Some(wire::Seat::SeamInSlot) => Seat::SeamInSlot,
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
    whole.then_some((areas, off))
}

/// A square about a point, and how far the point may be off. Where the outline was not measured, the point must lie
/// within the largest body of the class.
fn lift_point(
    at: &At<wire_region::Place>,
    vehicle: &wire::Vehicle,
    problems: &mut Problems,
) -> Option<(planner::Region, Length)> {
    let [aft, left] = &at.value;
    let read_aft = measured(aft, &expect::AFT, &expect::BY_TAPE, problems);
    let read_left = measured(left, &expect::LEFT, &expect::BY_TAPE, problems);
    let (a, l) = (read_aft?, read_left?);
    let body = priors::body(class(vehicle.class));
    let base = vehicle.wheelbase.as_ref().or(vehicle.wheelbase_left.as_ref());
    let base = base.and_then(|text| quantity::parse::<Length>(&text.text).ok());
    let foremost = Length::ZERO - body.front_overhang.greatest;
    // Of a wheelbase that cannot be nothing follows.
    let base = base.map(|base| base.value.to_metres());
    let base = base.filter(|si| expect::WHEELBASE.may_be(*si));
    let rearmost = base.map(|base| Length::metres(base) + body.rear_overhang.greatest);
    let outline = &vehicle.outline;
    let mut outside = |text: &Text<Length>, message: String| {
        problems.error(
            text.span.clone(),
            message,
            "measure it again, from the front hub centre and from the middle",
        );
    };
    let like = |length: Length, text: &Text<Length>| show_like(Length::KIND, length.to_metres(), &text.text);
    if let Some(rearmost) = rearmost.filter(|_| outline.length.is_none() || outline.front_overhang.is_none())
        && !(foremost..=rearmost).contains(&a.value)
    {
        let ends = [like(foremost, aft), like(rearmost, aft)];
        outside(
            aft,
            format!(
                "a lifting point lies {:?} behind the front axle, and with that wheelbase the body goes from {} to {} at most",
                aft.text, ends[0], ends[1]
            ),
        );
        return None;
    }
    let half = body.width.greatest / 2.0;
    if outline.width.is_none() && l.value.abs() >= half {
        outside(
            left,
            format!(
                "a lifting point lies {:?} left of centre, outside the body, whose half is {} at most",
                left.text,
                like(half, left)
            ),
        );
        return None;
    }
    let off = a.tolerance.max(l.tolerance);
    Some((planner::quick::about([a.value, l.value], &Limits::default())?, off))
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
