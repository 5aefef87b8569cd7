//! What can be planned with, and the plans that were made of it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use planner::{Plan, Setup};
use records::{Book, Digest, LiftId, VehicleId};
use sheets::drawing::screen::Window;
use sheets::{Origin, Scene, Units};

use super::fault::Fault;
use super::house::House;
use crate::desk::kept;
use crate::document::Document;
use crate::input::Source;
use crate::planning::{Files, Inputs};
use crate::verb::plan::faults_at_their_lines;

/// Plans that are remembered; the oldest is forgotten first.
const MOST: usize = 200;

/// Something to pick.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    /// Its name in the book, or of the demonstration.
    pub(crate) id: String,
    /// What a person reads.
    pub(crate) name: String,
}

/// What there is to pick from.
pub(crate) struct Choices {
    pub(crate) lifts: Vec<Choice>,
    pub(crate) vehicles: Vec<Choice>,
    pub(crate) jobs: Vec<Choice>,
    /// Whether it is the invented workshop's, for want of any of the shop's own.
    pub(crate) invented: bool,
}

/// Which lift, vehicle and job, by their names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Asked {
    pub(crate) lift: String,
    pub(crate) vehicle: String,
    /// Empty = raised and lowered only.
    pub(crate) job: String,
}

/// A plan with what it was made from, to check other setups of the same against.
pub(crate) struct Worked {
    pub(crate) inputs: Inputs,
    pub(crate) plan: Plan,
    pub(crate) window: Window,
}

impl Worked {
    fn of(mut inputs: Inputs) -> Result<Self, Fault> {
        let plan = inputs
            .plan()
            .map_err(|faults| Fault::Bad(vec![faults_at_their_lines(&mut inputs, &faults, Units::Metric)]))?;
        let window = Window::of(&scene(&inputs, &plan, Origin::Planned));
        Ok(Self { inputs, plan, window })
    }

    pub(crate) fn scene(&self) -> Scene<'_> {
        scene(&self.inputs, &self.plan, Origin::Planned)
    }

    /// The same lift, vehicle and job with another setup.
    pub(crate) fn checked(&self, setup: &Setup) -> Result<Plan, Fault> {
        let Inputs { lift, vehicle, job, limits, .. } = &self.inputs;
        planner::as_placed(lift, vehicle, job, limits, setup).map_err(|faults| unusable(&faults))
    }

    /// The same with what one failure leaves, and what would mend it: it is planned anew, which takes its time.
    pub(crate) fn judged(&self, setup: &Setup) -> Result<Plan, Fault> {
        let Inputs { lift, vehicle, job, limits, .. } = &self.inputs;
        planner::as_placed_with_cures(lift, vehicle, job, limits, setup).map_err(|faults| unusable(&faults))
    }

    /// As a scene of a setup that somebody moved.
    pub(crate) fn moved<'a>(&'a self, plan: &'a Plan) -> Scene<'a> {
        scene(&self.inputs, plan, Origin::AsPlaced)
    }
}

fn unusable(faults: &[planner::InputFault]) -> Fault {
    Fault::Bad(faults.iter().map(|f| sheets::words::input_fault(f, Units::Metric)).collect())
}

fn scene<'a>(inputs: &'a Inputs, plan: &'a Plan, origin: Origin) -> Scene<'a> {
    let Inputs { lift, vehicle, job, limits, .. } = inputs;
    Scene { lift, vehicle, job, limits, plan, origin, other_bays: None, chances: None, measure_next: None }
}

/// Plans by the texts that they were made from.
#[derive(Default)]
pub(crate) struct Shelf {
    plans: Mutex<Vec<(Digest, Arc<Worked>)>>,
}

impl Shelf {
    fn find(&self, key: Digest) -> Option<Arc<Worked>> {
        let mut plans = self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        let at = plans.iter().position(|(k, _)| *k == key)?;
        let found = plans.remove(at);
        let worked = Arc::clone(&found.1);
        plans.push(found);
        Some(worked)
    }

    fn keep(&self, key: Digest, worked: &Arc<Worked>) {
        let mut plans = self.plans.lock().unwrap_or_else(PoisonError::into_inner);
        plans.push((key, Arc::clone(worked)));
        let too_many = plans.len().saturating_sub(MOST);
        plans.drain(..too_many);
    }
}

/// The plan of these texts, made now or before.
pub(crate) async fn worked(house: &House, texts: BTreeMap<&'static str, String>) -> Result<Arc<Worked>, Fault> {
    let key = Digest::of(&format!("{texts:?}"));
    if let Some(worked) = house.shelf.find(key) {
        return Ok(worked);
    }
    let made = tokio::task::spawn_blocking(move || Worked::of(read(&texts)?)).await;
    let worked = Arc::new(made.map_err(|_| Fault::Broken(vec!["The plan could not be computed.".into()]))??);
    house.shelf.keep(key, &worked);
    Ok(worked)
}

