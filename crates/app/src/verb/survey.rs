//! `survey`: many vehicles on many lifts.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};
use planner::Limits;
use records::{Book, Failure, Hall};
use sheets::{Units, words};

use crate::cli::{FINE, UNREADABLE};
use crate::desk::{self, Done, Ended, Place};
use crate::document::Document;
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::measuring::Subject;
#[cfg(unix)]
use crate::signals;
use crate::survey::advice::advice;
use crate::survey::buy::{Choosing, Sets};
use crate::survey::day::{Today, Without};
use crate::survey::engine::{Answer, Ask, Named, ask_all as ask_each, cores};
use crate::survey::fleet::{Entry, Fleet, Reading};
use crate::survey::out::{self, Kind};
use crate::survey::parts::{self, Kept, Manifest, Share};
use crate::survey::read::{self, Read};
use crate::survey::row::Row;
use crate::survey::shop::Shop;
use crate::survey::tally::Tally;
use crate::survey::told::Told;
use crate::told::plain;
use crate::verb::raise::{fleet_of, limits_of};
use crate::write;

/// How long it is waited before asking again whether others ended their parts.
const MEANWHILE: Duration = Duration::from_millis(100);

/// Which lifts, which vehicles, and where to.
#[derive(Args, Debug)]
pub(crate) struct Options {
    /// Lifts: files, folders of files, tables (CSV, Parquet). Left out = those of the book. A book that is named (--book,
    /// STANDFAST_BOOK, else that of --parts) is always asked, for its limits.
    #[arg(long, value_name = "PATH", num_args = 1..)]
    lifts: Vec<PathBuf>,
    /// Vehicles, likewise; a table may say as little as their papers do: id, wheelbase, mass. Left out = those of the book.
    #[arg(long, value_name = "PATH", num_args = 1..)]
    vehicles: Vec<PathBuf>,
    #[command(flatten)]
    place: Place,
    /// The job's file; left out = only raised and lowered.
    #[arg(long, value_name = "FILE")]
    job: Option<PathBuf>,
    /// The shop's own limits; left out = those of the book where one is named or needed, else the defaults.
    #[arg(long, value_name = "FILE")]
    limits: Option<PathBuf>,
    /// Write a row a pair into this table.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Write a line of JSON a pair into this file.
    #[arg(long, value_name = "FILE")]
    jsonl: Option<PathBuf>,
    /// Write a row a pair into this Parquet file.
    #[arg(long, value_name = "FILE")]
    parquet: Option<PathBuf>,
    /// Draw which vehicles each lift takes, by wheelbase and mass, and why the rest fail: A4, black and white.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Tell which one change would gain most: adapters, longer or shorter arms, a stronger lift. Of few pairs it is told always.
    #[arg(long)]
    advise: bool,
    /// Lifts that may be bought: tell the fewest with which all are taken that any takes, and the one that adds most. They are
    /// asked beside the others.
    #[arg(long, value_name = "PATH", num_args = 1..)]
    buy: Vec<PathBuf>,
    /// Instead of a survey: bays for the day's vehicles, from a table with the columns vehicle, job, from, duration.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["buy", "parts", "csv", "jsonl", "parquet", "svg", "advise", "job"])]
    today: Option<PathBuf>,
    /// A bay that drops out today, all day or from a time on: north-bay@10:30. What began before stays.
    #[arg(long, value_name = "BAY[@TIME]", num_args = 1.., requires = "today")]
    without: Vec<Without>,
    /// Do it in parts that are kept here, a folder or postgres://user@server/database: what is done is not done again. A book
    /// is shared by several machines, each started with the same files; a folder can be copied together from several.
    #[arg(long, value_name = "PLACE")]
    parts: Option<String>,
    /// In a folder, do only this share of the parts, such as 2/4; the answer comes once all are there.
    #[arg(long, value_name = "K/N", requires = "parts")]
    share: Option<Share>,
    /// Take the parts away once the answer is written, unless others are still at work at them (of a folder that machines share
    /// over a network, ask for it last). Whoever starts the same survey later does it all anew.
    #[arg(long, requires = "parts")]
    forget: bool,
    /// How many pairs are asked at once; left out = as many as there are cores. The answers do not depend on it.
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
}

