//! Test raise, the lock of a task, and how each person works there.

use planner::height::{AtWork, TaskHeight};
use planner::job::Posture;
use planner::lift::Corner;
use planner::limits::Name;
use planner::person::share;
use statics::Length;

use super::demand::{Task, touch};
use super::figure::at_lock;
use super::steps::{Kind, Num, Sums};

/// Rise of the carriages at which all pads touch.
fn all_touch(s: &mut Sums, task: &Task<'_>) -> Num {
    let each = Corner::ALL.map(|c| touch(s, task, c).0).join("; ");
    s.step(
        Kind::Length,
        "rise at which all pads touch = the greatest of the four",
        format!("greatest({each})"),
    )
}

/// The same as soon as may be: where nobody measured the undersides, pads are screwed up to touch before raising.
pub(super) fn soonest_touch(s: &mut Sums, task: &Task<'_>) -> Num {
    let all = all_touch(s, task);
    if task.scene.vehicle.unmeasured.undersides == Length::ZERO {
        return all;
    }
    s.note("Nobody measured the undersides: the pads are screwed up to touch before raising, the carriages lift from there on.");
    s.step(
        Kind::Length,
        "rise at which all touch, at the soonest = the least of that and 0",
        format!("least({all}; 0)"),
    )
}

pub(super) fn test_raise(s: &mut Sums, task: &Task<'_>) {
    let vehicle = task.scene.vehicle;
    let touch = all_touch(s, task);
    let droop = &vehicle.droop;
    let guess = if droop.is_assumed() { " (assumed)" } else { "" };
    let fall = s.length(format!("droop of the wheels{guess}"), droop.value);
    let off = s.length("the droop may be off by", droop.tolerance);
    let clear = s.length("air under each tyre", Length::metres(task.scene.limits.get(Name::TestRaise)));
    let mut numbers = format!("greatest({touch}; 0) + ({fall} + {off}) + {clear}");
    let mut formula = String::from("test raise = rise at which all touch + droop at its greatest + air");
    if vehicle.unmeasured.undersides > Length::ZERO {
        let under = s.length("the undersides may be higher by (assumed)", vehicle.unmeasured.undersides);
        numbers += &format!(" + {under}");
        formula += " + what the undersides may be higher";
    }
    s.step(Kind::Length, formula, numbers);
}

/// How far the vehicle is up at a lock, or at the full rise of a lift without one.
fn up(s: &mut Sums, task: &Task<'_>, lock: Option<usize>, touch: &Num) -> Num {
    let rise = &task.scene.lift.rise;
    let (name, at) = match lock.and_then(|l| Some((l, *rise.locks.get(l)?))) {
        Some((lock, at)) => (format!("lock {}", lock + 1), at),
        None => ("full rise".into(), rise.most),
    };
    let at = s.length(format!("rise of the carriages at {name}"), at);
    s.step(
        Kind::Length,
        format!("vehicle up at {name} = rise \u{2212} rise at which all touch, at least 0"),
        format!("greatest({at} \u{2212} {touch}; 0)"),
    )
}

/// When the pads touch, as it counts for who works so: the underside as low as it may be, hubs as they are set up.
fn touch_for(s: &mut Sums, task: &Task<'_>, posture: Posture) -> Num {
    match posture {
        Posture::StandingUnder => all_touch(s, task),
        Posture::StandingAtWheel | Posture::SeatedAtWheel => soonest_touch(s, task),
    }
}

/// Height of the work at a lock: underside, or hub as it hangs.
fn work_at(s: &mut Sums, task: &Task<'_>, posture: Posture, lock: Option<usize>, touch: &Num) -> Num {
    let vehicle = task.scene.vehicle;
    let up = up(s, task, lock, touch);
    let at = at_lock(lock);
    match posture {
        Posture::StandingUnder => {
            let sill = s.length("sill above the floor", vehicle.sill_height);
            s.step(Kind::Length, format!("underside at {at} = up + sill"), format!("{up} + {sill}"))
        }
        Posture::StandingAtWheel | Posture::SeatedAtWheel => {
            let tyre = s.length("diameter of the tyres", vehicle.wheels.tyre_diameter);
            let droop = s.length("droop of the wheels", vehicle.droop.value);
            s.step(
                Kind::Length,
                format!("hubs at {at} = up + diameter of the tyres / 2 \u{2212} droop"),
                format!("{up} + {tyre} / 2 \u{2212} {droop}"),
            )
        }
    }
}

pub(super) fn work_height(s: &mut Sums, task: &Task<'_>, of: &TaskHeight) -> Num {
    let touch = touch_for(s, task, of.posture);
    work_at(s, task, of.posture, of.lock, &touch)
}

