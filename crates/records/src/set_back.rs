//! A clock that was set back: what counts for some time lasts no longer by that.

use std::fmt;

use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp, ToSpan};
use serde::{Deserialize, Serialize};

use crate::event::Event;
use crate::fact::Fact;
use crate::hall::{Examined, Hall, Person, day_in};
use crate::names::Seq;
use crate::zone::Zone;

/// How far the clock may stand before the last event, or be set back, and nothing comes of it: two tablets differ. Own convention.
pub const CLOCKS_DIFFER: SignedDuration = SignedDuration::from_mins(15);

/// The clock stands before the latest time in the book.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Behind {
    /// The first event at which it did.
    since: Seq,
    /// The event at which it last went back, what it read then, and the latest since.
    pub(crate) back: (Seq, Timestamp),
    last: Timestamp,
    /// The day that counted until then.
    before: Date,
    /// The day by the clock when it last went back, and the latest since then.
    from: Date,
    to: Date,
    /// How far it went forward before that.
    gone: SignedDuration,
}

/// What was set back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum WentBack {
    /// The clock.
    Clock,
    /// The zone, farther west.
    Zone,
}

impl fmt::Display for WentBack {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Clock => "the clock was set back",
            Self::Zone => "the zone was changed for one farther west",
        })
    }
}

/// What a clock that went back takes from what was given before: no more time is left of it than was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SetBack {
    /// What it was.
    pub what: WentBack,
    /// The first event at which it stood behind.
    pub since: Seq,
    /// The event with which that ended.
    pub until: Seq,
    /// What was given before the first counts as given so many days earlier.
    pub days: i32,
    /// The day that somebody said is right, after which nothing before can have been; none where time caught up by itself.
    pub right: Option<Date>,
}

impl Behind {
    const fn at(since: Seq, before: Date, at: Timestamp, day: Date) -> Self {
        Self { since, back: (since, at), last: at, before, from: day, to: day, gone: SignedDuration::ZERO }
    }

    fn read(self, event: Seq, at: Timestamp, day: Date) -> Self {
        if self.last.duration_since(at) > CLOCKS_DIFFER {
            return Self { back: (event, at), last: at, from: day, to: day, gone: self.gone(), ..self };
        }
        Self { last: self.last.max(at), to: self.to.max(day), ..self }
    }

    /// From when by this clock what an event began lasts.
    pub(crate) fn since_when(&self, began: (Seq, Timestamp)) -> Timestamp {
        if began.0 > self.back.0 { began.1 } else { self.back.1 }
    }

    /// How far the clock went forward meanwhile.
    fn gone(&self) -> SignedDuration {
        self.gone.saturating_add(self.last.duration_since(self.back.1))
    }

    /// As if somebody said that this day is right.
    fn set(&self, until: Seq, right: Date) -> SetBack {
        let days = days(self.from, self.before) + whole_days(self.gone);
        SetBack { what: WentBack::Clock, since: self.since, until, days, right: Some(right) }
    }

    /// Whether it was put right or ran on until it got there: what went by meanwhile has passed.
    fn caught_up(&self, until: Seq) -> SetBack {
        let days = whole_days(self.gone());
        SetBack { what: WentBack::Clock, since: self.since, until, days, right: None }
    }
}

impl SetBack {
    fn moved(&self, given: Seq, day: Date) -> Date {
        let moved = if given < self.since { day.saturating_sub(self.days.days()) } else { day };
        self.right.filter(|_| given < self.until).map_or(moved, |right| moved.min(right))
    }

    fn takes_no_time(&self) -> bool {
        self.days == 0 && self.right.is_none()
    }

    fn lies_between(&self, earlier: Seq, later: Seq) -> bool {
        earlier < self.until && later >= self.since
    }
}

fn days(from: Date, to: Date) -> i32 {
    (to - from).get_days()
}

/// A midnight in between is none: a clock that is always late passes one every day.
fn whole_days(gone: SignedDuration) -> i32 {
    i32::try_from(gone.as_hours() / 24).unwrap_or(i32::MAX)
}

