//! What is left when one pad does not carry or one arm's lock is not engaged.

use planner::lift::Corner;
use planner::work::{LockLoss, PadLoss, Without};
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
pub(super) fn from_diagonal(s: &mut Sums, task: &Task<'_>, lost: Corner, left: &Without) {
    let Some(answer) = task.scene.plan.states.get(left.state) else { return };
    let centre = centre_in_bay(s, task, answer);
    let [end, side, across] = others(lost);
    s.note(format!(
        "Without the {} pad the vehicle stands on three; the side that faces the lost pad runs from {} to {}.",
        corner_name(lost),
        corner_name(end),
        corner_name(side)
    ));
    s.note("Less than nothing is on the side of the lost pad: it falls that way.");
    from_line(s, task, [end, side], across, "distance inside that side", &centre);
}

/// The least assured distance from an edge of the three that are left.
pub(super) fn assured(s: &mut Sums, task: &Task<'_>, lost: Corner, left: &Without) {
    let answer = task.scene.plan.states.get(left.state);
    let on = task.accounts.standing_without(left.state, lost);
    let normal = task.accounts.edge_without(left.state, lost, left.over);
    let (Some(answer), Some((set, body)), Some(normal)) = (answer, on, normal) else { return };
    s.note(format!(
        "Without the {} pad: of the three sides that are left, the one from {} to {} is nearest within all tolerances.",
        corner_name(lost),
        corner_name(left.over[0]),
        corner_name(left.over[1])
    ));
    edge::assured(s, task, answer, &Standing { set, body, pads: all_but(lost) }, (left.over, normal));
    s.note(match left.outcome {
        Outcome::Stable => "Above nothing: it stays on the other three.",
        Outcome::Undecided => "Not above nothing, though it stays as supposed: it may fall over that side.",
        Outcome::Tips => "Outside even as supposed: it falls.",
    });
}

fn all_but(lost: Corner) -> Vec<Corner> {
    Corner::ALL.into_iter().filter(|c| *c != lost).collect()
}

/// What the pad that comes nearest to its rating carries when three carry the vehicle.
pub(super) fn hardest(s: &mut Sums, task: &Task<'_>, lost: Corner, left: &Without) {
    let (Some(answer), Some((hardest, ..))) = (task.scene.plan.states.get(left.state), left.hardest) else {
        return;
    };
    s.note("Three pads balance the vehicle in one way alone.");
    let centre = centre_in_bay(s, task, answer);
    let with: Vec<Corner> = others(lost).into_iter().filter(|c| *c != hardest).collect();
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
    let found = task.accounts.rock(lost.corner);
    let on = task.accounts.standing_without(0, lost.corner);
    let (Some(answer), Some((rock, [from, to])), Some((set, body))) =
        (task.scene.plan.states.first(), found, on)
    else {
        return;
    };
    s.note(format!(
        "If the pad does not touch, the body stands on the other three, and must turn about the side that faces it, from {} \
         to {}, to lean onto it. The push is towards the pad, square to that side; any other way takes more. It is most where \
         the weight is most and the centre farthest inside: that is the least distance from the side looked at from the \
         other way round, with its sign changed.",
        corner_name(from),
        corner_name(to)
    ));
    let pads = all_but(lost.corner);
    let (mean, disc) = (edge::mean_height(s, task, &pads), set.contacts()[0].place_tolerance);
    let turned = edge::assured(s, task, answer, &Standing { set, body, pads }, ([to, from], rock.normal));
    let inside =
        s.step(Kind::Length, "most inside = \u{2212}assured, turned round", format!("\u{2212}({turned})"));
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    let off = s.mass("tolerance of the mass", answer.mass.tolerance);
    let mass = s.step(Kind::Mass, "mass = mass + its tolerance", format!("{mass} + {off}"));
    let weight = push::weight(s, &mass);
    let most = s.length(
        "height of the shake",
        statics::Length::metres(task.scene.limits.get(planner::limits::Name::ShakeHeight)),
    );
    let roof = s.length("roof above the floor, standing", task.scene.vehicle.outline.roof);
    let lever = s.step(
        Kind::Length,
        "lever = height of the shake, at most the roof, \u{2212} mean height of the contacts",
        format!("least({most}; {roof}) \u{2212} {mean}"),
    );
    let [[ax, ay], [bx, by]] = [from, to].map(|c| pad(s, task, c));
    let long = s.step(
        Kind::Length,
        "length of the side = \u{221a}(ahead\u{b2} + left\u{b2})",
        format!("\u{221a}(({bx} \u{2212} {ax})\u{b2} + ({by} \u{2212} {ay})\u{b2})"),
    );
    let disc = s.length("a pad may be off its place by", disc);
    let square = s.step(
        Kind::Bare,
        "cosine of the most that this turns the side = \u{221a}(1 \u{2212} (2 \u{d7} off / length)\u{b2})",
        format!("\u{221a}(1 \u{2212} (2 \u{d7} {disc} / {long})\u{b2})"),
    );
    s.note(if lost.rock_push == Some(Force::ZERO) {
        "Not inside whatever the tolerances do: it leans on that pad without any push."
    } else {
        "Up to that push the body may stay still though the pad carries nothing: so much silence proves."
    });
    s.step(
        Kind::Push,
        "rock push = weight \u{d7} most inside / lever / cosine, at least 0",
        format!("greatest({weight} \u{d7} ({inside}) / {lever} / {square}; 0)"),
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
