//! Lifts, vehicles, jobs and the shop's limits out of files: what goes into the book, or what is wrong, file by file and row by row.

mod table;

use std::collections::BTreeMap;

use records::{Command, Document as Kept, JobId, LiftId, LiftSheet, Shop, VehicleId};
use sheets::Units;
use statics::Mass;

use crate::cli::UNREADABLE;
use crate::desk::Ended;
use crate::document::{Document, Kind};
use crate::input::Source;
use crate::input::quantity;

pub(crate) use table::{Column, LONGEST_LIST, columns, delimiter, table, usual};

/// What is on a plate and not known: it is written as such.
pub(crate) const NOT_KNOWN: &str = "not known";

/// A lift's file, and what it says of it.
pub(crate) struct LiftFile {
    pub(crate) name: String,
    pub(crate) capacity: String,
    rated: Mass,
    pub(crate) kept: Kept,
    /// What is odd in it.
    pub(crate) warnings: String,
}

/// A vehicle's file, and what it says of it.
pub(crate) struct VehicleFile {
    pub(crate) name: String,
    pub(crate) kept: Kept,
    /// What is odd in it.
    pub(crate) warnings: String,
}

/// Reads a lift's file; the error is what to say.
pub(crate) fn lift_file(mut file: Document) -> Result<LiftFile, Ended> {
    let lift = file.lift().filter(|_| !file.holds_examples());
    let Some(lift) = lift else { return Err(not_entered(&file)) };
    let (warnings, capacity) = (file.report(), Units::Metric.rating(lift.rated));
    let kept = Kept::new(file.source.text);
    Ok(LiftFile { name: lift.name, capacity, rated: lift.rated, kept, warnings })
}

/// Plates are rounded. Own convention: to 50 kg.
const ROUNDED: f64 = 50.0;

impl LiftFile {
    /// What the plate says that it may carry: a mass, and the rating of the file. Where nothing is said, that rating.
    pub(crate) fn plate(&self, said: Option<&str>) -> Result<String, Ended> {
        let Some(said) = said else { return Ok(self.capacity.clone()) };
        let read = quantity::parse::<Mass>(said);
        let mass =
            read.map_err(|fault| Ended::bad(&format!("`capacity`: {}", fault.message), &fault.help))?;
        let apart = (mass.value.to_kilograms() - self.rated.to_kilograms()).abs();
        if apart <= ROUNDED {
            return Ok(said.to_owned());
        }
        Err(Ended::bad(
            &format!("`capacity`: “{said}”, and the lift's file says {}", self.capacity),
            "look at the plate: both say what the lift may carry",
        ))
    }
}

/// Reads a vehicle's file; the error is what to say.
pub(crate) fn vehicle_file(mut file: Document) -> Result<VehicleFile, Ended> {
    let vehicle = file.vehicle().filter(|_| !file.holds_examples());
    let Some(vehicle) = vehicle else { return Err(not_entered(&file)) };
    let warnings = file.report();
    Ok(VehicleFile { name: vehicle.name, kept: Kept::new(file.source.text), warnings })
}

/// A job's file, and what it says of it.
pub(crate) struct JobFile {
    pub(crate) name: String,
    pub(crate) kept: Kept,
    /// What is odd in it.
    pub(crate) warnings: String,
}

/// Reads a job's file, for no vehicle in particular; the error is what to say.
pub(crate) fn job_file(mut file: Document) -> Result<JobFile, Ended> {
    let job = file.job(None).filter(|_| !file.holds_examples());
    let Some(job) = job else { return Err(not_entered(&file)) };
    let warnings = file.report();
    Ok(JobFile { name: job.name, kept: Kept::new(file.source.text), warnings })
}

/// Reads a file of the shop's own limits, with what is odd in it; the error is what to say.
pub(crate) fn limits_file(mut file: Document) -> Result<(Kept, String), Ended> {
    let limits = file.limits().filter(|_| !file.holds_examples());
    if limits.is_none() {
        return Err(not_entered(&file));
    }
    let warnings = file.report();
    Ok((Kept::new(file.source.text), warnings))
}

fn not_entered(file: &Document) -> Ended {
    let mut text = file.report();
    if file.holds_examples() {
        text += &format!(
            "error: {}: example values do not go into the book\n  help: measure each value, then delete the line `example_values`\n",
            file.source.name
        );
    }
    Ended::Said(text, UNREADABLE)
}

