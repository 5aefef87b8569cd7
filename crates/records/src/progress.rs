//! Where a raise stands, and what may come next.

use serde::{Deserialize, Serialize};

use crate::course::{HoldPoint as P, LaterLock, Outline};
use crate::names::Seq;

/// How high it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Position {
    /// Not on the lift.
    Away,
    /// On its wheels.
    Floor,
    /// Just clear of the floor.
    TestHeight,
    /// Above that, held by the lift.
    Raised,
    /// Resting on the locks.
    OnLocks,
    /// Not known: events may be lost.
    Unknown,
}

/// Fold of a raise's facts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Progress {
    /// What it goes by.
    pub outline: Outline,
    /// What was confirmed, in order, by which event.
    pub done: Vec<(Seq, P)>,
    /// What is still to come; empty = ended.
    pub ahead: Vec<P>,
    /// How high it is.
    pub position: Position,
    /// How many parts are off or on.
    pub steps_done: u16,
    /// How many of the later locks were gone to.
    pub locks_done: u16,
    /// Whether stands stand under it.
    pub stands_set: bool,
    /// Whether only the way down is left, by choice or because the work is done.
    pub going_down: bool,
}

impl Progress {
    /// At its beginning.
    #[must_use]
    pub fn new(outline: Outline) -> Self {
        let mut new = Self {
            outline,
            done: vec![],
            ahead: vec![P::Spotted],
            position: Position::Away,
            steps_done: 0,
            locks_done: 0,
            stands_set: false,
            going_down: false,
        };
        let rest = new.seating_onwards();
        new.ahead.extend(rest);
        new
    }

    /// What comes next; `None` = it has ended.
    #[must_use]
    pub fn next(&self) -> Option<P> {
        self.ahead.first().copied()
    }

    /// Whether it stands off the floor, or may.
    #[must_use]
    pub const fn is_up(&self) -> bool {
        !matches!(self.position, Position::Away | Position::Floor)
    }

    /// Whether a lock could be missed now: the lift is on its way, from the test raise to its rest on the locks.
    #[must_use]
    pub fn is_going_up(&self) -> bool {
        let on_the_way =
            |p| matches!(p, P::Shaken | P::PadRechecked(_) | P::Raised | P::OnLocks | P::HeightReached(_));
        !self.going_down && self.next().is_some_and(on_the_way)
    }

    /// Whether the next point asks for a check of the vehicle as it is then: before each part comes off or goes on,
    /// and before it goes up again with parts off or on.
    #[must_use]
    pub fn asks_for_judgement(&self) -> bool {
        match self.next() {
            Some(P::StepDone(_)) => true,
            Some(P::PadsSeated) => self.steps_done > 0,
            _ => false,
        }
    }

    /// Whether without its stands it might tip now.
    #[must_use]
    pub fn stands_hold_it(&self) -> bool {
        self.stands_set
            && self.outline.stands.is_some_and(|(from, to)| (from + 1..to).contains(&self.steps_done))
    }

    /// The next point was confirmed.
    pub(crate) fn confirm(&mut self, seq: Seq, point: P) {
        if self.next() != Some(point) {
            return;
        }
        self.ahead.remove(0);
        self.done.push((seq, point));
        match point {
            P::Spotted | P::FullyDown => self.position = Position::Floor,
            P::TestRaised => self.position = Position::TestHeight,
            P::Raised | P::OffLocks => self.position = Position::Raised,
            P::HeightReached(later) => self.locks_done = later + 1,
            P::OnLocks => self.position = Position::OnLocks,
            P::DrivenOff => self.position = Position::Away,
            P::AreaClear => self.going_down = !self.ahead.iter().any(|p| p.goes_up()),
            P::StepDone(_) => self.steps_done += 1,
            P::StandsSet => self.stands_set = true,
            P::StandsAway => self.stands_set = false,
            _ => {}
        }
    }

    /// Noise, or something moved: down first, then back to the seating of the pads. On the way down for good, and before
    /// the pads were seated, the course stays as it is.
    pub(crate) fn upset(&mut self) {
        if self.going_down || self.next() == Some(P::Spotted) {
            return;
        }
        let down = self.lowering();
        let mut again = Self { stands_set: false, ..self.clone() };
        again.steps_done += steps_in(&down);
        self.ahead = down;
        self.ahead.extend(again.seating_onwards());
    }

    /// Only the way down is left: a lock was not heard, or it was chosen.
    pub(crate) fn bring_down(&mut self) {
        if self.going_down {
            return;
        }
        self.ahead = self.lowering();
        if self.position != Position::Away {
            self.ahead.extend([P::ArmsClear, P::DrivenOff]);
        }
        self.going_down = true;
    }

