//! What could be measured next, in words.

use planner::gain::{BALANCED, GAUGED, LIFTED, Measurement, SCALES, TAPE};
use statics::Length;

use crate::units::{Units, decimals};

/// A measurement and what it leaves unknown, as a noun phrase.
#[must_use]
pub fn measurement(measure: &Measurement, units: Units) -> String {
    let length = |l: Length| units.fine_length(l);
    let scales = format!("scales good to {} %", decimals(SCALES * 100.0, 0));
    match measure {
        Measurement::Wheelbase => format!("the wheelbase, by tape to {}", length(TAPE)),
        Measurement::Axles => format!("the load on each axle, {scales}"),
        Measurement::Wheels => format!("the load on each wheel, {scales}"),
        Measurement::CgHeight => {
            format!("the height of the centre of gravity, one axle lifted, to {}", length(LIFTED))
        }
        Measurement::Lengths(all) => {
            let names: Vec<&str> = all.iter().map(|one| one.name()).collect();
            format!("{}, by tape, if half-way in the range that was assumed", names.join(", "))
        }
        Measurement::Part(name) => format!("the mass of {name}, {scales}"),
        Measurement::PartPlace(name) => {
            format!("where the weight of {name} is, balanced on a bar, to {}", length(BALANCED))
        }
        Measurement::ArmStiffness => {
            format!(
                "the stiffness of the lift's arms: how far each pad sinks under a known load, to {} %",
                decimals(GAUGED * 100.0, 0)
            )
        }
    }
}