pub(super) fn pads_at_lock(s: &mut Sums, task: &Task<'_>, of: &TaskHeight) {
    let tops = Corner::ALL.map(|c| {
        let name = crate::words::corner_name(c);
        s.length(format!("{name}: top of the pad above the floor, lift fully down"), task.pad(c).height).0
    });
    let rise = &task.scene.lift.rise;
    let at = of.lock.and_then(|l| rise.locks.get(l)).copied().unwrap_or(rise.most);
    let at = s.length("rise of the carriages there", at);
    s.step(
        Kind::Length,
        "pads above the floor = the lowest of the four + rise",
        format!("least({}) + {at}", tops.join("; ")),
    );
}

pub(super) fn roof_room(s: &mut Sums, task: &Task<'_>, lock: Option<usize>) -> Num {
    let scene = task.scene;
    let touch = soonest_touch(s, task);
    let up = up(s, task, lock, &touch);
    let headroom = s.length("lowest thing above", scene.lift.headroom.unwrap_or(Length::ZERO));
    let roof = s.length("roof above the floor, standing", scene.vehicle.outline.roof);
    let highest = match scene.job.opened_height {
        None => roof,
        Some(opened) => {
            let opened = s.length("opened by the job to", opened);
            s.step(
                Kind::Length,
                "highest point = the greater of roof and what is opened",
                format!("greatest({roof}; {opened})"),
            )
        }
    };
    s.step(
        Kind::Length,
        "left above the vehicle = lowest thing above \u{2212} (highest point + up)",
        format!("{headroom} \u{2212} ({highest} + {up})"),
    )
}

/// Stature of somebody as it is worst there, within what it may be off.
fn tall(s: &mut Sums, at: &AtWork) -> Num {
    let (name, stature) = (&at.name, &at.stature);
    let tall = s.length(format!("stature of {name}"), stature.value);
    if at.body.stature == stature.value {
        return tall;
    }
    let off = s.length(format!("the stature of {name} may be off by"), stature.tolerance);
    let (end, sign) = if at.body.stature > stature.value { ("greatest", '+') } else { ("least", '\u{2212}') };
    s.step(
        Kind::Length,
        format!("stature of {name} at its {end} = stature {sign} what it may be off"),
        format!("{tall} {sign} {off}"),
    )
}

/// Height of the work that suits somebody best.
fn ideal(s: &mut Sums, task: &Task<'_>, posture: Posture, at: &AtWork) -> Num {
    let name = &at.name;
    let tall = s.length(format!("stature of {name}"), at.stature.value);
    match posture {
        Posture::StandingUnder => {
            let shoes = s.length("thickness of working shoes", at.body.shoes);
            let air = Length::metres(task.scene.limits.get(Name::HeadAir));
            let air = s.length("underside above the head", air);
            s.step(
                Kind::Length,
                format!("{name}: best underside = stature + shoes + air above the head"),
                format!("{tall} + {shoes} + {air}"),
            )
        }
        Posture::StandingAtWheel => {
            let shoes = s.length("thickness of working shoes", at.body.shoes);
            let part = s.bare("height of the elbow, share of the stature", share::ELBOW);
            s.step(
                Kind::Length,
                format!("{name}: best hub, at the elbow = share \u{d7} stature + shoes"),
                format!("{part} \u{d7} {tall} + {shoes}"),
            )
        }
        Posture::SeatedAtWheel => {
            let seat = s.length("seat of the stool", at.body.seat.unwrap_or(Length::ZERO));
            let part = s.bare("seat to elbow, share of the stature", share::ELBOW_SEATED);
            s.step(
                Kind::Length,
                format!("{name}: best hub, at the elbow = seat + share \u{d7} stature"),
                format!("{seat} + {part} \u{d7} {tall}"),
            )
        }
    }
}

