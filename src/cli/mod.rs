//! The command line: what may be said, and what is said back.

mod options;
mod progress;

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use clap::{CommandFactory, Parser};
use stoptally::assemble::needs_a_look;
use stoptally::light::Method;
use stoptally::pipeline::{self, Request};
use stoptally::report::{files, first_minute, place, write};

use options::Options;
use progress::Progress;

/// Runs the program: 0 clean, 1 finished with something that needs a look, 2 could not run.
pub fn run() -> ExitCode {
    let options = Options::parse();
    if let Some(wish) = options.printed_only() {
        return finish(wish.print(&mut Options::command()).map(|()| ExitCode::SUCCESS));
    }
    finish(main_job(&options))
}

fn finish(result: Result<ExitCode>) -> ExitCode {
    result.unwrap_or_else(|error| {
        let _ = writeln!(anstream::stderr(), "stoptally: {error:#}");
        ExitCode::from(2)
    })
}

fn main_job(options: &Options) -> Result<ExitCode> {
    let Some(folder) = options.folder.as_deref() else {
        bail!("which folder? Give the folder of a shoot, for example: stoptally sample-images")
    };
    let data = folder.metadata().with_context(|| format!("{} cannot be opened; check the path", folder.display()))?;
    if !data.is_dir() {
        bail!("{} is a file; give the folder of a shoot", folder.display());
    }
    if let Some(out) = options.out.as_deref() {
        place::allowed(out, folder, options.inside_shoot)?;
    }
    let request = Request {
        folder: folder.to_owned(),
        report: options.out.clone(),
        notes: options.notes.clone(),
        subjects: options.subject.clone(),
        keepers: options.keepers(),
        clocks: options.clock.iter().cloned().collect(),
        sync_time_s: options.sync.0,
        method: Method::default(),
    };
    let progress = Progress::new(!options.quiet && io::stderr().is_terminal())?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.threads.map_or(0, usize::from))
        .build()
        .context("starting threads failed")?;
    let report = pool.install(|| pipeline::analyse(&request, &progress))?;
    progress.end();
    let target = place::place(&report, folder, options.out.as_deref(), options.inside_shoot)?;
    let files = files::files(&report)?;
    progress.check()?;
    write::write(&target, &files)?;
    let look = needs_a_look(&report);
    let said = if options.json {
        programs_answer(&report, &target, look)?
    } else {
        first_minute::sentences(&report, &target.display().to_string())
    };
    if !options.quiet || options.json {
        // A closed pipe (`| head`) is the reader's choice, not a failure of the run.
        let _ = writeln!(io::stdout(), "{said}");
    }
    Ok(if look { ExitCode::from(1) } else { ExitCode::SUCCESS })
}

/// One object for programs: the summary and where everything lies.
fn programs_answer(report: &stoptally::report::Report, target: &std::path::Path, look: bool) -> Result<String> {
    let answer = serde_json::json!({
        "schema": report.schema,
        "shoot": report.shoot,
        "summary": report.summary,
        "findings": report.findings.len(),
        "problems": report.problems.len(),
        "needs_a_look": look,
        "report": target.join("report.html"),
        "data": target.join(stoptally::report::SHOOT_JSON),
    });
    Ok(serde_json::to_string(&answer)?)
}
