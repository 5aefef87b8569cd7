//! How each check's figure comes about, from what the plan and its inputs hold.

use std::f64::consts::TAU;

use planner::checks::What;
use planner::lift::{Arm, Corner};
use planner::limits::Name;
use planner::plan::{Check, PadSetting};
use statics::{Angle, Length};

use super::Demand;
use crate::words::{self, corner_name};
use crate::{Scene, Units, units};

fn shown(formula: &str, numbers: String) -> Demand {
    Demand { formula: formula.into(), numbers: Some(numbers), inputs: vec![] }
}

fn worst_case(formula: &str, inputs: Vec<String>) -> Demand {
    Demand { formula: formula.into(), numbers: None, inputs }
}

/// Formula and numbers of a check's figure.
pub(super) fn demand(scene: &Scene<'_>, check: &Check, units: Units) -> Demand {
    let fine = |l: Length| units.fine_length(l);
    let pad = |c: Corner| &scene.plan.pads[c.index()];
    let arm = |c: Corner| &scene.lift.arms[pad(c).arm.index()];
    match check.what {
        What::PadInArea(c) => worst_case(
            "least distance from the pad's centre to the sides of its lifting area; negative outside",
            vec![at_on_vehicle(pad(c), units), format!("area: {}", area_name(scene, c))],
        ),
        What::PadToKeepOut(c, k) => worst_case(
            "distance from the pad's centre to the keep-out, less the pad's radius",
            vec![
                at_on_vehicle(pad(c), units),
                format!("pad radius {}", fine(scene.lift.pads.radius)),
                format!("keep-out: {}", keep_out(scene, k)),
            ],
        ),
        What::ReachIn(c) => shown(
            "reach \u{2212} shortest reach of the arm",
            format!("{} \u{2212} {}", fine(pad(c).reach), fine(arm(c).reach_in)),
        ),
        What::ReachOut(c) => shown(
            "longest reach of the arm \u{2212} reach",
            format!("{} \u{2212} {}", fine(arm(c).reach_out), fine(pad(c).reach)),
        ),
        What::SwingFrom(c) => shown(
            "direction of the arm \u{2212} direction of its first stop, both anticlockwise from straight ahead",
            format!("{} \u{2212} {}", units.angle(turned(pad(c), arm(c))), units.angle(arm(c).swing_from)),
        ),
        What::SwingTo(c) => shown(
            "direction of its second stop \u{2212} direction of the arm, both anticlockwise from straight ahead",
            format!("{} \u{2212} {}", units.angle(arm(c).swing_to), units.angle(turned(pad(c), arm(c)))),
        ),
        What::Tooth(c) => worst_case(
            "angle from the arm's direction to the nearest tooth, counted from the first stop",
            tooth(pad(c), arm(c), units),
        ),
        What::BeamToTyre(c, wheel) => worst_case(
            "distance from the arm's centre line to the tyre's outline in plan, less half the beam's width",
            vec![beam(arm(c), pad(c), units), format!("tyre: {}", corner_name(wheel))],
        ),
        What::BeamToKeepOut(c, k) => worst_case(
            "distance from the arm's centre line to the keep-out in plan, less half the beam's width",
            vec![beam(arm(c), pad(c), units), format!("keep-out: {}", keep_out(scene, k))],
        ),
        What::BeamToBeam(c) => {
            let other = Corner::ALL.into_iter().find(|&o| o != c && o.is_left() == c.is_left()).unwrap_or(c);
            worst_case(
                "distance between the two arms' centre lines in plan, less half of each beam's width",
                vec![beam(arm(c), pad(c), units), beam(arm(other), pad(other), units)],
            )
        }
        What::BeamUnderSill(c) => shown(
            "height of the sill \u{2212} top of the arm's beam, lift fully down \u{2212} rise at which the pad touches",
            format!(
                "{} \u{2212} {} \u{2212} ({} \u{2212} {})",
                fine(scene.vehicle.sill_height),
                fine(arm(c).beam_top),
                underside(scene, pad(c), units),
                fine(pad(c).height)
            ),
        ),
        What::PadEntry(c) => shown(
            "underside at the lifting area \u{2212} top of the pad, lift fully down",
            format!("{} \u{2212} {}", underside(scene, pad(c), units), fine(pad(c).height)),
        ),
        What::Level => worst_case(
            "steepest slope between two pads: difference of their rises at touching / their distance",
            Corner::ALL
                .map(|c| {
                    let under = underside(scene, pad(c), units);
                    format!("{}: pad {}, underside {under}", corner_name(c), fine(pad(c).height))
                })
                .into(),
        ),
        What::PadRating(c) => worst_case(
            "greatest load estimate of the pad when mass and centre of gravity move within their tolerances",
            vec![
                format!("load estimate {}", units.load(estimate_of(scene, check, c))),
                format!(
                    "load range by statics, first state, {}",
                    units.load_range([pad(c).load_least, pad(c).load_greatest])
                ),
                mass_line(scene, check, units),
            ],
        ),
        What::PadCarries(c) => carries(scene, check, c, units),
        What::PairRating { front } => pair(scene, check, front, units),
        What::ShareLeast | What::ShareMost | What::SplitRule => split(scene, check, units),
        What::EdgeDistance(..) => edge(scene, check, units),
        What::PlateSpot => shown(
            "distance of the front wheel from the plate's mark",
            format!(
                "|{} \u{2212} mark {}|",
                fine(scene.plan.placement.spot),
                scene.plan.mark_spot.map_or("none".into(), fine)
            ),
        ),
        What::Door(d) => door(scene, d, units),
        What::Between => shown(
            "(width between the columns \u{2212} width over mirrors or body) / 2 \u{2212} distance off the centre line",
            format!(
                "({} \u{2212} {}) / 2 \u{2212} {}",
                fine(scene.lift.columns.inside),
                fine(scene.vehicle.outline.mirrors.map_or(scene.vehicle.outline.width, |m| m.width)),
                fine(scene.plan.placement.offset.abs())
            ),
        ),
        What::BayAhead => bay(scene, true, units),
        What::BayBehind => bay(scene, false, units),
        What::Capacity => worst_case(
            "mass of the vehicle with everything in it, at the top of its tolerance",
            vec![mass_line(scene, check, units)],
        ),
        What::Ceiling => worst_case(
            "lowest thing above \u{2212} (highest point of the vehicle + rise at the lowest lock beyond the touching of all pads)",
            vec![
                format!("lowest thing above {}", scene.lift.headroom.map_or("none on file".into(), fine)),
                format!("roof {}", fine(scene.vehicle.outline.roof)),
                format!(
                    "opened by the job to {}",
                    scene.job.opened_height.map_or("nothing higher".into(), fine)
                ),
                format!(
                    "lowest lock at a rise of {}",
                    scene.lift.rise.locks.first().map_or("-".into(), |&l| fine(l))
                ),
            ],
        ),
    }
}

