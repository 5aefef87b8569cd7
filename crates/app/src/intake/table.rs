//! Tables with a row for each lift, vehicle or job: from its own file, or from columns that are the keys of one.

use records::{Command, JobId, LiftId, LiftSheet, VehicleId};

use super::{JobFile, LiftFile, Made, NOT_KNOWN, Placed, VehicleFile, job_file, lift_file, vehicle_file};
use crate::cell::unguarded;
use crate::cli::UNREADABLE;
use crate::desk::Ended;
use crate::document::Document;
use crate::input::Source;
use crate::input::shape::{LONGEST, nearest, unfit};
use crate::measuring::{self, Heading, MORE, More, Subject, headings, whole_name};
use crate::verb::book::{JOBS, LIFTS, VEHICLES};

/// A cell may list many figures.
pub(crate) const LONGEST_LIST: usize = 1000;

/// Opens the file that a row names.
pub(crate) type Open<'a> = &'a dyn Fn(&str) -> Result<Document, Ended>;

/// What the rows of a table are, by the column that names them.
struct Rows {
    columns: &'static [&'static str],
    /// What its other columns measure.
    subject: Option<Subject>,
    made: fn(&Row<'_>) -> Result<Made, Ended>,
}

const ROWS: [Rows; 3] = [
    Rows { columns: &LIFTS, subject: Some(Subject::Lift), made: |row| row.lift() },
    Rows { columns: &VEHICLES, subject: Some(Subject::Vehicle), made: |row| row.vehicle() },
    Rows { columns: &JOBS, subject: None, made: |row| row.job() },
];

/// What is measured in a table to start from: lists up to their first row, arms in pairs.
pub(crate) fn usual(subject: Subject) -> Vec<Heading> {
    let later = |name: &str| (2..10).any(|n| name.contains(&format!(".{n}.")));
    let single = |name: &str| ["arms.front_", "arms.rear_"].iter().any(|arm| name.starts_with(arm));
    let mut usual = headings(subject);
    usual.retain(|heading| !later(&heading.name) && !single(&heading.name));
    usual
}

/// The columns of a table to start from: what names a thing, then what is measured of it.
pub(crate) fn columns(subject: Subject) -> Vec<String> {
    let own = ROWS.iter().find(|rows| rows.subject == Some(subject)).map_or(&[][..], |rows| rows.columns);
    let own = own.iter().filter(|name| **name != "file").map(ToString::to_string);
    own.chain(usual(subject).into_iter().map(|heading| heading.name)).collect()
}

/// A column as row 1 has it: its name, and the unit of its bare numbers.
pub(crate) struct Column<'a> {
    pub(crate) name: &'a str,
    pub(crate) unit: Option<&'a str>,
}

impl<'a> Column<'a> {
    pub(crate) fn of(head: &'a str) -> Self {
        let head = head.trim();
        let with_unit = head.strip_suffix(')').and_then(|head| head.split_once('('));
        match with_unit {
            Some((name, unit)) => Self { name: name.trim(), unit: Some(unit.trim()) },
            None => Self { name: head, unit: None },
        }
    }
}

/// A row, by the names of its columns.
struct Row<'a> {
    columns: &'a [Column<'a>],
    headings: &'a [Heading],
    cells: &'a [&'a str],
    open: Open<'a>,
}

/// One of the two, or what is wrong with either.
fn both<A, B>(one: Result<A, Ended>, other: Result<B, Ended>) -> Result<(A, B), Ended> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (Err(Ended::Said(one, code)), Err(Ended::Said(other, _))) => Err(Ended::Said(one + &other, code)),
        (Err(ended), _) | (_, Err(ended)) => Err(ended),
    }
}

/// A name of the book, and the mark that it was made from, if it was.
struct Named<T> {
    name: T,
    mark: Option<String>,
}

