//! Lifts, vehicles, jobs, limits, what is wrong with them, what happened.

use std::path::{Path, PathBuf};

use clap::Args;
use jiff::civil::Date;
use records::{Command, DefectNumber, JobId, LiftId, LiftSheet, RaiseNumber, Seq, VehicleId};

use super::{Answer, act};
use crate::cli::{FINE, UNREADABLE, free_text};
use crate::desk::{Before, Done, Ended};
use crate::document::Document;
use crate::intake::{
    JobFile, LiftFile, VehicleFile, job_file, lift_file, limits_file, outdated, vehicle_file,
};
use crate::told::plain;
use crate::verb::raise::{AS_IN_FORCE, in_question, is_in_force, usable};
use crate::write;

#[derive(Args, Debug)]
pub(crate) struct Lift {
    #[command(flatten)]
    at: Before,
    /// Its name in the book: small letters, digits, hyphens.
    lift: LiftId,
    /// Its file.
    file: PathBuf,
    /// Where it stands; left out = the name in its file.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    bay: Option<String>,
    /// Who made it.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    maker: String,
    /// Its type.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    model: String,
    /// Its serial number.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    serial: String,
    /// Year of make.
    #[arg(long)]
    year: u16,
    /// What it may carry, with unit; left out = the rating in its file.
    #[arg(long)]
    capacity: Option<String>,
    /// How the load may be split between front and rear, if the plate says.
    #[arg(long, value_parser = free_text, allow_hyphen_values = true)]
    load_split: Option<String>,
    /// When it was first used, YYYY-MM-DD.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    first_used: Option<Date>,
}

fn open(path: &Path) -> Result<Document, Ended> {
    Document::open(path).ok_or(Ended::Said(String::new(), UNREADABLE))
}

