//! A vehicle once a length that was guessed is measured.

use statics::Length;

use crate::priors;
use crate::quick::{Guess, Taped, Unknown};
use crate::vehicle::Vehicle;

/// With that length measured, and found half-way between its ends.
pub(super) fn measure(vehicle: &mut Vehicle, what: Taped) -> bool {
    let Some(k) = vehicle.unmeasured.guesses.iter().position(|g| g.what == what) else { return false };
    let Guess { used, range, .. } = vehicle.unmeasured.guesses.remove(k);
    let found = range.middle();
    let (outline, wheels) = (&mut vehicle.outline, &mut vehicle.wheels);
    match what {
        Taped::Roof => {
            outline.roof = found;
            let height = vehicle.cg_height.take();
            let known = height.filter(|h| !h.is_assumed());
            vehicle.cg_height =
                Some(known.unwrap_or_else(|| priors::cg_height(vehicle.class, vehicle.drive, found)));
        }
        // The tyres were taken as wide as the whole room in which they may be.
        Taped::Track => {
            wheels.tyre_width -= range.half();
            wheels.track_off = [super::TAPE; 2];
        }
        Taped::TyreDiameter => wheels.tyre_diameter = found,
        Taped::TyreWidth => wheels.tyre_width -= used - found,
        Taped::FrontOverhang => outline.front_overhang = found,
        Taped::RearOverhang => outline.rear_overhang = found,
        Taped::Width => outline.width = found,
        Taped::Mirrors => {
            if let Some(mirrors) = &mut outline.mirrors {
                mirrors.width = found;
            }
        }
        Taped::Sill => vehicle.sill_height = found,
        Taped::Undersides => {
            for area in vehicle.lift_areas.iter_mut().filter(|area| area.underside == used) {
                area.underside = found;
            }
            vehicle.unmeasured.undersides = Length::ZERO;
            vehicle.unmeasured.unknown.retain(|u| *u != Unknown::Undersides);
        }
    }
    true
}