/// Exit 0 if all was asked, 2 if something could not be read.
pub(crate) fn run(options: &Options) -> u8 {
    desk::run(async {
        survey(options).await.map_err(|ended| match ended {
            // Of a book a survey only writes parts, each whole.
            Ended::Book(failure @ (Failure::Unreachable(_) | Failure::Busy(_))) => {
                let kept = if options.parts.is_some() { ": what was done is kept" } else { "" };
                Ended::bad(&plain(&failure.to_string()), &format!("start it again{kept}"))
            }
            other => other,
        })
    })
}

/// Everything that is asked, read.
struct Inputs {
    lifts: Vec<Named>,
    /// How many of them are at hand; the others may be bought.
    own: usize,
    /// Digest of all that was given of them.
    lifts_digest: [u8; 32],
    vehicles: Fleet,
    /// What they said when they were counted.
    vehicles_read: Reading,
    job: Option<Source>,
    limits: Limits,
    limits_text: String,
    /// The book that was asked, as it is now.
    hall: Option<Arc<Hall>>,
    /// What was said of what is wrong or odd.
    told: Told,
}

fn open(path: &Path) -> Result<Source, Ended> {
    Source::read(path).map_err(|fault| Ended::Said(render_unreadable(&fault), UNREADABLE))
}

fn unreadable(said: String) -> Ended {
    Ended::Said(said, UNREADABLE)
}

impl Inputs {
    fn ask(&self) -> Ask<'_> {
        Ask { lifts: &self.lifts, job: self.job.as_ref(), limits: &self.limits }
    }

    /// What the parts of the survey have in common.
    fn manifest(&self) -> Manifest {
        let job = self.job.as_ref().map(|source| source.text.as_bytes()).unwrap_or_default();
        let vehicles = self.vehicles_read.whole();
        let asked = [&self.lifts_digest[..], &vehicles, job, self.limits_text.as_bytes()];
        let lifts = self.lifts.iter().map(|l| l.id.clone()).collect();
        Manifest::new(lifts, self.vehicles_read.count(), &asked)
    }

    async fn read(options: &Options) -> Result<Self, Ended> {
        let (mut kept_lifts, mut kept_vehicles, mut kept_limits, mut hall) = (vec![], vec![], None, None);
        if let Some(book) = options.book().await? {
            if options.needs_a_book() {
                [kept_lifts, kept_vehicles] = fleet_of(&book).await?;
            }
            kept_limits = limits_of(&book).await?.map(|text| Source::new("the book's limits", text));
            hall = Some(book.hall().await?);
        }
        let fleet = |subject, paths: &[PathBuf], kept| match paths {
            [] => Ok(Fleet::of_book(subject, kept)),
            paths => Fleet::of_paths(subject, paths),
        };
        let at_hand = fleet(Subject::Lift, &options.lifts, kept_lifts)?;
        let own = at_hand.entries().count();
        let mut lifts = at_hand.and(Fleet::of_paths(Subject::Lift, &options.buy)?);
        let mut vehicles = fleet(Subject::Vehicle, &options.vehicles, kept_vehicles)?;
        let own_limits = options.limits.as_deref().map(open).transpose()?;
        let own_limits = own_limits.or(kept_limits);
        let limits_text = own_limits.as_ref().map(|source| source.text.clone()).unwrap_or_default();
        let mut told = Told::default();
        let limits = own_limits.map(read::limits).transpose().map_err(unreadable)?;
        let limits = limits.map(|limits| limits.told(&mut told)).unwrap_or_default();
        let job = options.job.as_deref().map(read::job).transpose().map_err(unreadable)?;
        let job = job.map(|job| job.told(&mut told));
        let lifts_digest = lifts.count(u64::MAX, &limits).whole();
        let (lifts, own) = named(&lifts, own, &mut told)?;
        Ok(Self {
            lifts_digest,
            vehicles_read: vehicles.count(parts::each(lifts.len()), &limits),
            lifts,
            own,
            vehicles,
            job,
            limits_text,
            limits,
            hall,
            told,
        })
    }
}

