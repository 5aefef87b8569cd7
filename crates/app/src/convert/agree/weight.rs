//! Loads of wheels and axles that no vehicle has.

use super::si;
use crate::convert::expect;
use crate::input::{Problems, Text};
use crate::wire::vehicle as wire;
use statics::Mass;

/// The left wheels' share of the weight; common practice, no source, widened.
const LEFT_SHARE: (f64, f64) = (0.42, 0.58);

/// Warns of shares that are odd: readings are swapped sooner than a vehicle is so lopsided.
pub(in crate::convert) fn weight(file: &wire::Weight, problems: &mut Problems) {
    let mass = |text: &Option<Text<Mass>>| text.as_ref().and_then(si).filter(|m| *m > 0.0);
    let usual = expect::FRONT_SHARE.plausible;
    let wheels = [&file.front_left, &file.front_right, &file.rear_left, &file.rear_right].map(mass);
    if let [Some(fl), Some(fr), Some(rl), Some(rr)] = wheels {
        let total = fl + fr + rl + rr;
        odd((fl + fr) / total, usual, "the front wheels carry", file.front_left.as_ref(), problems);
        odd((fl + rl) / total, LEFT_SHARE, "the left wheels carry", file.rear_left.as_ref(), problems);
    }
    if let (Some(front), Some(rear)) = (mass(&file.front_axle), mass(&file.rear_axle)) {
        let share = front / (front + rear);
        odd(share, usual, "the front axle carries", file.front_axle.as_ref(), problems);
    }
}

fn odd(share: f64, (least, most): (f64, f64), what: &str, at: Option<&Text<Mass>>, problems: &mut Problems) {
    let Some(at) = at.filter(|_| !(least..=most).contains(&share)) else { return };
    problems.warn(
        at.span.clone(),
        format!("{what} {:.0} % of the weight, which is legal but odd", 100.0 * share),
        format!(
            "usual is {:.0} % to {:.0} % (common practice, no source): readings may be swapped; leave them if they are right",
            100.0 * least,
            100.0 * most
        ),
    );
}
