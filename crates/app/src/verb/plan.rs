//! `plan`: from a lift, a vehicle and a job to a checked setup.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use planner::plan::Verdict;
use planner::state::StateFault;
use planner::{InputFault, Job, Lift, Limits, Vehicle};
use sheets::{Origin, OtherBay, Scene, Units, words};

use crate::cli::{FINE, REFUSED, UNREADABLE};
use crate::document::Document;
use crate::planning::{Files, Inputs};
use crate::verb::outputs::Outputs;
use crate::verb::quick;
use crate::{convert, write};

/// What to plan and how to answer.
#[derive(Args, Debug)]
pub(crate) struct Options {
    /// The lift's file.
    #[arg(long, value_name = "FILE")]
    lift: PathBuf,
    /// The vehicle's file.
    #[arg(long, value_name = "FILE")]
    vehicle: Option<PathBuf>,
    #[command(flatten)]
    quick: quick::QuickEntry,
    /// The job's file; left out = only raised and lowered.
    #[arg(long, value_name = "FILE")]
    job: Option<PathBuf>,
    /// Check this setup as it was measured, instead of searching for one.
    #[arg(long, value_name = "FILE")]
    as_placed: Option<PathBuf>,
    /// The shop's own limits; what it leaves out keeps its default.
    #[arg(long, value_name = "FILE")]
    limits: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    outputs: Outputs,
    /// Units of the answer.
    #[arg(long, value_enum, default_value_t = System::Metric)]
    units: System,
    /// Work out one check or other figure: the formula with the numbers put in, and its source; `list` names them all.
    #[arg(long, value_name = "NAME", conflicts_with = "json")]
    show_working: Option<String>,
    /// How likely each check of weight, loads or edges is to fail, from so many samples (1000 to 100 million).
    #[arg(long, value_name = "SAMPLES", num_args = 0..=1, default_missing_value = "100000",
        value_parser = clap::value_parser!(u64).range(1_000..=100_000_000))]
    chance: Option<u64>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum System {
    /// Inches, pounds.
    Us,
    /// Metres, kilograms.
    Metric,
}

impl System {
    pub(crate) const fn units(self) -> Units {
        match self {
            Self::Us => Units::Us,
            Self::Metric => Units::Metric,
        }
    }
}

