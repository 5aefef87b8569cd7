//! Looking through a whole book for anything altered, missing or out of its place.

use std::collections::{BTreeMap, BTreeSet};

use sqlx::{AnyConnection, Connection, Row};

use super::salvaged::with_pins;
use super::{Book, pin};
use crate::digest::Digest;
use crate::event::{Head, StoredEvent};
use crate::failure::Failure;
use crate::fault::Fault;
use crate::fleet::Fleet;
use crate::hall::Hall;
use crate::names::{PersonId, Seq};
use crate::shop::Shop;
use crate::store::around::{Documents, Events, Source};
use crate::store::{Kind, Store, Tx, read, schema};

/// What was looked at, and what is wrong with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verification {
    /// Events read.
    pub events: u64,
    /// Documents read.
    pub documents: u64,
    /// The last event.
    pub head: Head,
    /// Everything that is wrong; empty = the book is as it was written.
    pub faults: Vec<Fault>,
}

/// Verifies a book that may be too damaged to be opened.
///
/// Brings its tables forward first, as an opening does. Finds any event or document altered, missing or out of place, whatever else is wrong. Whoever can write the file and
/// knows this format could write a new chain; against that, give the head of a backup or one noted on paper as `known`.
///
/// # Errors
/// Only if there is no book, the database is not reached, or an older program's book may only be read; damage is the answer, not an error.
pub async fn verify(place: &str, known: Option<Head>) -> Result<Verification, Failure> {
    let store = match Store::connect(place, false).await {
        Ok(store) => store,
        Err(Failure::Damaged(faults)) => return Ok(unreadable(faults)),
        Err(other) => return Err(other),
    };
    let verification = opened_and_verified(&store, known).await;
    store.close().await;
    verification
}

/// With what keeps it from being opened, whatever else is found.
async fn opened_and_verified(store: &Store, known: Option<Head>) -> Result<Verification, Failure> {
    let faults = match store.version().await {
        Ok(0) => return Err(store.no_book().await),
        Ok(_) => match store.bring_forward().await {
            Ok(()) => vec![],
            Err(Failure::Damaged(faults)) => faults,
            Err(other) => return Err(other),
        },
        Err(Failure::Damaged(faults)) => faults,
        Err(other) => return Err(other),
    };
    let mut found = verify_store(store, known).await?;
    let new: Vec<Fault> = faults.into_iter().filter(|fault| !found.faults.contains(fault)).collect();
    found.faults.extend(new);
    Ok(found)
}

fn unreadable(faults: Vec<Fault>) -> Verification {
    Verification { events: 0, documents: 0, head: Head::EMPTY, faults }
}

/// What was written in a transaction, before it is kept. Damaged by anything that is not expected.
pub(super) async fn verified(
    tx: &mut Tx,
    kind: Kind,
    known: Head,
    expected: fn(&Fault, Option<&Shop>) -> bool,
) -> Result<Verification, Failure> {
    let mut look = Look { known: Some(known), ..Look::default() };
    // How it reads around is no way for what comes after.
    let mut looking = tx.begin().await?;
    look.everything(&mut looking, Source { kind, again: None }).await?;
    looking.rollback().await?;
    let shop = look.shop.take();
    let found = look.finish()?;
    if found.faults.iter().all(|fault| expected(fault, shop.as_ref())) {
        Ok(found)
    } else {
        Err(Failure::Damaged(found.faults))
    }
}

impl Book {
    /// Verifies it, as it is at this moment.
    ///
    /// # Errors
    /// If the database is not reached.
    pub async fn verify(&self, known: Option<Head>) -> Result<Verification, Failure> {
        verify_store(&self.store, known).await
    }
}

