//! A lift from above, from the front, and one pad close by.

use sheets::drawing::Style;
use sheets::drawing::text::Anchor;
use statics::{Angle, Length as Metres};

use super::{At, BELOW, Canvas, HIGH, LEFT, Length, Picture, RIGHT, TOP, WIDE, length, shown, si};
use crate::input::quantity::{Quantity, parse};
use crate::serve::measure::question::{Answers, Said, chosen, list, said};

/// The arm that a key names, and what of it.
fn arm_of(key: &str) -> Option<(&str, &str)> {
    key.strip_prefix("arms.")?.split_once('.')
}

pub(super) fn picture(answers: &Answers, key: &str) -> Picture {
    match (key, arm_of(key).map(|arm| arm.1)) {
        ("headroom" | "rise.locks" | "rise.most" | "rated", _) => from_the_front(answers, key),
        (_, Some("beam_width" | "beam_top" | "rated")) => close_by(answers, key),
        _ if key.starts_with("pads.") => close_by(answers, key),
        _ => from_above(answers, key),
    }
}

/// One arm as it is drawn: bay axes, metres ahead and to the left.
struct Arm {
    pivot: [f64; 2],
    /// Its angle from straight ahead or behind, inwards positive.
    turn: f64,
    reach: [Length; 2],
    width: f64,
    known: bool,
    /// Whether its pin was measured.
    pinned: bool,
    front: bool,
    left: bool,
}

/// Where a group's dimensions stand: what is alike is asked once.
fn asked_group<'a>(answers: &Answers, arm: &'a str) -> (&'a str, bool) {
    let (front, own) = (arm.starts_with("front"), if arm.starts_with("front") { "front" } else { "rear" });
    match chosen(answers, "arms.alike") {
        Some("none") => (arm, false),
        Some("pairs") => (own, false),
        _ => ("front", !front),
    }
}

impl Arm {
    fn of(answers: &Answers, name: &str) -> Self {
        let (group, mirrored) = asked_group(answers, name);
        let get = |what: &str, usual: f64| length(answers, &format!("arms.{group}.{what}"), usual);
        let (front, left) = (name.starts_with("front"), name.ends_with("left"));
        let ahead = match said(answers, &format!("arms.{group}.pivot")) {
            Said::Answer(answer) => answer.get("way").is_none_or(|way| way == "ahead") != mirrored,
            _ => front,
        };
        let inside = length(answers, "columns.inside", 2.8).metres;
        let (x, out) = (get("pivot", 0.25), get("pivot_out", inside / 2.0 - 0.12));
        let reach = [get("reach_in", 0.58), get("reach_out", 1.1)];
        let angle = |what: &str, usual: f64| {
            si(answers, &format!("arms.{group}.{what}"), Angle::KIND).unwrap_or(usual)
        };
        let (from, to) = (angle("swing_from", 0.0), angle("swing_to", 1.75));
        Self {
            pivot: [if ahead { x.metres } else { -x.metres }, if left { out.metres } else { -out.metres }],
            turn: if from < to { 0.75_f64.clamp(from, to) } else { 0.75 },
            width: get("beam_width", 0.12).metres,
            pinned: x.known && out.known,
            known: reach.iter().all(|r| r.known) && out.known,
            reach,
            front,
            left,
        }
    }

    /// From the pin, so far along the arm at that angle.
    fn at(&self, turn: f64, far: f64) -> [f64; 2] {
        let (sin, cos) = turn.sin_cos();
        let (ahead, inwards) = (if self.front { cos } else { -cos }, if self.left { -sin } else { sin });
        [self.pivot[0] + far * ahead, self.pivot[1] + far * inwards]
    }
}

