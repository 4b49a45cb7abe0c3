//! The door: parse the command line, call the library, return the exit status.

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
