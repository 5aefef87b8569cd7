//! Assured loads and shares: a rigid body on the springs of four arms, at the worst corner of its box.

use planner::account::{Bend, Loads, Model};
use planner::checks::What;
use planner::lift::Corner;
use planner::plan::StateAnswer;
use planner::work::PadEnd;
use statics::{Account, Bound, Force, Length, Push, SECOND_ORDER};

use super::demand::Task;
use super::edge::{self, centre, pad};
use super::springs::{Springs, by_gaps, plus, shares, springs, stiffness};
use super::steps::{Kind, Num, Sums};
use super::{force, push};
use crate::words::corner_name;

/// What all models share.
struct Ground {
    /// The pads in the bay.
    at: [[Num; 2]; 4],
    centre: [Num; 2],
    half: [Num; 2],
    disc: Num,
    greatest_mass: Num,
    /// Where a figure needs it.
    least_mass: Option<Num>,
}

pub(super) fn loads(s: &mut Sums, task: &Task<'_>, what: What, state: usize) {
    let answer = task.scene.plan.states.get(state);
    let (Some(answer), Some(loads)) = (answer, task.accounts.loads(what, state)) else {
        return one_line(s, task, what, state);
    };
    let whose = loads.pads.iter().map(|c| corner_name(*c)).collect::<Vec<_>>().join(" and ");
    let Some(ground) = ground(s, task, answer, &loads, false) else { return };
    let figures: Vec<Num> =
        loads.models.iter().map(|model| of_model(s, task, &loads, model, &ground, &whose)).collect();
    let all = figures.iter().map(|f| f.0.as_str()).collect::<Vec<_>>().join("; ");
    let governs = if loads.models.len() < 2 { None } else { Some(which(&loads)) };
    if let Some(governs) = governs {
        s.note(format!("The {governs} of the ways is the worst and counts."));
    }
    let share_of = |s: &mut Sums, words: &str| {
        s.step(Kind::Bare, format!("{words} share = the least of them"), format!("least({all})"))
    };
    match what {
        What::PadCarries(_) | What::ShareLeast => {
            let share = share_of(s, "least");
            s.step(Kind::Percent, "in per cent = share \u{d7} 100", format!("{share} \u{d7} 100"));
        }
        What::ShareMost => {
            let share = share_of(s, "rear pads' least");
            s.step(
                Kind::Percent,
                "front pads' greatest share = (1 \u{2212} rear pads' least share) \u{d7} 100",
                format!("(1 \u{2212} {share}) \u{d7} 100"),
            );
        }
        What::SplitRule => {
            let share = share_of(s, "lighter pair's least");
            s.step(
                Kind::Percent,
                "heavier pair's greatest share = (1 \u{2212} lighter pair's least share) \u{d7} 100",
                format!("(1 \u{2212} {share}) \u{d7} 100"),
            );
        }
        _ => {
            s.step(Kind::Mass, "assured load = the greatest of them", format!("greatest({all})"));
        }
    }
}

fn ground(s: &mut Sums, task: &Task<'_>, answer: &StateAnswer, loads: &Loads, least: bool) -> Option<Ground> {
    let guess = if answer.mass.is_assumed() { " (assumed)" } else { "" };
    let mass = s.mass(format!("mass{guess}"), answer.mass.value);
    let off = s.mass("tolerance of the mass", answer.mass.tolerance);
    s.note("Loads are given as the mass that weighs as much; places are in the bay, ahead and left.");
    let [centre, half] = centre(s, task, answer);
    let at = Corner::ALL.map(|c| pad(s, task, c));
    let disc =
        s.length("a pad may be off its place by", loads.models.first()?.set.contacts()[0].place_tolerance);
    let greatest_mass = s.step(Kind::Mass, "greatest mass = mass + tolerance", format!("{mass} + {off}"));
    let uneven = loads.models.iter().any(|m| m.set.contacts().iter().any(|c| c.gap > Length::ZERO));
    let least_mass = (uneven || least).then(|| {
        s.step(Kind::Mass, "least mass = mass \u{2212} tolerance", format!("{mass} \u{2212} {off}"))
    });
    Some(Ground { at, centre, half, disc, greatest_mass, least_mass })
}

