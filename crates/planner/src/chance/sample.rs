//! One sample: where everything really is, and the loads and edges that follow.

use statics::hull::{left_of, turn};
use statics::quantity::STANDARD_GRAVITY;
use statics::{Length, Place, SupportSet};

use super::points::{INPUTS, both_ways, disc, normal};
use crate::limits::Name;
use crate::measure::LEAST_REACH;
use crate::plan::Plan;
use crate::situation::{ASSUMED_ARM_STIFFNESS_LEAST, ASSUMED_ARMS_DIFFER, ASSUMED_PAD_STIFFNESS, Situation};

/// What is drawn from, SI, in the bay.
pub(super) struct Sampler {
    states: Vec<Weight>,
    pads: [Pad; 4],
    /// Mean height of the pads.
    height: f64,
    /// Steepest slope of the contact plane.
    slope: f64,
}

struct Pad {
    at: [f64; 2],
    /// Radius of the disc in which it really is.
    off: f64,
    /// How far it stands below its lifting area when the first pad touches.
    gap: f64,
    /// How much it gives under a load, at most and at least, metres a newton.
    gives: [f64; 2],
    /// By how much its arm alone may be stiffer or softer than drawn for all, as a part; `None` = it is drawn by itself.
    differs: Option<f64>,
}

struct Weight {
    mass: f64,
    /// Half the width of an even distribution that has the mass's standard uncertainty.
    mass_off: f64,
    cg: [f64; 3],
    /// What one standard deviation along aft, left, up does in the bay.
    moves: [[f64; 3]; 3],
}

/// What follows from one sample in one state.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Found {
    /// Kilograms.
    pub(super) mass: f64,
    /// Share of each pad.
    pub(super) shares: [f64; 4],
    /// Height of the centre above the pads.
    pub(super) above: f64,
    /// Distance inside the nearest edge.
    pub(super) nearest: f64,
    /// Distance inside the left, rear, right, front edge.
    edges: [f64; 4],
}

/// Pads anticlockwise seen from above, so that inside is to the left of each edge.
const AROUND: [usize; 4] = [0, 2, 3, 1];

impl Found {
    /// The edge between two neighbouring pads.
    pub(super) fn edge(&self, a: usize, b: usize) -> f64 {
        let same = |k: usize| {
            let (from, to) = (AROUND[k], AROUND[(k + 1) % 4]);
            (from, to) == (a, b) || (from, to) == (b, a)
        };
        (0..4).find(|k| same(*k)).map_or(f64::NAN, |k| self.edges[k])
    }

    /// Whether the centre is outside the pads: then no loads hold it, and `shares` are no shares.
    pub(super) const fn tips(&self) -> bool {
        self.nearest < 0.0
    }
}

impl Sampler {
    pub(super) fn new(situation: &Situation<'_>, plan: &Plan, set: &SupportSet) -> Self {
        let stand = &plan.placement;
        let at = |place: [f64; 2]| stand.to_bay(Place::metres(place)).to_metres();
        let (o, aft, left) = (at([0.0; 2]), at([1.0, 0.0]), at([0.0, 1.0]));
        let states = plan.states.iter().map(|state| {
            let [u_aft, u_left, u_up] = state.cg_uncertainty.map(Length::to_metres);
            Weight {
                mass: state.mass.value.to_kilograms(),
                mass_off: state.mass.uncertainty.to_kilograms() * 3f64.sqrt(),
                cg: stand.point_to_bay(state.cg).to_metres(),
                moves: [
                    [(aft[0] - o[0]) * u_aft, (aft[1] - o[1]) * u_aft, 0.0],
                    [(left[0] - o[0]) * u_left, (left[1] - o[1]) * u_left, 0.0],
                    [0.0, 0.0, u_up],
                ],
            }
        });
        let pads = core::array::from_fn(|i| {
            let arm = situation.arm(i, stand);
            let reach = plan.pads[i].reach.to_metres().max(LEAST_REACH);
            let gives = |off| 1.0 / Situation::stiffness(arm, reach, ASSUMED_ARM_STIFFNESS_LEAST, off);
            let pad = 1.0 / ASSUMED_PAD_STIFFNESS.to_newtons_per_metre();
            let differs = arm.stiffness_out.is_none().then_some(ASSUMED_ARMS_DIFFER);
            let contact = &set.contacts()[i];
            Pad {
                at: contact.at.plan().to_metres(),
                off: contact.place_tolerance.to_metres(),
                gap: contact.gap.to_metres(),
                gives: if differs.is_some() { [gives(0.0), pad] } else { [gives(-1.0), gives(1.0)] },
                differs,
            }
        });
        Self {
            states: states.collect(),
            pads,
            height: set.mean_height().to_metres(),
            slope: situation.limits.get(Name::Level).tan(),
        }
    }

