//! Seeded folders, one with each finding planted and its twin that must stay silent; prints found, missed and false

#![allow(clippy::unwrap_used, clippy::indexing_slicing, clippy::panic)]

#[path = "../light/fields.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod fields;
#[path = "../light/files.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod files;
mod lit;
mod plain;
#[path = "../light/shoot.rs"]
#[allow(dead_code, reason = "shared between test programs, each of which uses a part")]
mod shoot;
#[path = "../support/mod.rs"]
mod support;

use std::collections::BTreeMap;

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use stoptally::light::Method;
use stoptally::notes::SubjectBox;

use shoot::Shoot;

/// A folder, and what was planted in it.
struct Trap {
    /// The finding it is about.
    code: &'static str,
    /// What is in it, for the table.
    what: &'static str,
    shoot: Shoot,
    /// Subject box in percent, drawn on the first frame.
    subject: Option<[f64; 4]>,
    /// Frame and light of each finding of this code; none for a twin. Frames from 0, lights by name or empty.
    planted: Vec<(usize, &'static str)>,
    /// Other codes that this folder shows rightly.
    beside: &'static [&'static str],
}

impl Trap {
    fn new(code: &'static str, what: &'static str, shoot: Shoot) -> Self {
        Self { code, what, shoot, subject: None, planted: Vec::new(), beside: &[] }
    }

    fn at(mut self, frame: usize, light: &'static str) -> Self {
        self.planted.push((frame, light));
        self
    }

    fn beside(mut self, codes: &'static [&'static str]) -> Self {
        self.beside = codes;
        self
    }

    fn subject(mut self, percent: [f64; 4]) -> Self {
        self.subject = Some(percent);
        self
    }
}

/// The seeds of this run: `SEEDS="4 5 6"` tries others.
fn seeds() -> Vec<u64> {
    let asked = std::env::var("SEEDS").unwrap_or_else(|_| "1".to_owned());
    asked.split_whitespace().map(|seed| seed.parse().unwrap()).collect()
}

/// Whether a folder is asked for: `CODE=veil` tries one code alone.
fn wanted(trap: &Trap) -> bool {
    std::env::var("CODE").is_ok_and(|code| code == trap.code) || std::env::var("CODE").is_err()
}

#[derive(Default)]
struct Tally {
    found: usize,
    missed: usize,
    wrong: usize,
    silent: usize,
}

#[test]
fn every_finding_is_found_and_its_twin_is_silent() {
    let mut table: BTreeMap<String, Tally> = BTreeMap::new();
    let mut says = String::new();
    for seed in seeds() {
        let traps: Vec<Trap> = plain::traps(seed).into_iter().chain(lit::traps(seed)).filter(wanted).collect();
        let told = |trap: &Trap| {
            let boxes: Vec<SubjectBox> =
                trap.subject.iter().map(|p| SubjectBox { frame: Shoot::frame(0), percent: *p }).collect();
            files::told_by(&trap.shoot, Method::default(), &boxes)
        };
        let reports: Vec<_> = traps.par_iter().map(told).collect();
        for (trap, report) in traps.iter().zip(reports) {
            let mut left: Vec<(String, &str)> = trap.planted.iter().map(|(f, l)| (Shoot::frame(*f), *l)).collect();
            for finding in &report.findings {
                let place = left.iter().position(|(frame, light)| {
                    finding.code == trap.code && *frame == finding.frame && *light == finding.light
                });
                let tally = table.entry(finding.code.clone()).or_default();
                match place {
                    Some(at) => {
                        left.remove(at);
                        tally.found += 1;
                    }
                    None if finding.code != trap.code && trap.beside.contains(&finding.code.as_str()) => {}
                    None => {
                        tally.wrong += 1;
                        says += &format!(
                            "{} (seed {seed}): false {} at {} {}: {}; {}\n",
                            trap.what, finding.code, finding.frame, finding.light, finding.finding, finding.evidence
                        );
                    }
                }
            }
            let tally = table.entry(trap.code.to_owned()).or_default();
            tally.missed += left.len();
            tally.silent += usize::from(trap.planted.is_empty());
            for (frame, light) in left {
                says += &format!("{} (seed {seed}): {} missed at {frame} {light}\n", trap.what, trap.code);
            }
        }
    }
    println!("{:<26}{:>7}{:>8}{:>7}{:>14}", "code", "found", "missed", "false", "silent twins");
    for (code, tally) in &table {
        println!("{code:<26}{:>7}{:>8}{:>7}{:>14}", tally.found, tally.missed, tally.wrong, tally.silent);
    }
    assert!(says.is_empty(), "\n{says}");
    if std::env::var("CODE").is_ok() {
        return;
    }
    // Each code has been seen, and has a folder in which it was looked for in vain.
    let look = stoptally::problem::REGISTRY.iter().map(|e| e.name).skip_while(|n| *n != "settings-slip");
    for code in look {
        let tally = table.get(code).unwrap_or_else(|| panic!("no folder holds {code}"));
        assert!(tally.found > 0 && tally.silent > 0, "{code}");
    }
}

#[test]
fn the_part_a_band_takes_is_told_within_two_percent_of_the_height() {
    for (seed, part) in [(1, 0.07), (2, 0.15), (3, 0.22), (4, 0.4)] {
        let report = files::told(&plain::banded(seed, part));
        let rows: Vec<_> =
            report.culling.iter().filter_map(|row| Some((row.frame.as_str(), row.band_percent?))).collect();
        let first = report.frames.len() - 3;
        let frames: Vec<String> = (first..first + 3).map(Shoot::frame).collect();
        assert_eq!(rows.iter().map(|(frame, _)| *frame).collect::<Vec<_>>(), frames, "{part}: {rows:?}");
        assert!(rows.iter().all(|(_, percent)| (percent - 100.0 * part).abs() < 2.0), "{part}: {rows:?}");
    }
}