/// The ways in which arms may bend, one after the other.
const PLACES: [&str; 3] = ["first", "second", "third"];

/// Which model gives the worst figure, the first of equals.
fn which(loads: &Loads) -> &'static str {
    let worse = |a: &Model, b: &Model| match loads.bound {
        Bound::LeastShare => b.share < a.share,
        Bound::GreatestLoad => b.load > a.load,
    };
    let worst =
        (0..loads.models.len()).reduce(|a, b| if worse(&loads.models[a], &loads.models[b]) { b } else { a });
    worst.and_then(|k| PLACES.get(k)).copied().unwrap_or("last")
}

fn way(bend: Bend) -> String {
    match bend {
        Bend::NotAtAll => "arms that do not bend".into(),
        Bend::ByReach(off) if off.iter().all(|off| *off == 0.0) => {
            "arms that bend by the cube of their reach".into()
        }
        Bend::ByReach(off) => {
            let stiff = Corner::ALL.into_iter().filter(|c| off[c.index()] > 0.0).map(corner_name);
            let stiff = stiff.collect::<Vec<_>>().join(" and ");
            format!(
                "arms that bend by the cube of their reach, those at {stiff} at their stiffest and the others at their softest"
            )
        }
    }
}

/// Pads on one line: no share, and twice the weight as a load.
fn one_line(s: &mut Sums, task: &Task<'_>, what: What, state: usize) {
    s.note("The pads are on one line, on which nothing stands.");
    match what {
        What::PadRating(_) | What::PairRating { .. } => {
            let mass = task.scene.plan.states.get(state).map(|a| a.mass.value).unwrap_or_default();
            let mass = s.mass("mass", mass);
            s.step(Kind::Mass, "load counted = twice the weight", format!("2 \u{d7} {mass}"));
        }
        What::PadCarries(_) | What::ShareLeast => {
            s.step(Kind::Percent, "share counted", "\u{2212}1 \u{d7} 100");
        }
        _ => {
            s.step(
                Kind::Percent,
                "share counted = (1 \u{2212} \u{2212}1) \u{d7} 100",
                "(1 \u{2212} \u{2212}1) \u{d7} 100",
            );
        }
    }
}

fn of_model(s: &mut Sums, task: &Task<'_>, loads: &Loads, model: &Model, g: &Ground, whose: &str) -> Num {
    if let Some(k) = loads.models.iter().position(|m| m.bend == model.bend).filter(|_| loads.models.len() > 1)
    {
        let place = PLACES.get(k).unwrap_or(&"last");
        s.note(format!("{}, {}.", crate::words::capital(place), way(model.bend)));
    }
    match &model.account {
        Account::Linear { corner, uneven, .. } => {
            let (share, f) = linear(s, task, loads, model, g, *corner, whose);
            let uneven = uneven.and_then(|_| uneven_loads(s, loads, model, g, &f, whose));
            if loads.bound == Bound::LeastShare {
                return uneven.map_or(share.clone(), |uneven| share_with_gaps(s, g, &share, &uneven));
            }
            let mass = &g.greatest_mass;
            let (named, added) = match &uneven {
                Some([load, off]) => (" + by heights + off", format!(" + ({load}) + {off}")),
                None => ("", String::new()),
            };
            let formula = format!("load = greatest share \u{d7} greatest mass{named}");
            s.step(Kind::Mass, formula, format!("{share} \u{d7} {mass}{added}"))
        }
        Account::Levers { corner, with } => levers(s, loads, g, *corner, with),
        Account::Falls if loads.bound == Bound::LeastShare => s.step(Kind::Bare, "no share is assured", "0"),
        Account::Falls => {
            s.note("At some corner of the box in which the centre of gravity may be, nothing holds the vehicle: the whole weight counts.");
            s.step(Kind::Mass, "load = greatest mass", g.greatest_mass.0.clone())
        }
    }
}