async fn verify_store(store: &Store, known: Option<Head>) -> Result<Verification, Failure> {
    let mut tx = store.begin_reading().await?;
    let mut look = Look { known, ..Look::default() };
    let kind = store.kind;
    match look.everything(&mut tx, Source { kind, again: None }).await {
        // A row can end the process of the server that reads it.
        Err(Failure::Unreachable(_)) if kind == Kind::Postgres => look.stumbled = true,
        read => read?,
    }
    let _ = tx.rollback().await;
    // PostgreSQL reads nothing more in a transaction in which it could not read once.
    if look.stumbled && kind == Kind::Postgres {
        look = Look { known, ..Look::default() };
        // A connection of its own: how it reads around is no way for others.
        let mut on = store.connection_again().await?.detach();
        look.everything(&mut on, Source { kind, again: Some(store) }).await?;
        let _ = on.close().await;
    }
    look.finish()
}

/// Walks along the events.
#[derive(Default)]
struct Look {
    known: Option<Head>,
    events: u64,
    documents: u64,
    last: Seq,
    /// Of the last event; `None` = it cannot be read.
    hash: Option<Digest>,
    shop: Option<Shop>,
    /// The kept fold; of the fleet with the end of the book that it is of.
    hall: Option<Hall>,
    fleet: Option<(Head, Fleet)>,
    /// Where a kept fold says that it stands that does not bear its own sum.
    not_believed: Vec<Seq>,
    referred: BTreeMap<Digest, Seq>,
    suspects: Vec<StoredEvent>,
    faults: Vec<Fault>,
    /// Whether something could not be read.
    stumbled: bool,
}

impl Look {
    /// What cannot be read is a fault, and the rest is read all the same.
    fn around<T>(&mut self, read: Result<T, Failure>) -> Result<Option<T>, Failure> {
        let faults = match read {
            Ok(read) => return Ok(Some(read)),
            Err(failure) if failure.is_silence() => return Err(failure),
            Err(Failure::Damaged(faults)) => faults,
            Err(Failure::Store(words)) => vec![Fault::Store(words)],
            Err(other) => vec![Fault::Store(other.to_string())],
        };
        self.stumbled = true;
        let new: Vec<Fault> = faults.into_iter().filter(|fault| !self.faults.contains(fault)).collect();
        self.faults.extend(new);
        Ok(None)
    }

    fn kept<T>(&mut self, read: Result<read::Kept<T>, Failure>) -> Result<Option<(Head, T)>, Failure> {
        match self.around(read)? {
            Some(read::Kept::Fold(head, fold)) => return Ok(Some((head, fold))),
            Some(read::Kept::NotBelieved(seq)) => self.not_believed.push(seq),
            Some(read::Kept::None) | None => {}
        }
        Ok(None)
    }

    async fn everything(&mut self, on: &mut AnyConnection, source: Source<'_>) -> Result<(), Failure> {
        let kind = source.kind;
        if kind == Kind::Sqlite {
            let rows = sqlx::query("PRAGMA integrity_check").fetch_all(&mut *on).await;
            let rows = self.around(rows.map_err(Failure::from))?.unwrap_or_default();
            let words = rows.iter().filter_map(|r| r.try_get::<String, _>(0).ok());
            self.faults.extend(words.filter(|w| w != "ok").map(Fault::Store));
        }
        let schema = schema::differences(&mut *on, kind).await;
        let schema = source.served_again(on, schema).await;
        let differences = self.around(schema)?.unwrap_or_default();
        self.faults.extend(differences);
        let planted = planted(&mut *on).await;
        let planted = source.served_again(on, planted).await;
        let planted = self.around(planted)?.unwrap_or_default();
        planted.into_iter().for_each(|what| self.strange(what));
        let hall = read::hall(&mut *on).await;
        let hall = source.served_again(on, hall).await;
        self.hall = self.kept(hall)?.map(|(_, hall)| hall);
        let fleet = read::fleet(&mut *on).await;
        let fleet = source.served_again(on, fleet).await;
        self.fleet = self.kept(fleet)?;
        let said = read::head(&mut *on).await;
        let said = source.served_again(on, said).await;
        let said = self.around(said)?;
        let mut events = Events::until(said.map_or(Seq(0), |head| head.seq));
        while let Some(rows) = events.next(&mut *on, source).await? {
            let Some((to, _)) = rows.last() else { continue };
            let listed = listed(&mut *on, self.last, *to).await;
            let listed = source.served_again(on, listed).await;
            let listed = self.around(listed)?;
            for (seq, row) in rows {
                match row {
                    Ok((stored, day)) => self.event(&stored, &day, listed.as_ref()),
                    Err(why) => self.unreadable(seq, why),
                }
            }
        }
        match said {
            Some(said) if said.seq == self.last && self.hash.is_none_or(|hash| hash == said.hash) => {}
            Some(said) => self.faults.push(Fault::EndsElsewhere { said, found: self.head() }),
            None => self.faults.push(Fault::Store("where the book ends cannot be read".into())),
        }
        if said == Some(Head::EMPTY) && self.last == Seq(0) {
            self.faults.push(Fault::NoEvent);
        }
        let stray = listed_under_none(&mut *on, said.map_or(self.last, |s| s.seq.max(self.last))).await;
        let stray = source.served_again(on, stray).await;
        let stray = self.around(stray)?.unwrap_or_default();
        self.faults.extend(stray.into_iter().map(Fault::ListedUnderNone));
        let counts = counts_below_none(&mut *on).await;
        let counts = source.served_again(on, counts).await;
        let counts = self.around(counts)?.unwrap_or_default();
        self.faults.extend(counts.into_iter().map(Fault::PinCount));
        let pins = pins(&mut *on).await;
        let pins = source.served_again(on, pins).await;
        if let Some(pins) = self.around(pins)? {
            self.compare_pins(&pins);
        }
        self.look_through_documents(on, source).await
    }

