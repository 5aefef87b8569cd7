//! Which lifts to buy: the fewest that take all that any of them takes, and the one that adds most; each proven, with the next best.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use microlp::{ComparisonOp, OptimizationDirection, Problem, SolutionStatus, Variable};

use super::row::Row;
use super::tally::{many, percent};

/// How many vehicles each set of lifts takes: those with the same set are one, with a weight.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sets(BTreeMap<Vec<bool>, u64>);

impl Sets {
    /// The rows of one vehicle, a lift each.
    pub(crate) fn add(&mut self, rows: &[Row]) {
        self.count(rows.iter().map(Row::takes).collect(), 1);
    }

    pub(crate) fn count(&mut self, taken_by: Vec<bool>, vehicles: u64) {
        *self.0.entry(taken_by).or_default() += vehicles;
    }

    fn vehicles(&self) -> u64 {
        self.0.values().sum()
    }

    /// Vehicles that any of these lifts takes.
    pub(crate) fn taken(&self, lifts: &[usize]) -> u64 {
        let holds = |set: &[bool]| lifts.iter().any(|lift| set.get(*lift) == Some(&true));
        self.0.iter().filter(|(set, _)| holds(set)).map(|(_, n)| n).sum()
    }
}

/// Lifts that were chosen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Choice {
    pub(crate) lifts: Vec<usize>,
    /// Vehicles that are taken with them.
    pub(crate) taken: u64,
}

/// The best choice and the best of those that leave out at least one of its lifts; the last is `None` where there is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Best {
    pub(crate) first: Choice,
    pub(crate) next: Option<Choice>,
}

/// A question of choosing: the lifts from `own` on may be bought, those before it are there.
pub(crate) struct Choosing<'a> {
    pub(crate) sets: &'a Sets,
    pub(crate) own: usize,
    pub(crate) lifts: usize,
}

