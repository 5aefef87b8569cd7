//! An as-placed file to a setup.

use planner::frames::{DrivenIn, Placement};
use planner::setup::{PadAt, Setup};
use statics::{Angle, Length, Place};

use super::region::place;
use super::{expect, plain};
use crate::input::{Problems, Text};
use crate::wire::as_placed as wire;

/// Beyond this it stands neither forwards nor backwards, degrees; project default. A vehicle that is merely too far
/// out of square is refused by the checks.
const MOST_YAW: f64 = 45.0;

/// The setup, or `None` with the reasons in `problems`.
pub(crate) fn setup(file: &wire::AsPlaced, problems: &mut Problems) -> Option<Setup> {
    super::example_values(file.example_values.as_ref(), problems);
    let spot = plain(&file.spot, &expect::SPOT, problems);
    let offset = plain(&file.offset, &expect::OFFSET, problems);
    let yaw = plain(&file.yaw, &expect::YAW, problems);
    if let Some(yaw) = yaw.filter(|yaw| yaw.to_degrees().abs() > MOST_YAW) {
        problems.error(
            file.yaw.span.clone(),
            format!(
                "yaw is {:?}, more than 45 degrees: the vehicle would stand across the bay",
                file.yaw.text
            ),
            format!(
                "which way round it stands is said by driven_in; yaw is the {} by which it is out of square",
                if yaw > Angle::ZERO { "turn to the left" } else { "turn to the right" }
            ),
        );
    }
    let driven_in = match file.driven_in {
        wire::DrivenIn::Forwards => DrivenIn::Forwards,
        wire::DrivenIn::Backwards => DrivenIn::Backwards,
    };
    let pads = &file.pads;
    let [a, b, c, d] =
        [&pads.front_left, &pads.front_right, &pads.rear_left, &pads.rear_right].map(|p| pad(p, problems));
    let pads = [a?, b?, c?, d?];
    let points: Vec<[f64; 2]> = pads.iter().map(|p| p.at.to_metres()).collect();
    if on_one_line(&points) {
        let at = &file.pads.front_left.at;
        problems.error(
            at[0].span.start..at[1].span.end,
            "the four pads lie on one line: nothing can stand on them",
            "measure each pad: behind the front axle, left of centre (right is negative)",
        );
        return None;
    }
    swapped(&points, &file.pads, problems)?;
    Some(Setup { placement: Placement { spot: spot?, offset: offset?, yaw: yaw?, driven_in }, pads })
}

fn pad(file: &wire::Pad, problems: &mut Problems) -> Option<PadAt> {
    let at = place(&file.at, problems);
    let adapters = match &file.adapters {
        None => Some(None),
        Some(list) => {
            let read: Vec<Option<Length>> =
                list.iter().map(|t: &Text<Length>| plain(t, &expect::ADAPTER, problems)).collect();
            read.into_iter().collect::<Option<Vec<_>>>().map(Some)
        }
    };
    let height = match &file.height {
        None => Some(None),
        Some(text) => plain(text, &expect::PAD_HEIGHT, problems).map(Some),
    };
    Some(PadAt { at: Place::metres(at?), adapters: adapters?, height: height? })
}

/// Left pads must lie left of the right ones, front pads ahead of the rear ones; otherwise a sign or a
/// name is wrong.
fn swapped(at: &[[f64; 2]], pads: &wire::Pads, problems: &mut Problems) -> Option<()> {
    let spans = [&pads.front_left, &pads.front_right, &pads.rear_left, &pads.rear_right].map(|p| &p.at);
    let pairs = [
        (1, at[0][1] > at[1][1], "the front left pad is not to the left of the front right pad"),
        (3, at[2][1] > at[3][1], "the rear left pad is not to the left of the rear right pad"),
        (2, at[0][0] < at[2][0], "the front left pad is not ahead of the rear left pad"),
        (3, at[1][0] < at[3][0], "the front right pad is not ahead of the rear right pad"),
    ];
    let mut fine = true;
    for (second, holds, message) in pairs {
        if !holds {
            fine = false;
            let span = spans[second][0].span.start..spans[second][1].span.end;
            problems.error(
                span,
                message,
                "each place is [behind the front axle, left of centre]; right of centre is negative",
            );
        }
    }
    fine.then_some(())
}

/// Whether no three of the places span an area of more than 1 mm times their distance.
fn on_one_line(at: &[[f64; 2]]) -> bool {
    let n = at.len();
    (0..n).all(|i| {
        (0..n).all(|j| {
            (0..n).all(|k| {
                let (u, v) =
                    ([at[j][0] - at[i][0], at[j][1] - at[i][1]], [at[k][0] - at[i][0], at[k][1] - at[i][1]]);
                (u[0] * v[1] - u[1] * v[0]).abs() <= 1e-3 * u[0].hypot(u[1])
            })
        })
    })
}
