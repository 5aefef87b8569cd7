//! Measured vehicles (NHTSA NCAP rollover measurements 2004) planned on each lift.

#![expect(clippy::expect_used, reason = "a test ends where it fails")]

use std::fs;
use std::path::Path;

use planner::measured::Measured;
use planner::vehicle::{BodyClass, Drive, Weight};
use planner::{Job, Limits, Vehicle, plan, state};
use statics::{Length, Mass};

#[path = "shop/demo.rs"]
mod demo;
mod shop;

struct Row {
    id: String,
    class: BodyClass,
    drive: Drive,
    mass: f64,
    wheelbase: f64,
    tracks: [f64; 2],
    aft: f64,
    height: f64,
    front_share: f64,
}

fn rows() -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/axle-split-measured.csv");
    let text = fs::read_to_string(path).expect("the data is there");
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    let column = |name: &str| header.iter().position(|h| *h == name).expect("the column is there");
    let named = |line: &str, name: &str| line.split(',').nth(column(name)).expect("a field").to_owned();
    lines
        .map(|line| {
            let number = |name: &str| named(line, name).parse::<f64>().expect("a number");
            Row {
                id: named(line, "row_id"),
                class: match named(line, "body_class").as_str() {
                    "pickup" => BodyClass::Pickup,
                    "suv" => BodyClass::Suv,
                    "wagon" => BodyClass::Wagon,
                    "convertible" => BodyClass::Convertible,
                    "hatchback" => BodyClass::Hatchback,
                    "van" => BodyClass::Minivan,
                    _ => BodyClass::Sedan,
                },
                drive: match named(line, "drive").as_str() {
                    "RWD" => Drive::Rear,
                    "FWD" => Drive::Front,
                    _ => Drive::All,
                },
                mass: number("mass_kg"),
                wheelbase: number("wheelbase_m"),
                tracks: [number("track_front_m"), number("track_rear_m")],
                aft: number("cg_x_behind_front_axle_m"),
                height: number("cg_height_m"),
                front_share: number("front_share"),
            }
        })
        .collect()
}

fn measured(value: f64, tolerance: f64) -> Measured<Mass> {
    Measured::given(Mass::kilograms(value), Mass::kilograms(tolerance))
}

/// The vehicle as its axles were weighed: the share of the front axle, rounded to four digits in the data.
fn vehicle(row: &Row) -> Vehicle {
    let mut vehicle = shop::weighing(
        Mass::kilograms(row.mass),
        Length::metres(row.aft),
        Length::metres(row.height),
        Length::metres(row.wheelbase),
    );
    vehicle.name.clone_from(&row.id);
    vehicle.class = row.class;
    vehicle.drive = row.drive;
    [vehicle.wheels.track_front, vehicle.wheels.track_rear] = row.tracks.map(Length::metres);
    vehicle.weight = Weight::AxleLoads {
        front: measured(row.mass * row.front_share, 10.0),
        rear: measured(row.mass * (1.0 - row.front_share), 10.0),
    };
    vehicle.lift_areas = shop::Sills::of(row.wheelbase, row.tracks[0].min(row.tracks[1])).areas();
    vehicle
}

#[test]
fn axle_shares_give_the_measured_centre() {
    let rows = rows();
    assert_eq!(rows.len(), 26);
    for row in &rows {
        let bare = state::bare(&vehicle(row));
        let found = bare.aft.value.to_metres();
        // Share to four digits, lengths to a tenth of a millimetre.
        let tolerance = 0.5e-4 * row.wheelbase + 2e-4;
        assert!((found - row.aft).abs() < tolerance, "{}: {found} against {}", row.id, row.aft);
    }
}

#[test]
fn every_measured_vehicle_is_planned_on_every_lift() {
    let mut lifts = shop::lifts();
    lifts.extend(demo::lifts());
    assert!(lifts.len() >= 6);
    let mut verdicts = [0; 3];
    let mut planned = 0;
    for row in rows() {
        let vehicle = vehicle(&row);
        for lift in &lifts {
            let tell = format!("{} on {}", row.id, lift.name);
            let found = plan(lift, &vehicle, &Job::default(), &Limits::default());
            let found = found.unwrap_or_else(|faults| panic!("{tell}: {faults:?}"));
            verdicts[found.verdict as usize] += 1;
            planned += 1;
            for check in &found.checks {
                let figures = [check.demand, check.limit, check.reserve];
                assert!(figures.iter().all(|v| v.is_finite()), "{tell}: {check:?}");
            }
            let state = &found.states[0];
            let weight = state.mass.value.weight().to_newtons();
            let sum = |f: &dyn Fn(usize) -> f64| (0..4).map(f).sum::<f64>();
            let load = |i: usize| state.loads[i].to_newtons();
            let at = |i: usize| found.pads[i].at.to_metres();
            if state.assured_edge > Length::ZERO {
                let lost = sum(&load) - weight;
                let moments = [0, 1].map(|k| sum(&|i| load(i) * at(i)[k]) - weight * state.cg.to_metres()[k]);
                let off = [lost, moments[0], moments[1]].iter().fold(0.0_f64, |m, v| m.max(v.abs()));
                assert!(off < 1e-6 * weight, "{tell}: {off} out of balance");
            }
            for pad in &found.pads {
                let figures = [
                    pad.reach.to_metres(),
                    pad.swing.to_radians(),
                    pad.height.to_metres(),
                    pad.load_least.to_newtons(),
                    pad.load_greatest.to_newtons(),
                    pad.load_estimate.to_newtons(),
                    pad.load_assured.to_newtons(),
                ];
                assert!(figures.iter().all(|v| v.is_finite()), "{tell}: {pad:?}");
                assert!(
                    pad.load_least <= pad.load_estimate && pad.load_estimate <= pad.load_greatest,
                    "{tell}: {pad:?}"
                );
            }
        }
    }
    println!("raise, with conditions, refused: {verdicts:?}");
    assert_eq!(planned, 26 * lifts.len());
    assert!(verdicts[0] + verdicts[1] > 40);
}
