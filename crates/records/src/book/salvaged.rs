//! A book made of what was whole of a damaged one.

use std::collections::BTreeSet;
use std::io::BufRead;

use jiff::Timestamp;

mod apart;

use self::apart::Apart;
use super::backup::{FORM, Line, is_lost, next_line, put, take_pin};
use super::salvage::Held;
use super::verify::verified;
use super::{Book, Verification, damaged, pin, to_microsecond};
use crate::digest::{Digest, Document};
use crate::event::{Head, StoredEvent};
use crate::fact::Fact;
use crate::failure::{Failure, PinFailure};
use crate::fault::Fault;
use crate::names::{PersonId, Seq};
use crate::refusal::Refusal;
use crate::role::Role;
use crate::shop::Shop;
use crate::store::{Store, Tx, read, write};

/// What was read of a salvage.
#[derive(Default)]
struct Found {
    shop: Option<Shop>,
    /// Events that do not follow on the whole beginning, as lines.
    rest: Vec<u8>,
    others: u64,
    apart: Apart,
    documents: u64,
    pins: Vec<(String, String)>,
    /// What it says at its end.
    said: Option<Held>,
}

/// A book made of a salvage.
#[derive(Debug)]
pub struct Remade {
    /// The book, opened.
    pub book: Book,
    /// How it was found before it was kept.
    pub verification: Verification,
    /// What the salvage says that it holds.
    pub said: Held,
    /// What it holds: another count, or an earlier gap, and it was cut or altered.
    pub held: Held,
    /// Whose PIN it does not hold, but for the lead's.
    pub pins_lost: Vec<PersonId>,
    /// Whether the lead's PIN is a new one, so that nobody proved to be them.
    pub lead_unproved: bool,
}

impl Remade {
    /// How many of its events are kept apart, as they do not follow on the whole beginning.
    #[must_use]
    pub const fn apart(&self) -> u64 {
        self.held.events - self.held.intact.seq.0
    }
}

impl Book {
    /// Makes a book of a salvage: the events up to the first that is missing or altered; what else could be read is kept as
    /// a document. The book says so, and as a tag or defect may be among what is lost, every lift is out of service; what of
    /// those kept apart concerns it is entered anew.
    ///
    /// # Errors
    /// If there is a book already, the salvage cannot be read, its beginning knows no such lead, or the PIN is not theirs.
    pub async fn restore_salvaged(
        place: &str,
        at: Timestamp,
        salvage: &mut (dyn BufRead + Send),
        lead: &PersonId,
        new_pin: &str,
    ) -> Result<Remade, Failure> {
        let store = Self::empty_store(place).await?;
        let filled = fill(&store, place, to_microsecond(at), salvage, (lead, new_pin)).await;
        let (store, filled) = store.or_nothing(filled).await?;
        let Filled { verification, said, held, pins_lost, lead_unproved } = filled;
        Ok(Remade { book: Self::load(store).await?, verification, said, held, pins_lost, lead_unproved })
    }
}

struct Filled {
    verification: Verification,
    said: Held,
    held: Held,
    pins_lost: Vec<PersonId>,
    lead_unproved: bool,
}

async fn fill(
    store: &Store,
    place: &str,
    at: Timestamp,
    salvage: &mut (dyn BufRead + Send),
    (lead, new_pin): (&PersonId, &str),
) -> Result<Filled, Failure> {
    let mut tx = store.begin_writing().await?;
    if read::head(&mut tx).await? != Head::EMPTY {
        return Err(Failure::book_exists(place));
    }
    let found = take_in(&mut tx, salvage).await?;
    let Found { shop, rest, others, apart, documents, pins, said } = found;
    let said = said.ok_or_else(|| Failure::NotABackup("it is no whole salvage".to_owned()))?;
    let mut shop = shop.ok_or(Failure::BeginningLost)?;
    may(&shop, lead)?;
    let known = pins.iter().find(|(person, _)| *person == lead.to_string());
    let lead_pin = match known {
        Some((_, hash)) if !pin::is_right(new_pin.to_owned(), hash.clone()).await? => {
            return Err(Failure::Pin(PinFailure::Wrong(lead.clone())));
        }
        Some((_, hash)) => hash.clone(),
        None => pin::hash(new_pin.to_owned()).await?,
    };
    // What is kept of others' PINs counts where the whole beginning says so; a lead gives new ones.
    let set = |person: &str| person.parse().ok().and_then(|id: PersonId| shop.people.get(&id)?.pin);
    let mut pins_lost: BTreeSet<PersonId> =
        with_pins(&shop).filter(|person| *person != lead).cloned().collect();
    for (person, hash) in &pins {
        if set(person).is_some() && pin::is_as_set(set(person), hash) {
            take_pin(&mut tx, person, hash, [0; 3]).await?;
            pins_lost.retain(|lost| lost.as_str() != person);
        }
    }
    let lead_set = shop.people.get(lead).and_then(|p| p.pin);
    let lead_unproved = known.is_none() || lead_set.is_none() || !pin::is_as_set(lead_set, &lead_pin);
    pin::keep(&mut tx, lead, &lead_pin).await?;
    let rest = Document::new(String::from_utf8_lossy(&rest).into_owned());
    write::document(&mut tx, &rest).await?;
    let intact = shop.head;
    let held = Held { events: intact.seq.0 + others, documents, intact, ..said };
    let vehicles = apart.vehicles(&shop);
    let mut facts = vec![Fact::Salvaged { intact, others, rest: rest.digest(), vehicles }];
    let hash = Digest::of(&lead_pin);
    facts.extend(lead_unproved.then(|| Fact::PinGiven { person: lead.clone(), hash }));
    facts.extend(apart.facts(&shop));
    for fact in facts {
        let stored = StoredEvent::next(shop.head, at, &shop.zone, lead, None, &fact);
        let event = stored.read().map_err(damaged)?;
        write::event(&mut tx, &stored, &event).await?;
        shop.apply(&event);
    }
    write::head(&mut tx, shop.head).await?;
    write::fold(&mut tx, &shop).await?;
    let verification = verified(&mut tx, store.kind, shop.head, is_lost).await?;
    tx.commit().await?;
    Ok(Filled { verification, said, held, pins_lost: pins_lost.into_iter().collect(), lead_unproved })
}

