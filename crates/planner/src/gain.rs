//! What to measure next: the reserve that one measurement would win.

mod taped;

use statics::{Length, Mass, Stiffness};

use crate::answer::{climbed_from, fixed_setup, most_at_its_place, set_at_its_place};
use crate::checks::told;
use crate::job::{Job, Step};
use crate::lift::Lift;
use crate::limits::Limits;
use crate::measured::Measured;
use crate::plan::{Check, Plan};
use crate::quick::Taped;
use crate::setup::Setup;
use crate::situation::{ASSUMED_ARM_STIFFNESS, Situation};
use crate::state::{Bare, bare};
use crate::vehicle::{Off, Part, Vehicle, Weight};

/// One measurement and what it would win.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// What would be measured.
    pub measure: Measurement,
    /// Least reserve of the plan, with what is known now.
    pub before: f64,
    /// At least so much is left once it is measured, if it turns out as supposed now.
    pub after: f64,
    /// The check that then leaves so little, and the name of its state.
    pub held_by: (Check, Option<String>),
}

/// A measurement that a workshop can make.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Measurement {
    /// The wheelbase, by tape.
    Wheelbase,
    /// Each axle on scales.
    Axles,
    /// Each wheel on scales.
    Wheels,
    /// Height of the centre of gravity, one axle lifted.
    CgHeight,
    /// A part or load on scales (its name).
    Part(String),
    /// Where the weight of a part or load is (its name): balanced on a bar, and its place taken by tape.
    PartPlace(String),
    /// Lengths of the vehicle that were taken from its class, by tape.
    Lengths(Vec<Taped>),
    /// How far each arm gives under a known load: the plan then no longer counts arms that do not bend.
    ArmStiffness,
}

/// What a tape leaves of a wheelbase.
pub const TAPE: Length = Length::millimetres(5.0);
/// What scales leave of a mass, as a part of it.
pub const SCALES: f64 = 0.01;
/// What balancing leaves of the place of a part's weight; project default.
pub const BALANCED: Length = Length::millimetres(20.0);
/// What lifting an axle leaves of the height of the centre of gravity.
pub const LIFTED: Length = Length::millimetres(25.0);

/// What a known load and a dial gauge leave of an arm's stiffness, as a part of it; project default.
pub const GAUGED: f64 = 0.05;

/// How many are worth a line.
const MOST_NAMED: usize = 3;
/// A gain in reserve below this is not worth the work; project default.
pub const WORTH: f64 = 0.02;

/// The measurements that would raise the plan's least reserve most, greatest gain first: at most three, each with a
/// gain of [`WORTH`] at the least; of a refused plan, only those after which it may be raised.
///
/// Each is supposed to confirm the present value, a length that was guessed its middle, and to leave the tolerance of
/// its tool (project defaults). A setup
/// that was placed (`setup`) stays. One that was planned is set anew by two climbs only, from where it is and from
/// where it would be best with all known exactly, on the teeth of either: a search of its own may find more,
/// or end a little lower on another hill.
/// Nothing is tried where heights, doors and columns alone hold the reserve, nor where all known would gain nothing.
#[must_use]
pub fn measure_next(
    lift: &Lift,
    vehicle: &Vehicle,
    job: &Job,
    limits: &Limits,
    plan: &Plan,
    setup: Option<&Setup>,
) -> Vec<Gain> {
    let before = plan.worst_check().reserve;
    let now = Known { lift: lift.clone(), vehicle: vehicle.clone(), job: job.clone() };
    let mut starts = vec![plan.clone()];
    if setup.is_none() {
        let exactly = now.exactly();
        let Some(best) = exactly.held_by_weight(limits, plan).and_then(|s| set_at_its_place(&s)) else {
            return Vec::new();
        };
        if told(best.worst_check().reserve) <= told(before) {
            return Vec::new();
        }
        starts.push(best);
    }
    let refused = !plan.refusals.is_empty();
    let gain = |measure: Measurement| {
        let known = now.once(&measure)?;
        // A measurement may not make a question where there was one, but what it then says is no gain.
        let situation = known.situation(limits, plan)?;
        let stays = fixed_setup(&situation, plan);
        let anew =
            starts.iter().filter(|_| setup.is_none()).filter_map(|from| climbed_from(&situation, from));
        let reserve = |plan: &Plan| plan.worst_check().reserve;
        let best = anew.fold(stays, |best, plan| if reserve(&plan) > reserve(&best) { plan } else { best });
        let (after, held) = (reserve(&best), best.worst_check().clone());
        let state = held.state.and_then(|k| Some(best.states.get(k)?.name.clone()));
        let worth = if refused { best.refusals.is_empty() } else { told(after) >= told(before) + WORTH };
        worth.then_some(Gain { measure, before, after, held_by: (held, state) })
    };
    let mut gains: Vec<Gain> = now.candidates().into_iter().filter_map(gain).collect();
    gains.extend(fewest_lengths(&now.guessed(), gain));
    gains.sort_by(|a, b| b.after.total_cmp(&a.after));
    gains.truncate(MOST_NAMED);
    gains
}

