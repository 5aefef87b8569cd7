//! The program: command line and files.
fn main() {}
