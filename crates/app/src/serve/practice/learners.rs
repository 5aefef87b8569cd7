//! What everybody made of every situation, gathered for whoever teaches.

use std::collections::BTreeMap;

use maud::{Markup, html};
use records::{Book, Event, Fact, PersonId, Practised, Shop, Subject};
use sheets::words;

use super::task::{self, INVENTED};
use crate::serve::fault::Fault;
use crate::told;

/// Somebody's attempts at one situation.
pub(crate) struct Tries {
    person: PersonId,
    of: Practised,
    situation: String,
    attempts: u64,
    last: Event,
}

/// By person, then by situation.
pub(crate) async fn gathered(book: &Book, shop: &Shop) -> Result<Vec<Tries>, Fault> {
    let set = shop.practices.iter().map(|(n, p)| (Practised::Set(*n), p.situation.name.clone()));
    let invented = INVENTED.iter().map(|i| (Practised::Invented(i.id.to_owned()), i.name.to_owned()));
    let mut all: BTreeMap<(PersonId, Practised), Tries> = BTreeMap::new();
    for (of, situation) in set.chain(invented) {
        for event in book.events_about(&Subject::Practice(of.clone())).await? {
            if !matches!(event.fact, Fact::PracticeTried { .. }) || shop.corrected.contains_key(&event.seq) {
                continue;
            }
            let person = event.by.clone();
            let before = all.get(&(person.clone(), of.clone())).map_or(0, |tries| tries.attempts);
            let tries = Tries {
                person: person.clone(),
                of: of.clone(),
                situation: situation.clone(),
                attempts: before + 1,
                last: event,
            };
            all.insert((person, of.clone()), tries);
        }
    }
    Ok(all.into_values().collect())
}

pub(crate) fn table(shop: &Shop, all: &[Tries]) -> Markup {
    let name =
        |person: &PersonId| shop.people.get(person).map_or(person.as_str(), |p| p.name.as_str()).to_owned();
    html! {
        section {
            h2 { "Who tried what" }
            @if all.is_empty() { p.note { "Nobody has tried anything yet." } } @else {
                table.stack {
                    thead { tr { th { "Who" } th { "Situation" } th { "Attempts" } th { "The last time" } th { "When" } } }
                    tbody { @for tries in all { (row(tries, &name(&tries.person))) } }
                }
            }
        }
    }
}

fn row(tries: &Tries, name: &str) -> Markup {
    let Tries { person, of, situation, attempts, last } = tries;
    let Fact::PracticeTried { attempt, .. } = &last.fact else { return html! {} };
    let to = task::below(of);
    html! {
        tr {
            td data-of="Who" { a href={ "/person/" (person) } { (name) } }
            td data-of="Situation" { a href={ "/" (to) } { (situation) } }
            td data-of="Attempts" { (attempts) }
            td data-of="The last time" { a href={ "/" (to) "/tried/" (last.seq) } { (words::capital(&told::practised(&attempt.end))) } }
            td data-of="When" { (told::time(last.at, &last.zone)) }
        }
    }
}
