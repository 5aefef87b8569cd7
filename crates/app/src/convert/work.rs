//! Tasks, people and stands of a job file.

use planner::job::{Bar, Lies, Person, Posture, StandKit, Step, Task, WorkForce};
use planner::{forces, person};
use statics::{Length, Point};

use super::{at_least, at_most, expect, measured, name, plain};
use crate::input::shape::nearest;
use crate::input::{At, Problems};
use crate::wire::job as wire;

/// The tasks of a job; `states` = names of its states, where they are all known.
pub(super) fn tasks(
    file: &wire::Job,
    states: Option<&[String]>,
    problems: &mut Problems,
) -> Option<Vec<Task>> {
    let found: Vec<Option<Task>> = file.tasks.iter().map(|t| task(&t.value, states, problems)).collect();
    found.into_iter().collect()
}

/// Names of the states that steps make.
pub(super) fn states_of(steps: &[Step]) -> Vec<String> {
    let after = steps.iter().map(|step| match step {
        Step::Off(part) => format!("{} off", part.name),
        Step::On(part) => format!("{} on", part.name),
    });
    core::iter::once("as raised".to_owned()).chain(after).collect()
}

fn task(file: &wire::Task, states: Option<&[String]>, problems: &mut Problems) -> Option<Task> {
    let called = name(&file.name, "name (task)", problems);
    let mut fine = true;
    for state in &file.during {
        if let Some(states) = states.filter(|s| !s.contains(&state.value)) {
            fine = false;
            problems.error(
                state.span.clone(),
                format!("{:?} is no state of this job", state.value),
                format!("its states are: {}", states.join(", ")),
            );
        }
    }
    let forces: Vec<Option<WorkForce>> = file.forces.iter().map(|f| force(f, problems)).collect();
    fine.then_some(())?;
    Some(Task {
        name: called?,
        posture: match file.posture {
            wire::Posture::StandingUnder => Posture::StandingUnder,
            wire::Posture::StandingAtWheel => Posture::StandingAtWheel,
            wire::Posture::SeatedAtWheel => Posture::SeatedAtWheel,
        },
        during: file.during.iter().map(|s| s.value.clone()).collect(),
        forces: forces.into_iter().collect::<Option<_>>()?,
    })
}

fn force(item: &At<wire::WorkForce>, problems: &mut Problems) -> Option<WorkForce> {
    let file = &item.value;
    let common = match &file.common {
        None => None,
        Some(wanted) => {
            let found = forces::find(&wanted.value);
            if found.is_none() {
                let names: Vec<&str> = forces::LIBRARY.iter().map(|f| f.name).collect();
                let near = nearest(&wanted.value, &names).map(|n| format!("did you mean {n:?}? "));
                problems.error(
                    wanted.span.clone(),
                    format!("{:?} is not a common force", wanted.value),
                    format!("{}common forces: {}", near.unwrap_or_default(), names.join(", ")),
                );
            }
            Some(found?)
        }
    };
    let called = match (&file.name, common) {
        (Some(own), _) => name(own, "name (force)", problems),
        (None, Some(common)) => Some(common.name.to_owned()),
        (None, None) => {
            problems.error(
                item.span.clone(),
                "this force has neither a name nor the name of a common force",
                "write common = \"wheel nut\", or name, size and direction",
            );
            None
        }
    };
    let mut place = |k: usize, expect| measured(&file.at[k], expect, &expect::OF_FORCE_PLACE, problems);
    let (aft, left, up) = (place(0, &expect::AFT), place(1, &expect::LEFT), place(2, &expect::PART_UP));
    let size = match (&file.size, common) {
        (Some(text), _) => measured(text, &expect::WORK_FORCE, &expect::OF_FORCE, problems),
        (None, Some(common)) => Some(common.size()),
        (None, None) => {
            problems.error(
                item.span.clone(),
                "this force has no size",
                "write size = \"500 N\", or name a common force",
            );
            None
        }
    };
    let directions = match (&file.direction, common) {
        (Some(given), _)
            if given.value.iter().all(|v| v.is_finite()) && given.value.iter().any(|v| *v != 0.0) =>
        {
            Some(vec![given.value])
        }
        (Some(given), _) => {
            problems.error(
                given.span.clone(),
                "a direction of nothing is no direction",
                "write it as parts [aft, left, up]: [0, 0, 1] is straight up",
            );
            None
        }
        (None, Some(common)) => Some(common.directions.to_vec()),
        (None, None) => {
            problems.error(
                item.span.clone(),
                "this force has no direction",
                "write direction = [aft, left, up]: [0, 0, 1] is straight up; or name a common force",
            );
            None
        }
    };
    let lies = common.and_then(|c| c.bar).map_or(Lies::AnyWay, |bar| bar.lies);
    let bar = match &file.bar {
        None => common.and_then(|common| common.bar),
        Some(text) => Some(Bar { length: at_most(text, &expect::BAR, problems)?, lies }),
    };
    let at = [aft?, left?, up?];
    Some(WorkForce {
        bar: bar.filter(|bar| bar.length > Length::ZERO),
        name: called?,
        at: Point::metres(at.each_ref().map(|m| m.value.to_metres())),
        off: at.map(|m| m.tolerance),
        directions: directions?,
        size: size?,
    })
}

/// The people of a job.
pub(super) fn people(file: &wire::Job, problems: &mut Problems) -> Option<Vec<Person>> {
    let found: Vec<Option<Person>> = file.people.iter().map(|p| one_person(p, problems)).collect();
    found.into_iter().collect()
}

fn one_person(item: &At<wire::Person>, problems: &mut Problems) -> Option<Person> {
    let file = &item.value;
    let called = name(&file.name, "name (person)", problems);
    let stature = match (&file.stature, &file.percentile, file.of) {
        (Some(text), None, None) => measured(text, &expect::STATURE, &expect::OF_STATURE, problems),
        (None, Some(percentile), Some(of)) => {
            let group = match of {
                wire::Group::Women => person::Group::Women,
                wire::Group::Men => person::Group::Men,
            };
            let found = person::stature(group, percentile.value);
            if found.is_none() {
                problems.error(
                    percentile.span.clone(),
                    format!("percentile is {}, and must be from 1 to 99", percentile.value),
                    "50 is the one in the middle, 95 a tall one",
                );
            }
            found
        }
        _ => {
            problems.error(
                item.span.clone(),
                "a person is given by `stature`, or by `percentile` and `of`",
                "write stature = \"1.75 m\", or percentile = 50 and of = \"women\"",
            );
            None
        }
    };
    Some(Person { name: called?, stature: stature? })
}

/// The stands of a job.
pub(super) fn stands(file: &wire::Job, problems: &mut Problems) -> Option<Option<StandKit>> {
    let Some(item) = &file.stands else { return Some(None) };
    let file = &item.value;
    let rated = at_least(&file.rated, &expect::STAND_RATED, problems);
    let lowest = plain(&file.lowest, &expect::STAND_HEIGHT, problems);
    let highest = plain(&file.highest, &expect::STAND_HEIGHT, problems);
    let (rated, lowest, highest) = (rated?, lowest?, highest?);
    if highest < lowest {
        problems.error(
            file.highest.span.clone(),
            format!("highest is {:?}, below lowest", file.highest.text),
            "lowest is screwed in, highest screwed out",
        );
        return None;
    }
    Some(Some(StandKit { count: file.count.value, rated: rated.weight(), lowest, highest }))
}
