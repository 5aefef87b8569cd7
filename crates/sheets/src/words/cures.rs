//! What would change a figure that fails: for a planner what could be otherwise, for the person at the
//! vehicle what to move. Only what this lift, vehicle and job allow.

use planner::checks::What;
use planner::frames::DrivenIn;
use planner::plan::{Change, Check, Move, Sense, Unit, Why};
use statics::{Length, Mass};

use super::corners::pair_of;
use super::settings::adapters;
use super::{arm_name, capital, pads_named, share_is_assumed};
use crate::{Origin, Scene, Units};

/// What would change checks of one kind, as short sentences.
pub(super) fn cure(scene: &Scene<'_>, checks: &[&Check], units: Units) -> String {
    match scene.origin {
        Origin::Planned => checks.first().map_or_else(String::new, |worst| otherwise(scene, worst, units)),
        Origin::AsPlaced => at_the_vehicle(scene, checks, units),
    }
}

/// What could be otherwise, said to a planner. What the search has tried of every spot and place of the pads
/// is no cure.
fn otherwise(scene: &Scene<'_>, check: &Check, units: Units) -> String {
    if check.why == Some(Why::Together) {
        return "Some setups meet this, but none meets it together with the rest.".into();
    }
    let elsewhere = check.why == Some(Why::NoSetup { elsewhere: true });
    let spot = elsewhere.then_some("the lift maker's word on another spot than the plate's");
    let setup = (!check.binding).then_some("another setup");
    let stands = [spot, setup];
    let point = "another of the vehicle maker's lifting points";
    // Where not even all of it would be enough, it is no cure.
    let enough = |gain: f64| match check.sense {
        Sense::AtLeast => check.demand + gain >= check.limit,
        Sense::AtMost => check.demand - gain <= check.limit,
    };
    let enough_length = |gain: Length| enough(gain.to_metres());
    let loads = scene.job.loads.iter().map(|l| l.mass.greatest()).fold(Mass::ZERO, |sum, m| sum + m);
    let load_helps = match check.unit {
        Unit::Kilogram => enough(loads.to_kilograms()),
        Unit::Newton => enough(loads.weight().to_newtons()),
        _ => true,
    };
    let load = (!scene.job.loads.is_empty() && load_helps).then_some("a load taken out");
    let part = check.state.is_some_and(|k| k > 0).then_some("a part left on");
    let weighed = share_is_assumed(scene).then_some("weighing the axles");
    let stronger = Some("a stronger lift");
    let shut = clears_when_shut(scene, check).then_some("leaving hatch and bonnet shut");
    let ramps = Some("ramps under the wheels before the arms go in");
    let guessed = !scene.vehicle.unmeasured.guesses.is_empty();
    let measured = |what| guessed.then_some(what);
    let what = check.what;
    let options: Vec<Option<&str>> = match what {
        What::PadInArea(_) => vec![Some("a wider lifting area"), Some(point)],
        What::PadToKeepOut(..) => {
            let smaller = enough_length(scene.lift.pads.radius);
            vec![smaller.then_some("a smaller pad"), Some(point)]
        }
        What::ReachIn(_) => [&[Some("arms that go farther in")], &stands[..]].concat(),
        What::ReachOut(_) => [&[Some("arms that reach farther out")], &stands[..]].concat(),
        What::SwingFrom(_) | What::SwingTo(_) | What::BeamToKeepOut(..) => {
            [&stands[..], &[Some(point)]].concat()
        }
        What::Tooth(_) => return "Move the arm until its restraint drops in.".into(),
        What::BeamToTyre(corner, _) => {
            let arm = scene.plan.pads[corner.index()].arm;
            // A beam grows narrower on both sides.
            let narrower = enough_length(scene.lift.arms[arm.index()].beam_width / 2.0);
            let narrower = narrower.then_some("a narrower arm");
            [&[measured("measuring tracks and tyres")], &stands[..], &[narrower]].concat()
        }
        What::BeamToBeam(_) => vec![Some("lifting points farther apart")],
        What::BeamUnderSill(corner) => {
            let arm = scene.plan.pads[corner.index()].arm;
            let lower = enough_length(scene.lift.arms[arm.index()].beam_top).then_some("lower arms");
            vec![measured("measuring the sill height"), lower, ramps]
        }
        What::PadEntry(_) => {
            let lower = enough_length(scene.lift.pads.lowest).then_some("lower pads");
            vec![measured("measuring the undersides"), lower, ramps]
        }
        What::Level => vec![Some("adapters that take up the difference of the undersides")],
        What::PadRating(_) | What::PairRating { .. } => vec![weighed, load, stronger],
        What::PadCarries(_) => [&stands[..], &[load, Some(point)]].concat(),
        What::ShareLeast | What::ShareMost | What::SplitRule => {
            [&stands[..], &[Some("lifting points nearer the heavier end"), weighed, load]].concat()
        }
        What::EdgeDistance(..) => {
            [&stands[..], &[Some("lifting points farther apart"), weighed, part]].concat()
        }
        What::TipRatio => {
            [&stands[..], &[Some("lifting points farther apart"), weighed, load, part]].concat()
        }
        What::WorkForce { task, force } => return super::work::cure(scene, task, force, units),
        What::PlateSpot => return "Drive the front wheel onto the mark.".into(),
        What::Door(_) => stands.to_vec(),
        What::Between => {
            let mirrors = fits_with_mirrors_folded(scene, check).then_some("folding the mirrors");
            vec![measured("measuring the width"), mirrors, Some("a wider lift")]
        }
        What::BayAhead | What::BayBehind => {
            [&[measured("measuring the overhangs"), Some("a longer bay")], &stands[..]].concat()
        }
        What::Capacity => vec![load, stronger],
        What::Ceiling => vec![measured("measuring the roof height"), shut, Some("a higher bay")],
    };
    let options: Vec<&str> = options.into_iter().flatten().collect();
    let listed = match options.as_slice() {
        [] => return String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    };
    if check.binding && scene.plan.change.is_none() {
        return format!(
            "{} would change this figure; that it alone would pass is not known.",
            capital(&listed)
        );
    }
    format!("{} would change it.", capital(&listed))
}