fn linear(
    s: &mut Sums,
    task: &Task<'_>,
    loads: &Loads,
    model: &Model,
    g: &Ground,
    corner: [f64; 2],
    whose: &str,
) -> (Num, Springs) {
    s.note("The vehicle is a rigid body on four springs that all carry. Force and both moments balance in one way alone, here solved for the centre of the stiffness.");
    let k = stiffness(s, task, model.bend, (Model::SOFTEST_ARM, ", at least"));
    let f = springs(s, &k, &g.at);
    let sign = |v: f64| if v < 0.0 { "\u{2212}" } else { "+" };
    s.note(format!(
        "The worst corner of the box in which the centre of gravity may be: {} ahead, {} left.",
        sign(corner[0]),
        sign(corner[1])
    ));
    let away = [0, 1].map(|axis| {
        s.step(
            Kind::Length,
            format!(
                "{} = centre of gravity {} off \u{2212} centre of the stiffness",
                ["ex", "ey"][axis],
                sign(corner[axis])
            ),
            format!("{} {} {} \u{2212} {}", g.centre[axis], sign(corner[axis]), g.half[axis], f.middle[axis]),
        )
    });
    let (tilt, shares) = shares(s, &f, &g.at, &away);
    let chosen: Vec<usize> = loads.pads.iter().map(|c| c.index()).collect();
    let moved = discs(s, g, &f, Kind::Bare, (&tilt, &shares), &chosen, whose);
    let allowance = allowance(s, g, &f);
    let (word, sign) = match loads.bound {
        Bound::LeastShare => ("least", "\u{2212}"),
        Bound::GreatestLoad => ("greatest", "+"),
    };
    let share = s.step(
        Kind::Bare,
        format!("{word} share of {whose} = its share {sign} (what the four discs may move + allowance)"),
        format!(
            "{} {sign} ({} + {allowance})",
            plus(chosen.iter().map(|&i| shares[i].0.clone())),
            plus(moved.iter().map(|m| m.0.clone()))
        ),
    );
    (share, f)
}

/// What pads that do not touch at once carry by that alone, and how far discs may change it.
fn uneven_loads(
    s: &mut Sums,
    loads: &Loads,
    model: &Model,
    g: &Ground,
    f: &Springs,
    whose: &str,
) -> Option<[Num; 2]> {
    let gaps = core::array::from_fn(|i| model.set.contacts()[i].gap);
    let (tilt, pressed) = by_gaps(s, f, &g.at, gaps)?;
    let chosen: Vec<usize> = loads.pads.iter().map(|c| c.index()).collect();
    let load = format!("{} \u{d7} ({})", f.sum, plus(chosen.iter().map(|&i| pressed[i].0.clone())));
    let load = push::as_mass(s, &load);
    let load =
        s.step(Kind::Mass, format!("by heights {whose} = sum of the four k \u{d7} pressed, as a mass"), load);
    let moved = discs(s, g, f, Kind::Pressed, (&tilt, &pressed), &chosen, whose);
    let allowance = allowance(s, g, f);
    let most = pressed.iter().map(|p| format!("{p}; \u{2212}({p})")).collect::<Vec<_>>().join("; ");
    let off = format!(
        "{} \u{d7} ({} + {allowance} \u{d7} greatest({most}))",
        f.sum,
        plus(moved.iter().map(|m| m.0.clone()))
    );
    let off = push::as_mass(s, &off);
    let off = s.step(
        Kind::Mass,
        "off = sum of the four k \u{d7} (what the discs may move + allowance \u{d7} the most that one is pressed), as a mass",
        off,
    );
    Some([load, off])
}

