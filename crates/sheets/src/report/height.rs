//! Where to stop first, the lock to work at, and how each person works there.

use planner::height::TaskHeight;
use planner::person::ArmBand;
use statics::Length;

use super::page::{Page, fitted};
use crate::units::Round;
use crate::{Scene, Units, words};

pub(super) fn write(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let height = &scene.plan.height;
    page.entry(
        "Test raise",
        &format!(
            "stop when the pads have risen {} from fully down: all four tyres are clear.",
            units.length_to(scene.plan.test_raise, Round::Up)
        ),
    );
    let lock = match height.lock {
        Some(lock) => format!(
            "number {} of {} from the lowest: {}.{}",
            lock + 1,
            scene.lift.rise.locks.len(),
            there(scene, height.pad_height, height.roof_room, units),
            other_locks(scene, units)
        ),
        None => "no lock position can be used.".into(),
    };
    page.entry("Lock", &lock);
    page.blank();
    page.line(&row(["Who works", "Stature", "Head or hands", "Upper arm", "Alone"]));
    for task in &height.tasks {
        page.hanging("", &words::task_height(scene, task, units));
        for at in &task.people {
            let guess = if task.people_assumed { "~" } else { "" };
            page.line(&row([
                &fitted(&words::capital(&at.name), 25),
                &format!("{guess}{}", units.length(at.stature.value)),
                &words::at_work(task, at, units),
                &words::arm(at, units),
                &at.alone.map_or("-".into(), |lock| (lock + 1).to_string()),
            ]));
        }
    }
    if height.tasks.iter().any(TaskHeight::is_compromise) {
        page.hanging(
            "",
            "Alone: the lock each would have alone. A compromise keeps the worst of them as near theirs as it can.",
        );
    }
    let arms =
        format!("Upper arm: to 20\u{b0} good, to 60\u{b0} conditional, above not ({}).", ArmBand::SOURCE);
    page.hanging("", &arms);
    let steps = words::step_heights(scene);
    if steps.len() > 1 {
        page.blank();
        page.line("Height, step by step");
        for step in &steps {
            let name = scene.plan.states.get(step.state).map_or("", |s| s.name.as_str());
            page.hanging(&format!("  {:<29}", fitted(name, 28)), &words::at_step(scene, step));
        }
    }
    page.blank();
}

/// How high the pads stand at a lock, and what is left above the vehicle.
fn there(scene: &Scene<'_>, pads: Length, room: Option<Length>, units: Units) -> String {
    let room = match room {
        Some(room) => format!("{} left above the vehicle", units.length_to(room, Round::Down)),
        None => "nothing above the vehicle is on file".into(),
    };
    format!("pads {} above the floor; {room}", words::pads_raised(scene, pads, units))
}

/// The locks of the tasks that are not done at the first task's, each once.
fn other_locks(scene: &Scene<'_>, units: Units) -> String {
    let height = &scene.plan.height;
    let mut told = vec![height.lock];
    let mut said = String::new();
    for task in &height.tasks {
        if let Some(lock) = task.lock.filter(|_| !told.contains(&task.lock)) {
            told.push(task.lock);
            said +=
                &format!(" Number {}: {}.", lock + 1, there(scene, task.pad_height, task.roof_room, units));
        }
    }
    said
}

fn row([who, stature, fact, arm, alone]: [&str; 5]) -> String {
    format!("  {who:<26}{stature:>11}   {fact:<34}{arm:<18}{alone:>5}")
}
