//! The shop, its people, corrections.

use super::Case;
use crate::command::Command;
use crate::fact::{Admission, Authorisation, Fact, Instruction};
use crate::names::{PersonId, Seq};
use crate::refusal::Refusal;
use crate::role::Role;
use crate::rules::Rules;

impl Case<'_> {
    pub(super) fn people(&mut self, command: &Command) {
        match command {
            Command::ChooseRules { rules } => self.choose_rules(rules),
            Command::SetClock { words } => self.set_clock(words),
            Command::EnterLimits { file } => {
                let file = self.keep(file);
                self.say(Fact::LimitsEntered { file });
            }
            Command::AdmitPerson(admission) => self.admit(admission),
            Command::GiveRole { person, role } => {
                self.known(person);
                self.keeps_a_lead(person, *role == Role::Lead);
                self.say(Fact::RoleGiven { person: person.clone(), role: *role });
            }
            Command::PersonLeaves { person } => {
                self.known(person);
                self.keeps_a_lead(person, false);
                self.say(Fact::PersonLeft { person: person.clone() });
            }
            Command::Instruct(instruction) => self.instruct(instruction),
            Command::Authorise(authorisation) => self.authorise(authorisation),
            Command::WithdrawAuthorisation { person, words } => {
                self.known(person);
                let words = self.words("reason", words);
                self.say(Fact::AuthorisationWithdrawn { person: person.clone(), words });
            }
            Command::Correct { event, words } => self.correct(*event, words),
            _ => {}
        }
    }

    fn choose_rules(&mut self, rules: &Rules) {
        self.refusals.extend(senseless(rules));
        self.say(Fact::RulesChosen { rules: rules.clone() });
    }

    fn set_clock(&mut self, words: &str) {
        self.refuse_if(self.at >= self.shop.latest, Refusal::ClockNotBehind);
        let words = self.words("reason", words);
        self.say(Fact::ClockSet { words });
    }

    fn admit(&mut self, admission: &Admission) {
        let there = self.shop.people.get(&admission.person).is_some_and(|p| !p.left);
        self.refuse_if(there, Refusal::AlreadyAdmitted(admission.person.clone()));
        let name = self.words("name", &admission.name);
        self.say(Fact::PersonAdmitted(Admission { name, ..admission.clone() }));
    }

    fn instruct(&mut self, instruction: &Instruction) {
        self.known(&instruction.person);
        self.past(instruction.on);
        let subject = self.words("subject", &instruction.subject);
        self.say(Fact::Instructed(Instruction { subject, ..instruction.clone() }));
    }

    fn authorise(&mut self, authorisation: &Authorisation) {
        self.known(&authorisation.person);
        let paper = self.words("place of the paper", &authorisation.paper);
        self.say(Fact::Authorised(Authorisation { paper, ..authorisation.clone() }));
    }

    fn correct(&mut self, event: Seq, words: &str) {
        self.refuse_if(event.0 == 0 || event > self.shop.head.seq, Refusal::NoSuchEvent(event));
        self.refuse_if(self.shop.corrected.contains(&event), Refusal::AlreadyCorrected(event));
        let words = self.words("reason", words);
        self.say(Fact::Corrected { event, words });
    }

    fn known(&mut self, person: &PersonId) {
        self.present(person);
    }

    fn keeps_a_lead(&mut self, person: &PersonId, stays_lead: bool) {
        let lead = |p: &crate::shop::Person| p.role == Role::Lead && !p.left;
        let is_lead = self.shop.people.get(person).is_some_and(lead);
        let others = self.shop.people.iter().any(|(id, p)| id != person && lead(p));
        self.refuse_if(is_lead && !stays_lead && !others, Refusal::LastLead(person.clone()));
    }
}

/// Why rules cannot be kept.
pub(crate) fn senseless(rules: &Rules) -> Vec<Refusal> {
    let Rules::Own(own) = rules else { return vec![] };
    let mut found = vec![];
    if own.source.trim().is_empty() {
        found.push(Refusal::Blank("source of the rules"));
    }
    if own.examination_months == 0 {
        found.push(Refusal::SenselessRules("no month between examinations"));
    }
    if own.instruction_months == Some(0) {
        found.push(Refusal::SenselessRules("instructions count for no month"));
    }
    found
}
