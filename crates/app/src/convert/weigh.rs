//! A weighing to its answer.

use std::ops::Range;

use planner::vehicle::Weight;
use planner::weigh::{self, LiftedAxle};
use planner::{Basis, Measured};
use statics::{Length, Mass};

use super::expect::{self, Expect, Sign};
use super::weight::weight;
use super::{measured, plain};
use crate::input::{At, Problems, Text};
use crate::wire::region::End;
use crate::wire::weigh as wire;

const ANGLE: Expect = Expect {
    what: "angle",
    sign: Sign::Positive,
    plausible: (0.07, 0.55),
    source: "below 4 degrees scale errors swamp the height, derived",
};
const RADIUS: Expect = Expect {
    what: "wheel_radius",
    sign: Sign::Positive,
    plausible: (0.22, 0.48),
    source: "common practice, no source",
};
const OF_ANGLE: expect::Default = expect::Default {
    fixed: 0.003_490_658_503_988_659,
    share: 0.0,
    source: "value as given; how far off not stated: 0.2 degrees, project default",
};

/// The answer, or `None` with the reasons in `problems`.
pub(crate) fn answer(file: &wire::Weighing, problems: &mut Problems) -> Option<wire::WeighAnswer> {
    let wheelbase = measured(&file.wheelbase, &expect::WHEELBASE, &expect::BY_TAPE, problems);
    let track = |text: &Option<Text<Length>>, what, problems: &mut Problems| {
        text.as_ref().map(|t| plain(t, &Expect { what, ..expect::TRACK }, problems))
    };
    let front_track = track(&file.track_front, "track_front", problems);
    let rear_track = track(&file.track_rear, "track_rear", problems);
    let radius = file.wheel_radius.as_ref().map(|t| measured(t, &RADIUS, &expect::BY_TAPE, problems));
    let scales = weight(&file.scales, problems);
    let readings: Vec<Option<(End, LiftedAxle, Range<usize>)>> = file
        .lifted
        .iter()
        .map(|item| {
            let angle = measured(&item.value.angle, &ANGLE, &OF_ANGLE, problems);
            let load = measured(&item.value.load, &expect::AXLE_MASS, &expect::BY_SCALE, problems);
            Some((item.value.axle, LiftedAxle { angle: angle?, low_lifted: load? }, item.span.clone()))
        })
        .collect();
    let (wheelbase, scales) = (wheelbase?, scales?);
    let readings: Vec<_> = readings.into_iter().collect::<Option<_>>()?;
    let (weighed, front, rear, left_known) = match &scales {
        Weight::WheelLoads(loads) => {
            let (Some(front), Some(rear)) = (front_track, rear_track) else {
                problems.error(
                    file.scales.span.clone(),
                    "four wheels need `track_front` and `track_rear`",
                    "measure between the middles of the tyres",
                );
                return None;
            };
            let found = weigh::from_wheels(loads, &wheelbase, front?, rear?);
            (found, sum(&loads[0], &loads[1]), sum(&loads[2], &loads[3]), true)
        }
        Weight::AxleLoads { front, rear } => {
            (weigh::from_axles(front, rear, &wheelbase), front.clone(), rear.clone(), false)
        }
        Weight::TotalAndShare { .. } | Weight::Total(_) => {
            problems.error(
                file.scales.span.clone(),
                "a total says nothing of where the centre of gravity is",
                "weigh the four wheels or the two axles apart",
            );
            return None;
        }
    };
    let up = if readings.is_empty() {
        None
    } else {
        Some(height(&readings, [&front, &rear], &weighed.mass, &wheelbase, radius, &file.scales, problems)?)
    };
    let mut assumptions: Vec<String> = Vec::new();
    let mut note = |what: &str, basis: &Basis| {
        if let Basis::Assumed(source) | Basis::ToleranceAssumed(source) = basis {
            let line = format!("{what}: {source}");
            if !assumptions.contains(&line) {
                assumptions.push(line);
            }
        }
    };
    note("wheelbase", &wheelbase.basis);
    note("scales", &front.basis);
    note("scales", &rear.basis);
    for (_, reading, _) in &readings {
        note("angle", &reading.angle.basis);
        note("scales, lifted", &reading.low_lifted.basis);
    }
    let figure = |m: &Measured<Length>, u: Length| wire::Figure {
        value_m: m.value.to_metres(),
        tolerance_m: m.tolerance.to_metres(),
        uncertainty_m: u.to_metres(),
    };
    Some(wire::WeighAnswer {
        contract: "standfast/weigh/1",
        mass_kg: weighed.mass.value.to_kilograms(),
        mass_tolerance_kg: weighed.mass.tolerance.to_kilograms(),
        front_share: front.value / weighed.mass.value,
        aft: figure(&weighed.aft, weighed.aft_uncertainty),
        left: left_known.then(|| figure(&weighed.left, weighed.left_uncertainty)),
        up: up.map(|(m, u)| figure(&m, u)),
        assumptions,
    })
}

