//! How the load on a stand changes of itself as parts come off and go on.
//!
//! A stand is a post: once screwed up it gives way little, and the arms give way much. As a part comes off, the vehicle
//! turns on its arms, and the stand takes up what it does not let the vehicle sink or gives back what it rises. A stand
//! that gives way not at all changes most, one that gives way like a spring without end not at all; how stiff it is,
//! with the floor and the body above it, is not known, so it may be anything between.

use statics::{Force, Mass, SupportSet};

use crate::moment::Item;

/// Stiffness of a stand that does not give way, as so many times the stiffest pad.
const RIGID: f64 = 1e6;
/// Of one that gives way without end.
const SOFT: f64 = 1e-9;

/// The least and the greatest stiffness of a pad, each with the model that has it.
type Ends = [(f64, usize); 2];

/// What carries: each place in plan, with the least and the greatest of its stiffness and the models that have them.
pub(crate) struct Posts {
    pads: Vec<([f64; 2], Ends)>,
    stands: Vec<[f64; 2]>,
    /// How far a stand may be off its place along each axis.
    off: f64,
    stiffest: f64,
}

impl Posts {
    /// Pads of the models that a plan is checked with, in their plane, and stands in the same.
    pub(crate) fn new(models: &[SupportSet], stands: Vec<[f64; 2]>, off: f64) -> Option<Self> {
        let first = models.first()?.contacts();
        let ends = |i: usize| {
            let each = models.iter().map(|m| m.contacts()[i].stiffness.to_newtons_per_metre());
            let each: Vec<(f64, usize)> = each.zip(0..).collect();
            let by = |a: &&(f64, usize), b: &&(f64, usize)| a.0.total_cmp(&b.0);
            Some([*each.iter().min_by(by)?, *each.iter().max_by(by)?])
        };
        let pad = |i: usize| Some((first[i].at.plan().to_metres(), ends(i)?));
        let pads: Vec<_> = (0..first.len()).map(pad).collect::<Option<_>>()?;
        let stiffest = pads.iter().map(|p| p.1[1].0).fold(0.0, f64::max);
        Some(Self { pads, stands, off, stiffest })
    }

    /// Least and greatest change of the load on each stand when these masses come (more) or go (less), in the same plane:
    /// over every stiffness in its range, the stands at their places and off them.
    ///
    /// The share of a stand in a load is a quotient of two linear functions of any one stiffness, so it is least and
    /// greatest at the ends.
    pub(crate) fn drift(&self, changes: &[Change]) -> Vec<[Force; 2]> {
        let mut found = vec![[Force::ZERO; 2]; self.stands.len()];
        self.at_each(changes, |_, s, [least, most]| {
            found[s] = [found[s][0].min(least), found[s][1].max(most)];
        });
        found
    }

    /// With what each gives way where the load on a stand changes most, to less or to more.
    pub(crate) fn farthest(&self, changes: &[Change], stand: usize, more: bool) -> Option<GivesWay> {
        let mut found: Option<(Force, GivesWay)> = None;
        self.at_each(changes, |gives, s, [least, most]| {
            let far = if more { most } else { least.abs() };
            if s == stand && found.as_ref().is_none_or(|f| far > f.0) {
                found = Some((far, gives));
            }
        });
        found.map(|f| f.1)
    }

    /// Tells of every stand, wherever each stiffness is at an end, what the load on it changes at the least and at the most.
    fn at_each(&self, changes: &[Change], mut tell: impl FnMut(GivesWay, usize, [Force; 2])) {
        if changes.is_empty() {
            return;
        }
        for bits in 0u32..1 << (self.pads.len() + self.stands.len()) {
            let end = |k: usize| usize::from(bits >> k & 1 == 1);
            for shift in [[0.0, 0.0], [1.0, 1.0], [1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0]] {
                let off = shift.map(|s| s * self.off);
                let stands = self.stands.iter().enumerate().map(|(s, at)| {
                    let k = [SOFT, RIGID][end(self.pads.len() + s)] * self.stiffest;
                    ([at[0] + off[0], at[1] + off[1]], k)
                });
                let stands: Vec<_> = stands.collect();
                let pads = self.pads.iter().enumerate().map(|(i, (at, ends))| (*at, ends[end(i)].0));
                let springs: Vec<_> = pads.chain(stands.iter().copied()).collect();
                let Some(inverse) = invert(stiffness(&springs)) else { continue };
                let models = self.pads.iter().enumerate().map(|(i, (_, ends))| ends[end(i)].1).collect();
                let rigid = (0..stands.len()).filter(|s| end(self.pads.len() + s) == 1).collect();
                let gives = GivesWay { models, rigid, off };
                for (s, (at, k)) in stands.iter().enumerate() {
                    let share = times(&inverse, row(*at)).map(|v| v * k);
                    let [mut least, mut most] = [0.0; 2];
                    for change in changes {
                        let part = dot(share, row(change.at));
                        // Both may be off at once: what a mass at its greatest makes of its place.
                        let greatest = change.mass.abs() + change.tolerance;
                        let moved = (share[1] * change.off[0]).abs() + (share[2] * change.off[1]).abs();
                        let value = part * change.mass;
                        let off = (part * change.tolerance).abs() + greatest * moved;
                        least += value - off;
                        most += value + off;
                    }
                    tell(gives.clone(), s, [least, most].map(|kg| Mass::kilograms(kg).weight()));
                }
            }
        }
    }
}

