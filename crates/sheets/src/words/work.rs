//! Working forces and what is left when one thing fails, in words.

use planner::checks::What;
use planner::lift::Corner;
use planner::plan::{Check, Plan};
use planner::work::{ForceLeft, Instead, LockLoss, PadLoss, StateForce, Without, WorkAnswer};
use statics::{Force, Length, LimitedBy, Outcome};

use super::capital;
use super::corners::{arms, listed, pads_named};
use crate::units::Round;
use crate::{Scene, Units};

/// "\"pulling on the hub\" (task \"Wheel bearing\")"; without one, a person's push.
pub(crate) fn force_of(scene: &Scene<'_>, of: Option<(usize, usize)>) -> String {
    let Some((task, force)) = of else { return "a person's push at the height of the shake".into() };
    let task = scene.job.tasks.get(task);
    match task.and_then(|t| Some((t, t.forces.get(force)?))) {
        Some((task, force)) => format!("\"{}\" (task \"{}\")", force.name, task.name),
        None => "a force of the job".into(),
    }
}

/// "aft", "to the left and down": a direction on the vehicle.
pub(crate) fn direction([aft, left, up]: [f64; 3]) -> String {
    let longest = aft.abs().max(left.abs()).max(up.abs());
    // A part below a fifth of the longest does not change where a person pulls.
    let part = |v: f64, [plus, minus]: [&'static str; 2]| {
        (v.abs() > 0.2 * longest).then_some(if v > 0.0 { plus } else { minus })
    };
    let parts = [
        part(aft, ["aft", "forwards"]),
        part(left, ["to the left", "to the right"]),
        part(up, ["up", "down"]),
    ];
    listed(&parts.into_iter().flatten().collect::<Vec<_>>())
}

/// Where the hand is on a bar that counts.
fn hand(scene: &Scene<'_>, answer: &WorkAnswer, at: &StateForce, units: Units) -> String {
    let force = scene.job.tasks.get(answer.task).and_then(|t| t.forces.get(answer.force));
    let Some(force) = force else { return String::new() };
    let off = if force.off.iter().any(|off| *off > Length::ZERO) {
        ", where it bears taken at its worst"
    } else {
        ""
    };
    let Some(bar) = force.bar else { return off.into() };
    let (from, to) = (force.at.to_metres(), at.at.to_metres());
    // What is no more than the place may be off is not the bar.
    let lies = core::array::from_fn(|k| {
        let by = to[k] - from[k];
        if by.abs() > force.off[k].to_metres() + 1e-9 { by } else { 0.0 }
    });
    let way = match direction(lies).as_str() {
        "aft" => "behind it".into(),
        "forwards" => "ahead of it".into(),
        "up" => "above it".into(),
        "down" => "below it".into(),
        other => format!("{other} of it"),
    };
    format!(", the hand on the bar {} {way}{off}", units.length(bar.length))
}

/// What is withstood where so much is needed; beyond ten times that it says nothing.
fn size(force: Option<Force>, needed: Force, units: Units) -> String {
    match force {
        Some(force) if force <= needed * MANY => units.push_to(force, Round::Down),
        _ => format!("more than {}", units.push_to(needed * MANY, Round::Down)),
    }
}

/// So many times what is needed is as good as any.
pub(crate) const MANY: f64 = 10.0;

/// What happens beyond the most that is withstood in a state.
fn beyond(scene: &Scene<'_>, at: &StateForce, by: LimitedBy) -> String {
    let [aft, left, up] = at.along;
    match by {
        LimitedBy::Sliding if !at.slides.is_empty() => {
            let one = at.slides.len() == 1;
            format!("the {} slide{}", pads_named(scene, &at.slides), if one { "s" } else { "" })
        }
        // What pushes up tips nothing over: it takes the vehicle off a pad.
        LimitedBy::Tipping if up > aft.abs().max(left.abs()) => "it is lifted off its pads".into(),
        _ => then(by).into(),
    }
}

