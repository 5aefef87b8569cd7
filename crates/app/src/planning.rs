//! From the texts of a plan to the plan, wherever the texts come from.

use planner::plan::Assumption;
use planner::stands::ToldStands;
use planner::{InputFault, Job, Lift, Limits, Plan, Setup, Vehicle};

use crate::document::Document;
use crate::verb::{placed, quick::QuickEntry};

/// The files of a plan. Of those that may be left out, `None` = left out.
#[derive(Default)]
pub(crate) struct Files<'a> {
    pub(crate) lift: Option<Document>,
    pub(crate) vehicle: Option<Document>,
    /// Instead of a vehicle's file.
    pub(crate) quick: Option<&'a QuickEntry>,
    pub(crate) job: Option<Document>,
    pub(crate) as_placed: Option<Document>,
    pub(crate) limits: Option<Document>,
    /// A file that was asked for cannot be opened.
    pub(crate) one_is_missing: bool,
}

/// What they say, with the files in which a fault of the whole has its place.
pub(crate) struct Inputs {
    pub(crate) lift: Lift,
    pub(crate) vehicle: Vehicle,
    pub(crate) job: Job,
    pub(crate) limits: Limits,
    pub(crate) setup: Option<Setup>,
    /// What the files state and the plan does not count.
    pub(crate) not_counted: Vec<Assumption>,
    pub(crate) vehicle_file: Option<Document>,
    pub(crate) job_file: Option<Document>,
}

impl Files<'_> {
    /// Reads all of them before anything is said to be wrong, so that all of it is said at once, after `said`.
    pub(crate) fn read(self, said: &mut String) -> Option<Inputs> {
        let Self { mut lift, mut vehicle, quick, mut job, mut as_placed, mut limits, one_is_missing } = self;
        let read_lift = lift.as_mut().and_then(Document::lift);
        let read_limits = limits.as_mut().map_or(Some(Limits::default()), Document::limits);
        let read_vehicle = match quick {
            None => vehicle.as_mut().and_then(Document::vehicle),
            Some(entry) => {
                let (file, read) = entry.read(read_limits.as_ref().unwrap_or(&Limits::default()));
                vehicle = file;
                read
            }
        };
        let read_job = job.as_mut().map_or(Some(Job::default()), |f| f.job(read_vehicle.as_ref()));
        let setup = as_placed.as_mut().map(|file| {
            let setup = file.setup()?;
            placed::agrees(&setup, read_lift.as_ref(), read_vehicle.as_ref(), file).then_some(setup)
        });
        for file in [&lift, &vehicle, &job, &as_placed, &limits].into_iter().flatten() {
            *said += &file.report();
        }
        let inputs = [&lift, &vehicle, &job, &as_placed].into_iter().flatten();
        let examples: Vec<&Document> = inputs.filter(|f| f.holds_examples()).collect();
        for file in &examples {
            *said += &format!(
                "error: {}: no plan is made from example values\n  help: measure each value, then delete the line `example_values`\n",
                file.source.name
            );
        }
        if one_is_missing || !examples.is_empty() {
            return None;
        }
        let files = [&lift, &vehicle, &job, &as_placed, &limits].into_iter().flatten();
        let not_counted = files.flat_map(|f| f.not_counted().to_vec()).collect();
        Some(Inputs {
            not_counted,
            lift: read_lift?,
            vehicle: read_vehicle?,
            job: read_job?,
            limits: read_limits?,
            setup: match setup {
                None => None,
                Some(setup) => Some(setup?),
            },
            vehicle_file: vehicle,
            job_file: job,
        })
    }
}

impl Inputs {
    /// The plan, or the check of the setup as placed.
    pub(crate) fn plan(&self) -> Result<Plan, Vec<InputFault>> {
        let Self { lift, vehicle, job, limits, setup, .. } = self;
        self.counted(match setup {
            None => planner::plan(lift, vehicle, job, limits),
            Some(setup) => planner::as_placed_with_cures(lift, vehicle, job, limits, setup),
        })
    }

    /// The check of a setup in a raise whose plan told these stands.
    pub(crate) fn led(&self, setup: &Setup, stands: Option<&ToldStands>) -> Result<Plan, Vec<InputFault>> {
        let Self { lift, vehicle, job, limits, .. } = self;
        self.counted(planner::as_led(lift, vehicle, job, limits, (setup, stands)))
    }

    fn counted(&self, plan: Result<Plan, Vec<InputFault>>) -> Result<Plan, Vec<InputFault>> {
        let mut plan = plan?;
        plan.assumptions.extend(self.not_counted.iter().cloned());
        Ok(plan)
    }
}
