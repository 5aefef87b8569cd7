//! The lock to work at: for every task the one nearest to the height that its people want.

use std::borrow::Cow;

use statics::Length;

use crate::heights::Heights;
use crate::job::{Job, Person, Posture};
use crate::limits::Name;
use crate::measured::Measured;
use crate::person::{ArmBand, Body, Group, Pose, Strain, TrunkBand, stature};
use crate::plan::{Assumption, Kind, Remark, Unit};
use crate::situation::Situation;

/// The locks to work at, and the one to go to first.
#[derive(Clone, Debug, PartialEq)]
pub struct Height {
    /// Index of the lock, from the lowest: the first task's.
    pub lock: Option<usize>,
    /// Pad height there.
    pub pad_height: Length,
    /// Room left between roof and the lowest thing above it at that lock.
    pub roof_room: Option<Length>,
    /// Every task, in the job's order; one that is assumed where the job names none. Never empty.
    pub tasks: Vec<TaskHeight>,
}

/// The height of one task.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskHeight {
    /// Index among the job's tasks; `None` = assumed, as the job names none.
    pub task: Option<usize>,
    /// How people work at it.
    pub posture: Posture,
    /// Index of the lock, from the lowest; `None` = the lift has none, the figures are at its full rise.
    pub lock: Option<usize>,
    /// The lock that would be nearest, if roof, tyres or stands forbid it.
    pub forbidden: Option<usize>,
    /// Whether stands decide the lock: they do not reach at the one that would be nearest.
    pub held_by_stands: bool,
    /// Pad height there.
    pub pad_height: Length,
    /// Room left above the vehicle there.
    pub roof_room: Option<Length>,
    /// Height of the work there: underside or hub above the floor.
    pub work: Length,
    /// Whether the people had to be assumed, as the job names none.
    pub people_assumed: bool,
    /// How each person works there. Never empty.
    pub people: Vec<AtWork>,
}

/// A person at a task.
#[derive(Clone, Debug, PartialEq)]
pub struct AtWork {
    /// What they are called.
    pub name: String,
    /// Their stature.
    pub stature: Measured<Length>,
    /// Their body as they work, as tall or short within its tolerance as is worst there.
    pub body: Body,
    /// Height of the work that suits them best.
    pub ideal: Length,
    /// Index of the lock nearest to it, were they alone.
    pub alone: Option<usize>,
    /// How they hold themselves.
    pub pose: Pose,
    /// Where the upper arm's angle lies.
    pub band: ArmBand,
    /// Where the trunk's lean lies.
    pub trunk: TrunkBand,
    /// Standing under: underside above the head; negative = they stoop by so much.
    pub head_room: Option<Length>,
}

impl TaskHeight {
    /// Whether somebody would have another lock, were they alone.
    #[must_use]
    pub fn is_compromise(&self) -> bool {
        self.people.iter().any(|p| p.alone != self.lock)
    }
    /// Least head room of all, standing under.
    #[must_use]
    pub fn head_room(&self) -> Option<Length> {
        self.people.iter().filter_map(|p| p.head_room).reduce(Length::min)
    }
}

/// For each task the lock whose height of the work misses the people's ideal by the least: the largest
/// miss counts, then the sum of them. Ideal: the head as far below the underside as the limit says; hub
/// at the elbow. Only locks that leave air above the roof (or what is opened) and hold every tyre clear
/// of the floor; where there is none, the lowest. `held` = the lock at which stands reach, while they stand.
pub(crate) fn working_height(
    situation: &Situation,
    heights: &Heights,
    test_raise: Length,
    held: Option<&Held>,
) -> Height {
    let site = Site { situation, heights, test_raise, held };
    let named = situation.job.tasks.iter().enumerate().map(|(k, t)| (Some(k), t.posture));
    let mut tasks: Vec<TaskHeight> = named.map(|(k, posture)| site.task(k, posture)).collect();
    if tasks.is_empty() {
        tasks.push(site.task(None, Posture::StandingUnder));
    }
    let first = &tasks[0];
    Height { lock: first.lock, pad_height: first.pad_height, roof_room: first.roof_room, tasks }
}

/// Locks at which the vehicle of a plan may rest: roof clear, tyres clear; else roof clear; else the lowest.
pub(crate) fn allowed_locks(situation: &Situation, heights: &Heights, test_raise: Length) -> Vec<usize> {
    let all: Vec<usize> = (0..situation.lift.rise.locks.len()).collect();
    Site { situation, heights, test_raise, held: None }.allowed(&all)
}