const fn then(by: LimitedBy) -> &'static str {
    match by {
        LimitedBy::Tipping => "it tips",
        LimitedBy::Sliding => "a pad slides",
        LimitedBy::Rating => "a pad is loaded beyond its rating",
    }
}

/// A force that may lift a pad empty, as a condition.
pub(super) fn unloads(
    scene: &Scene<'_>,
    of: (usize, usize),
    state: usize,
    corner: Corner,
    [at, needed]: [String; 2],
) -> String {
    format!(
        "{} may come to {needed}, and from {at} on the {} may carry nothing{} (derived): it then stands \
         on three pads. Less force, another point or direction of it, or a pad nearer to it would change that; stop as \
         soon as a pad comes free.",
        capital(&force_of(scene, Some(of))),
        pads_named(scene, &[corner]),
        in_state(scene.plan, state),
    )
}

/// The same in short: where, from what on, what to do.
pub(super) fn unloads_short(
    scene: &Scene<'_>,
    of: (usize, usize),
    state: usize,
    corner: Corner,
    [at, needed]: [Force; 2],
    units: Units,
) -> String {
    format!(
        "{}{}: up to {}; from {} on the {} may come free: stop as soon as it does, it then stands on three.",
        capital(&force_of(scene, Some(of))),
        in_state(scene.plan, state),
        units.push_to(needed, Round::Up),
        units.push_to(at, Round::Down),
        pads_named(scene, &[corner]),
    )
}

/// What is withstood of one force: needed, withstood, what ends it, what unloads first, where to pull instead.
pub(crate) fn force(scene: &Scene<'_>, answer: &WorkAnswer, units: Units) -> String {
    let Some(worst) = answer.states.get(answer.worst) else { return String::new() };
    let many = scene.plan.states.len() > 1;
    let name = |s: &StateForce| scene.plan.states.get(s.state).map_or("", |s| s.name.as_str());
    let mut said = format!(
        "{}: {} at the most; {} is withstood for certain, {}{}{}.",
        capital(&force_of(scene, Some((answer.task, answer.force)))),
        units.push_to(answer.needed, Round::Up),
        size(worst.withstands, answer.needed, units),
        direction(worst.along),
        hand(scene, answer, worst, units),
        if many { format!(", in state \"{}\"", name(worst)) } else { String::new() },
    );
    // Where far more is withstood than is needed, what ends it is of no use.
    let ends = worst.withstands.is_some_and(|f| f <= answer.needed * MANY);
    if let Some(by) = worst.limited_by.filter(|_| ends) {
        said += &format!(" Beyond that {}.", beyond(scene, worst, by));
    }
    if let Some((corner, push)) = worst.first_unloads.filter(|u| u.1 <= answer.needed * MANY) {
        said += &format!(
            " The {} may carry nothing from {} on.",
            pads_named(scene, &[corner]),
            units.push_to(push, Round::Down)
        );
    }
    if let Some(angle) = worst.force_angle {
        said += &format!(" Force-angle measure of tipping under it: {}.", units.angle(angle));
    }
    if let Some(instead) = answer.instead.as_ref().filter(|_| ends) {
        said += &format!(" {}", turned(instead, answer.needed, units));
    }
    let others: Vec<&StateForce> =
        answer.states.iter().enumerate().filter(|(k, _)| *k != answer.worst).map(|(_, s)| s).collect();
    if !others.is_empty() {
        said += &format!(" {}", elsewhere(&others, answer.needed, name, units));
    }
    said
}

/// More states than this are told by the least and the most of them.
const FEW: usize = 3;

