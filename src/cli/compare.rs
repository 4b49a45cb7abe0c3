//! The job of putting two shoots side by side: read both, compare, write, say.

use std::io::{self, Write};
use std::process::ExitCode;

use anyhow::Result;
use stoptally::compare;
use stoptally::report::{compare as report, write};

use super::options::Compare;

/// Runs it: 0 where both could be read and the comparison was written.
pub fn run(wanted: &Compare) -> Result<ExitCode> {
    let (a, b) = (compare::read(&wanted.a)?, compare::read(&wanted.b)?);
    let comparison = compare::compare(&a, &b);
    let target = report::place(&comparison, wanted.out.as_deref())?;
    write::write(&target, &report::files(&comparison)?)?;
    if !wanted.quiet {
        // A closed pipe (`| head`) is the reader's choice, not a failure of the run.
        let _ = writeln!(io::stdout(), "{}", report::sentences(&comparison, &target.display().to_string()));
    }
    Ok(ExitCode::SUCCESS)
}
