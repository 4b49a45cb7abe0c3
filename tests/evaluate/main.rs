//! Runs the program's library over made shoots and scores it against their truth:
//! `evaluate SHOOT_DIR... --method NAME [--out FILE.md] [--worst N] [--least-f1 X]`

mod figures;
mod pair;
mod score;
mod table;
mod truth;
mod way;
mod worst;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use stoptally::pipeline::{DEFAULT_SYNC_TIME_S, Request, analyse};
use stoptally::read::Watch;
use stoptally::report::Report;
use stoptally::shots::clock::Clocks;

use truth::{Told, Truth};
use way::Way;

const USAGE: &str = "usage: evaluate SHOOT_DIR... --method noted|blind|noted-without-registration|\
    noted-without-curve|noted-without-joint [--out FILE.md] [--worst N] [--least-f1 X]";

/// The photographer's notes beside the frames.
const NOTES: &str = "light-notes.csv";

struct Quiet;

impl Watch for Quiet {
    fn files_found(&self, _count: usize) {}
    fn file_done(&self) {}
    fn stop(&self) -> bool {
        false
    }
}

struct Options {
    shoots: Vec<PathBuf>,
    way: Way,
    out: Option<PathBuf>,
    worst: usize,
    least_f1: Option<f64>,
}

fn options() -> Result<Options, Box<dyn Error>> {
    let mut o = Options { shoots: Vec::new(), way: way::WAYS[0], out: None, worst: 0, least_f1: None };
    let mut method = None;
    let mut args = std::env::args().skip(1);
    while let Some(a) = args.next() {
        let mut value = || args.next().ok_or_else(|| format!("{a} needs a value; {USAGE}"));
        match a.as_str() {
            "--method" => method = Some(value()?),
            "--out" => o.out = Some(value()?.into()),
            "--worst" => o.worst = value()?.parse()?,
            "--least-f1" => o.least_f1 = Some(value()?.parse()?),
            _ if a.starts_with('-') => return Err(format!("{a} is not known; {USAGE}").into()),
            _ => o.shoots.push(a.into()),
        }
    }
    o.way = method.as_deref().and_then(way::named).ok_or(USAGE)?;
    if o.shoots.is_empty() || (o.worst > 0 && o.out.is_none()) {
        return Err(format!("{USAGE} (--worst needs --out)").into());
    }
    Ok(o)
}

/// Runs the program on the frames; blind, on a copy of them without the notes.
fn run(frames: &Path, way: Way) -> Result<Report, Box<dyn Error>> {
    let (copy, folder) = if way.noted { (None, frames.to_owned()) } else { without_notes(frames)? };
    let request = Request {
        folder,
        report: None,
        notes: None,
        subjects: Vec::new(),
        clocks: Clocks::default(),
        sync_time_s: DEFAULT_SYNC_TIME_S,
        method: way.method,
    };
    let report = analyse(&request, &Quiet)?;
    drop(copy);
    Ok(report)
}

fn without_notes(frames: &Path) -> Result<(Option<tempfile::TempDir>, PathBuf), Box<dyn Error>> {
    let dir = tempfile::tempdir()?;
    let folder = dir.path().join("frames");
    fs::create_dir(&folder)?;
    for entry in fs::read_dir(frames).map_err(|e| format!("{}: {e}", frames.display()))? {
        let entry = entry?;
        if entry.file_name() != NOTES {
            fs::copy(entry.path(), folder.join(entry.file_name()))?;
        }
    }
    Ok((Some(dir), folder))
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let o = options()?;
    let noted = o.way.noted;
    let (mut scores, mut bad, mut mapping) = (Vec::new(), Vec::new(), String::new());
    let mut lights_without_flash = Vec::new();
    for shoot in &o.shoots {
        let name = shoot.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let truth = Truth::read(shoot)?;
        let report = run(&shoot.join("frames"), o.way)?;
        if let Some(f) = truth.frames.iter().find(|f| report.frames.iter().all(|r| r.frame != **f)) {
            return Err(format!("{}: {f} of the truth is not in the report", shoot.display()).into());
        }
        let rows = report.light_ledger.iter().map(serde_json::to_value).collect::<Result<Vec<_>, _>>()?;
        let told = Told::from_ledger(&rows, &truth.frames);
        let pairs = if noted { pair::by_name(&truth, &told) } else { pair::by_behaviour(&truth, &told) };
        if !noted {
            mapping += &said_as(&name, &truth, &told, &pairs);
        }
        let (score, misses) = score::score(&truth, &told, &pairs, noted);
        if truth.lights.is_empty() && score.extra_lights > 0 {
            lights_without_flash.push(name.clone());
        }
        bad.extend(worst::of_shoot(&name, &truth, &told, &pairs, &misses, &report, o.worst));
        eprintln!("{name}: F1 {}", table::part(score.on_off.f1()));
        scores.push((name, score));
    }
    let mut text = table::tables(&scores, o.way.name);
    if !mapping.is_empty() {
        text += &format!("\nWhich found light was taken for which:\n\n{mapping}");
    }
    match &o.out {
        Some(out) => fs::write(out, &text)?,
        None => print!("{text}"),
    }
    if let Some(out) = o.out.as_ref().filter(|_| o.worst > 0) {
        worst::write(&out.with_extension("worst.md"), bad, o.worst)?;
    }
    Ok(verdict(&o, &scores, &lights_without_flash))
}

fn said_as(name: &str, truth: &Truth, told: &Told, pairs: &pair::Pairs) -> String {
    let one = |(light, pair): (&String, &Option<usize>)| {
        format!("{light} = {}", pair.map_or("none", |t| told.lights[t].as_str()))
    };
    let extra: Vec<&str> = (0..told.lights.len())
        .filter(|t| !pairs.contains(&Some(*t)) && told.ever_on(*t))
        .map(|t| told.lights[t].as_str())
        .collect();
    let known: Vec<String> = truth.lights.iter().zip(pairs).map(one).collect();
    format!(
        "- {name}: {}; extra: {}\n",
        known.join(", "),
        if extra.is_empty() { "none".into() } else { extra.join(", ") }
    )
}

/// Fails only where a least F1 was asked for.
fn verdict(o: &Options, scores: &[(String, score::Score)], lights_without_flash: &[String]) -> ExitCode {
    let Some(least) = o.least_f1 else { return ExitCode::SUCCESS };
    let f1 = table::pooled(scores).on_off.f1().unwrap_or(if scores.iter().all(|s| s.1.true_lights == 0) {
        1.0
    } else {
        0.0
    });
    if !lights_without_flash.is_empty() {
        eprintln!("lights were found where no flash was used: {}", lights_without_flash.join(", "));
    }
    if f1 < least {
        eprintln!("F1 {f1:.3} is below {least}");
    }
    if f1 < least || !lights_without_flash.is_empty() { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}