/// What is withstood in the states other than the worst.
fn elsewhere<'a>(
    others: &[&StateForce],
    needed: Force,
    name: impl Fn(&StateForce) -> &'a str,
    units: Units,
) -> String {
    let told = |s: &StateForce| size(s.withstands, needed, units);
    if others.len() <= FEW {
        // States in which the same is withstood are named together.
        let mut alike: Vec<(String, Vec<String>)> = Vec::new();
        for state in others {
            let (size, named) = (told(state), format!("\"{}\"", name(state)));
            match alike.iter_mut().find(|(same, _)| *same == size) {
                Some((_, names)) => names.push(named),
                None => alike.push((size, vec![named])),
            }
        }
        let each = alike.into_iter().map(|(size, names)| {
            format!("{} {size}", listed(&names.iter().map(String::as_str).collect::<Vec<_>>()))
        });
        return format!("In other states: {}.", each.collect::<Vec<_>>().join(", "));
    }
    let end = |s: &&&StateForce| s.withstands.map_or(f64::INFINITY, Force::to_newtons);
    let least = others.iter().min_by(|a, b| end(a).total_cmp(&end(b))).map(|s| told(s)).unwrap_or_default();
    let most = others.iter().max_by(|a, b| end(a).total_cmp(&end(b))).map(|s| told(s)).unwrap_or_default();
    let to = if least == most { String::new() } else { format!(" to {most}") };
    format!("In the other {} states {least}{to}.", others.len())
}

fn turned(instead: &Instead, needed: Force, units: Units) -> String {
    let withstood = size(instead.withstands, needed, units);
    format!("{} instead, {withstood} is withstood.", capital(&direction(instead.along)))
}

/// Whether nothing of a force is withstood in a state that fails before anybody pushes.
pub(super) fn fails_unpushed(scene: &Scene<'_>, check: &Check) -> bool {
    let of_force = |check: &Check| matches!(check.what, What::WorkForce { .. });
    let before = |c: &&Check| c.binding && c.reserve < 0.0 && c.state == check.state && !of_force(c);
    of_force(check) && check.demand <= 0.0 && scene.plan.checks.iter().any(|c| before(&c))
}

/// What would mend a working force that is not withstood.
pub(super) fn cure(scene: &Scene<'_>, task: usize, force: usize, units: Units) -> String {
    let own = |c: &&Check| c.what == What::WorkForce { task, force };
    let worst = scene.plan.checks.iter().filter(own).min_by(|a, b| a.reserve.total_cmp(&b.reserve));
    if worst.is_some_and(|check| fails_unpushed(scene, check)) {
        return "It fails there before anybody pushes: what mends that may mend this.".into();
    }
    let answer = scene.plan.work.iter().find(|a| (a.task, a.force) == (task, force));
    let better = |i: &Instead, needed: Force| i.withstands.is_none_or(|f| f >= needed);
    let turn = answer.and_then(|a| Some((a.instead.as_ref().filter(|i| better(i, a.needed))?, a.needed)));
    let part = if scene.job.steps.is_empty() { "" } else { ", or before parts come off," };
    let rest = format!("Doing it on the floor{part} or a lever that asks for less force would change it.");
    turn.map_or_else(|| rest.clone(), |(turn, needed)| format!("{} {rest}", turned(turn, needed, units)))
}

/// What one pad that carries nothing means, pads of which the same is to be said together: as raised, what a shake at the
/// test raise shows of it, and what comes of it later.
pub(crate) fn pads(scene: &Scene<'_>, units: Units) -> Vec<String> {
    lost(scene, |l| told(&[as_raised(l, units), shaken(l, units), later(scene, l, units)]))
}

/// The same without what a shake would show of it.
pub(super) fn without(scene: &Scene<'_>, units: Units) -> Vec<String> {
    lost(scene, |l| told(&[as_raised(l, units), later(scene, l, units)]))
}

/// What a shake at the test raise shows of each pad that does not touch.
pub(super) fn shakes(scene: &Scene<'_>, units: Units) -> Vec<String> {
    lost(scene, |l| shaken(l, units))
}

fn told(sentences: &[String]) -> String {
    let some: Vec<&str> = sentences.iter().map(String::as_str).filter(|s| !s.is_empty()).collect();
    some.join(" ")
}

