//! What is left when one pad carries nothing or one arm's lock is not engaged.

use statics::hull::norm;
use statics::{Force, Heading, Length, LimitedBy, Outcome, Place, Resists, Rock, SupportSet};

use super::answer::beyond;
use super::{AtWork, Held, PushCase, above};
use crate::frames::Placement;
use crate::lift::Corner;
use crate::limits::Name;
use crate::measure::Pad;
use crate::situation::Situation;

/// What each loss leaves.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Losses {
    /// Of each pad, in the order of the vehicle's corners.
    pub pads: Vec<PadLoss>,
    /// Of the lock of each arm, in the same order.
    pub locks: Vec<LockLoss>,
}

/// One pad that carries nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct PadLoss {
    /// The pad.
    pub corner: Corner,
    /// As raised: what the test raise would show.
    pub raised: Without,
    /// In the state in which the other three hold least; the same where that is as raised.
    pub worst: Without,
    /// As raised: the push at the height of the shake, towards this pad and square to the line between the two beside
    /// it, that rocks the body onto this pad if it does not touch, the most that it may be within all tolerances;
    /// zero = the body leans on it anyway, `None` = no push is known to.
    pub rock_push: Option<Force>,
    /// What a person gives in a shake.
    pub person: Force,
}

/// The vehicle on the other three, in one state.
#[derive(Clone, Debug, PartialEq)]
pub struct Without {
    /// Index of the state.
    pub state: usize,
    /// Whether it stays on them, within all tolerances.
    pub outcome: Outcome,
    /// Distance of the centre of gravity from the diagonal of the two pads beside it, positive away from
    /// the lost pad, nominal.
    pub from_diagonal: Length,
    /// Least distance of the centre of gravity from an edge of the other three within all tolerances.
    pub assured: Length,
    /// The two pads of that edge.
    pub over: [Corner; 2],
    /// Where three carry it: the pad nearest to its rating, what it then carries, its rating.
    pub hardest: Option<(Corner, Force, Force)>,
}

impl PadLoss {
    /// Whether a shake at the test raise cannot show that the pad carries nothing.
    #[must_use]
    pub fn is_silent(&self) -> bool {
        self.rock_push.is_none_or(|p| p > self.person)
    }

    /// Whether the vehicle may fall without it, in some state of the job.
    #[must_use]
    pub fn may_fall(&self) -> bool {
        self.worst.outcome != Outcome::Stable
    }
}

/// One arm that may swing: its pad resists only along the arm.
#[derive(Clone, Debug, PartialEq)]
pub struct LockLoss {
    /// The vehicle's corner that the arm serves.
    pub corner: Corner,
    /// What is left of each force; of a person's push at the height of the shake if no task names one.
    pub left: Vec<ForceLeft>,
}

/// What is left of a force.
#[derive(Clone, Debug, PartialEq)]
pub struct ForceLeft {
    /// Indices of task and force; `None` = a person's push at the height of the shake.
    pub of: Option<(usize, usize)>,
    /// What must be withstood.
    pub needed: Force,
    /// What is withstood with all locks engaged, in the worst state and direction; `None` = no end to it.
    pub engaged: Option<Force>,
    /// The same without this lock.
    pub withstands: Option<Force>,
    /// What then ends it, where that is less than what is needed.
    pub limited_by: Option<LimitedBy>,
    /// Index of the state that withstands least without it.
    pub state: usize,
}

