//! Why lift, vehicle and job make no question.

use planner::InputFault;
use planner::state::{Leaves, StateFault, Tips};

use super::corner_name;
use crate::Units;

/// A fault of the input, as one sentence with what would be right.
#[must_use]
pub fn input_fault(fault: &InputFault, units: Units) -> String {
    match fault {
        InputFault::State(state) => state_fault(state, units),
        InputFault::NoSuchDoor(door) => {
            format!("The job wants the door \"{door}\" open, but the vehicle has no door of that name.")
        }
        InputFault::NoSuchState { task, state } => {
            format!(
                "The task \"{task}\" is done in state \"{state}\", but the job has no state of that name."
            )
        }
        InputFault::NoDirection { task, force } => {
            format!("The force \"{force}\" of the task \"{task}\" has no direction.")
        }
        InputFault::NoAreaFor(corner) => {
            format!("The vehicle has no lifting area at its {} corner; give one.", corner_name(*corner))
        }
        InputFault::LongerThanBay { vehicle, bay } => format!(
            "The vehicle is {} long and the bay only {}: check both lengths, or take a longer bay.",
            units.length(*vehicle),
            units.length(*bay)
        ),
    }
}

/// Why a state of a job cannot be.
#[must_use]
pub fn state_fault(fault: &StateFault, units: Units) -> String {
    match fault {
        StateFault::NoMass { state, .. } => {
            format!("In state \"{state}\" nothing would be left to lift, within what the masses may be off.")
        }
        StateFault::CgLeaves { state, way, part } => {
            let far = units.length(way.far());
            let place = match way {
                Leaves::Ahead(_) => format!("{far} ahead of the vehicle's front end"),
                Leaves::Behind(_) => format!("{far} behind the vehicle's rear end"),
                Leaves::Sideways(_) => format!("{far} beside the vehicle"),
                Leaves::Below(_) => format!("{far} below the ground"),
                Leaves::Above(_) => format!("{far} above the roof"),
            };
            let of = match part {
                Some(part) => format!("\"{part}\" cannot have this mass at this place: in"),
                None => "In".into(),
            };
            format!("{of} state \"{state}\" the centre of gravity of what is left would lie {place}.")
        }
        StateFault::OffItsWheels(tips) => {
            let wheels = match tips {
                Tips::Back => "front wheels",
                Tips::Forwards => "rear wheels",
                Tips::Sideways => "wheels of one side",
            };
            format!("With these loads the vehicle would tip off its {wheels} before any lift touches it.")
        }
        StateFault::TakenTwice(part) => format!("The job takes \"{part}\" off although it is off already."),
        StateFault::PutTwice(part) => format!("The job puts \"{part}\" on although it is on already."),
        StateFault::TooEarly(part, first) => {
            format!("The job takes \"{part}\" off before \"{first}\", which must be off first.")
        }
        StateFault::PutTooLate(part, first) => {
            format!("The job puts \"{part}\" on after \"{first}\", which must still be off then.")
        }
    }
}
