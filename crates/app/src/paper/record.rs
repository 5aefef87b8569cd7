//! Papers of the book: an examination's report, and a raise as it was done.

use std::collections::BTreeMap;

use planner::Setup;
use planner::lift::Corner;
use planner::plan::PadSetting;
use records::{
    Book, Event, Examined, Fact, Failure, HoldPoint, KeptPlan, Lift, LiftId, Raise, RaiseNumber, ReportField,
    Seq, Shop, Subject,
};
use sheets::{Paper, Record, Scene, Section, Units, words};
use statics::Length;

use super::NotPrinted;
use crate::planning::Inputs;
use crate::told;
use crate::verb::raise::{self as led, Planned, read, texts};

/// Why a paper of the book is not printed.
pub(crate) enum NoPaper {
    /// There is nothing of that number.
    Nothing(String),
    /// The book cannot be read.
    Book(Failure),
    /// It cannot be made.
    Fault(NotPrinted),
}

impl From<Failure> for NoPaper {
    fn from(failure: Failure) -> Self {
        Self::Book(failure)
    }
}

/// Which paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Which {
    /// The report of an examination, by its number.
    Examination(u64),
    /// A raise, by its number.
    Raise(u64),
}

/// As PDF.
pub(crate) fn printed(record: &Record, paper: Paper) -> Result<Vec<u8>, NoPaper> {
    sheets::pdf(&sheets::record_sheets(record, paper)).map_err(|fault| NoPaper::Fault(fault.into()))
}

/// What it says.
pub(crate) async fn record(book: &Book, which: Which, units: Units) -> Result<Record, NoPaper> {
    let shop = book.shop().await?;
    match which {
        Which::Examination(number) => examination(book, &shop, number, units).await,
        Which::Raise(number) => raise(book, &shop, number, units, true).await,
    }
}

/// The same where the shop is known, without what takes a plan to be made again.
pub(crate) async fn outlined(book: &Book, shop: &Shop, which: Which) -> Result<Record, NoPaper> {
    match which {
        Which::Examination(number) => examination(book, shop, number, told::units(shop)).await,
        Which::Raise(number) => raise(book, shop, number, told::units(shop), false).await,
    }
}

