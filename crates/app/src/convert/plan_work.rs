//! Working forces and losses of a plan to the form that other programs read.

use planner::checks::What;
use planner::work::{LockLoss, PadLoss, WorkAnswer};
use sheets::Scene;
use statics::{Angle, Force};

use crate::wire::plan_work as wire;

/// What is withstood of each force.
pub(super) fn forces(scene: &Scene<'_>) -> Vec<wire::WorkingForce> {
    scene.plan.work.iter().filter_map(|answer| force(scene, answer)).collect()
}

fn force(scene: &Scene<'_>, answer: &WorkAnswer) -> Option<wire::WorkingForce> {
    let task = scene.job.tasks.get(answer.task)?;
    let states = answer.states.iter().map(|s| wire::StateForce {
        state: state(scene, s.state).unwrap_or_default(),
        direction: s.along,
        at_m: s.at.to_metres(),
        withstands_n: s.withstands.map(Force::to_newtons),
        limited_by: s.limited_by.map(limited_by),
        slides: s.slides.iter().map(|c| c.name()).collect(),
        unloads: s.first_unloads.map(|(corner, _)| corner.name()),
        first_unloads_n: s.first_unloads.map(|(_, push)| push.to_newtons()),
        force_angle_rad: s.force_angle.map(Angle::to_radians),
    });
    Some(wire::WorkingForce {
        check: What::WorkForce { task: answer.task, force: answer.force }.id(),
        task: task.name.clone(),
        force: task.forces.get(answer.force)?.name.clone(),
        needed_n: answer.needed.to_newtons(),
        source: answer.source,
        state: answer.states.get(answer.worst).and_then(|s| state(scene, s.state)).unwrap_or_default(),
        states: states.collect(),
        instead: answer
            .instead
            .map(|i| wire::Instead { direction: i.along, withstands_n: i.withstands.map(Force::to_newtons) }),
    })
}

/// What is left when one thing fails.
pub(super) fn losses(scene: &Scene<'_>) -> wire::Losses {
    let losses = &scene.plan.losses;
    wire::Losses {
        pads: losses.pads.iter().map(|p| pad(scene, p)).collect(),
        locks: losses.locks.iter().map(|l| lock(scene, l)).collect(),
    }
}

fn pad(scene: &Scene<'_>, lost: &PadLoss) -> wire::PadLoss {
    let worst = &lost.worst;
    wire::PadLoss {
        corner: lost.corner.name(),
        outcome: outcome(worst.outcome),
        state: state(scene, worst.state),
        from_diagonal_m: worst.from_diagonal.to_metres(),
        hardest: worst.hardest.map(|(corner, _, _)| corner.name()),
        hardest_load_n: worst.hardest.map(|(_, load, _)| load.to_newtons()),
        hardest_rated_n: worst.hardest.map(|(_, _, rated)| rated.to_newtons()),
        rock_push_n: lost.rock_push.map(Force::to_newtons),
        silent: lost.is_silent(),
        as_raised: wire::AsRaised {
            outcome: outcome(lost.raised.outcome),
            from_diagonal_m: lost.raised.from_diagonal.to_metres(),
        },
    }
}

const fn outcome(of: statics::Outcome) -> wire::Outcome {
    match of {
        statics::Outcome::Stable => wire::Outcome::Stable,
        statics::Outcome::Tips => wire::Outcome::Tips,
        statics::Outcome::Undecided => wire::Outcome::Undecided,
    }
}

fn lock(scene: &Scene<'_>, lost: &LockLoss) -> wire::LockLoss {
    let left = lost.left.iter().map(|left| {
        let task = left.of.and_then(|(t, f)| Some((scene.job.tasks.get(t)?, f)));
        wire::ForceLeft {
            task: task.map(|(t, _)| t.name.clone()),
            force: task.and_then(|(t, f)| t.forces.get(f)).map(|f| f.name.clone()),
            needed_n: left.needed.to_newtons(),
            engaged_n: left.engaged.map(Force::to_newtons),
            withstands_n: left.withstands.map(Force::to_newtons),
            limited_by: left.limited_by.map(limited_by),
            state: state(scene, left.state),
        }
    });
    wire::LockLoss { corner: lost.corner.name(), left: left.collect() }
}

fn state(scene: &Scene<'_>, index: usize) -> Option<String> {
    scene.plan.states.get(index).map(|s| s.name.clone())
}

const fn limited_by(by: statics::LimitedBy) -> wire::LimitedBy {
    match by {
        statics::LimitedBy::Tipping => wire::LimitedBy::Tipping,
        statics::LimitedBy::Sliding => wire::LimitedBy::Sliding,
        statics::LimitedBy::Rating => wire::LimitedBy::Rating,
    }
}
