//! The book in words: events, and the board of today.

mod beside;
pub(crate) mod board;
pub(crate) mod ended;
mod held;
#[cfg(test)]
mod page;
pub(crate) mod raise;

use jiff::Timestamp;
use records::{
    Book, Digest, Event, Fact, Failure, Finding, Hall, Judged, KeptPlan, PracticeEnd, Report, Rules, Seq,
    Sign, Zone, is_hidden,
};
use sheets::words::capital;
use sheets::{Units, units};
use statics::Mass;

use beside::Outlines;
pub(crate) use beside::{Beside, pin_of_another, struck_by};

use crate::input::quantity;

/// Clock time in the shop's zone.
pub(crate) fn time(at: Timestamp, zone: &Zone) -> String {
    zone.at(at).strftime("%Y-%m-%d %H:%M").to_string()
}

/// The units that a shop reads in.
pub(crate) const fn units(shop: &Hall) -> Units {
    match shop.units {
        records::Units::Metric => Units::Metric,
        records::Units::Us => Units::Us,
    }
}

/// One line: when, which event, who, what.
fn line(event: &Event, beside: &Beside, units: Units) -> String {
    let with = event.with.as_ref().map(|w| format!(" with {w}")).unwrap_or_default();
    format!(
        "{}  {:>6}  {}{with}: {}\n",
        time(event.at, &event.zone),
        event.seq,
        event.by,
        sentence(event, beside, units)
    )
}

/// Many lines.
pub(crate) fn lines<'a>(
    events: impl IntoIterator<Item = &'a Event>,
    beside: &Beside,
    units: Units,
) -> String {
    events.into_iter().map(|e| line(e, beside, units)).collect()
}

pub(crate) fn rules(rules: &Rules) -> String {
    rules.rule_set().title.into_owned()
}

/// Where the further lines of a text begin: farther right than any row.
const SET_IN: &str = "\n                  ";

/// What a plate says that a lift may carry, in these units; as it was written where no mass can be read of it.
pub(crate) fn capacity(said: &str, units: Units) -> String {
    match (units, quantity::parse::<Mass>(said)) {
        (Units::Us, Ok(mass)) => units.rating(mass.value),
        _ => said.to_owned(),
    }
}

/// What is wrong with files, without the lines that it stands in: a page does not show them.
pub(crate) fn reasons(report: &str) -> Vec<String> {
    let message = |line: &str| {
        let said = line.trim().strip_prefix("error: ")?;
        let (place, message) = said.split_once(": ").unwrap_or(("", said));
        let is_place = place.contains(':') && !place.contains(' ');
        Some(capital(if is_place { message } else { said }) + ".")
    };
    let mut all: Vec<String> = vec![];
    for said in report.lines().filter_map(message) {
        if !all.contains(&said) {
            all.push(said);
        }
    }
    if all.is_empty() { report.lines().map(str::to_owned).collect() } else { all }
}

/// As it may be printed: signs that are not seen are written out, and further lines are set in, so that no text passes for
/// a row of its own. An older book may hold any.
pub(crate) fn plain(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for sign in text.replace("\r\n", "\n").chars() {
        match sign {
            '\n' => shown += SET_IN,
            '\t' => shown.push(' '),
            sign if is_hidden(sign) => shown.extend(sign.escape_unicode()),
            sign => shown.push(sign),
        }
    }
    shown
}

/// What happened, as a sentence that may be printed, with what is to be known beside it.
pub(crate) fn sentence(event: &Event, beside: &Beside, units: Units) -> String {
    let struck = if beside.is_struck(event.seq) { "STRUCK OUT: " } else { "" };
    let notes: String = beside.notes(event.seq).map(|note| format!(" ({note})")).collect();
    plain(&format!("{struck}{}{notes}", told(event, &beside.outlines, units)))
}

