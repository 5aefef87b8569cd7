//! Tables of lifts or vehicles, row by row: what stands between the columns, what they are, and which cells a row has.

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Seek};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::cell::unguarded;
use crate::input::shape::nearest;
use crate::intake::{Column, delimiter};
use crate::measuring::{Heading, Subject, headings};
use crate::verb::book::{LIFTS, VEHICLES};

/// Columns of a vehicle that is known by its papers, the first of which names it.
pub(crate) const PAPERS: [&str; 10] =
    ["id", "name", "wheelbase", "mass", "length", "width", "height", "class", "drive", "front_share"];

/// What the columns of a table are.
#[derive(Debug)]
pub(crate) struct Head {
    pub(crate) columns: Vec<(String, Option<String>)>,
    pub(crate) form: Form,
    /// Where files lie that a row names.
    pub(crate) folder: PathBuf,
}

/// What a row says of a thing.
#[derive(Debug)]
pub(crate) enum Form {
    /// What its papers say.
    Papers,
    /// Any key of its file.
    Measured(Vec<Heading>),
}

/// What is wrong, and what would be right.
pub(crate) fn wrong(what: &str, help: &str) -> String {
    format!("error: {what}\n  help: {help}\n")
}

/// What is legal but odd, and what is usual.
pub(crate) fn odd(what: &str, help: &str) -> String {
    format!("warning: {what}\n  help: {help}\n")
}

impl Head {
    /// From the names in row 1; the error is what is wrong with them.
    pub(crate) fn of(subject: Subject, names: &[String], path: &Path) -> Result<Arc<Self>, String> {
        let columns: Vec<(String, Option<String>)> = names
            .iter()
            .map(|name| {
                let column = Column::of(name);
                (column.name.replace(' ', "_"), column.unit.map(str::to_owned))
            })
            .collect();
        let has = |name: &str| columns.iter().any(|(column, _)| column == name);
        let (own, form) = match subject {
            Subject::Vehicle if has(PAPERS[0]) => (&PAPERS[..], Form::Papers),
            Subject::Vehicle if has(VEHICLES[0]) => (&VEHICLES[..], Form::Measured(headings(subject))),
            Subject::Lift if has(LIFTS[0]) => (&LIFTS[..], Form::Measured(headings(subject))),
            Subject::Vehicle => {
                return Err(wrong(
                    "row 1: none of the columns `id`, `vehicle`",
                    "`id` names a vehicle that is known by its papers, `vehicle` one that was measured; docs/survey.md tells the others",
                ));
            }
            Subject::Lift => {
                return Err(wrong(
                    "row 1: no column `lift`",
                    "it names each lift; docs/book.md tells the others",
                ));
            }
        };
        let mut known: Vec<&str> = own.to_vec();
        if let Form::Measured(headings) = &form {
            known.extend(headings.iter().map(|h| h.name.as_str()));
        }
        let mut said = String::new();
        for (at, (name, _)) in columns.iter().enumerate() {
            if !known.contains(&name.as_str()) {
                let help = match nearest(name, &known) {
                    Some(meant) => format!("did you mean `{meant}`?"),
                    None => format!("there are {}; take out any other", own.join(", ")),
                };
                said += &wrong(&format!("row 1: no such column: {name}"), &help);
            } else if columns[..at].iter().any(|(before, _)| before == name) {
                said += &wrong(&format!("row 1: `{name}` stands twice"), "leave one of the two");
            }
        }
        let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if said.is_empty() {
            Ok(Arc::new(Self { columns, form, folder: folder.to_owned() }))
        } else {
            Err(said)
        }
    }

    /// The cell under a name with the unit of its column, if it is not empty.
    pub(crate) fn cell<'a>(&'a self, cells: &'a [String], name: &str) -> Option<(&'a str, Option<&'a str>)> {
        let at = self.columns.iter().position(|(column, _)| column == name)?;
        let text = cells.get(at).map(String::as_str).filter(|text| !text.is_empty())?;
        Some((text, self.columns[at].1.as_deref()))
    }

    /// What a row is called.
    pub(crate) fn id(&self, cells: &[String]) -> Option<String> {
        let name = match &self.form {
            Form::Papers => PAPERS[0],
            Form::Measured(_) if self.columns.iter().any(|(name, _)| name == LIFTS[0]) => LIFTS[0],
            Form::Measured(_) => VEHICLES[0],
        };
        self.cell(cells, name).map(|(text, _)| text.to_owned())
    }
}

/// A row of a table.
pub(crate) struct Line {
    /// Its number as a spreadsheet counts.
    pub(crate) row: u64,
    pub(crate) cells: Result<Vec<String>, Unread>,
    pub(crate) with: With,
}

