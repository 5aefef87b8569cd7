//! What would have come of a setup that somebody practised with, beside the best.

use planner::checks::{What, edge_name, told};
use planner::lift::Corner;
use planner::plan::{Check, Plan, StateAnswer, Verdict};
use statics::{Force, Length};

use super::corners::pads_named;
use super::reasons::{Reason, refusals};
use super::{ahead_of, capital, figures, reasons, spot, verdict, work};
use crate::{Scene, Units, units};

/// Over which edge it tips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tip {
    /// The pads at the ends of the edge.
    pub edge: [Corner; 2],
    /// Whether it does so for certain, or only within the tolerances of what is known.
    pub surely: bool,
    /// Index of the first state in which it does.
    pub state: usize,
    /// Distance of the centre of gravity from the edge, positive inside, nominal and least.
    pub distance: [Length; 2],
}

impl Tip {
    /// "front", "left", "diagonal".
    #[must_use]
    pub const fn over(&self) -> &'static str {
        edge_name(self.edge[0], self.edge[1])
    }
}

/// The first state in which it tips, else the first in which it may; `None` = it stands in all.
#[must_use]
pub fn tip(scene: &Scene<'_>) -> Option<Tip> {
    let least = |far: fn(&planner::plan::EdgeAnswer) -> Length, surely: bool| {
        scene.plan.states.iter().enumerate().find_map(|(state, answer)| {
            let edge =
                answer.edges.iter().min_by(|a, b| far(a).to_metres().total_cmp(&far(b).to_metres()))?;
            let tip =
                Tip { edge: [edge.from, edge.to], surely, state, distance: [edge.distance, edge.assured] };
            (far(edge) < Length::ZERO).then_some(tip)
        })
    };
    least(|edge| edge.distance, true).or_else(|| least(|edge| edge.assured, false))
}

/// In one line: what would have happened.
#[must_use]
pub fn headline(scene: &Scene<'_>) -> String {
    let Some(tip) = tip(scene) else {
        return match scene.plan.verdict {
            Verdict::DoNotRaise => "It must not go up like this".into(),
            _ => verdict(scene).replacen("May be", "It may be", 1),
        };
    };
    let [would, might] = ["It would have tipped", "It might have tipped"];
    let way = match tip.over() {
        "front" => "forwards".into(),
        "rear" => "backwards".into(),
        "left" => "to its left".into(),
        "right" => "to its right".into(),
        _ => format!("over the line between the {}", pads_named(scene, &tip.edge)),
    };
    format!("{} {way}{}", if tip.surely { would } else { might }, when(scene, tip.state))
}

/// " at the test raise", " in state \"gearbox out\"".
fn when(scene: &Scene<'_>, state: usize) -> String {
    match scene.plan.states.get(state) {
        Some(later) if state > 0 => format!(", in state \"{}\"", later.name),
        _ => " at the test raise".into(),
    }
}

/// Why it tips; `None` = it does not.
#[must_use]
pub fn why_it_tips(scene: &Scene<'_>, units: Units) -> Option<String> {
    let tip = tip(scene)?;
    let line = format!("the line between the {}", pads_named(scene, &tip.edge));
    let [nominal, least] = tip.distance.map(|far| units.length(far.abs()));
    Some(if tip.surely {
        format!("Its centre of gravity lies {nominal} outside {line}: no pad holds it up on that side.")
    } else {
        format!(
            "Its centre of gravity is only {nominal} inside {line}. Weight and its place are not known better: \
             it may as well lie {least} outside."
        )
    })
}

/// What the lift's plate says of the front wheel, and where this one stands.
#[must_use]
pub fn plate(scene: &Scene<'_>, units: Units) -> String {
    let plan = scene.plan;
    let Some(plate) = &scene.lift.plate else {
        return "This lift has no plate for the front wheel: geometry and loads decide where it stands."
            .into();
    };
    let (Some(mark), Some(place)) = (&plan.mark, plan.mark_spot) else {
        return Reason::NoBand.sentence(scene, units);
    };
    let off = plan.placement.spot - place;
    let within = if off.abs() <= plate.tolerance { "within that" } else { "more than that" };
    let yours = match units.length(off.abs()) {
        zero if zero.starts_with("0 ") => "This one stands on it".into(),
        some if off < Length::ZERO => format!("This one stands {some} short of it, {within}"),
        some => format!("This one stands {some} past it, {within}"),
    };
    format!(
        "The plate has mark {mark} for a wheelbase of {}: front wheel {} the column line, give or take {} (the lift's \
         spotting plate). {yours}.",
        units.length(scene.vehicle.wheelbase.value),
        ahead_of(place, units),
        units.length(plate.tolerance),
    )
}

