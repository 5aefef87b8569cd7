//! A job that contradicts its vehicle.

use super::outline::Outline;
use super::places::{opens_at_most, part};
use super::{Figure, no_less, si};
use crate::convert::expect;
use crate::input::quantity::{Quantity, show_like};
use crate::input::{At, Problems};
use crate::wire::job as wire;
use crate::wire::vehicle::Part;
use planner::Vehicle;
use statics::Angle;

pub(in crate::convert) fn job(file: &wire::Job, vehicle: Option<&Vehicle>, problems: &mut Problems) {
    file.doors.iter().for_each(|wish| opens_at_most(&wish.value.opens, problems));
    let Some(vehicle) = vehicle else { return };
    let outline = Outline::of_vehicle(vehicle);
    if let Some(text) = &file.opened_height {
        let opened = Figure::of("opened_height", text, &expect::OPENED);
        no_less(
            opened.as_ref(),
            outline.roof.as_ref(),
            "`opened_height` is the highest point above the ground with hatch or bonnet open; leave it out if nothing that opens stands above the roof",
            problems,
        );
    }
    file.doors.iter().for_each(|wish| door(&wish.value, vehicle, problems));
    file.parts.iter().for_each(|p| part(&p.value, &outline, problems));
    file.loads.iter().for_each(|l| load(l, &outline, problems));
    file.tasks.iter().flat_map(|t| &t.value.forces).for_each(|f| force(&f.value, &outline, problems));
}

/// Who works stands no farther from the vehicle than arm and bar reach, metres; common practice, no source.
const REACH: f64 = 1.0;

/// A force acts on the vehicle, or so far beside it as a bar reaches.
fn force(force: &wire::WorkForce, outline: &Outline<'_>, problems: &mut Problems) {
    const HELP: &str = "a force acts at [behind the front axle, left of centre, above the ground], on the vehicle or within a metre of it";
    let called = force.name.as_ref().or(force.common.as_ref()).map_or("", |name| name.value.as_str());
    let [aft, left, up] = &force.at;
    let nearer = |v: f64| v - REACH.copysign(v);
    let along = si(aft).filter(|v| outline.beyond_the_ends(nearer(*v)).is_some());
    let across = si(left).filter(|v| outline.beside(nearer(*v)).is_some());
    let outside = [
        (along.and_then(|v| outline.beyond_the_ends(v)), aft),
        (across.and_then(|v| outline.beside(v)), left),
    ];
    for (outside, text) in outside {
        if let Some(outside) = outside {
            Outline::say(&outside, &format!("the force {called:?}"), &text.span, HELP, problems);
        }
    }
    if let (Some(roof), Some(height)) = (&outline.roof, si(up))
        && height > roof.si + REACH
    {
        problems.error(
            up.span.clone(),
            format!(
                "the force {called:?} lies {:?} above the ground, and the roof is at {:?}",
                up.text, roof.text
            ),
            HELP,
        );
    }
}

fn door(wish: &wire::DoorWish, vehicle: &Vehicle, problems: &mut Problems) {
    let called = wish.door.value.trim();
    let sides = [called.to_owned(), format!("{called} left"), format!("{called} right")];
    let own = vehicle.doors.iter().find(|d| sides.contains(&d.name));
    let (Some(own), Some(opens)) = (own, si::<Angle>(&wish.opens)) else { return };
    if (own.opens.to_radians() + 1e-9..=core::f64::consts::PI).contains(&opens) {
        problems.error(
            wish.opens.span.clone(),
            format!(
                "opens is {:?}, and {:?} of {:?} opens {} to its stop",
                wish.opens.text,
                own.name,
                vehicle.name,
                show_like(Angle::KIND, own.opens.to_radians(), &wish.opens.text)
            ),
            "ask for no more than the door can, or correct `opens` in the vehicle's file",
        );
    }
}

/// The middle of a load's weight may lie so far beyond either end of the vehicle, beside it and above its roof: on a
/// carrier behind, or on a rack; common practice, no source, widened.
const OVERHANG: [f64; 3] = [1.0, 0.3, 1.0];

/// A load may stick out of the vehicle, but the middle of its weight seldom does, and never by metres.
fn load(item: &At<Part>, outline: &Outline<'_>, problems: &mut Problems) {
    const HELP: &str = "a load's place is the middle of its weight, [behind the front axle, left of centre, above the ground]";
    let (name, [aft, left, up]) = (&item.value.name.value, &item.value.at);
    let nearer = |v: f64, by: f64| v - by.copysign(v);
    if let (Some(roof), Some(height)) = (&outline.roof, si(up))
        && height > roof.si + OVERHANG[2]
    {
        problems.error(
            up.span.clone(),
            format!(
                "the load {name:?} lies {:?} above the ground, and the roof is at {:?}",
                up.text, roof.text
            ),
            HELP,
        );
    }
    let along = si(aft).and_then(|v| {
        Some((outline.beyond_the_ends(v)?, aft, outline.beyond_the_ends(nearer(v, OVERHANG[0])).is_some()))
    });
    let across = si(left)
        .and_then(|v| Some((outline.beside(v)?, left, outline.beside(nearer(v, OVERHANG[1])).is_some())));
    for (outside, text, by_far) in [along, across].into_iter().flatten() {
        if by_far {
            Outline::say(&outside, &format!("the load {name:?}"), &text.span, HELP, problems);
            continue;
        }
        problems.warn(
            text.span.clone(),
            format!("the load {name:?} lies {}, which is legal but odd", outside.how),
            "usual is within the outline: a load's place is the middle of its weight; leave it if it is right",
        );
    }
}
