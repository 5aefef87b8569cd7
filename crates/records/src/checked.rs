//! What a check that passes makes of the course of a raise.

use crate::course::{HoldPoint as P, LaterLock, Outline};
use crate::fact::Judged;
use crate::progress::Progress;
use crate::refusal::Refusal;

impl Progress {
    /// As it goes on by the outline of a check that passes: pads, test raise and locks that are still to come are led as the
    /// check has them, the steps as they were. The way down is led by no check.
    ///
    /// # Errors
    /// What of it can be led no more.
    pub fn by_check(&self, checked: &Outline) -> Result<Self, Vec<Refusal>> {
        if self.going_down || self.is_to_be_seated_again() {
            return Ok(self.clone());
        }
        let led = &self.outline;
        let tested = !self.ahead.contains(&P::TestRaised);
        let raised = !self.ahead.contains(&P::Raised);
        let missed =
            checked.recheck.iter().filter(|pad| raised && !self.rechecked().any(|done| done == **pad));
        let missed = missed.map(|pad| Refusal::PadNotRechecked(led.pad_name(*pad)));
        let other_way = led.backwards.filter(|_| led.backwards != checked.backwards);
        // On its way to a lock, or at rest on it, it may be past another.
        let at_the_lock = raised || self.next() == Some(P::Raised);
        let other_locks = at_the_lock && checked.lock != led.lock
            || raised && checked.later != led.later
            || !self.behind(&checked.later).eq(self.behind(&led.later));
        let refused = missed
            .chain(other_way.map(Refusal::DrivenInOtherwise))
            .chain(other_locks.then_some(Refusal::OtherLocks));
        let refused: Vec<Refusal> = refused.collect();
        if !refused.is_empty() {
            return Err(refused);
        }
        // It was raised so far already, perhaps past a lock.
        let at_least = if tested && !raised { led.test_raise_millimetres } else { 0 };
        let outline = Outline {
            recheck: checked.recheck.clone(),
            lock: checked.lock,
            later: checked.later.clone(),
            test_raise_millimetres: checked.test_raise_millimetres.max(at_least),
            first_lock_millimetres: checked.first_lock_millimetres,
            backwards: checked.backwards,
            ..led.clone()
        };
        let mut new = Self { outline, ..self.clone() };
        if !raised {
            new.ahead = self.up_to_raised(tested, checked);
            new.ahead.extend(new.seating_onwards().into_iter().skip_while(|p| *p != P::Raised));
            new.settle_end();
        }
        Ok(new)
    }

    /// What comes before it is raised: of the pads those that the check names and, once it hangs at the test raise, those that
    /// were to come.
    fn up_to_raised(&self, tested: bool, checked: &Outline) -> Vec<P> {
        let before = self.ahead.iter().copied().take_while(|p| *p != P::Raised);
        let (pads, mut points): (Vec<P>, Vec<P>) = before.partition(|p| matches!(p, P::PadRechecked(_)));
        let asked = |pad: &u8| {
            let named = self.to_recheck(checked).any(|named| named == *pad)
                && !(tested && self.rechecked().any(|done| done == *pad));
            named || tested && pads.contains(&P::PadRechecked(*pad))
        };
        points.extend((0..4).filter(asked).map(P::PadRechecked));
        points
    }

    /// The pads that were rechecked by hand since it was raised for the test.
    pub(crate) fn rechecked(&self) -> impl Iterator<Item = u8> {
        let since = self.done.iter().rev().map_while(|(_, p)| (*p != P::TestRaised).then_some(*p));
        since.filter_map(|p| if let P::PadRechecked(pad) = p { Some(pad) } else { None })
    }

    /// The later locks that it has been to, or was to be at before steps that are done.
    fn behind<'a>(&self, later: &'a [LaterLock]) -> impl Iterator<Item = &'a LaterLock> {
        let (locks, steps) = (self.locks_done, self.steps_done);
        let is_behind = move |(index, lock): &(u16, &LaterLock)| *index < locks || lock.after < steps;
        (0..).zip(later).filter(is_behind).map(|(_, lock)| lock)
    }

    /// The same by what is kept of a check: `None` = it failed, or what it asks for can be led no more. An older program kept no
    /// outline.
    pub(crate) fn by_kept(&self, judged: &Judged) -> Option<Self> {
        match &judged.outline {
            _ if !judged.passes => None,
            Some(checked) => self.by_check(checked).ok(),
            None => Some(self.clone()),
        }
    }
}
