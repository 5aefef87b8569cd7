//! Planning with what the book holds, and the same again to the byte.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;
use planner::plan::Verdict;
use planner::{InputFault, Job, Limits, Plan};
use records::{
    Book, Command, Digest, Document as Kept, Fact, Failure, JobId, KeptPlan, LiftId, NewPlan, Outline, Raise,
    RaiseNumber, Refusal, VehicleId,
};
use sheets::{Origin, Scene, Units};

use super::measured;
use crate::cli::{FINE, REFUSED, UNREADABLE};
use crate::desk::{Before, Done, Ended, Place, kept};
use crate::document::Document;
use crate::input::Source;
use crate::planning::{Files, Inputs};
use crate::verb::plan::{System, faults_at_their_lines};
use crate::{convert, write};

/// The program that plans.
pub(super) const PROGRAM: &str = concat!("standfast ", env!("CARGO_PKG_VERSION"));

/// What to plan.
#[derive(Args, Debug)]
pub(crate) struct Start {
    #[command(flatten)]
    at: Before,
    /// The lift, by its name in the book.
    #[arg(long, value_name = "NAME")]
    lift: LiftId,
    /// The vehicle, by its name in the book.
    #[arg(long, value_name = "NAME")]
    vehicle: VehicleId,
    /// The job, by its name in the book, or its file; left out = only raised and lowered.
    #[arg(long, value_name = "NAME|FILE")]
    job: Option<PathBuf>,
    /// Other limits than those that the book holds. No raise is begun with them where it holds any; where it holds none, only
    /// by who may set the shop's limits.
    #[arg(long, value_name = "FILE")]
    limits: Option<PathBuf>,
    /// A setup as it was measured, instead of searching for one.
    #[arg(long, value_name = "FILE")]
    as_placed: Option<PathBuf>,
    /// Units of the report.
    #[arg(long, value_enum, default_value_t = System::Metric)]
    units: System,
    /// Answer as JSON, without the report.
    #[arg(long)]
    json: bool,
}

/// A plan, with what it was made from.
pub(crate) struct Planned {
    pub(crate) inputs: Inputs,
    pub(crate) plan: Plan,
}

impl Planned {
    /// From the exact texts, by what they are.
    pub(crate) fn of(texts: &BTreeMap<String, String>, said: &mut String) -> Option<Self> {
        Self::plan(read(texts, said)?, texts, said)
    }

    /// The plan, or the check of the setup as placed.
    pub(crate) fn plan(inputs: Inputs, texts: &BTreeMap<String, String>, said: &mut String) -> Option<Self> {
        Self::with(inputs, texts, said, Inputs::plan)
    }

    pub(super) fn with(
        mut inputs: Inputs,
        texts: &BTreeMap<String, String>,
        said: &mut String,
        plan: impl FnOnce(&Inputs) -> Result<Plan, Vec<InputFault>>,
    ) -> Option<Self> {
        let measured = texts.get(measured::INPUT).map(String::as_str);
        match plan(&inputs) {
            Ok(mut plan) => {
                plan.assumptions.extend(measured.map(measured::assumptions).unwrap_or_default());
                Some(Self { inputs, plan })
            }
            Err(faults) => {
                *said += &faults_at_their_lines(&mut inputs, &faults, Units::Metric);
                None
            }
        }
    }

