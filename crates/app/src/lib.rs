//! The program: command line, file formats, the words of problems. No physics.

mod cli;
mod convert;
mod document;
mod input;
mod template;
mod verb;
mod wire;
mod write;

pub use cli::{run, status};
pub use document::{Parser, fuzz, read_files};
