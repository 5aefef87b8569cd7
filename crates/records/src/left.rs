//! What raises left behind: vehicles on lifts, and vehicles that are not whole.

use std::collections::BTreeSet;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::course::Outline;
use crate::hall::{Hall, Raise};
use crate::names::{LiftId, RaiseNumber, Seq, VehicleId};
use crate::refusal::Refusal;

/// A vehicle that is not as its file says.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NotWhole {
    /// The raise that left it so.
    pub raise: RaiseNumber,
    /// The parts that are off.
    pub off: BTreeSet<String>,
    /// The state that it would be in next, where work at that was broken off.
    pub next: Option<String>,
    /// Whether more may be off, as events of the raise may be lost.
    pub lost_sight: bool,
    /// The event by which somebody said that it is whole again.
    pub whole: Option<Seq>,
}

impl fmt::Display for NotWhole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let parts: Vec<&str> = self.off.iter().map(String::as_str).collect();
        let off = (!parts.is_empty()).then(|| format!("{} off", parts.join(", ")));
        let next = self.next.as_ref().map(|state| format!("“{state}” done or half done"));
        let lost = self.lost_sight.then(|| "parts off that the book may not know of".to_owned());
        let all: Vec<String> = off.into_iter().chain(next).chain(lost).collect();
        f.write_str(&all.join("; "))
    }
}

impl NotWhole {
    /// As a raise leaves its vehicle; `before` = as it was found. `None` = it is whole.
    pub(crate) fn after(raise: RaiseNumber, ended: &Raise, before: Option<&Self>) -> Option<Self> {
        let progress = &ended.progress;
        if let Some(found) = before.filter(|found| found.whole.is_none()) {
            // Where the raise did not get past the state that it was found in, it is still in that.
            let past =
                found.first_in(&progress.outline).is_some_and(|at| found.last_of(at) <= progress.steps_done);
            if !past {
                return before.cloned();
            }
        }
        let off = progress.outline.parts_off(progress.steps_done);
        let next =
            progress.step_may_be_begun.then(|| progress.outline.steps.get(usize::from(progress.steps_done)));
        let next = next.flatten().cloned();
        let lost_sight = progress.lost_sight && !progress.outline.steps.is_empty();
        let whole = off.is_empty() && next.is_none() && !lost_sight;
        (!whole).then_some(Self { raise, off, next, lost_sight, whole: None })
    }

    /// After how many steps of a plan the vehicle is as it was found, and next as it may be already.
    fn first_in(&self, outline: &Outline) -> Option<u16> {
        let next = |at: u16| outline.steps.get(usize::from(at));
        (0..=outline.last_step()).find(|at| {
            outline.parts_off(*at) == self.off && (self.next.is_none() || next(*at) == self.next.as_ref())
        })
    }

    fn last_of(&self, at: u16) -> u16 {
        if self.next.is_some() { at + 1 } else { at }
    }

    /// Whether a plan raises it as it is: that is one of its states, and needs no stands there.
    fn is_planned(&self, outline: &Outline) -> bool {
        let stands_free = |at: u16| !outline.stands_hold(at) && !outline.stands_hold(self.last_of(at));
        !self.lost_sight && self.first_in(outline).is_some_and(stands_free)
    }
}

/// Why a raise by such a plan is not begun where it is planned, whatever else is right: what raises left there, and as what.
#[must_use]
pub fn in_the_way(shop: &Hall, lift: &LiftId, vehicle: &VehicleId, outline: &Outline) -> Vec<Refusal> {
    let left = shop.lifts.iter().filter_map(|(id, lift)| Some((id, lift.left.as_ref()?)));
    let on_lifts = left.filter_map(|(id, (raise, other))| match (id == lift, other == vehicle) {
        (true, false) => Some(Refusal::LiftHolds(id.clone(), other.clone(), *raise)),
        (false, true) => Some(Refusal::StandsElsewhere(vehicle.clone(), id.clone(), *raise)),
        _ => None,
    });
    let found = shop.found_not_whole(vehicle).filter(|found| !found.is_planned(outline));
    let state = found.map(|found| Refusal::NotWhole(vehicle.clone(), found.raise, found.to_string()));
    on_lifts.chain(state).collect()
}