    pub(crate) fn scene(&self) -> Scene<'_> {
        let Inputs { lift, vehicle, job, limits, setup, .. } = &self.inputs;
        Scene {
            lift,
            vehicle,
            job,
            limits,
            plan: &self.plan,
            origin: if setup.is_some() { Origin::AsPlaced } else { Origin::Planned },
            other_bays: None,
            chances: None,
            measure_next: None,
        }
    }

    /// The answer as it is kept: always in metric units.
    pub(super) fn answer(&self) -> Result<serde_json::Value, Ended> {
        answer(&self.scene()).map_err(|fault| {
            Ended::bad(&format!("the answer cannot be written as JSON: {fault}"), "try again")
        })
    }

    /// As the book keeps it, with the exact texts that it was made from.
    pub(crate) fn to_keep(
        &self,
        lift: &LiftId,
        vehicle: &VehicleId,
        texts: BTreeMap<String, String>,
    ) -> Result<NewPlan, Ended> {
        let Inputs { job, lift: lift_as_read, .. } = &self.inputs;
        Ok(NewPlan {
            lift: lift.clone(),
            vehicle: vehicle.clone(),
            job: job.name.clone(),
            program: PROGRAM.to_owned(),
            may_be_raised: self.may_be_raised(),
            measured: measured::events(texts.get(measured::INPUT)),
            inputs: texts.into_iter().map(|(what, text)| (what, Kept::new(text))).collect(),
            answer: Kept::new(text_of(&self.answer()?)),
            outline: Outline::of(&self.plan, job, lift_as_read),
        })
    }

    /// Whether it is the plan that is kept, to the byte.
    pub(crate) fn is(&self, plan: &KeptPlan) -> Result<bool, Ended> {
        let mut outline = Outline::of(&self.plan, &self.inputs.job, &self.inputs.lift);
        // An older program wrote none down.
        if plan.outline.parts.is_empty() {
            outline.parts.clear();
        }
        Ok(Digest::of(&text_of(&self.answer()?)) == plan.answer && outline == plan.outline)
    }

    pub(super) fn may_be_raised(&self) -> bool {
        self.plan.verdict != Verdict::DoNotRaise
    }
}

/// Reads the exact texts, by what they are.
pub(crate) fn read(texts: &BTreeMap<String, String>, said: &mut String) -> Option<Inputs> {
    let open = |what: &str| texts.get(what).map(|text| Document::of(Source::new(what, text.as_str())));
    let vehicle = match (texts.get("vehicle"), texts.get(measured::INPUT)) {
        (Some(file), Some(measured)) => match measured::merged(file, measured) {
            Ok(source) => Some(Document::of(source)),
            Err(why) => {
                *said += &why;
                return None;
            }
        },
        _ => open("vehicle"),
    };
    let files = Files {
        lift: open("lift"),
        vehicle,
        job: open("job"),
        limits: open("limits"),
        as_placed: open("as-placed"),
        ..Files::default()
    };
    files.read(said)
}

/// The answer of a plan as it is kept: always in metric units, and without what was asked besides.
fn answer(scene: &Scene<'_>) -> serde_json::Result<serde_json::Value> {
    let bare = Scene { other_bays: None, chances: None, measure_next: None, ..*scene };
    serde_json::to_value(convert::plan::answer(&bare, Units::Metric))
}

/// The digest of that answer, whether it is kept or not.
pub(crate) fn digest(scene: &Scene<'_>) -> serde_json::Result<Digest> {
    answer(scene).map(|answer| Digest::of(&text_of(&answer)))
}

/// A text as JSON, the same each time.
pub(super) fn text_of(value: &serde_json::Value) -> String {
    format!("{value:#}\n")
}

pub(super) async fn start(start: &Start) -> Done {
    let desk = start.at.open().await?;
    let (planned, new) = start.plan(&desk.book).await?;
    let begun = desk.act(&Command::BeginRaise(new)).await;
    // What the lift's state, a role or anything but the plan forbids is not offered under conditions.
    let offered = match &begun {
        Err(Failure::Refused(why)) => why.iter().all(|r| *r == Refusal::PlanForbids),
        other => other.is_ok(),
    };
    if offered && !start.json {
        write::out(&(sheets::report(&planned.scene(), start.units.units()) + "\n"), FINE);
    }
    let events = begun?;
    let begun = events.iter().find_map(|e| match e.fact {
        Fact::RaiseBegun { raise, .. } => Some(raise),
        _ => None,
    });
    super::after(&desk, begun.unwrap_or(RaiseNumber(0)), start.json).await
}

pub(super) async fn keep(keep: &Start) -> Done {
    let desk = keep.at.open().await?;
    let (planned, new) = keep.plan(&desk.book).await?;
    let code = if planned.may_be_raised() { FINE } else { REFUSED };
    let answer = new.answer.text().to_owned();
    let events = desk.act(&Command::KeepPlan(new)).await?;
    if let Some(Fact::PlanKept { plan }) = events.last().map(|event| &event.fact) {
        write::err(&super::cautions(&desk.book, plan, &planned.scene()).await?);
    }
    let text = if keep.json { answer } else { sheets::report(&planned.scene(), keep.units.units()) };
    Ok(write::out(&text, code))
}