/// Why the lock of a task, for these people: of every lock that may be used the largest miss of anyone's best
/// height; the least of them is chosen.
pub(super) fn lock(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, people: &[AtWork], chosen: Option<usize>) {
    let ideals: Vec<Num> = people.iter().map(|p| ideal(s, task, of.posture, p)).collect();
    let touch = touch_for(s, task, of.posture);
    let allowed = task.accounts.allowed_locks(task.scene.plan);
    // Where stands hold the vehicle their lock counts, whatever suits; without any lock the full rise.
    let asked: Vec<Option<usize>> =
        if allowed.contains(&chosen.unwrap_or(usize::MAX)) && !by_stands(of, chosen) {
            allowed.iter().copied().map(Some).collect()
        } else {
            vec![chosen]
        };
    forbidden(s, task, of, chosen);
    let mut misses = Vec::new();
    for lock in asked {
        let work = work_at(s, task, of.posture, lock, &touch);
        let at = at_lock(lock);
        let each: Vec<String> = ideals.iter().map(|best| format!("|{work} \u{2212} {best}|")).collect();
        misses.push(s.step(
            Kind::Length,
            format!("largest miss at {at} = the greatest of |work \u{2212} best|"),
            format!("greatest({})", each.join("; ")),
        ));
    }
    let at = at_lock(chosen);
    s.note(if by_stands(of, chosen) {
        "The stands decide: at no lock nearer to what suits do they reach."
    } else {
        "The lock of the least largest miss is taken; of equals the one of the least sum of misses, then the higher."
    });
    let all = misses.iter().map(|m| m.0.as_str()).collect::<Vec<_>>().join("; ");
    s.step(Kind::Length, format!("least largest miss, at {at}"), format!("least({all})"));
}

/// Whether stands decide the lock that is asked for.
fn by_stands(of: &TaskHeight, chosen: Option<usize>) -> bool {
    of.held_by_stands && chosen == of.lock
}

/// What forbids the lock that would suit better.
fn forbidden(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, chosen: Option<usize>) {
    let (Some(better), Some(chosen)) = (of.forbidden, chosen) else { return };
    if by_stands(of, Some(chosen)) || of.lock != Some(chosen) {
        return;
    }
    if better > chosen {
        s.note(format!("Lock {} and those above it leave too little above the vehicle:", better + 1));
        let room = roof_room(s, task, Some(better));
        let least = s.length("air above it, at least", Length::metres(task.scene.limits.get(Name::RoofAir)));
        s.step(Kind::Length, "missing = least air \u{2212} what is left", format!("{least} \u{2212} {room}"));
        return;
    }
    s.note(format!("Lock {} does not hold every tyre clear of the floor:", better + 1));
    let rise = task.scene.lift.rise.locks.get(better).copied().unwrap_or(Length::ZERO);
    let rise = s.length(format!("rise of the carriages at lock {}", better + 1), rise);
    let clear = s.length("rise at which every tyre is clear (test raise)", task.scene.plan.test_raise);
    s.step(Kind::Length, "missing = test raise \u{2212} rise", format!("{clear} \u{2212} {rise}"));
}

/// Underside above the head of somebody upright; what is missing is stooped.
pub(super) fn head_room(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, at: &AtWork) {
    let work = work_height(s, task, of);
    let tall = tall(s, at);
    let shoes = s.length("thickness of working shoes", at.body.shoes);
    s.note("Less than nothing is how far the head must come down: the stoop.");
    s.step(
        Kind::Length,
        "head room = underside \u{2212} (stature + shoes)",
        format!("{work} \u{2212} ({tall} + {shoes})"),
    );
}

/// Hub above or below the elbow.
pub(super) fn from_elbow(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, at: &AtWork) {
    let work = work_height(s, task, of);
    let best = ideal(s, task, of.posture, at);
    s.step(Kind::Length, "hub from the elbow = hub \u{2212} elbow", format!("{work} \u{2212} {best}"));
}

/// Shoulder, upper arm, and forearm with half the hand.
struct Arm {
    shoulder: Num,
    upper: Num,
    fore: Num,
    trunk: Num,
}

fn arm(s: &mut Sums, at: &AtWork) -> Arm {
    let tall = tall(s, at);
    let trunk_part = s.bare("hip to shoulder, share of the stature", share::SHOULDER - share::HIP);
    let trunk =
        s.step(Kind::Length, "hip to shoulder = share \u{d7} stature", format!("{trunk_part} \u{d7} {tall}"));
    let upper_part = s.bare("shoulder to elbow, share of the stature", share::UPPER_ARM);
    let fore_part =
        s.bare("elbow to the middle of the hand, share of the stature", share::FOREARM + share::GRIP);
    let upper =
        s.step(Kind::Length, "upper arm = share \u{d7} stature", format!("{upper_part} \u{d7} {tall}"));
    let fore = s.step(
        Kind::Length,
        "forearm and half the hand = share \u{d7} stature",
        format!("{fore_part} \u{d7} {tall}"),
    );
    let shoulder = match at.body.seat {
        None => {
            let shoes = s.length("thickness of working shoes", at.body.shoes);
            let part = s.bare("height of the shoulder, share of the stature", share::SHOULDER);
            s.step(
                Kind::Length,
                "shoulder, upright = share \u{d7} stature + shoes",
                format!("{part} \u{d7} {tall} + {shoes}"),
            )
        }
        Some(seat) => {
            let seat = s.length("seat of the stool", seat);
            let part = s.bare("seat to elbow, share of the stature", share::ELBOW_SEATED);
            s.step(
                Kind::Length,
                "shoulder, upright = seat + share \u{d7} stature + upper arm",
                format!("{seat} + {part} \u{d7} {tall} + {upper}"),
            )
        }
    };
    Arm { shoulder, upper, fore, trunk }
}