impl Height {
    /// Who cannot work as a task of the job asks: where there is no room for it at all, it is a reason to refuse. The task
    /// that is assumed is held to the same, but of a job that only raises and lowers.
    pub(crate) fn strains(&self, job: &Job) -> impl Iterator<Item = (bool, Remark)> {
        let works = job.has_work();
        let held = self.tasks.iter().enumerate().filter(move |(_, t)| t.task.is_some() || works);
        held.flat_map(|(task, t)| {
            t.people.iter().enumerate().filter_map(move |(person, at)| {
                let strain = at.pose.strain(t.posture == Posture::StandingUnder)?;
                Some((strain == Strain::NoRoomToStand, Remark::Posture { task, person, strain }))
            })
        })
    }
}

/// Whether the roof stays clear at a rise.
pub(crate) fn clears_roof(situation: &Situation, heights: &Heights, rise: Length) -> bool {
    let air = Length::metres(situation.limits.get(Name::RoofAir));
    situation.lift.headroom.is_none_or(|h| h - situation.roof_at(rise, heights) >= air)
}

/// The lock at which stands hold the vehicle.
#[derive(Clone, Debug)]
pub(crate) struct Held {
    pub(crate) lock: usize,
    /// Names of the states in which they do.
    pub(crate) states: Vec<String>,
}

struct Site<'s, 'a> {
    situation: &'s Situation<'a>,
    heights: &'s Heights,
    test_raise: Length,
    held: Option<&'s Held>,
}

/// Somebody whose lock is looked for.
struct Worker<'p> {
    person: Cow<'p, Person>,
    ideal: Length,
}

impl Site<'_, '_> {
    fn task(&self, task: Option<usize>, posture: Posture) -> TaskHeight {
        let named = &self.situation.job.people;
        let people: Vec<Cow<'_, Person>> = if named.is_empty() {
            assumed_people().map(Cow::Owned).collect()
        } else {
            named.iter().map(Cow::Borrowed).collect()
        };
        let workers: Vec<Worker<'_>> = people.into_iter().map(|p| self.worker(p, posture)).collect();
        let all: Vec<usize> = (0..self.situation.lift.rise.locks.len()).collect();
        let allowed = self.allowed(&all);
        let suits = self.nearest(&allowed, &workers, posture);
        let named_task = task.map(|k| &self.situation.job.tasks[k]);
        // One that is assumed may be done in any state.
        // Nobody stands under because of a stand, so no such task is held to its lock.
        let held = self.held.filter(|h| {
            posture != Posture::StandingUnder
                && named_task.is_none_or(|t| h.states.iter().any(|s| t.is_done_in(s)))
        });
        let lock = held.map(|held| held.lock).or(suits);
        let work = self.work(lock, posture);
        let at_work = |w: &Worker<'_>| {
            let (body, pose) = self.worst(&w.person.stature, posture, work);
            AtWork {
                name: w.person.name.clone(),
                stature: w.person.stature.clone(),
                body,
                ideal: w.ideal,
                alone: self.nearest(&allowed, core::slice::from_ref(w), posture),
                pose,
                band: ArmBand::of(pose.upper_arm),
                trunk: TrunkBand::of(pose.lean),
                head_room: (posture == Posture::StandingUnder).then(|| work - body.crown()),
            }
        };
        let lowest = self.heights.tops.iter().copied().fold(self.heights.tops[0], Length::min);
        let rise = self.rise(lock);
        TaskHeight {
            task,
            posture,
            lock,
            held_by_stands: suits != lock,
            forbidden: self.nearest(&all, &workers, posture).filter(|l| Some(*l) != lock),
            pad_height: lowest + rise,
            roof_room: self.roof_room(rise),
            work,
            people_assumed: named.is_empty(),
            people: workers.iter().map(at_work).collect(),
        }
    }

    fn body(&self, tall: Length, posture: Posture) -> Body {
        match posture {
            Posture::StandingUnder | Posture::StandingAtWheel => Body::standing(tall),
            Posture::SeatedAtWheel => {
                Body::seated(tall, Length::metres(self.situation.limits.get(Name::StoolHeight)))
            }
        }
    }

    fn worker<'p>(&self, person: Cow<'p, Person>, posture: Posture) -> Worker<'p> {
        let body = self.body(person.stature.value, posture);
        let ideal = match posture {
            Posture::StandingUnder => body.crown() + Length::metres(self.situation.limits.get(Name::HeadAir)),
            Posture::StandingAtWheel | Posture::SeatedAtWheel => body.elbow(),
        };
        Worker { person, ideal }
    }

    /// The body with which somebody works worst at a height, within what their stature may be off, and how: under the
    /// vehicle the tallest, at a wheel the stated one, unless only another cannot work there.
    fn worst(&self, stature: &Measured<Length>, posture: Posture, work: Length) -> (Body, Pose) {
        let under = posture == Posture::StandingUnder;
        let usual = if under { stature.greatest() } else { stature.value };
        let each = [usual, stature.greatest(), stature.least()].map(|tall| {
            let body = self.body(tall, posture);
            (body, if under { body.under(work) } else { body.at_wheel(work) })
        });
        let strained = |(_, pose): &(Body, Pose)| match pose.strain(under) {
            None => 0,
            Some(Strain::NoRoomToStand) => 2,
            Some(_) => 1,
        };
        let [first, rest @ ..] = each;
        rest.into_iter()
            .fold(first, |worst, next| if strained(&next) > strained(&worst) { next } else { worst })
    }

    /// Rise of the carriages at a lock, or the full rise of a lift without one.
    fn rise(&self, lock: Option<usize>) -> Length {
        let rise = &self.situation.lift.rise;
        lock.and_then(|l| rise.locks.get(l)).copied().unwrap_or(rise.most)
    }

    fn roof_room(&self, rise: Length) -> Option<Length> {
        self.situation.lift.headroom.map(|h| h - self.situation.roof_at(rise, self.heights))
    }

    /// Locks at which the vehicle may rest: roof clear, tyres clear; else roof clear; else the lowest.
    fn allowed(&self, all: &[usize]) -> Vec<usize> {
        let clear = |l: &usize| clears_roof(self.situation, self.heights, self.rise(Some(*l)));
        let off_the_floor = |l: &usize| self.rise(Some(*l)) >= self.test_raise;
        let under: Vec<usize> = all.iter().copied().filter(clear).collect();
        let both: Vec<usize> = under.iter().copied().filter(off_the_floor).collect();
        [both, under].into_iter().find(|l| !l.is_empty()).unwrap_or_else(|| all[..all.len().min(1)].to_vec())
    }

    /// Height of the work at a lock: lowest underside between the wheels, as low as it may be, or the hub as it hangs.
    fn work(&self, lock: Option<usize>, posture: Posture) -> Length {
        let vehicle = self.situation.vehicle;
        let up = |touch: Length| (self.rise(lock) - touch).max(Length::ZERO);
        match posture {
            Posture::StandingUnder => up(self.heights.all_touch()) + vehicle.sill_height,
            Posture::StandingAtWheel | Posture::SeatedAtWheel => {
                up(self.situation.touch_at_soonest(self.heights)) + vehicle.wheels.tyre_diameter / 2.0
                    - vehicle.droop.value
            }
        }
    }

    fn nearest(&self, locks: &[usize], workers: &[Worker<'_>], posture: Posture) -> Option<usize> {
        // To the thousandth of a millimetre: what differs by rounding alone is the same.
        let cost = |lock: usize| {
            let work = self.work(Some(lock), posture);
            let misses = workers.iter().map(|w| (work - w.ideal).to_millimetres().abs());
            let (worst, sum) = misses.fold((0.0_f64, 0.0), |(worst, sum), m| (worst.max(m), sum + m));
            ((worst * 1e3).round(), (sum * 1e3).round())
        };
        // Of two that are as near, the higher: heads are harder than arms are short.
        let order = |a: usize, b: usize| cost(a).partial_cmp(&cost(b)).unwrap_or(core::cmp::Ordering::Equal);
        locks.iter().rev().copied().min_by(|a, b| order(*a, *b))
    }
}

