//! What is left when one pad does not carry or one arm's lock is not engaged.

use planner::lift::Corner;
use planner::work::{LockLoss, PadLoss};
use statics::{Force, Outcome};

use super::demand::Task;
use super::edge::{self, Standing, centre_in_bay, pad};
use super::estimate::lever;
use super::push::{self, Withstood};
use super::steps::{Kind, Num, Sums};
use crate::Units;
use crate::words::corner_name;

/// Distance of a place from the line through two pads, positive on the side of a third.
fn from_line(
    s: &mut Sums,
    task: &Task<'_>,
    [a, b]: [Corner; 2],
    side: Corner,
    name: &str,
    [cx, cy]: &[Num; 2],
) -> Num {
    let [[ax, ay], [bx, by]] = [a, b].map(|c| pad(s, task, c));
    let [pa, pb, ps] = [a, b, side].map(|c| task.pad(c).bay.to_metres());
    let cross = (pb[0] - pa[0]) * (ps[1] - pa[1]) - (pb[1] - pa[1]) * (ps[0] - pa[0]);
    let minus = if cross < 0.0 { "\u{2212}" } else { "" };
    s.step(
        Kind::Length,
        format!(
            "{name} = {minus}((b \u{2212} a) ahead \u{d7} (centre \u{2212} a) left \u{2212} (b \u{2212} a) left \u{d7} (centre \u{2212} a) ahead) / length, a {}, b {}",
            corner_name(a),
            corner_name(b)
        ),
        format!(
            "{minus}(({bx} \u{2212} {ax}) \u{d7} ({cy} \u{2212} {ay}) \u{2212} ({by} \u{2212} {ay}) \u{d7} ({cx} \u{2212} {ax})) / \u{221a}(({bx} \u{2212} {ax})\u{b2} + ({by} \u{2212} {ay})\u{b2})"
        ),
    )
}

/// The other pad of its end, the other of its side, and the one diagonally across.
fn others(c: Corner) -> [Corner; 3] {
    [1, 2, 3].map(|k| Corner::ALL[c.index() ^ k])
}

/// Where the centre is from the diagonal beside a lost pad.
pub(super) fn from_diagonal(s: &mut Sums, task: &Task<'_>, lost: &PadLoss) {
    let Some(answer) = task.scene.plan.states.get(lost.state) else { return };
    let centre = centre_in_bay(s, task, answer);
    let [end, side, across] = others(lost.corner);
    s.note(format!(
        "Without the {} pad the vehicle stands on three; the side that faces the lost pad runs from {} to {}.",
        corner_name(lost.corner),
        corner_name(end),
        corner_name(side)
    ));
    s.note("Less than nothing is on the side of the lost pad: it falls that way.");
    from_line(s, task, [end, side], across, "distance inside that side", &centre);
}

/// The least assured distance from an edge of the three that are left.
pub(super) fn assured(s: &mut Sums, task: &Task<'_>, lost: &PadLoss) {
    let answer = task.scene.plan.states.get(lost.state);
    let on = task.accounts.standing_without(lost.state, lost.corner);
    let normal = task.accounts.edge_without(lost.state, lost.corner, lost.over);
    let (Some(answer), Some((set, body)), Some(normal)) = (answer, on, normal) else { return };
    s.note(format!(
        "Without the {} pad: of the three sides that are left, the one from {} to {} is nearest within all tolerances.",
        corner_name(lost.corner),
        corner_name(lost.over[0]),
        corner_name(lost.over[1])
    ));
    let pads = Corner::ALL.into_iter().filter(|c| *c != lost.corner).collect();
    edge::assured(s, task, answer, &Standing { set, body, pads }, (lost.over, normal));
    s.note(match lost.outcome {
        Outcome::Stable => "Above nothing: it stays on the other three.",
        Outcome::Undecided => "Not above nothing, though it stays as supposed: it may fall over that side.",
        Outcome::Tips => "Outside even as supposed: it falls.",
    });
}

