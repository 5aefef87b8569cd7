//! How each check's figure comes about, from what the plan and its inputs hold.

use planner::account::Accounts;
use planner::checks::What;
use planner::lift::{Arm, Corner};
use planner::plan::{Check, PadSetting};
use statics::{Angle, Force, Length};

use super::steps::{Earlier, Kind, Num, Sums};
use super::{apart, arm, door, edge, loads, push};
use crate::words::{self, corner_name};
use crate::{Scene, Units};

/// A plan of which something is to be worked out.
pub(super) struct Task<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) accounts: Accounts<'a>,
}

impl<'a> Task<'a> {
    /// `None` where the plan was made from something else.
    pub(super) fn of(scene: &'a Scene<'a>) -> Option<Self> {
        let accounts = Accounts::of(scene.lift, scene.vehicle, scene.job, scene.limits, scene.plan)?;
        Some(Self { scene, accounts })
    }

    pub(super) fn pad(&self, c: Corner) -> &PadSetting {
        &self.scene.plan.pads[c.index()]
    }

    pub(super) fn arm(&self, c: Corner) -> &Arm {
        &self.scene.lift.arms[self.pad(c).arm.index()]
    }
}

/// The steps of a check's figure.
pub(super) fn steps(task: &Task<'_>, check: &Check, units: Units, earlier: &Earlier) -> Sums {
    let mut s = Sums::after(units, earlier);
    write(&mut s, task, check);
    s
}

/// The same after other steps.
pub(super) fn write(s: &mut Sums, task: &Task<'_>, check: &Check) {
    let (scene, state) = (task.scene, check.state.unwrap_or(0));
    match check.what {
        What::PadInArea(c) => apart::pad_in_area(s, task, c),
        What::PadToKeepOut(c, k) => apart::pad_to_keep_out(s, task, c, k),
        What::BeamToTyre(c, wheel) => apart::arm_to_tyre(s, task, c, wheel),
        What::BeamToKeepOut(c, k) => apart::arm_to_keep_out(s, task, c, k),
        What::BeamToBeam(c) => apart::arm_to_arm(s, task, c),
        What::ReachIn(c) => arm::reach_in(s, task, c),
        What::ReachOut(c) => arm::reach_out(s, task, c),
        What::SwingFrom(c) => arm::swing(s, task, c, true),
        What::SwingTo(c) => arm::swing(s, task, c, false),
        What::Tooth(c) => arm::tooth(s, task, c),
        What::BeamUnderSill(c) => {
            let sill = s.length("sill above the floor", scene.vehicle.sill_height);
            let top = s.length("top of the arm's beam, lift fully down", task.arm(c).beam_top);
            let touch = touch(s, task, c);
            s.step(
                Kind::Length,
                "air = height of the sill \u{2212} top of the arm's beam \u{2212} rise at touching",
                format!("{sill} \u{2212} {top} \u{2212} {touch}"),
            );
        }
        What::PadEntry(c) => {
            touch(s, task, c);
        }
        What::Level => level(s, task),
        What::PadRating(_)
        | What::PadCarries(_)
        | What::PairRating { .. }
        | What::ShareLeast
        | What::ShareMost
        | What::SplitRule => loads::loads(s, task, check.what, state),
        What::EdgeDistance(a, b) => {
            edge::edge(s, task, state, [a, b]);
        }
        What::TipRatio => edge::tip_ratio(s, task, state),
        What::WorkForce { task: t, force } => {
            let balance = task.accounts.balance(state, t, force);
            let needed = Force::newtons(check.limit);
            push::push(s, task, push::Withstood { balance, state, needed, free: None });
        }
        What::PlateSpot => {
            let spot = s.length("front wheel ahead of the column line", scene.plan.placement.spot);
            let mark = s.length("the plate's mark ahead of it", scene.plan.mark_spot.unwrap_or(Length::ZERO));
            s.step(
                Kind::Length,
                "distance from the mark = |front wheel \u{2212} mark|",
                format!("|{spot} \u{2212} {mark}|"),
            );
        }
        What::Door(d) => door::door(s, task, d).unwrap_or_default(),
        What::Between => between(s, scene),
        What::BayAhead => bay(s, scene, true),
        What::BayBehind => bay(s, scene, false),
        What::Capacity => {
            let state = &scene.plan.states[task.accounts.heaviest()];
            let guess = if state.mass.is_assumed() { " (assumed)" } else { "" };
            let mass = s.mass(format!("mass {}{guess}", state.name), state.mass.value);
            let off = s.mass("tolerance of the mass", state.mass.tolerance);
            s.step(Kind::Mass, "greatest mass = mass + its tolerance", format!("{mass} + {off}"));
        }
        What::Ceiling => ceiling(s, task),
    }
}

