//! Everything out, for other programs: CSV for tables, JSON lines for events, files for documents.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use records::{Book, Digest, Event, Fact, Seq, Shop, Subject};
use serde::Serialize;
use serde_json::json;

use crate::cell::guarded;
use crate::cli::{FINE, REFUSED};
use crate::desk::{Done, Ended, Place};
use crate::measuring::MORE;
use crate::{told, write};

/// Columns of `lifts.csv`, as `import` reads them.
pub(crate) const LIFTS: [&str; 10] =
    ["lift", "bay", "maker", "model", "serial", "year", "capacity", "load_split", "first_used", "file"];
/// Columns of a table of vehicles, as `import` reads them beside those of what was measured.
pub(crate) const VEHICLES: [&str; 4] = ["vehicle", "description", "file", MORE];
/// Columns of `jobs.csv`, as `import` reads them.
pub(crate) const JOBS: [&str; 3] = ["job", "description", "file"];
const PEOPLE: [&str; 7] = ["person", "name", "role", "of_age", "left", "instructed", "authorised"];
const EVENTS: [&str; 13] = [
    "event",
    "at_utc",
    "zone",
    "day",
    "by",
    "with",
    "struck_out",
    "kind",
    "about",
    "sentence",
    "fact",
    "before",
    "hash",
];

/// A line of `events.jsonl`.
#[derive(Serialize)]
struct EventLine<'a> {
    event: u64,
    at: String,
    zone: &'a str,
    by: String,
    with: Option<String>,
    fact: &'a Fact,
    before: Digest,
    hash: Digest,
    struck_out: bool,
}

/// Into a folder beside, which gets its name as a whole; of one that came to nothing nothing is left.
pub(super) async fn export(place: &Place, folder: &Path) -> Done {
    let book = place.open().await?;
    let shop = book.shop().await?;
    let not_there = |fault: &dyn std::fmt::Display| {
        Ended::bad(&format!("{}: {fault}", folder.display()), "name a folder that is not there yet")
    };
    if folder.symlink_metadata().is_ok() {
        return Err(not_there(&"there is something of that name already"));
    }
    let beside = write::beside_of(folder).map_err(|fault| not_there(&fault))?;
    #[cfg(unix)]
    write::outlive_size_limits();
    std::fs::create_dir(&beside).map_err(|fault| not_there(&fault))?;
    let exported = into(&book, &shop, &beside).await;
    let named = exported.and_then(|told| {
        std::fs::rename(&beside, folder).map_err(|fault| failed(folder, &fault))?;
        Ok(told)
    });
    match named {
        Ok((told, lost)) => {
            let code = if lost.is_empty() { FINE } else { REFUSED };
            Ok(write::out(&format!("{lost}{}: {told}", folder.display()), code))
        }
        Err(ended) => {
            let _ = std::fs::remove_dir_all(&beside);
            Err(match ended {
                Ended::Said(text, code) => {
                    let [beside, folder] = [&beside, folder].map(|path| path.display().to_string());
                    Ended::Said(text.replace(&beside, &folder), code)
                }
                other => other,
            })
        }
    }
}

/// The folder that is written, out of a book.
struct Out<'a> {
    book: &'a Book,
    folder: &'a Path,
    /// Documents that the book has lost, with the files that they would be.
    lost: BTreeMap<Digest, Vec<String>>,
}

impl Out<'_> {
    /// Writes a document as a file of that name, which is answered; no name if the book has lost it.
    async fn document(&mut self, name: String, digest: Digest) -> Result<String, Ended> {
        match self.book.document(digest).await? {
            Some(document) => {
                file(&self.folder.join(&name), document.text())?;
                Ok(name)
            }
            None => {
                self.lost.entry(digest).or_default().push(name);
                Ok(String::new())
            }
        }
    }

    fn told_lost(&self) -> String {
        let told = |(digest, names): (&Digest, &Vec<String>)| {
            format!("LOST: document {digest} is not in the book; without {}.\n", names.join(", "))
        };
        self.lost.iter().map(told).collect()
    }
}

/// What was written, and what the book has lost of it.
async fn into(book: &Book, shop: &Shop, folder: &Path) -> Result<(String, String), Ended> {
    for part in ["lifts", "vehicles", "jobs", "documents"] {
        let path = folder.join(part);
        std::fs::create_dir(&path).map_err(|fault| failed(&path, &fault))?;
    }
    let mut events = vec![];
    // As far as the shop was read: what comes meanwhile is in the next export.
    let mut after = Seq(0);
    while after < shop.head.seq {
        let page = book.events_after(after).await?;
        let Some(last) = page.last() else { break };
        after = last.seq;
        events.extend(page.into_iter().filter(|e| e.seq <= shop.head.seq));
    }
    let mut out = Out { book, folder, lost: BTreeMap::new() };
    lifts(&mut out, shop).await?;
    vehicles(&mut out, shop, &events).await?;
    jobs(&mut out, shop, &events).await?;
    if let Some(limits) = shop.limits {
        out.document("limits.toml".to_owned(), limits).await?;
    }
    people(shop, folder)?;
    let documents = all_events(&mut out, shop, &events).await?;
    let told = format!(
        "{} events, {documents} documents, {} lifts, {} vehicles, {} jobs, {} people.\n",
        events.len(),
        shop.lifts.len(),
        shop.fleet.vehicles.len(),
        shop.jobs.len(),
        shop.people.len()
    );
    Ok((told, out.told_lost()))
}

fn failed(path: &Path, fault: &dyn std::fmt::Display) -> Ended {
    Ended::bad(&format!("{}: {fault}", path.display()), "check the room that is left there")
}