/// Lifts are few: all of them at once, those that cannot be read skipped; and how many of them are among the first so many.
fn named(fleet: &Fleet, first: usize, told: &mut Told) -> Result<(Vec<Named>, usize), Ended> {
    let (mut lifts, mut own) = (vec![], 0);
    for (at, entry) in fleet.entries().enumerate() {
        match read::lift(&entry) {
            Ok(lift) => {
                own += usize::from(at < first);
                lifts.push(Named { id: entry.id, lift: lift.told(told) });
            }
            Err(why) => told.skip(&format!("{}: skipped.\n{why}", entry.place), &entry.lost),
        }
    }
    if lifts.is_empty() {
        return Err(Ended::bad("there is no lift to ask", "name their files with --lifts"));
    }
    Ok((lifts, own))
}

impl Options {
    const fn needs_a_book(&self) -> bool {
        self.lifts.is_empty() || self.vehicles.is_empty()
    }

    /// The book that is named: as such, or as the place of the parts.
    fn named_book(&self) -> Option<Place> {
        if self.place.is_named() {
            return Some(self.place.clone());
        }
        self.parts.as_deref().filter(|place| parts::is_book(place)).map(Place::of)
    }

    /// The book that is named, or that is needed.
    async fn book(&self) -> Result<Option<Arc<Book>>, Ended> {
        let named = self.named_book();
        let is_named = named.is_some();
        if !is_named && !self.needs_a_book() {
            return Ok(None);
        }
        match named.unwrap_or_else(|| self.place.clone()).open().await {
            Ok(book) => Ok(Some(book)),
            // Who only chooses what to buy need have neither lifts nor a book.
            Err(Ended::Book(Failure::NoBook(_)))
                if !is_named && !self.vehicles.is_empty() && !self.buy.is_empty() =>
            {
                Ok(None)
            }
            Err(ended) => Err(ended),
        }
    }

    fn outputs(&self) -> Vec<(Kind, &Path)> {
        let all = [
            (Kind::Csv, &self.csv),
            (Kind::Lines, &self.jsonl),
            (Kind::Parquet, &self.parquet),
            (Kind::Picture, &self.svg),
        ];
        all.into_iter().filter_map(|(kind, path)| Some((kind, path.as_deref()?))).collect()
    }

    fn threads(&self) -> usize {
        self.threads.map_or_else(cores, usize::from)
    }
}

/// Pairs done, how many a second, and how long it still takes.
fn progress(pairs: u64) -> ProgressBar {
    if write::is_silent() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(pairs);
    let style = "{bar:30} {pos} of {len} pairs, {per_sec}, {eta} left";
    match ProgressStyle::with_template(style) {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
}

/// What hears every answer.
struct Heard<'a> {
    files: Vec<out::Into>,
    tally: Tally,
    /// Only where lifts are to be chosen.
    sets: Option<Sets>,
    told: &'a mut Told,
    bar: ProgressBar,
}

impl Heard<'_> {
    fn hear(&mut self, answer: Answer) -> Result<(), Ended> {
        match answer {
            Answer::Rows(Read { said: rows, odd }) => {
                self.bar.inc(rows.len() as u64);
                if let Some(odd) = odd {
                    self.bar.suspend(|| self.told.odd(&odd));
                }
                self.rows(&rows)
            }
            Answer::Skipped(why, lost) => {
                self.bar.inc(self.tally.lifts.len() as u64);
                self.tally.skipped.add(&lost);
                self.bar.suspend(|| self.told.skip(&why, &lost));
                Ok(())
            }
        }
    }

    fn rows(&mut self, rows: &[Row]) -> Result<(), Ended> {
        self.tally.add(rows);
        self.sets.iter_mut().for_each(|sets| sets.add(rows));
        self.files.iter_mut().try_for_each(|file| rows.iter().try_for_each(|row| file.row(row)))
    }
}

