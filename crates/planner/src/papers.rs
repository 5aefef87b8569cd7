//! A vehicle of which only its papers are known: outer dimensions and mass. The rest from priors, its lifting points guessed.

use statics::{Length, Mass};

use crate::lift::Corner;
use crate::limits::Limits;
use crate::measured::Measured;
use crate::priors::{self, Body};
use crate::quick::{Guess, Shape, Tape, Taped, Unknown, Unmeasured, about, frame};
use crate::vehicle::{BodyClass, Drive, FrameKind, LiftArea, Seat, Vehicle, Weight};

/// What its papers say.
#[derive(Clone, Debug, PartialEq)]
pub struct Papers {
    /// What the vehicle is called.
    pub name: String,
    /// Hub centre to hub centre.
    pub wheelbase: Measured<Length>,
    /// Whole vehicle, unladen.
    pub mass: Measured<Mass>,
    /// Foremost to rearmost point.
    pub length: Option<Length>,
    /// Body without mirrors.
    pub width: Option<Length>,
    /// Ground to roof.
    pub height: Option<Length>,
    /// Its class.
    pub class: Option<BodyClass>,
    /// Driven axle.
    pub drive: Option<Drive>,
    /// Front axle's share of the weight.
    pub front_share: Option<Measured<f64>>,
}

/// Where a lifting point is guessed to be; common practice, no source.
struct Point {
    /// Behind the front axle, in wheelbases: front pair, rear pair.
    aft: [f64; 2],
    left: Left,
}

/// How far left of the centre plane.
enum Left {
    /// On the sill, so far in from the side of the body.
    InFromSide(Length),
    /// On a frame rail.
    Rail(Length),
}

/// How far a guessed point may be off; common practice, no source.
const OFF: Length = Length::millimetres(50.0);

/// Sills are lifted behind the front wheels and ahead of the rear wheels; frame rails farther in.
fn point(built: FrameKind) -> Point {
    match built {
        FrameKind::Unibody => Point { aft: [0.21, 0.79], left: Left::InFromSide(Length::millimetres(170.0)) },
        FrameKind::FrameRails => Point { aft: [0.25, 0.66], left: Left::Rail(Length::millimetres(480.0)) },
    }
}

impl Papers {
    /// The classes of which it may be: the one that is said, else all whose roof, width and overhangs go with what is known;
    /// all of them where none does.
    #[must_use]
    pub fn classes(&self) -> Vec<BodyClass> {
        if let Some(class) = self.class {
            return vec![class];
        }
        let lies = |known: Option<Length>, least: Length, greatest: Length| {
            known.is_none_or(|known| least <= known && known <= greatest)
        };
        let may_be = |class: &BodyClass| {
            let body = priors::body(*class);
            let over = |front: Length, rear: Length| self.wheelbase.value + front + rear;
            lies(self.height, body.roof.least, body.roof.greatest)
                && lies(self.width, body.width.least, body.width.greatest)
                && lies(
                    self.length,
                    over(body.front_overhang.least, body.rear_overhang.least),
                    over(body.front_overhang.greatest, body.rear_overhang.greatest),
                )
        };
        let found: Vec<BodyClass> = BodyClass::ALL.into_iter().filter(may_be).collect();
        if found.is_empty() { BodyClass::ALL.to_vec() } else { found }
    }

    fn drives(&self) -> Vec<Drive> {
        self.drive.map_or_else(|| Drive::ALL.to_vec(), |drive| vec![drive])
    }

    /// What a prior says of every class and driven axle that it may be of.
    fn every<Q>(&self, prior: impl Fn(BodyClass, Drive) -> Measured<Q>) -> Vec<Measured<Q>> {
        let (classes, drives) = (self.classes(), self.drives());
        classes.iter().flat_map(|class| drives.iter().map(|drive| prior(*class, *drive))).collect()
    }

