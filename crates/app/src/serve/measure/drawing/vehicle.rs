//! A vehicle from its left and from above, front to the left, both to one scale.

use planner::priors;
use planner::vehicle::{BodyClass, Outline};
use sheets::drawing::Style;
use sheets::drawing::silhouette;
use sheets::drawing::text::Anchor;

use super::{BELOW, Canvas, HIGH, LEFT, Length, Picture, RIGHT, TOP, WIDE, length, shown};
use crate::measuring::vehicle::class;
use crate::serve::measure::question::{Answers, chosen};

/// All lengths that are drawn.
struct Shape {
    class: BodyClass,
    base: Length,
    front: Length,
    rear: Length,
    width: Length,
    roof: Length,
    sill: Length,
    tyre: Length,
    tyre_width: Length,
    tracks: [Length; 2],
    /// Behind the front hub and left of the middle, front and rear.
    points: [[Length; 2]; 2],
    /// Where each begins and ends behind the front hub, its inner and outer edge left of the middle.
    bounds: [[Length; 4]; 2],
    undersides: [Length; 2],
}

impl Shape {
    fn of(answers: &Answers) -> Self {
        let class = chosen(answers, "class").and_then(class).unwrap_or(BodyClass::Hatchback);
        let body = priors::body(class);
        let usual = |range: priors::Range| range.middle().to_metres();
        let get = |key: &str, usual: f64| length(answers, key, usual);
        let base = get("wheelbase", if class == BodyClass::Van { 3.2 } else { 2.6 });
        let front = get("outline.front_overhang", usual(body.front_overhang));
        let usual_rear = usual(body.rear_overhang);
        let whole = get("outline.length", base.metres + front.metres + usual_rear);
        let rear =
            Length { metres: (whole.metres - base.metres - front.metres).max(0.3), known: whole.known };
        let half = usual(body.width) / 2.0;
        let point =
            |end: &str, aft: f64| [get(&format!("{end}.aft"), aft), get(&format!("{end}.left"), half * 0.82)];
        let bounds = |end: &str, aft: f64| {
            let middle = get(&format!("{end}.aft"), aft).metres;
            let at = |key: &str, usual: f64| get(&format!("{end}.{key}"), usual);
            let out = get(&format!("{end}.left"), half * 0.82).metres;
            [
                at("begins", middle - 0.1),
                at("ends", middle + 0.1),
                at("inner", out - 0.03),
                at("outer", out + 0.03),
            ]
        };
        let underside = |end: &str| get(&format!("{end}.underside"), usual(body.underside));
        let tyre = get("wheels.tyre_diameter", usual(body.tyre_diameter));
        Self {
            class,
            base,
            front,
            rear,
            width: get("outline.width", half * 2.0),
            roof: get("outline.roof", usual(body.roof)),
            sill: get("sill_height", usual(body.sill)),
            tyre: Length { metres: tyre.metres.min(1.1), ..tyre },
            tyre_width: get("wheels.tyre_width", usual(body.tyre_width)),
            tracks: ["wheels.track_front", "wheels.track_rear"].map(|key| get(key, usual(body.track))),
            points: [point("front", base.metres * 0.2), point("rear", base.metres * 0.8)],
            bounds: [bounds("front", base.metres * 0.2), bounds("rear", base.metres * 0.8)],
            undersides: ["front", "rear"].map(underside),
        }
    }
}

pub(super) fn picture(answers: &Answers, key: &str) -> Picture {
    let s = Shape::of(answers);
    let whole = s.front.metres + s.base.metres + s.rear.metres;
    let mirrors = length(answers, "outline.mirror_width", s.width.metres + 0.2);
    let half =
        s.width.metres.max(if key == "outline.mirror_width" || mirrors.known { mirrors.metres } else { 0.0 })
            / 2.0;
    let up = [s.roof, s.tyre, s.sill, s.undersides[0], s.undersides[1], length(answers, "cg_height", 0.5)];
    let up = up.iter().map(|l| l.metres).fold(0.8, f64::max);
    let beside = s.tracks.map(|track| f64::midpoint(track.metres, s.tyre_width.metres));
    let half = beside.into_iter().chain(s.points.map(|[_, left]| left.metres + 0.1)).fold(half, f64::max);
    let scale = ((WIDE - LEFT - RIGHT) / whole).min((HIGH - TOP - 2.0 * BELOW) / (up + 2.0 * half));
    let ground = TOP + up * scale;
    let middle = ground + BELOW + half * scale;
    let bottom = middle + half * scale;
    let x = |aft: f64| LEFT + (s.front.metres + aft) * scale;
    let side = |aft: f64, up: f64| [x(aft), ground - up * scale];
    let plan = |aft: f64, left: f64| [x(aft), middle + left * scale];
    let mut c = Canvas::default();
    from_the_left(&mut c, &s, side, scale);
    from_above(&mut c, &s, answers, plan, scale);
    c.say([LEFT, TOP - 2.6], Anchor::Start, false, "front");
    dimension(&mut c, &s, answers, key, (side, plan), (ground + 4.0, bottom + 4.0));
    c.into_picture(bottom + BELOW)
}