impl<T> Named<T> {
    /// With the mark before it, as it is found by it.
    fn described(&self, words: String) -> String {
        match &self.mark {
            Some(mark) if *mark != words => format!("{mark}, {words}"),
            _ => words,
        }
    }
}

impl Row<'_> {
    fn get(&self, column: &str) -> Option<String> {
        let at = self.columns.iter().position(|c| c.name == column)?;
        Some(self.cells[at]).filter(|text| !text.is_empty()).map(str::to_owned)
    }

    /// Cells that could not be printed as they are.
    fn fit(&self) -> Result<(), Ended> {
        let cells = self.columns.iter().zip(self.cells);
        let wrong = cells.filter_map(|(column, cell)| {
            let is_measured = self.headings.iter().any(|heading| heading.name == column.name);
            let [fault, help] = unfit(cell, if is_measured { LONGEST_LIST } else { LONGEST })?;
            Some(format!("error: `{}` {fault}\n  help: {help}\n", column.name))
        });
        let wrong: String = wrong.collect();
        if wrong.is_empty() { Ok(()) } else { Err(Ended::Said(wrong, UNREADABLE)) }
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

    /// A name of the book as it is; of any other mark one is made.
    fn name<T: std::str::FromStr<Err: std::fmt::Display>>(&self, column: &str) -> Result<Named<T>, Ended> {
        let mark = self.must(column)?;
        if let Ok(name) = mark.parse() {
            return Ok(Named { name, mark: None });
        }
        let wrong = |fault: T::Err| {
            Ended::bad(
                &format!("`{column}`: of “{mark}” no name can be made: {fault}"),
                "give a shorter mark, with letters or digits in it",
            )
        };
        whole_name(&mark).parse().map_err(wrong).map(|name| Named { name, mark: Some(mark.clone()) })
    }

    /// The cells that are keys of the file.
    fn measured(&self) -> Vec<(&Heading, String, Option<&str>)> {
        let cells = self.columns.iter().zip(self.cells).filter(|(_, cell)| !cell.is_empty());
        cells
            .filter_map(|(column, cell)| {
                let heading = self.headings.iter().find(|heading| heading.name == column.name)?;
                Some((heading, (*cell).to_owned(), column.unit))
            })
            .collect()
    }

    /// The file that a column names.
    fn opened(&self, column: &str, name: &str) -> Result<Document, Ended> {
        (self.open)(name).map_err(|ended| match ended {
            Ended::Said(text, code) => {
                Ended::Said(text.replacen("error: ", &format!("error: `{column}`: "), 1), code)
            }
            other => other,
        })
    }

    /// What a file beside the table says more.
    fn more(&self) -> Result<Option<More>, Ended> {
        let Some(name) = self.get(MORE) else { return Ok(None) };
        let source = self.opened(MORE, &name)?.source;
        More::of(&name, source)
            .map(Some)
            .map_err(|[what, help]| Ended::bad(&format!("`{MORE}`: {what}"), &help))
    }

    /// The file that the row names, or that its columns make under this name, with what is odd in it.
    fn file(&self, subject: Subject, name: &str) -> Result<(Document, String), Ended> {
        let (measured, file) = (self.measured(), self.get("file"));
        let more = self.more()?;
        match (file, measured.first()) {
            (Some(_), None) if more.is_some() => Err(Ended::bad(
                &format!("`file` names a whole file, and `{MORE}` what goes with columns"),
                "leave one of the two empty",
            )),
            (Some(file), None) => self.opened("file", &file).map(|file| (file, String::new())),
            (Some(_), Some((heading, ..))) => Err(Ended::bad(
                &format!("`file` names a file, and `{}` says what stands in one", heading.name),
                "give the file, or the columns that make one",
            )),
            (None, None) => Err(Ended::bad(
                "`file` is empty, and so is every column that could make a file",
                "docs/book.md tells the columns; `standfast new` writes a table with all of them",
            )),
            (None, Some(_)) => {
                let measuring::Row { text, told } =
                    measuring::Row::of(subject, name, &measured, more.as_ref());
                let said = |errors: bool| -> String {
                    let label = if errors { "error" } else { "warning" };
                    told.iter()
                        .filter(|t| t.is_error == errors)
                        .map(|t| format!("{label}: {}\n  help: {}\n", t.message, t.help))
                        .collect()
                };
                if told.iter().any(|t| t.is_error) {
                    return Err(Ended::Said(said(true) + &said(false), UNREADABLE));
                }
                Ok((Document::of(Source::new(subject.word(), text)), said(false)))
            }
        }
    }

    fn lift(&self) -> Result<Made, Ended> {
        let bay = self.get("bay").or_else(|| self.get("lift")).unwrap_or_default();
        let named = self.name::<LiftId>("lift");
        let plate = both(self.parsed("first_used"), self.parsed("year"));
        let file = self.file(Subject::Lift, &bay).and_then(|(file, odd)| {
            let file = lift_file(file)?;
            let capacity = file.plate(self.get("capacity").as_deref())?;
            Ok((file, capacity, odd))
        });
        let ((named, (first_used, year)), (file, capacity, odd)) = both(both(named, plate), file)?;
        let LiftFile { name, kept, warnings, .. } = file;
        let text = |column: &str| self.get(column).unwrap_or_else(|| NOT_KNOWN.to_owned());
        let bay = self.get("bay").or_else(|| named.mark.clone()).unwrap_or(name);
        let lift = named.name;
        let what = format!("lift {lift}");
        let sheet = LiftSheet {
            lift,
            bay,
            maker: text("maker"),
            model: text("model"),
            serial: text("serial"),
            year: year.unwrap_or(0),
            capacity,
            load_split: self.get("load_split"),
            first_used,
        };
        let warnings = if odd.is_empty() { warnings } else { odd };
        Ok(Made { what, command: Command::EnterLift { sheet, file: kept }, warnings })
    }

    fn vehicle(&self) -> Result<Made, Ended> {
        let named = self.name::<VehicleId>("vehicle");
        let called = self.get("description").or_else(|| self.get("vehicle")).unwrap_or_default();
        let called = named.as_ref().map_or(called.clone(), |named| named.described(called));
        let file = self
            .file(Subject::Vehicle, &called)
            .and_then(|(file, odd)| vehicle_file(file).map(|file| (file, odd)));
        let (named, (VehicleFile { name, kept: file, warnings }, odd)) = both(named, file)?;
        let description = named.described(self.get("description").unwrap_or(name));
        let vehicle = named.name;
        let what = format!("vehicle {vehicle}");
        let warnings = if odd.is_empty() { warnings } else { odd };
        Ok(Made { what, command: Command::EnterVehicle { vehicle, description, file }, warnings })
    }

    fn job(&self) -> Result<Made, Ended> {
        let file = self.must("file").and_then(|name| self.opened("file", &name)).and_then(job_file);
        let (named, file) = both(self.name::<JobId>("job"), file)?;
        let JobFile { name, kept: file, warnings } = file;
        let description = named.described(self.get("description").unwrap_or(name));
        let job = named.name;
        let what = format!("job {job}");
        Ok(Made { what, command: Command::EnterJob { job, description, file }, warnings })
    }
}