fn lost(scene: &Scene<'_>, say: impl Fn(&PadLoss) -> String) -> Vec<String> {
    let each = scene.plan.losses.pads.iter().map(|l| (l.corner, say(l)));
    together(each, |corners| pads_named(scene, corners))
}

/// What an arm that may swing means, likewise.
pub(crate) fn locks(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let arm = |l: &LockLoss| (scene.plan.pads[l.corner.index()].arm, lock(scene, l, units));
    together(scene.plan.losses.locks.iter().map(arm), |corners| format!("{} not locked", arms(corners)))
}

fn together(each: impl Iterator<Item = (Corner, String)>, name: impl Fn(&[Corner]) -> String) -> Vec<String> {
    let mut said: Vec<(Vec<Corner>, String)> = Vec::new();
    for (corner, text) in each.filter(|(_, text)| !text.is_empty()) {
        match said.iter_mut().find(|(_, known)| *known == text) {
            Some((corners, _)) => corners.push(corner),
            None => said.push((vec![corner], text)),
        }
    }
    let line = |(corners, text): (Vec<Corner>, String)| {
        let one = if corners.len() == 1 { "" } else { "any one of the " };
        format!("{}: {text}", capital(&format!("{one}{}", name(&corners))))
    };
    said.into_iter().map(line).collect()
}

/// Without the pad, as the vehicle is raised.
fn as_raised(lost: &PadLoss, units: Units) -> String {
    let changes = lost.worst.state != lost.raised.state && lost.worst.outcome != lost.raised.outcome;
    let when = if changes { "as raised, without it" } else { "without it" };
    format!("{when} {}{}.", stays(&lost.raised, CENTRE, units), others(lost.corner, &lost.raised, units))
}

/// What the states after it make of it: nothing where none is worse.
fn later(scene: &Scene<'_>, lost: &PadLoss, units: Units) -> String {
    let worst = &lost.worst;
    let Some(state) = scene.plan.states.get(worst.state).filter(|_| worst.state != lost.raised.state) else {
        return String::new();
    };
    let centre = if state.whole.is_some() { "the centre of what is left to the pads" } else { CENTRE };
    let what = format!("{}{}", stays(worst, centre, units), others(lost.corner, worst, units));
    if worst.outcome == lost.raised.outcome {
        return format!("It is worst in state \"{}\": {what}.", state.name);
    }
    let fate = if worst.outcome == Outcome::Tips { "FALLS" } else { "MAY FALL" };
    let unseen = match (lost.raised.outcome, lost.is_silent()) {
        (Outcome::Stable, true) => ", though nothing shows before",
        _ => "",
    };
    format!("LATER IT {fate}{unseen}: in state \"{}\" {what}.", state.name)
}

const CENTRE: &str = "its centre of gravity";

/// Whether the vehicle stays on the other three, and how far its centre is from their diagonal.
fn stays(left: &Without, centre: &str, units: Units) -> String {
    let inside = if left.outcome == Outcome::Stable { Round::Down } else { Round::Nearest };
    let far = units.length_to(left.from_diagonal.abs(), inside);
    let on_it = far.starts_with("0 ");
    match left.outcome {
        Outcome::Stable => {
            format!("the vehicle stays on the other three, {centre} {far} inside the diagonal")
        }
        // A centre on the diagonal itself falls either way.
        Outcome::Undecided | Outcome::Tips if on_it => {
            format!("the vehicle may fall towards it: {centre} is on the line between the two pads beside it")
        }
        Outcome::Undecided => format!(
            "the vehicle may fall towards it: {centre} is {far} from the diagonal, less than it may be off"
        ),
        Outcome::Tips => {
            format!("the vehicle falls towards it: {centre} is {far} beyond the diagonal, on its side")
        }
    }
}

