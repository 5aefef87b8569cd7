//! The balance at the largest push that is withstood.

use planner::account::Balance;
use planner::lift::Corner;
use planner::work::Held;
use statics::{Bound, Force, Length};

use super::demand::Task;
use super::edge;
use super::loads::under_push;
use super::steps::{Kind, Num, Sums};
use crate::Units;
use crate::words::corner_name;

const AXES: [&str; 3] = ["ahead", "left", "up"];

/// Which balance, in which state, and what is asked of it.
pub(super) struct Withstood {
    pub(super) balance: Option<Balance>,
    pub(super) state: usize,
    pub(super) needed: Force,
    /// The pad whose arm is free to swing.
    pub(super) free: Option<Corner>,
}

pub(super) fn push(s: &mut Sums, task: &Task<'_>, of: Withstood) {
    let Withstood { balance, state, needed, free } = of;
    let (Some(balance), Some(answer)) = (balance, task.scene.plan.states.get(state)) else {
        s.note("Nothing is withstood: the pads are on one line.");
        let needed = s.push("force at its greatest", needed);
        s.step(Kind::Push, "withstood = nothing", format!("0 \u{d7} {needed}"));
        return;
    };
    let found = match &balance.held {
        Held::Balance(found) => found,
        Held::Springs(overload) => {
            s.note("Grip, tipping and ratings would let the pads share more of it; but how they share is not theirs to choose.");
            return under_push(s, task, state, &balance.push, overload, Bound::GreatestLoad);
        }
    };
    if found.forces.iter().all(|f| f[2] <= 0.0) {
        s.note("Not even the weight alone is in balance on these pads and ratings.");
        let needed = s.push("force at its greatest", needed);
        s.step(Kind::Push, "withstood = nothing", format!("0 \u{d7} {needed}"));
        return;
    }
    s.note(
        "What is withstood is least at this end of the mass and this corner of the box of the centre of gravity. How far pads may \
         be off their places and out of level counts as if weight and push were off by so much more (twice the disc: once for \
         the weight, once for a push of up to as much), and takes from the grip.",
    );
    let nominal = answer.mass.value;
    let mass = s.mass(format!("mass {}", answer.name), nominal);
    let off = s.mass("tolerance of the mass", answer.mass.tolerance);
    let plus = |up: bool| if up { "+" } else { "\u{2212}" };
    let more = plus(found.body.mass > nominal);
    let mass =
        s.step(Kind::Mass, format!("mass = mass {more} its tolerance"), format!("{mass} {more} {off}"));
    let weight = weight(s, &mass);
    let [centre, half] = edge::centre(s, task, answer);
    let half = further(s, task, state, &half);
    let own = task.accounts.standing(state).map(|(_, body)| body.cg.to_metres()).unwrap_or_default();
    let at = found.body.cg.to_metres();
    let centre: Vec<Num> = [0, 1]
        .into_iter()
        .map(|k| {
            let sign = plus(at[k] > own[k]);
            s.step(
                Kind::Length,
                format!("worst centre of gravity {} = centre {sign} off", AXES[k]),
                format!("{} {sign} {}", centre[k], half[k]),
            )
        })
        .collect();
    s.note(
        "The forces of the pads on the vehicle that the program found. That they balance weight and push within grip \
         and ratings shows that this push is withstood; that no larger one is, no short sum shows.",
    );
    let forces: Vec<[Num; 3]> = (0..4)
        .map(|i| {
            let name = corner_name(Corner::ALL[i]);
            [0, 1, 2].map(|k| {
                s.push(
                    format!("{name} pad pushes the vehicle {}", AXES[k]),
                    Force::newtons(found.forces[i][k]),
                )
            })
        })
        .collect();
    let f = balance_of_force(s, &balance, &forces, &weight);
    balance_of_moment(s, task, &balance, &forces, [&weight, &centre[0], &centre[1], &f]);
    within_limits(s, task, &balance, &forces);
    if let Some(c) = free {
        along_its_arm(s, task, c, &forces[c.index()]);
    }
    s.note("So much is withstood:");
    s.step(Kind::Push, "withstood = the push of the balance", format!("1 \u{d7} {f}"));
}

