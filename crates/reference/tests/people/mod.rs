//! Cases about people: body sizes, arms overhead, and the lock that they are given.

use planner::height::TaskHeight;
use planner::job::{Person, Posture, Task};
use planner::lift::Rise;
use planner::measured::Measured;
use planner::person::{ArmBand, Body, Group, share, stature};
use statics::{Angle, Length};

use super::{Case, car, shop};

pub(crate) fn segments() -> Vec<f64> {
    use share::{ANKLE, CHIN, EYE, FOREARM, HAND, HIP, KNEE, SHOULDER, UPPER_ARM};
    vec![ANKLE, KNEE, HIP, SHOULDER, CHIN, EYE, UPPER_ARM, FOREARM, HAND]
}

fn share_of(name: &str) -> f64 {
    match name {
        "shoulder" => share::SHOULDER,
        "elbow" => share::ELBOW,
        "wrist" => share::WRIST,
        "eye" => share::EYE,
        other => panic!("no share {other}"),
    }
}

/// Heights of the points in `of`, barefoot or in shoes; `arm` asks for the arm's length.
pub(crate) fn heights(case: &Case) -> Vec<f64> {
    let tall = Length::metres(case.number("stature_m"));
    let body = if case.text("feet") == "bare" { Body::barefoot(tall) } else { Body::standing(tall) };
    let of = case.text("of").split(' ');
    of.map(|point| match point {
        "arm" => (tall * (share::UPPER_ARM + share::FOREARM + share::HAND)).to_metres(),
        other => body.height(share_of(other)).to_metres(),
    })
    .collect()
}

pub(crate) fn statures(case: &Case) -> Vec<f64> {
    let group = if case.text("group") == "women" { Group::Women } else { Group::Men };
    let at = case.list("percentiles").into_iter();
    at.map(|p| stature(group, p).map_or(f64::NAN, |m| m.value.to_millimetres())).collect()
}

pub(crate) fn wrist_overhead(case: &Case) -> Vec<f64> {
    let body = Body::barefoot(Length::metres(case.number("stature_m")));
    let raised = case.list("raised_deg").into_iter();
    raised.map(|degrees| body.wrist_overhead(Angle::degrees(degrees)).to_metres()).collect()
}

/// 0 = good, 1 = conditional, 2 = not.
pub(crate) fn arm_bands(case: &Case) -> Vec<f64> {
    let band = |degrees| match ArmBand::of(Angle::degrees(degrees)) {
        ArmBand::Good => 0.0,
        ArmBand::Conditional => 1.0,
        ArmBand::Not => 2.0,
    };
    case.list("raised_deg").into_iter().map(band).collect()
}

/// The height of one task for one person.
fn height(lift: &planner::Lift, posture: Posture, inches: f64) -> TaskHeight {
    let stature = Measured::given(Length::inches(inches), Length::ZERO);
    let task = Task { name: "work".into(), posture, during: vec![], forces: vec![] };
    let people = vec![Person { name: "one".into(), stature }];
    let job = planner::Job { tasks: vec![task], people, ..planner::Job::default() };
    let plan = planner::plan(lift, &car(), &job, &planner::Limits::default()).expect("a legal question");
    plan.height.tasks.into_iter().next().expect("the task")
}

/// On a lift whose locks bring the underside up to 6 ft, three inches apart.
fn planned(posture: Posture, inches: f64) -> TaskHeight {
    with_locks(posture, inches, 4..=24)
}

/// On a lift whose locks bring it to so many times three inches.
fn with_locks(posture: Posture, inches: f64, quarters: core::ops::RangeInclusive<u8>) -> TaskHeight {
    let mut lift = shop::lifts().remove(0);
    // How far the underside is above the rise is the setup's: asked once.
    let asked = height(&lift, Posture::StandingUnder, inches);
    let rise = lift.rise.locks[asked.lock.expect("a lock")];
    let to = |quarters: u8| rise + Length::inches(f64::from(quarters) * 3.0) - asked.work;
    lift.rise = Rise { locks: quarters.map(to).filter(|r| *r > Length::ZERO).collect(), most: to(24) };
    height(&lift, posture, inches)
}

/// Whether each of two, as tall as given in inches, stoops by the plan of a lift whose one lock brings the underside
/// to 6 ft, and whether the second has the lower of many locks.
pub(crate) fn six_feet_of_rise(case: &Case) -> Vec<f64> {
    let at = |inches| planned(Posture::StandingUnder, inches);
    let statures = case.list("stature_in");
    let stoops = |inches| {
        let full = with_locks(Posture::StandingUnder, inches, 24..=24);
        assert!((full.work.to_inches() - 72.0).abs() < 1e-9, "underside at {} in", full.work.to_inches());
        f64::from(full.people[0].pose.stoop > Length::ZERO)
    };
    let lower = at(statures[1]).lock < at(statures[0]).lock;
    vec![stoops(statures[0]), stoops(statures[1]), f64::from(lower)]
}

/// Whether work at a brake is below where the same person works under an exhaust: seated, then standing.
pub(crate) fn heights_of_work(case: &Case) -> Vec<f64> {
    let pads = |posture| planned(posture, case.number("stature_in")).pad_height;
    let under = pads(Posture::StandingUnder);
    [Posture::SeatedAtWheel, Posture::StandingAtWheel].map(|p| f64::from(pads(p) < under)).to_vec()
}

/// Whether a person works in comfort under a vehicle, at a wheel and seated at one, by the body's own heights.
pub(crate) fn suits(case: &Case) -> Vec<f64> {
    let tall = case.number("stature_in");
    let (stature, shoe, stool) = (Length::inches(tall), Length::metres(0.025), Length::metres(0.40));
    let work = |posture| planned(posture, tall).work;
    let near = |wanted: Length, found: Length| (found - wanted).to_inches().abs() <= 1.5 + 1e-9;
    let above = (work(Posture::StandingUnder) - stature - shoe).to_inches();
    let elbow = stature * share::ELBOW + shoe;
    let seated = stool + stature * share::ELBOW_SEATED;
    vec![
        f64::from((0.5 - 1e-9..=3.5 + 1e-9).contains(&above)),
        f64::from(near(elbow, work(Posture::StandingAtWheel))),
        f64::from(near(seated, work(Posture::SeatedAtWheel))),
    ]
}