fn from_above(answers: &Answers, key: &str) -> Picture {
    let inside = length(answers, "columns.inside", 2.8);
    let faces =
        ["columns.front_face_ahead", "columns.rear_face_behind"].map(|key| length(answers, key, 0.15));
    let ends = ["bay.ahead", "bay.behind"].map(|key| length(answers, key, 3.5));
    let arms = ["front_left", "front_right", "rear_left", "rear_right"].map(|name| Arm::of(answers, name));
    let half = inside.metres / 2.0 + 0.34;
    let reach = arms
        .iter()
        .map(|arm| arm.pivot[0].abs() + arm.reach[0].metres.max(arm.reach[1].metres) + 0.3)
        .fold(0.9, f64::max);
    let mark = key.starts_with("plate").then(|| marks(answers));
    let far = |end: usize, asked: &str| {
        // Only where the bay itself is looked at: else its walls would make the arms small.
        let wall =
            if key == asked || key.is_empty() && ends[end].known { ends[end].metres + 0.05 } else { 0.0 };
        let most =
            mark.iter().flatten().fold(0.0, |far: f64, x| far.max(if end == 0 { *x } else { -x } + 0.4));
        reach.max(wall).max(most)
    };
    let (ahead, behind) = (far(0, "bay.ahead"), far(1, "bay.behind"));
    let scale = ((WIDE - LEFT - RIGHT) / (2.0 * half)).min((HIGH - TOP - BELOW) / (ahead + behind));
    let middle = LEFT + (WIDE - LEFT - RIGHT) / 2.0;
    let line = TOP + ahead * scale;
    let place = |[x, y]: [f64; 2]| [middle - y * scale, line - x * scale];
    let bottom = line + behind * scale;
    let right = middle + half * scale + 3.0;
    let mut c = Canvas::default();
    c.say([middle, TOP - 2.4], Anchor::Middle, false, "ahead");
    for (end, (way, drawn)) in ends.iter().zip([(1.0, ahead), (-1.0, behind)]) {
        if end.known && end.metres < drawn {
            c.line(&[place([way * end.metres, half]), place([way * end.metres, -half])], Style::Ground);
        }
    }
    for way in [1.0, -1.0] {
        let [front, rear] = faces.map(|face| face.metres);
        let (inner, outer) = (way * inside.metres / 2.0, way * half);
        c.rectangle(place([front, inner]), place([-rear, outer]), inside.style(Style::Column));
    }
    c.line(&[place([0.0, half]), place([0.0, -half])], Style::Axis);
    c.line(&[place([ahead, 0.0]), place([-behind, 0.0])], Style::Axis);
    let asked = arm_of(key).map(|(group, what)| (group.to_owned(), what));
    let pad = length(answers, "pads.diameter", 0.12);
    for arm in &arms {
        let own = asked.as_ref().is_some_and(|(group, _)| is_asked(arm, group));
        let turn = match (own, asked.as_ref().map(|a| a.1)) {
            (true, Some("swing_from")) => stop(answers, key, 0.0),
            (true, Some("swing_to")) => stop(answers, key, 1.75),
            _ => arm.turn,
        };
        let far = match (own, asked.as_ref().map(|a| a.1)) {
            (true, Some("reach_in")) => arm.reach[0].metres,
            (true, Some("reach_out")) => arm.reach[1].metres,
            _ => f64::midpoint(arm.reach[0].metres, arm.reach[1].metres),
        };
        draw_arm(&mut c, arm, (turn, far), &place, scale, pad);
    }
    let says = shown(answers, key);
    let upright =
        |c: &mut Canvas, from: [f64; 2], to: [f64; 2]| c.upright(place(from), place(to), right, &says);
    let level =
        |c: &mut Canvas, from: [f64; 2], to: [f64; 2]| c.level(place(from), place(to), bottom + 3.0, &says);
    match key {
        "columns.inside" => level(&mut c, [0.0, inside.metres / 2.0], [0.0, -inside.metres / 2.0]),
        "columns.front_face_ahead" => upright(&mut c, [0.0, -half], [faces[0].metres, -half]),
        "columns.rear_face_behind" => upright(&mut c, [0.0, -half], [-faces[1].metres, -half]),
        "bay.ahead" => upright(&mut c, [0.0, -half], [ends[0].metres, -half]),
        "bay.behind" => upright(&mut c, [0.0, -half], [-ends[1].metres, -half]),
        _ => {}
    }
    for (k, x) in mark.iter().flatten().enumerate() {
        for way in [1.0, -1.0] {
            c.rectangle(place([x + 0.3, way * 0.65]), place([x - 0.3, way * 0.85]), Style::Tyre);
        }
        if key == "plate.bands" && k == 0 {
            c.asked(
                [place([0.0, -half])[0] + 3.0, place([0.0, 0.0])[1]],
                [place([*x, -half])[0] + 3.0, place([*x, 0.0])[1]],
            );
        }
    }
    if let Some((group, what)) = &asked {
        // The one on the right: nearest to where its figures stand.
        let own =
            arms.iter().rev().find(|arm| is_asked(arm, group) && (arm.front || group.starts_with("rear")));
        if let Some(arm) = own {
            of_arm(&mut c, answers, key, what, arm, (&place, scale), (right, bottom, &says));
        }
    }
    c.into_picture(bottom + BELOW)
}