/// Exit 0 if it may be raised, 1 if it must not, 2 if the input cannot be read.
pub(crate) fn run(options: &Options) -> u8 {
    let files = [
        Some(&options.lift),
        options.vehicle.as_ref(),
        options.job.as_ref(),
        options.as_placed.as_ref(),
        options.limits.as_ref(),
    ];
    if files.into_iter().flatten().filter(|f| f.as_os_str() == "-").count() > 1 {
        write::err("error: -: standard input can be only one of the files\n  help: name the others\n");
        return UNREADABLE;
    }
    let inputs: Vec<&Path> = files.into_iter().flatten().map(PathBuf::as_path).collect();
    if let Some(why) = options.outputs.fault(&inputs) {
        write::err(&why);
        return UNREADABLE;
    }
    if let Err(why) = options.quick.instead_of(options.vehicle.as_deref()) {
        write::err(&why);
        return UNREADABLE;
    }
    let open = |path: &Option<PathBuf>| path.as_deref().map(Document::open);
    let lift = Document::open(&options.lift);
    let [job, as_placed, limits] = [&options.job, &options.as_placed, &options.limits].map(open);
    let vehicle = open(&options.vehicle);
    let one_is_missing =
        lift.is_none() || [&vehicle, &job, &as_placed, &limits].into_iter().flatten().any(Option::is_none);
    let files = Files {
        lift,
        quick: vehicle.is_none().then_some(&options.quick),
        vehicle: vehicle.flatten(),
        job: job.flatten(),
        as_placed: as_placed.flatten(),
        limits: limits.flatten(),
        one_is_missing,
    };
    let mut said = String::new();
    let inputs = files.read(&mut said);
    write::err(&said);
    let Some(mut inputs) = inputs else { return UNREADABLE };
    let units = options.units.units();
    let origin = if options.as_placed.is_some() { Origin::AsPlaced } else { Origin::Planned };
    let plan = match inputs.plan() {
        Ok(plan) => plan,
        Err(faults) => {
            write::err(&faults_at_their_lines(&mut inputs, &faults, units));
            return UNREADABLE;
        }
    };
    let Inputs { lift, vehicle, job, limits, setup, .. } = &inputs;
    let other_bays = match (plan.verdict, origin) {
        (Verdict::DoNotRaise, Origin::Planned) => {
            other_bays((&options.lift, &lift.name), vehicle, job, limits)
        }
        _ => None,
    };
    // A plan was made, so these questions are legal as well.
    let chances = options.chance.map(|n| planner::chance(lift, vehicle, job, limits, &plan, n));
    let chances = chances.and_then(Result::ok);
    let measure_next = planner::measure_next(lift, vehicle, job, limits, &plan, setup.as_ref());
    let scene = Scene {
        lift,
        vehicle,
        job,
        limits,
        plan: &plan,
        origin,
        other_bays: other_bays.as_deref(),
        chances: chances.as_ref(),
        measure_next: Some(&measure_next),
    };
    if let Err(why) = options.outputs.write(&scene, units) {
        write::err(&why);
        return UNREADABLE;
    }
    let code = if plan.verdict == Verdict::DoNotRaise { REFUSED } else { FINE };
    if let Some(id) = &options.show_working {
        if id == "list" {
            return write::out(&sheets::workings(&scene), code);
        }
        let Some(text) = sheets::working(&scene, id, units) else {
            write::err(&format!(
                "error: --show-working {id:?}: this plan holds no such check or figure\n  help: {}\n",
                nearest_names(&scene, id)
            ));
            return UNREADABLE;
        };
        write::out(&text, code)
    } else if options.json {
        write::json(&convert::plan::answer(&scene, units), code)
    } else {
        write::out(&sheets::report(&scene, units), code)
    }
}

/// The names of workings that are nearest to one that the plan does not hold.
fn nearest_names(scene: &Scene<'_>, name: &str) -> String {
    let checks = scene.plan.checks.iter().map(|c| c.what.id());
    let mut known: Vec<String> =
        checks.chain(sheets::figures(scene).into_iter().map(|f| f.name(scene))).collect();
    let kinds: Vec<String> = known.iter().filter_map(|k| k.split(':').next().map(Into::into)).collect();
    known.extend(kinds);
    known.sort_unstable();
    known.dedup();
    let asked = name.split('@').next().unwrap_or(name);
    let near = |k: &str| strsim::jaro_winkler(k, asked);
    known.sort_by(|a, b| near(b).total_cmp(&near(a)));
    known.truncate(5);
    let chance = if scene.chances.is_none() && asked.starts_with("chance") {
        "chances are there with --chance; "
    } else {
        ""
    };
    format!("{chance}the nearest are {}; --show-working list names all", known.join(", "))
}