    fn head(&self) -> Head {
        Head { seq: self.last, hash: self.hash.unwrap_or(Digest::NONE) }
    }

    fn step_to(&mut self, seq: Seq) {
        if seq.0 > self.last.0 + 1 {
            self.faults.push(Fault::Missing(Seq(self.last.0 + 1), Seq(seq.0 - 1)));
        }
        self.last = seq;
    }

    fn unreadable(&mut self, seq: Seq, why: String) {
        self.step_to(seq);
        self.hash = None;
        self.stumbled = true;
        self.faults.push(Fault::Unreadable(seq, why));
    }

    fn event(&mut self, stored: &StoredEvent, day: &str, listed: Option<&Listed>) {
        let (seq, before) = (Seq(stored.seq), self.last);
        let hash_before = self.hash.or((before == Seq(0)).then_some(Digest::NONE));
        self.events += 1;
        if seq <= before {
            // The first of them was taken for the event; which of the two is true is not for this program to say.
            self.strange(format!("second row of event {seq}"));
            return;
        }
        self.step_to(seq);
        let intact = stored.is_intact();
        if !intact {
            self.suspects.push(stored.clone());
        }
        // An altered event keeps the hash that the next one names; only one whose hash was computed anew breaks the chain.
        let follows = hash_before.is_none_or(|hash| stored.before == hash.to_string());
        if seq.0 == before.0 + 1 && !follows && intact {
            self.faults.push(Fault::NotChained(seq));
        }
        let hash = stored.hash.parse().unwrap_or(Digest::NONE);
        self.hash = Some(hash);
        if self.known.is_some_and(|known| known.seq == seq && known.hash != hash) {
            self.faults.extend(self.known.map(Fault::NotAsKnown));
        }
        match stored.read() {
            Err(fault) if intact => self.faults.push(fault),
            Err(_) => {}
            Ok(event) => {
                self.referred.extend(event.fact.documents().into_iter().map(|d| (d, seq)));
                let own: BTreeSet<String> = event.fact.subjects().iter().map(ToString::to_string).collect();
                let as_listed = listed.is_none_or(|all| *all.get(&seq.0).unwrap_or(&BTreeSet::new()) == own);
                if intact && (day != event.zone.day(event.at).to_string() || !as_listed) {
                    self.faults.push(Fault::WronglyListed(seq));
                }
                match &mut self.shop {
                    None => self.begin(&event),
                    Some(shop) => shop.apply(&event),
                }
                self.compare_fold();
            }
        }
    }

    fn strange(&mut self, what: String) {
        let fault = Fault::Strange(what);
        if !self.faults.contains(&fault) {
            self.faults.push(fault);
        }
    }

