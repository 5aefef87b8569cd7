//! One lift against one vehicle among many: how the plan of the pair ends, without what only a person at the lift reads.

use crate::answer::{nearest_at_its_place, some_setup_passes, whole_job_set, work};
use crate::checks::What;
use crate::frames::Placement;
use crate::job::Job;
use crate::lift::Lift;
use crate::limits::Limits;
use crate::plan::{Check, PadSetting, Remark, Verdict};
use crate::situation::{InputFault, Situation};
use crate::vehicle::Vehicle;

/// How the plan of a pair ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Surveyed {
    /// May it be raised.
    pub verdict: Verdict,
    /// Where the vehicle stands; of a refused pair in the setup that comes nearest.
    pub placement: Placement,
    /// The plate's mark for this wheelbase, if the lift has a plate.
    pub mark: Option<String>,
    /// Four arm settings, in the order of the vehicle's corners.
    pub pads: [PadSetting; 4],
    /// Of the checks that forbid it the one that fails most, else the least reserve among those that the setup can change.
    pub held_by: Check,
    /// Every reason why it must not be raised; empty = it may.
    pub reasons: Vec<Reason>,
}

/// Why a pair is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// A check fails.
    Check(What),
    /// No plate band holds the wheelbase.
    NoBand,
    /// The tyres are not clear of the floor at the highest lock.
    NoLockClears,
    /// Somebody cannot work as a task asks.
    Posture,
    /// It would stand backwards, and the lift takes vehicles forwards only.
    Backwards,
}

/// The verdict, setup and reasons of [`plan`](crate::plan()): the same figures, without what one failure leaves, what another
/// spot or a change would give.
///
/// # Errors
/// As [`plan`](crate::plan()).
pub fn surveyed(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
) -> Result<Surveyed, Vec<InputFault>> {
    let situation = Situation::new(lift, vehicle, job, limits)?;
    let mut plan = whole_job_set(&situation, nearest_at_its_place);
    let planned = situation.as_planned(&plan);
    if !planned.pushes.is_empty() {
        work(&planned, &mut plan);
    }
    if !plan.refusals.is_empty() {
        crate::obstacle::drop_what_gives_way(&planned, &mut plan);
    }
    let reasons = plan.refusals.iter().map(|remark| match remark {
        Remark::Fails(k) => Reason::Check(plan.checks[*k].what),
        Remark::NoBand => Reason::NoBand,
        Remark::Backwards => Reason::Backwards,
        Remark::Posture { .. } => Reason::Posture,
        // Nothing else refuses.
        _ => Reason::NoLockClears,
    });
    Ok(Surveyed {
        verdict: plan.verdict,
        placement: plan.placement,
        held_by: plan.forbidden_by().unwrap_or(plan.worst_check()).clone(),
        reasons: reasons.collect(),
        mark: plan.mark,
        pads: plan.pads,
    })
}

/// Whether the vehicle may be raised on the lift, with no word of how.
#[must_use]
pub fn takes(lift: &Lift, vehicle: &Vehicle, job: &Job, limits: &Limits) -> bool {
    Situation::new(lift, vehicle, job, limits).is_ok_and(|situation| {
        // Another order of the steps or stands may still do.
        let may_do_otherwise = !job.steps.is_empty() || job.stands.is_some();
        some_setup_passes(&situation)
            || may_do_otherwise
                && whole_job_set(&situation, nearest_at_its_place).verdict != Verdict::DoNotRaise
    })
}
