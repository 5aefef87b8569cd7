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
    let fails = |plan: &Plan, k: usize| plan.checks[k].binding && plan.checks[k].reserve < 0.0;
    let failing: Vec<usize> = (0..plan.checks.len()).filter(|k| fails(plan, *k)).collect();
    let mut known: Vec<(What, Option<Why>)> = Vec::new();
    for k in &failing {
        let check = &plan.checks[*k];
        if check.steers && !known.iter().any(|(what, _)| same_kind(*what, check.what)) {
            known.push((check.what, no_setup(situation, check.what)));
        }
    }
    let blocked = known.iter().any(|(_, why)| why.is_some());
    let others = if blocked { Why::GivesWay } else { Why::Together };
    for k in failing {
        let found = known.iter().find(|(what, _)| same_kind(*what, plan.checks[k].what));
        plan.checks[k].why = found.map(|(_, why)| why.unwrap_or(others));
    }
    let checks = &plan.checks;
    plan.refusals.retain(|r| !matches!(r, Remark::Fails(k) if checks[*k].why == Some(Why::GivesWay)));
}

/// That no setup meets checks of this kind, if so.
fn no_setup(situation: &Situation, what: What) -> Option<Why> {
    let (spot, ways) = bounds(situation);
    if what.is_of_heights() {
        // One height serves all of them, so they are asked together.
        let most = ways.iter().map(|way| heights_most(situation, *way)).fold(f64::NEG_INFINITY, f64::max);
        let level = what == What::Level || most < 0.0;
        return level.then_some(Why::NoSetup { elsewhere: false });
    }
    let asked = Situation { asked: Some(what), ..situation.clone() };
    let met = |s: &Situation, spot: Option<f64>| {
        reaching(s, spot, ways, 0.0).is_some_and(|found| {
            let least = Least::of(|out| {
                let all = s.measure(&found.placement, &found.pads, &found.heights);
                all.into_iter().for_each(|piece| out.take(piece));
            });
            least > -MET
        })
    };
    if met(&asked, spot) {
        return None;
    }
    let anywhere = Situation { plate_binds: false, ..asked };
    Some(Why::NoSetup { elsewhere: spot.is_some() && met(&anywhere, None) })
}

fn same_kind(a: What, b: What) -> bool {
    discriminant(&a) == discriminant(&b)
}

impl Situation<'_> {
    /// Whether a search steers by checks of this kind: by all, or where one kind is asked by itself, by that and by
    /// what makes a setup one at all.
    pub(crate) fn asks(&self, what: What) -> bool {
        self.asked.is_none_or(|asked| {
            same_kind(asked, what)
                || matches!(
                    what,
                    What::PadInArea(_)
                        | What::ReachIn(_)
                        | What::ReachOut(_)
                        | What::SwingFrom(_)
                        | What::SwingTo(_)
                )
        })
    }
}
