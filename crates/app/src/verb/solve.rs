//! `solve`: any support set, JSON in, JSON out.

use std::path::Path;

use crate::cli::{FINE, UNREADABLE};
use crate::convert::solve::answer;
use crate::document::Document;
use crate::write;

/// Prints the answer, whatever it is; exit 2 with all reasons if the question cannot be read.
pub(crate) fn run(file: &Path) -> u8 {
    let Some(mut document) = Document::open_json(file) else { return UNREADABLE };
    let question = document.question();
    write::err(&document.report());
    let Some(question) = question else { return UNREADABLE };
    write::json(&answer(&question), FINE)
}
