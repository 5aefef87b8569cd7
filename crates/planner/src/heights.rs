//! Pad heights and adapters that take up the undersides of the lifting areas.

use statics::Length;

use crate::lift::PadKit;
use crate::plan::Plan;
use crate::vehicle::Vehicle;

/// Pad heights of one setup, in the order of the vehicle's corners.
#[derive(Clone, Debug, PartialEq)]
pub struct Heights {
    /// Top of each pad above the floor, carriage down.
    pub tops: [Length; 4],
    /// Adapters under each pad, tallest first.
    pub adapters: [Vec<Length>; 4],
    /// Carriage rise at which each pad touches.
    pub touch: [Length; 4],
}

impl Heights {
    /// Those of a plan's setup.
    pub(crate) fn of(plan: &Plan, vehicle: &Vehicle) -> Self {
        Self {
            tops: plan.pads.each_ref().map(|p| p.height),
            adapters: plan.pads.each_ref().map(|p| p.adapters.clone()),
            touch: plan.pads.each_ref().map(|p| vehicle.lift_areas[p.area].underside - p.height),
        }
    }

    /// Carriage rise at which the last pad touches.
    #[must_use]
    pub fn all_touch(&self) -> Length {
        self.touch.iter().copied().fold(self.touch[0], Length::max)
    }

    /// How far the tops miss the undersides at each corner, over the best-fitting corner.
    #[must_use]
    pub fn misses(&self) -> [Length; 4] {
        let first = self.touch.iter().copied().fold(self.touch[0], Length::min);
        self.touch.map(|t| t - first)
    }
}

/// One way to set the heights, and what it leaves.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    pub(crate) heights: Heights,
    /// Least reserve of pad entry and beam under sill.
    pub(crate) reserve: f64,
}

/// What the heights must meet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Needs {
    /// Undersides at the four corners.
    pub(crate) undersides: [f64; 4],
    /// Lowest sill minus the highest arm's top.
    pub(crate) under_sill: f64,
    /// Least rise before touching.
    pub(crate) entry: f64,
    /// Least air between arm and sill when touching.
    pub(crate) sill_air: f64,
}

/// Ways to set the heights, fewest adapters first, each leaving more than those before it.
///
/// Corners with one underside get one stack. All pads touch at one carriage rise c, so top =
/// underside - c; c must leave pads room to slide in (c >= entry) and arms room under the sill.
/// When no stack lets all pads touch at once, the one way that misses least.
pub(crate) fn choices(kit: &PadKit, needs: &Needs) -> Vec<Choice> {
    let mut levels: Vec<f64> = needs.undersides.to_vec();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let level_of = needs.undersides.map(|u| levels.iter().position(|l| (l - u).abs() < 1e-9).unwrap_or(0));
    let stacks = stacks(kit);
    let (lowest, travel) = (kit.lowest.to_metres(), kit.travel.to_metres());
    let mut found: Vec<Candidate> = Vec::new();
    let mut nearest: Option<(f64, Candidate)> = None;
    let mut pick = vec![0usize; levels.len()];
    loop {
        let of = |corner: usize| &stacks[pick[level_of[corner]]];
        if kit_holds(kit, (0..4).map(of)) {
            let low = levels.iter().zip(&pick).map(|(u, p)| u - lowest - stacks[*p].height - travel);
            let low = low.fold(f64::NEG_INFINITY, f64::max);
            let high = levels.iter().zip(&pick).map(|(u, p)| u - lowest - stacks[*p].height);
            let high = high.fold(f64::INFINITY, f64::min);
            // Entry reserve rises with c, sill reserve falls: best where they meet.
            let meet = needs.under_sill * needs.entry / (needs.entry + needs.sill_air).max(1e-9);
            let c = if low <= high { meet.clamp(low, high) } else { f64::midpoint(low, high) };
            let candidate = Candidate::set(kit, needs, c, [0, 1, 2, 3].map(of));
            if low <= high {
                found.push(candidate);
            } else if nearest
                .as_ref()
                .is_none_or(|(miss, n)| (low - high, candidate.stack) < (*miss, n.stack))
            {
                nearest = Some((low - high, candidate));
            }
        }
        let Some(turn) = pick.iter().position(|p| p + 1 < stacks.len()) else { break };
        pick[turn] += 1;
        pick[..turn].fill(0);
    }
    found.sort_by(|a, b| a.stack.total_cmp(&b.stack).then(b.reserve.total_cmp(&a.reserve)));
    let mut best = f64::NEG_INFINITY;
    found.retain(|c| {
        let keep = c.reserve > best;
        best = best.max(c.reserve);
        keep
    });
    if found.is_empty() {
        found.extend(nearest.map(|(_, c)| c));
    }
    found.into_iter().map(|c| c.choice(kit)).collect()
}

/// The least stack whose reserve is no less than `worst`; where none is, the one that leaves most.
pub(crate) fn least_that_serves(choices: &[Choice], worst: f64) -> Option<&Choice> {
    let serves = choices.iter().find(|c| c.reserve >= worst - 1e-12);
    serves.or_else(|| choices.iter().max_by(|a, b| a.reserve.total_cmp(&b.reserve)))
}

#[derive(Clone, Debug)]
struct Stack {
    height: f64,
    /// How many of each adapter of the kit.
    uses: Vec<u8>,
}

