//! A raise as it was after each of its events.

use crate::event::Event;
use crate::fact::Fact;
use crate::hall::Raise;
use crate::names::{RaiseNumber, Seq};
use crate::progress::Progress;

impl Raise {
    /// At its beginning, if this is the event that began one.
    #[must_use]
    pub fn begun(event: &Event) -> Option<(RaiseNumber, Self)> {
        let Fact::RaiseBegun { raise, plan } = &event.fact else { return None };
        let progress = Progress::new(plan.outline.clone());
        Some((*raise, Self { plan: plan.clone(), leader: event.by.clone(), progress, last: event.seq }))
    }

    /// The last event by which what is shown of it may be another: about it, its lift or its vehicle.
    #[must_use]
    pub fn seen(&self) -> Seq {
        self.progress.doubt.map_or(self.last, |doubt| doubt.max(self.last))
    }

    /// As it is led by the check with which an event confirms a point, before that point is confirmed.
    pub fn check(&mut self, event: &Event) {
        let Fact::PointConfirmed { judged: Some(judged), .. } = &event.fact else { return };
        match self.progress.by_kept(judged) {
            Some(led) => self.progress = Progress { doubt: None, ..led },
            None => self.progress.doubt = Some(event.seq),
        }
    }

    /// Whether whoever leads it is told that of its lift or its vehicle.
    #[must_use]
    pub fn is_told(&self, fact: &Fact) -> bool {
        match fact {
            Fact::VehicleMeasured(m) => m.vehicle == self.plan.vehicle,
            Fact::VehicleEntered { vehicle, .. } => *vehicle == self.plan.vehicle,
            Fact::LiftEntered { sheet, .. } => sheet.lift == self.plan.lift,
            Fact::IncidentReported { lift, .. } => lift.as_ref() == Some(&self.plan.lift),
            Fact::LiftAltered { lift, .. }
            | Fact::DefectFound { lift, .. }
            | Fact::TaggedOut { lift, .. }
            | Fact::ReturnedToService { lift, .. } => *lift == self.plan.lift,
            _ => false,
        }
    }

    /// After one more event that is about it.
    pub fn follow(&mut self, event: &Event) {
        match &event.fact {
            Fact::PointConfirmed { point, .. } => {
                self.check(event);
                self.progress.confirm(event.seq, *point);
            }
            Fact::PointRefused { point, judged: Some(judged), .. }
                if self.progress.by_kept(judged).is_none() =>
            {
                if point.is_measured() {
                    self.progress.stands_wrong = true;
                } else {
                    self.progress.doubt = Some(event.seq);
                }
            }
            Fact::VehicleMeasured(m) if m.vehicle == self.plan.vehicle => {
                self.progress.doubt = Some(event.seq);
            }
            Fact::VehicleEntered { vehicle, file, .. } if *vehicle == self.plan.vehicle => {
                self.progress.file_changed = self.plan.inputs.get("vehicle") != Some(file);
            }
            Fact::RaiseUpset { .. } => self.progress.upset(),
            Fact::LockNotHeard { .. } => self.progress.lock_not_heard(),
            Fact::BroughtDown { .. } => self.progress.bring_down(),
            Fact::RaiseAbandoned { .. } => self.progress.break_off(),
            Fact::NotRight { .. } => self.progress.look_again(),
            Fact::TakenOver { .. } => {
                self.leader = event.by.clone();
                self.progress.look_again();
            }
            Fact::Salvaged { .. } => self.progress.lose_sight(),
            _ => {}
        }
        if event.fact.is_of_a_raise() {
            self.last = event.seq;
        }
        self.hear(event);
    }

    /// After an event that need not be about it.
    pub(crate) fn hear(&mut self, event: &Event) {
        if self.is_told(&event.fact) {
            self.last = event.seq;
        }
    }
}
