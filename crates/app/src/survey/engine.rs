//! Asking every pair, on every core, and handing the answers on in the order of the entries.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::sync::{Condvar, Mutex, PoisonError};

use planner::{Job, Lift, Limits, Vehicle, surveyed};
use records::Outline;

use super::fleet::Entry;
use super::read::{self, Read};
use super::row::Row;
use super::tally::Lost;
use crate::desk::Ended;
use crate::document::Document;
use crate::input::Source;

/// Entries that are asked together.
const TOGETHER: usize = 8;
/// How far, in such lots, the fastest may be ahead of what was handed on.
const AHEAD: u64 = 64;

/// A lift under its name.
#[derive(Debug)]
pub(crate) struct Named {
    pub(crate) id: String,
    pub(crate) lift: Lift,
}

/// What every vehicle is asked.
#[derive(Clone, Copy)]
pub(crate) struct Ask<'a> {
    pub(crate) lifts: &'a [Named],
    /// The job's file: what it says depends on the vehicle's parts.
    pub(crate) job: Option<&'a Source>,
    pub(crate) limits: &'a Limits,
}

/// What came of one entry.
#[derive(Debug)]
pub(crate) enum Answer {
    /// A row a lift, and what is odd about it, with its place.
    Rows(Read<Vec<Row>>),
    /// What is wrong with it, with its place, and what is lost.
    Skipped(String, Lost),
}

/// As many threads as there are cores.
pub(crate) fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, NonZeroUsize::get)
}

impl Ask<'_> {
    /// The job with this vehicle; `None` if it does not go with it.
    pub(crate) fn job_of(&self, vehicle: &Vehicle) -> Option<Job> {
        match self.job {
            None => Some(Job::default()),
            Some(source) => Document::of(source.clone()).job(Some(vehicle)),
        }
    }

    /// How a raise of the vehicle on a lift would go; `None` if no plan can be made.
    pub(crate) fn outline(&self, entry: &Entry, lift: &Lift) -> Option<Outline> {
        let vehicle = read::vehicles(entry, self.limits).ok()?.said.into_iter().next()?;
        let job = self.job_of(&vehicle)?;
        let plan = planner::plan(lift, &vehicle, &job, self.limits).ok()?;
        Some(Outline::of(&plan, &job, lift))
    }

    pub(crate) fn answer(&self, entry: &Entry) -> Answer {
        let Read { said: vehicles, odd } = match read::vehicles(entry, self.limits) {
            Ok(vehicles) => vehicles,
            Err(why) => {
                return Answer::Skipped(format!("{}: skipped.\n{why}", entry.place), entry.lost.clone());
            }
        };
        let jobs: Vec<(&Vehicle, Option<Job>)> = vehicles.iter().map(|v| (v, self.job_of(v))).collect();
        let row = |lift: &Named| {
            let each = jobs.iter().map(|(vehicle, job)| match job {
                Some(job) => {
                    let found = surveyed(&lift.lift, vehicle, job, self.limits);
                    Row::new(&entry.id, &lift.id, vehicle, self.limits, found)
                }
                None => Row::refused(&entry.id, &lift.id, vehicle, vec!["job-does-not-fit".into()]),
            });
            each.reduce(Row::worse)
        };
        Answer::Rows(Read { said: self.lifts.iter().filter_map(row).collect(), odd })
    }
}

/// What is still to be asked, and how far it was handed on.
struct Feed<'a> {
    entries: &'a mut (dyn Iterator<Item = Entry> + Send),
    taken: u64,
    handed_on: u64,
    over: bool,
}

struct Desk<'a> {
    feed: Mutex<Feed<'a>>,
    room: Condvar,
}

impl Desk<'_> {
    /// The next lot with its number, once there is room for its answers.
    fn take(&self) -> Option<(u64, Vec<Entry>)> {
        let mut feed = self.feed.lock().unwrap_or_else(PoisonError::into_inner);
        while !feed.over && feed.taken >= feed.handed_on + AHEAD {
            feed = self.room.wait(feed).unwrap_or_else(PoisonError::into_inner);
        }
        if feed.over {
            return None;
        }
        let lot: Vec<Entry> = Iterator::take(&mut *feed.entries, TOGETHER).collect();
        if lot.is_empty() {
            feed.over = true;
            return None;
        }
        feed.taken += 1;
        Some((feed.taken - 1, lot))
    }

    fn hand_on(&self) {
        self.feed.lock().unwrap_or_else(PoisonError::into_inner).handed_on += 1;
        self.room.notify_all();
    }

    fn stop(&self) {
        self.feed.lock().unwrap_or_else(PoisonError::into_inner).over = true;
        self.room.notify_all();
    }
}

type Lot<T> = (u64, Vec<T>);

fn work<T>(desk: &Desk<'_>, ask: &(dyn Fn(&Entry) -> T + Sync), answers: &SyncSender<Lot<T>>) {
    while let Some((number, lot)) = desk.take() {
        let found = lot.iter().map(ask).collect();
        // Nobody listens any more where the answers cannot be written.
        if answers.send((number, found)).is_err() {
            return;
        }
    }
}

/// Asks them all; `each` hears the answers in the order of the entries, whatever the number of threads. Held are no more
/// than so many lots.
pub(crate) fn ask_all<T: Send>(
    threads: usize,
    ask: &(dyn Fn(&Entry) -> T + Sync),
    entries: &mut (dyn Iterator<Item = Entry> + Send),
    each: &mut dyn FnMut(T) -> Result<(), Ended>,
) -> Result<(), Ended> {
    let desk = Desk {
        feed: Mutex::new(Feed { entries, taken: 0, handed_on: 0, over: false }),
        room: Condvar::new(),
    };
    std::thread::scope(|scope| {
        let (give, answers) = sync_channel::<Lot<T>>(threads * 2);
        for _ in 0..threads {
            let (desk, give) = (&desk, give.clone());
            scope.spawn(move || work(desk, ask, &give));
        }
        drop(give);
        let mut waiting: BTreeMap<u64, Vec<T>> = BTreeMap::new();
        let mut due = 0;
        for (number, lot) in &answers {
            waiting.insert(number, lot);
            while let Some(lot) = waiting.remove(&due) {
                let heard = lot.into_iter().try_for_each(&mut *each);
                if heard.is_err() {
                    desk.stop();
                    return heard;
                }
                due += 1;
                desk.hand_on();
            }
        }
        Ok(())
    })
}
