//! `check`: every problem of every file.

use std::path::PathBuf;

use crate::cli::{FINE, UNREADABLE};
use crate::document::Document;
use crate::write;

/// Prints all problems of all files; exit 2 if any is an error.
pub(crate) fn run(files: &[PathBuf]) -> u8 {
    let mut code = FINE;
    for path in files {
        let Some(mut document) = Document::open(path) else {
            code = UNREADABLE;
            continue;
        };
        let found = document.read_any();
        let (errors, warnings) = (document.problems.count(true), document.problems.count(false));
        write::err(&document.report());
        let name = &document.source.name;
        match found {
            Some((kind, called)) if errors == 0 => {
                let called = if called.is_empty() { String::new() } else { format!(" {called:?}") };
                let warnings = count(warnings, "warning");
                code = write::out(&format!("{name}: {}{called}: no errors, {warnings}\n", kind.mark()), code);
            }
            _ => {
                let found = [count(errors, "error"), count(warnings, "warning")].join(", ");
                code = write::out(&format!("{name}: {found}\n"), UNREADABLE);
            }
        }
    }
    code
}

fn count(n: usize, what: &str) -> String {
    match n {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}