/// All of it at once, or in parts; what is said where parts are still to come.
async fn ask_all(
    options: &Options,
    inputs: &Inputs,
    parts: Option<&(Kept, Manifest)>,
    heard: &mut Heard<'_>,
) -> Result<Option<String>, Ended> {
    let Inputs { lifts, vehicles, .. } = inputs;
    let (ask, threads) = (inputs.ask(), options.threads());
    let answer = |entry: &Entry| ask.answer(entry);
    let each = parts::each(lifts.len());
    // What is asked is what was counted, or it is not kept.
    let still = |reading: Reading, said: &[[u8; 32]]| {
        if reading.end().ranges() == said {
            return Ok(());
        }
        let help = match options.parts {
            None => "ask again: nothing of it was kept",
            Some(_) => {
                "the parts that were kept are of the vehicles as they were: give those again, or ask all anew in another place"
            }
        };
        Err(Ended::bad("the vehicles were changed while they were asked", help))
    };
    let Some((kept, manifest)) = parts else {
        let mut reading = Reading::new(each);
        let mut entries = vehicles.entries().inspect(|entry| reading.add(entry));
        ask_each(threads, &answer, &mut entries, &mut |answer| heard.hear(answer))?;
        drop(entries);
        still(reading, inputs.vehicles_read.ranges())?;
        return Ok(None);
    };
    let mut cursor = vehicles.cursor();
    let mut mine = 0_u64;
    let bar = heard.bar.clone();
    let found = kept.done(manifest, None).await?;
    // Of a book each takes what is open; of a folder the share that was asked for.
    let share = options.share.filter(|_| matches!(kept, Kept::Folder(..)));
    bar.set_length(manifest.pairs(manifest.parts_of(share)));
    bar.set_position(manifest.pairs(kept.done(manifest, share).await?));
    bar.reset_eta();
    let mut next = 0;
    loop {
        // Whoever did them: rate and time left are those of all who are at work.
        let done = kept.done(manifest, share).await?;
        bar.set_position(manifest.pairs(done));
        let Some(part) = kept.next(manifest, next, share).await? else {
            if matches!(kept, Kept::Folder(..)) || done == manifest.parts() {
                break;
            }
            // The others are under way; who does not end them lets go of them.
            tokio::time::sleep(MEANWHILE).await;
            continue;
        };
        next = part.number + 1;
        let mut text = parts::Text::begin(manifest, part.number)?;
        let mut reading = Reading::new(each);
        let mut entries = cursor.range(manifest.range(part.number)).inspect(|entry| reading.add(entry));
        ask_each(threads, &answer, &mut entries, &mut |answer| text.add(&answer))?;
        drop(entries);
        let said = usize::try_from(part.number).ok().and_then(|k| inputs.vehicles_read.ranges().get(k));
        still(reading, said.map_or(&[], std::slice::from_ref))?;
        kept.keep(part, text).await?;
        mine += 1;
    }
    let done = kept.done(manifest, None).await?;
    bar.suspend(|| {
        write::err(&format!("{mine} of {} parts done here, {found} found done.\n", manifest.parts()));
    });
    if done < manifest.parts() {
        let left = manifest.parts() - done;
        return Ok(Some(format!(
            "{left} of {} parts are still to come; nothing is written before.\n",
            manifest.parts()
        )));
    }
    std::mem::replace(&mut heard.bar, ProgressBar::hidden()).finish_and_clear();
    for part in 0..manifest.parts() {
        kept.answers(manifest, part).await?.into_iter().try_for_each(|answer| heard.hear(answer))?;
    }
    Ok(None)
}

