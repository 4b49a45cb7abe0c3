//! The command line: what may be said, and what is said back.

mod compare;
mod options;
mod progress;
mod ratings;

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use anyhow::{Context, Result, bail};
use clap::{CommandFactory, Parser};
use stoptally::assemble::{needs_a_look, publish};
use stoptally::light::Method;
use stoptally::pipeline::{self, Request};
use stoptally::ratings::write::{Manner, Told, carry_out};
use stoptally::report::place::{self, Kind};
use stoptally::report::{files, first_minute, write};

use options::{Options, Other};
use progress::Progress;

/// Runs the program: 0 clean, 1 finished with something that needs a look, 2 could not run.
pub fn run() -> ExitCode {
    let options = Options::parse();
    if let Some(wish) = options.printed_only() {
        return finish(wish.print(&mut Options::command()).map(|()| ExitCode::SUCCESS));
    }
    match &options.other {
        Some(Other::Compare(wanted)) => finish(compare::run(wanted)),
        None => finish(main_job(&options)),
    }
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
    options.manner()?;
    let request = Request {
        folder: folder.to_owned(),
        report: options.out.clone(),
        notes: options.notes.clone(),
        subjects: options.subject.clone(),
        keepers: options.keepers(),
        clocks: options.clocks(),
        heads: options.heads(),
        sync_time_s: options.sync.0,
        print_side: options.width,
        method: Method::default(),
    };
    let progress = Progress::new(!options.quiet && io::stderr().is_terminal())?;
    let pool = rayon::ThreadPoolBuilder::new()
        .num_threads(options.threads.map_or(0, usize::from))
        .build()
        .context("starting threads failed")?;
    let outcome = pool.install(|| pipeline::account(&request, &progress))?;
    progress.end();
    let (report, manner) = (outcome.report, options.manner()?);
    if let Some(manner) = manner.filter(|manner| manner.dry_run) {
        return Ok(told(&carry_out(&outcome.wishes, manner), manner, options));
    }
    let published = options.publish.then(|| publish::publish(&report, options.title.as_deref()));
    let kind = if options.publish { Kind::Published } else { Kind::Full };
    let written = published.as_ref().unwrap_or(&report);
    let target = place::place(written, (&report.shoot, kind), folder, options.out.as_deref(), options.inside_shoot)?;
    let files = if options.publish { files::published(written)? } else { files::files(written)? };
    progress.check()?;
    write::write(&target, &files)?;
    let look = needs_a_look(&report);
    let ratings = manner.map(|manner| (carry_out(&outcome.wishes, manner), manner));
    let said = if options.json {
        programs_answer(&report, &target, (look, kind), ratings.as_ref().map(|(told, _)| ratings::count(told)))?
    } else if options.publish {
        first_minute::published(&report, &target.display().to_string())
    } else {
        first_minute::sentences(&report, &target.display().to_string())
    };
    if !options.quiet || options.json {
        // A closed pipe (`| head`) is the reader's choice, not a failure of the run.
        let _ = writeln!(io::stdout(), "{said}");
    }
    let left = ratings.is_some_and(|(all, manner)| told(&all, manner, options) != ExitCode::SUCCESS);
    Ok(if look || left { ExitCode::from(1) } else { ExitCode::SUCCESS })
}

/// Says what became of the ratings: 1 where a sidecar could not be changed.
fn told(told: &[Told], manner: Manner, options: &Options) -> ExitCode {
    let failures = ratings::failures(told);
    if manner.dry_run && options.json {
        let _ = writeln!(io::stdout(), "{}", serde_json::json!({ "ratings": ratings::count(told) }));
    } else if !options.quiet && !options.json {
        let _ = writeln!(io::stdout(), "{}", ratings::sentences(told, manner));
    }
    for line in &failures {
        let _ = writeln!(anstream::stderr(), "stoptally: {line}");
    }
    if failures.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) }
}

/// One object for programs: the summary and where everything lies.
fn programs_answer(
    report: &stoptally::report::Report,
    target: &std::path::Path,
    (look, kind): (bool, Kind),
    ratings: Option<ratings::Count>,
) -> Result<String> {
    let mut answer = serde_json::json!({
        "schema": report.schema,
        "shoot": report.shoot,
        "summary": report.summary,
        "findings": report.findings.len(),
        "problems": report.problems.len(),
        "needs_a_look": look,
        "report": target.join("report.html"),
        "data": (kind == Kind::Full).then(|| target.join(stoptally::report::SHOOT_JSON)),
    });
    if let (Some(count), Some(object)) = (ratings, answer.as_object_mut()) {
        object.insert("ratings".to_owned(), serde_json::to_value(count)?);
    }
    Ok(serde_json::to_string(&answer)?)
}
