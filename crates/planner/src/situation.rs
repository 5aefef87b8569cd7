//! Lift, vehicle, job and limits together, with what follows from them whatever the setup.

use statics::{Angle, Length, Mass, Stiffness};

use crate::beam::Rectangle;
use crate::checks::{RESERVE_MOST, What};
use crate::frames::{DrivenIn, Placement};
use crate::heights::{Choice, Heights, Needs, choices};
use crate::job::Job;
use crate::lift::{Arm, Corner, Lift, PadSurface};
use crate::limits::{Limits, Name};
use crate::measure::Sides;
use crate::setup::arm_for;
use crate::state::{State, StateFault, states};
use crate::vehicle::{LiftArea, Vehicle};
use crate::work::{PushCase, pushes};

/// Why lift, vehicle and job make no question.
#[derive(Clone, Debug, PartialEq)]
pub enum InputFault {
    /// A state of the job cannot be.
    State(StateFault),
    /// The job names a door that the vehicle has not.
    NoSuchDoor(String),
    /// A task (its name) is done in a state that the job has not (its name).
    NoSuchState {
        /// Name of the task.
        task: String,
        /// The name that no state has.
        state: String,
    },
    /// A force of a task (both names) without a direction, or with one that is no number.
    NoDirection {
        /// Name of the task.
        task: String,
        /// Name of the force.
        force: String,
    },
    /// The vehicle has no lifting area for this corner.
    NoAreaFor(Corner),
    /// The vehicle is longer than the bay.
    LongerThanBay {
        /// Overall length of the vehicle.
        vehicle: Length,
        /// Length of the bay.
        bay: Length,
    },
}

/// Lift, vehicle, job and limits, ready to measure setups against.
#[derive(Clone, Debug)]
pub struct Situation<'a> {
    /// The lift.
    pub lift: &'a Lift,
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The job.
    pub job: &'a Job,
    /// The limits in force.
    pub limits: &'a Limits,
    /// The states of the job, the first as it is raised.
    pub states: Vec<State>,
    /// Whether the plate's spotting rule is held; not when asking what geometry alone would allow.
    pub(crate) plate_binds: bool,
    /// Whether arms lock on their teeth only; not while looking for where pads would best be.
    pub(crate) teeth_bind: bool,
    /// The one kind of check that a search is to meet; all where none is named.
    pub(crate) asked: Option<What>,
    /// Where left and right are alike in every way, the area that mirrors each area.
    pub(crate) mirror: Option<Vec<usize>>,
    /// The forces of the job's tasks, one a direction.
    pub(crate) pushes: Vec<PushCase>,
    /// Whether a search steers by them; not while looking for the best that would be without.
    pub(crate) pushes_bind: bool,
    /// How far each pad stands below its lifting area when the first one touches; a search sets them all to touch at once.
    pub(crate) gaps: [Length; 4],
    pub(crate) tyres: [Rectangle; 4],
    /// Whether each lifting area is convex.
    pub(crate) convex: Vec<bool>,
    /// Opening asked of each door of the vehicle, radians.
    pub(crate) openings: Vec<f64>,
}

/// Stiffness of an arm at its pad, 1 m out, where the lift file gives none.
pub const ASSUMED_ARM_STIFFNESS: Stiffness = Stiffness::newtons_per_metre(400_000.0);
/// The least that it is taken to be.
pub const ASSUMED_ARM_STIFFNESS_LEAST: Stiffness = Stiffness::newtons_per_metre(200_000.0);
/// How far each arm may be off that by itself, as a part of it; project default, as of a stiffness that is stated without a
/// tolerance.
pub const ASSUMED_ARMS_DIFFER: f64 = 0.1;
/// Stiffness of pad and rubber.
pub const ASSUMED_PAD_STIFFNESS: Stiffness = Stiffness::newtons_per_metre(2_000_000.0);