/// Who has a PIN, by the events; one that was set before an earlier salvage may have been lost in that.
pub(super) fn with_pins(shop: &Shop) -> impl Iterator<Item = &PersonId> {
    let counts = |seq: Seq| shop.salvaged.is_none_or(|at| seq > at);
    let people = shop.people.iter();
    people.filter(move |(_, p)| !p.left && p.pin.is_some_and(|(seq, _)| counts(seq))).map(|(id, _)| id)
}

fn may(shop: &Shop, lead: &PersonId) -> Result<(), Failure> {
    let refusal = match shop.people.get(lead) {
        None => Refusal::UnknownPerson(lead.clone()),
        Some(p) if p.left => Refusal::HasLeft(lead.clone()),
        Some(p) if p.role != Role::Lead => {
            Refusal::RoleMayNot(lead.clone(), p.role, crate::role::Act::RunShop)
        }
        Some(_) => return Ok(()),
    };
    Err(Failure::Refused(vec![refusal]))
}

async fn take_in(tx: &mut Tx, salvage: &mut (dyn BufRead + Send)) -> Result<Found, Failure> {
    let not = |why: String| Failure::NotABackup(why);
    let mut found = Found::default();
    let mut text = String::new();
    for number in 1_u64.. {
        if !next_line(salvage, number, &mut text)? {
            break;
        }
        let line: Line = serde_json::from_str(&text).map_err(|e| not(format!("line {number}: {e}")))?;
        match line {
            Line::Salvage { form } if number == 1 && form == FORM => {}
            Line::Book { .. } if number == 1 => {
                return Err(not("it was not salvaged: restore it as it is".into()));
            }
            Line::Book { .. } | Line::Salvage { .. } | Line::End { .. } => {
                return Err(not(format!("line {number} is out of place")));
            }
            _ if number == 1 || found.said.is_some() => {
                return Err(not(format!("line {number} is out of place")));
            }
            Line::Document { digest, content } => {
                let document = Document::new(content);
                if document.digest() != digest {
                    return Err(not(format!("line {number}: document {digest} was altered")));
                }
                write::document(tx, &document).await?;
                found.documents += 1;
            }
            Line::Event(line) => found.event(tx, line.into()).await?,
            Line::Pin { person, hash, .. } => found.pins.push((person, hash)),
            Line::SalvageEnd(said) => found.said = Some(said),
        }
    }
    Ok(found)
}

impl Found {
    async fn event(&mut self, tx: &mut Tx, stored: StoredEvent) -> Result<(), Failure> {
        let head = self.shop.as_ref().map_or(Head::EMPTY, |s| s.head);
        let follows = (self.others == 0).then(|| read::chained(head, &stored));
        let event = match follows {
            Some(Ok(event)) => event,
            Some(Err(Fault::UnknownZone(_, zone))) => return Err(Failure::UnknownZone(zone)),
            Some(Err(_)) | None => {
                self.others += 1;
                if let (Some(shop), Ok(event)) = (&self.shop, stored.read()) {
                    self.apart.add(shop, &event);
                }
                return put(&mut self.rest, &Line::Event(stored.into()));
            }
        };
        write::event(tx, &stored, &event).await?;
        match &mut self.shop {
            Some(shop) => shop.apply(&event),
            None => self.shop = Shop::open(&event).ok(),
        }
        Ok(())
    }
}
