//! What can be planned with, and the plans that were made of it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, Mutex, PoisonError};

use planner::plan::{Besides, Change, Verdict};
use planner::{Plan, Setup};
use records::{Book, Digest, Hall, JobId, KeptPlan, LiftId, NewPlan, Shop, VehicleId};
use schemars::JsonSchema;
use serde::Deserialize;
use sheets::drawing::screen::Window;
use sheets::{Origin, Scene, Units, words};

use super::fault::Fault;
use super::house::House;
use super::measure;
use crate::desk::kept;
use crate::planning::Inputs;
use crate::told;
use crate::verb::raise::{self as led, INPUT, Planned, job_of, limits_of, texts_of};

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
    /// Of which kinds the invented workshop's are offered, for want of any of the shop's own.
    pub(crate) invented: Vec<&'static str>,
}

impl Choices {
    /// Vehicles whose mark holds what was typed, whatever stands between its letters and digits.
    pub(crate) fn found(&self, typed: &str) -> Vec<&Choice> {
        let plain =
            |text: &str| text.chars().filter(char::is_ascii_alphanumeric).collect::<String>().to_lowercase();
        let sought = plain(typed);
        let holds = |choice: &&Choice| {
            let (id, name) = (plain(&choice.id), plain(&choice.name));
            !sought.is_empty() && (id.contains(&sought) || name.contains(&sought))
        };
        let all: Vec<&Choice> = self.vehicles.iter().filter(holds).collect();
        match all.iter().find(|choice| plain(&choice.id) == sought || plain(&choice.name) == sought) {
            Some(exact) => vec![exact],
            None => all,
        }
    }
}

/// Which lift, vehicle and job, by their names.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Asked {
    /// The lift.
    pub(crate) lift: String,
    /// The vehicle.
    pub(crate) vehicle: String,
    /// The job; empty = raised and lowered only.
    #[serde(default)]
    pub(crate) job: String,
}

impl Asked {
    /// Whether the vehicle is in no book, only its figures are known.
    pub(crate) fn is_quick(&self) -> bool {
        measure::quick::fields(&self.vehicle).is_some()
    }
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
        let planned = planned.ok_or_else(|| Fault::Bad(told::reasons(&said)))?;
        let window = Window::of(&planned.scene());
        Ok(Self { planned, window })
    }

    /// What it was planned from.
    pub(crate) const fn inputs(&self) -> &Inputs {
        &self.planned.inputs
    }

    /// As it was planned.
    pub(crate) const fn plan(&self) -> &Plan {
        &self.planned.plan
    }

    pub(crate) fn scene(&self) -> Scene<'_> {
        self.planned.scene()
    }

    /// Whether it is the plan that the book keeps, to the byte.
    pub(crate) fn is(&self, plan: &KeptPlan) -> Result<bool, Fault> {
        Ok(self.planned.is(plan)?)
    }

    /// The same lift, vehicle and job with another setup.
    pub(crate) fn checked(&self, setup: &Setup) -> Result<Plan, Fault> {
        let Inputs { lift, vehicle, job, limits, .. } = &self.planned.inputs;
        planner::as_placed(lift, vehicle, job, limits, setup).map_err(|faults| unusable(&faults))
    }

    /// The same; of a refused one whether the best setup would pass, else what the plan itself would need.
    pub(crate) fn answered(&self, setup: &Setup) -> Result<Plan, Fault> {
        let plan = self.checked(setup)?;
        let best = self.plan();
        let change = match best.verdict {
            _ if plan.verdict != Verdict::DoNotRaise => None,
            Verdict::DoNotRaise => best.change.clone(),
            Verdict::Raise | Verdict::RaiseWithConditions => {
                let besides = Besides::of(best, &self.planned.inputs.job);
                Some(Change::SetAnew(best.placement, besides))
            }
        };
        Ok(Plan { change, ..plan })
    }

    /// The same with what one failure leaves, and what would mend it: it is planned anew, which takes its time.
    pub(crate) fn judged(&self, setup: &Setup) -> Result<Plan, Fault> {
        let Inputs { lift, vehicle, job, limits, .. } = &self.planned.inputs;
        planner::as_placed_with_cures(lift, vehicle, job, limits, setup).map_err(|faults| unusable(&faults))
    }

    /// As a scene of a setup that somebody moved, if somebody did.
    pub(crate) fn shown<'a>(&'a self, moved: Option<&'a Plan>) -> Scene<'a> {
        moved.map_or_else(|| self.scene(), |plan| self.moved(plan))
    }

    /// As a scene of a setup that somebody moved.
    pub(crate) fn moved<'a>(&'a self, plan: &'a Plan) -> Scene<'a> {
        Scene { plan, origin: Origin::AsPlaced, ..self.planned.scene() }
    }
}

