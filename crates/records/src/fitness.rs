//! Whether a lift may be used now, and every reason why not.

use std::fmt;

use jiff::Timestamp;
use jiff::civil::Date;

use crate::fact::Report;
use crate::hall::{Checked, Examined, Hall, Lift, Raise};
use crate::names::{DefectNumber, ExaminationNumber, LiftId, Seq};
use crate::rules::{Due, RuleSet, Thoroughness, months_after};
use crate::set_back::{Lapse, WentBack};

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

/// Why a raise that was begun does not go on: with the vehicle at its height, what time alone brought about to its lift does
/// not stop it.
#[must_use]
pub fn stopped_by(shop: &Hall, raise: &Raise, at: Timestamp) -> Vec<Why> {
    let Fitness::Unfit(mut why) = fitness(shop, &raise.plan.lift, at) else { return vec![] };
    let as_it_began = shop.lifts.get(&raise.plan.lift).is_some_and(|lift| !lift.struck_since);
    let is_raised = raise.progress.has_been_raised();
    why.retain(|why| !(is_raised && as_it_began && why.may_come_with_time()));
    why
}

/// Whether the lift may be used; due days count to their end, in the shop's zone.
#[must_use]
pub fn fitness(shop: &Hall, lift: &LiftId, at: Timestamp) -> Fitness {
    let Some(lift) = shop.lifts.get(lift) else { return Fitness::Unfit(vec![Why::Unknown]) };
    let rules = shop.rules.rule_set();
    let today = shop.today(at);
    let mut why: Vec<Why> = due(shop, lift, at).into_iter().filter_map(|dated| dated.why).collect();
    why.extend(last_examinations(shop, lift, &rules));
    why.extend(alteration(lift, &rules));
    let stopping = lift.defects.iter().filter(|(_, d)| d.stops_use);
    why.extend(stopping.map(|(number, d)| Why::Defect(*number, d.words.clone())));
    why.extend(lift.tags.values().cloned().map(Why::Tagged));
    why.extend(rules.check_each_day.as_ref().and_then(|_| check(shop, lift, today, shop.day_by_clock(at))));
    if why.is_empty() { Fitness::Fit } else { Fitness::Unfit(why) }
}

/// The day by which each examination is next due; `None` where no examination and no first use is known.
#[must_use]
pub fn due_days(shop: &Hall, lift: &LiftId, at: Timestamp) -> Vec<(Thoroughness, Option<Date>)> {
    let Some(lift) = shop.lifts.get(lift) else { return vec![] };
    due(shop, lift, at).into_iter().map(|dated| (dated.kind, dated.by)).collect()
}

/// What was set back since, if by that an examination of a lift is due sooner than its report says: the clock first.
#[must_use]
pub fn why_due_sooner(shop: &Hall, lift: &LiftId) -> Option<WentBack> {
    let all = shop.lifts.get(lift).map(|lift| last_of_each(shop, lift)).unwrap_or_default();
    let back = all.into_iter().filter_map(|(seq, e)| shop.went_back_since(seq, e.report.on));
    back.min_by_key(|what| *what == WentBack::Zone)
}

/// A check of the day, made since the lift was last returned to service. That it was returned unchecked holds on the days
/// after as well. While the clock stands behind, the day that counts stands still: a day by the clock has its check then too.
/// Of a clock that ran ahead none is left for the day that it told, once that comes.
fn check(shop: &Hall, lift: &Lift, today: Date, by_clock: Date) -> Option<Why> {
    let last = lift.checks.last_key_value();
    let is_of_today = |seq: Seq, c: &Checked| {
        c.day == today && c.by_clock == by_clock && !c.is_of_a_day_to_come && shop.is_of_this_time(seq)
    };
    match last.filter(|(seq, c)| is_of_today(**seq, c)) {
        _ if last.is_some_and(|(seq, _)| lift.returned > Some(*seq)) => {
            Some(Why::NotCheckedSinceReturned(by_clock))
        }
        None => Some(Why::NotChecked(by_clock)),
        Some(_) => None,
    }
}

/// An examination that is due.
struct Dated {
    kind: Thoroughness,
    /// The last day; none where nothing is known from which it is reckoned.
    by: Option<Date>,
    /// Why the lift may not be used by it.
    why: Option<Why>,
}

/// The examinations of the rules, and what an examiner asked for of a kind for which these have no interval.
fn due(shop: &Hall, lift: &Lift, at: Timestamp) -> Vec<Dated> {
    let rules = shop.rules.rule_set();
    let by_rules = rules.examinations.iter().map(|due| match from_when(shop, lift, due, &rules) {
        Some(from) => from.dated(shop, due.thoroughness, Some(due.months.value), at),
        None => Dated {
            kind: due.thoroughness,
            by: None,
            why: Some(match due.from_first_use {
                true => Why::FirstUseUnknown(due.thoroughness),
                false => Why::NeverExamined(due.thoroughness),
            }),
        },
    });
    let is_by_rules = |kind| rules.examinations.iter().any(|due| due.thoroughness == kind);
    let last = last_of_each(shop, lift).into_iter().filter(|(_, e)| !is_by_rules(e.report.thoroughness));
    let besides = last.filter(|(_, e)| e.report.next_due.is_some()).map(|(event, e)| {
        let Report { on, next_due: asked, thoroughness, .. } = e.report;
        Given { event, on, asked }.dated(shop, thoroughness, None, at)
    });
    by_rules.chain(besides).collect()
}

