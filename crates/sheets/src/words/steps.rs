//! The order of the steps, and supporting stands.

use planner::frames::Vehicle;
use planner::plan::{NoStands, OrderAnswer, Standing, StandsAnswer};
use statics::{Force, Length, Place};

use super::capital;
use crate::units::Round;
use crate::{Scene, Units, units};

/// The given order and the one that was found, each with what it leaves; `None` if the given one will do.
#[must_use]
pub fn orders(scene: &Scene<'_>) -> Option<[(&'static str, String); 2]> {
    let order = scene.plan.order.as_ref()?;
    let given: Vec<usize> = (0..scene.job.steps.len()).collect();
    let line = |steps: &[usize], says: String| format!("{}: {says}.", listed(scene, steps));
    let (all, best, own) = (among_all(order), leaves(order.best_reserve), leaves(order.given_reserve));
    let as_given = match order.given_reserve_here() {
        Some(here) => format!("at the setup below {}; at the best setup for it {own}", leaves(here)),
        None => format!("at the best setup for it {own}"),
    };
    let other = if order.adopted {
        (BEST, format!("{} {all}", line(&order.steps, format!("at the setup below {best}"))))
    } else if order.steps == given {
        let none = match order.bound {
            None => {
                "no order of these steps is better at that setup: a change of order does not help.".into()
            }
            Some(_) => format!("none that was found is better than the given one. {all}"),
        };
        (OTHER, none)
    } else {
        let says = format!("at the best setup for it, which is not the one below, {best}");
        (BEST, format!("{} It does not pass either. {all}", line(&order.steps, says)))
    };
    Some([("Order, as given", line(&given, as_given)), other])
}

const BEST: &str = "Order, the best";
const OTHER: &str = "Another order";

fn leaves(reserve: f64) -> String {
    if reserve < 0.0 {
        units::reserve(reserve)
    } else {
        format!("least reserve of a state {}", units::reserve(reserve))
    }
}

fn among_all(order: &OrderAnswer) -> String {
    match order.bound {
        None => "At that setup no order leaves more.".into(),
        Some(bound) => format!(
            "There are too many steps to try all orders; at that setup none leaves more than {}.",
            units::reserve(bound)
        ),
    }
}

fn listed(scene: &Scene<'_>, steps: &[usize]) -> String {
    let names = steps.iter().filter_map(|k| scene.job.steps.get(*k)).map(planner::job::Step::state_name);
    names.collect::<Vec<_>>().join(", ")
}

/// That the steps must be done in another order than the job gives.
pub(super) fn in_this_order(scene: &Scene<'_>) -> String {
    let Some(order) = &scene.plan.order else { return String::new() };
    format!(
        "Do the steps in this order: {}. In the order that the job gives a state in between fails (moment \
         arithmetic, derived); in this one the least reserve of a state is {}.",
        listed(scene, &order.steps),
        units::reserve(order.best_reserve),
    )
}

/// The same for a sheet.
pub(super) fn in_this_order_short(scene: &Scene<'_>) -> String {
    scene
        .plan
        .order
        .as_ref()
        .map_or_else(String::new, |o| format!("In this order: {}.", listed(scene, &o.steps)))
}

/// The stands of the plan, if they make it pass.
pub(crate) fn standing<'a>(scene: &Scene<'a>) -> Option<&'a Standing> {
    match scene.plan.stands.as_ref()? {
        StandsAnswer::Serve(standing) => Some(standing),
        StandsAnswer::NoneServe(_) => None,
    }
}

/// Whether stands are set.
#[must_use]
pub fn has_stands(scene: &Scene<'_>) -> bool {
    standing(scene).is_some()
}

/// Where stands are set under the vehicle; none where none are.
pub(crate) fn stand_places(scene: &Scene<'_>) -> Vec<Place<Vehicle>> {
    let places = standing(scene).into_iter().flat_map(|s| &s.places);
    places.filter_map(|k| scene.vehicle.stand_places.get(*k)).map(|place| place.at).collect()
}

/// Where stands are set, when, and what each must carry and may carry.
pub(super) fn set_stands(scene: &Scene<'_>, units: Units) -> String {
    let Some(s) = standing(scene) else { return String::new() };
    let state = |k: usize| scene.plan.states.get(k).map_or("", |s| s.name.as_str());
    let [least, most] = units.load_kept([s.least, s.most]);
    let (a_stand, each) = match s.places.len() {
        1 => ("a stand".to_owned(), "it carries"),
        n => (format!("{n} stands"), "each carries"),
    };
    format!(
        "Set {a_stand} under {} before \"{}\", at lock {} with the head {} above the floor: screw up until {each} {}, at \
         least {least} and at most {most}, read on a scale or a load cell (how else to read it is not known here; where it \
         cannot be read, none is set). {} Take away only after \"{}\" (moment arithmetic, arms as springs, derived; rated \
         {}). {}",
        places(scene, s, units),
        state(s.from + 1),
        s.lock + 1,
        heights(s, units),
        units.load(s.load),
        changes(s, units),
        state(s.to),
        units.rating(s.rated.as_mass()),
        nobody_under(scene, s),
    )
}