fn from_the_left(c: &mut Canvas, s: &Shape, side: impl Fn(f64, f64) -> [f64; 2], scale: f64) {
    let m = |l: Length| statics::Length::metres(l.metres);
    let outline = Outline {
        front_overhang: m(s.front),
        rear_overhang: m(s.rear),
        width: m(s.width),
        roof: m(s.roof),
        mirrors: None,
    };
    let [body, glass] = silhouette::side(s.class, m(s.base), &outline, m(s.tyre), m(s.sill));
    let place = |line: Vec<[f64; 2]>| line.into_iter().map(|[aft, up]| side(aft, up)).collect::<Vec<_>>();
    let known = s.base.known && (s.roof.known || s.front.known || s.rear.known);
    c.area(&place(body), if known { Style::Body } else { Style::NotMeasured });
    c.area(&place(glass), if known { Style::Glass } else { Style::NotMeasured });
    let radius = s.tyre.metres / 2.0;
    for hub in [0.0, s.base.metres] {
        c.circle(side(hub, radius), radius * scale, s.tyre.style(Style::Tyre));
        c.circle(side(hub, radius), 1.0, s.base.style(Style::Arrow));
    }
    c.line(
        &[
            [side(-s.front.metres, 0.0)[0] - 2.0, side(0.0, 0.0)[1]],
            [side(s.base.metres + s.rear.metres, 0.0)[0] + 2.0, side(0.0, 0.0)[1]],
        ],
        Style::Ground,
    );
}

fn from_above(c: &mut Canvas, s: &Shape, answers: &Answers, plan: impl Fn(f64, f64) -> [f64; 2], scale: f64) {
    let (front, rear, half) = (-s.front.metres, s.base.metres + s.rear.metres, s.width.metres / 2.0);
    // A round nose and a flatter tail: which end is which shows without a word.
    let body: Vec<[f64; 2]> = [
        (front + 0.28, -half),
        (rear - 0.12, -half),
        (rear, -half * 0.86),
        (rear, half * 0.86),
        (rear - 0.12, half),
        (front + 0.28, half),
        (front + 0.06, half * 0.72),
        (front, half * 0.3),
        (front, -half * 0.3),
        (front + 0.06, -half * 0.72),
    ]
    .map(|(aft, left)| plan(aft, left))
    .to_vec();
    c.area(&body, s.width.style(Style::Body));
    for (axle, track) in [0.0, s.base.metres].into_iter().zip(s.tracks) {
        for way in [-1.0, 1.0] {
            let at = way * track.metres / 2.0;
            let (long, wide) = (s.tyre.metres / 2.0, s.tyre_width.metres / 2.0);
            c.rectangle(plan(axle - long, at - wide), plan(axle + long, at + wide), track.style(Style::Tyre));
        }
    }
    c.line(&[plan(front - 0.1, 0.0), plan(rear + 0.1, 0.0)], Style::Axis);
    let mirrors = length(answers, "outline.mirror_width", s.width.metres);
    if mirrors.known {
        let at = length(answers, "outline.mirror_aft", 0.0);
        for way in [-1.0, 1.0] {
            c.rectangle(
                plan(at.metres - 0.06, way * half),
                plan(at.metres + 0.06, way * mirrors.metres / 2.0),
                Style::Wheel,
            );
        }
    }
    for bounds in s.bounds.iter().filter(|bounds| bounds.iter().any(|bound| bound.known)) {
        let known = Length { metres: 0.0, known: bounds.iter().all(|bound| bound.known) };
        let [begins, ends, inner, outer] = bounds.map(|bound| bound.metres);
        for way in [1.0, -1.0] {
            c.rectangle(plan(begins, way * inner), plan(ends, way * outer), known.style(Style::LiftArea));
        }
    }
    for [aft, left] in s.points {
        let known = Length { metres: 0.0, known: aft.known && left.known };
        for way in [1.0, -1.0] {
            c.circle(plan(aft.metres, way * left.metres), (0.06 * scale).max(1.1), known.style(Style::Pad));
        }
    }
}

