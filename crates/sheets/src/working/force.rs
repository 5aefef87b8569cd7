//! A force of the work: which pad it lifts empty first, how near it comes to tipping, where to pull instead.

use planner::lift::Corner;
use planner::work::{StateForce, WorkAnswer};
use statics::{Bound, Length};

use super::demand::Task;
use super::edge::{centre_in_bay, pad};
use super::loads::under_push;
use super::push::{self, Withstood};
use super::springs::Springs;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

const AXES: [&str; 3] = ["ahead", "left", "up"];

/// Where a force acts in the bay, and its direction.
pub(super) fn line_of(s: &mut Sums, push: &statics::Push) -> [[Num; 3]; 2] {
    let at = push.at().to_metres();
    let places = [0, 1, 2].map(|k| {
        let from = ["ahead of the column line", "left of the centre line", "above the floor"][k];
        s.length(format!("the force acts {from}, at"), Length::metres(at[k]))
    });
    let d = push.direction();
    let ways = [0, 1, 2].map(|k| s.bare(format!("direction of the force, {}", AXES[k]), d[k]));
    [places, ways]
}

/// The force at which the first pad carries nothing, by the load estimate.
pub(super) fn first_unloads(s: &mut Sums, task: &Task<'_>, at: &StateForce) {
    let push = task.accounts.push(at.at, at.along);
    let Some((push, first)) = push.and_then(|push| Some((push, task.accounts.unload(at.state, &push)?)))
    else {
        return;
    };
    under_push(s, task, at.state, &push, &first, Bound::LeastShare);
}

/// What a unit of a force makes each pad carry more, by the springs; first the two slopes.
pub(super) fn gains(
    s: &mut Sums,
    f: &Springs,
    pads: &[[Num; 2]; 4],
    [q, d]: [&[Num; 3]; 2],
    mean: &Num,
) -> ([Num; 2], [Num; 4]) {
    s.note("The pads' sideways forces are taken at their mean height.");
    s.note("What one unit of the force adds, about the centre of the stiffness:");
    let turns = [0, 1].map(|axis| {
        s.step(
            Kind::Length,
            format!(
                "{} = \u{2212}up \u{d7} ({1} of the force \u{2212} {2}) + {1} \u{d7} (height of the force \u{2212} mean height)",
                ["mx", "my"][axis], AXES[axis], ["Xm", "Ym"][axis]
            ),
            format!("\u{2212}({}) \u{d7} ({} \u{2212} {}) + ({}) \u{d7} ({} \u{2212} {mean})", d[2], q[axis], f.middle[axis], d[axis], q[2]),
        )
    });
    let tilt = [0, 1].map(|axis| {
        s.step(
            Kind::PerLength,
            [
                "u of the force = (mx \u{2212} p \u{d7} my) / Ex",
                "v of the force = (my \u{2212} q \u{d7} mx) / Ey",
            ][axis],
            format!(
                "({} \u{2212} {} \u{d7} ({})) / {}",
                turns[axis],
                f.skew[axis],
                turns[1 - axis],
                f.spread[axis]
            ),
        )
    });
    let gains = Corner::ALL.map(|c| {
        let i = c.index();
        let far = |axis: usize| format!("({} \u{2212} {})", pads[i][axis], f.middle[axis]);
        s.step(
            Kind::Bare,
            format!("{}: carries more by = part \u{d7} (\u{2212}up + u \u{d7} (ahead \u{2212} Xm) + v \u{d7} (left \u{2212} Ym)), a unit of the force", corner_name(c)),
            format!("{} \u{d7} (\u{2212}({}) + {} \u{d7} {} + {} \u{d7} {})", f.part[i], d[2], tilt[0], far(0), tilt[1], far(1)),
        )
    });
    (tilt, gains)
}