/// What stands between the columns: of what spreadsheets write the one that row 1 has most of.
pub(crate) fn delimiter(text: &[u8]) -> u8 {
    let first = text.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let count = |sign: &u8| first.iter().filter(|byte| *byte == sign).count();
    [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',')
}

/// What is wrong with the columns, if anything.
fn strange(shown: &str, columns: &[Column<'_>], rows: &Rows, headings: &[Heading]) -> Result<(), Ended> {
    let known: Vec<&str> =
        rows.columns.iter().copied().chain(headings.iter().map(|h| h.name.as_str())).collect();
    let mut said = String::new();
    for (at, Column { name, .. }) in columns.iter().enumerate() {
        if !known.contains(name) {
            let meant = match nearest(name, &known) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if headings.is_empty() => format!("a table of jobs has {}", rows.columns.join(", ")),
                None => format!(
                    "a table of {}s has {}, and the columns that docs/book.md tells; take out any other",
                    rows.columns[0],
                    rows.columns.join(", ")
                ),
            };
            said += &format!("error: {shown}: row 1: no such column: {name}\n  help: {meant}\n");
        } else if columns[..at].iter().any(|before| before.name == *name) {
            said += &format!("error: {shown}: row 1: `{name}` stands twice\n  help: leave one of the two\n");
        }
    }
    if said.is_empty() { Ok(()) } else { Err(Ended::Said(said, UNREADABLE)) }
}

