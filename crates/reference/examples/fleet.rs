//! A fleet of any size, the same each time, as a table that `standfast survey` reads.
//!
//!     cargo run -p reference --example fleet -- 100000 > fleet.csv
//!
//! Drawn, each vehicle by itself: wheelbase by the percentiles of bodies sold 1981 to 2025 (2.27, 2.75, 4.28 m at p1, p50, p99;
//! 37 % under 105 in, 81 % up to 127 in: Canadian Vehicle Specifications, Transport Canada), straight lines between; curb mass by 1233,
//! 1779, 2643 kg (EPA, model year 2022, sales-weighted), taken as p1, p50, p99; class of body and roof from a row of the 635 measured
//! vehicles (NHTSA) whose class has such a wheelbase. Own assumptions: the mass has the wheelbase's rank in 6 of 10 vehicles
//! and any rank in the others; which wheelbases a class has; overhangs, widths even over the range of the class; driven axles.

#![allow(clippy::expect_used, clippy::panic, reason = "an example that prints, and ends where it fails")]

use std::io::Write as _;

use planner::priors::{Body, Range, body};
use planner::vehicle::BodyClass;
use reference::random::Random;

/// Rank and value, ascending.
const WHEELBASE: [(f64, f64); 7] =
    [(0.0, 2.20), (0.01, 2.27), (0.37, 2.667), (0.50, 2.75), (0.81, 3.2258), (0.99, 4.28), (1.0, 4.40)];
const MASS: [(f64, f64); 5] = [(0.0, 1150.0), (0.01, 1233.0), (0.50, 1779.0), (0.99, 2643.0), (1.0, 2750.0)];
const SAME_RANK: f64 = 0.6;
const SEED: u64 = 20_261_129;

fn at(rank: f64, points: &[(f64, f64)]) -> f64 {
    let next = points.iter().position(|(r, _)| rank < *r).unwrap_or(points.len() - 1).max(1);
    let [(r0, v0), (r1, v1)] = [points[next - 1], points[next]];
    v0 + (v1 - v0) * (rank - r0) / (r1 - r0)
}

/// A measured vehicle's class, its name, whether it runs on a battery, roof height in metres.
struct Measured {
    class: BodyClass,
    name: String,
    battery: bool,
    roof: f64,
}

fn measured() -> Vec<Measured> {
    let text = include_str!("../data/cg-height-measured.csv");
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let class = match cells[2] {
            "sedan" => BodyClass::Sedan,
            "hatchback" => BodyClass::Hatchback,
            "wagon" => BodyClass::Wagon,
            "coupe" => BodyClass::Coupe,
            "convertible" => BodyClass::Convertible,
            "suv" => BodyClass::Suv,
            "pickup" => BodyClass::Pickup,
            "minivan" => BodyClass::Minivan,
            "van" => BodyClass::Van,
            other => panic!("{other}"),
        };
        Measured {
            class,
            name: cells[2].into(),
            battery: cells[3] == "True",
            roof: cells[4].parse().expect("a roof"),
        }
    };
    text.lines().skip(1).map(row).collect()
}

/// Which wheelbases a class has, metres; own assumption.
fn has(class: BodyClass, wheelbase: f64) -> bool {
    let (least, most) = match class {
        BodyClass::Sedan => (2.3, 3.25),
        BodyClass::Hatchback | BodyClass::Coupe | BodyClass::Convertible => (2.0, 2.9),
        BodyClass::Wagon => (2.3, 3.0),
        BodyClass::Suv => (2.2, 3.4),
        BodyClass::Minivan => (2.6, 3.3),
        BodyClass::Pickup => (2.6, 4.5),
        BodyClass::Van => (2.7, 4.5),
    };
    (least..=most).contains(&wheelbase)
}

fn main() {
    let count: u32 = std::env::args().nth(1).and_then(|n| n.parse().ok()).expect("how many");
    let known = measured();
    let mut random = Random::new(SEED);
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    writeln!(out, "id,wheelbase (mm),mass (kg),length (mm),width (mm),height (mm),class,drive")
        .expect("written");
    for number in 1..=count {
        let rank = random.unit();
        let wheelbase = at(rank, &WHEELBASE);
        let mass = at(if random.chance(SAME_RANK) { rank } else { random.unit() }, &MASS);
        let of = loop {
            let of = &known[random.below(known.len())];
            if has(of.class, wheelbase) {
                break of;
            }
        };
        let Body { front_overhang, rear_overhang, width, .. } = body(of.class);
        let mut even = |range: Range| random.between(range.least.to_metres(), range.greatest.to_metres());
        let length = wheelbase + even(front_overhang) + even(rear_overhang);
        let wide = even(width);
        let drive = match (of.battery, of.class) {
            (true, _) => "battery",
            (_, BodyClass::Pickup | BodyClass::Van) => ["rear", "all"][random.below(2)],
            (_, BodyClass::Suv) => ["front", "all"][random.below(2)],
            _ => ["front", "front", "front", "rear", "all"][random.below(5)],
        };
        let mm = |metres: f64| (metres * 1000.0).round();
        let figures = [mm(wheelbase), mass.round(), mm(length), mm(wide), mm(of.roof)].map(|v| v.to_string());
        writeln!(out, "fleet-{number:06},{},{},{drive}", figures.join(","), of.name).expect("written");
    }
    out.flush().expect("written");
}
