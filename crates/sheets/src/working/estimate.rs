//! The load estimate of a pad, and what statics alone let it carry.

use planner::account::{Bend, Model};
use planner::lift::Corner;
use planner::plan::StateAnswer;

use super::demand::Task;
use super::edge::{centre_in_bay, pad};
use super::push;
use super::springs::{by_gaps, shares, springs, stiffness};
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

pub(super) fn load(s: &mut Sums, task: &Task<'_>, c: Corner, state: usize) {
    let Some(answer) = task.scene.plan.states.get(state) else { return };
    let share = of_weight(s, task, answer, state, &[c]);
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    s.step(Kind::Mass, "load = share \u{d7} mass", format!("{} \u{d7} {mass}", share[0]));
}

pub(super) fn front_share(s: &mut Sums, task: &Task<'_>, state: usize) {
    let Some(answer) = task.scene.plan.states.get(state) else { return };
    let share = of_weight(s, task, answer, state, &[Corner::FrontLeft, Corner::FrontRight]);
    s.step(
        Kind::Percent,
        "share of the front pads = sum of their shares \u{d7} 100",
        format!("({} + {}) \u{d7} 100", share[0], share[1]),
    );
}

/// Shares of some pads by the load estimate: rigid body on one-sided springs.
fn of_weight(s: &mut Sums, task: &Task<'_>, answer: &StateAnswer, state: usize, of: &[Corner]) -> Vec<Num> {
    s.note("Loads are given as the mass that weighs as much; places are in the bay, ahead and left.");
    let centre = centre_in_bay(s, task, answer);
    let none = |s: &mut Sums, c: &Corner| {
        s.step(Kind::Bare, format!("{}: carries nothing, so its share", corner_name(*c)), "0")
    };
    let Some(carry) = task.accounts.carrying(state) else {
        s.note("The centre of gravity is not between the pads: no loads hold the vehicle.");
        return of.iter().map(|c| none(s, c)).collect();
    };
    if carry.len() == 4 {
        s.note("The vehicle is a rigid body on four springs that all carry. Force and both moments balance in one way alone, here solved for the centre of the stiffness.");
        let at = Corner::ALL.map(|c| pad(s, task, c));
        let k = stiffness(s, task, Bend::ByReach([0.0; 4]), (Model::USUAL_ARM, ""));
        let f = springs(s, &k, &at);
        let away = [0, 1].map(|axis| {
            s.step(
                Kind::Length,
                format!("{} = centre of gravity \u{2212} centre of the stiffness", ["ex", "ey"][axis]),
                format!("{} \u{2212} {}", centre[axis], f.middle[axis]),
            )
        });
        let mut all = shares(s, &f, &at, &away).1;
        let gaps =
            task.accounts.standing(state).map(|(set, _)| core::array::from_fn(|i| set.contacts()[i].gap));
        if let Some((_, pressed)) = gaps.and_then(|gaps| by_gaps(s, &f, &at, gaps)) {
            let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
            all = Corner::ALL.map(|c| {
                let i = c.index();
                let by_heights = push::as_mass(s, &format!("{} \u{d7} ({})", f.sum, pressed[i]));
                s.step(
                    Kind::Bare,
                    format!(
                        "{}: share with that = share + sum of the four k \u{d7} pressed, as a mass, / mass",
                        corner_name(c)
                    ),
                    format!("{} + {by_heights} / {mass}", all[i]),
                )
            });
        }
        return of.iter().map(|c| all[c.index()].clone()).collect();
    }
    s.note("One pad or more carries nothing: by the estimate it hangs free, and the others balance the vehicle in one way alone.");
    of.iter()
        .map(|c| if carry.contains(c) { beside(s, task, *c, &carry, &centre) } else { none(s, c) })
        .collect()
}

