//! `weigh`: centre of gravity from scales.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use sheets::Units;
use statics::{Length, Mass};

use crate::cli::{FINE, UNREADABLE};
use crate::document::Document;
use crate::input::{Given, Source};
use crate::verb::plan::System;
use crate::wire::weigh::{Figure, WeighAnswer};
use crate::write;

/// Readings in a file, or as options.
#[derive(Args, Debug)]
pub(crate) struct Options {
    /// A weighing file (weigh/1) instead of options.
    #[arg(conflicts_with_all = ["wheelbase", "front_left", "front_right", "rear_left", "rear_right", "front_axle", "rear_axle", "track_front", "track_rear", "wheel_radius", "lifted"])]
    file: Option<PathBuf>,
    /// Hub centre to hub centre: "2.60 m +- 5 mm" or "2.600 m by tape II".
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    wheelbase: Option<String>,
    /// Front left wheel: "430 kg by scale III e=0.5 kg".
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    front_left: Option<String>,
    /// Front right wheel.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    front_right: Option<String>,
    /// Rear left wheel.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    rear_left: Option<String>,
    /// Rear right wheel.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    rear_right: Option<String>,
    /// Front axle, instead of wheels.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    front_axle: Option<String>,
    /// Rear axle, instead of wheels.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    rear_axle: Option<String>,
    /// Between the middles of the front tyres.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    track_front: Option<String>,
    /// Between the middles of the rear tyres.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    track_rear: Option<String>,
    /// Ground to hub centre; needed for the height.
    #[arg(long, allow_hyphen_values = true, value_parser = reading)]
    wheel_radius: Option<String>,
    /// A reading with an axle lifted, again for each: axle that is lifted, angle, load on the other axle.
    #[arg(long, num_args = 3, allow_hyphen_values = true, value_parser = reading, value_names = ["AXLE", "ANGLE", "LOAD"])]
    lifted: Vec<String>,
    /// Units of the answer; JSON is in SI.
    #[arg(long, value_enum, default_value = "metric")]
    units: System,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// A reading may be negative, to be refused for that; what begins with two dashes is another option.
fn reading(text: &str) -> Result<String, String> {
    if text.starts_with("--") {
        return Err("a reading is missing before it, such as \"712 kg +- 1 kg\"".into());
    }
    Ok(text.into())
}

impl Options {
    /// Whether any reading is given.
    fn any(&self) -> bool {
        let one = [
            &self.wheelbase,
            &self.front_left,
            &self.front_right,
            &self.rear_left,
            &self.rear_right,
            &self.front_axle,
            &self.rear_axle,
            &self.track_front,
            &self.track_rear,
            &self.wheel_radius,
        ];
        one.into_iter().any(Option::is_some) || !self.lifted.is_empty()
    }
}

/// Prints the centre of gravity.
pub(crate) fn run(options: &Options) -> u8 {
    if options.file.is_none() && !options.any() {
        write::err(
            "error: weigh: no reading is given\n  help: give a weighing file, or what the scales say: standfast weigh --wheelbase \"2.520 m by tape II\" --front-axle \"712 kg\" --rear-axle \"438 kg\"\n",
        );
        return UNREADABLE;
    }
    let document = match &options.file {
        Some(path) => Document::open(path),
        None => Some(Document::of(as_file(options))),
    };
    let Some(mut document) = document else { return UNREADABLE };
    let answer = document.weighing();
    write::err(&document.report());
    let Some(answer) = answer else { return UNREADABLE };
    if options.json {
        write::json(&answer, FINE)
    } else {
        write::out(&words(&answer, options.units.units()), FINE)
    }
}

/// The options as the file that they stand for, so that both are read and criticised by the same code.
fn as_file(options: &Options) -> Source {
    let (mut text, mut given) = (String::from("standfast = \"weigh/1\"\n"), Vec::new());
    let lengths = [
        ("--wheelbase", &options.wheelbase),
        ("--track-front", &options.track_front),
        ("--track-rear", &options.track_rear),
        ("--wheel-radius", &options.wheel_radius),
    ];
    let scales = [
        ("--front-left", &options.front_left),
        ("--front-right", &options.front_right),
        ("--rear-left", &options.rear_left),
        ("--rear-right", &options.rear_right),
        ("--front-axle", &options.front_axle),
        ("--rear-axle", &options.rear_axle),
    ];
    for (head, group) in [("", &lengths[..]), ("[scales]\n", &scales[..])] {
        text.push_str(head);
        for (option, value) in group {
            let Some(value) = value else { continue };
            let start = text.len();
            let key = option.trim_start_matches('-').replace('-', "_");
            let _ = writeln!(text, "{key} = {}", quoted(value));
            given.push(Given { span: start..text.len(), option, values: vec![value.clone()] });
        }
    }
    for reading in options.lifted.chunks(3) {
        let [axle, angle, load] = reading else { continue };
        let start = text.len();
        let _ = writeln!(
            text,
            "[[lifted]]\naxle = {}\nangle = {}\nload = {}",
            quoted(axle),
            quoted(angle),
            quoted(load)
        );
        given.push(Given { span: start..text.len(), option: "--lifted", values: reading.to_vec() });
    }
    Source::of_options("weigh", text, given)
}

fn quoted(value: &str) -> String {
    // A TOML basic string has the escapes of JSON, and DEL beyond them.
    serde_json::Value::from(value).to_string().replace('\u{7f}', "\\u007f")
}

fn words(answer: &WeighAnswer, units: Units) -> String {
    let mass = |kg: f64| match units {
        Units::Metric => (kg, "kg"),
        Units::Us => (Mass::kilograms(kg).to_pounds(), "lb"),
    };
    // To a tenth of a millimetre, or a hundredth of an inch.
    let length = |m: f64| match units {
        Units::Metric => format!("{m:.4} m"),
        Units::Us => format!("{:.2} in", Length::metres(m).to_inches()),
    };
    let ((value, unit), (tolerance, _)) = (mass(answer.mass_kg), mass(answer.mass_tolerance_kg));
    let mut text = format!(
        "mass                 {value:9.1} {unit}  +- {tolerance:.1} {unit}\nfront axle's share   {:9.1} %\n",
        100.0 * answer.front_share
    );
    let mut line = |what: &str, figure: &Option<Figure>, missing: &str| {
        let _ = match figure {
            Some(f) => writeln!(
                text,
                "{what} {:>11}   +- {} worst case; standard uncertainty {}",
                length(f.value_m),
                length(f.tolerance_m),
                length(f.uncertainty_m)
            ),
            None => writeln!(text, "{what}   not known: {missing}"),
        };
    };
    line("behind front axle   ", &Some(answer.aft), "");
    line("left of centre      ", &answer.left, "weigh each wheel");
    line("above the ground    ", &answer.up, "weigh again with one axle lifted");
    for assumption in &answer.assumptions {
        let _ = writeln!(text, "assumed: {assumption}");
    }
    text.push_str("worst case: every input anywhere within its tolerance. Standard uncertainty: JCGM 100, tolerances read as uniform.\n");
    text
}
