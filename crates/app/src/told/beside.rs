//! What is to be known beside events where they are told.

use std::collections::BTreeMap;

use records::{Book, Event, Fact, Failure, Outline, RaiseNumber, Seq, Shop};

/// What each raise goes by: hold points are told by it.
pub(super) type Outlines = BTreeMap<RaiseNumber, Outline>;

/// What the raises of events go by, and what struck events out.
#[derive(Default)]
pub(crate) struct Beside {
    pub(super) outlines: Outlines,
    struck: BTreeMap<Seq, String>,
}

impl Beside {
    /// All of it for these events.
    pub(crate) async fn of(book: &Book, shop: &Shop, events: &[Event]) -> Result<Self, Failure> {
        Ok(Self { outlines: outlines(book, events).await?, struck: struck(book, shop, events).await? })
    }

    pub(super) fn is_struck(&self, seq: Seq) -> bool {
        self.struck.contains_key(&seq)
    }

    /// Who struck it out, by which event, and why.
    pub(crate) fn notes(&self, seq: Seq) -> impl Iterator<Item = &str> {
        self.struck.get(&seq).map(String::as_str).into_iter()
    }
}

/// The outlines of all raises that these events speak of.
async fn outlines(book: &Book, events: &[Event]) -> Result<Outlines, Failure> {
    let begun = events.iter().filter_map(|event| match &event.fact {
        Fact::RaiseBegun { raise, plan } => Some((*raise, plan.outline.clone())),
        _ => None,
    });
    let mut found: Outlines = begun.collect();
    for event in events {
        let (Fact::PointConfirmed { raise, .. } | Fact::PointRefused { raise, .. }) = event.fact else {
            continue;
        };
        if found.contains_key(&raise) {
            continue;
        }
        let begun = match book.beginning_of(raise).await?.map(|e| e.fact) {
            Some(Fact::RaiseBegun { plan, .. }) => Some(plan.outline),
            _ => None,
        };
        found.insert(raise, begun.unwrap_or_default());
    }
    Ok(found)
}

async fn struck(book: &Book, shop: &Shop, events: &[Event]) -> Result<BTreeMap<Seq, String>, Failure> {
    let mut all = BTreeMap::new();
    for event in events {
        let Some(correction) = shop.corrected.get(&event.seq) else { continue };
        all.insert(event.seq, struck_by(book, *correction).await?);
    }
    Ok(all)
}

/// Who struck something out, by which event, and why.
pub(crate) async fn struck_by(book: &Book, correction: Seq) -> Result<String, Failure> {
    Ok(match book.event(correction).await? {
        Some(Event { by, fact: Fact::Corrected { words, .. }, .. }) => {
            format!("struck out by {by} with event {correction}: {words}")
        }
        _ => format!("struck out with event {correction}"),
    })
}