impl Start {
    async fn plan(&self, book: &Book) -> Result<(Planned, NewPlan), Ended> {
        let mut texts = BTreeMap::new();
        if let Some(job) = &self.job {
            texts.insert("job".to_owned(), self.job(book, job).await?);
        }
        let files = [("limits", &self.limits), ("as-placed", &self.as_placed)];
        for (what, path) in files.into_iter().filter_map(|(what, path)| Some((what, path.as_ref()?))) {
            texts.insert(what.to_owned(), text_in(path)?);
        }
        planned(book, &self.lift, &self.vehicle, texts).await
    }

    /// A name of the book before a file that happens to be called so.
    async fn job(&self, book: &Book, said: &Path) -> Result<String, Ended> {
        match said.to_str().and_then(|text| text.parse::<JobId>().ok()) {
            Some(job) if book.shop().await?.jobs.contains_key(&job) || !said.exists() => {
                job_of(book, &job).await
            }
            _ => text_in(said),
        }
    }
}

/// A job as the book holds it.
pub(crate) async fn job_of(book: &Book, job: &JobId) -> Result<String, Ended> {
    let unknown = || Failure::Refused(vec![Refusal::UnknownJob(job.clone())]);
    let file = book.shop().await?.jobs.get(job).copied().ok_or_else(unknown)?;
    Ok(kept(book, file).await?.text().to_owned())
}

/// The shop's own limits, if the book holds any.
pub(crate) async fn limits_of(book: &Book) -> Result<Option<String>, Ended> {
    match book.shop().await?.limits {
        None => Ok(None),
        Some(file) => Ok(Some(kept(book, file).await?.text().to_owned())),
    }
}

/// Told where a file of limits says what holds already.
pub(crate) const AS_IN_FORCE: &str = "Nothing was changed: these limits are in force already.";

/// Whether a file sets every limit as it is in force, from the same source: entering it would hold up what is under way for
/// nothing, unless by that file what is held up was planned.
pub(crate) async fn is_in_force(book: &Book, text: &str) -> Result<bool, Ended> {
    let limits = |text: &str| Document::of(Source::new("limits", text)).limits();
    let now = match limits_of(book).await? {
        Some(text) => limits(&text),
        None => Some(Limits::default()),
    };
    let shop = book.shop().await?;
    let file = Some(Kept::new(text).digest());
    let cures = |raise: &Raise| shop.limits != file && raise.plan.inputs.get("limits") == file.as_ref();
    Ok(now.is_some() && now == limits(text) && !shop.raises.values().any(cures))
}

/// What the book holds of a lift and a vehicle, what was measured since and the shop's own limits included.
pub(crate) async fn texts_of(
    book: &Book,
    lift: &LiftId,
    vehicle: &VehicleId,
) -> Result<BTreeMap<String, String>, Ended> {
    let shop = book.shop().await?;
    let lift_file = shop.lifts.get(lift).map(|l| l.file);
    let vehicle_file = shop.fleet.vehicles.get(vehicle).copied();
    let (Some(lift_file), Some(vehicle_file)) = (lift_file, vehicle_file) else {
        let lacks_lift = lift_file.is_none().then(|| Refusal::UnknownLift(lift.clone()));
        let lacks_vehicle = vehicle_file.is_none().then(|| Refusal::UnknownVehicle(vehicle.clone()));
        return Err(Failure::Refused(lacks_lift.into_iter().chain(lacks_vehicle).collect()).into());
    };
    let mut texts = BTreeMap::from([
        ("lift".to_owned(), kept(book, lift_file).await?.text().to_owned()),
        ("vehicle".to_owned(), kept(book, vehicle_file).await?.text().to_owned()),
    ]);
    let measured = measured::in_force(book, &shop, vehicle).await?;
    texts.extend(measured.map(|text| (measured::INPUT.to_owned(), text)));
    texts.extend(limits_of(book).await?.map(|text| ("limits".to_owned(), text)));
    Ok(texts)
}

/// Every lift of the book by its name, and every vehicle with what was measured of it.
pub(crate) async fn fleet_of(book: &Book) -> Result<[Vec<(String, Source)>; 2], Ended> {
    let shop = book.shop().await?;
    let (mut lifts, mut vehicles) = (vec![], vec![]);
    for (name, lift) in &shop.lifts {
        lifts.push((name.to_string(), Source::new(name.to_string(), kept(book, lift.file).await?.text())));
    }
    for (name, file) in &shop.fleet.vehicles {
        let file = kept(book, *file).await?;
        let source = match measured::in_force(book, &shop, name).await? {
            None => Source::new(name.to_string(), file.text()),
            Some(figures) => {
                measured::merged(file.text(), &figures).map_err(|why| Ended::Said(why, UNREADABLE))?
            }
        };
        vehicles.push((name.to_string(), source));
    }
    Ok([lifts, vehicles])
}

