//! All rules of the shop: what a command leads to, or every reason why not. Pure.

mod corrections;
mod lifts;
mod people;
mod practice;
mod raises;
mod refused;

use jiff::Timestamp;
use jiff::civil::Date;

pub(crate) use people::senseless;
pub use refused::refused;

use crate::command::{Command, Hand};
use crate::digest::{Digest, Document};
use crate::fact::Fact;
use crate::hall::day_in;
use crate::names::{PersonId, RaiseNumber};
use crate::progress::Progress;
use crate::refusal::Refusal;
use crate::role::{Act, May, Role, may};
use crate::rules::months_after;
use crate::set_back::{Lapse, Reckoning};
use crate::shop::Shop;

/// What a command leads to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Decision {
    /// What goes into the book, in order.
    pub facts: Vec<Fact>,
    /// What they refer to.
    pub documents: Vec<Document>,
}

/// Decides; `struck` is what the event of a correction says.
///
/// # Errors
/// Every reason why it is not done, permission first.
pub fn decide(
    shop: &Shop,
    at: Timestamp,
    hand: &Hand,
    command: &Command,
    struck: Option<&Fact>,
) -> Result<Decision, Vec<Refusal>> {
    let mut case = Case { struck, ..Case::new(shop, at, hand) };
    case.clock();
    case.permission(act_of(shop, command), operates(shop, command));
    case.consider(command);
    if case.refusals.is_empty() { Ok(case.decision) } else { Err(case.refusals) }
}

/// The row of the role table that it falls under. What is in the book already is replaced. What stops a raise or brings it down is not held up, though a learner is
/// left alone or an instruction lapsed meanwhile.
#[must_use]
pub(crate) fn act_of(shop: &Shop, command: &Command) -> Act {
    match command {
        Command::Confirm { raise, point, .. } => match progress(shop, *raise) {
            Some(at) if at.next() == Some(*point) && at.is_left_to_whoever_leads() => Act::StopRaise,
            _ => Act::Raise,
        },
        Command::EnterVehicle { vehicle, .. } if shop.fleet.vehicles.contains_key(vehicle) => Act::Replace,
        Command::EnterJob { job, .. } if shop.jobs.contains_key(job) => Act::Replace,
        other => other.act(),
    }
}

/// Whether the person must be instructed and authorised for it.
fn operates(shop: &Shop, command: &Command) -> bool {
    match command {
        Command::Confirm { raise, point, .. } => {
            point.goes_up() || progress(shop, *raise).is_some_and(Progress::goes_on)
        }
        other => other.act().operates(),
    }
}

fn progress(shop: &Shop, raise: RaiseNumber) -> Option<&Progress> {
    shop.raises.get(&raise).map(|raise| &raise.progress)
}

/// The reasons why that person may not do that alone, setting others' PINs for one.
pub(crate) fn permission(shop: &Shop, at: Timestamp, hand: &Hand, act: Act) -> Vec<Refusal> {
    let mut case = Case::new(shop, at, hand);
    case.permission(act, false);
    case.refusals
}

/// Who else may lead a raise alone.
pub(crate) fn may_lead(shop: &Shop, at: Timestamp, but: &PersonId) -> Vec<PersonId> {
    let alone = |id: &&PersonId| {
        let hand = Hand::alone((*id).clone());
        let mut case = Case::new(shop, at, &hand);
        case.permission(Act::Raise, true);
        case.refusals.is_empty()
    };
    shop.people.keys().filter(|id| *id != but).filter(alone).cloned().collect()
}

struct Case<'a> {
    shop: &'a Shop,
    at: Timestamp,
    today: Date,
    hand: &'a Hand,
    struck: Option<&'a Fact>,
    refusals: Vec<Refusal>,
    decision: Decision,
}

impl<'a> Case<'a> {
    fn new(shop: &'a Shop, at: Timestamp, hand: &'a Hand) -> Self {
        let today = shop.today(at);
        Self { shop, at, today, hand, struck: None, refusals: vec![], decision: Decision::default() }
    }
}

