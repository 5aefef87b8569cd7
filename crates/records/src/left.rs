//! What raises left behind: vehicles on lifts, and vehicles that are not whole.

use std::collections::BTreeSet;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::course::Outline;
use crate::digest::Digest;
use crate::hall::{Hall, Raise};
use crate::names::{LiftId, RaiseNumber, Seq, VehicleId};
use crate::refusal::Refusal;

/// A part, as it was planned: another of the same name that is as heavy and in the same place is the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Part {
    /// What it is called.
    pub name: String,
    /// How heavy it is, and where: `None` = an older program did not write it down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub is: Option<String>,
}

/// The parts that are not as a vehicle's file says.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Parts {
    /// Off, though the file has them.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub off: BTreeSet<Part>,
    /// On, though the file lacks them.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub on: BTreeSet<Part>,
}

impl Parts {
    fn take_off(&mut self, part: Part) {
        if !self.on.remove(&part) {
            self.off.insert(part);
        }
    }

    fn put_on(&mut self, part: Part) {
        if !self.off.remove(&part) {
            self.on.insert(part);
        }
    }

    /// A step that leads to such a state.
    pub(crate) fn go_on(&mut self, state: &str, part: Part) {
        if state.ends_with(" on") { self.put_on(part) } else { self.take_off(part) }
    }

    /// In words, those that are off and those that are on.
    pub(crate) fn told(&self) -> Vec<String> {
        let list = |parts: &BTreeSet<Part>, how: &str| {
            let names: Vec<&str> = parts.iter().map(|part| part.name.as_str()).collect();
            (!names.is_empty()).then(|| format!("{} {how}", names.join(", ")))
        };
        [list(&self.off, "off"), list(&self.on, "on")].into_iter().flatten().collect()
    }

    fn count(&self) -> u16 {
        u16::try_from(self.off.len() + self.on.len()).unwrap_or(u16::MAX)
    }
}

/// A vehicle that a raise left on a lift when it ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Left {
    /// The raise.
    pub raise: RaiseNumber,
    /// The vehicle.
    pub vehicle: VehicleId,
    /// Whether stands stand under it, or may.
    pub on_stands: bool,
}

impl fmt::Display for Left {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stands = if self.on_stands { ", on stands" } else { "" };
        write!(f, "{} was left there by raise {}{stands}", self.vehicle, self.raise)
    }
}

/// A vehicle that is not as its file says, or may not be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NotWhole {
    /// The raise that left it so; `None` = the book was salvaged, so that any part may be off or on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub raise: Option<RaiseNumber>,
    /// What is known of its parts.
    #[serde(flatten)]
    pub parts: Parts,
    /// The state that it would be in next, with the part that this is about, where work at that was broken off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub next: Option<(String, Part)>,
    /// The file that this is told by; `None` = parts came off or went on, and then the book had another than was planned with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<Digest>,
    /// The book's file of it now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file_now: Option<Digest>,
    /// The events by which somebody said that it is whole again.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub whole: BTreeSet<Seq>,
}

impl fmt::Display for NotWhole {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let next = self.next.as_ref().map(|(state, _)| format!("“{state}” done or half done"));
        let lost = self.raise.is_none().then(|| "parts off or on that the book may not know of".to_owned());
        let file = self
            .file_changed()
            .then(|| "parts off or on that its file, entered meanwhile, may not know of".to_owned());
        let more = [next, file, lost].into_iter().flatten();
        f.write_str(&self.parts.told().into_iter().chain(more).collect::<Vec<_>>().join("; "))
    }
}

impl NotWhole {
    /// Of a salvaged book, which may lack what was done to it.
    pub(crate) fn lost() -> Self {
        let (raise, parts, next, file, file_now) = (None, Parts::default(), None, None, None);
        Self { raise, parts, next, file, file_now, whole: BTreeSet::new() }
    }

    /// Whether nobody knows which of the parts that are off or on the book's file of it means.
    fn file_changed(&self) -> bool {
        self.raise.is_some() && (self.file.is_none() || self.file != self.file_now)
    }

