//! Many vehicles on many lifts: read one by one, asked on every core, written in the order in which they came.

pub(crate) mod advice;
pub(crate) mod buy;
pub(crate) mod cells;
pub(crate) mod day;
pub(crate) mod engine;
pub(crate) mod fleet;
pub(crate) mod out;
mod papers;
pub(crate) mod parquet;
pub(crate) mod parts;
pub(crate) mod read;
pub(crate) mod row;
pub(crate) mod shop;
pub(crate) mod tally;
pub(crate) mod today;
pub(crate) mod told;
