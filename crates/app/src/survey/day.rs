//! The day's vehicles: a row each, the bays that take them, and the day in words.

use std::collections::btree_map::Entry::{Occupied, Vacant};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;

use records::Refusal;
use sheets::{Units, units, words};

use super::cells::{Line, csv_file, wrong};
use super::engine::{Answer, Ask, Named};
use super::fleet::{Entry, Fleet, Raw};
use super::read;
use super::row::Row;
use super::shop::Shop;
use super::tally::{Lost, kind};
use super::today::{Day, MOST_VISITS, Minutes, Slot, Visit, best, clock, duration, shown};
use super::told::Told;
use crate::cli::UNREADABLE;
use crate::desk::Ended;
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

/// The rows of the day's table; what is wrong with one is told. The error is what is wrong with the table.
fn rows(path: &Path, told: &mut Told) -> Result<Vec<Coming>, String> {
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
    for Line { row, cells, .. } in lines {
        let place = format!("{shown}: row {row}");
        match cells.map_err(|unread| unread.why).and_then(|cells| coming(&names, &cells, place.clone())) {
            Ok(coming) => found.push(coming),
            Err(why) => told.skip(&format!("{place}: skipped.\n{why}"), &Lost::ONE),
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
        let text = cell("duration");
        said += &match text.contains(',') {
            true => wrong(
                &format!("`duration`: {text:?}: a comma is not read in a number"),
                "write 1.5 h with a point",
            ),
            false => wrong(
                &format!("`duration`: {text:?} is no duration of a day or less"),
                "write it like 90 min, 1:30 or 1.5 h",
            ),
        };
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
    /// For each lift, what raises left behind that keeps the vehicle from being raised there.
    left: Vec<Vec<Refusal>>,
}

impl Asked {
    /// What a lift leaves in reserve; `None` = it is not raised there today.
    fn reserve(&self, bay: usize) -> Option<f64> {
        self.rows[bay].reserve.filter(|_| self.rows[bay].takes() && self.left[bay].is_empty())
    }
}

/// A day that is asked for.
pub(crate) struct Today<'a> {
    pub(crate) ask: Ask<'a>,
    pub(crate) fleet: &'a Fleet,
    pub(crate) path: &'a Path,
    pub(crate) without: &'a [Without],
    pub(crate) shop: Shop<'a>,
}

/// Bays that are not there all day, or from a time on.
struct Bays<'a> {
    lifts: &'a [Named],
    gone: Vec<(usize, Minutes)>,
    /// Those that may not be used now, and why: they take nobody today.
    unfit: Vec<(usize, String)>,
}

impl Bays<'_> {
    /// From when on one is not there, if so.
    fn gone_from(&self, bay: usize) -> Option<Minutes> {
        if self.unfit.iter().any(|(other, _)| *other == bay) {
            return Some(0);
        }
        self.gone.iter().filter(|(other, _)| *other == bay).map(|(_, at)| *at).min()
    }
}

