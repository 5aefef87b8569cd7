//! Cases about rules of regulation and trade: which end stands on which arms, what an arm may carry.

use planner::checks::What;
use planner::lift::Corner;
use planner::plan::Remark;

use super::{Case, on_pads, shop};

/// Whether the plan says that the heavier end stands on the longer arms.
pub(crate) fn heavy_end(case: &Case) -> Vec<f64> {
    let plan = on_pads(case, |_| {});
    vec![f64::from(plan.watch.contains(&Remark::HeavyEndOnLongArms))]
}

/// What an arm may carry and what a rear pad carries, lb, and whether the rear pads pass; no arm has a rating of its own.
pub(crate) fn arm_rating(case: &Case) -> Vec<f64> {
    let plan = on_pads(case, |lift| {
        for arm in &mut lift.arms {
            arm.rated = None;
            shop::gauged(arm);
        }
    });
    let rear = &plan.pads[Corner::RearLeft.index()];
    let own = |what: What| matches!(what, What::PadRating(Corner::RearLeft | Corner::RearRight));
    let passes = plan.checks.iter().filter(|c| own(c.what)).all(|c| c.reserve >= 0.0);
    vec![rear.rated.as_mass().to_pounds(), rear.load_estimate.as_mass().to_pounds(), f64::from(passes)]
}
