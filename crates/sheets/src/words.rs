//! Every sentence about a plan. One plain sentence for each fact: figure, limit, source, and what
//! would change it.

mod checks;
mod corners;
mod cures;
mod faults;
mod heights;
mod inputs;
mod measurements;
mod moments;
pub mod practice;
mod reasons;
mod settings;
mod states;
mod steps;
mod survey;
mod unmeasured;
mod why_not;
pub(crate) mod work;

use std::borrow::Cow;

use planner::frames::{DrivenIn, Placement};
use planner::lift::Corner;
use planner::limits::{Name, Own};
use planner::plan::{Assumption, Besides, Change, Check, Kind, StateAnswer, Verdict};
use planner::vehicle::Weight;
use statics::{Force, Length};

pub use checks::check_title;
pub(crate) use checks::limit_of;
pub(crate) use corners::{VEHICLES_CORNERS, listed};
pub use corners::{arm_name, corner_name, pads_as_driven, pads_named};
pub use faults::{input_fault, state_fault};
pub use heights::step_heights;
pub(crate) use heights::{arm, at_step, at_work, task_height};
pub use inputs::weights;
pub use measurements::measurement;
pub use moments::{Moment, conditions_at};
pub use reasons::{Reason, conditions, gives_way, refusals, watch};
#[cfg(test)]
pub(crate) use settings::adapters;
pub(crate) use settings::pads_raised;
pub use settings::{adapters_on, pad_height, swing};
pub(crate) use states::off;
pub use states::{along_the_job, held_by, moved, no_chance, sure, went};
pub use steps::{has_stands, no_stands, on_stands, orders, stands_left_alone, stands_placed, stands_ticked};
pub(crate) use steps::{later as stand_later, stand_places, standing};
pub use survey::{limits_that_differ, survey};
pub use why_not::why_not;

use crate::units::Round;
use crate::{Origin, Scene, Units};

/// Said at the end of every report and on every sheet.
#[must_use]
pub const fn cautions() -> [&'static str; 4] {
    [
        "The vehicle maker's lifting points and the lift maker's manual come before this plan.",
        "Local rules and a competent person at the lift decide; this plan only computes.",
        "Stop at the test raise: all four pads seated, all four tyres clear, nothing moves when shaken.",
        "Nobody goes under before the lift rests on its locks. If anything changes, plan again.",
    ]
}

/// Said of the setup of a refused plan.
pub(crate) const COMES_NEAREST: &str =
    "The setup below comes nearest. It fails what is said above: do not raise on it.";

/// The same where the reasons stand elsewhere.
pub(crate) const COMES_NEAREST_WORKED: &str =
    "MUST NOT BE RAISED: the setup worked out here comes nearest, and fails. Do not raise on it.";

/// What swing and height are measured from.
pub(crate) const SWING_AND_HEIGHT: &str =
    "Swing from square across the bay. Pad height: top of pad, lift fully down, adapters on.";

/// Names that hold signs which the type lacks: of what, and which.
#[must_use]
pub fn not_printed(scene: &Scene<'_>) -> Vec<String> {
    let (lift, vehicle, job) = (scene.lift, scene.vehicle, scene.job);
    let own = [("lift", &lift.name), ("vehicle", &vehicle.name), ("job", &job.name)];
    let parts = (vehicle.keep_outs.iter().map(|k| ("part", &k.name)))
        .chain(vehicle.doors.iter().map(|d| ("door", &d.name)))
        .chain(job.tasks.iter().map(|t| ("task", &t.name)))
        .chain(scene.plan.states.iter().map(|s| ("state", &s.name)));
    let mut all: Vec<String> = own
        .into_iter()
        .chain(parts)
        .filter_map(|(what, name)| {
            crate::font::lacks(name)
                .map(|signs| format!("the name of a {what}, \u{201c}{name}\u{201d} ({signs})"))
        })
        .collect();
    all.dedup();
    all
}

