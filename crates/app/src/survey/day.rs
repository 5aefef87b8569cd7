//! The day's vehicles: a row each, the bays that take them, and the day in words.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use sheets::{units, words};

use super::cells::{csv_file, wrong};
use super::engine::{Answer, Ask, Named};
use super::fleet::{Entry, Fleet};
use super::row::Row;
use super::tally::kind;
use super::today::{Day, MOST_VISITS, Minutes, Slot, Visit, best, clock, duration, shown};
use crate::cli::UNREADABLE;
use crate::desk::Ended;
use crate::document::Document;
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::wire::plan::Verdict;

const COLUMNS: [&str; 4] = ["vehicle", "job", "from", "duration"];

/// A row of the day.
struct Coming {
    /// "day.csv: row 3".
    place: String,
    vehicle: String,
    job: String,
    from: Minutes,
    duration: Minutes,
}

/// A bay that drops out, and from when on; left out = all day.
#[derive(Clone, Debug)]
pub(crate) struct Without {
    bay: String,
    at: Option<Minutes>,
}

impl std::str::FromStr for Without {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        match text.rsplit_once('@') {
            None => Ok(Self { bay: text.to_owned(), at: None }),
            Some((bay, at)) => {
                let at = clock(at).ok_or("write it like north-bay@10:30: the bay, and from when on")?;
                Ok(Self { bay: bay.to_owned(), at: Some(at) })
            }
        }
    }
}

/// The rows of the day's table; `skip` hears what is wrong with one. The error is what is wrong with the table.
fn rows(path: &Path, skip: &mut dyn FnMut(&str)) -> Result<Vec<Coming>, String> {
    let shown = path.display();
    let whole = |why: &str| why.replacen("error: ", &format!("error: {shown}: row 1: "), 1);
    let (names, lines) =
        csv_file(path).map_err(|why| why.replacen("error: ", &format!("error: {shown}: "), 1))?;
    let columns = COLUMNS.join(", ");
    let mut said = String::new();
    for name in COLUMNS.iter().filter(|c| !names.iter().any(|n| n == *c)) {
        said += &whole(&wrong(&format!("no column `{name}`"), &format!("there are {columns}")));
    }
    for (at, name) in names.iter().enumerate() {
        if !COLUMNS.contains(&name.as_str()) {
            said += &whole(&wrong(&format!("no such column: {name}"), &format!("there are {columns}")));
        } else if names[..at].contains(name) {
            said += &whole(&wrong(&format!("`{name}` stands twice"), "leave one of the two"));
        }
    }
    if !said.is_empty() {
        return Err(said);
    }
    let mut found = vec![];
    for (row, cells) in lines {
        let place = format!("{shown}: row {row}");
        match cells.and_then(|cells| coming(&names, &cells, place.clone())) {
            Ok(coming) => found.push(coming),
            Err(why) => skip(&format!("{place}: skipped.\n{why}")),
        }
    }
    if found.len() > MOST_VISITS {
        let what = format!("{shown}: {} vehicles, and a day holds {MOST_VISITS} at most", found.len());
        return Err(wrong(&what, "split the day"));
    }
    Ok(found)
}

fn coming(names: &[String], cells: &[String], place: String) -> Result<Coming, String> {
    let cell = |name: &str| names.iter().position(|n| n == name).map_or("", |k| cells[k].as_str());
    let (from, takes) = (clock(cell("from")), duration(cell("duration")));
    let mut said = String::new();
    if cell("vehicle").is_empty() {
        said += &wrong("`vehicle` is empty", "write its name");
    }
    if from.is_none() {
        said += &wrong(&format!("`from`: {:?} is no time of day", cell("from")), "write it like 8:30");
    }
    if takes.is_none() {
        let what = format!("`duration`: {:?} is no duration of a day or less", cell("duration"));
        said += &wrong(&what, "write it like 90 min, 1:30 or 1.5 h");
    }
    match (from, takes) {
        (Some(from), Some(duration)) if said.is_empty() => {
            Ok(Coming { place, vehicle: cell("vehicle").into(), job: cell("job").into(), from, duration })
        }
        _ => Err(said),
    }
}

/// A visit with what every lift says of it.
struct Asked {
    coming: Coming,
    rows: Vec<Row>,
}

/// A day that is asked for.
pub(crate) struct Today<'a> {
    pub(crate) ask: Ask<'a>,
    pub(crate) fleet: &'a Fleet,
    pub(crate) path: &'a Path,
    pub(crate) without: &'a [Without],
    /// Lifts that may not be used now, and why: they take nobody today.
    pub(crate) unfit: &'a [(String, String)],
}