fn unusable(faults: &[planner::InputFault]) -> Fault {
    Fault::Bad(faults.iter().map(|f| words::input_fault(f, Units::Metric)).collect())
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

/// What the book keeps of a plan of its own lift and vehicle, as planned or with a setup as placed.
///
/// Of a plan that was `seen`, if one was: where it would be another now, that is the reason why not.
pub(crate) async fn to_keep(
    house: &House,
    asked: &Asked,
    as_placed: Option<String>,
    seen: &str,
) -> Result<NewPlan, Fault> {
    let unknown = |what: &str| Fault::bad(&format!("This {what} is not in the book."));
    let lift: LiftId = asked.lift.parse().map_err(|_| unknown("lift"))?;
    let vehicle: VehicleId = asked.vehicle.parse().map_err(|_| unknown("vehicle"))?;
    let book = house.book().await?;
    let mut texts = texts_of(&book, &lift, &vehicle).await?;
    if !asked.job.is_empty() {
        let job: JobId = asked.job.parse().map_err(|_| unknown("job"))?;
        texts.insert("job".into(), job_of(&book, &job).await?);
    }
    let now = made_from(&texts);
    let changed = if seen.is_empty() { vec![] } else { changed(seen, &now) };
    if !changed.is_empty() {
        return Err(Fault::Refused(vec![format!(
            "Since this plan was shown, other than it was: {}. Look at the plan as it is now, and begin by that.",
            changed.join(", ")
        )]));
    }
    texts.extend(as_placed.map(|text| ("as-placed".to_owned(), text)));
    let worked = worked(house, texts.clone()).await?;
    Ok(worked.planned.to_keep(&lift, &vehicle, texts)?)
}

/// What a plan was made from, for a form to say which plan was seen.
pub(crate) fn made_from(texts: &Texts) -> String {
    let brief = |text: &String| Digest::of(text).to_string().chars().take(16).collect::<String>();
    texts.iter().map(|(what, text)| format!("{what}={}", brief(text))).collect::<Vec<_>>().join(" ")
}

/// What of that is another now.
pub(crate) fn changed(seen: &str, now: &str) -> Vec<String> {
    let read = |text: &str| -> BTreeMap<String, String> {
        let pairs = text.split(' ').filter_map(|pair| pair.split_once('='));
        pairs.map(|(what, brief)| (what.to_owned(), brief.to_owned())).collect()
    };
    let (seen, now) = (read(seen), read(now));
    let all: BTreeSet<&String> = seen.keys().chain(now.keys()).collect();
    let other = all.into_iter().filter(|what| seen.get(*what) != now.get(*what));
    other
        .map(|what| {
            if what == INPUT { "what was measured of the vehicle".into() } else { format!("the {what} file") }
        })
        .collect()
}

/// What the shop has; where it has no lift, no vehicle or no job yet, those of the invented workshop.
pub(crate) async fn choices(house: &House) -> Result<Choices, Fault> {
    let [mut lifts, mut vehicles, mut jobs] = match house.shop().await? {
        Some(shop) => own(&shop),
        None => Default::default(),
    };
    let mut invented = vec![];
    for (kind, all) in [("lift", &mut lifts), ("vehicle", &mut vehicles), ("job", &mut jobs)] {
        if all.is_empty() {
            invented.push(kind);
            all.extend(demo::choices(kind));
        }
    }
    Ok(Choices { lifts, vehicles, jobs, invented })
}

/// Lifts, vehicles and jobs of the book.
fn own(shop: &Shop) -> [Vec<Choice>; 3] {
    let named = |id: String| Choice { name: id.clone(), id };
    let lifts =
        shop.lifts.iter().map(|(id, lift)| Choice { id: id.to_string(), name: lift.sheet.bay.clone() });
    let vehicles = shop.fleet.vehicles.keys().map(|id| named(id.to_string()));
    let jobs = shop.jobs.keys().map(|id| named(id.to_string()));
    [lifts.collect(), vehicles.collect(), jobs.collect()]
}

/// Their texts: the shop's own; of a kind of which the shop has none, the invented workshop's. A vehicle may be told by its figures alone.
pub(crate) async fn texts(house: &House, asked: &Asked) -> Result<Texts, Fault> {
    let mut texts = Texts::new();
    if let Ok(book) = house.book().await {
        texts = own_texts(&book, asked.lift.parse().ok(), asked.vehicle.parse().ok()).await?;
    }
    if let Some(made) = measure::quick::file(&asked.vehicle) {
        texts.insert("vehicle".into(), made.map_err(Fault::Bad)?);
    }
    if !asked.job.is_empty()
        && let Ok(book) = house.book().await
        && let Some(own) = own_text(&book, "job", &asked.job).await?
    {
        texts.insert("job".into(), own);
    }
    let invented = choices(house).await?.invented;
    for (kind, id) in [("lift", &asked.lift), ("vehicle", &asked.vehicle), ("job", &asked.job)] {
        if !texts.contains_key(kind) && (kind != "job" || !id.is_empty()) {
            let none = || Fault::NotFound(format!("There is no {kind} “{id}” here."));
            let text = demo::text(kind, id).filter(|_| invented.contains(&kind)).ok_or_else(none)?;
            texts.insert(kind.into(), text.to_owned());
        }
    }
    Ok(texts)
}

/// What the book holds of them: with both, what was measured since, too.
async fn own_texts(book: &Book, lift: Option<LiftId>, vehicle: Option<VehicleId>) -> Result<Texts, Fault> {
    let shop = book.shop().await?;
    let lift = lift.filter(|id| shop.lifts.contains_key(id));
    let vehicle = vehicle.filter(|id| shop.fleet.vehicles.contains_key(id));
    if let (Some(lift), Some(vehicle)) = (&lift, &vehicle) {
        return Ok(texts_of(book, lift, vehicle).await?);
    }
    let lift_file = lift.and_then(|id| shop.lifts.get(&id).map(|lift| lift.file));
    let vehicle_file = vehicle.and_then(|id| shop.fleet.vehicles.get(&id).copied());
    let mut texts = Texts::new();
    for (kind, file) in [("lift", lift_file), ("vehicle", vehicle_file)] {
        if let Some(digest) = file {
            texts.insert(kind.into(), kept(book, digest).await?.text().to_owned());
        }
    }
    texts.extend(limits_of(book).await?.map(|text| ("limits".to_owned(), text)));
    Ok(texts)
}

/// The text of one thing of the book, if it holds it.
pub(crate) async fn own_text(book: &Book, kind: &str, id: &str) -> Result<Option<String>, Fault> {
    let shop = book.shop().await?;
    let file = match kind {
        "lift" => id.parse().ok().and_then(|id| shop.lifts.get(&id)).map(|lift| lift.file),
        "vehicle" => id.parse().ok().and_then(|id| shop.fleet.vehicles.get(&id).copied()),
        _ => id.parse().ok().and_then(|id| shop.jobs.get(&id).copied()),
    };
    match file {
        Some(file) => Ok(Some(kept(book, file).await?.text().to_owned())),
        None => Ok(None),
    }
}

/// Raises elsewhere, and what raises left behind, that keep one by this plan from being begun; of what is in no book, nothing.
pub(crate) fn in_the_way(shop: &Hall, asked: &Asked, scene: &Scene<'_>) -> Vec<String> {
    let (Ok(lift), Ok(vehicle)) = (asked.lift.parse(), asked.vehicle.parse()) else { return vec![] };
    led::in_the_way(shop, (&lift, &vehicle), scene)
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

    /// Those of a kind.
    pub(super) fn choices(kind: &str) -> impl Iterator<Item = Choice> {
        ALL.iter().filter(move |d| d.0 == kind).map(|d| choice(d.1, d.2))
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
