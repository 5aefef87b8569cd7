//! From a lift, a vehicle and a job to a checked setup.
//!
//! The workshop's words live here. Everything is a function of its arguments: no files, clock,
//! environment, stored or sent formats, printing.

pub mod account;
mod answer;
mod ascent;
mod assumed;
mod beam;
pub mod chance;
mod change;
pub mod checks;
pub mod course;
mod door;
pub mod forces;
pub mod frames;
pub mod gain;
mod gauge;
pub mod height;
pub mod heights;
pub mod job;
pub mod lift;
pub mod limits;
mod measure;
pub mod measured;
mod mend;
mod moment;
mod obstacle;
pub mod order;
pub mod papers;
pub mod person;
pub mod plan;
pub mod priors;
pub mod quick;
pub mod region;
mod search;
pub mod setup;
pub mod situation;
pub mod stands;
pub mod state;
pub mod survey;
pub mod vehicle;
pub mod weigh;
pub mod work;

pub use answer::{as_led, as_placed, as_placed_with_cures, plan, verdict};
pub use chance::{Chance, Chances, chance};
pub use frames::{Bay, Placement, Vehicle as VehicleFrame};
pub use gain::{Gain, measure_next};
pub use job::Job;
pub use lift::Lift;
pub use limits::Limits;
pub use measured::{Basis, Measured};
pub use plan::Plan;
pub use region::Region;
pub use setup::Setup;
pub use situation::{InputFault, Situation};
pub use survey::{Surveyed, surveyed, takes};
pub use vehicle::Vehicle;

#[cfg(test)]
extern crate self as planner;
#[cfg(test)]
#[path = "../tests/common/mod.rs"]
mod common;