    pub(super) const fn states(&self) -> usize {
        self.states.len()
    }

    /// Loads and edges in every state, for one point of the unit cube.
    pub(super) fn draw(&self, u: &[f64; INPUTS], found: &mut [Found]) {
        let mass = both_ways(u[0]);
        let off = [normal(u[1]), normal(u[2]), normal(u[3])];
        let pads: [[f64; 2]; 4] = core::array::from_fn(|i| {
            let (pad, [x, y]) = (&self.pads[i], disc(u[4 + 2 * i], u[5 + 2 * i]));
            [pad.at[0] + pad.off * x, pad.at[1] + pad.off * y]
        });
        let tilt = disc(u[12], u[13]).map(|t| t * self.slope);
        // How much arms bend that nobody measured is drawn once for all, and for each how far it differs from that.
        let k: [f64; 4] = core::array::from_fn(|i| {
            let Pad { gives: [most, least], differs, .. } = self.pads[i];
            let part = differs.map_or(u[15 + i], |by| u[14] / (1.0 + by * both_ways(u[15 + i])));
            1.0 / (least + (most - least) * part)
        });
        let sides = Sides::of(&pads);
        for (state, found) in self.states.iter().zip(found) {
            let cg: [f64; 3] = core::array::from_fn(|axis| {
                state.cg[axis] + (0..3).map(|d| state.moves[d][axis] * off[d]).sum::<f64>()
            });
            found.above = cg[2] - self.height;
            let cg = [cg[0] + tilt[0] * found.above, cg[1] + tilt[1] * found.above];
            found.mass = state.mass + state.mass_off * mass;
            found.edges = sides.0.map(|[a, b]| left_of(a, b, cg));
            found.nearest = found.edges.iter().copied().fold(f64::INFINITY, f64::min);
            let newtons = found.mass * STANDARD_GRAVITY;
            let springs: [Spring; 4] =
                core::array::from_fn(|i| Spring { at: pads[i], k: k[i], gap: self.pads[i].gap / newtons });
            found.shares = shares(&springs, cg);
            if found.shares.iter().any(|s| *s < 0.0) && !found.tips() {
                found.shares = with_one_lifted(&springs, cg);
            }
        }
    }
}

/// The sides of the pads' hull; two where a pad lies inside the others are the one between its neighbours.
struct Sides([[[f64; 2]; 2]; 4]);

impl Sides {
    fn of(pads: &[[f64; 2]; 4]) -> Self {
        let p = AROUND.map(|i| pads[i]);
        let inside = |k: usize| turn(p[(k + 3) % 4], p[k % 4], p[(k + 1) % 4]) <= 0.0;
        Self(core::array::from_fn(|k| {
            let from = if inside(k) { p[(k + 3) % 4] } else { p[k] };
            let to = if inside(k + 1) { p[(k + 2) % 4] } else { p[(k + 1) % 4] };
            [from, to]
        }))
    }
}

/// One pad as a spring under a unit load.
#[derive(Clone, Copy)]
struct Spring {
    at: [f64; 2],
    k: f64,
    /// How far it stands below its lifting area when the first pad touches, over the load.
    gap: f64,
}

/// Shares of a unit load at `cg`: a rigid plane on four springs that could pull as well; one 3x3 system.
/// Not a number for pads on one line.
fn shares(springs: &[Spring; 4], cg: [f64; 2]) -> [f64; 4] {
    // About the springs' own middle the sinking and the two slopes come apart.
    let over = |f: &dyn Fn(&Spring) -> f64| springs.iter().map(|s| s.k * f(s)).sum::<f64>();
    let all = over(&|_| 1.0);
    let middle = [0, 1].map(|axis| over(&|s| s.at[axis]) / all);
    let arm = |s: &Spring, axis: usize| s.at[axis] - middle[axis];
    let sum = |a: usize, b: usize| over(&|s| arm(s, a) * arm(s, b));
    let (xx, xy, yy) = (sum(0, 0), sum(0, 1), sum(1, 1));
    // Gaps are as if so much more pressed on each spring, and went again.
    let mx = cg[0] - middle[0] + over(&|s| s.gap * arm(s, 0));
    let my = cg[1] - middle[1] + over(&|s| s.gap * arm(s, 1));
    let (whole, sunk) = (xx * yy - xy * xy, (1.0 + over(&|s| s.gap)) / all);
    let (bx, by) = ((mx * yy - my * xy) / whole, (my * xx - mx * xy) / whole);
    springs.map(|s| s.k * (sunk + bx * arm(&s, 0) + by * arm(&s, 1) - s.gap))
}

