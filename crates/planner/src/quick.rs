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
    /// Names of lifting points that are where no usual vehicle has them.
    pub questioned: Vec<String>,
}

/// What nobody measured of a vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Unmeasured {
    /// Figures that were guessed.
    pub guesses: Vec<Guess>,
    /// What no guess can stand for.
    pub unknown: Vec<Unknown>,
    /// Names of lifting areas that are written as no usual vehicle has them.
    pub questioned: Vec<String>,
    /// How far a lifting point may be off where it was measured.
    pub lift_points: Length,
    /// How much higher the undersides may be than they are taken to be.
    pub undersides: Length,
}

/// A length that was guessed. Checks use the end of its range that serves them worst.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Guess {
    /// What of the vehicle.
    pub what: Taped,
    /// The value that the checks use.
    pub used: Length,
    /// Between what it lies.
    pub range: Range,
    /// Where that comes from.
    pub source: &'static str,
}

/// A length of a vehicle that a tape measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taped {
    /// Ground to roof.
    Roof,
    /// Between the middles of the tyres of an axle.
    Track,
    /// Outer diameter of the tyres.
    TyreDiameter,
    /// Width of the tyres.
    TyreWidth,
    /// Front axle to the foremost point.
    FrontOverhang,
    /// Rear axle to the rearmost point.
    RearOverhang,
    /// Body without mirrors.
    Width,
    /// Over both mirrors.
    Mirrors,
    /// Ground to the lowest underside between the wheels.
    Sill,
    /// Ground to where a pad touches.
    Undersides,
}

impl Taped {
    /// What it is called.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Roof => "roof height",
            Self::Track => "track",
            Self::TyreDiameter => "diameter of the tyres",
            Self::TyreWidth => "width of the tyres",
            Self::FrontOverhang => "front overhang",
            Self::RearOverhang => "rear overhang",
            Self::Width => "width of the body",
            Self::Mirrors => "width over the mirrors",
            Self::Sill => "sill height",
            Self::Undersides => "underside of the lifting points",
        }
    }
}

/// Something that a plan needs and that has no unfavourable end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// Lines, tanks, plastic, battery case near pads and arms; right-hand lifting points that were taken from the left.
    KeepOuts,
    /// How high the lifting points are: pad heights, adapters and level.
    Undersides,
    /// Hinges and lengths of doors beside the columns.
    Doors,
    /// Where the lifting points are: taken from class and wheelbase.
    LiftPoints,
}

/// Half of the largest square about a lifting point: the smallest pads are 80 mm across.
const SQUARE_MOST: Length = Length::metres(0.030);
/// Half of it where a pad is placed exactly.
const SQUARE_LEAST: Length = Length::metres(0.005);

/// Lengths of a vehicle, as far as somebody measured them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tape {
    /// Foremost to rearmost point.
    pub length: Option<Length>,
    /// Front axle to the foremost point.
    pub front_overhang: Option<Length>,
    /// Body without mirrors.
    pub width: Option<Length>,
    /// Ground to roof.
    pub roof: Option<Length>,
    /// The mirrors, or that none stick out; `None` = nobody looked.
    pub mirrors: Option<Option<Mirrors>>,
    /// Between the middles of the front tyres.
    pub track_front: Option<Measured<Length>>,
    /// Between the middles of the rear tyres.
    pub track_rear: Option<Measured<Length>>,
    /// Outer diameter of the tyres.
    pub tyre_diameter: Option<Length>,
    /// Width of the tyres.
    pub tyre_width: Option<Length>,
    /// Ground to the lowest underside between the wheels.
    pub sill_height: Option<Length>,
    /// How far the wheels drop.
    pub droop: Option<Measured<Length>>,
}

/// All of them, guessed where nobody measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Outer dimensions.
    pub outline: Outline,
    /// Wheels and tyres. Tyres are as wide as the whole room in which they may be.
    pub wheels: Wheels,
    /// Lowest underside between the wheels.
    pub sill_height: Length,
    /// How far the wheels drop.
    pub droop: Measured<Length>,
    /// What was guessed.
    pub guesses: Vec<Guess>,
}

