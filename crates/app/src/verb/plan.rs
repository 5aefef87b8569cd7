//! `plan`: from a lift, a vehicle and a job to a checked setup.

use std::path::PathBuf;

use clap::Args;

use crate::cli::UNREADABLE;
use crate::document::Document;
use crate::write;

/// What to plan and how to answer.
#[derive(Args, Debug)]
pub(crate) struct Options {
    /// The lift's file.
    #[arg(long)]
    lift: PathBuf,
    /// The vehicle's file.
    #[arg(long)]
    vehicle: PathBuf,
    /// The job's file; left out = only raised and lowered.
    #[arg(long)]
    job: Option<PathBuf>,
    /// Check this setup as it was measured, instead of searching for one.
    #[arg(long, value_name = "FILE")]
    as_placed: Option<PathBuf>,
}

/// Reads everything.
pub(crate) fn run(options: &Options) -> u8 {
    let (Some(mut lift), Some(mut vehicle)) =
        (Document::open(&options.lift), Document::open(&options.vehicle))
    else {
        return UNREADABLE;
    };
    let (l, v) = (lift.lift(), vehicle.vehicle());
    write::err(&lift.report());
    write::err(&vehicle.report());
    let _ = (l, v, &options.job, &options.as_placed);
    UNREADABLE
}
