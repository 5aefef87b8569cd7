//! The invented workshop's lifts, vehicles and jobs, taken into a new book to try everything with.

use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};
use records::{Command, Document as Kept, JobId, LiftId, LiftSheet, VehicleId};
use sheets::Units;

use super::acting;
use super::caller::Caller;
use super::fault::Fault;
use super::house::Shared;
use super::shelf::demo;
use crate::document::Document;
use crate::input::Source;
use crate::intake::NOT_KNOWN;

/// What is there under the same name already stays as it is.
pub(crate) async fn take(State(house): State<Shared>, caller: Caller) -> Result<Response, Fault> {
    let desk = acting::alone(&house, &caller).await?;
    for (kind, id, text) in demo::ALL {
        let shop = desk.book.shop().await?;
        let command = match kind {
            "lift" if !shop.lifts.contains_key(&lift_id(id)?) => entered_lift(id, text)?,
            "vehicle" if !shop.fleet.vehicles.contains_key(&vehicle_id(id)?) => entered_vehicle(id, text)?,
            "job" if !shop.jobs.contains_key(&job_id(id)?) => entered_job(id, text)?,
            _ => continue,
        };
        acting::act(&house, &desk, &command).await?;
    }
    Ok(Redirect::to("/today").into_response())
}

fn lift_id(id: &str) -> Result<LiftId, Fault> {
    id.parse().map_err(|fault| Fault::Broken(vec![format!("{fault}")]))
}

fn vehicle_id(id: &str) -> Result<VehicleId, Fault> {
    id.parse().map_err(|fault| Fault::Broken(vec![format!("{fault}")]))
}

fn job_id(id: &str) -> Result<JobId, Fault> {
    id.parse().map_err(|fault| Fault::Broken(vec![format!("{fault}")]))
}

fn unreadable(file: &Document) -> Fault {
    Fault::Broken(file.report().lines().map(str::to_owned).collect())
}

fn entered_lift(id: &str, text: &str) -> Result<Command, Fault> {
    let mut file = Document::of(Source::new(id, text));
    let lift = file.lift().ok_or_else(|| unreadable(&file))?;
    let sheet = LiftSheet {
        lift: lift_id(id)?,
        bay: lift.name,
        maker: NOT_KNOWN.to_owned(),
        model: NOT_KNOWN.to_owned(),
        serial: NOT_KNOWN.to_owned(),
        year: 0,
        capacity: Units::Metric.plate(lift.rated),
        load_split: None,
        first_used: None,
    };
    Ok(Command::EnterLift { sheet, file: Kept::new(text) })
}

fn entered_job(id: &str, text: &str) -> Result<Command, Fault> {
    let mut file = Document::of(Source::new(id, text));
    let job = file.job(None).ok_or_else(|| unreadable(&file))?;
    Ok(Command::EnterJob { job: job_id(id)?, description: job.name, file: Kept::new(text) })
}

fn entered_vehicle(id: &str, text: &str) -> Result<Command, Fault> {
    let mut file = Document::of(Source::new(id, text));
    let vehicle = file.vehicle().ok_or_else(|| unreadable(&file))?;
    Ok(Command::EnterVehicle { vehicle: vehicle_id(id)?, description: vehicle.name, file: Kept::new(text) })
}
