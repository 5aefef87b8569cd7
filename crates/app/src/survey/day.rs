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

/// The rows of the day's table, all problems together.
fn rows(path: &Path) -> Result<Vec<Coming>, String> {
    let shown = path.display();
    let at = |row: u64, why: &str| why.replacen("error: ", &format!("error: {shown}: row {row}: "), 1);
    let (names, lines) =
        csv_file(path).map_err(|why| why.replacen("error: ", &format!("error: {shown}: "), 1))?;
    let mut said = String::new();
    for name in COLUMNS.iter().filter(|c| !names.iter().any(|n| n == *c)) {
        said += &at(1, &wrong(&format!("no column `{name}`"), &format!("there are {}", COLUMNS.join(", "))));
    }
    for name in names.iter().filter(|n| !COLUMNS.contains(&n.as_str())) {
        said +=
            &at(1, &wrong(&format!("no such column: {name}"), &format!("there are {}", COLUMNS.join(", "))));
    }
    if !said.is_empty() {
        return Err(said);
    }
    let mut found = vec![];
    for (row, cells) in lines {
        let cells = match cells {
            Ok(cells) => cells,
            Err(why) => {
                said += &at(row, &why);
                continue;
            }
        };
        let cell = |name: &str| names.iter().position(|n| n == name).map_or("", |k| cells[k].as_str());
        let (from, takes) = (clock(cell("from")), duration(cell("duration")));
        if cell("vehicle").is_empty() {
            said += &at(row, &wrong("`vehicle` is empty", "write its name"));
        }
        if from.is_none() {
            said += &at(
                row,
                &wrong(&format!("`from`: {:?} is no time of day", cell("from")), "write it like 8:30"),
            );
        }
        if takes.is_none() {
            let what = format!("`duration`: {:?} is no duration of a day or less", cell("duration"));
            said += &at(row, &wrong(&what, "write it like 90 min, 1:30 or 1.5 h"));
        }
        if let (Some(from), Some(duration)) = (from, takes) {
            found.push(Coming { vehicle: cell("vehicle").into(), job: cell("job").into(), from, duration });
        }
    }
    if found.len() > MOST_VISITS {
        let what = format!("{shown}: {} vehicles, and a day holds {MOST_VISITS} at most", found.len());
        said += &wrong(&what, "split the day");
    }
    if said.is_empty() { Ok(found) } else { Err(said) }
}

/// A visit with what every lift says of it.
struct Asked {
    coming: Coming,
    rows: Vec<Row>,
}

/// What every lift says of every row's vehicle with its job.
fn asked(ask: &Ask<'_>, fleet: &Fleet, path: &Path, rows: Vec<Coming>) -> Result<Vec<Asked>, String> {
    let entries: BTreeMap<String, Entry> = fleet
        .entries()
        .filter(|entry| rows.iter().any(|row| row.vehicle == entry.id))
        .map(|entry| (entry.id.clone(), entry))
        .collect();
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let (mut found, mut said) = (vec![], String::new());
    for coming in rows {
        let job = match coming.job.as_str() {
            "" => None,
            name => match Source::read(&folder.join(name)) {
                Ok(source) => {
                    let mut document = Document::of(source.clone());
                    if document.job(None).is_none() {
                        said += &document.errors();
                    }
                    Some(source)
                }
                Err(fault) => {
                    said += &render_unreadable(&fault);
                    continue;
                }
            },
        };
        let Some(entry) = entries.get(&coming.vehicle) else {
            let what = format!("{}: there is no vehicle {:?}", path.display(), coming.vehicle);
            said += &wrong(&what, "name it as --vehicles or the book has it");
            continue;
        };
        match (Ask { job: job.as_ref(), ..*ask }).answer(entry) {
            Answer::Rows(rows) => found.push(Asked { coming, rows }),
            Answer::Skipped(why) => said += &why,
        }
    }
    if said.is_empty() { Ok(found) } else { Err(said) }
}