/// What to do, said to the person at the vehicle: one thing, and nothing that would not let it be raised.
fn at_the_vehicle(scene: &Scene<'_>, checks: &[&Check], units: Units) -> String {
    let anew = matches!(scene.plan.change, Some(Change::SetAnew(..)));
    let stuck = |c: &Check| c.binding && c.reserve < 0.0 && movable(c.what) && c.mend.is_none();
    let moves_do = anew && !scene.plan.checks.iter().any(stuck);
    let mut sentences: Vec<String> = Vec::new();
    for check in checks {
        let text = match &check.mend {
            Some(by) if moves_do || !check.binding => order(scene, by, units),
            None if !check.binding => "No one move mends it; it is advised, not required.".into(),
            _ if movable(check.what) && anew => SET_ANEW.into(),
            _ if movable(check.what) => NO_SETUP.into(),
            Some(by @ (Move::Heights(_) | Move::Square)) => order(scene, by, units),
            _ => without_a_move(scene, check, units),
        };
        if !sentences.contains(&text) {
            sentences.push(text);
        }
    }
    sentences.join(" ")
}

const SET_ANEW: &str = "Set the vehicle and all four pads anew.";
const NO_SETUP: &str = "No setup passes here: do not raise it in this bay.";

/// Whether only a move could mend it.
const fn movable(what: What) -> bool {
    !matches!(
        what,
        What::PlateSpot
            | What::Tooth(_)
            | What::BeamUnderSill(_)
            | What::PadEntry(_)
            | What::Between
            | What::Capacity
            | What::Ceiling
            | What::PadRating(_)
            | What::PairRating { .. }
    )
}

