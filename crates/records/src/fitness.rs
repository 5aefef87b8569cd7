//! Whether a lift may be used now, and every reason why not.

use std::fmt;

use jiff::Timestamp;
use jiff::civil::Date;

use crate::fact::Report;
use crate::hall::{Checked, Examined, Hall, Lift, Raise, day_in};
use crate::names::{DefectNumber, ExaminationNumber, LiftId, Seq};
use crate::rules::{Due, RuleSet, Thoroughness, months_after};

/// Whether a lift may be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fitness {
    /// It may.
    Fit,
    /// It may not, for all these reasons; never empty.
    Unfit(Vec<Why>),
}

/// Why a lift may not be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// There is no such lift.
    Unknown,
    /// It was never examined so.
    NeverExamined(Thoroughness),
    /// The examination was due on that day.
    Overdue(Thoroughness, Date),
    /// The last one was reported before the clock was set back, and was overdue by the day that counted then.
    Lapsed(Thoroughness),
    /// Nobody knows when it was first used, from which the interval counts.
    FirstUseUnknown(Thoroughness),
    /// The last examination found it unfit.
    FoundUnfit(ExaminationNumber),
    /// The employer has not confirmed the last examination.
    NotConfirmed(ExaminationNumber),
    /// It was altered, and not examined since.
    AlteredSince(Date),
    /// A defect that stops its use.
    Defect(DefectNumber, String),
    /// It is tagged out of service.
    Tagged(String),
    /// It was not checked before use on this day.
    NotChecked(Date),
    /// It was returned to service on this day and not checked since.
    NotCheckedSinceReturned(Date),
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unknown => write!(f, "there is no such lift in the book"),
            Self::NeverExamined(kind) => write!(f, "no {kind} that counts is in the book"),
            Self::Overdue(kind, due) => write!(f, "the {kind} was due by {due}"),
            Self::Lapsed(kind) => {
                write!(f, "the {kind} was overdue before the clock was set back, and none was reported since")
            }
            Self::FirstUseUnknown(kind) => {
                write!(f, "the day of first use is not known, from which the {kind} is reckoned")
            }
            Self::FoundUnfit(number) => write!(f, "examination {number} found it unfit for use"),
            Self::NotConfirmed(number) => write!(f, "the lead has not confirmed examination {number}"),
            Self::NotCheckedSinceReturned(day) => {
                write!(f, "it was not checked before use on {day} since it was returned to service")
            }
            Self::AlteredSince(day) => write!(f, "it was altered on {day} and not examined since"),
            Self::Defect(number, words) => write!(f, "defect {number} stops its use: {words}"),
            Self::Tagged(words) => write!(f, "it is out of service: {words}"),
            Self::NotChecked(day) => write!(f, "it was not checked before use on {day}"),
        }
    }
}

impl Why {
    /// Whether time may have brought it about.
    const fn may_come_with_time(&self) -> bool {
        matches!(self, Self::NotChecked(_) | Self::Overdue(..) | Self::Lapsed(_))
    }
}

/// Why a raise that was begun does not go on: with the vehicle up, what time alone brought about to its lift does not stop it.
#[must_use]
pub fn stopped_by(shop: &Hall, raise: &Raise, at: Timestamp) -> Vec<Why> {
    let Fitness::Unfit(mut why) = fitness(shop, &raise.plan.lift, at) else { return vec![] };
    let as_it_began = shop.lifts.get(&raise.plan.lift).is_some_and(|lift| !lift.struck_since);
    let is_up = raise.progress.has_left_the_floor();
    why.retain(|why| !(is_up && as_it_began && why.may_come_with_time()));
    why
}