/// How far the shoulders come down at a wheel.
pub(super) fn stoop_at_wheel(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, at: &AtWork) {
    let work = work_height(s, task, of);
    let arm = arm(s, at);
    stooped(s, &work, &arm);
}

fn stooped(s: &mut Sums, work: &Num, arm: &Arm) -> Num {
    s.step(
        Kind::Length,
        "stoop = shoulder \u{2212} upper arm \u{2212} forearm and half the hand \u{2212} hub, at least 0",
        format!("greatest({} \u{2212} {} \u{2212} {} \u{2212} {work}; 0)", arm.shoulder, arm.upper, arm.fore),
    )
}

/// How far the upper arm is raised.
pub(super) fn upper_arm(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, at: &AtWork) {
    let work = work_height(s, task, of);
    let parts = arm(s, at);
    let cosine = match of.posture {
        Posture::StandingUnder => under(s, at, &work, &parts),
        Posture::StandingAtWheel | Posture::SeatedAtWheel => {
            let stoop = stooped(s, &work, &parts);
            s.note("The forearm is level at the hub; the upper arm is raised as far as that takes.");
            s.step(
                Kind::Bare,
                "cosine of the angle = (shoulder \u{2212} stoop \u{2212} hub) / upper arm",
                format!("({} \u{2212} {stoop} \u{2212} {work}) / {}", parts.shoulder, parts.upper),
            )
        }
    };
    s.note("Upper arm: to 20\u{b0} good, to 60\u{b0} conditional, above not (EN 1005-4, as secondary sources give it).");
    let raised = at.pose.upper_arm.to_degrees();
    if raised <= 0.0 {
        s.step(Kind::Angle, "angle: with a cosine of 1 or more the arm hangs", format!("0 \u{d7} {cosine}"));
    } else if raised >= 180.0 {
        s.step(Kind::Angle, "angle: with a cosine of \u{2212}1 or less the arm is straight up", "180");
    } else {
        s.step(
            Kind::Angle,
            "angle of the upper arm from hanging = 90\u{b0} \u{2212} atan(cosine / \u{221a}(1 \u{2212} cosine\u{b2}))",
            format!("90 \u{2212} atan(({cosine}) / \u{221a}(1 \u{2212} ({cosine})\u{b2}))"),
        );
    }
}

/// Cosine of the angle of who stands under it, the head down to the underside if need be.
fn under(s: &mut Sums, at: &AtWork, work: &Num, arm: &Arm) -> Num {
    let mut shoulder = arm.shoulder.clone();
    if at.pose.stoop > Length::ZERO {
        let tall = tall(s, at);
        let shoes = s.length("thickness of working shoes", at.body.shoes);
        let stoop = s.step(
            Kind::Length,
            "stoop = stature + shoes \u{2212} underside",
            format!("{tall} + {shoes} \u{2212} {work}"),
        );
        let part = s.bare("hip to crown, share of the stature", 1.0 - share::HIP);
        let lean = s.step(
            Kind::Bare,
            "cosine of the trunk's lean = 1 \u{2212} stoop / (share \u{d7} stature), at least 0",
            format!("greatest(1 \u{2212} {stoop} / ({part} \u{d7} {tall}); 0)"),
        );
        shoulder = s.step(
            Kind::Length,
            "shoulder, stooping = shoulder \u{2212} hip to shoulder \u{d7} (1 \u{2212} cosine of the lean)",
            format!("{} \u{2212} {} \u{d7} (1 \u{2212} {lean})", arm.shoulder, arm.trunk),
        );
    }
    s.note("The forearm points straight up to the underside.");
    s.step(
        Kind::Bare,
        "cosine of the angle = (shoulder + forearm and half the hand \u{2212} underside) / upper arm",
        format!("({shoulder} + {} \u{2212} {work}) / {}", arm.fore, arm.upper),
    )
}

/// What the stretched arm is short of the work.
pub(super) fn short(s: &mut Sums, task: &Task<'_>, of: &TaskHeight, at: &AtWork) {
    let work = work_height(s, task, of);
    let parts = arm(s, at);
    s.step(
        Kind::Length,
        "out of reach = work \u{2212} (shoulder + upper arm + forearm and half the hand), at least 0",
        format!("greatest({work} \u{2212} ({} + {} + {}); 0)", parts.shoulder, parts.upper, parts.fore),
    );
}