fn told(event: &Event, outlines: &Outlines, units: Units) -> String {
    match &event.fact {
        Fact::ShopOpened { name, rules: r, .. } => {
            format!("The book of {name} was begun; rules: {}.", rules(r))
        }
        Fact::RulesChosen { rules: r } => format!("The shop goes by the rules “{}”.", rules(r)),
        Fact::UnitsChosen { units } => format!("The shop reads in {units}."),
        Fact::ZoneChosen { zone } => format!("The shop goes by the days of {zone}."),
        Fact::ClockSet { words } => format!("The clock is right now: {words}"),
        Fact::ClockBehind { last } => {
            format!("The clock stood before the last event, {}.", time(*last, &event.zone))
        }
        Fact::PersonAdmitted(a) => format!("{} ({}) belongs to the shop, as {}.", a.name, a.person, a.role),
        Fact::RoleGiven { person, role } => format!("{person} is {role}."),
        Fact::AgeGiven { person, of_age } => format!("{person} is 18 from {of_age} on."),
        Fact::PersonLeft { person } => format!("{person} left the shop."),
        Fact::Instructed(i) => format!("{} was instructed on {}: {}.", i.person, i.on, i.subject),
        Fact::Authorised(a) => {
            format!("{} is authorised to operate lifts from {}; paper: {}.", a.person, a.on, a.paper)
        }
        Fact::AuthorisationWithdrawn { person, words } => {
            format!("{person} is no longer authorised: {words}")
        }
        Fact::PinSet { person, .. } if *person == event.by => format!("{person} set a new PIN of their own."),
        Fact::PinSet { person, .. } => format!("{} set a new PIN of {person}.", event.by),
        Fact::PinGiven { person, .. } => {
            format!(
                "{person} was given a PIN as the book was salvaged, as theirs was lost: nobody proved to be {person}."
            )
        }
        Fact::PinLocked { person, until } => {
            format!("Too many wrong PINs of {person}: locked until {}.", time(*until, &event.zone))
        }
        Fact::LiftEntered { sheet, .. } => {
            format!(
                "Lift {} entered: {}, {}, {}.",
                sheet.lift,
                sheet.bay,
                sheet.maker,
                capacity(&sheet.capacity, units)
            )
        }
        Fact::LiftAltered { lift, words } => format!("{lift} was altered: {words}"),
        Fact::LiftChecked { lift, findings, .. } => checked(lift.as_str(), findings.values()),
        Fact::LiftExamined { number, report, .. } => format!(
            "{} was examined on {} (examination {number}, {}): {}.",
            report.lift,
            report.on,
            report.thoroughness,
            if report.fit { "fit for use" } else { "NOT fit for use" }
        ),
        Fact::ExaminationConfirmed { number } => format!("Examination {number} was confirmed."),
        Fact::DefectFound { number, lift, words, stops_use } => format!(
            "Defect {number} on {lift}, {}: {words}",
            if *stops_use { "stops its use" } else { "does not stop its use" }
        ),
        Fact::DefectRepaired { number, words, bears_load } => format!(
            "Defect {number} was repaired{}: {words}",
            if *bears_load { " in a part that bears load" } else { "" }
        ),
        Fact::TaggedOut { lift, words } => format!("{lift} is out of service: {words}"),
        Fact::ReturnedToService { lift, words } => format!("{lift} is in service again: {words}"),
        Fact::VehicleEntered { vehicle, description, .. } => {
            format!("Vehicle {vehicle} entered: {description}.")
        }
        Fact::JobEntered { job, description, .. } => format!("Job {job} entered: {description}."),
        Fact::LimitsEntered { .. } => "The shop's own limits were entered.".to_owned(),
        Fact::VehicleWhole { vehicle, words } => format!("{vehicle} is as its file says: {words}"),
        Fact::VehicleMeasured(m) => format!("{}: {} is {}, by {}.", m.vehicle, m.what, m.value, m.how),
        Fact::PlanKept { plan } => {
            format!(
                "A plan was kept: {} on {}{}; mark {}.{}",
                plan.vehicle,
                plan.lift,
                job(&plan.job),
                mark(plan.answer),
                with_limits(plan)
            )
        }
        Fact::RaiseBegun { raise, plan } => {
            format!(
                "Raise {raise} begun: {} on {}{}.{}",
                plan.vehicle,
                plan.lift,
                job(&plan.job),
                with_limits(plan)
            )
        }
        Fact::RaiseRefused { plan, reasons } => format!(
            "REFUSED: a raise of {} on {}{}.{} {}",
            plan.vehicle,
            plan.lift,
            job(&plan.job),
            with_limits(plan),
            reasons.join(" ")
        ),
        Fact::PointRefused { raise, point, reasons, judged } => {
            format!("Raise {raise}: REFUSED: {point}. {}{}", reasons.join(" "), reserve(judged.as_ref()))
        }
        Fact::PointConfirmed { raise, point, words, judged } => {
            let outline = outlines.get(&event.seq).cloned().unwrap_or_default();
            let words = words.as_ref().map(|w| format!(" {w}")).unwrap_or_default();
            let fails = judged.as_ref().filter(|j| !j.passes).map_or("", |_| FAILED);
            format!(
                "Raise {raise}: {}{}{fails}{words}",
                raise::sentence(*point, &outline, units),
                reserve(judged.as_ref())
            )
        }
        Fact::RaiseUpset { raise, sign, words } => {
            let sign = match sign {
                Sign::Noise => "noise",
                Sign::Moved => "something moved",
            };
            format!("Raise {raise}: {sign}: {words}")
        }
        Fact::NotRight { raise, words } => format!("Raise {raise}: not right: {words}"),
        Fact::LockNotHeard { raise, words } => {
            format!("Raise {raise}: a lock was not heard, and the lift is out of service: {words}")
        }
        Fact::BroughtDown { raise, words } => format!("Raise {raise} is brought down: {words}"),
        Fact::TakenOver { raise, from } => format!("Raise {raise} was taken over from {from}."),
        Fact::RaiseAbandoned { raise, words } => format!("Raise {raise} was abandoned: {words}"),
        Fact::IncidentReported { number, lift, raise, words } => {
            let lift = lift.as_ref().map(|l| format!(" at {l}")).unwrap_or_default();
            let raise = raise.map(|r| format!(" in raise {r}")).unwrap_or_default();
            format!("Incident {number}{lift}{raise}: {words}")
        }
        Fact::Salvaged { intact, others, vehicles, .. } => {
            let vehicles = match vehicles.len() {
                0 => String::new(),
                n => format!(" Of {n} vehicles it is not known which parts are off or on."),
            };
            format!(
                "The book was salvaged from a damaged one: whole up to event {}, {others} later events are kept apart, others may be \
                 lost.{vehicles}",
                intact.seq
            )
        }
        Fact::PracticeSet { practice, situation } => format!(
            "Practice {practice} was set: {}{}.",
            situation.name,
            hidden(situation.hides.iter().map(ToString::to_string))
        ),
        Fact::PracticeTried { of, attempt } => {
            format!("Practice {of} was tried: {}.", practised(&attempt.end))
        }
        Fact::Corrected { event, words } => format!("Event {event} is struck out: {words}"),
    }
}

