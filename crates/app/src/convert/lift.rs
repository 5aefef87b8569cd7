//! A lift file to the planner's lift.

use planner::lift::{
    Adapter, Arm, Band, BayLength, Columns, Corner, Lift, PadKit, PadSurface, Rise, SpottingPlate,
};
use statics::{Angle, Length, Mass, Place};

use super::expect::{self, Expect};
use super::{agree, ahead_or_behind, at_least, band, measured, name, plain, transpose};
use crate::input::{At, Problems, Text};
use crate::wire::lift as wire;

/// Tolerance of the plate's mark where the file gives none, metres; project default.
const WHEEL_ON_MARK: f64 = 0.025;

/// The lift, or `None` with the reasons in `problems`.
pub(crate) fn lift(file: &wire::Lift, problems: &mut Problems) -> Option<Lift> {
    let name = name(&file.name, "name", problems);
    super::example_values(file.example_values.as_ref(), problems);
    let rated = plain(&file.rated, &expect::RATED, problems);
    let headroom = headroom(&file.headroom, problems);
    let permitted = file.permitted_front_share.as_ref().map(|pair| permitted(pair, problems));
    let columns = columns(&file.columns, problems);
    let bay = file.bay.as_ref().map(|bay| {
        let expect = |what| Expect { what, ..expect::BAY };
        let ahead = plain(&bay.ahead, &expect("ahead"), problems);
        let behind = plain(&bay.behind, &expect("behind"), problems);
        Some(BayLength { ahead: ahead?, behind: behind? })
    });
    if bay.is_none() {
        problems.warn(
            0..0,
            "`bay` is missing: whether a vehicle fits along the bay is not checked",
            "add [bay] with `ahead` and `behind`, from the column line to the wall, door or line",
        );
    }
    let arms = arms(&file.arms, rated, problems);
    let pads = pads(&file.pads, problems);
    let rise = rise(&file.rise, problems);
    agree::lift(file, problems);
    let plate = file.plate.as_ref().map(|p| plate(p, problems));
    Some(Lift {
        name: name?,
        teaches: file.teaches.clone(),
        rated: rated?,
        columns: columns?,
        arms: arms?,
        pads: pads?,
        rise: rise?,
        headroom: headroom?,
        plate: transpose(plate)?,
        permitted_front_share: transpose(permitted)?,
        split_rule_binds: file.split_rule == Some(wire::SplitRule::Binding),
        backwards_allowed: file.backwards.unwrap_or(false),
        bay: transpose(bay)?,
    })
}

fn headroom(text: &At<String>, problems: &mut Problems) -> Option<Option<Length>> {
    if text.value.trim() == "open sky" {
        return Some(None);
    }
    at_least(&Text::new(text.span.clone(), text.value.clone()), &expect::HEADROOM, problems).map(Some)
}

fn permitted(pair: &[Text<crate::input::quantity::Share>; 2], problems: &mut Problems) -> Option<(f64, f64)> {
    let expect = Expect { plausible: (0.2, 0.8), ..expect::FRONT_SHARE };
    let (least, most) = (plain(&pair[0], &expect, problems), plain(&pair[1], &expect, problems));
    let (least, most) = (least?.0, most?.0);
    if least >= most || most > 1.0 {
        problems.error(
            pair[0].span.start..pair[1].span.end,
            "permitted_front_share: the least must be below the greatest, and neither above 100 %",
            "write [\"40 %\", \"60 %\"]",
        );
        return None;
    }
    Some((least, most))
}

fn columns(file: &wire::Columns, problems: &mut Problems) -> Option<Columns> {
    let inside = plain(&file.inside, &expect::INSIDE, problems);
    let front = plain(&file.front_face_ahead, &expect::FRONT_FACE, problems);
    let rear = plain(&file.rear_face_behind, &expect::REAR_FACE, problems);
    Some(Columns { inside: inside?, front_face: front?, rear_face: -rear? })
}