/// How far the centre is counted off, with what pads and level add.
fn further(s: &mut Sums, task: &Task<'_>, state: usize, half: &[Num; 2]) -> [Num; 2] {
    let Some((set, body)) = task.accounts.standing(state) else { return half.clone() };
    let up = s.length("height of the centre of gravity above the ground", body.cg.z());
    let off = s.length("it may be off in height by", body.cg_tolerance[2]);
    let mean = edge::mean_height(s, task, &Corner::ALL);
    let disc = s.length(
        "a pad may be off its place by",
        set.contacts().iter().map(|c| c.place_tolerance).fold(Length::ZERO, Length::max),
    );
    let level = s.angle("the vehicle may be out of level by", body.tilt_tolerance);
    let play = s.step(
        Kind::Length,
        "pads and level add = 2 \u{d7} disc + (|height \u{2212} mean height| + off in height) \u{d7} tan(out of level)",
        format!("2 \u{d7} {disc} + (|{up} \u{2212} {mean}| + {off}) \u{d7} tan({level})"),
    );
    [0, 1].map(|k| {
        s.step(
            Kind::Length,
            format!("counted off {} = off + what pads and level add", AXES[k]),
            format!("{} + {play}", half[k]),
        )
    })
}

/// What a mass weighs.
pub(super) fn weight(s: &mut Sums, mass: &Num) -> Num {
    match s.units() {
        Units::Metric => {
            let g = s.bare(GRAVITY, 9.806_65);
            s.step(Kind::Push, "weight = mass \u{d7} gravity", format!("{mass} \u{d7} {g}"))
        }
        Units::Us => s.step(Kind::Push, "weight = as many pounds-force", format!("1 \u{d7} {mass}")),
    }
}

/// The mass that a force is the weight of, as arithmetic.
pub(super) fn as_mass(s: &mut Sums, force: &str) -> String {
    match s.units() {
        Units::Metric => format!("({force}) / {}", s.bare(GRAVITY, 9.806_65)),
        Units::Us => format!("({force})"),
    }
}

const GRAVITY: &str = "gravity, newtons a kilogram";

/// The push that the forces leave, and that its direction is that of the task.
fn balance_of_force(s: &mut Sums, balance: &Balance, forces: &[[Num; 3]], weight: &Num) -> Num {
    let sums = [0, 1, 2].map(|k| {
        let all: Vec<String> = forces.iter().map(|f| format!("({})", f[k])).collect();
        let (less, named) =
            if k == 2 { (format!(" \u{2212} {weight}"), " \u{2212} weight") } else { (String::new(), "") };
        s.step(
            Kind::Push,
            format!("left {} by pads and weight = sum of the pads' forces{named}", AXES[k]),
            format!("{}{less}", all.join(" + ")),
        )
    });
    let f = s.step(
        Kind::Push,
        "push that balances it = \u{221a}(ahead\u{b2} + left\u{b2} + up\u{b2})",
        format!("\u{221a}(({})\u{b2} + ({})\u{b2} + ({})\u{b2})", sums[0], sums[1], sums[2]),
    );
    let d = balance.push.direction();
    for k in 0..3 {
        let along = s.bare(format!("direction of the push, {}", AXES[k]), d[k]);
        s.step(
            Kind::Push,
            format!(
                "missing {} (nothing but rounding) = left by pads and weight + push \u{d7} direction",
                AXES[k]
            ),
            format!("{} + {f} \u{d7} ({along})", sums[k]),
        );
    }
    f
}

