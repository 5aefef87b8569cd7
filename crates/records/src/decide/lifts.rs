//! Lifts: what they are, checks, examinations, defects, in and out of service.

use std::collections::BTreeMap;

use super::Case;
use crate::checklist::CheckItem;
use crate::command::Command;
use crate::digest::Document;
use crate::fact::{Fact, Finding, LiftSheet, Report};
use crate::fitness::Fitness;
use crate::names::{DefectNumber, ExaminationNumber, LiftId};
use crate::refusal::Refusal;
use crate::rules::ReportField;

impl Case<'_> {
    pub(super) fn lifts(&mut self, command: &Command) {
        match command {
            Command::EnterLift { sheet, file } => self.enter_lift(sheet, file),
            Command::AlterLift { lift, words } => {
                self.known_lift(lift);
                let words = self.words("what was altered", words);
                self.say(Fact::LiftAltered { lift: lift.clone(), words });
            }
            Command::CheckLift { lift, findings } => self.check(lift, findings),
            Command::ReportExamination { report, paper } => self.examine(report, paper.as_ref()),
            Command::ConfirmExamination { number } => self.confirm_examination(*number),
            Command::ReportDefect { lift, words, stops_use } => {
                self.known_lift(lift);
                let words = self.words("defect", words);
                self.defect(lift, words, *stops_use);
            }
            Command::ReportRepair { number, words, bears_load } => self.repair(*number, words, *bears_load),
            Command::TagOut { lift, words } => {
                self.known_lift(lift);
                let words = self.words("reason", words);
                self.say(Fact::TaggedOut { lift: lift.clone(), words });
            }
            Command::ReturnToService { lift, words } => self.return_to_service(lift, words),
            _ => {}
        }
    }

    pub(super) fn known_lift(&mut self, lift: &LiftId) {
        self.refuse_if(!self.shop.lifts.contains_key(lift), Refusal::UnknownLift(lift.clone()));
    }

    fn enter_lift(&mut self, sheet: &LiftSheet, file: &Document) {
        for (what, text) in [
            ("bay", &sheet.bay),
            ("maker", &sheet.maker),
            ("model", &sheet.model),
            ("serial number", &sheet.serial),
            ("capacity", &sheet.capacity),
        ] {
            self.words(what, text);
        }
        if let Some(day) = sheet.first_used {
            self.past(day);
        }
        let file = self.keep(file);
        self.say(Fact::LiftEntered { sheet: sheet.clone(), file });
        if self.shop.lifts.get(&sheet.lift).is_some_and(|known| known.file != file) {
            let words = "another file of it was entered".to_owned();
            self.say(Fact::LiftAltered { lift: sheet.lift.clone(), words });
        }
    }

    /// What is wrong becomes a defect that stops use: a second, kinder check cannot undo it.
    fn check(&mut self, lift: &LiftId, findings: &BTreeMap<CheckItem, Finding>) {
        self.known_lift(lift);
        let missing: Vec<CheckItem> = CheckItem::all().filter(|item| !findings.contains_key(item)).collect();
        self.refuse_if(!missing.is_empty(), Refusal::CheckIncomplete(missing));
        self.say(Fact::LiftChecked { lift: lift.clone(), day: self.today, findings: findings.clone() });
        for (item, finding) in findings {
            if let Finding::Wrong { words } = finding {
                let words = self.words("what is wrong", words);
                self.defect(lift, format!("{item}: {words}"), true);
            }
        }
    }

    fn defect(&mut self, lift: &LiftId, words: String, stops_use: bool) {
        let new = self.decision.facts.iter().filter(|f| matches!(f, Fact::DefectFound { .. })).count() as u64;
        let number = DefectNumber(self.shop.counts.defects + new + 1);
        self.say(Fact::DefectFound { number, lift: lift.clone(), words, stops_use });
    }

    fn examine(&mut self, report: &Report, paper: Option<&Document>) {
        self.known_lift(&report.lift);
        self.past(report.on);
        let asked = self.shop.rules.rule_set().report_fields.value;
        let there = |field: &ReportField| match field {
            ReportField::NextDue => report.next_due.is_some(),
            other => report.fields.get(other).is_some_and(|text| !text.trim().is_empty()),
        };
        let missing: Vec<ReportField> = asked.into_iter().filter(|field| !there(field)).collect();
        self.refuse_if(!missing.is_empty(), Refusal::ReportIncomplete(missing));
        if let Some(due) = report.next_due.filter(|due| *due < report.on) {
            self.refuse(Refusal::DueBeforeExamined(due, report.on));
        }
        let number = ExaminationNumber(self.shop.counts.examinations + 1);
        let paper = paper.map(|p| self.keep(p));
        self.say(Fact::LiftExamined { number, report: report.clone(), paper });
        if !report.fit {
            self.say(Fact::TaggedOut {
                lift: report.lift.clone(),
                words: format!("examination {number} found it unfit for use"),
            });
        }
    }

    fn confirm_examination(&mut self, number: ExaminationNumber) {
        let mut all = self.shop.lifts.values().flat_map(|l| l.examinations.values());
        match all.find(|e| e.number == number) {
            None => self.refuse(Refusal::UnknownExamination(number)),
            Some(e) => self.refuse_if(e.confirmed.is_some(), Refusal::ExaminationConfirmed(number)),
        }
        self.say(Fact::ExaminationConfirmed { number });
    }

    fn repair(&mut self, number: DefectNumber, words: &str, bears_load: bool) {
        let lift = self.shop.defects.get(&number).and_then(|l| self.shop.lifts.get(l));
        match lift.and_then(|l| l.defects.get(&number)) {
            None => self.refuse(Refusal::UnknownDefect(number)),
            Some(defect) => self.refuse_if(defect.repaired.is_some(), Refusal::AlreadyRepaired(number)),
        }
        let words = self.words("what was repaired", words);
        self.say(Fact::DefectRepaired { number, words, bears_load });
    }

    fn return_to_service(&mut self, id: &LiftId, words: &str) {
        self.known_lift(id);
        if let Some(lift) = self.shop.lifts.get(id) {
            let open = lift.defects.iter().filter(|(_, d)| d.stops_use && d.repaired.is_none());
            let open: Vec<DefectNumber> = open.map(|(number, _)| *number).collect();
            let unfit = crate::fitness::found_unfit(self.shop, lift);
            self.refusals.extend(unfit.map(|number| Refusal::FoundUnfit(id.clone(), number)));
            let nothing = lift.tags.is_empty() && lift.defects.is_empty() && lift.left.is_none();
            self.refuse_if(!open.is_empty(), Refusal::NotRepaired(open));
            self.refuse_if(nothing, Refusal::InService(id.clone()));
        }
        let words = self.words("reason", words);
        self.say(Fact::ReturnedToService { lift: id.clone(), words });
    }

    /// Refused for all reasons that `counts` picks.
    pub(super) fn fit(&mut self, lift: &LiftId) {
        if let Fitness::Unfit(why) = crate::fitness::fitness(self.shop, lift, self.at) {
            self.refuse(Refusal::LiftUnfit(lift.clone(), why));
        }
    }
}