/// From when on which bay is not there.
type Gone = Vec<(usize, Minutes)>;

impl Today<'_> {
    /// The best day in words; `skip` hears of rows that are left out.
    pub(crate) fn told(&self, skip: &mut dyn FnMut(&str)) -> Result<String, Ended> {
        let gone = self.gone()?;
        let rows = rows(self.path, skip).map_err(|said| Ended::Said(said, UNREADABLE))?;
        let asked = self.asked(rows, skip);
        let day = planned(&asked, self.ask.lifts.len(), &gone);
        Ok(told(self.ask.lifts, &asked, &day, &gone, self.unfit))
    }

    fn gone(&self) -> Result<Gone, Ended> {
        let lifts = self.ask.lifts;
        let bay = |name: &str| lifts.iter().position(|lift| lift.id == name);
        let mut gone: Gone = self.unfit.iter().filter_map(|(name, _)| Some((bay(name)?, 0))).collect();
        for Without { bay: name, at } in self.without {
            let Some(found) = bay(name) else {
                let names: Vec<&str> = lifts.iter().map(|lift| lift.id.as_str()).collect();
                return Err(Ended::bad(
                    &format!("--without: there is no bay {name:?}"),
                    &format!("there are {}", names.join(", ")),
                ));
            };
            gone.push((found, at.unwrap_or(0)));
        }
        Ok(gone)
    }

    /// What every lift says of every row's vehicle with its job.
    fn asked(&self, rows: Vec<Coming>, skip: &mut dyn FnMut(&str)) -> Vec<Asked> {
        let mut entries: BTreeMap<String, Entry> = BTreeMap::new();
        for entry in self.fleet.entries().filter(|e| rows.iter().any(|row| row.vehicle == e.id)) {
            // A later one of the same name is not it.
            entries.entry(entry.id.clone()).or_insert(entry);
        }
        let mut found = vec![];
        for coming in rows {
            match self.rows_of(&coming, entries.get(&coming.vehicle)) {
                Ok(rows) => found.push(Asked { coming, rows }),
                Err(why) => skip(&format!("{}: skipped.\n{why}", coming.place)),
            }
        }
        found
    }

    fn rows_of(&self, coming: &Coming, entry: Option<&Entry>) -> Result<Vec<Row>, String> {
        let folder = self.path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let job = match coming.job.as_str() {
            "" => None,
            name => {
                let source = Source::read(&folder.join(name)).map_err(|fault| render_unreadable(&fault))?;
                let mut document = Document::of(source.clone());
                document.job(None).ok_or_else(|| document.errors())?;
                Some(source)
            }
        };
        let entry = entry.ok_or_else(|| {
            let what = format!("there is no vehicle {:?}", coming.vehicle);
            wrong(&what, "name it as --vehicles or the book has it")
        })?;
        match (Ask { job: job.as_ref(), ..self.ask }).answer(entry) {
            Answer::Rows(rows) => Ok(rows),
            Answer::Skipped(why) => Err(why),
        }
    }
}

/// The day without the bays that drop out. What began before one drops out stays as it was planned till then; the rest is
/// planned anew from then on.
fn planned(asked: &[Asked], lifts: usize, gone: &Gone) -> Day {
    let vehicle = |name: &str| asked.iter().position(|other| other.coming.vehicle == name).unwrap_or(0);
    let vehicles: Vec<usize> = asked.iter().map(|a| lifts + vehicle(&a.coming.vehicle)).collect();
    let mut times: Vec<Minutes> = gone.iter().map(|(_, at)| *at).chain([0]).collect();
    times.sort_unstable();
    times.dedup();
    let mut day = Day { slots: vec![None; asked.len()], waiting: 0, proven: true };
    for at in times {
        let mut free = vec![at; lifts + asked.len()];
        let mut left = vec![];
        for (k, (asked, vehicle)) in asked.iter().zip(&vehicles).enumerate() {
            match day.slots[k].filter(|slot| slot.start < at) {
                Some(Slot { bay, start }) => {
                    for taken in [bay, *vehicle] {
                        free[taken] = free[taken].max(start + asked.coming.duration);
                    }
                }
                None => left.push(k),
            }
        }
        let reserve = |(bay, row): (usize, &Row)| {
            let is_there = !gone.iter().any(|(other, from)| *other == bay && *from <= at);
            row.reserve.filter(|_| row.takes() && is_there)
        };
        let visit = |k: &usize| Visit {
            vehicle: vehicles[*k],
            from: asked[*k].coming.from.max(at),
            duration: asked[*k].coming.duration,
            reserves: asked[*k].rows.iter().enumerate().map(reserve).collect(),
        };
        let then = best(&left.iter().map(visit).collect::<Vec<_>>(), &free);
        day.proven &= then.proven;
        for (k, slot) in left.into_iter().zip(then.slots) {
            day.slots[k] = slot;
        }
    }
    let waits =
        |(asked, slot): (&Asked, &Option<Slot>)| slot.map_or(0, |slot| slot.start - asked.coming.from);
    day.waiting = asked.iter().zip(&day.slots).map(waits).sum();
    day
}

