//! The command line.

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};
use jiff::civil::Date;

use crate::{verb, write};

/// It may be raised, or the question was answered.
pub(crate) const FINE: u8 = 0;
/// It must not be raised.
pub(crate) const REFUSED: u8 = 1;
/// Input that cannot be read.
pub(crate) const UNREADABLE: u8 = 2;

/// Standfast: a checked setup for raising a road vehicle on a two-post lift.
#[derive(Debug, Parser)]
#[command(name = "standfast", version)]
struct Cli {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// May this vehicle be raised on this lift, and with which setup? Exit 0 yes, 1 no, 2 bad input.
    Plan(verb::plan::Options),
    /// Loads and stability of any support set, JSON in and out.
    Solve {
        /// The question as JSON; - for standard input.
        file: PathBuf,
    },
    /// Show every problem of every file.
    Check {
        /// Lift, vehicle, job, as-placed, limits, weighing or solve files.
        #[arg(required = true)]
        files: Vec<PathBuf>,
    },
    /// Print the JSON Schema of a form; without a name, list the forms.
    Schema {
        /// The form.
        name: Option<verb::schema::Name>,
    },
    /// Write a commented file that tells how to measure each value. Never overwrites.
    New {
        /// What to describe.
        what: What,
        /// The file to write.
        file: PathBuf,
    },
    /// Many vehicles on many lifts: which lift takes which, what holds each, what would gain most. Exit 2 if a row was skipped.
    Survey(Box<verb::survey::Options>),
    /// Centre of gravity from wheel or axle scales, and its height from a lifted axle.
    Weigh(verb::weigh::Options),
    /// The shop's book: begin it, today's board, verify, backup, restore, in and out. Exit 1 refused, 2 bad input or failed.
    #[command(subcommand)]
    Book(verb::book::What),
    /// Write into the book: people, lifts, vehicles, checks, examinations, defects, tags, repairs, incidents.
    #[command(subcommand)]
    Enter(verb::enter::What),
    /// A raise led step by step, from the plan to driven off.
    #[command(subcommand)]
    Raise(verb::raise::What),
    /// The shop's own pages: plan, raise and book in a browser on tablet and screen.
    Serve(crate::serve::Options),
}

/// What `new` can write.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum What {
    /// A two-post lift.
    Lift,
    /// A road vehicle.
    Vehicle,
    /// A job.
    Job,
    /// A setup as it was found on the floor.
    AsPlaced,
    /// The shop's own limits.
    Limits,
    /// A table (CSV) with a row for each lift, to fill in and import.
    Lifts,
    /// A table (CSV) with a row for each vehicle, to fill in and import.
    Vehicles,
}

/// A text that a person writes: it may begin with a hyphen, but with two it is taken for an option misspelt.
pub(crate) fn free_text(text: &str) -> Result<String, String> {
    if text.starts_with("--") {
        return Err("there is no such option here; a text does not begin with two hyphens".to_owned());
    }
    Ok(text.to_owned())
}

/// A day, for an option.
pub(crate) fn day(text: &str) -> Result<Date, String> {
    text.parse().map_err(|_| "a day is written as 2025-08-04, and must be one of the calendar".to_owned())
}

/// Runs the program on its arguments, the first of which is its own name.
pub fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    let code = match Cli::try_parse_from(arguments) {
        Ok(cli) => cli.verb.run(),
        Err(fault) => {
            // Help and version go to standard output and are not errors.
            let _ = fault.print();
            if fault.use_stderr() { UNREADABLE } else { FINE }
        }
    };
    ExitCode::from(code)
}

/// The exit status of the program on its arguments, nothing printed; `None` if they are no command line.
/// For tests with noise, which ask hundreds of times.
pub fn status(arguments: impl Iterator<Item = OsString>) -> Option<u8> {
    let cli = Cli::try_parse_from(arguments).ok()?;
    Some(write::silently(|| cli.verb.run()))
}

impl Verb {
    /// Does it; the exit status.
    fn run(self) -> u8 {
        match self {
            Self::Plan(options) => verb::plan::run(&options),
            Self::Solve { file } => verb::solve::run(&file),
            Self::Check { files } => verb::check::run(&files),
            Self::Schema { name } => verb::schema::run(name),
            Self::New { what, file } => verb::new::run(what, &file),
            Self::Survey(options) => verb::survey::run(&options),
            Self::Weigh(options) => verb::weigh::run(&options),
            Self::Book(what) => verb::book::run(&what),
            Self::Enter(what) => verb::enter::run(&what),
            Self::Raise(what) => verb::raise::run(&what),
            Self::Serve(options) => crate::serve::run(&options),
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn every_option_is_unambiguous() {
        super::Cli::command().debug_assert();
    }
}
