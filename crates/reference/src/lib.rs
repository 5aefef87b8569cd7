//! Outside checks of the core: plain second ways that share no code with what they check.
//!
//! Slow and simple on purpose. Only quantities, points and the input types of the core are used,
//! so that a mistake in the core cannot hide by being made twice. The checks themselves are in `tests/`.

pub mod arithmetic;
pub mod dense;
pub mod doubt;
pub mod edges;
pub mod elastic;
pub mod global;
pub mod random;
pub mod spec;