/// What the pad that comes nearest to its rating carries when three carry the vehicle.
pub(super) fn hardest(s: &mut Sums, task: &Task<'_>, lost: &PadLoss) {
    let (Some(answer), Some((hardest, ..))) = (task.scene.plan.states.get(lost.state), lost.hardest) else {
        return;
    };
    s.note("Three pads balance the vehicle in one way alone.");
    let centre = centre_in_bay(s, task, answer);
    let with: Vec<Corner> = others(lost.corner).into_iter().filter(|c| *c != hardest).collect();
    let [m, n] = with[..] else { return };
    let share = lever(s, task, hardest, [m, n], &centre);
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    s.step(
        Kind::Mass,
        format!("the {} pad then carries = share \u{d7} mass", corner_name(hardest)),
        format!("{share} \u{d7} {mass}"),
    );
}

/// The push at which the body rocks onto a pad that does not touch, the most that it may take.
pub(super) fn rock_push(s: &mut Sums, task: &Task<'_>, lost: &PadLoss) {
    let (Some(answer), Some(rock)) = (task.scene.plan.states.first(), task.accounts.rock(lost.corner)) else {
        return;
    };
    let Some((_, body)) = task.accounts.standing(0) else { return };
    s.note(
        "If the pad does not touch, the body stands on the other three, and must turn about the side that faces it to lean \
         onto it. It takes the most push at this end of the mass and this corner of the box of the centre of gravity.",
    );
    let plus = |up: bool| if up { "+" } else { "\u{2212}" };
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    let off = s.mass("tolerance of the mass", answer.mass.tolerance);
    let more = plus(rock.body.mass > answer.mass.value);
    let mass =
        s.step(Kind::Mass, format!("mass = mass {more} its tolerance"), format!("{mass} {more} {off}"));
    let weight = push::weight(s, &mass);
    let [centre, half] = edge::centre(s, task, answer);
    let (own, at) = (body.cg.to_metres(), rock.body.cg.to_metres());
    let centre = [0, 1].map(|k| {
        let sign = plus(at[k] > own[k]);
        s.step(
            Kind::Length,
            format!("centre of gravity {} = centre {sign} off", ["ahead", "left"][k]),
            format!("{} {sign} {}", centre[k], half[k]),
        )
    });
    let third = others(lost.corner).into_iter().find(|c| !rock.over.contains(c)).unwrap_or(lost.corner);
    let inside = from_line(s, task, rock.over, third, "distance inside that side", &centre);
    let most = s.length(
        "height of the shake",
        statics::Length::metres(task.scene.limits.get(planner::limits::Name::ShakeHeight)),
    );
    let roof = s.length("roof above the floor, standing", task.scene.vehicle.outline.roof);
    let mean = edge::mean_height(s, task, &Corner::ALL);
    let lever = s.step(
        Kind::Length,
        "lever = height of the shake, at most the roof, \u{2212} mean height of the contacts",
        format!("least({most}; {roof}) \u{2212} {mean}"),
    );
    s.note(if lost.rock_push == Some(Force::ZERO) {
        "Less than nothing inside: it leans on that pad, or over that side, without any push."
    } else {
        "Up to that push the body may stay still though the pad carries nothing: so much silence proves."
    });
    s.step(
        Kind::Push,
        "rock push = weight \u{d7} distance inside / lever, at least 0",
        format!("greatest({weight} \u{d7} ({inside}) / {lever}; 0)"),
    );
}

/// What is left of a force with one arm free to swing.
pub(super) fn lock(s: &mut Sums, task: &Task<'_>, lost: &LockLoss, k: usize) {
    let Some(left) = lost.left.get(k) else { return };
    let balance = task.accounts.balance_unlocked(left.state, Some(lost.corner), left.of);
    let of = Withstood { balance, state: left.state, needed: left.needed, free: Some(lost.corner) };
    push::push(s, task, of);
    let fits = |f: Force| f >= left.needed;
    let needed = match s.units() {
        Units::Metric => format!("{} N", crate::units::decimals(left.needed.to_newtons(), 1)),
        Units::Us => format!("{} lbf", crate::units::decimals(left.needed.to_pounds_force(), 1)),
    };
    s.note(if left.withstands.is_none_or(fits) {
        format!("{needed} is needed: it still holds.")
    } else {
        format!("{needed} is needed: it does not hold.")
    });
}

/// What is withstood of a person's push at the height of the shake, all arms locked.
pub(super) fn shake(s: &mut Sums, task: &Task<'_>, needed: Force) {
    let balance = task.accounts.balance_unlocked(0, None, None);
    push::push(s, task, Withstood { balance, state: 0, needed, free: None });
}
