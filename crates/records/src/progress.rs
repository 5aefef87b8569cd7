//! Where a raise stands, and what may come next.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::course::{HoldPoint as P, LaterLock, Outline};
use crate::left::NotWhole;
use crate::names::Seq;

/// How high it is, as far as it is known: where the next point lifts it, it may be anywhere on the way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Position {
    /// Not on the lift.
    Away,
    /// On its wheels.
    Floor,
    /// On its wheels or on the way to the test height.
    TestRaising,
    /// Just clear of the floor.
    TestHeight,
    /// Between the test height and the lock, perhaps on another lock.
    Raising,
    /// Above that, held by the lift, perhaps on a lock.
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
    /// The last event by which something was measured of the vehicle, or struck out, or a check failed, since its plan passed one.
    pub doubt: Option<Seq>,
    /// Whether the last check of how it was found to stand failed, and nothing was confirmed since.
    #[serde(default)]
    pub stands_wrong: bool,
    /// Whether it had to leave its locks while a part might come off or go on, so that this may be done or half done.
    #[serde(default)]
    pub step_may_be_begun: bool,
    /// Whether the book's file of the vehicle is another than it was planned with.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub file_changed: bool,
    /// As what the vehicle was found, or may be, other than its file says.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub found: Vec<NotWhole>,
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
            doubt: None,
            stands_wrong: false,
            step_may_be_begun: false,
            file_changed: false,
            found: vec![],
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

    /// Whether it was confirmed to be at its height, and not down again since; of a salvaged book it may be.
    #[must_use]
    pub const fn has_been_raised(&self) -> bool {
        matches!(self.position, Position::Raised | Position::OnLocks | Position::Unknown)
    }

    /// Whether a lock could be missed now: the lift is on its way, from the test raise to its rest on the locks.
    #[must_use]
    pub fn is_going_up(&self) -> bool {
        let on_the_way = |p: P| p.goes_up() || matches!(p, P::Shaken | P::PadRechecked(_) | P::OnLocks);
        let next = self.ahead.iter().copied().find(|p| *p != P::AreaClear);
        !self.going_down && next.is_some_and(on_the_way)
    }

    /// Whether the next point is one of the way down, for good or to be seated again: it is never held up.
    #[must_use]
    pub fn is_coming_down(&self) -> bool {
        let Some(down) = self.place(P::FullyDown) else { return self.going_down };
        let works = |p: &P| p.goes_up() || matches!(p, P::StepDone(_) | P::StandsSet);
        self.going_down || self.is_to_be_seated_again() || !self.ahead.iter().take(down).any(works)
    }

    /// Whether who leads it confirms the next point alone, whoever they are: it is one of the way down, and after it nobody
    /// works at it.
    #[must_use]
    pub fn is_left_to_whoever_leads(&self) -> bool {
        let is_released_for_work = !self.going_down && self.next() == Some(P::OnLocks);
        self.is_coming_down() && !is_released_for_work
    }

    /// Whether it comes down to have its pads seated again, as there was a noise or something moved.
    #[must_use]
    pub fn is_to_be_seated_again(&self) -> bool {
        let seated = self.place(P::PadsSeated);
        self.place(P::FullyDown).is_some_and(|down| seated.is_some_and(|seated| seated > down))
    }

    /// The lock that the lift moves to next, before any other work: none where it comes down.
    #[must_use]
    pub fn moves_to_lock(&self) -> Option<u16> {
        let moves =
            self.ahead.iter().find(|p| !matches!(p, P::AreaClear | P::OffLocks | P::LocksReleased))?;
        let P::HeightReached(later) = moves else { return None };
        self.outline.lock_of(*later)
    }

    fn place(&self, wanted: P) -> Option<usize> {
        self.ahead.iter().position(|p| *p == wanted)
    }

    /// Whether by the next point it goes up, leaves its locks to go elsewhere, a part comes off or goes on, or stands are set
    /// for that: what is held while something is wrong.
    #[must_use]
    pub fn goes_on(&self) -> bool {
        let goes_on = |p: P| p.goes_up() || matches!(p, P::OffLocks | P::StepDone(_) | P::StandsSet);
        !self.is_coming_down() && self.next().is_some_and(goes_on)
    }

    /// Whether by the next point people go to a vehicle that hangs on its arms and does not rest on its locks.
    fn has_people_at_the_arms(&self) -> bool {
        let at_the_arms = matches!(self.next(), Some(P::Shaken | P::PadRechecked(_)));
        at_the_arms && !self.is_coming_down()
    }

    /// Whether by the next point stands are taken away with work still to be done: on the way down they go whatever a check says.
    fn takes_stands_away(&self) -> bool {
        self.next() == Some(P::StandsAway) && !self.is_coming_down()
    }

    /// Whether it rests on its locks, so that people may be at work at it before the next point: not where it comes down.
    #[must_use]
    pub fn rests_for_work(&self) -> bool {
        let worked_at =
            matches!(self.next(), Some(P::StepDone(_) | P::StandsSet | P::StandsAway | P::AreaClear));
        let comes_down = self.going_down || self.is_to_be_seated_again();
        self.position == Position::OnLocks && worked_at && !comes_down
    }

    /// Whether the next point waits while the lift is out of service: what goes on, what readies it on the floor to be raised, and
    /// what has people at a vehicle that hangs on its arms and does not rest on its locks. What lowers it, onto its locks or to
    /// the floor, and what takes it off the lift never waits.
    #[must_use]
    pub fn waits_for_service(&self) -> bool {
        let readies = |p: P| matches!(p, P::Spotted | P::PadsSeated | P::ArmLocksEngaged);
        let is_readied = self.next().is_some_and(readies) && !self.is_coming_down();
        self.goes_on() || is_readied || self.has_people_at_the_arms()
    }

    /// Whether its plan passed no check since something was measured of the vehicle, or a check failed.
    #[must_use]
    pub const fn in_doubt(&self) -> bool {
        self.doubt.is_some()
    }

    /// Whether the next point asks for a check of the vehicle as it is then: before each part comes off or goes on, before stands are set,
    /// before it goes up again with parts off or on, and once it was measured anew before it goes on, before people go to it, and
    /// before stands are taken away.
    #[must_use]
    pub fn asks_for_judgement(&self) -> bool {
        match self.next() {
            Some(P::StepDone(_) | P::StepUndone(_) | P::StandsSet) => true,
            Some(P::PadsSeated) => self.steps_done > 0 || self.step_may_be_begun,
            _ => {
                self.in_doubt()
                    && (self.goes_on() || self.has_people_at_the_arms() || self.takes_stands_away())
            }
        }
    }

    /// Whether the next point waits while a check of it fails.
    #[must_use]
    pub fn waits_for_check(&self) -> bool {
        self.waits_for_service() || self.takes_stands_away()
    }

    /// Whether a check of it now may come out otherwise than the last one did: until it passes, nobody works at it.
    #[must_use]
    pub fn is_to_be_checked_again(&self) -> bool {
        self.in_doubt() && (self.asks_for_judgement() || self.rests_for_work())
    }

    /// Whether the next point is confirmed only with a measuring that passes, or with words of what was changed: as it was
    /// last found to stand it must not be raised.
    #[must_use]
    pub fn asks_what_was_changed(&self) -> bool {
        self.stands_wrong && self.next().is_some_and(P::is_measured)
    }

    /// Whether a part may be off or on already that the next point is about: said with words, it is written down though the
    /// lift is out of service.
    #[must_use]
    pub fn may_be_done_already(&self) -> bool {
        self.goes_on() && self.position == Position::OnLocks && matches!(self.next(), Some(P::StepDone(_)))
    }

    /// Whether without its stands it might tip now: as it is, or as it may be already.
    #[must_use]
    pub fn stands_hold_it(&self) -> bool {
        let may_be = self.steps_done..=self.steps_done + u16::from(self.step_may_be_begun);
        self.stands_set && may_be.into_iter().any(|steps| self.outline.stands_hold(steps))
    }

    /// A point was confirmed. What the book holds was right by the program that wrote it: where its course had fewer points
    /// than this one's, those are passed over, and who drove off has ended the raise.
    pub(crate) fn confirm(&mut self, seq: Seq, point: P) {
        self.done.push((seq, point));
        self.stands_wrong = false;
        let passed = match self.ahead.iter().position(|p| *p == point) {
            Some(place) => self.ahead.drain(..=place).collect(),
            None => vec![point],
        };
        // An older program put nothing back.
        let passed = passed.into_iter().filter(|p| *p == point || !matches!(p, P::StepUndone(_)));
        if point.ends() {
            self.ahead.clear();
        }
        passed.for_each(|p| self.pass(p));
        self.position = match (self.position, self.next()) {
            (Position::Floor, Some(P::TestRaised)) => Position::TestRaising,
            (Position::TestHeight, Some(P::Raised)) => Position::Raising,
            (known, _) => known,
        };
    }

    fn pass(&mut self, point: P) {
        match point {
            P::Spotted | P::FullyDown | P::LeftOnFloor => self.position = Position::Floor,
            P::TestRaised => self.position = Position::TestHeight,
            // Which parts are off, and what stands under it, is not known before it is down.
            P::OffLocks if self.position == Position::Unknown => {}
            // Off a lock that lies as low, it is no higher.
            P::OffLocks if matches!(self.position, Position::TestRaising | Position::TestHeight) => {}
            P::Raised | P::OffLocks => self.position = Position::Raised,
            P::HeightReached(later) => self.locks_done = later + 1,
            P::OnLocks => self.position = Position::OnLocks,
            P::DrivenOff => self.position = Position::Away,
            P::AreaClear => {
                let goes_on = |p: &P| p.goes_up() || matches!(p, P::OnLocks | P::StepDone(_) | P::StandsSet);
                self.going_down |= !self.ahead.iter().any(goes_on);
            }
            P::StepDone(_) | P::StepUndone(_) => {
                self.steps_done = self.outline.steps_after(point).unwrap_or(self.steps_done);
                self.step_may_be_begun = false;
            }
            P::StandsSet => self.stands_set = true,
            P::StandsAway => self.stands_set = false,
            P::PadsSeated
            | P::ArmLocksEngaged
            | P::Shaken
            | P::PadRechecked(_)
            | P::LocksReleased
            | P::ArmsClear => {}
        }
    }

    /// Noise, or something moved: down first, then back to the seating of the pads. On the way down for good, and before
    /// the pads were seated, the course stays as it is.
    pub(crate) fn upset(&mut self) {
        if self.going_down || self.next() == Some(P::Spotted) {
            return self.look_again();
        }
        self.break_off();
        self.ahead = self.lowering();
        let (steps_done, step_may_be_begun) = self.at_the_end();
        let again = Self { stands_set: false, steps_done, step_may_be_begun, ..self.clone() };
        self.ahead.extend(again.seating_onwards());
        self.settle_end();
    }

    /// Something was not right, or another leads from here: that nobody is under it is looked at again before it moves down, onto
    /// its locks too, or to another lock.
    pub(crate) fn look_again(&mut self) {
        let moves = |p: P| {
            matches!(p, P::OnLocks | P::OffLocks | P::LocksReleased | P::FullyDown | P::HeightReached(_))
        };
        if self.next().is_some_and(moves) {
            self.ahead.insert(0, P::AreaClear);
        }
    }

    /// A lock was missed, so that it was passed: it is higher than what was confirmed last.
    pub(crate) fn lock_not_heard(&mut self) {
        if matches!(self.position, Position::TestRaising | Position::TestHeight) {
            self.position = Position::Raising;
        }
        self.bring_down();
    }

    /// Only the way down is left: a lock was not heard, or it was chosen.
    pub(crate) fn bring_down(&mut self) {
        if self.going_down {
            return;
        }
        self.break_off();
        self.ahead = self.lowering();
        if self.position != Position::Away {
            self.ahead.extend([P::ArmsClear, P::DrivenOff]);
        }
        self.going_down = true;
        self.settle_end();
    }

    /// What is known of the vehicle besides what this raise does to it.
    pub(crate) fn find(&mut self, found: Vec<NotWhole>) {
        self.found = found;
        if !self.found.is_empty() {
            self.recheck_before_raised();
        }
        self.settle_end();
    }

    /// The pads to recheck by hand of those that an outline names: all where it is not as it came, since what a shake proves
    /// was reckoned of it as it came.
    pub(crate) fn to_recheck(&self, outline: &Outline) -> impl Iterator<Item = u8> + use<> {
        let all = self.steps_done > 0 || self.step_may_be_begun || !self.found.is_empty();
        let named = outline.recheck.clone();
        (0..4).filter(move |pad| all || named.contains(pad))
    }

    /// Those pads besides, before it is raised, that were not rechecked since the test raise.
    fn recheck_before_raised(&mut self) {
        let Some(raised) = self.place(P::Raised) else { return };
        let tested = self.place(P::TestRaised).is_none();
        let (rechecks, mut before): (Vec<P>, Vec<P>) =
            self.ahead.drain(..raised).partition(|p| matches!(p, P::PadRechecked(_)));
        let done: BTreeSet<P> = self.rechecked().filter(|_| tested).map(P::PadRechecked).collect();
        let more = self.to_recheck(&self.outline).map(P::PadRechecked).filter(|p| !done.contains(p));
        before.extend(rechecks.into_iter().chain(more).collect::<BTreeSet<P>>());
        self.ahead.splice(..0, before);
    }

    /// With parts off or on that the job did not mean to end with, or that may be, it is not driven off.
    pub(crate) fn settle_end(&mut self) {
        let (done, may_be_begun) = self.at_the_end();
        let unfinished =
            self.outline.is_unfinished(done) || may_be_begun || self.found_at(done).next().is_some();
        let ends = |p: &P| matches!(p, P::ArmsClear | P::DrivenOff | P::LeftOnFloor);
        match (self.ahead.last(), unfinished) {
            (Some(P::DrivenOff), true) => {
                self.ahead.retain(|p| !ends(p));
                self.ahead.push(P::LeftOnFloor);
            }
            (Some(P::LeftOnFloor), false) => {
                self.ahead.retain(|p| !ends(p));
                self.ahead.extend([P::ArmsClear, P::DrivenOff]);
            }
            _ => {}
        }
    }

    /// After how many steps it is once all that is ahead was done, and whether another may be begun then.
    fn at_the_end(&self) -> (u16, bool) {
        let last = self.ahead.iter().rev().find_map(|p| self.outline.steps_after(*p));
        last.map_or((self.steps_done, self.step_may_be_begun), |steps| (steps, false))
    }

    /// As what it was found, of what so many steps do not get past.
    fn found_at(&self, steps: u16) -> impl Iterator<Item = &NotWhole> {
        self.found.iter().filter(move |found| !found.is_past(&self.outline, steps))
    }

    /// As what it was found, until the steps that were done are past that.
    pub fn found_still(&self) -> impl Iterator<Item = &NotWhole> {
        self.found_at(self.steps_done)
    }

    /// Where a part is to come off or go on next, or back, work at it may have been begun; where stands are to be set, some may
    /// stand.
    pub(crate) fn break_off(&mut self) {
        if let Some(P::StepDone(step) | P::StepUndone(step)) = self.next() {
            self.steps_done = step;
            self.step_may_be_begun = true;
        }
        self.stands_set |= matches!(self.next(), Some(P::StandsSet));
    }

    /// As what the vehicle is left on the lift where the raise ends here, out of its course: `None` = not there, or on its wheels
    /// with all that it had.
    #[must_use]
    pub fn abandoned(&self) -> Option<String> {
        let mut left = self.clone();
        left.break_off();
        let stands = left.stands_set.then(|| "on stands".to_owned());
        let up = left.is_up().then(|| "up on the lift, or partly up".to_owned());
        let state = left.unfinished().filter(|_| left.position != Position::Away);
        let all: Vec<String> = [up, stands, state].into_iter().flatten().collect();
        (!all.is_empty()).then(|| all.join("; "))
    }

    /// What may be done or half done, where work at it was broken off.
    #[must_use]
    pub fn broken_off(&self) -> Option<String> {
        let next = self.outline.steps.get(usize::from(self.steps_done)).filter(|_| self.step_may_be_begun)?;
        Some(format!("“{next}” may be done or half done"))
    }

    /// The state that it is in, where some but not all of the parts are off or on, or may be, or it was found so. Steps that
    /// were part of what it was found with tell nothing more.
    #[must_use]
    pub fn unfinished(&self) -> Option<String> {
        let behind = self.found_still().any(|found| found.is_in(&self.outline));
        let own = self.not_as_it_came().into_iter().chain(self.broken_off()).filter(|_| !behind);
        let all: Vec<String> = own.chain(self.found_still().map(ToString::to_string)).collect();
        (!all.is_empty()).then(|| all.join("; "))
    }

    /// The parts that are off or on, where the job did not mean to end so; with none, that it has not ended.
    fn not_as_it_came(&self) -> Vec<String> {
        let done = self.steps_done;
        let last = done.checked_sub(1).filter(|_| self.outline.is_unfinished(done));
        let Some((last, _)) = last.and_then(|last| self.outline.step(last)) else { return vec![] };
        let told = self.outline.parts_after(done).told();
        if told.is_empty() { vec![last.to_owned()] } else { told }
    }

    /// As what other than its file says it is by what this raise did, or may be where work was broken off; `None` = with all
    /// that it had.
    pub(crate) fn not_whole(&self) -> Option<String> {
        let parts = self.outline.parts_after(self.steps_done);
        let all: Vec<String> = parts.told().into_iter().chain(self.broken_off()).collect();
        (!all.is_empty()).then(|| all.join("; "))
    }

    /// Events may be lost: where it is, which parts are off and whether stands stand is to be looked at. Only the way down
    /// is left.
    pub(crate) fn lose_sight(&mut self) {
        self.position = Position::Unknown;
        self.going_down = true;
        self.ahead = if self.outline.stands.is_some() { vec![P::StandsAway] } else { vec![] };
        self.ahead.extend(self.onto_the_floor());
        self.ahead.extend([P::ArmsClear, P::DrivenOff]);
        self.found.push(NotWhole::lost());
        self.settle_end();
    }

    /// From where it may stand to the floor. Stands that hold it stay until the parts that they stand in for are on again.
    fn lowering(&self) -> Vec<P> {
        let mut points = if self.stands_hold_it() { self.to_where_no_stands_hold_it() } else { vec![] };
        if self.stands_set {
            points.push(P::StandsAway);
        }
        points.extend(self.onto_the_floor());
        if self.outline.lock.is_none() {
            points.retain(|p| !matches!(p, P::OnLocks));
        }
        points
    }

    /// From a state that its stands hold to one that stands without: the way on which fewest parts more come off, of those the
    /// shortest.
    fn to_where_no_stands_hold_it(&self) -> Vec<P> {
        let outline = &self.outline;
        let go = |(off, way, _): &(usize, Vec<P>, u16), next: P| {
            let way: Vec<P> = way.iter().copied().chain([next]).collect();
            let at = outline.steps_after(next).unwrap_or(self.steps_done);
            (off + usize::from(outline.takes_off(next)), way.len(), (way, at))
        };
        let here = (0, vec![], self.steps_done);
        let mut ways: BTreeSet<_> = match self.step_may_be_begun {
            true => [P::StepDone, P::StepUndone].map(|of| go(&here, of(self.steps_done))).into(),
            false => [(0, 0, (vec![], self.steps_done))].into(),
        };
        let mut been = BTreeSet::new();
        while let Some((off, _, (way, at))) = ways.pop_first() {
            if !outline.stands_hold(at) {
                return way;
            }
            if been.insert(at) {
                let back = outline.first_as(at).checked_sub(1).map(P::StepUndone);
                let here = (off, way, at);
                ways.extend(back.into_iter().chain([P::StepDone(at)]).map(|next| go(&here, next)));
            }
        }
        vec![]
    }

    /// Down from wherever it may be. Where it may rest on a lock, on one column or both, it is raised off them first, and they
    /// are held open: a column that hangs on its lock while the other goes down tips the vehicle.
    fn onto_the_floor(&self) -> Vec<P> {
        let may_be_on_a_lock = match self.position {
            Position::Away | Position::Floor => return vec![],
            Position::TestRaising | Position::TestHeight => self.outline.test_raise_reaches_a_lock(),
            Position::Raising | Position::Raised | Position::OnLocks | Position::Unknown => {
                self.outline.lock.is_some()
            }
        };
        let off = if may_be_on_a_lock { vec![P::OffLocks, P::LocksReleased] } else { vec![] };
        [P::AreaClear].into_iter().chain(off).chain([P::FullyDown]).collect()
    }

    /// From the seating of the pads to the end.
    pub(crate) fn seating_onwards(&self) -> Vec<P> {
        let mut points = vec![P::PadsSeated, P::ArmLocksEngaged, P::TestRaised, P::Shaken];
        points.extend(self.to_recheck(&self.outline).map(P::PadRechecked));
        points.extend([P::Raised, P::OnLocks]);
        // Seated again, it goes back to where the work was.
        let back = self.locks_done.checked_sub(1).filter(|i| self.outline.lock_of(*i) != self.outline.lock);
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
                points.extend(to_lock(&self.outline, self.outline.lock_before(index), index));
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

/// From one lock to another, to rest on it: nobody under it meanwhile, and locks released only to go down.
fn to_lock(outline: &Outline, from: Option<u16>, later: u16) -> Vec<P> {
    let mut points = vec![P::AreaClear, P::OffLocks];
    if outline.lock_of(later) < from {
        points.push(P::LocksReleased);
    }
    points.extend([P::HeightReached(later), P::OnLocks]);
    points
}