impl Choosing<'_> {
    /// Sets of candidates, one of which each vehicle needs that no lift at hand takes, with their weights.
    fn needs(&self) -> Vec<(Vec<usize>, f64)> {
        let mut needs: BTreeMap<Vec<usize>, u64> = BTreeMap::new();
        for (set, n) in &self.sets.0 {
            let by = |range: std::ops::Range<usize>| range.filter(|lift| set[*lift]).collect::<Vec<usize>>();
            let candidates = by(self.own..self.lifts);
            if by(0..self.own).is_empty() && !candidates.is_empty() {
                *needs.entry(candidates).or_default() += n;
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "far fewer vehicles than a float counts")]
        needs.into_iter().map(|(set, n)| (set, n as f64)).collect()
    }

    fn choice(&self, bought: Vec<usize>) -> Choice {
        let all: Vec<usize> = (0..self.own).chain(bought.iter().copied()).collect();
        Choice { taken: self.sets.taken(&all), lifts: bought }
    }

    /// The optimum of a program over the candidates; `None` if it has no solution, an error if it is not proven.
    fn solved(&self, problem: &Problem, bought: &[Variable]) -> Result<Option<Choice>, String> {
        let outcome = match problem.solve() {
            Ok(outcome) => outcome,
            Err(microlp::Error::Infeasible) => return Ok(None),
            Err(fault) => return Err(fault.to_string()),
        };
        let Some(solution) = outcome.solution() else { return Err("no choice was found in time".into()) };
        if solution.status() != SolutionStatus::Optimal {
            return Err("the best choice is not proven".into());
        }
        let chosen = (self.own..).zip(bought).filter(|(_, variable)| solution.var_value(**variable) > 0.5);
        Ok(Some(self.choice(chosen.map(|(lift, _)| lift).collect())))
    }

    /// Solves, then again without the first choice: at least one of its lifts is not bought.
    fn twice(&self, program: impl Fn() -> (Problem, Vec<Variable>)) -> Result<Option<Best>, String> {
        let (mut problem, bought) = program();
        let Some(first) = self.solved(&problem, &bought)? else { return Ok(None) };
        if first.lifts.is_empty() {
            return Ok(Some(Best { first, next: None }));
        }
        let same: Vec<(Variable, f64)> =
            first.lifts.iter().map(|lift| (bought[lift - self.own], 1.0)).collect();
        #[expect(clippy::cast_precision_loss, reason = "a few lifts")]
        let most = same.len() as f64 - 1.0;
        problem.add_constraint(&same, ComparisonOp::Le, most);
        Ok(Some(Best { next: self.solved(&problem, &bought)?, first }))
    }

    /// The fewest candidates with which all vehicles are taken that any lift takes.
    pub(crate) fn fewest(&self) -> Result<Option<Best>, String> {
        let needs = self.needs();
        self.twice(|| {
            let mut problem = Problem::new(OptimizationDirection::Minimize);
            let bought: Vec<Variable> = (self.own..self.lifts).map(|_| problem.add_binary_var(1.0)).collect();
            for (set, _) in &needs {
                let any: Vec<(Variable, f64)> =
                    set.iter().map(|lift| (bought[lift - self.own], 1.0)).collect();
                problem.add_constraint(&any, ComparisonOp::Ge, 1.0);
            }
            (problem, bought)
        })
    }

    /// So many candidates with which the most vehicles are taken.
    pub(crate) fn most(&self, count: u32) -> Result<Option<Best>, String> {
        let needs = self.needs();
        self.twice(|| {
            let mut problem = Problem::new(OptimizationDirection::Maximize);
            let bought: Vec<Variable> = (self.own..self.lifts).map(|_| problem.add_binary_var(0.0)).collect();
            let all: Vec<(Variable, f64)> = bought.iter().map(|v| (*v, 1.0)).collect();
            problem.add_constraint(&all, ComparisonOp::Eq, f64::from(count));
            for (set, weight) in &needs {
                // Taken if any that takes it is bought.
                let taken = problem.add_var(*weight, (0.0, 1.0));
                let mut any: Vec<(Variable, f64)> =
                    set.iter().map(|lift| (bought[lift - self.own], -1.0)).collect();
                any.push((taken, 1.0));
                problem.add_constraint(&any, ComparisonOp::Le, 0.0);
            }
            (problem, bought)
        })
    }

    /// For a terminal; by limits that differ from the defaults as these sentences say.
    pub(crate) fn text(&self, names: &[String], limits: &[String]) -> Result<String, String> {
        let all = self.sets.vehicles();
        let own: Vec<usize> = (0..self.own).collect();
        let named = |choice: &Choice| -> String {
            let names: Vec<&str> = choice.lifts.iter().map(|lift| names[*lift].as_str()).collect();
            names.join(", ")
        };
        let share = |taken: u64| format!("{taken} of {all} ({})", percent(taken, all));
        let whole: Vec<usize> = (0..self.lifts).collect();
        let (at_hand, most) = (self.sets.taken(&own), self.sets.taken(&whole));
        let mut out = format!(
            "\nChoosing among {} for {}.\n",
            many((self.lifts - self.own) as u64, "candidate"),
            many(all, "vehicle")
        );
        limits.iter().for_each(|said| out += &format!("{said}\n"));
        let _ = writeln!(out, "  at hand      {}, by {}", share(at_hand), many(self.own as u64, "lift"));
        match self.fewest()? {
            Some(Best { first, .. }) if first.lifts.is_empty() => {
                let _ = writeln!(
                    out,
                    "  fewest more  none: no candidate takes any that the lifts at hand do not take"
                );
                return Ok(out);
            }
            Some(Best { first, next }) => {
                let _ = writeln!(
                    out,
                    "  fewest more  {}: {}: then {}, all that any of them takes. No fewer do (proven).",
                    first.lifts.len(),
                    named(&first),
                    share(first.taken)
                );
                match next {
                    Some(next) => {
                        let _ = writeln!(out, "  runner-up    {}: {}", next.lifts.len(), named(&next));
                    }
                    None => {
                        let _ = writeln!(out, "  runner-up    none: without one of these not all are taken");
                    }
                }
            }
            None => return Err("the fewest lifts were not found".into()),
        }
        if let Some(Best { first, next }) = self.most(1)? {
            let told = |choice: &Choice| {
                format!("{}: {} more, then {}", named(choice), choice.taken - at_hand, share(choice.taken))
            };
            let _ = writeln!(out, "  best one     {}. None adds more (proven).", told(&first));
            if let Some(next) = next {
                let _ = writeln!(out, "  runner-up    {}", told(&next));
            }
        }
        if most < all {
            let _ =
                writeln!(out, "  {} taken by none of them.", super::tally::many_are(all - most, "vehicle"));
        }
        Ok(out)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Any numbers, the same each time (a linear congruence, Knuth).
    struct Numbers(u64);

    impl Numbers {
        fn below(&mut self, n: u64) -> u64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 33) % n
        }
    }

    fn subsets(from: usize, to: usize) -> impl Iterator<Item = Vec<usize>> {
        (0u32..1 << (to - from)).map(move |bits| (from..to).filter(|l| bits >> (l - from) & 1 == 1).collect())
    }

    fn contains(all: &[usize], part: &[usize]) -> bool {
        part.iter().all(|lift| all.contains(lift))
    }

    /// Every choice looked at.
    fn by_force(
        choosing: &Choosing<'_>,
        but: Option<&[usize]>,
        count: Option<usize>,
    ) -> Option<(usize, u64)> {
        let everything: Vec<usize> = (0..choosing.lifts).collect();
        let most = choosing.sets.taken(&everything);
        let own: Vec<usize> = (0..choosing.own).collect();
        let choices = subsets(choosing.own, choosing.lifts).filter(|c| but.is_none_or(|b| !contains(c, b)));
        let with = choices.map(|c| (c.len(), choosing.sets.taken(&[own.clone(), c].concat())));
        match count {
            None => with.filter(|(_, taken)| *taken == most).min(),
            Some(n) => with.filter(|(size, _)| *size == n).max_by_key(|(_, taken)| *taken),
        }
    }

    #[test]
    fn the_best_choice_is_that_of_brute_force() {
        let mut numbers = Numbers(7);
        let mut several = 0;
        for case in 0..200_usize {
            let (own, lifts) = (case % 3, 3 + case % 7);
            let mut sets = Sets::default();
            for _ in 0..1 + numbers.below(14) {
                let density = 2 + numbers.below(3);
                let set = (0..lifts).map(|_| numbers.below(density) == 0).collect();
                sets.count(set, 1 + numbers.below(50));
            }
            let choosing = Choosing { sets: &sets, own, lifts };
            let fewest = choosing.fewest().unwrap().unwrap();
            let first = (fewest.first.lifts.len(), fewest.first.taken);
            assert_eq!(Some(first), by_force(&choosing, None, None), "case {case}");
            several += usize::from(first.0 > 1);
            if first.0 > 0 {
                let next = fewest.next.map(|c| (c.lifts.len(), c.taken));
                assert_eq!(next, by_force(&choosing, Some(&fewest.first.lifts), None), "case {case}");
            }
            for count in 1..=2u32.min(u32::try_from(lifts - own).unwrap()) {
                let best = choosing.most(count).unwrap().unwrap();
                let n = Some(count as usize);
                assert_eq!(Some(best.first.taken), by_force(&choosing, None, n).map(|b| b.1), "case {case}");
                let next = by_force(&choosing, Some(&best.first.lifts), n).map(|b| b.1);
                assert_eq!(best.next.map(|c| c.taken), next, "case {case}");
            }
        }
        assert!(several > 50, "so that it is no mere looking for one: {several}");
    }
}