/// The same at the hold point where they are set, to be ticked: what each is screwed up to, and that nobody goes under.
#[must_use]
pub fn stands_ticked(scene: &Scene<'_>, units: Units) -> String {
    let Some(s) = standing(scene) else { return "Stands set".into() };
    let [least, most] = units.load_kept([s.least, s.most]);
    let (set, they_are) =
        if s.places.len() == 1 { ("Stand set,", "it is") } else { ("Stands set, each", "they are") };
    format!("{set} {} ({least} to {most}) by scale: nobody under until {they_are} away", units.load(s.load))
}

/// Where stands are put, at which lock, and how high their heads are there; nothing where none are.
#[must_use]
pub fn stands_placed(scene: &Scene<'_>, units: Units) -> String {
    let Some(s) = standing(scene) else { return String::new() };
    format!(
        "{} under {}, at lock {}, head {} above the floor.",
        if s.places.len() == 1 { "Stand" } else { "Stands" },
        places(scene, s, units),
        s.lock + 1,
        heights(s, units)
    )
}

/// How the load of stands that are set changes of itself, and that nobody sets it anew; `None` = none are.
#[must_use]
pub fn stands_left_alone(scene: &Scene<'_>, units: Units) -> Option<String> {
    standing(scene).map(|s| changes(s, units))
}

/// How the load changes of itself; that it is counted, and that nobody sets it anew.
fn changes(s: &Standing, units: Units) -> String {
    let [less, more] = s.drift_most();
    let told = [(less, "less"), (more, "more")].into_iter().filter(|(by, _)| by.abs() > Force::ZERO);
    let told: Vec<String> =
        told.map(|(by, word)| format!("up to {} {word}", units.load_to(by.abs(), Round::Up))).collect();
    if told.is_empty() {
        return "Do not turn the screw again.".into();
    }
    let reaches = later(s, units).map_or_else(String::new, |later| format!(" ({later} on each)"));
    format!(
        "As parts come off and go on the load changes of itself, by {}{reaches}, for a post gives way less than the arms: \
         that is counted, so do not turn the screw again.",
        told.join(" or ")
    )
}

/// The same for a sheet.
pub(super) fn set_stands_short(scene: &Scene<'_>, units: Units) -> String {
    let Some(s) = standing(scene) else { return String::new() };
    let [least, most] = units.load_kept([s.least, s.most]);
    let state = |k: usize| scene.plan.states.get(k).map_or("", |s| s.name.as_str());
    format!(
        "{} under {} at lock {}, head {} above the floor, set before \"{}\", away only after \"{}\": screwed up to {}{}, \
         {least} to {most}, by a scale, and not again{}. Nobody under meanwhile; the lift is not moved.",
        if s.places.len() == 1 { "Stand" } else { "Stands" },
        names(scene, s),
        s.lock + 1,
        heights(s, units),
        state(s.from + 1),
        state(s.to),
        units.load(s.load),
        if s.places.len() == 1 { "" } else { " each" },
        later(s, units).map_or_else(String::new, |later| format!("; {later}")),
    )
}

/// What each may come to carry, where that is more than it is set to.
pub(crate) fn later(s: &Standing, units: Units) -> Option<String> {
    (s.reaches() > s.most).then(|| format!("later up to {}", units.load_to(s.reaches(), Round::Up)))
}

fn heights(s: &Standing, units: Units) -> String {
    let mut all: Vec<String> = s.heights.iter().map(|h| units.length(*h)).collect();
    all.dedup();
    all.join(" and ")
}

fn names(scene: &Scene<'_>, s: &Standing) -> String {
    let names = s.places.iter().filter_map(|k| scene.vehicle.stand_places.get(*k));
    names.map(|p| format!("\"{}\"", p.name)).collect::<Vec<_>>().join(" and ")
}

/// Each with where it is.
fn places(scene: &Scene<'_>, s: &Standing, units: Units) -> String {
    let named = s.places.iter().filter_map(|k| scene.vehicle.stand_places.get(*k)).map(|p| {
        let [aft, left] = p.at.to_metres().map(Length::metres);
        let side = match units.length(left.abs()) {
            zero if zero.starts_with("0 ") => "on the centre line".into(),
            some if left > Length::ZERO => format!("{some} left"),
            some => format!("{some} right"),
        };
        format!("\"{}\" ({} behind the front axle, {side})", p.name, units.length(aft))
    });
    named.collect::<Vec<_>>().join(" and ")
}

