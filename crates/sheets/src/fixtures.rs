//! Invented lifts, vehicles and hand-made plans for the tests of this crate.

mod lifts;
mod plans;
mod vehicles;

pub(crate) use plans::Made;

/// Every lift with every vehicle.
pub(crate) fn all() -> Vec<Made> {
    let mut made = Vec::new();
    for lift in lifts::all() {
        for (vehicle, job) in vehicles::all() {
            made.push(plans::make(lift.clone(), vehicle, job));
        }
    }
    made
}

/// One of them by position: lift, vehicle.
pub(crate) fn one(lift: usize, vehicle: usize) -> Made {
    let (v, job) = vehicles::all().swap_remove(vehicle);
    plans::make(lifts::all().swap_remove(lift), v, job)
}
