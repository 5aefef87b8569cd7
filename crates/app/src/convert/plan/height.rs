//! Heights of a plan to the form that other programs read.

use planner::course::InState;
use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::person::{ArmBand, TrunkBand};
use sheets::{Scene, words};
use statics::Length;

use crate::wire::{job, plan as wire};

pub(super) fn answer(scene: &Scene<'_>) -> wire::Height {
    let height = &scene.plan.height;
    let first = height.tasks.first();
    let people = first.filter(|t| !t.people_assumed).map(|t| {
        let names: Vec<&str> = t.people.iter().map(|p| p.name.as_str()).collect();
        names.join(", ")
    });
    wire::Height {
        lock: height.lock.map(|k| k + 1),
        pad_height_m: height.pad_height.to_metres(),
        person: people,
        task: first.and_then(|t| name(scene, t)),
        head_room_m: first.and_then(TaskHeight::head_room).map(Length::to_metres),
        roof_room_m: height.roof_room.map(Length::to_metres),
        tasks: height.tasks.iter().map(|t| task(scene, t)).collect(),
        steps: words::step_heights(scene).iter().map(|s| step(scene, s)).collect(),
    }
}

fn step(scene: &Scene<'_>, step: &InState<'_>) -> wire::StepHeight {
    let one = |task: &&TaskHeight| wire::StepTask {
        task: name(scene, task).unwrap_or_default(),
        lock: task.lock.map(|k| k + 1),
        people: task.people.iter().map(|p| p.name.clone()).collect(),
    };
    wire::StepHeight {
        state: scene.plan.states.get(step.state).map_or_else(String::new, |s| s.name.clone()),
        nobody_under: step.nobody_under,
        tasks: step.tasks.iter().map(one).collect(),
    }
}

fn name(scene: &Scene<'_>, task: &TaskHeight) -> Option<String> {
    task.task.and_then(|k| scene.job.tasks.get(k)).map(|t| t.name.clone())
}

fn task(scene: &Scene<'_>, task: &TaskHeight) -> wire::TaskHeight {
    wire::TaskHeight {
        task: name(scene, task),
        posture: match task.posture {
            Posture::StandingUnder => job::Posture::StandingUnder,
            Posture::StandingAtWheel => job::Posture::StandingAtWheel,
            Posture::SeatedAtWheel => job::Posture::SeatedAtWheel,
        },
        lock: task.lock.map(|k| k + 1),
        forbidden_lock: task.forbidden.map(|k| k + 1),
        pad_height_m: task.pad_height.to_metres(),
        roof_room_m: task.roof_room.map(Length::to_metres),
        work_height_m: task.work.to_metres(),
        compromise: task.is_compromise(),
        people_assumed: task.people_assumed,
        people: task.people.iter().map(person).collect(),
    }
}

fn person(at: &AtWork) -> wire::AtWork {
    wire::AtWork {
        person: at.name.clone(),
        stature_m: at.stature.value.to_metres(),
        ideal_m: at.ideal.to_metres(),
        alone_lock: at.alone.map(|k| k + 1),
        head_room_m: at.head_room.map(Length::to_metres),
        stoop_m: at.pose.stoop.to_metres(),
        out_of_reach_m: at.pose.short.to_metres(),
        upper_arm_rad: at.pose.upper_arm.to_radians(),
        upper_arm_band: match at.band {
            ArmBand::Good => wire::ArmBand::Good,
            ArmBand::Conditional => wire::ArmBand::Conditional,
            ArmBand::Not => wire::ArmBand::Not,
        },
        upper_arm_source: ArmBand::SOURCE,
        trunk_rad: at.pose.lean.to_radians(),
        trunk_band: match at.trunk {
            TrunkBand::Good => wire::ArmBand::Good,
            TrunkBand::Conditional => wire::ArmBand::Conditional,
            TrunkBand::Not => wire::ArmBand::Not,
        },
        trunk_source: TrunkBand::SOURCE,
    }
}