/// Which states are computed with stands.
#[must_use]
pub fn on_stands(scene: &Scene<'_>, units: Units) -> Option<String> {
    let s = standing(scene)?;
    let it = if s.places.len() == 1 { "the stand" } else { "the stands" };
    let states = scene.plan.states.iter().enumerate().filter(|(k, _)| s.relieves(*k));
    let told: Vec<String> = states
        .map(|(k, state)| {
            let loads: Vec<String> = s.checked(k).iter().map(|load| units.load(*load)).collect();
            let loads: Vec<&str> = loads.iter().map(String::as_str).collect();
            format!("\"{}\" with {} on {it}", state.name, super::corners::listed(&loads))
        })
        .collect();
    Some(format!(
        "{}: of all loads that {it} may carry there the worst; mass, front share, edge and tip are of what is left to the pads.",
        told.join(", ")
    ))
}

/// What a stand is not; and whether the vehicle would tip without it.
pub(super) fn stand_steadies(scene: &Scene<'_>) -> String {
    let tips = standing(scene).is_some_and(|s| s.tips_without);
    let without =
        if tips { " Without it the vehicle could tip: see that nobody can knock or move it." } else { "" };
    format!("{STAND_STEADIES}{without}")
}

const STAND_STEADIES: &str = "A stand steadies the vehicle, it does not replace a pad: all four pads and arm locks stay as they are, and \
     nobody goes under because of the stand (common practice, no source).";

/// Who may be where while stands carry, and what the lift may do.
fn nobody_under(scene: &Scene<'_>, s: &Standing) -> String {
    let states = scene.plan.states.iter().enumerate().filter(|(k, _)| s.relieves(*k));
    let names: Vec<String> = states.map(|(_, state)| format!("\"{}\"", state.name)).collect();
    let (it, is) = if s.places.len() == 1 { ("it", "is") } else { ("they", "are") };
    format!(
        "Nobody goes under the vehicle in {}: on the pads alone it does not pass there; work is done from the side. While \
         {it} {is} under the vehicle the lift is moved neither up nor down, and {it} come{} out before it is lowered.",
        names.join(", "),
        if it == "it" { "s" } else { "" }
    )
}

/// Why stands do not help; `None` if they do, or were not asked.
#[must_use]
pub fn no_stands(scene: &Scene<'_>, units: Units) -> Option<String> {
    let kit = scene.job.stands?;
    let StandsAnswer::NoneServe(why) = scene.plan.stands.as_ref()? else { return None };
    Some(match why {
        NoStands::NoPlace => {
            "stands are at hand, but the vehicle's file names no place for one. The vehicle \
             maker's points come first: look them up and add them as stand_places."
                .into()
        }
        NoStands::Alone(state) => format!(
            "they do not help: they are set after the raise and taken away before it comes down, and it fails in \
             \"{}\" on its pads alone.",
            scene.plan.states.get(*state).map_or("", |s| s.name.as_str())
        ),
        NoStands::Under { task, state } => format!(
            "they do not help: \"{}\" has people standing under in \"{}\", which passes only with a stand, and nobody \
             goes under because of a stand. Done from the side (posture \"standing at a wheel\"), or in another state, \
             stands may help.",
            scene.job.tasks.get(*task).map_or("a task", |t| t.name.as_str()),
            scene.plan.states.get(*state).map_or("", |s| s.name.as_str())
        ),
        NoStands::Height(height) => format!(
            "they do not help: at the lock to work at the lowest place is {} above the floor, the stands at hand \
             reach from {} to {}, and no other lock fits.",
            units.length(*height),
            units.length(kit.lowest),
            units.length(kit.highest)
        ),
        NoStands::NoneHelps => {
            "none of the stands at hand, at the places that the vehicle's file names, makes \
             every state pass, their loads changing of themselves as parts come off."
                .into()
        }
        NoStands::NotAsTold => {
            "set where and to the load that the plan gives, they do not make every state pass, by what is known now.".into()
        }
    })
}

/// Stands as a change that would pass.
pub(super) fn stands_would_do(s: &Standing, scene: &Scene<'_>, units: Units) -> String {
    let [least, most] = units.load_kept([s.least, s.most]);
    let at_hand = scene.job.stands.map_or_else(
        || "None is at hand".into(),
        |kit| {
            format!(
                "Those at hand, rated {} and reaching from {} to {}, do not do",
                units.rating(kit.rated.as_mass()),
                units.length(kit.lowest),
                units.length(kit.highest)
            )
        },
    );
    let one = s.places.len() == 1;
    let (stands, each, it, ones) = if one {
        ("a stand".into(), "", "it", "one")
    } else {
        (format!("{} stands", s.places.len()), "each ", "each", "any")
    };
    let rating = units.load_to(s.reaches(), Round::Up);
    let rated = if s.reaches() > s.most {
        format!("{it} may come to carry {rating} of itself, and must be rated for that")
    } else {
        format!("{it} must be rated for {rating}")
    };
    let rated = capital(&rated);
    capital(&format!(
        "{stands} under {}, head {} above the floor, {each}set to carry at least {least} and at most {most}, would pass, with \
         nobody under meanwhile. {rated}; {ones} rated for less can use a part of that range only, if any: a plan with {ones} \
         tells. {at_hand}.",
        names(scene, s),
        heights(s, units),
    ))
}
