//! What can be planned with, and the plans that were made of it.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use planner::{Plan, Setup};
use records::{Book, Digest, LiftId, VehicleId};
use sheets::drawing::screen::Window;
use sheets::{Origin, Scene, Units};

use super::fault::Fault;
use super::house::House;
use crate::planning::Inputs;
use crate::verb::raise::{Planned, texts_of};

/// What a plan is made from, by what it is: lift, vehicle, job.
pub(crate) type Texts = BTreeMap<String, String>;

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
    planned: Planned,
    pub(crate) window: Window,
}

impl Worked {
    fn of(texts: &Texts) -> Result<Self, Fault> {
        let mut said = String::new();
        let planned = Planned::of(texts, &mut said);
        let planned = planned.ok_or_else(|| Fault::Bad(said.lines().map(str::to_owned).collect()))?;
        let window = Window::of(&planned.scene());
        Ok(Self { planned, window })
    }

    /// As it was planned.
    pub(crate) const fn plan(&self) -> &Plan {
        &self.planned.plan
    }

    pub(crate) fn scene(&self) -> Scene<'_> {
        self.planned.scene()
    }

    /// The same lift, vehicle and job with another setup.
    pub(crate) fn checked(&self, setup: &Setup) -> Result<Plan, Fault> {
        let Inputs { lift, vehicle, job, limits, .. } = &self.planned.inputs;
        planner::as_placed(lift, vehicle, job, limits, setup).map_err(|faults| {
            Fault::Bad(faults.iter().map(|f| sheets::words::input_fault(f, Units::Metric)).collect())
        })
    }

    /// As a scene of a setup that somebody moved.
    pub(crate) fn moved<'a>(&'a self, plan: &'a Plan) -> Scene<'a> {
        Scene { plan, origin: Origin::AsPlaced, ..self.planned.scene() }
    }
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
pub(crate) async fn worked(house: &House, texts: Texts) -> Result<Arc<Worked>, Fault> {
    let key = Digest::of(&format!("{texts:?}"));
    if let Some(worked) = house.shelf.find(key) {
        return Ok(worked);
    }
    let made = tokio::task::spawn_blocking(move || Worked::of(&texts)).await;
    let worked = Arc::new(made.map_err(|_| Fault::Broken(vec!["The plan could not be computed.".into()]))??);
    house.shelf.keep(key, &worked);
    Ok(worked)
}

/// What the shop has; nothing of its own yet = what the invented workshop has.
pub(crate) async fn choices(house: &House) -> Result<Choices, Fault> {
    let own = match house.book().await {
        Ok(book) => own(&book).await?,
        Err(Fault::NoBook) => None,
        Err(fault) => return Err(fault),
    };
    Ok(own.unwrap_or_else(|| {
        let all =
            |kind: &str| demo::ALL.iter().filter(|d| d.0 == kind).map(|d| demo::choice(d.1, d.2)).collect();
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

/// Their texts: the shop's own, else the invented workshop's.
pub(crate) async fn texts(house: &House, asked: &Asked) -> Result<Texts, Fault> {
    let mut texts = match own_texts(house, asked).await? {
        Some(own) => own,
        None => {
            let mut texts = Texts::new();
            for (kind, id) in [("lift", &asked.lift), ("vehicle", &asked.vehicle)] {
                let none = || Fault::NotFound(format!("There is no {kind} “{id}” here."));
                texts.insert(kind.into(), demo::text(kind, id).ok_or_else(none)?.to_owned());
            }
            texts
        }
    };
    if !asked.job.is_empty() {
        texts.insert("job".into(), job(house, &asked.job).await?);
    }
    Ok(texts)
}

/// Of the book, where it holds both.
async fn own_texts(house: &House, asked: &Asked) -> Result<Option<Texts>, Fault> {
    let book = match house.book().await {
        Ok(book) => book,
        Err(Fault::NoBook) => return Ok(None),
        Err(fault) => return Err(fault),
    };
    let (Ok(lift), Ok(vehicle)) = (asked.lift.parse::<LiftId>(), asked.vehicle.parse::<VehicleId>()) else {
        return Ok(None);
    };
    let shop = book.shop().await?;
    if !shop.lifts.contains_key(&lift) || !shop.vehicles.contains_key(&vehicle) {
        return Ok(None);
    }
    Ok(Some(texts_of(&book, &lift, &vehicle).await?))
}

/// The text of a job.
pub(crate) async fn job(_house: &House, id: &str) -> Result<String, Fault> {
    let none = || Fault::NotFound(format!("There is no job “{id}” here."));
    demo::text("job", id).map(str::to_owned).ok_or_else(none)
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
    pub(super) fn choice(id: &str, text: &str) -> Choice {
        let name = text.lines().find_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'));
        Choice { id: id.to_owned(), name: name.unwrap_or(id).to_owned() }
    }
}
