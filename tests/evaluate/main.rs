//! Runs the program's library over made shoots and scores it against their truth. `--help` says how.

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

use stoptally::pipeline::{Request, analyse};
use stoptally::read::Watch;
use stoptally::report::Report;

use score::Score;
use truth::{Told, Truth};
use way::Way;

const USAGE: &str = "usage: evaluate SHOOT_DIR... --method NAME[,NAME...] [--out FILE.md] [--worst N] [--least-f1 X]
    [--about TEXT]
methods: noted, blind, noted-without-registration, noted-without-curve, noted-without-joint; or all
--out      writes FILE.md, shoot by shoot to FILE.shoots.md; else the page goes to standard output
--worst    writes the N worst frames of the first method to FILE.worst.md with their pictures
--least-f1 fails where the first method's F1 is below X, or where it finds a light although no flash was used
--about    a paragraph for the head of the page";

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

#[derive(Default)]
struct Options {
    shoots: Vec<PathBuf>,
    ways: Vec<Way>,
    out: Option<PathBuf>,
    worst: usize,
    least_f1: Option<f64>,
    about: String,
}

fn options() -> Result<Options, Box<dyn Error>> {
    let mut o = Options::default();
    let mut args = std::env::args().skip(1);
    while let Some(a) = args.next() {
        let mut value = || args.next().ok_or_else(|| format!("{a} needs a value\n{USAGE}"));
        match a.as_str() {
            "--method" => o.ways = ways(&value()?)?,
            "--out" => o.out = Some(value()?.into()),
            "--worst" => o.worst = value()?.parse()?,
            "--least-f1" => o.least_f1 = Some(value()?.parse()?),
            "--about" => o.about = value()?,
            _ if a.starts_with('-') => return Err(format!("{a} is not known\n{USAGE}").into()),
            _ => o.shoots.push(a.into()),
        }
    }
    if o.shoots.is_empty() || o.ways.is_empty() {
        return Err(USAGE.into());
    }
    if o.worst > 0 && o.out.is_none() {
        return Err("--worst needs --out".into());
    }
    Ok(o)
}

fn ways(names: &str) -> Result<Vec<Way>, String> {
    if names == "all" {
        return Ok(way::WAYS.to_vec());
    }
    names.split(',').map(|n| way::named(n).ok_or_else(|| format!("no method {n}\n{USAGE}"))).collect()
}

/// Runs the program on the frames; blind, on a copy of them without the notes.
fn run(frames: &Path, way: Way) -> Result<Report, Box<dyn Error>> {
    let (copy, folder) = if way.noted { (None, frames.to_owned()) } else { without_notes(frames)? };
    let request = Request { method: way.method, ..Request::of(folder) };
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

/// One way's answer on one shoot.
struct Answer {
    score: Score,
    bad: Vec<worst::Bad>,
    said_as: String,
}

fn answer(name: &str, shoot: &Path, truth: &Truth, way: Way, most: usize) -> Result<Answer, Box<dyn Error>> {
    let report = run(&shoot.join("frames"), way)?;
    if let Some(f) = truth.frames.iter().find(|f| report.frames.iter().all(|r| r.frame != **f)) {
        return Err(format!("{}: {f} of the truth is not in the report", shoot.display()).into());
    }
    let rows = report.light_ledger.iter().map(serde_json::to_value).collect::<Result<Vec<_>, _>>()?;
    let told = Told::from_ledger(&rows, &truth.frames);
    let pairs = if way.noted { pair::by_name(truth, &told) } else { pair::by_behaviour(truth, &told) };
    let (score, misses) = score::score(truth, &told, &pairs, way.noted);
    let bad = worst::of_shoot(name, truth, &told, &pairs, &misses, &report, most);
    let said_as = if way.noted { String::new() } else { said_as(name, truth, &told, &pairs) };
    Ok(Answer { score, bad, said_as })
}

fn main() -> Result<ExitCode, Box<dyn Error>> {
    let o = options()?;
    let mut ways: Vec<(&str, Vec<(String, Score)>)> = o.ways.iter().map(|w| (w.name, Vec::new())).collect();
    let (mut bad, mut mapping) = (Vec::new(), String::new());
    for shoot in &o.shoots {
        let name = shoot.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let truth = Truth::read(shoot)?;
        for (k, way) in o.ways.iter().enumerate() {
            let answer = answer(&name, shoot, &truth, *way, if k == 0 { o.worst } else { 0 })?;
            eprintln!("{name}, {}: F1 {}", way.name, table::part(answer.score.on_off.f1()));
            bad.extend(answer.bad);
            mapping += &answer.said_as;
            ways[k].1.push((name.clone(), answer.score));
        }
    }
    let page = table::page(&o.about, &ways);
    let mut shoots = table::shoots(&ways);
    if !mapping.is_empty() {
        shoots += &format!("\nWhich found light was taken for which:\n\n{mapping}");
    }
    match &o.out {
        Some(out) => {
            fs::write(out, &page)?;
            fs::write(out.with_extension("shoots.md"), &shoots)?;
            if o.worst > 0 {
                worst::write(&out.with_extension("worst.md"), o.ways[0].name, bad, o.worst)?;
            }
        }
        None => print!("{page}\n{shoots}"),
    }
    Ok(verdict(o.least_f1, &ways[0].1))
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
fn verdict(least_f1: Option<f64>, scores: &[(String, Score)]) -> ExitCode {
    let Some(least) = least_f1 else { return ExitCode::SUCCESS };
    let no_light = scores.iter().all(|s| s.1.true_lights == 0);
    let f1 = table::pooled(scores).on_off.f1().unwrap_or(if no_light { 1.0 } else { 0.0 });
    let found: Vec<&str> =
        scores.iter().filter(|s| s.1.true_lights == 0 && s.1.extra_lights > 0).map(|s| s.0.as_str()).collect();
    if !found.is_empty() {
        eprintln!("lights were found where no flash was used: {}", found.join(", "));
    }
    if f1 < least {
        eprintln!("F1 {f1:.3} is below {least}");
    }
    if f1 < least || !found.is_empty() { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}