fn arms(file: &At<wire::Arms>, rated: Option<Mass>, problems: &mut Problems) -> Option<[Arm; 4]> {
    let arms = &file.value;
    let ends = [
        (&arms.front, [&arms.front_left, &arms.front_right], ["front", "front_left", "front_right"]),
        (&arms.rear, [&arms.rear_left, &arms.rear_right], ["rear", "rear_left", "rear_right"]),
    ];
    let mut found: Vec<Option<Arm>> = Vec::new();
    for (pair, single, [both, left, right]) in ends {
        let corners = if both == "front" {
            [Corner::FrontLeft, Corner::FrontRight]
        } else {
            [Corner::RearLeft, Corner::RearRight]
        };
        let given: Option<[&At<wire::Arm>; 2]> = match (pair, single) {
            (Some(pair), [None, None]) => Some([pair, pair]),
            (None, [Some(l), Some(r)]) => Some([l, r]),
            _ => {
                problems.error(
                    file.span.clone(),
                    format!("the {both} arms are given either once as [arms.{both}] or as [arms.{left}] and [arms.{right}]"),
                    format!("give [arms.{both}] alone if left and right are alike, else both of the others"),
                );
                None
            }
        };
        for (i, corner) in corners.into_iter().enumerate() {
            found.push(given.and_then(|g| arm(g[i], corner, rated, problems)));
        }
    }
    let all: Vec<Arm> = found.into_iter().collect::<Option<_>>()?;
    all.try_into().ok()
}

fn arm(
    file: &At<wire::Arm>,
    corner: Corner,
    lift_rated: Option<Mass>,
    problems: &mut Problems,
) -> Option<Arm> {
    let (arm, span) = (&file.value, &file.span);
    let x =
        ahead_or_behind(arm.pivot_ahead.as_ref(), arm.pivot_behind.as_ref(), &expect::PIVOT, span, problems);
    let out = plain(&arm.pivot_out, &expect::PIVOT_OUT, problems);
    let reach_in = plain(&arm.reach_in, &expect::REACH_IN, problems);
    let reach_out = plain(&arm.reach_out, &expect::REACH_OUT, problems);
    let from = plain(&arm.swing_from, &Expect { what: "swing_from", ..expect::SWING }, problems);
    let to = plain(&arm.swing_to, &Expect { what: "swing_to", ..expect::SWING }, problems);
    let beam_width = plain(&arm.beam_width, &expect::BEAM_WIDTH, problems);
    let beam_top = plain(&arm.beam_top, &expect::BEAM_TOP, problems);
    let rated = arm.rated.as_ref().map(|r| plain(r, &expect::ARM_RATED, problems));
    if let (Some(Some(arm_rated)), Some(lift_rated), Some(text)) = (rated, lift_rated, &arm.rated)
        && arm_rated > lift_rated
    {
        problems.error(
            text.span.clone(),
            format!("this arm is rated {:?}, more than the whole lift", text.text),
            "the plate's rated load is for all four arms together; one arm carries less",
        );
    }
    let stiffness = |s| measured(s, &expect::STIFFNESS, &expect::OF_STIFFNESS, problems);
    let stiffness = arm.stiffness_out.as_ref().map(stiffness);
    let (x, out, from, to) = (x?, out?, from?, to?);
    if reach_in? >= reach_out? || from >= to {
        return None;
    }
    let (left, front) = (corner.is_left(), corner.is_front());
    let in_bay = |inwards: Angle| {
        // From straight ahead towards the other side; behind, from straight behind.
        let turn = if front { inwards } else { Angle::radians(core::f64::consts::PI) - inwards };
        if left { -turn } else { turn }
    };
    let (a, b) = (in_bay(from), in_bay(to));
    Some(Arm {
        pivot: Place::metres([x.to_metres(), if left { out.to_metres() } else { -out.to_metres() }]),
        reach_in: reach_in?,
        reach_out: reach_out?,
        stages: arm.stages,
        swing_from: a.min(b),
        swing_to: a.max(b),
        tooth_pitch: arm.tooth_steps.map(|n| (to - from) / f64::from(n)),
        beam_width: beam_width?,
        beam_top: beam_top?,
        rated: transpose(rated)?.map(Mass::weight),
        stiffness_out: transpose(stiffness)?,
    })
}

