//! Checks before use and examinations.

use std::collections::BTreeMap;
use std::io::BufRead;
use std::path::PathBuf;

use clap::Args;
use jiff::civil::Date;
use records::{
    CheckItem, Command, Document as Kept, ExaminationNumber, Finding, LiftId, Report, ReportField,
    Thoroughness,
};

use super::{Answer, act, word};
use crate::cli::{FINE, UNREADABLE};
use crate::desk::{Before, Done, Ended};
use crate::input::Source;
use crate::input::problem::render_unreadable;
use crate::write;

#[derive(Args, Debug)]
pub(crate) struct Check {
    #[command(flatten)]
    at: Before,
    /// Which lift.
    lift: LiftId,
    /// Items that are right, with commas between them: hold-to-run, positioning-marks, locks, arm-restraints,
    /// synchronisation, leaks, pads, clearance.
    #[arg(long, value_name = "ITEMS", value_delimiter = ',', value_parser = word::<CheckItem>)]
    right: Vec<CheckItem>,
    /// An item that is not, and what is wrong with it; each becomes a defect that stops use.
    #[arg(long, value_name = "ITEM=TEXT", value_parser = pair::<CheckItem>)]
    wrong: Vec<(CheckItem, String)>,
}

/// A key and what belongs to it.
fn pair<T: serde::de::DeserializeOwned>(text: &str) -> Result<(T, String), String> {
    let (key, value) = text.split_once('=').ok_or("write it as NAME=TEXT")?;
    Ok((word(key.trim())?, value.trim().to_owned()))
}

impl Check {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let all_right = CheckItem::all().map(|item| (item, Finding::Right)).collect();
        desk.would(&Command::CheckLift { lift: self.lift.clone(), findings: all_right }).await?;
        let findings = if self.right.is_empty() && self.wrong.is_empty() { ask()? } else { self.said()? };
        act(&desk, &Command::CheckLift { lift: self.lift.clone(), findings }).await
    }

    fn said(&self) -> Result<BTreeMap<CheckItem, Finding>, Ended> {
        let right = self.right.iter().map(|item| (*item, Finding::Right));
        let wrong = self.wrong.iter().map(|(item, words)| (*item, Finding::Wrong { words: words.clone() }));
        let mut findings = BTreeMap::new();
        for (item, finding) in right.chain(wrong) {
            if findings.insert(item, finding).is_some() {
                return Err(Ended::bad(&format!("“{item}” is answered twice"), "answer each item once"));
            }
        }
        Ok(findings)
    }
}

/// Each item, one line of answer: `right`, or what is wrong. An empty line is no answer.
fn ask() -> Result<BTreeMap<CheckItem, Finding>, Ended> {
    let mut lines = std::io::stdin().lock().lines();
    let mut findings = BTreeMap::new();
    write::out("Look at each; type right, or what is wrong.\n", FINE);
    for item in CheckItem::all() {
        write::out(&format!("  {item}: "), FINE);
        let line = lines.next().transpose().map_err(|fault| {
            Ended::bad(&format!("nothing can be typed: {fault}"), "answer with --right and --wrong")
        })?;
        match line.as_deref().map(str::trim) {
            None | Some("") => {}
            Some("right") => drop(findings.insert(item, Finding::Right)),
            Some(words) => drop(findings.insert(item, Finding::Wrong { words: words.to_owned() })),
        }
    }
    write::out("\n", FINE);
    Ok(findings)
}

/// Every field of a report that a rule set may ask for, the next date aside.
pub(crate) const REPORT: [ReportField; 18] = [
    ReportField::Scope,
    ReportField::Defects,
    ReportField::Retest,
    ReportField::Examiner,
    ReportField::ExaminerAddress,
    ReportField::Qualifications,
    ReportField::ExaminerEmployer,
    ReportField::Signature,
    ReportField::SignedFor,
    ReportField::ReportDate,
    ReportField::Owner,
    ReportField::Location,
    ReportField::Identity,
    ReportField::LastExamination,
    ReportField::WorkingLoad,
    ReportField::Reason,
    ReportField::Repair,
    ReportField::Test,
];

/// Said of `--field`.
fn fields() -> String {
    let name = |field| serde_json::to_value(field).ok().and_then(|name| name.as_str().map(str::to_owned));
    let names: Vec<_> = REPORT.into_iter().filter_map(name).collect();
    format!("A field of the report: {}", names.join(", "))
}

#[derive(Args, Debug)]
pub(crate) struct Examination {
    #[command(flatten)]
    at: Before,
    /// Which lift.
    lift: LiftId,
    /// When it was examined, YYYY-MM-DD.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    on: Date,
    /// routine, regular or major.
    #[arg(long, value_name = "KIND", value_parser = word::<Thoroughness>, default_value = "regular")]
    kind: Thoroughness,
    /// Whether it may be used.
    #[arg(long, value_enum)]
    fit: Answer,
    /// By when the next one is due, YYYY-MM-DD, if the examiner says so.
    #[arg(long, value_name = "DAY", value_parser = crate::cli::day)]
    next_due: Option<Date>,
    #[arg(long, value_name = "FIELD=TEXT", value_parser = pair::<ReportField>, help = fields())]
    field: Vec<(ReportField, String)>,
    /// The report itself, a text file; kept to the byte.
    #[arg(long, value_name = "FILE")]
    paper: Option<PathBuf>,
}

impl Examination {
    pub(super) async fn enter(&self) -> Done {
        let paper = match &self.paper {
            None => None,
            Some(path) => {
                let read = Source::read(path);
                let source = read.map_err(|fault| Ended::Said(render_unreadable(&fault), UNREADABLE))?;
                Some(Kept::new(source.text))
            }
        };
        if self.field.iter().any(|(field, _)| *field == ReportField::NextDue) {
            return Err(Ended::bad("next-due is a day, and no text", "write --next-due YYYY-MM-DD"));
        }
        let mut fields = BTreeMap::new();
        for (field, text) in &self.field {
            if fields.insert(*field, text.clone()).is_some() {
                return Err(Ended::bad(&format!("“{field}” is given twice"), "give each field once"));
            }
        }
        let report = Report {
            lift: self.lift.clone(),
            on: self.on,
            thoroughness: self.kind,
            fit: self.fit == Answer::Yes,
            next_due: self.next_due,
            fields,
        };
        let desk = self.at.open().await?;
        act(&desk, &Command::ReportExamination { report, paper }).await
    }
}

#[derive(Args, Debug)]
pub(crate) struct Confirmation {
    #[command(flatten)]
    at: Before,
    /// Number of the examination.
    examination: u64,
}

impl Confirmation {
    pub(super) async fn enter(&self) -> Done {
        let desk = self.at.open().await?;
        let number = ExaminationNumber(self.examination);
        act(&desk, &Command::ConfirmExamination { number }).await
    }
}

#[cfg(test)]
mod tests {
    use records::{ReportField, Rules};

    use super::{REPORT, fields};

    #[test]
    fn the_help_names_every_field_that_rules_ask_for() {
        let help = format!("{},", fields().replace(':', ","));
        for rules in Rules::OF_COUNTRIES {
            for field in rules.rule_set().report_fields.value.iter().filter(|f| **f != ReportField::NextDue) {
                let name = serde_json::to_value(field).unwrap();
                assert!(REPORT.contains(field), "{field}");
                assert!(help.contains(&format!(" {},", name.as_str().unwrap())), "{field}: {help}");
            }
        }
    }
}
