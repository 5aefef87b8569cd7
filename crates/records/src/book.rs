//! The book, opened: everything that a program asks of it.

mod backup;
mod lookup;
mod pin;
mod salvage;
mod salvaged;
mod survey;
mod verify;

use std::sync::Arc;

use jiff::Timestamp;
use tokio::sync::{MappedMutexGuard, Mutex, MutexGuard};

pub use backup::Restored;
pub use pin::{FIRST_LOCK, Signed, WRONG_PINS};
pub use salvage::{Held, Salvaged, salvage};
pub use salvaged::Remade;
pub use verify::{Verification, verify};

use crate::command::{Command, Hand};
use crate::decide::{Decision, act_of, decide, refused, senseless};
use crate::digest::Digest;
use crate::event::{Event, Head, StoredEvent};
use crate::fact::{Admission, Fact};
use crate::failure::Failure;
use crate::fault::Fault;
use crate::fleet::Fleet;
use crate::hall::Hall;
use crate::names::PersonId;
use crate::refusal::Refusal;
use crate::role::{Act, Role};
use crate::rules::Rules;
use crate::shop::Shop;
use crate::store::{Store, Tx, read, write};
use crate::text;
use crate::zone::{UnknownZone, Zone};

/// Events after which the hall is kept anew: opening reads at most about so many.
const KEEP_HALL_EVERY: u64 = 100;
/// The same of the fleet, which may be a hundred times as long.
const KEEP_FLEET_EVERY: u64 = 1000;

/// How a book begins.
#[derive(Clone, Debug)]
pub struct Opening {
    /// The shop's name.
    pub shop: String,
    /// IANA name of its zone.
    pub zone: String,
    /// The rules that it goes by.
    pub rules: Rules,
    /// The first lead.
    pub lead: Admission,
    /// The lead's PIN.
    pub pin: String,
}

/// A shop's book. Cheap to share behind an `Arc`; several programs may have the same book open.
#[derive(Debug)]
pub struct Book {
    store: Store,
    /// As far as this program has read. Held while writing, so that one program's writers queue here.
    known: Mutex<Known>,
    /// Hash of the first event: which book this is.
    id: Digest,
}

impl Book {
    /// Begins a book at a path, or in the PostgreSQL database at a `postgres://` address.
    ///
    /// # Errors
    /// If there is a book already, the zone is not known, or name, PIN or rules are not usable.
    pub async fn create(place: &str, at: Timestamp, opening: Opening) -> Result<Self, Failure> {
        let hash = pin::hash(opening.pin.clone()).await?;
        let zone = Zone::chosen(&opening.zone).map_err(|UnknownZone(name)| Failure::UnknownZone(name))?;
        let texts = [("shop's name", &opening.shop), ("name", &opening.lead.name)];
        let blank = texts.into_iter().filter(|(_, text)| text.trim().is_empty());
        let mut refusals: Vec<Refusal> = blank.map(|(what, _)| Refusal::Blank(what)).collect();
        refusals.extend(senseless(&opening.rules));
        let at = to_microsecond(at);
        let lead = Admission { role: Role::Lead, ..opening.lead };
        let by = lead.person.clone();
        let facts = [
            Fact::ShopOpened {
                book: pin::random()?,
                name: opening.shop,
                zone: zone.clone(),
                rules: opening.rules,
            },
            Fact::PersonAdmitted(lead),
            Fact::PinSet { person: by.clone(), hash: Some(Digest::of(&hash)) },
        ];
        refusals.extend(facts.iter().flat_map(text::unfit));
        if !refusals.is_empty() {
            return Err(Failure::Refused(refusals));
        }
        let store = Self::empty_store(place).await?;
        let begun = begin(&store, place, at, (&by, &hash), &zone, facts).await;
        let (store, ()) = store.or_nothing(begun).await?;
        Self::load(store).await
    }

    /// Opens a book, bringing its tables forward if an older program wrote them.
    ///
    /// # Errors
    /// If there is none, it is damaged, or a newer program wrote it.
    pub async fn open(place: &str) -> Result<Self, Failure> {
        let store = Store::connect(place, false).await?;
        if store.version().await? == 0 {
            return Err(store.no_book().await);
        }
        store.bring_forward().await?;
        Self::load(store).await
    }

