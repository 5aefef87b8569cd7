//! What is to be done: loads aboard, parts off and on, doors wanted open.

use statics::{Angle, Length};

use crate::vehicle::Part;

/// A job: a sequence of states of one vehicle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// What the shop calls it; empty = only raised and lowered.
    pub name: String,
    /// What it shows a learner, if it is demonstration data.
    pub teaches: Option<String>,
    /// Loads in the vehicle through the whole job.
    pub loads: Vec<Part>,
    /// Parts off and on, in the given order.
    pub steps: Vec<Step>,
    /// Doors that must open beside the columns, by name, and how wide.
    pub doors: Vec<DoorWish>,
    /// Highest point above the ground with what the job opens (hatch, bonnet), if above the roof.
    pub opened_height: Option<Length>,
}

/// One step of a job.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A part comes off.
    Off(Part),
    /// A part goes on.
    On(Part),
}

/// A door that the job wants open.
#[derive(Clone, Debug, PartialEq)]
pub struct DoorWish {
    /// The vehicle's name of the door.
    pub door: String,
    /// How wide.
    pub opens: Angle,
}