/// When a check that fails would have shown itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Moment {
    /// With the wheels on the floor.
    Standing,
    /// While the arms are swung in.
    Arms,
    /// As the pads take the weight.
    TestRaise,
    /// On the way up.
    Higher,
    /// While it is worked on.
    Work,
}

impl Moment {
    /// As a heading.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Standing => "Standing on the floor",
            Self::Arms => "Setting the arms",
            Self::TestRaise => "At the test raise, as the pads take the weight",
            Self::Higher => "Higher up",
            Self::Work => "At work on it",
        }
    }

    /// Of a check.
    const fn of(check: &Check) -> Self {
        match check.what {
            What::PlateSpot
            | What::Door(_)
            | What::Between
            | What::BayAhead
            | What::BayBehind
            | What::Capacity => Self::Standing,
            What::PadInArea(_)
            | What::PadToKeepOut(..)
            | What::ReachIn(_)
            | What::ReachOut(_)
            | What::SwingFrom(_)
            | What::SwingTo(_)
            | What::Tooth(_)
            | What::BeamToTyre(..)
            | What::BeamToKeepOut(..)
            | What::BeamToBeam(_)
            | What::BeamUnderSill(_)
            | What::PadEntry(_) => Self::Arms,
            What::Ceiling => Self::Higher,
            What::WorkForce { .. } => Self::Work,
            What::Level
            | What::PadRating(_)
            | What::PadCarries(_)
            | What::PairRating { .. }
            | What::ShareLeast
            | What::ShareMost
            | What::SplitRule
            | What::EdgeDistance(..)
            | What::TipRatio => match check.state {
                Some(state) if state > 0 => Self::Work,
                _ => Self::TestRaise,
            },
        }
    }
}

/// What fails, in the order in which a raise would come to it, worst first within a moment. Of what it bears nothing is
/// said where it falls: no pad then has a load.
#[must_use]
pub fn in_order(scene: &Scene<'_>, units: Units) -> Vec<(Moment, String)> {
    let moment = |reason: &Reason<'_>| match reason {
        Reason::Fails(checks) => checks.iter().map(|c| Moment::of(c)).min().unwrap_or(Moment::Standing),
        Reason::NoLockClears => Moment::Higher,
        Reason::InThisOrder | Reason::Stands => Moment::Work,
        _ => Moment::Standing,
    };
    let of_load = |check: &&Check| {
        let share =
            matches!(check.what, What::PadCarries(_) | What::ShareLeast | What::ShareMost | What::SplitRule);
        share || matches!(check.what, What::PadRating(_) | What::PairRating { .. })
    };
    let falls = falls(scene);
    let counts = |r: &Reason<'_>| !matches!(r, Reason::Fails(checks) if falls && checks.iter().all(of_load));
    let all = refusals(scene).into_iter().filter(counts);
    let mut all: Vec<_> = all.map(|r| (moment(&r), r.sentence(scene, units))).collect();
    all.sort_by_key(|(moment, _)| *moment);
    all
}

/// What each pad bears, as raised: pad, load, what is to be said of it; nothing where it does not stand on them.
#[must_use]
pub fn pads(scene: &Scene<'_>, units: Units) -> Vec<[String; 3]> {
    let states = &scene.plan.states;
    let bears_any = |s: &&StateAnswer| s.loads.iter().any(|load| *load > Force::ZERO);
    let Some(raised) = states.first().filter(bears_any) else { return vec![] };
    Corner::ALL
        .into_iter()
        .map(|corner| {
            let load = raised.loads[corner.index()];
            [capital(&pads_named(scene, &[corner])), units.load(load), bears(scene, corner, units)]
        })
        .collect()
}

