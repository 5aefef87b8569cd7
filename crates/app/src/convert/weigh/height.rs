//! The height of the centre of gravity from readings with an axle lifted.

use planner::Measured;
use planner::weigh::{self, LiftedAxle};
use statics::{Length, Mass};

use super::expect;
use crate::input::Problems;
use crate::input::quantity::{Quantity, show_like};
use crate::wire::region::End;
use crate::wire::weigh as wire;

/// Between what heights a centre of gravity lies within a vehicle at all: above the lowest floors, and below
/// 2 m, which is more than half of the highest roof that is usual; 0.45 m to 0.97 m among 635 measured vehicles
/// (NHTSA), widened.
const WITHIN_A_VEHICLE: (f64, f64) = (0.10, 2.0);
/// Angle from which the method says nothing more, degrees; project default.
const STEEPEST: f64 = 60.0;

/// A reading with an axle lifted, and what was written.
pub(super) struct Reading<'a> {
    pub(super) file: &'a wire::Lifted,
    pub(super) lifted: LiftedAxle,
}

/// The vehicle weighed level.
pub(super) struct Level<'a> {
    /// Front and rear.
    pub(super) axles: [&'a Measured<Mass>; 2],
    pub(super) total: &'a Measured<Mass>,
    pub(super) wheelbase: &'a Measured<Length>,
}

impl<'a> Level<'a> {
    /// What the axle that stays down carries level.
    fn low(&self, reading: &Reading<'_>) -> &'a Measured<Mass> {
        let [front, rear] = self.axles;
        if reading.file.axle == End::Rear { front } else { rear }
    }
}

/// The height with its standard uncertainty, or `None` with the reasons in `problems`.
pub(super) fn height(
    readings: &[Reading<'_>],
    level: &Level<'_>,
    radius: &Measured<Length>,
    file: &wire::Weighing,
    problems: &mut Problems,
) -> Option<Measured<Length>> {
    let like = file.wheel_radius.as_ref().map_or("", |t| t.text.as_str());
    let shown = |height: Length| show_like(Length::KIND, height.to_metres(), like);
    let mut found: Vec<(&Reading<'_>, Measured<Length>)> = Vec::new();
    let mut fine = true;
    for reading in readings {
        if !legal(reading, level, problems) {
            fine = false;
            continue;
        }
        let height = weigh::height(&reading.lifted, level.low(reading), level.total, level.wheelbase, radius);
        fine &= within_a_vehicle(reading, height.value, &shown, level, radius, problems);
        found.push((reading, height));
    }
    fine.then_some(())?;
    for pair in found.windows(2) {
        let [(_, a), (reading, b)] = pair else { continue };
        if a.greatest() < b.least() || b.greatest() < a.least() {
            problems.error(
                reading.file.load.span.clone(),
                format!(
                    "two readings contradict each other: {} and {} above the ground",
                    shown(a.value),
                    shown(b.value)
                ),
                "weigh again; block the suspension, level the scales, wait until they settle",
            );
            return None;
        }
    }
    let heights: Vec<_> = found.into_iter().map(|(r, h)| (r.lifted.angle.value, h)).collect();
    Some(weigh::combined_height(&heights))
}

fn legal(reading: &Reading<'_>, level: &Level<'_>, problems: &mut Problems) -> bool {
    let (angle, file) = (&reading.lifted.angle, reading.file);
    if angle.greatest().to_degrees() >= STEEPEST || angle.tolerance >= angle.value {
        problems.error(
            file.angle.span.clone(),
            format!("angle is {:?}, and must be well between 0 and 60 degrees", file.angle.text),
            "lift one axle by some 10 to 20 degrees and measure the angle",
        );
        return false;
    }
    if reading.lifted.low_lifted.value >= level.total.value {
        problems.error(
            file.load.span.clone(),
            format!(
                "load is {:?}: the axle that stays down would carry more than the whole vehicle, {}",
                file.load.text,
                show_like(Mass::KIND, level.total.value.to_kilograms(), &file.load.text)
            ),
            "check the reading: the load is on the axle that is not lifted",
        );
        return false;
    }
    true
}

/// An error where the height lies outside any vehicle, a warning where it is unusual; either says which load
/// would give a usual one.
fn within_a_vehicle(
    reading: &Reading<'_>,
    height: Length,
    shown: &impl Fn(Length) -> String,
    level: &Level<'_>,
    radius: &Measured<Length>,
    problems: &mut Problems,
) -> bool {
    let up = height.to_metres();
    let (least, most) = expect::CG_HEIGHT.plausible;
    if (least..=most).contains(&up) {
        return true;
    }
    let file = reading.file;
    let load = |height: f64| {
        let low = weigh::low_lifted_at(
            Length::metres(height),
            reading.lifted.angle.value,
            level.low(reading).value,
            level.total.value,
            level.wheelbase.value,
            radius.value,
        );
        show_like(Mass::KIND, low.to_kilograms(), &file.load.text)
    };
    let usual = format!(
        "a usual height, {} to {}, is a load of {} to {} at {:?}",
        shown(Length::metres(least)),
        shown(Length::metres(most)),
        load(least),
        load(most),
        file.angle.text
    );
    let (within_least, within_most) = WITHIN_A_VEHICLE;
    let what = format!("load {:?} at {:?} puts the centre of gravity", file.load.text, file.angle.text);
    let where_to = if up <= 0.0 {
        format!("{} below the ground", shown(-height))
    } else {
        format!("{} above the ground", shown(height))
    };
    let span = file.load.span.clone();
    if (within_least..=within_most).contains(&up) {
        problems.warn(
            span,
            format!("{what} {where_to}, which is odd"),
            format!("{usual}; leave it if load, angle and axle are right"),
        );
        return true;
    }
    problems.error(
        span,
        format!("{what} {where_to}, outside any road vehicle"),
        format!("{usual}: check the load, the angle, and which axle was lifted; weigh again"),
    );
    false
}
