//! Files that a plan is drawn and printed into.

use std::fs;
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use sheets::{Paper, Scene, Units};

use crate::paper::{self, Edition};
use crate::write::{self, Growing};

/// Where to.
#[derive(Args, Debug)]
pub(crate) struct Outputs {
    /// Draw plan view and side view into this file.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Print the sheet that hangs on the column into this file, PDF: one page; where not all has room what was guessed and the
    /// key of the drawings go on on a second, then the side view, and last of all, whole, what is confirmed; it says so.
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Print the working into this file: every check with its formula, numbers, limit, reserve and source, PDF.
    #[arg(long, value_name = "FILE")]
    pdf_working: Option<PathBuf>,
    /// Print the working for a class into this file: with blanks to fill in, and the answers on pages of their own at the end, PDF.
    #[arg(long, value_name = "FILE")]
    pdf_class: Option<PathBuf>,
    /// What PDF is printed on; left out = letter with US units, else a4.
    #[arg(long, value_enum)]
    paper: Option<Sheet>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum Sheet {
    /// 210 by 297 mm.
    A4,
    /// 8 1/2 by 11 in.
    Letter,
}

impl Sheet {
    /// What is usual with those units.
    pub(crate) fn or_usual(sheet: Option<Self>, units: Units) -> Paper {
        match (sheet, units) {
            (Some(Self::A4), _) | (None, Units::Metric) => Paper::A4,
            (Some(Self::Letter), _) | (None, Units::Us) => Paper::Letter,
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum What {
    Drawing,
    Printed(Edition),
}

impl What {
    const fn option(self) -> &'static str {
        match self {
            Self::Drawing => "--svg",
            Self::Printed(Edition::Bay) => "--pdf",
            Self::Printed(Edition::Working) => "--pdf-working",
            Self::Printed(Edition::Class) => "--pdf-class",
        }
    }

    const fn name(self) -> &'static str {
        if matches!(self, Self::Drawing) { "drawing" } else { "PDF" }
    }

    /// By what such a file is known.
    fn is_in(self, begin: &[u8]) -> bool {
        match self {
            Self::Drawing => String::from_utf8_lossy(begin).contains("<svg"),
            Self::Printed(_) => begin.starts_with(b"%PDF-"),
        }
    }

    /// Whether a file is there that is not empty and is something else.
    fn would_replace_another(self, path: &Path) -> bool {
        let mut begin = [0u8; 256];
        let is_file = fs::metadata(path).is_ok_and(|m| m.is_file());
        let read = is_file.then(|| fs::File::open(path).and_then(|mut f| f.read(&mut begin)).ok()).flatten();
        read.is_some_and(|n| n > 0 && !self.is_in(&begin[..n]))
    }
}

/// Whether a file is there that a PDF would destroy.
pub(crate) fn holds_no_pdf(path: &Path) -> bool {
    What::Printed(Edition::Bay).would_replace_another(path)
}

impl Outputs {
    fn all(&self) -> impl Iterator<Item = (What, &Path)> {
        let printed = [
            (What::Drawing, &self.svg),
            (What::Printed(Edition::Bay), &self.pdf),
            (What::Printed(Edition::Working), &self.pdf_working),
            (What::Printed(Edition::Class), &self.pdf_class),
        ];
        printed.into_iter().filter_map(|(what, path)| Some((what, path.as_deref()?)))
    }

    /// Why one of them cannot be written where it is asked for, told before anything is planned.
    pub(crate) fn fault(&self, inputs: &[&Path]) -> Option<String> {
        let same =
            |a: &Path, b: &Path| a == b || a.canonicalize().is_ok_and(|a| Some(a) == b.canonicalize().ok());
        let all: Vec<(What, &Path)> = self.all().collect();
        all.iter().enumerate().find_map(|(k, &(what, path))| {
            let (option, shown) = (what.option(), path.display());
            if path.as_os_str() == "-" {
                let name = what.name();
                return Some(format!(
                    "error: {option} -: a {name} goes into a file\n  help: give its name\n"
                ));
            }
            let why = if inputs.iter().any(|input| same(input, path)) {
                "this is one of the files of the plan, and is not overwritten".to_owned()
            } else if all[..k].iter().any(|(_, other)| same(other, path)) {
                "something else goes into the same file".to_owned()
            } else if what.would_replace_another(path) {
                format!("this file is there already and is no {}; it is not overwritten", what.name())
            } else {
                return None;
            };
            Some(format!("error: {option} {shown}: {why}\n  help: give another name\n"))
        })
    }

    /// Writes all of them or, where one cannot be written, none; why not.
    pub(crate) fn write(&self, scene: &Scene<'_>, units: Units) -> Result<(), String> {
        let paper = Sheet::or_usual(self.paper, units);
        if self.all().any(|(what, _)| matches!(what, What::Printed(_))) {
            write::err(&paper::boxes(&sheets::words::not_printed(scene)));
        }
        let mut written = vec![];
        for (what, path) in self.all() {
            let bytes = match what {
                What::Drawing => sheets::svg(scene, units).into_bytes(),
                What::Printed(edition) => paper::plan(scene, units, paper, edition)
                    .map_err(|why| format!("error: {}: {why}\n", path.display()))?,
            };
            let fault = move |fault: io::Error| {
                let (shown, name) = (path.display(), what.name());
                format!("error: {shown}: the {name} cannot be written: {}", write::why_not(&fault))
            };
            let growing = Growing::begin(path).and_then(|mut file| {
                file.write_all(&bytes)?;
                Ok(file)
            });
            written.push((growing.map_err(fault)?, fault));
        }
        written.into_iter().try_for_each(|(file, fault)| file.finish().map_err(fault))
    }
}