fn sum(a: &Measured<Mass>, b: &Measured<Mass>) -> Measured<Mass> {
    let basis = Basis::least_sure([&a.basis, &b.basis]);
    Measured { value: a.value + b.value, tolerance: a.tolerance + b.tolerance, basis }
}

fn height(
    readings: &[(End, LiftedAxle, Range<usize>)],
    [front, rear]: [&Measured<Mass>; 2],
    total: &Measured<Mass>,
    wheelbase: &Measured<Length>,
    radius: Option<Option<Measured<Length>>>,
    scales: &At<crate::wire::vehicle::Weight>,
    problems: &mut Problems,
) -> Option<(Measured<Length>, Length)> {
    let Some(radius) = radius else {
        problems.error(
            scales.span.clone(),
            "the height needs `wheel_radius`",
            "measure from the ground to the hub centre, vehicle standing on its wheels",
        );
        return None;
    };
    let radius = radius?;
    let mut fine = true;
    for (axle, reading, span) in readings {
        if reading.angle.value.to_degrees() + reading.angle.tolerance.to_degrees() >= 60.0
            || reading.angle.tolerance >= reading.angle.value
        {
            fine = false;
            problems.error(
                span.clone(),
                "the angle must be well between 0 and 60 degrees",
                "lift one axle by some 10 to 20 degrees and measure the angle",
            );
            continue;
        }
        let low = if *axle == End::Rear { front } else { rear };
        if reading.low_lifted.value >= total.value {
            fine = false;
            problems.error(
                span.clone(),
                "the axle that stays down carries more than the whole vehicle",
                "check the reading; `load` is on the axle that is not lifted",
            );
        } else if reading.low_lifted.value < low.value {
            problems.warn(
                span.clone(),
                "the axle that stays down carries less than when level",
                "the centre of gravity is then below the hubs, or the wrong axle is named",
            );
        }
    }
    fine.then_some(())?;
    let found: Vec<_> = readings
        .iter()
        .map(|(axle, reading, span)| {
            let low = if *axle == End::Rear { front } else { rear };
            (reading, weigh::height(reading, low, total, wheelbase, &radius), span)
        })
        .collect();
    for pair in found.windows(2) {
        let [(_, (a, _), _), (_, (b, _), span)] = pair else { continue };
        if a.greatest() < b.least() || b.greatest() < a.least() {
            problems.error(
                (*span).clone(),
                format!(
                    "two readings contradict each other: {:.3} m and {:.3} m above the ground",
                    a.value.to_metres(),
                    b.value.to_metres()
                ),
                "weigh again; block the suspension, level the scales, wait until they settle",
            );
            return None;
        }
    }
    Some(weigh::combined_height(&found.into_iter().map(|(r, h, _)| (r.angle.value, h)).collect::<Vec<_>>()))
}