async fn survey(options: &Options) -> Done {
    let outputs = options.outputs();
    #[cfg(unix)]
    signals::tidy_up_first().map_err(|fault| Ended::bad(&fault.to_string(), "start it again"))?;
    let mut inputs = Inputs::read(options).await?;
    let mut files: Vec<&Path> = inputs.vehicles.files().collect();
    let given = [&options.job, &options.limits, &options.today].into_iter().flatten();
    files.extend(options.lifts.iter().chain(&options.buy).chain(given).map(PathBuf::as_path));
    if let Some(why) = out::fault(&outputs, &files) {
        return Err(Ended::Said(why, UNREADABLE));
    }
    let count = inputs.vehicles_read.count();
    if count == 0 {
        return Err(Ended::bad("there is no vehicle to ask", "name their files with --vehicles"));
    }
    if let Some(path) = &options.today {
        let mut told = std::mem::take(&mut inputs.told);
        let Inputs { vehicles, hall, .. } = &inputs;
        let shop = Shop(hall.as_deref());
        let asked = Today { ask: inputs.ask(), fleet: vehicles, path, without: &options.without, shop };
        let text = asked.planned(&mut told)?;
        return Ok(write::out(&(text + &told.counted()), told.end()));
    }
    let rows = outputs.iter().filter(|(kind, _)| *kind != Kind::Picture);
    let files = rows.map(|(kind, path)| out::Into::begin(*kind, path)).collect::<Result<_, _>>()?;
    let limits = words::limits_that_differ(&inputs.limits, Units::Metric);
    let tally = Tally::new(inputs.lifts.iter().map(|l| l.id.clone()), limits.clone());
    let bar = progress(count * inputs.lifts.len() as u64);
    let mut told = std::mem::take(&mut inputs.told);
    let sets = (!options.buy.is_empty()).then(Sets::default);
    let mut heard = Heard { files, tally, sets, told: &mut told, bar };
    let parts = match &options.parts {
        None => None,
        Some(place) => {
            let manifest = inputs.manifest();
            Some((Kept::open(place, &manifest).await?, manifest))
        }
    };
    if let Some(text) = ask_all(options, &inputs, parts.as_ref(), &mut heard).await? {
        return Ok(write::out(&text, told.end()));
    }
    let Heard { files, tally, sets, bar, .. } = heard;
    bar.finish_and_clear();
    files.into_iter().try_for_each(out::Into::finish)?;
    let job = job_name(inputs.job.as_ref());
    if let Some(path) = &options.svg {
        let picture = sheets::coverage_svg(&tally.coverage(&job));
        write::whole(path, picture).map_err(|fault| out::unwritten(path, &fault))?;
    }
    let mut text = tally.text(&job);
    if let Some(sets) = &sets {
        let choosing = Choosing { sets, own: inputs.own, lifts: inputs.lifts.len() };
        let names: Vec<String> = inputs.lifts.iter().map(|lift| lift.id.clone()).collect();
        text += &choosing
            .text(&names, &limits)
            .map_err(|why| Ended::bad(&format!("no lifts were chosen: {why}"), "ask for fewer candidates"))?;
    }
    let mut status = write::out(&text, told.end());
    if inputs.own > 0 && (options.advise || tally.is_small()) {
        let at_hand = Ask { lifts: &inputs.lifts[..inputs.own], ..inputs.ask() };
        status = status
            .max(write::out(&advice(&at_hand, &inputs.vehicles, tally.vehicles, options.threads())?, FINE));
    }
    status = status.max(write::out(&told.counted(), FINE));
    if let (true, Some((kept, manifest))) = (options.forget, parts)
        && !kept.forget(&manifest).await?
    {
        write::err(
            "Others are still at work at this survey: its parts stay. The last of them takes them away with --forget.\n",
        );
    }
    Ok(status)
}

fn job_name(job: Option<&Source>) -> String {
    match job.and_then(|source| Document::of(source.clone()).job(None)) {
        Some(job) => format!("for \"{}\"", job.name),
        None => "only raised and lowered".to_owned(),
    }
}