/// The verdict in words; a pass by limits that somebody made looser says so.
#[must_use]
pub fn verdict(scene: &Scene<'_>) -> String {
    let many = |n: usize, one: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") };
    let by = if scene.plan.assumptions.iter().any(is_looser) { ", by looser own limits" } else { "" };
    match scene.plan.verdict {
        Verdict::Raise => format!("May be raised{by}"),
        Verdict::RaiseWithConditions => {
            format!("May be raised under {}{by}", many(conditions(scene).len(), "condition"))
        }
        Verdict::DoNotRaise => {
            format!("Must not be raised, for {}", many(refusals(scene).len(), "reason"))
        }
    }
}

/// A limit that was made looser is no guess: it is told by itself, with its figures.
pub(crate) const fn is_looser(assumption: &Assumption) -> bool {
    matches!(assumption.kind, Kind::LooserLimit(_))
}

/// The limits by which the plan is looser than the default, a sentence each.
#[must_use]
pub fn looser_limits(scene: &Scene<'_>, units: Units) -> Vec<String> {
    scene.plan.assumptions.iter().filter(|a| is_looser(a)).map(|a| short_assumption(a, units)).collect()
}

/// Where the setup comes from.
#[must_use]
pub const fn origin(scene: &Scene<'_>) -> &'static str {
    match scene.origin {
        Origin::Planned => "planned",
        Origin::AsPlaced => "as placed",
    }
}

/// In which other bays it may be raised, as one sentence; `None` if none was asked.
#[must_use]
pub fn other_bays(scene: &Scene<'_>) -> Option<String> {
    let bays = scene.other_bays?;
    if bays.is_empty() {
        return Some("No other bay on file takes it.".into());
    }
    let named = bays.iter().map(|bay| match bay.verdict {
        Verdict::RaiseWithConditions => format!("{} (under conditions)", bay.lift),
        _ => bay.lift.clone(),
    });
    Some(format!("It may be raised in: {}.", named.collect::<Vec<_>>().join(", ")))
}

/// The check to tell of first, and what it is called: of a refused plan what forbids it, else what leaves least.
#[must_use]
pub fn deciding<'a>(scene: &Scene<'a>) -> (&'static str, &'a Check) {
    match scene.plan.forbidden_by() {
        Some(check) => ("Forbidden by", check),
        None => ("Least reserve", scene.plan.worst_check()),
    }
}

/// Demand and limit of a check, in the reader's units.
#[must_use]
pub fn figures(check: &Check, units: Units) -> [String; 2] {
    units.pair([check.demand, check.limit], check.unit, check.sense)
}

/// To which side the figure of a check is rounded: to the nearest where it is the limit itself.
pub(crate) fn demand_side(check: &Check) -> Round {
    Round::of_pair([check.demand, check.limit], check.sense)[0]
}

/// The same with a decimal more, for working something out.
pub(crate) fn fine_figures(check: &Check, units: Units) -> [String; 2] {
    let demand = units.fine_figure_to(check.demand, check.unit, demand_side(check));
    [demand, units.fine_figure(check.limit, check.unit)]
}

/// With two decimals more, for a reserve that is to be worked out again.
pub(crate) fn finest_figures(check: &Check, units: Units) -> [String; 2] {
    [check.demand, check.limit].map(|v| units.finest_figure(v, check.unit))
}

/// The title of a check, with its state where the job has more than one.
#[must_use]
pub fn title_in_state(scene: &Scene<'_>, check: &Check) -> String {
    reasons::titled(scene, &[check])
}

/// Where the front wheel stands.
#[must_use]
pub fn spot(scene: &Scene<'_>, units: Units) -> String {
    let mark = match (&scene.plan.mark, scene.plan.mark_spot) {
        (Some(mark), Some(place)) => {
            format!(", {} the plate's mark {mark}", ahead_of(scene.plan.placement.spot - place, units))
        }
        _ => String::new(),
    };
    format!("{} the column line{mark}", ahead_of(scene.plan.placement.spot, units))
}

/// The same in two: the figure, and from what.
pub(crate) fn spot_in_two(scene: &Scene<'_>, units: Units) -> (String, String) {
    let whole = spot(scene, units);
    match whole.find(" of the column").or_else(|| whole.find(" the column")) {
        Some(at) => (capital(&whole[..at]), whole[at..].trim_start().to_owned()),
        None => (whole, String::new()),
    }
}

