//! The table of the four arms.

use planner::frames::DrivenIn;
use planner::plan::PadSetting;

use crate::units::Round;
use crate::{Scene, Units, words};

/// Heading and four rows, in the order of the arms in the bay.
pub(super) fn table(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let mut lines =
        vec![row(["Arm", "Reach", "Swing", "Pad height", "Adapters", "Load", "Assured", "Range", "Rating"])];
    let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
    pads.sort_by_key(|pad| pad.arm);
    lines.extend(pads.into_iter().map(|pad| {
        row([
            &words::capital(words::corner_name(pad.arm)),
            &units.length(pad.reach),
            &words::swing(pad, units),
            &words::pad_height(scene, pad, units),
            &words::adapters_on(scene, pad, units),
            &estimate(scene, pad, units),
            &units.load_to(pad.load_assured, Round::Up),
            &number_range(pad, units),
            &units.rating(pad.rated.as_mass()),
        ])
    }));
    lines
}

/// What the columns mean.
pub(super) fn notes(scene: &Scene<'_>) -> Vec<String> {
    let mut notes = vec![words::SWING_AND_HEIGHT.to_owned()];
    if words::share_is_assumed(scene) {
        notes.push("~ rests on an assumed centre of gravity.".into());
    }
    notes.push(if scene.plan.states.len() > 1 {
        "Load and range: as raised; range: however unevenly pads touch. Assured: most in any state of the job, every input off by its tolerance, the lift level."
    } else {
        "Assured: most when every input is off by its tolerance. Range: however unevenly pads touch."
    }.into());
    if scene.plan.placement.driven_in == DrivenIn::Backwards {
        let mut pads: Vec<&PadSetting> = scene.plan.pads.iter().collect();
        pads.sort_by_key(|pad| pad.arm);
        let under = pads.iter().map(|pad| words::arm_name(pad)).collect::<Vec<_>>().join("; ");
        notes.push(format!("Driven in BACKWARDS: arms are named as they stand in the bay: {under}."));
    }
    notes
}

fn estimate(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> String {
    let guess = if words::share_is_assumed(scene) { "~" } else { "" };
    format!("{guess}{}", units.load(pad.load_estimate))
}

fn number_range(pad: &PadSetting, units: Units) -> String {
    let bare = |load, round| {
        let text = units.load_to(load, round);
        text.split(' ').next().unwrap_or_default().to_owned()
    };
    format!("{}-{}", bare(pad.load_least, Round::Down), bare(pad.load_greatest, Round::Up))
}

fn row(cells: [&str; 9]) -> String {
    let [arm, reach, swing, height, adapters, load, assured, range, rating] = cells;
    format!(
        "{arm:<12}{reach:>9} {swing:>9} {height:>10} {adapters:>15} {load:>9} {assured:>8} {range:>10} {rating:>8}"
    )
}
