//! The shop's vehicles as they are now.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::digest::Digest;
use crate::event::Event;
use crate::fact::Fact;
use crate::names::{Seq, VehicleId};

/// The vehicles of a shop. They follow from the events without anything else of the shop.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fleet {
    /// All of them, with the digest of their present file.
    pub vehicles: BTreeMap<VehicleId, Digest>,
    /// What was measured of each since its present file was entered: key of that file, by its event.
    pub measured: BTreeMap<VehicleId, BTreeMap<Seq, String>>,
}

impl Fleet {
    /// The events that count of what was measured of a vehicle: of each value the newest.
    #[must_use]
    pub fn measurements(&self, vehicle: &VehicleId) -> BTreeSet<Seq> {
        let all = self.measured.get(vehicle).into_iter().flatten();
        let newest: BTreeMap<&String, Seq> = all.map(|(seq, what)| (what, *seq)).collect();
        newest.into_values().collect()
    }

    /// What was measured of a vehicle and counts no more for its plans once it has that file: keys, each with its newest event.
    #[must_use]
    pub fn outdated_by(&self, vehicle: &VehicleId, file: &Digest) -> BTreeMap<&str, Seq> {
        let other = self.vehicles.get(vehicle) != Some(file);
        let all = self.measured.get(vehicle).filter(|_| other).into_iter().flatten();
        all.map(|(seq, what)| (what.as_str(), *seq)).collect()
    }

    /// Whether an event may change anything of it.
    pub(crate) const fn follows(event: &Event) -> bool {
        matches!(event.fact, Fact::VehicleEntered { .. } | Fact::VehicleMeasured(_) | Fact::Corrected { .. })
    }

    /// Adds one event.
    pub(crate) fn apply(&mut self, event: &Event) {
        match &event.fact {
            Fact::VehicleEntered { vehicle, file, .. } => {
                let before = self.vehicles.insert(vehicle.clone(), *file);
                // What was measured before another file came is said in that file, or counts no more.
                if before != Some(*file) {
                    self.measured.remove(vehicle);
                }
            }
            Fact::VehicleMeasured(m) => {
                self.measured.entry(m.vehicle.clone()).or_default().insert(event.seq, m.what.clone());
            }
            Fact::Corrected { event, .. } => {
                self.measured.values_mut().for_each(|all| drop(all.remove(event)));
            }
            _ => {}
        }
    }
}