impl Today<'_> {
    /// The best day in words; rows that are left out are told.
    pub(crate) fn planned(&self, told: &mut Told) -> Result<String, Ended> {
        let bays = self.bays()?;
        let rows = rows(self.path, told).map_err(|said| Ended::Said(said, UNREADABLE))?;
        let asked = self.asked(rows, told);
        let day = planned(&asked, &bays);
        let limits = words::limits_that_differ(self.ask.limits, Units::Metric);
        Ok(in_words(&asked, &day, &bays, [&limits, &self.not_free(&asked)]))
    }

    fn bays(&self) -> Result<Bays<'_>, Ended> {
        let lifts = self.ask.lifts;
        let bay = |name: &str| lifts.iter().position(|lift| lift.id == name);
        let unfit = lifts.iter().enumerate().filter_map(|(k, lift)| Some((k, self.shop.unfit(&lift.id)?)));
        let mut gone = vec![];
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
        Ok(Bays { lifts, gone, unfit: unfit.collect() })
    }

    /// Sentences about raises that have not ended: nobody knows when a bay is free again.
    fn not_free(&self, asked: &[Asked]) -> Vec<String> {
        let is_asked = |name: &str| {
            self.ask.lifts.iter().any(|l| l.id == name) || asked.iter().any(|a| a.coming.vehicle == name)
        };
        let told = |[raise, vehicle, lift]: [String; 3]| {
            format!(
                "Raise {raise} has not ended: {vehicle} is in {lift}. The day is planned as if both were free; plan it with \
                 --without {lift} while they are not."
            )
        };
        self.shop.under_way(is_asked).into_iter().map(told).collect()
    }

    /// What every lift says of every row's vehicle with its job.
    fn asked(&self, rows: Vec<Coming>, told: &mut Told) -> Vec<Asked> {
        let mut entries: BTreeMap<String, Entry> = BTreeMap::new();
        let mut skip = |entry: &Entry, why: &str| {
            told.skip(&format!("{}: skipped.\n{why}", entry.place), &entry.lost);
        };
        for entry in self.fleet.entries().filter(|e| rows.iter().any(|row| row.vehicle == e.id)) {
            match entries.entry(entry.id.clone()) {
                Vacant(first) => {
                    first.insert(entry);
                }
                // One after it is told to be of no use, or the first is.
                Occupied(mut first) => match &entry.raw {
                    Raw::Broken(why, _) => skip(&entry, why),
                    _ => {
                        let why = read::vehicles(first.get(), self.ask.limits).err();
                        skip(first.get(), &why.unwrap_or_default());
                        first.insert(entry);
                    }
                },
            }
        }
        let (mut found, mut odd) = (vec![], BTreeSet::new());
        for coming in rows {
            match self.ask_for(&coming, entries.get(&coming.vehicle), &mut odd) {
                Ok((rows, left)) => found.push(Asked { coming, rows, left }),
                Err(why) => told.skip(&format!("{}: skipped.\n{why}", coming.place), &Lost::ONE),
            }
        }
        odd.iter().for_each(|odd| told.odd(odd));
        found
    }

    /// What is odd is told once, however often it comes.
    fn ask_for(
        &self,
        coming: &Coming,
        entry: Option<&Entry>,
        odd: &mut BTreeSet<String>,
    ) -> Result<(Vec<Row>, Vec<Vec<Refusal>>), String> {
        let folder = self.path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let job = match coming.job.as_str() {
            "" => None,
            name => {
                let job = read::job(&folder.join(name))?;
                odd.extend(job.odd);
                Some(job.said)
            }
        };
        let entry = entry.ok_or_else(|| {
            let what = format!("there is no vehicle {:?}", coming.vehicle);
            wrong(&what, "name it as --vehicles or the book has it")
        })?;
        let ask = Ask { job: job.as_ref(), ..self.ask };
        let rows = match ask.answer(entry) {
            Answer::Rows(read) => {
                odd.extend(read.odd);
                read.said
            }
            Answer::Skipped(why, _) => return Err(why),
        };
        let left =
            |lift: &Named| self.shop.left(&lift.id, &coming.vehicle, || ask.outline(entry, &lift.lift));
        Ok((rows, ask.lifts.iter().map(left).collect()))
    }
}

