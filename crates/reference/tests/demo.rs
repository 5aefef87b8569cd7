//! The demonstration pairs: the planner's setup against another search.

use planner::{Job, Limits, plan};
use reference::global::{Point, Question, search};
use reference::random::Random;

#[path = "shop/demo.rs"]
mod demo;

const PROMISE: f64 = 0.001;

#[test]
fn no_other_search_beats_the_planner_on_the_demo_pairs() {
    let mut random = Random::new(61);
    let (job, limits) = (Job::default(), Limits::default());
    let (mut beaten, mut asked) = (Vec::new(), 0);
    println!("{:34} {:>9} {:>9} {:>9}  worst check", "pair", "planner", "other", "gap");
    for (name, lift, vehicle) in demo::pairs() {
        let Ok(answer) = plan(&lift, &vehicle, &job, &limits) else {
            println!("{name:34} cannot be asked");
            continue;
        };
        let asked_of = Question { lift: &lift, vehicle: &vehicle, job: &job, limits: &limits, tops: None };
        asked += 1;
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
                let found = search(&question, way, &room, &mut random, 6, &given);
                if found.0 > other.0 {
                    other = (found.0, question.on_teeth(&found.1, way));
                }
            }
        }
        let gap = other.0 - worst.reserve;
        println!("{name:34} {:9.4} {:9.4} {gap:9.4}  {}", worst.reserve, other.0, worst.what.id());
        if gap > PROMISE {
            beaten.push(format!("{name}: {:.4}, not {:.4}, at {:.4?}", other.0, worst.reserve, other.1));
        }
    }
    assert!(asked >= 6);
    assert!(beaten.is_empty(), "a better setup exists:\n{}", beaten.join("\n"));
}