    fn begin(&mut self, first: &crate::event::Event) {
        match Shop::open(first) {
            Ok(shop) => self.shop = Some(shop),
            Err(_) if first.seq == Seq(1) => self.faults.push(Fault::NoBeginning),
            Err(_) => {}
        }
    }

    /// What is left at the end was never reached, or is not what the events came to.
    fn compare_fold(&mut self) {
        let Some(shop) = &self.shop else { return };
        self.hall.take_if(|kept| *kept == *shop.hall);
        self.fleet.take_if(|(head, kept)| *head == shop.head && *kept == *shop.fleet);
    }

    /// Of a fold that lacks an event nobody knows which PIN was set last.
    fn compare_pins(&mut self, kept: &[(String, String)]) {
        let lacks = |f: &Fault| matches!(f, Fault::Missing(..) | Fault::Unreadable(..));
        let Some(shop) = self.shop.as_ref().filter(|_| !self.faults.iter().any(lacks)) else { return };
        for (person, hash) in kept {
            let set = person.parse::<PersonId>().ok().and_then(|id| Some((shop.people.get(&id)?.pin?, id)));
            match set {
                None => self.faults.push(Fault::PinPlanted(person.clone())),
                Some((set, id)) if !pin::is_as_set(Some(set), hash) => {
                    self.faults.push(Fault::PinAltered(id))
                }
                Some(_) => {}
            }
        }
        let there: BTreeSet<&str> = kept.iter().map(|(person, _)| person.as_str()).collect();
        let missing = with_pins(shop).filter(|id| !there.contains(id.as_str()));
        self.faults.extend(missing.map(|id| Fault::PinMissing(id.clone())));
    }

    /// Every document against its digest; then those that are referred to and not there.
    async fn look_through_documents(
        &mut self,
        on: &mut AnyConnection,
        source: Source<'_>,
    ) -> Result<(), Failure> {
        let named: BTreeSet<Digest> = self.referred.keys().copied().collect();
        let (mut walk, mut there) = (Documents::all(), BTreeSet::new());
        while let Some(page) = walk.next(&mut *on, source, &named).await? {
            for (name, content) in page {
                let Ok(digest) = name.parse::<Digest>() else {
                    let fault = Fault::Store(match name.as_str() {
                        "" => "there are documents whose names cannot be read".into(),
                        name => format!("a document is kept under “{name}”"),
                    });
                    if !self.faults.contains(&fault) {
                        self.faults.push(fault);
                    }
                    continue;
                };
                if !there.insert(digest) {
                    continue;
                }
                self.documents += 1;
                match content {
                    Ok(content) if Digest::of(&content) == digest => {}
                    Ok(_) => self.faults.push(Fault::DocumentAltered(digest)),
                    Err(why) => {
                        self.stumbled = true;
                        self.faults.push(Fault::DocumentUnreadable(digest, why));
                    }
                }
            }
        }
        self.stumbled |= walk.has_stumbled();
        // A server is then asked only for those that events name.
        if walk.has_stumbled() && source.kind == Kind::Postgres {
            self.faults.push(Fault::Store("the documents cannot all be read in order".into()));
        }
        let missing = self.referred.iter().filter(|(digest, _)| !there.contains(digest));
        self.faults.extend(missing.map(|(digest, seq)| Fault::DocumentMissing(*seq, *digest)));
        Ok(())
    }