/// From what the next examination is reckoned.
struct Given {
    /// The event that says so.
    event: Seq,
    on: Date,
    /// The day by which the examiner asks for it.
    asked: Option<Date>,
}

impl Given {
    /// By the first way of reckoning that lets it lapse, else by the one that comes to the sooner day.
    fn dated(&self, shop: &Hall, kind: Thoroughness, months: Option<u16>, at: Timestamp) -> Dated {
        let mut found = Dated { kind, by: None, why: None };
        for reckoning in shop.reckonings(at) {
            let from = reckoning.from(self.event, self.on);
            let asked = self.asked.map(|day| day.saturating_sub(self.on - from));
            let by_interval = months.map(|months| months_after(from, months));
            // An examiner may ask for it sooner, never later.
            let Some(by) = asked.into_iter().chain(by_interval).min() else { continue };
            found.by = Some(found.by.map_or(by, |other| other.min(by)));
            found.why = found.why.or(match reckoning.lapse(self.event, by) {
                Some(Lapse::After(day)) => Some(Why::Overdue(kind, day)),
                Some(Lapse::BeforeSetBack) => Some(Why::Lapsed(kind)),
                None => None,
            });
        }
        found
    }
}

fn from_when(shop: &Hall, lift: &Lift, due: &Due, rules: &RuleSet) -> Option<Given> {
    match last_of(shop, lift, |_, e| counts(e, rules) && e.report.thoroughness >= due.thoroughness) {
        // Of an examination of the kind that was made alone.
        Some((event, e)) => {
            let asked = e.report.next_due.filter(|_| e.report.thoroughness == due.thoroughness);
            Some(Given { event, on: e.report.on, asked })
        }
        None if due.from_first_use => {
            Some(Given { event: lift.entered, on: lift.sheet.first_used?, asked: None })
        }
        None => None,
    }
}

/// The day by which the rules ask for the next examination after one that counts from a day, reckoned from it alone; none where
/// it found the lift unfit.
#[must_use]
pub fn due_after(report: &Report, from: Date, rules: &RuleSet) -> Option<Date> {
    let kinds = rules.examinations.iter().filter(|due| due.thoroughness <= report.thoroughness);
    let due = kinds.max_by_key(|due| due.thoroughness).filter(|_| report.fit)?;
    Some(months_after(from, due.months.value))
}

/// Whether it found the lift fit, and is confirmed where the rules ask for that.
fn counts(examined: &Examined, rules: &RuleSet) -> bool {
    examined.report.fit && (rules.employer_confirms.is_none() || examined.confirmed.is_some())
}

/// The one of some examinations that counts from the latest day.
fn last_of<'a>(
    shop: &Hall,
    lift: &'a Lift,
    which: impl Fn(Seq, &Examined) -> bool,
) -> Option<(Seq, &'a Examined)> {
    let all = lift.examinations.iter().map(|(seq, e)| (*seq, e)).filter(|(seq, e)| which(*seq, e));
    all.max_by_key(|(seq, e)| (shop.counts_from(*seq, e.report.on), *seq))
}

/// The examination by which a lift is judged, of those that are as thorough: one that found it unfit, else one that is not
/// confirmed, that none that found it fit is later than; else the last.
fn judged_by<'a>(shop: &Hall, lift: &'a Lift, kind: Thoroughness) -> Option<(Seq, &'a Examined)> {
    let confirms = shop.rules.rule_set().employer_confirms.is_some();
    let as_thorough = |e: &Examined| e.report.thoroughness >= kind;
    let stands = |seq: Seq, e: &Examined| {
        let later = |(other, f): (&Seq, &Examined)| {
            as_thorough(f) && f.report.fit && shop.is_later((*other, f), (seq, e))
        };
        as_thorough(e) && !lift.examinations.iter().any(later)
    };
    last_of(shop, lift, |seq, e| !e.report.fit && stands(seq, e))
        .or_else(|| last_of(shop, lift, |seq, e| confirms && e.confirmed.is_none() && stands(seq, e)))
        .or_else(|| last_of(shop, lift, |_, e| e.report.fit && as_thorough(e)))
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
        kinds.iter().filter_map(|kind| judged_by(shop, lift, *kind)).collect();
    last.dedup_by_key(|(seq, _)| *seq);
    last
}

/// Source: DGUV Regel 100-500 chapter 2.10 section 2.9.2, extraordinary examination; LOLER regulation 9(3), exceptional circumstances.
fn alteration(lift: &Lift, rules: &RuleSet) -> Option<Why> {
    let (seq, day) = lift.altered?;
    let since = lift.examinations.iter().any(|(examined, e)| {
        *examined > seq
            // Of its day or later; where that was told by a clock that ran ahead, reported on its own day.
            && (e.report.on >= day || e.report.on >= e.entered)
            && e.report.thoroughness >= Thoroughness::Regular
            && counts(e, rules)
    });
    (!since).then_some(Why::AlteredSince(day))
}