    async fn empty_store(place: &str) -> Result<Store, Failure> {
        let store = Store::connect(place, true).await?;
        let made = match store.holds_every_sign().await {
            Ok(()) => store.bring_forward().await,
            refused => refused,
        };
        Ok(store.or_nothing(made).await?.0)
    }

    async fn load(store: Store) -> Result<Self, Failure> {
        let mut tx = store.begin_reading().await?;
        let said = read::head(&mut tx).await?;
        let first = sqlx::query(read::events!("WHERE seq = 1")).fetch_optional(&mut *tx).await?;
        let Some(first) = first else {
            return Err(if said == Head::EMPTY {
                store.no_book().await
            } else {
                Failure::Damaged(vec![Fault::Missing(crate::names::Seq(1), crate::names::Seq(1))])
            });
        };
        let first = read::chained(Head::EMPTY, &read::event(&first)?.0).map_err(damaged)?;
        let id = first.hash;
        let fold = read::hall(&mut tx).await?;
        let (hall, is_spoilt) = believed(&mut tx, fold).await?;
        let hall = match hall {
            Some((_, kept)) => kept,
            None => Hall::open(&first).map_err(|_| damaged(Fault::NoBeginning))?,
        };
        let kept = hall.head.seq.0;
        let mut known = Known::Hall(Arc::new(hall));
        known.catch_up(None, &mut tx).await?;
        tx.rollback().await?;
        let found = known.hall().head;
        let book = Self { store, known: Mutex::new(known), id };
        if is_spoilt || found.seq.0 - kept > KEEP_FLEET_EVERY {
            // Whoever may only read goes on without.
            let _ = book.keep_fold().await;
        }
        Ok(book)
    }

    /// In the place of an older program's, or of one that is not believed, so that it need not be folded from the first event at
    /// each opening.
    async fn keep_fold(&self) -> Result<(), Failure> {
        let mut writing = self.write().await?;
        write::fold(&mut writing.tx, &writing.shop).await?;
        writing.tx.commit().await?;
        Ok(())
    }

    /// The shop as it is now, with what others wrote since.
    ///
    /// # Errors
    /// If the book cannot be read or is damaged.
    pub async fn shop(&self) -> Result<Shop, Failure> {
        let mut known = self.known.lock().await;
        let mut tx = self.store.begin_reading().await?;
        known.catch_up(Some(&self.store.place), &mut tx).await?;
        let (shop, is_spoilt) = whole(known, &mut tx).await?;
        tx.rollback().await?;
        let now = shop.clone();
        drop(shop);
        if is_spoilt {
            // Whoever may only read goes on without.
            let _ = self.keep_fold().await;
        }
        Ok(now)
    }

    /// All of it but its vehicles, as it is now: quicker in a shop with many.
    ///
    /// # Errors
    /// If the book cannot be read or is damaged.
    pub async fn hall(&self) -> Result<Arc<Hall>, Failure> {
        let mut known = self.known.lock().await;
        let mut tx = self.store.begin_reading().await?;
        known.catch_up(Some(&self.store.place), &mut tx).await?;
        tx.rollback().await?;
        Ok(Arc::clone(known.hall()))
    }

    /// The hall as far as this program has read its book: what others wrote since is not in it.
    pub async fn known(&self) -> Arc<Hall> {
        Arc::clone(self.known.lock().await.hall())
    }

    /// Does what a person asks, or tells every reason why not. Either all of its events are in the book, on disk, or none.
    ///
    /// # Errors
    /// Refused by the shop's rules, or the book cannot be written.
    pub async fn act(&self, at: Timestamp, by: &Signed, command: &Command) -> Result<Vec<Event>, Failure> {
        self.act_by(at, by, None, command).await
    }

    /// The same with a second person beside, as a learner needs.
    ///
    /// # Errors
    /// As for `act`.
    pub async fn act_with(
        &self,
        at: Timestamp,
        by: &Signed,
        second: &Signed,
        command: &Command,
    ) -> Result<Vec<Event>, Failure> {
        self.act_by(at, by, Some(second), command).await
    }