/// A plan of what the book holds, with what else there is: job, other limits, setup as placed.
async fn planned(
    book: &Book,
    lift: &LiftId,
    vehicle: &VehicleId,
    others: BTreeMap<String, String>,
) -> Result<(Planned, NewPlan), Ended> {
    let mut texts = texts_of(book, lift, vehicle).await?;
    texts.extend(others);
    let mut said = String::new();
    let planned = Planned::of(&texts, &mut said);
    let planned = match planned {
        Some(planned) => {
            write::err(&said);
            planned
        }
        None => return Err(Ended::Said(said, UNREADABLE)),
    };
    let new = planned.to_keep(lift, vehicle, texts)?;
    Ok((planned, new))
}

fn text_in(path: &Path) -> Result<String, Ended> {
    let document = Document::open(path).ok_or(Ended::Said(String::new(), UNREADABLE))?;
    Ok(document.source.text)
}

/// The exact texts that a plan was made from.
pub(crate) async fn texts(book: &Book, plan: &KeptPlan) -> Result<BTreeMap<String, String>, Ended> {
    let mut texts = BTreeMap::new();
    for (what, digest) in &plan.inputs {
        texts.insert(what.clone(), kept(book, *digest).await?.text().to_owned());
    }
    Ok(texts)
}

/// The job with its steps in the order that is led.
pub(super) fn in_led_order(job: &Job, outline: &Outline) -> Job {
    let mut left: Vec<Option<&planner::job::Step>> = job.steps.iter().map(Some).collect();
    let mut steps = vec![];
    for name in &outline.steps {
        let found = left.iter_mut().find(|s| s.is_some_and(|s| s.state_name() == *name));
        steps.extend(found.and_then(Option::take).cloned());
    }
    steps.extend(left.into_iter().flatten().cloned());
    Job { steps, ..job.clone() }
}

pub(super) async fn show(place: &Place, raise: Option<u64>, units: System) -> Done {
    let book = place.open().await?;
    let shop = book.shop().await?;
    let number = super::which(&shop, raise, None)?;
    let raise = super::open_raise(&shop, number)?;
    let now = super::Now::of(&book, number, raise, units.units()).await?;
    let since = measured::is_since(&book, number, &raise.plan).await?;
    if let Some(scene) = now.scene().filter(|_| since) {
        write::err(
            "CAUTION: As it is led now, by what was measured since the raise began; the book keeps the plan.\n",
        );
        return Ok(write::out(&sheets::report(&scene, units.units()), FINE));
    }
    let plan = &raise.plan;
    let mut said = String::new();
    let planned = Planned::of(&texts(&book, plan).await?, &mut said);
    write::err(&said);
    let planned = planned.ok_or(Ended::Said(String::new(), UNREADABLE))?;
    Ok(write::out(&sheets::report(&planned.scene(), units.units()), FINE))
}

/// What comes of computing a kept plan again.
pub(crate) enum Recomputed {
    /// The same bytes.
    Same,
    /// Other bytes, though the same program made it.
    Differs,
    /// Other bytes, and another program made it.
    OtherProgram(String),
    /// Its inputs can no longer be planned with.
    NotPlanned(String),
}

/// Computes a kept plan again from its exact inputs.
pub(crate) async fn recomputed(book: &Book, plan: &KeptPlan) -> Result<Recomputed, Ended> {
    let mut said = String::new();
    let Some(planned) = Planned::of(&texts(book, plan).await?, &mut said) else {
        return Ok(Recomputed::NotPlanned(said));
    };
    Ok(Recomputed::of(planned.is(plan)?, &plan.program))
}

impl Recomputed {
    /// Other bytes of another program prove nothing.
    pub(super) fn of(same: bool, program: &str) -> Self {
        match (same, program == PROGRAM) {
            (true, _) => Self::Same,
            (false, true) => Self::Differs,
            (false, false) => Self::OtherProgram(program.to_owned()),
        }
    }
}
