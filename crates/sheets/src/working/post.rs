//! How the load on a stand changes of itself: a post under a body on springs.

use planner::account::{Came, Model, StandChange, Whose};
use planner::lift::Corner;
use planner::plan::Standing;
use statics::Length;

use super::demand::Task;
use super::edge::{IN_BAY, pad};
use super::springs::{Springs, springs, stiffness};
use super::steps::{Kind, Num, Sums};

/// A stand: how far it is from the centre of the stiffness, and the slopes that a weight of one on it gives the body.
struct Post {
    away: [Num; 2],
    slopes: [Num; 2],
    sinks: Num,
}

/// The greatest change of the load on a stand, to more or to less.
pub(super) fn change(s: &mut Sums, task: &Task<'_>, standing: &Standing, more: bool) {
    let scene = task.scene;
    let Some(of) = task.accounts.stand_change(scene.plan, more) else { return };
    let state = scene.plan.states.get(of.state).map_or("", |s| s.name.as_str());
    let others = match (of.other.is_some(), standing.places.len()) {
        (_, 1) => "",
        (true, 2) => " So does the other stand.",
        (true, _) => " So does one other stand; the rest give way without end.",
        (false, _) => " The other stands give way without end.",
    };
    s.note(format!(
        "Any stiffness of a stand is covered, from none to rigid, and any of the arms within its range: the load changes most, \
         to {}, in state \"{state}\", with stiffnesses as here, and the stand gives way not at all.{others}",
        if more { "more" } else { "less" }
    ));
    let at = Corner::ALL.map(|c| pad(s, task, c));
    let k = Corner::ALL.map(|c| {
        let bend = of.bends[c.index()];
        stiffness(s, task, bend, (Model::SOFTEST_ARM, ", at the least"))[c.index()].clone()
    });
    let f = springs(s, &k, &at);
    let own = post(s, task, standing, &of, of.stand, &f);
    let share = shares(s, task, standing, &of, &own, &f);
    let terms: Vec<String> = of.changes.iter().map(|came| term(s, task, came, &share, &f, more)).collect();
    s.step(
        Kind::Mass,
        "change of the load = sum of part \u{d7} mass, each with what it may be off at its worst",
        terms.join(" + "),
    );
}

fn post(s: &mut Sums, task: &Task<'_>, standing: &Standing, of: &StandChange, k: usize, f: &Springs) -> Post {
    let place = standing.places.get(k).and_then(|p| task.scene.vehicle.stand_places.get(*p));
    let name = place.map_or("", |p| p.name.as_str());
    let stand = if standing.places.len() == 1 { "stand".into() } else { format!("stand under \"{name}\"") };
    let stands = place.map_or([0.0; 2], |p| task.scene.plan.placement.to_bay(p.at).to_metres());
    let away = [0, 1].map(|axis| {
        let at = s.length(format!("stand under \"{name}\", {}", IN_BAY[axis]), Length::metres(stands[axis]));
        let off =
            s.length(format!("it stands off that, {}, by", ["ahead", "to the left"][axis]), of.off[axis]);
        s.step(
            Kind::Length,
            format!("{stand}: {} = place + off \u{2212} centre of the stiffness", ["ex", "ey"][axis]),
            format!("{at} + {off} \u{2212} {}", f.middle[axis]),
        )
    });
    let slopes = [
        s.step(
            Kind::PerLength,
            format!("{stand}: u = (ex \u{2212} p \u{d7} ey) / Ex"),
            format!("({} \u{2212} {} \u{d7} {}) / {}", away[0], f.skew[0], away[1], f.spread[0]),
        ),
        s.step(
            Kind::PerLength,
            format!("{stand}: v = (ey \u{2212} q \u{d7} ex) / Ey"),
            format!("({} \u{2212} {} \u{d7} {}) / {}", away[1], f.skew[1], away[0], f.spread[1]),
        ),
    ];
    let sinks = s.step(
        Kind::Bare,
        format!("{stand}: what the body sinks there under a weight there = 1 + u \u{d7} ex + v \u{d7} ey"),
        format!("1 + {} \u{d7} {} + {} \u{d7} {}", slopes[0], away[0], slopes[1], away[1]),
    );
    Post { away, slopes, sinks }
}

