//! Lifts and vehicles in: from their own files, or from a table with a row for each.

use std::path::Path;

use records::{Command, LiftId, LiftSheet, VehicleId};

use super::export::{LIFTS, VEHICLES};
use crate::cli::{FINE, UNREADABLE};
use crate::desk::{self, Before, Desk, Done, Ended};
use crate::document::{Document, Kind};
use crate::input::shape::{LONGEST, unfit};
use crate::verb::enter::{LiftFile, NOT_KNOWN, lift_file, vehicle_file};
use crate::write;

/// What came in, and what did not.
#[derive(Default)]
struct Count {
    entered: usize,
    skipped: usize,
}

pub(super) async fn import(at: &Before, files: &[std::path::PathBuf]) -> Done {
    let desk = at.open().await?;
    let mut count = Count::default();
    for path in files {
        if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv")) {
            table(&desk, path, &mut count).await?;
        } else {
            let entered = whole_file(&desk, path).await;
            count.add(&path.display().to_string(), entered)?;
        }
    }
    let code = if count.skipped == 0 { FINE } else { UNREADABLE };
    Ok(write::out(&format!("{} entered, {} skipped.\n", count.entered, count.skipped), code))
}

impl Count {
    /// What is wrong with one row or file is told, and the others go on; what is wrong with the book ends it.
    fn add(&mut self, place: &str, entered: Result<String, Ended>) -> Result<(), Ended> {
        match entered {
            Ok(what) => {
                self.entered += 1;
                write::out(&format!("{place}: {what} entered.\n"), FINE);
            }
            Err(ended) if ended.is_refusal() || matches!(ended, Ended::Said(..)) => {
                self.skipped += 1;
                write::err(&format!("{place}: skipped.\n"));
                desk::tell(&ended);
            }
            Err(ended) => return Err(ended),
        }
        Ok(())
    }
}

/// A file whose name is the name in the book.
async fn whole_file(desk: &Desk, path: &Path) -> Result<String, Ended> {
    let mut document = Document::open(path).ok_or(Ended::Said(String::new(), UNREADABLE))?;
    let stem = path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default();
    let named = |fault: &dyn std::fmt::Display| {
        Ended::bad(
            &format!("{}: its name: {fault}", path.display()),
            "name the file as the book shall name it",
        )
    };
    match document.kind() {
        Some(Kind::Lift) => {
            let lift: LiftId = stem.parse().map_err(|e| named(&e))?;
            let LiftFile { name, capacity, kept } = lift_file(path)?;
            let shop = desk.book.shop().await?;
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
            desk.act(&Command::EnterLift { sheet, file: kept }).await?;
            Ok(format!("lift {lift}"))
        }
        Some(Kind::Vehicle) => {
            let vehicle: VehicleId = stem.parse().map_err(|e| named(&e))?;
            let (description, file) = vehicle_file(path)?;
            desk.act(&Command::EnterVehicle { vehicle: vehicle.clone(), description, file }).await?;
            Ok(format!("vehicle {vehicle}"))
        }
        Some(other) => Err(Ended::bad(
            &format!("{}: this file says {:?}", path.display(), other.mark()),
            "lifts and vehicles are imported; a job goes to `raise start`",
        )),
        None => Err(Ended::Said(document.report(), UNREADABLE)),
    }
}

/// A row, by the names of its columns.
struct Row<'a> {
    head: &'a csv::StringRecord,
    row: &'a csv::StringRecord,
}

impl Row<'_> {
    fn get(&self, column: &str) -> Option<String> {
        let at = self.head.iter().position(|h| h.trim() == column)?;
        self.row.get(at).map(str::trim).filter(|t| !t.is_empty()).map(str::to_owned)
    }

    /// A cell that could not be printed as it is.
    fn unfit(&self) -> Option<Ended> {
        let mut cells = self.head.iter().zip(self.row);
        cells.find_map(|(column, cell)| {
            let [fault, help] = unfit(cell.trim(), LONGEST)?;
            Some(Ended::bad(&format!("`{}` {fault}", column.trim()), &help))
        })
    }

    fn must(&self, column: &str) -> Result<String, Ended> {
        self.get(column)
            .ok_or_else(|| Ended::bad(&format!("`{column}` is empty or there is no such column"), "write it"))
    }

    fn parsed<T: std::str::FromStr<Err: std::fmt::Display>>(&self, column: &str) -> Result<Option<T>, Ended> {
        let wrong = |fault: T::Err| {
            Ended::bad(&format!("`{column}`: {fault}"), "write a day as YYYY-MM-DD, a year as 2021")
        };
        self.get(column).map(|text| text.parse().map_err(wrong)).transpose()
    }
}

