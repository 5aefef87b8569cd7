//! What to measure next: the reserve that one measurement would win.

use statics::{Length, Mass};

use crate::answer::{as_placed, at_its_place};
use crate::job::{Job, Step};
use crate::lift::Lift;
use crate::limits::Limits;
use crate::measured::Measured;
use crate::plan::Plan;
use crate::setup::Setup;
use crate::situation::{InputFault, Situation};
use crate::state::{Bare, bare};
use crate::vehicle::{Vehicle, Weight};

/// One measurement and what it would win.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// What would be measured.
    pub measure: Measurement,
    /// Least reserve of the plan, with what is known now.
    pub before: f64,
    /// The same once it is measured, if it turns out as supposed now; the setup is searched anew unless it was placed.
    pub after: f64,
}

/// A measurement that a workshop can make.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Measurement {
    /// The wheelbase, by tape.
    Wheelbase,
    /// Each axle on scales.
    Axles,
    /// Each wheel on scales.
    Wheels,
    /// Height of the centre of gravity, one axle lifted.
    CgHeight,
    /// A part or load on scales (its name).
    Part(String),
}

/// What a tape leaves of a wheelbase.
pub const TAPE: Length = Length::millimetres(5.0);
/// What scales leave of a mass, as a part of it.
pub const SCALES: f64 = 0.01;
/// What lifting an axle leaves of the height of the centre of gravity.
pub const LIFTED: Length = Length::millimetres(25.0);

/// Gains smaller than this say nothing.
const LEAST_GAIN: f64 = 0.001;
/// How many are worth a line.
const MOST_NAMED: usize = 3;

/// The measurements that would raise the plan's least reserve most, greatest gain first.
///
/// `setup` = the one that was placed, checked again; `None` = the search sets anew. Each measurement is
/// supposed to confirm the present value and to leave the tolerance of its tool (project defaults); at
/// most three, none that gains less than 0.001.
#[must_use]
pub fn measure_next(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    plan: &Plan,
    setup: Option<&Setup>,
) -> Vec<Gain> {
    let before = plan.worst_check().reserve;
    let worst = |vehicle: &Vehicle, job: &Job| {
        let again = match setup {
            Some(setup) => as_placed(lift, vehicle, job, limits, setup)?,
            None => at_its_place(&Situation::new(lift, vehicle, job, limits)?),
        };
        Ok::<f64, Vec<InputFault>>(again.worst_check().reserve)
    };
    let gain = |measure: Measurement| {
        let (vehicle, job) = measured(vehicle, job, &measure)?;
        // A measurement may not make a question where there was one, but what it then says is no gain.
        let after = worst(&vehicle, &job).ok()?;
        (after - before > LEAST_GAIN).then_some(Gain { measure, before, after })
    };
    let mut gains: Vec<Gain> = candidates(job).into_iter().filter_map(gain).collect();
    gains.sort_by(|a, b| b.after.total_cmp(&a.after));
    gains.truncate(MOST_NAMED);
    gains
}

fn candidates(job: &Job) -> Vec<Measurement> {
    let mut found =
        vec![Measurement::Wheelbase, Measurement::Axles, Measurement::Wheels, Measurement::CgHeight];
    let steps = job.steps.iter().map(|(Step::Off(part) | Step::On(part))| part);
    for part in job.loads.iter().chain(steps) {
        let named = Measurement::Part(part.name.clone());
        if !found.contains(&named) {
            found.push(named);
        }
    }
    found
}

/// Vehicle and job once that is measured; `None` where it is known as well already.
fn measured(vehicle: &Vehicle, job: &Job, measure: &Measurement) -> Option<(Vehicle, Job)> {
    let (mut vehicle, mut job) = (vehicle.clone(), job.clone());
    let bare = bare(&vehicle);
    let known = match measure {
        Measurement::Wheelbase => narrow(&mut vehicle.wheelbase, TAPE),
        Measurement::CgHeight => {
            let mut up = bare.up.clone();
            let narrower = narrow(&mut up, LIFTED);
            vehicle.cg_height = Some(up);
            narrower
        }
        Measurement::Axles => {
            let [front, rear] = axles(&vehicle, &bare).map(scaled);
            let weighed = matches!(vehicle.weight, Weight::WheelLoads(_));
            vehicle.weight = Weight::AxleLoads { front, rear };
            !weighed
        }
        Measurement::Wheels => {
            vehicle.weight = Weight::WheelLoads(wheels(&vehicle, &bare).map(scaled));
            true
        }
        Measurement::Part(name) => {
            let steps = job.steps.iter_mut().map(|(Step::Off(part) | Step::On(part))| part);
            let named = job.loads.iter_mut().chain(steps).filter(|part| part.name == *name);
            let mut narrower = false;
            for part in named {
                let tolerance = part.mass.value * SCALES;
                narrower |= narrow(&mut part.mass, tolerance);
            }
            narrower
        }
    };
    known.then_some((vehicle, job))
}

/// Whether the tool leaves less than was known.
fn narrow<Q>(value: &mut Measured<Q>, tolerance: Q) -> bool
where
    Q: Copy + PartialOrd + core::ops::Mul<f64, Output = Q>,
{
    let narrower = tolerance < value.tolerance;
    if narrower {
        *value = Measured::given(value.value, tolerance);
    }
    narrower
}

fn scaled(mass: Mass) -> Measured<Mass> {
    Measured::given(mass, mass * SCALES)
}

/// What the axles would weigh, as supposed now.
fn axles(vehicle: &Vehicle, bare: &Bare) -> [Mass; 2] {
    let rear = bare.mass.value * (bare.aft.value / vehicle.wheelbase.value);
    [bare.mass.value - rear, rear]
}

/// What the wheels would weigh, as supposed now: both axles lean to the same side alike.
fn wheels(vehicle: &Vehicle, bare: &Bare) -> [Mass; 4] {
    let [front, rear] = axles(vehicle, bare);
    let tracks = [vehicle.wheels.track_front, vehicle.wheels.track_rear].map(Length::to_metres);
    let moment = (front * tracks[0] + rear * tracks[1]).to_kilograms() / 2.0;
    let lean = bare.mass.value.to_kilograms() * bare.left.value.to_metres() / moment;
    [
        front * (0.5 + lean / 2.0),
        front * (0.5 - lean / 2.0),
        rear * (0.5 + lean / 2.0),
        rear * (0.5 - lean / 2.0),
    ]
}