fn rows(of: impl IntoIterator<Item = (&'static str, String)>) -> Vec<(String, String)> {
    of.into_iter().map(|(label, text)| (label.to_owned(), told::plain(&text))).collect()
}

/// Every line of a text by itself, with no sign that hides.
fn lines(text: &str) -> String {
    text.lines().map(told::plain).collect::<Vec<_>>().join("\n")
}

fn foot(shop: &Shop, of: &str) -> String {
    format!("From the book of {}, up to event {}: {of}.", shop.name, shop.head.seq)
}

fn found(shop: &Shop, number: u64) -> Option<(&LiftId, &Lift, Seq, &Examined)> {
    shop.lifts.iter().find_map(|(id, lift)| {
        let (seq, examined) = lift.all_examinations().into_iter().find(|(_, e)| e.number.0 == number)?;
        Some((id, lift, seq, examined))
    })
}

async fn examination(book: &Book, shop: &Shop, number: u64, units: Units) -> Result<Record, NoPaper> {
    let (id, lift, seq, examined) = found(shop, number)
        .ok_or_else(|| NoPaper::Nothing(format!("There is no examination {number} in the book.")))?;
    // Whoever made it went by the rules of that day.
    let (sheet, report, rules) = (&lift.sheet, &examined.report, shop.rules_at(seq).rule_set());
    let today = shop.rules.rule_set();
    let known = |text: Option<String>| text.unwrap_or_else(|| "not known".into());
    let year = (sheet.year != 0).then(|| sheet.year.to_string());
    let plate = rows([
        ("Where it stands", sheet.bay.clone()),
        ("Name in the book", id.to_string()),
        ("Maker", sheet.maker.clone()),
        ("Type", sheet.model.clone()),
        ("Serial number", sheet.serial.clone()),
        ("Year of make", known(year)),
        ("May carry", told::capacity(&sheet.capacity, units)),
        ("Permitted load split", known(sheet.load_split.clone())),
        ("First used", known(sheet.first_used.map(|day| day.to_string()))),
    ]);
    let by = book.event(seq).await?;
    let who = by.as_ref().map_or_else(String::new, |e| named(shop, e));
    let confirmed = match examined.confirmed {
        Some(seq) => {
            book.event(seq).await?.map(|e| format!("{}, {}", named(shop, &e), told::time(e.at, &e.zone)))
        }
        None => None,
    };
    let struck = match shop.corrected.get(&seq) {
        Some(correction) => {
            let by = told::struck_by(book, *correction, |event| named(shop, event)).await?;
            Some(("Struck out", format!("COUNTS NO MORE: {by}")))
        }
        None => None,
    };
    let is_struck = struck.is_some();
    let from = shop.counts_from(seq, report.on);
    let day = match shop.went_back_since(seq, report.on) {
        Some(what) => format!("{}; it counts as of {from}, as {what} since", report.on),
        None => report.on.to_string(),
    };
    let next_due = match (report.next_due, records::due_after(report, from, &rules)) {
        (Some(day), _) => day.to_string(),
        (None, Some(day)) => format!("{day}, by the rules"),
        (None, None) => "NOT GIVEN".to_owned(),
    };
    let rules_today = match records::due_after(report, from, &today).filter(|_| !is_struck) {
        Some(day) => format!("{}; by them the next one is due {day}", today.title),
        None => today.title.to_string(),
    };
    let mark = if is_struck { ", STRUCK OUT" } else { "" };
    let verdict = if report.fit { "FIT FOR USE" } else { "NOT FIT FOR USE" };
    let asked = &rules.report_fields.value;
    let confirms = rules.employer_confirms.is_some() || confirmed.is_some();
    let ended = rows(
        struck.into_iter().chain(
            [
                ("Day", day),
                ("What", report.thoroughness.to_string()),
                (
                    "Verdict",
                    if is_struck { format!("counts no more; it was: {verdict}") } else { verdict.into() },
                ),
                ("Next examination due", next_due.clone()),
                ("Entered by", who),
                ("Confirmed", confirmed.unwrap_or_else(|| "not yet".into())),
            ]
            .into_iter()
            .filter(|(label, _)| match *label {
                "Confirmed" => confirms,
                // Else it is among the fields.
                "Next examination due" => !is_struck && !asked.contains(&ReportField::NextDue),
                _ => true,
            }),
        ),
    );
    let more = report.fields.keys().filter(|field| !asked.contains(field));
    // By what is struck out none is due.
    let told = asked.iter().chain(more).filter(|field| !is_struck || **field != ReportField::NextDue);
    let fields = told.map(|field| {
        let says = match report.fields.get(field) {
            Some(text) => lines(text),
            None if *field == ReportField::NextDue => next_due.clone(),
            None => "NOT GIVEN".to_owned(),
        };
        (words::capital(&field.to_string()), says)
    });
    let paper =
        told::paper(book, seq).await?.map(|paper| ("What the paper says".to_owned(), lines(paper.text())));
    let title = |what: &str| what.to_owned();
    Ok(Record {
        title: format!("Examination {number} of {}{mark}", sheet.bay),
        sections: vec![
            Section {
                heading: shop.name.clone(),
                rows: rows(
                    [
                        ("Rules", rules.title.to_string()),
                        ("Fields by", rules.report_fields.source.to_string()),
                    ]
                    .into_iter()
                    .chain((shop.rules != *shop.rules_at(seq)).then_some(("Rules today", rules_today))),
                ),
            },
            Section { heading: title("The lift"), rows: plate },
            Section { heading: title("The examination"), rows: ended },
            Section { heading: title("The report"), rows: fields.collect() },
            Section { heading: title("The paper"), rows: paper.into_iter().collect() },
        ],
        signed: match (is_struck, confirms) {
            (true, _) => vec![],
            (false, true) => vec!["Examiner".into(), "For the shop".into()],
            (false, false) => vec!["Examiner".into()],
        },
        foot: format!(
            "{}{}",
            if is_struck { "STRUCK OUT, counts no more. " } else { "" },
            foot(shop, &format!("examination {number}, event {seq}"))
        ),
    })
}

/// Who did it, by name.
fn named(shop: &Shop, event: &Event) -> String {
    let name =
        |id: &records::PersonId| shop.people.get(id).map_or_else(|| id.to_string(), |p| p.name.clone());
    let who = match &event.with {
        Some(with) => format!("{} with {}", name(&event.by), name(with)),
        None => name(&event.by),
    };
    told::pin_of_another(shop, event).map_or(who.clone(), |pin| format!("{who}, {pin}"))
}

/// What a plan was made from, by what it is.
type Texts = BTreeMap<String, String>;

/// `again` = with what takes its plan to be made again.
async fn raise(book: &Book, shop: &Shop, number: u64, units: Units, again: bool) -> Result<Record, NoPaper> {
    let events = book.events_about(&Subject::Raise(RaiseNumber(number))).await?;
    let begun = events.iter().find_map(|event| match &event.fact {
        Fact::RaiseBegun { plan, .. } => Some((event, plan)),
        _ => None,
    });
    let (first, plan) =
        begun.ok_or_else(|| NoPaper::Nothing(format!("There is no raise {number} in the book.")))?;
    let beside = told::Beside::of(book, shop, &events).await?;
    let mut found = vec![];
    for event in &events {
        found.push(found_there(book, event, units).await);
    }
    let under_way = shop.raises.get(&RaiseNumber(number));
    let state = match under_way {
        Some(raise) => format!("under way: {}", told::raise::where_it_is(&raise.progress)),
        None => ended(&events),
    };
    // Of what a damaged book lacks the record is made without.
    let made_from = texts(book, plan).await.ok();
    let made_from = made_from.and_then(|texts| Some((read(&texts, &mut String::new())?, texts)));
    let vehicle = made_from.as_ref().map_or_else(
        || plan.vehicle.to_string(),
        |(inputs, _)| format!("{} ({})", told::plain(&inputs.vehicle.name), plan.vehicle),
    );
    let bay = shop.lifts.get(&plan.lift).map_or_else(|| plan.lift.to_string(), |l| l.sheet.bay.clone());
    let job = if plan.job.is_empty() { "raise and lower only" } else { &plan.job };
    let planned = made_from.filter(|_| again).and_then(|(inputs, texts)| as_kept(inputs, &texts, plan));
    let scene = planned.as_ref().map(Planned::scene);
    let verdict = scene.as_ref().map(|scene| ("Verdict of the plan", words::verdict(scene)));
    let about = rows(
        [
            ("Lift", format!("{bay} ({})", plan.lift)),
            ("Vehicle", vehicle.clone()),
            ("Job", job.to_owned()),
            ("Mark of the plan", told::mark(plan.answer)),
            ("Planned by", plan.program.clone()),
        ]
        .into_iter()
        .chain(verdict)
        .chain([
            ("Limits", limits(plan, scene.as_ref(), units)),
            ("Begun", format!("{}, {}", told::time(first.at, &first.zone), named(shop, first))),
            ("Now", state),
        ]),
    );
    let set = match &scene {
        _ if !again => vec![],
        Some(scene) => as_planned(scene, units),
        None => rows([(
            "Not told",
            "this program plans it otherwise, or not at all; the book keeps the plan".into(),
        )]),
    };
    let conditions = scene.as_ref().map_or_else(Vec::new, words::conditions);
    let conditions = scene.iter().flat_map(|scene| conditions.iter().map(|of| of.sentence(scene, units)));
    let conditions =
        conditions.enumerate().map(|(k, said)| (format!("Condition {}", k + 1), told::plain(&said)));
    let there = |event: &Event| match (&event.fact, &scene) {
        (Fact::PointConfirmed { point, .. }, Some(scene)) if *point != HoldPoint::StandsSet => {
            let all = told::raise::conditions_at(scene, *point, units);
            all.into_iter().map(|said| format!("\n{}", told::plain(&said))).collect()
        }
        (Fact::PointConfirmed { point: HoldPoint::StandsSet, words: None, .. }, _) => {
            "\nLoad read: not written down.".to_owned()
        }
        _ => String::new(),
    };
    let done = events.iter().zip(found).map(|(event, found)| {
        let when = format!("{}, event {}", told::time(event.at, &event.zone), event.seq);
        let said = without_number(&lines(&told::sentence(event, &beside, units)), number);
        (when, format!("{said} ({}){found}{}", named(shop, event), there(event)))
    });
    Ok(Record {
        title: format!("Raise {number}: {vehicle} on {bay}"),
        sections: vec![
            Section { heading: shop.name.clone(), rows: about },
            Section { heading: "What was to be set".into(), rows: set },
            Section { heading: "Under these conditions".into(), rows: conditions.collect() },
            Section { heading: "As it was done".into(), rows: done.collect() },
        ],
        signed: vec!["Who led it".into()],
        foot: foot(shop, &format!("raise {number}, begun with event {}", first.seq)),
    })
}

/// How it ended, why, and how far the work was.
fn ended(events: &[Event]) -> String {
    let Some(((_, mut raise), (last, how))) =
        events.first().and_then(Raise::begun).zip(told::ended::ending(events))
    else {
        return "ended".into();
    };
    events[1..].iter().for_each(|event| raise.follow(event));
    let why = how.why().map(|why| format!(" (“{why}”)")).unwrap_or_default();
    let left = raise.progress.unfinished().map(|state| format!("; NOT ENDED: {state}")).unwrap_or_default();
    let (words, work) = (how.words(), told::ended::work(&how, &raise, events));
    format!("{words}, {}{why}: {work}{left}", told::time(last.at, &last.zone))
}

/// How the vehicle, or its pads, were found to stand, if that was measured there and taken or refused; what a damaged book
/// lacks is left out.
async fn found_there(book: &Book, event: &Event, units: Units) -> String {
    let refused = match &event.fact {
        Fact::PointRefused { point, judged, .. } if point.is_measured() => judged.as_ref(),
        _ => None,
    };
    let Some(judged) = led::measured_there(event).or(refused) else { return String::new() };
    let record = led::Record::of(book, judged).await.ok();
    let Some(Setup { placement, pads }) = record.and_then(|record| record.setup()) else {
        return String::new();
    };
    let stood = words::stood(&placement, units);
    let each = Corner::ALL.into_iter().zip(&pads).map(|(corner, pad)| {
        let [aft, left] = pad.at.to_metres().map(Length::metres);
        let side = if left < Length::ZERO { "right" } else { "left" };
        format!(
            "{} pad {} behind the front axle, {} {side} of the middle",
            words::corner_name(corner),
            units.length(aft),
            units.length(left.abs())
        )
    });
    let pads = each.collect::<Vec<_>>().join("; ");
    match event.fact {
        Fact::PointConfirmed { point: HoldPoint::PadsSeated, .. }
        | Fact::PointRefused { point: HoldPoint::PadsSeated, .. } => format!("\nMeasured: {stood}; {pads}."),
        _ => format!("\nMeasured: {stood}."),
    }
}

/// As it was planned, where this program plans it so.
fn as_kept(inputs: Inputs, texts: &Texts, plan: &KeptPlan) -> Option<Planned> {
    let planned = Planned::plan(inputs, texts, &mut String::new())?;
    planned.is(plan).is_ok_and(|same| same).then_some(planned)
}

/// Whose limits it was planned by, and those that are looser than the default.
fn limits(plan: &KeptPlan, scene: Option<&Scene<'_>>, units: Units) -> String {
    let own = if plan.inputs.contains_key("limits") { "the shop's own" } else { "the program's" };
    let whose = told::other_limits(plan).map_or_else(|| own.to_owned(), |said| format!("CAUTION: {said}"));
    let looser = scene.map(|scene| words::looser_limits(scene, units)).unwrap_or_default();
    if looser.is_empty() {
        return whose;
    }
    format!("{whose}; LOOSER than the default. {}", looser.join(" "))
}

/// Spot, arms and stands, as the plan sets them.
fn as_planned(scene: &Scene<'_>, units: Units) -> Vec<(String, String)> {
    let wheel = format!("{}; {}", words::spot(scene, units), words::stance(scene, units));
    let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
    pads.sort_by_key(|pad| pad.arm);
    let arms = pads.into_iter().map(|pad| {
        let set = format!(
            "reach {}, swing {}, height {}, adapters {}",
            units.length(pad.reach),
            words::swing(pad, units),
            words::pad_height(scene, pad, units),
            words::adapters_on(scene, pad, units),
        );
        (words::capital(&words::arm_name(pad)), set)
    });
    let stands = words::has_stands(scene).then(|| {
        let [placed, ticked] = [words::stands_placed(scene, units), words::stands_ticked(scene, units)];
        ("Stands".to_owned(), format!("{placed} {ticked}"))
    });
    std::iter::once(("Front wheel".to_owned(), wheel)).chain(arms).chain(stands).collect()
}

/// A sentence of the raise that the page is of need not name it.
fn without_number(sentence: &str, number: u64) -> String {
    sentence.strip_prefix(&format!("Raise {number}: ")).map_or_else(|| sentence.to_owned(), words::capital)
}