/// "640 mm ahead of", "12 mm behind" or "on".
pub(crate) fn ahead_of(x: Length, units: Units) -> String {
    match units.length(x.abs()) {
        zero if zero.starts_with("0 ") => "on".into(),
        some if x > Length::ZERO => format!("{some} ahead of"),
        some => format!("{some} behind"),
    }
}

/// How the vehicle stands besides its spot.
#[must_use]
pub fn stance(scene: &Scene<'_>, units: Units) -> String {
    stance_of(&scene.plan.placement, units)
}

/// Where a vehicle stood, as measured.
#[must_use]
pub fn stood(at: &Placement, units: Units) -> String {
    format!("front wheel {} the column line; {}", ahead_of(at.spot, units), stance_of(at, units))
}

fn stance_of(at: &Placement, units: Units) -> String {
    let side = if at.offset > Length::ZERO { "left" } else { "right" };
    let centred = match units.length(at.offset.abs()) {
        zero if zero.starts_with("0 ") => "centred between the columns".into(),
        some => format!("front axle {some} {side} of the bay's centre line"),
    };
    let turned = match units.angle(at.yaw.abs()).as_str() {
        "0°" => "square to them".into(),
        some => format!(
            "turned {some} {}",
            if at.yaw.to_radians() > 0.0 { "to the left" } else { "to the right" }
        ),
    };
    format!("{}, {centred}, {turned}", way_in(at.driven_in))
}

const fn way_in(driven_in: DrivenIn) -> &'static str {
    match driven_in {
        DrivenIn::Forwards => "driven in forwards",
        DrivenIn::Backwards => "driven in BACKWARDS",
    }
}

/// Whether the place of the centre of gravity along the vehicle rests on an assumption.
#[must_use]
pub const fn share_is_assumed(scene: &Scene<'_>) -> bool {
    match &scene.vehicle.weight {
        Weight::Total(_) => true,
        Weight::TotalAndShare { front_share, .. } => front_share.is_assumed(),
        Weight::AxleLoads { front, rear } => front.is_assumed() || rear.is_assumed(),
        Weight::WheelLoads(_) => false,
    }
}

/// Where the centre of gravity is in a state, and how sure that is: along, across, up.
#[must_use]
pub fn centre_of_gravity(scene: &Scene<'_>, state: &StateAnswer, units: Units) -> [String; 3] {
    let [aft, left, up] = state.cg.to_metres();
    let side = if left < 0.0 { "right of the centre plane" } else { "left of the centre plane" };
    let height_assumed = scene.vehicle.cg_height.as_ref().is_none_or(planner::Measured::is_assumed);
    let wheels_weighed = matches!(scene.vehicle.weight, Weight::WheelLoads(_));
    let assumed = [share_is_assumed(scene), !wheels_weighed, height_assumed];
    let figures = [(aft, "behind the front axle"), (left.abs(), side), (up, "above the ground")];
    std::array::from_fn(|i| {
        let (value, from) = figures[i];
        let value = guessed(units.length(Length::metres(value)), assumed[i]);
        format!(
            "{value} {from}, \u{b1} {}, standard uncertainty {}",
            units.length_to(state.cg_tolerance[i], Round::Up),
            units.length(state.cg_uncertainty[i]),
        )
    })
}

/// A figure that was guessed looks guessed.
#[must_use]
pub fn guessed(figure: String, assumed: bool) -> String {
    if assumed { format!("about {figure} (assumed)") } else { figure }
}

/// What was assumed, as a noun phrase.
#[must_use]
pub fn assumed(assumption: &Assumption, units: Units) -> String {
    match assumption.kind {
        Kind::AtReach(reach) => format!("{} at a reach of {}", assumption.what, units.length(reach)),
        Kind::Value | Kind::Tolerance | Kind::NotCounted | Kind::LooserLimit(_) => assumption.what.clone(),
    }
}