impl Situation<'_> {
    /// What each loss leaves of a setup; nothing to say of pads on one line.
    pub(crate) fn losses(&self, stand: &Placement, pads: &[Pad; 4]) -> Losses {
        let Some(set) = self.support(stand, pads) else { return Losses::default() };
        let corners = Corner::ALL.into_iter().enumerate();
        let lost = Corner::ALL.into_iter().filter_map(|c| self.pad_loss(stand, &set, c)).collect();
        let shakes = self.shakes();
        let cases: &[PushCase] = if self.pushes.is_empty() { &shakes } else { &self.pushes };
        let mut asked: Vec<(&PushCase, usize)> =
            cases.iter().flat_map(|case| case.states.iter().map(move |state| (case, *state))).collect();
        let models = self.models(stand, pads);
        let at_work = self.at_work(stand, &models);
        let engaged = self.least_of_each(stand, &set, &at_work, &asked);
        // What decides with every lock engaged mostly decides without one: of the rest only that they withstand more is
        // then to be seen.
        let decides = |(case, state): &(&PushCase, usize)| {
            engaged.iter().any(|(left, by)| core::ptr::eq(*by, *case) && left.state == *state)
        };
        asked.sort_by_key(|pair| !decides(pair));
        // A person's pushes come from both sides alike.
        let alike = self.pushes.is_empty() && self.mirrors_itself(stand, pads);
        let mut locks: Vec<LockLoss> = Vec::with_capacity(4);
        for (i, corner) in corners {
            if alike && !corner.is_left() {
                locks.push(LockLoss { corner, left: locks[i - 1].left.clone() });
                continue;
            }
            let free = self.arm_free(stand, pads, i).map(|line| set.with_resistance(i, line));
            let left = free.map_or_else(Vec::new, |free| {
                let rest = |state: usize| {
                    at_work[state].resting(free.at_rest(&free.unsteady(&self.body(state, stand))))
                };
                let at_work: Vec<_> = (0..at_work.len()).map(rest).collect();
                self.least_of_each(stand, &free, &at_work, &asked)
            });
            let left = left.into_iter().zip(&engaged);
            let left = left.map(|((l, _), (e, _))| ForceLeft { engaged: e.withstands, ..l }).collect();
            locks.push(LockLoss { corner, left });
        }
        Losses { pads: lost, locks }
    }

    /// Whether the right-hand side of a setup says nothing that the left-hand side does not.
    fn mirrors_itself(&self, stand: &Placement, pads: &[Pad; 4]) -> bool {
        let same = |a: &Pad, b: &Pad| a.area == b.area && norm([a.at[0] - b.at[0], a.at[1] - b.at[1]]) < 1e-9;
        self.mirror.as_ref().is_some_and(|twin| {
            *stand == Placement::square(stand.spot, stand.driven_in)
                && [0, 2].into_iter().all(|left| same(&pads[left].mirrored(twin), &pads[left + 1]))
        })
    }

    /// What the loss of one pad leaves; `None` if the other three are on one line.
    pub(crate) fn pad_loss(&self, stand: &Placement, set: &SupportSet, corner: Corner) -> Option<PadLoss> {
        let rest = set.less(corner.index())?;
        let each: Vec<Without> =
            (0..self.states.len()).filter_map(|k| self.without(stand, set, &rest, corner, k)).collect();
        let worst = each.iter().min_by(|a, b| a.assured.to_metres().total_cmp(&b.assured.to_metres()))?;
        Some(PadLoss {
            corner,
            raised: each.first()?.clone(),
            worst: worst.clone(),
            rock_push: self.rock(stand, set, corner).map(|rock| rock.push),
            person: Force::newtons(self.limits.get(Name::ShakePush)),
        })
    }

    fn without(
        &self,
        stand: &Placement,
        set: &SupportSet,
        rest: &SupportSet,
        corner: Corner,
        state: usize,
    ) -> Option<Without> {
        let (i, body) = (corner.index(), self.body(state, stand));
        let found = rest.stability(&body);
        let own = |k: usize| Corner::ALL[if k < i { k } else { k + 1 }];
        let beside = [Corner::ALL[i ^ 1], Corner::ALL[i ^ 2]];
        let edge =
            found.edges.iter().find(|e| beside.contains(&own(e.from)) && beside.contains(&own(e.to)))?;
        let least =
            found.edges.iter().min_by(|e, f| e.assured.to_metres().total_cmp(&f.assured.to_metres()))?;
        let rated = set.contacts().iter().map(|c| c.rated.unwrap_or(Force::ZERO));
        let carried = set.without(i, &body.load()).map(|e| e.loads).into_iter().flatten();
        let hardest = carried
            .zip(rated)
            .enumerate()
            .filter(|(k, _)| *k != i)
            .max_by(|a, b| (a.1.0 / a.1.1).total_cmp(&(b.1.0 / b.1.1)))
            .map(|(k, (load, rated))| (Corner::ALL[k], load, rated));
        Some(Without {
            state,
            outcome: found.outcome,
            from_diagonal: edge.distance,
            assured: found.assured,
            over: [least.from, least.to].map(own),
            hardest,
        })
    }

    /// How, as raised, the body rocks onto a pad that does not touch.
    pub(crate) fn rock(&self, stand: &Placement, set: &SupportSet, corner: Corner) -> Option<Rock> {
        set.rock(&self.body(0, stand), corner.index(), self.shake_height())
    }

    /// How a pad resists whose arm may swing: only along the arm.
    pub(crate) fn arm_free(&self, stand: &Placement, pads: &[Pad; 4], i: usize) -> Option<Resists> {
        let (sin, cos) = self.arm_setting(i, stand, pads[i].at).swing.sin_cos();
        Heading::along([cos, sin]).map(Resists::OnlyAlong)
    }

    /// Height above the ground at which a person shakes it.
    pub(crate) fn shake_height(&self) -> Length {
        Length::metres(self.limits.get(Name::ShakeHeight)).min(self.vehicle.outline.roof)
    }

    /// A person's push at the height of the shake: sideways at either end of the body, along it in its middle.
    pub(crate) fn shakes(&self) -> Vec<PushCase> {
        let outline = &self.vehicle.outline;
        let ends = [-outline.front_overhang, self.vehicle.wheelbase.value + outline.rear_overhang];
        let push = |aft: Length, along: [f64; 3]| PushCase {
            task: 0,
            force: 0,
            at: above(Place::metres([aft.to_metres(), 0.0]), self.shake_height()),
            along,
            needed: self.limits.get(Name::ShakePush),
            source: Name::ShakePush.row().source,
            states: vec![0],
        };
        let sideways = ends.into_iter().flat_map(|end| [1.0, -1.0].map(|y| push(end, [0.0, y, 0.0])));
        sideways.chain([1.0, -1.0].map(|x| push(ends[0], [x, 0.0, 0.0]))).collect()
    }

    /// The least that is withstood of each force over its directions and states, and the direction that decides.
    fn least_of_each<'c>(
        &self,
        stand: &Placement,
        set: &SupportSet,
        at_work: &[AtWork],
        asked: &[(&'c PushCase, usize)],
    ) -> Vec<(ForceLeft, &'c PushCase)> {
        let mut found: Vec<(ForceLeft, &PushCase, Held)> = Vec::new();
        for &(case, state) in asked {
            let of = (!self.pushes.is_empty()).then_some((case.task, case.force));
            let known = found.iter().position(|k| k.0.of == of);
            let Some(push) = super::push_of(stand, case.at, case.along) else { continue };
            let held = match known {
                None => Some(at_work[state].withstood(&push)),
                Some(known) => at_work[state].withstood_below(&push, found[known].0.withstands),
            };
            let Some(held) = held else { continue };
            let new = ForceLeft {
                of,
                needed: Force::newtons(case.needed),
                engaged: None,
                withstands: held.withstands(),
                limited_by: None,
                state,
            };
            match known {
                Some(known) => found[known] = (new, case, held),
                None => found.push((new, case, held)),
            }
        }
        let ended = found.into_iter().map(|(left, case, held)| {
            if beyond(left.withstands) >= left.needed.to_newtons() {
                return (left, case);
            }
            let push = super::push_of(stand, case.at, case.along);
            let limited_by = match held {
                Held::Springs(_) => Some(LimitedBy::Rating),
                Held::Balance(found) => {
                    push.and_then(|push| set.working_force(&found.body, &push).limited_by)
                }
            };
            (ForceLeft { limited_by, ..left }, case)
        });
        ended.collect()
    }
}
