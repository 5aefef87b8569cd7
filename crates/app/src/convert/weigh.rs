//! A weighing to its answer.

mod height;

use planner::vehicle::Weight;
use planner::weigh::{self, LiftedAxle};
use planner::{Basis, Measured};
use statics::{Length, Mass};

use super::expect::{self, Expect, Sign};
use super::weight::weight;
use super::{agree, measured};
use crate::input::{At, Problems, Text};
use crate::wire::{vehicle, weigh as wire};
use height::{Level, Reading, height};

const ANGLE: Expect = Expect {
    what: "angle",
    sign: Sign::Positive,
    plausible: (expect::degrees(4.0), expect::degrees(30.0)),
    possible: expect::ANY,
    source: "below 4 degrees scale errors swamp the height, derived",
};
const RADIUS: Expect = Expect {
    what: "wheel_radius",
    sign: Sign::Positive,
    plausible: (0.22, 0.48),
    possible: expect::ANY,
    source: "common practice, no source",
};
const OF_ANGLE: expect::Default = expect::Default {
    fixed: expect::degrees(0.2),
    share: 0.0,
    source: "value as given; how far off not stated: 0.2 degrees, project default",
};

/// The answer, or `None` with the reasons in `problems`.
pub(crate) fn answer(file: &wire::Weighing, problems: &mut Problems) -> Option<wire::WeighAnswer> {
    let wheelbase = measured(&file.wheelbase, &expect::WHEELBASE, &expect::BY_TAPE, problems);
    let track = |text: &Option<Text<Length>>, what, problems: &mut Problems| {
        text.as_ref().map(|t| measured(t, &Expect { what, ..expect::TRACK }, &expect::BY_TAPE, problems))
    };
    let front_track = track(&file.track_front, "track_front", problems);
    let rear_track = track(&file.track_rear, "track_rear", problems);
    let radius = file.wheel_radius.as_ref().map(|t| measured(t, &RADIUS, &expect::BY_TAPE, problems));
    let scales = wheels_or_axles(&file.scales, problems).then(|| weight(&file.scales, problems)).flatten();
    let readings: Vec<Option<Reading<'_>>> = file
        .lifted
        .iter()
        .map(|item| {
            let angle = measured(&item.value.angle, &ANGLE, &OF_ANGLE, problems);
            let load = measured(&item.value.load, &expect::AXLE_MASS, &expect::BY_SCALE, problems);
            Some(Reading { file: &item.value, lifted: LiftedAxle { angle: angle?, low_lifted: load? } })
        })
        .collect();
    agree::scales(&file.scales.value, agree::Usual::front(), problems);
    wheels_apart(file, problems);
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
            let tracks = [front?, rear?];
            let off = tracks.each_ref().map(|track| track.tolerance);
            let found = weigh::from_wheels(loads, &wheelbase, tracks.map(|track| track.value), off);
            (found, sum(&loads[0], &loads[1]), sum(&loads[2], &loads[3]), true)
        }
        Weight::AxleLoads { front, rear } => {
            (weigh::from_axles(front, rear, &wheelbase), front.clone(), rear.clone(), false)
        }
        // Said already by `wheels_or_axles`.
        Weight::TotalAndShare { .. } | Weight::Total(_) => return None,
    };
    let up = match (readings.is_empty(), radius) {
        (true, _) => None,
        (false, Some(radius)) => {
            let level = Level { axles: [&front, &rear], total: &weighed.mass, wheelbase: &wheelbase };
            Some(height(&readings, &level, &radius?, file, problems)?)
        }
        (false, None) => {
            problems.error(
                file.scales.span.clone(),
                "the height needs `wheel_radius`",
                "measure from the ground to the hub centre, vehicle standing on its wheels",
            );
            return None;
        }
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
    for reading in &readings {
        note("angle", &reading.lifted.angle.basis);
        note("scales, lifted", &reading.lifted.low_lifted.basis);
    }
    let figure = |m: &Measured<Length>| wire::Figure {
        value_m: m.value.to_metres(),
        tolerance_m: m.tolerance.to_metres(),
        uncertainty_m: m.uncertainty.to_metres(),
    };
    Some(wire::WeighAnswer {
        contract: "standfast/weigh/1",
        mass_kg: weighed.mass.value.to_kilograms(),
        mass_tolerance_kg: weighed.mass.tolerance.to_kilograms(),
        front_share: front.value / weighed.mass.value,
        aft: figure(&weighed.aft),
        left: left_known.then(|| figure(&weighed.left)),
        up: up.map(|m| figure(&m)),
        assumptions,
    })
}

fn sum(a: &Measured<Mass>, b: &Measured<Mass>) -> Measured<Mass> {
    let basis = Basis::least_sure([&a.basis, &b.basis]);
    Measured::even(a.value + b.value, a.tolerance + b.tolerance, basis)
}

/// An error unless the scales weigh four wheels or two axles: a total says nothing of where its centre is.
fn wheels_or_axles(scales: &At<vehicle::Weight>, problems: &mut Problems) -> bool {
    let w = &scales.value;
    let wheels = [&w.front_left, &w.front_right, &w.rear_left, &w.rear_right];
    let axles = [&w.front_axle, &w.rear_axle];
    let given = |list: &[&Option<Text<Mass>>]| list.iter().filter(|t| t.is_some()).count();
    let fine = matches!((given(&wheels), given(&axles)), (4, 0) | (0, 2))
        && w.total.is_none()
        && w.front_share.is_none();
    if !fine {
        problems.error(
            scales.span.clone(),
            "the centre of gravity needs the loads of all four wheels or of both axles, and nothing else",
            "weigh `front_left`, `front_right`, `rear_left` and `rear_right`; or `front_axle` and `rear_axle`",
        );
    }
    fine
}

/// An error if the tyres of the two axles would touch.
fn wheels_apart(file: &wire::Weighing, problems: &mut Problems) {
    let radius = file.wheel_radius.as_ref();
    agree::wheels_apart(&file.wheelbase, radius, &RADIUS, problems);
}