/// Rise of the carriages at which a pad touches.
pub(super) fn touch(s: &mut Sums, task: &Task<'_>, c: Corner) -> Num {
    let (pad, name) = (task.pad(c), corner_name(c));
    let under = task.scene.vehicle.lift_areas.get(pad.area).map_or(Length::ZERO, |a| a.underside);
    let under = s.length(format!("{name}: underside at the lifting area above the floor"), under);
    let top = s.length(format!("{name}: top of the pad above the floor, lift fully down"), pad.height);
    s.step(
        Kind::Length,
        format!("{name}: rise at touching = underside \u{2212} top of the pad"),
        format!("{under} \u{2212} {top}"),
    )
}

fn level(s: &mut Sums, task: &Task<'_>) {
    let pair = task.accounts.steepest(task.scene.plan);
    s.note(format!(
        "Of the six pairs of pads the steepest slope is between {} and {}.",
        corner_name(pair[0]),
        corner_name(pair[1])
    ));
    let [a, b] = pair.map(|c| touch(s, task, c));
    let [[ax, ay], [bx, by]] = pair.map(|c| apart::pad(s, task, c));
    let far = s.step(
        Kind::Length,
        "distance of the two pads = \u{221a}((aft \u{2212} aft)\u{b2} + (left \u{2212} left)\u{b2})",
        format!("\u{221a}(({ax} \u{2212} {bx})\u{b2} + ({ay} \u{2212} {by})\u{b2})"),
    );
    s.step(
        Kind::Angle,
        "slope = atan(|rise \u{2212} rise| / distance)",
        format!("atan(|{a} \u{2212} {b}| / {far})"),
    );
}

fn between(s: &mut Sums, scene: &Scene<'_>) {
    let outline = &scene.vehicle.outline;
    let stand = &scene.plan.placement;
    let inside = s.length("width between the columns", scene.lift.columns.inside);
    let width = outline.mirrors.map_or(outline.width, |m| m.width.max(outline.width));
    let width = s.length("width over mirrors or body", width);
    let off = s.length("distance off the centre line", stand.offset.abs());
    let (mut formula, mut numbers) = (
        String::from("air = (between the columns \u{2212} width) / 2 \u{2212} off the centre line"),
        format!("({inside} \u{2212} {width}) / 2 \u{2212} {off}"),
    );
    if stand.yaw != Angle::ZERO {
        let yaw = s.angle("turned in the bay by", stand.yaw);
        let turned = s.step(
            Kind::Length,
            "lost by the turn = \u{221a}((between / 2)\u{b2} + (width / 2)\u{b2}) \u{d7} |sin(turn)|",
            format!("\u{221a}(({inside} / 2)\u{b2} + ({width} / 2)\u{b2}) \u{d7} |sin({yaw})|"),
        );
        formula += " \u{2212} lost by the turn";
        numbers += &format!(" \u{2212} {turned}");
    }
    s.step(Kind::Length, formula, numbers);
}