impl Case<'_> {
    fn refuse(&mut self, refusal: Refusal) {
        self.refusals.push(refusal);
    }

    fn refuse_if(&mut self, condition: bool, refusal: Refusal) {
        if condition {
            self.refusals.push(refusal);
        }
    }

    fn say(&mut self, fact: Fact) {
        self.refusals.extend(crate::text::unfit(&fact));
        self.decision.facts.push(fact);
    }

    fn keep(&mut self, document: &Document) -> Digest {
        self.refuse_if(document.text().contains('\0'), Refusal::NotText);
        self.decision.documents.push(document.clone());
        document.digest()
    }

    fn words(&mut self, what: &'static str, words: &str) -> String {
        self.refuse_if(words.trim().is_empty(), Refusal::Blank(what));
        words.trim().to_owned()
    }

    /// By the clock, also where it stands behind: later than that nothing was done yet.
    fn past(&mut self, day: Date) {
        self.refuse_if(day > day_in(&self.shop.zone, self.at), Refusal::NotYet(day));
    }

    fn clock(&mut self) {
        if self.shop.behind.is_none() && self.shop.went_back(self.at) {
            self.say(Fact::ClockBehind { last: self.shop.latest });
        }
    }

    fn permission(&mut self, act: Act, operates: bool) {
        let Some(role) = self.present(&self.hand.by.clone()) else { return };
        match may(role, act) {
            May::No => self.refuse(Refusal::RoleMayNot(self.hand.by.clone(), role, act)),
            May::Yes if operates => self.operator(&self.hand.by.clone(), true),
            May::Yes => {}
            May::WithSecond => {
                if operates {
                    self.operator(&self.hand.by.clone(), false);
                }
                self.second(act, operates);
            }
        }
    }

    fn second(&mut self, act: Act, operates: bool) {
        let Some(second) = self.hand.with.clone() else { return self.refuse(Refusal::SecondNeeded(act)) };
        if second == self.hand.by {
            return self.refuse(Refusal::SecondIsTheSame);
        }
        let Some(role) = self.present(&second) else { return };
        if may(role, act) != May::Yes {
            self.refuse(Refusal::SecondMayNot(second, role, act));
        } else if operates {
            self.operator(&second, true);
        }
    }

    /// Their role, if they belong to the shop.
    fn present(&mut self, person: &PersonId) -> Option<Role> {
        match self.shop.people.get(person) {
            None => self.refuse(Refusal::UnknownPerson(person.clone())),
            Some(p) if p.left => self.refuse(Refusal::HasLeft(person.clone())),
            Some(p) => return Some(p.role),
        }
        None
    }

    /// Of age, instructed, and authorised where they act alone. Age and authorisation begin on a day, an instruction lapses.
    fn operator(&mut self, id: &PersonId, alone: bool) {
        let Some(person) = self.shop.people.get(id) else { return };
        let rules = self.shop.rules.rule_set();
        let today = self.shop.sooner_today(self.at);
        if rules.operator_age.is_some() {
            match person.of_age {
                None => self.refuse(Refusal::AgeUnknown(id.clone())),
                Some(day) => self.refuse_if(today < day, Refusal::TooYoung(id.clone(), day)),
            }
        }
        let instructions = person.instructions.iter();
        let last = instructions.max_by_key(|(seq, i)| (self.shop.counts_from(**seq, i.on), **seq));
        match (last, rules.instruction_months) {
            (None, _) => self.refuse(Refusal::NotInstructed(id.clone())),
            (Some((given, instruction)), Some(months)) => {
                let until = |by: &Reckoning<'_>| months_after(by.from(*given, instruction.on), months.value);
                let mut lapses = self.shop.reckonings(self.at).filter_map(|by| by.lapse(*given, until(&by)));
                match lapses.next() {
                    Some(Lapse::After(until)) => self.refuse(Refusal::InstructionLapsed(id.clone(), until)),
                    Some(Lapse::BeforeSetBack) => self.refuse(Refusal::InstructedBeforeClock(id.clone())),
                    None => {}
                }
            }
            (Some(_), None) => {}
        }
        let authorised = person.authorised(today).is_some();
        self.refuse_if(alone && !authorised, Refusal::NotAuthorised(id.clone()));
    }

    fn consider(&mut self, command: &Command) {
        match command {
            Command::ChooseRules { .. }
            | Command::ChooseUnits { .. }
            | Command::ChooseZone { .. }
            | Command::SetClock { .. }
            | Command::EnterLimits { .. }
            | Command::AdmitPerson(_)
            | Command::GiveRole { .. }
            | Command::GiveAge { .. }
            | Command::PersonLeaves { .. }
            | Command::Instruct(_)
            | Command::Authorise(_)
            | Command::WithdrawAuthorisation { .. } => self.people(command),
            Command::Correct { event, words } => self.correct(*event, words),
            Command::EnterLift { .. }
            | Command::AlterLift { .. }
            | Command::CheckLift { .. }
            | Command::ReportExamination { .. }
            | Command::ConfirmExamination { .. }
            | Command::ReportDefect { .. }
            | Command::ReportRepair { .. }
            | Command::TagOut { .. }
            | Command::ReturnToService { .. } => self.lifts(command),
            Command::SetPractice(new) => self.set_practice(new),
            Command::TryPractice { of, setup, end } => self.try_practice(of, setup, end),
            _ => self.raises(command),
        }
    }
}