/// Who works where nobody is named: a short woman and a tall man.
fn assumed_people() -> impl Iterator<Item = Person> {
    let ends = [(Group::Women, 5.0, "woman, 5th percentile"), (Group::Men, 95.0, "man, 95th percentile")];
    ends.into_iter()
        .filter_map(|(of, at, name)| Some(Person { name: name.into(), stature: stature(of, at)? }))
}

/// What had to be assumed of tasks and people.
pub(crate) fn assumptions(height: &Height) -> impl Iterator<Item = Assumption> {
    let first = &height.tasks[0];
    let between = |what: &str, value: Length, all: &[Length], source: &'static str| Assumption {
        what: what.into(),
        kind: Kind::Value,
        value: value.to_metres(),
        unit: Unit::Metre,
        least: all.iter().copied().fold(value, Length::min).to_metres(),
        greatest: all.iter().copied().fold(value, Length::max).to_metres(),
        source: source.into(),
    };
    let ideals: Vec<Length> = first.people.iter().map(|p| p.ideal).collect();
    let task = first.task.is_none().then(|| {
        let source =
            "the job names no task: standing under it, project default; range: what suits the people";
        between("height of the underside to work at", first.work, &ideals, source)
    });
    let statures: Vec<Length> = first.people.iter().map(|p| p.stature.value).collect();
    let people = first.people_assumed.then(|| {
        let middle = statures.iter().copied().fold(Length::ZERO, |s, l| s + l) / 2.0;
        let source = "nobody is named: 5th percentile of women to 95th of men, ANSUR II (2012)";
        between("stature of whoever works", middle, &statures, source)
    });
    people.into_iter().chain(task)
}
