//! The height to work at, in words: which lock, for whom, and what each gives up.

use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::limits::Name;
use planner::person::ArmBand;
use statics::Length;

use super::capital;
use crate::{Scene, Units};

/// How people work.
pub(crate) const fn posture(posture: Posture) -> &'static str {
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
        Some(named) => format!("{}, {how}", named.name),
        None => format!("{} (assumed, the job names no task)", capital(how)),
    };
    let thing = match task.posture {
        Posture::StandingUnder => "underside",
        Posture::StandingAtWheel | Posture::SeatedAtWheel => "hubs",
    };
    let lock = match task.lock {
        Some(lock) => format!("lock {}, {thing} {} above the floor.", lock + 1, units.length(task.work)),
        None => format!("at full rise {thing} {} above the floor.", units.length(task.work)),
    };
    let mut said = format!("{what}: {lock}");
    let forbidden = task.forbidden.zip(task.lock);
    if let Some((better, lock)) = forbidden {
        let why = if better > lock {
            format!("leaves too little air above the vehicle ({} asked)", limit(scene, Name::RoofAir, units))
        } else {
            "does not hold every tyre clear of the floor".to_owned()
        };
        said += &format!(" Lock {} would suit better but {why}.", better + 1);
    }
    if task.is_compromise() {
        said +=
            " A compromise: one lock for all, so that nobody is farther from what suits them than need be.";
    }
    said
}

fn limit(scene: &Scene<'_>, name: Name, units: Units) -> String {
    units.length(Length::metres(scene.limits.get(name)))
}

/// How one person works there.
pub(crate) fn at_work(task: &TaskHeight, at: &AtWork, units: Units) -> String {
    let mut parts = vec![away(task.posture, at, task.work, units)];
    if task.posture != Posture::StandingUnder && at.pose.stoop >= SEEN {
        parts.push(format!("stoops {}", units.length(at.pose.stoop)));
    }
    parts.push(format!("upper arm raised {}, {}", units.whole_angle(at.pose.upper_arm), band(at.band)));
    if at.pose.short >= SEEN {
        parts.push(format!("the work is {} out of reach", units.length(at.pose.short)));
    }
    let stature = units.length(at.body.stature);
    let assumed = if task.people_assumed { "about " } else { "" };
    let alone = match (at.alone, task.is_compromise()) {
        (Some(lock), true) => format!(" Alone: lock {}.", lock + 1),
        _ => String::new(),
    };
    format!("{}, {assumed}{stature}: {}.{alone}", capital(&at.name), parts.join("; "))
}

/// Less is not shown.
const SEEN: Length = Length::metres(0.0005);

/// Head room or stoop, or how far the hub is from the elbow.
pub(crate) fn away(posture: Posture, at: &AtWork, work: Length, units: Units) -> String {
    if let Some(room) = at.head_room {
        return match units.length(room.abs()) {
            zero if zero.starts_with("0 ") => "head just under it".into(),
            some if room < Length::ZERO => format!("must stoop {some}"),
            some => format!("{some} head room"),
        };
    }
    let from = work - at.ideal;
    let elbow = if posture == Posture::SeatedAtWheel { "the seated elbow" } else { "the elbow" };
    match units.length(from.abs()) {
        zero if zero.starts_with("0 ") => format!("hub at {elbow}"),
        some if from < Length::ZERO => format!("hub {some} below {elbow}"),
        some => format!("hub {some} above {elbow}"),
    }
}

const fn band(band: ArmBand) -> &'static str {
    match band {
        ArmBand::Good => "good",
        ArmBand::Conditional => "conditional",
        ArmBand::Not => "not for long",
    }
}