fn share_with_gaps(s: &mut Sums, g: &Ground, share: &Num, [load, off]: &[Num; 2]) -> Num {
    let least = g.least_mass.as_ref().unwrap_or(&g.greatest_mass);
    s.step(
        Kind::Bare,
        "least share with that = least share + (by heights \u{2212} off) / mass, the worse end of the mass",
        format!(
            "{share} + least((({load}) \u{2212} {off}) / {least}; (({load}) \u{2212} {off}) / {})",
            g.greatest_mass
        ),
    )
}

/// The push at which a pad comes to its rating, or may first carry nothing.
pub(super) fn under_push(
    s: &mut Sums,
    task: &Task<'_>,
    state: usize,
    push: &Push,
    first: &PadEnd,
    bound: Bound,
) {
    let corner = first.corner;
    let what = if bound == Bound::GreatestLoad { What::PadRating(corner) } else { What::PadCarries(corner) };
    let answer = task.scene.plan.states.get(state);
    let (Some(answer), Some(loads)) = (answer, task.accounts.loads(what, state)) else { return };
    let (Some(g), Some(model)) =
        (ground(s, task, answer, &loads, bound == Bound::LeastShare), loads.models.get(first.model))
    else {
        return;
    };
    let whose = corner_name(corner);
    s.note(format!(
        "Pads share a force as they share the weight: by their springs. First the {whose} pad at rest, {}.",
        way(model.bend)
    ));
    let least = model.set.assured_loads(&loads.body).sum(&[corner.index()]).least;
    if bound == Bound::LeastShare && least <= Force::ZERO {
        s.note(format!("Within the tolerances the {whose} pad may carry nothing before anybody pushes."));
        s.step(Kind::Push, format!("the {whose} pad may carry nothing from = no force at all"), "0");
        return;
    }
    let f;
    let carried = match &model.account {
        Account::Linear { corner: at, uneven, .. } => {
            let share;
            (share, f) = linear(s, task, &loads, model, &g, *at, whose);
            let mass = if bound == Bound::GreatestLoad {
                &g.greatest_mass
            } else {
                g.least_mass.as_ref().unwrap_or(&g.greatest_mass)
            };
            let uneven = uneven.and_then(|_| uneven_loads(s, &loads, model, &g, &f, whose));
            let sign = if bound == Bound::GreatestLoad { "+" } else { "\u{2212}" };
            let added = uneven.map_or_else(String::new, |[load, off]| format!(" + ({load}) {sign} {off}"));
            s.step(Kind::Mass, "it carries = share \u{d7} mass", format!("{share} \u{d7} {mass}{added}"))
        }
        _ => {
            let load = of_model(s, task, &loads, model, &g, whose);
            let k = stiffness(s, task, model.bend, (Model::SOFTEST_ARM, ", at least"));
            f = springs(s, &k, &g.at);
            load
        }
    };
    let adds = added(s, task, &g, &f, push, corner, bound);
    if bound == Bound::LeastShare {
        let carried = push::weight(s, &carried);
        let formula = format!("the {whose} pad may carry nothing from = what it carries / what a unit takes");
        s.step(Kind::Push, formula, format!("greatest({carried}; 0) / (0 \u{2212} ({adds}))"));
        return;
    }
    let rated = s.mass(format!("the {whose} pad is rated for"), task.pad(corner).rated.as_mass());
    let short = s.step(
        Kind::Mass,
        "short of its rating by = rating \u{2212} what it carries",
        format!("{rated} \u{2212} {carried}"),
    );
    let short = push::weight(s, &short);
    s.step(
        Kind::Push,
        "withstood = what it is short by / what a unit of the force adds",
        format!("greatest({short}; 0) / {adds}"),
    );
}

