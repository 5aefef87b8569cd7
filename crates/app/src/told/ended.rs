//! How a raise ended.

use records::{Event, Fact, HoldPoint, Raise};

/// Which way.
pub(crate) enum Ending<'a> {
    /// The vehicle left the lift.
    DrivenOff,
    /// It stands where the lift let it down.
    LeftOnFloor,
    /// Called off before anything was driven on, with why.
    CalledOff(&'a str),
    /// Somebody ended it, with why and how all is then.
    OutOfItsCourse(&'a str),
}

/// The event that ended it, and how. Nothing if these are no events of a raise that has ended.
pub(crate) fn ending(events: &[Event]) -> Option<(&Event, Ending<'_>)> {
    events.iter().rev().find_map(|event| match &event.fact {
        Fact::PointConfirmed { point: HoldPoint::DrivenOff, .. } => Some((event, Ending::DrivenOff)),
        Fact::PointConfirmed { point: HoldPoint::LeftOnFloor, .. } => Some((event, Ending::LeftOnFloor)),
        // The last of them: what is on the lift is driven off, or left there, after it is brought down.
        Fact::BroughtDown { words, .. } => Some((event, Ending::CalledOff(words))),
        Fact::RaiseAbandoned { words, .. } => Some((event, Ending::OutOfItsCourse(words))),
        _ => None,
    })
}

impl Ending<'_> {
    /// Without a full stop, and without why.
    pub(crate) const fn words(&self) -> &'static str {
        match self {
            Self::DrivenOff => "Lowered, and driven off the lift",
            Self::LeftOnFloor => "Left on the lift's floor, not driven off",
            Self::CalledOff(_) => "Called off before the vehicle was driven on",
            Self::OutOfItsCourse(_) => "Ended out of its course",
        }
    }

    /// Why, in the words of whoever ended it.
    pub(crate) const fn why(&self) -> Option<&str> {
        match self {
            Self::DrivenOff | Self::LeftOnFloor => None,
            Self::CalledOff(words) | Self::OutOfItsCourse(words) => Some(words),
        }
    }
}

/// Which of its steps were done, whether it went up and came down, and whether that was before its time.
pub(crate) fn work(how: &Ending<'_>, raise: &Raise, events: &[Event]) -> String {
    let progress = &raise.progress;
    let steps = match (progress.outline.steps.len(), usize::from(progress.steps_done)) {
        (0, _) => "no part off".into(),
        (all, done) if done >= all => format!("all {all} steps done"),
        (all, done) => format!("{done} of {all} steps done"),
    };
    let was = |sought| progress.done.iter().any(|(_, point)| *point == sought);
    let moved = match how {
        Ending::OutOfItsCourse(_) if progress.is_up() => "not lowered",
        _ if was(HoldPoint::Raised) => "raised and lowered",
        _ if was(HoldPoint::TestRaised) => "raised for the test only, and lowered",
        _ => "not raised",
    };
    let before_its_time = events.iter().rev().find_map(|event| match &event.fact {
        Fact::BroughtDown { words, .. } => Some(format!("brought down before its time (“{words}”), ")),
        Fact::LockNotHeard { words, .. } => {
            Some(format!("brought down as a lock was not heard (“{words}”), "))
        }
        _ => None,
    });
    let early = before_its_time.filter(|_| !matches!(how, Ending::CalledOff(_))).unwrap_or_default();
    format!("{early}{moved}, {steps}")
}