/// How pads and stands give way: of each pad the model that has its stiffness, which stands give way not at all, and how
/// far all stand off their places.
#[derive(Clone, Debug)]
pub(crate) struct GivesWay {
    pub(crate) models: Vec<usize>,
    pub(crate) rigid: Vec<usize>,
    pub(crate) off: [f64; 2],
}

/// A mass that comes, or goes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Change {
    /// Kilograms; negative = it goes.
    pub(crate) mass: f64,
    pub(crate) tolerance: f64,
    pub(crate) at: [f64; 2],
    /// How far the place may be off along each axis of the bay.
    pub(crate) off: [f64; 2],
    /// Which it is: of those counted after (else before), and its index there.
    pub(crate) of: (bool, usize),
}

/// What is counted in one state and not in the other.
pub(crate) fn changes(
    before: &[Item],
    after: &[Item],
    place: impl Fn([f64; 2]) -> [f64; 2],
    off: impl Fn([f64; 2]) -> [f64; 2],
) -> Vec<Change> {
    let same = |a: &Item, b: &Item| (a.sign, a.mass, a.at) == (b.sign, b.mass, b.at);
    let only = |these: &[Item], those: &[Item]| {
        let mut left = those.to_vec();
        let mut found: Vec<usize> = Vec::new();
        for (i, item) in these.iter().enumerate() {
            match left.iter().position(|other| same(item, other)) {
                Some(k) => drop(left.remove(k)),
                None => found.push(i),
            }
        }
        found
    };
    let change = |item: &Item, way: f64, of: (bool, usize)| Change {
        of,
        mass: way * item.sign * item.mass,
        tolerance: item.mass_tolerance,
        at: place([item.at[0], item.at[1]]),
        off: off([item.at_tolerance[0], item.at_tolerance[1]]),
    };
    let come = only(after, before).into_iter().map(|k| change(&after[k], 1.0, (true, k)));
    come.chain(only(before, after).into_iter().map(|k| change(&before[k], -1.0, (false, k)))).collect()
}

type Matrix = [[f64; 3]; 3];