fn pads(file: &wire::Pads, problems: &mut Problems) -> Option<PadKit> {
    let diameter = plain(&file.diameter, &expect::PAD_DIAMETER, problems);
    let lowest = plain(&file.lowest, &expect::PAD_LOWEST, problems);
    let travel = plain(&file.travel, &expect::PAD_TRAVEL, problems);
    let adapters: Vec<Option<Adapter>> = file
        .adapters
        .iter()
        .map(|a| Some(Adapter { height: plain(&a.height, &expect::ADAPTER, problems)?, count: a.count }))
        .collect();
    Some(PadKit {
        radius: diameter? / 2.0,
        lowest: lowest?,
        travel: travel?,
        adapters: adapters.into_iter().collect::<Option<_>>()?,
        stack_most: file.stack_most,
        surface: match file.surface {
            wire::Surface::Rubber => PadSurface::Rubber,
            wire::Surface::RoughMetal => PadSurface::RoughMetal,
            wire::Surface::SmoothMetal => PadSurface::SmoothMetal,
            wire::Surface::Oily => PadSurface::Oily,
        },
    })
}

fn rise(file: &wire::Rise, problems: &mut Problems) -> Option<Rise> {
    let locks: Vec<Option<Length>> = file.locks.iter().map(|l| plain(l, &expect::LOCK, problems)).collect();
    let most = plain(&file.most, &expect::RISE_MOST, problems);
    let (locks, most) = (locks.into_iter().collect::<Option<Vec<_>>>()?, most?);
    let mut fine = true;
    for (i, pair) in locks.windows(2).enumerate() {
        if pair[0] >= pair[1] {
            fine = false;
            problems.error(
                file.locks[i + 1].span.clone(),
                format!("lock {} is not above lock {}", i + 2, i + 1),
                "write the locks from the lowest to the highest, each once",
            );
        }
    }
    if let (Some(last), Some(text)) = (locks.last(), file.locks.last())
        && *last > most
    {
        fine = false;
        problems.error(
            text.span.clone(),
            format!("the highest lock {:?} is above the top {:?}", text.text, file.most.text),
            "`most` is the rise at the very top, at or above the highest lock",
        );
    }
    fine.then_some(Rise { locks, most })
}

fn plate(file: &wire::Plate, problems: &mut Problems) -> Option<SpottingPlate> {
    let tolerance = match &file.wheel_tolerance {
        Some(text) => plain(text, &expect::WHEEL_TOLERANCE, problems),
        None => Some(Length::metres(WHEEL_ON_MARK)),
    };
    let before = problems.count(true);
    let mut bands = Vec::new();
    for b in &file.bands {
        let mark = name(&b.mark, "mark", problems);
        let ends = band::ends(&b.wheelbase, problems);
        let front_wheel = ahead_or_behind(
            b.front_wheel_ahead.as_ref(),
            b.front_wheel_behind.as_ref(),
            &expect::FRONT_WHEEL,
            &b.mark.span,
            problems,
        );
        if let (Some(mark), Some((from, to)), Some(front_wheel)) = (mark, ends, front_wheel) {
            bands.push((Band { mark, from, to, front_wheel }, &b.wheelbase));
        }
    }
    super::unique(file.bands.iter().map(|b| (b.mark.value.as_str(), b.mark.span.clone())), "marks", problems);
    if problems.count(true) > before {
        return None;
    }
    let bands = band::ascending(bands, problems);
    (problems.count(true) == before).then_some(())?;
    Some(SpottingPlate { bands, tolerance: tolerance? })
}