/// The one that is asked for.
fn dimension(
    c: &mut Canvas,
    s: &Shape,
    answers: &Answers,
    key: &str,
    (side, plan): (impl Fn(f64, f64) -> [f64; 2], impl Fn(f64, f64) -> [f64; 2]),
    (under, below): (f64, f64),
) {
    let says = shown(answers, key);
    let right = side(s.base.metres + s.rear.metres, 0.0)[0] + 3.0;
    let (base, radius, front) = (s.base.metres, s.tyre.metres / 2.0, -s.front.metres);
    let tail = base + s.rear.metres;
    let [points_front, points_rear] = s.points.map(|p| p.map(|l| l.metres));
    let across = |c: &mut Canvas, aft: f64, least: f64, most: f64| {
        c.upright(plan(aft, least), plan(aft, most), right, &says);
    };
    let up = |c: &mut Canvas, aft: f64, least: f64, most: f64| {
        c.upright(side(aft, least), side(aft, most), right, &says);
    };
    let on_scale = |c: &mut Canvas, hubs: &[f64]| {
        for hub in hubs {
            let [x, y] = side(*hub, 0.0);
            c.rectangle([x - 5.0, y + 0.8], [x + 5.0, y + 2.4], Style::Arrow);
            c.area(&[[x, y + 2.4], [x - 2.2, y + 6.0], [x + 2.2, y + 6.0]], Style::Arrow);
        }
        if let [hub, ..] = hubs {
            let [x, y] = side(*hub, 0.0);
            c.say([x + 7.0, y + 5.4], Anchor::Start, true, &says);
        }
    };
    match key {
        "wheelbase" | "wheelbase_right" => c.level(side(0.0, radius), side(base, radius), under, &says),
        "outline.front_overhang" => c.level(side(front, s.sill.metres), side(0.0, radius), under, &says),
        "outline.length" => c.level(plan(front, 0.0), plan(tail, 0.0), below, &says),
        "outline.width" => across(c, base, -s.width.metres / 2.0, s.width.metres / 2.0),
        "outline.roof" => up(c, base * 0.7, 0.0, s.roof.metres),
        "outline.mirror_width" | "mirrors.looked" => {
            let half = length(answers, "outline.mirror_width", s.width.metres + 0.2).metres / 2.0;
            across(c, length(answers, "outline.mirror_aft", 0.5).metres, -half, half);
        }
        "outline.mirror_aft" => {
            let half = length(answers, "outline.mirror_width", s.width.metres).metres / 2.0;
            c.level(plan(0.0, 0.0), plan(length(answers, key, 0.5).metres, half), below, &says);
        }
        "front.aft" => c.level(plan(0.0, 0.0), plan(points_front[0], points_front[1]), below, &says),
        "rear.aft" => c.level(plan(0.0, 0.0), plan(points_rear[0], points_rear[1]), below, &says),
        "front.left" => across(c, points_front[0], 0.0, points_front[1]),
        "rear.left" => across(c, points_rear[0], 0.0, points_rear[1]),
        "front.begins" | "front.ends" | "rear.begins" | "rear.ends" => {
            let (end, left) =
                if key.starts_with("front") { (0, points_front[1]) } else { (1, points_rear[1]) };
            let aft = s.bounds[end][usize::from(key.ends_with("ends"))].metres;
            c.level(plan(0.0, 0.0), plan(aft, left), below, &says);
        }
        "front.inner" | "front.outer" | "rear.inner" | "rear.outer" => {
            let (end, aft) =
                if key.starts_with("front") { (0, points_front[0]) } else { (1, points_rear[0]) };
            let edge = s.bounds[end][2 + usize::from(key.ends_with("outer"))].metres;
            across(c, aft, 0.0, edge);
        }
        "front.underside" => up(c, points_front[0], 0.0, s.undersides[0].metres),
        "rear.underside" => up(c, points_rear[0], 0.0, s.undersides[1].metres),
        "sill_height" => up(c, base / 2.0, 0.0, s.sill.metres),
        "droop" => up(c, base, radius - length(answers, key, 0.1).metres, radius),
        "cg_height" => up(c, base * 0.4, 0.0, length(answers, key, s.roof.metres * 0.38).metres),
        "wheels.track_front" => across(c, 0.0, -s.tracks[0].metres / 2.0, s.tracks[0].metres / 2.0),
        "wheels.track_rear" => across(c, base, -s.tracks[1].metres / 2.0, s.tracks[1].metres / 2.0),
        "wheels.tyre_diameter" => up(c, base, 0.0, s.tyre.metres),
        "wheels.tyre_width" => {
            let [track, half] = [s.tracks[1].metres / 2.0, s.tyre_width.metres / 2.0];
            across(c, base, track - half, track + half);
        }
        "weight.total" | "weight.way" => on_scale(c, &[0.0, base]),
        "weight.front_axle" | "weight.front_left" | "weight.front_right" | "weight.front_share" => {
            on_scale(c, &[0.0])
        }
        "weight.rear_axle" | "weight.rear_left" | "weight.rear_right" => on_scale(c, &[base]),
        _ => {}
    }
}