fn bay(s: &mut Sums, scene: &Scene<'_>, ahead: bool) {
    let (outline, stand) = (&scene.vehicle.outline, &scene.plan.placement);
    let forwards = stand.driven_in == planner::frames::DrivenIn::Forwards;
    let room = scene.lift.bay.map_or(Length::ZERO, |b| if ahead { b.ahead } else { b.behind });
    let side = if ahead { "ahead of" } else { "behind" };
    let room = s.length(format!("free floor {side} the column line"), room);
    let spot = s.length("front axle ahead of the column line", stand.spot);
    // The vehicle's own front points this way.
    if ahead == forwards {
        let over = s.length("overhang in front of the front axle", outline.front_overhang);
        let (plus, numbers) = if ahead {
            ("+", format!("{room} \u{2212} ({spot} + {over})"))
        } else {
            ("\u{2212}", format!("{room} + ({spot} \u{2212} {over})"))
        };
        let sign = if ahead { "\u{2212}" } else { "+" };
        s.step(Kind::Length, format!("air = free floor {sign} (front axle {plus} overhang)"), numbers);
    } else {
        let base = s.length("wheelbase", scene.vehicle.wheelbase.value);
        let over = s.length("overhang behind the rear axle", outline.rear_overhang);
        let (sign, plus, numbers) = if ahead {
            ("\u{2212}", "+", format!("{room} \u{2212} ({spot} + {base} + {over})"))
        } else {
            ("+", "\u{2212}", format!("{room} + ({spot} \u{2212} {base} \u{2212} {over})"))
        };
        s.step(
            Kind::Length,
            format!("air = free floor {sign} (front axle {plus} wheelbase {plus} overhang)"),
            numbers,
        );
    }
}

fn ceiling(s: &mut Sums, task: &Task<'_>) {
    let scene = task.scene;
    let headroom = s.length("lowest thing above", scene.lift.headroom.unwrap_or(Length::ZERO));
    let roof = s.length("roof above the floor, standing", scene.vehicle.outline.roof);
    let mut highest = roof.clone();
    if let Some(opened) = scene.job.opened_height {
        let opened = s.length("opened by the job to", opened);
        highest = s.step(
            Kind::Length,
            "highest point = the greater of roof and what is opened",
            format!("greatest({roof}; {opened})"),
        );
    }
    let lock = s.length(
        "rise of the carriages at the lowest lock",
        scene.lift.rise.locks.first().copied().unwrap_or(Length::ZERO),
    );
    let all = super::height::soonest_touch(s, task);
    let up = s.step(
        Kind::Length,
        "rise of the vehicle = rise at the lock \u{2212} rise at which all touch, at least 0",
        format!("greatest({lock} \u{2212} {all}; 0)"),
    );
    s.step(
        Kind::Length,
        "air = lowest thing above \u{2212} (highest point + rise of the vehicle)",
        format!("{headroom} \u{2212} ({highest} + {up})"),
    );
}

/// How the limit comes about, where it is computed from others.
pub(super) fn limit(s: &mut Sums, task: &Task<'_>, check: &Check) {
    let scene = task.scene;
    match check.what {
        What::PadRating(c) if task.arm(c).rated.is_none() => {
            let rated = s.mass("rated load of the lift", scene.lift.rated);
            s.limit(Kind::Mass, "rated load of the lift / 4", format!("{rated} / 4"));
        }
        What::PairRating { .. } => {
            let share = words::limit_of(scene, check.what).map_or(0.0, |n| scene.limits.get(n));
            let rated = s.mass("rated load of the lift", scene.lift.rated);
            let share = s.bare(words::capital("greatest share of it on one pair"), share);
            s.limit(Kind::Mass, "share \u{d7} rated load of the lift", format!("{share} \u{d7} {rated}"));
        }
        What::WorkForce { task: t, force } => {
            let Some(work) = scene.job.tasks.get(t).and_then(|t| t.forces.get(force)) else { return };
            let guess = if work.size.is_assumed() { " (assumed)" } else { "" };
            let size = s.push(format!("size of the force{guess}"), work.size.value);
            let off = s.push("it may be off by", work.size.tolerance);
            s.limit(
                Kind::Push,
                "the force at its greatest = size + what it may be off",
                format!("{size} + {off}"),
            );
        }
        _ => {}
    }
}
