//! Finding again what stands in the book.

use ::records::{Book, Event, Fact, Seq, Shop};
use maud::{Markup, html};
use serde::Deserialize;
use sheets::Units;

use super::pages::row;
use crate::serve::fault::Fault;
use crate::told;

/// Rows that a page shows.
const MOST: usize = 100;
/// Events that one page looks through: it stays quick however long the book is.
const LOOKS_AT: usize = 10_000;

/// What is looked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Sought {
    #[serde(default)]
    pub(super) words: String,
    /// Only before this event.
    before: Option<u64>,
}

/// Events that say all of the words, the newest first.
struct Found {
    events: Vec<(Event, String)>,
    /// How far back was looked; nothing = to the beginning.
    back_to: Option<Seq>,
}

impl Sought {
    fn words(&self) -> Vec<String> {
        self.words.to_lowercase().split_whitespace().map(str::to_owned).collect()
    }

    /// What the book says of them; `None` if nothing was asked.
    pub(super) async fn found(
        &self,
        book: &Book,
        shop: &Shop,
        units: Units,
    ) -> Result<Option<Markup>, Fault> {
        let words = self.words();
        if words.is_empty() {
            return Ok(None);
        }
        let found = find(book, &words, units, self.before.map_or(Seq(shop.head.seq.0 + 1), Seq)).await?;
        let older = |before: Seq| {
            let pairs = [("words", self.words.as_str()), ("before", &before.to_string())];
            format!(
                "/records?{}",
                url::form_urlencoded::Serializer::new(String::new()).extend_pairs(pairs).finish()
            )
        };
        Ok(Some(html! {
            @if self.before.is_none() { (named(shop, &words)) }
            @if found.events.is_empty() {
                p { @match (found.back_to, self.before) {
                    (Some(_), _) => { "No event as far back as was looked says that." },
                    (None, Some(_)) => { "Nothing older in the book says that." },
                    (None, None) => { "Nothing in the book says that." },
                } }
            }
            ol.events { @for (event, says) in &found.events { (row(shop, event, says, &html! {})) } }
            @if let Some(back_to) = found.back_to {
                p { a.button href=(older(back_to)) { "Look further back" } " " span.note { "before event " (back_to) } }
            }
        }))
    }
}

/// Whether a word of the text begins with each of these: "bay" finds "north-bay", "long" no "belongs".
fn says_all(text: &str, words: &[String]) -> bool {
    let text = text.to_lowercase();
    let begins = |at: usize| !text[..at].ends_with(char::is_alphanumeric);
    words.iter().all(|word| text.match_indices(word.as_str()).any(|(at, _)| begins(at)))
}

/// Lifts, vehicles, jobs and people of that name: each has a page of its own.
fn named(shop: &Shop, words: &[String]) -> Markup {
    let says = |text: String| says_all(&text, words);
    let lifts = shop.lifts.iter().filter(|(id, lift)| says(format!("{id} {}", lift.sheet.bay)));
    let vehicles = shop.fleet.vehicles.keys().filter(|id| says(id.to_string()));
    let jobs = shop.jobs.keys().filter(|id| says(id.to_string()));
    let people = shop.people.iter().filter(|(id, person)| says(format!("{id} {}", person.name)));
    let lifts = lifts.map(|(id, lift)| (format!("/lift/{id}"), lift.sheet.bay.clone()));
    let vehicles = vehicles.map(|id| (format!("/vehicle/{id}"), id.to_string()));
    let jobs = jobs.map(|id| (format!("/job/{id}"), id.to_string()));
    let people = people.map(|(id, person)| (format!("/person/{id}"), person.name.clone()));
    let all: Vec<(String, String)> = lifts.chain(vehicles).chain(jobs).chain(people).take(MOST).collect();
    html! { @if !all.is_empty() { ul.forms { @for (to, name) in all { li { a.button href=(to) { (name) } } } } } }
}

/// That of the plan that it keeps or is led by, as it stands on the plan's sheet.
fn mark(event: &Event) -> String {
    match &event.fact {
        Fact::PlanKept { plan } | Fact::RaiseBegun { plan, .. } | Fact::RaiseRefused { plan, .. } => {
            told::mark(plan.answer)
        }
        _ => String::new(),
    }
}

async fn find(book: &Book, words: &[String], units: Units, before: Seq) -> Result<Found, Fault> {
    let (mut found, mut at, mut looked_at) = (vec![], before, 0);
    while looked_at < LOOKS_AT {
        let events = book.events_before(at).await?;
        if events.is_empty() {
            return Ok(Found { events: found, back_to: None });
        }
        let beside = told::Beside::of(book, &*book.known().await, &events).await?;
        looked_at += events.len();
        for event in events {
            at = event.seq;
            let says = told::sentence(&event, &beside, units);
            if says_all(&format!("{says} {} {at} {}", event.by, mark(&event)), words) {
                found.push((event, says));
                if found.len() == MOST {
                    return Ok(Found { events: found, back_to: (at.0 > 1).then_some(at) });
                }
            }
        }
    }
    Ok(Found { events: found, back_to: (at.0 > 1).then_some(at) })
}