fn told(lifts: &[Named], asked: &[Asked], day: &Day, gone: &Gone, unfit: &[(String, String)]) -> String {
    let mut out = format!("{} vehicles today, {} bays", asked.len(), lifts.len());
    for (bay, at) in gone.iter().filter(|(bay, _)| !unfit.iter().any(|(name, _)| *name == lifts[*bay].id)) {
        let from = if *at == 0 { String::new() } else { format!(" from {} on", shown(*at)) };
        let _ = write!(out, ", without {}{from}", lifts[*bay].id);
    }
    let proven = if day.proven {
        "Nothing is better (proven)."
    } else {
        "It was not proven that nothing is better: there are too many ways."
    };
    let _ = write!(
        out,
        ".\nEach stands where its reserve is of the best class that any bay offers it (below 10 %, 10 to 25 %, 25 to 50 %, 50 % and \
         above);\nthen all together wait as little as can be, {} min; then reserves are largest. {proven}\n\n",
        day.waiting
    );
    for (name, why) in unfit {
        let _ = writeln!(out, "{name} may not be used, and takes nobody: {why}.");
    }
    if !unfit.is_empty() {
        out.push('\n');
    }
    let wide = |of: fn(&Asked) -> &str, least: usize| {
        asked.iter().map(|a| of(a).chars().count()).max().unwrap_or(0).max(least)
    };
    let (v, j) = (wide(|a| &a.coming.vehicle, 7), wide(|a| &a.coming.job, 3));
    let b = lifts.iter().map(|lift| lift.id.chars().count()).max().unwrap_or(0).max(3);
    let _ = writeln!(
        out,
        "{:5}  {:5}  {:b$}  {:v$}  {:j$}  {:>9}  {:>7}  verdict",
        "from", "to", "bay", "vehicle", "job", "waits", "reserve"
    );
    let mut order: Vec<usize> = (0..asked.len()).filter(|k| day.slots[*k].is_some()).collect();
    order.sort_by_key(|k| day.slots[*k].map(|slot| (slot.start, slot.bay)));
    for k in order {
        let (Asked { coming, rows }, Some(Slot { bay, start })) = (&asked[k], day.slots[k]) else { continue };
        let row = &rows[bay];
        let verdict = if row.verdict == Verdict::Raise { "may be raised" } else { "under conditions" };
        let waits = match start - coming.from {
            0 => "-".into(),
            waits => format!("{waits} min"),
        };
        let _ = writeln!(
            out,
            "{}  {}  {:b$}  {:v$}  {:j$}  {waits:>9}  {:>7}  {verdict}",
            shown(start),
            shown(start + coming.duration),
            lifts[bay].id,
            coming.vehicle,
            coming.job,
            row.reserve.map_or_else(|| "-".into(), units::reserve),
        );
    }
    for (Asked { coming, rows }, _) in asked.iter().zip(&day.slots).filter(|(_, slot)| slot.is_none()) {
        let why = |(bay, row): (usize, &Row)| {
            let away = || {
                let from = gone.iter().filter(|(other, _)| *other == bay).map(|(_, at)| *at).min();
                match from {
                    None | Some(0) => "it is not there today".to_owned(),
                    Some(at) => format!("it is not there from {} on", shown(at)),
                }
            };
            let reason = row.reasons.first().map(|reason| words::survey(kind(reason)).to_owned());
            format!("{}: {}", row.lift, reason.unwrap_or_else(away))
        };
        let why: Vec<String> = rows.iter().enumerate().map(why).collect();
        let _ = writeln!(out, "No bay takes {}: {}.", coming.vehicle, why.join("; "));
    }
    out
}
