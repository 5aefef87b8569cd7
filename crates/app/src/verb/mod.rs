//! One module for each verb of the command line.

pub(crate) mod book;
pub(crate) mod check;
pub(crate) mod enter;
pub(crate) mod new;
pub(crate) mod outputs;
pub(crate) mod placed;
pub(crate) mod plan;
pub(crate) mod quick;
pub(crate) mod raise;
pub(crate) mod schema;
pub(crate) mod solve;
pub(crate) mod survey;
pub(crate) mod weigh;