/// All lengths that were guessed, together, less those without which as much is gained.
fn fewest_lengths(guessed: &[Taped], gain: impl Fn(Measurement) -> Option<Gain>) -> Option<Gain> {
    let mut best = gain(Measurement::Lengths(guessed.to_vec()))?;
    let mut kept = guessed.to_vec();
    for &one in guessed {
        let fewer: Vec<Taped> = kept.iter().copied().filter(|k| *k != one).collect();
        let without = gain(Measurement::Lengths(fewer.clone()));
        if let Some(without) = without.filter(|w| told(w.after) >= told(best.after)) {
            (kept, best) = (fewer, without);
        }
    }
    Some(best)
}

/// What is known of a question.
#[derive(Clone)]
struct Known {
    lift: Lift,
    vehicle: Vehicle,
    job: Job,
}

impl Known {
    /// As the plan has it: its order of the steps, and what its stands leave to the pads.
    fn situation<'a>(&'a self, limits: &'a Limits, plan: &Plan) -> Option<Situation<'a>> {
        Some(Situation::new(&self.lift, &self.vehicle, &self.job, limits).ok()?.as_planned(plan))
    }

    /// The same; none where what no weight moves leaves no setup more than the plan.
    fn held_by_weight<'a>(&'a self, limits: &'a Limits, plan: &Plan) -> Option<Situation<'a>> {
        let situation = self.situation(limits, plan)?;
        (told(most_at_its_place(&situation)) > told(plan.worst_check().reserve)).then_some(situation)
    }

    fn candidates(&self) -> Vec<Measurement> {
        let mut found =
            vec![Measurement::Wheelbase, Measurement::Axles, Measurement::Wheels, Measurement::CgHeight];
        let steps = self.job.steps.iter().map(Step::part);
        for part in self.job.loads.iter().chain(steps) {
            for named in [Measurement::Part(part.name.clone()), Measurement::PartPlace(part.name.clone())] {
                if !found.contains(&named) {
                    found.push(named);
                }
            }
        }
        found.push(Measurement::ArmStiffness);
        found
    }

    /// The lengths that were guessed.
    fn guessed(&self) -> Vec<Taped> {
        self.vehicle.unmeasured.guesses.iter().map(|g| g.what).collect()
    }

    fn parts(&mut self) -> impl Iterator<Item = &mut Part> {
        let steps = self.job.steps.iter_mut().map(|(Step::Off(part) | Step::On(part))| part);
        self.job.loads.iter_mut().chain(steps)
    }

