//! The height to work at, in words: which lock, for whom, and what each gives up.

use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::limits::Name;
use planner::person::ArmBand;
use statics::Length;

use super::capital;
use crate::{Scene, Units};

const fn posture(posture: Posture) -> &'static str {
    match posture {
        Posture::StandingUnder => "standing under",
        Posture::StandingAtWheel => "standing at a wheel",
        Posture::SeatedAtWheel => "seated at a wheel",
    }
}

/// The lock of a task, the height of the work there, and what decided it.
pub(crate) fn task_height(scene: &Scene<'_>, task: &TaskHeight, units: Units) -> String {
    let how = posture(task.posture);
    let what = match task.task.and_then(|k| scene.job.tasks.get(k)) {
        Some(named) => format!("{}, {how}", capital(&named.name)),
        None => format!("{} (assumed, the job names no task)", capital(how)),
    };
    let thing = match task.posture {
        Posture::StandingUnder => "underside",
        Posture::StandingAtWheel | Posture::SeatedAtWheel => "hubs",
    };
    let at = match task.lock {
        Some(lock) => format!("lock {}", lock + 1),
        None => "full rise".into(),
    };
    let mut said = format!("{what}: {at}, {thing} {} above the floor", units.length(task.work));
    if task.is_compromise() && !task.held_by_stands {
        said += ", a compromise";
    }
    if let Some((better, lock)) = task.forbidden.zip(task.lock) {
        let why = if task.held_by_stands {
            "the stands do not reach there".to_owned()
        } else if better > lock {
            let air = Length::metres(scene.limits.get(Name::RoofAir));
            format!("leaves less than {} above the vehicle", units.length(air))
        } else {
            "does not hold every tyre clear of the floor".to_owned()
        };
        said += &format!("; lock {} would suit better but {why}", better + 1);
    }
    said + "."
}

/// What a person gives up there: head room or stoop, hub from the elbow, reach.
pub(crate) fn at_work(task: &TaskHeight, at: &AtWork, units: Units) -> String {
    let shown = |l: Length| Some(units.length(l.abs())).filter(|s| !s.starts_with("0 "));
    if let Some(short) = shown(at.pose.short) {
        return format!("{short} out of reach");
    }
    if let Some(stoop) = shown(at.pose.stoop) {
        return format!("must stoop {stoop}");
    }
    if let Some(room) = at.head_room {
        return shown(room).map_or_else(|| "head just under it".into(), |room| format!("{room} head room"));
    }
    let from = task.work - at.ideal;
    let elbow = if task.posture == Posture::SeatedAtWheel { "seated elbow" } else { "elbow" };
    match shown(from) {
        None => format!("hub at {elbow}"),
        Some(some) if from < Length::ZERO => format!("hub {some} below {elbow}"),
        Some(some) => format!("hub {some} above {elbow}"),
    }
}

/// How far the upper arm is raised, and what that means for it.
pub(crate) fn arm(at: &AtWork, units: Units) -> String {
    let band = match at.band {
        ArmBand::Good => "good",
        ArmBand::Conditional => "conditional",
        ArmBand::Not => "not for long",
    };
    format!("{} {band}", units.whole_angle(at.pose.upper_arm))
}