/// Whether an arm belongs to what is asked for.
fn is_asked(arm: &Arm, group: &str) -> bool {
    let end = group.starts_with("front") == arm.front;
    let side = if group.ends_with("left") { arm.left } else { !group.ends_with("right") || !arm.left };
    end && side
}

fn stop(answers: &Answers, key: &str, usual: f64) -> f64 {
    si(answers, key, Angle::KIND).unwrap_or(usual).clamp(-1.2, 3.2)
}

fn draw_arm(
    c: &mut Canvas,
    arm: &Arm,
    (turn, far): (f64, f64),
    place: &impl Fn([f64; 2]) -> At,
    scale: f64,
    pad: Length,
) {
    let (pin, end) = (place(arm.pivot), place(arm.at(turn, far)));
    let apart = (end[0] - pin[0]).hypot(end[1] - pin[1]).max(0.1);
    let half = arm.width / 2.0 * scale;
    let [nx, ny] = [-(end[1] - pin[1]) / apart * half, (end[0] - pin[0]) / apart * half];
    let style = if arm.known { Style::Arm } else { Style::NotMeasured };
    let corners = [
        [pin[0] + nx, pin[1] + ny],
        [end[0] + nx, end[1] + ny],
        [end[0] - nx, end[1] - ny],
        [pin[0] - nx, pin[1] - ny],
    ];
    c.area(&corners, style);
    c.circle(
        end,
        pad.metres / 2.0 * scale,
        if arm.known { pad.style(Style::Pad) } else { Style::NotMeasured },
    );
    c.circle(pin, 1.0, style_of_pin(arm));
}

const fn style_of_pin(arm: &Arm) -> Style {
    if arm.pinned { Style::Arrow } else { Style::NotMeasured }
}

/// The dimension of an arm that is asked for.
fn of_arm(
    c: &mut Canvas,
    answers: &Answers,
    key: &str,
    what: &str,
    arm: &Arm,
    (place, scale): (&impl Fn([f64; 2]) -> At, f64),
    (right, bottom, says): (f64, f64, &str),
) {
    let [x, y] = arm.pivot;
    match what {
        "pivot" => c.upright(place([0.0, y]), place([x, y]), right, says),
        "pivot_out" => c.level(place([0.0, 0.0]), place([x, y]), bottom + 3.0, says),
        "reach_in" => c.asked(place(arm.pivot), place(arm.at(arm.turn, arm.reach[0].metres))),
        "reach_out" => c.asked(place(arm.pivot), place(arm.at(arm.turn, arm.reach[1].metres))),
        "swing_from" | "swing_to" | "tooth_steps" => {
            let far = f64::midpoint(arm.reach[0].metres, arm.reach[1].metres);
            let (from, to) = match what {
                "swing_from" => (0.0, stop(answers, key, 0.0)),
                "swing_to" => (0.0, stop(answers, key, 1.75)),
                _ => {
                    let own = key.trim_end_matches("tooth_steps");
                    (
                        stop(answers, &format!("{own}swing_from"), 0.0),
                        stop(answers, &format!("{own}swing_to"), 1.75),
                    )
                }
            };
            c.line(&[place(arm.pivot), place(arm.at(0.0, far + 0.25))], Style::Axis);
            let step = |k: u32| place(arm.at(from + (to - from) * f64::from(k) / 24.0, far + 0.17));
            let arc: Vec<At> = (0..=24).map(step).collect();
            c.line(&arc, Style::Asked);
            if let (Some(tip), Some(before)) = (arc.last(), arc.get(22))
                && (to - from).abs() * scale > 2.0
            {
                head(c, *before, *tip);
            }
        }
        _ => {}
    }
}