/// What a unit of a force adds to a pad's load, at the most; where the least load is asked for, at the least.
fn added(
    s: &mut Sums,
    task: &Task<'_>,
    g: &Ground,
    f: &Springs,
    push: &Push,
    corner: Corner,
    bound: Bound,
) -> Num {
    let [q, d] = force::line_of(s, push);
    let mean = edge::mean_height(s, task, &Corner::ALL);
    let (tilt, gains) = force::gains(s, f, &g.at, [&q, &d], &mean);
    let whose = corner_name(corner);
    let moved = discs(s, g, f, Kind::Bare, (&tilt, &gains), &[corner.index()], whose);
    let allowance = allowance(s, g, f);
    let spread = spread(s, g, f);
    let about = [0, 1].map(|axis| {
        format!(
            "(({}) \u{d7} ({} \u{2212} {mean}) \u{2212} ({}) \u{d7} ({} \u{2212} {}))",
            d[axis], q[2], d[2], q[axis], g.centre[axis]
        )
    });
    let size = s.step(
        Kind::Bare,
        "size of a unit of the force, with its moments about the centre of gravity over the spread",
        format!(
            "\u{221a}(({})\u{b2}) + \u{221a}(({}\u{b2} + {}\u{b2}) / {spread})",
            d[2], about[0], about[1]
        ),
    );
    let (word, sign) = if bound == Bound::GreatestLoad { ("most", "+") } else { ("least", "\u{2212}") };
    s.step(
        Kind::Bare,
        format!("a unit of the force adds to the {whose} pad at the {word} = what it carries more {sign} (what the discs may move + allowance \u{d7} size)"),
        format!("{} {sign} ({} + {allowance} \u{d7} {size})", gains[corner.index()], plus(moved.iter().map(|m| m.0.clone()))),
    )
}

/// What each pad, anywhere in its disc, may move of the share: its first derivatives times the radius.
fn discs(
    s: &mut Sums,
    g: &Ground,
    f: &Springs,
    kind: Kind,
    (tilt, shares): (&[Num; 2], &[Num; 4]),
    chosen: &[usize],
    whose: &str,
) -> [Num; 4] {
    s.note("Each pad may be off its place. First derivatives of the share in question by a pad's place, times the radius of its disc:");
    let far = |i: usize, axis: usize| format!("({} \u{2212} {})", g.at[i][axis], f.middle[axis]);
    let own = [0, 1].map(|axis| {
        let (skew, other) = (&f.skew[axis], 1 - axis);
        let (name, letter) = (
            ["su", "sv"][axis],
            [
                "(ahead \u{2212} Xm) \u{2212} p \u{d7} (left \u{2212} Ym)",
                "(left \u{2212} Ym) \u{2212} q \u{d7} (ahead \u{2212} Xm)",
            ][axis],
        );
        s.step(
            Kind::PerLength,
            format!("{name} = part \u{d7} ({letter}) / {}, of {whose}", ["Ex", "Ey"][axis]),
            plus(chosen.iter().map(|&i| {
                format!(
                    "{} \u{d7} ({} \u{2212} {skew} \u{d7} {}) / {}",
                    f.part[i],
                    far(i, axis),
                    far(i, other),
                    f.spread[axis]
                )
            })),
        )
    });
    let parts = plus(chosen.iter().map(|&i| f.part[i].0.clone()));
    Corner::ALL.map(|c| {
        let j = c.index();
        let name = corner_name(c);
        let taken = s.step(
            Kind::Bare,
            format!("{name}: w = what {whose} would carry of a load on this pad = part + su \u{d7} (ahead \u{2212} Xm) + sv \u{d7} (left \u{2212} Ym)"),
            format!("{parts} + {} \u{d7} {} + {} \u{d7} {}", own[0], far(j, 0), own[1], far(j, 1)),
        );
        let one = if chosen.contains(&j) { "1" } else { "0" };
        let slope = |k: usize| {
            format!(
                "({} \u{d7} ({one} \u{2212} {taken}) \u{d7} {} \u{2212} {} \u{d7} {})\u{b2}",
                f.part[j], tilt[k], own[k], shares[j]
            )
        };
        s.step(
            kind,
            format!("{name}: may move = disc \u{d7} \u{221a}((part \u{d7} (c \u{2212} w) \u{d7} u \u{2212} su \u{d7} share)\u{b2} + the same with v and sv), c = 1 for pads of this share, else 0"),
            format!("{} \u{d7} \u{221a}({} + {})", g.disc, slope(0), slope(1)),
        )
    })
}

