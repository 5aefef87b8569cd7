//! The height to work at, in words: which lock, for whom, and what each gives up.

use planner::course::{InState, course};
use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::limits::Name;
use planner::person::{ArmBand, Strain, TrunkBand};
use statics::Length;

use super::corners::listed;
use super::{capital, steps};
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

/// How far the upper arm is raised or, where that is farther out of its bands, the back bent; and what that means.
pub(crate) fn arm(at: &AtWork, units: Units) -> String {
    let back = match at.trunk {
        TrunkBand::Good => ArmBand::Good,
        TrunkBand::Conditional => ArmBand::Conditional,
        TrunkBand::Not => ArmBand::Not,
    };
    let (what, angle) = if back > at.band { ("back ", at.pose.lean) } else { ("", at.pose.upper_arm) };
    let band = match at.band.max(back) {
        ArmBand::Good => "good",
        ArmBand::Conditional => "conditional",
        ArmBand::Not => "not for long",
    };
    format!("{what}{} {band}", units.whole_angle(angle))
}

/// Who cannot work as a task asks, or should not, and what would change it.
pub(super) fn strained(scene: &Scene<'_>, task: usize, people: &[(usize, Strain)], units: Units) -> String {
    let Some(at) = scene.plan.height.tasks.get(task) else { return String::new() };
    let each = people.iter().filter_map(|(k, strain)| {
        let person = at.people.get(*k)?;
        let bent = units.whole_angle(person.pose.lean);
        Some(match strain {
            Strain::NoRoomToStand => format!("{} cannot stand under it, even bent double", person.name),
            Strain::Bent => format!(
                "{} would work with the back bent by {bent}, and 60\u{b0} is the most that is acceptable ({})",
                person.name,
                TrunkBand::SOURCE
            ),
            Strain::ArmsUp => format!(
                "{} would work with the upper arm raised by {}, and 60\u{b0} is the most that is acceptable ({})",
                person.name,
                units.whole_angle(person.pose.upper_arm),
                ArmBand::SOURCE
            ),
            Strain::OutOfReach => {
                format!("{} does not reach the work by {} (derived)", person.name, units.length(person.pose.short))
            }
        })
    });
    let each: Vec<String> = each.collect();
    format!("{} {}. {}", task_height(scene, at, units), capital(&each.join("; ")), cure(scene, at, people))
}

/// That there is no room for somebody to stand under it, for a learner: where, and how much too low.
pub(super) fn no_room(scene: &Scene<'_>, task: usize, people: &[(usize, Strain)], units: Units) -> String {
    let Some(at) = scene.plan.height.tasks.get(task) else { return String::new() };
    let named = at.task.and_then(|k| scene.job.tasks.get(k)).map_or("the work", |t| t.name.as_str());
    let tallest = people.iter().filter_map(|(k, _)| at.people.get(*k));
    let tallest = tallest.max_by(|a, b| a.pose.stoop.to_metres().total_cmp(&b.pose.stoop.to_metres()));
    let Some(person) = tallest else { return String::new() };
    format!(
        "There is no room for \"{named}\": at the lock that can be used the underside is {} above the floor, {} below the \
         head of {}, who cannot stand under it even bent double.",
        units.length(at.work),
        units.length(person.pose.stoop),
        person.name,
    )
}

