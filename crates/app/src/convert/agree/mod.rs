//! What one figure says of another: figures that cannot all be true are errors, each at its line.
//!
//! The rules look at what was written and skip what cannot be read, so that they are told beside every
//! other problem of the file. A bound that is no contradiction by itself names its reason beside it.

mod body;
mod job;
mod lift;
mod lifting;
mod outline;
mod places;
mod weight;

use std::ops::Range;

use statics::Length;

use super::expect::{self, Expect};
use crate::convert;
use crate::input::quantity::{self, Quantity, show};
use crate::input::{Problems, Text};

pub(super) use job::job;
pub(super) use lift::lift;
pub(super) use lifting::{Odd, odd_along, odd_ends};
pub(super) use weight::{Usual, weight as scales};

/// What a careful tape may be off, metres; project default. Nothing is said of less.
const TAPE: f64 = 0.005;

/// Everything in a vehicle file that contradicts something else in it; names of lifting areas that are odd go to
/// `questioned`.
pub(super) fn vehicle(
    file: &crate::wire::vehicle::Vehicle,
    questioned: &mut Vec<String>,
    problems: &mut Problems,
) {
    let outline = outline::Outline::of(file);
    body::body(file, &outline, problems);
    places::places(file, &outline, questioned, problems);
    let usual = Usual::front_of(convert::vehicle::class(file.class), convert::vehicle::drive(file.drive));
    weight::weight(&file.weight.value, usual, problems);
}

/// An error unless there is room for the wheels between two hubs.
pub(super) fn wheels_apart(
    wheelbase: &Text<Length>,
    radius: Option<&Text<Length>>,
    usual: &Expect,
    problems: &mut Problems,
) {
    let base = Figure::of("wheelbase", wheelbase, &expect::WHEELBASE);
    if let (Some(base), Some(radius)) = (base, radius.and_then(|r| Figure::of("wheel_radius", r, usual)))
        && base.si <= 2.0 * radius.si
    {
        blame(
            &base,
            &radius,
            "more than twice",
            "less than half of",
            "front and rear tyres would touch: measure both again",
            problems,
        );
    }
}

/// A figure as it was written, to be held against others.
struct Figure<'a> {
    name: &'a str,
    span: Range<usize>,
    text: String,
    si: f64,
    expect: &'a Expect,
}

impl<'a> Figure<'a> {
    /// `None` if it cannot be read or has a sign that it must not have, which is said elsewhere.
    fn of<Q: Quantity>(name: &'a str, text: &Text<Q>, expect: &'a Expect) -> Option<Self> {
        let si = si(text).filter(|si| !expect.sign.forbids(*si))?;
        Some(Self { name, span: text.span.clone(), text: text.text.clone(), si, expect })
    }

    /// The same of one that may be left out.
    fn if_given<Q: Quantity>(name: &'a str, text: Option<&Text<Q>>, expect: &'a Expect) -> Option<Self> {
        Self::of(name, text?, expect)
    }

    /// One that stands in another file.
    fn elsewhere(name: &'a str, length: Length, expect: &'a Expect) -> Self {
        Self { name, span: 0..0, text: show(length), si: length.to_metres(), expect }
    }

    /// Where it stands, if it is odd by itself and so more likely wrong than what it contradicts.
    fn span_if_odd(&self) -> Option<&Range<usize>> {
        Some(&self.span).filter(|span| self.is_odd() && !span.is_empty())
    }

    fn is_odd(&self) -> bool {
        let (least, most) = self.expect.plausible;
        !(least..=most).contains(&self.si)
    }
}

/// A quantity in SI, if it can be read.
fn si<Q: Quantity>(text: &Text<Q>) -> Option<f64> {
    quantity::parse::<Q>(&text.text).ok().map(|read| read.value.to_si())
}

/// An error unless the first is more than the second.
fn more(high: Option<&Figure<'_>>, low: Option<&Figure<'_>>, help: &str, problems: &mut Problems) {
    if let (Some(high), Some(low)) = (high, low)
        && high.si <= low.si
    {
        blame(high, low, "more than", "less than", help, problems);
    }
}

/// An error unless the first is as much as the second or more.
fn no_less(high: Option<&Figure<'_>>, low: Option<&Figure<'_>>, help: &str, problems: &mut Problems) {
    if let (Some(high), Some(low)) = (high, low)
        && high.si < low.si
    {
        blame(high, low, "no less than", "no more than", help, problems);
    }
}

/// Of two figures that contradict each other the odd one is named first, else the later one; never one that
/// stands in another file.
fn blame(high: &Figure<'_>, low: &Figure<'_>, above: &str, below: &str, help: &str, problems: &mut Problems) {
    let high_first = match (high.span.is_empty(), low.span.is_empty()) {
        (true, _) => false,
        (_, true) => true,
        _ if high.is_odd() != low.is_odd() => high.is_odd(),
        _ => high.span.start > low.span.start,
    };
    let (first, second, how) = if high_first { (high, low, above) } else { (low, high, below) };
    problems.error(
        first.span.clone(),
        format!("{} is {:?}, and must be {how} {} {:?}", first.name, first.text, second.name, second.text),
        help,
    );
}

/// A length in metres, as a person would write it.
fn metres(value: f64) -> String {
    show(Length::metres(value))
}