const fn row([x, y]: [f64; 2]) -> [f64; 3] {
    [1.0, x, y]
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn times(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    m.map(|line| dot(line, v))
}

fn stiffness(springs: &[([f64; 2], f64)]) -> Matrix {
    let mut sum = [[0.0; 3]; 3];
    for (at, k) in springs {
        let r = row(*at);
        for (a, line) in sum.iter_mut().enumerate() {
            for (b, v) in line.iter_mut().enumerate() {
                *v += k * r[a] * r[b];
            }
        }
    }
    sum
}

/// `None` where the springs hold nothing.
fn invert(m: Matrix) -> Option<Matrix> {
    let minor = |i: usize, j: usize| {
        let ([a, b], [c, d]) = ([(i + 1) % 3, (i + 2) % 3], [(j + 1) % 3, (j + 2) % 3]);
        m[a][c] * m[b][d] - m[a][d] * m[b][c]
    };
    let whole = dot(m[0], [minor(0, 0), minor(0, 1), minor(0, 2)]);
    let inverse: Matrix = core::array::from_fn(|i| core::array::from_fn(|j| minor(j, i) / whole));
    (whole != 0.0 && inverse.iter().flatten().all(|v| v.is_finite())).then_some(inverse)
}

#[cfg(test)]
mod tests {
    use statics::{Contact, Length, Load, Mass, Place, Point, Resists, Stiffness, SupportSet};

    use super::*;

    const PADS: [[f64; 2]; 4] = [[0.6, 0.7], [0.6, -0.7], [2.0, 0.7], [2.0, -0.7]];

    fn set(k: [f64; 4], stand: Option<([f64; 2], f64, f64)>) -> SupportSet {
        let contact = |[x, y]: [f64; 2], k: f64, gap: f64| Contact {
            at: Point::metres([x, y, 0.2]),
            place_tolerance: Length::ZERO,
            stiffness: Stiffness::newtons_per_metre(k),
            gap: Length::metres(gap),
            friction: 0.6,
            rated: None,
            resists: Resists::EveryDirection,
        };
        let pads = PADS.iter().zip(k).map(|(at, k)| contact(*at, k, 0.0));
        let stand = stand.map(|(at, k, gap)| contact(at, k, gap));
        SupportSet::new(pads.chain(stand).collect()).unwrap()
    }

    fn load(kg: f64, at: [f64; 2]) -> Load {
        Load { weight: Mass::kilograms(kg).weight(), at: Place::metres(at) }
    }

    /// A second way: the stand as one more one-sided spring whose gap is such that it carries its load when it is set, and
    /// the load estimate once the part is away.
    #[test]
    fn a_stand_that_was_preloaded_changes_within_what_is_told() {
        let stand = [2.9, 0.0];
        let (ends, mass) = ([300_000.0, 1_500_000.0], 150.0);
        let models = [0, 1].map(|e| set([ends[e]; 4], None));
        let posts = Posts::new(&models, vec![stand], 0.0).unwrap();
        let gone = Change { mass: -mass, tolerance: 0.0, at: [-0.2, 0.1], off: [0.0; 2], of: (true, 0) };
        let told = posts.drift(&[gone])[0].map(|f| f.to_newtons());
        let mut seen = [f64::INFINITY, f64::NEG_INFINITY];
        let mut tried = 0;
        let first = Mass::kilograms(200.0).weight().to_newtons();
        for bits in 0u8..16 {
            let k: [f64; 4] = core::array::from_fn(|i| ends[usize::from(bits >> i & 1)]);
            for post in [1e5, 1e6, 1e7, 1e10] {
                // While it is set it presses up with `first`: the pads carry the rest, and it is so far from touching less.
                let whole = load(1200.0, [1.3, 0.0]);
                let w = whole.weight.to_newtons();
                let left = w - first;
                let at = [(w * 1.3 - first * stand[0]) / left, 0.0];
                let pads = set(k, None);
                let rest = load(left / 9.806_65, at);
                let down = pads.load_estimate(&rest).unwrap().loads;
                let down: Vec<f64> = down.iter().zip(k).map(|(n, k)| n.to_newtons() / k).collect();
                if down.iter().any(|d| *d <= 0.0) {
                    continue; // A pad that hangs: no state that passes has one.
                }
                // The sinking of the body is linear in plan, so three pads give it at the stand.
                let along = (down[2] - down[0]) / 1.4;
                let across = (down[0] - down[1]) / 1.4;
                let here = down[0] + along * (stand[0] - 0.6) + across * (stand[1] - 0.7);
                let with = set(k, Some((stand, post, here - first / post)));
                let loads = |load: &Load| with.load_estimate(load).unwrap().loads;
                let carried = |load: &Load| loads(load)[4].to_newtons();
                assert!((carried(&whole) - first).abs() < 1e-3, "{} {first}", carried(&whole));
                let (m, g) = (1200.0 - mass, gone.at);
                let off = [(1200.0 * 1.3 - mass * g[0]) / m, -mass * g[1] / m];
                let change = carried(&load(m, off)) - first;
                if loads(&load(m, off)).iter().any(|n| n.to_newtons() <= 0.0) {
                    continue;
                }
                tried += 1;
                assert!(told[0] - 1.0 <= change && change <= told[1] + 1.0, "{change} {told:?}");
                seen = [seen[0].min(change), seen[1].max(change)];
            }
        }
        // It comes to what is told at the stiff end, and the nose that gets lighter presses the tail on its stand.
        assert!(tried > 20 && told[1] > 100.0 && seen[1] > 0.99 * told[1], "{tried} {seen:?} {told:?}");
    }

    #[test]
    fn what_comes_and_goes_is_found() {
        let item = |kg: f64, aft: f64| {
            let mass = crate::Measured::given(Mass::kilograms(kg), Mass::kilograms(2.0));
            Item::new(-1.0, &mass, [aft, 0.0, 0.0], [0.0; 3])
        };
        let (a, b) = (item(10.0, 1.0), item(20.0, 2.0));
        let found = changes(core::slice::from_ref(&a), core::slice::from_ref(&b), |at| at, |off| off);
        let found: Vec<_> = found.iter().map(|c| (c.mass, c.tolerance, c.at[0])).collect();
        // The second came off, the first is back on.
        assert_eq!(found, [(-20.0, 2.0, 2.0), (10.0, 2.0, 1.0)]);
        assert!(changes(&[a.clone(), b.clone()], &[b, a], |at| at, |off| off).is_empty());
    }
}