/// A table with a row for each lift, each vehicle or each job: what each row makes, with its place.
///
/// Rows are counted as a spreadsheet does, the column names being row 1. Empty ones are passed over.
pub(crate) fn table(shown: &str, text: &[u8], open: Open<'_>) -> Result<Vec<Placed>, Ended> {
    let text = text.strip_prefix("\u{feff}".as_bytes()).unwrap_or(text);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter(text))
        .from_reader(text);
    let mut records = reader.byte_records().map(|record| {
        let record = record.map_err(|fault| Ended::bad(&fault.to_string(), "write the table anew"))?;
        let cells = record.iter().map(|cell| String::from_utf8(cell.to_vec()));
        let cells: Result<Vec<String>, _> = cells.collect();
        cells.map_err(|_| {
            Ended::bad("a cell is not UTF-8 text", "save the table as “CSV UTF-8”, as spreadsheets call it")
        })
    });
    let head = match records.next() {
        None => return Err(Ended::bad(&format!("{shown} is empty"), "begin it with a row of column names")),
        Some(Err(Ended::Said(why, _))) => {
            return Err(Ended::Said(
                why.replacen("error: ", &format!("error: {shown}: row 1: "), 1),
                UNREADABLE,
            ));
        }
        Some(head) => head?,
    };
    let columns: Vec<Column<'_>> = head.iter().map(|name| Column::of(name)).collect();
    let has = |column: &str| columns.iter().any(|c| c.name == column);
    let Some(rows) = ROWS.iter().find(|rows| has(rows.columns[0])) else {
        let firsts = ROWS.map(|rows| format!("`{}`", rows.columns[0])).join(", ");
        return Err(Ended::bad(
            &format!("{shown}: row 1: none of the columns {firsts}"),
            "one of them names what each row is; docs/book.md tells the others",
        ));
    };
    let headings = rows.subject.map(headings).unwrap_or_default();
    strange(shown, &columns, rows, &headings)?;
    let made = |cells: Vec<String>| {
        let cells: Vec<&str> = cells.iter().map(|cell| unguarded(cell.trim()).trim()).collect();
        if cells.len() != columns.len() {
            // A quotation mark that is not closed takes the rows after it into its cell.
            let help = match cells.iter().any(|cell| cell.contains('\n')) {
                true => {
                    "a quotation mark may not be closed: the lines after it were read as part of this row"
                }
                false => "give it as many cells as row 1",
            };
            return Err(Ended::bad(
                &format!("it has {} cells, and row 1 has {}", cells.len(), columns.len()),
                help,
            ));
        }
        let row = Row { columns: &columns, headings: &headings, cells: &cells, open };
        row.fit()?;
        (rows.made)(&row)
    };
    let is_empty = |cells: &Vec<String>| cells.iter().all(|cell| cell.trim().is_empty());
    Ok((2_usize..)
        .zip(records)
        .filter(|(_, cells)| !cells.as_ref().is_ok_and(is_empty))
        .map(|(number, cells)| (format!("{shown}: row {number}"), cells.and_then(made)))
        .collect())
}
