//! Loads and stability of a rigid body on any set of one-sided supports.
//!
//! Everything is a function of its arguments: no files, clock, environment or randomness, and no
//! word of any trade. Axes: X ahead, Y left, Z up; weight acts along -Z.

pub mod frame;
pub mod quantity;

pub use frame::{Frame, Ground, Heading, Place, Point};
pub use quantity::{Angle, Force, Length, Mass, Moment, Stiffness};
