//! What is to be known beside events where they are told.

use std::collections::{BTreeMap, BTreeSet};

use records::{Book, Event, Fact, Failure, Hall, HoldPoint, Outline, Raise, RaiseNumber, Seq, Subject};

/// What the raise of an event went by then: its hold point is told by it.
pub(super) type Outlines = BTreeMap<Seq, Outline>;

/// What the raises of events went by, what struck events out, and by whose PINs they were signed.
#[derive(Default)]
pub(crate) struct Beside {
    pub(super) outlines: Outlines,
    struck: BTreeMap<Seq, String>,
    pins: BTreeMap<Seq, String>,
    set_back: BTreeMap<Seq, String>,
}

impl Beside {
    /// All of it for these events.
    pub(crate) async fn of(book: &Book, shop: &Hall, events: &[Event]) -> Result<Self, Failure> {
        let struck = struck(book, shop, events).await?;
        let outlines = outlines(book, events).await?;
        Ok(Self { outlines, struck, ..Self::new(shop, events) })
    }

    /// Of events that were just written: no point of a raise is among them, and nothing has struck them out.
    pub(crate) fn new(shop: &Hall, events: &[Event]) -> Self {
        Self { pins: pins(shop, events), set_back: set_back(shop, events), ..Self::default() }
    }

    pub(super) fn is_struck(&self, seq: Seq) -> bool {
        self.struck.contains_key(&seq)
    }

    /// What it did to days; by whose PIN it was signed, if it was another's; who struck it out, by which event, and why.
    pub(super) fn notes(&self, seq: Seq) -> impl Iterator<Item = &str> {
        let all = [&self.set_back, &self.pins, &self.struck];
        all.into_iter().filter_map(move |all| all.get(&seq)).map(String::as_str)
    }
}

/// What the raises went by as each of these points was confirmed.
async fn outlines(book: &Book, events: &[Event]) -> Result<Outlines, Failure> {
    let raises: BTreeSet<RaiseNumber> = events.iter().filter_map(|event| Some(point(event)?.0)).collect();
    let mut of_raises: BTreeMap<RaiseNumber, Vec<&Event>> =
        raises.into_iter().map(|raise| (raise, vec![])).collect();
    for event in events {
        // Nothing is about a raise twice over.
        let subjects: BTreeSet<Subject> = event.fact.subjects().into_iter().collect();
        for subject in subjects {
            if let Subject::Raise(raise) = subject
                && let Some(of_it) = of_raises.get_mut(&raise)
            {
                of_it.push(event);
            }
        }
    }
    let mut found = Outlines::new();
    for (number, of_it) in of_raises {
        let all = match followed(of_it.into_iter(), false) {
            Some(all) => all,
            // Not all of it is among them.
            None => {
                followed(book.events_about(&Subject::Raise(number)).await?.iter(), true).unwrap_or_default()
            }
        };
        found.extend(all);
    }
    Ok(found)
}

const fn point(event: &Event) -> Option<(RaiseNumber, HoldPoint)> {
    match &event.fact {
        Fact::PointConfirmed { raise, point, .. } => Some((*raise, *point)),
        _ => None,
    }
}

/// Along the events of a raise; `None` = its beginning is not among them or, unless these are all, a point is confirmed that
/// does not come next.
fn followed<'e>(mut events: impl Iterator<Item = &'e Event>, are_all: bool) -> Option<Outlines> {
    let (_, mut raise) = Raise::begun(events.next()?)?;
    let mut found = Outlines::new();
    for event in events {
        raise.check(event);
        if let Some((_, point)) = point(event) {
            if !are_all && raise.progress.next() != Some(point) {
                return None;
            }
            found.insert(event.seq, raise.progress.outline.clone());
        }
        raise.follow(event);
    }
    Some(found)
}

/// By how much less what was given before counts, where the clock or the zone went back.
fn set_back(shop: &Hall, events: &[Event]) -> BTreeMap<Seq, String> {
    let ended =
        |seq| shop.set_back.iter().find(|back| back.until == seq && back.right.is_some() && back.days > 0);
    let note = |event: &Event| {
        let days = ended(event.seq)?.days;
        let days = if days == 1 { "1 day".to_owned() } else { format!("{days} days") };
        let words = format!(
            "examinations and instructions reported before it, also of days to come, are due {days} sooner than they say"
        );
        Some((event.seq, words))
    };
    events.iter().filter_map(note).collect()
}

fn pins(shop: &Hall, events: &[Event]) -> BTreeMap<Seq, String> {
    let note = |event: &Event| Some((event.seq, pin_of_another(shop, event)?));
    events.iter().filter_map(note).collect()
}

/// Of an event that somebody signed with a PIN that another had given them: who. Too many wrong PINs nobody has signed, nor
/// what the clock said.
pub(crate) fn pin_of_another(shop: &Hall, event: &Event) -> Option<String> {
    if matches!(event.fact, Fact::PinLocked { .. } | Fact::ClockBehind { .. }) {
        return None;
    }
    let signed = [Some(&event.by), event.with.as_ref()].into_iter().flatten();
    let by =
        |person| Some(format!("with a PIN of {person} that {} set", shop.pin_of_another(person, event.seq)?));
    let all: Vec<String> = signed.filter_map(by).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

async fn struck(book: &Book, shop: &Hall, events: &[Event]) -> Result<BTreeMap<Seq, String>, Failure> {
    let mut all = BTreeMap::new();
    for event in events {
        let Some(correction) = shop.corrected.get(&event.seq) else { continue };
        all.insert(event.seq, struck_by(book, *correction, |event| event.by.to_string()).await?);
    }
    Ok(all)
}

/// Who struck something out, by which event, and why.
pub(crate) async fn struck_by(
    book: &Book,
    correction: Seq,
    who: impl Fn(&Event) -> String,
) -> Result<String, Failure> {
    let event = book.event(correction).await?;
    Ok(match event.as_ref().map(|event| (who(event), &event.fact)) {
        Some((by, Fact::Corrected { words, .. })) => {
            format!("struck out by {by} with event {correction}: {words}")
        }
        _ => format!("struck out with event {correction}"),
    })
}