/// A head at the end of a curve.
fn head(c: &mut Canvas, before: At, tip: At) {
    let apart = (tip[0] - before[0]).hypot(tip[1] - before[1]).max(0.01);
    let [ux, uy] = [(tip[0] - before[0]) / apart, (tip[1] - before[1]) / apart];
    let back = [tip[0] - ux * 1.4, tip[1] - uy * 1.4];
    let tip = [tip[0] + ux * 1.4, tip[1] + uy * 1.4];
    c.area(
        &[tip, [back[0] - uy * 1.1, back[1] + ux * 1.1], [back[0] + uy * 1.1, back[1] - ux * 1.1]],
        Style::Arrow,
    );
}

/// Where the marks of the plate are, ahead of the column line.
fn marks(answers: &Answers) -> Vec<f64> {
    let Said::Answer(answer) = said(answers, "plate.bands") else { return vec![1.2] };
    let unit = answer.get("unit").map(String::as_str);
    (0..5)
        .filter_map(|row| {
            let text = answer.get(&format!("r{row}c2"))?;
            let read =
                parse::<Metres>(&crate::serve::measure::question::with_unit(text.trim(), unit)).ok()?;
            let way = answer.get(&format!("r{row}c3")).is_some_and(|way| way == "behind");
            let x = read.value.to_metres().clamp(-3.0, 3.0);
            Some(if way { -x } else { x })
        })
        .collect()
}

fn from_the_front(answers: &Answers, key: &str) -> Picture {
    let inside = length(answers, "columns.inside", 2.8);
    let headroom = length(answers, "headroom", 3.9);
    let most = length(answers, "rise.most", 1.85);
    let tall = (most.metres + 0.6).max(2.4).min(headroom.metres - 0.1);
    let half = inside.metres / 2.0 + 0.34;
    let scale = ((WIDE - LEFT - RIGHT) / (2.0 * half)).min((HIGH - TOP - 4.0) / headroom.metres);
    let middle = LEFT + (WIDE - LEFT - RIGHT) / 2.0;
    let floor = TOP + headroom.metres * scale;
    let place = |y: f64, up: f64| [middle - y * scale, floor - up * scale];
    let right = middle + half * scale + 3.0;
    let mut c = Canvas::default();
    c.line(&[place(half + 0.1, 0.0), place(-half - 0.1, 0.0)], Style::Ground);
    c.line(
        &[place(half + 0.1, headroom.metres), place(-half - 0.1, headroom.metres)],
        headroom.style(Style::Ground),
    );
    for way in [1.0, -1.0] {
        c.rectangle(
            place(way * inside.metres / 2.0, 0.0),
            place(way * half, tall),
            inside.style(Style::Column),
        );
        // The carriage, and the arm that it carries.
        let (inner, face) = (way * (inside.metres / 2.0 - 0.08), way * inside.metres / 2.0);
        c.rectangle(place(inner, 0.08), place(face, 0.5), Style::Arm);
        c.rectangle(place(way * 0.7, 0.05), place(inner, 0.1), Style::Arm);
    }
    let locks: Vec<f64> = match said(answers, "rise.locks") {
        Said::Answer(answer) => list(answer)
            .iter()
            .filter_map(|text| Some(parse::<Metres>(text).ok()?.value.to_metres().clamp(0.0, 3.0)))
            .collect(),
        _ => vec![],
    };
    let (edge, start) = (-inside.metres / 2.0, 0.5);
    for lock in &locks {
        c.line(&[place(edge, start + lock), place(edge - 0.16, start + lock)], Style::Asked);
    }
    let says = shown(answers, key);
    match key {
        "headroom" => c.upright(place(-half, 0.0), place(-half, headroom.metres), right, &says),
        "rise.most" => c.upright(place(edge, start), place(edge, start + most.metres), right, &says),
        "rise.locks" => {
            let to = locks.last().copied().unwrap_or(0.4);
            let count = if locks.is_empty() { "?".into() } else { format!("{} locks", locks.len()) };
            c.upright(place(edge, start), place(edge, start + to), right, &count);
        }
        _ => {}
    }
    c.into_picture(floor + 4.0)
}

