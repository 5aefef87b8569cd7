//! How a raise ended.

use records::{Event, Fact, HoldPoint, Position, Progress, Raise};

use super::raise::where_it_is;

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
    let moved = match how {
        Ending::OutOfItsCourse(_) if progress.is_up() => "not lowered".to_owned(),
        _ => raised(progress, events),
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

/// How high it was, of what came down again: until a point is confirmed it may have been anywhere on the way there.
fn raised(progress: &Progress, events: &[Event]) -> String {
    let was = |sought| progress.done.iter().any(|(_, point)| *point == sought);
    if was(HoldPoint::Raised) {
        return "raised and lowered".into();
    }
    let on_the_way = on_the_way(events);
    let found = |position| on_the_way.iter().rev().find(|then| then.position == position);
    let missed = events.iter().any(|event| matches!(event.fact, Fact::LockNotHeard { .. }));
    if found(Position::Unknown).is_some() {
        return "how high it was raised is not known".into();
    }
    match (found(Position::Raising).map(where_it_is), found(Position::TestRaising).map(where_it_is)) {
        (Some(place), _) if missed => format!("raised, to {place}, and lowered"),
        (Some(place), _) => format!("raised for the test, may have been higher ({place}), and lowered"),
        _ if was(HoldPoint::TestRaised) => "raised for the test only, and lowered".into(),
        (None, Some(place)) => format!("may have been raised for the test ({place}), and lowered"),
        (None, None) => "not raised".into(),
    }
}

/// Where it stood after each event.
fn on_the_way(events: &[Event]) -> Vec<Progress> {
    let Some((_, mut raise)) = events.first().and_then(Raise::begun) else { return vec![] };
    let follow = |event| {
        raise.follow(event);
        raise.progress.clone()
    };
    events.iter().skip(1).map(follow).collect()
}
