//! The shop's own limits to the limits in force.

use planner::Limits;
use planner::limits::{self, Name};

use crate::input::Problems;
use crate::input::quantity::{self, Quantity, Round, Tolerance};
use crate::wire::limits as wire;

/// The limits in force; every problem goes to `problems`.
pub(crate) fn limits(file: &wire::Limits, problems: &mut Problems) -> Option<Limits> {
    let mut limits = Limits::default();
    set(Name::Placing, file.placing.as_ref(), &mut limits, problems);
    set(Name::PadClearance, file.pad_clearance.as_ref(), &mut limits, problems);
    set(Name::ReachSetting, file.reach_setting.as_ref(), &mut limits, problems);
    set(Name::SwingSetting, file.swing_setting.as_ref(), &mut limits, problems);
    set(Name::BeamToTyre, file.beam_to_tyre.as_ref(), &mut limits, problems);
    set(Name::BeamToKeepOut, file.beam_to_keep_out.as_ref(), &mut limits, problems);
    set(Name::BeamToBeam, file.beam_to_beam.as_ref(), &mut limits, problems);
    set(Name::BeamToSill, file.beam_to_sill.as_ref(), &mut limits, problems);
    set(Name::PadEntry, file.pad_entry.as_ref(), &mut limits, problems);
    set(Name::Level, file.level.as_ref(), &mut limits, problems);
    set(Name::EdgeDistance, file.edge_distance.as_ref(), &mut limits, problems);
    set(Name::TipRatio, file.tip_ratio.as_ref(), &mut limits, problems);
    set(Name::PadShare, file.pad_share.as_ref(), &mut limits, problems);
    set(Name::PairShareSmall, file.pair_share_small.as_ref(), &mut limits, problems);
    set(Name::PairShareLarge, file.pair_share_large.as_ref(), &mut limits, problems);
    set(Name::DoorWay, file.door_way.as_ref(), &mut limits, problems);
    set(Name::ColumnAir, file.column_air.as_ref(), &mut limits, problems);
    set(Name::RoofAir, file.roof_air.as_ref(), &mut limits, problems);
    set(Name::TestRaise, file.test_raise.as_ref(), &mut limits, problems);
    set(Name::ShakePush, file.shake_push.as_ref(), &mut limits, problems);
    set(Name::ShakeHeight, file.shake_height.as_ref(), &mut limits, problems);
    set(Name::BayAir, file.bay_air.as_ref(), &mut limits, problems);
    set(Name::HeadAir, file.head_air.as_ref(), &mut limits, problems);
    set(Name::StoolHeight, file.stool_height.as_ref(), &mut limits, problems);
    Some(limits)
}

fn set<Q: Quantity>(name: Name, own: Option<&wire::Own<Q>>, limits: &mut Limits, problems: &mut Problems) {
    let Some(own) = own else { return };
    let (key, text) = (name.key(), &own.value);
    let read = match quantity::parse::<Q>(&text.text) {
        Ok(read) => read,
        Err(fault) => {
            return problems.error(text.span.clone(), format!("{key}: {}", fault.message), fault.help);
        }
    };
    if read.tolerance != Tolerance::NotStated {
        problems.error(
            text.span.clone(),
            format!("{key} is {:?}: a limit is chosen, it is not off by anything", text.text),
            "write the value alone",
        );
    }
    let source = own.source.as_deref().map(str::trim).filter(|s| !s.is_empty()).map(Into::into);
    if !limits.set(limits::Own { name, value: read.value.to_si(), source }) {
        let (least, most) = name.row().range;
        let shown = |value, to| quantity::show_rounded(Q::KIND, value, &text.text, to);
        problems.error(
            text.span.clone(),
            format!(
                "{key} is {:?}, and a shop may choose {} to {}",
                text.text,
                shown(least, Round::Up),
                shown(most, Round::Down)
            ),
            format!(
                "check the figure and its unit; the default is {}",
                shown(name.row().value, Round::Nearest)
            ),
        );
    }
}
