//! What the figures of a plan's checks are made of: which side, point, model or corner governs.
//!
//! The figures themselves are those of `measure.rs`; here is only which parts of them decided, so that
//! somebody can work them out again.

mod apart;
mod loads;
mod losses;
mod posts;
mod weight;

use statics::{Body, Length, Normal, Place, Push, SupportSet};

use crate::checks::What;
use crate::door::stopped_by;
use crate::frames::{DrivenIn, Placement};
use crate::lift::{Columns, Corner, Lift};
use crate::limits::Limits;
use crate::measure::Pad;
use crate::plan::Plan;
use crate::vehicle::{Door, Vehicle};
use crate::work::{Held, least_withstood};
use crate::{Job, Situation};

pub use crate::door::{DoorStop, NEAR_MISS};
pub use crate::measure::Bend;
pub use apart::{Apart, KeepOutApart};
pub use loads::{Loads, Model};
pub use posts::{Came, StandChange};
pub use weight::{Counted, Farthest, Whose};

/// A side or corner of the column, in metres of the bay.
pub type ColumnCorners = [[f64; 2]; 4];

/// The pads' forces that balance weight and push where the push is at its largest.
#[derive(Clone, Debug)]
pub struct Balance {
    /// The pads.
    pub set: SupportSet,
    /// The push, in the bay.
    pub push: Push,
    /// How much is withstood, and what ends it.
    pub held: Held,
}

/// A plan's question once more, to be asked what its figures are made of.
#[derive(Clone, Debug)]
pub struct Accounts<'a> {
    situation: Situation<'a>,
    stand: Placement,
    pads: [Pad; 4],
    /// Whether stands carry in the states in which they are set and taken away, too.
    all_relieved: bool,
}

impl<'a> Accounts<'a> {
    /// Of a plan and what it was made from; `None` if it was made from something else.
    #[must_use]
    pub fn of(
        lift: &'a Lift,
        vehicle: &'a Vehicle,
        job: &'a Job,
        limits: &'a Limits,
        plan: &Plan,
    ) -> Option<Self> {
        let situation = Situation::new(lift, vehicle, job, limits).ok()?.as_planned(plan);
        let pads = plan.pads.each_ref().map(|p| Pad { area: p.area, at: p.at.to_metres() });
        let fits = pads.iter().all(|p| p.area < vehicle.lift_areas.len());
        (fits && situation.states.len() == plan.states.len()).then_some(Self {
            situation,
            stand: plan.placement,
            pads,
            all_relieved: false,
        })
    }

    /// What ends the opening of the door of that index, and the corners of its column in the bay.
    #[must_use]
    pub fn door(&self, index: usize) -> Option<(DoorStop, ColumnCorners)> {
        let door = self.situation.vehicle.doors.get(index)?;
        let columns = &self.situation.lift.columns;
        let stop = stopped_by(door, &Situation::column(columns, door, &self.stand));
        Some((stop, Situation::column_in_bay(columns, door, &self.stand)))
    }

    /// The pads as they stand in a state, and the vehicle's weight; `None` if they are on one line.
    #[must_use]
    pub fn standing(&self, state: usize) -> Option<(SupportSet, Body)> {
        Some((self.situation.support(&self.stand, &self.pads)?, self.situation.body(state, &self.stand)))
    }

    /// Friction of the pads, level.
    #[must_use]
    pub const fn friction(&self) -> f64 {
        self.situation.friction()
    }

    /// How far the vehicle may be out of level.
    #[must_use]
    pub fn out_of_level(&self) -> statics::Angle {
        statics::Angle::radians(self.situation.limits.get(crate::limits::Name::Level))
    }

    /// The edge that holds an edge check, from and to, and its worst normal.
    ///
    /// Where the edge asked for is none of the hull's, that is the nearest.
    #[must_use]
    pub fn edge(&self, state: usize, ends: [Corner; 2]) -> Option<([Corner; 2], Normal)> {
        let (set, body) = self.standing(state)?;
        let edges = set.stability(&body).edges;
        let [a, b] = ends.map(Corner::index);
        let own = edges.iter().find(|e| (e.from, e.to) == (a, b) || (e.from, e.to) == (b, a));
        let nearest = || edges.iter().min_by(|e, f| e.assured.to_metres().total_cmp(&f.assured.to_metres()));
        let edge = own.or_else(nearest)?;
        let normal = set.worst_normal(&body, edge.from, edge.to);
        Some(([Corner::ALL[edge.from], Corner::ALL[edge.to]], normal))
    }

