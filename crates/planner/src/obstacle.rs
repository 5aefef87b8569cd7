//! Why nothing passes: which of the failing checks no setup meets, and where the nearest setup only gives way.

use core::mem::discriminant;

use crate::answer::bounds;
use crate::checks::{Least, Sink, What};
use crate::plan::{Plan, Remark, Why};
use crate::search::{heights_most, reaching};
use crate::situation::Situation;

/// A search that looks for no more than a reserve of zero stops this near to it.
const MET: f64 = 1e-4;

/// Tells of each failing check of a refused plan why it fails, and takes those out of the reasons on which the
/// nearest setup only gave way, to come nearer in what no setup meets.
///
/// Each kind of check is asked by itself, of every setup whose pads are on their areas and whose arms are
/// between their stops.
pub(crate) fn explain(situation: &Situation, plan: &mut Plan) {
    let (failing, kinds) = failing(plan);
    let (spot, _) = bounds(situation);
    let here = unmet(situation, spot, &kinds);
    let anywhere = Situation { plate_binds: false, ..situation.clone() };
    let anywhere = if spot.is_some() { unmet(&anywhere, None, &here) } else { here.clone() };
    let blocked = !here.is_empty();
    for k in failing {
        let check = &mut plan.checks[k];
        let among = |kinds: &[What]| kinds.iter().any(|what| same_kind(*what, check.what));
        check.why = among(&kinds).then(|| match (among(&here), blocked) {
            (true, _) => Why::NoSetup { elsewhere: !among(&anywhere) },
            (false, true) => Why::GivesWay,
            (false, false) => Why::Together,
        });
    }
    let checks = &plan.checks;
    plan.refusals.retain(|r| !matches!(r, Remark::Fails(k) if checks[*k].why == Some(Why::GivesWay)));
}

/// Takes the same reasons out, without telling why the others stand. What is of one kind never gives way to another.
pub(crate) fn drop_what_gives_way(situation: &Situation, plan: &mut Plan) {
    let (_, kinds) = failing(plan);
    if kinds.len() < 2 {
        return;
    }
    let here = unmet(situation, bounds(situation).0, &kinds);
    if here.is_empty() {
        return;
    }
    let among = |kinds: &[What], asked: What| kinds.iter().any(|what| same_kind(*what, asked));
    let gives_way = |what: What| among(&kinds, what) && !among(&here, what);
    let checks = &plan.checks;
    plan.refusals.retain(|r| !matches!(r, Remark::Fails(k) if gives_way(checks[*k].what)));
}

/// The checks that forbid a plan, and their kinds that the search steers by, one check of each.
fn failing(plan: &Plan) -> (Vec<usize>, Vec<What>) {
    let fails = |k: &usize| plan.checks[*k].binding && plan.checks[*k].reserve < 0.0;
    let failing: Vec<usize> = (0..plan.checks.len()).filter(fails).collect();
    let mut kinds: Vec<What> = Vec::new();
    for check in failing.iter().map(|k| &plan.checks[*k]).filter(|check| check.steers) {
        if !kinds.iter().any(|what| same_kind(*what, check.what)) {
            kinds.push(check.what);
        }
    }
    (failing, kinds)
}

/// Those of some kinds of checks that no setup meets. What makes a setup one is asked together, and with every other
/// kind: where it is not met, no other is.
fn unmet(situation: &Situation, spot: Option<f64>, kinds: &[What]) -> Vec<What> {
    let (_, ways) = bounds(situation);
    let met = |what: What| {
        let asked = Situation { asked: Some(what), ..situation.clone() };
        reaching(&asked, spot, ways, 0.0).is_some_and(|found| {
            let least = Least::of(|out| {
                let all = asked.measure(&found.placement, &found.pads, &found.heights);
                all.into_iter().for_each(|piece| out.take(piece));
            });
            least > -MET
        })
    };
    let none_is_one = kinds.iter().find(|what| what.makes_a_setup()).is_some_and(|what| !met(*what));
    // One height serves all of theirs, so they are asked together.
    let of_heights = kinds.iter().any(|what| what.is_of_heights()) && {
        ways.iter().all(|way| heights_most(situation, *way) < 0.0)
    };
    let none_meets = |what: &What| match *what {
        What::Level => true,
        what if what.is_of_heights() => of_heights,
        what if what.makes_a_setup() => none_is_one,
        what => none_is_one || !met(what),
    };
    kinds.iter().copied().filter(none_meets).collect()
}

fn same_kind(a: What, b: What) -> bool {
    discriminant(&a) == discriminant(&b)
}

impl Situation<'_> {
    /// Whether a search steers by checks of this kind: by all, or where one kind is asked by itself, by that and by
    /// what makes a setup one at all.
    pub(crate) fn asks(&self, what: What) -> bool {
        self.asked.is_none_or(|asked| same_kind(asked, what) || what.makes_a_setup())
    }
}
