//! The forms in which things are stored and sent. Each has a version of its own; none is a domain type.

pub(crate) mod as_placed;
pub(crate) mod board;
pub(crate) mod job;
pub(crate) mod lift;
pub(crate) mod limits;
pub(crate) mod plan;
pub(crate) mod plan_work;
pub(crate) mod region;
pub(crate) mod solve;
pub(crate) mod vehicle;
pub(crate) mod weigh;
