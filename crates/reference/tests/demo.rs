//! The demonstration pairs: the planner's setup against another search, measured vehicles on the demo lifts, and
//! the trade facts that need whole files.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use planner::{Job, Limits, plan};
use reference::global::{Point, Question, rules_out, search};
use reference::random::Random;

#[path = "shop/demo.rs"]
mod demo;

const PROMISE: f64 = 0.001;

#[test]
fn no_other_search_beats_the_planner_on_the_demo_pairs() {
    let mut random = Random::new(61);
    let (job, limits) = (Job::default(), Limits::default());
    let (mut beaten, mut asked, mut proved) = (Vec::new(), 0, 0);
    println!("{:34} {:>9} {:>9} {:>9}  worst check", "pair", "planner", "other", "gap");
    for (name, lift, vehicle) in demo::pairs() {
        let question = Question { lift: &lift, vehicle: &vehicle, job: &job, limits: &limits };
        let Ok(answer) = plan(&lift, &vehicle, &job, &limits) else {
            println!("{name:34} cannot be asked");
            continue;
        };
        asked += 1;
        let worst = answer.worst_check();
        let (mut other, mut shown) = (f64::NEG_INFINITY, true);
        for way in question.ways() {
            for areas in question.area_choices() {
                let room = question.room(areas, way);
                let mut own: Point = [answer.placement.spot.to_metres(); 9];
                for (i, pad) in answer.pads.iter().enumerate() {
                    [own[1 + 2 * i], own[2 + 2 * i]] = pad.at.to_metres();
                }
                let given = if way == answer.placement.driven_in { vec![own] } else { vec![] };
                other = other.max(search(&question, way, &room, &mut random, 3, &given).0);
                shown = shown && rules_out(&question, way, &room, worst.reserve + PROMISE);
            }
        }
        let gap = other - worst.reserve;
        proved += usize::from(shown);
        let shown = if shown { "  proved" } else { "" };
        println!("{name:34} {:9.4} {other:9.4} {gap:9.4}  {}{shown}", worst.reserve, worst.what.id());
        if gap > PROMISE {
            beaten.push(name);
        }
    }
    println!("{asked} pairs, {proved} proved");
    assert!(asked >= 6);
    assert!(beaten.is_empty(), "a better setup exists: {beaten:?}");
}
