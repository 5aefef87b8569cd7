//! Loads of wheels and axles that no vehicle has.

use planner::priors;
use planner::vehicle::{BodyClass, Drive};

use super::si;
use crate::convert::expect;
use crate::input::quantity::Quantity;
use crate::input::{Problems, Text};
use crate::wire::vehicle as wire;
use statics::Mass;

/// The left wheels' share of the weight; common practice, no source, widened.
const LEFT_SHARE: Usual = Usual { shares: (0.42, 0.58), source: expect::PRACTICE };

/// Between what a share of the weight lies, and who says so.
#[derive(Clone, Copy)]
pub(in crate::convert) struct Usual {
    shares: (f64, f64),
    source: &'static str,
}

impl Usual {
    /// The front axle's share of any vehicle.
    pub(in crate::convert) const fn front() -> Self {
        Self { shares: expect::FRONT_SHARE.plausible, source: expect::FRONT_SHARE.source }
    }
    /// The front axle's share of vehicles of that class and drive, unladen.
    pub(super) fn front_of(class: BodyClass, drive: Drive) -> Self {
        let prior = priors::front_share(class, drive);
        Self { shares: (prior.least(), prior.greatest()), source: prior.basis.source().unwrap_or_default() }
    }
}

/// Warns of shares that are odd: readings are swapped sooner than a vehicle is so lopsided.
pub(in crate::convert) fn weight(file: &wire::Weight, front: Usual, problems: &mut Problems) {
    let mass = |text: &Option<Text<Mass>>| text.as_ref().and_then(si).filter(|m| *m > 0.0);
    let wheels = [&file.front_left, &file.front_right, &file.rear_left, &file.rear_right].map(mass);
    if let [Some(fl), Some(fr), Some(rl), Some(rr)] = wheels {
        let total = fl + fr + rl + rr;
        odd((fl + fr) / total, front, "the front wheels carry", file.front_left.as_ref(), problems);
        odd((fl + rl) / total, LEFT_SHARE, "the left wheels carry", file.rear_left.as_ref(), problems);
    }
    if let (Some(ahead), Some(behind)) = (mass(&file.front_axle), mass(&file.rear_axle)) {
        odd(ahead / (ahead + behind), front, "the front axle carries", file.front_axle.as_ref(), problems);
    }
    if let Some(share) = file.front_share.as_ref().and_then(si).filter(|share| (0.0..1.0).contains(share)) {
        odd(share, front, "the front axle carries", file.front_share.as_ref(), problems);
    }
}

fn odd<Q: Quantity>(share: f64, usual: Usual, what: &str, at: Option<&Text<Q>>, problems: &mut Problems) {
    let (least, most) = usual.shares;
    let Some(at) = at.filter(|_| !(least..=most).contains(&share)) else { return };
    let hint = if (least..=most).contains(&(1.0 - share)) {
        "Swapped? The other way round it would be usual"
    } else {
        "Readings may be swapped, or the vehicle laden"
    };
    problems.warn(
        at.span.clone(),
        format!("{what} {:.0} % of the weight, which is legal but odd", 100.0 * share),
        format!(
            "usual is {:.0} % to {:.0} % ({}). {hint}; leave it if it is right",
            (100.0 * least).ceil(),
            (100.0 * most).floor(),
            usual.source,
        ),
    );
}