/// What the hardest loaded of the other three carries, where they carry it.
fn others(lost: Corner, left: &Without, units: Units) -> String {
    left.hardest.filter(|_| left.outcome != Outcome::Tips).map_or_else(
        String::new,
        |(corner, load, rated)| {
            let over = if load > rated { ", above its rating of" } else { ", rated" };
            format!(
                "; {} then carries {}{over} {}",
                other_pad(lost, corner),
                units.load_to(load, Round::Up),
                units.rating(rated.as_mass())
            )
        },
    )
}

/// What a shake at the test raise shows, where this pad does not touch.
fn shaken(lost: &PadLoss, units: Units) -> String {
    let person = units.push(lost.person);
    match lost.rock_push {
        Some(push) if push == Force::ZERO => {
            "If it does not touch at the test raise, the vehicle leans until it does: look whether it stands level.".into()
        }
        Some(push) if !lost.is_silent() => format!(
            "If it does not touch, the body rocks at a push of {} or less {SQUARE}: a shake of {person} that way that moves \
             nothing proves that it carries.",
            units.push_to(push, Round::Up)
        ),
        Some(push) => format!(
            "Silence at the test raise proves nothing of it: the body may stay still up to a push of {} {SQUARE}, and a \
             person gives {person}. Check by hand that it is tight.",
            units.push_to(push, Round::Up)
        ),
        None => "A shake proves nothing of it. Check by hand that it is tight.".into(),
    }
}

/// The way to push, to rock the body onto a pad: any other takes more.
pub(super) const SQUARE: &str =
    "towards it, square to the line between the two pads beside it (any other way takes more)";

/// A pad as seen from another.
fn other_pad(from: Corner, to: Corner) -> &'static str {
    match (from.is_front() == to.is_front(), from.is_left() == to.is_left(), to.is_front()) {
        (true, _, true) => "the other front pad",
        (true, _, false) => "the other rear pad",
        (false, true, true) => "the front pad of that side",
        (false, true, false) => "the rear pad of that side",
        (false, false, _) => "the pad diagonally across",
    }
}

fn lock(scene: &Scene<'_>, lost: &LockLoss, units: Units) -> String {
    if lost.left.is_empty() {
        return String::new();
    }
    // What does not hold is all told; of what holds, the one that comes nearest to not holding.
    let spare = |left: &&ForceLeft| {
        let many = left.needed * MANY;
        left.withstands.unwrap_or(many).to_newtons() / left.needed.to_newtons()
    };
    let mut told: Vec<&ForceLeft> = lost.left.iter().filter(|left| !holds(left)).collect();
    if told.is_empty() {
        let least = lost.left.iter().filter(|l| loses(l)).min_by(|a, b| spare(a).total_cmp(&spare(b)));
        told.extend(least);
    }
    let told: Vec<String> = told.into_iter().map(|left| what_is_left(scene, left, units)).collect();
    if told.is_empty() {
        let of =
            if lost.left.iter().any(|l| l.of.is_some()) { "the work needs" } else { "a person's push needs" };
        return format!("nothing is lost of what {of}. Engage it all the same.");
    }
    format!("{}.", told.join("; "))
}

/// Whether a force is still withstood.
fn holds(left: &ForceLeft) -> bool {
    left.withstands.is_none_or(|f| f >= left.needed)
}

/// Whether it is withstood less than with the lock engaged, by more than a hundredth.
fn loses(left: &ForceLeft) -> bool {
    let many = left.needed * MANY;
    let [with, without] = [left.engaged, left.withstands].map(|f| f.map_or(many, |f| f.min(many)));
    without < with * 0.99
}