    fn weight(&self) -> Weight {
        let total = self.mass.clone();
        let share = self.front_share.clone().or_else(|| priors::any_of(&self.every(priors::front_share)));
        match share {
            Some(front_share) => Weight::TotalAndShare { total, front_share },
            None => Weight::Total(total),
        }
    }

    fn cg_height(&self) -> Option<Measured<Length>> {
        match self.height {
            Some(roof) => priors::any_of(&self.every(|class, drive| priors::cg_height(class, drive, roof))),
            None => priors::any_of(&self.every(priors::cg_height_of_class)),
        }
    }

    /// As what it may stand on the lift: with its lifting points on each frame that it may have and, where its width is not
    /// told, as far out as the narrowest, the middle and the widest of its class have them. `None` if they make no areas.
    #[must_use]
    pub fn vehicles(&self, limits: &Limits) -> Option<Vec<Vehicle>> {
        let classes = self.classes();
        let body = Body::of_any(&classes);
        let mut built: Vec<FrameKind> = vec![];
        for frame in classes.iter().map(|class| frame(*class)) {
            if !built.contains(&frame) {
                built.push(frame);
            }
        }
        let places = built
            .into_iter()
            .flat_map(|built| self.lefts(built, &body).into_iter().map(move |left| (built, left)));
        places.map(|(built, left)| self.vehicle((built, left), &classes, &body, limits)).collect()
    }

    /// How far left of the centre plane its left points may be.
    fn lefts(&self, built: FrameKind, body: &Body) -> Vec<Length> {
        match (point(built).left, self.width) {
            (Left::Rail(at), _) => vec![at],
            (Left::InFromSide(by), Some(width)) => vec![width / 2.0 - by],
            (Left::InFromSide(by), None) => {
                let widths = [body.width.least, body.width.middle(), body.width.greatest];
                widths.map(|width| width / 2.0 - by).to_vec()
            }
        }
    }

    fn vehicle(
        &self,
        (built, left): (FrameKind, Length),
        classes: &[BodyClass],
        body: &Body,
        limits: &Limits,
    ) -> Option<Vehicle> {
        let tape = Tape { length: self.length, width: self.width, roof: self.height, ..Tape::default() };
        let Shape { outline, wheels, sill_height, droop, mut guesses } =
            tape.filled_by(body, self.wheelbase.value);
        let underside = Guess {
            what: Taped::Undersides,
            used: body.underside.least,
            range: body.underside,
            source: priors::NO_DATA,
        };
        guesses.push(underside);
        Some(Vehicle {
            name: self.name.clone(),
            teaches: None,
            wheelbase: self.wheelbase.clone(),
            outline,
            wheels,
            weight: self.weight(),
            cg_height: self.cg_height(),
            class: *classes.first()?,
            drive: *self.drives().first()?,
            frame: built,
            lift_areas: self.lift_areas(point(built).aft, left, underside.used, limits)?,
            keep_outs: vec![],
            sill_height,
            droop,
            doors: vec![],
            stand_places: vec![],
            parts: vec![],
            unmeasured: Unmeasured {
                guesses,
                unknown: vec![Unknown::LiftPoints, Unknown::KeepOuts, Unknown::Doors, Unknown::Undersides],
                questioned: vec![],
                lift_points: OFF,
                undersides: underside.range.greatest - underside.range.least,
            },
        })
    }

    fn lift_areas(
        &self,
        aft: [f64; 2],
        left: Length,
        underside: Length,
        limits: &Limits,
    ) -> Option<Vec<LiftArea>> {
        let area = |corner: Corner| {
            let aft = self.wheelbase.value * aft[usize::from(!corner.is_front())];
            let side = if corner.is_left() { 1.0 } else { -1.0 };
            Some(LiftArea {
                name: format!("guessed {}", crate::quick::lifting_point(corner.is_front())),
                corner,
                region: about([aft, left * side], limits)?,
                underside,
                seat: Seat::Flat,
            })
        };
        Corner::ALL.into_iter().map(area).collect()
    }
}