    /// The edge that is nearest in a state, from and to.
    #[must_use]
    pub fn nearest_edge(&self, state: usize) -> Option<[Corner; 2]> {
        let (set, body) = self.standing(state)?;
        let edges = set.stability(&body).edges;
        let nearest = edges.iter().min_by(|e, f| e.assured.to_metres().total_cmp(&f.assured.to_metres()))?;
        Some([nearest.from, nearest.to].map(|i| Corner::ALL[i]))
    }

    /// The balance at the largest push that is withstood of a task's force, in the worst of its directions.
    #[must_use]
    pub fn balance(&self, state: usize, task: usize, force: usize) -> Option<Balance> {
        let all = self.situation.pushes.iter().filter(|p| (p.task, p.force) == (task, force));
        let models = self.situation.models(&self.stand, &self.pads);
        let at_work = self.situation.at_work_in(state, &self.stand, &models)?;
        let (_, push, held) = least_withstood(&at_work, all, &self.stand)?;
        Some(Balance { set: self.standing(state)?.0, push, held })
    }

    /// The two pads between which the slope is steepest.
    #[must_use]
    pub fn steepest(&self, plan: &Plan) -> [Corner; 2] {
        let areas = &self.situation.vehicle.lift_areas;
        let touch = |i: usize| (areas[self.pads[i].area].underside - plan.pads[i].height).to_metres();
        let slope = |[i, j]: [usize; 2]| {
            let (p, q) = (self.pads[i].at, self.pads[j].at);
            (touch(i) - touch(j)).abs() / statics::hull::norm([p[0] - q[0], p[1] - q[1]]).max(0.01)
        };
        let mut steepest = [0, 1];
        for pair in (0..4).flat_map(|i| (i + 1..4).map(move |j| [i, j])) {
            if slope(pair) > slope(steepest) {
                steepest = pair;
            }
        }
        steepest.map(|i| Corner::ALL[i])
    }

    /// The state with the greatest mass at the top of its tolerance.
    #[must_use]
    pub fn heaviest(&self) -> usize {
        let greatest = |k: &usize| self.situation.states[*k].mass.greatest().to_kilograms();
        // The first of equals.
        (0..self.situation.states.len()).rev().max_by(|a, b| greatest(a).total_cmp(&greatest(b))).unwrap_or(0)
    }

    /// How the loads behind a check come about, in the check's state.
    #[must_use]
    pub fn loads(&self, what: What, state: usize) -> Option<Loads> {
        loads::loads(&self.situation, &self.stand, &self.pads, what, state)
    }
}

impl Situation<'_> {
    /// Corners of the column beside a door, in the bay.
    fn column_in_bay(columns: &Columns, door: &Door, stand: &Placement) -> ColumnCorners {
        let inner = columns.inside.to_metres() / 2.0;
        let (front, rear) = (columns.front_face.to_metres(), columns.rear_face.to_metres());
        let side = match stand.driven_in {
            DrivenIn::Forwards => door.hinge.to_metres()[1].signum(),
            DrivenIn::Backwards => -door.hinge.to_metres()[1].signum(),
        };
        let outer = inner + COLUMN_DEPTH;
        [[rear, inner], [front, inner], [front, outer], [rear, outer]].map(|[x, y]| [x, side * y])
    }

    /// The same, on the vehicle.
    pub(crate) fn column(columns: &Columns, door: &Door, stand: &Placement) -> [[f64; 2]; 4] {
        Self::column_in_bay(columns, door, stand).map(|p| stand.to_vehicle(Place::metres(p)).to_metres())
    }
}

/// An arm is never taken to be shorter than this where its stiffness is computed.
pub const LEAST_REACH: Length = Length::metres(crate::measure::LEAST_REACH);
/// How far a column is taken to reach outward, metres.
pub const COLUMN_DEPTH: f64 = 0.5;
