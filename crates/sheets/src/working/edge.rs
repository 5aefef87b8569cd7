//! Assured distance of the centre of gravity from an edge of the support.

use planner::frames::DrivenIn;
use planner::lift::Corner;
use planner::plan::StateAnswer;
use statics::{Body, Length, Normal, SupportSet};

use super::demand::Task;
use super::steps::{Kind, Num, Sums};
use crate::words::corner_name;

pub(super) const IN_BAY: [&str; 2] = ["ahead of the column line", "left of the centre line"];

/// Centre of gravity in the bay and half the sides of the box in which it may be.
pub(super) fn centre(s: &mut Sums, task: &Task<'_>, state: &StateAnswer) -> [[Num; 2]; 2] {
    let at = centre_in_bay(s, task, state);
    let [aft, left, _] = state.cg_tolerance;
    let [aft, left] = [
        s.length("it may be off along the vehicle by", aft),
        s.length("it may be off across the vehicle by", left),
    ];
    let yaw = task.scene.plan.placement.yaw;
    if yaw == statics::Angle::ZERO {
        return [at, [aft, left]];
    }
    let yaw = s.angle("turned in the bay, anticlockwise, by", yaw);
    let half = [("ahead", "cos", "sin"), ("left", "sin", "cos")].map(|(axis, f, g)| {
        s.step(
            Kind::Length,
            format!("off {axis} = off along \u{d7} |{f}(turn)| + off across \u{d7} |{g}(turn)|"),
            format!("{aft} \u{d7} |{f}({yaw})| + {left} \u{d7} |{g}({yaw})|"),
        )
    });
    [at, half]
}

/// The centre of gravity from the vehicle to the bay.
pub(super) fn centre_in_bay(s: &mut Sums, task: &Task<'_>, state: &StateAnswer) -> [Num; 2] {
    let stand = &task.scene.plan.placement;
    let name = format!("centre of gravity {}", state.name);
    let [aft, left] = s.place(&name, super::apart::AXES, state.cg.plan().to_metres());
    let spot = s.length("front axle ahead of the column line", stand.spot);
    let off = s.length("front axle left of the centre line", stand.offset);
    // Driven in backwards, both directions are turned round.
    let [minus, plus] = match stand.driven_in {
        DrivenIn::Forwards => ["\u{2212}", "+"],
        DrivenIn::Backwards => ["+", "\u{2212}"],
    };
    if stand.yaw == statics::Angle::ZERO {
        return [
            s.step(
                Kind::Length,
                format!("centre of gravity ahead of the column line = front axle {minus} aft"),
                format!("{spot} {minus} {aft}"),
            ),
            s.step(
                Kind::Length,
                format!("centre of gravity left of the centre line = front axle {plus} left"),
                format!("{off} {plus} {left}"),
            ),
        ];
    }
    let yaw = s.angle("turned in the bay, anticlockwise, by", stand.yaw);
    [
        s.step(
            Kind::Length,
            format!(
                "centre of gravity ahead of the column line = front axle {minus} (aft \u{d7} cos(turn) + left \u{d7} sin(turn))"
            ),
            format!("{spot} {minus} ({aft} \u{d7} cos({yaw}) + {left} \u{d7} sin({yaw}))"),
        ),
        s.step(
            Kind::Length,
            format!(
                "centre of gravity left of the centre line = front axle {plus} (left \u{d7} cos(turn) \u{2212} aft \u{d7} sin(turn))"
            ),
            format!("{off} {plus} ({left} \u{d7} cos({yaw}) \u{2212} {aft} \u{d7} sin({yaw}))"),
        ),
    ]
}

/// A pad in the bay.
pub(super) fn pad(s: &mut Sums, task: &Task<'_>, c: Corner) -> [Num; 2] {
    s.place(&format!("{} pad in the bay", corner_name(c)), IN_BAY, task.pad(c).bay.to_metres())
}

/// Assured distance from the edge that is nearest, over the height of the centre.
pub(super) fn tip_ratio(s: &mut Sums, task: &Task<'_>, state: usize) {
    let Some(answer) = task.scene.plan.states.get(state) else { return };
    let nearest = task.accounts.nearest_edge(state);
    let assured = match nearest {
        Some(ends) => edge(s, task, state, ends),
        None => one_line(s),
    };
    let height = height(s, task, answer, &Corner::ALL);
    s.step(
        Kind::Bare,
        "tip ratio = assured distance / height of the centre above the pads",
        format!("{assured} / {height}"),
    );
}