    async fn act_by(
        &self,
        at: Timestamp,
        by: &Signed,
        second: Option<&Signed>,
        command: &Command,
    ) -> Result<Vec<Event>, Failure> {
        let at = to_microsecond(at);
        let mut writing = self.write().await?;
        let proved = |signed| self.proved(&writing.shop, signed);
        let hand = &Hand { by: proved(by)?, with: second.map(proved).transpose()? };
        let stops = matches!(act_of(&writing.shop, command), Act::StopRaise | Act::TagOut);
        for signed in [by].into_iter().chain(second).filter(|_| !stops) {
            if let Some(until) = signed.locked_until(at) {
                return Err(Failure::Pin(pin::locked(&writing.shop, at, signed.person(), until)));
            }
        }
        let struck = match command {
            Command::Correct { event, .. } => read::fact(&mut writing.tx, *event).await?,
            _ => None,
        };
        match decide(&writing.shop, at, hand, command, struck.as_ref()) {
            Ok(decision) => {
                writing.put(at, hand, decision).await?;
                writing.commit().await
            }
            Err(reasons) => {
                if let Some(decision) = refused(&writing.shop, at, hand, command, &reasons) {
                    writing.put(at, hand, decision).await?;
                    writing.commit().await?;
                }
                Err(Failure::Refused(reasons))
            }
        }
    }

    async fn write(&self) -> Result<Writing<'_>, Failure> {
        let mut known = self.known.lock().await;
        let mut tx = self.store.begin_writing().await?;
        known.catch_up(Some(&self.store.place), &mut tx).await?;
        let (shop, is_spoilt) = whole(known, &mut tx).await?;
        if is_spoilt {
            write::fold(&mut tx, &shop).await?;
        }
        Ok(Writing { tx, shop, events: vec![] })
    }

    /// Whether another file stands in its place by now, as after a restore: what is in that one is not told here.
    #[must_use]
    pub fn was_replaced(&self) -> bool {
        self.store.was_replaced()
    }

    /// Whether its disk had no room when it was opened: it is read as it is, and takes nothing.
    #[must_use]
    pub fn is_on_full_disk(&self) -> bool {
        self.store.is_full()
    }

    /// Closes it: what others opened stays open.
    pub async fn close(self) {
        self.store.close().await;
    }
}

/// Writes how a book begins.
async fn begin(
    store: &Store,
    place: &str,
    at: Timestamp,
    (by, pin_hash): (&PersonId, &str),
    zone: &Zone,
    facts: [Fact; 3],
) -> Result<(), Failure> {
    let mut tx = store.begin_writing().await?;
    let mut head = read::head(&mut tx).await?;
    if head != Head::EMPTY {
        return Err(Failure::book_exists(place));
    }
    for fact in facts {
        let stored = StoredEvent::next(head, at, zone, by, None, &fact);
        let event = stored.read().map_err(damaged)?;
        write::event(&mut tx, &stored, &event).await?;
        head = event.head();
    }
    write::head(&mut tx, head).await?;
    pin::keep(&mut tx, by, pin_hash).await?;
    tx.commit().await?;
    Ok(())
}

/// As far as a program has read: without the vehicles until somebody asks for them.
#[derive(Debug)]
enum Known {
    Hall(Arc<Hall>),
    Shop(Shop),
}

impl Known {
    const fn hall(&self) -> &Arc<Hall> {
        match self {
            Self::Hall(hall) => hall,
            Self::Shop(shop) => &shop.hall,
        }
    }

    const fn shop(&mut self) -> Option<&mut Shop> {
        match self {
            Self::Hall(_) => None,
            Self::Shop(shop) => Some(shop),
        }
    }

    fn apply(&mut self, event: &Event) {
        match self {
            Self::Hall(hall) => Arc::make_mut(hall).apply(event),
            Self::Shop(shop) => shop.apply(event),
        }
    }

    /// Reads what is in the book after it. One that was open at a place, and ends before it now, had another put over it.
    async fn catch_up(&mut self, open_at: Option<&str>, tx: &mut Tx) -> Result<(), Failure> {
        let (head, said) = (self.hall().head, read::head(&mut *tx).await?);
        if let Some(place) = open_at
            && said.seq < head.seq
        {
            return Err(Failure::Moved(place.to_owned()));
        }
        let found = each_after(tx, head, |event| self.apply(event)).await?;
        if found == said { Ok(()) } else { Err(damaged(Fault::EndsElsewhere { said, found })) }
    }
}