/// The day without the bays that drop out. What began before one drops out stays as it was planned till then; the rest is
/// planned anew from then on.
fn planned(asked: &[Asked], bays: &Bays<'_>) -> Day {
    let lifts = bays.lifts.len();
    let vehicle = |name: &str| asked.iter().position(|other| other.coming.vehicle == name).unwrap_or(0);
    let vehicles: Vec<usize> = asked.iter().map(|a| lifts + vehicle(&a.coming.vehicle)).collect();
    let mut times: Vec<Minutes> = bays.gone.iter().map(|(_, at)| *at).chain([0]).collect();
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
        let is_there = |bay: usize| bays.gone_from(bay).is_none_or(|from| from > at);
        let visit = |k: &usize| Visit {
            vehicle: vehicles[*k],
            from: asked[*k].coming.from.max(at),
            duration: asked[*k].coming.duration,
            reserves: (0..lifts).map(|bay| asked[*k].reserve(bay).filter(|_| is_there(bay))).collect(),
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

fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// What is optimised, and what of it is proven.
fn promised(day: &Day) -> String {
    let (wait, proven) = match day.proven {
        true => ("can be", "Nothing is better (proven)."),
        false => ("was found", "It was not proven that nothing is better: there are too many ways."),
    };
    format!(
        "Each stands where its reserve is of the best class that any bay offers it (below 10 %, 10 to 25 %, 25 to 50 %, 50 % and \
         above);\nthen all together wait as little as {wait}, {} min; then reserves are largest. {proven}\n",
        day.waiting
    )
}

/// Columns as wide as the widest cell of each, two spaces apart; those marked are set to the right.
fn columns(rows: &[[String; 8]], to_the_right: [bool; 8]) -> String {
    let wide: [usize; 8] =
        std::array::from_fn(|k| rows.iter().map(|row| row[k].chars().count()).max().unwrap_or(0));
    let line = |row: &[String; 8]| {
        let cell = |k: usize| match to_the_right[k] {
            true => format!("{:>w$}", row[k], w = wide[k]),
            false => format!("{:w$}", row[k], w = wide[k]),
        };
        let cells: Vec<String> = (0..8).map(cell).collect();
        cells.join("  ").trim_end().to_owned() + "\n"
    };
    rows.iter().map(line).collect()
}

fn in_words(asked: &[Asked], day: &Day, bays: &Bays<'_>, [limits, not_free]: [&[String]; 2]) -> String {
    let Bays { lifts, gone, unfit } = bays;
    let mut out = format!("{} today, {}", counted(asked.len(), "vehicle"), counted(lifts.len(), "bay"));
    for (bay, at) in gone {
        let from = if *at == 0 { String::new() } else { format!(" from {} on", shown(*at)) };
        let _ = write!(out, ", without {}{from}", lifts[*bay].id);
    }
    out += ".\n";
    limits.iter().for_each(|said| out += &format!("{said}\n"));
    out += &(promised(day) + "\n");
    let unfit = unfit
        .iter()
        .map(|(bay, why)| format!("{} may not be used, and takes nobody: {why}.", lifts[*bay].id));
    let left: BTreeSet<String> =
        asked.iter().flat_map(|a| a.left.iter().flatten()).map(ToString::to_string).collect();
    let of_the_book: Vec<String> = unfit.chain(not_free.iter().cloned()).chain(left).collect();
    of_the_book.iter().for_each(|sentence| out += &format!("{sentence}\n"));
    if !of_the_book.is_empty() {
        out.push('\n');
    }
    let mut order: Vec<(Slot, &Asked)> =
        day.slots.iter().zip(asked).filter_map(|(slot, asked)| Some(((*slot)?, asked))).collect();
    order.sort_by_key(|(slot, _)| (slot.start, slot.bay));
    let row = |(Slot { bay, start }, Asked { coming, rows, .. }): (Slot, &Asked)| {
        let verdict = match rows[bay].verdict {
            Verdict::Raise => "may be raised",
            _ => "under conditions",
        };
        let by = if rows[bay].looser_limits.is_empty() { "" } else { ", by looser own limits" };
        let waits = match start - coming.from {
            0 => "-".into(),
            waits => format!("{waits} min"),
        };
        [
            shown(start),
            shown(start + coming.duration),
            lifts[bay].id.clone(),
            coming.vehicle.clone(),
            coming.job.clone(),
            waits,
            rows[bay].reserve.map_or_else(|| "-".into(), units::reserve),
            format!("{verdict}{by}"),
        ]
    };
    let head = ["from", "to", "bay", "vehicle", "job", "waits", "reserve", "verdict"].map(str::to_owned);
    let table: Vec<[String; 8]> = [head].into_iter().chain(order.into_iter().map(row)).collect();
    out += &columns(&table, [false, false, false, false, false, true, true, false]);
    for (asked, _) in asked.iter().zip(&day.slots).filter(|(_, slot)| slot.is_none()) {
        let why = |(bay, row): (usize, &Row)| {
            let reason = match (row.reasons.first(), bays.gone_from(bay)) {
                (Some(reason), _) => words::survey(kind(reason)).to_owned(),
                (None, _) if !asked.left[bay].is_empty() => "what a raise left, as told above".to_owned(),
                (None, None | Some(0)) => "it is not there today".to_owned(),
                (None, Some(at)) => format!("it is not there from {} on", shown(at)),
            };
            format!("{}: {reason}", row.lift)
        };
        let why: Vec<String> = asked.rows.iter().enumerate().map(why).collect();
        let _ = writeln!(out, "No bay takes {}: {}.", asked.coming.vehicle, why.join("; "));
    }
    out
}
