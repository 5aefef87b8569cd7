//! A setup as placed, held against the lift and the vehicle that it is said to be of: what cannot be of them is
//! a mistake of measuring or writing, and no setup to judge.

use planner::heights::{TAPE, least_stack};
use planner::setup::PadAt;
use planner::{Lift, Setup, Vehicle};
use statics::Length;

use crate::document::Document;
use crate::input::quantity::show;

/// The pads of an as-placed file, in the order of the corners.
const PAD_KEYS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];
/// Whether it can be of that lift and vehicle, as far as they could be read; if not, `file` says why.
pub(crate) fn agrees(
    setup: &Setup,
    lift: Option<&Lift>,
    vehicle: Option<&Vehicle>,
    file: &mut Document,
) -> bool {
    let before = file.problems.count(true);
    if let Some(lift) = lift {
        between_columns(lift, setup, file);
        heights(lift, setup, file);
        not_in_the_kit(lift, setup, file);
    }
    if let Some(vehicle) = vehicle {
        under_the_vehicle(vehicle, setup, file);
    }
    file.problems.count(true) == before
}

fn between_columns(lift: &Lift, setup: &Setup, file: &mut Document) {
    let (offset, half) = (setup.placement.offset, lift.columns.inside / 2.0);
    if offset.abs() >= half {
        file.error_at(
            &["offset"],
            format!(
                "offset is {}, and the columns of {} stand {} from the middle of the bay",
                show(offset),
                lift.name,
                show(half)
            ),
            "measure from the middle of the bay to the middle of the vehicle at its front axle",
        );
    }
}

/// The top of a pad is where its screw and its adapters can bring it.
fn heights(lift: &Lift, setup: &Setup, file: &mut Document) {
    let kit = &lift.pads;
    for (pad, key) in setup.pads.iter().zip(PAD_KEYS) {
        let Some(height) = pad.height else { continue };
        let Some(list) = &pad.adapters else {
            if least_stack(kit, height).is_none() {
                file.error_at(
                    &["pads", key, "height"],
                    format!("height is {}, and no stack of the kit of {} brings a pad there", show(height), lift.name),
                    &format!(
                        "without adapters pads stand {} to {} above the floor; measure to the top of the pad, lift fully down, adapters on, or correct `pads` in the lift's file",
                        show(kit.lowest),
                        show(kit.lowest + kit.travel)
                    ),
                );
            }
            continue;
        };
        let stack = list.iter().fold(Length::ZERO, |sum, a| sum + *a);
        let (least, most) = (kit.lowest + stack, kit.lowest + stack + kit.travel);
        if height < least - TAPE || height > most + TAPE {
            file.error_at(
                &["pads", key, "height"],
                format!(
                    "height is {}, and with those adapters a pad of {} stands {} to {} above the floor, carriage down",
                    show(height),
                    lift.name,
                    show(least),
                    show(most)
                ),
                "measure from the floor to the top of the pad, lift fully down, adapters on; or correct `pads` in the lift's file",
            );
        }
    }
}

/// A pad beside the vehicle carries nothing: a figure is wrong, or its sign.
fn under_the_vehicle(vehicle: &Vehicle, setup: &Setup, file: &mut Document) {
    let outline = &vehicle.outline;
    let rearmost = vehicle.wheelbase.value + outline.rear_overhang;
    let outside = |pad: &PadAt| {
        let [aft, left] = pad.at.to_metres().map(Length::metres);
        let half = outline.width / 2.0;
        if left.abs() > half + TAPE {
            Some(format!("{} beside the middle, and the vehicle ends at {}", show(left.abs()), show(half)))
        } else if -aft > outline.front_overhang + TAPE {
            let foremost = show(outline.front_overhang);
            Some(format!("{} ahead of the front axle, and the vehicle ends at {foremost}", show(-aft)))
        } else if aft > rearmost + TAPE {
            Some(format!("{} behind the front axle, and the vehicle ends at {}", show(aft), show(rearmost)))
        } else {
            None
        }
    };
    for (pad, key) in setup.pads.iter().zip(PAD_KEYS) {
        if let Some(how) = outside(pad) {
            file.error_at(
                &["pads", key, "at"],
                format!("this pad is not under the vehicle: {how}"),
                "each place is [behind the front axle, left of centre]; right of centre is negative",
            );
        }
    }
}

/// Adapters come from the lift's kit.
fn not_in_the_kit(lift: &Lift, setup: &Setup, file: &mut Document) {
    let same = |a: Length, b: Length| (a - b).abs() < Length::millimetres(0.5);
    let stacks = || setup.pads.iter().zip(PAD_KEYS).filter_map(|(p, key)| Some((p.adapters.as_ref()?, key)));
    for (stack, key) in stacks() {
        let strange = stack.iter().any(|a| !lift.pads.adapters.iter().any(|kind| same(kind.height, *a)));
        if strange || stack.len() > usize::from(lift.pads.stack_most) {
            file.error_at(
                &["pads", key, "adapters"],
                format!("the kit of {} holds no such stack of adapters", lift.name),
                "measure the adapters again, or add them to `pads` in the lift's file; only the lift maker's own belong there",
            );
        }
    }
    for kind in &lift.pads.adapters {
        let used = stacks().flat_map(|(stack, _)| stack).filter(|a| same(kind.height, **a)).count();
        if used > usize::from(kind.count) {
            file.error_at(
                &["pads"],
                format!("{used} adapters of one height, and the kit of {} holds {}", lift.name, kind.count),
                "count them again, or correct `count` in the lift's file",
            );
        }
    }
}