/// Squared distances of the pads from the centre of gravity, each with its part of the stiffness.
fn spread(s: &mut Sums, g: &Ground, f: &Springs) -> Num {
    s.step(
        Kind::Area,
        "spread\u{b2} of the pads about the centre of gravity = Sxx + Syy + (centre \u{2212} Xm)\u{b2} + (centre \u{2212} Ym)\u{b2}",
        format!(
            "{} + {} + ({} \u{2212} {})\u{b2} + ({} \u{2212} {})\u{b2}",
            f.squares[0], f.squares[1], g.centre[0], f.middle[0], g.centre[1], f.middle[1]
        ),
    )
}

fn allowance(s: &mut Sums, g: &Ground, f: &Springs) -> Num {
    let factor = s.bare(
        "allowance for second derivatives (derived, sampled), in squares of disc / spread",
        SECOND_ORDER,
    );
    let spread = spread(s, g, f);
    s.step(
        Kind::Bare,
        "allowance for second derivatives = its factor \u{d7} disc\u{b2} / spread\u{b2}",
        format!("{factor} \u{d7} {}\u{b2} / {spread}", g.disc),
    )
}

/// Where some corner of the box lifts a pad: the greatest load by levers.
fn levers(s: &mut Sums, loads: &Loads, g: &Ground, corner: [f64; 2], with: &[Option<[usize; 2]>]) -> Num {
    s.note("Somewhere in the tolerances a pad would carry nothing. So the greatest load by statics counts, at the worst corner of the box of the centre of gravity widened by the disc: a pad and two others that balance the vehicle without the fourth.");
    let sign = |v: f64| if v < 0.0 { "\u{2212}" } else { "+" };
    let at = [0, 1].map(|axis| {
        s.step(
            Kind::Length,
            format!(
                "{} of that corner (g) = centre of gravity {} (off + disc)",
                ["ahead", "left"][axis],
                sign(corner[axis])
            ),
            format!("{} {} ({} + {})", g.centre[axis], sign(corner[axis]), g.half[axis], g.disc),
        )
    });
    let mut shares = Vec::new();
    for (c, with) in loads.pads.iter().zip(with) {
        let Some([j, k]) = *with else {
            shares.push(s.step(Kind::Bare, format!("{}: carries nothing", corner_name(*c)), "0").0);
            continue;
        };
        let (i, p, q) = (&g.at[c.index()], &g.at[j], &g.at[k]);
        let cross = |from: &[Num; 2]| {
            format!(
                "(({} \u{2212} {}) \u{d7} ({} \u{2212} {}) \u{2212} ({} \u{2212} {}) \u{d7} ({} \u{2212} {}))",
                p[0], from[0], q[1], from[1], p[1], from[1], q[0], from[0]
            )
        };
        shares.push(
            s.step(
                Kind::Bare,
                format!(
                    "{}: share with {} (m) and {} (n) = triangle g m n / triangle pad m n, at most 1",
                    corner_name(*c),
                    corner_name(Corner::ALL[j]),
                    corner_name(Corner::ALL[k])
                ),
                format!("least({} / {}; 1)", cross(&at), cross(i)),
            )
            .0,
        );
    }
    s.step(
        Kind::Mass,
        "load = sum of the shares, at most 1, \u{d7} greatest mass",
        format!("least({}; 1) \u{d7} {}", shares.join(" + "), g.greatest_mass),
    )
}