/// The same where one of those springs would have to pull: three carry, and the fourth hangs above its pad.
///
/// Which it is follows from the plane of the three: of the four choices the one that comes nearest to
/// three that push and a fourth that does not.
fn with_one_lifted(springs: &[Spring; 4], cg: [f64; 2]) -> [f64; 4] {
    let mut best = (f64::NEG_INFINITY, [0.0; 4]);
    for lifted in 0..4 {
        let on: [usize; 3] = core::array::from_fn(|i| if i < lifted { i } else { i + 1 });
        let (corners, own) = (on.map(|i| springs[i].at), &springs[lifted]);
        let (loads, there) = (levers(&corners, cg), levers(&corners, own.at));
        let sunk = |i: usize| loads[i] / springs[on[i]].k + springs[on[i]].gap;
        let sinks: f64 = (0..3).map(|i| there[i] * sunk(i)).sum::<f64>() - own.gap;
        let fit = loads.into_iter().fold(-sinks * own.k, f64::min);
        if fit > best.0 {
            let mut all = [0.0; 4];
            on.iter().zip(loads).for_each(|(i, load)| all[*i] = load);
            best = (fit, all);
        }
    }
    best.1
}

/// Shares of three corners in balance with a unit load at a point: parts of the triangle's area.
fn levers(corners: &[[f64; 2]; 3], at: [f64; 2]) -> [f64; 3] {
    let [a, b, c] = *corners;
    let whole = turn(a, b, c);
    [turn(at, b, c) / whole, turn(a, at, c) / whole, turn(a, b, at) / whole]
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECTANGLE: [[f64; 2]; 4] = [[1.0, 0.5], [1.0, -0.5], [-1.0, 0.5], [-1.0, -0.5]];

    const fn touching(at: [f64; 2]) -> Spring {
        Spring { at, k: 3e5, gap: 0.0 }
    }

    /// Derived: on a square one pad that stands lower by g gives up k g / 4, as does the one across; the others take it.
    #[test]
    fn a_pad_that_stands_lower_carries_less_as_does_the_one_across() {
        let mut pads = RECTANGLE.map(touching);
        pads[0].gap = 0.4e-6;
        let found = shares(&pads, [0.0; 2]);
        let want = [0.22, 0.28, 0.28, 0.22];
        assert!(found.iter().zip(want).all(|(f, w)| (f - w).abs() < 1e-12), "{found:?}");
        pads[0].gap = 4e-6;
        assert!(shares(&pads, [-0.1, 0.0])[0] < 0.0);
        let found = with_one_lifted(&pads, [-0.1, 0.0]);
        assert!(found[0] == 0.0 && (found.iter().sum::<f64>() - 1.0).abs() < 1e-12, "{found:?}");
    }

    /// Second way: balance by hand. The centre is on the left half of a diagonal's side, where the pad
    /// across would pull; derived.
    #[test]
    fn a_pad_that_would_pull_carries_nothing() {
        let cg = [0.8, 0.4];
        assert!(shares(&RECTANGLE.map(touching), cg)[3] < 0.0);
        let found = with_one_lifted(&RECTANGLE.map(touching), cg);
        let want = [0.8, 0.1, 0.1, 0.0];
        assert!(found.iter().zip(want).all(|(f, w)| (f - w).abs() < 1e-12), "{found:?}");
    }

    /// Derived: on equal springs at the corners of a rectangle, share = 1/4 (1 +- x/X)(...) to first order.
    #[test]
    fn a_rectangle_shares_by_levers() {
        let found = shares(&RECTANGLE.map(touching), [0.2, -0.05]);
        let want = [0.275, 0.325, 0.175, 0.225];
        assert!(found.iter().zip(want).all(|(f, w)| (f - w).abs() < 1e-12), "{found:?}");
    }

    #[test]
    fn a_pad_inside_the_others_makes_no_edge() {
        let square = [[1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]];
        let inside = |p: [f64; 2], pads: &[[f64; 2]; 4]| Sides::of(pads).0.map(|[a, b]| left_of(a, b, p));
        let found = inside([0.2, 0.1], &square);
        assert!(found.iter().zip([0.9, 1.2, 1.1, 0.8]).all(|(f, w)| (f - w).abs() < 1e-12), "{found:?}");
        let mut dented = square;
        dented[3] = [-0.1, 0.1];
        let found = inside([0.2, 0.1], &dented);
        assert!((found[1] - found[2]).abs() < 1e-12 && (found[1] - 0.3 / 2f64.sqrt()).abs() < 1e-12);
    }
}
