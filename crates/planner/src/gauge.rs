//! The reserve of any state at a setup that stays as it is.

use statics::SupportSet;

use crate::checks::{Least, Sink};
use crate::frames::Placement;
use crate::measure::{Pad, Sides};
use crate::situation::Situation;
use crate::state::State;

/// A setup, to hold states against.
pub(crate) struct Gauge<'a> {
    /// With one state, which is exchanged.
    situation: Situation<'a>,
    stand: Placement,
    pads: [Pad; 4],
    models: Vec<Option<SupportSet>>,
    /// For working forces.
    set: Option<SupportSet>,
    /// How many states were held against it.
    pub(crate) held: usize,
}

impl<'a> Gauge<'a> {
    pub(crate) fn new(situation: &Situation<'a>, stand: &Placement, pads: &[Pad; 4]) -> Self {
        let mut situation = situation.clone();
        situation.states.truncate(1);
        let (models, set) = (situation.models(stand, pads), situation.support(stand, pads));
        Self { situation, stand: *stand, pads: *pads, models, set, held: 0 }
    }

    /// Least reserve of the binding checks of a state: loads, edges, and the forces of the tasks that may be done
    /// in it, by its name; less than any where the state cannot be.
    pub(crate) fn reserve(&mut self, state: State) -> f64 {
        self.held += 1;
        if state.fault(self.situation.vehicle, None).is_some() {
            return f64::NEG_INFINITY;
        }
        self.situation.states[0] = state;
        Least::of(|out| {
            self.situation.measure_state(0, &self.stand, &self.pads, &self.models, Sides::Both, out);
            self.pushes(out);
        })
    }

    fn pushes(&self, out: &mut impl Sink) {
        let name = &self.situation.states[0].name;
        for (k, push) in self.situation.pushes.iter().enumerate() {
            if self.situation.job.tasks[push.task].is_done_in(name) {
                self.situation.measure_push(0, k, &self.stand, self.set.as_ref(), out);
            }
        }
    }
}