impl<'a> Situation<'a> {
    /// Puts them together.
    ///
    /// # Errors
    /// Every reason why they make no question.
    pub fn new(
        lift: &'a Lift,
        vehicle: &'a Vehicle,
        job: &'a Job,
        limits: &'a Limits,
    ) -> Result<Self, Vec<InputFault>> {
        let mut faults = Vec::new();
        let states = states(vehicle, job).unwrap_or_else(|f| {
            faults.extend(f.into_iter().map(InputFault::State));
            Vec::new()
        });
        for corner in Corner::ALL {
            if !vehicle.lift_areas.iter().any(|a| a.corner == corner) {
                faults.push(InputFault::NoAreaFor(corner));
            }
        }
        for wish in &job.doors {
            if !vehicle.doors.iter().any(|d| d.name == wish.door) {
                faults.push(InputFault::NoSuchDoor(wish.door.clone()));
            }
        }
        let pushes = pushes(job, &states, &mut faults);
        let outline = &vehicle.outline;
        let overall = outline.front_overhang + vehicle.wheelbase.value + outline.rear_overhang;
        if let Some(bay) = lift.bay.map(|b| b.ahead + b.behind).filter(|b| overall > *b) {
            faults.push(InputFault::LongerThanBay { vehicle: overall, bay });
        }
        if !faults.is_empty() {
            return Err(faults);
        }
        let openings = vehicle.doors.iter().map(|door| {
            let wish = job.doors.iter().find(|w| w.door == door.name).map(|w| w.opens.to_radians());
            wish.unwrap_or_else(|| limits.get(Name::DoorWay))
        });
        Ok(Self {
            mirror: mirror(lift, vehicle, &states),
            openings: openings.collect(),
            plate_binds: lift.plate.is_some(),
            teeth_bind: true,
            asked: None,
            pushes,
            pushes_bind: false,
            gaps: [Length::ZERO; 4],
            tyres: tyres(vehicle),
            convex: vehicle.lift_areas.iter().map(|a| a.region.is_convex()).collect(),
            lift,
            vehicle,
            job,
            limits,
            states,
        })
    }

    /// The same with pads at these heights.
    pub(crate) fn touching(&self, heights: &Heights) -> Self {
        // What is left by rounding is no gap.
        let gaps = heights.misses().map(|miss| if miss.to_metres() < 1e-9 { Length::ZERO } else { miss });
        Self { gaps, ..self.clone() }
    }

    /// The sides that a search need look at.
    pub(crate) const fn sides(&self) -> Sides {
        if self.mirror.is_some() { Sides::Left } else { Sides::Both }
    }

    pub(crate) fn arm(&self, corner: usize, placement: &Placement) -> &'a Arm {
        &self.lift.arms[arm_for(Corner::ALL[corner], placement).index()]
    }

    /// Pitch of an arm's teeth, where they bind.
    pub(crate) fn pitch(&self, arm: &Arm) -> Option<Angle> {
        arm.tooth_pitch.filter(|_| self.teeth_bind)
    }

    /// Stiffness under a pad: arm and pad in series; the arm's own falls with the cube of its reach.
    /// `assumed` = the arm's own at a reach of 1 m, where its file gives none; `off` = how far a stated one is off, in
    /// parts of its tolerance.
    pub(crate) fn stiffness(arm: &Arm, reach: f64, assumed: Stiffness, off: f64) -> f64 {
        let own = arm.stiffness_out.as_ref().map_or_else(
            || assumed.to_newtons_per_metre() * (1.0 + ASSUMED_ARMS_DIFFER * off) / reach.powi(3),
            |k| {
                let stated = k.value + k.tolerance * off;
                stated.to_newtons_per_metre() * (arm.reach_out.to_metres() / reach).powi(3)
            },
        );
        1.0 / (1.0 / own + 1.0 / ASSUMED_PAD_STIFFNESS.to_newtons_per_metre())
    }

    /// Whether any arm's stiffness had to be assumed.
    pub(crate) fn stiffness_assumed(&self) -> bool {
        self.lift.arms.iter().any(|a| a.stiffness_out.is_none())
    }

    /// Whether any arm's stiffness may be off by itself: that of one that nobody measured always may.
    pub(crate) fn stiffness_in_doubt(&self) -> bool {
        let doubts =
            |a: &Arm| a.stiffness_out.as_ref().is_none_or(|k| k.tolerance.to_newtons_per_metre() > 0.0);
        self.lift.arms.iter().any(doubts)
    }

    /// In how many ways arms may bend: see [`Situation::models`].
    pub(crate) fn ways(&self) -> usize {
        let bending = if self.stiffness_in_doubt() { 2 } else { 1 };
        bending + usize::from(self.stiffness_assumed())
    }

    /// What one arm may carry, newtons.
    pub(crate) fn arm_rated(&self, arm: &Arm) -> f64 {
        arm.rated.map_or_else(|| self.lift.rated.weight().to_newtons() / 4.0, |r| r.to_newtons())
    }

    pub(crate) fn is_small_lift(&self) -> bool {
        self.lift.rated <= Mass::kilograms(3500.0)
    }

    /// The plate's band for this wheelbase.
    pub(crate) fn band(&self) -> Option<&'a crate::lift::Band> {
        let plate = self.lift.plate.as_ref()?;
        plate.bands.iter().find(|b| b.holds(self.vehicle.wheelbase.value))
    }

    /// The band that the wheelbase may belong to as well, within its tolerance.
    pub(crate) fn other_band(&self) -> Option<&'a crate::lift::Band> {
        let (plate, own) = (self.lift.plate.as_ref()?, self.band()?);
        let base = &self.vehicle.wheelbase;
        let ends = [base.least(), base.greatest()];
        plate.bands.iter().find(|b| *b != own && ends.iter().any(|end| b.holds(*end)))
    }

    pub(crate) fn height_choices(&self, areas: [usize; 4], driven_in: DrivenIn) -> Vec<Choice> {
        let mut found = choices(&self.lift.pads, &self.height_needs(areas, driven_in));
        if !self.asks(What::PadEntry(Corner::FrontLeft)) {
            found.iter_mut().for_each(|choice| choice.reserve = RESERVE_MOST);
        }
        found
    }

    pub(crate) fn height_needs(&self, areas: [usize; 4], driven_in: DrivenIn) -> Needs {
        let stand = Placement::square(Length::ZERO, driven_in);
        let top = (0..4).map(|i| self.arm(i, &stand).beam_top.to_metres()).fold(0.0, f64::max);
        Needs {
            undersides: areas.map(|a| self.vehicle.lift_areas[a].underside.to_metres()),
            under_sill: self.vehicle.sill_height.to_metres() - top,
            entry: self.limits.get(Name::PadEntry),
            sill_air: self.limits.get(Name::BeamToSill),
        }
    }

    /// What is left of [`Self::friction`] where the pads are out of level the wrong way: tan(atan(friction) - tilt). Derived.
    #[must_use]
    pub fn grip(&self) -> f64 {
        (self.friction().atan() - self.limits.get(Name::Level)).tan().max(0.0)
    }

    /// Friction of the pads, level.
    pub const fn friction(&self) -> f64 {
        match self.lift.pads.surface {
            // CTU Code 2014 Annex 7 App. 2; rubber: VDI 2700-15; oily: project default.
            PadSurface::Rubber => 0.6,
            PadSurface::RoughMetal => 0.3,
            PadSurface::SmoothMetal => 0.2,
            PadSurface::Oily => 0.1,
        }
    }
}

