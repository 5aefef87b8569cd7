//! A vehicle as it was measured: its figures, and drawn with them.

use clap::ValueEnum;
use maud::{Markup, PreEscaped, html};
use planner::lift::Corner;
use planner::quick::{Guess, Taped};
use planner::vehicle::{BodyClass, LiftArea, Vehicle, Weight};
use sheets::Units;
use statics::Length;

use super::Subject;
use super::drawing;
use super::question::{Answer, Answers, one_word};
use crate::{convert, wire};

/// Figures and drawing.
pub(crate) fn vehicle(vehicle: &Vehicle, units: Units) -> Markup {
    let drawn = drawing::picture(Subject::Vehicle, &answers(vehicle, units), "wheelbase");
    let [wide, high] = drawn.size;
    html! {
        div.measure {
            figure.tape {
                svg viewBox={ "0 0 " (wide) " " (high) } role="img" aria-label="The vehicle from its left and from above, as it was measured. Dashed: not measured." {
                    (PreEscaped(sheets::svg_patterns()))
                    rect.paper width=(wide) height=(high) {}
                    (PreEscaped(sheets::svg_items(&drawn.items)))
                }
            }
            dl.facts { @for (what, says) in figures(vehicle, units) { div { dt { (what) } dd { (says) } } } }
        }
    }
}

/// Beside what no tape told.
const NOT_MEASURED: &str = "not measured: as usual for its body";

/// What is known of it, in the order in which it is measured.
fn figures(vehicle: &Vehicle, units: Units) -> Vec<(String, String)> {
    let length = |length: Length| units.length(length);
    let outline = &vehicle.outline;
    let whole = outline.front_overhang + vehicle.wheelbase.value + outline.rear_overhang;
    let guess = |what: Taped| vehicle.unmeasured.guesses.iter().find(|guess| guess.what == what);
    let taped = |what: Taped, measured: Length| match guess(what) {
        Some(Guess { range, .. }) => {
            format!("{} to {}, {NOT_MEASURED}", length(range.least), length(range.greatest))
        }
        None => length(measured),
    };
    let is_long = guess(Taped::FrontOverhang).or(guess(Taped::RearOverhang)).is_none();
    let mut all = vec![
        ("Wheelbase".to_owned(), length(vehicle.wheelbase.value)),
        ("Length".into(), if is_long { length(whole) } else { NOT_MEASURED.into() }),
        ("Width".into(), taped(Taped::Width, outline.width)),
        ("Height".into(), taped(Taped::Roof, outline.roof)),
        ("Front overhang".into(), taped(Taped::FrontOverhang, outline.front_overhang)),
        ("Sills above the floor".into(), taped(Taped::Sill, vehicle.sill_height)),
    ];
    all.extend(weighed(&vehicle.weight, units));
    all.extend(vehicle.lift_areas.iter().map(|area| {
        let [aft, left] = middle(area);
        let side = if left < 0.0 { "right" } else { "left" };
        let [aft, out] = [aft, left.abs()].map(|metres| length(Length::metres(metres)));
        // A file may leave some of them out: those have the height that was taken.
        let high = match guess(Taped::Undersides).filter(|guess| guess.used == area.underside) {
            Some(_) => taped(Taped::Undersides, area.underside),
            None => length(area.underside),
        };
        (
            sheets::words::capital(&area.name),
            format!("{aft} behind the front hub, {out} {side} of the middle; height {high}"),
        )
    }));
    all
}

fn weighed(weight: &Weight, units: Units) -> Vec<(String, String)> {
    let row = |what: &str, says: String| (what.to_owned(), says);
    match weight {
        Weight::WheelLoads(wheels) => Corner::ALL
            .into_iter()
            .zip(wheels)
            .map(|(corner, mass)| {
                (format!("On the {} wheel", corner.name().replace('-', " ")), units.mass(mass.value))
            })
            .collect(),
        Weight::AxleLoads { front, rear } => vec![
            row("On the front axle", units.mass(front.value)),
            row("On the rear axle", units.mass(rear.value)),
        ],
        Weight::TotalAndShare { total, front_share } => vec![
            row("Weight, unladen", units.mass(total.value)),
            row("Of it on the front axle", format!("{:.0} %", front_share.value * 100.0)),
        ],
        Weight::Total(total) => vec![
            row("Weight, unladen", units.mass(total.value)),
            row("Of it on the front axle", "not weighed: as usual for its body".into()),
        ],
    }
}

/// Behind the front hub and left of the middle, metres.
fn middle(area: &LiftArea) -> [f64; 2] {
    let corners: Vec<[f64; 2]> = area.region.corners().iter().map(|corner| corner.to_metres()).collect();
    let ends = |k: usize| {
        let all = || corners.iter().map(|corner| corner[k]);
        f64::midpoint(all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
    };
    [ends(0), ends(1)]
}

/// As they would have been answered, for the drawing.
fn answers(vehicle: &Vehicle, units: Units) -> Answers {
    // In the words of the list beside it.
    let length = |metres: f64| {
        let says = units.length(Length::metres(metres));
        let (value, unit) = says.rsplit_once(' ').unwrap_or((&says, ""));
        Answer::from(
            [("value", value), ("unit", unit)].map(|(name, text)| (name.to_owned(), text.to_owned())),
        )
    };
    let (outline, wheels) = (&vehicle.outline, &vehicle.wheels);
    let whole = outline.front_overhang + vehicle.wheelbase.value + outline.rear_overhang;
    let taped = |what: Taped| vehicle.unmeasured.guesses.iter().all(|guess| guess.what != what);
    let mut answers: Answers = [
        ("wheelbase", vehicle.wheelbase.value, true),
        ("outline.front_overhang", outline.front_overhang, taped(Taped::FrontOverhang)),
        ("outline.length", whole, taped(Taped::FrontOverhang) && taped(Taped::RearOverhang)),
        ("outline.width", outline.width, taped(Taped::Width)),
        ("outline.roof", outline.roof, taped(Taped::Roof)),
        ("sill_height", vehicle.sill_height, taped(Taped::Sill)),
        ("wheels.tyre_diameter", wheels.tyre_diameter, taped(Taped::TyreDiameter)),
        ("wheels.tyre_width", wheels.tyre_width, taped(Taped::TyreWidth)),
        ("wheels.track_front", wheels.track_front, taped(Taped::Track)),
        ("wheels.track_rear", wheels.track_rear, taped(Taped::Track)),
    ]
    .into_iter()
    // What no tape told is drawn as usual, dashed.
    .filter(|(.., is_taped)| *is_taped)
    .map(|(key, of, _)| (key.to_owned(), length(of.to_metres())))
    .collect();
    for (corner, end) in [(Corner::FrontLeft, "front"), (Corner::RearLeft, "rear")] {
        if let Some(area) = vehicle.lift_areas.iter().find(|area| area.corner == corner) {
            let [aft, left] = middle(area);
            for (what, metres) in
                [("aft", aft), ("left", left.abs()), ("underside", area.underside.to_metres())]
            {
                answers.insert(format!("{end}.{what}"), length(metres));
            }
        }
    }
    answers.extend(word(vehicle.class).map(|word| ("class".to_owned(), one_word(&word))));
    answers
}

/// As files name it.
fn word(class: BodyClass) -> Option<String> {
    let named = wire::vehicle::Class::value_variants()
        .iter()
        .find(|named| convert::vehicle::class(**named) == class)?;
    Some(named.to_possible_value()?.get_name().to_owned())
}
