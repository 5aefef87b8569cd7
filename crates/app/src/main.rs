//! The program: command line and files.

fn main() -> std::process::ExitCode {
    app::run(std::env::args_os())
}