/// Share of a pad that carries with at most two others.
fn beside(s: &mut Sums, task: &Task<'_>, c: Corner, carry: &[Corner], centre: &[Num; 2]) -> Num {
    let others: Vec<Corner> = carry.iter().copied().filter(|o| *o != c).collect();
    match others[..] {
        [m, n] => lever(s, task, c, [m, n], centre),
        [m] => {
            let [i, m_at] = [c, m].map(|c| pad(s, task, c));
            let far = |a: &[Num; 2], b: &[Num; 2]| {
                format!("\u{221a}(({} \u{2212} {})\u{b2} + ({} \u{2212} {})\u{b2})", a[0], b[0], a[1], b[1])
            };
            s.step(
                Kind::Bare,
                format!(
                    "{}: share = distance of the centre from {} / distance of the two",
                    corner_name(c),
                    corner_name(m)
                ),
                format!("{} / {}", far(centre, &m_at), far(&i, &m_at)),
            )
        }
        _ => s.step(Kind::Bare, format!("{}: carries alone, so its share", corner_name(c)), "1"),
    }
}

/// Share of a pad that carries with two others alone: triangles of the centre and the pads.
pub(super) fn lever(s: &mut Sums, task: &Task<'_>, c: Corner, [m, n]: [Corner; 2], centre: &[Num; 2]) -> Num {
    let [i, p, q] = [c, m, n].map(|c| pad(s, task, c));
    let cross = |from: &[Num; 2]| {
        format!(
            "(({} \u{2212} {}) \u{d7} ({} \u{2212} {}) \u{2212} ({} \u{2212} {}) \u{d7} ({} \u{2212} {}))",
            p[0], from[0], q[1], from[1], p[1], from[1], q[0], from[0]
        )
    };
    s.step(
        Kind::Bare,
        format!(
            "{}: share with {} (m) and {} (n) = triangle g m n / triangle pad m n, g the centre of gravity",
            corner_name(c),
            corner_name(m),
            corner_name(n)
        ),
        format!("{} / {}", cross(centre), cross(&i)),
    )
}

/// The least or greatest load that statics allow, however unevenly the pads touch, as raised.
pub(super) fn range(s: &mut Sums, task: &Task<'_>, c: Corner, greatest: bool) {
    let Some(answer) = task.scene.plan.states.first() else { return };
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    let word = if greatest { "greatest" } else { "least" };
    let Some(with) = task.accounts.lever(c, greatest) else {
        // Where nothing holds the vehicle, all of it counts.
        let held = task.accounts.carrying(0).is_some();
        let (note, part) = match (held, greatest) {
            (true, false) => {
                ("The other three hold the vehicle without this pad: it may carry nothing.", "0")
            }
            (true, true) => {
                ("No three pads with this one among them hold the vehicle: it carries nothing.", "0")
            }
            (false, true) => ("The centre of gravity is not between the pads: the whole weight counts.", "1"),
            (false, false) => ("The centre of gravity is not between the pads: no load is sure.", "0"),
        };
        s.note(note);
        s.step(Kind::Mass, format!("{word} load"), format!("{part} \u{d7} {mass}"));
        return;
    };
    s.note(format!(
        "Statics allow the {word} load where one of the four carries nothing and the pad shares with two others."
    ));
    let centre = centre_in_bay(s, task, answer);
    let share = lever(s, task, c, with, &centre);
    s.step(Kind::Mass, format!("{word} load = share \u{d7} mass"), format!("{share} \u{d7} {mass}"));
}

/// The most that statics let a pad carry when mass and centre of gravity may be off and the pads touch unevenly.
pub(super) fn uneven(s: &mut Sums, task: &Task<'_>, c: Corner) {
    let Some((state, at, with)) = task.accounts.uneven(c) else { return };
    let Some(answer) = task.scene.plan.states.get(state) else { return };
    let mass = s.mass(format!("mass {}", answer.name), answer.mass.value);
    let off = s.mass("tolerance of the mass", answer.mass.tolerance);
    let mass = s.step(Kind::Mass, "greatest mass = mass + tolerance", format!("{mass} + {off}"));
    let Some(with) = with else {
        s.note("At some place of its box the centre of gravity is not between the pads: the whole weight counts.");
        s.step(Kind::Mass, "load = greatest mass", format!("1 \u{d7} {mass}"));
        return;
    };
    s.note("Looked for in small steps round the box of the centre of gravity: here the pad carries most, with two others alone.");
    let axes = ["ahead of the column line", "left of the centre line"];
    let centre = s.place("that place of the centre of gravity", axes, at);
    let share = lever(s, task, c, with, &centre);
    s.step(Kind::Mass, "load = share \u{d7} greatest mass", format!("{share} \u{d7} {mass}"));
}
