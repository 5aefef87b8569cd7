//! What striking an event out does to the shop.

use crate::digest::Digest;
use crate::hall::Hall;
use crate::names::{JobId, Seq};

impl Hall {
    /// What gave a right gives it no more, and what was chosen goes back to what it was; nothing that took a right away is
    /// undone.
    pub(crate) fn strike_out(&mut self, event: Seq, by: Seq) {
        self.corrected.insert(event, by);
        self.practices.retain(|_, practice| practice.set != event);
        for person in self.people.values_mut() {
            person.instructions.remove(&event);
            person.authorisations.remove(&event);
            person.of_age = without(&mut person.ages, event).unwrap_or(person.of_age);
            person.role = without(&mut person.roles, event).unwrap_or(person.role);
        }
        self.rules = without(&mut self.chosen, event).unwrap_or_else(|| self.rules.clone());
        for lift in self.lifts.values_mut() {
            let examination = lift.examinations.remove_entry(&event);
            lift.struck_since |= examination.is_some();
            lift.struck_out.extend(examination);
            for given in lift.examinations.values_mut().map(|e| &mut e.confirmed) {
                lift.struck_since |= given.take_if(|seq| *seq == event).is_some();
            }
            lift.struck_since |= lift.checks.remove(&event).is_some();
            for given in lift.defects.values_mut().map(|d| &mut d.repaired) {
                *given = given.filter(|seq| *seq != event);
            }
            if lift.returned == Some(event) {
                lift.tags.insert(event, format!("its return to service, event {event}, is struck out"));
                lift.left = lift.left.take().or(lift.left_before.take());
                lift.lost_sight_of |= std::mem::take(&mut lift.lost_sight_of_before);
            }
        }
        self.limits_entered.retain(|(seq, _)| *seq != event);
        self.limits = self.limits_entered.last().map(|(_, file)| *file);
        self.jobs_entered.values_mut().for_each(|files| files.retain(|(seq, _)| *seq != event));
        let last = |(job, files): (&JobId, &Vec<(Seq, Digest)>)| Some((job.clone(), files.last()?.1));
        self.jobs = self.jobs_entered.iter().filter_map(last).collect();
        for found in self.not_whole.values_mut().flatten() {
            found.whole.remove(&event);
        }
        // It may have been a measurement.
        self.raises.values_mut().for_each(|raise| raise.progress.doubt = Some(by));
        self.tell_raises();
    }
}

/// What counts once an event is struck out. The first is how it began, and stays.
fn without<T: Clone>(all: &mut Vec<(Seq, T)>, event: Seq) -> Option<T> {
    let first = all.first().map(|(seq, _)| *seq);
    all.retain(|(seq, _)| Some(*seq) == first || *seq != event);
    all.last().map(|(_, last)| last.clone())
}