/// The steps of an assured distance, and the distance.
pub(super) fn edge(s: &mut Sums, task: &Task<'_>, state: usize, ends: [Corner; 2]) -> Num {
    let plan_state = task.scene.plan.states.get(state);
    let (Some((set, body)), Some(answer)) = (task.accounts.standing(state), plan_state) else {
        return one_line(s);
    };
    let Some((found, normal)) = task.accounts.edge(state, ends) else { return one_line(s) };
    if found != ends && found != [ends[1], ends[0]] {
        s.note(format!(
            "One pad lies inside the others, so this edge is none; the nearest, {} to {}, counts.",
            corner_name(found[0]),
            corner_name(found[1])
        ));
    }
    let on = Standing { set, body, pads: Corner::ALL.to_vec() };
    assured(s, task, answer, &on, (found, normal))
}

/// Pads, and the weight on them.
pub(super) struct Standing {
    pub(super) set: SupportSet,
    pub(super) body: Body,
    pub(super) pads: Vec<Corner>,
}

/// The assured distance from an edge, by its worst normal.
pub(super) fn assured(
    s: &mut Sums,
    task: &Task<'_>,
    answer: &StateAnswer,
    on: &Standing,
    (found, normal): ([Corner; 2], Normal),
) -> Num {
    s.note("The centre may be anywhere in its box, each pad anywhere in its disc and the vehicle out of level, all at once; the line of the edge is turned the worst way.");
    let [[cx, cy], [hx, hy]] = centre(s, task, answer);
    let [[ax, ay], [bx, by]] = found.map(|c| pad(s, task, c));
    let disc = s.length("a pad may be off its place by", on.set.contacts()[0].place_tolerance);
    let sway = sway(s, task, answer, on);
    let long = s.step(
        Kind::Length,
        format!("length of the edge from {} (a) to {} (b)", corner_name(found[0]), corner_name(found[1])),
        format!("\u{221a}(({bx} \u{2212} {ax})\u{b2} + ({by} \u{2212} {ay})\u{b2})"),
    );
    let [nx, ny] = match normal {
        Normal::Turned { a, b, round } => turned(s, [[&ax, &ay], [&bx, &by]], ([a, b], round), &disc, &long),
        Normal::Seen { second, corner } => {
            let (px, py) = if second { (&bx, &by) } else { (&ax, &ay) };
            seen(s, [[px, py], [&cx, &cy], [&hx, &hy]], corner)
        }
        Normal::Axis(n) => [("ahead", n[0]), ("left", n[1])].map(|(axis, n)| {
            s.step(Kind::Bare, format!("worst normal, {axis}: along an axis of the bay"), sign(n))
        }),
    };
    let from = [("a", &ax, &ay), ("b", &bx, &by)].map(|(end, x, y)| {
        s.step(
            Kind::Length,
            format!("centre from a line through {end}, across it = normal \u{d7} (centre \u{2212} {end}) \u{2212} disc"),
            format!("{nx} \u{d7} ({cx} \u{2212} {x}) + {ny} \u{d7} ({cy} \u{2212} {y}) \u{2212} {disc}"),
        )
    });
    s.step(
        Kind::Length,
        "assured = the greater \u{2212} off ahead \u{d7} |normal ahead| \u{2212} off left \u{d7} |normal left| \u{2212} sway",
        format!(
            "greatest({}; {}) \u{2212} {hx} \u{d7} |{nx}| \u{2212} {hy} \u{d7} |{ny}| \u{2212} {sway}",
            from[0], from[1]
        ),
    )
}

fn one_line(s: &mut Sums) -> Num {
    s.note("The pads are on one line, on which nothing stands: counted as far outside.");
    let metre = s.length("taken to be outside by", Length::metres(1.0));
    s.step(Kind::Length, "assured = \u{2212}that", format!("\u{2212}{metre}"))
}

fn sign(n: f64) -> String {
    crate::units::decimals(n, 0)
}

/// How far the tilt moves the centre in plan.
fn sway(s: &mut Sums, task: &Task<'_>, answer: &StateAnswer, on: &Standing) -> Num {
    let height = height(s, task, answer, &on.pads);
    let tilt = s.angle("the vehicle may be out of level by", on.body.tilt_tolerance);
    s.step(Kind::Length, "sway = |height| \u{d7} tan(out of level)", format!("|{height}| \u{d7} tan({tilt})"))
}