    fn finish(mut self) -> Result<Verification, Failure> {
        let unknown = self.faults.iter().find_map(|fault| match fault {
            Fault::UnknownZone(_, zone) => Some(zone.clone()),
            _ => None,
        });
        // What comes after it cannot be told from damage.
        if let Some(zone) = unknown {
            return Err(Failure::UnknownZone(zone));
        }
        let end = self.head();
        let places: Vec<u64> = self.suspects.iter().map(|s| s.seq).collect();
        for suspect in &self.suspects {
            // An event that was moved is right at another suspect's place, or at one that is missing.
            let gaps = self
                .faults
                .iter()
                .filter_map(|f| if let Fault::Missing(a, b) = f { Some(a.0..=b.0) } else { None });
            let written =
                places.iter().copied().chain(gaps.flatten().take(1000)).find(|place| {
                    *place != suspect.seq && suspect.hash_at(*place).to_string() == suspect.hash
                });
            self.faults.push(match written {
                Some(written) => Fault::Moved { stands: Seq(suspect.seq), written: Seq(written) },
                None => Fault::Altered(Seq(suspect.seq)),
            });
        }
        // Of events that are damaged another fold is a matter of course.
        if self.faults.is_empty() {
            let kept = [self.hall.map(|kept| kept.head), self.fleet.map(|(head, _)| head)];
            self.faults.extend(kept.into_iter().flatten().map(|head| Fault::FoldDiffers(head.seq)));
            self.faults.extend(self.not_believed.into_iter().map(Fault::FoldNotBelieved));
        }
        if let Some(known) = self.known
            && known.seq > end.seq
        {
            self.faults.push(Fault::EndsBefore { known, last: end.seq });
        }
        Ok(Verification { events: self.events, documents: self.documents, head: end, faults: self.faults })
    }
}

/// What events are listed under.
type Listed = BTreeMap<u64, BTreeSet<String>>;

/// Those of a page.
async fn listed(on: &mut AnyConnection, after: Seq, to: Seq) -> Result<Listed, Failure> {
    let query = sqlx::query("SELECT seq, subject FROM subject WHERE seq > $1 AND seq <= $2");
    let rows = query.bind(read::signed(after)).bind(read::signed(to)).fetch_all(on).await?;
    let mut all = Listed::new();
    for row in rows {
        let seq = u64::try_from(row.try_get::<i64, _>("seq")?).unwrap_or(0);
        all.entry(seq).or_default().insert(row.try_get("subject")?);
    }
    Ok(all)
}

/// Rows where no program of ours puts any: one of a pair may stand where a page of the walk ends.
async fn planted(on: &mut AnyConnection) -> Result<Vec<String>, Failure> {
    let query = sqlx::query(
        "SELECT 'event ' AS what, seq AS row FROM event WHERE seq < 1 \
         UNION ALL SELECT 'second row of event ', seq FROM event GROUP BY seq HAVING COUNT(*) > 1 \
         UNION ALL SELECT 'head, row ', only_row FROM head WHERE only_row <> 1 \
         UNION ALL SELECT 'fold, row ', only_row FROM fold WHERE only_row <> 1 \
         UNION ALL SELECT 'fleet, row ', only_row FROM fleet WHERE only_row <> 1 ORDER BY 1, 2 LIMIT 100",
    );
    let rows = query.fetch_all(on).await?;
    rows.iter().map(|r| Ok(r.try_get::<String, _>(0)? + &r.try_get::<i64, _>(1)?.to_string())).collect()
}

/// What is listed beyond the end, or before the beginning.
async fn listed_under_none(on: &mut AnyConnection, end: Seq) -> Result<Vec<Seq>, Failure> {
    let query =
        sqlx::query("SELECT DISTINCT seq FROM subject WHERE seq > $1 OR seq < 1 ORDER BY seq LIMIT 100");
    let rows = query.bind(read::signed(end)).fetch_all(on).await?;
    rows.iter().map(|row| Ok(Seq(u64::try_from(row.try_get::<i64, _>("seq")?).unwrap_or(0)))).collect()
}

async fn pins(on: &mut AnyConnection) -> Result<Vec<(String, String)>, Failure> {
    let rows = sqlx::query("SELECT person, hash FROM pin ORDER BY person").fetch_all(on).await?;
    rows.iter().map(|row| Ok((row.try_get("person")?, row.try_get("hash")?))).collect()
}

/// Whose wrong PINs are counted from less than none, so that no lock would come.
async fn counts_below_none(on: &mut AnyConnection) -> Result<Vec<String>, Failure> {
    let query = "SELECT person FROM pin WHERE failures < 0 OR locks < 0 OR locked_until < 0 ORDER BY person";
    let rows = sqlx::query(query).fetch_all(on).await?;
    rows.iter().map(|row| Ok(row.try_get("person")?)).collect()
}