/// A move as an order.
fn order(scene: &Scene<'_>, by: &Move, units: Units) -> String {
    let along = |aft: Length| (aft != Length::ZERO).then(|| far(aft, ["aft", "forwards"], units));
    match by {
        Move::Pad { corner, aft, left } => {
            let out = if corner.is_left() { *left } else { -*left };
            let across = (out != Length::ZERO).then(|| far(out, ["outwards", "inwards"], units));
            let ways: Vec<String> = [along(*aft), across].into_iter().flatten().collect();
            format!("Move the {} {}.", pads_named(scene, &[*corner]), ways.join(" and "))
        }
        Move::Pair { front, aft } => {
            format!(
                "Move the {} {}.",
                pads_named(scene, &pair_of(*front)),
                far(*aft, ["aft", "forwards"], units)
            )
        }
        Move::Vehicle { forwards } => format!(
            "Roll the vehicle {} and set the pads again where they are on it.",
            far(*forwards, ["forwards", "back"], units)
        ),
        Move::Square => "Drive it in again, centred between the columns and square to them.".into(),
        Move::Heights(heights) => {
            let pads = planner::lift::Corner::ALL.map(|corner| {
                let i = corner.index();
                let stack = match heights.adapters[i].as_slice() {
                    [] => String::new(),
                    some => format!(" (adapters {})", adapters(some, units)),
                };
                format!("{} {}{stack}", arm_name(&scene.plan.pads[i]), units.length(heights.tops[i]))
            });
            format!("Set the pads to these heights: {}.", pads.join(", "))
        }
    }
}

/// "32 mm aft": a distance, and the word for its direction.
fn far(by: Length, [plus, minus]: [&str; 2], units: Units) -> String {
    let word = if by > Length::ZERO { plus } else { minus };
    format!("{} {word}", units.length(by.abs()))
}

/// Where no move was found: what is left to do there.
fn without_a_move(scene: &Scene<'_>, check: &Check, units: Units) -> String {
    let load = (!scene.job.loads.is_empty()).then_some("Take a load out");
    let or = |first: Option<&str>, then: &str| {
        first.map_or_else(|| format!("{}.", capital(then)), |first| format!("{first}, or {then}."))
    };
    match check.what {
        What::PlateSpot => match (scene.plan.mark_spot, &scene.plan.mark) {
            (Some(spot), Some(mark)) => {
                let ahead = spot - scene.plan.placement.spot;
                let own = match scene.plan.placement.driven_in {
                    DrivenIn::Forwards => ahead,
                    DrivenIn::Backwards => -ahead,
                };
                format!("Roll the vehicle {}, onto mark {mark}.", far(own, ["forwards", "back"], units))
            }
            _ => "Drive the front wheel onto its mark.".into(),
        },
        What::Tooth(_) => "Move the arm until its restraint drops in.".into(),
        What::BeamUnderSill(_) | What::PadEntry(_) => {
            "Put ramps under the wheels before the arms go in, and measure the heights again.".into()
        }
        What::Between if fits_with_mirrors_folded(scene, check) => {
            "Fold the mirrors, and measure the width again.".into()
        }
        What::Between => "It is too wide for these columns: take it to a wider lift.".into(),
        What::Capacity => or(load, "take it to a stronger lift"),
        What::Ceiling if clears_when_shut(scene, check) => "Shut hatch and bonnet before the raise.".into(),
        What::Ceiling => "This bay is too low for it: take it to a higher one.".into(),
        What::PadRating(_) | What::PairRating { .. } => or(load, "take it to a stronger lift"),
        _ => String::new(),
    }
}

/// Whether the body alone would pass between the columns, mirrors folded.
fn fits_with_mirrors_folded(scene: &Scene<'_>, check: &Check) -> bool {
    let outline = &scene.vehicle.outline;
    let gained = outline.mirrors.map_or(Length::ZERO, |m| (m.width - outline.width) / 2.0);
    gained > Length::ZERO && check.demand + gained.to_metres() >= check.limit
}

/// Whether the roof clears the ceiling with hatch and bonnet shut.
fn clears_when_shut(scene: &Scene<'_>, check: &Check) -> bool {
    let roof = scene.vehicle.outline.roof;
    let gained = scene.job.opened_height.map_or(Length::ZERO, |opened| opened - roof);
    gained > Length::ZERO && check.demand + gained.to_metres() >= check.limit
}
