//! The reserve of any state at a setup that stays as it is.

use statics::{Length, Mass, Point, SupportSet};

use crate::checks::{Least, Piece, RESERVE_MOST, Sink, What};
use crate::frames::Placement;
use crate::measure::{Pad, Sides};
use crate::measured::Measured;
use crate::plan::Sense;
use crate::situation::Situation;
use crate::state::State;
use crate::work::PushCase;

/// A setup, to hold states against.
pub(crate) struct Gauge<'a> {
    /// With one state, which is exchanged.
    situation: Situation<'a>,
    stand: Placement,
    pads: [Pad; 4],
    models: Vec<Option<SupportSet>>,
    /// How many states were held against it, and regions of states.
    pub(crate) held: usize,
}

/// Where the weight of some states lies, and what each of them may be off by at the least.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Whereabouts {
    /// Masses that are within the tolerance of each; where the first is the greater only the second is not above it.
    pub(crate) mass: [f64; 2],
    /// Middle of their centres aft and left, and a height that none is below.
    pub(crate) cg: [f64; 3],
    /// Their centres are no farther from that middle, aft and left.
    pub(crate) around: f64,
    /// No centre's tolerance is less, aft and left.
    pub(crate) half: [f64; 2],
}

/// What the allowance of loads for second derivatives, the one part that is not concave, may bend within a region.
const BENT: f64 = 0.005;

impl<'a> Gauge<'a> {
    pub(crate) fn new(situation: &Situation<'a>, stand: &Placement, pads: &[Pad; 4]) -> Self {
        let mut situation = situation.clone();
        situation.states.truncate(1);
        let models = situation.models(stand, pads);
        Self { situation, stand: *stand, pads: *pads, models, held: 0 }
    }

    /// Least reserve of the binding checks of a state: loads, edges, and the forces of the tasks that may be done
    /// in it, by its name; less than any where the state cannot be.
    pub(crate) fn reserve(&mut self, state: State) -> f64 {
        self.held += 1;
        if state.fault(self.situation.vehicle, None).is_some() {
            return f64::NEG_INFINITY;
        }
        self.situation.states[0] = state;
        Least::of(|out| self.measure(out))
    }

    /// No state whose weight lies in the region leaves more than this; never less than all of a limit missed (-1),
    /// beyond which checks may be of another shape.
    ///
    /// What a check finds at least, `f`, is concave in the place of the centre. So with `c` the middle, anywhere in
    /// the region f(c + d) <= 2 f(c) - f(c - d), and f(c - d) is no less than with a tolerance that is greater by the
    /// region's size. What may be at most so much is convex, and bounded below in the same way.
    pub(crate) fn most(&mut self, region: &Whereabouts) -> f64 {
        self.held += 1;
        let mut pieces = |by: f64| {
            let mut found = Vec::with_capacity(32);
            self.situation.states[0] = self.middle(region, by);
            self.measure(&mut found);
            found
        };
        let (middle, wide) = (pieces(0.0), pieces(region.around));
        // Where a pad lets go its greatest load is no convex figure, but then another check misses all of its limit.
        let carries = |p: &Piece| !matches!(p.what, What::PadCarries(_)) || p.demand > 1e-9;
        let all_carry = wide.iter().all(carries);
        let crossed = region.mass[0] > region.mass[1];
        let tells = |p: &Piece| {
            let of_this_mass = !(crossed && matches!(p.what, What::WorkForce { .. }));
            p.steers() && p.limit > 0.0 && of_this_mass && (all_carry || p.what.sense() == Sense::AtLeast)
        };
        let pairs = middle.iter().zip(&wide).filter(|(p, _)| tells(p));
        let most = pairs.map(|(p, w)| p.demanding(2.0 * p.demand - w.demand).reserve);
        (most.fold(RESERVE_MOST, f64::min) + BENT).max(-1.0)
    }

    /// The state in the middle of a region, its centre's tolerance greater by so much.
    fn middle(&self, region: &Whereabouts, by: f64) -> State {
        let [least, greatest] = region.mass;
        let least = least.min(greatest);
        let mass = [f64::midpoint(least, greatest), (greatest - least) / 2.0].map(Mass::kilograms);
        let undersides = self.pads.map(|p| self.situation.vehicle.lift_areas[p.area].underside.to_metres());
        let [aft, left, up] = region.cg;
        let half = region.half.map(|h| Length::metres(h + by));
        State {
            name: String::new(),
            mass: Measured::given(mass[0], mass[1]),
            cg: Point::metres([aft, left, up.max(undersides.iter().sum::<f64>() / 4.0)]),
            cg_tolerance: [half[0], half[1], Length::ZERO],
            cg_uncertainty: [Length::ZERO; 3],
        }
    }

    fn measure(&self, out: &mut impl Sink) {
        self.situation.measure_state(0, &self.stand, &self.pads, &self.models, Sides::Both, out);
        self.pushes(out);
    }

    fn pushes(&self, out: &mut impl Sink) {
        let name = &self.situation.states[0].name;
        let done = |push: &&PushCase| self.situation.job.tasks[push.task].is_done_in(name);
        let own = self.situation.pushes.iter().filter(done);
        self.situation.measure_pushes_in(0, own, &self.stand, &self.models, out);
    }
}