/// The end of an arm with its pad: from above, and from the side on the floor.
fn close_by(answers: &Answers, key: &str) -> Picture {
    let group = arm_of(key).map_or("front", |arm| arm.0).to_owned();
    let beam = ["beam_width", "beam_top"].map(|what| length(answers, &format!("arms.{group}.{what}"), 0.11));
    let pad = length(answers, "pads.diameter", 0.12);
    let lowest = length(answers, "pads.lowest", 0.11);
    let travel = length(answers, "pads.travel", 0.05);
    let room = WIDE - LEFT - RIGHT;
    let high = (lowest.metres + travel.metres + 0.05).max(beam[1].metres + 0.02);
    let scale = (room / 0.5).min(48.0 / high);
    let (mid, far) = (LEFT + 0.36 * room, LEFT + room);
    let radius = (pad.metres.max(beam[0].metres) / 2.0 * scale).max(8.0);
    let axis = TOP + radius;
    let floor = axis + radius + 6.0 + high * scale;
    let mut c = Canvas::default();
    c.say([LEFT, TOP - 2.6], Anchor::Start, false, "from above");
    let half = beam[0].metres / 2.0 * scale;
    c.rectangle([LEFT, axis - half], [mid + 0.2 * room, axis + half], beam[0].style(Style::Arm));
    let centre = [mid + 0.2 * room, axis];
    c.circle(centre, pad.metres / 2.0 * scale, pad.style(Style::Pad));
    let up = |metres: f64| floor - metres * scale;
    c.rectangle(
        [LEFT, up(beam[1].metres)],
        [mid + 0.2 * room, up((beam[1].metres - 0.06).max(0.01))],
        beam[1].style(Style::Arm),
    );
    let disc = pad.metres / 2.0 * scale;
    let thick = 0.018;
    let plate = |c: &mut Canvas, top: f64, style: Style| {
        c.rectangle([centre[0] - disc, up(top)], [centre[0] + disc, up(top - thick)], style);
    };
    c.rectangle(
        [centre[0] - disc * 0.35, up(lowest.metres - thick)],
        [centre[0] + disc * 0.35, up(0.02)],
        lowest.style(Style::Arm),
    );
    plate(&mut c, lowest.metres, lowest.style(Style::Pad));
    if travel.known || key == "pads.travel" {
        plate(&mut c, lowest.metres + travel.metres, Style::NotMeasured);
    }
    c.line(&[[LEFT, floor], [far, floor]], Style::Ground);
    let (says, right) = (shown(answers, key), far + 3.0);
    match key {
        "pads.diameter" => c.upright([centre[0], axis - disc], [centre[0], axis + disc], right, &says),
        "pads.lowest" => {
            c.upright([centre[0] + disc, floor], [centre[0] + disc, up(lowest.metres)], right, &says)
        }
        "pads.travel" => {
            let x = centre[0] + disc;
            c.upright([x, up(lowest.metres)], [x, up(lowest.metres + travel.metres)], right, &says);
        }
        _ if key.ends_with("beam_width") => c.upright([mid, axis - half], [mid, axis + half], right, &says),
        _ if key.ends_with("beam_top") => c.upright([mid, floor], [mid, up(beam[1].metres)], right, &says),
        _ => {}
    }
    c.into_picture(floor + 3.0)
}