/// With the vehicles, once it has caught up in this transaction; and whether their kept fold was not believed.
async fn whole<'a>(
    mut known: MutexGuard<'a, Known>,
    tx: &mut Tx,
) -> Result<(MappedMutexGuard<'a, Shop>, bool), Failure> {
    let mut is_spoilt = false;
    if let Known::Hall(hall) = &*known {
        let fold = read::fleet(&mut *tx).await?;
        let (fold, spoilt) = believed(&mut *tx, fold).await?;
        is_spoilt = spoilt;
        let (kept, mut fleet) = fold.unwrap_or((Head::EMPTY, Fleet::default()));
        let found = each_after(tx, kept, |event| fleet.apply(event)).await?;
        if found != hall.head {
            return Err(damaged(Fault::EndsElsewhere { said: hall.head, found }));
        }
        let hall = Arc::clone(hall);
        *known = Known::Shop(Shop { hall, fleet: Arc::new(fleet) });
    }
    let shop = MutexGuard::try_map(known, Known::shop);
    Ok((shop.map_err(|_| Failure::Store("the vehicles were not read".into()))?, is_spoilt))
}

/// A kept fold that bears its own sum and is of this book; else whether there is one that is not believed.
async fn believed<T>(tx: &mut Tx, kept: read::Kept<T>) -> Result<(Option<(Head, T)>, bool), Failure> {
    match kept {
        read::Kept::None => Ok((None, false)),
        read::Kept::Fold(head, fold) if is_end(tx, head).await? => Ok((Some((head, fold)), false)),
        read::Kept::Fold(..) | read::Kept::NotBelieved(_) => Ok((None, true)),
    }
}

/// Whether a kept fold is of this book: it ended there once.
async fn is_end(tx: &mut Tx, head: Head) -> Result<bool, Failure> {
    Ok(read::hash_at(tx, head.seq).await? == Some(head.hash))
}

/// Goes through all events after one, each held against the chain; where the book ends.
async fn each_after(tx: &mut Tx, mut head: Head, mut each: impl FnMut(&Event)) -> Result<Head, Failure> {
    loop {
        let page = read::page(&mut *tx, head.seq).await?;
        let last = page.len() < usize::try_from(read::PAGE).unwrap_or(usize::MAX);
        for (stored, _) in page {
            let event = read::chained(head, &stored).map_err(damaged)?;
            head = event.head();
            each(&event);
        }
        if last {
            return Ok(head);
        }
    }
}

/// What is wrong with a book, unless it is this program that knows too little.
fn damaged(fault: Fault) -> Failure {
    match fault {
        Fault::UnknownZone(_, zone) => Failure::UnknownZone(zone),
        fault => Failure::Damaged(vec![fault]),
    }
}

/// As it is stored.
fn to_microsecond(at: Timestamp) -> Timestamp {
    Timestamp::from_microsecond(at.as_microsecond()).unwrap_or(at)
}

/// A transaction that nobody else's writing can come between.
struct Writing<'a> {
    tx: Tx,
    shop: MappedMutexGuard<'a, Shop>,
    events: Vec<Event>,
}

impl Writing<'_> {
    async fn put(&mut self, at: Timestamp, hand: &Hand, decision: Decision) -> Result<(), Failure> {
        for document in &decision.documents {
            write::document(&mut self.tx, document).await?;
        }
        let mut head = self.events.last().map_or(self.shop.head, Event::head);
        for fact in &decision.facts {
            let stored = StoredEvent::next(head, at, &self.shop.zone, &hand.by, hand.with.as_ref(), fact);
            let event = stored.read().map_err(damaged)?;
            write::event(&mut self.tx, &stored, &event).await?;
            head = event.head();
            // Whoever comes or goes has no PIN until they are given one.
            if let Fact::PersonAdmitted(Admission { person, .. }) | Fact::PersonLeft { person } = fact {
                pin::forget(&mut self.tx, person).await?;
            }
            self.events.push(event);
        }
        write::head(&mut self.tx, head).await
    }

    /// Only when the database has it for good does this program go by it.
    async fn commit(mut self) -> Result<Vec<Event>, Failure> {
        let before = self.shop.head.seq.0;
        let after = before + self.events.len() as u64;
        if before / KEEP_HALL_EVERY != after / KEEP_HALL_EVERY {
            let mut folded = Shop::clone(&self.shop);
            self.events.iter().for_each(|event| folded.apply(event));
            write::hall(&mut self.tx, &folded.hall).await?;
            if before / KEEP_FLEET_EVERY != after / KEEP_FLEET_EVERY {
                write::fleet(&mut self.tx, folded.head, &folded.fleet).await?;
            }
        }
        self.tx.commit().await?;
        self.events.iter().for_each(|event| self.shop.apply(event));
        Ok(self.events)
    }
}
