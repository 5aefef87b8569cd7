//! A vehicle from what a tape and its papers tell in a minute; the rest from priors.

use statics::{Length, Mass, Place};

use crate::lift::Corner;
use crate::limits::{Limits, Name};
use crate::measured::Measured;
use crate::priors::{self, MEASURED, MIRROR, NO_DATA, Range};
use crate::region::Region;
use crate::vehicle::{
    BodyClass, Drive, FrameKind, LiftArea, Mirrors, Outline, Seat, Vehicle, Weight, Wheels,
};

/// What was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What the vehicle is called on the sheet.
    pub name: String,
    /// Hub centre to hub centre.
    pub wheelbase: Measured<Length>,
    /// Whole vehicle, unladen.
    pub mass: Measured<Mass>,
    /// Its class.
    pub class: BodyClass,
    /// Driven axle.
    pub drive: Drive,
    /// Left lifting points, front and rear, each behind the front axle and left of the centre plane; the right
    /// ones mirror them.
    pub lift_points: [[Measured<Length>; 2]; 2],
}

/// What nobody measured of a vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Unmeasured {
    /// Figures that were guessed.
    pub guesses: Vec<Guess>,
    /// What no guess can stand for.
    pub unknown: Vec<Unknown>,
    /// How far a lifting point may be off where it was measured.
    pub lift_points: Length,
    /// How much higher the undersides may be than they are taken to be.
    pub undersides: Length,
}

/// A length that was guessed. Checks use the end of its range that serves them worst.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// What of the vehicle.
    pub what: &'static str,
    /// The value that the checks use.
    pub used: Length,
    /// Between what it lies.
    pub range: Range,
    /// Where that comes from.
    pub source: &'static str,
}

/// Something that a plan needs and that has no unfavourable end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// The right-hand lifting points; lines, tanks, plastic, battery case near pads and arms.
    KeepOuts,
    /// How high the lifting points are: pad heights, adapters and level.
    Undersides,
    /// Hinges and lengths of doors beside the columns.
    Doors,
}

/// Half of the largest square about a lifting point: the smallest pads are 80 mm across.
const SQUARE_MOST: Length = Length::metres(0.030);

/// The vehicle that is measured so; `None` if the lifting points make no areas.
///
/// A pad's centre may be in a square about its lifting point: on each side the tape's tolerance, what placing
/// a pad needs, and as much again for the tooth on which its arm locks; 30 mm at most, so that any pad covers
/// the point (project default). Tyres are as large as the whole room in which they may be.
#[must_use]
pub fn vehicle(entry: &Entry, limits: &Limits) -> Option<Vehicle> {
    let body = priors::body(entry.class);
    let tapes = entry.lift_points.iter().flatten().map(|m| m.tolerance);
    let off = tapes.fold(Length::ZERO, Length::max);
    let half = (off + Length::metres(2.0 * limits.get(Name::Placing))).min(SQUARE_MOST).to_metres();
    let areas: Option<Vec<LiftArea>> = Corner::ALL
        .into_iter()
        .map(|corner| {
            let [aft, left] = &entry.lift_points[usize::from(!corner.is_front())];
            let side = if corner.is_left() { 1.0 } else { -1.0 };
            let (aft, left) = (aft.value.to_metres(), left.value.to_metres() * side);
            let square = [[-half, -half], [half, -half], [half, half], [-half, half]];
            let corners = square.map(|[a, l]| Place::metres([aft + a, left + l])).to_vec();
            let end = if corner.is_front() { "front" } else { "rear" };
            Some(LiftArea {
                name: format!("{end} lifting point"),
                corner,
                region: Region::new(corners).ok()?,
                underside: body.underside.least,
                seat: Seat::Flat,
            })
        })
        .collect();
    let guess = |what, used, range, source| Guess { what, used, range, source };
    let over_mirrors = Range {
        least: body.width.least + MIRROR.least * 2.0,
        greatest: body.width.greatest + MIRROR.greatest * 2.0,
    };
    let room = body.tyre_width.greatest + body.track.half();
    let guesses = vec![
        guess("roof height", body.roof.greatest, body.roof, MEASURED),
        guess("track", body.track.middle(), body.track, MEASURED),
        guess("diameter of the tyres", body.tyre_diameter.greatest, body.tyre_diameter, NO_DATA),
        guess("width of the tyres", body.tyre_width.greatest, body.tyre_width, NO_DATA),
        guess("front overhang", body.front_overhang.greatest, body.front_overhang, NO_DATA),
        guess("rear overhang", body.rear_overhang.greatest, body.rear_overhang, NO_DATA),
        guess("width over the mirrors", over_mirrors.greatest, over_mirrors, NO_DATA),
        guess("sill height", body.sill.least, body.sill, NO_DATA),
        guess("underside of the lifting points", body.underside.least, body.underside, NO_DATA),
    ];
    Some(Vehicle {
        name: entry.name.clone(),
        teaches: None,
        wheelbase: entry.wheelbase.clone(),
        outline: Outline {
            front_overhang: body.front_overhang.greatest,
            rear_overhang: body.rear_overhang.greatest,
            width: body.width.greatest,
            roof: body.roof.greatest,
            mirrors: Some(Mirrors { width: over_mirrors.greatest, aft: entry.wheelbase.value * 0.2 }),
        },
        wheels: Wheels {
            track_front: body.track.middle(),
            track_rear: body.track.middle(),
            tyre_diameter: body.tyre_diameter.greatest,
            tyre_width: room,
        },
        weight: Weight::Total(entry.mass.clone()),
        cg_height: Some(priors::cg_height_of_class(entry.class, entry.drive)),
        class: entry.class,
        drive: entry.drive,
        frame: if entry.class == BodyClass::Pickup { FrameKind::FrameRails } else { FrameKind::Unibody },
        lift_areas: areas?,
        keep_outs: vec![],
        sill_height: body.sill.least,
        droop: Measured::assumed(body.droop.middle(), body.droop.half(), NO_DATA),
        doors: vec![],
        stand_places: vec![],
        parts: vec![],
        unmeasured: Unmeasured {
            guesses,
            unknown: vec![Unknown::KeepOuts, Unknown::Undersides, Unknown::Doors],
            lift_points: off,
            undersides: body.underside.greatest - body.underside.least,
        },
    })
}
