//! `plan`: from a lift, a vehicle and a job to a checked setup.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use planner::plan::Verdict;
use planner::state::StateFault;
use planner::{InputFault, Job, Limits};
use sheets::{Scene, Units};

use crate::cli::{FINE, REFUSED, UNREADABLE};
use crate::document::Document;
use crate::{convert, write};

/// What to plan and how to answer.
#[derive(Args, Debug)]
pub(crate) struct Options {
    /// The lift's file.
    #[arg(long, value_name = "FILE")]
    lift: PathBuf,
    /// The vehicle's file.
    #[arg(long, value_name = "FILE")]
    vehicle: PathBuf,
    /// The job's file; left out = only raised and lowered.
    #[arg(long, value_name = "FILE")]
    job: Option<PathBuf>,
    /// Check this setup as it was measured, instead of searching for one.
    #[arg(long, value_name = "FILE")]
    as_placed: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
    /// Draw plan view and side view into this file.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Units of the answer.
    #[arg(long, value_enum, default_value_t = System::Metric)]
    units: System,
    /// Work out one check: the formula with the numbers put in, and its source.
    #[arg(long, value_name = "CHECK")]
    show_working: Option<String>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum System {
    /// Inches, pounds.
    Us,
    /// Metres, kilograms.
    Metric,
}

/// Exit 0 if it may be raised, 1 if it must not, 2 if the input cannot be read.
pub(crate) fn run(options: &Options) -> u8 {
    // Every file is opened and read, so that every problem of every file is said at once.
    let (mut whole, mut files) = (true, Vec::new());
    let mut open = |path: &Path| {
        let document = Document::open(path);
        whole &= document.is_some();
        document
    };
    let (mut lift, mut vehicle) = (open(&options.lift), open(&options.vehicle));
    let (mut job, mut placed) =
        (options.job.as_deref().and_then(&mut open), options.as_placed.as_deref().and_then(&mut open));
    let read_lift = lift.as_mut().and_then(Document::lift);
    let read_vehicle = vehicle.as_mut().and_then(Document::vehicle);
    let read_job = match &mut job {
        Some(document) => document.job(read_vehicle.as_ref()),
        None => Some(Job::default()),
    };
    let setup = placed.as_mut().map(Document::setup);
    files.extend([&lift, &vehicle, &job, &placed].into_iter().flatten());
    files.iter().for_each(|d| write::err(&d.report()));
    let (true, Some(lift), Some(vehicle), Some(job)) = (whole, read_lift, read_vehicle, read_job) else {
        return UNREADABLE;
    };
    let limits = Limits::default();
    let planned = match setup {
        None => planner::plan(&lift, &vehicle, &job, &limits),
        Some(Some(setup)) => planner::as_placed(&lift, &vehicle, &job, &limits, &setup),
        Some(None) => return UNREADABLE,
    };
    let plan = match planned {
        Ok(plan) => plan,
        Err(faults) => {
            faults.iter().for_each(|f| write::err(&say(f, options)));
            return UNREADABLE;
        }
    };
    let units = match options.units {
        System::Us => Units::Us,
        System::Metric => Units::Metric,
    };
    let scene = Scene { lift: &lift, vehicle: &vehicle, job: &job, limits: &limits, plan: &plan };
    if let Some(path) = &options.svg {
        if let Err(fault) = write::whole(path, &sheets::svg(&scene, units)) {
            write::err(&format!(
                "error: {}: the drawing cannot be written: {fault}\n  help: check that the folder exists and may be written to\n",
                path.display()
            ));
            return UNREADABLE;
        }
    }
    if let Some(id) = &options.show_working {
        let Some(text) = sheets::working(&scene, id, units) else {
            let mut known: Vec<String> = plan.checks.iter().map(|c| c.what.id()).collect();
            known.dedup();
            write::err(&format!(
                "error: --show-working {id}: this plan holds no such check\n  help: checks of this plan: {}\n",
                known.join(", ")
            ));
            return UNREADABLE;
        };
        write::out(&text);
    } else if options.json {
        write::json(&convert::plan::answer(&scene, units));
    } else {
        write::out(&sheets::report(&scene, units));
    }
    if plan.verdict == Verdict::DoNotRaise { REFUSED } else { FINE }
}

fn say(fault: &InputFault, options: &Options) -> String {
    let of = |path: Option<&PathBuf>| path.unwrap_or(&options.vehicle).display().to_string();
    let job = of(options.job.as_ref());
    let vehicle = of(None);
    let (file, what, cure) = match fault {
        InputFault::State(StateFault::NoMass(state)) => (
            job,
            format!("nothing is left to lift in the state {state:?}"),
            "check the masses of the parts that come off against the vehicle's".to_owned(),
        ),
        InputFault::State(StateFault::CgLeaves(state)) => (
            job,
            format!("in the state {state:?} the centre of gravity is not inside the vehicle's height"),
            "check masses and heights of the parts that come off and of the loads".to_owned(),
        ),
        InputFault::State(StateFault::TakenTwice(part)) => (
            job,
            format!("{part:?} comes off twice"),
            "put it on in between, or take one step out".to_owned(),
        ),
        InputFault::State(StateFault::PutTwice(part)) => (
            job,
            format!("{part:?} goes on twice"),
            "take it off in between, or take one step out".to_owned(),
        ),
        InputFault::State(StateFault::TooEarly(part, first)) => (
            job,
            format!("{part:?} comes off before {first:?}, which must be off first"),
            format!("put the step off = {first:?} before it"),
        ),
        InputFault::NoSuchDoor(door) => (
            job,
            format!("the vehicle has no door {door:?}"),
            "write the vehicle file's name of the door".to_owned(),
        ),
        InputFault::NoAreaFor(corner) => (
            vehicle,
            format!("no lift area for the {} corner", corner.name()),
            "add a [[lift_areas]] for it, from the vehicle maker's manual".to_owned(),
        ),
        InputFault::LongerThanBay { vehicle: length, bay } => (
            vehicle,
            format!(
                "the vehicle is {:.2} m long and the bay of {} is {:.2} m",
                length.to_metres(),
                options.lift.display(),
                bay.to_metres()
            ),
            "take a longer bay; or measure `length` in [outline] and `ahead` and `behind` in [bay] again"
                .to_owned(),
        ),
    };
    format!("error: {file}: {what}\n  help: {cure}\n")
}