/// Whether the lift may be used; due days count to their end, in the shop's zone.
#[must_use]
pub fn fitness(shop: &Hall, lift: &LiftId, at: Timestamp) -> Fitness {
    let Some(lift) = shop.lifts.get(lift) else { return Fitness::Unfit(vec![Why::Unknown]) };
    let rules = shop.rules.rule_set();
    let today = shop.today(at);
    let mut why: Vec<Why> =
        rules.examinations.iter().filter_map(|due| examination(shop, lift, due, today)).collect();
    why.extend(asked_besides(shop, lift, &rules).filter_map(|due| due.unkept(shop, today)));
    why.extend(last_examinations(shop, lift, &rules));
    why.extend(alteration(lift, &rules));
    let stopping = lift.defects.iter().filter(|(_, d)| d.stops_use);
    why.extend(stopping.map(|(number, d)| Why::Defect(*number, d.words.clone())));
    why.extend(lift.tags.values().cloned().map(Why::Tagged));
    why.extend(rules.check_each_day.as_ref().and_then(|_| check(shop, lift, today, day_in(&shop.zone, at))));
    if why.is_empty() { Fitness::Fit } else { Fitness::Unfit(why) }
}

/// The day by which each examination is next due; `None` where no examination and no first use is known.
#[must_use]
pub fn due_days(shop: &Hall, lift: &LiftId) -> Vec<(Thoroughness, Option<Date>)> {
    let Some(lift) = shop.lifts.get(lift) else { return vec![] };
    let rules = shop.rules.rule_set();
    let by_rules = rules.examinations.iter();
    let by_rules = by_rules.map(|due| (due.thoroughness, due_day(shop, lift, due).map(|next| next.by)));
    by_rules.chain(asked_besides(shop, lift, &rules).map(|next| (next.kind, Some(next.by)))).collect()
}

/// A check of the day, made since the lift was last returned to service. That it was returned unchecked holds on the days
/// after as well. While the clock stands behind, the day that counts stands still: a day by the clock has its check then too.
fn check(shop: &Hall, lift: &Lift, today: Date, by_clock: Date) -> Option<Why> {
    let last = lift.checks.last_key_value();
    let is_of_today =
        |seq: Seq, c: &Checked| c.day == today && c.by_clock == by_clock && shop.is_of_this_time(seq);
    match last.filter(|(seq, c)| is_of_today(**seq, c)) {
        _ if last.is_some_and(|(seq, _)| lift.returned > Some(*seq)) => {
            Some(Why::NotCheckedSinceReturned(by_clock))
        }
        None => Some(Why::NotChecked(by_clock)),
        Some(_) => None,
    }
}

/// The next examination of a kind.
struct Next {
    kind: Thoroughness,
    /// The event from which it is reckoned: none for the first use.
    after: Seq,
    /// The last day.
    by: Date,
}

impl Next {
    /// That it was not made in time, if so.
    fn unkept(&self, shop: &Hall, today: Date) -> Option<Why> {
        match today > self.by {
            true => Some(Why::Overdue(self.kind, self.by)),
            false => (shop.day_for(self.after, today) > self.by).then_some(Why::Lapsed(self.kind)),
        }
    }
}

/// What an examiner asked for of a kind for which the rules have no interval.
fn asked_besides(shop: &Hall, lift: &Lift, rules: &RuleSet) -> impl Iterator<Item = Next> {
    let is_by_rules = |kind| rules.examinations.iter().any(|due| due.thoroughness == kind);
    let last = last_of_each(shop, lift).into_iter().map(|(after, e)| (after, &e.report));
    let besides: Vec<Next> = last
        .filter(|(_, report)| !is_by_rules(report.thoroughness))
        .filter_map(|(after, report)| Some(Next { kind: report.thoroughness, after, by: report.next_due? }))
        .collect();
    besides.into_iter()
}

fn due_day(shop: &Hall, lift: &Lift, due: &Due) -> Option<Next> {
    let rules = shop.rules.rule_set();
    let last = last_of(shop, lift, |e| counts(e, &rules) && e.report.thoroughness >= due.thoroughness);
    let event = last.map_or(Seq(0), |(seq, _)| seq);
    let last = last.map(|(_, e)| e);
    let from = last.map(|e| e.report.on).or(if due.from_first_use { lift.sheet.first_used } else { None })?;
    let by_interval = months_after(from, due.months.value);
    // An examiner may ask for it sooner, never later, and only of an examination of the kind that was made.
    let asked = last.filter(|e| e.report.thoroughness == due.thoroughness).and_then(|e| e.report.next_due);
    let by = asked.map_or(by_interval, |day| day.min(by_interval));
    Some(Next { kind: due.thoroughness, after: event, by })
}