    /// As a raise leaves its vehicle by its own steps; `None` = whole.
    fn by(number: RaiseNumber, ended: &Raise) -> Option<Self> {
        let progress = &ended.progress;
        let steps = progress.steps_done;
        let parts = progress.outline.parts_after(steps);
        let next = progress.step_may_be_begun.then(|| progress.outline.step(steps)).flatten();
        let next = next.map(|(state, part)| (state.to_owned(), part));
        let file_changed = progress.file_changed && (steps > 0 || next.is_some());
        let whole = parts.count() == 0 && next.is_none() && !file_changed;
        let file = ended.plan.inputs.get("vehicle").copied().filter(|_| !file_changed);
        let (raise, file_now) = (Some(number), file);
        (!whole).then_some(Self { raise, parts, next, file, file_now, whole: BTreeSet::new() })
    }

    /// Whether it counts: nobody said that it is whole again.
    pub(crate) fn counts(&self) -> bool {
        self.whole.is_empty()
    }

    /// After how many steps of a plan the vehicle is as it was found, and as it may be already, the fewer first. That is after
    /// as many as it has parts off or on: with more before, others would come off from a vehicle that no state of the plan is.
    fn among(&self, outline: &Outline) -> Option<(u16, u16)> {
        let at = self.parts.count();
        if self.raise.is_none() || self.file_changed() || outline.parts_after(at) != self.parts {
            return None;
        }
        let Some((state, part)) = &self.next else { return Some((at, at)) };
        let mut then = self.parts.clone();
        then.go_on(state, part.clone());
        let before = at.checked_sub(1).filter(|before| outline.parts_after(*before) == then);
        match outline.step(at) {
            Some((next, of)) if next == state && of == *part => Some((at, at + 1)),
            _ => before.map(|before| (before, at)),
        }
    }

    /// Whether a raise that has done so many steps of its plan is past it, so that only those steps tell how the vehicle is.
    pub(crate) fn is_past(&self, outline: &Outline, steps: u16) -> bool {
        self.among(outline).is_some_and(|(_, last)| last <= steps)
    }

    /// Whether that is among a plan's states.
    pub(crate) fn is_in(&self, outline: &Outline) -> bool {
        self.among(outline).is_some()
    }

    /// Whether a plan raises it as it is: that is one of its states, and stands are set in no earlier one.
    fn is_planned(&self, outline: &Outline) -> bool {
        let before_stands = |last| outline.stands.is_none_or(|(from, _)| last <= from);
        self.among(outline).is_some_and(|(_, last)| before_stands(last))
    }
}

/// What is known of a vehicle once a raise has ended. What the raise did not get past is so still; where its plan has that
/// among its states, its own steps were part of it, and tell nothing more.
pub(crate) fn after(number: RaiseNumber, ended: &Raise, mut known: Vec<NotWhole>) -> Vec<NotWhole> {
    let Raise { progress, .. } = ended;
    known.retain(|found| !found.is_past(&progress.outline, progress.steps_done));
    let behind = known.iter().any(|found| found.counts() && found.is_in(&progress.outline));
    known.extend(NotWhole::by(number, ended).filter(|_| !behind));
    known
}

/// Why a raise by such a plan neither begins nor goes on where it is planned, whatever else is right: what raises left there,
/// and as what.
#[must_use]
pub fn in_the_way(shop: &Hall, lift: &LiftId, vehicle: &VehicleId, outline: &Outline) -> Vec<Refusal> {
    let left = shop.lifts.iter().filter_map(|(id, lift)| Some((id, lift.left.as_ref()?)));
    let on_lifts =
        left.filter_map(|(id, Left { raise, vehicle: other, .. })| match (id == lift, other == vehicle) {
            (true, false) => Some(Refusal::LiftHolds(id.clone(), other.clone(), *raise)),
            (false, true) => Some(Refusal::StandsElsewhere(vehicle.clone(), id.clone(), *raise)),
            _ => None,
        });
    let found = shop.found_not_whole(vehicle);
    // Of two states that both may be so, no plan has what they come to together.
    let planned = match found.as_slice() {
        [] => true,
        [one] => one.is_planned(outline),
        _ => false,
    };
    let states = found.iter().filter(|_| !planned);
    let states = states.map(|found| Refusal::NotWhole(vehicle.clone(), found.raise, found.to_string()));
    on_lifts.chain(states).collect()
}

impl Raise {
    /// What keeps it from going on where it is planned.
    #[must_use]
    pub fn in_the_way(&self, shop: &Hall) -> Vec<Refusal> {
        in_the_way(shop, &self.plan.lift, &self.plan.vehicle, &self.plan.outline)
    }
}