/// The part of a weight that the stand takes: at the centre of the stiffness, and more for each length ahead and left.
fn shares(
    s: &mut Sums,
    task: &Task<'_>,
    standing: &Standing,
    of: &StandChange,
    own: &Post,
    f: &Springs,
) -> [Num; 3] {
    let [u, v] = &own.slopes;
    let Some(other) = of.other else {
        s.note("A post takes so much of a weight that the body does not sink on it.");
        return [
            s.step(Kind::Bare, "c = 1 / what it sinks", format!("1 / {}", own.sinks)),
            s.step(Kind::PerLength, "a = u / what it sinks", format!("{u} / {}", own.sinks)),
            s.step(Kind::PerLength, "b = v / what it sinks", format!("{v} / {}", own.sinks)),
        ];
    };
    let other = post(s, task, standing, of, other, f);
    s.note("Two posts take so much of a weight that the body sinks on neither.");
    let cross = s.step(
        Kind::Bare,
        "what the body sinks at the other under a weight at this one = 1 + u \u{d7} ex + v \u{d7} ey of the other",
        format!("1 + {u} \u{d7} {} + {v} \u{d7} {}", other.away[0], other.away[1]),
    );
    let (one, two) = (&own.sinks, &other.sinks);
    let both = s.step(
        Kind::Bare,
        "D = what it sinks \u{d7} what the other sinks \u{2212} that\u{b2}",
        format!("{one} \u{d7} {two} \u{2212} {cross}\u{b2}"),
    );
    let mut part = |kind: Kind, name: &str, [a, b]: [&str; 2]| {
        s.step(
            kind,
            format!("{name} = (of this one \u{d7} what the other sinks \u{2212} of the other \u{d7} what both share) / D"),
            format!("({a} \u{d7} {two} \u{2212} {b} \u{d7} {cross}) / {both}"),
        )
    };
    [
        part(Kind::Bare, "c", ["1", "1"]),
        part(Kind::PerLength, "a", [&u.0, &other.slopes[0].0]),
        part(Kind::PerLength, "b", [&v.0, &other.slopes[1].0]),
    ]
}

/// What a mass that came or went changes, at its worst.
fn term(s: &mut Sums, task: &Task<'_>, came: &Came, share: &[Num; 3], f: &Springs, more: bool) -> String {
    let name = match &came.whose {
        Whose::Vehicle => "the vehicle alone".into(),
        Whose::Load(name) => name.clone(),
        Whose::Off(part) if came.counted => format!("{part}, off"),
        Whose::Off(part) => format!("{part}, on again"),
        Whose::On(part) if came.counted => format!("{part}, on"),
        Whose::On(part) => format!("{part}, off again"),
        Whose::Stand(k) => {
            task.scene.vehicle.stand_places.get(*k).map_or_else(String::new, |p| p.name.clone())
        }
    };
    let mass = s.mass(format!("{name}: mass that comes (below 0: goes)"), came.mass);
    let off = s.mass(format!("{name}: that may be off by"), came.mass_off);
    let at = s.place(&name, IN_BAY, came.at.map(Length::to_metres));
    let at_off = [0, 1].map(|k| {
        s.length(
            format!("{name}: its place may be off, {}, by", ["ahead and back", "to a side"][k]),
            came.at_off[k],
        )
    });
    let [c, a, b] = share;
    let part = s.step(
        Kind::Bare,
        format!("{name}: part that the stand takes = c + a \u{d7} (ahead \u{2212} Xm) + b \u{d7} (left \u{2212} Ym)"),
        format!("{c} + {a} \u{d7} ({} \u{2212} {}) + {b} \u{d7} ({} \u{2212} {})", at[0], f.middle[0], at[1], f.middle[1]),
    );
    let size = |n: &Num| format!("|{n}|");
    let worst = s.step(
        Kind::Mass,
        format!("{name}: what that may be off = |part| \u{d7} off + (|mass| + off) \u{d7} (|a| \u{d7} off ahead + |b| \u{d7} off aside)"),
        format!(
            "{} \u{d7} {off} + ({} + {off}) \u{d7} ({} \u{d7} {} + {} \u{d7} {})",
            size(&part),
            size(&mass),
            size(a),
            at_off[0],
            size(b),
            at_off[1]
        ),
    );
    format!("{part} \u{d7} {mass} {} {worst}", if more { "+" } else { "\u{2212}" })
}