/// Something that was not known, as one sentence.
#[must_use]
pub fn assumption(assumption: &Assumption, units: Units) -> String {
    let figure = |v| units.limit(v, assumption.unit);
    if let Kind::LooserLimit(name) = assumption.kind {
        return format!(
            "{}; a setup may pass that the default of {} ({}) would refuse.",
            own_limit(name, assumption.value, Some(&assumption.source), units),
            figure(name.row().value),
            name.row().source,
        );
    }
    if assumption.kind == Kind::NotCounted {
        return format!("{} ({}).", not_counted(assumption, units), assumption.source);
    }
    let about = match about(assumption, units) {
        (figure, None) => format!("{figure} (assumed; "),
        (figure, Some(range)) => format!("{figure} (assumed; from {range}; "),
    };
    format!("{}: {about}{}).", capital(&assumed(assumption, units)), assumption.source)
}

/// Of a stated value that it alone counts.
fn not_counted(assumption: &Assumption, units: Units) -> String {
    let [least, greatest] = units.between([assumption.least, assumption.greatest], assumption.unit);
    format!(
        "{}: {} counts, not that it may be anything from {least} to {greatest}",
        capital(&assumption.what),
        units.limit(assumption.value, assumption.unit)
    )
}

/// The value in words, and its range if it has one.
fn about(assumption: &Assumption, units: Units) -> (String, Option<String>) {
    if assumption.kind == Kind::Tolerance {
        let [_, most] = units.between([0.0, assumption.value], assumption.unit);
        return (format!("at most {most}"), None);
    }
    let [least, greatest] = units.between([assumption.least, assumption.greatest], assumption.unit);
    let range = (assumption.greatest > assumption.least && least != greatest)
        .then(|| format!("{least} to {greatest}"));
    (format!("about {}", units.limit(assumption.value, assumption.unit)), range)
}

/// The same without sources, for a sheet.
pub(crate) fn short_assumption(assumption: &Assumption, units: Units) -> String {
    let figure = |v| units.limit(v, assumption.unit);
    let what = capital(&assumed(assumption, units));
    match assumption.kind {
        Kind::LooserLimit(name) => format!(
            "{what}: {} by OWN LIMITS, for {} by default.",
            figure(assumption.value),
            figure(name.row().value)
        ),
        Kind::NotCounted => format!("{}.", not_counted(assumption, units)),
        Kind::Value | Kind::Tolerance | Kind::AtReach(_) => match about(assumption, units) {
            (figure, None) => format!("{what}: {figure}."),
            (figure, Some(range)) => format!("{what}: {figure} ({range})."),
        },
    }
}

fn own_limit(name: Name, value: f64, source: Option<&str>, units: Units) -> String {
    let row = name.row();
    format!(
        "Limit of {}: {}, from the file of own limits ({})",
        row.title,
        units.limit(value, row.unit),
        source.unwrap_or("no source given"),
    )
}

/// The limits that are not the program's, a sentence each.
#[must_use]
pub fn own_limits(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let say = |own: &Own| {
        let row = own.name.row();
        format!(
            "{}; {} by default ({}).",
            own_limit(own.name, own.value, own.source.as_deref(), units),
            units.limit(row.value, row.unit),
            row.source,
        )
    };
    scene.limits.all_own().iter().map(say).collect()
}

/// Where a check's limit comes from: the file of own limits, if it stands there. Whose it is, the plan alone does not know.
#[must_use]
pub fn source<'a>(scene: &Scene<'a>, check: &Check) -> Cow<'a, str> {
    let name = limit_of(scene, check.what).filter(|n| n.row().source == check.source);
    match name.and_then(|n| scene.limits.own(n)) {
        Some(own) => Cow::Owned(of_own(own)),
        None => Cow::Borrowed(check.source),
    }
}

fn of_own(own: &Own) -> String {
    own.source.as_ref().map_or_else(|| "own limit".into(), |s| format!("own limit: {s}"))
}

/// Where a limit comes from that is no check's.
pub(crate) fn limit_source<'a>(scene: &Scene<'a>, name: Name) -> Cow<'a, str> {
    scene.limits.own(name).map_or(Cow::Borrowed(name.row().source), |own| Cow::Owned(of_own(own)))
}