/// How something has lapsed.
pub(crate) enum Lapse {
    /// After that day.
    After(Date),
    /// Before the clock was set back.
    BeforeSetBack,
}

/// A way to reckon what has lapsed.
pub(crate) struct Reckoning<'a> {
    shop: &'a Hall,
    today: Date,
    behind: Option<SetBack>,
}

impl Reckoning<'_> {
    /// The day from which something of a day counts that an event gave.
    pub(crate) fn from(&self, given: Seq, on: Date) -> Date {
        self.shop.set_back.iter().chain(&self.behind).fold(on, |day, back| back.moved(given, day))
    }

    /// Whether what an event gave until a day, reckoned so, has lapsed.
    pub(crate) fn lapse(&self, given: Seq, until: Date) -> Option<Lapse> {
        let before = |back: &SetBack| given < back.until && back.right.is_some_and(|right| until < right);
        (self.today > until).then(|| match self.shop.set_back.iter().any(before) {
            true => Lapse::BeforeSetBack,
            false => Lapse::After(until),
        })
    }
}

impl Hall {
    /// By the day that counts; where the clock stands behind, also by the clock and what is left by it, as time goes on though
    /// that day does not.
    pub(crate) fn reckonings(&self, at: Timestamp) -> impl Iterator<Item = Reckoning<'_>> {
        let by_clock = day_in(&self.zone, at);
        let stands_behind = at < self.latest && self.stands_behind(at);
        let ended = self.behind.filter(|_| !stands_behind).map(|behind| behind.caught_up(Seq(u64::MAX)));
        let unsaid = || Behind::at(Seq(u64::MAX), day_in(&self.zone, self.latest), at, by_clock);
        let behind = stands_behind.then(|| self.behind.unwrap_or_else(unsaid));
        let behind =
            behind.map(|behind| behind.read(Seq(u64::MAX), at, by_clock).set(Seq(u64::MAX), by_clock));
        let counts = Reckoning { shop: self, today: self.today(at), behind: ended };
        let by_clock = behind.map(|_| Reckoning { shop: self, today: by_clock, behind });
        std::iter::once(counts).chain(by_clock)
    }

    /// The day from which something of a day counts that an event gave: of what was given before the clock was set back an
    /// earlier one than was said.
    #[must_use]
    pub fn counts_from(&self, given: Seq, on: Date) -> Date {
        let behind = self.behind.map(|behind| behind.set(Seq(u64::MAX), behind.to));
        Reckoning { shop: self, today: on, behind }.from(given, on)
    }

    /// What was set back since an event gave something of a day, if that counts from an earlier one: the clock, or the zone alone.
    #[must_use]
    pub fn went_back_since(&self, given: Seq, on: Date) -> Option<WentBack> {
        let zones = self.set_back.iter().filter(|back| back.what == WentBack::Zone);
        let by_zones = zones.fold(on, |day, back| back.moved(given, day));
        let from = self.counts_from(given, on);
        (from < on).then_some(if from == by_zones { WentBack::Zone } else { WentBack::Clock })
    }

    /// The day from which the last instruction of a person counts.
    #[must_use]
    pub fn instructed(&self, person: &Person) -> Option<Date> {
        person.instructions.iter().map(|(seq, i)| self.counts_from(*seq, i.on)).max()
    }

    /// Whether one examination is later than another. By their days, and those of one day by their events; where the clock went
    /// back in between, only what was reported later, of no earlier day or on its own: days that two clocks told prove nothing.
    pub(crate) fn is_later(&self, one: (Seq, &Examined), other: (Seq, &Examined)) -> bool {
        let ((seq, one), (other_seq, other)) = (one, other);
        let went_back = |back: &SetBack| back.lies_between(seq.min(other_seq), seq.max(other_seq));
        let open = self.behind.map(|behind| behind.set(Seq(u64::MAX), behind.from));
        if self.set_back.iter().chain(&open).any(went_back) {
            let (on, is_reported_later) = (one.report.on, seq > other_seq);
            return is_reported_later && (on >= other.report.on || on >= one.entered);
        }
        // By another machine it may be an earlier day still.
        let is_of_another_clock = other_seq > seq && other.entered < one.entered;
        !is_of_another_clock && (one.report.on, seq) > (other.report.on, other_seq)
    }

    /// Whether an event is of the time after the clock was last set back by a day or more.
    pub(crate) fn is_of_this_time(&self, event: Seq) -> bool {
        let last = self.set_back.iter().rfind(|back| back.right.is_some() && back.days > 0);
        last.is_none_or(|back| event > back.until)
    }

    /// The day by the clock: of one that is late by no more than clocks differ, that of the latest time read since it went back.
    pub(crate) fn day_by_clock(&self, at: Timestamp) -> Date {
        day_in(&self.zone, if self.went_back(at) { at } else { at.max(self.last_read()) })
    }

    /// The latest reading of the clock, since it went back if it did.
    fn last_read(&self) -> Timestamp {
        self.behind.map_or(self.latest, |behind| behind.last)
    }

    /// Whether the clock stands before the book by more than clocks differ, or did and nobody has said that it is right.
    #[must_use]
    pub fn stands_behind(&self, at: Timestamp) -> bool {
        self.behind.is_some() || self.went_back(at)
    }

    /// Whether the clock went back, and no event says so yet.
    pub(crate) fn went_back(&self, at: Timestamp) -> bool {
        self.last_read().duration_since(at) > CLOCKS_DIFFER
    }

    /// The clock as an event read it.
    pub(crate) fn read_clock(&mut self, event: &Event) {
        let day = day_in(&self.zone, event.at);
        let is_before = event.at < self.latest;
        if self.went_back(event.at) {
            let checks = self.lifts.values_mut().flat_map(|lift| lift.checks.values_mut());
            checks.filter(|check| check.by_clock > day).for_each(|check| check.is_of_a_day_to_come = true);
        }
        match self.behind {
            Some(behind) if is_before => self.behind = Some(behind.read(event.seq, event.at, day)),
            Some(behind) => {
                self.ended(behind.caught_up(event.seq));
                self.behind = None;
            }
            // Programs before said it of a minute as well.
            None if self.went_back(event.at) && matches!(event.fact, Fact::ClockBehind { .. }) => {
                self.behind = Some(Behind::at(event.seq, day_in(&self.zone, self.latest), event.at, day));
            }
            None => {}
        }
        if !matches!(event.fact, Fact::ClockSet { .. }) {
            self.latest = self.latest.max(event.at);
        }
    }

    /// Where no day went by, in one row with those before: of a machine whose clock is always late there are many.
    fn ended(&mut self, back: SetBack) {
        match self.set_back.last_mut() {
            Some(last) if last.takes_no_time() && back.takes_no_time() => last.until = back.until,
            _ => self.set_back.push(back),
        }
    }

    pub(crate) fn set_clock(&mut self, event: &Event) {
        let (before, now) = (day_in(&self.zone, self.latest), day_in(&self.zone, event.at));
        let is_little = !self.stands_behind(event.at);
        let behind = self.behind.take().unwrap_or(Behind::at(event.seq, before, event.at, now));
        if is_little {
            return self.ended(behind.caught_up(event.seq));
        }
        self.latest = event.at;
        // A lock counts from the clock that is right: its end is by one that ran ahead.
        for locked in self.people.values_mut().filter_map(|person| person.locked.as_mut()) {
            *locked = (event.seq, behind.since_when(*locked));
        }
        self.set_back.push(behind.set(event.seq, now));
    }

    /// Farther west it may be the day before again.
    pub(crate) fn choose_zone(&mut self, seq: Seq, zone: Zone) {
        let before = day_in(&self.zone, self.latest);
        self.zone = zone;
        let now = day_in(&self.zone, self.latest);
        if now < before {
            let back = Behind::at(seq, before, self.latest, now).set(seq, now);
            self.set_back.push(SetBack { what: WentBack::Zone, ..back });
        }
    }
}