fn visit(asked: &Asked, without: &[usize], from: Minutes) -> Visit {
    let reserve = |(bay, row): (usize, &Row)| row.reserve.filter(|_| row.takes() && !without.contains(&bay));
    Visit {
        from: asked.coming.from.max(from),
        duration: asked.coming.duration,
        reserves: asked.rows.iter().enumerate().map(reserve).collect(),
    }
}

/// The day without the bays that drop out. What began before a bay drops out stays as it was planned with all of them; the
/// rest is planned anew from then on.
fn planned(asked: &[Asked], lifts: usize, without: &[(usize, Minutes)]) -> Day {
    let all_day: Vec<usize> = without.iter().filter(|(_, at)| *at == 0).map(|(bay, _)| *bay).collect();
    let of =
        |without: &[usize], from: Minutes| asked.iter().map(|a| visit(a, without, from)).collect::<Vec<_>>();
    let first = best(&of(&all_day, 0), &vec![0; lifts]);
    let Some(at) = without.iter().map(|(_, at)| *at).filter(|at| *at > 0).min() else { return first };
    let gone: Vec<usize> = without.iter().map(|(bay, _)| *bay).collect();
    let begun = |k: &usize| first.slots[*k].is_some_and(|slot| slot.start < at);
    let mut free = vec![at; lifts];
    for (k, asked) in asked.iter().enumerate().filter(|(k, _)| begun(k)) {
        if let Some(Slot { bay, start }) = first.slots[k] {
            free[bay] = free[bay].max(start + asked.coming.duration);
        }
    }
    let (left, visits): (Vec<usize>, Vec<Visit>) =
        of(&gone, at).into_iter().enumerate().filter(|(k, _)| !begun(k)).unzip();
    let then = best(&visits, &free);
    let mut day = Day { proven: first.proven && then.proven, ..first };
    for (k, slot) in left.into_iter().zip(then.slots) {
        day.slots[k] = slot;
    }
    let waits =
        |(asked, slot): (&Asked, &Option<Slot>)| slot.map_or(0, |slot| slot.start - asked.coming.from);
    day.waiting = asked.iter().zip(&day.slots).map(waits).sum();
    day
}

/// Plans the day and puts it into words.
pub(crate) fn day(ask: &Ask<'_>, fleet: &Fleet, path: &Path, without: &[Without]) -> Result<String, Ended> {
    let bad = |said: String| Ended::Said(said, UNREADABLE);
    let mut gone = vec![];
    for Without { bay, at } in without {
        let found = ask.lifts.iter().position(|lift| lift.id == *bay);
        let Some(found) = found else {
            let names: Vec<&str> = ask.lifts.iter().map(|lift| lift.id.as_str()).collect();
            return Err(Ended::bad(
                &format!("--without: there is no bay {bay:?}"),
                &format!("there are {}", names.join(", ")),
            ));
        };
        gone.push((found, at.unwrap_or(0)));
    }
    let rows = rows(path).map_err(bad)?;
    let asked = asked(ask, fleet, path, rows).map_err(bad)?;
    let day = planned(&asked, ask.lifts.len(), &gone);
    Ok(told(ask.lifts, &asked, &day, &gone))
}

fn told(lifts: &[Named], asked: &[Asked], day: &Day, gone: &[(usize, Minutes)]) -> String {
    let mut out = format!("{} vehicles today, {} bays", asked.len(), lifts.len());
    for (bay, at) in gone {
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
        let why = |row: &Row| {
            let reason =
                row.reasons.first().map_or("its bay is not there", |reason| words::survey(kind(reason)));
            format!("{}: {reason}", row.lift)
        };
        let why: Vec<String> = rows.iter().map(why).collect();
        let _ = writeln!(out, "No bay takes {}: {}.", coming.vehicle, why.join("; "));
    }
    out
}