/// Height of the centre above the pads, at the top of its tolerance.
fn height(s: &mut Sums, task: &Task<'_>, answer: &StateAnswer, pads: &[Corner]) -> Num {
    let up = s.length("height of the centre of gravity above the ground", answer.cg.z());
    let off = s.length("it may be off in height by", answer.cg_tolerance[2]);
    let mean = mean_height(s, task, pads);
    s.step(
        Kind::Length,
        "height of the centre above them, at most = height + off \u{2212} mean",
        format!("{up} + {off} \u{2212} {mean}"),
    )
}

/// Mean height of the pads' contacts.
pub(super) fn mean_height(s: &mut Sums, task: &Task<'_>, pads: &[Corner]) -> Num {
    let undersides: Vec<String> = pads
        .iter()
        .map(|c| {
            let area = task.scene.vehicle.lift_areas.get(task.pad(*c).area);
            let under = area.map_or(Length::ZERO, |a| a.underside);
            s.length(format!("{}: underside at the lifting area above the floor", corner_name(*c)), under).0
        })
        .collect();
    let n = pads.len();
    s.step(
        Kind::Length,
        format!("mean height of the contacts = sum of the undersides / {n}"),
        format!("({}) / {n}", undersides.join(" + ")),
    )
}

/// The normal of the line of the middles, turned.
fn turned(
    s: &mut Sums,
    [[ax, ay], [bx, by]]: [[&Num; 2]; 2],
    (signs, round): ([f64; 2], bool),
    disc: &Num,
    long: &Num,
) -> [Num; 2] {
    let plus = |v: f64| if v < 0.0 { "\u{2212}" } else { "+" };
    let lead = if signs[0] < 0.0 { "\u{2212}" } else { "" };
    let sine = s.step(
        Kind::Bare,
        format!("sine of its turn = ({lead}disc of a {} disc of b) / length", plus(signs[1])),
        format!("({lead}{disc} {} {disc}) / {long}", plus(signs[1])),
    );
    if round {
        s.note("The two pads are nearer each other than they may be off: the edge may point anywhere.");
    }
    let minus = if round { "\u{2212}" } else { "" };
    let cosine = s.step(
        Kind::Bare,
        format!("cosine of its turn = {minus}\u{221a}(1 \u{2212} sine\u{b2})"),
        format!("{minus}\u{221a}(1 \u{2212} ({sine})\u{b2})"),
    );
    [
        s.step(
            Kind::Bare,
            "normal ahead = (\u{2212}(b left \u{2212} a left) \u{d7} cosine \u{2212} (b ahead \u{2212} a ahead) \u{d7} sine) / length",
            format!("(\u{2212}({by} \u{2212} {ay}) \u{d7} {cosine} \u{2212} ({bx} \u{2212} {ax}) \u{d7} {sine}) / {long}"),
        ),
        s.step(
            Kind::Bare,
            "normal left = ((b ahead \u{2212} a ahead) \u{d7} cosine \u{2212} (b left \u{2212} a left) \u{d7} sine) / length",
            format!("(({bx} \u{2212} {ax}) \u{d7} {cosine} \u{2212} ({by} \u{2212} {ay}) \u{d7} {sine}) / {long}"),
        ),
    ]
}

/// The normal opposite a corner of the box seen from a pad.
fn seen(s: &mut Sums, [p, c, h]: [[&Num; 2]; 3], corner: [f64; 2]) -> [Num; 2] {
    let seen = [0, 1].map(|k| {
        let plus = if corner[k] < 0.0 { "\u{2212}" } else { "+" };
        s.step(
            Kind::Length,
            format!(
                "corner of the box seen from the pad, {} = pad \u{2212} centre {plus} off",
                ["ahead", "left"][k]
            ),
            format!("{} \u{2212} {} {plus} {}", p[k], c[k], h[k]),
        )
    });
    let size = s.step(
        Kind::Length,
        "its distance = \u{221a}(ahead\u{b2} + left\u{b2})",
        format!("\u{221a}(({})\u{b2} + ({})\u{b2})", seen[0], seen[1]),
    );
    [0, 1].map(|k| {
        s.step(
            Kind::Bare,
            format!("normal {0} = {0} / distance", ["ahead", "left"][k]),
            format!("{} / {size}", seen[k]),
        )
    })
}