/// What would pass where this is refused; `None` if nothing is known.
#[must_use]
pub fn smallest_change(scene: &Scene<'_>, units: Units) -> Option<String> {
    if scene.plan.verdict != Verdict::DoNotRaise {
        return None;
    }
    let known = scene.plan.change.as_ref().map(|c| change(c, scene, units));
    match (scene.origin, &scene.plan.change) {
        (Origin::Planned, _) | (_, Some(Change::SetAnew(..))) => known,
        (Origin::AsPlaced, _) => {
            Some(format!("No setup passes here. {}", known.unwrap_or_default()).trim_end().to_owned())
        }
    }
}

/// The smallest change that would pass, as one sentence.
fn change(change: &Change, scene: &Scene<'_>, units: Units) -> String {
    match change {
        Change::SetAnew(stand, besides) => format!(
            "Set anew as a plan has it, with the front wheel {} the column line and {}, it would pass{}.",
            ahead_of(stand.spot, units),
            way_in(stand.driven_in),
            only_with(besides)
        ),
        Change::Shut(besides) => format!("With hatch and bonnet shut it would pass{}.", only_with(besides)),
        Change::LoadOut(name) => format!("With \"{name}\" taken out of the vehicle it would pass."),
        Change::LeaveOn { part, not_done, besides } => {
            let named: Vec<String> = not_done.iter().map(|t| format!("\"{t}\"")).collect();
            let named: Vec<&str> = named.iter().map(String::as_str).collect();
            let lost = match named.as_slice() {
                [] => String::new(),
                named => format!(" Then {} cannot be done.", listed(named)),
            };
            format!("With \"{part}\" left on it would pass{}.{lost}", only_with(besides))
        }
        Change::Adapter(height) => {
            format!("With an adapter of {} in the kit it would pass.", units.length(*height))
        }
        Change::LongerArms(by) => {
            format!("Arms that reach {} farther out would pass.", units.length_to(*by, Round::Up))
        }
        Change::ShorterArms(by) => {
            format!("Arms that go {} farther in would pass.", units.length_to(*by, Round::Up))
        }
        Change::AnotherSpot(spot) => format!(
            "With the front wheel {} the column line it would pass, but only the lift maker can allow that spot.",
            ahead_of(*spot, units)
        ),
        Change::StrongerLift { rated, arms } => format!(
            "A lift otherwise like this one and rated for {}{} would pass.",
            units.plate(*rated),
            arms_rated(arms, units)
        ),
        Change::Stands(standing) => steps::stands_would_do(standing, scene, units),
    }
}

/// What a change passes with alone, after "would pass".
fn only_with(besides: &Besides) -> String {
    let order = besides.order.as_ref().map(|states| format!("in this order alone: {}", states.join(", ")));
    let stands = besides.stands.then(|| "with the stands at hand, as a plan of it sets them".to_owned());
    let both: Vec<String> = stands.into_iter().chain(order).collect();
    if both.is_empty() { String::new() } else { format!(" {}", both.join(", and ")) }
}

/// ", each arm for 1675 kg,": what the arms of a stronger lift are rated for.
fn arms_rated(arms: &[Option<Force>; 4], units: Units) -> String {
    let told = |arm: &Option<Force>| arm.map(|r| units.load_to(r, Round::Up));
    let each = arms.each_ref().map(told);
    match &each {
        [Some(one), rest @ ..] if rest.iter().all(|r| r.as_ref() == Some(one)) => {
            format!(", each arm for {one},")
        }
        _ => {
            let named = Corner::ALL.iter().zip(&each);
            let named =
                named.filter_map(|(c, r)| Some(format!("the {} arm for {}", corner_name(*c), r.as_ref()?)));
            let named: Vec<String> = named.collect();
            let named: Vec<&str> = named.iter().map(String::as_str).collect();
            if named.is_empty() { String::new() } else { format!(", {},", listed(&named)) }
        }
    }
}

/// With a capital first letter.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