impl Tape {
    /// What was measured, and of the rest that end of the class's range which serves a plan worst.
    ///
    /// Without `length` the class's rear overhang; with `length` alone what it leaves behind the rear axle at the
    /// least front overhang, so that the vehicle is long enough at both ends. Ranges: [`priors::body`].
    #[must_use]
    pub fn filled(&self, class: BodyClass, wheelbase: Length) -> Shape {
        self.filled_by(&priors::body(class), wheelbase)
    }

    /// The same for a body of these ranges.
    pub(crate) fn filled_by(&self, body: &priors::Body, wheelbase: Length) -> Shape {
        let mut guesses = vec![];
        let roof = greatest(&mut guesses, self.roof, Taped::Roof, body.roof, MEASURED);
        let tracks = [&self.track_front, &self.track_rear];
        let off_track = if tracks.iter().any(|track| track.is_none()) {
            let (what, range) = (Taped::Track, body.track);
            guesses.push(Guess { what, used: range.middle(), range, source: MEASURED });
            range.half()
        } else {
            Length::ZERO
        };
        let track_off = tracks.map(|track| track.as_ref().map_or(body.track.half(), |track| track.tolerance));
        let [track_front, track_rear] =
            tracks.map(|track| track.as_ref().map_or(body.track.middle(), |track| track.value));
        let mut greatest = |measured, what, range| greatest(&mut guesses, measured, what, range, NO_DATA);
        let tyre_diameter = greatest(self.tyre_diameter, Taped::TyreDiameter, body.tyre_diameter);
        let tyre_width = greatest(self.tyre_width, Taped::TyreWidth, body.tyre_width) + off_track;
        let front_overhang = greatest(self.front_overhang, Taped::FrontOverhang, body.front_overhang);
        let rear = match (self.length, self.front_overhang) {
            (Some(length), Some(front)) => Err(length - front - wheelbase),
            (Some(length), None) => {
                let left = |front: Length| (length - wheelbase - front).max(Length::ZERO);
                let (least, most) = (left(body.front_overhang.greatest), left(body.front_overhang.least));
                Ok(Range { least, greatest: most })
            }
            (None, _) => Ok(body.rear_overhang),
        };
        let rear_overhang =
            rear.map_or_else(|known| known, |range| greatest(None, Taped::RearOverhang, range));
        let width = greatest(self.width, Taped::Width, body.width);
        let mirrors = self.mirrors.unwrap_or_else(|| {
            let least = self.width.unwrap_or(body.width.least);
            let range = Range { least: least + MIRROR.least * 2.0, greatest: width + MIRROR.greatest * 2.0 };
            let over = greatest(None, Taped::Mirrors, range);
            Some(Mirrors { width: over, aft: wheelbase * 0.2 })
        });
        let sill_height = self.sill_height.unwrap_or_else(|| {
            guesses.push(Guess {
                what: Taped::Sill,
                used: body.sill.least,
                range: body.sill,
                source: NO_DATA,
            });
            body.sill.least
        });
        let droop = self.droop.clone();
        Shape {
            outline: Outline { front_overhang, rear_overhang, width, roof, mirrors },
            wheels: Wheels { track_front, track_rear, track_off, tyre_diameter, tyre_width },
            sill_height,
            droop: droop.unwrap_or(Measured::assumed(body.droop.middle(), body.droop.half(), NO_DATA)),
            guesses,
        }
    }
}

/// What was measured, or the greatest of the range.
fn greatest(
    guesses: &mut Vec<Guess>,
    measured: Option<Length>,
    what: Taped,
    range: Range,
    source: &'static str,
) -> Length {
    measured.unwrap_or_else(|| {
        guesses.push(Guess { what, used: range.greatest, range, source });
        range.greatest
    })
}

/// How high lifting points are that nobody measured: the least of the class.
#[must_use]
pub fn underside(class: BodyClass) -> Guess {
    let range = priors::body(class).underside;
    Guess { what: Taped::Undersides, used: range.least, range, source: NO_DATA }
}

/// What a quick entry calls its lifting points.
#[must_use]
pub const fn lifting_point(is_front: bool) -> &'static str {
    if is_front { "front lifting point" } else { "rear lifting point" }
}