fn read(texts: &BTreeMap<&'static str, String>) -> Result<Inputs, Fault> {
    let document = |what: &str| texts.get(what).map(|text| Document::of(Source::new(what, text.as_str())));
    let files = Files { lift: document("lift"), vehicle: document("vehicle"), job: document("job"), ..Files::default() };
    let mut said = String::new();
    files.read(&mut said).ok_or_else(|| Fault::Bad(said.lines().map(str::to_owned).collect()))
}

/// What the shop has; nothing of its own yet = what the invented workshop has.
pub(crate) async fn choices(house: &House) -> Result<Choices, Fault> {
    let own = match house.book().await {
        Ok(book) => own(&book).await?,
        Err(Fault::NoBook) => None,
        Err(fault) => return Err(fault),
    };
    Ok(own.unwrap_or_else(|| {
        let all = |kind: &str| demo::ALL.iter().filter(|d| d.0 == kind).map(|d| demo::choice(d.1, d.2)).collect();
        Choices { lifts: all("lift"), vehicles: all("vehicle"), jobs: all("job"), invented: true }
    }))
}

async fn own(book: &Book) -> Result<Option<Choices>, Fault> {
    let shop = book.shop().await?;
    if shop.lifts.is_empty() || shop.vehicles.is_empty() {
        return Ok(None);
    }
    let named = |id: String| Choice { name: id.clone(), id };
    Ok(Some(Choices {
        lifts: shop.lifts.keys().map(ToString::to_string).map(named).collect(),
        vehicles: shop.vehicles.keys().map(ToString::to_string).map(named).collect(),
        jobs: demo::jobs(),
        invented: false,
    }))
}

/// Their texts.
pub(crate) async fn texts(house: &House, asked: &Asked) -> Result<BTreeMap<&'static str, String>, Fault> {
    let mut texts = BTreeMap::new();
    for (kind, id) in [("lift", &asked.lift), ("vehicle", &asked.vehicle), ("job", &asked.job)] {
        if kind == "job" && id.is_empty() {
            continue;
        }
        let own = match house.book().await {
            Ok(book) => own_text(&book, kind, id).await?,
            Err(_) => None,
        };
        let text = own.or_else(|| demo::text(kind, id).map(str::to_owned));
        let none = || Fault::NotFound(format!("There is no {kind} “{id}” here."));
        texts.insert(kind, text.ok_or_else(none)?);
    }
    Ok(texts)
}

/// The text of a job.
pub(crate) async fn job(house: &House, id: &str) -> Result<String, Fault> {
    let own = own_text(&*house.book().await?, "job", id).await?;
    let none = || Fault::NotFound(format!("There is no job “{id}” here."));
    own.or_else(|| demo::text("job", id).map(str::to_owned)).ok_or_else(none)
}

pub(crate) async fn own_text(book: &Book, kind: &str, id: &str) -> Result<Option<String>, Fault> {
    let shop = book.shop().await?;
    let file = match kind {
        "lift" => id.parse::<LiftId>().ok().and_then(|id| shop.lifts.get(&id).map(|lift| lift.file)),
        "vehicle" => id.parse::<VehicleId>().ok().and_then(|id| shop.vehicles.get(&id).copied()),
        _ => None,
    };
    match file {
        None => Ok(None),
        Some(digest) => Ok(Some(kept(book, digest).await?.text().to_owned())),
    }
}

/// The invented workshop, carried in the program.
pub(crate) mod demo {
    use super::Choice;

    macro_rules! demo {
        ($($kind:literal $folder:literal $id:literal),* $(,)?) => {
            [$(($kind, $id, include_str!(concat!("../../../../demo/", $folder, "/", $id, ".toml")))),*]
        };
    }

    /// Kind, name, text.
    pub(crate) const ALL: [(&str, &str, &str); 17] = demo![
        "lift" "lifts" "north-bay",
        "lift" "lifts" "mill-bay",
        "lift" "lifts" "long-bay",
        "vehicle" "vehicles" "hatchback",
        "vehicle" "vehicles" "long-van",
        "vehicle" "vehicles" "pickup",
        "vehicle" "vehicles" "battery-hatch",
        "vehicle" "vehicles" "sports-coupe",
        "vehicle" "vehicles" "recovery-truck",
        "job" "jobs" "brakes",
        "job" "jobs" "rear-axle-off",
        "job" "jobs" "battery-pack-out",
        "job" "jobs" "engine-and-gearbox-out",
        "job" "jobs" "loaded-van-exhaust",
        "job" "jobs" "front-end-off",
        "job" "jobs" "front-end-off-on-stands",
        "job" "jobs" "strip-the-shell",
    ];

    /// Its jobs, as long as a shop has none of its own.
    pub(super) fn jobs() -> Vec<Choice> {
        ALL.iter().filter(|d| d.0 == "job").map(|d| choice(d.1, d.2)).collect()
    }

    pub(crate) fn text(kind: &str, id: &str) -> Option<&'static str> {
        ALL.iter().find(|d| d.0 == kind && d.1 == id).map(|d| d.2)
    }

    /// Named as its file names it.
    pub(crate) fn choice(id: &str, text: &str) -> Choice {
        let name = text.lines().find_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'));
        Choice { id: id.to_owned(), name: name.unwrap_or(id).to_owned() }
    }
}
