//! The demonstration pairs and jobs: the planner's setup against another search.

use planner::{Job, Lift, Limits, Vehicle, plan};
use reference::global::{Point, Question, search};
use reference::random::Random;

#[path = "shop/demo.rs"]
mod demo;

const PROMISE: f64 = 0.001;

/// Each job in the bay where it may be raised in the given order and without stands, so that a setup decides.
const JOBS: [&str; 5] = [
    "battery-pack-out of battery-hatch on long-bay",
    "brakes of hatchback on mill-bay",
    "engine-and-gearbox-out of hatchback on mill-bay",
    "loaded-van-exhaust of long-van on long-bay",
    "rear-axle-off of pickup on mill-bay",
];

/// The planner's least reserve and the other search's, with the setup that has it; `None` = cannot be asked.
fn against(
    (name, lift, vehicle, job): &(String, Lift, Vehicle, Job),
    starts: usize,
    random: &mut Random,
) -> Option<Result<(), String>> {
    let limits = Limits::default();
    let Ok(answer) = plan(lift, vehicle, job, &limits) else {
        println!("{name:48} cannot be asked");
        return None;
    };
    let asked_of = Question { lift, vehicle, job, limits: &limits, tops: None };
    let worst = answer.worst_check();
    let mut other = (f64::NEG_INFINITY, [0.0; 9]);
    for way in asked_of.ways() {
        for areas in asked_of.area_choices() {
            // Areas of the same undersides as those chosen take the heights that were chosen for them.
            let same = (0..4).all(|i| {
                let underside = |k: usize| vehicle.lift_areas[k].underside;
                underside(areas[i]) == underside(answer.pads[i].area)
            });
            let tops = same.then(|| answer.pads.each_ref().map(|p| p.height));
            let question = Question { tops, ..asked_of };
            let room = question.room(areas, way);
            let mut own: Point = [answer.placement.spot.to_metres(); 9];
            for (i, pad) in answer.pads.iter().enumerate() {
                [own[1 + 2 * i], own[2 + 2 * i]] = pad.at.to_metres();
            }
            let given = if way == answer.placement.driven_in { vec![own] } else { vec![] };
            let found = search(&question, way, &room, random, starts, &given);
            if found.0 > other.0 {
                other = (found.0, question.on_teeth(&found.1, way));
            }
        }
    }
    let gap = other.0 - worst.reserve;
    println!("{name:48} {:9.4} {:9.4} {gap:9.4}  {}", worst.reserve, other.0, worst.what.id());
    let told = || format!("{name}: {:.4}, not {:.4}, at {:.4?}", other.0, worst.reserve, other.1);
    Some(if gap > PROMISE { Err(told()) } else { Ok(()) })
}

#[test]
fn no_other_search_beats_the_planner_on_the_demo_pairs() {
    let mut random = Random::new(61);
    println!("{:48} {:>9} {:>9} {:>9}  worst check", "pair", "planner", "other", "gap");
    let pairs = demo::pairs().into_iter().map(|(name, lift, vehicle)| (name, lift, vehicle, Job::default()));
    let found: Vec<_> = pairs.filter_map(|pair| against(&pair, 6, &mut random)).collect();
    assert!(found.len() >= 6);
    let beaten: Vec<String> = found.into_iter().filter_map(Result::err).collect();
    assert!(beaten.is_empty(), "a better setup exists:\n{}", beaten.join("\n"));
}

/// With every state and every force of the job among the checks.
#[test]
fn no_other_search_beats_the_planner_on_the_demo_jobs() {
    let mut random = Random::new(62);
    let jobs = demo::jobs().into_iter().filter(|(name, ..)| JOBS.contains(&name.as_str()));
    let found: Vec<_> = jobs.filter_map(|job| against(&job, 1, &mut random)).collect();
    assert_eq!(found.len(), JOBS.len());
    let beaten: Vec<String> = found.into_iter().filter_map(Result::err).collect();
    assert!(beaten.is_empty(), "a better setup exists:\n{}", beaten.join("\n"));
}
