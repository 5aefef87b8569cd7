//! What the events that are kept apart say of each lift: some between them are lost, so that it is what may be so, and no
//! less.

use std::collections::BTreeSet;

use crate::event::Event;
use crate::fact::{Fact, Subject};
use crate::fitness::found_unfit;
use crate::hall::Lift;
use crate::names::{DefectNumber, LiftId, RaiseNumber, VehicleId};
use crate::shop::Shop;

/// A fold of them on the whole beginning.
#[derive(Default)]
pub(super) struct Apart {
    then: Option<Box<Shop>>,
    /// Raises under way of which the beginning is lost, so that nobody knows on which lift.
    anywhere: BTreeSet<RaiseNumber>,
    /// Every vehicle that they are about.
    vehicles: BTreeSet<VehicleId>,
}

impl Apart {
    pub(super) fn add(&mut self, whole: &Shop, event: &Event) {
        let then = self.then.get_or_insert_with(|| Box::new(whole.clone()));
        match &event.fact {
            Fact::PointConfirmed { raise, point, .. } if point.ends() => drop(self.anywhere.remove(raise)),
            Fact::RaiseAbandoned { raise, .. } => drop(self.anywhere.remove(raise)),
            Fact::PointConfirmed { raise, .. }
            | Fact::PointRefused { raise, .. }
            | Fact::RaiseUpset { raise, .. }
            | Fact::NotRight { raise, .. }
            | Fact::LockNotHeard { raise, .. }
            | Fact::BroughtDown { raise, .. }
            | Fact::TakenOver { raise, .. }
                if !then.raises.contains_key(raise) =>
            {
                self.anywhere.insert(*raise);
            }
            _ => {}
        }
        let vehicle = |subject| if let Subject::Vehicle(vehicle) = subject { Some(vehicle) } else { None };
        self.vehicles.extend(event.fact.subjects().into_iter().filter_map(vehicle));
        then.apply(event);
    }

    /// Every vehicle of the shop, as any may be left with parts off by a raise that is lost.
    pub(super) fn vehicles(&self, whole: &Shop) -> BTreeSet<VehicleId> {
        whole.fleet.vehicles.keys().chain(&self.vehicles).cloned().collect()
    }

    /// Every lift out of service, and what it had besides: as if it were found now.
    pub(super) fn facts(&self, whole: &Shop) -> Vec<Fact> {
        let then = self.then.as_deref().unwrap_or(whole);
        let mut defects = whole.counts.defects;
        let mut facts = vec![];
        for (id, lift) in &whole.lifts {
            let lost = format!(
                "the book was salvaged, and events after {} may be lost; what is on it is not known",
                whole.head.seq
            );
            let on_it: String = self.on_it(whole, then, id).iter().map(|what| format!("; {what}")).collect();
            facts.push(Fact::TaggedOut { lift: id.clone(), words: lost + &on_it });
            let Some(later) = then.lifts.get(id) else { continue };
            let tags = later.tags.iter().filter(|(seq, _)| !lift.tags.contains_key(seq));
            facts.extend(tags.map(|(seq, words)| {
                let words = format!("event {seq}, which is kept apart: {words}");
                Fact::TaggedOut { lift: id.clone(), words }
            }));
            for (number, defect) in later.defects.iter().filter(|(n, _)| !lift.defects.contains_key(n)) {
                defects += 1;
                let repaired = if defect.repaired.is_some() { ", said to be repaired" } else { "" };
                facts.push(Fact::DefectFound {
                    number: DefectNumber(defects),
                    lift: id.clone(),
                    words: format!(
                        "defect {number} of events that are kept apart{repaired}: {}",
                        defect.words
                    ),
                    stops_use: defect.stops_use,
                });
            }
            facts.extend(
                must_be_examined(whole, lift, then, later)
                    .map(|words| Fact::LiftAltered { lift: id.clone(), words: words.to_owned() }),
            );
        }
        facts
    }

    /// What may be on a lift beside what the whole beginning has under way.
    fn on_it(&self, whole: &Shop, then: &Shop, lift: &LiftId) -> Vec<String> {
        let raises =
            then.raises.iter().filter(|(n, r)| r.plan.lift == *lift && !whole.raises.contains_key(n));
        let raises = raises.map(|(number, r)| format!("raise {number} of {} had not ended", r.plan.vehicle));
        let left = then.lifts.get(lift).and_then(|l| l.left.as_ref());
        let left = left.map(ToString::to_string);
        let anywhere = self.anywhere.iter();
        let anywhere = anywhere.map(|n| format!("raise {n} had not ended, here or on another lift"));
        raises.chain(left).chain(anywhere).collect()
    }
}

/// What the lift is to be examined for again.
fn must_be_examined(whole: &Shop, lift: &Lift, then: &Shop, later: &Lift) -> Option<&'static str> {
    if later.altered != lift.altered {
        return Some("events that are kept apart say so");
    }
    let unfit = found_unfit(then, later);
    (unfit.is_some() && unfit != found_unfit(whole, lift))
        .then_some("an examination that is kept apart found it unfit")
}