/// How the body of a class is built.
#[must_use]
pub fn frame(class: BodyClass) -> FrameKind {
    if class == BodyClass::Pickup { FrameKind::FrameRails } else { FrameKind::Unibody }
}

/// How far beside a lifting point, along and across, the middle of a pad may be planned.
#[must_use]
pub fn beside(limits: &Limits) -> Length {
    (SQUARE_LEAST + Length::metres(2.0 * limits.get(Name::Placing))).min(SQUARE_MOST)
}

/// Where the middle of a pad may be about a lifting point at this place; `None` if that is no area.
///
/// A square: on each side 5 mm, what placing a pad needs, and as much again for the tooth on which its arm locks; 30 mm
/// at most, so that any pad covers the point (project default). How far the point may be off widens the pad's disc, not
/// the square: who measures more closely is never told worse.
#[must_use]
pub fn about(place: [Length; 2], limits: &Limits) -> Option<Region> {
    let half = beside(limits).to_metres();
    let [aft, left] = place.map(Length::to_metres);
    let square = [[-half, -half], [half, -half], [half, half], [-half, half]];
    Region::new(square.map(|[a, l]| Place::metres([aft + a, left + l])).to_vec()).ok()
}

/// The vehicle that is measured so; `None` if the lifting points make no areas.
#[must_use]
pub fn vehicle(entry: &Entry, limits: &Limits) -> Option<Vehicle> {
    let tapes = entry.lift_points.iter().flatten().map(|m| m.tolerance);
    let off = tapes.fold(Length::ZERO, Length::max);
    let underside = underside(entry.class);
    let areas: Option<Vec<LiftArea>> = Corner::ALL
        .into_iter()
        .map(|corner| {
            let [aft, left] = &entry.lift_points[usize::from(!corner.is_front())];
            let side = if corner.is_left() { 1.0 } else { -1.0 };
            Some(LiftArea {
                name: lifting_point(corner.is_front()).into(),
                corner,
                region: about([aft.value, left.value * side], limits)?,
                underside: underside.used,
                seat: Seat::Flat,
            })
        })
        .collect();
    let Shape { outline, wheels, sill_height, droop, mut guesses } =
        Tape::default().filled(entry.class, entry.wheelbase.value);
    guesses.push(underside);
    Some(Vehicle {
        name: entry.name.clone(),
        teaches: None,
        wheelbase: entry.wheelbase.clone(),
        outline,
        wheels,
        weight: Weight::Total(entry.mass.clone()),
        cg_height: Some(priors::cg_height_of_class(entry.class, entry.drive)),
        class: entry.class,
        drive: entry.drive,
        frame: frame(entry.class),
        lift_areas: areas?,
        keep_outs: vec![],
        sill_height,
        droop,
        doors: vec![],
        stand_places: vec![],
        parts: vec![],
        unmeasured: Unmeasured {
            guesses,
            unknown: vec![Unknown::KeepOuts, Unknown::Doors, Unknown::Undersides],
            questioned: entry.questioned.clone(),
            lift_points: off,
            undersides: underside.range.greatest - underside.range.least,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What no tape told is among the guesses, whatever else was measured.
    #[test]
    fn every_length_that_was_not_measured_is_a_guess() {
        use Taped::{
            FrontOverhang, Mirrors, RearOverhang, Roof, Sill, Track, TyreDiameter, TyreWidth, Width,
        };
        let all = [Roof, Track, TyreDiameter, TyreWidth, FrontOverhang, RearOverhang, Width, Mirrors, Sill];
        let wheelbase = Length::metres(2.6);
        let guessed = |tape: &Tape| -> Vec<Taped> {
            tape.filled(BodyClass::Hatchback, wheelbase).guesses.iter().map(|guess| guess.what).collect()
        };
        assert_eq!(guessed(&Tape::default()), all);
        let width = Some(Length::metres(1.8));
        let but = |not: Taped| all.into_iter().filter(|what| *what != not).collect::<Vec<_>>();
        assert_eq!(guessed(&Tape { width, ..Tape::default() }), but(Width));
        assert_eq!(guessed(&Tape { mirrors: Some(None), ..Tape::default() }), but(Mirrors));
    }
}