impl Lift {
    pub(super) async fn enter(&self) -> Done {
        let file = lift_file(open(&self.file)?)?;
        let capacity = file.plate(self.capacity.as_deref())?;
        let LiftFile { name, kept, warnings, .. } = file;
        write::err(&warnings);
        let sheet = LiftSheet {
            lift: self.lift.clone(),
            bay: self.bay.clone().unwrap_or(name),
            maker: self.maker.clone(),
            model: self.model.clone(),
            serial: self.serial.clone(),
            year: self.year,
            capacity,
            load_split: self.load_split.clone(),
            first_used: self.first_used,
        };
        let desk = self.at.open().await?;
        act(&desk, &Command::EnterLift { sheet, file: kept }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct OnLift {
    #[command(flatten)]
    at: Before,
    /// Which lift.
    lift: LiftId,
    /// What, or why.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

impl OnLift {
    pub(super) async fn enter(&self, command: impl FnOnce(LiftId, String) -> Command) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &command(self.lift.clone(), self.words.clone())).await
    }

    /// Out of service, by whoever sees why.
    pub(super) async fn tag(&self) -> Done {
        let desk = self.at.open_to_stop().await?;
        act(&desk, &Command::TagOut { lift: self.lift.clone(), words: self.words.clone() }).await
    }

    /// Returned to service; what it had been out of service for is told once more.
    pub(super) async fn give_back(&self) -> Done {
        let desk = self.at.open().await?;
        let before = desk.book.shop().await?;
        let (lift, words) = (self.lift.clone(), self.words.clone());
        let code = act(&desk, &Command::ReturnToService { lift, words }).await?;
        let tags = before.lifts.get(&self.lift).into_iter().flat_map(|lift| lift.tags.values());
        let told: String = tags.map(|tag| format!("It had been out of service: {}.\n", plain(tag))).collect();
        Ok(write::out(&told, code))
    }
}

#[derive(Args, Debug)]
pub(crate) struct Defect {
    #[command(flatten)]
    at: Before,
    /// Which lift.
    lift: LiftId,
    /// What is wrong.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
    /// Whether the lift must not be used with it.
    #[arg(long, value_enum)]
    stops_use: Answer,
}

impl Defect {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let command = Command::ReportDefect {
            lift: self.lift.clone(),
            words: self.words.clone(),
            stops_use: self.stops_use == Answer::Yes,
        };
        act(&desk, &command).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Repair {
    #[command(flatten)]
    at: Before,
    /// Number of the defect.
    defect: u64,
    /// What was done.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
    /// Whether the repaired part bears load: the lift must be examined then.
    #[arg(long, value_enum)]
    bears_load: Answer,
}

impl Repair {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let command = Command::ReportRepair {
            number: DefectNumber(self.defect),
            words: self.words.clone(),
            bears_load: self.bears_load == Answer::Yes,
        };
        act(&desk, &command).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Vehicle {
    #[command(flatten)]
    at: Before,
    /// Its name in the book: small letters, digits, hyphens.
    vehicle: VehicleId,
    /// Its file.
    file: PathBuf,
    /// What tells it from others; left out = the name in its file.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    description: Option<String>,
}

impl Vehicle {
    pub(super) async fn enter(&self) -> Done {
        let VehicleFile { name, kept: file, warnings } = vehicle_file(open(&self.file)?)?;
        write::err(&warnings);
        let description = self.description.clone().unwrap_or(name);
        let desk = self.at.open().await?;
        let command = Command::EnterVehicle { vehicle: self.vehicle.clone(), description, file };
        let outdated = outdated(&desk.book.shop().await?, &command);
        let done = act(&desk, &command).await?;
        write::err(&outdated.map(|said| said + "\n").unwrap_or_default());
        Ok(done)
    }
}

#[derive(Args, Debug)]
pub(crate) struct Job {
    #[command(flatten)]
    at: Before,
    /// Its name in the book: small letters, digits, hyphens.
    job: JobId,
    /// Its file.
    file: PathBuf,
    /// What is done; left out = the name in its file.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    description: Option<String>,
}

impl Job {
    pub(super) async fn enter(&self) -> Done {
        let JobFile { name, kept: file, warnings } = job_file(open(&self.file)?)?;
        write::err(&warnings);
        let description = self.description.clone().unwrap_or(name);
        let desk = self.at.open().await?;
        act(&desk, &Command::EnterJob { job: self.job.clone(), description, file }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Limits {
    #[command(flatten)]
    at: Before,
    /// Their file. One that sets no limit goes back to the program's own.
    file: PathBuf,
}

impl Limits {
    pub(super) async fn enter(&self) -> Done {
        let (file, warnings) = limits_file(open(&self.file)?)?;
        write::err(&warnings);
        let desk = self.at.open().await?;
        if is_in_force(&desk.book, file.text()).await? {
            return Ok(write::out(&format!("{AS_IN_FORCE}\n"), FINE));
        }
        act(&desk, &Command::EnterLimits { file }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Measurement {
    #[command(flatten)]
    at: Before,
    /// Which vehicle.
    vehicle: VehicleId,
    /// What was measured, by its key in the vehicle's file, such as wheelbase_left, weight.rear_axle, outline.roof, or
    /// parts.NAME.mass. Plans use the newest of each.
    #[arg(long, value_name = "KEY")]
    what: String,
    /// The value, with unit and tolerance.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    value: String,
    /// With what, and how.
    #[arg(long, value_name = "TEXT", value_parser = free_text, allow_hyphen_values = true)]
    how: String,
}

impl Measurement {
    pub(super) async fn enter(&self) -> Done {
        usable(&self.what, &self.value)?;
        let desk = self.at.open().await?;
        let measurement = records::Measurement {
            vehicle: self.vehicle.clone(),
            what: self.what.clone(),
            value: self.value.clone(),
            how: self.how.clone(),
        };
        let [unusable, odd] = in_question(&desk.book, &measurement).await?;
        let code = act(&desk, &Command::Measure(measurement)).await?;
        for why in unusable {
            write::err(&format!("CAUTION: no plan can be made of it so: {}\n", plain(&why)));
        }
        for odd in odd {
            write::err(&format!(
                "CAUTION: look again; what is wrong is struck out with `standfast enter correction`: {}\n",
                plain(&odd)
            ));
        }
        Ok(code)
    }
}

#[derive(Args, Debug)]
pub(crate) struct Whole {
    #[command(flatten)]
    at: Before,
    /// Which vehicle.
    vehicle: VehicleId,
    /// What was looked at, and what is on or off again.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

impl Whole {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::SayWhole { vehicle: self.vehicle.clone(), words: self.words.clone() }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Incident {
    #[command(flatten)]
    at: Before,
    /// What happened.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
    /// At which lift.
    #[arg(long, value_name = "NAME")]
    lift: Option<LiftId>,
    /// In which raise.
    #[arg(long, value_name = "NUMBER")]
    raise: Option<u64>,
}

impl Incident {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let command = Command::ReportIncident {
            lift: self.lift.clone(),
            raise: self.raise.map(RaiseNumber),
            words: self.words.clone(),
        };
        act(&desk, &command).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Correction {
    #[command(flatten)]
    at: Before,
    /// Number of the event.
    event: u64,
    /// Why it is struck out.
    #[arg(value_parser = free_text, allow_hyphen_values = true)]
    words: String,
}

impl Correction {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        act(&desk, &Command::Correct { event: Seq(self.event), words: self.words.clone() }).await
    }
}
