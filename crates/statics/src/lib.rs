//! Loads and stability of a rigid body on any set of one-sided supports.
//!
//! Everything is a function of its arguments: no files, clock, environment or randomness, and no
//! word of any trade. Axes: X ahead, Y left, Z up; weight acts along -Z.

mod assured;
mod assured_force;
mod estimate;
mod force_angle;
pub mod frame;
pub mod hull;
pub mod quantity;
mod range;
mod rock;
mod sharing;
pub mod simplex;
mod stability;
pub mod support;
mod unloading;
mod working_force;

pub use assured::{Account, AssuredLoads, Bound, SECOND_ORDER};
pub use assured_force::{AssuredForce, AtRest};
pub use estimate::Estimate;
pub use frame::{Frame, Ground, Heading, Place, Point};
pub use quantity::{Angle, Force, Length, Mass, Moment, Stiffness};
pub use range::{Hulls, LoadRange};
pub use rock::Rock;
pub use stability::{Edge, Normal, Outcome, Stability};
pub use support::{Body, Contact, Load, Push, Resists, SupportFault, SupportSet};
pub use unloading::{FirstUnloading, Growth};
pub use working_force::{LimitedBy, WorkingForce};