    /// Events may be lost: where it is, which parts are off and whether stands stand is to be looked at. Only the way down
    /// is left.
    pub(crate) fn lose_sight(&mut self) {
        self.position = Position::Unknown;
        self.going_down = true;
        self.ahead = if self.outline.stands.is_some() { vec![P::StandsAway] } else { vec![] };
        self.ahead.extend([P::AreaClear, P::FullyDown, P::ArmsClear, P::DrivenOff]);
    }

    /// From where it stands to the floor. Stands that hold it stay until the parts that they stand in for are on again.
    fn lowering(&self) -> Vec<P> {
        let mut points = vec![];
        if self.stands_hold_it() {
            points.extend(self.work().into_iter().take_while(|p| *p != P::StandsAway));
        }
        if self.stands_set {
            points.push(P::StandsAway);
        }
        match self.position {
            Position::Away | Position::Floor => {}
            Position::TestHeight | Position::Unknown => points.extend([P::AreaClear, P::FullyDown]),
            Position::Raised => points.extend([P::AreaClear, P::LocksReleased, P::FullyDown]),
            Position::OnLocks => points.extend([P::AreaClear, P::OffLocks, P::LocksReleased, P::FullyDown]),
        }
        if self.outline.lock.is_none() {
            points.retain(|p| !matches!(p, P::OnLocks | P::OffLocks | P::LocksReleased));
        }
        points
    }

    /// From the seating of the pads to the end.
    fn seating_onwards(&self) -> Vec<P> {
        let mut points = vec![P::PadsSeated, P::ArmLocksEngaged, P::TestRaised, P::Shaken];
        points.extend(self.outline.recheck.iter().map(|pad| P::PadRechecked(*pad)));
        points.extend([P::Raised, P::OnLocks]);
        // Seated again, it goes back to where the work was.
        let back = self.locks_done.checked_sub(1).filter(|i| lock_of(&self.outline, *i) != self.outline.lock);
        points.extend(back.map(|i| to_lock(&self.outline, self.outline.lock, i)).unwrap_or_default());
        points.extend(self.work());
        points.extend([
            P::AreaClear,
            P::OffLocks,
            P::LocksReleased,
            P::FullyDown,
            P::ArmsClear,
            P::DrivenOff,
        ]);
        if self.outline.lock.is_none() {
            points.retain(|p| !matches!(p, P::OnLocks | P::OffLocks | P::LocksReleased));
        }
        points
    }

    /// Parts, stands and other locks that are left to do. Stands are away before it moves, and set once it rests again.
    fn work(&self) -> Vec<P> {
        let steps = u16::try_from(self.outline.steps.len()).unwrap_or(u16::MAX);
        let mut points = vec![];
        let mut set = self.stands_set;
        for done in self.steps_done..=steps {
            if set && self.outline.stands.is_some_and(|(_, to)| done == to) {
                points.push(P::StandsAway);
                set = false;
            }
            let due = |(index, later): &(u16, &LaterLock)| *index >= self.locks_done && later.after == done;
            for (index, _) in (0..).zip(&self.outline.later).filter(due) {
                points.extend(to_lock(&self.outline, lock_before(&self.outline, index), index));
            }
            if !set && self.outline.stands.is_some_and(|(from, to)| (from..to).contains(&done)) {
                points.push(P::StandsSet);
                set = true;
            }
            if done < steps {
                points.push(P::StepDone(done));
            }
        }
        points
    }
}

fn lock_of(outline: &Outline, later: u16) -> Option<u16> {
    outline.later.get(usize::from(later)).map(|l| l.lock)
}

fn lock_before(outline: &Outline, later: u16) -> Option<u16> {
    later.checked_sub(1).and_then(|before| lock_of(outline, before)).or(outline.lock)
}

/// From one lock to another, to rest on it: nobody under it meanwhile, and locks released only to go down.
fn to_lock(outline: &Outline, from: Option<u16>, later: u16) -> Vec<P> {
    let mut points = vec![P::AreaClear, P::OffLocks];
    if lock_of(outline, later) < from {
        points.push(P::LocksReleased);
    }
    points.extend([P::HeightReached(later), P::OnLocks]);
    points
}

fn steps_in(points: &[P]) -> u16 {
    u16::try_from(points.iter().filter(|p| matches!(p, P::StepDone(_))).count()).unwrap_or(u16::MAX)
}