/// The day by which the rules ask for the next examination after one, reckoned from it alone; none where it found the lift unfit.
#[must_use]
pub fn due_after(report: &Report, rules: &RuleSet) -> Option<Date> {
    let kinds = rules.examinations.iter().filter(|due| due.thoroughness <= report.thoroughness);
    let due = kinds.max_by_key(|due| due.thoroughness).filter(|_| report.fit)?;
    Some(months_after(report.on, due.months.value))
}

/// Whether it found the lift fit, and is confirmed where the rules ask for that.
fn counts(examined: &Examined, rules: &RuleSet) -> bool {
    examined.report.fit && (rules.employer_confirms.is_none() || examined.confirmed.is_some())
}

/// The last of some examinations: of those since the clock was set back, if there are any.
fn last_of<'a>(
    shop: &Hall,
    lift: &'a Lift,
    which: impl Fn(&Examined) -> bool,
) -> Option<(Seq, &'a Examined)> {
    let all = lift.examinations.iter().filter(|(_, e)| which(e));
    all.max_by_key(|(seq, e)| (shop.is_of_this_time(**seq), e.report.on, **seq)).map(|(seq, e)| (*seq, e))
}

fn examination(shop: &Hall, lift: &Lift, due: &Due, today: Date) -> Option<Why> {
    match due_day(shop, lift, due) {
        Some(next) => next.unkept(shop, today),
        None if due.from_first_use => Some(Why::FirstUseUnknown(due.thoroughness)),
        None => Some(Why::NeverExamined(due.thoroughness)),
    }
}

/// The last examination of each thoroughness must have found it fit, and be confirmed where the rules ask for that. Only one
/// as thorough takes the place of one that did not.
fn last_examinations(shop: &Hall, lift: &Lift, rules: &RuleSet) -> Vec<Why> {
    let unfit = |e: &Examined| (!e.report.fit).then_some(Why::FoundUnfit(e.number));
    let unconfirmed = |e: &Examined| {
        (rules.employer_confirms.is_some() && e.confirmed.is_none()).then_some(Why::NotConfirmed(e.number))
    };
    let last = last_of_each(shop, lift).into_iter();
    last.flat_map(|(_, e)| unfit(e).into_iter().chain(unconfirmed(e))).collect()
}

/// The examination by which it must not be used.
pub(crate) fn found_unfit(shop: &Hall, lift: &Lift) -> Option<ExaminationNumber> {
    last_of_each(shop, lift).into_iter().find(|(_, e)| !e.report.fit).map(|(_, e)| e.number)
}

/// With their events.
fn last_of_each<'a>(shop: &Hall, lift: &'a Lift) -> Vec<(Seq, &'a Examined)> {
    let kinds = [Thoroughness::Major, Thoroughness::Regular, Thoroughness::Routine];
    let mut last: Vec<(Seq, &'a Examined)> =
        kinds.iter().filter_map(|kind| last_of(shop, lift, |e| e.report.thoroughness >= *kind)).collect();
    last.dedup_by_key(|(seq, _)| *seq);
    last
}

/// Source: DGUV Regel 100-500 chapter 2.10 section 2.9.2, extraordinary examination; LOLER regulation 9(3), exceptional circumstances.
fn alteration(lift: &Lift, rules: &RuleSet) -> Option<Why> {
    let (seq, day) = lift.altered?;
    let since = lift.examinations.iter().any(|(examined, e)| {
        *examined > seq
            && e.report.on >= day
            && e.report.thoroughness >= Thoroughness::Regular
            && counts(e, rules)
    });
    (!since).then_some(Why::AlteredSince(day))
}