/// The other lifts in the same folder on which the same vehicle may be raised for the same job; `None` if
/// there is no other. Where names coincide the file tells them apart.
fn other_bays(
    (lift, called): (&Path, &str),
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
) -> Option<Vec<OtherBay>> {
    let folder = lift.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let this = lift.canonicalize().ok()?;
    let files = std::fs::read_dir(folder).ok()?.filter_map(|entry| Some(entry.ok()?.path()));
    let mut files: Vec<PathBuf> = files
        .filter(|f| f.extension().is_some_and(|e| e == "toml"))
        .filter(|f| f.is_file() && f.canonicalize().is_ok_and(|f| f != this))
        .collect();
    files.sort();
    let measured = |file: &PathBuf| {
        let mut document = Document::quietly(file)?;
        let lift = document.lift()?;
        (!document.holds_examples()).then(|| (lift, file.clone()))
    };
    let others: Vec<(Lift, PathBuf)> = files.iter().filter_map(measured).collect();
    let named =
        |name: &str| usize::from(name == called) + others.iter().filter(|(o, _)| o.name == name).count();
    let name_of = |(other, file): &(Lift, PathBuf)| match file.file_name() {
        Some(file) if named(&other.name) > 1 => format!("{} ({})", other.name, file.display()),
        _ => other.name.clone(),
    };
    let asked = others.iter().map(|other| (other, planner::verdict(&other.0, vehicle, job, limits)));
    let may = asked.filter_map(|(other, verdict)| match verdict {
        Ok(Verdict::DoNotRaise) | Err(_) => None,
        Ok(verdict) => Some(OtherBay { lift: name_of(other), verdict }),
    });
    (!others.is_empty()).then(|| may.collect())
}

/// Faults that only show when the files come together, each at its line.
pub(crate) fn faults_at_their_lines(inputs: &mut Inputs, faults: &[InputFault], units: Units) -> String {
    let Inputs { vehicle_file, job_file, .. } = inputs;
    let Some(vehicle) = vehicle_file else { return String::new() };
    vehicle.forget();
    job_file.iter_mut().for_each(Document::forget);
    faults.iter().for_each(|f| say(f, units, vehicle, job_file.as_mut()));
    vehicle.report() + &job_file.as_ref().map(Document::report).unwrap_or_default()
}

/// Puts a fault that only shows when the files come together at the line where it is cured.
fn say(fault: &InputFault, units: Units, vehicle: &mut Document, job: Option<&mut Document>) {
    let message = words::input_fault(fault, units);
    match (fault, job) {
        (InputFault::LongerThanBay { .. }, _) => vehicle.error_at(
            &["outline", "length"],
            message,
            "measure `length` in [outline] of the vehicle and `ahead` and `behind` in [bay] of the lift again, or take a longer bay",
        ),
        (
            InputFault::State(
                StateFault::NoMass { part: Some(part), .. } | StateFault::CgLeaves { part: Some(part), .. },
            ),
            Some(job),
        ) => {
            let help = "check `mass` and `at` of this part, and of what comes off before it; `at` is [behind the front axle, left of centre, above the ground]";
            // The job's part is the one that is used where both name it.
            if !job.error_at_part(part, &message, help) && !vehicle.error_at_part(part, &message, help) {
                job.error_at(&["steps"], message, help);
            }
        }
        (InputFault::State(StateFault::NoMass { .. } | StateFault::CgLeaves { .. }), Some(job)) => {
            job.error_at(&["steps"], message, "check masses and places of the parts and loads, here and in the vehicle's file");
        }
        (InputFault::State(StateFault::OffItsWheels(_)), Some(job)) => {
            job.error_at(&["loads"], message, "check masses and places of the loads: [behind the front axle, left of centre, above the ground]");
        }
        (InputFault::State(_), Some(job)) => {
            job.error_at(&["steps"], message, "take one step out, or change the order of the steps");
        }
        (InputFault::NoSuchDoor(_), Some(job)) => {
            job.error_at(&["doors"], message, "write the vehicle file's name of the door");
        }
        (InputFault::NoSuchState { .. }, Some(job)) => {
            job.error_at(&["tasks"], message, "write the state as the step makes it, such as \"rear axle off\"");
        }
        (InputFault::NoDirection { .. }, Some(job)) => {
            job.error_at(&["tasks"], message, "write direction = [aft, left, up]: [0, 0, 1] is straight up");
        }
        (InputFault::State(_), None) => vehicle.error_at(&["weight"], message, "check [weight] and cg_height"),
        (_, _) => vehicle.error_at(&["lift_areas"], message, "see the vehicle maker's manual"),
    }
}