/// For each lifting area the one that mirrors it; none unless arms, areas, keep-outs and weight
/// are all alike on both sides.
fn mirror(lift: &Lift, vehicle: &Vehicle, states: &[State]) -> Option<Vec<usize>> {
    let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let arms = [(0, 1), (2, 3)].into_iter().all(|(l, r)| {
        let (l, r) = (&lift.arms[l], &lift.arms[r]);
        let ([lx, ly], [rx, ry]) = (l.pivot.to_metres(), r.pivot.to_metres());
        let mirrored = Arm { pivot: r.pivot, swing_from: -l.swing_to, swing_to: -l.swing_from, ..l.clone() };
        let swings = same(mirrored.swing_from.to_radians(), r.swing_from.to_radians())
            && same(mirrored.swing_to.to_radians(), r.swing_to.to_radians());
        // Teeth count from one stop: they mirror when a whole number fits between the stops.
        let whole = l.tooth_pitch.is_none_or(|p| {
            let n = (l.swing_to - l.swing_from) / p;
            same(n, n.round())
        });
        let rest = Arm { swing_from: r.swing_from, swing_to: r.swing_to, ..mirrored } == *r;
        same(lx, rx) && same(ly, -ry) && swings && whole && rest
    });
    let level = states.iter().all(|s| same(s.cg.to_metres()[1], 0.0));
    let keep_outs =
        vehicle.keep_outs.iter().all(|k| vehicle.keep_outs.iter().any(|o| k.region.mirrors(&o.region)));
    if !(arms && level && keep_outs) {
        return None;
    }
    let twin = |a: &LiftArea| {
        vehicle.lift_areas.iter().position(|b| {
            b.corner.is_front() == a.corner.is_front()
                && b.corner.is_left() != a.corner.is_left()
                && same(a.underside.to_metres(), b.underside.to_metres())
                && a.seat == b.seat
                && a.region.mirrors(&b.region)
        })
    };
    vehicle.lift_areas.iter().map(twin).collect()
}

/// Tyres in the vehicle's plan, wheels straight, in the order of the corners.
fn tyres(vehicle: &Vehicle) -> [Rectangle; 4] {
    let w = &vehicle.wheels;
    let (r, half) = (w.tyre_diameter.to_metres() / 2.0, w.tyre_width.to_metres() / 2.0);
    Corner::ALL.map(|corner| {
        let (aft, track) = if corner.is_front() {
            (0.0, w.track_front.to_metres())
        } else {
            (vehicle.wheelbase.value.to_metres(), w.track_rear.to_metres())
        };
        let left = if corner.is_left() { track / 2.0 } else { -track / 2.0 };
        Rectangle { least: [aft - r, left - half], greatest: [aft + r, left + half] }
    })
}
