//! Practice: situations and attempts. It moves nothing, so that no lift, vehicle or authorisation is asked for.

use super::Case;
use crate::command::NewPractice;
use crate::digest::Document;
use crate::fact::Fact;
use crate::names::PracticeNumber;
use crate::practice::{Attempt, PracticeEnd, Practised, Situation};
use crate::refusal::Refusal;

impl Case<'_> {
    pub(super) fn set_practice(&mut self, new: &NewPractice) {
        let name = self.words("name", &new.name);
        for what in ["lift", "vehicle"] {
            self.refuse_if(!new.inputs.contains_key(what), Refusal::PracticeLacks(what));
        }
        let inputs = new.inputs.iter().map(|(what, file)| (what.clone(), self.keep(file))).collect();
        let note = Some(new.note.trim()).filter(|note| !note.is_empty()).map(str::to_owned);
        let practice = PracticeNumber(self.shop.counts.practices + 1);
        let situation = Situation { name, note, inputs, hides: new.hides.clone() };
        self.say(Fact::PracticeSet { practice, situation });
    }

    pub(super) fn try_practice(&mut self, of: &Practised, setup: &Document, end: &PracticeEnd) {
        match of {
            Practised::Set(number) => {
                self.refuse_if(!self.shop.practices.contains_key(number), Refusal::NoSuchPractice(*number));
            }
            Practised::Invented(name) => drop(self.words("name", name)),
        }
        let setup = self.keep(setup);
        self.say(Fact::PracticeTried { of: of.clone(), attempt: Attempt { setup, end: end.clone() } });
    }
}