    /// Once that is measured; none where it is known as well already.
    fn once(&self, measure: &Measurement) -> Option<Self> {
        let mut known = self.clone();
        let bare = bare(&known.vehicle);
        let vehicle = &mut known.vehicle;
        let narrower = match measure {
            Measurement::Wheelbase => narrow(&mut vehicle.wheelbase, TAPE),
            Measurement::CgHeight => {
                let mut up = bare.up.clone();
                let narrower = narrow(&mut up, LIFTED);
                vehicle.cg_height = Some(up);
                narrower
            }
            Measurement::Axles => {
                let [front, rear] = axles(vehicle, &bare).map(scaled);
                let weighed = matches!(vehicle.weight, Weight::WheelLoads(_));
                vehicle.weight = Weight::AxleLoads { front, rear };
                !weighed
            }
            Measurement::Wheels => {
                vehicle.weight = Weight::WheelLoads(wheels(vehicle, &bare).map(scaled));
                true
            }
            Measurement::Part(name) => {
                let weigh = |part: &mut Part| {
                    let tolerance = part.mass.value * SCALES;
                    narrow(&mut part.mass, tolerance)
                };
                known.parts().filter(|p| p.name == *name).map(weigh).fold(false, |any, one| any | one)
            }
            Measurement::PartPlace(name) => {
                let place = |part: &mut Part| {
                    let by = part.off.by.map(|off| off.min(BALANCED));
                    let narrower = by != part.off.by;
                    if narrower {
                        part.off = Off::given(by);
                    }
                    narrower
                };
                known.parts().filter(|p| p.name == *name).map(place).fold(false, |any, one| any | one)
            }
            Measurement::Lengths(all) => {
                all.iter().fold(false, |any, one| taped::measure(vehicle, *one) | any)
            }
            Measurement::ArmStiffness => known.arms_bend_as_supposed(GAUGED),
        };
        narrower.then_some(known)
    }

    /// With nothing in doubt: no measurement leaves more.
    fn exactly(&self) -> Self {
        let mut known = self.clone();
        let bare = bare(&known.vehicle);
        let vehicle = &mut known.vehicle;
        let exact = |mass: Mass| Measured::given(mass, Mass::ZERO);
        vehicle.weight = Weight::WheelLoads(wheels(vehicle, &bare).map(exact));
        narrow(&mut vehicle.wheelbase, Length::ZERO);
        vehicle.cg_height = Some(Measured::given(bare.up.value, Length::ZERO));
        for one in self.guessed() {
            taped::measure(&mut known.vehicle, one);
        }
        known.vehicle.wheels.track_off = [Length::ZERO; 2];
        known.parts().for_each(|part| (part.mass, part.off) = (exact(part.mass.value), Off::NONE));
        known.arms_bend_as_supposed(0.0);
        known
    }

    /// Gives every arm the stiffness that was stated or assumed for it, within such a part of it; whether any was more in doubt.
    fn arms_bend_as_supposed(&mut self, within: f64) -> bool {
        let mut any = false;
        for k in self.lift.arms.iter_mut().filter_map(|arm| arm.stiffness_out.as_mut()) {
            let tolerance = k.value * within;
            any |= narrow(k, tolerance);
        }
        for arm in self.lift.arms.iter_mut().filter(|arm| arm.stiffness_out.is_none()) {
            let at_a_metre = ASSUMED_ARM_STIFFNESS.to_newtons_per_metre();
            let out = Stiffness::newtons_per_metre(at_a_metre / arm.reach_out.to_metres().powi(3));
            arm.stiffness_out = Some(Measured::given(out, out * within));
            any = true;
        }
        any
    }
}

/// Whether the tool leaves less than was known.
fn narrow<Q>(value: &mut Measured<Q>, tolerance: Q) -> bool
where
    Q: Copy + PartialOrd + core::ops::Mul<f64, Output = Q>,
{
    let narrower = tolerance < value.tolerance;
    if narrower {
        *value = Measured::given(value.value, tolerance);
    }
    narrower
}

fn scaled(mass: Mass) -> Measured<Mass> {
    Measured::given(mass, mass * SCALES)
}

/// What the axles would weigh, as supposed now.
fn axles(vehicle: &Vehicle, bare: &Bare) -> [Mass; 2] {
    let rear = bare.mass.value * (bare.aft.value / vehicle.wheelbase.value);
    [bare.mass.value - rear, rear]
}

/// What the wheels would weigh, as supposed now: both axles lean to the same side alike.
fn wheels(vehicle: &Vehicle, bare: &Bare) -> [Mass; 4] {
    let [front, rear] = axles(vehicle, bare);
    let tracks = [vehicle.wheels.track_front, vehicle.wheels.track_rear].map(Length::to_metres);
    let moment = (front * tracks[0] + rear * tracks[1]).to_kilograms() / 2.0;
    let lean = bare.mass.value.to_kilograms() * bare.left.value.to_metres() / moment;
    [
        front * (0.5 + lean / 2.0),
        front * (0.5 - lean / 2.0),
        rear * (0.5 + lean / 2.0),
        rear * (0.5 - lean / 2.0),
    ]
}
