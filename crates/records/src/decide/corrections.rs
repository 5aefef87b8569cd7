//! What is struck out, and what instead is the way back.

use super::Case;
use super::people::{last_lead, leads};
use crate::fact::Fact;
use crate::hall::Hall;
use crate::names::Seq;
use crate::refusal::Refusal;
use crate::role::Act;

/// What comes of striking an event out.
enum Struck {
    /// It counts no more, for whoever may do that.
    Gone(Act),
    /// What it changed goes back, for whoever may make such a change; the words are for where something since stands in the way.
    Back(Act, &'static str),
    /// It stays, and that is the way instead.
    Stays(&'static str),
}

impl Case<'_> {
    pub(super) fn correct(&mut self, event: Seq, words: &str) {
        let known = event.0 > 0 && event <= self.shop.head.seq;
        self.refuse_if(!known, Refusal::NoSuchEvent(event));
        self.refuse_if(self.shop.corrected.contains_key(&event), Refusal::AlreadyCorrected(event));
        if let Some(fact) = self.struck.filter(|_| self.refusals.is_empty()) {
            match struck(fact) {
                Struck::Gone(act) => self.besides(act),
                Struck::Back(act, otherwise) => self.goes_back(event, act, otherwise),
                Struck::Stays(instead) => self.refuse(Refusal::NotStruckOut(event, instead)),
            }
        }
        let words = self.words("reason", words);
        self.say(Fact::Corrected { event, words });
    }

    /// Whoever corrects may do that too.
    fn besides(&mut self, act: Act) {
        if act != Act::Correct {
            self.permission(act, false);
        }
    }

    fn goes_back(&mut self, event: Seq, act: Act, otherwise: &'static str) {
        self.besides(act);
        let mut after = Hall::clone(&self.shop.hall);
        after.strike_out(event, self.shop.head.seq);
        let no_more = leads(self.shop).find(|(id, _)| leads(&after).all(|(lead, _)| lead != *id));
        match no_more.and_then(|(id, _)| last_lead(id, leads(&after))) {
            Some(last) => self.refuse(last),
            None => {
                let people = |now: &Hall| now.people.values().map(|p| (p.role, p.of_age)).collect::<Vec<_>>();
                let nothing = people(&after) == people(self.shop)
                    && after.rules == self.shop.rules
                    && after.lifts == self.shop.lifts
                    && after.jobs == self.shop.jobs
                    && after.limits == self.shop.limits;
                self.refuse_if(nothing, Refusal::NotStruckOut(event, otherwise));
            }
        }
    }
}

fn struck(fact: &Fact) -> Struck {
    use Struck::{Back, Gone, Stays};
    match fact {
        Fact::Instructed(_)
        | Fact::Authorised(_)
        | Fact::LiftChecked { .. }
        | Fact::VehicleMeasured(_)
        | Fact::VehicleWhole { .. }
        | Fact::PlanKept { .. }
        | Fact::NotRight { .. }
        | Fact::IncidentReported { .. }
        | Fact::PracticeSet { .. }
        | Fact::PracticeTried { .. } => Gone(Act::Correct),
        // That a lift is unfit, or is due sooner, is the examiner's to take back: without it the lift may be used.
        Fact::LiftExamined { .. } => Gone(Act::Examine),
        Fact::RulesChosen { .. } => {
            Back(Act::RunShop, "other rules were chosen since; choose with `enter rules`")
        }
        Fact::RoleGiven { .. } => {
            Back(Act::ManagePeople, "another role was given since; give one with `enter role`")
        }
        Fact::AgeGiven { .. } => {
            Back(Act::ManagePeople, "another day was given since; give the right one with `enter age`")
        }
        Fact::JobEntered { .. } => {
            Back(Act::EnterJob, "the job was entered again since; enter the right file with `enter job`")
        }
        Fact::LimitsEntered { .. } => {
            Back(Act::RunShop, "other limits were entered since; enter the right file with `enter limits`")
        }
        Fact::ExaminationConfirmed { .. } => Back(Act::Correct, "the examination is struck out itself"),
        Fact::DefectRepaired { .. } => Back(
            Act::Correct,
            "the lift was returned to service since; report the defect anew with `enter defect`",
        ),
        Fact::ReturnedToService { .. } => {
            Back(Act::Correct, "the lift was returned again since; take it out of service with `enter tag`")
        }
        Fact::ShopOpened { .. } => Stays("the book begins with it"),
        Fact::Salvaged { .. } => Stays("it tells what became of the book"),
        Fact::UnitsChosen { .. } => Stays("choose others with `enter units`"),
        Fact::ZoneChosen { .. } => Stays("choose another with `enter zone`"),
        Fact::ClockSet { .. } | Fact::ClockBehind { .. } => Stays("it tells what the clock said"),
        Fact::PersonAdmitted(_) => Stays("say `enter leaving`"),
        Fact::PersonLeft { .. } => Stays("enter them anew, by another name in the book"),
        Fact::AuthorisationWithdrawn { .. } => Stays("say `enter authorisation`"),
        Fact::PinSet { .. } | Fact::PinGiven { .. } | Fact::PinLocked { .. } => {
            Stays("set another with `enter pin`")
        }
        Fact::LiftEntered { .. } => Stays("enter the right file with `enter lift`"),
        Fact::LiftAltered { .. } => Stays("it may be used once it was examined: `enter examination`"),
        Fact::DefectFound { .. } => Stays("say `enter repair`"),
        Fact::TaggedOut { .. } => Stays("say `enter return`"),
        Fact::VehicleEntered { .. } => Stays("enter the right file with `enter vehicle`"),
        Fact::RaiseBegun { .. } => Stays("end it with `raise abandon`"),
        Fact::RaiseRefused { .. } | Fact::PointRefused { .. } => Stays("it tells what was refused"),
        Fact::PointConfirmed { .. } => Stays("say `raise noise`, `raise not-right` or `raise bring-down`"),
        Fact::RaiseUpset { .. } | Fact::LockNotHeard { .. } | Fact::BroughtDown { .. } => {
            Stays("it leads down, and down it goes")
        }
        Fact::TakenOver { .. } => Stays("say `raise take-over`"),
        Fact::RaiseAbandoned { .. } => Stays("it has ended; begin another with `raise start`"),
        Fact::Corrected { .. } => Stays("enter again what it struck out"),
    }
}
