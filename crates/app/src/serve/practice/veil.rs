//! What a learner is shown: a scene from which everything hidden is taken out before anything is drawn or said.

use planner::checks::What;
use planner::frames::{DrivenIn, Placement};
use planner::lift::Corner;
use planner::setup::{PadAt, arm_for};
use planner::{Lift, Plan, Setup, Vehicle};
use records::Hidden;
use sheets::drawing::screen::Window;
use sheets::{Origin, Scene};
use statics::{Force, Length, Place};

use super::task::Task;
use crate::serve::fault::Fault;
use crate::serve::shelf::Worked;

/// How far behind its middle a vehicle waits at the start, and how much room there is to drive it about, metres.
const BACK: f64 = 0.4;
const ROOM: f64 = 0.5;

/// What is left of a lift, a vehicle and a setup.
pub(crate) struct Veiled {
    lift: Lift,
    vehicle: Vehicle,
    plan: Plan,
}

impl Veiled {
    pub(crate) fn of(task: &Task, plan: &Plan) -> Self {
        let inputs = task.worked.inputs();
        let (mut lift, mut vehicle, mut plan) = (inputs.lift.clone(), inputs.vehicle.clone(), plan.clone());
        // What checks and remarks say is the answer; a door's is only how far it opens.
        plan.checks.retain(|check| matches!(check.what, What::Door(_)));
        plan.refusals.clear();
        plan.conditions.clear();
        plan.watch.clear();
        if task.hides(Hidden::CentreOfGravity) {
            plan.states.clear();
        }
        if task.hides(Hidden::Loads) {
            plan.states.iter_mut().for_each(|state| state.loads = [Force::ZERO; 4]);
            for pad in &mut plan.pads {
                let none = Force::ZERO;
                (pad.load_least, pad.load_greatest, pad.load_estimate, pad.load_assured) =
                    (none, none, none, none);
            }
        }
        if task.hides(Hidden::Mark) {
            (plan.mark, plan.mark_spot, lift.plate) = (None, None, None);
        }
        if task.hides(Hidden::LiftAreas) {
            vehicle.lift_areas.clear();
        }
        Self { lift, vehicle, plan }
    }

    pub(crate) fn scene<'a>(&'a self, worked: &'a Worked) -> Scene<'a> {
        Scene {
            lift: &self.lift,
            vehicle: &self.vehicle,
            plan: &self.plan,
            origin: Origin::AsPlaced,
            ..worked.scene()
        }
    }
}

/// Where everything is at first: the vehicle not far enough in, the arms half swung. It follows from what is never
/// hidden, so that it gives nothing away.
pub(crate) fn start(worked: &Worked, way: DrivenIn) -> Setup {
    let inputs = worked.inputs();
    let half = inputs.vehicle.wheelbase.value * if way == DrivenIn::Forwards { 0.5 } else { -0.5 };
    let placement = Placement::square(half - Length::metres(BACK), way);
    let pads = Corner::ALL.map(|corner| {
        let arm = &inputs.lift.arms[arm_for(corner, &placement).index()];
        let swing = (arm.swing_from.to_radians() + arm.swing_to.to_radians()) / 2.0;
        let reach = 0.75 * arm.reach_in.to_metres() + 0.25 * arm.reach_out.to_metres();
        let ([x, y], (sin, cos)) = (arm.pivot.to_metres(), swing.sin_cos());
        let at = placement.to_vehicle(Place::metres([x + reach * cos, y + reach * sin]));
        PadAt { at, adapters: None, height: None }
    });
    Setup { placement, pads }.in_reach(&inputs.lift)
}

/// The part of the bay that is shown: by the start too, for where the best setup stands is no hint.
pub(crate) fn window(task: &Task) -> Result<Window, Fault> {
    let worked = &task.worked;
    let at_first = |way| -> Result<Window, Fault> {
        let veiled = Veiled::of(task, &worked.checked(&start(worked, way))?);
        Ok(Window::of(&veiled.scene(worked)))
    };
    let forwards = at_first(DrivenIn::Forwards)?;
    let both = if worked.inputs().lift.backwards_allowed {
        forwards.with(&at_first(DrivenIn::Backwards)?)
    } else {
        forwards
    };
    Ok(both.roomier(ROOM))
}