/// How far a height that was found with a tape may be off; common practice, no source.
pub const TAPE: Length = Length::millimetres(5.0);

/// The least stack of a kit with which a pad comes so high, within what a tape may be off, tallest adapter first.
#[must_use]
pub fn least_stack(kit: &PadKit, top: Length) -> Option<Vec<Length>> {
    let reaches = |stack: &Stack| {
        let least = kit.lowest + Length::metres(stack.height);
        top >= least - TAPE && top <= least + kit.travel + TAPE
    };
    let all = stacks(kit);
    let stack = all.iter().filter(|s| reaches(s)).min_by(|a, b| a.height.total_cmp(&b.height))?;
    Some(listed(kit, stack))
}

/// The adapters of a stack, tallest first.
fn listed(kit: &PadKit, stack: &Stack) -> Vec<Length> {
    let uses = kit.adapters.iter().zip(&stack.uses);
    let mut list: Vec<Length> =
        uses.flat_map(|(a, n)| core::iter::repeat_n(a.height, usize::from(*n))).collect();
    list.sort_by(|a, b| b.to_metres().total_cmp(&a.to_metres()));
    list
}

/// All stacks that one pad may have.
fn stacks(kit: &PadKit) -> Vec<Stack> {
    let mut all = vec![Stack { height: 0.0, uses: vec![0; kit.adapters.len()] }];
    for (k, adapter) in kit.adapters.iter().enumerate() {
        for i in 0..all.len() {
            for more in 1..=adapter.count {
                if all[i].uses.iter().sum::<u8>() + more > kit.stack_most {
                    break;
                }
                let mut stack = all[i].clone();
                stack.uses[k] = more;
                stack.height += f64::from(more) * adapter.height.to_metres();
                all.push(stack);
            }
        }
    }
    all
}

fn kit_holds<'a>(kit: &PadKit, used: impl Iterator<Item = &'a Stack> + Clone) -> bool {
    kit.adapters
        .iter()
        .enumerate()
        .all(|(k, a)| used.clone().map(|s| u32::from(s.uses[k])).sum::<u32>() <= u32::from(a.count))
}

/// A choice whose adapters are not yet listed.
struct Candidate<'a> {
    used: [&'a Stack; 4],
    tops: [f64; 4],
    touch: [f64; 4],
    /// Total height of all adapters.
    stack: f64,
    reserve: f64,
}

impl<'a> Candidate<'a> {
    fn set(kit: &PadKit, needs: &Needs, c: f64, used: [&'a Stack; 4]) -> Self {
        let (lowest, travel) = (kit.lowest.to_metres(), kit.travel.to_metres());
        let tops: [f64; 4] = core::array::from_fn(|i| {
            let least = lowest + used[i].height;
            (needs.undersides[i] - c).clamp(least, least + travel)
        });
        let touch: [f64; 4] = core::array::from_fn(|i| needs.undersides[i] - tops[i]);
        let entry = touch.iter().copied().fold(f64::INFINITY, f64::min);
        let sill = needs.under_sill - touch.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self {
            used,
            tops,
            touch,
            stack: used.iter().map(|s| s.height).sum(),
            reserve: crate::checks::at_least(entry, needs.entry)
                .min(crate::checks::at_least(sill, needs.sill_air)),
        }
    }

    fn choice(self, kit: &PadKit) -> Choice {
        let adapters = self.used.map(|stack| listed(kit, stack));
        Choice {
            heights: Heights {
                tops: self.tops.map(Length::metres),
                adapters,
                touch: self.touch.map(Length::metres),
            },
            reserve: self.reserve,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lift::{Adapter, PadSurface};

    fn kit() -> PadKit {
        let adapter = |mm: f64, count| Adapter { height: Length::millimetres(mm), count };
        PadKit {
            radius: Length::millimetres(60.0),
            lowest: Length::millimetres(100.0),
            travel: Length::millimetres(50.0),
            adapters: vec![adapter(45.0, 4), adapter(90.0, 4)],
            stack_most: 1,
            surface: PadSurface::Rubber,
        }
    }

    fn tops(undersides: [f64; 4], under_sill: f64) -> Choice {
        let needs = Needs { undersides, under_sill, entry: 0.005, sill_air: 0.01 };
        choices(&kit(), &needs).swap_remove(0)
    }

    #[test]
    fn unequal_undersides_are_taken_up_with_the_least_stack() {
        let stack = |c: &Choice| c.heights.adapters.iter().flatten().map(|a| a.to_metres()).sum::<f64>();
        let even = tops([0.16, 0.16, 0.18, 0.18], 0.09);
        assert!(stack(&even) == 0.0 && even.reserve > 0.0);
        let touch = even.heights.touch.map(Length::to_metres);
        assert!(touch.iter().all(|t| (t - touch[0]).abs() < 1e-12));
        let uneven = tops([0.16, 0.16, 0.30, 0.30], 0.09);
        assert!((stack(&uneven) - 0.18).abs() < 1e-12, "{uneven:?}");
    }

    #[test]
    fn what_cannot_be_taken_up_misses_least() {
        let needs =
            Needs { undersides: [0.16, 0.16, 0.50, 0.50], under_sill: 0.09, entry: 0.005, sill_air: 0.01 };
        let only = choices(&kit(), &needs);
        assert_eq!(only.len(), 1);
        assert!(only[0].heights.misses()[2].to_metres() > 0.1);
    }
}