fn what_is_left(scene: &Scene<'_>, left: &ForceLeft, units: Units) -> String {
    let then = match left.limited_by {
        Some(LimitedBy::Sliding) => "the arm swings or a pad slides",
        Some(by) => then(by),
        None => "",
    };
    let fate = if holds(left) { "it still holds" } else { "IT DOES NOT HOLD" };
    let fate = if then.is_empty() || holds(left) { fate.to_owned() } else { format!("{fate}: {then}") };
    if left.engaged.is_some_and(|f| f <= Force::ZERO) {
        return format!(
            "{} is withstood nowhere, locked or not{}: {} is needed",
            force_of(scene, left.of),
            in_state(scene.plan, left.state),
            units.push_to(left.needed, Round::Up)
        );
    }
    format!(
        "of {} {} is left of {}{}, {} is needed, {fate}",
        force_of(scene, left.of),
        size(left.withstands, left.needed, units),
        size(left.engaged, left.needed, units),
        in_state(scene.plan, left.state),
        units.push_to(left.needed, Round::Up),
    )
}

fn in_state(plan: &Plan, state: usize) -> String {
    match plan.states.get(state) {
        Some(s) if plan.states.len() > 1 => format!(", in state \"{}\"", s.name),
        _ => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;
    use statics::Length;

    /// Of one lost pad: how it stands as raised and in the second state, what a shake gives.
    fn said(raised: (Outcome, f64), worst: (Outcome, f64), rock_push: Option<f64>) -> String {
        let made = fixtures::all().iter().find(|m| m.plan.states.len() > 1).unwrap();
        let mut plan = made.plan.clone();
        let left = |state: usize, (outcome, far): (Outcome, f64)| Without {
            state,
            outcome,
            from_diagonal: Length::metres(far),
            assured: Length::metres(far),
            over: [Corner::FrontRight, Corner::RearLeft],
            hardest: None,
        };
        plan.states[1].name = "engine off".into();
        plan.losses.pads = vec![PadLoss {
            corner: Corner::FrontLeft,
            raised: left(0, raised),
            worst: left(1, worst),
            rock_push: rock_push.map(Force::newtons),
            person: Force::newtons(200.0),
        }];
        pads(&Scene { plan: &plan, ..made.scene() }, Units::Metric).join("\n")
    }

    /// As raised nothing shows and the vehicle stands; it falls once the engine is out: each is told of its own state.
    #[test]
    fn what_the_test_raise_shows_is_told_apart_from_what_comes_later() {
        let text = said((Outcome::Stable, 0.06), (Outcome::Tips, -0.206), Some(640.2));
        assert_eq!(
            text,
            "Front left pad: as raised, without it the vehicle stays on the other three, its centre of gravity 60 mm inside \
             the diagonal. Silence at the test raise proves nothing of it: the body may stay still up to a push of 641 N \
             towards it, square to the line between the two pads beside it (any other way takes more), and a person gives \
             200 N. Check by hand that it is tight. LATER IT FALLS, though nothing shows before: in state \"engine off\" the \
             vehicle falls towards it: its centre of gravity is 206 mm beyond the diagonal, on its side."
        );
        assert!(
            said((Outcome::Stable, 0.06), (Outcome::Undecided, 0.01), Some(640.0))
                .contains("LATER IT MAY FALL")
        );
        // The same all along is said once.
        let same = said((Outcome::Stable, 0.06), (Outcome::Stable, 0.05), Some(150.0));
        assert!(!same.contains("LATER") && same.contains("It is worst in state \"engine off\""), "{same}");
        assert!(
            same.contains("a shake of 200 N that way that moves nothing proves that it carries"),
            "{same}"
        );
    }

    #[test]
    fn only_what_is_known_proves_and_a_centre_on_the_diagonal_is_said_so() {
        let on = said((Outcome::Tips, -0.000_01), (Outcome::Tips, -0.000_01), None);
        assert!(on.contains("is on the line between the two pads beside it") && !on.contains("0 mm"), "{on}");
        assert!(on.contains("A shake proves nothing of it. Check by hand"), "{on}");
        let leans = said((Outcome::Tips, -0.2), (Outcome::Tips, -0.3), Some(0.0));
        assert!(leans.contains("leans until it does") && !leans.contains("LATER"), "{leans}");
    }
}
