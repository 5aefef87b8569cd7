//! A vehicle as options of `plan`, where no file describes it.

use std::path::Path;

use clap::Args;
use planner::{Limits, Vehicle};

use crate::convert;
use crate::document::Document;
use crate::input::{Given, Problems, Source};
use crate::wire::vehicle::{Class, Drive};

/// All of them stand for a vehicle file.
#[derive(Args, Debug)]
#[command(next_help_heading = "Quick entry, instead of --vehicle: all five")]
pub(crate) struct QuickEntry {
    /// Hub centre to hub centre: "2.65m", "104 1/4 in".
    #[arg(long, allow_hyphen_values = true, value_parser = figure)]
    wheelbase: Option<String>,
    /// Whole vehicle, unladen: "1420kg"; by its papers, or on a scale: "1420 kg +- 5 kg".
    #[arg(long, allow_hyphen_values = true, value_parser = figure)]
    mass: Option<String>,
    /// Class of body.
    #[arg(long, value_enum)]
    body: Option<Class>,
    /// Driven wheels; battery for any battery vehicle.
    #[arg(long, value_enum)]
    drive: Option<Drive>,
    /// Lifting points: front pair and rear pair behind the front axle, then left of centre: "0.47m,2.19m,0.71m".
    /// With a fourth, the third is of the front pair and the fourth of the rear pair.
    #[arg(long, allow_hyphen_values = true, value_parser = figure, value_name = "FRONT,REAR,LEFT[,LEFT]")]
    lift_points: Option<String>,
}

/// A figure may be negative, to be refused for that; what begins with two dashes is another option.
fn figure(text: &str) -> Result<String, String> {
    if text.starts_with("--") {
        return Err("a figure is missing before it, such as \"2.65m\"".into());
    }
    Ok(text.into())
}

impl QuickEntry {
    /// Whether they alone, or a file alone, say which vehicle it is; if not, why.
    pub(crate) fn instead_of(&self, file: Option<&Path>) -> Result<(), String> {
        const ALL: &str = "--wheelbase, --mass, --body, --drive and --lift-points";
        let given = [
            ("--wheelbase", self.wheelbase.is_some()),
            ("--mass", self.mass.is_some()),
            ("--body", self.body.is_some()),
            ("--drive", self.drive.is_some()),
            ("--lift-points", self.lift_points.is_some()),
        ];
        let named = |is: bool| -> Vec<&str> { given.iter().filter(|g| g.1 == is).map(|g| g.0).collect() };
        let (there, missing) = (named(true), named(false));
        match (file, there.is_empty(), missing.is_empty()) {
            (Some(_), true, _) | (None, _, true) => Ok(()),
            (Some(_), false, _) => Err(format!(
                "error: --vehicle and {}: a vehicle is described by its file or by these options, not by both\n  help: leave one of them out; what the options say can be written into the file\n",
                there.join(", ")
            )),
            (None, true, _) => Err(format!(
                "error: no vehicle is given\n  help: --vehicle FILE; or, without a file, all of {ALL}\n"
            )),
            (None, false, false) => Err(format!(
                "error: {} missing\n  help: without a vehicle file all of {ALL} are needed\n",
                match missing.as_slice() {
                    [one] => format!("{one} is"),
                    several => format!("{} are", several.join(", ")),
                }
            )),
        }
    }

    /// The vehicle that they describe, and what was found about them.
    pub(crate) fn read(&self, limits: &Limits) -> (Option<Document>, Option<Vehicle>) {
        let (Some(wheelbase), Some(mass), Some(body), Some(drive), Some(points)) =
            (&self.wheelbase, &self.mass, self.body, self.drive, &self.lift_points)
        else {
            return (None, None);
        };
        let mut text = String::new();
        let mut add = |value: &str| {
            let start = text.len();
            // A figure is one line, whatever was quoted on the command line.
            text += &value.replace(char::is_control, " ");
            let end = text.len();
            text.push('\n');
            start..end
        };
        let options = [("--wheelbase", wheelbase), ("--mass", mass), ("--lift-points", points)];
        let spans = options.map(|(_, value)| add(value));
        let given = options.iter().zip(&spans).map(|((option, value), span)| Given {
            span: span.start..span.end + 1,
            option,
            values: vec![(*value).clone()],
        });
        let given = given.collect();
        let mut problems = Problems::default();
        let said = convert::quick::Said { text: &text, spans: &spans, class: body, drive };
        let entry = convert::quick::entry(&said, &mut problems);
        let vehicle = entry.and_then(|e| planner::quick::vehicle(&e, limits));
        (Some(Document::read_already(Source::of_options("plan", text, given), problems)), vehicle)
    }
}
