//! What is to be done: loads aboard, parts off and on, doors wanted open.

use statics::{Angle, Force, Length, Point};

use crate::frames::Vehicle as Frame;
use crate::measured::Measured;
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
    /// What is done to the raised vehicle.
    pub tasks: Vec<Task>,
    /// Who works under or at it.
    pub people: Vec<Person>,
    /// Supporting stands that are at hand.
    pub stands: Option<StandKit>,
}

impl Job {
    /// Whether somebody works at the raised vehicle: a job without tasks, steps and people only raises and lowers it.
    #[must_use]
    pub const fn has_work(&self) -> bool {
        !(self.tasks.is_empty() && self.steps.is_empty() && self.people.is_empty())
    }
}

/// One step of a job.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A part comes off.
    Off(Part),
    /// A part goes on.
    On(Part),
}

impl Step {
    /// The part that it is about.
    #[must_use]
    pub const fn part(&self) -> &Part {
        match self {
            Self::Off(part) | Self::On(part) => part,
        }
    }

    /// Name of the state after it.
    #[must_use]
    pub fn state_name(&self) -> String {
        match self {
            Self::Off(part) => format!("{} off", part.name),
            Self::On(part) => format!("{} on", part.name),
        }
    }

    /// Whether both take off or both put on.
    #[must_use]
    pub const fn is_like(&self, other: &Self) -> bool {
        matches!((self, other), (Self::Off(_), Self::Off(_)) | (Self::On(_), Self::On(_)))
    }
}

/// A door that the job wants open.
#[derive(Clone, Debug, PartialEq)]
pub struct DoorWish {
    /// The vehicle's name of the door.
    pub door: String,
    /// How wide.
    pub opens: Angle,
}

/// Something done to the raised vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What it is called.
    pub name: String,
    /// How the person stands or sits to it.
    pub posture: Posture,
    /// Names of the states in which it may be done; empty = in any.
    pub during: Vec<String>,
    /// The forces that it needs.
    pub forces: Vec<WorkForce>,
}

impl Task {
    /// Whether it may be done in the state of that name.
    #[must_use]
    pub fn is_done_in(&self, state: &str) -> bool {
        self.during.is_empty() || self.during.iter().any(|name| name == state)
    }
}

/// How a person works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Posture {
    /// Standing under the vehicle, hands overhead.
    StandingUnder,
    /// Standing at a wheel.
    StandingAtWheel,
    /// Seated at a wheel.
    SeatedAtWheel,
}

/// A force of a person or tool on the vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkForce {
    /// What it is called.
    pub name: String,
    /// Where it bears, vehicle at ride height.
    pub at: Point<Frame>,
    /// How far that place may be off along aft, left, up, either way.
    pub off: [Length; 3],
    /// The bar that the hand pulls, if there is one.
    pub bar: Option<Bar>,
    /// The directions in which it may act, each (aft, left, up); never empty, none is zero.
    pub directions: Vec<[f64; 3]>,
    /// How large it is.
    pub size: Measured<Force>,
}

/// A bar between where a force bears and the hand: what the pads must balance acts at the hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// From there to the hand, at the most.
    pub length: Length,
    /// How it may lie.
    pub lies: Lies,
}

/// How a bar may lie, square to the pull.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// In the plane of a wheel.
    InTheWheelPlane,
    /// Along, across or upright.
    AnyWay,
}

impl WorkForce {
    /// Where the hand may be for a pull along a direction: at either end of each way in which the bar may lie, without a bar
    /// where the force bears; and that at each corner of where it may be, as what all corners withstand is withstood between.
    #[must_use]
    pub fn hands(&self, along: [f64; 3]) -> Vec<Point<Frame>> {
        let at = self.at.to_metres();
        let mut places = vec![at];
        for (k, off) in self.off.iter().enumerate().filter(|(_, off)| **off > Length::ZERO) {
            let moved = |by: f64| core::array::from_fn(move |i| if i == k { by } else { 0.0 });
            let ends = [moved(off.to_metres()), moved(-off.to_metres())];
            places = places.iter().flat_map(|p| ends.map(|by: [f64; 3]| plus(*p, by))).collect();
        }
        let ends = self.ends(along);
        let hands = places.iter().flat_map(|p| ends.iter().map(|end| Point::metres(plus(*p, *end))));
        hands.collect()
    }

    /// From where it bears to where the hand may be.
    fn ends(&self, along: [f64; 3]) -> Vec<[f64; 3]> {
        let Some(bar) = self.bar else { return vec![[0.0; 3]] };
        let axes: &[[f64; 3]] = match bar.lies {
            Lies::InTheWheelPlane => &[[1.0, 0.0, 0.0], [0.0, 0.0, 1.0]],
            Lies::AnyWay => &[[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        };
        let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        let (size, length) = (dot(along, along), bar.length.to_metres());
        let square = |axis: &[f64; 3]| {
            let part = dot(*axis, along) / size;
            let rest: [f64; 3] = core::array::from_fn(|k| axis[k] - part * along[k]);
            let far = dot(rest, rest).sqrt();
            // An axis that the pull mostly goes along leaves no way of its own.
            (far > 0.5).then(|| rest.map(|v| v / far * length))
        };
        axes.iter().filter_map(square).flat_map(|end| [1.0, -1.0].map(|side| end.map(|v| side * v))).collect()
    }
}

fn plus(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    core::array::from_fn(|k| a[k] + b[k])
}

/// Somebody who works at the vehicle.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// What they are called on the sheet.
    pub name: String,
    /// Height of the body, barefoot.
    pub stature: Measured<Length>,
}

/// Supporting stands that are at hand, all alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandKit {
    /// How many.
    pub count: u8,
    /// What one may carry.
    pub rated: Force,
    /// Floor to head, screwed in.
    pub lowest: Length,
    /// Floor to head, screwed out.
    pub highest: Length,
}
