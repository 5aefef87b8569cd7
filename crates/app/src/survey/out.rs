//! Where answers are written: tables, lines, Parquet. Each file is whole or not there.

use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use super::parquet;
use super::row::{Cell, Row, columns};
use crate::cell::guarded;
use crate::cli::UNREADABLE;
use crate::desk::Ended;
use crate::write::{self, Growing};

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    Csv,
    Lines,
    Parquet,
    Picture,
}

impl Kind {
    const fn option(self) -> &'static str {
        match self {
            Self::Csv => "--csv",
            Self::Lines => "--jsonl",
            Self::Parquet => "--parquet",
            Self::Picture => "--svg",
        }
    }

    /// By what such a file of ours is known.
    fn is_in(self, begin: &[u8]) -> bool {
        match self {
            Self::Csv => begin.starts_with(b"vehicle,lift,verdict,"),
            Self::Lines => begin.starts_with(b"{\"vehicle\":"),
            Self::Parquet => begin.starts_with(b"PAR1"),
            Self::Picture => String::from_utf8_lossy(begin).contains("<svg"),
        }
    }
}

/// Why one of them cannot be written where it is asked for, told before anything is computed.
pub(crate) fn fault(outputs: &[(Kind, &Path)], inputs: &[&Path]) -> Option<String> {
    let same = |a: &Path, b: &Path| a == b || write::written_at(a) == write::written_at(b);
    outputs.iter().enumerate().find_map(|(k, &(kind, path))| {
        let mut begin = [0u8; 256];
        let is_file = std::fs::metadata(path).is_ok_and(|m| m.is_file());
        let read = if is_file {
            std::fs::File::open(path).and_then(|mut f| f.read(&mut begin)).unwrap_or(0)
        } else {
            0
        };
        let why = if path.as_os_str() == "-" {
            "it goes into a file"
        } else if inputs.iter().any(|input| same(input, path)) {
            "this is one of the files of the survey, and is not overwritten"
        } else if outputs[..k].iter().any(|(_, other)| same(other, path)) {
            "something else goes into the same file"
        } else if read > 0 && !kind.is_in(&begin[..read]) {
            "this file is there already and is no survey; it is not overwritten"
        } else {
            return None;
        };
        Some(format!("error: {} {}: {why}\n  help: give another name\n", kind.option(), path.display()))
    })
}

/// Why a file cannot be written.
pub(crate) fn unwritten(path: &Path, fault: &io::Error) -> Ended {
    let shown = path.display();
    Ended::Said(format!("error: {shown}: it cannot be written: {}", write::why_not(fault)), UNREADABLE)
}

enum Form {
    Csv(Box<csv::Writer<Growing>>),
    Lines(Growing),
    Parquet(Box<parquet::Writer<Growing>>),
}

/// A file that rows go into.
pub(crate) struct Into {
    path: PathBuf,
    form: Form,
}

fn other(fault: impl std::error::Error + Send + Sync + 'static) -> io::Error {
    io::Error::other(fault)
}

impl Into {
    pub(crate) fn begin(kind: Kind, path: &Path) -> Result<Self, Ended> {
        let begun = || {
            let file = Growing::begin(path)?;
            Ok(match kind {
                Kind::Csv => {
                    let mut table = csv::Writer::from_writer(file);
                    table.write_record(columns().iter().map(|(name, _)| name)).map_err(other)?;
                    Form::Csv(Box::new(table))
                }
                Kind::Parquet => Form::Parquet(Box::new(parquet::Writer::begin(file).map_err(other)?)),
                Kind::Lines | Kind::Picture => Form::Lines(file),
            })
        };
        let form = begun().map_err(|fault| unwritten(path, &fault))?;
        Ok(Self { path: path.to_owned(), form })
    }

    pub(crate) fn row(&mut self, row: &Row) -> Result<(), Ended> {
        let written = match &mut self.form {
            Form::Csv(table) => {
                let cells = row.cells().into_iter().map(|cell| match cell {
                    Cell::Nothing => String::new(),
                    Cell::Text(text) => guarded(&text),
                    Cell::Number(value) => value.to_string(),
                    Cell::Count(count) => count.to_string(),
                });
                table.write_record(cells).map_err(other)
            }
            Form::Lines(file) => line(row).and_then(|line| file.write_all(line.as_bytes())),
            Form::Parquet(file) => file.row(row.cells()).map_err(other),
        };
        written.map_err(|fault| unwritten(&self.path, &fault))
    }

    /// Takes its place.
    pub(crate) fn finish(self) -> Result<(), Ended> {
        let finished = match self.form {
            Form::Csv(table) => match table.into_inner() {
                Ok(file) => file.finish(),
                Err(fault) => Err(fault.into_error()),
            },
            Form::Lines(file) => file.finish(),
            Form::Parquet(file) => file.finish().map_err(other).and_then(Growing::finish),
        };
        finished.map_err(|fault| unwritten(&self.path, &fault))
    }
}

/// A value as a line of JSON.
pub(crate) fn line(value: &impl serde::Serialize) -> io::Result<String> {
    Ok(serde_json::to_string(value).map_err(other)? + "\n")
}