fn at_on_vehicle(pad: &PadSetting, units: Units) -> String {
    format!(
        "pad centre {} behind the front axle, {} left of the centre plane",
        units.fine_length(pad.at.x()),
        units.fine_length(pad.at.y())
    )
}

/// The arm's direction, in the turn in which its stops are given.
fn turned(pad: &PadSetting, arm: &Arm) -> Angle {
    let middle = (arm.swing_from + arm.swing_to) / 2.0;
    let turns = ((middle - pad.swing).to_radians() / TAU).round();
    pad.swing + Angle::radians(turns * TAU)
}

fn underside(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> String {
    let area = scene.vehicle.lift_areas.get(pad.area);
    area.map_or_else(|| "not on file".into(), |a| units.fine_length(a.underside))
}

fn area_name(scene: &Scene<'_>, corner: Corner) -> String {
    let area = scene.vehicle.lift_areas.get(scene.plan.pads[corner.index()].area);
    area.map_or_else(|| "not on file".into(), |a| a.name.clone())
}

fn keep_out<'a>(scene: &Scene<'a>, index: usize) -> &'a str {
    scene.vehicle.keep_outs.get(index).map_or("not on file", |k| k.name.as_str())
}

fn beam(arm: &Arm, pad: &PadSetting, units: Units) -> String {
    format!(
        "{} arm from its pivot at ({}, {}) to its pad at ({}, {}), {} wide",
        corner_name(pad.arm),
        units.fine_length(arm.pivot.x()),
        units.fine_length(arm.pivot.y()),
        units.fine_length(pad.bay.x()),
        units.fine_length(pad.bay.y()),
        units.fine_length(arm.beam_width)
    )
}

fn tooth(pad: &PadSetting, arm: &Arm, units: Units) -> Vec<String> {
    vec![
        format!("direction {}, first stop {}", units.angle(pad.swing), units.angle(arm.swing_from)),
        match (arm.tooth_pitch, pad.tooth) {
            (Some(pitch), Some(n)) => format!("a tooth every {}; nearest is number {n}", units.angle(pitch)),
            (Some(pitch), None) => format!("a tooth every {}", units.angle(pitch)),
            (None, _) => "this arm locks anywhere".into(),
        },
    ]
}

fn state_of<'a>(scene: &Scene<'a>, check: &Check) -> Option<&'a planner::plan::StateAnswer> {
    scene.plan.states.get(check.state.unwrap_or(0))
}

fn estimate_of(scene: &Scene<'_>, check: &Check, corner: Corner) -> statics::Force {
    state_of(scene, check).map_or(scene.plan.pads[corner.index()].load_estimate, |s| s.loads[corner.index()])
}

