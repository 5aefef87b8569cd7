//! A rigid body on four springs: their stiffness, its centre and how it is spread.

use planner::Measured;
use planner::account::{Bend, Model};
use planner::lift::Corner;
use statics::{Length, Stiffness};

use super::arm;
use super::demand::Task;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

/// Stiffness under each pad, newtons per length.
///
/// `assumed` = stiffness of an arm 1 m out where its file gives none, and how that is called.
pub(super) fn stiffness(
    s: &mut Sums,
    task: &Task<'_>,
    bend: Bend,
    (assumed, word): (Stiffness, &str),
) -> [Num; 4] {
    let pad_k = s.stiffness("stiffness of pad and rubber (assumed)", Model::PADS_ALONE);
    let Bend::ByReach(off) = bend else {
        s.note("Every pad is as stiff as pad and rubber alone.");
        return [(); 4].map(|()| pad_k.clone());
    };
    Corner::ALL.map(|c| {
        let reach = arm::reach_for_stiffness(s, task, c);
        let (name, arm) = (corner_name(c), task.arm(c));
        let whose = corner_name(task.pad(c).arm);
        let k = at_its_end(s, [name, whose], arm.stiffness_out.as_ref(), (assumed, word), off[c.index()]);
        let at = if arm.stiffness_out.is_some() {
            s.length(format!("longest reach of the {whose} arm"), arm.reach_out)
        } else {
            s.length("reach for which that is assumed", Length::metres(1.0))
        };
        let own = s.step(
            Kind::Stiffness,
            format!("{name}: k of the arm = stated \u{d7} (reach at which it is stated / reach)\u{b3}"),
            format!("{k} \u{d7} ({at} / {reach})\u{b3}"),
        );
        s.step(
            Kind::Stiffness,
            format!("{name}: k = 1 / (1 / k of the arm + 1 / pad and rubber)"),
            format!("1 / (1 / {own} + 1 / {pad_k})"),
        )
    })
}

/// The stiffness of an arm, stated or assumed, at the end of what it may be off by itself.
fn at_its_end(
    s: &mut Sums,
    [corner, arm]: [&str; 2],
    stated: Option<&Measured<Stiffness>>,
    (assumed, word): (Stiffness, &str),
    off: f64,
) -> Num {
    let (name, k) = match stated {
        Some(k) => (format!("stiffness of the {arm} arm fully out"), k.value),
        None => (format!("stiffness of an arm at the reach said next{word} (assumed)"), assumed),
    };
    let value = s.stiffness(name, k);
    if off == 0.0 || stated.is_some_and(|k| k.tolerance == Stiffness::ZERO) {
        return value;
    }
    let sign = if off < 0.0 { "\u{2212}" } else { "+" };
    let (how, numbers) = match stated {
        Some(k) => {
            let by = s.stiffness(format!("it may be off, the {arm} arm by itself, by"), k.tolerance);
            ("stated \u{b1} what it may be off", format!("{value} {sign} {by}"))
        }
        None => {
            let part = "part of it by which each arm may be stiffer or softer by itself (assumed)";
            let part = s.bare(part, Model::ARMS_DIFFER);
            ("assumed \u{d7} (1 \u{b1} part)", format!("{value} \u{d7} (1 {sign} {part})"))
        }
    };
    s.step(Kind::Stiffness, format!("{corner}: arm at its end = {how}"), numbers)
}

pub(super) fn plus(terms: impl IntoIterator<Item = String>) -> String {
    terms.into_iter().collect::<Vec<_>>().join(" + ")
}

/// How springs under a rigid body share a load.
pub(super) struct Springs {
    /// The stiffness of all together.
    pub(super) sum: Num,
    /// Shares of the stiffness.
    pub(super) part: [Num; 4],
    /// Their centre.
    pub(super) middle: [Num; 2],
    /// Of the squared distances from it.
    pub(super) skew: [Num; 2],
    pub(super) spread: [Num; 2],
    pub(super) squares: [Num; 2],
}