/// A reserve as the book keeps it, rounded down.
pub(crate) fn of_thousandths(reserve: i64) -> f64 {
    let bounded = i32::try_from(reserve.clamp(-1_000_000, 1_000_000)).unwrap_or(0);
    f64::from(bounded) / 1000.0
}

/// Of what was so already, on a lift out of service.
pub(crate) const FAILED: &str = " CAUTION: the check of the vehicle as it is FAILS.";

/// What the check before a point left, if the event says so: older ones do not.
fn reserve(judged: Option<&Judged>) -> String {
    let least = judged.and_then(|j| j.least_reserve);
    least.map(|n| format!(" Checked: {}.", units::least_reserve(of_thousandths(n)))).unwrap_or_default()
}

/// What a report of an examination says, by the names of its fields.
pub(crate) fn report(report: &Report) -> Vec<(String, String)> {
    let due = report.next_due.map(|day| ("next due".to_owned(), day.to_string()));
    let fields = report.fields.iter().map(|(field, text)| (field.to_string(), plain(text)));
    fields.chain(due).collect()
}

/// The paper of an examination, by its event.
pub(crate) async fn paper(book: &Book, examined: Seq) -> Result<Option<records::Document>, Failure> {
    match book.event(examined).await?.map(|event| event.fact) {
        Some(Fact::LiftExamined { paper: Some(paper), .. }) => book.document(paper).await,
        _ => Ok(None),
    }
}

/// By which a plan is found again: the beginning of its answer's digest.
pub(crate) fn mark(answer: Digest) -> String {
    answer.to_string().chars().take(12).collect()
}

/// How an attempt ended.
pub(crate) fn practised(end: &PracticeEnd) -> String {
    match end {
        PracticeEnd::MayBeRaised => "it may be raised like this".into(),
        PracticeEnd::MustNot { reasons: 1 } => "it must not be raised like this, for 1 reason".into(),
        PracticeEnd::MustNot { reasons } => {
            format!("it must not be raised like this, for {reasons} reasons")
        }
        PracticeEnd::Tips { over } => format!("it would have tipped over the {over} edge"),
    }
}

fn hidden(what: impl Iterator<Item = String>) -> String {
    let what: Vec<String> = what.collect();
    if what.is_empty() { String::new() } else { format!("; not shown: {}", what.join(", ")) }
}

fn job(name: &str) -> String {
    if name.is_empty() { String::new() } else { format!(", {name}") }
}

/// Whose limits it was planned with, where the shop had not entered them.
pub(crate) fn other_limits(plan: &KeptPlan) -> Option<String> {
    plan.other_limits_of.as_ref().map(|whose| limits_of(whose.as_str()))
}

fn limits_of(whose: &str) -> String {
    format!("planned with limits of {whose}, not the shop's")
}

fn with_limits(plan: &KeptPlan) -> String {
    other_limits(plan).map(|said| format!(" CAUTION: {said}.")).unwrap_or_default()
}

fn checked<'a>(lift: &str, findings: impl Iterator<Item = &'a Finding>) -> String {
    let wrong = findings.filter(|f| matches!(f, Finding::Wrong { .. })).count();
    match wrong {
        0 => format!("{lift} was checked before use: all is right."),
        n => format!("{lift} was checked before use: {n} not right."),
    }
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn what_an_older_book_holds_is_shown_as_what_it_is() {
        assert_eq!(plain("oil \u{1b}[2J\u{7}\u{202e}x"), "oil \\u{1b}[2J\\u{7}\\u{202e}x");
        assert_eq!(plain("one\r\ntwo\n\tthree"), "one\n                  two\n                   three");
        assert_eq!(plain("Büro ½ “x”"), "Büro ½ “x”");
    }
}
