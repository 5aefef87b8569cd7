//! The table of the four arms.

use planner::frames::DrivenIn;
use planner::plan::PadSetting;

use crate::{Scene, Units, words};

/// Heading, four rows, and what the columns mean.
pub(super) fn table(scene: &Scene<'_>, units: Units) -> Vec<String> {
    let mut lines =
        vec![row(["Arm", "Reach", "Swing", "Pad height", "Adapters", "Load", "Assured", "Range", "Rating"])];
    lines.extend(scene.plan.pads.iter().map(|pad| {
        row([
            &words::capital(words::corner_name(pad.arm)),
            &units.length(pad.reach),
            &words::swing(pad, units),
            &units.length(pad.height),
            &words::adapters(&pad.adapters, units),
            &estimate(scene, pad, units),
            &units.load(pad.load_assured),
            &number_range(pad, units),
            &units.load(pad.rated),
        ])
    }));
    if scene.plan.placement.driven_in == DrivenIn::Backwards {
        lines.push(
            "Arms are named as they stand in the bay; the vehicle's own corners are the other way round."
                .into(),
        );
    }
    lines.push(
        "Swing from square across the bay. Pad height: top of pad, lift fully down, adapters on.".into(),
    );
    let guess = if words::share_is_assumed(scene) { "~ rests on an assumed front share. " } else { "" };
    lines.push(format!(
        "{guess}Assured: most when every input is off by its tolerance. Range: however unevenly pads touch."
    ));
    lines
}

fn estimate(scene: &Scene<'_>, pad: &PadSetting, units: Units) -> String {
    let guess = if words::share_is_assumed(scene) { "~" } else { "" };
    format!("{guess}{}", units.load(pad.load_estimate))
}

fn number_range(pad: &PadSetting, units: Units) -> String {
    let bare = |load| {
        let text = units.load(load);
        text.split(' ').next().unwrap_or_default().to_owned()
    };
    format!("{}-{}", bare(pad.load_least), bare(pad.load_greatest))
}

fn row(cells: [&str; 9]) -> String {
    let [arm, reach, swing, height, adapters, load, assured, range, rating] = cells;
    format!(
        "{arm:<12}{reach:>9} {swing:>9} {height:>10} {adapters:>15} {load:>9} {assured:>8} {range:>10} {rating:>8}"
    )
}