/// A row that cannot be read.
pub(crate) struct Unread {
    /// What is wrong with it.
    pub(crate) why: String,
    /// What stands there; `None` = nobody knows.
    pub(crate) stands: Option<Vec<u8>>,
}

/// What is lost with a row or table that cannot be used, beside itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum With {
    Nothing,
    /// So many rows after it.
    Rows(u64),
    /// So many lines after it, which were read into its cells.
    Lines(u64),
    /// All after it, or of a table all of it: nobody counted them.
    Rest,
}

/// The rows of a CSV file, one by one.
pub(crate) struct Lines {
    records: csv::ByteRecordsIntoIter<BufReader<File>>,
    columns: usize,
    row: u64,
    /// The line after the last row's.
    line: u64,
    /// Where the last byte was read.
    end: u64,
}

/// The line after a row, as the reader stands, and how many lines are within its cells.
fn lines_of(records: &csv::ByteRecordsIntoIter<BufReader<File>>, record: &csv::ByteRecord) -> (u64, u64) {
    let within: usize = record.iter().map(|cell| cell.iter().filter(|b| **b == b'\n').count()).sum();
    (records.reader().position().line(), within as u64)
}

fn texts(record: &csv::ByteRecord) -> Result<Vec<String>, String> {
    record
        .iter()
        .map(|cell| std::str::from_utf8(cell).map(|cell| unguarded(cell.trim()).trim().to_owned()))
        .collect::<Result<_, _>>()
        .map_err(|_| {
            wrong("a cell is not UTF-8 text", "save the table as “CSV UTF-8”, as spreadsheets call it")
        })
}

/// Opens a table: its row 1, and the rows after it.
pub(crate) fn csv_file(path: &Path) -> Result<(Vec<String>, Lines), String> {
    let unread = |fault: &dyn std::fmt::Display| wrong(&fault.to_string(), "check the file and its name");
    let mut file = BufReader::new(File::open(path).map_err(|e| unread(&e))?);
    let mut first = Vec::new();
    file.by_ref().take(1 << 20).read_until(b'\n', &mut first).map_err(|e| unread(&e))?;
    let length = file.get_ref().metadata().map_err(|e| unread(&e))?.len();
    let mark = if first.starts_with("\u{feff}".as_bytes()) { 3 } else { 0 };
    file.seek(std::io::SeekFrom::Start(mark)).map_err(|e| unread(&e))?;
    let reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter(&first))
        .from_reader(file);
    let mut records = reader.into_byte_records();
    let head = match records.next() {
        None => return Err(wrong("it is empty", "begin it with a row of column names")),
        Some(head) => head.map_err(|e| unread(&e))?,
    };
    let (line, within) = lines_of(&records, &head);
    let head = texts(&head)?;
    let columns = head.len();
    let row = line.saturating_sub(1 + within).max(1);
    Ok((head, Lines { records, columns, row, line, end: length.saturating_sub(mark) }))
}

impl Lines {
    /// A row, if it is as wide as row 1 or empty.
    fn as_wide(&self, cells: Vec<String>) -> Result<Vec<String>, String> {
        if cells.len() == self.columns || cells.iter().all(String::is_empty) {
            return Ok(cells);
        }
        // A quotation mark that is not closed takes the rows after it into its cell.
        let help = if cells.iter().any(|cell| cell.contains('\n')) {
            "a quotation mark may not be closed: the lines after it were read as part of this row"
        } else {
            "give it as many cells as row 1"
        };
        Err(wrong(&format!("it has {} cells, and row 1 has {}", cells.len(), self.columns), help))
    }
}

impl Iterator for Lines {
    type Item = Line;

    /// Empty rows are counted and passed over.
    fn next(&mut self) -> Option<Line> {
        loop {
            let record = self.records.next()?;
            // Lines with nothing on them are rows of a spreadsheet as well.
            let (after, within) = record.as_ref().map_or((self.line + 1, 0), |r| lines_of(&self.records, r));
            self.row += 1 + after.saturating_sub(self.line + 1 + within);
            self.line = after;
            let is_at_end = self.records.reader().position().byte() >= self.end;
            let with = match (&record, within) {
                (Err(_), _) => With::Rest,
                (Ok(_), 0) => With::Nothing,
                (Ok(_), _) if is_at_end => With::Rest,
                (Ok(_), lines) => With::Lines(lines),
            };
            let cells = match record {
                Err(e) => Err(Unread { why: wrong(&e.to_string(), "write the table anew"), stands: None }),
                Ok(record) => match texts(&record).and_then(|cells| self.as_wide(cells)) {
                    Ok(cells) if cells.iter().all(String::is_empty) => continue,
                    Ok(cells) => Ok(cells),
                    Err(why) => Err(Unread { why, stands: Some(record.iter().collect::<Vec<_>>().join(&0)) }),
                },
            };
            return Some(Line { row: self.row, cells, with });
        }
    }
}