async fn table(desk: &Desk, path: &Path, count: &mut Count) -> Result<(), Ended> {
    let shown = path.display();
    let unreadable = |fault: csv::Error| {
        Ended::bad(
            &format!("{shown}: {fault}"),
            "a table has a line of column names and commas between columns",
        )
    };
    let mut reader =
        csv::ReaderBuilder::new().has_headers(true).flexible(false).from_path(path).map_err(unreadable)?;
    let head = reader.headers().map_err(unreadable)?.clone();
    let has = |column: &str| head.iter().any(|h| h.trim() == column);
    let columns: &[&str] = if has("lift") { &LIFTS } else { &VEHICLES };
    let strange: Vec<&str> = head.iter().map(str::trim).filter(|h| !columns.contains(h)).collect();
    if !strange.is_empty() || !(has("lift") || has("vehicle")) {
        return Err(Ended::bad(
            &format!("{shown}: row 1: no such column: {}", strange.join(", ")),
            &format!("lifts have {}; vehicles have {}", LIFTS.join(", "), VEHICLES.join(", ")),
        ));
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    // Rows are counted as a spreadsheet does, the column names being row 1.
    for (number, row) in (2_usize..).zip(reader.into_records()) {
        let entered = match row {
            Ok(row) => {
                let row = Row { head: &head, row: &row };
                if let Some(fault) = row.unfit() {
                    Err(fault)
                } else if has("lift") {
                    lift(desk, folder, &row).await
                } else {
                    vehicle(desk, folder, &row).await
                }
            }
            Err(fault) => Err(Ended::bad(&fault.to_string(), "give it as many columns as row 1")),
        };
        count.add(&format!("{shown}: row {number}"), entered)?;
    }
    Ok(())
}

async fn lift(desk: &Desk, folder: &Path, row: &Row<'_>) -> Result<String, Ended> {
    let lift: LiftId = parse_name(row, "lift")?;
    let first_used = row.parsed("first_used")?;
    let year = row.parsed("year")?.unwrap_or(0);
    let LiftFile { name, capacity, kept } = lift_file(&folder.join(row.must("file")?))?;
    let text = |column: &str| row.get(column).unwrap_or_else(|| NOT_KNOWN.to_owned());
    let sheet = LiftSheet {
        lift: lift.clone(),
        bay: row.get("bay").unwrap_or(name),
        maker: text("maker"),
        model: text("model"),
        serial: text("serial"),
        year,
        capacity: row.get("capacity").unwrap_or(capacity),
        load_split: row.get("load_split"),
        first_used,
    };
    desk.act(&Command::EnterLift { sheet, file: kept }).await?;
    Ok(format!("lift {lift}"))
}

async fn vehicle(desk: &Desk, folder: &Path, row: &Row<'_>) -> Result<String, Ended> {
    let vehicle: VehicleId = parse_name(row, "vehicle")?;
    let (name, file) = vehicle_file(&folder.join(row.must("file")?))?;
    let description = row.get("description").unwrap_or(name);
    desk.act(&Command::EnterVehicle { vehicle: vehicle.clone(), description, file }).await?;
    Ok(format!("vehicle {vehicle}"))
}

fn parse_name<T: std::str::FromStr<Err: std::fmt::Display>>(row: &Row<'_>, column: &str) -> Result<T, Ended> {
    row.must(column)?
        .parse()
        .map_err(|fault: T::Err| Ended::bad(&format!("`{column}`: {fault}"), "see docs/book.md"))
}
