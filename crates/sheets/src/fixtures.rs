//! Invented lifts, vehicles and hand-made plans for the tests of this crate.

mod lifts;
mod plans;
mod vehicles;

use std::sync::OnceLock;

pub(crate) use plans::{Made, make, placed};

/// Every lift with every vehicle, planned once.
pub(crate) fn all() -> &'static [Made] {
    static ALL: OnceLock<Vec<Made>> = OnceLock::new();
    ALL.get_or_init(|| {
        let with = |lift: planner::Lift| {
            vehicles::all().into_iter().map(move |(vehicle, job)| make(lift.clone(), vehicle, job))
        };
        lifts::all().into_iter().flat_map(with).collect()
    })
}

/// One of them by position: lift, vehicle.
pub(crate) fn one(lift: usize, vehicle: usize) -> &'static Made {
    &all()[lift * vehicles::all().len() + vehicle]
}
