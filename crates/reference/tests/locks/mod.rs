//! Cases about the lock that a task is given: a car set by hand, so that every height can be worked out by hand.

use planner::frames::DrivenIn;
use planner::height::TaskHeight;
use planner::job::{Person, Posture, Task};
use planner::lift::Rise;
use planner::plan::Verdict;
use planner::{Job, Limits, Plan};
use statics::Length;

use super::{Case, car, shop};

const PAD_TOP: Length = Length::metres(0.20);

/// The car of the case on four pads of one height.
fn placed(case: &Case) -> Plan {
    let length = |key: &str| case.optional(key).map(Length::metres);
    let mut lift = shop::lifts().remove(0);
    let locks: Vec<Length> = case.list("locks_m").into_iter().map(Length::metres).collect();
    let most = length("most_m").or(locks.last().copied()).expect("a full rise");
    lift.rise = Rise { locks, most };
    lift.headroom = length("headroom_m");
    let mut vehicle = car();
    vehicle.outline.roof = Length::metres(case.number("roof_m"));
    let posture = match case.text("posture") {
        "standing under" => Posture::StandingUnder,
        "standing at a wheel" => Posture::StandingAtWheel,
        "seated at a wheel" => Posture::SeatedAtWheel,
        other => panic!("{}: posture {other}", case.id),
    };
    let person = |metres: f64| Person { name: "one".into(), stature: shop::exact(Length::metres(metres)) };
    let job = Job {
        tasks: vec![Task { name: "work".into(), posture, during: vec![], forces: vec![] }],
        people: case.list("statures_m").into_iter().map(person).collect(),
        opened_height: length("opened_m"),
        ..Job::default()
    };
    let sills = shop::Sills::of(2.6, 1.5);
    let (left, middle) = (sills.left, |[from, to]: [f64; 2]| f64::midpoint(from, to));
    let (front, rear) = (middle(sills.front), middle(sills.rear));
    let mut setup =
        shop::setup(1.2, DrivenIn::Forwards, [[front, left], [front, -left], [rear, left], [rear, -left]]);
    setup.pads.iter_mut().for_each(|pad| pad.height = Some(PAD_TOP));
    planner::as_placed(&lift, &vehicle, &job, &Limits::default(), &setup).expect("a legal question")
}

/// Counted from 1; 0 = none.
fn counted(lock: Option<usize>) -> f64 {
    lock.map_or(0.0, |lock| f64::from(u32::try_from(lock + 1).expect("few locks")))
}

/// The lock, the one that would suit better, whether it is a compromise.
pub(crate) fn lock(case: &Case) -> Vec<f64> {
    let plan = placed(case);
    let [task]: &[TaskHeight; 1] = plan.height.tasks.as_slice().try_into().expect("one task");
    assert_eq!(plan.height.lock, task.lock, "{}", case.id);
    if case.input.contains_key("alone") {
        let alone: Vec<f64> = task.people.iter().map(|p| counted(p.alone)).collect();
        assert_eq!(alone, case.list("alone"), "{}: the lock each would have alone", case.id);
    }
    if let Some(work) = case.optional("work_m") {
        assert!((task.work.to_metres() - work).abs() < 1e-9, "{}: work at {:?}", case.id, task.work);
    }
    let air = plan.checks.iter().find(|c| c.what.id() == "ceiling").map_or(0.0, |c| c.reserve);
    let refused = case.input.contains_key("refused_by");
    assert_eq!(air < 0.0, refused, "{}: {air}", case.id);
    assert!(!refused || plan.verdict == Verdict::DoNotRaise, "{}: not refused", case.id);
    vec![counted(task.lock), counted(task.forbidden), f64::from(task.is_compromise())]
}
