//! What is known of a vehicle's weight: one of four ways.

use planner::Measured;
use planner::vehicle::Weight;
use statics::Mass;

use super::expect::{self, Expect};
use super::measured;
use crate::input::{At, Problems, Text};
use crate::wire::vehicle as wire;

/// The weight, or `None` with the reasons in `problems`.
pub(super) fn weight(file: &At<wire::Weight>, problems: &mut Problems) -> Option<Weight> {
    let w = &file.value;
    let wheels = [&w.front_left, &w.front_right, &w.rear_left, &w.rear_right];
    let given = (
        wheels.iter().filter(|t| t.is_some()).count(),
        [&w.front_axle, &w.rear_axle].iter().filter(|t| t.is_some()).count(),
        w.total.is_some(),
        w.front_share.is_some(),
    );
    let mut mass = |text: &Option<Text<Mass>>, what: &'static str, expect: &Expect| {
        let expect = Expect { what, ..*expect };
        text.as_ref().and_then(|t| measured(t, &expect, &expect::BY_SCALE, problems))
    };
    match given {
        (4, 0, false, false) => {
            let mut wheel = |text, what| mass(text, what, &expect::WHEEL_MASS);
            let [a, b, c, d] = [
                wheel(&w.front_left, "front_left"),
                wheel(&w.front_right, "front_right"),
                wheel(&w.rear_left, "rear_left"),
                wheel(&w.rear_right, "rear_right"),
            ];
            Some(Weight::WheelLoads([a?, b?, c?, d?]))
        }
        (0, 2, false, false) => {
            let front = mass(&w.front_axle, "front_axle", &expect::AXLE_MASS);
            let rear = mass(&w.rear_axle, "rear_axle", &expect::AXLE_MASS);
            Some(Weight::AxleLoads { front: front?, rear: rear? })
        }
        (0, 0, true, false) => mass(&w.total, "total", &expect::VEHICLE_MASS).map(Weight::Total),
        (0, 0, true, true) => {
            let total = mass(&w.total, "total", &expect::VEHICLE_MASS);
            let text = w.front_share.as_ref()?;
            // What is usual depends on the vehicle: `agree` asks.
            let whole =
                Expect { plausible: (0.0, 1.0), source: "a part of the whole", ..expect::FRONT_SHARE };
            let share = measured(text, &whole, &expect::OF_SHARE, problems)?;
            if share.value.0 + share.tolerance.0 >= 1.0 {
                let within = if share.value.0 < 1.0 { ": within what it may be off" } else { "" };
                problems.error(
                    text.span.clone(),
                    format!(
                        "front_share is {:?}{within}, and the rear axle carries something too",
                        text.text
                    ),
                    "write the front axle's part of the whole, such as \"61 %\"",
                );
                return None;
            }
            let front_share = Measured::even(share.value.0, share.tolerance.0, share.basis);
            Some(Weight::TotalAndShare { total: total?, front_share })
        }
        _ => {
            problems.error(
                file.span.clone(),
                "the weight is given in one of four ways, and this is none or more than one of them",
                "four wheels (front_left, front_right, rear_left, rear_right); or front_axle and rear_axle; or total and front_share; or total alone",
            );
            None
        }
    }
}