fn bears(scene: &Scene<'_>, corner: Corner, units: Units) -> String {
    let states = &scene.plan.states;
    // Where it tips there is no load to speak of.
    let stands = |s: &&StateAnswer| s.loads.iter().any(|load| *load > Force::ZERO);
    let standing: Vec<&StateAnswer> = states.iter().filter(stands).collect();
    let empty: Vec<&str> =
        standing.iter().filter(|s| s.loads[corner.index()] <= Force::ZERO).map(|s| s.name.as_str()).collect();
    let worst = |what: What| {
        let own = scene.plan.checks.iter().filter(move |c| c.what == what);
        own.min_by(|a, b| a.reserve.total_cmp(&b.reserve))
    };
    let failing = |what: What| worst(what).filter(|c| c.reserve < 0.0);
    if empty.len() == standing.len() {
        return "never carries".into();
    }
    if !empty.is_empty() {
        return format!("carries nothing in state \"{}\"", empty.join("\", \""));
    }
    if let Some(check) = failing(What::PadCarries(corner)) {
        let [least, limit] = figures(check, units);
        return format!("light: only {least} of the weight for certain, {limit} at least");
    }
    if let Some(check) = failing(What::PadRating(corner)) {
        let [most, limit] = figures(check, units);
        return format!("overloaded: up to {most}, {limit} at most");
    }
    "carries".into()
}

/// What a silent shake at the test raise would have hidden of each pad.
#[must_use]
pub fn silence(scene: &Scene<'_>, units: Units) -> Vec<String> {
    if falls(scene) {
        return vec!["Nothing is silent here: it tips before anybody shakes it.".into()];
    }
    work::shakes(scene, units)
}

/// Whether it does not even stand on all four.
fn falls(scene: &Scene<'_>) -> bool {
    tip(scene).is_some_and(|tip| tip.surely && tip.state == 0)
}

/// What would happen if one pad did not carry; nothing where it tips on all four.
#[must_use]
pub fn losses(scene: &Scene<'_>, units: Units) -> Vec<String> {
    if falls(scene) { vec![] } else { work::without(scene, units) }
}

/// This setup beside the best: what, here, at the best, how far apart.
#[must_use]
pub fn beside(scene: &Scene<'_>, best: &Scene<'_>, units: Units) -> Vec<[String; 4]> {
    let (here, there) = (scene.plan, best.plan);
    let off = (here.placement.spot - there.placement.spot).abs();
    let mut rows = vec![
        ["Least reserve".into(), reserve_of(scene), reserve_of(best), apart(here, there)],
        ["Front wheel".into(), capital(&spot(scene, units)), capital(&spot(best, units)), units.length(off)],
    ];
    for corner in Corner::ALL {
        let [a, b] = [here, there].map(|plan| plan.pads[corner.index()].at.to_metres());
        let told = |[aft, left]: [f64; 2]| {
            let [aft, out] = [aft, left.abs()].map(|part| units.length(Length::metres(part)));
            format!("{aft} behind the front axle, {out} out")
        };
        let far = Length::metres((a[0] - b[0]).hypot(a[1] - b[1]));
        let name = capital(&pads_named(scene, &[corner]));
        rows.push([name, told(a), told(b), units.length(far)]);
    }
    rows
}

fn reserve_of(scene: &Scene<'_>) -> String {
    let check = scene.plan.worst_check();
    format!("{}: {}", units::reserve(check.reserve), reasons::titled(scene, &[check]))
}

/// How much less reserve, in points of a hundredth.
fn apart(here: &Plan, best: &Plan) -> String {
    let [here, best] = [here, best].map(|plan| told(plan.worst_check().reserve));
    match best - here {
        same if same.abs() < 0.05 => "none".into(),
        less if less.is_finite() => format!("{less:.0} points"),
        _ => "more than all of the limit".into(),
    }
}

/// Whether there is a setup that passes, and how this one compares, as one sentence.
#[must_use]
pub fn against_the_best(scene: &Scene<'_>, best: &Scene<'_>) -> String {
    let reserves = [scene, best].map(|s| s.plan.worst_check().reserve);
    let [here, there] = reserves.map(units::reserve);
    if best.plan.verdict == Verdict::DoNotRaise {
        return "No setup passes here: leaving it on the floor is the right answer.".into();
    }
    // A reserve below nothing is told as "fails by".
    match (reserves[0] < 0.0, apart(scene.plan, best.plan)) {
        (true, _) => {
            format!("There is a setup that passes, with a least reserve of {there}; this one {here}.")
        }
        (false, gap) if gap == "none" => format!("This is as good as the best: a least reserve of {there}."),
        (false, gap) => format!("The best has a least reserve of {there}, this one {here}: {gap} less."),
    }
}
