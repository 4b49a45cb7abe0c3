//! The door: parse the command line, call the library, return the exit status.

// Where a file's bytes decide nothing may panic, and no result may depend on hash order or on the platform's maths
// library (see .clippy.toml). Tests, examples and benches are free of this.
#![deny(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![deny(clippy::iter_over_hash_type, clippy::disallowed_methods, clippy::disallowed_types)]

mod cli;

use std::process::ExitCode;

fn main() -> ExitCode {
    cli::run()
}