/// Something that goes into the book.
pub(crate) struct Made {
    /// "lift north-bay".
    pub(crate) what: String,
    pub(crate) command: Command,
    /// What is odd in its file.
    pub(crate) warnings: String,
}

/// What was measured and counts no more by what goes into the book, for whoever enters it.
pub(crate) fn outdated(shop: &Shop, command: &Command) -> Option<String> {
    let Command::EnterVehicle { vehicle, file, .. } = command else { return None };
    let keys = shop.fleet.outdated_by(vehicle, &file.digest());
    let keys: Vec<String> = keys.iter().map(|(what, seq)| format!("{what} (event {seq})")).collect();
    (!keys.is_empty()).then(|| {
        format!(
            "CAUTION: of {vehicle} was measured, and counts no more in new plans: {}. What is still so belongs into its file, or is \
             measured again.",
            keys.join(", ")
        )
    })
}

/// A file whose name, without its ending, is the name in the book.
pub(crate) fn whole_file(mut document: Document, stem: &str, shop: &Shop) -> Result<Made, Ended> {
    let shown = document.source.name.clone();
    let named = |fault: &dyn std::fmt::Display| {
        Ended::bad(&format!("{shown}: its name: {fault}"), "name the file as the book shall name it")
    };
    match document.kind() {
        Some(Kind::Lift) => {
            let lift: LiftId = stem.parse().map_err(|e| named(&e))?;
            let LiftFile { name, capacity, kept, warnings, .. } = lift_file(document)?;
            let sheet = shop.lifts.get(&lift).map_or_else(
                || LiftSheet {
                    lift: lift.clone(),
                    bay: name,
                    maker: NOT_KNOWN.to_owned(),
                    model: NOT_KNOWN.to_owned(),
                    serial: NOT_KNOWN.to_owned(),
                    year: 0,
                    capacity,
                    load_split: None,
                    first_used: None,
                },
                |known| known.sheet.clone(),
            );
            Ok(Made {
                what: format!("lift {lift}"),
                command: Command::EnterLift { sheet, file: kept },
                warnings,
            })
        }
        Some(Kind::Vehicle) => {
            let vehicle: VehicleId = stem.parse().map_err(|e| named(&e))?;
            let VehicleFile { name: description, kept: file, warnings } = vehicle_file(document)?;
            let what = format!("vehicle {vehicle}");
            Ok(Made { what, command: Command::EnterVehicle { vehicle, description, file }, warnings })
        }
        Some(Kind::Job) => {
            let job: JobId = stem.parse().map_err(|e| named(&e))?;
            let JobFile { name: description, kept: file, warnings } = job_file(document)?;
            let what = format!("job {job}");
            Ok(Made { what, command: Command::EnterJob { job, description, file }, warnings })
        }
        Some(Kind::Limits) => {
            let (file, warnings) = limits_file(document)?;
            let what = "the shop's own limits".to_owned();
            Ok(Made { what, command: Command::EnterLimits { file }, warnings })
        }
        Some(other) => Err(Ended::bad(
            &format!("{shown}: this file says {:?}", other.mark()),
            "lifts, vehicles, jobs and the shop's limits are imported",
        )),
        None => Err(Ended::Said(document.report(), UNREADABLE)),
    }
}

/// What came in under which name, and where: within one import each name is given once.
#[derive(Default)]
pub(crate) struct Names(BTreeMap<String, String>);

impl Names {
    /// As it is, or what is wrong with its name.
    pub(crate) fn once(&mut self, place: &str, made: Result<Made, Ended>) -> Result<Made, Ended> {
        let made = made?;
        if let Some(first) = self.0.get(&made.what) {
            return Err(Ended::bad(
                &format!("{} stands in {first} already", made.what),
                "give each its own name, or import one of the two",
            ));
        }
        self.0.insert(made.what.clone(), place.to_owned());
        Ok(made)
    }
}

/// What a file or a row makes, or what is wrong with it, with its place.
pub(crate) type Placed = (String, Result<Made, Ended>);

/// A file that came under a name, not from a path.
pub(crate) fn document(name: &str, bytes: Vec<u8>) -> Result<Document, Ended> {
    let text = String::from_utf8(bytes).map_err(|fault| {
        Ended::bad(
            &format!("{name}: byte {} is not UTF-8 text", fault.utf8_error().valid_up_to() + 1),
            "save the file as UTF-8 text; if it is not text at all, it is the wrong file",
        )
    })?;
    Ok(Document::of(Source::new(name, text)))
}
