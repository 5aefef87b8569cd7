//! The shop and its people.

use std::ops::RangeInclusive;

use unicode_security::confusable_detection::skeleton;

use super::Case;
use crate::command::Command;
use crate::fact::{Admission, Authorisation, Fact, Instruction};
use crate::hall::{Hall, Person};
use crate::names::PersonId;
use crate::refusal::Refusal;
use crate::role::Role;
use crate::rules::Rules;
use crate::zone::{UnknownZone, Zone};

impl Case<'_> {
    pub(super) fn people(&mut self, command: &Command) {
        match command {
            Command::ChooseRules { rules } => self.choose_rules(rules),
            Command::ChooseUnits { units } => self.say(Fact::UnitsChosen { units: *units }),
            Command::ChooseZone { zone } => self.choose_zone(zone.trim()),
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
            Command::GiveAge { person, of_age } => {
                self.known(person);
                self.say(Fact::AgeGiven { person: person.clone(), of_age: *of_age });
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
            _ => {}
        }
    }

    fn choose_rules(&mut self, rules: &Rules) {
        self.refusals.extend(senseless(rules));
        self.say(Fact::RulesChosen { rules: rules.clone() });
    }

    fn choose_zone(&mut self, zone: &str) {
        match Zone::chosen(zone) {
            Ok(zone) => self.say(Fact::ZoneChosen { zone }),
            Err(UnknownZone(name)) => self.refuse(Refusal::UnknownZone(name)),
        }
    }

    fn set_clock(&mut self, words: &str) {
        self.refuse_if(self.at >= self.shop.latest, Refusal::ClockNotBehind);
        let words = self.words("reason", words);
        self.say(Fact::ClockSet { words });
    }

    fn admit(&mut self, admission: &Admission) {
        match self.shop.people.get(&admission.person) {
            None => {}
            Some(p) if p.left => self.refuse(Refusal::NameOfAnother(admission.person.clone())),
            Some(_) => self.refuse(Refusal::AlreadyAdmitted(admission.person.clone())),
        }
        let name = self.words("name", &admission.name);
        // Records and prints name people: nobody should have to ask which of two it was.
        let here = self.shop.people.iter().filter(|(id, p)| !p.left && **id != admission.person);
        let namesake = here.into_iter().find(|(_, p)| is_same_name(&p.name, &name));
        if let Some((id, _)) = namesake {
            self.refuse(Refusal::NameTwice(name.clone(), id.clone()));
        }
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

    fn known(&mut self, person: &PersonId) {
        self.present(person);
    }

    fn keeps_a_lead(&mut self, person: &PersonId, stays_lead: bool) {
        let is_lead = leads(self.shop).any(|(id, _)| id == person);
        if is_lead && !stays_lead {
            let others = leads(self.shop).filter(|(id, _)| *id != person);
            self.refusals.extend(last_lead(person, others));
        }
    }
}

/// Those who belong to the shop.
pub(super) fn leads(shop: &Hall) -> impl Iterator<Item = (&PersonId, &Person)> {
    shop.people.iter().filter(|(_, p)| p.role == Role::Lead && !p.left)
}

/// Whether nobody of the others could sign for the shop, nor give anybody a PIN.
pub(super) fn last_lead<'a>(
    lead: &PersonId,
    others: impl Iterator<Item = (&'a PersonId, &'a Person)>,
) -> Option<Refusal> {
    let (sign, cannot): (Vec<_>, Vec<_>) = others.partition(|(_, p)| p.pin.is_some());
    let cannot = cannot.into_iter().map(|(id, _)| id.clone()).collect();
    sign.is_empty().then(|| Refusal::LastLead(lead.clone(), cannot))
}

/// By their letters and digits alone, small or large, of whichever script they look the same in (Unicode Technical Standard 39,
/// confusable characters): as they are read on paper. Of names without any by all that is written.
fn is_same_name(one: &str, other: &str) -> bool {
    let signs = |name: &str| -> String {
        let signs: String = name.chars().filter(|c| c.is_alphanumeric()).collect();
        let alike = |text: &str| skeleton(text).collect::<String>();
        alike(&alike(&signs.to_uppercase()).to_lowercase())
    };
    let (left, right) = (signs(one), signs(other));
    left == right && (!left.is_empty() || one.trim() == other.trim())
}

/// The longest interval of any rule set is 120 months.
const MONTHS: RangeInclusive<u16> = 1..=120;

/// Why rules cannot be kept.
pub(crate) fn senseless(rules: &Rules) -> Vec<Refusal> {
    let Rules::Own(own) = rules else { return vec![] };
    let mut found = vec![];
    if own.source.trim().is_empty() {
        found.push(Refusal::Blank("source of the rules"));
    }
    if !MONTHS.contains(&own.examination_months) {
        found.push(Refusal::SenselessRules("there are 1 to 120 months between examinations"));
    }
    if own.instruction_months.is_some_and(|months| !MONTHS.contains(&months)) {
        found.push(Refusal::SenselessRules("an instruction counts for 1 to 120 months"));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::is_same_name;

    #[test]
    fn names_are_told_apart_by_their_letters() {
        for same in [
            ("T Berg", "T. Berg"),
            ("T.Berg", "t. BERG"),
            ("A. Weiß", "A WEISS"),
            ("R O'Dell", "R. Odell"),
            ("R. Holt", "R. \u{397}olt"),
            ("R. Holt", "R. H\u{43e}lt"),
        ] {
            assert!(is_same_name(same.0, same.1), "{same:?}");
        }
        for other in [("T. Berg", "T. Bergs"), ("T. Berg", "T. Berg junior"), ("17", "18"), ("Kid", "Kid2")] {
            assert!(!is_same_name(other.0, other.1), "{other:?}");
        }
    }
}