pub(super) fn springs(s: &mut Sums, k: &[Num; 4], at: &[[Num; 2]; 4]) -> Springs {
    let sum = s.step(Kind::Stiffness, "sum of the four k", plus(k.iter().map(|k| k.0.clone())));
    let part = Corner::ALL.map(|c| {
        s.step(Kind::Bare, format!("{}: part = k / sum", corner_name(c)), format!("{} / {sum}", k[c.index()]))
    });
    let middle = [0, 1].map(|axis| {
        s.step(
            Kind::Length,
            format!(
                "centre of the stiffness, {} = sum of part \u{d7} place",
                ["ahead (Xm)", "left (Ym)"][axis]
            ),
            plus((0..4).map(|i| format!("{} \u{d7} {}", part[i], at[i][axis]))),
        )
    });
    let far = |i: usize, axis: usize| format!("({} \u{2212} {})", at[i][axis], middle[axis]);
    let squares = [0, 1].map(|axis| {
        s.step(
            Kind::Area,
            format!(
                "{} = sum of part \u{d7} (place \u{2212} centre of the stiffness)\u{b2}",
                ["Sxx", "Syy"][axis]
            ),
            plus((0..4).map(|i| format!("{} \u{d7} {}\u{b2}", part[i], far(i, axis)))),
        )
    });
    let mixed = s.step(
        Kind::Area,
        "Sxy = sum of part \u{d7} (ahead \u{2212} Xm) \u{d7} (left \u{2212} Ym)",
        plus((0..4).map(|i| format!("{} \u{d7} {} \u{d7} {}", part[i], far(i, 0), far(i, 1)))),
    );
    let skew = [
        s.step(Kind::Bare, "p = Sxy / Syy", format!("{mixed} / {}", squares[1])),
        s.step(Kind::Bare, "q = Sxy / Sxx", format!("{mixed} / {}", squares[0])),
    ];
    let spread = [
        s.step(
            Kind::Area,
            "Ex = Sxx \u{2212} p \u{d7} Sxy",
            format!("{} \u{2212} {} \u{d7} {mixed}", squares[0], skew[0]),
        ),
        s.step(
            Kind::Area,
            "Ey = Syy \u{2212} q \u{d7} Sxy",
            format!("{} \u{2212} {} \u{d7} {mixed}", squares[1], skew[1]),
        ),
    ];
    Springs { sum, part, middle, skew, spread, squares }
}

/// How far each spring is pressed, times its part of the stiffness, where pads do not touch at once, whatever the weight;
/// first the two slopes. Nothing where all touch.
pub(super) fn by_gaps(
    s: &mut Sums,
    f: &Springs,
    at: &[[Num; 2]; 4],
    gaps: [Length; 4],
) -> Option<([Num; 2], [Num; 4])> {
    if gaps.iter().all(|gap| *gap == Length::ZERO) {
        return None;
    }
    s.note("The pads do not touch all at once: a plane through all four presses those that touch first and pulls at the others. What that makes each carry balances among them, whatever the vehicle weighs.");
    let gaps = Corner::ALL.map(|c| {
        s.pressed(
            format!("{}: gap to its lifting area when the first pad touches", corner_name(c)),
            gaps[c.index()],
        )
    });
    let far = |i: usize, axis: usize| format!("({} \u{2212} {})", at[i][axis], f.middle[axis]);
    let level = s.step(
        Kind::Pressed,
        "w = sum of part \u{d7} gap",
        plus((0..4).map(|i| format!("{} \u{d7} {}", f.part[i], gaps[i]))),
    );
    let turns = [0, 1].map(|axis| {
        s.step(
            Kind::Area,
            format!(
                "{} = sum of part \u{d7} gap \u{d7} (place \u{2212} centre of the stiffness)",
                ["gx", "gy"][axis]
            ),
            plus((0..4).map(|i| format!("{} \u{d7} {} \u{d7} {}", f.part[i], gaps[i], far(i, axis)))),
        )
    });
    let tilt = [0, 1].map(|axis| {
        s.step(
            Kind::Fine,
            [
                "u of the gaps = (gx \u{2212} p \u{d7} gy) / Ex",
                "v of the gaps = (gy \u{2212} q \u{d7} gx) / Ey",
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
    let pressed = Corner::ALL.map(|c| {
        let i = c.index();
        s.step(
            Kind::Pressed,
            format!("{}: pressed by that = part \u{d7} (w + u \u{d7} (ahead \u{2212} Xm) + v \u{d7} (left \u{2212} Ym) \u{2212} gap)", corner_name(c)),
            format!("{} \u{d7} ({level} + {} \u{d7} {} + {} \u{d7} {} \u{2212} {})", f.part[i], tilt[0], far(i, 0), tilt[1], far(i, 1), gaps[i]),
        )
    });
    Some((tilt, pressed))
}

/// The share of each pad where the centre of gravity is so far from the centre of the stiffness; first the two
/// slopes.
pub(super) fn shares(s: &mut Sums, f: &Springs, at: &[[Num; 2]; 4], away: &[Num; 2]) -> ([Num; 2], [Num; 4]) {
    let tilt = [
        s.step(
            Kind::PerLength,
            "u = (ex \u{2212} p \u{d7} ey) / Ex",
            format!("({} \u{2212} {} \u{d7} {}) / {}", away[0], f.skew[0], away[1], f.spread[0]),
        ),
        s.step(
            Kind::PerLength,
            "v = (ey \u{2212} q \u{d7} ex) / Ey",
            format!("({} \u{2212} {} \u{d7} {}) / {}", away[1], f.skew[1], away[0], f.spread[1]),
        ),
    ];
    let far = |i: usize, axis: usize| format!("({} \u{2212} {})", at[i][axis], f.middle[axis]);
    let shares = Corner::ALL.map(|c| {
        let i = c.index();
        s.step(
            Kind::Bare,
            format!(
                "{}: share = part \u{d7} (1 + u \u{d7} (ahead \u{2212} Xm) + v \u{d7} (left \u{2212} Ym))",
                corner_name(c)
            ),
            format!(
                "{} \u{d7} (1 + {} \u{d7} {} + {} \u{d7} {})",
                f.part[i],
                tilt[0],
                far(i, 0),
                tilt[1],
                far(i, 1)
            ),
        )
    });
    (tilt, shares)
}