fn file(path: &Path, text: &str) -> Result<(), Ended> {
    std::fs::write(path, text).map_err(|fault| failed(path, &fault))
}

fn table<const N: usize>(path: &Path, head: [&str; N], rows: &[[String; N]]) -> Result<(), Ended> {
    let mut out = csv::Writer::from_path(path).map_err(|fault| failed(path, &fault))?;
    out.write_record(head).map_err(|fault| failed(path, &fault))?;
    for row in rows {
        out.write_record(row.iter().map(|cell| guarded(cell))).map_err(|fault| failed(path, &fault))?;
    }
    out.flush().map_err(|fault| failed(path, &fault))
}

fn or_nothing(value: Option<impl ToString>) -> String {
    value.map(|v| v.to_string()).unwrap_or_default()
}

async fn lifts(out: &mut Out<'_>, shop: &Shop) -> Result<(), Ended> {
    let mut rows = vec![];
    for (id, lift) in &shop.lifts {
        let name = out.document(format!("lifts/{id}.toml"), lift.file).await?;
        let s = &lift.sheet;
        rows.push([
            id.to_string(),
            s.bay.clone(),
            s.maker.clone(),
            s.model.clone(),
            s.serial.clone(),
            s.year.to_string(),
            s.capacity.clone(),
            or_nothing(s.load_split.as_ref()),
            or_nothing(s.first_used),
            name,
        ]);
    }
    table(&out.folder.join("lifts.csv"), LIFTS, &rows)
}

async fn vehicles(out: &mut Out<'_>, shop: &Shop, events: &[Event]) -> Result<(), Ended> {
    let described = events.iter().filter_map(|e| match &e.fact {
        Fact::VehicleEntered { vehicle, description, .. } => Some((vehicle, description)),
        _ => None,
    });
    let rows = described_files(out, "vehicles", &shop.fleet.vehicles, described).await?;
    table(&out.folder.join("vehicles.csv"), ["vehicle", "description", "file"], &rows)
}

async fn jobs(out: &mut Out<'_>, shop: &Shop, events: &[Event]) -> Result<(), Ended> {
    let described = events.iter().filter_map(|e| match &e.fact {
        Fact::JobEntered { job, description, .. } => Some((job, description)),
        _ => None,
    });
    let rows = described_files(out, "jobs", &shop.jobs, described).await?;
    table(&out.folder.join("jobs.csv"), JOBS, &rows)
}

/// Writes each file into the folder of its kind; the rows of its table, with the last description of each.
async fn described_files<'a, Id: Ord + std::fmt::Display + 'a>(
    out: &mut Out<'_>,
    kind: &str,
    files: &BTreeMap<Id, Digest>,
    described: impl Iterator<Item = (&'a Id, &'a String)>,
) -> Result<Vec<[String; 3]>, Ended> {
    let described: BTreeMap<&Id, &String> = described.collect();
    let mut rows = vec![];
    for (id, digest) in files {
        let name = out.document(format!("{kind}/{id}.toml"), *digest).await?;
        rows.push([id.to_string(), or_nothing(described.get(id)), name]);
    }
    Ok(rows)
}

fn people(shop: &Shop, folder: &Path) -> Result<(), Ended> {
    let rows: Vec<_> = shop
        .people
        .iter()
        .map(|(id, p)| {
            [
                id.to_string(),
                p.name.clone(),
                p.role.to_string(),
                or_nothing(p.of_age),
                if p.left { "yes" } else { "no" }.to_owned(),
                or_nothing(shop.instructed(p)),
                or_nothing(p.authorised(shop.sooner_today(jiff::Timestamp::now())).map(|a| a.on)),
            ]
        })
        .collect();
    table(&folder.join("people.csv"), PEOPLE, &rows)
}

/// How many documents were written.
async fn all_events(out: &mut Out<'_>, shop: &Shop, events: &[Event]) -> Result<usize, Ended> {
    let beside = told::Beside::of(out.book, shop, events).await?;
    let (mut rows, mut lines, mut documents) = (vec![], String::new(), BTreeSet::new());
    for e in events {
        let about: Vec<String> = e.fact.subjects().iter().map(Subject::to_string).collect();
        rows.push([
            e.seq.to_string(),
            e.at.to_string(),
            e.zone.to_string(),
            e.zone.day(e.at).to_string(),
            e.by.to_string(),
            or_nothing(e.with.as_ref()),
            if shop.corrected.contains_key(&e.seq) { "yes" } else { "no" }.to_owned(),
            e.fact.kind(),
            about.join("; "),
            told::sentence(e, &beside, told::units(shop)),
            json!(e.fact).to_string(),
            e.before.to_string(),
            e.hash.to_string(),
        ]);
        let line = EventLine {
            event: e.seq.0,
            at: e.at.to_string(),
            zone: e.zone.name(),
            by: e.by.to_string(),
            with: e.with.as_ref().map(ToString::to_string),
            fact: &e.fact,
            before: e.before,
            hash: e.hash,
            struck_out: shop.corrected.contains_key(&e.seq),
        };
        lines += &(json!(line).to_string() + "\n");
        documents.extend(e.fact.documents());
    }
    table(&out.folder.join("events.csv"), EVENTS, &rows)?;
    file(&out.folder.join("events.jsonl"), &lines)?;
    let mut written = 0;
    for digest in documents {
        let name = out.document(format!("documents/{digest}.txt"), digest).await?;
        written += usize::from(!name.is_empty());
    }
    Ok(written)
}
