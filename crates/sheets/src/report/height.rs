//! Where to stop first, the lock to work at, and how each person works there.

use planner::job::Posture;
use planner::person::ArmBand;

use super::page::Page;
use crate::{Scene, Units, words};

pub(super) fn write(page: &mut Page, scene: &Scene<'_>, units: Units) {
    let height = &scene.plan.height;
    page.entry(
        "Test raise",
        &format!(
            "stop when the pads have risen {} from fully down: all four tyres are clear.",
            units.length(scene.plan.test_raise)
        ),
    );
    let room = match height.roof_room {
        Some(room) => format!("{} left above the vehicle", units.length(room)),
        None => "nothing above the vehicle is on file".into(),
    };
    let lock = match height.lock {
        Some(lock) => format!(
            "number {} of {} from the lowest: pads {} above the floor; {room}.",
            lock + 1,
            scene.lift.rise.locks.len(),
            units.length(height.pad_height)
        ),
        None => "no lock position can be used.".into(),
    };
    page.entry("Lock", &lock);
    for (k, task) in height.tasks.iter().enumerate() {
        page.entry(if k == 0 { "Work" } else { "" }, &words::task_height(scene, task, units));
        for at in &task.people {
            page.entry("", &format!("- {}", words::at_work(task, at, units)));
        }
    }
    let mut notes =
        format!("Upper arm: to 20\u{b0} good, to 60\u{b0} conditional, above not ({}).", ArmBand::SOURCE);
    if height.tasks.iter().any(|t| t.posture == Posture::StandingUnder) {
        notes += " Overhead, rest the arms often: change the task or let them hang.";
    }
    page.entry("", &notes);
    page.blank();
}