/// Moments about the three axes of the bay: nothing but rounding may be missing.
fn balance_of_moment(
    s: &mut Sums,
    task: &Task<'_>,
    balance: &Balance,
    forces: &[[Num; 3]],
    [weight, cx, cy, f]: [&Num; 4],
) {
    let pads: Vec<[Num; 3]> = Corner::ALL
        .iter()
        .zip(balance.set.contacts())
        .map(|(c, contact)| {
            let [x, y] = edge::pad(s, task, *c);
            let up = format!("{}: underside at the lifting area above the floor", corner_name(*c));
            [x, y, s.length(up, contact.at.z())]
        })
        .collect();
    let at = balance.push.at().to_metres();
    let q = [0, 1, 2].map(|k| {
        let from = ["ahead of the column line", "left of the centre line", "above the floor"][k];
        s.length(format!("the push acts {from}, at"), Length::metres(at[k]))
    });
    let d: Vec<String> = balance
        .push
        .direction()
        .into_iter()
        .enumerate()
        .map(|(k, v)| format!("({})", s.bare(format!("direction of the push, {}", AXES[k]), v)))
        .collect();
    for (axis, i, j) in [("ahead", 1, 2), ("left", 2, 0), ("up", 0, 1)] {
        let pair = |p: &[Num; 3], f: &[String; 3]| {
            format!("{} \u{d7} {} \u{2212} {} \u{d7} {}", p[i], f[j], p[j], f[i])
        };
        let of_pads =
            pads.iter().zip(forces).map(|(p, f)| pair(p, &[0, 1, 2].map(|k| format!("({})", f[k]))));
        let of_pads: Vec<String> = of_pads.collect();
        let of_push = format!("{f} \u{d7} ({})", pair(&q, &[d[0].clone(), d[1].clone(), d[2].clone()]));
        let of_weight = match axis {
            "ahead" => format!(" \u{2212} {cy} \u{d7} {weight}"),
            "left" => format!(" + {cx} \u{d7} {weight}"),
            _ => String::new(),
        };
        s.step(
            Kind::Moment,
            format!("moment missing about the axis {axis} (nothing but rounding) = pads + push + weight"),
            format!("{} + {of_push}{of_weight}", of_pads.join(" + ")),
        );
    }
}

/// Friction that is counted on, out of level the wrong way.
fn grip(s: &mut Sums, task: &Task<'_>) -> Num {
    let level = s.bare("friction that is counted on, level", task.accounts.friction());
    let tilt = s.angle("the vehicle may be out of level by", task.accounts.out_of_level());
    s.step(
        Kind::Bare,
        "friction = tan(atan(friction, level) \u{2212} out of level)",
        format!("tan(atan({level}) \u{2212} {tilt})"),
    )
}

/// Each pad's force within its grip and its rating.
fn within_limits(s: &mut Sums, task: &Task<'_>, balance: &Balance, forces: &[[Num; 3]]) {
    for (i, contact) in balance.set.contacts().iter().enumerate() {
        let name = corner_name(Corner::ALL[i]);
        let mu = grip(s, task);
        let [x, y, z] = &forces[i];
        s.step(
            Kind::Push,
            format!(
                "{name} pad, grip to spare = friction \u{d7} up \u{2212} \u{221a}(ahead\u{b2} + left\u{b2})"
            ),
            format!("{mu} \u{d7} {z} \u{2212} \u{221a}(({x})\u{b2} + ({y})\u{b2})"),
        );
        if let Some(rated) = contact.rated {
            let rated = s.push(format!("{name} pad may carry"), rated);
            s.step(
                Kind::Push,
                format!("{name} pad, to spare to its rating = rating \u{2212} up"),
                format!("{rated} \u{2212} {z}"),
            );
        }
    }
}

/// A pad whose arm may swing pushes along the arm alone.
fn along_its_arm(s: &mut Sums, task: &Task<'_>, c: Corner, [x, y, _]: &[Num; 3]) {
    let name = corner_name(c);
    let swing = s.angle(format!("direction of the {name} pad's arm, from straight ahead"), task.pad(c).swing);
    s.note("Its arm is free to swing, so this pad pushes along the arm alone.");
    s.step(
        Kind::Push,
        format!("{name} pad, across its arm (nothing but rounding) = left \u{d7} cos(direction) \u{2212} ahead \u{d7} sin(direction)"),
        format!("({y}) \u{d7} cos({swing}) \u{2212} ({x}) \u{d7} sin({swing})"),
    );
}