fn mass_line(scene: &Scene<'_>, check: &Check, units: Units) -> String {
    state_of(scene, check).map_or_else(String::new, |s| {
        let mass = words::guessed(units.mass(s.mass.value), s.mass.is_assumed());
        format!("mass {mass} \u{b1} {}", units.mass(s.mass.tolerance))
    })
}

fn carries(scene: &Scene<'_>, check: &Check, corner: Corner, units: Units) -> Demand {
    let Some(state) = state_of(scene, check) else { return worst_case("pad load / weight", vec![]) };
    let estimate = units.load(state.loads[corner.index()]);
    worst_case(
        "least load of the pad / weight when mass and centre of gravity move within their tolerances",
        vec![format!("load estimate {estimate}"), mass_line(scene, check, units)],
    )
}

fn pair(scene: &Scene<'_>, check: &Check, front: bool, units: Units) -> Demand {
    let Some(state) = state_of(scene, check) else { return worst_case("sum of the pair's loads", vec![]) };
    let loads: Vec<String> = Corner::ALL
        .into_iter()
        .filter(|c| c.is_front() == front)
        .map(|c| format!("{} {}", corner_name(c), units.load(state.loads[c.index()])))
        .collect();
    worst_case(
        "sum of the pair's two pad loads, at its greatest when mass and centre of gravity move within their tolerances",
        vec![format!("load estimates: {}", loads.join(" + ")), mass_line(scene, check, units)],
    )
}

fn split(scene: &Scene<'_>, check: &Check, units: Units) -> Demand {
    let Some(state) = state_of(scene, check) else { return worst_case("share of the front pads", vec![]) };
    let [fl, fr, rl, rr] = state.loads.map(|l| units.load(l));
    worst_case(
        match check.what {
            What::SplitRule => "the heavier pair's greatest share of the load within all tolerances",
            What::ShareLeast => "front pads' least share of the load within all tolerances",
            _ => "front pads' greatest share of the load within all tolerances",
        },
        vec![
            format!("front {fl} + {fr}, rear {rl} + {rr}"),
            format!("front pads carry {} % of the load", units::decimals(state.front_share * 100.0, 1)),
        ],
    )
}

fn edge(scene: &Scene<'_>, check: &Check, units: Units) -> Demand {
    let Some(state) = state_of(scene, check) else { return worst_case("distance to the edge", vec![]) };
    let fine = |l: Length| units.fine_length(l);
    let [aft, left, up] = state.cg_tolerance.map(fine);
    let mut inputs: Vec<String> = state
        .edges
        .iter()
        .map(|e| {
            format!(
                "edge {} to {}: {} as measured, {} assured",
                corner_name(e.from),
                corner_name(e.to),
                fine(e.distance),
                fine(e.assured)
            )
        })
        .collect();
    inputs.push(format!("centre of gravity within {aft} along, {left} across, {up} up"));
    inputs.push(format!(
        "each pad within {} of its place; level within {}",
        fine(Length::metres(scene.limits.get(Name::Placing))),
        units.angle(Angle::radians(scene.limits.get(Name::Level)))
    ));
    worst_case(
        "distance from the centre of gravity to each side of the figure that the pads span, all at their worst at once",
        inputs,
    )
}

fn door(scene: &Scene<'_>, index: usize, units: Units) -> Demand {
    let formula = "widest angle at which the door's free edge still clears the column, at most its own stop";
    let inputs = scene.vehicle.doors.get(index).map_or_else(Vec::new, |d| {
        let at = scene.plan.placement.to_bay(d.hinge);
        vec![
            format!("hinge at ({}, {}) in the bay", units.fine_length(at.x()), units.fine_length(at.y())),
            format!(
                "hinge to free edge {}; opens {} by itself",
                units.fine_length(d.length),
                units.angle(d.opens)
            ),
            format!(
                "columns {} apart, faces {} and {} from the column line",
                units.fine_length(scene.lift.columns.inside),
                units.fine_length(scene.lift.columns.front_face),
                units.fine_length(scene.lift.columns.rear_face)
            ),
        ]
    });
    worst_case(formula, inputs)
}

fn bay(scene: &Scene<'_>, ahead: bool, units: Units) -> Demand {
    let outline = &scene.vehicle.outline;
    let formula = if ahead {
        "free floor ahead of the column line \u{2212} foremost point of the vehicle ahead of it"
    } else {
        "free floor behind the column line \u{2212} rearmost point of the vehicle behind it"
    };
    let room = scene.lift.bay.map(|b| if ahead { b.ahead } else { b.behind });
    worst_case(
        formula,
        vec![
            format!("free floor {}", room.map_or("not on file".into(), |r| units.fine_length(r))),
            format!("front axle {}", words::ahead_of(scene.plan.placement.spot, units) + " the column line"),
            format!(
                "overhangs {} in front and {} behind, wheelbase {}",
                units.fine_length(outline.front_overhang),
                units.fine_length(outline.rear_overhang),
                units.fine_length(scene.vehicle.wheelbase.value)
            ),
        ],
    )
}