/// The force-angle measure of Papadopoulos and Rey at the edge where it is least.
pub(super) fn force_angle(s: &mut Sums, task: &Task<'_>, of: &WorkAnswer, at: &StateForce) {
    let push = task.accounts.push(at.at, at.along);
    let (Some(answer), Some(push)) = (task.scene.plan.states.get(at.state), push) else { return };
    let Some([from, to]) = task.accounts.force_angle_edge(at.state, &push, of.needed) else { return };
    s.note(format!(
        "The angle is least at the edge from {} (a) to {} (b). Of the force that acts at the centre of gravity and its moment, only what turns about that edge counts.",
        corner_name(from),
        corner_name(to)
    ));
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    let weight = push::weight(s, &mass);
    let size = s.push("force at its greatest", of.needed);
    let [cx, cy] = centre_in_bay(s, task, answer);
    let up = s.length("height of the centre of gravity above the ground", answer.cg.z());
    let g = [cx, cy, up];
    let [q, d] = line_of(s, &push);
    let point = |s: &mut Sums, c: Corner| {
        let [x, y] = pad(s, task, c);
        let area = task.scene.vehicle.lift_areas.get(task.pad(c).area);
        let under = area.map_or(Length::ZERO, |a| a.underside);
        let z = s.length(format!("{}: underside at the lifting area above the floor", corner_name(c)), under);
        [x, y, z]
    };
    let (a, b) = (point(s, from), point(s, to));
    let dot = |p: &[Num; 3], q: &[Num; 3]| {
        let terms = [0, 1, 2].map(|k| format!("({}) \u{d7} ({})", p[k], q[k]));
        terms.join(" + ")
    };
    let force = [0, 1, 2].map(|k| {
        let less = if k == 2 { format!(" \u{2212} {weight}") } else { String::new() };
        let named = if k == 2 { " \u{2212} weight" } else { "" };
        s.step(
            Kind::Push,
            format!("f {} = force \u{d7} direction{named}", AXES[k]),
            format!("{size} \u{d7} ({}){less}", d[k]),
        )
    });
    let moment = [(1, 2), (2, 0), (0, 1)].map(|(i, j)| {
        s.step(
            Kind::Moment,
            format!("moment of the force about the centre of gravity, {}", AXES[3 - i - j]),
            format!(
                "{size} \u{d7} (({0} \u{2212} {1}) \u{d7} ({2}) \u{2212} ({3} \u{2212} {4}) \u{d7} ({5}))",
                q[i], g[i], d[j], q[j], g[j], d[i]
            ),
        )
    });
    let long = s.step(
        Kind::Length,
        "length of the edge",
        format!(
            "\u{221a}(({} \u{2212} {})\u{b2} + ({} \u{2212} {})\u{b2} + ({} \u{2212} {})\u{b2})",
            a[0], b[0], a[1], b[1], a[2], b[2]
        ),
    );
    let axis = [0, 1, 2].map(|k| {
        s.step(
            Kind::Bare,
            format!("axis e {} = (a \u{2212} b) / length", AXES[k]),
            format!("({} \u{2212} {}) / {long}", a[k], b[k]),
        )
    });
    let reach = [0, 1, 2].map(|k| {
        s.step(
            Kind::Length,
            format!("b from the centre of gravity, {}", AXES[k]),
            format!("{} \u{2212} {}", b[k], g[k]),
        )
    });
    let along = s.step(Kind::Length, "of that, along the axis", dot(&reach, &axis));
    let l = [0, 1, 2].map(|k| {
        s.step(
            Kind::Length,
            format!(
                "l {} = b from the centre \u{2212} what is along the axis: the normal of the edge",
                AXES[k]
            ),
            format!("{} \u{2212} ({along}) \u{d7} ({})", reach[k], axis[k]),
        )
    });
    let far = s.step(Kind::Length, "length of l", format!("\u{221a}({})", dot(&l, &l)));
    let couple = s.step(Kind::Moment, "moment about the axis", dot(&moment, &axis));
    let along = s.step(Kind::Push, "f along the axis", dot(&force, &axis));
    let turned = [(1, 2), (2, 0), (0, 1)].map(|(i, j)| {
        let k = 3 - i - j;
        s.step(
            Kind::Push,
            format!("f* {} = f \u{2212} what is along the axis + (l \u{d7} e) \u{d7} moment about the axis / length of l\u{b2}", AXES[k]),
            format!(
                "{} \u{2212} ({along}) \u{d7} ({}) + (({}) \u{d7} ({}) \u{2212} ({}) \u{d7} ({})) \u{d7} ({couple}) / ({far})\u{b2}",
                force[k], axis[k], l[i], axis[j], l[j], axis[i]
            ),
        )
    });
    let size = s.step(Kind::Push, "length of f*", format!("\u{221a}({})", dot(&turned, &turned)));
    let tips = at.force_angle.is_some_and(|a| a.to_radians() < 0.0);
    let minus = if tips { "\u{2212}" } else { "" };
    if tips {
        s.note("The force points outside the edge: the angle counts as negative, it tips.");
    }
    // The cosine of a small angle has too few digits to tell it.
    if at.force_angle.is_some_and(|a| a.to_degrees().abs() < 10.0) {
        let crossed = [(1, 2, 0), (2, 0, 1), (0, 1, 2)].map(|(i, j, k)| {
            format!(
                "(({}) \u{d7} ({}) \u{2212} ({}) \u{d7} ({})) \u{d7} ({})",
                turned[i], l[j], turned[j], l[i], axis[k]
            )
        });
        let sine = s.step(
            Kind::Bare,
            "sine of the angle = |(f* \u{d7} l) \u{d7} e, all three summed| / their lengths",
            format!("|{}| / ({size} \u{d7} {far})", crossed.join(" + ")),
        );
        s.step(
            Kind::Angle,
            format!("angle = {minus}atan(sine / \u{221a}(1 \u{2212} sine\u{b2}))"),
            format!("{minus}(atan(({sine}) / \u{221a}(1 \u{2212} ({sine})\u{b2})))"),
        );
        return;
    }
    let cosine = s.step(
        Kind::Bare,
        "cosine of the angle = f* \u{d7} l, all three summed, / their lengths",
        format!("({}) / ({size} \u{d7} {far})", dot(&turned, &l)),
    );
    s.step(
        Kind::Angle,
        format!("angle = {minus}(90\u{b0} \u{2212} atan(cosine / \u{221a}(1 \u{2212} cosine\u{b2})))"),
        format!("{minus}(90 \u{2212} atan(({cosine}) / \u{221a}(1 \u{2212} ({cosine})\u{b2})))"),
    );
}

/// What is withstood in the direction that is told instead.
pub(super) fn instead(s: &mut Sums, task: &Task<'_>, of: &WorkAnswer) {
    let (Some(worst), Some(instead)) = (of.states.get(of.worst), &of.instead) else { return };
    let push = task.accounts.push(instead.at, instead.along);
    let balance = push.and_then(|push| task.accounts.balance_along(worst.state, push));
    push::push(s, task, Withstood { balance, state: worst.state, needed: of.needed, free: None });
}