/// Another lock where somebody alone would have one, else what keeps the lock where it is, else another posture.
fn cure(scene: &Scene<'_>, task: &TaskHeight, people: &[(usize, Strain)]) -> String {
    let strained = || people.iter().filter_map(|(k, strain)| Some((task.people.get(*k)?, *strain)));
    let alone: Vec<String> = strained()
        .filter_map(|(p, _)| {
            let lock = p.alone.filter(|lock| Some(*lock) != task.lock)?;
            Some(format!("lock {} suits {}", lock + 1, p.name))
        })
        .collect();
    if !alone.is_empty() && !task.held_by_stands {
        return format!("Let one work after the other: {}.", alone.join(", "));
    }
    let mut ways: Vec<&str> = Vec::new();
    match task.forbidden.zip(task.lock) {
        _ if task.held_by_stands => ways.push("stands that reach to another lock"),
        Some((better, lock)) if better > lock => {
            ways.push("a bay with more height above");
            if scene.job.opened_height.is_some_and(|opened| opened > scene.vehicle.outline.roof) {
                ways.push("hatch and bonnet shut");
            }
        }
        Some(_) => {}
        None => ways.push("a lift with a lock nearer to that height"),
    }
    let standing = task.posture != Posture::SeatedAtWheel;
    for (_, strain) in strained() {
        let way = match strain {
            Strain::NoRoomToStand | Strain::Bent if standing => "a task done seated at a wheel",
            Strain::NoRoomToStand | Strain::Bent => "a lower stool",
            Strain::ArmsUp if standing => "something firm to stand on",
            Strain::ArmsUp => "a task done standing at a wheel",
            Strain::OutOfReach => "something firm to stand on",
        };
        if !ways.contains(&way) {
            ways.push(way);
        }
    }
    let ways: Vec<String> = ways.into_iter().map(Into::into).collect();
    match ways.as_slice() {
        [one] => format!("{} would change it.", capital(one)),
        [first @ .., last] => format!("{} or {last} would change it.", capital(&first.join(", "))),
        [] => String::new(),
    }
}

/// The same for a sheet.
pub(super) fn strained_short(scene: &Scene<'_>, task: usize, people: &[(usize, Strain)]) -> String {
    let Some(at) = scene.plan.height.tasks.get(task) else { return String::new() };
    let named = at.task.and_then(|k| scene.job.tasks.get(k)).map_or("the work", |t| t.name.as_str());
    let each = people.iter().filter_map(|(k, strain)| {
        let name = &at.people.get(*k)?.name;
        Some(match strain {
            Strain::NoRoomToStand => format!("{name} cannot stand under it"),
            Strain::Bent => format!("{name} is bent too far"),
            Strain::ArmsUp => format!("{name} has the arms too high"),
            Strain::OutOfReach => format!("{name} does not reach it"),
        })
    });
    format!("{}: {}.", capital(named), each.collect::<Vec<_>>().join("; "))
}

/// What is done in every state, and at which lock; nothing where the job names no task.
#[must_use]
pub fn step_heights<'a>(scene: &Scene<'a>) -> Vec<InState<'a>> {
    if scene.job.tasks.is_empty() { vec![] } else { course(scene.plan, scene.job) }
}

/// Lock, task and people of a state, a sentence each.
pub(crate) fn at_step(scene: &Scene<'_>, step: &InState<'_>) -> String {
    let mut said = Vec::new();
    let mut before = step.from;
    for task in &step.tasks {
        let Some(named) = task.task.and_then(|k| scene.job.tasks.get(k)) else { continue };
        let way = match (before, task.lock) {
            (Some(from), Some(to)) if from < to => "up to ",
            (Some(from), Some(to)) if from > to => "down to ",
            (Some(_), Some(_)) if step.state > 0 => "still ",
            _ => "",
        };
        before = task.lock.or(before);
        let at = task.lock.map_or_else(|| "full rise".into(), |lock| format!("lock {}", lock + 1));
        let who: Vec<&str> = task.people.iter().map(|p| p.name.as_str()).collect();
        said.push(format!("{way}{at}: {} ({}), {}.", named.name, posture(task.posture), listed(&who)));
    }
    if step.tasks.is_empty() {
        said.push("No task is named here.".into());
    }
    if let Some(standing) = steps::standing(scene) {
        if standing.to == step.state {
            let one = standing.places.len() == 1;
            said.insert(0, format!("the stand{} first.", if one { " comes out" } else { "s come out" }));
        }
        if standing.from == step.state {
            let stands = if standing.places.len() == 1 { "stand is" } else { "stands are" };
            said.push(format!("At its end the {stands} set, at lock {}.", standing.lock + 1));
        }
    }
    if step.nobody_under {
        said.push("Nobody goes under; the lift is not moved.".into());
    }
    said.iter().map(|s| capital(s)).collect::<Vec<_>>().join(" ")
}
