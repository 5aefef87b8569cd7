//! The program: command line, file formats, the words of problems. No physics.

mod cell;
mod cli;
mod convert;
mod desk;
mod document;
mod input;
mod intake;
mod measuring;
mod paper;
mod planning;
mod secret;
mod serve;
#[cfg(unix)]
mod signals;
mod survey;
mod template;
mod told;
mod verb;
mod wire;
mod write;
mod written;

pub use cli::{run, status};
pub use document::{Parser, fuzz, read_files};
